package eval

import "math"

// Three-valued truth and interval arithmetic on registers.

func negate(b uint64) uint64 { return b&canTrue<<1 | b&canFalse>>1 }

func kleeneAnd(a, b uint64) uint64 { return a&b&canTrue | (a|b)&canFalse }

func kleeneOr(a, b uint64) uint64 { return (a|b)&canTrue | a&b&canFalse }

func wordIs(bits, mask uint64, not bool) uint64 {
	var out uint64
	if bits&mask != 0 {
		out |= canTrue
	}
	if bits&^mask != 0 {
		out |= canFalse
	}
	if not {
		return negate(out)
	}
	return out
}

// compare compares two numbers, each of which can be anything from lo to hi.
func compare(code opCode, a, b reg) uint64 {
	switch code {
	case codeAtLeast:
		return truthOf(a.hi >= b.lo, a.lo < b.hi)
	case codeAtMost:
		return truthOf(a.lo <= b.hi, a.hi > b.lo)
	case codeAbove:
		return truthOf(a.hi > b.lo, a.lo <= b.hi)
	case codeBelow:
		return truthOf(a.lo < b.hi, a.hi >= b.lo)
	}
	return truthOf(a.lo <= b.hi && a.hi >= b.lo, a.lo != a.hi || b.lo != b.hi || a.lo != b.lo)
}

// rounding is what a computed value may be off by its arithmetic alone, as a share: 14.3 - 14.0 is not quite 0.3 in binary.
const rounding = 1e-12

const noRounding = 100 * rounding * rounding // the square of a share that is more than that

// same tells whether two numbers can differ by rounding alone.
func same(a, b float64) bool {
	m := max(math.Abs(a), math.Abs(b))
	return a == b || m < infinite && math.Abs(a-b) <= rounding*m
}

// settled moves the ends of a computed value onto those of what it is compared with, where only rounding lies between.
func (x reg) settled(y reg) reg {
	for _, at := range [...]float64{y.lo, y.hi} {
		if same(x.lo, at) {
			x.lo = at
		}
		if same(x.hi, at) {
			x.hi = at
		}
	}
	return x
}

func truthOf(mayHold, mayFail bool) uint64 {
	var out uint64
	if mayHold {
		out |= canTrue
	}
	if mayFail {
		out |= canFalse
	}
	return out
}

// combine applies + - * / or power to intervals. What is missing in an operand is missing in the result.
func combine(code opCode, a, b reg) reg {
	flags := joined(a, b)
	if flags&(regMissing|regRefused|regUnbounded) != 0 {
		return reg{lo: math.Inf(-1), hi: math.Inf(1), flags: flags}
	}
	if a.lo == a.hi && b.lo == b.hi {
		v := pointwise(code, a.lo, b.lo)
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return reg{lo: math.Inf(-1), hi: math.Inf(1), flags: flags}
		}
		return reg{lo: v, hi: v, flags: flags}
	}
	r := reg{flags: flags}
	switch code {
	case codeAdd:
		r.lo, r.hi = a.lo+b.lo, a.hi+b.hi
	case codeSub:
		r.lo, r.hi = a.lo-b.hi, a.hi-b.lo
	case codeDiv:
		if b.lo <= 0 && b.hi >= 0 {
			r.lo, r.hi = quotientOverZero(a, b)
			return r
		}
		fallthrough
	default:
		r.lo, r.hi = math.Inf(1), math.Inf(-1)
		for _, p := range [2]float64{a.lo, a.hi} {
			for _, q := range [2]float64{b.lo, b.hi} {
				v := pointwise(code, p, q)
				if math.IsNaN(v) { // 0 times or over infinity: the bound is 0
					v = 0
				}
				r.lo, r.hi = min(r.lo, v), max(r.hi, v)
			}
		}
	}
	return r
}

// joined gives the flags of a result of two operands. It moves only if all that is not exact in it moves: a value of which part is merely not known
// closely may stand still on the good side.
func joined(a, b reg) uint8 {
	flags := a.flags | b.flags
	if a.lo != a.hi && a.flags&regMoving == 0 || b.lo != b.hi && b.flags&regMoving == 0 {
		flags &^= regMoving
	}
	return flags
}

// quotientOverZero bounds a quotient whose divisor can be zero. A divisor from zero up, as of a current too small to read, leaves one side bounded.
func quotientOverZero(a, b reg) (lo, hi float64) {
	if b.lo == 0 && b.hi > 0 && a.lo >= 0 {
		return a.lo / b.hi, math.Inf(1)
	}
	return math.Inf(-1), math.Inf(1)
}

func pointwise(code opCode, a, b float64) float64 {
	switch code {
	case codeAdd:
		return a + b
	case codeSub:
		return a - b
	case codeMul:
		return a * b
	case codePower:
		return 2 * math.Pi * a * b // torque times revolutions per second
	}
	return a / b
}

func absolute(a reg) reg {
	switch {
	case a.lo >= 0:
		return a
	case a.hi <= 0:
		a.lo, a.hi = -a.hi, -a.lo
	default:
		a.lo, a.hi = 0, max(-a.lo, a.hi)
	}
	return a
}
