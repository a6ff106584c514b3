package eval

import (
	"math"
	"slices"
)

// Which tests can be judged at a glance.

// bindGlance finds the tests that a glance can carry out, and lays out what it does.
func (b *binder) bindGlance() {
	p := b.p
	p.beyond = max(nearLimit, p.guard)
	for i, r := range p.regs {
		p.spots = append(p.spots, spotOf(r, readingError{}, p.beyond))
		p.ranged = p.ranged || i >= p.inputs && r.flags == 0 && r.bits == 0 && r.lo != r.hi
	}
	p.told = told{make([]uint32, len(p.checks)), make([]Result, len(p.checks))}
	for i := range p.tests {
		t := &p.tests[i]
		t.uses, t.looks = b.usedBy(t), int32(len(p.looks))
		p.looks = append(p.looks, look{code: codeTest, aux: int32(i)})
		if t.clear = t.applies == canTrue && p.isClear(t); t.clear {
			b.bindLooks(t)
		}
	}
	p.asking.uses = b.usedBy(&p.asking)
}

// A look is one step of a glance: one check, or one operation on single numbers.
type look struct {
	code      opCode
	way       shortcut // of a check, as in quick, which is then not waited for
	dst, a, b int32
	aux       int32 // of a check its number, or the number of a test
}

// bindLooks lays out the looks of a test. A value that is only told needs none.
func (b *binder) bindLooks(t *boundTest) {
	p := b.p
	add := func(l look) { p.looks = append(p.looks, l) }
	for _, other := range t.uses {
		add(look{code: codeUse, aux: other})
	}
	for _, o := range p.ops[t.from:t.to] {
		switch o.code {
		case codeTighten:
		case codeCheck:
			q := &p.quick[o.aux]
			if q.way == shortInformation {
				p.told.possible[o.aux], p.told.results[o.aux] = 1, Information
				continue
			}
			add(look{code: o.code, way: q.way, a: q.value, aux: o.aux})
		case codeOutcome:
			if r := &p.refs[o.aux]; len(r.checks) == 1 && !r.not {
				add(look{code: codeOutcomeIs, dst: o.dst, a: r.checks[0], aux: int32(r.masks[0])})
				continue
			}
			add(look{code: o.code, dst: o.dst, aux: o.aux})
		case codeLaw, codeCarry:
			add(look{code: o.code, dst: o.dst, a: o.a, aux: o.aux})
		case codeWordIs:
			for k := range o.n {
				add(look{code: o.code, dst: o.dst + k, a: o.a + k*o.sa, b: o.sb, aux: o.aux})
			}
		default:
			for k := range o.n {
				add(look{code: o.code, dst: o.dst + k, a: o.a + k*o.sa, b: o.b + k*o.sb})
			}
		}
	}
	for _, n := range t.needs {
		if n.truth >= 0 {
			add(look{code: codeNeed, a: n.truth})
		}
		if n.cond >= 0 {
			add(look{code: codeKnown, a: n.cond})
		}
	}
}

// usedBy lists the tests whose values or outcomes a test uses.
func (b *binder) usedBy(t *boundTest) []int32 {
	list := slices.Clone(t.joins)
	for _, o := range b.p.ops[t.from:t.to] {
		if o.code == codeOutcome {
			for _, c := range b.p.refs[o.aux].checks {
				list = append(list, b.p.checks[c].test)
			}
		}
	}
	slices.Sort(list)
	return slices.DeleteFunc(slices.Compact(list), func(i int32) bool { return &b.p.tests[i] == t })
}

// isClear tells whether a glance can carry out each step of a test.
func (p *program) isClear(t *boundTest) bool {
	judged := t.checkFrom
	for _, o := range p.ops[t.from:t.to] {
		switch o.code {
		case codeCheck:
			if judged = o.aux + 1; p.quick[o.aux].way == longWay {
				return false
			}
		case codeOutcome:
			if slices.ContainsFunc(p.refs[o.aux].checks, func(c int32) bool { return c >= judged && c < t.checkTo }) {
				return false
			}
		case codeAdd, codeSub, codeMul, codeDiv, codeAbs, codeAnd, codeOr, codeNot, codeAtLeast, codeAtMost, codeAbove, codeBelow, codeEquals, codeWordIs,
			codeLaw, codeTighten, codeCarry:
		default:
			return false
		}
	}
	return true
}

// shortcut is how a check that is clear of its limits is judged at a glance.
type shortcut uint8

