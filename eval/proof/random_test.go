package proof_test

import (
	"fmt"
	"math/big"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	. "github.com/brushgear/brushgear/eval/proof"
)

// comparisons of a number with small whole constants: the whole and half numbers from -0.5 to 3.5 stand for all of its cells.
const top = 3

var halves = func() (list []float64) {
	for x := -0.5; x <= top+0.5; x += 0.5 {
		list = append(list, x)
	}
	return list
}()

// drawCondition draws a condition on two numbers and two words.
func drawCondition(t *rapid.T, depth int) *Condition {
	if depth == 0 || rapid.IntRange(0, 3).Draw(t, "leaf") == 0 {
		if v := rapid.IntRange(0, 3).Draw(t, "variable"); v >= 2 {
			return Is(v, rapid.Uint64Range(0, 7).Draw(t, "words"))
		} else {
			return Compare(v, Comparison(rapid.IntRange(0, 4).Draw(t, "comparison")), float64(rapid.IntRange(0, top).Draw(t, "value")))
		}
	}
	var parts []*Condition
	for range rapid.IntRange(1, 3).Draw(t, "parts") {
		parts = append(parts, drawCondition(t, depth-1))
	}
	switch rapid.IntRange(0, 3).Draw(t, "kind") {
	case 0:
		return All(parts...)
	case 1:
		return Any(parts...)
	case 2:
		return Not(All(parts...))
	}
	least := rapid.IntRange(0, 2).Draw(t, "least")
	return Count(least, least+rapid.IntRange(0, 1).Draw(t, "more"), parts...)
}

// drawRows draws a list of rows.
func drawRows(t *rapid.T, draw func() *Condition) []*Condition {
	var rows []*Condition
	for range rapid.IntRange(1, 4).Draw(t, "rows") {
		rows = append(rows, draw())
	}
	return rows
}

// tally is what enumeration finds.
type tally struct {
	first    map[int]bool
	overlaps map[[2]int]bool
	rest     bool
}

func (c *tally) add(rows []*Condition, at Point) {
	first := -1
	for i, r := range rows {
		if !r.Holds(at) {
			continue
		}
		if first < 0 {
			first = i
			c.first[i] = true
		} else {
			c.overlaps[[2]int{first, i}] = true
		}
	}
	c.rest = c.rest || first < 0
}

func (c *tally) agrees(t *rapid.T, rows []*Condition, a Analysis) {
	require.Empty(t, a.Doubts)
	var dead []int
	for i := range rows {
		if !c.first[i] {
			dead = append(dead, i)
		}
	}
	require.Equal(t, dead, a.Dead)
	require.Equal(t, c.rest, a.Rest.State == Met)
	overlaps := map[[2]int]bool{}
	for _, o := range a.Overlaps {
		overlaps[[2]int{o.First, o.Second}] = true
	}
	for pair := range c.overlaps {
		if !c.first[pair[1]] { // of a dead row its overlap is not told
			delete(c.overlaps, pair)
		}
	}
	require.Equal(t, c.overlaps, overlaps)
}

// real asks that every point of an analysis is one.
func real(t *rapid.T, rows []*Condition, a Analysis) {
	for _, o := range a.Overlaps {
		for i, r := range rows[:o.First] {
			require.False(t, r.Holds(o.At.At), "row %d", i)
		}
		require.True(t, rows[o.First].Holds(o.At.At) && rows[o.Second].Holds(o.At.At))
	}
	if a.Rest.State == Met {
		for i, r := range rows {
			require.False(t, r.Holds(a.Rest.At), "row %d at %v", i, a.Rest.At)
		}
	}
}

// TestAgainstEnumeration: on random rows over small discrete spaces the prover and enumeration agree on dead rows, overlaps and gaps.
func TestAgainstEnumeration(t *testing.T) {
	for range 200 { // times the 100 cases of one check
		againstEnumeration(t)
	}
}

