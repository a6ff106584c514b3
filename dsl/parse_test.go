package dsl

import (
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"
)

func TestCorpusParses(t *testing.T) {
	for name, src := range corpus(t) {
		t.Run(name, func(t *testing.T) {
			f := mustParse(t, src)
			requireSoundTree(t, f)
			joined, err := Parse(name, []byte(withoutNewlines(src)))
			require.NoError(t, err, "newlines mean nothing")
			requireSoundTree(t, joined)
			if diff := cmp.Diff(f, joined, sameTree); diff != "" {
				t.Fatalf("newlines changed the tree:\n%s", diff)
			}
		})
	}
}

// requireSoundTree checks that nodes lie inside the source and inside each other, in order, and that Bad nodes hold their text.
func requireSoundTree(tb testing.TB, f *File) {
	tb.Helper()
	end := 0
	for _, d := range f.Decls {
		require.GreaterOrEqual(tb, d.Span().Pos.Offset, end, "declarations come in order")
		end = d.Span().EndPos.Offset
	}
	walk(f.Decls, func(n Node, around []Node) {
		r := n.Span()
		require.LessOrEqual(tb, 0, r.Pos.Offset, "%T", n)
		require.LessOrEqual(tb, r.Pos.Offset, r.EndPos.Offset, "%T", n)
		require.LessOrEqual(tb, r.EndPos.Offset, len(f.Source), "%T", n)
		require.Equal(tb, 1+strings.Count(f.Source[:r.Pos.Offset], "\n"), r.Pos.Line, "%T", n)
		if len(around) > 0 {
			outer := around[len(around)-1].Span()
			require.LessOrEqual(tb, outer.Pos.Offset, r.Pos.Offset, "%T in %T", n, around[len(around)-1])
			require.GreaterOrEqual(tb, outer.EndPos.Offset, r.EndPos.Offset, "%T in %T", n, around[len(around)-1])
		}
		if bad, ok := n.(*Bad); ok {
			require.Equal(tb, f.Source[r.Pos.Offset:r.EndPos.Offset], bad.Text)
		}
	})
}

func TestSpansAreTight(t *testing.T) {
	const src = "brushgear 1\nkind k { # c\n  limit x at most 5 V  # d\n  replace test t \"T\" { takes 5 min }\n}  # e\n"
	f := mustParse(t, src)
	text := func(n Node) string { return src[n.Span().Pos.Offset:n.Span().EndPos.Offset] }
	k := f.Decls[0].(*Block)
	require.Equal(t, strings.TrimSuffix(src[12:], "  # e\n"), text(k))
	limit := k.Body[0].(*Limit)
	require.Equal(t, "limit x at most 5 V", text(limit))
	require.Equal(t, "x", text(limit.Ref))
	require.Equal(t, "at most 5 V", text(limit.Shape))
	require.Equal(t, "5 V", text(limit.Shape.(*Compare).Bound))
	replace := k.Body[1].(*Replace)
	require.Equal(t, `replace test t "T" { takes 5 min }`, text(replace))
	require.Equal(t, `test t "T" { takes 5 min }`, text(replace.Decl))
}

