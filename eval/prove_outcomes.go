package eval

import (
	"fmt"
	"math"
	"math/big"
	"math/bits"
	"slices"

	"github.com/brushgear/brushgear/eval/proof"
)

// The outcomes of checks as conditions over readings.

// outcomesOf gives for each outcome of a check the condition under which it has it, for readings that stand still.
func (x *symbols) outcomesOf(c int32) []*proof.Condition {
	if list := x.outcomes[c]; list != nil {
		return list
	}
	k := &x.p.checks[c]
	var list []*proof.Condition
	switch {
	case k.c.kind == patternCheck:
		list = x.patternOutcomes(k)
	case k.c.kind == gradeCheck:
		list = x.gradeOutcomes(k)
	case k.c.kind == infoCheck:
		list = []*proof.Condition{proof.Always}
	case k.n == 0 || k.c.val.typ.table || k.c.rising:
		list = x.unknownOutcomes(k)
	default:
		list = x.limitOutcomes(k)
	}
	x.outcomes[c] = list
	return list
}

// unknownOutcomes stands for a check whose outcome is not worked out here.
func (x *symbols) unknownOutcomes(k *boundCheck) []*proof.Condition {
	name := "the outcome of " + k.label
	v := proof.Word(name, max(len(k.results), 1))
	v.Opaque = true
	n := x.addVariable(v, spaceItem{reg: -1, label: name})
	list := make([]*proof.Condition, len(k.results))
	for i := range list {
		list[i] = proof.Is(n, 1<<i)
	}
	return list
}

// byRow joins the rows of a first-match list by their outcomes.
func byRow(n int, rows []*proof.Condition, outcome func(int) int) []*proof.Condition {
	list := make([]*proof.Condition, n)
	for i := range list {
		list[i] = proof.Never
	}
	rest := proof.Always
	for i, r := range rows {
		o := outcome(i)
		list[o] = proof.Any(list[o], proof.All(rest, r))
		rest = proof.All(rest, proof.Not(r))
	}
	return list
}

func (x *symbols) patternRows(k *boundCheck) []*proof.Condition {
	var rows []*proof.Condition
	for _, r := range k.rows {
		if r < 0 {
			rows = append(rows, proof.Always)
			continue
		}
		rows = append(rows, x.truth(r))
	}
	return rows
}

func (x *symbols) patternOutcomes(k *boundCheck) []*proof.Condition {
	return byRow(len(k.results), x.patternRows(k), func(i int) int { return k.c.rows[i].outcome })
}

// rungs gives for each rung of a grade the condition that the value is below its cut.
func (x *symbols) rungs(k *boundCheck) []*proof.Condition {
	var rows []*proof.Condition
	v := x.amount(k.value)
	for i, cut := range k.cuts {
		if cut < 0 {
			rows = append(rows, proof.Always)
			continue
		}
		rows = append(rows, x.compared(pick(k.c.rungs[i].upTo, codeAtMost, codeBelow), v, x.amount(cut)))
	}
	return rows
}

func (x *symbols) gradeOutcomes(k *boundCheck) []*proof.Condition {
	return byRow(len(k.results), x.rungs(k), func(i int) int { return k.c.rungs[i].outcome })
}

// limitOutcomes follows frame.limited: the first limit whose circumstances hold counts.
func (x *symbols) limitOutcomes(k *boundCheck) []*proof.Condition {
	list := make([]*proof.Condition, len(k.results))
	for i := range list {
		list[i] = proof.Never
	}
	rest := proof.Always
	for i := range k.limits {
		l := &k.limits[i]
		holds := proof.Always
		if l.when >= 0 {
			holds = x.truth(l.when)
		}
		for o, c := range x.byLimit(k, l) {
			list[o] = proof.Any(list[o], proof.All(rest, holds, c))
		}
		rest = proof.All(rest, proof.Not(holds))
	}
	if (&proof.Prover{}).Can(rest).State != proof.Unmet {
		for o, c := range x.unknownOutcomes(k) {
			list[o] = proof.Any(list[o], proof.All(rest, c))
		}
	}
	if k.jumps != 0 {
		return x.unsteady(k, list)
	}
	return list
}

// unsteady adds that the reading may move. What it is then besides does not matter: it jumps.
func (x *symbols) unsteady(k *boundCheck, list []*proof.Condition) []*proof.Condition {
	v, ok := x.moves[k.value]
	if !ok {
		name := k.label + " moves"
		if at, ok := x.inputs[k.value]; ok {
			name = x.label(at) + " moves"
		}
		v = x.addVariable(proof.Word(name, 2), spaceItem{reg: k.value, pos: -1, label: name})
		x.moves[k.value] = v
	}
	for o := range list {
		if k.jumps == 1<<o {
			list[o] = proof.Is(v, 2)
		} else {
			list[o] = proof.All(proof.Is(v, 1), list[o])
		}
	}
	return list
}

