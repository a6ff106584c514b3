package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/report"
)

const editionsUsage = `editions [flags] old new [records]

Compares two editions of a sheet by what they mean: which limits moved, and which tests, faults, strengths and remedies were added, removed or changed.
Layout, comments, the order of statements and the units in which numbers are written make no difference. Files that the sheets use are compared too.
Of the records named behind, in the sheet language or in JSON (.json), it lists the verdicts that would change. The two sheets must bring all that
the records need: what these name with use is not read.
`

func editions(args []string, std stdio) int {
	f := flags("editions", editionsUsage, std)
	asJSON := f.Bool("json", false, "write the changes as JSON")
	same := f.Bool("same", false, "exit with 1 if anything differs")
	shop := f.String("shop", "", "judge the records by the limits and rules of this `shop`, not of the one that they name")
	on := f.String("day", "", "judge the records by this `day` (2026-03-02) instead of their own, as if the units came in then")
	names, code := positionals(f, args, std)
	if code >= 0 {
		return code
	}
	if len(names) < 2 {
		f.Usage()
		return exitUsage
	}
	old, new := &sheetSet{fsys: hostFS{}}, &sheetSet{fsys: hostFS{}}
	for i, s := range []*sheetSet{old, new} {
		if err := s.load(names[i]); err != nil {
			printError(std.err, s.source, err)
			return exitFailed
		}
	}
	out := struct {
		Changes  []eval.Change        `json:"changes"`
		Verdicts []eval.VerdictChange `json:"verdicts"`
		Judged   int                  `json:"records"`
	}{Changes: eval.CompareEditions(old.bench, new.bench)}
	records, err := readRecords(hostFS{}, names[2:])
	if err != nil {
		printError(std.err, hostSource, err)
		return exitFailed
	}
	var options []eval.Option
	if *shop != "" {
		options = append(options, eval.InShop(*shop))
	}
	code = exitOK
	for _, r := range records {
		if *on != "" {
			r.Judge = *on
		}
		list, err := eval.CompareVerdicts(context.Background(), old.bench, new.bench, r, options...)
		if err != nil {
			printError(std.err, hostSource, err)
			code = exitFailed
			continue
		}
		out.Verdicts, out.Judged = append(out.Verdicts, list...), out.Judged+1
	}
	if *asJSON {
		enc := json.NewEncoder(std.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		err = enc.Encode(out)
	} else {
		err = report.Editions(std.out, out.Changes, out.Verdicts, out.Judged)
	}
	if err != nil {
		printError(std.err, hostSource, err)
		return exitFailed
	}
	if *same && len(out.Changes)+len(out.Verdicts) > 0 {
		return exitFailed
	}
	return code
}

// readRecords reads the records that stand in files, without what these use.
func readRecords(fsys fs.FS, names []string) ([]*eval.Record, error) {
	var records []*eval.Record
	for _, name := range names {
		name = filepath.ToSlash(filepath.Clean(name))
		data, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, err
		}
		if path.Ext(name) == ".json" {
			r, err := eval.ReadRecord(data)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			records = append(records, r)
			continue
		}
		f, err := dsl.Parse(name, data)
		if err != nil {
			return nil, err
		}
		list, err := eval.ReadRecords(f)
		if err != nil {
			return nil, err
		}
		records = append(records, list...)
	}
	return records, nil
}

// hostSource reads a file again to show the line of a finding; empty if it cannot.
func hostSource(name string) string {
	data, err := fs.ReadFile(hostFS{}, name)
	if err != nil {
		return ""
	}
	return string(data)
}
