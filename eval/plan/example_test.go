package plan_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"

	"github.com/brushgear/brushgear/eval/plan"
)

// A charging fault on a bench with invented numbers: worn brushes, an open field, a dead rectifier.
func problem() *plan.Problem {
	return &plan.Problem{
		Weights:  []float64{.5, .2, .3},
		Remedies: []int{0, 1, 2},
		Price:    120,
		Tests: []plan.Test{
			{Minutes: 3, P: [][]float64{{.1, .9}, {.01, .99}, {.99, .01}}},             // field current: in limits, low
			{Minutes: 2, Stage: 1, P: [][]float64{{.01, .99}, {.99, .01}, {.99, .01}}}, // brush length: good, short
			{Minutes: 9, Stage: 1, P: [][]float64{{.99, .01}, {.99, .01}, {.05, .95}}, // rectifiers: alike, one dead
				Needs: []plan.Need{{Test: 0}}},
		},
		Stages: []plan.Stage{{}, {After: 0, Enter: 6, Back: 8}},
	}
}

func ExampleProblem_Best() {
	best, err := problem().Best(context.Background(), plan.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	next, _ := best.Next()
	fmt.Printf("test %d first: %.2f bit in %.0f min\n", next.Test, next.Gain, next.Minutes+next.Teardown)
	fmt.Printf("%.1f min on average, wrong in %.1f of 100, exact: %t\n", best.Minutes, 100*best.Error, best.Exact)
	for _, b := range best.Root.Branches {
		fmt.Printf("outcome %d, %.0f of 100:", b.Outcome, 100*b.Probability)
		if b.Node.Test == plan.Stop {
			fmt.Printf(" remedy %d\n", b.Node.Remedy)
		} else {
			fmt.Printf(" test %d\n", b.Node.Test)
		}
	}
	// Output:
	// test 0 first: 0.66 bit in 3 min
	// 11.0 min on average, wrong in 1.5 of 100, exact: true
	// outcome 0, 35 of 100: test 1
	// outcome 1, 65 of 100: test 1
}

func ExampleProblem_Greedy() {
	p := problem()
	best, _ := p.Best(context.Background(), plan.Options{})
	greedy, _ := p.Greedy(context.Background(), plan.Options{})
	fmt.Printf("largest gain first %.1f, best %.1f\n", greedy.Cost, best.Cost)
	// Output:
	// largest gain first 15.3, best 12.8
}

func ExampleProblem_Gain() {
	gain, err := problem().Gain(0)
	fmt.Printf("%.3f bit %v\n", gain, err)
	// Output:
	// 0.658 bit <nil>
}

func ExampleEntropy() {
	fmt.Printf("%.0f bit\n", plan.Entropy([]float64{1, 1, 1, 1}))
	// Output: 2 bit
}

func ExampleCapacity() {
	fmt.Printf("%.3f bit\n", plan.Capacity([][]float64{{.9, .1}, {.1, .9}}))
	// Output: 0.531 bit
}

func ExampleHuffman() {
	fmt.Printf("%.2f questions\n", plan.Huffman([]float64{.70, .01, .02, .10, .05, .12}))
	// Output: 1.59 questions
}

func ExampleProblem_Check() {
	p := problem()
	p.Price = math.NaN()
	fmt.Println(p.Check())
	p = problem()
	p.Tests[0].Needs = []plan.Need{{Test: 2}}
	fmt.Println(p.Check())
	// Output:
	// the price of a wrong remedy is NaN: write minutes above 0 and up to 1e+09, or +Inf if error is not allowed
	// test 0 can never be done: what it needs leads round to itself or to a circle
}

// A test that was not tried has no cost in JSON, and none when it is read back.
func ExampleChoice_MarshalJSON() {
	data, err := json.Marshal(plan.Choice{Test: 2, Gain: .5, Worth: .5, Minutes: 4, Cost: math.Inf(1)})
	fmt.Println(string(data), err)
	var c plan.Choice
	fmt.Println(json.Unmarshal(data, &c), c.Cost)
	// Output:
	// {"Test":2,"Gain":0.5,"Worth":0.5,"Minutes":4,"Teardown":0,"Cost":null} <nil>
	// <nil> +Inf
}
