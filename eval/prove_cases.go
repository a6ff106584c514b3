package eval

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// The cases of a test: the units and days that its conditions tell apart. What a family sets is known; for what it leaves to the unit each value
// is a case, of numbers, serials and days each that a condition names and one in each stretch between.

// maxCases bounds the cases of one test.
const maxCases = 512

// provingCase is one of them.
type provingCase struct {
	words   string // what is true of the unit, empty if nothing is asked
	program *program
}

// asks gathers what the conditions of a test ask of the unit.
type asks struct {
	m     *model
	base  *statics
	named map[string]*probe
	days  map[day]bool
	tests map[*test]bool
	seen  map[*value]bool
}

func newAsks(m *model) *asks {
	cfg := &configuration{m: m, sets: map[string]map[string]constant{"": {}}}
	return &asks{
		m: m, base: &statics{cfg: cfg, units: []boundUnit{{m: m}}},
		named: map[string]*probe{}, days: map[day]bool{}, tests: map[*test]bool{}, seen: map[*value]bool{},
	}
}

// test takes in a test and those whose values or outcomes it uses.
func (a *asks) test(t *test) {
	if t == nil || a.tests[t] {
		return
	}
	a.tests[t] = true
	a.expr(t.applies)
	for _, v := range t.values {
		a.expr(v.formula)
		for _, k := range v.laws {
			a.expr(k.arg)
		}
		for _, x := range v.typ.axes {
			a.expr(x.to)
		}
	}
	for _, n := range t.needs {
		a.expr(n.pred)
	}
	for _, c := range t.checks {
		a.check(c)
	}
}

func (a *asks) check(c *check) {
	a.expr(c.pitch)
	a.expr(c.pitchWhen)
	for _, r := range c.rows {
		a.expr(r.when)
	}
	for _, r := range c.rungs {
		a.expr(r.cut)
	}
	for _, l := range c.limits {
		a.layer(l.layer, l.source)
		a.expr(l.when)
		for _, x := range []*bound{l.low, l.high, l.newLow, l.newHigh} {
			if x != nil {
				a.expr(x.x)
			}
		}
		if l.alike != nil {
			a.expr(l.alike.tolerance)
		}
	}
}

// layer takes in what a limit or a set value depends on: its variant, and the days of its source.
func (a *asks) layer(l layer, s *source) {
	if l.variant != nil {
		a.expr(l.variant.when)
	}
	if s == nil {
		return
	}
	if s.from != 0 {
		a.days[s.from] = true
	}
	if s.until != 0 {
		a.days[s.until.next()] = true
	}
}

func (a *asks) expr(e *expr) {
	if e == nil {
		return
	}
	if e.ref != nil && e.ref.unit == "" {
		a.test(a.m.testNamed[e.ref.test])
	}
	switch {
	case e.op == opVariant:
		a.expr(e.variant.when)
	case e.op == opSerial:
		a.probe("serial", e)
	case e.op == opBuilt:
		a.probe("built", e)
	case e.op == opValue && e.val.kind == attributeValue:
		a.attribute(e)
	case e.op == opValue && e.val.test != nil:
		a.test(a.m.testNamed[e.val.test.name])
	}
	for i, x := range e.args {
		a.expr(x)
		if p := a.probeOf(x); p != nil && e.typ.class == truthClass {
			p.texts = append(p.texts, e.texts...)
			for k, other := range e.args {
				switch {
				case k == i:
				case other.op == opText:
					p.texts = append(p.texts, other.text)
				case other.op == opConst || other.op == opDate:
					p.said = append(p.said, other.num)
				}
			}
		}
	}
}

// attribute asks for an attribute, unless the family says what it is; where that turns on a variant, for what the variant turns on.
func (a *asks) attribute(e *expr) {
	own := a.m.attributes[e.val.name]
	if own == nil {
		return
	}
	if !a.seen[own] {
		a.seen[own] = true
		for _, s := range own.sets {
			a.layer(s.layer, s.source)
		}
	}
	if len(own.sets) == 0 {
		a.probe(own.name, e)
	}
}

