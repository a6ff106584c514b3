package units

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// conversion is one published figure: from expressed in the unit of to is to, within the digits that to is printed with.
type conversion struct {
	from, to string
	source   string
}

const (
	sp811 = "NIST Special Publication 811 (2008), appendix B.8"
	exact = "exact definitions"
)

// meets checks that from, rounded to the digits printed in to, is to.
func meets(t *testing.T, conversions ...conversion) {
	t.Helper()
	for _, c := range conversions {
		want := Must(c.to)
		got, err := Must(c.from).In(want.Unit())
		require.NoError(t, err, "%s, %s", c.from, c.source)
		digit, ok := want.Resolution()
		require.True(t, ok)
		rounded, err := got.RoundTo(digit)
		require.NoError(t, err)
		require.True(t, rounded.Equal(want), "%s is %v, printed %s in %s", c.from, got, c.to, c.source)
	}
}

// same checks that two quantities are equal, to the last bit.
func same(t *testing.T, conversions ...conversion) {
	t.Helper()
	for _, c := range conversions {
		require.True(t, Must(c.from).Equal(Must(c.to)), "%s is not %s, %s", c.from, c.to, c.source)
	}
}

func TestU01Inch(t *testing.T) {
	same(t, conversion{"1 in", "25.4 mm", sp811})
}

func TestU02PoundForceFoot(t *testing.T) {
	meets(t,
		conversion{"1 lbf·ft", "1.3558179483314004 N·m", "exact definitions of " + sp811},
		conversion{"1 lbf·ft", "1.355818 N·m", sp811})
	same(t, conversion{"1 lbf·ft", "1.3558179483314004 N·m", exact})
}

func TestU04OunceForceInch(t *testing.T) {
	meets(t,
		conversion{"1 ozf·in", "7.061551814e-3 N·m", sp811},
		conversion{"1 ozf·in", "7.061552E-03 N·m", sp811})
}

func TestU05Horsepower(t *testing.T) {
	meets(t,
		conversion{"1 hp", "745.69987158227 W", sp811},
		conversion{"1 hp", "7.456999E+02 W", sp811})
}

// A bare hp is the one of 550 ft·lbf/s; the other two have their own names.
func TestU06OtherHorsepowers(t *testing.T) {
	same(t,
		conversion{"1 PS", "735.49875 W", sp811},
		conversion{"1 hp_E", "746 W", sp811})
	meets(t, conversion{"550 lbf·ft", "745.69987158227 N·m", sp811})
}

func TestU07PoundPerSquareInch(t *testing.T) {
	meets(t,
		conversion{"1 psi", "6894.75729316836 Pa", sp811},
		conversion{"1 psi", "6.894757E+03 Pa", sp811})
	same(t, conversion{"1 psi", "1 lbf/in²", exact})
}

func TestU08BarAndKilogramForcePerSquareCentimetre(t *testing.T) {
	meets(t,
		conversion{"1 bar", "14.503773773 psi", exact},
		conversion{"1 kgf/cm²", "14.223343307 psi", exact})
}

func TestU09OunceAndPound(t *testing.T) {
	same(t,
		conversion{"1 oz_m", "28.349523125 g", sp811},
		conversion{"1 lb", "0.45359237 kg", sp811})
}

func TestU11TemperatureScales(t *testing.T) {
	meets(t, conversion{"100 °F", "37.77778 °C", exact})
	same(t,
		conversion{"-40 °F", "-40 °C", exact},
		conversion{"77 °F", "298.15 K", exact},
		conversion{"25 °C", "298.15 K", exact})
}

// A difference of 10 °F is not the temperature 10 °F, which is -12.2 °C.
func TestU13TemperatureDifference(t *testing.T) {
	const source = sp811 + ", degree Fahrenheit (temperature interval)"
	meets(t,
		conversion{"10 Δ°F", "5.55556 K", source},
		conversion{"10 °F", "-12.2 °C", exact})
	difference, err := Must("10 °F").Difference().In(MustUnit("K"))
	require.NoError(t, err)
	require.Equal(t, "5.55556 K", difference.Round(5).String(), source)
}

// Brushgear counts turns: one radian per second is 1/2π turns per second.
func TestU14RevolutionPerMinute(t *testing.T) {
	meets(t,
		conversion{"1 r/min", "0.1047197551 rad/s", sp811},
		conversion{"1800 r/min", "188.4955592 rad/s", sp811},
		conversion{"1 r/min", "1.047198E-01 rad/s", sp811})
}

func TestU16AmpereHourKilowattHourOhmPerThousandFeet(t *testing.T) {
	same(t,
		conversion{"1 A·h", "3600 C", sp811},
		conversion{"1 Ah", "3600 C", sp811},
		conversion{"1 kW·h", "3.6E+06 J", sp811},
		conversion{"1 kWh", "3.6E+06 J", sp811})
	meets(t, conversion{"1 Ω/kft", "3.280839895 Ω/km", sp811})
}

func TestU17InertiaAndMagneticUnits(t *testing.T) {
	meets(t,
		conversion{"1 lb·ft²", "0.04214011009 kg·m²", sp811},
		conversion{"1 Oe", "79.5774715 A/m", sp811})
	same(t, conversion{"1 G", "1E-04 T", sp811})
	require.Equal(t, 1000/(4*math.Pi), MustUnit("Oe").Scale(), sp811)
}

// A product reads from left to right: s/m·mg is (s/m)·mg.
func TestU18LeftToRight(t *testing.T) {
	same(t, conversion{"6.3 s/m·mg", "0.0063 s·g/m", "UCUM functional test 3-111a, by value"})
}

