package plan

import (
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// two is a small valid problem to spoil.
func two() *Problem {
	return &Problem{
		Weights: []float64{1, 2}, Remedies: []int{7, 8}, Price: 100,
		Tests: []Test{
			{Minutes: 5, P: [][]float64{{.9, .1}, {.2, .8}}},
			{Minutes: 1, P: [][]float64{{1, 0}, {0, 1}}},
		},
		Stages: []Stage{{}, {After: 0, Enter: 10, Back: 3}},
	}
}

func TestWhatIsWrongIsSaid(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for want, change := range map[string]func(p *Problem){
		"there is no class":                   func(p *Problem) { p.Weights, p.Remedies = nil, nil },
		"2 classes have weights and 1":        func(p *Problem) { p.Remedies = p.Remedies[:1] },
		"class 1 has the weight NaN":          func(p *Problem) { p.Weights[1] = nan },
		"class 0 has the weight -1":           func(p *Problem) { p.Weights[0] = -1 },
		"class 0 has the weight +Inf":         func(p *Problem) { p.Weights[0] = inf },
		"the weights sum to 0":                func(p *Problem) { p.Weights = []float64{0, 0} },
		"the weights sum to +Inf":             func(p *Problem) { p.Weights = []float64{1e308, 1e308} },
		"remedy is NaN":                       func(p *Problem) { p.Price = nan },
		"remedy is 0":                         func(p *Problem) { p.Price = 0 },
		"remedy is -5":                        func(p *Problem) { p.Price = -5 },
		"stands at stage 2 of 2":              func(p *Problem) { p.Stage = 2 },
		"stands at stage -1":                  func(p *Problem) { p.Stage = -1 },
		"stage 1 comes after stage 9":         func(p *Problem) { p.Stages[1].After = 9 },
		"stage 1 takes NaN minutes":           func(p *Problem) { p.Stages[1].Enter = nan },
		"stage 1 takes -1 minutes":            func(p *Problem) { p.Stages[1].Enter = -1 },
		"stage 1 cannot be reached":           func(p *Problem) { p.Stages[1].After = 1 },
		"test 0: takes NaN minutes":           func(p *Problem) { p.Tests[0].Minutes = nan },
		"test 1: takes +Inf minutes":          func(p *Problem) { p.Tests[1].Minutes = inf },
		"test 1: stage 5 does not":            func(p *Problem) { p.Tests[1].Stage = 5 },
		"test 0: has 1 rows":                  func(p *Problem) { p.Tests[0].P = p.Tests[0].P[:1] },
		"test 0: has 0 outcomes":              func(p *Problem) { p.Tests[0].P = [][]float64{{}, {}} },
		"test 0: has 1 outcomes for class 1":  func(p *Problem) { p.Tests[0].P[1] = []float64{1} },
		"outcome 0 has the probability NaN":   func(p *Problem) { p.Tests[0].P[1][0] = nan },
		"outcome 1 has the probability -0.1":  func(p *Problem) { p.Tests[0].P[1] = []float64{1, -.1} },
		"outcomes of class 1 sum to 1.1":      func(p *Problem) { p.Tests[0].P[1] = []float64{.5, .6} },
		"came to outcome 2":                   func(p *Problem) { p.Tests[0].Done, p.Tests[0].Outcome = true, 2 },
		"spoils test 2, which":                func(p *Problem) { p.Tests[0].Spoils = []int{2} },
		"needs test -1, which":                func(p *Problem) { p.Tests[0].Needs = []Need{{Test: -1}} },
		"needs itself":                        func(p *Problem) { p.Tests[0].Needs = []Need{{Test: 0}} },
		"needs outcome 2 of test 1":           func(p *Problem) { p.Tests[0].Needs = []Need{{1, []int{2}}} },
		"needs two outcomes of test 1":        func(p *Problem) { p.Tests[0].Needs = []Need{{1, []int{0}}, {1, []int{1}}} },
		"test 0 can never be done: what it":   func(p *Problem) { p.Tests[0].Needs, p.Tests[1].Needs = []Need{{Test: 1}}, []Need{{Test: 0}} },
		"test 0 can never be done: it needs ": func(p *Problem) { p.Tests[0].Needs, p.Tests[1].Spoils = []Need{{Test: 1}}, []int{0} },
	} {
		p := two()
		change(p)
		_, err := p.Best(t.Context(), Options{})
		require.ErrorContains(t, err, want)
		_, err = p.Greedy(t.Context(), Options{})
		require.ErrorContains(t, err, want)
		_, err = p.Gain(0)
		require.ErrorContains(t, err, want)
	}
	_, err := two().Gain(2)
	require.ErrorContains(t, err, "test 2 does not exist")
	loop := two()
	loop.Stages = []Stage{{}, {After: 2}, {After: 1}}
	_, err = loop.Best(t.Context(), Options{})
	require.ErrorContains(t, err, "stage 1 cannot be reached")
}

// Whatever numbers come in, there is an error or a plan, and soon.
func TestHostileProblems(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	odd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, 5e-324, 1e-300, 1e300, 1, 0.5}
	value := func(usual float64) float64 {
		if r.IntN(40) == 0 {
			return odd[r.IntN(len(odd))]
		}
		return usual
	}
	valid := 0
	for range 3000 {
		p := randomProblem(r, shape{1 + r.IntN(6), r.IntN(7), r.IntN(2) == 0, true, r.IntN(2) == 0, r.IntN(4) == 0, true, r.IntN(2) == 0})
		for i := range p.Weights {
			p.Weights[i] = value(p.Weights[i])
		}
		p.Price = value(p.Price)
		p.Stage = r.IntN(3) - r.IntN(2)
		for i := range p.Stages {
			p.Stages[i] = Stage{p.Stages[i].After, value(p.Stages[i].Enter), value(p.Stages[i].Back)}
		}
		for i := range p.Tests {
			x := &p.Tests[i]
			x.Minutes = value(x.Minutes)
			for _, row := range x.P {
				if r.IntN(8) == 0 { // probabilities that all but vanish
					for o := range row {
						row[o] = 0
					}
					row[0], row[len(row)-1] = 1, 1e-310
				}
			}
			if r.IntN(20) == 0 {
				x.Needs = append(x.Needs, Need{Test: r.IntN(8), Outcomes: []int{r.IntN(4)}})
			}
		}
		plan, err := p.Best(t.Context(), Options{Nodes: r.IntN(3) * r.IntN(500)})
		if err != nil {
			continue
		}
		valid++
		require.GreaterOrEqual(t, plan.Cost, plan.Bound)
		require.False(t, math.IsNaN(plan.Cost) || math.IsNaN(plan.Bound) || math.IsNaN(plan.Minutes))
	}
	require.Greater(t, valid, 500)
}

