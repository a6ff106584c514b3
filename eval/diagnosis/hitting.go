package diagnosis

import (
	"cmp"
	"math/bits"
	"slices"
)

// A HittingLimit bounds a search for hitting sets or conflicts, which can grow with 2^n. Zero or less means no bound. The bounds count, they
// never look at a clock, so that the answer is the same on every machine.
type HittingLimit struct {
	Size  int // elements of a hitting set
	Count int // sets to return
	Steps int // branches to look at; of the order of a million a second
}

// HittingSets returns the minimal hitting sets of a family of sets: every set that has an element in common with each member of the family and
// loses this when any of its elements is left out. If the members are conflicts (parts that cannot all be good), these are the minimal
// diagnoses (Reiter, A theory of diagnosis from first principles, Artificial Intelligence 32 (1987), theorem 4.4).
//
// Elements are any integers. Order and duplicates within the family do not matter. The sets come out by size, those of one size in
// lexicographic order, each ascending. An empty family is hit by the empty set; a family with an empty member is hit by none.
//
// Complete is false if a limit ended the search: there may be more sets, and none of those left out would have come before those returned.
// The function does not alter the family and is safe for concurrent use.
func HittingSets(family [][]int, limit HittingLimit) (sets [][]int, complete bool) {
	s := newHitting(family, limit)
	complete = s.run(func(set []int) bool {
		if limit.Count > 0 && len(sets) == limit.Count {
			return false
		}
		sets = append(sets, set)
		return true
	})
	return sets, complete
}

// Conflicts returns the minimal conflicts among n parts, numbered from 0: sets of parts that cannot all be good, each ascending, ordered as by
// [HittingSets], which turns them into the minimal diagnoses.
//
// Consistent says whether the observations can be as they are if the parts in ok (ascending, not to be altered) are good and nothing is known of
// the others. More good parts must never make a contradiction go away. It is called for one set at a time, at most n + 1 times for each
// conflict and once for each diagnosis.
//
// Limit.Size bounds the diagnoses that the conflicts are found for: hitting sets of the conflicts up to that size are diagnoses, larger ones
// need not be. Limit.Count bounds the conflicts, Limit.Steps the calls and also the branches of each search between them. Complete is false if
// any limit ended the search.
//
// The method is to dualize and advance: a hitting set of the conflicts known so far either is a diagnosis or its complement holds a new
// conflict. If all minimal hitting sets are diagnoses, all minimal conflicts are known (Gunopulos et al., Discovering all most specific
// sentences, ACM TODS 28 (2003), from memory).
func Conflicts(n int, consistent func(ok []int) bool, limit HittingLimit) (conflicts [][]int, complete bool) {
	f := conflictFinder{n: n, consistent: consistent, limit: limit}
	for {
		known := len(f.conflicts)
		ended := newHitting(f.conflicts, limit).run(f.try)
		if f.over || known == len(f.conflicts) {
			slices.SortFunc(f.conflicts, bySize)
			return f.conflicts, ended && !f.over
		}
	}
}

// A conflictFinder holds what Conflicts has learnt.
type conflictFinder struct {
	n          int
	consistent func([]int) bool
	limit      HittingLimit
	conflicts  [][]int
	diagnoses  map[string]bool // by key
	calls      int
	over       bool // a limit was met
}

// try settles one hitting set of some of the conflicts and says whether to go on.
func (f *conflictFinder) try(set []int) bool {
	for _, c := range f.conflicts { // those found since the search began may be missed, and then the set is no diagnosis
		if !slices.ContainsFunc(c, func(e int) bool { _, hit := slices.BinarySearch(set, e); return hit }) {
			return true
		}
	}
	if key := setKey(set); !f.diagnoses[key] {
		ok := f.without(set)
		if f.ask(ok) {
			if f.diagnoses == nil {
				f.diagnoses = map[string]bool{}
			}
			f.diagnoses[key] = true
		} else if !f.over {
			f.shrink(ok)
		}
	}
	return !f.over
}

