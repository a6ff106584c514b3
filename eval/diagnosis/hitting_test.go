package diagnosis

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// anyAssignment reports whether some assignment of 0..top to n values is allowed: the slow and obvious way to ask a circuit.
func anyAssignment(n, top int, allowed func(v []int) bool) bool {
	v := make([]int, n)
	for {
		if allowed(v) {
			return true
		}
		i := 0
		for ; i < n && v[i] == top; i++ {
			v[i] = 0
		}
		if i == n {
			return false
		}
		v[i]++
	}
}

const ( // the parts of the multiplier-adder circuit
	m1 = iota
	m2
	m3
	a1
	a2
)

// multiplierAdder says whether the circuit can show F = 10 and G = 12 with A = 3, B = 2, C = 2, D = 3, E = 3 if the parts ok are good.
func multiplierAdder(ok []int) bool { return multiplierAdderWith(ok, -1, 0) }

// multiplierAdderWith asks the same with one of the values X, Y, Z between the multipliers and the adders known. Those that could matter are 0
// to 12.
func multiplierAdderWith(ok []int, which, value int) bool {
	good := func(part int) bool { return slices.Contains(ok, part) }
	return anyAssignment(3, 12, func(v []int) bool {
		x, y, z := v[0], v[1], v[2]
		return (which < 0 || v[which] == value) && (!good(m1) || x == 3*2) && (!good(m2) || y == 2*3) && (!good(m3) || z == 2*3) &&
			(!good(a1) || x+y == 10) && (!good(a2) || y+z == 12)
	})
}

// D-01: the multiplier-adder circuit of de Kleer and Williams, Diagnosing multiple faults, Artificial Intelligence 32 (1987), section 2.
func TestD01MultiplierAdder(t *testing.T) {
	conflicts, complete := Conflicts(5, multiplierAdder, HittingLimit{})
	require.True(t, complete)
	require.Equal(t, [][]int{{m1, m2, a1}, {m1, m3, a1, a2}}, conflicts)
	diagnoses, complete := HittingSets(conflicts, HittingLimit{})
	require.True(t, complete)
	require.Equal(t, [][]int{{m1}, {a1}, {m2, m3}, {m2, a2}}, diagnoses)
}

// D-05: the full adder of Reiter, A theory of diagnosis from first principles, Artificial Intelligence 32 (1987) 57-95, running example.
func TestD05FullAdder(t *testing.T) {
	const x1, x2, andOne, andTwo, or = 0, 1, 2, 3, 4
	const a, b, carryIn, sum, carry = 1, 0, 1, 1, 0
	conflicts, complete := Conflicts(5, func(ok []int) bool {
		good := func(part int) bool { return slices.Contains(ok, part) }
		return anyAssignment(3, 1, func(v []int) bool {
			half, one, two := v[0], v[1], v[2]
			return (!good(x1) || half == a^b) && (!good(x2) || sum == half^carryIn) && (!good(andOne) || one == a&b) &&
				(!good(andTwo) || two == half&carryIn) && (!good(or) || carry == one|two)
		})
	}, HittingLimit{})
	require.True(t, complete)
	require.Equal(t, [][]int{{x1, x2}, {x1, andTwo, or}}, conflicts)
	diagnoses, _ := HittingSets(conflicts, HittingLimit{})
	require.Equal(t, [][]int{{x1}, {x2, andTwo}, {x2, or}}, diagnoses)
}

// D-07: the family of the HS-tree figure in Reiter 1987 (as D-05).
func TestD07HittingSetTree(t *testing.T) {
	sets, complete := HittingSets([][]int{{2, 4, 5}, {1, 2, 3}, {1, 3, 5}, {2, 4, 6}, {2, 4}, {2, 3, 5}, {1, 6}}, HittingLimit{})
	require.True(t, complete)
	require.Equal(t, [][]int{{1, 2}, {1, 3, 4}, {1, 4, 5}, {2, 3, 6}, {2, 5, 6}, {3, 4, 6}}, sets)
}

func TestHittingSetsOfOddFamilies(t *testing.T) {
	for _, test := range []struct {
		family, want [][]int
	}{
		{nil, [][]int{{}}},
		{[][]int{{}}, nil},
		{[][]int{{1, 2}, nil, {3}}, nil},
		{[][]int{{2, 1, 2, 1}, {1, 2}, {2, 1, 7}}, [][]int{{1}, {2}}},
		{[][]int{{-5, 1 << 40}, {1 << 40, 3}}, [][]int{{1 << 40}, {-5, 3}}},
	} {
		sets, complete := HittingSets(test.family, HittingLimit{})
		require.True(t, complete)
		require.Equal(t, test.want, sets, "%v", test.family)
	}
}

func TestHittingSetsOfManyElements(t *testing.T) {
	family := [][]int{}
	for i := range 100 { // either the common element or one of each pair: the ascending choice must see at once that 1000 is then shut out
		family = append(family, []int{i, 1000})
	}
	sets, complete := HittingSets(family, HittingLimit{})
	require.True(t, complete)
	require.Len(t, sets, 2)
	require.Equal(t, []int{1000}, sets[0])
	require.Len(t, sets[1], 100)
}

