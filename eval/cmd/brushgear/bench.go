package main

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/dsl/diagnose"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

// builtInSheets are what a bench works by when no file is named, and builtInFamily is the unit.
const (
	builtInSheets = "sheets/shop.sheet"
	builtInFamily = "tarnby_90"
)

const benchUsage = `bench [flags] [files] [family]

Leads through the tests of one unit: proposes the next test, asks for its readings, tells what each says, and ends with the verdict. Answers are
lines, so that it works in a terminal and from a pipe; ? at any prompt lists what can be said there. The files are sheets; what they name with use
is read too. Without files, an example that is built in is used.

The record is kept in the sheet language (in JSON if its file ends in .json). With -save it is written after every test, so that nothing is lost.
`

func bench(args []string, std stdio) int {
	f := flags("bench", benchUsage, std)
	save := f.String("save", "", "keep the record in this `file`; without it you are asked at the end")
	shop := f.String("shop", "", "judge by the limits and rules of this `shop`, not of the one that a record names")
	from := f.String("record", "", "go on with the record in this `file`")
	on := f.String("on", "", "the `day` of the job, written 2026-03-02; without it you are asked")
	by := f.String("by", "", "who measures, for the record")
	names, code := positionals(f, args, std)
	if code >= 0 {
		return code
	}
	o := &opening{std: std, shop: *shop, from: *from, save: *save}
	for _, n := range names {
		if path.Ext(n) == "" && !strings.ContainsAny(n, `/\`) {
			o.family = n
		} else {
			o.sheets = append(o.sheets, filepath.ToSlash(filepath.Clean(n)))
		}
	}
	s, err := o.session()
	if err != nil {
		printError(std.err, diagnose.Sources(o.files), err)
		return exitFailed
	}
	s.on, s.by = *on, *by
	if err := s.run(); err != nil {
		printError(std.err, diagnose.Sources(o.files), err)
		return exitFailed
	}
	return exitOK
}

// opening is what the command line asks for.
type opening struct {
	std                      stdio
	sheets                   []string
	family, shop, from, save string
	files                    []*dsl.File
}

// session reads the sheets, and the record to go on with.
func (o *opening) session() (*session, error) {
	s := &session{in: bufio.NewReader(o.std.in), out: o.std.out, echo: !terminal(o.std.in), family: o.family, save: o.save, uses: o.sheets}
	var own int // declarations of the record's file that are not the record
	if o.from != "" {
		var err error
		if own, err = o.readRecord(s); err != nil {
			return nil, err
		}
	}
	if err := o.mayOverwrite(own); err != nil {
		return nil, err
	}
	var fsys fs.FS = hostFS{}
	if len(s.uses) == 0 {
		fsys, o.sheets = examples.FS, []string{builtInSheets}
		if s.family == "" {
			s.family = builtInFamily
		}
		fmt.Fprintf(o.std.err, "no sheet named: working by the built-in example %s\n\n", builtInSheets)
	} else {
		o.sheets = s.uses
	}
	files, err := dsl.ParseFS(fsys, o.sheets...)
	if o.files = append(o.files, files...); err != nil {
		return nil, err
	}
	if s.sheets, err = eval.Compile(files); err != nil {
		return nil, err
	}
	if s.record != nil {
		s.family = s.record.Family
		o.shop = cmp.Or(o.shop, s.record.Shop)
		s.record.Shop = o.shop
	}
	s.shop = o.shop
	if !printWarnings(o.std.err, files, s.sheets, o.shop) {
		return nil, fmt.Errorf("the shop %s calls a finding above an error", o.shop)
	}
	return s, nil
}

// readRecord reads the record to go on with, and adds the sheets that its file names. It returns how many other declarations stand there.
func (o *opening) readRecord(s *session) (int, error) {
	data, err := os.ReadFile(o.from)
	if err != nil {
		return 0, err
	}
	if path.Ext(o.from) == ".json" {
		s.record, err = eval.ReadRecord(data)
		return 0, err
	}
	name := filepath.ToSlash(filepath.Clean(o.from))
	f, err := dsl.Parse(name, data)
	o.files = append(o.files, f)
	if err != nil {
		return 0, err
	}
	records, err := eval.ReadRecords(f)
	if err != nil {
		return 0, err
	}
	records = slices.DeleteFunc(records, func(r *eval.Record) bool { return r.Trial })
	if len(records) != 1 {
		return 0, fmt.Errorf("%s holds %d records; put the one to go on with into a file of its own", o.from, len(records))
	}
	s.record = records[0]
	if tidy, err := f.Format(); err == nil {
		s.commented = string(tidy)
	}
	own := -1
	for _, d := range f.Decls {
		use, is := d.(*dsl.Use)
		if !is {
			own++
			continue
		}
		if sheet := path.Join(path.Dir(name), use.Path.String()); !slices.Contains(s.uses, sheet) {
			s.uses = append(s.uses, sheet)
		}
	}
	return own, nil
}

// mayOverwrite refuses to save over a file that would lose something by it.
func (o *opening) mayOverwrite(own int) error {
	if o.save == "" {
		return nil
	}
	old, err := os.Stat(o.save)
	if err != nil {
		return nil
	}
	if from, err := os.Stat(o.from); o.from == "" || err != nil || !os.SameFile(old, from) {
		return fmt.Errorf("%s is there already: give -save another name, or go on with it by -record %s", o.save, o.save)
	}
	if own > 0 {
		return fmt.Errorf("%s holds more than the record: give -save another name", o.save)
	}
	return nil
}

// terminal tells whether a person types at the other end; what comes from elsewhere is echoed, so that the output can be read by itself.
func terminal(in any) bool {
	f, ok := in.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// today is offered as the day of a job; the library itself has no clock.
func today() string { return time.Now().Format(time.DateOnly) }

// write saves the record, so that a file that was there stays whole until the new one is.
func (s *session) write(name string) error {
	data, err := s.text(name)
	if err != nil {
		return err
	}
	part := name + ".part"
	if err := os.WriteFile(part, data, 0o644); err != nil {
		return err
	}
	if err := os.Rename(part, name); err != nil {
		return errors.Join(err, os.Remove(part))
	}
	s.changed = false
	return nil
}

// text writes the record in the form that the name of its file asks for.
func (s *session) text(name string) ([]byte, error) {
	if path.Ext(name) == ".json" {
		b := &bytes.Buffer{}
		enc := json.NewEncoder(b)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		err := enc.Encode(s.record)
		return b.Bytes(), err
	}
	folder, err := filepath.Abs(filepath.Dir(name))
	if err != nil {
		return nil, err
	}
	var uses []string
	for _, sheet := range s.uses {
		full, err := filepath.Abs(filepath.FromSlash(sheet))
		if err != nil {
			return nil, err
		}
		if near, err := filepath.Rel(folder, full); err == nil {
			full = near
		}
		uses = append(uses, filepath.ToSlash(full))
	}
	text, err := s.record.Text(uses...)
	if err != nil || s.commented == "" {
		return text, err
	}
	return []byte(withComments(string(text), s.commented)), nil
}
