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

// Brief writes a verdict for a screen: the word for the unit, what is off, what explains it and why, what to fit, and what to test next. The same
// verdict gives the same bytes. Text writes everything.
func Brief(w io.Writer, e *eval.Explanation) error { return BriefHint(w, e, "-all") }

// BriefHint is Brief with other words for how to see all of it.
func BriefHint(w io.Writer, e *eval.Explanation, all string) error {
	p := &printer{w: bufio.NewWriter(w), brief: true, all: all}
	p.head(e)
	last := len(e.Passes) - 1
	read := told(e.Passes)
	for i := range e.Passes {
		switch {
		case i == last && i == read:
			p.last(&e.Passes[i])
		case i == last:
			p.unread(&e.Passes[i])
		case i == read:
			pass := e.Passes[i]
			pass.Slip = e.Passes[last].Slip
			p.line("")
			p.line("%s", p.passHead(&pass))
			p.found(&pass)
		case i > 0 && !anew(&e.Passes[i]) && e.Passes[i].Word == e.Passes[i-1].Word:
			p.line("")
			p.line("%s: %s", p.stageHead(&e.Passes[i]), nothingRead)
			p.work(&e.Passes[i])
		default:
			p.earlier(&e.Passes[i])
		}
	}
	return p.w.Flush()
}

const nothingRead = "no new readings"

// told is the pass in which what was found is told: the last, or if nothing was read in it the one from which all that it says of the readings comes.
func told(passes []eval.PassExplanation) int {
	last := len(passes) - 1
	for i := last; i > 0; i-- {
		if anew(&passes[i]) || found(&passes[i-1]) != found(&passes[last]) {
			return i
		}
	}
	return 0
}

// anew tells whether anything was read in a pass.
func anew(pass *eval.PassExplanation) bool {
	return slices.ContainsFunc(pass.Tests, func(t eval.TestExplanation) bool { return t.New })
}

// found is what a brief report says of the readings of a pass, but for what a slip may have been: that is told of the last pass alone.
func found(pass *eval.PassExplanation) string {
	var b strings.Builder
	p := &printer{w: bufio.NewWriter(&b), brief: true}
	bare := *pass
	bare.Slip = ""
	p.found(&bare)
	p.w.Flush()
	return b.String()
}

func (p *printer) passHead(pass *eval.PassExplanation) string {
	return p.stageHead(pass) + ": " + pass.Word.String()
}

func (p *printer) stageHead(pass *eval.PassExplanation) string {
	head := strings.ToUpper(pass.Stage)
	for _, s := range []string{pass.By, pass.On} {
		if s != "" {
			head += ", " + s
		}
	}
	return head
}

// earlier gives a pass before the last in a few lines.
func (p *printer) earlier(pass *eval.PassExplanation) {
	p.line("")
	text := p.passHead(pass)
	var shown []string
	for _, f := range pass.Faults {
		if f.Status == diagnosis.Shown {
			shown = append(shown, f.Title)
		}
	}
	if len(shown) > 0 {
		text += "; " + strings.Join(shown, "; ")
	}
	p.wrap("", "  ", text)
	p.work(pass)
}

func (p *printer) work(pass *eval.PassExplanation) {
	for _, w := range pass.Work {
		p.wrap("  Work: ", "    ", w)
	}
}

// found gives what was read in a pass, and what explains it.
func (p *printer) found(pass *eval.PassExplanation) {
	p.unanswered(pass)
	p.off(pass)
	p.stories(pass)
	p.shown(pass)
}

// last gives the last pass.
func (p *printer) last(pass *eval.PassExplanation) {
	p.line("")
	p.line("%s", p.passHead(pass))
	p.found(pass)
	p.remedies(pass)
	p.next(pass.Next)
	p.work(pass)
	p.rest(pass)
}

// unread gives a last pass in which nothing was read: what was found is told above.
func (p *printer) unread(pass *eval.PassExplanation) {
	p.line("")
	p.line("%s; %s", p.passHead(pass), nothingRead)
	p.work(pass)
	p.remedies(pass)
	p.next(pass.Next)
	p.rest(pass)
}

// rest gives the notes and what was left out.
func (p *printer) rest(pass *eval.PassExplanation) {
	for _, n := range pass.Notes {
		p.wrap("  Note: ", "    ", n)
	}
	p.counts(pass)
}

