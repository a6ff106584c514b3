package eval

import (
	"math"

	"github.com/brushgear/brushgear/eval/uncertainty"
)

// First-order propagation of uncertainty (JCGM 100:2008, 5.1.2 and 5.2.2): beside each number the frame keeps its sensitivity to every source of
// error of the test, in units of that source's standard uncertainty. Sources are independent of each other: the own error of each reading, and
// the error that all readings of one meter share. So the standard uncertainty of a difference is the root of the sum of squares of the
// difference of two rows, with shared inputs accounted for.

// row returns the sensitivities of a register, nil if it has none (a constant).
func (f *frame) row(p *program, r int32, sources int32) []float64 {
	at := p.rowAt[r]
	if at < 0 {
		return nil
	}
	return f.rows[at : at+sources]
}

// seed sets the rows of the readings and conditions of a test from their errors. Such a row has two entries at most.
func (f *frame) seed(p *program, t *boundTest) {
	for _, r := range t.seeds {
		at := p.rowAt[r]
		e := &f.errors[r]
		f.rows[at+p.sourceOf[r]] = e.own
		if last := f.seeded[r]; last != e.meter {
			if last >= 0 {
				f.rows[at+t.ownSources+int32(last)] = 0
			}
			f.seeded[r] = e.meter
		}
		if e.meter >= 0 {
			f.rows[at+t.ownSources+int32(e.meter)] = e.shared
		}
	}
}

// readingError is the standard uncertainty of one reading: a part of its own, and a part that it shares with all readings of its meter.
type readingError struct {
	own, shared float64
	variance    float64 // of the reading alone
	meter       int16   // which of the meters of its performance, -1 without a shared part

	ownShape, sharedShape uncertainty.Shape // of the distributions, for a simulation
}

// sense works out the rows of what an operation has just computed.
func (f *frame) sense(p *program, o *op, sources int32) {
	switch o.code {
	case codeAdd, codeSub, codeMul, codeDiv, codePower, codeAbs:
		for k := range o.n {
			f.sensePair(p, o, k, sources)
		}
	case codeLaw:
		f.senseLaw(p, o, sources)
	case codeProvided:
		scale(f.row(p, o.dst, sources), 1, f.row(p, o.a, sources), 0, nil)
	case codeCarry:
		row := f.row(p, o.dst, sources)
		clear(row)
		if row[o.aux] = f.standard(p, o.a); row[o.aux] == 0 {
			row[o.aux] = norm(f.row(p, o.a, o.b)) // b holds how many sources the other test has
		}
	case codeMean, codeTotal, codeHighest, codeLowest, codeMiddle, codeSpan:
		f.senseList(p, o, sources)
	}
}

func norm(row []float64) float64 {
	sum := 0.0
	for _, v := range row {
		sum += float64(v * v)
	}
	return math.Sqrt(sum)
}

// middle is the value at which derivatives are taken: the value itself, or the middle of a range.
func (r *reg) middle() float64 {
	switch {
	case r.lo == r.hi:
		return r.lo
	case !math.IsInf(r.lo, 0) && !math.IsInf(r.hi, 0):
		return (r.lo + r.hi) / 2
	case !math.IsInf(r.lo, 0):
		return r.lo
	case !math.IsInf(r.hi, 0):
		return r.hi
	}
	return 0
}

func (f *frame) sensePair(p *program, o *op, k, sources int32) {
	dst := f.row(p, o.dst+k, sources)
	ra := o.a + k*o.sa
	a := f.regs[ra].middle()
	if o.code == codeAbs {
		sign := 1.0
		if a < 0 {
			sign = -1
		}
		scale(dst, sign, f.row(p, ra, sources), 0, nil)
		return
	}
	rb := o.b + k*o.sb
	b := f.regs[rb].middle()
	da, db := 1.0, 1.0
	switch o.code {
	case codeSub:
		db = -1
	case codeMul:
		da, db = b, a
	case codeDiv:
		if b == 0 {
			clear(dst)
			return
		}
		da, db = 1/b, -a/(b*b)
	case codePower:
		da, db = 2*math.Pi*b, 2*math.Pi*a
	}
	scale(dst, da, f.row(p, ra, sources), db, f.row(p, rb, sources))
}

