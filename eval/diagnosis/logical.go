// Package diagnosis finds which faults explain the outcomes of checks. It works on plain tables and knows nothing of sheets.
//
// Judge reasons by logic, about one fault at a time and from decided outcomes only. Rank weighs sets of faults by probability, on the same tables.
package diagnosis

import (
	"fmt"
	"math/bits"
	"slices"
)

// A Status says what the outcomes tell of one fault.
type Status uint8

const (
	NotExamined Status = iota // nothing was read that tells of it
	Possible                  // examined, and none of the others
	Shown                     // the readings show it: it explains them, and nothing else does
	RuledOut                  // the readings exclude it
	AtOdds                    // shown by one outcome and ruled out by another, taken by themselves
	Suspected                 // it is part of a story that explains the readings
)

var statusWords = [...]string{"not examined", "possible", "shown", "ruled out", "possible, readings at odds", "suspected"}

func (s Status) String() string {
	if int(s) >= len(statusWords) {
		return fmt.Sprintf("unknown (%d)", s)
	}
	return statusWords[s]
}

// MarshalText writes the status as its words.
func (s Status) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// A Show says that a fault causes one of a set of outcomes of a check. With several Checks (positions of a list) it causes them at one of
// these, unknown which.
type Show struct {
	Checks   []int
	Outcomes uint32  // bit i for outcome i of the check
	Always   bool    // with certainty; otherwise it only may
	Strength float64 // the probability of the outcomes together, 0 to 1; 0 with Always stands for Certain
	Any      bool    // every outcome is equally likely
	Never    bool    // the outcomes cannot come about with the fault
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
	Prior float64 // probability before any reading, below 1; 0 stands for DefaultPrior, below 0 for none at all
	Leads []Lead
	With  []With
}

// A Table is the knowledge of one unit: the good outcomes of each check, and its faults. It is immutable once Prepare has run and then safe
// for concurrent use.
type Table struct {
	All    []uint32 // per check, all its outcomes: the lowest bits
	Good   []uint32 // per check, the outcomes that are not bad
	Usual  []uint32 // per check, the outcomes that a unit without a fault may show; nil: Good
	Faults []Fault

	Tests     []Test        // what is read together; nil: every check is a test of its own
	Combine   []Combination // per check; nil: Opposing
	Otherwise []int8        // per check, the outcome of all that no other names, -1 without; nil: none
	Slip      float64       // probability that a performance of a test is a slip, below 1; 0 stands for DefaultSlip, below 0 for none

	ranks

	maskers  [][]masker // per check
	sole     [][]int32  // per check and outcome: the group that alone can show it, none or several
	touched  [][]int32  // per check: the faults that name it
	rules    [][]rule   // per fault: the outcomes that must be there
	masking  bool
	unplaced bool // there are rules of several checks, which are not in cells

	places []place
	cells  [][]cell  // per 64 faults and outcome
	behind [][]int32 // per outcome: the faults that can show it, if they are of the only group that can and it is bad
}

// cell is what an outcome of a check tells of some faults by itself, as bits.
type cell struct {
	named uint64 // those that name the check
	lost  uint64 // those that the outcome rules out
}

