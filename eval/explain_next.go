package eval

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/eval/plan"
)

// The next test in words.

// next says what to do next: repeat a reading that is at odds, make the test that the plan begins with, or stop and do what the readings call for.
func (x *explainer) next() *NextExplanation {
	return x.nextBy(func() (*Plan, error) { return x.p.Plan(context.Background(), 0) })
}

func (x *explainer) nextBy(planned func() (*Plan, error)) *NextExplanation {
	r, _ := x.p.ranking()
	if r.AtOdds >= 0 && r.Slip > diagnosis.Misread {
		bt := &x.v.program.tests[x.v.program.led[r.AtOdds]]
		return &NextExplanation{Test: x.name(bt), Title: bt.t.title, Repeat: true, Cautions: cautions(x.v.program.units[bt.unit].m, bt.t),
			Because: []string{"its reading is more likely a slip than not: misread, or taken at the wrong place"}}
	}
	if e := x.disagreeing(); e != nil {
		return e
	}
	if e := x.retest(); e != nil {
		return e
	}
	if e := x.waiting(); e != nil {
		return e
	}
	pl, err := planned()
	if pl == nil || err != nil {
		return x.settled()
	}
	choice, more := pl.Next()
	if !more {
		return x.settled()
	}
	bt := &x.v.program.tests[x.v.program.led[pl.tests[choice.Test].test]]
	e := &NextExplanation{
		Test: x.name(bt), Title: bt.t.title, Cautions: cautions(x.v.program.units[bt.unit].m, bt.t), Steps: slices.Clone(bt.t.steps),
		Minutes: wholeMinutes(choice.Minutes),
	}
	if choice.Teardown > 0 {
		e.Teardown = wholeMinutes(choice.Teardown)
		if s := x.v.program.m.stages[bt.t.stage]; s != nil {
			e.Stage = s.Title.String()
		}
	}
	e.Because = pl.because(choice.Test)
	end := "to the remedy on average, a wrong one reckoned in"
	if x.sound() {
		end = "on average until no test is worth its time, a wrong remedy reckoned in"
	}
	e.Plan = fmt.Sprintf("about %s %s", wholeMinutes(pl.Cost), end)
	if !pl.Exact {
		e.Plan = fmt.Sprintf("best plan found %s %s; no plan can be under %s", wholeMinutes(pl.Cost), end, wholeMinutes(math.Floor(pl.Bound)))
	}
	return e
}

// sound tells whether the likeliest story is that there is no fault: then the plan leads to no remedy, as far as is known.
func (x *explainer) sound() bool {
	stories := x.stories()
	return len(stories) > 0 && len(stories[0].Faults) == 0
}

// disagreeing names a test whose readings disagree: until it is made again they say nothing.
func (x *explainer) disagreeing() *NextExplanation {
	for c := range x.s.checks {
		bt := &x.v.program.tests[x.v.program.checks[c].test]
		if s := &x.s.checks[c]; s.atOdds && !(&Plan{pass: x.p}).barred(bt) {
			e := x.step(bt, x.wanting(s, ""))
			e.Repeat = true
			return e
		}
	}
	return nil
}

// retest names the first test that work asks to be repeated, in a pass as left: all work is done then.
func (x *explainer) retest() *NextExplanation {
	if x.s.pass.Stage != AsLeft {
		return nil
	}
	for _, o := range x.v.owed(x.p.i) {
		if bt := &x.v.program.tests[o.test]; !(&Plan{pass: x.p}).barred(bt) {
			return x.step(bt, "to be made again after: "+inside(o.remedy.title))
		}
	}
	return nil
}

// because says what each outcome of the first test would point to. Outcomes that point to the same are told once.
func (x *Plan) because(test int) []string {
	if len(x.tests[test].readings) == 1 {
		return []string{"other tests count only once this is known"}
	}
	type pointer struct {
		label, to string
		alike     int
	}
	var list []pointer
	for _, b := range x.Root.Branches {
		if b.Probability <= .005 {
			continue
		}
		to := x.leading(b.Node)
		if i := slices.IndexFunc(list, func(p pointer) bool { return p.to == to }); i >= 0 {
			list[i].alike++
			continue
		}
		list = append(list, pointer{label: x.label(test, b.Outcome), to: to})
	}
	var because []string
	for _, p := range list {
		if p.alike > 0 {
			p.label += fmt.Sprintf(", or %d more like it", p.alike)
		}
		because = append(because, p.label+": "+p.to)
	}
	return because
}

// waiting names a test that readings wait for: they count only once its gate is decided.
func (x *explainer) waiting() *NextExplanation {
	prog := x.v.program
	for i := range prog.tests {
		bt := &prog.tests[i]
		if bt.checkFrom == bt.checkTo || x.s.checks[bt.checkFrom].cause != causeGateOpen {
			continue
		}
		gate := bt.needs[x.s.checks[bt.checkFrom].arg].n.gate
		for c := range prog.checks {
			k := &prog.checks[c]
			other := &prog.tests[k.test]
			if !prog.refersTo(gate, bt.unit, k) || x.s.checks[c].result != NotTested || other.applies == canFalse || (&Plan{pass: x.p}).barred(other) {
				continue
			}
			return x.step(other, bt.t.title+" counts only once this is known")
		}
	}
	return nil
}

// settled says what is left to do when no test is worth its time to tell faults apart: what the remedy waits for, a reading to take again, or what the
// release needs.
func (x *explainer) settled() *NextExplanation {
	if e := x.awaited(); e != nil {
		return e
	}
	if e := x.doubted(); e != nil {
		return e
	}
	return x.released()
}

