package plan

import (
	"fmt"
	"math"
)

// A Problem is a search for a remedy. Classes, tests, outcomes and stages are numbered from 0.
type Problem struct {
	// Weights holds how probable each class is in proportion to the others. Zero is allowed; the sum must be above zero.
	Weights []float64
	// Remedies holds for each class the number of the remedy that cures it. Classes with equal numbers share their remedy and need not be told
	// apart. A remedy of several parts has a number of its own.
	Remedies []int
	// Fits holds for each class the stage of teardown in which its remedy is carried out, equal for equal remedies; nil means stage 0 for all. Opening
	// that the remedy needs anyway is no price of a test that needs it too.
	Fits []int
	// Price is how many minutes a wrong remedy costs, above zero. +Inf means that error is not allowed: a plan then stops only where the remedy is
	// certain or no test can make it more so. The search counts it as a million times the minutes of all tests and stages together.
	Price float64
	Tests []Test
	// Stages of teardown; none means that the unit is never opened. Stage 0 is the assembled unit.
	Stages []Stage
	// Stage is where the unit stands now.
	Stage int
}

// A Test is something to measure or look at, once.
type Test struct {
	Minutes float64 // at least 0, without the teardown
	Stage   int     // how far the unit must be taken apart
	// P[class][outcome] is the probability of each outcome. Rows sum to 1.
	P      [][]float64
	Needs  []Need // all must be met before the test can be done
	Spoils []int  // tests that cannot be done after this one

	Barred  bool // cannot be done, such as for want of a meter
	Done    bool // was done; Weights already hold what it told
	Outcome int  // of a test done; negative if it came to no clear outcome
}

// A Need asks for another test to be done first, with one of the outcomes listed, or with any if none is listed.
type Need struct {
	Test     int
	Outcomes []int
}

// A Stage of teardown is reached from another stage, After, in Enter minutes. Back is the way back to it in minutes; NaN, +Inf or a negative number
// means that there is none. Of stage 0 nothing is read.
type Stage struct {
	After       int
	Enter, Back float64
}

// Limits of size. They keep a mistake in the caller from taking all memory.
const (
	maxOutcomes = 1 << 12
	maxCells    = 1 << 26 // sum over the tests of classes times outcomes
	maxMinutes  = 1e9     // of a test, of a stage, and of the price, unless it is +Inf
)

// Check says what is wrong with the problem, or nil.
func (p *Problem) Check() error {
	if len(p.Weights) == 0 {
		return fmt.Errorf("there is no class to tell apart")
	}
	if len(p.Remedies) != len(p.Weights) {
		return fmt.Errorf("%d classes have weights and %d have remedies: each class needs both", len(p.Weights), len(p.Remedies))
	}
	if err := p.checkFits(); err != nil {
		return err
	}
	sum := 0.0
	for i, w := range p.Weights {
		if !(w >= 0) || math.IsInf(w, 0) {
			return fmt.Errorf("class %d has the weight %v: a weight is a number from 0 up", i, w)
		}
		sum += w
	}
	if sum == 0 || math.IsInf(sum, 0) {
		return fmt.Errorf("the weights sum to %v: the sum must be above zero and finite", sum)
	}
	if !(p.Price > 0 && (p.Price <= maxMinutes || math.IsInf(p.Price, 1))) {
		return fmt.Errorf("the price of a wrong remedy is %v: write minutes above 0 and up to %v, or +Inf if error is not allowed", p.Price, maxMinutes)
	}
	if err := p.checkStages(); err != nil {
		return err
	}
	cells := 0
	for i := range p.Tests {
		if err := p.checkTest(i); err != nil {
			return fmt.Errorf("test %d: %w", i, err)
		}
		cells += len(p.Weights) * len(p.Tests[i].P[0])
		if cells > maxCells {
			return fmt.Errorf("the tables of the tests hold more than %d numbers", maxCells)
		}
	}
	_, err := p.order()
	return err
}

func (p *Problem) checkFits() error {
	if p.Fits == nil {
		return nil
	}
	if len(p.Fits) != len(p.Weights) {
		return fmt.Errorf("%d classes have weights and %d have stages for their remedies: give each class one, or none at all", len(p.Weights), len(p.Fits))
	}
	at := map[int]int{}
	for i, s := range p.Fits {
		if s < 0 || s >= max(len(p.Stages), 1) {
			return fmt.Errorf("the remedy of class %d is carried out at stage %d, which does not exist", i, s)
		}
		if before, seen := at[p.Remedies[i]]; seen && before != s {
			return fmt.Errorf("remedy %d is carried out at stage %d and at stage %d: a remedy has one stage", p.Remedies[i], before, s)
		}
		at[p.Remedies[i]] = s
	}
	return nil
}

