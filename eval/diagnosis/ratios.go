package diagnosis

import "math/bits"

// What the readings say of each fault and of each two, all tests together.

// ratios compare the likelihood of all readings under faults with that under none.
type ratios struct {
	ratioed bool      // every test can come out in every way without a fault, so that likelihoods can be compared with that
	r       []float64 // per fault: likelihood ratio of all tests
	a       []float64 // the same times the odds before any reading
	k       []float64 // per two faults, in either order: the correction of the product of their ratios; 0 for a fault and itself
	a0, k0  []float64 // the same of the parts without slips, if no test is bad
	cover   []uint64  // per fault: the bad tests that it explains by itself
	bears   []uint64  // per fault: the bad tests on which it bears
}

// compareAll compares each fault and each two faults with none.
func (t *Table) compareAll(ev *Evidence, r *Ranking) {
	for f := range r.r {
		r.r[f] = 1
	}
	clear(r.cover)
	clear(r.bears)
	plain, bad := len(r.bad) == 0, 0
	if plain {
		copy(r.a0, r.odds)
	}
	for i, s := range ev.tests {
		if !s.valid {
			for _, x := range t.first[i] {
				r.k[x.at], r.k[x.mirror], r.k0[x.at], r.k0[x.mirror] = 1, 1, 1, 1
			}
			continue
		}
		t.multiply(r.r, i, s.r)
		t.correct(r.k, i, s.k)
		if plain {
			t.multiply(r.a0, i, s.r0)
			t.correct(r.k0, i, s.k0)
		}
		if s.p0 > 0 {
			continue
		}
		for k, f := range t.bearers[i] {
			r.bears[f] |= 1 << bad
			if s.r0[k] > 0 {
				r.cover[f] |= 1 << bad
			}
		}
		bad++
	}
	for f, ratio := range r.r {
		r.a[f] = r.odds[f] * ratio
	}
}

// multiply takes in what a test says of each fault.
func (t *Table) multiply(all []float64, test int, ratios []float64) {
	bearers := t.bearers[test]
	for k, ratio := range ratios[:len(bearers)] {
		all[bearers[k]] *= ratio
	}
}

// correct takes in what a test makes of each two faults.
func (t *Table) correct(all []float64, test int, k []float64) {
	for _, x := range t.first[test] {
		all[x.at], all[x.mirror] = k[x.pair], k[x.pair]
	}
	for _, x := range t.again[test] {
		both := all[x.at] * k[x.pair]
		all[x.at], all[x.mirror] = both, both
	}
}

// ratio0 is the likelihood ratio of one fault by the parts without slips of the tests that are not bad.
func (t *Table) ratio0(ev *Evidence, r *Ranking, f int32) float64 {
	if len(r.bad) == 0 && r.odds[f] > 0 { // odds are 0 if it always leads to another one
		return r.a0[f] / r.odds[f]
	}
	product := 1.
	for word, tests := range t.touching[f] {
		for ; tests != 0; tests &= tests - 1 {
			i := 64*word + bits.TrailingZeros64(tests)
			if s := ev.tests[i]; s.valid && s.p0 > 0 {
				product *= s.r0[t.partOf[i][f]]
			}
		}
	}
	return product
}

// correction0 is the correction of the product of these of two faults.
func (t *Table) correction0(ev *Evidence, r *Ranking, f, g int32) float64 {
	if len(r.bad) == 0 {
		return t.row(r.k0, f)[g]
	}
	product := 1.
	for word, tests := range t.touching[f] {
		for tests &= t.touching[g][word]; tests != 0; tests &= tests - 1 {
			i := 64*word + bits.TrailingZeros64(tests)
			if s := ev.tests[i]; s.valid && s.p0 > 0 {
				product *= s.k0[pairOf(int(t.partOf[i][f]), int(t.partOf[i][g]))]
			}
		}
	}
	return product
}

// covered are the bad tests that two faults explain, each by itself or both together.
func (t *Table) covered(ev *Evidence, r *Ranking, f, g int32) uint64 {
	alone := r.cover[f] | r.cover[g]
	return alone | t.coveredBy(ev, r, f, g, alone)
}

// coveredBy are the bad tests besides those of already that two faults explain together.
func (t *Table) coveredBy(ev *Evidence, r *Ranking, f, g int32, already uint64) uint64 {
	both := uint64(0)
	for rest := r.bears[f] & r.bears[g] &^ already; rest != 0; rest &= rest - 1 {
		i := r.bad[bits.TrailingZeros64(rest)]
		if ev.tests[i].q0[pairOf(int(t.partOf[i][f]), int(t.partOf[i][g]))] > 0 {
			both |= rest & -rest
		}
	}
	return both
}

// explained is what one fault leaves of the bad tests without slips.
func (t *Table) explained(ev *Evidence, r *Ranking, f int32) float64 {
	q := 1.
	for _, i := range r.bad {
		k := t.partOf[i][f]
		if k < 0 {
			return 0
		}
		q *= ev.tests[i].r0[k]
	}
	return q
}

// explained2 is the same of two faults.
func (t *Table) explained2(ev *Evidence, r *Ranking, f, g int32) float64 {
	q := 1.
	for _, i := range r.bad {
		s, k, j := ev.tests[i], int(t.partOf[i][f]), int(t.partOf[i][g])
		switch {
		case k >= 0 && j >= 0:
			q *= s.q0[pairOf(k, j)]
		case k >= 0:
			q *= s.r0[k]
		case j >= 0:
			q *= s.r0[j]
		default:
			return 0
		}
	}
	return q
}
