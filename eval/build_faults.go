package eval

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Faults: what they show, mask and lead to.

// Strengths and frequencies by word, as probabilities; judgement, to be settable. They order explanations in a later edition.
var (
	strengths   = map[string]float64{"always": .99, "usually": .8, "often": .6, "sometimes": .3, "seldom": .1, "never": 0}
	frequencies = map[string]float64{"usual": .1, "common": .03, "occasional": .01, "rare": .003}
)

func (b *builder) declareFaults(items []item) {
	decls := map[*fault]*dsl.Fault{}
	for _, it := range items {
		s, ok := it.stmt.(*dsl.Fault)
		if !ok {
			continue
		}
		f := &fault{name: s.Name.Text, title: s.Title.String(), src: s.Name.Range}
		for _, n := range s.Of {
			a := b.m.axes[n.Text]
			if a == nil {
				b.c.report(dsl.CodeUnknownName, n.Range, "there are no positions "+n.Text, suggest(n.Text, mapKeys(b.m.axes)))
				f.bad = true
				continue
			}
			f.axes = append(f.axes, a)
		}
		if it.layer.variant != nil {
			f.without = append(f.without, &expr{op: opNot, typ: vtype{class: truthClass}, fixed: true, args: []*expr{b.variantHolds(it.layer.variant)}})
		}
		for _, r := range b.removed["fault "+f.name] {
			f.without = append(f.without, b.variantHolds(r.layer.variant))
		}
		b.m.faults = append(b.m.faults, f)
		b.m.faultNamed[f.name] = f
		decls[f] = s
	}
	for _, f := range b.m.faults {
		if f.bad {
			continue // its positions are not known
		}
		b.ctx = scopeCtx{fault: f}
		b.onceIn("fault "+f.name, decls[f].Body)
		b.faultBody(f, decls[f].Body, true)
		b.frequencies(f)
		if b.strengthSums(f) {
			b.shownOnce(f, decls[f].Range)
		}
		if f.remedy == "" && f.part == "" {
			b.c.warn(dsl.CodeUnknownName, f.src, "fault "+f.name+" names no part and no remedy", "write part rotor and remedy fit_rotor, for instance")
		}
	}
	b.unusedEffects()
	b.ctx = scopeCtx{}
	b.withOnce()
	b.leadCircles()
}

// unusedEffects checks the effects that no fault has, as if a fault of all positions had them.
func (b *builder) unusedEffects() {
	f := &fault{axes: slices.Collect(maps.Values(b.m.axes))}
	b.ctx = scopeCtx{fault: f}
	for _, name := range slices.Sorted(maps.Keys(b.m.effects)) {
		if e := b.m.effects[name]; !b.effectsUsed[e] {
			b.faultBody(f, e.Body, false)
		}
	}
}

func (b *builder) variantHolds(v *variant) *expr {
	return &expr{op: opVariant, variant: v, typ: vtype{class: truthClass}, fixed: true, src: v.src}
}

func (b *builder) faultBody(f *fault, body []dsl.Stmt, effects bool) {
	for _, st := range body {
		switch st := st.(type) {
		case *dsl.InPart:
			if f.part != "" && f.part != st.Name.Text {
				b.c.report(dsl.CodeDuplicateName, st.Range, "fault "+f.name+" sits in two parts", "leave one out, or write a fault for each")
			}
			f.part = st.Name.Text
			if b.m.parts[f.part] == nil {
				b.c.report(dsl.CodeUnknownName, st.Name.Range, "there is no part "+f.part, suggest(f.part, mapKeys(b.m.parts)))
			}
		case *dsl.Has:
			e := b.m.effects[st.Name.Text]
			switch {
			case e == nil:
				b.c.report(dsl.CodeUnknownName, st.Name.Range, "there is no effect "+st.Name.Text, suggest(st.Name.Text, mapKeys(b.m.effects)))
			case !effects:
				b.c.report(dsl.CodeMisplaced, st.Range, "an effect cannot have another effect", "write its shows again")
			default:
				b.effectsUsed[e] = true
				b.faultBody(f, e.Body, false)
			}
		case *dsl.Occurs:
			b.occurs(f, st)
		case *dsl.Masks:
			b.masks(f, st)
		case *dsl.From:
			for _, n := range st.Names {
				if b.m.causes[n.Text] == nil {
					b.c.report(dsl.CodeUnknownName, n.Range, "there is no cause "+n.Text, suggest(n.Text, mapKeys(b.m.causes)))
				}
				f.causes = append(f.causes, n.Text)
			}
		case *dsl.Shows:
			if s := b.show(st.Ref, st.Alts, st.Strength, st.When, st.Range); s != nil {
				f.shows = append(f.shows, s)
			}
		case *dsl.With:
			if s := b.show(st.Ref, st.Alts, st.Strength, st.When, st.Range); s != nil {
				f.with = append(f.with, withRow{st.Other.Text, *s})
			}
			if b.m.faultNamed[st.Other.Text] == nil {
				b.c.report(dsl.CodeUnknownName, st.Other.Range, "there is no fault "+st.Other.Text, suggest(st.Other.Text, mapKeys(b.m.faultNamed)))
			}
		case *dsl.Leads:
			b.leads(f, st)
		case *dsl.UseRemedy:
			switch {
			case f.remedy == "" || f.remedy == st.Name.Text && f.orElse == st.Else.String():
			case f.remedy == st.Name.Text:
				b.c.report(dsl.CodeDuplicateName, st.Range, "fault "+f.name+" names its remedy twice, with another one behind else", "leave one out")
			default:
				b.c.report(dsl.CodeDuplicateName, st.Range, "fault "+f.name+" has two remedies", "join them: remedy "+f.remedy+" else "+st.Name.Text)
			}
			f.remedy, f.orElse = st.Name.Text, st.Else.String()
			b.remedyNames([]*dsl.Name{st.Name, st.Else})
		case *dsl.Because:
			f.because = st.Text.String()
		}
	}
}

