package diagnose_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/dsl/diagnose"
)

const sheet = `brushgear 1
family motor "Motor" {
  test free_run "Free run" {
    read current : A
    accept sample_one "The best ammeter we have."
    limit current at most 58 A
  }
  fault worn "Worn" { shows free_run.current low }
  accept sample_three "Whoever opens it sees it."
}
shop quayside "Quayside" {
  severity sample_one is error
  severity sample_two is hint
  accept unknown_name "The house has other motors."
}
shop hall "Hall" {
  severity sample_two is error
}
`

func parse(t testing.TB, name, src string) *dsl.File {
	t.Helper()
	f, err := dsl.Parse(name, []byte(src))
	require.NoError(t, err)
	return f
}

// at makes a finding on the first place of a text in the sheet.
func at(t testing.TB, code dsl.Code, severity dsl.Severity, text string) *dsl.Diagnostic {
	t.Helper()
	i := strings.Index(sheet, text)
	require.GreaterOrEqual(t, i, 0, text)
	line := strings.Count(sheet[:i], "\n") + 1
	column := i - strings.LastIndex(sheet[:i], "\n")
	from := dsl.Position{Filename: "motor.sheet", Offset: i, Line: line, Column: column}
	to := from
	to.Offset, to.Column = i+len(text), column+len(text)
	return &dsl.Diagnostic{Code: code, Severity: severity, Range: dsl.Range{Pos: from, EndPos: to}, Message: "this is " + string(code), Help: "mend it"}
}

func TestRules(t *testing.T) {
	files := []*dsl.File{parse(t, "motor.sheet", sheet)}
	list := dsl.Diagnostics{
		at(t, "sample-one", dsl.Warning, "limit current"), // accepted in its test
		at(t, "sample-one", dsl.Warning, "fault worn"),    // outside of that test
		at(t, "sample-three", dsl.Warning, "fault worn"),  // accepted in its family
		at(t, "sample-two", dsl.Warning, "limit current"),
		at(t, "unknown-name", dsl.Warning, "fault worn"),
		at(t, "unknown-name", dsl.Error, "fault worn"),
	}
	for shop, want := range map[string][]string{
		"":         {"accepted", "warning", "accepted", "warning", "warning", "error"},
		"quayside": {"accepted", "error", "accepted", "hint", "accepted", "error"},
		"hall":     {"accepted", "warning", "accepted", "error", "warning", "error"},
	} {
		var got []string
		findings := diagnose.RulesOf(files, shop).Apply(list)
		for _, f := range findings {
			if f.Accepted != nil {
				got = append(got, "accepted")
			} else {
				got = append(got, string(f.Severity))
			}
		}
		require.Equal(t, want, got, shop)
		require.True(t, diagnose.Failed(findings))
		require.Equal(t, shop != "", diagnose.Failed(findings[:4]), shop)
		require.Equal(t, dsl.Warning, list[1].Severity, "what was found is not changed")
	}
	rules := diagnose.RulesOf(files, "")
	require.Empty(t, rules.Idle(rules.Apply(list)))
	idle := rules.Idle(rules.Apply(list[3:]))
	require.Len(t, idle, 2)
	require.Equal(t, "no finding sample-one is left here to accept", idle[0].Message)
}

// An accept of another file with the same places accepts nothing here.
func TestAcceptHoldsInItsFile(t *testing.T) {
	files := []*dsl.File{parse(t, "other.sheet", sheet)}
	f := diagnose.RulesOf(files, "").Apply(dsl.Diagnostics{at(t, "sample-one", dsl.Warning, "limit current")})
	require.Nil(t, f[0].Accepted)
}

