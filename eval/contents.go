package eval

import (
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Contents is what the sheets say of one family or kind, for a person to read: its tests with their cautions, its limits with their sources, its
// faults with what to do about them, and the table of faults and tests. It is plain data, a copy that belongs to the caller.
type Contents struct {
	Unit     string           `json:"unit"`
	Title    string           `json:"title"`
	Layers   []string         `json:"layers"` // what the unit is built on, lowest first: "kind alternator", "family tarnby_90"
	Sheets   string           `json:"sheets"` // digest of the sheets
	Cautions []Caution        `json:"cautions,omitempty"`
	Tests    []ContentsTest   `json:"tests"`
	Laws     []ContentsLaw    `json:"laws,omitempty"`    // that the sheets declare, in the order of their names
	Release  []string         `json:"release,omitempty"` // what has to be good before a unit goes out; empty: all that is meant for it
	Limits   []ContentsLimit  `json:"limits"`
	Faults   []ContentsFault  `json:"faults"`
	Remedies []ContentsRemedy `json:"remedies,omitempty"` // of these faults, in their order
	Causes   []ContentsCause  `json:"causes,omitempty"`   // of these faults, in their order
	Table    *FaultTable      `json:"table"`
}

// A Caution is a warning, with the name under which tests call for it.
type Caution struct {
	Name string `json:"caution"`
	Text string `json:"text"`
}

// A ContentsTest is one test.
type ContentsTest struct {
	Name      string   `json:"test"`
	Title     string   `json:"title"`
	Stage     string   `json:"stage,omitempty"`   // in words
	Minutes   float64  `json:"minutes,omitempty"` // at the bench
	Applies   bool     `json:"applies"`           // false: not meant for this unit
	When      string   `json:"when,omitempty"`    // for which units it is meant
	Needs     []string `json:"needs,omitempty"`
	Across    []string `json:"across,omitempty"`
	Lifted    []string `json:"lifted,omitempty"`
	Run       string   `json:"run,omitempty"` // longest time under power, and the rest after it
	Steps     []string `json:"steps,omitempty"`
	Reads     []string `json:"reads"`
	Formulas  []string `json:"formulas,omitempty"`    // what is worked out from the readings: "lost = battery_volts - volts"
	Corrected []string `json:"corrections,omitempty"` // what is corrected, and how: "current by copper from winding_temp"
	Cautions  []string `json:"cautions,omitempty"`    // by name
}

// A ContentsLaw is a law of correction that the sheets declare themselves.
type ContentsLaw struct {
	Name    string `json:"law"`
	Title   string `json:"title,omitempty"`
	Formula string `json:"formula"` // with what its names stand for
	When    string `json:"when"`    // it is refused elsewhere
	Source  string `json:"source,omitempty"`
}

// A ContentsLimit is one limit, grade or pattern. When several limits of one check stand in the sheets, each is one; which of them counts
// follows from their layers, conditions and dates.
type ContentsLimit struct {
	Check   string    `json:"check"`
	Limit   LimitText `json:"limit"`
	From    string    `json:"from,omitempty"` // days on which its source is in force
	Until   string    `json:"until,omitempty"`
	Variant string    `json:"variant,omitempty"` // for which units of the family
	Rows    []string  `json:"rows,omitempty"`    // of a limit along another quantity, or of a pattern
}

// A ContentsFault is one fault.
type ContentsFault struct {
	Name      string   `json:"fault"`
	Title     string   `json:"title"`
	Positions []string `json:"positions,omitempty"` // names of the positions that it can sit at
	Part      string   `json:"part,omitempty"`      // in words
	Frequency []string `json:"frequency,omitempty"` // with conditions
	Remedy    string   `json:"remedy,omitempty"`    // in words
	OrElse    string   `json:"or_else,omitempty"`
	Causes    []string `json:"causes,omitempty"` // in words
	Leads     []string `json:"leads_to,omitempty"`
	Because   string   `json:"because,omitempty"`
}

// A ContentsRemedy is what is done about faults.
type ContentsRemedy struct {
	Name    string   `json:"remedy"`
	Title   string   `json:"title"`
	Stage   string   `json:"stage,omitempty"`   // in words
	Allowed string   `json:"allowed,omitempty"` // when it can be done
	Needs   []string `json:"needs,omitempty"`
	Retest  []string `json:"retest,omitempty"` // titles of the tests to repeat after it
}

// A ContentsCause is a reason outside of the unit, to be cleared before release.
type ContentsCause struct {
	Name  string `json:"cause"`
	Title string `json:"title"`
	Ask   string `json:"ask,omitempty"`  // the question to put
	Seen  string `json:"seen,omitempty"` // what shows it
}

// Contents tells what the sheets say of a family or kind. It fails if there is none of that name.
func (b *Bench) Contents(unit string) (*Contents, error) {
	k, err := b.knowledgeOf(unit)
	if err != nil {
		return nil, err
	}
	c := &Contents{Unit: k.m.name, Title: k.m.title, Layers: slices.Clone(k.m.chain), Sheets: b.digest, Table: k.table()}
	for _, t := range k.m.tests {
		c.Tests = append(c.Tests, k.contentsTest(t))
		for _, name := range t.cautions {
			if d := k.m.cautions[name]; d != nil && !slices.ContainsFunc(c.Cautions, func(k Caution) bool { return k.Name == name }) {
				c.Cautions = append(c.Cautions, Caution{name, d.Title.String()})
			}
		}
		for _, check := range t.checks {
			c.Limits = append(c.Limits, k.contentsLimits(check)...)
		}
	}
	for _, f := range k.m.faults {
		if k.exists(f) {
			c.Faults = append(c.Faults, k.contentsFault(f))
			k.contentsActions(c, f)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(k.m.laws)) {
		c.Laws = append(c.Laws, k.contentsLaw(k.m.laws[name]))
	}
	for _, o := range k.m.release {
		c.Release = append(c.Release, k.title(o)+" ("+o.name()+")")
	}
	return c, nil
}

func (k *knowledge) contentsTest(t *test) ContentsTest {
	out := ContentsTest{Name: t.name, Title: t.title, Stage: t.stage, Minutes: t.takes.SI() / 60, Applies: k.applies(0, t), Lifted: slices.Clone(t.lifted),
		Steps: slices.Clone(t.steps), Cautions: slices.Clone(t.cautions)}
	if s := k.m.stages[t.stage]; s != nil {
		out.Stage = s.Title.String()
	}
	if t.applies != nil && t.applies.src != (dsl.Range{}) {
		out.When = k.b.text(t.applies.src)
	}
	for _, n := range t.needs {
		out.Needs = append(out.Needs, n.text)
	}
	for _, a := range t.across {
		text := a.plus + " to " + a.minus
		if a.when != nil {
			text += " when " + k.b.text(a.when.src)
		}
		out.Across = append(out.Across, text)
	}
	out.Run = t.run()
	for _, v := range t.values {
		switch v.kind {
		case readingValue:
			out.Reads = append(out.Reads, v.reads())
		case formulaValue:
			out.Formulas = append(out.Formulas, v.name+" = "+v.formulaText)
		}
		for _, l := range v.laws {
			text := strings.TrimPrefix(k.b.text(l.src), "correct ")
			if !slices.Contains(out.Corrected, text) { // it may name several values
				out.Corrected = append(out.Corrected, text)
			}
		}
	}
	return out
}

func (k *knowledge) contentsLaw(l *law) ContentsLaw {
	o := l.own
	named := func(v *value) string {
		if v.unit == (units.Unit{}) {
			return v.name
		}
		return v.name + " in " + v.unit.String()
	}
	out := ContentsLaw{Name: l.name, Title: o.title, When: o.when,
		Formula: named(o.reading) + ", from " + named(o.from) + " to " + o.to.name + ": " + k.b.text(o.formula.src)}
	if o.source != nil {
		out.Source = o.source.title
	}
	return out
}

// contentsActions adds the remedies and causes of a fault that are not there yet.
func (k *knowledge) contentsActions(c *Contents, f *fault) {
	for _, name := range []string{f.remedy, f.orElse} {
		r := k.m.remedies[name]
		if r == nil || slices.ContainsFunc(c.Remedies, func(other ContentsRemedy) bool { return other.Name == name }) {
			continue
		}
		out := ContentsRemedy{Name: name, Title: r.title, Retest: k.m.retests(r, k.title)}
		if s := k.m.stages[r.stage]; s != nil {
			out.Stage = s.Title.String()
		}
		if r.allowed != nil {
			out.Allowed = k.b.text(r.allowed.src)
		}
		for _, n := range r.needs {
			out.Needs = append(out.Needs, n.text)
		}
		c.Remedies = append(c.Remedies, out)
	}
	for _, name := range f.causes {
		cause := k.m.causes[name]
		if cause == nil || slices.ContainsFunc(c.Causes, func(other ContentsCause) bool { return other.Name == name }) {
			continue
		}
		out := ContentsCause{Name: name, Title: cause.title, Ask: cause.ask}
		if cause.seen != nil {
			out.Seen = k.b.text(cause.seen.src)
		}
		c.Causes = append(c.Causes, out)
	}
}

// title is the title of the test that a reference names.
func (k *knowledge) title(o *outcomeRef) string {
	m := k.m
	if i := slices.IndexFunc(m.includes, func(inc *include) bool { return inc.as == o.unit }); i >= 0 {
		m = m.includes[i].kind
	}
	if t := m.testNamed[o.test]; t != nil {
		return t.title
	}
	return o.test
}

// reads says what a reading is: its name, its members, and its unit or words.
func (v *value) reads() string {
	text := spaced(v.name)
	for i, a := range v.typ.axes {
		if i == 0 {
			text += " of"
		}
		text += " " + spaced(a.name)
	}
	if v.at != nil {
		text += " along " + spaced(v.at.name)
	}
	switch {
	case v.typ.class == wordClass:
		text += " (" + strings.Join(v.typ.words, " | ") + ")"
	case v.typ.class == numberClass && v.unit != (units.Unit{}):
		text += " in " + v.unit.String()
	}
	if v.meter != nil {
		text += " with " + spaced(v.meter.name)
	}
	return text
}

// contentsLimits lists the limits of a check that the unit can have, lowest layer first.
func (k *knowledge) contentsLimits(c *check) []ContentsLimit {
	var list []ContentsLimit
	if c.kind == gradeCheck {
		return []ContentsLimit{{Check: c.label(), Limit: LimitText{Text: c.gradeText(k.b), Place: c.src.Pos.String()}}}
	}
	if c.kind == patternCheck {
		out := ContentsLimit{Check: c.label(), Limit: LimitText{Text: "the first that holds", Place: c.src.Pos.String()}}
		for _, r := range c.rows {
			o := c.outcomes[r.outcome]
			text := o.word + ", " + o.result.String()
			if o.word == "good" {
				text = o.word
			}
			if r.when != nil {
				out.Rows = append(out.Rows, text+": "+r.text)
			} else {
				out.Rows = append(out.Rows, text+": otherwise")
			}
		}
		return []ContentsLimit{out}
	}
	if c.steady {
		list = append(list, ContentsLimit{Check: c.label(), Limit: LimitText{Text: "is steady", Place: c.src.Pos.String()}})
	}
	if c.rising {
		list = append(list, ContentsLimit{Check: c.label(), Limit: LimitText{Text: "is rising", Place: c.src.Pos.String()}})
	}
	limits := slices.Clone(c.limits)
	slices.SortStableFunc(limits, func(x, y *limit) int { return int(x.layer.rank - y.layer.rank) })
	for _, l := range limits {
		if l.declares || l.when != nil && l.when.fixed && k.binder.eval(0, l.when).bits == canFalse {
			continue
		}
		out := ContentsLimit{Check: c.label(), Limit: l.inWords()}
		if len(l.index) > 0 {
			out.Check += "[" + joinComma(l.index) + "]"
		}
		if l.source != nil {
			out.From, out.Until = l.source.from.text(), l.source.until.text()
		}
		if v := l.layer.variant; v != nil {
			out.Variant = v.name
			if v.title != "" {
				out.Variant = v.title
			}
		}
		if l.along != nil {
			out.Rows = l.along.rowTexts()
		}
		list = append(list, out)
	}
	return list
}

// rowTexts prints the rows of a limit along another quantity.
func (c *curve) rowTexts() []string {
	var list []string
	for i, r := range c.rows {
		at := units.FromSI(r.at, c.cond.displayUnit()).String()
		switch {
		case i == 0 && c.down:
			at += " and below"
		case i == len(c.rows)-1 && c.up:
			at += " and above"
		}
		list = append(list, at+": "+r.printed)
	}
	return list
}

// text writes a day, and nothing where none is stated.
func (d day) text() string {
	if d == 0 {
		return ""
	}
	return d.String()
}

// inWords puts a limit into words, as the sheet prints it, with its source.
func (l *limit) inWords() LimitText {
	t := LimitText{Text: l.printed, Layer: l.layer.name, Place: l.src.Pos.String()}
	if l.newText != "" {
		t.Text += ", new " + l.newText
	}
	for i, at := range l.at {
		join := ", "
		if i == 0 {
			join = " at "
		}
		t.Text += join + spaced(at.cond.name) + " " + at.text
	}
	if l.whenText != "" {
		t.Text += " when " + l.whenText
	}
	if src := l.source; src != nil {
		t.Source, t.Status = src.title, spaced(src.status)
		if src.edition != "" {
			t.Source += ", edition " + src.edition
		}
	}
	return t
}

// gradeText prints a grade as the sheet does.
func (c *check) gradeText(b *Bench) string {
	var parts []string
	for _, r := range c.rungs {
		text := c.outcomes[r.outcome].word
		if r.cut != nil {
			op := "below"
			if r.upTo {
				op = "to"
			}
			text += " " + op + " " + b.text(r.cut.src)
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, " | ")
}

func (k *knowledge) contentsFault(f *fault) ContentsFault {
	out := ContentsFault{Name: f.name, Title: f.title, Part: f.part, Because: f.because}
	for _, a := range f.axes {
		out.Positions = append(out.Positions, spaced(a.name))
	}
	if p := k.m.parts[f.part]; p != nil {
		out.Part = p.Title.String()
	}
	for _, o := range f.occurs {
		text := o.word
		if o.when != nil {
			text += " when " + k.b.text(o.when.src)
		}
		out.Frequency = append(out.Frequency, text)
	}
	for _, r := range []struct {
		name string
		to   *string
	}{{f.remedy, &out.Remedy}, {f.orElse, &out.OrElse}} {
		if m := k.m.remedies[r.name]; m != nil {
			*r.to = m.title
		}
	}
	for _, name := range f.causes {
		if c := k.m.causes[name]; c != nil {
			out.Causes = append(out.Causes, c.title)
		}
	}
	for _, l := range f.leads {
		if g := k.m.faultNamed[l.fault]; g != nil {
			out.Leads = append(out.Leads, g.title)
		}
	}
	return out
}
