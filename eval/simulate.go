package eval

import (
	"fmt"
	"math"
	"slices"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/brushgear/brushgear/units"
)

// A Simulation is what a check comes to when the errors of its readings are drawn again and again.
type Simulation struct {
	Trials   int
	Outcomes []Mass  // of all outcomes of the check, in the order of the sheet
	Open     float64 // share of trials that leave the outcome open: a reading that is a range, a condition that is missing

	// Of the value that is compared with the limit, corrected to its conditions. They are zero where the check has no single number, or a trial
	// left it open.
	Mean, U   units.Quantity // the mean, and the standard uncertainty
	Low, High units.Quantity // the shortest interval that holds 95 % of the trials
}

// A Mass is the share of trials that end in an outcome.
type Mass struct {
	Outcome string
	Share   float64
}

// Simulate draws the errors of the readings behind a check from their distributions, trials times, and judges each draw by the sheet itself: the
// Monte Carlo method of JCGM 101:2008, clause 7. It is for a formula that is strongly bent within the errors of its readings, where the
// propagation by slopes that judging uses is not enough; the same seed gives the same result. A reading is drawn about what was read: one error that all
// readings of its meter share in one performance, and one of its own, each with the standard uncertainty and the distribution that its
// instrument states, rectangular by default. Values of other tests are drawn from the readings there. What is given as a range stays one.
//
// JCGM 101 advises 200 000 trials for an interval of 95 % (7.2.2); at least 100 are needed. Of repeats the last is drawn. An error tells that nothing was
// read, that the check was not valid, or that there are too few trials. It takes about a microsecond for each check and trial, and 8 bytes for each
// trial. It is safe for concurrent use.
func (c Check) Simulate(seed uint64, trials int) (Simulation, error) {
	s := c.state()
	switch {
	case s.perf < 0 || s.result == NotTested || s.result == NotApplicable:
		return Simulation{}, fmt.Errorf("%s was not tested: there is nothing to draw", c.Name())
	case s.result == NotValid:
		return Simulation{}, fmt.Errorf("%s is not valid: put right what it needs, and repeat it first", c.Name())
	case s.cause == causeMissing && c.bound().c.kind != patternCheck:
		return Simulation{}, fmt.Errorf("%s has no value: a reading or a condition that it needs is missing", c.Name())
	case s.cause == causeRefused:
		return Simulation{}, fmt.Errorf("%s cannot be corrected so far: repeat it at the conditions of its limit", c.Name())
	case trials < 100:
		return Simulation{}, fmt.Errorf("%d trials: use at least 100, better 200000", trials)
	}
	d := draws{c: c, counts: make([]int, len(c.bound().results))}
	if err := d.prepare(); err != nil {
		return Simulation{}, err
	}
	sample, err := uncertainty.Simulate(d.trial, d.in, nil, trials, seed)
	if err != nil {
		return Simulation{}, err
	}
	return d.summary(sample, trials)
}

// draws judges a check on readings with drawn errors. The deviations come in units of their standard uncertainties.
type draws struct {
	c        Check
	f        *frame
	in       []uncertainty.Input
	tests    []drawnTest // in the order in which they are judged, the test of the check last
	counts   []int       // of trials with each outcome
	open     int         // trials without a single outcome
	noNumber bool        // a trial did not give one number
}

// drawnTest is a test with the readings of one performance.
type drawnTest struct {
	t       boundTest
	renewed bool
	regs    []reg // of its inputs, as read
	base    []int32
	drawn   []drawnReading
}

// drawnReading is a reading with an error.
type drawnReading struct {
	at          int // in the readings of the performance
	own, shared float64
	ownIn       int // which deviation
	sharedIn    int // -1 without
}

