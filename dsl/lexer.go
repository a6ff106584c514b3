package dsl

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"

	"github.com/brushgear/brushgear/units"
)

type token = lexer.Token

// Token types. The lexer is total: whatever the bytes are, it returns tokens that cover them, and diagnostics beside them.
const (
	tokWord     lexer.TokenType = -(iota + 2)
	tokKeyword                  // a statement word that stands first on its line: never a name
	tokReserved                 // one of the seven reserved words
	tokTerm                     // "at least" and its kin
	tokNumber                   // a number with its unit, if it has one
	tokDate
	tokSymbol // unit text that is no word: °C, %, lbf·ft
	tokString
	tokPunct
	tokBad
	tokComment
	tokBlank
)

var tokenNames = map[string]lexer.TokenType{
	"EOF": lexer.EOF, "Word": tokWord, "Keyword": tokKeyword, "Reserved": tokReserved, "Term": tokTerm, "Number": tokNumber, "Date": tokDate,
	"Symbol": tokSymbol, "String": tokString, "Punct": tokPunct, "Bad": tokBad, "Comment": tokComment, "Blank": tokBlank,
}

const byteOrderMark = "\uFEFF"

// scanner turns source text into tokens, one for each call of Next. It is the lexer.Lexer that participle reads from.
type scanner struct {
	name  string
	src   string
	off   int
	line  int
	col   int
	last  token // the token taken last, blanks and comments included
	count int   // of tokens taken

	prev       lexer.TokenType // last significant token, 0 at the start
	prevText   string
	beforePrev string // text of the significant token before prev
	alone      bool   // a value that stands in no statement
	stmt       string // first word of the statement, as far as the lexer can tell
	lineFirst  bool   // no significant token on this line yet
	brackets   int    // open round brackets
	inIndex    bool   // between [ and ], where a comma separates numbers
	inRef      bool   // in the name of what a limit bounds

	units map[string]bool // unit texts met so far, and whether they are units
	diags Diagnostics     // at most one for each line
	limit int             // of diags; beyond it none is made, and no unit is looked up
}

func newScanner(name, src string, limit int) *scanner {
	return &scanner{name: name, src: src, line: 1, col: 1, lineFirst: true, units: map[string]bool{}, limit: limit}
}

// Next returns the next token, EOF at the end and ever after. The error is always nil.
func (s *scanner) Next() (token, error) {
	s.count++
	switch {
	case s.off >= len(s.src):
		return token{Type: lexer.EOF, Pos: s.pos()}, nil
	case s.off == 0 && strings.HasPrefix(s.src, byteOrderMark):
		s.emit(tokBlank, len(byteOrderMark))
		s.col = 1
	default:
		s.scan(s.src[s.off:])
	}
	return s.last, nil
}

func (s *scanner) pos() lexer.Position {
	return lexer.Position{Filename: s.name, Offset: s.off, Line: s.line, Column: s.col}
}

// emit takes the next n bytes as one token.
func (s *scanner) emit(t lexer.TokenType, n int) { s.emitAs(t, n, s.src[s.off:s.off+n]) }

// emitAs takes the next n bytes as one token that the parser sees as value.
func (s *scanner) emitAs(t lexer.TokenType, n int, value string) {
	text := s.src[s.off : s.off+n]
	s.last = token{Type: t, Value: value, Pos: s.pos()}
	s.off += n
	if i := strings.LastIndexByte(text, '\n'); i >= 0 {
		s.line += strings.Count(text, "\n")
		s.col = 1 + utf8.RuneCountInString(text[i+1:])
		s.lineFirst = true
	} else {
		s.col += utf8.RuneCountInString(text)
	}
	if t != tokBlank && t != tokComment {
		s.inRef = s.inRef && (s.inIndex || value == "]" || value == "." || t == tokWord && !tailWords[value] || t == tokKeyword)
		s.beforePrev = s.prevText
		s.prev, s.prevText, s.lineFirst = t, value, false
	}
}

