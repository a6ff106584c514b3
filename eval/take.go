package eval

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/units"
)

// Taking readings: what was read of a test, checked against the sheet.

// Take adds a reading. ref is test.value for one value, or a test for a whole performance with Reading.Values; tests of included units have
// their unit's name in front: "battery.open_circuit.volts". Values of one test taken one after another under the same conditions join into one
// performance. It fails if a name is unknown, a value, condition or meter is of another kind than the sheet asks for, a list of the wrong length, or one
// amendment that of several values; nothing is taken then.
func (j *Job) Take(ref string, r Reading) (err error) {
	sizes, tables := j.cfg.sizes, j.cfg.tables // which are cloned where they change
	defer func() {
		if err != nil {
			j.cfg.sizes, j.cfg.tables = sizes, tables
		}
	}()
	unit, rest := j.split(ref)
	m := j.model(unit)
	name, valueName, single := strings.Cut(rest, ".")
	t := m.testNamed[name]
	if t == nil {
		return fmt.Errorf("taken %s: there is no test %s; %s", ref, name, suggest(name, testNames(m)))
	}
	values := r.Values
	if single {
		if values != nil {
			return fmt.Errorf("taken %s: give one value, or name the test alone with several", ref)
		}
		values = map[string]Value{valueName: r.Value}
	}
	if len(values) == 0 {
		return fmt.Errorf("taken %s: name the value that was read, as in %s.%s", ref, ref, firstReading(t))
	}
	if !single && !r.Value.Missing() {
		return fmt.Errorf("taken %s: %s stands beside values by name; give it a name too", ref, r.Value)
	}
	meter := (*instrument)(nil)
	if r.Meter != "" {
		k, ok := j.meters[r.Meter]
		if !ok {
			help := suggest(r.Meter, mapKeys(j.meters))
			if len(j.meters) == 0 {
				help = fmt.Sprintf("the record says what it is, as in: meter %s is ohmmeter", r.Meter)
			}
			return fmt.Errorf("taken %s: there is no meter %s; %s", ref, r.Meter, help)
		}
		meter = j.instrument(k.Is)
		if part := t.forbidden(meter); part != "" {
			return fmt.Errorf("taken %s: %s is forbidden on %s, which this test examines; take another meter, and see whether the part was hurt", ref, k.Is, part)
		}
	}
	if err := blankText("void", r.Void); err != nil {
		return fmt.Errorf("taken %s: %w", ref, err)
	}
	if r.Was != nil {
		if err := blankText("because", r.Was.Because); err != nil {
			return fmt.Errorf("taken %s: was: %w", ref, err)
		}
	}
	if r.Was != nil && len(values) > 1 {
		return fmt.Errorf("taken %s: was keeps what one reading said, and there are several here; take the one that was amended by itself", ref)
	}
	fits, strange := false, false // the meter, to one of the numbers and to another not
	p := &performance{unit: unit, test: t, values: map[string]taken{}, at: map[string]Value{}, void: r.Void, src: j.entry}
	for _, name := range sortedKeys(values) {
		canonical, err := j.reading(t, name, values[name], meter, r.At)
		if err != nil {
			return fmt.Errorf("taken %s: %w", ref, err)
		}
		if r.Was != nil {
			if _, err := registerOf(canonical, r.Was.Value, meter.of(canonical)); err != nil {
				return fmt.Errorf("taken %s: was: %w", ref, err)
			}
		}
		with := r.Meter
		if meter != nil && !meter.shows(canonical) {
			with, strange = "", true
		} else if canonical.typ.class == numberClass {
			fits = true
		}
		p.values[canonical.name] = taken{values[name], with, r.Was.clone()}
	}
	if strange && !fits {
		return fmt.Errorf("taken %s: %s is %s, which shows %s and cannot have read this; name another meter, or leave with out", ref, r.Meter, meter.name, article(meter.dim))
	}
	for _, name := range sortedKeys(r.At) {
		v := r.At[name]
		c, err := j.condition(m, name, v)
		if err != nil {
			return fmt.Errorf("taken %s: %w", ref, err)
		}
		if v.form == listForm && !slices.ContainsFunc(t.values, func(v *value) bool { return v.typ.table && v.at == c }) {
			return fmt.Errorf("taken %s: at %s: nothing in this test is read along it, so give a single value", ref, name)
		}
		p.at[name] = v
	}
	if err := j.viaMeters(m, r.At, r.Via); err != nil {
		return fmt.Errorf("taken %s: %w", ref, err)
	}
	p.via, p.pass = maps.Clone(r.Via), j.pass()
	j.add(p)
	return nil
}

