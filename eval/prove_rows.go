package eval

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/proof"
)

// Grades and patterns: rows of which the first that holds counts.

// listing is a grade or a pattern in one case of its test.
type listing struct {
	pt    *provedTest
	at    int // the case
	x     *symbols
	k     *boundCheck
	rows  []*proof.Condition
	given *proof.Condition
}

func (pr *proving) outcomes() {
	for i := range pr.tests {
		pt := &pr.tests[i]
		live := map[dsl.Range]bool{}
		var dead []func()
		for at, x := range pt.cases {
			t := &x.p.tests[x.home]
			for c := t.checkFrom; c < t.checkTo; c++ {
				k := &x.p.checks[c]
				l := &listing{pt: pt, at: at, x: x, k: k}
				switch k.c.kind {
				case patternCheck:
					l.rows = x.patternRows(k)
				case gradeCheck:
					if k.pos > 0 {
						continue // the others of a list are graded alike
					}
					l.rows = x.rungs(k)
				default:
					continue
				}
				l.given = x.given(t)
				dead = append(dead, pr.list(l, live)...)
			}
		}
		for _, report := range dead {
			report()
		}
	}
}

// given is what holds whenever the test is valid: the ranges of conditions that it needs, and those in which its corrections are allowed.
func (x *symbols) given(t *boundTest) *proof.Condition {
	list := slices.Clone(x.trusted)
	for _, n := range t.needs {
		if n.n.gate == nil && n.truth >= 0 {
			list = append(list, x.truth(n.truth))
		}
	}
	return proof.All(list...)
}

// source is where a row stands.
func (l *listing) source(i int) dsl.Range {
	if l.k.c.kind == patternCheck {
		return l.k.c.rows[i].src
	}
	return l.k.c.src
}

func (l *listing) outcome(i int) outcome {
	if l.k.c.kind == patternCheck {
		return l.k.c.outcomes[l.k.c.rows[i].outcome]
	}
	return l.k.c.outcomes[l.k.c.rungs[i].outcome]
}

// listed is what was found out about a list of rows.
type listed struct {
	proof.Analysis
	gaps []gap
	rest proof.Answer
}

// gap is a stretch of one measure that no row names.
type gap struct {
	m        measured
	at       proof.Answer
	from, to float64
}

// analysed analyses a list of rows, or remembers what another family or case with the same numbers gave.
func (pr *proving) analysed(l *listing) *listed {
	key := l.x.space.Key() + l.given.Key()
	for i, r := range l.rows {
		key += r.Key() + l.outcome(i).word
	}
	known := pr.listings[key]
	if known != nil {
		return known
	}
	p := &proof.Prover{Space: l.x.space}
	known = &listed{Analysis: p.Rows(l.given, l.rows, func(i, j int) bool { return l.outcome(i) != l.outcome(j) && j < len(l.rows)-1 })}
	pr.listings[key] = known
	n := len(l.rows) - 1
	if l.k.c.kind != patternCheck || l.outcome(n).result == Pass {
		return known // that good is what no fault is named for is the common way to write a pattern
	}
	none := l.given
	for _, r := range l.rows[:n] {
		none = proof.All(none, proof.Not(r))
	}
	if known.gaps = l.gaps(pr, none); len(known.gaps) == 0 {
		known.rest = p.Can(none)
	}
	return known
}

// list proves one list of rows. What it returns are the findings on rows that are dead here; they count if the rows live in no other case.
func (pr *proving) list(l *listing, live map[dsl.Range]bool) []func() {
	known := pr.analysed(l)
	a := &known.Analysis
	dead := pr.deadRows(l, a, live)
	doubted := map[int]bool{len(l.rows) - 1: true, len(l.rows): true} // the last row takes what is left
	for _, d := range a.Doubts {
		live[l.rowKey(min(d.Row, len(l.rows)-1))] = true
		if doubted[d.Row] || d.Other >= 0 && doubted[d.Other] {
			continue
		}
		doubted[max(d.Row, d.Other)] = true
		switch {
		case d.Other >= 0:
			pr.doubt(l.source(d.Other), fmt.Sprint("both", d.Row, d.Other), fmt.Sprintf("whether %s and %s can hold at once", l.outcome(d.Row).word, l.outcome(d.Other).word), d.Why)
		default:
			pr.doubt(l.source(d.Row), fmt.Sprint("row", d.Row), "whether "+l.outcome(d.Row).word+" can come up", d.Why)
		}
	}
	pr.overlaps(l, slices.DeleteFunc(a.Overlaps, func(o proof.Overlap) bool { return !pr.confirmed(l, o.At, o.First, o.Second) }))
	if l.k.c.kind == patternCheck {
		pr.rest(l, known)
	}
	return dead
}

