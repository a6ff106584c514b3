package eval

import (
	"fmt"
	"maps"
	"slices"

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
				b.c.report(dsl.CodeUnknownName, n.Range, "there are no positions "+n.Text, suggest(n.Text, slices.Collect(maps.Keys(b.m.axes))))
				continue
			}
			v.typ.axes = append(v.typ.axes, a)
		}
		if r.At != nil {
			v.at = b.m.conditions[r.At.Text]
			v.typ.table = true
			if v.at == nil {
				b.c.report(dsl.CodeUnknownName, r.At.Range, "there is no condition "+r.At.Text, suggest(r.At.Text, slices.Collect(maps.Keys(b.m.conditions))))
			} else {
				t.uses(v.at)
			}
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

// meter finds the instrument with which a value is read.
func (b *builder) meter(v *value, name *dsl.Name) *instrument {
	in := b.m.meters[name.Text]
	if in == nil {
		b.c.report(dsl.CodeUnknownName, name.Range, "there is no instrument "+name.Text, suggest(name.Text, mapKeys(b.m.meters)))
		return nil
	}
	if err := units.Match(v.typ.dim, in.dim); err != nil && v.typ.class == numberClass {
		b.dimension(name.Range, err, in.dim, v.typ.dim)
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
		b.c.report(dsl.CodeWrongType, let.X.Span(), "let names a number or a condition", "")
		x = bad(let.Range)
	}
	if x.typ.table {
		b.c.report(dsl.CodeWrongType, let.X.Span(), "a table read along another quantity is judged point by point and cannot stand in a formula", "write a limit for the reading itself")
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
		for _, st := range s.Body {
			b.testStmt(t, st)
		}
		if t.pattern != nil {
			b.rows(t, s)
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
		t.stage = st.Name.Text
		if m.stages[t.stage] == nil {
			b.c.report(dsl.CodeUnknownName, st.Name.Range, "there is no stage "+t.stage, suggest(t.stage, slices.Collect(maps.Keys(m.stages))))
		}
	case *dsl.Takes:
		t.takes = b.quantity(st.Time)
		b.timeOnly(st.Time, t.takes)
	case *dsl.Run:
		t.runMost = b.quantity(st.Most)
		b.timeOnly(st.Most, t.runMost)
		if st.Rest != nil {
			t.runRest = b.quantity(st.Rest)
			b.timeOnly(st.Rest, t.runRest)
		}
	case *dsl.Needs:
		t.needs = append(t.needs, b.needs(t, st)...)
	case *dsl.Applies:
		x := b.truth(st.When)
		if !x.fixed && x.typ.class != badClass {
			b.c.report(dsl.CodeMisplaced, st.Range, "applies when can speak of attributes only", "write needs for what depends on readings or conditions")
			return
		}
		if t.applies != nil {
			x = &expr{op: opAnd, typ: vtype{class: truthClass}, args: []*expr{t.applies, x}, fixed: true, src: st.Range}
		}
		t.applies = x
	case *dsl.TestNames:
		b.testNames(t, st)
	case *dsl.Lifted:
		t.lifted = append(t.lifted, st.What.String())
	case *dsl.Step:
		t.steps = append(t.steps, st.Text.String())
	case *dsl.Across:
		b.across(t, st)
	case *dsl.Echoes:
		if m.testNamed[st.Ref.Names[0]] == nil {
			b.c.report(dsl.CodeUnknownName, st.Ref.Range, "there is no test "+st.Ref.String(), suggest(st.Ref.Names[0], slices.Collect(maps.Keys(m.testNamed))))
		}
		m.leaning = append(m.leaning, leaning{"echoes", t, st.Range})
	case *dsl.Correct:
		b.correct(t, st)
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

func (b *builder) timeOnly(at *dsl.Qty, q units.Quantity) {
	if err := units.Match(q.Dimension(), units.MustUnit("s").Dimension()); err != nil {
		b.dimension(at.Range, err, q.Dimension(), units.MustUnit("s").Dimension())
	}
}

func (b *builder) testNames(t *test, st *dsl.TestNames) {
	for _, n := range st.Names {
		switch st.Keyword {
		case "caution":
			if b.m.cautions[n.Text] == nil {
				b.c.report(dsl.CodeUnknownName, n.Range, "there is no caution "+n.Text, suggest(n.Text, slices.Collect(maps.Keys(b.m.cautions))))
			}
			t.cautions = append(t.cautions, n.Text)
		case "spoils":
			if b.m.testNamed[n.Text] == nil {
				b.c.report(dsl.CodeUnknownName, n.Range, "there is no test "+n.Text, suggest(n.Text, slices.Collect(maps.Keys(b.m.testNamed))))
			}
			t.spoils = append(t.spoils, n.Text)
		case "examines":
			if b.m.parts[n.Text] == nil {
				b.c.report(dsl.CodeUnknownName, n.Range, "there is no part "+n.Text, suggest(n.Text, slices.Collect(maps.Keys(b.m.parts))))
			}
			t.examines = append(t.examines, n.Text)
		}
	}
}

// needs checks a needs statement of a test, or of a remedy when t is nil.
func (b *builder) needs(t *test, st *dsl.Needs) []*need {
	var list []*need
	for _, n := range st.List {
		text := b.source(n.Range)
		v, rest := b.lookup(n.Ref.Names)
		gate := v == nil || v.kind == readingValue || v.kind == formulaValue
		if gate {
			var o *outcomeRef
			is, ok := n.Pred.(*dsl.Is)
			switch {
			case n.Pred != nil && !ok:
				b.c.report(dsl.CodeWrongType, n.Range, "a gate asks for an outcome", "write needs "+n.Ref.String()+" is good")
				continue
			case ok:
				o = b.outcomeRef(n.Ref, is.Alts, is.Any)
				if o != nil {
					o.not = is.Not
				}
			default:
				o = b.outcomeRef(n.Ref, []*dsl.Alt{{Word: "good"}}, false)
			}
			if o != nil {
				list = append(list, &need{gate: o, text: text, src: n.Range})
			}
			continue
		}
		if len(rest) > 0 || t == nil {
			b.c.report(dsl.CodeMisplaced, n.Range, "a "+n.Ref.String()+" cannot be asked for here", "")
			continue
		}
		nd := &need{cond: v, text: text, src: n.Range}
		if v.kind == conditionValue {
			t.uses(v)
		}
		if n.Pred != nil {
			nd.pred = b.predicate(&dsl.RefExpr{Ref: n.Ref}, n.Pred, n.Range)
		}
		list = append(list, nd)
	}
	return list
}

// source returns the text of a range, blanks folded.
func (b *builder) source(r dsl.Range) string { return b.c.text(r) }

// correct binds a law to the values it corrects.
func (b *builder) correct(t *test, st *dsl.Correct) {
	l := laws[st.Law.Text]
	if l == nil {
		b.c.report(dsl.CodeUnknownLaw, st.Law.Range, "there is no law "+st.Law.Text, suggest(st.Law.Text, slices.Collect(maps.Keys(laws))))
		return
	}
	from := b.m.conditions[st.From.Text]
	if from == nil {
		b.c.report(dsl.CodeUnknownName, st.From.Range, "there is no condition "+st.From.Text, suggest(st.From.Text, slices.Collect(maps.Keys(b.m.conditions))))
		return
	}
	t.uses(from)
	for _, n := range st.Names {
		v := t.named[n.Text]
		if v == nil {
			b.c.report(dsl.CodeUnknownName, n.Range, fmt.Sprintf("test %s has no value %s", t.name, n.Text), suggest(n.Text, t.valueNames()))
			continue
		}
		k := &correction{law: l, from: from, per: 1, src: st.Range}
		if st.Arg != nil {
			k.arg = b.numeric(st.Arg)
		}
		if st.Per != nil {
			k.per = b.quantity(st.Per).Difference().SI()
		}
		if st.To != nil {
			q := b.quantity(st.To)
			if err := units.Match(q.Dimension(), from.typ.dim); err != nil {
				b.dimension(st.To.Range, err, q.Dimension(), from.typ.dim)
				continue
			}
			si := q.SI()
			k.to = &si
		}
		if problem := l.check(v.typ.dim, from.typ.dim, k.arg); problem != "" {
			b.c.report(dsl.CodeUnknownLaw, st.Range, "the law "+l.name+" does not fit here: "+problem, l.usage)
			continue
		}
		v.laws = append(v.laws, k)
	}
}
