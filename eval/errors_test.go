package eval_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The expected figures follow JCGM 100:2008, 5.1.2 for independent readings and 5.2.2 for what readings of one meter share; a rectangular
// half-width a gives a/√3 (4.3.7), and a reading of 10.00 V without digits in its accuracy is resolved to 0.01 V (F.2.2.1).

const twoMeters = `brushgear 1
family f "F" {
  instrument coarse : V accuracy ± 2 %
  instrument fine : V accuracy ± 1 %
  test first "First" {
    read p : V with fine
    read q : V with fine
    let gap = p - q
    limit gap at most 50 V
  }
  test second "Second" {
    read r : V with coarse
    let plain = r - first.p
    let formed = r - first.gap
    limit plain at most 0.1 V
    limit formed at most 9.1 V
  }
}
record "R" of f {
  judge 2026-03-02
  pass as found {
    taken first.p 10.00 V
    taken first.q 9.00 V
    taken second.r 10.00 V
  }
}
`

// TestErrorOfAnotherTest: a value that comes from another test brings its error along, whether it was read there or worked out.
func TestErrorOfAnotherTest(t *testing.T) {
	own := 0.005 / math.Sqrt(3)
	fine, coarse := 0.1/math.Sqrt(3), 0.2/math.Sqrt(3)
	gap := math.Sqrt(math.Pow(0.01/math.Sqrt(3), 2) + 2*own*own)
	for check, u := range map[string]float64{
		"second.plain":  math.Sqrt(coarse*coarse + fine*fine + 2*own*own),
		"second.formed": math.Sqrt(coarse*coarse + own*own + gap*gap),
	} {
		z := 0.1 / u
		require.InEpsilon(t, math.Exp(-z*z/2), checked(t, twoMeters, check).Weight("high"), 1e-9, check)
	}
}

// TestExpandedIsExact: far from its limit an error need not be known well to judge, but what is printed is the error itself. What two readings of
// one meter share cancels in their difference.
func TestExpandedIsExact(t *testing.T) {
	require.Equal(t, "± 0.014 V (k = 2)", explained(t, judged(t, twoMeters), "first.gap").Expanded)
}
