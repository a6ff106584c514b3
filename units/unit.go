package units

import (
	"math"
	"math/big"
	"strings"
)

// Unit is a unit of measurement: one unit of the table, or a product of powers of them. Units are comparable with ==, which asks
// for the same spelling: V·A and A·V are two units, though their quantities compare. They are safe for concurrent use. The zero
// value is the unit of a bare number.
type Unit struct {
	dim   Dimension
	terms [maxTerms]term // those with power 0, at the end, are unused
}

// term is a power of a unit of the table. Prefix is a power of ten.
type term struct {
	atom   uint8
	prefix int8
	power  int8
}

// Dimension returns what the unit measures.
func (u Unit) Dimension() Dimension { return u.dim }

// String returns the one spelling that this package prints, such as "µF", "N·m", "mV/K" or "K⁻¹", and "" for the unit of a bare
// number. [ParseUnit] reads it back.
func (u Unit) String() string {
	if u.terms[1].power == 0 && u.terms[0].power == 1 {
		return u.terms[0].String()
	}
	factors := make([]factor, 0, maxTerms)
	for _, t := range u.terms {
		if t.power != 0 {
			// In a product a degree can only be a difference; the sign for it would be noise.
			factors = append(factors, factor{strings.TrimPrefix(t.String(), "Δ"), t.power})
		}
	}
	return spell(factors)
}

// factor is a unit of a product as it is spelled.
type factor struct {
	symbol string
	power  int8
}

// spell writes a product, those of positive power first: "m/s²", but "s⁻²" where nothing stands above the line.
func spell(factors []factor) string {
	var b strings.Builder
	for i, f := range factors {
		n := int(f.power)
		switch {
		case i > 0 && n < 0 && factors[0].power > 0:
			b.WriteString("/")
			n = -n
		case i > 0:
			b.WriteString("·")
		}
		b.WriteString(f.symbol)
		b.WriteString(superscript(n))
	}
	return b.String()
}

// String spells the term without its power.
func (t term) String() string {
	symbol := atoms[t.atom].symbol
	for _, p := range prefixes {
		if p.power == t.prefix {
			return p.letter + symbol
		}
	}
	return symbol
}

// MarshalText returns the spelling of String, and "1" for the unit of a bare number.
func (u Unit) MarshalText() ([]byte, error) {
	if symbol := u.String(); symbol != "" {
		return []byte(symbol), nil
	}
	return []byte("1"), nil
}

// UnmarshalText is [ParseUnit].
func (u *Unit) UnmarshalText(text []byte) error {
	parsed, err := ParseUnit(string(text))
	if err == nil {
		*u = parsed
	}
	return err
}

// Scale returns how many SI units one unit is: SI = value*Scale + Zero. It is NaN for AWG, which is no multiple of anything.
func (u Unit) Scale() float64 {
	if u.isGauge() {
		return math.NaN()
	}
	if s, ok := u.small(); ok {
		return float64(s.num) / float64(s.den)
	}
	r, pi := u.ratio()
	return float(timesPi(r, pi))
}

// Zero returns the SI value of the zero of the unit's scale: 273.15 for °C, 0 for all but °C and °F, NaN for AWG.
func (u Unit) Zero() float64 {
	if u.isGauge() {
		return math.NaN()
	}
	return float(u.zero())
}

// ratio returns the exact scale as ratio·π^pi.
func (u Unit) ratio() (r *big.Rat, pi int) {
	num, den, ten := big.NewInt(1), big.NewInt(1), 0
	for _, t := range u.terms {
		s := catalogue().scales[t.atom]
		for range t.power {
			num.Mul(num, big.NewInt(s.num))
			den.Mul(den, big.NewInt(s.den))
		}
		for range -t.power {
			num.Mul(num, big.NewInt(s.den))
			den.Mul(den, big.NewInt(s.num))
		}
		ten += int(t.prefix) * int(t.power)
		pi += s.pi * int(t.power)
	}
	return timesTen(new(big.Rat).SetFrac(num, den), ten), pi
}

// zero returns the exact SI value of the zero of the scale.
func (u Unit) zero() *big.Rat {
	if u.dim.kind != Temperature {
		return new(big.Rat)
	}
	s := catalogue().scales[u.terms[0].atom]
	return big.NewRat(s.zeroNum, s.zeroDen)
}

// toSI returns the SI value of r units, exact but for π.
func (u Unit) toSI(r *big.Rat) *big.Rat {
	scale, pi := u.ratio()
	si := timesPi(scale.Mul(scale, r), pi)
	return si.Add(si, u.zero())
}

// fromSI is the inverse of toSI.
func (u Unit) fromSI(si *big.Rat) *big.Rat {
	scale, pi := u.ratio()
	r := new(big.Rat).Sub(si, u.zero())
	return timesPi(r.Quo(r, scale), -pi)
}

// small returns the scale and zero as fractions of machine integers, false when they do not fit or need π.
func (u Unit) small() (scale, bool) {
	s := scale{num: 1, den: 1, zeroDen: 1}
	ten, ok := 0, !u.isGauge()
	for _, t := range u.terms {
		if t.power == 0 {
			break
		}
		a := catalogue().scales[t.atom]
		if t.power < 0 {
			a.num, a.den = a.den, a.num
		}
		for range magnitude(int64(t.power)) {
			var ok1, ok2 bool
			s.num, ok1 = times(s.num, a.num)
			s.den, ok2 = times(s.den, a.den)
			ok = ok && ok1 && ok2
		}
		ok = ok && a.pi == 0
		ten += int(t.prefix) * int(t.power)
	}
	if !ok || ten < -18 || ten > 18 {
		return scale{}, false
	}
	if ten < 0 {
		s.den, ok = times(s.den, pow10[-ten])
	} else {
		s.num, ok = times(s.num, pow10[ten])
	}
	if u.dim.kind == Temperature {
		a := catalogue().scales[u.terms[0].atom]
		s.zeroNum, s.zeroDen = a.zeroNum, a.zeroDen
	}
	return s, ok
}

// interval returns the unit of differences on u's scale: K for °C, Δ°F for °F, else u.
func (u Unit) interval() Unit {
	if u.dim.kind != Temperature {
		return u
	}
	if symbol := atoms[u.terms[0].atom].interval; symbol != "Δ°C" {
		return MustUnit(symbol)
	}
	return MustUnit("K")
}

// with returns u measuring d, which has the same powers.
func (u Unit) with(d Dimension) Unit {
	u.dim = d
	return u
}

// TemperatureHint returns "write °C" for the coulomb and "write °F" for the farad, which a reader may have meant as temperatures,
// and "" for every other unit. Parse reads "20 C" as a charge.
func TemperatureHint(u Unit) string {
	switch u.String() {
	case "C":
		return "write °C"
	case "F":
		return "write °F"
	}
	return ""
}
