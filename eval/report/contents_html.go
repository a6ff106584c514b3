package report

import (
	_ "embed"
	"html/template"
	"io"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval"
)

//go:embed contents.html
var contentsPage string

var contentsTemplate = template.Must(template.New("contents").Parse(contentsPage))

// ContentsHTML writes what the sheets say of units as one HTML page that needs no other file and prints on A4: the sections named, or all of them. The
// same sheets give the same bytes.
func ContentsHTML(w io.Writer, units []*eval.Contents, sections ...Section) error {
	page := contentsData{Legend: htmlLegend}
	for _, c := range units {
		u := contentsUnit{Contents: c, WithTests: wanted(sections, TestSection), WithLimits: wanted(sections, LimitSection), WithFaults: wanted(sections, FaultSection)}
		if page.Title == "" {
			page.Title = c.Title
		}
		u.tests()
		u.limits()
		u.tables()
		page.Units = append(page.Units, u)
	}
	return contentsTemplate.Execute(w, page)
}

const htmlLegend = "Dark: always. Grey: usually or often. Pale: sometimes or seldom. ✱ anything may be seen. ▨ the fault hides the test. = goes as the test that it echoes. + only on some units. Empty: the fault leaves the test alone."

// The data of the page.
type (
	contentsData struct {
		Title  string
		Legend string
		Units  []contentsUnit
	}
	contentsUnit struct {
		*eval.Contents
		WithTests, WithLimits, WithFaults bool
		Stages                            []htmlStage
		NotMeant, ReleaseNeeds            string
		LawRows                           []htmlLaw
		RemedyRows                        []htmlRemedy
		LimitRows                         []htmlLimit
		FaultRows                         []htmlFault
		Tables                            []htmlTable
	}
	htmlStage struct {
		Title string
		Tests []htmlTest
	}
	htmlTest struct {
		eval.ContentsTest
		CautionTexts []string
		SetUp        []string
	}
	htmlLimit struct {
		Check, Text, Source, InForce, For string
		Rows                              []string
		More                              bool // of the same check as the row above
	}
	htmlFault struct {
		Title, Part, Frequency, Remedy, Causes, Because string
	}
	htmlLaw    struct{ Title, Formula string }
	htmlRemedy struct {
		Title, Stage, Retest string
		Hindrances           []string
	}
	htmlTable struct {
		Stage string
		Heads []eval.TableCheck
		Rows  []htmlRow
	}
	htmlRow struct {
		Title string
		Cells []htmlCell
	}
	htmlCell struct{ Class, Text, Hover string }
)

func (u *contentsUnit) tests() {
	var notMeant []string
	for _, t := range u.Contents.Tests {
		if !t.Applies {
			notMeant = append(notMeant, t.Title)
			continue
		}
		if n := len(u.Stages); n == 0 || u.Stages[n-1].Title != t.Stage {
			u.Stages = append(u.Stages, htmlStage{Title: t.Stage})
		}
		s := &u.Stages[len(u.Stages)-1]
		s.Tests = append(s.Tests, htmlTest{t, cautionTexts(u.Contents, t), setUp(t)})
	}
	u.NotMeant, u.ReleaseNeeds = strings.Join(notMeant, "; "), strings.Join(u.Release, "; ")
	for _, l := range u.Laws {
		u.LawRows = append(u.LawRows, htmlLaw{lawTitle(l), lawFormula(l)})
	}
}

func (u *contentsUnit) limits() {
	check := ""
	for _, l := range u.Contents.Limits {
		row := htmlLimit{Check: l.Check, Text: l.Limit.Text, Source: l.Limit.Source, InForce: inForce(l), For: l.Variant, Rows: l.Rows, More: l.Check == check}
		if l.Limit.Status != "" {
			row.Source = strings.TrimPrefix(row.Source+", "+l.Limit.Status, ", ")
		}
		check = l.Check
		u.LimitRows = append(u.LimitRows, row)
	}
	for _, f := range u.Contents.Faults {
		title := f.Title
		if len(f.Positions) > 0 {
			title += ", of each " + strings.Join(f.Positions, " and ")
		}
		u.FaultRows = append(u.FaultRows, htmlFault{title, f.Part, strings.Join(f.Frequency, "; "), remedy(f), strings.Join(f.Causes, "; "), f.Because})
	}
	for _, r := range u.Remedies {
		u.RemedyRows = append(u.RemedyRows, htmlRemedy{r.Title, r.Stage, strings.Join(r.Retest, "; "), hindrances(r)})
	}
}

// mostColumns is how many checks stand side by side on a page.
const mostColumns = 18

func (u *contentsUnit) tables() {
	names, columns := stages(u.Table)
	for _, stage := range names {
		pages := (len(columns[stage]) + mostColumns - 1) / mostColumns
		for cols := range slices.Chunk(columns[stage], (len(columns[stage])+pages-1)/pages) {
			t := htmlTable{Stage: words(stage)}
			for _, test := range u.Contents.Tests {
				if test.Name == cols[0].check.Test {
					t.Stage = test.Stage
				}
			}
			for _, col := range cols {
				t.Heads = append(t.Heads, col.check)
			}
			for _, f := range u.Table.Faults {
				if !slices.ContainsFunc(cols, func(col tableColumn) bool { return !f.Cells[col.index].Silent() }) {
					continue
				}
				row := htmlRow{Title: f.Title}
				for _, col := range cols {
					row.Cells = append(row.Cells, htmlCellOf(f.Cells[col.index], col.check))
				}
				t.Rows = append(t.Rows, row)
			}
			u.Tables = append(u.Tables, t)
		}
	}
}

// htmlCellOf shades a cell by the surest of what it shows.
func htmlCellOf(c eval.TableCell, check eval.TableCheck) htmlCell {
	out := htmlCell{}
	sure := 0.0
	var texts, hover []string
	for _, s := range c.Shows {
		text := "✱"
		if s.Strength != "any" {
			text = strings.ReplaceAll(outcomeText(s.Outcomes, check), "/", "/\u200b")
			sure = max(sure, s.Sure)
		}
		if s.When != "" {
			text += "+"
		}
		if !slices.Contains(texts, text) {
			texts = append(texts, text)
		}
		hover = append(hover, strings.TrimSpace(strings.Join(s.Outcomes, " | ")+" "+s.Strength+when(s.When)))
	}
	switch {
	case len(c.Shows) > 0 && sure == 0:
		out.Class = "any"
	case sure >= 0.95:
		out.Class = "always"
	case sure >= 0.5:
		out.Class = "usually"
	case sure > 0:
		out.Class = "sometimes"
	case c.Masked:
		out.Class, texts = "hides", []string{"▨"}
	case c.Echoes != "":
		texts, hover = []string{"="}, []string{"as " + c.Echoes}
	}
	out.Text, out.Hover = strings.Join(texts, " "), strings.Join(hover, "; ")
	return out
}

func when(text string) string {
	if text == "" {
		return ""
	}
	return " when " + text
}
