package eval

import (
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
	r, _ := x.p.ranking()
	if r.AtOdds >= 0 && r.Slip > diagnosis.Misread {
		bt := &x.v.program.tests[x.v.program.led[r.AtOdds]]
		return &NextExplanation{Test: x.name(bt), Title: bt.t.title, Repeat: true, Cautions: cautions(x.v.program.units[bt.unit].m, bt.t),
			Because: []string{"its reading is more likely a slip than not: misread, or taken at the wrong place"}}
	}
	if e := x.waiting(); e != nil {
		return e
	}
	pl, err := x.p.Plan(0)
	if pl == nil || err != nil {
		return x.released()
	}
	choice, more := pl.Next()
	if !more {
		return x.released()
	}
	bt := &x.v.program.tests[x.v.program.led[pl.tests[choice.Test].test]]
	e := &NextExplanation{
		Test: x.name(bt), Title: bt.t.title, Cautions: cautions(x.v.program.units[bt.unit].m, bt.t), Steps: bt.t.steps,
		Minutes: wholeMinutes(choice.Minutes),
	}
	if choice.Teardown > 0 {
		e.Teardown = wholeMinutes(choice.Teardown)
		if s := x.v.program.m.stages[bt.t.stage]; s != nil {
			e.Stage = s.Title.String()
		}
	}
	for _, b := range pl.Root.Branches {
		if b.Probability > .005 {
			e.Because = append(e.Because, pl.label(choice.Test, b.Outcome)+": "+pl.leading(b.Node))
		}
	}
	e.Plan = fmt.Sprintf("about %s to the remedy on average, a wrong one reckoned in", wholeMinutes(pl.Cost))
	if !pl.Exact {
		e.Plan = fmt.Sprintf("best plan found %s to the remedy on average, a wrong one reckoned in; no plan can be under %s", wholeMinutes(pl.Cost), wholeMinutes(math.Floor(pl.Bound)))
	}
	return e
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
			return &NextExplanation{Test: x.name(other), Title: other.t.title, Cautions: cautions(prog.units[other.unit].m, other.t), Steps: other.t.steps,
				Minutes: wholeMinutes(other.t.takes.SI() / 60), Because: []string{bt.t.title + " counts only once this is known"}}
		}
	}
	return nil
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
		if s.result != NotTested && s.result != NotValid && s.result != NotDecidable || bt.applies == canFalse {
			continue
		}
		pl := &Plan{pass: x.p}
		if pl.barred(bt) {
			continue
		}
		return &NextExplanation{Test: x.name(bt), Title: bt.t.title, Cautions: cautions(x.v.program.units[bt.unit].m, bt.t), Steps: bt.t.steps,
			Minutes: wholeMinutes(max(bt.t.takes.SI()/60, 0)), Because: []string{x.wanting(s, by)}, Repeat: s.atOdds}
	}
	return nil
}

// wanting tells why a test is to be made that was made already; by is why it is if it was not.
func (x *explainer) wanting(s *checkState, by string) string {
	switch {
	case s.atOdds:
		return "its readings disagree"
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
	if len(reading.Checks) == 0 {
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
	slices.SortStableFunc(shares, func(a, b plan.Share) int {
		switch {
		case a.Probability > b.Probability*(1+1e-9):
			return -1
		case b.Probability > a.Probability*(1+1e-9):
			return 1
		}
		return 0
	})
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
		titles = append(titles, x.pass.v.program.faults[f].f.title)
	}
	return strings.Join(titles, " with ")
}

func wholeMinutes(m float64) string {
	if math.IsInf(m, 0) || math.IsNaN(m) {
		return "unknown"
	}
	return fmt.Sprintf("%.0f min", m)
}
