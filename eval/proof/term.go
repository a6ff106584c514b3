package proof

import (
	"math"
	"math/big"
)

// A Term is a number computed from variables.
type Term struct {
	Name string
	Key  string // equal for terms that are computed alike; used by Condition.Key

	// Value computes the term at a point, with the very operations in float64 whose results are compared.
	Value func(Point) float64

	// Range bounds the term, as it is computed, where each variable lies between low and high, which can be infinite.
	Range func(low, high Point) (least, most float64)

	// Linear gives the term as it is before rounding: the sum of its parts and Add, which is nil for 0. It is nil for a term that is not linear.
	Linear []Part
	Add    *big.Rat

	// Rounds is how many roundings the term has at most on the way from a variable to its value: 1 for the difference of two variables.
	Rounds int

	// Whole says that the term has whole values only, which stand for classes: none of them is an edge.
	Whole bool

	// Of lists the variables of a term that is not linear. Tries gives values for them that are worth trying, where each variable lies between low
	// and high; it can be nil.
	Of    []int
	Tries func(low, high Point) [][]float64
}

// A Part is a multiple of a variable. No variable has two parts in a term.
type Part struct {
	Variable int
	Times    *big.Rat
}

var (
	one      = big.NewRat(1, 1)
	minusOne = big.NewRat(-1, 1)
)

// Difference is the term x - y of two variables.
func Difference(name string, x, y int) *Term {
	return &Term{
		Name: name, Value: func(p Point) float64 { return p[x] - p[y] },
		Range:  func(low, high Point) (float64, float64) { return low[x] - high[y], high[x] - low[y] },
		Linear: []Part{{x, one}, {y, minusOne}}, Rounds: 1,
	}
}

// of lists the variables of a term.
func (t *Term) of() []int {
	if t.Linear == nil {
		return t.Of
	}
	list := make([]int, len(t.Linear))
	for i, p := range t.Linear {
		list[i] = p.Variable
	}
	return list
}

// rational is the exact value of a finite float64.
func rational(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }

// halfway is the value from which on a number rounds to x or to one on its other side: from below x if side is negative.
func halfway(x float64, side int) *big.Rat {
	next := math.Nextafter(x, math.Inf(side))
	if math.IsInf(next, 0) {
		return rational(x)
	}
	r := rational(x)
	r.Add(r, rational(next))
	return r.Quo(r, big.NewRat(2, 1))
}
