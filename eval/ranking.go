package eval

import (
	"slices"
	"sync"

	"github.com/brushgear/brushgear/eval/diagnosis"
)

// Ranking: which faults explain the readings of a pass. It is worked out when it is first asked for, because many who judge want limits only.

// lazyRanking is the ranking of one pass. Its lock makes a verdict safe for concurrent reading.
type lazyRanking struct {
	mu       sync.Mutex
	done     bool
	evidence diagnosis.Evidence
	ranking  diagnosis.Ranking
	weights  []float64   // of outcomes, beside the degrees of the pass
	soft     [][]float64 // per check: those of a soft reading
}

// ranking returns the probabilities of the faults of a pass, with the evidence that they rest on.
func (p PassVerdict) ranking() (*diagnosis.Ranking, *diagnosis.Evidence) {
	p = p.there()
	s := p.state()
	l := s.ranked
	l.mu.Lock()
	defer l.mu.Unlock()
	if !l.done {
		if slices.Contains(s.depths, byReading) {
			p.spelled()
		}
		p.v.program.weigh(s, l)
		l.ranking.Most = p.v.job.roots
		p.v.program.table.Rank(&l.evidence, &l.ranking)
		l.done = true
	}
	return &l.ranking, &l.evidence
}

// glanced tells whether all tests were judged at a glance: no reading is soft.
func (s *passState) glanced() bool {
	for _, d := range s.depths {
		if d != atGlance {
			return false
		}
	}
	return true
}

// weigh makes evidence of the states of a pass: how well each outcome agrees with what was read.
func (p *program) weigh(s *passState, l *lazyRanking) {
	ev := &l.evidence
	ev.Possible = append(ev.Possible[:0], s.evidence.Possible...)
	ev.Repeats, ev.Weights = s.repeats, nil
	if s.glanced() {
		return
	}
	ev.Weights = grown(l.soft, len(p.checks))
	l.soft = ev.Weights
	l.weights = grown(l.weights, p.zs)
	for i := range s.checks {
		k, state := &p.checks[i], &s.checks[i]
		ev.Weights[i] = nil
		if s.depths[k.test] == atGlance || !state.spoke {
			continue
		}
		ev.Possible[i] = state.set
		n, soft := len(k.results), false
		weights := l.weights[k.z0 : int(k.z0)+n]
		for o, z := range s.zs[k.z0 : int(k.z0)+n] {
			weights[o] = weight(z)
			soft = soft || weights[o] != float64(state.set>>o&1)
		}
		if soft {
			ev.Weights[i] = weights
		}
	}
}

// repeat is a performance that says something of its test, one of several.
type repeat struct{ test, perf int32 }

// repeated counts the performances that agree, for each test of the table; nil if nothing was repeated. A performance that does not count is no repeat,
// and neither is one that reads another part of the test: each value must have been read so many times.
func (j *Job) repeated(f *frame, into []int) []int {
	p := j.program
	into = into[:0]
	if len(f.spoken) < 2 {
		return nil
	}
	into = grown(into, len(p.table.Tests))
	clear(into)
	for i := 0; i < len(f.spoken); {
		t, times := f.spoken[i].test, map[string]int{}
		for ; i < len(f.spoken) && f.spoken[i].test == t; i++ {
			for name, is := range j.perfs[f.spoken[i].perf].values {
				if !is.value.Missing() {
					times[name]++
				}
			}
		}
		n := 0
		for _, k := range times {
			if n == 0 || k < n {
				n = k
			}
		}
		if slices.ContainsFunc(f.states[p.tests[t].checkFrom:p.tests[t].checkTo], func(s checkState) bool { return s.atOdds }) {
			n = min(n, 1)
		}
		into[p.testOf[t]] = max(into[p.testOf[t]], n)
	}
	return into
}

// Unit returns the word for the whole unit, from its limits and faults. A sheet without faults leaves it with what the limits say.
func (p PassVerdict) Unit() UnitWord {
	p = p.there()
	limits := p.Limits()
	if len(p.v.program.faults) == 0 {
		if limits == LimitsMet && len(p.v.owed(p.i)) > 0 {
			return Undecided
		}
		return limits
	}
	r, _ := p.ranking()
	if r.NoSlip < diagnosis.Unexplained {
		return Unexplained
	}
	shown, suspected := false, false
	for f := range p.Faults() {
		s := f.statusIn(r)
		shown = shown || s == diagnosis.Shown
		suspected = suspected || s == diagnosis.Suspected
	}
	switch {
	case shown, r.None0 <= allButCertain && r.None < diagnosis.Misread:
		return Faulty
	case limits != LimitsMet || suspected || len(p.OpenCauses()) > 0 || len(p.v.owed(p.i)) > 0:
		return Undecided
	case p.v.unanswered(p.i):
		return NoFaultFound
	}
	return Serviceable
}