func (a *asks) probe(name string, e *expr) {
	if a.named[name] == nil {
		a.named[name] = &probe{of: e}
	}
}

func (a *asks) probeOf(e *expr) *probe {
	switch {
	case e.op == opSerial:
		return a.named["serial"]
	case e.op == opBuilt:
		return a.named["built"]
	case e.op == opValue && e.val.kind == attributeValue:
		return a.named[e.val.name]
	}
	return nil
}

// cases lists the cases of a test; false if there are too many.
func (pr *proving) cases(m *model, t *test) ([]provingCase, bool) {
	a := newAsks(m)
	a.test(t)
	var probes []*probe
	n := 1
	for _, name := range slices.Sorted(maps.Keys(a.named)) {
		p := a.named[name]
		p.texts = neighbours(p)
		if !p.fill() {
			continue
		}
		p.values = distinct(p.values)
		probes = append(probes, p)
		if n *= len(p.values); n > maxCases {
			return nil, false
		}
	}
	days := slices.Sorted(maps.Keys(a.days))
	if len(days) == 0 {
		days = []day{0}
	}
	if n*len(days) > maxCases {
		return nil, false
	}
	var list []provingCase
	for _, d := range days {
		cfg := &configuration{m: m, sets: map[string]map[string]constant{"": {}}, date: d, sizes: sizesOf(m), tables: map[*value]int{}}
		for _, t := range m.tests {
			for _, v := range t.values {
				if v.typ.table {
					cfg.tables[v] = fewMembers
				}
			}
		}
		words := make([]string, len(probes))
		var choose func(i int)
		choose = func(i int) {
			if i == len(probes) {
				if p := caseOf(cfg, t); p != nil {
					list = append(list, provingCase{strings.Join(words, " and "), p})
				}
				return
			}
			for _, k := range probes[i].values {
				probes[i].set(cfg, k)
				words[i] = probes[i].is(k)
				choose(i + 1)
			}
		}
		choose(0)
	}
	return list, true
}

// fewMembers is how long a list is taken to be if its length is left to the unit.
const fewMembers = 3

func sizesOf(m *model) map[*axis]int {
	sizes := map[*axis]int{}
	for _, a := range m.axes {
		if a.to != nil {
			sizes[a] = fewMembers
		}
	}
	for _, inc := range m.includes {
		for _, a := range inc.kind.axes {
			if a.to != nil {
				sizes[a] = fewMembers
			}
		}
	}
	return sizes
}

func distinct(list []constant) []constant {
	var kept []constant
	for _, k := range list {
		if !slices.ContainsFunc(kept, func(x constant) bool { return x.lo == k.lo && x.mask == k.mask && x.text == k.text }) {
			kept = append(kept, k)
		}
	}
	return kept
}

// neighbours adds to the serials that are named those just before and behind them, and to other texts one that is none of them.
func neighbours(p *probe) []string {
	list := slices.Clone(p.texts)
	if p.of.op != opSerial {
		if p.of.typ.class == textClass && len(list) > 0 {
			list = append(list, "other than "+strings.Join(p.texts, ", "))
		}
		return list
	}
	for _, s := range p.texts {
		for _, step := range []int{-1, 1} {
			if n, ok := serialStep(s, step); ok {
				list = append(list, n)
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// serialStep counts a serial up or down in its last run of digits.
func serialStep(s string, step int) (string, bool) {
	end := strings.LastIndexAny(s, "0123456789") + 1
	from := end
	for from > 0 && s[from-1] >= '0' && s[from-1] <= '9' {
		from--
	}
	n, err := strconv.Atoi(s[from:end])
	if err != nil || n+step < 0 {
		return "", false
	}
	return s[:from] + fmt.Sprintf("%0*d", end-from, n+step) + s[end:], true
}

// caseOf binds a test with what it depends on; nil if they depend on each other in a circle, which Compile has told.
func caseOf(cfg *configuration, t *test) *program {
	own := *cfg
	own.sets = map[string]map[string]constant{"": maps.Clone(cfg.sets[""])}
	b := bindOne(&own, t)
	if b.circle != nil {
		return nil
	}
	return b.p
}
