package dsl

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/alecthomas/participle/v2/lexer"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/units"
)

// corpus returns the sheets of the project by file name.
func corpus(tb testing.TB) map[string]string {
	tb.Helper()
	names, err := filepath.Glob("../testdata/sheets/*.sheet")
	require.NoError(tb, err)
	require.NotEmpty(tb, names)
	files := map[string]string{}
	for _, name := range names {
		src, err := os.ReadFile(name)
		require.NoError(tb, err)
		files[filepath.Base(name)] = string(src)
	}
	return files
}

// mustParse returns the tree of a source that must be free of findings.
func mustParse(tb testing.TB, src string) *File {
	tb.Helper()
	f, err := Parse("test.sheet", []byte(src))
	require.NoError(tb, err, src)
	return f
}

// findingsOf returns the diagnostics of a source, which may have none.
func findingsOf(tb testing.TB, src string) Diagnostics {
	tb.Helper()
	f, err := Parse("test.sheet", []byte(src))
	if err == nil {
		require.Empty(tb, f.Diagnostics())
		return nil
	}
	var ds Diagnostics
	require.True(tb, errors.As(err, &ds))
	require.Equal(tb, f.Diagnostics(), ds)
	return ds
}

// tokensOf returns all tokens of a source but EOF.
func tokensOf(src string) []token {
	s := newScanner("test.sheet", src, 100)
	var toks []token
	for {
		t, _ := s.Next()
		if t.EOF() {
			return toks
		}
		toks = append(toks, t)
	}
}

func isTrivia(t token) bool { return t.Type == tokBlank || t.Type == tokComment }

// sameTree compares trees without their places; numbers and units count by their uniform spelling.
var sameTree = cmp.Options{
	cmpopts.IgnoreTypes(Range{}, stmtNode{}, exprNode{}, predNode{}),
	cmpopts.IgnoreUnexported(File{}),
	cmpopts.IgnoreFields(File{}, "Name", "Source"),
	cmp.FilterPath(func(p cmp.Path) bool {
		s := p.Last().String()
		return s == ".Text" && p.Index(-2).Type() == reflect.TypeFor[Qty]() || s == ".Num"
	}, cmp.Transformer("uniform", func(s string) string {
		if s == "" {
			return ""
		}
		return uniform(s)
	})),
	cmp.Transformer("type", func(t Type) []string {
		var alts []string
		for _, alt := range t.Alts {
			if alt[0] >= '0' && alt[0] <= '9' || alt[0] == '-' || alt[0] == '+' || alt[0] == '.' {
				alt = uniform(alt)
			} else if u, err := units.ParseUnit(alt); err == nil && len(t.Alts) == 1 {
				alt = u.String()
			}
			alts = append(alts, alt)
		}
		return alts
	}),
}

// withoutNewlines puts a whole source on one line, its comments stripped.
func withoutNewlines(src string) string {
	var b strings.Builder
	for _, t := range tokensOf(src) {
		switch t.Type {
		case tokBlank:
			b.WriteByte(' ')
		case tokComment:
		default:
			b.WriteString(t.Value)
		}
	}
	return b.String()
}

// walk calls f for every node under v, outer nodes first, with the nodes around it.
func walk(v any, f func(n Node, around []Node)) { walkValue(reflect.ValueOf(v), nil, f) }

func walkValue(v reflect.Value, around []Node, f func(Node, []Node)) {
	switch v.Kind() {
	case reflect.Interface:
		walkValue(v.Elem(), around, f)
	case reflect.Pointer:
		if v.IsNil() {
			return
		}
		if n, ok := v.Interface().(Node); ok {
			f(n, around)
			around = append(around[:len(around):len(around)], n)
		}
		walkValue(v.Elem(), around, f)
	case reflect.Slice:
		for i := range v.Len() {
			walkValue(v.Index(i), around, f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				walkValue(v.Field(i), around, f)
			}
		}
	}
}

func TestTokenNamesCoverAllTypes(t *testing.T) {
	seen := map[lexer.TokenType]bool{}
	for _, typ := range tokenNames {
		seen[typ] = true
	}
	for typ := tokWord; typ >= tokBlank; typ-- {
		require.True(t, seen[typ], "token type %d has no name", typ)
	}
}
