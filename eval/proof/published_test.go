package proof_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	. "github.com/brushgear/brushgear/eval/proof"
)

// Published tables and interval rows. TCK is the test suite of OMG DMN, dmn-tck/tck.

// within is a condition on variable 0 for one of the four kinds of interval.
func within(low, high float64, lowOpen, highOpen bool) *Condition {
	from, to := AtLeast, AtMost
	if lowOpen {
		from = Above
	}
	if highOpen {
		to = Below
	}
	return All(Compare(0, from, low), Compare(0, to, high))
}

// TestIntervals: T-02, TCK 0072-feel-in, number_007 to 010. The space is the one number; an interval and the number either meet or not.
func TestIntervals(t *testing.T) {
	p := &Prover{Space: Space{Number("x")}}
	for _, row := range []struct {
		c    *Condition
		want string // for 1 to 5
	}{
		{within(2, 4, true, true), "FFTFF"},
		{within(2, 4, true, false), "FFTTF"},
		{within(2, 4, false, true), "FTTFF"},
		{within(2, 4, false, false), "FTTTF"},
	} {
		got := ""
		for x := 1.0; x <= 5; x++ {
			word := map[State]string{Met: "T", Unmet: "F"}[p.Can(row.c, Compare(0, Equals, x)).State]
			require.Equal(t, word == "T", row.c.Holds(Point{x}))
			got += word
		}
		require.Equal(t, row.want, got)
	}
}

// TestOverlaps: T-05, TCK 1130-feel-interval, overlaps.
func TestOverlaps(t *testing.T) {
	p := &Prover{Space: Space{Number("x")}}
	first, open := within(1, 5, false, false), within(1, 5, false, true)
	for _, row := range []struct {
		a, b *Condition
		want State
		edge bool
	}{
		{first, within(3, 8, false, false), Met, false},
		{first, within(6, 8, false, false), Unmet, false},
		{first, within(5, 8, false, false), Met, true},
		{first, within(5, 8, true, false), Unmet, false},
		{open, within(5, 8, false, false), Unmet, false},
	} {
		a := p.Rows(Always, []*Condition{row.a, row.b}, nil)
		require.Equal(t, row.want == Met, len(a.Overlaps) == 1)
		if row.want == Met {
			require.Equal(t, row.edge, a.Overlaps[0].Edge)
			require.True(t, row.a.Holds(a.Overlaps[0].At.At) && row.b.Holds(a.Overlaps[0].At.At))
		}
	}
}

// partition asks that the rows leave nothing open.
func partition(t *testing.T, p *Prover, rows []*Condition) {
	t.Helper()
	a := p.Rows(Always, rows, nil)
	require.Empty(t, a.Dead)
	require.Empty(t, a.Overlaps)
	require.Empty(t, a.Doubts)
	require.Equal(t, Unmet, a.Rest.State)
}

// TestUniqueTable: T-07, TCK 0004-simpletable-U: applicant age, risk and affordability. Four rules that count 2, 2, 2 and 6 of twelve cells.
func TestUniqueTable(t *testing.T) {
	const age, risk, affordable = 0, 1, 2
	const high, medium, low = 1, 2, 4
	p := &Prover{Space: Space{Number("age"), Word("risk", 3), Word("affordable", 2)}}
	adult, minor := Compare(age, AtLeast, 18), Compare(age, Below, 18)
	rows := []*Condition{
		All(adult, Is(risk, medium|low), Is(affordable, 2)),
		All(minor, Is(risk, medium|low), Is(affordable, 2)),
		All(Is(risk, high), Is(affordable, 2)),
		Is(affordable, 1),
	}
	partition(t, p, rows)
	cells := []int{0, 0, 0, 0}
	for _, years := range []float64{17, 18} {
		for r := range 3 {
			for a := range 2 {
				for i, row := range rows {
					if row.Holds(Point{years, float64(r), float64(a)}) {
						cells[i]++
					}
				}
			}
		}
	}
	require.Equal(t, []int{2, 2, 2, 6}, cells)
	for _, x := range []struct {
		at   Point
		rule int
	}{
		{Point{18, 1, 1}, 0}, // approved
		{Point{17, 1, 1}, 1}, // declined
		{Point{18, 0, 1}, 2}, // declined
	} {
		require.True(t, rows[x.rule].Holds(x.at))
	}
}

