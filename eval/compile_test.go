package eval_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// findings compiles a sheet and lists what is wrong as line:column code.
func findings(t testing.TB, sheet string) (list []string, all string) {
	t.Helper()
	f, err := dsl.Parse("test.sheet", []byte(sheet))
	require.NoError(t, err)
	_, err = eval.Compile([]*dsl.File{f})
	var diags dsl.Diagnostics
	if err != nil {
		require.ErrorAs(t, err, &diags)
	}
	for _, d := range diags {
		list = append(list, fmt.Sprintf("%d:%d %s", d.Range.Pos.Line, d.Range.Pos.Column, d.Code))
		all += d.Error() + "\n"
	}
	return list, all
}

// TestOneSlipOneFinding: a slip is reported where it is, with what to write instead, and nothing else is.
func TestOneSlipOneFinding(t *testing.T) {
	for _, test := range []struct{ name, stmts, want, says string }{
		{"current against resistance", "read x : A\nlimit x at most 5 Ω", "13:17 wrong-dimension", "current"},
		{"coulomb for Celsius", "read x : °C\nlimit x at most 20 C", "13:17 wrong-dimension", "write °C"},
		{"number without unit", "read x : V\nlimit x at most 5", "13:17 wrong-dimension", "such as 2 V"},
		{"misspelt value", "read current : A\nlimit curent at most 5 A", "13:7 unknown-name", "did you mean current?"},
		{"misspelt condition", "needs suply\nread x : V", "12:7 unknown-name", "suply"},
		{"temperatures added", "read x : °C\nlet y = x + 20 °C", "13:9 wrong-dimension", ""},
		{"torque times speed", "read f : N·m\nread n : rpm\nlet p = f * n", "14:9 wrong-dimension", "power(torque, speed)"},
		{"dual unit misprinted by ten", "read x : mm\nlimit x at most 0.8 mm (0.31 in)", "13:17 dual-units-disagree", "0.03 in, not 0.31 in"},
		{"range backwards", "read x : V\nlimit x 5 to 3 V", "13:9 bad-limit", "smaller value first"},
		{"grade that does not rise", "read x : V\ngrade x : a below 5 V | b below 4 V | good", "13:25 outcome-rows", "lowest value up"},
		{"no outcome passes", "read x : V\ngrade x : a below 5 V | b", "13:1 outcome-rows", "no outcome passes"},
		{"rows without otherwise", "read x : V\noutcome good when x below 5 V", "13:1 outcome-rows", "otherwise"},
		{"formula in a circle", "let a = 2 * b\nlet b = 2 * a", "12:1 circle", "itself"},
		{"unknown law", "read x : Ω\ncorrect x by coper from winding_temp", "13:14 unknown-law", "did you mean copper?"},
		{"reference without law", "read x : Ω\nlimit x at most 3 Ω at winding_temp 20 °C", "13:1 no-correction", "correct x by copper from winding_temp"},
		{"alike of a single value", "read x : Ω\nlimit x alike 3 % by mean", "13:9 wrong-type", "read x of phase"},
		{"list as a condition", "read x of phase : Ω\noutcome good when x above 3 Ω\noutcome odd otherwise", "13:19 wrong-type", "each"},
		{"word that is none", "read x : free | drags\nlimit x is drag", "13:12 unknown-word", "did you mean drags?"},
		{"unknown function", "read x of phase : Ω\nlet y = average(x)", "13:9 unknown-function", ""},
		{"position that is none", "read x of phase : Ω\nlimit x[a] at most 2 Ω", "13:7 bad-index", "known here: u, v, w"},
		{"gate that is none", "needs other is good\nread x : V", "12:7 unknown-name", "there is no test other"},
	} {
		t.Run(test.name, func(t *testing.T) {
			got, all := findings(t, family(test.stmts, ""))
			require.Equal(t, []string{test.want}, got, all)
			require.Contains(t, all, test.says)
		})
	}
}

func TestFaultFindings(t *testing.T) {
	head := "brushgear 1\nfamily unit \"Unit\" {\npart rotor \"Rotor\"\ntest t \"T\" { read x : V limit x at most 5 V }\n"
	for _, test := range []struct{ fault, want string }{
		{"fault f \"F\" { part rotr }", "5:20 unknown-name"},
		{"fault f \"F\" { part rotor shows t.x hgh always }", "5:32 unknown-outcome"},
		{"fault f \"F\" { part rotor shows t.x high usually shows t.x high often }", "5:49 bad-strength"},
		{"fault f \"F\" { part rotor leads to g often }\nfault g \"G\" { part rotor leads to f often }", "6:7 circle"},
		{"fault f \"F\" { part rotor masks t for h }", "5:38 unknown-name"},
		{"fault f \"F\" { part rotor remedy mend }", "5:33 unknown-name"},
		{"fault f \"F\" { part rotor occurs 0.5 }", "5:33 bad-frequency"},
		{"fault f \"F\" { part rotor shows t.x high always when t is good }", "5:53 misplaced"},
	} {
		got, all := findings(t, head+test.fault+"\n}\n")
		require.Equal(t, []string{test.want}, got, all)
	}
}

