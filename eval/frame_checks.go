package eval

import (
	"math"
	"math/bits"
)

// check judges one check from the registers and stores its state.
func (f *frame) check(p *program, index int32, renewed bool) {
	k := &p.checks[index]
	s := &f.states[index]
	if k.plain != nil && f.plain(k, s) {
		return
	}
	s.clear(k.all)
	switch k.c.kind {
	case patternCheck:
		f.pattern(k, s)
	case gradeCheck:
		f.grade(k, s)
	case infoCheck:
		f.information(k, s)
	default:
		f.limited(p, k, s, renewed)
	}
	s.finish(k)
}

// plain judges an exact reading by bounds that are exact; false leaves any other to the long way.
func (f *frame) plain(k *boundCheck, s *checkState) bool {
	x, low, high := &f.regs[k.plain.value], &f.regs[k.plain.low], &f.regs[k.plain.high]
	if x.flags|low.flags|high.flags != 0 || x.lo != x.hi || low.lo != low.hi || high.lo != high.hi {
		return false
	}
	v := x.lo
	s.lo, s.hi, s.low, s.upp, s.raw = v, v, low.lo, high.lo, f.regs[k.value].lo
	s.cause, s.arg, s.limit = noCause, 0, 0
	s.spoke, s.atOdds, s.newOnly = true, false, false
	switch {
	case v < low.lo || v == low.lo && k.plain.lowOpen:
		s.set, s.outcome = k.low, k.lowAt
	case v > high.lo || v == high.lo && k.plain.highOpen:
		s.set, s.outcome = k.high, k.highAt
	default:
		s.set, s.outcome = 1, 0
	}
	s.result = k.results[s.outcome]
	return true
}

// clear makes the state that of a check of which nothing is known.
func (s *checkState) clear(all uint32) {
	s.set, s.outcome, s.result, s.cause, s.arg, s.limit = all, -1, NotTested, noCause, 0, -1
	s.lo, s.hi, s.raw, s.low, s.upp = 0, 0, 0, -infinite, infinite
	s.spoke, s.atOdds, s.newOnly = false, false, false
}

var infinite = math.Inf(1)

// finish gives the state its outcome and result.
func (s *checkState) finish(k *boundCheck) {
	s.outcome = single(s.set)
	s.spoke = s.set != k.all || len(k.c.outcomes) == 1 && s.cause == noCause
	if s.result == Information {
		return
	}
	if s.outcome >= 0 {
		s.result = k.results[s.outcome]
		return
	}
	var results uint16
	for i, o := range k.c.outcomes {
		if s.set&(1<<i) != 0 {
			results |= 1 << o.result
		}
	}
	const acceptable = 1<<Pass | 1<<Marginal
	switch {
	case results == 1<<Pass:
		s.result = Pass
	case results&^acceptable == 0:
		s.result = Marginal
	case results == 1<<Fail:
		s.result = Fail
	case results == 1<<NotValid:
		s.result = NotValid
	default:
		s.result = NotDecidable
		if s.cause == noCause {
			s.cause = causeStraddles
		}
	}
}

func (f *frame) information(k *boundCheck, s *checkState) {
	r := f.regs[k.value : k.value+k.n]
	if k.n == 0 {
		s.cause = causeListLength
		s.result = NotDecidable
		return
	}
	s.lo, s.hi = r[0].lo, r[0].hi
	s.result = Information
}

// unknownValue notes why a value cannot be compared at all.
func (s *checkState) unknownValue(r reg) bool {
	switch {
	case r.flags&regRefused != 0:
		s.cause = causeRefused
	case r.flags&regMissing != 0:
		s.cause = causeMissing
	case r.flags&regUnbounded != 0:
		s.cause = causeUnbounded
	default:
		return false
	}
	return true
}

// pattern finds the outcomes of the first row that holds; a row that may hold adds its outcome, and the search goes on.
func (f *frame) pattern(k *boundCheck, s *checkState) {
	s.set = 0
	for i, truth := range k.rows {
		holds := uint64(canTrue)
		if truth >= 0 {
			holds = f.regs[truth].bits
		}
		if holds&canTrue != 0 {
			s.set |= 1 << k.c.rows[i].outcome
		}
		if holds&canFalse == 0 {
			break
		}
	}
	if single(s.set) < 0 {
		s.cause = causeMissing
	}
}

