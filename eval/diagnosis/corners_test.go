package diagnosis

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Tables and readings at the edge of what can be given.

// rowTable has so many checks of two outcomes; fault i shows the bad one of check i with a strength.
func rowTable(strengths ...float64) *Table {
	t := &Table{}
	for c, s := range strengths {
		t.All, t.Good = append(t.All, 3), append(t.Good, 1)
		t.Faults = append(t.Faults, Fault{Group: c, Shows: []Show{{Checks: []int{c}, Outcomes: 2, Strength: s}}})
	}
	return t
}

func ranked(t *Table, possible ...uint32) *Ranking {
	r := &Ranking{}
	t.Rank(&Evidence{Possible: possible}, r)
	return r
}

// A ranking that goes from a table with faults to one without must forget them.
func TestRankingOfATableWithoutFaults(t *testing.T) {
	full, empty := rowTable(.9), &Table{All: []uint32{3}, Good: []uint32{1}}
	full.Prepare()
	empty.Prepare()
	ev, r := &Evidence{Possible: []uint32{2}}, &Ranking{}
	for range 2 {
		full.Rank(ev, r)
		require.Equal(t, Shown, r.Faults[0].Status)
		empty.Rank(ev, r)
		require.Empty(t, r.Faults)
		require.Equal(t, 1., r.None)
		require.Equal(t, 0, r.AtOdds, "nothing but a slip explains it")
	}
}

// A fault that always leads to another one is never there alone: its odds alone are 0.
func TestCauseThatAlwaysLeadsOn(t *testing.T) {
	tab := rowTable(.9, .9)
	tab.Faults[0].Leads = []Lead{{To: 1, Strength: 1}}
	tab.Prepare()
	r := ranked(tab, 1, 1)
	// Two checks read good: each fault leaves .998·.1 + .002/2 of .998 + .002/2.
	q := (.998*.1 + .001) / .999
	both, second := .01/.99*q*q/.99, .01/.99*q
	require.InDelta(t, both/(1+both+second), r.Faults[0].Probability, 1e-12)
	require.InDelta(t, (both+second)/(1+both+second), r.Faults[1].Probability, 1e-12)
	require.InDelta(t, .998*.998/.999/.999, r.NoSlip, .001)
}

// A fault that cannot be there passes nothing on, and a circle of causes comes to an end.
func TestCausesThatNothingWasReadOf(t *testing.T) {
	tab := &Table{All: []uint32{3}, Good: []uint32{1}, Faults: []Fault{{Prior: .01}, {Prior: -1, Leads: []Lead{{0, .9}}}, {Prior: .5, Leads: []Lead{{1, .9}}}}}
	tab.Prepare()
	r := ranked(tab, 1)
	require.InDelta(t, .01, r.Faults[0].Probability, 1e-12)
	require.Zero(t, r.Faults[1].Probability)

	tab.Faults[1].Prior = .1
	*tab = Table{All: tab.All, Good: tab.Good, Faults: tab.Faults}
	tab.Prepare()
	r = ranked(tab, 1)
	middle := 1 - .9*(1-.5*.9)
	require.InDelta(t, middle, r.Faults[1].Probability, 1e-12)
	require.InDelta(t, 1-.99*(1-.9*middle), r.Faults[0].Probability, 1e-12)

	circle := &Table{All: []uint32{3}, Good: []uint32{1}, Faults: []Fault{{Leads: []Lead{{1, .5}}}, {Leads: []Lead{{0, .5}}}}}
	circle.Prepare()
	require.Greater(t, ranked(circle, 1).Faults[0].Probability, .01)
}

// Many values of several checks that can come out in one way only: whether they were read must not be taken for a way.
func TestManyUnreadChecksAreNoWay(t *testing.T) {
	tab := &Table{Tests: []Test{{}}}
	for v := range 40 {
		var checks []int
		for k := range 6 {
			checks = append(checks, 6*v+k)
			tab.All, tab.Good = append(tab.All, 3), append(tab.Good, 3)
		}
		tab.Tests[0].Values = append(tab.Tests[0].Values, checks)
	}
	tab.Prepare()
	for read := range len(tab.All) {
		possible := make([]uint32, len(tab.All))
		for c := range read {
			possible[c] = 1
		}
		require.Equal(t, 1., ranked(tab, possible...).None)
	}
}

