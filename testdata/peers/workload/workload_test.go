package workload

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
)

func TestSize(t *testing.T) {
	w := New(1, 64)
	readings := 0
	for _, v := range w.Readings() {
		readings += len(v.Idents())
	}
	require.Equal(t, 34, readings)
	require.Len(t, w.Tests, 24)
	require.Len(t, w.Faults, 32)
	require.Len(t, w.Sets, 64)
	for _, s := range w.Sets {
		require.Len(t, s, readings+len(w.Conditions))
	}
}

func TestSameSeed(t *testing.T) {
	require.Equal(t, New(7, 4), New(7, 4))
	require.NotEqual(t, New(7, 4), New(8, 4))
}

// A workload that never fails, or always, would measure short cuts and compare nothing.
func TestVariety(t *testing.T) {
	w := New(1, 400)
	results := make([]map[Result]bool, len(w.Checks()))
	open := make([]int, len(w.Faults))
	for _, s := range w.Sets {
		v := w.Judge(s)
		for i, r := range v.Results {
			if results[i] == nil {
				results[i] = map[Result]bool{}
			}
			results[i][r] = true
		}
		for i, out := range v.RuledOut {
			if !out {
				open[i]++
			}
		}
	}
	for i, c := range w.Checks() {
		require.True(t, results[i][Pass], "%s never passes", c.Path())
		require.True(t, results[i][Fail], "%s never fails", c.Path())
	}
	stays := 0
	for _, n := range open {
		if n > 0 {
			stays++
		}
	}
	require.Greater(t, stays, len(w.Faults)/2, "faults that are not ruled out in some set")
}

func TestSheetParses(t *testing.T) {
	for seed := range uint64(50) {
		w := New(seed, 0)
		_, err := dsl.Parse("workload.sheet", []byte(w.Sheet()))
		require.NoError(t, err)
	}
}
