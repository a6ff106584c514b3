package eval

import (
	"cmp"
	"math"
	"slices"

	"github.com/brushgear/brushgear/units"
)

// A Contribution is what one reading adds to the uncertainty of a check.
type Contribution struct {
	Reading string         // as the test calls it, with the position in a list; test.value for a value that another test brings
	Meter   string         // what it was read with: the meter of the record, else the instrument of the sheet, empty without one
	U       units.Quantity // the standard uncertainty that the check would have if this reading alone were uncertain
	Share   float64        // of the variance; all shares add up to 1; below 0 where a shared error cancels part of another
	Shared  bool           // other readings of the same meter share part of its error, so that a better meter helps them all
}

// Budget tells which reading brings how much of the uncertainty with which the check was decided, the largest share first: the reading, or the
// meter, to improve. The shares are those of the law of propagation, JCGM 100:2008, 5.1.2 and 5.2.2: each reading by its slope in the distance to
// the limit, the readings of one meter together by what they share. Of repeats it is the last that counted. It is nil where nothing was read, for
// words and patterns, and where nothing is uncertain. It works on request and judges the test once more; it is safe for concurrent use.
func (c Check) Budget() []Contribution {
	b, s, v := c.bound(), c.state(), c.p.v
	if s.perf < 0 || s.cause == causeMissing || s.cause == causeRefused || b.c.val == nil || b.c.val.typ.class != numberClass || b.c.val.typ.table {
		return nil
	}
	t := &v.program.tests[b.test]
	f := v.closely(c.p.spelled(), b.test)
	if !v.load(f, t, s.perf) {
		return nil
	}
	k := budget{c: c, t: t, perf: v.perfs[s.perf], errors: slices.Clone(f.errors)}
	k.collect(f)
	return k.list()
}

// budget collects the slopes by which the readings of a test enter the distance of a check to its limit.
type budget struct {
	c       Check
	t       *boundTest
	perf    *performance
	errors  []readingError // as they are, by register
	slopes  map[int32]float64
	brought []brought
}

// brought is the error of a value of another test.
type brought struct {
	name string
	u    float64
}

// collect finds the slopes. A test with formulas runs once more with an error of one for each reading, so that its sensitivities are the slopes.
func (k *budget) collect(f *frame) {
	p, b := k.c.p.v.program, k.c.bound()
	k.slopes = map[int32]float64{}
	if !k.t.soft {
		f.perf = k.c.state().perf
		f.run(p, k.t, false)
		k.slopes[b.value] = 1
		if l := k.limit(f); l != nil && l.lim.along != nil {
			down, up := l.lim.along.slope(f.regs[l.cond].middle())
			k.slopes[l.cond] = -down
			if math.Abs(up) > math.Abs(down) {
				k.slopes[l.cond] = -up
			}
		}
		return
	}
	k.each(func(r int32, _ *input, _ string) { f.errors[r] = readingError{own: 1, variance: 1, meter: -1} })
	f.perf = k.c.state().perf
	f.run(p, k.t, false)
	var row []float64
	for _, d := range k.distances(f) {
		if row == nil || k.variance(d) > k.variance(row) {
			row = d
		}
	}
	if row == nil {
		return
	}
	k.each(func(r int32, _ *input, _ string) { k.slopes[r] = row[p.sourceOf[r]] })
	for _, o := range p.ops[k.t.from:k.t.to] {
		if o.code == codeCarry && row[o.aux] != 0 {
			k.brought = append(k.brought, brought{p.nameOf(o.a), math.Abs(row[o.aux])})
		}
	}
}

// each visits the number readings and conditions of the test.
func (k *budget) each(visit func(r int32, in *input, name string)) {
	for j := range k.t.inputs {
		in := &k.t.inputs[j]
		if in.v.typ.class != numberClass {
			continue
		}
		for i := range in.n {
			visit(in.base+i, in, in.name(i))
		}
	}
}

// limit is the limit that the check was judged by, nil of a grade or where none counted.
func (k *budget) limit(f *frame) *boundLimit {
	b, s := k.c.bound(), &f.states[k.c.i]
	if s.limit < 0 || int(s.limit) >= len(b.limits) {
		return nil
	}
	return &b.limits[s.limit]
}

