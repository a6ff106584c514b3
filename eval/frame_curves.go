package eval

import (
	"math"
	"math/bits"
)

// Limits along another quantity, and readings taken along one.

// table judges a reading along another quantity point by point: good if all points are, low if one is, else high if one is, else dips.
func (f *frame) table(p *program, t *boundTest, k *boundCheck, l *boundLimit, s *checkState, zs []float64) {
	allGood, low, high := certainly(canTrue), certainly(canFalse), certainly(canFalse)
	var point [maxOutcomes]float64
	nearest := infinite
	for i := range k.n {
		x := f.regs[k.value+i]
		one := checkState{low: -infinite, upp: infinite}
		degree := point[:len(zs)]
		clear(degree)
		if !one.unknownValue(x) {
			if b, ok := f.bounds(p, t, l, &one, k.value+i, max(l.cond, 0)+i, false); ok {
				f.compareBounds(p, t, k, l, x, b, &one, degree)
			}
		}
		if one.cause != noCause && s.cause == noCause {
			s.cause = one.cause
		}
		if margin := min(x.lo-one.low, one.upp-x.lo); i == 0 || margin < nearest {
			nearest = margin
			s.lo, s.hi, s.low, s.upp, s.variance = x.lo, x.hi, one.low, one.upp, one.variance
		}
		bad := infinite
		if k.lowAt >= 0 {
			low = oneOf(low, degrees(degree[k.lowAt], degree[0]))
			bad = degree[k.lowAt]
		}
		if k.highAt >= 0 {
			high = oneOf(high, degrees(degree[k.highAt], degree[0]))
			bad = min(bad, degree[k.highAt])
		}
		allGood = both(allGood, degrees(degree[0], bad))
	}
	far(zs)
	steps := certainly(canTrue)
	if k.c.rising {
		steps = f.rising(k)
	}
	zs[0] = both(allGood, steps).lo
	if k.lowAt >= 0 {
		zs[k.lowAt] = low.lo
	}
	if k.highAt >= 0 {
		zs[k.highAt] = both(opposite(low), high).lo
	}
	if k.dips != 0 {
		zs[bits.TrailingZeros32(k.dips)] = both(both(opposite(low), opposite(high)), opposite(steps)).lo
	}
	if zs[0] > 0 {
		s.cause = noCause
	}
}

// rising tells whether the points never step down, in the order of the quantity along which they were read, by more than two standard
// uncertainties of the step.
func (f *frame) rising(k *boundCheck) reg {
	truth := certainly(canTrue)
	for i := int32(1); i < k.n; i++ {
		a, b := f.regs[k.value+i-1], f.regs[k.value+i]
		if (a.flags|b.flags)&regMissing != 0 {
			truth = both(truth, certainly(either))
			continue
		}
		u := math.Hypot(f.errors[k.value+i-1].own, f.errors[k.value+i].own)
		truth = both(truth, side(b.lo-a.hi+2*u, b.hi-a.lo+2*u, u, true))
	}
	return truth
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

// row finds the last row that is reached, and the share of the way to the next.
func (c *curve) row(at float64) (i int, share float64) {
	for i+1 < len(c.rows) && at >= c.rows[i+1].at {
		i++
	}
	if c.linear && i+1 < len(c.rows) && at > c.rows[i].at {
		share = (at - c.rows[i].at) / (c.rows[i+1].at - c.rows[i].at)
	}
	return i, share
}

// point returns the bounds at one place: between rows linear, or those of the row reached.
func (c *curve) point(at float64) (low, high reg) {
	low, high = exact(-infinite), exact(infinite)
	i, share := c.row(at)
	row, next := c.rows[i], c.rows[min(i+1, len(c.rows)-1)]
	if row.low != nil {
		low = exact(*row.low + float64(share*(*next.low-*row.low)))
	}
	if row.high != nil {
		high = exact(*row.high + float64(share*(*next.high-*row.high)))
	}
	return low, high
}

// slope returns how fast the bounds change at one place.
func (c *curve) slope(at float64) (low, high float64) {
	i, _ := c.row(at)
	if !c.linear || i+1 >= len(c.rows) || at < c.rows[0].at {
		return 0, 0
	}
	row, next := c.rows[i], c.rows[i+1]
	if row.low != nil {
		low = (*next.low - *row.low) / (next.at - row.at)
	}
	if row.high != nil {
		high = (*next.high - *row.high) / (next.at - row.at)
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
