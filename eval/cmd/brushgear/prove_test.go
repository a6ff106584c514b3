package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const slips = `brushgear 1
source house "House rule"
family lintel_12 "Lintel 12 V cranking motor" {
  attribute rated : A
  set rated 60 A
  caution spin "Guard on, drive end clamped, before it turns."
  part armature "Armature"
  remedy fit_armature "Fit another armature" {}
  test free_run "Free run at 11.5 V" {
    caution spin
    read current : A
    read speed   : rpm
    limit speed at least 4400 rpm per house
    outcome good when current at most rated
    outcome drag when current at least 61 A
    outcome odd otherwise
  }
  fault armature_drags "Armature drags" {
    part armature
    shows free_run drag always
    shows free_run.speed low always
    remedy fit_armature
  }
}
`

func TestProveGolden(t *testing.T) {
	code, out, errs := call(t, "", "prove", write(t, slips))
	require.Equal(t, exitOK, code, errs)
	require.Empty(t, errs)
	out = out[strings.Index(out, "x.sheet"):] // without the folder of the test
	golden(t, "prove.txt", out)
	require.Contains(t, out, "current 60.5 A falls in no named outcome: below it is good, above it drag [rows-gap]")
}

func TestProveWithoutFilesProvesTheExamples(t *testing.T) {
	code, out, errs := call(t, "", "prove", "-strict")
	require.Equal(t, exitOK, code, out)
	require.Contains(t, errs, "proving the built-in examples")
	require.Regexp(t, `^0 errors, 0 warnings, \d+ hints \(-hints shows them\)`, out)
	code, out, _ = call(t, "", "prove", "-hints")
	require.Equal(t, exitOK, code)
	require.Contains(t, out, "hint: ")
	require.NotContains(t, out, "(-hints shows them)")
}

func TestProveExitCodes(t *testing.T) {
	path := write(t, slips)
	code, _, _ := call(t, "", "prove", path)
	require.Equal(t, exitOK, code)
	code, _, _ = call(t, "", "prove", path, "-strict")
	require.Equal(t, exitFailed, code)

	accepted := write(t, strings.Replace(slips, "  attribute", "  accept rows_gap \"The meter has no half amperes.\"\n  attribute", 1))
	code, out, _ := call(t, "", "prove", accepted, "-strict")
	require.Equal(t, exitOK, code, out)
	require.Contains(t, out, "1 accepted")

	strict := write(t, slips+"shop quay \"Quay\" { severity rows_gap is error }\n")
	code, _, _ = call(t, "", "prove", strict)
	require.Equal(t, exitOK, code)
	code, out, _ = call(t, "", "prove", "-shop", "quay", strict)
	require.Equal(t, exitFailed, code)
	require.Contains(t, out, "error: current 60.5 A")

	code, _, errs := call(t, "", "prove", write(t, "brushgear 1\nfamily a \"A\" {\n"))
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "[unclosed-block]")
	code, _, errs = call(t, "", "prove", "-format", "csv")
	require.Equal(t, exitUsage, code)
	require.Contains(t, errs, "text, json or sarif")
}

func TestProveFormats(t *testing.T) {
	path := write(t, slips)
	for _, format := range []string{"json", "sarif"} {
		code, out, errs := call(t, "", "prove", "-format", format, path)
		require.Equal(t, exitOK, code, errs)
		var v any
		require.NoError(t, json.Unmarshal([]byte(out), &v))
		require.Contains(t, out, "rows-gap")
		require.Contains(t, out, "60.5 A")
	}
}
