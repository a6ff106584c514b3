package eval

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Checking of expressions: names, classes, dimensions.

// bad stands for an expression that was reported; it fits everywhere, so that one slip makes one finding.
func bad(src dsl.Range) *expr {
	return &expr{op: opConst, typ: vtype{class: badClass}, fixed: true, src: src}
}

const badClass class = 255

func (b *builder) quantity(q *dsl.Qty) units.Quantity {
	v, err := q.Quantity()
	if err != nil && !pseudoUnit(q.Text) {
		b.c.report(dsl.CodeBadNumber, q.Range, err.Error(), "")
	}
	return v
}

func pseudoUnit(text string) bool {
	return strings.HasSuffix(text, "digits") || strings.HasSuffix(text, "u")
}

// truth checks an expression that must be a condition.
func (b *builder) truth(e dsl.Expr) *expr {
	x := b.expr(e)
	if x.typ.class != truthClass && x.typ.class != badClass {
		b.c.report(dsl.CodeWrongType, e.Span(), "a condition is wanted here, this is a value", "say something of it: x is good, x at least 2 V")
		return bad(e.Span())
	}
	if len(x.typ.axes) > 0 {
		b.c.report(dsl.CodeWrongType, e.Span(), "this is said of a list and is no single condition", "write each ..., any ... or count(...)")
		return bad(e.Span())
	}
	return x
}

// number checks an expression that must be a number of the dimension.
func (b *builder) number(e dsl.Expr, dim units.Dimension) *expr {
	x := b.numeric(e)
	return b.fits(x, dim, e)
}

func (b *builder) fits(x *expr, dim units.Dimension, e dsl.Node) *expr {
	if x.typ.class == badClass {
		return x
	}
	if err := units.Match(x.typ.dim, dim); err != nil {
		b.dimension(e.Span(), err, x.typ.dim, dim)
		return bad(e.Span())
	}
	return x
}

func (b *builder) dimension(at dsl.Range, err error, have, want units.Dimension) {
	help := "write a quantity that is a " + want.Name() + ", such as 2 " + want.Unit().String()
	if hint := units.TemperatureHint(have.Unit()); hint != "" && (want.Kind() == units.Temperature || want.Kind() == units.TemperatureDifference) {
		help = hint
	}
	message, _ := parted(err)
	b.c.report(dsl.CodeDimension, at, message, help)
}

// parted splits an error of dimensions into what is wrong and what to write.
func parted(err error) (message, help string) {
	var d *units.DimensionError
	if !errors.As(err, &d) {
		return err.Error(), ""
	}
	return strings.TrimSuffix(err.Error(), ": "+d.Hint), d.Hint
}

// numeric checks an expression that must be a number of any dimension.
func (b *builder) numeric(e dsl.Expr) *expr {
	x := b.expr(e)
	if x.typ.class != numberClass && x.typ.class != badClass {
		b.c.report(dsl.CodeWrongType, e.Span(), "a number is wanted here", "write a quantity or a formula")
		return bad(e.Span())
	}
	return x
}

func (b *builder) expr(e dsl.Expr) *expr {
	switch e := e.(type) {
	case *dsl.Lit:
		return b.literal(e)
	case *dsl.TextLit:
		return &expr{op: opText, typ: vtype{class: textClass}, text: e.Text.String(), fixed: true, src: e.Range}
	case *dsl.DateLit:
		return &expr{op: opDate, typ: vtype{class: dateClass}, num: float64(b.c.day(&e.Date)), fixed: true, src: e.Range}
	case *dsl.RefExpr:
		return b.name(e.Ref)
	case *dsl.Call:
		return b.call(e)
	case *dsl.Not:
		x := b.truth(e.X)
		return &expr{op: opNot, typ: vtype{class: truthClass}, args: []*expr{x}, fixed: x.fixed, src: e.Range}
	case *dsl.Binary:
		return b.binary(e)
	case *dsl.Holds:
		return b.holds(e)
	}
	return bad(dsl.Range{})
}

func (b *builder) literal(e *dsl.Lit) *expr {
	q, err := e.Qty.Quantity()
	if err != nil {
		b.c.report(dsl.CodeBadNumber, e.Range, err.Error(), "")
		return bad(e.Range)
	}
	if e.Dual != nil {
		b.dual(q, b.quantity(e.Dual), e)
	}
	return &expr{op: opConst, typ: vtype{dim: q.Dimension()}, num: q.SI(), fixed: true, src: e.Range}
}

