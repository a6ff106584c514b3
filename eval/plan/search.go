package plan

import "math"

// An entry is what is known of a state: no plan from it costs less than lower, and the one that starts with act (stop: none) costs at most upper.
// Costs are times the probability of the path, which is the same for equal states.
type entry struct {
	lower, upper float64
	act          int32
	level        int8 // plans tried from here: 0 no whole one, 1 the base plan, above it the rollouts
}

const stop = -1

func (n entry) exact() bool { return n.upper-n.lower <= slack*1e-2*math.Max(1, n.upper) }

// A candidate is a test that could come next, with what no plan that starts with it can undercut.
type candidate struct {
	test  int
	score float64 // gain per minute, of the test alone or with one that it opens
	lower float64 // times p
}

// candidates lists the tests that can be done now and that tell something or open one that does.
func (e *engine) candidates(v *view) []candidate {
	var opens []opening
	if e.gated {
		opens = e.openings(v)
	}
	list := make([]candidate, 0, len(e.tests))
	var within [16]float64 // what can be spared from each stage, computed once for each
	known := 0
	for i := range e.tests {
		if v.state[i] != open || (v.gain[i] == 0 && (opens == nil || opens[i].bits == 0)) {
			continue
		}
		t := &e.tests[i]
		minutes := v.ways[t.stage] + t.minutes
		c := candidate{test: i, score: score(v.worth[i], v.gain[i], minutes), lower: v.ahead + float64(v.p*minutes)}
		if opens != nil && opens[i].bits > 0 {
			both := score(v.worth[i]+opens[i].worth, v.gain[i]+opens[i].bits, minutes+opens[i].minutes)
			c.score = math.Max(c.score, both)
		}
		if v.at >= 0 {
			l := e.lambda[v.at]
			var spared float64
			if t.stage < len(within) && known>>t.stage&1 == 1 {
				spared = within[t.stage]
			} else {
				spared = e.spared(v, l, t.stage)
				if t.stage < len(within) {
					within[t.stage] = spared
					known |= 1 << t.stage
				}
			}
			if net := float64(l*t.capacity) - t.minutes; net > 0 {
				spared -= float64(v.share[i] * net)
			}
			after := float64(l*(v.h-v.worth[i])) - e.spare[v.at][v.live] - spared
			c.lower = math.Max(c.lower, v.ahead+float64(v.p*(minutes+after)))
		}
		if e.greedy {
			c.score = v.gain[i]
		}
		list = append(list, c)
	}
	return list
}

func score(worth, gain, minutes float64) float64 {
	return (worth + gain*1e-3) / math.Max(minutes, 1e-6)
}

// An opening is the best of what a test makes possible: the bits of one test behind it, weighed with the chance that it opens, and the minutes.
type opening struct{ worth, bits, minutes float64 }

func (e *engine) openings(v *view) []opening {
	opens := make([]opening, len(e.tests))
	// From the last of the order, so that what a test opens is complete before it counts for those before it.
	for k := len(e.order) - 1; k >= 0; k-- {
		i := e.order[k]
		t := &e.tests[i]
		if v.state[i] != closed {
			continue
		}
		behind := opens[i]
		whole := opening{v.worth[i] + behind.worth, v.gain[i] + behind.bits, t.minutes + behind.minutes}
		if whole.bits == 0 {
			continue
		}
		for _, n := range t.needs {
			if e.out[n.Test] != undone {
				continue
			}
			chance := 1.0
			if len(n.Outcomes) > 0 {
				chance = 0
				for _, o := range n.Outcomes {
					chance += e.mass(v, &e.tests[n.Test], o)
				}
				chance = math.Min(1, chance/v.p)
			}
			if chance == 0 {
				continue
			}
			o := opening{whole.worth * chance, whole.bits * chance, whole.minutes * chance}
			if old := opens[n.Test]; old.bits == 0 || score(o.worth, o.bits, o.minutes) > score(old.worth, old.bits, old.minutes)*(1+slack) {
				opens[n.Test] = o
			}
		}
	}
	return opens
}

// better says whether cost a is below b by more than rounding.
func better(a, b float64) bool {
	if math.IsInf(b, 1) {
		return a < b
	}
	return a < b-float64(slack*1e-1*math.Max(1, math.Abs(b)))
}

// pick returns the place of the candidate with the largest score, the first among equals.
func pick(list []candidate) int {
	best := 0
	for i, c := range list {
		if c.score > list[best].score*(1+slack) {
			best = i
		}
	}
	return best
}

