package eval

import (
	"math"
	"regexp"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// What a sheet says that a trial can try, and what of it a verdict reached.

// An AimKind is a sort of thing that a trial can try.
type AimKind string

// What a trial can try.
const (
	OutcomeAim AimKind = "outcome" // a check gives the outcome Word
	EdgeAim    AimKind = "edge"    // a value lies at an end of a limit or a cut of a grade, or next to it where the outcome changes
	FaultAim   AimKind = "fault"   // a fault is shown, or ruled out
	VariantAim AimKind = "variant" // a unit is of this variant, or of none
)

// Words of aims.
const (
	AimAt       = "at"        // exactly at the edge
	AimBeyond   = "beyond"    // on the other side of the edge, by one step of its last digit, or of that of the meter, or less
	AimShown    = "shown"     // the fault is found
	AimRuledOut = "ruled out" // the fault is cleared
	AimHolds    = "holds"     // the unit is of the variant
	AimNone     = "none"      // the unit is of no variant
)

// An Aim is one thing that a family says and a trial can try. Aims are comparable: those of a family and those that a verdict reached are equal
// where they mean the same.
type Aim struct {
	Kind  AimKind
	Name  string         // the check, the fault or the variant; a check of a list is one for all positions, unless its limit is for one
	Word  string         // the outcome, or one of the words of aims
	Edge  units.Quantity // of an edge
	Next  units.Quantity // of one to be passed: the edge and one step of the meter's last digit, else of its own or a smaller one
	Along string         // of an edge of a limit along a condition: the condition
	Where units.Quantity // and its value
	Place dsl.Range      // where the sheet says so: the limit, the check, the fault, the variant

	side edgeSide
}

// edgeSide tells the edges of one limit apart.
type edgeSide uint8

const (
	lowEdge edgeSide = iota
	highEdge
	newLowEdge
	newHighEdge
	cutEdge
)

// edge is an end of a limit or a cut of a grade with its numbers in SI base units.
type edge struct {
	aim    Aim
	value  float64
	worked bool     // worked out from other numbers
	beyond float64  // sign of the side where the outcome is another than at the edge
	step   float64  // of the last digit printed, 0 if unknown
	next   float64  // step to the number that is tried next to it
	along  *float64 // of a row: where it lies
	cond   *value
}

// Aims lists what the sheets say of a family that a trial can try, in sheet order: outcomes of checks and the edges of their limits, faults, and
// variants. What cannot be for the family is left out: tests that are not meant for it, limits that another replaces, faults that it cannot
// have. So are included units, which have trials of their own, the edges of alike limits, and edges that depend on readings.
func (b *Bench) Aims(family string, options ...Option) ([]Aim, error) {
	j, err := b.Open(family, options...)
	if err != nil {
		return nil, err
	}
	cfg := j.cfg
	cfg.date = j.m.latest()
	p, err := b.programs.get(&cfg)
	if err != nil {
		return nil, err
	}
	a := &aimer{b: b, s: statics{cfg: &cfg, units: p.units}}
	var aims []Aim
	for _, t := range j.m.tests {
		if t.applies != nil && a.s.eval(0, t.applies).bits == canFalse {
			continue
		}
		for _, c := range t.checks {
			limits := a.alive(c)
			for _, word := range a.words(c, limits) {
				aims = append(aims, a.outcome(c, word))
			}
			for _, e := range a.edges(c, limits) {
				aims = append(aims, e.aims()...)
			}
		}
	}
	aims = append(aims, faultAims(p)...)
	return append(aims, variantAims(p)...), nil
}

// latest is the day on which the last of the editions that the model names comes into force, 0 if none has a day.
func (m *model) latest() day {
	last := day(0)
	see := func(s *source) {
		if s != nil {
			last = max(last, s.from)
		}
	}
	for _, a := range m.attributes {
		for _, set := range a.sets {
			see(set.source)
		}
	}
	for _, t := range m.tests {
		for _, c := range t.checks {
			for _, l := range c.limits {
				see(l.source)
			}
		}
	}
	return last
}

// aimer works out aims of a model with what is known of the unit.
type aimer struct {
	b *Bench
	s statics
}

// alive lists the limits of a check that can count for the family: those that hold for some unit, and that no higher one replaces for every unit.
// Editions of one limit are all alive, whatever the day.
func (a *aimer) alive(c *check) []*limit {
	var list []*limit
	for i, l := range c.limits {
		if l.declares || l.when != nil && a.s.eval(0, l.when).bits == canFalse || l.layer.variant != nil && a.s.eval(0, l.layer.variant.when).bits == canFalse {
			continue
		}
		replaced := slices.ContainsFunc(c.limits[:i], func(h *limit) bool {
			return !h.declares && h.layer.rank > l.layer.rank && h.index == nil && h.layer.variant == nil && (h.when == nil || a.s.eval(0, h.when).bits == canTrue)
		})
		if !replaced {
			list = append(list, l)
		}
	}
	return list
}

// words lists the outcomes that a check can have under its limits.
func (a *aimer) words(c *check, limits []*limit) []string {
	if c.kind == infoCheck || c.kind != gradeCheck && c.kind != patternCheck && len(limits) == 0 && !c.steady && !c.rising {
		return nil
	}
	has := func(holds func(*limit) bool) bool { return slices.ContainsFunc(limits, holds) }
	var words []string
	for _, o := range c.outcomes {
		can := true
		switch {
		case c.kind == wordCheck && o.word != "good":
			i := slices.Index(c.val.typ.words, o.word)
			can = has(func(l *limit) bool { return l.words&(1<<i) == 0 })
		case c.kind == alikeCheck && (o.word == "one_low" || o.word == "one_high"):
			can = !pairOf(c.val.typ.axes) // of two, none is the odd one
		case c.kind != limitCheck:
		case o.word == "low":
			can = has(func(l *limit) bool { return l.low != nil || l.along.bounds(false) })
		case o.word == "high":
			can = has(func(l *limit) bool { return l.high != nil || l.along.bounds(true) })
		case o.word == "worn":
			can = has(func(l *limit) bool { return l.newLow != nil || l.newHigh != nil })
		}
		if can {
			words = append(words, o.word)
		}
	}
	return words
}

// pairOf tells whether a list has two members, as far as the sheet says it.
func pairOf(axes []*axis) bool {
	n := 1
	for _, a := range axes {
		if a.to != nil {
			return false
		}
		n *= len(a.words)
	}
	return n == 2
}

func (a *aimer) outcome(c *check, word string) Aim {
	aim := Aim{Kind: OutcomeAim, Name: c.label(), Word: word, Place: c.src}
	for _, r := range c.rows {
		if c.outcomes[r.outcome].word == word {
			aim.Place = r.src
			break
		}
	}
	return aim
}

// edges lists the ends of limits and the cuts of a grade, as far as they are known before any reading.
func (a *aimer) edges(c *check, limits []*limit) []edge {
	var list []edge
	if c.kind == gradeCheck {
		for _, r := range c.rungs {
			if r.cut == nil {
				continue
			}
			sign := -1.0
			if r.upTo {
				sign = 1
			}
			list = a.addEdge(list, c, c.src, cutEdge, r.cut, sign)
		}
		return list
	}
	if c.kind != limitCheck {
		return nil
	}
	for _, l := range limits {
		if l.along != nil {
			list = append(list, a.curveEdges(c, l)...)
			continue
		}
		from := len(list)
		for _, x := range []struct {
			b    *bound
			side edgeSide
			sign float64
		}{{l.low, lowEdge, -1}, {l.high, highEdge, 1}, {l.newLow, newLowEdge, -1}, {l.newHigh, newHighEdge, 1}} {
			if x.b == nil {
				continue
			}
			if x.b.open {
				x.sign = -x.sign
			}
			list = a.addEdge(list, c, l.src, x.side, x.b.x, x.sign)
		}
		for i := from; l.index != nil && i < len(list); i++ {
			list[i].aim.Name += "[" + joinComma(l.index) + "]"
		}
	}
	return list
}

// addEdge adds an edge if its number is known.
func (a *aimer) addEdge(list []edge, c *check, at dsl.Range, side edgeSide, x *expr, sign float64) []edge {
	v, ok := x.constant()
	if !ok {
		if !x.fixed {
			return list
		}
		r := a.s.eval(0, x)
		if r.lo != r.hi || r.flags&regMissing != 0 {
			return list
		}
		v = r.lo
	}
	e := edge{value: v, beyond: sign}
	e.aim = Aim{Kind: EdgeAim, Name: c.label(), Place: at, side: side}
	e.aim.Edge, e.step = printedAs(v, c.val.displayUnit(), a.b.text(x.src))
	e.worked = !ok || e.aim.Edge.SI() != v
	e.next = stepFrom(e.aim.Edge, v, e.step, c.val)
	return append(list, e)
}

// curveEdges lists the ends of the limit at each of its rows.
func (a *aimer) curveEdges(c *check, l *limit) []edge {
	var list []edge
	for i := range l.along.rows {
		r := &l.along.rows[i]
		for _, x := range []struct {
			v    *float64
			open bool
			side edgeSide
			sign float64
		}{{r.low, r.lowOpen, lowEdge, -1}, {r.high, r.highOpen, highEdge, 1}} {
			if x.v == nil {
				continue
			}
			if x.open {
				x.sign = -x.sign
			}
			e := edge{value: *x.v, beyond: x.sign, along: &r.at, cond: l.along.cond}
			e.aim = Aim{Kind: EdgeAim, Name: c.label(), Place: l.src, side: x.side}
			e.aim.Along, e.aim.Where = l.along.cond.name, plain(r.at, l.along.cond.displayUnit())
			e.aim.Edge, e.step = printedAs(*x.v, c.val.displayUnit(), r.printed)
			e.next = stepFrom(e.aim.Edge, *x.v, e.step, c.val)
			list = append(list, e)
		}
	}
	return list
}

// plain gives a number of the sheet without what rounding added to it: 0 °F, not 1.4e-14 °F.
func plain(si float64, unit units.Unit) units.Quantity {
	q := units.FromSI(si, unit)
	return units.New(math.Round(q.Value()*1e9)/1e9, unit)
}

var printedNumber = regexp.MustCompile(`\d+(?:\.(\d+))?`)

// printedAs gives a number of the sheet as it is printed there, and the size of its last digit, 0 if it is not known.
func printedAs(si float64, unit units.Unit, text string) (units.Quantity, float64) {
	text, _, _ = strings.Cut(text, "(") // the same in another unit
	for _, s := range []string{text, text + " " + unit.String()} {
		if q, err := units.Parse(s); err == nil && q.SI() == si && q.Unit().Dimension() == unit.Dimension() {
			if _, ok := q.Decimals(); !ok {
				return q, 0 // the step of a fraction is too wide to lie next to it
			}
			step, _ := q.Resolution()
			return q, step.SI()
		}
	}
	digits := -1
	for _, n := range printedNumber.FindAllStringSubmatch(text, -1) {
		digits = max(digits, len(n[1]))
	}
	q := plain(si, unit)
	if digits < 0 {
		return q, 0
	}
	step := units.New(math.Pow10(-digits), differenceUnit(unit))
	return q, step.SI()
}

// stepFrom is the step from an edge to the number that is tried next to it, in SI units: that of the meter's last digit, else that of the last digit
// printed. Where this one is more than a twentieth of the edge, as of 1 MΩ or 5 V, it would lead far off, and the power of ten below a hundredth of
// the edge takes its place.
func stepFrom(edge units.Quantity, si, printed float64, v *value) float64 {
	if printed == 0 {
		return 0
	}
	size := math.Abs(edge.Value())
	in := func(value float64) float64 { return units.New(value, differenceUnit(edge.Unit())).SI() }
	if v.meter != nil {
		if digit := v.meter.accuracy.rangeOf(si).digit; digit > in(size/1e4) { // a finer one is that of a lower range
			return digit
		}
	}
	if size == 0 || edge.Dimension().Kind() == units.Count || printed <= in(size/20)*(1+1e-9) {
		return printed
	}
	return in(math.Pow10(int(math.Floor(math.Log10(size/100) + 1e-9))))
}

// aims are the edge itself, and what lies next to it if the size of a step is known.
func (e edge) aims() []Aim {
	at, beyond := e.aim, e.aim
	at.Word, beyond.Word = AimAt, AimBeyond
	if e.step == 0 {
		return []Aim{at}
	}
	next := units.FromSI(e.value+math.Copysign(e.next, e.beyond), at.Edge.Unit())
	digits, _ := at.Edge.Decimals()
	digits = max(digits, int(math.Ceil(-math.Log10(math.Abs(next.Value()-at.Edge.Value()))-1e-6)), 0)
	beyond.Next = next.Round(digits)
	return []Aim{at, beyond}
}

// place tells where a value lies: at the edge, next to it on the side of the other outcome, or neither. Of a computed value nobody can ask that it
// be the edge to the last bit.
func (e edge) place(v float64, computed bool) string {
	d := (v - e.value) * e.beyond
	switch {
	case v == e.value, (computed || e.worked) && math.Abs(d) <= rounding*math.Abs(e.value):
		return AimAt
	case d > 0 && d <= max(e.step, e.next)*(1+1e-9):
		return AimBeyond
	}
	return ""
}

// faultAims are for each fault of the unit itself, whatever its position, that it is shown, and that it is ruled out if anything always shows it.
func faultAims(p *program) []Aim {
	var aims []Aim
	for i, f := range p.faults {
		if f.unit != 0 {
			continue
		}
		for _, word := range []string{AimShown, AimRuledOut} {
			aim := Aim{Kind: FaultAim, Name: f.f.name, Word: word, Place: f.f.src}
			always := slices.ContainsFunc(f.f.shows, func(s *show) bool { return s.strength.always })
			if word == AimRuledOut && !always || i > 0 && slices.Contains(aims, aim) {
				continue
			}
			aims = append(aims, aim)
		}
	}
	return aims
}

func variantAims(p *program) []Aim {
	var aims []Aim
	for _, v := range p.variants {
		if v.holds != canFalse {
			aims = append(aims, Aim{Kind: VariantAim, Name: v.v.name, Word: AimHolds, Place: v.v.src})
		}
	}
	if len(aims) > 0 {
		aims = append(aims, Aim{Kind: VariantAim, Word: AimNone})
	}
	return aims
}

// A Reach is an aim that a verdict reached. Expected tells that the trial says so itself: its expectation allows this one outcome or status and no
// other. A variant needs no expectation.
type Reach struct {
	Aim
	Expected bool
}

// Reached lists the aims that the last pass of the verdict of a trial reached, in sheet order, each once. The trial should have got what it
// expects: see [Verdict.Unmet].
func (v *Verdict) Reached(r *Record) []Reach {
	cfg := v.job.cfg
	cfg.date = v.date
	a := &aimer{b: v.job.bench, s: statics{cfg: &cfg, units: v.program.units}}
	p := v.Last()
	var list []Reach
	add := func(aim Aim, expected bool) {
		if i := slices.IndexFunc(list, func(o Reach) bool { return o.Aim == aim }); i >= 0 {
			list[i].Expected = list[i].Expected || expected
			return
		}
		list = append(list, Reach{aim, expected})
	}
	for c := range p.Checks() {
		k, s := c.bound(), c.state()
		if v.program.tests[k.test].unit != 0 || k.c.kind == infoCheck || s.outcome < 0 || s.result == Information || s.result == NotTested || s.result == NotApplicable {
			continue
		}
		expected := slices.ContainsFunc(r.Expectation, func(e Expectation) bool { return p.pins(e, c) })
		add(a.outcome(k.c, c.Outcome()), expected)
		for _, e := range a.reachedEdges(v, k, s) {
			add(e, expected)
		}
	}
	for _, e := range r.Expectation {
		f, ok := p.Fault(e.Finds)
		if !ok || e.Finds == "" || f.bound().unit != 0 {
			continue
		}
		if word := statusAim(e.Is); word != "" {
			add(Aim{Kind: FaultAim, Name: f.bound().f.name, Word: word, Place: f.bound().f.src}, true)
		}
	}
	none := true
	for _, b := range v.program.variants {
		none = none && b.holds == canFalse
		if b.holds == canTrue {
			add(Aim{Kind: VariantAim, Name: b.v.name, Word: AimHolds, Place: b.v.src}, true)
		}
	}
	if none {
		add(Aim{Kind: VariantAim, Word: AimNone}, true)
	}
	return list
}

// statusAim tells what the statuses that a trial asks for stand for: that the fault is shown, that it is ruled out, or neither.
func statusAim(words []string) string {
	only := func(counts ...string) bool {
		return !slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(counts, w) })
	}
	switch {
	case len(words) == 0:
		return ""
	case only("shown", "suspected"):
		return AimShown
	case only("ruled_out"):
		return AimRuledOut
	}
	return ""
}

