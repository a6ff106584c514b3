package uncertainty_test

import (
	"math"
	"testing"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestFitLineBadInput(t *testing.T) {
	for _, test := range []struct {
		x, y   []float64
		origin float64
		want   string
	}{
		{[]float64{1, 2, 3}, []float64{1, 2}, 0, "3 values of x and 2 of y"},
		{[]float64{1, 2}, []float64{1, 2}, 0, "2 points: use at least 3"},
		{nil, nil, 0, "0 points"},
		{[]float64{1, 2, 3}, []float64{1, math.NaN(), 2}, 0, "point 1 is (2, NaN)"},
		{[]float64{2, 2, 2}, []float64{1, 2, 3}, 0, "all x are 2"},
		{[]float64{1, 2, 3}, []float64{1, 2, 3}, math.Inf(1), "origin +Inf"},
	} {
		_, err := uncertainty.FitLine(test.x, test.y, test.origin)
		require.ErrorContains(t, err, test.want)
	}
}

func TestFitLineDoesNotDependOnTheOrigin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 12).Draw(t, "n")
		x, y := make([]float64, n), make([]float64, n)
		mean := 0.0
		for i := range n {
			x[i] = float64(i) + rapid.Float64Range(0, 0.9).Draw(t, "x")
			y[i] = rapid.Float64Range(-5, 5).Draw(t, "y")
			mean += x[i] / float64(n)
		}
		a, err := uncertainty.FitLine(x, y, rapid.Float64Range(-20, 20).Draw(t, "origin"))
		require.NoError(t, err)
		b, err := uncertainty.FitLine(x, y, mean)
		require.NoError(t, err)
		require.InDelta(t, 0, b.Correlation, 1e-9, "at the mean the coefficients are not correlated")
		at := rapid.Float64Range(-10, 20).Draw(t, "at")
		ya, ua := a.At(at)
		yb, ub := b.At(at)
		require.InDelta(t, yb, ya, 1e-8)
		require.InDelta(t, ub, ua, 1e-6)
		_, least := b.At(mean)
		require.LessOrEqual(t, least, ub+1e-12, "nowhere better known than at the mean")

		squares := func(intercept, slope float64) float64 {
			sum := 0.0
			for i := range x {
				r := y[i] - intercept - slope*(x[i]-mean)
				sum += r * r
			}
			return sum
		}
		best := squares(b.Intercept, b.Slope)
		require.InDelta(t, best, b.Residual*b.Residual*b.Freedom, 1e-9)
		require.LessOrEqual(t, best, squares(b.Intercept+0.01, b.Slope))
		require.LessOrEqual(t, best, squares(b.Intercept, b.Slope-0.01))
	})
}