func (f *frame) grade(k *boundCheck, s *checkState) {
	x := f.regs[k.value]
	s.lo, s.hi = x.lo, x.hi
	if s.unknownValue(x) {
		return
	}
	s.set = 0
	rest := uint64(canTrue) // whether the value is above the cuts so far
	for i, cut := range k.cuts {
		below := uint64(canTrue)
		if cut >= 0 {
			c := f.regs[cut]
			code := codeBelow
			if k.c.rungs[i].upTo {
				code = codeAtMost
			}
			below = compare(code, x, c)
			if c.flags&regMissing != 0 {
				below, s.cause = either, causeMissing
			} else if below&canTrue != 0 && rest&canTrue != 0 {
				s.upp = c.lo
			} else {
				s.low = c.lo
			}
		}
		if kleeneAnd(rest, below)&canTrue != 0 {
			s.set |= 1 << k.c.rungs[i].outcome
		}
		rest = kleeneAnd(rest, negate(below))
		if rest&canTrue == 0 {
			break
		}
	}
	s.unsteady(k, x)
}

// unsteady treats a moving reading: it visits every value, so that it is not good unless all of it is.
func (s *checkState) unsteady(k *boundCheck, x reg) {
	if x.flags&regMoving == 0 {
		return
	}
	if k.jumps != 0 && (k.c.steady || single(s.set) < 0) {
		s.set = k.jumps
		return
	}
	if bad := s.set &^ k.good; bad != 0 {
		s.set = bad
	}
}

// limited judges a value by the limit that counts: the first, highest layer first, whose circumstances hold. While it is not known which
// counts, the outcomes of all that may count remain.
func (f *frame) limited(p *program, k *boundCheck, s *checkState, renewed bool) {
	if k.n == 0 {
		s.cause = causeListLength
		return
	}
	s.set = 0
	if len(k.limits) == 1 && k.limits[0].when < 0 {
		s.limit = 0
		f.judge(p, k, &k.limits[0], s, renewed)
		return
	}
	certain := false
	for i := range k.limits {
		l := &k.limits[i]
		holds := uint64(canTrue)
		if l.when >= 0 {
			holds = f.regs[l.when].bits
		}
		if holds&canTrue == 0 {
			continue
		}
		one := checkState{low: math.Inf(-1), upp: math.Inf(1)}
		f.judge(p, k, l, &one, renewed)
		if s.limit < 0 {
			s.limit = int16(i)
			s.lo, s.hi, s.raw, s.low, s.upp, s.cause, s.newOnly = one.lo, one.hi, one.raw, one.low, one.upp, one.cause, one.newOnly
		} else if one.set != s.set {
			s.cause = causeWhichLimit
		}
		s.set |= one.set
		if holds&canFalse == 0 {
			certain = true
			break
		}
	}
	if certain {
		return
	}
	if s.limit >= 0 { // it may be that no limit counts
		s.set, s.cause = k.all, causeWhichLimit
		return
	}
	f.unlimited(k, s)
}

// unlimited treats a value that has no limit: it is information, unless it must be steady or rising, or an edition is missing.
func (f *frame) unlimited(k *boundCheck, s *checkState) {
	x := f.regs[k.value]
	s.lo, s.hi = x.lo, x.hi
	switch {
	case k.c.steady && x.flags&regMissing == 0:
		s.set = 1
		s.unsteady(k, x)
		if x.flags&regMoving == 0 {
			s.set = 1
		}
	case k.c.rising:
		s.set = f.rising(k)
	case k.c.dated():
		s.set, s.cause = k.all, causeNoEdition
	case k.c.steady || x.flags&regMissing != 0:
		s.set, s.cause = k.all, causeMissing
	default:
		s.set, s.result = k.all, Information
	}
}

// dated tells whether the check has limits that are only out of force.
func (c *check) dated() bool {
	for _, l := range c.limits {
		if !l.declares && l.source != nil && (l.source.from != 0 || l.source.until != 0) && l.when == nil && l.layer.variant == nil && l.index == nil {
			return true
		}
	}
	return false
}

