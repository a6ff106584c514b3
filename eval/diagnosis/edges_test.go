package diagnosis

import (
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// rounds are fewer where time matters.
func rounds(n int) int {
	if testing.Short() {
		return n / 5
	}
	return n
}

// edgeTable draws a table that uses what the fields of a table allow: several good outcomes, some of them named, faults that show nothing or are not there
// at all, what is certain and what is excluded, checks in no test, no tests or one for each check, and slips of any size or none.
func edgeTable(rng *rand.Rand) *Table {
	drawn := randomTable(rng, 1+rng.IntN(9), 1+rng.IntN(10))
	t := &Table{All: drawn.All, Good: drawn.Good, Faults: drawn.Faults, Tests: drawn.Tests, Combine: drawn.Combine, Otherwise: drawn.Otherwise}
	t.Slip = []float64{0, 0, 0, .1, 1e-9, -1}[rng.IntN(6)]
	switch rng.IntN(8) {
	case 0:
		t.Combine, t.Otherwise = nil, nil
	case 1:
		t.Faults = t.Faults[:rng.IntN(2)]
		for f := range t.Faults {
			t.Faults[f].Masks, t.Faults[f].With, t.Faults[f].Leads = nil, nil, nil
		}
	case 2:
		t.Tests = nil
	case 3:
		t.Tests = t.Tests[:rng.IntN(len(t.Tests))]
	case 4:
		for i := range t.Tests { // all in one
			if i > 0 {
				t.Tests[0].Values = append(slices.Clone(t.Tests[0].Values), t.Tests[i].Values...)
			}
		}
		t.Tests = t.Tests[:1]
	}
	if rng.IntN(3) == 0 {
		t.Usual = slices.Clone(t.Good)
		for c := range t.Good {
			if t.All[c] > 3 && rng.IntN(2) == 0 {
				t.Good[c], t.Usual[c] = 3, 1<<rng.IntN(2)|1<<rng.IntN(2)
			}
		}
	}
	for f := range t.Faults {
		fault := &t.Faults[f]
		switch rng.IntN(12) {
		case 0:
			fault.Shows = nil
		case 1:
			fault.Prior = -1
		case 2:
			fault.Prior = 0
		case 3:
			fault.Prior = .97
		}
		for i := range fault.Shows {
			s := &fault.Shows[i]
			switch rng.IntN(8) {
			case 0:
				s.Strength = 1
			case 1:
				s.Always, s.Strength = true, 0
			case 2:
				s.Outcomes = 1 << rng.IntN(bits.Len32(t.All[s.Checks[0]]))
			}
		}
		for i := range fault.Leads {
			if rng.IntN(4) == 0 {
				fault.Leads[i].Strength = float64(rng.IntN(2))
			}
		}
	}
	t.Prepare()
	return t
}

// edgeEvidence draws readings of which some are soft, some sharp by their weights, some of several outcomes, of none that the check has, or repeated.
func edgeEvidence(rng *rand.Rand, t *Table, ev *Evidence) {
	drawn := randomEvidence(rng, t)
	ev.Possible, ev.Weights, ev.Repeats = drawn.Possible, drawn.Weights, nil
	for c, all := range t.All {
		n := bits.Len32(all)
		switch rng.IntN(12) {
		case 0:
			ev.Possible[c], ev.Weights[c] = 1<<n, nil
		case 1:
			ev.Possible[c], ev.Weights[c] = all, nil
		case 2:
			ev.Possible[c], ev.Weights[c] = all&(1<<rng.IntN(n)|1<<rng.IntN(n)), nil
		case 3:
			o := rng.IntN(n)
			ev.Possible[c], ev.Weights[c] = 1<<o, make([]float64, n)
			ev.Weights[c][o] = 1
		}
	}
	if rng.IntN(2) == 0 {
		for c := range ev.Possible {
			if ev.Weights[c] != nil {
				ev.Possible[c] = t.Good[c] & -t.Good[c]
			}
		}
		ev.Weights = nil
	}
	if rng.IntN(3) == 0 {
		for range t.Tests {
			ev.Repeats = append(ev.Repeats, []int{0, 1, 1, 2, 3, 100}[rng.IntN(6)])
		}
	}
}

// said is all that a ranking says, written out to the bit.
func said(t *Table, ev *Evidence, r *Ranking) string {
	s := fmt.Sprintln(r.Faults, len(r.Stories), r.Roots, r.NoSlip, r.None, r.None0, r.AtOdds, r.Slip, t.Agreement(ev, r), t.Beyond(ev, r))
	for k := range r.Stories {
		s += fmt.Sprintln(r.Stories[k].Faults, r.Stories[k].Share, t.Sequels(ev, r, k))
	}
	for f := range t.Faults {
		with, without, prior, reasons, ok := t.Reasons(ev, r, f)
		s += fmt.Sprintln(f, t.Witness(ev, r, f), t.Union(ev, r, []int32{int32(f)}), with, without, prior, reasons, ok)
	}
	return s + fmt.Sprintln(t.Union(ev, r, allFaults(t)), t.Union(ev, r, nil))
}

// TestUsedAndFreshSayTheSame: tables, an evidence and a ranking that go through several tables and readings say to the bit what new ones do.
func TestUsedAndFreshSayTheSame(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for range rounds(300) {
		tables := []*Table{edgeTable(rng), edgeTable(rng), edgeTable(rng)}
		ev, r := &Evidence{}, &Ranking{}
		for range 12 {
			used := tables[rng.IntN(len(tables))]
			edgeEvidence(rng, used, ev)
			r.Most = rng.IntN(4)
			used.Rank(ev, r)
			fresh := &Table{All: used.All, Good: used.Good, Usual: used.Usual, Faults: used.Faults, Tests: used.Tests, Combine: used.Combine, Otherwise: used.Otherwise, Slip: used.Slip}
			fresh.Prepare()
			again, want := &Evidence{Possible: ev.Possible, Weights: ev.Weights, Repeats: ev.Repeats}, &Ranking{Most: r.Most}
			fresh.Rank(again, want)
			require.Equal(t, said(fresh, again, want), said(used, ev, r))
		}
	}
}

// TestRankingSaysNumbers: what a ranking says are probabilities, whatever the table and the readings.
func TestRankingSaysNumbers(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 14))
	share := func(x float64) bool { return x >= 0 && x <= 1+tolerance }
	contradictory := 0
	for range rounds(4000) {
		table, ev, r := edgeTable(rng), &Evidence{}, &Ranking{Most: rng.IntN(4)}
		edgeEvidence(rng, table, ev)
		table.Rank(ev, r)
		require.True(t, share(r.NoSlip) && share(r.None) && share(r.None0) && share(r.Slip) && share(table.Beyond(ev, r)), "%+v", r)
		all := 0.
		for k := range r.Stories {
			require.True(t, share(r.Stories[k].Share))
			all += r.Stories[k].Share
			for _, s := range table.Sequels(ev, r, k) {
				require.True(t, share(s.Share))
			}
		}
		require.True(t, share(all))
		for f, s := range r.Faults {
			u := table.Union(ev, r, []int32{int32(f)})
			for _, s := range []Standing{s, u} {
				require.True(t, share(s.Probability) && share(s.NoSlip), "%d: %+v", f, s)
				require.True(t, s.Factor >= 0, "%d: %+v", f, s)
				require.True(t, finite(s.Factor) || s.Status == Suspected || s.Status == Shown, "%d: %+v", f, s)
				require.True(t, s.Status != NotExamined || s.Factor == 1, "%d: %+v", f, s)
			}
			if _, _, prior, reasons, ok := table.Reasons(ev, r, f); ok {
				require.False(t, math.IsNaN(prior))
				for _, x := range reasons {
					require.False(t, math.IsNaN(x.Weight))
				}
			}
		}
		if r.total == 0 {
			contradictory++
			require.Equal(t, -1., table.Slip)
		}
	}
	require.Greater(t, contradictory, rounds(20))
}

