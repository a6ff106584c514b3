package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/dsl/diagnose"
	"github.com/brushgear/brushgear/eval"
)

// hostFS opens files of the host by slash-separated names relative to the working folder. Unlike os.DirFS it lets a sheet use "../kinds.sheet".
type hostFS struct{}

func (hostFS) Open(name string) (fs.File, error) { return os.Open(filepath.FromSlash(name)) }

// flags makes a flag set that reports to std.err, with the first lines of its help.
func flags(name, usage string, std stdio) *flag.FlagSet {
	f := flag.NewFlagSet(name, flag.ContinueOnError)
	f.SetOutput(std.err)
	f.Usage = func() {
		fmt.Fprintf(f.Output(), "Usage: brushgear %s\n\n", usage)
		f.PrintDefaults()
	}
	return f
}

// parseFlags returns the exit code that ends the verb, or -1 to go on. Asked-for help goes to standard output.
func parseFlags(f *flag.FlagSet, args []string, std stdio) int {
	for _, a := range args {
		if a == "-h" || a == "-help" || a == "--help" {
			f.SetOutput(std.out)
		}
	}
	switch err := f.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return exitOK
	case err != nil:
		return exitUsage
	}
	return -1
}

// positionals parses flags before, between and behind the names, and returns the names; the code is -1 to go on.
func positionals(f *flag.FlagSet, args []string, std stdio) (names []string, code int) {
	for {
		if code := parseFlags(f, args, std); code >= 0 {
			return nil, code
		}
		if f.NArg() == 0 {
			return names, -1
		}
		names, args = append(names, f.Arg(0)), f.Args()[1:]
	}
}

// printError writes an error with its source lines, if it has places, or on one line.
func printError(w io.Writer, source diagnose.Source, err error) {
	var list dsl.Diagnostics
	if !errors.As(err, &list) {
		fmt.Fprintf(w, "brushgear: %v\n", err)
		return
	}
	diagnose.Text(w, diagnose.Plain(list), source)
}

// printWarnings writes what Compile found in sheets that it took, as the sheets and the shop rule on it. It returns false if the shop calls a
// finding an error.
func printWarnings(w io.Writer, files []*dsl.File, bench *eval.Bench, shop string) bool {
	findings := diagnose.RulesOf(files, shop).Apply(bench.Warnings())
	diagnose.Text(w, findings, diagnose.Sources(files))
	return !diagnose.Failed(findings)
}
