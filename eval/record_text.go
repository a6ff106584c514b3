package eval

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// Records written down: a Record from a Job, and the text of a Record.

// Text writes the record in the sheet language, in its uniform layout, as a file of its own that uses the named files. The same record gives the same
// bytes, and what is read back from them judges alike. Line ends inside of remarks become blanks. The error says what the language has no words for.
func (r *Record) Text(uses ...string) ([]byte, error) {
	w := &recordWriter{}
	w.line("brushgear 1")
	for _, u := range uses {
		w.line("use %s", quoted(u))
	}
	w.line("")
	keyword := "record"
	if r.Trial {
		keyword = "trial"
	}
	w.line("%s %s of %s {", keyword, quoted(r.Name), r.Family)
	w.head(r)
	for i := range r.Passes {
		w.pass(&r.Passes[i])
	}
	for _, e := range r.Expectation {
		what := "gives " + e.Gives
		if e.Gives == "" {
			what = "finds " + e.Finds
		}
		w.line("%s is %s", what, strings.Join(e.Is, " | "))
	}
	w.line("}")
	if w.err != nil {
		return nil, fmt.Errorf("record %q cannot be written in the sheet language: %w", r.Name, w.err)
	}
	text, err := dsl.Format("", []byte(w.b.String()))
	if err != nil {
		return nil, fmt.Errorf("record %q cannot be written in the sheet language: %w", r.Name, err)
	}
	return text, nil
}

// quoted writes a text in double quotes, on one line.
func quoted(text string) string {
	text = strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' }), " ")
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(text) + `"`
}

type recordWriter struct {
	b   strings.Builder
	err error // the first
}

func (w *recordWriter) line(format string, args ...any) {
	fmt.Fprintf(&w.b, format, args...)
	w.b.WriteByte('\n')
}

func (w *recordWriter) fail(format string, args ...any) {
	if w.err == nil {
		w.err = fmt.Errorf(format, args...)
	}
}

// with adds a word and a text, if there is one.
func with(word, text string) string {
	if text == "" {
		return ""
	}
	return " " + word + " " + text
}

func withText(word, text string) string {
	if text == "" {
		return ""
	}
	return strings.TrimRight(" "+word, " ") + " " + quoted(text)
}

func (w *recordWriter) head(r *Record) {
	if r.Shop != "" {
		w.line("shop %s", r.Shop)
	}
	for _, unit := range slices.Sorted(maps.Keys(r.Units)) {
		w.line("unit %s is %s", unit, r.Units[unit])
	}
	if r.Serial != "" {
		w.line("serial %s", quoted(r.Serial))
	}
	if r.DateCode != "" {
		line := "date_code " + quoted(r.DateCode)
		if r.Decade != 0 {
			line += fmt.Sprintf(" decade %d", r.Decade)
		}
		w.line("%s", line)
	}
	if r.Built != "" {
		w.line("built %s", r.Built)
	}
	if r.Complaint != "" || r.Reproduced != "" {
		w.line("complaint %s%s", quoted(r.Complaint), with("is", r.Reproduced))
	}
	if r.Judge != "" {
		w.line("judge %s", r.Judge)
	}
	for _, e := range r.Earlier {
		w.line("earlier %s", quoted(e))
	}
	for _, a := range r.Attributes {
		if strings.Contains(a.Name, ".") {
			w.fail("%s belongs to an included unit: say in its own sheet what it is, or keep the record as JSON", a.Name)
		}
		w.line("set %s %s%s", a.Name, a.Value, withText("by", a.By))
	}
	for _, m := range r.Meters {
		w.line("meter %s is %s%s%s", m.Name, m.Is, withText("number", m.Number), with("due", m.Due))
	}
}

func (w *recordWriter) pass(p *RecordPass) {
	if !strings.HasSuffix(w.b.String(), "{\n") {
		w.line("")
	}
	w.line("pass %s%s%s%s {", p.Stage, withText("by", p.By), with("on", p.On), conditionsText(p.At, p.Via))
	for i := range p.Entries {
		w.entry(&p.Entries[i])
	}
	w.line("}")
}

func (w *recordWriter) entry(e *Entry) {
	switch {
	case e.Taken != "":
		w.taken(e)
	case e.Skip != "":
		w.line("skip %s %s%s", e.Skip, e.Reason, withText("", e.Note))
	case e.Work != "":
		w.line("work %s%s", e.Work, withText("", e.Note))
	case e.Cleared != "":
		w.line("cleared %s%s", e.Cleared, withText("", e.Note))
	default:
		w.line("note %s", quoted(e.Note))
	}
}

// taken writes a reading, or several of one performance by name.
func (w *recordWriter) taken(e *Entry) {
	if err := blankText("void", e.Void); err != nil {
		w.fail("taken %s: %w", e.Taken, err)
	}
	tail := conditionsText(e.At, e.Via) + with("with", e.With) + withText("void", e.Void)
	if a := e.Was; a != nil {
		tail += " was " + a.Value.String() + withText("by", a.By) + with("on", a.On) + withText("because", a.Because)
	}
	if e.Value != nil {
		w.line("taken %s %s%s", e.Taken, *e.Value, tail)
		return
	}
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(e.Values)) {
		parts = append(parts, name+" "+e.Values[name].String())
	}
	w.line("taken %s { %s }%s", e.Taken, strings.Join(parts, ", "), tail)
}

