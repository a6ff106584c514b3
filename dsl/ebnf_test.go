package dsl

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// An ebnfNode is a part of the grammar of LANGUAGE.md: alternatives of sequences of items.
type ebnfNode struct {
	kind  string // "alternatives", "sequence", "repeated", "optional", "literal" or "symbol"
	text  string // of a literal or symbol
	parts []*ebnfNode
}

// readGrammar reads the productions of the ebnf block.
func readGrammar(t *testing.T) map[string]*ebnfNode {
	doc, err := os.ReadFile("LANGUAGE.md")
	require.NoError(t, err)
	_, block, ok := strings.Cut(string(doc), "```ebnf\n")
	require.True(t, ok)
	block, _, _ = strings.Cut(block, "```")
	r := &ebnfReader{t: t, words: regexp.MustCompile(`"[^"]*"|\w+|\S`).FindAllString(block, -1)}
	grammar := map[string]*ebnfNode{}
	for len(r.words) > 0 {
		name := r.next()
		require.Equal(t, "=", r.next(), name)
		require.Nil(t, grammar[name], name)
		grammar[name] = r.alternatives()
		require.Equal(t, ".", r.next(), name)
	}
	return grammar
}

type ebnfReader struct {
	t     *testing.T
	words []string
}

func (r *ebnfReader) next() string {
	require.NotEmpty(r.t, r.words)
	word := r.words[0]
	r.words = r.words[1:]
	return word
}

func (r *ebnfReader) alternatives() *ebnfNode {
	n := &ebnfNode{kind: "alternatives", parts: []*ebnfNode{r.sequence()}}
	for r.words[0] == "|" {
		r.next()
		n.parts = append(n.parts, r.sequence())
	}
	return n
}

func (r *ebnfReader) sequence() *ebnfNode {
	n := &ebnfNode{kind: "sequence"}
	for {
		switch word := r.words[0]; {
		case strings.Contains("|.)]}", word):
			return n
		case word == "(":
			n.parts = append(n.parts, r.bracket("alternatives", ")"))
		case word == "[":
			n.parts = append(n.parts, r.bracket("optional", "]"))
		case word == "{":
			n.parts = append(n.parts, r.bracket("repeated", "}"))
		case word[0] == '"':
			n.parts = append(n.parts, &ebnfNode{kind: "literal", text: strings.Trim(r.next(), `"`)})
		default:
			n.parts = append(n.parts, &ebnfNode{kind: "symbol", text: r.next()})
		}
	}
}

func (r *ebnfReader) bracket(kind, closer string) *ebnfNode {
	r.next()
	n := &ebnfNode{kind: kind, parts: []*ebnfNode{r.alternatives()}}
	require.Equal(r.t, closer, r.next())
	return n
}

// A speaker makes random sentences of the grammar.
type speaker struct {
	grammar map[string]*ebnfNode
	rand    *rand.Rand
	words   []string
	budget  int // of symbols; what can be left out is, once it is spent
}

// terminals are the symbols that the grammar does not define. Names are words of the language where these can be names.
var terminals = map[string][]string{
	"name":   {"alpha", "b_2", "größe", "rest", "run", "limit", "at", "by", "when", "row", "to", "above", "first", "always", "test"},
	"word":   {"good", "low", "one_high", "lit", "set", "part", "new", "within"},
	"text":   {`"a text"`, `"a \"quoted\" text"`, `""`},
	"number": {"1", "12"},
	"qty":    {"5 V", "5V", "12", "1/4 in", "2-3/16 in", "0.5 %", "20 mV/K", "2 digits", "3.1e-2 Ω", "12 lb-ft"},
	"date":   {"2026-03-02", "1998-12-31"},
	"unit":   {"°C", "%", "lbf·ft", "mV/K", "V"},
}

func (s *speaker) say(n *ebnfNode) {
	s.budget--
	switch n.kind {
	case "literal":
		s.words = append(s.words, n.text)
	case "symbol":
		if choices := terminals[n.text]; choices != nil {
			s.words = append(s.words, choices[s.rand.IntN(len(choices))])
			return
		}
		s.say(s.grammar[n.text])
	case "sequence":
		for _, part := range n.parts {
			s.say(part)
		}
	case "alternatives":
		s.say(s.choose(n.parts))
	case "optional":
		if s.budget > 0 && s.rand.IntN(2) == 0 {
			s.say(n.parts[0])
		}
	case "repeated":
		once := slices.Clone(n.parts[0].parts)
		for s.budget > 0 && s.rand.IntN(2) == 0 {
			if n.parts[0].kind != "alternatives" {
				s.say(n.parts[0])
			} else if len(once) > 0 {
				at := s.rand.IntN(len(once))
				s.say(once[at])
				once = slices.Delete(once, at, at+1)
			}
		}
	}
}

