package eval

import (
	"math"
	"math/bits"
	"slices"
)

// Most readings are far from every limit, which can be seen without working out how far. A glance carries out the steps of a test on plain
// numbers, each with the most that it can be off, and decides a check only if nothing within that reach has another outcome. What a check
// compared, and how near it is, is then left to be spelled out when it is asked for. A test with a check that is not clear is judged in full at
// once.

// A spot is what a register holds at a glance: a number that is no farther than r from v, as many standard uncertainties of its reading included as
// have a weight. A word is its place among its words, a truth is 0 or 1. What is not known to be one of these has no bound.
type spot struct{ v, r float64 }

var unseen = spot{r: math.Inf(1)}

func seen(truth bool) spot {
	if truth {
		return spot{v: 1}
	}
	return spot{}
}

func (s spot) is(truth float64) bool { return s.r == 0 && s.v == truth }

// reach is r and what arithmetic may have put a number off.
func (s spot) reach() float64 { return s.r + float64(10*rounding*math.Abs(s.v)) }

// spotOf is what a register holds, with errors that are told by so many standard uncertainties.
func spotOf(r reg, e readingError, beyond float64) spot {
	switch {
	case r.flags != 0:
		return unseen
	case r.bits == 0:
		s := spot{v: r.middle(), r: float64(beyond * (e.own + e.shared))}
		if r.lo != r.hi {
			s.r += max(r.hi-s.v, s.v-r.lo)
		}
		return s
	case r.lo == 0 && r.hi == 0: // some words
		if r.bits&(r.bits-1) != 0 {
			return unseen
		}
		return spot{v: float64(bits.TrailingZeros64(r.bits))}
	case r.bits == canTrue && r.hi == infinite || r.bits == canFalse && r.lo == infinite:
		return seen(r.bits == canTrue)
	}
	return unseen
}

// A sight is what the tests of one pass read, laid out for a program. But for the spots that a glance works out it is not changed once it is made.
type sight struct {
	spots  []spot // of all registers
	regs   []reg
	errors []readingError
	perfs  []int32 // per test, the performance that can be judged at a glance
	depths []depth // per test: whether there is one
	ranged []bool  // per test: it uses numbers that are not exact
}

// told is what is possible and the result for each check that only tells a reading, and nothing for the others.
type told struct {
	possible []uint32
	results  []Result
}

// depth tells how far a test was judged in a pass.
type depth uint8

const (
	inFull    depth = iota
	atGlance        // the outcomes of its checks are known, and that no other comes near
	byReading       // the same, but others may come near: by how much is not known
)

// look lays out the readings of a pass.
func (j *Job) look(plan [][]planned, pass int) *sight {
	p := j.program
	s := &sight{
		spots: slices.Clone(p.spots), regs: slices.Clone(p.regs[:p.inputs]), errors: make([]readingError, p.inputs),
		perfs: make([]int32, len(p.tests)), depths: make([]depth, len(p.tests)), ranged: make([]bool, len(p.tests)),
	}
	for i := range p.tests {
		t := &p.tests[i]
		if !t.clear || len(plan[i]) != 1 || plan[i][0].spoiled >= 0 {
			continue
		}
		perf, at, read, missing := j.perfs[plan[i][0].perf], int32(0), false, true
		s.ranged[i] = p.ranged
		for k := range t.inputs {
			in := &t.inputs[k]
			for r := in.base; r < in.base+in.n; r++ {
				s.regs[r], s.errors[r] = perf.regs[at], perf.errors[at]
				s.spots[r] = spotOf(s.regs[r], s.errors[r], p.beyond)
				s.ranged[i] = s.ranged[i] || s.regs[r].lo != s.regs[r].hi
				if in.v.kind == readingValue && in.pass == "" {
					read, missing = true, missing && s.regs[r].flags&regMissing != 0
				}
				at++
			}
		}
		if t.leans && read && missing || j.partedFrom(t, perf, pass) {
			continue
		}
		s.perfs[i], s.depths[i] = plan[i][0].perf, atGlance
		for _, other := range t.uses {
			s.ranged[i] = s.ranged[i] || s.ranged[other]
			s.depths[i] = min(s.depths[i], s.depths[other])
		}
	}
	return s
}

