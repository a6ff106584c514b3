package dsl

import (
	"fmt"
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
)

// Forms of other notations and of everyday speech, with what the author of this statement has to write for them.

// boundForms tell what a limit means whose bound is written in other words. Before # stands a number, %s is the one of that place.
var boundForms = map[string]string{
	"between # and #": twoEnds, "between # to #": twoEnds, "from # to #": twoEnds, "from # up to #": twoEnds, "within # and #": twoEnds,
	"in # to #": twoEnds, "of # to #": twoEnds, "# and #": twoEnds, "# through #": twoEnds,
	"min # max #": twoEnds, "minimum # maximum #": twoEnds, "min # and max #": twoEnds, "max # min #": "%[2]s to %[1]s", "maximum # minimum #": "%[2]s to %[1]s",
	"at least # at most #": twoEnds, "at least # and at most #": twoEnds, "at most # at least #": "%[2]s to %[1]s", "at most # and at least #": "%[2]s to %[1]s",
	"above # below #": twoEnds, "above # and below #": twoEnds, "over # and under #": twoEnds, "more than # and less than #": twoEnds,

	"max #": upTo, "maximum #": upTo, "at maximum #": upTo, "up to #": upTo, "to #": upTo, "not more than #": upTo, "no more than #": upTo,
	"not above #": upTo, "not over #": upTo, "no higher than #": upTo, "not higher than #": upTo, "not to exceed #": upTo,
	"min #": downTo, "minimum #": downTo, "at minimum #": downTo, "from #": downTo, "not less than #": downTo, "no less than #": downTo,
	"not below #": downTo, "not under #": downTo, "no lower than #": downTo, "not lower than #": downTo, "or more #": downTo,

	"less than #": short, "lower than #": short, "smaller than #": short, "under #": short, "< #": short,
	"more than #": beyond, "greater than #": beyond, "higher than #": beyond, "larger than #": beyond, "over #": beyond, "> #": beyond,

	"about #": roughly, "approx #": roughly, "approximately #": roughly, "around #": roughly, "nominal #": roughly, "nominally #": roughly,
}

const (
	twoEnds = "%[1]s to %[2]s"
	upTo    = "at most %[1]s"
	downTo  = "at least %[1]s"
	short   = "below %[1]s, or at most %[1]s if that is good still"
	beyond  = "above %[1]s, or at least %[1]s if that is good already"
	roughly = "%[1]s ± how far it may differ, as in: %[1]s ± 5 %%"
)

const maxForm = 12 // tokens of a line that are looked at

// asMeant says how to write the statement of h as its author seems to mean it, or nothing. It looks at what was taken of it and at the rest of its line.
func (p *parser) asMeant(h head) string {
	toks := p.lineOf(h)
	if len(toks) < 2 {
		return ""
	}
	switch toks = toks[1:]; h.Value {
	case "limit":
		name, pattern, numbers := p.bound(toks)
		if form := boundForms[pattern]; form != "" {
			return "write limit " + name + " " + fmt.Sprintf(form, numbers...)
		}
	case "needs":
		here := p.lex.Peek().Pos.Offset
		for i, t := range slices.Backward(toks) {
			if t.Value == "," && t.Pos.Offset < here {
				toks = toks[i+1:]
				break
			}
		}
		return neededForm(p.bound(toks))
	case "taken":
		return p.takenForm(toks)
	case "skip":
		if n := refLen(toks); n > 0 {
			return "write one of " + strings.Join(skipReasons, ", ") + ", as in: skip drain.current no_time \"why\""
		}
	case "finds":
		for i, t := range toks[1:] {
			if words := toks[i].Value + "_" + t.Value; words == "ruled_out" || words == "not_examined" {
				return "write " + words
			}
		}
	}
	return ""
}

var skipReasons = []string{"no_equipment", "no_time", "not_applicable", "unsafe", "refused", "part_missing", "not_reached", "other"}

// SkipReasons lists the words with which a record says why something was not read.
func SkipReasons() []string { return slices.Clone(skipReasons) }

