package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/dsl/diagnose"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/report"
	"github.com/brushgear/brushgear/examples"
)

// builtIn is the record that is judged when no file is named.
const builtIn = "records/tarnby_dead_diode.sheet"

const judgeUsage = `judge [flags] [files]

Judges the records and trials that stand in the named files. A file is a sheet or a record in the sheet language, or a record in JSON (.json).
Files that they name with use are read too. Without files, an example that is built in is judged.
`

func judge(args []string, std stdio) int {
	f := flags("judge", judgeUsage, std)
	asJSON := f.Bool("json", false, "write the verdicts as JSON, one after another")
	all := f.Bool("all", false, "write everything: each reading, all faults, all that was not tested")
	shop := f.String("shop", "", "judge by the limits and rules of this `shop`, not of the one that a record names")
	only := f.String("record", "", "judge only the record of this `name`")
	tree := f.Bool("plan", false, "write what to test next, and after each outcome, as a troubleshooting tree instead of the verdict")
	paper := f.String("plan-svg", "", "draw this tree for paper into a `file`, in SVG; of several sheets the later ones get a number behind their name")
	met := f.Bool("met", false, "exit with 1 unless every unit meets its limits in its last pass")
	if code := parseFlags(f, args, std); code >= 0 {
		return code
	}
	j := &judging{std: std, fsys: hostFS{}, all: *all, tree: *tree, paper: *paper}
	names := f.Args()
	if len(names) == 0 {
		j.fsys, names = examples.FS, []string{builtIn}
		fmt.Fprintf(std.err, "no file named: judging the built-in example %s\n\n", builtIn)
	}
	records, err := j.load(names, *shop)
	if err != nil {
		printError(std.err, j.source, err)
		return exitFailed
	}
	code, judged := exitOK, 0
	for _, r := range records {
		if *only != "" && r.Name != *only {
			continue
		}
		judged++
		word, unmet, err := j.judge(r, *shop, *asJSON, judged > 1)
		switch {
		case err != nil:
			printError(std.err, j.source, err)
			code = exitFailed
		case len(unmet) > 0:
			fmt.Fprintf(std.err, "brushgear: trial %q did not get what it expected:\n    %s\n", r.Name, strings.Join(unmet, "\n    "))
			code = exitFailed
		case *met && word != eval.LimitsMet:
			code = exitFailed
		}
	}
	if judged == 0 {
		fmt.Fprintln(std.err, "brushgear: "+j.none(names, records, *only))
		return exitFailed
	}
	return code
}

// judging holds what was read for one call.
type judging struct {
	std   stdio
	fsys  fs.FS
	bench *eval.Bench
	files []*dsl.File
	all   bool   // everything, not what fits a screen
	tree  bool   // the plan instead of the verdict
	paper string // file for the plan on paper
	drawn int    // sheets of paper
}

func (j *judging) source(name string) string { return diagnose.Sources(j.files)(name) }

// load reads and compiles the files and returns the records that stand in those named.
func (j *judging) load(names []string, shop string) ([]*eval.Record, error) {
	var sheets, texts []string
	for _, n := range names {
		n = filepath.ToSlash(filepath.Clean(n))
		if path.Ext(n) == ".json" {
			texts = append(texts, n)
		} else {
			sheets = append(sheets, n)
		}
	}
	if len(sheets) == 0 {
		return nil, errors.New("a record in JSON needs its sheet beside it: brushgear judge tarnby.sheet j1041.json")
	}
	files, err := dsl.ParseFS(j.fsys, sheets...)
	j.files = files
	if err != nil {
		return nil, err
	}
	if j.bench, err = eval.Compile(files); err != nil {
		return nil, err
	}
	var records []*eval.Record
	for _, f := range files {
		if !contains(sheets, f.Name) {
			continue
		}
		rs, err := eval.ReadRecords(f)
		if err != nil {
			return nil, err
		}
		records = append(records, rs...)
	}
	for _, n := range texts {
		data, err := fs.ReadFile(j.fsys, n)
		if err != nil {
			return nil, err
		}
		r, err := eval.ReadRecord(data)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", n, err)
		}
		records = append(records, r)
	}
	if shop == "" {
		shop = shopOf(records)
	}
	if !printWarnings(j.std.err, files, j.bench, shop) {
		return nil, fmt.Errorf("the shop %s calls a finding above an error", shop)
	}
	return records, nil
}

// shopOf is the shop that records name, if it is the same for all.
func shopOf(records []*eval.Record) string {
	if len(records) == 0 || slices.ContainsFunc(records, func(r *eval.Record) bool { return r.Shop != records[0].Shop }) {
		return ""
	}
	return records[0].Shop
}

// none says why nothing was judged: the files hold no record, or none of that name.
func (j *judging) none(files []string, records []*eval.Record, name string) string {
	if len(records) > 0 {
		var known []string
		for _, r := range records {
			known = append(known, r.Name)
		}
		return fmt.Sprintf("there is no record %s in these files; known are %s", name, strings.Join(known, ", "))
	}
	family := "family"
	if list := j.bench.Families(); len(list) > 0 {
		family = list[0]
	}
	sheet := filepath.Base(files[0])
	return fmt.Sprintf(`%s: there is no record of a unit to judge. Begin one in a file of its own beside it:
    brushgear 1
    use "%s"
    record "J-1" of %s {
      pass as found on 2026-03-02 { ... }
    }
or let the bench write it: brushgear bench -save j1.sheet %s`, strings.Join(files, ", "), sheet, family, files[0])
}

func contains(names []string, name string) bool {
	for _, n := range names {
		if path.Clean(n) == name {
			return true
		}
	}
	return false
}

// judge judges one record and prints its verdict. It returns the word for the unit, and what a trial expected and did not get.
func (j *judging) judge(r *eval.Record, shop string, asJSON, more bool) (eval.UnitWord, []string, error) {
	var options []eval.Option
	if shop != "" {
		options = append(options, eval.InShop(shop))
	}
	job, err := j.bench.Load(r, options...)
	if err != nil {
		return 0, nil, err
	}
	verdict, err := job.Judge(context.Background())
	if err != nil {
		return 0, nil, fmt.Errorf("record %q: %w", r.Name, err)
	}
	unit, unmet := verdict.Last().Limits(), verdict.Unmet(r)
	if j.paper != "" {
		if err := j.draw(verdict, r); err != nil {
			return 0, nil, err
		}
	}
	if j.tree {
		if more {
			fmt.Fprintln(j.std.out)
		}
		return unit, unmet, j.plan(verdict, r)
	}
	e := verdict.Explain()
	if asJSON {
		enc := json.NewEncoder(j.std.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		return unit, unmet, enc.Encode(e)
	}
	if more {
		fmt.Fprintln(j.std.out, "\n"+strings.Repeat("-", 60))
	}
	if !j.all {
		return unit, unmet, report.Brief(j.std.out, e)
	}
	return unit, unmet, report.Text(j.std.out, e)
}
