package eval_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/dsl/diagnose"
	"github.com/brushgear/brushgear/eval"
)

// TestCodeExamples runs the example of every code that the compiler or a record gives: it has that finding and no other.
func TestCodeExamples(t *testing.T) {
	ran := 0
	for info := range dsl.Codes() {
		if info.Stage == dsl.ParseStage {
			continue
		}
		ran++
		t.Run(string(info.Code), func(t *testing.T) {
			f, err := dsl.Parse("example.sheet", []byte(info.Example))
			require.NoError(t, err)
			bench, err := eval.Compile([]*dsl.File{f})
			if info.Stage == dsl.ProveStage {
				require.NoError(t, err)
				require.Empty(t, bench.Warnings())
				if info.Code == dsl.CodeIdleAccept {
					rules := diagnose.RulesOf([]*dsl.File{f}, "")
					requireFinding(t, rules.Idle(rules.Apply(bench.Prove())), info.Code)
					return
				}
				readings := bench.ProveReadings()
				if slices.ContainsFunc(readings, func(d *dsl.Diagnostic) bool { return d.Code == info.Code }) {
					readings = slices.DeleteFunc(readings, func(d *dsl.Diagnostic) bool { return d.Severity == dsl.Hint && d.Code != info.Code })
					requireFinding(t, readings, info.Code)
					return
				}
				requireFinding(t, bench.ProveKnowledge(), info.Code)
				return
			}
			if info.Stage == dsl.RecordStage {
				require.NoError(t, err)
				records, err := bench.Records()
				require.NoError(t, err)
				_, err = bench.Load(records[0])
				requireCode(t, err, info.Code)
				return
			}
			requireCode(t, err, info.Code)
		})
	}
	require.Greater(t, ran, 20)
}

func requireCode(t *testing.T, err error, code dsl.Code) {
	t.Helper()
	var list dsl.Diagnostics
	require.ErrorAs(t, err, &list)
	list = slices.DeleteFunc(slices.Clone(list), func(d *dsl.Diagnostic) bool { return d.Severity == dsl.Warning })
	requireFinding(t, list, code)
}

// requireFinding requires one finding, with its place and what to write.
func requireFinding(t *testing.T, list dsl.Diagnostics, code dsl.Code) {
	t.Helper()
	require.Len(t, list, 1, "%v", errorsOf(list))
	d := list[0]
	require.Equal(t, code, d.Code, d.Error())
	require.NotEmpty(t, d.Message)
	require.NotEmpty(t, d.Help, "%s: nothing is said of what to write", d.Message)
	require.Positive(t, d.Range.Pos.Line)
}