// rowKey tells rows apart, those of a grade too, which share their place.
func (l *listing) rowKey(i int) dsl.Range {
	r := l.source(i)
	if l.k.c.kind == gradeCheck {
		r.EndPos.Offset += i
	}
	return r
}

func (pr *proving) deadRows(l *listing, a *proof.Analysis, live map[dsl.Range]bool) []func() {
	var reports []func()
	for i, r := range l.rows {
		if value, known := r.Known(); known && !value {
			continue // what the family is set to shuts it
		}
		if !slices.Contains(a.Dead, i) {
			live[l.rowKey(i)] = true
			continue
		}
		word, key := l.outcome(i).word, l.rowKey(i)
		d := &dsl.Diagnostic{Code: dsl.CodeDeadRow, Severity: dsl.Warning, Range: l.source(i), Help: "mend its numbers, or leave it out"}
		switch {
		case l.k.c.kind == gradeCheck:
			d.Message = word + " never comes up in this grade: what is " + l.where(i) + " is graded by the rows before it"
			d.Help = "the cuts of a grade must rise, with the numbers of each family too"
		case slices.Contains(a.Never, i):
			d.Message = word + " never comes up here: no reading meets its condition"
		case i == len(l.rows)-1:
			d.Severity = dsl.Hint
			d.Message = "nothing falls to " + word + ": the rows before it take every reading that stands still"
			d.Help = "it is there for good measure; keep it"
			continue
		default:
			d.Message = word + " never comes up here: the rows before it take every reading that meets its condition"
			d.Help = "move it up, or leave it out"
		}
		pt, at := l.pt, l.at
		reports = append(reports, func() {
			if !live[key] {
				pr.find(d, fmt.Sprint(i), pt, at)
			}
		})
	}
	return reports
}

// where says what a rung of a grade takes.
func (l *listing) where(i int) string {
	cut := l.k.cuts[i]
	if cut < 0 {
		return "above the last cut"
	}
	n := l.x.amount(cut)
	if n.shape != constNumber {
		return "below its cut"
	}
	return "below " + l.x.printed(l.k, n.c)
}

// confirmed judges a pattern at a witness with the program itself: the rows named must hold there, and those before them not. If that ever fails the
// finding is doubted, not told.
func (pr *proving) confirmed(l *listing, a proof.Answer, rows ...int) bool {
	f := l.x.judgedAt(a.At)
	if f == nil || l.k.c.kind != patternCheck {
		return true
	}
	holds := func(i int) bool { return l.k.rows[i] < 0 || f.regs[l.k.rows[i]].bits == canTrue }
	ok := true
	for i := range rows[0] {
		ok = ok && l.k.rows[i] >= 0 && f.regs[l.k.rows[i]].bits == canFalse
	}
	for _, i := range rows {
		ok = ok && holds(i)
	}
	if !ok {
		pr.doubt(l.source(rows[len(rows)-1]), fmt.Sprint("confirm", rows), "what happens at "+l.x.witness(a), "the program judges it otherwise")
	}
	return ok
}

