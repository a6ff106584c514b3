package dsl

import (
	"go/ast"
	goparser "go/parser"
	gotoken "go/token"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every example of a code of the parser has the finding it is an example of, and no other.
func TestCodeExamples(t *testing.T) {
	without := map[Code]bool{CodeTooDeep: true, CodeTooLarge: true, CodeTooMany: true}
	for info := range Codes() {
		if info.Stage != ParseStage {
			continue
		}
		t.Run(string(info.Code), func(t *testing.T) {
			require.Equal(t, without[info.Code], info.Example == "")
			if info.Example == "" {
				return
			}
			_, err := ParseFS(mapFS(map[string]string{"example.sheet": info.Example}), "example.sheet")
			var ds Diagnostics
			require.ErrorAs(t, err, &ds)
			require.Len(t, ds, 1, "%v", ds)
			require.Equal(t, info.Code, ds[0].Code, "%v", ds[0])
		})
	}
}

func TestCodeStyle(t *testing.T) {
	seen := map[Code]bool{}
	for info := range Codes() {
		require.False(t, seen[info.Code], "%s is explained twice", info.Code)
		seen[info.Code] = true
		require.Regexp(t, regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`), string(info.Code))
		require.Contains(t, []CodeStage{ParseStage, CheckStage, ProveStage, RecordStage}, info.Stage, info.Code)
		require.NotRegexp(t, regexp.MustCompile(`^[A-Z]|\.$`), info.Title, info.Code)
		require.Regexp(t, regexp.MustCompile(`^[A-Z][^\n]*\.$`), info.Why, info.Code)
		got, ok := Explain(info.Code)
		require.True(t, ok)
		require.Equal(t, info, got)
	}
	_, ok := Explain("no-such-code")
	require.False(t, ok)
}

// Every constant of a code is in the table.
func TestCodesAreExplained(t *testing.T) {
	names, err := filepath.Glob("codes*.go")
	require.NoError(t, err)
	names = slices.DeleteFunc(names, func(name string) bool { return strings.HasSuffix(name, "_test.go") })
	require.Greater(t, len(names), 2)
	var decls []ast.Decl
	for _, name := range names {
		file, err := goparser.ParseFile(gotoken.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		decls = append(decls, file.Decls...)
	}
	count := 0
	for _, decl := range decls {
		decl, ok := decl.(*ast.GenDecl)
		if !ok || decl.Tok != gotoken.CONST {
			continue
		}
		for _, spec := range decl.Specs {
			spec := spec.(*ast.ValueSpec)
			if typ, ok := spec.Type.(*ast.Ident); !ok || typ.Name != "Code" {
				continue
			}
			code, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
			require.NoError(t, err)
			_, ok := Explain(Code(code))
			require.True(t, ok, "%s is not explained", code)
			count++
		}
	}
	require.Greater(t, count, 40)
}
