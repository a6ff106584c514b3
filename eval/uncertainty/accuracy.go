package uncertainty

import (
	"fmt"
	"math"
)

// An Accuracy says how far the readings of a meter on one range may be off, as its data sheet does: ± (0.5 % of reading + 0.1 % of range + 3 digits).
// Shares are plain numbers, 0.005 for 0.5 %; all other fields but Digits have the unit of the reading. None is negative.
type Accuracy struct {
	Reading  float64 // share of the reading
	Range    float64 // share of the full scale
	Full     float64 // the full scale that Range is a share of
	Zero     float64 // half-width of a zero error, the same for all readings
	Absolute float64 // half-width of a constant error that differs from reading to reading
	Digits   int     // steps of the last digit
	Digit    float64 // one step of the last digit: the resolution
}

// Validate returns an error that names the first field that is negative or not finite, or missing beside another that needs it.
func (a Accuracy) Validate() error {
	for _, f := range [...]struct {
		name string
		v    float64
	}{
		{"Reading", a.Reading}, {"Range", a.Range}, {"Full", a.Full}, {"Zero", a.Zero}, {"Absolute", a.Absolute}, {"Digit", a.Digit},
		{"Digits", float64(a.Digits)},
	} {
		if !notNegative(f.v) {
			return fmt.Errorf("accuracy: %s is %v: use a finite number from 0 up", f.name, f.v)
		}
	}
	switch {
	case a.Range > 0 && a.Full == 0:
		return fmt.Errorf("accuracy: Range is %v but Full is 0: give the full scale of the range", a.Range)
	case a.Digits > 0 && a.Digit == 0:
		return fmt.Errorf("accuracy: Digits is %d but Digit is 0: give what one step of the last digit is worth", a.Digits)
	}
	return nil
}

// Parts returns the half-widths of the error of the reading x in two parts: what all readings on this range have in common (percent of reading and
// of range, and zero), so that it cancels in their ratio or difference, and what each has of its own (digits, or half a digit of resolution if
// nothing else is stated: JCGM 100:2008, F.2.2.1). The whole half-width is shared + own. It does not allocate. The fields must be valid.
func (a Accuracy) Parts(x float64) (shared, own float64) {
	shared = a.Reading*math.Abs(x) + a.Range*a.Full + a.Zero
	own = a.Absolute + float64(a.Digits)*a.Digit
	if own == 0 {
		own = a.Digit / 2
	}
	return shared, own
}

// Standard returns the standard uncertainty of the reading x, its half-width taken as a whole with the shape s: the usual reading of a data sheet,
// a little wider than the two parts of [Accuracy.Parts] combined as root of the sum of squares.
func (a Accuracy) Standard(x float64, s Shape) (float64, error) {
	if err := a.Validate(); err != nil {
		return 0, err
	}
	shared, own := a.Parts(x)
	return s.Standard(shared + own)
}
