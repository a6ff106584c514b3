package diagnosis

import (
	"math/bits"
	"slices"
)

// Numbers of judgement; a Table can state others.
const (
	Certain       = .99  // strength of "always"
	DefaultPrior  = .01  // of a fault whose frequency is not stated
	DefaultSlip   = .002 // probability that a performance of a test is misread or made at the wrong place
	maxCells      = 1024 // of one value; beyond, its checks are taken as read apart
	fewPositions  = 4    // of which a fault can be at several
	maxPlacements = 4096 // of a fault whose positions in one test are not known
)

// A Test is what one performance reads. Its checks share one slip: a misread meter spoils them together.
type Test struct {
	Values [][]int // the checks fed by each value; checks of one value show a fault together or not at all
}

// A Combination says what several faults do to one check that each of them alone would change.
type Combination uint8

const (
	Opposing Combination = iota // effects may cancel: good and all that the faults show are equally likely
	Ordered                     // outcomes are ordered, good at one end: the one farther from good wins
	Named                       // one of what the faults show, or the outcome of Otherwise
)

// A Lead says that a fault causes another one.
type Lead struct {
	To       int     // the other fault
	Strength float64 // the probability of the other, given this one
}

// A With says what two faults show together, in place of the general rule.
type With struct {
	Other    int
	Check    int
	Outcomes uint32
	Strength float64
}

// actor is what one fault does to one value; a fault whose position is not known has one actor for each placement.
type actor struct {
	fault  int32
	dists  [][]float64 // beside the checks of the value: the probability of each lane; nil for a check that it does not name
	never  []uint32    // outcomes that cannot come about with it
	masks  []bool      // it hides the check
	hides  [][]int     // it hides these faults from the check
	with   []With
	strong bool // some probability is other than 0 and 1
}

// lanes are the outcomes of a check as far as faults can tell them apart: lane 0 is what a unit without fault shows, whichever good outcome, then the
// bad ones and those good ones that faults name.
type lanes struct {
	outcome []int8 // of each lane; -1 for lane 0
	good    uint32
	bad     int // how many lanes are bad
	kind    Combination
	rank    []int8 // of each lane, its distance from good (Ordered)
	rest    int8   // the lane of otherwise, -1 without
	n       int
}

// usual are the outcomes of a check that a unit without a fault may show.
func (t *Table) usual(c int) uint32 {
	if t.Usual != nil {
		return t.Usual[c]
	}
	return t.Good[c]
}

func (t *Table) lanesOf(c int, named uint32) lanes {
	l := lanes{outcome: []int8{-1}, good: t.usual(c), rest: -1, rank: []int8{0}}
	if t.Combine != nil {
		l.kind = t.Combine[c]
	}
	first, last := -1, -1 // of the good outcomes
	for o := range bits.Len32(t.All[c]) {
		if l.good&(1<<o) != 0 {
			if first < 0 {
				first = o
			}
			last = o
		}
	}
	for o := range bits.Len32(t.All[c]) {
		isGood := l.good&(1<<o) != 0
		if t.All[c]&(1<<o) == 0 || isGood && named&(1<<o) == 0 {
			continue
		}
		if t.Otherwise != nil && int(t.Otherwise[c]) == o {
			l.rest = int8(len(l.outcome))
		}
		l.outcome = append(l.outcome, int8(o))
		rank := 0
		switch {
		case isGood:
		case o < first:
			rank = first - o
		case o > last:
			rank = o - last
		}
		if !isGood {
			l.bad++
		}
		if first > 0 && last < bits.Len32(t.All[c])-1 && l.kind == Ordered {
			l.kind = Opposing // bad on both sides
		}
		l.rank = append(l.rank, int8(rank))
	}
	l.n = len(l.outcome)
	return l
}

// spread gives the lanes of a set of outcomes that share a probability.
func (l *lanes) spread(dist []float64, outcomes uint32, p float64) {
	n := 0
	for i := 1; i < l.n; i++ {
		if outcomes&(1<<l.outcome[i]) != 0 {
			n++
		}
	}
	if n == 0 {
		return
	}
	for i := 1; i < l.n; i++ {
		if outcomes&(1<<l.outcome[i]) != 0 {
			dist[i] += p / float64(n)
			dist[0] -= p / float64(n)
		}
	}
	if dist[0] < 1e-12 {
		dist[0] = 0
	}
}

