package diagnosis

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The oracle is itself held against closed forms and figures that were worked out by hand.

// show gives one bad outcome of three its probability.
func show(check, outcome int, p float64) oracleShow {
	row := make([]float64, 3)
	row[outcome] = p
	return oracleShow{checks: []int{check}, p: row}
}

func limitCheck(test, value, read int) oracleCheck {
	return oracleCheck{test: test, value: value, weights: Seen(read, 3), sides: []int{0, -1, 1}}
}

func once(slip float64) oracleTest { return oracleTest{slip: slip, performances: 1} }

func TestOracleOfTwoOutcomesIsNoisyOr(t *testing.T) {
	s := &oracleSheet{tests: []oracleTest{once(0)}, checks: []oracleCheck{{weights: []float64{0, 1}}}}
	for _, p := range []float64{0.4, 0.8, 0.9} {
		s.faults = append(s.faults, oracleFault{shows: []oracleShow{{checks: []int{0}, p: []float64{0, p}}}})
	}
	for set, want := range []float64{0, 0.4, 0.8, 0.88, 0.9, 0.94, 0.98, 0.988} { // Russell and Norvig (as D-21)
		require.InDelta(t, want, oracleLikelihood(s, 0, uint(set), true), 1e-12)
	}
}

// TestOracleAgainstClosedForm compares the draws of all faults with A = Π s_f(G), B_o = Π (s_f(G)+s_f(o)), q(o) = B_o − A, and the rest κ by kind.
func TestOracleAgainstClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 4).Draw(t, "k")
		c := &oracleCheck{otherwise: rapid.IntRange(0, k-1).Draw(t, "otherwise")}
		limit := k == 3 && rapid.Bool().Draw(t, "limit")
		if limit {
			c.sides = []int{0, -1, 1}
		}
		c.weights = make([]float64, k)
		var effects [][]float64
		say := oracleSay{}
		for i := range rapid.IntRange(0, 4).Draw(t, "faults") {
			effects = append(effects, drawRow(t, k))
			say.effects = append(say.effects, oracleEffect{i, effects[i]})
		}
		allGood, kappa := 1.0, 1.0
		want, sharing := make([]float64, k), []int{}
		for _, s := range effects {
			allGood *= s[0]
		}
		want[0] = allGood
		for o := 1; o < k; o++ {
			b, can := 1.0, o == c.otherwise
			for _, s := range effects {
				b, can = b*(s[0]+s[o]), can || s[o] > 0
			}
			want[o] = b - allGood
			if can {
				sharing = append(sharing, o)
			}
		}
		kappa -= addUp(want)
		if limit {
			sharing = upTo(3)
		}
		for _, o := range sharing {
			want[o] += kappa / float64(len(sharing))
		}
		got := make([]float64, k)
		eachCoin(upTo(len(effects)), []oracleSay{say}, func(coins map[int]float64, p float64) {
			results := oracleCollide(c, &say, coins)
			for _, o := range results {
				got[o] += p / float64(len(results))
			}
		})
		require.InDeltaSlice(t, want, got, 1e-12)
	})
}

