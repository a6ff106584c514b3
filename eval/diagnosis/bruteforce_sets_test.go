package diagnosis

import (
	"math"
	"math/bits"
	"slices"
)

// oraclePrior is Π P(f|h) over the faults of h times Π (1 − P(f|h)) over the others, P(f|h) = 1 − (1−p_f)·Π(1−w_gf) over the g of h.
func oraclePrior(s *oracleSheet, set uint) float64 {
	product := 1.0
	for f := range s.faults {
		absent := 1 - s.faults[f].prior
		for _, g := range setOf(set) {
			for _, l := range s.faults[g].leads {
				if l.to == f {
					absent *= 1 - l.strength
				}
			}
		}
		if set>>f&1 == 1 {
			product *= 1 - absent
		} else {
			product *= absent
		}
	}
	return product
}

// oracleNames returns the checks that the sheet says something of for a fault. A "with" row is said of both its faults.
func oracleNames(s *oracleSheet, fault int) (checks []int) {
	for _, x := range s.faults[fault].shows {
		checks = append(checks, x.checks...)
	}
	for _, x := range s.faults[fault].never {
		checks = append(checks, x.check)
	}
	for _, x := range s.faults[fault].masks {
		checks = append(checks, x.check)
	}
	for f := range s.faults {
		for _, x := range s.faults[f].with {
			if f == fault || x.other == fault {
				checks = append(checks, x.check)
			}
		}
	}
	return checks
}

// oracleTouched returns the faults that take part in the enumeration of the cut: those that name a check whose reading tells outcomes apart, and
// decided: those that lead to one of these, at any remove. All others are barren: they bear on no reading, not by what they lead to either.
func oracleTouched(s *oracleSheet) uint {
	touched := uint(0)
	for i := range s.faults {
		if slices.ContainsFunc(oracleNames(s, i), func(c int) bool { return oracleTells(s, c) }) {
			touched |= 1 << i
		}
	}
	for range s.faults {
		for g, f := range s.faults {
			for _, l := range f.leads {
				if touched>>l.to&1 == 1 {
					touched |= 1 << g
				}
			}
		}
	}
	return touched
}

func oracleTells(s *oracleSheet, check int) bool {
	w := s.checks[check].weights
	return slices.Max(w) != slices.Min(w)
}

// An oracleResult holds the weights of all sets that were enumerated, w and, with ε = 0, w₀, and what follows from them.
type oracleResult struct {
	w, w0     map[uint]float64
	sum, sum0 float64   // Σw and Σw₀; Σw = 0 means contradictory
	posterior []float64 // per fault; 0 if the readings are contradictory
	ok        float64   // P(ok) = Π(1−ε_t)·Σw₀/Σw, that no reading is a slip
}

// oraclePosterior weighs prior·ΠP_t over all 2^n sets (roots < 0), or over the cut: sets of touched faults with at most so many roots, that is
// faults that nothing in the set leads to, and at most roots + 2 faults. Barren faults are not counted: to every set of the cut all sets of them are
// added, so that they keep the probability that their causes give them. A test that tells nothing is no reading.
func oraclePosterior(s *oracleSheet, roots int) oracleResult {
	r := oracleResult{w: map[uint]float64{}, w0: map[uint]float64{}, posterior: make([]float64, len(s.faults))}
	touched := uint(1)<<len(s.faults) - 1
	if roots >= 0 {
		touched = oracleTouched(s)
	}
	for set := range uint(1) << len(s.faults) {
		counted := set & touched
		if roots >= 0 && (oracleRoots(s, counted) > roots || bits.OnesCount(counted) > roots+2) {
			continue
		}
		w := oraclePrior(s, set)
		w0 := w
		for t := range s.tests {
			w *= oracleLikelihood(s, t, set, true)
			w0 *= oracleLikelihood(s, t, set, false)
		}
		r.w[set], r.w0[set] = w, w0
		r.sum, r.sum0 = r.sum+w, r.sum0+w0
		for _, f := range setOf(set) {
			r.posterior[f] += w
		}
	}
	if r.sum > 0 {
		r.ok = r.sum0 / r.sum
		for i, t := range s.tests {
			if slices.ContainsFunc(upTo(len(s.checks)), func(c int) bool { return s.checks[c].test == i && oracleTells(s, c) }) {
				r.ok *= 1 - math.Pow(t.slip, float64(t.performances))
			}
		}
		for f := range s.faults {
			r.posterior[f] /= r.sum
		}
	}
	return r
}

// oracleRoots counts the faults of a set that no other one of the set leads to.
func oracleRoots(s *oracleSheet, set uint) int {
	roots := set
	for _, g := range setOf(set) {
		for _, l := range s.faults[g].leads {
			if l.strength > 0 {
				roots &^= 1 << l.to
			}
		}
	}
	return bits.OnesCount(roots)
}
