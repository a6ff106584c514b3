package units

import (
	"cmp"
	"fmt"
	"math"
	"math/big"
	"strings"
)

// Add returns q + o in the unit of q, or in that of the temperature where a difference comes first. The error is a
// *[DimensionError], or wraps [ErrRange] when the sum grows too large.
func (q Quantity) Add(o Quantity) (Quantity, error) {
	d, err := Add(q.unit.dim, o.unit.dim)
	if err != nil {
		return Quantity{}, err
	}
	q, o = q.linear(), o.linear()
	if o.unit.dim.kind == Temperature {
		q, o = o, q
	}
	return q.sum("+", o, q.unit.with(d))
}

// Sub returns q - o in the unit of q; of two temperatures in K, or in Δ°F when q is in °F. The error is a *[DimensionError], or
// wraps [ErrRange] when the difference grows too large.
func (q Quantity) Sub(o Quantity) (Quantity, error) {
	d, err := Sub(q.unit.dim, o.unit.dim)
	if err != nil {
		return Quantity{}, err
	}
	q, o = q.linear(), o.linear()
	if o.unit.dim.kind == Temperature {
		return q.sum("-", o, q.unit.interval().with(d))
	}
	return q.sum("-", o, q.unit.with(d))
}

// sum adds or subtracts on the scale of q, so that 20 °C + 5 K is 25 °C without noise from the zero of the scale.
func (q Quantity) sum(op string, o Quantity, u Unit) (Quantity, error) {
	scale := q.unit
	if o.unit.dim.kind != Temperature {
		scale = scale.interval()
	}
	onScale, err := o.In(scale)
	if err != nil {
		return Quantity{}, err
	}
	value := q.value + onScale.value
	if op == "-" {
		value = q.value - onScale.value
	}
	return computed(New(value, u), q, op, o)
}

// Mul returns q·o. Where one of them is a bare number, a ratio or a count the unit of the other stays; else the product is in SI
// units. The error is a *[DimensionError], or wraps [ErrRange] when the product grows too large.
func (q Quantity) Mul(o Quantity) (Quantity, error) {
	d, err := Mul(q.unit.dim, o.unit.dim)
	if err != nil {
		return Quantity{}, err
	}
	q, o = q.linear(), o.linear()
	switch {
	case o.unit.dim.bare() && d == q.unit.dim:
		return computed(New(q.value*o.si, q.unit), q, "*", o)
	case q.unit.dim.bare() && d == o.unit.dim:
		return computed(New(q.si*o.value, o.unit), q, "*", o)
	}
	return computed(FromSI(q.si*o.si, d.Unit()), q, "*", o)
}

// Div returns q/o. Where o is a bare number, a ratio or a count the unit of q stays; else the quotient is in SI units. The error is a
// *[DimensionError], or wraps [ErrRange] for a division by zero and when the quotient grows too large.
func (q Quantity) Div(o Quantity) (Quantity, error) {
	d, err := Div(q.unit.dim, o.unit.dim)
	if err != nil {
		return Quantity{}, err
	}
	q, o = q.linear(), o.linear()
	if o.unit.dim.bare() && d == q.unit.dim {
		return computed(New(q.value/o.si, q.unit), q, "/", o)
	}
	return computed(FromSI(q.si/o.si, d.Unit()), q, "/", o)
}

// computed refuses the result r of an operation when it is no number.
func computed(r, q Quantity, op string, o Quantity) (Quantity, error) {
	if !r.finite() {
		return Quantity{}, fmt.Errorf("%v %s %v is %w", q, op, o, ErrRange)
	}
	return r, nil
}

// Compare returns -1, 0 or +1 as q is less than, equal to or greater than o. Rationally related units compare exactly as written, to
// the precision of a float64. The error is a *[DimensionError], or wraps [ErrRange] when one of them is no number.
func (q Quantity) Compare(o Quantity) (int, error) {
	if q.unit.dim != o.unit.dim {
		if err := Match(q.unit.dim, o.unit.dim); err != nil {
			return 0, err
		}
	}
	if math.IsNaN(q.si) || math.IsNaN(o.si) {
		return 0, fmt.Errorf("cannot compare %v with %v: %w", q, o, ErrRange)
	}
	return cmp.Compare(q.si, o.si), nil
}

// Equal reports whether q and o are the same value of matching dimensions, whatever the units.
func (q Quantity) Equal(o Quantity) bool {
	c, err := q.Compare(o)
	return err == nil && c == 0
}

// Round returns q rounded to that many digits after the point in its own unit, halves away from zero, and written so. Negative
// decimals round to tens and hundreds. Beyond ±100 decimals there is nothing to round, and q is returned.
func (q Quantity) Round(decimals int) Quantity {
	const most = 100
	if !q.finite() || decimals < -most || decimals > most {
		return q
	}
	r := rational(timesTen(q.exact(), decimals).FloatString(0))
	return q.rewritten(timesTen(r, -decimals).FloatString(max(0, decimals)))
}

// RoundTo returns q rounded to a whole number of steps of digit, such as the last digit of a meter, halves away from zero. A digit in
// °C or °F counts as a difference. The error is a *[DimensionError], or wraps [ErrRange] for a digit that is not positive and for
// wire gauges, which have no steps of one size.
func (q Quantity) RoundTo(digit Quantity) (Quantity, error) {
	scale := q.unit.interval()
	digit = digit.Difference()
	if err := Match(digit.unit.dim, scale.dim); err != nil {
		return Quantity{}, err
	}
	switch {
	case q.unit.isGauge() || digit.unit.isGauge():
		return Quantity{}, fmt.Errorf("cannot round %v to steps of %v: a wire gauge has no steps of one size: %w", q, digit, ErrRange)
	case !q.finite() || !digit.finite() || digit.si <= 0:
		return Quantity{}, fmt.Errorf("cannot round %v to steps of %v: write a step above zero: %w", q, digit, ErrRange)
	}
	step := digit.exactIn(scale)
	places, terminates := step.FloatPrec()
	r := rational(new(big.Rat).Quo(q.exact(), step).FloatString(0))
	r.Mul(r, step)
	if terminates && places <= maxNumberText/2 {
		return q.rewritten(r.FloatString(places)), nil
	}
	return New(float(r), q.unit), nil
}

// rewritten returns q with the decimal text for its number.
func (q Quantity) rewritten(text string) Quantity {
	n := numberOf(unsignedZero(text))
	if r, err := written(n, q.unit); err == nil && len(text) <= maxNumberText {
		return r
	}
	r, _ := n.rat()
	return New(float(r), q.unit)
}

// unsignedZero takes the sign from "-0.00".
func unsignedZero(text string) string {
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}
