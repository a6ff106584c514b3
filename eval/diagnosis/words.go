package diagnosis

import (
	"math"
	"math/bits"
	"slices"
)

// From probabilities to words. The criteria are judgement, chosen so that nothing is cleared because it was not looked at, and nothing condemned
// on one reading that may be a slip.

const (
	credible    = 1. / 20 // of the weight of the best set
	needed      = 3.      // leaving a fault out of a story makes the readings so much less likely
	shift       = 1.5     // a reading tells something of a fault if it shifts its odds so much
	sure        = .95     // for shown, if no reading is a slip
	likely      = .5      // for shown
	against     = 1. / 50 // for ruled out
	leastHiding = 1e-3    // of the weight of a story, for the story with a fault that may hide another
	hiding      = 2.      // another fault may hide one if it makes the readings so much likelier together with it
	someSlip    = .05     // below this nothing is at odds
	Misread     = .5      // a test is at odds if it is a slip with this probability
	tolerance   = 1e-9    // within which weights are equal
)

// calledFor tells whether the best set has as many roots as were considered.
func (r *Ranking) calledFor(t *Table) bool {
	for i := range r.heavy {
		if s := &r.heavy[i]; s.w == r.best {
			return t.rootsOf(s.faults()) >= rootFaults
		}
	}
	return false
}

func (t *Table) rootsOf(faults []int32) int {
	n := 0
	for _, f := range faults {
		if !slices.ContainsFunc(faults, func(g int32) bool {
			return slices.ContainsFunc(t.Faults[g].Leads, func(l Lead) bool { return l.To == int(f) })
		}) {
			n++
		}
	}
	return n
}

// conclude turns weights into words.
func (t *Table) conclude(ev *Evidence, r *Ranking) {
	r.NoSlip, r.None, r.None0, r.AtOdds, r.Slip = 0, 0, 0, -1, 0
	r.Stories = r.Stories[:0]
	if len(r.alive) < len(r.Faults) || r.total <= 0 {
		for f := range r.Faults {
			p := t.prior(f)
			r.Faults[f] = Standing{Status: NotExamined, Probability: p, NoSlip: p, Factor: 1}
		}
	}
	if r.total <= 0 {
		return // contradictory: no set explains the readings, and there are no slips
	}
	none, none0 := t.relative(ev, r, nil)
	r.NoSlip, r.None = whole(r.total0/r.total), whole(none/r.total)
	if r.total0 > 0 {
		r.None0 = whole(none0 / r.total0)
	}
	t.tell(ev, r)
	t.survey(ev, r)
	if 1-r.NoSlip > someSlip {
		t.findOdds(ev, r)
	}
	t.word(ev, r)
	t.hide(ev, r)
	t.unread(ev, r)
}

// whole is a share that rounding does not carry past the whole.
func whole(share float64) float64 {
	if share > 1 {
		return 1
	}
	return share
}

// tell finds the stories, heaviest first: the sets that weigh enough, and of which every fault is needed.
func (t *Table) tell(ev *Evidence, r *Ranking) {
	for i := range r.heavy {
		s := &r.heavy[i]
		if !t.everyNeeded(ev, r, s.faults()) {
			continue
		}
		at := len(r.Stories)
		if at < cap(r.Stories) {
			r.Stories = r.Stories[:at+1]
		} else {
			r.Stories = append(r.Stories, Story{Faults: []int32{}}) // never nil, as in one that was used
		}
		story := Story{append(r.Stories[at].Faults[:0], s.faults()...), whole(s.w / r.total)}
		for ; at > 0 && r.Stories[at-1].Share < story.Share*(1-tolerance); at-- {
			r.Stories[at] = r.Stories[at-1]
		}
		r.Stories[at] = story
	}
}

func (t *Table) everyNeeded(ev *Evidence, r *Ranking, faults []int32) bool {
	if len(faults) == 0 {
		return true
	}
	whole := t.likelier(ev, r, faults)
	var rest [mostFaults]int32
	for i := range faults {
		less := t.likelier(ev, r, append(append(rest[:0], faults[:i]...), faults[i+1:]...))
		if less*needed > whole*(1+tolerance) {
			return false
		}
	}
	return true
}

// likelier is how much likelier the readings are with these faults than with none.
func (t *Table) likelier(ev *Evidence, r *Ranking, faults []int32) float64 {
	if r.ratioed && len(faults) <= 2 {
		return r.ratio(faults)
	}
	p, _ := t.relative(ev, r, faults)
	return p
}

