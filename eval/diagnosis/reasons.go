package diagnosis

import (
	"cmp"
	"math"
	"slices"
)

// A Reason is how strongly the readings of one test favour one set of faults over another: 10·log₁₀ of the ratio of their likelihoods, in decibans
// (after I. J. Good, Probability and the Weighing of Evidence, 1950, chapter 6; the unit is Turing's).
type Reason struct {
	Test   int
	Weight float64 // decibans; negative: it speaks against
	Slip   bool    // without the fault the reading needs a slip
}

// Reasons compares the best set with a fault to the best set without it, test by test, the weightiest first. All weights and the prior, in decibans, add
// up to how much likelier the first set is; without slips that can be infinitely so. ev and r must be those of Rank. It is false if no reading bears on the
// fault, or if the readings contradict each other.
func (t *Table) Reasons(ev *Evidence, r *Ranking, fault int) (with, without []int32, prior float64, reasons []Reason, ok bool) {
	if r.total <= 0 {
		return nil, nil, 0, nil, false
	}
	f := int32(fault)
	best, other := -1., -1.
	t.every(ev, r, r.Roots, func(set []int32, w, _ float64) {
		switch {
		case slices.Contains(set, f):
			if w > best*(1+tolerance) {
				best, with = w, append(with[:0], set...)
			}
		case w > other*(1+tolerance):
			other, without = w, append(without[:0], set...)
		}
	})
	if best < 0 || other < 0 {
		return nil, nil, 0, nil, false
	}
	prior = decibans(t.oddsOf(r, with) / t.oddsOf(r, without))
	for i := range ev.tests {
		if !ev.tests[i].valid {
			continue
		}
		p, _ := t.test(ev, i, with)
		q, q0 := t.test(ev, i, without)
		if w := decibans(p / q); math.Abs(w) > tolerance {
			reasons = append(reasons, Reason{Test: i, Weight: w, Slip: q0 <= q*1e-3})
		}
	}
	slices.SortStableFunc(reasons, func(a, b Reason) int {
		x, y := math.Abs(a.Weight), math.Abs(b.Weight)
		if math.Abs(x-y) <= tolerance {
			return cmp.Compare(a.Test, b.Test)
		}
		return cmp.Compare(y, x)
	})
	return with, without, prior, reasons, true
}

func decibans(ratio float64) float64 { return 10 * math.Log10(ratio) }

// Beyond is the share of probability that sets of one more root than were considered would take, at most: what the ranking leaves out.
func (t *Table) Beyond(ev *Evidence, r *Ranking) float64 {
	if r.Roots >= mostRoots || r.total <= 0 {
		return 0
	}
	total := 0.
	t.every(ev, r, r.Roots+1, func(_ []int32, w, _ float64) { total += w })
	return max(0, 1-r.total/total)
}
