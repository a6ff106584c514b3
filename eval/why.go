package eval

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/brushgear/brushgear/units"
)

// Why a check has no plain outcome, and how numbers are printed.

// why gives the reason of a result that is no plain pass or fail, and what would decide it.
func (x *explainer) why(check int32, bt *boundTest, perf *performance) (reason, decides string) {
	b, s := &x.v.program.checks[check], &x.s.checks[check]
	need := func() *need { return bt.needs[s.arg].n }
	switch s.cause {
	case noCause:
		return "", ""
	case causeSkipped:
		return x.v.skips[s.arg].text, ""
	case causeMissing:
		return x.missing(b, bt, perf)
	case causeGateShut:
		return fmt.Sprintf("it needs %s, and that is %s", need().text, x.found(bt, need())), "put that right and repeat the test"
	case causeGateOpen:
		return fmt.Sprintf("it needs %s, and that is not decided", need().text), "test that first"
	case causeOutOfRange:
		return fmt.Sprintf("it needs %s, and it was %s", need().text, x.recorded(perf, need().cond)), "repeat it within that range"
	case causeRangeOpen:
		return fmt.Sprintf("it needs %s, and %s leaves that open", need().text, x.recorded(perf, need().cond)), "record it more exactly"
	case causeApplies:
		return "whether it is meant for this unit is not known: " + x.v.job.bench.text(bt.t.applies.src), x.toSet(bt.t.applies)
	case causeWhichLimit:
		return "which limit counts is not known: " + x.open(b), x.toSet(b.conditions()...)
	case causeOutsideCurve:
		l := b.limits[s.limit].lim.along
		first, last := l.rows[0], l.rows[len(l.rows)-1]
		unit := l.cond.displayUnit()
		return fmt.Sprintf("%s %s lies outside the rows of the limit, %s to %s", spaced(l.cond.name), x.recorded(perf, l.cond),
			trimmed(first.at, unit), trimmed(last.at, unit)), "repeat it within them"
	case causeRefused:
		return x.refused(b, s, perf)
	case causeStraddles:
		if list := x.assumed(bt, perf); list != "" {
			return list + " was not recorded, and over the range that is likely the reading can lie on either side", "record " + list
		}
		return "the reading can lie on either side", "read it more closely"
	case causeUnbounded:
		if scale := x.exceeded(bt, perf); scale != "" {
			return "it is beyond the full scale of its meter, " + scale + ": misread, or another meter was used", "repeat it, and name the meter"
		}
		return "OL says only that it is beyond the meter, whose full scale is not stated", "name the meter, or write > and its full scale"
	case causeDisagree:
		return "repeated readings disagree", "repeat it, and void the one that was wrong"
	case causeSpoiled:
		return fmt.Sprintf("it was made after %q, which spoils it", x.v.perfs[s.arg].test.title), "put right what was spoiled, note the work, and repeat it"
	case causeStale:
		return "work since touched it", "repeat it"
	case causeNoEdition:
		return "no edition of its limit is in force on " + x.v.date.String(), "give the sheet an edition for that day"
	case causeMeter:
		return x.meterLimit(b, s), x.better(Check{x.p, check})
	case causeGuard:
		return fmt.Sprintf("it is only %s from the other side of the limit, and the rule (%s) asks for %s", uncertainties(s.z), x.v.program.m.rule,
			strconv.FormatFloat(x.v.program.guard, 'g', 3, 64)), x.better(Check{x.p, check})
	case causeListLength:
		return "how many positions the list has is not known", "set it"
	}
	return "", ""
}

// meterLimit says that the meter cannot tell the sides of this limit apart.
func (x *explainer) meterLimit(b *boundCheck, s *checkState) string {
	unit := differenceUnit(b.c.val.displayUnit())
	return fmt.Sprintf("the meter is too coarse: its reading is good to ± %s (k = 2), and the limit spans %s",
		significant(2*math.Sqrt(s.variance), unit, 2), significant(s.upp-s.low, unit, 3))
}

