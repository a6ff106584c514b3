package eval

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// What a model says, as facts that can be compared with those of another edition.

// factList collects the facts of one unit.
type factList struct {
	b    *Bench
	m    *model
	list []fact
}

// facts lists what a family or kind says.
func (b *Bench) facts(m *model) []fact {
	l := &factList{b: b, m: m}
	for _, t := range m.tests {
		l.test(t)
	}
	for _, f := range m.faults {
		l.fault(f)
	}
	for _, name := range slices.Sorted(maps.Keys(m.remedies)) {
		l.remedy(m.remedies[name])
	}
	l.around()
	l.rules()
	return l.list
}

// shopFacts lists what a shop adds to families: its limits, its rule, and what it renews. A rule that counts for several of them is listed once.
func (b *Bench) shopFacts(models map[string]*model) []fact {
	l := &factList{b: b}
	for _, name := range slices.Sorted(maps.Keys(models)) {
		one := &factList{b: b, m: models[name]}
		for _, t := range one.m.tests {
			for _, c := range t.checks {
				for _, lim := range c.limits {
					if lim.layer.shop {
						one.limit(c, lim)
					}
				}
			}
		}
		one.decisions()
		for _, f := range one.list {
			if !slices.ContainsFunc(l.list, func(g fact) bool { return g.what == f.what && g.name == f.name && g.meaning == f.meaning }) {
				l.list = append(l.list, f)
			}
		}
	}
	return l.list
}

// one notes something of which there is one; a later edition that has it too is compared with it.
func (l *factList) one(what, name, aspect, meaning, printed string, at dsl.Range) {
	if meaning != "" {
		l.list = append(l.list, fact{what: what, name: name, aspect: aspect, hints: []string{""}, meaning: meaning, printed: printed, at: at})
	}
}

// each notes members of a set, which are there or not.
func (l *factList) each(what, name, aspect string, members []string, at dsl.Range) {
	for _, m := range members {
		l.list = append(l.list, fact{what: what, name: name, aspect: aspect, meaning: m, printed: m, at: at})
	}
}

// whole notes that something is declared.
func (l *factList) whole(what, name, title string, at dsl.Range) {
	l.list = append(l.list, fact{what: what, name: name, hints: []string{""}, meaning: "declared", printed: title, at: at, whole: true})
}

func (l *factList) expr(what, name, aspect string, e *expr) {
	if e != nil {
		l.one(what, name, aspect, meaning(e), l.text(e), e.src)
	}
}

// text prints an expression as the sheet does; one that the compiler made is left out.
func (l *factList) text(e *expr) string {
	if e == nil || e.src == (dsl.Range{}) {
		return ""
	}
	return l.b.text(e.src)
}

func (l *factList) test(t *test) {
	const what = "test"
	name := t.name
	l.whole(what, name, t.title, t.src)
	l.one(what, name, "title", t.title, t.title, t.src)
	l.one(what, name, "stage", t.stage, t.stage, t.src)
	if t.takes.SI() > 0 {
		l.one(what, name, "time", exactText(t.takes.SI()), t.takes.String(), t.src)
	}
	if t.runMost.SI() > 0 {
		l.one(what, name, "run", exactText(t.runMost.SI())+" "+exactText(t.runRest.SI()), "at most "+t.runMost.String()+" rest "+t.runRest.String(), t.src)
	}
	l.expr(what, name, "applies", t.applies)
	for _, n := range t.needs {
		f := fact{what: what, name: name, aspect: "needs", printed: n.text, at: n.src}
		if n.gate != nil {
			f.meaning, f.hints = n.gate.meaning(), []string{n.gate.name()}
		} else {
			f.meaning, f.hints = n.cond.name+" "+meaning(n.pred), []string{n.cond.name}
		}
		l.list = append(l.list, f)
	}
	for _, a := range t.across {
		text := a.plus + " to " + a.minus
		l.each(what, name, "across", []string{strings.TrimSuffix(text+" when "+l.text(a.when), " when ")}, t.src)
	}
	l.each(what, name, "lifted", t.lifted, t.src)
	l.one(what, name, "steps", strings.Join(t.steps, "\n"), strings.Join(t.steps, "; "), t.src)
	l.each(what, name, "caution", t.cautions, t.src)
	l.each(what, name, "spoils", t.spoils, t.src)
	l.each(what, name, "examines", t.examines, t.src)
	if t.echoes != nil {
		l.one(what, name, "echoes", t.echoes.name, t.echoes.name, t.src)
	}
	for _, v := range t.values {
		l.value(t, v)
	}
	for _, c := range t.checks {
		l.check(c)
	}
}