// awaited names a test that decides whether the remedy of the best story can be carried out.
func (x *explainer) awaited() *NextExplanation {
	r, _ := x.p.ranking()
	if len(r.Stories) == 0 {
		return nil
	}
	prog := x.v.program
	for _, f := range r.Stories[0].Faults {
		b := &prog.faults[f]
		if b.remedy == nil {
			continue
		}
		rem := x.remedyOf(b)
		if x.p.allows(b.unit, rem.name) != either {
			continue
		}
		for c := range prog.checks {
			k := &prog.checks[c]
			bt := &prog.tests[k.test]
			if !prog.asks(rem, b.unit, k) || x.s.checks[c].result != NotTested || bt.applies == canFalse || (&Plan{pass: x.p}).barred(bt) {
				continue
			}
			return x.step(bt, fmt.Sprintf("%s waits for it", rem.title))
		}
	}
	return nil
}

// doubted names a test to make again: it failed, and no fault on the sheet goes with that and the other readings.
func (x *explainer) doubted() *NextExplanation {
	r, ev := x.p.ranking()
	if len(r.Stories) == 0 || len(r.Stories[0].Faults) > 0 {
		return nil
	}
	prog := x.v.program
	for c := range x.s.checks {
		at := prog.testOf[prog.checks[c].test]
		if x.s.checks[c].result != Fail || ev.Repeats != nil && ev.Repeats[at] > 1 {
			continue
		}
		e := x.step(&prog.tests[prog.checks[c].test], "it failed, and no fault on the sheet goes with that and with the other readings")
		e.Repeat = true
		return e
	}
	return nil
}

// step is a test to make for one reason.
func (x *explainer) step(bt *boundTest, because string) *NextExplanation {
	return &NextExplanation{Test: x.name(bt), Title: bt.t.title, Cautions: cautions(x.v.program.units[bt.unit].m, bt.t), Steps: slices.Clone(bt.t.steps),
		Minutes: wholeMinutes(max(bt.t.takes.SI()/60, 0)), Because: []string{because}}
}

// released names a test that the release still needs, once nothing is to be told apart.
func (x *explainer) released() *NextExplanation {
	if w := x.p.Unit(); w == Faulty || w == Unexplained {
		return nil
	}
	if slices.ContainsFunc(x.s.checks, func(s checkState) bool { return s.result == Fail }) {
		return nil
	}
	needed, by := x.v.program.release, "the release needs it"
	if len(needed) == 0 {
		needed, by = x.v.program.judged, "it was not tested yet"
	}
	for _, c := range needed {
		s := &x.s.checks[c]
		bt := &x.v.program.tests[x.v.program.checks[c].test]
		wanted := s.result == NotTested || s.result == NotValid || s.result == NotDecidable || x.s.outside(x.v.program, int32(c))
		if !wanted || bt.applies == canFalse {
			continue
		}
		pl := &Plan{pass: x.p}
		if pl.barred(bt) {
			continue
		}
		return x.step(bt, x.wanting(s, by))
	}
	return nil
}

// wanting tells why a test is to be made that was made already; by is why it is if it was not.
func (x *explainer) wanting(s *checkState, by string) string {
	switch {
	case s.atOdds:
		return "its readings disagree"
	case s.result == Marginal:
		return "it is outside its limit, by less than the rule asks for: take a better meter"
	case s.result == NotDecidable:
		return "it is not decided yet"
	case s.result == NotValid:
		return "it was not valid"
	}
	return by
}

// label names an outcome of a test of the plan.
func (x *Plan) label(test, outcome int) string {
	reading := x.tests[test].readings[outcome]
	switch {
	case len(x.tests[test].readings) == 1:
		return "whatever it shows"
	case len(reading.Checks) == 0:
		return "anything else"
	}
	prog := x.pass.v.program
	var words []string
	for i, o := range reading.Outcomes {
		if o < 0 {
			continue
		}
		k := &prog.checks[reading.Checks[i]]
		words = append(words, said(k.label, k.c.outcomes[o].word))
	}
	switch {
	case len(words) == 0 && len(reading.Checks) == 1:
		return said(prog.checks[reading.Checks[0]].label, "good")
	case len(words) == 0:
		return "all good"
	case len(words) > 3:
		words = append(words[:3:3], fmt.Sprintf("%d more", len(words)-3))
	}
	return strings.Join(words, ", ")
}

// leading names the stories that are likeliest at a node of the plan.
func (x *Plan) leading(n *plan.Node) string {
	shares := slices.Clone(n.Classes)
	slices.SortStableFunc(shares, func(a, b plan.Share) int { return likelierFirst(a.Probability, b.Probability) })
	var names []string
	sum := 0.0
	for _, s := range shares {
		if sum > .8 || len(names) == 3 {
			break
		}
		sum += s.Probability
		if title := x.title(s.Class); !slices.Contains(names, title) {
			names = append(names, title)
		}
	}
	return strings.Join(names, ", or ")
}

// title names the faults of a class without their positions.
func (x *Plan) title(class int) string {
	if len(x.classes[class]) == 0 {
		return "no fault"
	}
	var titles []string
	for _, f := range x.classes[class] {
		if title := x.pass.v.program.faults[f].f.title; !slices.Contains(titles, title) {
			titles = append(titles, title)
		}
	}
	if len(titles) == 1 {
		return titles[0]
	}
	last := len(titles) - 1
	if last == 1 {
		return titles[0] + " with " + titles[1]
	}
	return titles[0] + " with " + strings.Join(titles[1:last], ", ") + " and " + titles[last]
}

func wholeMinutes(m float64) string {
	if math.IsInf(m, 0) || math.IsNaN(m) {
		return "unknown"
	}
	return fmt.Sprintf("%.0f min", m)
}
