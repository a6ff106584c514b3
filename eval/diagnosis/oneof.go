package diagnosis

import (
	"errors"
	"fmt"
	"math"
)

// A OneOf is a set of hypotheses of which exactly one holds, with checks whose outcomes depend on nothing else than on which one it is (naive Bayes).
//
// A OneOf is immutable once Prepare has run and then safe for concurrent use.
type OneOf struct {
	Priors []float64     // per hypothesis; they add up to 1
	Checks [][][]float64 // per check and hypothesis: the probability of each outcome; a check has the same outcomes for all hypotheses

	prepared bool
}

// Prepare checks the tables. It must run before Observe. Probabilities must add up to 1 within 1e-6 and are then scaled to do so in use.
func (o *OneOf) Prepare() error {
	o.prepared = false
	if len(o.Priors) == 0 {
		return errors.New("there are no hypotheses; give at least one prior")
	}
	if err := checkRow(o.Priors, len(o.Priors)); err != nil {
		return fmt.Errorf("priors: %w", err)
	}
	for c, rows := range o.Checks {
		if len(rows) != len(o.Priors) {
			return fmt.Errorf("check %d has rows for %d hypotheses; there are %d, and each needs one", c, len(rows), len(o.Priors))
		}
		if len(rows[0]) == 0 {
			return fmt.Errorf("check %d has no outcomes; it needs at least one", c)
		}
		for h, row := range rows {
			if err := checkRow(row, len(rows[0])); err != nil {
				return fmt.Errorf("check %d, hypothesis %d: %w", c, h, err)
			}
		}
	}
	o.prepared = true
	return nil
}

// Observe returns the posterior under the evidence. Weights holds for each check the probability, 0 to 1, of what was seen under each outcome
// (see [Seen]), nil if the check was not read. A shorter list leaves the rest unread.
func (o *OneOf) Observe(weights [][]float64) (*Choice, error) {
	if !o.prepared {
		return nil, errors.New("the hypotheses are not prepared: call Prepare first")
	}
	if len(weights) > len(o.Checks) {
		return nil, fmt.Errorf("there are weights for %d checks; the hypotheses have %d", len(weights), len(o.Checks))
	}
	p := make([]float64, len(o.Priors))
	total := addUp(o.Priors)
	for h := range p {
		p[h] = o.Priors[h] / total
	}
	exponent := 0 // many checks would underflow
	for c, w := range weights {
		if w == nil {
			continue
		}
		if err := checkWeights(w, len(o.Checks[c][0])); err != nil {
			return nil, fmt.Errorf("check %d: %w", c, err)
		}
		for h, row := range o.Checks[c] {
			likelihood := 0.0
			for k, q := range row {
				likelihood += float64(q * w[k])
			}
			p[h] *= likelihood / addUp(row)
		}
		exponent += rescale(p)
	}
	choice := &Choice{hypotheses: o, posterior: p}
	if all := addUp(p); all > 0 {
		choice.possible, choice.evidence = true, math.Ldexp(all, exponent)
		for h := range p {
			p[h] /= all
		}
	}
	return choice, nil
}

// rescale multiplies by the power of 2 that brings the largest value to 0.5 .. 1 and returns its exponent, negated.
func rescale(p []float64) int {
	largest := 0.0
	for _, x := range p {
		largest = max(largest, x)
	}
	_, exponent := math.Frexp(largest)
	for h := range p {
		p[h] = math.Ldexp(p[h], -exponent)
	}
	return exponent
}

func addUp(p []float64) float64 {
	total := 0.0
	for _, x := range p {
		total += x
	}
	return total
}

// A Choice is what a OneOf says under some evidence. It is immutable and safe for concurrent use.
type Choice struct {
	hypotheses *OneOf
	posterior  []float64
	evidence   float64
	possible   bool
}

// Evidence returns the probability of the evidence. It is 0 also if that is under the smallest float64.
func (c *Choice) Evidence() float64 { return c.evidence }

// Contradictory reports whether no hypothesis admits the evidence. There are no posteriors then, and the other methods return zeros.
func (c *Choice) Contradictory() bool { return !c.possible }

// Posterior returns the probability of each hypothesis.
func (c *Choice) Posterior() []float64 { return append([]float64(nil), c.posterior...) }

// Entropy returns how much is unknown, in bits.
func (c *Choice) Entropy() float64 { return entropy(c.posterior) }

// Gain returns by how many bits the entropy is expected to fall if the outcome of a check, not read so far, becomes known.
func (c *Choice) Gain(check int) (float64, error) {
	if check < 0 || check >= len(c.hypotheses.Checks) {
		return 0, fmt.Errorf("there is no check %d; the checks are 0 to %d", check, len(c.hypotheses.Checks)-1)
	}
	if !c.possible {
		return 0, nil
	}
	rows := c.hypotheses.Checks[check]
	outcomes := make([]float64, len(rows[0]))
	after := 0.0 // the expected entropy of the outcome once the hypothesis is known; the gain is the same from either side
	for h, row := range rows {
		total := addUp(row)
		scaled := make([]float64, len(row))
		for k, q := range row {
			scaled[k] = q / total
			outcomes[k] += float64(c.posterior[h] * scaled[k])
		}
		after += float64(c.posterior[h] * entropy(scaled))
	}
	return max(0, entropy(outcomes)-after), nil
}
