package dsl

import (
	"errors"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/brushgear/brushgear/units"
)

// Numbers carry their unit in one token: "2.4 Ω", "1/4 in", "2-3/16 in", "-40 °C". A unit stands on its number's line; a word of the
// language never is one, so "2.4 to 2.8 Ω" and "3 within" need no rule of their own.

const (
	maxDigits   = 40
	maxUnitText = 100 // bytes, as in package units
)

// number takes a number with its unit, or a date. It reports what is wrong with it.
func (s *scanner) number(rest string) {
	if n := dateLen(rest); n > 0 {
		s.date(rest, n)
		return
	}
	n, mixed := numberLen(rest)
	n = s.comma(rest, n)
	if n > maxDigits {
		s.report(CodeBadNumber, 0, n, "this number is too long", "write at most 40 digits, with an exponent if need be")
	}
	end := n + s.unitAfter(rest[n:])
	unit := strings.TrimLeft(rest[n:end], blanks)
	switch {
	case unit == "" && mixed:
		s.report(CodeGluedMinus, 0, n, "a mixed number needs its unit", "write 2-3/16 in, or blanks around the minus for a subtraction")
	case unit == "":
		s.grouping(rest, n)
	case unit != "digits" && unit != "u" && !s.isUnit(unit):
		s.unknownUnit(end-len(unit), unit)
	}
	s.emit(tokNumber, end)
}

func (s *scanner) date(rest string, n int) {
	if _, err := time.Parse(time.DateOnly, rest[:n]); err != nil {
		s.report(CodeBadDate, 0, n, "this is no day of the calendar", "write year, month and day, such as 2026-03-02")
	}
	s.emit(tokDate, n)
}

// comma reports a comma glued between digits, and takes the number behind it in.
func (s *scanner) comma(rest string, n int) int {
	if s.inIndex || n+1 >= len(rest) || rest[n] != ',' || !isDigit(rest[n+1]) || strings.ContainsAny(rest[:n], "./eE") {
		return n
	}
	digits := digitsLen(rest[n+1:])
	whole, end := rest[:n], n+1+digits
	point := whole + "." + rest[n+1:end]
	if digits == 3 && strings.Trim(whole, "+-0") != "" {
		s.report(CodeDecimalComma, 0, end, "a comma inside a number is not understood", "write "+whole+rest[n+1:end]+" if it groups digits, "+point+" if it is a decimal comma")
		return end
	}
	s.report(CodeDecimalComma, 0, end, "a decimal comma is not understood", "write "+point, point)
	return end
}

func (s *scanner) unknownUnit(lead int, unit string) {
	if s.full() {
		return
	}
	message, help := "there is no unit "+unit, "write a unit such as V, A, Ω, mm or °C"
	var edits []string
	_, err := units.ParseUnit(unit)
	var ue *units.UnitError
	switch slash := strings.IndexByte(unit, '/'); {
	case valueStatements[s.stmt] && strings.EqualFold(unit, "L") && s.src[s.off] == '0':
		help = "write OL, with the letter O, for what is beyond the meter"
	case slash > 0 && s.isUnit(unit[:slash]):
		help = "write blanks around / for a division"
	case unit[0] == '_':
		help = "write the digits without _"
	case strings.Contains(unit, "_"), s.prev == tokKeyword && namingStatements[s.prevText]:
		help = "a name begins with a letter"
	case errors.As(err, &ue) && ue.Hint != "":
		help = ue.Hint
	case ue != nil && len(ue.Suggestions) > 0:
		help = "did you mean " + strings.Join(ue.Suggestions, " or ") + "?"
		edits = ue.Suggestions[:1]
	}
	s.report(CodeUnknownUnit, lead, len(unit), message, help, edits...)
}

// grouping reports digits that follow a bare number after a blank: 40 000. Inside round brackets they are the next member of a list.
func (s *scanner) grouping(rest string, n int) {
	if s.brackets > 0 || s.inIndex {
		return
	}
	b := blankLen(rest[n:], false)
	if b > 0 && digitsLen(rest[n+b:]) == 3 {
		joined := rest[:n] + rest[n+b:n+b+3]
		s.report(CodeDigitGroups, 0, n+b+3, "digits are not grouped by blanks", "write "+joined, joined)
	}
}