// Without slips two faults may leave nothing: that calls for three as much as a slip does.
func TestThreeFaultsWithoutSlips(t *testing.T) {
	tab := rowTable(.9, .9, .9)
	tab.Slip = -1
	tab.Prepare()
	r := ranked(tab, 2, 2, 2)
	require.Equal(t, 3, r.Roots)
	require.Equal(t, []Story{{[]int32{0, 1, 2}, 1}}, r.Stories)

	tab.Faults[2].Prior = -1
	*tab = Table{All: tab.All, Good: tab.Good, Faults: tab.Faults, Slip: -1}
	tab.Prepare()
	r = ranked(tab, 2, 2, 2)
	require.Empty(t, r.Stories)
	require.Empty(t, r.heavy)
	require.Equal(t, Standing{NotExamined, DefaultPrior, DefaultPrior, 1}, r.Faults[0])
}

// What is no outcome of a check was not read, whatever was read before.
func TestOutcomesThatACheckDoesNotHave(t *testing.T) {
	table := func() *Table {
		tab := rowTable(.9, .9)
		tab.Good[0] = 5
		tab.Tests = []Test{{Values: [][]int{{0}, {1}}}}
		tab.Prepare()
		return tab
	}
	used, ev, r := table(), &Evidence{}, &Ranking{}
	for _, possible := range [][]uint32{{4, 8}, {1, 8}, {4, 2}, {1, 1}, {4, 1}, {9, 2}, {1, 2}} {
		ev.Possible = possible
		used.Rank(ev, r)
		want := ranked(table(), possible[0]&3, possible[1]&3)
		require.Equal(t, want.Faults, r.Faults, "%v", possible)
		require.Equal(t, want.NoSlip, r.NoSlip)
	}
}

// An evidence that goes from a table with faults to one without must forget what proved something.
func TestEvidenceOfATableWithoutFaults(t *testing.T) {
	full, empty := rowTable(.9), &Table{All: []uint32{3}, Good: []uint32{1}}
	full.Prepare()
	empty.Prepare()
	ev, out := &Evidence{Possible: []uint32{2}}, make([]Finding, 1)
	full.Judge(ev, out)
	require.Equal(t, Shown, out[0].Status)
	empty.Judge(ev, nil)
	require.Empty(t, ev.proofs)
}

// What a check does not have excludes nothing, also where something masks.
func TestJudgeOutcomesThatACheckDoesNotHave(t *testing.T) {
	tab := &Table{All: []uint32{3, 3, 3}, Good: []uint32{1, 1, 1}, Faults: []Fault{
		{Group: 0, Shows: []Show{{Checks: []int{0}, Outcomes: 2, Always: true}, {Checks: []int{1}, Outcomes: 2}}},
		{Group: 1, Masks: []Mask{{Check: 2}}},
	}}
	tab.Prepare()
	out := make([]Finding, 2)
	tab.Judge(&Evidence{Possible: []uint32{4, 1, 0}}, out)
	require.Equal(t, Possible, out[0].Status)
	tab.Judge(&Evidence{Possible: []uint32{1, 1, 0}}, out)
	require.Equal(t, RuledOut, out[0].Status)
}

// The empty story is written alike by a ranking that is new and by one that was used.
func TestEmptyStoryIsAList(t *testing.T) {
	tab := rowTable(.9)
	tab.Prepare()
	ev, r := &Evidence{Possible: []uint32{1}}, &Ranking{}
	for range 2 {
		tab.Rank(ev, r)
		require.Equal(t, []int32{}, r.Stories[0].Faults)
		ev.Possible[0] = 3 - ev.Possible[0]
		tab.Rank(ev, r)
		require.Equal(t, []int32{0}, r.Stories[0].Faults)
		ev.Possible[0] = 3 - ev.Possible[0]
	}
}
