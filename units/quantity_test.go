package units

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestDecimalsAndResolution(t *testing.T) {
	for _, test := range []struct {
		input      string
		decimals   int
		ok         bool
		resolution string
	}{
		{"2.4 Ω", 1, true, "0.1 Ω"},
		{"2.450 Ω", 3, true, "0.001 Ω"},
		{"20 °C", 0, true, "1 K"},
		{"70.5 °F", 1, true, "0.1 Δ°F"},
		{"1.2e3 Ω", -2, true, "1e2 Ω"},
		{"1.25e-3 V", 5, true, "0.00001 V"},
		{"1e-30 V", 30, true, "1e-30 V"},
		{"5 %", 0, true, "1 %"},
		{"12", 0, true, "1"},
		{"1/32 in", 0, false, "1/32 in"},
		{"2-3/16 in", 0, false, "1/16 in"},
		{"6 AWG", 0, true, ""},
		{"2/0 AWG", 0, false, ""},
	} {
		q := Must(test.input)
		n, ok := q.Decimals()
		require.Equal(t, test.decimals, n, test.input)
		require.Equal(t, test.ok, ok, test.input)
		step, ok := q.Resolution()
		require.Equal(t, test.resolution != "", ok, test.input)
		if ok {
			require.Equal(t, test.resolution, step.String(), test.input)
		}
	}
	_, ok := New(2.4, MustUnit("Ω")).Decimals()
	require.False(t, ok)
	_, ok = New(2.4, MustUnit("Ω")).Resolution()
	require.False(t, ok)
}

func TestIn(t *testing.T) {
	for _, test := range []struct{ input, unit, want string }{
		{"1/4 in", "mm", "6.35 mm"},
		{"25 °C", "°F", "77 °F"},
		{"25 °C", "K", "298.15 K"},
		{"298.15 K", "°C", "25 °C"},
		{"5 K", "Δ°F", "9 Δ°F"},
		{"5 Δ°C", "K", "5 K"},
		{"1800 rpm", "rev/s", "30 rev/s"},
		{"1 rad/s", "°/s", "57.2957795131 °/s"},
		{"90 °", "rad", "1.57079632679 rad"},
		{"1 kcmil", "cmil", "1000 cmil"},
		{"1 Oe", "kOe", "0.001 kOe"},
		{"50 s^-1", "rpm", "3000 rpm"},
		{"50 s^-1", "Hz", "50 Hz"},
		{"0.05", "%", "5 %"},
		{"2/0 AWG", "AWG", "2/0 AWG"},
		{"211600 cmil", "AWG", "4/0 AWG"},
		{"13.3 mm²", "AWG", "6.00057319096 AWG"},
	} {
		q, err := Must(test.input).In(MustUnit(test.unit))
		require.NoError(t, err, test.input)
		require.Equal(t, test.want, q.String(), test.input)
		require.True(t, q.Equal(Must(test.input)), test.input)
	}
	same, err := Must("2.450 Ω").In(MustUnit("ohm"))
	require.NoError(t, err)
	require.Equal(t, Must("2.450 Ω"), same, "a quantity in its own unit stays as written")

	for _, test := range []struct{ input, unit string }{{"5 V", "A"}, {"5 K", "V"}, {"5 Δ°C", "°C"}, {"600 Hz", "rpm"}, {"5 N·m", "J"}, {"5", "V"}} {
		_, err := Must(test.input).In(MustUnit(test.unit))
		require.ErrorIs(t, err, ErrDimension, test.input)
	}
	for _, q := range []Quantity{Must("1e308 V"), New(math.NaN(), MustUnit("V")), New(math.Inf(1), MustUnit("V"))} {
		_, err := q.In(MustUnit("µV"))
		require.ErrorIs(t, err, ErrRange)
	}
	_, err = Must("0 mm²").In(MustUnit("AWG"))
	require.ErrorIs(t, err, ErrRange)
}

func TestDifference(t *testing.T) {
	for input, want := range map[string]string{"5 °C": "5 K", "5.0 °F": "5.0 Δ°F", "5 K": "5 K", "5 Δ°C": "5 Δ°C", "5 V": "5 V"} {
		require.Equal(t, want, Must(input).Difference().String())
	}
	computed := New(5, MustUnit("°C")).Difference()
	require.Equal(t, "5 K", computed.String())
	require.True(t, math.IsNaN(New(math.NaN(), MustUnit("°C")).Difference().SI()))
	_, ok := computed.Decimals()
	require.False(t, ok)
}

