package dsl_test

import (
	"errors"
	"fmt"
	"testing/fstest"

	"github.com/brushgear/brushgear/dsl"
)

func ExampleParse() {
	f, err := dsl.Parse("lintel.sheet", []byte(`brushgear 1
family lintel_12 "Lintel 12 V cranking motor" {
  test free_run "Free run at 11.5 V" { read current : A  limit current at most 58 A }
}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	family := f.Decls[0].(*dsl.Block)
	test := family.Body[0].(*dsl.Test)
	fmt.Println(family.Keyword, family.Name, "has the test", test.Title)
	fmt.Println(test.Body[1].Span().Pos)
	// Output:
	// family lintel_12 has the test Free run at 11.5 V
	// lintel.sheet:3:58
}

func ExampleParseFS() {
	fsys := fstest.MapFS{
		"motor.sheet":           {Data: []byte("brushgear 1\nkind motor \"Cranking motor\" {\n}\n")},
		"families/lintel.sheet": {Data: []byte("brushgear 1\nuse \"../motor.sheet\"\nfamily lintel_12 of motor {\n}\n")},
	}
	files, err := dsl.ParseFS(fsys, "families/lintel.sheet")
	for _, f := range files {
		fmt.Println(f.Name)
	}
	fmt.Println(err)
	// Output:
	// motor.sheet
	// families/lintel.sheet
	// <nil>
}

func ExampleDiagnostics() {
	_, err := dsl.Parse("lintel.sheet", []byte(`brushgear 1
family lintel_12 {
  limit free_run.current <= 58 A
  limit free_run.speed at least 4 400 rpm
  part brushes
}
`))
	var ds dsl.Diagnostics
	if errors.As(err, &ds) {
		for _, d := range ds {
			fmt.Printf("%s: %s\n    %s\n", d.Range.Pos, d.Message, d.Help)
		}
	}
	// Output:
	// lintel.sheet:3:26: the sheet language has no <=
	//     write at most
	// lintel.sheet:4:33: digits are not grouped by blanks
	//     write 4400
	// lintel.sheet:5:8: a text in "..." is missing after the word "brushes"
	//     write it as in: part brushes "Brush set" bought set
}

func ExampleFormat() {
	out, err := dsl.Format("lintel.sheet", []byte(`brushgear 1
family lintel_12{
set poles 4   # counted
set nominal 12V
limit gap 0.2mm+/-10%
}`))
	fmt.Print(string(out))
	fmt.Println(err)
	// Output:
	// brushgear 1
	// family lintel_12 {
	//   set poles   4  # counted
	//   set nominal 12 V
	//   limit gap 0.2 mm ± 10 %
	// }
	// <nil>
}

func ExampleFile_Format() {
	f, err := dsl.Parse("lintel.sheet", []byte("brushgear 1\nlimit gap 0.2mm\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	out, _ := f.Format()
	fmt.Print(string(out))
	// Output:
	// brushgear 1
	// limit gap 0.2 mm
}

func ExampleExplain() {
	info, ok := dsl.Explain(dsl.CodeGluedMinus)
	fmt.Println(ok, info.Title)
	fmt.Println(info.Why)
	fmt.Print(info.Example)
	// Output:
	// true a sign glued to a number
	// A sign glued to a number belongs to the number, as in -20 °C. A subtraction has blanks on both sides of the minus, a range the word to.
	// brushgear 1
	// limit regulated.volts 13.9-14.4 V
}

func ExampleCodes() {
	for info := range dsl.Codes() {
		if info.Stage == dsl.ParseStage {
			fmt.Println(info.Code)
			break
		}
	}
	// Output: bad-character
}

func ExampleParseValue() {
	for _, text := range []string{"2 to 9Ω jumping", "(9.6 9.7 missing 14.2mV)", "OL", "4,2 A"} {
		v, err := dsl.ParseValue(text)
		fmt.Println(v, err)
	}
	// Output:
	// 2 to 9 Ω jumping <nil>
	// (9.6 9.7 missing 14.2 mV) <nil>
	// OL <nil>
	//  1:1: a decimal comma is not understood; write 4.2 [decimal-comma]
}

func ExampleParseRef() {
	ref, err := dsl.ParseRef("diodes.drop.back[plus,u]")
	fmt.Println(ref, ref.Names, ref.Index, err)
	// Output: diodes.drop.back[plus, u] [diodes drop back] [plus u] <nil>
}

func ExampleLimits() {
	_, err := dsl.Limits{Bytes: 20}.Parse("long.sheet", []byte("brushgear 1\n# a long story\n"))
	fmt.Println(err)
	// Output: long.sheet:1:1: this file has 27 bytes, more than the limit of 20; split it into files joined by use [too-large]
}

// A program walks the tree, and gathers findings of its own beside those of the parser.
func ExampleBody() {
	f, _ := dsl.Parse("lintel.sheet", []byte("brushgear 1\nfamily lintel_12 \"Lintel 12\" {\n  test free_run \"Free run\" { read current : A }\n  set rated 12 A\n}\n"))
	found := f.Diagnostics()
	for _, st := range dsl.Body(f.Decls[0]) {
		if set, ok := st.(*dsl.Set); ok {
			rated, err := set.Value.Low.Quantity()
			fmt.Println(set.Name, rated, err)
			found = append(found, &dsl.Diagnostic{Code: dsl.CodeNamed("house_rule"), Severity: dsl.Warning, Range: set.Range, Message: "rated is on the plate"})
		}
	}
	found.Sort()
	for _, err := range found.Unwrap() {
		fmt.Println(err)
	}
	fmt.Println(found.Err()) // a warning alone is no error
	s, ok := dsl.SeverityNamed("hint")
	fmt.Println(s, ok)
	// Output:
	// rated 12 A <nil>
	// lintel.sheet:4:3: rated is on the plate [house-rule]
	// <nil>
	// hint true
}

func ExampleSkipReasons() {
	for _, reason := range dsl.SkipReasons()[:3] {
		fmt.Println(reason)
	}
	// Output:
	// no_equipment
	// no_time
	// not_applicable
}

// Which declaration an editor's cursor stands in.
func ExampleRange_Contains() {
	f, err := dsl.Parse("lintel.sheet", []byte("brushgear 1\npart brushes \"Brush set\"\npart armature \"Armature\"\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	cursor := dsl.Position{Filename: "lintel.sheet", Offset: 40, Line: 3, Column: 6}
	for i, decl := range f.Decls {
		fmt.Println(i, decl.Span().Contains(cursor))
	}
	// Output:
	// 0 false
	// 1 true
}
