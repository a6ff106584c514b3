package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
)

// TestCorrectionsOfSheets: a reading is brought to the conditions of its limit by the laws of its test.
func TestCorrectionsOfSheets(t *testing.T) {
	for _, test := range []struct {
		name, stmts, reading, value string
		want                        eval.Result
		source                      string
	}{
		{"field when warm", "read x : Ω\ncorrect x by copper from winding_temp\nlimit x 2.4 to 2.8 Ω at winding_temp 20 °C",
			"taken t.x 2.95 Ω at winding_temp 68 °C", "2.48 Ω", eval.Pass, "computed from the formula of IEEE 118"},
		{"field by voltage alone", "read x : A\ncorrect x by proportional from supply\nlimit x 4.0 to 4.6 A at supply 12.0 V",
			"taken t.x 4.75 A at supply 12.8 V", "4.45 A", eval.Pass, "Ohm's law"},
		{"the same by voltage and temperature", "read x : A\ncorrect x by proportional from supply\ncorrect x by copper from winding_temp\nlimit x 4.0 to 4.6 A at supply 12.0 V, winding_temp 21 °C",
			"taken t.x 4.75 A at supply 12.8 V, winding_temp 45 °C", "4.87 A", eval.Fail, "Ohm's law and the formula of IEEE 118"},
		{"free run", "read x : rpm\nread i : A\ncorrect x by back_emf (i * 12 mΩ) from supply\nlimit x at least 5600 rpm at supply 10.6 V",
			"taken t { x 6200 rpm, i 65 A } at supply 11.5 V", "5679 rpm", eval.Pass, "equation of the motor, common practice, no source"},
		{"insulation", "read x : MΩ\ncorrect x by insulation from winding_temp to 40 °C\nlimit x at least 5 MΩ",
			"taken t.x 20 MΩ at winding_temp 22 °C", "5.7 MΩ", eval.Pass, "IEEE 43-2000, 6.3"},
		{"insulation when the meter reads colder", "read x : MΩ\ncorrect x by insulation from winding_temp to 40 °C\nlimit x at least 70 MΩ",
			"taken t.x 100.0 MΩ at winding_temp 35.0 °C", "70.71 MΩ", eval.Pass, "IEEE 43-2000, 6.3 example"},
		{"gravity", "read x : ratio\ncorrect x by linear (0.004 per 10 °F) from winding_temp to 80 °F\nlimit x at least 1.220",
			"taken t.x 1.250 at winding_temp 20 °F", "1.226", eval.Pass, "TM 5-4210-230-14&P-1; a generator-set manual"},
		{"a formula", "read v : V\nread i : A\nlet x = v / i\ncorrect x by copper from winding_temp\nlimit x 2.4 to 2.8 Ω at winding_temp 20 °C",
			"taken t { v 12.00 V, i 4.000 A } at winding_temp 68.0 °C", "2.52", eval.Pass, "computed from the formula of IEEE 118"},
	} {
		e := explained(t, judged(t, family(test.stmts, test.reading)), "t.x")
		require.Equal(t, test.want, e.Result, "%s (%s): %s %s", test.name, test.source, e.Value, e.Why)
		require.Contains(t, e.Value, test.value, "%s (%s)", test.name, test.source)
	}
}

// TestCorrectionsRefused: beyond 60 K or a fifth of the voltage the verdict says at what to repeat; common practice, no source.
func TestCorrectionsRefused(t *testing.T) {
	const (
		copper       = "read x : Ω\ncorrect x by copper from winding_temp\nlimit x 2.4 to 2.8 Ω at winding_temp 20 °C"
		proportional = "read x : A\ncorrect x by proportional from supply\nlimit x 4.0 to 4.6 A at supply 12.0 V"
	)
	for _, test := range []struct{ stmts, reading, why, decides string }{
		{copper, "taken t.x 2.95 Ω at winding_temp 81 °C", "81 °C is too far from 20 °C to correct by copper", "repeat at winding temp 20 °C"},
		{copper, "taken t.x 2.0 Ω at winding_temp -41 °C", "-41 °C is too far from 20 °C to correct by copper", "repeat at winding temp 20 °C"},
		{"needs supply, winding_temp\nread x : A\ncorrect x by copper from winding_temp\ncorrect x by proportional from supply\nlimit x 4 A to 5 A at winding_temp 20 °C, supply 12.0 V",
			"taken t.x 4.3 A at supply 9.5 V, winding_temp 22 °C", "9.5 V is too far from 12.0 V to correct by proportional", "repeat at supply 12.0 V"},
		{proportional, "taken t.x 4.3 A at supply 9.5 V", "9.5 V is too far from 12.0 V to correct by proportional", "repeat at supply 12.0 V"},
		{proportional, "taken t.x 4.3 A at supply 14.5 V", "14.5 V is too far from 12.0 V to correct by proportional", "repeat at supply 12.0 V"},
	} {
		e := explained(t, judged(t, family(test.stmts, test.reading)), "t.x")
		require.Equal(t, eval.NotDecidable, e.Result, test.reading)
		require.Contains(t, e.Why, test.why)
		require.Equal(t, test.decides, e.Decides)
	}
}

// TestCorrectionsOfGrades: a grade is corrected to the reference that its test states.
func TestCorrectionsOfGrades(t *testing.T) {
	const grade = "read x : Ω\ncorrect x by copper from winding_temp to 20 °C\ngrade x : low below 2.4 Ω | good below 2.8 Ω | high as fail"
	e := explained(t, judged(t, family(grade, "taken t.x 2.95 Ω at winding_temp 45 °C")), "t.x")
	require.Equal(t, eval.Pass, e.Result)
	require.Equal(t, "2.69 Ω", e.Value) // 2.95 Ω (234.5 + 20)/(234.5 + 45)
	require.Equal(t, "from 2.95 Ω by copper: winding temp 45 °C to 20 °C", e.Corrected)
	e = explained(t, judged(t, family(grade, "taken t.x 2.95 Ω at winding_temp 99 °C")), "t.x")
	require.Equal(t, eval.NotDecidable, e.Result)
	require.Contains(t, e.Why, "99 °C is too far from 20 °C to correct by copper")
	require.Equal(t, "repeat at winding temp 20 °C", e.Decides)
}

// TestCorrectionsOfWhatIsNotValid: a reading that does not count is told as it was taken, and as it was corrected.
func TestCorrectionsOfWhatIsNotValid(t *testing.T) {
	const stmts = "needs supply within 11 V to 13 V\nread x : Ω\ncorrect x by copper from winding_temp\nlimit x 2.4 to 2.8 Ω at winding_temp 20 °C"
	e := explained(t, judged(t, family(stmts, "taken t.x 2.95 Ω at winding_temp 45 °C, supply 14 V")), "t.x")
	require.Equal(t, eval.NotValid, e.Result)
	require.Equal(t, "2.69 Ω", e.Value) // 2.95 Ω (234.5 + 20)/(234.5 + 45), IEEE 118
	require.Equal(t, "from 2.95 Ω by copper: winding temp 45 °C to 20 °C", e.Corrected)
}
