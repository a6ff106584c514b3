// Package report prints verdicts for people.
package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/eval/internal/runs"
)

// Text writes a verdict as plain text: for each pass the numbers first, with limit, source and margin, then what they say of the faults, then
// what was not tested. The same verdict gives the same bytes.
func Text(w io.Writer, e *eval.Explanation) error {
	p := &printer{w: bufio.NewWriter(w)}
	p.head(e)
	for _, pass := range e.Passes {
		p.pass(pass)
	}
	if len(e.Leaning) > 0 {
		p.line("")
		p.line("Said by the sheet and not acted on yet:")
		for _, l := range e.Leaning {
			p.line("  %s", l)
		}
	}
	return p.w.Flush()
}

type printer struct {
	w     *bufio.Writer
	brief bool
	all   string // how to see all of it
}

const fewTests = 6 // that a brief report names

func (p *printer) line(format string, args ...any) {
	fmt.Fprintf(p.w, format, args...)
	p.w.WriteByte('\n')
}

func (p *printer) head(e *eval.Explanation) {
	title := e.Unit
	if e.Record != "" {
		title = e.Record + ": " + title
	}
	if e.Serial != "" {
		title += ", serial " + e.Serial
	}
	p.line("%s", title)
	for _, u := range e.Included {
		family := u.Title
		if u.Family == "" {
			family += ", not told which"
		}
		p.line("With %s: %s", strings.ReplaceAll(u.Name, "_", " "), family)
	}
	if e.Complaint != "" {
		text := "Complaint: " + e.Complaint
		if e.Reproduced != "" {
			text += " (" + words(e.Reproduced) + ")"
		}
		p.line("%s", text)
	}
	for _, name := range e.Earlier {
		p.before(name, e.Before)
	}
	if len(e.Facts) > 0 {
		p.line("Known: %s", strings.Join(e.Facts, "; "))
	}
	limits := []string{"Limits"}
	if e.Date != "" {
		limits = append(limits, "of "+e.Date)
	}
	if e.Shop != "" {
		limits = append(limits, "by the rules of "+e.Shop)
	}
	p.line("%s, sheets %s", strings.Join(limits, " "), e.Sheets)
}

// before tells what an earlier record said.
func (p *printer) before(name string, before []eval.EarlierExplanation) {
	for _, b := range before {
		if b.Record != name {
			continue
		}
		text := "Earlier record " + name + ": " + b.Word.String()
		if len(b.Shown) > 0 {
			text += "; " + strings.Join(b.Shown, "; ")
		}
		if len(b.Work) > 0 {
			text += "; done: " + strings.Join(b.Work, ", ")
		}
		p.wrap("", "  ", text)
		switch {
		case len(b.NotTested) > fewTests && p.brief:
			p.line("  %d tests were not made then", len(b.NotTested))
		case len(b.NotTested) > 0:
			p.wrap("  ", "  ", "not tested then: "+strings.Join(b.NotTested, "; "))
		}
		return
	}
	p.line("Earlier record: %s", name)
}

func (p *printer) pass(pass eval.PassExplanation) {
	head := strings.ToUpper(pass.Stage)
	for _, s := range []string{pass.By, pass.On} {
		if s != "" {
			head += ", " + s
		}
	}
	p.line("")
	p.line("%s: %s", head, pass.Word)
	p.unanswered(&pass)
	older := 0
	for _, t := range pass.Tests {
		if t.New {
			p.test(t)
		} else {
			older++
		}
	}
	if older > 0 {
		p.line("")
		p.line("  From earlier passes %d %s, shown there", older, plural(older, "test still counts", "tests still count"))
	}
	p.stories(&pass)
	p.faults(pass)
	p.remedies(&pass)
	p.next(pass.Next)
	for _, w := range pass.Work {
		p.line("  Work: %s", w)
	}
	for _, n := range pass.Notes {
		p.line("  Note: %s", n)
	}
	p.untested(pass)
}

func (p *printer) test(t eval.TestExplanation) {
	p.line("")
	p.line("  %s", t.Title)
	where := t.Across
	if where != "" {
		where = "across " + where
	}
	for _, l := range t.Lifted {
		where = strings.TrimPrefix(where+"; "+l+" lifted", "; ")
	}
	if where != "" {
		p.wrap("    ", "      ", where)
	}
	for _, r := range t.Readings {
		p.reading(r)
	}
	for _, c := range t.Checks {
		p.check(c, t)
	}
}

