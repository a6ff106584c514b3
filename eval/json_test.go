package eval_test

import (
	"encoding"
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/eval/plan"
)

// readsBack writes a value as JSON, reads it into another of its type, and writes that: the same bytes.
func readsBack[T any](t *testing.T, v *T, what string) *T {
	t.Helper()
	data, err := json.Marshal(v)
	require.NoError(t, err, what)
	again := new(T)
	require.NoError(t, json.Unmarshal(data, again), what)
	written, err := json.Marshal(again)
	require.NoError(t, err, what)
	same(t, string(data), string(written), what)
	return again
}

// TestJSONReadsBack: what is written of the examples comes back as it was, in the types that it was written from.
func TestJSONReadsBack(t *testing.T) {
	bench, records := benchAndRecords(t)
	plans, open := 0, 0
	for _, r := range records {
		job, err := bench.Load(r)
		require.NoError(t, err, r.Name)
		if r.Trial {
			require.NoError(t, job.SetDate("2026-03-02"))
		}
		v, err := job.Judge(t.Context())
		require.NoError(t, err, r.Name)
		e := v.Explain()
		require.Equal(t, e, readsBack(t, e, r.Name))
		if r.Trial {
			continue // trials are many, and what their plans hold the others have
		}
		p, err := v.Last().Plan(t.Context(), 0)
		require.NoError(t, err, r.Name)
		if p != nil {
			again := readsBack(t, p, r.Name)
			require.Equal(t, p.Choices, again.Choices, r.Name)
			require.Empty(t, again.TestName(0)+again.TestTitle(0)+again.OutcomeWords(0, 0)+again.RemedyWords(0)+again.Stories(again.Root)+again.Opening(0, 0))
			require.Empty(t, again.Cautions(0))
			plans++
			for _, c := range p.Choices {
				if math.IsInf(c.Cost, 1) {
					open++
				}
			}
		}
	}
	require.Greater(t, plans, 3)
	require.Greater(t, open, 0, "a choice that was not tried has no cost")
	for _, family := range bench.Families() {
		c, err := bench.Contents(family)
		require.NoError(t, err)
		require.Equal(t, c, readsBack(t, c, family))
	}
}

// TestWordsReadBack: every word of a result, a unit and a status is read as the number that it stands for, and nothing else is read.
func TestWordsReadBack(t *testing.T) {
	words := func(n int) []interface {
		encoding.TextMarshaler
		String() string
	} {
		return []interface {
			encoding.TextMarshaler
			String() string
		}{eval.Result(n), eval.UnitWord(n), diagnosis.Status(n)}
	}
	read := func(kind int, text string) (any, error) {
		var r eval.Result
		var w eval.UnitWord
		var s diagnosis.Status
		err := []encoding.TextUnmarshaler{&r, &w, &s}[kind].UnmarshalText([]byte(text))
		return []any{r, w, s}[kind], err
	}
	for kind, known := range []int{8, 7, 6} {
		for n := range known {
			word := words(n)[kind]
			again, err := read(kind, word.String())
			require.NoError(t, err)
			require.Equal(t, word, again)
		}
		for _, text := range []string{"", "Pass", "unknown (99)", words(known)[kind].String()} {
			_, err := read(kind, text)
			for n := range known {
				require.ErrorContains(t, err, words(n)[kind].String(), text)
			}
		}
	}
	require.ErrorContains(t, json.Unmarshal([]byte(`{"result":"passed"}`), &eval.CheckExplanation{}), `"passed" is no result; write one of: not tested, pass, `)
	require.ErrorContains(t, json.Unmarshal([]byte(`{"word":"good"}`), &eval.PassExplanation{}), `"good" is no word for a unit; write one of: undecided, `)
	require.ErrorContains(t, json.Unmarshal([]byte(`{"status":"gone"}`), &eval.FaultExplanation{}), `"gone" is no status; write one of: not examined; `)
	kept := plan.Choice{Test: 3, Cost: 4}
	require.NoError(t, json.Unmarshal([]byte(`null`), &kept))
	require.Equal(t, plan.Choice{Test: 3, Cost: 4}, kept)
	for _, v := range []any{&plan.Choice{}, &plan.Plan{}, &eval.Plan{}} {
		require.Error(t, json.Unmarshal([]byte(`{"Cost":"x"}`), v))
		require.NoError(t, json.Unmarshal([]byte(`null`), v))
	}
	data, err := json.Marshal(&eval.Plan{})
	require.NoError(t, err)
	require.Equal(t, "null", string(data))
}
