package eval

import (
	"fmt"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// References to outcomes: "x is good | charged", "shows output third", "release ring_field".

// is checks "x is [not] a | b". What x is decides what is compared: a word, an attribute, a text, or the outcome of a check.
func (b *builder) is(e dsl.Expr, p *dsl.Is, src dsl.Range) *expr {
	r, ok := e.(*dsl.RefExpr)
	if ok && r.Pass == "" && b.isOutcome(r.Ref, p) {
		return b.outcomeIs(r.Ref, p, src)
	}
	x := b.expr(e)
	switch x.typ.class {
	case badClass:
		return x
	case wordClass:
		return b.wordIs(x, p, src)
	}
	if p.Any {
		b.c.report(dsl.CodeWrongType, p.Range, "any says nothing here", "say what it is, or leave this out")
		return bad(src)
	}
	switch x.typ.class {
	case textClass:
		return b.textIs(x, p, src)
	case numberClass:
		return b.numberIs(x, p, src)
	}
	b.c.report(dsl.CodeWrongType, src, "is compares with words, texts or exact numbers", "write at least, at most or equals before a day, and nothing behind a condition")
	return bad(src)
}

// isOutcome tells whether "x is ..." speaks of the outcome of a check.
func (b *builder) isOutcome(ref *dsl.Ref, p *dsl.Is) bool {
	if b.ownAxis(ref) != nil {
		return false
	}
	v, rest := b.lookup(ref.Names)
	if v == nil && len(ref.Names) == 1 && (ref.Names[0] == "serial" || ref.Names[0] == "built") {
		return false
	}
	if inc := b.include(ref.Names[0]); v == nil && inc != nil && len(ref.Names) > 1 {
		sub := &builder{c: b.c, m: inc.kind}
		v, rest = sub.lookup(ref.Names[1:])
	}
	switch {
	case v == nil:
		return true
	case v.kind != readingValue && v.kind != formulaValue || v.typ.class != numberClass:
		return false
	}
	words := p.Any || !slices.ContainsFunc(p.Alts, func(a *dsl.Alt) bool { return a.Word == "" })
	return words && (len(rest) == 0 || len(rest) == 1 && rest[0] == "alike")
}

// outcomeIs checks that a check has an outcome. In a formula the outcome is that of another test, which is looked up once all checks are known.
func (b *builder) outcomeIs(ref *dsl.Ref, p *dsl.Is, src dsl.Range) *expr {
	if v, _ := b.lookup(ref.Names); v == nil && b.m.testNamed[ref.Names[0]] == nil && b.include(ref.Names[0]) == nil {
		b.noTest(ref, b.m, ref.Names, "", "")
		return bad(src)
	}
	x := &expr{op: opOutcome, typ: vtype{class: truthClass}, ref: &outcomeRef{}, src: src}
	resolve := func() bool {
		o := b.outcomeRef(ref, p.Alts, p.Any)
		if o == nil {
			return false
		}
		*x.ref = *o
		x.ref.not = p.Not
		return true
	}
	if b.checked {
		if !resolve() {
			return bad(src)
		}
		return x
	}
	ctx := b.ctx
	if t := ctx.test; t != nil {
		if v, _ := t.lookup(ref.Names); v != nil || b.m.testNamed[ref.Names[0]] == t {
			b.c.report(dsl.CodeMisplaced, src, "a formula, limit or cut comes before the outcomes of its own test", "say it of the reading itself, or write outcome good when "+b.source(src))
			return bad(src)
		}
	}
	b.afterChecks = append(b.afterChecks, func() {
		b.ctx = ctx
		resolve()
	})
	return x
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

func (b *builder) wordIs(x *expr, p *dsl.Is, src dsl.Range) *expr {
	out := &expr{op: opWordIs, typ: vtype{class: truthClass, axes: x.typ.axes}, args: []*expr{x}, negate: p.Not, fixed: x.fixed, src: src}
	for _, a := range p.Alts {
		i := slices.Index(x.typ.words, a.String())
		if i < 0 {
			b.c.report(dsl.CodeUnknownWord, a.Range, fmt.Sprintf("%s is none of the words that are possible here", a), suggest(a.String(), x.typ.words))
			return bad(src)
		}
		out.mask |= 1 << i
	}
	if p.Any {
		out.mask = ^uint64(0)
	}
	return out
}

// textIs compares a text with others; serials are compared as everywhere, blanks and dashes left out.
func (b *builder) textIs(x *expr, p *dsl.Is, src dsl.Range) *expr {
	out := &expr{op: opTextIs, typ: vtype{class: truthClass}, args: []*expr{x}, negate: p.Not, fixed: x.fixed, src: src}
	for _, a := range p.Alts {
		text := a.String()
		if a.Text != "" {
			text = (&dsl.Text{Quoted: a.Text}).String()
		}
		out.texts = append(out.texts, text)
	}
	if x.op != opSerial {
		return out
	}
	var any *expr
	for _, text := range out.texts {
		same := &expr{op: opEquals, typ: out.typ, args: []*expr{x, {op: opText, typ: x.typ, text: text, fixed: true, src: src}}, fixed: true, src: src}
		if any == nil {
			any = same
		} else {
			any = &expr{op: opOr, typ: out.typ, args: []*expr{any, same}, fixed: true, src: src}
		}
	}
	if p.Not {
		return &expr{op: opNot, typ: out.typ, args: []*expr{any}, fixed: true, src: src}
	}
	return any
}

// listed gives the quantities that an attribute can have, in words.
func (v *value) listed() string {
	var list []string
	for _, q := range v.quantities {
		list = append(list, units.FromSI(q, v.displayUnit()).String())
	}
	return strings.Join(list, ", ")
}

func (b *builder) numberIs(x *expr, p *dsl.Is, src dsl.Range) *expr {
	out := &expr{op: opNumberIs, typ: vtype{class: truthClass, axes: x.typ.axes}, args: []*expr{x}, negate: p.Not, fixed: x.fixed, src: src}
	for _, a := range p.Alts {
		q, err := units.Parse(a.Num)
		switch {
		case a.Num == "" || err != nil:
			b.c.report(dsl.CodeUnknownWord, a.Range, a.String()+" is no number", "write is "+example(x.typ.dim)+", or at least, at most for a bound")
			return bad(src)
		case units.Match(q.Dimension(), x.typ.dim) != nil:
			b.dimension(a.Range, q.Dimension(), x.typ.dim)
			return bad(src)
		case x.val != nil && len(x.val.quantities) > 0 && !slices.Contains(x.val.quantities, q.SI()):
			b.c.report(dsl.CodeUnknownWord, a.Range, x.val.name+" is never "+a.Num, "known here: "+x.val.listed())
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
		b.noTest(ref, m, names, unit, "test ")
		return nil
	}
	if len(names) > 1 {
		v, rest := t.lookup(names[1:])
		if v == nil {
			b.noValue(ref, t, names[1:])
			return nil
		}
		return b.valueOutcome(o, t, v, rest, ref, any)
	}
	return b.testOutcome(o, t, ref)
}

// noTest reports a name that should be that of a test, or where what is empty of anything.
func (b *builder) noTest(ref *dsl.Ref, m *model, names []string, unit, what string) {
	known := testNames(m)
	for _, inc := range m.includes {
		known = append(known, inc.as)
	}
	if what == "" {
		known = append(known, b.known()...)
	}
	message, help := "there is no "+what+names[0], suggest(names[0], known)
	if unit != "" {
		message = fmt.Sprintf("%s (a %s) has no test %s", unit, m.name, names[0])
	}
	if a := b.m.axes[names[0]]; a != nil && b.ctx.fault != nil && len(names) == 1 {
		message = "this fault has no positions " + a.name + " to ask for"
		help = "write fault " + b.ctx.fault.name + " of " + a.name + ", and [" + a.name + "] where it shows"
		if a.to != nil {
			message, help = "positions that are numbers cannot be asked for", "write ["+a.name+"] where the fault shows"
		}
	}
	b.c.report(dsl.CodeUnknownName, ref.Range, message, help)
}

// valueOutcome resolves test.value: the check of the value that has the outcomes, its limit or grade before its alike check.
func (b *builder) valueOutcome(o *outcomeRef, t *test, v *value, rest []string, ref *dsl.Ref, any bool) *outcomeRef {
	o.test, o.value = t.name, v.name
	c := v.check
	if c != nil && c.kind == infoCheck && (len(o.words) > 0 || any) {
		c = nil
	}
	if c != nil && c.kind == limitCheck && o.unit == "" && slices.Contains(o.words, "jumps") {
		c.add("jumps", Fail) // every number that is judged can be unsteady
	}
	switch {
	case v.typ.class == badClass:
		return nil
	case len(rest) == 1 && rest[0] == "alike" && v.alike != nil:
		c, o.alike = v.alike, true
	case len(rest) > 0:
		b.noPart(ref, v, rest)
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
			help := suggest(w, known)
			switch {
			case w == "jumps" && c.kind == limitCheck:
				help = "write limit " + c.name + " is steady where the test stands"
			case c.kind == alikeCheck && len(o.index) > 0:
				help = "it speaks of the whole list: leave the brackets out and write one_low, one_high or mixed; which member it is takes a limit or a grade of its members"
			}
			b.c.report(dsl.CodeUnknownOutcome, ref.Range, fmt.Sprintf("%s has no outcome %s", c.label(), w), help)
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
	case len(judged) == 0 && len(o.words) > 0:
		b.c.report(dsl.CodeUnknownOutcome, ref.Range, "test "+t.name+" has no limit, grade or pattern, so it has no outcome", "write a limit for one of its values")
		return nil
	case len(o.words) == 0 || slices.Equal(o.words, []string{"good"}):
		return o
	default:
		with := slices.DeleteFunc(slices.Clone(judged), func(c *check) bool { return !hasAll(c, o.words) })
		if len(with) > 1 {
			b.c.report(dsl.CodeAmbiguousCheck, ref.Range, fmt.Sprintf("%s and %s both have that outcome", with[0].label(), with[1].label()), "name the value: "+with[0].label())
			return nil
		}
		if len(with) == 0 {
			var known []string
			for _, c := range judged {
				for _, o := range c.outcomes {
					known = append(known, o.word)
				}
			}
			b.c.report(dsl.CodeUnknownOutcome, ref.Range, fmt.Sprintf("no check of %s has the outcome %s", t.name, strings.Join(o.words, " | ")), suggest(o.words[0], slices.Compact(slices.Sorted(slices.Values(known)))))
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
