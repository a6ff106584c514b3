package diagnosis

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Outcomes of the checks in these tests: good, low, high.
const (
	good = 1 << iota
	low
	high
	all = good | low | high
)

func table(checks int, faults ...Fault) *Table {
	t := &Table{Faults: faults}
	for range checks {
		t.All, t.Good = append(t.All, all), append(t.Good, good)
	}
	for f := range t.Faults {
		if t.Faults[f].Group < 0 {
			t.Faults[f].Group = f
		}
	}
	t.Prepare()
	return t
}

func always(check int, outcome uint32) Show {
	return Show{Checks: []int{check}, Outcomes: outcome, Always: true}
}
func maybe(check int, outcome uint32) Show { return Show{Checks: []int{check}, Outcomes: outcome} }

func own(shows ...Show) Fault { return Fault{Group: -1, Shows: shows} }

// judge reads one outcome set for each check; 0 stands for a check that was not read.
func judge(t *Table, read ...uint32) []Finding {
	ev := &Evidence{}
	for _, set := range read {
		ev.Possible = append(ev.Possible, set)
	}
	out := make([]Finding, len(t.Faults))
	t.Judge(ev, out)
	return out
}

func statuses(found []Finding) string {
	s := ""
	for i, f := range found {
		if i > 0 {
			s += "; "
		}
		s += f.Status.String()
		if f.OneOf {
			s += " (one of)"
		}
	}
	return s
}

func TestStatus(t *testing.T) {
	masked := own(always(0, low))
	masker := own(maybe(1, high))
	masker.Masks = []Mask{{Check: 0}}
	onlyOther := own(maybe(1, high))
	onlyOther.Masks = []Mask{{Check: 0, For: []int{2}}}
	positions := func() []Fault {
		return []Fault{
			{Group: 0, Shows: []Show{always(0, low), always(1, low)}},
			{Group: 0, Shows: []Show{always(0, low), always(2, low)}},
		}
	}
	for _, test := range []struct {
		name   string
		checks int
		faults []Fault
		read   []uint32
		want   string
	}{
		{"nothing read", 1, []Fault{own(always(0, low))}, []uint32{0}, "not examined"},
		{"only one fault shows it", 1, []Fault{own(always(0, low))}, []uint32{low}, "shown"},
		{"a may is enough to be shown", 1, []Fault{own(maybe(0, low))}, []uint32{low}, "shown"},
		{"two faults show it", 1, []Fault{own(always(0, low)), own(maybe(0, low))}, []uint32{low}, "possible; possible"},
		{"good rules out an always", 1, []Fault{own(always(0, low))}, []uint32{good}, "ruled out"},
		{"good does not rule out a may", 1, []Fault{own(maybe(0, low))}, []uint32{good}, "possible"},
		{"the other side rules out an always", 1, []Fault{own(always(0, low))}, []uint32{high}, "ruled out"},
		{"an undecided reading does nothing", 1, []Fault{own(always(0, low))}, []uint32{good | low}, "possible"},
		{"an undecided reading on the other side rules out", 1, []Fault{own(always(0, low))}, []uint32{good | high}, "ruled out"},
		{"shown and ruled out at once", 2, []Fault{own(always(0, low), always(1, low))}, []uint32{low, good}, "possible, readings at odds"},
		{"a masker that is possible hides", 2, []Fault{masked, masker}, []uint32{good, 0}, "possible; not examined"},
		{"a masker that is ruled out hides nothing", 2, []Fault{masked, {Group: -1, Shows: []Show{always(1, high)}, Masks: []Mask{{Check: 0}}}},
			[]uint32{good, good}, "ruled out; ruled out"},
		{"a mask for another fault hides nothing from this", 2, []Fault{masked, onlyOther, own(always(0, high))}, []uint32{good, 0}, "ruled out; not examined; possible"},
		{"what may be hidden proves nothing", 2, []Fault{own(maybe(0, low)), masker}, []uint32{low, 0}, "possible; not examined"},
		{"nor that it is at odds", 3, []Fault{own(maybe(0, low), always(2, low)), masker}, []uint32{low, 0, good}, "ruled out; not examined"},
		{"a masker that is ruled out takes no proof", 2, []Fault{own(maybe(0, low)), {Group: -1, Shows: []Show{always(1, high)}, Masks: []Mask{{Check: 0}}}},
			[]uint32{low, good}, "shown; ruled out"},
		{"several outcomes of one check", 1, []Fault{own(always(0, low|high))}, []uint32{high}, "shown"},
		{"unknown position: one of the checks", 2, []Fault{own(Show{Checks: []int{0, 1}, Outcomes: low, Always: true})}, []uint32{good, 0}, "possible"},
		{"unknown position: all of them good", 2, []Fault{own(Show{Checks: []int{0, 1}, Outcomes: low, Always: true})}, []uint32{good, good}, "ruled out"},
		{"positions: not told apart", 3, positions(), []uint32{low, 0, 0}, "possible (one of); possible (one of)"},
		{"positions: the one that is left", 3, positions(), []uint32{low, 0, good}, "shown; ruled out"},
		{"positions: the one that its own check shows", 3, positions(), []uint32{low, low, 0}, "shown; possible"},
		{"positions: none is left", 3, positions(), []uint32{low, good, good}, "possible, readings at odds; possible, readings at odds"},
	} {
		t.Run(test.name, func(t *testing.T) {
			require.Equal(t, test.want, statuses(judge(table(test.checks, test.faults...), test.read...)))
		})
	}
}