const (
	longWay          shortcut = iota // it is not
	shortBounds                      // one limit that always holds, its bounds are numbers
	shortGrade                       // its cuts are numbers
	shortWord                        // one limit on a word
	shortInformation                 // nothing is judged
	shortPattern                     // by its rows
	shortAlike                       // one limit that always holds
)

// quick is what a glance needs of a check, kept together because it is read for every check of every judgement.
type quick struct {
	way       shortcut
	value, n  int32 // the registers to judge
	results   [8]Result
	sides     [16]int8  // of a limit, see place
	good      band      // inside of its bounds
	low, high float64   // below and above them, by more than arithmetic may put a number off
	bounds    band      // themselves
	decidable float64   // how far off a reading may be to be judged as it was read, below 0 of what is not
	bands     []band    // of a grade, inside of each of its outcomes
	cuts      []float64 // between them
	words     []uint8   // of a word limit: the outcome of each word
	rows      []glanceRow
	alike     int32
}

type band struct{ low, high float64 }

// bandOf is what lies inside of two bounds by more than arithmetic may put a number off.
func bandOf(low, high float64) band { return band{low + off(low), high - off(high)} }

// off is what arithmetic may put a number off that lies at a bound.
func off(bound float64) float64 {
	if math.IsInf(bound, 0) {
		return 0
	}
	return 10 * rounding * math.Abs(bound)
}

// glanceRow is the outcome of a pattern where the truth of a register holds; -1 for otherwise.
type glanceRow struct {
	truth   int32
	outcome int8
}

// shorten recognises a check that can be judged at a glance.
func (b *binder) shorten(k *boundCheck) quick {
	c := k.c
	q := quick{value: k.value, n: k.n, decidable: -1}
	always := len(k.limits) == 1 && k.limits[0].when < 0
	switch {
	case copy(q.results[:], k.results) < len(k.results):
		return q
	case c.kind == patternCheck:
		for i, truth := range k.rows {
			q.rows = append(q.rows, glanceRow{truth, int8(c.rows[i].outcome)})
		}
		q.way, q.value = shortPattern, 0
		return q
	case c.kind == alikeCheck && always && k.pitch < 0 && k.n > 1:
		q.way, q.alike = shortAlike, k.limits[0].alike
		return q
	case c.val.typ.table || k.n != 1:
		return q
	}
	switch c.kind {
	case infoCheck:
		q.way, q.results[0] = shortInformation, Information
	case gradeCheck:
		below, narrowest := math.Inf(-1), math.Inf(1)
		for i, r := range c.rungs {
			cut := math.Inf(1)
			if r.cut != nil {
				v, ok := r.cut.constant()
				if !ok || r.upTo || r.outcome != i {
					return q
				}
				cut = v
			}
			q.bands, q.cuts = append(q.bands, bandOf(below, cut)), append(q.cuts, cut)
			narrowest, below = min(narrowest, cut-below), cut
		}
		q.way, q.decidable = shortGrade, b.decidable(q.value, narrowest)
	case wordCheck:
		if always {
			q.way, q.words = shortWord, k.words
		}
	case limitCheck:
		if c.rising || len(k.limits) != 1 {
			return q
		}
		l := &k.limits[0]
		low, high := math.Inf(-1), math.Inf(1)
		if l.when >= 0 || l.cond >= 0 || l.newLow >= 0 || l.newHigh >= 0 || !number(l.lim.low, &low) || !number(l.lim.high, &high) {
			return q
		}
		q.way, q.value = shortBounds, l.value
		q.bounds, q.good, q.low, q.high = band{low, high}, bandOf(low, high), low-off(low), high+off(high)
		for side := range q.sides {
			q.sides[side] = -1
		}
		q.sides[3], q.sides[2|4], q.sides[1|8] = 0, k.lowAt, k.highAt
		q.decidable = b.decidable(q.value, high-low)
	}
	return q
}

// decidable tells how far off a reading may be for it to be judged as it was read between bounds so far apart: no more than what makes a meter
// unable to decide at all, and not at all by a rule that asks for a distance. It is negative of what is no reading.
func (b *binder) decidable(r int32, apart float64) float64 {
	switch {
	case int(r) >= b.p.inputs:
		return -1
	case b.p.guard > 0:
		return 0
	}
	return apart / meterSpan
}

// number reads a bound that is a number of the sheet and belongs to the good side; a bound that is not there leaves the value as it is.
func number(x *bound, out *float64) bool {
	if x == nil {
		return true
	}
	v, ok := x.x.constant()
	*out = v
	return ok && !x.open
}
