package trade

import (
	"fmt"

	"github.com/brushgear/brushgear/units"
)

// CoilCurrent returns the current of a coil at rest across a supply, V/R, zero or more for a resistance above zero.
//
// Source: Ohm's law.
func CoilCurrent(supply, resistance units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.notNegative("supply voltage", supply, volts)/a.positive("resistance", resistance, ohms), amperes)
}

// FieldCurrent returns the mean current of a field that a regulator switches on for a share of the time, the duty, from 0 to 100 %:
// D·V/R. It holds where the field keeps its current over a pause, as it does at the frequencies of electronic regulators.
//
// Source: common practice, no source.
func FieldCurrent(duty, supply, resistance units.Quantity) (units.Quantity, error) {
	var a arguments
	d := a.share("duty", duty)
	return a.only(d*a.notNegative("supply voltage", supply, volts)/a.positive("field resistance", resistance, ohms), amperes)
}

// FieldDuty returns the share of the time that a regulator must switch a field on for a mean current: I·R/V. The inverse of [FieldCurrent];
// it is an error when even a field that is always on does not carry the current.
func FieldDuty(current, supply, resistance units.Quantity) (units.Quantity, error) {
	var a arguments
	i, v := a.notNegative("field current", current, amperes), a.positive("supply voltage", supply, volts)
	duty := i * a.positive("field resistance", resistance, ohms) / v
	if a.err == nil && duty > 1 {
		a.refuse("field current", fmt.Sprintf("%v is more than %v drives through %v", current, supply, resistance), "measure the three at the same time")
	}
	return a.only(duty, percent)
}

// TurnsLost says what shorted turns do to a field at constant voltage.
type TurnsLost struct {
	Share        units.Quantity // of the turns, from 0 to below 100 %
	CurrentRatio units.Quantity // current, and heat, over that of the good field
}

// LostTurns compares the resistance of a field with that of a good one, both at one temperature. The share of turns lost is 1 - R/R0. The
// ampere-turns stay as they were, since the current rises as the turns fall: the output of the unit cannot show the fault, while its field
// and its regulator run hot. Both resistances must be above zero, and the first not above the second.
//
// Source: Ohm's law, for turns of equal length; common practice, no source.
func LostTurns(resistance, good units.Quantity) (TurnsLost, error) {
	var a arguments
	r, r0 := a.positive("field resistance", resistance, ohms), a.positive("resistance of the good field", good, ohms)
	if a.err == nil && r > r0 {
		a.refuse("field resistance", fmt.Sprintf("%v is above the %v of the good field, which shorted turns cannot cause", resistance, good),
			"compare at one temperature, then look for a bad joint")
	}
	left := r / r0
	return settled(&a, TurnsLost{
		Share:        a.quantity(1-left, percent),
		CurrentRatio: a.quantity(1/left, bare),
	})
}

// ParallelResistance returns the resistance of coils side by side, the reciprocal of the sum of reciprocals, in the unit of the first. At
// least one coil must be given, each above zero.
//
// Source: Kirchhoff's laws.
func ParallelResistance(coils ...units.Quantity) (units.Quantity, error) {
	var a arguments
	a.count("number of coils", len(coils), 1)
	var conductance float64
	for i, c := range coils {
		conductance += 1 / a.positive(fmt.Sprintf("coil %d", i+1), c, ohms)
	}
	if a.err != nil {
		return units.Quantity{}, a.err
	}
	return a.only(1/conductance, coils[0])
}

// SumDeparture compares the current that coils take together with the sum of their currents one by one, all at one voltage: together/sum
// less 1. The pull-in and hold-in windings of a solenoid should agree within 5 %; where they do not, a lead, a contact or the meter lies.
// The currents must be above zero, and at least two single ones be given.
//
// Source: Kirchhoff's laws; the 5 % are common practice, no source.
func SumDeparture(together units.Quantity, single ...units.Quantity) (units.Quantity, error) {
	var a arguments
	both := a.positive("current of all coils together", together, amperes)
	a.count("number of single currents", len(single), 2)
	var sum float64
	for i, c := range single {
		sum += a.positive(fmt.Sprintf("current of coil %d", i+1), c, amperes)
	}
	return a.only(both/sum-1, percent)
}

// StoredEnergy returns the energy of a charged capacitor, C·V²/2. The capacitance must be above zero; the sign of the voltage does not
// count.
//
// Source: definition of capacitance.
func StoredEnergy(capacitance, voltage units.Quantity) (units.Quantity, error) {
	var a arguments
	c, v := a.positive("capacitance", capacitance, farads), a.value("voltage", voltage, volts)
	return a.only(c*v*v/2, joules)
}

// TimeConstant returns how long a capacitor takes to fall to 37 % of its voltage through a resistance, R·C, both above zero. After five
// time constants less than 1 % is left.
//
// Source: exponential discharge.
func TimeConstant(resistance, capacitance units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.positive("resistance", resistance, ohms)*a.positive("capacitance", capacitance, farads), seconds)
}
