package diagnose

import (
	"cmp"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// Mend carries out the edits that findings suggest in one file, and returns its new text with the findings that were mended. The edits of a
// finding are carried out together or not at all: not if one of them overlaps an edit of a finding before it, lies in another file, or lies
// outside of the text. Accepted findings are left alone. Read the new text again: a mended mistake may have hidden another.
func Mend(name, text string, findings []Finding) (string, []Finding) {
	var edits []dsl.Edit
	var mended []Finding
	for _, f := range Open(findings) {
		if len(f.Edits) == 0 || slices.ContainsFunc(f.Edits, func(e dsl.Edit) bool { return !fits(e, name, len(text), edits) }) {
			continue
		}
		edits = append(edits, f.Edits...)
		mended = append(mended, f)
	}
	slices.SortStableFunc(edits, func(a, b dsl.Edit) int { return cmp.Compare(a.Range.Pos.Offset, b.Range.Pos.Offset) })
	var b strings.Builder
	from := 0
	for _, e := range edits {
		b.WriteString(text[from:e.Range.Pos.Offset])
		b.WriteString(e.Text)
		from = e.Range.EndPos.Offset
	}
	b.WriteString(text[from:])
	return b.String(), mended
}

func fits(e dsl.Edit, name string, length int, edits []dsl.Edit) bool {
	from, to := e.Range.Pos.Offset, e.Range.EndPos.Offset
	if e.Range.Pos.Filename != name || from < 0 || to < from || to > length {
		return false
	}
	return !slices.ContainsFunc(edits, func(o dsl.Edit) bool {
		a, b := o.Range.Pos.Offset, o.Range.EndPos.Offset
		return from < b && a < to || from == a
	})
}
