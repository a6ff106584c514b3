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
	weights  []float64 // of outcomes, beside the degrees of the pass
}

// ranking returns the probabilities of the faults of a pass, with the evidence that they rest on.
func (p PassVerdict) ranking() (*diagnosis.Ranking, *diagnosis.Evidence) {
	s := p.state()
	l := s.ranked
	l.mu.Lock()
	defer l.mu.Unlock()
	if !l.done {
		p.v.program.weigh(s, l)
		p.v.program.table.Rank(&l.evidence, &l.ranking)
		l.done = true
	}
	return &l.ranking, &l.evidence
}

// weigh makes evidence of the states of a pass: how well each outcome agrees with what was read.
func (p *program) weigh(s *passState, l *lazyRanking) {
	ev := &l.evidence
	ev.Possible = append(ev.Possible[:0], s.evidence.Possible...)
	ev.Weights = grown(ev.Weights, len(p.checks))
	l.weights = grown(l.weights, p.zs)
	for i := range s.checks {
		k, state := &p.checks[i], &s.checks[i]
		ev.Weights[i] = nil
		if !state.spoke {
			continue
		}
		ev.Possible[i] = state.set
		if state.short {
			continue
		}
		n := len(k.results)
		weights := l.weights[k.z0 : int(k.z0)+n]
		for o, z := range s.zs[k.z0 : int(k.z0)+n] {
			weights[o] = weight(z)
		}
		ev.Weights[i] = weights
	}
	ev.Repeats = s.repeats
}

// repeated counts the performances that agree, for each test of the table; nil if nothing was repeated.
func (p *program) repeated(plan [][]planned, states []checkState, into []int) []int {
	into = into[:0]
	if !slices.ContainsFunc(plan, func(l []planned) bool { return len(l) > 1 }) {
		return nil
	}
	into = grown(into, len(p.table.Tests))
	clear(into)
	for t := range p.tests {
		n := len(plan[t])
		for i := p.tests[t].checkFrom; i < p.tests[t].checkTo; i++ {
			if states[i].atOdds {
				n = min(n, 1)
			}
		}
		at := p.testOf[t]
		into[at] = max(into[at], n)
	}
	return into
}
