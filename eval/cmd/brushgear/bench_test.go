package main

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

// technician answers the prompts of a session from what a unit would read, whatever test is proposed. It is the standard input of the session and
// looks at its output.
type technician struct {
	screen  *bytes.Buffer
	answers map[string]string // by "test.reading" and "test at condition", or by the prompt; tests that are not there are left out
}

var (
	cardTitle  = regexp.MustCompile(`(?m)^(?:Next|Repeat|Retest): .*\(([a-z_]+(?:\.[a-z_]+)?)\)$`)
	promptName = regexp.MustCompile(`^[^,(\[]*[^,(\[ ]`)
)

func (x *technician) Read(p []byte) (int, error) {
	return copy(p, x.answer()+"\n"), nil
}

func (x *technician) answer() string {
	screen := x.screen.String()
	prompt := strings.TrimSuffix(strings.TrimSpace(screen[strings.LastIndexByte(screen, '\n')+1:]), ":")
	name := strings.ReplaceAll(promptName.FindString(prompt), " ", "_")
	for _, key := range []string{prompt, name} {
		if a, ok := x.answers[key]; ok {
			return a
		}
	}
	cards := cardTitle.FindAllStringSubmatch(screen, -1)
	if len(cards) == 0 {
		return ""
	}
	test := cards[len(cards)-1][1]
	for _, key := range []string{test + "." + name, test + " at " + name} {
		if a, ok := x.answers[key]; ok {
			return a
		}
	}
	for known := range x.answers {
		if strings.HasPrefix(known, test+".") {
			return "-"
		}
	}
	return "skip no_time"
}

// answersOf are the readings of an example record, in all of its passes.
func answersOf(t *testing.T, file string) map[string]string {
	t.Helper()
	data, err := examples.FS.ReadFile(file)
	require.NoError(t, err)
	f, err := dsl.Parse(file, data)
	require.NoError(t, err)
	records, err := eval.ReadRecords(f)
	require.NoError(t, err)
	answers := map[string]string{"What now (? for help)": "end", "Serial_on_the_plate": records[0].Serial, "Complaint": records[0].Complaint}
	for _, p := range records[0].Passes {
		for _, e := range p.Entries {
			if e.Value != nil {
				answers[e.Taken] = e.Value.String()
			}
			for name, v := range e.Values {
				answers[e.Taken+"."+name] = v.String()
			}
			for name, v := range e.At {
				test := strings.TrimSuffix(e.Taken, e.Taken[max(0, strings.LastIndexByte(e.Taken, '.')):])
				answers[test+" at "+name] = v.String()
			}
		}
	}
	return answers
}

// atBench runs the verb with a technician who knows the unit.
func atBench(t *testing.T, answers map[string]string, args ...string) (code int, out, errs string) {
	t.Helper()
	x := &technician{screen: &bytes.Buffer{}, answers: answers}
	var e bytes.Buffer
	code = run(append([]string{"bench"}, args...), stdio{x, x.screen, &e})
	return code, x.screen.String(), e.String()
}

// judgedAgain judges a saved record with the command, and returns its verdict.
func judgedAgain(t *testing.T, files ...string) string {
	t.Helper()
	code, out, errs := call(t, "", append([]string{"judge"}, files...)...)
	require.Equal(t, exitOK, code, errs)
	return out
}

// verdictIn is the verdict at the end of a session.
func verdictIn(t *testing.T, out, name string) string {
	t.Helper()
	from := strings.LastIndex(out, "\n"+name+": ")
	require.GreaterOrEqual(t, from, 0, out)
	verdict, _, _ := strings.Cut(out[from+1:], "\n\nThe record is in ")
	return strings.ReplaceAll(verdict, "All of it: judge -all", "All of it: -all") + "\n"
}

// hidden replaces what differs from run to run: the folder of the test, and the digest of the sheets.
func hidden(out, folder string) string {
	return regexp.MustCompile(`sheets [0-9a-f]{16}`).ReplaceAllString(strings.ReplaceAll(out, folder+string(filepath.Separator), ""), "sheets ...")
}

