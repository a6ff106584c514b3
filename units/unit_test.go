package units

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every spelling of the table goes from text to quantity to text and back.
func TestSymbolsRoundTrip(t *testing.T) {
	symbols := slices.Collect(Symbols())
	require.Greater(t, len(symbols), len(atoms))
	for _, symbol := range symbols {
		u, err := ParseUnit(symbol)
		require.NoError(t, err, symbol)
		again, err := ParseUnit(u.String())
		require.NoError(t, err, symbol)
		require.Equal(t, u, again, symbol)

		q, err := Parse("12.50 " + symbol)
		require.NoError(t, err, symbol)
		require.Equal(t, "12.50 "+u.String(), q.String())
		require.Equal(t, q, Must(q.String()))
	}
	for symbol := range Symbols() {
		require.Equal(t, "V", symbol)
		break
	}
}

// With every prefix too.
func TestPrefixedUnitsRoundTrip(t *testing.T) {
	for word := range catalogue().words {
		u := MustUnit(word)
		require.Equal(t, u, MustUnit(u.String()), word)
	}
	for spelling, meaning := range aliases {
		require.Equal(t, MustUnit(meaning), MustUnit(spelling), spelling)
		require.Equal(t, meaning, MustUnit(meaning).String(), "%s stands for a canonical spelling", spelling)
	}
}

// No two units are spelled alike, and what is refused is not in the table.
func TestTableIsUnambiguous(t *testing.T) {
	owner := map[string]string{}
	for _, a := range atoms {
		words := append(strings.Fields(a.short), a.symbol)
		for _, word := range append(words, strings.Fields(a.names)...) {
			require.Contains(t, []string{"", a.symbol}, owner[word], word)
			owner[word] = a.symbol
		}
	}
	for word := range refused {
		require.NotContains(t, catalogue().words, word)
		require.NotContains(t, aliases, word)
		_, err := ParseUnit(word)
		require.Error(t, err, word)
	}
	for word, meaning := range owner {
		require.Equal(t, meaning, MustUnit(word).String(), word)
	}
	// What a prefix makes of one unit is not another.
	for i, a := range atoms {
		for _, p := range prefixes {
			if slices.Contains(strings.Fields(a.prefixes), p.letter) {
				want := term{atom: uint8(i), prefix: p.power, power: 1}
				require.Equal(t, want, catalogue().words[p.letter+a.symbol], p.letter+a.symbol)
			}
		}
	}
}

// The words of the sheet language that may stand after a number are no units.
func TestStatementWordsAreNoUnits(t *testing.T) {
	for _, word := range strings.Fields(`to per at is by as of on or and not any each when with within after up down first jumping missing
		at_least at_most above below equals alike new row rest run takes back linear steps needs digits good bad always usually often
		sometimes seldom never otherwise void work pass limit grade read let correct from until under note set of low high`) {
		_, err := ParseUnit(word)
		require.Error(t, err, word)
	}
}

func TestParseUnitSpellings(t *testing.T) {
	for canonical, spellings := range map[string]string{
		"µF":      "uF µF \u03bcF mfd MFD microfarad microfarads",
		"Ω":       "ohm ohms Ohm \u03a9 \u2126",
		"kΩ":      "kohm kohms kOhm kilohm kiloohms k\u2126",
		"kΩ·m":    "kilohm·m",
		"MΩ":      "Mohm megohm megohms megaohm M\u03a9",
		"mΩ":      "mohm milliohm milliohms",
		"°C":      "degC deg_C ℃ celsius \u00baC",
		"°F":      "degF deg_F ℉ fahrenheit",
		"K":       "kelvin \u212a",
		"Δ°C":     "\u2206°C delta_degC",
		"lbf·ft":  "lb-ft lbf-ft ft-lb ft-lbs ft-lbf lbf.ft lb·ft ft·lbf lbf*ft ftlb lbft feet·pounds",
		"lbf·in":  "lb-in in-lb in·lbf inlb lbf.in",
		"ozf·in":  "oz-in in-oz ozf.in oz·in",
		"N·m":     "newton·metres m·newton Nm N.m N-m N*m N×m N\u22c5m m·N",
		"kgf·m":   "kgf-m kgf.m m·kgf",
		"rpm":     "RPM r/min rev/min 1/min /min min^-1 min⁻¹ min-1 revolutions/minute minute^-1",
		"rev/s":   "rps r/s rev·s^-1",
		"mil":     "thou mils",
		"kcmil":   "MCM",
		"V":       "volt volts",
		"mV":      "millivolt millivolts",
		"A":       "amp amps ampere amperes",
		"s":       "sec secs second seconds",
		"ms":      "msec millisecond milliseconds",
		"min":     "mins minute minutes",
		"h":       "hr hrs hour hours",
		"d":       "day days",
		"in":      "inch inches",
		"ft":      "foot feet",
		"mm²":     "mm2 mm^2",
		"in²":     "in2 in^2 in·in",
		"psi":     "PSI lb/in² lb/in2 lbs/in^2",
		"Ah":      "",
		"A·h":     "A-h",
		"kW·h":    "kW-h",
		"mV/K":    "mV/kelvin mV·K^-1 mV·K⁻¹ K⁻¹·mV",
		"mV/°C":   "mV/degC",
		"%/°F":    "percent/degF",
		"K⁻¹":     "1/K /K K^-1",
		"m/s²":    "m/s^2 m/s2 m/s/s m·s⁻² m/(s·s)",
		"W/m/K":   "W/(m·K) W/m/K W·m^-1·K^-1",
		"Ω·m":     "ohm·m",
		"A·Ω/m":   "A/m·Ω",
		"C²·s/kg": "C^2·s/kg",
	} {
		for _, spelling := range append(strings.Fields(spellings), canonical) {
			u, err := ParseUnit(spelling)
			require.NoError(t, err, spelling)
			require.Equal(t, canonical, u.String(), spelling)
		}
	}
}

