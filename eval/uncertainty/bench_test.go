package uncertainty_test

import (
	"testing"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/stretchr/testify/require"
)

var meter = uncertainty.Accuracy{Reading: 0.005, Range: 0.001, Full: 40, Zero: 0.01, Digits: 3, Digit: 0.01}

func TestHotFunctionsDoNotAllocate(t *testing.T) {
	for name, f := range map[string]func(){
		"Parts":          func() { meter.Parts(12.3) },
		"Below":          func() { uncertainty.Below(1.2) },
		"Quantile":       func() { uncertainty.Quantile(0.975) },
		"Conformance":    func() { uncertainty.Conformance(2.45, 0.03, 2.4, 2.8) },
		"Nonconformance": func() { uncertainty.Nonconformance(2.45, 0.03, 2.4, 2.8) },
		"Decide":         func() { _, _ = uncertainty.Decide(2.45, 2.4, 2.8, 0.06) },
	} {
		require.Zero(t, testing.AllocsPerRun(100, f), name)
	}
}

var sink float64

func BenchmarkAccuracyParts(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		shared, own := meter.Parts(12.3)
		sink = shared + own
	}
}

func BenchmarkConformance(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		sink = uncertainty.Conformance(2.45, 0.03, 2.4, 2.8)
	}
}

func BenchmarkDecide(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		d, _ := uncertainty.Decide(2.45, 2.4, 2.8, 0.06)
		sink = float64(d)
	}
}

func BenchmarkQuantile(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		sink = uncertainty.Quantile(0.975)
	}
}

func BenchmarkPropagate(b *testing.B) {
	in := []uncertainty.Input{{X: 12.05, U: 0.03}, {X: 4.52, U: 0.04}}
	f := func(x []float64) float64 { return x[0] / x[1] }
	b.ReportAllocs()
	for b.Loop() {
		r, _ := uncertainty.Propagate(f, in, nil)
		sink = r.U
	}
}

func BenchmarkSimulate(b *testing.B) {
	in := []uncertainty.Input{{X: 12.05, U: 0.03}, {X: 4.52, U: 0.04}}
	f := func(x []float64) float64 { return x[0] / x[1] }
	for b.Loop() {
		s, _ := uncertainty.Simulate(f, in, nil, 100_000, 1)
		sink = s.U
	}
}

func BenchmarkGlobalRisks(b *testing.B) {
	prior, err := uncertainty.NormalPrior(0, 1)
	require.NoError(b, err)
	limits := uncertainty.Limits{Low: -2, High: 2}
	for b.Loop() {
		r, _ := uncertainty.GlobalRisks(prior, 0.25, limits, limits)
		sink = r.FalseAccept
	}
}

func BenchmarkGuardBand(b *testing.B) {
	prior, err := uncertainty.GammaPrior(4, 4)
	require.NoError(b, err)
	limits := uncertainty.Limits{Low: -inf, High: 2}
	for b.Loop() {
		sink, _ = uncertainty.GuardBand(prior, 0.25, limits, 0.001)
	}
}