// better says what to measure better: where several readings are behind a check, the one with the largest share of its uncertainty, or all those
// of the meter that has it.
func (x *explainer) better(c Check) string {
	const text = "measure it with a better meter"
	list := c.Budget()
	if len(list) < 2 {
		return text
	}
	shares, readings := map[string]float64{}, map[string][]string{}
	from := func(k Contribution) string {
		if k.Meter != "" {
			return k.Meter
		}
		return k.Reading
	}
	most := from(list[0])
	for _, k := range list {
		source := from(k)
		shares[source] += k.Share
		readings[source] = append(readings[source], spaced(k.Reading))
		if shares[source] > shares[most]+1e-9 {
			most = source
		}
	}
	if len(shares) == 1 {
		return text
	}
	whose := strings.Join(readings[most], " and ")
	if spaced(most) != whose {
		whose += " (" + spaced(most) + ")"
	}
	part := "most"
	if shares[most] <= 0.5 {
		part = "the largest part"
	}
	return fmt.Sprintf("%s; %s of the uncertainty (%.0f %%) comes from %s", text, part, 100*shares[most], whose)
}

// uncertainties puts a distance into words.
func uncertainties(z float64) string {
	return strconv.FormatFloat(z, 'f', 1, 64) + " standard uncertainties"
}

// missing names the readings and conditions that were not given: of the readings the one that is judged, unless it was given.
func (x *explainer) missing(b *boundCheck, bt *boundTest, perf *performance) (reason, decides string) {
	own := b.c.val != nil && b.c.val.kind == readingValue
	readings, conditions := x.ungiven(bt, perf, func(v *value) (counts bool, pos int) { return !own || v == b.c.val, b.pos })
	if own && len(readings) == 0 {
		readings, conditions = x.ungiven(bt, perf, func(*value) (bool, int) { return true, -1 })
	}
	switch {
	case len(conditions) > 0:
		list := strings.Join(conditions, ", ")
		return list + plural(len(conditions), " was not recorded", " were not recorded"), "record " + list
	case len(readings) > 0:
		list := strings.Join(readings, ", ")
		return list + plural(len(readings), " was not read", " were not read"), "read " + list
	}
	return "the readings leave it open", "read it more closely"
}

// ungiven lists the readings and conditions of a performance that were not given. counts tells which readings matter, and which member of them; -1 for all.
func (x *explainer) ungiven(bt *boundTest, perf *performance, counts func(*value) (bool, int)) (readings, conditions []string) {
	if perf == nil {
		return nil, nil
	}
	for _, in := range bt.inputs {
		matters, pos := counts(in.v)
		from := x.v.job.performanceOf(perf, in.pass)
		ok := from != nil
		if ok {
			_, ok = x.v.job.given(from, in.v)
		}
		switch {
		case in.v.kind == readingValue && !matters:
		case in.pass != "" && !ok:
			readings = append(readings, spaced(in.v.name)+" "+in.pass)
		case in.pass != "":
		case ok:
			readings = append(readings, x.holes(perf, &in, pos)...)
		case in.v.kind == readingValue && pos >= 0 && in.n > 1:
			readings = append(readings, in.name(int32(pos)))
		case in.v.kind == readingValue:
			readings = append(readings, in.v.name)
		case in.v.likely == nil:
			conditions = append(conditions, spaced(in.v.name))
		}
	}
	return readings, conditions
}

// assumed names the conditions of a performance that were not recorded and stand at their likely range.
func (x *explainer) assumed(bt *boundTest, perf *performance) string {
	var list []string
	for _, in := range bt.inputs {
		if perf == nil || in.v.likely == nil {
			continue
		}
		if _, ok := x.v.job.given(perf, in.v); !ok {
			list = append(list, spaced(in.v.name))
		}
	}
	return strings.Join(list, ", ")
}

// mostHoles is how many missing members of a list are named; more are counted.
const mostHoles = 3

// holes names the members of a list that are missing, or the one at a position.
func (x *explainer) holes(perf *performance, in *input, pos int) []string {
	t := perf.values[in.v.name].value
	if in.v.kind != readingValue || t.form != listForm {
		return nil
	}
	var list []string
	for i, it := range t.items {
		if it.Missing() && (pos < 0 || pos == i) {
			list = append(list, in.name(int32(i)))
		}
	}
	if len(list) > mostHoles {
		return []string{fmt.Sprintf("%d of %d of %s", len(list), len(t.items), in.v.name)}
	}
	return list
}

// exceeded is the full scale of a meter that a reading of a test is beyond, empty if there is none.
func (x *explainer) exceeded(bt *boundTest, perf *performance) string {
	for _, in := range bt.inputs {
		if perf == nil || in.v.kind == attributeValue {
			continue
		}
		given, ok := x.v.job.given(perf, in.v)
		meter, _ := x.v.job.meterOf(perf, in.v)
		for i := range max(1, len(given.items)) {
			v := given.at(i)
			if number := v.form == numberForm || v.form == rangeForm || v.form == movingForm; ok && number && meter.exceeded(v.low.SI(), v.high.SI()) {
				return significant(meter.high, in.v.displayUnit(), 3)
			}
		}
	}
	return ""
}

