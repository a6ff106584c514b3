package dsl

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"
	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/units"
)

var tokenTypeNames = func() map[lexer.TokenType]string {
	names := map[lexer.TokenType]string{}
	for name, typ := range tokenNames {
		names[typ] = name
	}
	return names
}()

// lexed spells the significant tokens of a source: Word(x) Punct(:) Number(5 V).
func lexed(src string) string {
	var words []string
	for _, t := range tokensOf(src) {
		if !isTrivia(t) {
			words = append(words, fmt.Sprintf("%s(%s)", tokenTypeNames[t.Type], t.Value))
		}
	}
	return strings.Join(words, " ")
}

func TestLexer(t *testing.T) {
	tests := []struct{ name, src, want string }{
		{"statement word first on a line", "limit limit", "Keyword(limit) Word(limit)"},
		{"statement word after a blank line", "x\n\n  limit", "Word(x) Keyword(limit)"},
		{"reserved words", "not each any and or is OL ol", "Reserved(not) Reserved(each) Reserved(any) Reserved(and) Reserved(or) Reserved(is) Reserved(OL) Word(ol)"},
		{"terms", "at  least at\tmost as found as left in work both ways", "Term(at least) Term(at most) Term(as found) Term(as left) Term(in work) Term(both ways)"},
		{"no terms", "at\nleast as foundry at_least", "Word(at) Word(least) Word(as) Word(foundry) Word(at_least)"},
		{"names in other scripts", "größe_2 напряжение", "Word(größe_2) Word(напряжение)"},

		{"number with unit", "5 V 5V .5 V 5.0e3 V 1E-3 V", "Number(5 V) Number(5V) Number(.5 V) Number(5.0e3 V) Number(1E-3 V)"},
		{"blanks of other widths", "5\u00a0V 5\u202fV", "Number(5\u00a0V) Number(5\u202fV)"},
		{"unit on the next line", "5\nV", "Number(5) Word(V)"},
		{"fractions", "1/4 in 2-3/16 in 1/4", "Number(1/4 in) Number(2-3/16 in) Number(1/4)"},
		{"fraction and division", "1 / 4 in", "Number(1) Punct(/) Number(4 in)"},
		{"signs of literals", "x : -5 V +5 V", "Word(x) Punct(:) Number(-5 V) Punct(+) Number(5 V)"},
		{"subtraction", "a - 5 V a - b a-b", "Word(a) Punct(-) Number(5 V) Word(a) Punct(-) Word(b) Word(a) Punct(-) Word(b)"},
		{"sign after a language word", "to -5 V above -5 V likely -5 V row -5 V", "Word(to) Number(-5 V) Word(above) Number(-5 V) Word(likely) Number(-5 V) Word(row) Number(-5 V)"},
		{"sign of a condition", "limit x at temp -5 °C, supply -6 V", "Keyword(limit) Word(x) Word(at) Word(temp) Number(-5 °C) Punct(,) Word(supply) Number(-6 V)"},
		{"sign of a limit", "limit x -5 V to -4 V\nlimit x.y[1, u] -5 V\nlimit x at most a -5 V", "Keyword(limit) Word(x) Number(-5 V) Word(to) Number(-4 V) Keyword(limit) Word(x) Punct(.) Word(y) " +
			"Punct([) Number(1) Punct(,) Word(u) Punct(]) Number(-5 V) Keyword(limit) Word(x) Term(at most) Word(a) Punct(-) Number(5 V)"},
		{"sign of a reading", "taken x.y -5 V\nset z -6\ntaken work -7 V",
			"Keyword(taken) Word(x) Punct(.) Word(y) Number(-5 V) Keyword(set) Word(z) Number(-6) Keyword(taken) Word(work) Number(-7 V)"},
		{"signs in a list", "taken x (-1 -2 mV)", "Keyword(taken) Word(x) Punct(() Number(-1) Number(-2 mV) Punct())"},
		{"plus or minus", "5 V ± 1 % 5 V +/- 1 %", "Number(5 V) Punct(±) Number(1 %) Number(5 V) Punct(±) Number(1 %)"},

		{"language word after a number", "2.4 to 2.8 Ω", "Number(2.4) Word(to) Number(2.8 Ω)"},
		{"statement word after a number", "is 2 outcome", "Reserved(is) Number(2) Word(outcome)"},
		{"inch and a trade word", "1/4 in work", "Number(1/4 in) Word(work)"},
		{"products of units", "5 mV/K 5 N·m 5 lb-ft 5 A^2 5 min^-1 5 m²", "Number(5 mV/K) Number(5 N·m) Number(5 lb-ft) Number(5 A^2) Number(5 min^-1) Number(5 m²)"},
		{"division after a unit", "6 V/2 Ω 6 V / Ω 6 V/ohms_law", "Number(6 V) Punct(/) Number(2 Ω) Number(6 V) Punct(/) Word(Ω) Number(6 V) Punct(/) Word(ohms_law)"},
		{"unit before a bracket", "0.010 in(0.254 mm) 2 count(x)", "Number(0.010 in) Punct(() Number(0.254 mm) Punct()) Number(2) Word(count) Punct(() Word(x) Punct())"},
		{"pseudo-units", "2 digits 1.65 u", "Number(2 digits) Number(1.65 u)"},
		{"units as types", "read x : °C\nread y : lbf·ft\nread z : mV/K\nread p : %\nread q : V | A", "Keyword(read) Word(x) Punct(:) Symbol(°C) Keyword(read) Word(y) Punct(:) " +
			"Symbol(lbf·ft) Keyword(read) Word(z) Punct(:) Symbol(mV/K) Keyword(read) Word(p) Punct(:) Symbol(%) Keyword(read) Word(q) Punct(:) Word(V) Punct(|) Word(A)"},
		{"serial numbers", "H40000 70A", "Word(H40000) Number(70A)"},
		{"index", "x[1,2] x[1 , u]", "Word(x) Punct([) Number(1) Punct(,) Number(2) Punct(]) Word(x) Punct([) Number(1) Punct(,) Word(u) Punct(])"},
		{"list of numbers", "(40 000 V)", "Punct(() Number(40) Number(000 V) Punct())"},
		{"date", "2026-03-02", "Date(2026-03-02)"},
		{"no date", "2026 - 03", "Number(2026) Punct(-) Number(03)"},

		{"text", `"a" "a \"b\" \\" ""`, `String("a") String("a \"b\" \\") String("")`},
		{"text that is not closed", "\"a\nb", `Bad("a) Word(b)`},
		{"text that ends in a backslash", "\"a\\\nb", "Bad(\"a\\) Word(b)"},
		{"text that swallows braces", "\"a { }\nb", `Bad("a) Punct({) Punct(}) Word(b)`},
		{"comment", "a # b \"c\r\n# d", "Word(a)"},
		{"open values", "<5 V > 5 V", "Punct(<) Number(5 V) Punct(>) Number(5 V)"},
		{"foreign signs", "a <= b && c", "Word(a) Bad(<=) Word(b) Bad(&&) Word(c)"},
		{"rubbish", "a $ \x00\x00 b", "Word(a) Bad($) Bad(\x00\x00) Word(b)"},
		{"mark at the start of a file", "\uFEFFbrushgear 1", "Word(brushgear) Number(1)"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			require.Equal(t, tt.want, lexed(tt.src))
			requireTokensCover(t, tt.src)
		})
	}
}

