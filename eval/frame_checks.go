package eval

import (
	"math"
	"math/bits"
)

// check judges one check from the registers and stores its state: the degree of every outcome first, and what follows from the degrees.
func (f *frame) check(p *program, t *boundTest, index int32, renewed bool) {
	k, s := &p.checks[index], &f.states[index]
	zs := f.degreesOf(k)
	s.clear(k.all)
	s.perf = f.perf
	clear(zs)
	switch k.c.kind {
	case patternCheck:
		f.pattern(k, s, zs)
	case gradeCheck:
		f.grade(p, t, k, s, zs)
	case infoCheck:
		f.information(k, s)
	default:
		f.limited(p, t, k, s, zs, renewed)
	}
	s.conclude(k, zs, p.guard)
}

// clear makes the state that of a check of which nothing is known.
func (s *checkState) clear(all uint32) {
	s.set, s.possible, s.outcome, s.result, s.cause, s.arg, s.limit = all, all, -1, NotTested, noCause, 0, -1
	s.lo, s.hi, s.raw, s.low, s.upp, s.variance, s.z = 0, 0, 0, -infinite, infinite, 0, 0
	s.spoke, s.atOdds, s.newOnly = false, false, false
}

var infinite = math.Inf(1)

// meterLimit is how many standard uncertainties a tolerance must span for a meter to be able to decide it, and how far a reading must be from
// a bound for a meter that is not able to decide it all the same.
const (
	meterSpan  = 4
	meterClear = 2
)

// conclude works out from the degrees of its outcomes what became of the check, by the decision rule: a result on one side of its limits needs
// every outcome of the other side to be guard standard uncertainties away; a guard of zero is simple acceptance.
func (s *checkState) conclude(k *boundCheck, zs []float64, guard float64) {
	s.set = 0
	var results uint16
	good, other := infinite, infinite
	for i, z := range zs {
		r := k.results[i]
		if z == 0 {
			s.set |= 1 << i
			results |= 1 << r
		}
		if r == Pass || r == Marginal || r == Information {
			good = min(good, z)
		} else {
			other = min(other, z)
		}
	}
	s.possible = s.set
	s.outcome = single(s.set)
	s.spoke = s.set != k.all || len(zs) == 1 && s.cause == noCause
	if s.result == Information {
		return
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
		return
	}
	s.z = max(good, other)
	reach := guard
	switch {
	case s.variance > 0 && s.upp-s.low < meterSpan*math.Sqrt(s.variance) && s.z < meterClear:
		s.result, s.cause, reach = NotDecidable, causeMeter, meterClear
	case s.z < guard && s.cause == noCause:
		s.result, s.cause = Marginal, causeGuard
	default:
		return
	}
	for i, z := range zs {
		if z < reach {
			s.possible |= 1 << i
		}
	}
}

