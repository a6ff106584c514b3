package diagnosis

import (
	"math/bits"
	"slices"
)

// Which sets of faults explain the readings, by probability.

const (
	rootFaults = 2 // faults of a set that nothing in it causes
	mostRoots  = 3 // when two do not explain the readings, or two are needed
	followers  = 2 // consequences that ride along, beyond the number of roots
	mostFaults = mostRoots + followers
)

// Unexplained is the probability that no reading is a slip below which nothing on the sheet explains the readings.
const Unexplained = 1. / 20

// A Ranking holds the probabilities of faults given the readings: exact for sets of up to Roots faults that nothing in the set causes, together with
// their consequences, up to two more than Roots in all. Faults on which no reading bears keep their prior, or what their causes make of it. Readings that
// contradict each other, without slips, leave every fault as it was before, no story, and NoSlip at 0. The next Rank writes over Faults and Stories.
type Ranking struct {
	Faults  []Standing
	Stories []Story // those that weigh at least a twentieth of the best set, heaviest first
	Roots   int     // how many independent faults were considered at once
	NoSlip  float64 // probability that no reading is a slip
	None    float64 // probability that there is no fault
	None0   float64 // the same if no reading is a slip
	AtOdds  int     // the test that is most likely a slip, -1 if none is likely
	Slip    float64 // the probability that it is one

	// Most is how many independent faults are considered at once where two do not explain the readings; 0 stands for 3. It is set before Rank.
	Most int

	table *Table
	alive []int32   // the faults on which readings bear
	is    []bool    // of alive
	live  []uint64  // the faults on which a reading bears by itself, as bits
	lived []uint64  // those of the ranking before
	odds  []float64 // per fault before any reading; 0 if it is not alive
	bad   []int32   // tests that nothing but a fault or a slip explains
	z     float64   // the part without slips of all tests that are not bad, without faults

	ratios
	total, total0 float64
	best          float64
	exponent      int // weights are 2^exponent times what is written
	sum, sum0     []float64
	heavy         []set     // those that weigh enough to be told of
	hot           []int32   // the faults that weigh so much
	others        []float64 // per fault, what all others weigh beside it
	slips         []float64
	company
}

// A Story is a set of faults, ascending, each of which is needed to explain the readings.
type Story struct {
	Faults []int32
	Share  float64 // of the probability of all sets
}

// A Standing is what the readings say of one fault, or of a union of faults.
type Standing struct {
	Status      Status
	Probability float64 // given the readings
	NoSlip      float64 // given the readings, and that none of them is a slip
	Factor      float64 // how much the readings favour it over its absence, within the stories; 1 if nothing tells of it, infinite if no story is without it
}

// set is some faults that are there together, with its weight and the part of it without slips.
type set struct {
	room  [mostFaults]int32
	n     int32
	w, w0 float64
}

func (s *set) faults() []int32 { return s.room[:s.n] }

// Rank works out the probabilities of all faults. It does not allocate once ranking and evidence have been used for the table before, unless the
// readings come out in a new way or faults cause others. Evidence and ranking belong to one goroutine while it runs; after it, everything that takes them
// both only reads them.
func (t *Table) Rank(ev *Evidence, r *Ranking) {
	t.weigh(ev)
	t.gather(ev, r)
	r.ratioed = t.slip() > 0 && len(r.bad) <= 64
	if r.ratioed {
		t.compareAll(ev, r)
	}
	r.Roots, r.exponent = rootFaults, 0
	t.enumerate(ev, r, r.Roots)
	most := mostRoots
	if r.Most > 0 {
		most = min(r.Most, mostRoots)
	}
	if most > rootFaults && len(r.alive) > rootFaults && (r.calledFor(t) || r.total0 < Unexplained*r.total || r.total == 0) {
		r.Roots = most
		t.enumerate(ev, r, r.Roots)
	}
	t.conclude(ev, r)
}

// use makes room for the faults of a table.
func (r *Ranking) use(t *Table) {
	if r.table == t {
		return
	}
	n := len(t.Faults)
	r.table = t
	r.is, r.odds, r.r = make([]bool, n), make([]float64, n), make([]float64, n)
	r.a, r.a0 = make([]float64, n), make([]float64, n)
	r.sum, r.sum0, r.others = make([]float64, n), make([]float64, n), make([]float64, n)
	r.cover, r.bears = make([]uint64, n), make([]uint64, n)
	r.k, r.k0 = make([]float64, n*n), make([]float64, n*n)
	for i := range r.k {
		if i%(n+1) > 0 {
			r.k[i], r.k0[i] = 1, 1
		}
	}
	r.Faults = make([]Standing, n)
	r.alive, r.lived = r.alive[:0], nil // of a table without faults nothing is revived
}

