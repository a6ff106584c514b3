package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval"
)

// A Section is one part of what a sheet says.
type Section string

// Sections in the order in which they are written.
const (
	TestSection  Section = "tests" // with the laws of the sheet and what the release needs
	LimitSection Section = "limits"
	FaultSection Section = "faults" // with remedies, causes, and the table of faults and tests
)

// Sections lists all sections.
func Sections() []Section { return []Section{TestSection, LimitSection, FaultSection} }

// Contents writes what the sheets say of a unit as plain text for a terminal of 110 columns: the sections named, or all of them. The cautions of a
// test stand before it. The same sheets give the same bytes.
func Contents(w io.Writer, c *eval.Contents, sections ...Section) error {
	p := &printer{w: bufio.NewWriter(w)}
	p.line("%s (%s)", c.Title, c.Unit)
	p.wrap("", "  ", fmt.Sprintf("Built on %s; sheets %s", strings.Join(c.Layers, ", "), c.Sheets))
	if wanted(sections, TestSection) {
		p.contentsTests(c)
	}
	if wanted(sections, LimitSection) {
		p.contentsLimits(c)
	}
	if wanted(sections, FaultSection) {
		p.contentsFaults(c)
		p.contentsActions(c)
		p.table(c.Table)
	}
	return p.w.Flush()
}

func wanted(sections []Section, s Section) bool {
	return len(sections) == 0 || slices.Contains(sections, s)
}

func (p *printer) contentsTests(c *eval.Contents) {
	p.line("")
	p.line("TESTS")
	stage, notMeant := "", []string{}
	for _, t := range c.Tests {
		if !t.Applies {
			notMeant = append(notMeant, t.Title)
			continue
		}
		if t.Stage != stage {
			stage = t.Stage
			p.line("")
			p.line("  Unit %s", stage)
		}
		p.line("")
		p.wrap("    ", "        ", t.Title+" ("+t.Name+minutes(t.Minutes)+")")
		for _, text := range cautionTexts(c, t) {
			p.wrap("      CAUTION ", "        ", text)
		}
		for _, part := range setUp(t) {
			p.wrap("      ", "        ", part)
		}
		for _, s := range t.Steps {
			p.wrap("      step: ", "        ", s)
		}
		p.wrap("      read ", "        ", strings.Join(t.Reads, "; "))
		for _, text := range t.Formulas {
			p.wrap("      work out ", "        ", text)
		}
		for _, text := range t.Corrected {
			p.wrap("      correct ", "        ", text)
		}
	}
	if len(notMeant) > 0 {
		p.line("")
		p.wrap("  ", "    ", "Not meant for this unit: "+strings.Join(notMeant, "; "))
	}
	for i, l := range c.Laws {
		if i == 0 {
			p.line("")
			p.line("  Laws of correction of the sheet")
		}
		p.wrap("    ", "      ", lawTitle(l))
		p.wrap("      ", "        ", lawFormula(l))
	}
	if len(c.Release) > 0 {
		p.line("")
		p.wrap("  ", "    ", "The release needs: "+strings.Join(c.Release, "; "))
	}
}

// lawTitle names a law and its source.
func lawTitle(l eval.ContentsLaw) string {
	text := l.Name
	if l.Title != "" {
		text = l.Title + " (" + l.Name + ")"
	}
	if l.Source != "" {
		text += ", " + l.Source
	}
	return text
}

func lawFormula(l eval.ContentsLaw) string { return l.Formula + when(l.When) }

func minutes(n float64) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(", %g min", n)
}

// cautionTexts gives the cautions of a test in full.
func cautionTexts(c *eval.Contents, t eval.ContentsTest) []string {
	var list []string
	for _, name := range t.Cautions {
		if i := slices.IndexFunc(c.Cautions, func(k eval.Caution) bool { return k.Name == name }); i >= 0 {
			list = append(list, c.Cautions[i].Text)
		}
	}
	return list
}

