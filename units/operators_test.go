package units

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// operatorMatrix holds what every operator makes of every two kinds: the kind of the result, "*" for a Plain one of another
// dimension, "-" for refused. "?" is comparison. F·l stands for the product of a force and a length, whose kind is open.
const operatorMatrix = `
+    1    %    n    °    °C   Δ°C  K    Hz   rpm  s⁻¹  N·m  J    F·l  V    W    s
1    1    %    n    °    -    -    -    -    -    -    -    -    -    -    -    -
%    %    %    -    -    -    -    -    -    -    -    -    -    -    -    -    -
n    n    -    n    -    -    -    -    -    -    -    -    -    -    -    -    -
°    °    -    -    °    -    -    -    -    -    -    -    -    -    -    -    -
°C   -    -    -    -    -    °C   °C   -    -    -    -    -    -    -    -    -
Δ°C  -    -    -    -    °C   Δ°C  Δ°C  -    -    -    -    -    -    -    -    -
K    -    -    -    -    °C   Δ°C  K    -    -    -    -    -    -    -    -    -
Hz   -    -    -    -    -    -    -    Hz   -    Hz   -    -    -    -    -    -
rpm  -    -    -    -    -    -    -    -    rpm  rpm  -    -    -    -    -    -
s⁻¹  -    -    -    -    -    -    -    Hz   rpm  s⁻¹  -    -    -    -    -    -
N·m  -    -    -    -    -    -    -    -    -    -    N·m  -    N·m  -    -    -
J    -    -    -    -    -    -    -    -    -    -    -    J    J    -    -    -
F·l  -    -    -    -    -    -    -    -    -    -    N·m  J    F·l  -    -    -
V    -    -    -    -    -    -    -    -    -    -    -    -    -    V    -    -
W    -    -    -    -    -    -    -    -    -    -    -    -    -    -    W    -
s    -    -    -    -    -    -    -    -    -    -    -    -    -    -    -    s
-    1    %    n    °    °C   Δ°C  K    Hz   rpm  s⁻¹  N·m  J    F·l  V    W    s
1    1    %    n    °    -    -    -    -    -    -    -    -    -    -    -    -
%    %    %    -    -    -    -    -    -    -    -    -    -    -    -    -    -
n    n    -    n    -    -    -    -    -    -    -    -    -    -    -    -    -
°    °    -    -    °    -    -    -    -    -    -    -    -    -    -    -    -
°C   -    -    -    -    Δ°C  °C   °C   -    -    -    -    -    -    -    -    -
Δ°C  -    -    -    -    -    Δ°C  Δ°C  -    -    -    -    -    -    -    -    -
K    -    -    -    -    -    Δ°C  K    -    -    -    -    -    -    -    -    -
Hz   -    -    -    -    -    -    -    Hz   -    Hz   -    -    -    -    -    -
rpm  -    -    -    -    -    -    -    -    rpm  rpm  -    -    -    -    -    -
s⁻¹  -    -    -    -    -    -    -    Hz   rpm  s⁻¹  -    -    -    -    -    -
N·m  -    -    -    -    -    -    -    -    -    -    N·m  -    N·m  -    -    -
J    -    -    -    -    -    -    -    -    -    -    -    J    J    -    -    -
F·l  -    -    -    -    -    -    -    -    -    -    N·m  J    F·l  -    -    -
V    -    -    -    -    -    -    -    -    -    -    -    -    -    V    -    -
W    -    -    -    -    -    -    -    -    -    -    -    -    -    -    W    -
s    -    -    -    -    -    -    -    -    -    -    -    -    -    -    -    s
*    1    %    n    °    °C   Δ°C  K    Hz   rpm  s⁻¹  N·m  J    F·l  V    W    s
1    1    1    1    °    -    Δ°C  K    Hz   rpm  s⁻¹  N·m  J    F·l  V    W    s
%    1    1    1    °    -    Δ°C  K    Hz   rpm  s⁻¹  N·m  J    F·l  V    W    s
n    1    1    1    °    -    Δ°C  K    Hz   rpm  s⁻¹  N·m  J    F·l  V    W    s
°    °    °    °    1    -    K    K    s⁻¹  s⁻¹  s⁻¹  -    F·l  -    V    W    s
°C   -    -    -    -    -    -    -    -    -    -    -    -    -    -    -    -
Δ°C  Δ°C  Δ°C  Δ°C  K    -    *    *    *    *    *    *    *    *    *    *    *
K    K    K    K    K    -    *    *    *    *    *    *    *    *    *    *    *
Hz   Hz   Hz   Hz   s⁻¹  -    *    *    *    *    *    W    W    W    *    *    1
rpm  rpm  rpm  rpm  s⁻¹  -    *    *    *    *    *    -    W    -    *    *    1
s⁻¹  s⁻¹  s⁻¹  s⁻¹  s⁻¹  -    *    *    *    *    *    W    W    W    *    *    1
N·m  N·m  N·m  N·m  -    -    *    *    W    -    W    *    *    *    *    *    *
J    J    J    J    F·l  -    *    *    W    W    W    *    *    *    *    *    *
F·l  F·l  F·l  F·l  -    -    *    *    W    -    W    *    *    *    *    *    *
V    V    V    V    V    -    *    *    *    *    *    *    *    *    *    *    *
W    W    W    W    W    -    *    *    *    *    *    *    *    *    *    *    F·l
s    s    s    s    s    -    *    *    1    1    1    *    *    *    *    F·l  *
/    1    %    n    °    °C   Δ°C  K    Hz   rpm  s⁻¹  N·m  J    F·l  V    W    s
1    1    1    1    1    -    *    *    s    s    s    *    *    *    *    *    s⁻¹
%    1    1    1    1    -    *    *    s    s    s    *    *    *    *    *    s⁻¹
n    1    1    1    1    -    *    *    s    s    s    *    *    *    *    *    s⁻¹
°    °    °    °    1    -    *    *    s    s    s    *    *    *    *    *    s⁻¹
°C   -    -    -    -    -    -    -    -    -    -    -    -    -    -    -    -
Δ°C  Δ°C  Δ°C  Δ°C  K    -    1    1    *    *    *    *    *    *    *    *    *
K    K    K    K    K    -    1    1    *    *    *    *    *    *    *    *    *
Hz   Hz   Hz   Hz   s⁻¹  -    *    *    1    1    1    *    *    *    *    *    *
rpm  rpm  rpm  rpm  s⁻¹  -    *    *    1    1    1    *    *    *    *    *    *
s⁻¹  s⁻¹  s⁻¹  s⁻¹  s⁻¹  -    *    *    1    1    1    *    *    *    *    *    *
N·m  N·m  N·m  N·m  F·l  -    *    *    *    *    *    1    -    1    *    s    W
J    J    J    J    F·l  -    *    *    *    *    *    -    1    1    *    s    W
F·l  F·l  F·l  F·l  F·l  -    *    *    *    *    *    1    1    1    *    s    W
V    V    V    V    V    -    *    *    *    *    *    *    *    *    1    *    *
W    W    W    W    W    -    *    *    F·l  -    F·l  -    s⁻¹  s⁻¹  *    1    *
s    s    s    s    s    -    *    *    *    *    *    *    *    *    *    *    1
?    1    %    n    °    °C   Δ°C  K    Hz   rpm  s⁻¹  N·m  J    F·l  V    W    s
1    ok   ok   ok   ok   -    -    -    -    -    -    -    -    -    -    -    -
%    ok   ok   -    -    -    -    -    -    -    -    -    -    -    -    -    -
n    ok   -    ok   -    -    -    -    -    -    -    -    -    -    -    -    -
°    ok   -    -    ok   -    -    -    -    -    -    -    -    -    -    -    -
°C   -    -    -    -    ok   -    ok   -    -    -    -    -    -    -    -    -
Δ°C  -    -    -    -    -    ok   ok   -    -    -    -    -    -    -    -    -
K    -    -    -    -    ok   ok   ok   -    -    -    -    -    -    -    -    -
Hz   -    -    -    -    -    -    -    ok   -    ok   -    -    -    -    -    -
rpm  -    -    -    -    -    -    -    -    ok   ok   -    -    -    -    -    -
s⁻¹  -    -    -    -    -    -    -    ok   ok   ok   -    -    -    -    -    -
N·m  -    -    -    -    -    -    -    -    -    -    ok   -    ok   -    -    -
J    -    -    -    -    -    -    -    -    -    -    -    ok   ok   -    -    -
F·l  -    -    -    -    -    -    -    -    -    -    ok   ok   ok   -    -    -
V    -    -    -    -    -    -    -    -    -    -    -    -    -    ok   -    -
W    -    -    -    -    -    -    -    -    -    -    -    -    -    -    ok   -
s    -    -    -    -    -    -    -    -    -    -    -    -    -    -    -    ok
`