// glance judges tests from one on, each if all of its checks are clear, and returns the first that must be judged in full. Of that it has
// decided nothing.
func (f *frame) glance(p *program, s *passState, from int) int {
	if from == len(p.tests) {
		return from
	}
	x, looks, possible, results, at := s.sight.spots, p.looks[p.tests[from].looks:], s.evidence.Possible, s.results, from
	for i := range looks {
		l := &looks[i]
		switch l.code {
		case codeTest:
			if at = int(l.aux); s.depths[at] == inFull {
				return at
			}
		case codeUse:
			switch s.depths[l.aux] {
			case inFull:
				return s.leave(at)
			case byReading:
				s.depths[at] = byReading
			}
		case codeCheck:
			q := &p.quick[l.aux]
			outcome := int8(-1)
			if l.way == shortBounds {
				outcome = q.place(x[l.a])
			} else {
				outcome = f.see(p, q, x, s.sight.ranged[at])
			}
			if outcome < 0 {
				if outcome = s.byReading(q, at); outcome < 0 {
					return s.leave(at)
				}
			}
			possible[l.aux], results[l.aux] = 1<<(outcome&31), q.results[outcome&7]
		case codeOutcomeIs:
			x[l.dst] = spot{v: float64(bit(possible[l.a]&uint32(l.aux) != 0))}
		case codeNeed:
			if !x[l.a].is(1) {
				return s.leave(at)
			}
		case codeKnown:
			if x[l.a].r == infinite {
				return s.leave(at)
			}
		case codeOutcome:
			x[l.dst] = p.refs[l.aux].seen(possible)
		case codeLaw:
			x[l.dst] = p.laws[l.aux].seen(x, x[l.a])
		case codeWordIs:
			x[l.dst] = unseen
			if w := x[l.a]; w.r == 0 {
				x[l.dst] = seen((p.masks[l.aux]>>uint(w.v)&1 != 0) != (l.b == 1))
			}
		case codeCarry:
			x[l.dst] = x[l.a]
		case codeAdd:
			x[l.dst] = x[l.a].plus(x[l.b])
		case codeSub:
			x[l.dst] = x[l.a].minus(x[l.b])
		case codeMul:
			x[l.dst] = x[l.a].times(x[l.b])
		case codeDiv:
			x[l.dst] = x[l.a].over(x[l.b])
		default:
			x[l.dst] = seenPair(l.code, x[l.a], x[l.b])
		}
	}
	return len(p.tests)
}

// leave leaves a test to be judged in full.
func (s *passState) leave(test int) int {
	s.depths[test] = inFull
	return test
}

// place finds the outcome of a limit that a number has wherever it lies within its reach, -1 if there is none.
func (q *quick) place(x spot) int8 {
	low, high := x.v-x.r, x.v+x.r
	return q.sides[bit(low > q.good.low)|bit(high < q.good.high)<<1|bit(high < q.low)<<2|bit(low > q.high)<<3]
}

// bit is a truth as a number, so that no branch goes by a reading, which a processor cannot guess.
func bit(b bool) uint8 {
	if b {
		return 1
	}
	return 0
}

// byReading finds the outcome of a check by the reading alone, -1 if that is not enough. An error that the reading may have leaves other
// outcomes near.
func (s *passState) byReading(q *quick, test int) int8 {
	if q.decidable < 0 || s.sight.regs[q.value].lo != s.sight.regs[q.value].hi {
		return -1
	}
	x := s.sight.spots[q.value]
	outcome := q.placeRead(x)
	if outcome >= 0 && x.r > 0 {
		s.depths[test] = byReading
	}
	return outcome
}

// placeRead finds the outcome that an exact reading has as it was read, however near it is to a bound or cut. A bound belongs to the good side,
// and a cut to what is above it.
func (q *quick) placeRead(x spot) int8 {
	switch {
	case x.r > q.decidable:
		return -1
	case q.way == shortGrade:
		for i, b := range q.bands {
			if x.v > b.low && x.v < b.high || i > 0 && x.v == q.cuts[i-1] {
				return int8(i)
			}
		}
		return -1
	case x.v == q.bounds.low, x.v == q.bounds.high:
		return 0
	}
	return q.place(spot{v: x.v})
}

// see finds the one outcome that a check can have, -1 if there may be others.
func (f *frame) see(p *program, q *quick, spots []spot, ranged bool) int8 {
	x := &spots[q.value]
	switch q.way {
	case shortGrade:
		low, high := x.v-x.r, x.v+x.r
		for i := range q.bands {
			if b := &q.bands[i]; low > b.low && high < b.high {
				return int8(i)
			}
		}
	case shortWord:
		if x.r == 0 {
			return int8(q.words[int(x.v)])
		}
	case shortPattern:
		for _, row := range q.rows {
			switch truth := spots[max(row.truth, 0)]; {
			case row.truth < 0 || truth.is(1):
				return int8(row.outcome)
			case !truth.is(0):
				return -1
			}
		}
	case shortAlike:
		if !ranged {
			a := &p.alikes[q.alike]
			return f.seeAlike(a, spots[q.value:q.value+q.n], spots[a.tolerance])
		}
	}
	return -1
}

