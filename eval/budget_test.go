package eval_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/uncertainty"
)

// budgetSheet has a check of each kind that has a budget. The readings follow in its record.
const budgetSheet = `brushgear 1
family f "F" {
  decide guard 2 u
  condition supply : V with voltmeter
  condition winding_temp : °C with thermometer
  positions phase "phase" : u, v, w
  instrument voltmeter : V accuracy ± (0.5 %% + 1 digits) digit 0.01 V
  instrument clamp : A accuracy ± 2 %% digit 0.01 A
  instrument thermometer : °C accuracy ± 2 °C
  test field "Field" {
    needs supply, winding_temp
    read current : A with clamp
    let resistance = supply / current
    correct resistance by copper from winding_temp
    limit resistance 2.4 to 2.55 Ω at winding_temp 20 °C
  }
  test drop "Drop" {
    read before : V with voltmeter
    read behind : V with voltmeter
    let lost = before - behind
    let share = lost / before
    limit lost at most 0.43 V
    grade share : good below 3.5 %% | worn as marginal below 5 %% | bad
    limit before at least 13.9 V
  }
  test legs "Legs" {
    read volts of phase : V with voltmeter
    limit volts alike 1 %% by span
  }
  test run "Run" {
    needs supply
    read current : A
    limit current along supply linear { row 11 V : at most 60 A  row 13 V : at most 80 A }
    let used = current + field.current
    limit used at most 80 A
  }
}
record "R" of f {
  judge 2026-03-02
  pass as found {
    taken field.current %s at supply %s, winding_temp %s
    taken drop.before %s
    taken drop.behind %s
    taken legs.volts (%s)
    taken run.current %s at supply 12.00 V
  }
}
`

func budgeted(t *testing.T) *eval.Verdict {
	return judged(t, fmt.Sprintf(budgetSheet, "4.71 A", "12.05 V", "25.0 °C", "14.00 V", "13.58 V", "14.00 13.90 13.95 V", "70 A"))
}

func budget(t *testing.T, v *eval.Verdict, check string) []eval.Contribution {
	t.Helper()
	c, ok := v.Last().Check(check)
	require.True(t, ok, check)
	return c.Budget()
}

// TestBudgetAgainstPropagation: the shares are those that the package uncertainty works out from the formula itself (JCGM 100:2008, 5.1.2).
func TestBudgetAgainstPropagation(t *testing.T) {
	volt := standardOf(0.005*12.05) * standardOf(0.005*12.05)
	volt = math.Sqrt(volt + standardOf(0.01)*standardOf(0.01))
	amp := math.Hypot(standardOf(0.02*4.71), standardOf(0.005)) // without digits in its accuracy: half a step
	want, err := uncertainty.Propagate(func(x []float64) float64 { return x[0] / x[1] * (234.5 + 20) / (234.5 + x[2]) },
		[]uncertainty.Input{{X: 12.05, U: volt}, {X: 4.71, U: amp}, {X: 25, U: standardOf(2)}}, nil)
	require.NoError(t, err)
	got := budget(t, budgeted(t), "field.resistance")
	require.Len(t, got, 3)
	for i, k := range []struct {
		reading, meter string
		input          int
	}{{"current", "clamp", 1}, {"winding_temp", "thermometer", 2}, {"supply", "voltmeter", 0}} {
		require.Equal(t, k.reading, got[i].Reading)
		require.Equal(t, k.meter, got[i].Meter)
		require.False(t, got[i].Shared)
		require.InEpsilon(t, want.Shares[k.input], got[i].Share, 1e-3, k.reading)
		require.InEpsilon(t, want.Parts[k.input], got[i].U.SI(), 1e-3, k.reading)
	}
}

func standardOf(halfWidth float64) float64 { return halfWidth * uncertainty.Rectangular }

