package eval

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/brushgear/brushgear/units"
)

// Explain puts the verdict into words. The same sheets and readings give the same words, byte for byte. Of a verdict that was not judged
// into it has no passes and no unit.
func (v *Verdict) Explain() *Explanation {
	if v == nil || v.program == nil {
		return &Explanation{Schema: Schema}
	}
	j := &v.job
	e := &Explanation{
		Schema: Schema, Family: j.m.name, Unit: j.m.title, Serial: j.cfg.serial, Shop: j.shop, Sheets: j.bench.digest, Date: v.date.String(),
		Facts: v.facts(), Leaning: v.leaning(),
	}
	if r := j.record; r != nil {
		e.Record, e.Complaint, e.Reproduced, e.Earlier = r.Name, r.Complaint, r.Reproduced, slices.Clone(r.Earlier)
	}
	e.Before = v.earlier()
	for _, u := range v.program.units[1:] {
		e.Included = append(e.Included, IncludedUnit{u.name, u.family, u.m.title})
	}
	for i := range v.passes {
		x := PassVerdict{v, i}.explainer()
		e.Passes = append(e.Passes, x.pass())
		if i == len(v.passes)-1 && len(v.program.faults) > 0 {
			e.Passes[i].Next = x.next()
			if s, ok := x.p.Slip(); ok {
				e.Passes[i].Slip = s.String()
			}
		}
	}
	return e
}

// facts lists attributes that were found out at the unit, and variants that apply or may apply.
func (v *Verdict) facts() []string {
	var facts []string
	j := &v.job
	var said []Attribute
	if j.record != nil {
		said = j.record.Attributes
	}
	for _, a := range j.attributes(said) {
		text := fmt.Sprintf("%s %s", spaced(a.Name), a.Value)
		if a.By != "" {
			text += " (" + a.By + ")"
		}
		if said, by := j.contradicted(a.Name); said != "" {
			text += fmt.Sprintf(", where %s says %s", by, said)
		}
		facts = append(facts, text)
	}
	for _, va := range v.program.variants {
		title := va.v.name
		if va.v.title != "" {
			title += ", " + va.v.title
		}
		switch va.holds {
		case canTrue:
			facts = append(facts, "variant "+title)
		case either:
			facts = append(facts, "perhaps variant "+title+": not known")
		}
	}
	for _, q := range v.program.requires {
		if q.holds != canTrue {
			facts = append(facts, q.r.message)
		}
	}
	return facts
}

// contradicted returns what the sheet says of an attribute that was found to be otherwise, and which layer says it.
func (j *Job) contradicted(name string) (said, by string) {
	unit, attr := j.split(name)
	a, found := j.model(unit).attributes[attr], j.cfg.sets[unit][attr]
	if a == nil {
		return "", ""
	}
	for _, s := range a.sets {
		if s.layer.variant == nil {
			if v := s.value; v.lo != found.lo || v.hi != found.hi || v.mask != found.mask || v.text != found.text {
				return v.shown, s.layer.name
			}
			return "", ""
		}
	}
	return "", ""
}

// leaning lists what the sheet says and this edition does not act on, as far as the readings touched it.
func (v *Verdict) leaning() []string {
	var list []string
	for _, l := range v.program.m.leaning {
		if l.test != nil && !slices.ContainsFunc(v.perfs, func(p *performance) bool { return p.test == l.test }) {
			continue
		}
		text := fmt.Sprintf("%s (%s)", l.what, l.src.Pos)
		if !slices.Contains(list, text) {
			list = append(list, text)
		}
	}
	return list
}

type explainer struct {
	v     *Verdict
	p     PassVerdict
	s     *passState
	index int
}

func (p PassVerdict) explainer() *explainer {
	p = p.there()
	return &explainer{v: p.v, p: p, s: p.spelled(), index: p.i}
}