func TestText(t *testing.T) {
	files := []*dsl.File{parse(t, "motor.sheet", sheet)}
	d := at(t, "sample-two", dsl.Warning, "limit current")
	d.Related = []dsl.Related{{Range: at(t, "sample-two", dsl.Warning, "current : A").Range, Message: "it is read here"}}
	multi := at(t, "sample-three", dsl.Hint, "fault worn")
	multi.Range.EndPos.Line++
	multi.Help = ""
	elsewhere := at(t, "sample-two", dsl.Error, "fault worn")
	elsewhere.Range.Pos.Filename = "kinds.sheet"
	var b bytes.Buffer
	require.NoError(t, diagnose.Text(&b, diagnose.Plain(dsl.Diagnostics{d, multi, elsewhere}), diagnose.Sources(files)))
	require.Equal(t, `motor.sheet:6:5: warning: this is sample-two [sample-two]
        limit current at most 58 A
        ^^^^^^^^^^^^^
    mend it
    motor.sheet:4:10: it is read here
            read current : A
                 ^^^^^^^^^^^
motor.sheet:8:3: hint: this is sample-three [sample-three]
      fault worn "Worn" { shows free_run.current low }
      ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^
kinds.sheet:8:3: error: this is sample-two [sample-two]
    mend it
`, b.String())
}

// Marks stand under what they mean, whatever the line: a mark at the start of the file, tabs, letters of several bytes, lines that go on and on.
func TestMarksStandUnderWhatIsMeant(t *testing.T) {
	for _, src := range []string{
		"\uFEFFbrushgear 1  limt x 5 V\n",
		"brushgear 1\n\t\tlimt x 5 Ω\n",
		"brushgear 1\r\nkind µΩ \"Ω\" { limt x 5 V }\r\n",
		"brushgear 1\nkind k { part a \"" + strings.Repeat("ä", 300) + "\"  limt x 5 V  part b \"" + strings.Repeat("ö", 300) + "\" }\n",
	} {
		f, err := dsl.Parse("x.sheet", []byte(src))
		require.Error(t, err)
		var b bytes.Buffer
		require.NoError(t, diagnose.Text(&b, diagnose.Plain(f.Diagnostics()), diagnose.Sources([]*dsl.File{f})))
		found := false
		lines := strings.Split(b.String(), "\n")
		for i, line := range lines {
			marks := []rune(line)
			from := strings.Index(line, "^^^^")
			if from < 0 || !strings.Contains(lines[i-2], "limt") {
				continue
			}
			found = true
			require.Equal(t, "limt", string([]rune(lines[i-1])[from:len(marks)]))
			require.LessOrEqual(t, len([]rune(lines[i-1])), 4+160)
		}
		require.True(t, found, b.String())
	}
}

func TestJSON(t *testing.T) {
	files := []*dsl.File{parse(t, "motor.sheet", sheet)}
	list := dsl.Diagnostics{at(t, "sample-one", dsl.Warning, "limit current"), at(t, "sample-two", dsl.Warning, "limit current")}
	var b bytes.Buffer
	require.NoError(t, diagnose.JSON(&b, diagnose.RulesOf(files, "").Apply(list)))
	var out struct {
		Schema   int
		Findings []struct {
			Code, Severity, Message string
			From                    dsl.Position
			Accepted                *struct {
				Reason string
				At     dsl.Position
			}
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &out))
	require.Equal(t, diagnose.Schema, out.Schema)
	require.Len(t, out.Findings, 2)
	require.Equal(t, "The best ammeter we have.", out.Findings[0].Accepted.Reason)
	require.Equal(t, 5, out.Findings[0].Accepted.At.Line)
	require.Nil(t, out.Findings[1].Accepted)
	require.Equal(t, 6, out.Findings[1].From.Line)

	b.Reset()
	require.NoError(t, diagnose.JSON(&b, nil))
	require.JSONEq(t, `{"schema": 1, "findings": []}`, b.String())
}

func TestMend(t *testing.T) {
	for src, want := range map[string]string{
		"\uFEFFbrushgear 1\nlimt x 2,5 V\nlimit y 40 000 rpm\n": "\uFEFFbrushgear 1\nlimt x 2.5 V\nlimit y 40000 rpm\n",
		"kind k {}\n":                "brushgear 1\nkind k {}\n",
		"brushgear 1\npart rotor \n": "brushgear 1\npart rotor \n",
	} {
		f, _ := dsl.Parse("x.sheet", []byte(src))
		got, mended := diagnose.Mend("x.sheet", src, diagnose.Plain(f.Diagnostics()))
		require.Equal(t, want, got)
		require.Equal(t, got != src, len(mended) > 0)
	}
}