// viaMeters checks the meters that conditions were read with.
func (j *Job) viaMeters(m *model, at map[string]Value, via map[string]string) error {
	for _, name := range sortedKeys(via) {
		k, ok := j.meters[via[name]]
		if !ok {
			return fmt.Errorf("%s via %s: there is no such meter; %s", name, via[name], suggest(via[name], mapKeys(j.meters)))
		}
		if _, ok := at[name]; !ok {
			return fmt.Errorf("%s was read via %s, but its value is not given", name, via[name])
		}
		c, err := j.condition(m, name, at[name])
		if err != nil {
			return err
		}
		if in := j.instrument(k.Is); !in.shows(c) {
			return fmt.Errorf("%s via %s: it is %s, which shows %s; name another meter, or leave via out", name, via[name], k.Is, article(in.dim))
		}
	}
	return nil
}

// shows tells whether a value can have been read with an instrument: a number is of its kind, and a word may come from any.
func (in *instrument) shows(v *value) bool {
	return v.typ.class != numberClass || units.Match(v.typ.dim, in.dim) == nil
}

// of is the instrument that a value was read with: the one that the record names, else the one of the sheet. in may be nil.
func (in *instrument) of(v *value) *instrument {
	if in == nil || !in.shows(v) {
		return v.meter
	}
	return in
}

// blankText refuses a remark of nothing but white space: nobody would see it, and it would be lost where a record is written as text.
func blankText(what, text string) error {
	if text != "" && strings.TrimSpace(text) == "" {
		return fmt.Errorf("%s is blank; say something, or leave it out", what)
	}
	return nil
}

func firstReading(t *test) string {
	for _, v := range t.values {
		if v.kind == readingValue {
			return v.name
		}
	}
	return "value"
}

// reading checks one value of a reading and notes how long its list is.
func (j *Job) reading(t *test, name string, v Value, meter *instrument, at map[string]Value) (*value, error) {
	a, rest := t.lookup(strings.Split(name, "."))
	if a == nil || len(rest) > 0 {
		if pair, ok := t.pairs[name]; ok {
			return nil, fmt.Errorf("%s is read both ways: take %s and %s", name, pair[0].name, pair[1].name)
		}
		if bare, _, member := strings.Cut(name, "["); member && slices.Contains(t.valueNames(), bare) {
			return nil, fmt.Errorf("a list is taken as a whole: write taken %s.%s with all its members in round brackets, missing for one that was not read", t.name, bare)
		}
		return nil, fmt.Errorf("test %s has no value %s; %s", t.name, name, suggest(name, t.valueNames()))
	}
	if a.kind != readingValue {
		return nil, fmt.Errorf("%s is worked out from readings and cannot be taken", name)
	}
	regs, err := registerOf(a, v, meter.of(a))
	if err != nil {
		return nil, err
	}
	list := v.form == listForm
	switch {
	case a.typ.table:
		if !list || at[a.at.name].form != listForm || len(at[a.at.name].items) != len(v.items) {
			return nil, fmt.Errorf("%s is read along %s: give as many values as there are of at %s (...)", name, a.at.name, a.at.name)
		}
		if len(v.items) > maxPositions {
			return nil, fmt.Errorf("a table has at most %d points", maxPositions)
		}
		if len(v.items) > j.cfg.tables[a] {
			j.cfg.tables = maps.Clone(j.cfg.tables) // a verdict may hold the old ones
			j.cfg.tables[a] = len(v.items)
			j.changed()
		}
	case len(a.typ.axes) == 0 && list:
		return nil, fmt.Errorf("%s is a single value, not a list", name)
	case len(a.typ.axes) > 0 && !list && !v.Missing():
		return nil, fmt.Errorf("%s is a list, one value for each %s: write them in round brackets", name, axisNames(a.typ.axes))
	case list:
		return a, j.listLength(a, len(regs))
	}
	return a, nil
}