func (p *printer) reading(r eval.ReadingText) {
	text := fmt.Sprintf("read %s: %s", words(r.Name), r.Value)
	if len(r.At) > 0 {
		text += " at " + strings.Join(r.At, ", ")
	}
	if r.Meter != "" {
		text += " with " + r.Meter
	}
	if r.Stage != "" {
		text += " (" + r.Stage + ")"
	}
	if r.Void != "" {
		text += ", void: " + r.Void
	}
	p.wrap("    ", "      ", text)
	if r.Was != "" {
		p.wrap("      ", "        ", "was "+r.Was)
	}
	if r.Note != "" {
		p.wrap("      ", "        ", "note: "+r.Note)
	}
}

// check prints the result of one check: result, value, limit, margin; then the reason of a result that is no plain pass or fail.
func (p *printer) check(c eval.CheckExplanation, t eval.TestExplanation) {
	name := strings.TrimPrefix(strings.TrimPrefix(c.Name, t.Name), ".")
	text := strings.ToUpper(c.Result.String())
	if outcome := outcomes(c); outcome != "" {
		text += ", " + outcome
	}
	text += ":"
	if name != "" {
		text += " " + words(name)
	}
	if c.Value != "" {
		text += " " + c.Value
	}
	if c.Meets != "" || c.Why != "" && c.Expanded != "" {
		text += " " + c.Expanded
	}
	if c.Corrected != "" {
		text += " (" + c.Corrected + ")"
	} else if c.Formula != "" {
		text += " (" + c.Formula + ")"
	}
	if c.Odd != "" {
		text += "; odd is " + words(c.Odd)
	}
	if c.Limit.Text != "" {
		text += "; " + limit(c.Limit)
	}
	if c.Margin != "" {
		text += "; " + c.Margin
	}
	p.wrap("    ", "      ", strings.TrimSuffix(text, ":"))
	if c.Meets != "" {
		p.wrap("      ", "        ", "meets the limit "+c.Meets)
	}
	for _, r := range c.Limit.Replaced {
		p.wrap("      ", "        ", "this limit replaced "+r)
	}
	if c.Why != "" {
		why := "because " + c.Why
		if c.Decides != "" {
			why += "; to decide it: " + c.Decides
		}
		p.wrap("      ", "        ", why)
	}
}

// outcomes names the outcome where the result alone does not tell it.
func outcomes(c eval.CheckExplanation) string {
	switch {
	case c.Result == eval.Information || c.Result == eval.NotApplicable || len(c.Outcomes) == 0:
		return ""
	case len(c.Outcomes) == 1 && c.Outcomes[0] == "good":
		return ""
	case len(c.Outcomes) == 1:
		return words(c.Outcomes[0])
	case c.Result == eval.NotDecidable && len(c.Outcomes) <= 3:
		return words(strings.Join(c.Outcomes, " or "))
	case c.Result == eval.Fail || c.Result == eval.Marginal:
		return words(strings.Join(c.Outcomes, " or "))
	}
	return ""
}

func limit(l eval.LimitText) string {
	text := "limit " + l.Text
	if l.Here != "" {
		text += ", here " + l.Here
	}
	switch {
	case l.Source != "" && l.Status != "":
		text += fmt.Sprintf(" (%s, %s)", l.Source, l.Status)
	case l.Source != "":
		text += fmt.Sprintf(" (%s)", l.Source)
	case l.Layer != "":
		text += fmt.Sprintf(" (%s, no source)", l.Layer)
	}
	return text
}

// order of the statuses, the strongest first.
var statuses = []struct {
	status diagnosis.Status
	title  string
}{
	{diagnosis.Shown, "Shown"},
	{diagnosis.Suspected, "Suspected"},
	{diagnosis.Possible, "Possible"},
	{diagnosis.RuledOut, "Ruled out"},
	{diagnosis.NotExamined, "Not examined"},
}

func (p *printer) faults(pass eval.PassExplanation) {
	if len(pass.Faults) == 0 {
		return
	}
	p.line("")
	p.line("  What this says of the faults:")
	for _, s := range statuses {
		var list []eval.FaultExplanation
		for _, f := range pass.Faults {
			if f.Status == s.status {
				list = append(list, f)
			}
		}
		if len(list) == 0 {
			continue
		}
		switch s.status {
		case diagnosis.NotExamined, diagnosis.RuledOut:
			p.wrap("    ", "      ", s.title+": "+titles(list))
		case diagnosis.Possible:
			p.possible(list)
		default:
			for i, f := range list {
				switch {
				case !f.OneOf:
					p.because(s.title+": ", f)
				case i == 0 || !list[i-1].OneOf || bare(list[i-1]) != bare(f):
					p.because("Shown, at one of these: ", placedAt(list, f))
				}
			}
		}
	}
}

