package units

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// parseTests are good quantities. They feed the parser's test and the fuzzer.
var parseTests = []struct {
	input string
	text  string // as printed
	si    float64
	value float64
}{
	{"2.45 Ω", "2.45 Ω", 2.45, 2.45},
	{"2.45Ω", "2.45 Ω", 2.45, 2.45},
	{"2.450 ohm", "2.450 Ω", 2.45, 2.45},
	{"  2.45\u00a0Ω ", "2.45 Ω", 2.45, 2.45},
	{"2.45\u202fΩ", "2.45 Ω", 2.45, 2.45},
	{"1.2e3 Ω", "1.2e3 Ω", 1200, 1200},
	{"1.2E+03 Ω", "1.2E+03 Ω", 1200, 1200},
	{"1e-3V", "1e-3 V", 0.001, 0.001},
	{".5 V", "0.5 V", 0.5, 0.5},
	{"-.5 V", "-0.5 V", -0.5, -0.5},
	{"+5 V", "5 V", 5, 5},
	{"-40 °C", "-40 °C", 233.15, -40},
	{"\u221240 °F", "-40 °F", 233.15, -40},
	{"0 °C", "0 °C", 273.15, 0},
	{"-273.15 °C", "-273.15 °C", 0, -273.15},
	{"-459.67 °F", "-459.67 °F", 0, -459.67},
	{"20 C", "20 C", 20, 20},
	{"12", "12", 12, 12},
	{"-12.50", "-12.50", -12.5, -12.5},
	{"5 %", "5 %", 0.05, 5},
	{"5%", "5 %", 0.05, 5},
	{"1265 points", "1265 points", 1.265, 1265},
	{"1/4", "1/4", 0.25, 0.25},
	{"1/4 in", "1/4 in", 0.00635, 0.25},
	{"6.35 mm", "6.35 mm", 0.00635, 6.35},
	{"2-3/16 in", "2-3/16 in", 0.0555625, 2.1875},
	{"-2-3/16 inches", "-2-3/16 in", -0.0555625, -2.1875},
	{"010/0040 in", "010/0040 in", 0.00635, 0.25}, // no octal
	{"0-000000000000000000010/0000000000000000000000040 in", "0-000000000000000000010/0000000000000000000000040 in", 0.00635, 0.25},
	{"1/4in", "1/4 in", 0.00635, 0.25},
	{"3/2 mm", "3/2 mm", 0.0015, 1.5},
	{"0.22 uF", "0.22 µF", 0.22e-6, 0.22},
	{"3000 1/min", "3000 rpm", 50, 3000},
	{"3000 min-1", "3000 rpm", 50, 3000},
	{"-10 mV/K", "-10 mV/K", -0.01, -10},
	{"9.6 mV", "9.6 mV", 0.0096, 9.6},
	{"6 AWG", "6 AWG", 1.3301767890969129e-05, 6},
	{"00 AWG", "00 AWG", 6.743088223591077e-05, -1},
	{"2/0 AWG", "2/0 AWG", 6.743088223591077e-05, -1},
	{"-1 AWG", "2/0 AWG", 6.743088223591077e-05, -1},
	{"0 AWG", "0 AWG", 5.347512073211767e-05, 0},
	{"1/0 AWG", "1/0 AWG", 5.347512073211767e-05, 0},
	{"1e308 V", "1e308 V", 1e308, 1e308},
	{"5e-324 V", "5e-324 V", 5e-324, 5e-324},
	{"0e400 V", "0e400 V", 0, 0},
	{"1e300 pF", "1e300 pF", 1e288, 1e300},
	{"9007199254740993 V", "9007199254740993 V", 9007199254740992, 9007199254740992},
	{"0.1000000000000000055511151231257827021181583404541015625 V", "0.1000000000000000055511151231257827021181583404541015625 V", 0.1, 0.1},
	{"123456789012345678901/2 V", "123456789012345678901/2 V", 61728394506172839450.5, 61728394506172839450.5},
	{"7-1/123456789012345678901 V", "7-1/123456789012345678901 V", 7, 7},
}

