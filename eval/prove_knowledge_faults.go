package eval

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// Proofs over the table of faults and checks.

// mostExpected is how many faults a unit has at most on average.
const mostExpected = 2

func (p *knowledgeProver) faults() {
	p.expected()
	p.unseen()
	p.hidden()
	p.unseparated()
	p.silent()
	p.alikes()
	p.unexplained()
	p.bare()
}

// bare reports faults that lack what most others have: a part, a frequency, a remedy.
func (p *knowledgeProver) bare() {
	faults := p.k.m.faults
	for _, what := range []struct {
		name, write string
		has         func(f *fault) bool
	}{
		{"part", "part with the part that it sits in", func(f *fault) bool { return f.part != "" }},
		{"frequency", "occurs with usual, common, occasional or rare", func(f *fault) bool { return len(f.occurs) > 0 }},
		{"remedy", "remedy with what to do", func(f *fault) bool { return f.remedy != "" }},
	} {
		var without []*fault
		for _, f := range faults {
			if !what.has(f) {
				without = append(without, f)
			}
		}
		if len(faults) < fewFaults || 2*len(without) >= len(faults) {
			continue
		}
		for _, f := range without {
			p.hint(dsl.CodeBareFault, f.src, fmt.Sprintf("fault %s has no %s, as nearly all others have", f.name, what.name), "write "+what.write)
		}
	}
}

// expected adds up the frequencies. That of a fault of positions is spread over them, so that it counts once.
func (p *knowledgeProver) expected() {
	sum, places := 0.0, map[*fault]int{}
	var most *faultRow
	for i := range p.k.rows {
		r := &p.k.rows[i]
		places[r.f] += len(r.positions)
		if most == nil || r.frequency > most.frequency {
			most = r
		}
	}
	for i := range p.k.rows {
		r := &p.k.rows[i]
		sum += float64(r.frequency*float64(len(r.positions))) / float64(places[r.f])
	}
	if sum > mostExpected {
		p.warn(dsl.CodeExpectedFaults, most.f.src, fmt.Sprintf("the faults of %s add up to %.2g in one unit on average, and more than %d is more than a unit has", p.k.m.name, sum, mostExpected),
			"call those occasional or rare that you have seldom seen")
	}
}

// outcomesOf returns outcomes by their words.
func (c *check) outcomesOf(words []string) uint32 {
	mask := uint32(0)
	for _, w := range words {
		if i := c.find(w); i >= 0 {
			mask |= 1 << i
		}
	}
	return mask
}

// unseen reports faults that show nothing, or nothing but good, at any test that is meant for the unit.
func (p *knowledgeProver) unseen() {
	for i := range p.k.rows {
		r := &p.k.rows[i]
		if len(r.sees) > 0 {
			continue
		}
		why := "it shows nothing"
		for j := range r.cells {
			switch {
			case r.bad[j] != 0:
				why = "the tests at which it shows something are not meant for this unit"
			case len(r.cells[j].shows) > 0 && why == "it shows nothing":
				why = "it shows only what passes, or anything"
			}
		}
		p.warn(dsl.CodeUnseenFault, r.f.src, fmt.Sprintf("no test can see fault %s: %s", r.label(), why), "write what it shows at which test, and how surely: shows test.value low usually")
	}
}

// hidden reports faults that another one masks wherever they would be seen.
func (p *knowledgeProver) hidden() {
	for i := range p.k.rows {
		r := &p.k.rows[i]
		sees := r.sees
		if len(sees) == 0 {
			continue
		}
		for j := range p.k.rows {
			g := &p.k.rows[j]
			hides := func(c int) bool {
				return g.cells[c].masked && (g.cells[c].maskedFor == nil || slices.Contains(g.cells[c].maskedFor, r.f.name))
			}
			if slices.ContainsFunc(sees, func(c int) bool { return !hides(c) }) {
				continue
			}
			if g.f == r.f {
				p.warn(dsl.CodeHiddenFault, r.f.src, "fault "+r.label()+" masks every check at which it would be seen itself", "a fault does not mask what it shows: leave the masks out, or the shows")
				break
			}
			p.warn(dsl.CodeHiddenFault, r.f.src, fmt.Sprintf("wherever fault %s would be seen, %s masks it", r.label(), g.label()), "let it show something at a check that "+g.f.name+" leaves alone, or mask less",
				dsl.Related{Range: g.f.src, Message: "what masks it is here"})
			break
		}
	}
}

