package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
)

// Every aim that a verdict of the examples reaches is one of its family, so that coverage misses none and counts none twice. Only edges that
// rest on what was found out of the unit are not known before.
func TestReachedIsAmongAims(t *testing.T) {
	b := exampleBench(t)
	known := map[string][]eval.Aim{}
	for _, family := range b.Families() {
		aims, err := b.Aims(family)
		require.NoError(t, err)
		require.NotEmpty(t, aims)
		seen := map[eval.Aim]bool{}
		for _, a := range aims {
			require.False(t, seen[a], "%v stands twice", a)
			require.NotEmpty(t, a.Word)
			seen[a] = true
		}
		known[family] = aims
	}
	count := 0
	for _, r := range exampleRecords(t) {
		j, err := b.Load(r)
		require.NoError(t, err)
		v, err := j.Judge(t.Context())
		require.NoError(t, err)
		for _, reach := range v.Reached(r) {
			require.Contains(t, known[r.Family], reach.Aim, "%s", r.Name)
			count++
		}
	}
	require.Greater(t, count, 150)
}

func TestAimsErrors(t *testing.T) {
	_, err := exampleBench(t).Aims("tarnby")
	require.ErrorContains(t, err, "no family tarnby")
	_, err = exampleBench(t).Aims("tarnby_90", eval.InShop("nowhere"))
	require.ErrorContains(t, err, "no shop nowhere")
}

// The house rule of the shop replaces the limit of the kind, and brings edges of its own.
func TestAimsInShop(t *testing.T) {
	has := func(edge string, options ...eval.Option) bool {
		aims, err := exampleBench(t).Aims("tarnby_90", options...)
		require.NoError(t, err)
		for _, a := range aims {
			if a.Kind == eval.EdgeAim && a.Name == "brushes.left" && a.Word == eval.AimAt && a.Edge.String() == edge {
				return true
			}
		}
		return false
	}
	require.False(t, has("60 %"))
	require.True(t, has("60 %", eval.InShop("quayside")))
	require.False(t, has("50 %", eval.InShop("quayside")))
}