// Size is met with less search, not with more time.
func TestLargeProblemEnds(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	p := randomProblem(r, shape{classes: 300, tests: 120, open: true})
	start := time.Now()
	plan, err := p.Best(t.Context(), Options{})
	require.NoError(t, err)
	require.Less(t, time.Since(start), 20*time.Second)
	require.NotEqual(t, Stop, plan.Root.Test)
	require.LessOrEqual(t, plan.Nodes, 1000)
}

func TestNothingToDo(t *testing.T) {
	p := two()
	p.Remedies = []int{3, 3}
	plan, err := p.Best(t.Context(), Options{})
	require.NoError(t, err)
	require.Equal(t, Stop, plan.Root.Test)
	require.Equal(t, 3, plan.Root.Remedy)
	require.Zero(t, plan.Cost)
	require.True(t, plan.Exact)
	_, ok := plan.Next()
	require.False(t, ok)

	p = two()
	p.Tests = nil
	plan, err = p.Best(t.Context(), Options{})
	require.NoError(t, err)
	require.Equal(t, 8, plan.Root.Remedy)
	require.InDelta(t, 100.0/3, plan.Cost, 1e-9)

	// Where error is not allowed and cannot be removed, the plan says how much of it is left.
	p = two()
	p.Price, p.Tests[1].Barred = math.Inf(1), true
	plan, err = p.Best(t.Context(), Options{})
	require.NoError(t, err)
	require.True(t, math.IsInf(plan.Cost, 1))
	data, err := json.Marshal(plan)
	require.NoError(t, err)
	again := &Plan{}
	require.NoError(t, json.Unmarshal(data, again))
	require.Equal(t, []float64{plan.Cost, plan.Bound, plan.Error}, []float64{again.Cost, again.Bound, again.Error})
	written, err := json.Marshal(again)
	require.NoError(t, err)
	require.Equal(t, string(data), string(written))
	require.InDelta(t, (0.1+2*0.2)/3, plan.Error, 1e-9)
	require.InDelta(t, 5, plan.Minutes, 1e-9)
}

// The same problem gives the same plan, to the last bit, and concurrent calls do not meet.
func TestSamePlanAgain(t *testing.T) {
	p := workbench(3, false)
	first, err := p.Best(t.Context(), Options{})
	require.NoError(t, err)
	done := make(chan *Plan)
	for range 4 {
		go func() {
			plan, _ := p.Best(t.Context(), Options{})
			done <- plan
		}()
	}
	for range 4 {
		require.Equal(t, first, <-done)
	}
}

// A search without an end of its own stops soon after its context, with the error of that and no plan.
func TestSearchStopsWithItsContext(t *testing.T) {
	p := randomProblem(rand.New(rand.NewPCG(8, 9)), shape{classes: 300, tests: 120, open: true})
	for name, search := range map[string]func(context.Context, Options) (*Plan, error){"best": p.Best, "greedy": p.Greedy} {
		ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
		start := time.Now()
		plan, err := search(ctx, Options{Nodes: math.MaxInt})
		if name == "best" {
			require.ErrorIs(t, err, context.DeadlineExceeded)
			require.Nil(t, plan)
		}
		require.Less(t, time.Since(start), 10*time.Second)
		cancel()
		plan, err = search(ctx, Options{})
		require.ErrorIs(t, err, context.DeadlineExceeded, name)
		require.Nil(t, plan)
	}
	// What fits into the time is the same plan as without an end.
	ctx, cancel := context.WithTimeout(t.Context(), time.Hour)
	defer cancel()
	timed, err := two().Best(ctx, Options{Nodes: math.MaxInt})
	require.NoError(t, err)
	free, err := two().Best(t.Context(), Options{Nodes: math.MaxInt})
	require.NoError(t, err)
	require.Equal(t, free, timed)
}
