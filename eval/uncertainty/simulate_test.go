package uncertainty_test

import (
	"math"
	"testing"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const trials = 100_000

func simulate(t *testing.T, f uncertainty.Formula, in []uncertainty.Input, correlation [][]float64) uncertainty.Sample {
	t.Helper()
	s, err := uncertainty.Simulate(f, in, correlation, trials, 7)
	require.NoError(t, err)
	return s
}

func TestSimulateShapes(t *testing.T) {
	for _, test := range []struct {
		shape       uncertainty.Shape
		most        float64 // the farthest deviation, in u
		withinOne   float64 // share within one u
		withinDelta float64
	}{
		{uncertainty.Uniform, math.Sqrt(3), 1 / math.Sqrt(3), 0.005},
		{uncertainty.Triangle, math.Sqrt(6), 1 - math.Pow(1-1/math.Sqrt(6), 2), 0.005},
		{uncertainty.Gaussian, 7, 0.682689, 0.005},
		{uncertainty.UShaped, math.Sqrt2, 0.5, 0.005},
	} {
		t.Run(test.shape.String(), func(t *testing.T) {
			s := simulate(t, first, []uncertainty.Input{{X: 10, U: 2, Shape: test.shape}}, nil)
			require.InDelta(t, 10, s.Mean, 0.03)
			require.InDelta(t, 2, s.U, 0.02)
			require.InDelta(t, test.withinOne, s.Within(8, 12), test.withinDelta)
			require.Equal(t, 1.0, s.Within(10-2*test.most-1e-9, 10+2*test.most+1e-9))
			low, high, err := s.Symmetric(0.95)
			require.NoError(t, err)
			require.InDelta(t, 20, low+high, 0.15)
		})
	}
}

// An input with few degrees of freedom is drawn from Student's distribution.
func TestSimulateStudent(t *testing.T) {
	for _, freedom := range []float64{1, 3.5, 20} {
		s := simulate(t, first, []uncertainty.Input{{U: 1, Freedom: freedom, Shape: uncertainty.Gaussian}}, nil)
		for _, p := range []float64{0.5, 0.9, 0.95} {
			k, err := uncertainty.CoverageFactor(p, freedom)
			require.NoError(t, err)
			require.InDelta(t, p, s.Within(-k, k), 0.005, freedom)
		}
	}
}

func TestSimulateCorrelated(t *testing.T) {
	in := []uncertainty.Input{
		{X: 4.9990, U: 0.0032, Shape: uncertainty.Gaussian}, {X: 19.661e-3, U: 0.0095e-3, Shape: uncertainty.Gaussian},
		{X: 1.04446, U: 0.00075, Shape: uncertainty.Gaussian},
	}
	correlation := [][]float64{{1, -0.36, 0.86}, {-0.36, 1, -0.65}, {0.86, -0.65, 1}}
	for i, f := range impedance {
		want, err := uncertainty.Propagate(f, in, correlation)
		require.NoError(t, err)
		s := simulate(t, f, in, correlation)
		require.InDelta(t, want.Y, s.Mean, 0.02*want.U, i)
		require.InEpsilon(t, want.U, s.U, 0.01, i)
	}
	full := simulate(t, func(x []float64) float64 { return x[0] - x[1] }, []uncertainty.Input{
		{U: 1, Shape: uncertainty.Gaussian}, {U: 1, Shape: uncertainty.Gaussian}, {U: 1},
	}, [][]float64{{1, 1, 0}, {1, 1, 0}, {0, 0, 1}})
	require.Equal(t, 0.0, full.U, "fully correlated errors cancel")
}

// Where first order fails: the square of an input near zero. Its mean is u², its standard uncertainty u²·√2, and no value is negative.
func TestSimulateWhereFirstOrderFails(t *testing.T) {
	square := func(x []float64) float64 { return x[0] * x[0] }
	in := []uncertainty.Input{{U: 1, Shape: uncertainty.Gaussian}}
	r, err := uncertainty.Propagate(square, in, nil)
	require.NoError(t, err)
	require.Equal(t, 0.0, r.U)
	s := simulate(t, square, in, nil)
	require.InDelta(t, 1, s.Mean, 0.02)
	require.InDelta(t, math.Sqrt2, s.U, 0.03)
	low, high, err := s.Shortest(0.95)
	require.NoError(t, err)
	require.InDelta(t, 0, low, 1e-6)
	require.InDelta(t, 3.841, high, 0.05, "chi-square of 1 degree of freedom")
	symmetricLow, symmetricHigh, err := s.Symmetric(0.95)
	require.NoError(t, err)
	require.Less(t, high-low, symmetricHigh-symmetricLow)
}

func TestSimulateRepeats(t *testing.T) {
	in := []uncertainty.Input{{X: 1, U: 1}}
	a, err := uncertainty.Simulate(first, in, nil, 1000, 3)
	require.NoError(t, err)
	b, err := uncertainty.Simulate(first, in, nil, 1000, 3)
	require.NoError(t, err)
	c, err := uncertainty.Simulate(first, in, nil, 1000, 4)
	require.NoError(t, err)
	require.Equal(t, a, b)
	require.NotEqual(t, a.Mean, c.Mean)
}

func TestSampleWithin(t *testing.T) {
	s, err := uncertainty.Simulate(first, []uncertainty.Input{{X: 5}}, nil, 10, 0)
	require.NoError(t, err)
	for _, test := range []struct{ low, high, want float64 }{
		{5, 5, 1}, {4, 6, 1}, {-inf, inf, 1}, {5.1, inf, 0}, {-inf, 4.9, 0}, {6, 4, 0}, {math.NaN(), 6, 0},
	} {
		require.Equal(t, test.want, s.Within(test.low, test.high), test)
	}
	require.Equal(t, 0.0, uncertainty.Sample{}.Within(0, 1))
}

func TestSimulateBadInput(t *testing.T) {
	tied := [][]float64{{1, 0.5}, {0.5, 1}}
	gaussian := uncertainty.Input{U: 1, Shape: uncertainty.Gaussian}
	for _, test := range []struct {
		name        string
		in          []uncertainty.Input
		correlation [][]float64
		trials      int
		want        string
	}{
		{"uncertainty", []uncertainty.Input{{U: -1}}, nil, 10, "standard uncertainty -1"},
		{"trials", []uncertainty.Input{{U: 1}}, nil, 1, "1 trials"},
		{"shape", []uncertainty.Input{{U: 1, Shape: 9}}, nil, 10, "Shape(9) is no distribution"},
		{"tied shape", []uncertainty.Input{gaussian, {U: 1}}, tied, 10, "input 1 is correlated but not Gaussian"},
		{"tied freedom", []uncertainty.Input{{U: 1, Shape: uncertainty.Gaussian, Freedom: 4}, gaussian}, tied, 10, "input 0 is correlated"},
		{"matrix", []uncertainty.Input{gaussian}, tied, 10, "2 rows for 1 inputs"},
	} {
		_, err := uncertainty.Simulate(first, test.in, test.correlation, test.trials, 0)
		require.ErrorContains(t, err, test.want, test.name)
	}
	_, err := uncertainty.Simulate(func(x []float64) float64 { return math.Sqrt(x[0]) }, []uncertainty.Input{gaussian}, nil, 100, 0)
	require.ErrorContains(t, err, "the formula gives NaN")
	s, err := uncertainty.Simulate(first, []uncertainty.Input{gaussian}, nil, 10, 0)
	require.NoError(t, err)
	for _, p := range []float64{0, 1, 2, math.NaN()} {
		_, _, err = s.Symmetric(p)
		require.ErrorContains(t, err, "use a share between 0 and 1")
	}
	_, _, err = s.Shortest(0.99)
	require.ErrorContains(t, err, "10 trials are too few")
	_, _, err = uncertainty.Sample{}.Shortest(0.5)
	require.ErrorContains(t, err, "0 trials are too few")
}

func TestIntervalsHoldTheirShare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shape := uncertainty.Shape(rapid.IntRange(0, 3).Draw(t, "shape"))
		s, err := uncertainty.Simulate(first, []uncertainty.Input{{X: 1, U: 2, Shape: shape}}, nil, 500, rapid.Uint64().Draw(t, "seed"))
		require.NoError(t, err)
		p := rapid.Float64Range(0.01, 0.99).Draw(t, "p")
		low, high, err := s.Symmetric(p)
		require.NoError(t, err)
		require.InDelta(t, p, s.Within(low, high), 2.0/500)
		from, to, err := s.Shortest(p)
		require.NoError(t, err)
		require.InDelta(t, p, s.Within(from, to), 2.0/500)
		require.LessOrEqual(t, to-from, high-low)
	})
}
