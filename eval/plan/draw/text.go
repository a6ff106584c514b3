package draw

import (
	"strings"
	"unicode/utf8"
)

// Options of a drawing.
type Options struct {
	Title   string
	Summary string // a sentence or two under the title, such as what the plan costs on average
	// Width of a text in columns, 100 if 0, at least 40. Deep trees may exceed it.
	Width int
	// Plain draws a text with the characters of ASCII only.
	Plain bool
}

// legend says what stands on a branch.
const legend = "On each branch: the outcome, how often it comes up there, minutes since the start."

// Text draws the tree as lines of text that end in newlines.
func Text(s *Step, o Options) string {
	if o.Width == 0 {
		o.Width = 100
	}
	t := &text{width: max(o.Width, 40), tee: "├─ ", last: "└─ ", rail: "│  ", arrow: "→ "}
	if o.Plain {
		t.tee, t.last, t.rail, t.arrow = "|- ", "`- ", "|  ", "-> "
	}
	for _, head := range []string{clean(o.Title), clean(o.Summary), legend} {
		if head != "" {
			t.put(head, "", "")
		}
	}
	t.WriteByte('\n')
	if len(s.Branches) == 0 {
		t.put(t.ending(s), "", "")
		return t.String()
	}
	t.step(s, "")
	return t.String()
}

type text struct {
	strings.Builder
	width                  int
	tee, last, rail, arrow string
}

func (t *text) step(s *Step, indent string) {
	for _, c := range s.Cautions {
		t.put("CAUTION: "+clean(c), indent, indent+"  ")
	}
	t.put(clean(s.Title)+" ("+s.effort()+")", indent, indent+"  ")
	for i := range s.Branches {
		b := &s.Branches[i]
		lead, below := indent+t.tee, indent+t.rail
		if i == len(s.Branches)-1 {
			lead, below = indent+t.last, indent+"   "
		}
		label := b.word() + ", " + share(b.Probability) + ", " + minutes(b.Elapsed)
		if len(b.Step.Branches) == 0 {
			t.put(label+" "+t.ending(b.Step), lead, below+"  ")
			continue
		}
		t.put(label, lead, below+"  ")
		t.step(b.Step, below)
	}
}

func (t *text) ending(s *Step) string {
	text := t.arrow + s.end()
	if d := s.doubt(); d != "" {
		text += " (" + d + ")"
	}
	return text
}

// put writes a paragraph with one indent for its first line and one for those after it.
func (t *text) put(s, first, rest string) {
	for _, line := range wrap(s, func(part string, start bool) bool {
		indent := rest
		if start {
			indent = first
		}
		return utf8.RuneCountInString(indent)+utf8.RuneCountInString(part) <= t.width
	}) {
		t.WriteString(strings.TrimRight(first+line, " "))
		t.WriteByte('\n')
		first = rest
	}
}

// wrap cuts a text between words so that each line fits where that is possible.
func wrap(s string, fits func(part string, first bool) bool) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if line != "" && !fits(longer, len(lines) == 0) {
			lines = append(lines, line)
			longer = word
		}
		line = longer
	}
	return append(lines, line)
}
