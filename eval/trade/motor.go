package trade

import (
	"fmt"
	"math"

	"github.com/brushgear/brushgear/units"
)

// StallTorque returns the torque of a motor that is held: the reading of a scale at the end of an arm, less what the scale shows for the
// arm alone, times the length of the arm. The arm must be level and the scale at a right angle to it; its length is above zero, the forces
// are zero or more, and the tare is not above the force.
//
// Source: definition.
func StallTorque(force, tare, arm units.Quantity) (units.Quantity, error) {
	var a arguments
	f, f0 := a.notNegative("force at the arm", force, newtons), a.notNegative("tare of the arm", tare, newtons)
	if a.err == nil && f0 > f {
		a.refuse("tare of the arm", fmt.Sprintf("%v is above the force of %v", tare, force), "read the tare with the motor switched off")
	}
	return a.only((f-f0)*a.positive("length of the arm", arm, metres), newtonMetres)
}

// LockedResistance returns the resistance of the windings of a motor that is held: the voltage at its terminals less the drop of all brushes
// in series, over the current, which must be above zero. The drop must be zero or more and below the voltage. It is about 1 V for copper-
// carbon brushes (common practice, no source), a large part of the 3 to 6 V of the test: without it the resistance comes out far too high.
//
// Source: Ohm's law.
func LockedResistance(voltage, brushDrop, current units.Quantity) (units.Quantity, error) {
	var a arguments
	v, drop := a.positive("voltage at the motor", voltage, volts), a.notNegative("brush drop", brushDrop, volts)
	if a.err == nil && drop >= v {
		a.refuse("brush drop", fmt.Sprintf("%v leaves nothing of %v", brushDrop, voltage), "write the drop of the brushes in series, such as 1 V")
	}
	return a.only((v-drop)/a.positive("current", current, amperes), ohms)
}

// MotorPower is the power that a motor takes and gives.
type MotorPower struct {
	Input      units.Quantity // electrical
	Output     units.Quantity // at the shaft
	Efficiency units.Quantity
}

// CrankingPower returns the power and the efficiency of a motor under load, from its voltage, current, torque and speed, all read together: the
// output is 2π·T·n, the input V·I. Voltage and current must be above zero, the others zero or more, and the output not above the input.
//
// Source: definitions.
func CrankingPower(voltage, current, torque, speed units.Quantity) (MotorPower, error) {
	var a arguments
	in := a.positive("voltage at the motor", voltage, volts) * a.positive("current", current, amperes)
	out := 2 * math.Pi * a.notNegative("torque", torque, newtonMetres) * a.notNegative("speed", speed, rpm)
	p := MotorPower{Input: a.quantity(in, watts), Output: a.quantity(out, watts), Efficiency: a.quantity(out/in, percent)}
	if a.err == nil && out > in {
		a.refuse("torque and speed", fmt.Sprintf("the output of %.0f W is above the input of %.0f W", out, in),
			"see that torque and speed are of one shaft, pinion or armature")
	}
	return settled(&a, p)
}