// byLimit gives the outcomes by one limit.
func (x *symbols) byLimit(k *boundCheck, l *boundLimit) []*proof.Condition {
	list := make([]*proof.Condition, len(k.results))
	for i := range list {
		list[i] = proof.Never
	}
	switch {
	case l.lim.alike != nil:
		if k.pitch >= 0 {
			return x.unknownOutcomes(k)
		}
		for i := range list {
			list[i] = x.alike(&x.p.alikes[l.alike], k.value, k.n, i)
		}
		return list
	case k.c.kind == wordCheck:
		for word, o := range k.words {
			if l.lim.words&(1<<word) != 0 {
				list[0] = proof.Any(list[0], x.wordIs(k.value, 1<<word, false))
			} else {
				list[o] = proof.Any(list[o], x.wordIs(k.value, 1<<word, false))
			}
		}
		return list
	}
	v := x.amount(l.value)
	above, below := x.bounded(l, v)
	if k.lowAt >= 0 {
		list[k.lowAt] = proof.Not(above)
	}
	if k.highAt >= 0 {
		list[k.highAt] = proof.All(above, proof.Not(below))
	}
	good := proof.All(above, below)
	list[0] = good
	if l.newLow >= 0 || l.newHigh >= 0 {
		fresh := x.side(v, l.newLow, l.lim.newLow, true)
		fresh = proof.All(fresh, x.side(v, l.newHigh, l.lim.newHigh, false))
		list[0] = proof.All(good, fresh)
		list[bits.TrailingZeros32(k.worn)] = proof.All(good, proof.Not(fresh))
	}
	return list
}

// side says that a value keeps one bound of a limit.
func (x *symbols) side(v *amount, r int32, b *bound, low bool) *proof.Condition {
	if r < 0 {
		return proof.Always
	}
	if low {
		return x.compared(pick(b.open, codeAbove, codeAtLeast), v, x.amount(r))
	}
	return x.compared(pick(b.open, codeBelow, codeAtMost), v, x.amount(r))
}

// bounded says that a value keeps the lower and the upper bound of a limit.
func (x *symbols) bounded(l *boundLimit, v *amount) (above, below *proof.Condition) {
	if l.lim.along == nil {
		return x.side(v, l.low, l.lim.low, true), x.side(v, l.high, l.lim.high, false)
	}
	return x.along(l.lim.along, x.amount(l.cond), v)
}

// along puts a limit along another quantity together from its stretches, on each of which it is linear. Outside of the rows nothing is decided, so
// what is proved holds within them.
func (x *symbols) along(c *curve, cond, v *amount) (above, below *proof.Condition) {
	above, below = proof.Never, proof.Never
	last := len(c.rows) - 1
	if !c.down {
		x.trusted = append(x.trusted, x.compared(codeAtLeast, cond, constOf(c.rows[0].at)))
	}
	if !c.up {
		x.trusted = append(x.trusted, x.compared(codeAtMost, cond, constOf(c.rows[last].at)))
	}
	for i, r := range c.rows {
		here := proof.Always
		if i > 0 {
			here = proof.All(here, x.compared(codeAtLeast, cond, constOf(r.at)))
		}
		if i < last {
			here = proof.All(here, x.compared(codeBelow, cond, constOf(c.rows[i+1].at)))
		}
		keeps := func(high bool, b *float64, open bool, next *float64) *proof.Condition {
			if b == nil {
				return proof.Always
			}
			code := pick(open, codeAbove, codeAtLeast)
			if high {
				code = pick(open, codeBelow, codeAtMost)
			}
			if !c.linear || i == last || *b == *next {
				return x.compared(code, v, constOf(*b))
			}
			return x.compared(code, v, x.onStretch(c, i, high, cond))
		}
		next := c.rows[min(i+1, last)]
		above = proof.Any(above, proof.All(here, keeps(false, r.low, c.open(false), next.low)))
		below = proof.Any(below, proof.All(here, keeps(true, r.high, c.open(true), next.high)))
	}
	return above, below
}

// onStretch is the bound of a curve between two rows.
func (x *symbols) onStretch(c *curve, i int, high bool, cond *amount) *amount {
	row, next := c.rows[i], c.rows[i+1]
	from, to := row.low, next.low
	if high {
		from, to = row.high, next.high
	}
	at := func(q float64) float64 {
		low, top := c.point(min(max(q, row.at), next.at))
		if high {
			return top.lo
		}
		return low.lo
	}
	n := &amount{
		key: fmt.Sprintf("(curve %t %s %s %s)", high, c.rows[i].key(), c.rows[i+1].key(), cond.key), variable: -1, of: cond.of, name: "the limit",
		value: func(p proof.Point) float64 { return at(cond.value(p)) },
		span: func(low, high proof.Point) (float64, float64) {
			p, q := cond.span(low, high)
			return min(at(p), at(q)), max(at(p), at(q))
		},
	}
	if cond.linear {
		slope := new(big.Rat).Sub(rat(*to), rat(*from))
		slope.Quo(slope, new(big.Rat).Sub(rat(next.at), rat(row.at)))
		n.scale(cond, slope)
		n.add.Add(n.add, rat(*from))
		n.add.Sub(n.add, new(big.Rat).Mul(slope, rat(row.at)))
		n.rounds = cond.rounds + 5
	}
	return n
}