// takenForm says how to write a reading that a meter did not show as a number, or that was not made.
func (p *parser) takenForm(toks []token) string {
	n := refLen(toks)
	if n == 0 || n == len(toks) {
		return ""
	}
	if rest := toks[n:]; len(rest) > 1 && rest[0].Type == tokNumber && rest[1].Type == tokNumber && rest[1].Value[0] == '-' {
		return "write to between the ends of a range: " + gluedRange(rest[0], rest[1])
	}
	ref, text := p.text(toks[:n]), p.text(toks[n:])
	switch meant := meantValue(text); meant {
	case missingHelp:
		return "write missing, or in place of it skip " + ref + " no_time (the reasons: " + strings.Join(skipReasons, ", ") + ")"
	default:
		return meant
	}
}

const missingHelp = "write missing for what was not read"

// meantValue says what to write for a value in words, or nothing.
func meantValue(text string) string {
	switch strings.ToLower(strings.Trim(text, "(.)")) {
	case "o.l":
		return "write OL for what is beyond the meter, as an open circuit is for an ohmmeter"
	case "n/a", "n.a", "not measured", "not taken", "not read", "not made", "not tested", "not done":
		return missingHelp
	}
	return ""
}

// text is what was written for toks.
func (p *parser) text(toks []token) string {
	last := lastOf(toks)
	return p.file.Source[toks[0].Pos.Offset : last.Pos.Offset+len(last.Value)]
}

// bound parts the name that toks begin with from the pattern of its bound.
func (p *parser) bound(toks []token) (name, pattern string, numbers []any) {
	n := refLen(toks)
	if n == 0 {
		return "", "", nil
	}
	pattern, numbers = patternOf(toks[n:])
	return p.text(toks[:n]), pattern, numbers
}

// neededForm is a condition that a test needs, of a number that stands there alone or in other words.
func neededForm(name, pattern string, numbers []any) string {
	switch pattern {
	case "#", "= #", "at #", "of #", "about #":
		return fmt.Sprintf("write needs %s within %s ± how far it may differ, as in: needs %[1]s within %[2]s ± 1 %%", name, numbers[0])
	case "# to #", "from # to #":
		return fmt.Sprintf("write needs %s within %s to %s", name, numbers[0], numbers[1])
	case "# ± #", "= # ± #":
		return fmt.Sprintf("write needs %s within %s ± %s", name, numbers[0], numbers[1])
	}
	if form := boundForms[pattern]; form != "" && form != roughly {
		if strings.HasSuffix(form, "]s") && strings.Contains(form, " to ") {
			form = "within " + form
		}
		return "write needs " + name + " " + fmt.Sprintf(form, numbers...)
	}
	return ""
}

// lineOf returns the tokens of the statement that begins with h: those that were taken, and what follows on the line, as far as a form can reach.
func (p *parser) lineOf(h head) []token {
	toks := slices.DeleteFunc(slices.Clone(p.lex.Range(h.begin, p.lex.RawCursor())), func(t token) bool { return t.Type == tokBlank || t.Type == tokComment })
	mark := p.lex.MakeCheckpoint()
	defer p.lex.LoadCheckpoint(mark)
	for range maxForm {
		t := *p.lex.Next()
		if t.EOF() || t.Value == "{" || t.Value == "}" || len(toks) > 0 && (t.Pos.Line > lastOf(toks).Pos.Line || lastOf(toks).Type == tokNumber && p.known(t.Value) && t.Value != "under") {
			break
		}
		toks = append(toks, t)
	}
	return toks
}

// refLen counts the tokens of the name that toks begin with.
func refLen(toks []token) int {
	if len(toks) == 0 || toks[0].Type != tokWord {
		return 0
	}
	n := 1
	for n+1 < len(toks) && toks[n].Value == "." {
		n += 2
	}
	if n < len(toks) && toks[n].Value == "[" {
		if end := slices.IndexFunc(toks[n:], func(t token) bool { return t.Value == "]" }); end > 0 {
			n += end + 1
		}
	}
	return n
}

// patternOf puts tokens into one line in which # stands for each number, as far as the bound of a limit reaches.
func patternOf(toks []token) (pattern string, numbers []any) {
	var words []string
	for _, t := range toks {
		switch {
		case t.Type == lexer.EOF, t.Type == tokWord && slices.Contains([]string{"at", "when", "per", "new", "along"}, t.Value), t.Value == ",", t.Value == "#":
			return strings.Join(words, " "), numbers
		case t.Type == tokNumber:
			words = append(words, "#")
			numbers = append(numbers, strings.TrimSpace(t.Value))
		default:
			words = append(words, strings.ToLower(t.Value))
		}
	}
	return strings.Join(words, " "), numbers
}
