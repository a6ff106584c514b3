package units

import (
	"iter"
	"strings"
	"sync"
)

// atom is one unit of the table. Scale and zero are exact: one unit is scale·π^pi SI units, and zero units of the scale lie at zero
// SI units.
type atom struct {
	symbol   string
	dim      Dimension
	scale    string // decimal or fraction
	pi       int    // power of π that belongs to the scale
	zero     string // SI value of the zero of the scale, "" for 0
	interval string // symbol of the unit of differences, when the unit is a point on a scale
	prefixes string // SI prefixes taken
	short    string // other spellings, which take the prefixes as letters (kohm)
	names    string // spelled-out names, which take the prefixes as words (kiloohm)
}

// The scales are the exact definitions: NIST Special Publication 811 (2008), appendix B.8, for inch, pound, force, horsepower,
// pressure and energy; from memory, checked against GNU units by TestAgainstUnitsProgram.
var atoms = [...]atom{
	// Electrical.
	{symbol: "V", dim: voltage, scale: "1", prefixes: "µ m k", names: "volt volts"},
	{symbol: "A", dim: current, scale: "1", prefixes: "n µ m k", names: "ampere amperes amp amps"},
	{symbol: "Ω", dim: resistance, scale: "1", prefixes: "n µ m k M G T", short: "ohm ohms Ohm Ohms", names: "ohm ohms"},
	{symbol: "S", dim: conductance, scale: "1", prefixes: "n µ m k", names: "siemens mho mhos"},
	{symbol: "F", dim: capacitance, scale: "1", prefixes: "p n µ m", names: "farad farads"},
	{symbol: "H", dim: inductance, scale: "1", prefixes: "n µ m", names: "henry henries henrys"},
	{symbol: "C", dim: charge, scale: "1", prefixes: "n µ m k", names: "coulomb coulombs"},
	{symbol: "Ah", dim: charge, scale: "3600", prefixes: "m k"},
	{symbol: "W", dim: power, scale: "1", prefixes: "n µ m k M", names: "watt watts"},
	{symbol: "VA", dim: power, scale: "1", prefixes: "m k M"},
	{symbol: "Hz", dim: frequency, scale: "1", prefixes: "m k M G", names: "hertz"},

	// Magnetic.
	{symbol: "Wb", dim: flux, scale: "1", prefixes: "n µ m", names: "weber webers"},
	{symbol: "T", dim: fluxDensity, scale: "1", prefixes: "n µ m", names: "tesla teslas"},
	{symbol: "G", dim: fluxDensity, scale: "1e-4", prefixes: "m k", names: "gauss"},
	{symbol: "Oe", dim: field, scale: "250", pi: -1, prefixes: "k", names: "oersted oersteds"},

	// Length and section. A circular mil is the area of a circle of one mil diameter.
	{symbol: "m", dim: length, scale: "1", prefixes: "n µ m c d k", names: "metre metres meter meters"},
	{symbol: "in", dim: length, scale: "0.0254", prefixes: "µ", names: "inch inches"},
	{symbol: "ft", dim: length, scale: "0.3048", prefixes: "k", names: "foot feet"},
	{symbol: "yd", dim: length, scale: "0.9144", names: "yard yards"},
	{symbol: "mil", dim: length, scale: "0.0000254", names: "mils thou"},
	{symbol: "cmil", dim: area, scale: "1.6129e-10", pi: 1, prefixes: "k"},
	{symbol: "AWG", dim: area, scale: "1", names: "awg"},

	// Mass, force, pressure.
	{symbol: "g", dim: mass, scale: "0.001", prefixes: "µ m k", names: "gram grams"},
	{symbol: "lb", dim: mass, scale: "0.45359237", names: "lbs pound pounds"},
	{symbol: "oz_m", dim: mass, scale: "0.028349523125"},
	{symbol: "N", dim: force, scale: "1", prefixes: "µ m k M da", names: "newton newtons"},
	{symbol: "lbf", dim: force, scale: "4.4482216152605"},
	{symbol: "ozf", dim: force, scale: "0.27801385095378125"},
	{symbol: "gf", dim: force, scale: "0.00980665", prefixes: "k"},
	{symbol: "Pa", dim: pressure, scale: "1", prefixes: "m h k M", names: "pascal pascals"},
	{symbol: "bar", dim: pressure, scale: "100000", prefixes: "m"},
	{symbol: "psi", dim: pressure, scale: "8896443230521/1290320000", names: "PSI"},
	{symbol: "inHg", dim: pressure, scale: "3386.388640341"},
	{symbol: "mmHg", dim: pressure, scale: "133.322387415"},

	// Energy and power. hp without a word is the 550 ft·lbf/s one, PS the metric one of 75 kgf·m/s, hp_E the electric one.
	{symbol: "J", dim: energy, scale: "1", prefixes: "µ m k M", names: "joule joules"},
	{symbol: "Wh", dim: energy, scale: "3600", prefixes: "m k M"},
	{symbol: "hp", dim: power, scale: "745.69987158227022", names: "HP horsepower"},
	{symbol: "PS", dim: power, scale: "735.49875", names: "hp_M"},
	{symbol: "hp_E", dim: power, scale: "746"},

	// Time, turning.
	{symbol: "s", dim: duration, scale: "1", prefixes: "n µ m", short: "sec", names: "second seconds secs"},
	{symbol: "min", dim: duration, scale: "60", names: "mins minute minutes"},
	{symbol: "h", dim: duration, scale: "3600", names: "hr hrs hour hours"},
	{symbol: "d", dim: duration, scale: "86400", names: "day days"},
	{symbol: "rpm", dim: rotation, scale: "1/60", prefixes: "k", names: "RPM"},
	{symbol: "rev", dim: angle, scale: "1", names: "revolution revolutions"},
	{symbol: "rad", dim: angle, scale: "1/2", pi: -1, prefixes: "m", names: "radian radians"},
	{symbol: "°", dim: angle, scale: "1/360", names: "deg"},

	// Temperature.
	{symbol: "K", dim: kelvin, scale: "1", prefixes: "m", names: "kelvin kelvins"},
	{symbol: "°C", dim: temperature, scale: "1", zero: "273.15", interval: "Δ°C", names: "degC deg_C celsius Celsius"},
	{symbol: "°F", dim: temperature, scale: "5/9", zero: "45967/180", interval: "Δ°F", names: "degF deg_F fahrenheit Fahrenheit"},
	{symbol: "Δ°C", dim: difference, scale: "1", names: "ΔdegC delta_degC"},
	{symbol: "Δ°F", dim: difference, scale: "5/9", names: "ΔdegF delta_degF"},

	// Ratios. Specific gravity is written as a ratio or in points: 1265 points are 1.265.
	{symbol: "%", dim: ratio, scale: "0.01", names: "percent"},
	{symbol: "‰", dim: ratio, scale: "0.001"},
	{symbol: "ppm", dim: ratio, scale: "1e-6"},
	{symbol: "points", dim: ratio, scale: "0.001", names: "point"},
}

