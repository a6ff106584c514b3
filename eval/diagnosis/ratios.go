package diagnosis

// What the readings say of each fault and of each two, all tests together.

// ratios compare the likelihood of all readings under faults with that under none.
type ratios struct {
	ratioed       bool        // every test can come out in every way without a fault, so that likelihoods can be compared with that
	r, r0         []float64   // per fault: likelihood ratio of all tests, and of their parts without slips
	a, a0         []float64   // the same times the odds before any reading
	k             []together  // per two faults, the lesser first: the correction of both
	cover, covers []uint64    // per fault, and per two: the bad tests that they explain
	covered       []int32     // the places in covers that are set
	says          []*outcomes // per test
	room          []outcomes
}

// together corrects the product of the ratios of two faults.
type together struct{ k, k0 float64 }

// compareAll compares each fault and each two faults with none, test by test.
func (t *Table) compareAll(ev *Evidence, r *Ranking) {
	for f := range t.Faults {
		r.r[f], r.r0[f], r.cover[f] = 1, 1, 0
	}
	for _, at := range r.covered {
		r.covers[at] = 0
	}
	r.covered = r.covered[:0]
	bad := 0
	for i := range ev.tests {
		r.says[i] = nil
		switch s := &ev.tests[i]; {
		case !s.valid:
			for _, x := range t.first[i] {
				r.k[x.at] = together{1, 1}
			}
		case s.p0 > 0:
			o := t.outcomesOf(ev, i, &r.room[i])
			r.says[i] = o
			t.multiply(r, i, o)
		default:
			o := t.outcomesOf(ev, i, &r.room[i])
			r.says[i] = o
			t.multiplyBad(r, i, o, 1<<bad)
			bad++
		}
	}
}

// multiply takes in a test that can come out so without a fault.
func (t *Table) multiply(r *Ranking, i int, o *outcomes) {
	for k, f := range t.bearers[i] {
		r.r[f] *= o.r[k]
		r.r0[f] *= o.r0[k]
	}
	for _, x := range t.first[i] {
		r.k[x.at] = o.k[x.pair]
	}
	for _, x := range t.again[i] {
		k, more := &r.k[x.at], &o.k[x.pair]
		k.k *= more.k
		k.k0 *= more.k0
	}
}

// multiplyBad takes in a test that nothing but a fault or a slip explains.
func (t *Table) multiplyBad(r *Ranking, i int, o *outcomes, bit uint64) {
	for k, f := range t.bearers[i] {
		r.r[f] *= o.r[k]
		if o.r0[k] > 0 {
			r.cover[f] |= bit
		}
	}
	for _, x := range t.first[i] {
		r.k[x.at] = together{o.k[x.pair].k, 1}
	}
	for _, x := range t.again[i] {
		r.k[x.at].k *= o.k[x.pair].k
	}
	for m, at := range t.pairAt[i] {
		if o.q0[m] > 0 {
			r.covers[at] |= bit
			r.covered = append(r.covered, at)
		}
	}
}

// prepare joins odds and ratios.
func (r *Ranking) prepare() {
	for f := range r.a {
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
			q *= o.q0[pairOf(k, j)]
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