// unanswered says that a complaint stands although nothing was found.
func (p *printer) unanswered(pass *eval.PassExplanation) {
	if pass.Word == eval.NoFaultFound {
		p.wrap("  ", "  ", "The complaint stands: these tests, under the conditions they were made in, did not reproduce it. That is no release of the unit for what was complained of.")
	}
}

// off lists the checks that are no plain pass.
func (p *printer) off(pass *eval.PassExplanation) {
	counts := map[eval.Result]int{}
	byResult := map[eval.Result][]string{}
	for _, t := range pass.Tests {
		for _, c := range t.Checks {
			counts[c.Result]++
			byResult[c.Result] = append(byResult[c.Result], brieflyChecked(t, c))
		}
	}
	var off []string
	for _, r := range []eval.Result{eval.Fail, eval.NotValid, eval.NotDecidable, eval.Marginal} {
		off = append(off, byResult[r]...)
	}
	p.line("")
	var parts []string
	for _, r := range []eval.Result{eval.Pass, eval.Marginal, eval.Fail, eval.NotDecidable, eval.NotValid} {
		if counts[r] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", counts[r], r))
		}
	}
	if len(parts) == 0 {
		parts = []string{"nothing was read"}
	}
	p.line("  Readings: %s", strings.Join(parts, ", "))
	for i, text := range off {
		if i == mostOff && len(off) > mostOff+1 {
			p.line("    and %d more", len(off)-mostOff)
			break
		}
		p.wrap("    ", "      ", text)
	}
}

const mostOff = 12

func brieflyChecked(t eval.TestExplanation, c eval.CheckExplanation) string {
	text := strings.ToUpper(c.Result.String())
	if outcome := outcomes(c); outcome != "" {
		text += ", " + outcome
	}
	text += ": " + t.Title
	if name := strings.TrimPrefix(strings.TrimPrefix(c.Name, t.Name), "."); name != "" {
		text += ", " + words(name)
	}
	if c.Value != "" {
		text += " " + c.Value
	}
	if c.Odd != "" {
		text += "; odd is " + words(c.Odd)
	}
	if c.Limit.Text != "" && c.Value != "" && !strings.Contains(c.Limit.Text, "|") {
		limit := c.Limit.Text
		if c.Limit.Here != "" {
			limit = c.Limit.Here
		}
		text += "; limit " + limit
	}
	if c.Result != eval.Fail && c.Why != "" {
		text += "; because " + c.Why
		if c.Decides != "" {
			text += "; to decide it: " + c.Decides
		}
	}
	return text
}

// stories tells what explains the readings.
func (p *printer) stories(pass *eval.PassExplanation) {
	if len(pass.Stories) == 0 && pass.AtOdds == "" && pass.Slip == "" {
		return
	}
	p.line("")
	switch {
	case pass.Word == eval.Unexplained:
		p.line("  Nothing on the sheet explains these readings; a reading is a slip, or the sheet lacks the fault. Best of what there is:")
	default:
		p.line("  What explains the readings:")
	}
	for i, s := range pass.Stories {
		if i == mostStories && len(pass.Stories) > mostStories+1 {
			p.line("    and %d less likely", len(pass.Stories)-mostStories)
			break
		}
		p.wrap("    ", "      ", storyTitle(s)+": "+s.Likely)
	}
	if pass.AtOdds != "" {
		p.wrap("    ", "      ", "At odds: "+pass.AtOdds)
	}
	if pass.Slip != "" {
		p.wrap("      ", "        ", pass.Slip)
	}
}

// storyTitle names the faults of a story.
func storyTitle(s eval.StoryExplanation) string {
	switch {
	case s.Slip:
		return "no fault, and a reading that is a slip"
	case len(s.Faults) == 0:
		return "no fault"
	}
	return strings.Join(s.Faults, ", together with ")
}

