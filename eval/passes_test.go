package eval_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// passSheet has checks of what changed from one pass to another.
const passSheet = `brushgear 1
family f "F" {
  condition supply : V with voltmeter
  instrument voltmeter : V accuracy ± 1 %
  instrument ammeter : A accuracy ± 0.3 A digit 0.1 A
  positions leg "leg" : u, v, w
  remedy clean "Clean the rings" { retest field, look }
  fault dirty "Rings dirty" { shows field.resist high always  remedy clean }
  test field "Field" {
    needs supply
    read current : A with ammeter
    let resist = supply / current
    let gain = current as left - current as found
    let drop = resist as found - resist as left
    limit current at least 3.5 A
    limit resist at most 4 Ω
    limit gain at least 0.5 A
    limit drop at least 0.5 Ω
  }
  test legs "Legs" {
    read volts of leg : V
    let change = volts as left - volts as found
    let one = volts[u] as left - volts[u] as found
    limit change within -0.2 V to 0.2 V
    limit one at most 0.05 V
  }
  test look "Look" {
    read rings : clean | dark
    outcome mended when rings as found is dark and rings is clean
    outcome good otherwise
  }
}
record "R" of f {
  judge 2026-03-02
  pass as found {
    taken field.current 3.0 A at supply 12.0 V
    taken legs.volts (10.0 10.0 10.0 V)
    taken look.rings dark
  }
`

const passRest = `  pass as left {
    work clean
    taken field.current 4.0 A at supply 12.4 V
    taken legs.volts (10.1 9.7 missing V)
    taken look.rings clean
  }
}
`

func TestChangeBetweenPasses(t *testing.T) {
	v := judged(t, passSheet+passRest)
	e := explained(t, v, "field.gain")
	require.Equal(t, "1.0 A", e.Value)
	require.Equal(t, "current as left - current as found", e.Formula)
	require.Equal(t, eval.Pass, e.Result)
	require.Equal(t, "0.90 Ω", explained(t, v, "field.drop").Value) // 12.0/3.0 - 12.4/4.0
	for check, want := range map[string]eval.Result{
		"legs.change[u]": eval.Pass, "legs.change[v]": eval.Fail, "legs.change[w]": eval.NotDecidable, "legs.one": eval.Fail,
	} {
		c, ok := v.Last().Check(check)
		require.True(t, ok, check)
		require.Equal(t, want, c.Result(), check)
	}
	c, _ := v.Last().Check("look")
	require.Equal(t, "mended", c.Outcome())
	e = explained(t, v, "legs.change[w]")
	require.Contains(t, e.Why, "volts[w] was not read")
}

// TestChangeIsOpenUntilBothPassesAreRead: in the first pass there is nothing to compare with.
func TestChangeIsOpenUntilBothPassesAreRead(t *testing.T) {
	v := judged(t, passSheet+"}\n")
	e := explained(t, v, "field.gain")
	require.Equal(t, eval.NotDecidable, e.Result)
	require.Equal(t, "current as left, supply as left were not read", e.Why)
	v = judged(t, strings.Replace(passSheet+passRest, "3.0 A at supply 12.0 V", "3.0 A", 1))
	c, _ := v.Last().Check("field.gain")
	require.Equal(t, eval.Pass, c.Result())
	e = explained(t, v, "field.drop")
	require.Equal(t, eval.NotDecidable, e.Result)
	require.Equal(t, "supply as found was not read", e.Why)
}

// TestChangeCarriesBothErrors: the reading of each pass has an error of its own, and what a meter is off by may have changed between them.
func TestChangeCarriesBothErrors(t *testing.T) {
	v := judged(t, passSheet+passRest)
	c, _ := v.Last().Check("field.gain")
	u := 0.3 / math.Sqrt(3)
	budget := c.Budget()
	require.Len(t, budget, 2)
	require.ElementsMatch(t, []string{"current as left", "current as found"}, []string{budget[0].Reading, budget[1].Reading})
	require.Equal(t, "ammeter", budget[0].Meter)
	require.InEpsilon(t, u, budget[0].U.SI(), 1e-9)
	require.InEpsilon(t, 0.5, budget[0].Share, 1e-9)
	z := 0.5 / (u * math.Sqrt2)
	require.InEpsilon(t, math.Exp(-z*z/2), c.Weight("low"), 1e-9)
	c, _ = v.Last().Check("field.drop")
	require.Len(t, c.Budget(), 4)
	require.False(t, c.Budget()[0].Shared, "12 V as found and 12.4 V as left are errors of two performances")
}

