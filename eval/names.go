package eval

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// What a name in an expression means.

// name resolves a reference to a value.
func (b *builder) name(ref *dsl.Ref) *expr {
	names := ref.Names
	if a := b.ownAxis(ref); a != nil {
		return &expr{op: opPosition, typ: vtype{class: wordClass, words: a.words}, axis: a, fixed: true, src: ref.Range}
	}
	if v, rest := b.lookup(names); v != nil {
		if len(rest) > 0 {
			b.noPart(ref, v, rest)
			return bad(ref.Range)
		}
		return b.valueExpr(v, ref)
	}
	switch {
	case len(names) == 1 && names[0] == "serial":
		b.m.plated = true
		return &expr{op: opSerial, typ: vtype{class: textClass}, fixed: true, src: ref.Range}
	case len(names) == 1 && names[0] == "built":
		b.m.plated = true
		return &expr{op: opBuilt, typ: vtype{class: dateClass}, fixed: true, src: ref.Range}
	}
	if inc := b.include(names[0]); inc != nil && len(names) > 1 {
		return b.foreign(inc, ref)
	}
	if t := b.m.testNamed[names[0]]; t != nil {
		if len(names) == 1 {
			b.c.report(dsl.CodeWrongType, ref.Range, names[0]+" is a test, not a value", "name one of its values, or say "+names[0]+" is good")
		} else {
			b.noValue(ref, t, names[1:])
		}
		return bad(ref.Range)
	}
	b.c.report(dsl.CodeUnknownName, ref.Range, "there is no "+ref.String(), suggest(names[0], b.known()))
	return bad(ref.Range)
}

// noPart reports names behind the name of a value.
func (b *builder) noPart(ref *dsl.Ref, v *value, rest []string) {
	b.c.report(dsl.CodeUnknownName, ref.Range, fmt.Sprintf("%s has no part %s", v.name, strings.Join(rest, ".")), "write "+strings.TrimSuffix(ref.String(), "."+strings.Join(rest, "."))+" alone")
}

// noValue reports a name that is no value of a test.
func (b *builder) noValue(ref *dsl.Ref, t *test, names []string) {
	if pair, ok := t.pairs[names[0]]; ok {
		b.c.report(dsl.CodeUnknownName, ref.Range, names[0]+" is read both ways", fmt.Sprintf("write %s.%s or %s.%s", t.name, pair[0].name, t.name, pair[1].name))
		return
	}
	b.c.report(dsl.CodeUnknownName, ref.Range, fmt.Sprintf("test %s has no value %s", t.name, strings.Join(names, ".")), suggest(names[0], t.valueNames()))
}

func (t *test) valueNames() []string { return mapKeys(t.named) }

// known lists the names that can be used where the builder stands.
func (b *builder) known() []string {
	var names []string
	if b.ctx.test != nil {
		names = append(names, b.ctx.test.valueNames()...)
	}
	if l := b.ctx.law; l != nil {
		return slices.AppendSeq([]string{l.reading.name, l.from.name, l.to.name}, maps.Keys(b.m.attributes))
	}
	names = slices.AppendSeq(names, maps.Keys(b.m.conditions))
	names = slices.AppendSeq(names, maps.Keys(b.m.attributes))
	return slices.AppendSeq(names, maps.Keys(b.m.testNamed))
}

// lookup finds a value of this unit by name and returns what is left of the name.
func (b *builder) lookup(names []string) (*value, []string) {
	if t := b.ctx.test; t != nil {
		if v, rest := t.lookup(names); v != nil {
			return v, rest
		}
	}
	if l := b.ctx.law; l != nil {
		if v := l.lookup(names[0]); v != nil {
			return v, names[1:]
		}
	}
	if v := b.m.conditions[names[0]]; v != nil {
		return v, names[1:]
	}
	if v := b.m.attributes[names[0]]; v != nil {
		return v, names[1:]
	}
	if t := b.m.testNamed[names[0]]; t != nil && len(names) > 1 {
		return t.lookup(names[1:])
	}
	return nil, nil
}

func (t *test) lookup(names []string) (*value, []string) {
	if v := t.named[names[0]]; v != nil {
		return v, names[1:]
	}
	if len(names) > 1 {
		if v := t.named[names[0]+"."+names[1]]; v != nil {
			return v, names[2:]
		}
	}
	return nil, nil
}