func (x *explainer) recorded(perf *performance, v *value) string {
	if v.kind == attributeValue {
		return "otherwise"
	}
	if perf != nil {
		if given, ok := x.v.job.given(perf, v); ok {
			return given.String()
		}
	}
	if v.likely != nil {
		unit := v.displayUnit()
		return fmt.Sprintf("somewhere from %s to %s", significant(v.likely[0], unit, 3), significant(v.likely[1], unit, 3))
	}
	return "not recorded"
}

// found says what outcome a gate has.
func (x *explainer) found(bt *boundTest, n *need) string {
	for i := range bt.needs {
		if bt.needs[i].n != n {
			continue
		}
		for _, o := range x.v.program.ops[bt.from:bt.to] {
			if o.code != codeOutcome || o.dst != bt.needs[i].truth {
				continue
			}
			r := &x.v.program.refs[o.aux]
			for k, c := range r.checks {
				check := Check{x.p, c}
				if s := check.state(); s.set&r.masks[k] == 0 && s.result != NotApplicable {
					return strings.Join(check.Outcomes(), " or ")
				}
			}
		}
	}
	return "otherwise"
}

// open names the conditions that leave open which limit counts.
func (x *explainer) open(b *boundCheck) string {
	var list []string
	for _, l := range b.limits {
		if v := l.lim.layer.variant; v != nil {
			list = append(list, x.v.job.bench.text(v.when.src))
		}
		if l.lim.whenText != "" {
			list = append(list, l.lim.whenText)
		}
	}
	slices.Sort(list)
	return strings.Join(slices.Compact(list), "; ")
}

// conditions are those on which the limits of a check depend.
func (b *boundCheck) conditions() []*expr {
	var list []*expr
	for _, l := range b.limits {
		if v := l.lim.layer.variant; v != nil {
			list = append(list, v.when)
		}
		if l.lim.when != nil {
			list = append(list, l.lim.when)
		}
	}
	return list
}

// toSet says what a record has to say of the unit for these conditions to be decided.
func (x *explainer) toSet(conditions ...*expr) string {
	var list []string
	seen := map[*expr]bool{}
	var walk func(e *expr)
	walk = func(e *expr) {
		if e == nil || seen[e] {
			return
		}
		seen[e] = true
		switch cfg := &x.v.job.cfg; {
		case e.op == opSerial && cfg.serial == "":
			list = append(list, `serial "..."`)
		case e.op == opBuilt && cfg.built == 0:
			list = append(list, "built and the day, as in built 2019-06-01")
		case e.op == opVariant:
			walk(e.variant.when)
		case e.op == opValue && x.v.program.m.attributes[e.val.name] == e.val:
			if _, said := cfg.sets[""][e.val.name]; said {
				break
			}
			if len(e.val.sets) == 0 {
				list = append(list, "set "+e.val.name+" ...")
			}
			for _, s := range e.val.sets {
				if s.layer.variant != nil {
					walk(s.layer.variant.when)
				}
			}
		}
		for _, a := range e.args {
			walk(a)
		}
	}
	for _, e := range conditions {
		walk(e)
	}
	if len(list) == 0 {
		return "find out and set it"
	}
	slices.Sort(list)
	return "find out and write " + strings.Join(slices.Compact(list), " and ")
}

// refused names the correction that was not carried out: one whose condition tells, else one that asks for more than its condition.
func (x *explainer) refused(b *boundCheck, s *checkState, perf *performance) (reason, decides string) {
	var by *boundLaw
	var from Value
	for _, k := range b.corrections(s) {
		l := &x.v.program.laws[k]
		given, ok := x.v.job.given(perf, l.k.from)
		switch {
		case !ok:
		case l.k.law.own != nil || l.arg >= 0:
			if by == nil {
				by, from = l, given
			}
		case !l.holds(given):
			return fmt.Sprintf("%s %s is too far from %s to correct by %s", spaced(l.k.from.name), given, l.printRef, l.k.law.name),
				fmt.Sprintf("repeat at %s %s", spaced(l.k.from.name), l.printRef)
		}
	}
	if by == nil {
		return "it is too far from the conditions of the limit to be corrected", "repeat at those conditions"
	}
	reason = fmt.Sprintf("%s %s is too far from %s to correct by %s", spaced(by.k.from.name), from, by.printRef, by.k.law.name)
	if o := by.k.law.own; o != nil {
		reason = fmt.Sprintf("from %s %s to %s the law %s does not hold (%s)", spaced(by.k.from.name), from, by.printRef, by.k.law.name, o.when)
	}
	return reason, fmt.Sprintf("repeat at %s %s", spaced(by.k.from.name), by.printRef)
}