// report adds a diagnostic on the n bytes that stand lead bytes further on. An edit replaces them.
func (s *scanner) report(code Code, lead, n int, message, help string, edits ...string) {
	if s.full() || len(s.diags) > 0 && s.diags[len(s.diags)-1].Range.Pos.Line == s.line {
		return
	}
	from := s.pos()
	from.Offset += lead
	from.Column += utf8.RuneCountInString(s.src[s.off:from.Offset])
	d := diagnosticAt(code, token{Value: s.src[from.Offset : from.Offset+n], Pos: from}, message, help)
	for _, text := range edits {
		d.Edits = append(d.Edits, Edit{d.Range, text})
	}
	s.diags = append(s.diags, d)
}

// full tells that there are more diagnostics than anybody will see.
func (s *scanner) full() bool { return len(s.diags) > s.limit }

func (s *scanner) scan(rest string) {
	switch c := rest[0]; {
	case blankLen(rest, true) > 0:
		s.emit(tokBlank, blankLen(rest, true))
	case c == '#':
		s.comment(rest)
	case c == '"':
		s.quoted(rest)
	case isDigit(c), c == '.' && startsDigit(rest[1:]):
		s.number(rest)
	case (c == '-' || c == '+') && (startsDigit(rest[1:]) || strings.HasPrefix(rest[1:], ".") && startsDigit(rest[2:])):
		s.signed(rest)
	case strings.HasPrefix(rest, "+/-"):
		s.emitAs(tokPunct, 3, "±")
	case strings.HasPrefix(rest, "±"):
		s.emit(tokPunct, len("±"))
	case c < utf8.RuneSelf && !isWordRune(rune(c)) && c != '%':
		s.punct(rest)
	default:
		s.word(rest)
	}
}

func (s *scanner) comment(rest string) {
	n := strings.IndexByte(rest, '\n')
	if n < 0 {
		n = len(rest)
	}
	for rest[n-1] == '\r' {
		n--
	}
	s.checkText(rest[:n])
	s.emit(tokComment, n)
}

func (s *scanner) quoted(rest string) {
	n := 1
	for ; n < len(rest) && rest[n] != '\n'; n++ {
		switch {
		case rest[n] == '"':
			s.checkText(rest[:n+1])
			s.emit(tokString, n+1)
			return
		case rest[n] == '\\' && n+1 < len(rest) && rest[n+1] != '\n':
			n++
		}
	}
	// The braces at the end of the line hardly belong to the text, and the block is lost without them.
	n = max(1, len(strings.TrimRight(rest[:n], "{}"+blanks)))
	s.report(CodeUnclosedString, 0, n, "this text is not closed", `write a " at its end, on the same line`)
	s.emit(tokBad, n)
}

// checkText reports bytes that are no text, inside of a comment or a quoted text.
func (s *scanner) checkText(text string) {
	if strings.IndexByte(text, 0) < 0 && utf8.ValidString(text) {
		return
	}
	for i, r := range text {
		if _, size := utf8.DecodeRuneInString(text[i:]); r == 0 || r == utf8.RuneError && size == 1 {
			s.report(CodeBadCharacter, i, 1, noText, "write the character again, and save the file as UTF-8")
			return
		}
	}
}

const noText = "these bytes are no text (a sheet is a UTF-8 file)"

// foreign signs that people bring from other notations, with what to write here.
var foreign = []struct{ text, help string }{
	{"<=", "write at most"}, {">=", "write at least"}, {"==", "write equals for a number, is for a word"}, {"!=", "write is not"},
	{"=>", "leave it out"}, {"->", "write to"}, {"..", "write to between the ends of a range"}, {"&&", "write and"}, {"||", "write or, or one | between words"},
	{"//", "begin a comment with #"}, {"/*", "begin a comment with #, on each of its lines"}, {"!", "write not"}, {"&", "write and"},
	{";", "begin a new line instead"}, {"'", `write texts in straight double quotes: "..."`}, {"`", `write texts in straight double quotes: "..."`},
	{"^", "write x * x"}, {"–", "write to between the ends of a range, or - for a subtraction"}, {"—", "write to between the ends of a range, or - for a subtraction"},
	{"−", "write - instead"}, {"“", `write texts in straight double quotes: "..."`}, {"”", `write texts in straight double quotes: "..."`},
	{"„", `write texts in straight double quotes: "..."`}, {"«", `write texts in straight double quotes: "..."`}, {"’", `write texts in straight double quotes: "..."`},
	{"‘", `write texts in straight double quotes: "..."`}, {"≤", "write at most"}, {"≥", "write at least"}, {"≠", "write is not"}, {"×", "write *"}, {"÷", "write /"},
	{"∞", "write OL for a reading beyond the range of the meter"}, {"…", "write to between the ends of a range"},
	{"~", "leave it out, or write ± and how far it may differ"}, {"≈", "leave it out, or write ± and how far it may differ"},
}

