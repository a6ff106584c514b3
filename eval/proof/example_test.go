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
