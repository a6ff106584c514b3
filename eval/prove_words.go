package eval

import (
	"fmt"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval/proof"
	"github.com/brushgear/brushgear/units"
)

// Witnesses in the words and units of the sheet.

// maxNamed bounds how many values a witness names.
const maxNamed = 6

// witness says at which readings an answer was found: those that it needs.
func (x *symbols) witness(a proof.Answer) string {
	needs := slices.Clone(a.Needs)
	slices.SortStableFunc(needs, func(p, q int) int { return int(x.items[p].reg) - int(x.items[q].reg) })
	needs = slices.DeleteFunc(needs, func(v int) bool { return x.items[v].moving() && a.At[v] == 0 })
	var parts []string
	for i := 0; i < len(needs); {
		n := x.listed(needs[i:])
		parts = append(parts, x.said(a, needs[i:i+n]))
		i += n
	}
	if len(parts) == 0 {
		return "any reading"
	}
	if len(parts) > maxNamed {
		parts = append(parts[:maxNamed], fmt.Sprintf("%d more", len(parts)-maxNamed))
	}
	return named(parts, "and")
}

// listed counts the variables that are members of one list, from the first on.
func (x *symbols) listed(vars []int) int {
	first := x.items[vars[0]]
	n := 1
	for n < len(vars) && first.pos >= 0 && first.reg >= 0 {
		if at := x.items[vars[n]]; at.v != first.v || at.test != first.test || at.pos < 0 || at.reg < 0 {
			break
		}
		n++
	}
	return n
}

// said puts a reading, or the members of a list, into words.
func (x *symbols) said(a proof.Answer, vars []int) string {
	var values []string
	same := true
	for _, v := range vars {
		values = append(values, x.shown(v, a.At[v]))
		same = same && values[len(values)-1] == values[0]
	}
	at := x.items[vars[0]]
	exactly := ""
	if slices.Contains(a.Exact, vars[0]) {
		exactly = "exactly "
	}
	switch {
	case at.moving():
		return at.label
	case len(vars) == 1:
		return at.label + " " + exactly + values[0]
	}
	whole := len(vars) == int(x.sizeOf(at))
	name, _, _ := strings.Cut(at.label, "[")
	name, _, _ = strings.Cut(name, " at point")
	if same && whole {
		return "each " + name + " " + exactly + values[0]
	}
	if whole {
		return name + " (" + strings.Join(values, ", ") + ")"
	}
	for i, v := range vars {
		values[i] = x.items[v].label + " " + values[i]
	}
	return strings.Join(values, ", ")
}

// moving tells whether the variable says that a reading moves.
func (at spaceItem) moving() bool { return at.reg >= 0 && at.pos < 0 }

func (x *symbols) sizeOf(at spaceItem) int32 {
	for _, in := range x.p.tests[at.test].inputs {
		if in.v == at.v {
			return in.n
		}
	}
	return 1
}

// shown prints a value of a variable.
func (x *symbols) shown(v int, value float64) string {
	at := x.items[v]
	switch {
	case at.reg < 0 || at.moving():
		return fmt.Sprint(value)
	case at.v.typ.class == wordClass:
		return at.v.typ.words[int(value)]
	}
	return strings.TrimSpace(units.FromSI(value, at.v.displayUnit()).String())
}

// printed prints a number that the value of a check is compared with.
func (x *symbols) printed(k *boundCheck, value float64) string {
	return strings.TrimSpace(units.FromSI(value, k.c.val.displayUnit()).String())
}

// ofTerm prints a value of a formula of the test.
func (x *symbols) ofTerm(t *test, name string, value float64) string {
	if v := t.named[name]; v != nil && v.typ.class == numberClass {
		return strings.TrimSpace(units.FromSI(value, v.displayUnit()).String())
	}
	return fmt.Sprintf("%.4g", value)
}

// atCondition prints a place on a curve.
func (x *symbols) atCondition(c *curve, at float64) string {
	return strings.TrimSpace(units.FromSI(at, c.cond.displayUnit()).String())
}
