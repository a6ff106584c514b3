package proof

import (
	"math"
	"math/bits"
	"slices"
	"strconv"
)

// A Comparison compares a number with a constant.
type Comparison uint8

const (
	AtLeast Comparison = iota
	AtMost
	Above
	Below
	Equals
)

type conditionOp uint8

const (
	opNever conditionOp = iota
	opAlways
	opCompare
	opIs
	opAll
	opAny
	opNot
	opCount
)

// A Condition is true or false at each point of a space. It never changes. The zero Condition is never true.
type Condition struct {
	op          conditionOp
	comparison  Comparison
	variable    int
	term        *Term
	value       float64
	mask        uint64
	least, most int
	args        []*Condition
	follows     *Condition // what follows from it, nil for nothing
}

var (
	Always = &Condition{op: opAlways}
	Never  = &Condition{op: opNever}
)

// Compare says that a variable, a number, compares so with a value.
func Compare(variable int, c Comparison, value float64) *Condition {
	return &Condition{op: opCompare, comparison: c, variable: variable, value: value}
}

// CompareTerm says that a term compares so with a value. Conditions on one pointer speak of one term.
func CompareTerm(t *Term, c Comparison, value float64) *Condition {
	return &Condition{op: opCompare, comparison: c, term: t, value: value}
}

// Is says that a variable is one of the words whose bits are set, the first word being bit 0.
func Is(variable int, words uint64) *Condition {
	return &Condition{op: opIs, variable: variable, mask: words}
}

// All is true where each condition is, Any where one of them is.
func All(list ...*Condition) *Condition { return joined(opAll, list, opAlways, opNever) }
func Any(list ...*Condition) *Condition { return joined(opAny, list, opNever, opAlways) }

// joined leaves out what changes nothing, and gives what decides alone.
func joined(op conditionOp, list []*Condition, idle, alone conditionOp) *Condition {
	kept := make([]*Condition, 0, len(list))
	for _, c := range list {
		switch {
		case c.op == alone:
			return c
		case c.op != idle:
			kept = append(kept, c)
		}
	}
	switch len(kept) {
	case 0:
		return &Condition{op: idle}
	case 1:
		return kept[0]
	}
	return &Condition{op: op, args: kept}
}

// Not is true where c is not.
func Not(c *Condition) *Condition {
	switch c.op {
	case opAlways:
		return Never
	case opNever:
		return Always
	case opNot:
		return c.args[0]
	}
	return &Condition{op: opNot, args: []*Condition{c}}
}

// Count is true where at least least and at most most of the conditions are.
func Count(least, most int, list ...*Condition) *Condition {
	if least <= 0 && most >= len(list) {
		return Always
	}
	return &Condition{op: opCount, least: least, most: most, args: list}
}

// Implying is the condition c, of which it is known that other follows from it. That changes nothing of what it means, but helps to tell it from other
// conditions where c itself is beyond linear arithmetic.
func (c *Condition) Implying(other *Condition) *Condition {
	if other.op == opAlways || c.op != opCompare {
		return c
	}
	d := *c
	d.follows = other
	return &d
}

// Known tells whether the condition is the same everywhere, and what it is then.
func (c *Condition) Known() (value, known bool) {
	return c.op == opAlways, c.op == opAlways || c.op == opNever
}

// Cuts lists the constants that a variable is compared with, or a term if t is not nil; false if it is part of another term.
func (c *Condition) Cuts(variable int, t *Term) ([]float64, bool) {
	var list []float64
	apart := true
	var walk func(c *Condition)
	walk = func(c *Condition) {
		if c.op == opCompare {
			switch {
			case c.term == t && (t != nil || c.variable == variable):
				list = append(list, c.value)
			case c.term != nil && t == nil:
				apart = apart && !slices.Contains(c.term.of(), variable)
			case c.term != nil:
				apart = apart && !slices.ContainsFunc(c.term.of(), func(v int) bool { return slices.Contains(t.of(), v) })
			case t != nil:
				apart = apart && !slices.Contains(t.of(), c.variable)
			}
		}
		for _, a := range c.args {
			walk(a)
		}
	}
	walk(c)
	slices.Sort(list)
	return slices.Compact(list), apart
}

// With puts another variable in the place of a variable, or of a term if t is not nil.
func (c *Condition) With(variable int, t *Term, other int) *Condition {
	d := *c
	if c.op == opCompare && c.term == t && (t != nil || c.variable == variable) {
		d.term, d.variable = nil, other
	}
	d.follows = nil
	if len(c.args) > 0 {
		d.args = make([]*Condition, len(c.args))
		for i, a := range c.args {
			d.args[i] = a.With(variable, t, other)
		}
	}
	return &d
}

