package eval_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// ownLawSheet corrects one reading by copper and the other by the same law as a sheet would declare it: R2 = R1 (234.5 + T2)/(234.5 + T1), T in
// °C: IEEE 118.
const ownLawSheet = `brushgear 1
source house "House rule"
kind winding "Winding" {
  law own "Copper by hand" of r : Ω from t : °C to t0 = r * (t0 - -234.5 °C) / (t - -234.5 °C)
    when t - t0 within -60 K to 60 K per house
}
family f "F" of winding {
  decide guard 2 u
  condition winding_temp : °C with thermometer likely 10 °C to 40 °C
  instrument ohmmeter : Ω accuracy ± (0.3 % + 2 digits) digit 0.01 Ω
  instrument thermometer : °C accuracy ± 2 °C
  test a "By the language" {
    needs winding_temp
    read r : Ω with ohmmeter
    correct r by copper from winding_temp
    limit r 2.40 to 2.80 Ω at winding_temp 20 °C
  }
  test b "By the sheet" {
    needs winding_temp
    read r : Ω with ohmmeter
    correct r by own from winding_temp
    limit r 2.40 to 2.80 Ω at winding_temp 20 °C
  }
}
`

// TestOwnLawIsAsGoodAsOneOfTheLanguage: value, uncertainty, weights, ranges and refusals are the same.
func TestOwnLawIsAsGoodAsOneOfTheLanguage(t *testing.T) {
	bench := mustBench(t, ownLawSheet)
	rapid.Check(t, func(t *rapid.T) {
		j, err := bench.Open("f")
		require.NoError(t, err)
		ohms, celsius := rapid.IntRange(200, 330).Draw(t, "ohms"), rapid.IntRange(-50, 100).Draw(t, "celsius")
		reading := parsed(t, fmt.Sprintf("%d.%02d Ω", ohms/100, ohms%100))
		if rapid.IntRange(0, 3).Draw(t, "range") == 0 {
			reading = parsed(t, fmt.Sprintf("%d.%02d Ω to 3.40 Ω", ohms/100, ohms%100))
		}
		at := map[string]eval.Value{"winding_temp": parsed(t, fmt.Sprintf("%d °C", celsius))}
		switch rapid.IntRange(0, 4).Draw(t, "temp") {
		case 0:
			at = nil
		case 1:
			at["winding_temp"] = parsed(t, fmt.Sprintf("%d °C to %d °C", celsius, celsius+5))
		}
		for _, test := range []string{"a.r", "b.r"} {
			require.NoError(t, j.Take(test, eval.Reading{Value: reading, At: at}))
		}
		v, err := j.Judge(t.Context())
		require.NoError(t, err)
		a, _ := v.Last().Check("a.r")
		b, _ := v.Last().Check("b.r")
		require.Equal(t, a.Result(), b.Result())
		require.Equal(t, a.Outcomes(), b.Outcomes())
		for _, o := range []string{"good", "low", "high"} {
			require.InDelta(t, a.Weight(o), b.Weight(o), 1e-9, o)
		}
		x, ok := a.Value()
		y, same := b.Value()
		require.Equal(t, ok, same)
		require.InDelta(t, x.SI(), y.SI(), 1e-12)
		ab, bb := a.Budget(), b.Budget()
		require.Len(t, bb, len(ab))
		for i := range ab {
			require.InDelta(t, ab[i].Share, bb[i].Share, 1e-9)
		}
	})
}

func TestOwnLawInWords(t *testing.T) {
	with := func(readings string) *eval.Verdict {
		return judged(t, ownLawSheet+"record \"R\" of f {\n  judge 2026-03-02\n  pass as found { "+readings+" }\n}\n")
	}
	e := explained(t, with("taken b.r 2.95 Ω at winding_temp 45 °C"), "b.r")
	require.Equal(t, "from 2.95 Ω by own (House rule): winding temp 45 °C to 20 °C", e.Corrected)
	require.Equal(t, "2.69 Ω", e.Value)
	e = explained(t, with("taken b.r 2.95 Ω at winding_temp 90 °C"), "b.r")
	require.Equal(t, eval.NotDecidable, e.Result)
	require.Equal(t, "from winding temp 90 °C to 20 °C the law own does not hold (t - t0 within -60 K to 60 K)", e.Why)
	require.Equal(t, "repeat at winding temp 20 °C", e.Decides)
}

