package main

import (
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/dsl/diagnose"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

const proveUsage = `prove [flags] [files]

Proves sheets before anyone measures: outcomes that never come up, hold at once or leave a gap, limits that nothing can meet or fail, faults that no
test sees or tells apart, tests, causes and remedies that hang in the air. Files that they name with use are proved too. What a sheet accepts with
a reason is left out. Without files, the built-in examples are proved.
`

var proveFormats = map[string]func(io.Writer, []diagnose.Finding, diagnose.Source) error{
	"text": diagnose.Text,
	"json": func(w io.Writer, list []diagnose.Finding, _ diagnose.Source) error { return diagnose.JSON(w, list) },
	"sarif": func(w io.Writer, list []diagnose.Finding, _ diagnose.Source) error {
		return diagnose.SARIF(w, list, "")
	},
}

func prove(args []string, std stdio) int {
	f := flags("prove", proveUsage, std)
	hints := f.Bool("hints", false, "show hints too: what may be meant so, and is worth a look")
	strict := f.Bool("strict", false, "exit with 1 if there is a warning that no sheet accepts")
	shop := f.String("shop", "", "weigh and accept findings by the rules of this `shop`")
	format := f.String("format", "text", "write the findings as text, json or sarif")
	names, code := positionals(f, args, std)
	if code >= 0 {
		return code
	}
	write, ok := proveFormats[*format]
	if !ok {
		fmt.Fprintf(std.err, "brushgear: there is no format %s; write text, json or sarif\n", *format)
		return exitUsage
	}
	var fsys fs.FS = hostFS{}
	for i, n := range names {
		names[i] = filepath.ToSlash(filepath.Clean(n))
	}
	if len(names) == 0 {
		fsys = examples.FS
		names, _ = fs.Glob(fsys, "sheets/*.sheet")
		fmt.Fprint(std.err, "no file named: proving the built-in examples\n\n")
	}
	files, err := dsl.ParseFS(fsys, names...)
	if err != nil {
		printError(std.err, diagnose.Sources(files), err)
		return exitFailed
	}
	bench, err := eval.Compile(files)
	if err != nil {
		printError(std.err, diagnose.Sources(files), err)
		return exitFailed
	}
	list := slices.Concat(bench.Warnings(), bench.Prove())
	list.Sort()
	rules := diagnose.RulesOf(files, *shop)
	findings := rules.Apply(list)
	findings = append(findings, rules.Apply(rules.Idle(findings))...)
	shown := findings
	if !*hints {
		shown = slices.DeleteFunc(slices.Clone(findings), func(f diagnose.Finding) bool { return f.Severity == dsl.Hint })
	}
	if err := write(std.out, shown, diagnose.Sources(files)); err != nil {
		printError(std.err, diagnose.Sources(files), err)
		return exitFailed
	}
	tally := tallyOf(findings)
	if *format == "text" {
		fmt.Fprintln(std.out, tally.words(*hints))
	}
	if diagnose.Failed(findings) || *strict && tally.severities[dsl.Warning] > 0 {
		return exitFailed
	}
	return exitOK
}

// findingTally counts findings.
type findingTally struct {
	severities map[dsl.Severity]int
	accepted   int
}

func tallyOf(findings []diagnose.Finding) findingTally {
	t := findingTally{severities: map[dsl.Severity]int{}}
	for _, f := range findings {
		if f.Accepted != nil {
			t.accepted++
			continue
		}
		t.severities[f.Severity]++
	}
	return t
}

func (t findingTally) words(hints bool) string {
	text := fmt.Sprintf("%s, %s, %s", counted(t.severities[dsl.Error], "error"), counted(t.severities[dsl.Warning], "warning"), counted(t.severities[dsl.Hint], "hint"))
	if t.severities[dsl.Hint] > 0 && !hints {
		text += " (-hints shows them)"
	}
	if t.accepted > 0 {
		text += fmt.Sprintf(", %d accepted", t.accepted)
	}
	return text
}

func counted(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}