// base is the cost of the plan that always takes the largest gain per minute, teardown included, and stops where going on would cost more. It weighs
// no more than about allow beliefs; where they run out, the plan stops.
func (e *engine) base(depth, allow int) float64 {
	v := e.view(depth)
	k := e.at()
	n, seen := e.memo[k]
	if seen && (n.level > 0 || n.exact()) {
		return n.upper
	}
	if allow <= 0 || e.nodes >= e.limit {
		if seen {
			return n.upper
		}
		e.weigh(v)
		return v.stop
	}
	e.look(depth)
	if !seen {
		n = entry{lower: v.lower, upper: v.stop, act: stop}
	}
	n.level = 1
	if better(v.lower, v.stop-e.grain) {
		if list := e.candidates(v); len(list) > 0 {
			t := list[pick(list)].test
			if cost := e.follow(depth, t, 1, allow-1); better(cost, n.upper) {
				n.upper, n.act = cost, int32(t)
			}
		}
	}
	e.memo[k] = n
	return n.upper
}

// follow is the cost of doing a test and going on after each outcome by the base plan, level 1, or by a rollout of a level above it.
func (e *engine) follow(depth, number, level, allow int) float64 {
	v := e.view(depth)
	t := &e.tests[number]
	p, left := v.p, v.p
	cost := float64(p * e.way(number))
	for o := range t.outcomes {
		mass := e.mass(v, t, o)
		if mass <= 0 {
			continue
		}
		part := allow
		if mass < left {
			part = int(float64(allow) * (mass / left))
		}
		before := e.nodes
		s := e.do(depth, number, o)
		if level == 1 {
			cost += e.base(depth+1, part)
		} else {
			cost += e.roll(depth+1, level, part)
		}
		e.undo(number, s)
		left -= mass
		allow -= e.nodes - before
	}
	return cost
}

// roll improves on a plan: at each state it tries the tests with the best scores first, each followed by the plan of the level below (level 1 is
// the base plan), and keeps the cheapest.
func (e *engine) roll(depth, level, allow int) float64 {
	end := e.nodes + allow
	k := e.at()
	n, seen := e.memo[k]
	if seen && (int(n.level) >= level || n.exact() || n.act == stop && !better(n.lower, n.upper-e.grain)) {
		return n.upper
	}
	if allow <= 0 {
		return e.base(depth, 1)
	}
	v := e.look(depth)
	if !seen {
		n = entry{lower: v.lower, upper: v.stop, act: stop}
	}
	if better(v.lower, v.stop-e.grain) {
		list := e.candidates(v)
		width := e.width
		if depth == 0 {
			width *= 2 // what to do next matters most
		}
		for tried := 0; len(list) > 0 && tried < width && e.nodes < end; tried++ {
			at := pick(list)
			c := list[at]
			list = append(list[:at], list[at+1:]...)
			if better(c.lower, n.upper) {
				if cost := e.follow(depth, c.test, level-1, end-e.nodes); better(cost, n.upper) {
					n.upper, n.act = cost, int32(c.test)
				}
			}
		}
		if n.act != stop && e.nodes < end {
			n.upper = math.Min(n.upper, e.follow(depth, int(n.act), level, end-e.nodes))
		}
	}
	n.level = int8(level)
	e.memo[k] = n
	return n.upper
}

// solve searches between the bounds: depth first, the most promising test first, leaving out what cannot come under the cost to beat or under the
// best found here. The entry that it returns is exact unless its lower bound reached the cost to beat or the nodes ran out.
func (e *engine) solve(depth int, beat float64, limit int) entry {
	k := e.at()
	n, seen := e.memo[k]
	if seen && (n.exact() || !better(n.lower, beat)) {
		return n
	}
	if e.nodes >= limit {
		if !seen {
			n = entry{upper: e.base(depth, 0), act: stop}
		}
		return n
	}
	v := e.look(depth)
	if !seen {
		n = entry{lower: v.lower, upper: v.stop, act: stop}
	}
	n.lower = math.Max(n.lower, v.lower)
	if !better(v.lower, v.stop) {
		n.lower, n.upper, n.act = v.stop, v.stop, stop
	}
	if n.exact() || !better(n.lower, beat) {
		e.memo[k] = n
		return n
	}
	list := e.candidates(v)
	sortCandidates(list)
	lower := v.stop
	for _, c := range list {
		goal := math.Min(beat, n.upper)
		if !better(c.lower, goal) {
			lower = math.Min(lower, c.lower)
			continue
		}
		low, high := e.try(depth, c.test, goal, limit)
		low = math.Max(low, c.lower)
		lower = math.Min(lower, low)
		if better(high, n.upper) {
			n.upper, n.act = high, int32(c.test)
		}
	}
	n.lower = math.Max(n.lower, math.Min(lower, n.upper))
	if !better(n.lower, n.upper) {
		n.lower = n.upper
	}
	e.memo[k] = n
	return n
}

