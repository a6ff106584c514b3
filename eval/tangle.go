package eval

import (
	"math"
	"slices"
)

// untangle works out what a tangle can be while some of its readings are ranges. Over a box of readings the sign of the derivative by each reading,
// worked out in intervals, tells at which end of its range the value is least, or greatest; there the reading is fixed. Where a sign is open, the box
// is halved. What is still open after maxHalvings keeps the bounds of plain interval arithmetic and of the mean value theorem, which hold in any case:
// R. E. Moore, Interval Analysis (1966), from memory. It is false if no reading is a range, or something is not known at all.
func (f *frame) untangle(p *program, t *tangle) (reg, bool) {
	u := untangling{f: f, p: p, t: t}
	for _, r := range t.leaves {
		x := f.regs[r]
		if math.IsInf(x.lo, 0) || math.IsInf(x.hi, 0) {
			return reg{}, false
		}
		if x.lo != x.hi {
			u.ranges = append(u.ranges, r)
			u.whole = append(u.whole, x)
		}
	}
	v := f.valueOf(t)
	if len(u.ranges) == 0 || v.flags&(regMissing|regUnbounded|regRefused) != 0 {
		return reg{}, false
	}
	u.f.slopes = grown(u.f.slopes, len(p.regs))
	u.save()
	low, high := u.least(1), -u.least(-1)
	u.restore()
	if low, high = max(v.lo, low), min(v.hi, high); low > high { // by rounding
		low = high
	}
	v.lo, v.hi = low, high
	if low == high {
		v.flags &^= regMoving
	}
	return v, true
}

// valueOf is what the registers make of a tangle.
func (f *frame) valueOf(t *tangle) reg {
	if t.b < 0 {
		return f.regs[t.a]
	}
	return combine(codeSub, f.regs[t.a], f.regs[t.b])
}

// maxHalvings bounds how often the readings of one tangle are halved, and maxAllHalvings how often those of a pass are.
const (
	maxHalvings    = 100
	maxAllHalvings = 5_000
)

type untangling struct {
	f      *frame
	p      *program
	t      *tangle
	ranges []int32
	whole  []reg // the ranges as they are
	saved  []reg // what the steps have written
	slope  []reg // of each register by one reading
}

// box is a part of the readings: a range for each. The value is nowhere in it below least, and at reached somewhere.
type box struct {
	sides          []reg
	least, reached float64
	open           int // the side to halve, -1 if least is reached
}

func (u *untangling) save() {
	for _, s := range u.t.steps {
		u.saved = append(u.saved, u.f.regs[u.p.ops[s.op].dst+s.k])
	}
}

func (u *untangling) restore() {
	for i, s := range u.t.steps {
		u.f.regs[u.p.ops[s.op].dst+s.k] = u.saved[i]
	}
	for i, r := range u.ranges {
		u.f.regs[r] = u.whole[i]
	}
}

// least bounds the value, times sign, from below: always the box that may reach farthest down is halved, until it reaches hardly below what is
// reached elsewhere.
func (u *untangling) least(sign float64) float64 {
	boxes := []box{u.bound(u.whole, sign)}
	reached := boxes[0].reached
	for n := 0; ; n++ {
		lowest := 0
		for i := range boxes {
			if boxes[i].least < boxes[lowest].least {
				lowest = i
			}
		}
		b := boxes[lowest]
		if b.open < 0 || n >= maxHalvings || u.f.halvings >= maxAllHalvings || reached-b.least <= 1e-9*math.Abs(reached-boxes[0].least) {
			return b.least
		}
		u.f.halvings++
		middle := b.sides[b.open].lo + (b.sides[b.open].hi-b.sides[b.open].lo)/2
		below, above := slices.Clone(b.sides), slices.Clone(b.sides)
		below[b.open].hi, above[b.open].lo = middle, middle
		boxes[lowest] = u.bound(below, sign)
		boxes = append(boxes, u.bound(above, sign))
		reached = min(reached, boxes[lowest].reached, boxes[len(boxes)-1].reached)
	}
}

// bound bounds the value, times sign, in a box. It fixes the readings whose slope has one sign at the end where the value is least.
func (u *untangling) bound(sides []reg, sign float64) box {
	b := box{sides: slices.Clone(sides), reached: infinite}
	var v reg
	spread := 0.0
	for again := true; again; {
		again, b.open, spread = false, -1, 0
		widest := 0.0
		v = u.at(b.sides, sign)
		for i, r := range u.ranges {
			side := &b.sides[i]
			if side.lo == side.hi {
				continue
			}
			s := u.slopeBy(r)
			if sign < 0 {
				s.lo, s.hi = -s.hi, -s.lo
			}
			switch {
			case s.lo >= 0:
				side.hi, again = side.lo, true
			case s.hi <= 0:
				side.lo, again = side.hi, true
			default:
				part := max(-s.lo, s.hi) * (side.hi - side.lo)
				spread += part / 2
				if b.open < 0 || part > widest {
					b.open, widest = i, part
				}
			}
		}
	}
	if b.least = v.lo; b.open < 0 {
		b.reached = v.lo
		return b
	}
	middle := slices.Clone(b.sides)
	for i, x := range middle {
		middle[i] = exact(x.lo + (x.hi-x.lo)/2)
	}
	m := u.at(middle, sign)
	b.reached = m.lo
	if spread < infinite {
		b.least = max(b.least, m.lo-spread)
	}
	return b
}

