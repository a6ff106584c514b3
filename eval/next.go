package eval

import (
	"context"
	"encoding/json"
	"math"
	"slices"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/eval/plan"
)

// The next test: the stories that are left become the classes of a plan, the tests that are left its tests.

const (
	defaultMinutes = 5.   // of a test whose duration is not stated
	defaultRegret  = 120. // minutes that a wrong remedy costs, if the sheet does not say
	mostClasses    = 40   // the least likely beyond are left out of a plan
)

// A Plan is what to test next, and what to do for each outcome, until a remedy is certain enough. Its costs are in minutes of work.
// Its JSON form has the tree with its numbers and reads back into a Plan; keep the words beside it, which are those of the verdict.
type Plan struct {
	*plan.Plan
	pass     PassVerdict
	classes  [][]int32 // sets of faults
	tests    []candidate
	remedies [][]string // titles of what cures a class, by the numbers of the plan
	fits     []int      // the stages of these
	price    float64
}

// UnmarshalJSON reads the JSON form of a plan.
func (x *Plan) UnmarshalJSON(text []byte) error {
	var in *plan.Plan
	if err := json.Unmarshal(text, &in); err != nil || in == nil {
		return err
	}
	*x = Plan{Plan: in}
	return nil
}

// candidate is a test of the plan.
type candidate struct {
	test     int                 // of the diagnosis table
	readings []diagnosis.Reading // one without checks if it tells nothing, and others wait for it
}

// Plan works out what to test next. It is nil without error if the sheet has no faults, or if no test that is left could tell the explanations
// apart. nodes bounds the effort, 0 stands for one of some 10 to 20 ms. The same verdict gives the same plan everywhere: ctx only stops the
// search. If it ends first there is no plan, and the error is that of ctx. To have the best plan of some time, ask again with more nodes each
// time and keep the last.
func (p PassVerdict) Plan(ctx context.Context, nodes int) (*Plan, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	out, problem := p.problem()
	if problem == nil {
		return nil, nil
	}
	var err error
	if out.Plan, err = problem.Best(ctx, plan.Options{Nodes: nodes}); err != nil {
		return nil, err
	}
	return out, nil
}

// problem is what there is to plan; nil if there is nothing.
func (p PassVerdict) problem() (*Plan, *plan.Problem) {
	p = p.there()
	out, problem := &Plan{pass: p}, &plan.Problem{}
	if !out.stories(problem) {
		return nil, nil
	}
	out.stagesOf(problem)
	out.testsOf(problem)
	if len(problem.Tests) == 0 {
		return nil, nil
	}
	return out, problem
}

// stories makes the classes: the stories, with and without what their faults may have led to, and while nothing is bad each fault that is not
// ruled out.
func (x *Plan) stories(problem *plan.Problem) bool {
	r, ev := x.pass.ranking()
	prog := x.pass.v.program
	if len(prog.faults) == 0 || len(r.Stories) == 0 {
		return false
	}
	type class struct {
		faults []int32
		weight float64
	}
	var classes []class
	for k := range r.Stories {
		for _, s := range prog.table.Sequels(ev, r, k) {
			if i := slices.IndexFunc(classes, func(c class) bool { return slices.Equal(c.faults, s.Faults) }); i < 0 {
				classes = append(classes, class{s.Faults, s.Share})
			}
		}
	}
	if len(r.Stories[0].Faults) == 0 {
		none := r.Stories[0].Share
		for f := range prog.faults {
			set := []int32{int32(f)}
			known := slices.ContainsFunc(classes, func(c class) bool { return slices.Equal(c.faults, set) })
			if p := r.Faults[f].Probability; !known && p > 0 && p < 1 && r.Faults[f].Status != diagnosis.RuledOut {
				classes = append(classes, class{set, none * p / (1 - p)})
			}
		}
	}
	slices.SortStableFunc(classes, func(a, b class) int { return likelierFirst(a.weight, b.weight) })
	regret, total := 0.0, 0.0
	for _, c := range classes[:min(len(classes), mostClasses)] {
		id, cost := x.remedy(c.faults)
		problem.Weights, problem.Remedies = append(problem.Weights, c.weight), append(problem.Remedies, id)
		problem.Fits = append(problem.Fits, x.fits[id])
		x.classes = append(x.classes, c.faults)
		regret, total = regret+c.weight*cost, total+c.weight
	}
	x.price = regret / total
	problem.Price = x.price
	return true
}