// A unit is led from the first question to the verdict; the saved record is judged alike. The talk itself depends on the plan, so that only its end is
// compared; talks on a small sheet are kept as files below.
func TestBenchLeadsToTheRemedy(t *testing.T) {
	for record, want := range map[string]string{
		"tarnby_healthy":       "",
		"tarnby_dead_diode":    "Fit a rectifier set",
		"tarnby_brush_ground":  "Reinsulate or fit another brush holder",
		"skerrow_hold_in_open": "Fit another solenoid",
	} {
		family := "tarnby"
		if strings.HasPrefix(record, "skerrow") {
			family = "skerrow"
		}
		folder := t.TempDir()
		file := filepath.Join(folder, "unit.sheet")
		code, out, errs := atBench(t, answersOf(t, "records/"+record+".sheet"), "-on", "2026-03-11", "-save", file, sheets+"sheets/shop.sheet", family)
		require.Equal(t, exitOK, code, errs)
		if want != "" {
			require.Regexp(t, `What to do:\n    (Perhaps: )?`+want, out)
		} else {
			require.NotContains(t, out, "faulty")
		}
		verdict := verdictIn(t, out, "unit")
		require.Equal(t, hidden(verdict, folder), hidden(judgedAgain(t, file), folder))
	}
}

// said runs the verb with fixed answers.
func said(t *testing.T, lines []string, args ...string) (code int, out, errs string) {
	t.Helper()
	return call(t, strings.Join(lines, "\n")+"\n", append([]string{"bench"}, args...)...)
}

// What people write at a small sheet: help, bad answers, undo before and behind the first test, a verdict in between.
func TestBenchAnswers(t *testing.T) {
	code, out, errs := said(t, []string{
		"?", "S-2", "undo", "S-1", `end of "summer", no light`,
		"?", "2,450", "4..3", "3.4 furlong", "13 V", "OL", "why", "3.4",
		"12", "> 36", "undo", "nonsense", "13 V", "-", "-", "mumble", "",
		"tests", "complain", "skip output no_t \"noon\"", "undo", "", "skip", "skip refused the estimate first", "note \"belt dust\"", "work fit", "all",
		"void field", "void field prod slipped", "3.3", "verdict", "end", "",
	}, "-on", "2026-03-02", sheets+"first.sheet")
	require.Equal(t, exitOK, code, errs)
	golden(t, "bench_answers.txt", hidden(out, ""))
}

// Lists in one line or one by one, positions that were not read, tests by the beginning of their name, conditions remembered.
func TestBenchLists(t *testing.T) {
	file := filepath.Join(t.TempDir(), "lists.sheet")
	code, out, errs := said(t, []string{
		"", "H61954", "", "",
		"test ring", "test brushes", "9.5", "undo", "9.5", "9.7", "2.4 2.5", "f -",
		"test diodes", "0.552 0.004 0.549 0.561 0.550 0.547", "OL 0.004 OL OL OL OL",
		"test ring_f", "12", "20", "3.9",
		"test through", "", "", "3.7",
		"test curve", "1500 2000", "13.5", "30", "21", "33", "(33 49 A)",
		"test pairs", "19", "92.1 92.6", "92.1 92.6 -", "end",
	}, "-on", "2026-03-02", "-save", file, sheets+"sheets/shop.sheet", "tarnby")
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "ring can be ring_ground, ring_field, ")
	require.Contains(t, out, "supply, V (at the unit's own terminals) [12 V]: ")
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	for _, line := range []string{
		"taken brushes { force (2.4 2.5 N), length (9.5 9.7 mm), slide (free missing) }",
		"taken diodes { drop.back (OL 0.004 V OL OL OL OL), drop.forward (0.552 0.004 0.549 0.561 0.550 0.547 V) }",
		"taken ring_field.current 3.9 A at supply 12 V, winding_temp 20 °C",
		"taken through_brushes.current 3.7 A at supply 12 V, winding_temp 20 °C",
		"taken curve.current (33 49 A) at ambient 21 °C, speed (1500 2000 rpm), supply 13.5 V, warm_up 30 min",
		"taken pairs.ohms (92.1 92.6 mΩ missing) at winding_temp 19 °C",
	} {
		require.Contains(t, string(data), line)
	}
	require.Equal(t, hidden(verdictIn(t, out, "lists"), ""), hidden(judgedAgain(t, file), ""))
}

