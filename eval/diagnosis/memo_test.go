package diagnosis

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// What a test says must not depend on what was ranked before: readings that leave the same lane but weigh its outcomes differently are not the same.
func TestRememberedOutcomesAreOfTheSameReading(t *testing.T) {
	table := func() *Table {
		tab := &Table{All: []uint32{7}, Good: []uint32{3}, Faults: []Fault{{Prior: .1, Shows: []Show{{Checks: []int{0}, Outcomes: 4, Always: true, Strength: .99}}}}}
		tab.Prepare()
		return tab
	}
	rank := func(tab *Table, weights []float64, possible uint32) float64 {
		var r Ranking
		tab.Rank(&Evidence{Possible: []uint32{possible}, Weights: [][]float64{weights}}, &r)
		return r.Faults[0].Probability
	}
	fresh := rank(table(), []float64{1, 1, 0}, 3)
	used := table()
	rank(used, []float64{0, 1, 0}, 2)
	require.Equal(t, fresh, rank(used, []float64{1, 1, 0}, 3))
}

// TestRankingIsOfItsEvidence: a table, an evidence and a ranking that were used before give what new ones give, to the bit.
func TestRankingIsOfItsEvidence(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawOracleSheet(t)
		used, drawn := tabled(s, .002)
		var ev Evidence
		var r Ranking
		for range 12 {
			ev.Possible, ev.Weights = nil, nil
			for range drawn.Possible {
				weights := rapid.SliceOfN(rapid.SampledFrom([]float64{1, 0, 0, .5}), 3, 3).Draw(t, "weights")
				possible := uint32(0)
				for o, l := range weights {
					if l == 1 {
						possible |= 1 << o
					}
				}
				if possible != 0 && rapid.Bool().Draw(t, "sharp") {
					weights = nil
				}
				ev.Possible, ev.Weights = append(ev.Possible, possible), append(ev.Weights, weights)
			}
			used.Rank(&ev, &r)
			fresh := &Table{All: used.All, Good: used.Good, Faults: used.Faults, Tests: used.Tests, Combine: used.Combine, Otherwise: used.Otherwise, Slip: used.Slip}
			fresh.Prepare()
			again := Evidence{Possible: ev.Possible, Weights: ev.Weights}
			var want Ranking
			fresh.Rank(&again, &want)
			require.Equal(t, want.NoSlip, r.NoSlip)
			require.Equal(t, want.Faults, r.Faults)
		}
	})
}
