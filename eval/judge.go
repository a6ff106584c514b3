package eval

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Judging: the program runs over the performances that count at the end of each pass.

// planned is a performance that counts for a pass, and whether the part was renewed before it.
type planned struct {
	perf    int32
	renewed bool
	spoiled int32 // the performance of a test before it that spoils it, -1 without
}

// Judge judges all passes and returns a new Verdict, nil with an error. The errors are those of JudgeInto.
func (j *Job) Judge(ctx context.Context) (*Verdict, error) {
	v := &Verdict{}
	if err := j.JudgeInto(ctx, v); err != nil {
		return nil, err
	}
	return v, nil
}

// JudgeInto judges all passes into v and reuses the memory that v holds. Each pass speaks from all readings that are neither void nor stale at
// its last reading; work after that reading belongs to the next pass. The error is that of ctx, or says that the job lacks a date, or which
// reading the unit as set cannot have given. With an error v is empty, without passes.
func (j *Job) JudgeInto(ctx context.Context, v *Verdict) error {
	err := j.judgeInto(ctx, v)
	if err != nil {
		v.empty()
	}
	return err
}

func (j *Job) judgeInto(ctx context.Context, v *Verdict) error {
	if err := j.prepare(ctx); err != nil {
		return err
	}
	p := j.program
	v.reset(j)
	for i := range j.passes {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := j.judgePass(ctx, &v.frame, p, i, v.next(p)); err != nil {
			return err
		}
	}
	return nil
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

func (j *Job) judgePass(ctx context.Context, f *frame, p *program, pass int, s *passState) error {
	s.sight = j.sights[pass]
	f.use(p, s.checks, s.zs)
	f.spoken = f.spoken[:0]
	copy(s.results, p.told.results)
	copy(s.evidence.Possible, p.told.possible)
	copy(s.depths, s.sight.depths)
	for i := f.glance(p, s, 0); i < len(p.tests); i = f.glance(p, s, i+1) {
		t := &p.tests[i]
		s.spell(f, p, s.depths, t.uses)
		if err := j.judgeTest(ctx, f, p, int32(i), pass); err != nil {
			return err
		}
		s.take(t)
	}
	p.table.Judge(&s.evidence, s.findings)
	s.spell(f, p, s.depths, p.asking.uses)
	s.answers = f.answer(p, s.answers[:0])
	s.repeats = j.repeated(f, s.repeats)
	s.word = p.word(s)
	s.cutoff = j.cutoffs[pass]
	return nil
}

// take notes the outcomes of a test that was judged in full.
func (s *passState) take(t *boundTest) {
	for i := t.checkFrom; i < t.checkTo; i++ {
		state := &s.checks[i]
		s.results[i], s.evidence.Possible[i] = state.result, 0
		if state.spoke {
			s.evidence.Possible[i] = state.possible
		}
	}
}

// spell judges in full those of some tests that were judged at a glance, and what they use.
func (s *passState) spell(f *frame, p *program, depths []depth, tests []int32) {
	for _, i := range tests {
		if depths[i] != atGlance && depths[i] != byReading {
			continue
		}
		t := &p.tests[i]
		s.spell(f, p, depths, t.uses)
		for k := range t.inputs {
			in := &t.inputs[k]
			copy(f.regs[in.base:in.base+in.n], s.sight.regs[in.base:])
			copy(f.errors[in.base:in.base+in.n], s.sight.errors[in.base:])
		}
		f.perform(p, t, planned{perf: s.sight.perfs[i], spoiled: -1})
		if depths[i] == atGlance {
			depths[i] = spelledOut
		} else {
			depths[i] = inFull
		}
	}
}

// judgeTest judges one test from all its performances that count. Many repeats are what takes long, so it looks at ctx between them.
func (j *Job) judgeTest(ctx context.Context, f *frame, p *program, index int32, pass int) error {
	t := &p.tests[index]
	plan := j.plan[pass][index]
	if len(plan) == 0 {
		j.untested(f, p, t, pass)
	}
	for i, pl := range plan {
		if i > 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
			f.keep(p, t)
		}
		f.load(t, j.perfs[pl.perf])
		if j.partedFrom(t, j.perfs[pl.perf], pass) {
			j.performParted(f, p, t, pl, pass)
		} else {
			f.perform(p, t, pl)
		}
		if len(plan) > 1 && slices.ContainsFunc(f.states[t.checkFrom:t.checkTo], func(s checkState) bool { return s.spoke }) {
			f.spoken = append(f.spoken, repeat{index, pl.perf})
		}
		if i > 0 {
			f.combine(p, t)
		}
	}
	return nil
}