func (b *builder) occurs(f *fault, st *dsl.Occurs) {
	o := occurrence{src: st.Range}
	if st.Word != nil {
		p, ok := frequencies[st.Word.Text]
		if !ok {
			help := "write usual, common, occasional or rare, or a number below 0.5"
			if _, strength := strengths[st.Word.Text]; strength {
				help = st.Word.Text + " says how surely a fault shows something; " + help
			}
			b.c.report(dsl.CodeFrequency, st.Word.Range, "there is no frequency "+st.Word.Text, help)
		}
		o.word, o.p = st.Word.Text, p
	} else {
		q, ok := b.quantity(st.Num)
		o.word, o.p = st.Num.Text, q.SI()
		if !ok {
			return
		}
		if q.Dimension() != units.None && q.Dimension().Kind() != units.Ratio || o.p < 0 || o.p >= 0.5 {
			b.c.report(dsl.CodeFrequency, st.Num.Range, "a frequency is a number from 0 up to, but not including, 0.5", "write usual, common, occasional or rare, or a number such as 0.02")
		}
	}
	if st.When != nil {
		o.when = b.fixedTruth(st.When)
	}
	f.occurs = append(f.occurs, o)
}

// fixedTruth checks a condition that must be known before any reading.
func (b *builder) fixedTruth(e dsl.Expr) *expr {
	x := b.truth(e)
	if !x.fixed && x.typ.class != badClass {
		b.c.report(dsl.CodeMisplaced, e.Span(), "this must be known before any reading", "speak of attributes here, of the serial or of the day it was built")
		return bad(e.Span())
	}
	return x
}

func (b *builder) masks(f *fault, st *dsl.Masks) {
	var only []string
	for _, n := range st.For {
		if b.m.faultNamed[n.Text] == nil {
			b.c.report(dsl.CodeUnknownName, n.Range, "there is no fault "+n.Text, suggest(n.Text, mapKeys(b.m.faultNamed)))
		}
		only = append(only, n.Text)
	}
	var when *expr
	if st.When != nil {
		when = b.fixedTruth(st.When)
	}
	for _, ref := range st.Refs {
		if o := b.outcomeRef(ref, nil, true); o != nil {
			f.masks = append(f.masks, &mask{o, only, when})
		}
	}
}

func (b *builder) show(ref *dsl.Ref, alts *dsl.Alts, st *dsl.Strength, when dsl.Expr, src dsl.Range) *show {
	o := b.outcomeRef(ref, alts.List, alts.Any)
	if o == nil {
		return nil
	}
	s := &show{ref: o, src: src, strength: strength{always: true, p: strengths["always"], any: alts.Any}}
	if st != nil {
		p, ok := b.strength(st)
		if !ok {
			return nil
		}
		s.strength.p, s.strength.always = p, st.Word == "always" || p >= 1
	}
	s.strength.always = s.strength.always && !alts.Any
	if when != nil {
		s.when = b.fixedTruth(when)
	}
	return s
}

func (b *builder) strength(st *dsl.Strength) (float64, bool) {
	if st.Word != "" {
		return strengths[st.Word], true
	}
	q, err := units.Parse(st.Num)
	p := q.SI()
	if err != nil || q.Dimension() != units.None && q.Dimension().Kind() != units.Ratio || p < 0 || p > 1 {
		help := "write always, usually, often, sometimes, seldom or never, or a number such as 0.8"
		if share, err := strconv.ParseFloat(st.Num, 64); err == nil && share >= 5 && share <= 100 {
			help = "write " + st.Num + " %, or always, usually, often, sometimes, seldom or never"
		}
		b.c.report(dsl.CodeStrength, st.Range, "a strength is a number from 0 to 1", help)
		return 0, false
	}
	return p, true
}

// frequencies reports two frequencies of a fault that hold at once.
func (b *builder) frequencies(f *fault) {
	for i, o := range f.occurs {
		for _, other := range f.occurs[:i] {
			if example, both := b.together(given(other.when, o.when)...); both {
				message := "fault " + f.name + " has two frequencies"
				if example != "" {
					message += " when " + example
				}
				b.c.report(dsl.CodeFrequency, o.src, message, "leave one out, or give them conditions that exclude each other")
				return
			}
		}
	}
}

