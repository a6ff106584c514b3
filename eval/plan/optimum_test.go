package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// A pair is a cost for problems in which error is not allowed: error first, minutes second.
type pair struct{ wrong, minutes float64 }

// optimum computes the least cost by trying every test in every state, without bounds, from the definition in doc.go. States are told apart by their
// outcomes and the stage.
type optimum struct {
	p    *Problem
	out  []int
	memo map[string]pair
}

func bruteForce(p *Problem) pair {
	o := &optimum{p: p, memo: map[string]pair{}}
	b := slices.Clone(p.Weights)
	sum := 0.0
	for _, w := range b {
		sum += w
	}
	for i := range b {
		b[i] /= sum
	}
	for _, t := range p.Tests {
		switch {
		case !t.Done:
			o.out = append(o.out, undone)
		case t.Outcome < 0:
			o.out = append(o.out, unclear)
		default:
			o.out = append(o.out, t.Outcome)
		}
	}
	return o.cost(b, p.Stage)
}

func (o *optimum) less(a, b pair) bool {
	if math.IsInf(o.p.Price, 1) {
		if math.Abs(a.wrong-b.wrong) > 1e-12 {
			return a.wrong < b.wrong
		}
		return a.minutes < b.minutes
	}
	return o.total(a) < o.total(b)
}

func (o *optimum) total(a pair) float64 { return a.minutes + o.p.Price*a.wrong }

func (o *optimum) cost(b []float64, stage int) pair {
	k := fmt.Sprint(o.out, stage)
	if c, seen := o.memo[k]; seen {
		return c
	}
	cures := map[int]float64{}
	for i, w := range b {
		cures[o.p.Remedies[i]] += w
	}
	best := pair{wrong: math.Inf(1)}
	for remedy, m := range cures {
		if m == 0 {
			continue
		}
		if stopped := o.stop(b, stage, remedy, m); o.less(stopped, best) {
			best = stopped
		}
	}
	for i := range o.p.Tests {
		t := &o.p.Tests[i]
		way := o.way(stage, t.Stage)
		if !o.can(i) || math.IsInf(way, 1) {
			continue
		}
		c := pair{minutes: t.Minutes + way}
		for outcome := range t.P[0] {
			after := make([]float64, len(b))
			mass := 0.0
			for j, w := range b {
				after[j] = w * t.P[j][outcome]
				mass += after[j]
			}
			if mass == 0 {
				continue
			}
			for j := range after {
				after[j] /= mass
			}
			o.out[i] = outcome
			next := o.cost(after, t.Stage)
			o.out[i] = undone
			c.wrong += mass * next.wrong
			c.minutes += mass * next.minutes
		}
		if o.less(c, best) {
			best = c
		}
	}
	o.memo[k] = best
	return best
}

// stop is the cost of choosing a remedy: the unit is opened for it, and, if it is wrong, for the right one after it.
func (o *optimum) stop(b []float64, stage, remedy int, mass float64) pair {
	sum := 0.0
	for _, w := range b {
		sum += w
	}
	c := pair{wrong: max(0, 1-mass/sum)}
	chosen := slices.Index(o.p.Remedies, remedy)
	first := o.opening(stage, chosen)
	c.minutes = first
	if first > 0 {
		stage = o.p.Fits[chosen]
	}
	for i, w := range b {
		if o.p.Remedies[i] != remedy {
			c.minutes += w / sum * o.opening(stage, i)
		}
	}
	return c
}

// opening is what the remedy of a class still needs: the stages on the way to its own that the unit has not passed.
func (o *optimum) opening(stage, class int) float64 {
	if o.p.Fits == nil {
		return 0
	}
	var passed []int
	for s := stage; s != 0; s = o.p.Stages[s].After {
		passed = append(passed, s)
	}
	sum := 0.0
	for s := o.p.Fits[class]; s != 0 && !slices.Contains(passed, s); s = o.p.Stages[s].After {
		sum += o.p.Stages[s].Enter
	}
	return sum
}

func (o *optimum) can(i int) bool {
	if o.out[i] != undone || o.p.Tests[i].Barred {
		return false
	}
	for j, t := range o.p.Tests {
		if o.out[j] != undone && slices.Contains(t.Spoils, i) {
			return false
		}
	}
	for _, n := range o.p.Tests[i].Needs {
		if o.out[n.Test] == undone || len(n.Outcomes) > 0 && !slices.Contains(n.Outcomes, o.out[n.Test]) {
			return false
		}
	}
	return true
}