// dual checks that a quantity printed in two units agrees: the second must be the first, rounded to its digits.
func (b *builder) dual(q, second units.Quantity, e *dsl.Lit) {
	in, err := q.In(second.Unit())
	if err != nil {
		message, _ := parted(err)
		b.c.report(dsl.CodeDimension, e.Dual.Range, message, "give the same quantity in another unit")
		return
	}
	step, ok := second.Resolution()
	if !ok {
		return
	}
	diff := in.SI() - second.SI()
	if diff < 0 {
		diff = -diff
	}
	if diff > step.SI()*0.500001 {
		n, _ := second.Decimals()
		b.c.report(dsl.CodeDualUnits, e.Range, fmt.Sprintf("%s is %s, not %s", e.Qty.Text, in.Round(n), e.Dual.Text), "mend the one that is misprinted; the first counts")
	}
}

func joinAxes(a, b []*axis) ([]*axis, bool) {
	switch {
	case len(a) == 0:
		return b, true
	case len(b) == 0 || slices.Equal(a, b):
		return a, true
	}
	return nil, false
}

func (b *builder) binary(e *dsl.Binary) *expr {
	if e.Op == "and" || e.Op == "or" {
		x, y := b.truth(e.X), b.truth(e.Y)
		op := opAnd
		if e.Op == "or" {
			op = opOr
		}
		return &expr{op: op, typ: vtype{class: truthClass}, args: []*expr{x, y}, fixed: x.fixed && y.fixed, src: e.Range}
	}
	x, y := b.numeric(e.X), b.numeric(e.Y)
	if x.typ.class == badClass || y.typ.class == badClass {
		return bad(e.Range)
	}
	axes, ok := joinAxes(x.typ.axes, y.typ.axes)
	if !ok {
		b.c.report(dsl.CodeWrongType, e.Range, "two lists of different positions cannot be joined", "take one position of each, or reduce one: mean(x)")
		return bad(e.Range)
	}
	combine := map[string]func(a, b units.Dimension) (units.Dimension, error){"+": units.Add, "-": units.Sub, "*": units.Mul, "/": units.Div}[e.Op]
	dim, err := combine(x.typ.dim, y.typ.dim)
	if err != nil {
		message, help := parted(err)
		b.c.report(dsl.CodeDimension, e.Range, message, help)
		return bad(e.Range)
	}
	op := map[string]exprOp{"+": opAdd, "-": opSub, "*": opMul, "/": opDiv}[e.Op]
	out := &expr{op: op, typ: vtype{dim: dim, axes: axes, table: x.typ.table || y.typ.table}, args: []*expr{x, y}, fixed: x.fixed && y.fixed, src: e.Range}
	if p, ok := x.constant(); ok {
		if q, ok := y.constant(); ok {
			if v := arithmetic(op, p, q); v == v {
				return &expr{op: opConst, typ: out.typ, num: v, fixed: true, src: e.Range}
			}
		}
	}
	return out
}

func arithmetic(op exprOp, p, q float64) float64 {
	switch op {
	case opAdd:
		return p + q
	case opSub:
		return p - q
	case opMul:
		return p * q
	}
	return p / q
}

// name resolves a reference to a value.
func (b *builder) name(ref *dsl.Ref) *expr {
	names := ref.Names
	if a := b.ownAxis(ref); a != nil {
		return &expr{op: opPosition, typ: vtype{class: wordClass, words: a.words}, axis: a, fixed: true, src: ref.Range}
	}
	if v, rest := b.lookup(names); v != nil {
		if len(rest) > 0 {
			b.c.report(dsl.CodeUnknownName, ref.Range, fmt.Sprintf("%s has no part %s", v.name, strings.Join(rest, ".")), "")
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
			b.c.report(dsl.CodeUnknownName, ref.Range, fmt.Sprintf("test %s has no value %s", names[0], strings.Join(names[1:], ".")), suggest(names[1], t.valueNames()))
		}
		return bad(ref.Range)
	}
	b.c.report(dsl.CodeUnknownName, ref.Range, "there is no "+ref.String(), suggest(names[0], b.known()))
	return bad(ref.Range)
}

