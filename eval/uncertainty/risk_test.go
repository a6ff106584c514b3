package uncertainty_test

import (
	"math"
	"testing"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func normal(t require.TestingT, mean, sd float64) uncertainty.Prior {
	p, err := uncertainty.NormalPrior(mean, sd)
	require.NoError(t, err)
	return p
}

func TestRisksOfAnExactMeter(t *testing.T) {
	tolerance, acceptance := uncertainty.Limits{Low: -2, High: 2}, uncertainty.Limits{Low: -1, High: 2.5}
	r, err := uncertainty.GlobalRisks(normal(t, 0, 1), 0, tolerance, acceptance)
	require.NoError(t, err)
	require.InDelta(t, uncertainty.Conformance(0, 1, -2, 2), r.Conforming, 1e-12)
	require.InDelta(t, uncertainty.Conformance(0, 1, 2, 2.5), r.FalseAccept, 1e-12)
	require.InDelta(t, uncertainty.Conformance(0, 1, -2, -1), r.FalseReject, 1e-12)
}

// A normal process and a normal meter make normal readings of variance sd² + u², which fixes the share that is accepted.
func TestAcceptedShare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mean, sd := rapid.Float64Range(-3, 3).Draw(t, "mean"), rapid.Float64Range(0.1, 2).Draw(t, "sd")
		u := rapid.Float64Range(0.001, 2).Draw(t, "u")
		tolerance := uncertainty.Limits{Low: -1, High: 1.5}
		if rapid.Bool().Draw(t, "one-sided") {
			tolerance.Low = -inf
		}
		acceptance, err := tolerance.Guard(rapid.Float64Range(-1, 1).Draw(t, "w"))
		require.NoError(t, err)
		r, err := uncertainty.GlobalRisks(normal(t, mean, sd), u, tolerance, acceptance)
		require.NoError(t, err)
		require.InDelta(t, uncertainty.Conformance(mean, sd, tolerance.Low, tolerance.High), r.Conforming, 1e-10)
		want := uncertainty.Conformance(mean, math.Hypot(sd, u), acceptance.Low, acceptance.High)
		require.InDelta(t, want, r.Conforming-r.FalseReject+r.FalseAccept, 1e-10)
		require.LessOrEqual(t, r.FalseReject, r.Conforming+1e-12)
		require.LessOrEqual(t, r.FalseAccept, 1-r.Conforming+1e-12)
	})
}

// A guard band of some 30 standard uncertainties leaves so little to integrate that its digits are mostly rounding. That must not be chased.
func TestWideGuardBandTakesFewEvaluations(t *testing.T) {
	for _, test := range []struct{ mean, sd, u, w float64 }{
		{3, 1.8343787718729385, 0.0011639267409698005, 0.03874006288225962},
		{-3, 0.9136589947902862, 0.001, -0.03237844122683464},
		{0, 1.2157062479888363, 0.0017326882586030082, 0.050591747085487304},
	} {
		tolerance := uncertainty.Limits{Low: -inf, High: 1.5}
		acceptance, err := tolerance.Guard(test.w)
		require.NoError(t, err)
		prior, evaluations := normal(t, test.mean, test.sd), 0
		density := prior.Density
		prior.Density = func(x float64) float64 {
			if evaluations++; evaluations > 100_000 {
				t.Fatalf("guard band %v of a standard uncertainty of %v takes more than %d evaluations", test.w, test.u, evaluations)
			}
			return density(x)
		}
		r, err := uncertainty.GlobalRisks(prior, test.u, tolerance, acceptance)
		require.NoError(t, err)
		require.InDelta(t, uncertainty.Conformance(test.mean, test.sd, -inf, 1.5), r.Conforming, 1e-12)
		want := uncertainty.Conformance(test.mean, math.Hypot(test.sd, test.u), -inf, acceptance.High)
		require.InDelta(t, want, r.Conforming-r.FalseReject+r.FalseAccept, 1e-12)
	}
}

func TestPriorIsScaled(t *testing.T) {
	flat := uncertainty.Prior{Density: func(float64) float64 { return 7 }, From: 0, To: 4}
	limits := uncertainty.Limits{Low: 1, High: inf}
	r, err := uncertainty.GlobalRisks(flat, 0.01, limits, limits)
	require.NoError(t, err)
	require.InDelta(t, 0.75, r.Conforming, 1e-12)
	// Over a flat density the reading is off on either side alike: the mean of |error|/2 is u/√(2π), on a quarter of the density.
	want := 0.01 / math.Sqrt(2*math.Pi) / 4
	require.InDelta(t, want, r.FalseAccept, 1e-12)
	require.InDelta(t, want, r.FalseReject, 1e-12)
}

