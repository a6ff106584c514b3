package diagnosis

import (
	"math/bits"
	"slices"
)

// How likely the readings of a test are under a set of faults.

// bounded parts the checks of a value whose joint outcomes are too many.
func (t *Table) bounded(checks []int) [][]int {
	cells := 1
	for _, c := range checks {
		if cells *= bits.OnesCount32(t.All[c]) + 1; cells > maxCells {
			var apart [][]int
			for _, c := range checks {
				apart = append(apart, []int{c})
			}
			return apart
		}
	}
	return [][]int{checks}
}

func (s Show) strength() float64 {
	if s.Strength == 0 && s.Always {
		return Certain
	}
	return s.Strength
}

// tabulate works out what each actor, and each two actors of different faults, show.
func (v *value) tabulate() {
	for i := range v.actors {
		v.single = append(v.single, v.mix([]*actor{&v.actors[i]}))
	}
	v.pair = make([][][]float64, len(v.actors))
	for i := range v.actors {
		v.pair[i] = make([][]float64, len(v.actors))
		for k := range i {
			if v.actors[i].fault != v.actors[k].fault {
				v.pair[i][k] = v.mix([]*actor{&v.actors[k], &v.actors[i]})
				v.pair[k][i] = v.pair[i][k]
			}
		}
	}
}

// likelihood of a value under its actors.
func (w *weighed) likelihood(cells []float64) float64 {
	if w.cell >= 0 {
		return cells[w.cell]
	}
	sum := 0.
	for i, q := range cells {
		sum += float64(q * w.lambda[i])
	}
	return sum
}

// test returns the likelihood of a test under a set of faults, and its part without a slip.
func (t *Table) test(ev *Evidence, i int, set []int32) (p, p0 float64) {
	s := ev.tests[i]
	var buf [8]*part
	parts := buf[:0]
	several := false
	for _, f := range set {
		if k := t.partOf[i][f]; k >= 0 {
			part := &t.parts[i][k]
			parts = append(parts, part)
			several = several || len(part.placements) > 1
		}
	}
	if len(parts) == 0 {
		return s.p, s.p0
	}
	var acts [16]act
	if several {
		p0 = t.placed(ev, i, parts, acts[:0])
	} else {
		all := acts[:0]
		for _, part := range parts {
			all = append(all, part.placements[0]...)
		}
		p0 = t.joint(ev, i, all)
	}
	p0 = float64((1 - s.slip) * p0)
	return p0 + s.misread, p0
}

// placed is the mean over all placements. Each takes the room of the one before behind acts: that was weighed by then.
func (t *Table) placed(ev *Evidence, i int, parts []*part, acts []act) float64 {
	if len(parts) == 0 {
		return t.joint(ev, i, acts)
	}
	sum := 0.
	for _, placement := range parts[0].placements {
		sum += t.placed(ev, i, parts[1:], append(acts, placement...))
	}
	return sum / float64(len(parts[0].placements))
}

// several returns the probability of each cell under three actors or more, and remembers it for three and four.
func (v *value) several(acts []act, value int32) []float64 {
	key := [4]int32{-1, -1, -1, -1}
	var actors []*actor
	n := 0
	for _, a := range acts {
		if a.value == value {
			if n < len(key) {
				key[n] = a.actor
			}
			n++
		}
	}
	if n <= len(key) {
		slices.Sort(key[:])
		v.mu.RLock()
		cells := v.few[key]
		v.mu.RUnlock()
		if cells != nil {
			return cells
		}
	}
	for _, a := range acts {
		if a.value == value {
			actors = append(actors, &v.actors[a.actor])
		}
	}
	cells := v.mix(actors)
	if n <= len(key) {
		v.mu.Lock()
		defer v.mu.Unlock()
		if v.few == nil {
			v.few = map[[4]int32][]float64{}
		}
		if len(v.few)*v.cells < mostFew {
			v.few[key] = cells
		}
	}
	return cells
}

// joint is the product of the likelihoods of all values of a test under these acts.
func (t *Table) joint(ev *Evidence, test int, acts []act) float64 {
	s := ev.tests[test]
	product, zeros := s.base, s.zeros
	for i, a := range acts {
		w := &s.values[a.value-t.valueFrom[test]]
		if !w.valid || done(acts[:i], a.value) {
			continue
		}
		v := t.values[a.value]
		var l float64
		second := int32(-1)
		more := false
		for _, b := range acts[i+1:] {
			if b.value == a.value {
				more = more || second >= 0
				if second < 0 {
					second = b.actor
				}
			}
		}
		switch {
		case more:
			l = w.likelihood(v.several(acts[i:], a.value))
		case second >= 0:
			l = w.likelihood(v.pair[a.actor][second])
		default:
			l = w.likelihood(v.single[a.actor])
		}
		if w.healthy == 0 {
			zeros--
			product *= l
		} else {
			product *= l / w.healthy
		}
	}
	if zeros > 0 {
		return 0
	}
	return product
}

func done(acts []act, value int32) bool {
	for _, a := range acts {
		if a.value == value {
			return true
		}
	}
	return false
}
