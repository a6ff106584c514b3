package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestLog2(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200_000 {
		x := math.Exp2(60*r.Float64() - 50)
		if r.IntN(3) == 0 {
			x = 1 + (r.Float64()-0.5)/64
		}
		require.InDelta(t, math.Log2(x), log2(x), 1e-15*math.Max(1, math.Abs(math.Log2(x))), "%v", x)
	}
	for k := range 2000 {
		x := math.Ldexp(1, k-1070)
		require.Equal(t, float64(k-1070), log2(x))
	}
	require.Equal(t, math.Inf(1), log2(math.Inf(1)))
}
