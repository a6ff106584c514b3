package dsl

import (
	"maps"
	"slices"
)

// The words of the language, in the roles that the lexer and the parser need to know.

// reservedWords can never be names; every other word of the language can.
var reservedWords = set("not", "each", "any", "and", "or", "is", "OL")

// terms are written as two words and read as one.
var terms = map[string][]string{
	"at":   {"least", "most"},
	"as":   {"found", "left"},
	"in":   {"work"},
	"both": {"ways"},
}

// tailWords occur inside statements, after their first word. None of them is a unit, so that they may follow a number.
var tailWords = set(
	"at least", "at most", "as found", "in work", "as left", "both ways",
	"of", "as", "when", "otherwise", "to", "by", "at", "with", "per", "on", "new", "along", "linear", "steps", "row", "up", "down",
	"above", "below", "equals", "within", "alike", "first", "after", "rest", "back", "takes", "side", "ask", "likely",
	"seen", "bought", "accuracy", "distribution", "ranges", "via", "digit", "digits", "range", "zero", "forbids", "edition", "from", "until", "status",
	"else", "for", "void", "was", "because", "jumping", "number", "due", "decade", "missing", "u",
	"always", "usually", "often", "sometimes", "seldom", "never",
)

// valueStatements take readings: a sign belongs to the number behind it, and round brackets hold a list.
var valueStatements = set("taken", "set", "pass")

// namingStatements give something its name.
var namingStatements = set("kind", "family", "shop", "variant", "attribute", "condition", "positions", "terminal", "caution", "stage", "part",
	"cause", "source", "instrument", "law", "remedy", "effect", "fault", "test", "read", "let",
	"meter")

func set(words ...string) map[string]bool {
	m := make(map[string]bool, len(words))
	for _, w := range words {
		m[w] = true
	}
	return m
}

// Sets of words that span all scopes, made once the scopes are.
var (
	tailWordList   = slices.Sorted(maps.Keys(tailWords))
	statementWords = map[string]bool{} // that begin a statement in some scope
	languageWords  = map[string]bool{} // that may follow a number without being its unit
)

// collectWords fills in what depends on the scopes.
func collectWords() {
	for _, s := range allScopes {
		s.words = slices.Sorted(maps.Keys(s.statements))
		for _, w := range s.words {
			statementWords[w] = true
			languageWords[w] = true
		}
	}
	for _, words := range []map[string]bool{tailWords, reservedWords} {
		for w := range words {
			languageWords[w] = true
		}
	}
}