// at carries out the steps with the readings at a place, and returns the value, times sign.
func (u *untangling) at(sides []reg, sign float64) reg {
	for i, r := range u.ranges {
		u.f.regs[r].lo, u.f.regs[r].hi = sides[i].lo, sides[i].hi
	}
	u.run()
	v := u.f.valueOf(u.t)
	if sign < 0 {
		v.lo, v.hi = -v.hi, -v.lo
	}
	return v
}

// run carries out the steps.
func (u *untangling) run() {
	f := u.f
	for _, s := range u.t.steps {
		o := &u.p.ops[s.op]
		dst, a := &f.regs[o.dst+s.k], o.a+s.k*o.sa
		switch o.code {
		case codeLaw:
			*dst = f.law(&u.p.laws[o.aux], &f.regs[o.a])
		case codeCarry, codeProvided:
			*dst = f.regs[o.a]
		case codeHighest, codeLowest, codeMiddle, codeMean, codeTotal, codeSpan:
			*dst = f.reduce(o.code, f.regs[o.a:o.a+o.n])
		case codeAbs:
			*dst = absolute(f.regs[a])
		default:
			*dst = combine(o.code, f.regs[a], f.regs[o.b+s.k*o.sb])
		}
	}
}

// slopeBy bounds the derivative of the value by one reading, over the box that the registers hold.
func (u *untangling) slopeBy(leaf int32) reg {
	u.slope = u.f.slopes
	u.slope[leaf] = exact(1)
	for _, one := range u.t.steps {
		o := &u.p.ops[one.op]
		u.slope[o.dst+one.k] = u.stepSlope(o, one.k)
	}
	out := u.slope[u.t.a]
	if u.t.b >= 0 {
		out = combine(codeSub, out, u.slope[u.t.b])
	}
	u.slope[leaf] = reg{}
	for _, one := range u.t.steps {
		u.slope[u.p.ops[one.op].dst+one.k] = reg{}
	}
	return out
}

// stepSlope is the derivative of what one step writes.
func (u *untangling) stepSlope(o *op, k int32) reg {
	regs := u.f.regs
	times := func(x, y reg) reg {
		if x.lo == 0 && x.hi == 0 || y.lo == 0 && y.hi == 0 {
			return reg{}
		}
		return combine(codeMul, reg{lo: x.lo, hi: x.hi}, reg{lo: y.lo, hi: y.hi})
	}
	ra, rb := o.a+k*o.sa, o.b+k*o.sb
	da := u.slope[ra]
	switch o.code {
	case codeAdd:
		return combine(codeAdd, da, u.slope[rb])
	case codeSub:
		return combine(codeSub, da, u.slope[rb])
	case codeMul, codePower:
		s := combine(codeAdd, times(da, regs[rb]), times(regs[ra], u.slope[rb]))
		if o.code == codePower {
			return times(s, exact(2*math.Pi))
		}
		return s
	case codeDiv: // (a' - (a/b) b')/b
		s := combine(codeSub, da, times(regs[o.dst+k], u.slope[rb]))
		if s.lo == 0 && s.hi == 0 {
			return reg{}
		}
		return combine(codeDiv, s, reg{lo: regs[rb].lo, hi: regs[rb].hi})
	case codeAbs:
		switch {
		case regs[ra].lo >= 0:
			return da
		case regs[ra].hi <= 0:
			return reg{lo: -da.hi, hi: -da.lo}
		}
		most := max(math.Abs(da.lo), math.Abs(da.hi))
		return reg{lo: -most, hi: most}
	case codeCarry, codeProvided:
		return da
	case codeLaw:
		return u.lawSlope(&u.p.laws[o.aux], o.a, times)
	}
	return u.listSlope(o, times)
}

// lawSlope is the derivative of a correction. The slopes of the laws have no extremes between the ends of their arguments.
func (u *untangling) lawSlope(l *boundLaw, value int32, times func(x, y reg) reg) reg {
	arg := reg{}
	if l.arg >= 0 {
		arg = u.f.regs[l.arg]
	}
	first := true
	var dx, dc, da reg
	for _, x := range ends(u.f.regs[value]) {
		for _, c := range ends(u.f.regs[l.cond]) {
			for _, a := range ends(arg) {
				sx, sc, sa := l.k.law.slopes(x, c, l.ref, a, l.per)
				if first {
					dx, dc, da, first = exact(sx), exact(sc), exact(sa), false
					continue
				}
				dx, dc, da = hull(dx, exact(sx)), hull(dc, exact(sc)), hull(da, exact(sa))
			}
		}
	}
	s := combine(codeAdd, times(dx, u.slope[value]), times(dc, u.slope[l.cond]))
	if l.arg >= 0 {
		s = combine(codeAdd, s, times(da, u.slope[l.arg]))
	}
	return s
}

// listSlope is the derivative of a function of a list. That of the highest, lowest or middle member lies among those of the members.
func (u *untangling) listSlope(o *op, times func(x, y reg) reg) reg {
	sum, among := reg{}, u.slope[o.a]
	for i := range o.n {
		s := u.slope[o.a+i]
		sum = combine(codeAdd, sum, s)
		among = hull(among, s)
	}
	switch o.code {
	case codeTotal:
		return sum
	case codeMean:
		return times(sum, exact(1/float64(max(o.n, 1))))
	case codeSpan:
		return combine(codeSub, among, among)
	}
	return among
}
