// Package diagnosis finds which faults explain the outcomes of checks. It works on plain tables and knows nothing of sheets.
//
// This edition reasons logically, about one fault at a time, from decided outcomes only. Ranking by probability and several faults at once
// are built on the same tables.
package diagnosis

import "math/bits"

// A Status says what the outcomes tell of one fault.
type Status uint8

const (
	NotExamined Status = iota // no valid outcome of any check it names
	Possible                  // examined, neither shown nor ruled out
	Shown                     // a decided outcome that no other fault can show
	RuledOut                  // an outcome that it always shows is missing, and nothing still possible hides it
	AtOdds                    // shown by one outcome and ruled out by another
)

var statusWords = [...]string{"not examined", "possible", "shown", "ruled out", "possible, readings at odds"}

func (s Status) String() string { return statusWords[s] }

// MarshalText writes the status as its words.
func (s Status) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// A Show says that a fault causes one of a set of outcomes of a check. With several Checks (positions of a list) it causes them at one of
// these, unknown which.
type Show struct {
	Checks   []int
	Outcomes uint32 // bit i for outcome i of the check
	Always   bool   // with certainty; otherwise it only may
}

// A Mask hides a check: nothing can be said of the faults For (nil: of any) from its outcome.
type Mask struct {
	Check int
	For   []int
}

// A Fault lists what one fault shows and masks. Faults of one Group are the same fault at different positions.
type Fault struct {
	Group int
	Shows []Show
	Masks []Mask
}

// A Table is the knowledge of one unit: the good outcomes of each check, and its faults. It is immutable once Prepare has run and then safe
// for concurrent use.
type Table struct {
	All    []uint32 // per check, all its outcomes: the lowest bits
	Good   []uint32 // per check, the outcomes that are not bad
	Faults []Fault

	maskers [][]masker // per check
	sole    [][]int32  // per check and outcome: the group that alone can show it, none or several
	touched [][]int32  // per check: the faults that name it
	named   [][]uint64 // per fault: the checks that it names, as bits
	rules   [][]rule   // per fault: the outcomes that must be there
	masking bool
	place   []bitPlace // per check: where its outcomes lie in Evidence.bits
	words   int
	certain []certainty // the rules of all faults whose position is known, when nothing masks
	from    []int32     // per fault: its first one in certain
}

// certainty is a rule of one check as bits: unless one of mask is possible, the fault is ruled out.
type certainty struct {
	mask  uint64
	word  int32
	check int32
}

type bitPlace struct {
	word  int32
	shift uint8
}

// rule is a Show that is certain, laid out for speed: at one of the checks one of the outcomes is there.
type rule struct {
	check    int32
	outcomes uint32
	others   []int // further checks, when the position is not known
}

type masker struct {
	fault int
	only  []int
}

const (
	noFault = -1
	many    = -2
)

// Prepare builds the lookup tables. It must be called once before Judge.
func (t *Table) Prepare() {
	t.maskers = make([][]masker, len(t.Good))
	t.touched = make([][]int32, len(t.Good))
	t.sole = make([][]int32, len(t.Good))
	for c := range t.sole {
		t.sole[c] = make([]int32, 32)
		for o := range t.sole[c] {
			t.sole[c][o] = noFault
		}
	}
	outcomes := make([]int, len(t.All))
	for c, all := range t.All {
		outcomes[c] = bits.Len32(all)
	}
	t.named = make([][]uint64, len(t.Faults))
	t.rules = make([][]rule, len(t.Faults))
	for f, fault := range t.Faults {
		t.named[f] = make([]uint64, (len(t.All)+63)/64)
		for _, s := range fault.Shows {
			for _, c := range s.Checks {
				t.named[f][c/64] |= 1 << (c % 64)
			}
			if s.Always && len(s.Checks) > 0 {
				t.rules[f] = append(t.rules[f], rule{int32(s.Checks[0]), s.Outcomes, s.Checks[1:]})
			}
		}
		t.masking = t.masking || len(fault.Masks) > 0
		for _, m := range fault.Masks {
			t.maskers[m.Check] = append(t.maskers[m.Check], masker{f, m.For})
		}
		for _, s := range fault.Shows {
			for _, c := range s.Checks {
				t.touched[c] = appendNew(t.touched[c], int32(f))
				for o := range 32 {
					if s.Outcomes&(1<<o) != 0 {
						t.sole[c][o] = join(t.sole[c][o], int32(fault.Group))
					}
				}
			}
		}
	}
	t.lay(outcomes)
}

