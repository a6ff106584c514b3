package main

import "strings"

// Comments of a record that the bench goes on with: they are no part of the record, but somebody wrote them.

// withComments puts the comments of an old text into a new one: those that end a line behind the same line, those that stand alone before the line
// that they stood before. Where that line is gone, they stand before the next that is left.
func withComments(text, old string) string {
	lines := strings.Split(text, "\n")
	at := func(code string, from int) int {
		for i := from; i < len(lines); i++ {
			if bare, _ := cutComment(lines[i]); plain(bare) == code {
				return i
			}
		}
		return -1
	}
	next := 0 // where the new text goes on
	var waiting []string
	for line := range strings.SplitSeq(old, "\n") {
		code, comment := cutComment(line)
		found := -1
		if code = plain(code); code != "" {
			found = at(code, next)
		}
		if comment != "" && found < 0 {
			waiting = append(waiting, comment)
			continue
		}
		if found < 0 {
			continue
		}
		if comment != "" {
			lines[found] += "  " + comment
		}
		lines = insertLines(lines, found, waiting)
		next, waiting = found+len(waiting)+1, nil
	}
	end := len(lines)
	for end > next && strings.TrimSpace(lines[end-1]) == "" {
		end--
	}
	return strings.Join(insertLines(lines, end, waiting), "\n")
}

// insertLines puts comments before a line, as far in as it stands.
func insertLines(lines []string, at int, comments []string) []string {
	indent := ""
	if at < len(lines) {
		indent = lines[at][:len(lines[at])-len(strings.TrimLeft(lines[at], " "))]
		if strings.HasPrefix(lines[at][len(indent):], "}") {
			indent += "  "
		}
	}
	out := append([]string{}, lines[:at]...)
	for _, c := range comments {
		out = append(out, indent+c)
	}
	return append(out, lines[at:]...)
}

// cutComment parts a line from its comment. A # in a text is none.
func cutComment(line string) (code, comment string) {
	inside := false
	for i := 0; i < len(line); i++ {
		switch {
		case inside && line[i] == '\\':
			i++
		case line[i] == '"':
			inside = !inside
		case line[i] == '#' && !inside:
			return line[:i], strings.TrimRight(line[i:], " \t\r")
		}
	}
	return line, ""
}

// plain is a line with single blanks, to compare it.
func plain(code string) string { return strings.Join(strings.Fields(code), " ") }
