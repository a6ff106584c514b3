package eval

import (
	"context"
	"math"

	"github.com/brushgear/brushgear/eval/plan"
)

// What tests need to draw units from the knowledge of a sheet: the table of faults by its names.

// A KnownFault is one fault of a unit at its position.
type KnownFault struct {
	Name, Unit string
	Prior      float64
	Shows      []KnownShow
	Leads      []KnownLead
	Remedy     string
	Regret     float64 // minutes that its remedy costs if it is wrong
}

// A KnownShow is what a fault does at one of some checks.
type KnownShow struct {
	Checks   []string
	Outcomes []string
	Strength float64
	Any      bool
	Follows  bool // the sheet does not say so itself: the test echoes another
}

// A KnownLead is a fault that another one causes.
type KnownLead struct {
	To       string
	Strength float64
}

// A KnownTest is a test with the checks that speak of faults, those of one value together.
type KnownTest struct {
	Name, Echoes string
	Minutes      float64
	Stage        int
	Applies      bool
	Values       [][]KnownCheck
}

// A KnownCheck is a check with the outcomes that a unit without a fault shows.
type KnownCheck struct {
	Name          string
	Usual, Passes []string
}

// KnownFaults lists the faults that a unit can have.
func (p PassVerdict) KnownFaults() []KnownFault {
	prog := p.v.program
	var list []KnownFault
	x := &Plan{pass: p}
	for i, row := range prog.table.Faults {
		if row.Prior < 0 {
			continue
		}
		bf := &prog.faults[i]
		k := KnownFault{Name: Fault{p, i}.Name(), Unit: prog.units[bf.unit].name, Prior: row.Prior}
		own := map[*test]bool{} // tests that the fault names itself
		for _, s := range bf.f.shows {
			for t := range prog.tests {
				own[prog.tests[t].t] = own[prog.tests[t].t] || prog.tests[t].unit == bf.unit && prog.tests[t].t.name == s.ref.test
			}
		}
		for _, s := range row.Shows {
			show := KnownShow{Strength: s.Strength, Any: s.Any}
			if s.Never {
				continue
			}
			for _, c := range s.Checks {
				show.Checks = append(show.Checks, Check{p, int32(c)}.Name())
				show.Follows = !own[prog.tests[prog.checks[c].test].t]
			}
			c := &prog.checks[s.Checks[0]]
			for o := range c.results {
				if s.Outcomes&(1<<o) != 0 || s.Any {
					show.Outcomes = append(show.Outcomes, c.c.outcomes[o].word)
				}
			}
			k.Shows = append(k.Shows, show)
		}
		for _, l := range row.Leads {
			k.Leads = append(k.Leads, KnownLead{Fault{p, l.To}.Name(), l.Strength})
		}
		id, regret := x.remedy([]int32{int32(i)})
		k.Remedy, k.Regret = x.remedies[id][0], regret
		list = append(list, k)
	}
	return list
}

// KnownTests lists the tests of the unit in sheet order.
func (p PassVerdict) KnownTests() []KnownTest {
	prog := p.v.program
	x := &Plan{pass: p}
	var list []KnownTest
	for _, t := range prog.order {
		bt := &prog.tests[t]
		row := int(prog.testOf[t])
		k := KnownTest{Name: prog.testName(t), Minutes: bt.t.takes.SI() / 60, Stage: max(0, x.stage(bt.t.stage)), Applies: bt.applies != canFalse}
		if k.Minutes <= 0 {
			k.Minutes = defaultMinutes
		}
		if bt.t.echoes != nil {
			k.Echoes = prog.testName(prog.led[row])
		}
		for _, v := range prog.table.Tests[row].Values {
			var value []KnownCheck
			for _, c := range v {
				b := &prog.checks[c]
				if b.test != t {
					continue
				}
				check := KnownCheck{Name: b.label}
				for o, r := range b.results {
					word := b.c.outcomes[o].word
					if prog.table.Usual[c]&(1<<o) != 0 && r != NotValid {
						check.Usual = append(check.Usual, word)
					}
					if r == Pass {
						check.Passes = append(check.Passes, word)
					}
				}
				value = append(value, check)
			}
			if value != nil {
				k.Values = append(k.Values, value)
			}
		}
		list = append(list, k)
	}
	return list
}

// Teardown gives the minutes from one stage of the unit to another, by their numbers in KnownTests.
func (p PassVerdict) Teardown(from, to int) float64 {
	problem := &plan.Problem{}
	(&Plan{pass: p}).stagesOf(problem)
	up := map[int]float64{} // minutes back from where the unit is
	sum := 0.
	for s := from; ; s = problem.Stages[s].After {
		up[s] = sum
		if s == 0 {
			break
		}
		sum += problem.Stages[s].Back
	}
	down := 0.
	for s := to; ; s = problem.Stages[s].After {
		if back, ok := up[s]; ok {
			return back + down
		}
		down += problem.Stages[s].Enter
		if s == 0 {
			return math.Inf(1)
		}
	}
}

// Opening gives the minutes of opening that are left from one stage to another.
func (p PassVerdict) Opening(from, to int) float64 {
	problem := &plan.Problem{}
	(&Plan{pass: p}).stagesOf(problem)
	passed := map[int]bool{0: true}
	for s := from; s != 0; s = problem.Stages[s].After {
		passed[s] = true
	}
	sum := 0.
	for s := to; !passed[s]; s = problem.Stages[s].After {
		sum += problem.Stages[s].Enter
	}
	return sum
}

// Next names the test to make next, empty to stop; with the largest gain first instead of the best plan, if greedy.
func (p PassVerdict) Next(greedy bool) (string, error) {
	var failed error
	x := p.explainer()
	e := x.nextBy(func() (*Plan, error) {
		out, problem := p.problem()
		if problem == nil {
			return nil, nil
		}
		if greedy {
			out.Plan, failed = problem.Greedy(context.Background(), plan.Options{})
		} else {
			out.Plan, failed = problem.Best(context.Background(), plan.Options{})
		}
		return out, failed
	})
	if e == nil {
		return "", failed
	}
	return e.Test, failed
}

// Remedies gives the remedies of the explanations with the share of each, by what is done for it, and its stage; none is "".
func (p PassVerdict) Remedies() (shares map[string]float64, stages map[string]int) {
	x := &Plan{pass: p}
	shares, stages = map[string]float64{}, map[string]int{}
	problem := &plan.Problem{}
	x.stories(problem)
	for i, id := range problem.Remedies {
		key := ""
		for _, title := range x.remedies[id] {
			key += "; " + title
		}
		shares[key] += problem.Weights[i]
		stages[key] = x.fits[id]
	}
	return shares, stages
}

// RemedyOf says what is to be done for a set of faults, by the names, in the words of Remedies, at which stage, and what it costs if it is wrong.
func (p PassVerdict) RemedyOf(names []string) (key string, stage int, regret float64) {
	x := &Plan{pass: p}
	var set []int32
	for i := range p.v.program.faults {
		for _, n := range names {
			if (Fault{p, i}).Name() == n {
				set = append(set, int32(i))
			}
		}
	}
	id, regret := x.remedy(set)
	for _, title := range x.remedies[id] {
		key += "; " + title
	}
	return key, x.fits[id], regret
}

// FaultExplanations explains the faults alone.
func (p PassVerdict) FaultExplanations() []FaultExplanation {
	x := p.explainer()
	return x.faults()
}
