package report

import (
	"fmt"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval"
)

// The table of faults and tests: faults down, checks across, as the trade prints it. On a terminal it is split by stages of teardown and by width.

// shortWords are the letters that the trade writes for outcomes.
var shortWords = map[string]string{"low": "L", "high": "H", "jumps": "~", "one_low": "1L", "one_high": "1H"}

// mark says how surely an outcome is shown.
func mark(sure float64) string {
	switch {
	case sure >= 0.95:
		return "●"
	case sure >= 0.5:
		return "◐"
	}
	return "○"
}

const legend = "L low, H high, ~ jumps, 1L one low, 1H one high. ● always, ◐ usually or often, ○ sometimes or seldom. * anything, # hides the test, = goes as the test that it echoes, + only on some units. Nothing: the fault leaves the test alone."

// tableColumn is one check of the table with its number.
type tableColumn struct {
	number int
	index  int // into the checks of the table
	check  eval.TableCheck
}

// stages groups the checks at which any fault shows something by the stage of their test, in sheet order. The names of stages are those of the sheet.
func stages(t *eval.FaultTable) (names []string, columns map[string][]tableColumn) {
	columns = map[string][]tableColumn{}
	number := 0
	for i, c := range t.Checks {
		if !c.Applies || !slices.ContainsFunc(t.Faults, func(f eval.TableFault) bool { return !f.Cells[i].Silent() }) {
			continue
		}
		number++
		if columns[c.Stage] == nil {
			names = append(names, c.Stage)
		}
		columns[c.Stage] = append(columns[c.Stage], tableColumn{number, i, c})
	}
	return names, columns
}

// cellText writes what a fault does to a check.
func cellText(c eval.TableCell, check eval.TableCheck) string {
	var parts []string
	for _, s := range c.Shows {
		text := "*"
		if s.Strength != "any" {
			text = outcomeText(s.Outcomes, check) + mark(s.Sure)
		}
		if s.When != "" {
			text += "+"
		}
		if !slices.Contains(parts, text) { // at another member of a list, or on another unit
			parts = append(parts, text)
		}
	}
	switch {
	case c.Masked && len(parts) == 0:
		parts = append(parts, "#")
	case c.Echoes != "":
		parts = append(parts, "=")
	}
	return strings.Join(parts, " ")
}

// outcomeText joins outcomes; three or more that follow each other in the sheet are written as first to last.
func outcomeText(outcomes []string, check eval.TableCheck) string {
	at := func(word string) int {
		return slices.IndexFunc(check.Outcomes, func(o eval.TableOutcome) bool { return o.Word == word })
	}
	places := make([]int, len(outcomes))
	for i, w := range outcomes {
		places[i] = at(w)
	}
	slices.Sort(places)
	run := len(places) > 2
	for i, at := range places {
		run = run && shortWords[check.Outcomes[at].Word] == "" && (i == 0 || at == places[i-1]+1)
	}
	if run {
		return words(check.Outcomes[places[0]].Word) + "–" + words(check.Outcomes[places[len(places)-1]].Word)
	}
	var list []string
	for _, w := range outcomes {
		list = append(list, short(w))
	}
	return strings.Join(list, "/")
}

func short(word string) string {
	if s, ok := shortWords[word]; ok {
		return s
	}
	return words(word)
}

// Widths of the table in characters.
const (
	labelWidth = 36
	cellWidth  = 13
)

func (p *printer) table(t *eval.FaultTable) {
	p.line("")
	p.line("FAULTS AND TESTS")
	p.wrap("  ", "  ", legend)
	names, columns := stages(t)
	for _, stage := range names {
		block, used := []tableColumn{}, 2+labelWidth
		for _, col := range columns[stage] {
			if n := p.columnWidth(t, col); used+n+1 > width && len(block) > 0 {
				p.block(t, stage, block)
				block, used = nil, 2+labelWidth
			}
			block, used = append(block, col), used+p.columnWidth(t, col)+1
		}
		p.block(t, stage, block)
	}
}

// columnWidth is what the widest cell of a column takes, after it was broken into lines.
func (p *printer) columnWidth(t *eval.FaultTable, col tableColumn) int {
	n := len(fmt.Sprint(col.number))
	for _, f := range t.Faults {
		for _, line := range broken(cellText(f.Cells[col.index], col.check), cellWidth) {
			n = max(n, len([]rune(line)))
		}
	}
	return n
}

func (p *printer) block(t *eval.FaultTable, stage string, block []tableColumn) {
	p.line("")
	if stage != "" {
		p.line("  Stage %s", words(stage))
	}
	for _, col := range block {
		p.wrap(fmt.Sprintf("  %3d ", col.number), "        ", col.check.Name+": "+col.check.Title+minutes(col.check.Minutes))
	}
	p.line("")
	head := strings.Repeat(" ", 2+labelWidth)
	for _, col := range block {
		head += " " + padded(fmt.Sprint(col.number), p.columnWidth(t, col))
	}
	p.line("%s", strings.TrimRight(head, " "))
	for _, f := range t.Faults {
		if !slices.ContainsFunc(block, func(col tableColumn) bool { return !f.Cells[col.index].Silent() }) {
			continue
		}
		p.row(t, f, block)
	}
}

// row writes one fault, on as many lines as its tallest cell.
func (p *printer) row(t *eval.FaultTable, f eval.TableFault, block []tableColumn) {
	cells := [][]string{broken(f.Title, labelWidth)}
	tall := len(cells[0])
	for _, col := range block {
		lines := broken(cellText(f.Cells[col.index], col.check), cellWidth)
		cells = append(cells, lines)
		tall = max(tall, len(lines))
	}
	for i := range tall {
		line := "  "
		for k, cell := range cells {
			n, text := labelWidth, ""
			if k > 0 {
				n = p.columnWidth(t, block[k-1])
				line += " "
			}
			switch {
			case i < len(cell):
				text = cell[i]
			case i == 0:
				text = "·"
			}
			line += padded(text, n)
		}
		p.line("%s", strings.TrimRight(line, " "))
	}
}

func padded(text string, n int) string {
	return text + strings.Repeat(" ", max(0, n-len([]rune(text))))
}

// broken breaks a text into lines of at most n characters, at blanks and behind slashes; a longer word stays whole.
func broken(text string, n int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(strings.ReplaceAll(text, "/", "/ ")) {
		switch join := " "; {
		case line == "":
			line = word
		default:
			if strings.HasSuffix(line, "/") {
				join = ""
			}
			if len([]rune(line+join+word)) > n {
				lines = append(lines, line)
				line = word
			} else {
				line += join + word
			}
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
