package units

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestNearest(t *testing.T) {
	words := []string{"on", "one", "limit", "light", "winding_temp", "case_temp", "résistance", "V", "Ω"}
	for _, test := range []struct {
		word, want string
	}{
		{"limit", "limit"},
		{"LIMIT", "limit"},
		{"limt", "limit"},
		{"limti", "limit"},
		{"limmit", "limit"},
		{"lymyt", ""}, // two of five
		{"wnding_temp", "winding_temp"},
		{"windnig_tmp", "winding_temp"},
		{"winding_temperature", ""},
		{"resistance", "résistance"},
		{"ON", "on"},
		{"un", ""}, // short words must agree
		{"v", "V"},
		{"ω", "Ω"},
		{"", ""},
		{strings.Repeat("x", 65), ""},
	} {
		got, ok := Nearest(test.word, words)
		require.Equal(t, test.want, got, test.word)
		require.Equal(t, test.want != "", ok, test.word)
	}
	_, ok := Nearest("limit", nil)
	require.False(t, ok)
	_, ok = Nearest("limit", []string{"", strings.Repeat("limit", 1000)})
	require.False(t, ok)
}

// distance agrees with the plain recursive definition, up to its limit.
func TestDistanceProperty(t *testing.T) {
	var plain func(a, b []rune) int
	plain = func(a, b []rune) int {
		if len(a) == 0 || len(b) == 0 {
			return len(a) + len(b)
		}
		i, j := len(a)-1, len(b)-1
		cost := 1
		if a[i] == b[j] {
			cost = 0
		}
		d := min(plain(a[:i], b)+1, plain(a, b[:j])+1, plain(a[:i], b[:j])+cost)
		if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
			d = min(d, plain(a[:i-1], b[:j-1])+1)
		}
		return d
	}
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[abc]{0,5}`)
		a, b := []rune(word.Draw(t, "a")), []rune(word.Draw(t, "b"))
		limit := rapid.IntRange(0, 6).Draw(t, "limit")
		require.Equal(t, min(limit, plain(a, b)), distance(a, b, limit))
		require.Equal(t, distance(a, b, limit), distance(b, a, limit))
	})
}