func (l *factList) value(t *test, v *value) {
	path := v.path()
	if v.formula != nil {
		l.one("test", t.name, "formula "+v.name, meaning(v.formula), v.name+" = "+v.formulaText, v.src)
	} else {
		l.one("test", t.name, "reading "+v.name, v.typeMeaning(), v.reads(), v.src)
		if v.meter != nil {
			l.one("test", t.name, "meter of "+v.name, v.meter.name, v.meter.name, v.src)
		}
	}
	for _, k := range v.laws {
		to := ""
		if k.to != nil {
			to = exactText(*k.to)
		}
		l.list = append(l.list, fact{what: "test", name: t.name, aspect: "correction of " + v.name, hints: []string{k.from.name}, at: k.src, printed: l.b.text(k.src),
			meaning: fmt.Sprint(path, k.law.name, k.from.name, to, meaning(k.arg), exactText(k.per))})
	}
}

func (l *factList) check(c *check) {
	const what = "limit"
	label := c.label()
	if c.steady {
		l.one(what, label, "is steady", "steady", "is steady", c.src)
	}
	if c.rising {
		l.one(what, label, "is rising", "rising", "is rising", c.src)
	}
	if c.pitch != nil {
		l.one(what, label, "pitch", meaning(c.pitch)+meaning(c.pitchWhen), strings.TrimSuffix(l.text(c.pitch)+" when "+l.text(c.pitchWhen), " when "), c.src)
	}
	for _, lim := range c.limits {
		l.limit(c, lim)
	}
	if c.kind == gradeCheck {
		var parts []string
		for _, r := range c.rungs {
			parts = append(parts, fmt.Sprint(c.outcomes[r.outcome], meaning(r.cut), r.upTo))
		}
		l.one("grade", label, "", strings.Join(parts, "; "), c.gradeText(l.b), c.src)
	}
	var order []string
	for _, r := range c.rows {
		o := c.outcomes[r.outcome]
		text := "otherwise"
		if r.when != nil {
			text = "when " + r.text
		}
		l.list = append(l.list, fact{what: "pattern", name: label, aspect: "outcome " + o.word, hints: []string{""}, meaning: fmt.Sprint(o.result, meaning(r.when)), printed: o.result.String() + " " + text, at: r.src})
		order = append(order, o.word)
	}
	l.one("pattern", label, "order of outcomes", strings.Join(order, " "), strings.Join(order, ", "), c.src)
}

func (l *factList) limit(c *check, lim *limit) {
	if lim.declares {
		return
	}
	words := lim.inWords()
	printed := words.Text
	if lim.along != nil {
		printed += ": " + strings.Join(lim.along.rowTexts(), "; ")
	}
	var about []string
	for _, text := range []string{words.Source, words.Status, lim.source.inForce()} {
		if text != "" {
			about = append(about, text)
		}
	}
	variant, source := "", ""
	if v := lim.layer.variant; v != nil {
		variant = meaning(v.when)
		about = append(about, "units of variant "+v.name)
	}
	if lim.source != nil {
		source = lim.source.name
	}
	if len(about) > 0 {
		printed += " (" + strings.Join(about, "; ") + ")"
	}
	index, when := strings.Join(lim.index, ","), meaning(lim.when)
	bounds := lim.boundsMeaning(c)
	l.list = append(l.list, fact{what: "limit", name: c.label() + indexText(lim.index), printed: printed, at: lim.src, limit: lim, bounds: bounds,
		meaning: strings.Join([]string{bounds, index, when, variant, lim.source.meaning()}, " | "),
		hints:   []string{strings.Join([]string{when, variant, source}, " | "), strings.Join([]string{when, variant, lim.from().text()}, " | "), when + " | " + variant, variant}})
}

func (l *limit) from() day {
	if l.source == nil {
		return 0
	}
	return l.source.from
}

// inForce says on which days a source counts.
func (s *source) inForce() string {
	if s == nil {
		return ""
	}
	text := ""
	if s.from != 0 {
		text = "from " + s.from.String()
	}
	if s.until != 0 {
		text = strings.TrimSpace(text + " until " + s.until.String())
	}
	return text
}