// TestBudgetOfAShiftThatTwoReadingsShare: what two readings of one meter share counts once, as full correlation (JCGM 100:2008, 5.2.2).
func TestBudgetOfAShiftThatTwoReadingsShare(t *testing.T) {
	own, p, q := standardOf(0.01), standardOf(0.005*14.00), standardOf(0.005*13.58)
	total := (p-q)*(p-q) + 2*own*own
	got := budget(t, budgeted(t), "drop.lost")
	require.Len(t, got, 2)
	require.Equal(t, []string{"before", "behind"}, []string{got[0].Reading, got[1].Reading})
	require.True(t, got[0].Shared && got[1].Shared)
	require.InEpsilon(t, (own*own+p*(p-q))/total, got[0].Share, 1e-9)
	require.InEpsilon(t, (own*own-q*(p-q))/total, got[1].Share, 1e-9)
	require.InEpsilon(t, math.Hypot(own, p), got[0].U.SI(), 1e-9)
}

func TestBudgetOfEachKind(t *testing.T) {
	v := budgeted(t)
	for check, want := range map[string][]string{
		"drop.before":      {"before"},
		"drop.share":       {"behind", "before"},
		"legs.volts.alike": {"volts[u]", "volts[v]", "volts[w]"},
		"run.current":      {"current", "supply"},
		"run.used":         {"current", "field.current"},
	} {
		var names []string
		sum := 0.0
		for _, k := range budget(t, v, check) {
			names = append(names, k.Reading)
			sum += k.Share
		}
		require.ElementsMatch(t, want, names, check)
		require.InDelta(t, 1, sum, 1e-9, check)
	}
	require.Nil(t, budget(t, judged(t, fmt.Sprintf(budgetSheet, "missing", "12.05 V", "25.0 °C", "14.00 V", "13.58 V", "14.00 13.90 13.95 V", "70 A")), "field.resistance"))
}

// TestBudgetNamesTheMeterToChange: a technician is told which meter brings the uncertainty.
func TestBudgetNamesTheMeterToChange(t *testing.T) {
	e := explained(t, budgeted(t), "field.resistance")
	require.Equal(t, eval.Marginal, e.Result)
	require.Equal(t, "measure it with a better meter; most of the uncertainty (82 %) comes from current (clamp)", e.Decides)
	require.Len(t, e.Budget, 3)
	require.Equal(t, eval.ContributionText{Reading: "current", Meter: "clamp", U: "0.029 Ω", Share: "82 %"}, e.Budget[0])
}

// TestBudgetAddsUp: the shares of any readings add up to one, and the parts to the uncertainty that Explain prints.
func TestBudgetAddsUp(t *testing.T) {
	f, err := dsl.Parse("budget.sheet", fmt.Appendf(nil, budgetSheet, "4.71 A", "12.05 V", "25.0 °C", "14.00 V", "13.58 V", "14.00 13.90 13.95 V", "70 A"))
	require.NoError(t, err)
	bench, err := eval.Compile([]*dsl.File{f})
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		j, err := bench.Open("f")
		require.NoError(t, err)
		take := func(name, unit string, lo, hi float64) eval.Value {
			return parsed(t, fmt.Sprintf("%.2f %s", rapid.Float64Range(lo, hi).Draw(t, name), unit))
		}
		require.NoError(t, j.Take("field.current", eval.Reading{Value: take("current", "A", 1, 9), At: map[string]eval.Value{
			"supply": take("supply", "V", 8, 16), "winding_temp": take("temp", "°C", 5, 70)}}))
		require.NoError(t, j.Take("drop", eval.Reading{Values: map[string]eval.Value{"before": take("before", "V", 8, 16), "behind": take("behind", "V", 8, 16)}}))
		v, err := j.Judge(t.Context())
		require.NoError(t, err)
		for _, name := range []string{"field.resistance", "drop.lost", "drop.share"} {
			c, _ := v.Last().Check(name)
			sum, parts, mixed := 0.0, 0.0, false
			for _, k := range c.Budget() {
				sum += k.Share
				parts += k.U.SI() * k.U.SI()
				mixed = mixed || k.Shared
			}
			require.InDelta(t, 1, sum, 1e-9, name)
			if !mixed {
				for _, k := range c.Budget() {
					require.InDelta(t, k.U.SI()*k.U.SI()/parts, k.Share, 1e-9, name)
				}
			}
		}
	})
}

func parsed(t require.TestingT, text string) eval.Value {
	v, err := eval.ParseValue(text)
	require.NoError(t, err)
	return v
}