// word gives each fault on which a reading bears the first word that fits. Whether it is ruled out is left in doubt.
func (t *Table) word(ev *Evidence, r *Ranking) {
	scale, scale0, scaleFactor := 1/r.total, 0., 1/r.alone
	if r.total0 > 0 {
		scale0 = 1 / r.total0
	}
	moved, opposed := r.speaks[:len(r.speaks)/2], r.speaks[len(r.speaks)/2:]
	n := len(r.is)
	faults, sum, sum0, beyond := r.Faults[:n], r.sum[:n], r.sum0[:n], r.beyond[:n]
	for f, is := range r.is {
		if !is {
			continue
		}
		s, word, bit := &faults[f], f/64, uint64(1)<<(f%64)
		*s = Standing{Possible, whole(sum[f] * scale), whole(sum0[f] * scale0), math.Inf(1)}
		if r.alone > 0 {
			s.Factor = beyond[f] * scaleFactor
		}
		switch {
		case moved[word]&bit == 0 && !t.examined(ev, r, int32(f)):
			s.Status, s.Factor = NotExamined, 1
		case r.told[word]&bit != 0:
			s.Status, s.Factor = Suspected, r.factorBeside(int32(f))
			if s.NoSlip >= sure && s.Probability >= likely && r.NoSlip >= Unexplained {
				s.Status = Shown
			}
		case s.Factor <= against && (opposed[word]&bit != 0 || t.Witness(ev, r, f) >= 0):
			r.doubted[word] |= bit
		}
	}
}

// toldOf tells whether a fault is part of a story.
func (r *Ranking) toldOf(f int32) bool {
	return len(r.Stories) > 0 && r.told[f/64]&(1<<(f%64)) != 0
}

// survey gathers what those tests say on which a story does not bear: the faults that they tell something of, and speak against.
func (t *Table) survey(ev *Evidence, r *Ranking) {
	t.beneath(ev, r)
	tested := wordsOf(len(t.Tests))
	for word := range tested {
		some, all := uint64(0), ^uint64(0)
		for k := range r.Stories {
			some, all = some|r.borne[k*tested+word], all&r.borne[k*tested+word]
		}
		r.anyBorne[word], r.allBorne[word] = some, all
	}
	if !r.ratioed || len(r.Stories) == 0 {
		return
	}
	for i, s := range ev.tests {
		if s.valid && r.allBorne[i/64]&(1<<(i%64)) == 0 {
			for w, faults := range s.speaks {
				r.speaks[w] |= faults
			}
		}
	}
}

// touch tells whether one of the faults bears on a test.
func (t *Table) touch(test int, faults []int32) bool {
	for _, f := range faults {
		if t.touching[f][test/64]&(1<<(test%64)) != 0 {
			return true
		}
	}
	return false
}

// examined tells whether a test on which a story bears tells something of a fault: it shifts its odds beside the story.
func (t *Table) examined(ev *Evidence, r *Ranking, f int32) bool {
	for k := range r.Stories {
		story := r.Stories[k].Faults
		for word, tests := range t.touching[f] {
			for ; tests != 0; tests &= tests - 1 {
				i := 64*word + bits.TrailingZeros64(tests)
				if !ev.tests[i].valid || r.ratioed && !t.touch(i, story) {
					continue
				}
				if x := t.shift(ev, r, i, f, story); x >= shift || x <= 1/shift {
					return true
				}
			}
		}
	}
	return false
}

// factorBeside is the Bayes factor of a fault that is told, by the stories without it.
func (r *Ranking) factorBeside(f int32) float64 {
	with, without := 0., 0.
	for k := range r.Stories {
		if !r.tells(k, f) {
			share := r.Stories[k].Share
			with, without = with+float64(share*r.givens[k*len(r.Faults)+int(f)]), without+share
		}
	}
	if without == 0 {
		return math.Inf(1)
	}
	return with / without
}

// Witness returns the test that speaks most against a fault that is no part of the best story without it: a reading that was decided, and that nothing
// in the story hides; -1 if there is none. ev and r must be those of Rank.
func (t *Table) Witness(ev *Evidence, r *Ranking, f int) int {
	best, least := -1, 1/shift
	for k := range r.Stories {
		story := r.Stories[k].Faults
		if r.tells(k, int32(f)) {
			continue
		}
		for i := range ev.tests {
			if !ev.tests[i].valid || t.partOf[i][f] < 0 || !t.decided(ev, i, f) {
				continue
			}
			if x := t.shift(ev, r, i, int32(f), story); x < least*(1-tolerance) {
				best, least = i, x
			}
		}
		if best >= 0 {
			return best
		}
	}
	return -1
}

// decided tells whether a test has a reading that is plainly good or plainly not, at a check that a fault names.
func (t *Table) decided(ev *Evidence, i, f int) bool {
	for _, s := range t.Faults[f].Shows {
		for _, c := range s.Checks {
			if t.testOf[c] != int32(i) {
				continue
			}
			p := ev.Possible[c] & t.All[c]
			if good := p & t.usual(c); p != 0 && (good == 0 || good == p) {
				return true
			}
		}
	}
	return false
}

