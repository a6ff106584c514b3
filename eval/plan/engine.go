package plan

import (
	"context"
	"math"
	"slices"
)

// An engine is a problem laid out for the search: classes of weight zero left out, remedies numbered without gaps, tables by outcome, ways between
// stages summed up. It also holds where the search stands: what was done, at which stage the unit is, and one view for each test done so far.
type engine struct {
	classes, remedies int
	class             []int // number of the class in the problem
	remedy            []int
	remedyNumber      []int   // number of the remedy in the problem
	fit               []int   // of each remedy: its stage
	fitted            bool    // some remedy needs opening
	shared            bool    // two classes share a remedy
	members           [][]int // of each remedy: its classes
	price             float64
	all               float64 // minutes of all tests and stages, each once
	tests             []test
	order             []int // tests, each after those that it needs
	gated             bool  // some test has needs or spoils another
	travel            [][]float64
	down              [][]arc     // from each stage as the root: the stages in an order from the root outwards
	opening           [][]float64 // from each stage: the minutes of opening that a remedy of another stage still needs
	inside            [][]bool    // [stage][other]: the other is reached through the stage, or is it
	lambda            []float64
	spare             [][]float64 // spare[k][m]: λ·log₂(1 + (m−1)·2^(−W/λ)) at λ = lambda[k]

	out     []int // of each test: undone, unclear, or its outcome
	spoiled []int // how many of the tests done spoil it
	stage   int
	key     key
	views   []*view

	classMark, stageMark []key

	memo   map[key]entry
	ctx    context.Context
	nodes  int // beliefs weighed so far; spent once ctx has ended
	limit  int
	width  int     // first tests that a rollout tries
	greedy bool    // the base plan takes the largest gain, not the largest per minute
	grain  float64 // a gap between bounds that is not worth following, for plans that need not be exact
}

type test struct {
	minutes  float64
	stage    int
	outcomes int
	p        []float64 // p[outcome*classes+class]
	h        []float64 // entropy of the outcome for each class, bits
	capacity float64
	parting  []int // the remedies of whose classes it tells some apart
	sharp    bool  // never errs: every probability is 0 or 1
	marked   bool  // its outcome is part of the key of a state
	needs    []Need
	spoils   []int
	barred   bool
	mark     []key
}

// An arc leads from a stage outwards.
type arc struct {
	stage, from int
	minutes     float64
	opens       bool // it leads farther into the unit, not back
}

const (
	undone  = -1
	unclear = -2
)

// Numbers of nodes that leave room to add and to multiply. Spent is above every limit, so that the search turns back everywhere.
const (
	mostNodes = math.MaxInt / 16
	spent     = math.MaxInt / 4
)

// A key names a state of the search: equal states have equal keys, and different ones differ but for a chance of 2⁻¹²⁸ for each pair.
type key struct{ a, b uint64 }

func (k key) with(o key) key { return key{k.a ^ o.a, k.b ^ o.b} }

// keys yields a fixed sequence of keys: the mixing function of Steele, Lea and Flood, Fast splittable pseudorandom number generators, OOPSLA 2014.
type keys uint64

