package eval

import "slices"

// Layout of the sensitivities by which errors of readings are carried through formulas.

// carry copies a value of another test, so that its error counts as a source of its own in this one.
func (b *binder) carry(v *value, from int32, r valueRange) valueRange {
	out := valueRange{v, b.alloc(int(r.n), unknown), r.n}
	for k := range r.n {
		b.emit(op{code: codeCarry, dst: out.base + k, n: 1, a: r.base + k, b: b.p.tests[from].sources})
	}
	return out
}

// sources lays out the sensitivities of a test that has formulas: for each reading and each meter of it, and for each value of another test.
func (b *binder) sources(t *boundTest) {
	p := b.p
	for int32(len(p.rowAt)) < int32(len(p.regs)) {
		p.rowAt = append(p.rowAt, -1)
	}
	if !b.soft(t) {
		return
	}
	t.soft = true
	readings := 0
	for _, in := range t.inputs {
		if in.v.typ.class != numberClass {
			continue
		}
		readings++
		for r := in.base; r < in.base+in.n; r++ {
			p.sourceOf[r] = t.ownSources
			t.ownSources++
		}
	}
	t.sources = t.ownSources + int32(readings)
	for i := t.from; i < t.to; i++ {
		if p.ops[i].code == codeCarry {
			p.ops[i].aux = t.sources
			t.sources++
		}
	}
	give := func(r int32) {
		if p.rowAt[r] < 0 {
			p.rowAt[r] = int32(p.rows)
			p.rows += int(t.sources)
		}
	}
	for _, in := range t.inputs {
		if in.v.typ.class == numberClass {
			for r := in.base; r < in.base+in.n; r++ {
				give(r)
				t.seeds = append(t.seeds, r)
			}
		}
	}
	for _, o := range p.ops[t.from:t.to] {
		switch o.code {
		case codeAdd, codeSub, codeMul, codeDiv, codePower, codeAbs:
			for k := range o.n {
				give(o.dst + k)
			}
		case codeLaw, codeProvided, codeCarry, codeMean, codeTotal, codeHighest, codeLowest, codeMiddle, codeSpan:
			give(o.dst)
		}
	}
}

// markComputed finds the registers that hold what was computed from readings.
func (b *binder) markComputed() {
	is := make([]bool, len(b.p.regs))
	b.p.computed = is
	for i := range b.p.ops {
		o := &b.p.ops[i]
		switch o.code {
		case codeAdd, codeSub, codeMul, codeDiv, codePower:
			for k := range o.n {
				is[o.dst+k] = true
			}
		case codeLaw, codeMean, codeTotal, codeSpan:
			is[o.dst] = true
		case codeAbs:
			for k := range o.n {
				is[o.dst+k] = is[o.a+k*o.sa]
			}
		case codeProvided, codeCarry:
			is[o.dst] = is[o.a]
		case codeHighest, codeLowest, codeMiddle:
			is[o.dst] = slices.Contains(is[o.a:o.a+o.n], true)
		}
	}
}

// soft tells whether a test has anything but plain checks of readings: formulas, comparisons, lists.
func (b *binder) soft(t *boundTest) bool {
	for _, o := range b.p.ops[t.from:t.to] {
		switch o.code {
		case codeCheck:
			c := &b.p.checks[o.aux]
			if c.c.kind == alikeCheck {
				return true
			}
		case codeAnd, codeOr, codeNot, codeWordIs, codeOutcome, codeEach, codeAny, codeCount:
		default:
			return true
		}
	}
	return false
}
