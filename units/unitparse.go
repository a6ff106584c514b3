package units

import (
	"math"
	"slices"
	"strings"
)

const (
	maxTerms    = 6   // different units in a product
	maxFactors  = 24  // factors written, before equal ones are merged
	maxUnitText = 100 // bytes
)

// ParseUnit reads a unit such as "µF", "lbf·ft", "mV/K", "min^-1" or "kiloohms". Products are joined by "·", "*", "×" or "."; powers
// are written "²", "^2" or plainly, "mm2". A product reads from left to right: a/b·c is (a/b)·c. Round brackets may
// stand after a slash, one level deep: W/(m·K). °C and °F in a product are differences. "1" is the unit of a bare number.
//
// A product of a force and a length is a [Torque], of a power and a time an [Energy]; turns, degrees or radians per time are a
// [RotationalSpeed], and so is 1/min. Text of more than 100 bytes or six different units is refused. The error is a *[UnitError].
func ParseUnit(s string) (Unit, error) {
	if len(s) > maxUnitText {
		return Unit{}, &UnitError{Input: s, Msg: "unit text is too long", Hint: "write a product of at most six units"}
	}
	if t, ok := catalogue().words[s]; ok {
		return t.unit(), nil
	}
	text := fold(s)
	switch text {
	case "":
		return Unit{}, &UnitError{Input: s, Msg: "no unit", Hint: "write a unit such as V, or 1 for a bare number"}
	case "1":
		return Unit{}, nil
	}
	if t, ok := catalogue().words[text]; ok {
		return t.unit(), nil
	}
	for _, joined := range [...]string{text, strings.ReplaceAll(text, "-", "·")} {
		if plain, ok := aliases[joined]; ok && plain != text {
			return ParseUnit(plain)
		}
	}
	if hint, ok := refused[text]; ok {
		return Unit{}, &UnitError{Input: s, Msg: "not a unit here", Hint: hint}
	}
	p := productParser{input: s, rest: text}
	if err := p.product(); err != nil {
		return Unit{}, err
	}
	u, err := p.unit()
	if err != nil {
		return Unit{}, err
	}
	// Spelled-out names mean what their symbols mean: feet·pounds is ft·lb.
	symbol := u.String()
	if plain, ok := aliases[fold(symbol)]; ok && plain != symbol {
		return ParseUnit(plain)
	}
	return u, nil
}

// MustUnit is [ParseUnit] for text known to be a unit, such as a constant. It panics where ParseUnit returns an error.
func MustUnit(s string) Unit {
	u, err := ParseUnit(s)
	if err != nil {
		panic("units: " + err.Error())
	}
	return u
}

func (t term) unit() Unit {
	return Unit{dim: atoms[t.atom].dim, terms: [maxTerms]term{t}}
}

// productParser reads a product of units from left to right.
type productParser struct {
	input string // as given, for messages
	rest  string // folded, still to be read
	terms []term
}

func (p *productParser) fail(msg, hint string) error {
	return &UnitError{Input: p.input, Msg: msg, Hint: hint}
}

// accept takes prefix from the start of the rest.
func (p *productParser) accept(prefix string) bool {
	after, ok := strings.CutPrefix(p.rest, prefix)
	p.rest = after
	return ok
}

const bracketHint = "brackets stand after a slash, one level deep: write W/(m·K) or W/m/K"

// product = [ "1" "/" ] factors .
func (p *productParser) product() error {
	if p.accept("1") && !strings.HasPrefix(p.rest, "/") {
		return p.fail("a unit does not begin with a digit", "write 1/s or s⁻¹")
	}
	sign := int8(1)
	if p.accept("/") {
		sign = -1
	}
	for {
		if sign < 0 && p.accept("(") {
			if err := p.group(); err != nil {
				return err
			}
		} else if err := p.factor(sign); err != nil {
			return err
		}
		switch {
		case p.rest == "":
			return nil
		case p.accept("·"):
			sign = 1
		case p.accept("/"):
			sign = -1
		default:
			return p.fail("cannot read "+quote(p.rest), "write powers as mm², products as N·m, quotients as V/K")
		}
	}
}

// group reads what stands in brackets below the slash, up to the closing one.
func (p *productParser) group() error {
	for {
		if err := p.factor(-1); err != nil {
			return err
		}
		switch {
		case p.accept(")"):
			return nil
		case !p.accept("·"):
			return p.fail("cannot read the brackets", bracketHint)
		}
	}
}

// factor reads one unit and its power, to be multiplied by sign.
func (p *productParser) factor(sign int8) error {
	if strings.HasPrefix(p.rest, "(") {
		return p.fail("cannot read the brackets", bracketHint)
	}
	if len(p.terms) == maxFactors {
		return p.fail("too many factors", "write at most six units in a product")
	}
	end := strings.IndexAny(p.rest, "·/^()0123456789")
	if end < 0 {
		end = len(p.rest)
	}
	t, err := p.word(p.rest[:end])
	if err != nil {
		return err
	}
	p.rest = p.rest[end:]
	raised := p.accept("^")
	below := raised && p.accept("-")
	n := digits(p.rest)
	switch {
	case n == 0 && !raised:
		t.power = 1
	case n == 1 && p.rest[0] > '0':
		t.power = int8(p.rest[0] - '0')
	default:
		return p.fail("a power goes from -9 to 9", "write mm² or mm^2")
	}
	p.rest = p.rest[n:]
	if strings.HasPrefix(p.rest, "^") {
		return p.fail("two powers in a row", "write one, such as mm²")
	}
	t.power *= sign
	if below {
		t.power *= -1
	}
	p.terms = append(p.terms, t)
	return nil
}

