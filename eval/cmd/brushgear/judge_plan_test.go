package main

import (
	"encoding/xml"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestJudgePlan(t *testing.T) {
	code, out, errs := call(t, "", "judge", "-plan", "testdata/no_charge.sheet")
	require.Equal(t, exitOK, code, errs)
	golden(t, "plan.txt", out)

	code, out, errs = call(t, "", "judge", "-plan", sheets+"records/tarnby_dead_diode.sheet")
	require.Equal(t, exitOK, code, errs)
	require.Equal(t, "J-2052: no test that is left tells enough for its minutes; the verdict says what to do\n", out)
}

// The drawing goes to its file and the verdict to standard output as ever.
func TestJudgePlanOnPaper(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "plan.svg")
	_, verdict, _ := call(t, "", "judge", "testdata/no_charge.sheet")
	code, out, errs := call(t, "", "judge", "-plan-svg", path, "testdata/no_charge.sheet")
	require.Equal(t, exitOK, code, errs)
	require.Equal(t, verdict, out)
	require.Contains(t, errs, "plan.svg: the plan of P-1")
	sheet, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(sheet), "Output stud to frame")
	d := xml.NewDecoder(strings.NewReader(string(sheet)))
	for err == nil {
		_, err = d.Token()
	}
	require.Equal(t, io.EOF, err)

	code, _, errs = call(t, "", "judge", "-plan-svg", filepath.Join(folder, "nowhere", "plan.svg"), "testdata/no_charge.sheet")
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "nowhere")
}