// holds tells whether a correction by its condition alone is carried out from a given one.
func (l *boundLaw) holds(given Value) bool {
	regs, err := registerOf(l.k.from, given, nil)
	return err == nil && !slices.ContainsFunc(regs, func(r reg) bool {
		return slices.ContainsFunc(ends(r), func(c float64) bool { return !l.k.law.allowed(c, l.ref, 0) })
	})
}

// digits is how many significant digits the readings behind a check support: as many as the coarsest of them has, at least two. A temperature's
// own digits say little of what is corrected by it.
func (x *explainer) digits(b *boundCheck, perf *performance) int {
	n := 7
	if perf == nil || b.c.val == nil {
		return 3
	}
	var walk func(e *expr)
	seen := map[*value]bool{}
	look := func(v *value) {
		if seen[v] {
			return
		}
		seen[v] = true
		if v.typ.class != numberClass || v.kind == conditionValue && v.typ.dim.Kind() == units.Temperature {
			return
		}
		if v.kind == formulaValue {
			walk(v.formula)
			return
		}
		if given, ok := x.v.job.given(perf, v); ok && v.kind != attributeValue {
			n = min(n, given.digits())
		}
	}
	walk = func(e *expr) {
		if e.op == opValue || e.op == opOfPass {
			look(e.val)
		}
		for _, a := range e.args {
			walk(a)
		}
	}
	look(b.c.val)
	if n == 7 {
		return 3
	}
	return max(n, 2)
}

// at returns the member of a list, or the value itself.
func (v Value) at(pos int) Value {
	if v.form == listForm && pos >= 0 && pos < len(v.items) {
		return v.items[pos]
	}
	return v
}

// digits counts the significant digits of a value as written.
func (v Value) digits() int {
	n := 7
	switch v.form {
	case numberForm:
		n = significantDigits(v.low.String())
	case rangeForm, movingForm:
		n = min(significantDigits(v.low.String()), significantDigits(v.high.String()))
	case listForm:
		for _, it := range v.items {
			n = min(n, max(2, it.digits()))
		}
	}
	return max(n, 2)
}

func significantDigits(text string) int {
	n, started := 0, false
	for _, c := range text {
		switch {
		case c == '/' || c == 'e':
			return 4 // fractions are as fine as a rule reads
		case c >= '1' && c <= '9':
			started = true
			n++
		case c == '0' && started:
			n++
		case c == ' ':
			return n
		}
	}
	return n
}

// trimmed prints a value of the sheet without the zeros that nobody wrote.
func trimmed(si float64, unit units.Unit) string {
	text := significant(si, unit, 4)
	number, rest, _ := strings.Cut(text, " ")
	if strings.Contains(number, ".") {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return number + " " + rest
}

// significant prints a value in a unit with that many significant digits.
func significant(si float64, unit units.Unit, digits int) string {
	if math.IsInf(si, 0) || math.IsNaN(si) {
		return "unknown"
	}
	q := units.FromSI(si, unit)
	v := math.Abs(q.Value())
	if v == 0 {
		return q.Round(0).String()
	}
	return q.Round(digits - 1 - int(math.Floor(math.Log10(v)))).String()
}

// sided prints a value with as many digits as it takes to stand on its own side of the bounds.
func sided(si float64, unit units.Unit, digits int, low, high float64) string {
	text := ""
	for n := digits; n <= digits+4; n++ {
		text = significant(si, unit, n)
		q, err := units.Parse(text)
		if err != nil {
			return text
		}
		if (q.SI() < low) == (si < low) && (q.SI() > high) == (si > high) {
			break
		}
	}
	return text
}

// decimalsOf counts the decimals of a printed number.
func decimalsOf(text string) int {
	number, _, _ := strings.Cut(text, " ")
	_, fraction, _ := strings.Cut(number, ".")
	return len(fraction)
}

// extraDecimals is how many more decimals a small margin needs in order not to print as zero.
func extraDecimals(m units.Quantity, decimals int) int {
	for n := range 4 {
		text := strconv.FormatFloat(m.Value(), 'f', decimals+n, 64)
		if strings.Trim(text, "-0.") != "" {
			return n
		}
	}
	return 4
}
