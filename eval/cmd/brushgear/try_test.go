package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const triedSheet = `brushgear 1
family a "A" {
  test t "T" {
    read x : V
    limit x at most 5 V
  }
}
trial "too high" of a {
  taken t.x 6 V
  gives t is good
}
trial "good" of a {
  taken t.x 5 V
  gives t is good
}
`

func TestTryRunsTheTrialsOfTheExamples(t *testing.T) {
	code, out, errs := call(t, "", "try")
	require.Equal(t, exitOK, code, out)
	require.Contains(t, errs, "the trials of the built-in examples")
	require.Regexp(t, `^\d+ trials: \d+ passed\n$`, out)
}

func TestTryGolden(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("a.sheet", []byte(triedSheet), 0o644))
	for format, name := range map[string]string{"text": "try.txt", "json": "try.json", "junit": "try.xml"} {
		code, out, errs := call(t, "", "try", "-format", format, "a.sheet")
		require.Equal(t, exitFailed, code)
		require.Empty(t, errs)
		golden(t, name, out)
	}
}

func TestTryCoverage(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("a.sheet", []byte(triedSheet), 0o644))
	code, out, errs := call(t, "", "try", "-coverage", "-run", "good", "a.sheet")
	require.Equal(t, exitOK, code, errs)
	golden(t, "try_coverage.txt", out)
	code, out, _ = call(t, "", "try", "-coverage", "-run", "good", "-format", "json", "a.sheet")
	require.Equal(t, exitOK, code)
	require.Contains(t, out, `"what": "at 5.01 V"`)
}

func TestTryPropose(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.sheet")
	require.NoError(t, os.WriteFile(path, []byte(triedSheet), 0o644))
	code, out, errs := call(t, "", "try", "-propose", "-run", "good", path)
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, errs, "1 of 1 edges")
	require.Contains(t, out, "trial \"t.x at 5.01 V\" of a {\n  taken t.x 5.01 V\n  gives t.x is high\n}\n")
	require.NoError(t, os.WriteFile(path, []byte(triedSheet+out), 0o644))
	code, out, _ = call(t, "", "try", "-run", "t.x at", path)
	require.Equal(t, exitOK, code, "what is proposed passes")
	require.Equal(t, "1 trial: 1 passed\n", out)
}

func TestTryFlags(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.sheet")
	require.NoError(t, os.WriteFile(path, []byte(triedSheet), 0o644))
	code, out, _ := call(t, "", "try", "-run", "/good", path)
	require.Equal(t, exitOK, code)
	require.Equal(t, "1 trial: 1 passed\n", out)
	code, _, errs := call(t, "", "try", "-run", "nobody", path)
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "no such trial")
	code, out, _ = call(t, "", "try", "-shop", "nowhere", path)
	require.Equal(t, exitFailed, code)
	require.Contains(t, out, "no shop nowhere")
	for _, args := range [][]string{{"-run", "("}, {"-format", "pdf"}} {
		code, _, errs = call(t, "", append([]string{"try"}, args...)...)
		require.Equal(t, exitUsage, code)
		require.NotEmpty(t, errs)
	}
	code, _, errs = call(t, "", "try", write(t, "brushgear 1\npart rotor\n"))
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "[unexpected]")
	require.Contains(t, errs, "^")
}

// A warning is told, accepted with a reason, or made an error by the shop.
func TestShopRulesOnFindings(t *testing.T) {
	const sheet = `brushgear 1
family a "A" {
  test t "T" { read x : V  limit x at most 5 V }
  fault f "F" { shows t.x high  %s }
}
shop strict "Strict" { severity unknown_name is error }
shop mild "Mild" { accept unknown_name "Their sheets, not ours." }
trial "good" of a { taken t.x 5 V  gives t is good }
`
	for _, c := range []struct {
		statement, shop string
		code            int
		told            bool
	}{
		{"", "", exitOK, true},
		{"", "strict", exitFailed, true},
		{"", "mild", exitOK, false},
		{`accept unknown_name "A sample."`, "", exitOK, false},
		{`accept unknown_name "A sample."`, "strict", exitOK, false},
	} {
		path := write(t, strings.Replace(sheet, "%s", c.statement, 1))
		for _, verb := range []string{"try", "judge"} {
			code, _, errs := call(t, "", verb, "-shop", c.shop, path)
			require.Equal(t, c.code, code, "%v %s", c, errs)
			require.Equal(t, c.told, strings.Contains(errs, "[unknown-name]"), "%v %s", c, errs)
			require.Equal(t, c.code == exitFailed, strings.Contains(errs, "the shop strict calls a finding above an error"), errs)
		}
	}
}
