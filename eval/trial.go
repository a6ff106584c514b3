package eval

import (
	"fmt"
	"slices"
	"strings"
)

// statusNames are the words with which a trial expects the status of a fault.
var statusNames = map[string]string{
	"shown": "shown", "suspected": "suspected", "possible": "possible", "ruled_out": "ruled out", "not_examined": "not examined",
}

// Unmet lists in words what a trial expected of its last pass and did not get: an outcome or a result of a check, or the status of a fault. What
// it names and the sheet does not know is listed too.
func (v *Verdict) Unmet(r *Record) []string {
	var list []string
	last := v.Last()
	for _, e := range r.Expectation {
		switch {
		case e.Gives != "":
			list = append(list, last.unmetCheck(e)...)
		default:
			list = append(list, last.unmetFault(e)...)
		}
	}
	return list
}

// unmetCheck compares one check. A test without a pattern can be named by itself if it has one check.
func (p PassVerdict) unmetCheck(e Expectation) []string {
	c, ok := p.Check(e.Gives)
	if !ok {
		var of []Check
		for k := range p.Checks() {
			if k.bound().c.kind != infoCheck && strings.HasPrefix(k.Name(), e.Gives+".") {
				of = append(of, k)
			}
		}
		if len(of) != 1 {
			return []string{fmt.Sprintf("gives %s: %s", e.Gives, p.noCheck(e.Gives, of))}
		}
		c = of[0]
	}
	for _, want := range e.Is {
		if want != "any" && c.bound().c.find(want) < 0 && !slices.Contains(reservedOutcomes, want) {
			return []string{fmt.Sprintf("gives %s: %s", e.Gives, p.noOutcome(e.Gives, want, c, ok))}
		}
	}
	result := strings.ReplaceAll(c.Result().String(), " ", "_")
	if slices.ContainsFunc(e.Is, func(want string) bool { return want == "any" || want == result || want == c.Outcome() }) {
		return nil
	}
	got := c.Outcome()
	if got == "" {
		got = c.Result().String()
	}
	return []string{fmt.Sprintf("gives %s is %s: it is %s", e.Gives, strings.Join(e.Is, " | "), got)}
}

// noOutcome says that a check has no such outcome; one that the expectation did not name itself may be a list.
func (p PassVerdict) noOutcome(name, want string, c Check, named bool) string {
	if text := p.listed(name); !named && text != "" {
		return text
	}
	var known []string
	for _, o := range c.bound().c.outcomes {
		known = append(known, o.word)
	}
	return fmt.Sprintf("it has no outcome %s; %s", want, suggest(want, known))
}

// noCheck says why a name is that of no check: a list has a check for each member, a test may have several, given in of.
func (p PassVerdict) noCheck(name string, of []Check) string {
	if text := p.listed(name); text != "" {
		return text
	}
	if len(of) > 1 {
		return fmt.Sprintf("the test has several checks; write gives %s, for instance", of[0].Name())
	}
	if _, fault := p.Fault(name); fault {
		return fmt.Sprintf("this is a fault and no check; write finds %s is shown, for instance", name)
	}
	var known []string
	for k := range p.Checks() {
		if k.bound().c.kind != infoCheck {
			known = append(known, k.Name())
		}
	}
	return "there is no such check; " + suggest(name, known)
}

// listed says that a name is that of a list, which has a check for each member; it is empty for any other name.
func (p PassVerdict) listed(name string) string {
	for k := range p.Checks() {
		if strings.HasPrefix(k.Name(), name+"[") {
			return fmt.Sprintf("each member of the list has a check of its own; write gives %s, for instance", k.Name())
		}
	}
	return ""
}

// noFault says why a name is that of no fault: one of positions is named with its position, and other things of the sheet have names too.
func (p PassVerdict) noFault(name string) string {
	var known []string
	for f := range p.Faults() {
		if strings.HasPrefix(f.Name(), name+"[") {
			return fmt.Sprintf("it can sit at each of its positions; write finds %s, for instance", f.Name())
		}
		known = append(known, f.Name())
	}
	what, m := "", p.v.program.m
	switch test, _, _ := strings.Cut(name, "."); {
	case m.parts[name] != nil:
		what = "a part"
	case m.remedies[name] != nil:
		what = "a remedy"
	case m.causes[name] != nil:
		what = "a cause"
	case m.effects[name] != nil:
		what = "an effect"
	case m.testNamed[test] != nil:
		return fmt.Sprintf("this is a check and no fault; write gives %s is good, for instance", name)
	}
	if what != "" {
		return fmt.Sprintf("this is %s and no fault; %s", what, knownHere(known))
	}
	return "there is no such fault; " + suggest(name, known)
}

// unmetFault compares one fault, or the unit.
func (p PassVerdict) unmetFault(e Expectation) []string {
	if e.Finds == "unit" {
		return p.unmetUnit(e)
	}
	f, ok := p.Fault(e.Finds)
	if !ok {
		return []string{fmt.Sprintf("finds %s: %s", e.Finds, p.noFault(e.Finds))}
	}
	for _, want := range e.Is {
		if statusNames[want] == "" {
			return []string{fmt.Sprintf("finds %s: there is no status %s; write shown, suspected, possible, ruled_out or not_examined", e.Finds, want)}
		}
	}
	if slices.ContainsFunc(e.Is, func(want string) bool { return statusNames[want] == f.Status().String() }) {
		return nil
	}
	return []string{fmt.Sprintf("finds %s is %s: it is %s", e.Finds, strings.Join(e.Is, " | "), f.Status())}
}

func (p PassVerdict) unmetUnit(e Expectation) []string {
	met, words := false, [...]UnitWord{p.Unit(), p.Limits()}
	for _, want := range e.Is {
		want = strings.ReplaceAll(want, "_", " ")
		if !slices.Contains(unitWords[:], want) {
			return []string{fmt.Sprintf("finds unit: there is no word %s; write serviceable, faulty, undecided, unexplained, no_fault_found, limits_met or limits_failed", want)}
		}
		met = met || want == words[0].String() || want == words[1].String()
	}
	if met {
		return nil
	}
	return []string{fmt.Sprintf("finds unit is %s: it is %s", strings.Join(e.Is, " | "), words[0])}
}
