package uncertainty_test

import (
	"fmt"
	"math"

	"github.com/brushgear/brushgear/eval/uncertainty"
)

func ExampleShape_Standard() {
	u, err := uncertainty.Uniform.Standard(0.05) // ± 0.05 V
	fmt.Printf("%.4f V %v\n", u, err)
	// Output: 0.0289 V <nil>
}

func ExampleFromExpanded() {
	u, err := uncertainty.FromExpanded(0.0012, 2) // a certificate states U = 0.0012 Ω, k = 2
	fmt.Printf("%.4f Ω %v\n", u, err)
	// Output: 0.0006 Ω <nil>
}

func ExampleAccuracy_Parts() {
	// A hand ohmmeter of ± (0.5 % of reading + 3 digits of 0.1 Ω) cannot tell whether 2.45 Ω lies in 2.4 to 2.8 Ω.
	meter := uncertainty.Accuracy{Reading: 0.005, Digits: 3, Digit: 0.1}
	shared, own := meter.Parts(2.45)
	fmt.Printf("± %.2f Ω\n", shared+own)
	// Output: ± 0.31 Ω
}

func ExampleAccuracy_Standard() {
	u, err := uncertainty.Accuracy{Reading: 0.025, Digits: 3, Digit: 0.01}.Standard(32, uncertainty.Uniform)
	fmt.Printf("%.4f V %v\n", u, err)
	// Output: 0.4792 V <nil>
}

func ExampleAccuracy_Validate() {
	fmt.Println(uncertainty.Accuracy{Digits: 3}.Validate())
	// Output: accuracy: Digits is 3 but Digit is 0: give what one step of the last digit is worth
}

func ExampleBelow() {
	fmt.Printf("%.4f\n", uncertainty.Below(1.96))
	// Output: 0.9750
}

func ExampleQuantile() {
	fmt.Printf("%.3f\n", uncertainty.Quantile(0.95))
	// Output: 1.645
}

func ExampleStudentBelow() {
	p, err := uncertainty.StudentBelow(2.57, 5)
	fmt.Printf("%.3f %v\n", p, err)
	// Output: 0.975 <nil>
}

func ExampleStudentQuantile() {
	t, err := uncertainty.StudentQuantile(0.975, 5)
	fmt.Printf("%.2f %v\n", t, err)
	// Output: 2.57 <nil>
}

func ExampleCoverageFactor() {
	for _, freedom := range []float64{4, 16, math.Inf(1)} {
		k, err := uncertainty.CoverageFactor(0.95, freedom)
		fmt.Printf("%.2f %v\n", k, err)
	}
	// Output:
	// 2.78 <nil>
	// 2.12 <nil>
	// 1.96 <nil>
}

