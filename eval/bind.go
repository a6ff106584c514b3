package eval

import (
	"fmt"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/diagnosis"
)

// binder lays out a program.
type binder struct {
	statics
	p        *program
	test     *boundTest
	testAt   map[testKey]int32 // bound tests
	at       map[valueKey]valueRange
	visiting map[testKey]bool
	inputs   map[testKey][]input
	unit     int
	circle   *dsl.Range
}

// Two included units can share a model, so tests and values are known by their unit too.
type (
	testKey struct {
		unit int
		t    *test
	}
	valueKey struct {
		unit int
		v    *value
	}
)

// bind makes the program of a model under a configuration. It fails only if tests depend on each other in a circle; the range says where.
func bind(cfg *configuration) (*program, *dsl.Range) {
	p := &program{m: cfg.m, guard: cfg.m.guard, nearby: max(nearLimit, cfg.m.guard) * max(nearLimit, cfg.m.guard)}
	b := &binder{p: p, testAt: map[testKey]int32{}, at: map[valueKey]valueRange{}, visiting: map[testKey]bool{}}
	b.cfg = cfg
	b.units = append(b.units, boundUnit{m: cfg.m, family: cfg.m.name})
	for _, inc := range cfg.m.includes {
		if inc.when != nil && b.eval(0, inc.when).bits == canFalse {
			continue
		}
		u := boundUnit{name: inc.as, m: inc.kind}
		if fam := cfg.included[inc.as]; fam != nil {
			u.m, u.family = fam, fam.name
		}
		b.units = append(b.units, u)
	}
	p.units = b.units
	b.allocInputs()
	for u := len(b.units) - 1; u >= 0; u-- {
		for _, t := range b.units[u].m.tests {
			b.bindTest(u, t)
		}
	}
	if b.circle != nil {
		return nil, b.circle
	}
	for u := len(b.units) - 1; u >= 0; u-- { // the battery comes before what it is a gate for
		for _, t := range b.units[u].m.tests {
			p.order = append(p.order, b.testAt[testKey{u, t}])
		}
	}
	b.rowsOfChecks()
	b.bindFaults()
	b.bindRelease()
	for _, v := range cfg.m.variants {
		p.variants = append(p.variants, boundVariant{v, b.eval(0, v.when).bits})
	}
	for _, r := range cfg.m.requires {
		p.requires = append(p.requires, boundRequire{r, b.eval(0, r.cond).bits})
	}
	return p, nil
}

// bindRelease lists the checks that decide the word of the unit.
func (b *binder) bindRelease() {
	b.unit = 0
	for _, o := range b.cfg.m.release {
		b.p.release = append(b.p.release, b.find(o, 0, nil)...)
	}
	for i := range b.p.checks {
		if c := &b.p.checks[i]; c.c.kind != infoCheck && b.p.tests[c.test].unit == 0 {
			b.p.judged = append(b.p.judged, int32(i))
		}
	}
}

// alloc reserves n registers and gives them a first value.
func (b *binder) alloc(n int, first reg) int32 {
	base := int32(len(b.p.regs))
	for range n {
		b.p.regs = append(b.p.regs, first)
	}
	return base
}

func (b *binder) emit(o op) {
	b.p.ops = append(b.p.ops, o)
}

// size is the number of members of a list, 0 when it is not known.
func (b *binder) size(axes []*axis) int {
	n := 1
	for _, a := range axes {
		switch {
		case a.to == nil:
			n *= len(a.words)
		default:
			n *= b.axisLen(a)
		}
	}
	return n
}

func (b *binder) axisLen(a *axis) int {
	r := b.eval(b.unitOf(a), a.to)
	if r.lo == r.hi && r.flags&regMissing == 0 {
		if n := int(r.lo) - a.from + 1; n > 0 && n <= maxPositions {
			return n
		}
		return 0
	}
	return b.cfg.sizes[a]
}

// maxPositions bounds the length of a list.
const maxPositions = 1000

func (b *binder) unitOf(a *axis) int {
	for u := range b.units {
		if b.units[u].m.axes[a.name] == a {
			return u
		}
	}
	return 0
}

