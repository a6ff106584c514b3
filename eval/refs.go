package eval

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// References to outcomes: "x is good | charged", "shows output third", "release ring_field".

// is checks "x is [not] a | b". What x is decides what is compared: a word, an attribute, a text, or the outcome of a check.
func (b *builder) is(e dsl.Expr, p *dsl.Is, src dsl.Range) *expr {
	r, ok := e.(*dsl.RefExpr)
	if ok && b.ownAxis(r.Ref) != nil {
		return b.wordIs(b.expr(e), p, src)
	}
	if !ok {
		return b.numberIs(b.numeric(e), p, src)
	}
	v, rest := b.lookup(r.Ref.Names)
	builtin := v == nil && len(r.Ref.Names) == 1 && (r.Ref.Names[0] == "serial" || r.Ref.Names[0] == "built")
	if inc := b.include(r.Ref.Names[0]); v == nil && inc != nil && len(r.Ref.Names) > 1 {
		sub := &builder{c: b.c, m: inc.kind}
		v, rest = sub.lookup(r.Ref.Names[1:])
	}
	outcome := v == nil && !builtin || v != nil && len(rest) == 0 && v.typ.class == numberClass && (v.kind == readingValue || v.kind == formulaValue) && wordsOnly(p)
	if outcome {
		o := b.outcomeRef(r.Ref, altWords(p), p.Any)
		if o == nil {
			return bad(src)
		}
		o.not = p.Not
		return &expr{op: opOutcome, typ: vtype{class: truthClass}, ref: o, src: src}
	}
	x := b.expr(e)
	switch x.typ.class {
	case wordClass:
		return b.wordIs(x, p, src)
	case textClass:
		texts := make([]string, len(p.Alts))
		for i, a := range p.Alts {
			texts[i] = strings.Trim(a.String(), `"`)
		}
		return &expr{op: opTextIs, typ: vtype{class: truthClass}, args: []*expr{x}, texts: texts, negate: p.Not, fixed: x.fixed, src: src}
	case numberClass:
		return b.numberIs(x, p, src)
	case badClass:
		return x
	}
	b.c.report(dsl.CodeWrongType, src, "is compares with words, texts or exact numbers", "for a date write at least or at most")
	return bad(src)
}

// ownAxis finds the positions of the fault being checked, as in "when side is plus".
func (b *builder) ownAxis(ref *dsl.Ref) *axis {
	if b.ctx.fault == nil || len(ref.Names) != 1 || len(ref.Index) > 0 {
		return nil
	}
	i := slices.IndexFunc(b.ctx.fault.axes, func(a *axis) bool { return a.name == ref.Names[0] && a.to == nil })
	if i < 0 {
		return nil
	}
	return b.ctx.fault.axes[i]
}

func wordsOnly(p *dsl.Is) bool {
	return p.Any || !slices.ContainsFunc(p.Alts, func(a *dsl.Alt) bool { return a.Word == "" })
}

func altWords(p *dsl.Is) []*dsl.Alt { return p.Alts }

func (b *builder) wordIs(x *expr, p *dsl.Is, src dsl.Range) *expr {
	out := &expr{op: opWordIs, typ: vtype{class: truthClass, axes: x.typ.axes}, args: []*expr{x}, negate: p.Not, fixed: x.fixed, src: src}
	for _, a := range p.Alts {
		i := slices.Index(x.typ.words, a.String())
		if i < 0 {
			b.c.report(dsl.CodeUnknownWord, a.Range, fmt.Sprintf("%s is none of its words", a), suggest(a.String(), slices.Clone(x.typ.words)))
			return bad(src)
		}
		out.mask |= 1 << i
	}
	if p.Any {
		out.mask = ^uint64(0)
	}
	return out
}

func (b *builder) numberIs(x *expr, p *dsl.Is, src dsl.Range) *expr {
	if x.typ.class == badClass {
		return x
	}
	out := &expr{op: opNumberIs, typ: vtype{class: truthClass, axes: x.typ.axes}, args: []*expr{x}, negate: p.Not, fixed: x.fixed, src: src}
	for _, a := range p.Alts {
		if a.Num == "" {
			b.c.report(dsl.CodeUnknownWord, a.Range, a.String()+" is no number", "write is 12 V, or at least, at most for a bound")
			return bad(src)
		}
		q, err := units.Parse(a.Num)
		if err == nil {
			err = units.Match(q.Dimension(), x.typ.dim)
		}
		if err != nil {
			b.dimension(a.Range, err, q.Dimension(), x.typ.dim)
			return bad(src)
		}
		out.args = append(out.args, &expr{op: opConst, typ: vtype{dim: q.Dimension()}, num: q.SI(), fixed: true, src: a.Range})
	}
	return out
}

