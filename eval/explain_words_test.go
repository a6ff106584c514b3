package eval_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/eval/report"
)

func lastPass(t testing.TB, sheet string) eval.PassExplanation {
	t.Helper()
	e := judged(t, sheet).Explain()
	return e.Passes[len(e.Passes)-1]
}

// TestHiddenChecksAreNotUnique: what a fault alone shows does not show it where another may have hidden the check.
func TestHiddenChecksAreNotUnique(t *testing.T) {
	sheet := func(masks, readings string) string {
		return `brushgear 1
family f "F" {
  part rectifier "Rectifier"
  test output "Output" { read current : A limit current at least 90 A }
  test ripple "Ripple" { read volts : V limit volts at most 0.8 V }
  fault dead "Regulator open" { shows output.current low always ` + masks + ` }
  fault diode "Diode open" { part rectifier shows ripple.volts high always shows output.current low usually }
}
record "r" of f { judge 2026-03-02  pass as found { ` + readings + ` } }`
	}
	because := func(masks, readings string) (diagnosis.Status, string) {
		for _, f := range lastPass(t, sheet(masks, readings)).Faults {
			if f.Name == "diode" {
				return f.Status, f.Because[0]
			}
		}
		return diagnosis.NotExamined, ""
	}
	const alone = "ripple.volts is high: nothing else on the sheet does this"
	status, why := because("", "taken ripple.volts 2.4 V")
	require.Equal(t, diagnosis.Shown, status)
	require.Equal(t, alone, why)
	status, why = because("masks ripple", "taken ripple.volts 2.4 V taken output.current 60 A")
	require.Equal(t, diagnosis.Suspected, status, "the regulator explains both readings as well")
	require.NotContains(t, why, "nothing else")
	status, why = because("masks ripple", "taken ripple.volts 2.4 V taken output.current 95 A")
	require.Equal(t, diagnosis.Shown, status, "the output rules the regulator out")
	require.Equal(t, alone, why)
}

// TestPlanOfASoundUnit: where the likeliest story is no fault, the plan is not told to lead to a remedy.
func TestPlanOfASoundUnit(t *testing.T) {
	plan := func(readings string) string {
		return lastPass(t, `brushgear 1
family f "F" {
  part rotor "Rotor"  part bridge "Rectifier"
  remedy fit_rotor "Fit another rotor" { retest output }
  remedy fit_bridge "Fit another rectifier" { retest output }
  test field "Field" { takes 5 min read volts : V limit volts at most 0.8 V }
  test output "Output" { takes 5 min read current : A limit current at least 90 A }
  test ripple "Ripple" { takes 5 min read volts : V limit volts at most 0.8 V }
  fault open "Field open" { part rotor occurs usual remedy fit_rotor shows output.current low always }
  fault diode "Diode open" { part bridge occurs usual remedy fit_bridge shows output.current low always shows ripple.volts high always }
}
record "r" of f { judge 2026-03-02  pass as found { `+readings+` } }`).Next.Plan
	}
	require.Regexp(t, `^about \d+ min to the remedy on average, a wrong one reckoned in$`, plan("taken output.current 60 A"))
	require.Regexp(t, `^about \d+ min on average until no test is worth its time, a wrong remedy reckoned in$`, plan("taken field.volts 0.4 V"))
}

// TestWorkWithoutReadings: a brief report tells once what was found, and once what is to be retested.
func TestWorkWithoutReadings(t *testing.T) {
	brief := func(passes string) string {
		var b bytes.Buffer
		require.NoError(t, report.Brief(&b, judged(t, `brushgear 1
family f "F" {
  part bridge "Rectifier"
  remedy fit_bridge "Fit another rectifier" { retest output, ripple }
  test output "Output" { read current : A limit current at least 90 A }
  test ripple "Ripple" { read volts : V limit volts at most 0.8 V }
  fault diode "Diode open" { part bridge remedy fit_bridge shows output.current low always shows ripple.volts high always }
}
record "r" of f { judge 2026-03-02
  pass as found { taken output.current 60 A taken ripple.volts 2.4 V }
`+passes+` }`).Explain()))
		return b.String()
	}
	text := brief(`pass in work { work fit_bridge }`)
	for _, once := range []string{"FAIL, low: Output, current 60 A", "Shown: Diode open", "What explains the readings", "Fit another rectifier (done since these readings)",
		"retest after the work that was done: Output; Ripple", "IN WORK: faulty; no new readings\n  Work: Fit another rectifier\n"} {
		require.Equal(t, 1, strings.Count(text, once), "%s in\n%s", once, text)
	}
	require.NotContains(t, text, "then retest")

	text = brief(`pass in work { work fit_bridge } pass as left { taken output.current 97 A }`)
	require.Contains(t, text, "AS FOUND: faulty; Diode open\n\nIN WORK: no new readings\n  Work: Fit another rectifier\n\nAS LEFT: undecided\n")
	require.NotContains(t, text, "current 60 A")
	require.Equal(t, 1, strings.Count(text, "Before release, retest after the work that was done: Ripple"), text)

	text = brief(`pass in work { work fit_bridge taken ripple.volts 0.2 V }`)
	require.NotContains(t, text, "no new readings")
}
