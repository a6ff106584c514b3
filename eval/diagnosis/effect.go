package diagnosis

import (
	"cmp"
	"math/bits"
	"slices"
	"sync"
)

// Numbers of judgement; a Table can state others.
const (
	Certain       = .99     // strength of "always"
	DefaultPrior  = .01     // of a fault whose frequency is not stated
	DefaultSlip   = .002    // probability that a performance of a test is misread or made at the wrong place
	leastSlip     = 1e-30   // what is less probable by repeats, or as stated, nobody could tell from it
	maxCells      = 1024    // of one value; beyond, its checks are taken as read apart
	fewPositions  = 4       // of which a fault can be at several
	maxPlacements = 4096    // of a fault whose positions in one test are not known
	mostFew       = 1 << 16 // figures of three or four faults that are remembered, for one value
)

// A Test is what one performance reads. Its checks share one slip: a misread meter spoils them together.
type Test struct {
	Values [][]int // the checks fed by each value; checks of one value show a fault together or not at all
}

// A Combination says what several faults do to one check that each of them alone would change.
type Combination uint8

const (
	Opposing Combination = iota // effects may cancel: good and all that the faults show are equally likely
	Ordered                     // outcomes are ordered: of two on the same side of good the one farther from good wins; on both sides as Opposing
	Named                       // one of what the faults show, or the outcome of Otherwise
)

// A Lead says that a fault causes another one.
type Lead struct {
	To       int     // the other fault, which leads back to this one in no way
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
	fault int32
	dists [][]float64 // beside the checks of the value: the probability of each lane; nil for a check that it does not name
	never []uint32    // outcomes that cannot come about with it
	masks []bool      // it hides the check
	hides [][]int     // it hides these faults from the check
	with  []With
}