// way climbs from a stage to one that leads to the other, and goes down.
func (o *optimum) way(from, to int) float64 {
	path := func(s int) []int {
		list := []int{s}
		for s != 0 {
			s = o.p.Stages[s].After
			list = append(list, s)
		}
		return list
	}
	up, down := path(from), path(to)
	sum := 0.0
	for _, s := range up {
		at := slices.Index(down, s)
		if at < 0 {
			if back := o.p.Stages[s].Back; back >= 0 {
				sum += back
			} else {
				return math.Inf(1)
			}
			continue
		}
		for _, d := range down[:at] {
			sum += o.p.Stages[d].Enter
		}
		break
	}
	return sum
}

// judge checks that a plan is what it says: its tree can be done in this order, and costs what it claims.
func judge(t *testing.T, p *Problem, plan *Plan) {
	t.Helper()
	o := &optimum{p: p}
	for _, x := range p.Tests {
		switch {
		case !x.Done:
			o.out = append(o.out, undone)
		case x.Outcome < 0:
			o.out = append(o.out, unclear)
		default:
			o.out = append(o.out, x.Outcome)
		}
	}
	sum := 0.0
	for _, w := range p.Weights {
		sum += w
	}
	minutes, wrong, opening := 0.0, 0.0, 0.0
	var walk func(n *Node, b []float64, stage int)
	walk = func(n *Node, b []float64, stage int) {
		mass, cured := 0.0, 0.0
		for i, w := range b {
			mass += w
			if p.Remedies[i] == n.Remedy {
				cured += w
			}
		}
		require.InDelta(t, n.Probability, mass, 1e-9)
		if n.Test == Stop {
			require.Empty(t, n.Branches)
			wrong += mass - cured
			opening += mass * o.stop(b, stage, n.Remedy, cured).minutes
			return
		}
		x := &p.Tests[n.Test]
		require.True(t, o.can(n.Test), "test %d cannot be done here", n.Test)
		minutes += mass * (x.Minutes + o.way(stage, x.Stage))
		seen := 0
		for outcome := range x.P[0] {
			after := make([]float64, len(b))
			possible := 0.0
			for j, w := range b {
				after[j] = w * x.P[j][outcome]
				possible += after[j]
			}
			if possible == 0 {
				continue
			}
			require.Equal(t, outcome, n.Branches[seen].Outcome)
			o.out[n.Test] = outcome
			walk(n.Branches[seen].Node, after, x.Stage)
			o.out[n.Test] = undone
			seen++
		}
		require.Len(t, n.Branches, seen)
	}
	b := slices.Clone(p.Weights)
	for i := range b {
		b[i] /= sum
	}
	walk(plan.Root, b, p.Stage)
	require.InDelta(t, minutes, plan.Minutes, 1e-9*(1+minutes))
	require.InDelta(t, wrong, plan.Error, 1e-9)
	require.InDelta(t, opening, plan.RemedyOpening, 1e-9*(1+opening))
	if !math.IsInf(p.Price, 1) {
		require.InDelta(t, minutes+opening+p.Price*wrong, plan.Cost, 1e-9*(1+plan.Cost))
	}
}

// On random matrices with costs, stages, needs and spoiled tests the plan costs what trying everything costs.
func TestOptimum(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for i := range 1500 {
		s := shape{classes: 2 + r.IntN(4), tests: 1 + r.IntN(5), sharp: r.IntN(2) == 0, rules: r.IntN(2) == 0, open: r.IntN(2) == 0,
			shared: r.IntN(2) == 0, fitted: r.IntN(2) == 0}
		s.strict = s.sharp && r.IntN(3) == 0
		if i%50 == 0 {
			s.classes, s.tests = 8, 8
		}
		p := randomProblem(r, s)
		compareWithBruteForce(t, p, s)
	}
}

func compareWithBruteForce(t *testing.T, p *Problem, s shape) {
	t.Helper()
	best := bruteForce(p)
	plan, err := p.Best(t.Context(), Options{Nodes: 1 << 20})
	require.NoError(t, err)
	judge(t, p, plan)
	require.True(t, plan.Exact, "%+v cost %v bound %v nodes %d best %v", s, plan.Cost, plan.Bound, plan.Nodes, best)
	if s.strict {
		require.InDelta(t, best.wrong, plan.Error, 1e-9, "%+v", s)
		require.InDelta(t, best.minutes, plan.Minutes+plan.RemedyOpening, 1e-9*(1+best.minutes), "%+v", s)
		return
	}
	cost := best.minutes + p.Price*best.wrong
	require.InDelta(t, cost, plan.Cost, 1e-9*(1+cost), "%+v", s)

	// With next to no effort there is still a plan, and the bounds still hold.
	for _, nodes := range []int{1, 3, 20} {
		hasty, err := p.Best(t.Context(), Options{Nodes: nodes})
		require.NoError(t, err)
		judge(t, p, hasty)
		require.LessOrEqual(t, hasty.Bound, cost+1e-9*(1+cost), "%+v", s)
		require.GreaterOrEqual(t, hasty.Cost, cost-1e-9*(1+cost), "%+v", s)
	}
}
