package eval

import (
	"math"
	"math/bits"
	"slices"
)

// frame is the working memory of one judgement. It is reused from one to the next.
type frame struct {
	program *program
	regs    []reg
	states  []checkState
	sorted  []float64
	kept    []checkState
}

// use prepares the frame for a pass of a program, whose states are stored in states. Registers keep what an earlier pass left: every test writes
// those that others read, so that only the constants must be in place.
func (f *frame) use(p *program, states []checkState) {
	f.states = states
	if f.program != p {
		f.program = p
		f.regs = append(f.regs[:0], p.regs...)
	}
}

// run carries out the steps of one test on the readings that are loaded. renewed tells whether only new limits count.
func (f *frame) run(p *program, t *boundTest, renewed bool) {
	for i := t.from; i < t.to; i++ {
		o := &p.ops[i]
		switch o.code {
		case codeCheck:
			f.check(p, o.aux, renewed)
		case codeLaw:
			f.regs[o.dst] = f.law(&p.laws[o.aux], f.regs[o.a])
		case codeOutcome:
			f.regs[o.dst] = reg{bits: f.outcome(&p.refs[o.aux])}
		case codeAlike:
			f.regs[o.dst] = reg{bits: f.alikeTruth(p, o)}
		case codeEach, codeAny, codeCount, codeHighest, codeLowest, codeMiddle, codeMean, codeTotal, codeSpan:
			f.regs[o.dst] = f.reduce(o.code, f.regs[o.a:o.a+o.n])
		default:
			f.pointwise(p, o)
		}
	}
}

func (f *frame) pointwise(p *program, o *op) {
	for k := range o.n {
		a := f.regs[o.a+k*o.sa]
		var r reg
		switch o.code {
		case codeNot:
			r.bits = negate(a.bits)
		case codeAbs:
			r = absolute(a)
		case codeWordIs:
			r.bits = wordIs(a.bits, p.masks[o.aux], o.sb == 1)
		case codeAnd:
			r.bits = kleeneAnd(a.bits, f.regs[o.b+k*o.sb].bits)
		case codeOr:
			r.bits = kleeneOr(a.bits, f.regs[o.b+k*o.sb].bits)
		case codeAtLeast, codeAtMost, codeAbove, codeBelow, codeEquals:
			r.bits = compare(o.code, a, f.regs[o.b+k*o.sb])
		default:
			r = combine(o.code, a, f.regs[o.b+k*o.sb])
		}
		f.regs[o.dst+k] = r
	}
}

// outcome evaluates a reference: all of its checks have one of the outcomes. Checks that are not meant for this unit do not count.
func (f *frame) outcome(r *boundRef) uint64 {
	truth := uint64(canTrue)
	if len(r.checks) == 0 {
		truth = either
	}
	for i, c := range r.checks {
		s := &f.states[c]
		if s.result == NotApplicable {
			continue
		}
		truth = kleeneAnd(truth, truthOf(s.set&r.masks[i] != 0, s.set&^r.masks[i] != 0))
	}
	if r.not {
		return negate(truth)
	}
	return truth
}

func (f *frame) law(l *boundLaw, x reg) reg {
	c := f.regs[l.cond]
	arg := exact(0)
	if l.arg >= 0 {
		arg = f.regs[l.arg]
	}
	flags := x.flags | c.flags | arg.flags
	if flags&(regMissing|regUnbounded|regRefused) != 0 {
		return reg{lo: math.Inf(-1), hi: math.Inf(1), flags: flags}
	}
	out := reg{lo: math.Inf(1), hi: math.Inf(-1), flags: flags}
	for _, cv := range ends(c) {
		for _, av := range ends(arg) {
			if !l.k.law.allowed(cv, l.ref, av) {
				return reg{lo: math.Inf(-1), hi: math.Inf(1), flags: flags | regRefused}
			}
			for _, xv := range ends(x) {
				v := l.k.law.correct(xv, cv, l.ref, av, l.per)
				if math.IsNaN(v) {
					v = 0 // 0 times infinity: the bound is 0
				}
				out.lo, out.hi = math.Min(out.lo, v), math.Max(out.hi, v)
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
		return reg{bits: quantified(code, list)}
	case codeCount:
		out := reg{}
		for _, r := range list {
			if r.bits == canTrue {
				out.lo++
			}
			if r.bits&canTrue != 0 {
				out.hi++
			}
		}
		return out
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

func quantified(code opCode, list []reg) uint64 {
	truth := uint64(canTrue)
	if code == codeAny {
		truth = canFalse
	}
	for _, r := range list {
		if code == codeEach {
			truth = kleeneAnd(truth, r.bits)
		} else {
			truth = kleeneOr(truth, r.bits)
		}
	}
	if len(list) == 0 {
		return either
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
	return reg{lo: math.Max(0, topLo-lowHi), hi: topHi - lowLo, flags: flags}
}

func (f *frame) alikeTruth(p *program, o *op) uint64 {
	set := f.alike(&p.alikes[o.aux], f.regs[o.a:o.a+o.n], nil)
	return truthOf(set&1 != 0, set&^1 != 0)
}

// single returns the one outcome of a set, -1 if there are several.
func single(set uint32) int8 {
	if set != 0 && set&(set-1) == 0 {
		return int8(bits.TrailingZeros32(set))
	}
	return -1
}
