package eval

import (
	"fmt"
	"slices"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Checks: limits, grades and patterns, with their outcomes.

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
			b.outerLimit(it, s)
		}
	}
	b.checked = true
	for _, t := range b.m.tests {
		b.ctx = scopeCtx{test: t}
		for _, st := range b.testDecls[t.name].Body {
			if st, ok := st.(*dsl.Correct); ok {
				b.correct(t, st)
			}
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

// outerLimit takes in a limit that stands outside of its test. Those of a shop count for the families that have the test.
func (b *builder) outerLimit(it item, s *dsl.Limit) {
	names := s.Ref.Names
	t := b.m.testNamed[names[0]]
	if it.layer.shop {
		there := t != nil && len(names) > 1
		if there {
			v, _ := t.lookup(names[1:])
			there = v != nil
		}
		if !b.c.inFamily(s.Ref, there) {
			return
		}
	}
	switch {
	case t != nil:
		b.ctx = scopeCtx{test: t}
		b.limit(t, it.layer, s, names[1:])
	case b.include(names[0]) != nil:
		b.c.report(dsl.CodeMisplaced, s.Ref.Range, names[0]+" is an included unit, with limits of its own", "write the limit in a family of kind "+b.include(names[0]).kind.name+", or in a shop")
	case b.m.conditions[names[0]] != nil:
		b.c.report(dsl.CodeMisplaced, s.Ref.Range, names[0]+" is a condition, and a limit bounds a value of a test", "write needs "+names[0]+" within ... in the test")
	default:
		b.c.report(dsl.CodeUnknownName, s.Ref.Range, "there is no test "+names[0], suggest(names[0], testNames(b.m)))
	}
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
		lim.source = b.sourceOf(s.Per)
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
		c := b.valueCheck(t, v, limitCheck, s.Range)
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
	switch shape := s.Shape.(type) {
	case *dsl.Alike:
		b.alikeCheck(t, v, lim, s, shape)
	case *dsl.Is:
		if !b.behaviour(t, v, s, shape) {
			b.wordLimit(t, v, lim, s, shape)
		}
	default:
		b.numberLimit(t, v, lim, s)
	}
}

// numberLimit bounds a number.
func (b *builder) numberLimit(t *test, v *value, lim *limit, s *dsl.Limit) {
	if v.typ.class != numberClass {
		b.c.report(dsl.CodeWrongType, s.Range, v.name+" is no number and cannot have this limit", "write limit "+v.name+" is good")
		return
	}
	c := b.valueCheck(t, v, limitCheck, s.Range)
	b.unit = v.displayUnit()
	defer func() { b.unit = units.Unit{} }()
	if s.Shape != nil {
		v.printAs(s.Shape)
		var ok bool
		if lim.low, lim.high, ok = b.bounds(s.Shape, v.typ.dim); !ok {
			c.unknown()
			return
		}
	}
	if s.New != nil {
		var ok bool
		if lim.newLow, lim.newHigh, ok = b.bounds(s.New, v.typ.dim); !ok {
			c.unknown()
			return
		}
		lim.newText = b.source(s.New.Span())
		c.add("worn", Marginal)
		if lim.newLow.beyond(lim.low, -1) || lim.newHigh.beyond(lim.high, 1) {
			b.c.report(dsl.CodeBadLimit, s.New.Span(), "the limit of a new part is wider than that of a used one", "exchange the two, or mend the one that is mistyped")
		}
	}
	if s.Along != nil {
		if s.Shape != nil || s.New != nil {
			b.c.report(dsl.CodeBadLimit, s.Range, "a limit has either bounds or rows along another quantity", "split it into two limits with when")
			c.unknown()
			return
		}
		if lim.along = b.along(t, v, s.Along); lim.along == nil {
			c.unknown()
			return
		}
		lim.printed = fmt.Sprintf("along %s (%s)", spaced(s.Along.Name.Text), s.Along.How)
	}
	for _, at := range s.At {
		b.reference(t, lim, at)
	}
	if lim.low != nil || lim.along.bounds(false) {
		c.add("low", Fail)
	}
	if lim.high != nil || lim.along.bounds(true) {
		c.add("high", Fail)
	}
	c.limits = append(c.limits, lim)
}

// unknown gives a check all outcomes that a limit can have, since one of its limits was reported: what names them is no slip of its own.
func (c *check) unknown() {
	c.add("low", Fail)
	c.add("high", Fail)
	c.add("worn", Marginal)
}

// beyond tells whether a bound is a number further out than the other, to the side of the sign.
func (x *bound) beyond(other *bound, sign float64) bool {
	if x == nil || other == nil {
		return false
	}
	p, ok1 := x.x.constant()
	q, ok2 := other.x.constant()
	return ok1 && ok2 && (p-q)*sign > 0
}

// plain reports what a limit that is no bound of a number cannot have.
func (b *builder) plain(s *dsl.Limit, what string) bool {
	if s.New == nil && len(s.At) == 0 && s.Along == nil {
		return true
	}
	b.c.report(dsl.CodeBadLimit, s.Range, what+" has no new, at or along", "leave it out, or write a limit of its own")
	return false
}

// limited finds the value that a limit bounds.
func (b *builder) limited(t *test, s *dsl.Limit, names []string) *value {
	if len(names) == 0 {
		b.c.report(dsl.CodeUnknownName, s.Ref.Range, "a limit bounds a value of a test", "write limit "+t.name+".value ...")
		return nil
	}
	v, rest := t.lookup(names)
	switch _, alike := s.Shape.(*dsl.Alike); {
	case v == nil:
		b.noValue(s.Ref, t, names)
		return nil
	case len(rest) > 0 && !(alike && slices.Equal(rest, []string{"alike"})):
		b.noPart(s.Ref, v, rest)
		return nil
	}
	switch v.typ.class {
	case badClass:
		return nil
	case truthClass:
		b.c.report(dsl.CodeWrongType, s.Range, v.name+" is a condition, which has no limit", "write outcome good when "+v.name+", and otherwise for the rest")
		return nil
	case textClass, dateClass:
		b.c.report(dsl.CodeWrongType, s.Range, v.name+" is neither a number nor one of some words, so it has no limit", "list the words that it can be: read "+v.name+" : good | worn")
		return nil
	}
	return v
}

// valueCheck gives a value the check that its limits are for.
func (b *builder) valueCheck(t *test, v *value, kind checkKind, at dsl.Range) *check {
	if v.check == nil {
		v.check = &check{kind: kind, test: t, val: v, name: v.name, src: v.src}
		v.check.add("good", Pass)
		t.checks = append(t.checks, v.check)
	} else if v.check.kind == gradeCheck {
		b.c.report(dsl.CodeLimitConflict, at, v.name+" has a grade already", "leave one out, or put it on a formula: let other = "+v.name, dsl.Related{Range: v.check.src, Message: "the grade is here"})
	}
	return v.check
}

// behaviour takes in "is steady" and "is rising", which speak of how a reading behaves.
func (b *builder) behaviour(t *test, v *value, s *dsl.Limit, is *dsl.Is) bool {
	if len(is.Alts) != 1 || v.typ.class != numberClass || is.Alts[0].Word != "steady" && is.Alts[0].Word != "rising" {
		return false
	}
	word := is.Alts[0].Word
	switch {
	case word == "rising" && !v.typ.table:
		b.c.report(dsl.CodeBadLimit, is.Range, "is rising speaks of a table read along another quantity", "write read "+v.name+" at speed : A, for instance")
	case is.Not || s.When != nil || len(s.Ref.Index) > 0:
		b.c.report(dsl.CodeBadLimit, s.Range, "is "+word+" is said of a reading without more", "write limit "+v.name+" is "+word+" alone")
	case b.plain(s, "is "+word) && word == "steady":
		c := b.valueCheck(t, v, limitCheck, s.Range)
		c.steady = true
		c.add("jumps", Fail)
	case word == "rising":
		c := b.valueCheck(t, v, limitCheck, s.Range)
		c.rising = true
		c.add("dips", Fail)
	}
	return true
}

func (b *builder) wordLimit(t *test, v *value, lim *limit, s *dsl.Limit, is *dsl.Is) {
	if v.typ.class != wordClass {
		b.c.report(dsl.CodeWrongType, is.Range, v.name+" has no words", "write at least, at most, equals or a range")
		return
	}
	if !b.plain(s, "a limit on words") {
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
	c := b.valueCheck(t, v, wordCheck, s.Range)
	for i, w := range v.typ.words {
		if lim.words&(1<<i) == 0 {
			c.add(w, Fail)
		}
	}
	c.limits = append(c.limits, lim)
}

func (b *builder) alikeCheck(t *test, v *value, lim *limit, s *dsl.Limit, shape *dsl.Alike) {
	if len(v.typ.axes) == 0 || v.typ.class != numberClass {
		b.c.report(dsl.CodeWrongType, shape.Range, "alike compares the members of a list of numbers", "write read "+v.name+" of phase : Ω, for instance")
		return
	}
	if len(lim.index) > 0 {
		b.c.report(dsl.CodeIndex, s.Ref.Range, "alike speaks of the whole list", "leave the brackets out")
		return
	}
	if !b.plain(s, "alike") {
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
	x := b.tolerance(p.Tolerance, dim)
	if !b.single(x, "a tolerance", p.Tolerance) {
		return nil
	}
	return &alikeLimit{by: by, tolerance: x, relative: relative(x.typ.dim, dim)}
}

// bounds checks the shape of a limit on a number.
func (b *builder) bounds(s dsl.Shape, dim units.Dimension) (low, high *bound, ok bool) {
	switch s := s.(type) {
	case *dsl.Compare:
		x := b.number(s.Bound, dim)
		if !b.single(x, "a bound", s.Bound) {
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
		if x == nil || !b.single(x, "a bound", s) || !b.single(y, "a bound", s) {
			return nil, nil, false
		}
		return &bound{x: x}, &bound{x: y}, true
	}
	b.c.report(dsl.CodeBadLimit, s.Span(), "this is no bound for a number", "write at least, at most or a range")
	return nil, nil, false
}

// reference takes in "at winding_temp 20 °C": the test must say by which law readings are brought there.
func (b *builder) reference(t *test, lim *limit, at *dsl.AtQty) {
	cond := b.numberCondition(at.Name)
	if cond == nil {
		return
	}
	if slices.ContainsFunc(lim.at, func(r reference) bool { return r.cond == cond }) {
		b.c.report(dsl.CodeDuplicateName, at.Range, "a limit is given at one "+cond.name, "leave one out, or write another limit for the second")
		return
	}
	if q, ok := b.measure(at.Qty, cond.typ.dim); ok {
		lim.at = append(lim.at, reference{cond, q.SI(), q.String()})
		t.uses(cond)
	}
}

// numberCondition finds a condition that is a number; nil when there is none.
func (b *builder) numberCondition(name *dsl.Name) *value {
	cond := b.m.conditions[name.Text]
	switch {
	case cond == nil:
		b.c.report(dsl.CodeUnknownName, name.Range, "there is no condition "+name.Text, suggest(name.Text, mapKeys(b.m.conditions)))
	case cond.typ.class == badClass:
		return nil
	case cond.typ.class != numberClass:
		b.c.report(dsl.CodeWrongType, name.Range, "the condition "+name.Text+" is no number", "name a condition with a unit, such as winding_temp")
		return nil
	}
	return cond
}

func (c *curve) bounds(high bool) bool {
	return c != nil && slices.ContainsFunc(c.rows, func(r curveRow) bool { return high && r.high != nil || !high && r.low != nil })
}

func (b *builder) along(t *test, v *value, s *dsl.Along) *curve {
	cond := b.numberCondition(s.Name)
	if cond == nil {
		return nil
	}
	t.uses(cond)
	c := &curve{cond: cond, linear: s.How == "linear"}
	for i, r := range s.Rows {
		q, ok := b.measure(r.At, cond.typ.dim)
		if !ok {
			return nil
		}
		row := curveRow{at: q.SI(), printed: b.source(r.Shape.Span())}
		if i > 0 && row.at <= c.rows[i-1].at {
			b.c.report(dsl.CodeBadLimit, r.Range, "the rows must rise", "order them from the lowest "+cond.name+" up")
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
			b.c.report(dsl.CodeBadLimit, r.Range, "only the first row can go on down, and only the last one up", "leave "+r.Open+" out")
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
		b.c.report(dsl.CodeBadLimit, r.Range, "a row is written in numbers", "write at most 14.7 V, for instance")
		return false
	}
	*out, *open = &n, x.open
	return true
}

func (b *builder) pitch(t *test, s *dsl.Pitch) {
	for _, v := range t.values {
		if v.typ.class == badClass {
			return // it may be the list that is meant
		}
		if v.alike != nil {
			v.alike.pitch = b.number(s.Distance, units.DimensionOf(units.Count))
			b.single(v.alike.pitch, "a pitch", s.Distance)
			if s.When != nil {
				v.alike.pitchWhen = b.fixedTruth(s.When)
			}
			return
		}
	}
	b.c.report(dsl.CodeMisplaced, s.Range, "pitch belongs to a list with an alike limit", "write the alike limit first")
}
