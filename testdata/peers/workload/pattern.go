package workload

import (
	"fmt"
	"slices"
	"strings"
)

// A Pattern names combinations of the outcomes of two checks. Its rows exclude each other; what no row names has the last outcome.
type Pattern struct {
	Test string
	X, Y Check
	Rows []Row
	Else string
}

// A Row is one combination: X has one of the words XIs and Y one of the words YIs.
type Row struct {
	Word     string
	XIs, YIs []string
}

func (c *Pattern) Path() string { return c.Test }

func (c *Pattern) Outcomes() []Outcome {
	var out []Outcome
	for _, r := range c.Rows {
		res := Fail
		if r.Word == "good" {
			res = Pass
		}
		out = append(out, Outcome{r.Word, res})
	}
	return append(out, Outcome{c.Else, Fail})
}

func (c *Pattern) Judge(s Set) string {
	x, y := c.X.Judge(s), c.Y.Judge(s)
	for _, r := range c.Rows {
		if slices.Contains(r.XIs, x) && slices.Contains(r.YIs, y) {
			return r.Word
		}
	}
	return c.Else
}

func (c *Pattern) Program(word string) string {
	var rest []string
	for _, r := range c.Rows {
		text := either(c.X, r.XIs) + " && " + either(c.Y, r.YIs)
		if r.Word == word {
			return text
		}
		rest = append(rest, text)
	}
	return "not (" + strings.Join(rest, " || ") + ")"
}

// either is an expression that is true if the check has one of the words.
func either(c Check, words []string) string {
	if len(words) == 1 {
		return c.Program(words[0])
	}
	parts := make([]string, len(words))
	for i, w := range words {
		parts[i] = c.Program(w)
	}
	return "(" + strings.Join(parts, " || ") + ")"
}

func (c *Pattern) Sheet() string {
	var lines []string
	for _, r := range c.Rows {
		lines = append(lines, fmt.Sprintf("outcome %s when %s is %s and %s is %s", r.Word,
			local(c.X), strings.Join(r.XIs, " | "), local(c.Y), strings.Join(r.YIs, " | ")))
	}
	return strings.Join(append(lines, "outcome "+c.Else+" otherwise"), "\n")
}

func (c *Pattern) HCL() string {
	var blocks []string
	for _, r := range c.Rows {
		blocks = append(blocks, block("outcome", r.Word, fmt.Sprintf("when = %s && %s", equals(local(c.X), r.XIs), equals(local(c.Y), r.YIs))))
	}
	return strings.Join(append(blocks, block("outcome", c.Else, "otherwise = true")), "\n")
}

func equals(name string, words []string) string {
	parts := make([]string, len(words))
	for i, w := range words {
		parts[i] = fmt.Sprintf("%s == %q", name, w)
	}
	if len(parts) == 1 {
		return parts[0]
	}
	return "(" + strings.Join(parts, " || ") + ")"
}

// local is the name of a check within its test.
func local(c Check) string {
	_, name, _ := strings.Cut(c.Path(), ".")
	return name
}
