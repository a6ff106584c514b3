package eval

import (
	"fmt"
	"maps"
	"slices"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// builder makes one model from the layers of a kind or family.
type builder struct {
	c               *compiler
	m               *model
	variantExpr     map[*variant]dsl.Expr
	testDecls       map[string]*dsl.Test
	removed         map[string]removal // "test x" or "fault x"
	formulas        map[*value]*dsl.Let
	includeWhen     map[*include]dsl.Expr
	conditionMeters map[*value]*dsl.Name
	resolving       map[*value]bool
	ctx             scopeCtx
}

type removal struct {
	layer layer
	src   dsl.Range
}

// scopeCtx says where names are looked up.
type scopeCtx struct {
	test  *test
	fault *fault
}

func (c *compiler) build(block *dsl.Block, layers []layerBody) *model {
	m := &model{
		name: block.Name.Text, title: block.Title.String(), attributes: map[string]*value{}, conditions: map[string]*value{}, axes: map[string]*axis{},
		terminals: map[string]*dsl.Terminal{}, cautions: map[string]*dsl.Terminal{}, stages: map[string]*dsl.Stage{}, parts: map[string]*dsl.Part{},
		causes: map[string]*cause{}, meters: map[string]*instrument{}, remedies: map[string]*remedy{}, effects: map[string]*dsl.Effect{},
		testNamed: map[string]*test{}, faultNamed: map[string]*fault{},
	}
	if m.title == "" {
		m.title = m.name
	}
	for _, l := range layers {
		m.chain = append(m.chain, l.layer.name)
	}
	b := &builder{c: c, m: m, variantExpr: map[*variant]dsl.Expr{}, testDecls: map[string]*dsl.Test{}, removed: map[string]removal{}, formulas: map[*value]*dsl.Let{}, resolving: map[*value]bool{}, includeWhen: map[*include]dsl.Expr{}, conditionMeters: map[*value]*dsl.Name{}}
	items := b.flatten(layers)
	items = b.override(items)
	for _, phase := range []func(item){b.declareNames, b.declareTests, b.declareFormulas} {
		for _, it := range items {
			phase(it)
		}
	}
	for v, name := range b.conditionMeters {
		v.meter = b.meter(v, name)
	}
	b.resolveAxes()
	b.resolveFormulas()
	b.ctx = scopeCtx{}
	for _, v := range m.variants {
		v.when = b.fixedTruth(b.variantExpr[v])
	}
	for inc, when := range b.includeWhen {
		inc.when = b.fixedTruth(when)
	}
	b.declareChecks(items)
	for _, it := range items {
		b.declareSets(it)
	}
	b.resolveTests()
	for _, it := range items {
		b.declareRest(it)
	}
	b.declareFaults(items)
	b.finish()
	return m
}

// override drops what a higher layer replaces or leaves out, and reports plain redefinitions.
func (b *builder) override(items []item) []item {
	type key struct{ what, name string }
	last := map[key]int{}
	drop := map[int]bool{}
	for i, it := range items {
		if w, ok := it.stmt.(*dsl.Without); ok {
			k := key{w.What.Text, w.Ref.Names[0]}
			j, known := last[k]
			switch {
			case !known:
				b.c.report(dsl.CodeUnknownName, w.Ref.Range, fmt.Sprintf("there is no %s %s to leave out", k.what, k.name), "")
			case it.layer.variant != nil:
				b.removed[k.what+" "+k.name] = removal{it.layer, w.Range}
			default:
				drop[j] = true
				delete(last, k)
			}
			continue
		}
		what, name := declared(it.stmt)
		if name == nil {
			if it.repl {
				b.c.report(dsl.CodeMisplaced, it.stmt.Span(), "only a test, fault, remedy or other declaration can be replaced", "write limit or set without replace: the later layer wins")
			}
			continue
		}
		k := key{what, name.Text}
		j, known := last[k]
		switch {
		case it.repl && !known:
			b.c.report(dsl.CodeUnknownName, name.Range, fmt.Sprintf("there is no %s %s to replace", what, name.Text), "leave replace out")
		case it.repl && it.layer.variant != nil:
			b.c.report(dsl.CodeMisplaced, it.stmt.Span(), "a variant cannot replace a "+what, "make the variant a family of its own, or write conditional limits")
			drop[i] = true
			continue
		case it.repl:
			drop[j] = true
		case known && items[j].layer.name == it.layer.name:
			b.c.report(dsl.CodeDuplicateName, name.Range, fmt.Sprintf("there are two of %s %s", what, name.Text), "give one another name",
				dsl.Related{Range: items[j].stmt.Span(), Message: "the first is here"})
			drop[i] = true
			continue
		case known:
			b.c.report(dsl.CodeNeedsReplace, name.Range, fmt.Sprintf("%s already has a %s %s", items[j].layer.name, what, name.Text), "write replace "+what+" to put this one in its place",
				dsl.Related{Range: items[j].stmt.Span(), Message: "the other is here"})
			drop[i] = true
			continue
		}
		last[k] = i
	}
	var kept []item
	for i, it := range items {
		if _, without := it.stmt.(*dsl.Without); !drop[i] && !without {
			kept = append(kept, it)
		}
	}
	return kept
}

// declared returns what a statement declares; a nil name for one that declares nothing.
func declared(s dsl.Stmt) (string, *dsl.Name) {
	switch s := s.(type) {
	case *dsl.Attribute:
		return s.Keyword, s.Name
	case *dsl.Positions:
		return "positions", s.Name
	case *dsl.Terminal:
		return s.Keyword, s.Name
	case *dsl.Stage:
		return "stage", s.Name
	case *dsl.Part:
		return "part", s.Name
	case *dsl.Cause:
		return "cause", s.Name
	case *dsl.Instrument:
		return "instrument", s.Name
	case *dsl.Remedy:
		return "remedy", s.Name
	case *dsl.Effect:
		return "effect", s.Name
	case *dsl.Fault:
		return "fault", s.Name
	case *dsl.Test:
		return "test", s.Name
	}
	return "", nil
}

// declareNames takes in everything that needs no other name.
func (b *builder) declareNames(it item) {
	m := b.m
	switch s := it.stmt.(type) {
	case *dsl.Attribute:
		v := &value{name: s.Name.Text, title: s.Note.String(), ask: s.Ask.String(), src: s.Range}
		b.typeOf(v, s.Type)
		if s.Keyword == "condition" {
			v.kind = conditionValue
			if s.With != nil {
				b.conditionMeters[v] = s.With
			}
			if v.title == "" {
				v.title = spaced(v.name)
			}
			m.conditions[v.name] = v
			if s.Likely != nil {
				v.likely = b.constRange(s.Likely, v.typ.dim)
			}
			return
		}
		m.attributes[v.name] = v
	case *dsl.Positions:
		b.declareAxis(s)
	case *dsl.Polarity:
		m.polarity = s.Word.Text
		if s.Word.Text != "negative" && s.Word.Text != "positive" {
			b.c.report(dsl.CodeUnknownWord, s.Word.Range, "polarity is negative or positive", "write polarity negative when the prods are written for negative ground")
		}
	case *dsl.Terminal:
		if s.Keyword == "caution" {
			m.cautions[s.Name.Text] = s
		} else {
			m.terminals[s.Name.Text] = s
		}
	case *dsl.Stage:
		m.stages[s.Name.Text] = s
	case *dsl.Part:
		m.parts[s.Name.Text] = s
	case *dsl.Instrument:
		m.meters[s.Name.Text] = b.instrument(s)
	case *dsl.Effect:
		m.effects[s.Name.Text] = s
	case *dsl.Include:
		b.declareInclude(s)
	case *dsl.Record:
		b.c.report(dsl.CodeMisplaced, s.Range, "a "+s.Keyword+" does not stand inside a kind or family", "move it to the top of a file")
	case *dsl.Block:
		b.c.report(dsl.CodeMisplaced, s.Range, "a "+s.Keyword+" does not stand inside another block", "move it to the top of a file")
	case *dsl.Accept:
		m.leaning = append(m.leaning, leaning{what: "accepted findings", src: s.Range})
	case *dsl.Decide:
		b.decide(s)
	case *dsl.Renew:
		if b.inShop(it) {
			for _, n := range s.Parts {
				m.renew = append(m.renew, n.Text)
			}
		}
	}
}

func (b *builder) inShop(it item) bool {
	if !it.layer.shop {
		b.c.report(dsl.CodeMisplaced, it.stmt.Span(), "this belongs to a shop", "write it in shop name { ... }")
	}
	return it.layer.shop
}

func (b *builder) instrument(s *dsl.Instrument) *instrument {
	in := &instrument{name: s.Name.Text, src: s.Range}
	v := &value{}
	b.typeOf(v, s.Type)
	in.dim = v.typ.dim
	if s.Digit != nil {
		in.digit = b.quantity(s.Digit)
	}
	if s.Scale != nil {
		if r := b.constRange(s.Scale, in.dim); r != nil {
			in.low, in.high = r[0], r[1]
		}
	}
	for _, n := range s.Forbids {
		in.forbid = append(in.forbid, n.Text)
	}
	b.accuracy(in, s)
	return in
}

func (b *builder) declareAxis(s *dsl.Positions) {
	a := &axis{name: s.Name.Text, title: s.Title.String(), src: s.Range}
	for _, n := range s.Words {
		a.words = append(a.words, n.Text)
	}
	if s.From != nil {
		q := b.quantity(s.From)
		a.from = int(q.SI())
		if float64(a.from) != q.SI() || a.from < 0 {
			b.c.report(dsl.CodeWrongType, s.From.Range, "positions count from a whole number", "write 1 to bars")
		}
		a.to = &expr{op: opPending, pending: s.To, src: s.To.Span()}
	}
	b.m.axes[a.name] = a
}

func (b *builder) resolveAxes() {
	b.ctx = scopeCtx{}
	for _, a := range b.m.axes {
		if a.to != nil && a.to.op == opPending {
			a.to = b.number(a.to.pending, units.DimensionOf(units.Count))
		}
	}
}

// declareInclude takes in another kind, under each of its names.
func (b *builder) declareInclude(s *dsl.Include) {
	if b.c.kinds[s.Kind.Text] == nil {
		b.c.report(dsl.CodeUnknownName, s.Kind.Range, "there is no kind "+s.Kind.Text, suggest(s.Kind.Text, mapKeys(b.c.kinds)))
		return
	}
	kind := b.c.kind(s.Kind.Text)
	if kind == nil {
		return
	}
	for _, n := range s.As {
		inc := &include{as: n.Text, kind: kind, src: s.Range}
		if s.When != nil {
			b.includeWhen[inc] = s.When
		}
		b.m.includes = append(b.m.includes, inc)
	}
}

// typeOf reads the type after a colon.
func (b *builder) typeOf(v *value, t *dsl.Type) {
	if len(t.Alts) == 1 {
		switch word := t.Alts[0]; word {
		case "ratio":
			v.typ.dim = units.DimensionOf(units.Ratio)
			return
		case "count":
			v.typ.dim = units.DimensionOf(units.Count)
			return
		case "text":
			v.typ.class = textClass
			return
		case "date":
			v.typ.class = dateClass
			return
		default:
			u, err := units.ParseUnit(word)
			if err != nil {
				b.c.report(dsl.CodeUnknownUnit, t.Range, "there is no unit "+word, "write a unit, ratio, count, text or date, or at least two words joined by |")
				return
			}
			if hint := units.TemperatureHint(u); hint != "" {
				b.c.warn(dsl.CodeUnknownUnit, t.Range, word+" is "+u.Dimension().Name(), "for a temperature "+hint)
			}
			v.typ.dim, v.unit = u.Dimension(), u
			return
		}
	}
	for _, alt := range t.Alts {
		if alt[0] >= '0' && alt[0] <= '9' || alt[0] == '-' || alt[0] == '.' {
			q, err := units.Parse(alt)
			if err != nil {
				b.c.report(dsl.CodeUnknownUnit, t.Range, err.Error(), "")
				continue
			}
			if len(v.quantities) > 0 {
				if err := units.Match(q.Dimension(), v.typ.dim); err != nil {
					message, _ := parted(err)
					b.c.report(dsl.CodeDimension, t.Range, message, "give all alternatives in one unit")
				}
			}
			v.typ.dim, v.unit = q.Dimension(), q.Unit()
			v.quantities = append(v.quantities, q.SI())
			continue
		}
		if slices.Contains(v.typ.words, alt) {
			b.c.report(dsl.CodeDuplicateName, t.Range, "the word "+alt+" stands twice", "leave one out")
		}
		v.typ.words = append(v.typ.words, alt)
	}
	if len(v.typ.words) > 0 {
		v.typ.class = wordClass
		if len(v.quantities) > 0 || len(v.typ.words) > 64 {
			b.c.report(dsl.CodeWrongType, t.Range, "a type lists either words or quantities, at most 64", "")
		}
	}
}

func (b *builder) declareTests(it item) {
	s, ok := it.stmt.(*dsl.Test)
	if !ok {
		return
	}
	t := &test{name: s.Name.Text, title: s.Title.String(), named: map[string]*value{}, pairs: map[string][2]*value{}, renewed: map[string]bool{}, src: s.Name.Range}
	b.m.tests = append(b.m.tests, t)
	b.m.testNamed[t.name] = t
	b.testDecls[t.name] = s
	if it.layer.variant != nil {
		t.applies = b.variantHolds(it.layer.variant)
	}
	if r, ok := b.removed["test "+t.name]; ok {
		t.applies = &expr{op: opNot, typ: vtype{class: truthClass}, fixed: true, args: []*expr{b.variantHolds(r.layer.variant)}, src: r.src}
	}
	b.readings(t, s)
}

func (b *builder) declareSets(it item) {
	s, ok := it.stmt.(*dsl.Set)
	if !ok {
		return
	}
	v := b.m.attributes[s.Name.Text]
	if v == nil {
		b.c.report(dsl.CodeUnknownName, s.Name.Range, "there is no attribute "+s.Name.Text, suggest(s.Name.Text, slices.Collect(maps.Keys(b.m.attributes))))
		return
	}
	k, err := constantOf(v, s.Value)
	if err != nil {
		b.c.report(dsl.CodeWrongType, s.Value.Range, err.Error(), "")
		return
	}
	for _, other := range v.sets {
		if other.layer.rank == it.layer.rank && other.layer.variant == it.layer.variant && other.layer.name == it.layer.name {
			b.c.report(dsl.CodeDuplicateName, s.Range, s.Name.Text+" is set twice in "+it.layer.name, "leave one out", dsl.Related{Range: other.src, Message: "the first is here"})
		}
	}
	v.sets = append(v.sets, setting{it.layer, k, s.Range})
	slices.SortStableFunc(v.sets, func(a, b setting) int { return int(b.layer.rank - a.layer.rank) })
}

// declareRest takes in what refers to tests: includes come earlier, in declareNames of their own phase.
func (b *builder) declareRest(it item) {
	b.ctx = scopeCtx{}
	m := b.m
	switch s := it.stmt.(type) {
	case *dsl.Require:
		m.requires = append(m.requires, &requirement{b.truth(s.Cond), s.Message.String(), s.Range})
	case *dsl.Cause:
		k := &cause{name: s.Name.Text, title: s.Title.String(), ask: s.Ask.String(), src: s.Range}
		if s.Seen != nil {
			k.seen = b.truth(s.Seen)
		}
		m.causes[k.name] = k
	case *dsl.Remedy:
		m.remedies[s.Name.Text] = b.remedy(s)
	case *dsl.Release:
		for _, r := range s.Refs {
			if o := b.outcomeRef(r, nil, false); o != nil {
				m.release = append(m.release, o)
			}
		}
	case *dsl.Stage:
		if s.After != nil && m.stages[s.After.Text] == nil {
			b.c.report(dsl.CodeUnknownName, s.After.Range, "there is no stage "+s.After.Text, suggest(s.After.Text, slices.Collect(maps.Keys(m.stages))))
		}
		for at, n := s, 0; at != nil && at.After != nil; at, n = m.stages[at.After.Text], n+1 {
			if n > len(m.stages) {
				b.c.report(dsl.CodeCircle, s.Range, "these stages come after each other in a circle", "let one stage come first")
				break
			}
		}
	case *dsl.Part:
		if s.Within != nil && m.parts[s.Within.Text] == nil {
			b.c.report(dsl.CodeUnknownName, s.Within.Range, "there is no part "+s.Within.Text, suggest(s.Within.Text, slices.Collect(maps.Keys(m.parts))))
		}
	}
}

func (b *builder) remedy(s *dsl.Remedy) *remedy {
	r := &remedy{name: s.Name.Text, title: s.Title.String(), src: s.Range}
	for _, st := range s.Body {
		switch st := st.(type) {
		case *dsl.Retest:
			for _, ref := range st.Refs {
				if o := b.outcomeRef(ref, nil, false); o != nil {
					r.retest = append(r.retest, o)
				}
			}
		case *dsl.Covers:
			for _, n := range st.Names {
				r.covers = append(r.covers, n.Text)
			}
		case *dsl.Allowed:
			r.allowed = b.truth(st.Cond)
		case *dsl.Regret:
			r.regret = b.quantity(st.Cost)
			b.m.leaning = append(b.m.leaning, leaning{what: "regret", src: st.Range})
		case *dsl.Needs:
			r.needs = b.needs(nil, st)
		}
	}
	return r
}

// spaced turns a name into words.
func spaced(name string) string {
	out := []byte(name)
	for i, c := range out {
		if c == '_' {
			out[i] = ' '
		}
	}
	return string(out)
}