// requireTokensCover checks that the tokens of a source stand where they say, one behind the other, and that nothing is left out.
func requireTokensCover(tb testing.TB, src string) {
	tb.Helper()
	toks := append(tokensOf(src), token{Pos: lexer.Position{Offset: len(src)}})
	offset, line, column := 0, 1, 1
	for i, t := range toks[:len(toks)-1] {
		require.Equal(tb, lexer.Position{Filename: "test.sheet", Offset: offset, Line: line, Column: column}, t.Pos)
		offset = toks[i+1].Pos.Offset
		require.Greater(tb, offset, t.Pos.Offset, "a token without text")
		text := src[t.Pos.Offset:offset]
		if t.Value != text {
			require.Contains(tb, []lexer.TokenType{tokTerm, tokPunct}, t.Type, "only these are spelled anew")
		}
		if end := strings.LastIndexByte(text, '\n'); end >= 0 {
			line += strings.Count(text, "\n")
			column, text = 1, text[end+1:]
		}
		if text != byteOrderMark || t.Pos.Offset > 0 {
			column += utf8.RuneCountInString(text)
		}
	}
	require.Equal(tb, len(src), offset)
}

func TestTokensCoverCorpus(t *testing.T) {
	for name, src := range corpus(t) {
		t.Run(name, func(t *testing.T) { requireTokensCover(t, src) })
	}
}

// A unit symbol and a word of the language never coincide, with one exception: meter begins a statement of a record, so that the unit must
// be written m.
func TestUnitsAndWordsDiffer(t *testing.T) {
	for symbol := range units.Symbols() {
		if symbol != "meter" {
			require.False(t, languageWords[symbol], symbol)
		}
	}
	require.Equal(t, "Number(5) Word(meter)", lexed("5 meter"))
}

// Every unit can be written after a number, glued or not, and as a type.
func TestUnitsAreRead(t *testing.T) {
	spellings := []string{"mV/K", "lb-ft", "min^-1", "K⁻¹", "A²", "W/m²", "N·m/A"}
	for symbol := range units.Symbols() {
		if symbol != "meter" {
			spellings = append(spellings, symbol)
		}
	}
	for _, symbol := range spellings {
		u, err := units.ParseUnit(symbol)
		require.NoError(t, err)
		for _, s := range []string{symbol, u.String()} {
			for _, number := range []string{"5 " + s, "5" + s} {
				require.Equal(t, "Number("+number+") Word(with)", lexed(number+" with"))
				require.Equal(t, "5 "+u.String(), uniform(number))
			}
			typ := tokensOf("read x : " + s + " with")
			require.Len(t, typ, 9, s)
			require.Equal(t, s, typ[6].Value)
		}
	}
}

func TestLexerReportsBrokenText(t *testing.T) {
	for _, src := range []string{"# a\xff", "# a\x00", "note \"a\xffb\"", "note \"a\x00b\"", "\xff", "\x00"} {
		ds := findingsOf(t, "brushgear 1\n\n"+src+"\n")
		require.NotEmpty(t, ds, "%q", src)
		require.Equal(t, CodeBadCharacter, ds[0].Code, "%q", src)
		require.Equal(t, 3, ds[0].Range.Pos.Line)
		require.Equal(t, strings.IndexAny(src, "\x00\xff")+1, ds[0].Range.Pos.Column, "%q", src)
	}
}
