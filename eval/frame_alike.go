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

// alike compares the members of a list. With exact readings the answer is exact. With ranges it is decided only where every member at any
// place of its range gives the same; else all outcomes remain.
func (f *frame) alike(a *boundAlike, list []reg, s *checkState) uint32 {
	const all = alikeGood | alikeOneLow | alikeOneHigh | alikeMixed
	ranges := false
	for _, r := range list {
		if r.flags&(regMissing|regUnbounded|regRefused) != 0 || math.IsInf(r.lo, 0) || math.IsInf(r.hi, 0) {
			if s != nil && !s.unknownValue(r) {
				s.cause = causeUnbounded
			}
			return all
		}
		ranges = ranges || r.lo != r.hi
	}
	if len(list) < 2 {
		return all
	}
	tolerance := f.regs[a.tolerance]
	f.sorted = f.sorted[:0]
	for _, r := range list {
		f.sorted = append(f.sorted, r.lo)
	}
	spread, base := spreadOf(a.a.by, f.sorted)
	if s != nil {
		s.lo, s.hi, s.upp = spread, spread, tolerance.lo
		if a.a.relative {
			s.lo, s.hi = spread/base, spread/base
		}
	}
	if !ranges && tolerance.lo == tolerance.hi {
		return oddOut(a, f.sorted, tolerance.lo)
	}
	return f.alikeRanges(a, list, tolerance)
}

// alikeRanges bounds the spread of members that are only known within ranges.
func (f *frame) alikeRanges(a *boundAlike, list []reg, tolerance reg) uint32 {
	const all = alikeGood | alikeOneLow | alikeOneHigh | alikeMixed
	s := f.span(list, 0)
	base := [2]float64{1, 1}
	if a.a.relative {
		low, high := f.statistic(codeLowest, list, false), f.statistic(codeHighest, list, true)
		base = [2]float64{math.Min(math.Abs(low), math.Abs(high)), math.Max(math.Abs(low), math.Abs(high))}
	}
	share := 1.0 // a deviation from mean or median is at least half the span over many members, at most the span
	if a.a.by == byMean || a.a.by == byMedian {
		share = 0.5
	}
	switch {
	case s.hi <= float64(tolerance.lo*base[0]):
		return alikeGood
	case share*s.lo > float64(tolerance.hi*base[1]):
		return all &^ alikeGood
	}
	return all
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
		return math.Max(high-center, center-low), math.Abs(center)
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
	return spread <= tolerance
}

// pitch makes two odd members that stand the given distance apart in a closed winding one finding.
func (f *frame) pitch(k *boundCheck, a *boundAlike, set uint32) uint32 {
	d := f.regs[k.pitch]
	if set != alikeMixed || d.lo != d.hi {
		return set
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
				return alikeOneLow
			case list[i].lo > high && list[j].lo > high:
				return alikeOneHigh
			}
		}
	}
	return set
}
