package uncertainty

import (
	"fmt"
	"math"
	"slices"
)

// Nodes and weights of the pair of Gauss's rule of 7 points and Kronrod's of 15, from the middle outwards: QUADPACK, routine qk15. The rules do
// not evaluate the ends, so that a piece may end at a jump.
var kronrod = [...]struct{ node, gauss, weight float64 }{
	{0, 0.417959183673469387755102040816327, 0.209482141084727828012999174891714},
	{0.207784955007898467600689403773245, 0, 0.204432940075298892414161999234649},
	{0.405845151377397166906606412076961, 0.381830050505118944950369775488975, 0.190350578064785409913256402421014},
	{0.586087235467691130294144691258380, 0, 0.169004726639267902826583426598550},
	{0.741531185599394439863864773280788, 0.279705391489276667901467771423780, 0.140653259715525918745189590510238},
	{0.864864423359769072789712788640926, 0, 0.104790010322250183839876322541518},
	{0.949107912342758524526189684047851, 0.129484966168869693270611432679082, 0.063092092629978553290700663189204},
	{0.991455371120812639206854697526329, 0, 0.022935322010529224963732008058970},
}

const (
	pieces   = 32     // into which an integral is cut at first, so that a narrow peak is not missed
	halvings = 4000   // of pieces, after which the integrand is too rough for more digits
	agreed   = 1e-12  // of an integral, to which the two rules agree
	faint    = 1e-290 // below it numbers lose digits
)

// integrate integrates f ≥ 0 from a to b, halving the piece on which the two rules differ most until all together they agree to about 10⁻¹². Steps are
// places between which f is smooth.
func integrate(f func(float64) float64, a, b float64, steps ...float64) (float64, error) {
	if !(a < b) {
		return 0, nil
	}
	cuts := []float64{a, b}
	for i := 1; i < pieces; i++ {
		cuts = append(cuts, a+(b-a)*float64(i)/pieces)
	}
	for _, s := range steps {
		if s > a && s < b {
			cuts = append(cuts, s)
		}
	}
	slices.Sort(cuts)
	parts := make([]part, len(cuts)-1)
	for i := range parts {
		parts[i] = rule(f, cuts[i], cuts[i+1])
		if p := parts[i]; !(p.least >= 0) || !finite(p.integral) {
			return 0, fmt.Errorf("the density is negative or not finite between %v and %v: use one that is neither", p.a, p.b)
		}
	}
	for range halvings {
		sum, off, worst := total(parts)
		if off <= max(agreed*sum, faint) {
			break
		}
		p := &parts[worst]
		middle := p.a + (p.b-p.a)/2
		if middle <= p.a || middle >= p.b {
			p.off = 0 // as narrow as numbers can be
			continue
		}
		right := rule(f, middle, p.b)
		*p = rule(f, p.a, middle)
		parts = append(parts, right)
	}
	sum, _, _ := total(parts)
	return sum, nil
}

// A part is the integral from a to b by Kronrod's rule, by how much Gauss's is off it, and the least value met.
type part struct {
	a, b                 float64
	integral, off, least float64
}

// total adds up parts, and finds the one that is off most.
func total(parts []part) (integral, off float64, worst int) {
	for i, p := range parts {
		integral += p.integral
		off += p.off
		if p.off > parts[worst].off {
			worst = i
		}
	}
	return integral, off, worst
}

func rule(f func(float64) float64, a, b float64) part {
	middle, half := a+(b-a)/2, (b-a)/2
	integral, gauss, least := 0.0, 0.0, math.Inf(1)
	for i, k := range kronrod {
		y := f(middle + half*k.node)
		least = math.Min(least, y)
		if i > 0 {
			mirrored := f(middle - half*k.node)
			least = math.Min(least, mirrored)
			y += mirrored
		}
		integral += k.weight * y
		gauss += k.gauss * y
	}
	return part{a, b, integral * half, math.Abs(integral-gauss) * half, least}
}