// listLength checks the length of a list against its positions, as far as that is known before the unit is. Positions that count up to an
// unknown attribute take their number from the first list.
func (j *Job) listLength(a *value, n int) error {
	want := 1
	var open *axis
	for _, x := range a.typ.axes {
		if x.to == nil {
			want *= len(x.words)
		} else {
			open = x
		}
	}
	if open != nil && len(a.typ.axes) == 1 {
		if n == 0 || n > maxPositions {
			return fmt.Errorf("a list has from 1 to %d members", maxPositions)
		}
		if have, ok := j.cfg.sizes[open]; ok && have != n {
			return fmt.Errorf("%d values were given, and %d earlier: every %s needs one, missing if it was not read", n, have, open.name)
		}
		if _, ok := j.cfg.sizes[open]; !ok {
			j.cfg.sizes = maps.Clone(j.cfg.sizes)
			j.cfg.sizes[open] = n
			j.changed()
		}
		return nil
	}
	if open == nil && n != want {
		return wrongLength(a, want, n)
	}
	return nil
}

func wrongLength(a *value, want, n int) error {
	return fmt.Errorf("%d values are wanted, one for each %s, not %d; write missing for one that was not read", want, axisNames(a.typ.axes), n)
}

// add joins the readings to the last performance of the test, if they are of the same round, or begins a new one.
func (j *Job) add(p *performance) {
	j.seq++
	p.seq, p.first = j.seq, j.seq
	j.dirty = true
	if last := j.last(p); last >= 0 {
		old := j.perfs[last]
		joined := *old
		joined.seq, joined.src, joined.program, joined.regs, joined.errors = p.seq, p.src, nil, nil, nil
		joined.values, joined.at = maps.Clone(old.values), maps.Clone(old.at)
		maps.Copy(joined.values, p.values)
		maps.Copy(joined.at, p.at)
		if joined.via = maps.Clone(old.via); joined.via == nil {
			joined.via = p.via
		} else {
			maps.Copy(joined.via, p.via)
		}
		j.perfs[last] = &joined
		return
	}
	j.perfs = append(j.perfs, p)
}

// last finds the performance that p completes, -1 if it is a new one.
func (j *Job) last(p *performance) int {
	for i := len(j.perfs) - 1; i >= 0; i-- {
		old := j.perfs[i]
		if old.test != p.test || old.unit != p.unit || old.void != "" && p.void == "" {
			continue // a void reading between two others does not part them
		}
		if old.pass != p.pass || old.void != p.void || slices.ContainsFunc(j.works, func(w work) bool { return w.seq > old.first }) {
			return -1
		}
		for name := range p.values {
			if _, twice := old.values[name]; twice {
				return -1
			}
		}
		if j.otherwiseTaken(old, p) || j.otherwiseTaken(p, old) {
			return -1
		}
		return i
	}
	return -1
}

// otherwiseTaken tells whether a condition that a performance was carried out under is another one in the other, be it of its own or of its pass. A
// list runs along a table, and is no other than the single value that counts for the readings beside it.
func (j *Job) otherwiseTaken(p, other *performance) bool {
	for name, v := range p.at {
		was, ok := other.at[name]
		if !ok {
			was, ok = j.passes[other.pass].At[name]
		}
		if ok && (was.form == listForm) == (v.form == listForm) && !was.same(v) {
			return true
		}
	}
	return false
}

// same tells whether two values of a condition are equal, as 12 V and 12.0 V are.
func (v Value) same(other Value) bool {
	return v.String() == other.String() || v.form == numberForm && other.form == numberForm && v.low.SI() == other.low.SI()
}
