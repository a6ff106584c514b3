package uncertainty_test

import (
	"math"
	"testing"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestQuantileInvertsBelow(t *testing.T) {
	for _, p := range []float64{1e-300, 1e-100, 1e-20, 1e-9, 0.001, 0.025, 0.4, 0.49999, 0.5, 0.6, 0.975, 0.999999} {
		require.InEpsilon(t, p, uncertainty.Below(uncertainty.Quantile(p)), 1e-12, p)
	}
	require.Equal(t, math.Inf(-1), uncertainty.Quantile(0))
	require.Equal(t, math.Inf(1), uncertainty.Quantile(1))
	for _, p := range []float64{-0.1, 1.1, math.NaN()} {
		require.True(t, math.IsNaN(uncertainty.Quantile(p)), p)
	}
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(1e-12, 1-1e-12).Draw(t, "p")
		require.InEpsilon(t, p, uncertainty.Below(uncertainty.Quantile(p)), 1e-12)
	})
}

// Student's t_p(ν): JCGM 100:2008, Table G.2, from memory.
func TestCoverageFactorAgainstTableG2(t *testing.T) {
	shares := []float64{0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973}
	for _, row := range []struct {
		freedom float64
		want    []string
	}{
		{1, []string{"1.84", "6.31", "12.71", "13.97", "63.66", "235.8"}}, // the table's 235.80 belongs to a share of 0.9973 with more digits
		{2, []string{"1.32", "2.92", "4.30", "4.53", "9.92", "19.21"}},
		{3, []string{"1.20", "2.35", "3.18", "3.31", "5.84", "9.22"}},
		{4, []string{"1.14", "2.13", "2.78", "2.87", "4.60", "6.62"}},
		{5, []string{"1.11", "2.02", "2.57", "2.65", "4.03", "5.51"}},
		{8, []string{"1.07", "1.86", "2.31", "2.37", "3.36", "4.28"}},
		{10, []string{"1.05", "1.81", "2.23", "2.28", "3.17", "3.96"}},
		{16, []string{"1.03", "1.75", "2.12", "2.17", "2.92", "3.54"}},
		{20, []string{"1.03", "1.72", "2.09", "2.13", "2.85", "3.42"}},
		{50, []string{"1.01", "1.68", "2.01", "2.05", "2.68", "3.16"}},
		{100, []string{"1.005", "1.660", "1.984", "2.025", "2.626", "3.077"}},
		{math.Inf(1), []string{"1.000", "1.645", "1.960", "2.000", "2.576", "3.000"}},
	} {
		for i, p := range shares {
			k, err := uncertainty.CoverageFactor(p, row.freedom)
			require.NoError(t, err)
			rounds(t, row.want[i], k, "share", p, "freedom", row.freedom)
		}
	}
}

// With 1 and 2 degrees of freedom the distribution has a closed form: 1/2 + atan(t)/π and 1/2 + t/(2√(2+t²)).
func TestStudentClosedForms(t *testing.T) {
	for _, x := range []float64{-1e6, -40, -3, -1, -0.1, 0, 1e-6, 0.5, 2, 12, 1e4} {
		one, err := uncertainty.StudentBelow(x, 1)
		require.NoError(t, err)
		require.InDelta(t, 0.5+math.Atan(x)/math.Pi, one, 1e-14)
		two, err := uncertainty.StudentBelow(x, 2)
		require.NoError(t, err)
		require.InDelta(t, 0.5+x/(2*math.Sqrt(2+x*x)), two, 1e-14)
	}
}

// Tails by the incomplete beta function in 25-digit arithmetic (Python's mpmath), for degrees of freedom without a closed form.
func TestStudentTails(t *testing.T) {
	for _, test := range []struct{ freedom, t, tail float64 }{
		{0.3, 2, 0.2821348494803913738},
		{0.5, 10, 0.1013386763856655721},
		{7.5, 3, 0.00919546930410225513},
		{1000, 6, 1.377684586688734557e-9},
		{1e6, 6, 9.86924906177217335e-10},
	} {
		got, err := uncertainty.StudentBelow(-test.t, test.freedom)
		require.NoError(t, err)
		require.InEpsilon(t, test.tail, got, 1e-9, test.freedom)
	}
}

func TestStudentJoinsTheNormal(t *testing.T) {
	for _, x := range []float64{-6, -2, -0.3, 1, 3} {
		below, err := uncertainty.StudentBelow(x, 1e6)
		require.NoError(t, err)
		above, err := uncertainty.StudentBelow(x, math.Nextafter(1e6, 2e6))
		require.NoError(t, err)
		require.InEpsilon(t, below, above, 1e-8, "where the formula changes")
		endless, err := uncertainty.StudentBelow(x, math.Inf(1))
		require.NoError(t, err)
		require.Equal(t, uncertainty.Below(x), endless)
	}
}

func TestStudentQuantileInvertsStudentBelow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		freedom := rapid.Float64Range(0.3, 1e6).Draw(t, "freedom")
		p := rapid.Float64Range(1e-6, 1-1e-6).Draw(t, "p")
		x, err := uncertainty.StudentQuantile(p, freedom)
		require.NoError(t, err)
		back, err := uncertainty.StudentBelow(x, freedom)
		require.NoError(t, err)
		require.InDelta(t, p, back, 1e-11)
		mirrored, err := uncertainty.StudentBelow(-x, freedom)
		require.NoError(t, err)
		require.InDelta(t, 1, back+mirrored, 1e-15)
		wider, err := uncertainty.CoverageFactor(0.95, freedom)
		require.NoError(t, err)
		narrower, err := uncertainty.CoverageFactor(0.95, 2*freedom)
		require.NoError(t, err)
		require.Less(t, narrower, wider, "more degrees of freedom, less factor")
	})
}

func TestStudentBadInput(t *testing.T) {
	_, err := uncertainty.StudentBelow(1, 0)
	require.ErrorContains(t, err, "degrees of freedom: use a number above 0")
	_, err = uncertainty.StudentBelow(math.NaN(), 1)
	require.ErrorContains(t, err, "not a number")
	_, err = uncertainty.StudentQuantile(0, 3)
	require.ErrorContains(t, err, "between 0 and 1")
	_, err = uncertainty.StudentQuantile(0.9, math.NaN())
	require.ErrorContains(t, err, "degrees of freedom")
	_, err = uncertainty.CoverageFactor(95, 3)
	require.ErrorContains(t, err, "such as 0.95")
}
