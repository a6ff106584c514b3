package eval

import (
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
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
	passed   map[passKey]valueRange
	made     map[int32]int32 // which step writes a register, of the test that begins with the step madeFrom, as far as madeTo
	madeFrom int32
	madeTo   int32
	pass     string // the stage whose values an expression is laid out for, mostly empty
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
	b := bindTests(cfg)
	if b.circle != nil {
		return nil, b.circle
	}
	p := b.p
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

// bindTests lays out the tests with their checks.
func bindTests(cfg *configuration) *binder {
	b := newBinder(cfg)
	var order []testKey
	for u := len(b.units) - 1; u >= 0; u-- { // the battery comes before what it is a gate for
		for _, t := range b.units[u].m.tests {
			order = append(order, testKey{u, t})
		}
	}
	b.lay(order)
	return b
}

// bindOne lays out one test of the unit and what it depends on, which is all that proofs over its readings need.
func bindOne(cfg *configuration, t *test) *binder {
	b := newBinder(cfg)
	var order []testKey
	seen := map[testKey]bool{}
	var add func(testKey)
	add = func(key testKey) {
		if seen[key] {
			return
		}
		seen[key] = true
		for _, dep := range b.depends(key.unit, key.t) {
			add(testKey{dep.unit, dep.t})
		}
		order = append(order, key)
	}
	add(testKey{0, t})
	b.lay(order)
	return b
}

func newBinder(cfg *configuration) *binder {
	p := &program{m: cfg.m, guard: cfg.m.guard}
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
	return b
}

// lay lays out tests, with all on which they depend among them.
func (b *binder) lay(order []testKey) {
	b.allocInputs(order)
	for _, key := range order {
		b.bindTest(key.unit, key.t)
	}
	if b.circle != nil {
		return
	}
	for _, key := range order {
		b.p.order = append(b.p.order, b.testAt[key])
	}
	b.bindQuestions()
	b.markComputed()
	b.bindGlance()
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
			if v.typ.class == numberClass {
				for k := range n {
					b.tighten(base + k)
				}
			}
			b.place(v, base, n)
		}
	}
	for _, n := range t.needs {
		b.bindNeed(n)
	}
	gated := len(b.p.ops)
	for _, c := range t.checks {
		if c != t.pattern {
			b.bindChecks(c, index)
		}
	}
	if t.pattern != nil {
		b.bindPattern(t.pattern, index)
	}
	b.test.to = int32(len(b.p.ops))
	b.test.leans = len(b.test.joins) > 0 ||
		slices.ContainsFunc(b.test.inputs, func(in input) bool { return in.pass != "" }) ||
		slices.ContainsFunc(b.p.ops[gated:], func(o op) bool { return o.code == codeOutcome })
	b.pairs(b.test)
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
func (b *binder) allocInputs(tests []testKey) {
	b.inputs, b.passed = map[testKey][]input{}, map[passKey]valueRange{}
	for _, key := range tests {
		var list []input
		rows := 0
		for _, v := range key.t.values {
			if v.kind != readingValue {
				continue
			}
			n := b.size(v.typ.axes)
			if v.typ.table {
				n = b.cfg.tables[v]
				rows = max(rows, n)
			}
			list = append(list, b.readingInput(v, n))
		}
		for _, v := range key.t.used {
			n := 1
			if slices.ContainsFunc(key.t.values, func(r *value) bool { return r.at == v }) {
				n = rows
			}
			list = append(list, input{v: v, base: b.alloc(n, b.unmet(v)), n: int32(n)})
		}
		b.inputs[key] = append(list, b.passInputs(key.unit, key.t)...)
	}
	b.p.inputs = len(b.p.regs)
	b.p.sourceOf = make([]int32, b.p.inputs)
}

func (b *binder) readingInput(v *value, n int) input {
	in := input{v: v, base: b.alloc(n, missingReg(v)), n: int32(n)}
	if len(v.typ.axes) > 0 && !v.typ.table {
		for pos := range n {
			in.places = append(in.places, joinComma(b.positionNames(v.typ.axes, pos)))
		}
	}
	return in
}

// bindInputs makes the readings and conditions of a test known to its expressions.
func (b *binder) bindInputs(t *test) {
	b.test.inputs = b.inputs[testKey{b.unit, t}]
	for _, in := range b.test.inputs {
		if in.pass != "" {
			continue
		}
		if in.v.kind == readingValue {
			b.place(in.v, in.base, in.n)
		} else {
			b.at[valueKey{b.unit, in.v}] = valueRange{in.v, in.base, in.n}
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
