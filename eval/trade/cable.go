package trade

import (
	"fmt"
	"math"

	"github.com/brushgear/brushgear/units"
)

// copperResistivity is that of the international annealed copper standard at 20 °C, in Ω·m: 58 MS/m, IEC 60028, from memory. Tables that
// start from 10.371 Ω·cmil/ft, which is the same rounded, differ from it in the fifth digit.
const copperResistivity = 1 / 58e6

// CopperResistance returns the resistance of copper wire: ρ·L/A, with 17.24 mΩ·mm²/m at 20 °C, at the temperature of the wire. The section
// may be in mm², cmil or AWG. Section and length must be above zero; for a circuit the length is that of the loop, there and back.
//
// Source: 58 MS/m at 20 °C by IEC 60028, from memory; change with temperature as for [WindingTemperature].
func CopperResistance(section, length, temperature units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.copper(temperature)*a.positive("length", length, metres)/a.positive("section", section, squareMillimetres), ohms)
}

// copper returns the resistivity of copper at a temperature.
func (a *arguments) copper(temperature units.Quantity) float64 {
	zero := Copper.zero(a)
	t := a.temperature("temperature of the wire", temperature)
	if a.err == nil && t <= zero {
		a.refuse("temperature of the wire", fmt.Sprintf("%v is below the end of the line of copper", temperature), fmt.Sprintf("write it like %v", celsius))
	}
	const reference = iceKelvin + 20
	return copperResistivity * (t - zero) / (reference - zero)
}

// Cable is a copper circuit: the section of its wire, the length of the loop, there and back, and the temperature of the wire.
type Cable struct {
	Section, Loop, Temperature units.Quantity
}

// Drop returns the voltage that is lost in the cable at a current of zero or more, and at its connections, whose drops at that current are
// added.
//
// Source: Ohm's law, and as for [CopperResistance].
func (c Cable) Drop(current units.Quantity, connections ...units.Quantity) (units.Quantity, error) {
	var a arguments
	r, err := CopperResistance(c.Section, c.Loop, c.Temperature)
	if err != nil {
		return units.Quantity{}, err
	}
	drop := a.notNegative("current", current, amperes) * r.SI()
	for i, v := range connections {
		drop += a.notNegative(fmt.Sprintf("drop of connection %d", i+1), v, volts)
	}
	return a.only(drop, volts)
}

// LeastSection returns the section, in mm², at which a copper loop loses just the given voltage at a current, both above zero. Express it in
// AWG by [units.Quantity.In], and take the next lower gauge number.
//
// Source: as for [CopperResistance].
func LeastSection(drop, current, loop, temperature units.Quantity) (units.Quantity, error) {
	var a arguments
	v, i := a.positive("drop", drop, volts), a.positive("current", current, amperes)
	return a.only(a.copper(temperature)*a.positive("length of the loop", loop, metres)*i/v, squareMillimetres)
}

// WireDiameter returns the diameter, in mm, of a round solid wire of a section: 2·√(A/π). A stranded wire of the same section is thicker.
//
// Source: geometry.
func WireDiameter(section units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(2*math.Sqrt(a.positive("section", section, squareMillimetres)/math.Pi), millimetres)
}