func conditionsText(at map[string]Value, via map[string]string) string {
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(at)) {
		parts = append(parts, name+" "+at[name].String()+with("via", via[name]))
	}
	return with("at", strings.Join(parts, ", "))
}

// Record returns what the job has collected so far as a record: a job loaded from it judges as this one does, if it
// is loaded with the same AtMost. Remarks that only the record had from which the job was loaded, such as the complaint, are kept. Its passes and lists
// are copies.
func (j *Job) Record() *Record {
	r := &Record{Units: map[string]string{}}
	if j.record != nil {
		r = j.record.head()
		r.Units, r.src = map[string]string{}, dsl.Range{}
	}
	r.Family, r.Shop, r.Serial, r.Built, r.Judge = j.m.name, j.shop, j.cfg.serial, j.cfg.built.String(), j.cfg.date.String()
	for unit, fam := range j.cfg.included {
		r.Units[unit] = fam.name
	}
	r.Attributes = j.attributes(r.Attributes)
	for _, name := range slices.Sorted(maps.Keys(j.meters)) {
		r.Meters = append(r.Meters, j.meters[name])
	}
	r.Passes = j.entries()
	return r
}

// attributes lists what was set, those of the record first as it says them.
func (j *Job) attributes(said []Attribute) []Attribute {
	var list []Attribute
	var units []string
	for unit := range j.cfg.sets {
		units = append(units, unit)
	}
	slices.Sort(units)
	told := map[string]bool{}
	for _, a := range said {
		unit, name := j.split(a.Name)
		if k, ok := j.cfg.sets[unit][name]; ok && k.shown == a.Value.String() {
			a.src = dsl.Range{}
			list, told[a.Name] = append(list, a), true
		}
	}
	for _, unit := range units {
		for _, name := range slices.Sorted(maps.Keys(j.cfg.sets[unit])) {
			full := strings.TrimPrefix(unit+"."+name, ".")
			if v, err := ParseValue(j.cfg.sets[unit][name].shown); err == nil && !told[full] {
				list = append(list, Attribute{Name: full, Value: v})
			}
		}
	}
	return list
}

// entries lists what happened in each pass, in order.
func (j *Job) entries() []RecordPass {
	type event struct {
		pass, seq int
		entries   []Entry
	}
	var events []event
	for i, p := range j.perfs {
		var before *performance
		for k := i - 1; k >= 0 && before == nil; k-- {
			if q := j.perfs[k]; q.test == p.test && q.unit == p.unit && (q.void == "" || p.void != "") {
				before = q
			}
		}
		first, rest := p.entries(before)
		events = append(events, event{p.pass, p.first, first}, event{p.pass, p.seq, rest})
	}
	named := func(unit, name string) string { return strings.TrimPrefix(unit+"."+name, ".") }
	for _, s := range j.skips {
		e := Entry{Skip: named(s.unit, strings.TrimSuffix(s.test.name+"."+s.value, ".")), Reason: s.reason, Note: s.note}
		events = append(events, event{s.pass, s.seq, []Entry{e}})
	}
	for _, x := range j.works {
		events = append(events, event{x.pass, x.seq, []Entry{{Work: named(x.unit, x.remedy), Note: x.note}}})
	}
	for _, n := range j.notes {
		events = append(events, event{n.pass, n.seq, []Entry{{Cleared: n.clearedFor, Note: n.text}}})
	}
	slices.SortStableFunc(events, func(a, b event) int { return cmp.Compare(a.seq, b.seq) })
	passes := make([]RecordPass, len(j.passes))
	for i, p := range j.passes {
		p.At, p.Via = maps.Clone(p.At), maps.Clone(p.Via)
		passes[i].Round = p
	}
	for _, e := range events {
		passes[e.pass].Entries = append(passes[e.pass].Entries, e.entries...)
	}
	return passes
}

// entries tells one performance as one entry for each of its values; the last of several that came one by one keeps its place among other tests.
// Values that the performance before has too come first, since they tell the two apart.
func (p *performance) entries(before *performance) (first, rest []Entry) {
	names := slices.Sorted(maps.Keys(p.values))
	if before != nil {
		slices.SortStableFunc(names, func(a, b string) int { return before.has(b) - before.has(a) })
	}
	var list []Entry
	for _, name := range names {
		t := p.values[name]
		v := t.value
		list = append(list, Entry{Taken: strings.TrimPrefix(p.unit+"."+p.test.name+"."+name, "."), Value: &v, At: maps.Clone(p.at), Via: maps.Clone(p.via),
			With: t.meter, Void: p.void, Was: t.was.clone()})
	}
	if p.first == p.seq {
		return list, nil
	}
	return list[:len(list)-1], list[len(list)-1:]
}

func (p *performance) has(value string) int {
	if _, ok := p.values[value]; ok {
		return 1
	}
	return 0
}
