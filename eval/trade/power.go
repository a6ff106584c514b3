package trade

import (
	"fmt"
	"math"

	"github.com/brushgear/brushgear/units"
)

// ElectricalPower returns V·I. Both must be zero or more.
//
// Source: definition.
func ElectricalPower(voltage, current units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.notNegative("voltage", voltage, volts)*a.notNegative("current", current, amperes), watts)
}

// ShaftPower returns the power of a shaft, 2π·T·n, from a torque and a speed of zero or more.
//
// Source: definition; the factors of the trade follow from it: 9549.297 N·m·rpm to the kW, 5252.113 lbf·ft·rpm to the hp.
func ShaftPower(torque, speed units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(2*math.Pi*a.notNegative("torque", torque, newtonMetres)*a.notNegative("speed", speed, rpm), watts)
}

// ShaftTorque returns the torque that gives a power at a speed above zero, P/(2π·n). The inverse of [ShaftPower].
func ShaftTorque(power, speed units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.notNegative("power", power, watts)/(2*math.Pi*a.positive("speed", speed, rpm)), newtonMetres)
}

// ShaftSpeed returns the speed at which a torque above zero gives a power, P/(2π·T). The inverse of [ShaftPower].
func ShaftSpeed(power, torque units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.notNegative("power", power, watts)/(2*math.Pi*a.positive("torque", torque, newtonMetres)), rpm)
}

// Efficiency returns output over input. The input must be above zero, and the output not above it.
//
// Source: definition.
func Efficiency(output, input units.Quantity) (units.Quantity, error) {
	var a arguments
	out, in := a.notNegative("output", output, watts), a.positive("input", input, watts)
	if a.err == nil && out > in {
		a.refuse("output", fmt.Sprintf("%v is above the input of %v", output, input), "measure both at the same time, and see which is which")
	}
	return a.only(out/in, percent)
}

// AlternatorDrive is what an alternator takes from its belt.
type AlternatorDrive struct {
	Output units.Quantity // electrical
	Input  units.Quantity // at the pulley
	Torque units.Quantity // at the pulley
}

// AlternatorInput returns the power that an alternator gives, and the power and torque it takes, at an efficiency above 0 up to 100 % and a
// speed above zero.
//
// Source: definitions.
func AlternatorInput(voltage, current, efficiency, speed units.Quantity) (AlternatorDrive, error) {
	var a arguments
	out := a.notNegative("voltage", voltage, volts) * a.notNegative("current", current, amperes)
	in := out / a.efficiency("efficiency", efficiency)
	n := a.positive("speed", speed, rpm)
	return settled(&a, AlternatorDrive{
		Output: a.quantity(out, watts),
		Input:  a.quantity(in, watts),
		Torque: a.quantity(in/(2*math.Pi*n), newtonMetres),
	})
}

// EfficiencyPoint is a speed at which the efficiency of an alternator is measured, and its weight in the mean.
type EfficiencyPoint struct {
	Speed, Weight units.Quantity
}

// EfficiencyPoints returns the points of [WeightedEfficiency], by rising speed. Each is measured at half of the rated current, and at
// 14.3 V for a unit of 12 V.
//
// Source: Commission Implementing Decision (EU) 2017/785.
func EfficiencyPoints() [4]EfficiencyPoint {
	return [4]EfficiencyPoint{
		{units.Must("1800 rpm"), units.Must("25 %")},
		{units.Must("3000 rpm"), units.Must("40 %")},
		{units.Must("6000 rpm"), units.Must("25 %")},
		{units.Must("10000 rpm"), units.Must("10 %")},
	}
}

// WeightedEfficiency returns the mean of the efficiencies at the four [EfficiencyPoints], by their weights. Each must be from 0 to 100 %.
//
// Source: Commission Implementing Decision (EU) 2017/785.
func WeightedEfficiency(measured [4]units.Quantity) (units.Quantity, error) {
	var a arguments
	var sum float64
	for i, p := range EfficiencyPoints() {
		sum += p.Weight.SI() * a.share(fmt.Sprintf("efficiency at %v", p.Speed), measured[i])
	}
	return a.only(sum, percent)
}

// Regulation returns by how much the voltage falls from a light load, such as 10 % of the maximum, to a heavy one, such as 90 %, at one
// speed. It is negative when the voltage rises.
//
// Source: common practice, no source.
func Regulation(light, heavy units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.positive("voltage at light load", light, volts)-a.positive("voltage at heavy load", heavy, volts), volts)
}
