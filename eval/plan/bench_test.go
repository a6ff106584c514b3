package plan

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// workbench is a problem of the size of a real unit: 31 classes, 24 tests of 1 to 15 minutes, a second stage after 20 minutes and a third after 25
// more. With even seeds there is no way back and each class has a remedy of its own; with odd ones there is, and a third of the classes share theirs.
func workbench(seed uint64, sharp bool) *Problem {
	r := rand.New(rand.NewPCG(seed, 31*24))
	p := &Problem{Price: 120, Stages: []Stage{{}, {After: 0, Enter: 20, Back: -1}, {After: 1, Enter: 25, Back: -1}}}
	for c := range 31 {
		p.Weights = append(p.Weights, []float64{.1, .03, .03, .01, .01, .003}[r.IntN(6)])
		p.Remedies = append(p.Remedies, c)
	}
	if seed%2 == 1 {
		p.Stages[1].Back, p.Stages[2].Back = 10, 15
		for c := range p.Remedies {
			if c%3 == 2 {
				p.Remedies[c] = p.Remedies[r.IntN(c)]
			}
		}
	}
	strengths := []float64{.99, .99, .99, .8, .8, .6, .3}
	for t := range 24 {
		test := Test{Minutes: float64(1 + r.IntN(15)), Stage: t * 3 / 24}
		outcomes := 2 + r.IntN(2)
		for range 31 {
			row := make([]float64, outcomes)
			strength := 0.0
			if r.IntN(4) == 0 { // a fault shows on a quarter of the tests
				strength = strengths[r.IntN(len(strengths))]
				if sharp {
					strength = 1
				}
			}
			row[1+r.IntN(outcomes-1)] = strength
			row[0] = 1 - strength
			if !sharp {
				for o := range row {
					row[o] = .998*row[o] + .002/float64(outcomes) // a slip now and then
				}
			}
			test.P = append(test.P, row)
		}
		p.Tests = append(p.Tests, test)
	}
	return p
}

func BenchmarkNext(b *testing.B) {
	for _, kind := range []string{"sharp", "soft", "shared", "fitted"} {
		b.Run(kind, func(b *testing.B) {
			p := workbench(4, kind == "sharp")
			if kind == "shared" || kind == "fitted" {
				p = workbench(5, false)
			}
			if kind == "fitted" {
				for _, r := range p.Remedies {
					p.Fits = append(p.Fits, 1+r%2)
				}
			}
			b.ReportAllocs()
			for b.Loop() {
				plan, err := p.Best(b.Context(), Options{})
				require.NoError(b, err)
				b.ReportMetric(float64(plan.Nodes), "nodes")
			}
		})
	}
}