// setUp lists what is to be done before a test reads anything.
func setUp(t eval.ContentsTest) []string {
	var list []string
	if t.When != "" {
		list = append(list, "when "+t.When)
	}
	if len(t.Needs) > 0 {
		list = append(list, "needs "+strings.Join(t.Needs, "; "))
	}
	if len(t.Lifted) > 0 {
		list = append(list, "lift "+strings.Join(t.Lifted, "; "))
	}
	if len(t.Across) > 0 {
		list = append(list, "across "+strings.Join(t.Across, "; or "))
	}
	if t.Run != "" {
		list = append(list, "run "+t.Run)
	}
	return list
}

func (p *printer) contentsLimits(c *eval.Contents) {
	p.line("")
	p.line("LIMITS")
	check := ""
	for _, l := range c.Limits {
		if l.Check != check {
			check = l.Check
			p.line("  %s", check)
		}
		text := l.Limit.Text
		if from := source(l); from != "" {
			text += " (" + from + ")"
		}
		p.wrap("      ", "        ", text)
		for _, r := range l.Rows {
			p.wrap("        ", "          ", r)
		}
	}
}

// source says where a limit comes from, for which days, and for which units.
func source(l eval.ContentsLimit) string {
	parts := []string{}
	if l.Limit.Source != "" {
		parts = append(parts, l.Limit.Source)
	}
	if l.Limit.Status != "" {
		parts = append(parts, l.Limit.Status)
	}
	if days := inForce(l); days != "" {
		parts = append(parts, days)
	}
	if l.Variant != "" {
		parts = append(parts, "units "+l.Variant)
	}
	return strings.Join(parts, "; ")
}

func inForce(l eval.ContentsLimit) string {
	text := ""
	if l.From != "" {
		text = "from " + l.From
	}
	if l.Until != "" {
		text = strings.TrimSpace(text + " until " + l.Until)
	}
	return text
}

func (p *printer) contentsFaults(c *eval.Contents) {
	p.line("")
	p.line("FAULTS")
	for _, f := range c.Faults {
		about := []string{}
		if f.Part != "" {
			about = append(about, f.Part)
		}
		about = append(about, f.Frequency...)
		title := f.Title
		if len(f.Positions) > 0 {
			title += ", of each " + strings.Join(f.Positions, " and ")
		}
		if len(about) > 0 {
			title += " (" + strings.Join(about, "; ") + ")"
		}
		p.wrap("  ", "      ", title)
		if f.Remedy != "" {
			p.wrap("      remedy: ", "        ", remedy(f))
		}
		if len(f.Causes) > 0 {
			p.wrap("      look for: ", "        ", strings.Join(f.Causes, "; "))
		}
		if len(f.Leads) > 0 {
			p.wrap("      leads to: ", "        ", strings.Join(f.Leads, "; "))
		}
		if f.Because != "" {
			p.wrap("      why: ", "        ", f.Because)
		}
	}
}

func remedy(f eval.ContentsFault) string {
	if f.OrElse != "" {
		return f.Remedy + "; else: " + f.OrElse
	}
	return f.Remedy
}

// contentsActions writes what is done about faults, and what else is asked before release.
func (p *printer) contentsActions(c *eval.Contents) {
	if len(c.Remedies) > 0 {
		p.line("")
		p.line("REMEDIES")
	}
	for _, r := range c.Remedies {
		text := r.Title
		if r.Stage != "" {
			text += " (" + r.Stage + ")"
		}
		p.wrap("  ", "      ", text)
		for _, part := range hindrances(r) {
			p.wrap("      ", "        ", part)
		}
		if len(r.Retest) > 0 {
			p.wrap("      then retest: ", "        ", strings.Join(r.Retest, "; "))
		}
	}
	if len(c.Causes) > 0 {
		p.line("")
		p.line("CAUSES TO CLEAR BEFORE RELEASE")
	}
	for _, k := range c.Causes {
		p.wrap("  ", "      ", k.Title)
		if k.Ask != "" {
			p.wrap("      ask: ", "        ", k.Ask)
		}
		if k.Seen != "" {
			p.wrap("      seen by: ", "        ", k.Seen)
		}
	}
}

// hindrances says what a remedy waits for.
func hindrances(r eval.ContentsRemedy) []string {
	var list []string
	if r.Allowed != "" {
		list = append(list, "allowed when "+r.Allowed)
	}
	if len(r.Needs) > 0 {
		list = append(list, "needs "+strings.Join(r.Needs, "; "))
	}
	return list
}
