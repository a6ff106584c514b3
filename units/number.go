package units

import (
	"errors"
	"math/big"
	"math/bits"
	"strconv"
	"strings"
)

const (
	maxNumberText = 200     // characters of a number
	maxExponent   = 400     // of ten
	maxExact      = 1 << 53 // up to which every integer is a float64
)

// number is a number as written: a decimal "-1.25e3", a fraction "1/4" or a mixed number "2-3/16".
type number struct {
	text     string
	form     form
	num, den int64 // the value, when den > 0; else only text holds it
}

type form uint8

const (
	decimal form = iota
	fraction
	mixed
)

var errFraction = errors.New("a fraction by zero")

// scanNumber reads the number at the start of text and returns how many bytes it takes. Offsets of its error count from there.
func scanNumber(text string) (n number, used int, fault *ParseError) {
	fail := func(length int, msg, hint string) (number, int, *ParseError) {
		return number{}, 0, &ParseError{Len: length, Msg: msg, Hint: hint}
	}
	i := 0
	for _, sign := range [...]string{"-", "+", "\u2212"} {
		if strings.HasPrefix(text, sign) {
			i = len(sign)
		}
	}
	begin := i
	whole := digits(text[i:])
	i += whole
	switch {
	case whole > 0 && fractionLen(text[i:]) > 0:
		n.form = fraction
		i += fractionLen(text[i:])
	case whole > 0 && mixedLen(text[i:]) > 0:
		n.form = mixed
		i += mixedLen(text[i:])
	default:
		places := 0
		if i < len(text) && text[i] == '.' {
			places = digits(text[i+1:])
			if places == 0 && whole > 0 {
				return fail(i+1, "digits are missing after the point", "write "+text[begin:i]+" or "+text[begin:i]+".0")
			}
			i += 1 + places
		}
		if whole+places == 0 {
			return fail(len(text), "no number at the start", "write a number and its unit, such as 2.45 Ω")
		}
		i += exponentLen(text[i:])
	}
	if i > maxNumberText {
		return fail(i, "the number is too long", "write at most 200 characters")
	}
	n.text = text[begin:i]
	if n.text[0] == '.' {
		n.text = "0" + n.text
	}
	switch {
	case begin == 0 || text[0] == '+':
	case text[0] == '-' && begin+len(n.text) == i:
		n.text = text[:i]
	default:
		n.text = "-" + n.text
	}
	switch {
	case !n.evaluate():
		return fail(i, "the exponent is too large", "write an exponent between -400 and 400")
	case n.form == mixed && n.improper():
		return fail(i, "the fraction of a mixed number is below one", "write 2-3/16 in, or put blanks round the minus for a subtraction")
	}
	return n, i, nil
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

// digits measures the run of digits at the start of s.
func digits(s string) int {
	for i := range len(s) {
		if !isDigit(s[i]) {
			return i
		}
	}
	return len(s)
}

// fractionLen measures "/16" at the start of s.
func fractionLen(s string) int {
	if s == "" || s[0] != '/' {
		return 0
	}
	if n := digits(s[1:]); n > 0 {
		return 1 + n
	}
	return 0
}

// mixedLen measures "-3/16" at the start of s.
func mixedLen(s string) int {
	if s == "" || s[0] != '-' {
		return 0
	}
	top := digits(s[1:])
	if bottom := fractionLen(s[1+top:]); top > 0 && bottom > 0 {
		return 1 + top + bottom
	}
	return 0
}

// exponentLen measures "e-3" at the start of s.
func exponentLen(s string) int {
	if s == "" || s[0] != 'e' && s[0] != 'E' {
		return 0
	}
	i := 1
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		i++
	}
	if n := digits(s[i:]); n > 0 {
		return i + n
	}
	return 0
}

// numberOf returns the number of text that scanNumber or strconv wrote.
func numberOf(text string) number {
	n := number{text: text}
	switch body := strings.TrimPrefix(text, "-"); {
	case !strings.Contains(body, "/"):
	case strings.Contains(body, "-"):
		n.form = mixed
	default:
		n.form = fraction
	}
	n.evaluate()
	return n
}

