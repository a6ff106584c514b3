package eval

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Which performances count for a pass, and where their readings lie.

// planned is a performance that counts for a pass, and whether the part was renewed before it.
type planned struct {
	perf    int32
	renewed bool
	spoiled int32 // the performance of a test before it that spoils it, -1 without
}

// prepare binds the program if what it depends on has changed, lays out the readings, and works out which performances count for each pass.
// The error of ctx leaves it to be done again.
func (j *Job) prepare(ctx context.Context) error {
	if !j.dirty && !j.rebind {
		return nil
	}
	j.pass()
	if j.rebind {
		if err := j.bind(); err != nil {
			return err
		}
	}
	for _, perf := range j.perfs {
		if err := ctx.Err(); err != nil {
			return err
		}
		if perf.program != j.program || len(perf.test.passed) > 0 {
			if err := j.layout(perf); err != nil {
				return placed(perf.src, err)
			}
		}
	}
	spoiling := j.spoiling()
	j.plan, j.cutoffs, j.sights = j.plan[:0], j.cutoffs[:0], j.sights[:0]
	for i := range j.passes {
		cutoff := j.cutoff(i)
		j.cutoffs = append(j.cutoffs, cutoff)
		plan := make([][]planned, len(j.program.tests))
		for k, perf := range j.perfs {
			if err := ctx.Err(); err != nil {
				return err
			}
			if perf.pass <= i && perf.void == "" && !j.stale(perf, cutoff) {
				t := j.program.find(perf.unit, perf.test)
				plan[t] = append(plan[t], planned{int32(k), j.renewedBefore(perf), j.spoiled(perf, spoiling)})
			}
		}
		j.plan = append(j.plan, plan)
		j.sights = append(j.sights, j.look(plan, i))
	}
	j.dirty = false
	return nil
}

func (j *Job) bind() error {
	cfg := j.cfg
	if cfg.date == 0 {
		for _, p := range j.passes {
			if p.On != "" {
				cfg.date, _ = parseDay(p.On)
			}
		}
	}
	if cfg.date == 0 && j.m.dated() {
		return errors.New("the limits of this unit depend on the day: say by which day it is judged (judge 2026-03-02), or give the pass a date")
	}
	p, err := j.bench.programs.get(&cfg)
	if err != nil {
		return err
	}
	j.program, j.date, j.rebind, j.dirty = p, cfg.date, false, true
	return nil
}

// dated tells whether a limit of the model or of what it includes has a source with dates.
func (m *model) dated() bool {
	for _, t := range m.tests {
		for _, c := range t.checks {
			if slices.ContainsFunc(c.limits, func(l *limit) bool { return l.source != nil && (l.source.from != 0 || l.source.until != 0) }) {
				return true
			}
		}
	}
	return slices.ContainsFunc(m.includes, func(i *include) bool { return i.kind.dated() })
}

// cutoff is the last reading of a pass or of the passes before it.
func (j *Job) cutoff(pass int) int {
	last := 0
	for _, p := range j.perfs {
		if p.pass <= pass {
			last = max(last, p.seq)
		}
	}
	return last
}

// stale tells whether work after a performance, and before the cutoff, touched what it speaks of.
func (j *Job) stale(p *performance, cutoff int) bool {
	return slices.ContainsFunc(j.works, func(w work) bool {
		return w.seq > p.first && w.seq <= cutoff && w.unit == p.unit && p.test.renewed[w.remedy]
	})
}

// spoiling lists the performances that spoil a test, by its unit and name, in order.
func (j *Job) spoiling() map[[2]string][]int32 {
	by := map[[2]string][]int32{}
	for i, q := range j.perfs {
		for _, name := range q.test.spoils {
			key := [2]string{q.unit, name}
			by[key] = append(by[key], int32(i))
		}
	}
	return by
}

// spoiled finds a test that was made before, with no work between, and spoils this one; -1 if there is none.
func (j *Job) spoiled(p *performance, spoiling map[[2]string][]int32) int32 {
	for _, i := range spoiling[[2]string{p.unit, p.test.name}] {
		q := j.perfs[i]
		if q.first >= p.first {
			break
		}
		if q.seq < p.first && !slices.ContainsFunc(j.works, func(w work) bool { return w.seq > q.seq && w.seq < p.first }) {
			return i
		}
	}
	return -1
}

func (j *Job) renewedBefore(p *performance) bool {
	return slices.ContainsFunc(j.works, func(w work) bool { return w.seq < p.first && w.unit == p.unit && p.test.renewed[w.remedy] })
}

