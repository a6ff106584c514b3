package eval

import (
	"maps"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const celsius = 273.15

// TestLaws checks each law against a worked or published figure.
func TestLaws(t *testing.T) {
	for _, test := range []struct {
		law             string
		x, c, r, a, per float64
		want, tolerance float64
		source          string
	}{
		{"copper", 1, 25 + celsius, 75 + celsius, 0, 1, 1.192678, 5e-7, "k = 234.5: IEEE 118, NBS Circular 31"},
		{"copper", 2.95, 68 + celsius, 20 + celsius, 0, 1, 2.4819, 5e-5, "computed from the formula of IEEE 118"},
		{"copper", 0.15, 25 + celsius, 110 + celsius, 0, 1, 0.19913, 5e-6, "computed; a page prints 0.200 because it uses the 20 °C coefficient from 25 °C"},
		{"copper", 1, 45 + celsius, 21 + celsius, 0, -1, (234.5 + 45) / (234.5 + 21), 1e-12, "a current at constant voltage goes the other way"},
		{"aluminium", 1, 20 + celsius, 75 + celsius, 0, 1, 300.0 / 245.0, 1e-12, "k = 225: IEC 60034-1, 8.6.2, from memory"},
		{"aluminium", 1, 30 + celsius, 20 + celsius, 0, -1, 255.0 / 245.0, 1e-12, "k = 225: IEC 60034-1, 8.6.2, from memory; a current goes the other way"},
		{"proportional", 4.75, 12.8, 12.0, 0, 1, 4.453125, 1e-12, "Ohm's law"},
		{"ohmic", 0.09, 120, 500, 0, 1, 0.375, 1e-12, "Ohm's law"},
		{"insulation", 100e6, 35 + celsius, 40 + celsius, 0, 1, 70.71e6, 5e3, "IEEE 43-2000, 6.3 example"},
		{"insulation", 1, 34 + celsius, 20 + celsius, 0, 1, 2.639, 5e-4, "the formula of IEEE 43; one meter manual prints 2.8"},
		{"insulation", 20e6, 22 + celsius, 40 + celsius, 0, 1, 5.743e6, 1e3, "the formula of IEEE 43"},
		{"linear", 1.250, 20 * 5.0 / 9, 80 * 5.0 / 9, 0.004, 10 * 5.0 / 9, 1.226, 1e-12, "0.004 for each 10 °F: TM 5-4210-230-14&P-1"},
		{"linear", 1.230, 40 * 5.0 / 9, 80 * 5.0 / 9, 0.004, 10 * 5.0 / 9, 1.214, 1e-12, "0.004 for each 10 °F: TM 5-4210-230-14&P-1"},
		{"linear", 14.05, 60, 25, 0.010, 1, 14.40, 1e-12, "a regulator that falls by 10 mV for each kelvin, common practice, no source"},
		{"back_emf", 6200, 11.5, 10.6, 65 * 0.012, 1, 5679.5, 0.5, "computed from the equation of the motor, common practice, no source"},
	} {
		l := laws[test.law]
		require.InDelta(t, test.want, l.correct(test.x, test.c, test.r, test.a, test.per), test.tolerance, "%s: %s", test.law, test.source)
	}
}

// TestSlopesAreDerivatives compares the derivatives of each law with central differences.
func TestSlopesAreDerivatives(t *testing.T) {
	for name, l := range laws {
		x, c, r, a, per := 2.5, 310.0, 293.15, 0.3, 1.0
		if name == "proportional" || name == "ohmic" || name == "back_emf" {
			c, r = 12.3, 11.5
		}
		for _, per := range []float64{per, -1} {
			if per < 0 && name != "copper" && name != "aluminium" {
				continue
			}
			slope := func(at float64, f func(float64) float64) float64 {
				h := 1e-5 * math.Abs(at)
				return (f(at+h) - f(at-h)) / (2 * h)
			}
			dx, dc, da := l.slopes(x, c, r, a, per)
			require.InEpsilon(t, slope(x, func(v float64) float64 { return l.correct(v, c, r, a, per) }), dx, 1e-6, "%s by its value", name)
			require.InEpsilon(t, slope(c, func(v float64) float64 { return l.correct(x, v, r, a, per) }), dc, 1e-6, "%s by its condition", name)
			if want := slope(a, func(v float64) float64 { return l.correct(x, c, r, v, per) }); want != 0 {
				require.InEpsilon(t, want, da, 1e-6, "%s by its argument", name)
			} else {
				require.Zero(t, da)
			}
		}
	}
}

// TestLawsRefuse: beyond 60 K or a fifth of the voltage a reading is not comparable; common practice, no source.
func TestLawsRefuse(t *testing.T) {
	for _, name := range []string{"copper", "aluminium", "insulation"} {
		require.True(t, laws[name].allowed(80+celsius, 20+celsius, 0), name)
		require.False(t, laws[name].allowed(81+celsius, 20+celsius, 0), name)
		require.True(t, laws[name].allowed(-20+celsius, 40+celsius, 0), name)
		require.False(t, laws[name].allowed(-21+celsius, 40+celsius, 0), name)
	}
	for _, name := range []string{"proportional", "back_emf"} {
		require.True(t, laws[name].allowed(14.4, 12, 0), name)
		require.False(t, laws[name].allowed(14.5, 12, 0), name)
		require.True(t, laws[name].allowed(9.6, 12, 0), name)
		require.False(t, laws[name].allowed(9.5, 12, 0), name)
	}
	require.False(t, laws["proportional"].allowed(0, 12, 0), "nothing is proportional to no voltage")
	require.False(t, laws["back_emf"].allowed(0.5, 0.5, 0.6), "the motor takes more than there is")
	require.True(t, laws["ohmic"].allowed(120, 500, 0), "a drop is ohmic over the whole range")
	require.False(t, laws["ohmic"].allowed(0, 100, 0), "a drop without current says nothing")
}

func TestCompareSerials(t *testing.T) {
	for _, test := range []struct {
		x, y string
		want int
		ok   bool
	}{
		{"H 38112", "H40000", -1, true}, {"H40000", "h 40 000", 0, true}, {"H70001", "H70000", 1, true},
		{"K38112", "H40000", 0, false}, {"38112", "H40000", 0, false}, {"H9", "H10", -1, true}, {"OS-220931", "OS 220930", 1, true}, {"", "", 0, false},
	} {
		got, ok := compareSerials(test.x, test.y)
		require.Equal(t, test.ok, ok, "%s %s", test.x, test.y)
		if ok {
			require.Equal(t, test.want, sign(got), "%s %s", test.x, test.y)
		}
	}
}

func sign(n int) int {
	switch {
	case n < 0:
		return -1
	case n > 0:
		return 1
	}
	return 0
}

// TestKleene: and, or, not over true, false, null, all nine pairs: DMN TCK 0064, 0065, 0066; SQL:2003 truth tables.
func TestKleene(t *testing.T) {
	const T, F, U = uint64(canTrue), uint64(canFalse), uint64(either)
	for _, row := range []struct{ a, b, and, or uint64 }{
		{T, T, T, T}, {T, F, F, T}, {T, U, U, T}, {F, T, F, T}, {F, F, F, F}, {F, U, F, U}, {U, T, U, T}, {U, F, F, U}, {U, U, U, U},
	} {
		require.Equal(t, row.and, kleeneAnd(row.a, row.b))
		require.Equal(t, row.or, kleeneOr(row.a, row.b))
		require.Equal(t, row.and, both(certainly(row.a), certainly(row.b)).bits, "in degrees")
		require.Equal(t, row.or, oneOf(certainly(row.a), certainly(row.b)).bits, "in degrees")
	}
	require.Equal(t, []uint64{F, T, U}, []uint64{negate(T), negate(F), negate(U)})
}

// TestDegrees: how many standard uncertainties a comparison is from being true, and from being false.
func TestDegrees(t *testing.T) {
	for _, test := range []struct {
		code   opCode
		a, b   reg
		u      float64
		lo, hi float64
	}{
		{codeAtLeast, exact(5), exact(3), 1, 0, 2},
		{codeAtLeast, exact(3), exact(5), 1, 2, 0},
		{codeAtLeast, exact(3), exact(3), 1, 0, barely},
		{codeAbove, exact(3), exact(3), 1, barely, 0},
		{codeAtMost, exact(3), exact(5), 0.5, 0, 4},
		{codeBelow, reg{lo: 2, hi: 6}, exact(5), 1, 0, 0},
		{codeAtMost, reg{lo: 2, hi: 4}, exact(5), 1, 0, 1},
		{codeAtLeast, exact(5), exact(3), 0, 0, infinite},
	} {
		r := compareDegrees(test.code, test.a, test.b, test.u)
		require.InDelta(t, test.lo, r.lo, 1e-12)
		if !math.IsInf(test.hi, 1) || !math.IsInf(r.hi, 1) {
			require.InDelta(t, test.hi, r.hi, 1e-12)
		}
	}
}

// At the reference itself every law leaves the reading as it is, to the last bit.
func TestLawsAtTheReference(t *testing.T) {
	for name, l := range laws {
		for _, x := range []float64{3.8, 3.3, 3.7, 0.1, 1e-9, 6200} {
			for _, r := range []float64{12, 20 + celsius, 40 + celsius, 11.5} {
				for _, per := range []float64{1, -1} {
					bound := boundLaw{k: &correction{law: l}, ref: r, per: per}
					require.Equal(t, x, bound.correct(x, r, 0.5), name)
				}
			}
		}
	}
}

// TestLawsAtAGlance: whatever the numbers within reach of what is seen, a law brings them to within reach of what it sees.
func TestLawsAtAGlance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom(slices.Sorted(maps.Keys(laws))).Draw(t, "law")
		l, per, reach := laws[name], 1., rapid.Float64Range(0, 1)
		x := spot{rapid.Float64Range(-100, 100).Draw(t, "x"), 10 * reach.Draw(t, "x reach")}
		c, r, a := spot{rapid.Float64Range(270, 330).Draw(t, "c"), 5 * reach.Draw(t, "c reach")}, 293.15, spot{}
		if l.allowed(12, 12, 0) && !l.allowed(24, 12, 0) || name == "ohmic" {
			c, r = spot{rapid.Float64Range(10, 14).Draw(t, "c"), reach.Draw(t, "c reach")}, 12
		}
		if name == "linear" || name == "back_emf" {
			a = spot{rapid.Float64Range(-1, 1).Draw(t, "a"), reach.Draw(t, "a reach")}
		}
		if name == "copper" || name == "aluminium" {
			per = rapid.SampledFrom([]float64{1, -1}).Draw(t, "sign")
		}
		out := l.seen(x, c, a, r, per)
		for _, i := range []float64{-1, -0.5, 0, 0.5, 1} {
			for _, j := range []float64{-1, -0.5, 0, 0.5, 1} {
				for _, k := range []float64{-1, 0, 1} {
					y := l.correct(x.v+i*x.r, c.v+j*c.r, r, a.v+k*a.r, per)
					require.LessOrEqual(t, math.Abs(y-out.v), out.r+1e-9*math.Abs(y), name)
				}
			}
		}
	})
}