// overlaps tells of outcomes that hold at once. A special case before the general one is meant so. A milder result before a graver one, and what meets
// at an edge only, seldom is. All else is a question of order, which the author knows best: worth one hint for a row if faults tell the two apart.
func (pr *proving) overlaps(l *listing, list []proof.Overlap) {
	hidden := map[int][]proof.Overlap{}
	for _, o := range list {
		first, second := l.outcome(o.First), l.outcome(o.Second)
		if o.Within && !o.Edge {
			continue
		}
		help := ""
		switch {
		case o.Edge:
			help = "let one of them leave its edge out: write above or below"
		case gravity[first.result] < gravity[second.result]:
			help = fmt.Sprintf("%s hides %s: put %s first, or let one of them leave that out", first.word, second.word, second.word)
		case first.result == second.result && pr.faultsDiffer(l, first.word, second.word):
			hidden[o.Second] = append(hidden[o.Second], o)
			continue
		default:
			continue
		}
		pr.find(&dsl.Diagnostic{
			Code: dsl.CodeRowsOverlap, Severity: dsl.Warning, Range: l.source(o.Second), Help: help,
			Message: fmt.Sprintf("two outcomes hold at %s, %s and %s; %s is taken", l.x.witness(o.At), first.word, second.word, first.word),
			Related: []dsl.Related{{Range: l.source(o.First), Message: first.word + " is here"}},
		}, fmt.Sprint(o.First, " ", o.Second), l.pt, l.at)
	}
	for j := range l.rows {
		var words []string
		for _, o := range hidden[j] {
			if word := l.outcome(o.First).word; !slices.Contains(words, word) {
				words = append(words, word)
			}
		}
		if len(words) == 0 {
			continue
		}
		o := hidden[j][0]
		pr.find(&dsl.Diagnostic{
			Code: dsl.CodeRowsOverlap, Severity: dsl.Hint, Range: l.source(j), Help: "if that is not meant, let the rows leave each other out, or write a row for both above them",
			Message: fmt.Sprintf("where %s holds too, %s is not taken, such as at %s", named(words, "or"), l.outcome(j).word, l.x.witness(o.At)),
			Related: []dsl.Related{{Range: l.source(o.First), Message: l.outcome(o.First).word + " is here"}},
		}, "hidden", l.pt, l.at)
	}
}

// gravity orders results from the mildest to the gravest.
var gravity = map[Result]int{Pass: 0, Marginal: 1, NotValid: 2, Fail: 3}

// faultsDiffer tells whether a fault shows one of two outcomes of a pattern and not the other.
func (pr *proving) faultsDiffer(l *listing, first, second string) bool {
	for _, f := range pr.m.faults {
		a, b := false, false
		for _, s := range f.shows {
			if s.ref.unit == "" && s.ref.test == l.pt.t.name && s.ref.value == "" && s.ref.words != nil {
				a, b = a || slices.Contains(s.ref.words, first), b || slices.Contains(s.ref.words, second)
			}
		}
		if a != b {
			return true
		}
	}
	return false
}

// rest tells what falls to otherwise: gaps between named outcomes, and else an example.
func (pr *proving) rest(l *listing, known *listed) {
	for _, g := range known.gaps {
		l.tellGap(pr, g)
	}
	n := len(l.rows) - 1
	if a := known.rest; a.State == proof.Met && len(a.Needs) > 0 && n > 1 && pr.confirmed(l, a, n) {
		pr.find(&dsl.Diagnostic{
			Code: dsl.CodeOtherwise, Severity: dsl.Hint, Range: l.source(n),
			Message: fmt.Sprintf("no outcome is named for %s: it falls to %s", l.x.witness(a), l.outcome(n).word),
			Help:    "write a row for it if it deserves one",
		}, "", l.pt, l.at)
	}
}

// measured is something that rows compare with numbers on its own: a reading, or a formula whose readings stand nowhere else.
type measured struct {
	variable int
	term     *proof.Term
	cuts     []float64
	name     string
	shown    func(float64) string
	base     proof.Variable
}

// scales lists what the rows measure.
func (l *listing) scales(all *proof.Condition) []measured {
	var list []measured
	for v, s := range l.x.space {
		if s.Words > 0 || s.Opaque {
			continue
		}
		if cuts, ok := all.Cuts(v, nil); ok && len(cuts) > 0 {
			list = append(list, measured{v, nil, cuts, s.Name, func(c float64) string { return l.x.shown(v, c) }, s})
		}
	}
	for _, t := range all.Terms() {
		if cuts, ok := all.Cuts(-1, t); ok && len(cuts) > 0 {
			base := proof.Number(t.Name)
			if v := l.pt.t.named[t.Name]; v != nil && v.typ.class == numberClass {
				base.Pick = written(v.displayUnit())
			}
			list = append(list, measured{-1, t, cuts, t.Name, func(c float64) string { return l.x.ofTerm(l.pt.t, t.Name, c) }, base})
		}
	}
	return list
}

// gaps looks for stretches of one reading that no row names, with named outcomes on both sides, all other readings being the same. Only what two
// rows of different outcomes nearly meet at is a gap: a stretch narrower than what lies on either side of it.
func (l *listing) gaps(pr *proving, none *proof.Condition) []gap {
	n := len(l.rows) - 1
	var found []gap
	named := proof.Any(l.rows[:n]...)
	for _, m := range l.scales(proof.All(none, named)) {
		last := -1 // the cut at which the last gap ended
		for i, from := range m.cuts {
			for n, to := range m.cuts[i:min(i+2, len(m.cuts))] {
				if last == i && n == 0 || l.wide(m, i, from, to) {
					continue
				}
				if a, ok := l.between(pr, m, none, named, from, to); ok {
					found, last = append(found, gap{m, a, from, to}), i+n
				}
			}
		}
	}
	return found
}

