package uncertainty

import (
	"fmt"
	"math"
)

// Conformance is the probability that the true value lies from low to high, for a normal distribution about the value x with the standard
// uncertainty u: Φ((high−x)/u) − Φ((low−x)/u), JCGM 106:2012, 7.3 and 7.4. A side without a limit is ±Inf. With u = 0 it is 1 or 0, a value on a limit
// being inside; with low > high it is 0. It is NaN if u is negative or infinite or anything is NaN. It does not allocate.
func Conformance(x, u, low, high float64) float64 {
	switch {
	case bad(x, u, low, high):
		return math.NaN()
	case low > high:
		return 0
	case u == 0:
		if x >= low && x <= high {
			return 1
		}
		return 0
	}
	a, b := (low-x)/u, (high-x)/u
	if a > 0 { // the difference of two small numbers keeps digits that the difference of two near one would lose
		a, b = -b, -a
	}
	return math.Max(0, Below(b)-Below(a))
}

// Nonconformance is 1 − [Conformance], worked out so that a small risk keeps its digits: the risk of accepting this very item, JCGM 106:2012, 9.3.2.
func Nonconformance(x, u, low, high float64) float64 {
	switch {
	case bad(x, u, low, high):
		return math.NaN()
	case low > high:
		return 1
	case u == 0:
		return 1 - Conformance(x, u, low, high)
	}
	return math.Min(1, Below((low-x)/u)+Below((x-high)/u))
}

func bad(x, u, low, high float64) bool {
	return !finite(x) || !notNegative(u) || math.IsNaN(low) || math.IsNaN(high)
}

// GuardFactor is how many standard uncertainties a reading must be inside a limit for the risk of accepting what does not conform to be at most
// risk, 0 < risk < 0.5: −Φ⁻¹(risk), JCGM 106:2012, 8.3.3 and Table 1. The guard band is w = GuardFactor·u. The other common bands are w = U, that is
// 2u, and w = 1.65 u.
func GuardFactor(risk float64) (float64, error) {
	if !(risk > 0 && risk < 0.5) {
		return 0, fmt.Errorf("risk %v: use a number between 0 and 0.5, such as 0.05; simple acceptance has up to 0.5", risk)
	}
	return -Quantile(risk), nil
}

// Limits bound a quantity, both included; a side without a limit is ±Inf.
type Limits struct {
	Low, High float64
}

func (l Limits) check() error {
	if !(l.Low <= l.High) {
		return fmt.Errorf("limits %v to %v: the low one must not be above the high one; use ±Inf for a side without a limit", l.Low, l.High)
	}
	return nil
}

// Guard returns the acceptance limits for these tolerance limits and a guard band w, in the unit of the limits: Low + w and High − w, JCGM 106:2012,
// 8.3.2. With w > 0 what is accepted conforms (guarded acceptance); with w < 0 what is rejected does not conform (guarded rejection, 8.3.3). An
// error tells that the guard bands meet, so that this meter cannot accept anything.
func (l Limits) Guard(w float64) (Limits, error) {
	if err := l.check(); err != nil {
		return Limits{}, err
	}
	if !finite(w) {
		return Limits{}, fmt.Errorf("guard band %v: use a finite number", w)
	}
	guarded := Limits{Low: l.Low + w, High: l.High - w}
	if guarded.Low > guarded.High {
		return Limits{}, fmt.Errorf("a guard band of %v on either side leaves nothing of %v to %v: use a meter with less uncertainty, or a smaller band",
			w, l.Low, l.High)
	}
	return guarded, nil
}

// Decision is one of the four results of a guarded decision rule: ILAC-G8:09/2019, 4.2.3.
type Decision uint8

// Results of Decide.
const (
	Fail            Decision = iota // outside of a limit by the guard band or more
	ConditionalFail                 // outside of a limit, by less than the guard band
	ConditionalPass                 // inside of both limits, but of one by less than the guard band
	Pass                            // inside of both limits by the guard band or more
)

var decisions = [...]string{"fail", "conditional fail", "conditional pass", "pass"}

// String returns fail, conditional fail, conditional pass or pass.
func (d Decision) String() string {
	if int(d) >= len(decisions) {
		return fmt.Sprintf("Decision(%d)", uint8(d))
	}
	return decisions[d]
}

// Decide compares a value with limits under a guard band of w ≥ 0 on either side of each limit, w = g·u for a guard factor g: ILAC-G8:09/2019, 4.2.3.
// A value on a limit is inside. With w = 0 the result is Pass or Fail: simple acceptance. It does not allocate unless it returns an error.
func Decide(x, low, high, w float64) (Decision, error) {
	switch {
	case !finite(x):
		return Fail, fmt.Errorf("value %v: use a finite number", x)
	case !notNegative(w):
		return Fail, fmt.Errorf("guard band %v: use a finite number from 0 up", w)
	case !(low <= high):
		return Fail, Limits{low, high}.check()
	}
	inside := math.Min(x-low, high-x)
	switch {
	case inside >= w:
		return Pass, nil
	case inside >= 0:
		return ConditionalPass, nil
	case inside > -w:
		return ConditionalFail, nil
	}
	return Fail, nil
}

// TestUncertaintyRatio is the width of a tolerance over that of the uncertainty: (high−low)/(2U) for the expanded uncertainty U > 0 of the
// measurement, with k = 2 the measurement capability index of JCGM 106:2012, 7.6.3. A ratio of 4 is a common demand. It needs two limits.
func TestUncertaintyRatio(low, high, expanded float64) (float64, error) {
	switch {
	case !finite(low) || !finite(high) || !(low <= high):
		return 0, fmt.Errorf("limits %v to %v: the ratio needs two finite limits, the low one first", low, high)
	case !positive(expanded):
		return 0, fmt.Errorf("expanded uncertainty %v: use a finite number above 0", expanded)
	}
	return (high - low) / (2 * expanded), nil
}

// Capability returns the index Cpk = min(high−mean, mean−low)/(3 sd) of a normal process with the standard deviation sd > 0, as in ISO 22514-2 (from
// memory), and the share of it outside of the limits. A side without a limit is ±Inf.
func Capability(mean, sd, low, high float64) (cpk, outside float64, err error) {
	switch {
	case !finite(mean):
		return 0, 0, fmt.Errorf("mean %v: use a finite number", mean)
	case !positive(sd):
		return 0, 0, fmt.Errorf("standard deviation %v: use a finite number above 0", sd)
	case !(low <= high):
		return 0, 0, Limits{low, high}.check()
	}
	return math.Min(high-mean, mean-low) / (3 * sd), Nonconformance(mean, sd, low, high), nil
}