// lanes are the outcomes of a check as far as faults can tell them apart: lane 0 is what a unit without fault shows, whichever good outcome, then the
// bad ones and those good ones that faults name.
type lanes struct {
	outcome []int8 // of each lane; -1 for lane 0
	good    uint32
	bad     int // how many lanes are bad
	kind    Combination
	rank    []int8 // of each lane, its distance from good, negative below (Ordered)
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
	l := lanes{outcome: []int8{-1}, good: t.usual(c) & t.All[c], rest: -1, rank: []int8{0}}
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
			rank = o - first
		case o > last:
			rank = o - last
		}
		if !isGood {
			l.bad++
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
	if p = min(p, dist[0]); n == 0 || !(p > 0) {
		return
	}
	dist[0] -= p
	for i := 1; i < l.n; i++ {
		if outcomes&(1<<l.outcome[i]) != 0 {
			dist[i] += p / float64(n)
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

	actors []actor
	single [][]float64   // per actor: the probability of each cell
	pair   [][][]float64 // per two actors of different faults
	mu     sync.RWMutex
	few    map[[4]int32][]float64 // what was needed of three or four
}

func (t *Table) newValue(checks []int, named []uint32) *value {
	v := &value{checks: checks, cells: 1}
	for _, c := range checks {
		l := t.lanesOf(c, named[c])
		v.lanes = append(v.lanes, l)
		v.stride = append(v.stride, v.cells)
		v.cells *= l.n
	}
	return v
}

// mix returns the probability of each cell when these actors are there together. Every fault has one coin for the value: u is uniform from 0 to 1, and
// at each check the bad outcomes of the fault lie along u from 0 on, in their order, as wide as they are likely. So one reading clears a fault once,
// however many limits it is held against.
func (v *value) mix(actors []*actor) []float64 {
	slices.SortStableFunc(actors, func(a, b *actor) int { return cmp.Compare(a.fault, b.fault) })
	says := make([]say, len(v.checks))
	for c := range says {
		says[c] = v.say(c, actors)
	}
	var cells []float64
	if len(says) == 1 {
		cells = v.lanes[0].alone(&says[0])
	} else {
		cells = v.throw(says, len(actors))
	}
	v.exclude(cells, says)
	return cells
}

// say is what faults have to say of one check.
type say struct {
	even    bool // hidden: every outcome is equally likely
	effects []effect
	never   uint32 // outcomes that cannot come about
}

// effect is what one fault shows, or two for which a row of their own says it.
type effect struct {
	owner int // the actor whose coin it is
	dist  []float64
}

// say finds who has a say in a check. A fault that masks it silences all that do not; one that masks it for some faults silences these. If nobody is
// left who shows something, but the check is masked or someone silenced would have shown something, every outcome is equally likely: the unit does not
// look healthy because a fault hides another one.
func (v *value) say(c int, actors []*actor) say {
	heard := make([]bool, len(actors))
	masked := slices.ContainsFunc(actors, func(a *actor) bool { return a.masks != nil && a.masks[c] })
	for i, a := range actors {
		heard[i] = !masked || a.masks != nil && a.masks[c]
	}
	before := v.effects(c, actors, heard)
	left := slices.Clone(heard)
	for i, a := range actors {
		if !heard[i] || a.hides == nil {
			continue
		}
		for k, b := range actors {
			if k != i && slices.Contains(a.hides[c], int(b.fault)) {
				left[k] = false
			}
		}
	}
	s := say{effects: v.effects(c, actors, left)}
	s.even = len(s.effects) == 0 && (masked || len(before) > 0)
	for i, a := range actors {
		if left[i] {
			s.never |= a.never[c]
		}
	}
	return s
}

// effects lists what these actors show at a check. A row of two faults takes both; of several rows the first takes them.
func (v *value) effects(c int, actors []*actor, heard []bool) []effect {
	var list []effect
	taken := make([]bool, len(actors))
	for i, a := range actors {
		for _, w := range a.with {
			if w.Check != v.checks[c] || !heard[i] || taken[i] {
				continue
			}
			k := slices.IndexFunc(actors, func(b *actor) bool { return b != a && int(b.fault) == w.Other })
			if k < 0 || !heard[k] || taken[k] {
				continue
			}
			d := make([]float64, v.lanes[c].n)
			d[0] = 1
			v.lanes[c].spread(d, w.Outcomes, w.Strength)
			taken[i], taken[k] = true, true
			list = append(list, effect{i, d})
		}
	}
	for i, a := range actors {
		if heard[i] && !taken[i] && a.dists[c] != nil {
			list = append(list, effect{i, a.dists[c]})
		}
	}
	return list
}

// throw goes through all coins.
func (v *value) throw(says []say, actors int) []float64 {
	edges := make([][]float64, actors)
	for _, s := range says {
		for _, e := range s.effects {
			at := 0.
			for _, p := range e.dist[1:] {
				at += p
				edges[e.owner] = append(edges[e.owner], min(at, 1))
			}
		}
	}
	for i := range edges {
		edges[i] = append(edges[i], 0, 1)
		slices.Sort(edges[i])
	}
	cells := make([]float64, v.cells)
	coins := make([]float64, actors)
	var toss func(i int, p float64)
	toss = func(i int, p float64) {
		if i == actors {
			v.fall(cells, says, coins, p)
			return
		}
		for k := 1; k < len(edges[i]); k++ {
			if w := edges[i][k] - edges[i][k-1]; w > 0 {
				coins[i] = edges[i][k-1] + w/2
				toss(i+1, p*w)
			}
		}
	}
	toss(0, 1)
	return cells
}

// fall adds what comes about once the coins have fallen.
func (v *value) fall(cells []float64, says []say, coins []float64, p float64) {
	joint := []float64{p}
	for c := range says {
		dist := v.lanes[c].collide(&says[c], coins)
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

// lane is what a fault shows by its coin.
func (e *effect) lane(coin float64) int {
	at := 0.
	for i, p := range e.dist[1:] {
		if at += p; coin < at {
			return i + 1
		}
	}
	return 0
}

// collide returns the lanes that are equally likely once every fault has shown its own.
func (l *lanes) collide(s *say, coins []float64) []float64 {
	dist := make([]float64, l.n)
	if s.even {
		l.uniform(dist)
		return dist
	}
	var shown []int
	for i := range s.effects {
		if o := s.effects[i].lane(coins[s.effects[i].owner]); o > 0 && !slices.Contains(shown, o) {
			shown = append(shown, o)
		}
	}
	var worst []int
	for _, o := range shown {
		if !slices.ContainsFunc(shown, func(k int) bool { return l.outdoes(k, o) }) {
			worst = append(worst, o)
		}
	}
	switch len(worst) {
	case 0:
		dist[0] = 1
	case 1:
		dist[worst[0]] = 1
	default:
		l.share(dist, s.effects, 1)
	}
	return dist
}

// outdoes tells whether of two ordered outcomes the first is worse, on the same side of good.
func (l *lanes) outdoes(k, o int) bool {
	return l.kind == Ordered && (l.rank[k] < 0) == (l.rank[o] < 0) && abs(l.rank[k]) > abs(l.rank[o])
}

func abs(x int8) int8 { return max(x, -x) }

// share parts the probability that effects collide: among good and all that the faults can show, since opposite effects may cancel; of named outcomes
// among the latter and the outcome of Otherwise.
func (l *lanes) share(dist []float64, effects []effect, p float64) {
	in := make([]bool, l.n)
	n := 0
	for o := range in {
		switch {
		case o == 0:
			in[o] = l.kind != Named
		case l.kind == Named && o == int(l.rest):
			in[o] = true
		default:
			in[o] = slices.ContainsFunc(effects, func(e effect) bool { return e.dist[o] > 0 })
		}
		if in[o] {
			n++
		}
	}
	for o, is := range in {
		if is {
			dist[o] += p / float64(n)
		}
	}
}

// alone returns the probability of each lane of a check that shares its value with no other. With A the probability that no fault shows anything and
// B_o that none shows anything but o, o comes about with B_o − A; the rest is that effects collide. Of ordered outcomes B_o is that none shows anything
// but what is on the same side and not worse.
func (l *lanes) alone(s *say) []float64 {
	out := make([]float64, l.n)
	switch {
	case s.even:
		l.uniform(out)
		return out
	case len(s.effects) == 0:
		out[0] = 1
		return out
	case len(s.effects) == 1:
		copy(out, s.effects[0].dist)
		return out
	}
	none := 1.
	for _, e := range s.effects {
		none *= e.dist[0]
	}
	out[0] = none
	rest := 1 - none
	for o := 1; o < l.n; o++ {
		only, less := l.within(s.effects, o, true), none
		if l.kind == Ordered {
			less = l.within(s.effects, o, false)
		}
		out[o] = max(0, only-less)
		rest -= out[o]
	}
	if rest > 1e-15 {
		l.share(out, s.effects, rest)
	}
	return out
}

// within is the probability that no fault shows anything but o, of ordered outcomes nothing but what is on the same side and less bad, and o.
func (l *lanes) within(effects []effect, o int, itself bool) float64 {
	p := 1.
	for _, e := range effects {
		sum := e.dist[0]
		if itself {
			sum += e.dist[o]
		}
		if l.kind == Ordered {
			for k := 1; k < l.n; k++ {
				if l.outdoes(o, k) {
					sum += e.dist[k]
				}
			}
		}
		p *= sum
	}
	return p
}

// exclude removes what cannot come about; when nothing is left, all is equally likely.
func (v *value) exclude(cells []float64, says []say) {
	if !slices.ContainsFunc(says, func(s say) bool { return s.never != 0 }) {
		return
	}
	sum := 0.
	for cell := range cells {
		for c := range says {
			if v.lanes[c].excluded(cell/v.stride[c]%v.lanes[c].n, says[c].never) {
				cells[cell] = 0
			}
		}
		sum += cells[cell]
	}
	if sum > 1e-12 {
		for cell := range cells {
			cells[cell] /= sum
		}
		return
	}
	even := make([][]float64, len(says))
	for c := range even {
		even[c] = make([]float64, v.lanes[c].n)
		v.lanes[c].uniform(even[c])
	}
	for cell := range cells {
		cells[cell] = 1
		for c := range even {
			cells[cell] *= even[c][cell/v.stride[c]%v.lanes[c].n]
		}
	}
}

func (l *lanes) excluded(lane int, never uint32) bool {
	if lane == 0 {
		return never != 0 && l.good&^never == 0
	}
	return never&(1<<l.outcome[lane]) != 0
}
