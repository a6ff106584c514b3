package diagnosis

import (
	"slices"
	"sync"
	"sync/atomic"
)

// Faults that cause others, and the sets in which consequences ride along.

// ranks is what ranking needs of a table.
type ranks struct {
	values    []*value
	valueOf   []int32 // per check
	testOf    []int32 // per check
	rowsOf    [][]int // per fault, the checks of rows that say what it shows with another one
	valueFrom []int32 // per test
	valueEnd  []int32
	parts     [][]part                 // per test
	partOf    [][]int16                // per test and fault, its place in parts, -1 without
	first     [][]shared               // per test, those pairs of its parts on which no test before bears
	again     [][]shared               // and the others
	bearers   [][]int32                // per test, the faults of its parts
	bearing   [][]uint64               // the same as bits
	digits    [][]digits               // per test, of its checks
	known     [][]atomic.Pointer[seen] // per test and way in which it can come out; nil if there are too many
	figures   *atomic.Int64            // how many are remembered in known
	touching  [][]uint64               // per fault, the tests on which it bears
	sharing   [][]uint64               // per fault, the others that bear on one of its tests
	upward    []int32                  // all faults that cause others, after those that they cause
	causes    [][]int32                // per fault, those that lead to it
	kin       []bool                   // per two faults: one causes the other
	riding    [mostRoots + 1]func() [][]int32
}

// layLinks orders faults by cause and effect.
func (t *Table) layLinks() {
	n := len(t.Faults)
	t.kin, t.sharing = make([]bool, n*n), make([][]uint64, n)
	t.causes = make([][]int32, n)
	for f := range n {
		for _, l := range t.Faults[f].Leads {
			t.causes[l.To] = appendNew(t.causes[l.To], int32(f))
		}
	}
	seen := make([]bool, n)
	var visit func(f int)
	visit = func(f int) {
		if seen[f] {
			return
		}
		seen[f] = true
		for _, l := range t.Faults[f].Leads {
			t.kin[f*n+l.To], t.kin[l.To*n+f] = true, true
			visit(l.To)
		}
		if len(t.Faults[f].Leads) > 0 {
			t.upward = append(t.upward, int32(f))
		}
	}
	for f := range n {
		visit(f)
		t.sharing[f] = make([]uint64, wordsOf(n))
		for i := range t.Tests {
			if t.partOf[i][f] >= 0 {
				for word, bearing := range t.bearing[i] {
					t.sharing[f][word] |= bearing
				}
			}
		}
		t.sharing[f][f/64] &^= 1 << (f % 64)
	}
	for roots := range t.riding {
		t.riding[roots] = sync.OnceValue(func() [][]int32 { return t.ridesOf(roots) })
	}
}

// linked tells whether one of the faults causes another one.
func (t *Table) linked(faults []int32) bool {
	if len(t.upward) == 0 {
		return false
	}
	for i, f := range faults {
		for _, g := range faults[:i] {
			if t.kin[int(f)*len(t.Faults)+int(g)] {
				return true
			}
		}
	}
	return false
}

// rides returns all sets with consequences: up to so many roots, and two more faults.
func (t *Table) rides(roots int) [][]int32 { return t.riding[roots]() }

func (t *Table) ridesOf(roots int) [][]int32 {
	var list [][]int32
	if len(t.upward) == 0 {
		return nil
	}
	known := map[[mostFaults]int32]bool{}
	var grow func(set []int32)
	grow = func(set []int32) {
		for _, f := range set {
			for _, l := range t.Faults[f].Leads {
				g := int32(l.To)
				if slices.Contains(set, g) {
					continue
				}
				next := append(slices.Clone(set), g)
				slices.Sort(next)
				if len(next) > roots+followers || known[keyOf(next)] {
					continue
				}
				known[keyOf(next)] = true
				list = append(list, next)
				grow(next)
			}
		}
	}
	var roomFor [mostRoots]int32
	var choose func(n, from int, leads bool)
	choose = func(n, from int, leads bool) {
		set := roomFor[:n]
		if leads {
			grow(set)
		}
		for f := from; f < len(t.Faults) && n < roots; f++ {
			roomFor[n] = int32(f)
			if !t.linked(roomFor[:n+1]) {
				choose(n+1, f+1, leads || len(t.Faults[f].Leads) > 0)
			}
		}
	}
	choose(0, 0, false)
	slices.SortFunc(list, func(a, b []int32) int {
		if len(a) != len(b) {
			return len(a) - len(b)
		}
		return slices.Compare(a, b)
	})
	return list
}

func keyOf(set []int32) (key [mostFaults]int32) {
	for i := range key {
		key[i] = -1
	}
	copy(key[:], set)
	return key
}

// Sequels tells a story on: alone, and with the faults that its faults may have led to, each set that weighs a twentieth of the story or more. So a
// consequence that no reading needs is still looked for. Its faults have the shares of Story; one on which no reading bears takes its own from the story.
// ev and r must be those of Rank, story is one of r.Stories.
func (t *Table) Sequels(ev *Evidence, r *Ranking, story int) []Story {
	list := []Story{r.Stories[story]}
	reached := slices.Clone(list[0].Faults)
	for i := 0; i < len(reached); i++ {
		for _, l := range t.Faults[reached[i]].Leads {
			if g := int32(l.To); t.prior(l.To) > 0 && !slices.Contains(reached, g) {
				reached = append(reached, g)
				list = t.sequel(ev, r, list, g)
			}
		}
	}
	return list
}

// sequel adds the stories in which a fault has followed.
func (t *Table) sequel(ev *Evidence, r *Ranking, list []Story, g int32) []Story {
	for i := range list {
		before := list[i].Faults
		spared := 1.
		for _, f := range before {
			spared *= 1 - t.leadsTo(int(f), int(g))
		}
		if spared == 1 || len(before) == mostFaults {
			continue
		}
		after := append(slices.Clone(before), g)
		share := list[i].Share
		if r.is[g] {
			share *= t.given(ev, r, g, before) * t.oddsGiven(r, g, before, after)
		} else {
			share *= 1 - float64((1-t.prior(int(g)))*spared)
		}
		if share < credible*list[i].Share {
			continue
		}
		if !r.is[g] {
			list[i].Share -= share
		}
		slices.Sort(after)
		list = append(list, Story{after, share})
	}
	return list
}