func TestOracleFigures(t *testing.T) {
	// Wear, reuse and discard limit of one length, each low with .8, all good: one coin 1/5, apart 1/125.
	worn := oracleFault{shows: []oracleShow{show(0, 1, 0.8), show(1, 1, 0.8), show(2, 1, 0.8)}}
	s := &oracleSheet{faults: []oracleFault{worn}, tests: []oracleTest{once(0)}, checks: []oracleCheck{limitCheck(0, 0, 0), limitCheck(0, 0, 0), limitCheck(0, 0, 0)}}
	require.InDelta(t, 0.2, oracleLikelihood(s, 0, 1, true), 1e-12)
	for c := range s.checks {
		s.checks[c].value = c
	}
	require.InDelta(t, 1.0/125, oracleLikelihood(s, 0, 1, true), 1e-12)

	// A diode of .1 that leads to a phase of .03 with .6: beside no fault the pair weighs .070, without the link .0034.
	pair := &oracleSheet{faults: []oracleFault{{prior: 0.1, leads: []oracleLink{{1, 0.6}}}, {prior: 0.03}}}
	requireRounds(t, 3, "0.070", oraclePrior(pair, 3)/oraclePrior(pair, 0))
	pair.faults[0].leads = nil
	requireRounds(t, 4, "0.0034", oraclePrior(pair, 3)/oraclePrior(pair, 0))
	require.InDelta(t, 0.9*0.03, oraclePrior(pair, 2), 1e-12)

	// A masker gives 1/k, or what it states; so does one that hides a single fault, if no other one shows anything.
	masking := &oracleSheet{tests: []oracleTest{once(0)}, checks: []oracleCheck{limitCheck(0, 0, 1)}, faults: []oracleFault{
		{shows: []oracleShow{show(0, 1, 0.6)}}, {masks: []oracleMask{{check: 0}}}, {masks: []oracleMask{{check: 0, hides: 1}}},
		{masks: []oracleMask{{check: 0}}, shows: []oracleShow{show(0, 1, 0.3)}}, {never: []oracleOutcome{{0, 1}}},
		{with: []oracleWith{{other: 0, check: 0, p: []float64{0, 0.25, 0.5}}}},
	}}
	for set, want := range map[uint]float64{
		0b1: 0.6, 0b11: 1.0 / 3, 0b101: 1.0 / 3, 0b1001: 0.3, 0b1011: 0.3, 0b10001: 0, 0b10011: 1.0 / 3, 0b100001: 0.25, 0b100011: 1.0 / 3, 0b10: 1.0 / 3, 0: 0,
	} {
		require.InDelta(t, want, oracleLikelihood(masking, 0, set, true), 1e-12, "%b", set)
	}

	// A slip spreads over the cells: 5 of two limits on one value, 3 of one limit; two agreeing performances count ε². So also if both limits are bad.
	slip := &oracleSheet{tests: []oracleTest{{0.1, 2}}, checks: []oracleCheck{limitCheck(0, 0, 0), limitCheck(0, 0, 1), limitCheck(0, 1, 2)}}
	require.InDelta(t, 0.01*(1.0/5)*(1.0/3), oracleLikelihood(slip, 0, 0, true), 1e-12)
	slip.checks[0].weights = Seen(1, 3)
	require.InDelta(t, 0.01*(1.0/5)*(1.0/3), oracleLikelihood(slip, 0, 0, true), 1e-12)

	// It is at one, two or all of three positions, 7 ways as likely as each other; only the middle one reads low.
	placed := &oracleSheet{tests: []oracleTest{once(0)}, checks: []oracleCheck{limitCheck(0, 0, 0), limitCheck(0, 1, 1), limitCheck(0, 2, 0)},
		faults: []oracleFault{{shows: []oracleShow{{checks: []int{0, 1, 2}, p: []float64{0, 0.9, 0}}}}}}
	require.InDelta(t, (0.9+0.9*0.1+0.9*0.1+0.9*0.1*0.1)/7, oracleLikelihood(placed, 0, 1, true), 1e-12)
}

// TestOracleAddsUp reads every combination of outcomes of random sheets: for each set of faults their likelihoods are a distribution. The checks
// here have a reading each: on one reading several limits overlap.
func TestOracleAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawOracleSheet(t)
		for c := range s.checks {
			s.checks[c].value, s.checks[c].test = c, 0
		}
		for set := range uint(1) << len(s.faults) {
			total := 0.0
			anyAssignment(len(s.checks), 2, func(read []int) bool {
				for c, o := range read {
					s.checks[c].weights = Seen(o, 3)
				}
				total += oracleLikelihood(s, 0, set, true)
				return false
			})
			require.InDelta(t, 1, total, 1e-9)
		}
	})
}

