package uncertainty_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/stretchr/testify/require"
)

// The tests of this file compare propagation, fits and simulation with published figures, which stand beside their source. A printed figure is met if
// ours rounds to it; where ours does not, the test says why.

// rounds checks that got, rounded to as many decimals as want has, is want.
func rounds(t *testing.T, want string, got float64, what ...any) {
	t.Helper()
	_, decimals, _ := strings.Cut(want, ".")
	require.Equal(t, want, fmt.Sprintf("%.*f", len(decimals), got), what...)
}

func standard(t *testing.T, s uncertainty.Shape, halfWidth float64) float64 {
	t.Helper()
	u, err := s.Standard(halfWidth)
	require.NoError(t, err)
	return u
}

// endGauge is the length of an end gauge in nm by comparison: JCGM 100:2008, H.1, Table H.1. Inputs in nm and °C: standard, difference (three parts),
// expansion coefficient and its difference, mean temperature, its cycle, temperature difference. Also in GTC, examples/GUM_H1.py.
func endGauge(t *testing.T) (uncertainty.Formula, []uncertainty.Input) {
	f := func(x []float64) float64 {
		ls, d, alpha, alphaDiff, theta, thetaDiff := x[0], x[1]+x[2]+x[3], x[4], x[5], x[6]+x[7], x[8]
		return ls + d - ls*(alphaDiff*theta+alpha*thetaDiff)
	}
	return f, []uncertainty.Input{
		{X: 50_000_623, U: 25, Freedom: 18},
		{X: 215, U: 5.8, Freedom: 24}, {U: 3.9, Freedom: 5}, {U: 6.7, Freedom: 8},
		{X: 11.5e-6, U: standard(t, uncertainty.Uniform, 2e-6)},
		{U: standard(t, uncertainty.Uniform, 1e-6), Freedom: 50},
		{X: -0.1, U: 0.2}, {U: standard(t, uncertainty.UShaped, 0.5)},
		{U: standard(t, uncertainty.Uniform, 0.05), Freedom: 2},
	}
}

// M-01: JCGM 100:2008, H.1 and Table H.1: l = 50.000 838 mm, u = 32 nm (31.66 before rounding), components 25, 9.7, 2.9 and 16.6 nm, ν = 16 (16.75),
// k = 2.92, U = 93 nm for 99 %.
func TestM01EndGauge(t *testing.T) {
	f, in := endGauge(t)
	r, err := uncertainty.Propagate(f, in, nil)
	require.NoError(t, err)
	rounds(t, "50000838", r.Y)
	rounds(t, "31.66", r.U)
	rounds(t, "25", r.Parts[0])
	rounds(t, "9.7", math.Hypot(r.Parts[1], math.Hypot(r.Parts[2], r.Parts[3])))
	rounds(t, "2.9", r.Parts[5])
	rounds(t, "16.6", r.Parts[8])
	rounds(t, "16.75", r.Effective)

	expanded, k, err := r.Expanded(0.99)
	require.NoError(t, err)
	rounds(t, "2.92", k)
	rounds(t, "93", k*math.Round(r.U)) // printed: 2.92 times the u that was rounded to 32 before
	rounds(t, "92.5", expanded)        // ours, of the unrounded u
}

// M-02: JCGM 100:2008, H.1.7: with second-order terms u = 34 nm (33.8); the products of inputs with estimates of zero add 11.7 and 1.7 nm. GTC,
// GUM_H1.rst, prints ν = 21.6 as well. The printed figures have these two products only; ours all pairs, which is the same to their digits.
func TestM02EndGaugeSecondOrder(t *testing.T) {
	f, in := endGauge(t)
	first, err := uncertainty.Propagate(f, in, nil)
	require.NoError(t, err)
	second, err := uncertainty.SecondOrder(f, in)
	require.NoError(t, err)
	rounds(t, "33.8", math.Sqrt(first.U*first.U+second))

	ls, alpha, alphaDiff, theta, cycle, thetaDiff := in[0], in[4], in[5], in[6], in[7], in[8]
	added := func(a, b uncertainty.Input) float64 {
		variance, err := uncertainty.SecondOrder(func(x []float64) float64 { return ls.X * x[0] * x[1] }, []uncertainty.Input{a, b})
		require.NoError(t, err)
		return math.Sqrt(variance)
	}
	expansion := added(alphaDiff, uncertainty.Input{X: theta.X, U: math.Hypot(theta.U, cycle.U)})
	difference := added(alpha, thetaDiff)
	rounds(t, "11.7", expansion)
	rounds(t, "1.7", difference)

	// GTC's 21.6: the two products count as inputs, with the finite degrees of freedom of their factors.
	products, err := uncertainty.PropagateSlopes(first.Y, append(first.Slopes, 1, 1), append(in,
		uncertainty.Input{U: expansion, Freedom: alphaDiff.Freedom}, uncertainty.Input{U: difference, Freedom: thetaDiff.Freedom}), nil)
	require.NoError(t, err)
	rounds(t, "33.8", products.U)
	rounds(t, "21.6", products.Effective)
}