func (p *Problem) checkStages() error {
	count := max(len(p.Stages), 1)
	if p.Stage < 0 || p.Stage >= count {
		return fmt.Errorf("the unit stands at stage %d of %d stages, counted from 0", p.Stage, count)
	}
	for i := 1; i < len(p.Stages); i++ {
		s := p.Stages[i]
		if s.After < 0 || s.After >= count {
			return fmt.Errorf("stage %d comes after stage %d, which does not exist", i, s.After)
		}
		if !(s.Enter >= 0 && s.Enter <= maxMinutes) {
			return fmt.Errorf("stage %d takes %v minutes: write a number from 0 to %v", i, s.Enter, maxMinutes)
		}
		if s.Back > maxMinutes && !math.IsInf(s.Back, 1) {
			return fmt.Errorf("the way back from stage %d takes %v minutes: write at most %v, or a negative number for no way back", i, s.Back, maxMinutes)
		}
		at, steps := i, 0
		for at != 0 {
			at = p.Stages[at].After
			if steps++; at < 0 || at >= count || steps > count {
				return fmt.Errorf("stage %d cannot be reached from stage 0", i)
			}
		}
	}
	return nil
}

func (p *Problem) checkTest(number int) error {
	t := &p.Tests[number]
	if !(t.Minutes >= 0 && t.Minutes <= maxMinutes) {
		return fmt.Errorf("takes %v minutes: write a number from 0 to %v", t.Minutes, maxMinutes)
	}
	if t.Stage < 0 || t.Stage >= max(len(p.Stages), 1) {
		return fmt.Errorf("stage %d does not exist", t.Stage)
	}
	if len(t.P) != len(p.Weights) {
		return fmt.Errorf("has %d rows of probabilities for %d classes", len(t.P), len(p.Weights))
	}
	outcomes := len(t.P[0])
	if outcomes == 0 || outcomes > maxOutcomes {
		return fmt.Errorf("has %d outcomes: from 1 to %d can be handled", outcomes, maxOutcomes)
	}
	for i, row := range t.P {
		if len(row) != outcomes {
			return fmt.Errorf("has %d outcomes for class %d and %d for class 0", len(row), i, outcomes)
		}
		sum := 0.0
		for o, v := range row {
			if !(v >= 0 && v <= 1+slack) {
				return fmt.Errorf("outcome %d has the probability %v for class %d: it lies from 0 to 1", o, v, i)
			}
			sum += v
		}
		if math.Abs(sum-1) > slack {
			return fmt.Errorf("the outcomes of class %d sum to %v, not to 1", i, sum)
		}
	}
	if t.Done && t.Outcome >= outcomes {
		return fmt.Errorf("came to outcome %d, but has %d outcomes, counted from 0", t.Outcome, outcomes)
	}
	for _, s := range t.Spoils {
		if s < 0 || s >= len(p.Tests) {
			return fmt.Errorf("spoils test %d, which does not exist", s)
		}
	}
	for i, n := range t.Needs {
		if n.Test < 0 || n.Test >= len(p.Tests) {
			return fmt.Errorf("needs test %d, which does not exist", n.Test)
		}
		if n.Test == number {
			return fmt.Errorf("needs itself")
		}
		other := &p.Tests[n.Test]
		for _, o := range n.Outcomes {
			if len(other.P) == 0 || o < 0 || o >= len(other.P[0]) {
				return fmt.Errorf("needs outcome %d of test %d, which does not exist", o, n.Test)
			}
		}
		for _, before := range t.Needs[:i] {
			if before.Test == n.Test && len(n.Outcomes) > 0 && len(before.Outcomes) > 0 && !overlap(before.Outcomes, n.Outcomes) {
				return fmt.Errorf("needs two outcomes of test %d at once", n.Test)
			}
		}
	}
	return nil
}

func overlap(a, b []int) bool {
	for _, x := range a {
		for _, y := range b {
			if x == y {
				return true
			}
		}
	}
	return false
}

// order lists the tests so that each comes after those that it needs.
func (p *Problem) order() ([]int, error) {
	order := make([]int, 0, len(p.Tests))
	waits := make([]int, len(p.Tests))
	gates := make([][]int, len(p.Tests)) // the tests that need this one
	for i := range p.Tests {
		waits[i] = len(p.Tests[i].Needs)
		for _, n := range p.Tests[i].Needs {
			gates[n.Test] = append(gates[n.Test], i)
		}
		if waits[i] == 0 {
			order = append(order, i)
		}
	}
	for at := 0; at < len(order); at++ {
		for _, i := range gates[order[at]] {
			if waits[i]--; waits[i] == 0 {
				order = append(order, i)
			}
		}
	}
	if len(order) < len(p.Tests) {
		for i, w := range waits {
			if w > 0 {
				return nil, fmt.Errorf("test %d can never be done: what it needs leads round to itself or to a circle", i)
			}
		}
	}
	// What a test needs, directly or through others, must not spoil it.
	for i := range p.Tests {
		if p.Tests[i].Done {
			continue
		}
		seen := map[int]bool{}
		for todo := []int{i}; len(todo) > 0; {
			at := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for _, n := range p.Tests[at].Needs {
				if seen[n.Test] {
					continue
				}
				seen[n.Test] = true
				todo = append(todo, n.Test)
				for _, s := range p.Tests[n.Test].Spoils {
					if s == i {
						return nil, fmt.Errorf("test %d can never be done: it needs test %d, which spoils it", i, n.Test)
					}
				}
			}
		}
	}
	return order, nil
}
