package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"regexp"

	"github.com/brushgear/brushgear/dsl/diagnose"
	"github.com/brushgear/brushgear/eval/trials"
	"github.com/brushgear/brushgear/examples"
)

const tryUsage = `try [flags] [files]

Runs the trials that stand in the named files and tells where something else came than they expect. Files that they name with use are read too,
but their trials are not run. Without files, the trials of the built-in examples are run.
`

func try(args []string, std stdio) int {
	f := flags("try", tryUsage, std)
	filter := f.String("run", "", "run only the trials whose family/title this regular `expression` matches")
	shop := f.String("shop", "", "judge by the limits and rules of this `shop`, not of the one that a record names")
	coverage := f.Bool("coverage", false, "tell also which outcomes, edges of limits, faults and variants no trial expects")
	propose := f.Bool("propose", false, "print trials for edges of limits that no trial is at, instead of the results")
	format := f.String("format", "text", "write the results as text, json or junit")
	if code := parseFlags(f, args, std); code >= 0 {
		return code
	}
	write, ok := trialFormats[*format]
	if !ok {
		fmt.Fprintf(std.err, "brushgear: there is no format %s; write text, json or junit\n", *format)
		return exitUsage
	}
	o := trials.Options{Shop: *shop}
	if *filter != "" {
		re, err := regexp.Compile(*filter)
		if err != nil {
			fmt.Fprintf(std.err, "brushgear: -run: %v\n", err)
			return exitUsage
		}
		o.Filter = re
	}
	var fsys fs.FS = hostFS{}
	var names []string
	for _, n := range f.Args() {
		names = append(names, filepath.ToSlash(filepath.Clean(n)))
	}
	if len(names) == 0 {
		fsys = examples.FS
		fmt.Fprint(std.err, "no file named: running the trials of the built-in examples\n\n")
	}
	suite, err := trials.Load(fsys, names...)
	if err != nil {
		printError(std.err, diagnose.Sources(suite.Files()), err)
		return exitFailed
	}
	if !printWarnings(std.err, suite.Files(), suite.Bench(), *shop) {
		fmt.Fprintf(std.err, "brushgear: the shop %s calls a finding above an error\n", *shop)
		return exitFailed
	}
	report, err := suite.Run(context.Background(), o)
	switch {
	case err != nil:
		printError(std.err, diagnose.Sources(suite.Files()), err)
		return exitFailed
	case len(report.Results) == 0:
		fmt.Fprintln(std.err, "brushgear: there is no such trial in these files; a trial begins with trial \"title\" of family")
		return exitFailed
	}
	if *coverage || *propose {
		if report.Coverage, err = suite.Coverage(report, o); err != nil {
			printError(std.err, diagnose.Sources(suite.Files()), err)
			return exitFailed
		}
	}
	if *propose {
		err = printProposals(std, suite, report, o)
	} else {
		err = write(report, std.out)
	}
	if err != nil {
		printError(std.err, diagnose.Sources(suite.Files()), err)
		return exitFailed
	}
	if !report.OK() {
		return exitFailed
	}
	return exitOK
}

// printProposals prints trials to put beside the others, and tells on standard error for what none could be made.
func printProposals(std stdio, suite *trials.Suite, report *trials.Report, o trials.Options) error {
	proposals, err := suite.Propose(context.Background(), report, report.Coverage, o)
	if err != nil {
		return err
	}
	written := 0
	for _, p := range proposals {
		if p.Text != "" {
			if written++; written == 1 {
				fmt.Fprintln(std.out, "# Proposed trials. They expect what the sheet says now: hold each against the maker's sheet before you keep it.")
			}
			fmt.Fprintf(std.out, "\n%s", p.Text)
		}
	}
	fmt.Fprintf(std.err, "brushgear: %d of %d edges that no trial is at have a proposal; the others need a trial that decides their check\n", written, len(proposals))
	return nil
}

var trialFormats = map[string]func(*trials.Report, io.Writer) error{
	"text": (*trials.Report).Text, "json": (*trials.Report).JSON, "junit": (*trials.Report).JUnit,
}
