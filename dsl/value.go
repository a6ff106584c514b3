package dsl

import (
	"errors"
	"fmt"
	"strings"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"github.com/brushgear/brushgear/units"
)

// ParseValue reads a reading as a record writes it, without the statement around it: "2 to 9 Ω jumping", "(9.6 9.7 missing 14.2 mV)",
// "OL", "> 1 MΩ", "lit | dim", or a text in double quotes. The error unwraps to Diagnostics, whose places count from the start of text.
// ParseValue is safe for concurrent use.
func ParseValue(text string) (*Value, error) {
	return parseAlone[Value](text, "a value", "write a reading such as 4.2 A, 2 to 9 Ω, OL, good or (9.6 9.7 mV)")
}

// ParseRef reads a name as a record writes it, without the statement around it: "diodes.drop.back[plus, u]". The error unwraps to
// Diagnostics, whose places count from the start of text. ParseRef is safe for concurrent use.
func ParseRef(text string) (*Ref, error) {
	return parseAlone[Ref](text, "a name", "write test or test.value, and a position in [ ] if need be")
}

// parseAlone reads text that holds one T and nothing else.
func parseAlone[T any](text, what, help string) (*T, error) {
	limits := Limits{}.withDefaults()
	if len(text) > limits.Bytes {
		return nil, Diagnostics{tooLarge("", "this text", len(text), limits.Bytes)}.Err()
	}
	s := newScanner("", text, limits.Diagnostics)
	s.alone, s.stmt, s.lineFirst = true, "taken", false // no statement word stands before the value, but it is read as if
	lex, err := lexer.Upgrade(s, tokBlank)
	if err != nil {
		return nil, err
	}
	if len(s.diags) > 0 {
		return nil, s.diags.Err()
	}
	p, err := participle.ParserForProduction[T](statementParser())
	if err != nil {
		return nil, err
	}
	node, err := p.ParseFromLexer(lex, allowTrailing)
	t := *lex.Peek()
	var unexpected *participle.UnexpectedTokenError
	if errors.As(err, &unexpected) {
		t = unexpected.Unexpected
	}
	switch {
	case err != nil && t.EOF():
		return nil, Diagnostics{diagnosticAt(CodeUnexpected, t, what+" ends too early", help)}.Err()
	case t.Type == tokNumber && t.Value[0] == '-' && lastToken(lex).Type == tokNumber:
		return nil, Diagnostics{diagnosticAt(CodeGluedMinus, t, "two numbers joined by a minus are no value", "write to between the ends of a range: "+gluedRange(lastToken(lex), t))}.Err()
	case (err != nil || !t.EOF()) && meantValue(text) != "":
		return nil, Diagnostics{diagnosticAt(CodeUnexpected, t, describe(t)+" is not expected in "+what, meantValue(text))}.Err()
	case err != nil || !t.EOF():
		return nil, Diagnostics{diagnosticAt(CodeUnexpected, t, fmt.Sprintf("%s is not expected in %s", describe(t), what), help)}.Err()
	}
	return node, nil
}

// gluedRange writes the range that two numbers seem to be of which the second begins with a minus.
func gluedRange(low, high token) string {
	return low.Value + " to " + strings.TrimLeft(high.Value[1:], blanks)
}

// String returns the value in its uniform spelling: units as package units prints them, one blank between the parts.
func (v *Value) String() string {
	if v == nil {
		return ""
	}
	var parts []string
	switch {
	case v.List:
		for _, item := range v.Items {
			parts = append(parts, item.String())
		}
		return "(" + strings.Join(parts, " ") + ")"
	case v.OL:
		return "OL"
	case v.Text != nil:
		return v.Text.Quoted
	case v.Low == nil:
		for _, word := range v.Words {
			parts = append(parts, word.Text)
		}
		return strings.Join(parts, " | ")
	}
	if v.Side != "" {
		parts = append(parts, v.Side)
	}
	parts = append(parts, uniform(v.Low.Text))
	if v.High != nil {
		parts = append(parts, "to", uniform(v.High.Text))
	}
	if v.Jumping {
		parts = append(parts, "jumping")
	}
	return strings.Join(parts, " ")
}

// String returns the item in its uniform spelling, as [Value.String] does.
func (i *Item) String() string {
	switch {
	case i == nil:
		return ""
	case i.OL:
		return "OL"
	case i.Word != nil:
		return i.Word.Text
	case i.Side != "":
		return i.Side + " " + uniform(i.Num.Text)
	}
	return uniform(i.Num.Text)
}

// uniform spells a number token: the number as written, one blank, its unit as package units prints it.
func uniform(text string) string {
	n, _ := numberLen(text)
	number, unit := text[:n], strings.TrimLeft(text[n:], blanks)
	if unit == "" {
		return number
	}
	if u, err := units.ParseUnit(unit); err == nil {
		unit = u.String()
	}
	return number + " " + unit
}
