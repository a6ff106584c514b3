package diagnosis

import "math/bits"

// Sets of up to two faults.

// pairs weighs all sets of up to two faults, none of which cause each other.
func (t *Table) pairs(ev *Evidence, r *Ranking) {
	none, none0 := t.relative(ev, r, nil)
	total, total0, best := none, none0, none
	times(r.k, r.a, r.others)
	n, all := len(r.a), r.allBad()
	others, sum, sum0, cover := r.others[:n], r.sum[:n], r.sum0[:n], r.cover[:n]
	for f, w := range r.a {
		w0 := 0.
		if cover[f] == all {
			w0 = t.single0(ev, r, int32(f))
		}
		with := w * others[f]
		sum[f], sum0[f] = w+with, w0
		total += w + with/2 // the other of the two counts it as well
		total0 += w0
		if w > best {
			best = w
		}
	}
	r.total, r.total0, r.best = total, total0, best
	if len(r.bad) == 0 {
		t.pairs0(ev, r)
	} else {
		t.coveringPairs(ev, r)
	}
	t.holdPairs(ev, r, none, none0)
}

// pairs0 adds up what all pairs weigh without slips when every test can come out so without a fault.
func (t *Table) pairs0(ev *Evidence, r *Ranking) {
	times(r.k0, r.a0, r.others)
	for _, f := range r.alive {
		with := r.z * r.a0[f] * r.others[f]
		if with != with { // one of two is impossible by itself
			with = 0
			for _, g := range r.alive {
				if g != f {
					with += t.pair0(ev, r, f, g)
				}
			}
		}
		r.sum0[f] += with
		r.total0 += with / 2
	}
}

// coveringPairs does so when some tests need a fault: without slips only those pairs have a weight that explain them all. Of these one fault bears on that
// bad test on which fewest do, and the other one on what this leaves.
func (t *Table) coveringPairs(ev *Evidence, r *Ranking) {
	scarce := r.bad[0]
	for _, i := range r.bad {
		if len(t.bearers[i]) < len(t.bearers[scarce]) {
			scarce = i
		}
	}
	all := r.allBad()
	for _, f := range t.bearers[scarce] {
		others := r.alive
		if left := all &^ r.cover[f]; left != 0 {
			others = t.bearers[r.bad[bits.TrailingZeros64(left)]]
		}
		for _, g := range others {
			if g == f || g < f && t.partOf[scarce][g] >= 0 || r.cover[f]|r.cover[g]|r.bears[f]&r.bears[g] != all {
				continue
			}
			w0 := t.pair0(ev, r, f, g)
			r.sum0[f] += w0
			r.sum0[g] += w0
			r.total0 += w0
		}
	}
}

// single0 is what one fault weighs without slips.
func (t *Table) single0(ev *Evidence, r *Ranking, f int32) float64 {
	if r.cover[f] != r.allBad() || r.odds[f] == 0 {
		return 0
	}
	return r.z * r.odds[f] * t.ratio0(ev, r, f) * t.explained(ev, r, f)
}

// pair0 is what two faults weigh without slips.
func (t *Table) pair0(ev *Evidence, r *Ranking, f, g int32) float64 {
	if t.covered(ev, r, f, g) != r.allBad() {
		return 0
	}
	odds := r.odds[f] * r.odds[g]
	w0 := r.z * odds * t.ratio0(ev, r, f) * t.ratio0(ev, r, g) * t.correction0(ev, r, f, g) * t.explained2(ev, r, f, g)
	if w0 != w0 { // one of the two is impossible by itself
		_, p0 := t.product(ev, r, []int32{f, g})
		w0 = odds * p0
	}
	return w0
}

// holdPairs keeps the sets to tell of. No pair weighs more than all sets with one of its faults. What one of two weighs beside the other is worked out first:
// both by themselves can come to more than a float64 holds.
func (t *Table) holdPairs(ev *Evidence, r *Ranking, none, none0 float64) {
	r.hot = r.hot[:0]
	for _, f := range r.alive {
		if r.sum[f] >= r.leastHeavy() {
			r.hot = append(r.hot, f)
		}
	}
	for i, f := range r.hot {
		row := t.row(r.k, f)
		for _, g := range r.hot[i+1:] {
			if w := r.a[f] * (r.a[g] * row[g]); w > r.best {
				r.best = w
			}
		}
	}
	least := r.leastHeavy()
	if none >= least {
		r.hold(nil, none, none0)
	}
	for _, f := range r.hot {
		if r.a[f] >= least {
			r.hold([]int32{f}, r.a[f], t.single0(ev, r, f))
		}
	}
	for i, f := range r.hot {
		row := t.row(r.k, f)
		for _, g := range r.hot[i+1:] {
			if w := r.a[f] * (r.a[g] * row[g]); w >= least {
				r.hold([]int32{f, g}, w, t.pair0(ev, r, f, g))
			}
		}
	}
}

// row of a fault in a matrix of each two.
func (t *Table) row(m []float64, f int32) []float64 {
	n := len(t.Faults)
	return m[int(f)*n : int(f)*n+n]
}

// times multiplies a square matrix with a vector, four rows at once so that no addition waits for the one before.
func times(m, x, product []float64) {
	n, f := len(x), 0
	for ; f+4 <= n; f += 4 {
		rows := m[f*n : f*n+4*n]
		r0, r1, r2, r3 := rows[:n], rows[n:][:n], rows[2*n:][:n], rows[3*n:][:n]
		var a, b, c, d float64
		for i, y := range x {
			a += float64(r0[i] * y)
			b += float64(r1[i] * y)
			c += float64(r2[i] * y)
			d += float64(r3[i] * y)
		}
		product[f], product[f+1], product[f+2], product[f+3] = a, b, c, d
	}
	for ; f < n; f++ {
		product[f] = 0
		for i, y := range x {
			product[f] += float64(m[f*n+i] * y)
		}
	}
}
