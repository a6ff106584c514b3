package eval

import (
	"math"
	"math/bits"
	"slices"
)

// frame is the working memory of one judgement. It is reused from one to the next.
type frame struct {
	program  *program
	perf     int32 // the performance that is judged
	regs     []reg
	states   []checkState
	sorted   []float64
	kept2    []float64
	weights  []float64
	kept     []checkState
	keptZs   []float64
	spoken   []repeat       // of tests made more than once
	zs       []float64      // per check and outcome: its degree
	halvings int            // of ranges, see untangle
	slopes   []reg          // see untangle; zero between
	shares   []reg          // likewise
	rows     []float64      // sensitivities
	seeded   []int16        // which meter's place in a row was last written
	errors   []readingError // of the readings that are loaded, by register
}

// use prepares the frame for a pass of a program, whose states are stored in states. Registers keep what an earlier pass left: every test writes
// those that others read, so that only the constants must be in place.
func (f *frame) use(p *program, states []checkState, zs []float64) {
	f.states, f.zs, f.halvings = states, zs, 0
	if f.program != p {
		f.program = p
		f.regs = append(f.regs[:0], p.regs...)
		f.rows = grown(f.rows, p.rows)
		clear(f.rows)
		f.seeded = grown(f.seeded, p.inputs)
		for i := range f.seeded {
			f.seeded[i] = -1
		}
		f.errors = grown(f.errors, p.inputs)
	}
}