func (t *test) valueNames() []string { return slices.Collect(maps.Keys(t.named)) }

// known lists the names that can be used where the builder stands.
func (b *builder) known() []string {
	var names []string
	if b.ctx.test != nil {
		names = append(names, b.ctx.test.valueNames()...)
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
		x.index = ref.Index
		x.typ.axes = nil
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
		b.c.report(dsl.CodeIndex, ref.Range, fmt.Sprintf("%d positions are wanted: %s", len(axes), axisNames(axes)), "")
		return false
	}
	for i, word := range ref.Index {
		if b.ctx.fault != nil && slices.ContainsFunc(b.ctx.fault.axes, func(a *axis) bool { return a.name == word && a == axes[i] }) {
			continue
		}
		if axes[i].words == nil {
			if word[0] < '0' || word[0] > '9' {
				b.c.report(dsl.CodeIndex, ref.Range, word+" is no number of a "+axes[i].name, "")
				return false
			}
			continue
		}
		if !slices.Contains(axes[i].words, word) {
			b.c.report(dsl.CodeIndex, ref.Range, fmt.Sprintf("%s is no %s", word, axes[i].name), suggest(word, slices.Clone(axes[i].words)))
			return false
		}
	}
	return true
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
	x := &expr{op: opForeign, typ: v.typ, unit: inc.as, val: v, fixed: v.kind == attributeValue, src: ref.Range}
	if v.kind == conditionValue {
		b.c.report(dsl.CodeMisplaced, ref.Range, "a condition belongs to one reading and is not known elsewhere", "")
		return bad(ref.Range)
	}
	if len(ref.Index) > 0 {
		if !b.index(ref, v.typ.axes) {
			return bad(ref.Range)
		}
		x.index, x.typ.axes = ref.Index, nil
	}
	return x
}

var functions = map[string]struct {
	op   exprOp
	args int
}{
	"count": {opCount, 1}, "highest": {opHighest, 1}, "lowest": {opLowest, 1}, "middle": {opMiddle, 1}, "mean": {opMean, 1},
	"sum": {opTotal, 1}, "span": {opSpan, 1}, "abs": {opAbs, 1}, "power": {opPower, 2},
}

func (b *builder) call(e *dsl.Call) *expr {
	f, ok := functions[e.Func.String()]
	if !ok {
		b.c.report(dsl.CodeFunction, e.Func.Range, "there is no function "+e.Func.String(), suggest(e.Func.String(), slices.Collect(maps.Keys(functions))))
		return bad(e.Range)
	}
	if len(e.Args) != f.args {
		b.c.report(dsl.CodeFunction, e.Range, fmt.Sprintf("%s takes %d value(s), not %d", e.Func, f.args, len(e.Args)), "")
		return bad(e.Range)
	}
	x := b.expr(e.Args[0])
	if x.typ.class == badClass {
		return x
	}
	out := &expr{op: f.op, args: []*expr{x}, fixed: x.fixed, src: e.Range}
	switch f.op {
	case opAbs:
		out.typ = x.typ
		return out
	case opPower:
		x, y := b.fits(x, units.DimensionOf(units.Torque), e.Args[0]), b.number(e.Args[1], units.DimensionOf(units.RotationalSpeed))
		if x.typ.class == badClass || y.typ.class == badClass {
			return bad(e.Range)
		}
		out.args = []*expr{x, y}
		out.fixed = x.fixed && y.fixed
		out.typ.dim = units.MustUnit("W").Dimension()
		axes, ok := joinAxes(x.typ.axes, y.typ.axes)
		if !ok {
			return bad(e.Range)
		}
		out.typ.axes = axes
		return out
	}
	if len(x.typ.axes) == 0 {
		b.c.report(dsl.CodeWrongType, e.Args[0].Span(), e.Func.String()+" works on a list, and this is a single value", "")
		return bad(e.Range)
	}
	if f.op == opCount {
		if x.typ.class != truthClass {
			b.c.report(dsl.CodeWrongType, e.Args[0].Span(), "count wants something said of each member", "write count(ohms above 100 Ω)")
			return bad(e.Range)
		}
		out.typ.dim = units.DimensionOf(units.Count)
		return out
	}
	if x.typ.class != numberClass {
		b.c.report(dsl.CodeWrongType, e.Args[0].Span(), e.Func.String()+" works on numbers", "")
		return bad(e.Range)
	}
	out.typ = x.typ.scalar()
	if f.op == opSpan && out.typ.dim.Kind() == units.Temperature {
		out.typ.dim = units.DimensionOf(units.TemperatureDifference)
	}
	return out
}