// A record that was begun one day is gone on with on another: the same file, another pass, and a mended unit.
func TestBenchGoesOn(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "J-7.sheet")
	code, out, errs := said(t, []string{
		"S-7", "no light", "2.9", "11", "12.1", `work fit_rotor "from stock"`,
	}, "-on", "2026-03-02", "-by", "bench 1", "-save", file, sheets+"first.sheet")
	require.Equal(t, exitOK, code, errs)
	golden(t, "bench_mended.txt", hidden(out, folder))
	first, err := os.ReadFile(file)
	require.NoError(t, err)

	code, _, errs = said(t, nil, "-save", file, sheets+"first.sheet")
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "is there already")
	again, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(first), string(again))

	code, out, errs = said(t, []string{"undo", "pass as left on 2026-03-04", "undo", "pass as left on 2026-03-04", "3.4", "41", "14.1", "end"},
		"-record", file, "-save", file, "-by", "bench 2")
	require.Equal(t, exitOK, code, errs)
	golden(t, "bench_goes_on.txt", hidden(out, folder))
	require.Equal(t, hidden(verdictIn(t, out, "J-7"), folder), hidden(judgedAgain(t, file), folder))
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Contains(t, string(text), "pass as found by \"bench 1\" on 2026-03-02 {\n    taken field.current 2.9 A\n")
	require.Contains(t, string(text), "work fit_rotor \"from stock\"\n  }\n\n  pass as left by \"bench 2\" on 2026-03-04 {")
}

func TestBenchHealthyUnit(t *testing.T) {
	code, out, errs := said(t, []string{"S-3", "whines", "3.35", "38", "14.1 V", "end", ""}, "-on", "2026-03-02", sheets+"first.sheet", "lintel_40")
	require.Equal(t, exitOK, code, errs)
	golden(t, "bench_healthy.txt", hidden(out, ""))
}

// What was read is kept when the input ends in the middle of a test, and every test before it is in the file by then.
func TestBenchEndOfInput(t *testing.T) {
	file := filepath.Join(t.TempDir(), "cut.sheet")
	code, out, errs := call(t, "S-1\n\n3.4\n12", "bench", "-on", "2026-03-02", "-save", file, sheets+"first.sheet")
	require.Equal(t, exitOK, code, errs)
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Contains(t, string(data), "taken field.current 3.4 A\n    taken output.current 12 A\n")
	require.Equal(t, hidden(verdictIn(t, out, "cut"), ""), hidden(judgedAgain(t, file), ""))

	code, out, errs = call(t, "S-1\n", "bench", "-on", "2026-03-02", sheets+"first.sheet")
	require.Equal(t, exitOK, code, errs)
	require.NotContains(t, out, "undecided", "it ended before there was a unit")
	code, out, errs = call(t, "", "bench", "-on", "2026-03-02")
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, errs, "built-in example")
	require.Contains(t, out, "Which battery")
}