// unitAfter measures blanks and unit text after a number, 0 when no unit follows on its line.
func (s *scanner) unitAfter(rest string) int {
	b := blankLen(rest, false)
	tail := rest[b:]
	r, _ := utf8.DecodeRuneInString(tail)
	if startsDigit(tail) || !isWordRune(r) && !isUnitRune(r) {
		return 0
	}
	if w := wordLen(tail); w > 0 {
		word := tail[:w]
		if word == "digits" || word == "u" {
			return b + w
		}
		if languageWords[word] || strings.HasPrefix(tail[w:], "(") && !s.isUnit(word) {
			return 0
		}
	}
	return b + s.unitLen(tail)
}

// gluedUnit measures all that could be unit text, as far as a unit can reach.
func gluedUnit(rest string) int {
	for i, r := range rest {
		if i > maxUnitText || !isWordRune(r) && !isUnitRune(r) && !strings.ContainsRune("·*/^⁻⁰¹²³⁴⁵⁶⁷⁸⁹", r) && !(r == '-' && i > 0 && joinsUnit(rest, i)) {
			return i
		}
	}
	return len(rest)
}

// unitLen measures glued unit text: the longest start of it that is a unit, else all of it up to the first sign.
func (s *scanner) unitLen(rest string) int {
	end := gluedUnit(rest)
	for cut := end; cut > 0; cut = strings.LastIndexAny(rest[:cut], "/*-^") {
		if s.isUnit(rest[:cut]) {
			return cut
		}
	}
	if sign := strings.IndexAny(rest[:end], "/*-"); sign >= 0 {
		return sign
	}
	return max(end, wordLen(rest))
}

// joinsUnit tells whether the minus at i belongs to unit text: it negates a power, or joins letters as in lb-ft.
func joinsUnit(s string, i int) bool {
	if s[i-1] == '^' {
		return true
	}
	next := i+1 < len(s) && ('a' <= s[i+1] && s[i+1] <= 'z' || isDigit(s[i+1]))
	return next && 'a' <= s[i-1] && s[i-1] <= 'z'
}

// numberLen measures the number that rest begins with, without its unit; mixed tells that it is one such as 2-3/16.
func numberLen(rest string) (n int, mixed bool) {
	if rest[0] == '-' || rest[0] == '+' {
		n = 1
	}
	start := n
	n += digitsLen(rest[n:])
	if n == start {
		return n + 1 + digitsLen(rest[n+1:]) + exponentLen(rest[n+1+digitsLen(rest[n+1:]):]), false // .5
	}
	if hasFraction(rest[n:]) {
		return n + 1 + digitsLen(rest[n+1:]), false
	}
	if n < len(rest) && rest[n] == '-' {
		if whole := digitsLen(rest[n+1:]); whole > 0 && hasFraction(rest[n+1+whole:]) {
			n += 1 + whole
			return n + 1 + digitsLen(rest[n+1:]), true
		}
	}
	if n+1 < len(rest) && rest[n] == '.' && isDigit(rest[n+1]) {
		n += 1 + digitsLen(rest[n+1:])
	}
	return n + exponentLen(rest[n:]), false
}

func digitsLen(s string) int {
	n := 0
	for n < len(s) && isDigit(s[n]) {
		n++
	}
	return n
}

// hasFraction tells whether s goes on with the denominator of a fraction.
func hasFraction(s string) bool { return len(s) > 1 && s[0] == '/' && isDigit(s[1]) }

func exponentLen(s string) int {
	if len(s) < 2 || s[0] != 'e' && s[0] != 'E' {
		return 0
	}
	n := 1
	if s[n] == '-' || s[n] == '+' {
		n++
	}
	if d := digitsLen(s[n:]); d > 0 {
		return n + d
	}
	return 0
}

// dateLen measures what looks like a date: three groups of digits with one sign between them, two of which have two digits at most.
// Only 2026-03-02 is one.
func dateLen(s string) int {
	year := digitsLen(s)
	if year == 0 || year > 4 || year >= len(s) || strings.IndexByte("-./", s[year]) < 0 {
		return 0
	}
	sign := s[year]
	month := digitsLen(s[year+1:])
	end := year + 1 + month
	if month == 0 || month > 2 || end >= len(s) || s[end] != sign {
		return 0
	}
	day := digitsLen(s[end+1:])
	end += 1 + day
	if year < 3 && day != 4 || year > 2 && (day == 0 || day > 2) || end < len(s) && s[end] == '/' {
		return 0
	}
	return end
}
