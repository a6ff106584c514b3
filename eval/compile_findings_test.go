package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/dsl/diagnose"
	"github.com/brushgear/brushgear/eval"
)

func TestAcceptAndSeverityAreChecked(t *testing.T) {
	for statement, want := range map[string]string{
		`shop s "S" { severity unknown_name is error  accept unknown_name "House." }`:        "",
		`kind k "K" { test t "T" { read x : V  accept unknown_name "Why not." } }`:           "",
		`shop s "S" { severity unknown_nam is error }`:                                       "there is no finding unknown_nam; did you mean unknown_name?",
		`shop s "S" { severity no_source is error severity no_source is hint }`:              "the severity of no_source stands twice; leave one out",
		`shop s "S" { severity unknown_name is fatal }`:                                      "there is no severity fatal; write error, warning or hint",
		`kind k "K" { severity unknown_name is error }`:                                      "how much a finding matters is a rule of a shop",
		`kind k "K" { fault f "F" { accept unknown_name " " } }`:                             "this finding is accepted without a reason",
		`kind k "K" { accept nothing_known "Why not." }`:                                     "there is no finding nothing_known",
		`accept unknown_name "Why not."`:                                                     "this statement stands outside of any kind or family",
		`kind k "K" { variant v "V" when serial at least "5" { accept nothing_at "All." } }`: "there is no finding nothing_at",
	} {
		f, err := dsl.Parse("x.sheet", []byte("brushgear 1\n"+statement+"\n"))
		require.NoError(t, err, statement)
		_, err = eval.Compile([]*dsl.File{f})
		if want == "" {
			require.NoError(t, err, statement)
			continue
		}
		require.ErrorContains(t, err, want, statement)
	}
}

// Where a name that is meant is near, the finding suggests the edit.
func TestSuggestedEdits(t *testing.T) {
	for src, want := range map[string]string{
		`kind k "K" { part rotor "R"  fault f "F" { part rotr  shows t.x low } test t "T" { read x : V  limit x at least 5 V } }`: "rotor",
		`kind k "K" { test t "T" { read volts : V  limit vots at least 5 V } }`:                                                   "volts",
		`kind k "K" { test t "T" { read x : smooth | worn  limit x is smoth } }`:                                                  "smooth",
	} {
		f, err := dsl.Parse("x.sheet", []byte("brushgear 1\n"+src+"\n"))
		require.NoError(t, err, src)
		_, err = eval.Compile([]*dsl.File{f})
		var list dsl.Diagnostics
		require.ErrorAs(t, err, &list, src)
		require.Len(t, list, 1, src)
		require.Len(t, list[0].Edits, 1, list[0].Error())
		require.Equal(t, want, list[0].Edits[0].Text)
		text, mended := diagnose.Mend("x.sheet", f.Source, diagnose.Plain(list))
		require.Len(t, mended, 1)
		f, err = dsl.Parse("x.sheet", []byte(text))
		require.NoError(t, err)
		_, err = eval.Compile([]*dsl.File{f})
		require.NoError(t, err, text)
	}
}
