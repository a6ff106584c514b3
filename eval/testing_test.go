package eval_test

import (
	"bytes"
	"context"
	"encoding/json"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/report"
	"github.com/brushgear/brushgear/examples"
)

// mustBench compiles one sheet.
func mustBench(t testing.TB, sheet string) *eval.Bench {
	t.Helper()
	f, err := dsl.Parse("test.sheet", []byte(sheet))
	require.NoError(t, err)
	b, err := eval.Compile([]*dsl.File{f})
	require.NoError(t, err)
	return b
}

// loaded loads the first record that stands in the sheet.
func loaded(t testing.TB, sheet string) *eval.Job {
	t.Helper()
	b := mustBench(t, sheet)
	records, err := b.Records()
	require.NoError(t, err)
	require.NotEmpty(t, records)
	j, err := b.Load(records[0])
	require.NoError(t, err)
	return j
}

// judged judges the first record that stands in the sheet.
func judged(t testing.TB, sheet string) *eval.Verdict {
	t.Helper()
	v, err := loaded(t, sheet).Judge(context.Background())
	require.NoError(t, err)
	return v
}

// checked returns one check of the last pass of the first record.
func checked(t testing.TB, sheet, name string) eval.Check {
	t.Helper()
	c, ok := judged(t, sheet).Last().Check(name)
	require.True(t, ok, "there is no check %s", name)
	return c
}

// explained returns how one check of the last pass is explained.
func explained(t testing.TB, v *eval.Verdict, name string) eval.CheckExplanation {
	t.Helper()
	e := v.Explain()
	for _, test := range e.Passes[len(e.Passes)-1].Tests {
		for _, c := range test.Checks {
			if c.Name == name {
				return c
			}
		}
	}
	t.Fatalf("there is no check %s", name)
	return eval.CheckExplanation{}
}

// words renders a verdict as text and as JSON.
func words(t testing.TB, v *eval.Verdict) string {
	t.Helper()
	var b bytes.Buffer
	e := v.Explain()
	require.NoError(t, report.Text(&b, e))
	require.NoError(t, json.NewEncoder(&b).Encode(e))
	return b.String()
}

// family wraps statements of a test into a family with one test, and readings into a record of it.
func family(test, readings string) string {
	return `brushgear 1
family unit "Unit" {
  attribute kind_of : small | large
  attribute rated : A
  set rated 40 A
  condition supply : V
  condition winding_temp : °C likely -10 °C to 70 °C
  condition speed : rpm
  positions phase "phase" : u, v, w
  positions bar "bar" : 1 to 6
  test t "Test" {
` + test + `
  }
}
record "r" of unit {
  judge 2026-03-02
` + readings + `
}
`
}

// exampleBench returns the compiled example sheets. A bench does not change, so that one serves all tests.
func exampleBench(t testing.TB) *eval.Bench {
	t.Helper()
	b, err := examplesOnce()
	require.NoError(t, err)
	return b
}

var examplesOnce = sync.OnceValues(func() (*eval.Bench, error) {
	files, err := dsl.ParseFS(examples.FS, "sheets/shop.sheet")
	if err != nil {
		return nil, err
	}
	return eval.Compile(files)
})
