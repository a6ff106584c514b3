package diagnosis

import (
	"slices"
	"sync/atomic"
)

// What one test says of each fault and of each two, worked out once for every way in which it came out.

// outcomes compares the likelihood of a test under faults with that under none.
type outcomes struct {
	r, r0   []float64  // per part: likelihood ratio, and that of the parts without slips
	k       []together // per two parts: the ratio of both together to the product of their ratios, and the same without slips
	moved   []uint64   // the faults that it tells something of
	against []uint64   // the faults that it speaks against
	q0      []float64  // per two parts: the ratio of both together without slips
	kept    bool       // remembered, so that three may be too
	three   atomic.Pointer[[]together]
}

// mostWays of one test are remembered.
const mostWays = 4096

// layOutcomes makes room to remember the outcomes of each test, and numbers the pairs of its parts.
func (t *Table) layOutcomes() {
	n := len(t.Faults)
	t.pairAt, t.known = make([][]int32, len(t.Tests)), make([][]atomic.Pointer[outcomes], len(t.Tests))
	t.first, t.again = make([][]shared, len(t.Tests)), make([][]shared, len(t.Tests))
	t.bearers, t.bearing = make([][]int32, len(t.Tests)), make([][]uint64, len(t.Tests))
	met := make([]bool, n*n)
	for i := range t.Tests {
		t.bearing[i] = make([]uint64, wordsOf(n))
		for k := range t.parts[i] {
			g := t.parts[i][k].fault
			t.bearers[i] = append(t.bearers[i], g)
			t.bearing[i][g/64] |= 1 << (g % 64)
			for _, f := range t.bearers[i][:k] {
				at := int32(int(min(f, g))*n + int(max(f, g)))
				pair := shared{int32(len(t.pairAt[i])), at}
				t.pairAt[i] = append(t.pairAt[i], at)
				if met[at] {
					t.again[i] = append(t.again[i], pair)
					continue
				}
				met[at] = true
				t.first[i], t.sharedAt = append(t.first[i], pair), append(t.sharedAt, at)
			}
		}
		ways := 1
		for v := t.valueFrom[i]; v < t.valueEnd[i] && ways <= mostWays; v++ {
			ways *= t.values[v].ways + 1
		}
		if ways <= mostWays {
			t.known[i] = make([]atomic.Pointer[outcomes], ways)
		}
	}
	slices.Sort(t.sharedAt)
}

// shared is a pair of parts of a test, and of the faults that they are of.
type shared struct{ pair, at int32 }

// outcomesOf finds what a test says. room is used if it came out in a way that is not remembered: softly, or too seldom.
func (t *Table) outcomesOf(ev *Evidence, i int, room *outcomes) *outcomes {
	s := &ev.tests[i]
	if t.known[i] == nil || s.way < 0 {
		t.compare(ev, i, room)
		return room
	}
	at := &t.known[i][s.way]
	if o := at.Load(); o != nil {
		return o
	}
	o := &outcomes{kept: true}
	t.compare(ev, i, o)
	at.Store(o)
	return o
}

// compare works out what a test says.
func (t *Table) compare(ev *Evidence, i int, o *outcomes) {
	s, parts := &ev.tests[i], t.parts[i]
	words := wordsOf(len(t.Faults))
	o.r, o.r0 = resized(o.r, len(parts)), resized(o.r0, len(parts))
	o.k, o.q0 = resized(o.k, len(t.pairAt[i])), resized(o.q0, len(t.pairAt[i]))
	o.moved, o.against = cleared(o.moved, words), cleared(o.against, words)
	scale0 := s.p0
	if scale0 == 0 {
		scale0 = s.p // nothing is left without faults: the ratio is to the likelihood with slips
	}
	var set [2]int32
	for k := range parts {
		f := parts[k].fault
		set[0] = f
		p, p0 := t.test(ev, i, set[:1])
		o.r[k], o.r0[k] = p/s.p, p0/scale0
		if o.r[k] >= shift || o.r[k] <= 1/shift {
			o.moved[f/64] |= 1 << (f % 64)
		}
		if o.r[k] < (1-tolerance)/shift && t.decided(ev, i, int(f)) {
			o.against[f/64] |= 1 << (f % 64)
		}
	}
	m := 0
	for k := range parts {
		for j := range k {
			set[0], set[1] = parts[j].fault, parts[k].fault
			p, p0 := t.test(ev, i, set[:])
			o.k[m].k = p / s.p / (o.r[k] * o.r[j])
			o.k[m].k0 = p0 / scale0 / (o.r0[k] * o.r0[j]) // not a number if one of them is impossible
			o.q0[m] = p0 / scale0
			m++
		}
	}
}