// judge compares a value with one limit.
func (f *frame) judge(p *program, k *boundCheck, l *boundLimit, s *checkState, renewed bool) {
	switch {
	case l.lim.alike != nil:
		s.set = f.alike(&p.alikes[l.alike], f.regs[k.value:k.value+k.n], s)
		if k.pitch >= 0 {
			s.set = f.pitch(k, &p.alikes[l.alike], s.set)
		}
		return
	case k.c.kind == wordCheck:
		f.word(k, l, s)
		return
	case k.c.val.typ.table:
		f.table(k, l, s)
		return
	}
	x := f.regs[l.value]
	s.lo, s.hi, s.raw = x.lo, x.hi, f.regs[k.value].lo
	if s.unknownValue(x) {
		s.set = k.all
		return
	}
	low, high, ok := f.bounds(l, s, f.regs[max(l.cond, 0)], renewed)
	if !ok {
		s.set = k.all
		return
	}
	s.set = f.compareBounds(k, l, x, low, high, renewed, s)
	s.unsteady(k, x)
}

// bounds returns the bounds of a limit, each as what it may be.
func (f *frame) bounds(l *boundLimit, s *checkState, cond reg, renewed bool) (low, high reg, ok bool) {
	low, high = exact(math.Inf(-1)), exact(math.Inf(1))
	switch {
	case l.lim.along != nil:
		low, high, ok = l.lim.along.at(cond)
		if !ok {
			s.cause = causeOutsideCurve
			if cond.flags&regMissing != 0 {
				s.cause = causeMissing
			}
			return low, high, false
		}
	case renewed && (l.newLow >= 0 || l.newHigh >= 0):
		s.newOnly = true
		low, high = f.orElse(l.newLow, low), f.orElse(l.newHigh, high)
	default:
		low, high = f.orElse(l.low, low), f.orElse(l.high, high)
	}
	if (low.flags|high.flags)&regMissing != 0 {
		s.cause = causeMissing
		return low, high, false
	}
	s.low, s.upp = low.lo, high.hi
	if low.lo != low.hi {
		s.low = low.hi
	}
	if high.lo != high.hi {
		s.upp = high.lo
	}
	return low, high, true
}

func (f *frame) orElse(r int32, other reg) reg {
	if r < 0 {
		return other
	}
	return f.regs[r]
}

// compareBounds finds the outcomes that the value can have between the bounds.
func (f *frame) compareBounds(k *boundCheck, l *boundLimit, x, low, high reg, renewed bool, s *checkState) uint32 {
	lowOpen := l.lim.low != nil && l.lim.low.open || l.lim.along.open(false)
	highOpen := l.lim.high != nil && l.lim.high.open || l.lim.along.open(true)
	if s.newOnly {
		lowOpen, highOpen = l.lim.newLow != nil && l.lim.newLow.open, l.lim.newHigh != nil && l.lim.newHigh.open
	}
	above := compare(pick(lowOpen, codeAbove, codeAtLeast), x, low)
	below := compare(pick(highOpen, codeBelow, codeAtMost), x, high)
	var set uint32
	inside := kleeneAnd(above, below)
	if x.lo != x.hi && inside&canTrue != 0 && low.hi > high.lo {
		inside = canFalse
	}
	if above&canFalse != 0 {
		set |= k.low
	}
	if below&canFalse != 0 {
		set |= k.high
	}
	if inside&canTrue == 0 {
		return set
	}
	if s.newOnly || l.newLow < 0 && l.newHigh < 0 {
		return set | 1
	}
	fresh := uint64(canTrue)
	if l.newLow >= 0 {
		fresh = kleeneAnd(fresh, compare(pick(l.lim.newLow.open, codeAbove, codeAtLeast), x, f.regs[l.newLow]))
	}
	if l.newHigh >= 0 {
		fresh = kleeneAnd(fresh, compare(pick(l.lim.newHigh.open, codeBelow, codeAtMost), x, f.regs[l.newHigh]))
	}
	if fresh&canTrue != 0 {
		set |= 1
	}
	if fresh&canFalse != 0 {
		set |= k.worn
	}
	return set
}

func pick(cond bool, yes, no opCode) opCode {
	if cond {
		return yes
	}
	return no
}