// seeAlike compares exact members, however their errors hang together: the weights of the members in the difference of the spread and what is
// allowed add up to 2 and the tolerance at most.
func (f *frame) seeAlike(a *boundAlike, members []spot, tolerance spot) int8 {
	f.sorted = f.sorted[:0]
	most := 0.
	for _, m := range members {
		f.sorted = append(f.sorted, m.v)
		most = max(most, m.r)
	}
	spread, ref := spreadOf(a.a.by, f.sorted)
	most *= 2
	if a.a.relative {
		most += float64(tolerance.v * most / 2)
	} else {
		ref = 1
	}
	switch room := float64(tolerance.v*ref) - spread; {
	case tolerance.r != 0 || ref == 0 || !(math.Abs(room) > most+float64(10*rounding*spread)):
		return -1
	case room > 0:
		return 0
	}
	return single(oddOut(a, f.sorted, tolerance.v))
}

// seen tells whether all checks of a reference have one of the outcomes.
func (r *boundRef) seen(possible []uint32) spot {
	if len(r.checks) == 0 {
		return unseen
	}
	all := true
	for i, c := range r.checks {
		all = all && possible[c]&r.masks[i] != 0
	}
	return seen(all != r.not)
}

// seen brings a number to the reference of a law.
func (l *boundLaw) seen(x []spot, from spot) spot {
	cond, arg, law := x[l.cond], spot{}, l.k.law
	if l.arg >= 0 {
		arg = x[l.arg]
	}
	if !(from.r < infinite && cond.r < infinite && arg.r < infinite) {
		return unseen
	}
	low, high := cond.v-cond.r, cond.v+cond.r
	switch {
	case low < l.from || high > l.to:
		return unseen
	case l.arg >= 0 && !l.allowed(low, high, arg.v-arg.r, arg.v+arg.r):
		return unseen
	case from.r == 0 && high == low && arg.r == 0:
		return spot{v: l.correct(from.v, cond.v, arg.v)}
	}
	return law.seen(from, cond, arg, l.ref, l.per)
}

// allowed tells whether the law may be used wherever its condition and its argument lie between these.
func (l *boundLaw) allowed(low, high, least, most float64) bool {
	for _, c := range [2]float64{low, high} {
		for _, a := range [2]float64{least, most} {
			if !l.k.law.allowed(c, l.ref, a) {
				return false
			}
		}
	}
	return true
}

// Arithmetic on spots bounds what may come of all numbers within their reach. What comes of numbers without bound has none.

func (s spot) plus(o spot) spot { return spot{s.v + o.v, s.r + o.r} }

func (s spot) minus(o spot) spot { return spot{s.v - o.v, s.r + o.r} }

func (s spot) times(o spot) spot {
	return spot{s.v * o.v, math.Abs(s.v)*o.r + math.Abs(o.v)*s.r + s.r*o.r}
}

func (s spot) over(o spot) spot {
	least := math.Abs(o.v) - o.r
	if !(least > 0) {
		return unseen
	}
	q := s.v / o.v
	return spot{q, (s.r + math.Abs(q)*o.r) / least}
}

// seenPair compares two numbers or joins two truths.
func seenPair(code opCode, a, b spot) spot {
	switch code {
	case codeAbs:
		return spot{math.Abs(a.v), a.r}
	case codeNot:
		return spot{1 - a.v, a.r}
	case codeAnd:
		switch {
		case a.is(0), b.is(0):
			return spot{}
		case a.is(1) && b.is(1):
			return spot{v: 1}
		}
	case codeOr:
		switch {
		case a.is(1), b.is(1):
			return spot{v: 1}
		case a.is(0) && b.is(0):
			return spot{}
		}
	case codeAtLeast, codeAbove, codeAtMost, codeBelow, codeEquals:
		reach, above := a.reach()+b.reach(), code == codeAtLeast || code == codeAbove
		switch d := a.v - b.v; {
		case d > reach:
			return seen(above)
		case d < -reach:
			return seen(!above && code != codeEquals)
		}
	}
	return unseen
}