func TestArithmetic(t *testing.T) {
	add, sub, mul, div := Quantity.Add, Quantity.Sub, Quantity.Mul, Quantity.Div
	for _, test := range []struct {
		name string
		op   func(q, o Quantity) (Quantity, error)
		a, b string
		want string
	}{
		{"+", add, "1 V", "500 mV", "1.5 V"},
		{"+", add, "0.1 V", "0.2 V", "0.3 V"},
		{"+", add, "20 °C", "5 K", "25 °C"},
		{"+", add, "5 K", "20 °C", "25 °C"},
		{"+", add, "20 °C", "9 Δ°F", "25 °C"},
		{"+", add, "68 °F", "5 K", "77 °F"},
		{"+", add, "5 %", "0.1", "15 %"},
		{"+", add, "0.1", "5 %", "0.15"},
		{"+", add, "1/4 in", "6.35 mm", "0.5 in"},
		{"+", add, "6 AWG", "1 mm²", "14.301767891 mm²"},
		{"-", sub, "25 °C", "77 °F", "0 K"},
		{"-", sub, "77 °F", "20 °C", "9 Δ°F"},
		{"-", sub, "25 °C", "5 K", "20 °C"},
		{"-", sub, "298.15 K", "5 K", "293.15 K"},
		{"-", sub, "12.6 V", "10.2 V", "2.4 V"},
		{"*", mul, "12 V", "5 A", "60 W"},
		{"*", mul, "2", "600 Hz", "1200 Hz"},
		{"*", mul, "6000 rpm", "12", "72000 rpm"},
		{"*", mul, "50 %", "12 V", "6 V"},
		{"*", mul, "2", "6 AWG", "26.6035357819 mm²"},
		{"*", mul, "18.5 lbf", "1 ft", "25.0826320441 N·m"},
		{"*", mul, "-10 mV/K", "35 K", "-0.35 V"},
		{"*", mul, "90 °", "4", "360 °"},
		{"/", div, "2.4 V", "300 A", "0.008 Ω"},
		{"/", div, "12 V", "24 V", "0.5"},
		{"/", div, "1200 Hz", "72000 rpm", "1"},
		{"/", div, "10 V", "50 %", "20 V"},
		{"/", div, "1", "2 s", "0.5 s⁻¹"},
		{"/", div, "6 AWG", "2", "6.65088394548 mm²"},
	} {
		got, err := test.op(Must(test.a), Must(test.b))
		require.NoError(t, err, "%s %s %s", test.a, test.name, test.b)
		require.Equal(t, test.want, got.String(), "%s %s %s", test.a, test.name, test.b)
	}
	for _, test := range []struct {
		op   func(q, o Quantity) (Quantity, error)
		a, b string
		want error
	}{
		{add, "20 °C", "20 °C", ErrDimension},
		{sub, "5 K", "20 °C", ErrDimension},
		{mul, "20 °C", "2", ErrDimension},
		{mul, "9.5 N·m", "1150 rpm", ErrDimension},
		{div, "20 °C", "2", ErrDimension},
		{div, "1 kW", "1150 rpm", ErrDimension},
		{div, "12 V", "0 A", ErrRange},
		{div, "0 V", "0", ErrRange},
		{mul, "1e300 V", "1e300 A", ErrRange},
		{add, "1e308 V", "1e308 V", ErrRange},
		{sub, "-1e308 V", "1e308 V", ErrRange},
	} {
		_, err := test.op(Must(test.a), Must(test.b))
		require.ErrorIs(t, err, test.want, "%s and %s", test.a, test.b)
	}
	_, err := Must("12 V").Add(New(math.Inf(1), MustUnit("mV")))
	require.ErrorIs(t, err, ErrRange)
	_, err = Must("12 V").Div(Must("0 A"))
	require.EqualError(t, err, "12 V / 0 A is out of range")
}

// A product of a force and a length fits where a torque or an energy is declared, but goes with no speed.
func TestOpenProducts(t *testing.T) {
	moment, err := Must("10 N").Mul(Must("2 m"))
	require.NoError(t, err)
	require.True(t, moment.Equal(Must("20 N·m")))
	require.True(t, moment.Equal(Must("20 J")))
	_, err = moment.Mul(Must("1150 rpm"))
	require.ErrorIs(t, err, ErrDimension)

	frequency, err := Must("1").Div(Must("2 ms"))
	require.NoError(t, err)
	require.True(t, frequency.Equal(Must("500 Hz")))
	require.True(t, frequency.Equal(Must("30000 rpm")))
}

