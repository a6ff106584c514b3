package plan

import (
	"context"
	"math"
)

// Options of the search.
type Options struct {
	// Nodes bounds the beliefs that the search weighs, and with them its time and memory. 0 stands for a number that takes some 10 to 20 ms for
	// problems of any size. Each node takes some 100 bytes.
	Nodes int
}

// A Plan is a tree of tests that ends in remedies.
type Plan struct {
	Root *Node
	// Cost is the expected minutes with the price of errors, J: Minutes + RemedyOpening + Price·Error. With a price of +Inf it is +Inf where some error remains.
	Cost float64
	// Minutes are the expected minutes of testing and teardown.
	Minutes float64
	// RemedyOpening are the expected minutes of opening after the last test: for the remedy chosen, and where that is wrong for the right one.
	RemedyOpening float64
	// Error is the probability that the remedy chosen is wrong.
	Error float64
	// Bound is a cost that no plan can undercut.
	Bound float64
	// Exact says that no plan costs less: Bound equals Cost.
	Exact bool
	// Choices are the tests that could come next, the cheapest first, equal ones by their numbers.
	Choices []Choice
	// Nodes says how many beliefs the search weighed.
	Nodes int
}

// A Choice is a test that could come next, with the reason for or against it in numbers.
type Choice struct {
	Test     int
	Gain     float64 // what it tells about the class, bits; 0 for a test that only opens others
	Worth    float64 // what it tells about the remedy, bits
	Minutes  float64 // of the test
	Teardown float64 // minutes before it
	// Cost is that of the best plan found that starts with this test; +Inf if none was tried because others promised more.
	Cost float64
}

// A Node is one state of the search: the test to do there, or the remedy to choose.
type Node struct {
	Test        int     // Stop: choose the remedy
	Probability float64 // that the search comes here
	Minutes     float64 // of the test
	Teardown    float64 // minutes before the test, to bring the unit to its stage
	Ahead       float64 // expected minutes from here to the end, this test included
	Remedy      int     // the most probable remedy here
	Opening     float64 // minutes of opening that Remedy still needs, if one stopped here
	then        float64 // expected minutes of opening for the right remedy, where Remedy is wrong
	Error       float64 // probability that Remedy is wrong, if one stopped here
	Classes     []Share // classes that are left, in their order
	Branches    []Branch
}

// Stop in place of a test says that the search ends.
const Stop = -1

// A Share is the probability of one class.
type Share struct {
	Class       int
	Probability float64
}

// A Branch is one outcome of a test that can occur, and what to do then.
type Branch struct {
	Outcome     int
	Probability float64 // of the outcome, once the test is done
	Node        *Node
}

// Next returns the test to do next, or false if the search ends here.
func (p *Plan) Next() (Choice, bool) {
	for _, c := range p.Choices {
		if c.Test == p.Root.Test {
			return c, true
		}
	}
	return Choice{}, false
}

// Best returns the best plan that it finds. Errors say what is wrong with the problem. If ctx ends first there is no plan, and the error is that of
// ctx: what a clock has cut short would differ from run to run. To have the best plan of some time, ask again with more Options.Nodes each time and
// keep the last.
//
// It starts with the plan that always takes the largest gain per minute, tries other first tests at each of its states (rollout), and then searches
// between an upper and a lower bound until nothing is left or Options.Nodes beliefs are weighed.
func (p *Problem) Best(ctx context.Context, o Options) (*Plan, error) {
	e, err := begun(ctx, p, o)
	if err != nil {
		return nil, err
	}
	e.search()
	if e.nodes < spent {
		e.limit = 2 * e.nodes // for what settle does
	}
	return e.ended(p)
}

// begun is an engine with its limit set.
func begun(ctx context.Context, p *Problem, o Options) (*engine, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	e, err := newEngine(p)
	if err != nil {
		return nil, err
	}
	e.ctx = ctx
	e.limit = min(o.Nodes, mostNodes)
	if e.limit <= 0 {
		e.limit = e.usualNodes()
	}
	return e, nil
}

// ended is the plan that was found, if ctx left the time to find it.
func (e *engine) ended(p *Problem) (*Plan, error) {
	if e.nodes >= spent {
		return nil, e.ctx.Err()
	}
	plan := e.plan(p)
	if e.nodes >= spent {
		return nil, e.ctx.Err()
	}
	return plan, nil
}

// Greedy returns the plan that always takes the test with the largest gain, whatever it costs, and stops only where going on would cost more. It is
// there to compare with: on a published matrix it costs 31 % more than the best. The error is as of Best.
func (p *Problem) Greedy(ctx context.Context, o Options) (*Plan, error) {
	e, err := begun(ctx, p, o)
	if err != nil {
		return nil, err
	}
	e.greedy = true
	e.base(0, e.limit)
	e.limit = 0
	return e.ended(p)
}

