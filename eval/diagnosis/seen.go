package diagnosis

import (
	"math/bits"
	"slices"
	"sync/atomic"
)

// What was read of each test. A test that came out sharply in a way in which it came out before is not weighed again.

// seen is a test with its evidence, and how that compares its likelihood under faults with that under none. What every ranking needs comes first.
type seen struct {
	valid   bool
	whole   bool      // all its checks were read
	p0      float64   // likelihood without faults and without a slip
	clean   float64   // its share of p
	slipped float64   // probability of a slip without faults
	r       []float64 // per part: likelihood ratio
	k       []float64 // per two parts: the ratio of both together to the product of their ratios
	speaks  []uint64  // the faults that it tells something of, and those that it speaks against

	p       float64 // likelihood without faults
	misread float64 // likelihood if misread, times slip
	slip    float64 // probability that it was misread
	base    float64 // product of the likelihoods of its values without faults, those of zero left out
	zeros   int     // how many are zero
	values  []weighed

	r0, k0 []float64                   // as r and k, of the parts without slips
	q0     []float64                   // per two parts: the ratio of both together without slips
	room   []float64                   // for all these figures
	three  *atomic.Pointer[[]together] // what each three parts do, if the test is remembered and has not too many
}

// weighed is a value with its evidence.
type weighed struct {
	lambda  []float64 // weight of each cell
	cell    int32     // the only one that has weight, and that weight is 1; -1 if there are several
	valid   bool
	whole   bool    // all its checks were read
	healthy float64 // likelihood without faults
	mean    float64 // likelihood if it was misread
}

const (
	mostWays    = 4096    // of one test are remembered
	mostFigures = 1 << 22 // of one table are remembered, about; what comes then is worked out each time
)

// digits of the number of the way in which a test came out sharply: what each outcome of a check adds to it, and last that the check was not read.
type digits struct {
	check int32
	of    [33]int32
}

// noWay spoils the number of the way: of what is not an outcome, or of one check of several on a value that was not read. An int32 holds the
// sum of as many as there may be checks.
const (
	noWay      = -1 << 24
	mostChecks = 127
)

// layWays numbers the ways in which each test can come out sharply. The ways of a value are its cells; of one with a single check also those outcomes that
// belong to the good cell and to one of their own, and that it was not read.
func (t *Table) layWays() {
	t.digits, t.known, t.figures = make([][]digits, len(t.Tests)), make([][]atomic.Pointer[seen], len(t.Tests)), new(atomic.Int64)
	for i := range t.Tests {
		ways := 1
		for _, v := range t.valuesOf(i) {
			own := v.cells
			for k, c := range v.checks {
				d := digits{check: int32(c)}
				l := &v.lanes[k]
				for o := range d.of {
					if d.of[o] = noWay; o < 32 && l.good&(1<<o) != 0 {
						d.of[o] = 0
					}
				}
				for lane := 1; lane < l.n; lane++ {
					switch o := l.outcome[lane]; {
					case l.good&(1<<o) == 0:
						d.of[o] = int32(ways * v.stride[k] * lane)
					case len(v.checks) == 1:
						d.of[o] = int32(ways * own)
						own++
					default:
						d.of[o] = noWay
					}
				}
				if len(v.checks) == 1 {
					d.of[32] = int32(ways * own)
					own++
				}
				t.digits[i] = append(t.digits[i], d)
			}
			if ways *= own; ways > mostWays {
				break
			}
		}
		if ways <= mostWays && len(t.digits[i]) <= mostChecks {
			t.known[i] = make([]atomic.Pointer[seen], ways)
		}
	}
}

func (t *Table) valuesOf(test int) []*value { return t.values[t.valueFrom[test]:t.valueEnd[test]] }

// wayOf is the number of the way in which a test came out, negative if softly or if it has too many. A repeat makes a slip less likely, so it is another
// test.
func (t *Table) wayOf(ev *Evidence, i int) int32 {
	if t.known[i] == nil || ev.Repeats != nil && ev.Repeats[i] > 1 {
		return noWay
	}
	way := int32(0)
	for k := range t.digits[i] {
		d := &t.digits[i][k]
		possible := ev.Possible[d.check]
		if possible&(possible-1) != 0 || ev.Weights != nil && ev.Weights[d.check] != nil {
			return noWay
		}
		way += d.of[bits.TrailingZeros32(possible)]
	}
	return way
}

// use makes room for the tests of a table.
func (ev *Evidence) use(t *Table) {
	if ev.table == t {
		return
	}
	ev.table = t
	ev.tests, ev.room = make([]*seen, len(t.Tests)), make([]seen, len(t.Tests))
	for i := range ev.room {
		for _, v := range t.valuesOf(i) {
			ev.room[i].values = append(ev.room[i].values, weighed{lambda: make([]float64, v.cells)})
		}
	}
}

// weigh takes in the evidence.
func (t *Table) weigh(ev *Evidence) {
	ev.use(t)
	for i := range t.Tests {
		way := t.wayOf(ev, i)
		if way >= 0 {
			if s := t.known[i][way].Load(); s != nil {
				ev.tests[i] = s
				continue
			}
		}
		t.weighTest(ev, i)
		remember := way >= 0 && t.figures.Load() < mostFigures
		if remember {
			t.figures.Add(int64(figuresOf(len(t.parts[i]))))
			ev.tests[i] = ev.room[i].keep(len(t.parts[i]))
		}
		if t.slip() > 0 && ev.tests[i].valid {
			t.compare(ev, i)
		}
		if remember {
			t.known[i][way].Store(ev.tests[i])
		}
	}
}

