package eval

import (
	"fmt"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Readings and formulas of tests.

// reservedOutcomes are result words, which can be no outcome names.
var reservedOutcomes = []string{"pass", "marginal", "fail", "not_decidable", "not_valid", "not_tested", "not_applicable", "information"}

// readings takes in the readings of a test, and axes that it declares for itself.
func (b *builder) readings(t *test, s *dsl.Test) {
	for _, st := range s.Body {
		if p, ok := st.(*dsl.Positions); ok {
			b.declareAxis(p)
		}
	}
	for _, st := range s.Body {
		r, ok := st.(*dsl.Read)
		if !ok {
			continue
		}
		v := &value{kind: readingValue, name: r.Name.Text, title: r.Note.String(), test: t, first: r.First, src: r.Name.Range}
		b.typeOf(v, r.Type)
		for _, n := range r.Of {
			a := b.m.axes[n.Text]
			if a == nil {
				b.c.report(dsl.CodeUnknownName, n.Range, "there are no positions "+n.Text, suggest(n.Text, mapKeys(b.m.axes)))
				v.typ.class = badClass
				continue
			}
			v.typ.axes = append(v.typ.axes, a)
		}
		if r.At != nil {
			b.table(t, v, r)
		}
		if r.After != nil {
			b.time(r.After)
		}
		if r.With != nil {
			v.meter = b.meter(v, r.With)
		}
		if !r.BothWays {
			b.addValue(t, v, r.Name)
			continue
		}
		back := *v
		v.name, back.name = v.name+".forward", v.name+".back"
		t.pairs[r.Name.Text] = [2]*value{v, &back}
		b.addValue(t, v, r.Name)
		b.addValue(t, &back, r.Name)
	}
}

// table makes a reading one along a condition.
func (b *builder) table(t *test, v *value, r *dsl.Read) {
	v.typ.table = true
	v.at = b.numberCondition(r.At)
	switch {
	case v.at == nil:
		v.typ.class = badClass
	case v.typ.class == badClass:
	case v.typ.class != numberClass:
		b.c.report(dsl.CodeWrongType, r.Type.Range, "a table along another quantity is one of numbers", "write read "+v.name+" at "+r.At.Text+" : A, for instance")
		v.typ.class = badClass
	case len(r.Of) > 0 || r.BothWays:
		b.c.report(dsl.CodeWrongType, r.Name.Range, "a table along another quantity has no positions", "read each position by itself")
		v.typ.class = badClass
	default:
		t.uses(v.at)
	}
}

// meter finds the instrument with which a value is read.
func (b *builder) meter(v *value, name *dsl.Name) *instrument {
	in := b.m.meters[name.Text]
	switch {
	case in == nil:
		b.c.report(dsl.CodeUnknownName, name.Range, "there is no instrument "+name.Text, suggest(name.Text, mapKeys(b.m.meters)))
	case in.bad || v.typ.class == badClass:
	case v.typ.class != numberClass:
		b.c.report(dsl.CodeWrongType, name.Range, name.Text+" shows numbers, and "+v.name+" is none", "leave with "+name.Text+" out")
	case units.Match(v.typ.dim, in.dim) != nil:
		b.c.report(dsl.CodeDimension, name.Range, fmt.Sprintf("%s shows %s, and %s is wanted here", name.Text, article(in.dim), article(v.typ.dim)), "name another instrument, or mend the unit of "+v.name)
	}
	if in != nil {
		b.c.named[in.src] = true
	}
	return in
}

func (b *builder) addValue(t *test, v *value, at *dsl.Name) {
	if first := t.named[v.name]; first != nil {
		b.c.report(dsl.CodeDuplicateName, at.Range, fmt.Sprintf("test %s has two values %s", t.name, v.name), "give one another name", dsl.Related{Range: first.src, Message: "the first is here"})
		return
	}
	t.named[v.name] = v
	t.values = append(t.values, v)
}

func (b *builder) declareFormulas(it item) {
	s, ok := it.stmt.(*dsl.Test)
	if !ok {
		return
	}
	t := b.m.testNamed[s.Name.Text]
	if t == nil || b.testDecls[t.name] != s {
		return
	}
	for _, st := range s.Body {
		if let, ok := st.(*dsl.Let); ok {
			v := &value{kind: formulaValue, name: let.Name.Text, test: t, src: let.Name.Range}
			b.addValue(t, v, let.Name)
			b.formulas[v] = let
		}
	}
}

func (b *builder) resolveFormulas() {
	for _, t := range b.m.tests {
		for _, v := range t.values {
			b.formula(v)
		}
	}
}

// formula gives a formula its type, following the formulas that it uses.
func (b *builder) formula(v *value) {
	let := b.formulas[v]
	if v.kind != formulaValue || v.formula != nil || let == nil {
		return
	}
	if b.resolving[v] {
		b.c.report(dsl.CodeCircle, let.Range, "the formula of "+v.name+" uses itself", "break the circle")
		v.formula = bad(let.Range)
		v.typ = v.formula.typ
		return
	}
	b.resolving[v] = true
	save := b.ctx
	b.ctx = scopeCtx{test: v.test}
	x := b.expr(let.X)
	b.ctx = save
	delete(b.resolving, v)
	if x.typ.class == wordClass || x.typ.class == textClass || x.typ.class == dateClass {
		b.c.report(dsl.CodeWrongType, let.X.Span(), "let names a number or a condition, and this is neither", "write a formula, or say something of it: x is good")
		x = bad(let.Range)
	}
	v.formula, v.typ, v.formulaText = x, x.typ, b.source(let.X.Span())
	if x.typ.class == numberClass {
		v.unit = x.typ.dim.Unit()
	}
}

// printAs makes a formula print in the unit in which its limit or grade is written.
func (v *value) printAs(e dsl.Node) {
	if v.kind != formulaValue || v.printed {
		return
	}
	var lit *dsl.Lit
	switch e := e.(type) {
	case *dsl.Lit:
		lit = e
	case *dsl.Compare:
		v.printAs(e.Bound)
	case *dsl.Within:
		v.printAs(e.X)
		if e.Op == "to" {
			v.printAs(e.Y)
		}
	}
	if lit == nil {
		return
	}
	if q, err := lit.Qty.Quantity(); err == nil && q.Unit() != (units.Unit{}) && units.Match(q.Dimension(), v.typ.dim) == nil {
		v.unit, v.printed = q.Unit(), true
	}
}

// resolveTests takes in what the tests need, correct and say, once all values and checks are known.
func (b *builder) resolveTests() {
	for _, t := range b.m.tests {
		b.ctx = scopeCtx{test: t}
		s := b.testDecls[t.name]
		b.onceIn("test "+t.name, s.Body)
		for _, st := range s.Body {
			b.testStmt(t, st)
		}
		if t.pattern != nil {
			b.rows(t)
		}
		for _, v := range t.values {
			if part := t.forbidden(v.meter); part != "" {
				b.c.report(dsl.CodeMisplaced, v.src, fmt.Sprintf("%s is forbidden on %s, which this test examines", v.meter.name, part), "read it with another instrument")
			}
		}
	}
	b.ctx = scopeCtx{}
}

// forbidden returns a part that the test examines and that the instrument would hurt, empty if there is none.
func (t *test) forbidden(in *instrument) string {
	if in == nil {
		return ""
	}
	for _, part := range in.forbid {
		if slices.Contains(t.examines, part) {
			return part
		}
	}
	return ""
}

func (b *builder) testStmt(t *test, st dsl.Stmt) {
	m := b.m
	switch st := st.(type) {
	case *dsl.AtStage:
		t.stage = b.stage(st)
	case *dsl.Takes:
		t.takes = b.time(st.Time)
	case *dsl.Run:
		t.runMost, t.runRest = b.time(st.Most), b.time(st.Rest)
	case *dsl.Needs:
		t.needs = append(t.needs, b.needs(t, st)...)
	case *dsl.Applies:
		x := b.truth(st.When)
		if !x.fixed && x.typ.class != badClass {
			b.c.report(dsl.CodeMisplaced, st.Range, "for which units a test is meant must be known before any reading", "speak of attributes here; write needs for what depends on readings or conditions")
			return
		}
		t.applies = conjunction(t.applies, x)
	case *dsl.TestNames:
		b.testNames(t, st)
	case *dsl.Lifted:
		t.lifted = append(t.lifted, st.What.String())
	case *dsl.Step:
		t.steps = append(t.steps, st.Text.String())
	case *dsl.Across:
		b.across(t, st)
	case *dsl.Echoes:
		switch other := m.testNamed[st.Ref.Names[0]]; {
		case other == nil:
			b.c.report(dsl.CodeUnknownName, st.Ref.Range, "there is no test "+st.Ref.String(), suggest(st.Ref.Names[0], mapKeys(m.testNamed)))
		case other == t:
			b.c.report(dsl.CodeCircle, st.Ref.Range, "a test does not echo itself", "name another test")
		default:
			t.echoes = other
		}
	}
}

func (b *builder) across(t *test, st *dsl.Across) {
	var a across
	for _, end := range []struct {
		name  *dsl.Name
		title *string
	}{{st.Plus, &a.plus}, {st.Minus, &a.minus}} {
		terminal := b.m.terminals[end.name.Text]
		if terminal == nil {
			b.c.report(dsl.CodeUnknownName, end.name.Range, "there is no terminal "+end.name.Text, suggest(end.name.Text, mapKeys(b.m.terminals)))
			return
		}
		*end.title = terminal.Title.String()
	}
	if st.When != nil {
		a.when = b.fixedTruth(st.When)
	}
	t.across = append(t.across, a)
}

// time checks a span of time; q may be nil.
func (b *builder) time(q *dsl.Qty) units.Quantity {
	if q == nil {
		return units.Quantity{}
	}
	t, ok := b.measure(q, units.MustUnit("s").Dimension())
	if ok {
		b.notBelowZero(q, t.SI(), "a time")
	}
	return t
}

// notBelowZero reports a quantity with a sign that makes no sense of it.
func (b *builder) notBelowZero(q *dsl.Qty, si float64, what string) {
	if si < 0 {
		b.c.report(dsl.CodeBadNumber, q.Range, what+" is not below zero", "write "+strings.TrimLeft(q.Text, "-− "))
	}
}

func (b *builder) testNames(t *test, st *dsl.TestNames) {
	what, known := "caution", mapKeys(b.m.cautions)
	names := &t.cautions
	switch st.Keyword {
	case "spoils":
		what, known, names = "test", mapKeys(b.m.testNamed), &t.spoils
	case "examines":
		what, known, names = "part", mapKeys(b.m.parts), &t.examines
	}
	for _, n := range st.Names {
		if !slices.Contains(known, n.Text) {
			b.c.report(dsl.CodeUnknownName, n.Range, "there is no "+what+" "+n.Text, suggest(n.Text, known))
		}
		*names = append(*names, n.Text)
	}
}

// needs checks a needs statement of a test, or of a remedy when t is nil.
func (b *builder) needs(t *test, st *dsl.Needs) []*need {
	var list []*need
	for _, n := range st.List {
		nd := &need{text: b.source(n.Range), src: n.Range}
		v, rest := b.lookup(n.Ref.Names)
		switch {
		case v == nil || v.kind == readingValue || v.kind == formulaValue:
			if nd.gate = b.gate(t, n, v); nd.gate == nil {
				continue
			}
		case t == nil:
			b.c.report(dsl.CodeMisplaced, n.Range, "a remedy needs an outcome, and "+n.Ref.String()+" has none", "name a test: needs insulation is good")
			continue
		case len(rest) > 0:
			b.noPart(n.Ref, v, rest)
			continue
		default:
			nd.cond = v
			if v.kind == conditionValue {
				t.uses(v)
			}
			if n.Pred != nil {
				nd.pred = b.predicate(&dsl.RefExpr{Ref: n.Ref}, n.Pred, n.Range)
				b.single(nd.pred, "what a test needs", n)
			}
		}
		list = append(list, nd)
	}
	return list
}

// gate checks the need for an outcome of another test; nil if it was reported. v is the value that it names, if any.
func (b *builder) gate(t *test, n *dsl.Need, v *value) *outcomeRef {
	name := n.Ref.Names[0]
	is, ok := n.Pred.(*dsl.Is)
	switch {
	case t != nil && (v != nil && v.test == t || b.m.testNamed[name] == t):
		b.c.report(dsl.CodeCircle, n.Range, "a test cannot need what it finds out itself", "write a limit, or put the reading into a test of its own")
		return nil
	case v == nil && b.m.testNamed[name] == nil && b.include(name) == nil:
		b.c.report(dsl.CodeUnknownName, n.Ref.Range, "there is no condition or test "+n.Ref.String(), suggest(name, b.known()))
		return nil
	case n.Pred != nil && !ok:
		b.c.report(dsl.CodeWrongType, n.Range, "a test needs an outcome of another", "write needs "+n.Ref.String()+" is good, and the numbers in a limit there")
		return nil
	case !ok:
		return b.outcomeRef(n.Ref, []*dsl.Alt{{Word: "good"}}, false)
	}
	o := b.outcomeRef(n.Ref, is.Alts, is.Any)
	if o != nil {
		o.not = is.Not
	}
	return o
}

// source returns the text of a range, blanks folded.
func (b *builder) source(r dsl.Range) string { return b.c.text(r) }

// correct binds a law to the values it corrects.
func (b *builder) correct(t *test, st *dsl.Correct) {
	values := b.correctable(t, st)
	for _, v := range values {
		b.misfits[v] = true // until its law fits
	}
	l := laws[st.Law.Text]
	if l == nil {
		l = b.m.laws[st.Law.Text]
	}
	if l == nil {
		b.c.report(dsl.CodeUnknownLaw, st.Law.Range, "there is no law "+st.Law.Text, suggest(st.Law.Text, append(mapKeys(laws), mapKeys(b.m.laws)...)))
		return
	}
	from := b.numberCondition(st.From)
	if from == nil {
		return
	}
	t.uses(from)
	k := correction{law: l, from: from, per: 1, src: st.Range}
	coefficient, ok := b.coefficient(&k, st)
	if !ok {
		return
	}
	if st.To != nil {
		q, ok := b.measure(st.To, from.typ.dim)
		if !ok {
			return
		}
		si := q.SI()
		k.to = &si
	}
	for _, v := range values {
		if problem := l.check(v.typ.dim, from.typ.dim, coefficient); problem != "" {
			b.c.report(dsl.CodeUnknownLaw, st.Range, "the law "+l.name+" does not fit here: "+problem, l.usage)
			continue
		}
		if slices.ContainsFunc(v.laws, func(other *correction) bool { return other.from == from }) {
			b.c.report(dsl.CodeUnknownLaw, st.Range, v.name+" is corrected by "+from.name+" twice", "leave one out")
			continue
		}
		own := k
		v.laws = append(v.laws, &own)
		delete(b.misfits, v)
	}
}

// correctable finds the values that a correction names.
func (b *builder) correctable(t *test, st *dsl.Correct) []*value {
	var list []*value
	for _, n := range st.Names {
		switch v := t.named[n.Text]; {
		case v == nil:
			b.noValue(&dsl.Ref{Range: n.Range, Names: []string{n.Text}}, t, []string{n.Text})
		case v.typ.class == badClass:
		case v.typ.class != numberClass || v.typ.table:
			b.c.report(dsl.CodeWrongType, n.Range, n.Text+" is no single number, so there is nothing to correct", "leave it out")
		default:
			list = append(list, v)
		}
	}
	return list
}

// coefficient checks what stands in the brackets of a correction, and returns its dimension; nil when there is nothing.
func (b *builder) coefficient(k *correction, st *dsl.Correct) (*units.Dimension, bool) {
	if st.Arg == nil {
		return nil, true
	}
	k.arg = b.numeric(st.Arg)
	if !b.single(k.arg, "what a law takes", st.Arg) {
		return nil, false
	}
	dim := k.arg.typ.dim
	if st.Per == nil {
		return &dim, true
	}
	step, _ := b.quantity(st.Per)
	step = step.Difference()
	k.per = step.SI()
	dim, err := units.Div(dim, step.Dimension())
	if err != nil || !(k.per > 0) {
		b.c.report(dsl.CodeUnknownLaw, st.Per.Range, "this is no step", "write per 1 K, for instance")
		return nil, false
	}
	return &dim, true
}
