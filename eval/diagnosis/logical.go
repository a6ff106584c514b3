// Package diagnosis finds which faults explain the outcomes of checks. It works on plain tables and knows nothing of sheets.
//
// This edition reasons logically, about one fault at a time, from decided outcomes only. Ranking by probability and several faults at once
// are built on the same tables.
package diagnosis

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
	Good   []uint32 // per check, the outcomes that are not bad
	Faults []Fault

	maskers [][]masker // per check
	sole    [][]int32  // per check and outcome: the group that alone can show it, none or several
	touched [][]int32  // per check: the faults that name it
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
	for f, fault := range t.Faults {
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
}

// A Finding is the status of one fault with its witnesses: the check that shows it and the check that rules it out, -1 without.
type Finding struct {
	Status  Status
	Shown   int32
	Against int32
}

// Judge fills out with one finding per fault; out must have the length of t.Faults. It does not allocate.
func (t *Table) Judge(ev Evidence, out []Finding) {
	for f := range out {
		out[f] = Finding{Shown: -1, Against: -1}
		for _, s := range t.Faults[f].Shows {
			if out[f].Status == NotExamined && anyValid(ev, s.Checks) {
				out[f].Status = Possible
			}
		}
	}
	t.ruleOut(ev, out)
	t.show(ev, out)
}

func anyValid(ev Evidence, checks []int) bool {
	for _, c := range checks {
		if ev.Valid[c] {
			return true
		}
	}
	return false
}

// ruleOut repeats until nothing changes, because a fault that is ruled out no longer masks.
func (t *Table) ruleOut(ev Evidence, out []Finding) {
	for again := true; again; {
		again = false
		for f := range out {
			if out[f].Status != Possible {
				continue
			}
			for i := range t.Faults[f].Shows {
				s := &t.Faults[f].Shows[i]
				if c := t.contradicted(ev, out, f, s); s.Always && c >= 0 {
					out[f].Status, out[f].Against = RuledOut, int32(c)
					again = true
					break
				}
			}
		}
	}
}

// contradicted returns a check that proves that none of the outcomes of s came about, -1 if they may have.
func (t *Table) contradicted(ev Evidence, out []Finding, f int, s *Show) int {
	witness := -1
	for _, c := range s.Checks {
		if !ev.Valid[c] || ev.Possible[c]&s.Outcomes != 0 || t.hidden(out, f, c) {
			return -1
		}
		witness = c
	}
	return witness
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

// show looks for decided bad outcomes that only one fault can show.
func (t *Table) show(ev Evidence, out []Finding) {
	for c, possible := range ev.Possible {
		if !ev.Valid[c] || possible&(possible-1) != 0 || possible&t.Good[c] != 0 || possible == 0 {
			continue
		}
		o := 0
		for possible>>o != 1 {
			o++
		}
		group := t.sole[c][o]
		if group < 0 {
			continue
		}
		for _, f := range t.touched[c] {
			if t.Faults[f].Group != int(group) || out[f].Shown >= 0 || !t.shows(int(f), c, possible) {
				continue
			}
			out[f].Shown = int32(c)
			switch out[f].Status {
			case Possible:
				out[f].Status = Shown
			case RuledOut:
				out[f].Status = AtOdds
			}
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
