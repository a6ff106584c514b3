package diagnosis

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// factorOf is the Bayes factor of a fault by its definition, every likelihood worked out test by test: over the stories without the fault, and over these
// each also with one further fault that could hide it.
func factorOf(t *Table, ev *Evidence, r *Ranking, f int32) (plain, hidden float64) {
	ratio := func(set ...int32) float64 {
		p := 1.
		for i := range ev.tests {
			if ev.tests[i].valid {
				q, _ := t.test(ev, i, set)
				p *= q / ev.tests[i].p
			}
		}
		return p
	}
	with, without, more, moreWithout := 0., 0., 0., 0.
	for _, s := range r.Stories {
		if slices.Contains(s.Faults, f) {
			continue
		}
		alone := ratio(s.Faults...)
		with, without = with+s.Share*ratio(append(slices.Clone(s.Faults), f)...)/alone, without+s.Share
		for _, g := range r.alive {
			both := append(slices.Clone(s.Faults), g)
			if g == f || slices.Contains(s.Faults, g) || ratio(f, g) < hiding*ratio(f)*ratio(g) {
				continue
			}
			if w := ratio(both...) / alone * t.oddsOf(r, both) / t.oddsOf(r, s.Faults); w >= leastHiding {
				more += s.Share * w * ratio(append(both, f)...) / ratio(both...)
				moreWithout += s.Share * w
			}
		}
	}
	plain = with / without
	return plain, max(plain, (with+more)/(without+moreWithout))
}

// requireFactors holds the Bayes factors of the faults that are no part of a story against their definition, and counts those that are ruled out and those
// that are not because another fault could hide them.
func requireFactors(t *testing.T, table *Table, ev *Evidence, r *Ranking) (ruledOut, saved int) {
	for _, f := range r.alive {
		s := r.Faults[f]
		if s.Status == NotExamined || r.toldOf(f) || len(r.Stories) == 0 {
			continue
		}
		plain, hidden := factorOf(table, ev, r, f)
		if plain > against*(1+tolerance) || table.Witness(ev, r, int(f)) < 0 {
			require.Equal(t, Possible, s.Status)
			require.InEpsilon(t, plain, s.Factor, 1e-8)
			continue
		}
		require.InEpsilon(t, hidden, s.Factor, 1e-8)
		require.Equal(t, hidden <= against, s.Status == RuledOut)
		if s.Status == RuledOut {
			ruledOut++
		} else {
			saved++
		}
	}
	return ruledOut, saved
}

func TestRuledOutByDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	ruledOut, saved := 0, 0
	for range 3000 {
		table := randomTable(rng, 3+rng.IntN(10), 4+rng.IntN(12))
		ev, r := randomEvidence(rng, table), &Ranking{}
		table.Rank(ev, r)
		out, not := requireFactors(t, table, ev, r)
		ruledOut, saved = ruledOut+out, saved+not
	}
	require.Greater(t, ruledOut, 1000)
	require.Greater(t, saved, 20, "another fault could hide it")
}

// requireAtOdds holds the test at odds against its definition: the one that is most probably a slip, by the sets that are told of, of those tests that some
// story bears on or that nothing but a fault or a slip explains. It tells whether there is one.
func requireAtOdds(t *testing.T, table *Table, ev *Evidence, r *Ranking) bool {
	if 1-r.NoSlip <= someSlip {
		require.Equal(t, -1, r.AtOdds)
		return false
	}
	slip, most := make([]float64, len(table.Tests)), 0.
	for i, s := range ev.tests {
		explained := slices.ContainsFunc(r.Stories, func(story Story) bool { return table.touch(i, story.Faults) })
		if !s.valid || s.p0 > 0 && !explained {
			continue
		}
		sum := 0.
		for _, h := range r.heavy {
			p, _ := table.test(ev, i, h.faults())
			slip[i] += h.w * s.misread / p
			sum += h.w
		}
		slip[i] /= sum
		most = max(most, slip[i])
	}
	if r.AtOdds < 0 {
		require.LessOrEqual(t, most, tolerance)
		return false
	}
	require.InDelta(t, most, r.Slip, 1e-8)
	require.InDelta(t, r.Slip, slip[r.AtOdds], 1e-8)
	return true
}

func TestAtOddsByDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	some := 0
	for range 3000 {
		table := randomTable(rng, 3+rng.IntN(10), 4+rng.IntN(12))
		ev, r := randomEvidence(rng, table), &Ranking{}
		table.Rank(ev, r)
		if requireAtOdds(t, table, ev, r) {
			some++
		}
	}
	require.Greater(t, some, 100)
}

// TestSharesArePartsOfTheWhole: no rounding carries a probability past 1.
func TestSharesArePartsOfTheWhole(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for range 3000 {
		table := randomTable(rng, 2+rng.IntN(6), 2+rng.IntN(8))
		ev, r := randomEvidence(rng, table), &Ranking{}
		table.Rank(ev, r)
		shares := []float64{r.NoSlip, r.None, r.None0, r.Slip}
		for f, s := range r.Faults {
			u := table.Union(ev, r, []int32{int32(f)})
			shares = append(shares, s.Probability, s.NoSlip, u.Probability, u.NoSlip)
		}
		for _, s := range r.Stories {
			shares = append(shares, s.Share)
		}
		for _, share := range shares {
			require.True(t, 0 <= share && share <= 1, "%v of %v", share, shares)
		}
	}
}
