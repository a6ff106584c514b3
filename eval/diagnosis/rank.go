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

	// Most is how many independent faults are considered at once where two do not explain the readings; 0 stands for 3. It is set before Rank.
	Most int

	table         *Table
	ratioed       bool // every test can come out in every way without a fault, so that likelihoods can be compared with that
	alive         []int32
	is            []bool // of alive
	odds          []float64
	a, a0         []float64   // per fault: odds times likelihood ratio, and the same without slips
	r, r0         []float64   // per fault: likelihood ratio of all tests, and of their parts without slips
	k             []together  // per two faults, the lesser first: the correction of both
	cover, covers []uint64    // per fault, and per two: the bad tests that they explain
	says          []*outcomes // per test
	room          []outcomes
	bad           []int32 // tests that nothing but a fault or a slip explains
	z             float64 // the part without slips of all tests that are not bad, without faults
	total, total0 float64
	best          float64
	sum, sum0     []float64
	heavy         []set // those that weigh enough to be told of
	members       []int32
	companions    [][]companion // per story
	company       []float64     // per story, its weight with any one companion or none, compared with the story alone
	givens        []float64     // per story and fault, its likelihood ratio beside the story
	borne         []uint64      // per story, the tests on which its faults bear
	crowded       []uint64      // per story, the tests on which several of its faults bear
	weighed       []bool        // per story
	moved         []uint64      // per story: the faults of which tests tell something on which the story does not bear
	against       []uint64      // and those that they speak against
}

// together corrects the product of the ratios of two faults.
type together struct{ k, k0 float64 }

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
	Factor      float64 // how much the readings favour it over its absence, within the stories; 1 if nothing tells of it
}

// set is some faults that are there together, with its weight and the part of it without slips.
type set struct {
	faults [mostFaults]int16
	n      int16
	w, w0  float64
}

