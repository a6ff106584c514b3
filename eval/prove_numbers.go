package eval

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval/proof"
)

// Numbers of a program as terms of a proof. Each computes what the program computes, in the same order.

type shape uint8

const (
	plainNumber   shape = iota
	constNumber         // a number of the sheet
	orderedNumber       // the k-th smallest of a list: rounding never exchanges two numbers, so sums of it are the k-th smallest of the sums
	tallyNumber         // how many conditions hold
)

// amount is what a register holds.
type amount struct {
	shape    shape
	key      string // equal for numbers that are computed alike
	name     string
	value    func(proof.Point) float64
	span     func(low, high proof.Point) (least, most float64)
	of       []int // variables
	variable int   // of a plain reading, else -1
	c        float64
	linear   bool
	parts    []proof.Part
	add      *big.Rat
	rounds   int
	list     []*amount
	k        int
	over     []*amount // of a quotient: what is divided by what
	minus    *amount   // of a difference that is kept the other way round: that one
	conds    []*proof.Condition
	term     *proof.Term
	cuts     []float64 // constants that it is compared with: within rounding it is one of them, as in the program
}

func constOf(c float64) *amount {
	return &amount{
		shape: constNumber, key: fmt.Sprintf("%b", c), variable: -1, c: c, linear: !math.IsInf(c, 0) && !math.IsNaN(c), add: new(big.Rat).SetFloat64(c),
		value: func(proof.Point) float64 { return c },
		span:  func(_, _ proof.Point) (float64, float64) { return c, c },
	}
}

func variableOf(v int, name string) *amount {
	return &amount{
		key: fmt.Sprintf("v%d", v), name: name, variable: v, of: []int{v}, linear: true, parts: []proof.Part{{Variable: v, Times: big.NewRat(1, 1)}},
		value: func(p proof.Point) float64 { return p[v] },
		span:  func(low, high proof.Point) (float64, float64) { return low[v], high[v] },
	}
}

// asTerm gives the amount as a term.
func (n *amount) asTerm() *proof.Term {
	if n.term == nil {
		n.term = &proof.Term{Name: n.label(), Key: n.key, Value: n.value, Range: n.span, Rounds: n.rounds, Of: n.of}
		if n.linear {
			n.term.Linear, n.term.Add = n.parts, n.add
			if n.term.Linear == nil {
				n.term.Linear = []proof.Part{}
			}
		}
	}
	return n.term
}

// computed keeps one number for each way to compute it, so that what is equal in the program is one term.
func (x *symbols) computed(n *amount) *amount {
	if known := x.byKey[n.key]; known != nil {
		return known
	}
	x.byKey[n.key] = n
	return n
}

func union(lists ...[]int) []int {
	all := slices.Concat(lists...)
	slices.Sort(all)
	return slices.Compact(all)
}

// combined is a op b for plain numbers and constants.
func (x *symbols) combined(code opCode, a, b *amount) *amount {
	if a.shape == constNumber && b.shape == constNumber {
		return constOf(pointwise(code, a.c, b.c))
	}
	if a.shape == tallyNumber || b.shape == tallyNumber {
		return x.unworked("a formula with a count")
	}
	if n := x.spread(code, a, b); n != nil {
		return n
	}
	key := fmt.Sprintf("(%d %s %s)", code, a.key, b.key)
	if (code == codeAdd || code == codeMul) && b.key < a.key { // in either order the same, rounding and all
		key = fmt.Sprintf("(%d %s %s)", code, b.key, a.key)
	}
	n := &amount{
		key: key, variable: -1, of: union(a.of, b.of), rounds: max(a.rounds, b.rounds) + 1,
		value: func(p proof.Point) float64 {
			v := pointwise(code, a.value(p), b.value(p))
			if math.IsInf(v, 0) {
				return math.NaN() // nothing is known of it
			}
			return v
		},
		span: func(low, high proof.Point) (float64, float64) {
			p, q := reg{}, reg{}
			p.lo, p.hi = a.span(low, high)
			q.lo, q.hi = b.span(low, high)
			r := combine(code, p, q)
			return r.lo, r.hi
		},
	}
	if code == codeSub && b.key < a.key && b.shape != constNumber { // the same but for its sign, rounding and all
		n.minus = x.combined(codeSub, b, a)
	}
	if code == codeDiv && b.shape != constNumber {
		n.over = []*amount{a, b}
	}
	switch {
	case !a.linear || !b.linear:
	case code == codeAdd:
		n.sum(a, b, 1)
	case code == codeSub:
		n.sum(a, b, -1)
	case code == codeMul && b.shape == constNumber:
		n.scale(a, new(big.Rat).SetFloat64(b.c))
	case code == codeMul && a.shape == constNumber:
		n.scale(b, new(big.Rat).SetFloat64(a.c))
	case code == codeDiv && b.shape == constNumber && b.c != 0:
		n.scale(a, new(big.Rat).Inv(new(big.Rat).SetFloat64(b.c)))
	}
	return x.computed(n)
}