func (x *explainer) pass() PassExplanation {
	out := PassExplanation{Stage: x.s.pass.Stage, By: x.s.pass.By, On: x.s.pass.On, Word: x.p.Unit(), Limits: x.p.Limits()}
	for _, t := range x.v.program.order {
		bt := &x.v.program.tests[t]
		if x.touched(bt) {
			out.Tests = append(out.Tests, x.test(t, bt))
		} else {
			out.NotTested = append(out.NotTested, x.untested(bt))
		}
	}
	if len(x.v.program.faults) > 0 {
		out.Faults, out.AtOdds = x.faults(), x.odds()
		if slices.ContainsFunc(x.s.checks, func(s checkState) bool { return s.spoke }) {
			out.Stories = x.stories()
		}
		out.Remedies, out.Causes, out.Regardless = x.remedies(), x.causes(), x.renewals()
		out.Retests = x.p.Retests()
	}
	for _, w := range x.v.works {
		if w.pass != x.index {
			continue
		}
		r := x.v.job.model(w.unit).remedies[w.remedy]
		text := r.title
		if w.note != "" {
			text += ": " + w.note
		}
		out.Work = append(out.Work, text)
	}
	for _, n := range x.v.notes {
		if n.pass != x.index {
			continue
		}
		text := n.text
		if n.clearedFor != "" {
			text = strings.TrimSuffix("cleared: "+x.v.job.m.causes[n.clearedFor].title+": "+n.text, ": ")
		}
		out.Notes = append(out.Notes, text)
	}
	return out
}

// taken lists the performances of a test up to this pass.
func (x *explainer) taken(bt *boundTest) []*performance {
	var list []*performance
	for _, p := range x.v.perfs {
		if p.test == bt.t && p.unit == x.v.program.units[bt.unit].name && p.pass <= x.index {
			list = append(list, p)
		}
	}
	return list
}

// touched tells whether a test belongs among those carried out: it has a reading that counts, or one of this pass that does not.
func (x *explainer) touched(bt *boundTest) bool {
	if bt.applies == canFalse {
		return false
	}
	for i := bt.checkFrom; i < bt.checkTo; i++ {
		if x.s.checks[i].perf >= 0 {
			return true
		}
	}
	return x.isNew(bt)
}

func (x *explainer) test(index int32, bt *boundTest) TestExplanation {
	m := x.v.program.units[bt.unit].m
	out := TestExplanation{Name: x.name(bt), Title: bt.t.title, Stage: bt.t.stage, Across: bt.across, New: x.isNew(bt), Lifted: slices.Clone(bt.t.lifted), Cautions: cautions(m, bt.t)}
	for _, p := range x.taken(bt) {
		out.Readings = append(out.Readings, x.readings(bt, p)...)
	}
	for i := bt.checkFrom; i < bt.checkTo; i++ {
		if c := x.check(i, bt); c != nil {
			out.Checks = append(out.Checks, *c)
		}
	}
	return out
}

// isNew tells whether something of the test was read in this pass.
func (x *explainer) isNew(bt *boundTest) bool {
	return slices.ContainsFunc(x.taken(bt), func(p *performance) bool { return p.pass == x.index })
}

func (x *explainer) name(bt *boundTest) string {
	if u := x.v.program.units[bt.unit].name; u != "" {
		return u + "." + bt.t.name
	}
	return bt.t.name
}

func cautions(m *model, t *test) []string {
	var list []string
	for _, name := range t.cautions {
		list = append(list, m.cautions[name].Title.String())
	}
	return list
}

// readings lists what was read in one performance, in the order of the sheet.
func (x *explainer) readings(bt *boundTest, p *performance) []ReadingText {
	var out []ReadingText
	for _, v := range bt.t.values {
		t, ok := p.values[v.name]
		if !ok {
			continue
		}
		r := ReadingText{Name: v.name, Value: t.value.String(), At: x.at(bt, p, v), Void: p.void}
		if t.meter != "" {
			r.Meter, r.Note = x.meter(t.meter, p)
		}
		if w := t.was; w != nil {
			r.Was = fmt.Sprintf("%s until amended by %s", w.Value, w.By)
			if w.On != "" {
				r.Was += " on " + w.On
			}
			r.Was += ": " + w.Because
		}
		if p.pass != x.index {
			r.Stage = x.v.job.passes[p.pass].Stage
		}
		if x.v.staleAt(p, x.s.cutoff) {
			r.Note = strings.TrimPrefix(r.Note+"; no longer counts: work since touched it", "; ")
		}
		out = append(out, r)
	}
	return out
}