// TestStarterTable: T-09, the no-load patterns of a starter, TM 10-3930-671-24: they cover six of the twelve cells of speed and current.
func TestStarterTable(t *testing.T) {
	const none, low, rated, high = 0, 1, 2, 3 // the current has no none
	p := &Prover{Space: Space{Word("speed", 4), Word("current", 3)}}
	cell := func(speed, current int) *Condition { return All(Is(0, 1<<speed), Is(1, 1<<(current-1))) }
	rows := []*Condition{
		cell(rated, rated), cell(low, high), cell(none, high), cell(none, low), cell(low, low), cell(high, high),
	}
	require.Empty(t, p.Rows(Always, rows, nil).Overlaps)
	var missing [][2]int
	for {
		a := p.Rows(Always, rows, nil)
		if a.Rest.State != Met {
			require.Equal(t, Unmet, a.Rest.State)
			break
		}
		speed, current := int(a.Rest.At[0]), int(a.Rest.At[1])+1
		missing = append(missing, [2]int{speed, current})
		rows = append(rows, cell(speed, current))
	}
	require.ElementsMatch(t, [][2]int{{none, rated}, {low, rated}, {rated, low}, {rated, high}, {high, low}, {high, rated}}, missing)
}

// TestContactLenses: T-13, the contact-lens data as a table: 3 x 2 x 2 x 2 inputs, 24 rows; complete and without overlap; none 15, soft 5, hard 4.
// Cendrowska 1987, PRISM: An algorithm for inducing modular rules; the rows compared with contact-lenses.arff of Debian's weka.
func TestContactLenses(t *testing.T) {
	const lenses = "NSNHNSNH" + "NSNHNSNN" + "NNNHNSNN" // age, prescription (myope first), astigmatic (no first), tears (reduced first)
	p := &Prover{Space: Space{Word("age", 3), Word("prescription", 2), Word("astigmatic", 2), Word("tears", 2)}}
	var rows []*Condition
	count := map[rune]int{}
	for i, r := range lenses {
		count[r]++
		rows = append(rows, All(Is(0, 1<<(i/8)), Is(1, 1<<(i/4%2)), Is(2, 1<<(i/2%2)), Is(3, 1<<(i%2))))
	}
	require.Len(t, rows, 24)
	require.Equal(t, map[rune]int{'N': 15, 'S': 5, 'H': 4}, count)
	partition(t, p, rows)
}

// TestLimitedEntry: T-14, a limited-entry table counts 2^dashes cells for each rule (CODASYL 1982; Metzner and Barnes 1977). The count is needed
// but not enough: an overlap can hide a gap.
func TestLimitedEntry(t *testing.T) {
	p := &Prover{Space: Space{Word("a", 2), Word("b", 2), Word("c", 2)}}
	rule := func(entries string) *Condition {
		c := Always
		for i, e := range entries {
			switch e {
			case 'Y':
				c = All(c, Is(i, 2))
			case 'N':
				c = All(c, Is(i, 1))
			}
		}
		return c
	}
	cells := func(rows []*Condition) (sum int) {
		for k := range 8 {
			for _, r := range rows {
				if r.Holds(Point{float64(k & 1), float64(k >> 1 & 1), float64(k >> 2)}) {
					sum++
				}
			}
		}
		return sum
	}
	good := []*Condition{rule("YY-"), rule("YN-"), rule("N--")}
	require.Equal(t, 8, cells(good))
	partition(t, p, good)

	bad := []*Condition{rule("Y--"), rule("Y--")}
	require.Equal(t, 8, cells(bad))
	a := p.Rows(Always, bad, nil)
	require.Equal(t, []int{1}, a.Dead)
	require.Equal(t, Met, a.Rest.State)
	require.Equal(t, 0.0, a.Rest.At[0], "a is no")
}