// bindTest binds a test after those that it depends on.
func (b *binder) bindTest(unit int, t *test) {
	key := testKey{unit, t}
	if _, done := b.testAt[key]; done {
		return
	}
	if b.visiting[key] {
		if b.circle == nil {
			b.circle = &t.src
		}
		return
	}
	b.visiting[key] = true
	deps := b.depends(unit, t)
	for _, dep := range deps {
		b.bindTest(dep.unit, dep.t)
	}
	delete(b.visiting, key)
	b.unit = unit
	index := int32(len(b.p.tests))
	b.p.tests = append(b.p.tests, boundTest{t: t, unit: unit, applies: canTrue, from: int32(len(b.p.ops)), checkFrom: int32(len(b.p.checks)), checkTo: -1})
	b.testAt[key] = index
	b.test = &b.p.tests[index]
	for _, dep := range deps {
		if d, ok := b.testAt[testKey{dep.unit, dep.t}]; ok && dep.values {
			b.test.joins = append(b.test.joins, d)
		}
	}
	if t.applies != nil {
		b.test.applies = b.eval(unit, t.applies).bits
	}
	b.test.across = b.terminals(t)
	b.bindInputs(t)
	for _, v := range t.values {
		if v.kind == formulaValue {
			base, n := b.expr(v.formula)
			b.place(v, base, n)
		}
	}
	for _, n := range t.needs {
		b.bindNeed(n)
	}
	for _, c := range t.checks {
		if c != t.pattern {
			b.bindChecks(c, index)
		}
	}
	if t.pattern != nil {
		b.bindPattern(t.pattern, index)
	}
	b.test.to = int32(len(b.p.ops))
	b.sources(b.test)
	b.test.checkTo = int32(len(b.p.checks))
}

// mirrored tells whether the prods of the sheet are written for the other ground than the unit has.
func (b *binder) mirrored() bool {
	m := b.units[b.unit].m
	ground := m.attributes["ground"]
	if m.polarity == "" || ground == nil || ground.typ.class != wordClass {
		return false
	}
	i := slices.Index(ground.typ.words, m.polarity)
	r, _ := b.attribute(b.unit, ground)
	return i >= 0 && r.flags&regMissing == 0 && r.bits&(1<<i) == 0
}

// terminals puts into words across which terminals the test is made on this unit.
func (b *binder) terminals(t *test) string {
	var parts []string
	for _, a := range t.across {
		if a.when != nil && b.eval(b.unit, a.when).bits == canFalse {
			continue
		}
		if b.mirrored() {
			a.plus, a.minus = a.minus, a.plus
		}
		parts = append(parts, a.plus+" to "+a.minus)
	}
	return strings.Join(parts, ", or ")
}

func (b *binder) place(v *value, base, n int32) {
	r := valueRange{v, base, n}
	b.at[valueKey{b.unit, v}] = r
	b.test.values = append(b.test.values, r)
}

// allocInputs reserves the registers of all readings and conditions, side by side, so that a pass loads them at once. A condition read as a table
// along with a reading has as many.
func (b *binder) allocInputs() {
	b.inputs = map[testKey][]input{}
	for u := range b.units {
		for _, t := range b.units[u].m.tests {
			var list []input
			rows := 0
			for _, v := range t.values {
				if v.kind != readingValue {
					continue
				}
				n := b.size(v.typ.axes)
				if v.typ.table {
					n = b.cfg.tables[v]
					rows = max(rows, n)
				}
				list = append(list, input{v, b.alloc(n, missingReg(v)), int32(n)})
			}
			for _, v := range t.used {
				n := 1
				if slices.ContainsFunc(t.values, func(r *value) bool { return r.at == v }) {
					n = rows
				}
				list = append(list, input{v, b.alloc(n, b.unmet(v)), int32(n)})
			}
			b.inputs[testKey{u, t}] = list
		}
	}
	b.p.inputs = len(b.p.regs)
	b.p.sourceOf = make([]int32, b.p.inputs)
}

