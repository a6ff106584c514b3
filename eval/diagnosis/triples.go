package diagnosis

import "math/bits"

// Sets of three faults, and of more where they cause each other.

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
	kf, kg := t.row(r.k, f), t.row(r.k, g)
	a, a0 := r.a[f]*(r.a[g]*kf[g]), 0.
	var kf0, kg0 []float64
	all := r.allBad()
	if all == 0 {
		kf0, kg0 = t.row(r.k0, f), t.row(r.k0, g)
		a0 = r.z * r.a0[f] * r.a0[g] * kf0[g]
	}
	cover := t.covered(ev, r, f, g)
	bothBear, bear := cover|r.bears[f]&r.bears[g], r.bears[f]|r.bears[g]
	sum, sum0 := 0., 0.
	set := [3]int32{f, g, 0}
	least := r.leastHeavy()
	for _, h := range others {
		if t.kin[int(f)*n+int(h)] || t.kin[int(g)*n+int(h)] {
			continue
		}
		set[2] = h
		w, w0 := a*(r.a[h]*kf[h]*kg[h]), 0.
		if all == 0 {
			w0 = a0 * r.a0[h] * kf0[h] * kg0[h]
		}
		three := t.shareAll(f, g, h)
		if three {
			x, x0 := t.correction(ev, set)
			w, w0 = w*x, w0*x0
		}
		if all != 0 && bothBear|r.cover[h]|bear&r.bears[h] == all && (three || t.covering(ev, r, cover, f, g, h) == all) || w0 != w0 {
			_, p0 := t.product(ev, r, set[:])
			w0 = r.odds[f] * r.odds[g] * r.odds[h] * p0
		}
		sum, sum0 = sum+w, sum0+w0
		r.sum[h] += w
		r.sum0[h] += w0
		if w >= least {
			r.hold(set[:], w, w0)
		}
	}
	r.total, r.total0 = r.total+sum, r.total0+sum0
	for _, m := range [2]int32{f, g} {
		r.sum[m] += sum
		r.sum0[m] += sum0
	}
}

// correction is what three faults make of the tests that speak of all of them, beyond what each two do, without slips of those that are not bad.
func (t *Table) correction(ev *Evidence, set [3]int32) (x, x0 float64) {
	x, x0 = 1, 1
	for word, tests := range t.touching[set[0]] {
		for tests &= t.touching[set[1]][word] & t.touching[set[2]][word]; tests != 0; tests &= tests - 1 {
			i := 64*word + bits.TrailingZeros64(tests)
			if !ev.tests[i].valid {
				continue
			}
			at := t.partOf[i]
			all := t.together(ev, i, at[set[0]], at[set[1]], at[set[2]])
			x *= all.k
			if ev.tests[i].p0 > 0 {
				x0 *= all.k0
			}
		}
	}
	return x, x0
}

// covering is the set of bad tests that three faults explain, some of them by two.
func (t *Table) covering(ev *Evidence, r *Ranking, cover uint64, f, g, h int32) uint64 {
	cover |= r.cover[h]
	cover |= t.coveredBy(ev, r, f, h, cover)
	return cover | t.coveredBy(ev, r, g, h, cover)
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
