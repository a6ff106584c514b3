package plan

import "math"

// log2 is the logarithm of a number above zero to base 2, off by less than 1e-15·max(1, |result|). It takes a third of the time of math.Log2, which
// the search spends most of its time on, and rounds alike on every machine.
func log2(x float64) float64 {
	bits := math.Float64bits(x)
	exponent := int(bits>>52) - 1023
	if exponent == -1023 || exponent == 1024 { // tiny or not finite
		return math.Log2(x)
	}
	at := bits >> 45 & 127
	m := math.Float64frombits(bits&(1<<52-1) | 1023<<52) // 1 to 2
	c := &logTable[at]
	r := float64(m-c.at) * c.inverse
	// ln(1+r) for |r| below 1/256.
	q := float64(r*(1.0/7)) - 1.0/6
	q = float64(r*q) + 0.2
	q = float64(r*q) - 0.25
	q = float64(r*q) + 1.0/3
	q = float64(r*q) - 0.5
	q = r + float64(float64(r*r)*q)
	return float64(exponent) + (c.log + float64(q*math.Log2E))
}

// logTable holds for each 128th from 1 to 2 its middle, one over it, and its logarithm. The first begins at 1 and not at its middle, so that powers
// of two come out exact.
var logTable = func() (table [128]struct{ at, inverse, log float64 }) {
	for i := range table {
		at := 1 + (float64(i)+0.5)/128
		if i == 0 {
			at = 1
		}
		table[i].at, table[i].inverse, table[i].log = at, 1/at, math.Log2(at)
	}
	return table
}()
