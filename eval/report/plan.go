package report

import (
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/plan/draw"
)

// rare is how probable a state of the search must be to be drawn to its end.
const rare = 0.01

// Plan turns a plan into the steps of a troubleshooting tree, with a sentence on what it costs, for draw.Text and draw.SVG.
func Plan(p *eval.Plan, title string) (*draw.Step, draw.Options) {
	steps := draw.From(p.Plan, draw.Labels{
		Test: p.TestTitle, Outcome: p.OutcomeWords, Remedy: p.RemedyWords, Cautions: p.Cautions, Opening: p.Opening, Least: rare,
	})
	return steps, draw.Options{Title: title, Summary: draw.Summary(p.Plan)}
}