// scale sets dst to x*a + y*b; a nil row is all zeros.
func scale(dst []float64, x float64, a []float64, y float64, b []float64) {
	switch {
	case a == nil && b == nil:
		clear(dst)
	case b == nil:
		for i := range dst {
			dst[i] = x * a[i]
		}
	case a == nil:
		for i := range dst {
			dst[i] = y * b[i]
		}
	default:
		for i := range dst {
			dst[i] = float64(x*a[i]) + float64(y*b[i])
		}
	}
}

// senseLaw carries errors through a correction.
func (f *frame) senseLaw(p *program, o *op, sources int32) {
	l := &p.laws[o.aux]
	dst := f.row(p, o.dst, sources)
	if f.regs[o.dst].flags&(regMissing|regRefused|regUnbounded) != 0 {
		clear(dst)
		return
	}
	arg := 0.0
	if l.arg >= 0 {
		arg = f.regs[l.arg].middle()
	}
	dx, dc, da := l.k.law.slopes(f.regs[o.a].middle(), f.regs[l.cond].middle(), l.ref, arg, l.per)
	scale(dst, dx, f.row(p, o.a, sources), dc, f.row(p, l.cond, sources))
	if l.arg >= 0 {
		if row := f.row(p, l.arg, sources); row != nil {
			scale(dst, 1, dst, da, row)
		}
	}
}

// senseList takes the derivatives of a function of a list.
func (f *frame) senseList(p *program, o *op, sources int32) {
	dst := f.row(p, o.dst, sources)
	clear(dst)
	n := int(o.n)
	if n == 0 {
		return
	}
	add := func(k int, w float64) {
		if row := f.row(p, o.a+int32(k), sources); row != nil {
			scale(dst, 1, dst, w, row)
		}
	}
	switch o.code {
	case codeMean, codeTotal:
		w := 1.0
		if o.code == codeMean {
			w = 1 / float64(n)
		}
		for k := range n {
			add(k, w)
		}
	case codeHighest, codeLowest, codeSpan:
		low, high := f.extremes(o.a, n)
		if o.code != codeLowest {
			add(high, 1)
		}
		if o.code == codeLowest {
			add(low, 1)
		} else if o.code == codeSpan {
			add(low, -1)
		}
	case codeMiddle:
		i, j := f.medians(o.a, n)
		add(i, 0.5)
		add(j, 0.5)
	}
}

func (f *frame) extremes(base int32, n int) (low, high int) {
	for k := range n {
		v := f.regs[base+int32(k)].middle()
		if v < f.regs[base+int32(low)].middle() {
			low = k
		}
		if v > f.regs[base+int32(high)].middle() {
			high = k
		}
	}
	return low, high
}

// medians returns the places of the two middle members of a list, the same twice if its length is odd.
func (f *frame) medians(base int32, n int) (int, int) {
	rank := func(k int) int { // how many members come before it
		before := 0
		v := f.regs[base+int32(k)].middle()
		for m := range n {
			w := f.regs[base+int32(m)].middle()
			if w < v || w == v && m < k {
				before++
			}
		}
		return before
	}
	i, j := 0, 0
	for k := range n {
		switch rank(k) {
		case (n - 1) / 2:
			i = k
		}
		if rank(k) == n/2 {
			j = k
		}
	}
	return i, j
}

// apart is the standard uncertainty of the difference of two registers.
func (f *frame) apart(p *program, a, b int32, sources int32) float64 {
	ra, rb := f.row(p, a, sources), f.row(p, b, sources)
	switch {
	case ra == nil && rb == nil:
		return 0
	case rb == nil:
		return norm(ra)
	case ra == nil:
		return norm(rb)
	}
	sum := 0.0
	for i := range ra {
		d := ra[i] - rb[i]
		sum += float64(d * d)
	}
	return math.Sqrt(sum)
}