// wide tells whether a stretch between two cuts is as wide as that between the cuts on either side of it: then it is one of the ranges of the sheet.
func (l *listing) wide(m measured, i int, from, to float64) bool {
	width := to - from
	if width == 0 {
		return false
	}
	narrower := false
	if i > 0 {
		narrower = narrower || width < from-m.cuts[i-1]
	} else {
		narrower = narrower || width < math.Abs(from)/2
	}
	if i+2 < len(m.cuts) {
		narrower = narrower || width < m.cuts[i+2]-to
	} else {
		narrower = narrower || width < math.Abs(to)/2
	}
	return !narrower
}

// between looks for readings of which those between two cuts are not named, those just below and above are, and all else is the same.
func (l *listing) between(pr *proving, m measured, none, named *proof.Condition, from, to float64) (proof.Answer, bool) {
	space := slices.Clone(l.x.space)
	k := len(space)
	space = append(space, m.base, m.base, m.base) // below, between, above
	inside := proof.All(proof.Compare(k+1, proof.Above, from), proof.Compare(k+1, proof.Below, to))
	if from == to {
		inside = proof.Compare(k+1, proof.Equals, from)
	}
	p := &proof.Prover{Space: space}
	a := p.Can(
		none.With(m.variable, m.term, k+1), inside,
		named.With(m.variable, m.term, k), proof.Compare(k, proof.AtMost, from), proof.Compare(k, proof.Above, l.before(m, from)),
		named.With(m.variable, m.term, k+2), proof.Compare(k+2, proof.AtLeast, to), proof.Compare(k+2, proof.Below, l.behind(m, to)),
	)
	if m.term == nil || a.State != proof.Met {
		return a, a.State == proof.Met
	}
	there := proof.All(proof.CompareTerm(m.term, proof.AtLeast, a.At[k+1]), proof.CompareTerm(m.term, proof.AtMost, a.At[k+1]))
	return a, pr.can(l.x, none, there).State == proof.Met // readings can make the formula so
}

// before is the cut before a cut, behind the one behind it; beyond the last there is no end.
func (l *listing) before(m measured, cut float64) float64 {
	if i, _ := slices.BinarySearch(m.cuts, cut); i > 0 {
		return m.cuts[i-1]
	}
	return math.Inf(-1)
}

func (l *listing) behind(m measured, cut float64) float64 {
	if i, _ := slices.BinarySearch(m.cuts, cut); i+1 < len(m.cuts) {
		return m.cuts[i+1]
	}
	return math.Inf(1)
}

func (l *listing) tellGap(pr *proving, g gap) {
	m, a, from, to := g.m, g.at, g.from, g.to
	n := len(l.rows) - 1
	k := len(l.x.space)
	side := func(v int) string {
		at := slices.Clone(a.At)
		for i, r := range l.rows[:n] {
			if r.With(m.variable, m.term, v).Holds(at) {
				return l.outcome(i).word
			}
		}
		return l.outcome(n).word
	}
	value := m.shown(a.At[k+1])
	if from == to {
		value = "exactly " + value
	}
	others := proof.Answer{At: a.At, Exact: a.Exact}
	for _, v := range a.Needs {
		if v < k && v != m.variable && (m.term == nil || !slices.Contains(m.term.Of, v)) {
			others.Needs = append(others.Needs, v)
		}
	}
	with := ""
	if len(others.Needs) > 0 {
		with = " with " + l.x.witness(others)
	}
	below, above := side(k), side(k+2)
	row := n
	for i := n - 1; i >= 0; i-- {
		if w := l.outcome(i).word; w == below || w == above {
			row = i
			break
		}
	}
	pr.find(&dsl.Diagnostic{
		Code: dsl.CodeRowsGap, Severity: dsl.Warning, Range: l.source(row),
		Message: fmt.Sprintf("%s %s%s falls in no named outcome: below it is %s, above it %s", m.name, value, with, below, above),
		Help:    "let the two meet, or write a row for what lies between",
	}, fmt.Sprint(strings.Split(m.name, "[")[0], from, to), l.pt, l.at)
}
