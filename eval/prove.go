package eval

import (
	"fmt"
	"maps"
	"slices"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/proof"
)

// Proofs about sheets, made before anyone measures. Each prover looks at one family at a time, with its numbers, and at the shops that change them.

// A prover looks for one sort of slip in a family.
type prover func(*proving)

// provers run in this order.
var provers = []prover{(*proving).outcomes, (*proving).limits, (*proving).ranges, (*proving).curves}

// Prove returns all findings of the proofs, in source order: those of [Bench.ProveReadings] and those of [Bench.ProveKnowledge].
func (b *Bench) Prove() dsl.Diagnostics {
	list := slices.Concat(b.ProveReadings(), b.ProveKnowledge())
	list.Sort()
	return list
}

// ProveReadings looks for slips that show before anything is read: outcomes that never come up, that hold at once, or that readings fall between;
// limits that nothing can meet or fail, and units for which no limit counts; ranges that are empty; curves that do not rise where they must. It is
// exact over the float64 values that judging compares, for readings that stand still and with the numbers of each family. What cannot be decided is
// a finding of its own. The findings are in source order; hints are no slips but worth knowing: what falls to otherwise, and which of two outcomes
// is taken that hold at once. What [Compile] reports is not repeated.
func (b *Bench) ProveReadings() dsl.Diagnostics {
	pr := &proving{bench: b, answers: map[string]proof.Answer{}, listings: map[string]*listed{}, found: map[string]*found{}, examined: map[dsl.Range]map[string]bool{}}
	for _, name := range b.Families() {
		pr.family(b.families[name], "")
	}
	for _, shop := range slices.Sorted(maps.Keys(b.inShop)) {
		for _, name := range slices.Sorted(maps.Keys(b.inShop[shop])) {
			pr.family(b.inShop[shop][name], shop)
		}
	}
	return pr.findings()
}

// proving is one run over all families.
type proving struct {
	bench    *Bench
	m        *model
	shop     string
	tests    []provedTest
	answers  map[string]proof.Answer
	listings map[string]*listed
	found    map[string]*found
	order    []*found
	examined map[dsl.Range]map[string]bool // families that have what stands in a range
}

// provedTest is a test with the cases that its conditions tell apart.
type provedTest struct {
	t     *test
	cases []*symbols
	words []string
}

// found is a finding with the families and the cases that have it.
type found struct {
	d        *dsl.Diagnostic
	families []string
	cases    int
	words    string // of the first case
	home     dsl.Range
	whole    int // how many cases there are
}

// family runs the provers over one family; of a shop only over what its limits touch.
func (pr *proving) family(m *model, shop string) {
	pr.m, pr.shop, pr.tests = m, shop, nil
	for _, t := range m.tests {
		if shop != "" && !t.inShop() {
			continue
		}
		if pr.examined[t.src] == nil {
			pr.examined[t.src] = map[string]bool{}
		}
		pr.examined[t.src][m.name] = true
		cases, ok := pr.cases(m, t)
		if !ok {
			pr.doubt(t.src, "cases", t.name, "its conditions tell too many units apart")
			continue
		}
		pt := provedTest{t: t}
		for _, c := range cases {
			at := c.program.find("", t)
			if at < 0 || c.program.tests[at].applies == canFalse {
				continue
			}
			x := newSymbols(c.program)
			x.about(int32(at))
			pt.cases, pt.words = append(pt.cases, x), append(pt.words, c.words)
		}
		if len(pt.cases) > 0 {
			pr.tests = append(pr.tests, pt)
		}
	}
	for _, p := range provers {
		p(pr)
	}
}

// inShop tells whether a shop has a limit on the test.
func (t *test) inShop() bool {
	return slices.ContainsFunc(t.checks, func(c *check) bool { return slices.ContainsFunc(c.limits, func(l *limit) bool { return l.layer.shop }) })
}

// find notes a finding. sub tells findings of one code in one place apart; the words of the first case that has it are kept.
func (pr *proving) find(d *dsl.Diagnostic, sub string, pt *provedTest, at int) {
	key := fmt.Sprint(d.Code, d.Range, sub)
	f := pr.found[key]
	if f == nil {
		f = &found{d: d}
		if pt != nil {
			f.words, f.whole, f.home = pt.words[at], len(pt.cases), pt.t.src
		}
		pr.found[key] = f
		pr.order = append(pr.order, f)
	}
	if !slices.Contains(f.families, pr.m.name) {
		f.families = append(f.families, pr.m.name)
	}
	if len(f.families) == 1 && pr.shop == "" {
		f.cases++
	}
}

// doubt says that something cannot be decided.
func (pr *proving) doubt(at dsl.Range, sub, what, why string) {
	pr.find(&dsl.Diagnostic{
		Code: dsl.CodeNotProved, Severity: dsl.Warning, Range: at, Message: fmt.Sprintf("%s cannot be proved: %s", what, why),
		Help: "check this by trials at the edges, or write it in a simpler way",
	}, sub, nil, 0)
}

// findings words what was found.
func (pr *proving) findings() dsl.Diagnostics {
	var list dsl.Diagnostics
	for _, f := range pr.order {
		if f.words != "" && f.cases < f.whole {
			f.d.Message += ", when " + f.words
		}
		if some := pr.some(f); some != "" {
			f.d.Message += " (" + some + ")"
		}
		list = append(list, f.d)
	}
	list.Sort()
	return list
}

// some names the families that have a finding, if others have the test without it.
func (pr *proving) some(f *found) string {
	names := f.families
	if len(names) == len(pr.examined[f.home]) || f.home == (dsl.Range{}) {
		return ""
	}
	if len(names) == 1 {
		return "family " + names[0]
	}
	if len(names) > 3 {
		names = append(names[:3:3], fmt.Sprintf("%d more", len(names)-3))
	}
	return "families " + named(names, "and")
}

// can asks whether readings meet all of some conditions. Families of one kind ask the same often.
func (pr *proving) can(x *symbols, conditions ...*proof.Condition) proof.Answer {
	all := proof.All(conditions...)
	key := x.space.Key() + all.Key()
	a, ok := pr.answers[key]
	if !ok {
		a = (&proof.Prover{Space: x.space}).Can(all)
		pr.answers[key] = a
	}
	return a
}
