package eval

import (
	"fmt"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval/diagnosis"
)

// What ranking needs of the faults: how often they occur, what they lead to, and which checks speak together.

// prior is how often one instance of a fault occurs. The frequency of a fault of positions is for all of them together. A frequency whose condition is
// not known counts half.
func (b *binder) prior(u int, f *fault) float64 {
	p, known := 0., len(f.occurs) == 0
	for _, o := range f.occurs {
		holds := uint64(canTrue)
		if o.when != nil {
			holds = b.eval(u, o.when).bits
		}
		switch holds {
		case canTrue:
			p, known = o.p, true
		case either:
			p, known = p+o.p/2, true
		}
		if holds == canTrue {
			break
		}
	}
	if len(f.occurs) == 0 {
		p = diagnosis.DefaultPrior
	}
	if !known || p <= 0 {
		return -1
	}
	return p / float64(max(1, b.size(f.axes)))
}

// bindLinks adds which faults lead to which, and what two faults show together.
func (b *binder) bindLinks() {
	for i := range b.p.faults {
		bf := &b.p.faults[i]
		row := &b.p.table.Faults[i]
		for _, l := range bf.f.leads {
			targets := b.instances(bf.unit, l.fault, here(l.index, bf.f.axes, bf.names))
			for _, k := range targets {
				if k != i && l.strength.p > 0 {
					row.Leads = append(row.Leads, diagnosis.Lead{To: k, Strength: min(l.strength.p, diagnosis.Certain) / float64(len(targets))})
				}
			}
		}
		for _, w := range bf.f.with {
			if w.show.when != nil && b.eval(bf.unit, w.show.when).bits == canFalse {
				continue
			}
			b.unit = bf.unit
			b.where = b.placeOf(bf.f.axes, bf.pos)
			for _, c := range b.find(w.show.ref, bf.unit, here(w.show.ref.index, bf.f.axes, bf.names)) {
				for _, k := range b.instances(bf.unit, w.other, nil) {
					row.With = append(row.With, diagnosis.With{Other: k, Check: int(c), Outcomes: b.outcomes(&w.show, c), Strength: w.show.strength.p})
				}
			}
		}
	}
}

// instances finds a fault of a unit at a position, or at all of them.
func (b *binder) instances(unit int, name string, index []string) []int {
	var list []int
	for k := range b.p.faults {
		f := &b.p.faults[k]
		if f.unit == unit && f.f.name == name && (index == nil || slices.Equal(index, f.names)) {
			list = append(list, k)
		}
	}
	return list
}

// bindEchoes makes the checks of a test that echoes another follow it for every fault that names only the other.
func (b *binder) bindEchoes() {
	for e := range b.p.tests {
		echo := &b.p.tests[e]
		at, ok := b.testAt[testKey{echo.unit, echo.t.echoes}]
		if echo.t.echoes == nil || !ok {
			continue
		}
		for c := echo.checkFrom; c < echo.checkTo; c++ {
			if from := b.echoed(&b.p.tests[at], c); from >= 0 {
				b.follow(echo, c, from)
			}
		}
	}
}

// echoed finds the check that another follows: that of the same name, else the pattern or the only check.
func (b *binder) echoed(t *boundTest, c int32) int32 {
	first, n := int32(-1), 0
	for i := t.checkFrom; i < t.checkTo; i++ {
		k := &b.p.checks[i]
		switch {
		case k.c.kind == infoCheck:
			continue
		case k.c.name == b.p.checks[c].c.name && k.pos == b.p.checks[c].pos:
			return i
		case k.c.kind == patternCheck:
			return i
		}
		first, n = i, n+1
	}
	if n == 1 {
		return first
	}
	return -1
}

// follow adds to a check what the faults show at another, unless they name its test themselves.
func (b *binder) follow(echo *boundTest, c, from int32) {
	to, source := &b.p.checks[c], &b.p.checks[from]
	for f := range b.p.table.Faults {
		row := &b.p.table.Faults[f]
		if slices.ContainsFunc(row.Shows, func(s diagnosis.Show) bool {
			return slices.ContainsFunc(s.Checks, func(k int) bool { return int32(k) >= echo.checkFrom && int32(k) < echo.checkTo })
		}) {
			continue
		}
		for _, s := range slices.Clone(row.Shows) {
			if !slices.Contains(s.Checks, int(from)) || s.Never {
				continue
			}
			follows := diagnosis.Show{Checks: []int{int(c)}, Any: s.Any, Strength: s.Strength}
			var words []string
			for i, o := range source.c.outcomes {
				if at := to.c.find(o.word); s.Outcomes&(1<<i) != 0 && at >= 0 {
					follows.Outcomes |= 1 << at
					words = append(words, o.word)
				}
			}
			if s.Outcomes&^source.good != 0 && follows.Outcomes&^to.good == 0 {
				follows.Outcomes |= to.all &^ to.good
				words = append(words, "not good")
			}
			row.Shows = append(row.Shows, follows)
			b.p.shows[f] = append(b.p.shows[f], showOrigin{words})
		}
	}
}