// distances are the sensitivities of what the check turns on: the distance to each bound, or of the spread to what is allowed.
func (k *budget) distances(f *frame) [][]float64 {
	p, b, n := k.c.p.v.program, k.c.bound(), k.t.sources
	less := func(value, bound int32, slope float64) []float64 {
		d := make([]float64, n)
		if row := f.row(p, value, n); row != nil {
			scale(d, 1, row, 0, nil)
		}
		if bound >= 0 {
			if row := f.row(p, bound, n); row != nil {
				scale(d, 1, d, -slope, row)
			}
		}
		return d
	}
	if b.c.kind == gradeCheck {
		var list [][]float64
		for _, cut := range b.cuts {
			if cut >= 0 {
				list = append(list, less(b.value, cut, 1))
			}
		}
		return list
	}
	l := k.limit(f)
	switch {
	case l == nil:
		return nil
	case l.lim.alike != nil:
		return [][]float64{f.spreadRow(p, k.t, b.value, b.n, &p.alikes[l.alike])}
	case l.lim.along != nil:
		down, up := l.lim.along.slope(f.regs[l.cond].middle())
		return [][]float64{less(l.value, l.cond, down), less(l.value, l.cond, up)}
	case k.c.state().newOnly:
		return [][]float64{less(l.value, l.newLow, 1), less(l.value, l.newHigh, 1)}
	}
	return [][]float64{less(l.value, l.low, 1), less(l.value, l.high, 1)}
}

// variance is that of a sum over the readings by their slopes, which stand in a row of sensitivities.
func (k *budget) variance(row []float64) float64 {
	sum := 0.0
	meters := map[int16]float64{}
	k.each(func(r int32, _ *input, _ string) {
		e, slope := &k.errors[r], row[k.c.p.v.program.sourceOf[r]]
		sum += float64(slope * e.own * slope * e.own)
		if e.meter >= 0 {
			meters[e.meter] += float64(slope * e.shared)
		}
	})
	for m := range int16(len(meters)) {
		sum += float64(meters[m] * meters[m])
	}
	for _, o := range k.c.p.v.program.ops[k.t.from:k.t.to] {
		if o.code == codeCarry {
			sum += float64(row[o.aux] * row[o.aux])
		}
	}
	return sum
}

// list puts the contributions in order.
func (k *budget) list() []Contribution {
	unit := differenceUnit(k.c.unit())
	shared, readers := map[int16]float64{}, map[int16]int{}
	total := 0.0
	for _, b := range k.brought {
		total += float64(b.u * b.u)
	}
	k.each(func(r int32, _ *input, _ string) {
		e, slope := &k.errors[r], k.slopes[r]
		total += float64(slope * e.own * slope * e.own)
		if e.meter >= 0 && slope != 0 {
			shared[e.meter] += float64(slope * e.shared)
			readers[e.meter]++
		}
	})
	for m := range int16(len(k.errors)) {
		total += float64(shared[m] * shared[m])
	}
	if total == 0 {
		return nil
	}
	var list []Contribution
	k.each(func(r int32, in *input, name string) {
		e, slope := &k.errors[r], k.slopes[r]
		u := math.Abs(slope) * math.Hypot(e.own, e.shared)
		if u == 0 {
			return
		}
		_, meter := k.c.p.v.job.meterOf(k.c.p.v.job.performanceOf(k.perf, in.pass), in.v)
		list = append(list, Contribution{
			Reading: name, Meter: meter, U: units.FromSI(u, unit),
			Share:  (float64(slope*e.own*slope*e.own) + float64(slope*e.shared*shared[e.meter])) / total,
			Shared: e.meter >= 0 && readers[e.meter] > 1,
		})
	})
	for _, b := range k.brought {
		list = append(list, Contribution{Reading: b.name, U: units.FromSI(b.u, unit), Share: b.u * b.u / total})
	}
	slices.SortStableFunc(list, func(a, b Contribution) int { return cmp.Compare(b.Share, a.Share) })
	return list
}

// nameOf is the name of the value of a test that a register holds.
func (p *program) nameOf(r int32) string {
	for i := range p.tests {
		t := &p.tests[i]
		for _, v := range t.values {
			if r >= v.base && r < v.base+v.n {
				name := t.t.name + "." + v.v.name
				if u := p.units[t.unit].name; u != "" {
					name = u + "." + name
				}
				return name
			}
		}
	}
	return ""
}
