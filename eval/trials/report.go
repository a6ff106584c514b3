package trials

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// A Status is what became of a trial.
type Status string

// What can become of a trial.
const (
	Passed Status = "passed" // all came as expected
	Failed Status = "failed" // something else came
	Broken Status = "broken" // it could not be judged
)

// A Result is what became of one trial.
type Result struct {
	Trial       *eval.Record
	Status      Status
	Differences []Difference  // of a trial that failed
	Err         error         // of a broken trial; it unwraps to dsl.Diagnostics if places are known
	Verdict     *eval.Verdict // nil if the trial is broken
}

// A Difference is one expectation that was not met.
type Difference struct {
	Place    dsl.Position // of the expectation
	Expected string       // what was expected, and of what; empty if the trial expects nothing
	Want     string       // the words expected
	Came     string       // the word that came instead, empty if there is nothing of that name
	Message  string       // both in one line
	Because  []string     // the values, limits and outcomes behind what came
}

func difference(v *eval.Verdict, e eval.Expectation, message string) Difference {
	d := Difference{Place: e.Span().Pos, Expected: e.String(), Want: strings.Join(e.Is, " | "), Message: message}
	_, d.Came, _ = strings.Cut(message, ": it is ")
	if d.Came == "" {
		return d
	}
	x := v.Explain()
	last := x.Passes[len(x.Passes)-1]
	if e.Gives != "" {
		d.Because = becauseOfCheck(last, e.Gives)
		return d
	}
	for _, f := range last.Faults {
		if name := f.Name; name == e.Finds || len(f.Position) > 0 && name+"["+strings.Join(f.Position, ", ")+"]" == e.Finds {
			d.Because = f.Because
		}
	}
	return d
}

// becauseOfCheck gives the numbers behind a check, or behind all checks of a test, since its pattern rests on them.
func becauseOfCheck(p eval.PassExplanation, name string) []string {
	var lines []string
	for _, t := range p.Tests {
		for _, c := range t.Checks {
			if c.Name == name || t.Name == name {
				lines = append(lines, checkLine(c))
			}
		}
	}
	for _, t := range p.NotTested {
		if t.Name == name || strings.HasPrefix(name, t.Name+".") {
			lines = append(lines, t.Name+" was not tested"+prefixed(": ", t.Reason))
		}
	}
	return lines
}

func checkLine(c eval.CheckExplanation) string {
	line := c.Name
	if c.Value != "" {
		line += " " + c.Value
	}
	line += prefixed(", corrected ", c.Corrected)
	line += prefixed(", limit ", c.Limit.Text)
	line += prefixed(": ", c.Limit.Here)
	line += ": " + strings.Join(c.Outcomes, " | ")
	if r := c.Result.String(); !slices.Equal(c.Outcomes, []string{r}) {
		line += ", " + r
	}
	return line + prefixed("; ", c.Why)
}

func prefixed(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}

// A Report is what became of the trials that were run, in the order of the files.
type Report struct {
	Results  []*Result
	Coverage *Coverage // nil unless it was asked for; see Suite.Coverage

	files []*dsl.File
}

// Count returns how many trials have a status.
func (r *Report) Count(s Status) int {
	n := 0
	for _, res := range r.Results {
		if res.Status == s {
			n++
		}
	}
	return n
}

// OK tells whether every trial got what it expects.
func (r *Report) OK() bool { return r.Count(Passed) == len(r.Results) }

// Text writes for people: each trial that did not get what it expects with what was expected, what came and the line of the trial; then how many
// passed; then the coverage.
func (r *Report) Text(w io.Writer) error {
	b := bufio.NewWriter(w)
	for _, res := range r.Results {
		if res.Status != Passed {
			r.failure(b, res)
		}
	}
	fmt.Fprintf(b, "%s: %d passed", counted(len(r.Results), "trial"), r.Count(Passed))
	for _, s := range []Status{Failed, Broken} {
		if n := r.Count(s); n > 0 {
			fmt.Fprintf(b, ", %d %s", n, s)
		}
	}
	b.WriteByte('\n')
	if r.Coverage != nil {
		b.WriteByte('\n')
		r.Coverage.text(b)
	}
	return b.Flush()
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Failure writes what Text writes for one trial that did not get what it expects.
func (r *Report) Failure(w io.Writer, res *Result) error {
	b := bufio.NewWriter(w)
	r.failure(b, res)
	return b.Flush()
}

func (r *Report) failure(w io.Writer, res *Result) {
	fmt.Fprintf(w, "%s: %s %s\n", res.Trial.Span().Pos, Name(res.Trial), res.Status)
	for _, d := range res.Differences {
		r.difference(w, d)
	}
	for _, line := range errorLines(res.Err) {
		fmt.Fprintf(w, "  %s\n", line)
	}
	fmt.Fprintln(w)
}

func (r *Report) difference(w io.Writer, d Difference) {
	if line := r.line(d.Place); line != "" {
		fmt.Fprintf(w, "  %5d | %s\n", d.Place.Line, line)
	}
	if d.Came == "" {
		fmt.Fprintf(w, "          %s\n", d.Message)
		return
	}
	fmt.Fprintf(w, "          expected  %s\n", d.Want)
	fmt.Fprintf(w, "          came      %s\n", d.Came)
	for i, b := range d.Because {
		head := "         "
		if i == 0 {
			head = "because  "
		}
		fmt.Fprintf(w, "          %s %s\n", head, b)
	}
}

// line returns the source line of a place.
func (r *Report) line(p dsl.Position) string {
	for _, f := range r.files {
		if f.Name == p.Filename {
			if lines := strings.Split(f.Source, "\n"); p.Line > 0 && p.Line <= len(lines) {
				return strings.TrimSpace(lines[p.Line-1])
			}
		}
	}
	return ""
}

// errorLines gives each finding of an error on a line.
func errorLines(err error) []string {
	if err == nil {
		return nil
	}
	var list dsl.Diagnostics
	if !errors.As(err, &list) {
		return []string{err.Error()}
	}
	var lines []string
	for _, d := range list {
		lines = append(lines, d.Error())
	}
	return lines
}