// gather finds the faults on which readings bear, and the tests that only a fault or a slip explains.
func (t *Table) gather(ev *Evidence, r *Ranking) {
	r.use(t)
	r.live = cleared(r.live, wordsOf(len(t.Faults)))
	r.bad = r.bad[:0]
	z := 1.
	for i, s := range ev.tests {
		if !s.valid {
			continue
		}
		if s.p0 == 0 {
			r.bad = append(r.bad, int32(i))
		} else {
			z *= s.clean
		}
		if s.whole {
			for w, bearing := range t.bearing[i] {
				r.live[w] |= bearing
			}
			continue
		}
		for k := range t.parts[i] {
			if p := &t.parts[i][k]; slices.ContainsFunc(p.checks, func(c int) bool { return ev.read(t, c) }) {
				r.live[p.fault/64] |= 1 << (p.fault % 64)
			}
		}
	}
	r.z = z
	if !slices.Equal(r.live, r.lived) {
		t.revive(r)
		r.lived = append(r.lived[:0], r.live...)
	}
}

// revive finds the faults on which readings bear, by themselves or through what they cause, and their odds.
func (t *Table) revive(r *Ranking) {
	for f := range r.is {
		r.is[f] = r.live[f/64]&(1<<(f%64)) != 0
	}
	for _, f := range t.upward {
		for _, l := range t.Faults[f].Leads {
			r.is[f] = r.is[f] || r.is[l.To]
		}
	}
	r.alive = r.alive[:0]
	for f := range t.Faults {
		p := t.prior(f)
		r.is[f], r.odds[f] = r.is[f] && p > 0, 0
		if r.is[f] {
			r.alive, r.odds[f] = append(r.alive, int32(f)), p/(1-p)
		}
	}
	for _, f := range t.upward {
		if !r.is[f] {
			continue
		}
		for _, l := range t.Faults[f].Leads {
			if r.is[l.To] {
				r.odds[f] *= 1 - l.Strength
			}
		}
	}
}

// prior is the probability of a fault before any reading.
func (t *Table) prior(f int) float64 {
	switch p := t.Faults[f].Prior; {
	case p == 0:
		return DefaultPrior
	case p < 0:
		return 0
	default:
		return p
	}
}

// enumerate weighs all sets of up to so many roots. What is out of the range of float64 that way is weighed test by test, in units that hold it.
func (t *Table) enumerate(ev *Evidence, r *Ranking, roots int) {
	t.weighAll(ev, r, roots)
	if r.ratioed && !finite(r.total+r.total0) {
		r.ratioed = false
		t.weighAll(ev, r, roots)
	}
	for !finite(r.total) && r.exponent < largest*(len(t.Tests)+1) {
		r.exponent += largest
		t.weighAll(ev, r, roots)
	}
	r.heavy = slices.DeleteFunc(r.heavy, func(s set) bool { return s.w < r.leastHeavy() })
}

const largest = 512 // exponent of what one test can come to, and of what the odds of a set can

func (t *Table) weighAll(ev *Evidence, r *Ranking, roots int) {
	r.heavy, r.total, r.total0, r.best = r.heavy[:0], 0, 0, 0
	clear(r.sum)
	clear(r.sum0)
	if r.ratioed {
		t.quick(ev, r, roots)
	} else {
		t.every(ev, r, roots, r.add)
	}
}

// add counts a set.
func (r *Ranking) add(faults []int32, w, w0 float64) {
	r.total += w
	r.total0 += w0
	for _, f := range faults {
		r.sum[f] += w
		r.sum0[f] += w0
	}
	if w > 0 && w >= r.leastHeavy() {
		r.hold(faults, w, w0)
	}
}

// leastHeavy is the weight from which a set is told of, by the best one so far.
func (r *Ranking) leastHeavy() float64 { return r.best * credible * (1 - tolerance) }

// hold keeps a set to tell of.
func (r *Ranking) hold(faults []int32, w, w0 float64) {
	r.best = max(r.best, w)
	s := set{n: int32(len(faults)), w: w, w0: w0}
	copy(s.room[:], faults)
	r.heavy = append(r.heavy, s)
}

// every calls yield with each set of up to so many roots, its weight and the part of that without slips.
func (t *Table) every(ev *Evidence, r *Ranking, roots int, yield func(faults []int32, w, w0 float64)) {
	var members [mostFaults]int32
	weigh := func(faults []int32) {
		p, p0 := t.relative(ev, r, faults)
		odds := t.oddsOf(r, faults)
		yield(faults, odds*p, odds*p0)
	}
	weigh(members[:0])
	for i, f := range r.alive {
		members[0] = f
		weigh(members[:1])
		for j := i + 1; j < len(r.alive) && roots > 1; j++ {
			if members[1] = r.alive[j]; t.linked(members[:2]) {
				continue
			}
			weigh(members[:2])
			for k := j + 1; k < len(r.alive) && roots > 2; k++ {
				if members[2] = r.alive[k]; !t.linked(members[:3]) {
					weigh(members[:3])
				}
			}
		}
	}
	for _, linked := range t.rides(roots) {
		if r.allAlive(linked) {
			weigh(linked)
		}
	}
}

