package eval

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Proofs over tests: what they tell, whether their gates open, whether their order can be kept, and whether they carry their cautions.

func (p *knowledgeProver) tests() {
	for _, t := range p.k.m.tests {
		if !p.k.applies(0, t) {
			continue
		}
		if p.idle(t) {
			p.hint(dsl.CodeIdleTest, t.src, "test "+t.name+" tells nothing: no fault shows anything there, and nothing leans on it", "write which fault shows what there, make it a gate, or leave it out")
		}
		p.shut(t)
		p.gateOrder(t)
		p.caution(t)
		p.numbers(t)
	}
	p.cautions()
}

// idle tells whether a test has outcomes that no fault shows, and nothing leans on it.
func (p *knowledgeProver) idle(t *test) bool {
	judged := false
	for i, col := range p.k.columns {
		if col.unit != 0 || col.c.test != t {
			continue
		}
		judged = judged || slices.ContainsFunc(col.c.outcomes, func(o outcome) bool { return o.result == Fail || o.result == Marginal })
		for j := range p.k.rows {
			if c := p.k.rows[j].cells[i]; len(c.shows) > 0 || c.follows >= 0 {
				return false
			}
		}
	}
	if !judged {
		return false // it only records, or says whether others are valid
	}
	for _, layer := range p.k.m.chain {
		if p.leaned[strings.TrimPrefix(layer, "kind ")+" "+t.name] {
			return false
		}
	}
	return !p.k.m.leansOn(t.name)
}

// leanedTests lists the tests that another unit leans on, as those of the battery, by kind and name.
func (p *knowledgeProver) leanedTests() map[string]bool {
	leaned := map[string]bool{}
	for _, table := range []map[string]*model{p.b.families, p.b.kinds} {
		for _, m := range table {
			m.eachRef(func(o *outcomeRef) {
				for _, inc := range m.includes {
					if inc.as == o.unit {
						leaned[inc.kind.name+" "+o.test] = true
					}
				}
			})
			m.eachValue(func(of *test, e *expr) {
				if e.op == opForeign && e.val.test != nil {
					for _, inc := range m.includes {
						if inc.as == e.unit {
							leaned[inc.kind.name+" "+e.val.test.name] = true
						}
					}
				}
			})
		}
	}
	return leaned
}

// leansOn tells whether something other than a fault uses a test: a gate, a release, a cause, a remedy, or a formula of another test.
func (m *model) leansOn(name string) bool {
	leans := false
	m.eachRef(func(o *outcomeRef) { leans = leans || o.unit == "" && o.test == name })
	m.eachValue(func(of *test, e *expr) {
		leans = leans || e.op == opValue && e.val.test != nil && e.val.test.name == name && (of == nil || of.name != name)
	})
	return leans
}

// eachRef visits all references to outcomes but those of faults, and those of a pattern to its own test.
func (m *model) eachRef(visit func(*outcomeRef)) {
	needs := func(list []*need) {
		for _, n := range list {
			if n.gate != nil {
				visit(n.gate)
			}
		}
	}
	for _, o := range m.release {
		visit(o)
	}
	for _, name := range slices.Sorted(maps.Keys(m.remedies)) {
		r := m.remedies[name]
		for _, o := range r.retest {
			visit(o)
		}
		needs(r.needs)
	}
	for _, t := range m.tests {
		needs(t.needs)
	}
	m.eachValue(func(of *test, e *expr) {
		if e.ref != nil && (of == nil || e.ref.unit != "" || e.ref.test != of.name) {
			visit(e.ref)
		}
	})
}

// eachValue visits all expressions, with the test that they stand in, nil for those of causes, remedies and requirements.
func (m *model) eachValue(visit func(of *test, e *expr)) {
	walk := func(of *test, e *expr) { eachExpr(e, func(e *expr) { visit(of, e) }) }
	for _, name := range slices.Sorted(maps.Keys(m.causes)) {
		walk(nil, m.causes[name].seen)
	}
	for _, name := range slices.Sorted(maps.Keys(m.remedies)) {
		walk(nil, m.remedies[name].allowed)
	}
	for _, r := range m.requires {
		walk(nil, r.cond)
	}
	for _, t := range m.tests {
		for _, v := range t.values {
			walk(t, v.formula)
		}
		for _, c := range t.checks {
			for _, r := range c.rows {
				walk(t, r.when)
			}
			for _, r := range c.rungs {
				walk(t, r.cut)
			}
			for _, l := range c.limits {
				for _, x := range []*bound{l.low, l.high, l.newLow, l.newHigh} {
					if x != nil {
						walk(t, x.x)
					}
				}
			}
		}
	}
}