// unanswered tells whether there is a complaint, and nothing was done that could have dealt with it.
func (v *Verdict) unanswered(pass int) bool {
	r := v.job.record
	return r != nil && r.Complaint != "" && !slices.ContainsFunc(v.works, func(w work) bool { return w.pass <= pass }) &&
		!slices.ContainsFunc(v.notes, func(n note) bool { return n.clearedFor != "" && n.pass <= pass })
}

// Status returns what the readings tell of the fault.
func (f Fault) Status() diagnosis.Status {
	r, _ := f.p.ranking()
	return f.statusIn(r)
}

func (f Fault) statusIn(r *diagnosis.Ranking) diagnosis.Status {
	status := f.standing(r).Status
	if status == diagnosis.Shown || status == diagnosis.RuledOut {
		return status
	}
	if found := f.finding(); found.Shown >= 0 && found.Status == diagnosis.Shown && !f.p.misread(r, found.Shown) {
		return diagnosis.Shown
	}
	return status
}

func (f Fault) standing(r *diagnosis.Ranking) diagnosis.Standing {
	if f.i >= len(r.Faults) {
		return diagnosis.Standing{}
	}
	return r.Faults[f.i]
}

// misread tells whether the test of a check is more likely than not a slip.
func (p PassVerdict) misread(r *diagnosis.Ranking, check int32) bool {
	return r.AtOdds >= 0 && r.Slip > diagnosis.Misread && p.v.program.testOf[p.v.program.checks[check].test] == int32(r.AtOdds)
}

// Probability is that of the fault given the readings, by the frequencies and strengths of the sheet. It orders faults and is no finer than those words.
func (f Fault) Probability() float64 {
	r, _ := f.p.ranking()
	return f.standing(r).Probability
}

// OneOf tells that the readings show the fault, but not at which of several positions; this is one that it can be.
func (f Fault) OneOf() bool {
	return len(f.bound().f.axes) > 0 && f.Status() == diagnosis.Suspected && f.p.union(f.p.v.program.group(f.i)).Status == diagnosis.Shown
}

// union is what the readings say of one of several faults being there.
func (p PassVerdict) union(faults []int32) diagnosis.Standing {
	r, ev := p.ranking()
	return p.v.program.table.Union(ev, r, faults)
}

// group lists the positions of a fault.
func (p *program) group(fault int) []int32 {
	var list []int32
	for i := range p.faults {
		if p.faults[i].group == p.faults[fault].group {
			list = append(list, int32(i))
		}
	}
	return list
}

// A Story is a set of faults that explains the readings, each of which is needed for that. The empty set says that the unit is good.
type Story struct {
	Faults []Fault
	Share  float64 // of the probability of all sets of faults
}

// Stories returns the explanations of the readings that weigh at least a twentieth of the best one, the likeliest first.
func (p PassVerdict) Stories() []Story {
	r, _ := p.ranking()
	var list []Story
	for _, s := range r.Stories {
		story := Story{Share: s.Share}
		for _, f := range s.Faults {
			story.Faults = append(story.Faults, Fault{p, int(f)})
		}
		list = append(list, story)
	}
	return list
}

// AtOdds returns the test whose reading is most likely a slip, misread or made at the wrong place, with the probability of that; false if none is likely.
func (p PassVerdict) AtOdds() (test string, probability float64, ok bool) {
	r, _ := p.ranking()
	if r.AtOdds < 0 || r.Slip < oddSlip {
		return "", 0, false
	}
	return p.v.program.testName(p.v.program.led[r.AtOdds]), r.Slip, true
}

const (
	oddSlip       = .2  // a reading is called at odds from here on
	allButCertain = .05 // a unit is faulty if the probability of no fault is no more unless a reading is a slip, and a slip is not the likelier way out
)

func (p *program) testName(t int32) string {
	bt := &p.tests[t]
	if u := p.units[bt.unit].name; u != "" {
		return u + "." + bt.t.name
	}
	return bt.t.name
}
