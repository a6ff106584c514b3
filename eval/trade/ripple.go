package trade

import (
	"fmt"

	"github.com/brushgear/brushgear/units"
)

// OutputFault is a fault of stator or rectifier that shows in the ripple of the output.
type OutputFault uint8

// The faults, one at a time.
const (
	NoOutputFault     OutputFault = iota
	PhaseWeak                     // one phase gives a fifth less voltage: turns lost
	DiodeOpen                     // one main diode
	DeltaLegOpen                  // one phase of a delta
	DiodeShorted                  // one main diode
	TwoDiodesOpen                 // two main diodes of one plate
	PhaseDisconnected             // both main diodes of one phase open, or one leg of a wye
	PhaseReversed                 // one phase of a wye joined the wrong way round
)

var outputFaults = [...]struct {
	name        string
	lowestOrder int
	rank        int
}{
	NoOutputFault:     {"no fault", 6, 0},
	PhaseWeak:         {"one phase weak", 2, 1},
	DiodeOpen:         {"one diode open", 1, 2},
	DeltaLegOpen:      {"delta leg open", 2, 3},
	DiodeShorted:      {"one diode shorted", 1, 4},
	TwoDiodesOpen:     {"two diodes of one plate open", 1, 4},
	PhaseDisconnected: {"both diodes of a phase or a wye leg open", 2, 4},
	PhaseReversed:     {"one wye phase reversed", 2, 4},
}

// String returns the fault in words.
func (f OutputFault) String() string {
	if int(f) < len(outputFaults) {
		return outputFaults[f].name
	}
	return fmt.Sprintf("OutputFault(%d)", f)
}

// LowestOrder returns the lowest order of the ripple that the fault leaves, as a multiple of the frequency of a phase: 1 for faults of
// single diodes, which treat the two halves of a wave differently, 2 for faults of a phase, which do not, 6 for a healthy unit. It is 0
// for a value that is no fault of the list.
//
// Source: calculated with a model of three sources and a bridge that feed a battery and a resistor; it gives the order, no limits.
func (f OutputFault) LowestOrder() int {
	if int(f) < len(outputFaults) {
		return outputFaults[f].lowestOrder
	}
	return 0
}

// OutputRank returns the place of the fault by the output that is left, 0 for the healthy unit, higher for less. Faults of one rank change
// places with the reactance of the stator, so their outputs do not tell them apart: where a nearly stiff source leaves more with one diode
// shorted than with two open, a reactive one leaves least. It is -1 for a value that is no fault of the list.
//
// The ranks hold where the stator gives much more than the battery's voltage, as at rated speed. Near cut-in a weak phase can cost more
// than an open diode.
//
// Source: as for [OutputFault.LowestOrder].
func (f OutputFault) OutputRank() int {
	if int(f) < len(outputFaults) {
		return outputFaults[f].rank
	}
	return -1
}

// FaultsOfOrder returns the faults that leave ripple of the given lowest order, by falling output.
func FaultsOfOrder(order int) []OutputFault {
	var found []OutputFault
	for f := range outputFaults {
		if outputFaults[f].lowestOrder == order {
			found = append(found, OutputFault(f))
		}
	}
	return found
}

// NeutralVoltage returns what the neutral terminal of a wye stator, or a phase tap, shows on the DC range of a meter against the grounded
// side: half of the output voltage, which must be zero or more.
//
// Source: the diodes of the two plates conduct for equal times; common practice, no source.
func NeutralVoltage(output units.Quantity) (units.Quantity, error) {
	var a arguments
	return a.only(a.notNegative("output voltage", output, volts)/2, volts)
}

// NeutralDeparture returns how far a neutral is from half of the output, over the output: positive where it is too high, from -50 to 50 %.
// A clear departure means that the two plates do not conduct alike: a fault of a diode. The output must be above zero, the neutral from
// zero to the output.
func NeutralDeparture(neutral, output units.Quantity) (units.Quantity, error) {
	var a arguments
	n, out := a.notNegative("neutral voltage", neutral, volts), a.positive("output voltage", output, volts)
	if a.err == nil && n > out {
		a.refuse("neutral voltage", fmt.Sprintf("%v is above the output of %v", neutral, output), "measure both against the grounded side")
	}
	return a.only(n/out-0.5, percent)
}
