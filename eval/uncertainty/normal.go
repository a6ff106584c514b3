package uncertainty

import "math"

// Below is the probability Φ(z) = erfc(−z/√2)/2 that a standard normal variable is below z: JCGM 106:2012, 7.2.2. It is accurate in both tails and
// does not allocate.
func Below(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// Quantile is the inverse of [Below]: the z that a standard normal variable is below with probability p. It is −Inf at 0, +Inf at 1, and NaN
// outside of 0 to 1. For 1−p far below 10⁻¹⁶ use −Quantile of the small probability itself.
func Quantile(p float64) float64 {
	switch {
	case !(p >= 0 && p <= 1):
		return math.NaN()
	case p == 0:
		return math.Inf(-1)
	case p > 0.5:
		return -Quantile(1 - p)
	case p == 0.5:
		return 0
	}
	// The logarithm of Below is concave, so that Newton's steps from the left of the root rise to it without passing it.
	z := -math.Sqrt(-2*math.Log(p)) - 0.5
	for range 50 {
		below := Below(z)
		if below == 0 {
			return z
		}
		step := math.Log(below/p) * below / density(z)
		z -= step
		if math.Abs(step) <= 1e-15*math.Abs(z) {
			break
		}
	}
	return z
}

// density is the standard normal density.
func density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }
