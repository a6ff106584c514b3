package dsl

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// A Position is a place in a source file. Line and Column count from 1, Column in characters; Offset counts bytes from 0.
type Position struct {
	Filename string `json:"file,omitempty"`
	Offset   int    `json:"offset"`
	Line     int    `json:"line"`
	Column   int    `json:"column"`
}

func (p Position) String() string {
	if p.Filename == "" {
		return fmt.Sprintf("%d:%d", p.Line, p.Column)
	}
	return fmt.Sprintf("%s:%d:%d", p.Filename, p.Line, p.Column)
}

// A Range is the stretch of source that a node covers, from Pos up to but not including EndPos. Every node of the tree embeds one.
type Range struct {
	Pos    Position
	EndPos Position
}

// Span returns the range itself, so that every node that embeds a Range is a Node.
func (r Range) Span() Range { return r }

// Contains tells whether a position lies in the range: from its first byte up to the byte before EndPos, in the same file.
func (r Range) Contains(p Position) bool {
	return p.Filename == r.Pos.Filename && r.Pos.Offset <= p.Offset && p.Offset < r.EndPos.Offset
}

// A Severity says how much a diagnostic matters.
type Severity string

const (
	Error   Severity = "error"   // the sheet cannot be used as it stands
	Warning Severity = "warning" // usable, but probably not what was meant
	Hint    Severity = "hint"    // usable, and worth a look: what is missing may be missing on purpose
)

// SeverityNamed returns the severity that a word of a sheet stands for.
func SeverityNamed(word string) (Severity, bool) {
	s := Severity(word)
	return s, s == Error || s == Warning || s == Hint
}

// A Related place helps to understand a diagnostic: the other definition, the block that was left open.
type Related struct {
	Range   Range
	Message string
}

// An Edit replaces the text of a range; it is what the author probably meant.
type Edit struct {
	Range Range
	Text  string
}

// A Diagnostic is one finding: what is wrong, where, and what to write instead.
type Diagnostic struct {
	Code     Code
	Severity Severity
	Range    Range
	Message  string // one sentence on what is wrong
	Help     string // one sentence on what to write instead
	Related  []Related
	Edits    []Edit
}

// MarshalJSON writes the range as {"from": ..., "to": ...}. Nodes of the tree embed a Range, so the names cannot be tags on it: participle
// reads every tag there as grammar.
func (d *Diagnostic) MarshalJSON() ([]byte, error) {
	type span struct {
		From Position `json:"from"`
		To   Position `json:"to"`
	}
	type related struct {
		span
		Message string `json:"message"`
	}
	type edit struct {
		span
		Text string `json:"text"`
	}
	out := struct {
		Code     Code     `json:"code"`
		Severity Severity `json:"severity"`
		span
		Message string    `json:"message"`
		Help    string    `json:"help,omitempty"`
		Related []related `json:"related,omitempty"`
		Edits   []edit    `json:"edits,omitempty"`
	}{d.Code, d.Severity, span{d.Range.Pos, d.Range.EndPos}, d.Message, d.Help, nil, nil}
	for _, r := range d.Related {
		out.Related = append(out.Related, related{span{r.Range.Pos, r.Range.EndPos}, r.Message})
	}
	for _, e := range d.Edits {
		out.Edits = append(out.Edits, edit{span{e.Range.Pos, e.Range.EndPos}, e.Text})
	}
	return json.Marshal(out)
}

// Error gives place, finding and help on one line.
func (d *Diagnostic) Error() string {
	text := fmt.Sprintf("%s: %s", d.Range.Pos, d.Message)
	if d.Help != "" {
		text += "; " + d.Help
	}
	return fmt.Sprintf("%s [%s]", text, d.Code)
}

// Diagnostics is a list of findings in source order. Return it as an error only through Err, since an empty list is an error value that is
// not nil. [errors.As] finds the list, and each Diagnostic, in the errors of this package.
type Diagnostics []*Diagnostic

// Err returns the list, or nil when no finding in it is an Error.
func (ds Diagnostics) Err() error {
	if slices.ContainsFunc(ds, isError) {
		return ds
	}
	return nil
}

func isError(d *Diagnostic) bool { return d.Severity == Error }

// Error gives the first finding that is an Error, and how many more there are.
func (ds Diagnostics) Error() string {
	first, more := "no findings", -1
	for _, d := range ds {
		if !isError(d) {
			continue
		}
		if more++; more == 0 {
			first = d.Error()
		}
	}
	if more < 1 {
		return first
	}
	return fmt.Sprintf("%s (and %d more)", first, more)
}

// Unwrap returns the findings one by one.
func (ds Diagnostics) Unwrap() []error {
	list := make([]error, len(ds))
	for i, d := range ds {
		list[i] = d
	}
	return list
}

// Sort orders the findings by file and place, keeping the order of findings in one place.
func (ds Diagnostics) Sort() {
	slices.SortStableFunc(ds, func(a, b *Diagnostic) int {
		return cmp.Or(
			strings.Compare(a.Range.Pos.Filename, b.Range.Pos.Filename),
			cmp.Compare(a.Range.Pos.Offset, b.Range.Pos.Offset),
		)
	})
}
