package diagnosis

import (
	"math/bits"
	"slices"
)

// What the readings of a test are worth under a set of faults.

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

// weighed is a value with its evidence.
type weighed struct {
	lambda  []float64 // weight of each cell
	cell    int32     // the only one that has weight, and that weight is 1; -1 if there are several
	way     int32     // if one outcome of each check is possible: which of the ways in which that can be; else -1
	valid   bool
	whole   bool    // all its checks were read
	healthy float64 // likelihood without faults
	mean    float64 // likelihood if it was misread
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

// seen is a test with its evidence.
type seen struct {
	valid   bool
	whole   bool    // all its checks were read
	slip    float64 // probability that it was misread
	base    float64 // product of the likelihoods of its values without faults, those of zero left out
	zeros   int32   // how many are zero
	misread float64 // likelihood if misread, times slip
	p, p0   float64 // likelihood without faults, and its part without a slip
	way     int32   // the number of the way in which it came out, if it did so sharply; else -1
}

// weigh takes in the evidence.
func (t *Table) weigh(ev *Evidence) {
	if ev.table != t {
		ev.table = t
		ev.values = make([]weighed, len(t.values))
		for i, v := range t.values {
			ev.values[i].lambda = make([]float64, v.cells)
		}
		ev.tests = make([]seen, len(t.Tests))
	}
	for i := range t.values {
		t.weighValue(ev, i)
	}
	slip := t.slip()
	for i := range ev.tests {
		s := &ev.tests[i]
		*s = seen{slip: slip, base: 1, misread: 1, whole: true}
		if ev.Repeats != nil && ev.Repeats[i] > 1 {
			s.way = -1
			for range ev.Repeats[i] - 1 {
				s.slip *= slip
			}
		}
		if t.known[i] == nil {
			s.way = -1
		}
		stride := int32(1)
		for k := t.valueFrom[i]; k < t.valueEnd[i]; k++ {
			w, ways := &ev.values[k], int32(t.values[k].ways)
			if s.way >= 0 {
				switch {
				case !w.valid:
					s.way += stride * ways // past all others
				case w.way < 0:
					s.way = -1
				default:
					s.way += stride * w.way
				}
				stride *= ways + 1
			}
			if !w.valid {
				s.whole = false
				continue
			}
			s.whole = s.whole && w.whole
			s.valid = true
			s.misread *= w.mean
			if w.healthy == 0 {
				s.zeros++
			} else {
				s.base *= w.healthy
			}
		}
		s.misread *= s.slip
		if s.zeros == 0 {
			s.p0 = float64((1 - s.slip) * s.base)
		}
		s.p = s.p0 + s.misread
	}
}

func (t *Table) slip() float64 {
	switch {
	case t.Slip == 0:
		return DefaultSlip
	case t.Slip < 0:
		return 0
	}
	return t.Slip
}

// weighValue gives each cell of a value the least weight of the outcomes that make it up.
func (t *Table) weighValue(ev *Evidence, i int) {
	v, w := t.values[i], &ev.values[i]
	w.valid, w.cell, w.way = false, -1, -1
	if len(v.checks) == 1 {
		c := v.checks[0]
		possible := ev.Possible[c]
		if possible == 0 {
			return
		}
		if (ev.Weights == nil || ev.Weights[c] == nil) && possible&(possible-1) == 0 {
			v.sharp(possible, w)
			return
		}
	}
	for k := range w.lambda {
		w.lambda[k] = 1
	}
	for k, c := range v.checks {
		if ev.Possible[c] == 0 {
			continue
		}
		w.valid = true
		for cell := range w.lambda {
			lane := cell / v.stride[k] % v.lanes[k].n
			w.lambda[cell] = min(w.lambda[cell], ev.weight(&v.lanes[k], c, lane))
		}
	}
	if !w.valid {
		return
	}
	only := int32(-1)
	for cell, l := range w.lambda {
		if l == 0 {
			continue
		}
		if only >= 0 || l != 1 {
			only = -1
			break
		}
		only = int32(cell)
	}
	w.cell, w.healthy, w.mean = only, w.lambda[0], t.mean(ev, v)
	w.whole = true
	for _, c := range v.checks {
		if ev.Possible[c] == 0 {
			w.cell, w.whole = -1, false
		}
	}
	if !slices.ContainsFunc(v.checks, func(c int) bool { return !ev.only(c) }) {
		w.way = w.cell
	}
}

// only tells whether a single outcome of a check has weight.
func (ev *Evidence) only(c int) bool {
	possible := ev.Possible[c]
	if possible&(possible-1) != 0 {
		return false
	}
	if ev.Weights != nil {
		for o, l := range ev.Weights[c] {
			if l != 0 && possible != 1<<o {
				return false
			}
		}
	}
	return true
}

// sharp takes in the one outcome that is possible of the check of a value.
func (v *value) sharp(possible uint32, w *weighed) {
	o := bits.TrailingZeros32(possible)
	w.valid, w.whole, w.healthy, w.mean = true, true, 0, v.slipped
	switch {
	case possible&v.plain != 0:
		w.cell, w.way, w.healthy = 0, 0, 1
	case v.cellOf[o] >= 0:
		w.cell = int32(v.cellOf[o])
		w.way = w.cell
	case v.ownCell[o] == 0: // no outcome of the check
		w.valid = false
	default:
		clear(w.lambda)
		w.lambda[0], w.lambda[v.ownCell[o]] = 1, 1
		w.way, w.healthy = int32(v.wayOf[o]), 1
	}
}

// weight of one lane of a check.
func (ev *Evidence) weight(l *lanes, c, lane int) float64 {
	if lane > 0 {
		return ev.outcomeWeight(c, int(l.outcome[lane]))
	}
	if ev.Possible[c]&l.good != 0 {
		return 1
	}
	best := 0.
	for g := l.good; g != 0; g &= g - 1 {
		best = max(best, ev.outcomeWeight(c, bits.TrailingZeros32(g)))
	}
	return best
}

func (ev *Evidence) outcomeWeight(c, outcome int) float64 {
	if ev.Weights != nil && ev.Weights[c] != nil {
		return ev.Weights[c][outcome]
	}
	if ev.Possible[c]&(1<<outcome) != 0 {
		return 1
	}
	return 0
}

// mean is the likelihood of a value that was misread. A value alone is then anything: the mean weight of the outcomes. Several checks part one reading
// into 1 + Σ(k−1) stretches, k outcomes each, of which one is as likely as another; so that a check which tells nothing counts for nothing, and a soft
// reading for what it is, 1/mean − 1 adds up over the checks.
func (t *Table) mean(ev *Evidence, v *value) float64 {
	against := 0.
	for _, c := range v.checks {
		if ev.Possible[c] != 0 {
			against += 1/ev.average(t, c) - 1
		}
	}
	return 1 / (1 + against)
}

// average is the mean weight of all outcomes of a check.
func (ev *Evidence) average(t *Table, c int) float64 {
	sum := 0.
	for all := t.All[c]; all != 0; all &= all - 1 {
		sum += ev.outcomeWeight(c, bits.TrailingZeros32(all))
	}
	return sum / float64(bits.OnesCount32(t.All[c]))
}

// test returns the likelihood of a test under a set of faults, and its part without a slip.
func (t *Table) test(ev *Evidence, i int, set []int32) (p, p0 float64) {
	s := &ev.tests[i]
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
		p0 = t.placed(ev, s, parts, acts[:0])
	} else {
		all := acts[:0]
		for _, part := range parts {
			all = append(all, part.placements[0]...)
		}
		p0 = t.joint(ev, s, all)
	}
	p0 = float64((1 - s.slip) * p0)
	return p0 + s.misread, p0
}

// placed is the mean over all placements.
func (t *Table) placed(ev *Evidence, s *seen, parts []*part, acts []act) float64 {
	if len(parts) == 0 {
		return t.joint(ev, s, acts)
	}
	sum := 0.
	for _, placement := range parts[0].placements {
		sum += t.placed(ev, s, parts[1:], append(acts[:len(acts):len(acts)], placement...))
	}
	return sum / float64(len(parts[0].placements))
}

// several returns the probability of each cell under three actors or more, and remembers it for three.
func (v *value) several(acts []act, value int32) []float64 {
	var key [3]int32
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
	if n == len(key) {
		slices.Sort(key[:])
		v.mu.RLock()
		cells := v.triple[key]
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
	if n == len(key) {
		v.mu.Lock()
		defer v.mu.Unlock()
		if v.triple == nil {
			v.triple = map[[3]int32][]float64{}
		}
		if len(v.triple) < mostTriples {
			v.triple[key] = cells
		}
	}
	return cells
}

// joint is the product of the likelihoods of all values of a test under these acts.
func (t *Table) joint(ev *Evidence, s *seen, acts []act) float64 {
	product, zeros := s.base, s.zeros
	for i, a := range acts {
		w := &ev.values[a.value]
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