func (b *builder) include(name string) *include {
	for _, inc := range b.m.includes {
		if inc.as == name {
			return inc
		}
	}
	return nil
}

func (b *builder) valueExpr(v *value, ref *dsl.Ref) *expr {
	b.formula(v)
	b.c.named[v.src] = true
	if v.typ.table {
		b.c.report(dsl.CodeWrongType, ref.Range, v.name+" is a table, which is judged point by point and cannot stand in a formula or condition", "give it a limit, and speak of its outcome: "+v.name+" is good")
		return bad(ref.Range)
	}
	x := &expr{op: opValue, typ: v.typ, val: v, fixed: v.kind == attributeValue, src: ref.Range}
	if v.kind == conditionValue {
		if b.ctx.test == nil {
			b.c.report(dsl.CodeMisplaced, ref.Range, "the condition "+v.name+" belongs to a reading and is not known here", "use an attribute, or say it inside a test")
			return bad(ref.Range)
		}
		b.ctx.test.uses(v)
	}
	if len(ref.Index) > 0 {
		if !b.index(ref, v.typ.axes) {
			return bad(ref.Range)
		}
		x.index, x.typ.axes = ref.Index, nil
	}
	return x
}

// uses notes that the test touches a condition.
func (t *test) uses(v *value) {
	if !slices.Contains(t.used, v) {
		t.used = append(t.used, v)
	}
}

// index checks positions in square brackets against the axes of a list.
func (b *builder) index(ref *dsl.Ref, axes []*axis) bool {
	if len(axes) == 0 {
		b.c.report(dsl.CodeIndex, ref.Range, ref.Names[len(ref.Names)-1]+" is no list", "leave the brackets out")
		return false
	}
	if len(ref.Index) != len(axes) {
		b.c.report(dsl.CodeIndex, ref.Range, fmt.Sprintf("a position of %s is %d words, not %d", ref.Names[len(ref.Names)-1], len(axes), len(ref.Index)), "name one of each: "+axisNames(axes))
		return false
	}
	for i, word := range ref.Index {
		if b.ctx.fault != nil && slices.ContainsFunc(b.ctx.fault.axes, func(a *axis) bool { return a.name == word && a == axes[i] }) {
			continue
		}
		if help := axes[i].wants(word); help != "" {
			b.c.report(dsl.CodeIndex, ref.Range, fmt.Sprintf("%s is no %s", word, axes[i].name), help)
			return false
		}
	}
	return true
}

// wants says what to write for a word that is no position of the axis; it is empty for one that is.
func (a *axis) wants(word string) string {
	if a.to == nil {
		if slices.Contains(a.words, word) {
			return ""
		}
		return suggest(word, a.words)
	}
	n, err := strconv.Atoi(word)
	last, known := a.to.constant()
	switch {
	case err == nil && n >= a.from && (!known || n <= int(last)):
		return ""
	case known:
		return fmt.Sprintf("write a number from %d to %d", a.from, int(last))
	}
	return fmt.Sprintf("write a number from %d up", a.from)
}

func axisNames(axes []*axis) string {
	var names []string
	for _, a := range axes {
		names = append(names, a.name)
	}
	return strings.Join(names, ", ")
}

// foreign resolves a value of an included unit. It is looked up again when the unit's family is known.
func (b *builder) foreign(inc *include, ref *dsl.Ref) *expr {
	sub := &builder{c: b.c, m: inc.kind}
	v, rest := sub.lookup(ref.Names[1:])
	if v == nil || len(rest) > 0 {
		b.c.report(dsl.CodeUnknownName, ref.Range, fmt.Sprintf("%s (a %s) has no value %s", inc.as, inc.kind.name, strings.Join(ref.Names[1:], ".")), suggest(ref.Names[1], sub.known()))
		return bad(ref.Range)
	}
	if v.kind == conditionValue {
		b.c.report(dsl.CodeMisplaced, ref.Range, "the condition "+v.name+" belongs to a reading of "+inc.as+" and is not known here", "use an attribute or a value of "+inc.as)
		return bad(ref.Range)
	}
	x := sub.valueExpr(v, ref)
	if x.typ.class != badClass {
		x.op, x.unit = opForeign, inc.as
	}
	return x
}
