package units_test

import (
	"encoding/json"
	"errors"
	"fmt"

	"github.com/brushgear/brushgear/units"
)

func Example() {
	volts := units.Must("14.2 V")
	resistance := units.Must("2.45 Ω")
	current, err := volts.Div(resistance)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(current.Round(2), "of", current.Dimension().Name())
	// Output: 5.80 A of current
}

func ExampleParse() {
	for _, text := range []string{"2.450 ohm", "1/4 in", "2-3/16 in", "-40 degC", "0.22 uF", "18.5 ft-lb", "2/0 AWG", "12"} {
		q, err := units.Parse(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%v measures %s\n", q, q.Dimension().Name())
	}
	// Output:
	// 2.450 Ω measures resistance
	// 1/4 in measures length
	// 2-3/16 in measures length
	// -40 °C measures temperature
	// 0.22 µF measures capacitance
	// 18.5 lbf·ft measures torque
	// 2/0 AWG measures area
	// 12 measures number
}

func ExampleParse_errors() {
	for _, text := range []string{"0,22 µF", "40 000 rpm", "12 voltz", "3 oz", "2-3/16"} {
		_, err := units.Parse(text)
		fmt.Println(err)
	}
	// Output:
	// "0,22 µF": a decimal comma is not understood: write 0.22 µF
	// "40 000 rpm": digits are not grouped by blanks: write 40000 rpm
	// "12 voltz": there is no unit "voltz": did you mean V?
	// "3 oz": not a unit here: write ozf for a force, oz_m for a mass
	// "2-3/16": a mixed number needs its unit: write 2-3/16 in, or put blanks round the minus for a subtraction
}

func ExampleParseError() {
	_, err := units.Parse(" 12 voltz")
	var e *units.ParseError
	if errors.As(err, &e) {
		fmt.Printf("%q: %s; %s\n", e.Input[e.Offset:e.Offset+e.Len], e.Msg, e.Hint)
	}
	// Output: "voltz": there is no unit "voltz"; did you mean V?
}

func ExampleMust() {
	limit := units.Must("0.10 mm")
	fmt.Println(limit, limit.SI())
	// Output: 0.10 mm 0.0001
}

func ExampleNew() {
	q := units.New(6.35, units.MustUnit("mm"))
	_, written := q.Decimals()
	fmt.Println(q, q.Equal(units.Must("1/4 in")), written)
	// Output: 6.35 mm true false
}

func ExampleFromSI() {
	fmt.Println(units.FromSI(298.15, units.MustUnit("°F")))
	fmt.Println(units.FromSI(30, units.MustUnit("rpm"))) // turns per second
	// Output:
	// 77 °F
	// 1800 rpm
}

func ExampleQuantity_In() {
	for _, pair := range [][2]string{{"1/4 in", "mm"}, {"77 °F", "°C"}, {"18.5 lbf·ft", "N·m"}, {"600 Hz", "rpm"}} {
		q, err := units.Must(pair[0]).In(units.MustUnit(pair[1]))
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(pair[0], "=", q)
	}
	// Output:
	// 1/4 in = 6.35 mm
	// 77 °F = 25 °C
	// 18.5 lbf·ft = 25.0826320441 N·m
	// cannot compare frequency with speed of rotation: write cycles in Hz, turns in rpm; frequency = pole pairs * speed
}

func ExampleQuantity_Compare() {
	c, err := units.Must("2/0 AWG").Compare(units.Must("50 mm²"))
	fmt.Println(c, err)
	_, err = units.Must("5 V").Compare(units.Must("5 A"))
	fmt.Println(errors.Is(err, units.ErrDimension))
	// Output:
	// 1 <nil>
	// true
}

func ExampleQuantity_Equal() {
	fmt.Println(units.Must("6.35 mm").Equal(units.Must("1/4 in")))
	fmt.Println(units.Must("2.50 V").Equal(units.Must("2.5 V")), units.Must("2.50 V") == units.Must("2.5 V"))
	// Output:
	// true
	// true false
}

func ExampleQuantity_Add() {
	fmt.Println(units.Must("20 °C").Add(units.Must("5 K")))
	fmt.Println(units.Must("20 °C").Add(units.Must("9 Δ°F")))
	_, err := units.Must("20 °C").Add(units.Must("5 °C"))
	fmt.Println(err)
	// Output:
	// 25 °C <nil>
	// 25 °C <nil>
	// cannot add temperature and temperature: two temperatures have no sum: write the second as a difference, such as 5 K
}

func ExampleQuantity_Sub() {
	fmt.Println(units.Must("96.0 °C").Sub(units.Must("25 °C")))
	fmt.Println(units.Must("12.6 V").Sub(units.Must("200 mV")))
	// Output:
	// 71 K <nil>
	// 12.4 V <nil>
}

func ExampleQuantity_Mul() {
	fmt.Println(units.Must("13.5 V").Mul(units.Must("90 A")))
	_, err := units.Must("9.5 N·m").Mul(units.Must("1150 rpm"))
	fmt.Println(err)
	// Output:
	// 1215 W <nil>
	// cannot multiply torque by speed of rotation: use power(torque, speed): turns are no radians, the product lacks 2π
}

// Hertz and turns per minute stand as they are: 2·f/(poles·n) is a bare number.
func ExampleQuantity_Div() {
	twice, _ := units.Must("600 Hz").Mul(units.Must("2"))
	turned, _ := units.Must("6000 rpm").Mul(units.Must("12"))
	fmt.Println(twice.Div(turned))
	// Output: 1 <nil>
}

func ExampleQuantity_Round() {
	q, err := units.Must("0.656 in").In(units.MustUnit("mm"))
	fmt.Println(q, q.Round(2), err)
	// Output: 16.6624 mm 16.66 mm <nil>
}

func ExampleQuantity_RoundTo() {
	fmt.Println(units.Must("12.4567 V").RoundTo(units.Must("0.01 V")))
	fmt.Println(units.Must("323 A").RoundTo(units.Must("5 A")))
	// Output:
	// 12.46 V <nil>
	// 325 A <nil>
}

func ExampleQuantity_Resolution() {
	for _, text := range []string{"2.4 Ω", "20 °C", "2-3/16 in", "1.2e3 Ω"} {
		step, _ := units.Must(text).Resolution()
		fmt.Println(text, "to", step)
	}
	// Output:
	// 2.4 Ω to 0.1 Ω
	// 20 °C to 1 K
	// 2-3/16 in to 1/16 in
	// 1.2e3 Ω to 1e2 Ω
}

func ExampleQuantity_Decimals() {
	fmt.Println(units.Must("2.450 Ω").Decimals())
	fmt.Println(units.Must("1/4 in").Decimals())
	// Output:
	// 3 true
	// 0 false
}

func ExampleQuantity_Difference() {
	fmt.Println(units.Must("5 °C").Difference(), "or", units.Must("10 °F").Difference())
	// Output: 5 K or 10 Δ°F
}

func ExampleQuantity_Format() {
	q := units.Must("2-3/16 in")
	fmt.Printf("%v, %.2f, %q, [%12v]\n", q, q, q, q)
	// Output: 2-3/16 in, 2.19 in, "2-3/16 in", [   2-3/16 in]
}

func ExampleQuantity_SI() {
	q := units.Must("25 °C")
	fmt.Println(q.SI(), q.Value(), q.Unit())
	// Output: 298.15 25 °C
}

func ExampleQuantity_MarshalText() {
	text, err := json.Marshal(map[string]units.Quantity{"current": units.Must("2.10 A")})
	fmt.Println(string(text), err)
	// Output: {"current":"2.10 A"} <nil>
}

func ExampleQuantity_UnmarshalText() {
	var reading struct{ Current units.Quantity }
	err := json.Unmarshal([]byte(`{"Current": "2.10 amps"}`), &reading)
	fmt.Println(reading.Current, err)
	// Output: 2.10 A <nil>
}

func ExampleParseUnit() {
	for _, text := range []string{"uF", "ft-lb", "min^-1", "mV/degC", "W/(m·K)", "thou", "hertz", "Rpm"} {
		u, err := units.ParseUnit(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(text, "is", u)
	}
	// Output:
	// uF is µF
	// ft-lb is lbf·ft
	// min^-1 is rpm
	// mV/degC is mV/°C
	// W/(m·K) is W/m/K
	// thou is mil
	// hertz is Hz
	// "Rpm": there is no unit "Rpm": did you mean rpm?
}

func ExampleUnitError() {
	_, err := units.ParseUnit("mhz")
	var e *units.UnitError
	if errors.As(err, &e) {
		fmt.Println(e.Msg, e.Suggestions)
	}
	// Output: there is no unit "mhz" [mHz MHz]
}

func ExampleMustUnit() {
	u := units.MustUnit("lbf·ft")
	fmt.Println(u, "measures", u.Dimension().Name(), "in multiples of", u.Scale(), "N·m")
	// Output: lbf·ft measures torque in multiples of 1.3558179483314003 N·m
}

func ExampleUnit_Zero() {
	for _, symbol := range []string{"K", "°C", "°F"} {
		u := units.MustUnit(symbol)
		fmt.Printf("%v: %.6g, %.6g\n", u, u.Scale(), u.Zero())
	}
	// Output:
	// K: 1, 0
	// °C: 1, 273.15
	// °F: 0.555556, 255.372
}

func ExampleUnit_UnmarshalText() {
	var condition struct{ Unit units.Unit }
	err := json.Unmarshal([]byte(`{"Unit": "degC"}`), &condition)
	fmt.Println(condition.Unit, err)
	// Output: °C <nil>
}

func ExampleSymbols() {
	n := 0
	for symbol := range units.Symbols() {
		if symbol == "at" || symbol == "per" {
			n++
		}
	}
	fmt.Println(n, "words of the language are units")
	// Output: 0 words of the language are units
}

func ExampleTemperatureHint() {
	q := units.Must("20 C")
	fmt.Printf("%v is a %s: %s\n", q, q.Dimension().Name(), units.TemperatureHint(q.Unit()))
	// Output: 20 C is a charge: write °C
}

func ExampleNearest() {
	words := []string{"limit", "grade", "outcome"}
	fmt.Println(units.Nearest("Limmit", words))
	fmt.Println(units.Nearest("voltage", words))
	// Output:
	// limit true
	//  false
}

func ExampleMatch() {
	torque, energy := units.MustUnit("N·m").Dimension(), units.MustUnit("J").Dimension()
	fmt.Println(units.Match(torque, energy))
	// Output: cannot compare torque with energy: write a torque in N·m, an energy in J
}

// What an operator makes of two dimensions is known before there are values.
func ExampleMul() {
	volt, ampere := units.MustUnit("V").Dimension(), units.MustUnit("A").Dimension()
	product, err := units.Mul(volt, ampere)
	fmt.Println(product.Name(), product, err)
	// Output: power W <nil>
}

func ExampleDiv() {
	volt, kelvin := units.MustUnit("V").Dimension(), units.MustUnit("K").Dimension()
	quotient, err := units.Div(volt, kelvin)
	fmt.Println(quotient.Name(), quotient, err)
	// Output: voltage per temperature difference V/K <nil>
}

func ExampleAdd() {
	celsius, kelvin := units.MustUnit("°C").Dimension(), units.MustUnit("K").Dimension()
	sum, err := units.Add(celsius, kelvin)
	fmt.Println(sum.Name(), err)
	// Output: temperature <nil>
}

func ExampleSub() {
	celsius := units.MustUnit("°C").Dimension()
	d, err := units.Sub(celsius, celsius)
	fmt.Println(d.Name(), err)
	// Output: temperature difference <nil>
}

func ExampleDimension() {
	d := units.MustUnit("mV/K").Dimension()
	fmt.Println(d.Name(), d, d.Kind(), d == units.MustUnit("V/K").Dimension())
	fmt.Println(d.Pow(2), d.Unit())
	// Output:
	// voltage per temperature difference V/K plain true
	// kg²·m⁴/s⁶/A²/K² V/K
}

func ExampleDimensionOf() {
	fmt.Println(units.DimensionOf(units.Count).Name())
	fmt.Println(units.Match(units.DimensionOf(units.Count), units.Must("12").Dimension()))
	// Output:
	// count
	// <nil>
}

func ExampleKind() {
	for _, text := range []string{"V", "%", "°C", "Hz", "rpm", "N·m", "J"} {
		fmt.Println(text, units.MustUnit(text).Dimension().Kind())
	}
	// Output:
	// V plain
	// % ratio
	// °C temperature
	// Hz frequency
	// rpm speed of rotation
	// N·m torque
	// J energy
}

func ExampleDimensionError() {
	_, err := units.Must("5 V").Add(units.Must("5 A"))
	var e *units.DimensionError
	if errors.As(err, &e) {
		fmt.Printf("%s %s and %s: %s\n", e.Op, e.Left.Name(), e.Right.Name(), e.Hint)
	}
	// Output: add voltage and current: write both in V, or both in A
}