// search fills the memo. Small problems end with the first try between the bounds; the rest is for those that do not.
func (e *engine) search() {
	root := e.look(0)
	e.grain = 2e-4 * math.Min(root.stop, e.all)
	limit := e.limit
	e.base(0, limit/4)
	e.width = 6
	e.roll(0, 2, limit*5/8-e.nodes)
	if e.polish(0, min(limit, e.nodes+limit/8)); e.memo[e.at()].exact() {
		return
	}
	for tests := 1; tests <= len(e.tests) && e.nodes < limit; tests++ {
		before := e.nodes
		if e.ahead(0, tests, min(limit, e.nodes+limit/16)); e.nodes-before > limit/32 {
			break
		}
	}
	e.width = 3
	e.roll(0, 3, (limit-e.nodes)/2)
	e.polish(0, limit)
}

// usualNodes is the default of Options.Nodes.
func (e *engine) usualNodes() int {
	cells := 300 + e.classes
	for i := range e.tests {
		cells += e.tests[i].outcomes * (e.classes + 8)
		for _, r := range e.tests[i].parting {
			cells += e.tests[i].outcomes * (len(e.members[r]) + 8)
		}
	}
	return min(max(int(1e7/float64(cells)), 200), 40_000)
}

// plan lays out the tree that the entries describe.
func (e *engine) plan(p *Problem) *Plan {
	bound := e.memo[e.at()].lower
	root := e.tree(0, 1)
	plan := &Plan{Root: root, Minutes: root.Ahead, Choices: e.choices(root), Nodes: e.nodes}
	plan.end(root)
	inside := plan.Minutes + plan.RemedyOpening + float64(e.price*plan.Error)
	plan.Exact = bound >= inside-slack*math.Max(1, inside)
	plan.Cost, plan.Bound = inside, math.Min(bound, inside)
	if math.IsInf(p.Price, 1) && plan.Error > 0 {
		plan.Cost = math.Inf(1)
		if plan.Exact {
			plan.Bound = plan.Cost
		}
	}
	return plan
}

func (e *engine) tree(depth int, probability float64) *Node {
	v := e.view(depth)
	e.weigh(v)
	n := &Node{Test: Stop, Probability: probability, Remedy: e.remedyNumber[v.best]}
	for i, b := range v.b {
		if b > 0 {
			n.Classes = append(n.Classes, Share{e.class[i], b / v.p})
		}
	}
	if v.live > 1 {
		n.Error = math.Max(0, 1-v.masses[v.best]/v.p)
	}
	if e.fitted {
		first, then := e.openingFor(v, e.fit[v.best])
		n.Opening, n.then = first, then/v.p
	}
	known, seen := e.memo[e.at()]
	if !seen || known.act == stop {
		return n
	}
	number := e.settle(depth, known)
	t := &e.tests[number]
	n.Test, n.Minutes, n.Teardown = number, t.minutes, e.travel[e.stage][t.stage]
	n.Ahead = n.Minutes + n.Teardown
	for o := range t.outcomes {
		mass := e.mass(v, t, o)
		if mass <= 0 {
			continue
		}
		share := math.Min(1, mass/v.p)
		s := e.do(depth, number, o)
		below := e.tree(depth+1, float64(probability*share))
		e.undo(number, s)
		n.Ahead += float64(share * below.Ahead)
		n.Branches = append(n.Branches, Branch{o, share, below})
	}
	return n
}

// choices lists what could come first, with the costs that the search met.
func (e *engine) choices(root *Node) []Choice {
	v := e.look(0)
	var list []Choice
	if v.live < 2 {
		return nil
	}
	for _, c := range e.candidates(v) {
		t := &e.tests[c.test]
		choice := Choice{c.test, v.gain[c.test], v.worth[c.test], t.minutes, e.travel[e.stage][t.stage], e.way(c.test)}
		for o := range t.outcomes {
			if e.mass(v, t, o) <= 0 {
				continue
			}
			s := e.do(0, c.test, o)
			n, seen := e.memo[e.at()]
			e.undo(c.test, s)
			if !seen {
				choice.Cost = math.Inf(1)
				break
			}
			choice.Cost += n.upper
		}
		list = append(list, choice)
		for at := len(list) - 1; at > 0; at-- {
			a, b := &list[at-1], &list[at]
			if b.Test != root.Test && (a.Test == root.Test || !better(b.Cost, a.Cost)) {
				break
			}
			*a, *b = *b, *a
		}
	}
	return list
}

// end sums up what is left where the search ends.
func (plan *Plan) end(n *Node) {
	if n.Test == Stop {
		plan.Error += float64(n.Probability * n.Error)
		plan.RemedyOpening += float64(n.Probability * (n.Opening + n.then))
	}
	for _, b := range n.Branches {
		plan.end(b.Node)
	}
}