// remedy numbers what cures a set of faults, with the minutes that it costs if it is wrong.
func (x *Plan) remedy(faults []int32) (id int, regret float64) {
	e := x.pass.explainer()
	var titles []string
	fit := 0
	regret = defaultRegret
	for _, f := range faults {
		b := &x.pass.v.program.faults[f]
		title := "see to: " + b.f.title
		if b.remedy != nil {
			r := e.remedyOf(b)
			title = r.title
			if m := r.regret.SI() / 60; m > 0 {
				regret = m
			}
			fit = x.farther(fit, x.stage(r.stage))
		}
		if !slices.Contains(titles, title) {
			titles = append(titles, title)
		}
	}
	slices.Sort(titles)
	id = slices.IndexFunc(x.remedies, func(have []string) bool { return slices.Equal(have, titles) })
	if id < 0 {
		id = len(x.remedies)
		x.remedies, x.fits = append(x.remedies, titles), append(x.fits, fit)
	}
	return id, regret
}

// farther is that of two stages which takes more to get to.
func (x *Plan) farther(a, b int) int {
	way := func(s int) (sum float64) {
		for s > 0 {
			stage := x.stageList()[s-1]
			sum += minutes(stage.Takes)
			s = 0
			if stage.After != nil {
				s = x.stage(stage.After.Text)
			}
		}
		return sum
	}
	if way(b) > way(a) {
		return b
	}
	return a
}

// stagesOf lays out the stages of the unit. Stage 0 of the plan comes before the first of the sheet.
func (x *Plan) stagesOf(problem *plan.Problem) {
	problem.Stages = []plan.Stage{{}}
	for _, s := range x.stageList() {
		stage := plan.Stage{Enter: minutes(s.Takes), Back: math.Inf(1)}
		switch {
		case s.After == nil:
			stage.Back = 0
		case s.Back != nil:
			stage.Back = minutes(s.Back)
		}
		problem.Stages = append(problem.Stages, stage)
	}
	for i, s := range x.stageList() {
		if s.After != nil {
			problem.Stages[i+1].After = x.stage(s.After.Text)
		}
	}
	problem.Stage = x.stageNow()
}

// stageList holds the stages of the unit, those before others first.
func (x *Plan) stageList() []*dsl.Stage {
	return x.pass.v.program.m.stageOrder
}

func (x *Plan) stage(name string) int {
	return 1 + slices.IndexFunc(x.stageList(), func(s *dsl.Stage) bool { return s.Name.Text == name })
}

// stageNow is where the last reading left the unit.
func (x *Plan) stageNow() int {
	at, last := 0, -1
	if len(x.stageList()) > 0 {
		at = 1
	}
	for _, perf := range x.pass.v.perfs {
		if s := x.stage(perf.test.stage); perf.pass <= x.pass.i && perf.seq > last && perf.unit == "" && s > 0 {
			at, last = s, perf.seq
		}
	}
	return at
}

func minutes(q *dsl.Qty) float64 {
	if q == nil {
		return 0
	}
	v, err := q.Quantity()
	if err != nil {
		return 0
	}
	return v.SI() / 60
}

// testsOf adds the tests that were not made, that can be, and that tell the classes apart; and those that they need.
func (x *Plan) testsOf(problem *plan.Problem) {
	prog := x.pass.v.program
	at := make([]int, len(prog.table.Tests)) // place in the plan
	for i := range at {
		at[i] = -1
		if readings, p := x.predict(i); readings != nil {
			at[i] = x.add(problem, i, readings, p)
		}
	}
	for k := 0; k < len(x.tests); k++ { // gates add tests
		bt := &prog.tests[prog.led[x.tests[k].test]]
		for _, n := range bt.needs {
			if n.n.gate != nil {
				x.gate(problem, k, at, n.n.gate, bt.unit)
			}
		}
		t := &problem.Tests[k]
		for _, name := range bt.t.spoils {
			for other := range prog.tests {
				if o := &prog.tests[other]; o.unit == bt.unit && o.t.name == name && at[prog.testOf[other]] >= 0 && at[prog.testOf[other]] != k {
					t.Spoils = append(t.Spoils, at[prog.testOf[other]])
				}
			}
		}
		t.Barred = t.Barred || x.barred(bt)
	}
}

func (x *Plan) add(problem *plan.Problem, i int, readings []diagnosis.Reading, p [][]float64) int {
	x.tests = append(x.tests, candidate{i, readings})
	problem.Tests = append(problem.Tests, plan.Test{Minutes: x.minutes(i), Stage: x.stageOf(i), P: p})
	return len(x.tests) - 1
}

