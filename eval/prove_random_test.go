package eval

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/proof"
)

// drawTruth draws a condition on the readings x, y, a list of three and a word, as a sheet writes it.
func drawTruth(t *rapid.T, depth int) string {
	pick := func(name string, list ...string) string { return rapid.SampledFrom(list).Draw(t, name) }
	if depth > 0 && rapid.Bool().Draw(t, "joined") {
		x, y := drawTruth(t, depth-1), drawTruth(t, depth-1)
		return pick("join", fmt.Sprintf("(%s and %s)", x, y), fmt.Sprintf("(%s or %s)", x, y), fmt.Sprintf("not (%s)", x))
	}
	comparison := pick("comparison", "at least", "at most", "above", "below", "equals")
	volts := pick("volts", "0 V", "1 V", "1.5 V", "2 V")
	switch rapid.IntRange(0, 5).Draw(t, "leaf") {
	case 0:
		return pick("word", "w is a", "w is b | c", "x is low", "x is good | high", "l is good", "l is one_low | one_high")
	case 1:
		return fmt.Sprintf("count(l %s %s) %s %d", comparison, volts, pick("than", "at least", "below", "equals"), rapid.IntRange(0, 3).Draw(t, "n"))
	case 2:
		return fmt.Sprintf("%s l %s %s", pick("all", "each", "any"), comparison, volts)
	case 3:
		return fmt.Sprintf("%s %s %s", pick("of", "x - y", "highest(l) - x", "x + y", "abs(x - y)", "2 * x - y"), comparison, volts)
	case 4:
		return fmt.Sprintf("%s %s %s", pick("list", "highest(l)", "lowest(l)", "middle(l)", "span(l)", "sum(l)", "mean(l)"), comparison, pick("other", volts, "x", "y"))
	}
	return fmt.Sprintf("%s %s %s", pick("one", "x", "y", "l[u]"), comparison, pick("bound", volts, "x", "y", "l[v]"))
}

// TestProveAgainstJudging: on random patterns over a reading, a list and a word, what is proved and what judging a grid of readings gives agree: a
// row that comes up on the grid is not dead, an overlap or a gap of the grid is found, and each witness is one.
func TestProveAgainstJudging(t *testing.T) {
	doubts, questions := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		var sheet strings.Builder
		sheet.WriteString("brushgear 1\nfamily unit \"Unit\" {\n  positions phase \"phase\" : u, v, w\n  test t \"Test\" {\n    read x : V\n    read y : V\n    read l of phase : V\n    read w : a | b | c\n")
		sheet.WriteString("    limit x 0.5 V to 1.5 V\n    limit l alike 0.6 V by span\n")
		n := rapid.IntRange(1, 3).Draw(t, "rows")
		for i := range n {
			fmt.Fprintf(&sheet, "    outcome row_%d as fail when %s\n", i, drawTruth(t, 2))
		}
		sheet.WriteString("    outcome good as pass when x is good\n    outcome odd otherwise\n  }\n}\n")
		f, err := dsl.Parse("test.sheet", []byte(sheet.String()))
		require.NoError(t, err, sheet.String())
		bench, err := Compile([]*dsl.File{f})
		require.NoError(t, err, sheet.String())

		m := bench.families["unit"]
		b := bindTests(&configuration{m: m, sets: map[string]map[string]constant{"": {}}})
		x := newSymbols(b.p)
		k := &b.p.checks[b.p.tests[0].checkTo-1]
		require.Equal(t, patternCheck, k.c.kind)
		rows := x.patternRows(k)
		a := (&proof.Prover{Space: x.space}).Rows(nil, rows, nil)

		// Which rows hold where, as judged.
		in := map[string]int32{}
		for _, i := range b.p.tests[0].inputs {
			in[i.v.name] = i.base
		}
		frame := &frame{}
		frame.use(b.p, make([]checkState, len(b.p.checks)), make([]float64, b.p.zs))
		holding := func() []int {
			frame.run(b.p, &b.p.tests[0], false)
			var list []int
			for i, r := range k.rows {
				if r < 0 || frame.regs[r].bits == canTrue {
					list = append(list, i)
				}
			}
			return list
		}
		first, both := map[int]bool{}, map[[2]int]bool{}
		var grid []float64
		for v := 0.0; v <= 2.5; v += 0.5 {
			grid = append(grid, v)
		}
		for _, vx := range grid {
			for _, vy := range grid {
				for c := range 64 {
					for w := range 3 {
						frame.regs[in["x"]], frame.regs[in["y"]], frame.regs[in["w"]] = exact(vx), exact(vy), reg{bits: 1 << w}
						for i := range int32(3) {
							frame.regs[in["l"]+i] = exact([]float64{0, 1, 1.5, 2.5}[c>>(2*i)&3])
						}
						list := holding()
						first[list[0]] = true
						for _, j := range list[1:] {
							both[[2]int{list[0], j}] = true
						}
					}
				}
			}
		}
		known := map[[2]int]bool{}
		for _, d := range a.Doubts {
			known[[2]int{d.Row, d.Other}] = true
			doubts++
		}
		questions += len(rows)
		dead := map[int]bool{}
		for _, i := range a.Dead {
			require.False(t, first[i], "row %d comes up:\n%s", i, sheet.String())
			dead[i] = true
		}
		for _, o := range a.Overlaps {
			known[[2]int{o.First, o.Second}] = true
			f := x.judgedAt(o.At.At)
			if f == nil {
				continue
			}
			for _, i := range []int{o.First, o.Second} {
				require.True(t, k.rows[i] < 0 || f.regs[k.rows[i]].bits == canTrue, "row %d at %s:\n%s", i, x.witness(o.At), sheet.String())
			}
		}
		for pair := range both {
			require.True(t, known[pair] || dead[pair[1]], "rows %v overlap:\n%s", pair, sheet.String())
		}
	})
	t.Logf("%d doubts on %d rows", doubts, questions)
	require.LessOrEqual(t, doubts, questions/10)
}