// lay gives every check its bits in one word, and the certain rules their masks.
func (t *Table) lay(outcomes []int) {
	used := 64
	t.words = 0
	for _, n := range outcomes {
		if used+n > 64 {
			used = 0
			t.words++
		}
		t.place = append(t.place, bitPlace{int32(t.words - 1), uint8(used)})
		used += n
	}
	for f := range t.Faults {
		t.from = append(t.from, int32(len(t.certain)))
		for _, r := range t.rules[f] {
			if len(r.others) == 0 {
				p := t.place[r.check]
				t.certain = append(t.certain, certainty{uint64(r.outcomes) << p.shift, p.word, r.check})
			}
		}
	}
	t.from = append(t.from, int32(len(t.certain)))
}

func join(have, group int32) int32 {
	if have == noFault || have == group {
		return group
	}
	return many
}

func appendNew(list []int32, f int32) []int32 {
	if n := len(list); n > 0 && list[n-1] == f {
		return list
	}
	return append(list, f)
}

// Evidence is what was read: per check the set of outcomes that are still possible, and whether the check was read and valid at all.
type Evidence struct {
	Possible []uint32
	Valid    []bool

	bits []uint64 // Possible of valid checks, as laid out by the table; all ones of the others
	read []uint64 // which checks were read
}

// A Finding is the status of one fault with its witnesses: the check that shows it and the check that rules it out, -1 without.
type Finding struct {
	Status  Status
	Shown   int32
	Against int32
	OneOf   bool // its group is shown, by the check Shown, and it is one of several positions that it can be
}

// Judge fills out with one finding per fault; out must have the length of t.Faults. It does not allocate.
func (t *Table) Judge(ev *Evidence, out []Finding) {
	t.spread(ev)
	for f := range out {
		examined := uint64(0)
		for w, named := range t.named[f] {
			examined |= ev.read[w] & named
		}
		out[f] = Finding{Status: NotExamined, Shown: -1, Against: -1}
		if examined != 0 {
			out[f].Status = Possible
		}
	}
	t.ruleOut(ev, out)
	t.show(ev, out)
}

// spread writes the evidence as bits: which checks were read, and their possible outcomes.
func (t *Table) spread(ev *Evidence) {
	ev.bits = filled(ev.bits, t.words, ^uint64(0))
	ev.read = filled(ev.read, (len(t.All)+63)/64, 0)
	for c, possible := range ev.Possible {
		if ev.Valid[c] {
			p := t.place[c]
			ev.bits[p.word] &^= uint64(t.All[c]&^possible) << p.shift
			ev.read[c/64] |= 1 << (c % 64)
		}
	}
}

func filled(s []uint64, n int, v uint64) []uint64 {
	if cap(s) < n {
		s = make([]uint64, n)
	}
	s = s[:n]
	for i := range s {
		s[i] = v
	}
	return s
}

// ruleOutAtOnce finds the faults that are ruled out when nothing masks. It has no branches that depend on readings, which are hard to predict.
func (t *Table) ruleOutAtOnce(ev *Evidence, out []Finding) {
	for f := range out {
		against := int32(-1)
		rules := t.certain[t.from[f]:t.from[f+1]]
		for i := len(rules) - 1; i >= 0; i-- {
			r := &rules[i]
			none := int32((ev.bits[r.word]&r.mask - 1) >> 63 &^ (ev.bits[r.word] & r.mask >> 63)) // 1 if no bit of the mask is left
			against ^= (against ^ r.check) & -none
		}
		if against >= 0 {
			out[f].Status, out[f].Against = RuledOut, against
		}
	}
}

// ruleOut repeats until nothing changes, because a fault that is ruled out no longer masks.
func (t *Table) ruleOut(ev *Evidence, out []Finding) {
	if !t.masking {
		t.ruleOutAtOnce(ev, out)
	}
	for again := true; again; {
		again = false
		for f := range out {
			if out[f].Status != Possible {
				continue
			}
			for i := range t.rules[f] {
				if t.contradicted(ev, out, f, &t.rules[f][i]) {
					out[f].Status, out[f].Against = RuledOut, t.rules[f][i].check
					again = t.masking
					break
				}
			}
		}
	}
}

