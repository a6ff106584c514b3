package eval_test

import (
	"encoding/json"
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

// TestAnswersAreCopies writes into all that a bench answers. What it says of other jobs stays as it was.
func TestAnswersAreCopies(t *testing.T) {
	files, err := dsl.ParseFS(examples.FS, "sheets/shop.sheet")
	require.NoError(t, err)
	b, err := eval.Compile(files) // of its own: a failure must not spoil other tests
	require.NoError(t, err)
	judged := func() (*eval.Job, *eval.Verdict) {
		j, err := b.Open("skerrow_20")
		require.NoError(t, err)
		require.NoError(t, j.Include("bench", "bench_650"))
		require.NoError(t, j.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-09", At: map[string]eval.Value{"supply": eval.MustValue("12 V")}}))
		require.NoError(t, j.Take("contacts_rest.lamp", eval.Reading{Value: eval.MustValue("lit")}))
		require.NoError(t, j.Take("brushes.slide", eval.Reading{Value: eval.MustValue("(free sticks free free)")}))
		v, err := j.Judge(t.Context())
		require.NoError(t, err)
		return j, v
	}
	answers := func(j *eval.Job, v *eval.Verdict) []any {
		contents, err := b.Contents("skerrow_20")
		require.NoError(t, err)
		table, err := b.FaultTable("cranking_motor")
		require.NoError(t, err)
		return []any{v.Explain(), v.Last().Cards(), v.Last().Round(), j.Unknown(), j.Inclusions(), j.Remedies(), contents, table}
	}
	text := func() string {
		x, err := json.Marshal(answers(judged()))
		require.NoError(t, err)
		return string(x)
	}
	before := text()
	for _, a := range answers(judged()) {
		overwrite(reflect.ValueOf(a))
	}
	require.Equal(t, before, text())
}

// TestRecordsAreCopies writes into a record that was loaded, and into one that a job gave. Neither the job nor its verdict changes.
func TestRecordsAreCopies(t *testing.T) {
	b := mustBench(t, plateSheet)
	r, err := eval.ReadRecord([]byte(plateJSON))
	require.NoError(t, err)
	r.Trial, r.Expectation = true, []eval.Expectation{{Finds: "unit", Is: []string{"faulty"}}}
	j, err := b.Load(r)
	require.NoError(t, err)
	v, err := j.Judge(t.Context())
	require.NoError(t, err)
	text := func() string {
		x, err := json.Marshal([]any{v.Explain(), j.Record()})
		require.NoError(t, err)
		return string(x) + jobJSON(t, j)
	}
	before := text()
	for _, r := range []*eval.Record{r, j.Record()} {
		overwrite(reflect.ValueOf(r))
		require.Equal(t, before, text())
	}
}

// overwrite changes every text that can be reached, and empties the maps.
func overwrite(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			overwrite(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				overwrite(v.Field(i))
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			overwrite(v.Index(i))
		}
	case reflect.Map:
		v.Clear()
	case reflect.String:
		if v.CanSet() {
			v.SetString("overwritten")
		}
	}
}
