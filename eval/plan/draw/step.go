// Package draw shows a plan to the person at the bench: as a tree in text for a terminal, and as SVG for paper. It takes titles and words from the
// caller. All functions are safe for concurrent use, and the same plan gives the same bytes.
package draw

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/brushgear/brushgear/eval/plan"
)

// A Step is a test with what to do after each outcome, or an end of the search.
type Step struct {
	Title    string   // of the test; of an end, the remedy
	Cautions []string // to read before the test
	Opening  string   // what the teardown before the test is, such as "take off the rear housing"
	Teardown float64  // minutes for it; of an end, those of opening that the remedy needs
	Minutes  float64  // of the test itself
	Branches []Branch // of a test; an end has none

	Error float64 // of an end: probability that the remedy is wrong
	Cut   bool    // of an end: too rare to be drawn to its end; Title is not used
}

// A Branch is one outcome, or several that lead to the same end.
type Branch struct {
	Outcomes    []string
	Probability float64 // once the test is done
	Elapsed     float64 // minutes since the start, when the outcome is known
	Step        *Step
}

// Labels turns the numbers of a plan into words. Test, Outcome and Remedy are needed; the others may be nil.
type Labels struct {
	Test     func(test int) string
	Outcome  func(test, outcome int) string
	Remedy   func(remedy int) string
	Cautions func(test int) []string
	// Opening is what brings the unit from the stage of the test before (plan.Stop at the start) to that of the next.
	Opening func(before, next int) string
	// Least is how probable a state must be to be drawn, 0 to 1. What is rarer is cut, since with tests that can err a plan has an answer to every
	// misreading.
	Least float64
}

// From puts a plan into words. Branches that end in the same remedy become one, and ends come before the outcomes that ask for more tests, so that they
// stand next to their test.
func From(p *plan.Plan, l Labels) *Step { return from(p.Root, &l, plan.Stop, 0) }

func from(n *plan.Node, l *Labels, before int, elapsed float64) *Step {
	if n.Test == plan.Stop {
		return &Step{Title: l.Remedy(n.Remedy), Error: n.Error, Teardown: n.Opening}
	}
	s := &Step{Title: l.Test(n.Test), Minutes: n.Minutes, Teardown: n.Teardown}
	if l.Cautions != nil {
		s.Cautions = l.Cautions(n.Test)
	}
	if l.Opening != nil && n.Teardown > 0 {
		s.Opening = l.Opening(before, n.Test)
	}
	elapsed += n.Minutes + n.Teardown
	ends := map[string]int{} // place of the branch that ends in a remedy
	for _, b := range n.Branches {
		var below *Step
		if b.Node.Probability < l.Least && b.Node.Test != plan.Stop {
			below = &Step{Cut: true}
		} else {
			below = from(b.Node, l, n.Test, elapsed)
		}
		word := l.Outcome(n.Test, b.Outcome)
		if len(below.Branches) == 0 {
			name := below.Title
			if below.Cut {
				name = "\x00"
			}
			if at, seen := ends[name]; seen {
				old := &s.Branches[at]
				both := old.Probability + b.Probability
				if both > 0 {
					old.Step.Error = (float64(old.Step.Error*old.Probability) + float64(below.Error*b.Probability)) / both
				}
				old.Outcomes, old.Probability = append(old.Outcomes, word), both
				continue
			}
			ends[name] = len(s.Branches)
		}
		s.Branches = append(s.Branches, Branch{[]string{word}, b.Probability, elapsed, below})
	}
	slices.SortStableFunc(s.Branches, func(a, b Branch) int { return min(len(a.Step.Branches), 1) - min(len(b.Step.Branches), 1) })
	return s
}

// Summary says in a sentence or two what a plan costs, and how far it may be from the best.
func Summary(p *plan.Plan) string {
	text := "No test is worth its minutes."
	if p.Root.Test != plan.Stop {
		text = minutes(p.Minutes) + " on average"
		if p.RemedyOpening >= .5 {
			text += ", then " + minutes(p.RemedyOpening) + " of opening for the remedy"
		}
		if often := wrong(p.Error); often != "" {
			text += ", the remedy " + often
		}
		text += "."
	}
	switch {
	case p.Exact:
		return text + " No plan costs less."
	case math.IsInf(p.Cost, 1):
		return text + " This is the best plan found."
	}
	return text + " With the price of wrong remedies the best plan found costs " + minutes(p.Cost) + "; none can cost less than " + minutes(p.Bound) + "."
}

// word names the outcomes of a branch, in text and on paper.
func (b *Branch) word() string { return clean(strings.Join(b.Outcomes, " or ")) }

// end names the remedy.
func (s *Step) end() string {
	if s.Cut {
		return "rare: plan again from here"
	}
	return clean(s.Title)
}

// doubt says what opening a remedy needs, and how often it will be wrong.
func (s *Step) doubt() string {
	if s.Cut {
		return ""
	}
	often := wrong(s.Error)
	if s.Teardown == 0 {
		return often
	}
	if often != "" {
		often = ", " + often
	}
	return minutes(s.Teardown) + " to open" + often
}

func wrong(p float64) string {
	if p < 0.005 {
		return ""
	}
	return "wrong in " + strconv.Itoa(int(math.Round(100*p))) + " of 100"
}

// effort says what the test takes.
func (s *Step) effort() string {
	text := minutes(s.Minutes)
	if s.Teardown > 0 {
		opening := clean(s.Opening)
		if opening == "" {
			opening = "teardown"
		}
		text = opening + " " + minutes(s.Teardown) + ", test " + text
	}
	return text
}

func minutes(m float64) string {
	digits := 1
	if m >= 10 {
		digits = 0
	}
	return strings.TrimSuffix(strconv.FormatFloat(m, 'f', digits, 64), ".0") + " min"
}

func share(p float64) string {
	switch {
	case p < 0.01:
		return "under 1 %"
	case p > 0.99 && p < 1-1e-9:
		return "over 99 %"
	}
	return strconv.Itoa(int(math.Round(100*p))) + " %"
}

// clean makes one line of a text from outside.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
	return strings.Join(strings.Fields(s), " ")
}