// bindInputs makes the readings and conditions of a test known to its expressions.
func (b *binder) bindInputs(t *test) {
	b.test.inputs = b.inputs[testKey{b.unit, t}]
	for _, in := range b.test.inputs {
		if in.v.kind == readingValue {
			b.place(in.v, in.base, in.n)
		} else {
			b.at[valueKey{b.unit, in.v}] = valueRange(in)
		}
	}
}

// unmet is what a condition that was not recorded can be: its likely range, else anything.
func (b *binder) unmet(v *value) reg {
	if v.likely != nil {
		return reg{lo: v.likely[0], hi: v.likely[1]}
	}
	return missingReg(v)
}

// dependency is a test that must be judged before another; values tells that its values, not only its outcomes, are used.
type dependency struct {
	unit   int
	t      *test
	values bool
}

// depends lists the tests that must be judged before t.
func (b *binder) depends(unit int, t *test) []dependency {
	var deps []dependency
	add := func(u int, name string, values bool) {
		if u < 0 {
			return
		}
		if d := b.units[u].m.testNamed[name]; d != nil && d != t {
			deps = append(deps, dependency{u, d, values})
		}
	}
	ref := func(o *outcomeRef) {
		if o.unit == "" {
			add(unit, o.test, false)
		} else {
			add(b.statics.unit(o.unit), o.test, false)
		}
	}
	var walk func(e *expr)
	walk = func(e *expr) {
		if e == nil {
			return
		}
		if e.ref != nil {
			ref(e.ref)
		}
		if e.val != nil && e.val.test != nil {
			if e.op == opForeign {
				add(b.statics.unit(e.unit), e.val.test.name, true)
			} else {
				add(unit, e.val.test.name, true)
			}
		}
		for _, a := range e.args {
			walk(a)
		}
	}
	for _, v := range t.values {
		walk(v.formula)
		for _, k := range v.laws {
			walk(k.arg)
		}
	}
	for _, n := range t.needs {
		if n.gate != nil {
			ref(n.gate)
		}
	}
	for _, c := range t.checks {
		for _, r := range c.rows {
			walk(r.when)
		}
		for _, l := range c.limits {
			walk(l.when)
			for _, x := range []*bound{l.low, l.high, l.newLow, l.newHigh} {
				if x != nil {
					walk(x.x)
				}
			}
		}
		for _, r := range c.rungs {
			walk(r.cut)
		}
	}
	return deps
}