// key tells rows of curves apart.
func (r curveRow) key() string {
	text := fmt.Sprintf("%b", r.at)
	for _, v := range []*float64{r.low, r.high} {
		if v == nil {
			text += " -"
		} else {
			text += fmt.Sprintf(" %b", *v)
		}
	}
	return text
}

func rat(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }

// alike says that an alike check has the outcome at a place of good, one low, one high, mixed. What is alike also keeps the inequalities that follow
// from it, by which it can be told from other conditions on its members.
func (x *symbols) alike(a *boundAlike, base, n int32, outcome int) *proof.Condition {
	list := make([]*amount, n)
	var of [][]int
	key := ""
	for i := range list {
		list[i] = x.amount(base + int32(i))
		of = append(of, list[i].of)
		key += " " + list[i].key
	}
	tolerance := x.amount(a.tolerance)
	key = "(alike " + fmt.Sprint(a.a.by, " ") + tolerance.key + key + ")"
	if a.a.relative {
		key += "%"
	}
	num := x.computed(&amount{
		key: key, variable: -1, of: union(append(of, tolerance.of)...), name: "whether they are alike",
		value: func(p proof.Point) float64 {
			values := make([]float64, n)
			for i, m := range list {
				values[i] = m.value(p)
			}
			if n < 2 {
				return math.NaN()
			}
			return float64(bits.TrailingZeros32(oddOut(a, values, tolerance.value(p))))
		},
		span: func(_, _ proof.Point) (float64, float64) { return 0, 3 },
	})
	t := num.asTerm()
	if t.Whole = true; t.Tries == nil {
		t.Tries = func(low, high proof.Point) [][]float64 { return alikeTries(t.Of, low, high) }
	}
	c := proof.CompareTerm(t, proof.Equals, float64(outcome))
	if outcome == 0 && n <= fewAlike {
		c = c.Implying(x.near(a, list, tolerance))
	}
	return c
}

// fewAlike is up to how many members the inequalities of an alike check are spelt out.
const fewAlike = 6

// slack widens what follows from a comparison by more than rounding can bring about.
const slack = 1e-9

// near gives inequalities that all members keep if they are alike.
func (x *symbols) near(a *boundAlike, list []*amount, tolerance *amount) *proof.Condition {
	if tolerance.shape != constNumber || slices.ContainsFunc(list, func(m *amount) bool { return !x.neverNegative(m) }) && a.a.relative {
		return proof.Always
	}
	n := len(list)
	low, high := x.ordered(list, 1), x.ordered(list, n)
	center := x.reduced(codeMean, list)
	switch a.a.by {
	case byMedian:
		center = x.reduced(codeMiddle, list)
	case byLeast:
		center = low
	}
	reach := constOf(tolerance.c + slack*(1+math.Abs(tolerance.c)))
	if a.a.relative {
		reach = x.combined(codeMul, center, reach)
	}
	if a.a.by == bySpan || a.a.by == byLeast {
		return x.compared(codeAtMost, x.combined(codeSub, high, low), reach)
	}
	return proof.All(x.compared(codeAtMost, high, x.combined(codeAdd, center, reach)), x.compared(codeAtLeast, low, x.combined(codeSub, center, reach)))
}

// neverNegative tells whether a reading is of a kind that has no values below zero.
func (x *symbols) neverNegative(m *amount) bool {
	return m.variable >= 0 && x.space[m.variable].Low >= 0
}

// alikeTries gives members that are alike, one of which is low, high, or two are.
func alikeTries(of []int, low, high proof.Point) [][]float64 {
	from, to := math.Inf(-1), math.Inf(1) // what all members can be
	for _, v := range of {
		from, to = max(from, low[v]), min(to, high[v])
	}
	var bases []float64
	for _, end := range []float64{from, to} {
		if from >= to && !math.IsInf(end, 0) {
			bases = append(bases, end)
		}
	}
	if x, ok := proof.Short(max(from, 0), to); ok {
		bases = append(bases, x)
	}
	if x, ok := proof.Short(from, to); ok {
		bases = append(bases, x)
	}
	var list [][]float64
	clamp := func(i int, x float64) float64 { return min(max(x, low[of[i]]), high[of[i]]) }
	for _, base := range bases {
		for _, share := range []float64{1, 0.5, 2, 0.01, 10} {
			for odd := range of {
				values := make([]float64, len(of))
				for i := range of {
					values[i] = clamp(i, base)
				}
				values[odd] = clamp(odd, base*share)
				list = append(list, values)
				if odd > 0 {
					two := append([]float64{}, values...)
					two[0] = clamp(0, base/2*share)
					list = append(list, two)
				}
			}
		}
	}
	return list
}
