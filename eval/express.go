package eval

import (
	"errors"
	"fmt"
	"math"
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

// quantity reads a number with its unit; false if it was reported.
func (b *builder) quantity(q *dsl.Qty) (units.Quantity, bool) {
	v, err := q.Quantity()
	if err != nil {
		b.c.report(dsl.CodeBadNumber, q.Range, q.Text+" is no quantity", "write a number with its unit, such as 2.45 Ω")
	}
	return v, err == nil
}

// measure reads a quantity of a dimension; false if it was reported.
func (b *builder) measure(q *dsl.Qty, want units.Dimension) (units.Quantity, bool) {
	v, ok := b.quantity(q)
	if ok && units.Match(v.Dimension(), want) != nil {
		b.dimension(q.Range, v.Dimension(), want)
		ok = false
	}
	return v, ok
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
	if units.Match(x.typ.dim, dim) != nil {
		b.dimension(e.Span(), x.typ.dim, dim)
		return bad(e.Span())
	}
	return x
}

// single checks that an expression stands for one value and not for a list of them. what names the place it stands in.
func (b *builder) single(x *expr, what string, e dsl.Node) bool {
	if x.typ.class == badClass || len(x.typ.axes) == 0 {
		return x.typ.class != badClass
	}
	b.c.report(dsl.CodeWrongType, e.Span(), "this is a list, and "+what+" is one value", "take one position, as in x[u], or reduce the list: highest(x)")
	return false
}

// dimension reports a quantity of one dimension where another is wanted.
func (b *builder) dimension(at dsl.Range, have, want units.Dimension) {
	such := example(want)
	fits := b.unit != (units.Unit{}) && units.Match(b.unit.Dimension(), want) == nil
	if fits {
		such = "2 " + b.unit.String()
	}
	help := "write " + article(want) + ", such as " + such
	if have.Kind() == units.Number {
		if text := b.source(at); fits && len(text) > 0 && strings.Trim(text, "+-.0123456789") == "" {
			such = text + " " + b.unit.String()
		}
		help = "write the number with its unit, such as " + such
	}
	if hint := units.TemperatureHint(have.Unit()); hint != "" && temperature(want) {
		help = hint
	}
	b.c.report(dsl.CodeDimension, at, fmt.Sprintf("this is %s, and %s is wanted here", article(have), article(want)), help)
}

func temperature(d units.Dimension) bool {
	return d.Kind() == units.Temperature || d.Kind() == units.TemperatureDifference
}

// article names a dimension as one quantity of it.
func article(d units.Dimension) string {
	switch name := d.Name(); {
	case d.Kind() == units.Number:
		return "a plain number"
	case strings.ContainsAny(name[:1], "aeio"):
		return "an " + name
	default:
		return "a " + name
	}
}

// example is a quantity of a dimension as the trade writes it.
func example(d units.Dimension) string {
	switch d.Kind() {
	case units.Number, units.Count:
		return "2"
	case units.Ratio:
		return "2 %"
	case units.Temperature:
		return "20 °C"
	case units.RotationalSpeed:
		return "2000 rpm"
	}
	return "2 " + d.Unit().String()
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
		b.c.report(dsl.CodeWrongType, e.Span(), "a number is wanted here", "write a quantity, a formula or the name of a value")
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
		if e.Pass != "" {
			return b.ofPass(e)
		}
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
	return b.written(e, func(q units.Quantity) units.Quantity { return q })
}

// difference reads a literal that says how far two values may be apart: a temperature is a difference there.
func (b *builder) difference(e *dsl.Lit) *expr { return b.written(e, units.Quantity.Difference) }

// written reads a literal and checks that a second unit agrees with the first.
func (b *builder) written(e *dsl.Lit, as func(units.Quantity) units.Quantity) *expr {
	q, ok := b.quantity(e.Qty)
	if !ok {
		return bad(e.Range)
	}
	q = as(q)
	if e.Dual != nil {
		if second, ok := b.quantity(e.Dual); ok {
			b.dual(q, as(second), e)
		}
	}
	return &expr{op: opConst, typ: vtype{dim: q.Dimension()}, num: q.SI(), fixed: true, src: e.Range}
}

// fraction is the finest step in which sheets print a fraction of an inch.
const fraction = 1.0 / 64

// dual checks that a quantity printed in two units agrees: the second must be the first, rounded to its digits. A fraction has no digits; it may
// be the exact one of the two.
func (b *builder) dual(q, second units.Quantity, e *dsl.Lit) {
	in, err := q.In(second.Unit())
	if err != nil {
		b.dimension(e.Dual.Range, second.Dimension(), q.Dimension())
		return
	}
	step, ok := second.Resolution()
	if !ok {
		return
	}
	reach := step.SI()
	digits, decimal := second.Decimals()
	if !decimal {
		reach, digits = fraction*second.Unit().Scale(), 3
		if first, ok := q.Resolution(); ok {
			reach = max(reach, first.SI())
		}
	}
	if math.Abs(in.SI()-second.SI()) <= reach*0.500001 {
		return
	}
	for in.Round(digits).SI() == 0 && in.SI() != 0 && digits < 20 {
		digits++
	}
	b.c.report(dsl.CodeDualUnits, e.Range, fmt.Sprintf("%s is %s, not %s", e.Qty.Text, in.Round(digits), e.Dual.Text), "mend the one that is misprinted; the first counts")
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

// joined gives the axes of two operands together: a single value goes with every member of a list.
func (b *builder) joined(x, y *expr, at dsl.Range) ([]*axis, bool) {
	axes, ok := joinAxes(x.typ.axes, y.typ.axes)
	if !ok {
		b.c.report(dsl.CodeWrongType, at, fmt.Sprintf("one list is of %s, the other of %s, and they do not go together", axisNames(x.typ.axes), axisNames(y.typ.axes)),
			"take one position of each, as in x[u], or reduce one, as in mean(x)")
	}
	return axes, ok
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
	axes, ok := b.joined(x, y, e.Range)
	if !ok {
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
	if divisor, known := y.constant(); op == opDiv && known && divisor == 0 {
		b.c.report(dsl.CodeWrongType, e.Range, "this divides by zero", "mend the number behind the /")
		return bad(e.Range)
	}
	return b.fold(op, vtype{dim: dim, axes: axes}, x, y, e.Range)
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

var functions = map[string]struct {
	op   exprOp
	args int
}{
	"count": {opCount, 1}, "highest": {opHighest, 1}, "lowest": {opLowest, 1}, "middle": {opMiddle, 1}, "mean": {opMean, 1},
	"sum": {opTotal, 1}, "span": {opSpan, 1}, "abs": {opAbs, 1}, "power": {opPower, 2},
}

func (b *builder) call(e *dsl.Call) *expr {
	name := e.Func.String()
	f, ok := functions[name]
	if !ok {
		b.c.report(dsl.CodeFunction, e.Func.Range, "there is no function "+name, suggest(name, mapKeys(functions)))
		return bad(e.Range)
	}
	if len(e.Args) != f.args {
		help := "write " + name + "(x)"
		if f.op == opPower {
			help = "write power(torque, speed)"
		}
		b.c.report(dsl.CodeFunction, e.Range, fmt.Sprintf("%s takes %d in its brackets, not %d", name, f.args, len(e.Args)), help)
		return bad(e.Range)
	}
	switch f.op {
	case opPower:
		return b.power(e)
	case opAbs:
		x := b.numeric(e.Args[0])
		return &expr{op: opAbs, typ: x.typ, args: []*expr{x}, fixed: x.fixed, src: e.Range}
	case opCount:
		x := b.expr(e.Args[0])
		if x.typ.class != truthClass && x.typ.class != badClass {
			b.c.report(dsl.CodeWrongType, e.Args[0].Span(), "count wants something said of each member", "write count(ohms above 100 Ω)")
			return bad(e.Range)
		}
		return b.reduce(e, f.op, x, vtype{dim: units.DimensionOf(units.Count)})
	}
	x := b.numeric(e.Args[0])
	typ := x.typ.scalar()
	if typ.dim.Kind() == units.Temperature {
		switch f.op {
		case opSpan:
			typ.dim = units.DimensionOf(units.TemperatureDifference)
		case opTotal:
			b.c.report(dsl.CodeDimension, e.Range, "temperatures have no sum", "write mean(x), or take the sum of differences")
			return bad(e.Range)
		}
	}
	return b.reduce(e, f.op, x, typ)
}

// reduce makes one value of a list.
func (b *builder) reduce(e *dsl.Call, op exprOp, x *expr, typ vtype) *expr {
	if x.typ.class == badClass {
		return x
	}
	if len(x.typ.axes) == 0 {
		b.c.report(dsl.CodeWrongType, e.Args[0].Span(), e.Func.String()+" works on a list, and this is a single value", "leave "+e.Func.String()+" out, or read a list: read x of phase : Ω")
		return bad(e.Range)
	}
	return &expr{op: op, typ: typ, args: []*expr{x}, fixed: x.fixed, src: e.Range}
}

// power is torque times speed, with the factor 2π that turns lack.
func (b *builder) power(e *dsl.Call) *expr {
	x := b.number(e.Args[0], units.DimensionOf(units.Torque))
	if x.typ.class == badClass {
		return x
	}
	y := b.number(e.Args[1], units.DimensionOf(units.RotationalSpeed))
	if y.typ.class == badClass {
		return y
	}
	axes, ok := b.joined(x, y, e.Range)
	if !ok {
		return bad(e.Range)
	}
	return &expr{op: opPower, typ: vtype{dim: units.MustUnit("W").Dimension(), axes: axes}, args: []*expr{x, y}, fixed: x.fixed && y.fixed, src: e.Range}
}