// word looks a unit of a product up.
func (p *productParser) word(word string) (term, error) {
	t, known := catalogue().words[word]
	if !known {
		if plain, ok := aliases[word]; ok {
			t, known = catalogue().words[plain]
		}
	}
	hint, no := refused[word]
	switch {
	case word == "":
		return t, p.fail("a unit is missing", "write a unit such as V, mm² or mV/K")
	case !known && no:
		return t, p.fail(quote(word)+" is not a unit here", hint)
	case !known:
		return t, unknownUnit(p.input, word)
	case t.atom == gaugeAtom:
		return t, p.fail("a wire gauge has no multiples", "write the section in mm² or kcmil")
	}
	if interval := atoms[t.atom].interval; interval != "" {
		t.atom = catalogue().words[interval].atom
	}
	return t, nil
}

// unit merges equal factors, puts those above the line first and works out the dimension.
func (p *productParser) unit() (Unit, error) {
	var merged []term
	for _, t := range p.terms {
		same := func(m term) bool { return m.atom == t.atom && m.prefix == t.prefix }
		if i := slices.IndexFunc(merged, same); i >= 0 {
			merged[i].power += t.power
		} else {
			merged = append(merged, t)
		}
	}
	merged = slices.DeleteFunc(merged, func(t term) bool { return t.power == 0 })
	slices.SortStableFunc(merged, func(a, b term) int {
		switch {
		case a.power > 0 && b.power < 0:
			return -1
		case a.power < 0 && b.power > 0:
			return 1
		}
		return 0
	})
	switch {
	case len(merged) == 0:
		return Unit{}, p.fail("the units cancel out", "write the number without unit")
	case len(merged) > maxTerms:
		return Unit{}, p.fail("too many factors", "write at most six units in a product")
	}
	d, ok := productDimension(merged)
	if !ok {
		return Unit{}, p.fail("no quantity has such powers", "check the powers")
	}
	u := Unit{dim: d}
	copy(u.terms[:], merged)
	if s := u.Scale(); s == 0 || math.IsInf(s, 0) {
		return Unit{}, p.fail("the unit is too large or too small", "check the prefixes and powers")
	}
	return u, nil
}

// productDimension is the dimension of a product as it is spelled: N·m is a torque, W·h an energy, rad/s a speed of rotation. It is
// false when a power is beyond what is written.
func productDimension(terms []term) (Dimension, bool) {
	if len(terms) == 1 && terms[0].power == 1 {
		return atoms[terms[0].atom].dim, true
	}
	var d Dimension
	for _, t := range terms {
		var ok bool
		d.powers, ok = d.powers.plus(atoms[t.atom].dim.powers, int(t.power))
		if !ok || t.power < -maxPower || t.power > maxPower {
			return None, false
		}
	}
	if len(terms) != 2 || terms[0].power != 1 {
		return d, true
	}
	first, second := atoms[terms[0].atom].dim, atoms[terms[1].atom].dim
	switch {
	case terms[1].power == -1 && first == angle && second == duration:
		return rotation, true
	case terms[1].power != 1:
		return d, true
	case first == force && second == length, first == length && second == force:
		return torque, true
	case first == power && second == duration, first == duration && second == power:
		return energy, true
	}
	return d, true
}

// foldings bring the many ways to type a unit to one.
var foldings = strings.NewReplacer(
	"\u03bc", "µ", // Greek mu to micro sign
	"\u2126", "Ω", // ohm sign to Greek omega
	"\u212a", "K", // kelvin sign
	"\u2206", "Δ", // increment to Greek delta
	"℃", "°C", "℉", "°F",
	"\u00ba", "°", "\u02da", "°", // ordinal, ring above
	"\u22c5", "·", "\u2022", "·", "\u2219", "·", "×", "·", "*", "·", ".", "·",
	"\u2212", "-", // minus
	"\u2044", "/", "\u2215", "/",
)

// superscripts are the raised signs in the order of "0123456789-".
const superscripts = "⁰¹²³⁴⁵⁶⁷⁸⁹⁻"

// fold returns the spelling that the table is written in; raised powers become ^2.
func fold(s string) string {
	s = foldings.Replace(s)
	if !strings.ContainsAny(s, superscripts) {
		return s
	}
	var b strings.Builder
	raised := false
	for _, r := range s {
		i := slices.Index([]rune(superscripts), r)
		if i >= 0 && !raised {
			b.WriteByte('^')
		}
		if raised = i >= 0; raised {
			b.WriteByte("0123456789-"[i])
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// superscript raises n, and returns "" for the first power.
func superscript(n int) string {
	raised := []rune(superscripts)
	switch {
	case n == 1:
		return ""
	case n < 0:
		return string(raised[10]) + string(raised[-n])
	}
	return string(raised[n])
}
