package proof_test

import (
	"fmt"

	"github.com/brushgear/brushgear/eval/proof"
)

// ExampleProver_Rows looks at three rows on a current: the third can never be the first to hold, the first two meet at 60 A, and readings below 40 A
// meet none.
func ExampleProver_Rows() {
	p := &proof.Prover{Space: proof.Space{proof.Number("current")}}
	a := p.Rows(nil, []*proof.Condition{
		proof.All(proof.Compare(0, proof.AtLeast, 40), proof.Compare(0, proof.AtMost, 60)),
		proof.Compare(0, proof.AtLeast, 60),
		proof.Compare(0, proof.Equals, 70),
	}, nil)
	fmt.Println("dead:", a.Dead)
	for _, o := range a.Overlaps {
		fmt.Println("overlap:", o.First, o.Second, "at", o.At.At[0], "edge:", o.Edge)
	}
	fmt.Println("rest:", a.Rest.State == proof.Met, a.Rest.At[0] < 40)
	// Output:
	// dead: [2]
	// overlap: 0 1 at 60 edge: true
	// rest: true true
}

// ExampleProver_Can asks whether the difference of two readings can be above 3 while both are from 0 to 2.
func ExampleProver_Can() {
	low := proof.Variable{Name: "x", Low: 0, High: 2}
	p := &proof.Prover{Space: proof.Space{low, low}}
	d := proof.Difference("x - y", 0, 1)
	fmt.Println(p.Can(proof.CompareTerm(d, proof.Above, 3)).State == proof.Unmet)
	fmt.Println(p.Can(proof.CompareTerm(d, proof.Above, 1)).State == proof.Met)
	// Output:
	// true
	// true
}

// ExampleCondition_Holds builds a condition of a word and a number, and asks for its truth at two points.
func ExampleCondition_Holds() {
	space := proof.Space{proof.Word("lamp", 2), proof.Number("volts")} // dark, lit
	lit := proof.Is(0, 1<<1)
	c := proof.Any(proof.All(lit, proof.Compare(1, proof.Below, 12)), proof.Not(proof.Compare(1, proof.AtMost, 15)))
	fmt.Println(c.Holds(proof.Point{1, 11}), c.Holds(proof.Point{0, 11}))
	fmt.Println(proof.Count(1, 1, lit, c).Holds(proof.Point{1, 14}))
	cuts, whole := c.Cuts(1, nil)
	fmt.Println(cuts, whole)
	_, known := c.Known()
	fmt.Println(known, space.Key() == proof.Space{proof.Word("lamp", 2), proof.Number("volts")}.Key())
	// Output:
	// true false
	// true
	// [12 15] true
	// false true
}

// ExampleCondition_With puts another reading in the place of one: the same limit at another position of a list.
func ExampleCondition_With() {
	d := proof.Difference("x - y", 0, 1)
	c := proof.All(proof.Compare(0, proof.AtLeast, 3), proof.CompareTerm(d, proof.Below, 1))
	moved := c.With(0, nil, 2)
	fmt.Println(moved.Holds(proof.Point{0, 0, 5}), len(c.Terms()))
	stated := c.Implying(proof.Compare(1, proof.Above, 2)) // x at least 3 and x - y below 1
	fmt.Println(stated.Key() == c.Key())
	// Output:
	// true 1
	// true
}

// ExampleProver_CanInside tells what is met at an edge only from what is met beside it too, and Short finds a number that a person would write.
func ExampleProver_CanInside() {
	p := &proof.Prover{Space: proof.Space{proof.Number("volts")}}
	edge := proof.All(proof.Compare(0, proof.AtLeast, 12), proof.Compare(0, proof.AtMost, 12))
	fmt.Println(p.Can(edge).State == proof.Met, p.CanInside(edge).State == proof.Met)
	between, ok := proof.Short(12.4, 12.4000001)
	fmt.Println(between > 12.4, ok)
	// Output:
	// true false
	// true true
}
