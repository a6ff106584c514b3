package diagnosis_test

import (
	"fmt"
	"math/rand/v2"

	"github.com/brushgear/brushgear/eval/diagnosis"
)

// Outcomes of the checks below: good, and two sides of bad.
const good, low, high = 1, 2, 4

// coilTable has three faults at two checks: an open coil reads low at the first and high at the second, a shorted one high at the first, and a bad lead
// only high at the second. An open coil may be what a shorted one came to.
func coilTable() *diagnosis.Table {
	t := &diagnosis.Table{
		All: []uint32{good | low | high, good | low | high}, Good: []uint32{good, good},
		Faults: []diagnosis.Fault{
			{Prior: .03, Shows: []diagnosis.Show{{Checks: []int{0}, Outcomes: low, Always: true}, {Checks: []int{1}, Outcomes: high, Always: true}}},
			{Prior: .03, Shows: []diagnosis.Show{{Checks: []int{0}, Outcomes: high, Always: true}}, Leads: []diagnosis.Lead{{To: 2, Strength: .5}}},
			{Prior: .01, Shows: []diagnosis.Show{{Checks: []int{1}, Outcomes: high, Strength: .8}}},
		},
	}
	t.Prepare()
	return t
}

// The first check reads low; the second was not made.
func ExampleTable_Rank() {
	t := coilTable()
	ev, r := &diagnosis.Evidence{Possible: []uint32{low, 0}}, &diagnosis.Ranking{}
	t.Rank(ev, r)
	for f, s := range r.Faults {
		fmt.Printf("fault %d: %s, %.3f\n", f, s.Status, s.Probability)
	}
	fmt.Println("best story:", r.Stories[0].Faults)
	with, without, _, reasons, _ := t.Reasons(ev, r, 0)
	fmt.Printf("%v against %v: test %d weighs %.0f decibans\n", with, without, reasons[0].Test, reasons[0].Weight)
	fmt.Println("at least one of 0 and 2:", t.Union(ev, r, []int32{0, 2}).Status)
	fmt.Println("left out at most:", t.Beyond(ev, r) < .01, "agreement:", t.Agreement(ev, r) > 0)
	fmt.Printf("the first reading was a slip if there is no fault: %.0f\n", 1-r.None0)
	// Output:
	// fault 0: shown, 0.978
	// fault 1: possible, 0.011
	// fault 2: not examined, 0.015
	// best story: [0]
	// [0] against []: test 0 weighs 32 decibans
	// at least one of 0 and 2: shown
	// left out at most: true agreement: true
	// the first reading was a slip if there is no fault: 1
}

// What speaks against a fault: by logic the check that rules it out, by probability the test that is the witness.
func ExampleTable_Witness() {
	t := coilTable()
	ev := &diagnosis.Evidence{Possible: []uint32{good, good}}
	out := make([]diagnosis.Finding, len(t.Faults))
	t.Judge(ev, out)
	fmt.Println(out[0].Status, "by check", t.Against(ev, out, 0))
	r := &diagnosis.Ranking{}
	t.Rank(ev, r)
	fmt.Println(r.Faults[0].Status, "by test", t.Witness(ev, r, 0))
	// Output:
	// ruled out by check 0
	// ruled out by test 0
}

// A shorted coil half the time leads to a bad lead: both stories are to be told apart before anything is fitted.
func ExampleTable_Sequels() {
	t := coilTable()
	ev, r := &diagnosis.Evidence{Possible: []uint32{high, 0}}, &diagnosis.Ranking{}
	t.Rank(ev, r)
	for _, story := range t.Sequels(ev, r, 0) {
		fmt.Printf("%v %.2f\n", story.Faults, story.Share)
	}
	// Output:
	// [1] 0.48
	// [1 2] 0.49
}

// How the second test would come out under each of two explanations, and what it comes to once.
func ExampleTable_Predict() {
	t := coilTable()
	readings, p := t.Predict(1, [][]int32{{1}, {1, 2}})
	for i, r := range readings {
		fmt.Printf("%v: %.3f or %.3f\n", r.Outcomes, p[0][i], p[1][i])
	}
	checks, drawn := t.Draw(rand.New(rand.NewPCG(1, 2)), 1, []int32{0})
	fmt.Println(checks, drawn)
	// Output:
	// [-1]: 0.999 or 0.200
	// [1]: 0.001 or 0.001
	// [2]: 0.001 or 0.799
	// [1] [2]
}

func ExampleStatus_UnmarshalText() {
	var s diagnosis.Status
	fmt.Println(s.UnmarshalText([]byte("ruled out")), s == diagnosis.RuledOut)
	fmt.Println(s.UnmarshalText([]byte("excluded")))
	// Output:
	// <nil> true
	// "excluded" is no status; write one of: not examined; possible; shown; ruled out; possible, readings at odds; suspected
}
