package eval

import (
	"fmt"
	"math"
	"slices"

	"github.com/brushgear/brushgear/eval/proof"
	"github.com/brushgear/brushgear/units"
)

// A bound program as conditions over its readings: what a register holds, read back from the operations that fill it.

// spaceItem is what a variable of the space stands for.
type spaceItem struct {
	v     *value
	test  int32
	pos   int
	reg   int32 // -1 for one that is no register
	label string
}

type symbols struct {
	p        *program
	home     int32 // the test that is proved; its values go by their own names
	space    proof.Space
	items    []spaceItem
	maker    []int32 // per register: the operation that fills it, -1 for none
	inputs   map[int32]spaceItem
	names    map[int32]string // of formulas
	vars     map[int32]int    // of input registers
	nums     map[int32]*amount
	conds    map[int32]*proof.Condition
	byKey    map[string]*amount
	outcomes map[int32][]*proof.Condition
	moves    map[int32]int      // by the register of a reading: whether it moves
	trusted  []*proof.Condition // where corrections are allowed
}

func newSymbols(p *program) *symbols {
	x := &symbols{
		p: p, maker: make([]int32, len(p.regs)), inputs: map[int32]spaceItem{}, names: map[int32]string{}, vars: map[int32]int{}, nums: map[int32]*amount{},
		conds: map[int32]*proof.Condition{}, byKey: map[string]*amount{}, outcomes: map[int32][]*proof.Condition{}, moves: map[int32]int{},
	}
	for i := range x.maker {
		x.maker[i] = -1
	}
	for i, o := range p.ops {
		if o.code != codeCheck && o.code != codeTighten {
			n := o.n
			if single := o.code >= codeOutcome; single {
				n = 1
			}
			for k := range n {
				x.maker[o.dst+k] = int32(i)
			}
		}
	}
	for i := range p.tests {
		for _, in := range p.tests[i].inputs {
			for k := range in.n {
				x.inputs[in.base+k] = spaceItem{v: in.v, test: int32(i), pos: int(k), reg: in.base + k, label: in.name(k)}
			}
		}
		for _, r := range p.tests[i].values {
			for k := range r.n {
				x.names[r.base+k] = r.v.name
			}
		}
	}
	return x
}

// about makes the names of values those that the test itself uses.
func (x *symbols) about(test int32) { x.home = test }

func (x *symbols) addVariable(v proof.Variable, at spaceItem) int {
	x.space = append(x.space, v)
	x.items = append(x.items, at)
	return len(x.space) - 1
}

// opaque is a condition of which nothing is known; why names what it turns on.
func (x *symbols) opaque(why string) *proof.Condition {
	v := proof.Word(why, 2)
	v.Opaque = true
	return proof.Is(x.addVariable(v, spaceItem{reg: -1, label: why}), 2)
}

func (x *symbols) unknownAmount(why string, r int32) *amount {
	v := proof.Number(why)
	v.Loose = true // each unit brings its own; where two are the same, that is not known here
	if x.p.regs[r].flags&regMissing == 0 {
		v.Low, v.High = x.p.regs[r].lo, x.p.regs[r].hi
	}
	return variableOf(x.addVariable(v, spaceItem{reg: -1, label: why}), why)
}

// unworked is a number of which nothing is known.
func (x *symbols) unworked(why string) *amount {
	v := proof.Number(why)
	v.Opaque = true
	return variableOf(x.addVariable(v, spaceItem{reg: -1, label: why}), why)
}

// input is the variable of a reading or condition.
func (x *symbols) input(r int32) int {
	if v, ok := x.vars[r]; ok {
		return v
	}
	at := x.inputs[r]
	at.label = x.label(at)
	v := proof.Variable{Name: at.label}
	switch at.v.typ.class {
	case wordClass:
		v.Words = len(at.v.typ.words)
	default:
		v = proof.Number(at.label)
		v.Low, v.Whole = least(at.v.typ.dim)
		v.Pick = written(at.v.displayUnit())
	}
	n := x.addVariable(v, at)
	x.vars[r] = n
	return n
}

// least is the smallest reading of a kind of quantity, and whether its readings are whole numbers. A resistance, a length or a time below zero is
// an error of the meter, which no sheet asks about.
func least(d units.Dimension) (low float64, whole bool) {
	switch d.Kind() {
	case units.Count:
		return 0, true
	case units.Temperature, units.RotationalSpeed:
		return 0, false
	}
	if slices.Contains(neverNegative, d) {
		return 0, false
	}
	return math.Inf(-1), false
}

