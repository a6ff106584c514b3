package diagnosis

import "math/bits"

// What a fault is worth beside a story, and beside a story with one further fault that could hide it.

// company is what stories leave open: what all other faults are worth beside them.
type company struct {
	// Per story:
	part    []uint64  // its faults
	near    []uint64  // the faults that bear on a test on which one of its own does
	beside  []uint64  // the further faults that weigh enough to hide another
	borne   []uint64  // the tests on which its faults bear
	crowded []uint64  // the tests on which several of them do
	givens  []float64 // per fault, its likelihood ratio beside the story
	weights []float64 // per fault of beside, how much the story weighs with it compared with the story alone

	// Of all stories:
	alone    float64   // what they weigh
	beyond   []float64 // per fault, what they weigh with it beside them; of one in doubt also with each fault that could hide it
	besides  []float64 // per fault in doubt, what they weigh with each of those that could hide it
	told     []uint64  // their faults
	hiders   []uint64  // all of beside
	doubted  []uint64  // the faults that they rule out, unless another one hides them
	speaks   []uint64  // the faults of which tests tell something on which a story does not bear, and those that they speak against
	anyBorne []uint64  // the tests on which some story bears
	allBorne []uint64  // and on which all do

	sums   []float64 // room for beyond and besides
	sets   []uint64  // room for told, hiders, doubted and speaks
	hidden []int32   // of those in doubt, which a fault may hide
	odds1  []float64 // per fault, its odds beside a story before any reading
}

// seat makes room for the company of so many stories.
func (c *company) seat(stories, faults, tests int) {
	words, tested := wordsOf(faults), wordsOf(tests)
	c.part, c.near, c.beside = resized(c.part, words*stories), resized(c.near, words*stories), resized(c.beside, words*stories)
	c.borne, c.crowded = resized(c.borne, tested*stories), resized(c.crowded, tested*stories)
	c.givens, c.weights = resized(c.givens, faults*stories), resized(c.weights, faults*stories)
	c.sums, c.sets = resized(c.sums, 2*faults), cleared(c.sets, 5*words)
	clear(c.sums)
	c.beyond, c.besides = c.sums[:faults], c.sums[faults:]
	c.told, c.hiders, c.doubted, c.speaks = c.sets[:words], c.sets[words:2*words], c.sets[2*words:3*words], c.sets[3*words:]
	c.anyBorne, c.allBorne = resized(c.anyBorne, tested), resized(c.allBorne, tested)
	c.alone = 0
}

// beneath works out what all faults are worth beside each story, and which of them weigh enough beside it to hide another.
func (t *Table) beneath(ev *Evidence, r *Ranking) {
	r.seat(len(r.Stories), len(t.Faults), len(t.Tests))
	for k := range r.Stories {
		t.meet(r, k)
		t.giveStory(ev, r, k)
		t.accompany(r, k)
		r.alone += r.Stories[k].Share
	}
}

// meet finds where the faults of a story bear.
func (t *Table) meet(r *Ranking, k int) {
	words, tested := wordsOf(len(t.Faults)), wordsOf(len(t.Tests))
	for word := range words {
		part, near := uint64(0), uint64(0)
		for _, g := range r.Stories[k].Faults {
			if int(g/64) == word {
				part |= 1 << (g % 64)
			}
			near |= t.sharing[g][word]
		}
		r.part[k*words+word], r.near[k*words+word] = part, near
		r.told[word] |= part
	}
	for word := range tested {
		borne, crowded := uint64(0), uint64(0)
		for _, g := range r.Stories[k].Faults {
			touched := t.touching[g][word]
			borne, crowded = borne|touched, crowded|borne&touched
		}
		r.borne[k*tested+word], r.crowded[k*tested+word] = borne, crowded
	}
}