func TestGammaPrior(t *testing.T) {
	for _, test := range []struct{ shape, rate, limit, want float64 }{
		{1, 2, 0.5, -math.Expm1(-1)}, // exponential
		{2, 1, 3, 1 - 4*math.Exp(-3)},
		{400, 4, 100, 0.506649}, // Poisson: 400 events or more at a mean of 400
	} {
		p, err := uncertainty.GammaPrior(test.shape, test.rate)
		require.NoError(t, err)
		limits := uncertainty.Limits{Low: -inf, High: test.limit}
		r, err := uncertainty.GlobalRisks(p, 0.1, limits, limits)
		require.NoError(t, err)
		require.InDelta(t, test.want, r.Conforming, 1e-6, test.shape)
	}
	p, err := uncertainty.GammaPrior(4, 4)
	require.NoError(t, err)
	require.Equal(t, 0.0, p.Density(-1))
}

func TestGuardBandHasTheRisk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		prior := normal(t, rapid.Float64Range(-0.5, 0.5).Draw(t, "mean"), rapid.Float64Range(0.4, 1).Draw(t, "sd"))
		u := rapid.Float64Range(0.01, 0.4).Draw(t, "u")
		tolerance := uncertainty.Limits{Low: -1, High: 1}
		everything, err := uncertainty.GlobalRisks(prior, u, tolerance, uncertainty.Limits{Low: -inf, High: inf})
		require.NoError(t, err)
		risk := (1 - everything.Conforming) * rapid.Float64Range(0.01, 0.9).Draw(t, "of what does not conform")
		w, err := uncertainty.GuardBand(prior, u, tolerance, risk)
		require.NoError(t, err)
		acceptance, err := tolerance.Guard(w)
		require.NoError(t, err)
		r, err := uncertainty.GlobalRisks(prior, u, tolerance, acceptance)
		require.NoError(t, err)
		require.InDelta(t, risk, r.FalseAccept, 1e-9)
		smaller, err := uncertainty.GuardBand(prior, u, tolerance, risk/2)
		require.NoError(t, err)
		require.Greater(t, smaller, w, "less risk takes a wider band")
	})
}

func TestRiskBadInput(t *testing.T) {
	good := normal(t, 0, 1)
	limits := uncertainty.Limits{Low: -1, High: 1}
	wrong := uncertainty.Limits{Low: 1, High: -1}
	density := func(float64) float64 { return 1 }
	for _, test := range []struct {
		name                  string
		prior                 uncertainty.Prior
		u                     float64
		tolerance, acceptance uncertainty.Limits
		want                  string
	}{
		{"uncertainty", good, -1, limits, limits, "standard uncertainty -1"},
		{"tolerance", good, 1, wrong, limits, "tolerance limits 1 to -1"},
		{"acceptance", good, 1, limits, wrong, "acceptance limits 1 to -1"},
		{"no density", uncertainty.Prior{To: 1}, 1, limits, limits, "without a density"},
		{"endless", uncertainty.Prior{Density: density, To: inf}, 1, limits, limits, "prior from 0 to +Inf"},
		{"backwards", uncertainty.Prior{Density: density, From: 1}, 1, limits, limits, "prior from 1 to 0"},
		{"negative", uncertainty.Prior{Density: math.Sin, From: 0, To: 6}, 1, limits, limits, "density is negative"},
		{"infinite", uncertainty.Prior{Density: func(float64) float64 { return inf }, From: 0, To: 6}, 1, limits, limits, "not finite"},
		{"nothing", uncertainty.Prior{Density: func(float64) float64 { return 0 }, From: 0, To: 6}, 1, limits, limits, "positive somewhere"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := uncertainty.GlobalRisks(test.prior, test.u, test.tolerance, test.acceptance)
			require.ErrorContains(t, err, test.want)
			if test.name != "acceptance" {
				_, err = uncertainty.GuardBand(test.prior, test.u, test.tolerance, 0.1)
				require.ErrorContains(t, err, test.want)
			}
		})
	}
	_, err := uncertainty.GuardBand(good, 0.1, limits, 1)
	require.ErrorContains(t, err, "risk 1: use a number between 0 and 1")
	_, err = uncertainty.GuardBand(good, 0.1, uncertainty.Limits{Low: -inf, High: inf}, 0.1)
	require.ErrorContains(t, err, "needs a finite limit")
	_, err = uncertainty.GuardBand(good, 0.1, limits, 0.9)
	require.ErrorContains(t, err, "no guard band is needed")
	_, err = uncertainty.NormalPrior(math.NaN(), 1)
	require.ErrorContains(t, err, "mean NaN")
	_, err = uncertainty.NormalPrior(0, 0)
	require.ErrorContains(t, err, "standard deviation 0")
	_, err = uncertainty.GammaPrior(0.5, 1)
	require.ErrorContains(t, err, "shape 0.5")
	_, err = uncertainty.GammaPrior(2, 0)
	require.ErrorContains(t, err, "rate 0")
}
