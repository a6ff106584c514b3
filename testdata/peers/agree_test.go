package peers

import (
	"context"
	"testing"

	"github.com/expr-lang/expr/vm"
	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"

	"github.com/brushgear/brushgear/testdata/peers/workload"
)

// The three ways to judge must agree on every check and fault, or the benchmarks compare different work.
func TestAgreeOnMeasuredSets(t *testing.T) { agree(t, Seed, Sets) }

func TestAgreeOnOtherSeeds(t *testing.T) {
	seeds := uint64(3000)
	if testing.Short() {
		seeds = 100
	}
	for seed := range seeds {
		agree(t, 1000+seed, 2)
	}
}

func agree(t *testing.T, seed uint64, sets int) {
	t.Helper()
	w := workload.New(seed, sets)
	program, err := exprProgram(w)
	require.NoError(t, err)
	bench, err := load(filesOf(w))
	require.NoError(t, err)
	var verdict eval.Verdict
	for i, s := range w.Sets {
		want := w.Judge(s)
		peer, err := exprVerdict(w, &vm.VM{}, program, s)
		require.NoError(t, err)
		require.Empty(t, cmp.Diff(want, peer), "expr, seed %d, set %d", seed, i)
		job, err := jobOf(bench, roundOf(w, s))
		require.NoError(t, err)
		require.NoError(t, job.JudgeInto(context.Background(), &verdict))
		ours, err := verdictOf(w, &verdict)
		require.NoError(t, err)
		require.Empty(t, cmp.Diff(want, ours), "brushgear, seed %d, set %d", seed, i)
	}
	if sets == Sets || seed%10 == 0 { // the ranges take their time to choose
		agreeMetered(t, w, seed)
	}
}

// agreeMetered holds instruments and ranges against the plain workload.
func agreeMetered(t *testing.T, w *workload.Workload, seed uint64) {
	t.Helper()
	bench, err := load(filesOf(w.Metered()))
	require.NoError(t, err)
	var verdict eval.Verdict
	for i, s := range w.Sets {
		job, err := jobOf(bench, roundOf(w.Metered(), s))
		require.NoError(t, err)
		require.NoError(t, job.JudgeInto(context.Background(), &verdict))
		ours, err := verdictOf(w, &verdict)
		require.NoError(t, err)
		require.Empty(t, cmp.Diff(w.Judge(s), ours), "brushgear with instruments, seed %d, set %d", seed, i)
	}
}

// The two texts of the parsing benchmark must say the same to be worth comparing; that both parse is what can be tested.
func TestTextsParse(t *testing.T) {
	w := workload.New(Seed, Sets)
	for _, prepare := range []func(*workload.Workload) (func() error, error){parseBrushgear, parseHCL} {
		parse, err := prepare(w)
		require.NoError(t, err)
		require.NoError(t, parse())
	}
}

// Every side must do its work without an error, set after set.
func TestSides(t *testing.T) {
	w := workload.New(Seed, Sets)
	for _, c := range Contests() {
		for _, s := range c.Sides {
			work, err := s.prepare(w)
			require.NoError(t, err, "%s, %s", c.Name, s.Name)
			for range 2 * Sets {
				require.NoError(t, work(), "%s, %s", c.Name, s.Name)
			}
		}
	}
}