func (v *Verdict) staleAt(p *performance, cutoff int) bool {
	return slices.ContainsFunc(v.works, func(w work) bool {
		return w.seq > p.first && w.seq <= cutoff && w.unit == p.unit && p.test.renewed[w.remedy]
	})
}

func (x *explainer) meter(name string, p *performance) (text, noted string) {
	m := x.v.job.meters[name]
	text = name
	if m.Number != "" {
		text = m.Number
	}
	due, err := parseDay(m.Due)
	on, err2 := parseDay(x.v.job.passes[p.pass].On)
	if err2 != nil {
		on = x.v.date
	}
	if err == nil && m.Due != "" && on > due {
		noted = fmt.Sprintf("calibration of %s was due on %s", text, m.Due)
	}
	return text, noted
}

// at lists the conditions of a reading that its test uses, those of the pass included.
func (x *explainer) at(bt *boundTest, p *performance, v *value) []string {
	var list []string
	for _, c := range bt.t.used {
		if given, ok := x.v.job.given(p, c); ok {
			list = append(list, spaced(c.name)+" "+given.String())
		}
	}
	for _, name := range slices.Sorted(maps.Keys(p.at)) {
		if !slices.ContainsFunc(bt.t.used, func(c *value) bool { return c.name == name }) {
			list = append(list, spaced(name)+" "+p.at[name].String())
		}
	}
	return list
}

// check explains one check; nil when there is nothing to say of it.
func (x *explainer) check(i int32, bt *boundTest) *CheckExplanation {
	c, s := Check{x.p, i}, &x.s.checks[i]
	b := c.bound()
	if s.perf < 0 && s.cause == noCause {
		return nil
	}
	out := &CheckExplanation{Name: c.Name(), Result: s.result, Outcomes: c.Outcomes()}
	if s.result == Information {
		if b.c.val.kind == readingValue {
			return nil // the reading itself is shown
		}
		out.Outcomes = nil
	}
	perf := x.performance(s)
	digits := x.digits(b, perf)
	if s.perf >= 0 && b.c.val != nil && b.c.val.typ.class == numberClass && s.lo == s.hi {
		x.value(out, c, bt, s, perf, digits)
	} else if perf != nil && b.c.val != nil {
		out.Value = x.unsettled(c, b, s, perf)
	}
	if b.c.kind == patternCheck && s.outcome >= 0 {
		out.Formula = x.row(b, s)
	}
	x.limit(out, c, b, s, digits)
	out.Why, out.Decides = x.why(i, bt, perf)
	if s.cause == causeMeter || s.cause == causeGuard {
		out.Budget = x.budget(c)
	}
	return out
}

// unsettled prints a value that is no single number: a reading as it was taken, a formula by the range that it can have.
func (x *explainer) unsettled(c Check, b *boundCheck, s *checkState, perf *performance) string {
	switch v := perf.values[b.c.val.name].value; {
	case b.c.val.kind == readingValue && !v.at(b.pos).Missing():
		return v.at(b.pos).String()
	case b.c.val.kind == formulaValue && b.c.val.typ.class == numberClass && s.lo < s.hi && !math.IsInf(s.lo, 0) && !math.IsInf(s.hi, 0):
		return significant(s.lo, c.unit(), 3) + " to " + significant(s.hi, c.unit(), 3)
	}
	return ""
}

func (x *explainer) performance(s *checkState) *performance {
	if s.perf < 0 {
		return nil
	}
	return x.v.perfs[s.perf]
}

