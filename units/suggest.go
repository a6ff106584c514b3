package units

import (
	"slices"
	"strings"
	"unicode/utf8"
)

const longestWord = 64 // letters; longer ones get no suggestion

// Nearest returns the word of words that word was most likely meant to be. Case and accents do not count. Beyond that, words of up to
// three letters must agree; those of four to six may differ in one place, of seven to nine in two, longer ones in three. Two
// neighbours swapped count as one difference. Of several as near the first is returned. False means that none is near.
func Nearest(word string, words []string) (string, bool) {
	w := foldCase(word)
	best, least := -1, tolerance(len(w))+1
	for i, candidate := range words {
		if len(candidate) > utf8.UTFMax*(longestWord+least) {
			continue
		}
		if d := distance(w, foldCase(candidate), least); d < least {
			best, least = i, d
		}
	}
	if best < 0 {
		return "", false
	}
	return words[best], true
}

// tolerance is how many differences a word of n letters may have.
func tolerance(n int) int {
	switch {
	case n == 0 || n > longestWord:
		return -1
	case n <= 3:
		return 0
	case n <= 6:
		return 1
	case n <= 9:
		return 2
	}
	return 3
}

// accents maps accented letters to the plain ones; the standard library has no normal forms.
var accents = strings.NewReplacer(
	"à", "a", "á", "a", "â", "a", "ã", "a", "ä", "a", "å", "a", "ç", "c", "è", "e", "é", "e", "ê", "e", "ë", "e",
	"ì", "i", "í", "i", "î", "i", "ï", "i", "ñ", "n", "ò", "o", "ó", "o", "ô", "o", "õ", "o", "ö", "o", "ø", "o",
	"ù", "u", "ú", "u", "û", "u", "ü", "u", "ý", "y", "ÿ", "y", "ß", "ss", "µ", "u", "μ", "u",
)

// foldCase takes case and accents from a word.
func foldCase(word string) []rune {
	return []rune(accents.Replace(strings.ToLower(word)))
}

// distance counts the letters to insert, drop, replace or swap with a neighbour to get from a to b; limit stands for that and more.
func distance(a, b []rune, limit int) int {
	if d := len(a) - len(b); limit <= 0 || d >= limit || -d >= limit {
		return limit
	}
	// Three rows of the table are enough: the one before last is for the swaps.
	var rows [3][2*longestWord + 1]int
	before, last, row := rows[0][:], rows[1][:], rows[2][:]
	for j := range b {
		last[j+1] = j + 1
	}
	for i := range a {
		row[0] = i + 1
		least := row[0]
		for j := range b {
			row[j+1] = last[j]
			if a[i] != b[j] {
				row[j+1] = 1 + min(row[j], last[j+1], last[j])
			}
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
			least = min(least, row[j+1])
		}
		if least >= limit {
			return limit
		}
		before, last, row = last, row, before
	}
	return min(limit, last[len(b)])
}

// unknownUnit reports word, a part of input, with what it may have meant: every unit that differs in case only, else the nearest.
func unknownUnit(input, word string) *UnitError {
	e := &UnitError{Input: input, Msg: "there is no unit " + quote(word)}
	w := foldCase(word)
	best, least := "", tolerance(len(w))+1
	for i, spelling := range catalogue().spellings {
		d := distance(w, catalogue().folded[i], least)
		if d >= least {
			continue
		}
		symbol := catalogue().words[spelling].String()
		if d > 0 {
			best, least = symbol, d
		} else if !slices.Contains(e.Suggestions, symbol) {
			e.Suggestions = append(e.Suggestions, symbol)
		}
	}
	switch {
	case len(e.Suggestions) > 0:
	case best != "":
		e.Suggestions = []string{best}
	default:
		e.Hint = "write a unit such as V, A, Ω, mm or °C"
	}
	return e
}
