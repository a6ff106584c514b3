package eval

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Comparisons with what was not read. SQL:2003 and OMG DMN part ways in places; what is chosen here is said.

const (
	holds  = uint64(canTrue)
	fails  = uint64(canFalse)
	cannot = uint64(either)
)

// TestBetween: T-04, TCK 0071-feel-between. Of 0 between 1 and null SQL says false and FEEL says null, an error. Here it is false, as in SQL: whatever
// the upper end is, 0 is below the lower one. A missing reading is never in a range and never out of it.
func TestBetween(t *testing.T) {
	between := func(x, low, high reg) uint64 {
		return kleeneAnd(compare(codeAtLeast, x, low), compare(codeAtMost, x, high))
	}
	for x, want := range map[float64]uint64{0: fails, 1: holds, 5: holds, 10: holds, 11: fails} {
		require.Equal(t, want, between(exact(x), exact(1), exact(10)), x)
	}
	require.Equal(t, cannot, between(unknown, exact(1), exact(10)))
	require.Equal(t, fails, between(exact(0), exact(1), unknown))
	require.Equal(t, cannot, between(exact(5), exact(1), unknown))
}

// TestMembers: T-15, SQL as sqlite 3.40.1 has it: 5 in (1, null) and its opposite, 1 < null, and 5 between 1 and null are null. That null is null
// is a question about the record, not about the unit: the language has no such condition, a missing reading has the result not tested.
func TestMembers(t *testing.T) {
	in := kleeneOr(compare(codeEquals, exact(5), exact(1)), compare(codeEquals, exact(5), unknown))
	require.Equal(t, cannot, in)
	require.Equal(t, cannot, negate(in))
	require.Equal(t, cannot, compare(codeBelow, exact(1), unknown))
	require.Equal(t, uint64(either), unknown.bits)
	require.NotZero(t, unknown.flags&regMissing)
}