// aliases are spellings that the rules of ParseUnit do not reach, or read otherwise: a pound or an ounce at a lever arm is a force.
// Those with a dot may be written with a hyphen too.
var aliases = map[string]string{
	"mfd": "µF", "MFD": "µF", "ufd": "µF",
	"kilohm": "kΩ", "kilohms": "kΩ", "megohm": "MΩ", "megohms": "MΩ",
	"micron": "µm", "microns": "µm", "MCM": "kcmil", "kp": "kgf",

	"Nm": "N·m", "kNm": "kN·m", "mNm": "mN·m", "Ncm": "N·cm", "Nmm": "N·mm",
	"N·m": "N·m", "m·N": "N·m", "kgf·m": "kgf·m", "m·kgf": "kgf·m", "A·h": "A·h", "W·h": "W·h", "kW·h": "kW·h",
	"kg·m": "kg·m", "m·kg": "kg·m", "kg·cm": "kg·cm",

	"lbf·ft": "lbf·ft", "lb·ft": "lbf·ft", "lbs·ft": "lbf·ft", "ft·lb": "lbf·ft", "ft·lbs": "lbf·ft", "ft·lbf": "lbf·ft",
	"lbft": "lbf·ft", "lbfft": "lbf·ft", "ftlb": "lbf·ft", "ftlbs": "lbf·ft", "ftlbf": "lbf·ft",
	"lbf·in": "lbf·in", "lb·in": "lbf·in", "lbs·in": "lbf·in", "in·lb": "lbf·in", "in·lbs": "lbf·in", "in·lbf": "lbf·in",
	"lbin": "lbf·in", "lbfin": "lbf·in", "inlb": "lbf·in", "inlbs": "lbf·in", "inlbf": "lbf·in",
	"ozf·in": "ozf·in", "oz·in": "ozf·in", "in·oz": "ozf·in", "in·ozf": "ozf·in", "ozin": "ozf·in", "ozfin": "ozf·in", "inoz": "ozf·in",
	"lb/in^2": "psi", "lb/in2": "psi", "lbs/in^2": "psi", "lbs/in2": "psi",

	"r/min": "rpm", "rev/min": "rpm", "1/min": "rpm", "/min": "rpm", "min^-1": "rpm", "min-1": "rpm",
	"rps": "rev/s", "r/s": "rev/s", "s-1": "s⁻¹",
}

