package eval_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// foundIn proves the statements of one test, and lists the findings as severity, code and message.
func foundIn(t testing.TB, sheet string) []string {
	t.Helper()
	var list []string
	for _, d := range mustBench(t, sheet).ProveReadings() {
		require.NotEmpty(t, d.Help)
		list = append(list, fmt.Sprintf("%s %s: %s", d.Severity, d.Code, d.Message))
	}
	return list
}

// proved proves one test of a family of which the rating is 40 A.
func proved(t testing.TB, test string) []string { return foundIn(t, family(test, "")) }

func TestProveReadings(t *testing.T) {
	const good, odd = "\noutcome good when ", "\noutcome odd otherwise"
	for _, c := range []struct{ name, test, want string }{
		// Rows of one reading.
		{"meeting rows", "read x : A" + good + "x at most rated\noutcome high when x above rated" + odd, ""},
		{"a gap", "read x : A" + good + "x within 30 A to rated\noutcome high when x at least 41 A" + odd,
			"warning rows-gap: x 40.5 A falls in no named outcome: below it is good, above it high"},
		{"a gap of one value", "read x : A" + good + "x below rated\noutcome high when x above 40 A" + odd,
			"warning rows-gap: x exactly 40 A falls in no named outcome: below it is good, above it high"},
		{"in the unit of the reading", "read x : mΩ" + good + "x below 1.25 mΩ\noutcome high when x above 1.25 mΩ" + odd,
			"warning rows-gap: x exactly 1.25 mΩ falls in no named outcome: below it is good, above it high"},
		{"an edge in two", "read x : A" + good + "x within 30 A to 40 A\noutcome high when x at least 40 A" + odd,
			"warning rows-overlap: two outcomes hold at x exactly 40 A, good and high; good is taken | hint"},
		{"a milder row before a graver one", "read x : A" + good + "x within 30 A to 50 A\noutcome high when x above 40 A" + odd,
			"warning rows-overlap: two outcomes hold at x 45 A, good and high; good is taken | hint"},
		{"a special case before the general one", "read x : A\noutcome dead when x below 1 A\noutcome low when x below 30 A" + good + "x at least 30 A" + odd, ""},
		{"a row that the rows above take", "read x : A" + good + "x at most 40 A\noutcome low when x below 30 A\noutcome high when x above 40 A" + odd,
			"warning dead-row: low never comes up here: the rows before it take every reading that meets its condition"},
		{"a row that nothing meets", "read x : A\nread y : V" + good + "x at most 40 A\noutcome high when x above 50 A and x below rated" + odd,
			"warning dead-row: high never comes up here: no reading meets its condition | hint"},
		{"whole numbers have no gap between neighbours", "read n : count" + good + "n at most 3\noutcome many when n at least 4" + odd, ""},
		{"whole numbers with a gap", "read n : count" + good + "n at most 3\noutcome many when n at least 5" + odd,
			"warning rows-gap: n 4 falls in no named outcome: below it is good, above it many"},
		// Grades.
		{"a grade by the rating", "read x : A\ngrade x : low below 0.5 * rated | good below rated | high", ""},
		{"cuts that cross", "read x : A\ngrade x : low below 45 A | good below rated | high",
			"warning dead-row: good never comes up in this grade: what is below 40 A is graded by the rows before it"},
		// Several readings.
		{"a comparison of readings", "read x : A\nread y : A" + good + "x at most y\noutcome high when y below x" + odd, ""},
		{"a difference", "read x : V\nread y : V\nlet lost = x - y" + good + "lost at most 0.3 V\noutcome high when lost above 0.4 V" + odd,
			"warning rows-gap: lost 0.35 V falls in no named outcome: below it is good, above it high"},
		{"differences that exclude each other", "read x : V\nread y : V" + good + "x - y at most 0.3 V\noutcome high when y - x below -0.3 V" + odd, ""},
		{"what follows from two rows", "read x : V\nread y : V\noutcome a when x - y above 1 V" + good + "x below 1 V\noutcome b when y above 0 V and x above 2 * y and y below 0.5 V and x - y above 1 V" + odd,
			"warning dead-row: b never comes up here: the rows before it take every reading that meets its condition | hint"},
		{"a sum", "read x of phase : V" + good + "sum(x) at most 3 V\noutcome high when each x above 1 V" + odd, "hint"},
		{"a mean between the extremes", "read x of phase : V\noutcome odd_mean when mean(x) above highest(x) + 0.01 V" + good + "mean(x) at most 3 V" + odd,
			"warning dead-row: odd_mean never comes up here: no reading meets its condition | hint"},
		// Lists.
		{"each and any", "read x of phase : V" + good + "each x at least 1 V\noutcome low when any x below 1 V" + odd, ""},
		{"count", "read x of phase : V" + good + "count(x below 1 V) below 2\noutcome low when count(x below 1 V) at least 2" + odd, ""},
		{"count with a gap", "read x of phase : V" + good + "count(x below 1 V) below 1\noutcome low when count(x below 1 V) at least 2" + odd, "hint"},
		{"lowest and highest", "read x of phase : V" + good + "lowest(x) at least 1 V and highest(x) at most 2 V\noutcome low when any x below 1 V\noutcome high when any x above 2 V" + odd, ""},
		{"middle", "read x of phase : V" + good + "middle(x) above 1 V\noutcome low when count(x at most 1 V) at least 2" + odd, ""},
		{"span", "read x of phase : V" + good + "span(x) at most 0.1 V\noutcome apart when highest(x) - lowest(x) above 0.1 V" + odd, ""},
		{"alike against a ratio", "read x of phase : Ω" + good + "x alike 2 % by mean\noutcome twice when highest(x) / lowest(x) within 1.8 to 2.2" + odd, "hint"},
		{"alike that a ratio can break", "read x of phase : Ω" + good + "x alike 50 % by mean\noutcome twice when highest(x) / lowest(x) within 1.8 to 2.2" + odd,
			"warning rows-overlap: two outcomes hold at | hint"},
		{"outcomes of a list that is alike", "read x of phase : V\nlimit x alike 5 % by span" + good + "x is good\noutcome one when x is one_low | one_high\noutcome several when x is mixed" + odd, ""},
		// Outcomes of limits, corrections.
		{"outcomes of a limit", "read x : A\nlimit x 30 A to 40 A" + good + "x is good\noutcome low when x is low\noutcome high when x is high" + odd, ""},
		{"against the reading itself", "read x : A\nlimit x 30 A to 40 A\noutcome dead when x below 1 A and x is high" + good + "x is good" + odd,
			"warning dead-row: dead never comes up here: no reading meets its condition | hint"},
		{"a corrected value is not far from the reading", "needs winding_temp\nread x : Ω\ncorrect x by copper from winding_temp\nlimit x 2.0 to 2.2 Ω at winding_temp 20 °C" +
			"\noutcome dead when x below 1 Ω and x is high" + good + "x is good" + odd, "warning dead-row: dead never comes up here: no reading meets its condition | hint"},
		{"a corrected value differs from the reading", "needs winding_temp\nread x : Ω\ncorrect x by copper from winding_temp\nlimit x 2.0 to 2.2 Ω at winding_temp 20 °C" +
			good + "x is good\noutcome over when x above 2.3 Ω" + odd, "warning rows-overlap: two outcomes hold at | hint"},
		// Limits.
		{"bounds that cross by the rating", "read x : A\nlimit x within 45 A to rated", "warning empty-limit: nothing meets this limit of t.x: its bounds are 45 A and 40 A"},
		{"bounds that cross at some readings", "read x : A\nread y : A\nlimit x within 30 A to y",
			"warning empty-limit: at y 0 A the lower bound of t.x lies above the upper one"},
		{"a limit that nothing is below", "read x : Ω\nlimit x 0 Ω to 3 Ω", "warning idle-limit: no reading of t.x can be low by this limit"},
		{"a new limit wider than the wear limit", "read x : A\nlimit x at most rated new at most 50 A",
			"warning idle-limit: nothing can be worn by this limit of t.x: the limit of a new one is no narrower"},
		{"a new limit on the other side", "read x : mm\nlimit x at least 3 mm new at most 2 mm", "warning empty-limit: what meets the limit of a new x does not meet that of a used one"},
		{"no limit for one kind", "read x : A\nlimit x at most 40 A when kind_of is small", "warning limit-gap: no limit of t.x counts, when kind_of is large"},
		{"a limit for each kind", "read x : A\nlimit x at most 40 A when kind_of is small\nlimit x at most 60 A when kind_of is large", ""},
		{"a serial left out", "read x : A\nlimit x at most 40 A when serial at most \"L1999\"\nlimit x at most 60 A when serial at least \"L2001\"",
			"warning limit-gap: no limit of t.x counts, when serial is \"L2000\""},
		{"a day left out", "read x : A\nlimit x at most 40 A when built at most 2001-12-31\nlimit x at most 60 A when built above 2002-01-01",
			"warning limit-gap: no limit of t.x counts, when built is 2002-01-01"},
		{"a range of the condition left out", "needs supply\nread x : A\nlimit x at most 40 A when supply below 12 V\nlimit x at most 60 A when supply above 12 V",
			"warning limit-gap: no limit of t.x counts at supply exactly 12 V"},
		// Ranges and curves.
		{"an empty range", "needs supply within rated * 1 Ω to 12 V\nread x : A\nlimit x at most 40 A", "warning empty-range: nothing is supply within rated * 1 Ω to 12 V, so this test is never valid"},
		{"a curve that falls", "read x at speed : A\nlimit x is rising\nlimit x along speed linear {\nrow 1000 rpm : at least 30 A\nrow 2000 rpm : at least 20 A\n}",
			"warning curve-falls: t.x must rise along speed, but its limit falls from at least 30 A at 1000 rpm to at least 20 A at 2000 rpm"},
		{"a curve that rises", "read x at speed : A\nlimit x is rising\nlimit x along speed linear {\nrow 1000 rpm : at least 10 A\nrow 2000 rpm : at least 20 A\n}", ""},
		{"outcomes of a curve", "needs supply\nread x : A\nlimit x along supply linear {\nrow 10 V : at least 10 A\nrow 12 V : at least 20 A\n}" + good + "x is good\noutcome dead when x below 5 A\noutcome low when x is low" + odd, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			want := strings.Split(c.want, " | ")
			var got []string
			for _, f := range proved(t, c.test) {
				if strings.HasPrefix(f, "hint") {
					f = "hint"
				}
				got = append(got, f)
			}
			if c.want == "" {
				require.Empty(t, got)
				return
			}
			require.Len(t, got, len(want), "%q", got)
			for i := range want {
				require.True(t, strings.HasPrefix(got[i], want[i]), "%q, not %q", got[i], want[i])
			}
		})
	}
}

