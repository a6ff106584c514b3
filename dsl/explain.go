package dsl

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
)

// Findings of the parser, put into the author's words.

func tokenRange(t token) Range {
	to := Position(t.Pos)
	to.Offset += len(t.Value)
	to.Column += utf8.RuneCountInString(t.Value)
	return Range{Position(t.Pos), to}
}

func diagnosticAt(code Code, t token, message, help string) *Diagnostic {
	return &Diagnostic{Code: code, Severity: Error, Range: tokenRange(t), Message: message, Help: help}
}

// describe names a token as a person would.
func describe(t token) string {
	switch t.Type {
	case lexer.EOF:
		return "the end of the file"
	case tokString:
		return "the text " + t.Value
	case tokNumber:
		return "the number " + t.Value
	case tokDate:
		return "the date " + t.Value
	case tokWord, tokKeyword, tokReserved, tokTerm:
		return "the word " + strconv.Quote(t.Value)
	}
	return t.Value
}

// asIn shows how a statement is written.
func (prod *production) asIn() string { return "write it as in: " + prod.form }

// missing says that something should stand before the next token, or at the end of the line if that is where the statement breaks off.
func missing(lex *lexer.PeekingLexer, what, help string) *Diagnostic {
	t, last := *lex.Peek(), lastToken(lex)
	if t.EOF() || t.Value == "}" || t.Pos.Line > last.Pos.Line {
		return diagnosticAt(CodeUnexpected, last, what+" is missing after "+describe(last), help)
	}
	if (t.Value == "-" || t.Value == ".") && last.Type == tokWord {
		help = "a name consists of letters, digits and _ only; " + help
	}
	return diagnosticAt(CodeUnexpected, t, what+" is missing before "+describe(t), help)
}

func (p *parser) missing(what, help string) *Diagnostic { return missing(p.lex, what, help) }

const (
	aName     = "a name"
	aQuantity = "a number with its unit"
)

// expectations turns what participle expects into the author's words. What stands in none of them is a word or a sign itself.
var expectations = map[string]string{
	"<word>": aName, "<string>": `a text in "..."`, "<number>": "a number", "<date>": "a date",
	"Name": aName, "Ref": aName, "Need": aName, "AtValue": "a condition with its value", "AtQty": "a condition with its value",
	"Text": `a text in "..."`, "Qty": aQuantity, "Date": "a date", "Type": "a unit or a list of words", "Value": "a value",
	"Item": "a value", "AccuracyExpr": "an accuracy such as (0.5 % + 2 digits)", "Alts": "an outcome", "Alt": "an outcome", "Rung": "an outcome", "Strength": "a word such as always or usually",
	"Expr": "a condition", "Sum": "a value", "Factor": "a value", "Shape": "a bound such as at most 3 mA", "RangeExpr": "a range such as 5 A to 10 A",
	"Row": `the word "row"`,
}

// diagnosticOf turns an error of the head of a statement into a finding.
func (p *parser) diagnosticOf(err error, h head) *Diagnostic {
	var d *Diagnostic
	if errors.As(err, &d) {
		return d
	}
	var unexpected *participle.UnexpectedTokenError
	if !errors.As(err, &unexpected) {
		return diagnosticAt(CodeUnexpected, h.token, err.Error(), h.prod.asIn())
	}
	if before := lastOf(p.lex.Range(0, h.begin)); h.Value == "meter" && before.Type == tokNumber && before.Pos.Line == h.Pos.Line {
		return diagnosticAt(CodeUnknownUnit, h.token, "meter begins a statement and is no unit", "write m")
	}
	t := unexpected.Unexpected
	if p.full() {
		return diagnosticAt(CodeUnexpected, t, "", "")
	}
	want := expected(unexpected.Error())
	switch {
	case want == aQuantity && valueStatements[h.Value]:
		want = "a value"
	case want == "the sign }" && h.Value == "limit":
		want = `the word "row"`
	case want == "the sign }":
		want = "the sign ,"
	}
	switch {
	case want == aName && t.Type == tokReserved:
		return diagnosticAt(CodeUnexpected, t, t.Value+" is a word of the language and cannot be a name", "choose another name")
	case want == "", t.Value == "=", t.Value == "is", t.Value == ":" && want != aName:
		return p.surplus(t, h)
	case want == "the sign )" && t.Value == ",":
		return diagnosticAt(CodeUnexpected, t, "the members of a list have no commas between them", "write them side by side: (9.6 9.7 mV)")
	}
	help := h.prod.asIn()
	if meant := p.asMeant(h); meant != "" {
		help = meant
	}
	if h.Value == "skip" && want == aName && lastToken(p.lex).Value != "skip" {
		want = "the reason"
	}
	return p.missing(want, help)
}

// surplus says that t, the next token, does not go on with the statement.
func (p *parser) surplus(t token, h head) *Diagnostic {
	d := diagnosticAt(CodeUnexpected, t, fmt.Sprintf("%s does not belong to this %s", describe(t), h.Value), "begin a new line with the next statement, or "+h.prod.asIn())
	meant := p.asMeant(h)
	switch {
	case meant != "":
		d.Help = meant
	case t.Value == "=", t.Value == ":", t.Value == "is":
		d.Help = "leave it out, and " + h.prod.asIn()
	case (t.Value == "," || t.Value == "or") && strings.Contains(h.prod.form, " | "):
		d.Help = "join words by |, and " + h.prod.asIn()
	case t.Value == "and":
		d.Help = "join the members of a list by commas"
	case t.Type == tokWord:
		if meant := p.nearest(t.Value, tailWordList); meant != "" && meant != t.Value {
			d.Help = "did you mean " + meant + "?"
			d.Edits = []Edit{{d.Range, meant}}
		}
	}
	return d
}

// expected reads the part "(expected ...)" of a participle message: its first item says what is missing.
func expected(message string) string {
	_, want, ok := strings.Cut(message, "(expected ")
	if !ok {
		return ""
	}
	want = strings.TrimLeft(want, "( ")
	var literals []string
	plain := false
	for strings.HasPrefix(want, `"`) {
		literal, rest, _ := strings.Cut(want[1:], `"`)
		literals = append(literals, strconv.Quote(literal))
		plain = wordLen(literal) > 0
		want = strings.TrimPrefix(rest, " | ")
	}
	switch n := len(literals); {
	case n > 1:
		return strings.Join(literals[:n-1], ", ") + " or " + literals[n-1]
	case n == 1 && plain:
		return "the word " + literals[0]
	case n == 1:
		return "the sign " + strings.Trim(literals[0], `"`)
	}
	if i := strings.IndexAny(want, " ?*+)"); i > 0 {
		want = want[:i]
	}
	return expectations[want]
}

// unquote takes the quotes off; a backslash keeps the character after it.
func unquote(s string) string {
	s = s[1 : len(s)-1]
	if strings.IndexByte(s, '\\') < 0 {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] == '\\' && i+1 < len(s) {
			i++
		}
		b.WriteByte(s[i])
	}
	return b.String()
}