// outcomeRef resolves a reference to a check with outcomes. alts nil and any false: the check as such.
func (b *builder) outcomeRef(ref *dsl.Ref, alts []*dsl.Alt, any bool) *outcomeRef {
	m, names, unit := b.m, ref.Names, ""
	if inc := b.include(names[0]); inc != nil && len(names) > 1 && b.m.testNamed[names[0]] == nil {
		m, names, unit = inc.kind, names[1:], inc.as
	}
	o := &outcomeRef{unit: unit, src: ref.Range, index: ref.Index}
	for _, a := range alts {
		o.words = append(o.words, a.String())
	}
	t := m.testNamed[names[0]]
	if t == nil && b.ctx.test != nil && unit == "" {
		if v, rest := b.ctx.test.lookup(names); v != nil {
			return b.valueOutcome(o, b.ctx.test, v, rest, ref, any)
		}
	}
	if t == nil {
		b.c.report(dsl.CodeUnknownName, ref.Range, "there is no test "+ref.String(), suggest(names[0], slices.Collect(maps.Keys(m.testNamed))))
		return nil
	}
	if len(names) > 1 {
		v, rest := t.lookup(names[1:])
		if v == nil {
			if pair, ok := t.pairs[names[1]]; ok {
				b.c.report(dsl.CodeUnknownName, ref.Range, names[1]+" is read both ways", fmt.Sprintf("write %s.%s or %s.%s", t.name, pair[0].name, t.name, pair[1].name))
				return nil
			}
			b.c.report(dsl.CodeUnknownName, ref.Range, fmt.Sprintf("test %s has no value %s", t.name, strings.Join(names[1:], ".")), suggest(names[1], t.valueNames()))
			return nil
		}
		return b.valueOutcome(o, t, v, rest, ref, any)
	}
	return b.testOutcome(o, t, ref)
}

// valueOutcome resolves test.value: the check of the value that has the outcomes, its limit or grade before its alike check.
func (b *builder) valueOutcome(o *outcomeRef, t *test, v *value, rest []string, ref *dsl.Ref, any bool) *outcomeRef {
	o.test, o.value = t.name, v.name
	c := v.check
	if c != nil && c.kind == limitCheck && slices.Contains(o.words, "jumps") {
		c.add("jumps", Fail) // every number that is judged can be unsteady
	}
	switch {
	case len(rest) == 1 && rest[0] == "alike" && v.alike != nil:
		c, o.alike = v.alike, true
	case len(rest) > 0:
		b.c.report(dsl.CodeUnknownName, ref.Range, fmt.Sprintf("%s has no part %s", v.name, strings.Join(rest, ".")), "")
		return nil
	case c == nil && v.alike == nil:
		b.c.report(dsl.CodeUnknownOutcome, ref.Range, ref.String()+" has no limit and no grade, so it has no outcome", "write a limit for it in its test")
		return nil
	case c == nil || v.alike != nil && !hasAll(c, o.words) && hasAll(v.alike, o.words):
		c, o.alike = v.alike, true
	}
	if !b.outcomesKnown(c, o, ref) {
		return nil
	}
	if len(o.index) > 0 {
		if c.kind == alikeCheck {
			b.c.report(dsl.CodeIndex, ref.Range, "alike speaks of the whole list", "leave the brackets out")
			return nil
		}
		if !b.index(ref, v.typ.axes) {
			return nil
		}
	}
	return o
}

func hasAll(c *check, words []string) bool {
	return !slices.ContainsFunc(words, func(w string) bool { return c.find(w) < 0 })
}

func (b *builder) outcomesKnown(c *check, o *outcomeRef, ref *dsl.Ref) bool {
	for _, w := range o.words {
		if c.find(w) < 0 {
			var known []string
			for _, oc := range c.outcomes {
				known = append(known, oc.word)
			}
			b.c.report(dsl.CodeUnknownOutcome, ref.Range, fmt.Sprintf("%s has no outcome %s", c.label(), w), suggest(w, known))
			return false
		}
	}
	return true
}

// testOutcome resolves the name of a test alone: its pattern, its only check, all its checks for good, or the only one with the outcome.
func (b *builder) testOutcome(o *outcomeRef, t *test, ref *dsl.Ref) *outcomeRef {
	o.test = t.name
	if len(o.index) > 0 {
		b.c.report(dsl.CodeIndex, ref.Range, "a test has no positions", "name its value: "+t.name+".value[...]")
		return nil
	}
	judged := slices.DeleteFunc(slices.Clone(t.checks), func(c *check) bool { return c.kind == infoCheck })
	var c *check
	switch {
	case t.pattern != nil && hasAll(t.pattern, o.words):
		c = t.pattern
	case len(judged) == 1:
		c = judged[0]
	case len(o.words) == 0 || slices.Equal(o.words, []string{"good"}):
		return o
	default:
		with := slices.DeleteFunc(judged, func(c *check) bool { return !hasAll(c, o.words) })
		if len(with) > 1 {
			b.c.report(dsl.CodeAmbiguousCheck, ref.Range, fmt.Sprintf("%s and %s both have that outcome", with[0].label(), with[1].label()), "name the value: "+with[0].label())
			return nil
		}
		if len(with) == 0 {
			b.c.report(dsl.CodeUnknownOutcome, ref.Range, fmt.Sprintf("no check of %s has the outcome %s", t.name, strings.Join(o.words, " | ")), "")
			return nil
		}
		c = with[0]
	}
	if !b.outcomesKnown(c, o, ref) {
		return nil
	}
	if c.kind != patternCheck {
		o.value, o.alike = c.val.name, c.kind == alikeCheck
	}
	return o
}
