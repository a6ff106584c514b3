package diagnosis

import (
	"math/rand/v2"
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

// A test of many faults that comes out in all its ways: what is remembered has an end, and nobody sees where.
func TestWhatIsRememberedHasAnEnd(t *testing.T) {
	table := func() *Table {
		tab := &Table{Tests: []Test{{}}}
		for c := range 7 {
			tab.All, tab.Good = append(tab.All, 3), append(tab.Good, 1)
			tab.Tests[0].Values = append(tab.Tests[0].Values, []int{c})
		}
		for f := range 80 {
			tab.Faults = append(tab.Faults, Fault{Group: f, Shows: []Show{{Checks: []int{f % 7}, Outcomes: 2, Strength: .3 + .005*float64(f)}}})
		}
		tab.Prepare()
		return tab
	}
	used, ev, r := table(), &Evidence{Possible: make([]uint32, 7)}, &Ranking{Most: 2}
	const ways = 3 * 3 * 3 * 3 * 3 * 3 * 3
	for way := range ways {
		for c := range ev.Possible {
			ev.Possible[c] = uint32(way % 3)
			way /= 3
		}
		used.weigh(ev)
	}
	known, figures := 0, 0
	for i := range used.known[0] {
		if s := used.known[0][i].Load(); s != nil {
			known++
			figures += len(s.room)
		}
	}
	require.Less(t, known, ways)
	require.Less(t, figures, mostFigures+figuresOf(80))
	require.Greater(t, figures, mostFigures/2)
	for _, possible := range [][]uint32{{1, 1, 1, 1, 1, 1, 1}, {2, 1, 2, 1, 0, 1, 2}, {2, 2, 2, 2, 2, 2, 2}} {
		ev.Possible = possible
		used.Rank(ev, r)
		fresh, again, want := table(), &Evidence{Possible: possible}, &Ranking{Most: 2}
		fresh.Rank(again, want)
		require.Equal(t, want.Faults, r.Faults)
	}
}

// TestRankAllocatesNothing once all has been used: sharp readings, soft ones and repeated ones, of faults of known and unknown positions, with masks and rows
// of two.
func TestRankAllocatesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	for range 200 {
		drawn := randomTable(rng, 2+rng.IntN(20), 3+rng.IntN(20))
		for f := range drawn.Faults {
			drawn.Faults[f].Leads = nil
		}
		table := &Table{All: drawn.All, Good: drawn.Good, Faults: drawn.Faults, Tests: drawn.Tests, Combine: drawn.Combine, Otherwise: drawn.Otherwise}
		table.Prepare()
		ev, r := &Evidence{}, &Ranking{}
		edgeEvidence(rng, table, ev)
		table.Rank(ev, r)
		require.Zero(t, testing.AllocsPerRun(5, func() { table.Rank(ev, r) }))
	}
}
