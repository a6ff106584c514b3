package diagnosis

import "math/bits"

// What a fault is worth beside a story, and beside a story with one further fault that could hide it.

// company is what stories leave open: what all other faults are worth beside them.
type company struct {
	givens   []float64 // per story and fault, its likelihood ratio beside the story
	weights  []float64 // per story and fault of beside, how much the story weighs with it compared with the story alone
	most     float64   // the weight of all stories, each with any one fault beside it or none
	beyond   []float64 // per fault, what all stories weigh with it beside them
	alone    float64   // and without
	part     []uint64  // per story, its faults
	told     []uint64  // the faults of all stories
	beside   []uint64  // per story, the further faults that weigh enough to hide another
	hiders   []uint64  // per fault, those that make the readings much likelier together with it
	borne    []uint64  // per story, the tests on which its faults bear
	crowded  []uint64  // per story, the tests on which several of its faults bear
	anyBorne []uint64  // the tests on which some story bears
	allBorne []uint64  // and on which all do
	moved    []uint64  // the faults of which tests tell something on which a story does not bear
	against  []uint64  // and those that they speak against
}

// beneath works out what all faults are worth beside each story, and which of them weigh enough beside it to hide another.
func (t *Table) beneath(ev *Evidence, r *Ranking) {
	n, words, tests := len(t.Faults), wordsOf(len(t.Faults)), wordsOf(len(t.Tests))
	r.givens, r.weights = resized(r.givens, n*len(r.Stories)), resized(r.weights, n*len(r.Stories))
	r.part, r.beside = cleared(r.part, words*len(r.Stories)), cleared(r.beside, words*len(r.Stories))
	r.borne, r.crowded = cleared(r.borne, tests*len(r.Stories)), cleared(r.crowded, tests*len(r.Stories))
	r.beyond, r.told = resized(r.beyond, n), cleared(r.told, words)
	clear(r.beyond)
	r.most, r.alone = 0, 0
	for k := range r.Stories {
		for _, g := range r.Stories[k].Faults {
			r.part[k*words+int(g/64)] |= 1 << (g % 64)
			r.told[g/64] |= 1 << (g % 64)
			for word, touched := range t.touching[g] {
				r.crowded[k*tests+word] |= r.borne[k*tests+word] & touched
				r.borne[k*tests+word] |= touched
			}
		}
		t.giveStory(ev, r, k)
		share := r.Stories[k].Share
		for f, ratio := range r.givens[k*n : k*n+n] {
			r.beyond[f] += float64(share * ratio)
		}
		r.alone += share
		r.most += float64(share * t.accompany(r, k))
	}
	r.findHiders(t)
}

// findHiders marks for each fault those that make the readings much likelier together with it, of those that weigh enough beside a story.
func (r *Ranking) findHiders(t *Table) {
	n, words := len(t.Faults), wordsOf(len(t.Faults))
	r.hiders = cleared(r.hiders, n*words)
	if !r.ratioed {
		return
	}
	for word := range words {
		any := uint64(0)
		for k := range r.Stories {
			any |= r.beside[k*words+word]
		}
		for ; any != 0; any &= any - 1 {
			g := 64*word + bits.TrailingZeros64(any)
			bit := uint64(1) << (g % 64)
			for f := range g {
				if r.k[f*n+g].k >= hiding {
					r.hiders[f*words+word] |= bit
				}
			}
			for f := g + 1; f < n; f++ {
				if r.k[g*n+f].k >= hiding {
					r.hiders[f*words+word] |= bit
				}
			}
		}
	}
}

// giveStory works out the likelihood ratio of every fault beside a story.
func (t *Table) giveStory(ev *Evidence, r *Ranking, k int) {
	n := len(t.Faults)
	story, row := r.Stories[k].Faults, r.givens[k*n:k*n+n]
	if r.ratioed {
		copy(row, r.r)
		for _, g := range story {
			for f := range row[:g] {
				row[f] *= r.k[f*n+int(g)].k
			}
			beyond := row[g+1:]
			for i, x := range r.k[int(g)*n+int(g)+1 : int(g)*n+n] {
				beyond[i] *= x.k
			}
		}
	}
	if r.ratioed && len(story) < 2 {
		return
	}
	for _, f := range r.alive {
		if !r.tells(k, f) && (!r.ratioed || t.crowdedOn(r, k, f)) {
			row[f] = t.given(ev, r, f, story)
		}
	}
}

// accompany weighs a story with each further fault, compared with the story alone, and marks those faults that weigh enough.
func (t *Table) accompany(r *Ranking, k int) (sum float64) {
	var buf [mostFaults + 1]int32
	n, words := len(t.Faults), wordsOf(len(t.Faults))
	story := r.Stories[k].Faults
	sum = 1
	for g, w := range r.givens[k*n : k*n+n] {
		if len(t.upward) == 0 {
			w *= r.odds[g]
		} else if !r.is[g] || r.tells(k, int32(g)) {
			continue
		} else {
			w *= t.oddsGiven(r, int32(g), story, append(append(buf[:0], story...), int32(g)))
		}
		if w >= leastHiding && !r.tells(k, int32(g)) {
			r.weights[k*n+g] = w
			r.beside[k*words+g/64] |= 1 << (g % 64)
			sum += w
		}
	}
	return sum
}

