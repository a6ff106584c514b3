package diagnosis

import (
	"math"
	"slices"
)

// This file and bruteforce_sets_test.go are an oracle for the engine: the likelihood of a set of faults and its posterior, written down as
// slowly and plainly as they are defined, with types of their own. Where the definition leaves something open, the comment says "decided".

// An oracleSheet holds faults and the readings of one unit. Sets of faults are bit masks.
type oracleSheet struct {
	faults []oracleFault
	checks []oracleCheck
	tests  []oracleTest
}

type oracleFault struct {
	prior float64 // of this instance: a fault of n positions has n instances with 1/n of its frequency each
	shows []oracleShow
	never []oracleOutcome // outcomes that it rules out
	masks []oracleMask
	with  []oracleWith
	leads []oracleLink
}

// An oracleShow gives bad outcomes their probability at one of the checks, which are positions of a list in one test: each is as likely, and the
// outcomes at the others are then good. Decided: two such shows of one fault draw their positions apart.
type oracleShow struct {
	checks []int
	p      []float64 // per outcome; that of good is the rest and not looked at
}

type oracleOutcome struct{ check, outcome int }

type oracleMask struct {
	check int
	hides uint // faults; 0: all
}

// An oracleWith says what the fault shows together with another one.
type oracleWith struct {
	other, check int
	p            []float64 // as in oracleShow
}

type oracleLink struct {
	to       int
	strength float64
}

// An oracleCheck has outcome 0 for good.
type oracleCheck struct {
	test, value int       // checks of one test with the same value are fed by one reading
	weights     []float64 // λ per outcome
	sides       []int     // for limits, per outcome: 0 good, -1, -2 .. low, 1, 2 .. high, the larger the worse; nil for named outcomes
	otherwise   int       // for named outcomes: the one for readings that no row names; 0 if there is none
}

type oracleTest struct {
	slip         float64 // ε of one performance
	performances int     // agreeing ones without work between
}

// oracleLikelihood is P_t(h) = (1−ε)·Π_v coin_v(h) + ε·Π_v mean_v, the mean of the first factor over the positions that the faults of h leave
// open. With one check to each value, coin_v(h) = Σ_o q_c(o|h)·λ_c(o). Agreeing performances count with εⁿ for ε (decided: all else as one).
func oracleLikelihood(s *oracleSheet, test int, set uint, slips bool) float64 {
	eps := 0.0
	if slips {
		eps = math.Pow(s.tests[test].slip, float64(s.tests[test].performances))
	}
	values := oracleValues(s, test)
	shown, slipped, ways := 0.0, 1.0, 0.0
	eachPlacing(s, test, set, func(placing map[[2]int]int) {
		product := 1.0
		for _, checks := range values {
			product *= oracleCoin(s, checks, set, placing)
		}
		shown += product
		ways++
	})
	for _, checks := range values {
		slipped *= oracleMean(s, checks)
	}
	return (1-eps)*shown/ways + eps*slipped
}

// oracleValues returns the checks of a test, those that one reading feeds together.
func oracleValues(s *oracleSheet, test int) (values [][]int) {
	at := map[int]int{}
	for c, check := range s.checks {
		if check.test != test {
			continue
		}
		if _, found := at[check.value]; !found {
			at[check.value], values = len(values), append(values, nil)
		}
		values[at[check.value]] = append(values[at[check.value]], c)
	}
	return values
}

// eachPlacing goes through the positions of all shows (fault, index) of the set in this test: the mixture over positions.
func eachPlacing(s *oracleSheet, test int, set uint, do func(map[[2]int]int)) {
	placing := map[[2]int]int{}
	var shows [][2]int
	for _, f := range setOf(set) {
		for i, show := range s.faults[f].shows {
			if s.checks[show.checks[0]].test == test {
				shows = append(shows, [2]int{f, i})
			}
		}
	}
	var next func(i int)
	next = func(i int) {
		if i == len(shows) {
			do(placing)
			return
		}
		for _, c := range s.faults[shows[i][0]].shows[shows[i][1]].checks {
			placing[shows[i]] = c
			next(i + 1)
		}
	}
	next(0)
}

// oracleMean is what a slip makes of a value: the mean λ over its cells, 1 + Σ(k−1) over its checks. Decided: the first cell is "all good" with the
// smallest of the λ of good, each other one a bad outcome of one check with its λ.
func oracleMean(s *oracleSheet, checks []int) float64 {
	allGood, total, cells := 1.0, 0.0, 1.0
	for _, c := range checks {
		w := s.checks[c].weights
		allGood = min(allGood, w[0])
		for _, x := range w[1:] {
			total += x
			cells++
		}
	}
	return (allGood + total) / cells
}

// oracleCoin is the likelihood of one reading: u is uniform, a check shows if u < 1 − q_c(good|h), and the weight is the smallest λ. Decided: the
// coin is thrown for the set, after its faults are combined check by check; the bad outcomes of a check lie along u in their order from 0 on.
// For a single check this is Σ q·λ.
func oracleCoin(s *oracleSheet, checks []int, set uint, placing map[[2]int]int) float64 {
	edges := []float64{0, 1}
	q := map[int][]float64{}
	for _, c := range checks {
		q[c] = oracleOutcomes(s, c, set, placing)
		at := 0.0
		for _, p := range q[c][1:] {
			at += p
			edges = append(edges, min(at, 1))
		}
	}
	slices.Sort(edges)
	total := 0.0
	for i := 1; i < len(edges); i++ {
		u := (edges[i-1] + edges[i]) / 2
		weight := 1.0
		for _, c := range checks {
			outcome, at := 0, 0.0
			for o := 1; o < len(q[c]); o++ {
				if at += q[c][o]; u < at {
					outcome = o
					break
				}
			}
			weight = min(weight, s.checks[c].weights[outcome])
		}
		total += (edges[i] - edges[i-1]) * weight
	}
	return total
}