var impedance = []uncertainty.Formula{ // of voltage, current and phase
	func(x []float64) float64 { return x[0] * math.Cos(x[2]) / x[1] },
	func(x []float64) float64 { return x[0] * math.Sin(x[2]) / x[1] },
	func(x []float64) float64 { return x[0] / x[1] },
}

// M-03: JCGM 100:2008, H.2, Tables H.2 to H.4: R 127.732 Ω, X 219.85 Ω, Z 254.26 Ω with u 0.071, 0.295 and 0.236 Ω, r(R,X) −0.588, r(R,Z) −0.485,
// r(X,Z) 0.993. From the five sets of readings of Table H.2 (from memory; the answers confirm them), since the printed inputs are rounded. The
// printed 0.295 is not met: first order gives 0.2956 (as in the row below, and with python3-uncertainties).
func TestM03Impedance(t *testing.T) {
	in, correlation := repeated([][]float64{
		{5.007, 4.994, 5.005, 4.990, 4.999},
		{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3},
		{1.0456, 1.0438, 1.0468, 1.0428, 1.0433},
	})
	rounds(t, "4.9990", in[0].X)
	rounds(t, "0.0032", in[0].U)
	rounds(t, "0.0095", in[1].U*1e3)
	rounds(t, "0.00075", in[2].U)
	r, coefficients, err := uncertainty.PropagateAll(impedance, in, correlation)
	require.NoError(t, err)
	rounds(t, "127.732", r[0].Y)
	rounds(t, "219.85", r[1].Y)
	rounds(t, "254.26", r[2].Y)
	rounds(t, "0.071", r[0].U)
	rounds(t, "0.2956", r[1].U)
	rounds(t, "0.236", r[2].U)
	rounds(t, "-0.588", coefficients[0][1])
	rounds(t, "-0.485", coefficients[0][2])
	rounds(t, "0.993", coefficients[1][2])
}

// M-03 from the printed inputs: GTC, GUM_H2.rst: 127.732(70), 219.85(30), 254.26(24); r −0.59, −0.49, 0.99.
func TestM03ImpedanceRoundedInputs(t *testing.T) {
	in := []uncertainty.Input{{X: 4.9990, U: 0.0032}, {X: 19.661e-3, U: 0.0095e-3}, {X: 1.04446, U: 0.00075}}
	r, coefficients, err := uncertainty.PropagateAll(impedance, in, [][]float64{{1, -0.36, 0.86}, {-0.36, 1, -0.65}, {0.86, -0.65, 1}})
	require.NoError(t, err)
	rounds(t, "127.732", r[0].Y)
	rounds(t, "219.85", r[1].Y)
	rounds(t, "254.26", r[2].Y)
	rounds(t, "0.070", r[0].U)
	rounds(t, "0.30", r[1].U)
	rounds(t, "0.24", r[2].U)
	rounds(t, "-0.59", coefficients[0][1])
	rounds(t, "-0.49", coefficients[0][2])
	rounds(t, "0.99", coefficients[1][2])
}

// repeated evaluates simultaneous readings of several quantities by their means: JCGM 100:2008, 4.2.3 and 5.2.3. The degrees of freedom are left open.
func repeated(readings [][]float64) ([]uncertainty.Input, [][]float64) {
	in, correlation := make([]uncertainty.Input, len(readings)), make([][]float64, len(readings))
	n := float64(len(readings[0]))
	covariance := func(i, j int) float64 {
		sum := 0.0
		for k := range readings[i] {
			sum += (readings[i][k] - in[i].X) * (readings[j][k] - in[j].X)
		}
		return sum / (n * (n - 1))
	}
	for i, values := range readings {
		for _, x := range values {
			in[i].X += x / n
		}
		in[i].U = math.Sqrt(covariance(i, i))
	}
	for i := range readings {
		for j := range readings {
			correlation[i] = append(correlation[i], covariance(i, j)/(in[i].U*in[j].U))
		}
	}
	return in, correlation
}

