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
	for _, names := range [][]string{{"battery.sheet"}, {"battery.sheet", "generator.sheet"}, {"battery.sheet", "alternator.sheet", "motor.sheet", "records.sheet"}} {
		files, err := dsl.ParseFS(fsys, names...)
		require.NoError(t, err)
		if len(names) == 4 { // both kinds declare the source practice, as in their own files
			require.Len(t, files, 4)
		}
		bench, err := eval.Compile(files)
		require.NoError(t, err)
		records, err := bench.Records()
		require.NoError(t, err)
		for _, r := range records {
			job, err := bench.Load(r)
			require.NoError(t, err, r.Name)
			v, err := job.Judge(context.Background())
			require.NoError(t, err, r.Name)
			require.NotEmpty(t, words(t, v))
		}
	}
}