// Rank works out the probabilities of all faults. It does not allocate once ranking and evidence have been used for the table before, unless the
// readings come out in a new way or call for three faults at once. Evidence and ranking belong to one goroutine.
func (t *Table) Rank(ev *Evidence, r *Ranking) {
	t.weigh(ev)
	t.gather(ev, r)
	r.ratioed = t.slip() > 0 && len(r.bad) <= 64
	if r.ratioed {
		t.ratios(ev, r)
		r.prepare()
	}
	r.Roots = rootFaults
	t.enumerate(ev, r, r.Roots)
	most := mostRoots
	if r.Most > 0 {
		most = min(r.Most, mostRoots)
	}
	if most > rootFaults && len(r.alive) > rootFaults && (r.calledFor(t) || r.total0 < Unexplained*r.total) {
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
	r.is, r.odds, r.r, r.r0 = make([]bool, n), make([]float64, n), make([]float64, n), make([]float64, n)
	r.a, r.a0 = make([]float64, n), make([]float64, n)
	r.sum, r.sum0, r.cover = make([]float64, n), make([]float64, n), make([]uint64, n)
	r.k, r.covers = make([]together, n*n), make([]uint64, n*n)
	for i := range r.k {
		r.k[i] = together{1, 1}
	}
	r.Faults = make([]Standing, n)
	r.says, r.room = make([]*outcomes, len(t.Tests)), make([]outcomes, len(t.Tests))
}

// gather finds the faults on which readings bear, and the tests that only a fault or a slip explains.
func (t *Table) gather(ev *Evidence, r *Ranking) {
	r.use(t)
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
			if p := &t.parts[i][k]; s.whole || ev.bears(p) {
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
	for f := range t.Faults {
		r.r[f], r.r0[f], r.cover[f] = 1, 1, 0
	}
	for _, at := range t.sharedAt {
		r.k[at] = together{1, 1}
	}
	if len(r.bad) > 0 {
		for _, at := range t.sharedAt {
			r.covers[at] = 0
		}
	}
	bad := uint64(0)
	for i := range ev.tests {
		s := &ev.tests[i]
		r.says[i] = nil
		if !s.valid {
			continue
		}
		o := t.outcomesOf(ev, i, &r.room[i])
		r.says[i] = o
		parts, pairs := t.parts[i], t.pairAt[i]
		for k, x := range o.r {
			r.r[parts[k].fault] *= x
		}
		ks := o.k[:len(pairs)]
		if s.p0 > 0 {
			for k, x := range o.r0 {
				r.r0[parts[k].fault] *= x
			}
			for m, at := range pairs {
				x := &r.k[at]
				x.k *= ks[m].k
				x.k0 *= ks[m].k0
			}
			continue
		}
		for m, at := range pairs {
			r.k[at].k *= ks[m].k
		}
		bit := uint64(1) << bad
		bad++
		for k := range parts {
			if o.r0[k] > 0 {
				r.cover[parts[k].fault] |= bit
			}
		}
		for m, at := range pairs {
			if o.q0[m] > 0 {
				r.covers[at] |= bit
			}
		}
	}
}

// prepare joins odds and ratios.
func (r *Ranking) prepare() {
	for _, f := range r.alive {
		r.a[f], r.a0[f] = r.odds[f]*r.r[f], r.odds[f]*r.r0[f]
	}
}

// explained is what a set of one or two faults leaves of the bad tests without slips; both is false for one.
func (t *Table) explained(r *Ranking, f, g int32, both bool) float64 {
	q := 1.
	for _, i := range r.bad {
		o, k, j := r.says[i], int(t.partOf[i][f]), -1
		if both {
			j = int(t.partOf[i][g])
		}
		switch {
		case k >= 0 && j >= 0:
			less, more := min(k, j), max(k, j)
			q *= o.q0[more*(more-1)/2+less]
		case k >= 0:
			q *= o.r0[k]
		case j >= 0:
			q *= o.r0[j]
		default:
			return 0
		}
	}
	return q
}

// enumerate weighs all sets of up to so many roots.
func (t *Table) enumerate(ev *Evidence, r *Ranking, roots int) {
	r.heavy, r.total, r.total0, r.best = r.heavy[:0], 0, 0, 0
	clear(r.sum)
	clear(r.sum0)
	switch {
	case !r.ratioed:
		t.every(ev, r, roots, r.add)
	case roots == rootFaults && len(t.upward) == 0:
		t.pairs(ev, r)
	default:
		t.quick(ev, r, roots)
	}
	r.heavy = slices.DeleteFunc(r.heavy, func(s set) bool { return s.w < r.best*credible*(1-tolerance) })
}

// pairs weighs all sets of up to two faults that do not cause each other, the short way.
func (t *Table) pairs(ev *Evidence, r *Ranking) {
	var one [2]int32
	none, none0 := t.relative(ev, r, nil)
	r.add(nil, none, none0)
	for _, f := range r.alive {
		one[0] = f
		w0 := 0.
		if r.cover[f] == r.allBad() {
			w0 = r.z * r.a0[f] * t.explained(r, f, f, false)
		}
		r.add(one[:1], r.a[f], w0)
	}
	for i, f := range r.alive {
		sum, sum0 := 0., 0.
		if len(r.bad) == 0 {
			sum, sum0 = t.row(r, i)
		} else {
			sum, sum0 = t.coveringRow(ev, r, i)
		}
		if sum0 != sum0 { // one of two is impossible by itself
			sum0 = t.slowRow(ev, r, i)
		}
		r.total, r.total0 = r.total+sum, r.total0+sum0
		r.sum[f] += sum
		r.sum0[f] += sum0
	}
}

// row weighs a fault with each one after it when every test can come out so without a fault. What is not a number is left to slowRow.
func (t *Table) row(r *Ranking, i int) (sum, sum0 float64) {
	n, f := len(t.Faults), int(r.alive[i])
	a, a0, k := r.a[f], r.z*r.a0[f], r.k[f*n:f*n+n]
	least := r.best * credible * (1 - tolerance)
	as, a0s, sums, sums0 := r.a[:n], r.a0[:n], r.sum[:n], r.sum0[:n]
	for _, g := range r.alive[i+1:] {
		x := &k[g]
		w, w0 := a*as[g]*x.k, a0*a0s[g]*x.k0
		sum += w
		sums[g] += w
		if w0 == w0 {
			sums0[g] += w0
		}
		sum0 += w0
		if w >= least {
			r.best = max(r.best, w)
			r.heavy = append(r.heavy, set{faults: [mostFaults]int16{int16(f), int16(g)}, n: 2, w: w, w0: w0})
		}
	}
	return sum, sum0
}

// coveringRow is row when some tests need a fault: without slips only those pairs have a weight that explain them all.
func (t *Table) coveringRow(ev *Evidence, r *Ranking, i int) (sum, sum0 float64) {
	n, f := len(t.Faults), int(r.alive[i])
	a, a0, k, covers := r.a[f], r.z*r.a0[f], r.k[f*n:f*n+n], r.covers[f*n:f*n+n]
	least := r.best * credible * (1 - tolerance)
	all, cover := r.allBad(), r.cover[f]
	for _, g := range r.alive[i+1:] {
		w, w0 := a*r.a[g]*k[g].k, 0.
		if cover|r.cover[g]|covers[g] == all {
			w0 = a0 * r.a0[g] * k[g].k0 * t.explained(r, int32(f), g, true)
			if w0 == w0 {
				r.sum0[g] += w0
			}
		}
		sum, sum0 = sum+w, sum0+w0
		r.sum[g] += w
		if w >= least {
			r.best = max(r.best, w)
			r.heavy = append(r.heavy, set{faults: [mostFaults]int16{int16(f), int16(g)}, n: 2, w: w, w0: w0})
		}
	}
	return sum, sum0
}

// slowRow adds up what a row weighs without slips, those that are not a number worked out test by test.
func (t *Table) slowRow(ev *Evidence, r *Ranking, i int) (sum0 float64) {
	f := r.alive[i]
	for _, g := range r.alive[i+1:] {
		_, p0 := t.relative(ev, r, []int32{f, g})
		w0 := r.odds[f] * r.odds[g] * p0
		sum0 += w0
		quick := r.z * r.a0[f] * r.a0[g] * r.k[int(f)*len(t.Faults)+int(g)].k0
		if len(r.bad) > 0 {
			quick *= t.explained(r, f, g, true)
		}
		if quick != quick {
			r.sum0[g] += w0
		}
	}
	for k := range r.heavy {
		if s := &r.heavy[k]; s.w0 != s.w0 {
			_, p0 := t.relative(ev, r, r.membersOf(s))
			s.w0 = t.oddsOf(r, r.membersOf(s)) * p0
		}
	}
	return sum0
}

// quick weighs all sets of up to so many roots, three of them by the corrections of each two unless one test speaks of all three.
func (t *Table) quick(ev *Evidence, r *Ranking, roots int) {
	if len(t.upward) == 0 {
		t.pairs(ev, r)
	} else {
		t.every(ev, r, min(roots, rootFaults), r.add)
	}
	if roots <= rootFaults {
		return
	}
	for _, linked := range t.rides(roots) {
		if r.allAlive(linked) && !t.within(linked, rootFaults) {
			p, p0 := t.relative(ev, r, linked)
			odds := t.oddsOf(r, linked)
			r.add(linked, odds*p, odds*p0)
		}
	}
	for i, f := range r.alive {
		for j := i + 1; j < len(r.alive); j++ {
			if g := r.alive[j]; !t.kin[int(f)*len(t.Faults)+int(g)] {
				t.triples(ev, r, f, g, r.alive[j+1:])
			}
		}
	}
}

// within tells whether a set belongs to those of fewer roots.
func (t *Table) within(set []int32, roots int) bool {
	return t.rootsOf(set) <= roots && len(set) <= roots+followers
}

// triples weighs two faults with each of others that none of them causes.
func (t *Table) triples(ev *Evidence, r *Ranking, f, g int32, others []int32) {
	n := len(t.Faults)
	pair := &r.k[int(f)*n+int(g)]
	a, a0 := r.a[f]*r.a[g]*pair.k, r.z*r.a0[f]*r.a0[g]*pair.k0
	kf, kg := r.k[int(f)*n:int(f)*n+n], r.k[int(g)*n:int(g)*n+n]
	all := r.allBad()
	cover := r.cover[f] | r.cover[g]
	if all != 0 && t.shares[int(f)*n+int(g)] {
		cover |= r.covers[int(f)*n+int(g)]
	}
	sum, sum0 := 0., 0.
	set := [3]int32{f, g, 0}
	least := r.best * credible * (1 - tolerance)
	for _, h := range others {
		if t.kin[int(f)*n+int(h)] || t.kin[int(g)*n+int(h)] {
			continue
		}
		set[2] = h
		w, w0 := a*r.a[h]*kf[h].k*kg[h].k, 0.
		covered := cover
		if all != 0 {
			covered = t.covering(r, cover, f, g, h)
		} else {
			w0 = a0 * r.a0[h] * kf[h].k0 * kg[h].k0
		}
		if t.shareAll(f, g, h) {
			x, x0, bad := t.correction(ev, r, set)
			w, w0, covered = w*x, w0*x0, covered|bad
		}
		if all != 0 && covered == all || w0 != w0 {
			_, p0 := t.product(ev, r, set[:])
			w0 = r.odds[f] * r.odds[g] * r.odds[h] * p0
		}
		sum, sum0 = sum+w, sum0+w0
		r.sum[h] += w
		r.sum0[h] += w0
		if w >= least {
			r.best = max(r.best, w)
			r.heavy = append(r.heavy, set3(set, w, w0))
		}
	}
	r.total, r.total0 = r.total+sum, r.total0+sum0
	for _, m := range [2]int32{f, g} {
		r.sum[m] += sum
		r.sum0[m] += sum0
	}
}

// correction is what three faults make of the tests that speak of all of them, beyond what each two do, and the bad ones among these.
func (t *Table) correction(ev *Evidence, r *Ranking, set [3]int32) (x, x0 float64, bad uint64) {
	x, x0 = 1, 1
	for word, tests := range t.touching[set[0]] {
		for tests &= t.touching[set[1]][word] & t.touching[set[2]][word]; tests != 0; tests &= tests - 1 {
			i := 64*word + bits.TrailingZeros64(tests)
			s := &ev.tests[i]
			if !s.valid {
				continue
			}
			p, p0 := t.test(ev, i, set[:])
			o, at := r.says[i], t.partOf[i]
			f, g, h := int(at[set[0]]), int(at[set[1]]), int(at[set[2]])
			if g < f {
				f, g = g, f
			}
			if h < g {
				g, h = h, g
			}
			if g < f {
				f, g = g, f
			}
			fg, fh, gh := &o.k[g*(g-1)/2+f], &o.k[h*(h-1)/2+f], &o.k[h*(h-1)/2+g]
			x *= p / s.p / (o.r[f] * o.r[g] * o.r[h] * fg.k * fh.k * gh.k)
			if s.p0 > 0 {
				x0 *= p0 / s.p0 / (o.r0[f] * o.r0[g] * o.r0[h] * fg.k0 * fh.k0 * gh.k0)
				continue
			}
			for k, b := range r.bad {
				if int(b) == i {
					bad |= 1 << k
				}
			}
		}
	}
	return x, x0, bad
}

func set3(faults [3]int32, w, w0 float64) set {
	return set{faults: [mostFaults]int16{int16(faults[0]), int16(faults[1]), int16(faults[2])}, n: 3, w: w, w0: w0}
}

// covering is the set of bad tests that three faults explain, some of them by two.
func (t *Table) covering(r *Ranking, cover uint64, f, g, h int32) uint64 {
	n := len(t.Faults)
	cover |= r.cover[h]
	for _, m := range [2]int32{f, g} {
		if at := int(m)*n + int(h); t.shares[at] {
			cover |= r.covers[at]
		}
	}
	return cover
}

// shareAll tells whether there is a test on which three faults bear.
func (t *Table) shareAll(f, g, h int32) bool {
	for word, tests := range t.touching[f] {
		if tests&t.touching[g][word]&t.touching[h][word] != 0 {
			return true
		}
	}
	return false
}

// add counts a set.
func (r *Ranking) add(faults []int32, w, w0 float64) {
	r.total += w
	r.total0 += w0
	for _, f := range faults {
		r.sum[f] += w
		r.sum0[f] += w0
	}
	r.best = max(r.best, w)
	if w >= r.best*credible*(1-tolerance) {
		s := set{n: int16(len(faults)), w: w, w0: w0}
		for i, f := range faults {
			s.faults[i] = int16(f)
		}
		r.heavy = append(r.heavy, s)
	}
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
	switch {
	case !r.ratioed:
	case len(faults) == 0:
		if len(r.bad) == 0 {
			return 1, r.z
		}
		return 1, 0
	case len(faults) == 1:
		f := faults[0]
		if r.cover[f] != r.allBad() {
			return r.r[f], 0
		}
		return r.r[f], r.z * r.r0[f] * t.explained(r, f, f, false)
	default:
		p, p0 = 1, r.z
		cover := uint64(0)
		for i, f := range faults {
			p, p0, cover = p*r.r[f], p0*r.r0[f], cover|r.cover[f]
			for _, g := range faults[:i] {
				if at := int(min(f, g))*len(t.Faults) + int(max(f, g)); t.shares[at] {
					p, p0 = p*r.k[at].k, p0*r.k[at].k0
					if len(r.bad) > 0 {
						cover |= r.covers[at]
					}
				}
			}
		}
		if len(faults) > 2 && t.shareOne(faults) {
			return t.product(ev, r, faults)
		}
		switch {
		case cover != r.allBad():
			return p, 0
		case p0 == p0 && len(r.bad) == 0:
			return p, p0
		case p0 == p0 && len(faults) == 2:
			return p, p0 * t.explained(r, faults[0], faults[1], true)
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