// What looks ambiguous in the language and is not.
func TestTraps(t *testing.T) {
	inTest := func(body string) string { return "brushgear 1\ntest t \"T\" {\n" + body + "\n}" }
	inRecord := func(body string) string {
		return "brushgear 1\nrecord \"R\" of f {\npass as found {\n" + body + "\n}\n}"
	}
	good := []struct{ name, src string }{
		{"inches", inTest("limit gap 1/4 in to 2-3/16 in")},
		{"trade nouns as names", inTest("read drop : V\nread rest : V\nread run : A\nread slip : %\nread limit : V\nlet part = drop / rest\nlimit run at most 5 A\nlimit limit at most 5 V")},
		{"statement words as tests", inRecord("taken rest.run 5 A\ntaken run.rest 5 A at supply 12 V\nskip limit.part no_time")},
		{"statement word after a point", inTest("outcome low when battery.limit is low and other.test is good")},
		{"tail words as names", inTest("read row : V\nread at : V\nread new : V\nread back : V\nlet by = row / at\nlimit back new 5 V")},
		{"first unit left out", "brushgear 1\nlimit x 1.9 to 2.2 Ω at temp 20 °C"},
		{"second unit in brackets", "brushgear 1\nlimit x at most 0.010 in (0.254 mm) new at most 0.004 in (0.102 mm) per sheet_3"},
		{"coefficient", inTest("correct gravity by linear (-20 mV per 1 K) from temp to 20 °C")},
		{"coefficient in a formula", inTest("limit volts within 28.2 V - 20 mV/K * (temp - 25 °C) ± 0.4 V")},
		{"number before a statement", inTest("outcome one when count(x) is 2 outcome two when count(x) is 3 takes 5 min needs supply")},
		{"unit before a statement", inTest("run at most 20 s rest 2 min step \"Wait.\" takes 4 min across a to b")},
		{"optional title before a statement", "brushgear 1\npositions phase : u, v, w positions pair \"pair\" : a, b kind k { set x 1 }"},
		{"sign of a condition", inTest("limit x at least 5 V at temp -20 °C")},
		{"negative reading", inRecord("taken a.b -3.1 mV at temp -5 °C\ntaken c.d (-1 -2 missing OL > 3 mV)")},
		{"bare name before or", inTest("outcome low when whole or x is low")},
		{"word alternatives", inTest("outcome low when x is wye | delta or y is low")},
		{"range of a reading", inRecord("taken a.b 20 to 60 MΩ\ntaken a.c 1.1 A to 4.0 A jumping")},
		{"amended reading", inRecord("taken a.b 4.2 A at supply 12 V with am4 was 42 A by \"bench 2\" on 2026-03-05 because \"point misplaced\"")},
		{"performance", inRecord("taken free_run { current 82 A, speed 3120 rpm } at supply 11.0 V")},
		{"words that continue on the next line", inRecord("taken a.b 4.2 A\n  at supply 12 V\n  with am4")},
		{"coulomb and farad are units too", inTest("limit charge at most 20 C\nlimit x at most 80 F")},
		{"comments anywhere", inTest("limit # a\n x # b\n at most # c\n 5 V # d")},
		{"pseudo-units", "brushgear 1\ninstrument m : V accuracy ± (0.5 % + 2 digits) digit 0.01 V\ndecide guard 1.65 u"},
	}
	for _, tt := range good {
		t.Run(tt.name, func(t *testing.T) { requireSoundTree(t, mustParse(t, tt.src)) })
	}
	bad := []struct{ name, src, help string }{
		{"name on the next line", "brushgear 1\nkind\nkind k {}", "write it as in"},
		{"unit on the next line is a statement of its own", "brushgear 1\nset x 5\nV", "statements here begin"},
		{"grouped digits", "brushgear 1\nset x 40 000", "write 40000"},
		{"glued sign", inTest("let y = volts -20 mV/K * temp"), "blanks on both sides"},
		{"glued range", "brushgear 1\nlimit x 5 V-8 V", "write to"},
		{"words joined by or", inTest("outcome low when connection is wye or delta"), "wye | delta"},
		{"meter is no unit", inRecord("taken gap.width 5 meter"), "write m"},
		{"a sign before a name", inTest("let y = -x"), "write"},
	}
	for _, tt := range bad {
		t.Run(tt.name, func(t *testing.T) {
			ds := findingsOf(t, tt.src)
			require.Len(t, ds, 1, "%v", ds)
			require.Contains(t, ds[0].Help, tt.help)
		})
	}
}