// load puts the readings of a performance into the registers of its test.
func (f *frame) load(t *boundTest, perf *performance) {
	at := int32(0)
	for i := range t.inputs {
		in := &t.inputs[i]
		copy(f.regs[in.base:in.base+in.n], perf.regs[at:at+in.n])
		copy(f.errors[in.base:in.base+in.n], perf.errors[at:at+in.n])
		at += in.n
	}
}

// performParted performs a test without the values of other tests that work has parted from it.
func (j *Job) performParted(f *frame, p *program, t *boundTest, pl planned, pass int) {
	saved := slices.Clone(f.regs)
	for _, other := range t.joins {
		if !j.parted(other, j.perfs[pl.perf], pass) {
			continue
		}
		for _, v := range p.tests[other].values {
			for k := range v.n {
				f.regs[v.base+k] = missingReg(v.v)
			}
		}
	}
	f.perform(p, t, pl)
	for _, other := range t.joins {
		for _, v := range p.tests[other].values {
			copy(f.regs[v.base:v.base+v.n], saved[v.base:v.base+v.n])
		}
	}
}

// partedFrom tells whether work lies between a performance and a test whose values it uses.
func (j *Job) partedFrom(t *boundTest, perf *performance, pass int) bool {
	return len(j.works) > 0 && slices.ContainsFunc(t.joins, func(other int32) bool { return j.parted(other, perf, pass) })
}

// parted tells whether work lies between a performance and the last one of another test.
func (j *Job) parted(other int32, perf *performance, pass int) bool {
	plan := j.plan[pass][other]
	if len(plan) == 0 {
		return false
	}
	last := j.perfs[plan[len(plan)-1].perf].seq
	return slices.ContainsFunc(j.works, func(w work) bool {
		return w.seq > min(last, perf.seq) && w.seq < max(last, perf.seq)
	})
}

// perform runs a test on the readings that are loaded: first whether it is meant for the unit, then its gates, then its checks.
func (f *frame) perform(p *program, t *boundTest, pl planned) {
	if t.applies != canTrue {
		why, result := causeApplies, NotDecidable
		if t.applies == canFalse {
			why, result = noCause, NotApplicable
		}
		f.all(p, t, result, why, 0, pl.perf)
		return
	}
	f.perf = pl.perf
	f.run(p, t, pl.renewed)
	if pl.spoiled >= 0 {
		f.all(p, t, NotValid, causeSpoiled, pl.spoiled, pl.perf)
		return
	}
	worst, result := noCause, NotTested
	arg := int32(0)
	for i := range t.needs {
		c, r := f.need(&t.needs[i])
		if c != noCause && (worst == noCause || r == NotValid && result != NotValid) {
			worst, result, arg = c, r, int32(i)
		}
	}
	switch {
	case worst != noCause:
		f.all(p, t, result, worst, arg, pl.perf)
	case t.leans && f.blank(t):
		f.silence(p, t)
	}
}

// blank tells whether nothing was read of a test that was written down all the same, every reading as missing.
func (f *frame) blank(t *boundTest) bool {
	read := false
	for i := range t.inputs {
		in := &t.inputs[i]
		if in.v.kind != readingValue || in.pass != "" {
			continue
		}
		read = true
		for _, r := range f.regs[in.base : in.base+in.n] {
			if r.flags&regMissing == 0 {
				return false
			}
		}
	}
	return read
}

