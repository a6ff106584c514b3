package diagnosis

import "math"

// wide is a product of any size: x·2^e. A hundred tests that nothing explains are less likely than the smallest float64.
type wide struct {
	x float64
	e int
}

const roomy = 1e60 // a product is kept within this of 1, to either side, so that the next factor fits

func (w *wide) times(factor float64) {
	if w.x *= factor; w.x > roomy || w.x < 1/roomy {
		w.part()
	}
}

func (w *wide) part() {
	x, e := math.Frexp(w.x)
	w.x, w.e = x, w.e+e
}

func (w *wide) float() float64 {
	if w.e == 0 {
		return w.x
	}
	return math.Ldexp(w.x, w.e)
}

func finite(x float64) bool { return x-x == 0 }
