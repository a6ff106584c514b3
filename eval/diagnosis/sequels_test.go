package diagnosis

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A shorted diode was found; six times in ten it burns its phase, and that is seen at another check.
func TestSequelsOfAStory(t *testing.T) {
	tab := &Table{All: []uint32{3, 3}, Good: []uint32{1, 1}, Slip: -1, Faults: []Fault{
		{Prior: .1, Shows: []Show{{Checks: []int{0}, Outcomes: 2, Strength: 1}}, Leads: []Lead{{1, .6}}},
		{Prior: .03, Shows: []Show{{Checks: []int{1}, Outcomes: 2, Strength: 1}}},
	}}
	tab.Prepare()
	ev, r := &Evidence{Possible: []uint32{2, 0}}, &Ranking{}
	tab.Rank(ev, r)
	list := tab.Sequels(ev, r, 0)
	require.Len(t, list, 2)
	require.InDelta(t, 1, list[0].Share+list[1].Share, 1e-12)
	require.Equal(t, []int32{0, 1}, list[1].Faults)
	require.InDelta(t, 1-.97*.4, list[1].Share, 1e-12)

	ev.Possible[1] = 1 // the phase is good
	tab.Rank(ev, r)
	require.Len(t, tab.Sequels(ev, r, 0), 1)
}

// TestSequelsHaveTheirWeight: on random sheets a sequel on whose faults readings bear has the share of its set among all.
func TestSequelsHaveTheirWeight(t *testing.T) {
	longer := 0
	check := func(t *rapid.T) {
		table, ev := tabled(drawOracleSheet(t), .002)
		r := &Ranking{}
		table.Rank(ev, r)
		for k := range r.Stories {
			if !slices.Equal(r.alive, allFaults(table)) {
				return
			}
			for _, s := range table.Sequels(ev, r, k)[1:] {
				longer++
				p, _ := table.relative(ev, r, s.Faults)
				require.InEpsilon(t, table.oddsOf(r, s.Faults)*p/r.total, s.Share, 1e-9, "%v", s.Faults)
			}
		}
	}
	for round := 0; round < 20 && longer == 0; round++ { // a round may draw no such sheet
		rapid.Check(t, check)
	}
	require.Positive(t, longer, "no story had a sequel")
}

func allFaults(t *Table) []int32 {
	var list []int32
	for f := range t.Faults {
		list = append(list, int32(f))
	}
	return list
}
