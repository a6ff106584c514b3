package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"slices"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/report"
	"github.com/brushgear/brushgear/examples"
)

// builtInSheet is told when no file is named.
const builtInSheet = "sheets/tarnby.sheet"

const tellUsage = `tell [flags] [file [unit]]

Tells what a sheet says of a family or kind: its tests with stage, minutes, cautions, formulas and corrections, and what the release needs; its limits
with conditions and sources; its faults with part and frequency, their remedies with retests, their causes with questions, and the table of faults and
tests. Without a unit, all families that stand in the file are told, or its kinds if it has no
family. Without a file, an example that is built in is told.
`

func tell(args []string, std stdio) int {
	f := flags("tell", tellUsage, std)
	format := f.String("format", "text", "text; html: one file that prints on A4; json: all of it, one unit after another")
	section := f.String("table", "", "tell only this: tests, limits, or faults")
	names, code := positionals(f, args, std)
	if code >= 0 {
		return code
	}
	var sections []report.Section
	if *section != "" {
		if !slices.Contains(report.Sections(), report.Section(*section)) {
			fmt.Fprintf(std.err, "brushgear: there is no table %s; write tests, limits or faults\n", *section)
			return exitUsage
		}
		sections = []report.Section{report.Section(*section)}
	}
	if len(names) > 2 || !slices.Contains([]string{"text", "html", "json"}, *format) || *format == "json" && *section != "" {
		f.Usage()
		return exitUsage
	}
	var fsys fs.FS = hostFS{}
	if len(names) == 0 {
		fsys, names = examples.FS, []string{builtInSheet}
		fmt.Fprintf(std.err, "no file named: telling the built-in example %s\n\n", builtInSheet)
	}
	s := &sheetSet{fsys: fsys}
	if err := s.load(names[0]); err != nil {
		printError(std.err, s.source, err)
		return exitFailed
	}
	units := names[1:]
	if len(units) == 0 {
		units = s.units()
	}
	var list []*eval.Contents
	for _, u := range units {
		c, err := s.bench.Contents(u)
		if err != nil {
			printError(std.err, s.source, err)
			return exitFailed
		}
		list = append(list, c)
	}
	if len(list) == 0 {
		fmt.Fprintf(std.err, "brushgear: %s declares no family and no kind; name a unit behind the file\n", names[0])
		return exitFailed
	}
	if err := writeContents(std.out, list, *format, sections); err != nil {
		printError(std.err, s.source, err)
		return exitFailed
	}
	return exitOK
}

func writeContents(w io.Writer, list []*eval.Contents, format string, sections []report.Section) error {
	switch format {
	case "html":
		return report.ContentsHTML(w, list, sections...)
	case "json":
		enc := json.NewEncoder(w)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		for _, c := range list {
			if err := enc.Encode(c); err != nil {
				return err
			}
		}
		return nil
	}
	for i, c := range list {
		if i > 0 {
			fmt.Fprintln(w)
		}
		if err := report.Contents(w, c, sections...); err != nil {
			return err
		}
	}
	return nil
}

// sheetSet is a sheet with all that it uses, compiled.
type sheetSet struct {
	fsys  fs.FS
	name  string
	files []*dsl.File
	bench *eval.Bench
}

func (s *sheetSet) load(name string) error {
	s.name = path.Clean(filepath.ToSlash(name))
	files, err := dsl.ParseFS(s.fsys, s.name)
	s.files = files
	if err != nil {
		return err
	}
	if len(files) == 0 {
		return errors.New("there is nothing in " + name)
	}
	s.bench, err = eval.Compile(files)
	return err
}

func (s *sheetSet) source(name string) string {
	for _, f := range s.files {
		if f.Name == name {
			return f.Source
		}
	}
	return ""
}

// units lists the families that stand in the file itself, else its kinds.
func (s *sheetSet) units() []string {
	found := map[string][]string{}
	for _, f := range s.files {
		if f.Name != s.name {
			continue
		}
		for _, d := range f.Decls {
			if b, ok := d.(*dsl.Block); ok {
				found[b.Keyword] = append(found[b.Keyword], b.Name.Text)
			}
		}
	}
	if len(found["family"]) > 0 {
		return found["family"]
	}
	return found["kind"]
}