// holds checks a predicate applied to a value.
func (b *builder) holds(e *dsl.Holds) *expr {
	x := b.predicate(e.X, e.Pred, e.Range)
	if e.Quantifier == "" || x.typ.class == badClass {
		return x
	}
	if len(x.typ.axes) == 0 {
		b.c.report(dsl.CodeWrongType, e.Range, e.Quantifier+" works on a list, and this is a single value", "leave "+e.Quantifier+" out")
		return bad(e.Range)
	}
	op := opEach
	if e.Quantifier == "any" {
		op = opAny
	}
	return &expr{op: op, typ: vtype{class: truthClass}, args: []*expr{x}, fixed: x.fixed, src: e.Range}
}

func (b *builder) predicate(e dsl.Expr, p dsl.Predicate, src dsl.Range) *expr {
	if is, ok := p.(*dsl.Is); ok {
		return b.is(e, is, src)
	}
	x := b.expr(e)
	if x.typ.class == badClass {
		return x
	}
	switch p := p.(type) {
	case *dsl.Compare:
		return b.compare(x, p, src)
	case *dsl.Within:
		low, high := b.rangeOf(p, x.typ.dim)
		if low == nil {
			return bad(src)
		}
		return b.join(opAnd, b.pair(opAtLeast, x, low, src), b.pair(opAtMost, x, high, src), src)
	case *dsl.Alike:
		if len(x.typ.axes) == 0 || x.typ.class != numberClass {
			b.c.report(dsl.CodeWrongType, e.Span(), "alike compares the members of a list of numbers", "")
			return bad(src)
		}
		a := b.alikeLimit(p, x.typ.dim)
		if a == nil {
			return bad(src)
		}
		return &expr{op: opAlike, typ: vtype{class: truthClass}, args: []*expr{x}, alike: a, src: src}
	}
	return bad(src)
}

func (b *builder) join(op exprOp, x, y *expr, src dsl.Range) *expr {
	if x.typ.class == badClass || y.typ.class == badClass {
		return bad(src)
	}
	axes, _ := joinAxes(x.typ.axes, y.typ.axes)
	return &expr{op: op, typ: vtype{class: truthClass, axes: axes}, args: []*expr{x, y}, fixed: x.fixed && y.fixed, src: src}
}

var comparisons = map[string]exprOp{"at least": opAtLeast, "at most": opAtMost, "above": opAbove, "below": opBelow, "equals": opEquals}

func (b *builder) compare(x *expr, p *dsl.Compare, src dsl.Range) *expr {
	y := b.expr(p.Bound)
	if y.typ.class == badClass {
		return y
	}
	return b.pair(comparisons[p.Op], x, y, src)
}

// pair compares two values of one class.
func (b *builder) pair(op exprOp, x, y *expr, src dsl.Range) *expr {
	if x.typ.class != y.typ.class || x.typ.class == truthClass || x.typ.class == wordClass {
		b.c.report(dsl.CodeWrongType, src, "these two cannot be compared", "compare numbers of one dimension, texts or dates; for words write is")
		return bad(src)
	}
	if x.typ.class == numberClass {
		if err := units.Match(x.typ.dim, y.typ.dim); err != nil {
			b.dimension(y.src, err, y.typ.dim, x.typ.dim)
			return bad(src)
		}
	}
	axes, ok := joinAxes(x.typ.axes, y.typ.axes)
	if !ok {
		b.c.report(dsl.CodeWrongType, src, "two lists of different positions cannot be compared", "")
		return bad(src)
	}
	return &expr{op: op, typ: vtype{class: truthClass, axes: axes}, args: []*expr{x, y}, fixed: x.fixed && y.fixed, src: src}
}