// A record in JSON, saved when asked, and one of the built-in sheets, which goes on without naming them.
func TestBenchSaves(t *testing.T) {
	folder := t.TempDir()
	j := filepath.Join(folder, "S-1.json")
	code, out, errs := said(t, []string{"S-1", "", "save " + j, "3.4", "end"}, "-on", "2026-03-02", sheets+"first.sheet")
	require.Equal(t, exitOK, code, errs)
	require.Equal(t, hidden(verdictIn(t, out, "S-1"), folder), hidden(judgedAgain(t, sheets+"first.sheet", j), folder))

	plain := filepath.Join(folder, "example.sheet")
	code, out, errs = said(t, []string{"", "H1", "", "", "test look", "good", "low", "good", "end", plain}, "-on", "2026-03-02")
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "saved in ")
	code, out, errs = said(t, []string{"work battery.top_up", "pass as left", "test look", "good", "good", "good", "end", plain, filepath.Join(folder, "two.sheet")}, "-record", plain)
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "example.sheet is there already: give another name")
	data, err := os.ReadFile(filepath.Join(folder, "two.sheet"))
	require.NoError(t, err)
	require.Contains(t, string(data), "work battery.top_up\n")
}

func TestBenchRefuses(t *testing.T) {
	folder := t.TempDir()
	two := filepath.Join(folder, "two.sheet")
	require.NoError(t, os.WriteFile(two, []byte("brushgear 1\nrecord \"a\" of lintel_40 { judge 2026-03-02 }\nrecord \"b\" of lintel_40 { judge 2026-03-02 }\n"), 0o644))
	undated := filepath.Join(folder, "undated.sheet")
	require.NoError(t, os.WriteFile(undated, []byte("brushgear 1\nrecord \"a\" of lintel_40 { taken field.current 3.4 A }\n"), 0o644))
	mixed := filepath.Join(folder, "mixed.sheet")
	require.NoError(t, os.WriteFile(mixed, []byte("brushgear 1\nfamily x \"X\" { test t \"T\" { read a : V  limit a at most 5 V } }\nrecord \"a\" of x { judge 2026-03-02 }\n"), 0o644))
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"-nothing"}, exitUsage, "nothing"},
		{[]string{"nowhere.sheet"}, exitFailed, "nowhere.sheet"},
		{[]string{"-record", two}, exitFailed, "holds 2 records"},
		{[]string{"-record", undated, sheets + "first.sheet"}, exitFailed, "does not say by which day"},
		{[]string{"-record", mixed, "-save", mixed}, exitFailed, "holds more than the record"},
		{[]string{"-shop", "nowhere", sheets + "sheets/shop.sheet", "tarnby"}, exitFailed, "there is no shop nowhere"},
		{[]string{"-save", filepath.Join(folder, "no", "where.sheet"), sheets + "first.sheet"}, exitFailed, "where.sheet"},
	} {
		code, _, errs := said(t, []string{"", "", "3.4", "end"}, append([]string{"-on", "2026-03-02"}, c.args...)...)
		require.Equal(t, c.code, code, "%v\n%s", c.args, errs)
		require.Contains(t, errs, c.want)
	}
	code, out, errs := said(t, []string{"S-1", "", "end", ""}, "-on", "2026-02-30", sheets+"first.sheet", "lintil")
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "there is no family lintil")
	require.Contains(t, out, "2026-02-30 is no day of the calendar")
}

// Whatever is typed, the session ends with the input, and the file that it leaves judges to the verdict that it showed.
func TestBenchTakesAnything(t *testing.T) {
	words := []string{"", "-", "?", "undo", "skip", "skip no_time", "test look", "test output", "test pairs", "tests", "why", "verdict", "work fit_brushes", "work battery.top_up", "pass as left",
		"pass in work", `note "x \ y"`, "cleared oil", "void look slipped", "void pairs slipped", "complaint not", "save", "good", "good | rough", "3.4", "12.7 V", "2 to 9 jumping", "> 20", "OL", "92 93 91",
		"92.1 - OL", "2,45", "20 °C", "removed", "lit", "\x00", "\xff\xfe", "(", `"`, "1e400", "5 min", "13.5", "6000", "no", "end of it"}
	for seed := range uint64(12) {
		rng := rand.New(rand.NewPCG(seed, 1))
		lines := []string{"", "H61954", "B", "no charge"}
		for range rng.IntN(40) {
			lines = append(lines, words[rng.IntN(len(words))])
		}
		file := filepath.Join(t.TempDir(), "any.sheet")
		code, out, errs := said(t, lines, "-on", "2026-03-02", "-save", file, sheets+"sheets/shop.sheet", "tarnby")
		require.Equal(t, exitOK, code, "%d: %s", seed, errs)
		if _, err := os.Stat(file); err == nil {
			require.Equal(t, hidden(verdictIn(t, out, "any"), ""), hidden(judgedAgain(t, file), ""), seed)
		}
	}
}

