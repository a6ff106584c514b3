package diagnose

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// A Source finds the text of a file by its name. It returns the empty string for a file that it does not have; the lines are then left out.
type Source func(name string) string

// Sources finds the texts of parsed files.
func Sources(files []*dsl.File) Source {
	return func(name string) string {
		for _, f := range files {
			if f.Name == name {
				return f.Source
			}
		}
		return ""
	}
}

// Text writes findings for people: place, severity and message, the source line with marks under what is meant, what to write instead, and the
// related places with their lines. Accepted findings are left out.
func Text(w io.Writer, findings []Finding, source Source) error {
	b := bufio.NewWriter(w)
	for _, f := range Open(findings) {
		fmt.Fprintf(b, "%s: %s: %s [%s]\n", f.Range.Pos, f.Severity, f.Message, f.Code)
		excerpt(b, "    ", f.Range, source)
		if f.Help != "" {
			fmt.Fprintf(b, "    %s\n", f.Help)
		}
		for _, r := range f.Related {
			fmt.Fprintf(b, "    %s: %s\n", r.Range.Pos, r.Message)
			excerpt(b, "        ", r.Range, source)
		}
	}
	return b.Flush()
}

// Of a line that is longer than lineWidth characters, the part around the marks is shown.
const (
	lineWidth = 160
	leadWidth = 40 // characters before the marks
)

// excerpt writes the line in which a range begins, with marks under the part of the range that stands in it.
func excerpt(w io.Writer, indent string, r dsl.Range, source Source) {
	line, ok := lineOf(source(r.Pos.Filename), r.Pos.Line)
	if !ok {
		return
	}
	from := min(max(r.Pos.Column-1, 0), len(line))
	to := len(line)
	if r.EndPos.Line == r.Pos.Line {
		to = min(max(r.EndPos.Column-1, from), to)
	}
	if len(line) > lineWidth {
		start := max(0, min(from-leadWidth, len(line)-lineWidth))
		line = line[start:min(start+lineWidth, len(line))]
		from, to = from-start, min(to-start, len(line))
	}
	fmt.Fprintf(w, "%s%s\n%s%s%s\n", indent, string(line), indent, strings.Repeat(" ", from), strings.Repeat("^", max(1, to-from)))
}

// lineOf returns line n of a text, counted from 1. Tabs become blanks, so that marks stand below what they mean.
func lineOf(text string, n int) ([]rune, bool) {
	text = strings.TrimPrefix(text, "\uFEFF")
	for ; n > 1; n-- {
		_, rest, ok := strings.Cut(text, "\n")
		if !ok {
			return nil, false
		}
		text = rest
	}
	line, _, _ := strings.Cut(text, "\n")
	line = strings.ReplaceAll(strings.TrimRight(line, " \t\r"), "\t", " ")
	return []rune(line), n == 1 && line != ""
}
