package plan

import (
	"encoding/json"
	"flag"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

var offline = flag.Bool("offline", false, "search long for the best plans of the workbench problems and store their costs in testdata")

const bestFile = "testdata/best.json"

// A record is the cost of the best plan known for a workbench problem. Exact means that none is cheaper.
type record struct {
	Seed  uint64
	Sharp bool
	Cost  float64
	Exact bool
}

// longest searches with a thousand times the usual effort, by rollouts of several widths and levels, each from an empty memo.
func longest(t *testing.T, p *Problem) (cost float64, exact bool) {
	cost = math.Inf(1)
	for _, way := range []struct{ level, width int }{{2, 24}, {3, 3}, {3, 6}, {3, 12}, {4, 3}, {4, 4}, {4, 6}, {5, 2}, {5, 3}} {
		e, err := newEngine(p)
		require.NoError(t, err)
		e.limit = 6_000_000
		root := e.look(0)
		e.grain = 2e-5 * math.Min(root.stop, e.all)
		e.width = way.width
		for level := 2; level <= way.level; level++ {
			e.roll(0, level, e.limit-e.nodes)
		}
		e.polish(0, e.nodes+500_000)
		plan := e.plan(p)
		cost, exact = min(cost, plan.Cost), exact || plan.Exact
		if exact {
			return plan.Cost, true
		}
	}
	return cost, false
}

// On problems of the size of a real unit the default effort comes within 5 % on average of the best plans that a long search found.
func TestNearTheBestKnown(t *testing.T) {
	if *offline {
		var records []record
		for _, sharp := range []bool{true, false} {
			for seed := range uint64(16) {
				cost, exact := longest(t, workbench(seed, sharp))
				t.Log(sharp, seed, cost, exact)
				records = append(records, record{seed, sharp, cost, exact})
			}
		}
		text, err := json.MarshalIndent(records, "", "\t")
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(bestFile, append(text, '\n'), 0o644))
	}
	text, err := os.ReadFile(bestFile)
	require.NoError(t, err)
	var records []record
	require.NoError(t, json.Unmarshal(text, &records))
	require.Len(t, records, 32)
	for _, sharp := range []bool{true, false} {
		sum, worst, greedy, exact, count := 0.0, 0.0, 0.0, 0, 0.0
		for _, r := range records {
			if r.Sharp != sharp {
				continue
			}
			p := workbench(r.Seed, r.Sharp)
			plan, err := p.Best(t.Context(), Options{})
			require.NoError(t, err)
			require.LessOrEqual(t, plan.Bound, r.Cost*(1+slack))
			if r.Exact {
				require.GreaterOrEqual(t, plan.Cost, r.Cost*(1-slack))
			}
			if plan.Exact {
				exact++
				require.InDelta(t, r.Cost, plan.Cost, 1e-6)
			}
			largest, err := p.Greedy(t.Context(), Options{})
			require.NoError(t, err)
			count++
			sum += plan.Cost / r.Cost
			greedy += largest.Cost / r.Cost
			worst = math.Max(worst, plan.Cost/r.Cost)
		}
		t.Logf("sharp %v: mean %.3f, worst %.3f, exact %d of %.0f; largest gain first %.3f", sharp, sum/count, worst, exact, count, greedy/count)
		require.Less(t, sum/count, 1.05)
	}
}
