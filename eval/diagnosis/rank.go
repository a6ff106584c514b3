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
// their consequences, up to two more than Roots in all. Faults on which no reading bears keep their prior.
type Ranking struct {
	Faults  []Standing
	Stories []Story // those that weigh at least a twentieth of the best set, heaviest first
	Roots   int     // how many independent faults were considered at once
	NoSlip  float64 // probability that no reading is a slip
	None    float64 // probability that there is no fault
	None0   float64 // the same if no reading is a slip
	AtOdds  int     // the test that is most likely a slip, -1 if none is likely
	Slip    float64 // the probability that it is one

	table   *Table
	sets    []set
	alive   []int32
	is      []bool // of alive
	odds    []float64
	r, r0   []float64 // per fault: likelihood ratio of all tests, and of their parts without slips
	k, k0   []float64 // per pair, the correction of both
	cover   []uint64  // per fault: the bad tests that it explains
	covers  []uint64  // per pair: those that only both explain
	bad     []int32   // tests that nothing but a fault or a slip explains
	ratio   [][]float64
	z       float64 // the part without slips of all tests that are not bad, without faults
	total   float64
	total0  float64
	best    float64
	sum     []float64
	sum0    []float64
	heavy   []int32
	members []int32
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
	Factor      float64 // how much the readings favour it over its absence, within the stories; 1 is not at all
}

// set is some faults that are there together, with its weight and the part of it without slips.
type set struct {
	faults [mostFaults]int16
	n      int16
	w, w0  float64
}

// Rank works out the probabilities of all faults. It does not allocate once ranking and evidence have been used for the table before, unless the
// readings call for three faults at once. Evidence and ranking belong to one goroutine.
func (t *Table) Rank(ev *Evidence, r *Ranking) {
	t.weigh(ev)
	t.gather(ev, r)
	if r.ratioed(t) {
		t.ratios(ev, r)
	}
	r.Roots = rootFaults
	t.enumerate(ev, r, r.Roots)
	if len(r.alive) > rootFaults && (r.calledFor(t) || r.total0 < Unexplained*r.total) {
		r.Roots = mostRoots
		t.enumerate(ev, r, r.Roots)
	}
	t.conclude(ev, r)
}

// ratioed tells whether every test can come out in every way without a fault, so that likelihoods can be compared with that.
func (r *Ranking) ratioed(t *Table) bool { return t.slip() > 0 && len(r.bad) <= 64 }

// gather finds the faults on which readings bear, and the tests that only a fault or a slip explains.
func (t *Table) gather(ev *Evidence, r *Ranking) {
	n := len(t.Faults)
	if r.table != t {
		r.table = t
		r.is, r.odds, r.r, r.r0 = make([]bool, n), make([]float64, n), make([]float64, n), make([]float64, n)
		r.sum, r.sum0, r.cover = make([]float64, n), make([]float64, n), make([]uint64, n)
		r.k, r.k0, r.covers = make([]float64, n*n), make([]float64, n*n), make([]uint64, n*n)
		r.Faults = make([]Standing, n)
		r.ratio = make([][]float64, len(t.Tests))
		for i := range r.ratio {
			r.ratio[i] = make([]float64, len(t.parts[i]))
		}
	}
	clear(r.is)
	r.bad, r.alive, r.z = r.bad[:0], r.alive[:0], 1
	for i := range ev.tests {
		s := &ev.tests[i]
		if !s.valid {
			continue
		}
		if s.p0 == 0 {
			r.bad = append(r.bad, int32(i))
		} else {
			r.z *= s.p0 / s.p
		}
		for k := range t.parts[i] {
			p := &t.parts[i][k]
			if !r.is[p.fault] && ev.bears(p) {
				r.is[p.fault] = true
			}
		}
	}
	for _, f := range t.upward {
		for _, l := range t.Faults[f].Leads {
			r.is[f] = r.is[f] || r.is[l.To]
		}
	}
	for f := range t.Faults {
		r.is[f] = r.is[f] && t.prior(f) > 0
		if r.is[f] {
			r.alive = append(r.alive, int32(f))
		}
	}
	for _, f := range r.alive {
		r.odds[f] = t.prior(int(f)) / (1 - t.prior(int(f)))
		for _, l := range t.Faults[f].Leads {
			if r.is[l.To] {
				r.odds[f] *= 1 - l.Strength
			}
		}
	}
}

