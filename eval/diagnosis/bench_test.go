package diagnosis

import (
	"math/rand/v2"
	"testing"
)

// benchTable draws a unit of 32 faults and 24 tests of one or two checks, each fault showing something at four to six of them.
func benchTable() *Table {
	rng := rand.New(rand.NewPCG(3, 4))
	t := &Table{}
	const checks = 40
	for range checks {
		t.All, t.Good = append(t.All, all), append(t.Good, good)
	}
	for c := 0; c < checks; {
		test := Test{}
		for range 1 + min(1, len(t.Tests)/8) {
			test.Values = append(test.Values, []int{c})
			c++
		}
		t.Tests = append(t.Tests, test)
	}
	for f := range 32 {
		fault := Fault{Group: f, Prior: []float64{.03, .01, .003}[f%3]}
		for i, first := range rng.Perm(checks)[:4+f%3] {
			s := Show{Checks: []int{first}, Outcomes: low << rng.IntN(2), Strength: []float64{Certain, Certain, .8, .3}[(f+i)%4]}
			fault.Shows = append(fault.Shows, s)
		}
		t.Faults = append(t.Faults, fault)
	}
	t.Prepare()
	return t
}

// benchRank ranks readings that are all good but for what some faults show.
func benchRank(b *testing.B, most int, faults ...int) {
	t := benchTable()
	ev := &Evidence{Possible: make([]uint32, len(t.All))}
	for c := range ev.Possible {
		ev.Possible[c] = good
	}
	for _, f := range faults {
		for _, s := range t.Faults[f].Shows {
			ev.Possible[s.Checks[0]] = s.Outcomes
		}
	}
	r := &Ranking{Most: most}
	t.Rank(ev, r)
	b.ReportAllocs()
	for b.Loop() {
		t.Rank(ev, r)
	}
}

func BenchmarkRankHealthy(b *testing.B)    { benchRank(b, 2) }
func BenchmarkRankOneFault(b *testing.B)   { benchRank(b, 2, 5) }
func BenchmarkRankTwoFaults(b *testing.B)  { benchRank(b, 2, 5, 17) }
func BenchmarkRankThreeRoots(b *testing.B) { benchRank(b, 3, 5, 17) }