// oracleOutcomes is q_c(o|h), in this order: masks, "with" rows, the combination of the effects, outcomes that are ruled out.
func oracleOutcomes(s *oracleSheet, check int, set uint, placing map[[2]int]int) []float64 {
	k := len(s.checks[check].weights)
	even := slices.Repeat([]float64{1 / float64(k)}, k)

	// A masker of everything replaces the combination by its own stated outcome, else by 1/k each. Decided: of several, those that state an
	// outcome are combined; what they hide has no say, also not by what it rules out.
	maskers, stating := uint(0), uint(0)
	for _, f := range setOf(set) {
		for _, m := range s.faults[f].masks {
			if m.check == check && m.hides == 0 {
				maskers |= 1 << f
			}
		}
	}
	acting := set
	if maskers != 0 {
		acting = maskers
	}
	for _, f := range setOf(acting) {
		if slices.ContainsFunc(s.faults[f].shows, func(show oracleShow) bool { return slices.Contains(show.checks, check) }) {
			stating |= 1 << f
		}
	}
	// Decided: a masker of some faults takes just these out of the combination, as if the set were without them.
	for _, f := range setOf(acting) {
		for _, m := range s.faults[f].masks {
			if m.check == check && m.hides != 0 {
				acting &^= m.hides
			}
		}
	}
	stating &= acting

	q := even
	if maskers == 0 || stating != 0 {
		q = oracleCombine(&s.checks[check], k, oracleEffects(s, check, acting, placing))
	}
	return oracleRuleOut(s, check, acting, q, even)
}

// oracleEffects returns the distributions over outcomes that are combined, one for each fault that names the check. A "with" row stands for both
// faults. Decided: further faults combine with it by the rule; the first row that applies, in the order of the faults, takes its two.
func oracleEffects(s *oracleSheet, check int, acting uint, placing map[[2]int]int) (effects [][]float64) {
	left := acting
	for _, f := range setOf(acting) {
		for _, w := range s.faults[f].with {
			pair := uint(1)<<f | uint(1)<<w.other
			if w.check == check && left&pair == pair {
				effects = append(effects, restToGood(w.p))
				left &^= pair
			}
		}
	}
	for _, f := range setOf(left) {
		p := make([]float64, len(s.checks[check].weights))
		for i, show := range s.faults[f].shows {
			if placing[[2]int{f, i}] == check && slices.Contains(show.checks, check) {
				for o := range p {
					p[o] += show.p[o]
				}
			}
		}
		effects = append(effects, restToGood(p))
	}
	return effects
}

// restToGood is s_f: what the bad outcomes leave goes to good.
func restToGood(p []float64) []float64 {
	out := slices.Clone(p)
	out[0] = 1
	for _, x := range p[1:] {
		out[0] -= x
	}
	return out
}

// oracleCombine lets every fault draw its effect apart from the others and goes through all draws. All good: good. All that are not good the
// same: that. Else they collide: on one side of a limit the worse wins; on both sides every outcome is as likely, good too (of low, good,
// high κ/3 each); of named outcomes all bad ones that some fault can show, and "otherwise".
func oracleCombine(c *oracleCheck, k int, effects [][]float64) []float64 {
	q := make([]float64, k)
	var next func(i int, p float64, drawn []int)
	next = func(i int, p float64, drawn []int) {
		if i < len(effects) {
			for o, x := range effects[i] {
				bad := slices.Clone(drawn)
				if o > 0 {
					bad = append(bad, o)
				}
				next(i+1, p*x, bad)
			}
			return
		}
		results := oracleCollide(c, k, effects, drawn)
		for _, o := range results {
			q[o] += p / float64(len(results))
		}
	}
	next(0, 1, nil)
	return q
}

// oracleCollide returns the outcomes that are as likely as each other after the faults drew these bad ones.
func oracleCollide(c *oracleCheck, k int, effects [][]float64, drawn []int) []int {
	slices.Sort(drawn)
	drawn = slices.Compact(drawn)
	if len(drawn) == 0 {
		return []int{0}
	}
	if len(drawn) == 1 {
		return drawn
	}
	if c.sides != nil {
		worst := drawn[0]
		for _, o := range drawn {
			if c.sides[o]*c.sides[worst] < 0 {
				return upTo(k)
			}
			if c.sides[o]*c.sides[o] > c.sides[worst]*c.sides[worst] {
				worst = o
			}
		}
		return []int{worst}
	}
	var sharing []int
	for o := 1; o < k; o++ {
		if o == c.otherwise || slices.ContainsFunc(effects, func(s []float64) bool { return s[o] > 0 }) {
			sharing = append(sharing, o)
		}
	}
	return sharing
}

// oracleRuleOut sets q(o) = 0 for what a fault of the set rules out and scales the rest; if nothing is left, 1/k each.
func oracleRuleOut(s *oracleSheet, check int, acting uint, q, even []float64) []float64 {
	out := slices.Clone(q)
	for _, f := range setOf(acting) {
		for _, n := range s.faults[f].never {
			if n.check == check {
				out[n.outcome] = 0
			}
		}
	}
	total := addUp(out)
	if total <= 1e-12 { // rounding of 1 - Σs
		return even
	}
	for o := range out {
		out[o] /= total
	}
	return out
}
