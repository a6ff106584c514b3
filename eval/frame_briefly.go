package eval

import (
	"math/bits"
)

// The short ways to judge a check. They return false to leave it to the long one.

func (f *frame) informationBriefly(q *quick, s *checkState) bool {
	x := &f.regs[q.value]
	if x.flags != 0 {
		return false
	}
	s.brief(x.lo, x.hi, x.lo, -1)
	s.set, s.possible, s.outcome, s.result = 1, 1, 0, Information
	return true
}

func (f *frame) wordBriefly(k *boundCheck, q *quick, s *checkState) bool {
	x := &f.regs[q.value]
	if x.flags != 0 || x.bits&(x.bits-1) != 0 {
		return false
	}
	s.brief(0, 0, 0, 0)
	s.decide(int8(k.words[bits.TrailingZeros64(x.bits)]), q)
	return true
}

// numberBriefly judges a number, or a range all of which has one outcome, that is clear of its bounds.
func (f *frame) numberBriefly(p *program, q *quick, s *checkState) bool {
	x := &f.regs[q.corrected]
	if x.flags != 0 {
		return false
	}
	low, high, outcome := q.place(x.lo)
	variance := 0.0
	switch {
	case q.row < 0:
		variance = f.errors[q.corrected].variance
	case f.bounding:
		variance = float64(f.most[q.corrected] * f.most[q.corrected])
	default:
		for _, d := range f.rows[q.row : q.row+q.sources] {
			variance += float64(d * d)
		}
	}
	down, up, reach := x.lo-low, high-x.lo, float64(p.nearby*variance)+float64(noRounding*x.lo*x.lo)
	if down*down <= reach || up*up <= reach {
		return false
	}
	if x.hi != x.lo {
		down, up = x.hi-low, high-x.hi
		if _, _, other := q.place(x.hi); other != outcome || down*down <= reach || up*up <= reach {
			return false
		}
	}
	s.brief(x.lo, x.hi, f.regs[q.value].lo, q.limit)
	s.low, s.upp, s.variance = low, high, variance
	s.decide(outcome, q)
	return true
}

// place finds the outcome of a number between bounds or cuts, and the bounds that it lies between.
func (q *quick) place(v float64) (low, high float64, outcome int8) {
	if q.way == shortBounds {
		switch {
		case v < q.low:
			outcome = q.lowAt
		case v > q.high:
			outcome = q.highAt
		}
		return q.low, q.high, outcome
	}
	low = -infinite
	i := 0
	for v >= q.cuts[i] && i+1 < len(q.cuts) {
		low = q.cuts[i]
		i++
	}
	return low, q.cuts[i], int8(i)
}

// patternBriefly judges a pattern whose rows are decided by what no error can turn.
func (f *frame) patternBriefly(k *boundCheck, q *quick, s *checkState) bool {
	for i, truth := range k.rows {
		if truth >= 0 {
			switch r := &f.regs[truth]; {
			case r.lo == infinite:
				continue
			case r.hi < infinite:
				return false
			}
		}
		s.brief(0, 0, 0, -1)
		s.decide(int8(k.c.rows[i].outcome), q)
		return true
	}
	return false
}

// alikeBriefly judges exact members whose spread is clear of what is allowed, however their errors hang together: the weights of the members in
// the difference of the two add up to 2 and the tolerance at most.
func (f *frame) alikeBriefly(p *program, k *boundCheck, q *quick, s *checkState) bool {
	a := &p.alikes[k.limits[0].alike]
	tolerance := &f.regs[a.tolerance]
	if tolerance.flags != 0 || tolerance.lo != tolerance.hi {
		return false
	}
	f.sorted = f.sorted[:0]
	most := 0.0
	for i := k.value; i < k.value+k.n; i++ {
		r := &f.regs[i]
		if r.flags != 0 || r.lo != r.hi {
			return false
		}
		f.sorted = append(f.sorted, r.lo)
		most = max(most, f.mostOf(p, i))
	}
	spread, ref := spreadOf(a.a.by, f.sorted)
	most *= 2
	if a.a.relative {
		most += float64(tolerance.lo * most / 2)
	} else {
		ref = 1
	}
	if d := float64(tolerance.lo*ref) - spread; ref == 0 || d*d <= float64(p.nearby*(most*most))+float64(noRounding*spread*spread) {
		return false
	}
	s.brief(spread/ref, spread/ref, 0, 0)
	s.upp, s.variance = tolerance.lo, most*most/(ref*ref)
	s.decide(single(oddOut(a, f.sorted, tolerance.lo)), q)
	return true
}

// brief sets the state of a check that was judged the short way, but for its outcome.
func (s *checkState) brief(lo, hi, raw float64, limit int16) {
	s.lo, s.hi, s.raw, s.limit, s.spoke, s.short = lo, hi, raw, limit, true, true
	s.cause, s.arg, s.atOdds, s.newOnly, s.z = noCause, 0, false, false, infinite
	s.low, s.upp, s.variance = -infinite, infinite, 0
}

func (s *checkState) decide(outcome int8, q *quick) {
	s.set, s.possible, s.outcome, s.result = 1<<outcome, 1<<outcome, outcome, q.results[outcome]
}
