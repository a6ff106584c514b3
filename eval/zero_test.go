package eval_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/diagnosis"
)

// TestZeroValues: what was never judged is undecided, not tested and not examined, and asking it is no panic.
func TestZeroValues(t *testing.T) {
	pass := func(p eval.PassVerdict) {
		t.Helper()
		require.Equal(t, []any{eval.Undecided, eval.Undecided, eval.Round{}}, []any{p.Unit(), p.Limits(), p.Round()})
		for range p.Checks() {
			require.Fail(t, "there is no check")
		}
		for range p.Faults() {
			require.Fail(t, "there is no fault")
		}
		_, odd := p.Check("x")
		require.False(t, odd)
		_, odd = p.Fault("x")
		require.False(t, odd)
		_, _, odd = p.AtOdds()
		require.False(t, odd)
		_, odd = p.Slip()
		require.False(t, odd)
		require.Empty(t, p.Cards())
		require.Empty(t, p.OpenCauses())
		require.Empty(t, p.Retests())
		for _, s := range p.Stories() {
			require.Empty(t, s.Faults)
		}
	}
	check := func(c eval.Check) {
		t.Helper()
		require.Equal(t, eval.NotTested, c.Result())
		require.Equal(t, "", c.Name()+c.Outcome())
		require.Empty(t, c.Outcomes())
		require.Zero(t, c.Weight("good"))
		require.False(t, c.Possible("good"))
		_, ok := c.Value()
		require.False(t, ok)
		_, ok = c.Margin()
		require.False(t, ok)
		require.Empty(t, c.Budget())
		_, err := c.Simulate(1, 1000)
		require.Error(t, err)
	}
	fault := func(f eval.Fault) {
		t.Helper()
		require.Equal(t, diagnosis.NotExamined, f.Status())
		require.Equal(t, "", f.Name()+f.Title())
		require.Zero(t, f.Probability())
		require.False(t, f.OneOf())
		name, title := f.Remedy()
		require.Equal(t, "", name+title)
		_, ok := f.ShownBy()
		require.False(t, ok)
		_, ok = f.RuledOutBy()
		require.False(t, ok)
	}
	pass(eval.PassVerdict{})
	check(eval.Check{})
	fault(eval.Fault{})
	var none *eval.Verdict
	for _, v := range []*eval.Verdict{none, {}} {
		pass(v.Last())
		require.Equal(t, &eval.Explanation{Schema: eval.Schema}, v.Explain())
		for range v.Passes() {
			require.Fail(t, "there is no pass")
		}
		_, err := v.Last().Plan(t.Context(), 0)
		require.NoError(t, err)
		require.Empty(t, v.Last().Retests())
	}

	// Views that outlive their verdict: the last check and fault of a large unit, after a small one was judged into it.
	open := func(b *eval.Bench, family string) *eval.Job {
		j, err := b.Open(family)
		require.NoError(t, err)
		require.NoError(t, j.SetDate("2026-03-09"))
		return j
	}
	var v eval.Verdict
	require.NoError(t, open(exampleBench(t), "skerrow_20").JudgeInto(t.Context(), &v))
	var c eval.Check
	var f eval.Fault
	for c = range v.Last().Checks() {
		continue
	}
	for f = range v.Last().Faults() {
		continue
	}
	small := open(mustBench(t, plateSheet), "motor")
	require.NoError(t, small.JudgeInto(t.Context(), &v))
	check(c)
	fault(f)

	// A judgement that fails leaves nothing of the one before.
	done, cancel := context.WithCancel(t.Context())
	cancel()
	kept := v.Last()
	require.ErrorIs(t, small.JudgeInto(done, &v), context.Canceled)
	pass(v.Last())
	pass(kept)
	require.Equal(t, &eval.Explanation{Schema: eval.Schema}, v.Explain())
	again, err := small.Judge(done)
	require.ErrorIs(t, err, context.Canceled)
	require.Nil(t, again)
	require.NoError(t, small.JudgeInto(t.Context(), &v))
	require.Equal(t, "motor", v.Explain().Family)

	// Nor does a plan whose context has ended.
	next, err := v.Last().Plan(done, 0)
	require.ErrorIs(t, err, context.Canceled)
	require.Nil(t, next)
}

// TestWordsOutOfRange: a number that stands for no word says so.
func TestWordsOutOfRange(t *testing.T) {
	for _, s := range []interface{ String() string }{eval.Result(99), eval.UnitWord(99), eval.SlipKind(99), diagnosis.Status(99)} {
		require.Equal(t, "unknown (99)", s.String())
	}
}
