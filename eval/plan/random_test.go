package plan

import (
	"math"
	"math/rand/v2"
)

// A shape says what random problems look like.
type shape struct {
	classes, tests int
	sharp          bool // tests never err
	rules          bool // needs, spoils, tests barred or done
	open           bool // stages of teardown
	strict         bool // error is not allowed
	shared         bool // remedies cure several classes
	fitted         bool // remedies need the unit opened
}

// randomProblem makes a valid problem from a source of random numbers.
func randomProblem(r *rand.Rand, s shape) *Problem {
	p := &Problem{Price: []float64{5, 30, 120, 500}[r.IntN(4)]}
	if s.strict {
		p.Price = math.Inf(1)
	}
	for c := range s.classes {
		w := r.ExpFloat64()
		if r.IntN(12) == 0 {
			w = 0
		}
		p.Weights = append(p.Weights, w)
		if s.shared && c > 0 && r.IntN(3) == 0 {
			p.Remedies = append(p.Remedies, p.Remedies[r.IntN(c)])
		} else {
			p.Remedies = append(p.Remedies, 10+c)
		}
	}
	p.Weights[r.IntN(s.classes)] = 1
	if s.open {
		p.Stages = append(p.Stages, Stage{})
		for i := 1; i < 2+r.IntN(3); i++ {
			back := 5 * r.Float64()
			if r.IntN(3) == 0 {
				back = []float64{-1, math.NaN(), math.Inf(1)}[r.IntN(3)]
			}
			p.Stages = append(p.Stages, Stage{After: r.IntN(i), Enter: 20 * r.Float64(), Back: back})
		}
		if s.fitted {
			stage := map[int]int{}
			for _, remedy := range p.Remedies {
				if _, known := stage[remedy]; !known {
					stage[remedy] = r.IntN(len(p.Stages))
				}
				p.Fits = append(p.Fits, stage[remedy])
			}
		}
		p.Stage = r.IntN(len(p.Stages))
		if r.IntN(2) == 0 {
			p.Stage = 0
		}
	}
	for range s.tests {
		p.Tests = append(p.Tests, randomTest(r, s, p))
	}
	if s.rules {
		for i := range p.Tests {
			// Needs look backwards in a random direction, so that they never run in a circle.
			if i > 0 && r.IntN(3) == 0 {
				n := Need{Test: r.IntN(i)}
				if r.IntN(2) == 0 {
					n.Outcomes = []int{r.IntN(len(p.Tests[n.Test].P[0]))}
				}
				p.Tests[i].Needs = append(p.Tests[i].Needs, n)
			}
			if r.IntN(4) == 0 {
				p.Tests[i].Spoils = append(p.Tests[i].Spoils, r.IntN(s.tests))
			}
			p.Tests[i].Barred = r.IntN(12) == 0
			if p.Tests[i].Done = r.IntN(12) == 0; p.Tests[i].Done {
				p.Tests[i].Outcome = r.IntN(len(p.Tests[i].P[0])+1) - 1
			}
		}
	}
	if p.Check() != nil { // a test that spoils what needs it
		return randomProblem(r, s)
	}
	return p
}

func randomTest(r *rand.Rand, s shape, p *Problem) Test {
	t := Test{Minutes: float64(1+r.IntN(60)) / 4}
	if len(p.Stages) > 0 {
		t.Stage = r.IntN(len(p.Stages))
	}
	outcomes := 2 + r.IntN(2)
	strengths := []float64{.99, .8, .6, .3, .1}
	for range s.classes {
		row := make([]float64, outcomes)
		switch {
		case s.sharp:
			row[r.IntN(outcomes)] = 1
		case r.IntN(2) == 0: // the class does not touch the test
			row[0] = .998
			for o := 1; o < outcomes; o++ {
				row[o] = .002 / float64(outcomes-1)
			}
		default:
			strength := strengths[r.IntN(len(strengths))]
			for o := range row {
				row[o] = (1 - strength) / float64(outcomes)
			}
			row[r.IntN(outcomes)] += strength
		}
		t.P = append(t.P, row)
	}
	return t
}
