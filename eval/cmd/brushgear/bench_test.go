package main

import (
	"bytes"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

// technician answers the prompts of a session from what a unit would read, whatever test is proposed. It is the standard input of the session and
// looks at its output.
type technician struct {
	screen  *bytes.Buffer
	answers map[string]string // by "test.reading" and "test at condition", or by the prompt; tests that are not there are left out
}

var (
	cardTitle  = regexp.MustCompile(`(?m)^(?:Next|Repeat): .*\(([a-z_]+(?:\.[a-z_]+)?)\)$`)
	promptName = regexp.MustCompile(`^[^,(\[]*[^,(\[ ]`)
)

func (x *technician) Read(p []byte) (int, error) {
	return copy(p, x.answer()+"\n"), nil
}

func (x *technician) answer() string {
	screen := x.screen.String()
	prompt := strings.TrimSuffix(strings.TrimSpace(screen[strings.LastIndexByte(screen, '\n')+1:]), ":")
	name := strings.ReplaceAll(promptName.FindString(prompt), " ", "_")
	for _, key := range []string{prompt, name} {
		if a, ok := x.answers[key]; ok {
			return a
		}
	}
	cards := cardTitle.FindAllStringSubmatch(screen, -1)
	if len(cards) == 0 {
		return ""
	}
	test := cards[len(cards)-1][1]
	for _, key := range []string{test + "." + name, test + " at " + name} {
		if a, ok := x.answers[key]; ok {
			return a
		}
	}
	for known := range x.answers {
		if strings.HasPrefix(known, test+".") {
			return "-"
		}
	}
	return "skip no_time"
}

// answersOf are the readings of an example record, in all of its passes.
func answersOf(t *testing.T, file string) map[string]string {
	t.Helper()
	data, err := examples.FS.ReadFile(file)
	require.NoError(t, err)
	f, err := dsl.Parse(file, data)
	require.NoError(t, err)
	records, err := eval.ReadRecords(f)
	require.NoError(t, err)
	answers := map[string]string{"What now (? for help)": "end", "Serial_on_the_plate": records[0].Serial, "Complaint": records[0].Complaint}
	for _, p := range records[0].Passes {
		for _, e := range p.Entries {
			if e.Value != nil {
				answers[e.Taken] = e.Value.String()
			}
			for name, v := range e.Values {
				answers[e.Taken+"."+name] = v.String()
			}
			for name, v := range e.At {
				test := strings.TrimSuffix(e.Taken, e.Taken[max(0, strings.LastIndexByte(e.Taken, '.')):])
				answers[test+" at "+name] = v.String()
			}
		}
	}
	return answers
}

// atBench runs the verb with a technician who knows the unit.
func atBench(t *testing.T, answers map[string]string, args ...string) (code int, out, errs string) {
	t.Helper()
	x := &technician{screen: &bytes.Buffer{}, answers: answers}
	var e bytes.Buffer
	code = run(append([]string{"bench"}, args...), stdio{x, x.screen, &e})
	return code, x.screen.String(), e.String()
}

// judgedAgain judges a saved record with the command, and returns its verdict.
func judgedAgain(t *testing.T, files ...string) string {
	t.Helper()
	code, out, errs := call(t, "", append([]string{"judge"}, files...)...)
	require.Equal(t, exitOK, code, errs)
	return out
}

// verdictIn is the verdict at the end of a session.
func verdictIn(t *testing.T, out, name string) string {
	t.Helper()
	from := strings.LastIndex(out, "\n"+name+": ")
	require.GreaterOrEqual(t, from, 0, out)
	verdict, _, _ := strings.Cut(out[from+1:], "\n\nThe record is in ")
	return strings.ReplaceAll(verdict, "All of it: judge -all", "All of it: -all") + "\n"
}

// hidden replaces what differs from run to run: the folder of the test, and the digest of the sheets.
func hidden(out, folder string) string {
	return regexp.MustCompile(`sheets [0-9a-f]{16}`).ReplaceAllString(strings.ReplaceAll(out, folder+string(filepath.Separator), ""), "sheets ...")
}

// A unit is led from the first question to the verdict; the saved record is judged alike.
func TestBenchLeadsToTheRemedy(t *testing.T) {
	for record, want := range map[string]string{
		"tarnby_healthy":       "",
		"tarnby_dead_diode":    "Fit a rectifier set",
		"tarnby_brush_ground":  "Reinsulate or fit another brush holder",
		"skerrow_hold_in_open": "Fit another solenoid",
	} {
		family := "tarnby"
		if strings.HasPrefix(record, "skerrow") {
			family = "skerrow"
		}
		folder := t.TempDir()
		file := filepath.Join(folder, "unit.sheet")
		code, out, errs := atBench(t, answersOf(t, "records/"+record+".sheet"), "-on", "2026-03-11", "-save", file, sheets+"sheets/shop.sheet", family)
		require.Equal(t, exitOK, code, errs)
		golden(t, "bench_"+record+".txt", hidden(out, folder))
		if want != "" {
			require.Regexp(t, `What to do:\n    (Perhaps: )?`+want, out)
		} else {
			require.NotContains(t, out, "faulty")
		}
		verdict := verdictIn(t, out, "unit")
		require.Equal(t, hidden(verdict, folder), hidden(judgedAgain(t, file), folder))
	}
}