// shrink leaves out each part that the contradiction does not need and keeps the rest as a conflict.
func (f *conflictFinder) shrink(ok []int) {
	if f.limit.Count > 0 && len(f.conflicts) == f.limit.Count {
		f.over = true
		return
	}
	conflict := ok
	for _, e := range ok {
		i, _ := slices.BinarySearch(conflict, e)
		less := slices.Delete(slices.Clone(conflict), i, i+1)
		if !f.ask(less) {
			conflict = less
		}
		if f.over {
			return
		}
	}
	f.conflicts = append(f.conflicts, conflict)
}

// ask calls the consistency function. Once the limit is met it answers true.
func (f *conflictFinder) ask(ok []int) bool {
	if f.limit.Steps > 0 && f.calls >= f.limit.Steps {
		f.over = true
		return true
	}
	f.calls++
	return f.consistent(ok)
}

// without returns the parts that are not in set.
func (f *conflictFinder) without(set []int) []int {
	ok := make([]int, 0, max(0, f.n-len(set)))
	for e := range f.n {
		if _, found := slices.BinarySearch(set, e); !found {
			ok = append(ok, e)
		}
	}
	return ok
}

func setKey(set []int) string {
	key := make([]byte, 0, 4*len(set))
	for _, e := range set {
		key = append(key, byte(e), byte(e>>8), byte(e>>16), byte(e>>24))
	}
	return string(key)
}

// bySize orders sets by size and those of one size lexicographically.
func bySize(a, b []int) int {
	if c := cmp.Compare(len(a), len(b)); c != 0 {
		return c
	}
	return slices.Compare(a, b)
}

// hitting is a search for the minimal hitting sets of one size after the other. The elements are chosen in ascending order, so the sets come
// out in lexicographic order and none twice. Every chosen element keeps members that it alone hits, else the set is not minimal.
type hitting struct {
	elements []int
	members  [][]int  // the minimal members, as positions in elements, ascending
	hit      []bitset // per element: the members that hold it
	limit    HittingLimit
	yield    func([]int) bool

	chosen []int
	levels []hittingLevel
	steps  int
	cut    bool // the size left some branch out
	over   bool // the steps are used up, or yield wants no more
}

// A hittingLevel is the state after some number of choices.
type hittingLevel struct {
	left bitset   // members not hit yet
	own  []bitset // per chosen element: the members that it alone hits
	bars []bool   // per element: choosing it would leave a chosen one without any
}

type bitset []uint64

func newBitset(n int) bitset     { return make(bitset, (n+63)/64) }
func (b bitset) set(i int)       { b[i/64] |= 1 << (i % 64) }
func (b bitset) empty() bool     { return !slices.ContainsFunc(b, func(w uint64) bool { return w != 0 }) }
func (b bitset) has(i int) bool  { return b[i/64]>>(i%64)&1 != 0 }
func (b bitset) and(x, y bitset) { combine(b, x, y, func(x, y uint64) uint64 { return x & y }) }
func (b bitset) minus(x, y bitset) {
	combine(b, x, y, func(x, y uint64) uint64 { return x &^ y })
}

func combine(b, x, y bitset, op func(x, y uint64) uint64) {
	for i := range b {
		b[i] = op(x[i], y[i])
	}
}

// within reports whether all of b is in x.
func (b bitset) within(x bitset) bool {
	for i, w := range b {
		if w&^x[i] != 0 {
			return false
		}
	}
	return true
}

// each calls f for the members of b, ascending, until it returns false.
func (b bitset) each(f func(int) bool) bool {
	for i, w := range b {
		for ; w != 0; w &= w - 1 {
			if !f(64*i + bits.TrailingZeros64(w)) {
				return false
			}
		}
	}
	return true
}

