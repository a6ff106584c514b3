package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing/fstest"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/dsl/diagnose"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/units"
)

const whyUsage = `why [codes]

Tells why a code of a finding exists and what to do about it, with an example and what is found there: brushgear why limit-conflict.
Without codes, it lists all codes.
`

func why(args []string, std stdio) int {
	f := flags("why", whyUsage, std)
	if code := parseFlags(f, args, std); code >= 0 {
		return code
	}
	if f.NArg() == 0 {
		for info := range dsl.Codes() {
			fmt.Fprintf(std.out, "%-22s %s\n", info.Code, info.Title)
		}
		return exitOK
	}
	code := exitOK
	for i, name := range f.Args() {
		info, ok := dsl.Explain(dsl.CodeNamed(strings.Trim(strings.ToLower(name), "[]")))
		if !ok {
			fmt.Fprintf(std.err, "brushgear: there is no code %s; %s\n", name, nearestCode(name))
			code = exitFailed
			continue
		}
		if i > 0 {
			fmt.Fprintln(std.out)
		}
		explainCode(std.out, info)
	}
	return code
}

func nearestCode(name string) string {
	var known []string
	for info := range dsl.Codes() {
		known = append(known, string(info.Code))
	}
	if meant, ok := units.Nearest(name, known); ok {
		return "did you mean " + meant + "?"
	}
	return "brushgear why lists them"
}

func explainCode(w io.Writer, info dsl.CodeInfo) {
	fmt.Fprintf(w, "%s: %s\n\n%s\n", info.Code, info.Title, info.Why)
	if info.Example == "" {
		return
	}
	fmt.Fprintf(w, "\nFor example, in\n\n%s\n", indented(info.Example))
	findings := slices.DeleteFunc(exampleFindings(info), func(f diagnose.Finding) bool { return f.Code != info.Code })
	if len(findings) == 0 {
		return
	}
	var b strings.Builder
	diagnose.Text(&b, findings, func(string) string { return info.Example })
	fmt.Fprintf(w, "is found\n\n%s", indented(b.String()))
	if findings[0].Severity != dsl.Error {
		name := strings.ReplaceAll(string(info.Code), "-", "_")
		fmt.Fprintf(w, "\nIf it is as it should be, say why in the block where it stands: accept %s \"...\".\n", name)
		fmt.Fprintf(w, "A shop can make more or less of it: severity %s is error, warning or hint.\n", name)
	}
}

// exampleFindings finds what there is to find in the example of a code.
func exampleFindings(info dsl.CodeInfo) []diagnose.Finding {
	const name = "example.sheet"
	files, err := dsl.ParseFS(fstest.MapFS{name: {Data: []byte(info.Example)}}, name)
	if err != nil {
		return findingsOf(err)
	}
	bench, err := eval.Compile(files)
	if err != nil {
		return findingsOf(err)
	}
	list := slices.Concat(bench.Warnings(), bench.Prove())
	rules := diagnose.RulesOf(files, "")
	list = append(list, rules.Idle(rules.Apply(list))...)
	records, err := bench.Records()
	if err != nil {
		return findingsOf(err)
	}
	for _, r := range records {
		_, err := bench.Load(r)
		list = append(list, diagnosticsOf(err)...)
	}
	return diagnose.Plain(list)
}

func findingsOf(err error) []diagnose.Finding { return diagnose.Plain(diagnosticsOf(err)) }

// diagnosticsOf returns the diagnostics in an error, none if it is another.
func diagnosticsOf(err error) dsl.Diagnostics {
	var list dsl.Diagnostics
	errors.As(err, &list)
	return list
}

// indented puts four blanks before each line that is not empty.
func indented(text string) string {
	lines := strings.SplitAfter(strings.TrimRight(text, "\n")+"\n", "\n")
	for i, line := range lines {
		if strings.TrimSpace(line) != "" {
			lines[i] = "    " + line
		}
	}
	return strings.Join(lines, "")
}
