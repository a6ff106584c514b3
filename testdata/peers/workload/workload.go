// Package workload makes one piece of work in the forms that different engines take: a sheet of the brushgear language, a program for
// expr-lang, the text of an HCL file and plain Go.
//
// The work is 24 tests with 34 readings, 32 faults that explain their outcomes, and any number of complete reading sets. Every number in it
// is drawn from a seed and stands for no real unit.
package workload

import (
	"math/rand/v2"

	"github.com/brushgear/brushgear/units"
)

// Name is the family that the sheet describes.
const Name = "workload"

// Conditions under which all readings of a set are taken.
const (
	supply      = "supply"
	windingTemp = "winding_temp"
)

// A Workload is one sheet and the readings to judge with it. It is immutable and safe for concurrent use.
type Workload struct {
	Conditions []*Value
	Tests      []*Test
	Faults     []*Fault
	Sets       []Set
	metered    bool // see Metered
}

// A Test is some readings, a formula perhaps, and what is checked.
type Test struct {
	Name, Title string
	Stage       string
	Minutes     int
	Values      []*Value
	Checks      []Check
}

// A Fault shows outcomes of checks.
type Fault struct {
	Name, Title string
	Part        string
	Occurs      string
	Shows       []Show
}

// A Show says that a fault causes one of some outcomes of a check, and how surely.
type Show struct {
	Check Check
	Words []string
	Often string
}

// always is the strength of a Show that rules its fault out when it is not seen.
const always = "always"

// New draws a workload with n reading sets. The same seed gives the same workload.
func New(seed uint64, n int) *Workload {
	d := &draw{rng: rand.New(rand.NewPCG(seed, 24))}
	w := &Workload{Conditions: d.conditions(), Tests: d.tests()}
	w.Faults = d.faults(w.Checks())
	for range n {
		w.Sets = append(w.Sets, d.set(w))
	}
	return w
}

// Readings lists the readings in the sheet's order, without conditions.
func (w *Workload) Readings() []*Value {
	var all []*Value
	for _, t := range w.Tests {
		for _, v := range t.Values {
			if v.Formula == nil {
				all = append(all, v)
			}
		}
	}
	return all
}

// Checks lists the checks in the sheet's order.
func (w *Workload) Checks() []Check {
	var all []Check
	for _, t := range w.Tests {
		all = append(all, t.Checks...)
	}
	return all
}

// A Verdict is what every engine must find in one set: the result of each check, and whether each fault is ruled out.
type Verdict struct {
	Results  []Result
	RuledOut []bool
}

// Judge finds the verdict in plain Go.
func (w *Workload) Judge(s Set) Verdict {
	var v Verdict
	for _, c := range w.Checks() {
		v.Results = append(v.Results, resultOf(c, c.Judge(s)))
	}
	for _, f := range w.Faults {
		v.RuledOut = append(v.RuledOut, f.ruledOut(s))
	}
	return v
}

func resultOf(c Check, word string) Result {
	for _, o := range c.Outcomes() {
		if o.Word == word {
			return o.Result
		}
	}
	return Fail
}

func (f *Fault) ruledOut(s Set) bool {
	for _, show := range f.Shows {
		if show.Often == always && !show.seen(s) {
			return true
		}
	}
	return false
}

func (s Show) seen(set Set) bool {
	word := s.Check.Judge(set)
	for _, w := range s.Words {
		if w == word {
			return true
		}
	}
	return false
}

// Quantity returns the reading of a number with its unit.
func (v *Value) Quantity(si float64) units.Quantity {
	return units.FromSI(si, units.MustUnit(v.Unit))
}