func TestHittingLimits(t *testing.T) {
	pairs := [][]int{} // 2^70 minimal hitting sets of size 70
	for i := range 70 {
		pairs = append(pairs, []int{2 * i, 2*i + 1})
	}
	sets, complete := HittingSets(pairs, HittingLimit{Count: 3})
	require.False(t, complete)
	require.Len(t, sets, 3)
	require.Equal(t, 138, sets[0][69])
	require.Equal(t, 139, sets[1][69])
	require.Equal(t, []int{137, 138}, sets[2][68:])

	sets, complete = HittingSets(pairs, HittingLimit{Size: 69})
	require.False(t, complete)
	require.Empty(t, sets)

	_, complete = HittingSets(pairs, HittingLimit{Steps: 1000})
	require.False(t, complete)

	sets, complete = HittingSets(pairs[:3], HittingLimit{Size: 3, Count: 8, Steps: 1000})
	require.True(t, complete, "limits that are just met leave nothing out")
	require.Len(t, sets, 8)

	never := func([]int) bool { return false }
	conflicts, complete := Conflicts(70, never, HittingLimit{})
	require.True(t, complete)
	require.Equal(t, [][]int{{}}, conflicts, "observations that contradict themselves")
	conflicts, complete = Conflicts(70, never, HittingLimit{Steps: 5})
	require.False(t, complete)
	require.Empty(t, conflicts)
	conflicts, complete = Conflicts(0, func([]int) bool { return true }, HittingLimit{})
	require.True(t, complete)
	require.Empty(t, conflicts)
	twoOf := func(ok []int) bool { return len(ok) < 2 }
	conflicts, complete = Conflicts(80, twoOf, HittingLimit{Count: 2})
	require.False(t, complete)
	require.Len(t, conflicts, 2)
	conflicts, complete = Conflicts(12, twoOf, HittingLimit{})
	require.True(t, complete)
	require.Len(t, conflicts, 12*11/2)
}

// setOf returns the elements of a bit mask, ascending.
func setOf(mask uint) []int {
	set := []int{}
	for ; mask != 0; mask &= mask - 1 {
		set = append(set, bits.TrailingZeros(mask))
	}
	return set
}

// minimalMasks returns, as ordered sets, the masks of n bits that satisfy a condition which holds for all masks above one that it holds for.
func minimalMasks(n int, holds func(mask uint) bool) [][]int {
	var out [][]int
	for mask := range uint(1) << n {
		minimal := holds(mask)
		for _, e := range setOf(mask) {
			minimal = minimal && !holds(mask&^(1<<e))
		}
		if minimal {
			out = append(out, setOf(mask))
		}
	}
	slices.SortFunc(out, func(a, b []int) int {
		if len(a) != len(b) {
			return len(a) - len(b)
		}
		return slices.Compare(a, b)
	})
	return out
}

func TestHittingSetsAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 10).Draw(t, "n")
		least := rapid.IntRange(0, 3).Draw(t, "least")
		masks := rapid.SliceOfN(rapid.UintRange(0, 1<<n-1), 0, 12).Draw(t, "family")
		var family [][]int
		kept := masks[:0]
		for _, m := range masks {
			if bits.OnesCount(m) >= least {
				kept, family = append(kept, m), append(family, setOf(m))
			}
		}
		want := minimalMasks(n, func(set uint) bool { return !slices.ContainsFunc(kept, func(m uint) bool { return m&set == 0 }) })
		sets, complete := HittingSets(family, HittingLimit{})
		if !complete || !slices.EqualFunc(sets, want, slices.Equal) {
			t.Fatalf("hitting sets of %v: %v, want %v", family, sets, want)
		}
		size := rapid.IntRange(1, n).Draw(t, "size")
		some, complete := HittingSets(family, HittingLimit{Size: size})
		short := slices.IndexFunc(want, func(s []int) bool { return len(s) > size })
		if short < 0 {
			short = len(want)
		}
		if !slices.EqualFunc(some, want[:short], slices.Equal) || complete && short < len(want) {
			t.Fatalf("up to size %d of %v: %v, complete %v, want %v", size, family, some, complete, want[:short])
		}

		inconsistent := func(set uint) bool { return slices.ContainsFunc(kept, func(m uint) bool { return m&^set == 0 }) }
		conflicts, complete := Conflicts(n, func(ok []int) bool {
			set := uint(0)
			for _, e := range ok {
				set |= 1 << e
			}
			return !inconsistent(set)
		}, HittingLimit{})
		wanted := minimalMasks(n, inconsistent)
		if !complete || !slices.EqualFunc(conflicts, wanted, slices.Equal) {
			t.Fatalf("conflicts %v, want %v", conflicts, wanted)
		}
	})
}

func ExampleHittingSets() {
	// The draw accuses the brush or the rotor, the reading from ring to ring the rotor or the slip ring.
	parts := []string{"brush", "rotor", "slip ring"}
	sets, _ := HittingSets([][]int{{0, 1}, {1, 2}}, HittingLimit{})
	for _, set := range sets {
		names := []string{}
		for _, part := range set {
			names = append(names, parts[part])
		}
		fmt.Println(strings.Join(names, " and "))
	}
	// Output:
	// rotor
	// brush and slip ring
}

func ExampleConflicts() {
	// Two equal lamps in series share 12 V evenly if both are good. The first one reads 2 V.
	conflicts, _ := Conflicts(2, func(ok []int) bool { return len(ok) < 2 }, HittingLimit{})
	fmt.Println(conflicts)
	// Output: [[0 1]]
}