// eachExpr visits an expression and what it consists of; e may be nil.
func eachExpr(e *expr, visit func(*expr)) {
	if e == nil {
		return
	}
	visit(e)
	for _, a := range e.args {
		eachExpr(a, visit)
	}
}

// gates lists the gates of a test within the unit, each with the test that it waits for.
func (p *knowledgeProver) gates(t *test) map[*test]*need {
	list := map[*test]*need{}
	for _, n := range t.needs {
		if n.gate != nil && n.gate.unit == "" {
			if g := p.k.m.testNamed[n.gate.test]; g != nil && list[g] == nil {
				list[g] = n
			}
		}
	}
	return list
}

// shut reports a gate that waits for a test that is not meant for the unit, and gates that ask for outcomes of one check that exclude each other.
func (p *knowledgeProver) shut(t *test) {
	for _, n := range t.needs {
		switch {
		case n.gate != nil && n.gate.unit == "":
			if g := p.k.m.testNamed[n.gate.test]; g != nil && !p.k.applies(0, g) {
				p.warn(dsl.CodeShutGate, n.src, fmt.Sprintf("this gate never opens: %s is not meant for any unit for which %s is", g.name, t.name), "leave the gate out, or write applies when for "+t.name+" too",
					dsl.Related{Range: g.src, Message: g.name + " is here"})
				return
			}
		case n.gate == nil && n.pred != nil && n.pred.fixed:
			if p.k.binder.eval(0, n.pred).bits == canFalse {
				p.warn(dsl.CodeShutGate, n.src, "this need is never met: the sheet sets "+n.cond.name+" to something else", "mend the range, or write applies when")
				return
			}
		}
	}
	p.contrary(t)
}

// contrary follows the gates of a test to their own gates. Two that ask different outcomes of one check can never be open at once.
func (p *knowledgeProver) contrary(t *test) {
	type wanted struct {
		mask uint32
		by   *need
		of   *test
	}
	want := map[int32]wanted{}
	seen := map[*test]bool{}
	var visit func(of *test) bool
	visit = func(of *test) bool {
		if seen[of] {
			return true
		}
		seen[of] = true
		for _, n := range of.needs {
			if n.gate == nil || n.gate.words == nil {
				continue
			}
			for _, c := range p.k.binder.find(n.gate, 0, nil) {
				bc := &p.k.binder.p.checks[c]
				mask := bc.c.outcomesOf(n.gate.words)
				if n.gate.not {
					mask = bc.all &^ mask
				}
				before, there := want[c]
				if there && before.mask&mask == 0 {
					p.warn(dsl.CodeShutGate, n.src, fmt.Sprintf("%s can never be valid: %s and %s ask for outcomes of %s that exclude each other", t.name, before.of.name, of.name, bc.label),
						"let both ask for the same", dsl.Related{Range: before.by.src, Message: "the other is here"})
					return false
				}
				if there {
					mask &= before.mask
				}
				want[c] = wanted{mask, n, of}
			}
			if n.gate.unit == "" && p.k.m.testNamed[n.gate.test] != nil && !visit(p.k.m.testNamed[n.gate.test]) {
				return false
			}
		}
		return true
	}
	visit(t)
}

// gateOrder reports a gate that cannot come before its test: behind a stage without a way back, or spoiling what waits for it.
func (p *knowledgeProver) gateOrder(t *test) {
	seen := map[*test]bool{}
	var before func(of *test)
	before = func(of *test) {
		gates := p.gates(of)
		for _, g := range p.k.m.tests {
			if n := gates[g]; n != nil && !seen[g] {
				seen[g] = true
				before(g)
			}
		}
	}
	before(t)
	gates := p.gates(t)
	for _, g := range p.k.m.tests {
		if !seen[g] {
			continue
		}
		at := t.src
		if n := gates[g]; n != nil {
			at = n.src
		}
		if slices.Contains(g.spoils, t.name) {
			p.warn(dsl.CodeOrder, at, fmt.Sprintf("%s waits for %s, which spoils it", t.name, g.name), "leave the gate out, or the spoils", dsl.Related{Range: g.src, Message: g.name + " is here"})
			return
		}
		if stage := p.oneWay(g.stage, t.stage); stage != "" && gates[g] != nil {
			p.warn(dsl.CodeOrder, at, fmt.Sprintf("%s is tested at stage %s and waits for %s at stage %s, from which the sheet knows no way back", t.name, t.stage, g.name, g.stage),
				"write back with its time at stage "+stage+", or move one of the tests", dsl.Related{Range: g.src, Message: g.name + " is here"})
			return
		}
	}
}

