package diagnosis

import "slices"

// Sets of up to two faults.

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
	scarce := t.scarce(r)
	for i, f := range r.alive {
		sum, sum0 := 0., 0.
		switch {
		case len(r.bad) == 0:
			sum, sum0 = t.row(r, int(f))
		case slices.Contains(scarce, f):
			sum, sum0 = t.coveringRow(r, int(f), r.alive[i+1:])
		default:
			sum, sum0 = t.coveringRow(r, int(f), scarce)
		}
		if sum0 != sum0 { // one of two is impossible by itself
			sum0 = t.slowRow(ev, r, i)
		}
		r.total, r.total0 = r.total+sum, r.total0+sum0
		r.sum[f] += sum
		r.sum0[f] += sum0
	}
}

// scarce lists the faults that bear on that bad test on which fewest do: without slips every set has one of them.
func (t *Table) scarce(r *Ranking) []int32 {
	var least []int32
	for _, i := range r.bad {
		if bearers := t.bearers[i]; least == nil || len(bearers) < len(least) {
			least = bearers
		}
	}
	return least
}

// row weighs a fault with each one after it when every test can come out so without a fault. What is not a number is left to slowRow.
func (t *Table) row(r *Ranking, f int) (sum, sum0 float64) {
	n, from := len(t.Faults), f+1
	a, a0, least := r.a[f], r.z*r.a0[f], r.leastHeavy()
	as, a0s, k, sums, sums0 := r.a[from:n], r.a0[from:n], r.k[f*n+from:f*n+n], r.sum[from:n], r.sum0[from:n]
	for i, x := range as {
		w, w0 := a*x*k[i].k, a0*a0s[i]*k[i].k0
		sum += w
		sums[i] += w
		if w0 == w0 {
			sums0[i] += w0
		}
		sum0 += w0
		if w >= least {
			r.hold([]int32{int32(f), int32(from + i)}, w, w0)
		}
	}
	return sum, sum0
}

// coveringRow is row when some tests need a fault: without slips only those pairs have a weight that explain them all, and these are among the faults of
// within.
func (t *Table) coveringRow(r *Ranking, f int, within []int32) (sum, sum0 float64) {
	n, from := len(t.Faults), f+1
	a, least := r.a[f], r.leastHeavy()
	k, sums := r.k[f*n+from:f*n+n], r.sum[from:n]
	for i, x := range r.a[from:n] {
		w := a * x * k[i].k
		sum += w
		sums[i] += w
		if w >= least {
			r.hold([]int32{int32(f), int32(from + i)}, w, t.covering2(r, f, from+i))
		}
	}
	all, cover, covers := r.allBad(), r.cover[f], r.covers[f*n:f*n+n]
	for _, g := range within {
		if int(g) > f && cover|r.cover[g]|covers[g] == all {
			w0 := t.covering2(r, f, int(g))
			if w0 == w0 {
				r.sum0[g] += w0
			}
			sum0 += w0
		}
	}
	return sum, sum0
}

// covering2 is the weight without slips of two faults, if they explain all bad tests.
func (t *Table) covering2(r *Ranking, f, g int) float64 {
	at := f*len(t.Faults) + g
	if r.cover[f]|r.cover[g]|r.covers[at] != r.allBad() {
		return 0
	}
	return r.z * r.a0[f] * r.a0[g] * r.k[at].k0 * t.explained(r, int32(f), int32(g), true)
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
			_, p0 := t.relative(ev, r, s.faults())
			s.w0 = t.oddsOf(r, s.faults()) * p0
		}
	}
	return sum0
}