// leastAlike is from which affinity on two faults count as not told apart. The affinity is the Bhattacharyya coefficient of all that they show, the
// product over the checks of Σ √(p·q); a choice between two that are equally frequent is then wrong with a probability of at least ½(1 − √(1 − ρ²)),
// which is 0.2 for 0.8: Kailath, The divergence and Bhattacharyya distance measures in signal selection, IEEE Trans. Comm. Tech. 15 (1967), 52.
const leastAlike = 0.8

// unseparated reports groups of faults with different remedies that no test tells apart.
func (p *knowledgeProver) unseparated() {
	group := map[*fault]*fault{}
	var root func(f *fault) *fault
	root = func(f *fault) *fault {
		if g := group[f]; g != nil && g != f {
			return root(g)
		}
		return f
	}
	for i := range p.k.rows {
		r := &p.k.rows[i]
		for j := range i {
			g := &p.k.rows[j]
			if g.f == r.f || p.sameRemedy(r.f, g.f) || len(r.sees) == 0 || len(g.sees) == 0 || p.affinity(r, g) <= leastAlike {
				continue
			}
			if a, b := root(g.f), root(r.f); a != b {
				group[b] = a
			}
		}
	}
	for _, first := range p.k.m.faults {
		var members []*fault
		for _, f := range p.k.m.faults {
			if root(f) == first {
				members = append(members, f)
			}
		}
		if len(members) > 1 {
			p.reportGroup(members)
		}
	}
}

func (p *knowledgeProver) reportGroup(members []*fault) {
	var names, remedies []string
	var related []dsl.Related
	for i, f := range members {
		names = append(names, f.name)
		what := f.remedy
		if what == "" {
			what = f.part
		}
		if what != "" && !slices.Contains(remedies, what) {
			remedies = append(remedies, what)
		}
		if i > 0 {
			related = append(related, dsl.Related{Range: f.src, Message: f.name + " is here"})
		}
	}
	p.warn(dsl.CodeUnseparated, members[0].src, fmt.Sprintf("no test tells %s apart, and their remedies differ: %s", named(names, "and"), named(remedies, "or")), p.separating(members), related...)
}

// separating says which kind of test would tell faults apart: one that looks at a part of theirs alone, if there is one where they are silent.
func (p *knowledgeProver) separating(members []*fault) string {
	for _, f := range members {
		for _, t := range p.k.m.tests {
			alone := slices.Contains(t.examines, f.part) && !slices.ContainsFunc(members, func(g *fault) bool { return g.part != f.part && slices.Contains(t.examines, g.part) })
			if alone && p.k.applies(0, t) && !slices.ContainsFunc(f.shows, func(s *show) bool { return s.ref.unit == "" && s.ref.test == t.name }) {
				return fmt.Sprintf("say what %s shows at %s, which examines its part", f.name, t.name)
			}
		}
	}
	parts := map[string]bool{}
	for _, f := range members {
		parts[f.part] = true
	}
	if len(parts) > 1 {
		return fmt.Sprintf("write a test that examines %s alone, with what leads to it lifted, and what each of them shows there", p.partTitle(members[0].part))
	}
	return "write a test that looks into " + p.partTitle(members[0].part) + ", and what each of them shows there; or give them one remedy"
}

func (p *knowledgeProver) partTitle(name string) string {
	if part := p.k.m.parts[name]; part != nil {
		return strings.ToLower(part.Title.String())
	}
	return "the part"
}

// sameRemedy tells whether one repair mends both faults. Where a remedy is not stated, faults of one part are taken to have the same.
func (p *knowledgeProver) sameRemedy(f, g *fault) bool {
	mine, theirs := p.remediesOf(f), p.remediesOf(g)
	if len(mine) == 0 || len(theirs) == 0 {
		return f.part == g.part
	}
	return slices.ContainsFunc(theirs, func(r string) bool { return slices.Contains(mine, r) })
}