// giveStory works out the likelihood ratio of every fault beside a story.
func (t *Table) giveStory(ev *Evidence, r *Ranking, k int) {
	n := len(t.Faults)
	story, row := r.Stories[k].Faults, r.givens[k*n:k*n+n]
	if !r.ratioed {
		clear(row)
		for _, f := range r.alive {
			if !r.tells(k, f) {
				row[f] = t.given(ev, r, f, story)
			}
		}
		return
	}
	copy(row, r.r)
	for _, g := range story {
		for f, x := range t.row(r.k, g)[:len(row)] {
			row[f] *= x
		}
	}
	words := wordsOf(len(t.Tests))
	for word, tests := range r.crowded[k*words : k*words+words] {
		for ; tests != 0; tests &= tests - 1 {
			t.crowd(ev, r, k, 64*word+bits.TrailingZeros64(tests))
		}
	}
}

// crowd corrects what faults are worth beside a story for a test on which several faults of the story bear.
func (t *Table) crowd(ev *Evidence, r *Ranking, k, test int) {
	if !ev.tests[test].valid {
		return
	}
	n, story, at := len(t.Faults), r.Stories[k].Faults, t.partOf[test]
	for _, f := range t.bearers[test] {
		switch {
		case r.tells(k, f):
		case len(story) == 2:
			r.givens[k*n+int(f)] *= t.together(ev, test, at[f], at[story[0]], at[story[1]]).k
		case r.is[f]:
			r.givens[k*n+int(f)] = t.given(ev, r, f, story)
		}
	}
}

// accompany weighs a story with each further fault, compared with the story alone, and marks those faults that weigh enough.
func (t *Table) accompany(r *Ranking, k int) {
	n, words := len(t.Faults), wordsOf(len(t.Faults))
	odds := r.odds
	if len(t.upward) > 0 {
		odds = t.oddsBeside(r, k)
	}
	share, row := r.Stories[k].Share, r.givens[k*n:k*n+n]
	odds, beyond, weights := odds[:len(row)], r.beyond[:len(row)], r.weights[k*n:][:len(row)]
	heavy := r.beside[k*words : k*words+words]
	clear(heavy)
	for g, ratio := range row {
		beyond[g] += float64(share * ratio)
		if w := ratio * odds[g]; w >= leastHiding {
			weights[g] = w
			heavy[g/64] |= 1 << (g % 64)
		}
	}
	for word := range heavy {
		heavy[word] &^= r.part[k*words+word]
		r.hiders[word] |= heavy[word]
	}
}

// oddsBeside are the odds of every fault beside a story before any reading, if some faults cause others.
func (t *Table) oddsBeside(r *Ranking, k int) []float64 {
	var buf [mostFaults + 1]int32
	story := r.Stories[k].Faults
	r.odds1 = resized(r.odds1, len(t.Faults))
	clear(r.odds1)
	for _, g := range r.alive {
		if !r.tells(k, g) {
			r.odds1[g] = t.oddsGiven(r, g, story, append(append(buf[:0], story...), g))
		}
	}
	return r.odds1
}

// hide rules out the faults in doubt that the stories rule out also when each is counted with one further fault that could hide them, unless that weighs
// next to nothing.
func (t *Table) hide(ev *Evidence, r *Ranking) {
	for word, others := range r.hiders {
		for ; others != 0; others &= others - 1 {
			t.hideBehind(ev, r, int32(64*word+bits.TrailingZeros64(others)))
		}
	}
	for word, doubted := range r.doubted {
		for ; doubted != 0; doubted &= doubted - 1 {
			f := 64*word + bits.TrailingZeros64(doubted)
			s := &r.Faults[f]
			if r.besides[f] > 0 {
				s.Factor = max(s.Factor, r.beyond[f]/(r.alone+r.besides[f]))
			}
			if s.Factor <= against {
				s.Status = RuledOut
			}
		}
	}
}

