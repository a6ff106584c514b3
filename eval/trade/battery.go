package trade

import (
	"fmt"

	"github.com/brushgear/brushgear/units"
)

// InternalResistance returns the resistance of a battery from its voltage at rest and under a load: (E - V)/I. The current must be above zero,
// the voltages too, and the second not above the first. Both are of one state of charge, surface charge removed.
//
// Source: Ohm's law.
func InternalResistance(openCircuit, loaded, current units.Quantity) (units.Quantity, error) {
	var a arguments
	e, v := a.positive("open-circuit voltage", openCircuit, volts), a.positive("voltage under load", loaded, volts)
	if a.err == nil && v > e {
		a.refuse("voltage under load", fmt.Sprintf("%v is above the %v at rest", loaded, openCircuit), "measure the voltage at rest before the load is on")
	}
	return a.only((e-v)/a.positive("current", current, amperes), ohms)
}

// Supply is a battery and the cables that lead from it, as a straight line: a voltage at no load, which falls by the resistance times the
// current. The voltage must be above zero, the resistance zero or more.
type Supply struct {
	OpenCircuit units.Quantity
	Resistance  units.Quantity // of the battery and of the cables, there and back
}

func (s Supply) line(a *arguments) (e, r float64) {
	return a.positive("open-circuit voltage", s.OpenCircuit, volts), a.notNegative("resistance of the supply", s.Resistance, ohms)
}

// Behind returns the supply at the far end of a further resistance, such as a cable.
func (s Supply) Behind(resistance units.Quantity) (Supply, error) {
	var a arguments
	_, r := s.line(&a)
	s.Resistance = a.quantity(r+a.notNegative("resistance", resistance, ohms), s.Resistance)
	return settled(&a, s)
}

// Voltage returns what is left at the motor under a current of zero or more: E - I·R. It is an error when nothing is left.
//
// Source: Ohm's law.
func (s Supply) Voltage(current units.Quantity) (units.Quantity, error) {
	var a arguments
	e, r := s.line(&a)
	v := e - a.notNegative("current", current, amperes)*r
	if a.err == nil && v < 0 {
		a.refuse("current", fmt.Sprintf("%v is more than %v gives into a short circuit through %v", current, s.OpenCircuit, s.Resistance),
			"measure current and resistance again")
	}
	return a.only(v, volts)
}

// MotorLine is a motor at one speed as a straight line: a voltage that stands against the supply, which is the drop of the brushes and the
// voltage induced at that speed, nothing but the brushes when it is held; and a resistance. The voltage is zero or more.
type MotorLine struct {
	Standing   units.Quantity
	Resistance units.Quantity
}

// OperatingPoint is where two lines meet.
type OperatingPoint struct {
	Current, Voltage units.Quantity
}

// Meet returns the point at which a supply and a motor agree: the current (E - V0)/(R + Rm), and the voltage at the motor. The resistances
// must not both be zero, and the voltage that stands against the supply not be above it.
//
// Source: Kirchhoff's laws; ISO 8856 and SAE J544 state the supply of a motor test by such a line.
func (s Supply) Meet(m MotorLine) (OperatingPoint, error) {
	var a arguments
	e, r := s.line(&a)
	v0, rm := a.notNegative("standing voltage of the motor", m.Standing, volts), a.notNegative("resistance of the motor", m.Resistance, ohms)
	switch {
	case a.err != nil:
	case v0 > e:
		a.refuse("standing voltage of the motor", fmt.Sprintf("%v is above the supply of %v", m.Standing, s.OpenCircuit),
			"take it at a lower speed: here the motor would charge the battery")
	case r+rm == 0:
		a.refuse("resistance of the motor", "without any resistance there is no limit to the current", "write its locked resistance, such as 4 mΩ")
	}
	i := (e - v0) / (r + rm)
	return settled(&a, OperatingPoint{a.quantity(i, amperes), a.quantity(e-i*r, volts)})
}

// LoadTestCurrent returns the current at which a battery is load-tested: half of its cold-cranking rating, which must be above zero.
//
// Source: BCI battery service manual, from memory.
func LoadTestCurrent(coldCranking units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.positive("cold-cranking rating", coldCranking, amperes)/2, amperes)
}

// LoadTestCurrentByCapacity returns the current of the load test of a battery that has no cold-cranking rating: three times its capacity,
// as amperes from ampere-hours.
//
// Source: common practice, no source.
func LoadTestCurrentByCapacity(capacity units.Quantity) (units.Quantity, error) {
	var a arguments
	const hour = 3600
	return a.only(3*a.positive("capacity", capacity, ampereHours)/hour, amperes)
}

// DrainTime returns how long a current takes to empty a battery by a share of its capacity: C·share/I. Capacity and current must be above
// zero, the share from 0 to 100 %. Self-discharge, and the loss of capacity by cold and age, come on top.
//
// Source: definition of capacity.
func DrainTime(capacity, share, current units.Quantity) (units.Quantity, error) {
	var a arguments
	c, k := a.positive("capacity", capacity, ampereHours), a.share("share of the capacity", share)
	return a.only(c*k/a.positive("drain", current, amperes), hours)
}

// OpenCircuitVoltage returns the voltage at rest of a lead-acid battery from the specific gravity of its acid at 80 °F, as an estimate:
// 0.84 V more than the gravity for each cell. The gravity must be from 1 to 1.4; it may be in points.
//
// Source: common practice, no source.
func OpenCircuitVoltage(cells int, gravity units.Quantity) (units.Quantity, error) {
	var a arguments
	n := a.count("cells", cells, 1)
	return a.only(n*(a.gravity(gravity)+0.84), volts)
}

// gravity returns the specific gravity of acid.
func (a *arguments) gravity(q units.Quantity) float64 {
	g := a.value("specific gravity", q, bare)
	if a.err == nil && (g < 1 || g > 1.4) {
		a.refuse("specific gravity", fmt.Sprintf("%v is no gravity of acid", q), "write 1.265, or 1265 points")
	}
	return g
}
