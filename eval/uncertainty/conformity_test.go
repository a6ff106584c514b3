package uncertainty_test

import (
	"math"
	"testing"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestConformanceOfWhatIsExact(t *testing.T) {
	for _, test := range []struct{ x, low, high, want float64 }{
		{2, 2, 3, 1}, {3, 2, 3, 1}, {1.9, 2, 3, 0}, {7, 2, inf, 1}, {7, -inf, inf, 1}, {2.5, 3, 2, 0},
	} {
		require.Equal(t, test.want, uncertainty.Conformance(test.x, 0, test.low, test.high), test)
		require.Equal(t, 1-test.want, uncertainty.Nonconformance(test.x, 0, test.low, test.high), test)
	}
	require.Equal(t, 0.0, uncertainty.Conformance(2.5, 1, 3, 2), "no value lies between limits in the wrong order")
	require.Equal(t, 1.0, uncertainty.Nonconformance(2.5, 1, 3, 2))
	require.Equal(t, 1.0, uncertainty.Conformance(2.5, 1, -inf, inf))
}

func TestConformanceOfNonsense(t *testing.T) {
	for _, x := range [][4]float64{{math.NaN(), 1, 0, 1}, {0, -1, 0, 1}, {0, inf, 0, 1}, {0, math.NaN(), 0, 1}, {0, 1, math.NaN(), 1}, {0, 1, 0, math.NaN()}, {inf, 1, 0, 1}} {
		require.True(t, math.IsNaN(uncertainty.Conformance(x[0], x[1], x[2], x[3])), x)
		require.True(t, math.IsNaN(uncertainty.Nonconformance(x[0], x[1], x[2], x[3])), x)
	}
}

// Six standard uncertainties on either side leave 9.866e-10 outside: tables of the normal distribution.
func TestSmallProbabilitiesKeepTheirDigits(t *testing.T) {
	for _, side := range []float64{-1, 1} {
		limits := uncertainty.Limits{Low: -inf, High: -6}
		if side > 0 {
			limits = uncertainty.Limits{Low: 6, High: inf}
		}
		require.InEpsilon(t, 9.865876450377e-10, uncertainty.Conformance(0, 1, limits.Low, limits.High), 1e-10)
	}
	require.InEpsilon(t, 2*9.865876450377e-10, uncertainty.Nonconformance(0, 1, -6, 6), 1e-10)
}

// A meter of 0.043 Ω expanded uncertainty on a field coil of 2.4 to 2.8 Ω.
func TestDecide(t *testing.T) {
	for _, test := range []struct {
		x    float64
		want uncertainty.Decision
	}{
		{2.60, uncertainty.Pass}, {2.45, uncertainty.Pass}, {2.42, uncertainty.ConditionalPass}, {2.40, uncertainty.ConditionalPass},
		{2.38, uncertainty.ConditionalFail}, {2.30, uncertainty.Fail}, {2.75, uncertainty.Pass}, {2.78, uncertainty.ConditionalPass},
		{2.80, uncertainty.ConditionalPass}, {2.82, uncertainty.ConditionalFail}, {2.90, uncertainty.Fail},
	} {
		got, err := uncertainty.Decide(test.x, 2.4, 2.8, 0.043)
		require.NoError(t, err)
		require.Equal(t, test.want, got, "%v: %v", test.x, got)
	}
	got, err := uncertainty.Decide(1e9, 2.4, inf, 0.043)
	require.NoError(t, err)
	require.Equal(t, uncertainty.Pass, got)
	require.Equal(t, "conditional pass", uncertainty.ConditionalPass.String())
	require.Equal(t, "Decision(7)", uncertainty.Decision(7).String())
}

// The limits are exact in binary, so that a value at the edge of a guard band is.
func TestDecideOnTheEdges(t *testing.T) {
	for _, test := range []struct {
		x    float64
		want uncertainty.Decision
	}{
		{2.25, uncertainty.Pass}, {2, uncertainty.ConditionalPass}, {1.875, uncertainty.ConditionalFail}, {1.75, uncertainty.Fail},
	} {
		got, err := uncertainty.Decide(test.x, 2, 3, 0.25)
		require.NoError(t, err)
		require.Equal(t, test.want, got, test.x)
	}
}

func TestConformityBadInput(t *testing.T) {
	for _, risk := range []float64{0, 0.5, 0.6, -1, math.NaN()} {
		_, err := uncertainty.GuardFactor(risk)
		require.ErrorContains(t, err, "between 0 and 0.5", risk)
	}
	for _, test := range []struct {
		x, low, high, w float64
		want            string
	}{
		{math.NaN(), 0, 1, 0, "value NaN"}, {0, 0, 1, -1, "guard band -1"}, {0, 2, 1, 0, "limits 2 to 1"}, {0, math.NaN(), 1, 0, "limits NaN to 1"},
	} {
		_, err := uncertainty.Decide(test.x, test.low, test.high, test.w)
		require.ErrorContains(t, err, test.want)
	}
	_, err := uncertainty.Limits{Low: 2.4, High: 2.8}.Guard(0.31)
	require.ErrorContains(t, err, "leaves nothing of 2.4 to 2.8")
	_, err = uncertainty.Limits{Low: 2.4, High: 2.8}.Guard(inf)
	require.ErrorContains(t, err, "guard band +Inf")
	_, err = uncertainty.Limits{Low: 2.8, High: 2.4}.Guard(0)
	require.ErrorContains(t, err, "limits 2.8 to 2.4")
	_, err = uncertainty.TestUncertaintyRatio(0, inf, 1)
	require.ErrorContains(t, err, "two finite limits")
	_, err = uncertainty.TestUncertaintyRatio(0, 1, 0)
	require.ErrorContains(t, err, "expanded uncertainty 0")
	_, _, err = uncertainty.Capability(0, 0, -1, 1)
	require.ErrorContains(t, err, "standard deviation 0")
	_, _, err = uncertainty.Capability(inf, 1, -1, 1)
	require.ErrorContains(t, err, "mean +Inf")
	_, _, err = uncertainty.Capability(0, 1, 1, -1)
	require.ErrorContains(t, err, "limits 1 to -1")
}

func TestUncertaintyRatio(t *testing.T) {
	ratio, err := uncertainty.TestUncertaintyRatio(2.4, 2.8, 0.05)
	require.NoError(t, err)
	require.InDelta(t, 4, ratio, 1e-12)
}

func TestConformanceIsAProbability(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, u := rapid.Float64Range(-10, 10).Draw(t, "x"), rapid.Float64Range(0, 5).Draw(t, "u")
		low := rapid.Float64Range(-10, 10).Draw(t, "low")
		high := low + rapid.Float64Range(0, 10).Draw(t, "width")
		p, q := uncertainty.Conformance(x, u, low, high), uncertainty.Nonconformance(x, u, low, high)
		for _, share := range []float64{p, q} {
			require.GreaterOrEqual(t, share, 0.0)
			require.LessOrEqual(t, share, 1.0)
		}
		require.InDelta(t, 1, p+q, 1e-14, "complementary")
		require.InDelta(t, p, uncertainty.Conformance(-x, u, -high, -low), 1e-14, "mirrored")
		wider := uncertainty.Conformance(x, u, low-1, high+1)
		require.GreaterOrEqual(t, wider, p, "wider limits hold no less")
		if u > 0 {
			below, above := uncertainty.Conformance(x, u, -inf, low), uncertainty.Conformance(x, u, high, inf)
			require.InDelta(t, 1, below+p+above, 1e-14, "the three regions hold everything")
		}
	})
}

