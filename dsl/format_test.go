package dsl

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestFormat(t *testing.T) {
	tests := []struct{ name, in, want string }{
		{"nothing but the version", "brushgear 1", "brushgear 1\n"},
		{"blank lines", "\n\nbrushgear 1\n\n\n\npolarity negative\n\n", "brushgear 1\n\npolarity negative\n"},
		{"blank lines inside braces", "brushgear 1\nkind a {\n\npolarity negative\n\n}\n", "brushgear 1\nkind a {\n  polarity negative\n}\n"},
		{"line ends of other systems", "\uFEFFbrushgear 1\r\npolarity\tnegative\r\n", "brushgear 1\npolarity negative\n"},
		{"blanks around signs", "brushgear 1\nrequire count(a . b[ 1,u ] above 2V)is 3 and(x+ 1)*2 at least-1 \"m\"",
			"brushgear 1\nrequire count(a.b[1, u] above 2 V) is 3 and (x + 1) * 2 at least -1 \"m\"\n"},
		{"brackets after a word", "brushgear 1\nrecord \"r\" of f { set a( 1 2 V ) }", "brushgear 1\nrecord \"r\" of f { set a (1 2 V) }\n"},
		{"law", "brushgear 1\ntest t \"T\" { correct g by linear( -20mV per 1K ) from temp to 20°C }",
			"brushgear 1\ntest t \"T\" { correct g by linear (-20 mV per 1 K) from temp to 20 °C }\n"},
		{"units", "brushgear 1\nset a 5% by \"x\"\nset b 0.22uF\nset c 12lb-ft\nset d 1/4in\nset e 2-3/16 in",
			"brushgear 1\nset a 5 % by \"x\"\nset b 0.22 µF\nset c 12 lbf·ft\nset d 1/4 in\nset e 2-3/16 in\n"},
		{"units of types", "brushgear 1\nattribute a : ohm\nattribute bb : ohm | lit\nattribute c : 6V|12V\nattribute d : lb-ft",
			"brushgear 1\nattribute a  : Ω\nattribute bb : ohm | lit\nattribute c  : 6 V | 12 V\nattribute d  : lbf·ft\n"},
		{"plus and minus", "brushgear 1\nlimit a 5 V+/-1%", "brushgear 1\nlimit a 5 V ± 1 %\n"},
		{"two words are one", "brushgear 1\nlimit a at   least 5 V", "brushgear 1\nlimit a at least 5 V\n"},
		{"no columns elsewhere", "brushgear 1\npositions a \"aa\" : u, v\npositions b : x, y", "brushgear 1\npositions a \"aa\" : u, v\npositions b : x, y\n"},
		{"statements on one line", "brushgear 1\ntest t \"T\" { takes 1 min needs a stage b }", "brushgear 1\ntest t \"T\" { takes 1 min  needs a  stage b }\n"},
		{"replace is one statement", "brushgear 1\nreplace  test t \"T\" {\n }", "brushgear 1\nreplace test t \"T\" {\n}\n"},
		{"empty block", "brushgear 1\nkind a { }\nkind b {\n}", "brushgear 1\nkind a {}\nkind b {\n}\n"},
		{"continued line", "brushgear 1\nkind a {\nneedless\n}", ""},
		{"statement goes on", "brushgear 1\nkind a {\nlimit b\n5 V\n}", "brushgear 1\nkind a {\n  limit b\n      5 V\n}\n"},
		{"comments", "# a\nbrushgear 1   #b\n # c  \n\n\nkind a { # d\n# e\nlimit b # f\n# g\n at most 5 V # h\n# i\n} # j\n# k",
			"# a\nbrushgear 1  #b\n# c\n\nkind a {  # d\n  # e\n  limit b  # f\n      # g\n      at most 5 V  # h\n  # i\n}  # j\n# k\n"},
		{"comments below each other", "brushgear 1\npolarity negative # a\nset b 1 # c", "brushgear 1\npolarity negative  # a\nset b 1            # c\n"},
		{"limits below each other", "brushgear 1\nlimit a.b 5 V\nlimit a.ccc[u,v] at most 5 V\nlimit a.d\nlimit a.dd 5 V\nlimit a.d along s linear {\nrow 5 V : 5 A\n}\n\nlimit e.f 5 V",
			"brushgear 1\nlimit a.b         5 V\nlimit a.ccc[u, v] at most 5 V\nlimit a.d\nlimit a.dd 5 V\nlimit a.d  along s linear {\n  row 5 V : 5 A\n}\n\nlimit e.f 5 V\n"},
		{"columns", "brushgear 1\nset aa 1\nset b 22 per c\n\nset ccc 3\nattribute a : V\nattribute bb : A",
			"brushgear 1\nset aa 1\nset b  22 per c\n\nset ccc 3\nattribute a  : V\nattribute bb : A\n"},
		{"rows", "brushgear 1\nlimit a along b linear {row 1°C:1V to 2V\nrow 100°C up:3V}",
			"brushgear 1\nlimit a along b linear { row 1 °C : 1 V to 2 V\n  row 100 °C up : 3 V }\n"},
		{"rows below each other", "brushgear 1\nlimit a along b steps {\nrow 1 s : 1 V\nrow 100 s up : 3 V\n} per c",
			"brushgear 1\nlimit a along b steps {\n  row 1 s      : 1 V\n  row 100 s up : 3 V\n} per c\n"},
		{"members", "brushgear 1\nrecord \"r\" of f {\npass as left {\ntaken a {\nb 5 V,\nc (1 2 V)\n} at d 3 V,\ne 4 V\n}\n}",
			"brushgear 1\nrecord \"r\" of f {\n  pass as left {\n    taken a {\n      b 5 V,\n      c (1 2 V)\n    } at d 3 V,\n        e 4 V\n  }\n}\n"},
		{"open values", "brushgear 1\nrecord \"r\" of f { taken a.b>1MΩ taken c.d lit|dim }", "brushgear 1\nrecord \"r\" of f { taken a.b > 1 MΩ  taken c.d lit | dim }\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Format("test.sheet", []byte(tt.in))
			if tt.want == "" {
				require.Error(t, err)
				return
			}
			require.NoError(t, err)
			require.Equal(t, tt.want, string(got))
			requireFormatKeeps(t, tt.in)
		})
	}
}

