package eval

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// builder makes one model from the layers of a kind or family.
type builder struct {
	c           *compiler
	m           *model
	variantExpr map[*variant]dsl.Expr
	testDecls   map[string]*dsl.Test
	remedyDecls map[string]*dsl.Remedy
	removed     map[string][]removal // "test x" or "fault x"
	formulas    map[*value]*dsl.Let
	includeWhen map[*include]dsl.Expr
	onces       map[string]item
	effectsUsed map[*dsl.Effect]bool
	patternRows map[*test][]*dsl.Outcome
	misfits     map[*value]bool // values with a correction that was reported
	resolving   map[*value]bool
	unit        units.Unit // of the reading whose bounds are checked, for what is said of them
	checked     bool       // the checks are declared, so that outcomes are known
	afterNames  []func()   // what waits for the names
	afterChecks []func()   // what waits for the checks
	ctx         scopeCtx
}

// scopeCtx says where names are looked up.
type scopeCtx struct {
	test  *test
	fault *fault
	law   *ownLaw
}

func (c *compiler) build(block *dsl.Block, layers []layerBody) *model {
	m := &model{
		name: block.Name.Text, title: block.Title.String(), attributes: map[string]*value{}, conditions: map[string]*value{}, axes: map[string]*axis{},
		terminals: map[string]*dsl.Terminal{}, cautions: map[string]*dsl.Terminal{}, stages: map[string]*dsl.Stage{}, parts: map[string]*dsl.Part{},
		causes: map[string]*cause{}, meters: map[string]*instrument{}, laws: map[string]*law{}, remedies: map[string]*remedy{}, effects: map[string]*dsl.Effect{},
		testNamed: map[string]*test{}, faultNamed: map[string]*fault{},
	}
	if m.title == "" {
		m.title = m.name
	}
	for _, l := range layers {
		m.chain = append(m.chain, l.layer.name)
	}
	b := &builder{
		c: c, m: m, variantExpr: map[*variant]dsl.Expr{}, testDecls: map[string]*dsl.Test{}, remedyDecls: map[string]*dsl.Remedy{},
		removed: map[string][]removal{}, formulas: map[*value]*dsl.Let{}, includeWhen: map[*include]dsl.Expr{}, onces: map[string]item{},
		effectsUsed: map[*dsl.Effect]bool{}, patternRows: map[*test][]*dsl.Outcome{}, misfits: map[*value]bool{}, resolving: map[*value]bool{},
	}
	items := b.flatten(layers)
	items = b.override(items)
	each := func(phase func(item)) {
		for _, it := range items {
			if !c.full() {
				phase(it)
			}
		}
	}
	each(b.declareNames)
	each(b.declareTests)
	each(b.declareFormulas)
	for _, resolve := range b.afterNames {
		resolve()
	}
	b.resolveFormulas()
	b.ctx = scopeCtx{}
	for _, v := range m.variants {
		v.when = b.fixedTruth(b.variantExpr[v])
	}
	for _, inc := range m.includes {
		if when := b.includeWhen[inc]; when != nil {
			inc.when = b.fixedTruth(when)
		}
	}
	b.declareChecks(items)
	for _, resolve := range b.afterChecks {
		resolve()
	}
	b.declareSets(items)
	b.resolveTests()
	each(b.declareRest)
	b.chains()
	b.declareFaults(items)
	b.finish()
	c.named.mentioned(m)
	return m
}

// declareNames takes in everything that needs no other name.
func (b *builder) declareNames(it item) {
	m := b.m
	switch s := it.stmt.(type) {
	case *dsl.Attribute:
		b.attribute(s)
	case *dsl.Positions:
		b.declareAxis(s)
	case *dsl.Polarity:
		b.once(it, "polarity")
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
		m.stageOrder = append(m.stageOrder, s)
	case *dsl.Part:
		m.parts[s.Name.Text] = s
	case *dsl.Instrument:
		m.meters[s.Name.Text] = b.instrument(s)
	case *dsl.Law:
		b.declareLaw(s)
	case *dsl.Effect:
		m.effects[s.Name.Text] = s
	case *dsl.Remedy:
		b.remedyDecls[s.Name.Text] = s
	case *dsl.Include:
		b.declareInclude(s)
	case *dsl.Record:
		b.c.report(dsl.CodeMisplaced, s.Range, "a "+s.Keyword+" does not stand inside a kind or family", "move it to the top of a file")
	case *dsl.Block:
		b.c.report(dsl.CodeMisplaced, s.Range, "a "+s.Keyword+" does not stand inside another block", "move it to the top of a file")
	case *dsl.Decide:
		b.once(it, "decide")
		b.decide(s)
	case *dsl.Renew:
		if !it.layer.shop {
			b.c.report(dsl.CodeMisplaced, s.Range, "what is renewed regardless is a rule of a shop", "write it in shop name { ... }")
		}
	}
}

