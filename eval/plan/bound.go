package plan

import "math"

// A view is what is known in one state of the search.
type view struct {
	b      []float64 // weight of each class; they sum to p
	p      float64   // probability of the path to here
	masses []float64 // weight of each remedy
	stop   float64   // cost of stopping here, times p
	ahead  float64   // minutes of opening that the right remedies still need, times p: no plan is spared them
	best   int       // the remedy to choose then
	live   int       // remedies not excluded
	h      float64   // entropy of the remedy, bits

	state []state   // of each test
	gain  []float64 // what each test tells about the class, bits
	worth []float64 // what it tells about the remedy; the same if no two classes share one
	share []float64 // gain over capacity, at most 1

	telling []telling // the tests that tell something

	lower   float64   // no plan from here costs less, times p
	at      int       // point of the grid where the bound was found, -1 for none
	within  []float64 // scratch of spared: by level and stage
	carried []float64 // of each stage: the weight of the classes whose remedy is carried out there
	needs   []float64 // of each stage: the minutes of opening for a remedy there and what may come after it, times p
	fitted  []float64 // of each stage: the share of the classes whose remedy is carried out there or farther in
	free    []int     // the same in levels, rounded up
	ways    []float64 // of each stage: the minutes to get there, less those that the remedies are spared by that
}

// telling is what the bound needs of a test.
type telling struct {
	share, capacity, minutes float64
	stage, reach             int // reach is the share in levels, rounded up
}

type state uint8

const (
	gone   state = iota // done, barred, spoiled, or its needs cannot be met any more
	closed              // its needs are not met yet
	open
)

const (
	// A test that tells less is taken to tell nothing; rounding alone yields some 1e-16.
	silent = 1e-14
	// Parts in which the reach of a stage is counted.
	levels = 4
)

// look weighs the belief at a depth: what stopping costs, what each test tells, and what no plan can undercut.
func (e *engine) look(depth int) *view {
	v := e.view(depth)
	if e.nodes++; e.nodes%16 == 0 && e.ctx.Err() != nil {
		e.nodes = spent
	}
	e.weigh(v)
	if v.live < 2 {
		v.lower = v.stop
		return v
	}
	e.weighWays(v)
	e.inform(v)
	e.bound(v)
	return v
}

// weigh sums up the belief of a view.
func (e *engine) weigh(v *view) {
	clear(v.masses)
	v.p = 0
	for i, b := range v.b {
		v.masses[e.remedy[i]] += b
		v.p += b
	}
	v.best, v.live = 0, 0
	top, s := 0.0, 0.0
	for r, m := range v.masses {
		if m > 0 {
			v.live++
			s += float64(m * log2(m))
		}
		if m > top*(1+slack) {
			top, v.best = m, r
		}
	}
	v.stop, v.h = 0, 0
	if v.live > 1 {
		v.stop = e.price * math.Max(0, v.p-top)
		v.h = math.Max(0, log2(v.p)-s/v.p)
	}
	v.ahead = 0
	if e.fitted {
		e.weighOpening(v)
	}
}

// weighOpening adds to the cost of stopping what opening the remedies still need.
func (e *engine) weighOpening(v *view) {
	clear(v.carried)
	for r, m := range v.masses {
		v.carried[e.fit[r]] += m
	}
	for s, m := range v.carried {
		first, then := e.openingFor(v, s)
		v.needs[s] = float64(v.p*first) + then
		v.ahead += float64(m * e.opening[e.stage][s])
	}
	v.stop = math.Inf(1)
	for r, m := range v.masses {
		if m <= 0 {
			continue
		}
		cost := v.needs[e.fit[r]]
		if v.live > 1 {
			cost += float64(e.price * math.Max(0, v.p-m))
		}
		if cost < v.stop*(1-slack) || math.IsInf(v.stop, 1) {
			v.best, v.stop = r, cost
		}
	}
}

// openingFor is what a remedy that is carried out at a stage still needs of opening, minutes, and what the right ones need after it where it is wrong, times
// p.
func (e *engine) openingFor(v *view, stage int) (first, then float64) {
	first = e.opening[e.stage][stage]
	at := e.stage
	if first > 0 {
		at = stage
	}
	for s, m := range v.carried {
		then += float64(m * e.opening[at][s])
	}
	return first, then
}

// weighWays finds what it takes to get to each stage, and for how many of the classes that is no loss.
func (e *engine) weighWays(v *view) {
	if !e.fitted {
		copy(v.ways, e.travel[e.stage])
		return
	}
	for s := range v.fitted {
		v.fitted[s] = 0
		for other, m := range v.carried {
			if e.inside[s][other] {
				v.fitted[s] += m / v.p
			}
		}
		v.free[s] = int(math.Ceil(v.fitted[s]*levels - slack))
	}
	v.ways[e.stage] = 0
	for _, a := range e.down[e.stage] {
		v.ways[a.stage] = v.ways[a.from] + a.minutes
		if a.opens {
			v.ways[a.stage] -= float64(a.minutes * math.Min(1, v.fitted[a.stage]))
		}
	}
}