// inValues is what to write for some of the foreign signs where a reading stands.
var inValues = map[string]string{
	"<=": "write <", ">=": "write >", "≤": "write <", "≥": "write >", "..": aRange, "…": aRange, "–": aRange, "—": aRange,
	";": "write the value alone; what else there is to say goes into a note", "~": notExact, "≈": notExact,
	"'": "write in or ft behind a number, and a text in straight double quotes",
}

const (
	aRange   = "write to between the ends of a range: 2 to 9 Ω"
	notExact = "leave it out and write what was read, or a range if it moved or was read roughly: 2 to 9 Ω"
)

// vulgar are fractions in one character.
var vulgar = map[rune]string{
	'½': "1/2", '¼': "1/4", '¾': "3/4", '⅓': "1/3", '⅔': "2/3", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8",
}

func (s *scanner) isForeign(rest string) bool {
	for _, f := range foreign {
		if strings.HasPrefix(rest, f.text) {
			help := f.help
			message := "the sheet language has no " + f.text
			if s.alone {
				message = f.text + " does not belong to a value"
			}
			if said := inValues[f.text]; valueStatements[s.stmt] && said != "" {
				help = said
			}
			s.report(CodeForeignOperator, 0, len(f.text), message, help)
			s.emit(tokBad, len(f.text))
			return true
		}
	}
	return false
}

func (s *scanner) punct(rest string) {
	switch c := rest[0]; {
	case s.isForeign(rest):
	case strings.IndexByte("{}()[],:|.=+-*/<>", c) < 0:
		s.illegal(rest)
	default:
		switch c {
		case '(':
			s.brackets++
		case ')', '{', '}': // one that is not closed costs its block only
			s.brackets = 0
		}
		s.inIndex = c == '[' || s.inIndex && c == ','
		s.emit(tokPunct, 1)
	}
}

// illegal takes a run of bytes that mean nothing, with one finding.
func (s *scanner) illegal(rest string) {
	r, n := utf8.DecodeRuneInString(rest)
	message, help := "this character has no meaning here", "remove it"
	if broken := r == 0 || r == utf8.RuneError && n == 1; broken {
		message, help = noText, "remove them, or save the file as UTF-8"
	} else if fraction := vulgar[r]; fraction != "" {
		message, help = "the fraction "+string(r)+" is not understood", "write "+fraction
		if s.prev == tokNumber && !s.lineFirst && strings.Trim(s.prevText, "0123456789") == "" {
			help = "write " + s.prevText + "-" + fraction + " with its unit, or a decimal number"
		}
	}
	for n < len(rest) {
		next, size := utf8.DecodeRuneInString(rest[n:])
		if next < utf8.RuneSelf && next != 0 || isWordRune(next) || isUnitRune(next) || unicode.IsSpace(next) || next == '±' {
			break
		}
		n += size
	}
	s.report(CodeBadCharacter, 0, n, message, help)
	s.emit(tokBad, n)
}

// operand tells whether the token before is one that a minus could subtract from.
func (s *scanner) operand() bool {
	switch s.prev {
	case tokNumber, tokDate:
		return true
	case tokWord:
		return !tailWords[s.prevText]
	case tokPunct:
		return s.prevText == ")" || s.prevText == "]"
	}
	return false
}

