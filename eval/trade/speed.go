package trade

import (
	"fmt"

	"github.com/brushgear/brushgear/units"
)

// poles returns a number of poles, which is even.
func (a *arguments) poles(n int) int {
	a.count("poles", n, 2)
	if n%2 != 0 {
		a.refuse("poles", fmt.Sprintf("%d is odd", n), "count north and south poles: write an even number, such as 12")
	}
	return n
}

// Frequency returns the frequency of a phase: poles·n/120 with n in rpm. The number of poles must be even, the speed zero or more, and that
// of the unit, not of the engine.
//
// Source: NEMA MG 1, synchronous speed, from memory.
func Frequency(poles int, speed units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(float64(a.poles(poles))/2*a.notNegative("speed", speed, rpm), hertz)
}

// SpeedOf returns the speed at which a phase has a frequency: 120·f/poles. The number of poles is data of the unit: taken wrongly, the
// speed is wrong in the same ratio. The inverse of [Frequency].
func SpeedOf(poles int, frequency units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.notNegative("frequency", frequency, hertz)*2/float64(a.poles(poles)), rpm)
}

// Poles returns 120·f/n as it comes, for a frequency and a speed above zero that were both measured. A result far from an even number says
// that the speed is not that of the unit.
func Poles(frequency, speed units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(2*a.positive("frequency", frequency, hertz)/a.positive("speed", speed, rpm), bare)
}

// RippleFrequency returns the frequency of the ripple of a healthy six-pulse bridge, six times that of a phase.
//
// Source: Power Electronics (textbook), three-phase bridge, from memory.
func RippleFrequency(phase units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(6*a.notNegative("frequency", phase, hertz), hertz)
}

// Pulleys are the diameters at which a belt runs on the engine and on the unit, both above zero.
type Pulleys struct {
	Engine, Unit units.Quantity
}

func (p Pulleys) ratio(a *arguments) float64 {
	return a.positive("diameter of the engine pulley", p.Engine, millimetres) / a.positive("diameter of the unit's pulley", p.Unit, millimetres)
}

// Ratio returns the diameter on the engine over that on the unit, which is how many turns the unit makes for one of the engine.
func (p Pulleys) Ratio() (units.Quantity, error) {
	var a arguments
	return a.only(p.ratio(&a), bare)
}

// UnitSpeed returns the speed of the unit: that of the engine times the ratio, less the slip of the belt, from 0 to 100 %.
//
// Source: common practice, no source.
func (p Pulleys) UnitSpeed(engine, slip units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.notNegative("engine speed", engine, rpm)*p.ratio(&a)*(1-a.share("slip", slip)), rpm)
}

// Slip returns the slip of the belt from two measured speeds, 1 - unit/(engine·ratio), of an engine that turns. A slip below zero means that
// a diameter or a speed is wrong.
//
// Source: common practice, no source.
func (p Pulleys) Slip(engine, unit units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(1-a.notNegative("unit speed", unit, rpm)/(a.positive("engine speed", engine, rpm)*p.ratio(&a)), percent)
}

// CrankDrive is the gearing of a cranking motor: the teeth of the ring gear and of the pinion, and the ratio of the gears inside the motor,
// 1 for a direct drive.
type CrankDrive struct {
	Ring, Pinion int
	Internal     units.Quantity
}

func (d CrankDrive) mesh(a *arguments) float64 {
	return a.count("teeth of the ring gear", d.Ring, 1) / a.count("teeth of the pinion", d.Pinion, 1)
}

func (d CrankDrive) inside(a *arguments) float64 {
	x := a.value("ratio inside the motor", d.Internal, bare)
	if a.err == nil && x <= 0 {
		a.refuse("ratio inside the motor", fmt.Sprintf("%v is not above zero", d.Internal), "write 1 for a direct drive, 4 for a reduction of 4 to 1")
	}
	return x
}

// Ratio returns how many turns the armature makes for one of the engine.
func (d CrankDrive) Ratio() (units.Quantity, error) {
	var a arguments
	return a.only(d.mesh(&a)*d.inside(&a), bare)
}

// PinionSpeed returns the speed of the pinion in mesh, for that of the engine.
func (d CrankDrive) PinionSpeed(engine units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.notNegative("engine speed", engine, rpm)*d.mesh(&a), rpm)
}

// ArmatureSpeed returns the speed of the armature, for that of the engine.
func (d CrankDrive) ArmatureSpeed(engine units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.notNegative("engine speed", engine, rpm)*d.mesh(&a)*d.inside(&a), rpm)
}

// EngineTorque returns the torque at the crankshaft: that of the armature, times the ratio and the efficiency of the gears, which is above 0
// and up to 100 %; usual are 85 to 95 % (common practice, no source).
func (d CrankDrive) EngineTorque(armature, efficiency units.Quantity) (units.Quantity, error) {
	var a arguments
	torque := a.notNegative("torque of the armature", armature, newtonMetres)
	return a.only(torque*d.mesh(&a)*d.inside(&a)*a.efficiency("efficiency of the gears", efficiency), newtonMetres)
}