var matrixKinds = map[string]Dimension{
	"1":   None,
	"%":   MustUnit("%").Dimension(),
	"n":   DimensionOf(Count),
	"°":   MustUnit("°").Dimension(),
	"°C":  MustUnit("°C").Dimension(),
	"Δ°C": MustUnit("Δ°C").Dimension(),
	"K":   MustUnit("K").Dimension(),
	"Hz":  MustUnit("Hz").Dimension(),
	"rpm": MustUnit("rpm").Dimension(),
	"s⁻¹": MustUnit("1/s").Dimension(),
	"N·m": MustUnit("N·m").Dimension(),
	"J":   MustUnit("J").Dimension(),
	"F·l": {powers: MustUnit("J").Dimension().powers},
	"V":   MustUnit("V").Dimension(),
	"W":   MustUnit("W").Dimension(),
	"s":   MustUnit("s").Dimension(),
}

func TestOperatorMatrix(t *testing.T) {
	operators := map[string]func(a, b Dimension) (Dimension, error){
		"+": Add, "-": Sub, "*": Mul, "/": Div,
		"?": func(a, b Dimension) (Dimension, error) { return None, Match(a, b) },
	}
	var operator func(a, b Dimension) (Dimension, error)
	var columns []string
	cells := 0
	for line := range strings.Lines(strings.TrimSpace(operatorMatrix)) {
		fields := strings.Fields(line)
		op, head := operators[fields[0]]
		if head && len(fields) == len(matrixKinds)+1 && fields[1] == "1" && fields[2] == "%" {
			operator, columns = op, fields[1:]
			continue
		}
		left := matrixKinds[fields[0]]
		for i, want := range fields[1:] {
			right := matrixKinds[columns[i]]
			got, err := operator(left, right)
			cells++
			place := fields[0] + " and " + columns[i] + " in " + line
			switch want {
			case "-":
				require.ErrorIs(t, err, ErrDimension, place)
				var e *DimensionError
				require.ErrorAs(t, err, &e, place)
				require.NotEmpty(t, e.Hint, place)
				require.Contains(t, err.Error(), left.Name(), place)
				require.Contains(t, err.Error(), right.Name(), place)
			case "ok":
				require.NoError(t, err, place)
			case "*":
				require.NoError(t, err, place)
				require.Equal(t, Plain, got.Kind(), place)
				for name, d := range matrixKinds {
					require.NotEqual(t, d, got, "%s gives %s", place, name)
				}
			default:
				require.NoError(t, err, place)
				require.Equal(t, matrixKinds[want], got, place)
			}
		}
	}
	require.Equal(t, 5*len(matrixKinds)*len(matrixKinds), cells)
}

