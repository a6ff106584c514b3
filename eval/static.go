package eval

import (
	"slices"
	"strconv"
	"strings"
)

// configuration is what is known of a unit before any reading: the record's own words, and the sizes that its lists turned out to have.
type configuration struct {
	m        *model
	included map[string]*model              // families of included units
	sets     map[string]map[string]constant // unit name, attribute
	serial   string
	built    day
	date     day
	sizes    map[*axis]int
	tables   map[*value]int
}

// statics evaluates what depends on attributes alone.
type statics struct {
	cfg   *configuration
	units []boundUnit
	where map[*axis]int // of the fault that is being bound
}

func truthReg(v bool) reg {
	if v {
		return reg{bits: canTrue}
	}
	return reg{bits: canFalse}
}

func (s *statics) unit(name string) int {
	return slices.IndexFunc(s.units, func(u boundUnit) bool { return u.name == name })
}

// attribute works out what an attribute can be: the record's word, else the layers from the highest down, variants as far as they apply.
func (s *statics) attribute(unit int, a *value) (reg, string) {
	if k, ok := s.cfg.sets[s.units[unit].name][a.name]; ok {
		return k.register(), k.text
	}
	own := s.units[unit].m.attributes[a.name]
	if own == nil {
		return unknownOf(a), ""
	}
	out, text, found := reg{}, "", false
	for _, set := range own.sets {
		if !set.source.valid(s.cfg.date) {
			continue
		}
		holds := uint64(canTrue)
		if set.layer.variant != nil {
			holds = s.eval(unit, set.layer.variant.when).bits
		}
		if holds == canFalse {
			continue
		}
		r := set.value.register()
		if found {
			r = hull(out, r)
			if text != set.value.text {
				return unknownOf(a), ""
			}
		}
		out, text, found = r, set.value.text, true
		if holds == canTrue {
			return out, text
		}
	}
	return unknownOf(a), ""
}

func (k constant) register() reg {
	r := reg{lo: k.lo, hi: k.hi, bits: k.mask}
	return r
}

func hull(a, b reg) reg {
	return reg{lo: min(a.lo, b.lo), hi: max(a.hi, b.hi), bits: a.bits | b.bits, flags: a.flags | b.flags}
}

func unknownOf(a *value) reg {
	r := missingReg(a)
	if len(a.quantities) > 0 {
		r.lo, r.hi = slices.Min(a.quantities), slices.Max(a.quantities)
	}
	return r
}

// eval evaluates a fixed expression.
func (s *statics) eval(unit int, e *expr) reg {
	switch e.op {
	case opConst, opDate:
		return exact(e.num)
	case opValue:
		r, _ := s.attribute(unit, e.val)
		return r
	case opForeign:
		if u := s.unit(e.unit); u >= 0 {
			r, _ := s.attribute(u, e.val)
			return r
		}
		return unknownOf(e.val)
	case opPosition:
		return reg{bits: 1 << s.where[e.axis]}
	case opVariant:
		return s.eval(unit, e.variant.when)
	case opBuilt:
		if s.cfg.built == 0 {
			return unknown
		}
		return exact(float64(s.cfg.built))
	case opNot:
		return reg{bits: negate(s.eval(unit, e.args[0]).bits)}
	case opAnd:
		return reg{bits: kleeneAnd(s.eval(unit, e.args[0]).bits, s.eval(unit, e.args[1]).bits)}
	case opOr:
		return reg{bits: kleeneOr(s.eval(unit, e.args[0]).bits, s.eval(unit, e.args[1]).bits)}
	case opWordIs:
		return reg{bits: wordIs(s.eval(unit, e.args[0]).bits, e.mask, e.negate)}
	case opTextIs:
		return s.textIs(unit, e)
	case opNumberIs:
		return s.numberIs(unit, e)
	case opAtLeast, opAtMost, opAbove, opBelow, opEquals:
		if e.args[0].typ.class == textClass {
			return s.compareTexts(unit, e)
		}
		return reg{bits: compare(comparisonCodes[e.op], s.eval(unit, e.args[0]), s.eval(unit, e.args[1]))}
	case opAdd, opSub, opMul, opDiv, opPower:
		r := combine(arithmeticCodes[e.op], s.eval(unit, e.args[0]), s.eval(unit, e.args[1]))
		r.lo, r.hi = rounded(r.lo), rounded(r.hi)
		return r
	case opAbs:
		return absolute(s.eval(unit, e.args[0]))
	}
	return unknown
}

