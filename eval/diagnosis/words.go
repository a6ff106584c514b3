package diagnosis

import (
	"cmp"
	"math"
	"slices"
)

// From probabilities to words. The criteria are judgement, chosen so that nothing is cleared because it was not looked at, and nothing condemned
// on one reading that may be a slip.

const (
	credible  = 1. / 20 // of the weight of the best set
	needed    = 3.      // leaving a fault out of a story makes the readings so much less likely
	shift     = 1.5     // a reading tells something of a fault if it shifts its odds so much
	sure      = .95     // for shown, if no reading is a slip
	likely    = .5      // for shown
	against   = 1. / 50 // for ruled out
	hiding    = 2.      // another fault may hide one if it makes the readings so much likelier together with it
	someSlip  = .05     // below this nothing is at odds
	Misread   = .5      // a test is at odds if it is a slip with this probability
	tolerance = 1e-9    // within which weights are equal
)

// calledFor tells whether the best set has as many roots as were considered.
func (r *Ranking) calledFor(t *Table) bool {
	for i := range r.sets {
		s := &r.sets[i]
		if s.w == r.best {
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
	r.NoSlip, r.None = r.total0/r.total, r.sets[0].w/r.total
	if r.total0 > 0 {
		r.None0 = r.sets[0].w0 / r.total0
	}
	t.tell(ev, r)
	if 1-r.NoSlip > someSlip {
		t.findOdds(ev, r)
	}
	for _, f := range r.alive {
		s := &r.Faults[f]
		s.Probability = r.sum[f] / r.total
		if s.NoSlip = 0; r.total0 > 0 {
			s.NoSlip = r.sum0[f] / r.total0
		}
		s.Factor = t.factor(ev, r, f)
		s.Status = t.word(ev, r, f)
	}
	t.unread(r)
}

// tell finds the stories: the sets that weigh enough, and of which every fault is needed.
func (t *Table) tell(ev *Evidence, r *Ranking) {
	r.heavy = r.heavy[:0]
	for i := range r.sets {
		if r.sets[i].w >= r.best*credible*(1-tolerance) {
			r.heavy = append(r.heavy, int32(i))
		}
	}
	slices.SortStableFunc(r.heavy, func(a, b int32) int {
		x, y := r.sets[a].w, r.sets[b].w
		if math.Abs(x-y) <= tolerance*max(x, y) {
			return cmp.Compare(a, b)
		}
		return cmp.Compare(y, x)
	})
	for _, i := range r.heavy {
		s := &r.sets[i]
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
	told := r.toldOf(f)
	switch {
	case !t.examined(ev, r, f):
		return NotExamined
	case told && s.NoSlip >= sure && s.Probability >= likely && r.NoSlip >= Unexplained:
		return Shown
	case told:
		return Suspected
	case s.Factor <= against && t.Witness(ev, r, int(f)) >= 0:
		return RuledOut
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

// examined tells whether a reading tells something of a fault: it shifts its odds in one of the stories.
func (t *Table) examined(ev *Evidence, r *Ranking, f int32) bool {
	for k := range r.Stories {
		for i := range ev.tests {
			if ev.tests[i].valid && t.partOf[i][f] >= 0 {
				if x := t.shifts(ev, i, f, r.Stories[k].Faults); x >= shift || x <= 1/shift {
					return true
				}
			}
		}
	}
	return false
}

// factor is the Bayes factor of a fault over the stories without it, each also with one further fault that could hide it. Whichever is the greater
// counts, with hiding faults or without.
func (t *Table) factor(ev *Evidence, r *Ranking, f int32) float64 {
	var buf [mostFaults + 2]int32
	plain, plainWithout, all, allWithout := 0., 0., 0., 0.
	for k := range r.Stories {
		story := r.Stories[k].Faults
		if slices.Contains(story, f) || len(story) > mostFaults-2 {
			continue
		}
		x, weight := t.favour(ev, r, story, f)
		plain, plainWithout = plain+x, plainWithout+weight
		all, allWithout = all+x, allWithout+weight
		for _, g := range r.alive {
			if g == f || slices.Contains(story, g) || !t.sharesWith(f, g) || r.hides(t, f, g) < hiding {
				continue
			}
			x, weight := t.favour(ev, r, append(append(buf[:0], story...), g), f)
			all, allWithout = all+x, allWithout+weight
		}
	}
	if plainWithout == 0 {
		return math.Inf(1)
	}
	return max(plain/plainWithout, all/allWithout)
}

// favour weighs a set, and the set with the likelihood that a fault beside it gives.
func (t *Table) favour(ev *Evidence, r *Ranking, set []int32, f int32) (with, without float64) {
	var buf [mostFaults + 2]int32
	odds := t.oddsOf(r, set)
	p, _ := t.relative(ev, r, set)
	q, _ := t.relative(ev, r, append(append(buf[:0], set...), f))
	return odds * q, odds * p
}

func (t *Table) sharesWith(f, g int32) bool {
	return t.shares[int(min(f, g))*len(t.Faults)+int(max(f, g))]
}

// hides is how much likelier the readings are under both faults than under each taken apart.
func (r *Ranking) hides(t *Table, f, g int32) float64 {
	if !r.ratioed(t) {
		return hiding
	}
	return r.k[int(min(f, g))*len(t.Faults)+int(max(f, g))]
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
			if x := t.shifts(ev, i, int32(f), story); x < least*(1-tolerance) {
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
	for _, i := range r.heavy {
		sum += r.sets[i].w
	}
	for i := range ev.tests {
		s := &ev.tests[i]
		if !s.valid {
			continue
		}
		slip := 0.
		for _, k := range r.heavy {
			p, _ := t.test(ev, i, r.membersOf(&r.sets[k]))
			slip += r.sets[k].w * s.misread / p
		}
		if slip /= sum; slip > r.Slip+tolerance {
			r.AtOdds, r.Slip = i, slip
		}
	}
}

// unread gives the faults on which no reading bears what their causes make of them: exactly, unless a fault has a cause on which no reading bears
// beside another one.
func (t *Table) unread(r *Ranking) {
	for f := range t.causes {
		if len(t.causes[f]) > 0 && !r.is[f] && t.prior(f) > 0 {
			t.ensue(r, f)
		}
	}
}

// ensue works out the probability of a fault from those of its causes, which come before it if no reading bears on them either.
func (t *Table) ensue(r *Ranking, f int) {
	absent, absent0 := 1-t.prior(f), 1-t.prior(f)
	spared, spared0 := 0., 0. // by the causes on which readings bear
	for i := range r.sets {
		s, a := &r.sets[i], 1.
		for _, g := range s.faults[:s.n] {
			a *= 1 - t.leadsTo(int(g), f)
		}
		spared, spared0 = spared+float64(s.w*a), spared0+float64(s.w0*a)
	}
	absent *= spared / r.total
	if r.total0 > 0 {
		absent0 *= spared0 / r.total0
	}
	for _, g := range t.causes[f] {
		if r.is[g] {
			continue
		}
		if len(t.causes[g]) > 0 && r.Faults[g].Probability == t.prior(int(g)) {
			t.ensue(r, int(g))
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
	for i := range r.sets {
		s := &r.sets[i]
		if slices.ContainsFunc(r.membersOf(s), func(f int32) bool { return slices.Contains(faults, f) }) {
			w, w0 = w+s.w, w0+s.w0
		}
	}
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
