package units

import (
	"cmp"
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Parse reads a quantity: a number and, with or without a blank between, its unit. Numbers are decimals ("2.45 Ω", "1.2e3 Ω"),
// fractions ("1/4 in") and mixed numbers ("2-3/16 in"); a sign belongs to the number ("-40 °C"). A number alone is a bare number.
// Wire gauges are "6 AWG", "2/0 AWG" or "00 AWG". Units are read as by [ParseUnit].
//
// The value is exact until it is rounded, once, to the float64 of [Quantity.SI]; so "1/4 in" equals "6.35 mm". Numbers of at most 200
// characters with exponents up to ±400 are read; a value that no float64 holds is an error that wraps [ErrRange]. The error is a
// *[ParseError].
func Parse(s string) (Quantity, error) {
	p := parser{input: s}
	return p.quantity()
}

// Must is [Parse] for text known to be a quantity, such as a constant. It panics where Parse returns an error.
func Must(s string) Quantity {
	q, err := Parse(s)
	if err != nil {
		panic("units: " + err.Error())
	}
	return q
}

type parser struct {
	input string
	start int // where the number begins in input
}

// fail reports length bytes at offset from the start of the number.
func (p *parser) fail(offset, length int, msg, hint string) *ParseError {
	return &ParseError{Input: p.input, Offset: p.start + offset, Len: length, Msg: msg, Hint: hint}
}

func (p *parser) quantity() (Quantity, error) {
	text := strings.TrimLeftFunc(p.input, unicode.IsSpace)
	p.start = len(p.input) - len(text)
	text = strings.TrimRightFunc(text, unicode.IsSpace)
	if text == "" {
		return Quantity{}, p.fail(0, 0, "no quantity", "write a number and its unit, such as 2.45 Ω")
	}
	if fault := p.handwritten(text); fault != nil {
		return Quantity{}, fault
	}
	n, used, fault := scanNumber(text)
	if fault != nil {
		fault.Input = p.input
		fault.Offset += p.start
		return Quantity{}, fault
	}
	name := strings.TrimLeftFunc(text[used:], unicode.IsSpace)
	var u Unit
	if name != "" {
		var err error
		if u, err = ParseUnit(name); err != nil || u == (Unit{}) {
			return Quantity{}, p.badUnit(text, used, name, err)
		}
	} else if n.form == mixed {
		return Quantity{}, p.fail(0, used, "a mixed number needs its unit", "write "+n.text+" in, or put blanks round the minus for a subtraction")
	}
	q, err := written(n, u)
	switch {
	case err == nil:
		return q, nil
	case errors.Is(err, errFraction):
		return Quantity{}, p.fail(0, used, "a fraction by zero", "write a fraction such as 1/4")
	case errors.Is(err, errGauge):
		return Quantity{}, p.fail(0, len(text), "not a wire gauge", "write 6 AWG, or 2/0 AWG; gauges go from 20/0 to 100")
	}
	fault = p.fail(0, len(text), "the value is out of range", "check the exponent and the prefix")
	fault.Err = err
	return Quantity{}, fault
}

// vulgar are the fractions that keyboards and word processors make of a number.
var vulgar = map[rune]string{
	'½': "1/2", '¼': "1/4", '¾': "3/4", '⅓': "1/3", '⅔': "2/3", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8",
}

// handwritten reports what people write in a number by hand: a fraction in one character, a sign for about, two dots for a range.
func (p *parser) handwritten(text string) *ParseError {
	whole := digits(text)
	rest := strings.TrimLeftFunc(text[whole:], unicode.IsSpace)
	at := len(text) - len(rest)
	r, size := utf8.DecodeRuneInString(rest)
	fraction, tail := vulgar[r], rest[size:]
	switch {
	case fraction != "" && whole > 0:
		return p.fail(0, at+size, "a fraction in one character is not understood", "write "+text[:whole]+"-"+fraction+cmp.Or(tail, " in"))
	case fraction != "":
		return p.fail(0, at+size, "a fraction in one character is not understood", "write "+fraction+tail)
	case whole == 0 && (r == '~' || r == '≈'):
		return p.fail(0, size, "a number stands without a sign for about", "write "+strings.TrimLeftFunc(tail, unicode.IsSpace))
	case whole > 0 && (r == '…' || strings.HasPrefix(rest, "..")):
		return p.fail(at, len(rest), "a second number follows", "write one quantity, or a range as 2 V to 3 V")
	}
	return nil
}

// badUnit explains why name, which follows the number in text, is no unit. What often follows a number by mistake has its own words.
func (p *parser) badUnit(text string, used int, name string, err error) *ParseError {
	at := len(text) - len(name)
	switch {
	case name[0] == ',' && digits(name[1:]) > 0 && at == used:
		end := used + 1 + digits(name[1:])
		hint := "write " + text[:used] + "." + text[used+1:]
		if end-used == 4 {
			hint = "write " + text[:used] + "." + text[used+1:end] + ", or " + text[:used] + text[used+1:end] + " if thousands are meant"
		}
		return p.fail(0, end, "a decimal comma is not understood", hint)
	case digits(name) == 3 && fractionLen(name[3:]) == 0:
		return p.fail(0, at+3, "digits are not grouped by blanks", "write "+text[:used]+name)
	case digits(name) > 0 && fractionLen(name[digits(name):]) > 0:
		end := at + digits(name) + fractionLen(name[digits(name):])
		return p.fail(0, end, "a mixed number is written with a hyphen", "write "+text[:used]+"-"+name)
	case digits(name) > 0:
		return p.fail(0, at+digits(name), "two numbers in a row", "write one number and its unit")
	case gluedMinus(name):
		return p.fail(used, len(text)-used, "a second number follows", "put blanks round the minus, or write a range as 2 V to 3 V")
	}
	if words := strings.Fields(name); len(words) > 1 {
		joined := strings.Join(words, "")
		if _, err := ParseUnit(joined); err == nil {
			return p.fail(at, len(name), "a unit has no blanks in it", "write "+joined)
		}
		if _, err := ParseUnit(words[0]); err == nil {
			return p.fail(at+len(words[0]), len(name)-len(words[0]), "text follows the unit", "write one quantity, such as "+text[:at]+words[0])
		}
		return p.fail(at, len(name), "this is not one quantity", "write one number and its unit")
	}
	fault := p.fail(at, len(name), err.Error(), "")
	fault.Err = err
	var e *UnitError
	if errors.As(err, &e) {
		fault.Msg, fault.Hint = e.Msg, e.help()
	}
	return fault
}

// gluedMinus reports whether a sign and a digit stand in name where no power does.
func gluedMinus(name string) bool {
	for i := range len(name) - 1 {
		if (name[i] == '-' || name[i] == '+') && isDigit(name[i+1]) && (i == 0 || name[i-1] != '^') {
			return true
		}
	}
	return false
}