// TestOraclePosterior checks what must hold of any posterior: with no reading it is the prior, and a cut at all faults cuts nothing.
func TestOraclePosterior(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawOracleSheet(t)
		all, cut := oraclePosterior(s, -1), oraclePosterior(s, len(s.faults))
		if all.sum > 0 {
			require.InDeltaSlice(t, all.posterior, cut.posterior, 1e-9)
		}
		require.InDelta(t, all.ok, cut.ok, 1e-9)
		require.LessOrEqual(t, all.ok, 1+1e-12)
		for c := range s.checks {
			s.checks[c].weights = []float64{1, 1, 1}
		}
		unread := oraclePosterior(s, -1)
		total := 0.0
		for _, set := range unread.w {
			total += set
		}
		require.InDelta(t, 1, total, 1e-9)
		require.Equal(t, uint(0), oracleTouched(s))
		require.InDeltaSlice(t, unread.posterior, oraclePosterior(s, 1).posterior, 1e-9) // all are barren
	})
}

// drawOracleSheet draws a small sheet that uses all of the language of tables. Links go to later faults only.
func drawOracleSheet(t *rapid.T) *oracleSheet {
	s := &oracleSheet{}
	for range rapid.IntRange(1, 2).Draw(t, "tests") {
		s.tests = append(s.tests, oracleTest{rapid.SampledFrom([]float64{0, 0.002, 0.1}).Draw(t, "slip"), rapid.IntRange(1, 2).Draw(t, "performances")})
	}
	for range rapid.IntRange(1, 4).Draw(t, "checks") {
		c := oracleCheck{test: rapid.IntRange(0, len(s.tests)-1).Draw(t, "test"), value: rapid.IntRange(0, 2).Draw(t, "value")}
		c.weights = rapid.SliceOfN(rapid.SampledFrom([]float64{1, 0.5, 0.01, 0}), 3, 3).Draw(t, "weights")
		c.weights[rapid.IntRange(0, 2).Draw(t, "read")] = 1 // what is possible as read
		c.sides = rapid.SampledFrom([][]int{nil, {0, -1, 1}, {0, 1, 2}}).Draw(t, "sides")
		c.otherwise = rapid.IntRange(0, 2).Draw(t, "otherwise")
		s.checks = append(s.checks, c)
	}
	faults := rapid.IntRange(1, 4).Draw(t, "faults")
	check := rapid.IntRange(0, len(s.checks)-1)
	maybe := func(what string) bool { return rapid.IntRange(0, 3).Draw(t, what) == 0 }
	for f := range faults {
		fault := oracleFault{prior: rapid.SampledFrom([]float64{0.003, 0.1, 0.4}).Draw(t, "prior")}
		c := check.Draw(t, "shown")
		row := drawRow(t, 3)
		fault.shows = append(fault.shows, oracleShow{checks: []int{c}, p: row})
		if next := (c + 1) % len(s.checks); next > c && s.checks[next].test == s.checks[c].test && maybe("placed") {
			fault.shows[0].checks = append(fault.shows[0].checks, next)
		}
		if maybe("masks") {
			fault.masks = append(fault.masks, oracleMask{check.Draw(t, "masked"), rapid.UintRange(0, 1<<faults-1).Draw(t, "hides") &^ (1 << f)})
		}
		if maybe("never") {
			fault.never = append(fault.never, oracleOutcome{check.Draw(t, "excluded"), rapid.IntRange(0, 2).Draw(t, "outcome")})
		}
		if f > 0 && maybe("with") {
			fault.with = append(fault.with, oracleWith{rapid.IntRange(0, f-1).Draw(t, "other"), check.Draw(t, "both"), drawRow(t, 3)})
		}
		if f+1 < faults && maybe("leads") {
			fault.leads = append(fault.leads, oracleLink{rapid.IntRange(f+1, faults-1).Draw(t, "to"), rapid.SampledFrom([]float64{0.1, 0.6, 0.99}).Draw(t, "strength")})
		}
		s.faults = append(s.faults, fault)
	}
	return s
}
