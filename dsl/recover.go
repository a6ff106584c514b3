package dsl

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/units"
)

// How the parser finds its way after a mistake: a statement that cannot be read costs itself only, a brace that is missing its block only.

const maxGuesses = 1000 // in one file; each compares a word with all words of a scope

func (p *parser) report(d *Diagnostic) {
	if n := len(p.diags); p.full() || n > 0 && p.diags[n-1].Range.Pos.Line == d.Range.Pos.Line {
		return
	}
	p.diags = append(p.diags, d)
}

// full tells that there are more diagnostics than anybody will see.
func (p *parser) full() bool { return len(p.diags) > p.limits.Diagnostics }

// nearest returns the word that w was probably meant to be, or nothing.
func (p *parser) nearest(w string, words []string) string {
	if p.guesses++; p.guesses > maxGuesses {
		return ""
	}
	likeliest := slices.SortedStableFunc(slices.Values(words), func(a, b string) int {
		return cmp.Compare(abs(len(a)-len(w)), abs(len(b)-len(w)))
	})
	meant, _ := units.Nearest(w, likeliest)
	return meant
}

func abs(n int) int { return max(n, -n) }

// production finds how to parse a statement that starts with this token. A slightly misspelt word is reported and taken as meant.
func (p *parser) production(sc *scope, first token) *production {
	if first.Type != tokWord && first.Type != tokKeyword {
		return nil
	}
	if prod := sc.statements[first.Value]; prod != nil || statementWords[first.Value] {
		return prod
	}
	meant := p.nearest(first.Value, sc.words)
	if meant == "" {
		return nil
	}
	d := diagnosticAt(CodeUnknownStatement, first, p.noStatement(sc, first.Value), "did you mean "+meant+"?")
	d.Edits = []Edit{{d.Range, meant}}
	p.report(d)
	p.lex.Peek().Value = meant
	return sc.statements[meant]
}

func (p *parser) noStatement(sc *scope, word string) string {
	return fmt.Sprintf("a %s has no statement %s", sc.name, word)
}

// unknownStatement says what could stand in the place of t.
func (p *parser) unknownStatement(sc *scope, t token) *Diagnostic {
	help := "statements here begin with " + strings.Join(sc.words, ", ")
	if t.Type != tokWord && t.Type != tokKeyword {
		return diagnosticAt(CodeUnexpected, t, "a statement cannot begin with "+describe(t), help)
	}
	d := diagnosticAt(CodeUnknownStatement, t, p.noStatement(sc, t.Value), help)
	var homes []string
	for _, other := range allScopes {
		if other.statements[t.Value] != nil {
			homes = append(homes, "a "+other.name)
		}
	}
	if len(homes) > 0 {
		d.Help = fmt.Sprintf("%s stands in %s", t.Value, strings.Join(homes, " or "))
	} else if meant := p.nearest(t.Value, tailWordList); meant != "" {
		d.Help = "did you mean " + meant + ", to go on with the statement above?"
		d.Edits = []Edit{{d.Range, meant}}
	}
	return d
}

// ended checks that a statement without block is followed by another statement or the end of its block.
func (p *parser) ended(h head, node Stmt) Stmt {
	t := *p.lex.Peek()
	switch {
	case h.Value == "limit" && t.Value == "under" && !p.beginsLine(t) && p.asMeant(h) != "": // the statement under has a name behind it
	case t.EOF(), t.Value == "}", t.Type == tokKeyword, t.Type == tokWord && (p.known(t.Value) || p.beginsLine(t)):
		return node
	}
	return p.bad(h, p.surplus(t, h))
}

// beginsLine tells whether t, the next token, is the first of its line.
func (p *parser) beginsLine(t token) bool { return t.Pos.Line > lastToken(p.lex).Pos.Line }

// bad reports a finding, skips to the next statement and keeps the text.
func (p *parser) bad(h head, d *Diagnostic) Stmt {
	p.report(d)
	p.skip(h)
	return p.badNode(h)
}

// badNode keeps the text of the whole statement as far as it was taken.
func (p *parser) badNode(h head) *Bad {
	from, to := Position(h.Pos), p.here()
	return &Bad{stmtNode{Range{from, to}}, p.file.Source[from.Offset:to.Offset]}
}

// skip moves to where the next statement seems to begin, or to the brace that ends the block. A statement word further left than the
// statement that is left stands behind all of its braces, closed or not.
func (p *parser) skip(h head) {
	depth := 0
	for _, t := range p.lex.Range(h.begin, p.lex.RawCursor()) {
		depth += braces(t)
	}
	for ; ; p.lex.Next() {
		t := *p.lex.Peek()
		taken := p.lex.RawCursor() > h.begin
		switch {
		case t.EOF(), t.Value == "}" && depth == 0:
			return
		case taken && p.begins(t, h.column) && (depth == 0 || t.Pos.Column <= h.column):
			return
		}
		depth += braces(t)
	}
}

// braces is the number of blocks that t opens.
func braces(t token) int {
	switch t.Value {
	case "{":
		return 1
	case "}":
		return -1
	}
	return 0
}

