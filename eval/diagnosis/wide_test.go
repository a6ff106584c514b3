package diagnosis

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Two faults that each show every check bad, one test to a check: what the readings say is a closed form, however many tests there are. From 48 tests on
// the product of both likelihood ratios is more than a float64 holds, from 96 on each of them is, and from 64 on tests are weighed one by one.
func TestManyBadTestsByClosedForm(t *testing.T) {
	for _, n := range []int{1, 10, 47, 48, 63, 64, 65, 96, 110, 200, 1000} {
		tab, ev := &Table{Faults: make([]Fault, 2)}, &Evidence{}
		for c := range n {
			tab.All, tab.Good, ev.Possible = append(tab.All, 3), append(tab.Good, 1), append(ev.Possible, 2)
			for f := range tab.Faults {
				tab.Faults[f].Group = f
				tab.Faults[f].Shows = append(tab.Faults[f].Shows, Show{Checks: []int{c}, Outcomes: 2, Strength: .99})
			}
		}
		tab.Prepare()
		r := &Ranking{}
		tab.Rank(ev, r)

		// Of one bad reading, without slips and in all, compared with one fault.
		const p1, p2, slipped = .998 * .99, .998 * .9999, .002 / 2
		to := float64(n)
		none := math.Pow(slipped/(p1+slipped), to) / (.01 / .99)
		one, one0 := 1., math.Pow(p1/(p1+slipped), to)
		two, two0 := .01/.99*math.Pow((p2+slipped)/(p1+slipped), to), .01/.99*math.Pow(p2/(p1+slipped), to)
		total, total0 := none+2*one+two, 2*one0+two0
		for f := range r.Faults {
			require.InEpsilon(t, (one+two)/total, r.Faults[f].Probability, 1e-9, "%d tests", n)
			require.InEpsilon(t, (one0+two0)/total0, r.Faults[f].NoSlip, 1e-9, "%d tests", n)
		}
		require.InEpsilon(t, total0/total, r.NoSlip, 1e-9, "%d tests", n)
		require.InDelta(t, none/total, r.None, 1e-9, "%d tests", n)
		joint0 := 2*.01*.99*math.Pow(p1, to) + .01*.01*math.Pow(p2, to)
		require.InEpsilon(t, joint0, tab.Agreement(ev, r), 1e-9, "%d tests", n)
		u := tab.Union(ev, r, []int32{0, 1})
		require.InEpsilon(t, (total-none)/total, u.Probability, 1e-9, "%d tests", n)
		require.Less(t, tab.Beyond(ev, r), 1e-9, "there are no three")
	}
}

// However often a reading is repeated, what it says stays a number and does not turn round.
func TestRepeatsWithoutEnd(t *testing.T) {
	for _, possible := range []uint32{1, 2} {
		before := -1.
		for _, n := range []int{-1, 0, 1, 2, 3, 5, 10, 11, 12, 59, 60, 114, 120, 1000, math.MaxInt} {
			tab := &Table{Faults: make([]Fault, 2)}
			ev := &Evidence{}
			for c := range 12 {
				tab.All, tab.Good = append(tab.All, 3), append(tab.Good, 1)
				ev.Possible, ev.Repeats = append(ev.Possible, possible), append(ev.Repeats, n)
				for f := range tab.Faults {
					tab.Faults[f].Shows = append(tab.Faults[f].Shows, Show{Checks: []int{c}, Outcomes: 2, Strength: 1})
				}
			}
			tab.Prepare()
			r := &Ranking{}
			tab.Rank(ev, r)
			at := fmt.Sprint(possible, " ", n, " times")
			require.True(t, finite(r.NoSlip) && finite(r.None) && finite(r.None0) && finite(r.Slip), at)
			require.GreaterOrEqual(t, r.NoSlip, before-tolerance, at)
			before = r.NoSlip
			for _, s := range r.Faults {
				require.True(t, finite(s.Probability) && finite(s.NoSlip) && finite(s.Factor), at)
				require.Equal(t, map[uint32]Status{1: RuledOut, 2: Suspected}[possible], s.Status, at)
			}
		}
	}
}

// A slip that is all but impossible is none.
func TestLeastSlip(t *testing.T) {
	for _, slip := range []float64{1e-20, 1e-100, 1e-300, 5e-324} {
		tab := rowTable(1, 1, 1)
		tab.Slip = slip
		tab.Prepare()
		r := ranked(tab, 2, 1, 1)
		require.Equal(t, Shown, r.Faults[0].Status)
		require.InDelta(t, 1, r.Faults[0].Probability, 1e-12)
		require.Equal(t, RuledOut, r.Faults[1].Status)
		require.InDelta(t, 0, r.Faults[1].Probability, 1e-12)
	}
}
