package eval

import (
	"math"
	"slices"
)

// Outcomes of an alike check, by their place in its list.
const (
	alikeGood = 1 << iota
	alikeOneLow
	alikeOneHigh
	alikeMixed
)

// alike compares the members of a list and sets the degrees of the outcomes. With exact readings the nearest outcome is exact. With ranges it is
// decided only where every member at any place of its range gives the same; else all outcomes remain.
func (f *frame) alike(p *program, t *boundTest, a *boundAlike, base, n int32, s *checkState, zs []float64) {
	list := f.regs[base : base+n]
	ranges := false
	clear(zs[:4])
	if f.beyond(p, t, a, base, n, s, zs) {
		return
	}
	for _, r := range list {
		if r.flags&(regMissing|regUnbounded|regRefused) != 0 || math.IsInf(r.lo, 0) || math.IsInf(r.hi, 0) {
			if s != nil {
				s.lo, s.hi = 0, math.Inf(1)
				if !s.unknownValue(r) {
					s.cause = causeStraddles
				}
			}
			return
		}
		ranges = ranges || r.lo != r.hi
	}
	if n < 2 {
		return
	}
	tolerance := f.regs[a.tolerance]
	f.sorted = f.sorted[:0]
	for _, r := range list {
		f.sorted = append(f.sorted, r.lo)
	}
	spread, ref := spreadOf(a.a.by, f.sorted)
	allowed := tolerance.lo
	if a.a.relative {
		allowed *= ref
	}
	u := f.spreadError(p, t, a, base, int(n), tolerance.lo)
	if s != nil {
		s.lo, s.hi, s.upp, s.variance = spread, spread, tolerance.lo, u*u
		if a.a.relative {
			s.lo, s.hi, s.variance = spread/ref, spread/ref, u*u/(ref*ref)
		}
	}
	if ranges || tolerance.lo != tolerance.hi {
		r := f.spreadRange(a, list)
		if a.a.relative && ref != 0 {
			u /= ref
		}
		if s != nil {
			s.lo, s.hi = r.lo, r.hi
		}
		switch {
		case r.hi <= tolerance.lo || !a.a.relative && same(r.hi, tolerance.lo):
			spreadDegrees(alikeGood, distance(tolerance.lo-r.hi, u), zs)
		case r.lo > tolerance.hi:
			spreadDegrees(alikeOneLow|alikeOneHigh|alikeMixed, distance(r.lo-tolerance.hi, u), zs)
		}
		return
	}
	spreadDegrees(oddOut(a, f.sorted, tolerance.lo), distance(math.Abs(allowed-spread), u), zs)
}

// beyond compares members of which some are only known to lie above a value, as a meter that shows OL tells, with exact ones. It decides only where the
// others are too far below for them to be alike, wherever they lie.
func (f *frame) beyond(p *program, t *boundTest, a *boundAlike, base, n int32, s *checkState, zs []float64) bool {
	tolerance := f.regs[a.tolerance]
	if tolerance.lo != tolerance.hi {
		return false
	}
	open, exact := 0, 0
	least, low, high := math.Inf(1), math.Inf(1), math.Inf(-1)
	f.sorted = f.sorted[:0]
	for _, r := range f.regs[base : base+n] {
		switch {
		case r.flags&(regMissing|regUnbounded|regRefused|regMoving) != 0 || math.IsInf(r.lo, 0):
			return false
		case math.IsInf(r.hi, 1):
			open++
			least = min(least, r.lo)
		case r.lo == r.hi:
			exact++
			low, high = min(low, r.lo), max(high, r.lo)
		default:
			return false
		}
		f.sorted = append(f.sorted, r.lo)
	}
	if open == 1 && exact > 0 && least > high && (low > 0 || !a.a.relative) {
		return f.oneBeyond(p, t, a, base, n, s, zs)
	}
	if a.a.relative || a.a.by != bySpan && a.a.by != byLeast || open == 0 || exact == 0 || least-high <= tolerance.lo {
		return false
	}
	set := uint32(alikeMixed)
	if exact == 1 {
		set = alikeOneLow | alikeMixed // as those above are alike or not
	}
	u := f.spreadError(p, t, a, base, int(n), tolerance.lo)
	if s != nil {
		s.lo, s.hi, s.upp, s.variance = least-low, math.Inf(1), tolerance.lo, u*u
	}
	spreadDegrees(set, distance(least-high-tolerance.lo, u), zs)
	return true
}

