package runs_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval/internal/runs"
)

func TestOf(t *testing.T) {
	for names, want := range map[string]string{
		"":            "",
		"1":           "1",
		"1 2":         "1 2",
		"1 2 3":       "1 to 3",
		"1 2 3 7 8":   "1 to 3 7 8",
		"1 3 4 5 6 9": "1 3 to 6 9",
		"a b c":       "a b c",
		"1 u 2 3":     "1 u 2 3",
	} {
		require.Equal(t, want, strings.Join(runs.Of(strings.Fields(names)), " "), names)
	}
}