func (n *amount) sum(a, b *amount, sign int64) {
	n.linear = true
	n.add = new(big.Rat)
	times := map[int]*big.Rat{}
	take := func(from *amount, sign int64) {
		s := big.NewRat(sign, 1)
		if from.add != nil {
			n.add.Add(n.add, new(big.Rat).Mul(s, from.add))
		}
		for _, p := range from.parts {
			if times[p.Variable] == nil {
				times[p.Variable] = new(big.Rat)
			}
			times[p.Variable].Add(times[p.Variable], new(big.Rat).Mul(s, p.Times))
		}
	}
	take(a, 1)
	take(b, sign)
	for _, v := range n.of {
		if t := times[v]; t != nil {
			n.parts = append(n.parts, proof.Part{Variable: v, Times: t})
		}
	}
}

func (n *amount) scale(a *amount, by *big.Rat) {
	n.linear = true
	n.add = new(big.Rat)
	if a.add != nil {
		n.add.Mul(a.add, by)
	}
	for _, p := range a.parts {
		n.parts = append(n.parts, proof.Part{Variable: p.Variable, Times: new(big.Rat).Mul(p.Times, by)})
	}
	if one := big.NewRat(1, 1); new(big.Rat).Abs(by).Cmp(one) == 0 {
		n.rounds = a.rounds
	}
}

// maxSpread bounds the lists that sums of ordered numbers make.
const maxSpread = 400

// spread carries an operation into an ordered number; nil if it does not go in.
func (x *symbols) spread(code opCode, a, b *amount) *amount {
	each := func(list []*amount, k int, f func(*amount) *amount) *amount {
		var out []*amount
		for _, m := range list {
			out = append(out, f(m))
		}
		return x.ordered(out, k)
	}
	la, lb := len(a.list), len(b.list)
	switch ordA, ordB := a.shape == orderedNumber, b.shape == orderedNumber; {
	case ordA && ordB:
		if code != codeSub || a.k != la || b.k != 1 || la*lb > maxSpread {
			return nil
		}
		var out []*amount // highest less lowest: the highest of all differences
		for _, p := range a.list {
			for _, q := range b.list {
				if p != q {
					out = append(out, x.combined(codeSub, p, q))
				}
			}
		}
		if len(out) == 0 {
			return nil
		}
		if len(out) < la*lb {
			out = append(out, constOf(0)) // a member less itself
		}
		return x.ordered(out, len(out))
	case ordA && (code == codeAdd || code == codeSub):
		return each(a.list, a.k, func(m *amount) *amount { return x.combined(code, m, b) })
	case ordB && code == codeAdd:
		return each(b.list, b.k, func(m *amount) *amount { return x.combined(code, a, m) })
	case ordB && code == codeSub:
		return each(b.list, lb-b.k+1, func(m *amount) *amount { return x.combined(code, a, m) })
	case ordA && b.shape == constNumber && (code == codeMul || code == codeDiv && b.c != 0):
		k := a.k
		if b.c < 0 {
			k = la - k + 1
		}
		return each(a.list, k, func(m *amount) *amount { return x.combined(code, m, b) })
	case ordB && a.shape == constNumber && code == codeMul:
		k := b.k
		if a.c < 0 {
			k = lb - k + 1
		}
		return each(b.list, k, func(m *amount) *amount { return x.combined(code, a, m) })
	}
	return nil
}