// oneBeyond is beyond for a single member above all others: the higher it lies the farther it is from being alike with any of them, by every measure, so that
// the least that it can be decides.
func (f *frame) oneBeyond(p *program, t *boundTest, a *boundAlike, base, n int32, s *checkState, zs []float64) bool {
	values, tolerance := slices.Clone(f.sorted), f.regs[a.tolerance].lo
	spread, ref := spreadOf(a.a.by, values)
	if !a.a.relative {
		ref = 1
	}
	top := slices.Index(values, slices.Max(values))
	without := func(i int) []float64 { return slices.Delete(slices.Clone(values), i, i+1) }
	for i := range values {
		if within(a, values, tolerance) || i != top && len(values) > 2 && within(a, without(i), tolerance) {
			return false
		}
	}
	set := uint32(alikeMixed)
	if len(values) > 2 && within(a, without(top), tolerance) {
		set = alikeOneHigh
	}
	u := f.spreadError(p, t, a, base, int(n), tolerance) / ref
	if s != nil {
		s.lo, s.hi, s.upp, s.variance = spread/ref, math.Inf(1), tolerance, u*u
	}
	spreadDegrees(set, distance(spread/ref-tolerance, u), zs)
	return true
}

// spreadDegrees sets the outcomes of a set to 0 and all others to the distance at which alike turns to not alike, or back. The kinds of not being
// alike can turn into each other sooner; then they all take that distance, which is cautious.
func spreadDegrees(set uint32, z float64, zs []float64) {
	for i := range 4 {
		zs[i] = z
		if set&(1<<i) != 0 {
			zs[i] = 0
		}
	}
}

// spreadError is the standard uncertainty of what is allowed less the spread: the difference that the check turns on. The error that readings of
// one meter share cancels in good part.
func (f *frame) spreadError(p *program, t *boundTest, a *boundAlike, base int32, n int, tolerance float64) float64 {
	if !t.soft {
		return 0
	}
	f.spreadWeights(a, base, n, tolerance)
	sum := 0.0
	for i := range t.sources {
		d := f.weighted(p, t, base, i)
		sum += float64(d * d)
	}
	return math.Sqrt(sum)
}

// spreadRow are the sensitivities of what spreadError is the uncertainty of, as a share if the tolerance is one.
func (f *frame) spreadRow(p *program, t *boundTest, base, n int32, a *boundAlike) []float64 {
	f.sorted = f.sorted[:0]
	for _, r := range f.regs[base : base+n] {
		f.sorted = append(f.sorted, r.lo)
	}
	_, ref := spreadOf(a.a.by, f.sorted)
	if !a.a.relative || ref == 0 {
		ref = 1
	}
	f.spreadWeights(a, base, int(n), f.regs[a.tolerance].lo)
	row := make([]float64, t.sources)
	for i := range row {
		row[i] = f.weighted(p, t, base, int32(i)) / ref
	}
	return row
}

// weighted sums up one source of error over the members of a list by their weights.
func (f *frame) weighted(p *program, t *boundTest, base, source int32) float64 {
	d := 0.0
	for k, w := range f.weights {
		if row := f.row(p, base+int32(k), t.sources); row != nil && w != 0 {
			d += float64(w * row[source])
		}
	}
	return d
}