func TestU20NegativePowers(t *testing.T) {
	same(t,
		conversion{"6.3 s·mm^-2", "6.3e6 s·m⁻²", "UCUM functional test 3-106, by value"},
		conversion{"1 S", "0.001 g^-1·m^-2·C^2·s", "UCUM functional test 3-126, by value"})
}

// In keeps full precision; how many digits a result deserves is for Round to say.
func TestU23SignificantDigits(t *testing.T) {
	q, err := Must("6.30 in").In(MustUnit("m"))
	require.NoError(t, err)
	const source = "UCUM functional test 3-118, by value"
	require.Equal(t, 0.16002, q.Value(), source)
	require.Equal(t, "0.160 m", q.Round(3).String(), source)
}

// Figures that one document prints in two units: each, converted and rounded as printed, gives the other.
func TestU24DualFiguresOfAStarter(t *testing.T) {
	const source = "TM 5-6115-593-34, starter section"
	meets(t,
		conversion{"20 lbf·ft", "27 N·m", source}, conversion{"27 N·m", "20 lbf·ft", source},
		conversion{"25 lbf·ft", "34 N·m", source}, conversion{"34 N·m", "25 lbf·ft", source},
		conversion{"0.656 in", "16.66 mm", source}, conversion{"16.66 mm", "0.656 in", source},
		conversion{"2 lb", "0.9 kg", source}, conversion{"0.9 kg", "2 lb", source},
		conversion{"2.296 in", "58.32 mm", source}, conversion{"58.32 mm", "2.296 in", source})
}

func TestU25DualFiguresOfLength(t *testing.T) {
	const source = "TM 9-4940-568-34, p. 5-144"
	meets(t,
		conversion{"35 mm", "1.378 in", source}, conversion{"1.378 in", "35 mm", source},
		conversion{"0.2 mm", "0.008 in", source}, conversion{"0.008 in", "0.2 mm", source})
}

func TestU27DualFiguresOfTemperature(t *testing.T) {
	const source = "TM 9-2815-259-24, p. 4-14"
	meets(t,
		conversion{"70 °F", "21.1 °C", source}, conversion{"21.1 °C", "70 °F", source},
		conversion{"80 °F", "26.7 °C", source}, conversion{"26.7 °C", "80 °F", source})
}

// The inch of mercury is the conventional one, not the 3386.3788 Pa of other tables.
func TestInchOfMercury(t *testing.T) {
	meets(t, conversion{"1 inHg", "3386.389 Pa", sp811})
}

// Conversions of the trade, computed from the exact definitions: common practice, no source.
func TestTradeConversions(t *testing.T) {
	const source = "common practice, no source"
	meets(t,
		conversion{"1/32 in", "0.794 mm", source},
		conversion{"1 lbf·ft", "1.35582 N·m", source},
		conversion{"1 lbf·in", "0.112985 N·m", source},
		conversion{"1 kgf·m", "9.80665 N·m", source},
		conversion{"1 ozf", "0.278014 N", source},
		conversion{"1 lbf", "4.44822 N", source},
		conversion{"1 gf", "9.80665 mN", source},
		conversion{"1 psi", "6.89476 kPa", source},
		conversion{"1 hp", "745.700 W", source},
		conversion{"1 PS", "735.499 W", source},
		conversion{"1 mil", "0.0254 mm", source},
		conversion{"1 cmil", "0.000506707 mm²", source},
		conversion{"2/0 AWG", "67.4 mm²", source},
		conversion{"6 AWG", "13.3 mm²", source})
}

// Diameters in mil and sections in circular mils: ASTM B258; NBS Handbook 100, copper wire tables.
func TestE24WireGauges(t *testing.T) {
	for _, wire := range []struct {
		gauge, section string
		diameter       float64 // mil, as printed
		decimals       int
	}{
		{"4/0 AWG", "211600 cmil", 460.0, 1},
		{"0000 AWG", "211600 cmil", 460.0, 1},
		{"10 AWG", "10383 cmil", 101.897, 3},
		{"12 AWG", "6529.9 cmil", 80.808, 3},
		{"18 AWG", "1624.3 cmil", 40.303, 3},
		{"24 AWG", "404.0 cmil", 20.101, 3},
	} {
		meets(t, conversion{wire.gauge, wire.section, "ASTM B258"})
		q := Must(wire.gauge)
		mils := New(2*math.Sqrt(q.SI()/math.Pi)/0.0000254, MustUnit("mil"))
		require.Equal(t, New(wire.diameter, MustUnit("mil")).Round(wire.decimals).String(), mils.Round(wire.decimals).String(), wire.gauge)
	}
}

// Frequency of a machine with poles at a speed: f = p·n/120. Source: NEMA MG 1 and textbooks.
func TestE06FrequencyPolesSpeed(t *testing.T) {
	for _, machine := range []struct{ frequency, poles, speed string }{
		{"600 Hz", "12", "6000 rpm"},
		{"60 Hz", "4", "1800 rpm"},
	} {
		turned, err := Must(machine.poles).Mul(Must(machine.speed))
		require.NoError(t, err)
		twice, err := Must("2").Mul(Must(machine.frequency))
		require.NoError(t, err)
		one, err := twice.Div(turned)
		require.NoError(t, err)
		require.Equal(t, None, one.Dimension())
		require.True(t, one.Equal(Must("1")), "%v", one)
	}
}
