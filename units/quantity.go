package units

import (
	"fmt"
	"math"
	"math/big"
	"strings"
)

// Quantity is a value with its unit. It is small, and nothing changes it but UnmarshalText; it is safe for concurrent use. Compare
// quantities with [Quantity.Compare] or [Quantity.Equal]; == asks for the same text, so that 2.50 V and 2.5 V, which are Equal,
// differ. The zero value is the bare number 0.
type Quantity struct {
	si    float64
	value float64
	unit  Unit
	text  string // the number as written, "" when computed
}

// written makes the quantity of a number as written. The error is errFraction, errGauge or ErrRange.
func written(n number, u Unit) (Quantity, error) {
	if u.isGauge() {
		return gauged(n, u)
	}
	if q, ok := fast(n, u); ok {
		return q, nil
	}
	r, ok := n.rat()
	if !ok {
		return Quantity{}, errFraction
	}
	si := u.toSI(r)
	q := Quantity{si: float(si), value: float(r), unit: u, text: n.text}
	if !q.finite() || q.si == 0 && si.Sign() != 0 || q.value == 0 && r.Sign() != 0 {
		return Quantity{}, ErrRange
	}
	return q, nil
}

// fast makes the quantity if every step but the last stays an exact integer. Then there is one rounding, as on the long way.
func fast(n number, u Unit) (Quantity, bool) {
	s, ok := u.small()
	if !ok || n.den <= 0 || n.den > maxExact {
		return Quantity{}, false
	}
	num, ok1 := times(n.num, s.num)
	den, ok2 := times(n.den, s.den)
	if s.zeroNum != 0 {
		a, ok3 := times(num, s.zeroDen)
		b, ok4 := times(s.zeroNum, den)
		den, ok = times(den, s.zeroDen)
		num = a + b
		ok = ok && ok3 && ok4 && -maxExact <= num && num <= maxExact
	}
	if !ok || !ok1 || !ok2 {
		return Quantity{}, false
	}
	return Quantity{
		si:    float64(num) / float64(den),
		value: float64(n.num) / float64(n.den),
		unit:  u,
		text:  n.text,
	}, true
}

// New returns a computed quantity: value in unit u. It has no written decimals. The value counts as the shortest decimal that
// denotes it, so New(6.35, mm) equals 1/4 in.
func New(value float64, u Unit) Quantity {
	if math.IsInf(value, 0) || math.IsNaN(value) {
		return Quantity{si: value, value: value, unit: u}
	}
	q, err := written(numberOf(shortest(value)), u)
	if err != nil {
		// The value fits, the SI value does not: it is infinite or zero.
		return Quantity{si: value * u.Scale(), value: value, unit: u}
	}
	q.text = ""
	return q
}

// FromSI returns the computed quantity that measures si in SI units (kelvins for a temperature, turns per second for a speed of
// rotation), expressed in u. Like New it takes si as the shortest decimal that denotes it.
func FromSI(si float64, u Unit) Quantity {
	q := Quantity{si: si, value: si, unit: u}
	switch {
	case !q.finite():
	case u.isGauge():
		q.value = gaugeOf(si)
	case u.Scale() == 1 && u.Zero() == 0:
	default:
		q.value = float(u.fromSI(rational(shortest(si))))
	}
	return q
}

// SI returns the value in SI units, rounded once from the exact text: kelvins for temperatures, turns per second for speeds of
// rotation, turns for angles, a plain ratio for %.
func (q Quantity) SI() float64 { return q.si }

// Value returns the value in the quantity's own unit.
func (q Quantity) Value() float64 { return q.value }

// Unit returns the unit.
func (q Quantity) Unit() Unit { return q.unit }

// Dimension returns what the quantity measures.
func (q Quantity) Dimension() Dimension { return q.unit.dim }

// number returns the number as written; of a computed value the decimal that it prints as.
func (q Quantity) number() number {
	if q.text == "" || q.unit.isGauge() {
		return numberOf(shortest(q.value))
	}
	return numberOf(q.text)
}

// exact returns the exact value in the quantity's own unit; of a wire gauge, the gauge number.
func (q Quantity) exact() *big.Rat {
	r, _ := q.number().rat()
	return r
}

// finite reports whether q holds a number, as every parsed quantity does.
func (q Quantity) finite() bool {
	return !math.IsInf(q.si, 0) && !math.IsNaN(q.si) && !math.IsInf(q.value, 0) && !math.IsNaN(q.value)
}

// Decimals returns how many digits after the point the number was written with; negative when an exponent leaves the last digit
// before the point: -2 for 1.2e3. It is false for computed values and for fractions.
func (q Quantity) Decimals() (n int, ok bool) {
	if q.text == "" || strings.Contains(q.text, "/") {
		return 0, false
	}
	mantissa, ten, _ := splitExponent(q.text)
	if _, places, found := strings.Cut(mantissa, "."); found {
		n = len(places)
	}
	return n - ten, true
}

// Resolution returns one step of the last digit written: 0.1 Ω for 2.4 Ω, 1/16 in for 2-3/16 in, a difference of 1 K for 20 °C. It is
// false for computed values and for wire gauges, whose steps are not alike.
func (q Quantity) Resolution() (Quantity, bool) {
	if q.text == "" || q.unit.isGauge() {
		return Quantity{}, false
	}
	var step string
	switch n, ok := q.Decimals(); {
	case !ok:
		_, bottom, _ := strings.Cut(q.text, "/")
		step = "1/" + bottom
	case n == 0:
		step = "1"
	case n > 0 && n <= 20:
		step = "0." + strings.Repeat("0", n-1) + "1"
	default:
		step = fmt.Sprintf("1e%d", -n)
	}
	r, err := written(numberOf(step), q.unit.interval())
	return r, err == nil
}

// Difference returns a temperature read as a difference: 5 °C becomes 5 K, 5 °F becomes 5 Δ°F. Others are unchanged.
func (q Quantity) Difference() Quantity {
	if q.unit.dim.kind != Temperature {
		return q
	}
	if q.text != "" {
		if d, err := written(numberOf(q.text), q.unit.interval()); err == nil {
			return d
		}
	}
	return New(q.value, q.unit.interval())
}

// In returns q expressed in u. It is exact, then rounded once, when q was parsed; it keeps full precision and does not round to
// significant digits, so round for display with [Quantity.Round]. The result is a computed value, unless u is q's own unit. The error
// is a *[DimensionError], or wraps [ErrRange] when the value grows too large.
func (q Quantity) In(u Unit) (Quantity, error) {
	if q.unit == u {
		return q, nil
	}
	if err := Match(q.unit.dim, u.dim); err != nil {
		return Quantity{}, err
	}
	if !q.finite() {
		return Quantity{}, fmt.Errorf("cannot convert %v to %v: %w", q, u, ErrRange)
	}
	r := FromSI(q.si, u)
	if q.text != "" && !q.unit.isGauge() && !u.isGauge() {
		r.value = float(q.exactIn(u))
	}
	if !r.finite() {
		return Quantity{}, fmt.Errorf("cannot convert %v to %v: %w", q, u, ErrRange)
	}
	return r, nil
}

// exactIn converts without rounding. Where both scales hold the same power of π it cancels.
func (q Quantity) exactIn(u Unit) *big.Rat {
	from, fromPi := q.unit.ratio()
	to, toPi := u.ratio()
	r := q.exact()
	r.Mul(r, from)
	r.Add(r, q.unit.zero()).Sub(r, u.zero())
	return timesPi(r.Quo(r, to), fromPi-toPi)
}
