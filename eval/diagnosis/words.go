package diagnosis

import (
	"cmp"
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
			return t.rootsOf(r.membersOf(s)) >= rootFaults
		}
	}
	return false
}

func (r *Ranking) membersOf(s *set) []int32 {
	r.members = r.members[:0]
	for _, f := range s.faults[:s.n] {
		r.members = append(r.members, int32(f))
	}
	return r.members
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
	for f := range r.Faults {
		p := t.prior(f)
		r.Faults[f] = Standing{Status: NotExamined, Probability: p, NoSlip: p, Factor: 1}
	}
	if r.total <= 0 {
		return // contradictory: no set explains the readings, and there are no slips
	}
	none, none0 := t.relative(ev, r, nil)
	r.NoSlip, r.None = r.total0/r.total, none/r.total
	if r.total0 > 0 {
		r.None0 = none0 / r.total0
	}
	t.tell(ev, r)
	t.survey(ev, r)
	if 1-r.NoSlip > someSlip {
		t.findOdds(ev, r)
	}
	for _, f := range r.alive {
		s := &r.Faults[f]
		s.Probability = r.sum[f] / r.total
		if s.NoSlip = 0; r.total0 > 0 {
			s.NoSlip = r.sum0[f] / r.total0
		}
		s.Status = t.word(ev, r, f)
	}
	t.unread(ev, r)
}

// tell finds the stories: the sets that weigh enough, and of which every fault is needed.
func (t *Table) tell(ev *Evidence, r *Ranking) {
	slices.SortStableFunc(r.heavy, func(a, b set) int {
		if math.Abs(a.w-b.w) <= tolerance*max(a.w, b.w) {
			return 0
		}
		return cmp.Compare(b.w, a.w)
	})
	for i := range r.heavy {
		s := &r.heavy[i]
		faults := r.membersOf(s)
		if !t.everyNeeded(ev, r, faults) {
			continue
		}
		n := len(r.Stories)
		if n < cap(r.Stories) {
			r.Stories = r.Stories[:n+1]
		} else {
			r.Stories = append(r.Stories, Story{})
		}
		r.Stories[n].Faults = append(r.Stories[n].Faults[:0], faults...)
		r.Stories[n].Share = s.w / r.total
	}
}

func (t *Table) everyNeeded(ev *Evidence, r *Ranking, faults []int32) bool {
	if len(faults) == 0 {
		return true
	}
	whole, _ := t.relative(ev, r, faults)
	var rest [mostFaults]int32
	for i := range faults {
		less, _ := t.relative(ev, r, append(append(rest[:0], faults[:i]...), faults[i+1:]...))
		if less*needed > whole*(1+tolerance) {
			return false
		}
	}
	return true
}

// word is the first that fits.
func (t *Table) word(ev *Evidence, r *Ranking, f int32) Status {
	s := &r.Faults[f]
	if !t.examined(ev, r, f) {
		return NotExamined
	}
	s.Factor = t.factor(ev, r, f)
	switch told := r.toldOf(f); {
	case told && s.NoSlip >= sure && s.Probability >= likely && r.NoSlip >= Unexplained:
		return Shown
	case told:
		return Suspected
	case s.Factor <= against && t.witnessed(ev, r, f):
		if s.Factor = max(s.Factor, t.hiddenFactor(ev, r, f)); s.Factor <= against {
			return RuledOut
		}
	}
	return Possible
}

