package eval

import (
	"fmt"
	"slices"

	"github.com/brushgear/brushgear/dsl"
)

// Values of other passes: "let gain = current as left - current as found" compares what a test read in one pass with what it read in another.

// passValue is a reading or a condition of a test as it was in the pass of a stage.
type passValue struct {
	v     *value
	stage string
}

// passKey finds its registers.
type passKey struct {
	unit int
	passValue
}

// ofPass resolves a value with the pass that it is from.
func (b *builder) ofPass(e *dsl.RefExpr) *expr {
	t, help := b.ctx.test, "write it of a reading or a formula of the same test: x "+e.Pass
	if t == nil {
		b.c.report(dsl.CodeMisplaced, e.Range, "outside of a test there are no passes to compare", help)
		return bad(e.Range)
	}
	v, rest := t.lookup(e.Ref.Names)
	switch {
	case v == nil:
		b.c.report(dsl.CodeUnknownName, e.Ref.Range, fmt.Sprintf("test %s has no value %s", t.name, e.Ref), help)
		return bad(e.Range)
	case len(rest) > 0:
		b.noPart(e.Ref, v, rest)
		return bad(e.Range)
	}
	x := b.valueExpr(v, e.Ref)
	if x.typ.class == badClass {
		return x
	}
	x.op, x.pass, x.src = opOfPass, e.Pass, e.Range
	if reason := t.fromPass(v, e.Pass); reason != "" {
		b.c.report(dsl.CodeMisplaced, e.Range, reason, "name the pass at the readings themselves")
		return bad(e.Range)
	}
	return x
}

// fromPass notes what a value of another pass is worked out from. It says why that cannot be, empty if it can.
func (t *test) fromPass(v *value, stage string) string {
	if v.kind == readingValue || v.kind == conditionValue {
		if one := (passValue{v, stage}); !slices.Contains(t.passed, one) {
			t.passed = append(t.passed, one)
		}
		return ""
	}
	seen := map[*value]bool{v: true} // formulas, which can be used many times
	var walk func(e *expr) string
	walk = func(e *expr) string {
		switch {
		case e.op == opOfPass:
			return v.name + " compares passes itself"
		case e.op == opForeign, e.op == opOutcome, e.op == opValue && e.val.test != nil && e.val.test != t:
			return v.name + " is worked out from another test, of which only the last result is known"
		case e.op == opValue && e.val.kind == formulaValue:
			if seen[e.val] || e.val.formula == nil {
				return ""
			}
			seen[e.val] = true
			return walk(e.val.formula)
		case e.op == opValue && e.val.kind != attributeValue:
			return t.fromPass(e.val, stage)
		}
		for _, x := range e.args {
			if reason := walk(x); reason != "" {
				return reason
			}
		}
		return ""
	}
	return walk(v.formula)
}

// passInputs reserves the registers of what a test compares with from other passes.
func (b *binder) passInputs(unit int, t *test) []input {
	var list []input
	for _, one := range t.passed {
		in := input{}
		if one.v.kind == readingValue {
			in = b.readingInput(one.v, b.size(one.v.typ.axes))
		} else {
			in = input{v: one.v, base: b.alloc(1, b.unmet(one.v)), n: 1}
		}
		in.pass = one.stage
		b.passed[passKey{unit, one}] = valueRange{in.v, in.base, in.n}
		list = append(list, in)
	}
	return list
}

// passRegs finds or works out the registers of a value in the pass that is being laid out.
func (b *binder) passRegs(e *expr) (base, n int32) {
	key := passKey{b.unit, passValue{e.val, b.pass}}
	r, ok := b.passed[key]
	switch {
	case ok:
	case e.val.kind == formulaValue:
		r.v = e.val
		r.base, r.n = b.expr(e.val.formula)
		b.passed[key] = r
	default:
		return b.alloc(1, unknownOf(e.val)), 1
	}
	base, n = r.base, r.n
	if len(e.index) == 0 {
		return base, n
	}
	pos := b.position(e.val.typ.axes, e.index)
	if pos < 0 || int32(pos) >= n {
		return b.alloc(1, unknownOf(e.val)), 1
	}
	return base + int32(pos), 1
}

// performanceOf finds the performance of a test that a value of a stage is from: the one that is judged if it is of that stage, else the last one
// that counts of an earlier pass of the stage; nil if there is none. An empty stage stands for the one that is judged.
func (j *Job) performanceOf(perf *performance, stage string) *performance {
	if stage == "" || j.passes[perf.pass].Stage == stage {
		return perf
	}
	var found *performance
	for _, p := range j.perfs {
		if p.test == perf.test && p.unit == perf.unit && p.void == "" && p.pass < perf.pass && j.passes[p.pass].Stage == stage {
			found = p
		}
	}
	return found
}
