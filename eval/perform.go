package eval

import (
	"context"
	"math"
	"slices"
)

// Judging one test in full, from each of its performances.

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
		*s = checkState{set: p.checks[i].all, possible: p.checks[i].all, outcome: -1, result: r, cause: why, arg: arg, limit: s.limit, perf: perf, lo: s.lo, hi: s.hi, raw: s.raw, low: s.low, upp: s.upp}
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

// disagree marks a check whose repeats contradict each other.
func (s *checkState) disagree(set, possible uint32) {
	s.set, s.possible = set, possible
	s.atOdds, s.cause, s.result, s.outcome = true, causeDisagree, NotDecidable, -1
}

// offScale tells whether a reading was OL on a meter of unknown full scale, and the other one of the same check lies on some scale: one of them is wrong.
func (s *checkState) offScale(other *checkState) bool {
	return s.cause == causeUnbounded && other.spoke && other.hi < infinite
}
