package eval

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Formulas of three readings that are ranges, against dense sampling of the readings.

// formula3 is a formula of three readings in the language and in Go.
type formula3 struct {
	text string
	f    func(x, y, z float64) float64
}

// extent is what a formula can be by our judgement while x, y and z lie within their ranges.
func extent(t require.TestingT, formula string, ranges [3][2]float64) (lo, hi float64) {
	sheet := fmt.Sprintf("brushgear 1\nfamily f \"F\" {\n  test t \"T\" {\n    read x : V  read y : V  read z : V\n    let v = %s\n  }\n}\n", formula)
	f, err := dsl.Parse("tangle.sheet", []byte(sheet))
	require.NoError(t, err, formula)
	bench, err := Compile([]*dsl.File{f})
	require.NoError(t, err, formula)
	j, err := bench.Open("f")
	require.NoError(t, err)
	values, volt := map[string]Value{}, units.MustUnit("V")
	for i, name := range []string{"x", "y", "z"} {
		values[name] = Between(units.FromSI(ranges[i][0], volt), units.FromSI(ranges[i][1], volt))
	}
	require.NoError(t, j.Take("t", Reading{Values: values}))
	require.NoError(t, j.prepare(context.Background()))
	v := &Verdict{}
	require.NoError(t, j.JudgeInto(context.Background(), v))
	frame := v.closely(v.Last().spelled(), 1)
	for _, r := range j.program.tests[0].values {
		if r.v.name == "v" {
			return frame.regs[r.base].lo, frame.regs[r.base].hi
		}
	}
	return math.NaN(), math.NaN()
}

// sampled is the least and the most of a formula over a grid of n points for each reading, ends included.
func (k formula3) sampled(ranges [3][2]float64, n int) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	at := func(i, step int) float64 {
		return ranges[i][0] + (ranges[i][1]-ranges[i][0])*float64(step)/float64(n-1)
	}
	for a := range n {
		for b := range n {
			for c := range n {
				v := k.f(at(0, a), at(1, b), at(2, c))
				lo, hi = min(lo, v), max(hi, v)
			}
		}
	}
	return lo, hi
}

// TestTanglesAreExact: where a formula is monotone in each reading, or its extremes lie at the ends of the ranges, a reading that is used twice widens
// nothing.
func TestTanglesAreExact(t *testing.T) {
	for _, k := range []formula3{
		{"x - x", func(x, _, _ float64) float64 { return 0 }},
		{"x / (x + y)", func(x, y, _ float64) float64 { return x / (x + y) }},
		{"(x - y) / x", func(x, y, _ float64) float64 { return (x - y) / x }},
		{"(x - y) / (x + y)", func(x, y, _ float64) float64 { return (x - y) / (x + y) }},
		{"x * y / (x + y)", func(x, y, _ float64) float64 { return x * y / (x + y) }},
		{"(x + y + z) / 3 - z", func(x, y, z float64) float64 { return (x+y+z)/3 - z }},
		{"(x * y + y * z + z * x) / z", func(x, y, z float64) float64 { return (x*y + y*z + z*x) / z }}, // a wye turned into a delta
		{"x * x", func(x, _, _ float64) float64 { return x * x }},
		{"x * (2 V - x)", func(x, _, _ float64) float64 { return x * (2 - x) }},
		{"2 * abs(x - 2 V) + x", func(x, _, _ float64) float64 { return 2*math.Abs(x-2) + x }},
	} {
		for _, ranges := range [][3][2]float64{
			{{1, 3}, {1, 3}, {1, 3}},
			{{0.5, 8}, {2, 2}, {2, 5}},
			{{2, 2.1}, {0.1, 9}, {4, 4}},
		} {
			lo, hi := extent(t, k.text, ranges)
			from, to := k.sampled(ranges, 41)
			slack := 1e-9 + 1e-3*(to-from) // the grid may miss an extreme within
			require.InDelta(t, from, lo, slack, "%s over %v", k.text, ranges)
			require.InDelta(t, to, hi, slack, "%s over %v", k.text, ranges)
		}
	}
}

// TestTangleWithoutASlope: where the slope is zero all over, its sign is never found, and the bounds are as close as the boxes are small.
func TestTangleWithoutASlope(t *testing.T) {
	lo, hi := extent(t, "x / x", [3][2]float64{{1, 3}, {1, 1}, {1, 1}})
	require.InDelta(t, 1, lo, 1e-3)
	require.InDelta(t, 1, hi, 1e-3)
}

// TestTanglesHoldEveryValue: whatever the formula, no value of it lies outside, and it is never wider than step by step.
func TestTanglesHoldEveryValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := formulaOf(t, rapid.IntRange(1, 4).Draw(t, "depth"), func(a, b float64) float64 { return a / b })
		var ranges [3][2]float64
		for i := range ranges {
			lo := float64(rapid.IntRange(-40, 80).Draw(t, "low")) / 8
			ranges[i] = [2]float64{lo, lo + float64(rapid.IntRange(0, 40).Draw(t, "width"))/8}
		}
		lo, hi := extent(t, k.text, ranges)
		from, to := k.sampled(ranges, 7)
		if math.IsNaN(from) || math.IsInf(from, 0) || math.IsNaN(to) || math.IsInf(to, 0) {
			return
		}
		slack := 1e-9 * max(1, math.Abs(from), math.Abs(to))
		require.LessOrEqual(t, lo, from+slack, "%s over %v", k.text, ranges)
		require.GreaterOrEqual(t, hi, to-slack, "%s over %v", k.text, ranges)
	})
}

