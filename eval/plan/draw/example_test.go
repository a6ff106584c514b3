package draw_test

import (
	"context"
	"fmt"

	"github.com/brushgear/brushgear/eval/plan"
	"github.com/brushgear/brushgear/eval/plan/draw"
)

// A cranking motor that turns slowly: three stories, three tests, one of them behind the end cover. The numbers are invented.
func Example() {
	p := &plan.Problem{
		Weights:  []float64{.6, .3, .1}, // worn brushes, shorted armature, tight bearing
		Remedies: []int{0, 1, 2},
		Price:    120, // minutes that a wrong remedy costs
		Tests: []plan.Test{
			{Minutes: 4, P: [][]float64{{.9, .1}, {.1, .9}, {.1, .9}}}, // free-run current: not high, high
			{Minutes: 2, Stage: 1, P: [][]float64{{.01, .99}, {.99, .01}, {.99, .01}}},
			{Minutes: 5, Stage: 1, P: [][]float64{{.99, .01}, {.01, .99}, {.99, .01}}},
		},
		Stages: []plan.Stage{{}, {After: 0, Enter: 10, Back: 12}},
	}
	best, err := p.Best(context.Background(), plan.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	tests := []string{"free-run current", "brush length", "growler"}
	outcomes := [][]string{{"not high", "high"}, {"good", "short"}, {"still", "blade vibrates"}}
	if next, ok := best.Next(); ok {
		fmt.Printf("next: %s, tells %.2f bit in %.0f min\n\n", tests[next.Test], next.Gain, next.Minutes+next.Teardown)
	}
	tree := draw.From(best, draw.Labels{
		Test:    func(t int) string { return tests[t] },
		Outcome: func(t, o int) string { return outcomes[t][o] },
		Remedy: func(r int) string {
			return []string{"renew the brushes", "replace the armature", "renew the bearings"}[r]
		},
		Opening: func(before, next int) string { return "take off the end cover" },
		Cautions: func(t int) []string {
			return [][]string{
				{"clamp the motor before it is run free: it jumps when it starts"},
				nil,
				{"armature in place before the growler is switched on, rings and watches off"},
			}[t]
		},
	})
	fmt.Print(draw.Text(tree, draw.Options{Title: "Motor cranks slowly", Summary: draw.Summary(best)}))
	for i, sheet := range draw.SVG(tree, draw.Options{Title: "Motor cranks slowly", Summary: draw.Summary(best)}) {
		fmt.Printf("sheet %d: %t\n", i+1, len(sheet) > 1000) // one file each
	}
	// Output:
	// next: brush length, tells 0.89 bit in 12 min
	//
	// Motor cranks slowly
	// 14 min on average, the remedy wrong in 1 of 100. No plan costs less.
	// On each branch: the outcome, how often it comes up there, minutes since the start.
	//
	// brush length (take off the end cover 10 min, test 2 min)
	// ├─ short, 60 %, 12 min → renew the brushes (wrong in 1 of 100)
	// └─ good, 40 %, 12 min
	//    CAUTION: armature in place before the growler is switched on, rings and watches off
	//    growler (5 min)
	//    ├─ still, 27 %, 17 min → renew the bearings (wrong in 8 of 100)
	//    └─ blade vibrates, 73 %, 17 min → replace the armature
	// sheet 1: true
}