func (p *knowledgeProver) remediesOf(f *fault) []string {
	var list []string
	for _, name := range []string{f.remedy, f.orElse} {
		if name != "" {
			list = append(list, name)
		}
	}
	return list
}

// affinity is the Bhattacharyya coefficient of what two rows show at all checks that are meant for the unit, each check taken by itself. Once it is
// too small to matter it is not worked out further.
func (p *knowledgeProver) affinity(r, g *faultRow) float64 {
	product := 1.0
	i, j := 0, 0
	for product > leastAlike && (i < len(r.touched) || j < len(g.touched)) {
		var x, y []float64
		at := len(r.cells)
		if i < len(r.touched) {
			at = r.touched[i]
		}
		if j < len(g.touched) {
			at = min(at, g.touched[j])
		}
		if i < len(r.touched) && r.touched[i] == at {
			x, i = r.odds[i], i+1
		}
		if j < len(g.touched) && g.touched[j] == at {
			y, j = g.odds[j], j+1
		}
		if col := &p.k.columns[at]; col.meant {
			product *= overlapOf(x, y, col)
		}
	}
	return product
}

// overlapOf is Σ √(p·q) of two distributions over the outcomes of a check; nil stands for one that is silent there.
func overlapOf(x, y []float64, col *column) float64 {
	if x == nil {
		x, y = y, x
	}
	n := 0.0
	for o := range x {
		if y == nil && col.good&(1<<o) != 0 {
			n++
		}
	}
	sum := 0.0
	for o := range x {
		switch {
		case y != nil:
			sum += math.Sqrt(x[o] * y[o])
		case col.good&(1<<o) != 0:
			sum += math.Sqrt(x[o] / n)
		}
	}
	return sum
}

func (c *cell) plain() bool { return len(c.shows) == 0 && !c.masked && c.follows < 0 }

// distribution is how probable each outcome of a column is for a row. What is hidden may be anything.
func (k *knowledge) distribution(r *faultRow, i int) []float64 {
	c := &r.cells[i]
	n := len(k.columns[i].c.outcomes)
	out := make([]float64, n)
	share := func(mask uint32, p float64) {
		count := 0.0
		for o := range n {
			if mask&(1<<o) != 0 {
				count++
			}
		}
		for o := range n {
			if mask&(1<<o) != 0 {
				out[o] += p / count
			}
		}
	}
	if c.follows >= 0 {
		from := &k.columns[c.follows]
		followed := k.distribution(r, c.follows)
		if from.c.sameOutcomes(k.columns[i].c) {
			return followed
		}
		good := 0.0
		for o, p := range followed {
			if from.good&(1<<o) != 0 {
				good += p
			}
		}
		share(k.columns[i].good, good)
		share(k.columns[i].all()&^k.columns[i].good, 1-good)
		return out
	}
	left := 1.0
	for _, s := range c.shows {
		weight := min(s.s.strength.p, left)
		mask := k.columns[i].c.outcomesOf(s.s.ref.words)
		if s.s.strength.any {
			weight, mask = left, k.columns[i].all()
		}
		share(mask, weight)
		left -= weight
	}
	if c.masked && len(c.shows) == 0 && c.maskedFor == nil {
		share(k.columns[i].all(), left)
	} else {
		share(k.columns[i].good, left)
	}
	return out
}

// Two checks are kindred if a pattern reads what the other judges, or if at least eight faults show something at one of them and nearly all of
// those that do so at either do so at both.
const (
	kindredFaults = 8
	kindredShare  = 0.85
)

