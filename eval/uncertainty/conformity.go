// Package uncertainty holds what measurement uncertainty and conformity decisions need: standard uncertainties of accuracies, propagation to first
// order, probabilities of conformity, guard bands, and the risks of a decision rule. All functions work on plain numbers in one unit and are safe
// for concurrent use.
package uncertainty

import (
	"fmt"
	"math"
)

// Factors from a half-width to a standard uncertainty: rectangular and triangular by JCGM 100:2008, 4.3.7 and 4.3.9; arcsine by the same rule for
// its density; normal where the half-width was stated with a coverage factor of two.
var (
	Rectangular = 1 / math.Sqrt(3)
	Triangular  = 1 / math.Sqrt(6)
	Arcsine     = 1 / math.Sqrt2
	Normal2     = 0.5
)

// Below is the probability that a standard normal variable is below z.
func Below(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// Quantile is the inverse of Below for 0 < p < 1; ±Inf at the ends.
func Quantile(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }

// Conformance is the probability that the true value lies from low to high, for a normal distribution about the value x with the standard
// uncertainty u: JCGM 106:2012, 7.3 and 7.4. A side without a limit is ±Inf. With u = 0 it is 1 or 0.
func Conformance(x, u, low, high float64) float64 {
	if u == 0 {
		if x >= low && x <= high {
			return 1
		}
		return 0
	}
	return Below((high-x)/u) - Below((low-x)/u)
}

// GuardFactor is how many standard uncertainties a reading must be inside a limit for the risk of accepting what does not conform to be at most
// risk, 0 < risk < 0.5: JCGM 106:2012, 8.3.3.
func GuardFactor(risk float64) (float64, error) {
	if !(risk > 0 && risk < 0.5) {
		return 0, fmt.Errorf("a risk of %v is not between 0 and 0.5", risk)
	}
	return -Quantile(risk), nil
}

// Decision is one of the four results of a guarded decision rule: ILAC-G8:09/2019, 4.2.3.
type Decision uint8

// Results of Decide.
const (
	Fail Decision = iota
	ConditionalFail
	ConditionalPass
	Pass
)

// Decide compares a value with limits under a guard band of w on either side of each limit. A value exactly on a limit is inside.
func Decide(x, low, high, w float64) Decision {
	inside := math.Min(x-low, high-x)
	switch {
	case inside >= w && inside >= 0:
		return Pass
	case inside >= 0:
		return ConditionalPass
	case inside > -w:
		return ConditionalFail
	}
	return Fail
}

// Capability returns the index Cpk of a normal process, and the share of it outside of the limits.
func Capability(mean, sd, low, high float64) (cpk, outside float64) {
	return math.Min(high-mean, mean-low) / (3 * sd), 1 - Conformance(mean, sd, low, high)
}
