package dsl

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"

	"github.com/brushgear/brushgear/units"
)

// The formatter changes blanks and the spelling of units, nothing else: it prints the tokens of the file, comments included, one after the
// other. Its rules:
//
//   - The author's line breaks stay. So do blank lines, but two or more become one, and there is none at the start and the end of the file,
//     after { and before }.
//   - A line is indented by two blanks for each open brace, by four more if it goes on with a statement of the line before. The rows of
//     along and the members of taken { } are lines of their own, as statements are.
//   - One blank stands between two tokens, two before a statement that follows another on its line. There is none inside round and square
//     brackets, none before , and ), and none in test.value[u, v] and count(x).
//   - Lines that follow each other have their colons in one column if they begin with the same of the words attribute, condition,
//     instrument, read and row; so have lines that begin with set their values, and lines that begin with limit their bounds.
//   - A comment keeps its text. One that ends a line stands two blanks behind it, below each other on lines that follow each other.
//   - Units are spelled as package units prints them, with one blank after the number: 5 %, 0.22 µF. +/- becomes ±. Numbers stay as
//     they are written.

// Format returns the file's source in the uniform layout. A file with errors is refused: the error then unwraps to its Diagnostics.
func (f *File) Format() ([]byte, error) {
	if err := f.diags.Err(); err != nil {
		return nil, err
	}
	if f.tokens == nil {
		return nil, errors.New("this file was not parsed, so there is nothing to format; use a file that Parse returned")
	}
	p := printer{starts: f.starts}
	for i, t := range f.tokens {
		p.token(t, f.tokens[i+1:])
	}
	return p.render(), nil
}

// Format parses a sheet or record and returns it in the uniform layout. A file with errors is refused: the error then unwraps to its
// Diagnostics. Formatting formatted text changes nothing.
func Format(name string, src []byte) ([]byte, error) {
	f, err := Parse(name, src)
	if err != nil {
		return nil, err
	}
	return f.Format()
}

const (
	blockIndent        = 2
	continuationIndent = 4
)

// A line is one line of output.
type line struct {
	spaced    bool // a blank line stands before it
	indent    int
	text      string
	comment   string
	goesOn    bool   // it continues a statement
	closes    bool   // it begins with }
	opens     bool   // it ends with {
	firstWord string // of the statement that it begins with
	column    int    // where text is lined up with the lines around it, 0 if nowhere
}

func (l *line) width() int { return l.indent + utf8.RuneCountInString(l.text) }

// printer collects the lines.
type printer struct {
	starts []int // of File, those not yet reached
	lines  []*line
	breaks int // line ends since the last token

	prev, beforePrev token    // significant ones
	prevStarts       bool     // prev starts a statement
	statement        string   // first word of the statement under way
	braces           []string // first words of the statements whose braces are open
	tokens           int      // of the line under way
}

func (p *printer) token(t token, after []token) {
	switch t.Type {
	case lexer.EOF:
		return
	case tokBlank:
		p.breaks += strings.Count(t.Value, "\n")
		return
	}
	starts := len(p.starts) > 0 && p.starts[0] == t.Pos.Offset
	if starts {
		p.starts = p.starts[1:]
	}
	if p.breaks > 0 || len(p.lines) == 0 {
		p.newLine(t, starts)
	}
	p.breaks = 0
	l := p.lines[len(p.lines)-1]
	if t.Type == tokComment {
		l.comment = strings.TrimRight(t.Value, blanks)
		return
	}
	p.tokens++
	if starts {
		p.statement = t.Value
	}
	if p.tokens > 1 {
		p.markColumn(l, t, starts)
		l.text += p.gap(t, starts)
	}
	l.text += p.spell(t, after)
	l.opens = t.Value == "{"
	switch t.Value {
	case "{":
		p.braces = append(p.braces, p.statement)
	case "}":
		last := len(p.braces) - 1
		p.statement, p.braces = p.braces[last], p.braces[:last]
	}
	p.beforePrev, p.prev, p.prevStarts = p.prev, t, starts
}

// newLine begins the line of which t is the first token.
func (p *printer) newLine(t token, starts bool) {
	l := &line{indent: blockIndent * len(p.braces), spaced: p.breaks > 1 && len(p.lines) > 0}
	p.tokens = 0
	switch {
	case t.Type == tokComment:
	case t.Value == "}":
		l.closes = true
		l.indent -= blockIndent
	case starts, p.isMember(t):
		l.firstWord = t.Value
	case len(p.lines) > 0:
		l.goesOn = true
		l.indent += continuationIndent
	}
	p.lines = append(p.lines, l)
}

