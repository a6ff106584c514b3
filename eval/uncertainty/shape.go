package uncertainty

import (
	"fmt"
	"math"
)

// Factors from a half-width to a standard uncertainty. Rectangular is 1/√3 (JCGM 100:2008, 4.3.7), Triangular 1/√6 (4.3.9), Arcsine 1/√2 (the same
// rule for a quantity that swings like a sine between its limits), and Normal2 stands for a half-width that was stated with a coverage factor of
// two (4.3.3).
const (
	Rectangular = 0.57735026918962576450914878050195745564760175127012687601860232648
	Triangular  = 0.40824829046386301636621401245098189866099124677611168807211542851
	Arcsine     = 1 / math.Sqrt2
	Normal2     = 0.5
)

// A Shape is the form of the distribution of an input. The zero value is Uniform: what is known is only that the value lies within limits.
type Shape uint8

// Shapes of distributions.
const (
	Uniform  Shape = iota // rectangular
	Triangle              // symmetric triangle
	Gaussian              // normal; for an input with finite degrees of freedom, Student's
	UShaped               // arcsine
)

var shapes = [...]struct {
	name   string
	factor float64
}{
	Uniform:  {"rectangular", Rectangular},
	Triangle: {"triangular", Triangular},
	Gaussian: {"normal", Normal2},
	UShaped:  {"arcsine", Arcsine},
}

// String returns rectangular, triangular, normal or arcsine.
func (s Shape) String() string {
	if int(s) >= len(shapes) {
		return fmt.Sprintf("Shape(%d)", uint8(s))
	}
	return shapes[s].name
}

// Standard returns the standard uncertainty of a quantity that lies within halfWidth ≥ 0 of its estimate: halfWidth/√3 for Uniform (JCGM 100:2008,
// 4.3.7), /√6 for Triangle (4.3.9), /√2 for UShaped. For Gaussian the half-width counts as stated with a coverage factor of two; see
// [FromExpanded] for another one.
func (s Shape) Standard(halfWidth float64) (float64, error) {
	switch {
	case int(s) >= len(shapes):
		return 0, fmt.Errorf("%v is no distribution: use Uniform, Triangle, Gaussian or UShaped", s)
	case !notNegative(halfWidth):
		return 0, fmt.Errorf("half-width %v: use a finite number from 0 up", halfWidth)
	}
	return halfWidth * shapes[s].factor, nil
}

// FromExpanded returns the standard uncertainty expanded/k of an uncertainty that was stated with the coverage factor k > 0, as on a calibration
// certificate: JCGM 100:2008, 4.3.3.
func FromExpanded(expanded, k float64) (float64, error) {
	switch {
	case !notNegative(expanded):
		return 0, fmt.Errorf("expanded uncertainty %v: use a finite number from 0 up", expanded)
	case !positive(k):
		return 0, fmt.Errorf("coverage factor %v: use a finite number above 0, mostly 2", k)
	}
	return expanded / k, nil
}

func finite(x float64) bool      { return !math.IsNaN(x) && !math.IsInf(x, 0) }
func notNegative(x float64) bool { return x >= 0 && finite(x) }
func positive(x float64) bool    { return x > 0 && finite(x) }
