package dsl

import (
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A mark of testdata/errors.sheet: ### code@column "pattern", the column optional, ^ for the line above.
var markPattern = regexp.MustCompile(`###(\^?) ([a-z-]+)(?:@(\d+))? (".*")`)

type mark struct {
	line, column int // column 0 if any will do
	code         Code
	pattern      *regexp.Regexp
}

func marksOf(t *testing.T, chunk string, firstLine int) []mark {
	var marks []mark
	for i, text := range strings.Split(chunk, "\n") {
		m := markPattern.FindStringSubmatch(text)
		if m == nil {
			require.NotContains(t, text, "###", "line %d", firstLine+i)
			continue
		}
		pattern := strings.ReplaceAll(m[4][1:len(m[4])-1], `\"`, `"`)
		mk := mark{line: firstLine + i - len(m[1]), code: Code(m[2]), pattern: regexp.MustCompile(pattern)}
		mk.column, _ = strconv.Atoi(m[3])
		marks = append(marks, mk)
	}
	return marks
}

func TestErrors(t *testing.T) {
	src, err := os.ReadFile("testdata/errors.sheet")
	require.NoError(t, err)
	chunks := strings.Split(string(src), "---\n")
	line := 1 + strings.Count(chunks[0], "\n")
	for _, chunk := range chunks[1:] {
		line++ // of the ---
		title, _, _ := strings.Cut(strings.TrimPrefix(chunk, "# "), "\n")
		t.Run(title, func(t *testing.T) {
			got := findingsOf(t, "brushgear 1"+strings.Repeat("\n", line-1)+chunk)
			want := marksOf(t, chunk, line)
			for i := range max(len(got), len(want)) {
				require.Greater(t, len(got), i, "missing: %+v", want[min(i, len(want)-1)])
				d := got[i]
				require.Greater(t, len(want), i, "not marked: %v", d)
				w := want[i]
				require.Equal(t, w.line, d.Range.Pos.Line, "%v", d)
				require.Equal(t, w.code, d.Code, "%v", d)
				require.Regexp(t, w.pattern, d.Message+"; "+d.Help, "line %d", w.line)
				if w.column > 0 {
					require.Equal(t, w.column, d.Range.Pos.Column, "%v", d)
				}
			}
		})
		line += strings.Count(chunk, "\n")
	}
}

// Ten mistakes of different kinds in one sheet are ten findings, each where it was made.
func TestTenMistakes(t *testing.T) {
	const sheet = `brushgear 1
kind motor "Cranking motor" {
  attribute nominal = 12 V
  conditon supply : V
  test free_run "Free run" {
    takes 3 minn
    read current : A with ammeter
    limit current at most 3,1 A
    outcome good when current is good or low
  test brushes "Brushes" {
    read length mm
    limit length >= 7 mm
  }
  fault worn "Brushes worn" {
    shows brushes low allways
    because "Short brushes lift off the commutator.
  }
}
family motor_12 of motor {
  set nominal 12 V
}
`
	want := []struct {
		line, column int
		code         Code
		edit         string
	}{
		{3, 21, CodeUnexpected, ""},
		{4, 3, CodeUnknownStatement, "condition"},
		{5, 3, CodeUnclosedBlock, ""},
		{6, 13, CodeUnknownUnit, "min"},
		{8, 27, CodeDecimalComma, "3.1"},
		{9, 39, CodeWordOr, ""},
		{11, 17, CodeUnexpected, ""},
		{12, 18, CodeForeignOperator, ""},
		{15, 23, CodeUnexpected, "always"},
		{16, 13, CodeUnclosedString, ""},
	}
	got := findingsOf(t, sheet)
	require.Len(t, got, len(want), "%v", got)
	for i, w := range want {
		d := got[i]
		require.Equal(t, []any{w.line, w.column, w.code}, []any{d.Range.Pos.Line, d.Range.Pos.Column, d.Code}, "%v", d)
		if w.edit != "" {
			require.Equal(t, w.edit, d.Edits[0].Text, "%v", d)
		}
	}
	f, _ := Parse("test.sheet", []byte(sheet))
	require.Len(t, f.Decls, 2, "both declarations are in the tree")
	require.Len(t, f.Decls[0].(*Block).Body, 5)
}

// A suggested edit of a line makes the finding go away.
func TestEditsMend(t *testing.T) {
	sources := []string{
		"kind k {}",
		"brushgear 1\nlimit x 2,5 V",
		"brushgear 1\nlimit x 40 000 rpm",
		"brushgear 1\nlimit x 5 Vlts",
		"brushgear 1\nlimt x 5 V",
		"brushgear 1\nsource s \"S\" untill 2001-01-01",
	}
	for _, src := range sources {
		ds := findingsOf(t, src)
		require.Len(t, ds, 1, src)
		require.NotEmpty(t, ds[0].Edits, src)
		edit := ds[0].Edits[0]
		mended := src[:edit.Range.Pos.Offset] + edit.Text + src[edit.Range.EndPos.Offset:]
		require.Empty(t, findingsOf(t, mended), mended)
	}
}

func TestFirstCauseStays(t *testing.T) {
	// The text that is not closed has swallowed the brace; the block that lacks it begins further left on the same line.
	ds := findingsOf(t, "brushgear 1\nfault f \"F\" { because \"Oil. } # note\n")
	require.Equal(t, CodeUnclosedString, ds[0].Code)
	// Blocks nested too deeply are not reported as unclosed besides.
	ds = findingsOf(t, "brushgear 1\n"+strings.Repeat("kind a {\n", 70))
	require.Len(t, ds, 1)
	require.Equal(t, CodeTooDeep, ds[0].Code)
}

func TestBadKeepsItsText(t *testing.T) {
	f, err := Parse("test.sheet", []byte("brushgear 1\nkind k {\n  limit x 5  +/-  # half\n  limit y 5 V\n  source  at   most\n}\n"))
	require.Error(t, err)
	body := f.Decls[0].(*Block).Body
	require.Equal(t, "limit x 5  +/-", body[0].(*Bad).Text)
	require.IsType(t, &Limit{}, body[1])
	require.Equal(t, "source  at   most", body[2].(*Bad).Text)
	require.Equal(t, 3, body[0].Span().Pos.Column)
	require.Equal(t, 17, body[0].Span().EndPos.Column)
}

func TestNewerVersion(t *testing.T) {
	f, err := Parse("test.sheet", []byte("brushgear 2\n"))
	require.ErrorContains(t, err, "version 2")
	require.Equal(t, 2, f.Version)
	for _, first := range []string{"", "brushgear\n", "brushgear one\n", "brushgear 1.0\n", "brushgear 1 V\n", "brushgaer 1\n", "polarity negative\n"} {
		ds := findingsOf(t, first+"\nset x 5")
		require.NotEmpty(t, ds, first)
		require.Equal(t, CodeNoVersion, ds[0].Code, first)
		require.Contains(t, ds[0].Help, fmt.Sprintf("brushgear %d", Version))
		require.Len(t, ds, 1, first)
	}
}

// TestPartsStandOnce: of two parts of one statement none is dropped in silence; a word of a reading or an expression is no part.
func TestPartsStandOnce(t *testing.T) {
	for statement, word := range map[string]string{
		`attribute poles : count ask "Count." ask "Count again."`:                                 "ask",
		`condition supply : V with voltmeter with dm3`:                                            "with",
		`part brushes "Brush set" bought set bought reel`:                                         "bought",
		`cause oil "Oil" ask "Leak?" ask "Where?"`:                                                "ask",
		`source a "A" from 2011-04-01 from 2012-04-01`:                                            "from",
		`instrument a : A accuracy ± 1 % digit 0.1 A accuracy ± 5 %`:                              "accuracy",
		`limit free_run.current at most 3 A per a at supply 9 V per b`:                            "per",
		`limit free_run.current at most 3 A when x is a when x is b`:                              "when",
		`instrument a : V ranges { row 4 V : ± 1 % ± 2 % digit 1 V row 40 V : ± 2 % }`:            "±",
		`instrument a : V ranges { row 4 V : ± 1 % row 40 V : digit 1 V digit 2 V }`:              "digit",
		`record "J" of a { pass as found by "x" by "y" { } }`:                                     "by",
		`record "J" of a { meter a is ammeter due 2027-01-01 due 2028-01-01 }`:                    "due",
		`record "J" of a { taken x.y 4 A with a with b }`:                                         "with",
		`record "J" of a { taken x.y 4 A void "a" void "b" }`:                                     "void",
		`test t "T" { read a : V with m first with n }`:                                           "with",
		`record "J" of a { taken x.y 4 A was 1 A by "a" because "b" was 2 A by "a" because "b" }`: "was",
	} {
		ds := findingsOf(t, "brushgear 1\n"+statement+"\n")
		require.Len(t, ds, 1, "%s: %v", statement, ds)
		require.Equal(t, CodeRepeated, ds[0].Code, statement)
		require.Equal(t, word+" stands twice in one statement", ds[0].Message, statement)
		require.Equal(t, map[bool]string{true: "join the two conditions by and", false: "leave one out"}[word == "when"], ds[0].Help, statement)
		at := ds[0].Range.Pos.Offset - len("brushgear 1\n")
		require.Equal(t, word, statement[at:at+len(word)], statement)
	}
	for _, statement := range []string{
		`record "J" of a { taken lamp.glow with with with }`,
		`record "J" of a { taken x.y void void "dial touched" }`,
		`record "J" of a { pass as found at supply 9 V at by 3 V by "x" { } }`,
		`limit free_run.current at most 3 A when when is when`,
	} {
		require.Empty(t, findingsOf(t, "brushgear 1\n"+statement+"\n"), statement)
	}
}