// TestProveExampleReadings: the example sheets have no finding but hints, and each of their questions is decided.
func TestProveExampleReadings(t *testing.T) {
	for _, d := range exampleBench(t).ProveReadings() {
		require.Equal(t, dsl.Hint, d.Severity, d.Error())
	}
}

// TestProveFamilies: a finding on what a kind says names the family whose numbers bring it about, if another has none.
func TestProveFamilies(t *testing.T) {
	const kind = `brushgear 1
kind motor "Motor" {
  attribute rated : A
  test run "Run" {
    read x : A
    outcome good when x at most rated
    outcome high when x above 40 A
    outcome odd otherwise
  }
}
family a "A" of motor { set rated 40 A }
family b "B" of motor { set rated 39 A }
`
	require.Equal(t, []string{"warning rows-gap: x 39.5 A falls in no named outcome: below it is good, above it high (family b)"}, foundIn(t, kind))
	shop := strings.Replace(kind, "39 A", "40 A", 1) + "shop quay \"Quay\" { limit run.x within 50 A to rated }\n"
	require.Equal(t, []string{"warning empty-limit: nothing meets this limit of run.x: its bounds are 50 A and 40 A"}, foundIn(t, shop))
}

// TestProveTables: published tables through sheets. A table that leaves one cell out has that cell named.
func TestProveTables(t *testing.T) {
	// T-09: the no-load patterns of a starter, TM 10-3930-671-24. They cover six of twelve cells; the six others are found.
	speeds, currents := []string{"none", "low", "rated", "high"}, []string{"low", "rated", "high"}
	covered := []string{"rated rated", "low high", "none high", "none low", "low low", "high high"}
	var missing []string
	for _, v := range speeds {
		for _, a := range currents {
			missing = append(missing, v+" "+a)
		}
	}
	missing = without(missing, covered)
	require.Len(t, missing, 6)
	table := func(cells []string) []string {
		rows := "read speed : none | low | rated | high\nread current : low | rated | high\n"
		for i, cell := range cells {
			word := "fault_" + fmt.Sprint(i)
			if i == 0 {
				word = "good"
			}
			v, a, _ := strings.Cut(cell, " ")
			rows += fmt.Sprintf("outcome %s as fail when speed is %s and current is %s\n", word, v, a)
		}
		return proved(t, strings.Replace(rows, "good as fail", "good", 1)+"outcome odd otherwise")
	}
	require.Empty(t, table(append(covered, missing...)))
	for i, cell := range missing {
		v, a, _ := strings.Cut(cell, " ")
		rest := append(append([]string{}, missing[:i]...), missing[i+1:]...)
		require.Equal(t, []string{fmt.Sprintf("hint falls-to-otherwise: no outcome is named for speed %s and current %s: it falls to odd", v, a)}, table(append(covered, rest...)))
	}

	// T-07: TCK 0004-simpletable-U: complete and without overlap.
	const unique = `read age : count
read risk : high | medium | low
read affordable : yes | no
outcome good when age at least 18 and risk is medium | low and affordable is yes
outcome young when age below 18 and risk is medium | low and affordable is yes
outcome risky when risk is high and affordable is yes
outcome dear when affordable is no
outcome odd otherwise`
	require.Empty(t, proved(t, unique))
	require.Equal(t, []string{"hint falls-to-otherwise: no outcome is named for age 1, risk medium and affordable yes: it falls to odd"},
		proved(t, strings.Replace(unique, "outcome young when age below 18 and risk is medium | low and affordable is yes\n", "", 1)))

	// T-05: TCK 1130, overlaps of [1..5] with another interval: true, false, true at the edge, false; and of [1..5) with [5..8]: false.
	for rows, want := range map[[2]string]string{
		{"x within 1 V to 5 V", "x within 3 V to 8 V"}:                         "x 4 V",
		{"x within 1 V to 5 V", "x within 6 V to 8 V"}:                         "",
		{"x within 1 V to 5 V", "x within 5 V to 8 V"}:                         "x exactly 5 V",
		{"x within 1 V to 5 V", "x above 5 V and x at most 8 V"}:               "",
		{"x at least 1 V and x below 5 V", "x at least 5 V and x at most 8 V"}: "",
	} {
		overlap := ""
		for _, f := range proved(t, "read x : V\noutcome good when "+rows[0]+"\noutcome high when "+rows[1]+"\noutcome odd otherwise") {
			if at, ok := strings.CutPrefix(f, "warning rows-overlap: two outcomes hold at "); ok {
				overlap, _, _ = strings.Cut(at, ", good and high")
			}
		}
		require.Equal(t, want, overlap, rows)
	}
}

func without(list, taken []string) []string {
	var rest []string
	for _, x := range list {
		if !slices.Contains(taken, x) {
			rest = append(rest, x)
		}
	}
	return rest
}

// TestProveDeterministic: the findings are the same, in the same order, each time.
func TestProveDeterministic(t *testing.T) {
	b := exampleBench(t)
	first := fmt.Sprint(b.Prove())
	for range 3 {
		require.Equal(t, first, fmt.Sprint(b.Prove()))
	}
}

// ExampleBench_ProveReadings finds the ampere that two rows leave out.
func ExampleBench_ProveReadings() {
	const sheet = `brushgear 1
family lintel_12 "Lintel 12 V cranking motor" {
  test free_run "Free run at 11.5 V" {
    read current : A
    outcome good when current at most 58 A
    outcome drag when current at least 59 A
    outcome odd otherwise
  }
}
`
	f, err := dsl.Parse("lintel.sheet", []byte(sheet))
	if err != nil {
		fmt.Println(err)
		return
	}
	bench, err := eval.Compile([]*dsl.File{f})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range bench.ProveReadings() {
		fmt.Println(d.Range.Pos, d.Message)
	}
	// Output: lintel.sheet:6:5 current 58.5 A falls in no named outcome: below it is good, above it drag
}
