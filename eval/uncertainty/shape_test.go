package uncertainty_test

import (
	"math"
	"testing"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestShapes(t *testing.T) {
	for _, test := range []struct {
		shape  uncertainty.Shape
		name   string
		factor float64
	}{
		{uncertainty.Uniform, "rectangular", 1 / math.Sqrt(3)},
		{uncertainty.Triangle, "triangular", 1 / math.Sqrt(6)},
		{uncertainty.Gaussian, "normal", 0.5},
		{uncertainty.UShaped, "arcsine", 1 / math.Sqrt(2)},
	} {
		require.Equal(t, test.name, test.shape.String())
		require.InEpsilon(t, 3*test.factor, standard(t, test.shape, 3), 1e-15)
		_, err := test.shape.Standard(-1)
		require.ErrorContains(t, err, "half-width -1")
	}
	require.Equal(t, "Shape(9)", uncertainty.Shape(9).String())
	_, err := uncertainty.Shape(9).Standard(1)
	require.ErrorContains(t, err, "Shape(9) is no distribution")
	_, err = uncertainty.Uniform.Standard(math.NaN())
	require.ErrorContains(t, err, "half-width NaN")
}

func TestFromExpanded(t *testing.T) {
	u, err := uncertainty.FromExpanded(0.06, 2)
	require.NoError(t, err)
	require.Equal(t, 0.03, u)
	_, err = uncertainty.FromExpanded(0.06, 0)
	require.ErrorContains(t, err, "coverage factor 0")
	_, err = uncertainty.FromExpanded(-1, 2)
	require.ErrorContains(t, err, "expanded uncertainty -1")
}

func TestAccuracyParts(t *testing.T) {
	for _, test := range []struct {
		name        string
		accuracy    uncertainty.Accuracy
		x           float64
		shared, own float64
	}{
		{"hand ohmmeter", uncertainty.Accuracy{Reading: 0.005, Digits: 3, Digit: 0.1}, 2.45, 0.01225, 0.3},
		{"negative reading", uncertainty.Accuracy{Reading: 0.01, Digit: 0.1}, -50, 0.5, 0.05},
		{"of range, and zero", uncertainty.Accuracy{Range: 0.001, Full: 40, Zero: 0.02}, 7, 0.06, 0},
		{"constant", uncertainty.Accuracy{Absolute: 0.05}, 12.05, 0, 0.05},
		{"resolution only", uncertainty.Accuracy{Digit: 1}, 3, 0, 0.5},
		{"exact", uncertainty.Accuracy{}, 3, 0, 0},
	} {
		require.NoError(t, test.accuracy.Validate(), test.name)
		shared, own := test.accuracy.Parts(test.x)
		require.InDelta(t, test.shared, shared, 1e-15, test.name)
		require.InDelta(t, test.own, own, 1e-15, test.name)
	}
}

func TestAccuracyBadInput(t *testing.T) {
	for _, test := range []struct {
		accuracy uncertainty.Accuracy
		want     string
	}{
		{uncertainty.Accuracy{Reading: -0.01}, "Reading is -0.01"},
		{uncertainty.Accuracy{Zero: math.Inf(1)}, "Zero is +Inf"},
		{uncertainty.Accuracy{Digits: -1, Digit: 1}, "Digits is -1"},
		{uncertainty.Accuracy{Range: 0.01}, "give the full scale"},
		{uncertainty.Accuracy{Digits: 3}, "give what one step"},
	} {
		require.ErrorContains(t, test.accuracy.Validate(), test.want)
		_, err := test.accuracy.Standard(1, uncertainty.Uniform)
		require.ErrorContains(t, err, test.want)
	}
}

func TestAccuracyGrowsWithTheReading(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := uncertainty.Accuracy{
			Reading: rapid.Float64Range(0, 0.1).Draw(t, "reading"), Range: rapid.Float64Range(0, 0.1).Draw(t, "range"),
			Full: rapid.Float64Range(1, 100).Draw(t, "full"), Digits: rapid.IntRange(0, 9).Draw(t, "digits"), Digit: 0.1,
		}
		x := rapid.Float64Range(0, 100).Draw(t, "x")
		shared, own := a.Parts(x)
		mirrored, sameOwn := a.Parts(-x)
		further, _ := a.Parts(2 * x)
		require.Equal(t, shared, mirrored)
		require.Equal(t, own, sameOwn)
		require.GreaterOrEqual(t, further, shared)
	})
}