// bindReadings says which checks are read together: those of one test, and of the tests that echo it, share a slip; those fed by the same readings are
// one value. A pattern takes in the limits of the values it reads: they speak only if a fault names them.
func (b *binder) bindReadings() {
	p := b.p
	named := make([]uint32, len(p.checks)) // outcomes that faults show
	for _, f := range p.table.Faults {
		for _, s := range f.Shows {
			for _, c := range s.Checks {
				named[c] |= s.Outcomes
			}
		}
	}
	p.testOf = make([]int32, len(p.tests))
	at := map[int32]int{} // performances, by the test that is not an echo
	for t := range p.tests {
		lead := int32(t)
		if e := p.tests[t].t.echoes; e != nil {
			if k, ok := b.testAt[testKey{p.tests[t].unit, e}]; ok {
				lead = k
			}
		}
		if _, ok := at[lead]; !ok {
			at[lead] = len(p.table.Tests)
			p.table.Tests = append(p.table.Tests, diagnosis.Test{})
			p.led = append(p.led, lead)
		}
		p.testOf[t] = int32(at[lead])
	}
	for t := range p.tests {
		test := &p.table.Tests[p.testOf[t]]
		keys := map[string]int{}
		absorbed := b.absorbed(&p.tests[t])
		for c := p.tests[t].checkFrom; c < p.tests[t].checkTo; c++ {
			k := &p.checks[c]
			if k.c.kind == infoCheck || named[c] == 0 && absorbed[k.c.val] && k.c.kind != patternCheck {
				continue
			}
			key := fmt.Sprint(strings.Join(sources(k.c), " "), k.pos)
			if i, ok := keys[key]; ok {
				test.Values[i] = append(test.Values[i], int(c))
				continue
			}
			keys[key] = len(test.Values)
			test.Values = append(test.Values, []int{int(c)})
		}
	}
	for i := range p.checks {
		k := &p.checks[i]
		usual, rest, rule := uint32(0), int8(-1), diagnosis.Named
		for o, r := range k.results {
			if r == Pass || r == Information || r == Marginal || r == NotValid && named[i]&(1<<o) == 0 {
				usual |= 1 << o
			}
		}
		switch k.c.kind {
		case limitCheck:
			rule = diagnosis.Opposing
		case gradeCheck:
			rule = diagnosis.Ordered
		case alikeCheck:
			rest = int8(k.c.find("mixed"))
		case patternCheck:
			for _, r := range k.c.rows {
				if r.when == nil {
					rest = int8(r.outcome)
				}
			}
		}
		p.table.Usual, p.table.Combine, p.table.Otherwise = append(p.table.Usual, usual), append(p.table.Combine, rule), append(p.table.Otherwise, rest)
	}
}

// absorbed are the values that the pattern of a test reads.
func (b *binder) absorbed(t *boundTest) map[*value]bool {
	list := map[*value]bool{}
	if t.t.pattern == nil {
		return list
	}
	for _, r := range t.t.pattern.rows {
		if r.when != nil {
			r.when.values(t.t, func(v *value) { list[v] = true })
		}
	}
	return list
}

// sources names the readings that feed a check, in order.
func sources(c *check) []string {
	var names []string
	add := func(v *value) {
		if v.kind == readingValue {
			names = append(names, v.test.name+"."+v.name)
		}
	}
	if c.val != nil {
		c.val.feeds(add)
	}
	for _, r := range c.rows {
		if r.when != nil {
			r.when.values(c.test, func(v *value) { v.feeds(add) })
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// feeds calls yield with the value, or if it is a formula with all that it is worked out from.
func (v *value) feeds(yield func(*value)) {
	seen := map[*value]bool{} // a formula that is used many times feeds the same
	var feed func(v *value)
	feed = func(v *value) {
		switch {
		case v.kind != formulaValue || v.formula == nil:
			yield(v)
		case !seen[v]:
			seen[v] = true
			v.formula.values(v.test, feed)
		}
	}
	feed(v)
}

// values calls yield with every value that an expression of a test names, itself or by its outcome.
func (e *expr) values(t *test, yield func(*value)) {
	switch {
	case (e.op == opValue || e.op == opOfPass) && e.val != nil:
		yield(e.val)
	case e.op == opOutcome && e.ref.unit == "" && t != nil && e.ref.test == t.name && t.named[e.ref.value] != nil:
		yield(t.named[e.ref.value])
	}
	for _, a := range e.args {
		a.values(t, yield)
	}
}
