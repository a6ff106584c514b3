package dsl

import (
	"flag"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the generated part of LANGUAGE.md")

func languageDoc(t *testing.T) string {
	doc, err := os.ReadFile("LANGUAGE.md")
	require.NoError(t, err)
	return string(doc)
}

// chapter returns the part of the document from one heading to the next of its level.
func chapter(t *testing.T, doc, heading string) string {
	_, text, ok := strings.Cut(doc, "\n## "+heading)
	require.True(t, ok, heading)
	text, _, _ = strings.Cut(text, "\n## ")
	return text
}

var fencePattern = regexp.MustCompile("(?s)```sheet( fragment (\\w+))?\n(.*?)```")

// Every example parses, is in the uniform layout, and together they show every statement.
func TestLanguageExamples(t *testing.T) {
	scopes := map[string]*scope{}
	for _, sc := range allScopes {
		scopes[sc.name] = sc
	}
	shown := map[*scope]map[string]bool{}
	show := func(sc *scope, word string) {
		if shown[sc] == nil {
			shown[sc] = map[string]bool{}
		}
		shown[sc][word] = true
	}
	for _, m := range fencePattern.FindAllStringSubmatch(languageDoc(t), -1) {
		text := m[3]
		if m[2] != "" {
			require.NotNil(t, scopes[m[2]], m[2])
			text = "brushgear 1\n" + inScope(scopes[m[2]], m[3]) + "\n"
		}
		f := mustParse(t, text)
		requireFormatKeeps(t, text)
		if m[2] == "" {
			out, err := f.Format()
			require.NoError(t, err)
			require.Equal(t, text, string(out))
		}
		walkStatements(f.Decls, declScope, func(sc *scope, n Stmt) {
			word := f.Source[n.Span().Pos.Offset:]
			show(sc, word[:wordLen(word)])
		})
	}
	for _, sc := range allScopes {
		require.Equal(t, sc.words, slices.Sorted(maps.Keys(shown[sc])), "statements of a %s that LANGUAGE.md shows", sc.name)
	}
}

// walkStatements calls f for all statements with the scope they stand in.
func walkStatements(body []Stmt, sc *scope, f func(*scope, Stmt)) {
	for _, st := range body {
		f(sc, st)
		switch n := st.(type) {
		case *Block:
			walkStatements(n.Body, declScope, f)
		case *Variant:
			walkStatements(n.Body, declScope, f)
		case *Under:
			walkStatements(n.Body, declScope, f)
		case *Replace:
			walkStatements([]Stmt{n.Decl}, declScope, f)
		case *Test:
			walkStatements(n.Body, testScope, f)
		case *Fault:
			walkStatements(n.Body, faultScope, f)
		case *Effect:
			walkStatements(n.Body, faultScope, f)
		case *Remedy:
			walkStatements(n.Body, remedyScope, f)
		case *Record:
			walkStatements(n.Body, recordScope, f)
		case *Pass:
			walkStatements(n.Body, recordScope, f)
		}
	}
}

// The word lists of the document are those of the parser.
func TestLanguageWords(t *testing.T) {
	text := chapter(t, languageDoc(t), "6 Words")
	listed := func(start string) []string {
		_, rest, ok := strings.Cut(text, start)
		require.True(t, ok, start)
		rest, _, _ = strings.Cut(rest, "\n\n")
		rest, _, _ = strings.Cut(rest, "\n- ")
		var words []string
		for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(rest, -1) {
			words = append(words, m[1])
		}
		slices.Sort(words)
		return words
	}
	require.Equal(t, slices.Sorted(maps.Keys(reservedWords)), listed("Reserved"))
	var pairs []string
	for first, seconds := range terms {
		for _, second := range seconds {
			pairs = append(pairs, first+" "+second)
		}
	}
	slices.Sort(pairs)
	require.Equal(t, pairs, listed("Written as two words"))
	starts := map[*scope]string{declScope: "- of a sheet", testScope: "- of a test", faultScope: "- of a fault", remedyScope: "- of a remedy", recordScope: "- of a record"}
	for _, sc := range allScopes {
		require.Equal(t, sc.words, listed(starts[sc]))
	}
	tails := slices.DeleteFunc(slices.Clone(tailWordList), func(w string) bool { return strings.Contains(w, " ") })
	require.Equal(t, tails, listed("Inside of statements"))
}

// All codes are in the document; -update writes them.
func TestLanguageCodes(t *testing.T) {
	const begin, end = "<!-- codes: written by go test ./dsl -run Language -update -->\n", "<!-- end of codes -->"
	var table strings.Builder
	table.WriteString("| code | what is wrong | why, and what to do |\n|---|---|---|\n")
	for info := range Codes() {
		title, why := strings.ReplaceAll(info.Title, "|", `\|`), strings.ReplaceAll(info.Why, "|", `\|`)
		fmt.Fprintf(&table, "| <a id=\"%s\"></a>`%s` | %s | %s |\n", info.Code, info.Code, title, why)
	}
	doc := languageDoc(t)
	before, rest, ok := strings.Cut(doc, begin)
	require.True(t, ok)
	_, after, ok := strings.Cut(rest, end)
	require.True(t, ok)
	want := before + begin + table.String() + end + after
	if *update {
		require.NoError(t, os.WriteFile("LANGUAGE.md", []byte(want), 0o644))
		return
	}
	require.Equal(t, want, doc, "run go test ./dsl -run Language -update")
}

// Links inside the document lead somewhere.
func TestLanguageLinks(t *testing.T) {
	doc := languageDoc(t)
	anchors := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^#+ (.*)$`).FindAllStringSubmatch(doc, -1) {
		anchors[strings.ReplaceAll(strings.ToLower(regexp.MustCompile(`[^\w -]`).ReplaceAllString(m[1], "")), " ", "-")] = true
	}
	for _, m := range regexp.MustCompile(`<a id="([^"]+)">`).FindAllStringSubmatch(doc, -1) {
		anchors[m[1]] = true
	}
	links := regexp.MustCompile(`\]\(#([^)]+)\)`).FindAllStringSubmatch(doc, -1)
	require.NotEmpty(t, links)
	for _, m := range links {
		require.True(t, anchors[m[1]], m[1])
	}
}
