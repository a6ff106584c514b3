package diagnosis

import (
	"math/bits"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// randomTable draws knowledge of a unit: checks of two to four outcomes, some of them fed by one value, faults with links, masks, rows of their own and
// positions that are not known.
func randomTable(rng *rand.Rand, faults, checks int) *Table {
	t := &Table{}
	var values [][]int
	for c := range checks {
		n := 2 + rng.IntN(3)
		t.All = append(t.All, 1<<n-1)
		t.Good = append(t.Good, 1)
		t.Combine = append(t.Combine, Combination(rng.IntN(3)))
		t.Otherwise = append(t.Otherwise, int8(rng.IntN(n)))
		if t.Otherwise[c] == 0 {
			t.Otherwise[c] = -1
		}
		if c > 0 && rng.IntN(5) == 0 {
			values[len(values)-1] = append(values[len(values)-1], c)
		} else {
			values = append(values, []int{c})
		}
	}
	for len(values) > 0 {
		n := min(len(values), 1+rng.IntN(3))
		t.Tests = append(t.Tests, Test{Values: values[:n]})
		values = values[n:]
	}
	strengths := []float64{.99, .8, .6, .3, .1}
	bad := func(c int) uint32 { return 2 << rng.IntN(bits.Len32(t.All[c])-1) }
	for f := range faults {
		fault := Fault{Group: f, Prior: []float64{.1, .03, .01, .003}[rng.IntN(4)]}
		for range 1 + rng.IntN(4) {
			c := rng.IntN(checks)
			s := Show{Checks: []int{c}, Outcomes: bad(c), Strength: strengths[rng.IntN(len(strengths))]}
			switch rng.IntN(12) {
			case 0:
				s.Any = true
			case 1:
				s.Never = true
			}
			known := false
			for _, other := range fault.Shows {
				known = known || other.Checks[0] == c
			}
			if !known {
				fault.Shows = append(fault.Shows, s)
			}
		}
		for len(fault.Shows[0].Checks) == 1 && rng.IntN(6) == 0 {
			c := rng.IntN(checks)
			if t.All[c] == t.All[fault.Shows[0].Checks[0]] && c != fault.Shows[0].Checks[0] {
				fault.Shows[0].Checks = append(fault.Shows[0].Checks, c)
			}
		}
		if rng.IntN(5) == 0 {
			m := Mask{Check: rng.IntN(checks)}
			if rng.IntN(2) == 0 {
				m.For = []int{rng.IntN(faults)}
			}
			fault.Masks = append(fault.Masks, m)
		}
		if f > 0 && rng.IntN(3) == 0 {
			fault.Leads = append(fault.Leads, Lead{To: rng.IntN(f), Strength: strengths[rng.IntN(len(strengths))]})
		}
		if f > 0 && rng.IntN(4) == 0 {
			c := fault.Shows[0].Checks[0]
			fault.With = append(fault.With, With{Other: rng.IntN(f), Check: c, Outcomes: bad(c), Strength: .6})
		}
		t.Faults = append(t.Faults, fault)
	}
	t.Prepare()
	return t
}

func randomEvidence(rng *rand.Rand, t *Table) *Evidence {
	ev := &Evidence{Possible: make([]uint32, len(t.All)), Weights: make([][]float64, len(t.All))}
	for c, all := range t.All {
		n := bits.Len32(all)
		switch rng.IntN(6) {
		case 0: // not read
		case 1: // soft
			ev.Possible[c] = 1 << rng.IntN(n)
			ev.Weights[c] = make([]float64, n)
			for o := range n {
				ev.Weights[c][o] = rng.Float64()
				if ev.Possible[c]&(1<<o) != 0 {
					ev.Weights[c][o] = 1
				}
			}
		case 2:
			ev.Possible[c] = 1 << rng.IntN(n)
		default:
			ev.Possible[c] = t.Good[c]
		}
	}
	return ev
}

// enumerated is the posterior by all subsets of the faults that are alive, cut where ranking cuts, each weighed test by test.
func enumerated(t *Table, ev *Evidence, r *Ranking, roots int) (posterior, posterior0 []float64, noSlip float64) {
	posterior, posterior0 = make([]float64, len(t.Faults)), make([]float64, len(t.Faults))
	total, total0 := 0., 0.
	for mask := range 1 << len(r.alive) {
		var set []int32
		for i, f := range r.alive {
			if mask&(1<<i) != 0 {
				set = append(set, f)
			}
		}
		if t.rootsOf(set) > roots || len(set) > roots+followers {
			continue
		}
		w := 1.
		for _, f := range r.alive {
			absent := 1 - t.prior(int(f))
			for _, g := range set {
				for _, l := range t.Faults[g].Leads {
					if l.To == int(f) {
						absent *= 1 - l.Strength
					}
				}
			}
			if mask&(1<<indexOf(r.alive, f)) != 0 {
				w *= 1 - absent
			} else {
				w *= absent
			}
		}
		w0 := w
		for i := range ev.tests {
			if ev.tests[i].valid {
				p, p0 := t.test(ev, i, set)
				w, w0 = w*p, w0*p0
			}
		}
		total, total0 = total+w, total0+w0
		for _, f := range set {
			posterior[f] += w
			posterior0[f] += w0
		}
	}
	for f := range posterior {
		posterior[f] /= total
		if total0 > 0 {
			posterior0[f] /= total0
		}
	}
	return posterior, posterior0, total0 / total
}

func requireEnumerated(t *testing.T, table *Table, ev *Evidence, r *Ranking) {
	posterior, posterior0, noSlip := enumerated(table, ev, r, r.Roots)
	require.InDelta(t, noSlip, r.NoSlip, 1e-11)
	for _, f := range r.alive {
		require.InDelta(t, posterior[f], r.Faults[f].Probability, 1e-11)
		require.InDelta(t, posterior0[f], r.Faults[f].NoSlip, 1e-9)
	}
}

func indexOf(list []int32, f int32) int {
	for i, g := range list {
		if g == f {
			return i
		}
	}
	return -1
}

func TestRankingEqualsEnumerationOfItsSets(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		table := randomTable(rng, 2+rng.IntN(7), 3+rng.IntN(6))
		ev := randomEvidence(rng, table)
		r := &Ranking{}
		table.Rank(ev, r)
		requireEnumerated(t, table, ev, r)
	}
}

func BenchmarkRank(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	table := randomTable(rng, 32, 24)
	ev := randomEvidence(rng, table)
	r := &Ranking{}
	table.Rank(ev, r)
	b.ReportAllocs()
	for b.Loop() {
		table.Rank(ev, r)
	}
}
