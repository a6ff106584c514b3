package diagnosis

// What one test says of each fault and of each two.

// layPairs numbers the pairs of the parts of each test.
func (t *Table) layPairs() {
	n := len(t.Faults)
	t.first, t.again = make([][]shared, len(t.Tests)), make([][]shared, len(t.Tests))
	t.bearers, t.bearing = make([][]int32, len(t.Tests)), make([][]uint64, len(t.Tests))
	met := make([]bool, n*n)
	for i := range t.Tests {
		t.bearing[i] = make([]uint64, wordsOf(n))
		pair := int32(0)
		for k := range t.parts[i] {
			g := t.parts[i][k].fault
			t.bearers[i] = append(t.bearers[i], g)
			t.bearing[i][g/64] |= 1 << (g % 64)
			for _, f := range t.bearers[i][:k] {
				x := shared{pair, f*int32(n) + g, g*int32(n) + f}
				pair++
				if met[x.at] {
					t.again[i] = append(t.again[i], x)
				} else {
					met[x.at] = true
					t.first[i] = append(t.first[i], x)
				}
			}
		}
	}
}

// shared is a pair of parts of a test, and the places of the faults that they are of among each two.
type shared struct{ pair, at, mirror int32 }

// together corrects the product of the ratios of several faults.
type together struct{ k, k0 float64 }

// use makes room for the figures of so many parts.
func (s *seen) use(parts, words int) {
	pairs := pairsOf(parts)
	s.room, s.speaks = resized(s.room, 2*parts+3*pairs), cleared(s.speaks, 2*words)
	rest := s.room
	next := func(n int) []float64 {
		figures := rest[:n:n]
		rest = rest[n:]
		return figures
	}
	s.r, s.k, s.r0, s.k0, s.q0 = next(parts), next(pairs), next(parts), next(pairs), next(pairs)
}

// compare works out what a test says.
func (t *Table) compare(ev *Evidence, i int) {
	s, parts := ev.tests[i], t.parts[i]
	words := wordsOf(len(t.Faults))
	s.use(len(parts), words)
	scale0 := s.p0
	if scale0 == 0 {
		scale0 = s.p // nothing is left without faults: the ratio is to the likelihood with slips
	}
	var set [2]int32
	for k := range parts {
		f := parts[k].fault
		set[0] = f
		p, p0 := t.test(ev, i, set[:1])
		s.r[k], s.r0[k] = p/s.p, p0/scale0
		if s.r[k] >= shift || s.r[k] <= 1/shift {
			s.speaks[f/64] |= 1 << (f % 64)
		}
		if s.r[k] < (1-tolerance)/shift && t.decided(ev, i, int(f)) {
			s.speaks[words+int(f/64)] |= 1 << (f % 64)
		}
	}
	m := 0
	for k := range parts {
		for j := range k {
			set[0], set[1] = parts[j].fault, parts[k].fault
			p, p0 := t.test(ev, i, set[:])
			s.k[m] = p / s.p / (s.r[k] * s.r[j])
			s.k0[m] = p0 / scale0 / (s.r0[k] * s.r0[j]) // not a number if one of them is impossible
			s.q0[m] = p0 / scale0
			m++
		}
	}
}

// mostTold are the parts of a test of which what each three do together is remembered.
const mostTold = 16

// threeOf compares the ratio of each three parts together to what each two of them make of it; nil if that is not remembered.
func (t *Table) threeOf(ev *Evidence, i int) []together {
	s := ev.tests[i]
	if s.three == nil {
		return nil
	}
	if three := s.three.Load(); three != nil {
		return *three
	}
	var three []together
	for h := range s.r {
		for g := range h {
			for f := range g {
				three = append(three, t.compareThree(ev, i, f, g, h))
			}
		}
	}
	s.three.Store(&three)
	return three
}

func (t *Table) compareThree(ev *Evidence, i, f, g, h int) together {
	s, parts := ev.tests[i], t.parts[i]
	p, p0 := t.test(ev, i, []int32{parts[f].fault, parts[g].fault, parts[h].fault})
	fg, fh, gh := pairOf(f, g), pairOf(f, h), pairOf(g, h)
	return together{
		k:  p / s.p / (s.r[f] * s.r[g] * s.r[h] * s.k[fg] * s.k[fh] * s.k[gh]),
		k0: p0 / s.p0 / (s.r0[f] * s.r0[g] * s.r0[h] * s.k0[fg] * s.k0[fh] * s.k0[gh]), // no number that is used if nothing is left without faults
	}
}

// together is what three parts make of a test beyond what each two of them do.
func (t *Table) together(ev *Evidence, i int, f, g, h int16) together {
	f, g = min(f, g), max(f, g)
	g, h = min(g, h), max(g, h)
	f, g = min(f, g), max(f, g) // in order, so that it is the same to the bit whether it was remembered or not
	if three := t.threeOf(ev, i); three != nil {
		return three[tripleOf(int(f), int(g), int(h))]
	}
	return t.compareThree(ev, i, int(f), int(g), int(h))
}

// under is the likelihood of a test under a set of faults compared with that under none, from what is remembered of it if few of them bear on it.
func (t *Table) under(ev *Evidence, r *Ranking, i int, set []int32) float64 {
	s := ev.tests[i]
	if r.ratioed {
		ratio, first, n := 1., 0, 0
		for _, f := range set {
			k := int(t.partOf[i][f])
			if k < 0 {
				continue
			}
			if ratio *= s.r[k]; n == 1 {
				ratio *= s.k[pairOf(first, k)]
			}
			first = k
			n++
		}
		if n <= 2 {
			return ratio
		}
	}
	p, _ := t.test(ev, i, set)
	return p / s.p
}

// pairsOf so many parts.
func pairsOf(parts int) int { return parts * (parts - 1) / 2 }

// pairOf numbers two parts of a test.
func pairOf(f, g int) int {
	less, more := min(f, g), max(f, g)
	return pairsOf(more) + less
}

// tripleOf numbers three parts of a test, f < g < h.
func tripleOf(f, g, h int) int {
	return h*(h-1)*(h-2)/6 + g*(g-1)/2 + f
}

func resized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}
