package eval

// variances returns the variance behind each check of a pass. Judging only bounds the errors of formulas where the bound is enough to decide; here
// they are worked out.
func (v *Verdict) variances(pass *passState) []float64 {
	p := v.program
	out := make([]float64, len(p.checks))
	f := &frame{exact: true}
	f.use(p, make([]checkState, len(p.checks)), make([]float64, p.zs))
	for i := range p.tests {
		t := &p.tests[i]
		loaded := int32(-1)
		for c := t.checkFrom; c < t.checkTo; c++ {
			s := &pass.checks[c]
			out[c] = s.variance
			if !s.short || !t.soft {
				continue
			}
			if s.perf != loaded {
				v.again(f, t, s.perf)
				loaded = s.perf
			}
			out[c] = f.states[c].variance
		}
		if last := t.lastOf(pass); last >= 0 && last != loaded {
			v.again(f, t, last) // for the tests that use its values
		}
	}
	return out
}

// again runs a test once more on the readings of a performance, laid out anew because the job may have gone on.
func (v *Verdict) again(f *frame, t *boundTest, perf int32) {
	performance := *v.perfs[perf]
	performance.regs, performance.errors = nil, nil
	if v.job.layout(&performance) != nil {
		return // it was judged, so that it fits the unit
	}
	f.load(t, &performance)
	f.perf = perf
	f.run(v.program, t, false)
}

// lastOf is the last performance that a pass judged a test from, -1 without.
func (t *boundTest) lastOf(pass *passState) int32 {
	last := int32(-1)
	for c := t.checkFrom; c < t.checkTo; c++ {
		last = max(last, pass.checks[c].perf)
	}
	return last
}