// formulaOf makes a formula of voltages: sums of them, and each scaled by a ratio of two, which over works out in Go.
func formulaOf(t *rapid.T, depth int, over func(a, b float64) float64) formula3 {
	if depth == 0 {
		switch rapid.IntRange(0, 2).Draw(t, "reading") {
		case 0:
			return formula3{"x", func(x, _, _ float64) float64 { return x }}
		case 1:
			return formula3{"y", func(_, y, _ float64) float64 { return y }}
		}
		return formula3{"z", func(_, _, z float64) float64 { return z }}
	}
	a, b := formulaOf(t, depth-1, over), formulaOf(t, depth-1, over)
	switch rapid.IntRange(0, 4).Draw(t, "form") {
	case 0:
		return formula3{"(" + a.text + " + " + b.text + ")", func(x, y, z float64) float64 { return a.f(x, y, z) + b.f(x, y, z) }}
	case 1:
		return formula3{"(" + a.text + " - " + b.text + ")", func(x, y, z float64) float64 { return a.f(x, y, z) - b.f(x, y, z) }}
	case 2:
		c := formulaOf(t, 0, over)
		return formula3{"(" + a.text + " * (" + c.text + " / " + b.text + "))", func(x, y, z float64) float64 { return a.f(x, y, z) * over(c.f(x, y, z), b.f(x, y, z)) }}
	case 3:
		return formula3{"abs(" + a.text + ")", func(x, y, z float64) float64 { return math.Abs(a.f(x, y, z)) }}
	}
	return a
}

// TestTanglesGrowWhereTheHalvingsRunOut: where no slope has a sign however small the boxes are, the bounds are loose, but no looser for narrower
// ranges.
func TestTanglesGrowWhereTheHalvingsRunOut(t *testing.T) {
	for _, k := range []struct {
		text         string
		outer, inner [3][2]float64
	}{
		{"x * (y / x) + abs(y) + abs(abs(z))", [3][2]float64{{0.25, 0.375}, {-0.375, 4.625}, {0, 0}}, [3][2]float64{{0.25, 0.375}, {-0.375, 0}, {0, 0}}},
		{"(x - x) + (x - x) + (abs(y) + y * (x / x))", [3][2]float64{{1.875, 2.25}, {-0.5, -0.375}, {0, 0}}, [3][2]float64{{1.875, 2.125}, {-0.5, -0.375}, {0, 0}}},
		{"abs(x) - x * (z / z)", [3][2]float64{{0.25, 0.375}, {0, 0}, {1.25, 1.625}}, [3][2]float64{{0.25, 0.375}, {0, 0}, {1.25, 1.5}}},
		{"(x - x + (y - y)) * (y / (x + x - (x + y)))", [3][2]float64{{1, 1.25}, {4, 5.75}, {0, 0}}, [3][2]float64{{1, 1.25}, {4, 5.625}, {0, 0}}},
	} {
		lo, hi := extent(t, k.text, k.outer)
		from, to := extent(t, k.text, k.inner)
		require.LessOrEqual(t, lo, from+1e-12, "%s over %v and %v", k.text, k.outer, k.inner)
		require.GreaterOrEqual(t, hi, to-1e-12, "%s over %v and %v", k.text, k.outer, k.inner)
	}
}

// TestTanglesGrowWithTheirReadings: narrower ranges never give a wider result, so that less knowledge never lowers a weight.
func TestTanglesGrowWithTheirReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := formulaOf(t, rapid.IntRange(1, 3).Draw(t, "depth"), func(a, b float64) float64 {
			if b == 0 {
				return math.NaN()
			}
			return a / b
		})
		var outer, inner [3][2]float64
		for i := range outer {
			lo, width := float64(rapid.IntRange(-40, 80).Draw(t, "low"))/8, rapid.IntRange(0, 40).Draw(t, "width")
			from := rapid.IntRange(0, width).Draw(t, "from")
			to := rapid.IntRange(from, width).Draw(t, "to")
			outer[i] = [2]float64{lo, lo + float64(width)/8}
			inner[i] = [2]float64{lo + float64(from)/8, lo + float64(to)/8}
		}
		lo, hi := extent(t, k.text, outer)
		from, to := extent(t, k.text, inner)
		if math.IsInf(lo, 0) || math.IsInf(hi, 0) {
			return
		}
		if v, _ := k.sampled(inner, 2); math.IsNaN(v) && math.IsInf(to-from, 1) {
			return // a divisor that is exactly nothing: there the formula has no value, and what it is stays unknown
		}
		slack := 1e-6*(hi-lo) + 1e-9
		require.LessOrEqual(t, lo, from+slack, "%s over %v and %v", k.text, outer, inner)
		require.GreaterOrEqual(t, hi, to-slack, "%s over %v and %v", k.text, outer, inner)
	})
}