// hiddenFactor is the Bayes factor of a fault of no story with each story counted also with one further fault that could hide this one, unless that weighs
// next to nothing. with and without are the sums over the stories alone. Once it is certain to be too great for ruling out, the least that it can be is
// returned.
func (t *Table) hiddenFactor(ev *Evidence, r *Ranking, f int32, with, without float64) float64 {
	n, words := len(t.Faults), wordsOf(len(t.Faults))
	for at, others := range r.beside {
		k, word := at/words, at%words
		if r.ratioed {
			others &= r.hiders[int(f)*words+word]
		}
		for ; others != 0; others &= others - 1 {
			g := int32(64*word + bits.TrailingZeros64(others))
			if g == f {
				continue
			}
			weight := r.Stories[k].Share * r.weights[k*n+int(g)]
			with, without = with+float64(weight*t.givenWith(ev, r, k, f, g)), without+weight
		}
		if with > against*r.most {
			return with / r.most
		}
	}
	return with / without
}

// givenWith is the likelihood ratio of a fault beside the faults of a story and another one.
func (t *Table) givenWith(ev *Evidence, r *Ranking, k int, f, other int32) float64 {
	var buf [mostFaults + 1]int32
	n, words := len(t.Faults), len(t.touching[f])
	ratio := r.givens[k*n+int(f)] * r.k[int(min(f, other))*n+int(max(f, other))].k
	for word, tests := range t.touching[f] {
		tests &= t.touching[other][word] & r.borne[k*words+word]
		if !r.ratioed || tests&r.crowded[k*words+word] != 0 {
			return t.given(ev, r, f, append(append(buf[:0], r.Stories[k].Faults...), other))
		}
		for ; tests != 0; tests &= tests - 1 {
			i := 64*word + bits.TrailingZeros64(tests)
			if !ev.tests[i].valid {
				continue
			}
			for _, g := range r.Stories[k].Faults {
				if t.partOf[i][g] >= 0 {
					ratio *= t.together(ev, r, i, [3]int32{f, other, g}).k
				}
			}
		}
	}
	return ratio
}

// crowdedOn tells whether two of the faults of a story bear on a test on which f bears.
func (t *Table) crowdedOn(r *Ranking, k int, f int32) bool {
	words := len(t.touching[f])
	for word, tests := range t.touching[f] {
		if tests&r.crowded[k*words+word] != 0 {
			return true
		}
	}
	return false
}

// given is the likelihood ratio of a fault beside the faults of a set.
func (t *Table) given(ev *Evidence, r *Ranking, f int32, set []int32) float64 {
	if r.ratioed && !t.crowd(f, set) {
		ratio := r.r[f]
		for _, g := range set {
			ratio *= r.k[int(min(f, g))*len(t.Faults)+int(max(f, g))].k
		}
		return ratio
	}
	ratio := 1.
	for word, tests := range t.touching[f] {
		for ; tests != 0; tests &= tests - 1 {
			i := 64*word + bits.TrailingZeros64(tests)
			if ev.tests[i].valid {
				ratio *= t.shift(ev, r, i, f, set)
			}
		}
	}
	return ratio
}

// crowd tells whether there is a test on which a fault and two of a set bear.
func (t *Table) crowd(f int32, set []int32) bool {
	if len(set) < 2 {
		return false
	}
	for word, tests := range t.touching[f] {
		one := uint64(0)
		for _, g := range set {
			bits := t.touching[g][word] & tests
			if one&bits != 0 {
				return true
			}
			one |= bits
		}
	}
	return false
}

// shift is how much a test changes the odds of a fault beside the faults of a set, from what is remembered of the test if few of them bear on it.
func (t *Table) shift(ev *Evidence, r *Ranking, i int, f int32, set []int32) float64 {
	if !r.ratioed {
		return t.shifts(ev, i, f, set)
	}
	var others [2]int
	n := 0
	for _, g := range set {
		if j := int(t.partOf[i][g]); j >= 0 && g != f {
			if n == len(others) {
				return t.shifts(ev, i, f, set)
			}
			others[n] = j
			n++
		}
	}
	o, k := r.says[i], int(t.partOf[i][f])
	switch n {
	case 0:
		return o.r[k]
	case 1:
		return o.r[k] * o.k[pairOf(k, others[0])].k
	}
	three := t.threeOf(ev, i, o)
	if three == nil {
		return t.shifts(ev, i, f, set)
	}
	return o.r[k] * o.k[pairOf(k, others[0])].k * o.k[pairOf(k, others[1])].k * three[tripleOf(k, others[0], others[1])].k
}

// shifts is how much a test changes the odds of a fault, given the other faults of a set.
func (t *Table) shifts(ev *Evidence, i int, f int32, set []int32) float64 {
	var with, without [mostFaults + 1]int32
	w, o := with[:0], without[:0]
	for _, g := range set {
		if g != f {
			w, o = append(w, g), append(o, g)
		}
	}
	p, _ := t.test(ev, i, append(w, f))
	q, _ := t.test(ev, i, o)
	if p == q {
		return 1
	}
	return p / q
}

// oddsGiven is how much a fault changes the odds of a set before any reading; both is the set with it.
func (t *Table) oddsGiven(r *Ranking, g int32, set, both []int32) float64 {
	if len(t.upward) == 0 {
		return r.odds[g]
	}
	return t.oddsOf(r, both) / t.oddsOf(r, set)
}

// tells tells whether a fault is part of a story.
func (r *Ranking) tells(story int, f int32) bool {
	words := wordsOf(len(r.Faults))
	return r.part[story*words+int(f/64)]&(1<<(f%64)) != 0
}

// wordsOf n bits.
func wordsOf(n int) int { return (n + 63) / 64 }

func cleared(s []uint64, n int) []uint64 {
	s = resized(s, n)
	clear(s)
	return s
}
