package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// String returns the quantity as it was written, its unit in the uniform spelling: "2.45 Ω", "2-3/16 in", "5 %". A computed value has
// up to 12 digits.
func (q Quantity) String() string {
	return q.unit.join(q.numberText(12))
}

// numberText returns the number as written; if computed, with at most the given digits, all that it takes if that is 0.
func (q Quantity) numberText(digits int) string {
	if q.text != "" {
		return q.text
	}
	v := q.value
	if q.unit.isGauge() && v < 0 && v == math.Trunc(v) {
		return gaugeText(v)
	}
	if digits > 0 {
		v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	}
	if v == 0 {
		return "0"
	}
	text := strconv.FormatFloat(v, 'f', -1, 64)
	if len(strings.Trim(text, "-.")) > 15 {
		return shortest(v)
	}
	return text
}

func (u Unit) join(number string) string {
	if symbol := u.String(); symbol != "" {
		return number + " " + symbol
	}
	return number
}

// Format implements [fmt.Formatter]. The verbs v and s print String, q quotes it; e, f and g, and their capitals, print the number by
// that verb with its precision, and the unit. Of f the precision rounds the exact value, halves away from zero. Width and the flags
// minus and plus are kept.
func (q Quantity) Format(s fmt.State, verb rune) {
	precision, given := s.Precision()
	var text string
	switch verb {
	case 'v', 's':
		if s.Flag('#') {
			text = "units.Must(" + strconv.Quote(q.String()) + ")"
			break
		}
		text = q.String()
	case 'q':
		text = strconv.Quote(q.String())
	case 'f', 'F':
		if !given {
			precision = 6
		}
		if q.finite() {
			text = q.unit.join(unsignedZero(q.exact().FloatString(precision)))
		} else {
			text = q.String()
		}
	case 'e', 'E', 'g', 'G':
		if !given {
			precision = -1
		}
		text = q.unit.join(strconv.FormatFloat(q.value, byte(verb), precision, 64))
	default:
		fmt.Fprintf(s, "%%!%c(units.Quantity=%s)", verb, q.String())
		return
	}
	if s.Flag('+') && q.value >= 0 && verb != 'v' && verb != 's' && verb != 'q' {
		text = "+" + text
	}
	width, _ := s.Width()
	if s.Flag('-') {
		width = -width
	}
	fmt.Fprintf(s, "%*s", width, text)
}

// MarshalText returns the text that [Parse] reads back: as String, but a computed value has all its digits. It is an error for a
// value that is no number.
func (q Quantity) MarshalText() ([]byte, error) {
	if !q.finite() {
		return nil, fmt.Errorf("%v has no text: %w", q, ErrRange)
	}
	return []byte(q.unit.join(q.numberText(0))), nil
}

// UnmarshalText is [Parse]; so a Quantity in JSON is text such as "2.45 Ω".
func (q *Quantity) UnmarshalText(text []byte) error {
	parsed, err := Parse(string(text))
	if err == nil {
		*q = parsed
	}
	return err
}
