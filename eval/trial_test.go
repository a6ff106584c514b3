package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

func trial(t *testing.T, expectations string) []string {
	t.Helper()
	b := mustBench(t, repairSheet+`trial "x" of motor { taken length.mm_left 5 mm `+expectations+` }`)
	records, err := b.Records()
	require.NoError(t, err)
	j, err := b.Load(records[0])
	require.NoError(t, err, "a trial needs no date")
	v, err := j.Judge(t.Context())
	require.NoError(t, err)
	return v.Unmet(records[0])
}

func TestTrials(t *testing.T) {
	for expectation, want := range map[string]string{
		"gives length.mm_left is low":                 "",
		"gives length is low | worn":                  "",
		"gives length is fail":                        "",
		"gives runout is not_tested":                  "",
		"finds brushes_worn is shown":                 "",
		"finds comm_rough is possible | not_examined": "",
		"gives length is good":                        "gives length is good: it is low",
		"gives length is lw":                          "gives length: it has no outcome lw",
		"gives width is low":                          "gives width: there is no such check",
		"finds brushes_worn is ruled_out":             "finds brushes_worn is ruled_out: it is shown",
		"finds brushes is shown":                      "finds brushes: there is no such fault",
		"finds brushes_worn is likely":                "finds brushes_worn: there is no status likely; write shown, suspected, possible, ruled_out or not_examined",
	} {
		got := trial(t, expectation)
		if want == "" {
			require.Empty(t, got, expectation)
			continue
		}
		require.Equal(t, []string{want}, got, expectation)
	}
}

// TestExampleTrials: the trials of the examples get what they expect.
func TestExampleTrials(t *testing.T) {
	files, err := dsl.ParseFS(examples.FS, "trials/bench_650.sheet")
	require.NoError(t, err)
	b, err := eval.Compile(files)
	require.NoError(t, err)
	records, err := b.Records()
	require.NoError(t, err)
	require.NotEmpty(t, records)
	for _, r := range records {
		require.NotEmpty(t, r.Expectation, r.Name)
		j, err := b.Load(r)
		require.NoError(t, err)
		v, err := j.Judge(t.Context())
		require.NoError(t, err)
		require.Empty(t, v.Unmet(r), r.Name)
	}
}
