package trade

import (
	"fmt"
	"math"

	"github.com/brushgear/brushgear/units"
)

// Fit is the clearance of a shaft in a bore, as two sizes with limits allow: positive is loose, negative tight.
type Fit struct {
	Tightest, Loosest units.Quantity
}

// Sizes are the two limits of a size.
type Sizes struct {
	Smallest, Largest units.Quantity
}

// FitOf returns the clearance of a shaft in a bore by interval arithmetic: from the smallest bore on the largest shaft to the largest bore on
// the smallest shaft, in the unit of the bore. All sizes must be above zero, and Largest not below Smallest.
//
// Source: the printed fits of repair manuals follow from their sizes in this way, as in TM 5-6115-457-34, Table 1-1.
func FitOf(bore, shaft Sizes) (Fit, error) {
	var a arguments
	boreFrom, boreTo := a.sizes("bore", bore)
	shaftFrom, shaftTo := a.sizes("shaft", shaft)
	return settled(&a, Fit{a.quantity(boreFrom-shaftTo, bore.Smallest), a.quantity(boreTo-shaftFrom, bore.Smallest)})
}

func (a *arguments) sizes(name string, s Sizes) (smallest, largest float64) {
	smallest = a.positive("smallest "+name, s.Smallest, millimetres)
	largest = a.positive("largest "+name, s.Largest, millimetres)
	if a.err == nil && largest < smallest {
		a.refuse("largest "+name, fmt.Sprintf("%v is below the smallest, %v", s.Largest, s.Smallest), "write the smaller size first")
	}
	return smallest, largest
}

// String returns the fit as manuals print it, with L for loose and T for tight, the smaller figure first when both are of one letter:
// "0.001 in L to 0.004 in L", "0.003 in T to 0.005 in T".
func (f Fit) String() string {
	if f.Loosest.SI() < 0 {
		return clearance(f.Loosest) + " to " + clearance(f.Tightest)
	}
	return clearance(f.Tightest) + " to " + clearance(f.Loosest)
}

func clearance(q units.Quantity) string {
	if q.SI() < 0 {
		return units.New(-q.Value(), q.Unit()).String() + " T"
	}
	return q.String() + " L"
}

// Runout returns what a dial indicator shows over one turn, the total indicator reading, for a surface that is off centre: twice the
// eccentricity, which must be zero or more. Eccentricity is its inverse.
//
// Source: geometry.
func Runout(eccentricity units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(2*a.notNegative("eccentricity", eccentricity, millimetres), eccentricity)
}

// Eccentricity returns how far a surface is off centre: half of the total indicator reading, which must be zero or more.
func Eccentricity(runout units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.notNegative("runout", runout, millimetres)/2, runout)
}

// SurfaceSpeed returns the speed of the surface of a commutator or ring under its brushes, π·d·n. The diameter must be above zero, the speed
// zero or more.
//
// Source: geometry.
func SurfaceSpeed(diameter, speed units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(math.Pi*a.positive("diameter", diameter, millimetres)*a.notNegative("speed", speed, rpm), metresPerSecond)
}

// BrushPressure returns the pressure of a brush: the force of its spring over the width times the thickness of its face, both above zero. The
// force is read along the brush at the moment it lifts, and is zero or more.
//
// Source: definition.
func BrushPressure(force, width, thickness units.Quantity) (units.Quantity, error) {
	var a arguments
	f := a.notNegative("spring force", force, newtons)
	return a.only(f/(a.positive("width of the brush", width, millimetres)*a.positive("thickness of the brush", thickness, millimetres)), kilopascals)
}
