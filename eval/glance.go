package eval

import (
	"math"
	"math/bits"
	"slices"
)

// Most readings are far from every limit, which can be seen without working out how far. A glance carries out the steps of a test on plain numbers,
// each with the most that it can be off, and decides a check only if nothing within that reach has another outcome. What a check compared, and how near it
// is, is then left to be spelled out when it is asked for. A test with a check that is not clear is judged in full at once.

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

// A sight is what the tests of one pass read, laid out for a program. It is not changed once it is made.
type sight struct {
	spots  []spot // of the inputs
	regs   []reg
	errors []readingError
	perfs  []int32 // per test, the performance that can be judged at a glance, -1 without
	ranged []bool  // per test: it uses numbers that are not exact
}

// depth tells how far a test was judged in a pass.
type depth uint8

const (
	inFull     depth = iota
	atGlance         // the outcomes of its checks are known, and nothing else
	spelledOut       // at a glance first, and then in full
)

// look lays out the readings of a pass.
func (j *Job) look(plan [][]planned, pass int) *sight {
	p := j.program
	s := &sight{
		spots: slices.Clone(p.spots[:p.inputs]), regs: slices.Clone(p.regs[:p.inputs]), errors: make([]readingError, p.inputs),
		perfs: make([]int32, len(p.tests)), ranged: make([]bool, len(p.tests)),
	}
	for i := range p.tests {
		t := &p.tests[i]
		if s.perfs[i] = -1; !t.clear || len(plan[i]) != 1 || plan[i][0].spoiled >= 0 || plan[i][0].renewed {
			continue
		}
		perf, at, blank := j.perfs[plan[i][0].perf], int32(0), true
		s.ranged[i] = p.ranged
		for k := range t.inputs {
			in := &t.inputs[k]
			for r := in.base; r < in.base+in.n; r++ {
				s.regs[r], s.errors[r] = perf.regs[at], perf.errors[at]
				s.spots[r] = spotOf(s.regs[r], s.errors[r], p.beyond)
				s.ranged[i] = s.ranged[i] || s.regs[r].lo != s.regs[r].hi
				blank = blank && (in.v.kind != readingValue || in.pass != "" || s.regs[r].flags&regMissing != 0)
				at++
			}
		}
		if t.leans && blank || j.partedFrom(t, perf, pass) {
			continue
		}
		s.perfs[i] = plan[i][0].perf
		for _, other := range t.uses {
			s.ranged[i] = s.ranged[i] || s.ranged[other]
			if s.perfs[other] < 0 {
				s.perfs[i] = -1
			}
		}
	}
	return s
}

// glance judges a test if all of its checks are clear. It is false if one is not, and then has decided nothing.
func (f *frame) glance(p *program, t *boundTest, s *passState, index int) bool {
	for _, other := range t.uses {
		if s.depths[other] == inFull {
			return false
		}
	}
	x, ops := f.spots, p.ops[t.from:t.to]
	for i := range ops {
		o := &ops[i]
		switch o.code {
		case codeCheck:
			q := &p.quick[o.aux]
			outcome := f.see(p, q, s.sight.ranged[index])
			if outcome < 0 {
				return false
			}
			s.evidence.Possible[o.aux], s.results[o.aux] = 1<<outcome, q.results[outcome]
		case codeOutcome:
			x[o.dst] = p.refs[o.aux].seen(s.evidence.Possible)
		case codeLaw:
			x[o.dst] = p.laws[o.aux].seen(x, x[o.a])
		case codeWordIs:
			x[o.dst] = unseen
			if w := x[o.a]; w.r == 0 {
				x[o.dst] = seen((p.masks[o.aux]>>uint(w.v)&1 != 0) != (o.sb == 1))
			}
		case codeTighten:
		case codeCarry:
			x[o.dst] = x[o.a]
		default:
			for k := range o.n {
				x[o.dst+k] = seenPair(o.code, x[o.a+k*o.sa], x[o.b+k*o.sb])
			}
		}
	}
	for i := range t.needs {
		if n := &t.needs[i]; n.truth >= 0 && !x[n.truth].is(1) || n.cond >= 0 && x[n.cond].r == infinite {
			return false
		}
	}
	return true
}

