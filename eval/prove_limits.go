package eval

import (
	"fmt"
	"math"
	"slices"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/proof"
)

// Limits: bounds that contradict each other or say nothing, and units for which no limit counts.

func (pr *proving) limits() {
	for i := range pr.tests {
		pt := &pr.tests[i]
		for at, x := range pt.cases {
			t := &x.p.tests[x.home]
			for c := t.checkFrom; c < t.checkTo; c++ {
				k := &x.p.checks[c]
				if k.c.kind != limitCheck && k.c.kind != wordCheck && k.c.kind != alikeCheck || k.n == 0 {
					continue
				}
				pr.uncovered(pt, at, k)
				if k.c.kind != limitCheck || k.c.val.typ.table {
					continue
				}
				for j := range k.limits {
					if l := &k.limits[j]; l.lim.alike == nil && l.lim.along == nil && x.mayCount(l) {
						pr.bounds(pt, at, k, l)
					}
				}
			}
		}
	}
}

// mayCount tells whether a limit can count in this case.
func (x *symbols) mayCount(l *boundLimit) bool {
	if l.when < 0 {
		return true
	}
	value, known := x.truth(l.when).Known()
	return value || !known
}

// uncovered tells of units for which no limit of a value counts although others have one. A check of which only the edition is missing on a day is
// the matter of the dates.
func (pr *proving) uncovered(pt *provedTest, at int, k *boundCheck) {
	x := pt.cases[at]
	declared := false
	for _, l := range k.c.limits {
		declared = declared || !l.declares
	}
	if !declared || k.c.steady && len(k.limits) == 0 || k.c.rising || pr.anyDated(k.c) {
		return
	}
	none := proof.Always
	for i := range k.limits {
		l := &k.limits[i]
		if l.when < 0 {
			return
		}
		none = proof.All(none, proof.Not(x.truth(l.when)))
	}
	t := &x.p.tests[x.home]
	a := pr.can(x, x.given(t), none)
	src := k.c.src
	for _, l := range k.c.limits {
		if !l.declares {
			src = l.src
			break
		}
	}
	d := &dsl.Diagnostic{
		Code: dsl.CodeLimitGap, Severity: dsl.Warning, Range: src, Message: "no limit of " + k.label + " counts",
		Help: "write a limit for these units too, or one without a condition where the test is declared",
	}
	switch {
	case a.State == proof.Unclear:
		pr.doubt(src, "gap", "whether a limit of "+k.label+" always counts", a.Why)
		return
	case a.State == proof.Unmet:
		return
	case len(a.Needs) > 0:
		d.Message += " at " + x.witness(a)
	}
	pr.find(d, "gap", pt, at)
}

// anyDated tells whether a limit of the check has a source with dates, whose gaps Compile tells.
func (pr *proving) anyDated(c *check) bool {
	return slices.ContainsFunc(c.limits, func(l *limit) bool { return l.source != nil && (l.source.from != 0 || l.source.until != 0) })
}

// bounds proves one limit: that something can meet it, and that something can fail it on each side that it bounds.
func (pr *proving) bounds(pt *provedTest, at int, k *boundCheck, l *boundLimit) {
	x := pt.cases[at]
	v := x.amount(l.value)
	above, below := x.side(v, l.low, l.lim.low, true), x.side(v, l.high, l.lim.high, false)
	t := &x.p.tests[x.home]
	when := proof.Always
	if l.when >= 0 {
		when = x.truth(l.when)
	}
	given := proof.All(x.given(t), when)
	if pr.can(x, given).State == proof.Unmet {
		return // the test is never valid: that is told of what it needs
	}
	switch a := pr.can(x, given, above, below); {
	case a.State == proof.Unmet:
		pr.find(&dsl.Diagnostic{
			Code: dsl.CodeEmptyLimit, Severity: dsl.Warning, Range: l.lim.src, Message: fmt.Sprintf("nothing meets this limit of %s: %s", k.label, x.boundsInWords(k, l)),
			Help: "one of the bounds is wrong, or a number that it is worked out from",
		}, "", pt, at)
		return
	case a.State == proof.Unclear:
		pr.doubt(l.lim.src, "meet", "whether anything meets this limit of "+k.label, a.Why)
	}
	if l.low >= 0 && l.high >= 0 {
		pr.crossed(pt, at, k, l, given)
	}
	for _, side := range []struct {
		r    int32
		fail *proof.Condition
		word string
	}{{l.low, proof.Not(above), "low"}, {l.high, proof.Not(below), "high"}} {
		if side.r < 0 {
			continue
		}
		if a := pr.can(x, given, side.fail); a.State == proof.Unmet {
			pr.idle(pt, at, k, l, fmt.Sprintf("no reading of %s can be %s by this limit", k.label, side.word))
		}
	}
	if l.newLow >= 0 || l.newHigh >= 0 {
		fresh := proof.All(x.side(v, l.newLow, l.lim.newLow, true), x.side(v, l.newHigh, l.lim.newHigh, false))
		switch {
		case pr.can(x, given, above, below, fresh).State == proof.Unmet:
			pr.find(&dsl.Diagnostic{
				Code: dsl.CodeEmptyLimit, Severity: dsl.Warning, Range: l.lim.src, Message: "what meets the limit of a new " + k.c.val.name + " does not meet that of a used one",
				Help: "exchange the two, or mend the number that is wrong",
			}, "new", pt, at)
		case pr.can(x, given, above, below, proof.Not(fresh)).State == proof.Unmet:
			pr.idle(pt, at, k, l, "nothing can be worn by this limit of "+k.label+": the limit of a new one is no narrower")
		case pr.can(x, given, fresh, proof.Not(proof.All(above, below))).State == proof.Met:
			pr.idle(pt, at, k, l, "the limit of a new "+k.c.val.name+" reaches beyond that of a used one")
		}
	}
}