// M-05: JCGM 100:2008, H.3, Table H.6: y1 −0.1712 (0.0029), y2 0.002 18 (0.000 67), r −0.930, s 0.0035, ν 9; correction at 30 °C −0.1494 (0.0041).
// The eleven pairs are from memory of the table; the answers confirm them. Trap: leaving r out gives 0.0073 instead of 0.0041.
func TestM05Thermometer(t *testing.T) {
	celsius := []float64{21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511}
	correction := []float64{-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160}
	l, err := uncertainty.FitLine(celsius, correction, 20)
	require.NoError(t, err)
	rounds(t, "-0.1712", l.Intercept)
	rounds(t, "0.0029", l.UIntercept)
	rounds(t, "0.00218", l.Slope)
	rounds(t, "0.00067", l.USlope)
	rounds(t, "-0.930", l.Correlation)
	rounds(t, "0.0035", l.Residual)
	require.Equal(t, 9.0, l.Freedom)
	y, u := l.At(30)
	rounds(t, "-0.1494", y)
	rounds(t, "0.0041", u)
	rounds(t, "0.0073", math.Hypot(l.UIntercept, 10*l.USlope))
}

// M-22: ±(2.5 % of reading + 3 digits of 0.01 V) at 32.00 V and 0.09 V: half-width 0.83 V and 0.032 25 V: a university physics lab note, kpu.ca,
// Phys1102, DMMUncertainties. Standard uncertainty if rectangular 0.4792 V and 0.018 62 V: JCGM 100:2008, 4.3.7.
func TestM22MeterAccuracy(t *testing.T) {
	a := uncertainty.Accuracy{Reading: 0.025, Digits: 3, Digit: 0.01}
	for _, test := range []struct {
		reading         float64
		halfWidth, uStd string
	}{
		{32, "0.83", "0.4792"},
		{0.09, "0.03225", "0.01862"},
	} {
		shared, own := a.Parts(test.reading)
		rounds(t, test.halfWidth, shared+own)
		u, err := a.Standard(test.reading, uncertainty.Uniform)
		require.NoError(t, err)
		rounds(t, test.uStd, u)
	}
}

// M-25: JCGM 101:2008, 9.2.2 to 9.2.4: the sum of four inputs at 95 %. Four normal with u = 1: u 2.0, ±3.92. Four rectangular with u = 1: the same by
// propagation, ±3.88 by simulation. One of them with u = 10: u 10.15, ±19.9 by propagation, ±17.0 by simulation. The ends of a simulated interval
// scatter by some 0.005, and so did the printed ones; the exact ±3.88 is checked as well.
func TestM25Sum(t *testing.T) {
	sum := func(x []float64) float64 { return x[0] + x[1] + x[2] + x[3] }
	for _, test := range []struct {
		name                       string
		shape                      uncertainty.Shape
		last                       float64
		u, propagated              string
		simulated, simulatedWithin float64
	}{
		{"normal", uncertainty.Gaussian, 1, "2.0", "3.92", 3.92, 0.015},
		{"rectangular", uncertainty.Uniform, 1, "2.0", "3.92", 3.88, 0.015},
		{"one dominates", uncertainty.Uniform, 10, "10.1", "19.9", 17.0, 0.05},
	} {
		t.Run(test.name, func(t *testing.T) {
			in := []uncertainty.Input{{U: 1, Shape: test.shape}, {U: 1, Shape: test.shape}, {U: 1, Shape: test.shape}, {U: test.last, Shape: test.shape}}
			r, err := uncertainty.Propagate(sum, in, nil)
			require.NoError(t, err)
			rounds(t, test.u, r.U)
			expanded, _, err := r.Expanded(0.95)
			require.NoError(t, err)
			rounds(t, test.propagated, expanded)

			s, err := uncertainty.Simulate(sum, in, nil, 400_000, 1)
			require.NoError(t, err)
			require.InDelta(t, r.U, s.U, 0.005*r.U)
			for _, interval := range []func(float64) (float64, float64, error){s.Symmetric, s.Shortest} {
				low, high, err := interval(0.95)
				require.NoError(t, err)
				require.InDelta(t, 2*test.simulated, high-low, 2*test.simulatedWithin)
				require.InDelta(t, 0.95, s.Within(low, high), 1e-5)
			}
		})
	}
	// The tail of a sum of four rectangular inputs of half-width a is d⁴/(4!·(2a)⁴) at the distance d from its end 4a.
	a := 1 / uncertainty.Rectangular
	rounds(t, "3.88", 4*a-2*a*math.Pow(24*0.025, 0.25))
}