func (s *keys) word() uint64 {
	*s += 0x9e3779b97f4a7c15
	z := uint64(*s)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

func (s *keys) next() key { return key{s.word(), s.word()} }

func newEngine(p *Problem) (*engine, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	order, err := p.order()
	if err != nil {
		return nil, err
	}
	e := &engine{order: order, stage: p.Stage, memo: map[key]entry{}, price: p.Price}
	sum := 0.0
	for _, w := range p.Weights {
		sum += w
	}
	var start []float64
	number := map[int]int{}
	for i, w := range p.Weights {
		w /= sum
		if w == 0 {
			continue
		}
		r, known := number[p.Remedies[i]]
		if known {
			e.shared = true
		} else {
			r = len(number)
			number[p.Remedies[i]] = r
			e.remedyNumber = append(e.remedyNumber, p.Remedies[i])
			fit := 0
			if p.Fits != nil {
				fit = p.Fits[i]
			}
			e.fit = append(e.fit, fit)
			e.fitted = e.fitted || fit != 0
		}
		e.class = append(e.class, i)
		e.remedy = append(e.remedy, r)
		start = append(start, w)
	}
	e.classes, e.remedies = len(e.class), len(number)
	e.members = make([][]int, e.remedies)
	for c, r := range e.remedy {
		e.members[r] = append(e.members[r], c)
	}
	seed := new(keys)
	e.setStages(p, seed)
	e.setTests(p, seed)
	for i := range e.tests {
		e.all += e.tests[i].minutes
	}
	for i := 1; i < len(p.Stages); i++ {
		e.all += p.Stages[i].Enter
		if p.Stages[i].Back >= 0 && !math.IsInf(p.Stages[i].Back, 0) {
			e.all += p.Stages[i].Back
		}
	}
	if math.IsInf(e.price, 1) {
		// Large enough that a millionth of error outweighs all that can be done, small enough that minutes are not lost in rounding.
		e.price = 1e6 * math.Max(e.all, 1e-9)
	}
	e.setLambdas()
	v := e.view(0)
	copy(v.b, start)
	return e, nil
}

func (e *engine) setStages(p *Problem, seed *keys) {
	count := max(len(p.Stages), 1)
	e.travel = make([][]float64, count)
	e.down = make([][]arc, count)
	back := func(s int) float64 {
		if b := p.Stages[s].Back; b >= 0 {
			return b
		}
		return math.Inf(1)
	}
	for root := range e.travel {
		e.travel[root] = make([]float64, count)
		reached := make([]bool, count)
		reached[root] = true
		queue := []int{root}
		for at := 0; at < len(queue); at++ {
			from := queue[at]
			visit := func(s int, minutes float64, opens bool) {
				if reached[s] {
					return
				}
				reached[s] = true
				queue = append(queue, s)
				e.travel[root][s] = e.travel[root][from] + minutes
				e.down[root] = append(e.down[root], arc{s, from, minutes, opens})
			}
			for s := 1; s < count; s++ {
				if p.Stages[s].After == from {
					visit(s, p.Stages[s].Enter, true)
				}
			}
			if from > 0 {
				visit(p.Stages[from].After, back(from), false)
			}
		}
	}
	e.opening, e.inside = make([][]float64, count), make([][]bool, count)
	for s := range count {
		e.inside[s] = make([]bool, count)
		for other := range count {
			at := other
			for at != s && at != 0 {
				at = p.Stages[at].After
			}
			e.inside[s][other] = at == s
		}
	}
	for from := range count {
		e.opening[from] = make([]float64, count)
		for to := range count {
			for at := to; !e.inside[at][from]; at = p.Stages[at].After {
				e.opening[from][to] += p.Stages[at].Enter
			}
		}
	}
	for range count {
		e.stageMark = append(e.stageMark, seed.next())
	}
}

func (e *engine) setTests(p *Problem, seed *keys) {
	n := e.classes
	e.classMark = make([]key, n)
	for i := range e.classMark {
		e.classMark[i] = seed.next()
	}
	e.tests = make([]test, len(p.Tests))
	e.out = make([]int, len(p.Tests))
	e.spoiled = make([]int, len(p.Tests))
	for i := range p.Tests {
		in, t := &p.Tests[i], &e.tests[i]
		t.minutes, t.stage, t.outcomes = in.Minutes, in.Stage, len(in.P[0])
		t.needs, t.spoils, t.barred = in.Needs, in.Spoils, in.Barred
		t.p = make([]float64, t.outcomes*n)
		t.h = make([]float64, n)
		t.sharp = true
		rows := make([][]float64, n)
		for c, number := range e.class {
			row := in.P[number]
			rows[c] = row
			t.h[c] = Entropy(row)
			sum := 0.0
			for _, v := range row {
				sum += v
			}
			for o, v := range row {
				t.p[o*n+c] = v / sum
				t.sharp = t.sharp && (v == 0 || v == 1)
			}
		}
		for r, members := range e.members {
			if slices.ContainsFunc(members, func(c int) bool { return !slices.Equal(rows[c], rows[members[0]]) }) {
				t.parting = append(t.parting, r)
			}
		}
		if !in.Done && !in.Barred {
			if t.capacity = Capacity(rows); t.capacity <= silent {
				t.capacity = 0
			}
		}
		t.marked = t.marked || !t.sharp || len(in.Spoils) > 0
		e.gated = e.gated || len(in.Spoils) > 0 || len(in.Needs) > 0
		for _, need := range in.Needs {
			e.tests[need.Test].marked = true
		}
		t.mark = make([]key, t.outcomes)
		for o := range t.mark {
			t.mark[o] = seed.next()
		}
		e.out[i] = undone
	}
	for i := range p.Tests {
		if !p.Tests[i].Done {
			continue
		}
		e.out[i] = unclear
		if p.Tests[i].Outcome >= 0 {
			e.out[i] = p.Tests[i].Outcome
		}
		for _, s := range p.Tests[i].Spoils {
			e.spoiled[s]++
		}
	}
}

// setLambdas lays a grid over the minutes that a bit may cost, for the bound.
func (e *engine) setLambdas() {
	low, high := math.Inf(1), 0.0
	for i := range e.tests {
		t := &e.tests[i]
		if t.capacity <= 0 {
			continue
		}
		far := 0.0
		for _, minutes := range e.travel[e.stage] {
			if !math.IsInf(minutes, 1) {
				far = math.Max(far, minutes)
			}
		}
		low = math.Min(low, t.minutes/t.capacity)
		high = math.Max(high, (t.minutes+far)/t.capacity)
	}
	if math.IsInf(low, 1) {
		return
	}
	low = math.Max(low, 1e-3*high) / 2
	high = math.Max(4*high, low)
	const points = 24
	ratio := math.Pow(high/low, 1.0/(points-1))
	if !(low > 0) {
		return // every test is free
	}
	for k, l := 0, low; k < points; k, l = k+1, l*ratio {
		e.lambda = append(e.lambda, l)
		row := make([]float64, e.remedies+1)
		for m := 2; m <= e.remedies; m++ {
			row[m] = l * log2(1+float64(float64(m-1)*math.Exp2(-e.price/l)))
		}
		e.spare = append(e.spare, row)
	}
}

// view returns the view at a depth of the search, made on first use.
func (e *engine) view(depth int) *view {
	for len(e.views) <= depth {
		e.views = append(e.views, &view{
			b:       make([]float64, e.classes),
			masses:  make([]float64, e.remedies),
			gain:    make([]float64, len(e.tests)),
			worth:   make([]float64, len(e.tests)),
			share:   make([]float64, len(e.tests)),
			state:   make([]state, len(e.tests)),
			within:  make([]float64, levels*len(e.travel)),
			fitted:  make([]float64, len(e.travel)),
			carried: make([]float64, len(e.travel)),
			needs:   make([]float64, len(e.travel)),
			free:    make([]int, len(e.travel)),
			ways:    make([]float64, len(e.travel)),
		})
	}
	return e.views[depth]
}

// A step is what undo needs to take a test back.
type step struct {
	stage int
	key   key
}

// do takes the search one test on, with one outcome: the view below gets the belief after it. Weights are not rescaled: they sum to the probability
// of the path.
func (e *engine) do(depth, number, outcome int) step {
	t := &e.tests[number]
	s := step{e.stage, e.key}
	from, to := e.view(depth).b, e.view(depth+1).b
	row := t.p[outcome*e.classes : (outcome+1)*e.classes]
	for i, b := range from {
		x := b * row[i]
		to[i] = x
		if x == 0 && b > 0 {
			e.key = e.key.with(e.classMark[i])
		}
	}
	if t.marked {
		e.key = e.key.with(t.mark[outcome])
	}
	e.out[number] = outcome
	for _, other := range t.spoils {
		e.spoiled[other]++
	}
	e.stage = t.stage
	return s
}

func (e *engine) undo(number int, s step) {
	for _, other := range e.tests[number].spoils {
		e.spoiled[other]--
	}
	e.out[number] = undone
	e.stage, e.key = s.stage, s.key
}

// at is the key of the present state.
func (e *engine) at() key { return e.key.with(e.stageMark[e.stage]) }

// way is what a test takes from where the unit stands, with the teardown; +Inf where there is no way back.
func (e *engine) way(number int) float64 {
	return e.travel[e.stage][e.tests[number].stage] + e.tests[number].minutes
}

// met says whether the needs of a test are met now, and whether they can still be.
func (e *engine) met(number int, can []state) state {
	result := open
	for _, n := range e.tests[number].needs {
		switch o := e.out[n.Test]; {
		case o == undone:
			if can[n.Test] == gone {
				return gone
			}
			result = closed
		case len(n.Outcomes) > 0 && !slices.Contains(n.Outcomes, o):
			return gone
		}
	}
	return result
}
