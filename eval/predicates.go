package eval

import (
	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// What is said of values: predicates and ranges.

// holds checks a predicate applied to a value.
func (b *builder) holds(e *dsl.Holds) *expr {
	x := b.predicate(e.X, e.Pred, e.Range)
	if e.Quantifier == "" || x.typ.class == badClass {
		return x
	}
	if len(x.typ.axes) == 0 {
		message := e.Quantifier + " works on a list, and this is a single value"
		if x.op == opOutcome {
			message = "an outcome is asked of the whole list at once"
		}
		b.c.report(dsl.CodeWrongType, e.Range, message, "leave "+e.Quantifier+" out")
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
		return b.pair(comparisons[p.Op], x, b.expr(p.Bound), src)
	case *dsl.Within:
		low, high := b.rangeOf(p, x.typ.dim)
		if low == nil {
			return bad(src)
		}
		x, y := b.pair(opAtLeast, x, low, src), b.pair(opAtMost, x, high, src)
		if x.typ.class == badClass || y.typ.class == badClass {
			return bad(src)
		}
		return &expr{op: opAnd, typ: x.typ, args: []*expr{x, y}, fixed: x.fixed && y.fixed, src: src}
	case *dsl.Alike:
		if len(x.typ.axes) == 0 || x.typ.class != numberClass {
			b.c.report(dsl.CodeWrongType, e.Span(), "alike compares the members of a list of numbers", "name a list: read x of phase : Ω")
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

var comparisons = map[string]exprOp{"at least": opAtLeast, "at most": opAtMost, "above": opAbove, "below": opBelow, "equals": opEquals}

// pair compares two values of one class.
func (b *builder) pair(op exprOp, x, y *expr, src dsl.Range) *expr {
	if x.typ.class == badClass || y.typ.class == badClass {
		return bad(src)
	}
	if x.typ.class != y.typ.class || x.typ.class == truthClass || x.typ.class == wordClass {
		b.incomparable(x, y, src)
		return bad(src)
	}
	if x.typ.class == numberClass && units.Match(x.typ.dim, y.typ.dim) != nil {
		b.dimension(y.src, y.typ.dim, x.typ.dim)
		return bad(src)
	}
	axes, ok := b.joined(x, y, src)
	if !ok {
		return bad(src)
	}
	return &expr{op: op, typ: vtype{class: truthClass, axes: axes}, args: []*expr{x, y}, fixed: x.fixed && y.fixed, src: src}
}

// incomparable reports two values of different classes, or of a class that has no order.
func (b *builder) incomparable(x, y *expr, src dsl.Range) {
	message, help := "these two are not of one sort and cannot be compared", "compare numbers with numbers, texts with texts, dates with dates"
	switch x.typ.class {
	case wordClass:
		message, help = "this is one of some words, which have no order", "write is before the word: x is good | worn"
	case truthClass:
		message, help = "a condition cannot be compared", "join conditions by and, or, not"
	case textClass:
		help = `a text stands in double quotes: at least "H40000"`
	case dateClass:
		help = "a day is written without quotes: at least 2001-01-01"
	}
	b.c.report(dsl.CodeWrongType, src, message, help)
}

// rangeOf checks a range against the dimension of what is compared. A first bound without unit takes the unit of the second.
func (b *builder) rangeOf(w *dsl.Within, dim units.Dimension) (low, high *expr) {
	x := b.inheritUnit(w)
	if x == nil {
		x = b.numeric(w.X)
	}
	if x = b.fits(x, dim, w.X); x.typ.class == badClass {
		return nil, nil
	}
	switch w.Op {
	case "to":
		y := b.number(w.Y, dim)
		if y.typ.class == badClass {
			return nil, nil
		}
		if p, ok := x.constant(); ok {
			if q, ok := y.constant(); ok && q < p {
				b.c.report(dsl.CodeBadLimit, w.Range, "this range ends below its beginning", "write the smaller value first")
				return nil, nil
			}
		}
		return x, y
	case "±":
		return b.plusMinus(x, w)
	}
	return x, x
}

// plusMinus makes the two ends of x ± y. A percentage is of x; a temperature after ± is a difference.
func (b *builder) plusMinus(x *expr, w *dsl.Within) (low, high *expr) {
	y := b.tolerance(w.Y, x.typ.dim)
	if y.typ.class == badClass {
		return nil, nil
	}
	axes, ok := b.joined(x, y, w.Range)
	if !ok {
		return nil, nil
	}
	typ := vtype{dim: x.typ.dim, axes: axes}
	if relative(y.typ.dim, x.typ.dim) {
		y = b.fold(opMul, typ, magnitude(x), y, w.Range)
	}
	return b.fold(opSub, typ, x, y, w.Range), b.fold(opAdd, typ, x, y, w.Range)
}

// magnitude is a number without its sign: 2 % of -5 V is 0.1 V.
func magnitude(x *expr) *expr {
	if p, ok := x.constant(); ok {
		if p >= 0 {
			return x
		}
		abs := *x
		abs.num = -p
		return &abs
	}
	return &expr{op: opAbs, typ: x.typ, args: []*expr{x}, fixed: x.fixed, src: x.src}
}

// relative tells whether a tolerance is a share of the values of a dimension.
func relative(tolerance, dim units.Dimension) bool {
	return tolerance.Kind() == units.Ratio && dim.Kind() != units.Ratio
}

// tolerance checks how far values of a dimension may be apart: a share of them, or a difference.
func (b *builder) tolerance(e dsl.Expr, dim units.Dimension) *expr {
	var x *expr
	if lit, ok := e.(*dsl.Lit); ok {
		x = b.difference(lit)
	} else {
		x = b.numeric(e)
	}
	if x.typ.class == badClass {
		return x
	}
	want, err := units.Sub(dim, dim)
	if !relative(x.typ.dim, dim) && (err != nil || units.Match(x.typ.dim, want) != nil) {
		b.dimension(e.Span(), x.typ.dim, want)
		return bad(e.Span())
	}
	if v, ok := x.constant(); ok && v < 0 {
		b.c.report(dsl.CodeBadLimit, e.Span(), "a tolerance is not negative", "leave the minus out")
		return bad(e.Span())
	}
	return x
}

// fold joins two operands, at once if both are constants.
func (b *builder) fold(op exprOp, typ vtype, x, y *expr, src dsl.Range) *expr {
	p, ok1 := x.constant()
	q, ok2 := y.constant()
	if v := arithmetic(op, p, q); ok1 && ok2 && v == v {
		return &expr{op: opConst, typ: typ, num: rounded(v), fixed: true, src: src}
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
		b.c.report(dsl.CodeWrongType, w.Range, "this range depends on other values", "write it in numbers")
		return nil
	}
	return &[2]float64{p, q}
}