// A meter of the shop is named once; what the sheet reads with such an instrument is read with it, and its comments stay with a record.
func TestBenchMetersAndComments(t *testing.T) {
	folder := t.TempDir()
	sheet, file := filepath.Join(folder, "unit.sheet"), filepath.Join(folder, "J-1.sheet")
	require.NoError(t, os.WriteFile(sheet, []byte(`brushgear 1
source house "House" status shop_rule
family unit "Unit" {
  part coil "Coil"
  instrument ammeter : A accuracy ± 1 % digit 0.1 A
  test draw "Draw" { read current : A with ammeter  read volts : V  limit current at most 4 A per house  limit volts at least 12 V per house }
  remedy mend "Mend" { retest draw }
  fault short "Short" { part coil  shows draw.current high always  remedy mend }
}
`), 0o644))
	code, out, errs := said(t, []string{"S-1", "", "meter am17 is ameter", `meter am17 is ammeter number "AM-17" due 2026-09-01`, "meter", "3.9", "12.6", "end"}, "-on", "2026-03-02", "-save", file, sheet)
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "did you mean ammeter?")
	require.Contains(t, out, "    ammeter: am17 AM-17\n")
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Contains(t, string(data), "taken draw.current 3.9 A with am17\n    taken draw.volts 12.6 V\n")

	commented := strings.Replace(string(data), "12.6 V", "12.6 V  # at the stud", 1)
	require.NoError(t, os.WriteFile(file, []byte("# pallet 3\n"+commented), 0o644))
	code, _, errs = said(t, []string{"pass as left on 2026-03-03", "meter am18 is ammeter", "test draw", "3.8", "12.5", "end"}, "-record", file, "-save", file)
	require.Equal(t, exitOK, code, errs)
	data, err = os.ReadFile(file)
	require.NoError(t, err)
	require.Regexp(t, `(?s)^# pallet 3\nbrushgear 1\n.*12.6 V  # at the stud\n.*taken draw.current 3.8 A with am18\n`, string(data))
}

// TestBenchKeepsTheShop: what was judged by the rules of a shop is judged by them again, without being told so.
func TestBenchKeepsTheShop(t *testing.T) {
	folder := t.TempDir()
	sheet, saved := filepath.Join(folder, "coil.sheet"), filepath.Join(folder, "j.sheet")
	require.NoError(t, os.WriteFile(sheet, []byte(`brushgear 1
family coil_7 "Coil" {
  test field "Field" { read current : A  limit current at most 5 A }
  fault shorted "Turns shorted" { shows field.current high always }
}
shop quay "Quay" { limit field.current at most 3 A }
`), 0o644))
	code, out, errs := said(t, []string{"S-1", "", "4 A", "end"}, "-on", "2026-03-02", "-shop", "quay", "-save", saved, sheet, "coil_7")
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "by the rules of quay")
	require.Contains(t, out, "high")
	text, err := os.ReadFile(saved)
	require.NoError(t, err)
	require.Contains(t, string(text), "\n  shop quay\n")

	code, out, errs = call(t, "", "judge", "-met", saved)
	require.Equal(t, exitFailed, code, errs)
	require.Contains(t, out, "high")
	code, _, errs = said(t, []string{"end"}, "-record", saved, "-save", saved)
	require.Equal(t, exitOK, code, errs)
	again, err := os.ReadFile(saved)
	require.NoError(t, err)
	require.Contains(t, string(again), "\n  shop quay\n")
}