// contradicted tells whether it is certain that none of the outcomes of a rule came about, with nothing that could hide them.
func (t *Table) contradicted(ev *Evidence, out []Finding, f int, r *rule) bool {
	if !t.absent(ev, out, f, int(r.check), r.outcomes) {
		return false
	}
	for _, c := range r.others {
		if !t.absent(ev, out, f, c, r.outcomes) {
			return false
		}
	}
	return true
}

func (t *Table) absent(ev *Evidence, out []Finding, f, c int, outcomes uint32) bool {
	return ev.Valid[c] && ev.Possible[c]&outcomes == 0 && !(t.masking && t.hidden(out, f, c))
}

// hidden tells whether a fault that is still possible masks check c for fault f.
func (t *Table) hidden(out []Finding, f, c int) bool {
	for _, m := range t.maskers[c] {
		if m.fault == f || out[m.fault].Status == RuledOut {
			continue
		}
		if m.only == nil {
			return true
		}
		for _, g := range m.only {
			if g == f {
				return true
			}
		}
	}
	return false
}

// show looks for decided bad outcomes that only one fault can show. Of a fault of several positions it is the one position that is not ruled out;
// while several are left and none of them is shown otherwise, it is one of these.
func (t *Table) show(ev *Evidence, out []Finding) {
	several := false
	for c := range ev.Possible {
		group, outcome := t.proof(ev, c)
		if group < 0 {
			continue
		}
		left, last := t.left(out, group, c, outcome)
		switch {
		case left == 0:
			t.atOdds(out, group, c, outcome)
		case left == 1 && out[last].Shown < 0:
			out[last].Status, out[last].Shown = Shown, int32(c)
		}
		several = several || left > 1
	}
	if !several {
		return
	}
	for c := range ev.Possible {
		group, outcome := t.proof(ev, c)
		if group < 0 {
			continue
		}
		if left, last := t.left(out, group, c, outcome); left < 2 || out[last].Status == Shown {
			continue
		}
		for _, f := range t.touched[c] {
			if t.Faults[f].Group == int(group) && out[f].Status == Possible && out[f].Shown < 0 && t.shows(int(f), c, outcome) {
				out[f].OneOf, out[f].Shown = true, int32(c)
			}
		}
	}
}

// proof returns the group that alone can show the decided bad outcome of a check, below 0 if there is no such thing, and the outcome.
func (t *Table) proof(ev *Evidence, c int) (int32, uint32) {
	possible := ev.Possible[c]
	if !ev.Valid[c] || possible == 0 || possible&(possible-1) != 0 || possible&t.Good[c] != 0 {
		return noFault, 0
	}
	return t.sole[c][bits.TrailingZeros32(possible)], possible
}

// left counts the faults of a group that can show an outcome and are not ruled out. The last of them comes back, one that is shown before others.
func (t *Table) left(out []Finding, group int32, c int, outcome uint32) (n int, last int32) {
	for _, f := range t.touched[c] {
		if t.Faults[f].Group != int(group) || out[f].Status == RuledOut || out[f].Status == AtOdds || !t.shows(int(f), c, outcome) {
			continue
		}
		if n == 0 || out[last].Status != Shown {
			last = f
		}
		n++
	}
	return n, last
}

// atOdds marks the faults of a group that are ruled out although nothing else can have shown the outcome.
func (t *Table) atOdds(out []Finding, group int32, c int, outcome uint32) {
	for _, f := range t.touched[c] {
		if t.Faults[f].Group == int(group) && out[f].Status == RuledOut && t.shows(int(f), c, outcome) {
			out[f].Status, out[f].Shown = AtOdds, int32(c)
		}
	}
}

func (t *Table) shows(f, c int, outcome uint32) bool {
	for _, s := range t.Faults[f].Shows {
		if s.Outcomes&outcome == 0 {
			continue
		}
		for _, sc := range s.Checks {
			if sc == c {
				return true
			}
		}
	}
	return false
}
