package eval

import (
	"context"
	"slices"
)

// Judging: the program runs over the performances that count at the end of each pass.

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

	// Judging: the program runs over the performances that count at the end of each pass.
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

func (j *Job) judgePass(ctx context.Context, f *frame, p *program, pass int, s *passState) error {
	s.sight = j.sights[pass]
	f.use(p, s.checks, s.zs)
	f.spoken = f.spoken[:0]
	copy(s.results, p.told.results)
	copy(s.evidence.Possible, p.told.possible)
	copy(s.depths, s.sight.depths)
	clear(s.spelt)
	for i := f.glance(p, s, 0); i < len(p.tests); i = f.glance(p, s, i+1) {
		t := &p.tests[i]
		s.spell(f, p, s.spelt, t.uses)
		if err := j.judgeTest(ctx, f, p, int32(i), pass); err != nil {
			return err
		}
		s.take(t)
	}
	p.table.Judge(&s.evidence, s.findings)
	s.spell(f, p, s.spelt, p.asking.uses)
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

// spell judges in full those of some tests that were judged at a glance, and what they use, but for those that are spelt already in this frame.
func (s *passState) spell(f *frame, p *program, spelt []bool, tests []int32) {
	for _, i := range tests {
		if s.depths[i] == inFull || spelt[i] {
			continue
		}
		t := &p.tests[i]
		s.spell(f, p, spelt, t.uses)
		for k := range t.inputs {
			in := &t.inputs[k]
			copy(f.regs[in.base:in.base+in.n], s.sight.regs[in.base:])
			copy(f.errors[in.base:in.base+in.n], s.sight.errors[in.base:])
		}
		f.perform(p, t, planned{perf: s.sight.perfs[i], spoiled: -1})
		spelt[i] = true
	}
}

// outside tells whether a check is marginal outside of its limit: it failed by less than the decision rule asks for. At a glance none is.
func (s *passState) outside(p *program, check int32) bool {
	k, state := &p.checks[check], &s.checks[check]
	return s.depths[k.test] == inFull && state.result == Marginal && state.outcome >= 0 && k.results[state.outcome] == Fail
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
