package eval

import (
	"cmp"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// What a person at the bench needs to make a test and to say what unit it is: everything to read out before a reading is taken.

// A Card is one test as it is made on this unit: what to heed, what to do, what to write down. It is plain data.
type Card struct {
	Test       string   // as a record names it
	Title      string   // in words
	Cautions   []string // to read before anything else
	Stage      string   // how far the unit is taken apart, in words
	Minutes    float64  // at the bench, 0 if the sheet does not say
	Needs      []string // what other tests must have shown, in the words of the sheet
	Steps      []string
	Across     string // terminals in words, positive prod first
	Lifted     []string
	Run        string // longest time under power, and the rest after it
	Conditions []Blank
	Readings   []Blank
	Applies    bool // false: not meant for this unit
	Done       bool // something of it was read that counts
	Skipped    string
}

// Cards returns the tests of the unit and of what it includes, in the order of the sheet. Nothing need have been read: the verdict of a job that was just
// opened has the cards of all its tests.
func (p PassVerdict) Cards() []Card {
	p = p.there()
	x := p.explainer()
	var list []Card
	for _, t := range p.v.program.order {
		list = append(list, x.card(&p.v.program.tests[t]))
	}
	return list
}

func (x *explainer) card(bt *boundTest) Card {
	m, t := x.v.program.units[bt.unit].m, bt.t
	c := Card{
		Test: x.name(bt), Title: t.title, Cautions: cautions(m, t), Minutes: t.takes.SI() / 60, Steps: slices.Clone(t.steps), Across: bt.across, Lifted: slices.Clone(t.lifted), Run: t.run(),
		Applies: bt.applies != canFalse, Done: x.touched(bt), Skipped: x.untested(bt).Reason,
	}
	if s := m.stages[t.stage]; s != nil {
		c.Stage = s.Title.String()
	}
	wants := map[*value]string{}
	for _, n := range t.needs {
		switch {
		case n.gate != nil:
			c.Needs = append(c.Needs, n.text)
		case n.pred != nil:
			wants[n.cond] = x.inNumbers(bt.unit, strings.TrimSpace(strings.TrimPrefix(n.text, n.cond.name)))
		}
	}
	var optional []Blank
	for _, in := range bt.inputs {
		if in.pass != "" {
			continue
		}
		q := blankOf(in.v)
		if in.v.kind == readingValue {
			q.Positions = slices.Clone(in.places)
			c.Readings = append(c.Readings, q)
			continue
		}
		q.Wants = wants[in.v]
		q.List = slices.ContainsFunc(t.values, func(r *value) bool { return r.at == in.v })
		if q.Needed = q.List || slices.ContainsFunc(t.needs, func(n *need) bool { return n.cond == in.v }); q.Needed {
			c.Conditions = append(c.Conditions, q)
		} else {
			optional = append(optional, q)
		}
	}
	c.Conditions = append(c.Conditions, optional...)
	return c
}

var namePattern = regexp.MustCompile(`[A-Za-z_][A-Za-z0-9_]*`)

// inNumbers puts the values of attributes in place of their names, as far as they are known whatever the variant and the day.
func (x *explainer) inNumbers(unit int, text string) string {
	u := x.v.program.units[unit]
	return namePattern.ReplaceAllStringFunc(text, func(name string) string {
		a := u.m.attributes[name]
		if a == nil {
			return name
		}
		if k, found := x.v.job.cfg.sets[u.name][name]; found {
			return k.shown
		}
		if len(a.sets) == 0 || slices.ContainsFunc(a.sets, func(s setting) bool { return s.layer.variant != nil || s.source != nil }) {
			return name
		}
		return a.sets[0].value.shown
	})
}

// run says how long a test may run under power.
func (t *test) run() string {
	if t.runMost.SI() <= 0 {
		return ""
	}
	text := "at most " + t.runMost.String()
	if t.runRest.SI() > 0 {
		text += ", rest " + t.runRest.String()
	}
	return text
}

// A Name is a name of the sheet with its title in words.
type Name struct{ Name, Title string }

// A Remedy is what can be done to the unit, with the tests to repeat after it.
type Remedy struct {
	Name, Title string
	Retest      []string // tests as a record names them
}

// Remedies lists what can be done to the unit and to what it includes: those of the unit first, each sorted by name.
func (j *Job) Remedies() []Remedy {
	list := remediesOf(j.m, "")
	for _, inc := range j.m.includes {
		list = append(list, remediesOf(j.model(inc.as), inc.as)...)
	}
	return list
}

func remediesOf(m *model, unit string) []Remedy {
	var list []Remedy
	full := func(unit, name string) string { return strings.TrimPrefix(unit+"."+name, ".") }
	for _, name := range slices.Sorted(maps.Keys(m.remedies)) {
		r := Remedy{Name: full(unit, name), Title: m.remedies[name].title}
		for _, ref := range m.remedies[name].retest {
			if test := full(cmp.Or(ref.unit, unit), ref.test); !slices.Contains(r.Retest, test) {
				r.Retest = append(r.Retest, test)
			}
		}
		list = append(list, r)
	}
	return list
}

// Causes lists the root causes that a record can clear, sorted by name.
func (j *Job) Causes() []Name {
	var list []Name
	for _, name := range slices.Sorted(maps.Keys(j.m.causes)) {
		list = append(list, Name{name, j.m.causes[name].title})
	}
	return list
}

// FamilyTitle returns the title of a family in words, empty if there is no such family.
func (b *Bench) FamilyTitle(name string) string {
	if m := b.families[name]; m != nil {
		return m.title
	}
	return ""
}

// An Inclusion is a unit that belongs to the job, such as the battery, and which families it can be of.
type Inclusion struct {
	Unit     string
	Kind     string // title of its kind
	Families []Name // sorted by name
	Family   string // that was said, empty while it is not known
}

// Inclusions lists the included units in the order of the sheet.
func (j *Job) Inclusions() []Inclusion {
	var list []Inclusion
	for _, inc := range j.m.includes {
		in := Inclusion{Unit: inc.as, Kind: inc.kind.title}
		for _, name := range j.bench.Families() {
			if slices.Contains(j.bench.families[name].chain, "kind "+inc.kind.name) {
				in.Families = append(in.Families, Name{name, j.bench.families[name].title})
			}
		}
		if fam := j.cfg.included[inc.as]; fam != nil {
			in.Family = fam.name
		}
		list = append(list, in)
	}
	return list
}

// Unknown lists the attributes of the unit that neither its sheet nor the job states, in the order of the sheet. Where a limit or a variant depends on
// one of them, several possibilities stay open until it is set.
func (j *Job) Unknown() []Blank {
	var open []*value
	for _, a := range j.m.attributes {
		stated := slices.ContainsFunc(a.sets, func(s setting) bool { return s.layer.variant == nil })
		if _, set := j.cfg.sets[""][a.name]; !stated && !set {
			open = append(open, a)
		}
	}
	slices.SortFunc(open, func(a, b *value) int {
		return cmp.Or(cmp.Compare(a.src.Pos.Filename, b.src.Pos.Filename), cmp.Compare(a.src.Pos.Offset, b.src.Pos.Offset))
	})
	var list []Blank
	for _, a := range open {
		list = append(list, blankOf(a))
	}
	return list
}
