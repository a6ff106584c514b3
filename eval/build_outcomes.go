package eval

import (
	"fmt"
	"slices"

	"github.com/brushgear/brushgear/dsl"
)

// Outcomes that a sheet names itself: grades and patterns.

var resultNames = map[string]Result{"pass": Pass, "marginal": Marginal, "fail": Fail, "not_valid": NotValid}

func (b *builder) grade(t *test, s *dsl.Grade) {
	v, rest := t.lookup(s.Ref.Names)
	switch {
	case v == nil:
		b.noValue(s.Ref, t, s.Ref.Names)
		return
	case len(rest) > 0:
		b.noPart(s.Ref, v, rest)
		return
	case v.typ.class == badClass:
		return
	case v.typ.class != numberClass || v.typ.table:
		b.c.report(dsl.CodeWrongType, s.Ref.Range, v.name+" is no single number, so it cannot be graded", "write limit "+v.name+" ... instead")
		return
	case len(s.Ref.Index) > 0:
		b.c.report(dsl.CodeIndex, s.Ref.Range, "a grade holds for the whole list", "leave the brackets out")
		return
	case v.check != nil:
		b.c.report(dsl.CodeLimitConflict, s.Range, v.name+" has a limit or a grade already", "leave one out, or put it on a formula: let other = "+v.name, dsl.Related{Range: v.check.src, Message: "the other is here"})
		return
	}
	c := &check{kind: gradeCheck, test: t, val: v, name: v.name, src: s.Range}
	for i, r := range s.Rungs {
		k := rung{outcome: b.addOutcome(c, r.Word, r.As, r.Range), upTo: r.Op == "to"}
		switch last := i == len(s.Rungs)-1; {
		case last && r.Cut != nil:
			b.c.report(dsl.CodeOutcomeRows, r.Range, "the last outcome of a grade has no cut, since it takes in all that is above", "leave the cut out, or write | and one more outcome behind it")
			return
		case !last && r.Cut == nil:
			b.c.report(dsl.CodeOutcomeRows, r.Range, "every outcome of a grade but the last has a cut", "write "+r.Word.Text+" below 5 mm, for instance")
			return
		case !last:
			if k.cut = b.cut(v, c, r); k.cut == nil {
				return
			}
		}
		c.rungs = append(c.rungs, k)
	}
	b.needGood(c, s.Range)
	v.check = c
	t.checks = append(t.checks, c)
}

// cut checks the cut above a rung; it must be above the one before.
func (b *builder) cut(v *value, c *check, r *dsl.Rung) *expr {
	x := b.number(r.Cut, v.typ.dim)
	if !b.single(x, "a cut", r.Cut) {
		return nil
	}
	v.printAs(r.Cut)
	if n := len(c.rungs); n > 0 {
		p, ok1 := c.rungs[n-1].cut.constant()
		q, ok2 := x.constant()
		if ok1 && ok2 && q <= p {
			b.c.report(dsl.CodeOutcomeRows, r.Range, "the cuts of a grade must rise", "order the outcomes from the lowest value up")
			return nil
		}
	}
	return x
}

// addOutcome adds an outcome that the sheet names, with its result.
func (b *builder) addOutcome(c *check, word, as *dsl.Name, at dsl.Range) int {
	if slices.Contains(reservedOutcomes, word.Text) {
		b.c.report(dsl.CodeOutcomeName, word.Range, word.Text+" is a result and no outcome name", "name what was seen, and write as "+word.Text+" behind it if need be")
	}
	r := Fail
	switch {
	case as != nil:
		var ok bool
		if r, ok = resultNames[as.Text]; !ok {
			b.c.report(dsl.CodeUnknownWord, as.Range, "there is no result "+as.Text, "write pass, marginal, fail or not_valid")
		}
	case word.Text == "good":
		r = Pass
	}
	i := c.find(word.Text)
	switch {
	case i >= 0 && c.outcomes[i].result != r:
		b.c.report(dsl.CodeOutcomeRows, at, word.Text+" stands twice with different results", "write the same as behind both")
	case i < 0 && len(c.outcomes) == maxOutcomes:
		b.c.report(dsl.CodeOutcomeRows, at, fmt.Sprintf("a check has at most %d outcomes", maxOutcomes), "join some of them")
	default:
		return c.add(word.Text, r)
	}
	return 0
}

// needGood reports a check without any outcome that passes.
func (b *builder) needGood(c *check, at dsl.Range) {
	if !slices.ContainsFunc(c.outcomes, func(o outcome) bool { return o.result == Pass }) {
		b.c.report(dsl.CodeOutcomeRows, at, "no outcome passes", "name one good, or write as pass behind it")
	}
}

func (b *builder) outcome(t *test, s *dsl.Outcome) {
	if t.pattern == nil {
		t.pattern = &check{kind: patternCheck, test: t, src: s.Range}
		t.checks = append(t.checks, t.pattern)
	}
	c := t.pattern
	if above := b.patternRows[t]; len(above) > 0 && above[len(above)-1].Otherwise {
		b.c.report(dsl.CodeOutcomeRows, s.Range, "no row can follow otherwise", "move it up")
		return
	}
	c.rows = append(c.rows, row{outcome: b.addOutcome(c, s.Word, s.As, s.Range), src: s.Range})
	b.patternRows[t] = append(b.patternRows[t], s)
}

// rows checks the conditions of a pattern, once all checks are known.
func (b *builder) rows(t *test) {
	c := t.pattern
	for i, s := range b.patternRows[t] {
		if s.When != nil {
			c.rows[i].when = b.truth(s.When)
			c.rows[i].text = b.source(s.When.Span())
		}
	}
	if last := c.rows[len(c.rows)-1]; last.when != nil {
		b.c.report(dsl.CodeOutcomeRows, last.src, "the rows of "+t.name+" have no otherwise", "end them with outcome odd otherwise, so that every reading has an outcome")
	}
	b.needGood(c, c.src)
}