// toBlock moves to the brace that opens the block of h, or to where the next statement seems to begin.
func (p *parser) toBlock(h head) {
	for {
		t := *p.lex.Peek()
		if t.EOF() || t.Value == "{" || t.Value == "}" || p.begins(t, 0) || t.Type == tokKeyword && h.prod.inner.statements[t.Value] != nil {
			return
		}
		p.lex.Next()
	}
}

// begins tells whether t, the next token, seems to begin a statement after one that began in the given column: it is a statement word first
// on its line, or nearly one, or another word in that column that does not go on with a statement.
func (p *parser) begins(t token, column int) bool {
	switch {
	case t.Type == tokKeyword:
		return p.known(t.Value)
	case t.Type != tokWord || tailWords[t.Value] || !p.beginsLine(t):
		return false
	}
	return t.Pos.Column == column || p.nearest(t.Value, p.blocks[len(p.blocks)-1].scope.words) != ""
}

// known tells whether a word begins a statement of a block under way.
func (p *parser) known(word string) bool {
	return slices.ContainsFunc(p.blocks, func(b openBlock) bool { return b.scope.statements[word] != nil })
}

func (p *parser) skipBlock() {
	for depth := 1; depth > 0 && !p.lex.Peek().EOF(); p.lex.Next() {
		depth += braces(*p.lex.Peek())
	}
}

// bodyFollows reports that the brace of h is missing, and tells whether the statements of its block come nevertheless.
func (p *parser) bodyFollows(h head) bool {
	d := p.missing("the sign {", "write { at the end of the line that begins a "+h.Value+", and } after its last statement")
	switch t := *p.lex.Peek(); {
	case h.Value == "fault" && t.Value == "of":
		d = diagnosticAt(CodeUnexpected, t, "the positions of a fault stand before its text", "write it as in: fault diode_shorted of phase \"Diode shorted\" { ... }")
	case t.Type == tokString && lastToken(p.lex).Type == tokWord && h.prod.inner == declScope && h.Value != "under":
		d = diagnosticAt(CodeUnexpected, t, "the text stands right behind the name", h.prod.asIn())
	}
	p.report(d)
	p.toBlock(h)
	switch t := *p.lex.Peek(); {
	case t.Value == "{":
		p.lex.Next()
		return true
	case h.prod.inner.statements[t.Value] == nil:
		return false
	default:
		return t.Pos.Column > h.column
	}
}

// leaves tells whether t begins a line with a statement that the innermost block cannot hold but one around it can, and that does not
// stand further in than the block: its closing brace is missing.
func (p *parser) leaves(t token) bool {
	last := len(p.blocks) - 1
	inner := p.blocks[last]
	if t.Type != tokKeyword || inner.scope.statements[t.Value] != nil || inner.head.column > 0 && t.Pos.Column > inner.head.column {
		return false
	}
	return slices.ContainsFunc(p.blocks[:last], func(b openBlock) bool { return b.scope.statements[t.Value] != nil })
}

// A misfit is a block whose closing brace stands further left than its first word: perhaps the brace was meant for the block around it.
type misfit struct{ opener, closer token }

// closed looks at the brace t that closes the block of h.
func (p *parser) closed(h head, t token) {
	if t.Pos.Column < h.column && p.beginsLine(t) {
		p.misfits = append(p.misfits, misfit{h.token, t})
	}
}

// unclosed reports the block that lacks its brace when t comes: that of h, or one inside it that took the brace of another.
func (p *parser) unclosed(h head, t token) {
	if p.tooDeep {
		return
	}
	opener := h.token
	var related []Related
	if i := slices.IndexFunc(p.misfits, func(m misfit) bool { return m.opener.Pos.Offset > opener.Pos.Offset }); i >= 0 {
		opener = p.misfits[i].opener
		related = []Related{{tokenRange(p.misfits[i].closer), "this } closes it, but stands where one closes a block further out"}}
		p.misfits = slices.Delete(p.misfits, i, i+1)
	} else if !t.EOF() {
		related = []Related{{tokenRange(t), "what follows belongs outside of it"}}
	}
	d := diagnosticAt(CodeUnclosedBlock, opener, fmt.Sprintf("this %s is not closed", opener.Value), "write } after its last statement")
	d.Related = related
	p.report(d)
}

// findings puts the findings of the scanner and of the parser together: one for each line, since the others are mostly its echo. Of a line
// with both the scanner's stays, because what it finds is never an echo.
func findings(lexical, syntactic Diagnostics, limit int) Diagnostics {
	lines := map[int]bool{}
	var all Diagnostics
	for _, d := range slices.Concat(lexical, syntactic) {
		if line := d.Range.Pos.Line; !lines[line] {
			lines[line] = true
			all = append(all, d)
		}
	}
	all.Sort()
	if len(all) > limit {
		all = append(all[:limit], &Diagnostic{Code: CodeTooMany, Severity: Error, Range: all[limit].Range,
			Message: "more findings are left out", Help: "mend the first ones and read the file again"})
	}
	return all
}