// mostTold are the parts of a test of which what each three do together is remembered.
const mostTold = 16

// threeOf compares the ratio of each three parts together to what each two of them make of it; nil if that is not remembered.
func (t *Table) threeOf(ev *Evidence, i int, o *outcomes) []together {
	if !o.kept || len(o.r) > mostTold {
		return nil
	}
	if three := o.three.Load(); three != nil {
		return *three
	}
	var three []together
	for h := range o.r {
		for g := range h {
			for f := range g {
				three = append(three, t.compareThree(ev, i, o, f, g, h))
			}
		}
	}
	o.three.Store(&three)
	return three
}

func (t *Table) compareThree(ev *Evidence, i int, o *outcomes, f, g, h int) together {
	s, parts := &ev.tests[i], t.parts[i]
	p, p0 := t.test(ev, i, []int32{parts[f].fault, parts[g].fault, parts[h].fault})
	fg, fh, gh := &o.k[pairOf(f, g)], &o.k[pairOf(f, h)], &o.k[pairOf(g, h)]
	return together{
		k:  p / s.p / (o.r[f] * o.r[g] * o.r[h] * fg.k * fh.k * gh.k),
		k0: p0 / s.p0 / (o.r0[f] * o.r0[g] * o.r0[h] * fg.k0 * fh.k0 * gh.k0), // no number that is used if nothing is left without faults
	}
}

// together is what three faults make of a test beyond what each two of them do.
func (t *Table) together(ev *Evidence, r *Ranking, i int, set [3]int32) together {
	at, o := t.partOf[i], r.says[i]
	f, g, h := int(at[set[0]]), int(at[set[1]]), int(at[set[2]])
	if three := t.threeOf(ev, i, o); three != nil {
		return three[tripleOf(f, g, h)]
	}
	return t.compareThree(ev, i, o, f, g, h)
}

// under is the likelihood of a test under a set of faults, from what is remembered of it if few of them bear on it.
func (t *Table) under(ev *Evidence, r *Ranking, i int, set []int32) float64 {
	if r.ratioed {
		var at [2]int
		n := 0
		for _, f := range set {
			if k := int(t.partOf[i][f]); k >= 0 {
				if n < len(at) {
					at[n] = k
				}
				n++
			}
		}
		o, p := r.says[i], ev.tests[i].p
		switch n {
		case 0:
			return p
		case 1:
			return p * o.r[at[0]]
		case 2:
			return p * o.r[at[0]] * o.r[at[1]] * o.k[pairOf(at[0], at[1])].k
		}
	}
	p, _ := t.test(ev, i, set)
	return p
}

// pairOf numbers two parts of a test.
func pairOf(f, g int) int {
	less, more := min(f, g), max(f, g)
	return more*(more-1)/2 + less
}

// tripleOf numbers three parts of a test.
func tripleOf(f, g, h int) int {
	f, g = min(f, g), max(f, g)
	g, h = min(g, h), max(g, h)
	f, g = min(f, g), max(f, g)
	return h*(h-1)*(h-2)/6 + g*(g-1)/2 + f
}

func resized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}
