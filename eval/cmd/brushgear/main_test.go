package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// call runs the command with standard input, and returns its exit code and what it printed.
func call(t *testing.T, stdin string, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(args, stdio{strings.NewReader(stdin), &o, &e})
	return code, o.String(), e.String()
}

const sheets = "../../../examples/"

// testdata is its absolute name, for tests that go to another folder.
var testdata, _ = filepath.Abs("testdata")

// golden compares with a file of testdata. Places of sheets are the same on every machine, since files are named relative to the folder.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join(testdata, name)
	if *update {
		require.NoError(t, os.MkdirAll(testdata, 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), got, "run go test ./eval/cmd/brushgear -update after looking at the difference")
}

func TestJudgeGolden(t *testing.T) {
	for _, name := range []string{"tarnby_dead_diode", "tarnby_odd_readings", "skerrow_repair"} {
		code, out, errs := call(t, "", "judge", sheets+"records/"+name+".sheet")
		require.Equal(t, exitOK, code, errs)
		require.Empty(t, errs)
		golden(t, name+".txt", out)
		code, out, errs = call(t, "", "judge", "-all", sheets+"records/"+name+".sheet")
		require.Equal(t, exitOK, code, errs)
		golden(t, name+"_all.txt", out)
	}
	code, out, _ := call(t, "", "judge", "-json", sheets+"first.record.sheet")
	require.Equal(t, exitOK, code)
	golden(t, "first.json", out)
	var e struct {
		Schema int `json:"schema"`
	}
	require.NoError(t, json.Unmarshal([]byte(out), &e))
	require.Equal(t, 1, e.Schema)
}

func TestJudgeWithoutFilesJudgesTheBuiltInExample(t *testing.T) {
	code, out, errs := call(t, "", "judge")
	require.Equal(t, exitOK, code)
	require.Contains(t, errs, "judging the built-in example")
	require.Contains(t, out, "faulty")
	require.Contains(t, out, "Shown: ")
}

func TestJudgeFlags(t *testing.T) {
	code, _, _ := call(t, "", "judge", "-met", sheets+"records/tarnby_healthy.sheet")
	require.Equal(t, exitOK, code)
	code, _, _ = call(t, "", "judge", "-met", sheets+"records/tarnby_dead_diode.sheet")
	require.Equal(t, exitFailed, code)
	code, _, errs := call(t, "", "judge", "-record", "nobody", sheets+"first.record.sheet")
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "there is no record nobody in these files; known are J-1")
	code, out, errs := call(t, "", "judge", "-shop", "quayside", sheets+"records/tarnby_healthy.sheet")
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "J-2041")
	code, _, errs = call(t, "", "judge", "-shop", "nowhere", sheets+"records/tarnby_healthy.sheet")
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "no shop nowhere")
}

func TestJudgeTakesAbsoluteNamesAndJSON(t *testing.T) {
	path, err := filepath.Abs(sheets + "first.record.sheet")
	require.NoError(t, err)
	code, _, errs := call(t, "", "judge", path)
	require.Equal(t, exitOK, code, errs)
	code, out, errs := call(t, "", "judge", sheets+"sheets/shop.sheet", sheets+"records/tarnby_rotor_ground.json")
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "J-2061")
	code, _, errs = call(t, "", "judge", sheets+"records/tarnby_rotor_ground.json")
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "needs its sheet beside it")
}

// write puts a sheet into a folder of the test.
func write(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "x.sheet")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

func TestErrorsShowTheLine(t *testing.T) {
	code, out, errs := call(t, "", "judge", write(t, "brushgear 1\nfamily a \"A\" {\n  test t \"T\" { read x : V  limit x at most 5 A }\n}\n"))
	require.Equal(t, exitFailed, code)
	require.Empty(t, out)
	require.Contains(t, errs, "x.sheet:3:44: error: ")
	require.Contains(t, errs, "    "+strings.Repeat(" ", 43)+"^^^\n")
	require.Contains(t, errs, "[wrong-dimension]")

	code, _, errs = call(t, "", "judge", "nothing.sheet")
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "nothing.sheet")
}

func TestTrialThatFails(t *testing.T) {
	sheet := "brushgear 1\nfamily a \"A\" { test t \"T\" { read x : V  limit x at most 5 V } }\ntrial \"too high\" of a { taken t.x 6 V  gives t is good }\n"
	code, _, errs := call(t, "", "judge", write(t, sheet))
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "gives t is good: it is high")
}

func TestAlign(t *testing.T) {
	const crooked, straight = "brushgear 1\npart   rotor \"Rotor\"   # turns\n", "brushgear 1\npart rotor \"Rotor\"  # turns\n"
	code, out, errs := call(t, crooked, "align")
	require.Equal(t, exitOK, code, errs)
	require.Equal(t, straight, out)

	path := write(t, crooked)
	code, out, _ = call(t, "", "align", "-check", path)
	require.Equal(t, exitFailed, code)
	require.Equal(t, path+"\n", out)
	code, out, _ = call(t, "", "align", "-w", path)
	require.Equal(t, exitOK, code)
	require.Empty(t, out)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, straight, string(data))
	code, out, _ = call(t, "", "align", "-check", path)
	require.Equal(t, exitOK, code)
	require.Empty(t, out)

	path = write(t, "brushgear 1\npart rotor \"Rotor\n")
	code, out, errs = call(t, "", "align", "-w", path)
	require.Equal(t, exitFailed, code)
	require.Empty(t, out)
	require.Contains(t, errs, "[unclosed-string]")
	data, err = os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "brushgear 1\npart rotor \"Rotor\n", string(data), "a file with errors is left as it is")
}

func TestHelpAndUsage(t *testing.T) {
	for _, args := range [][]string{{"help"}, {"-h"}, {"--help"}} {
		code, out, _ := call(t, "", args...)
		require.Equal(t, exitOK, code)
		require.Contains(t, out, "Exit codes")
	}
	code, out, _ := call(t, "", "help", "judge")
	require.Equal(t, exitOK, code)
	require.Contains(t, out, "-met")
	for _, args := range [][]string{{}, {"mend"}, {"judge", "-nothing"}} {
		code, out, errs := call(t, "", args...)
		require.Equal(t, exitUsage, code, args)
		require.Empty(t, out)
		require.NotEmpty(t, errs)
	}
}
