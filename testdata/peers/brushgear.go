package peers

import (
	"context"
	"fmt"
	"io/fs"
	"testing/fstest"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"

	"github.com/brushgear/brushgear/testdata/peers/workload"
)

const sheetName = "workload.sheet"

// filesOf holds the sheet of the workload.
func filesOf(w *workload.Workload) fs.FS {
	return fstest.MapFS{sheetName: {Data: []byte(w.Sheet())}}
}

// load parses and compiles the sheet.
func load(files fs.FS) (*eval.Bench, error) {
	sheets, err := dsl.ParseFS(files, sheetName)
	if err != nil {
		return nil, err
	}
	return eval.Compile(sheets)
}

// round is what a job takes of one set.
type round struct {
	eval.Round
	readings []reading
}

type reading struct {
	ref   string
	value eval.Value
}

func roundOf(w *workload.Workload, s workload.Set) round {
	r := round{Round: eval.Round{Stage: eval.AsFound, At: map[string]eval.Value{}}}
	for _, c := range w.Conditions {
		r.At[c.Name] = valueOf(w, c, s)
	}
	for _, v := range w.Readings() {
		r.readings = append(r.readings, reading{v.Path(), valueOf(w, v, s)})
	}
	return r
}

func valueOf(w *workload.Workload, v *workload.Value, s workload.Set) eval.Value {
	if low, high, ok := w.Between(v, s); ok {
		return eval.Between(v.Quantity(low), v.Quantity(high))
	}
	var items []eval.Value
	for _, id := range v.Idents() {
		if v.Words != nil {
			items = append(items, eval.Word(s[id].(string)))
		} else {
			items = append(items, eval.Number(v.Quantity(s[id].(float64))))
		}
	}
	if v.Positions != nil {
		return eval.List(items...)
	}
	return items[0]
}

// jobOf opens a job and takes the readings.
func jobOf(bench *eval.Bench, r round, options ...eval.Option) (*eval.Job, error) {
	job, err := bench.Open(workload.Name, options...)
	if err != nil {
		return nil, err
	}
	if err := job.Begin(r.Round); err != nil {
		return nil, err
	}
	for _, taken := range r.readings {
		if err := job.Take(taken.ref, eval.Reading{Value: taken.value}); err != nil {
			return nil, err
		}
	}
	return job, nil
}

var resultOf = map[eval.Result]workload.Result{eval.Pass: workload.Pass, eval.Marginal: workload.Marginal, eval.Fail: workload.Fail}

// verdictOf reads the verdict of the library in the terms of the workload.
func verdictOf(w *workload.Workload, v *eval.Verdict) (workload.Verdict, error) {
	var out workload.Verdict
	pass := v.Last()
	for _, c := range w.Checks() {
		check, ok := pass.Check(c.Path())
		if !ok {
			return out, fmt.Errorf("the verdict has no check %s", c.Path())
		}
		result, ok := resultOf[check.Result()]
		if !ok {
			return out, fmt.Errorf("%s is %s", c.Path(), check.Result())
		}
		out.Results = append(out.Results, result)
	}
	for _, f := range w.Faults {
		fault, ok := pass.Fault(f.Name)
		if !ok {
			return out, fmt.Errorf("the verdict has no fault %s", f.Name)
		}
		_, contradicted := fault.RuledOutBy()
		out.RuledOut = append(out.RuledOut, contradicted)
	}
	return out, nil
}

func judgeBrushgear(w *workload.Workload) (func() error, error) {
	return judgeJobs(w, func(*eval.Verdict) {})
}

func rankBrushgear(w *workload.Workload) (func() error, error) {
	return judgeJobs(w, func(v *eval.Verdict) { v.Last().Unit() })
}

// judgeJobs prepares a job for each set of readings and does something with each verdict.
func judgeJobs(w *workload.Workload, then func(*eval.Verdict)) (func() error, error) {
	bench, err := load(filesOf(w))
	if err != nil {
		return nil, err
	}
	ctx, verdict := context.Background(), &eval.Verdict{}
	jobs := make([]*eval.Job, len(w.Sets))
	for i, s := range w.Sets {
		if jobs[i], err = jobOf(bench, roundOf(w, s), eval.AtMost(2)); err != nil {
			return nil, err
		}
		if err := jobs[i].JudgeInto(ctx, verdict); err != nil {
			return nil, err
		}
	}
	return inTurn(len(jobs), func(i int) error {
		err := jobs[i].JudgeInto(ctx, verdict)
		then(verdict)
		return err
	}), nil
}

// figuresBrushgear asks for a figure, so that a pass is judged in full.
func figuresBrushgear(w *workload.Workload) (func() error, error) {
	return judgeJobs(w.Metered(), func(v *eval.Verdict) {
		for c := range v.Last().Checks() {
			c.Margin()
			return
		}
	})
}

func judgeMetered(w *workload.Workload) (func() error, error) { return judgeBrushgear(w.Metered()) }

// takeBrushgear opens a job for each set.
func takeBrushgear(w *workload.Workload) (func() error, error) {
	bench, err := load(filesOf(w))
	if err != nil {
		return nil, err
	}
	rounds := make([]round, len(w.Sets))
	for i, s := range w.Sets {
		rounds[i] = roundOf(w, s)
	}
	ctx, verdict := context.Background(), &eval.Verdict{}
	return inTurn(len(rounds), func(i int) error {
		job, err := jobOf(bench, rounds[i])
		if err != nil {
			return err
		}
		return job.JudgeInto(ctx, verdict)
	}), nil
}

func compileBrushgear(w *workload.Workload) (func() error, error) {
	sheets, err := dsl.ParseFS(filesOf(w), sheetName)
	if err != nil {
		return nil, err
	}
	return func() error {
		_, err := eval.Compile(sheets)
		return err
	}, nil
}

func loadBrushgear(w *workload.Workload) (func() error, error) {
	files := filesOf(w)
	return func() error {
		_, err := load(files)
		return err
	}, nil
}

func parseBrushgear(w *workload.Workload) (func() error, error) {
	src := []byte(w.Sheet())
	return func() error {
		_, err := dsl.Parse(sheetName, src)
		return err
	}, nil
}
