package trade

import (
	"fmt"

	"github.com/brushgear/brushgear/units"
)

// WindingKind tells windings apart by the insulation resistance that they must have.
type WindingKind uint8

// The windings.
const (
	OlderWinding WindingKind = iota // made before about 1970, field windings, and all that fit nothing below
	FormWound                       // alternating-current windings of formed coils, and direct-current armatures, from about 1970 on
	RandomWound                     // random-wound stators, and formed coils below 1 kV
)

// MinimumInsulation returns the least resistance of a winding to its core, after one minute of test voltage and brought to 40 °C, for its
// rated voltage, which must be above zero: as many MΩ as kV and one more for older and field windings, 100 MΩ for formed coils, 5 MΩ for
// random-wound ones.
//
// Source: IEEE 43-2013, Table 3, from memory. The standard is for machines of 750 W and up, and used cranking motors stay far below its
// 100 MΩ; the trade is content with 1 MΩ for them (common practice, no source).
func MinimumInsulation(w WindingKind, rated units.Quantity) (units.Quantity, error) {
	var a arguments
	v := a.positive("rated voltage", rated, volts)
	var r float64
	switch w {
	case OlderWinding:
		r = v*1e3 + 1e6
	case FormWound:
		r = 100e6
	case RandomWound:
		r = 5e6
	default:
		a.refuse("winding", fmt.Sprintf("%d is no winding of the table", w), "write OlderWinding, FormWound or RandomWound")
	}
	return a.only(r, megohms)
}

// PolarizationIndex is how much an insulation rises while the test voltage stays on.
type PolarizationIndex struct {
	Index units.Quantity // resistance after ten minutes over that after one
	// Applies is false where the first resistance is above 5000 MΩ: then the current is too small for the index to say anything.
	Applies bool
}

// Polarization returns the polarization index of an insulation from its resistance after one and after ten minutes, both above zero and
// taken at one temperature.
//
// Source: IEEE 43, from memory.
func Polarization(oneMinute, tenMinutes units.Quantity) (PolarizationIndex, error) {
	var a arguments
	r1, r10 := a.positive("resistance after 1 min", oneMinute, megohms), a.positive("resistance after 10 min", tenMinutes, megohms)
	return settled(&a, PolarizationIndex{Index: a.quantity(r10/r1, bare), Applies: r1 <= 5000e6})
}

// MinimumPolarization returns the least polarization index for a thermal class of insulation, named by its temperature in °C: 1.5 for
// class 105 (A), 2.0 for the classes 130 (B), 155 (F) and 180 (H).
//
// Source: IEEE 43-2000, Table 2.
func MinimumPolarization(class int) (units.Quantity, error) {
	var a arguments
	index := 2.0
	switch class {
	case 105:
		index = 1.5
	case 130, 155, 180:
	default:
		a.refuse("thermal class", fmt.Sprintf("%d is not in the table", class), "write 105 for A, 130 for B, 155 for F, 180 for H")
	}
	return a.only(index, bare)
}

// WithstandVoltage returns the alternating voltage, rms, that a new winding must stand to its core for one minute: 500 V and twice the
// rated voltage. For bare windings only: it destroys diodes, regulators and capacitors. The rated voltage must be above zero and below
// 100 V, the rated power above zero and below 1 kW; others have a row of their own in the standard.
//
// Source: IEC 60034-1, table of withstand voltages.
func WithstandVoltage(rated, power units.Quantity) (units.Quantity, error) {
	var a arguments
	u := a.lowVoltage(rated)
	if p := a.positive("rated power", power, watts); a.err == nil && p >= 1000 {
		a.refuse("rated power", fmt.Sprintf("%v is beyond this row of the table", power), "take the row of IEC 60034-1 for 1 kW and more")
	}
	return a.only(500+2*u, volts)
}

// OverhauledWithstand returns the voltage of the same test for a winding that was overhauled: one and a half times the rated voltage, at
// least 500 V. The rated voltage must be above zero and below 100 V.
//
// Source: IEC 60034-1, clause on the withstand voltage of used windings.
func OverhauledWithstand(rated units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(max(500, 1.5*a.lowVoltage(rated)), volts)
}

// lowVoltage returns a rated voltage below 100 V.
func (a *arguments) lowVoltage(rated units.Quantity) float64 {
	u := a.positive("rated voltage", rated, volts)
	if a.err == nil && u >= 100 {
		a.refuse("rated voltage", fmt.Sprintf("%v is beyond this row of the table", rated), "take the row of IEC 60034-1 for 100 V and more")
	}
	return u
}