// TestCollect: T-12, TCK 0115 and 0116: rules above 1, 2, 3 and 5 that give 100, 200, 300 and 500. All that hold are collected there, and their gifts
// summed and counted. The rows of a sheet never are: the first that holds counts. In this order the others are dead; turned round, each is a special case of the next.
func TestCollect(t *testing.T) {
	p := &Prover{Space: Space{Number("input")}}
	var rules []*Condition
	for _, above := range []float64{1, 2, 3, 5} {
		rules = append(rules, Compare(0, Above, above))
	}
	gifts := []int{100, 200, 300, 500}
	for input, want := range map[float64][2]int{6: {1100, 4}, 3: {300, 2}, 2: {100, 1}} {
		sum, count := 0, 0
		for i, r := range rules {
			if r.Holds(Point{input}) {
				sum, count = sum+gifts[i], count+1
			}
		}
		require.Equal(t, want, [2]int{sum, count}, input)
	}
	require.Equal(t, []int{1, 2, 3}, p.Rows(nil, rules, nil).Dead, "the first row takes what all others would")
	turned := []*Condition{rules[3], rules[2], rules[1], rules[0]}
	a := p.Rows(nil, turned, nil)
	require.Empty(t, a.Dead)
	require.Len(t, a.Overlaps, 6)
	for _, o := range a.Overlaps {
		require.True(t, o.Within && !o.Edge)
	}
}

// TestEdges: what lies between two neighbouring float64 values is nothing, what lies between two decimals is something.
func TestEdges(t *testing.T) {
	p := &Prover{Space: Space{Number("x")}}
	next := math.Nextafter(1.25, 2)
	require.Equal(t, Unmet, p.Can(Compare(0, Above, 1.25), Compare(0, Below, next)).State)
	require.Equal(t, Unmet, p.Rows(Always, []*Condition{Compare(0, AtMost, 1.25), Compare(0, AtLeast, next)}, nil).Rest.State)
	a := p.Can(Compare(0, Above, 1.25), Compare(0, Below, math.Nextafter(next, 2)))
	require.Equal(t, Answer{State: Met, At: Point{next}, Needs: []int{0}}, a)
	a = p.Rows(Always, []*Condition{Compare(0, AtMost, 1.249), Compare(0, AtLeast, 1.25)}, nil).Rest
	require.Equal(t, Met, a.State)
	require.Greater(t, a.At[0], 1.249)
	require.Less(t, a.At[0], 1.25)
	a = p.Rows(Always, []*Condition{Compare(0, Below, 1.25), Compare(0, Above, 1.25)}, nil).Rest
	require.Equal(t, Answer{State: Met, At: Point{1.25}, Needs: []int{0}, Exact: []int{0}}, a)
	bounded := &Prover{Space: Space{{Name: "x", Low: 0, High: 5, HighOpen: true}}}
	require.Equal(t, Unmet, bounded.Can(Compare(0, Below, 0)).State)
	require.Equal(t, Unmet, bounded.Can(Compare(0, AtLeast, 5)).State)
	require.Equal(t, Met, bounded.Can(Compare(0, AtMost, 0)).State)
}

// TestUnclear: what turns on a value that nobody knows, or on too many cases, is never answered with yes or no.
func TestUnclear(t *testing.T) {
	p := &Prover{Space: Space{Number("x"), {Name: "the state of the battery", Words: 2, Opaque: true}}}
	a := p.Can(Compare(0, Above, 1), Is(1, 2))
	require.Equal(t, Unclear, a.State)
	require.Equal(t, "it turns on the state of the battery", a.Why)
	require.Equal(t, Met, p.Can(Compare(0, Above, 1), Any(Is(1, 2), Compare(0, Above, 0))).State, "whatever it is")
	require.Equal(t, Unmet, p.Can(Is(1, 2), Is(1, 1)).State, "it cannot be both")

	p = &Prover{Choices: 3}
	all := Always
	for i := range 9 {
		p.Space = append(p.Space, Number("x"))
		all = All(all, Any(Compare(i, Below, 1), Compare(i, Above, 2)))
	}
	require.Equal(t, Unclear, p.Can(all).State)
	p.Choices = 0
	require.Equal(t, Met, p.Can(all).State)
}