// Edits that would cross each other, or reach out of the file, are not carried out; nor are those of an accepted finding.
func TestMendKeepsItsHandsOff(t *testing.T) {
	edit := func(name string, from, to int, text string) dsl.Edit {
		return dsl.Edit{Range: dsl.Range{Pos: dsl.Position{Filename: name, Offset: from}, EndPos: dsl.Position{Filename: name, Offset: to}}, Text: text}
	}
	finding := func(edits ...dsl.Edit) diagnose.Finding {
		return diagnose.Finding{Diagnostic: &dsl.Diagnostic{Severity: dsl.Warning, Edits: edits}}
	}
	accepted := finding(edit("x", 0, 1, "-"))
	accepted.Accepted = &dsl.Accept{}
	got, mended := diagnose.Mend("x", "abcdef", []diagnose.Finding{
		accepted,
		finding(edit("x", 1, 3, "BC")),
		finding(edit("x", 5, 6, "F"), edit("x", 2, 4, "crosses the one before")),
		finding(edit("y", 0, 1, "of another file")),
		finding(edit("x", 4, 9, "too far")),
		finding(edit("x", 5, 4, "backwards")),
		finding(edit("x", 3, 3, "+")),
		finding(edit("x", 3, 3, "twice in one place")),
	})
	require.Equal(t, "aBC+def", got)
	require.Len(t, mended, 2)
}

func ExampleText() {
	src := []byte("brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read current : A\n    limt current at most 58 A\n  }\n}\n")
	f, err := dsl.Parse("motor.sheet", src)
	var list dsl.Diagnostics
	if !errors.As(err, &list) {
		return
	}
	if err := diagnose.Text(os.Stdout, diagnose.Plain(list), diagnose.Sources([]*dsl.File{f})); err != nil {
		fmt.Println(err)
	}
	// Output:
	// motor.sheet:5:5: error: a test has no statement limt [unknown-statement]
	//         limt current at most 58 A
	//         ^^^^
	//     did you mean limit?
}

func ExampleMend() {
	src := "brushgear 1\npart rotor \"Rotor\"\nlimt gap 2,5 mm\n"
	for {
		f, _ := dsl.Parse("x.sheet", []byte(src))
		text, mended := diagnose.Mend(f.Name, src, diagnose.Plain(f.Diagnostics()))
		if len(mended) == 0 {
			break
		}
		src = text
	}
	fmt.Print(src)
	// Output:
	// brushgear 1
	// part rotor "Rotor"
	// limit gap 2.5 mm
}

func ExampleRulesOf() {
	f, err := dsl.Parse("motor.sheet", []byte("brushgear 1\nfamily motor \"Motor\" {\n  accept sample_two \"A sample sheet.\"\n  limit free_run.current at most 58 A\n}\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	limit := f.Decls[0].(*dsl.Block).Body[1]
	found := dsl.Diagnostics{{Code: "sample-two", Severity: dsl.Warning, Range: limit.Span(), Message: "this limit has no source"}}
	findings := diagnose.RulesOf([]*dsl.File{f}, "").Apply(found)
	fmt.Println(findings[0].Accepted.Reason, len(diagnose.Open(findings)))
	// Output: A sample sheet. 0
}

// Findings go to a program or to a code host; an accept that accepts nothing any more is a hint.
func ExampleSARIF() {
	f, err := dsl.Parse("motor.sheet", []byte("brushgear 1\nfamily motor \"Motor\" {\n  accept sample_two \"A sample sheet.\"\n  limit free_run.current at most 58 A\n}\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	rules := diagnose.RulesOf([]*dsl.File{f}, "")
	limit := f.Decls[0].(*dsl.Block).Body[1]
	findings := rules.Apply(dsl.Diagnostics{{Code: "sample-one", Severity: dsl.Warning, Range: limit.Span(), Message: "this limit has no source"}})
	fmt.Println(diagnose.Failed(findings), rules.Idle(findings)[0].Message)
	var host, program bytes.Buffer
	fmt.Println(diagnose.SARIF(&host, findings, "0.3.0"), diagnose.JSON(&program, findings))
	fmt.Println(strings.Contains(host.String(), `"version": "2.1.0"`), strings.Contains(program.String(), "sample-one"))
	// Output:
	// false no finding sample-two is left here to accept
	// <nil> <nil>
	// true true
}