// see finds the one outcome that a check can have, -1 if there may be others.
func (f *frame) see(p *program, q *quick, ranged bool) int8 {
	x := f.spots[q.value]
	reach := x.reach()
	low, high := x.v-reach, x.v+reach
	switch q.way {
	case shortBounds:
		switch {
		case low > q.low && high < q.high:
			return 0
		case high < q.low:
			return q.lowAt
		case low > q.high:
			return q.highAt
		}
	case shortGrade:
		i := 0
		for i < len(q.cuts) && low > q.cuts[i] {
			i++
		}
		if i < len(q.cuts) && high < q.cuts[i] {
			return int8(i)
		}
	case shortInformation:
		if x.r < infinite {
			return 0
		}
	case shortWord:
		if x.r == 0 {
			return int8(q.words[int(x.v)])
		}
	case shortPattern:
		for _, row := range q.rows {
			switch truth := f.spots[max(row.truth, 0)]; {
			case row.truth < 0 || truth.is(1):
				return int8(row.outcome)
			case !truth.is(0):
				return -1
			}
		}
	case shortAlike:
		if !ranged {
			return f.seeAlike(&p.alikes[q.alike], f.spots[q.value:q.value+q.n])
		}
	}
	return -1
}

// seeAlike compares exact members, however their errors hang together: the weights of the members in the difference of the spread and what is allowed add
// up to 2 and the tolerance at most.
func (f *frame) seeAlike(a *boundAlike, members []spot) int8 {
	tolerance := f.spots[a.tolerance]
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
	gap := math.Abs(float64(tolerance.v*ref) - spread)
	if tolerance.r != 0 || ref == 0 || !(gap > most+float64(10*rounding*spread)) {
		return -1
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

// seen brings a number to the reference of a law. A law is monotone in each argument, so that the corners of what they can be bound it; the one that is
// farther away is so by more than the slopes tell.
func (l *boundLaw) seen(x []spot, from spot) spot {
	cond, arg := x[l.cond], spot{}
	if l.arg >= 0 {
		arg = x[l.arg]
	}
	law := l.k.law
	if !(from.r < infinite && cond.r < infinite && arg.r < infinite) || !law.allowed(cond.v, l.ref, arg.v) {
		return unseen
	}
	out := spot{v: law.correct(from.v, cond.v, l.ref, arg.v, l.per)}
	if from.r == 0 && cond.r == 0 && arg.r == 0 {
		return out
	}
	for _, c := range cond.ends() {
		for _, a := range arg.ends() {
			if !law.allowed(c, l.ref, a) {
				return unseen
			}
			for _, v := range from.ends() {
				out.r = max(out.r, math.Abs(law.correct(v, c, l.ref, a, l.per)-out.v))
			}
		}
	}
	out.r *= 1 + lawMargin
	return out
}

// lawMargin covers what the third order of a law may take from its first.
const lawMargin = 1e-3

// ends are the least and the most that a number can be.
func (s spot) ends() []float64 {
	if s.r == 0 {
		return []float64{s.v}
	}
	return []float64{s.v - s.r, s.v + s.r}
}

// seenPair carries out a step on one number or two. What comes of numbers without bound has none.
func seenPair(code opCode, a, b spot) spot {
	switch code {
	case codeAdd:
		return spot{a.v + b.v, a.r + b.r}
	case codeSub:
		return spot{a.v - b.v, a.r + b.r}
	case codeMul:
		return spot{a.v * b.v, math.Abs(a.v)*b.r + math.Abs(b.v)*a.r + a.r*b.r}
	case codeDiv:
		d := math.Abs(b.v) - b.r
		if !(d > 0) {
			return unseen
		}
		q := a.v / b.v
		return spot{q, (a.r + math.Abs(q)*b.r) / d}
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