var neverNegative = func() (list []units.Dimension) {
	for _, u := range []string{"Ω", "m", "s", "Hz", "kg", "F", "N"} {
		list = append(list, units.MustUnit(u).Dimension())
	}
	return list
}()

// written picks a value that takes few digits in a unit.
func written(u units.Unit) func(low, high float64) float64 {
	return func(low, high float64) float64 {
		if u.Scale() <= 0 {
			return math.NaN()
		}
		from, to := units.FromSI(low, u).Value(), units.FromSI(high, u).Value()
		x, ok := proof.Short(from, to)
		if !ok {
			return math.NaN()
		}
		return units.New(x, u).SI()
	}
}

// label names a reading as a person would, seen from the test that is proved.
func (x *symbols) label(at spaceItem) string {
	name := at.label
	t := &x.p.tests[at.test]
	if at.v.kind == readingValue && at.test != x.home {
		name = t.t.name + "." + name
	}
	if u := x.p.units[t.unit].name; u != "" {
		name = u + "." + name
	}
	return name
}

// amount gives what a register holds.
func (x *symbols) amount(r int32) *amount {
	if n := x.nums[r]; n != nil {
		return n
	}
	n := x.makeAmount(r)
	if n.name == "" && n.shape != constNumber {
		n.name = x.names[r]
	}
	x.nums[r] = n
	return n
}

func (x *symbols) makeAmount(r int32) *amount {
	if _, ok := x.inputs[r]; ok {
		v := x.input(r)
		return variableOf(v, x.space[v].Name)
	}
	if x.maker[r] < 0 {
		k := x.p.regs[r]
		if k.lo == k.hi && k.flags == 0 {
			return constOf(k.lo)
		}
		return x.unknownAmount("what the unit is set to", r)
	}
	o := &x.p.ops[x.maker[r]]
	k := r - o.dst
	switch o.code {
	case codeAdd, codeSub, codeMul, codeDiv, codePower:
		return x.combined(o.code, x.amount(o.a+k*o.sa), x.amount(o.b+k*o.sb))
	case codeAbs:
		n := x.amount(o.a + k*o.sa)
		if n.shape == constNumber {
			return constOf(math.Abs(n.c))
		}
		return x.ordered([]*amount{n, x.combined(codeMul, n, constOf(-1))}, 2)
	case codeCarry:
		return x.amount(o.a)
	case codeProvided:
		x.trusted = append(x.trusted, x.truth(o.b))
		return x.amount(o.a)
	case codeLaw:
		return x.law(&x.p.laws[o.aux], x.amount(o.a))
	case codeCount:
		n := &amount{shape: tallyNumber, variable: -1}
		for i := range o.n {
			n.conds = append(n.conds, x.truth(o.a+i))
		}
		return n
	}
	var list []*amount
	for i := range o.n {
		list = append(list, x.amount(o.a+i))
	}
	return x.reduced(o.code, list)
}

// truth gives the condition that a register holds.
func (x *symbols) truth(r int32) *proof.Condition {
	c := x.conds[r]
	if c == nil {
		c = x.makeTruth(r)
		x.conds[r] = c
	}
	return c
}

func (x *symbols) makeTruth(r int32) *proof.Condition {
	if x.maker[r] < 0 {
		switch x.p.regs[r].bits {
		case canTrue:
			return proof.Always
		case canFalse:
			return proof.Never
		}
		return x.opaque("what the unit is set to")
	}
	o := &x.p.ops[x.maker[r]]
	k := r - o.dst
	a, b := o.a+k*o.sa, o.b+k*o.sb
	switch o.code {
	case codeAnd:
		return proof.All(x.truth(a), x.truth(b))
	case codeOr:
		return proof.Any(x.truth(a), x.truth(b))
	case codeNot:
		return proof.Not(x.truth(a))
	case codeWordIs:
		return x.wordIs(a, x.p.masks[o.aux], o.sb == 1)
	case codeEach, codeAny:
		var list []*proof.Condition
		for i := range o.n {
			list = append(list, x.truth(o.a+i))
		}
		if o.code == codeEach {
			return proof.All(list...)
		}
		return proof.Any(list...)
	case codeOutcome:
		return x.reference(&x.p.refs[o.aux])
	case codeAlike:
		return x.alike(&x.p.alikes[o.aux], o.a, o.n, 0)
	}
	return x.compared(o.code, x.amount(a), x.amount(b))
}

