package uncertainty

import (
	"fmt"
	"math"
)

// Risks are the two ways in which a decision rule can be wrong, as shares of all items of a process: JCGM 106:2012, 9.5. The share that is
// accepted is Conforming − FalseReject + FalseAccept.
type Risks struct {
	FalseAccept float64 // share of items that do not conform and are accepted: the global consumer's risk
	FalseReject float64 // share of items that conform and are rejected: the global producer's risk
	Conforming  float64 // share of items that conform
}

// GlobalRisks works out the risks for items whose true values have the density of the prior, measured with the normal standard uncertainty u ≥ 0.
// An item conforms if its true value is within tolerance, and is accepted if its reading is within acceptance: JCGM 106:2012, 9.5.2, equations 17
// and 19, integrated numerically to about 10⁻¹¹. For a normal process and meter use [NormalPrior]. An error tells of limits in the wrong order,
// of a negative u, or of a density that is negative or has no finite, positive integral.
func GlobalRisks(p Prior, u float64, tolerance, acceptance Limits) (Risks, error) {
	total, err := checkRisks(p, u, tolerance)
	if err != nil {
		return Risks{}, err
	}
	if err := acceptance.check(); err != nil {
		return Risks{}, fmt.Errorf("acceptance %w", err)
	}
	conforming, err := integrate(p.Density, p.within(tolerance.Low), p.within(tolerance.High))
	if err != nil {
		return Risks{}, err
	}
	rejected := func(x float64) float64 { return p.Density(x) * Nonconformance(x, u, acceptance.Low, acceptance.High) }
	falseReject, err := p.integrate(rejected, tolerance.Low, tolerance.High, u, acceptance)
	if err != nil {
		return Risks{}, err
	}
	falseAccept, err := p.falseAccept(u, tolerance, acceptance)
	if err != nil {
		return Risks{}, err
	}
	return Risks{share(falseAccept / total), share(falseReject / total), share(conforming / total)}, nil
}

// GuardBand returns the guard band w for which the share of items that do not conform and are accepted is risk, between 0 and 1; the acceptance limits
// are tolerance.Guard(w): JCGM 106:2012, 9.5.4. It is negative if simple acceptance has less risk than wanted. An error tells that even accepting
// everything has less risk, that no limit is finite, or of bad arguments as in [GlobalRisks].
func GuardBand(p Prior, u float64, tolerance Limits, risk float64) (float64, error) {
	total, err := checkRisks(p, u, tolerance)
	switch {
	case err != nil:
		return 0, err
	case !(risk > 0 && risk < 1):
		return 0, fmt.Errorf("risk %v: use a number between 0 and 1, such as 0.01", risk)
	case math.IsInf(tolerance.Low, 0) && math.IsInf(tolerance.High, 0):
		return 0, fmt.Errorf("limits %v to %v: a guard band needs a finite limit", tolerance.Low, tolerance.High)
	}
	var failure error
	riskier := func(w float64) bool {
		r, err := p.falseAccept(u, tolerance, Limits{tolerance.Low + w, tolerance.High - w})
		if err != nil {
			failure = err
		}
		return r/total > risk
	}
	reach := p.To - p.From + 40*u // from either end of the prior no reading gets farther than this
	for _, limit := range []float64{tolerance.Low, tolerance.High} {
		if finite(limit) {
			reach += math.Max(math.Abs(limit-p.From), math.Abs(limit-p.To))
		}
	}
	low, high := -reach, math.Min(reach, (tolerance.High-tolerance.Low)/2)
	if !riskier(low) {
		if failure != nil {
			return 0, failure
		}
		return 0, fmt.Errorf("accepting everything has no more than the risk %v: no guard band is needed", risk)
	}
	return bisect(low, high, 1e-13*reach, riskier), failure
}

func checkRisks(p Prior, u float64, tolerance Limits) (total float64, err error) {
	if !notNegative(u) {
		return 0, fmt.Errorf("standard uncertainty %v: use a finite number from 0 up", u)
	}
	if err := tolerance.check(); err != nil {
		return 0, fmt.Errorf("tolerance %w", err)
	}
	return p.check()
}

// falseAccept is the integral over what does not conform and is accepted.
func (p Prior) falseAccept(u float64, tolerance, acceptance Limits) (float64, error) {
	accepted := func(x float64) float64 { return p.Density(x) * Conformance(x, u, acceptance.Low, acceptance.High) }
	below, err := p.integrate(accepted, p.From, tolerance.Low, u, acceptance)
	if err != nil {
		return 0, err
	}
	above, err := p.integrate(accepted, tolerance.High, p.To, u, acceptance)
	return below + above, err
}

// integrate integrates f from low to high as far as the prior reaches, in pieces about the steps that acceptance makes.
func (p Prior) integrate(f func(float64) float64, low, high, u float64, acceptance Limits) (float64, error) {
	var steps []float64
	for _, a := range []float64{acceptance.Low, acceptance.High} {
		if finite(a) {
			steps = append(steps, a-8*u, a, a+8*u)
		}
	}
	return integrate(f, p.within(low), p.within(high), steps...)
}

func (p Prior) within(x float64) float64 { return min(max(x, p.From), p.To) }

func share(x float64) float64 { return min(max(x, 0), 1) }