// predict tells how a test would come out under each class; nil if it was made or tells nothing.
func (x *Plan) predict(i int) ([]diagnosis.Reading, [][]float64) {
	prog, s := x.pass.v.program, x.pass.spelled()
	bt := &prog.tests[prog.led[i]]
	if bt.applies == canFalse {
		return nil, nil
	}
	for _, v := range prog.table.Tests[i].Values {
		for _, c := range v {
			if s.checks[c].spoke && prog.checks[c].test == prog.led[i] {
				return nil, nil
			}
		}
	}
	return prog.table.Predict(i, x.classes)
}

func (x *Plan) minutes(i int) float64 {
	prog := x.pass.v.program
	if m := prog.tests[prog.led[i]].t.takes.SI() / 60; m > 0 {
		return m
	}
	return defaultMinutes
}

func (x *Plan) stageOf(i int) int {
	prog := x.pass.v.program
	return max(0, x.stage(prog.tests[prog.led[i]].t.stage))
}

// gate adds a gate of a test: it is open or shut already, or another test of the plan opens it.
func (x *Plan) gate(problem *plan.Problem, test int, at []int, o *outcomeRef, unit int) {
	prog, s := x.pass.v.program, x.pass.spelled()
	for i := range prog.checks {
		k := &prog.checks[i]
		if !prog.refersTo(o, unit, k) || s.checks[i].result == NotApplicable {
			continue
		}
		mask := maskOf(o, k)
		if s.checks[i].spoke {
			problem.Tests[test].Barred = problem.Tests[test].Barred || s.checks[i].set&mask == 0
			continue
		}
		other := at[prog.testOf[k.test]]
		if other < 0 {
			if prog.tests[prog.led[prog.testOf[k.test]]].applies == canFalse {
				continue
			}
			// Whatever it shows, it tells nothing of the classes; but it takes its time.
			other = x.add(problem, int(prog.testOf[k.test]), []diagnosis.Reading{{}}, slices.Repeat([][]float64{{1}}, len(x.classes)))
			at[prog.testOf[k.test]] = other
		}
		need := plan.Need{Test: other}
		for r, reading := range x.tests[other].readings {
			j := slices.Index(reading.Checks, i)
			if j < 0 || reading.Outcomes[j] < 0 && mask&k.good != 0 || reading.Outcomes[j] >= 0 && mask&(1<<reading.Outcomes[j]) != 0 {
				need.Outcomes = append(need.Outcomes, r)
			}
		}
		t := &problem.Tests[test]
		if len(need.Outcomes) == 0 || other == test {
			t.Barred = t.Barred || len(need.Outcomes) == 0
			continue
		}
		t.Needs = append(t.Needs, need)
	}
}

// refersTo tells whether a reference names a check.
func (p *program) refersTo(o *outcomeRef, unit int, k *boundCheck) bool {
	bt := &p.tests[k.test]
	switch {
	case bt.t.name != o.test, o.unit == "" && bt.unit != unit, o.unit != "" && p.units[bt.unit].name != o.unit, k.c.kind == infoCheck:
		return false
	case o.value == "":
		return bt.t.pattern == nil || bt.t.pattern == k.c
	}
	return k.c.val != nil && k.c.val.name == o.value && (k.c.kind == alikeCheck) == o.alike
}

// maskOf gives the outcomes of a check that a reference names.
func maskOf(o *outcomeRef, k *boundCheck) uint32 {
	mask := k.all
	if o.words != nil {
		mask = 0
		for _, w := range o.words {
			if i := k.c.find(w); i >= 0 {
				mask |= 1 << i
			}
		}
	}
	if o.not {
		mask = k.all &^ mask
	}
	return mask
}

// barred tells whether the record says that a test cannot be made, or an earlier one spoils it.
func (x *Plan) barred(bt *boundTest) bool {
	v := x.pass.v
	unit := v.program.units[bt.unit].name
	return slices.ContainsFunc(v.skips, func(s skip) bool {
		return s.test == bt.t && s.unit == unit && s.pass <= x.pass.i && s.reason != "later"
	}) ||
		slices.ContainsFunc(v.perfs, func(q *performance) bool {
			return q.unit == unit && q.pass <= x.pass.i && slices.Contains(q.test.spoils, bt.t.name) &&
				!slices.ContainsFunc(v.works, func(w work) bool { return w.seq > q.seq })
		})
}
