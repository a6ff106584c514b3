package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/dsl/diagnose"
	"github.com/brushgear/brushgear/eval"
)

const alignUsage = `align [flags] [files]

Prints sheets and records in their uniform form: indent, blanks, unit spellings, columns. Comments and line breaks stay. Without files, or for the
file -, standard input is read. A file with errors is left as it is; with -fix the edits that its findings suggest are carried out first.
`

// alignment says what to do with each file.
type alignment struct{ check, diff, write, fix bool }

func align(args []string, std stdio) int {
	var a alignment
	f := flags("align", alignUsage, std)
	f.BoolVar(&a.check, "check", false, "print only the names of files that would change, and exit with 1 if there are any")
	f.BoolVar(&a.diff, "diff", false, "print the differences instead of the files, and exit with 1 if there are any")
	f.BoolVar(&a.write, "w", false, "write the files back instead of printing them")
	f.BoolVar(&a.fix, "fix", false, "carry out the edits that findings suggest, and tell which")
	if code := parseFlags(f, args, std); code >= 0 {
		return code
	}
	names := f.Args()
	if len(names) == 0 {
		names = []string{"-"}
	}
	code := exitOK
	for _, name := range names {
		if err := a.file(name, std); err != nil {
			code = exitFailed
			if !errors.Is(err, errWouldChange) {
				printError(std.err, nothing, err)
			}
		}
	}
	return code
}

// nothing is the source of files of which no line is known.
func nothing(string) string { return "" }

var errWouldChange = errors.New("the file would change")

// file aligns one file. What is wrong with its text goes to standard error with the lines.
func (a alignment) file(name string, std stdio) error {
	before, err := read(name, std)
	if err != nil {
		return err
	}
	text := before
	if a.fix {
		text = fix(name, before, std)
	}
	aligned, failed := dsl.Format(name, []byte(text))
	if failed != nil {
		printError(std.err, func(string) string { return text }, failed)
		if !a.fix || text == before {
			return errWouldChange
		}
		aligned = []byte(text) // with errors left it cannot be aligned, but what was mended stays mended
	}
	after := string(aligned)
	switch {
	case a.diff:
		if _, err := io.WriteString(std.out, unified(name, before, after)); err != nil {
			return err
		}
	case a.check && before != after:
		fmt.Fprintln(std.out, name)
	case a.check:
	case !a.write || name == "-":
		if _, err := io.WriteString(std.out, after); err != nil {
			return err
		}
	}
	if a.write && name != "-" && before != after {
		if err := writeBack(name, after); err != nil {
			return err
		}
	}
	if failed != nil || (a.check || a.diff) && before != after {
		return errWouldChange
	}
	return nil
}

func read(name string, std stdio) (string, error) {
	var src []byte
	var err error
	if name == "-" {
		src, err = io.ReadAll(std.in)
	} else {
		src, err = os.ReadFile(name)
	}
	return string(src), err
}

func writeBack(name, text string) error {
	info, err := os.Stat(name)
	if err != nil {
		return err
	}
	return os.WriteFile(name, []byte(text), info.Mode().Perm())
}

// rounds bounds how often a text is read again after it was mended: a mistake can hide another.
const rounds = 20

// fix carries out the edits that findings suggest, those of reading the text and, once there are no more, those of checking it with the files
// that it uses. Each is told on standard error.
func fix(name, text string, std stdio) string {
	for range rounds {
		next, mended := diagnose.Mend(name, text, findings(name, text))
		if len(mended) == 0 {
			break
		}
		for _, f := range mended {
			fmt.Fprintf(std.err, "%s: mended: %s; %s [%s]\n", f.Range.Pos, f.Message, f.Help, f.Code)
		}
		text = next
	}
	return text
}

// findings finds what is wrong with a text that stands, or will stand, in a file.
func findings(name, text string) []diagnose.Finding {
	f, err := dsl.Parse(name, []byte(text))
	if err != nil {
		return findingsOf(err)
	}
	files := []*dsl.File{f}
	for _, u := range f.Uses {
		used, err := dsl.ParseFS(hostFS{}, filepath.ToSlash(filepath.Join(filepath.Dir(name), u.Path.String())))
		if err != nil {
			return nil // what it uses must be mended first
		}
		files = append(files, used...)
	}
	bench, err := eval.Compile(unique(files))
	if err != nil {
		return diagnose.RulesOf(files, "").Apply(diagnosticsOf(err))
	}
	return diagnose.RulesOf(files, "").Apply(bench.Warnings())
}

// unique keeps the first file of each name.
func unique(files []*dsl.File) []*dsl.File {
	seen := map[string]bool{}
	var list []*dsl.File
	for _, f := range files {
		if !seen[f.Name] {
			seen[f.Name] = true
			list = append(list, f)
		}
	}
	return list
}