func TestFormatRefusesErrors(t *testing.T) {
	got, err := Format("test.sheet", []byte("brushgear 1\nlimit 5 V"))
	require.Nil(t, got)
	var ds Diagnostics
	require.True(t, errors.As(err, &ds))
	require.Len(t, ds, 1)

	_, err = (&File{}).Format()
	require.ErrorContains(t, err, "not parsed")
}

// requireFormatKeeps checks what formatting must not change, for any source without errors.
func requireFormatKeeps(tb testing.TB, src string) {
	tb.Helper()
	f := mustParse(tb, src)
	out, err := f.Format()
	require.NoError(tb, err)
	again, err := Format("test.sheet", out)
	require.NoError(tb, err, "formatted text must parse:\n%s", out)
	require.Equal(tb, string(out), string(again), "formatting twice must change nothing")
	if diff := cmp.Diff(f, mustParse(tb, string(out)), sameTree); diff != "" {
		tb.Fatalf("formatting changed the tree of\n%s\n%s", src, diff)
	}
	require.Equal(tb, uniformTokens(src), uniformTokens(string(out)), "formatting changed a token")
}

// uniformTokens returns the tokens of a source, comments included, in the spelling that the formatter may give them, with a mark where a
// line begins.
func uniformTokens(src string) []string {
	var words []string
	newline, colon := false, false
	for _, t := range tokensOf(src) {
		text := t.Value
		switch t.Type {
		case tokBlank:
			newline = newline || strings.Contains(text, "\n") && words != nil
			continue
		case tokNumber:
			text = uniform(text)
		case tokComment:
			text = strings.TrimRight(text, blanks)
		case tokWord, tokSymbol:
			if colon {
				text = strings.TrimPrefix(uniform("1 "+text), "1 ")
			}
		}
		if newline {
			words = append(words, "\n")
		}
		newline, colon = false, t.Value == ":"
		words = append(words, text)
	}
	return words
}

func TestFormatCorpus(t *testing.T) {
	for name, src := range corpus(t) {
		t.Run(name, func(t *testing.T) {
			requireFormatKeeps(t, src)
			out, err := Format(name, []byte(src))
			require.NoError(t, err)
			if diff := cmp.Diff(src, string(out)); diff != "" {
				t.Fatalf("the file is not in the uniform layout:\n%s", diff)
			}
		})
	}
}

// Whatever blanks an author chooses, the layout is the same.
func TestFormatForgetsBlanks(t *testing.T) {
	files := corpus(t)
	names := []string{"battery.sheet", "generator.sheet", "records.sheet"}
	rapid.Check(t, func(t *rapid.T) {
		src := files[rapid.SampledFrom(names).Draw(t, "file")]
		seed := rapid.Uint32().Draw(t, "seed")
		var b strings.Builder
		toks := tokensOf(src)
		for i, tok := range toks {
			if tok.Type != tokBlank {
				b.WriteString(tok.Value)
				continue
			}
			seed = seed*1664525 + 1013904223
			lines := strings.Count(tok.Value, "\n")
			if lines > 1 {
				lines += int(seed >> 30)
			}
			blanks := []string{" ", "  ", "\t", " \u00a0"}[seed>>20&3]
			if lines > 0 && toks[i-1].Type == tokComment {
				blanks = ""
			}
			b.WriteString(blanks + strings.Repeat("\n", lines) + blanks)
		}
		want, err := Format("test.sheet", []byte(src))
		require.NoError(t, err)
		got, err := Format("test.sheet", []byte(b.String()))
		require.NoError(t, err)
		require.Equal(t, string(want), string(got))
	})
}