// shown tells why the faults that are shown are so; if there are none, why the first suspected one is.
func (p *printer) shown(pass *eval.PassExplanation) {
	told := map[string]bool{}
	for _, f := range pass.Faults {
		bare := bare(f)
		if (f.Status == diagnosis.Shown || f.OneOf) && !told[bare] {
			told[bare] = true
			title := "Shown: "
			if f.OneOf {
				title, f.Title = "Shown, at one of its positions: ", bare
			}
			p.because(title, f)
		}
	}
	if len(told) == 0 {
		for _, f := range pass.Faults {
			if f.Status == diagnosis.Suspected {
				p.because("Suspected: ", f)
				break
			}
		}
	}
}

const mostStories = 5

func (p *printer) because(title string, f eval.FaultExplanation) {
	text := title + f.Title
	if f.Part != "" {
		text += " (" + f.Part + ")"
	}
	p.wrap("    ", "      ", text)
	for _, b := range f.Because {
		p.wrap("      ", "        ", words(b))
	}
	if f.Why != "" {
		p.wrap("      ", "        ", f.Why)
	}
}

// remedies tells what to fit, what to retest and which causes to clear.
func (p *printer) remedies(pass *eval.PassExplanation) {
	if len(pass.Remedies)+len(pass.Causes)+len(pass.Regardless)+len(pass.Retests) == 0 {
		return
	}
	p.line("")
	p.line("  What to do:")
	for _, r := range pass.Remedies {
		text := r.Title
		if r.Status != diagnosis.Shown {
			text = "Perhaps: " + text + ", for " + strings.Join(r.For, " or ")
		}
		if r.Note != "" {
			text += " (" + r.Note + ")"
		}
		p.wrap("    ", "      ", text)
		if r.Status == diagnosis.Shown && len(r.Retest) > 0 {
			p.wrap("      ", "        ", "then retest: "+strings.Join(r.Retest, "; "))
		}
	}
	if len(pass.Retests) > 0 {
		p.wrap("    ", "      ", "Before release, retest after the work that was done: "+strings.Join(pass.Retests, "; "))
	}
	for _, c := range pass.Causes {
		p.wrap("    ", "      ", "Before release, clear the cause: "+c)
	}
	if len(pass.Regardless) > 0 {
		p.wrap("    ", "      ", "Replaced regardless, by the rule of the shop: "+strings.Join(pass.Regardless, "; "))
	}
}

// next tells which test comes next, its cautions before it.
func (p *printer) next(n *eval.NextExplanation) {
	if n == nil {
		return
	}
	p.line("")
	p.line("  Next:")
	for _, c := range n.Cautions {
		p.wrap("    CAUTION ", "      ", c)
	}
	text := n.Title
	if n.Repeat {
		text = "Repeat: " + text
	}
	var parts []string
	if n.Minutes != "" && n.Minutes != "0 min" {
		parts = append(parts, n.Minutes)
	}
	if n.Teardown != "" {
		before := n.Teardown + " before it"
		if n.Stage != "" {
			before += ", to have it " + n.Stage
		}
		parts = append(parts, before)
	}
	if len(parts) > 0 {
		text += " (" + strings.Join(parts, "; ") + ")"
	}
	p.wrap("    ", "      ", text)
	for _, b := range n.Because {
		p.wrap("      ", "        ", words(b))
	}
	if n.Plan != "" {
		p.wrap("      ", "        ", n.Plan)
	}
}

// counts says how many faults were not examined, and so on, and where to read more.
func (p *printer) counts(pass *eval.PassExplanation) {
	counts := map[diagnosis.Status]int{}
	told := map[string]bool{} // a fault of positions counts once for each status
	for _, f := range pass.Faults {
		name, _, _ := strings.Cut(f.Name, "[")
		if key := name + " " + f.Status.String(); !told[key] {
			told[key] = true
			counts[f.Status]++
		}
	}
	untested := 0
	for _, u := range pass.NotTested {
		if u.Applies {
			untested++
		}
	}
	var parts []string
	for _, s := range []diagnosis.Status{diagnosis.RuledOut, diagnosis.Possible, diagnosis.NotExamined} {
		if counts[s] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", counts[s], s))
		}
	}
	text := ""
	if len(parts) > 0 {
		text = "Other faults: " + strings.Join(parts, ", ") + ". "
	}
	if untested > 0 {
		text += fmt.Sprintf("%d %s not made. ", untested, plural(untested, "test was", "tests were"))
	}
	if text != "" {
		p.line("")
		p.wrap("  ", "  ", text+"All of it: "+p.all)
	}
}