const layersSheet = `brushgear 1
source old "Old sheet" edition "1" until 2010-12-31
source recent "Recent sheet" edition "2" from 2011-01-01
kind base "Base" {
  attribute poles : count
  attribute nominal : 12 V | 24 V
  test a "A" { read x : V  limit x at most 1 V }
  test b "B" { read y : A  limit y }
  test c "C" { needs a is good  read z : V  limit z at most 9 V when nominal is 12 V  limit z at most 18 V when nominal is 24 V }
  fault f "F" { shows a high always }
}
kind middle "Middle" of base { limit a.x at most 2 V }
family unit "Unit" of middle {
  set poles 12
  set nominal 12 V
  limit a.x at most 3 V
  limit b.y at most 10 A per old
  limit b.y at most 20 A per recent
  variant late "from serial K500" when serial at least "K500" {
    set poles 16
    limit a.x at most 4 V
    without fault f
  }
}
shop strict "Strict" { limit a.x at most 0.5 V  limit nowhere.x at most 1 V }
`

func layered(t *testing.T, record string, options ...eval.Option) *eval.Verdict {
	t.Helper()
	b := mustBench(t, layersSheet+record)
	records, err := b.Records()
	require.NoError(t, err)
	j, err := b.Load(records[0], options...)
	require.NoError(t, err)
	v, err := j.Judge(t.Context())
	require.NoError(t, err)
	return v
}

// TestLayers: kind, kind of it, family, variant and shop override each other, and the verdict says what was replaced.
func TestLayers(t *testing.T) {
	record := func(serial string) string {
		return `record "r" of unit { serial "` + serial + `" judge 2026-03-02 taken a.x 3.5 V }`
	}
	e := explained(t, layered(t, record("K 100")), "a.x")
	require.Equal(t, eval.Fail, e.Result)
	require.Equal(t, "family unit", e.Limit.Layer)
	require.Len(t, e.Limit.Replaced, 2)
	require.Contains(t, e.Limit.Replaced[0], "at most 2 V of kind middle")

	require.Equal(t, eval.Pass, explained(t, layered(t, record("K 501")), "a.x").Result, "the variant applies")

	e = explained(t, layered(t, record("X9")), "a.x")
	require.Equal(t, eval.NotDecidable, e.Result, "another letter pattern cannot be compared")
	require.Contains(t, e.Why, `serial at least "K500"`)

	require.Equal(t, "shop strict", explained(t, layered(t, record("K 501"), eval.InShop("strict")), "a.x").Limit.Layer)
}

func TestVariantLeavesOutAFault(t *testing.T) {
	for serial, there := range map[string]bool{"K100": true, "K600": false} {
		_, ok := layered(t, `record "r" of unit { serial "`+serial+`" judge 2026-03-02 taken a.x 9 V }`).Last().Fault("f")
		require.Equal(t, there, ok, serial)
	}
}

// TestEditionOfTheDay: the judge date picks the edition.
func TestEditionOfTheDay(t *testing.T) {
	for day, want := range map[string]eval.Result{"2010-12-31": eval.Fail, "2011-01-01": eval.Pass} {
		e := explained(t, layered(t, `record "r" of unit { serial "K1" judge `+day+` taken b.y 15 A }`), "b.y")
		require.Equal(t, want, e.Result, day)
	}
	_, all := findings(t, strings.Replace(layersSheet, "from 2011-01-01", "from 2011-02-01", 1))
	require.Contains(t, all, "no edition of this limit is in force from 2011-01-01 to the day before 2011-02-01")
	_, all = findings(t, strings.Replace(layersSheet, "from 2011-01-01", "from 2010-12-31", 1))
	require.Contains(t, all, "hold at once")
}

func TestNoEditionInForce(t *testing.T) {
	sheet := strings.Replace(layersSheet, "  limit b.y at most 10 A per old\n", "", 1) + `record "r" of unit { serial "K1" judge 2009-01-01 taken b.y 15 A }`
	c := checked(t, sheet, "b.y")
	require.Equal(t, eval.NotDecidable, c.Result())
}

func TestIncludeTwiceAndWhen(t *testing.T) {
	sheet := `brushgear 1
kind cell "Cell" { attribute size : A  test rest "Rest" { read volts : V  limit volts at least 12.4 V } }
kind set "Set" {
  attribute nominal : 12 V | 24 V
  include cell as front, rear when nominal is 24 V
  test run "Run" { needs front.rest is good  read amps : A  limit amps within front.size ± 10 % }
  require front.size equals rear.size "front and rear differ"
}
family cell_60 "Cell 60" of cell { set size 60 A }
family cell_80 "Cell 80" of cell { set size 80 A }
family set_24 "Set, 24 V" of set { set nominal 24 V }
record "r" of set_24 {
  unit front is cell_60
  unit rear is cell_80
  judge 2026-03-02
  taken front.rest.volts 12.6 V
  taken rear.rest.volts 12.0 V
  taken run.amps 63 A
}`
	v := judged(t, sheet)
	for name, want := range map[string]eval.Result{"front.rest.volts": eval.Pass, "rear.rest.volts": eval.Fail, "run.amps": eval.Pass} {
		c, ok := v.Last().Check(name)
		require.True(t, ok, name)
		require.Equal(t, want, c.Result(), name)
	}
	require.Contains(t, v.Explain().Facts, "front and rear differ")
}
