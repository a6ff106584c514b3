package eval

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Proofs over the units in which values are read: a number that is written without a unit takes that of its reading.

// spoken are the units in which the sheet speaks of values, in the order in which they come up.
type spoken struct {
	of    map[*value][]units.Unit
	words map[string]units.Unit // what was looked up, the zero unit for a word that is none
}

func (s *spoken) unit(word string) units.Unit {
	u, ok := s.words[word]
	if !ok {
		u, _ = units.ParseUnit(word)
		s.words[word] = u
	}
	return u
}

// units reports readings, conditions and attributes whose own unit nothing else that is said of them has.
func (p *knowledgeProver) units() {
	m := p.k.m
	s := &p.spoken
	s.of = map[*value][]units.Unit{}
	for _, t := range m.tests {
		for _, v := range t.values {
			if v.meter != nil {
				s.take(v, p.b.text(v.meter.src))
			}
		}
		for _, n := range t.needs {
			if n.cond != nil {
				s.take(n.cond, n.text)
			}
		}
		for _, c := range t.checks {
			p.spokenOf(s, c)
		}
	}
	for _, a := range m.attributes {
		for _, set := range a.sets {
			s.take(a, p.b.text(set.src))
		}
	}
	var values []*value
	for _, t := range m.tests {
		values = append(values, t.values...)
		values = append(values, t.used...)
	}
	for _, name := range slices.Sorted(maps.Keys(m.attributes)) {
		values = append(values, m.attributes[name])
	}
	for _, v := range values {
		others := s.of[v]
		if v.kind == formulaValue || v.typ.class != numberClass || len(others) == 0 || slices.Contains(others, v.displayUnit()) {
			continue
		}
		p.hint(dsl.CodeUnlikeUnits, v.src, fmt.Sprintf("%s is in %s, and all that the sheet says of it is in %s: a number without a unit is taken for the first", v.name, v.displayUnit(), namedUnits(others)),
			"write "+others[0].String()+" for it too, or the limits in "+v.displayUnit().String())
	}
}

// spokenOf takes in what the limits, cuts and rows of a check say of its value and of conditions.
func (p *knowledgeProver) spokenOf(s *spoken, c *check) {
	for _, l := range c.limits {
		text := p.b.text(l.src)
		if c.val != nil && c.kind != alikeCheck {
			s.take(c.val, text)
		}
		for _, r := range l.at {
			s.take(r.cond, text)
		}
		if l.along != nil {
			s.take(l.along.cond, text)
		}
	}
	if c.kind == gradeCheck {
		s.take(c.val, p.b.text(c.src))
	}
	for _, r := range c.rows {
		eachExpr(r.when, func(e *expr) {
			for i, a := range e.args {
				if a.op != opValue || a.val.test != c.test {
					continue
				}
				for j, b := range e.args {
					if _, ok := b.constant(); ok && i != j {
						s.take(a.val, p.b.text(b.src))
					}
				}
			}
		})
	}
}

// take notes the units of the value's kind that a text has. What is printed in brackets beside is one of them if nothing stands without it.
func (s *spoken) take(v *value, text string) {
	if v.typ.class != numberClass || v.typ.dim.Kind() == units.Ratio || v.typ.dim.Kind() == units.Count {
		return
	}
	var plain, beside []units.Unit
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" \t\n,:{}", r) }) {
		bare := strings.TrimRight(word, ")")
		u := s.unit(bare)
		switch {
		case u == (units.Unit{}) || u.Dimension() != v.typ.dim:
		case bare != word:
			beside = append(beside, u)
		default:
			plain = append(plain, u)
		}
	}
	if len(beside) >= len(plain) {
		plain = append(plain, beside...)
	}
	for _, u := range plain {
		if !slices.Contains(s.of[v], u) {
			s.of[v] = append(s.of[v], u)
		}
	}
}

func namedUnits(list []units.Unit) string {
	var names []string
	for _, u := range list {
		names = append(names, u.String())
	}
	return named(names, "and")
}