// refused are words that could mean two things, with what to write.
var refused = map[string]string{
	"oz": "write ozf for a force, oz_m for a mass", "ounce": "write ozf for a force, oz_m for a mass",
	"ounces": "write ozf for a force, oz_m for a mass",
	"ton":    "write 1000 kg or 2000 lb", "tons": "write 1000 kg or 2000 lb", "tonne": "write 1000 kg",
	"at":      "write kgf/cm² or bar",
	"dB":      "write the ratio as a number",
	"degrees": "write °C or °F for a temperature, ° for an angle", "degree": "write °C or °F for a temperature, ° for an angle",
	"C°": "write °C", "F°": "write °F",
}

// prefixes are the SI prefixes of the table.
var prefixes = [...]struct {
	letter, word string
	power        int8
}{
	{"p", "pico", -12}, {"n", "nano", -9}, {"µ", "micro", -6}, {"m", "milli", -3}, {"c", "centi", -2}, {"d", "deci", -1},
	{"da", "deca", 1}, {"h", "hecto", 2}, {"k", "kilo", 3}, {"M", "mega", 6}, {"G", "giga", 9}, {"T", "tera", 12},
}

// table is what words are looked up in.
type table struct {
	words     map[string]term // every spelling of an atom, with and without prefix
	spellings []string        // the keys of words, in the order of the table
	folded    [][]rune        // the spellings without case and accents, for suggestions
	symbols   []string        // the spellings without prefix
	scales    []scale
}

// scale is an exact scale: num/den·π^pi SI units to the unit, and its zero at zeroNum/zeroDen.
type scale struct {
	num, den         int64
	pi               int
	zeroNum, zeroDen int64
}

// catalogue returns the one table, built at first use and never written again.
var catalogue = sync.OnceValue(func() *table {
	t := &table{words: make(map[string]term), scales: make([]scale, len(atoms))}
	add := func(word string, meaning term) {
		if _, known := t.words[word]; !known {
			t.words[word] = meaning
			t.spellings = append(t.spellings, word)
			t.folded = append(t.folded, foldCase(word))
		}
	}
	for i, a := range atoms {
		s := rational(a.scale)
		t.scales[i] = scale{num: s.Num().Int64(), den: s.Denom().Int64(), pi: a.pi, zeroDen: 1}
		if a.zero != "" {
			z := rational(a.zero)
			t.scales[i].zeroNum, t.scales[i].zeroDen = z.Num().Int64(), z.Denom().Int64()
		}
		short := append([]string{a.symbol}, strings.Fields(a.short)...)
		long := strings.Fields(a.names)
		for _, word := range append(short, long...) {
			if _, known := t.words[word]; !known {
				t.symbols = append(t.symbols, word)
			}
			add(word, term{atom: uint8(i), power: 1})
		}
		for _, p := range prefixes {
			if !strings.Contains(" "+a.prefixes+" ", " "+p.letter+" ") {
				continue
			}
			prefixed := term{atom: uint8(i), prefix: p.power, power: 1}
			for _, word := range short {
				add(p.letter+word, prefixed)
				if p.letter == "µ" {
					add("u"+word, prefixed)
				}
			}
			for _, word := range long {
				add(p.word+word, prefixed)
			}
		}
	}
	return t
})

// Symbols yields every unit spelling of the table, without the ones that prefixes and products add. No word of a language that
// writes quantities may be one of them.
func Symbols() iter.Seq[string] {
	return func(yield func(string) bool) {
		for _, s := range catalogue().symbols {
			if !yield(s) {
				return
			}
		}
	}
}