func newHitting(family [][]int, limit HittingLimit) *hitting {
	s := &hitting{limit: limit}
	for _, m := range family {
		s.elements = append(s.elements, m...)
	}
	slices.Sort(s.elements)
	s.elements = slices.Compact(s.elements)
	sorted := make([][]int, len(family))
	for i, m := range family {
		for _, e := range m {
			p, _ := slices.BinarySearch(s.elements, e)
			sorted[i] = append(sorted[i], p)
		}
		slices.Sort(sorted[i])
		sorted[i] = slices.Compact(sorted[i])
	}
	slices.SortFunc(sorted, bySize)
	for _, m := range sorted { // a member that holds another one is hit whenever that is
		if !slices.ContainsFunc(s.members, func(less []int) bool { return subset(less, m) }) {
			s.members = append(s.members, m)
		}
	}
	s.hit = make([]bitset, len(s.elements))
	for e := range s.hit {
		s.hit[e] = newBitset(len(s.members))
	}
	for i, m := range s.members {
		for _, e := range m {
			s.hit[e].set(i)
		}
	}
	return s
}

// subset reports whether all of a, ascending, is in b, ascending.
func subset(a, b []int) bool {
	for _, e := range a {
		i, found := slices.BinarySearch(b, e)
		if !found {
			return false
		}
		b = b[i+1:]
	}
	return true
}

// run calls yield for the minimal hitting sets until it returns false. It returns whether none was left out.
func (s *hitting) run(yield func([]int) bool) (complete bool) {
	s.yield = yield
	for size := 0; ; size++ {
		if s.limit.Size > 0 && size > s.limit.Size {
			return false
		}
		for len(s.levels) <= size {
			s.levels = append(s.levels, s.newLevel(len(s.levels)))
		}
		if size == 0 {
			for i := range s.members {
				s.levels[0].left.set(i)
			}
		}
		s.cut = false
		s.search(size, 0)
		if s.over {
			return false
		}
		if !s.cut {
			return true
		}
	}
}

func (s *hitting) newLevel(chosen int) hittingLevel {
	l := hittingLevel{left: newBitset(len(s.members)), bars: make([]bool, len(s.elements))}
	for range chosen {
		l.own = append(l.own, newBitset(len(s.members)))
	}
	return l
}

// search extends the chosen elements by more of them, exactly to the wanted size, with positions from first on.
func (s *hitting) search(size, first int) {
	depth := len(s.chosen)
	l := &s.levels[depth]
	if l.left.empty() {
		if depth == size {
			set := make([]int, depth)
			for i, e := range s.chosen {
				set[i] = s.elements[e]
			}
			s.over = !s.yield(set)
		}
		return
	}
	last, apart := s.reach(l, first)
	if last < first {
		return
	}
	if apart > size-depth {
		s.cut = true
		return
	}
	for e := first; e <= last && !s.over; e++ {
		if s.steps++; s.limit.Steps > 0 && s.steps > s.limit.Steps {
			s.over = true
			return
		}
		if !l.bars[e] && s.choose(e) {
			s.chosen = append(s.chosen, e)
			s.search(size, e+1)
			s.chosen = s.chosen[:depth]
		}
	}
}

// reach returns the last position that the next choice may have, so that each member left can still be hit, less than first if one cannot; and
// how many members are left of which no two share an element that may be chosen: at least so many choices are still needed.
func (s *hitting) reach(l *hittingLevel, first int) (last, apart int) {
	last = len(s.elements)
	taken := newBitset(len(s.elements))
	l.left.each(func(i int) bool {
		high, shared := -1, false
		for _, e := range s.members[i] {
			if e >= first && !l.bars[e] {
				high, shared = e, shared || taken.has(e)
			}
		}
		last = min(last, high)
		if !shared {
			apart++
			for _, e := range s.members[i] {
				if e >= first && !l.bars[e] {
					taken.set(e)
				}
			}
		}
		return last >= first
	})
	return last, apart
}

// choose sets up the next level for element e. It returns false if e hits nothing that is left.
func (s *hitting) choose(e int) bool {
	depth := len(s.chosen)
	l, next := &s.levels[depth], &s.levels[depth+1]
	next.own[depth].and(l.left, s.hit[e])
	if next.own[depth].empty() {
		return false
	}
	next.left.minus(l.left, s.hit[e])
	for i := range depth {
		next.own[i].minus(l.own[i], s.hit[e])
	}
	for x := range next.bars {
		next.bars[x] = x > e && (l.bars[x] || slices.ContainsFunc(next.own, func(own bitset) bool { return own.within(s.hit[x]) }))
	}
	return true
}