// silent reports faults that show something at one check and nothing at a kindred one.
func (p *knowledgeProver) silent() {
	kin := p.kin()
	for i := range p.k.rows {
		r := &p.k.rows[i]
		var beside, on []string
		certain := false
		for _, from := range r.touched {
			if r.bad[from] == 0 {
				continue
			}
			look := func(j int, reads bool) {
				to := &p.k.columns[j]
				if r.cells[j].plain() && to.meant && !p.mentions(r.f, to.c) && !slices.Contains(on, to.label) {
					beside, on, certain = append(beside, p.k.columns[from].label), append(on, to.label), certain || reads
				}
			}
			if c := p.k.columns[from].c; c.absorbed() {
				look(p.k.column(c.test.pattern), true)
			}
			for _, j := range kin[from] {
				look(j, false)
			}
		}
		if len(on) == 0 {
			continue
		}
		message := fmt.Sprintf("fault %s shows something at %s but is silent on %s, where nearly all others that do so speak", r.f.name, beside[0], named(atMost(on, 3), "and"))
		severity := dsl.Hint
		if certain {
			severity, message = dsl.Warning, fmt.Sprintf("fault %s shows something at %s but is silent on %s, whose rows read it: the pattern cannot stay good", r.f.name, beside[0], named(atMost(on, 3), "and"))
		}
		p.find(severity, dsl.CodeSilentCheck, r.f.src, message, "say what it shows there; write never behind it where it shows nothing")
	}
}

// kin lists for each column those that nearly the same faults show.
func (p *knowledgeProver) kin() map[int][]int {
	shows := map[int]map[*fault]bool{} // by column: the faults that show something there that does not pass
	for i := range p.k.rows {
		for _, c := range p.k.rows[i].touched {
			if p.k.rows[i].bad[c] == 0 {
				continue
			}
			if shows[c] == nil {
				shows[c] = map[*fault]bool{}
			}
			shows[c][p.k.rows[i].f] = true
		}
	}
	var many []int
	for _, c := range slices.Sorted(maps.Keys(shows)) {
		if float64(len(shows[c])) >= kindredFaults*kindredShare {
			many = append(many, c)
		}
	}
	kin := map[int][]int{}
	for _, x := range many {
		for _, y := range many {
			if x != y && alike(shows[x], shows[y]) {
				kin[x] = append(kin[x], y)
			}
		}
	}
	return kin
}

// alike tells whether two checks are shown by nearly the same faults.
func alike(x, y map[*fault]bool) bool {
	if len(x) < kindredFaults || float64(min(len(x), len(y))) < kindredShare*float64(max(len(x), len(y))) {
		return false
	}
	both := 0
	for f := range x {
		if y[f] {
			both++
		}
	}
	return float64(both) >= kindredShare*float64(len(x)+len(y)-both)
}

// mentions tells whether a fault names a check, be it for other units.
func (p *knowledgeProver) mentions(f *fault, c *check) bool {
	return slices.ContainsFunc(f.shows, func(s *show) bool { return s.ref.unit == "" && c.answers(s.ref) })
}

// fewFaults is from how many faults on a sheet is meant to explain what comes up. Before that its author has just begun.
const fewFaults = 3

// unexplained reports the outcomes of a check that no fault and no cause accounts for. What a pattern reads is absorbed by it, and otherwise is
// meant for what nobody thought of. A fault accounts for its outcomes even where the unit cannot have it.
func (p *knowledgeProver) unexplained() {
	if len(p.k.m.faults) < fewFaults {
		return
	}
	for i := range p.k.columns {
		col := &p.k.columns[i]
		c := col.c
		if col.unit != 0 || !col.meant || c.absorbed() || p.idle(c.test) {
			continue
		}
		explained := p.seenAsCause(c)
		for _, f := range p.k.m.faults {
			for _, s := range f.shows {
				if s.ref.unit == "" && c.answers(s.ref) {
					explained |= c.outcomesOf(s.ref.words)
				}
			}
		}
		for j := range p.k.rows {
			if at := p.k.rows[j].cells[i].follows; at >= 0 && p.k.rows[j].bad[at] != 0 {
				explained = col.all()
			}
		}
		possible := p.possible(c)
		var words []string
		for o, out := range c.outcomes {
			if out.result == Fail && (possible&^explained)&(1<<o) != 0 && !c.catchAll(o) {
				words = append(words, out.word)
			}
		}
		if len(words) > 0 {
			at := c.src
			if c.kind == alikeCheck {
				at = c.limits[0].src // the value may have a check of its own
			}
			p.hint(dsl.CodeUnexplainedOutcome, at, fmt.Sprintf("no fault explains %s of %s", named(words, "or"), col.label), "write which fault shows it: shows "+col.label+" "+words[0]+" usually")
		}
	}
}