// choose takes any part, and one that soon ends once the budget is spent.
func (s *speaker) choose(parts []*ebnfNode) *ebnfNode {
	if s.budget > 0 {
		return parts[s.rand.IntN(len(parts))]
	}
	return slices.MinFunc(parts, func(a, b *ebnfNode) int { return s.depth(a, 12) - s.depth(b, 12) })
}

// depth is how many productions the shortest sentence of n goes through, at most limit.
func (s *speaker) depth(n *ebnfNode, limit int) int {
	if limit <= 0 {
		return 0
	}
	deepest := 0
	switch n.kind {
	case "symbol":
		if terminals[n.text] == nil {
			return 1 + s.depth(s.grammar[n.text], limit-1)
		}
	case "sequence":
		for _, part := range n.parts {
			deepest = max(deepest, s.depth(part, limit))
		}
	case "alternatives":
		deepest = limit
		for _, part := range n.parts {
			deepest = min(deepest, s.depth(part, limit))
		}
	}
	return deepest
}

// firstWords returns the literals that a sentence of n can begin with.
func firstWords(grammar map[string]*ebnfNode, n *ebnfNode) []string {
	switch n.kind {
	case "literal":
		return []string{n.text}
	case "symbol":
		if terminals[n.text] != nil {
			return nil
		}
		return firstWords(grammar, grammar[n.text])
	case "sequence":
		return firstWords(grammar, n.parts[0])
	}
	var words []string
	for _, part := range n.parts {
		words = append(words, firstWords(grammar, part)...)
	}
	return words
}

// Grammar symbols of the statements that each scope holds.
var scopeSymbols = map[string]*scope{"decl": declScope, "tstmt": testScope, "fstmt": faultScope, "mstmt": remedyScope, "rstmt": recordScope}

// The grammar and the parser know the same statements.
func TestGrammarStatements(t *testing.T) {
	grammar := readGrammar(t)
	for symbol, sc := range scopeSymbols {
		words := firstWords(grammar, grammar[symbol])
		if sc == declScope {
			words = append(words, "use")
		}
		slices.Sort(words)
		require.Equal(t, sc.words, words, symbol)
	}
	for name, n := range grammar {
		requireDefined(t, grammar, name, n)
	}
}

// Every word in the grammar is a word of the parser and the reverse, but for the pseudo-units and the first word of a file.
func TestGrammarWords(t *testing.T) {
	literals := map[string]bool{"digits": true, "u": true}
	for _, n := range readGrammar(t) {
		collectLiterals(n, literals)
	}
	delete(literals, "brushgear")
	maps.DeleteFunc(literals, func(w string, _ bool) bool { return wordLen(w) == 0 })
	require.Equal(t, slices.Sorted(maps.Keys(languageWords)), slices.Sorted(maps.Keys(literals)))
}

func collectLiterals(n *ebnfNode, into map[string]bool) {
	if n.kind == "literal" {
		into[n.text] = true
	}
	for _, part := range n.parts {
		collectLiterals(part, into)
	}
}

func requireDefined(t *testing.T, grammar map[string]*ebnfNode, name string, n *ebnfNode) {
	if n.kind == "symbol" && terminals[n.text] == nil {
		require.NotNil(t, grammar[n.text], "%s uses %s", name, n.text)
	}
	for _, part := range n.parts {
		requireDefined(t, grammar, name, part)
	}
}

// Whatever the grammar allows, the parser reads, and the formatter keeps.
func TestGrammarSentences(t *testing.T) {
	grammar := readGrammar(t)
	const sentences = 40 // of each statement
	for symbol, sc := range scopeSymbols {
		for i, statement := range grammar[symbol].parts {
			s := &speaker{grammar: grammar, rand: rand.New(rand.NewPCG(uint64(i), uint64(len(symbol))))}
			for range sentences {
				s.words, s.budget = nil, 40
				s.say(statement)
				src := "brushgear 1\n" + inScope(sc, strings.Join(s.words, " ")) + "\n"
				ds := findingsOf(t, src)
				if len(ds) > 0 && ds[0].Code == CodeWordOr {
					continue // the one rule that the grammar says in words
				}
				require.Empty(t, ds, src)
				requireFormatKeeps(t, src)
			}
		}
	}
}

// Of the whole grammar, as lines of a file.
func TestGrammarFiles(t *testing.T) {
	grammar := readGrammar(t)
	for seed := range uint64(200) {
		s := &speaker{grammar: grammar, rand: rand.New(rand.NewPCG(seed, 1)), budget: 300}
		s.say(&ebnfNode{kind: "repeated", parts: []*ebnfNode{{kind: "symbol", text: "decl"}}})
		src := "brushgear 1\n" + strings.Join(s.words, " ")
		if ds := findingsOf(t, src); len(ds) > 0 && ds[0].Code != CodeWordOr {
			require.Fail(t, fmt.Sprint(ds), src)
		}
	}
}
