package trade

import (
	"fmt"

	"github.com/brushgear/brushgear/units"
)

// Conductor is the metal of a winding.
type Conductor uint8

// The metals of windings. Their resistance is a straight line over the temperature, that meets zero at -234.5 °C for copper and at -225 °C
// for aluminium.
//
// Source: IEEE 118 and NBS Circular 31 for copper; IEC 60034-1, 8.6.2, from memory, for aluminium. Cable of pure aluminium has -228 °C.
const (
	Copper Conductor = iota
	Aluminium
)

// String returns "copper" or "aluminium".
func (c Conductor) String() string {
	if c == Aluminium {
		return "aluminium"
	}
	return "copper"
}

// zero returns the temperature in kelvins at which the line of the resistance meets zero.
func (c Conductor) zero(a *arguments) float64 {
	switch c {
	case Copper:
		return iceKelvin - 234.5
	case Aluminium:
		return iceKelvin - 225
	}
	a.refuse("metal", fmt.Sprintf("%d is no metal of windings", c), "write Copper or Aluminium")
	return 0
}

// iceKelvin is 0 °C.
const iceKelvin = 273.15

// WindingTemperature returns the mean temperature of a winding, in °C, from its resistance hot and cold:
//
//	T2 = R2/R1·(k + T1) - k, in °C, with k = 234.5 for copper and 225 for aluminium
//
// Cold is the resistance at a temperature that is known, as after a night in the shop. Both resistances must be above zero, and the known
// temperature above the one where the line ends. The result is good between about -60 and 250 °C. Wire of nichrome or constantan, as in
// the resistors of regulators, hardly changes and tells nothing.
//
// Source: IEC 60034-1, 8.6.2, from memory.
func WindingTemperature(metal Conductor, cold, coldTemperature, hot units.Quantity) (units.Quantity, error) {
	var a arguments
	zero := metal.zero(&a)
	r1, t1 := a.positive("cold resistance", cold, ohms), a.temperature("temperature of the cold winding", coldTemperature)
	if a.err == nil && t1 <= zero {
		a.refuse("temperature of the cold winding", fmt.Sprintf("%v is below the end of the line of %v", coldTemperature, metal),
			"write a temperature of the shop, such as 20 °C")
	}
	r2 := a.positive("hot resistance", hot, ohms)
	return a.only(zero+r2/r1*(t1-zero), celsius)
}

// TemperatureRise returns how much a winding is warmer than the air around it, in K; negative when it is colder.
func TemperatureRise(winding, ambient units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.temperature("winding temperature", winding)-a.temperature("ambient temperature", ambient), kelvins)
}
