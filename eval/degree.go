package eval

import "math"

// Truths in degrees. A condition keeps how many standard uncertainties its comparisons must be widened until it can be true (lo) and until it can be
// false (hi): zero for what is possible as read, infinity for what no widening brings about. Widening only adds possibilities, so the rules of
// and, or and not carry over: the outcome weights of the diagnosis follow from these degrees alone.

// barely is the degree of what holds as read and would turn with the least widening: a reading exactly on its limit.
const barely = 1e-9

func degrees(canHold, canFail float64) reg {
	return reg{lo: canHold, hi: canFail, bits: truthOf(canHold == 0, canFail == 0)}
}

// certainly gives the degrees of a truth that readings cannot turn.
func certainly(bits uint64) reg {
	r := reg{lo: infinite, hi: infinite, bits: bits}
	if bits&canTrue != 0 {
		r.lo = 0
	}
	if bits&canFalse != 0 {
		r.hi = 0
	}
	return r
}

func both(a, b reg) reg { return degrees(max(a.lo, b.lo), min(a.hi, b.hi)) }

func oneOf(a, b reg) reg { return degrees(min(a.lo, b.lo), max(a.hi, b.hi)) }

func opposite(a reg) reg { return degrees(a.hi, a.lo) }

// compareDegrees compares two numbers whose difference has the standard uncertainty u. Equality belongs to at least and at most.
func compareDegrees(code opCode, a, b reg, u float64) reg {
	switch code {
	case codeAtLeast:
		return side(a.lo-b.hi, a.hi-b.lo, u, true)
	case codeAbove:
		return side(a.lo-b.hi, a.hi-b.lo, u, false)
	case codeAtMost:
		return side(b.lo-a.hi, b.hi-a.lo, u, true)
	case codeBelow:
		return side(b.lo-a.hi, b.hi-a.lo, u, false)
	}
	bits := compare(codeEquals, a, b)
	if u == 0 {
		return certainly(bits)
	}
	gap := max(a.lo-b.hi, b.lo-a.hi, 0)
	canFail := 0.0
	if bits&canFalse == 0 {
		canFail = barely
	}
	return degrees(gap/u, canFail)
}

// side gives the degrees of "the difference, from d1 to d2, is positive"; owns tells whether zero counts as positive.
func side(d1, d2, u float64, owns bool) reg {
	holds, fails := d2 > 0 || d2 == 0 && owns, d1 < 0 || d1 == 0 && !owns
	canHold, canFail := 0.0, 0.0
	if !holds {
		canHold = distance(-d2, u)
	}
	if !fails {
		canFail = distance(d1, u)
	}
	if math.IsNaN(d1) || math.IsNaN(d2) {
		return degrees(0, 0)
	}
	return degrees(canHold, canFail)
}

func distance(d, u float64) float64 {
	if u == 0 {
		return infinite
	}
	return max(d/u, barely)
}

// compareCount compares a count, which changes only when one of the conditions counted does.
func compareCount(code opCode, a, b reg) reg {
	bits := compare(code, a, b)
	r := certainly(bits)
	turn := math.Float64frombits(a.bits)
	if bits == canTrue {
		r.hi = turn
	}
	if bits == canFalse {
		r.lo = turn
	}
	return r
}

// weight is what an outcome at distance z, in standard uncertainties, weighs in a diagnosis: exp(−z²/2), and nothing beyond 3.5.
func weight(z float64) float64 {
	if z > 3.5 {
		return 0
	}
	return math.Exp(-z * z / 2)
}