func (x *explainer) row(b *boundCheck, s *checkState) string {
	for _, r := range b.c.rows {
		if r.outcome == int(s.outcome) && r.text != "" {
			return r.text
		}
	}
	return "none of the other rows"
}

// value prints what was compared, how it was worked out and how it was corrected.
func (x *explainer) value(out *CheckExplanation, c Check, bt *boundTest, s *checkState, perf *performance, digits int) {
	b, unit := c.bound(), c.unit()
	var asRead Value
	if perf != nil && b.c.val.kind == readingValue && b.c.kind != alikeCheck {
		if asRead = perf.values[b.c.val.name].value.at(b.pos); asRead.form == numberForm {
			unit = asRead.low.Unit()
			digits = asRead.digits()
		}
	}
	if out.Value = sided(s.lo, unit, digits, s.low, s.upp); asRead.form == numberForm && asRead.low.SI() == s.lo {
		out.Value = asRead.String()
	}
	if b.c.val.kind == formulaValue && b.c.kind != alikeCheck {
		out.Formula = b.c.val.formulaText
	}
	if variance := s.variance; variance > 0 {
		out.Expanded = "± " + significant(2*math.Sqrt(variance), differenceUnit(unit), 2) + " (k = 2)"
		if s.z < nearLimit && b.c.kind != gradeCheck && b.c.kind != alikeCheck {
			out.Meets = inWords(uncertainty.Conformance(s.lo, math.Sqrt(variance), s.low, s.upp))
		}
	}
	if b.c.kind == alikeCheck {
		out.Formula = "spread by " + alikeName(b.c.limits)
		out.Odd = x.odd(c, bt, perf)
	}
	laws := b.corrections(s)
	if len(laws) == 0 {
		return
	}
	var names []string
	for _, l := range laws {
		bl := &x.v.program.laws[l]
		from := "?"
		if perf != nil {
			if given, ok := x.v.job.given(perf, bl.k.from); ok {
				if given.form == numberForm && given.low.SI() == bl.ref {
					continue // it was taken at the reference
				}
				from = given.String()
			}
		}
		law := bl.k.law.name
		if o := bl.k.law.own; o != nil && o.source != nil {
			law += " (" + o.source.title + ")"
		}
		names = append(names, fmt.Sprintf("%s: %s %s to %s", law, spaced(bl.k.from.name), from, bl.printRef))
	}
	if s.raw != s.lo && len(names) > 0 {
		out.Corrected = fmt.Sprintf("from %s by %s", significant(s.raw, unit, digits), strings.Join(names, ", "))
	}
}

// nearLimit is the distance, in standard uncertainties, from which on the other side of a limit no longer counts.
const nearLimit = 3.5

// inWords puts a probability into words, with the figure.
func inWords(p float64) string {
	word := "almost surely not"
	switch {
	case p >= 0.99:
		word = "almost surely"
	case p >= 0.9:
		word = "very probably"
	case p >= 0.67:
		word = "probably"
	case p >= 0.33:
		word = "perhaps"
	case p >= 0.1:
		word = "probably not"
	case p >= 0.01:
		word = "very probably not"
	}
	percent := math.Round(p * 100)
	switch {
	case percent == 0:
		return word + " (under 1 %)"
	case percent == 100:
		return word + " (over 99 %)"
	}
	return fmt.Sprintf("%s (%.0f %%)", word, percent)
}

// odd names the member of a list of readings that is the odd one, with its reading: the lowest or the highest. Two that a pitch joins are not named.
func (x *explainer) odd(c Check, bt *boundTest, perf *performance) string {
	b, sign := c.bound(), 0.0
	switch c.Outcome() {
	case "one_low":
		sign = -1
	case "one_high":
		sign = 1
	}
	if sign == 0 || b.pitch >= 0 || perf == nil || b.c.val.kind != readingValue {
		return ""
	}
	i := slices.IndexFunc(bt.inputs, func(in input) bool { return in.v == b.c.val && in.pass == "" })
	items := perf.values[b.c.val.name].value.items
	if i < 0 || len(items) == 0 || slices.ContainsFunc(items, func(v Value) bool { return v.form != numberForm }) {
		return ""
	}
	at := 0
	for k := range items {
		if sign*items[k].low.SI() > sign*items[at].low.SI() {
			at = k
		}
	}
	return bt.inputs[i].name(int32(at)) + " " + items[at].String()
}

