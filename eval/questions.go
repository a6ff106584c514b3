package eval

import (
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval/diagnosis"
)

// Causes outside of the unit, and what a remedy needs.

// bindQuestions lays out the conditions of causes and remedies, which are put after all tests.
func (b *binder) bindQuestions() {
	p := b.p
	p.asking = boundTest{t: &test{}, from: int32(len(p.ops))}
	b.test = &p.asking
	for u := range b.units {
		b.unit = u
		m := b.units[u].m
		for _, name := range slices.Sorted(maps.Keys(m.causes)) {
			if k := m.causes[name]; k.seen != nil {
				base, _ := b.expr(k.seen)
				p.causes = append(p.causes, question{u, name, base})
			}
		}
		for _, name := range slices.Sorted(maps.Keys(m.remedies)) {
			r := m.remedies[name]
			var truths []int32
			if r.allowed != nil {
				base, _ := b.expr(r.allowed)
				truths = append(truths, base)
			}
			for _, n := range r.needs {
				if n.gate != nil {
					truths = append(truths, b.outcome(n.gate))
				}
			}
			for _, t := range truths {
				p.allowed = append(p.allowed, question{u, name, t})
			}
		}
	}
	p.asking.to = int32(len(p.ops))
	b.sources(&p.asking)
}

// answer puts the questions and keeps what is known of each.
func (f *frame) answer(p *program, answers []uint64) []uint64 {
	if len(p.causes)+len(p.allowed) == 0 {
		return answers
	}
	f.steps(p, &p.asking, false)
	for _, list := range [2][]question{p.causes, p.allowed} {
		for _, q := range list {
			answers = append(answers, f.regs[q.truth].bits)
		}
	}
	return answers
}

// allows tells whether a remedy can be carried out: canTrue, canFalse or either.
func (p PassVerdict) allows(unit int, remedy string) uint64 {
	prog, truth := p.v.program, uint64(canTrue)
	for i, q := range prog.allowed {
		if q.unit == unit && q.name == remedy {
			truth = kleeneAnd(truth, p.state().answers[len(prog.causes)+i])
		}
	}
	return truth
}

// asks tells whether a check has a say in whether a remedy can be carried out.
func (p *program) asks(r *remedy, unit int, k *boundCheck) bool {
	found := slices.ContainsFunc(r.needs, func(n *need) bool { return n.gate != nil && p.refersTo(n.gate, unit, k) })
	if r.allowed != nil {
		eachExpr(r.allowed, func(e *expr) {
			found = found || e.ref != nil && p.refersTo(e.ref, unit, k) || e.val != nil && e.val == k.c.val && p.tests[k.test].unit == unit
		})
	}
	return found
}

// hindrance says what a remedy waits for; empty if it can be carried out.
func (p PassVerdict) hindrance(unit int, r *remedy) string {
	allows := p.allows(unit, r.name)
	if allows == canTrue {
		return ""
	}
	prog := p.v.program
	titles := func(of func(k *boundCheck, result Result) bool) string {
		var list []string
		for c := range prog.checks {
			k := &prog.checks[c]
			if title := prog.tests[k.test].t.title; !slices.Contains(list, title) && of(k, p.state().results[c]) {
				list = append(list, title)
			}
		}
		return strings.Join(list, "; ")
	}
	if allows == canFalse {
		bad := titles(func(k *boundCheck, result Result) bool {
			return result == Fail && slices.ContainsFunc(r.needs, func(n *need) bool { return n.gate != nil && prog.refersTo(n.gate, unit, k) })
		})
		if bad != "" {
			return "not before this is good: " + bad
		}
		return "not allowed as measured"
	}
	if first := titles(func(k *boundCheck, result Result) bool { return result == NotTested && prog.asks(r, unit, k) }); first != "" {
		return "first: " + first
	}
	return "whether it can be done is still to be measured"
}

// A Cause is a reason outside of the unit that would bring a fault back.
type Cause struct {
	Name  string // as in the sheet
	Title string
	Ask   string // the question to put, empty if the sheet has none
	Seen  bool   // a test shows it
	For   string // the title of the fault that it may have caused
}

// OpenCauses returns the root causes to clear before the unit is released: those of the faults that are shown, or were shown in an earlier pass, until
// a note of the record clears them or a test shows that they are not there.
func (p PassVerdict) OpenCauses() []Cause {
	p = p.there()
	var list []Cause
	v := p.v
	for i := range v.passes[:p.i+1] {
		for f := range (PassVerdict{v, i}).Faults() {
			b := f.bound()
			if len(b.f.causes) == 0 || f.Status() != diagnosis.Shown && !f.OneOf() {
				continue
			}
			m := v.program.units[b.unit].m
			for _, name := range b.f.causes {
				k := m.causes[name]
				if k == nil || slices.ContainsFunc(list, func(c Cause) bool { return c.Name == name }) || p.cleared(b.unit, name) {
					continue
				}
				list = append(list, Cause{Name: name, Title: k.title, Ask: k.ask, Seen: p.seen(b.unit, name) == canTrue, For: f.Title()})
			}
		}
	}
	return list
}

// cleared tells whether a cause was dealt with: a note says so, or a test shows that it is not there.
func (p PassVerdict) cleared(unit int, cause string) bool {
	return unit == 0 && slices.ContainsFunc(p.v.notes, func(n note) bool { return n.clearedFor == cause && n.pass <= p.i }) || p.seen(unit, cause) == canFalse
}

func (p PassVerdict) seen(unit int, cause string) uint64 {
	for i, q := range p.v.program.causes {
		if q.unit == unit && q.name == cause {
			return p.state().answers[i]
		}
	}
	return either
}
