package eval_test

import (
	"context"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

const firstEdition = `brushgear 1
source ed1 "Lintel sheet" edition "1" from 2010-01-01 until 2019-12-31
source ed2 "Lintel sheet" edition "2" from 2020-01-01
kind motor "Motor" {
  attribute nominal : 12 V | 24 V
  attribute field : series | magnets
  positions side "side" : plus, minus
  condition heat : °C likely 10 °C to 40 °C
  condition speed : rpm
  caution spin "Guard on."
  stage closed "closed"
  stage opened "opened" after closed takes 5 min back 5 min
  part rotor "Rotor"
  cause wet "Wet" ask "Is it wet?"
  instrument clamp : A accuracy ± 2 % digit 0.1 A
  remedy fit "Fit another" { retest run }
  remedy mend "Mend it" { retest run  covers fit }
  test run "Free run" {
    stage closed  takes 4 min
    caution spin
    needs heat, speed within 1000 rpm ± 20 rpm
    read amps : A with clamp
    read volts : V
    read look : good | grey | burnt | blue
    let power = amps * volts + 2 W
    correct amps by linear (2 mA per 1 K) from heat to 25 °C
    limit amps
    limit look is good per ed2
    grade power : weak below 100 W | good
    outcome drag as fail when amps is high and volts above 11 V
    outcome good otherwise
  }
  fault dirty "Dirty" {
    part rotor  occurs common when field is series
    shows run drag usually
    shows run.look burnt | blue sometimes when nominal is 12 V
    masks run.power
    from wet
    remedy fit else mend
  }
  fault worn "Worn" { part rotor  shows run.amps high always  leads to dirty often  remedy mend }
}
family lintel "Lintel" of motor {
  set nominal 12 V
  set field series
  limit run.amps 40 A to 60 A at heat 25 °C per ed1
  limit run.amps 42 A to 58 A at heat 25 °C per ed2
  variant late "late" when serial at least "L2000" { set field magnets }
  release run
}
shop quay "Quay" {
  decide guard 1.65 u
  renew rotor
  limit run.amps at most 55 A
}
record "J-1" of lintel {
  serial "L100"
  pass as found on 2021-03-02 at heat 25 °C, speed 1000 rpm {
    taken run { amps 57 A, volts 11.5 V, look good }
  }
}
`

// Each edit is one change and no other.
func TestCompareEditions(t *testing.T) {
	old := mustBench(t, firstEdition)
	for _, e := range []struct{ from, to, want string }{
		{"42 A to 58 A", "43 A to 58 A", "limit run.amps: changed: 42 A to 58 A at heat 25 °C (Lintel sheet, edition 2; from 2020-01-01) > 43 A to 58 A at heat 25 °C (Lintel sheet, edition 2; from 2020-01-01) tighter"},
		{"42 A to 58 A", "42 A to 59 A", "limit run.amps: changed: 42 A to 58 A at heat 25 °C (Lintel sheet, edition 2; from 2020-01-01) > 42 A to 59 A at heat 25 °C (Lintel sheet, edition 2; from 2020-01-01) wider"},
		{"42 A to 58 A", "41 A to 57 A", "limit run.amps: changed: 42 A to 58 A at heat 25 °C (Lintel sheet, edition 2; from 2020-01-01) > 41 A to 57 A at heat 25 °C (Lintel sheet, edition 2; from 2020-01-01) moved"},
		{"58 A at heat 25 °C per ed2", "58 A at heat 30 °C per ed2", "limit run.amps: changed: 42 A to 58 A at heat 25 °C (Lintel sheet, edition 2; from 2020-01-01) > 42 A to 58 A at heat 30 °C (Lintel sheet, edition 2; from 2020-01-01) "},
		{"  limit run.amps 40 A to 60 A at heat 25 °C per ed1\n", "", "limit run.amps: removed: 40 A to 60 A at heat 25 °C (Lintel sheet, edition 1; from 2010-01-01 until 2019-12-31)"},
		{"limit look is good per ed2", "limit look is good | grey per ed2", "limit run.look: changed: is good (Lintel sheet, edition 2; from 2020-01-01) > is good | grey (Lintel sheet, edition 2; from 2020-01-01) "},
		{"weak below 100 W", "weak below 120 W", "grade run.power: changed: weak below 100 W | good > weak below 120 W | good "},
		{"volts above 11 V", "volts above 10.5 V", "pattern run: outcome drag: changed: fail when amps is high and volts above 11 V > fail when amps is high and volts above 10.5 V "},
		{"caution spin\n    needs", "needs", "test run: caution: removed: spin"},
		{"takes 4 min", "takes 5 min", "test run: time: changed: 4 min > 5 min "},
		{"amps * volts + 2 W", "amps * volts + 3 W", "test run: formula power: changed: power = amps * volts + 2 W > power = amps * volts + 3 W "},
		{"± 20 rpm", "± 30 rpm", "test run: needs: changed: speed within 1000 rpm ± 20 rpm > speed within 1000 rpm ± 30 rpm "},
		{"(2 mA per 1 K)", "(3 mA per 1 K)", "test run: correction of amps: changed: correct amps by linear (2 mA per 1 K) from heat to 25 °C > correct amps by linear (3 mA per 1 K) from heat to 25 °C "},
		{"read amps : A with clamp", "read amps : A", "test run: meter of amps: removed: clamp"},
		{"drag usually", "drag often", "fault dirty: shows run: changed: drag usually > drag often "},
		{"burnt | blue sometimes", "burnt sometimes", "fault dirty: shows run.look: changed: burnt | blue sometimes when nominal is 12 V > burnt sometimes when nominal is 12 V "},
		{"    shows run drag usually\n", "", "fault dirty: shows run: removed: drag usually"},
		{"occurs common", "occurs rare", "fault dirty: frequency: changed: common when field is series > rare when field is series "},
		{"masks run.power\n", "\n", "fault dirty: masks: removed: run.power"},
		{"from wet\n", "\n", ""},
		{"remedy fit else mend", "remedy mend else fit", ""},
		{"leads to dirty often", "leads to dirty usually", "fault worn: leads to dirty: changed: often > usually "},
		{"covers fit", "", "remedy mend: covers: removed: fit"},
		{"Is it wet?", "Was it wet?", "cause wet: ask: changed: Is it wet? > Was it wet? "},
		{"accuracy ± 2 %", "accuracy ± 3 %", "instrument clamp: accuracy and range: changed: instrument clamp : A accuracy ± 2 % digit 0.1 A > instrument clamp : A accuracy ± 3 % digit 0.1 A "},
		{"set nominal 12 V", "set nominal 24 V", "attribute nominal: value: changed: 12 V > 24 V "},
		{`"L2000"`, `"L3000"`, ""},
		{"back 5 min", "back 7 min", "stage opened: back: changed: 5 min > 7 min "},
		{"  release run\n", "", "release run: removed: run"},
		{"guard 1.65 u", "guard 2 u", "rule decide: changed: guard 1.65 u > guard 2 u "},
		{"at most 55 A", "at most 56 A", "limit run.amps: changed: at most 55 A > at most 56 A wider"},
		{"renew rotor", "", "renew rotor: removed: rotor"},
		{"  test run", "  test stall \"Stall\" { read torque : N·m }\n  test run", "test stall: added: Stall"},
		{"  fault worn", "  fault bent \"Bent\" { part rotor  shows run.amps low always  remedy fit }\n  fault worn", "fault bent: added: Bent"},
		{"family lintel", "family other \"Other\" of motor { }\nfamily lintel", "family other: added: Other"},
	} {
		require.Contains(t, firstEdition, e.from)
		changes := eval.CompareEditions(old, mustBench(t, strings.Replace(firstEdition, e.from, e.to, 1)))
		if e.want == "" {
			require.NotEmpty(t, changes, "%s > %s", e.from, e.to)
			continue
		}
		require.Equal(t, []string{e.want}, spoken(changes), "%s > %s", e.from, e.to)
	}
}

func spoken(changes []eval.Change) []string {
	var list []string
	for _, c := range changes {
		text := c.What + " " + c.Name
		if c.Aspect != "" {
			text += ": " + c.Aspect
		}
		text += ": " + string(c.Kind) + ": "
		if c.Kind == eval.Changed {
			text += c.Old + " > " + c.New + " " + c.Way
		} else {
			text += c.Old + c.New
		}
		list = append(list, text)
	}
	return list
}

// What reads otherwise and means the same is no change.
func TestEditionsThatMeanTheSame(t *testing.T) {
	old := mustBench(t, firstEdition)
	for from, to := range map[string]string{
		"42 A to 58 A":                         "42000 mA to 58000 mA",
		"amps is high and volts above 11 V":    "volts above 11000 mV and amps is high",
		"amps * volts + 2 W":                   "2 W + volts * amps",
		"burnt | blue sometimes":               "blue | burnt 0.3",
		"set nominal 12 V\n  set field series": "set field series # as the plate says\n  set nominal   12000 mV",
		"within 1000 rpm ± 20 rpm":             "within 980 rpm to 1020 rpm",
		"retest run  covers fit":               "covers fit\nretest run",
		"good | grey | burnt | blue\n":         "blue | good | burnt | grey\n",
		"takes 4 min":                          "takes 240 s",
	} {
		require.Contains(t, firstEdition, from)
		require.Empty(t, spoken(eval.CompareEditions(old, mustBench(t, strings.Replace(firstEdition, from, to, 1)))), "%s > %s", from, to)
	}
}

// The examples do not differ from themselves, nor from their text with all blanks doubled and the declarations of every file turned round.
func TestEditionsOfTheExamples(t *testing.T) {
	loose := fstest.MapFS{}
	require.NoError(t, fs.WalkDir(examples.FS, "sheets", func(name string, _ fs.DirEntry, err error) error {
		if path.Ext(name) != ".sheet" {
			return err
		}
		src, err := fs.ReadFile(examples.FS, name)
		loose[name] = &fstest.MapFile{Data: []byte("# another edition\n" + strings.ReplaceAll(string(src), "  ", "    "))}
		return err
	}))
	files, err := dsl.ParseFS(loose, "sheets/shop.sheet")
	require.NoError(t, err)
	again, err := eval.Compile(files)
	require.NoError(t, err)
	require.Empty(t, spoken(eval.CompareEditions(exampleBench(t), again)))
}

// Compared the other way round, what was added is removed and old and new change places.
func TestEditionsTurnedRound(t *testing.T) {
	old := mustBench(t, firstEdition)
	new := mustBench(t, strings.NewReplacer("42 A to 58 A", "43 A to 58 A", "    shows run drag usually\n", "", "  release run\n", "").Replace(firstEdition))
	there, back := eval.CompareEditions(old, new), eval.CompareEditions(new, old)
	require.Len(t, there, 3)
	require.Len(t, back, 3)
	for _, c := range back {
		switch c.Kind {
		case eval.Added:
			c.Kind, c.Old, c.New = eval.Removed, c.New, ""
		case eval.Changed:
			c.Old, c.New, c.Way = c.New, c.Old, map[string]string{"wider": "tighter"}[c.Way]
		}
		require.Contains(t, spoken(there), spoken([]eval.Change{c})[0])
	}
}

// A change of a kind is listed once, for all families that it concerns.
func TestEditionsListOnce(t *testing.T) {
	two := firstEdition + "family skerrow \"Skerrow\" of motor { }\n"
	changes := eval.CompareEditions(mustBench(t, two), mustBench(t, strings.Replace(two, "drag usually", "drag often", 1)))
	require.Len(t, changes, 1)
	require.Equal(t, []string{"lintel", "skerrow"}, changes[0].Units)
	require.Contains(t, changes[0].Place, "test.sheet:")
}

func TestCompareVerdicts(t *testing.T) {
	old := mustBench(t, firstEdition)
	records, err := old.Records()
	require.NoError(t, err)
	compare := func(from, to string, options ...eval.Option) []eval.VerdictChange {
		list, err := eval.CompareVerdicts(context.Background(), old, mustBench(t, strings.Replace(firstEdition, from, to, 1)), records[0], options...)
		require.NoError(t, err)
		return list
	}
	require.Empty(t, compare("40 A to 60 A", "50 A to 60 A"), "that edition was over when the unit came in")
	list := compare("42 A to 58 A", "42 A to 56 A")
	require.Contains(t, list, eval.VerdictChange{Record: "J-1", Pass: "as found", What: "unit", Old: "serviceable", New: "faulty"})
	require.Contains(t, list, eval.VerdictChange{Record: "J-1", Pass: "as found", What: "check", Name: "run.amps", Old: "pass", New: "fail, high"})
	require.Contains(t, list, eval.VerdictChange{Record: "J-1", Pass: "as found", What: "check", Name: "run", Old: "pass", New: "fail, drag"})
	require.Contains(t, list, eval.VerdictChange{Record: "J-1", Pass: "as found", What: "fault", Name: "worn", Old: "possible", New: "shown"})
}

// A record that names what an edition does not have cannot be judged by it.
func TestCompareVerdictsOfAnotherUnit(t *testing.T) {
	old := mustBench(t, firstEdition)
	records, err := old.Records()
	require.NoError(t, err)
	new := mustBench(t, "brushgear 1\nfamily other \"Other\" { }\n")
	list, err := eval.CompareVerdicts(context.Background(), old, new, records[0])
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, "record", list[0].What)
	require.Contains(t, list[0].New, "not judged: ")
	_, err = eval.CompareVerdicts(context.Background(), new, new, records[0])
	require.ErrorContains(t, err, "J-1")
}

func ExampleCompareEditions() {
	compile := func(limit string) *eval.Bench {
		f, err := dsl.Parse("lintel.sheet", []byte("brushgear 1\nfamily lintel \"Lintel\" { test field \"Field\" { read amps : A  limit amps "+limit+" } }\n"))
		if err != nil {
			panic(err)
		}
		b, err := eval.Compile([]*dsl.File{f})
		if err != nil {
			panic(err)
		}
		return b
	}
	for _, c := range eval.CompareEditions(compile("3.2 to 3.6 A"), compile("3300 to 3600 mA")) {
		fmt.Println(c.What, c.Name, c.Old, "is now", c.New, c.Way)
	}
	// Output: limit field.amps 3.2 to 3.6 A is now 3300 to 3600 mA tighter
}