func TestParse(t *testing.T) {
	for _, test := range parseTests {
		q, err := Parse(test.input)
		require.NoError(t, err, test.input)
		require.Equal(t, test.text, q.String(), test.input)
		require.Equal(t, test.si, q.SI(), test.input)
		require.Equal(t, test.value, q.Value(), test.input)
		again, err := Parse(q.String())
		require.NoError(t, err, test.input)
		require.Equal(t, q, again, test.input)
	}
}

// parseErrors hold for each bad text what the error covers and says.
var parseErrors = []struct {
	input, covers, want string
}{
	{"", "", "no quantity: write a number and its unit, such as 2.45 Ω"},
	{"  ", "", "no quantity: write a number and its unit, such as 2.45 Ω"},
	{"volts", "volts", "no number at the start: write a number and its unit, such as 2.45 Ω"},
	{"NaN V", "NaN V", "no number at the start: write a number and its unit, such as 2.45 Ω"},
	{"Inf", "Inf", "no number at the start: write a number and its unit, such as 2.45 Ω"},
	{"- 5 V", "- 5 V", "no number at the start: write a number and its unit, such as 2.45 Ω"},
	{". V", ". V", "no number at the start: write a number and its unit, such as 2.45 Ω"},
	{"1e V", "e V", "this is not one quantity: write one number and its unit"},
	{"1e- V", "e- V", "this is not one quantity: write one number and its unit"},
	{"1/ V", "/ V", "a unit has no blanks in it: write /V"},
	{"7-10000/0000012870000000000000", "7-10000/0000012870000000000000",
		"a mixed number needs its unit: write 7-10000/0000012870000000000000 in, or put blanks round the minus for a subtraction"},
	{"5. V", "5.", "digits are missing after the point: write 5 or 5.0"},
	{"0,22 µF", "0,22", "a decimal comma is not understood: write 0.22 µF"},
	{"1,000 V", "1,000", "a decimal comma is not understood: write 1.000, or 1000 if thousands are meant"},
	{"40 000 rpm", "40 000", "digits are not grouped by blanks: write 40000 rpm"},
	{"40\u202f000", "40\u202f000", "digits are not grouped by blanks: write 40000"},
	{"5 1/4 in", "5 1/4", "a mixed number is written with a hyphen: write 5-1/4 in"},
	{"5 1", "5 1", "two numbers in a row: write one number and its unit"},
	{"9 10 V", "9 10", "two numbers in a row: write one number and its unit"},
	{"2-3/16", "2-3/16", "a mixed number needs its unit: write 2-3/16 in, or put blanks round the minus for a subtraction"},
	{"2-19/16 in", "2-19/16", "the fraction of a mixed number is below one: write 2-3/16 in, or put blanks round the minus for a subtraction"},
	{"2-3 V", "-3 V", "a second number follows: put blanks round the minus, or write a range as 2 V to 3 V"},
	{"5 V-3 V", " V-3 V", "a second number follows: put blanks round the minus, or write a range as 2 V to 3 V"},
	{"2½ in", "2½", "a fraction in one character is not understood: write 2-1/2 in"},
	{"2 ½", "2 ½", "a fraction in one character is not understood: write 2-1/2 in"},
	{"¾ in", "¾", "a fraction in one character is not understood: write 3/4 in"},
	{"~5 V", "~", "a number stands without a sign for about: write 5 V"},
	{"2..9 Ω", "..9 Ω", "a second number follows: write one quantity, or a range as 2 V to 3 V"},
	{"2 … 9 Ω", "… 9 Ω", "a second number follows: write one quantity, or a range as 2 V to 3 V"},
	{"1/0 in", "1/0", "a fraction by zero: write a fraction such as 1/4"},
	{"2-3/00 in", "2-3/00", "a fraction by zero: write a fraction such as 1/4"},
	{"2.4 to 2.8 Ω", "to 2.8 Ω", "this is not one quantity: write one number and its unit"},
	{"5 V / K", "V / K", "a unit has no blanks in it: write V/K"},
	{"5 V or so", " or so", "text follows the unit: write one quantity, such as 5 V"},
	{"12 v", "v", `there is no unit "v": did you mean V?`},
	{" 12 voltz", "voltz", `there is no unit "voltz": did you mean V?`},
	{"3 oz", "oz", "not a unit here: write ozf for a force, oz_m for a mass"},
	{"20 C°", "C°", "not a unit here: write °C"},
	{"1/2/3 in", "/3 in", "this is not one quantity: write one number and its unit"},
	{"2/1 AWG", "2/1 AWG", "not a wire gauge: write 6 AWG, or 2/0 AWG; gauges go from 20/0 to 100"},
	{"2-1/2 AWG", "2-1/2 AWG", "not a wire gauge: write 6 AWG, or 2/0 AWG; gauges go from 20/0 to 100"},
	{"1e9 AWG", "1e9 AWG", "not a wire gauge: write 6 AWG, or 2/0 AWG; gauges go from 20/0 to 100"},
	{"1e999999999 V", "1e999999999", "the exponent is too large: write an exponent between -400 and 400"},
	{"1e-401 V", "1e-401", "the exponent is too large: write an exponent between -400 and 400"},
	{"1e400 V", "1e400 V", "the value is out of range: check the exponent and the prefix"},
	{"1e-400 V", "1e-400 V", "the value is out of range: check the exponent and the prefix"},
	{"1e308 kV", "1e308 kV", "the value is out of range: check the exponent and the prefix"},
	{"1e-320 pF", "1e-320 pF", "the value is out of range: check the exponent and the prefix"},
	{strings.Repeat("9", 201) + " V", strings.Repeat("9", 201), "the number is too long: write at most 200 characters"},
	{"1 " + strings.Repeat("V", 101), strings.Repeat("V", 101), "unit text is too long: write a product of at most six units"},
}