func (l *factList) fault(f *fault) {
	const what = "fault"
	l.whole(what, f.name, f.title, f.src)
	l.one(what, f.name, "title", f.title, f.title, f.src)
	l.one(what, f.name, "positions", axisNames(f.axes), axisNames(f.axes), f.src)
	l.one(what, f.name, "part", f.part, f.part, f.src)
	l.one(what, f.name, "remedy", f.remedy, f.remedy, f.src)
	l.one(what, f.name, "other remedy", f.orElse, f.orElse, f.src)
	l.one(what, f.name, "because", f.because, f.because, f.src)
	l.each(what, f.name, "from", f.causes, f.src)
	for _, w := range f.without {
		l.each(what, f.name, "units that cannot have it", []string{l.text(w)}, f.src)
	}
	for _, o := range f.occurs {
		l.list = append(l.list, fact{what: what, name: f.name, aspect: "frequency", hints: []string{meaning(o.when), ""}, meaning: exactText(o.p) + meaning(o.when), printed: withWhen(o.word, l.text(o.when)), at: o.src})
	}
	for _, s := range f.shows {
		l.show(f, "shows", s)
	}
	for i := range f.with {
		l.show(f, "with "+f.with[i].other+" shows", &f.with[i].show)
	}
	for _, m := range f.masks {
		only := slices.Sorted(slices.Values(m.only))
		printed := m.ref.name()
		if len(only) > 0 {
			printed += " for " + strings.Join(only, ", ")
		}
		l.list = append(l.list, fact{what: what, name: f.name, aspect: "masks", hints: []string{m.ref.name()}, meaning: fmt.Sprint(m.ref.name(), only, meaning(m.when)), printed: withWhen(printed, l.text(m.when)), at: f.src})
	}
	for _, k := range f.leads {
		to := k.fault + indexText(k.index)
		l.list = append(l.list, fact{what: what, name: f.name, aspect: "leads to " + to, hints: []string{""}, meaning: exactText(k.strength.p), printed: k.strength.word(), at: f.src})
	}
}

func (l *factList) show(f *fault, aspect string, s *show) {
	outcomes := strings.Join(slices.Sorted(slices.Values(s.ref.words)), "|")
	printed := strings.Join(s.ref.words, " | ") + " " + s.strength.word()
	if s.strength.any {
		outcomes, printed = "any", "any"
	}
	l.list = append(l.list, fact{what: "fault", name: f.name, aspect: aspect + " " + s.ref.name(), hints: []string{outcomes + " " + meaning(s.when), meaning(s.when), outcomes, ""},
		meaning: fmt.Sprint(outcomes, exactText(s.strength.p), s.strength.any, meaning(s.when)), printed: withWhen(printed, l.text(s.when)), at: s.src})
}

func withWhen(text, when string) string {
	if when == "" {
		return text
	}
	return text + " when " + when
}

func (l *factList) remedy(r *remedy) {
	const what = "remedy"
	l.whole(what, r.name, r.title, r.src)
	l.one(what, r.name, "title", r.title, r.title, r.src)
	if r.stage != "" {
		l.one(what, r.name, "stage", r.stage, r.stage, r.src)
	}
	for _, o := range r.retest {
		l.each(what, r.name, "retest", []string{o.name()}, r.src)
	}
	l.each(what, r.name, "covers", r.covers, r.src)
	l.expr(what, r.name, "allowed", r.allowed)
	for _, n := range r.needs {
		if n.gate != nil {
			l.list = append(l.list, fact{what: what, name: r.name, aspect: "needs", hints: []string{n.gate.name()}, meaning: n.gate.meaning(), printed: n.text, at: n.src})
		}
	}
	if r.regret.SI() > 0 {
		l.one(what, r.name, "regret", exactText(r.regret.SI()), r.regret.String(), r.src)
	}
}