// place tells where the outcomes of a check lie in cells and behind.
type place struct {
	all     uint32
	proving uint32 // those of which behind tells
	from    int32
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

// Prepare builds the lookup tables. It must be called once, before anything else is asked of the table. The table must make sense: All, Good, and those of
// Usual, Combine and Otherwise that are not nil have one entry for each check; checks and faults that others name exist; a check is read by one test at
// most, and one that no test reads tells nothing to Rank; probabilities are from 0 to 1, priors below 1; no fault leads to itself, over others or not.
// What it makes of a table that does not is not said: it may panic.
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
	t.rules = make([][]rule, len(t.Faults))
	for f, fault := range t.Faults {
		for _, s := range fault.Shows {
			if s.Always && !s.Never && len(s.Checks) > 0 {
				t.rules[f] = append(t.rules[f], rule{int32(s.Checks[0]), s.Outcomes, s.Checks[1:]})
			}
		}
		t.masking = t.masking || len(fault.Masks) > 0
		for _, m := range fault.Masks {
			t.maskers[m.Check] = append(t.maskers[m.Check], masker{f, m.For})
		}
		for _, s := range fault.Shows {
			if s.Never {
				continue
			}
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
	t.lay()
	t.layTests()
	t.layWays()
	t.layPairs()
	t.layLinks()
}

// lay works out what each outcome of each check comes to by itself.
func (t *Table) lay() {
	for c, all := range t.All {
		at := place{all: all, from: int32(len(t.behind))}
		for o := range bits.Len32(all) {
			var behind []int32
			if t.Good[c]&(1<<o) == 0 && t.sole[c][o] >= 0 {
				at.proving |= 1 << o
				behind = t.showing(c, o)
			}
			t.behind = append(t.behind, behind)
		}
		t.places = append(t.places, at)
	}
	t.cells = make([][]cell, wordsOf(len(t.Faults)))
	for i := range t.cells {
		t.cells[i] = make([]cell, len(t.behind))
	}
	for f := range t.Faults {
		bit := uint64(1) << (f % 64)
		for _, s := range t.Faults[f].Shows {
			for _, c := range s.Checks {
				for o := range bits.Len32(t.All[c]) {
					t.cells[f/64][int(t.places[c].from)+o].named |= bit
				}
			}
		}
		for _, r := range t.rules[f] {
			if len(r.others) > 0 {
				t.unplaced = true
				continue
			}
			for o := range bits.Len32(t.All[r.check]) {
				if r.outcomes&(1<<o) == 0 {
					t.cells[f/64][int(t.places[r.check].from)+o].lost |= bit
				}
			}
		}
	}
}

// showing lists the faults of the one group that can show an outcome of a check.
func (t *Table) showing(check, outcome int) []int32 {
	var list []int32
	for _, f := range t.touched[check] {
		can := func(s Show) bool { return s.Outcomes&(1<<outcome) != 0 && slices.Contains(s.Checks, check) }
		if t.Faults[f].Group == int(t.sole[check][outcome]) && slices.ContainsFunc(t.Faults[f].Shows, can) {
			list = append(list, f)
		}
	}
	return list
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

// Evidence is what was read: per check the set of outcomes that are still possible, none for a check that was not read or is not valid. Outcomes that a
// check does not have count for nothing.
type Evidence struct {
	Possible []uint32
	Weights  [][]float64 // per check and outcome, from 0 to 1, how well the reading agrees with it, 1 for what is possible; nil: that, and 0 for the others
	Repeats  []int       // per test, how many performances agree, 0 as 1; nil: one each

	table *Table // whose tests these are
	tests []*seen
	room  []seen // for what is not remembered

	examined []uint64 // the set of faults that name a check that was read
	excluded []uint64 // the set of faults that need what is not possible
	proving  []int32  // checks whose outcome proves something
	proofs   []proof
}

// A Finding is the status of one fault with the check that shows it, -1 without.
type Finding struct {
	Status Status
	OneOf  bool // its group is shown, by the check Shown, and it is one of several positions that it can be
	Shown  int32
}

// Judge fills out with one finding per fault; out must have the length of t.Faults. It does not allocate once ev has been judged before.
func (t *Table) Judge(ev *Evidence, out []Finding) {
	t.sift(ev)
	for i := range t.cells {
		examined, excluded := ev.examined[i], ev.excluded[i]
		some := out[64*i : min(64*i+64, len(out))]
		for f := range some {
			some[f] = Finding{Status: plainly[examined&1|excluded&1<<1], Shown: -1}
			examined, excluded = examined>>1, excluded>>1
		}
	}
	if t.masking || t.unplaced {
		t.ruleOut(ev, out)
	}
	t.show(ev, out)
}

// plainly is the status of a fault by whether it was examined and excluded, as bits: without a branch for each fault.
var plainly = [4]Status{NotExamined, Possible, RuledOut, RuledOut}

// sift finds the faults that name a check that was read, and those that are ruled out at once, which is all of them if nothing masks and every
// position is known: an outcome that is possible rules out those that cannot have it, and several of them those that can have none. It also
// finds the proofs, in the order of the checks.
func (t *Table) sift(ev *Evidence) {
	ev.examined, ev.excluded, ev.proving = resized(ev.examined, len(t.cells)), resized(ev.excluded, len(t.cells)), resized(ev.proving, len(t.places)+1)
	ev.proofs = ev.proofs[:0]
	for i, cells := range t.cells {
		examined, excluded, proving := uint64(0), uint64(0), uint32(0)
		for c, possible := range ev.Possible[:len(t.places)] {
			at := &t.places[c]
			if possible &= at.all; possible == 0 {
				continue
			}
			first := bits.TrailingZeros32(possible)
			told := &cells[int(at.from)+first]
			lost, proves := told.lost, at.proving>>first&1
			for more := possible & (possible - 1); more != 0; more &= more - 1 {
				lost, proves = lost&cells[int(at.from)+bits.TrailingZeros32(more)].lost, 0
			}
			examined, excluded = examined|told.named, excluded|lost
			ev.proving[proving] = int32(c) // kept if it proves something: without a branch, which would go by readings
			proving += proves
		}
		if t.masking {
			excluded = 0
		}
		ev.examined[i], ev.excluded[i] = examined, excluded
		if i == 0 {
			for _, c := range ev.proving[:proving] {
				ev.proofs = append(ev.proofs, proof{c, t.behind[int(t.places[c].from)+bits.TrailingZeros32(ev.Possible[c])]})
			}
		}
	}
}

// ruleOut repeats until nothing changes, because a fault that is ruled out no longer masks.
func (t *Table) ruleOut(ev *Evidence, out []Finding) {
	for again := true; again; {
		again = false
		for f := range out {
			if out[f].Status != Possible {
				continue
			}
			if t.Against(ev, out, f) >= 0 {
				out[f].Status = RuledOut
				again = t.masking
			}
		}
	}
}

// Against returns the check that rules a fault out, -1 if none does. ev and out must be those of Judge.
func (t *Table) Against(ev *Evidence, out []Finding, f int) int {
	for i := range t.rules[f] {
		if t.contradicted(ev, out, f, &t.rules[f][i]) {
			return int(t.rules[f][i].check)
		}
	}
	return -1
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
	possible := ev.Possible[c] & t.All[c]
	return possible != 0 && possible&outcomes == 0 && !(t.masking && t.hidden(out, f, c))
}

// hidden tells whether a fault that is still possible masks check c for fault f.
func (t *Table) hidden(out []Finding, f, c int) bool {
	for _, m := range t.maskers[c] {
		if m.fault == f || out[m.fault].Status == RuledOut || out[m.fault].Status == AtOdds {
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
// while several are left and none of them is shown otherwise, it is one of these. What a fault may have hidden proves nothing: behind it a check may read
// anything.
func (t *Table) show(ev *Evidence, out []Finding) {
	if t.masking {
		ev.proofs = slices.DeleteFunc(ev.proofs, func(p proof) bool { return t.obscured(out, p) })
	}
	several := false
	for _, p := range ev.proofs {
		left, last := p.left(out)
		switch {
		case left == 0:
			p.atOdds(out)
		case left == 1 && out[last].Shown < 0:
			out[last].Status, out[last].Shown = Shown, p.check
		}
		several = several || left > 1
	}
	if !several {
		return
	}
	for _, p := range ev.proofs {
		if left, last := p.left(out); left < 2 || out[last].Status == Shown {
			continue
		}
		for _, f := range p.behind {
			if out[f].Status == Possible && out[f].Shown < 0 {
				out[f].OneOf, out[f].Shown = true, p.check
			}
		}
	}
}

// proof is a decided bad outcome of a check that one group alone can show.
type proof struct {
	check  int32
	behind []int32 // the faults that can
}

// obscured tells whether another fault that is not ruled out hides the check of a proof from all faults.
func (t *Table) obscured(out []Finding, p proof) bool {
	return slices.ContainsFunc(t.maskers[p.check], func(m masker) bool {
		return m.only == nil && out[m.fault].Status != RuledOut && out[m.fault].Status != AtOdds && !slices.Contains(p.behind, int32(m.fault))
	})
}

// left counts the faults that can be behind a proof and are not ruled out. The last of them comes back, one that is shown before others.
func (p *proof) left(out []Finding) (n int, last int32) {
	for _, f := range p.behind {
		if out[f].Status == RuledOut || out[f].Status == AtOdds {
			continue
		}
		if n == 0 || out[last].Status != Shown {
			last = f
		}
		n++
	}
	return n, last
}

// atOdds marks the faults that are ruled out although nothing else can be behind a proof.
func (p *proof) atOdds(out []Finding) {
	for _, f := range p.behind {
		if out[f].Status == RuledOut {
			out[f].Status, out[f].Shown = AtOdds, p.check
		}
	}
}
