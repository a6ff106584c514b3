package eval

import (
	"fmt"
	"slices"
)

// Expressions and references to outcomes, as operations on registers.

// outcome emits the truth of an outcome reference.
func (b *binder) outcome(o *outcomeRef) int32 {
	dst := b.alloc(1, unknown)
	b.p.refs = append(b.p.refs, b.resolve(o))
	b.emit(op{code: codeOutcome, dst: dst, n: 1, aux: int32(len(b.p.refs) - 1)})
	return dst
}

// resolve finds the bound checks of a reference. None remain if the included unit has no such test: then nothing is known.
func (b *binder) resolve(o *outcomeRef) boundRef {
	r := boundRef{not: o.not}
	for _, c := range b.find(o, b.unit, nil) {
		mask := b.p.checks[c].all
		if o.words != nil {
			mask = 0
			for _, w := range o.words {
				if i := b.p.checks[c].c.find(w); i >= 0 {
					mask |= 1 << i
				}
			}
		}
		r.checks, r.masks = append(r.checks, c), append(r.masks, mask)
	}
	return r
}

// find lists the bound checks that a reference names. positions, if not nil, replaces the reference's own index.
func (b *binder) find(o *outcomeRef, unit int, positions []string) []int32 {
	if o.unit != "" {
		unit = b.statics.unit(o.unit)
		if unit < 0 {
			return nil
		}
	}
	t := b.units[unit].m.testNamed[o.test]
	if t == nil {
		return nil
	}
	index, ok := b.testAt[testKey{unit, t}]
	if !ok {
		return nil
	}
	bt := &b.p.tests[index]
	to := bt.checkTo
	if to < 0 {
		to = int32(len(b.p.checks)) // the test being bound
	}
	if positions == nil {
		positions = o.index
	}
	var found []int32
	for i := bt.checkFrom; i < to; i++ {
		c := &b.p.checks[i]
		switch {
		case o.value == "" && t.pattern != nil && t.pattern != c.c:
			continue
		case o.value == "" && c.c.kind == infoCheck:
			continue
		case o.value != "" && (c.c.val == nil || c.c.val.name != o.value || (c.c.kind == alikeCheck) != o.alike):
			continue
		case positions != nil && c.pos >= 0 && c.pos != b.position(c.c.val.typ.axes, positions):
			continue
		}
		found = append(found, i)
	}
	return found
}

// position is the place of named positions in a flat list, -1 when there is none.
func (b *binder) position(axes []*axis, names []string) int {
	pos := 0
	for i, a := range axes {
		k := slices.Index(a.words, names[i])
		n := len(a.words)
		if a.to != nil {
			n = b.axisLen(a)
			k = -1
			if _, err := fmt.Sscan(names[i], &k); err != nil {
				return -1
			}
			k -= a.from
		}
		if k < 0 || k >= n {
			return -1
		}
		pos = pos*n + k
	}
	return pos
}

// positionNames is the inverse of position.
func (b *binder) positionNames(axes []*axis, pos int) []string {
	names := make([]string, len(axes))
	for i := len(axes) - 1; i >= 0; i-- {
		a := axes[i]
		n := len(a.words)
		if a.to != nil {
			n = b.axisLen(a)
			names[i] = fmt.Sprint(a.from + pos%n)
		} else {
			names[i] = a.words[pos%n]
		}
		pos /= n
	}
	return names
}

// expr emits an expression and returns its registers.
func (b *binder) expr(e *expr) (base, n int32) {
	if e.fixed && len(e.typ.axes) == 0 {
		r := b.eval(b.unit, e)
		if e.typ.class == truthClass {
			r = certainly(r.bits)
		}
		return b.alloc(1, r), 1
	}
	switch e.op {
	case opValue, opForeign:
		return b.valueRegs(e)
	case opOfPass:
		before := b.pass
		b.pass = e.pass
		base, n = b.passRegs(e)
		b.pass = before
		return base, n
	case opOutcome:
		return b.outcome(e.ref), 1
	case opNumberIs:
		return b.numberIs(e)
	}
	a, na := b.expr(e.args[0])
	switch e.op {
	case opAdd, opSub, opMul, opDiv, opPower, opAnd, opOr, opAtLeast, opAtMost, opAbove, opBelow, opEquals:
		c, nc := b.expr(e.args[1])
		return b.pairwise(codes[e.op], a, na, c, nc)
	case opNot, opAbs:
		dst := b.alloc(int(na), unknown)
		b.emit(op{code: codes[e.op], dst: dst, n: na, a: a, sa: 1})
		return dst, na
	case opWordIs:
		return b.wordIs(a, na, e.mask, e.negate)
	case opAlike:
		dst := b.alloc(1, unknown)
		b.emit(op{code: codeAlike, dst: dst, n: na, a: a, aux: b.alike(e.alike)})
		return dst, 1
	}
	dst := b.alloc(1, unknown) // a function of a list
	b.emit(op{code: codes[e.op], dst: dst, n: na, a: a})
	return dst, 1
}

