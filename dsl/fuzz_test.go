package dsl

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// seeds adds the declarations of the sheets one by one, the forms of all statements, the mistakes of testdata/errors.sheet and the examples
// of the codes.
func seeds(f *testing.F) {
	for _, src := range corpus(f) {
		for _, decl := range mustParse(f, src).Decls {
			block, ok := decl.(*Block)
			if !ok {
				continue
			}
			for _, stmt := range block.Body {
				r := stmt.Span()
				f.Add("brushgear 1\n" + src[r.Pos.Offset:r.EndPos.Offset])
			}
		}
	}
	for _, sc := range allScopes {
		for _, word := range sc.words {
			f.Add("brushgear 1\n" + inScope(sc, sc.statements[word].source()))
		}
	}
	src, err := os.ReadFile("testdata/errors.sheet")
	require.NoError(f, err)
	for chunk := range strings.SplitSeq(string(src), "---\n") {
		f.Add("brushgear 1\n" + chunk)
	}
	for info := range Codes() {
		f.Add(info.Example)
	}
}

// source is the form of a statement as it can be parsed.
func (prod *production) source() string { return strings.Replace(prod.form, "{ ... }", "{ }", 1) }

// inScope puts a statement into a block that can hold it.
func inScope(sc *scope, statement string) string {
	switch sc {
	case testScope:
		return "test t \"T\" {\n" + statement + "\n}"
	case faultScope:
		return "fault f \"F\" {\n" + statement + "\n}"
	case remedyScope:
		return "remedy r \"R\" {\n" + statement + "\n}"
	case recordScope:
		return "record \"r\" of f {\n" + statement + "\n}"
	}
	return statement
}

// Each statement can be written as its messages say.
func TestForms(t *testing.T) {
	for _, sc := range allScopes {
		for _, word := range sc.words {
			prod := sc.statements[word]
			require.Equal(t, prod.inner != nil || word == "replace", strings.HasSuffix(prod.form, "{ ... }"), prod.form)
			require.True(t, strings.HasPrefix(prod.form, word+" "), prod.form)
			src := "brushgear 1\n" + inScope(sc, prod.source())
			requireFormatKeeps(t, src)
		}
	}
}

func FuzzParse(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, src string) {
		file, err := Parse("fuzz.sheet", []byte(src))
		require.NotNil(t, file)
		require.Equal(t, err == nil, len(file.Diagnostics()) == 0)
		requireTokensCover(t, src)
		requireSoundTree(t, file)
		requireNothingLost(t, file)
		for _, d := range file.Diagnostics() {
			require.NotEmpty(t, d.Message)
			require.NotEmpty(t, d.Help, "%v", d)
			_, ok := Explain(d.Code)
			require.True(t, ok, d.Code)
			require.LessOrEqual(t, d.Range.Pos.Offset, d.Range.EndPos.Offset)
			require.LessOrEqual(t, d.Range.Pos.Offset, len(src))
		}
	})
}

// requireNothingLost checks that all tokens but the version and stray braces belong to a declaration.
func requireNothingLost(tb testing.TB, f *File) {
	tb.Helper()
	toks := slices.DeleteFunc(tokensOf(f.Source), func(t token) bool { return isTrivia(t) || t.Value == "}" })
	if f.Version > 0 {
		toks = toks[2:]
	}
	decls := f.Decls
	for _, t := range toks {
		for len(decls) > 0 && decls[0].Span().EndPos.Offset <= t.Pos.Offset {
			decls = decls[1:]
		}
		require.NotEmpty(tb, decls, "%v belongs to nothing", t)
		require.GreaterOrEqual(tb, t.Pos.Offset, decls[0].Span().Pos.Offset, "%v belongs to nothing", t)
	}
}

func FuzzFormat(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, src string) {
		if _, err := Parse("fuzz.sheet", []byte(src)); err == nil {
			requireFormatKeeps(t, src)
		}
	})
}
