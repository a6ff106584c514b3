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
}

// mostWays of one test are remembered.
const mostWays = 4096

// layOutcomes makes room to remember the outcomes of each test, and numbers the pairs of its parts.
func (t *Table) layOutcomes() {
	n := len(t.Faults)
	t.pairAt, t.known = make([][]int32, len(t.Tests)), make([][]atomic.Pointer[outcomes], len(t.Tests))
	for i := range t.Tests {
		for k := range t.parts[i] {
			for j := range k {
				f, g := t.parts[i][j].fault, t.parts[i][k].fault
				at := int32(int(min(f, g))*n + int(max(f, g)))
				t.pairAt[i] = append(t.pairAt[i], at)
				t.sharedAt = append(t.sharedAt, at)
			}
		}
		ways := 1
		for v := t.valueFrom[i]; v < t.valueEnd[i] && ways <= mostWays; v++ {
			ways *= t.values[v].cells + 1
		}
		if ways <= mostWays {
			t.known[i] = make([]atomic.Pointer[outcomes], ways)
		}
	}
	slices.Sort(t.sharedAt)
	t.sharedAt = slices.Compact(t.sharedAt)
}

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
	o := &outcomes{}
	t.compare(ev, i, o)
	at.Store(o)
	return o
}

// compare works out what a test says.
func (t *Table) compare(ev *Evidence, i int, o *outcomes) {
	s, parts := &ev.tests[i], t.parts[i]
	words := (len(t.Faults) + 63) / 64
	o.r, o.r0 = resized(o.r, len(parts)), resized(o.r0, len(parts))
	o.k, o.q0 = resized(o.k, len(t.pairAt[i])), resized(o.q0, len(t.pairAt[i]))
	o.moved, o.against = resized(o.moved, words), resized(o.against, words)
	clear(o.moved)
	clear(o.against)
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

func resized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}