// attribute takes in an attribute or a condition.
func (b *builder) attribute(s *dsl.Attribute) {
	v := &value{name: s.Name.Text, title: s.Note.String(), ask: s.Ask.String(), src: s.Range}
	b.typeOf(v, s.Type)
	if s.Keyword == "attribute" {
		b.m.attributes[v.name] = v
		if s.With != nil || s.Likely != nil {
			b.c.report(dsl.CodeMisplaced, s.Name.Range, "with and likely belong to a condition, and "+v.name+" is an attribute", "leave them out, or write condition "+v.name)
		}
		return
	}
	v.kind = conditionValue
	if v.title == "" {
		v.title = spaced(v.name)
	}
	b.m.conditions[v.name] = v
	if s.With != nil {
		b.afterNames = append(b.afterNames, func() { v.meter = b.meter(v, s.With) })
	}
	switch {
	case s.Likely == nil || v.typ.class == badClass:
	case v.typ.class != numberClass:
		b.c.report(dsl.CodeWrongType, s.Likely.Span(), "likely is a range of numbers, and "+v.name+" is no number", "leave likely out")
	default:
		v.likely = b.constRange(s.Likely, v.typ.dim)
	}
}

func (b *builder) instrument(s *dsl.Instrument) *instrument {
	in := &instrument{name: s.Name.Text, src: s.Range}
	v := &value{}
	b.typeOf(v, s.Type)
	if v.typ.class == badClass {
		in.bad = true
		return in
	}
	if v.typ.class != numberClass || len(v.quantities) > 0 {
		b.c.report(dsl.CodeWrongType, s.Type.Range, "an instrument shows numbers of one unit", "write instrument "+in.name+" : V, for instance")
		in.bad = true
		return in
	}
	in.dim = v.typ.dim
	if s.Scale != nil {
		if r := b.constRange(s.Scale, in.dim); r != nil {
			in.high = r[1]
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
		if slices.Contains(a.words, n.Text) {
			b.c.report(dsl.CodeDuplicateName, n.Range, "the position "+n.Text+" stands twice", "give one another name")
		}
		a.words = append(a.words, n.Text)
	}
	if s.From != nil {
		q, ok := b.quantity(s.From)
		a.from = int(q.SI())
		if !ok || float64(a.from) != q.SI() || a.from < 0 || q.Dimension() != units.None {
			b.c.report(dsl.CodeWrongType, s.From.Range, "positions count from a whole number", "write 1 to bars")
		}
		a.to = bad(s.To.Span()) // until the names are known
		b.afterNames = append(b.afterNames, func() { b.axisEnd(a, s.To) })
	}
	if first := b.m.axes[a.name]; first != nil {
		if !slices.Equal(first.words, a.words) || a.to != nil {
			b.c.report(dsl.CodeDuplicateName, s.Name.Range, "there are two of positions "+a.name+", and they differ", "give one another name", dsl.Related{Range: first.src, Message: "the first is here"})
		}
		return // tests may name the same positions each for itself
	}
	b.m.axes[a.name] = a
}

// axisEnd works out where numbered positions end: at a number, or at what an attribute says of the unit.
func (b *builder) axisEnd(a *axis, end dsl.Factor) {
	a.to = b.number(end, units.DimensionOf(units.Count))
	last, known := a.to.constant()
	switch {
	case a.to.typ.class == badClass:
	case !a.to.fixed:
		b.c.report(dsl.CodeMisplaced, end.Span(), "the number of positions must be known before any reading", "name an attribute, such as bars")
	case known && (last < float64(a.from) || last != math.Trunc(last) || last >= float64(a.from+maxPositions)):
		b.c.report(dsl.CodeWrongType, end.Span(), fmt.Sprintf("positions count up from %d to a whole number, at most %d of them", a.from, maxPositions), "write 1 to 6, for instance")
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
		inc := &include{as: n.Text, kind: kind, src: n.Range}
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
				v.typ.class = badClass
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
			switch {
			case err != nil:
				b.c.report(dsl.CodeUnknownUnit, t.Range, alt+" is no quantity", "write a number with its unit, such as 12 V")
				continue
			case len(v.quantities) > 0 && units.Match(q.Dimension(), v.typ.dim) != nil:
				b.dimension(t.Range, q.Dimension(), v.typ.dim)
			case slices.Contains(v.quantities, q.SI()):
				b.c.report(dsl.CodeDuplicateName, t.Range, alt+" stands twice", "leave one out")
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
			b.c.report(dsl.CodeWrongType, t.Range, "a type lists either words or quantities, at most 64 of them", "write good | worn, or 12 V | 24 V")
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
	for _, r := range b.removed["test "+t.name] {
		t.applies = conjunction(t.applies, &expr{op: opNot, typ: vtype{class: truthClass}, fixed: true, args: []*expr{b.variantHolds(r.layer.variant)}, src: r.src})
	}
	b.readings(t, s)
}

// conjunction joins two conditions; x may be nil.
func conjunction(x, y *expr) *expr {
	if x == nil {
		return y
	}
	return &expr{op: opAnd, typ: vtype{class: truthClass}, args: []*expr{x, y}, fixed: x.fixed && y.fixed, src: y.src}
}

// declareSets gives the attributes their values.
func (b *builder) declareSets(items []item) {
	editions := []dated{}
	for _, it := range items {
		s, ok := it.stmt.(*dsl.Set)
		if !ok {
			continue
		}
		v := b.m.attributes[s.Name.Text]
		if it.layer.shop && !b.c.inFamily(&dsl.Ref{Range: s.Name.Range, Names: []string{s.Name.Text}}, v != nil) {
			continue
		}
		if v == nil {
			b.c.report(dsl.CodeUnknownName, s.Name.Range, "there is no attribute "+s.Name.Text, suggest(s.Name.Text, mapKeys(b.m.attributes)))
			continue
		}
		if set := b.setting(it, v, s); set != nil {
			v.sets = append(v.sets, *set)
			editions = append(editions, dated{set.layer.name + " " + v.name, set.source, set.src})
		}
	}
	b.gaps("value", editions)
	for _, v := range b.m.attributes {
		slices.SortStableFunc(v.sets, func(a, b setting) int { return int(b.layer.rank - a.layer.rank) })
	}
}

// misset reports a value that an attribute cannot have.
func (b *builder) misset(v *value, at *dsl.Value, err error) {
	var mismatch *units.DimensionError
	switch {
	case errors.As(err, &mismatch):
		b.dimension(at.Range, mismatch.Left, v.typ.dim)
	case v.typ.class == wordClass && len(at.Words) == 1:
		b.c.report(dsl.CodeUnknownWord, at.Range, at.String()+" is none of the words of "+v.name, suggest(at.String(), v.typ.words))
	default:
		message, help, ok := strings.Cut(err.Error(), ": ")
		switch {
		case ok:
		case len(v.quantities) > 0:
			help = "write one of " + v.listed()
		default:
			help = "write set " + v.name + " " + example(v.typ.dim)
		}
		b.c.report(dsl.CodeWrongType, at.Range, message, help)
	}
}

// setting checks one value that a layer gives to an attribute; nil if it was reported.
func (b *builder) setting(it item, v *value, s *dsl.Set) *setting {
	if v.typ.class == badClass {
		return nil
	}
	set := &setting{layer: it.layer, source: it.layer.source, src: s.Range}
	if s.Per != nil {
		set.source = b.sourceOf(s.Per)
	}
	k, err := constantOf(v, s.Value)
	if err != nil {
		b.misset(v, s.Value, err)
		return nil
	}
	set.value = k
	for _, other := range v.sets {
		if other.layer.rank != it.layer.rank || !overlap(other.source, set.source) {
			continue
		}
		example, both := b.together(slices.Concat(other.layer.conditions(), it.layer.conditions())...)
		if !both {
			continue
		}
		message := s.Name.Text + " is set twice in " + it.layer.name
		if example != "" {
			message += ", when " + example
		}
		b.c.report(dsl.CodeDuplicateName, s.Range, message, "leave one out", dsl.Related{Range: other.src, Message: "the first is here"})
	}
	return set
}

// declareRest takes in what refers to tests: includes come earlier, in declareNames of their own phase.
func (b *builder) declareRest(it item) {
	b.ctx = scopeCtx{}
	m := b.m
	switch s := it.stmt.(type) {
	case *dsl.Require:
		m.requires = append(m.requires, &requirement{b.fixedTruth(s.Cond), s.Message.String(), s.Range})
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
			if it.layer.shop && !b.c.inFamily(r, m.testNamed[r.Names[0]] != nil) {
				continue
			}
			if o := b.outcomeRef(r, nil, false); o != nil {
				m.release = append(m.release, o)
			}
		}
	case *dsl.Renew:
		for _, n := range s.Parts {
			if b.c.inFamily(&dsl.Ref{Range: n.Range, Names: []string{n.Text}}, m.parts[n.Text] != nil) {
				m.renew = append(m.renew, n.Text)
			}
		}
	case *dsl.Instrument:
		for _, n := range s.Forbids {
			if m.parts[n.Text] == nil {
				b.c.report(dsl.CodeUnknownName, n.Range, "there is no part "+n.Text, suggest(n.Text, mapKeys(m.parts)))
			}
		}
	case *dsl.Stage:
		if s.After == nil {
			return
		}
		if m.stages[s.After.Text] == nil {
			b.c.report(dsl.CodeUnknownName, s.After.Range, "there is no stage "+s.After.Text, suggest(s.After.Text, mapKeys(m.stages)))
		}
		b.time(s.Takes)
		b.time(s.Back)
	case *dsl.Part:
		if s.Within != nil && m.parts[s.Within.Text] == nil {
			b.c.report(dsl.CodeUnknownName, s.Within.Range, "there is no part "+s.Within.Text, suggest(s.Within.Text, mapKeys(m.parts)))
		}
	}
}

// chains reports stages that come after each other, and parts that are within each other, in a circle.
func (b *builder) chains() {
	after := map[string]string{}
	for _, s := range b.m.stages {
		after[s.Name.Text] = s.After.String()
	}
	within := map[string]string{}
	for _, p := range b.m.parts {
		within[p.Name.Text] = p.Within.String()
	}
	if name := circular(after); name != "" {
		b.c.report(dsl.CodeCircle, b.m.stages[name].Name.Range, "stage "+name+" comes after itself, by way of the stages before it", "let one stage come first")
	}
	if name := circular(within); name != "" {
		b.c.report(dsl.CodeCircle, b.m.parts[name].Name.Range, "part "+name+" is within itself", "let one part be the whole")
	}
}

// circular returns the first name of the first circle, in the order of the alphabet; empty if there is none.
func circular(next map[string]string) string {
	cleared := map[string]bool{"": true}
	for _, name := range slices.Sorted(maps.Keys(next)) {
		trail := map[string]bool{}
		at := name
		for ; !cleared[at] && !trail[at]; at = next[at] {
			trail[at] = true
		}
		if trail[at] {
			return at
		}
		maps.Copy(cleared, trail)
	}
	return ""
}

func (b *builder) remedy(s *dsl.Remedy) *remedy {
	r := &remedy{name: s.Name.Text, title: s.Title.String(), src: s.Range}
	b.onceIn("remedy "+r.name, s.Body)
	for _, st := range s.Body {
		switch st := st.(type) {
		case *dsl.AtStage:
			r.stage = b.stage(st)
		case *dsl.Retest:
			for _, ref := range st.Refs {
				if o := b.outcomeRef(ref, nil, false); o != nil {
					r.retest = append(r.retest, o)
				}
			}
		case *dsl.Covers:
			b.remedyNames(st.Names)
			for _, n := range st.Names {
				r.covers = append(r.covers, n.Text)
			}
		case *dsl.Allowed:
			r.allowed = b.truth(st.Cond)
		case *dsl.Regret:
			r.regret = b.time(st.Cost)
		case *dsl.Needs:
			r.needs = append(r.needs, b.needs(nil, st)...)
		}
	}
	return r
}

// stage is the name of a stage of the unit; one that is not known is reported.
func (b *builder) stage(s *dsl.AtStage) string {
	if b.m.stages[s.Name.Text] == nil {
		b.c.report(dsl.CodeUnknownName, s.Name.Range, "there is no stage "+s.Name.Text, suggest(s.Name.Text, mapKeys(b.m.stages)))
	}
	return s.Name.Text
}

// remedyNames reports names that are no remedies.
func (b *builder) remedyNames(names []*dsl.Name) {
	for _, n := range names {
		if n != nil && b.remedyDecls[n.Text] == nil {
			b.c.report(dsl.CodeUnknownName, n.Range, "there is no remedy "+n.Text, suggest(n.Text, mapKeys(b.remedyDecls)))
		}
	}
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
