package trialtest

import (
	"context"
	"fmt"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/trials"
	"github.com/brushgear/brushgear/examples"
)

func TestExamples(t *testing.T) { Run(t, examples.FS, "trials/*.sheet") }

// recorder stands in for a test that may fail.
type recorder struct {
	testing.TB
	failure string
}

func (r *recorder) Helper()                           {}
func (r *recorder) Errorf(format string, args ...any) { r.failure += fmt.Sprintf(format, args...) }
func (r *recorder) Error(args ...any)                 { r.failure += fmt.Sprint(args...) }

const sheet = `brushgear 1
family coil "Coil" {
  test draw "Draw" { read current : A  limit current at most %s }
  fault shorted "Shorted" { shows draw.current high always }
}
trial "draws high" of coil {
  taken draw.current 3.1 A
  gives draw.current is high
}
`

func load(t *testing.T, limit string) *trials.Suite {
	t.Helper()
	s, err := trials.Load(fstest.MapFS{"coil.sheet": {Data: fmt.Appendf(nil, sheet, limit)}})
	require.NoError(t, err)
	return s
}

func TestCheckShowsTheDifference(t *testing.T) {
	for limit, want := range map[string]string{
		"3.0 A": "",
		"3.2 A": "coil.sheet:6:1: coil/draws high failed\n      8 | gives draw.current is high\n          expected  high\n          came      good\n          because   draw.current 3.1 A, limit at most 3.2 A: good, pass\n\n",
	} {
		report, err := load(t, limit).Run(t.Context(), trials.Options{})
		require.NoError(t, err)
		r := &recorder{TB: t}
		check(r, report, report.Results[0])
		require.Equal(t, want, r.failure)
	}
}

func verdict(t *testing.T, limit string) *eval.Verdict {
	t.Helper()
	report, err := load(t, limit).Run(t.Context(), trials.Options{})
	require.NoError(t, err)
	return report.Results[0].Verdict
}

func TestEqual(t *testing.T) {
	r := &recorder{TB: t}
	Equal(r, verdict(t, "3.0 A"), verdict(t, "3.0  A"))
	require.Empty(t, r.failure, "the digest is not compared")
	Equal(r, verdict(t, "3.0 A"), verdict(t, "3.2 A"))
	require.Contains(t, r.failure, "- wanted, + came")
	require.Regexp(t, `(?m)^\s*-.*"high"`, r.failure)
	require.Regexp(t, `(?m)^\s*\+.*"good"`, r.failure)
}

func ExampleDiff() {
	f, err := dsl.Parse("coil.sheet", fmt.Appendf(nil, sheet, "3.0 A"))
	if err != nil {
		fmt.Println(err)
		return
	}
	bench, err := eval.Compile([]*dsl.File{f})
	if err != nil {
		fmt.Println(err)
		return
	}
	records, err := bench.Records()
	if err != nil {
		fmt.Println(err)
		return
	}
	job, err := bench.Load(records[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	then, err := job.Judge(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	now, err := job.Judge(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(Diff(then, now) == "")
	// Output: true
}