func (x *symbols) wordIs(r int32, mask uint64, not bool) *proof.Condition {
	if _, ok := x.inputs[r]; ok {
		c := proof.Is(x.input(r), mask)
		if not {
			return proof.Not(c)
		}
		return c
	}
	switch k := x.p.regs[r]; wordIs(k.bits, mask, not) {
	case canTrue:
		return proof.Always
	case canFalse:
		return proof.Never
	}
	return x.opaque("what the unit is set to")
}

// reference says that the checks of a reference have one of its outcomes.
func (x *symbols) reference(ref *boundRef) *proof.Condition {
	if len(ref.checks) == 0 {
		return x.opaque("a test that the unit may not have")
	}
	all := proof.Always
	for i, c := range ref.checks {
		if x.p.tests[x.p.checks[c].test].applies == canFalse {
			continue
		}
		all = proof.All(all, x.oneOf(c, ref.masks[i]))
	}
	if ref.not {
		return proof.Not(all)
	}
	return all
}

// oneOf says that a check has one of some outcomes.
func (x *symbols) oneOf(c int32, mask uint32) *proof.Condition {
	any := proof.Never
	for i, o := range x.outcomesOf(c) {
		if mask&(1<<i) != 0 {
			any = proof.Any(any, o)
		}
	}
	return any
}

// law is a corrected number. What is proved holds where the correction is allowed.
func (x *symbols) law(l *boundLaw, a *amount) *amount {
	c, arg := x.amount(l.cond), constOf(0)
	if l.arg >= 0 {
		arg = x.amount(l.arg)
	}
	from, to := l.from, l.to
	x.trusted = append(x.trusted, x.compared(codeAtLeast, c, constOf(from)), x.compared(codeAtMost, c, constOf(to)))
	correct := func(v, cv, av float64) float64 {
		if !l.k.law.allowed(cv, l.ref, av) {
			return math.NaN()
		}
		return l.correct(v, cv, av)
	}
	return x.computed(&amount{
		key: fmt.Sprintf("(law %s %b %s %s %s)", l.k.law.name, l.ref, a.key, c.key, arg.key), variable: -1, of: union(a.of, c.of, arg.of), name: a.name,
		value: func(p proof.Point) float64 { return correct(a.value(p), c.value(p), arg.value(p)) },
		span: func(low, high proof.Point) (float64, float64) {
			var v, cv, av reg
			v.lo, v.hi = a.span(low, high)
			cv.lo, cv.hi = c.span(low, high)
			av.lo, av.hi = arg.span(low, high)
			cv.lo, cv.hi = max(cv.lo, from), min(cv.hi, to)
			if cv.lo > cv.hi {
				return math.Inf(1), math.Inf(-1)
			}
			if l.k.law.name == "back_emf" && av.hi >= min(cv.lo, l.ref) { // the motor would stand still
				return math.Inf(-1), math.Inf(1)
			}
			out := reg{lo: math.Inf(1), hi: math.Inf(-1)}
			for _, p := range ends(v) { // a law is monotone in each of what it goes by
				for _, q := range ends(cv) {
					for _, s := range ends(av) {
						r := l.correct(p, q, s)
						if math.IsNaN(r) {
							return math.Inf(-1), math.Inf(1)
						}
						out.lo, out.hi = min(out.lo, r), max(out.hi, r)
					}
				}
			}
			return out.lo, out.hi
		},
	})
}

// judgedAt runs the program at a point; nil if the point stands for more than readings that stand still.
func (x *symbols) judgedAt(at proof.Point) *frame {
	f := &frame{}
	f.use(x.p, make([]checkState, len(x.p.checks)), make([]float64, x.p.zs))
	for v, s := range x.items {
		switch {
		case s.reg < 0, s.moving() && at[v] != 0:
			return nil
		case s.moving():
		case s.v.typ.class == wordClass:
			f.regs[s.reg] = reg{bits: 1 << int(at[v])}
		default:
			f.regs[s.reg] = exact(at[v])
		}
	}
	for i := range x.p.tests {
		t := &x.p.tests[i]
		f.run(x.p, t, false)
		if t.applies == canFalse {
			for c := t.checkFrom; c < t.checkTo; c++ {
				f.states[c].result = NotApplicable
			}
		}
	}
	return f
}