// oneWay returns the stage without a way back that lies between one stage and an earlier one, empty if there is none.
func (p *knowledgeProver) oneWay(from, to string) string {
	if from == "" || to == "" {
		return ""
	}
	reach := map[string]bool{} // stages on the way to where the later test is made
	for s, n := p.k.m.stages[to], 0; s != nil && n < len(p.k.m.stages); s, n = p.k.m.stages[s.After.String()], n+1 {
		reach[s.Name.Text] = true
	}
	for s, n := p.k.m.stages[from], 0; s != nil && n < len(p.k.m.stages) && !reach[s.Name.Text]; s, n = p.k.m.stages[s.After.String()], n+1 {
		if s.Back == nil {
			return s.Name.Text
		}
	}
	return ""
}

// hazard is a danger that the words of a test give away, and the words by which its caution is known.
type hazard struct {
	words   []string
	caution []string // nil: any caution will do
	what    string
	write   string
}

// hazards are common practice, no source.
var hazards = []hazard{
	{[]string{"mains lamp", "mains-lamp", "110 v lamp", "120 v lamp", "230 v lamp", "mains test lamp"}, []string{"mains", "shock"}, "a mains lamp",
		"caution mains_lamp: isolated supply, insulated prods, one hand, bare windings only"},
	{[]string{"insulation tester", "insulation resistance", "surge", "high voltage", "high-voltage"}, []string{"discharge", "shock", "high voltage", "kills", "250 v", "500 v", "1000 v"}, "high voltage",
		"a caution: bare windings only, discharge the winding afterwards"},
	{[]string{"growler"}, []string{"growler"}, "a growler", "a caution: switch it off before lifting the armature"},
	{[]string{"stall", "locked rotor", "torque"}, []string{"arm", "hand", "clamp", "guard"}, "an arm that strikes", "a caution: clamped down, arm guarded, hands away"},
	{[]string{"capacitor", "condenser"}, []string{"discharge"}, "a charge that stings", "a caution: discharge it before touching it"},
	{[]string{"magnets"}, []string{"pull"}, "magnets that pull", "a caution: keep tools and chips away"},
	{[]string{"undercut", "lathe", "wire brush"}, []string{"eye"}, "chips that fly", "a caution: eye protection"},
	{[]string{"unsolder"}, []string{"hot", "iron"}, "hot joints", "a caution: part clamped, eye protection, joints stay hot"},
	{[]string{"pull-in", "hold-in", "solenoid", "pinion", "plunger", "switch terminal"}, []string{"pinion", "jump", "heat", "hot"}, "a pinion that jumps, or a winding that heats",
		"a caution: fingers out of the nose, first reading within seconds"},
	{[]string{"full output", "on load", "% load", "full field", "regulator bypassed", "free run", "running", "rpm", "at speed"}, []string{"guard", "clamp", "sleeve", "turn"}, "a machine that turns",
		"a caution: guard on, clamped down, no sleeve, no rag"},
	{[]string{"cranking", "key is turned", "load test", "fast charge", "specific gravity"}, nil, "a battery under load, or an engine that cranks",
		"a caution: no spark, ventilate; wheels chocked and out of gear if it cranks"},
}