func (pr *proving) idle(pt *provedTest, at int, k *boundCheck, l *boundLimit, message string) {
	pr.find(&dsl.Diagnostic{
		Code: dsl.CodeIdleLimit, Severity: dsl.Warning, Range: l.lim.src, Message: message, Help: "see whether the number and its unit are right, and on the right side",
	}, message, pt, at)
}

// crossed tells where bounds that are formulas of readings leave nothing between them.
func (pr *proving) crossed(pt *provedTest, at int, k *boundCheck, l *boundLimit, given *proof.Condition) {
	x := pt.cases[at]
	low, high := x.amount(l.low), x.amount(l.high)
	if low.shape == constNumber && high.shape == constNumber {
		return
	}
	switch a := pr.can(x, given, x.compared(codeAbove, low, high)); a.State {
	case proof.Met:
		pr.find(&dsl.Diagnostic{
			Code: dsl.CodeEmptyLimit, Severity: dsl.Warning, Range: l.lim.src, Message: fmt.Sprintf("at %s the lower bound of %s lies above the upper one", x.witness(a), k.label),
			Help: "mend the formulas, or let the test need what they are meant for",
		}, "crossed", pt, at)
	case proof.Unclear:
		pr.doubt(l.lim.src, "crossed", "whether the bounds of "+k.label+" cross", a.Why)
	}
}

// boundsInWords says which numbers the bounds have.
func (x *symbols) boundsInWords(k *boundCheck, l *boundLimit) string {
	say := func(r int32) string {
		if r < 0 {
			return ""
		}
		if n := x.amount(r); n.shape == constNumber {
			return x.printed(k, n.c)
		}
		return "a formula"
	}
	low, high := say(l.low), say(l.high)
	switch {
	case low == "":
		return "it would have to be at most " + high
	case high == "":
		return "it would have to be at least " + low
	}
	return fmt.Sprintf("its bounds are %s and %s", low, high)
}

// ranges proves that what tests need can be.
func (pr *proving) ranges() {
	for i := range pr.tests {
		pt := &pr.tests[i]
		for at, x := range pt.cases {
			t := &x.p.tests[x.home]
			all := proof.Always
			for _, n := range t.needs {
				if n.n.gate != nil || n.truth < 0 {
					continue
				}
				before := all
				all = proof.All(all, x.truth(n.truth))
				switch a := pr.can(x, all); {
				case a.State == proof.Unclear:
					pr.doubt(n.n.src, "needs", "whether "+n.n.text+" can be", a.Why)
				case a.State == proof.Unmet && pr.can(x, before).State == proof.Met:
					pr.find(&dsl.Diagnostic{
						Code: dsl.CodeEmptyRange, Severity: dsl.Warning, Range: n.n.src, Message: fmt.Sprintf("nothing is %s, so this test is never valid", n.n.text),
						Help: "mend the range, or the number that it is worked out from",
					}, "", pt, at)
				}
			}
		}
	}
}

// curves proves that the limit of a reading that must rise along a quantity rises too.
func (pr *proving) curves() {
	for i := range pr.tests {
		pt := &pr.tests[i]
		for at, x := range pt.cases {
			t := &x.p.tests[x.home]
			for c := t.checkFrom; c < t.checkTo; c++ {
				if k := &x.p.checks[c]; k.c.rising {
					for j := range k.limits {
						if l := &k.limits[j]; l.lim.along != nil {
							pr.rises(pt, at, k, l.lim)
						}
					}
				}
			}
		}
	}
}

func (pr *proving) rises(pt *provedTest, at int, k *boundCheck, l *limit) {
	x := pt.cases[at]
	bound := func(v *float64, none float64) float64 {
		if v == nil {
			return none
		}
		return *v
	}
	for i := 1; i < len(l.along.rows); i++ {
		was, is := l.along.rows[i-1], l.along.rows[i]
		low := bound(is.low, math.Inf(1)) < bound(was.low, math.Inf(-1))
		high := bound(is.high, math.Inf(1)) < bound(was.high, math.Inf(-1))
		if !low && !high {
			continue
		}
		pr.find(&dsl.Diagnostic{
			Code: dsl.CodeCurveFalls, Severity: dsl.Warning, Range: l.src,
			Message: fmt.Sprintf("%s must rise along %s, but its limit falls from %s to %s", k.label, l.along.cond.name, x.rowInWords(k, l.along, was), x.rowInWords(k, l.along, is)),
			Help:    "mend the row that is misprinted, or leave is rising out",
		}, fmt.Sprint(i), pt, at)
	}
}

func (x *symbols) rowInWords(k *boundCheck, c *curve, r curveRow) string {
	return fmt.Sprintf("%s at %s", r.printed, x.atCondition(c, r.at))
}
