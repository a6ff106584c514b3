package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/brushgear/brushgear/dsl"
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
func printError(w io.Writer, source func(name string) string, err error) {
	var list dsl.Diagnostics
	if !errors.As(err, &list) {
		fmt.Fprintf(w, "brushgear: %v\n", err)
		return
	}
	for _, d := range list {
		fmt.Fprintf(w, "%s: %s: %s [%s]\n", d.Range.Pos, d.Severity, d.Message, d.Code)
		if line := sourceLine(source(d.Range.Pos.Filename), d.Range.Pos.Line); line != "" {
			fmt.Fprintf(w, "    %s\n    %s\n", line, marks(line, d.Range))
		}
		if d.Help != "" {
			fmt.Fprintf(w, "    %s\n", d.Help)
		}
		for _, r := range d.Related {
			fmt.Fprintf(w, "    %s: %s\n", r.Range.Pos, r.Message)
		}
	}
}

func sourceLine(src string, n int) string {
	lines := strings.Split(strings.TrimPrefix(src, "\uFEFF"), "\n")
	if n < 1 || n > len(lines) {
		return ""
	}
	line := strings.TrimRight(lines[n-1], "\r")
	if runes := []rune(line); len(runes) > 200 {
		line = string(runes[:200])
	}
	return strings.ReplaceAll(line, "\t", " ")
}

// marks underlines a range in its line.
func marks(line string, r dsl.Range) string {
	n := 1
	if r.EndPos.Line == r.Pos.Line && r.EndPos.Column > r.Pos.Column {
		n = r.EndPos.Column - r.Pos.Column
	}
	length := len([]rune(line))
	from := min(r.Pos.Column-1, length)
	return strings.Repeat(" ", from) + strings.Repeat("^", max(1, min(n, length-from)))
}
