// Package trialtest runs trials as tests of Go, for test suites of programs that embed sheets.
//
//	//go:embed sheets
//	var sheets embed.FS
//
//	func TestSheets(t *testing.T) { trialtest.Run(t, sheets) }
//
// It stands apart from package trials so that programs that judge do not link packages for tests.
package trialtest

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/trials"
)

// Run runs every trial of the sheets of a file system as a subtest "family/title", and fails those that do not get what they expect, with what
// was expected, what came and the line of the trial. Patterns are as for [trials.Load]: without any, all files are taken that end in .sheet. It
// fails if the sheets have errors, and if there is no trial.
func Run(t *testing.T, fsys fs.FS, patterns ...string) {
	t.Helper()
	suite, err := trials.Load(fsys, patterns...)
	if err != nil {
		t.Fatalf("the sheets have errors: %v", err)
	}
	report, err := suite.Run(t.Context(), trials.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(report.Results) == 0 {
		t.Fatal(`there is no trial in these sheets; a trial begins with trial "title" of family`)
	}
	for _, res := range report.Results {
		t.Run(trials.Name(res.Trial), func(t *testing.T) { check(t, report, res) })
	}
}

func check(t testing.TB, report *trials.Report, res *trials.Result) {
	t.Helper()
	if res.Status == trials.Passed {
		return
	}
	var b strings.Builder
	if err := report.Failure(&b, res); err != nil {
		t.Error(err)
	}
	t.Errorf("%s", b.String())
}

// Equal fails the test if two verdicts say something else, and shows where they differ: - what is wanted, + what came. Where limits stand in their
// files, and the digest of the sheets, are not compared, so that verdicts by two editions of a sheet can be.
func Equal(t testing.TB, want, got *eval.Verdict) {
	t.Helper()
	if diff := Diff(want, got); diff != "" {
		t.Errorf("the verdicts differ (- wanted, + came):\n%s", diff)
	}
}

// Diff returns what Equal shows, empty if the verdicts say the same. The text is for people and can change.
func Diff(want, got *eval.Verdict) string {
	return cmp.Diff(want.Explain(), got.Explain(),
		cmpopts.IgnoreFields(eval.Explanation{}, "Sheets"),
		cmpopts.IgnoreFields(eval.LimitText{}, "Place"),
	)
}