func TestWitnesses(t *testing.T) {
	tab, ev, found := table(3, own(always(1, low), always(2, low))), &Evidence{Possible: []uint32{0, low, good}}, make([]Finding, 1)
	tab.Judge(ev, found)
	require.Equal(t, Finding{Status: AtOdds, Shown: 1}, found[0])
	require.Equal(t, 2, tab.Against(ev, found, 0))
}

// TestAgainstDefinitions restates the definitions without any lookup table and compares.
func TestAgainstDefinitions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const checks = 5
		faults := make([]Fault, rapid.IntRange(1, 6).Draw(t, "faults"))
		for f := range faults {
			faults[f].Group = f
			if f > 0 && rapid.Bool().Draw(t, "same group") {
				faults[f].Group = faults[f-1].Group
			}
			for range rapid.IntRange(0, 3).Draw(t, "shows") {
				s := Show{Outcomes: uint32(rapid.SampledFrom([]int{low, high, low | high, all}).Draw(t, "outcomes")), Always: rapid.Bool().Draw(t, "always")}
				for range rapid.IntRange(1, 2).Draw(t, "positions") {
					s.Checks = append(s.Checks, rapid.IntRange(0, checks-1).Draw(t, "check"))
				}
				faults[f].Shows = append(faults[f].Shows, s)
			}
			if rapid.IntRange(0, 3).Draw(t, "mask") == 0 {
				m := Mask{Check: rapid.IntRange(0, checks-1).Draw(t, "masked")}
				if rapid.Bool().Draw(t, "for one") {
					m.For = []int{rapid.IntRange(0, len(faults)-1).Draw(t, "for")}
				}
				faults[f].Masks = append(faults[f].Masks, m)
			}
		}
		read := make([]uint32, checks)
		for c := range read {
			read[c] = uint32(rapid.IntRange(0, all).Draw(t, "read"))
		}
		tab, ev, found := table(checks, faults...), &Evidence{Possible: read}, make([]Finding, len(faults))
		tab.Judge(ev, found)
		for f, want := range restated(faults, read) {
			require.Equal(t, want.String(), found[f].Status.String(), "fault %d of %+v with %v", f, faults, read)
			against := tab.Against(ev, found, f)
			require.Equal(t, want == RuledOut || want == AtOdds, against >= 0, "a fault is ruled out by a check")
			if against >= 0 {
				require.NotZero(t, read[against], "a witness must have been read")
			}
		}
	})
}

// restated works the statuses out from the words of the definitions.
func restated(faults []Fault, read []uint32) []Status {
	ruledOut := map[int]bool{}
	hidden := func(f, c int) bool {
		for g, other := range faults {
			for _, m := range other.Masks {
				if g != f && !ruledOut[g] && m.Check == c && (m.For == nil || m.For[0] == f) {
					return true
				}
			}
		}
		return false
	}
	contradicted := func(f int) bool {
		for _, s := range faults[f].Shows {
			if !s.Always {
				continue
			}
			nowhere := true
			for _, c := range s.Checks {
				nowhere = nowhere && read[c] != 0 && read[c]&s.Outcomes == 0 && !hidden(f, c)
			}
			if nowhere {
				return true
			}
		}
		return false
	}
	for changed := true; changed; {
		changed = false
		for f := range faults {
			if !ruledOut[f] && contradicted(f) {
				ruledOut[f], changed = true, true
			}
		}
	}
	can := func(f, c int, outcome uint32) bool {
		for _, s := range faults[f].Shows {
			for _, sc := range s.Checks {
				if sc == c && s.Outcomes&outcome != 0 {
					return true
				}
			}
		}
		return false
	}
	out := make([]Status, len(faults))
	for f := range faults {
		for _, s := range faults[f].Shows {
			for _, c := range s.Checks {
				if read[c] != 0 {
					out[f] = Possible
				}
			}
		}
		if ruledOut[f] {
			out[f] = RuledOut
		}
		for c, set := range read {
			if set != low && set != high || !can(f, c, set) {
				continue
			}
			alone, left := true, 0
			for g, other := range faults {
				if !can(g, c, set) {
					hides := slices.ContainsFunc(other.Masks, func(m Mask) bool { return m.Check == c && m.For == nil })
					alone = alone && (ruledOut[g] || !hides)
					continue
				}
				alone = alone && faults[g].Group == faults[f].Group
				if !ruledOut[g] {
					left++
				}
			}
			switch {
			case !alone:
			case left == 0:
				out[f] = AtOdds
			case left == 1 && !ruledOut[f]:
				out[f] = Shown
			}
		}
	}
	return out
}

func TestJudgeDoesNotAllocate(t *testing.T) {
	tab := table(3, own(always(0, low), maybe(1, high)), own(always(2, high)))
	ev := &Evidence{Possible: []uint32{low, good, 0}}
	out := make([]Finding, 2)
	tab.Judge(ev, out)
	require.Zero(t, testing.AllocsPerRun(100, func() { tab.Judge(ev, out) }))
}

func ExampleTable_Judge() {
	// Two checks with the outcomes good and low; one fault lowers the first, another both.
	t := &Table{
		All:  []uint32{0b11, 0b11},
		Good: []uint32{0b01, 0b01},
		Faults: []Fault{
			{Group: 0, Shows: []Show{{Checks: []int{0}, Outcomes: 0b10, Always: true}}},
			{Group: 1, Shows: []Show{{Checks: []int{0}, Outcomes: 0b10, Always: true}, {Checks: []int{1}, Outcomes: 0b10, Always: true}}},
		},
	}
	t.Prepare()
	ev := &Evidence{Possible: []uint32{0b10, 0b01}} // low, good
	found := make([]Finding, 2)
	t.Judge(ev, found)
	fmt.Println(found[0].Status, "/", found[1].Status)
	// Output: possible / ruled out
}
