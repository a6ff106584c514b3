package eval

import (
	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Laws of correction that a sheet declares itself. They have no functions: where a test corrects by one, its formula is laid out among the steps of
// the test, so that ranges and errors go through it as through any formula.

// ownLaw is what a sheet says of its law.
type ownLaw struct {
	title             string
	src               dsl.Range
	reading, from, to *value // what the formula calls the reading, its condition, and what that is brought to
	formula           *expr
	holds             *expr // when it may be used
	when              string
	source            *source
}

// lookup finds what the formula of a law can speak of beside attributes.
func (o *ownLaw) lookup(name string) *value {
	for _, v := range []*value{o.reading, o.from, o.to} {
		if v.name == name {
			return v
		}
	}
	return nil
}

// declareLaw takes in a law of the sheet.
func (b *builder) declareLaw(s *dsl.Law) {
	if laws[s.Name.Text] != nil {
		b.c.report(dsl.CodeDuplicateName, s.Name.Range, s.Name.Text+" is a law of the language", "give this one another name")
		return
	}
	o := &ownLaw{title: s.Title.String(), src: s.Range, when: b.source(s.When.Span())}
	o.reading, o.from = b.parameter(s.Of, s.Type), b.parameter(s.From, s.Cond)
	o.to = b.parameter(s.To, s.Cond)
	l := &law{name: s.Name.Text, own: o, usage: "name a reading and a condition of its units"}
	l.check = func(value, cond units.Dimension, arg *units.Dimension) string {
		switch {
		case o.reading.typ.class == badClass || o.from.typ.class == badClass:
			return "" // reported with the law
		case units.Match(value, o.reading.typ.dim) != nil:
			return "it corrects " + article(o.reading.typ.dim)
		case units.Match(cond, o.from.typ.dim) != nil:
			return "it needs " + article(o.from.typ.dim)
		case arg != nil:
			return "it takes nothing in brackets"
		}
		return ""
	}
	b.m.laws[l.name] = l
	if o.reading.name == o.from.name || o.reading.name == o.to.name || o.from.name == o.to.name {
		b.c.report(dsl.CodeDuplicateName, s.Of.Range, "two of the names of this law are alike", "call the reading, the condition, and what it is brought to differently")
		o.reading.typ.class, o.formula, o.holds = badClass, bad(s.X.Span()), bad(s.When.Span())
		return
	}
	b.afterNames = append(b.afterNames, func() { b.resolveLaw(l, s) })
}

// parameter is what a law calls its reading or condition.
func (b *builder) parameter(name *dsl.Name, t *dsl.Type) *value {
	v := &value{kind: parameterValue, name: name.Text, src: name.Range}
	b.typeOf(v, t)
	if v.typ.class != badClass && (v.typ.class != numberClass || len(v.quantities) > 0) {
		b.c.report(dsl.CodeWrongType, t.Range, "a law is of numbers", "write "+name.Text+" : Ω, for instance")
		v.typ = vtype{class: badClass}
	}
	return v
}

// resolveLaw checks the formula of a law, and when it holds.
func (b *builder) resolveLaw(l *law, s *dsl.Law) {
	o := l.own
	b.ctx = scopeCtx{law: o}
	o.formula = b.number(s.X, o.reading.typ.dim)
	if o.reading.typ.class == badClass || o.from.typ.class == badClass {
		o.formula = bad(s.X.Span())
	}
	o.holds = b.truth(s.When)
	b.ctx = scopeCtx{}
	b.onlyOwn(o.formula)
	b.onlyOwn(o.holds)
	if !mentions(o.formula, o.reading) && o.formula.typ.class != badClass {
		b.c.report(dsl.CodeUnknownLaw, s.X.Span(), "the formula does not use "+o.reading.name, "say what becomes of "+o.reading.name)
	}
	if s.Per != nil {
		o.source = b.sourceOf(s.Per)
		if o.source.from != 0 || o.source.until != 0 {
			b.c.report(dsl.CodeDates, s.Per.Range, "a law holds on all days, and "+s.Per.Text+" is in force on some", "name a source without days")
		}
	}
}

// onlyOwn reports what a law cannot know: readings, conditions and outcomes of tests.
func (b *builder) onlyOwn(e *expr) {
	switch e.op {
	case opValue:
		if e.val.kind == parameterValue || e.val.kind == attributeValue {
			return
		}
	case opForeign, opOutcome, opVariant, opPosition, opSerial, opBuilt, opAlike:
	default:
		for _, x := range e.args {
			b.onlyOwn(x)
		}
		return
	}
	b.c.report(dsl.CodeMisplaced, e.src, "a law knows only its own names and attributes", "bring this in as the condition, or write a formula in the test")
}

// mentions tells whether an expression uses a value.
func mentions(e *expr, v *value) bool {
	if e.op == opValue && e.val == v {
		return true
	}
	for _, x := range e.args {
		if mentions(x, v) {
			return true
		}
	}
	return false
}

// ownLaw emits the formula of a sheet's law on the reading in a register, and whether the law holds there. It returns the register of the result.
func (b *binder) ownLaw(o *ownLaw, reading int32, l *boundLaw) int32 {
	to := b.alloc(1, exact(l.ref))
	for v, r := range map[*value]int32{o.reading: reading, o.from: l.cond, o.to: to} {
		b.at[valueKey{b.unit, v}] = valueRange{v, r, 1}
	}
	holds, _ := b.expr(o.holds)
	result, _ := b.expr(o.formula)
	dst := b.alloc(1, unknown)
	b.emit(op{code: codeProvided, dst: dst, n: 1, a: result, b: holds})
	return dst
}

// provided is a corrected value, refused where its law does not hold for certain.
func provided(value, holds reg) reg {
	if holds.bits == canTrue || value.flags&(regMissing|regUnbounded|regRefused) != 0 {
		return value
	}
	return reg{lo: -infinite, hi: infinite, flags: value.flags | regRefused}
}
