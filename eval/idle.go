package eval

import (
	"maps"
	"slices"

	"github.com/brushgear/brushgear/dsl"
)

// Names that the sheets declare and nothing uses.

// placesNamed are the declarations that something names, by their places: what a kind declares is built again for each family and has one place.
type placesNamed map[dsl.Range]bool

// mentioned notes what the tests of a model use: the conditions that they touch, and the formulas that are judged.
func (p placesNamed) mentioned(m *model) {
	for _, t := range m.tests {
		for _, v := range t.used {
			p[v.src] = true
		}
		for _, v := range t.values {
			if v.check != nil || v.alike != nil {
				p[v.src] = true
			}
		}
	}
}

// idleNames reports the sources, conditions, instruments and formulas that nothing uses. A kind declares for its families, and a file of sources for
// the sheets that use it: they are looked at where a family is at hand. An instrument that a record names is used. Readings are left out: one without
// a limit informs.
func (c *compiler) idleNames(b *Bench, files []*dsl.File) dsl.Diagnostics {
	if len(b.families) == 0 {
		return nil
	}
	found := map[dsl.Range]*dsl.Diagnostic{}
	idle := func(at dsl.Range, message, help string) {
		if !c.named[at] {
			found[at] = &dsl.Diagnostic{Code: dsl.CodeIdleName, Severity: dsl.Hint, Range: at, Message: message, Help: help + ", or leave it out"}
		}
	}
	meters := metersOf(b.records)
	for _, m := range b.families {
		for name, v := range m.conditions {
			idle(v.src, "no test needs condition "+name+", and no limit or formula uses it", "write needs "+name+" in the tests to which it matters")
		}
		for name, in := range m.meters {
			if !meters[name] {
				idle(in.src, "nothing is read with instrument "+name, "write with "+name+" behind what it reads")
			}
		}
		for _, t := range m.tests {
			for _, v := range t.values {
				if v.kind == formulaValue {
					idle(v.src, "formula "+v.name+" of test "+t.name+" has no limit, and nothing uses it", "write limit "+v.name+" with its numbers")
				}
			}
		}
	}
	lists := map[string]bool{} // files of sources alone
	for _, f := range files {
		lists[f.Name] = !slices.ContainsFunc(f.Decls, func(s dsl.Stmt) bool { _, block := s.(*dsl.Block); return block })
	}
	for name, s := range c.sources {
		if !lists[s.src.Pos.Filename] {
			idle(s.src, "no limit, attribute or law comes from source "+name, "write per "+name+" behind what it says")
		}
	}
	list := dsl.Diagnostics(slices.Collect(maps.Values(found)))
	list.Sort()
	return list
}

// metersOf lists the instruments that records name.
func metersOf(records []*dsl.Record) map[string]bool {
	names := map[string]bool{}
	var visit func(body []dsl.Stmt)
	visit = func(body []dsl.Stmt) {
		for _, s := range body {
			switch s := s.(type) {
			case *dsl.Meter:
				names[s.Is.String()] = true
			case *dsl.Taken:
				names[s.With.String()] = true
			}
			visit(dsl.Body(s))
		}
	}
	for _, r := range records {
		visit(r.Body)
	}
	return names
}