func TestUnitKinds(t *testing.T) {
	for unit, kind := range map[string]Kind{
		"1": Number, "mV/V": Number, "%": Ratio, "ppm": Ratio, "points": Ratio,
		"V": Plain, "K": Plain, "°C": Temperature, "Δ°F": TemperatureDifference, "°C·m/m": TemperatureDifference,
		"Hz": Frequency, "s⁻¹": Plain, "1/h": Plain, "rpm": RotationalSpeed, "rad/s": RotationalSpeed, "°/s": RotationalSpeed, "rev/h": RotationalSpeed,
		"N·m": Torque, "kN·mm": Torque, "m·kgf": Torque, "lbf·in": Torque, "N/m⁻¹": Torque, "J": Energy, "W·s": Energy, "h·kW": Energy, "VA·h": Energy,
		"kg·m²/s²": Plain, "N·m/A": Plain, "N·m²": Plain, "V·A": Plain, "rad": Angle, "AWG": Plain,
	} {
		require.Equal(t, kind, MustUnit(unit).Dimension().Kind(), unit)
	}
	require.Equal(t, "N·m", MustUnit("N/m⁻¹").String())
}

func TestParseUnitErrors(t *testing.T) {
	for _, test := range []struct{ input, want string }{
		{"", `"": no unit: write a unit such as V, or 1 for a bare number`},
		{"v", `"v": there is no unit "v": did you mean V?`},
		{"mhz", `"mhz": there is no unit "mhz": did you mean mHz or MHz?`},
		{"Rpm", `"Rpm": there is no unit "Rpm": did you mean rpm?`},
		{"voltz", `"voltz": there is no unit "voltz": did you mean V?`},
		{"mV/kelvn", `"mV/kelvn": there is no unit "kelvn": did you mean K?`},
		{"furlong", `"furlong": there is no unit "furlong": write a unit such as V, A, Ω, mm or °C`},
		{"oz", `"oz": not a unit here: write ozf for a force, oz_m for a mass`},
		{"oz/in²", `"oz/in²": "oz" is not a unit here: write ozf for a force, oz_m for a mass`},
		{"ton", `"ton": not a unit here: write 1000 kg or 2000 lb`},
		{"at", `"at": not a unit here: write kgf/cm² or bar`},
		{"dB", `"dB": not a unit here: write the ratio as a number`},
		{"degrees", `"degrees": not a unit here: write °C or °F for a temperature, ° for an angle`},
		{"C°", `"C°": not a unit here: write °C`},
		{"Ω/AWG", `"Ω/AWG": a wire gauge has no multiples: write the section in mm² or kcmil`},
		{"V/", `"V/": a unit is missing: write a unit such as V, mm² or mV/K`},
		{"V//A", `"V//A": a unit is missing: write a unit such as V, mm² or mV/K`},
		{"m^2^3", `"m^2^3": two powers in a row: write one, such as mm²`},
		{"m2²", `"m2²": two powers in a row: write one, such as mm²`},
		{"m^", `"m^": a power goes from -9 to 9: write mm² or mm^2`},
		{"m^10", `"m^10": a power goes from -9 to 9: write mm² or mm^2`},
		{"m/m", `"m/m": the units cancel out: write the number without unit`},
		{"m^9·m", `"m^9·m": no quantity has such powers: check the powers`},
		{"2V", `"2V": a unit is missing: write a unit such as V, mm² or mV/K`},
		{"1V", `"1V": a unit does not begin with a digit: write 1/s or s⁻¹`},
		{"(V)", `"(V)": cannot read the brackets: brackets stand after a slash, one level deep: write W/(m·K) or W/m/K`},
		{"W/(m·(K))", `"W/(m·(K))": cannot read the brackets: brackets stand after a slash, one level deep: write W/(m·K) or W/m/K`},
		{"W/(m·K", `"W/(m·K": cannot read the brackets: brackets stand after a slash, one level deep: write W/(m·K) or W/m/K`},
		{"W/m)", `"W/m)": cannot read ")": write powers as mm², products as N·m, quotients as V/K`},
		{"V·A·s·m·kg·K·T", `"V·A·s·m·kg·K·T": too many factors: write at most six units in a product`},
		{strings.Repeat("m·", 30) + "m", `"` + strings.Repeat("m·", 20) + `"...: too many factors: write at most six units in a product`},
		{"kg·" + strings.Repeat("m·", 30), `"kg·` + strings.Repeat("m·", 18) + `m"...: too many factors: write at most six units in a product`},
		{"d^9·km^9·kA^9/ns^9/nm^9/nA^9", `"d^9·km^9·kA^9/ns^9/nm^9/nA^9": the unit is too large or too small: check the prefixes and powers`},
		{strings.Repeat("m", 101), `"` + strings.Repeat("m", 60) + `"...: unit text is too long: write a product of at most six units`},
		{"Gg", `"Gg": there is no unit "Gg": write a unit such as V, A, Ω, mm or °C`},
		{"V\x00", `"V\x00": there is no unit "V\x00": write a unit such as V, A, Ω, mm or °C`},
		{"\xff", `"\xff": there is no unit "\xff": write a unit such as V, A, Ω, mm or °C`},
	} {
		_, err := ParseUnit(test.input)
		require.EqualError(t, err, test.want)
		var e *UnitError
		require.ErrorAs(t, err, &e)
		require.Equal(t, test.input, e.Input)
	}
}