func TestParseErrors(t *testing.T) {
	for _, test := range parseErrors {
		_, err := Parse(test.input)
		var e *ParseError
		require.ErrorAs(t, err, &e, test.input)
		require.Equal(t, quote(test.input)+": "+test.want, err.Error())
		require.Equal(t, test.input, e.Input)
		require.Equal(t, test.covers, test.input[e.Offset:e.Offset+e.Len], test.input)
	}
	_, err := Parse("1e400 V")
	require.ErrorIs(t, err, ErrRange)
	_, err = Parse("1 voltz")
	var e *UnitError
	require.ErrorAs(t, err, &e)
	require.Equal(t, []string{"V"}, e.Suggestions)
}

// checkParsed holds for every text that Parse accepts.
func checkParsed(t require.TestingT, input string, q Quantity) {
	require.False(t, math.IsInf(q.SI(), 0) || math.IsNaN(q.SI()), "SI of %q", input)
	require.False(t, math.IsInf(q.Value(), 0) || math.IsNaN(q.Value()), "value of %q", input)
	again, err := Parse(q.String())
	require.NoError(t, err, "%q prints as %q", input, q)
	require.Equal(t, q, again, "%q prints as %q", input, q)
	require.True(t, q.Equal(again))

	text, err := q.MarshalText()
	require.NoError(t, err)
	var back Quantity
	require.NoError(t, back.UnmarshalText(text))
	require.Equal(t, q, back)

	// What is derived from a parsed quantity never fails.
	q.Decimals()
	q.Resolution()
	q.Difference()
	q.Round(2)
	unit, err := ParseUnit(q.Unit().String())
	if q.Unit() != (Unit{}) {
		require.NoError(t, err)
		require.Equal(t, q.Unit(), unit)
	}
	si, err := q.In(q.Dimension().Unit())
	if err == nil && !q.Unit().isGauge() && q.Dimension().Kind() != Temperature {
		require.Equal(t, q.SI(), si.Value())
	}
}

func FuzzQuantity(f *testing.F) {
	for _, test := range parseTests {
		f.Add(test.input)
	}
	for _, test := range parseErrors {
		f.Add(test.input)
	}
	for symbol := range Symbols() {
		f.Add("1.5 " + symbol + "/K")
	}
	f.Fuzz(func(t *testing.T, input string) {
		q, err := Parse(input)
		if err != nil {
			var e *ParseError
			require.ErrorAs(t, err, &e)
			require.NotEmpty(t, e.Msg)
			require.LessOrEqual(t, e.Offset+e.Len, len(input))
			return
		}
		checkParsed(t, input, q)
	})
}