// try bounds the cost of doing a test and going on as well as can be.
func (e *engine) try(depth, number int, goal float64, limit int) (low, high float64) {
	v := e.view(depth)
	t := &e.tests[number]
	var few [8]entry
	parts := few[:0]
	low = float64(v.p * e.way(number))
	for o := range t.outcomes {
		if e.mass(v, t, o) <= 0 {
			parts = append(parts, entry{act: stop})
			continue
		}
		s := e.do(depth, number, o)
		part := e.glance(depth+1, limit)
		e.undo(number, s)
		parts = append(parts, part)
		low += part.lower
	}
	high = float64(v.p * e.way(number))
	for o := range t.outcomes {
		if better(low, goal) && !parts[o].exact() {
			s := e.do(depth, number, o)
			part := e.solve(depth+1, goal-(low-parts[o].lower), limit)
			e.undo(number, s)
			low += part.lower - parts[o].lower
			parts[o] = part
		}
		high += parts[o].upper
	}
	return low, high
}

// glance is the entry of a state, made by one look if there is none.
func (e *engine) glance(depth, limit int) entry {
	k := e.at()
	n, seen := e.memo[k]
	if seen {
		return n
	}
	if e.nodes >= limit {
		v := e.view(depth)
		e.weigh(v)
		return entry{upper: v.stop, act: stop}
	}
	v := e.look(depth)
	n = entry{lower: v.lower, upper: v.stop, act: stop}
	e.memo[k] = n
	return n
}

// sortCandidates puts the lowest bound first, then the best score, then the lower number.
func sortCandidates(list []candidate) {
	for i := 1; i < len(list); i++ {
		c := list[i]
		j := i
		for ; j > 0; j-- {
			o := list[j-1]
			if better(o.lower, c.lower) || !better(c.lower, o.lower) && o.score >= c.score*(1-slack) {
				break
			}
			list[j] = o
		}
		list[j] = c
	}
}

// polish solves the states that the plan passes through, from its ends backwards, each with part of the nodes.
func (e *engine) polish(depth, limit int) {
	k := e.at()
	n, seen := e.memo[k]
	if !seen || n.exact() || depth > 0 && n.act == stop && !better(n.lower, n.upper-e.grain) || e.nodes >= limit {
		return
	}
	if t := int(n.act); t != stop {
		e.weigh(e.view(depth))
		v := e.view(depth)
		for o := range e.tests[t].outcomes {
			mass := e.mass(v, &e.tests[t], o)
			if mass <= 0 {
				continue
			}
			part := e.nodes + int(float64(limit-e.nodes)*0.5*mass/v.p)
			s := e.do(depth, t, o)
			e.polish(depth+1, part)
			e.undo(t, s)
		}
	}
	e.solve(depth, math.Inf(1), limit)
}

// settle returns the test to do in a state. Where the entry is exact, it is the lowest number of those that cost no more.
func (e *engine) settle(depth int, known entry) int {
	if !known.exact() || e.nodes >= e.limit {
		return int(known.act)
	}
	even := known.upper + float64(slack*1e-1*math.Max(1, known.upper))
	v := e.look(depth)
	for _, c := range e.candidates(v) {
		if c.test >= int(known.act) {
			break
		}
		if c.lower > even {
			continue
		}
		if _, high := e.try(depth, c.test, even+float64(slack*math.Max(1, even)), e.limit); high <= even {
			return c.test
		}
	}
	return int(known.act)
}

// ahead raises the lower bound of a state by looking a number of tests ahead.
func (e *engine) ahead(depth, tests, limit int) float64 {
	k := e.at()
	n := e.glance(depth, limit)
	if tests == 0 || n.exact() || e.nodes >= limit {
		return n.lower
	}
	v := e.look(depth)
	lower := v.stop
	list := e.candidates(v)
	sortCandidates(list)
	for _, c := range list {
		if !better(c.lower, lower) {
			break
		}
		t := &e.tests[c.test]
		cost := float64(v.p * e.way(c.test))
		for o := range t.outcomes {
			if e.mass(v, t, o) > 0 {
				s := e.do(depth, c.test, o)
				cost += e.ahead(depth+1, tests-1, limit)
				e.undo(c.test, s)
			}
		}
		lower = math.Min(lower, math.Max(cost, c.lower))
	}
	n.lower = math.Max(n.lower, math.Min(lower, n.upper))
	e.memo[k] = n
	return n.lower
}
