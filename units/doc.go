// Package units holds quantities: values with units, read exactly, kept as written and compared without rounding noise.
//
// A [Quantity] is read by [Parse] ("2.45 Ω", "1/4 in", "2-3/16 in", "-40 °C", "18.5 lbf·ft"), or made by [New] from a computed
// float64. It remembers the decimals and the form it was written in and prints them back, with the unit in one uniform spelling. Its
// value is an exact fraction until it is rounded, once, to the float64 of [Quantity.SI]. So two ways to write one value are Equal,
// always: 6.35 mm and 1/4 in, 77 °F and 25 °C. Units that involve π (radians, degrees against radians, oersteds, circular mils) use
// 80 digits of it and are rounded once too.
//
// # Kinds
//
// A [Dimension] says what a quantity measures: the powers of length, mass, time, current and temperature, and a [Kind] that tells
// apart what these powers do not. Kinds of one dimension do not mix; the errors say what to write.
//
//	dimension  kinds                               what fits both
//	1          Ratio (%), Count, Angle (°)         a bare number: 12
//	Θ          Temperature (°C),                   K
//	           TemperatureDifference (Δ°C)
//	1/T        Frequency (Hz),                     the reciprocal of a time: 1/s
//	           RotationalSpeed (rpm)
//	M·L²/T²    Torque (N·m), Energy (J)            the product of a force and a length
//	others     Plain                               each other
//
// The rules are functions on dimensions, [Add], [Sub], [Mul], [Div] and [Match], so that a formula can be checked before there are
// values. The methods of Quantity follow the same rules:
//
//   - temperature - temperature is a difference, temperature ± difference a temperature; two temperatures have no sum, and a
//     temperature no multiples.
//   - K written alone is a difference that also fits a temperature, since its scale starts at zero: 20 °C + 5 K is 25 °C, and 298.15 K
//     equals 25 °C.
//   - A bare number, a ratio or a count scales the other factor and leaves its kind alone. Every other product is of an open, Plain
//     kind that takes the one it is used as.
//   - Frequency / speed of rotation is a bare number, cycles per turn, because a speed of rotation counts turns per second, also when
//     it is written in rad/s.
//   - Torque * speed of rotation is refused: turns are no radians, and the product would lack the factor 2π.
//
// # Traps
//
//   - "20 C" is 20 coulombs and "80 F" 80 farads; [TemperatureHint] has the words for it.
//   - In a product, °C and °F are differences: "mV/°C" is "mV/K".
//   - A product reads from left to right: "A/m·Ω" is (A/m)·Ω.
//   - "hp" is the horsepower of 550 ft·lbf/s; the metric one is "PS", the electric one "hp_E". "lb" is a mass; at a lever arm, as in
//     "ft-lb", it is the force. A bare "oz" is refused: write "ozf" for the force, "oz_m" for the mass. So is "ton".
//   - "AWG" is a scale, not a unit: a quantity in it measures the section of the wire, and thicker wire has the lower number. It has
//     no multiples, and no [Unit.Scale].
//   - An angle is counted in turns: [Quantity.SI] of 90° is 0.25.
//   - == on quantities asks for the same text; use [Quantity.Equal].
//   - [Quantity.In] keeps full precision. It does not round to significant digits; [Quantity.Round] and [Quantity.RoundTo] do.
//
// # Limits
//
// Numbers of up to 200 characters with exponents up to ±400, units of up to 100 bytes and six different factors, and powers up to ±9
// are read; anything beyond is an error, not work. No value is infinite or NaN unless New or FromSI was given one. Nothing panics but
// [Must] and [MustUnit].
//
// All values of this package are immutable and safe for concurrent use.
package units
