package plan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// sequencing is the matrix of Pattipati and Alexandridis, Application of heuristic search and information theory to sequential fault diagnosis, IEEE
// Transactions on Systems, Man and Cybernetics 20(4), 1990, 872-887: six states, five tests of unit cost. Recalled from memory; that an exact search
// yields the printed cost confirms it.
func sequencing() *Problem {
	rows := []string{"00000", "01001", "00110", "10011", "11000", "11110"}
	p := &Problem{
		Weights:  []float64{.70, .01, .02, .10, .05, .12},
		Remedies: []int{0, 1, 2, 3, 4, 5},
		Price:    math.Inf(1),
	}
	for t := range 5 {
		test := Test{Minutes: 1}
		for _, row := range rows {
			if row[t] == '1' {
				test.P = append(test.P, []float64{0, 1})
			} else {
				test.P = append(test.P, []float64{1, 0})
			}
		}
		p.Tests = append(p.Tests, test)
	}
	return p
}

// The optimal expected cost is 2.18: first t2, then t4 if it passes, t3 if it fails.
func TestPublishedSequencingMatrix(t *testing.T) {
	p := sequencing()
	require.InDelta(t, 1.454873, Entropy(p.Weights), 5e-7)
	require.InDelta(t, 1.59, Huffman(p.Weights), 1e-12)
	plan, err := p.Best(t.Context(), Options{})
	require.NoError(t, err)
	require.True(t, plan.Exact)
	require.InDelta(t, 2.18, plan.Cost, 1e-12)
	require.InDelta(t, 2.18, plan.Bound, 1e-9)
	require.Zero(t, plan.Error)
	require.Equal(t, 1, plan.Root.Test)
	require.Equal(t, 3, plan.Root.Branches[0].Node.Test)
	require.Equal(t, 2, plan.Root.Branches[1].Node.Test)
}

// Root gains of the same matrix, and what always taking the largest gain costs: 2.86 against 2.18. Computed from the table; the best first gain is not
// the best plan.
func TestLargestGainFirstIsATrap(t *testing.T) {
	p := sequencing()
	for i, want := range []float64{0.841465, 0.680077, 0.584239, 0.795040, 0.499916} {
		gain, err := p.Gain(i)
		require.NoError(t, err)
		require.InDelta(t, want, gain, 5e-7)
	}
	plan, err := p.Greedy(t.Context(), Options{})
	require.NoError(t, err)
	require.Equal(t, 0, plan.Root.Test)
	require.InDelta(t, 2.86, plan.Cost, 1e-12)
	require.LessOrEqual(t, plan.Bound, 2.18)
}

// The published optimum holds where error is not allowed, and for prices from about 26 test units.
func TestPriceWhereThePublishedPlanIsBest(t *testing.T) {
	for price, same := range map[float64]bool{20: false, 25: false, 27: true, 100: true} {
		p := sequencing()
		p.Price = price
		plan, err := p.Best(t.Context(), Options{})
		require.NoError(t, err)
		require.True(t, plan.Exact)
		require.Equal(t, same, plan.Error == 0, "%v", price)
		require.Equal(t, same, math.Abs(plan.Cost-2.18) < 1e-9, "%v", price)
	}
}

// The network of Lauritzen and Spiegelhalter, Local computations with probabilities on graphical structures, Journal of the Royal Statistical Society B
// 50, 1988, 157-224, after "visit to Asia" and "short of breath": the joint uncertainty of tuberculosis, lung cancer and bronchitis is 1.540784 bit,
// an X-ray would tell 0.499353 of it and the question for smoking 0.071021 (computed from the printed tables): ask for the X-ray.
func TestPublishedNetworkNextQuestion(t *testing.T) {
	p := &Problem{Price: 120, Tests: []Test{{Minutes: 1}, {Minutes: 1}}}
	is := func(yes bool, p float64) float64 {
		if yes {
			return p
		}
		return 1 - p
	}
	for k := range 8 {
		tub, lung, bronc := k&1 > 0, k&2 > 0, k&4 > 0
		ray, breath := 0.05, map[bool]float64{true: 0.8, false: 0.1}[bronc]
		if tub || lung {
			ray, breath = 0.98, map[bool]float64{true: 0.9, false: 0.7}[bronc]
		}
		smoker := 0.5 * is(lung, 0.10) * is(bronc, 0.60)
		other := 0.5 * is(lung, 0.01) * is(bronc, 0.30)
		p.Weights = append(p.Weights, 0.01*is(tub, 0.05)*(smoker+other)*breath)
		p.Remedies = append(p.Remedies, k)
		p.Tests[0].P = append(p.Tests[0].P, []float64{other / (smoker + other), smoker / (smoker + other)})
		p.Tests[1].P = append(p.Tests[1].P, []float64{1 - ray, ray})
	}
	sum := 0.0
	for _, w := range p.Weights {
		sum += w
	}
	require.InDelta(t, 0.004501, sum, 5e-7) // P(evidence)
	require.InDelta(t, 1.540784, Entropy(p.Weights), 5e-7)
	smoke, err := p.Gain(0)
	require.NoError(t, err)
	ray, err := p.Gain(1)
	require.NoError(t, err)
	require.InDelta(t, 0.071021, smoke, 5e-7)
	require.InDelta(t, 0.499353, ray, 5e-7)
	plan, err := p.Best(t.Context(), Options{})
	require.NoError(t, err)
	next, ok := plan.Next()
	require.True(t, ok)
	require.Equal(t, 1, next.Test)
	require.InDelta(t, 0.499353, next.Gain, 5e-7)
}

// Capacities of the symmetric channel, 1 − H(e), and of the Z channel, log₂(1 + (1−e)·e^(e/(1−e))): Cover and Thomas, Elements of information theory,
// chapter 7 (from memory).
func TestPublishedCapacities(t *testing.T) {
	for _, e := range []float64{0.01, 0.1, 0.2, 0.4} {
		noise := Entropy([]float64{e, 1 - e})
		require.InDelta(t, 1-noise, Capacity([][]float64{{1 - e, e}, {e, 1 - e}}), 1e-6)
		require.InDelta(t, math.Log2(1+(1-e)*math.Pow(e, e/(1-e))), Capacity([][]float64{{1, 0}, {e, 1 - e}}), 1e-5)
	}
	require.InDelta(t, math.Log2(3), Capacity([][]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {0, 1, 0}}), 1e-9)
	require.Zero(t, Capacity([][]float64{{.3, .7}, {.3, .7}}))
	require.Zero(t, Capacity(nil))
}
