package uncertainty

import (
	"fmt"
	"math"
)

// A Prior is what is known of the true values of a process before an item is measured: their density over From to To, outside of which it counts as
// zero. It need not integrate to 1: it is scaled. It must not be negative, and not change much within a hundredth of the range.
type Prior struct {
	Density  func(x float64) float64
	From, To float64
}

// NormalPrior is a normal process with the standard deviation sd > 0, over nine of them on either side.
func NormalPrior(mean, sd float64) (Prior, error) {
	switch {
	case !finite(mean):
		return Prior{}, fmt.Errorf("mean %v: use a finite number", mean)
	case !positive(sd):
		return Prior{}, fmt.Errorf("standard deviation %v: use a finite number above 0", sd)
	}
	return Prior{func(x float64) float64 { return density((x-mean)/sd) / sd }, mean - 9*sd, mean + 9*sd}, nil
}

// GammaPrior is a process of values from 0 up with the density x^(shape−1)·exp(−rate·x), scaled: mean shape/rate, variance shape/rate². It suits what
// cannot be negative, such as a runout: JCGM 106:2012, 9.5.4. The shape must be at least 1, where the density is finite at 0, and the rate, which
// has the inverse unit, above 0.
func GammaPrior(shape, rate float64) (Prior, error) {
	switch {
	case !(shape >= 1 && finite(shape)):
		return Prior{}, fmt.Errorf("shape %v: use a finite number from 1 up", shape)
	case !positive(rate):
		return Prior{}, fmt.Errorf("rate %v: use a finite number above 0", rate)
	}
	logGamma, _ := math.Lgamma(shape)
	f := func(x float64) float64 {
		if x <= 0 {
			return 0
		}
		return rate * math.Exp((shape-1)*math.Log(rate*x)-rate*x-logGamma)
	}
	spread := math.Sqrt(shape)
	return Prior{f, math.Max(0, shape-12*spread) / rate, (shape + 12*spread + 30) / rate}, nil
}

// check returns an error that names what is wrong with the prior, or its integral.
func (p Prior) check() (total float64, err error) {
	switch {
	case p.Density == nil:
		return 0, fmt.Errorf("prior without a density: use NormalPrior, GammaPrior or a function of your own")
	case !finite(p.From) || !finite(p.To) || !(p.From < p.To):
		return 0, fmt.Errorf("prior from %v to %v: use two finite ends, the low one first", p.From, p.To)
	}
	if total, err = integrate(p.Density, p.From, p.To); err != nil {
		return 0, fmt.Errorf("prior: %w", err)
	}
	if !positive(total) {
		return 0, fmt.Errorf("prior with the integral %v from %v to %v: the density must be positive somewhere and finite", total, p.From, p.To)
	}
	return total, nil
}
