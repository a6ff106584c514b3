package eval

import (
	"context"
	"errors"
	"fmt"
)

// A VerdictChange is one difference in the verdict of a record between two editions of sheets.
type VerdictChange struct {
	Record string `json:"record"`
	Pass   string `json:"pass,omitempty"` // stage; with its number where there are several of one stage
	What   string `json:"what"`           // unit, check, fault, or record where an edition cannot judge it
	Name   string `json:"name,omitempty"`
	Old    string `json:"old"`
	New    string `json:"new"`
}

// CompareVerdicts judges a record by two editions of sheets and lists what would change: the words for the unit, results and outcomes of checks, and
// the status of faults, pass by pass. A record that one edition alone can judge is one change; it is an error if neither can,
// or if a bench or the record is nil.
func CompareVerdicts(ctx context.Context, old, new *Bench, r *Record, options ...Option) ([]VerdictChange, error) {
	switch {
	case r == nil:
		return nil, errors.New("there is no record to compare verdicts of")
	case old == nil || new == nil:
		return nil, fmt.Errorf("record %q: one of the two editions is not there: compile both", r.Name)
	}
	before, errBefore := verdictOf(ctx, old, r, options)
	after, errAfter := verdictOf(ctx, new, r, options)
	switch {
	case errBefore != nil && errAfter != nil:
		return nil, fmt.Errorf("record %q: %w", r.Name, errors.Join(errBefore, errAfter))
	case errBefore != nil:
		return []VerdictChange{{Record: r.Name, What: "record", Old: "not judged: " + errBefore.Error(), New: after.Last().Unit().String()}}, nil
	case errAfter != nil:
		return []VerdictChange{{Record: r.Name, What: "record", Old: before.Last().Unit().String(), New: "not judged: " + errAfter.Error()}}, nil
	}
	var list []VerdictChange
	stages := map[string]int{}
	for i := range min(len(before.passes), len(after.passes)) {
		x, y := PassVerdict{before, i}, PassVerdict{after, i}
		pass := y.Round().Stage
		if stages[pass]++; stages[pass] > 1 {
			pass = fmt.Sprintf("%s, %d", pass, stages[pass])
		}
		add := func(what, name, was, is string) {
			if was != is {
				list = append(list, VerdictChange{r.Name, pass, what, name, was, is})
			}
		}
		add("unit", "", x.Unit().String(), y.Unit().String())
		checks(x, y, add)
		faults(x, y, add)
	}
	return list, nil
}

func verdictOf(ctx context.Context, b *Bench, r *Record, options []Option) (*Verdict, error) {
	job, err := b.Load(r, options...)
	if err != nil {
		return nil, err
	}
	return job.Judge(ctx)
}

// checks compares results. A check that one edition does not have counts as not tested.
func checks(x, y PassVerdict, add func(what, name, was, is string)) {
	was := map[string]string{}
	for c := range x.Checks() {
		was[c.Name()] = c.words()
	}
	for c := range y.Checks() {
		before, there := was[c.Name()]
		if !there {
			before = NotTested.String()
			if c.Result() == NotApplicable {
				continue
			}
		}
		add("check", c.Name(), before, c.words())
		delete(was, c.Name())
	}
	for c := range x.Checks() {
		if text, left := was[c.Name()]; left && c.Result() != NotApplicable {
			add("check", c.Name(), text, NotTested.String())
		}
	}
}

// words says what became of a check: its result, and its outcome where that says more.
func (c Check) words() string {
	result := c.Result().String()
	if o := c.Outcome(); o != "" && o != "good" && (c.Result() == Fail || c.Result() == Marginal || c.Result() == Pass) {
		return result + ", " + spaced(o)
	}
	return result
}

// faults compares statuses. A fault that one edition does not have counts as not examined.
func faults(x, y PassVerdict, add func(what, name, was, is string)) {
	const unknown = "not examined"
	was := map[string]string{}
	for f := range x.Faults() {
		was[f.Name()] = f.Status().String()
	}
	for f := range y.Faults() {
		before, there := was[f.Name()]
		if !there {
			before = unknown
		}
		add("fault", f.Name(), before, f.Status().String())
		delete(was, f.Name())
	}
	for f := range x.Faults() {
		if text, left := was[f.Name()]; left {
			add("fault", f.Name(), text, unknown)
		}
	}
}