var codes = map[exprOp]opCode{
	opAdd: codeAdd, opSub: codeSub, opMul: codeMul, opDiv: codeDiv, opPower: codePower, opAnd: codeAnd, opOr: codeOr, opNot: codeNot, opAbs: codeAbs,
	opAtLeast: codeAtLeast, opAtMost: codeAtMost, opAbove: codeAbove, opBelow: codeBelow, opEquals: codeEquals,
	opEach: codeEach, opAny: codeAny, opCount: codeCount, opHighest: codeHighest, opLowest: codeLowest, opMiddle: codeMiddle,
	opMean: codeMean, opTotal: codeTotal, opSpan: codeSpan,
}

func (b *binder) pairwise(code opCode, a, na, c, nc int32) (base, n int32) {
	n = max(na, nc)
	if na == 0 || nc == 0 {
		n = 0
	}
	o := op{code: code, n: n, a: a, b: c}
	if na > 1 {
		o.sa = 1
	}
	if nc > 1 {
		o.sb = 1
	}
	o.dst = b.alloc(int(n), unknown)
	b.emit(o)
	return o.dst, n
}

func (b *binder) wordIs(a, n int32, mask uint64, not bool) (int32, int32) {
	b.p.masks = append(b.p.masks, mask)
	dst := b.alloc(int(n), unknown)
	o := op{code: codeWordIs, dst: dst, n: n, a: a, sa: 1, aux: int32(len(b.p.masks) - 1)}
	if not {
		o.sb = 1
	}
	b.emit(o)
	return dst, n
}

func (b *binder) numberIs(e *expr) (base, n int32) {
	a, na := b.expr(e.args[0])
	base, n = int32(-1), 0
	for _, k := range e.args[1:] {
		c := b.alloc(1, exact(k.num))
		one, n1 := b.pairwise(codeEquals, a, na, c, 1)
		if base < 0 {
			base, n = one, n1
			continue
		}
		base, n = b.pairwise(codeOr, base, n, one, n1)
	}
	if e.negate {
		dst := b.alloc(int(n), unknown)
		b.emit(op{code: codeNot, dst: dst, n: n, a: base, sa: 1})
		return dst, n
	}
	return base, n
}

// valueRegs finds the registers of a reading, condition or formula; a value of a unit or test that is not there is unknown.
func (b *binder) valueRegs(e *expr) (base, n int32) {
	if b.pass != "" {
		return b.passRegs(e)
	}
	v, unit := e.val, b.unit
	if e.op == opForeign {
		u := b.statics.unit(e.unit)
		if u < 0 {
			return b.alloc(1, unknownOf(v)), 1
		}
		if v.kind == attributeValue {
			r, _ := b.attribute(u, v)
			return b.alloc(1, r), 1
		}
		t := b.units[u].m.testNamed[v.test.name]
		if t == nil || t.named[v.name] == nil {
			return b.alloc(1, unknownOf(v)), 1
		}
		v, unit = t.named[v.name], u
	}
	r, ok := b.at[valueKey{unit, v}]
	if !ok {
		return b.alloc(1, unknownOf(v)), 1
	}
	if v.test != nil && v.test != b.test.t {
		from := b.testAt[testKey{unit, b.units[unit].m.testNamed[v.test.name]}]
		if !slices.Contains(b.test.joins, from) {
			b.test.joins = append(b.test.joins, from)
		}
		if v.typ.class == numberClass {
			r = b.carry(v, from, r)
		}
	}
	if len(e.index) > 0 {
		pos := b.position(v.typ.axes, e.index)
		if pos < 0 || int32(pos) >= r.n {
			return b.alloc(1, unknownOf(v)), 1
		}
		return r.base + int32(pos), 1
	}
	return r.base, r.n
}

func (b *binder) alike(a *alikeLimit) int32 {
	t, _ := b.expr(a.tolerance)
	b.p.alikes = append(b.p.alikes, boundAlike{a, t})
	return int32(len(b.p.alikes) - 1)
}
