package uncertainty

import (
	"fmt"
	"math"
)

// StudentBelow is the probability that a variable with Student's distribution of freedom > 0 degrees, whole or not, is below t. Freedom of +Inf
// gives the normal distribution. Formula: half of the incomplete beta function I(freedom/2, 1/2) at freedom/(freedom+t²), Abramowitz & Stegun
// 26.7.1. The relative error of a tail as far as |t| = 6 is below 10⁻⁸.
func StudentBelow(t, freedom float64) (float64, error) {
	switch {
	case !(freedom > 0):
		return 0, fmt.Errorf("%v degrees of freedom: use a number above 0, or +Inf", freedom)
	case math.IsNaN(t):
		return 0, fmt.Errorf("t is not a number")
	case t > 0:
		return 1 - studentTail(t, freedom), nil
	}
	return studentTail(-t, freedom), nil
}

// studentTail is the probability above t ≥ 0.
func studentTail(t, freedom float64) float64 {
	if freedom > 1e6 {
		// The continued fraction would need too many terms: Abramowitz & Stegun 26.7.8.
		return Below(-t * (1 - 1/(4*freedom)) / math.Sqrt(1+t*t/(2*freedom)))
	}
	if math.IsInf(t, 0) {
		return 0
	}
	square := t * t
	x, y := freedom/(freedom+square), square/(freedom+square)
	return 0.5 * incompleteBeta(freedom/2, 0.5, x, y, betaHalf(freedom/2))
}

// betaHalf is the beta function of a and 1/2. For large a the gamma function would lose digits that the asymptotic series of the ratio keeps:
// Abramowitz & Stegun 6.1.47, to order 5.
func betaHalf(a float64) float64 {
	if a > 100 {
		return math.Sqrt(math.Pi/a) * math.Exp(1/(8*a)-1/(192*a*a*a))
	}
	top, _ := math.Lgamma(a)
	bottom, _ := math.Lgamma(a + 0.5)
	return math.Sqrt(math.Pi) * math.Exp(top-bottom)
}

// incompleteBeta is I(a, b) at x, with y = 1−x and whole the complete beta function: Abramowitz & Stegun 26.5.8 on the side of the mean where the
// continued fraction converges fast.
func incompleteBeta(a, b, x, y, whole float64) float64 {
	if x <= 0 {
		return 0
	}
	if y <= 0 {
		return 1
	}
	if x > (a+1)/(a+b+2) {
		return 1 - incompleteBeta(b, a, y, x, whole)
	}
	return power(x, y, a) * power(y, x, b) / (a * whole * betaFraction(a, b, x))
}

// power is x^a, where y = 1−x is known better than x if x is near 1.
func power(x, y, a float64) float64 {
	if y < 0.5 {
		return math.Exp(a * math.Log1p(-y))
	}
	return math.Pow(x, a)
}

// betaFraction is the denominator 1 + d1/(1 + d2/(1 + …)) of 26.5.8, by the modified method of Lentz.
func betaFraction(a, b, x float64) float64 {
	const tiny = 1e-300
	f, c, d := 1.0, 1.0, 0.0
	for i := 1; i < 10_000; i++ {
		m := float64(i / 2)
		var term float64
		if i%2 == 0 {
			term = m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
		} else {
			term = -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
		}
		if d = 1 + term*d; d == 0 {
			d = tiny
		}
		if c = 1 + term/c; c == 0 {
			c = tiny
		}
		d = 1 / d
		f *= c * d
		if math.Abs(c*d-1) < 1e-15 {
			break
		}
	}
	return f
}

// StudentQuantile is the inverse of [StudentBelow]: the t that a variable with Student's distribution is below with probability p, 0 < p < 1.
func StudentQuantile(p, freedom float64) (float64, error) {
	switch {
	case !(p > 0 && p < 1):
		return 0, fmt.Errorf("probability %v: use a number between 0 and 1", p)
	case !(freedom > 0):
		return 0, fmt.Errorf("%v degrees of freedom: use a number above 0, or +Inf", freedom)
	case math.IsInf(freedom, 1):
		return Quantile(p), nil
	case p == 0.5:
		return 0, nil
	case p > 0.5:
		t, err := StudentQuantile(1-p, freedom)
		return -t, err
	}
	high := 1.0
	for studentTail(high, freedom) > p && !math.IsInf(high, 0) {
		high *= 2
	}
	return -bisect(0, high, 1e-15*high, func(t float64) bool { return studentTail(t, freedom) > p }), nil
}

// bisect returns the place between low and high, to within tolerance, where before turns from true to false.
func bisect(low, high, tolerance float64, before func(float64) bool) float64 {
	for range 100 {
		if high-low <= tolerance {
			break
		}
		middle := low + (high-low)/2
		if before(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return low + (high-low)/2
}

// CoverageFactor returns the factor k for which ±k·u holds the share p of a normal result whose u has the given degrees of freedom: Student's
// t_p(ν), JCGM 100:2008, G.3.2 and Table G.2. For p = 0.95 and infinite freedom it is 1.96.
func CoverageFactor(p, freedom float64) (float64, error) {
	if !(p > 0 && p < 1) {
		return 0, fmt.Errorf("coverage %v: use a share between 0 and 1, such as 0.95", p)
	}
	t, err := StudentQuantile((1-p)/2, freedom)
	return -t, err
}