func ExamplePropagate() {
	// The resistance of a field coil from 12.05 V ± 0.05 V and 4.52 A ± 0.06 A, both rectangular.
	r, err := uncertainty.Propagate(func(x []float64) float64 { return x[0] / x[1] }, []uncertainty.Input{
		{X: 12.05, U: 0.05 * uncertainty.Rectangular},
		{X: 4.52, U: 0.06 * uncertainty.Rectangular},
	}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f Ω ± %.3f Ω (k = 2)\n", r.Y, 2*r.U)
	fmt.Printf("voltmeter %.0f %%, ammeter %.0f %%\n", 100*r.Shares[0], 100*r.Shares[1])
	// Output:
	// 2.666 Ω ± 0.043 Ω (k = 2)
	// voltmeter 9 %, ammeter 91 %
}

func ExamplePropagateSlopes() {
	// The same with its derivatives, 1/I and −V/I².
	const volts, amperes = 12.05, 4.52
	r, err := uncertainty.PropagateSlopes(volts/amperes, []float64{1 / amperes, -volts / (amperes * amperes)}, []uncertainty.Input{
		{X: volts, U: 0.05 * uncertainty.Rectangular},
		{X: amperes, U: 0.06 * uncertainty.Rectangular},
	}, nil)
	fmt.Printf("%.4f Ω %v\n", r.U, err)
	// Output: 0.0214 Ω <nil>
}

func ExamplePropagateAll() {
	// Sum and difference of two readings whose errors go together by half.
	in := []uncertainty.Input{{X: 14.2, U: 0.02}, {X: 13.9, U: 0.02}}
	r, coefficients, err := uncertainty.PropagateAll([]uncertainty.Formula{
		func(x []float64) float64 { return x[0] + x[1] },
		func(x []float64) float64 { return x[0] - x[1] },
	}, in, [][]float64{{1, 0.5}, {0.5, 1}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f %.3f %.3f\n", r[0].U, r[1].U, math.Abs(coefficients[0][1]))
	// Output: 0.035 0.020 0.000
}

func ExampleResult_Expanded() {
	// Two readings, one with an uncertainty known from five repetitions.
	r, err := uncertainty.Propagate(func(x []float64) float64 { return x[0] - x[1] }, []uncertainty.Input{
		{X: 14.20, U: 0.03, Freedom: 4}, {X: 13.90, U: 0.01},
	}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	expanded, k, err := r.Expanded(0.95)
	fmt.Printf("%.2f V ± %.3f V, k = %.2f %v\n", r.Y, expanded, k, err)
	// Output: 0.30 V ± 0.088 V, k = 2.78 <nil>
}

func ExampleSecondOrder() {
	// Power of a current that is hardly more than its uncertainty.
	power := func(x []float64) float64 { return x[0] * x[0] * 50 }
	in := []uncertainty.Input{{X: 0.1, U: 0.1}}
	r, err := uncertainty.Propagate(power, in, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	second, err := uncertainty.SecondOrder(power, in)
	fmt.Printf("%.2f W, with second order %.2f W %v\n", r.U, math.Sqrt(r.U*r.U+second), err)
	// Output: 1.00 W, with second order 1.22 W <nil>
}

func ExampleSimulate() {
	// A quotient whose divisor is not far from zero.
	s, err := uncertainty.Simulate(func(x []float64) float64 { return x[0] / x[1] }, []uncertainty.Input{
		{X: 12, U: 0.1}, {X: 0.5, U: 0.1, Shape: uncertainty.Triangle},
	}, nil, 200_000, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	low, high, err := s.Shortest(0.95)
	fmt.Printf("%.0f to %.0f %v\n", low, high, err)
	// Output: 16 to 36 <nil>
}

func ExampleSample_Within() {
	// Power in 0.5 Ω by a current of 12 A ± 1 A; how often is it under 65 W?
	s, err := uncertainty.Simulate(func(x []float64) float64 { return 0.5 * x[0] * x[0] }, []uncertainty.Input{
		{X: 12, U: 1 * uncertainty.Rectangular},
	}, nil, 100_000, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f %%\n", 100*s.Within(math.Inf(-1), 65))
	low, high, err := s.Symmetric(0.95)
	fmt.Printf("%.0f W to %.0f W %v\n", low, high, err)
	// Output:
	// 20 %
	// 61 W to 84 W <nil>
}

func ExampleConformance() {
	fmt.Printf("%.2f\n", uncertainty.Conformance(2.45, 0.03, 2.40, math.Inf(1)))
	// Output: 0.95
}

func ExampleNonconformance() {
	fmt.Printf("%.2g\n", uncertainty.Nonconformance(2.60, 0.03, 2.40, 2.80))
	// Output: 2.6e-11
}

func ExampleGuardFactor() {
	g, err := uncertainty.GuardFactor(0.05)
	fmt.Printf("%.3f %v\n", g, err)
	// Output: 1.645 <nil>
}

func ExampleLimits_Guard() {
	acceptance, err := uncertainty.Limits{Low: 2.40, High: 2.80}.Guard(0.043)
	fmt.Printf("%.3f to %.3f %v\n", acceptance.Low, acceptance.High, err)
	_, err = uncertainty.Limits{Low: 2.40, High: 2.80}.Guard(0.31)
	fmt.Println(err)
	// Output:
	// 2.443 to 2.757 <nil>
	// a guard band of 0.31 on either side leaves nothing of 2.4 to 2.8: use a meter with less uncertainty, or a smaller band
}

func ExampleDecide() {
	for _, ohms := range []float64{2.50, 2.42, 2.38, 2.30} {
		d, err := uncertainty.Decide(ohms, 2.40, 2.80, 0.043)
		fmt.Println(d, err)
	}
	// Output:
	// pass <nil>
	// conditional pass <nil>
	// conditional fail <nil>
	// fail <nil>
}

func ExampleTestUncertaintyRatio() {
	ratio, err := uncertainty.TestUncertaintyRatio(2.40, 2.80, 0.043)
	fmt.Printf("%.1f : 1 %v\n", ratio, err)
	// Output: 4.7 : 1 <nil>
}

func ExampleCapability() {
	cpk, outside, err := uncertainty.Capability(14.2, 0.1, 13.9, 14.6)
	fmt.Printf("Cpk %.2f, %.2f %% outside %v\n", cpk, 100*outside, err)
	// Output: Cpk 1.00, 0.14 % outside <nil>
}

func ExampleGlobalRisks() {
	// Regulators set to 14.2 V with a spread of 0.2 V, allowed 13.9 to 14.5 V, tested to 0.05 V with simple acceptance.
	prior, err := uncertainty.NormalPrior(14.2, 0.2)
	if err != nil {
		fmt.Println(err)
		return
	}
	limits := uncertainty.Limits{Low: 13.9, High: 14.5}
	r, err := uncertainty.GlobalRisks(prior, 0.05, limits, limits)
	fmt.Printf("%.1f %% good; accepted wrongly %.1f %%, rejected wrongly %.1f %% %v\n", 100*r.Conforming, 100*r.FalseAccept, 100*r.FalseReject, err)
	// Output: 86.6 % good; accepted wrongly 2.0 %, rejected wrongly 3.2 % <nil>
}

func ExampleGuardBand() {
	prior, err := uncertainty.NormalPrior(14.2, 0.2)
	if err != nil {
		fmt.Println(err)
		return
	}
	w, err := uncertainty.GuardBand(prior, 0.05, uncertainty.Limits{Low: 13.9, High: 14.5}, 0.005)
	fmt.Printf("%.4f V %v\n", w, err)
	// Output: 0.0475 V <nil>
}

func ExampleNormalPrior() {
	// Brushes cut to 16.0 mm with a spread of 0.05 mm, allowed 15.9 to 16.1 mm.
	prior, err := uncertainty.NormalPrior(16, 0.05)
	if err != nil {
		fmt.Println(err)
		return
	}
	limits := uncertainty.Limits{Low: 15.9, High: 16.1}
	r, err := uncertainty.GlobalRisks(prior, 0.01, limits, limits)
	fmt.Printf("%.1f %% conform %v\n", 100*r.Conforming, err)
	// Output: 95.4 % conform <nil>
}

func ExampleGammaPrior() {
	// Runouts of 0.02 mm in the mean; more than 0.05 mm is too much.
	prior, err := uncertainty.GammaPrior(4, 200)
	if err != nil {
		fmt.Println(err)
		return
	}
	limits := uncertainty.Limits{Low: math.Inf(-1), High: 0.05}
	r, err := uncertainty.GlobalRisks(prior, 0.005, limits, limits)
	fmt.Printf("%.1f %% conform %v\n", 100*r.Conforming, err)
	// Output: 99.0 % conform <nil>
}

func ExampleFitLine() {
	// Readings of a voltmeter against a standard: its correction at 13 V.
	standard := []float64{10, 11, 12, 14, 15, 16}
	correction := []float64{0.021, 0.022, 0.026, 0.029, 0.032, 0.034}
	line, err := uncertainty.FitLine(standard, correction, 13)
	if err != nil {
		fmt.Println(err)
		return
	}
	y, u := line.At(13)
	fmt.Printf("%.4f V, u = %.4f V\n", y, u)
	// Output: 0.0273 V, u = 0.0003 V
}