// The messages say what to write.
func TestDimensionErrors(t *testing.T) {
	for _, test := range []struct {
		op   func(a, b Dimension) (Dimension, error)
		a, b string
		want string
	}{
		{Add, "°C", "°C", "cannot add temperature and temperature: two temperatures have no sum: write the second as a difference, such as 5 K"},
		{Add, "V", "Ω", "cannot add voltage and resistance: write both in V, or both in Ω"},
		{Add, "V", "1", "cannot add voltage and number: write the number with its unit, such as V"},
		{Sub, "Δ°C", "°C", "cannot subtract temperature from temperature difference: a temperature cannot be taken from a difference: write both in °C, or both in K"},
		{Sub, "1", "V", "cannot subtract voltage from number: write the number with its unit, such as V"},
		{Mul, "°C", "mV/K", "cannot multiply temperature by voltage per temperature difference: a temperature has no multiples: subtract a reference first, such as (t - 20 °C), or write a difference in K"},
		{Mul, "N·m", "rpm", "cannot multiply torque by speed of rotation: use power(torque, speed): turns are no radians, the product lacks 2π"},
		{Mul, "°", "lbf·ft", "cannot multiply angle by torque: multiply by the angle in radians, as a bare number"},
		{Div, "W", "rpm", "cannot divide power by speed of rotation: use torque(power, speed): turns are no radians, the quotient lacks 2π"},
		{Div, "kW", "N·m", "cannot divide power by torque: use speed(power, torque): turns are no radians, the quotient lacks 2π"},
		{Div, "J", "N·m", "cannot divide energy by torque: write N·m for a torque, J for an energy, the same for both"},
		{Div, "m^9", "m^-1", "cannot divide quantity in m⁹ by number per length: no quantity has such powers: check the formula"},
		{Add, "°C", "V", "cannot add temperature and voltage: write both in °C, or both in V"},
		{match, "°C", "Δ°F", "cannot compare temperature with temperature difference: write a difference as 5 K or 5 Δ°C, a temperature as 20 °C"},
		{match, "Hz", "rpm", "cannot compare frequency with speed of rotation: write cycles in Hz, turns in rpm; frequency = pole pairs * speed"},
		{match, "lbf·ft", "kWh", "cannot compare torque with energy: write a torque in N·m, an energy in J"},
		{match, "%", "°", "cannot compare ratio with angle: write an angle in ° or rad, a ratio in %, a count as a bare number"},
		{match, "lb", "N", "cannot compare mass with force: lb and kg are masses: write lbf, ozf, kgf or N for a force"},
		{match, "N·m", "kg·m", "cannot compare torque with mass times length: lb and kg are masses: write lbf, ozf, kgf or N for a force"},
		{match, "kg/cm²", "bar", "cannot compare mass per area with pressure: lb and kg are masses: write lbf, ozf, kgf or N for a force"},
	} {
		_, err := test.op(MustUnit(test.a).Dimension(), MustUnit(test.b).Dimension())
		require.EqualError(t, err, test.want)
	}
	_, err := match(DimensionOf(Ratio), DimensionOf(Count))
	require.EqualError(t, err, "cannot compare ratio with count: write a ratio as 50 %, a count as a whole number without unit")
}

