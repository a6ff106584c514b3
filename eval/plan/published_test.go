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
	plan, err := p.Best(Options{})
	require.NoError(t, err)
	require.True(t, plan.Exact)
	require.InDelta(t, 2.18, plan.Cost, 1e-12)
	require.InDelta(t, 2.18, plan.Bound, 1e-9)
	require.Zero(t, plan.Error)
	require.Equal(t, 1, plan.Root.Test)
	require.Equal(t, 3, plan.Root.Branches[0].Node.Test)
	require.Equal(t, 2, plan.Root.Branches[1].Node.Test)
}