// silence takes from the checks of a test that is blank what they have from other tests: a reading that is missing says nothing.
func (f *frame) silence(p *program, t *boundTest) {
	for i := t.checkFrom; i < t.checkTo; i++ {
		s := &f.states[i]
		if !s.spoke {
			continue
		}
		s.set, s.possible, s.outcome, s.spoke, s.result, s.cause = p.checks[i].all, p.checks[i].all, -1, false, NotDecidable, causeMissing
		f.unknown(p, i)
	}
}

// need tells what a precondition makes of the test.
func (f *frame) need(n *boundNeed) (cause8, Result) {
	truth := uint64(canTrue)
	if n.truth >= 0 {
		truth = f.regs[n.truth].bits
	}
	if n.n.gate != nil {
		switch truth {
		case canTrue:
			return noCause, 0
		case canFalse:
			return causeGateShut, NotValid
		}
		return causeGateOpen, NotDecidable
	}
	if f.regs[n.cond].flags&regMissing != 0 {
		return causeMissing, NotDecidable
	}
	switch truth {
	case canTrue:
		return noCause, 0
	case canFalse:
		return causeOutOfRange, NotValid
	}
	return causeRangeOpen, NotDecidable
}

// all gives every check of a test the same state: nothing is known of its outcome.
func (f *frame) all(p *program, t *boundTest, r Result, why cause8, arg, perf int32) {
	for i := t.checkFrom; i < t.checkTo; i++ {
		s := &f.states[i]
		*s = checkState{set: p.checks[i].all, possible: p.checks[i].all, outcome: -1, result: r, cause: why, arg: arg, limit: s.limit, perf: perf, lo: s.lo, hi: s.hi, low: s.low, upp: s.upp}
		f.unknown(p, i)
		if why == noCause {
			s.limit = -1
		}
	}
}

// untested gives the checks of a test that was not read their state, with the reason if one was given.
func (j *Job) untested(f *frame, p *program, t *boundTest, pass int) {
	for _, v := range t.values {
		for k := range v.n {
			f.regs[v.base+k] = missingReg(v.v)
		}
	}
	result, why, arg := NotTested, noCause, int32(0)
	if t.applies == canFalse {
		result = NotApplicable
	}
	for i, s := range j.skips {
		if s.test == t.t && s.unit == p.units[t.unit].name && s.pass <= pass {
			why, arg = causeSkipped, int32(i)
			if s.reason == "not_applicable" {
				result = NotApplicable
			}
		}
	}
	if why == noCause && j.wasStale(p, t, pass) {
		why = causeStale
	}
	for i := t.checkFrom; i < t.checkTo; i++ {
		f.states[i] = checkState{set: p.checks[i].all, possible: p.checks[i].all, outcome: -1, result: result, cause: why, arg: arg, limit: -1, perf: -1}
		f.unknown(p, i)
	}
}

// unknown sets the degrees of a check of which nothing is known: every outcome is possible.
func (f *frame) unknown(p *program, check int32) { clear(f.degreesOf(&p.checks[check])) }

func (f *frame) degreesOf(k *boundCheck) []float64 { return f.zs[k.z0 : int(k.z0)+len(k.results)] }

func (j *Job) wasStale(p *program, t *boundTest, pass int) bool {
	return slices.ContainsFunc(j.perfs, func(q *performance) bool {
		return q.test == t.t && q.unit == p.units[t.unit].name && q.pass <= pass && q.void == "" && j.stale(q, j.cutoffs[pass])
	})
}

// keep sets aside the states of a test before it is judged from another performance.
func (f *frame) keep(p *program, t *boundTest) {
	f.kept = append(f.kept[:0], f.states[t.checkFrom:t.checkTo]...)
	f.keptZs = f.keptZs[:0]
	for i := t.checkFrom; i < t.checkTo; i++ {
		f.keptZs = append(f.keptZs, f.degreesOf(&p.checks[i])...)
	}
}