// given lists the conditions that there are.
func given(conditions ...*expr) []*expr {
	return slices.DeleteFunc(conditions, func(e *expr) bool { return e == nil })
}

// strengthSums reports a check whose outcomes a fault shows with more than certainty, and tells whether there is none.
func (b *builder) strengthSums(f *fault) bool {
	shown := map[string][]*show{}
	for _, s := range f.shows {
		if s.strength.any || s.strength.p == 0 {
			continue
		}
		key := s.ref.check()
		sum, conditions := s.strength.p, given(s.when)
		for _, other := range shown[key] {
			with := append(slices.Clone(conditions), given(other.when)...)
			if _, both := b.together(with...); both {
				sum, conditions = sum+other.strength.p, with
			}
		}
		shown[key] = append(shown[key], s)
		if sum > 1.0001 {
			b.c.report(dsl.CodeStrength, s.src, "fault "+f.name+" shows outcomes of one check with more than certainty", "join them by | or make them less sure")
			return false
		}
	}
	return true
}

// check tells one check from another.
func (o *outcomeRef) check() string {
	return fmt.Sprint(o.unit, ".", o.test, ".", o.value, o.alike, o.index)
}

func (b *builder) leads(f *fault, st *dsl.Leads) {
	g := b.m.faultNamed[st.Ref.Names[0]]
	if g == nil || len(st.Ref.Names) > 1 {
		help := suggest(st.Ref.Names[0], mapKeys(b.m.faultNamed))
		if b.m.causes[st.Ref.Names[0]] != nil {
			help = "it is a cause: a fault that comes from it says from " + st.Ref.Names[0] + "; leads to names another fault"
		}
		b.c.report(dsl.CodeUnknownName, st.Ref.Range, "there is no fault "+st.Ref.String(), help)
		return
	}
	if len(st.Ref.Index) > 0 && !b.index(st.Ref, g.axes) {
		return
	}
	if slices.ContainsFunc(f.leads, func(l lead) bool { return l.fault == g.name && meet(l.index, st.Ref.Index) }) {
		b.c.report(dsl.CodeStrength, st.Range, "fault "+f.name+" says twice how surely it leads to "+g.name, "leave one out")
		return
	}
	if p, ok := b.strength(st.Strength); ok {
		f.leads = append(f.leads, lead{g.name, st.Ref.Index, strength{always: p >= 1 || st.Strength.Word == "always", p: p}})
	}
}

// leadCircles reports faults that lead to each other in a circle.
func (b *builder) leadCircles() {
	state := map[string]int{}
	var visit func(f *fault, trail []string)
	visit = func(f *fault, trail []string) {
		trail = append(trail, f.name)
		state[f.name] = 1
		for _, l := range f.leads {
			switch state[l.fault] {
			case 0:
				visit(b.m.faultNamed[l.fault], trail)
			case 1:
				at := slices.Index(trail, l.fault)
				b.c.report(dsl.CodeCircle, f.src, "these faults lead to each other in a circle: "+strings.Join(append(slices.Clone(trail[at:]), l.fault), ", "), "leave one leads to out")
			}
		}
		state[f.name] = 2
	}
	for _, f := range b.m.faults {
		if state[f.name] == 0 {
			visit(f, nil)
		}
	}
}

// finish works out which remedies make a test count its new limits only, and reports names of included units that cannot be told from others.
func (b *builder) finish() {
	m := b.m
	for i, inc := range m.includes {
		first := slices.IndexFunc(m.includes, func(other *include) bool { return other.as == inc.as })
		switch {
		case first < i:
			b.c.report(dsl.CodeDuplicateName, inc.src, "there are two included units "+inc.as, "give one another name", dsl.Related{Range: m.includes[first].src, Message: "the first is here"})
		case m.testNamed[inc.as] != nil:
			b.c.report(dsl.CodeDuplicateName, inc.src, "there is a test "+inc.as+" and an included unit "+inc.as, "give one another name", dsl.Related{Range: m.testNamed[inc.as].src, Message: "the test is here"})
		}
	}
	for _, f := range m.faults {
		for _, s := range f.shows {
			if t := m.testNamed[s.ref.test]; t != nil && s.ref.unit == "" {
				for _, r := range []string{f.remedy, f.orElse} {
					if r != "" {
						t.renewed[r] = true
					}
				}
			}
		}
	}
	for _, r := range m.remedies {
		for _, o := range r.retest {
			if t := m.testNamed[o.test]; t != nil && o.unit == "" {
				t.renewed[r.name] = true
			}
		}
	}
	for _, t := range m.tests {
		for _, part := range t.examines {
			for _, f := range m.faults {
				if f.part == part && f.remedy != "" {
					t.renewed[f.remedy] = true
				}
			}
		}
	}
}