func TestCompare(t *testing.T) {
	for _, test := range []struct {
		a, b string
		want int
	}{
		{"1/4 in", "6.35 mm", 0},
		{"2.50 V", "2.5 V", 0},
		{"2 V", "2500 mV", -1},
		{"25 °C", "76.9 °F", 1},
		{"298.15 K", "25 °C", 0},
		{"2/0 AWG", "6 AWG", 1},
		{"13 mm²", "6 AWG", -1},
		{"6 AWG", "26.2 kcmil", 1},
		{"1265 points", "1.265", 0},
		{"-0 V", "0 V", 0},
	} {
		got, err := Must(test.a).Compare(Must(test.b))
		require.NoError(t, err)
		require.Equal(t, test.want, got, "%s and %s", test.a, test.b)
		require.Equal(t, test.want == 0, Must(test.a).Equal(Must(test.b)))
	}
	require.NotEqual(t, Must("2.50 V"), Must("2.5 V"), "== asks for the same text")
	_, err := Must("5 V").Compare(Must("5 A"))
	require.ErrorIs(t, err, ErrDimension)
	require.False(t, Must("5 V").Equal(Must("5 A")))
	_, err = Must("5 V").Compare(New(math.NaN(), MustUnit("V")))
	require.ErrorIs(t, err, ErrRange)
	require.False(t, New(math.NaN(), MustUnit("V")).Equal(New(math.NaN(), MustUnit("V"))))
	more, err := New(math.Inf(1), MustUnit("V")).Compare(Must("5 V"))
	require.NoError(t, err)
	require.Equal(t, 1, more)
}

func TestRound(t *testing.T) {
	for _, test := range []struct {
		input    string
		decimals int
		want     string
	}{
		{"2.45 Ω", 1, "2.5 Ω"}, // by the text; the float64 lies below the half
		{"-2.45 Ω", 1, "-2.5 Ω"},
		{"2.44 Ω", 1, "2.4 Ω"},
		{"2.4 Ω", 3, "2.400 Ω"},
		{"-0.04 V", 1, "0.0 V"},
		{"1250 rpm", -2, "1300 rpm"},
		{"40 rpm", -2, "0 rpm"},
		{"2-3/16 in", 3, "2.188 in"},
		{"20.5 °C", 0, "21 °C"},
		{"1e300 V", 101, "1e300 V"},
		{"2/0 AWG", 0, "2/0 AWG"},
		{"6.6 AWG", 0, "7 AWG"},
	} {
		require.Equal(t, test.want, Must(test.input).Round(test.decimals).String(), test.input)
	}
	require.Equal(t, "0.3 V", New(0.30000000000000004, MustUnit("V")).Round(1).String())
	long := Must("1e300 V").Round(2)
	require.True(t, long.Equal(Must("1e300 V")))
	require.Equal(t, "1e+300 V", long.String())
	require.True(t, math.IsNaN(New(math.NaN(), MustUnit("V")).Round(2).Value()))
}

func TestRoundTo(t *testing.T) {
	for _, test := range []struct{ input, digit, want string }{
		{"12.4567 V", "0.01 V", "12.46 V"},
		{"12.4567 V", "10 mV", "12.46 V"},
		{"323 A", "5 A", "325 A"},
		{"322.5 A", "5 A", "325 A"},
		{"-322.5 A", "5 A", "-325 A"},
		{"1.268", "0.005", "1.270"},
		{"20.34 °C", "0.1 °C", "20.3 °C"},
		{"20.34 °C", "0.1 K", "20.3 °C"},
		{"25.2 °C", "9 Δ°F", "25 °C"},
		{"2.01 in", "1/16 in", "2.0000 in"},
		{"5.2 mm", "1/64 in", "5.159375 mm"},
		{"21 °C", "1 Δ°F", "21.1111111111 °C"}, // 5/9 K has no end of decimals
	} {
		q, err := Must(test.input).RoundTo(Must(test.digit))
		require.NoError(t, err, test.input)
		require.Equal(t, test.want, q.String(), "%s to %s", test.input, test.digit)
	}
	for _, test := range []struct {
		input, digit string
		want         error
	}{
		{"5 V", "1 A", ErrDimension},
		{"5 V", "0 V", ErrRange},
		{"5 V", "-1 V", ErrRange},
		{"6 AWG", "1 AWG", ErrRange},
		{"6 mm²", "1 AWG", ErrRange},
	} {
		_, err := Must(test.input).RoundTo(Must(test.digit))
		require.ErrorIs(t, err, test.want, "%s to %s", test.input, test.digit)
	}
}

