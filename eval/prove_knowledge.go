package eval

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Proofs over what sheets know: faults and what they show, tests and their order, causes, remedies, parts, limits and meters. All families are
// proved, and the kinds on which nothing is built. What holds for several units is found once.

// ProveKnowledge returns what is missing or at odds in what the sheets know of their faults, in source order. Warnings are slips, hints may be
// meant so. None of them keeps the sheets from use.
func (b *Bench) ProveKnowledge() dsl.Diagnostics {
	list := proveKnowledge(b)
	list.Sort()
	return list
}

func proveKnowledge(b *Bench) dsl.Diagnostics {
	p := &knowledgeProver{b: b, found: map[dsl.Range]map[dsl.Code]*knowledgeFinding{}, places: map[dsl.Range]int{}, calls: map[*dsl.Name]bool{}, spoken: spoken{words: map[string]units.Unit{}}}
	p.leaned = p.leanedTests()
	for _, m := range b.proved() {
		k, ok := b.know(m)
		if !ok {
			continue
		}
		p.k = k
		p.count()
		p.faults()
		p.tests()
		p.around()
		p.meters()
		p.units()
	}
	return slices.Concat(p.diagnostics(), p.uncalled(), b.idle)
}

// proved lists the models that are proved: families, and kinds on which no family and no other kind is built.
func (b *Bench) proved() []*model {
	base := map[string]bool{}
	for _, table := range []map[string]*model{b.families, b.kinds} {
		for name, m := range table {
			for _, layer := range m.chain {
				if of, ok := strings.CutPrefix(layer, "kind "); ok && !(of == name && !m.family) {
					base[of] = true
				}
			}
		}
	}
	var list []*model
	for _, name := range slices.Sorted(maps.Keys(b.families)) {
		list = append(list, b.families[name])
	}
	for _, name := range slices.Sorted(maps.Keys(b.kinds)) {
		if !base[name] {
			list = append(list, b.kinds[name])
		}
	}
	return list
}

// knowledgeProver collects the findings of all units.
type knowledgeProver struct {
	b      *Bench
	k      *knowledge // of the unit that is being proved
	order  []*knowledgeFinding
	found  map[dsl.Range]map[dsl.Code]*knowledgeFinding
	places map[dsl.Range]int  // in how many units something stands, by its place
	calls  map[*dsl.Name]bool // cautions, and whether a test of any unit calls for them
	spoken spoken
	leaned map[string]bool // tests that something leans on from outside: "kind test"
}

// knowledgeFinding is a finding with the units that have it.
type knowledgeFinding struct {
	d     *dsl.Diagnostic
	units []string
}

// count notes what stands in the unit, so that a finding can tell whether it holds wherever its subject stands.
func (p *knowledgeProver) count() {
	m := p.k.m
	here := map[dsl.Range]bool{}
	for _, t := range m.tests {
		here[t.src] = true
		for _, v := range t.values {
			here[v.src] = true
		}
		for _, c := range t.checks {
			here[c.src] = true
		}
	}
	for _, f := range m.faults {
		here[f.src] = true
	}
	for _, r := range m.remedies {
		here[r.src] = true
	}
	for at := range here {
		p.places[at]++
	}
}

// find takes in a finding. Of one place and one code the first counts.
func (p *knowledgeProver) find(severity dsl.Severity, code dsl.Code, at dsl.Range, message, help string, related ...dsl.Related) {
	if p.found[at] == nil {
		p.found[at] = map[dsl.Code]*knowledgeFinding{}
	}
	f := p.found[at][code]
	if f == nil {
		f = &knowledgeFinding{d: &dsl.Diagnostic{Code: code, Severity: severity, Range: at, Message: message, Help: help, Related: related}}
		p.found[at][code] = f
		p.order = append(p.order, f)
	}
	if name := p.k.m.name; !slices.Contains(f.units, name) {
		f.units = append(f.units, name)
	}
}

func (p *knowledgeProver) warn(code dsl.Code, at dsl.Range, message, help string, related ...dsl.Related) {
	p.find(dsl.Warning, code, at, message, help, related...)
}

func (p *knowledgeProver) hint(code dsl.Code, at dsl.Range, message, help string, related ...dsl.Related) {
	p.find(dsl.Hint, code, at, message, help, related...)
}

// diagnostics lists the findings. One that holds for some of the units in which its subject stands says for which.
func (p *knowledgeProver) diagnostics() dsl.Diagnostics {
	var list dsl.Diagnostics
	for _, f := range p.order {
		if p.places[f.d.Range] > len(f.units) {
			f.d.Message += " (on " + strings.Join(f.units, ", ") + ")"
		}
		list = append(list, f.d)
	}
	return list
}

// named lists names as a person says them: a, b and c.
func named(list []string, and string) string {
	switch n := len(list); n {
	case 0:
		return ""
	case 1:
		return list[0]
	default:
		return strings.Join(list[:n-1], ", ") + " " + and + " " + list[n-1]
	}
}

// atMost keeps the first of a list and says how many more there are.
func atMost(list []string, n int) []string {
	if len(list) <= n {
		return list
	}
	return append(slices.Clone(list[:n]), fmt.Sprintf("%d more", len(list)-n))
}
