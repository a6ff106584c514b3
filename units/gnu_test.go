package units

import (
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// gnuSpellings says how the units program of Debian's package units (GNU units, an independent table) writes each unit of ours, and
// the SI unit to convert to. Its own names where they differ: rad is a dose there, C a charge, oz a mass.
var gnuSpellings = map[string][2]string{
	"V": {"V", "kg m^2/s^3 A"}, "A": {"A", "A"}, "Ω": {"ohm", "kg m^2/s^3 A^2"}, "S": {"siemens", "s^3 A^2/kg m^2"},
	"F": {"farad", "s^4 A^2/kg m^2"}, "H": {"henry", "kg m^2/s^2 A^2"}, "C": {"coulomb", "A s"}, "Ah": {"amp hour", "A s"},
	"W": {"watt", "kg m^2/s^3"}, "VA": {"volt ampere", "kg m^2/s^3"}, "Hz": {"hertz", "1/s"},
	"Wb": {"weber", "kg m^2/s^2 A"}, "T": {"tesla", "kg/s^2 A"}, "G": {"gauss", "kg/s^2 A"},
	"m": {"meter", "m"}, "in": {"inch", "m"}, "ft": {"foot", "m"}, "yd": {"yard", "m"}, "mil": {"mil", "m"},
	"cmil": {"circularmil", "m^2"},
	"g":    {"gram", "kg"}, "lb": {"pound", "kg"}, "oz_m": {"ounce", "kg"},
	"N": {"newton", "kg m/s^2"}, "lbf": {"lbf", "kg m/s^2"}, "ozf": {"ounce force", "kg m/s^2"}, "gf": {"gram force", "kg m/s^2"},
	"Pa": {"pascal", "kg/m s^2"}, "bar": {"bar", "kg/m s^2"}, "psi": {"psi", "kg/m s^2"}, "inHg": {"inHg", "kg/m s^2"},
	"mmHg": {"mmHg", "kg/m s^2"},
	"J":    {"joule", "kg m^2/s^2"}, "Wh": {"watt hour", "kg m^2/s^2"},
	"hp": {"horsepower", "kg m^2/s^3"}, "PS": {"metrichorsepower", "kg m^2/s^3"}, "hp_E": {"electrichorsepower", "kg m^2/s^3"},
	"s": {"second", "s"}, "min": {"minute", "s"}, "h": {"hour", "s"}, "d": {"day", "s"},
	"rpm": {"rpm", "turn/s"}, "rev": {"turn", "turn"}, "rad": {"radian", "turn"}, "°": {"degree", "turn"},
	"K": {"K", "K"}, "Δ°C": {"degC", "K"}, "Δ°F": {"degF", "K"},
	"%": {"percent", "1"}, "‰": {"1|1000", "1"}, "ppm": {"ppm", "1"},

	// Products of the checks and of the trade.
	"lbf·ft": {"lbf ft", "N m"}, "lbf·in": {"lbf in", "N m"}, "ozf·in": {"ounce force inch", "N m"}, "kgf·m": {"kgf m", "N m"},
	"kgf/cm²": {"kgf/cm^2", "Pa"}, "Ω/kft": {"ohm/1000 ft", "ohm/m"}, "lb·ft²": {"lb ft^2", "kg m^2"}, "mV/°F": {"mV/degF", "V/K"},
	"rad/s": {"radian/s", "turn/s"}, "kcmil": {"kcmil", "m^2"}, "mm²": {"mm^2", "m^2"}, "mΩ·mm²/m": {"milliohm mm^2/m", "ohm m"},
	"kWh": {"kWh", "J"}, "lb/in²": {"psi", "Pa"}, "oz·in": {"ounce force inch", "N m"}, "N·m/A": {"N m/A", "N m/A"},
}

// gnuExceptions are units that the program does not know as a multiple, each with what stands in for it.
var gnuExceptions = map[string]string{
	"°C":     "a scale with its own zero: TestAgainstUnitsProgram converts points with tempC",
	"°F":     "a scale with its own zero: TestAgainstUnitsProgram converts points with tempF",
	"Oe":     "the program takes μ0 as measured, SP 811 as 4π·10⁻⁷: TestU17InertiaAndMagneticUnits",
	"AWG":    "not linear: TestAgainstUnitsProgram compares diameters with wiregauge(n)",
	"points": "gravity in thousandths, a custom of the trade: TestSpecificGravityPoints",
}

// TestAgainstUnitsProgram compares every unit of the table with Debian's units program, to 1e-12.
func TestAgainstUnitsProgram(t *testing.T) {
	program, err := exec.LookPath("units")
	if err != nil {
		t.Skip("NOT CHECKED against another table: install Debian's units")
	}
	for _, a := range atoms {
		_, known := gnuSpellings[a.symbol]
		require.NotEqual(t, known, gnuExceptions[a.symbol] != "", "%s needs a spelling or a reason, not both", a.symbol)
	}

	type question struct {
		name, from, to string
		want           float64
	}
	var questions []question
	for unit, gnu := range gnuSpellings {
		questions = append(questions, question{unit, gnu[0], gnu[1], MustUnit(unit).Scale()})
	}
	for n := -3; n <= 40; n++ { // gauge numbers below 1 are zero and negative there too
		text := fmt.Sprintf("%d AWG", n)
		diameter := 2 * math.Sqrt(Must(text).SI()/math.Pi)
		questions = append(questions, question{text, fmt.Sprintf("wiregauge(%d)", n), "m", diameter})
	}
	for _, n := range []string{"-40", "0", "25", "77", "100", "212", "-200"} {
		questions = append(questions,
			question{n + " °C", "tempC(" + n + ")", "K", Must(n + " °C").SI()},
			question{n + " °F", "tempF(" + n + ")", "K", Must(n + " °F").SI()})
	}
	for _, p := range prefixes {
		questions = append(questions, question{p.word, p.word, "1", math.Pow(10, float64(p.power))})
	}

	var input strings.Builder
	for _, q := range questions {
		fmt.Fprintf(&input, "%s\n%s\n", q.from, q.to)
	}
	command := exec.Command(program, "--quiet", "--terse", "--output-format", "%.17g")
	command.Stdin = strings.NewReader(input.String())
	output, err := command.Output()
	require.NoError(t, err)
	answers := strings.Fields(string(output))
	require.Equal(t, len(questions), len(answers), "answers: %s", output)
	for i, q := range questions {
		answer, err := strconv.ParseFloat(answers[i], 64)
		require.NoError(t, err, q.name)
		require.InDelta(t, answer, q.want, 1e-12*math.Abs(answer), "%s: %s to %s", q.name, q.from, q.to)
	}
}

// 1265 points are a specific gravity of 1.265: common practice, no source.
func TestSpecificGravityPoints(t *testing.T) {
	require.True(t, Must("1265 points").Equal(Must("1.265")))
	require.True(t, Must("4 points").Equal(Must("0.004")))
}