// caution reports the first danger of a test that none of its cautions speaks of.
func (p *knowledgeProver) caution(t *test) {
	text := strings.ToLower(t.title + "; " + strings.Join(t.steps, "; "))
	for _, name := range t.examines {
		if part := p.k.m.parts[name]; part != nil {
			text += "; " + strings.ToLower(part.Title.String())
		}
	}
	turns := false
	for _, v := range slices.Concat(t.values, t.used) {
		if v.meter != nil {
			text += "; " + strings.ReplaceAll(v.meter.name, "_", " ")
		}
		turns = turns || v.typ.class == numberClass && v.typ.dim == rpm
	}
	said := ""
	for _, name := range t.cautions {
		if c := p.k.m.cautions[name]; c != nil {
			said += strings.ToLower(strings.ReplaceAll(name, "_", " ")+": "+c.Title.String()) + "; "
		}
	}
	for _, h := range hazards {
		if !slices.ContainsFunc(h.words, func(w string) bool { return strings.Contains(text, w) }) {
			continue
		}
		if said == "" || h.caution != nil && !slices.ContainsFunc(h.caution, func(w string) bool { return strings.Contains(said, w) }) {
			p.warn(dsl.CodeNoCaution, t.src, fmt.Sprintf("test %s works with %s, and no caution says so", t.name, h.what), "write "+h.write)
			return
		}
	}
	if said == "" {
		for _, n := range t.needs {
			if n.gate == nil || n.gate.unit != "" {
				continue
			}
			if g := p.k.m.testNamed[n.gate.test]; g != nil && g.stage == t.stage && p.turning(g) {
				p.warn(dsl.CodeNoCaution, t.src, fmt.Sprintf("test %s waits for %s, which is made on a machine that turns, and it has no caution", t.name, g.name), "name the cautions of "+g.name+" here too, or move the test to another stage",
					dsl.Related{Range: g.src, Message: g.name + " is here"})
				return
			}
		}
	}
	switch {
	case said != "":
	case turns:
		p.warn(dsl.CodeNoCaution, t.src, "test "+t.name+" is made on a machine that turns, and it has no caution", "write a caution: guard on, clamped down, no sleeve, no rag")
	case t.runMost.SI() > 0:
		p.warn(dsl.CodeNoCaution, t.src, "test "+t.name+" may run for a short time only, and it has no caution", "write a caution that says what gets hot, or what moves")
	}
}

// turning tells whether a caution of the test speaks of guards and sleeves.
func (p *knowledgeProver) turning(t *test) bool {
	return slices.ContainsFunc(t.cautions, func(name string) bool {
		c := p.k.m.cautions[name]
		if c == nil {
			return false
		}
		text := strings.ToLower(c.Title.String())
		return strings.Contains(text, "guard") || strings.Contains(text, "sleeve")
	})
}

// commonCaution is from how many tests of a stage on a caution that all but one of them carry is missed at that one.
const commonCaution = 5

// cautions notes which cautions are called for, and reports a test that alone of its stage does without one.
func (p *knowledgeProver) cautions() {
	m := p.k.m
	for _, name := range slices.Sorted(maps.Keys(m.cautions)) {
		at := m.cautions[name].Name
		p.calls[at] = p.calls[at] || slices.ContainsFunc(m.tests, func(t *test) bool { return slices.Contains(t.cautions, name) })
		without := map[string][]*test{}
		with := map[string]int{}
		for _, t := range m.tests {
			if slices.Contains(t.cautions, name) {
				with[t.stage]++
			} else {
				without[t.stage] = append(without[t.stage], t)
			}
		}
		for _, stage := range slices.Sorted(maps.Keys(with)) {
			if bare := without[stage]; stage != "" && with[stage] >= commonCaution-1 && len(bare) == 1 {
				p.hint(dsl.CodeNoCaution, bare[0].src, fmt.Sprintf("all other tests of stage %s call for caution %s, and %s does not", stage, name, bare[0].name), "write caution "+name+" there too")
			}
		}
	}
}

// uncalled reports cautions for which no test of any unit calls.
func (p *knowledgeProver) uncalled() dsl.Diagnostics {
	var list dsl.Diagnostics
	for at, called := range p.calls {
		if !called {
			list = append(list, &dsl.Diagnostic{Code: dsl.CodeNoCaution, Severity: dsl.Warning, Range: at.Range, Message: "no test calls for caution " + at.Text + ", so it is never printed",
				Help: "write caution " + at.Text + " in the tests that need it, or leave it out"})
		}
	}
	list.Sort()
	return list
}

var rpm = units.MustUnit("rpm").Dimension()

// numbers reports a limit of which the unit has no numbers for any day or circumstance.
func (p *knowledgeProver) numbers(t *test) {
	if !p.k.m.family {
		return
	}
	for _, c := range t.checks {
		if c.kind == limitCheck && !c.steady && !c.rising && len(c.limits) > 0 && !c.decided() {
			p.hint(dsl.CodeNoNumbers, c.src, c.label()+" has a limit without numbers, and "+p.k.m.name+" brings none: whatever is read passes as information", "write limit "+c.label()+" with its numbers in the family")
		}
	}
}