func (f *frame) information(k *boundCheck, s *checkState) {
	r := f.regs[k.value : k.value+k.n]
	if k.n == 0 {
		s.cause = causeListLength
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

// far sets all degrees to infinity, to be brought down by what is possible.
func far(zs []float64) {
	for i := range zs {
		zs[i] = infinite
	}
}

func bring(zs []float64, i int, z float64) { zs[i] = min(zs[i], z) }

// pattern takes the rows in order: an outcome needs its row to hold and every row before it to fail.
func (f *frame) pattern(k *boundCheck, s *checkState, zs []float64) {
	far(zs)
	rest := certainly(canTrue)
	for i, truth := range k.rows {
		holds := certainly(canTrue)
		if truth >= 0 {
			holds = f.regs[truth]
		}
		bring(zs, k.c.rows[i].outcome, both(rest, holds).lo)
		rest = both(rest, opposite(holds))
	}
	possible := 0
	for _, z := range zs {
		if z == 0 {
			possible++
		}
	}
	if possible != 1 {
		s.cause = causeMissing
	}
}

func (f *frame) grade(p *program, t *boundTest, k *boundCheck, s *checkState, zs []float64) {
	x := f.regs[k.value]
	s.lo, s.hi, s.raw = x.lo, x.hi, f.regs[k.read].lo
	if s.unknownValue(x) {
		return
	}
	far(zs)
	rest := certainly(canTrue) // whether the value is above the cuts so far
	for i, cut := range k.cuts {
		below := certainly(canTrue)
		if cut >= 0 {
			code := codeBelow
			if k.c.rungs[i].upTo {
				code = codeAtMost
			}
			below = f.compared(p, t, code, k.value, cut)
			u := f.standard(p, k.value)
			if t.soft {
				u = f.apart(p, k.value, cut, t.sources)
			}
			s.variance = u * u
			switch {
			case f.regs[cut].flags&regMissing != 0:
				below, s.cause = certainly(either), causeMissing
			case below.lo == 0 && rest.lo == 0 && math.IsInf(s.upp, 1):
				s.upp = f.regs[cut].lo
			case rest.lo == 0 && below.lo > 0:
				s.low = f.regs[cut].lo
			}
		}
		bring(zs, k.c.rungs[i].outcome, both(rest, below).lo)
		rest = both(rest, opposite(below))
	}
	s.unsteady(k, x, zs)
}

// standard is the standard uncertainty of a register that is a reading, 0 of any other.
func (f *frame) standard(p *program, r int32) float64 {
	if int(r) < p.inputs {
		return math.Sqrt(f.errors[r].variance)
	}
	return 0
}

// unsteady treats a moving reading: it visits every value, so that it is not good unless all of it is.
func (s *checkState) unsteady(k *boundCheck, x reg, zs []float64) {
	if x.flags&regMoving == 0 {
		if k.jumps != 0 {
			zs[bits.TrailingZeros32(k.jumps)] = infinite
		}
		return
	}
	touched, bad := 0, false
	for i, z := range zs {
		if z == 0 && k.jumps != 1<<i {
			touched++
			bad = bad || k.good&(1<<i) == 0
		}
	}
	switch {
	case k.jumps != 0 && (k.c.steady || touched > 1):
		far(zs)
		zs[bits.TrailingZeros32(k.jumps)] = 0
		return
	case bad:
		for i := range zs {
			if k.good&(1<<i) != 0 {
				zs[i] = infinite
			}
		}
	}
	if k.jumps != 0 {
		zs[bits.TrailingZeros32(k.jumps)] = infinite
	}
}

// limited judges a value by the limit that counts: the first, highest layer first, whose circumstances hold. While it is not certain which
// counts, the outcomes of all that may count remain.
func (f *frame) limited(p *program, t *boundTest, k *boundCheck, s *checkState, zs []float64, renewed bool) {
	if k.n == 0 {
		s.cause = causeListLength
		return
	}
	if len(k.limits) == 1 && k.limits[0].when < 0 {
		s.limit = 0
		f.judge(p, t, k, &k.limits[0], s, zs, renewed)
		return
	}
	far(zs)
	var one [maxOutcomes]float64
	rest := certainly(canTrue)
	for i := range k.limits {
		l := &k.limits[i]
		holds := certainly(canTrue)
		if l.when >= 0 {
			holds = f.regs[l.when]
		}
		if both(rest, holds).lo > 0 {
			rest = both(rest, opposite(holds))
			continue
		}
		st := checkState{low: -infinite, upp: infinite}
		clear(one[:len(zs)])
		f.judge(p, t, k, l, &st, one[:len(zs)], renewed)
		if s.limit < 0 {
			s.limit = int16(i)
			s.lo, s.hi, s.raw, s.low, s.upp, s.variance, s.cause, s.newOnly = st.lo, st.hi, st.raw, st.low, st.upp, st.variance, st.cause, st.newOnly
		} else if !sameNearest(zs, one[:len(zs)]) {
			s.cause = causeWhichLimit
		}
		for o := range zs {
			bring(zs, o, one[o])
		}
		rest = both(rest, opposite(holds))
	}
	switch {
	case rest.lo > 0:
	case s.limit >= 0 && k.exhaustive:
	case s.limit >= 0: // it may be that no limit counts
		clear(zs)
		s.cause = causeWhichLimit
	default:
		f.unlimited(k, s, zs)
	}
}

// sameNearest tells whether two sets of degrees leave the same outcomes possible.
func sameNearest(a, b []float64) bool {
	for i := range a {
		if (a[i] == 0) != (b[i] == 0) {
			return false
		}
	}
	return true
}

// unlimited treats a value that has no limit: it is information, unless it must be steady or rising, or an edition is missing.
func (f *frame) unlimited(k *boundCheck, s *checkState, zs []float64) {
	x := f.regs[k.value]
	s.lo, s.hi = x.lo, x.hi
	clear(zs)
	switch {
	case k.c.rising:
		far(zs)
		r := f.rising(k)
		zs[0], zs[bits.TrailingZeros32(k.dips)] = r.lo, r.hi
	case k.c.steady && x.flags&regMissing == 0:
		far(zs)
		zs[0] = 0
		s.unsteady(k, x, zs)
	case k.c.dated():
		s.cause = causeNoEdition
	case k.c.steady || x.flags&regMissing != 0:
		s.cause = causeMissing
	default:
		s.result = Information
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
func (f *frame) judge(p *program, t *boundTest, k *boundCheck, l *boundLimit, s *checkState, zs []float64, renewed bool) {
	switch {
	case l.lim.alike != nil:
		f.alike(p, t, &p.alikes[l.alike], k.value, k.n, s, zs)
		if k.pitch >= 0 {
			f.pitch(k, &p.alikes[l.alike], zs)
		}
		return
	case k.c.kind == wordCheck:
		f.word(k, l, s, zs)
		return
	case k.c.val.typ.table:
		f.table(p, t, k, l, s, zs)
		return
	}
	x := f.regs[l.value]
	s.lo, s.hi, s.raw = x.lo, x.hi, f.regs[k.value].lo
	if s.unknownValue(x) {
		clear(zs)
		return
	}
	b, ok := f.bounds(p, t, l, s, l.value, max(l.cond, 0), renewed)
	if !ok {
		clear(zs)
		return
	}
	f.compareBounds(p, t, k, l, x, b, s, zs)
	s.unsteady(k, x, zs)
}

// bounds are the bounds of a limit, and the standard uncertainty of the value's distance to each.
type bounds struct {
	low, high   reg
	uLow, uHigh float64
}

func (f *frame) bounds(p *program, t *boundTest, l *boundLimit, s *checkState, value, cond int32, renewed bool) (bounds, bool) {
	b := bounds{low: exact(-infinite), high: exact(infinite)}
	own := f.standard(p, value)
	if t.soft {
		own = norm(f.row(p, value, t.sources))
	}
	b.uLow, b.uHigh = own, own
	switch {
	case l.lim.along != nil:
		c := f.regs[cond]
		var ok bool
		if b.low, b.high, ok = l.lim.along.at(c); !ok {
			s.cause = causeOutsideCurve
			if c.flags&regMissing != 0 {
				s.cause = causeMissing
			}
			return b, false
		}
		down, up := l.lim.along.slope(c.middle())
		b.uLow, b.uHigh = f.along(p, t, value, cond, down), f.along(p, t, value, cond, up)
	case renewed && (l.newLow >= 0 || l.newHigh >= 0):
		s.newOnly = true
		f.bound(p, t, value, l.newLow, &b.low, &b.uLow)
		f.bound(p, t, value, l.newHigh, &b.high, &b.uHigh)
	default:
		f.bound(p, t, value, l.low, &b.low, &b.uLow)
		f.bound(p, t, value, l.high, &b.high, &b.uHigh)
	}
	if (b.low.flags|b.high.flags)&regMissing != 0 {
		s.cause = causeMissing
		return b, false
	}
	s.low, s.upp = b.low.hi, b.high.lo
	u := max(b.uLow, b.uHigh)
	s.variance = u * u
	return b, true
}

// bound reads one bound from its register, if the limit has it.
func (f *frame) bound(p *program, t *boundTest, value, r int32, bound *reg, u *float64) {
	if r < 0 {
		return
	}
	*bound = f.regs[r]
	if t.soft {
		*u = f.apart(p, value, r, t.sources)
	}
}

// along is the standard uncertainty of a value's distance to a bound that changes by slope with another reading.
func (f *frame) along(p *program, t *boundTest, value, cond int32, slope float64) float64 {
	if !t.soft {
		return math.Hypot(f.standard(p, value), float64(slope*f.standard(p, cond)))
	}
	v, c := f.row(p, value, t.sources), f.row(p, cond, t.sources)
	sum := 0.0
	for i := range t.sources {
		d := 0.0
		if v != nil {
			d = v[i]
		}
		if c != nil {
			d -= float64(slope * c[i])
		}
		sum += float64(d * d)
	}
	return math.Sqrt(sum)
}

// compareBounds works out the degrees of the outcomes between the bounds.
func (f *frame) compareBounds(p *program, t *boundTest, k *boundCheck, l *boundLimit, x reg, b bounds, s *checkState, zs []float64) {
	lowOpen := l.lim.low != nil && l.lim.low.open || l.lim.along.open(false)
	highOpen := l.lim.high != nil && l.lim.high.open || l.lim.along.open(true)
	if s.newOnly {
		lowOpen, highOpen = l.lim.newLow != nil && l.lim.newLow.open, l.lim.newHigh != nil && l.lim.newHigh.open
	}
	low, high := l.low, l.high
	if s.newOnly {
		low, high = l.newLow, l.newHigh
	}
	above := f.degrees(p, t, pick(lowOpen, codeAbove, codeAtLeast), l.value, low, x, b.low, b.uLow)
	below := f.degrees(p, t, pick(highOpen, codeBelow, codeAtMost), l.value, high, x, b.high, b.uHigh)
	inside := both(above, below)
	far(zs)
	if k.lowAt >= 0 {
		zs[k.lowAt] = above.hi
	}
	if k.highAt >= 0 {
		zs[k.highAt] = below.hi
	}
	if s.newOnly || l.newLow < 0 && l.newHigh < 0 {
		zs[0] = inside.lo
		return
	}
	fresh := certainly(canTrue)
	if l.newLow >= 0 {
		fresh = both(fresh, f.compared(p, t, pick(l.lim.newLow.open, codeAbove, codeAtLeast), l.value, l.newLow))
	}
	if l.newHigh >= 0 {
		fresh = both(fresh, f.compared(p, t, pick(l.lim.newHigh.open, codeBelow, codeAtMost), l.value, l.newHigh))
	}
	zs[0] = both(inside, fresh).lo
	zs[bits.TrailingZeros32(k.worn)] = both(inside, opposite(fresh)).lo
}

func pick(cond bool, yes, no opCode) opCode {
	if cond {
		return yes
	}
	return no
}

func (f *frame) word(k *boundCheck, l *boundLimit, s *checkState, zs []float64) {
	x := f.regs[k.value]
	if x.flags&regMissing != 0 {
		clear(zs)
		s.cause = causeMissing
		return
	}
	far(zs)
	if x.bits&l.lim.words != 0 {
		zs[0] = 0
	}
	for bad := x.bits &^ l.lim.words; bad != 0; bad &= bad - 1 {
		zs[k.words[bits.TrailingZeros64(bad)]] = 0
	}
}