// spreadWeights sets how much each member enters into what is allowed less the spread.
func (f *frame) spreadWeights(a *boundAlike, base int32, n int, tolerance float64) {
	weights := f.weights[:0]
	for range n {
		weights = append(weights, 0)
	}
	f.weights = weights
	low, high := f.extremes(base, n)
	each := 1 / float64(n)
	center := func(w float64) { // w times the mean, or the median
		if a.a.by == byMedian {
			i, j := f.medians(base, n)
			weights[i] += w / 2
			weights[j] += w / 2
			return
		}
		for k := range weights {
			weights[k] += w * each
		}
	}
	switch a.a.by {
	case bySpan, byLeast:
		weights[high]--
		weights[low]++
	default:
		middle := statisticOf(codeMean, f.sorted)
		if a.a.by == byMedian {
			f.kept2 = append(f.kept2[:0], f.sorted...)
			middle = statisticOf(codeMiddle, f.kept2)
		}
		if f.sorted[high]-middle >= middle-f.sorted[low] {
			weights[high]--
			center(1)
		} else {
			weights[low]++
			center(-1)
		}
	}
	if a.a.relative {
		if a.a.by == byLeast {
			weights[low] += tolerance
		} else if a.a.by == bySpan {
			for k := range weights {
				weights[k] += tolerance * each
			}
		} else {
			center(tolerance)
		}
	}
}

// spreadRange bounds the spread of members that are only known within ranges, as a share of what it refers to if the tolerance is one.
func (f *frame) spreadRange(a *boundAlike, list []reg) reg {
	s := f.span(list, 0)
	if a.a.by == byMean || a.a.by == byMedian {
		s.lo /= 2 // the largest deviation from mean or median is at least half the span, at most the span
	}
	if !a.a.relative || s.hi == 0 {
		return s
	}
	low, high := f.statistic(codeLowest, list, false), f.statistic(codeHighest, list, true)
	return reg{lo: s.lo / max(-low, high), hi: s.hi / max(low, -high, 0)}
}

// spreadOf measures how far the members differ, and what a percentage of it refers to.
func spreadOf(by alikeMeasure, values []float64) (spread, base float64) {
	low, high := slices.Min(values), slices.Max(values)
	switch by {
	case byMean, byMedian:
		center := statisticOf(codeMean, values)
		if by == byMedian {
			center = statisticOf(codeMiddle, slices.Clone(values))
		}
		return max(high-center, center-low), math.Abs(center)
	case byLeast:
		return high - low, math.Abs(low)
	}
	return high - low, math.Abs(statisticOf(codeMean, values))
}

// oddOut decides an alike check of exact readings: one member is odd if the others are alike without it.
func oddOut(a *boundAlike, values []float64, tolerance float64) uint32 {
	if within(a, values, tolerance) {
		return alikeGood
	}
	if len(values) < 3 {
		return alikeMixed
	}
	odd, found := -1, 0
	rest := make([]float64, 0, len(values)-1)
	for i := range values {
		rest = append(append(rest[:0], values[:i]...), values[i+1:]...)
		if within(a, rest, tolerance) {
			odd = i
			found++
		}
	}
	if found != 1 {
		return alikeMixed
	}
	rest = append(append(rest[:0], values[:odd]...), values[odd+1:]...)
	if values[odd] < slices.Min(rest) {
		return alikeOneLow
	}
	return alikeOneHigh
}

func within(a *boundAlike, values []float64, tolerance float64) bool {
	spread, base := spreadOf(a.a.by, values)
	if a.a.relative {
		return spread <= float64(tolerance*base)
	}
	return spread <= tolerance || same(spread, tolerance)
}

// pitch makes two odd members that stand the given distance apart in a closed winding one finding.
func (f *frame) pitch(k *boundCheck, a *boundAlike, zs []float64) {
	d := f.regs[k.pitch]
	if zs[3] != 0 || zs[0] == 0 || zs[1] == 0 || zs[2] == 0 || d.lo != d.hi {
		return
	}
	list := f.regs[k.value : k.value+k.n]
	n := len(list)
	values := make([]float64, 0, n)
	for i := range n {
		for _, step := range []int{int(math.Floor(d.lo)), int(math.Ceil(d.lo))} {
			j := (i + step) % n
			if i == j {
				continue
			}
			values = values[:0]
			for m, r := range list {
				if m != i && m != j {
					values = append(values, r.lo)
				}
			}
			if len(values) < 2 || !within(a, values, f.regs[a.tolerance].lo) {
				continue
			}
			low, high := slices.Min(values), slices.Max(values)
			switch {
			case list[i].lo < low && list[j].lo < low:
				spreadDegrees(alikeOneLow, zs[0], zs)
				return
			case list[i].lo > high && list[j].lo > high:
				spreadDegrees(alikeOneHigh, zs[0], zs)
				return
			}
		}
	}
}
