package trade

import (
	"fmt"
	"math"

	"github.com/brushgear/brushgear/units"
)

// ArgumentError reports an argument that a formula cannot use.
type ArgumentError struct {
	Argument string // what it is, in words: "field resistance"
	Problem  string // what is wrong with it
	Hint     string // what to write instead
	Err      error  // a *units.DimensionError, or units.ErrRange
}

// Error returns the message in one line: the argument, the problem, the hint.
func (e *ArgumentError) Error() string {
	return e.Argument + ": " + e.Problem + ": " + e.Hint
}

// Unwrap returns the cause.
func (e *ArgumentError) Unwrap() error { return e.Err }

// Samples are what a technician would write for each kind of argument. They set the dimension that is asked for, the unit of results,
// and the example in a hint.
var (
	volts             = units.Must("12.6 V")
	amperes           = units.Must("90 A")
	ohms              = units.Must("2.6 Ω")
	megohms           = units.Must("20 MΩ")
	watts             = units.Must("1200 W")
	farads            = units.Must("0.5 µF")
	joules            = units.Must("0.06 J")
	ampereHours       = units.Must("60 Ah")
	hours             = units.Must("24 h")
	seconds           = units.Must("15 s")
	hertz             = units.Must("600 Hz")
	rpm               = units.Must("6000 rpm")
	newtonMetres      = units.Must("9.5 N·m")
	newtons           = units.Must("10 N")
	kilopascals       = units.Must("78 kPa")
	millimetres       = units.Must("60 mm")
	metres            = units.Must("3 m")
	squareMillimetres = units.Must("67 mm²")
	metresPerSecond   = units.Must("15 m/s")
	celsius           = units.Must("20 °C")
	kelvins           = units.Must("60 K")
	percent           = units.Must("58 %")
	bare              = units.Must("1.265")
)

// arguments reads the arguments of one formula as float64 in SI units, and keeps the first error.
type arguments struct{ err error }

// refuse keeps an error about a value out of range, unless there is an error already.
func (a *arguments) refuse(name, problem, hint string) {
	if a.err == nil {
		a.err = &ArgumentError{Argument: name, Problem: problem, Hint: hint, Err: units.ErrRange}
	}
}

// value returns q in SI units. It must be finite, and of the dimension of sample.
func (a *arguments) value(name string, q, sample units.Quantity) float64 {
	if a.err != nil {
		return math.NaN()
	}
	want := sample.Dimension()
	if err := units.Match(q.Dimension(), want); err != nil {
		a.err = &ArgumentError{
			Argument: name,
			Problem:  fmt.Sprintf("%v measures %s, not %s", q, q.Dimension().Name(), want.Name()),
			Hint:     fmt.Sprintf("write it like %v", sample),
			Err:      err,
		}
		return math.NaN()
	}
	x := q.SI()
	if math.IsNaN(x) || math.IsInf(x, 0) {
		a.refuse(name, fmt.Sprintf("%v is no number", q), fmt.Sprintf("write a measured value, such as %v", sample))
	}
	return x
}

// positive returns q in SI units. It must be above zero.
func (a *arguments) positive(name string, q, sample units.Quantity) float64 {
	x := a.value(name, q, sample)
	if a.err == nil && x <= 0 {
		a.refuse(name, fmt.Sprintf("%v is not above zero", q), fmt.Sprintf("write it without sign, such as %v", sample))
	}
	return x
}

// notNegative returns q in SI units. It must be zero or more.
func (a *arguments) notNegative(name string, q, sample units.Quantity) float64 {
	x := a.value(name, q, sample)
	if a.err == nil && x < 0 {
		a.refuse(name, fmt.Sprintf("%v is below zero", q), fmt.Sprintf("write it without sign, such as %v", sample))
	}
	return x
}

// share returns a ratio from 0 to 1.
func (a *arguments) share(name string, q units.Quantity) float64 {
	x := a.notNegative(name, q, percent)
	if a.err == nil && x > 1 {
		a.refuse(name, fmt.Sprintf("%v is more than the whole", q), fmt.Sprintf("write a share of at most 100 %%, such as %v", percent))
	}
	return x
}

// partial returns a ratio from 0 to below 1.
func (a *arguments) partial(name string, q units.Quantity) float64 {
	x := a.share(name, q)
	if a.err == nil && x == 1 {
		a.refuse(name, fmt.Sprintf("%v leaves nothing", q), "write a share below 100 %, such as 20 %")
	}
	return x
}

// efficiency returns a ratio above 0, up to 1.
func (a *arguments) efficiency(name string, q units.Quantity) float64 {
	x := a.share(name, q)
	if a.err == nil && x == 0 {
		a.refuse(name, fmt.Sprintf("%v is not above zero", q), fmt.Sprintf("write a share, such as %v", percent))
	}
	return x
}

// temperature returns q in kelvins. It must be above absolute zero.
func (a *arguments) temperature(name string, q units.Quantity) float64 {
	x := a.value(name, q, celsius)
	if a.err == nil && x <= 0 {
		a.refuse(name, fmt.Sprintf("%v is not above absolute zero", q), fmt.Sprintf("write a temperature, such as %v", celsius))
	}
	return x
}

// count returns n, which must be at least least.
func (a *arguments) count(name string, n, least int) float64 {
	if n < least {
		a.refuse(name, fmt.Sprintf("%d is too few", n), fmt.Sprintf("write %d or more", least))
	}
	return float64(n)
}

// quantity returns the result si, in SI units, in the unit of sample. It must be finite.
func (a *arguments) quantity(si float64, sample units.Quantity) units.Quantity {
	if a.err == nil && (math.IsNaN(si) || math.IsInf(si, 0)) {
		a.refuse("result", "more than a number holds", "check the sizes of the arguments")
	}
	if a.err != nil {
		return units.Quantity{}
	}
	return units.FromSI(si, sample.Unit())
}

// only returns the one result of a formula.
func (a *arguments) only(si float64, sample units.Quantity) (units.Quantity, error) {
	return a.quantity(si, sample), a.err
}

// settled returns what a formula has computed, or the zero value with the error.
func settled[T any](a *arguments, result T) (T, error) {
	if a.err != nil {
		var zero T
		return zero, a.err
	}
	return result, nil
}
