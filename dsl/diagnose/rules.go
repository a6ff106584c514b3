// Package diagnose rules on findings by what sheets say of them, and writes them: as text with the source lines, as JSON, and as SARIF 2.1.0.
//
//	findings := diagnose.RulesOf(files, "quayside").Apply(bench.Warnings())
//	err := diagnose.Text(os.Stderr, findings, diagnose.Sources(files))
//
// A sheet accepts findings with a reason where they stand, and a shop says how much the findings of a code matter. [Mend] carries out the edits
// that findings suggest.
//
// Functions are safe for concurrent use. What they write is the same on every machine, byte for byte.
package diagnose

import (
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// A Finding is a diagnostic after the sheets have ruled on it: with the severity that the shop gives it, and accepted or not.
type Finding struct {
	*dsl.Diagnostic
	Accepted *dsl.Accept // the statement that accepts it, nil if none does
}

// Rules are what sheets say of findings.
type Rules struct {
	accepts    []acceptance
	severities map[dsl.Code]dsl.Severity
}

// acceptance is an accept statement and where it holds: in a block, or everywhere if it is that of the shop.
type acceptance struct {
	statement  *dsl.Accept
	within     dsl.Range
	everywhere bool
}

// RulesOf gathers what files say of findings. Of shops, only the one named counts; the name may be empty.
func RulesOf(files []*dsl.File, shop string) *Rules {
	r := &Rules{severities: map[dsl.Code]dsl.Severity{}}
	for _, f := range files {
		for _, st := range f.Decls {
			b, ok := st.(*dsl.Block)
			isShop := ok && b.Keyword == "shop"
			if !isShop || b.Name.Text == shop {
				r.gather(st, isShop)
			}
		}
	}
	return r
}

func (r *Rules) gather(block dsl.Stmt, shop bool) {
	for _, st := range dsl.Body(block) {
		switch st := st.(type) {
		case *dsl.Accept:
			r.accepts = append(r.accepts, acceptance{st, block.Span(), shop})
		case *dsl.SeverityIs:
			if s, ok := dsl.SeverityNamed(st.Word.Text); ok && shop {
				r.severities[dsl.CodeNamed(st.Code.Text)] = s
			}
		default:
			r.gather(st, shop)
		}
	}
}

// Apply rules on findings and returns them in the same order. An error of the language stays an error and cannot be accepted, since the sheet
// cannot be used.
func (r *Rules) Apply(list dsl.Diagnostics) []Finding {
	findings := make([]Finding, len(list))
	for i, d := range list {
		findings[i] = Finding{Diagnostic: d}
		if d.Severity == dsl.Error {
			continue
		}
		if s, ok := r.severities[d.Code]; ok && s != d.Severity {
			ruled := *d
			ruled.Severity = s
			findings[i].Diagnostic = &ruled
		}
		if k := slices.IndexFunc(r.accepts, func(a acceptance) bool { return a.accepts(d) }); k >= 0 {
			findings[i].Accepted = r.accepts[k].statement
		}
	}
	return findings
}

func (a acceptance) accepts(d *dsl.Diagnostic) bool {
	if dsl.CodeNamed(a.statement.Code.Text) != d.Code || strings.TrimSpace(a.statement.Reason.String()) == "" {
		return false
	}
	at := d.Range.Pos
	return a.everywhere || a.within.Contains(at)
}

// Idle returns a hint for each accept statement that accepts none of the findings: the reason has gone, and so can it. It makes sense only for findings
// among which all that the sheets can have are.
func (r *Rules) Idle(findings []Finding) dsl.Diagnostics {
	var idle dsl.Diagnostics
	for _, a := range r.accepts {
		if slices.ContainsFunc(findings, func(f Finding) bool { return f.Accepted == a.statement }) {
			continue
		}
		idle = append(idle, &dsl.Diagnostic{Code: dsl.CodeIdleAccept, Severity: dsl.Hint, Range: a.statement.Range,
			Message: "no finding " + string(dsl.CodeNamed(a.statement.Code.Text)) + " is left here to accept", Help: "delete this accept"})
	}
	return idle
}

// Open returns the findings that are not accepted.
func Open(findings []Finding) []Finding {
	return slices.DeleteFunc(slices.Clone(findings), func(f Finding) bool { return f.Accepted != nil })
}

// Failed tells whether a finding that is not accepted is an error, by itself or because the shop says so.
func Failed(findings []Finding) bool {
	return slices.ContainsFunc(findings, func(f Finding) bool { return f.Accepted == nil && f.Severity == dsl.Error })
}

// Plain makes findings of diagnostics on which no sheet rules.
func Plain(list dsl.Diagnostics) []Finding { return (&Rules{}).Apply(list) }