// placedAt is a fault with all the positions that it may be at.
func placedAt(list []eval.FaultExplanation, f eval.FaultExplanation) eval.FaultExplanation {
	var same []eval.FaultExplanation
	for _, g := range list {
		if g.OneOf && bare(g) == bare(f) {
			same = append(same, g)
		}
	}
	f.Title = titles(same)
	return f
}

// bare is the title of a fault without its position.
func bare(f eval.FaultExplanation) string {
	return strings.TrimSuffix(f.Title, ", "+strings.Join(f.Position, ", "))
}

// possible prints the faults by the outcome that points to them, and those that nothing points to on one line.
func (p *printer) possible(list []eval.FaultExplanation) {
	var outcomes []string
	by := map[string][]eval.FaultExplanation{}
	var quiet []eval.FaultExplanation
	for _, f := range list {
		for _, b := range f.Because {
			if by[b] == nil {
				outcomes = append(outcomes, b)
			}
			by[b] = append(by[b], f)
		}
		if len(f.Because) == 0 {
			quiet = append(quiet, f)
		}
	}
	for _, o := range outcomes {
		p.wrap("    ", "      ", fmt.Sprintf("Possible, with %s: %s", words(o), titles(by[o])))
	}
	if len(quiet) > 0 {
		p.wrap("    ", "      ", "Not ruled out, and nothing points to them: "+titles(quiet))
	}
}

// titles joins the titles of faults, with the positions of one fault behind its title.
func titles(list []eval.FaultExplanation) string {
	var names []string
	positions := map[string][]string{}
	for _, f := range list {
		title := f.Title
		if len(f.Position) > 0 {
			title = bare(f)
			positions[title] = append(positions[title], strings.Join(f.Position, " "))
		}
		if len(names) == 0 || names[len(names)-1] != title {
			names = append(names, title)
		}
	}
	for i, title := range names {
		if at := positions[title]; len(at) > 0 {
			names[i] = fmt.Sprintf("%s (%s)", title, strings.Join(runs.Of(at), ", "))
		}
	}
	return strings.Join(names, "; ")
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// untested lists what was not tested. Tests with the same cautions stand together, under them.
func (p *printer) untested(pass eval.PassExplanation) {
	var notMeant []string
	var groups []string
	by := map[string][]eval.Untested{}
	for _, u := range pass.NotTested {
		if !u.Applies {
			notMeant = append(notMeant, u.Title)
			continue
		}
		key := strings.Join(u.Cautions, "\n")
		if by[key] == nil {
			groups = append(groups, key)
		}
		by[key] = append(by[key], u)
	}
	slices.SortStableFunc(groups, func(a, b string) int {
		return strings.Count(a, "\n") - strings.Count(b, "\n") + cautious(a) - cautious(b)
	})
	if len(groups) > 0 {
		p.line("")
		p.line("  Not tested:")
	}
	for _, key := range groups {
		if key != "" {
			for _, c := range strings.Split(key, "\n") {
				p.wrap("    CAUTION ", "      ", c)
			}
		}
		for _, u := range by[key] {
			text := u.Title
			if u.Reason != "" {
				text += ": " + u.Reason
			}
			p.wrap("      ", "        ", text)
		}
	}
	if len(notMeant) > 0 {
		p.line("")
		p.wrap("  ", "    ", "Not meant for this unit: "+strings.Join(notMeant, "; "))
	}
}

// cautious puts the tests without a caution first.
func cautious(key string) int {
	if key == "" {
		return 0
	}
	return 1
}

// words turns names of the sheet into words.
func words(name string) string { return strings.ReplaceAll(name, "_", " ") }

const width = 110

// wrap breaks a line at blanks so that it fits a terminal, with its own indent for the lines after the first.
func (p *printer) wrap(first, rest, text string) {
	indent, line := first, first
	for _, word := range strings.Fields(text) {
		switch {
		case line == indent:
			line += word
		case len([]rune(line))+1+len([]rune(word)) > width:
			p.line("%s", line)
			indent, line = rest, rest+word
		default:
			line += " " + word
		}
	}
	p.line("%s", line)
}