// bears tells whether a reading that counts can tell of the fault.
func (ev *Evidence) bears(p *part) bool {
	for _, c := range p.checks {
		if ev.Possible[c] != 0 {
			return true
		}
	}
	return false
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

// ratios compares each fault and each two faults with none, test by test.
func (t *Table) ratios(ev *Evidence, r *Ranking) {
	for _, f := range r.alive {
		r.r[f], r.r0[f], r.cover[f] = 1, 1, 0
		row := int(f) * len(t.Faults)
		for _, g := range t.sharing[f] {
			r.k[row+int(g)], r.k0[row+int(g)], r.covers[row+int(g)] = 1, 1, 0
		}
	}
	bad := uint64(0)
	for i := range ev.tests {
		s := &ev.tests[i]
		if !s.valid {
			continue
		}
		if s.p0 == 0 {
			t.testRatios(ev, r, i, 1<<bad)
			bad++
		} else {
			t.testRatios(ev, r, i, 0)
		}
	}
}

func (t *Table) testRatios(ev *Evidence, r *Ranking, i int, bad uint64) {
	s, parts, n := &ev.tests[i], t.parts[i], len(t.Faults)
	var one [2]int32
	for k := range parts {
		f := parts[k].fault
		if !r.is[f] {
			continue
		}
		one[0] = f
		p, p0 := t.test(ev, i, one[:1])
		r.ratio[i][k] = p / s.p
		r.r[f] *= p / s.p
		switch {
		case bad == 0:
			r.r0[f] *= p0 / s.p0
		case p0 > 0:
			r.cover[f] |= bad
		}
	}
	for k := range parts {
		f := parts[k].fault
		if !r.is[f] {
			continue
		}
		for j := range k {
			g := parts[j].fault
			if !r.is[g] {
				continue
			}
			one[0], one[1] = g, f
			p, p0 := t.test(ev, i, one[:])
			at := int(g)*n + int(f)
			r.k[at] *= p / s.p / (r.ratio[i][k] * r.ratio[i][j])
			switch {
			case len(r.bad) == 0:
				_, f0 := t.test(ev, i, one[1:])
				_, g0 := t.test(ev, i, one[:1])
				r.k0[at] *= p0 * s.p0 / (f0 * g0) // not a number if one of them is impossible
			case bad != 0 && p0 > 0:
				r.covers[at] |= bad
			}
		}
	}
}

// enumerate weighs all sets of up to so many roots.
func (t *Table) enumerate(ev *Evidence, r *Ranking, roots int) {
	r.sets, r.total, r.total0, r.best = r.sets[:0], 0, 0, 0
	clear(r.sum)
	clear(r.sum0)
	var members [mostFaults]int32
	r.add(t, ev, members[:0])
	for i, f := range r.alive {
		members[0] = f
		r.add(t, ev, members[:1])
		for j := i + 1; j < len(r.alive) && roots > 1; j++ {
			if members[1] = r.alive[j]; t.linked(members[:2]) {
				continue
			}
			r.add(t, ev, members[:2])
			for k := j + 1; k < len(r.alive) && roots > 2; k++ {
				if members[2] = r.alive[k]; !t.linked(members[:3]) {
					r.add(t, ev, members[:3])
				}
			}
		}
	}
	for _, linked := range t.rides(roots) {
		if r.allAlive(linked) {
			r.add(t, ev, linked)
		}
	}
}

func (r *Ranking) allAlive(faults []int32) bool {
	return !slices.ContainsFunc(faults, func(f int32) bool { return !r.is[f] })
}

// add weighs a set.
func (r *Ranking) add(t *Table, ev *Evidence, faults []int32) {
	s := set{n: int16(len(faults))}
	for i, f := range faults {
		s.faults[i] = int16(f)
	}
	p, p0 := t.relative(ev, r, faults)
	odds := t.oddsOf(r, faults)
	s.w, s.w0 = odds*p, odds*p0
	r.total += s.w
	r.total0 += s.w0
	for _, f := range faults {
		r.sum[f] += s.w
		r.sum0[f] += s.w0
	}
	r.best = max(r.best, s.w)
	r.sets = append(r.sets, s)
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
	switch {
	case !r.ratioed(t):
	case len(faults) == 0:
		if len(r.bad) == 0 {
			return 1, r.z
		}
		return 1, 0
	case len(faults) == 1:
		f := faults[0]
		switch {
		case len(r.bad) == 0:
			return r.r[f], r.z * r.r0[f]
		case r.cover[f] != r.allBad():
			return r.r[f], 0
		}
		_, p0 = t.product(ev, r, faults)
		return r.r[f], p0
	default:
		p, p0 = 1, r.z
		cover := uint64(0)
		for i, f := range faults {
			p, p0, cover = p*r.r[f], p0*r.r0[f], cover|r.cover[f]
			for _, g := range faults[:i] {
				if at := int(min(f, g))*len(t.Faults) + int(max(f, g)); t.shares[at] {
					p, p0, cover = p*r.k[at], p0*r.k0[at], cover|r.covers[at]
				}
			}
		}
		if len(faults) > 2 && t.shareOne(faults) {
			return t.product(ev, r, faults)
		}
		switch {
		case len(r.bad) == 0 && p0 == p0:
			return p, p0
		case len(r.bad) > 0 && cover != r.allBad():
			return p, 0
		}
		_, p0 = t.product(ev, r, faults)
		return p, p0
	}
	return t.product(ev, r, faults)
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
	p, p0 = 1, r.z
	left := len(r.bad)
	for word := range (len(t.Tests) + 63) / 64 {
		touched := uint64(0)
		for _, f := range faults {
			touched |= t.touching[f][word]
		}
		for ; touched != 0; touched &= touched - 1 {
			i := 64*word + bits.TrailingZeros64(touched)
			s := &ev.tests[i]
			if !s.valid {
				continue
			}
			q, q0 := t.test(ev, i, faults)
			scale := s.p
			if s.p == 0 {
				scale = 1
			}
			p *= q / scale
			if s.p0 > 0 {
				p0 *= q0 / s.p0
			} else {
				p0 *= q0 / scale
				left--
			}
		}
	}
	if left > 0 {
		p0 = 0
		if t.slip() == 0 {
			p = 0
		}
	}
	return p, p0
}
