package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/diagnosis"
)

// What a person at the bench is shown between two readings.

// Card writes what to heed and to do for one test, cautions first. head stands before its title, after says what stands behind it, such as minutes;
// either may be empty.
func Card(w io.Writer, c eval.Card, head string, after ...string) error {
	p := &printer{w: bufio.NewWriter(w)}
	for _, text := range c.Cautions {
		p.wrap("CAUTION ", "  ", text)
	}
	title := head + c.Title + " (" + c.Test + ")"
	p.wrap("", "  ", title)
	if c.Stage != "" {
		after = append([]string{c.Stage}, after...)
	}
	if c.Minutes > 0 {
		after = append(after, fmt.Sprintf("%.0f min", c.Minutes))
	}
	if len(after) > 0 {
		p.wrap("  ", "    ", strings.Join(after, "; "))
	}
	for _, n := range c.Needs {
		p.wrap("  ", "    ", "Only if "+words(n))
	}
	for _, s := range c.Steps {
		p.wrap("  ", "    ", s)
	}
	if len(c.Lifted) > 0 {
		p.wrap("  ", "    ", "Lifted: "+strings.Join(c.Lifted, "; "))
	}
	if c.Across != "" {
		p.wrap("  ", "    ", "Across "+c.Across)
	}
	if c.Run != "" {
		p.wrap("  ", "    ", "Run "+c.Run)
	}
	return p.w.Flush()
}

// mostPasses is how many checks of one test are told that passed.
const mostPasses = 3

// Result writes what became of the checks of one test, those that are off first.
func Result(w io.Writer, t *eval.TestExplanation) error {
	p := &printer{w: bufio.NewWriter(w)}
	passed := 0
	for _, r := range []eval.Result{eval.Fail, eval.NotValid, eval.NotDecidable, eval.Marginal, eval.Pass} {
		for _, c := range t.Checks {
			if c.Result != r {
				continue
			}
			if r == eval.Pass {
				if passed++; passed > mostPasses {
					continue
				}
			}
			text := strings.Replace(brieflyChecked(*t, c), ": "+t.Title+", ", ": ", 1)
			text = strings.Replace(text, ": "+t.Title, "", 1)
			if c.Margin != "" {
				text += ", " + c.Margin
			}
			p.wrap("  ", "    ", text)
		}
	}
	if passed > mostPasses {
		p.line("  PASS: %d more", passed-mostPasses)
	}
	return p.w.Flush()
}

// Change says in a line or two what a test did to the explanations: what it shows, what it rules out, and what is likeliest now.
func Change(w io.Writer, before, after *eval.PassExplanation) error {
	p := &printer{w: bufio.NewWriter(w)}
	told := false
	say := func(format string, args ...any) { p.wrap("  ", "    ", fmt.Sprintf(format, args...)); told = true }
	if before.Word != after.Word {
		say("The unit: %s", after.Word)
	}
	var parts []string
	for _, s := range []diagnosis.Status{diagnosis.Shown, diagnosis.RuledOut} {
		if list := became(before, after, s); len(list) > 0 {
			parts = append(parts, s.String()+": "+shortened(list))
		}
	}
	if len(parts) > 0 {
		say("Now %s", strings.Join(parts, ". Now "))
	}
	nothing := len(before.Stories) == 0 && len(after.Stories) == 1 && len(after.Stories[0].Faults) == 0 && !after.Stories[0].Slip
	if was, is := likeliest(before), likeliest(after); was != is && is != "" && !nothing {
		say("Likeliest now: %s", is)
	}
	if !told && len(after.Faults) > 0 {
		say("What explains the readings stays as it was.")
	}
	return p.w.Flush()
}

// became lists the faults that have a status now and had another, each once whatever its positions.
func became(before, after *eval.PassExplanation, s diagnosis.Status) []string {
	was := map[string]diagnosis.Status{}
	for _, f := range before.Faults {
		was[strings.Join(append([]string{f.Name}, f.Position...), " ")] = f.Status
	}
	var list []eval.FaultExplanation
	for _, f := range after.Faults {
		if old, known := was[strings.Join(append([]string{f.Name}, f.Position...), " ")]; f.Status == s && (!known || old != s) {
			list = append(list, f)
		}
	}
	if len(list) == 0 {
		return nil
	}
	return strings.Split(titles(list), "; ")
}

func shortened(list []string) string {
	const most = 3
	if len(list) > most+1 {
		list = append(slices.Clone(list[:most]), fmt.Sprintf("%d more", len(list)-most))
	}
	return strings.Join(list, "; ")
}

// likeliest names the first stories.
func likeliest(pass *eval.PassExplanation) string {
	var list []string
	for i, s := range pass.Stories {
		if i == 3 {
			break
		}
		list = append(list, storyTitle(s)+" ("+s.Likely+")")
	}
	return strings.Join(list, "; ")
}