// TestRepeatsOfAPass: of repeats in the earlier pass the last counts; one that is void does not.
func TestRepeatsOfAPass(t *testing.T) {
	bench := mustBench(t, passSheet+"}\n")
	j, err := bench.Open("f")
	require.NoError(t, err)
	amps := func(text, void string) {
		require.NoError(t, j.Take("field.current", eval.Reading{Value: parsed(t, text), Void: void, At: map[string]eval.Value{"supply": parsed(t, "12.0 V")}}))
	}
	gain := func() string {
		v, err := j.Judge(t.Context())
		require.NoError(t, err)
		c, _ := v.Last().Check("field.gain")
		q, _ := c.Value()
		return q.Round(1).String()
	}
	require.NoError(t, j.Begin(eval.Round{Stage: eval.AsFound}))
	amps("3.0 A", "")
	amps("3.2 A", "")
	amps("1.0 A", "the lead had come off")
	require.NoError(t, j.Begin(eval.Round{Stage: eval.AsLeft}))
	amps("4.0 A", "")
	require.Equal(t, "0.8 A", gain())
	amps("4.1 A", "")
	require.Equal(t, "0.9 A", gain())
}

func TestFindingsOfPasses(t *testing.T) {
	requireSlips(t, []slip{
		{"no such value", "test n \"N\" { read x : V  let y = x as left - ^z as found  limit y at most 1 V }", dsl.CodeUnknownName, "has no value z"},
		{"outside of a test", "test n \"N\" { read x : V }\nrequire ^n.x as found at most 3 V \"no\"", dsl.CodeMisplaced, "there are no passes to compare"},
		{"passes of passes", "test n \"N\" { read x : V  let y = x as left - x as found  let z = ^y as found  limit z at most 1 V }", dsl.CodeMisplaced, "y compares passes itself"},
		{"another test", "test m \"M\" { read x : V }\ntest n \"N\" { read x : V  let y = x - m.x  let z = ^y as found  limit z at most 1 V }", dsl.CodeMisplaced, "is worked out from another test"},
		{"itself", "test n \"N\" { read x : V  ^let y = x - y as found  limit y at most 1 V }", dsl.CodeCircle, "uses itself"},
	}, inFamily)
}

// TestFormulasThatDoubleThemselves: a chain of formulas, each of which uses the one before twice, names a reading 2⁶⁰ times and is judged at once.
func TestFormulasThatDoubleThemselves(t *testing.T) {
	sheet := &strings.Builder{}
	sheet.WriteString("brushgear 1\nfamily f \"F\" {\n  test t \"T\" {\n    read x : V\n    let a0 = x - 1 V\n")
	for i := range 60 {
		fmt.Fprintf(sheet, "    let a%d = a%d - a%d / 2\n", i+1, i, i)
	}
	sheet.WriteString("    limit a60 at most 5 V\n    let gain = a60 as left - a60 as found\n    limit gain at most 1 V\n  }\n}\n")
	sheet.WriteString("record \"R\" of f {\n  judge 2026-03-02\n  pass as found { taken t.x 1 V to 2 V }\n  pass as left { taken t.x 1.5 V }\n}\n")
	v := judged(t, sheet.String())
	require.Equal(t, eval.Pass, explained(t, v, "t.a60").Result)
	c, _ := v.Last().Check("t.gain")
	require.Equal(t, eval.Pass, c.Result())
	require.Len(t, c.Budget(), 1)
	mustBench(t, sheet.String()).ProveKnowledge()
}
