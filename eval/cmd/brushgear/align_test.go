package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestAlignDiff(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("x.sheet", []byte("brushgear 1\npart   rotor \"Rotor\"\npart stator \"Stator\"\n"), 0o644))
	code, out, errs := call(t, "", "align", "-diff", "x.sheet")
	require.Equal(t, exitFailed, code)
	require.Empty(t, errs)
	require.Equal(t, "--- x.sheet\n+++ x.sheet\n@@ -1,3 +1,3 @@\n brushgear 1\n-part   rotor \"Rotor\"\n+part rotor \"Rotor\"\n part stator \"Stator\"\n", out)
	code, out, _ = call(t, "", "align", "-diff", "-w", "x.sheet")
	require.Equal(t, exitFailed, code)
	require.NotEmpty(t, out, "shown and written")
	code, out, _ = call(t, "", "align", "-diff", "x.sheet")
	require.Equal(t, exitOK, code)
	require.Empty(t, out)
}

func TestAlignStandardInput(t *testing.T) {
	code, out, _ := call(t, "brushgear 1\npart   rotor \"Rotor\"\n", "align", "-")
	require.Equal(t, exitOK, code)
	require.Equal(t, "brushgear 1\npart rotor \"Rotor\"\n", out)
	code, out, errs := call(t, "brushgear 1\npart rotor\n", "align", "-")
	require.Equal(t, exitFailed, code)
	require.Empty(t, out)
	require.Contains(t, errs, "part rotor\n", "the line of standard input is shown")
}

func TestAlignFix(t *testing.T) {
	code, out, errs := call(t, "brushgear 1\nfamly a \"A\" {\n  test t \"T\" { read volts : V  limit vots at most 2,5 V }\n}\n", "align", "-fix", "-")
	require.Equal(t, exitOK, code, errs)
	require.Equal(t, "brushgear 1\nfamily a \"A\" {\n  test t \"T\" { read volts : V  limit volts at most 2.5 V }\n}\n", out)
	require.Contains(t, errs, "-:2:1: mended: ")
	require.Contains(t, errs, "did you mean volts?")

	// What cannot be mended is told; what can is written all the same.
	path := write(t, "brushgear 1\nkind   a \"A\" { limt t.x at most 5 V }\npart rotor\n")
	code, out, errs = call(t, "", "align", "-fix", "-w", path)
	require.Equal(t, exitFailed, code)
	require.Empty(t, out)
	require.Contains(t, errs, "did you mean limit?")
	require.Contains(t, errs, "error: ")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "brushgear 1\nkind   a \"A\" { limit t.x at most 5 V }\npart rotor\n", string(data))
}

// Names of the files that a file uses are known, and an accepted finding is left alone.
func TestAlignFixReadsWhatIsUsed(t *testing.T) {
	dir := t.TempDir()
	kind, family := filepath.Join(dir, "kind.sheet"), filepath.Join(dir, "family.sheet")
	require.NoError(t, os.WriteFile(kind, []byte("brushgear 1\nkind motor \"Motor\" {\n  part brushes \"Brushes\"\n}\n"), 0o644))
	require.NoError(t, os.WriteFile(family, []byte("brushgear 1\nuse \"kind.sheet\"\nfamily m \"M\" of motor {\n  fault worn \"Worn\" { part brushs }\n}\n"), 0o644))
	code, out, errs := call(t, "", "align", "-fix", family)
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "fault worn \"Worn\" { part brushes }")
}
