package uncertainty_test

import (
	"math"
	"testing"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func first(x []float64) float64 { return x[0] }

// JCGM 100:2008, 5.2.2 example: ten resistors of 1000 Ω, each with 0.1 Ω from the same standard, in series: 1 Ω, not 0.32 Ω.
func TestFullCorrelation(t *testing.T) {
	in, all := make([]uncertainty.Input, 10), make([][]float64, 10)
	for i := range in {
		in[i] = uncertainty.Input{X: 1000, U: 0.1}
		all[i] = []float64{1, 1, 1, 1, 1, 1, 1, 1, 1, 1}
	}
	sum := func(x []float64) float64 {
		s := 0.0
		for _, v := range x {
			s += v
		}
		return s
	}
	r, err := uncertainty.Propagate(sum, in, all)
	require.NoError(t, err)
	rounds(t, "1.00", r.U)
	r, err = uncertainty.Propagate(sum, in, nil)
	require.NoError(t, err)
	rounds(t, "0.32", r.U)
}

// The error that two readings of one meter share cancels in their ratio.
func TestSharedErrorCancels(t *testing.T) {
	in := []uncertainty.Input{{X: 12, U: 0.12}, {X: 4, U: 0.04}}
	ratio := func(x []float64) float64 { return x[0] / x[1] }
	r, err := uncertainty.Propagate(ratio, in, [][]float64{{1, 1}, {1, 1}})
	require.NoError(t, err)
	require.InDelta(t, 0, r.U, 1e-5)
	require.Equal(t, 3.0, r.Y)
}

func TestExactOutput(t *testing.T) {
	r, coefficients, err := uncertainty.PropagateAll([]uncertainty.Formula{first, func([]float64) float64 { return 7 }}, []uncertainty.Input{{X: 2, U: 1}}, nil)
	require.NoError(t, err)
	require.Equal(t, 0.0, r[1].U)
	require.Equal(t, []float64{0}, r[1].Shares)
	require.Equal(t, math.Inf(1), r[1].Effective)
	require.Equal(t, [][]float64{{1, 0}, {0, 1}}, coefficients)
}

func TestUncertaintyFarBelowTheEstimate(t *testing.T) {
	r, err := uncertainty.Propagate(func(x []float64) float64 { return x[0] * x[0] }, []uncertainty.Input{{X: 3, U: 1e-14}}, nil)
	require.NoError(t, err)
	require.InEpsilon(t, 6e-14, r.U, 1e-7, "a difference over 1e-14 would be rounding only")
}

func TestEffectiveFreedom(t *testing.T) {
	sum := func(x []float64) float64 { return x[0] + x[1] }
	in := []uncertainty.Input{{U: 1, Freedom: 5}, {U: 1, Freedom: 5}}
	r, err := uncertainty.Propagate(sum, in, nil)
	require.NoError(t, err)
	require.InEpsilon(t, 10, r.Effective, 1e-12)

	tied := [][]float64{{1, 0.5}, {0.5, 1}}
	r, err = uncertainty.Propagate(sum, in, tied)
	require.NoError(t, err)
	require.True(t, math.IsNaN(r.Effective))
	_, _, err = r.Expanded(0.95)
	require.ErrorContains(t, err, "choose a coverage factor")

	in[0].Freedom, in[1].Freedom = 0, math.Inf(1)
	r, err = uncertainty.Propagate(sum, in, tied)
	require.NoError(t, err)
	require.Equal(t, math.Inf(1), r.Effective)
	_, k, err := r.Expanded(0.95)
	require.NoError(t, err)
	rounds(t, "1.960", k)
	_, _, err = r.Expanded(1)
	require.ErrorContains(t, err, "coverage 1")
}

// For normal inputs the second order makes the variance of a square 2u⁴ + 4x²u², and of a product what it is exactly.
func TestSecondOrderIsExactForProducts(t *testing.T) {
	a, b := uncertainty.Input{X: 3, U: 0.4}, uncertainty.Input{X: -2, U: 0.3}
	square, err := uncertainty.SecondOrder(func(x []float64) float64 { return x[0] * x[0] }, []uncertainty.Input{a})
	require.NoError(t, err)
	require.InDelta(t, 2*math.Pow(a.U, 4), square, 1e-12)
	product, err := uncertainty.SecondOrder(func(x []float64) float64 { return x[0] * x[1] }, []uncertainty.Input{a, b})
	require.NoError(t, err)
	require.InDelta(t, a.U*a.U*b.U*b.U, product, 1e-12)
}

// Exact variances for normal inputs; what first order leaves open, second order closes all but a thousandth of.
func TestSecondOrderWithThirdDerivatives(t *testing.T) {
	const u, w = 0.02, 0.01
	for _, test := range []struct {
		name  string
		f     uncertainty.Formula
		in    []uncertainty.Input
		exact float64
	}{
		{"exp", func(x []float64) float64 { return math.Exp(x[0]) }, []uncertainty.Input{{U: w}}, math.Expm1(w*w) * math.Exp(w*w)},
		{"sin", func(x []float64) float64 { return math.Sin(x[0]) }, []uncertainty.Input{{U: w}}, -math.Expm1(-2*w*w) / 2},
		{"x·exp(y) at 1, 0", func(x []float64) float64 { return x[0] * math.Exp(x[1]) }, []uncertainty.Input{{X: 1, U: u}, {U: w}},
			(1+u*u)*math.Exp(2*w*w) - math.Exp(w*w)},
	} {
		t.Run(test.name, func(t *testing.T) {
			first, err := uncertainty.Propagate(test.f, test.in, nil)
			require.NoError(t, err)
			second, err := uncertainty.SecondOrder(test.f, test.in)
			require.NoError(t, err)
			left := math.Abs(test.exact - first.U*first.U)
			require.Less(t, math.Abs(test.exact-first.U*first.U-second), left/1000)
		})
	}
}

func TestBadInput(t *testing.T) {
	one := []uncertainty.Input{{X: 1, U: 1}}
	two := []uncertainty.Input{{X: 1, U: 1}, {X: 2, U: 1}}
	three := append(two, uncertainty.Input{X: 3, U: 1})
	for _, test := range []struct {
		name        string
		in          []uncertainty.Input
		correlation [][]float64
		want        string
		impossible  bool
	}{
		{"negative", []uncertainty.Input{{U: -1}}, nil, "input 0 has the standard uncertainty -1", false},
		{"infinite", []uncertainty.Input{{X: 1}, {U: math.Inf(1)}}, nil, "input 1 has the standard uncertainty +Inf", false},
		{"estimate", []uncertainty.Input{{X: math.NaN()}}, nil, "input 0 has the estimate NaN", false},
		{"freedom", []uncertainty.Input{{U: 1, Freedom: -2}}, nil, "input 0 has -2 degrees of freedom", false},
		{"rows", one, [][]float64{{1}, {1}}, "2 rows for 1 inputs", true},
		{"columns", two, [][]float64{{1, 0}, {1}}, "row 1 has 1 columns", true},
		{"diagonal", one, [][]float64{{0.5}}, "coefficient 0.5 with itself", true},
		{"above one", two, [][]float64{{1, 1.2}, {1.2, 1}}, "coefficient 1.2: use a number from -1 to 1", true},
		{"not a number", two, [][]float64{{1, math.NaN()}, {math.NaN(), 1}}, "coefficient NaN", true},
		{"lopsided", two, [][]float64{{1, 0.2}, {0.3, 1}}, "both 0.2 and 0.3", true},
		{"indefinite", three, [][]float64{{1, 0.9, -0.9}, {0.9, 1, 0.9}, {-0.9, 0.9, 1}}, "input 2 contradict", true},
		{"contradicts full", three, [][]float64{{1, 1, 0.5}, {1, 1, -0.5}, {0.5, -0.5, 1}}, "input 2 contradict", true},
		{"no logarithm", []uncertainty.Input{{X: 0.5, U: 1}}, nil, "input 0 moved by -1", false},
		{"no value", []uncertainty.Input{{X: -1, U: 1}}, nil, "at the estimates themselves", false},
	} {
		t.Run(test.name, func(t *testing.T) {
			logarithm := func(x []float64) float64 { return math.Log(x[0]) }
			_, err := uncertainty.Propagate(logarithm, test.in, test.correlation)
			require.ErrorContains(t, err, test.want)
			if test.impossible {
				require.ErrorIs(t, err, uncertainty.ErrCorrelation)
				return
			}
			_, err = uncertainty.SecondOrder(logarithm, test.in)
			require.ErrorContains(t, err, test.want)
			_, _, err = uncertainty.PropagateAll([]uncertainty.Formula{logarithm}, test.in, test.correlation)
			require.ErrorContains(t, err, test.want)
		})
	}
	_, err := uncertainty.PropagateSlopes(1, []float64{1}, two, nil)
	require.ErrorContains(t, err, "1 slopes for 2 inputs")
	_, err = uncertainty.PropagateSlopes(1, []float64{math.NaN()}, one, nil)
	require.ErrorContains(t, err, "slope of input 0 is NaN")
	_, err = uncertainty.PropagateSlopes(math.Inf(1), []float64{1}, one, nil)
	require.ErrorContains(t, err, "value of the formula is +Inf")
	_, err = uncertainty.PropagateSlopes(1, []float64{1}, []uncertainty.Input{{U: -1}}, nil)
	require.ErrorContains(t, err, "standard uncertainty -1")
}

func TestPropagationOfLinearFormulas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "n")
		in, slopes := make([]uncertainty.Input, n), make([]float64, n)
		loadings := make([]float64, n) // coefficients of one common cause make a possible matrix
		for i := range in {
			in[i] = uncertainty.Input{X: rapid.Float64Range(-10, 10).Draw(t, "x"), U: rapid.Float64Range(0.01, 2).Draw(t, "u")}
			slopes[i] = rapid.Float64Range(-5, 5).Draw(t, "slope")
			loadings[i] = rapid.Float64Range(-1, 1).Draw(t, "loading")
		}
		correlation := make([][]float64, n)
		for i := range n {
			correlation[i] = make([]float64, n)
			for j := range n {
				correlation[i][j] = loadings[i] * loadings[j]
			}
			correlation[i][i] = 1
		}
		f := func(x []float64) float64 {
			y := 0.0
			for i, v := range x {
				y += slopes[i] * v
			}
			return y
		}
		given, err := uncertainty.PropagateSlopes(f(estimates(in)), slopes, in, correlation)
		require.NoError(t, err)
		found, err := uncertainty.Propagate(f, in, correlation)
		require.NoError(t, err)
		require.InDelta(t, given.U, found.U, 1e-5*(1+given.U))
		require.InDeltaSlice(t, slopes, found.Slopes, 1e-9)

		common, own, parts := 0.0, 0.0, 0.0
		for i, v := range in {
			c := slopes[i] * v.U
			common += c * loadings[i]
			own += c * c * (1 - loadings[i]*loadings[i])
			parts += math.Abs(c)
		}
		require.InDelta(t, common*common+own, given.U*given.U, 1e-9)
		require.LessOrEqual(t, given.U, parts+1e-9, "never more than the parts in line")
		if given.U > 0.01 {
			shares := 0.0
			for _, s := range given.Shares {
				shares += s
			}
			require.InDelta(t, 1, shares, 1e-9)
		}
		independent, err := uncertainty.PropagateSlopes(0, slopes, in, nil)
		require.NoError(t, err)
		in[0].U *= 2
		wider, err := uncertainty.PropagateSlopes(0, slopes, in, nil)
		require.NoError(t, err)
		require.GreaterOrEqual(t, wider.U, independent.U, "independent inputs: more of one is never less of the output")
	})
}

func estimates(in []uncertainty.Input) []float64 {
	x := make([]float64, len(in))
	for i, v := range in {
		x[i] = v.X
	}
	return x
}