// prepare lays out what is drawn: a deviation for each reading with an error, and one for each meter in each performance.
func (d *draws) prepare() error {
	v, b := d.c.p.v, d.c.bound()
	pass := d.c.p.spelled()
	d.f = v.frameFor(pass)
	needed := make([]bool, b.test+1)
	needed[b.test] = true
	for i := b.test; i >= 0; i-- { // tests come after those whose values they use
		if needed[i] {
			for _, other := range v.program.tests[i].joins {
				needed[other] = true
			}
		}
	}
	for i, need := range needed {
		t := &v.program.tests[i]
		perf := t.lastOf(pass)
		if int32(i) == b.test {
			perf = d.c.state().perf
		}
		if !need || perf < 0 {
			continue
		}
		if !v.load(d.f, t, perf) {
			return fmt.Errorf("%s: its readings no longer fit the unit", t.t.name)
		}
		d.add(t, v.job.renewedBefore(v.perfs[perf]))
	}
	clear(d.f.errors) // they are drawn instead
	return nil
}

// add takes in a test whose readings are loaded.
func (d *draws) add(t *boundTest, renewed bool) {
	k := drawnTest{t: *t, renewed: renewed}
	k.t.soft = false
	meters := map[int16]int{}
	for _, in := range t.inputs {
		for r := in.base; r < in.base+in.n; r++ {
			at := len(k.regs)
			k.regs, k.base = append(k.regs, d.f.regs[r]), append(k.base, r)
			e := &d.f.errors[r]
			if e.variance == 0 {
				continue
			}
			one := drawnReading{at: at, own: e.own, shared: e.shared, ownIn: d.deviation(e.ownShape), sharedIn: -1}
			if e.meter >= 0 {
				i, ok := meters[e.meter]
				if !ok {
					i = d.deviation(e.sharedShape)
					meters[e.meter] = i
				}
				one.sharedIn = i
			}
			k.drawn = append(k.drawn, one)
		}
	}
	d.tests = append(d.tests, k)
}

func (d *draws) deviation(shape uncertainty.Shape) int {
	d.in = append(d.in, uncertainty.Input{U: 1, Shape: shape})
	return len(d.in) - 1
}

// trial judges the check for one draw, counts its outcome and returns the number that was compared.
func (d *draws) trial(x []float64) float64 {
	f, p := d.f, d.c.p.v.program
	for i := range d.tests {
		k := &d.tests[i]
		for at, r := range k.base {
			f.regs[r] = k.regs[at]
		}
		for _, one := range k.drawn {
			by := float64(one.own * x[one.ownIn])
			if one.sharedIn >= 0 {
				by += float64(one.shared * x[one.sharedIn])
			}
			r := &f.regs[k.base[one.at]]
			r.lo, r.hi = r.lo+by, r.hi+by
		}
		f.run(p, &k.t, k.renewed)
	}
	s := &f.states[d.c.i]
	if s.outcome < 0 {
		d.open++
	} else {
		d.counts[s.outcome]++
	}
	if !d.number() || s.lo != s.hi || math.IsInf(s.lo, 0) || math.IsNaN(s.lo) || s.cause == causeMissing || s.cause == causeRefused {
		d.noNumber = true
		return 0
	}
	return s.lo
}

// number tells whether the check compares a single number.
func (d *draws) number() bool {
	c := d.c.bound().c
	return c.val != nil && c.val.typ.class == numberClass && !c.val.typ.table
}

func (d *draws) summary(sample uncertainty.Sample, trials int) (Simulation, error) {
	out := Simulation{Trials: trials, Open: float64(d.open) / float64(trials)}
	for i, o := range d.c.bound().c.outcomes {
		out.Outcomes = append(out.Outcomes, Mass{o.word, float64(d.counts[i]) / float64(trials)})
	}
	if d.noNumber {
		return out, nil
	}
	low, high, err := sample.Shortest(0.95)
	if err != nil {
		return Simulation{}, err
	}
	unit := d.c.unit()
	out.Mean, out.U = units.FromSI(sample.Mean, unit), units.FromSI(sample.U, differenceUnit(unit))
	out.Low, out.High = units.FromSI(low, unit), units.FromSI(high, unit)
	return out, nil
}

// Share returns the share of trials that end in an outcome, 0 for one that the check does not have.
func (s Simulation) Share(outcome string) float64 {
	i := slices.IndexFunc(s.Outcomes, func(m Mass) bool { return m.Outcome == outcome })
	if i < 0 {
		return 0
	}
	return s.Outcomes[i].Share
}
