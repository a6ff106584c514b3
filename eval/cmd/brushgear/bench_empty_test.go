package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A bench that is ended before any reading keeps what was said of the unit where it says that the record is.
func TestBenchKeepsWhatWasSaid(t *testing.T) {
	file := filepath.Join(t.TempDir(), "j1.sheet")
	code, out, errs := said(t, []string{"S-1", "skip", "skip no_time", "skips when cold", "end"}, "-on", "2026-03-02", "-save", file, sheets+"first.sheet")
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "The record is in "+file)
	require.Contains(t, out, "an empty line leaves it open")
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Contains(t, string(data), `serial "S-1"`)
	require.Contains(t, string(data), `complaint "skips when cold"`)
	code, _, errs = call(t, "", "judge", file)
	require.Equal(t, exitOK, code, errs)

	code, out, errs = said(t, []string{"S-1", "-", "end"}, "-on", "2026-03-02", sheets+"first.sheet")
	require.Equal(t, exitOK, code, errs)
	require.NotContains(t, out, "The record is in")
}

// A sheet without a record is answered with how to begin one.
func TestJudgeWithoutRecord(t *testing.T) {
	sheet := write(t, "brushgear 1\nfamily a \"A\" { test t \"T\" { read x : V  limit x at most 5 V } }\n")
	code, _, errs := call(t, "", "judge", sheet)
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "there is no record of a unit to judge. Begin one in a file of its own beside it:")
	require.Contains(t, errs, "    use \""+filepath.Base(sheet)+"\"\n    record \"J-1\" of a {\n")
	require.Contains(t, errs, "brushgear bench -save j1.sheet "+sheet)
}