// figuresOf is how many figures are remembered of a test of so many parts, with what there is besides.
func figuresOf(parts int) int {
	n := 64 + 2*parts + 3*pairsOf(parts)
	if parts <= mostTold {
		n += 2 * parts * (parts - 1) * (parts - 2) / 6
	}
	return n
}

// keep makes a copy to remember, of so many parts.
func (s *seen) keep(parts int) *seen {
	kept := *s
	kept.values = slices.Clone(s.values)
	for k := range kept.values {
		if w := &kept.values[k]; w.cell >= 0 || !w.valid {
			w.lambda = nil
		} else {
			w.lambda = slices.Clone(w.lambda)
		}
	}
	kept.room, kept.speaks = nil, nil
	if parts <= mostTold {
		kept.three = new(atomic.Pointer[[]together])
	}
	return &kept
}

// weighTest takes in the evidence of one test.
func (t *Table) weighTest(ev *Evidence, i int) {
	s := &ev.room[i]
	ev.tests[i] = s
	slip := t.slip()
	s.valid, s.whole, s.p0, s.misread, s.slip, s.base, s.zeros = false, true, 0, 1, slip, 1, 0
	if ev.Repeats != nil {
		for n := ev.Repeats[i]; n > 1 && s.slip > leastSlip; n-- {
			s.slip *= slip
		}
	}
	for k, v := range t.valuesOf(i) {
		w := &s.values[k]
		t.weighValue(ev, v, w)
		if !w.valid {
			s.whole = false
			continue
		}
		s.whole = s.whole && w.whole
		s.valid = true
		s.misread *= w.mean
		if w.healthy == 0 {
			s.zeros++
		} else {
			s.base *= w.healthy
		}
	}
	s.misread *= s.slip
	if s.zeros == 0 {
		s.p0 = float64((1 - s.slip) * s.base)
	}
	s.p = s.p0 + s.misread
	s.clean, s.slipped = s.p0/s.p, s.misread/s.p
}

func (t *Table) slip() float64 {
	switch {
	case t.Slip == 0:
		return DefaultSlip
	case t.Slip < 0:
		return 0
	}
	return max(t.Slip, leastSlip)
}

// weighValue gives each cell of a value the least weight of the outcomes that make it up.
func (t *Table) weighValue(ev *Evidence, v *value, w *weighed) {
	*w = weighed{lambda: w.lambda, cell: -1, whole: true}
	if !slices.ContainsFunc(v.checks, func(c int) bool { return ev.read(t, c) }) {
		return
	}
	w.valid = true
	for cell := range w.lambda {
		w.lambda[cell] = 1
	}
	for k, c := range v.checks {
		if !ev.read(t, c) {
			w.whole = false
			continue
		}
		for cell := range w.lambda {
			lane := cell / v.stride[k] % v.lanes[k].n
			w.lambda[cell] = min(w.lambda[cell], ev.weight(&v.lanes[k], c, lane))
		}
	}
	w.healthy, w.mean = w.lambda[0], t.mean(ev, v)
	if w.whole {
		w.cell = only(w.lambda)
	}
}

// read tells whether a check was read.
func (ev *Evidence) read(t *Table, c int) bool { return ev.Possible[c]&t.All[c] != 0 }

// only is the one cell that has weight, -1 if there are several or if that weight is not 1.
func only(lambda []float64) int32 {
	one := int32(-1)
	for cell, l := range lambda {
		if l == 0 {
			continue
		}
		if one >= 0 || l != 1 {
			return -1
		}
		one = int32(cell)
	}
	return one
}

// weight of one lane of a check.
func (ev *Evidence) weight(l *lanes, c, lane int) float64 {
	if lane > 0 {
		return ev.outcomeWeight(c, int(l.outcome[lane]))
	}
	if ev.Possible[c]&l.good != 0 {
		return 1
	}
	best := 0.
	for g := l.good; g != 0; g &= g - 1 {
		best = max(best, ev.outcomeWeight(c, bits.TrailingZeros32(g)))
	}
	return best
}

func (ev *Evidence) outcomeWeight(c, outcome int) float64 {
	if ev.Weights != nil && ev.Weights[c] != nil {
		return ev.Weights[c][outcome]
	}
	if ev.Possible[c]&(1<<outcome) != 0 {
		return 1
	}
	return 0
}

// mean is the likelihood of a value that was misread. A value alone is then anything: the mean weight of the outcomes. Several checks part one reading
// into 1 + Σ(k−1) stretches, k outcomes each, of which one is as likely as another; so that a check which tells nothing counts for nothing, and a soft
// reading for what it is, 1/mean − 1 adds up over the checks.
func (t *Table) mean(ev *Evidence, v *value) float64 {
	against := 0.
	for _, c := range v.checks {
		if ev.read(t, c) {
			against += 1/ev.average(t, c) - 1
		}
	}
	return 1 / (1 + against)
}

// average is the mean weight of all outcomes of a check.
func (ev *Evidence) average(t *Table, c int) float64 {
	sum := 0.
	for all := t.All[c]; all != 0; all &= all - 1 {
		sum += ev.outcomeWeight(c, bits.TrailingZeros32(all))
	}
	return sum / float64(bits.OnesCount32(t.All[c]))
}
