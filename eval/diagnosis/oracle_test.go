package diagnosis

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// tabled writes the sheet of the oracle as a table of the engine. It first makes the sheet what a table can say: one slip for all tests, weights of which
// the largest is 1, and rows of two faults that give their outcomes one probability.
func tabled(s *oracleSheet, slip float64) (*Table, *Evidence) {
	t, ev := &Table{Slip: slip}, &Evidence{}
	if slip == 0 {
		t.Slip = -1
	}
	if slices.ContainsFunc(s.faults, func(f oracleFault) bool { return len(f.never) > 0 }) {
		for c := range s.checks {
			s.checks[c].value = c // what is excluded at a check that was not read would tell of others on the same value
		}
	}
	for i := range s.tests {
		s.tests[i].slip = slip
		ev.Repeats = append(ev.Repeats, s.tests[i].performances)
		t.Tests = append(t.Tests, Test{Values: oracleValues(s, i)})
	}
	for c := range s.checks {
		k := &s.checks[c]
		most := 0.0
		for _, w := range k.weights {
			most = max(most, w)
		}
		possible := uint32(0)
		weights := make([]float64, len(k.weights))
		for o := range k.weights {
			if most == 0 {
				k.weights[o] = 1
			} else {
				k.weights[o] /= most
			}
			weights[o] = k.weights[o]
			if weights[o] == 1 {
				possible |= 1 << o
			}
		}
		if !oracleTells(s, c) {
			possible = 0
		}
		rule, rest := Named, int8(-1)
		switch {
		case k.sides == nil && k.otherwise > 0:
			rest = int8(k.otherwise)
		case k.sides != nil && k.sides[1] < 0:
			rule = Opposing
		case k.sides != nil:
			rule = Ordered
		}
		t.All, t.Good = append(t.All, 1<<len(weights)-1), append(t.Good, 1)
		t.Combine, t.Otherwise = append(t.Combine, rule), append(t.Otherwise, rest)
		ev.Possible, ev.Weights = append(ev.Possible, possible), append(ev.Weights, weights)
	}
	for i := range s.faults {
		f := &s.faults[i]
		row := Fault{Group: i, Prior: f.prior}
		f.shows = slices.DeleteFunc(f.shows, func(x oracleShow) bool { return x.p[1]+x.p[2] == 0 }) // it says nothing
		for _, x := range f.shows {
			for o, p := range x.p {
				if o > 0 && p > 0 {
					row.Shows = append(row.Shows, Show{Checks: x.checks, Outcomes: 1 << o, Strength: p})
				}
			}
		}
		for _, n := range f.never {
			row.Shows = append(row.Shows, Show{Checks: []int{n.check}, Outcomes: 1 << n.outcome, Never: true})
		}
		for _, m := range f.masks {
			mask := Mask{Check: m.check}
			if m.hides != 0 {
				mask.For = setOf(m.hides)
			}
			row.Masks = append(row.Masks, mask)
		}
		for k := range f.with {
			w := &f.with[k]
			w.p = []float64{0, w.p[1] / 2, w.p[1] / 2}
			row.With = append(row.With, With{Other: w.other, Check: w.check, Outcomes: 6, Strength: 2 * w.p[1]})
		}
		for _, l := range f.leads {
			row.Leads = append(row.Leads, Lead{l.to, l.strength})
		}
		t.Faults = append(t.Faults, row)
	}
	t.Prepare()
	return t, ev
}

// TestRankingEqualsTheOracle holds all sets of up to five faults against the oracle, one by one, and the posteriors of the cut.
func TestRankingEqualsTheOracle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawOracleSheet(t)
		slip := rapid.SampledFrom([]float64{0, 0.002, 0.1}).Draw(t, "one slip")
		table, ev := tabled(s, slip)
		r := &Ranking{}
		table.Rank(ev, r)
		want := oraclePosterior(s, r.Roots)
		if want.sum == 0 {
			require.Zero(t, r.total)
			require.Zero(t, r.NoSlip)
			return
		}
		require.InDelta(t, want.ok, r.NoSlip, 1e-12)
		require.InEpsilon(t, want.ok*want.sum+1e-30, table.Agreement(ev, r)+1e-30, 1e-9)
		for f := range s.faults {
			if !r.is[f] && len(table.causes[f]) > 1 {
				continue // not exact if no reading bears on one of several causes
			}
			require.InDelta(t, want.posterior[f], r.Faults[f].Probability, 1e-12, "fault %d", f)
		}
		none := oraclePrior(s, 0)
		for i := range s.tests {
			none *= oracleLikelihood(s, i, 0, true)
		}
		if none == 0 || len(r.alive) != len(s.faults) {
			return // nothing to compare with
		}
		for set := range uint(1) << len(s.faults) {
			w, w0 := oraclePrior(s, set)/none, oraclePrior(s, set)/none
			for i := range s.tests {
				w *= oracleLikelihood(s, i, set, true)
				if len(ev.tests) > 0 && ev.tests[i].valid {
					w0 *= oracleLikelihood(s, i, set, false) * (1 - ev.tests[i].slip)
				}
			}
			var faults []int32
			for _, f := range setOf(set) {
				faults = append(faults, int32(f))
			}
			if len(faults) > mostFaults {
				continue
			}
			p, p0 := table.relative(ev, r, faults)
			odds := table.oddsOf(r, faults)
			require.InEpsilon(t, w+1e-30, odds*p+1e-30, 1e-9, "set %v", faults)
			require.InEpsilon(t, w0+1e-30, odds*p0+1e-30, 1e-9, "set %v without slips", faults)
		}
	})
}
