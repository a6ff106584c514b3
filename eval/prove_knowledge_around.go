package eval

import (
	"fmt"
	"maps"
	"slices"

	"github.com/brushgear/brushgear/dsl"
)

// Proofs over what stands around faults and tests: causes, remedies, parts and sources.

func (p *knowledgeProver) around() {
	p.causes()
	p.retests()
	p.parts()
	p.sources()
}

// causes reports those that no fault comes from, and those that nothing finds out.
func (p *knowledgeProver) causes() {
	m := p.k.m
	for _, name := range slices.Sorted(maps.Keys(m.causes)) {
		c := m.causes[name]
		switch {
		case !slices.ContainsFunc(m.faults, func(f *fault) bool { return slices.Contains(f.causes, name) }):
			p.warn(dsl.CodeOpenCause, c.src, "no fault comes from cause "+name+", so it is never asked about", "write from "+name+" in the fault that it brings, or leave it out")
		case c.ask == "" && c.seen == nil:
			p.warn(dsl.CodeOpenCause, c.src, "nothing finds out about cause "+name+", so it is never cleared", `write ask "..." with the question, or seen by with the outcome that shows it`)
		case c.ask == "" && !p.canBeSeen(c.seen):
			p.warn(dsl.CodeOpenCause, c.src, "the test by which cause "+name+" is seen is not meant for this unit, so it is never cleared", `write ask "..." with the question`)
		}
	}
}

// canBeSeen tells whether the tests that a condition asks for are meant for the unit.
func (p *knowledgeProver) canBeSeen(e *expr) bool {
	if e.ref != nil && e.ref.unit == "" {
		if t := p.k.m.testNamed[e.ref.test]; t != nil && !p.k.applies(0, t) {
			return false
		}
	}
	return !slices.ContainsFunc(e.args, func(a *expr) bool { return !p.canBeSeen(a) })
}

// retests reports remedies after which no test is repeated that showed the fault. Without a list all tests that showed it are; where most remedies
// have one, it may have been forgotten.
func (p *knowledgeProver) retests() {
	m := p.k.m
	listed := 0
	for _, r := range m.remedies {
		if len(r.retest) > 0 {
			listed++
		}
	}
	for _, name := range slices.Sorted(maps.Keys(m.remedies)) {
		r := m.remedies[name]
		if len(r.retest) == 0 {
			if len(m.remedies) >= fewFaults && 2*listed > len(m.remedies) {
				p.hint(dsl.CodeNoRetest, r.src, "remedy "+name+" has no retest, as most others have: only the tests that showed the fault are repeated", "write retest with the tests that tell whether it is gone, and whether the work was done well")
			}
			continue
		}
		var blind []string
		for i := range p.k.rows {
			row := &p.k.rows[i]
			sees := row.sees
			if row.f.remedy != name && row.f.orElse != name || len(sees) == 0 {
				continue
			}
			told := func(c int) bool {
				col := &p.k.columns[c]
				return slices.ContainsFunc(r.retest, func(o *outcomeRef) bool {
					return o.unit == p.k.binder.units[col.unit].name && o.test == col.c.test.name
				})
			}
			if !slices.ContainsFunc(sees, told) && !slices.Contains(blind, row.f.name) {
				blind = append(blind, row.f.name)
			}
		}
		if len(blind) > 0 {
			p.warn(dsl.CodeNoRetest, r.src, fmt.Sprintf("after %s no test is repeated that shows %s, so nobody knows that it is gone", name, named(blind, "or")), "add to retest the test that shows it")
		}
	}
}

// parts reports those in which no fault sits, themselves or in a part of them.
func (p *knowledgeProver) parts() {
	m := p.k.m
	blamed := map[string]bool{}
	for _, f := range m.faults {
		for name, n := f.part, 0; name != "" && n <= len(m.parts); n++ {
			blamed[name] = true
			if m.parts[name] == nil {
				break
			}
			name = m.parts[name].Within.String()
		}
	}
	for _, name := range slices.Sorted(maps.Keys(m.parts)) {
		if !blamed[name] {
			p.hint(dsl.CodeBlamelessPart, m.parts[name].Name.Range, "no fault sits in part "+name, "write the fault that sits there, or leave the part out")
		}
	}
}

// sources reports the limits of a layer that say nothing of where they come from, together.
func (p *knowledgeProver) sources() {
	type bare struct {
		first *limit
		count int
	}
	layers := map[string]*bare{}
	var order []string
	for _, t := range p.k.m.tests {
		for _, c := range t.checks {
			for _, l := range c.limits {
				if l.source != nil || l.declares || l.layer.shop {
					continue
				}
				x := layers[l.layer.name]
				if x == nil {
					x = &bare{first: l}
					layers[l.layer.name] = x
					order = append(order, l.layer.name)
				}
				x.count++
				if before(l.src, x.first.src) {
					x.first = l
				}
			}
		}
	}
	for _, name := range order {
		x := layers[name]
		message := "this limit has no source"
		if x.count > 1 {
			message = fmt.Sprintf("%d limits of %s have no source; this is the first", x.count, name)
		}
		p.hint(dsl.CodeNoSource, x.first.src, message, "declare where it comes from once, source name \"...\", and write per name behind the limit; common practice is a source too")
	}
}

// before orders places of one file.
func before(a, b dsl.Range) bool {
	return a.Pos.Filename == b.Pos.Filename && a.Pos.Offset < b.Pos.Offset
}