func TestNewAndFromSI(t *testing.T) {
	require.True(t, New(6.35, MustUnit("mm")).Equal(Must("1/4 in")))
	require.Equal(t, "2.45 Ω", New(2.45, MustUnit("Ω")).String())
	require.Equal(t, "77 °F", FromSI(298.15, MustUnit("°F")).String())
	require.Equal(t, "6.35 mm", FromSI(0.00635, MustUnit("mm")).String())
	require.Equal(t, "2/0 AWG", New(-1, MustUnit("AWG")).String())
	require.Equal(t, "2/0 AWG", FromSI(Must("2/0 AWG").SI(), MustUnit("AWG")).String())
	require.Equal(t, Quantity{}, New(0, Unit{}))
	require.Equal(t, 0.0, New(5e-324, MustUnit("pF")).SI(), "beyond what SI holds")
	require.True(t, math.IsInf(New(1e308, MustUnit("kV")).SI(), 1))
	require.True(t, math.IsNaN(FromSI(math.NaN(), MustUnit("mV")).Value()))
	require.True(t, math.IsInf(New(math.Inf(-1), MustUnit("mV")).SI(), -1))
}

func TestString(t *testing.T) {
	for _, test := range []struct {
		value float64
		unit  string
		want  string
	}{
		{0.30000000000000004, "V", "0.3 V"},
		{1.0 / 3, "V", "0.333333333333 V"},
		{100000000, "Ω", "100000000 Ω"},
		{1e20, "Ω", "1e+20 Ω"},
		{1.5e-9, "F", "0.0000000015 F"},
		{1.23456789e-9, "F", "1.23456789e-09 F"},
		{math.Copysign(0, -1), "V", "0 V"},
		{math.Inf(1), "V", "+Inf V"},
		{math.NaN(), "V", "NaN V"},
	} {
		require.Equal(t, test.want, New(test.value, MustUnit(test.unit)).String())
	}
}

func TestFormat(t *testing.T) {
	q := Must("2.45 Ω")
	for _, test := range []struct {
		format string
		q      Quantity
		want   string
	}{
		{"%v", q, "2.45 Ω"},
		{"%s", q, "2.45 Ω"},
		{"%+v", q, "2.45 Ω"},
		{"%#v", q, `units.Must("2.45 Ω")`},
		{"%q", q, `"2.45 Ω"`},
		{"%.1f", q, "2.5 Ω"},
		{"%.0f", q, "2 Ω"},
		{"%f", q, "2.450000 Ω"},
		{"%.3F", Must("2-3/16 in"), "2.188 in"},
		{"%.1f", Must("-0.04 V"), "0.0 V"},
		{"%+.1f", q, "+2.5 Ω"},
		{"%+.1f", Must("-40 °C"), "-40.0 °C"},
		{"%.2e", q, "2.45e+00 Ω"},
		{"%g", Must("2-3/16 in"), "2.1875 in"},
		{"%G", New(1e-9, MustUnit("F")), "1E-09 F"},
		{"[%10v]", q, "[    2.45 Ω]"},
		{"[%-10v]", q, "[2.45 Ω    ]"},
		{"[%8.1f]", q, "[   2.5 Ω]"},
		{"%.1f", Must("2/0 AWG"), "-1.0 AWG"},
		{"%.1f", Must("7"), "7.0"},
		{"%.1f", New(math.NaN(), MustUnit("V")), "NaN V"},
		{"%d", q, "%!d(units.Quantity=2.45 Ω)"},
	} {
		require.Equal(t, test.want, fmt.Sprintf(test.format, test.q), test.format)
	}
}

func TestQuantityText(t *testing.T) {
	type reading struct {
		Value Quantity            `json:"value"`
		At    map[string]Quantity `json:"at,omitempty"`
	}
	var r reading
	require.NoError(t, json.Unmarshal([]byte(`{"value":"2.450 ohm","at":{"winding_temp":"20 degC"}}`), &r))
	require.Equal(t, Must("2.450 Ω"), r.Value)
	text, err := json.Marshal(r)
	require.NoError(t, err)
	require.JSONEq(t, `{"value":"2.450 Ω","at":{"winding_temp":"20 °C"}}`, string(text))

	text, err = New(0.30000000000000004, MustUnit("V")).MarshalText()
	require.NoError(t, err)
	require.Equal(t, "0.30000000000000004 V", string(text), "a computed value keeps all its digits")
	_, err = New(math.NaN(), MustUnit("V")).MarshalText()
	require.ErrorIs(t, err, ErrRange)

	before := r.Value
	err = r.Value.UnmarshalText([]byte("2.45 bogus"))
	var e *ParseError
	require.True(t, errors.As(err, &e))
	require.Equal(t, before, r.Value, "an error changes nothing")
	require.Error(t, json.Unmarshal([]byte(`{"value":2.45}`), &r), "a bare JSON number has no unit")
}