// toldOf tells whether a fault is part of a story.
func (r *Ranking) toldOf(f int32) bool {
	return slices.ContainsFunc(r.Stories, func(s Story) bool { return slices.Contains(s.Faults, f) })
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

// survey gathers for each story what the tests on which none of its faults bears say: the faults that they tell something of, and speak against.
func (t *Table) survey(ev *Evidence, r *Ranking) {
	r.weighed = resized(r.weighed, len(r.Stories))
	clear(r.weighed)
	r.company = resized(r.company, len(r.Stories))
	t.beneath(ev, r)
	words := (len(t.Faults) + 63) / 64
	r.moved, r.against = resized(r.moved, words*len(r.Stories)), resized(r.against, words*len(r.Stories))
	clear(r.moved)
	clear(r.against)
	if !r.ratioed {
		return
	}
	for i, o := range r.says {
		if o == nil {
			continue
		}
		for k := range r.Stories {
			if t.touch(i, r.Stories[k].Faults) {
				continue
			}
			for w := range words {
				r.moved[k*words+w] |= o.moved[w]
				r.against[k*words+w] |= o.against[w]
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

// examined tells whether a reading tells something of a fault: it shifts its odds in one of the stories.
func (t *Table) examined(ev *Evidence, r *Ranking, f int32) bool {
	words := (len(t.Faults) + 63) / 64
	for k := range r.Stories {
		if r.moved[k*words+int(f/64)]&(1<<(f%64)) != 0 {
			return true
		}
	}
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

// factor is the Bayes factor of a fault over the stories without it.
func (t *Table) factor(ev *Evidence, r *Ranking, f int32) float64 {
	with, without := 0., 0.
	for k := range r.Stories {
		story := &r.Stories[k]
		if !slices.Contains(story.Faults, f) {
			with, without = with+float64(story.Share*r.givens[k*len(t.Faults)+int(f)]), without+story.Share
		}
	}
	if without == 0 {
		return math.Inf(1)
	}
	return with / without
}

// hiddenFactor is the Bayes factor with each story counted also with one further fault that could hide this one, unless that weighs next to nothing.
// Once it is certain to be too great for ruling out, the least that it can be is returned.
func (t *Table) hiddenFactor(ev *Evidence, r *Ranking, f int32) float64 {
	var buf [mostFaults + 1]int32
	with, without, most := 0., 0., 0.
	for k := range r.Stories {
		if story := &r.Stories[k]; !slices.Contains(story.Faults, f) {
			t.beside(ev, r, k)
			most += float64(story.Share * r.company[k])
		}
	}
	for k := range r.Stories {
		story := &r.Stories[k]
		if slices.Contains(story.Faults, f) {
			continue
		}
		if with > against*most {
			return with / most
		}
		ratio := r.givens[k*len(t.Faults)+int(f)]
		with, without = with+float64(story.Share*ratio), without+story.Share
		for _, g := range t.beside(ev, r, k) {
			if g.fault == f || r.hides(t, f, g.fault) < hiding {
				continue
			}
			weight, both := story.Share*g.weight, ratio
			if r.ratioed && !t.crowdBeside(r, k, f, g.fault) {
				both *= r.hides(t, f, g.fault)
			} else {
				both = t.given(ev, r, f, append(append(buf[:0], story.Faults...), g.fault))
			}
			with, without = with+float64(weight*both), without+weight
		}
	}
	return with / without
}

// companion is a fault that can be there beside a story, and how much the story weighs with it compared with the story alone.
type companion struct {
	fault  int32
	weight float64
}

// beside lists the companions of a story that weigh enough.
func (t *Table) beside(ev *Evidence, r *Ranking, k int) []companion {
	for len(r.companions) <= k {
		r.companions = append(r.companions, nil)
	}
	if r.weighed[k] {
		return r.companions[k]
	}
	r.weighed[k] = true
	var buf [mostFaults + 1]int32
	list, story := r.companions[k][:0], r.Stories[k].Faults
	sum := 1.
	for _, g := range r.alive {
		if slices.Contains(story, g) {
			continue
		}
		w := r.givens[k*len(t.Faults)+int(g)] * t.oddsGiven(r, g, story, append(append(buf[:0], story...), g))
		if w >= leastHiding {
			list = append(list, companion{g, w})
			sum += w
		}
	}
	r.companions[k], r.company[k] = list, sum
	return list
}

// beneath works out the likelihood ratio of every fault beside each story, and which tests one and several of the faults of a story bear on.
func (t *Table) beneath(ev *Evidence, r *Ranking) {
	n, words := len(t.Faults), (len(t.Tests)+63)/64
	r.givens = resized(r.givens, n*len(r.Stories))
	r.borne, r.crowded = resized(r.borne, words*len(r.Stories)), resized(r.crowded, words*len(r.Stories))
	clear(r.borne)
	clear(r.crowded)
	for k := range r.Stories {
		story := r.Stories[k].Faults
		for _, g := range story {
			for word, tests := range t.touching[g] {
				r.crowded[k*words+word] |= r.borne[k*words+word] & tests
				r.borne[k*words+word] |= tests
			}
		}
		for _, f := range r.alive {
			if !slices.Contains(story, f) {
				r.givens[k*n+int(f)] = t.given(ev, r, f, story)
			}
		}
	}
}

// crowdBeside tells whether two of the faults of a story and another one bear on a test on which f bears.
func (t *Table) crowdBeside(r *Ranking, k int, f, other int32) bool {
	words := len(t.touching[f])
	for word, tests := range t.touching[f] {
		if at := k*words + word; tests&(r.crowded[at]|r.borne[at]&t.touching[other][word]) != 0 {
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

// shift is how much a test changes the odds of a fault beside the faults of a set, from what is remembered of the test if at most one of them bears on it.
func (t *Table) shift(ev *Evidence, r *Ranking, i int, f int32, set []int32) float64 {
	if !r.ratioed {
		return t.shifts(ev, i, f, set)
	}
	k, other := int(t.partOf[i][f]), -1
	for _, g := range set {
		if j := int(t.partOf[i][g]); j >= 0 && g != f {
			if other >= 0 {
				return t.shifts(ev, i, f, set)
			}
			other = j
		}
	}
	o := r.says[i]
	if other < 0 {
		return o.r[k]
	}
	less, more := min(k, other), max(k, other)
	return o.r[k] * o.k[more*(more-1)/2+less].k
}

// oddsGiven is how much a fault changes the odds of a set before any reading; both is the set with it.
func (t *Table) oddsGiven(r *Ranking, g int32, set, both []int32) float64 {
	if len(t.upward) == 0 {
		return r.odds[g]
	}
	return t.oddsOf(r, both) / t.oddsOf(r, set)
}

// hides is how much likelier the readings are under both faults than under each taken apart.
func (r *Ranking) hides(t *Table, f, g int32) float64 {
	if !r.ratioed {
		return hiding
	}
	return r.k[int(min(f, g))*len(t.Faults)+int(max(f, g))].k
}

// witnessed tells whether there is a witness against a fault.
func (t *Table) witnessed(ev *Evidence, r *Ranking, f int32) bool {
	words := (len(t.Faults) + 63) / 64
	for k := range r.Stories {
		if !slices.Contains(r.Stories[k].Faults, f) && r.against[k*words+int(f/64)]&(1<<(f%64)) != 0 {
			return true
		}
	}
	return t.Witness(ev, r, int(f)) >= 0
}

// Witness returns the test that speaks most against a fault that is no part of the best story without it: a reading that was decided, and that nothing
// in the story hides; -1 if there is none. ev and r must be those of Rank.
func (t *Table) Witness(ev *Evidence, r *Ranking, f int) int {
	best, least := -1, 1/shift
	for k := range r.Stories {
		story := r.Stories[k].Faults
		if slices.Contains(story, int32(f)) {
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
			if p := ev.Possible[c]; t.testOf[c] == int32(i) && p != 0 && (p&t.usual(c) == 0 || p&^t.usual(c) == 0) {
				return true
			}
		}
	}
	return false
}

// findOdds finds the test that is most likely a slip.
func (t *Table) findOdds(ev *Evidence, r *Ranking) {
	sum := 0.
	for i := range r.heavy {
		sum += r.heavy[i].w
	}
	for i := range ev.tests {
		s := &ev.tests[i]
		if !s.valid || s.p0 > 0 && !slices.ContainsFunc(r.Stories, func(story Story) bool { return t.touch(i, story.Faults) }) {
			continue // what no story needs and no fault explains better is no slip
		}
		slip := 0.
		for k := range r.heavy {
			p, _ := t.test(ev, i, r.membersOf(&r.heavy[k]))
			slip += r.heavy[k].w * s.misread / p
		}
		if slip /= sum; slip > r.Slip+tolerance {
			r.AtOdds, r.Slip = i, slip
		}
	}
}

// unread gives the faults on which no reading bears what their causes make of them: exactly, unless a fault has a cause on which no reading bears
// beside another one.
func (t *Table) unread(ev *Evidence, r *Ranking) {
	for f := range t.causes {
		if len(t.causes[f]) > 0 && !r.is[f] && t.prior(f) > 0 {
			t.ensue(ev, r, f)
		}
	}
}

// ensue works out the probability of a fault from those of its causes, which come before it if no reading bears on them either.
func (t *Table) ensue(ev *Evidence, r *Ranking, f int) {
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
		if len(t.causes[g]) > 0 && r.Faults[g].Probability == t.prior(int(g)) {
			t.ensue(ev, r, int(g))
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

// A Union is what the readings say of at least one of some faults being there, as those of one remedy. ev and r must be those of Rank.
func (t *Table) Union(ev *Evidence, r *Ranking, faults []int32) Standing {
	u := Standing{Status: NotExamined, Factor: 1}
	w, w0 := 0., 0.
	t.every(ev, r, r.Roots, func(set []int32, sw, sw0 float64) {
		if slices.ContainsFunc(set, func(f int32) bool { return slices.Contains(faults, f) }) {
			w, w0 = w+sw, w0+sw0
		}
	})
	if r.total > 0 {
		u.Probability = w / r.total
	}
	if r.total0 > 0 {
		u.NoSlip = w0 / r.total0
	}
	told, rank := false, func(s Status) int {
		return slices.Index([]Status{RuledOut, NotExamined, Possible, Suspected, Shown}, s)
	}
	first := true
	for _, f := range faults {
		told = told || r.toldOf(f)
		if s := r.Faults[f].Status; first || rank(s) > rank(u.Status) {
			u.Status = s
			u.Factor = max(u.Factor, r.Faults[f].Factor)
		}
		first = false
	}
	if told && u.NoSlip >= sure && u.Probability >= likely && r.NoSlip >= Unexplained {
		u.Status = Shown
	}
	return u
}