func TestConformanceUnderMoreUncertainty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		limit, u := rapid.Float64Range(-10, 10).Draw(t, "limit"), rapid.Float64Range(0.01, 5).Draw(t, "u")
		inside := rapid.Float64Range(0, 10).Draw(t, "inside")
		more := u * rapid.Float64Range(1, 4).Draw(t, "more")
		one := func(x, u float64) float64 { return uncertainty.Conformance(x, u, limit, inf) }
		require.LessOrEqual(t, one(limit+inside, more), one(limit+inside, u), "inside one limit: less certain to conform")
		require.GreaterOrEqual(t, one(limit-inside, more), one(limit-inside, u), "outside of one limit: less certain not to")
		middle := func(u float64) float64 { return uncertainty.Conformance(limit, u, limit-inside, limit+inside) }
		require.LessOrEqual(t, middle(more), middle(u)+1e-15, "in the middle of two limits")
	})
}

func TestDecisionsAgreeWithRisk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, u := rapid.Float64Range(-10, 10).Draw(t, "x"), rapid.Float64Range(0.01, 3).Draw(t, "u")
		risk := rapid.Float64Range(0.001, 0.4).Draw(t, "risk")
		g, err := uncertainty.GuardFactor(risk)
		require.NoError(t, err)
		d, err := uncertainty.Decide(x, 0, inf, g*u)
		require.NoError(t, err)
		p := uncertainty.Conformance(x, u, 0, inf)
		switch d {
		case uncertainty.Pass:
			require.GreaterOrEqual(t, p, 1-risk-1e-12)
		case uncertainty.ConditionalPass:
			require.GreaterOrEqual(t, p, 0.5)
			require.Less(t, p, 1-risk+1e-12)
		case uncertainty.ConditionalFail:
			require.LessOrEqual(t, p, 0.5)
			require.Greater(t, p, risk-1e-12)
		case uncertainty.Fail:
			require.LessOrEqual(t, p, risk+1e-12)
		}
		simple, err := uncertainty.Decide(x, 0, inf, 0)
		require.NoError(t, err)
		require.Equal(t, d >= uncertainty.ConditionalPass, simple == uncertainty.Pass)
		wider, err := uncertainty.Decide(x, 0, inf, 2*g*u)
		require.NoError(t, err)
		require.False(t, wider == uncertainty.Pass && d != uncertainty.Pass, "a wider band passes nothing more")
	})
}
