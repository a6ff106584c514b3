package diagnosis

import (
	"math/bits"
	"slices"
)

// What a test that was not made yet would show.

// A Reading is one way in which a test can come out: an outcome for some of its checks. Without checks it stands for all ways that the other readings of
// the test leave over.
type Reading struct {
	Checks   []int
	Outcomes []int // beside Checks; -1: one of those that a unit without a fault shows
}

// mostReadings of one test are told apart; further ones are taken together.
const mostReadings = 12

// Predict lists the ways in which a test can come out that tell sets of faults apart, and how probable each of them is under each set. The rows sum
// to 1. Checks that tell nothing of these sets are left out.
func (t *Table) Predict(test int, sets [][]int32) (readings []Reading, p [][]float64) {
	x := &prediction{t: t, test: test, sets: sets}
	x.ev.Possible = make([]uint32, len(t.All))
	telling := x.telling()
	if len(telling) == 0 {
		return nil, nil
	}
	readings = x.ways(telling)
	p = make([][]float64, len(sets))
	for _, r := range readings {
		for i, q := range x.under(r) {
			p[i] = append(p[i], q)
		}
	}
	return x.tidy(readings, p)
}

type prediction struct {
	t    *Table
	test int
	sets [][]int32
	ev   Evidence
}

// under gives the probability of a reading under each set.
func (x *prediction) under(r Reading) []float64 {
	clear(x.ev.Possible)
	for i, c := range r.Checks {
		if o := r.Outcomes[i]; o >= 0 {
			x.ev.Possible[c] = 1 << o
		} else {
			x.ev.Possible[c] = x.t.usual(c)
		}
	}
	x.ev.use(x.t)
	x.t.weighTest(&x.ev, x.test)
	p := make([]float64, len(x.sets))
	for i, set := range x.sets {
		p[i], _ = x.t.test(&x.ev, x.test, set)
	}
	return p
}

// check is one check that tells the sets apart, with the outcomes that do.
type telling struct {
	check    int
	outcomes []int
	likely   []int // per set, its most probable outcome
}

// telling finds the checks of the test whose outcomes are not equally probable under all sets.
func (x *prediction) telling() []telling {
	var list []telling
	for v := x.t.valueFrom[x.test]; v < x.t.valueEnd[x.test]; v++ {
		for _, c := range x.t.values[v].checks {
			if !slices.ContainsFunc(x.sets, func(set []int32) bool {
				return slices.ContainsFunc(set, func(f int32) bool { return x.t.bearsOn(int(f), c) })
			}) {
				continue
			}
			k := telling{check: c, likely: make([]int, len(x.sets))}
			best := make([]float64, len(x.sets))
			differ := false
			for _, o := range x.t.told(c) {
				p := x.under(Reading{[]int{c}, []int{o}})
				for i := range p {
					if p[i] > best[i]*(1+tolerance) {
						best[i], k.likely[i] = p[i], o
					}
					differ = differ || p[i] > p[0]*1.01 || p[i] < p[0]*.99
				}
				k.outcomes = append(k.outcomes, o)
			}
			if differ {
				list = append(list, k)
			}
		}
	}
	return list
}

// bearsOn tells whether a fault shows or masks something of a check.
func (t *Table) bearsOn(f, c int) bool {
	return slices.ContainsFunc(t.Faults[f].Shows, func(s Show) bool { return slices.Contains(s.Checks, c) }) ||
		slices.ContainsFunc(t.Faults[f].Masks, func(m Mask) bool { return m.Check == c })
}

// told lists the outcomes of a check, those that a unit without a fault shows as one.
func (t *Table) told(c int) []int {
	list := []int{-1}
	for rest := t.All[c] &^ t.usual(c); rest != 0; rest &= rest - 1 {
		list = append(list, bits.TrailingZeros32(rest))
	}
	return list
}

// ways lists the readings to tell apart: all of one or two checks, else for each set what it most probably shows.
func (x *prediction) ways(list []telling) []Reading {
	checks := make([]int, len(list))
	product := 1
	for i, k := range list {
		checks[i] = k.check
		product = min(product*len(k.outcomes), mostReadings+1)
	}
	all := [][]int{{}}
	if product <= mostReadings {
		for _, k := range list {
			var next [][]int
			for _, base := range all {
				for _, o := range k.outcomes {
					next = append(next, append(slices.Clone(base), o))
				}
			}
			all = next
		}
	} else {
		all = [][]int{make([]int, len(list))}
		for i := range list {
			all[0][i] = -1
		}
		for s := range x.sets {
			shown := make([]int, len(list))
			for i, k := range list {
				shown[i] = k.likely[s]
			}
			if len(all) < mostReadings && !slices.ContainsFunc(all, func(have []int) bool { return slices.Equal(have, shown) }) {
				all = append(all, shown)
			}
		}
	}
	var out []Reading
	for _, outcomes := range all {
		out = append(out, Reading{checks, outcomes})
	}
	return out
}

// tidy gives what is left over a place of its own, and takes readings together that tell the same.
func (x *prediction) tidy(readings []Reading, p [][]float64) ([]Reading, [][]float64) {
	over := false
	for i := range p {
		left := 1.
		for _, q := range p[i] {
			left -= q
		}
		if left < 1e-9 {
			left = 0
		}
		over = over || left > 0
		p[i] = append(p[i], left)
	}
	readings = append(readings, Reading{})
	if !over {
		for i := range p {
			p[i] = p[i][:len(p[i])-1]
		}
		readings = readings[:len(readings)-1]
	}
	for i := range p {
		sum := 0.
		for _, q := range p[i] {
			sum += q
		}
		for k := range p[i] {
			p[i][k] /= sum
		}
	}
	for k := len(readings) - 1; k > 0; k-- {
		for j := range k {
			if alike(p, j, k) {
				for i := range p {
					p[i][j] += p[i][k]
					p[i] = slices.Delete(p[i], k, k+1)
				}
				readings = slices.Delete(readings, k, k+1)
				break
			}
		}
	}
	if len(readings) < 2 {
		return nil, nil
	}
	return readings, p
}

// alike tells whether two readings favour the sets in the same proportion.
func alike(p [][]float64, j, k int) bool {
	a, b := 0., 0.
	for i := range p {
		a, b = a+p[i][j], b+p[i][k]
	}
	if a == 0 || b == 0 {
		return true
	}
	for i := range p {
		x, y := p[i][j]/a, p[i][k]/b
		if x-y > 1e-6 || y-x > 1e-6 {
			return false
		}
	}
	return true
}
