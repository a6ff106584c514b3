package eval

import (
	"context"
	"slices"

	"github.com/brushgear/brushgear/eval/diagnosis"
)

// What came before: the records that a record points to, as far as they stand among the sheets of the bench.

// earlier judges the records that this one comes back from, and lists what was not tested then.
func (v *Verdict) earlier() []EarlierExplanation {
	r := v.job.record
	if r == nil || len(r.Earlier) == 0 {
		return nil
	}
	records, err := v.job.bench.Records()
	if err != nil {
		return nil
	}
	var list []EarlierExplanation
	for _, name := range r.Earlier {
		i := slices.IndexFunc(records, func(o *Record) bool { return o.Name == name })
		if i < 0 || records[i].Name == r.Name {
			continue
		}
		job, err := v.job.bench.Load(records[i])
		if err != nil {
			continue
		}
		then, err := job.Judge(context.Background())
		if err != nil || len(then.passes) == 0 {
			continue
		}
		e := EarlierExplanation{Record: name, Word: then.Last().Unit()}
		for p := range then.Passes() {
			for f := range p.Faults() {
				if f.Status() == diagnosis.Shown && !slices.Contains(e.Shown, f.Title()) {
					e.Shown = append(e.Shown, f.Title())
				}
			}
		}
		for _, w := range then.works {
			e.Work = append(e.Work, job.model(w.unit).remedies[w.remedy].title)
		}
		x := &explainer{v: then, p: then.Last(), s: &then.passes[len(then.passes)-1], index: len(then.passes) - 1}
		for _, t := range then.program.order {
			if bt := &then.program.tests[t]; !x.touched(bt) && bt.applies != canFalse && bt.unit == 0 {
				e.NotTested = append(e.NotTested, bt.t.title)
			}
		}
		list = append(list, e)
	}
	return list
}