// TestEdgesByDefinition holds rankings of such tables against the slow definitions of what they say.
func TestEdgesByDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(25, 26))
	examined := 0
	for range rounds(3000) {
		table, ev, r := edgeTable(rng), &Evidence{}, &Ranking{Most: rng.IntN(4)}
		edgeEvidence(rng, table, ev)
		table.Rank(ev, r)
		if r.total == 0 {
			continue
		}
		requireEnumerated(t, table, ev, r)
		if table.Slip < 0 {
			continue // without faults the readings may be impossible: there are no ratios to compare
		}
		requireFactors(t, table, ev, r)
		requireAtOdds(t, table, ev, r)
		examined++
	}
	require.Greater(t, examined, rounds(1000))
}

// TestManyFaultsAndTests: of more than 64 faults and tests, which take several words of bits, sets weigh together what they weigh test by test.
func TestManyFaultsAndTests(t *testing.T) {
	rng := rand.New(rand.NewPCG(27, 28))
	three := 0
	for range 8 {
		table := randomTable(rng, 66+rng.IntN(70), 200+rng.IntN(100))
		for f := range table.Faults {
			table.Faults[f].Leads = nil
		}
		*table = Table{All: table.All, Good: table.Good, Faults: table.Faults, Tests: table.Tests, Combine: table.Combine, Otherwise: table.Otherwise}
		table.Prepare()
		require.Greater(t, len(table.Tests), 64)
		ev := &Evidence{Possible: slices.Clone(table.Good)}
		for range 3 { // of two faults or three, and slips
			for _, s := range table.Faults[rng.IntN(len(table.Faults))].Shows {
				ev.Possible[s.Checks[0]] = s.Outcomes
			}
		}
		r := &Ranking{}
		table.Rank(ev, r)
		sum, total := make([]float64, len(table.Faults)), 0.
		r.ratioed = false
		table.every(ev, r, r.Roots, func(set []int32, w, _ float64) {
			total += w
			for _, f := range set {
				sum[f] += w
			}
		})
		r.ratioed = true
		three += r.Roots - rootFaults
		require.InEpsilon(t, total, r.total, 1e-9)
		for _, f := range r.alive {
			require.InEpsilon(t, sum[f]/total, r.Faults[f].Probability, 1e-9)
		}
		requireFactors(t, table, ev, r)
		requireAtOdds(t, table, ev, r)
	}
	require.Positive(t, three, "none called for three faults")
}

