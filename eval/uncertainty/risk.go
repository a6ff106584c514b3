package uncertainty

import "math"

// Risks are the two ways in which a decision rule can be wrong, over a whole process: JCGM 106:2012, 9.5.
type Risks struct {
	FalseAccept float64 // share of items that do not conform and are accepted: the consumer's risk
	FalseReject float64 // share of items that conform and are rejected: the producer's risk
	Conforming  float64 // share of items that conform
}

// GlobalRisks works out the risks for items whose true values have the density prior over from to to, measured with the normal standard uncertainty
// u, with tolerance limits low and high and acceptance limits acceptLow and acceptHigh. It integrates by Simpson's rule on steps much finer than u.
func GlobalRisks(prior func(float64) float64, from, to, u, low, high, acceptLow, acceptHigh float64) Risks {
	accepted := func(v float64) float64 { return Conformance(v, u, acceptLow, acceptHigh) }
	inside := func(a, b float64, f func(float64) float64) float64 {
		a, b = math.Max(a, from), math.Min(b, to)
		if a >= b {
			return 0
		}
		return simpson(a, b, u, f)
	}
	outer := func(f func(float64) float64) float64 { return inside(from, low, f) + inside(high, to, f) }
	return Risks{
		FalseAccept: outer(func(v float64) float64 { return prior(v) * accepted(v) }),
		FalseReject: inside(low, high, func(v float64) float64 { return prior(v) * (1 - accepted(v)) }),
		Conforming:  inside(low, high, prior),
	}
}

// NormalPrior is the density of a normal process, and the range that holds all of it that matters.
func NormalPrior(mean, sd float64) (density func(float64) float64, from, to float64) {
	return func(v float64) float64 {
		z := (v - mean) / sd
		return math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
	}, mean - 9*sd, mean + 9*sd
}

// GammaPrior is the density of a gamma distribution by shape and rate, and the range that holds all of it that matters.
func GammaPrior(shape, rate float64) (density func(float64) float64, from, to float64) {
	lg, _ := math.Lgamma(shape)
	return func(v float64) float64 {
		if v <= 0 {
			return 0
		}
		return math.Exp(shape*math.Log(rate) + (shape-1)*math.Log(v) - rate*v - lg)
	}, 0, (shape + 40*math.Sqrt(shape)) / rate
}

// simpson integrates f from a to b in steps of at most a twentieth of u, and at least 2000 of them.
func simpson(a, b, u float64, f func(float64) float64) float64 {
	n := 2000
	if u > 0 {
		n = int(math.Min(200_000, math.Max(2000, 20*(b-a)/u)))
	}
	n += n % 2
	h := (b - a) / float64(n)
	sum := f(a) + f(b)
	for i := 1; i < n; i++ {
		w := 4.0
		if i%2 == 0 {
			w = 2
		}
		sum += w * f(a+float64(i)*h)
	}
	return sum * h / 3
}