// hideBehind counts the stories beside which a fault weighs enough also with it, for the faults that it could hide.
func (t *Table) hideBehind(ev *Evidence, r *Ranking, g int32) {
	n, words := len(t.Faults), wordsOf(len(t.Faults))
	row, sharing, hidden := t.row(r.k, g), t.sharing[g], r.hidden[:0]
	for word, doubted := range r.doubted {
		for doubted &= sharing[word]; doubted != 0; doubted &= doubted - 1 {
			f := int32(64*word + bits.TrailingZeros64(doubted))
			if r.ratioed && row[f] >= hiding || !r.ratioed && t.couldHide(ev, r, g, f) {
				hidden = append(hidden, f)
			}
		}
	}
	if r.hidden = hidden; len(hidden) == 0 {
		return
	}
	beyond, besides := r.beyond[:n], r.besides[:n]
	for k := range r.Stories {
		if r.beside[k*words+int(g/64)]&(1<<(g%64)) == 0 {
			continue
		}
		weight := r.Stories[k].Share * r.weights[k*n+int(g)]
		givens, near := r.givens[k*n:k*n+n], r.near[k*words:k*words+words]
		apart := near[g/64]&(1<<(g%64)) == 0
		for _, f := range hidden {
			ratio := givens[f] * row[f]
			if !r.ratioed || !apart && near[f/64]&(1<<(f%64)) != 0 {
				ratio = t.givenWith(ev, r, k, f, g)
			}
			beyond[f] += float64(weight * ratio)
			besides[f] += weight
		}
	}
}

// couldHide tells whether the readings are so much likelier with both of two faults than either makes them. Without slips one may be impossible by itself:
// that says nothing against it.
func (t *Table) couldHide(ev *Evidence, r *Ranking, g, f int32) bool {
	return !(t.given(ev, r, f, []int32{g}) < hiding*t.given(ev, r, f, nil))
}

// givenWith is the likelihood ratio of a fault beside the faults of a story and another one.
func (t *Table) givenWith(ev *Evidence, r *Ranking, k int, f, other int32) float64 {
	var buf [mostFaults + 1]int32
	n, words := len(t.Faults), len(t.touching[f])
	borne, crowded := r.borne[k*words:k*words+words], r.crowded[k*words:k*words+words]
	ratio := r.givens[k*n+int(f)] * r.k[int(f)*n+int(other)]
	for word, tests := range t.touching[f] {
		tests &= t.touching[other][word] & borne[word]
		if !r.ratioed || tests&crowded[word] != 0 {
			return t.given(ev, r, f, append(append(buf[:0], r.Stories[k].Faults...), other))
		}
		for ; tests != 0; tests &= tests - 1 {
			i := 64*word + bits.TrailingZeros64(tests)
			if !ev.tests[i].valid {
				continue
			}
			at := t.partOf[i]
			for _, g := range r.Stories[k].Faults {
				if at[g] >= 0 {
					ratio *= t.together(ev, i, at[f], at[other], at[g]).k
				}
			}
		}
	}
	return ratio
}

// given is the likelihood ratio of a fault beside the faults of a set.
func (t *Table) given(ev *Evidence, r *Ranking, f int32, set []int32) float64 {
	if r.ratioed && !t.crowded(f, set) {
		ratio, row := r.r[f], t.row(r.k, f)
		for _, g := range set {
			ratio *= row[g]
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

// crowded tells whether there is a test on which a fault and two of a set bear.
func (t *Table) crowded(f int32, set []int32) bool {
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
	var others [2]int16
	n := 0
	for _, g := range set {
		if j := t.partOf[i][g]; j >= 0 && g != f {
			if n == len(others) {
				return t.shifts(ev, i, f, set)
			}
			others[n] = j
			n++
		}
	}
	s, k := ev.tests[i], t.partOf[i][f]
	ratio := s.r[k]
	for _, j := range others[:n] {
		ratio *= s.k[pairOf(int(k), int(j))]
	}
	if n == 2 {
		ratio *= t.together(ev, i, k, others[0], others[1]).k
	}
	return ratio
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