func (f *frame) word(k *boundCheck, l *boundLimit, s *checkState) {
	x := f.regs[k.value]
	if x.flags&regMissing != 0 {
		s.set, s.cause = k.all, causeMissing
		return
	}
	if x.bits&l.lim.words != 0 {
		s.set |= 1
	}
	for bad := x.bits &^ l.lim.words; bad != 0; bad &= bad - 1 {
		s.set |= 1 << k.words[bits.TrailingZeros64(bad)]
	}
}

// table judges a reading along another quantity point by point: good if all points are, else the first kind of deviation that a point has.
func (f *frame) table(k *boundCheck, l *boundLimit, s *checkState) {
	possible, certain := uint32(0), uint32(0)
	for i := range k.n {
		x := f.regs[k.value+i]
		var one checkState
		point := k.all
		if !one.unknownValue(x) {
			if low, high, ok := f.bounds(l, &one, f.regs[max(l.cond, 0)+i], false); ok {
				point = f.compareBounds(k, l, x, low, high, false, &one)
			}
		}
		if one.cause != noCause && s.cause == noCause {
			s.cause = one.cause
		}
		if i == 0 || point&1 == 0 && certain == 0 {
			s.lo, s.hi, s.low, s.upp = x.lo, x.hi, one.low, one.upp
		}
		possible |= point
		if point&1 == 0 && single(point) >= 0 {
			certain |= point
		}
	}
	if k.c.rising {
		if dips := f.rising(k); dips&1 == 0 {
			certain |= dips
		} else {
			possible |= dips
		}
	}
	switch {
	case certain != 0:
		s.set, s.cause = certain&-certain, noCause
		for _, first := range [...]uint32{k.low, k.high, k.dips} {
			if certain&first != 0 {
				s.set = first
				break
			}
		}
	default:
		s.set = possible
	}
}

// rising tells whether the points never step down, in the order of the quantity along which they were read.
func (f *frame) rising(k *boundCheck) uint32 {
	dips := k.dips
	set := uint32(1)
	for i := int32(1); i < k.n; i++ {
		a, b := f.regs[k.value+i-1], f.regs[k.value+i]
		switch {
		case (a.flags|b.flags)&regMissing != 0:
			set |= dips
		case b.hi < a.lo:
			return dips
		case b.lo < a.hi && (a.lo != a.hi || b.lo != b.hi):
			set |= dips
		}
	}
	return set
}

// at returns the bounds of a curve where the quantity can be, false outside its rows.
func (c *curve) at(cond reg) (low, high reg, ok bool) {
	if cond.flags&regMissing != 0 || math.IsInf(cond.lo, 0) || math.IsInf(cond.hi, 0) {
		return unknown, unknown, false
	}
	first, last := c.rows[0], c.rows[len(c.rows)-1]
	if cond.lo < first.at && !c.down || cond.hi > last.at && !c.up {
		return unknown, unknown, false
	}
	low, high = c.point(cond.lo)
	if cond.lo != cond.hi {
		add := func(at float64) {
			l, h := c.point(at)
			low, high = hull(low, l), hull(high, h)
		}
		add(cond.hi)
		for _, r := range c.rows {
			if r.at > cond.lo && r.at < cond.hi {
				add(r.at)
			}
		}
	}
	return low, high, true
}

// point returns the bounds at one place: between rows linear, or those of the row reached.
func (c *curve) point(at float64) (low, high reg) {
	low, high = exact(math.Inf(-1)), exact(math.Inf(1))
	i := 0
	for i+1 < len(c.rows) && at >= c.rows[i+1].at {
		i++
	}
	row := c.rows[i]
	share := 0.0
	next := row
	if c.linear && i+1 < len(c.rows) && at > row.at {
		next = c.rows[i+1]
		share = (at - row.at) / (next.at - row.at)
	}
	if row.low != nil {
		low = exact(*row.low + float64(share*(*next.low-*row.low)))
	}
	if row.high != nil {
		high = exact(*row.high + float64(share*(*next.high-*row.high)))
	}
	return low, high
}

func (c *curve) open(high bool) bool {
	if c == nil {
		return false
	}
	if high {
		return c.rows[0].highOpen
	}
	return c.rows[0].lowOpen
}