func alikeName(limits []*limit) string {
	for _, l := range limits {
		if l.alike != nil {
			for name, m := range alikeMeasures {
				if m == l.alike.by {
					return name
				}
			}
		}
	}
	return ""
}

// limit prints the limit that counted, with its source and what it replaced.
func (x *explainer) limit(out *CheckExplanation, c Check, b *boundCheck, s *checkState, digits int) {
	if b.c.kind == gradeCheck {
		out.Limit = LimitText{Text: b.c.gradeText(x.v.job.bench), Place: b.c.src.Pos.String()}
		return
	}
	if s.limit < 0 || int(s.limit) >= len(b.limits) {
		return
	}
	l := b.limits[s.limit].lim
	t := l.inWords()
	if s.newOnly {
		t.Text = l.newText + " (new: the part was renewed)" + strings.TrimPrefix(t.Text, l.printed+", new "+l.newText)
	}
	if l.along != nil || !literal(l) {
		t.Here = boundsText(s, c.unit(), digits)
	}
	for _, other := range b.limits[s.limit+1:] {
		if other.lim.layer.rank < l.layer.rank && other.lim.printed != "" {
			t.Replaced = append(t.Replaced, fmt.Sprintf("%s of %s (%s)", other.lim.printed, other.lim.layer.name, other.lim.src.Pos))
		}
	}
	out.Limit = t
	if m, ok := c.Margin(); ok && b.c.kind != alikeCheck && (s.result != NotValid || s.cause == noCause) {
		out.Margin = marginText(m, out.Value, s)
	}
}

// literal tells whether all bounds of a limit are numbers of the sheet.
func literal(l *limit) bool {
	for _, x := range []*bound{l.low, l.high} {
		if x != nil && x.x.op != opConst {
			return false
		}
	}
	return true
}

func boundsText(s *checkState, unit units.Unit, digits int) string {
	low, high := "", ""
	if s.low > -maxMargin {
		low = significant(s.low, unit, digits+1)
	}
	if s.upp < maxMargin {
		high = significant(s.upp, unit, digits+1)
	}
	switch {
	case low != "" && high != "":
		return low + " to " + high
	case low != "":
		return "at least " + low
	case high != "":
		return "at most " + high
	}
	return ""
}

func marginText(m units.Quantity, value string, s *checkState) string {
	word := "inside"
	if m.SI() < 0 {
		m, word = units.FromSI(-m.SI(), m.Unit()), "outside"
	}
	if m.SI() == 0 {
		return "exactly on the limit"
	}
	return fmt.Sprintf("%s %s", m.Round(decimalsOf(value)+extraDecimals(m, decimalsOf(value))), word)
}

// untested explains why a test was not carried out, with what to heed before it is.
func (x *explainer) untested(bt *boundTest) Untested {
	m := x.v.program.units[bt.unit].m
	u := Untested{Name: x.name(bt), Title: bt.t.title, Cautions: cautions(m, bt.t), Applies: bt.applies != canFalse}
	if !u.Applies {
		u.Reason = "not meant for this unit"
		return u
	}
	if bt.checkFrom < bt.checkTo {
		s := &x.s.checks[bt.checkFrom]
		switch s.cause {
		case causeSkipped:
			u.Reason = x.v.skips[s.arg].text
		case causeStale:
			u.Reason = "work since touched it: repeat it"
		}
	}
	return u
}

// text returns what a compiled sheet says in a range.
func (b *Bench) text(r dsl.Range) string { return (&compiler{sheets: b.sheets}).text(r) }
