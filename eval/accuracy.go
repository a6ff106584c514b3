package eval

import (
	"math"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/brushgear/brushgear/units"
)

// accuracy says how far a reading of an instrument may be off, by range.
type accuracy struct {
	ranges   []accuracyRange // rising by full scale
	shape    uncertainty.Shape
	standard float64 // half-width to standard uncertainty: 1/√3 for a rectangular distribution (JCGM 100:2008, 4.3.7)
	zero     float64 // half-width of a zero error, in SI units
}

// accuracyRange is one range of an instrument. Lengths are in SI units, shares are pure.
type accuracyRange struct {
	full     float64 // full scale, infinite for the last range of an instrument without
	reading  float64 // share of the reading
	ofRange  float64 // share of the full scale
	absolute float64
	digits   float64 // how many steps of the last digit
	digit    float64 // one step of the last digit, 0 if none is stated
}

// rangeOf returns the lowest range that holds a reading.
func (a *accuracy) rangeOf(x float64) accuracyRange {
	for _, r := range a.ranges {
		if math.Abs(x) <= r.full {
			return r
		}
	}
	return a.ranges[len(a.ranges)-1]
}

// errorOf works out the standard uncertainty of one reading. What is proportional to the reading or the range is shared by all readings of the
// meter; digits, and an absolute error, are of each reading's own. Without an instrument the last digit as written is taken for the resolution:
// half a step on either side (JCGM 100:2008, F.2.2.1).
func errorOf(v *value, as Value, meter *instrument, r reg) readingError {
	e := readingError{meter: -1}
	if v.typ.class != numberClass || as.form != numberForm && as.form != movingForm {
		return e // a range is taken at its word
	}
	step := 0.0
	if q, ok := as.low.Resolution(); ok {
		step = q.SI()
	}
	if meter == nil || !meter.accurate {
		if v.typ.dim != units.DimensionOf(units.Count) {
			e.own = step / 2 / math.Sqrt(3)
		}
		e.variance = e.own * e.own
		return e
	}
	e.ownShape, e.sharedShape = meter.accuracy.shape, meter.accuracy.shape
	e.own, e.shared = meter.accuracy.standardAt(r.middle(), step)
	if meter.accuracy.digitsAt(r.middle()) == 0 {
		e.ownShape = uncertainty.Uniform // half a step
	}
	e.variance = float64(e.own*e.own) + float64(e.shared*e.shared)
	return e
}

// standardAt gives the standard uncertainty of a reading x: what is its own, and what all readings of the meter share. step is one step of the
// reading's last digit as written, for a meter of which no digit is stated. Lengths are in SI units.
func (a *accuracy) standardAt(x, step float64) (own, shared float64) {
	k := a.rangeOf(x)
	if k.digit > 0 {
		step = k.digit
	}
	own = a.standard * (k.digits*step + k.absolute)
	if own == 0 {
		own = step / 2 / math.Sqrt(3)
	}
	full := k.full
	if math.IsInf(full, 0) {
		full = 0
	}
	return own, a.standard * (k.reading*math.Abs(x) + k.ofRange*full + a.zero)
}

// digitsAt is the part of the accuracy at a reading x that is given in digits or as a length, before any digit is known.
func (a *accuracy) digitsAt(x float64) float64 {
	k := a.rangeOf(x)
	return a.standard * (k.digits + k.absolute)
}