func TestScaleAndZero(t *testing.T) {
	require.Equal(t, 1e-6, MustUnit("µF").Scale())
	require.Equal(t, 5.0/9, MustUnit("°F").Scale())
	require.Equal(t, 459.67*5/9, MustUnit("°F").Zero())
	require.Equal(t, 273.15, MustUnit("°C").Zero())
	require.Equal(t, 0.0, MustUnit("K").Zero())
	require.Equal(t, 1.0, Unit{}.Scale())
	require.Equal(t, 1.0, MustUnit("kg").Scale())
	require.Equal(t, 0.5/math.Pi, MustUnit("rad/s").Scale())
	require.True(t, math.IsNaN(MustUnit("AWG").Scale()))
	require.True(t, math.IsNaN(MustUnit("AWG").Zero()))
}

func TestUnitText(t *testing.T) {
	type row struct {
		Unit Unit `json:"unit"`
	}
	for text, want := range map[string]string{`{"unit":"lb-ft"}`: `{"unit":"lbf·ft"}`, `{"unit":"1"}`: `{"unit":"1"}`} {
		var r row
		require.NoError(t, json.Unmarshal([]byte(text), &r))
		got, err := json.Marshal(r)
		require.NoError(t, err)
		require.Equal(t, want, string(got))
	}
	var u Unit
	require.Error(t, json.Unmarshal([]byte(`"bogus"`), &u))
	require.Equal(t, Unit{}, u)
}

func TestTemperatureHint(t *testing.T) {
	require.Equal(t, "write °C", TemperatureHint(Must("20 C").Unit()))
	require.Equal(t, "write °F", TemperatureHint(Must("80 F").Unit()))
	require.Empty(t, TemperatureHint(MustUnit("mC")))
	require.Empty(t, TemperatureHint(MustUnit("°C")))
}

func TestMustPanics(t *testing.T) {
	require.PanicsWithValue(t, `units: "bogus": there is no unit "bogus": write a unit such as V, A, Ω, mm or °C`, func() { MustUnit("bogus") })
	require.PanicsWithValue(t, `units: "x": no number at the start: write a number and its unit, such as 2.45 Ω`, func() { Must("x") })
}
