package eval

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/brushgear/brushgear/eval/plan"
)

// A plan in words, by the numbers that it uses for tests, outcomes and remedies. The words come from the verdict: of a plan that was read back from JSON
// they are empty.

// TestTitle names a test of the plan.
func (x *Plan) TestTitle(test int) string {
	if x.wordless() {
		return ""
	}
	return x.tested(test).t.title
}

// wordless tells that no verdict stands behind the plan.
func (x *Plan) wordless() bool { return x.pass.v == nil }

// TestName names a test of the plan as a record and a Card do.
func (x *Plan) TestName(test int) string {
	if x.wordless() {
		return ""
	}
	bt := x.tested(test)
	return strings.TrimPrefix(x.pass.v.program.units[bt.unit].name+"."+bt.t.name, ".")
}

// tested is a test of the plan as bound.
func (x *Plan) tested(test int) *boundTest {
	prog := x.pass.v.program
	return &prog.tests[prog.led[x.tests[test].test]]
}

// OutcomeWords says what one outcome of a test of the plan is, such as "output good" or "anything else".
func (x *Plan) OutcomeWords(test, outcome int) string {
	if x.wordless() {
		return ""
	}
	return spaced(x.label(test, outcome))
}

// RemedyWords says what a remedy of the plan is; where no fault is left it says so.
func (x *Plan) RemedyWords(remedy int) string {
	if x.wordless() {
		return ""
	}
	if len(x.remedies[remedy]) == 0 {
		return "no fault"
	}
	text := x.remedies[remedy][0]
	for _, title := range x.remedies[remedy][1:] {
		text += ", and " + inside(title)
	}
	return text
}

// inside is a title as it stands inside a sentence: with a small first letter, unless the word is an abbreviation.
func inside(title string) string {
	first, size := utf8.DecodeRuneInString(title)
	next, _ := utf8.DecodeRuneInString(title[size:])
	if !unicode.IsLower(next) {
		return title
	}
	return string(unicode.ToLower(first)) + title[size:]
}

// Cautions are what to heed before a test of the plan.
func (x *Plan) Cautions(test int) []string {
	if x.wordless() {
		return nil
	}
	bt := x.tested(test)
	return cautions(x.pass.v.program.units[bt.unit].m, bt.t)
}

// Stories names what is likeliest at a node of the plan, the likeliest first.
func (x *Plan) Stories(n *plan.Node) string {
	if x.wordless() || n == nil {
		return ""
	}
	return x.leading(n)
}

// Opening says to what stage the unit must be brought for a test of the plan, such as "to frames apart". It does not depend on the test before.
func (x *Plan) Opening(_, next int) string {
	if x.wordless() {
		return ""
	}
	bt := x.tested(next)
	if s := x.pass.v.program.units[bt.unit].m.stages[bt.t.stage]; s != nil {
		return "to " + s.Title.String()
	}
	return ""
}