// TestTableIsSafeForConcurrentUse: many goroutines that rank on one table say what one says.
func TestTableIsSafeForConcurrentUse(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 16))
	for range 20 {
		table := edgeTable(rng)
		readings := make([]Evidence, 16)
		for i := range readings {
			edgeEvidence(rng, table, &readings[i])
		}
		var wg sync.WaitGroup
		got := make([][]string, 8)
		for g := range got {
			wg.Go(func() {
				ev, r := &Evidence{}, &Ranking{}
				for i := range readings {
					from := &readings[(i+2*g)%len(readings)]
					ev.Possible, ev.Weights, ev.Repeats = from.Possible, from.Weights, from.Repeats
					table.Rank(ev, r)
					got[g] = append(got[g], said(table, ev, r))
				}
			})
		}
		wg.Wait()
		for g := range got {
			for i := range readings {
				require.Equal(t, got[0][(i+2*g)%len(readings)], got[g][i])
			}
		}
	}
}

// TestRankingIsReadByMany: once it is made, many goroutines may ask the table of one ranking.
func TestRankingIsReadByMany(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 24))
	for range 50 {
		table, ev, r := edgeTable(rng), &Evidence{}, &Ranking{}
		edgeEvidence(rng, table, ev)
		table.Rank(ev, r)
		var wg sync.WaitGroup
		got := make([]string, 4)
		for g := range got {
			wg.Go(func() { got[g] = said(table, ev, r) })
		}
		wg.Wait()
		require.Equal(t, slices.Repeat(got[:1], len(got)), got)
	}
}

// TestUnionOfOne: a union of one fault says what is said of the fault, and the order of several does not matter.
func TestUnionOfOne(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 18))
	for range rounds(1000) {
		table, ev, r := edgeTable(rng), &Evidence{}, &Ranking{}
		edgeEvidence(rng, table, ev)
		table.Rank(ev, r)
		for f, want := range r.Faults {
			if !r.is[f] || r.total == 0 {
				continue // it is in no set, and has its prior
			}
			u := table.Union(ev, r, []int32{int32(f)})
			require.Equal(t, want.Status, u.Status)
			require.Equal(t, want.Factor, u.Factor)
			require.InDelta(t, want.Probability, u.Probability, 1e-12)
			require.InDelta(t, want.NoSlip, u.NoSlip, 1e-9)
		}
		all := allFaults(table)
		want := table.Union(ev, r, all)
		slices.Reverse(all)
		require.Equal(t, want, table.Union(ev, r, all))
	}
}

// TestBadTestsThatNothingExplains: they change nothing of what other tests say of a fault. More than 64 of them have every set weighed test by test.
func TestBadTestsThatNothingExplains(t *testing.T) {
	rng := rand.New(rand.NewPCG(19, 20))
	ruledOut, saved := 0, 0
	for range rounds(1000) {
		few := randomTable(rng, 3+rng.IntN(10), 4+rng.IntN(12))
		ev, r := randomEvidence(rng, few), &Ranking{Most: 2}
		few.Rank(ev, r)
		many := &Table{All: few.All, Good: few.Good, Faults: few.Faults, Tests: few.Tests}
		more := &Evidence{Possible: ev.Possible, Weights: ev.Weights}
		for c, rule := range few.Combine {
			many.Combine, many.Otherwise = append(many.Combine, rule), append(many.Otherwise, few.Otherwise[c])
		}
		for range 65 {
			many.Tests = append(many.Tests, Test{Values: [][]int{{len(many.All)}}})
			many.All, many.Good = append(many.All, 3), append(many.Good, 1)
			many.Combine, many.Otherwise = append(many.Combine, Opposing), append(many.Otherwise, -1)
			more.Possible, more.Weights = append(more.Possible, 2), append(more.Weights, nil)
		}
		many.Prepare()
		other := &Ranking{Most: 2}
		many.Rank(more, other)
		require.False(t, other.ratioed)
		for f, want := range r.Faults {
			got := other.Faults[f]
			require.InDelta(t, want.Probability, got.Probability, 1e-9)
			if !math.IsInf(want.Factor, 1) {
				require.InEpsilon(t, want.Factor, got.Factor, 1e-9, "%d of %v: %v", f, r.Stories, r.Faults)
			}
			require.Equal(t, want.Status == RuledOut, got.Status == RuledOut)
			if want.Status == RuledOut {
				ruledOut++
			} else if want.Status == Possible && want.Factor > against {
				saved++
			}
		}
	}
	require.Greater(t, ruledOut, rounds(100))
	require.Greater(t, saved, rounds(100))
}