// findOdds finds the test that is most likely a slip.
func (t *Table) findOdds(ev *Evidence, r *Ranking) {
	r.slips = resized(r.slips, len(t.Tests))
	clear(r.slips)
	sum := 0.
	for k := range r.heavy {
		h := &r.heavy[k]
		sum += h.w
		for word := range wordsOf(len(t.Tests)) {
			borne := uint64(0)
			for _, f := range h.faults() {
				borne |= t.touching[f][word]
			}
			for ; borne != 0; borne &= borne - 1 {
				i := 64*word + bits.TrailingZeros64(borne)
				if ev.tests[i].valid {
					r.slips[i] += h.w * (1/t.under(ev, r, i, h.faults()) - 1) // beyond what it is without faults
				}
			}
		}
	}
	scale := 1 / sum
	for i, s := range ev.tests {
		if !s.valid || s.p0 > 0 && r.anyBorne[i/64]&(1<<(i%64)) == 0 {
			continue // what no story needs and no fault explains better is no slip
		}
		if slip := s.slipped * (sum + r.slips[i]) * scale; slip > r.Slip+tolerance {
			r.AtOdds, r.Slip = i, slip
		}
	}
}

// unread gives the faults on which no reading bears what their causes make of them: exactly, unless a fault has a cause on which no reading bears
// beside another one.
func (t *Table) unread(ev *Evidence, r *Ranking) {
	if len(t.upward) == 0 {
		return
	}
	for _, f := range slices.Backward(t.upward) {
		t.ensue(ev, r, int(f))
	}
	for f := range t.causes {
		if len(t.Faults[f].Leads) == 0 {
			t.ensue(ev, r, f)
		}
	}
}

// ensue works out the probability of a fault on which no reading bears from those of its causes, which come before it.
func (t *Table) ensue(ev *Evidence, r *Ranking, f int) {
	if len(t.causes[f]) == 0 || r.is[f] || t.prior(f) == 0 {
		return
	}
	absent, absent0 := 1-t.prior(f), 1-t.prior(f)
	spared, spared0 := 0., 0. // by the causes on which readings bear
	t.every(ev, r, r.Roots, func(faults []int32, w, w0 float64) {
		a := 1.
		for _, g := range faults {
			a *= 1 - t.leadsTo(int(g), f)
		}
		spared, spared0 = spared+float64(w*a), spared0+float64(w0*a)
	})
	absent *= spared / r.total
	if r.total0 > 0 {
		absent0 *= spared0 / r.total0
	}
	for _, g := range t.causes[f] {
		if r.is[g] {
			continue
		}
		absent *= 1 - t.leadsTo(int(g), f)*r.Faults[g].Probability
		absent0 *= 1 - t.leadsTo(int(g), f)*r.Faults[g].NoSlip
	}
	r.Faults[f].Probability, r.Faults[f].NoSlip = 1-absent, 1-absent0
}

// leadsTo is the probability of one fault given another as its only cause.
func (t *Table) leadsTo(cause, f int) float64 {
	absent := 1.
	for _, l := range t.Faults[cause].Leads {
		if l.To == f {
			absent *= 1 - l.Strength
		}
	}
	return 1 - absent
}

// Union is what the readings say of at least one of some faults being there, as those of one remedy. Faults on which no reading
// bears add nothing to its probability. Its factor is the largest of those that give it its status. ev and r must be those of Rank.
func (t *Table) Union(ev *Evidence, r *Ranking, faults []int32) Standing {
	u := Standing{Status: NotExamined, Factor: 1}
	w, w0 := 0., 0.
	t.every(ev, r, r.Roots, func(set []int32, sw, sw0 float64) {
		if slices.ContainsFunc(set, func(f int32) bool { return slices.Contains(faults, f) }) {
			w, w0 = w+sw, w0+sw0
		}
	})
	if r.total > 0 {
		u.Probability = whole(w / r.total)
	}
	if r.total0 > 0 {
		u.NoSlip = whole(w0 / r.total0)
	}
	told, rank := false, func(s Status) int {
		return slices.Index([]Status{RuledOut, NotExamined, Possible, Suspected, Shown}, s)
	}
	for i, f := range faults {
		told = told || r.toldOf(f)
		switch s := r.Faults[f]; {
		case i == 0 || rank(s.Status) > rank(u.Status):
			u.Status, u.Factor = s.Status, s.Factor
		case s.Status == u.Status:
			u.Factor = max(u.Factor, s.Factor)
		}
	}
	if told && u.NoSlip >= sure && u.Probability >= likely && r.NoSlip >= Unexplained {
		u.Status = Shown
	}
	return u
}
