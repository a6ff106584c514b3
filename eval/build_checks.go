package eval

import (
	"fmt"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Checks: limits, grades and patterns, with their outcomes.

var resultNames = map[string]Result{"pass": Pass, "marginal": Marginal, "fail": Fail, "not_valid": NotValid}

func (b *builder) declareChecks(items []item) {
	decls := map[*dsl.Test]layer{}
	for _, it := range items {
		if s, ok := it.stmt.(*dsl.Test); ok {
			decls[s] = it.layer
		}
	}
	for _, t := range b.m.tests {
		b.ctx = scopeCtx{test: t}
		s := b.testDecls[t.name]
		l := decls[s]
		for _, st := range s.Body {
			switch st := st.(type) {
			case *dsl.Correct:
				continue
			case *dsl.Limit:
				b.limit(t, l, st, st.Ref.Names)
			case *dsl.Grade:
				b.grade(t, st)
			case *dsl.Outcome:
				b.outcome(t, st)
			case *dsl.Pitch:
				b.pitch(t, st)
			}
		}
	}
	for _, it := range items {
		if s, ok := it.stmt.(*dsl.Limit); ok {
			t := b.m.testNamed[s.Ref.Names[0]]
			if it.layer.shop && (t == nil || len(s.Ref.Names) > 1 && t.named[s.Ref.Names[1]] == nil && t.pairs[s.Ref.Names[1]][0] == nil) {
				continue // a shop's limit counts for the families that have the test
			}
			if t == nil {
				b.c.report(dsl.CodeUnknownName, s.Ref.Range, "there is no test "+s.Ref.Names[0], suggest(s.Ref.Names[0], testNames(b.m)))
				continue
			}
			b.ctx = scopeCtx{test: t}
			b.limit(t, it.layer, s, s.Ref.Names[1:])
		}
	}
	for _, t := range b.m.tests {
		for _, v := range t.values {
			if v.check == nil && v.alike == nil && v.kind == readingValue && t.pattern == nil {
				b.information(t, v)
			}
		}
		for _, c := range t.checks {
			b.checkLimits(c)
		}
	}
	b.ctx = scopeCtx{}
}

func testNames(m *model) []string {
	var names []string
	for _, t := range m.tests {
		names = append(names, t.name)
	}
	return names
}

// information gives a reading without a limit a check that only reports it.
func (b *builder) information(t *test, v *value) {
	c := &check{kind: infoCheck, test: t, val: v, name: v.name, src: v.src}
	c.add("good", Information)
	v.check = c
	t.checks = append(t.checks, c)
}

// limit adds one limit to the check of its value. names is the value's name within the test.
func (b *builder) limit(t *test, l layer, s *dsl.Limit, names []string) {
	v := b.limited(t, s, names)
	if v == nil {
		return
	}
	lim := &limit{layer: l, source: l.source, index: s.Ref.Index, src: s.Range, declares: s.Shape == nil && s.Along == nil}
	if s.Per != nil {
		lim.source = b.c.sources[s.Per.Text]
		if lim.source == nil {
			b.c.report(dsl.CodeUnknownName, s.Per.Range, "there is no source "+s.Per.Text, suggest(s.Per.Text, mapKeys(b.c.sources)))
		}
	}
	if s.When != nil {
		lim.when = b.truth(s.When)
		lim.whenText = b.source(s.When.Span())
	}
	if len(lim.index) > 0 && !b.index(s.Ref, v.typ.axes) {
		return
	}
	if lim.declares {
		if s.New != nil || len(s.At) > 0 {
			b.c.report(dsl.CodeBadLimit, s.Range, "this limit has no bounds", "write at least, at most or a range")
		}
		c := b.valueCheck(t, v, limitCheck)
		if v.typ.class == numberClass { // families may bound it on either side
			c.add("low", Fail)
			c.add("high", Fail)
		}
		c.limits = append(c.limits, lim)
		return
	}
	if s.Shape != nil {
		lim.printed = b.source(s.Shape.Span())
	}
	if is, ok := s.Shape.(*dsl.Is); ok && b.behaviour(t, v, is) {
		return
	}
	switch shape := s.Shape.(type) {
	case *dsl.Alike:
		b.alikeCheck(t, v, lim, shape)
		return
	case *dsl.Is:
		b.wordLimit(t, v, lim, shape)
		return
	}
	if v.typ.class != numberClass {
		b.c.report(dsl.CodeWrongType, s.Range, v.name+" is no number and cannot have this limit", "write limit "+v.name+" is good")
		return
	}
	c := b.valueCheck(t, v, limitCheck)
	if s.Shape != nil {
		v.printAs(s.Shape)
		var ok bool
		if lim.low, lim.high, ok = b.bounds(s.Shape, v.typ.dim); !ok {
			return
		}
	}
	if s.New != nil {
		var ok bool
		if lim.newLow, lim.newHigh, ok = b.bounds(s.New, v.typ.dim); !ok {
			return
		}
		lim.newText = b.source(s.New.Span())
		c.add("worn", Marginal)
	}
	if s.Along != nil {
		if s.Shape != nil {
			b.c.report(dsl.CodeBadLimit, s.Range, "a limit has either bounds or rows along another quantity", "split it into two limits with when")
			return
		}
		if lim.along = b.along(t, v, s.Along); lim.along == nil {
			return
		}
		lim.printed = fmt.Sprintf("along %s (%s)", spaced(s.Along.Name.Text), s.Along.How)
	}
	for _, at := range s.At {
		b.reference(t, v, lim, at)
	}
	if lim.low != nil || lim.along.bounds(false) {
		c.add("low", Fail)
	}
	if lim.high != nil || lim.along.bounds(true) {
		c.add("high", Fail)
	}
	c.limits = append(c.limits, lim)
}

// limited finds the value that a limit bounds.
func (b *builder) limited(t *test, s *dsl.Limit, names []string) *value {
	if len(names) == 0 {
		b.c.report(dsl.CodeUnknownName, s.Ref.Range, "a limit bounds a value of a test", "write limit "+t.name+".value ...")
		return nil
	}
	v, rest := t.lookup(names)
	if v == nil || len(rest) > 0 && !(len(rest) == 1 && rest[0] == "alike") {
		b.c.report(dsl.CodeUnknownName, s.Ref.Range, fmt.Sprintf("test %s has no value %s", t.name, strings.Join(names, ".")), suggest(names[0], t.valueNames()))
		return nil
	}
	if v.typ.class == badClass {
		return nil
	}
	return v
}

func (b *builder) valueCheck(t *test, v *value, kind checkKind) *check {
	if v.check == nil {
		v.check = &check{kind: kind, test: t, val: v, name: v.name, src: v.src}
		v.check.add("good", Pass)
		t.checks = append(t.checks, v.check)
	} else if v.check.kind == gradeCheck || kind == gradeCheck {
		b.c.report(dsl.CodeLimitConflict, v.src, v.name+" has a grade and a limit", "a value carries one of them; put the other on a let of it")
	}
	return v.check
}

// behaviour takes in "is steady" and "is rising", which speak of how a reading behaves.
func (b *builder) behaviour(t *test, v *value, is *dsl.Is) bool {
	if len(is.Alts) != 1 || v.typ.class != numberClass {
		return false
	}
	switch is.Alts[0].Word {
	case "steady":
		c := b.valueCheck(t, v, limitCheck)
		c.steady = true
		c.add("jumps", Fail)
		return true
	case "rising":
		if !v.typ.table {
			b.c.report(dsl.CodeBadLimit, is.Range, "is rising speaks of a table read along another quantity", "write read "+v.name+" at speed : A, for instance")
			return true
		}
		c := b.valueCheck(t, v, limitCheck)
		c.rising = true
		c.add("dips", Fail)
		return true
	}
	return false
}

func (b *builder) wordLimit(t *test, v *value, lim *limit, is *dsl.Is) {
	if v.typ.class != wordClass {
		b.c.report(dsl.CodeWrongType, is.Range, v.name+" has no words", "write at least, at most or a range")
		return
	}
	x := b.wordIs(&expr{op: opValue, typ: v.typ, val: v}, is, is.Range)
	if x.typ.class == badClass {
		return
	}
	lim.words = x.mask
	if is.Not {
		lim.words = ^x.mask
	}
	lim.words &= 1<<len(v.typ.words) - 1
	c := b.valueCheck(t, v, wordCheck)
	for i, w := range v.typ.words {
		if lim.words&(1<<i) == 0 {
			c.add(w, Fail)
		}
	}
	c.limits = append(c.limits, lim)
}

func (b *builder) alikeCheck(t *test, v *value, lim *limit, shape *dsl.Alike) {
	if len(v.typ.axes) == 0 || v.typ.class != numberClass {
		b.c.report(dsl.CodeWrongType, shape.Range, "alike compares the members of a list of numbers", "write read "+v.name+" of phase : Ω, for instance")
		return
	}
	if lim.alike = b.alikeLimit(shape, v.typ.dim); lim.alike == nil {
		return
	}
	if v.alike == nil {
		v.alike = &check{kind: alikeCheck, test: t, val: v, name: v.name + ".alike", src: v.src}
		v.alike.add("good", Pass)
		for _, w := range []string{"one_low", "one_high", "mixed"} {
			v.alike.add(w, Fail)
		}
		t.checks = append(t.checks, v.alike)
	}
	v.alike.limits = append(v.alike.limits, lim)
}

func (b *builder) alikeLimit(p *dsl.Alike, dim units.Dimension) *alikeLimit {
	by, ok := alikeMeasures[p.By.Text]
	if !ok {
		b.c.report(dsl.CodeUnknownWord, p.By.Range, "there is no measure "+p.By.Text, "write mean, span, least or median")
		return nil
	}
	a := &alikeLimit{by: by}
	if lit, ok := p.Tolerance.(*dsl.Lit); ok {
		q := b.quantity(lit.Qty).Difference()
		a.tolerance = &expr{op: opConst, typ: vtype{dim: q.Dimension()}, num: q.SI(), fixed: true, src: lit.Range}
	} else {
		a.tolerance = b.numeric(p.Tolerance)
	}
	if a.tolerance.typ.class == badClass {
		return nil
	}
	have := a.tolerance.typ.dim
	if have.Kind() == units.Ratio && dim.Kind() != units.Ratio {
		a.relative = true
		return a
	}
	want, err := units.Sub(dim, dim)
	if err == nil {
		err = units.Match(have, want)
	}
	if err != nil {
		b.dimension(p.Tolerance.Span(), err, have, want)
		return nil
	}
	return a
}

// bounds checks the shape of a limit on a number.
func (b *builder) bounds(s dsl.Shape, dim units.Dimension) (low, high *bound, ok bool) {
	switch s := s.(type) {
	case *dsl.Compare:
		x := b.number(s.Bound, dim)
		if x.typ.class == badClass {
			return nil, nil, false
		}
		switch s.Op {
		case "at least":
			return &bound{x: x}, nil, true
		case "at most":
			return nil, &bound{x: x}, true
		case "above":
			return &bound{x: x, open: true}, nil, true
		case "below":
			return nil, &bound{x: x, open: true}, true
		}
		return &bound{x: x}, &bound{x: x}, true
	case *dsl.Within:
		x, y := b.rangeOf(s, dim)
		if x == nil {
			return nil, nil, false
		}
		return &bound{x: x}, &bound{x: y}, true
	}
	b.c.report(dsl.CodeBadLimit, s.Span(), "this is no bound for a number", "write at least, at most or a range")
	return nil, nil, false
}

// reference takes in "at winding_temp 20 °C": the test must say by which law readings are brought there.
func (b *builder) reference(t *test, v *value, lim *limit, at *dsl.AtQty) {
	cond := b.m.conditions[at.Name.Text]
	if cond == nil {
		b.c.report(dsl.CodeUnknownName, at.Name.Range, "there is no condition "+at.Name.Text, suggest(at.Name.Text, mapKeys(b.m.conditions)))
		return
	}
	q := b.quantity(at.Qty)
	if err := units.Match(q.Dimension(), cond.typ.dim); err != nil {
		b.dimension(at.Qty.Range, err, q.Dimension(), cond.typ.dim)
		return
	}
	lim.at = append(lim.at, reference{cond, q.SI(), q.String()})
	t.uses(cond)
}

func (c *curve) bounds(high bool) bool {
	return c != nil && slices.ContainsFunc(c.rows, func(r curveRow) bool { return high && r.high != nil || !high && r.low != nil })
}

func (b *builder) along(t *test, v *value, s *dsl.Along) *curve {
	cond := b.m.conditions[s.Name.Text]
	if cond == nil {
		b.c.report(dsl.CodeUnknownName, s.Name.Range, "there is no condition "+s.Name.Text, suggest(s.Name.Text, mapKeys(b.m.conditions)))
		return nil
	}
	t.uses(cond)
	c := &curve{cond: cond, linear: s.How == "linear"}
	for i, r := range s.Rows {
		q := b.quantity(r.At)
		if err := units.Match(q.Dimension(), cond.typ.dim); err != nil {
			b.dimension(r.At.Range, err, q.Dimension(), cond.typ.dim)
			return nil
		}
		row := curveRow{at: q.SI(), printed: b.source(r.Shape.Span())}
		if i > 0 && row.at <= c.rows[i-1].at {
			b.c.report(dsl.CodeBadLimit, r.Range, "the rows must rise", "order them by "+cond.name)
			return nil
		}
		v.printAs(r.Shape)
		low, high, ok := b.bounds(r.Shape, v.typ.dim)
		if !ok || !rowBound(b, low, &row.low, &row.lowOpen, r) || !rowBound(b, high, &row.high, &row.highOpen, r) {
			return nil
		}
		if i > 0 && ((row.low == nil) != (c.rows[0].low == nil) || (row.high == nil) != (c.rows[0].high == nil)) {
			b.c.report(dsl.CodeBadLimit, r.Range, "the rows have different bounds", "give every row the same: at least, at most or a range")
			return nil
		}
		switch {
		case r.Open == "down" && i == 0:
			c.down = true
		case r.Open == "up" && i == len(s.Rows)-1:
			c.up = true
		case r.Open != "":
			b.c.report(dsl.CodeBadLimit, r.Range, "only the first row can go on down, only the last row up", "")
			return nil
		}
		c.rows = append(c.rows, row)
	}
	if len(c.rows) == 0 {
		b.c.report(dsl.CodeBadLimit, s.Range, "this limit has no rows", "write row 25 °C : 14.1 V to 14.7 V")
		return nil
	}
	return c
}

func rowBound(b *builder, x *bound, out **float64, open *bool, r *dsl.Row) bool {
	if x == nil {
		return true
	}
	n, ok := x.x.constant()
	if !ok {
		b.c.report(dsl.CodeBadLimit, r.Range, "a row is written in numbers", "")
		return false
	}
	*out, *open = &n, x.open
	return true
}

func (b *builder) grade(t *test, s *dsl.Grade) {
	v, rest := t.lookup(s.Ref.Names)
	if v == nil || len(rest) > 0 || v.typ.class != numberClass {
		if v == nil || v.typ.class != badClass {
			b.c.report(dsl.CodeUnknownName, s.Ref.Range, "test "+t.name+" has no number "+s.Ref.String(), suggest(s.Ref.Names[0], t.valueNames()))
		}
		return
	}
	if v.check != nil {
		b.valueCheck(t, v, gradeCheck)
		return
	}
	c := &check{kind: gradeCheck, test: t, val: v, name: v.name, src: s.Range}
	for i, r := range s.Rungs {
		b.outcomeWord(r.Word)
		k := rung{outcome: c.add(r.Word.Text, b.resultOf(r.Word.Text, r.As)), upTo: r.Op == "to"}
		if (r.Cut == nil) != (i == len(s.Rungs)-1) {
			b.c.report(dsl.CodeOutcomeRows, r.Range, "every rung but the last has a cut, and the last has none", "write "+r.Word.Text+" below 5 mm, for instance, and end with the outcome above all cuts")
			return
		}
		if r.Cut != nil {
			k.cut = b.number(r.Cut, v.typ.dim)
			v.printAs(r.Cut)
			if n := len(c.rungs); n > 0 && k.cut.typ.class != badClass {
				p, ok1 := c.rungs[n-1].cut.constant()
				q, ok2 := k.cut.constant()
				if ok1 && ok2 && q <= p {
					b.c.report(dsl.CodeOutcomeRows, r.Range, "the cuts of a grade must rise", "order the outcomes from the lowest value up")
					return
				}
			}
		}
		c.rungs = append(c.rungs, k)
	}
	b.needGood(c, s.Range)
	v.check = c
	t.checks = append(t.checks, c)
}

func (b *builder) outcomeWord(n *dsl.Name) {
	if slices.Contains(reservedOutcomes, n.Text) {
		b.c.report(dsl.CodeOutcomeName, n.Range, n.Text+" is a result and no outcome name", "name what was seen, and write as "+n.Text+" behind it if need be")
	}
}

func (b *builder) resultOf(word string, as *dsl.Name) Result {
	if as == nil {
		if word == "good" {
			return Pass
		}
		return Fail
	}
	r, ok := resultNames[as.Text]
	if !ok {
		b.c.report(dsl.CodeUnknownWord, as.Range, "there is no result "+as.Text, "write pass, marginal, fail or not_valid")
	}
	return r
}

// needGood reports a check without any outcome that passes.
func (b *builder) needGood(c *check, at dsl.Range) {
	if !slices.ContainsFunc(c.outcomes, func(o outcome) bool { return o.result == Pass }) {
		b.c.report(dsl.CodeOutcomeRows, at, "no outcome passes", "name one good, or write as pass behind it")
	}
}

func (b *builder) outcome(t *test, s *dsl.Outcome) {
	if t.pattern == nil {
		t.pattern = &check{kind: patternCheck, test: t, src: s.Range}
		t.checks = append(t.checks, t.pattern)
	}
	c := t.pattern
	b.outcomeWord(s.Word)
	i := c.find(s.Word.Text)
	r := b.resultOf(s.Word.Text, s.As)
	if i >= 0 && c.outcomes[i].result != r {
		b.c.report(dsl.CodeOutcomeRows, s.Range, s.Word.Text+" stands twice with different results", "write the same as behind both")
	}
	if n := len(c.rows); n > 0 && c.rows[n-1].src == (dsl.Range{}) {
		b.c.report(dsl.CodeOutcomeRows, s.Range, "no row can follow otherwise", "move it up")
		return
	}
	k := row{outcome: c.add(s.Word.Text, r), src: s.Range}
	if s.Otherwise {
		k.src = dsl.Range{}
	}
	c.rows = append(c.rows, k)
	if len(c.outcomes) > maxOutcomes {
		b.c.report(dsl.CodeOutcomeRows, s.Range, fmt.Sprintf("a pattern has at most %d outcomes", maxOutcomes), "")
	}
}

// rows checks the conditions of a pattern, once all checks are known.
func (b *builder) rows(t *test, s *dsl.Test) {
	c, i := t.pattern, 0
	for _, st := range s.Body {
		o, ok := st.(*dsl.Outcome)
		if !ok || i >= len(c.rows) {
			continue
		}
		if o.When != nil {
			c.rows[i].when = b.truth(o.When)
			c.rows[i].text = b.source(o.When.Span())
		}
		c.rows[i].src = o.Range
		i++
	}
	if c.rows[len(c.rows)-1].when != nil {
		b.c.report(dsl.CodeOutcomeRows, c.rows[len(c.rows)-1].src, "the rows of "+t.name+" have no otherwise", "end them with outcome odd otherwise, so that every reading has an outcome")
	}
	b.needGood(c, c.src)
}

func (b *builder) pitch(t *test, s *dsl.Pitch) {
	for _, v := range t.values {
		if v.alike != nil {
			v.alike.pitch = b.number(s.Distance, units.DimensionOf(units.Count))
			if s.When != nil {
				v.alike.pitchWhen = b.truth(s.When)
			}
			return
		}
	}
	b.c.report(dsl.CodeMisplaced, s.Range, "pitch belongs to a list with an alike limit", "write the alike limit first")
}

// checkLimits orders the limits of a check, highest layer first, and reports those that contradict each other.
func (b *builder) checkLimits(c *check) {
	slices.SortStableFunc(c.limits, func(x, y *limit) int { return int(y.layer.rank - x.layer.rank) })
	for i, x := range c.limits {
		for _, y := range c.limits[:i] {
			if x.layer.name == y.layer.name && x.when == nil && y.when == nil && !x.declares && !y.declares && slices.Equal(x.index, y.index) && overlap(x.source, y.source) {
				b.c.report(dsl.CodeLimitConflict, x.src, "two limits of "+c.label()+" hold at once in "+x.layer.name, "give them conditions that exclude each other (when ...), or sources with separate dates",
					dsl.Related{Range: y.src, Message: "the other is here"})
			}
		}
	}
	b.gaps(c)
	for _, lim := range c.limits {
		for _, at := range lim.at {
			if !slices.ContainsFunc(b.laws(c), func(k string) bool { return k == at.cond.name }) {
				b.c.report(dsl.CodeNoCorrection, lim.src, fmt.Sprintf("this limit holds at %s %s, but nothing brings a reading there", at.cond.name, at.text),
					fmt.Sprintf("write correct %s by copper from %s in the test, or another law", c.val.name, at.cond.name))
			}
		}
	}
}

// gaps reports days on which no edition of a limit is in force, between two that have dates.
func (b *builder) gaps(c *check) {
	for _, x := range c.limits {
		if x.source == nil || x.source.until == 0 || x.when != nil {
			continue
		}
		var next *limit
		for _, y := range c.limits {
			if y.layer.name == x.layer.name && y.when == nil && y.source != nil && y.source.from > x.source.until && slices.Equal(x.index, y.index) && (next == nil || y.source.from < next.source.from) {
				next = y
			}
		}
		if next != nil && next.source.from != x.source.until.next() {
			b.c.report(dsl.CodeDates, next.src, fmt.Sprintf("no edition of this limit is in force from %s to the day before %s", x.source.until.next(), next.source.from),
				"let one edition follow the other, or say what held between them", dsl.Related{Range: x.src, Message: "the edition before is here"})
		}
	}
}

// laws lists the conditions by which the test corrects the value of a check.
func (b *builder) laws(c *check) []string {
	var names []string
	for _, st := range b.testDecls[c.test.name].Body {
		if k, ok := st.(*dsl.Correct); ok && slices.ContainsFunc(k.Names, func(n *dsl.Name) bool { return n.Text == c.val.name }) {
			names = append(names, k.From.Text)
		}
	}
	return names
}

// overlap tells whether two sources are in force on a common day.
func overlap(x, y *source) bool {
	if x == nil || y == nil || x == y {
		return true
	}
	return (x.until == 0 || y.from == 0 || y.from <= x.until) && (y.until == 0 || x.from == 0 || x.from <= y.until)
}

func mapKeys[V any](m map[string]V) []string {
	var names []string
	for k := range m {
		names = append(names, k)
	}
	return names
}