// pins tells whether an expectation allows the outcome that a check has, and no other.
func (p PassVerdict) pins(e Expectation, c Check) bool {
	if e.Gives == "" || len(e.Is) != 1 || len(p.unmetCheck(e)) > 0 {
		return false
	}
	if e.Gives != c.Name() {
		if _, exact := p.Check(e.Gives); exact || !strings.HasPrefix(c.Name(), e.Gives+".") {
			return false
		}
	}
	if e.Is[0] == c.Outcome() {
		return true
	}
	same := 0
	for _, r := range c.bound().results {
		if r == c.Result() {
			same++
		}
	}
	return same == 1 && e.Is[0] == strings.ReplaceAll(c.Result().String(), " ", "_")
}

// reachedEdges lists the edges that the value of a check lies at, or next to.
func (a *aimer) reachedEdges(v *Verdict, k *boundCheck, s *checkState) []Aim {
	var limits []*limit
	switch {
	case s.lo != s.hi || s.perf < 0:
		return nil
	case k.c.kind == limitCheck && s.limit >= 0:
		limits = []*limit{k.limits[s.limit].lim}
	case k.c.kind != gradeCheck:
		return nil
	}
	var aims []Aim
	for _, e := range a.edges(k.c, limits) {
		word := ""
		switch {
		case s.newOnly && (e.aim.side == lowEdge || e.aim.side == highEdge):
			continue // it was not compared with
		case k.c.val.typ.table && e.along != nil:
			word = e.placeInTable(v, s.perf, k.c.val)
		case e.along == nil || slices.ContainsFunc(v.read(s.perf, e.cond), e.liesAlong):
			word = e.place(s.lo, k.c.val.kind != readingValue || s.lo != s.raw)
		}
		for _, aim := range e.aims() {
			if aim.Word == word {
				aims = append(aims, aim)
			}
		}
	}
	return aims
}

// liesAlong tells whether a quantity lies where the edge is.
func (e edge) liesAlong(r reg) bool { return r.lo == *e.along && r.hi == *e.along }

// placeInTable tells where the point of a table lies that was read where the edge is.
func (e edge) placeInTable(v *Verdict, perf int32, val *value) string {
	points, along := v.read(perf, val), v.read(perf, e.cond)
	for i := range min(len(points), len(along)) {
		if e.liesAlong(along[i]) && points[i].lo == points[i].hi {
			return e.place(points[i].lo, false)
		}
	}
	return ""
}

// read returns what a performance holds of a reading or a condition; nothing if it is neither.
func (v *Verdict) read(perf int32, of *value) []reg {
	p := v.perfs[perf]
	t := v.program.find(p.unit, p.test)
	if t < 0 || p.program != v.program {
		return nil
	}
	base := 0
	for _, in := range v.program.tests[t].inputs {
		if in.v == of {
			return p.regs[base : base+int(in.n)]
		}
		base += int(in.n)
	}
	return nil
}
