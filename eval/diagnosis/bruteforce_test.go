package diagnosis

import (
	"math"
	"math/bits"
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

// An oracleShow gives bad outcomes their probability at the checks where the fault is: positions of a list in one test. Decided: it is at any of the
// subsets of up to four positions, or at one or all of more, each as likely, and the outcomes elsewhere are good, because worn brushes are worn at
// all holders; shows of one fault in one test over lists of one length share the positions.
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

// oracleLikelihood is P_t(h) = (1−ε)·Π_v value_v(h) + ε·Π_v mean_v, the mean of the first factor over the positions that the faults of h leave
// open. With one check to each value, value_v(h) = Σ_o q_c(o|h)·λ_c(o). Agreeing performances count with εⁿ for ε (decided: all else as one).
func oracleLikelihood(s *oracleSheet, test int, set uint, slips bool) float64 {
	eps := 0.0
	if slips {
		eps = math.Pow(s.tests[test].slip, float64(s.tests[test].performances))
	}
	values := oracleValues(s, test)
	shown, slipped, ways := 0.0, 1.0, 0.0
	eachPlacing(s, test, set, func(placing map[[2]int]uint) {
		product := 1.0
		for _, checks := range values {
			product *= oracleValue(s, checks, set, placing)
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

// eachPlacing goes through the positions of all shows (fault, length of the list) of the set in this test, as sets of places in the list.
func eachPlacing(s *oracleSheet, test int, set uint, do func(map[[2]int]uint)) {
	placing := map[[2]int]uint{}
	var lists [][2]int
	for _, f := range setOf(set) {
		for _, show := range s.faults[f].shows {
			if list := [2]int{f, len(show.checks)}; s.checks[show.checks[0]].test == test && !slices.Contains(lists, list) {
				lists = append(lists, list)
			}
		}
	}
	var next func(i int)
	next = func(i int) {
		if i == len(lists) {
			do(placing)
			return
		}
		n := lists[i][1]
		for places := uint(1); places < 1<<n; places++ {
			if n <= 4 || bits.OnesCount(places) == 1 || bits.OnesCount(places) == n {
				placing[lists[i]] = places
				next(i + 1)
			}
		}
	}
	next(0)
}

// oracleMean is what a slip makes of a value: 1/mean − 1 adds up over the checks that tell outcomes apart, the mean of one check being that of its λ.
// Decided: for sharp readings this is 1 in 1 + Σ(k−1) cells, for one check the mean λ, and a check that tells nothing drops out. (All good together
// plus the single bad outcomes counts two bad ones twice, all combinations count cells that no reading falls in.)
func oracleMean(s *oracleSheet, checks []int) float64 {
	against := 0.0
	for _, c := range checks {
		w := s.checks[c].weights
		against += float64(len(w))/addUp(w) - 1
	}
	return 1 / (1 + against)
}

// An oracleEffect is what one fault shows, or two by a "with" row. Decided: each fault has one coin for a value; a row uses that of the fault that
// states it.
type oracleEffect struct {
	coin int
	p    []float64
}

// An oracleSay is what the faults of a set have to say of a check.
type oracleSay struct {
	even    bool // 1/k each
	effects []oracleEffect
	never   []int
}

// oracleValue is the likelihood of one reading: every fault draws u, uniform, and at each check shows the outcome at which u lies when the bad ones
// are laid from 0 on, in their order, as wide as they are likely. What the faults show at a check is brought together by oracleCollide, and the
// weight of the outcomes of all checks is the smallest λ. Decided: what a fault rules out is taken from these joint outcomes, and the rest scaled;
// if nothing is left, all combinations are as likely. For a single check this is Σ q·λ.
func oracleValue(s *oracleSheet, checks []int, set uint, placing map[[2]int]uint) float64 {
	var says []oracleSay
	for _, c := range checks {
		says = append(says, oracleSays(s, c, set, placing))
	}
	left, total := 0.0, 0.0 // of all that is not ruled out: probability, and that times weight
	outcomes := make([]int, len(checks))
	var each func(i int, p float64, at func(i int) []int)
	each = func(i int, p float64, at func(i int) []int) {
		if i == len(checks) {
			weight := 1.0
			for i, o := range outcomes {
				if slices.Contains(says[i].never, o) {
					return
				}
				weight = min(weight, s.checks[checks[i]].weights[o])
			}
			left, total = left+p, total+p*weight
			return
		}
		results := at(i)
		for _, o := range results {
			outcomes[i] = o
			each(i+1, p/float64(len(results)), at)
		}
	}
	eachCoin(setOf(set), says, func(coins map[int]float64, p float64) {
		each(0, p, func(i int) []int { return oracleCollide(&s.checks[checks[i]], &says[i], coins) })
	})
	if left <= 1e-12 { // rounding of 1 - Σs
		left, total = 0, 0
		for i := range says {
			says[i].never = nil
		}
		each(0, 1, func(i int) []int { return upTo(len(s.checks[checks[i]].weights)) })
	}
	return total / left
}

// eachCoin goes through the stretches of all coins in which they make no difference.
func eachCoin(faults []int, says []oracleSay, do func(coins map[int]float64, p float64)) {
	coins := map[int]float64{}
	var next func(i int, p float64)
	next = func(i int, p float64) {
		if i == len(faults) {
			do(coins, p)
			return
		}
		edges := []float64{0, 1}
		for _, say := range says {
			for _, e := range say.effects {
				at := 0.0
				for _, x := range e.p[1:] {
					if at += x; e.coin == faults[i] {
						edges = append(edges, min(at, 1))
					}
				}
			}
		}
		slices.Sort(edges)
		for k := 1; k < len(edges); k++ {
			if edges[k] > edges[k-1] {
				coins[faults[i]] = (edges[k-1] + edges[k]) / 2
				next(i+1, p*(edges[k]-edges[k-1]))
			}
		}
	}
	next(0, 1)
}

// oracleSays finds who has a say in a check. Decided: a masker of everything silences all that do not mask it, also what they rule out; a masker of
// some faults that is heard itself silences these. If then nothing is shown, but the check is masked or a silenced fault would have shown something,
// the outcomes are equally likely.
func oracleSays(s *oracleSheet, check int, set uint, placing map[[2]int]uint) oracleSay {
	maskers := uint(0)
	for _, f := range setOf(set) {
		for _, m := range s.faults[f].masks {
			if m.check == check && m.hides == 0 {
				maskers |= 1 << f
			}
		}
	}
	heard := set
	if maskers != 0 {
		heard = maskers
	}
	left := heard
	for _, f := range setOf(heard) {
		for _, m := range s.faults[f].masks {
			if m.check == check && m.hides != 0 {
				left &^= m.hides
			}
		}
	}
	say := oracleSay{effects: oracleEffects(s, check, left, placing)}
	say.even = len(say.effects) == 0 && (maskers != 0 || len(oracleEffects(s, check, heard, placing)) > 0)
	for _, f := range setOf(left) {
		for _, n := range s.faults[f].never {
			if n.check == check {
				say.never = append(say.never, n.outcome)
			}
		}
	}
	return say
}

// oracleEffects returns what faults show at a check. A "with" row stands for both faults, also if they name the check by nothing else. Decided:
// further faults combine with it by the rule; the first row that applies, in the order of the faults, takes its two.
func oracleEffects(s *oracleSheet, check int, faults uint, placing map[[2]int]uint) (effects []oracleEffect) {
	left := faults
	for _, f := range setOf(faults) {
		for _, w := range s.faults[f].with {
			pair := uint(1)<<f | uint(1)<<w.other
			if w.check == check && left&pair == pair {
				effects = append(effects, oracleEffect{f, restToGood(w.p)})
				left &^= pair
			}
		}
	}
	for _, f := range setOf(left) {
		p, shows := make([]float64, len(s.checks[check].weights)), false
		for _, show := range s.faults[f].shows {
			for place, c := range show.checks {
				if c == check && placing[[2]int{f, len(show.checks)}]>>place&1 == 1 {
					shows = true
					for o := range p {
						p[o] += show.p[o]
					}
				}
			}
		}
		if shows {
			effects = append(effects, oracleEffect{f, restToGood(p)})
		}
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

// oracleCollide returns the outcomes that are as likely as each other after the coins have fallen. All faults show good: good. All that do not show
// good show the same: that. Else they collide: on one side of a limit the worse wins; on both sides good and all that the faults can show are as
// likely, since they may cancel (of low, good, high κ/3 each); of named outcomes all bad ones that some fault can show, and "otherwise".
func oracleCollide(c *oracleCheck, say *oracleSay, coins map[int]float64) []int {
	k := len(c.weights)
	if say.even {
		return upTo(k)
	}
	var drawn []int
	for _, e := range say.effects {
		at := 0.0
		for o := 1; o < k; o++ {
			if at += e.p[o]; coins[e.coin] < at {
				drawn = append(drawn, o)
				break
			}
		}
	}
	slices.Sort(drawn)
	drawn = slices.Compact(drawn)
	if len(drawn) == 0 {
		return []int{0}
	}
	if len(drawn) == 1 {
		return drawn
	}
	canShow := func(o int) bool {
		return slices.ContainsFunc(say.effects, func(e oracleEffect) bool { return e.p[o] > 0 })
	}
	sharing := []int{}
	if c.sides != nil {
		worst, both := drawn[0], false
		for _, o := range drawn {
			both = both || c.sides[o]*c.sides[worst] < 0
			if c.sides[o]*c.sides[o] > c.sides[worst]*c.sides[worst] {
				worst = o
			}
		}
		if !both {
			return []int{worst}
		}
		sharing = append(sharing, 0)
	}
	for o := 1; o < k; o++ {
		if canShow(o) || c.sides == nil && o == c.otherwise {
			sharing = append(sharing, o)
		}
	}
	return sharing
}