func (b *binder) bindNeed(n *need) {
	k := boundNeed{n: n, truth: -1, cond: -1}
	if n.gate != nil {
		k.truth = b.outcome(n.gate)
	} else {
		if n.cond.kind == conditionValue {
			k.cond = b.at[valueKey{b.unit, n.cond}].base
		} else {
			r, _ := b.attribute(b.unit, n.cond)
			k.cond = b.alloc(1, r)
		}
		if n.pred != nil {
			base, _ := b.expr(n.pred)
			k.truth = base
		}
	}
	b.test.needs = append(b.test.needs, k)
}

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
	if v.test != nil && v.test != b.test.t && v.typ.class == numberClass {
		r = b.carry(v, unit, r)
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

// bindFaults makes the instances of all faults, one for each position, and the table of what they show.
func (b *binder) bindFaults() {
	p := b.p
	for i := range p.checks {
		p.table.All = append(p.table.All, p.checks[i].all)
		p.table.Good = append(p.table.Good, p.checks[i].good)
	}
	for u := range b.units {
		b.unit = u
		for _, f := range b.units[u].m.faults {
			b.bindFault(u, f)
		}
	}
	b.bindMasks()
	p.table.Prepare()
}

func (b *binder) bindFault(u int, f *fault) {
	exists := uint64(canTrue)
	for _, w := range f.without {
		exists = kleeneAnd(exists, negate(b.eval(u, w).bits))
	}
	if exists == canFalse {
		return
	}
	group := len(b.p.faults)
	for pos := range b.size(f.axes) {
		label := f.name
		b.where = b.placeOf(f.axes, pos)
		var names []string
		if !b.occursAt(u, f) {
			continue
		}
		if len(f.axes) > 0 {
			names = b.positionNames(f.axes, pos)
			label += fmt.Sprintf("[%s]", joinComma(names))
		}
		m := b.units[u].m
		bf := boundFault{f: f, pos: pos, names: names, label: label, group: group, unit: u, remedy: m.remedies[f.remedy], orElse: m.remedies[f.orElse]}
		row := diagnosis.Fault{Group: group}
		var origins []showOrigin
		for _, s := range f.shows {
			holds := uint64(canTrue)
			if s.when != nil {
				holds = b.eval(u, s.when).bits
			}
			checks := b.find(s.ref, u, here(s.ref.index, f.axes, names))
			if holds == canFalse || len(checks) == 0 {
				continue
			}
			b.p.soft = b.p.soft || !s.strength.always && !s.strength.any
			always := s.strength.always && holds == canTrue && exists == canTrue
			row.Shows = append(row.Shows, diagnosis.Show{Checks: ints(checks), Outcomes: b.outcomes(s, checks[0]), Always: always})
			origins = append(origins, showOrigin{s.ref.words})
		}
		b.p.faults = append(b.p.faults, bf)
		b.p.shows = append(b.p.shows, origins)
		b.p.table.Faults = append(b.p.table.Faults, row)
	}
}

// placeOf gives the index on each axis of a place in a flat list.
func (b *binder) placeOf(axes []*axis, pos int) map[*axis]int {
	place := map[*axis]int{}
	for i := len(axes) - 1; i >= 0; i-- {
		n := b.size(axes[i : i+1])
		place[axes[i]] = pos % n
		pos /= n
	}
	return place
}

// occursAt tells whether a fault can occur at all: one of its frequencies has a condition that can hold, or it has none.
func (b *binder) occursAt(u int, f *fault) bool {
	for _, o := range f.occurs {
		if o.when == nil || b.eval(u, o.when).bits&canTrue != 0 {
			return true
		}
	}
	return len(f.occurs) == 0
}

func (b *binder) outcomes(s *show, check int32) uint32 {
	c := &b.p.checks[check]
	if s.strength.any {
		return c.all
	}
	var mask uint32
	for _, w := range s.ref.words {
		if i := c.c.find(w); i >= 0 {
			mask |= 1 << i
		}
	}
	return mask
}

// here replaces the names of a fault's own positions by those of one instance.
func here(index []string, axes []*axis, names []string) []string {
	if index == nil {
		return nil
	}
	out := slices.Clone(index)
	for i, word := range index {
		for k, a := range axes {
			if a.name == word {
				out[i] = names[k]
			}
		}
	}
	return out
}

func (b *binder) bindMasks() {
	for i := range b.p.faults {
		bf := &b.p.faults[i]
		b.unit = bf.unit
		var names []string
		if len(bf.f.axes) > 0 {
			names = b.positionNames(bf.f.axes, bf.pos)
		}
		b.where = b.placeOf(bf.f.axes, bf.pos)
		for _, m := range bf.f.masks {
			if m.when != nil && b.eval(bf.unit, m.when).bits == canFalse {
				continue
			}
			var only []int
			for k := range b.p.faults {
				if slices.Contains(m.only, b.p.faults[k].f.name) && b.p.faults[k].unit == bf.unit {
					only = append(only, k)
				}
			}
			if m.only != nil && only == nil {
				continue
			}
			for _, c := range b.find(m.ref, bf.unit, here(m.ref.index, bf.f.axes, names)) {
				b.p.table.Faults[i].Masks = append(b.p.table.Faults[i].Masks, diagnosis.Mask{Check: int(c), For: only})
			}
		}
	}
}

func ints(list []int32) []int {
	out := make([]int, len(list))
	for i, v := range list {
		out[i] = int(v)
	}
	return out
}

func joinComma(names []string) string {
	s := names[0]
	for _, n := range names[1:] {
		s += ", " + n
	}
	return s
}
