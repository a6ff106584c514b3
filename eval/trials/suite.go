package trials

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// A Suite is the trials of some sheets, compiled with all that the sheets use. It is immutable and safe for concurrent use.
type Suite struct {
	bench  *eval.Bench
	files  []*dsl.File
	trials []*eval.Record
}

// Load reads and compiles sheets of a file system. A pattern is the name of a file, or a pattern of [path.Match] for the whole name; without
// patterns all files are taken that end in .sheet. The error unwraps to dsl.Diagnostics if a sheet has errors; the suite then still knows the
// sources of the files, to show the lines.
func Load(fsys fs.FS, patterns ...string) (*Suite, error) {
	names, err := match(fsys, patterns)
	if err != nil {
		return &Suite{}, err
	}
	s := &Suite{}
	if s.files, err = dsl.ParseFS(fsys, names...); err != nil {
		return s, err
	}
	if s.bench, err = eval.Compile(s.files); err != nil {
		return s, err
	}
	records, err := s.bench.Records()
	if err != nil {
		return s, err
	}
	for _, r := range records {
		if r.Trial && slices.Contains(names, r.Span().Pos.Filename) {
			s.trials = append(s.trials, r)
		}
	}
	return s, nil
}

func match(fsys fs.FS, patterns []string) ([]string, error) {
	if len(patterns) == 0 {
		var names []string
		err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() && path.Ext(name) == ".sheet" {
				names = append(names, name)
			}
			return err
		})
		if err == nil && len(names) == 0 {
			err = errors.New("there is no file that ends in .sheet")
		}
		return names, err
	}
	var names []string
	for _, p := range patterns {
		if !strings.ContainsAny(p, `*?[\`) {
			names = append(names, path.Clean(p))
			continue
		}
		found, err := fs.Glob(fsys, p)
		switch {
		case err != nil:
			return nil, fmt.Errorf("pattern %s: %w", p, err)
		case len(found) == 0:
			return nil, fmt.Errorf("no file matches %s", p)
		}
		names = append(names, found...)
	}
	slices.Sort(names)
	return slices.Compact(names), nil
}

// Bench returns the compiled sheets, nil if they have errors.
func (s *Suite) Bench() *eval.Bench { return s.bench }

// Files returns the files that were read: those named and those that they use.
func (s *Suite) Files() []*dsl.File { return s.files }

// Trials returns the trials in the order of the files.
func (s *Suite) Trials() []*eval.Record { return slices.Clone(s.trials) }

// Options say which trials to run, and how. The zero value runs all of them by the rules of the sheets.
type Options struct {
	Filter *regexp.Regexp // if set, only trials whose "family/title" it matches
	Shop   string         // if set, by the limits and rules of this shop
}

// Name returns the name of a trial: its family and its title.
func Name(r *eval.Record) string { return r.Family + "/" + r.Name }

// Run judges the trials and compares them with what they expect. The error is that of ctx; what is wrong with a trial is in its result.
func (s *Suite) Run(ctx context.Context, o Options) (*Report, error) {
	report := &Report{files: s.files}
	for _, r := range s.trials {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if o.Filter == nil || o.Filter.MatchString(Name(r)) {
			report.Results = append(report.Results, s.run(ctx, r, o.Shop))
		}
	}
	return report, nil
}

func (s *Suite) run(ctx context.Context, r *eval.Record, shop string) *Result {
	res := &Result{Trial: r, Status: Passed}
	v, err := s.judge(ctx, r, shop)
	if err != nil {
		res.Status, res.Err = Broken, err
		return res
	}
	res.Verdict = v
	if len(r.Expectation) == 0 {
		res.Differences = []Difference{{Place: r.Span().Pos, Message: "the trial expects nothing; write what it gives, or what it finds"}}
	}
	for _, e := range r.Expectation {
		one := *r
		one.Expectation = []eval.Expectation{e}
		for _, message := range v.Unmet(&one) {
			res.Differences = append(res.Differences, difference(v, e, message))
		}
	}
	if len(res.Differences) > 0 {
		res.Status = Failed
	}
	return res
}

func (s *Suite) judge(ctx context.Context, r *eval.Record, shop string) (*eval.Verdict, error) {
	var options []eval.Option
	if shop != "" {
		options = append(options, eval.InShop(shop))
	}
	job, err := s.bench.Load(r, options...)
	if err != nil {
		return nil, err
	}
	return job.Judge(ctx)
}