// Terms lists the terms that are compared.
func (c *Condition) Terms() []*Term {
	var list []*Term
	if c.term != nil {
		list = append(list, c.term)
	}
	for _, a := range c.args {
		for _, t := range a.Terms() {
			if !slices.Contains(list, t) {
				list = append(list, t)
			}
		}
	}
	return list
}

// Key writes the condition down, so that equal texts mean equal conditions if the keys of terms do. What follows from a condition is left out.
func (c *Condition) Key() string { return string(c.key(nil)) }

func (c *Condition) key(b []byte) []byte {
	b = append(b, '(', 'a'+byte(c.op))
	switch c.op {
	case opCompare:
		if c.term != nil {
			b = append(b, c.term.Key...)
		} else {
			b = strconv.AppendInt(append(b, 'v'), int64(c.variable), 10)
		}
		b = append(b, ' ', 'a'+byte(c.comparison))
		b = strconv.AppendUint(b, math.Float64bits(c.value), 36)
	case opIs:
		b = strconv.AppendInt(b, int64(c.variable), 10)
		b = strconv.AppendUint(append(b, ' '), c.mask, 36)
	case opCount:
		b = strconv.AppendInt(b, int64(c.least), 10)
		b = strconv.AppendInt(append(b, ' '), int64(c.most), 10)
	}
	for _, a := range c.args {
		b = a.key(b)
	}
	return append(b, ')')
}

// Holds tells whether the condition is true at a point.
func (c *Condition) Holds(at Point) bool {
	switch c.op {
	case opAlways:
		return true
	case opCompare:
		x := 0.0
		if c.term != nil {
			x = c.term.Value(at)
		} else {
			x = at[c.variable]
		}
		return c.comparison.holds(x, c.value)
	case opIs:
		return c.mask&(1<<uint(at[c.variable])) != 0
	case opAll:
		for _, a := range c.args {
			if !a.Holds(at) {
				return false
			}
		}
		return true
	case opAny:
		for _, a := range c.args {
			if a.Holds(at) {
				return true
			}
		}
	case opNot:
		return !c.args[0].Holds(at)
	case opCount:
		n := 0
		for _, a := range c.args {
			if a.Holds(at) {
				n++
			}
		}
		return n >= c.least && n <= c.most
	}
	return false
}

func (c Comparison) holds(x, value float64) bool {
	switch c {
	case AtLeast:
		return x >= value
	case AtMost:
		return x <= value
	case Above:
		return x > value
	case Below:
		return x < value
	}
	return x == value
}

// truth is a set of the values that a condition can have.
type truth uint8

const (
	canTrue  truth = 1
	canFalse truth = 2
	either         = canTrue | canFalse
)

func (t truth) opposite() truth { return t&canTrue<<1 | t&canFalse>>1 }

// node is a condition with its comparisons put as ranges of cells.
type node struct {
	op          conditionOp
	line        int
	from, to    int // of opCompare: the cells in which it holds
	mask        uint64
	least, most int
	args        []*node
}

// over evaluates a condition over all cells of a box at once.
func (n *node) over(b box) truth {
	switch n.op {
	case opAlways:
		return canTrue
	case opCompare:
		r := b[n.line]
		switch {
		case r.from >= n.from && r.to <= n.to:
			return canTrue
		case r.to < n.from || r.from > n.to:
			return canFalse
		}
		return either
	case opIs:
		switch m := b[n.line].words; {
		case m&^n.mask == 0:
			return canTrue
		case m&n.mask == 0:
			return canFalse
		}
		return either
	case opAll:
		t := canTrue
		for _, a := range n.args {
			x := a.over(b)
			if x == canFalse {
				return canFalse
			}
			t |= x
		}
		return t
	case opAny:
		t := canFalse
		for _, a := range n.args {
			x := a.over(b)
			if x == canTrue {
				return canTrue
			}
			t |= x
		}
		return t
	case opNot:
		return n.args[0].over(b).opposite()
	case opCount:
		sure, possible := 0, 0
		for _, a := range n.args {
			switch a.over(b) {
			case canTrue:
				sure++
				possible++
			case either:
				possible++
			}
		}
		switch {
		case sure >= n.least && possible <= n.most:
			return canTrue
		case possible < n.least || sure > n.most:
			return canFalse
		}
		return either
	}
	return canFalse
}

// open finds a comparison that is not decided over the box and on which the condition turns. It passes over the lines that last names while there
// is another.
func (n *node) open(b box, last func(line int) bool) *node {
	if n.op == opCompare || n.op == opIs {
		return n
	}
	var found *node
	for _, a := range n.args {
		if a.over(b) != either {
			continue
		}
		if found = a.open(b, last); !last(found.line) {
			break
		}
	}
	return found
}

func lowestBit(m uint64) int { return bits.TrailingZeros64(m) }
