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

// TestStepPastEdge: what lies next to an edge is one step of the meter's last digit away, else of the last digit printed unless that leads far off.
func TestStepPastEdge(t *testing.T) {
	for limit, want := range map[string]string{
		"read x : A with ammeter limit x at least 92 A":      "91.9 A",
		"read x : A with ammeter limit x at most 2.85 A":     "2.95 A",
		"read x : A limit x at least 92 A":                   "91 A",
		"read x : A limit x at most 2.80 A":                  "2.81 A",
		"read x : MΩ limit x at least 1 MΩ":                  "0.99 MΩ",
		"read x : Ω with ohmmeter limit x at least 1 MΩ":     "0.99 MΩ",
		"read x : V limit x at most 5 V":                     "5.01 V",
		"read x : V limit x at least 0 V":                    "-1 V",
		"read x : count limit x at least 4":                  "3",
		"read x : °C limit x at most 9 °C":                   "9.01 °C",
		"read x : mm limit x at most 300 mm":                 "301 mm",
		"read x : A with clamp limit x at most 30 A":         "30.1 A",
		"read x : A with clamp limit x at most 300 A":        "301 A",
		"read x : A limit x at most 92 A new at most 80.0 A": "93 A",
	} {
		b := mustBench(t, `brushgear 1
family unit "Unit" {
  instrument ammeter : A accuracy ± (1 % + 1 digits) digit 0.1 A
  instrument ohmmeter : Ω accuracy ± (1 % + 1 digits) digit 0.1 Ω
  instrument clamp : A ranges { row 40 A : ± 1 % digit 0.1 A  row 400 A : ± 1 % digit 1 A }
  test t "Test" { `+limit+` }
}
`)
		aims, err := b.Aims("unit")
		require.NoError(t, err)
		got := ""
		for _, a := range aims {
			if a.Word == eval.AimBeyond && got == "" {
				got = a.Next.String()
			}
		}
		require.Equal(t, want, got, limit)
	}
}