// uniform makes every outcome equally likely.
func (l *lanes) uniform(dist []float64) {
	n := float64(l.bad + bits.OnesCount32(l.good))
	for i := range dist {
		dist[i] = 1 / n
	}
	dist[0] = float64(bits.OnesCount32(l.good)) / n
	for i := 1; i < l.n; i++ {
		if l.good&(1<<l.outcome[i]) != 0 {
			dist[i] = 0 // within lane 0
		}
	}
}

// value is the checks fed by one reading, and what faults do to it.
type value struct {
	checks []int
	lanes  []lanes
	cells  int
	stride []int // of each check in a cell number
	points float64
	actors []actor
	single [][]float64   // per actor: the probability of each cell
	pair   [][][]float64 // per two actors of different faults
	rows   []With        // explicit rows, of all actors
}

func (t *Table) newValue(checks []int, named []uint32) *value {
	v := &value{checks: checks, cells: 1, points: 1}
	for _, c := range checks {
		l := t.lanesOf(c, named[c])
		v.lanes = append(v.lanes, l)
		v.stride = append(v.stride, v.cells)
		v.cells *= l.n
		v.points += float64(bits.OnesCount32(t.All[c]) - 1)
	}
	return v
}

// mix returns the probability of each cell when these actors are there together. Every fault has one coin for the value: a check shows the fault if
// the coin falls below its strength.
func (v *value) mix(actors []*actor) []float64 {
	cells := make([]float64, v.cells)
	if len(v.checks) == 1 {
		copy(cells, v.combine(0, actors, nil))
		return cells
	}
	coins := make([]float64, len(actors))
	var toss func(i int, p float64)
	toss = func(i int, p float64) {
		if i == len(actors) {
			v.product(cells, actors, coins, p)
			return
		}
		edges := []float64{0, 1}
		for _, d := range actors[i].dists {
			if d != nil {
				edges = append(edges, 1-d[0])
			}
		}
		slices.Sort(edges)
		for k := 1; k < len(edges); k++ {
			if w := edges[k] - edges[k-1]; w > 0 {
				coins[i] = edges[k-1] + w/2
				toss(i+1, p*w)
			}
		}
	}
	toss(0, 1)
	return cells
}

// product adds the joint distribution of all checks for one throw of the coins.
func (v *value) product(cells []float64, actors []*actor, coins []float64, p float64) {
	joint := []float64{p}
	for c := range v.checks {
		dist := v.combine(c, actors, coins)
		next := make([]float64, len(joint)*len(dist))
		for i, q := range dist {
			for k, w := range joint {
				next[i*len(joint)+k] = w * q
			}
		}
		joint = next
	}
	for i, w := range joint {
		cells[i] += w
	}
}

// combine returns the probability of each lane of one check under several faults. coins decide what each of them shows; nil: as likely as it is.
func (v *value) combine(c int, actors []*actor, coins []float64) []float64 {
	l := &v.lanes[c]
	healthy := make([]float64, l.n)
	healthy[0] = 1
	var acting []*actor
	var dists [][]float64
	hidden, stated := false, false
	for i, a := range actors {
		if a.masks != nil && a.masks[c] {
			hidden = true
			stated = stated || a.dists[c] != nil
		}
		d := a.dists[c]
		if d == nil && a.never[c] == 0 {
			continue
		}
		if d != nil && coins != nil {
			d = thrown(d, coins[i])
		}
		acting, dists = append(acting, a), append(dists, d)
	}
	if !hidden {
		before := len(acting)
		for _, a := range actors {
			if a.hides == nil || a.hides[c] == nil {
				continue
			}
			for i := len(acting) - 1; i >= 0; i-- {
				if acting[i] != a && slices.Contains(a.hides[c], int(acting[i].fault)) {
					acting, dists = slices.Delete(acting, i, i+1), slices.Delete(dists, i, i+1)
				}
			}
		}
		hidden = before > 0 && len(acting) == 0
	} else if stated {
		for i := len(acting) - 1; i >= 0; i-- {
			if acting[i].masks == nil || !acting[i].masks[c] {
				acting, dists = slices.Delete(acting, i, i+1), slices.Delete(dists, i, i+1)
			}
		}
		hidden = false
	}
	if hidden {
		l.uniform(healthy)
		return healthy
	}
	acting, dists = v.explicit(c, acting, dists)
	dists = slices.DeleteFunc(dists, func(d []float64) bool { return d == nil })
	out := healthy
	switch len(dists) {
	case 0:
	case 1:
		out = slices.Clone(dists[0])
	default:
		out = l.join(dists)
	}
	never := uint32(0)
	for _, a := range acting {
		never |= a.never[c]
	}
	if never != 0 {
		l.exclude(out, never)
	}
	return out
}