// shortest returns the shortest decimal that reads back as v.
func shortest(v float64) string {
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// evaluate works out num and den, if they fit. It is false when the exponent is beyond what is read.
func (n *number) evaluate() bool {
	text, negative := strings.CutPrefix(n.text, "-")
	var ok bool
	switch n.form {
	case decimal:
		mantissa, ten, readable := splitExponent(text)
		if !readable {
			return false
		}
		n.num, n.den, ok = smallDecimal(mantissa, ten)
	case fraction:
		n.num, n.den, ok = smallFraction(text)
	case mixed:
		head, tail, _ := strings.Cut(text, "-")
		n.num, n.den, ok = smallFraction(tail)
		whole, _, ok1 := integer(head)
		whole, ok2 := times(whole, n.den)
		n.num += whole
		ok = ok && ok1 && ok2
	}
	if !ok {
		n.den = 0
	}
	if negative {
		n.num = -n.num
	}
	return true
}

// splitExponent parts "1.2e3" into "1.2" and 3. It is false for an exponent beyond ±400.
func splitExponent(text string) (mantissa string, ten int, ok bool) {
	e := strings.IndexAny(text, "eE")
	if e < 0 {
		return text, 0, true
	}
	ten, err := strconv.Atoi(text[e+1:])
	return text[:e], ten, err == nil && -maxExponent <= ten && ten <= maxExponent
}

func smallDecimal(mantissa string, ten int) (num, den int64, ok bool) {
	num, places, ok := integer(mantissa)
	ten -= places
	switch {
	case !ok || ten < -18 || ten > 18:
		return 0, 0, false
	case ten < 0:
		return num, pow10[-ten], true
	}
	num, ok = times(num, pow10[ten])
	return num, 1, ok
}

func smallFraction(text string) (num, den int64, ok bool) {
	top, bottom, _ := strings.Cut(text, "/")
	num, _, ok1 := integer(top)
	den, _, ok2 := integer(bottom)
	return num, den, ok1 && ok2
}

// integer reads digits, leaving out a point among them, and counts the places after the point.
func integer(s string) (num int64, places int, ok bool) {
	point := false
	for i := range len(s) {
		if s[i] == '.' {
			point = true
			continue
		}
		if num > (maxExact-9)/10 {
			return 0, 0, false
		}
		num = 10*num + int64(s[i]-'0')
		if point {
			places++
		}
	}
	return num, places, true
}

// improper reports whether the fraction of a mixed number is one or more; that by zero is neither.
func (n number) improper() bool {
	_, tail, _ := strings.Cut(strings.TrimPrefix(n.text, "-"), "-")
	if num, den, ok := smallFraction(tail); ok {
		return den > 0 && num >= den
	}
	r, ok := fractionRat(tail)
	return ok && r.Cmp(big.NewRat(1, 1)) >= 0
}

// rat returns the exact value, false for a fraction by zero.
func (n number) rat() (*big.Rat, bool) {
	if n.den > 0 {
		return big.NewRat(n.num, n.den), true
	}
	text, negative := strings.CutPrefix(n.text, "-")
	r, ok := new(big.Rat), true
	switch n.form {
	case decimal:
		r = rational(text)
	case fraction:
		r, ok = fractionRat(text)
	case mixed:
		head, tail, _ := strings.Cut(text, "-")
		if r, ok = fractionRat(tail); ok {
			r.Add(r, rational(head))
		}
	}
	if ok && negative {
		r.Neg(r)
	}
	return r, ok
}

// fractionRat reads "3/16", false when the bottom is zero. Leading zeros are no octal, as big.Rat would have it.
func fractionRat(text string) (*big.Rat, bool) {
	top, bottom, _ := strings.Cut(text, "/")
	a, _ := new(big.Int).SetString(top, 10)
	b, _ := new(big.Int).SetString(bottom, 10)
	if b.Sign() == 0 {
		return nil, false
	}
	return new(big.Rat).SetFrac(a, b), true
}

// rational reads a decimal, or a fraction without leading zeros, known to be one.
func rational(text string) *big.Rat {
	r, _ := new(big.Rat).SetString(text)
	return r
}

var pow10 = func() (p [19]int64) {
	p[0] = 1
	for i := 1; i < len(p); i++ {
		p[i] = 10 * p[i-1]
	}
	return p
}()

// π to 80 digits: far more than any float64 shows.
var pi80 = rational("3.14159265358979323846264338327950288419716939937510582097494459230781640628620899")

// times multiplies, false when the product is no exact float64.
func times(a, b int64) (int64, bool) {
	hi, lo := bits.Mul64(magnitude(a), magnitude(b))
	if hi != 0 || lo > maxExact {
		return 0, false
	}
	if a < 0 != (b < 0) {
		return -int64(lo), true
	}
	return int64(lo), true
}

func magnitude(a int64) uint64 {
	if a < 0 {
		return uint64(-a)
	}
	return uint64(a)
}

// timesTen returns r·10^n, and may change r.
func timesTen(r *big.Rat, n int) *big.Rat {
	if n == 0 {
		return r
	}
	p := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(magnitude(int64(n)))), nil))
	if n < 0 {
		return r.Quo(r, p)
	}
	return r.Mul(r, p)
}

// timesPi returns r·π^n, and may change r.
func timesPi(r *big.Rat, n int) *big.Rat {
	for range n {
		r.Mul(r, pi80)
	}
	for range -n {
		r.Quo(r, pi80)
	}
	return r
}

// float rounds once, to the nearest.
func float(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}