// around lists what stands around tests and faults.
func (l *factList) around() {
	m := l.m
	for _, name := range slices.Sorted(maps.Keys(m.causes)) {
		c := m.causes[name]
		l.whole("cause", name, c.title, c.src)
		l.one("cause", name, "title", c.title, c.title, c.src)
		l.one("cause", name, "ask", c.ask, c.ask, c.src)
		l.expr("cause", name, "seen by", c.seen)
	}
	for _, name := range slices.Sorted(maps.Keys(m.parts)) {
		p := m.parts[name]
		l.whole("part", name, p.Title.String(), p.Range)
		l.one("part", name, "title", p.Title.String(), p.Title.String(), p.Range)
		l.one("part", name, "within", p.Within.String(), p.Within.String(), p.Range)
		l.one("part", name, "bought", p.Bought.String(), p.Bought.String(), p.Range)
	}
	for _, name := range slices.Sorted(maps.Keys(m.attributes)) {
		l.circumstance("attribute", m.attributes[name])
	}
	for _, name := range slices.Sorted(maps.Keys(m.conditions)) {
		l.circumstance("condition", m.conditions[name])
	}
	l.words("caution", m.cautions)
	l.words("terminal", m.terminals)
	for _, name := range slices.Sorted(maps.Keys(m.stages)) {
		s := m.stages[name]
		l.whole("stage", name, s.Title.String(), s.Range)
		l.one("stage", name, "text", s.Title.String(), s.Title.String(), s.Range)
		l.one("stage", name, "after", s.After.String(), s.After.String(), s.Range)
		l.quantity("stage", name, "takes", s.Takes)
		l.quantity("stage", name, "back", s.Back)
	}
	for _, name := range slices.Sorted(maps.Keys(m.meters)) {
		in := m.meters[name]
		l.whole("instrument", name, name, in.src)
		l.one("instrument", name, "accuracy and range", fmt.Sprint(in.dim.Name(), in.high, in.accurate, in.accuracy), l.b.text(in.src), in.src)
		l.each("instrument", name, "forbids", in.forbid, in.src)
	}
	for _, name := range slices.Sorted(maps.Keys(m.laws)) {
		o := m.laws[name].own
		l.whole("law", name, o.title, o.src)
		source := ""
		if o.source != nil {
			source = o.source.name
		}
		l.one("law", name, "formula", fmt.Sprint(o.reading.typ.dim.Name(), o.from.typ.dim.Name(), meaning(o.formula), meaning(o.holds), source), l.b.text(o.src), o.src)
	}
	for _, name := range slices.Sorted(maps.Keys(m.axes)) {
		a := m.axes[name]
		l.one("positions", name, "", fmt.Sprint(a.words, a.from, meaning(a.to)), strings.TrimPrefix(l.b.text(a.src), "positions "), a.src)
	}
	for _, v := range m.variants {
		l.whole("variant", v.name, v.title, v.src)
		l.expr("variant", v.name, "when", v.when)
	}
	for _, inc := range m.includes {
		l.list = append(l.list, fact{what: "include", name: inc.as, hints: []string{""}, meaning: inc.kind.name + " " + meaning(inc.when), printed: withWhen(inc.kind.name, l.text(inc.when)), at: inc.src})
	}
	for _, r := range m.requires {
		l.list = append(l.list, fact{what: "require", name: r.message, hints: []string{""}, meaning: meaning(r.cond), printed: l.text(r.cond), at: r.src})
	}
}

// words lists cautions or terminals.
func (l *factList) words(what string, table map[string]*dsl.Terminal) {
	for _, name := range slices.Sorted(maps.Keys(table)) {
		d := table[name]
		l.whole(what, name, d.Title.String(), d.Range)
		l.one(what, name, "text", d.Title.String(), d.Title.String(), d.Range)
		l.one(what, name, "side", d.Side.String(), d.Side.String(), d.Range)
	}
}

func (l *factList) quantity(what, name, aspect string, q *dsl.Qty) {
	if q == nil {
		return
	}
	if v, err := q.Quantity(); err == nil {
		l.one(what, name, aspect, exactText(v.SI()), q.Text, q.Range)
	}
}

func (l *factList) circumstance(what string, v *value) {
	l.whole(what, v.name, v.title, v.src)
	l.one(what, v.name, "type", v.typeMeaning(), v.reads(), v.src)
	l.one(what, v.name, "ask", v.ask, v.ask, v.src)
	if v.likely != nil {
		l.one(what, v.name, "likely", exactText(v.likely[0])+" "+exactText(v.likely[1]), l.b.text(v.src), v.src)
	}
	for _, s := range v.sets {
		variant, in := "", ""
		if k := s.layer.variant; k != nil {
			variant, in = meaning(k.when), " (units of variant "+k.name+")"
		}
		l.list = append(l.list, fact{what: what, name: v.name, aspect: "value", hints: []string{variant + s.source.meaning(), variant},
			meaning: fmt.Sprint(exactText(s.value.lo), exactText(s.value.hi), chosen(v.typ.words, s.value.mask, false), s.value.text, variant, s.source.meaning()), printed: s.value.shown + in, at: s.src})
	}
}

// rules lists what a kind or a family decides.
func (l *factList) rules() {
	l.decisions()
	for _, o := range l.m.release {
		l.each("release", o.name(), "", []string{o.name()}, o.src)
	}
	l.one("polarity", "polarity", "", l.m.polarity, l.m.polarity, dsl.Range{})
}

// decisions lists what a shop can decide too.
func (l *factList) decisions() {
	if l.m.rule != "" {
		l.one("rule", "decide", "", exactText(l.m.guard), l.m.rule, dsl.Range{})
	}
	for _, part := range l.m.renew {
		l.each("renew", part, "", []string{part}, dsl.Range{})
	}
}