// grown returns a slice of length n, reusing the memory of s.
func grown[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// run carries out the steps of one test on the readings that are loaded. renewed tells whether only new limits count.
func (f *frame) run(p *program, t *boundTest, renewed bool) {
	if t.soft {
		f.seed(p, t)
	}
	f.steps(p, t, renewed)
}

func (f *frame) steps(p *program, t *boundTest, renewed bool) {
	ops := p.ops[t.from:t.to]
	for i := range ops {
		o := &ops[i]
		if o.code == codeCheck {
			f.check(p, t, o.aux, renewed)
			continue
		}
		switch o.code {
		case codeLaw:
			f.regs[o.dst] = f.law(&p.laws[o.aux], &f.regs[o.a])
		case codeTighten:
			if r, ok := f.untangle(p, &p.tangles[o.aux]); ok {
				f.regs[o.dst] = r
			}
			continue
		case codeProvided:
			f.regs[o.dst] = provided(f.regs[o.a], f.regs[o.b])
		case codeOutcome:
			f.regs[o.dst] = f.outcome(p, &p.refs[o.aux])
		case codeAlike:
			f.regs[o.dst] = f.alikeTruth(p, t, o)
		case codeCarry:
			f.regs[o.dst] = f.regs[o.a]
		case codeEach, codeAny, codeCount, codeHighest, codeLowest, codeMiddle, codeMean, codeTotal, codeSpan:
			f.regs[o.dst] = f.reduce(o.code, f.regs[o.a:o.a+o.n])
		default:
			f.pointwise(p, t, o)
		}
		if t.soft {
			f.sense(p, o, t.sources)
		}
	}
}

func (f *frame) pointwise(p *program, t *boundTest, o *op) {
	for k := range o.n {
		a := f.regs[o.a+k*o.sa]
		var r reg
		switch o.code {
		case codeNot:
			r = opposite(a)
		case codeAbs:
			r = absolute(a)
		case codeWordIs:
			r = certainly(wordIs(a.bits, p.masks[o.aux], o.sb == 1))
		case codeAnd:
			r = both(a, f.regs[o.b+k*o.sb])
		case codeOr:
			r = oneOf(a, f.regs[o.b+k*o.sb])
		case codeAtLeast, codeAtMost, codeAbove, codeBelow, codeEquals:
			rb := o.b + k*o.sb
			r = f.compared(p, t, o.code, o.a+k*o.sa, rb)
		default:
			r = combine(o.code, a, f.regs[o.b+k*o.sb])
		}
		f.regs[o.dst+k] = r
	}
}

// compared compares two registers of a test.
func (f *frame) compared(p *program, t *boundTest, code opCode, a, b int32) reg {
	x, y := f.regs[a], f.regs[b]
	if x.flags&regCount != 0 {
		return compareCount(code, x, y)
	}
	u := 0.0
	if t.soft {
		u = f.apart(p, a, b, t.sources)
	}
	return f.degrees(p, t, code, a, b, x, y, u)
}

// degrees compares two registers whose difference has the standard uncertainty u: as a whole if both use one reading.
func (f *frame) degrees(p *program, t *boundTest, code opCode, a, b int32, x, y reg, u float64) reg {
	if t.tangled && b >= 0 {
		if i, ok := p.apart[pair{a, b}]; ok {
			if d, ok := f.untangle(p, &p.tangles[i]); ok {
				x, y = d, exact(0)
			}
		}
	}
	if p.computed[a] || b >= 0 && p.computed[b] {
		x = x.settled(y)
	}
	return compareDegrees(code, x, y, u)
}

// outcome evaluates a reference: all of its checks have one of the outcomes. Checks that are not meant for this unit do not count.
func (f *frame) outcome(p *program, r *boundRef) reg {
	truth := degrees(0, infinite)
	if len(r.checks) == 0 {
		truth = certainly(either)
	}
	for i, c := range r.checks {
		s := &f.states[c]
		if s.result == NotApplicable {
			continue
		}
		k := &p.checks[c]
		in, out := infinite, infinite
		for o, z := range f.zs[k.z0 : int(k.z0)+len(k.results)] {
			if r.masks[i]&(1<<o) != 0 {
				in = min(in, z)
			} else {
				out = min(out, z)
			}
		}
		truth = both(truth, degrees(in, out))
	}
	if r.not {
		return opposite(truth)
	}
	return truth
}

// correct brings x from the condition c to the reference; where it is there, x is left as read, to the last bit: a reading on its limit stays on it.
func (l *boundLaw) correct(x, c, a float64) float64 {
	if c == l.ref {
		return x
	}
	return l.k.law.correct(x, c, l.ref, a, l.per)
}

func (f *frame) law(l *boundLaw, x *reg) reg {
	c, arg := &f.regs[l.cond], &reg{}
	if l.arg >= 0 {
		arg = &f.regs[l.arg]
	}
	if (x.flags|c.flags|arg.flags) == 0 && x.lo == x.hi && c.lo == c.hi && arg.lo == arg.hi && l.k.law.allowed(c.lo, l.ref, arg.lo) {
		if v := l.correct(x.lo, c.lo, arg.lo); !math.IsNaN(v) {
			return exact(v)
		}
	}
	flags := joined(*x, reg{lo: c.lo, hi: c.hi, flags: joined(*c, *arg)})
	if flags&(regMissing|regUnbounded|regRefused) != 0 {
		return reg{lo: math.Inf(-1), hi: math.Inf(1), flags: flags}
	}
	out := reg{lo: math.Inf(1), hi: math.Inf(-1), flags: flags}
	for _, cv := range ends(*c) {
		for _, av := range ends(*arg) {
			if !l.k.law.allowed(cv, l.ref, av) {
				return reg{lo: math.Inf(-1), hi: math.Inf(1), flags: flags | regRefused}
			}
			for _, xv := range ends(*x) {
				v := l.correct(xv, cv, av)
				if math.IsNaN(v) {
					v = 0 // 0 times infinity: the bound is 0
				}
				out.lo, out.hi = min(out.lo, v), max(out.hi, v)
			}
		}
	}
	return out
}

func ends(r reg) []float64 {
	if r.lo == r.hi {
		return []float64{r.lo}
	}
	return []float64{r.lo, r.hi}
}

// reduce applies a function of a list.
func (f *frame) reduce(code opCode, list []reg) reg {
	var flags uint8
	for _, r := range list {
		flags |= r.flags
	}
	switch code {
	case codeEach, codeAny:
		return quantified(code, list)
	case codeCount:
		return counted(list)
	}
	if len(list) == 0 || flags&(regMissing|regRefused|regUnbounded) != 0 {
		return reg{lo: math.Inf(-1), hi: math.Inf(1), flags: flags | regMissing}
	}
	r := reg{lo: f.statistic(code, list, false), hi: f.statistic(code, list, true), flags: flags}
	if code == codeSpan {
		r = f.span(list, flags)
	}
	return r
}

// counted counts the conditions that hold. In bits it keeps how much widening it takes to change the count.
func counted(list []reg) reg {
	out := reg{flags: regCount}
	turn := infinite
	for _, r := range list {
		if r.bits == canTrue {
			out.lo++
		}
		if r.bits&canTrue != 0 {
			out.hi++
		}
		turn = min(turn, max(r.lo, r.hi))
	}
	out.bits = math.Float64bits(turn)
	return out
}

func quantified(code opCode, list []reg) reg {
	if len(list) == 0 {
		return certainly(either)
	}
	truth := list[0]
	for _, r := range list[1:] {
		if code == codeEach {
			truth = both(truth, r)
		} else {
			truth = oneOf(truth, r)
		}
	}
	return truth
}

// statistic computes a function that rises with every member, from their lower or upper ends.
func (f *frame) statistic(code opCode, list []reg, upper bool) float64 {
	f.sorted = f.sorted[:0]
	for _, r := range list {
		v := r.lo
		if upper {
			v = r.hi
		}
		f.sorted = append(f.sorted, v)
	}
	return statisticOf(code, f.sorted)
}

// statisticOf sorts the values where it needs to.
func statisticOf(code opCode, values []float64) float64 {
	n := len(values)
	switch code {
	case codeHighest:
		return slices.Max(values)
	case codeLowest:
		return slices.Min(values)
	case codeMiddle:
		slices.Sort(values)
		if n%2 == 1 {
			return values[n/2]
		}
		return (values[n/2-1] + values[n/2]) / 2
	}
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	if code == codeMean {
		return sum / float64(n)
	}
	return sum
}

// span is the highest less the lowest member; with ranges, the least and the most that it can be.
func (f *frame) span(list []reg, flags uint8) reg {
	topLo, topHi := f.statistic(codeHighest, list, false), f.statistic(codeHighest, list, true)
	lowLo, lowHi := f.statistic(codeLowest, list, false), f.statistic(codeLowest, list, true)
	return reg{lo: max(0, topLo-lowHi), hi: topHi - lowLo, flags: flags}
}

func (f *frame) alikeTruth(p *program, t *boundTest, o *op) reg {
	var z [4]float64
	f.alike(p, t, &p.alikes[o.aux], o.a, o.n, nil, z[:])
	return degrees(z[0], min(z[1], z[2], z[3]))
}

// single returns the one outcome of a set, -1 if there are several.
func single(set uint32) int8 {
	if set != 0 && set&(set-1) == 0 {
		return int8(bits.TrailingZeros32(set))
	}
	return -1
}
