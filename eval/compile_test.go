package eval_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// A slip is a sheet with one mistake. The sign ^ stands before the place of the finding and is taken out before the sheet is read.
type slip struct {
	name  string
	sheet string
	code  dsl.Code
	says  string // part of what is said
}

// compileSheet compiles a sheet and returns what was found.
func compileSheet(t testing.TB, sheet string) (*eval.Bench, dsl.Diagnostics) {
	t.Helper()
	f, err := dsl.Parse("test.sheet", []byte(sheet))
	require.NoError(t, err, sheet)
	b, err := eval.Compile([]*dsl.File{f})
	if err == nil {
		return b, b.Warnings()
	}
	var list dsl.Diagnostics
	require.ErrorAs(t, err, &list)
	return nil, list
}

// requireSlips checks that each sheet has one finding, at its place, with its code, that says what to write.
func requireSlips(t *testing.T, slips []slip, wrap func(string) string) {
	t.Helper()
	for _, s := range slips {
		t.Run(s.name, func(t *testing.T) {
			sheet := wrap(s.sheet)
			before, after, marked := strings.Cut(sheet, "^")
			require.True(t, marked, "the place is not marked")
			line := strings.Count(before, "\n") + 1
			column := len([]rune(before[strings.LastIndex(before, "\n")+1:])) + 1
			_, list := compileSheet(t, before+after)
			require.Len(t, list, 1, "%v", errorsOf(list))
			d := list[0]
			require.Equal(t, s.code, d.Code, d.Error())
			require.Equal(t, []int{line, column}, []int{d.Range.Pos.Line, d.Range.Pos.Column}, d.Error())
			require.Contains(t, d.Error(), s.says)
			require.NotEmpty(t, d.Help, "%s: nothing is said of what to write", d.Message)
		})
	}
}

// requireSound checks that each sheet compiles without a finding.
func requireSound(t *testing.T, sheets map[string]string, wrap func(string) string) {
	t.Helper()
	for name, sheet := range sheets {
		t.Run(name, func(t *testing.T) {
			_, list := compileSheet(t, wrap(sheet))
			require.Empty(t, list, "%v", errorsOf(list))
		})
	}
}

// findings compiles a sheet and returns the codes of what was found, and all that was said.
func findings(t testing.TB, sheet string) (codes []string, all string) {
	t.Helper()
	_, list := compileSheet(t, sheet)
	for _, d := range list {
		codes = append(codes, string(d.Code))
	}
	return codes, strings.Join(errorsOf(list), "\n")
}

func errorsOf(list dsl.Diagnostics) []string {
	var all []string
	for _, d := range list {
		all = append(all, d.Error())
	}
	return all
}

// declared is a family that declares a little of everything; it is left open.
const declared = `brushgear 1
source old "Old sheet" until 2010-12-31
source recent "Recent sheet" from 2011-01-01
source later "Later sheet" from 2011-02-01
kind cell "Cell" {
  attribute charge : A
  condition temp : °C
  positions pole : p, n
  test rest "Rest" { read volts : V limit volts at least 12 V read w of pole : V limit w at most 2 V }
}
family unit "Unit" {
  include cell as front, rear
  attribute size : small | large
  attribute nominal : 12 V | 24 V
  attribute suffix : text
  attribute rated : A
  attribute bars : count
  condition supply : V
  condition winding_temp : °C likely -10 °C to 70 °C
  condition speed : rpm
  condition bypass : open | closed
  positions phase "phase" : u, v, w
  positions side "side" : plus, minus
  positions bar "bar" : 1 to bars
  part rotor "Rotor"
  terminal stud "Stud"
  stage opened "Opened"
  remedy fit "Fit" {
  }
  cause oil "Oil"
  instrument ohmmeter : Ω accuracy ± 1 % forbids rotor
  test other "Other" { read y : A limit y at most 3 A read w of side : V limit w at most 1 V read free : V }
`

// inTest wraps statements of a test into a family.
func inTest(stmts string) string { return declared + "  test t \"Test\" {\n" + stmts + "\n  }\n}\n" }

// inFamily wraps declarations into a family with tests that have checks of each sort.
func inFamily(decls string) string {
	return declared + `
  test t "Test" {
    read x : V limit x at most 5 V
    read y of phase : A limit y at most 3 A
    read d of side, phase both ways : V limit d.back at least 1 V
  }
  test p "Pattern" { read q : V outcome dead when q below 1 V outcome good otherwise }
  test g "Grade" { read l : mm grade l : worn below 5 mm | good }
  test look "Look" { read c : good | burnt | blue limit c is good }
  test two "Two" { read a : V limit a at most 1 V read b : V limit b at most 2 V }
  test al "Alike" { read r of phase : Ω limit r alike 3 % by mean }
  test bare "Bare" { read z : V }
` + decls + "\n}\n"
}

// whole leaves a sheet as it is.
func whole(sheet string) string { return sheet }

// codesOf compiles files and returns the codes of what was found.
func codesOf(t testing.TB, files ...*dsl.File) []dsl.Code {
	t.Helper()
	_, err := eval.Compile(files)
	var list dsl.Diagnostics
	require.ErrorAs(t, err, &list)
	var codes []dsl.Code
	for _, d := range list {
		codes = append(codes, d.Code)
	}
	return codes
}