// isMember tells whether t begins a row of along or a member of taken { }.
func (p *printer) isMember(t token) bool {
	if len(p.braces) == 0 {
		return false
	}
	switch p.braces[len(p.braces)-1] {
	case "limit":
		return t.Value == "row"
	case "taken":
		return p.prev.Value == "{" || p.prev.Value == ","
	}
	return false
}

// markColumn remembers where t begins if it is to be lined up with the lines around it.
func (p *printer) markColumn(l *line, t token, starts bool) {
	switch {
	case starts:
		l.firstWord, l.column = "", 0
	case l.column > 0:
	case l.firstWord == "set" && p.tokens == 3, l.firstWord == "limit" && p.endsRef(l, t), (l.firstWord == "row" || typeStatements[l.firstWord]) && t.Value == ":":
		l.column = len(l.text)
	}
}

// endsRef tells whether the name that a limit bounds has ended before t.
func (p *printer) endsRef(l *line, t token) bool {
	switch t.Value {
	case ".", "[", ",", "]":
		return false
	}
	return p.tokens > 2 && p.prev.Value != "." && strings.Count(l.text, "[") == strings.Count(l.text, "]")
}

// gap returns the blanks between the last token of the line and t.
func (p *printer) gap(t token, starts bool) string {
	switch t.Value {
	case ",", ")", "]", ".", "[":
		return ""
	case "(":
		if p.isCall() {
			return ""
		}
	case "}":
		if p.prev.Value == "{" {
			return ""
		}
	}
	switch p.prev.Value {
	case "(", "[", ".":
		return ""
	case "{":
		return " "
	}
	if starts {
		return "  "
	}
	return " "
}

// isCall tells whether the bracket after the last token holds the arguments of a function.
func (p *printer) isCall() bool {
	return !valueStatements[p.statement] && p.prev.Type == tokWord && !tailWords[p.prev.Value] && !p.prevStarts && p.beforePrev.Value != "by"
}

// spell returns the text of t; after are the tokens behind it.
func (p *printer) spell(t token, after []token) string {
	switch t.Type {
	case tokNumber:
		return uniform(t.Value)
	case tokWord, tokSymbol:
		if p.prev.Value == ":" && typeStatements[p.statement] && significant(after).Value != "|" {
			if u, err := units.ParseUnit(t.Value); err == nil {
				return u.String()
			}
		}
	}
	return t.Value
}

// typeStatements are the statements that name a type after their first colon.
var typeStatements = set("attribute", "condition", "instrument", "read")

func significant(toks []token) token {
	i := slices.IndexFunc(toks, func(t token) bool { return t.Type != tokBlank && t.Type != tokComment })
	return toks[i]
}

func (p *printer) render() []byte {
	p.indentComments()
	p.align(func(l *line) bool { return l.column > 0 }, func(a, b *line) bool { return a.firstWord == b.firstWord && a.indent == b.indent }, lineUpColumns)
	p.align(func(l *line) bool { return l.text != "" && l.comment != "" }, func(a, b *line) bool { return true }, lineUpComments)
	var out bytes.Buffer
	for i, l := range p.lines {
		if l.spaced && !l.closes && !p.lines[i-1].opens {
			out.WriteByte('\n')
		}
		out.WriteString(strings.Repeat(" ", l.indent))
		out.WriteString(l.text)
		out.WriteString(l.comment)
		out.WriteByte('\n')
	}
	return out.Bytes()
}

// indentComments moves comments that stand alone inside a statement to where the statement goes on.
func (p *printer) indentComments() {
	for i := len(p.lines) - 2; i >= 0; i-- {
		l, next := p.lines[i], p.lines[i+1]
		if l.text == "" && next.goesOn {
			l.goesOn, l.indent = true, next.indent
		}
	}
}

// align calls lineUp for each run of lines that follow each other and belong together.
func (p *printer) align(wanted func(*line) bool, together func(a, b *line) bool, lineUp func([]*line)) {
	for i := 0; i < len(p.lines); {
		j := i
		for j < len(p.lines) && wanted(p.lines[j]) && (j == i || !p.lines[j].spaced && together(p.lines[i], p.lines[j])) {
			j++
		}
		if j == i {
			i++
			continue
		}
		lineUp(p.lines[i:j])
		i = j
	}
}

func lineUpColumns(run []*line) {
	widest := 0
	for _, l := range run {
		widest = max(widest, utf8.RuneCountInString(l.text[:l.column]))
	}
	for _, l := range run {
		head, tail := l.text[:l.column], l.text[l.column:]
		l.text = head + strings.Repeat(" ", widest-utf8.RuneCountInString(head)) + tail
	}
}

func lineUpComments(run []*line) {
	widest := 0
	for _, l := range run {
		widest = max(widest, l.width())
	}
	for _, l := range run {
		l.text += strings.Repeat(" ", widest-l.width()+2)
	}
}
