package eval_test

import (
	"context"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// TestCorrectedDrafts compiles the corrected drafts of the corpus, each with the battery that it includes, and judges their records.
func TestCorrectedDrafts(t *testing.T) {
	fsys := os.DirFS("../testdata/sheets/corrected")
	for _, test := range []struct {
		names   []string
		records int
	}{
		{[]string{"battery.sheet"}, 1},
		{[]string{"battery.sheet", "generator.sheet"}, 1},
		{[]string{"battery.sheet", "alternator.sheet", "motor.sheet", "records.sheet"}, 3},
	} {
		files, err := dsl.ParseFS(fsys, test.names...)
		require.NoError(t, err)
		bench, err := eval.Compile(files)
		require.NoError(t, err)
		records, err := bench.Records()
		require.NoError(t, err)
		require.Len(t, records, test.records, "%v", test.names)
		for _, r := range records {
			job, err := bench.Load(r)
			require.NoError(t, err, r.Name)
			v, err := job.Judge(context.Background())
			require.NoError(t, err, r.Name)
			require.NotEmpty(t, words(t, v))
		}
	}
}