// combine joins the states of repeats. Where one speaks and the other does not, the one that speaks counts; where both do, what both allow
// remains, and their degrees add up as the weights multiply; where they contradict each other, the check is at odds and not decided.
func (f *frame) combine(p *program, t *boundTest) {
	earlier := f.keptZs
	for i := t.checkFrom; i < t.checkTo; i++ {
		k := &p.checks[i]
		before, now := f.kept[i-t.checkFrom], &f.states[i]
		zs := f.degreesOf(k)
		was := earlier[:len(zs)]
		earlier = earlier[len(zs):]
		switch {
		case before.offScale(now), now.offScale(&before):
			clear(zs)
			now.spoke = false
			now.disagree(k.all, k.all)
		case !before.spoke && !before.atOdds:
		case !now.spoke:
			*now = before
			copy(zs, was)
		case before.set&now.set != 0 && !before.atOdds:
			for o := range zs {
				zs[o] = math.Hypot(zs[o], was[o])
			}
			if now.result != Information {
				if now.cause == causeStraddles || now.cause == causeMissing {
					now.cause = noCause
				}
				now.conclude(k, zs, p.guard)
			}
		default:
			for o := range zs {
				zs[o] = min(zs[o], was[o])
			}
			set := now.set | before.set
			now.disagree(set, now.possible|before.possible|set)
		}
	}
}

// outside tells whether a check is marginal outside of its limit: it failed by less than the decision rule asks for. At a glance none is.
func (s *passState) outside(p *program, check int32) bool {
	k, state := &p.checks[check], &s.checks[check]
	return s.depths[k.test] == inFull && state.result == Marginal && state.outcome >= 0 && k.results[state.outcome] == Fail
}

// disagree marks a check whose repeats contradict each other.
func (s *checkState) disagree(set, possible uint32) {
	s.set, s.possible = set, possible
	s.atOdds, s.cause, s.result, s.outcome = true, causeDisagree, NotDecidable, -1
}

// offScale tells whether a reading was OL on a meter of unknown full scale, and the other one of the same check lies on some scale: one of them is wrong.
func (s *checkState) offScale(other *checkState) bool {
	return s.cause == causeUnbounded && other.spoke && other.hi < infinite
}

// A UnitWord says of a whole unit, at the end of a pass, what its limits say, or what its limits and faults say together.
type UnitWord uint8

const (
	Undecided    UnitWord = iota // neither good nor faulty for certain: something is still to be tested
	LimitsMet                    // every check that the release needs is within its limits; nothing is said of faults
	LimitsFailed                 // a check is outside its limit; nothing is said of faults
	Serviceable                  // limits met, no fault shown or suspected, root causes cleared
	Faulty                       // a fault is shown, or it is all but certain that there is one
	NoFaultFound                 // as serviceable, with a complaint and no work: the complaint stands unanswered
	Unexplained                  // no faults on the sheet explain the readings: one of them is a slip, or the sheet lacks a fault
)

var unitWords = [...]string{"undecided", "limits met", "limits failed", "serviceable", "faulty", "no fault found", "unexplained"}

func (w UnitWord) String() string { return wordOf(unitWords[:], int(w)) }

// MarshalText writes the word.
func (w UnitWord) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// word sums up: failed if any check fails; met if every check of the release list passes, or without a list every check that is meant for
// the unit.
func (p *program) word(s *passState) UnitWord {
	if slices.Contains(s.results, Fail) {
		return LimitsFailed
	}
	needed := p.release
	if len(needed) == 0 {
		needed = p.judged
	}
	met := false
	for _, i := range needed {
		switch s.results[i] {
		case Pass:
			met = true
		case Marginal:
			if s.outside(p, i) {
				return Undecided
			}
			met = true
		case NotApplicable, Information:
		default:
			return Undecided
		}
	}
	if met {
		return LimitsMet
	}
	return Undecided
}