// thrown is the distribution of what a fault shows once its coin has fallen.
func thrown(d []float64, coin float64) []float64 {
	out := make([]float64, len(d))
	s := 1 - d[0]
	if coin >= s {
		out[0] = 1
		return out
	}
	for i := 1; i < len(d); i++ {
		out[i] = d[i] / s
	}
	return out
}

// explicit replaces two faults by the row that says what they show together.
func (v *value) explicit(c int, acting []*actor, dists [][]float64) ([]*actor, [][]float64) {
	for i, a := range acting {
		for _, w := range a.with {
			if w.Check != v.checks[c] {
				continue
			}
			k := slices.IndexFunc(acting, func(b *actor) bool { return b != a && int(b.fault) == w.Other })
			if k < 0 {
				continue
			}
			d := make([]float64, v.lanes[c].n)
			d[0] = 1
			v.lanes[c].spread(d, w.Outcomes, w.Strength)
			dists = slices.Clone(dists)
			dists[i], dists[k] = d, nil
			return acting, dists
		}
	}
	return acting, dists
}

// join combines the effects of several faults.
func (l *lanes) join(dists [][]float64) []float64 {
	out := make([]float64, l.n)
	if l.kind == Ordered {
		l.worst(out, dists)
		return out
	}
	none := 1.
	for _, d := range dists {
		none *= d[0]
	}
	rest := 1 - none
	out[0] = none
	shown := make([]bool, l.n)
	n := 0
	for o := 1; o < l.n; o++ {
		only := 1.
		for _, d := range dists {
			only *= d[0] + d[o]
			shown[o] = shown[o] || d[o] > 0
		}
		out[o] = only - none
		rest -= out[o]
	}
	switch {
	case l.kind == Opposing:
		shown[0] = true
	case l.rest > 0:
		shown[l.rest] = true
	}
	for _, is := range shown {
		if is {
			n++
		}
	}
	if rest > 1e-15 && n > 0 {
		for o, is := range shown {
			if is {
				out[o] += rest / float64(n)
			}
		}
	}
	return out
}

// worst lets the outcome farthest from good win.
func (l *lanes) worst(out []float64, dists [][]float64) {
	before := 0.
	for rank := int8(0); before < 1-1e-15 && int(rank) < 33; rank++ {
		upTo, here := 1., 0.
		for _, d := range dists {
			sum := 0.
			for o, p := range d {
				if l.rank[o] <= rank {
					sum += p
				}
			}
			upTo *= sum
		}
		for o := range out {
			if l.rank[o] == rank {
				for _, d := range dists {
					here += d[o]
				}
			}
		}
		if here > 0 {
			for o := range out { // of one rank in the parts that the faults show
				if l.rank[o] == rank {
					part := 0.
					for _, d := range dists {
						part += d[o]
					}
					out[o] += (upTo - before) * part / here
				}
			}
		}
		before = upTo
	}
}

// exclude removes outcomes that cannot come about; when nothing is left, all are equally likely.
func (l *lanes) exclude(dist []float64, never uint32) {
	sum := 0.
	for i := range dist {
		switch {
		case i > 0 && never&(1<<l.outcome[i]) != 0, i == 0 && l.good&^never == 0:
			dist[i] = 0
		default:
			sum += dist[i]
		}
	}
	if sum <= 0 {
		l.uniform(dist)
		return
	}
	for i := range dist {
		dist[i] /= sum
	}
}