// inform computes for each test whether it can be done, and what it tells.
func (e *engine) inform(v *view) {
	v.telling = v.telling[:0]
	logP := log2(v.p)
	for _, i := range e.order {
		t := &e.tests[i]
		v.state[i], v.gain[i], v.worth[i], v.share[i] = gone, 0, 0, 0
		if e.out[i] != undone || t.barred || e.spoiled[i] > 0 {
			continue
		}
		v.state[i] = open
		if len(t.needs) > 0 {
			if v.state[i] = e.met(i, v.state); v.state[i] == gone {
				continue
			}
		}
		if math.IsInf(e.travel[e.stage][t.stage], 1) {
			v.state[i] = gone
			continue
		}
		if t.capacity <= 0 {
			continue
		}
		s := dot(v.b, t.h)
		for o := range t.outcomes {
			if m := e.mass(v, t, o); m > 0 {
				s += float64(m * (log2(m) - logP))
			}
		}
		g := -s / v.p
		if g <= silent {
			continue
		}
		v.gain[i], v.worth[i] = g, g
		v.share[i] = math.Min(1, g/t.capacity)
		v.telling = append(v.telling, telling{v.share[i], t.capacity, t.minutes, t.stage, int(math.Ceil(v.share[i] * levels))})
		if e.shared {
			v.worth[i] = e.remedyGain(v, t, g)
		}
	}
}

// remedyGain is what a test tells about the remedy, bits: what it tells about the class, gain, less what it only tells of classes that share a remedy.
func (e *engine) remedyGain(v *view, t *test, gain float64) float64 {
	lost := 0.0
	for _, r := range t.parting {
		m := v.masses[r]
		if m <= 0 {
			continue
		}
		apart := 0.0
		for _, c := range e.members[r] {
			apart += float64(v.b[c] * t.h[c])
		}
		together := 0.0
		for o := range t.outcomes {
			x := 0.0
			for _, c := range e.members[r] {
				x += float64(v.b[c] * t.p[o*e.classes+c])
			}
			if x > 0 {
				together += float64(x * log2(m/x))
			}
		}
		lost += math.Max(0, together-apart)
	}
	return math.Max(0, gain-lost/v.p)
}

// mass is the weight of an outcome of a test. One that is all but impossible counts as impossible, so that no product loses its digits.
func (e *engine) mass(v *view, t *test, outcome int) float64 {
	if m := dot(v.b, t.p[outcome*e.classes:(outcome+1)*e.classes]); m > 1e-200 {
		return m
	}
	return 0
}

// dot multiplies in four strands, which the processor can work on side by side.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	i := 0
	for ; i+4 <= len(a); i += 4 {
		s0 += float64(a[i] * b[i])
		s1 += float64(a[i+1] * b[i+1])
		s2 += float64(a[i+2] * b[i+2])
		s3 += float64(a[i+3] * b[i+3])
	}
	for ; i < len(a); i++ {
		s0 += float64(a[i] * b[i])
	}
	return (s0 + s1) + (s2 + s3)
}

// bound finds what no plan from here can undercut.
//
// A plan must gather the entropy H of the remedy, but for what it leaves at its ends. For any price λ of a bit, an end with m live remedies costs at
// least −λ·log₂(1 + (m−1)·2^(−W/λ)) net of the bits it leaves. A test that is done with probability u tells at most u times its capacity C, and, as
// outcomes are independent given the class, never more than what it would tell now, g. So it spares at most g/C·max(0, λC − minutes), and a stage
// must be opened to at least the largest share u of a test used there. The bound is λ·H less all this, at the best λ of the grid; the expression is
// concave in λ. Independently of it, a plan that does not stop pays for at least one test.
//
// The opening that the right remedies need comes on top, and opening a stage for a share u of the classes is a loss for u less the share whose remedy is
// carried out there or farther in, at least.
func (e *engine) bound(v *view) {
	cheapest := math.Inf(1)
	useful := false
	for i := range e.tests {
		if v.gain[i] > 0 {
			useful = true
		}
		// A closed test cannot come before the one that opens it, and that one is open and counted.
		if v.state[i] == open && (v.gain[i] > 0 || e.gated) {
			cheapest = math.Min(cheapest, v.ways[e.tests[i].stage]+e.tests[i].minutes)
		}
	}
	v.at = -1
	if !useful {
		v.lower = v.stop
		return
	}
	best := cheapest
	if len(e.lambda) > 0 {
		// Uphill from the middle of the grid.
		k := len(e.lambda) / 2
		at := e.dual(v, k)
		for _, d := range []int{1, -1} {
			moved := false
			for k+d >= 0 && k+d < len(e.lambda) {
				next := e.dual(v, k+d)
				if next <= at {
					break
				}
				k, at, moved = k+d, next, true
			}
			if moved {
				break
			}
		}
		v.at = k
		best = math.Max(best, at)
	}
	v.lower = math.Min(v.stop, v.ahead+float64(v.p*best))
}

func (e *engine) dual(v *view, k int) float64 {
	l := e.lambda[k]
	return float64(l*v.h) - e.spare[k][v.live] - e.spared(v, l, e.stage)
}

// spared is what all tests together can spare at the price λ of a bit, minutes, if the unit stands at a stage.
func (e *engine) spared(v *view, l float64, from int) float64 {
	sum := 0.0
	away := 0
	for _, s := range v.telling {
		net := float64(l*s.capacity) - s.minutes
		if net <= 0 {
			continue
		}
		if s.stage == from {
			sum += float64(s.share * net)
			continue
		}
		if away == 0 {
			clear(v.within)
			away = levels
		}
		for level := range s.reach {
			v.within[level*len(e.travel)+s.stage] += net
		}
	}
	// Beyond the stage: for each level of reach, the tests whose share comes up to it must outweigh the way, from the farthest stage inwards.
	arcs := e.down[from]
	for level := range away {
		within := v.within[level*len(e.travel):]
		for a := len(arcs) - 1; a >= 0; a-- {
			net := within[arcs[a].stage]
			if !arcs[a].opens || level >= v.free[arcs[a].stage] {
				net -= arcs[a].minutes
			}
			if net > 0 {
				if arcs[a].from == from {
					sum += net / levels
				} else {
					within[arcs[a].from] += net
				}
			}
		}
	}
	return sum
}
