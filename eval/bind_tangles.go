package eval

import (
	"cmp"
	"slices"
)

// A tangle is a value, or the difference of two, in which a reading is used more than once: x / (x + y), x at least 0.9 * (x + y). Interval arithmetic
// step by step takes each use for a reading of its own and makes the result too wide; tangles are worked out as a whole where a reading is a
// range.

// tangle lists what one is made of.
type tangle struct {
	a, b   int32    // a less b, or a alone if b is -1
	steps  []member // that lead from the readings to it
	leaves []int32  // the registers used more than once
}

// member is what a step works out for one place of a list.
type member struct{ op, k int32 }

// pair names two registers that are compared.
type pair struct{ a, b int32 }

// producers finds the step of the test that is being bound which writes each register. It goes on where it stopped for the same test.
func (b *binder) producers() map[int32]int32 {
	if b.made == nil || b.madeFrom != b.test.from {
		b.made, b.madeFrom, b.madeTo = map[int32]int32{}, b.test.from, b.test.from
	}
	for ; b.madeTo < int32(len(b.p.ops)); b.madeTo++ {
		o := &b.p.ops[b.madeTo]
		if o.code == codeCheck || o.code == codeTighten {
			continue
		}
		for k := range max(o.n, 1) {
			b.made[o.dst+k] = b.madeTo
		}
	}
	return b.made
}

// operands are the number registers that a step makes the register r of. It is false for a step that is no plain arithmetic.
func (p *program) operands(o *op, r int32) ([]int32, bool) {
	k := r - o.dst
	switch o.code {
	case codeAdd, codeSub, codeMul, codeDiv, codePower:
		return []int32{o.a + k*o.sa, o.b + k*o.sb}, true
	case codeAbs:
		return []int32{o.a + k*o.sa}, true
	case codeCarry, codeProvided:
		return []int32{o.a}, true
	case codeLaw:
		l := &p.laws[o.aux]
		list := []int32{o.a, l.cond}
		if l.arg >= 0 {
			list = append(list, l.arg)
		}
		return list, true
	case codeHighest, codeLowest, codeMiddle, codeMean, codeTotal, codeSpan:
		var list []int32
		for i := range o.n {
			list = append(list, o.a+i)
		}
		return list, true
	}
	return nil, false
}

// tangled looks whether a less c, or a alone if c is -1, uses a reading more than once; nil if not.
func (b *binder) tangled(a, c int32) *tangle {
	made := b.producers()
	_, madeA := made[a]
	if _, madeC := made[c]; !madeA && !madeC && a != c {
		return nil // two readings, or one and a number
	}
	type uses struct {
		count map[int32]int // of each leaf, 2 standing for more
		plain bool
	}
	known := map[int32]uses{}
	steps := map[member]bool{}
	var walk func(r int32) uses
	join := func(into map[int32]int, from map[int32]int) {
		for leaf, n := range from {
			into[leaf] = min(2, into[leaf]+n)
		}
	}
	walk = func(r int32) uses {
		if u, ok := known[r]; ok {
			return u
		}
		i, ok := made[r]
		if !ok {
			first := b.p.regs[r]
			u := uses{map[int32]int{}, true}
			if int(r) < b.p.inputs || first.lo != first.hi || first.flags != 0 {
				u.count[r] = 1
			}
			known[r] = u
			return u
		}
		u := uses{map[int32]int{}, true}
		list, plain := b.p.operands(&b.p.ops[i], r)
		if !plain {
			u.plain = false
		}
		steps[member{i, r - b.p.ops[i].dst}] = true
		for _, x := range list {
			of := walk(x)
			u.plain = u.plain && of.plain
			join(u.count, of.count)
		}
		known[r] = u
		return u
	}
	u := walk(a)
	all := map[int32]int{}
	join(all, u.count)
	plain := u.plain
	if c >= 0 {
		other := walk(c)
		join(all, other.count)
		plain = plain && other.plain
	}
	t := tangle{a: a, b: c}
	for leaf, n := range all {
		if n > 1 {
			t.leaves = append(t.leaves, leaf)
		}
	}
	if !plain || len(t.leaves) == 0 {
		return nil
	}
	slices.Sort(t.leaves)
	for s := range steps {
		t.steps = append(t.steps, s)
	}
	slices.SortFunc(t.steps, func(x, y member) int { return cmp.Or(cmp.Compare(x.op, y.op), cmp.Compare(x.k, y.k)) })
	return &t
}

// tighten emits the step that works out a value as a whole where it is a tangle.
func (b *binder) tighten(r int32) {
	if t := b.tangled(r, -1); t != nil {
		b.p.tangles = append(b.p.tangles, *t)
		b.emit(op{code: codeTighten, dst: r, aux: int32(len(b.p.tangles) - 1)})
	}
}

// pairs finds the comparisons of a test whose two sides use the same reading.
func (b *binder) pairs(t *boundTest) {
	add := func(x, y int32) {
		if x < 0 || y < 0 {
			return
		}
		if k := b.tangled(x, y); k != nil {
			if b.p.apart == nil {
				b.p.apart = map[pair]int32{}
			}
			b.p.tangles = append(b.p.tangles, *k)
			b.p.apart[pair{x, y}] = int32(len(b.p.tangles) - 1)
			t.tangled = true
		}
	}
	made := b.producers()
	known := func(r int32) bool { // a number, or none
		_, worked := made[r]
		return r < 0 || !worked && int(r) >= b.p.inputs && b.p.regs[r].lo == b.p.regs[r].hi
	}
	for i := t.from; i < t.to; i++ {
		o := b.p.ops[i]
		switch o.code {
		case codeAtLeast, codeAtMost, codeAbove, codeBelow, codeEquals:
			for k := range o.n {
				add(o.a+k*o.sa, o.b+k*o.sb)
			}
		case codeCheck:
			c := &b.p.checks[o.aux]
			if c.n != 1 {
				continue // a list is compared member by member, and no formula uses its own table
			}
			for _, cut := range c.cuts {
				if !known(cut) { // else the value alone counts, which is worked out as a whole
					add(c.value, cut)
				}
			}
			for j := range c.limits {
				l := &c.limits[j]
				for _, bound := range []int32{l.low, l.high, l.newLow, l.newHigh} {
					if !known(bound) {
						add(l.value, bound)
					}
				}
			}
		}
	}
}