func (r *Ranking) allAlive(faults []int32) bool {
	return !slices.ContainsFunc(faults, func(f int32) bool { return !r.is[f] })
}

// oddsOf compares a set of faults with none before any reading. A fault that another one of the set causes is as likely as that makes it.
func (t *Table) oddsOf(r *Ranking, faults []int32) float64 {
	odds := 1.
	if len(faults) < 2 || !t.linked(faults) {
		for _, f := range faults {
			odds *= r.odds[f]
		}
		return odds
	}
	for _, f := range faults {
		p, absent := t.prior(int(f)), 1.
		for _, g := range faults {
			for _, l := range t.Faults[g].Leads {
				if l.To == int(f) {
					absent *= 1 - l.Strength
				}
			}
		}
		odds *= (1 - (1-p)*absent) / (1 - p)
		for _, l := range t.Faults[f].Leads {
			if r.is[l.To] && !slices.Contains(faults, int32(l.To)) {
				odds *= 1 - l.Strength
			}
		}
	}
	return odds
}

// relative compares the likelihood of a set of faults with that of none, and its part without slips.
func (t *Table) relative(ev *Evidence, r *Ranking, faults []int32) (p, p0 float64) {
	if !r.ratioed || len(faults) > 2 && t.shareOne(faults) {
		return t.product(ev, r, faults)
	}
	p = r.ratio(faults)
	switch len(faults) {
	case 0:
		if len(r.bad) > 0 {
			return p, 0
		}
		return p, r.z
	case 1:
		return p, r.z * t.ratio0(ev, r, faults[0]) * t.explained(ev, r, faults[0])
	}
	p0 = r.z
	cover := uint64(0)
	for i, f := range faults {
		p0, cover = p0*t.ratio0(ev, r, f), cover|r.cover[f]
		for _, g := range faults[:i] {
			p0 *= t.correction0(ev, r, f, g)
			cover |= t.coveredBy(ev, r, f, g, cover)
		}
	}
	switch {
	case cover != r.allBad():
		return p, 0
	case p0 == p0 && len(r.bad) == 0:
		return p, p0
	case p0 == p0 && len(faults) == 2:
		return p, p0 * t.explained2(ev, r, faults[0], faults[1])
	}
	_, p0 = t.product(ev, r, faults)
	return p, p0
}

// ratio of the likelihoods of a set of faults and of none, if no test speaks of three of them.
func (r *Ranking) ratio(faults []int32) float64 {
	p := 1.
	for i, f := range faults {
		beside := r.r[f] // of itself it may be as large as p
		for _, g := range faults[:i] {
			beside *= r.k[int(f)*len(r.r)+int(g)]
		}
		p *= beside
	}
	return p
}

func (r *Ranking) allBad() uint64 { return 1<<len(r.bad) - 1 }

// shareOne tells whether there is a test on which three of the faults bear.
func (t *Table) shareOne(faults []int32) bool {
	for word := range t.touching[faults[0]] {
		one, two := uint64(0), uint64(0)
		for _, f := range faults {
			bits := t.touching[f][word]
			if two&bits != 0 {
				return true
			}
			two |= one & bits
			one |= bits
		}
	}
	return false
}

// product is relative, test by test. A test that is bad and on which none of the faults bears leaves nothing without a slip.
func (t *Table) product(ev *Evidence, r *Ranking, faults []int32) (p, p0 float64) {
	all, all0 := wide{1, -r.exponent}, wide{r.z, -r.exponent}
	left := len(r.bad)
	for word := range wordsOf(len(t.Tests)) {
		touched := uint64(0)
		for _, f := range faults {
			touched |= t.touching[f][word]
		}
		for ; touched != 0; touched &= touched - 1 {
			i := 64*word + bits.TrailingZeros64(touched)
			s := ev.tests[i]
			if !s.valid {
				continue
			}
			q, q0 := t.test(ev, i, faults)
			scale := s.p
			if s.p == 0 {
				scale = 1
			}
			all.times(q / scale)
			if s.p0 > 0 {
				all0.times(q0 / s.p0)
			} else {
				all0.times(q0 / scale)
				left--
			}
		}
	}
	if left > 0 {
		all0.x = 0
		if t.slip() == 0 {
			all.x = 0
		}
	}
	return all.float(), all0.float()
}