func againstEnumeration(t *testing.T) {
	p := &Prover{Space: Space{Number("x"), Number("y"), Word("u", 3), Word("v", 3)}}
	rapid.Check(t, func(t *rapid.T) {
		rows := drawRows(t, func() *Condition { return drawCondition(t, 2) })
		a := p.Rows(nil, rows, nil)
		real(t, rows, a)
		c := tally{map[int]bool{}, map[[2]int]bool{}, false}
		for _, x := range halves {
			for _, y := range halves {
				for k := range 9 {
					c.add(rows, Point{x, y, float64(k % 3), float64(k / 3)})
				}
			}
		}
		c.agrees(t, rows, a)
	})
}

// form is a term with small whole factors, of one number or of several, computed from left to right.
func form(factors [3]int) *Term {
	t := &Term{Name: fmt.Sprint(factors)}
	for i, f := range factors {
		if f != 0 {
			t.Linear = append(t.Linear, Part{i, big.NewRat(int64(f), 1)})
		}
	}
	t.Rounds = max(0, len(t.Linear)-1) // doubling does not round
	t.Range = func(low, high Point) (least, most float64) {
		for i, f := range factors {
			if f < 0 {
				least, most = least+float64(f)*high[i], most+float64(f)*low[i]
			}
			if f > 0 {
				least, most = least+float64(f)*low[i], most+float64(f)*high[i]
			}
		}
		return least, most
	}
	t.Value = func(p Point) float64 {
		sum := 0.0
		for i, f := range factors {
			sum += float64(f) * p[i]
		}
		return sum
	}
	return t
}

// drawLinear draws a condition on three numbers and on sums of them.
func drawLinear(t *rapid.T, terms map[[3]int]*Term, depth int) *Condition {
	if depth == 0 || rapid.IntRange(0, 2).Draw(t, "leaf") == 0 {
		c := Comparison(rapid.IntRange(0, 4).Draw(t, "comparison"))
		value := float64(rapid.IntRange(-3, 3).Draw(t, "value"))
		if rapid.Bool().Draw(t, "plain") {
			return Compare(rapid.IntRange(0, 2).Draw(t, "variable"), c, value)
		}
		f := [3]int{}
		for i := range f {
			f[i] = rapid.IntRange(-2, 2).Draw(t, "factor")
		}
		if f == [3]int{} {
			f[0], f[1] = 1, -1
		}
		if terms[f] == nil {
			terms[f] = form(f)
		}
		return CompareTerm(terms[f], c, value)
	}
	x, y := drawLinear(t, terms, depth-1), drawLinear(t, terms, depth-1)
	switch rapid.IntRange(0, 2).Draw(t, "kind") {
	case 0:
		return All(x, y)
	case 1:
		return Any(x, y)
	}
	return Not(x)
}

// TestLinearAgainstSampling: on random rows over three readings and sums of them every witness is real, and a gap or overlap that dense sampling
// finds is found. What cannot be decided is rare.
func TestLinearAgainstSampling(t *testing.T) {
	p := &Prover{Space: Space{Number("x"), Number("y"), Number("z")}}
	asked, doubts := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		terms := map[[3]int]*Term{}
		rows := drawRows(t, func() *Condition { return drawLinear(t, terms, 2) })
		a := p.Rows(nil, rows, nil)
		real(t, rows, a)
		c := tally{map[int]bool{}, map[[2]int]bool{}, false}
		for x := -4.0; x <= 4; x += 0.5 {
			for y := -4.0; y <= 4; y += 0.5 {
				for z := -4.0; z <= 4; z += 0.5 {
					c.add(rows, Point{x, y, z})
				}
			}
		}
		doubt := map[[2]int]bool{}
		for _, d := range a.Doubts {
			doubt[[2]int{d.Row, d.Other}] = true
			doubts++
		}
		asked += len(rows) + 1
		for i := range rows {
			if c.first[i] {
				require.NotContains(t, a.Dead, i)
			}
		}
		for pair := range c.overlaps {
			found := doubt[pair] || slices.Contains(a.Dead, pair[1])
			for _, o := range a.Overlaps {
				found = found || pair == [2]int{o.First, o.Second}
			}
			require.True(t, found, "overlap of %v", pair)
		}
		if c.rest {
			require.NotEqual(t, Unmet, a.Rest.State)
		}
	})
	t.Logf("%d of %d questions and their pairs not decided", doubts, asked)
	require.Less(t, doubts, 10+asked/50)
}
