package eval

import (
	"math"
	"math/bits"
	"slices"
)

// untangle works out what a tangle can be while some of its readings are ranges. Over a box of readings it is bounded by plain interval arithmetic and
// by the mean value theorem, with derivatives worked out in intervals: R. E. Moore, Interval Analysis (1966), from memory. Where each derivative has
// one sign, that is exact; else the box is cut in two, up to maxHalvings times. It is false if no reading is a range, or something is not known at all.
//
// Wider readings never give narrower bounds, even where maxHalvings is reached. A part of a box has no lower bound than the box (for the mean value
// theorem O. Caprani and K. Madsen, Mean value forms in interval analysis (1980), from memory), and boxes are cut at places that do not depend on the
// ranges, so that each box of narrower readings is a part of one of the wider. The lowest box is cut first: to rise to the bound of the wider readings,
// the narrower need only cuts that those have made too.
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
	u.f.slopes, u.f.shares = grown(u.f.slopes, len(p.regs)), grown(u.f.shares, len(p.regs))
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
	share  []reg // likewise, see stepShare
}

// box is a part of the readings: a range for each. The value is nowhere in it below least, and at reached somewhere.
type box struct {
	sides          []reg
	least, reached float64
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

// least bounds the value, times sign, from below: always the box that may reach farthest down is cut, until it reaches hardly below what is
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
		if b.least >= reached || reached-b.least <= 1e-9*math.Abs(reached-boxes[0].least) || n >= maxHalvings || u.f.halvings >= maxAllHalvings {
			return b.least
		}
		side, at := b.cut()
		if side < 0 {
			return b.least
		}
		u.f.halvings++
		below, above := slices.Clone(b.sides), slices.Clone(b.sides)
		below[side].hi, above[side].lo = at, at
		boxes[lowest] = u.bound(below, sign)
		boxes = append(boxes, u.bound(above, sign))
		reached = min(reached, boxes[lowest].reached, boxes[len(boxes)-1].reached)
	}
}

// cut chooses the side to cut, and where: at the coarsest mark within a side. The side is -1 if there is none.
func (b *box) cut() (side int, at float64) {
	side = -1
	coarsest := 0
	for i, x := range b.sides {
		low, high := markOf(x.lo), markOf(x.hi)
		if low >= high-1 {
			continue
		}
		zeros := bits.Len64(low^(high-1)) - 1 // that the coarsest mark between the two ends with
		m := marked((high - 1) >> zeros << zeros)
		if x.lo < m && m < x.hi && (side < 0 || zeros > coarsest) {
			side, coarsest, at = i, zeros, m
		}
	}
	return side, at
}

// Marks are numbers in order, coarser the more zeros they end with. They lie evenly on the scale of fourth roots: like halvings near zero, and yet much
// alike for volts and milliohms.
const (
	zeroMark = 1 << 63
	marks    = 1 << 45 // from 0 to 1
	lastMark = 1 << 62 // from zero
)

func markOf(x float64) uint64 {
	m := uint64(min(math.Round(math.Sqrt(math.Sqrt(math.Abs(x)))*marks), lastMark))
	if x < 0 {
		return zeroMark - m
	}
	return zeroMark + m
}

func marked(m uint64) float64 {
	root := float64(int64(m-zeroMark)) / marks
	return math.Copysign(root*root*root*root, root)
}