// ordered is the k-th smallest of a list.
func (x *symbols) ordered(list []*amount, k int) *amount {
	if len(list) == 1 {
		return list[0]
	}
	var keys []string
	var of [][]int
	for _, m := range list {
		keys, of = append(keys, m.key), append(of, m.of)
	}
	pick := func(get func(*amount) float64) float64 {
		values := make([]float64, len(list))
		for i, m := range list {
			values[i] = get(m)
		}
		slices.Sort(values)
		return values[k-1]
	}
	return x.computed(&amount{
		shape: orderedNumber, key: fmt.Sprintf("(%d of %s)", k, strings.Join(keys, " ")), variable: -1, of: union(of...), list: list, k: k,
		value: func(p proof.Point) float64 { return pick(func(m *amount) float64 { return m.value(p) }) },
		span: func(low, high proof.Point) (float64, float64) {
			return pick(func(m *amount) float64 { v, _ := m.span(low, high); return v }), pick(func(m *amount) float64 { _, v := m.span(low, high); return v })
		},
	})
}

// reduced is a function of a list.
func (x *symbols) reduced(code opCode, list []*amount) *amount {
	n := len(list)
	if n == 0 {
		return x.unworked("an empty list")
	}
	switch code {
	case codeHighest:
		return x.ordered(list, n)
	case codeLowest:
		return x.ordered(list, 1)
	case codeMiddle:
		if n%2 == 1 {
			return x.ordered(list, n/2+1)
		}
	case codeSpan:
		if n == 1 {
			return constOf(0)
		}
		return x.combined(codeSub, x.ordered(list, n), x.ordered(list, 1))
	case codeMean, codeTotal:
		sum := x.combined(codeAdd, constOf(0), list[0]) // as the program does it: from 0 on, in order
		sum.rounds = list[0].rounds
		for _, m := range list[1:] {
			sum = x.combined(codeAdd, sum, m)
		}
		if code == codeMean {
			return x.combined(codeDiv, sum, constOf(float64(n)))
		}
		return sum
	}
	var keys []string
	var of [][]int
	for _, m := range list {
		keys, of = append(keys, m.key), append(of, m.of)
	}
	all := func(get func(*amount) float64) float64 {
		values := make([]float64, n)
		for i, m := range list {
			values[i] = get(m)
		}
		return statisticOf(code, values)
	}
	return x.computed(&amount{
		key: fmt.Sprintf("(%d list %s)", code, strings.Join(keys, " ")), variable: -1, of: union(of...),
		value: func(p proof.Point) float64 { return all(func(m *amount) float64 { return m.value(p) }) },
		span: func(low, high proof.Point) (float64, float64) {
			return all(func(m *amount) float64 { v, _ := m.span(low, high); return v }), all(func(m *amount) float64 { _, v := m.span(low, high); return v })
		},
	})
}

var proofComparisons = map[opCode]proof.Comparison{
	codeAtLeast: proof.AtLeast, codeAtMost: proof.AtMost, codeAbove: proof.Above, codeBelow: proof.Below, codeEquals: proof.Equals,
}

var turned = map[opCode]opCode{codeAtLeast: codeAtMost, codeAtMost: codeAtLeast, codeAbove: codeBelow, codeBelow: codeAbove, codeEquals: codeEquals}

// compared says that a compares so with b, in the comparisons of the program: the sign of the difference of two float64 is exact.
func (x *symbols) compared(code opCode, a, b *amount) *proof.Condition {
	switch {
	case a.shape == constNumber && b.shape == constNumber:
		if compare(code, exact(a.c), exact(b.c)) == canTrue {
			return proof.Always
		}
		return proof.Never
	case code == codeEquals && (a.shape == orderedNumber || b.shape == orderedNumber):
		return proof.All(x.compared(codeAtLeast, a, b), x.compared(codeAtMost, a, b))
	case a.shape == orderedNumber:
		least := a.k // at most y: so many members are
		if code == codeAtLeast || code == codeAbove {
			least = len(a.list) - a.k + 1
		}
		var list []*proof.Condition
		for _, m := range a.list {
			list = append(list, x.compared(code, m, b))
		}
		switch least {
		case 1:
			return proof.Any(list...)
		case len(list):
			return proof.All(list...)
		}
		return proof.Count(least, len(list), list...)
	case b.shape == orderedNumber, a.shape == constNumber, b.shape == tallyNumber && a.shape != tallyNumber:
		return x.compared(turned[code], b, a)
	case a.shape == tallyNumber && b.shape == constNumber:
		return tallied(code, a, b.c)
	case a.shape == tallyNumber && b.shape == tallyNumber:
		any := proof.Never
		for k := range len(a.conds) + 1 {
			any = proof.Any(any, proof.All(tallied(codeEquals, a, float64(k)), tallied(turned[code], b, float64(k))))
		}
		return any
	case a.shape == tallyNumber:
		return x.opaque("a count compared with what is no number of the sheet")
	case b.shape == constNumber && a.minus != nil:
		return x.compared(turned[code], a.minus, constOf(0-b.c))
	case b.shape == constNumber && a.variable >= 0:
		return proof.Compare(a.variable, proofComparisons[code], b.c)
	case b.shape == constNumber:
		a.cut(b.c)
		return proof.CompareTerm(a.asTerm(), proofComparisons[code], b.c).Implying(x.ratio(code, a, b.c))
	}
	d := x.combined(codeSub, a, b)
	if a.variable >= 0 && b.variable >= 0 {
		return x.sign(code, d, a, b)
	}
	c := x.sign(code, x.settled(d, a, b), a, b)
	if code == codeAbove || code == codeBelow {
		return c.Implying(x.sign(code, d, a, b)) // what is not taken for rounding is no rounding
	}
	return c
}

