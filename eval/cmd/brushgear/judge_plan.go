package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/plan"
	"github.com/brushgear/brushgear/eval/plan/draw"
	"github.com/brushgear/brushgear/eval/report"
)

// nothingToPlan is said where no test that is left could tell the explanations apart, or none is worth it.
const nothingToPlan = "%s: no test that is left tells enough for its minutes; the verdict says what to do\n"

// planned works out the plan of a verdict as a tree; nil if there is none.
func planned(v *eval.Verdict, r *eval.Record) (*draw.Step, draw.Options, error) {
	p, err := v.Last().Plan(context.Background(), 0)
	if p == nil || err != nil || p.Root.Test == plan.Stop {
		return nil, draw.Options{}, err
	}
	e := v.Explain()
	title := e.Unit
	if e.Serial != "" {
		title += ", serial " + e.Serial
	}
	if r.Name != "" {
		title = r.Name + ": " + title
	}
	steps, o := report.Plan(p, title)
	return steps, o, nil
}

// plan prints the plan of a verdict as text.
func (j *judging) plan(v *eval.Verdict, r *eval.Record) error {
	steps, o, err := planned(v, r)
	switch {
	case err != nil:
		return err
	case steps == nil:
		_, err = fmt.Fprintf(j.std.out, nothingToPlan, r.Name)
	default:
		_, err = fmt.Fprint(j.std.out, draw.Text(steps, o))
	}
	return err
}

// draw writes the plan of a verdict for paper, one file for each sheet.
func (j *judging) draw(v *eval.Verdict, r *eval.Record) error {
	steps, o, err := planned(v, r)
	if err != nil {
		return err
	}
	if steps == nil {
		fmt.Fprintf(j.std.err, nothingToPlan, r.Name)
		return nil
	}
	for i, sheet := range draw.SVG(steps, o) {
		name := j.paper
		if j.drawn > 0 || i > 0 {
			ext := filepath.Ext(name)
			name = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ext), j.drawn+1, ext)
		}
		if err := os.WriteFile(name, []byte(sheet), 0o644); err != nil {
			return err
		}
		fmt.Fprintf(j.std.err, "%s: the plan of %s\n", name, r.Name)
		j.drawn++
	}
	return nil
}