// bound bounds the value, times sign, in a box: from where it is least if each slope has one sign, less what the other slopes allow. That is most where
// each of these allows as much up as down, E. Baumann, Optimal centered forms (1988), from memory.
func (u *untangling) bound(sides []reg, sign float64) box {
	b := box{sides: sides, least: u.at(sides, sign).lo}
	center, loss := slices.Clone(sides), 0.0
	for i, x := range sides {
		if x.lo == x.hi {
			continue
		}
		s := u.slopeBy(u.ranges[i])
		if sign < 0 {
			s.lo, s.hi = -s.hi, -s.lo
		}
		switch fall, rise := -s.lo, s.hi; {
		case fall <= 0:
			center[i].hi = x.lo
		case rise <= 0:
			center[i].lo = x.hi
		case fall+rise < infinite:
			below := fall / (fall + rise) * (x.hi - x.lo)
			center[i] = exact(min(x.lo+below, x.hi))
			loss += rise * below
		default:
			center[i] = exact(x.lo + (x.hi-x.lo)/2)
			loss = infinite
		}
	}
	b.reached = u.at(center, sign).lo
	if loss < infinite {
		b.least = max(b.least, b.reached-loss)
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

// slopeBy bounds the derivative of the value by one reading, over the box that the registers hold: by shares too where the slopes leave its sign open.
func (u *untangling) slopeBy(leaf int32) reg {
	s, x := u.slopesBy(leaf, false), u.f.regs[leaf]
	if s.lo < 0 && s.hi > 0 && (x.lo > 0 || x.hi < 0) {
		return u.slopesBy(leaf, true)
	}
	return s
}

func (u *untangling) slopesBy(leaf int32, byShares bool) reg {
	u.slope, u.share = u.f.slopes, u.f.shares
	u.slope[leaf], u.share[leaf] = exact(1), exact(1)
	x := u.f.regs[leaf]
	for _, one := range u.t.steps {
		o := &u.p.ops[one.op]
		dst := o.dst + one.k
		u.slope[dst] = u.stepSlope(o, one.k)
		if byShares {
			u.slope[dst], u.share[dst] = narrowed(u.slope[dst], u.stepShare(o, one.k), x, u.f.regs[dst])
		}
	}
	out := u.slope[u.t.a]
	if b := u.t.b; b >= 0 {
		out = combine(codeSub, out, u.slope[b])
		if byShares {
			share := sumShare(u.share[u.t.a], u.share[b], u.f.regs[u.t.a], opposed(u.f.regs[b]))
			out, _ = narrowed(out, share, x, u.f.valueOf(u.t))
		}
	}
	u.slope[leaf], u.share[leaf] = reg{}, reg{}
	for _, one := range u.t.steps {
		dst := u.p.ops[one.op].dst + one.k
		u.slope[dst], u.share[dst] = reg{}, reg{}
	}
	return out
}

var anything = reg{lo: math.Inf(-1), hi: infinite}

func opposed(x reg) reg { return reg{lo: -x.hi, hi: -x.lo} }

// narrowed bounds a slope and a share by each other: the slope is the share times the value by the reading x.
func narrowed(slope, share, x, value reg) (reg, reg) {
	if slope.lo == 0 && slope.hi == 0 {
		return reg{}, reg{}
	}
	x, value = reg{lo: x.lo, hi: x.hi}, reg{lo: value.lo, hi: value.hi}
	slope = common(slope, combine(codeDiv, times(share, value), x))
	if value.lo > 0 || value.hi < 0 {
		share = common(share, combine(codeDiv, times(slope, x), value))
	}
	return slope, share
}

// common is what two bounds of the same have in common, to rounding.
func common(x, y reg) reg {
	x.lo, x.hi = max(x.lo, y.lo), min(x.hi, y.hi)
	x.lo = min(x.lo, x.hi)
	return x
}

func times(x, y reg) reg {
	if x.lo == 0 && x.hi == 0 || y.lo == 0 && y.hi == 0 {
		return reg{}
	}
	return combine(codeMul, reg{lo: x.lo, hi: x.hi}, reg{lo: y.lo, hi: y.hi})
}

// stepShare is by what share of itself what one step writes changes, by the share that the reading changes of itself: 1 if it grows in proportion. What
// a product and a quotient gain and lose by one reading cancels here, while in a slope it does not.
func (u *untangling) stepShare(o *op, k int32) reg {
	regs := u.f.regs
	ra, rb := o.a+k*o.sa, o.b+k*o.sb
	switch o.code {
	case codeAdd:
		return sumShare(u.share[ra], u.share[rb], regs[ra], regs[rb])
	case codeSub:
		return sumShare(u.share[ra], u.share[rb], regs[ra], opposed(regs[rb]))
	case codeMul, codePower:
		return combine(codeAdd, u.share[ra], u.share[rb])
	case codeDiv:
		return combine(codeSub, u.share[ra], u.share[rb])
	case codeAbs, codeCarry, codeProvided:
		return u.share[ra]
	}
	return anything
}

// sumShare is the share of a sum. It lies between those of two parts of one sign.
func sumShare(x, y, a, b reg) reg {
	if x == y && x.lo == x.hi || a.lo >= 0 && b.lo >= 0 || a.hi <= 0 && b.hi <= 0 {
		return hull(x, y)
	}
	return anything
}

// stepSlope is the derivative of what one step writes.
func (u *untangling) stepSlope(o *op, k int32) reg {
	regs := u.f.regs
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
		return u.lawSlope(&u.p.laws[o.aux], o.a)
	}
	return u.listSlope(o)
}

// lawSlope is the derivative of a correction. The slopes of the laws have no extremes between the ends of their arguments.
func (u *untangling) lawSlope(l *boundLaw, value int32) reg {
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
func (u *untangling) listSlope(o *op) reg {
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