func (col *column) all() uint32 { return uint32(1)<<len(col.c.outcomes) - 1 }

// answers tells whether a reference names this check.
func (c *check) answers(o *outcomeRef) bool {
	switch {
	case o.test != c.test.name:
		return false
	case o.value == "":
		return c.kind == patternCheck || c.test.pattern == nil
	}
	return c.val != nil && o.value == c.val.name && o.alike == (c.kind == alikeCheck)
}

// seenAsCause returns the outcomes of a check by which a cause is seen.
func (p *knowledgeProver) seenAsCause(c *check) uint32 {
	mask := uint32(0)
	for _, k := range p.k.m.causes {
		eachExpr(k.seen, func(e *expr) {
			if e.ref != nil && e.ref.unit == "" && c.answers(e.ref) {
				mask |= c.outcomesOf(e.ref.words)
			}
			if e.op == opWordIs && c.kind == wordCheck && e.args[0].val == c.val {
				for i, w := range c.val.typ.words {
					if e.mask&(1<<i) != 0 {
						mask |= c.outcomesOf([]string{w})
					}
				}
			}
		})
	}
	return mask
}

// possible returns the outcomes that the limits of the unit leave room for: a bound to one side only has no outcome on the other,
// and of two members that are not alike neither is the odd one.
func (p *knowledgeProver) possible(c *check) uint32 {
	switch {
	case c.kind == alikeCheck && c.pair():
		return c.outcomesOf([]string{"mixed"})
	case c.kind != limitCheck:
		return uint32(1)<<len(c.outcomes) - 1
	}
	var words []string
	for _, l := range c.limits {
		if l.low != nil || l.along.bounds(false) {
			words = append(words, "low")
		}
		if l.high != nil || l.along.bounds(true) {
			words = append(words, "high")
		}
	}
	if c.steady {
		words = append(words, "jumps")
	}
	if c.rising {
		words = append(words, "dips")
	}
	return c.outcomesOf(words)
}

// decided tells whether anything can come of a check: a limit that only says that families bring one decides nothing.
func (c *check) decided() bool {
	return c.kind != limitCheck && c.kind != wordCheck || c.steady || c.rising || slices.ContainsFunc(c.limits, func(l *limit) bool { return !l.declares })
}

// catchAll tells whether an outcome is meant for what no fault is known for: that of otherwise, and several odd members of a list.
func (c *check) catchAll(o int) bool {
	switch c.kind {
	case patternCheck:
		return !slices.ContainsFunc(c.rows, func(r row) bool { return r.outcome == o && r.when != nil })
	case alikeCheck:
		return c.outcomes[o].word == "mixed" && !c.pair()
	}
	return false
}

// pair tells whether an alike check compares two members that have names.
func (c *check) pair() bool {
	return len(c.val.typ.axes) == 1 && len(c.val.typ.axes[0].words) == 2
}

// absorbed tells whether the pattern of the test reads what the check judges.
func (c *check) absorbed() bool {
	t := c.test
	if t.pattern == nil || c == t.pattern {
		return false
	}
	for _, r := range t.pattern.rows {
		if r.when != nil && t.reads(r.when, c.val, map[*value]bool{}) {
			return true
		}
	}
	return false
}

// reads tells whether an expression uses a value of the test, be it by its outcome or by a formula.
func (t *test) reads(e *expr, v *value, seen map[*value]bool) bool {
	if e.ref != nil && e.ref.unit == "" && e.ref.test == t.name && e.ref.value == v.name || e.val == v {
		return true
	}
	if e.ref != nil && e.ref.test == t.name && t.named[e.ref.value] != nil {
		if w := t.named[e.ref.value]; w.formula != nil && !seen[w] {
			seen[w] = true
			if t.reads(w.formula, v, seen) {
				return true
			}
		}
	}
	if e.val != nil && e.val.formula != nil && !seen[e.val] {
		seen[e.val] = true
		if t.reads(e.val.formula, v, seen) {
			return true
		}
	}
	return slices.ContainsFunc(e.args, func(a *expr) bool { return t.reads(a, v, seen) })
}