// layout puts the values of a performance in the order of its test's inputs, with their errors beside them. It fails if the unit, now that all
// that was said of it is known, cannot have been read in this way.
func (j *Job) layout(perf *performance) error {
	p := j.program
	perf.program, perf.regs, perf.errors = nil, perf.regs[:0], perf.errors[:0]
	t := p.find(perf.unit, perf.test)
	if t < 0 {
		return fmt.Errorf("taken %s.%s: this unit includes no %s; see what is set of it", perf.unit, perf.test.name, perf.unit)
	}
	var meters []string
	n := 0
	for i := range p.tests[t].inputs {
		n += int(p.tests[t].inputs[i].n)
	}
	perf.regs, perf.errors = slices.Grow(perf.regs, n), slices.Grow(perf.errors, n)
	for _, in := range p.tests[t].inputs {
		v, ok, meter, name := Value{}, false, (*instrument)(nil), ""
		if from := j.performanceOf(perf, in.pass); from != nil {
			v, ok = j.given(from, in.v)
			meter, name = j.meterOf(from, in.v)
			if from != perf {
				name += " " + in.pass // in another performance a meter may be off by something else
			}
		}
		regs := []reg(nil)
		if ok {
			regs, _ = registerOf(in.v, v, meter)
		}
		if n := int(in.n); v.form == listForm && len(in.v.typ.axes) > 0 && n > 0 && n != len(regs) {
			return fmt.Errorf("taken %s: %w", strings.TrimPrefix(perf.unit+"."+perf.test.name+"."+in.v.name, "."), wrongLength(in.v, n, len(regs)))
		}
		if in.n == 0 && v.form == listForm {
			if err := j.tooLong(in.v); err != nil {
				return fmt.Errorf("taken %s: %w", strings.TrimPrefix(perf.unit+"."+perf.test.name+"."+in.v.name, "."), err)
			}
		}
		for k := range int(in.n) {
			r, e := p.regs[in.base+int32(k)], readingError{meter: -1}
			if k < len(regs) {
				r = regs[k]
				e = errorOf(in.v, v.at(k), meter, r)
				if e.shared != 0 {
					if e.meter = int16(slices.Index(meters, name)); e.meter < 0 {
						e.meter = int16(len(meters))
						meters = append(meters, name)
					}
				}
			}
			perf.regs = append(perf.regs, r)
			perf.errors = append(perf.errors, e)
		}
	}
	perf.program = p
	return nil
}

// tooLong refuses a list along positions of which the unit has more than a list can have. Where their number is not known there is no error.
func (j *Job) tooLong(v *value) error {
	cfg := j.cfg
	cfg.date = j.date
	b := newBinder(&cfg)
	for _, a := range v.typ.axes {
		if a.to == nil || b.axisLen(a) > 0 {
			continue
		}
		if r := b.eval(b.unitOf(a), a.to); r.lo == r.hi && r.flags&regMissing == 0 {
			return fmt.Errorf("%s counts from %d to %g here, and a list has from 1 to %d members; see what is set of the unit", a.name, a.from, r.lo, maxPositions)
		}
	}
	return nil
}

// meterOf finds the instrument of a reading or condition: the one that the record names, else the one of the sheet. The name tells meters apart
// that share their errors.
func (j *Job) meterOf(perf *performance, v *value) (*instrument, string) {
	name := perf.values[v.name].meter
	if v.kind != readingValue {
		name = perf.via[v.name]
		if _, own := perf.at[v.name]; !own {
			name = j.passes[perf.pass].Via[v.name]
		}
	}
	if name != "" {
		return j.instrument(j.meters[name].Is), name
	}
	if v.meter != nil {
		return v.meter, v.meter.name
	}
	return nil, ""
}

// given finds what was given for an input: a reading, or a condition of the performance or of its pass.
func (j *Job) given(perf *performance, v *value) (Value, bool) {
	if v.kind == readingValue {
		t, ok := perf.values[v.name]
		return t.value, ok && !t.value.Missing()
	}
	if c, ok := perf.at[v.name]; ok {
		return c, !c.Missing()
	}
	c, ok := j.passes[perf.pass].At[v.name]
	return c, ok && !c.Missing()
}

func (p *program) find(unit string, t *test) int {
	for i := range p.tests {
		if b := &p.tests[i]; b.t == t && p.units[b.unit].name == unit {
			return i
		}
	}
	return -1
}