// rounded is a number worked out from decimal fractions as it would be written: 70 % of 90 A is 63 A, and not a little less.
func rounded(x float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 15, 64), 64)
	if err != nil {
		return x
	}
	return r
}

var comparisonCodes = map[exprOp]opCode{opAtLeast: codeAtLeast, opAtMost: codeAtMost, opAbove: codeAbove, opBelow: codeBelow, opEquals: codeEquals}
var arithmeticCodes = map[exprOp]opCode{opAdd: codeAdd, opSub: codeSub, opMul: codeMul, opDiv: codeDiv, opPower: codePower}

func (s *statics) textIs(unit int, e *expr) reg {
	text, ok := s.text(unit, e.args[0])
	if !ok {
		return unknown
	}
	return truthReg(slices.Contains(e.texts, text) != e.negate)
}

func (s *statics) numberIs(unit int, e *expr) reg {
	x := s.eval(unit, e.args[0])
	bits := uint64(canFalse)
	for _, k := range e.args[1:] {
		bits = kleeneOr(bits, compare(codeEquals, x, exact(k.num)))
	}
	if possible := possibleNumbers(e.args[0], x); possible != nil {
		bits = 0
		for _, p := range possible {
			if slices.ContainsFunc(e.args[1:], func(k *expr) bool { return k.num == p }) {
				bits |= canTrue
			} else {
				bits |= canFalse
			}
		}
	}
	if e.negate {
		bits = negate(bits)
	}
	return reg{bits: bits}
}

// possibleNumbers lists the values that an attribute with listed quantities can still have, nil for any other number.
func possibleNumbers(e *expr, x reg) []float64 {
	if e.op != opValue && e.op != opForeign || len(e.val.quantities) == 0 {
		return nil
	}
	var list []float64
	for _, q := range e.val.quantities {
		if q >= x.lo && q <= x.hi {
			list = append(list, q)
		}
	}
	return list
}

// text evaluates a text; false when it is unknown.
func (s *statics) text(unit int, e *expr) (string, bool) {
	switch e.op {
	case opText:
		return e.text, true
	case opSerial:
		return s.cfg.serial, s.cfg.serial != ""
	case opValue:
		_, text := s.attribute(unit, e.val)
		return text, text != ""
	case opForeign:
		if u := s.unit(e.unit); u >= 0 {
			_, text := s.attribute(u, e.val)
			return text, text != ""
		}
	}
	return "", false
}

func (s *statics) compareTexts(unit int, e *expr) reg {
	x, ok1 := s.text(unit, e.args[0])
	y, ok2 := s.text(unit, e.args[1])
	if !ok1 || !ok2 {
		return unknown
	}
	c, ok := compareSerials(x, y)
	if !ok {
		return unknown
	}
	switch e.op {
	case opAtLeast:
		return truthReg(c >= 0)
	case opAtMost:
		return truthReg(c <= 0)
	case opAbove:
		return truthReg(c > 0)
	case opBelow:
		return truthReg(c < 0)
	}
	return truthReg(c == 0)
}

// compareSerials orders plate texts: runs of digits as numbers, letters as they are, blanks and dashes left out. Texts of another pattern of
// letters and digits are not comparable.
func compareSerials(x, y string) (int, bool) {
	xs, ys := serialParts(x), serialParts(y)
	if len(xs) != len(ys) {
		return 0, false
	}
	order := 0
	for i := range xs {
		p, q := xs[i], ys[i]
		number := p[0] >= '0' && p[0] <= '9'
		if number != (q[0] >= '0' && q[0] <= '9') || !number && p != q {
			return 0, false
		}
		if number && order == 0 {
			p, q = strings.TrimLeft(p, "0"), strings.TrimLeft(q, "0")
			order = len(p) - len(q)
			if order == 0 {
				order = strings.Compare(p, q)
			}
		}
	}
	return order, len(xs) > 0
}

func serialParts(s string) []string {
	var parts []string
	last := byte(0) // 'd' digit, 'l' letter
	for _, r := range strings.ToUpper(s) {
		kind := byte('l')
		switch {
		case r == ' ' || r == '-' || r == '.' || r == '/':
			last = 0
			continue
		case r >= '0' && r <= '9':
			kind = 'd'
		}
		// digit groups parted by a blank are one number: "H 40 000"
		if n := len(parts); n > 0 && (kind == last || kind == 'd' && last == 0 && parts[n-1][0] >= '0' && parts[n-1][0] <= '9') {
			parts[n-1] += string(r)
		} else {
			parts = append(parts, string(r))
		}
		last = kind
	}
	return parts
}