// sign compares a difference with 0.
func (x *symbols) sign(code opCode, d, a, b *amount) *proof.Condition {
	for _, n := range []*amount{d, d.minus} {
		if n != nil && n.name == "" {
			n.name = a.label() + " against " + b.label()
		}
	}
	return x.compared(code, d, constOf(0))
}

// manyRounds stands for the share within which numbers that were computed are one, in roundings.
const manyRounds = 1 << 14 // 2^14 of 2^-53 are more than rounding

// cut notes a constant that the number is compared with.
func (n *amount) cut(c float64) {
	if c == 0 || slices.Contains(n.cuts, c) {
		return
	}
	t, exact := n.asTerm(), n.value
	if n.cuts == nil {
		t.Rounds += manyRounds
		t.Value = func(p proof.Point) float64 {
			v := exact(p)
			for _, c := range n.cuts {
				if same(v, c) {
					return c
				}
			}
			return v
		}
	}
	n.cuts = append(n.cuts, c)
}

// settled is the difference of two numbers of which one was computed: none if it can be rounding.
func (x *symbols) settled(d, a, b *amount) *amount {
	if d.shape != plainNumber || d.variable >= 0 {
		return d
	}
	n := *d
	n.key, n.term, n.cuts, n.rounds = "settled "+d.key, nil, nil, d.rounds+manyRounds
	n.value = func(p proof.Point) float64 {
		if same(a.value(p), b.value(p)) {
			return 0
		}
		return d.value(p)
	}
	if d.minus != nil {
		n.minus = x.settled(d.minus, b, a)
	}
	return x.computed(&n)
}

// ratio gives the inequality that follows from the comparison of a quotient whose divisor is never negative. It tells the quotient from conditions on
// what it is made of.
func (x *symbols) ratio(code opCode, a *amount, c float64) *proof.Condition {
	if a.over == nil || slices.ContainsFunc(a.over[1].members(), func(m *amount) bool { return !x.neverNegative(m) }) {
		return proof.Always
	}
	at := func(code opCode, c float64) *proof.Condition {
		return x.compared(code, x.combined(codeSub, a.over[0], x.combined(codeMul, a.over[1], constOf(c))), constOf(0))
	}
	positive := x.compared(codeAbove, a.over[1], constOf(0)) // over zero there is no value
	more, less := c+slack*(1+math.Abs(c)), c-slack*(1+math.Abs(c))
	switch code {
	case codeAtLeast, codeAbove:
		return proof.All(positive, at(codeAtLeast, less))
	case codeAtMost, codeBelow:
		return proof.All(positive, at(codeAtMost, more))
	}
	return proof.All(positive, at(codeAtLeast, less), at(codeAtMost, more))
}

// members lists the numbers of an ordered list, or the number itself.
func (n *amount) members() []*amount {
	if n.shape == orderedNumber {
		return n.list
	}
	return []*amount{n}
}

func (n *amount) label() string {
	if n.name == "" {
		return "a formula"
	}
	return n.name
}

// tallied compares a count with a number.
func tallied(code opCode, a *amount, c float64) *proof.Condition {
	least, most := 0, len(a.conds)
	switch code {
	case codeAtLeast:
		least = int(math.Ceil(c))
	case codeAbove:
		least = int(math.Floor(c)) + 1
	case codeAtMost:
		most = int(math.Floor(c))
	case codeBelow:
		most = int(math.Ceil(c)) - 1
	case codeEquals:
		if c != math.Floor(c) {
			return proof.Never
		}
		least, most = int(c), int(c)
	}
	return proof.Count(least, most, a.conds...)
}