// TestOwnLawWithAttribute: a law can use what is known of the unit, and a family replaces the law of its kind.
func TestOwnLawWithAttribute(t *testing.T) {
	const sheet = `brushgear 1
kind k "K" {
  attribute cells : count
  condition temp : °C
  law per_cell "By cells" of v : V from t : °C to t0 = v + cells * 2 mV/K * (t - t0) when t within 0 °C to 50 °C
  test rest "Rest" { read v : V  correct v by per_cell from temp to 25 °C  limit v at least 12.5 V }
}
family six "Six" of k { set cells 6 }
family other "Other" of k { set cells 6  without law per_cell  law per_cell "No change" of v : V from t : °C to t0 = v when t within 0 °C to 50 °C }
record "A" of %s { judge 2026-03-02 pass as found { taken rest.v 12.40 V at temp 35 °C } }
`
	require.Equal(t, "12.52 V", explained(t, judged(t, fmt.Sprintf(sheet, "six")), "rest.v").Value)
	require.Equal(t, "12.40 V", explained(t, judged(t, fmt.Sprintf(sheet, "other")), "rest.v").Value)
}

func TestFindingsOfLaws(t *testing.T) {
	law := func(of, from, formula, when string) string {
		return fmt.Sprintf("condition hall : °C\nlaw feed_wire \"Own\" of %s from %s to t0 = %s when %s\ntest n \"N\" { read x : Ω  correct x by feed_wire from hall to 20 °C  limit x at most 3 Ω }", of, from, formula, when)
	}
	const r, temp, formula, when = "r : Ω", "t : °C", "r * (1 + (t0 - t) / 250 K)", "t within 0 °C to 80 °C"
	requireSlips(t, []slip{
		{"a name of the language", strings.NewReplacer("law feed_wire", "law ^copper", "by feed_wire", "by copper").Replace(law(r, temp, formula, when)), dsl.CodeDuplicateName, "give this one another name"},
		{"words", law("r : ^good | bad", temp, formula, when), dsl.CodeWrongType, "a law is of numbers"},
		{"one name twice", law("^t : Ω", temp, "t", when), dsl.CodeDuplicateName, "two of the names"},
		{"another dimension", law(r, temp, "^r / (t0 - t)", when), dsl.CodeDimension, "a resistance is wanted here"},
		{"no use of the reading", law(r, temp, "^2 Ω", when), dsl.CodeUnknownLaw, "does not use r"},
		{"a condition", law(r, temp, "r * (1 + (t0 - ^hall) / 250 K)", when), dsl.CodeMisplaced, "belongs to a reading"},
		{"a reading", law(r, temp, "r + ^n.x", when), dsl.CodeMisplaced, "a law knows only its own names and attributes"},
		{"an outcome", law(r, temp, formula, "^n.x is good"), dsl.CodeMisplaced, "a law knows only its own names and attributes"},
		{"a name that is none", law(r, temp, "r + ^q", when), dsl.CodeUnknownName, "known here"},
		{"no condition", law(r, temp, formula, "^t0 - t"), dsl.CodeWrongType, "a condition is wanted here"},
		{"no source", law(r, temp, formula, when+" per ^hose"), dsl.CodeUnknownName, "there is no source hose"},
		{"another reading", "law own \"Own\" of a : A from t : °C to t0 = a when t within 0 °C to 80 °C\ncondition hall : °C\ntest n \"N\" { read x : Ω  ^correct x by own from hall to 20 °C }", dsl.CodeUnknownLaw, "it corrects a current"},
		{"another condition", "law own \"Own\" of a : Ω from t : V to t0 = a when t within 0 V to 80 V\ncondition hall : °C\ntest n \"N\" { read x : Ω  ^correct x by own from hall to 20 °C }", dsl.CodeUnknownLaw, "it needs a voltage"},
		{"brackets", strings.Replace(law(r, temp, formula, when), "correct x by feed_wire", "^correct x by feed_wire (2 Ω)", 1), dsl.CodeUnknownLaw, "it takes nothing in brackets"},
		{"a misspelt law", strings.Replace(law(r, temp, formula, when), "x by feed_wire", "x by ^feed_wier", 1), dsl.CodeUnknownLaw, "did you mean feed_wire?"},
	}, inFamily)
}

// TestLawsAndPassesInEditions: a law that was changed, and a comparison of other passes, are changes of the sheet.
func TestLawsAndPassesInEditions(t *testing.T) {
	old := mustBench(t, ownLawSheet)
	changes := eval.CompareEditions(old, mustBench(t, strings.Replace(ownLawSheet, "-60 K to 60 K", "-50 K to 50 K", 1)))
	require.Len(t, changes, 1)
	require.Contains(t, spoken(changes)[0], "law own: formula: changed")
	old = mustBench(t, passSheet+"}\n")
	changes = eval.CompareEditions(old, mustBench(t, strings.Replace(passSheet, "current as left - current as found", "current as left - current in work", 1)+"}\n"))
	require.Len(t, changes, 1)
	require.Contains(t, spoken(changes)[0], "test field: formula gain: changed")
}