// signed takes a sign glued to a number: part of the number, unless an operand stands before it.
func (s *scanner) signed(rest string) {
	if !s.operand() || s.valueFollows() {
		s.number(rest)
		return
	}
	message, help := "a sign glued to a number belongs to the number, so an operator is missing here", "write blanks on both sides of the "+rest[:1]
	if s.last.Type == tokNumber && rest[0] == '-' {
		message, help = "a minus glued between two numbers is unclear", "write to for a range (1.9 to 2.2 Ω), or blanks on both sides for a subtraction"
	}
	s.report(CodeGluedMinus, 0, 1, message, help)
	s.emit(tokPunct, 1)
}

// valueFollows tells whether a value stands after the last token, so that a sign belongs to it: in a statement that takes values, after what
// a limit bounds, or after a name in an at list.
func (s *scanner) valueFollows() bool {
	return valueStatements[s.stmt] || s.inRef || s.prev == tokWord && (s.beforePrev == "at" || s.beforePrev == ",")
}

func (s *scanner) word(rest string) {
	r, _ := utf8.DecodeRuneInString(rest)
	n := wordLen(rest)
	if n == 0 {
		switch {
		case isUnitRune(r):
			s.emit(tokSymbol, s.unitLen(rest))
		case !s.isForeign(rest):
			s.illegal(rest)
		}
		return
	}
	if n < len(rest) && (rest[n] >= utf8.RuneSelf || s.typeFollows() && strings.IndexByte("/*^-", rest[n]) >= 0) {
		if m := s.unitLen(rest); m > n {
			s.emit(tokSymbol, m)
			return
		}
		if m := gluedUnit(rest); rest[n] == '/' {
			s.unknownUnit(0, rest[:m])
			s.emit(tokSymbol, m)
			return
		}
	}
	text := rest[:n]
	if m, term := s.term(rest, text); m > 0 {
		s.emitAs(tokTerm, m, term)
		return
	}
	if statementWords[text] && s.prevText != "." && (s.prevText != s.stmt || s.stmt == "") {
		s.stmt = text
		s.inRef = text == "limit"
	}
	switch {
	case reservedWords[text]:
		s.emit(tokReserved, n)
	case s.lineFirst && statementWords[text]:
		s.emit(tokKeyword, n)
	default:
		s.emit(tokWord, n)
	}
}

// typeFollows tells whether a unit may stand alone after the last token.
func (s *scanner) typeFollows() bool {
	return s.prev == tokPunct && (s.prevText == ":" || s.prevText == "|")
}

// term measures a term that begins with the word first, and spells it with one blank. The length is 0 when there is none.
func (s *scanner) term(rest, first string) (int, string) {
	b := blankLen(rest[len(first):], false)
	tail := rest[len(first)+b:]
	for _, second := range terms[first] {
		if b > 0 && strings.HasPrefix(tail, second) && wordLen(tail) == len(second) {
			return len(first) + b + len(second), first + " " + second
		}
	}
	return 0, ""
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func startsDigit(s string) bool { return s != "" && isDigit(s[0]) }

func isWordRune(r rune) bool {
	return r == '_' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9' || r > unicode.MaxASCII && unicode.IsLetter(r)
}

// isUnitRune tells whether r can begin unit text although it is no letter.
func isUnitRune(r rune) bool {
	return r == '°' || r == '%' || r == '‰' || r == 'Ω' || r == '℃' || r == '℉'
}

func wordLen(s string) int {
	for i, r := range s {
		if !isWordRune(r) {
			return i
		}
	}
	return len(s)
}

const blanks = " \t\r\u00a0\u202f"

// blankLen measures white space; with lines false it stops at a line end.
func blankLen(s string, lines bool) int {
	for i, r := range s {
		switch r {
		case ' ', '\t', '\r', '\u00a0', '\u202f':
		case '\n':
			if !lines {
				return i
			}
		default:
			return i
		}
	}
	return len(s)
}

func (s *scanner) isUnit(text string) bool {
	ok, seen := s.units[text]
	if !seen && !s.full() {
		_, err := units.ParseUnit(text)
		ok = err == nil
		s.units[text] = ok
	}
	return ok
}
