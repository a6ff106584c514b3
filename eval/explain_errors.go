package eval

import (
	"fmt"
	"slices"
)

// What is worked out only to be shown.

// closely carries out again the tests of a pass that come before one, for the values that it uses.
func (v *Verdict) closely(pass *passState, before int32) *frame {
	f := v.frameFor(pass)
	for i := range v.program.tests[:before] {
		t := &v.program.tests[i]
		if last := t.lastOf(pass); last >= 0 && v.load(f, t, last) {
			f.run(v.program, t, v.job.renewedBefore(v.perfs[last]))
		}
	}
	return f
}

// frameFor is a frame with the states that a pass has left.
func (v *Verdict) frameFor(pass *passState) *frame {
	f := &frame{}
	f.use(v.program, slices.Clone(pass.checks), slices.Clone(pass.zs))
	return f
}

// load puts the readings of a performance into the registers of its test, laid out anew because the job may have gone on. It is false if they do
// not fit the unit, which they did when it was judged.
func (v *Verdict) load(f *frame, t *boundTest, perf int32) bool {
	performance := v.perfs[perf].read()
	job := v.job
	job.perfs = v.perfs
	if job.layout(performance) != nil {
		return false
	}
	f.load(t, performance)
	f.perf = perf
	return true
}

// lastOf is the last performance that a pass judged a test from, -1 without.
func (t *boundTest) lastOf(pass *passState) int32 {
	last := int32(-1)
	for c := t.checkFrom; c < t.checkTo; c++ {
		last = max(last, pass.checks[c].perf)
	}
	return last
}

// budget prints which reading brings how much of the uncertainty of a check.
func (x *explainer) budget(c Check) []ContributionText {
	var out []ContributionText
	for _, k := range c.Budget() {
		out = append(out, ContributionText{
			Reading: k.Reading, Meter: k.Meter, Shared: k.Shared,
			U: significant(k.U.SI(), k.U.Unit(), 2), Share: fmt.Sprintf("%.0f %%", 100*k.Share),
		})
	}
	return out
}