func match(a, b Dimension) (Dimension, error) { return None, Match(a, b) }

func TestDimensionNames(t *testing.T) {
	for _, test := range []struct{ unit, name, symbol string }{
		{"1", "number", "1"},
		{"%", "ratio", "1"},
		{"mV", "voltage", "V"},
		{"kohm", "resistance", "Ω"},
		{"°F", "temperature", "K"},
		{"Δ°F", "temperature difference", "K"},
		{"mV/°F", "voltage per temperature difference", "V/K"},
		{"%/K", "number per temperature difference", "K⁻¹"},
		{"Ω/kft", "resistance per length", "Ω/m"},
		{"N/mm", "force per length", "N/m"},
		{"rpm", "speed of rotation", "rev/s"},
		{"rpm/V", "frequency or speed of rotation per voltage", "s⁻¹/V"},
		{"lb·ft²", "moment of inertia", "kg·m²"},
		{"A^2", "quantity in A²", "A²"},
		{"1/(A·K)", "quantity in A⁻¹·K⁻¹", "A⁻¹·K⁻¹"},
		{"W/(m·K)", "quantity in kg·m/s³/K", "kg·m/s³/K"},
		{"V/m", "voltage per length", "V/m"},
		{"Ω·mm²/m", "resistivity", "Ω·m"},
	} {
		d := MustUnit(test.unit).Dimension()
		require.Equal(t, test.name, d.Name(), test.unit)
		require.Equal(t, test.symbol, d.String(), test.unit)
		require.Equal(t, d, d.Unit().Dimension(), test.unit)
		require.Equal(t, 1.0, d.Unit().Scale(), test.unit)
	}
}

func TestKinds(t *testing.T) {
	for kind := Ratio; kind <= Angle; kind++ {
		d := DimensionOf(kind)
		require.Equal(t, kind, d.Kind())
		require.Equal(t, kind.String(), d.Name())
		require.NoError(t, Match(d, d))
	}
	require.Equal(t, Number, None.Kind())
	require.Equal(t, None, DimensionOf(Number))
	require.Equal(t, None, DimensionOf(Plain))
	require.Equal(t, Plain, MustUnit("V").Dimension().Kind())
	require.Equal(t, "unknown kind", Kind(99).String())
}

func TestPow(t *testing.T) {
	volt := MustUnit("V").Dimension()
	require.Equal(t, None, volt.Pow(0))
	require.Equal(t, volt, volt.Pow(1))
	require.Equal(t, MustUnit("V²").Dimension(), volt.Pow(2))
	require.Equal(t, MustUnit("1/V").Dimension(), volt.Pow(-1))
	require.Equal(t, MustUnit("1/s").Dimension(), MustUnit("s").Dimension().Pow(-1))
	require.Equal(t, Plain, MustUnit("Hz").Dimension().Pow(2).Kind())
	require.Equal(t, MustUnit("m^9").Dimension(), MustUnit("m").Dimension().Pow(1<<40))
	require.Equal(t, MustUnit("m^-9").Dimension(), MustUnit("m").Dimension().Pow(-1<<40))
}
