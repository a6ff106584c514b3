// Package trade holds the formulas of the bench: what a technician works out on paper while an alternator, a cranking motor, a DC
// generator or a battery is tested.
//
// The files follow the machine:
//
//	winding.go     three phases in wye and delta: leads against phases, open legs, lost turns
//	rectifier.go   a six-pulse bridge, healthy and with diodes open: mean, ripple, harmonics
//	ripple.go      what the lowest order of a ripple says of the fault; the neutral terminal
//	coil.go        field and solenoid coils: duty, lost turns, coils side by side; capacitors
//	temperature.go the temperature of a winding from its resistance
//	insulation.go  least insulation resistance, polarization index, withstand voltage
//	armature.go    armature windings bar to bar, by either way of feeding
//	speed.go       poles and frequency, pulleys, gears
//	power.go       electrical and shaft power, torque, efficiency, regulation
//	motor.go       cranking motors: stall torque, locked resistance, power
//	battery.go     supply lines, load current, drain
//	charge.go      tables of state of charge, freezing point and cranking ability
//	cable.go       wire gauges and voltage drops
//	geometry.go    fits, runout, surface speed, brush pressure
//	reading.go     readings that should be alike: unbalance, the odd ones among many
//
// Corrections to the conditions of a limit are laws of the sheet language, and are not repeated here.
//
// # Quantities
//
// Functions take and return [units.Quantity], in any unit of the dimension that is asked for; AWG is a section, a temperature may be in
// °C, °F or K, a bare number is a ratio. Results are computed in float64, in SI units, and come in a unit of the trade; round them for
// display. Counts of poles, cells, coils and teeth are ints.
//
// # Errors
//
// Every error is an [*ArgumentError]: which argument does not fit, why, and what to write. By [errors.Is] it is also
// [units.ErrDimension] when the argument measures something else, or [units.ErrRange] when its value is outside of the range that the
// function states, or the result is more than a float64 holds. The first argument that does not fit is the one named. A result that
// comes with an error is the zero value.
//
// # Sources
//
// A formula names its source where it has a published one. "Common practice, no source" marks a rule handed down in the trade, "from
// memory" a published value that was not read again.
//
// All functions and methods are pure, and everything in this package is safe for concurrent use.
package trade