func TestLimits(t *testing.T) {
	nested := func(n int) string {
		return "brushgear 1\n" + strings.Repeat("kind k {\n", n) + strings.Repeat("}\n", n)
	}
	code := func(l Limits, src string) Code {
		f, err := l.Parse("test.sheet", []byte(src))
		if err == nil {
			return ""
		}
		require.NotNil(t, f)
		return f.Diagnostics()[0].Code
	}
	require.Empty(t, code(Limits{}, nested(63)))
	require.Equal(t, CodeTooDeep, code(Limits{}, nested(64)))
	require.Empty(t, code(Limits{Depth: 3}, nested(2)))
	require.Equal(t, CodeTooDeep, code(Limits{Depth: 3}, nested(3)))

	require.Empty(t, code(Limits{Bytes: 12}, "brushgear 1\n"))
	require.Equal(t, CodeTooLarge, code(Limits{Bytes: 11}, "brushgear 1\n"))

	mistakes := "brushgear 1\n" + strings.Repeat("source s\n", 10)
	f, err := Limits{Diagnostics: 3}.Parse("test.sheet", []byte(mistakes))
	require.Error(t, err)
	require.Len(t, f.Diagnostics(), 4)
	require.Equal(t, CodeTooMany, f.Diagnostics()[3].Code)
	require.Len(t, f.Decls, 10, "the tree is whole nevertheless")
	f, _ = Limits{Diagnostics: 10}.Parse("test.sheet", []byte(mistakes))
	require.Len(t, f.Diagnostics(), 10)
	require.Equal(t, CodeUnexpected, f.Diagnostics()[9].Code)
	lexical := "brushgear 1\n" + strings.Repeat("limit x 5,5 V\n", 10)
	f, _ = Limits{Diagnostics: 3}.Parse("test.sheet", []byte(lexical))
	require.Equal(t, CodeTooMany, f.Diagnostics()[3].Code)
}

func TestDiagnosticsError(t *testing.T) {
	_, err := Parse("a.sheet", []byte("brushgear 1\nsource s\nsource t\n"))
	require.EqualError(t, err, `a.sheet:2:8: a text in "..." is missing after the word "s"; write it as in: source bench_sheet_3 "Bench sheet 3" edition "2" from 2011-04-01 [unexpected] (and 1 more)`)
	var d *Diagnostic
	require.True(t, errors.As(err, &d))
	require.Equal(t, 2, d.Range.Pos.Line)
	require.NoError(t, Diagnostics{}.Err())
	require.NoError(t, Diagnostics{{Severity: Warning}}.Err())
	require.EqualError(t, Diagnostics{{Severity: Warning}}, "no findings")
	data, err := d.MarshalJSON()
	require.NoError(t, err)
	require.JSONEq(t, `{"code":"unexpected","severity":"error","from":{"file":"a.sheet","offset":19,"line":2,"column":8},"to":{"file":"a.sheet","offset":20,"line":2,"column":9},
		"message":"a text in \"...\" is missing after the word \"s\"","help":"write it as in: source bench_sheet_3 \"Bench sheet 3\" edition \"2\" from 2011-04-01"}`, string(data))
}

// Parsing shares the grammar, which is built on first use, and nothing else.
func TestParseConcurrently(t *testing.T) {
	files := corpus(t)
	want := map[string]*File{}
	for name, src := range files {
		want[name] = mustParse(t, src)
	}
	var group sync.WaitGroup
	failures := make(chan string, 32)
	for range 32 {
		group.Go(func() {
			for name, src := range files {
				f, err := Parse("test.sheet", []byte(src))
				if err != nil || len(f.Decls) != len(want[name].Decls) {
					failures <- fmt.Sprint(name, err)
					return
				}
				if _, err := f.Format(); err != nil {
					failures <- fmt.Sprint(name, err)
					return
				}
				if _, err := Parse("bad.sheet", []byte(src+"}")); err == nil {
					failures <- name + " with a brace too many"
					return
				}
			}
		})
	}
	group.Wait()
	close(failures)
	for f := range failures {
		t.Error(f)
	}
}