// rangeOf checks a range against the dimension of what is compared. A first bound without unit takes the unit of the second.
func (b *builder) rangeOf(w *dsl.Within, dim units.Dimension) (low, high *expr) {
	x := b.inheritUnit(w)
	if x == nil {
		x = b.numeric(w.X)
	}
	if x.typ.class == badClass {
		return nil, nil
	}
	if w.Op == "" {
		x = b.fits(x, dim, w.X)
		if x.typ.class == badClass {
			return nil, nil
		}
		return x, x
	}
	if w.Op == "to" {
		x, y := b.fits(x, dim, w.X), b.number(w.Y, dim)
		if x.typ.class == badClass || y.typ.class == badClass {
			return nil, nil
		}
		if p, ok := x.constant(); ok {
			if q, ok := y.constant(); ok && q < p {
				b.c.report(dsl.CodeBadLimit, w.Range, "this range ends below its beginning", "write the smaller value first")
				return nil, nil
			}
		}
		return x, y
	}
	x = b.fits(x, dim, w.X)
	if x.typ.class == badClass {
		return nil, nil
	}
	return b.plusMinus(x, w)
}

// plusMinus makes the two ends of x ± y. A percentage is of x; a temperature after ± is a difference.
func (b *builder) plusMinus(x *expr, w *dsl.Within) (low, high *expr) {
	var y *expr
	if lit, ok := w.Y.(*dsl.Lit); ok {
		q := b.quantity(lit.Qty).Difference()
		y = &expr{op: opConst, typ: vtype{dim: q.Dimension()}, num: q.SI(), fixed: true, src: lit.Range}
	} else if y = b.numeric(w.Y); y.typ.class == badClass {
		return nil, nil
	}
	if y.typ.dim.Kind() == units.Ratio && x.typ.dim.Kind() != units.Ratio {
		y = b.fold(opMul, vtype{dim: x.typ.dim}, x, y, w.Range)
	} else {
		want, err := units.Sub(x.typ.dim, x.typ.dim)
		if err == nil {
			err = units.Match(y.typ.dim, want)
		}
		if err != nil {
			b.dimension(w.Y.Span(), err, y.typ.dim, x.typ.dim)
			return nil, nil
		}
	}
	return b.fold(opSub, vtype{dim: x.typ.dim}, x, y, w.Range), b.fold(opAdd, vtype{dim: x.typ.dim}, x, y, w.Range)
}

// fold joins two operands, at once if both are constants.
func (b *builder) fold(op exprOp, typ vtype, x, y *expr, src dsl.Range) *expr {
	p, ok1 := x.constant()
	q, ok2 := y.constant()
	if ok1 && ok2 {
		return &expr{op: opConst, typ: typ, num: arithmetic(op, p, q), fixed: true, src: src}
	}
	return &expr{op: op, typ: typ, args: []*expr{x, y}, fixed: x.fixed && y.fixed, src: src}
}

// inheritUnit reads "2.4 to 2.8 Ω": the first bound takes the unit of the second. It returns nil when the range is not of that form.
func (b *builder) inheritUnit(w *dsl.Within) *expr {
	x, ok := w.X.(*dsl.Lit)
	if !ok || w.Op == "" {
		return nil
	}
	y, ok := w.Y.(*dsl.Lit)
	if !ok {
		return nil
	}
	first, err1 := x.Qty.Quantity()
	second, err2 := y.Qty.Quantity()
	if err1 != nil || err2 != nil || first.Unit() != (units.Unit{}) || second.Unit() == (units.Unit{}) || w.Op == "±" && second.Dimension().Kind() == units.Ratio {
		return nil
	}
	q, err := units.Parse(x.Qty.Text + " " + second.Unit().String())
	if err != nil {
		return nil
	}
	return &expr{op: opConst, typ: vtype{dim: q.Dimension()}, num: q.SI(), fixed: true, src: x.Range}
}

// constRange checks a range of constants.
func (b *builder) constRange(r dsl.RangeExpr, dim units.Dimension) *[2]float64 {
	w, ok := r.(*dsl.Within)
	if !ok {
		return nil
	}
	low, high := b.rangeOf(w, dim)
	if low == nil {
		return nil
	}
	p, ok1 := low.constant()
	q, ok2 := high.constant()
	if !ok1 || !ok2 {
		b.c.report(dsl.CodeWrongType, w.Range, "this range must be written in numbers", "")
		return nil
	}
	return &[2]float64{p, q}
}
