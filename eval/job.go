package eval

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// A Job is one unit on the bench, with the units it includes. It collects readings of every state and judges them. A Job is not safe for
// concurrent use; open one for each goroutine.
type Job struct {
	shop   string // whose rules count, empty without
	roots  int    // most independent faults to weigh at once; 0: as many as it takes
	bench  *Bench
	m      *model
	cfg    configuration
	meters map[string]Meter
	passes []Round
	perfs  []*performance
	skips  []skip
	works  []work
	notes  []note
	record *Record
	entry  dsl.Range // of the record, that is being loaded
	seq    int

	program *program
	date    day           // by which the unit is judged
	plan    [][][]planned // per pass and bound test, the performances that count
	cutoffs []int
	sights  []*sight // per pass
	dirty   bool     // readings came since plan was made
	rebind  bool     // what the program was bound for has changed
}

// A Round is one pass of readings: as found, in work or as left. At holds conditions that count for all its readings that do not say
// otherwise, Via the meters that these were read with, by condition. On is a day, written 2026-03-02, or empty.
type Round struct {
	Stage string            `json:"stage"`
	By    string            `json:"by,omitempty"`
	On    string            `json:"on,omitempty"`
	At    map[string]Value  `json:"at,omitempty"`
	Via   map[string]string `json:"via,omitempty"`
}

// Stages of a pass.
const (
	AsFound = "as found"
	InWork  = "in work"
	AsLeft  = "as left"
)

// A Meter is one instrument of the shop. Is names the instrument of the sheet that it is one of; Due is the day its calibration ends.
type Meter struct {
	Name   string `json:"name"`
	Is     string `json:"is"`
	Number string `json:"number,omitempty"`
	Due    string `json:"due,omitempty"`
}

// A Reading is what was read in one performance of a test. For a reference test.value it has a Value; for a whole test it has Values by
// name. At holds the conditions it was taken under, Via the meters that these were read with, by condition. Meter counts for the numbers of its kind. Void,
// if not empty, says why it does not count; it must not be blank. Was keeps what it was before it was amended.
type Reading struct {
	Value  Value
	Values map[string]Value
	At     map[string]Value
	Via    map[string]string
	Meter  string
	Void   string
	Was    *Amendment
}

// An Amendment says what a reading was before somebody changed it, who, when and why.
type Amendment struct {
	Value   Value  `json:"value"`
	By      string `json:"by"`
	On      string `json:"on,omitempty"`
	Because string `json:"because"`
}

func (a *Amendment) clone() *Amendment {
	if a == nil {
		return nil
	}
	c := *a
	return &c
}

// performance is one carrying out of a test. It is not changed once a verdict can have seen it: joining a value makes a new one.
type performance struct {
	unit   string
	test   *test
	pass   int
	seq    int // of its last reading
	first  int // of its first
	values map[string]taken
	at     map[string]Value
	via    map[string]string // meters of conditions
	void   string
	src    dsl.Range // of its last reading

	program *program // that regs are laid out for
	regs    []reg
	errors  []readingError
}

// read is what was read in a performance, without its layout, which the job may be making anew.
func (p *performance) read() *performance {
	return &performance{unit: p.unit, test: p.test, pass: p.pass, seq: p.seq, first: p.first, values: p.values, at: p.at, via: p.via, void: p.void}
}

type taken struct {
	value Value
	meter string
	was   *Amendment
}

type skip struct {
	pass, seq          int
	unit               string
	test               *test
	value              string
	reason, note, text string
}

type work struct {
	pass, seq    int
	unit, remedy string
	note         string
}

type note struct {
	pass, seq  int
	text       string
	clearedFor string // a cause that was cleared
}

// An Option changes how a job is opened.
type Option func(*openOptions)

type openOptions struct {
	shop  string
	roots int
}

// InShop opens the job with the limits and rules of a shop, which override those of the family. A record of the job names the shop. For Load it takes
// the place of the shop that the record names; an empty name stands for none.
func InShop(name string) Option { return func(o *openOptions) { o.shop = name } }

// AtMost weighs sets of up to so many independent faults, 2 or 3. Without it two are weighed, and three where two do not explain the readings. It says
// how hard to look and nothing of the unit, so a record does not keep it: give it to Load again.
func AtMost(faults int) Option { return func(o *openOptions) { o.roots = faults } }

// noFamily tells that a family is not there, or that none was named.
func (b *Bench) noFamily(family string) error {
	families := b.Families()
	switch {
	case len(families) == 0:
		return errors.New("no sheet of a family was compiled")
	case family == "":
		return fmt.Errorf("no family is named; %s", knownHere(families))
	}
	return fmt.Errorf("there is no family %s; %s", family, suggest(family, families))
}

// Open begins a job on a unit of the family. It fails if there is no family or no shop of that name. A job of a day can be judged before anything is
// read: PassVerdict.Plan then names the test to begin with, and PassVerdict.Cards tells of each test what to heed and to read.
func (b *Bench) Open(family string, options ...Option) (*Job, error) {
	var o openOptions
	for _, opt := range options {
		opt(&o)
	}
	return b.open(family, o)
}

func (b *Bench) open(family string, o openOptions) (*Job, error) {
	m := b.families[family]
	if m == nil {
		return nil, b.noFamily(family)
	}
	if o.shop != "" {
		if m = b.inShop[o.shop][family]; m == nil {
			return nil, fmt.Errorf("there is no shop %s; %s", o.shop, suggest(o.shop, slices.Collect(maps.Keys(b.inShop))))
		}
	}
	j := &Job{bench: b, m: m, shop: o.shop, roots: o.roots, meters: map[string]Meter{}, dirty: true, rebind: true}
	j.cfg = configuration{m: m, included: map[string]*model{}, sets: map[string]map[string]constant{}, sizes: map[*axis]int{}, tables: map[*value]int{}}
	return j, nil
}

// Family returns the name of the unit's family.
func (j *Job) Family() string { return j.m.name }

// Include says of which family an included unit is: job.Include("battery", "bench_650").
func (j *Job) Include(unit, family string) error {
	inc := j.include(unit)
	if inc == nil {
		var names []string
		for _, i := range j.m.includes {
			names = append(names, i.as)
		}
		return fmt.Errorf("%s includes no unit %s; %s", j.m.name, unit, suggest(unit, names))
	}
	fam := j.bench.families[family]
	if fam == nil {
		return j.bench.noFamily(family)
	}
	if !slices.Contains(fam.chain, "kind "+inc.kind.name) {
		return fmt.Errorf("%s is no %s, and %s must be one", family, inc.kind.name, unit)
	}
	if len(j.perfs) > 0 {
		return errors.New("say which units are included before the first reading")
	}
	j.cfg.included = maps.Clone(j.cfg.included)
	j.cfg.included[unit] = fam
	j.changed()
	return nil
}

func (j *Job) include(name string) *include {
	for _, inc := range j.m.includes {
		if inc.as == name {
			return inc
		}
	}
	return nil
}

func (j *Job) changed() { j.rebind, j.dirty = true, true }

// model returns the model of the unit itself or of an included one.
func (j *Job) model(unit string) *model {
	if unit == "" {
		return j.m
	}
	if fam := j.cfg.included[unit]; fam != nil {
		return fam
	}
	if inc := j.include(unit); inc != nil {
		return inc.kind
	}
	return nil
}

// split parts a name into the included unit it begins with, and the rest.
func (j *Job) split(name string) (unit, rest string) {
	if head, tail, ok := strings.Cut(name, "."); ok && j.m.testNamed[head] == nil && j.include(head) != nil {
		return head, tail
	}
	return "", name
}

// Set gives an attribute its value, as counted or read off the plate: job.Set("poles", v). It overrides what the family says.
func (j *Job) Set(name string, v Value) error {
	unit, attr := j.split(name)
	a := j.model(unit).attributes[attr]
	if a == nil {
		return fmt.Errorf("there is no attribute %s; %s", name, suggest(attr, mapKeys(j.model(unit).attributes)))
	}
	k, err := constantFrom(a, v)
	if err != nil {
		return fmt.Errorf("set %s: %w", name, err)
	}
	sets := map[string]constant{}
	maps.Copy(sets, j.cfg.sets[unit])
	sets[attr] = k
	j.cfg.sets = maps.Clone(j.cfg.sets) // a verdict may hold the old ones
	j.cfg.sets[unit] = sets
	j.changed()
	return nil
}

// SetSerial records the serial on the plate, by which variants are told.
func (j *Job) SetSerial(serial string) { j.cfg.serial = serial; j.changed() }

// SetBuilt records the build date, written 2026-03-02.
func (j *Job) SetBuilt(on string) error { return j.setDay(&j.cfg.built, on) }

// SetDate says by which day's editions the unit is judged, written 2026-03-02. Without it the date of the last pass counts.
func (j *Job) SetDate(on string) error { return j.setDay(&j.cfg.date, on) }

func (j *Job) setDay(d *day, on string) error {
	v, err := parseDay(on)
	if err != nil {
		return fmt.Errorf("%s is no day of the calendar: write year-month-day, as in 2026-03-02", on)
	}
	*d = v
	j.changed()
	return nil
}

// AddMeter makes an instrument of the shop known, so that readings can name it. A second one of the same name takes the place of the first. Once a
// reading names it, only its number and the day its calibration ends can still be corrected: the reading was checked against the instrument.
func (j *Job) AddMeter(m Meter) error {
	in := j.instrument(m.Is)
	if in == nil {
		return fmt.Errorf("there is no instrument %s; %s", m.Is, suggest(m.Is, mapKeys(j.m.meters)))
	}
	if m.Due != "" {
		if _, err := parseDay(m.Due); err != nil {
			return fmt.Errorf("due %s is no day of the calendar: write year-month-day", m.Due)
		}
	}
	if was, known := j.meters[m.Name]; known && was.Is != m.Is && j.used(m.Name) {
		return fmt.Errorf("meter %s is %s, and readings were taken with it; give %s another name", m.Name, was.Is, m.Is)
	}
	j.meters = maps.Clone(j.meters)
	j.meters[m.Name] = m
	return nil
}

// used tells whether anything was read with a meter.
func (j *Job) used(meter string) bool {
	for _, p := range j.passes {
		for _, via := range p.Via {
			if via == meter {
				return true
			}
		}
	}
	return slices.ContainsFunc(j.perfs, func(p *performance) bool { return p.with(meter) })
}

// with tells whether a reading or a condition was read with a meter.
func (p *performance) with(meter string) bool {
	for _, t := range p.values {
		if t.meter == meter {
			return true
		}
	}
	for _, via := range p.via {
		if via == meter {
			return true
		}
	}
	return false
}

func (j *Job) instrument(name string) *instrument {
	if in := j.m.meters[name]; in != nil {
		return in
	}
	for _, inc := range j.m.includes {
		if in := j.model(inc.as).meters[name]; in != nil {
			return in
		}
	}
	return nil
}

// Begin starts a pass, to which all belongs that is taken, skipped, done or noted until the next one. What comes before any Begin belongs to a pass as
// found. It fails if the stage is none of the three, the day none of the calendar or before that of an earlier pass, or a condition or its meter unknown
// or of another kind. A Begin that failed begins nothing, and what follows goes to the pass before: look at its error before taking readings.
func (j *Job) Begin(p Round) error {
	if !slices.Contains([]string{AsFound, InWork, AsLeft}, p.Stage) {
		return fmt.Errorf("there is no pass %q: write %s, %s or %s", p.Stage, AsFound, InWork, AsLeft)
	}
	if p.On != "" {
		if _, err := parseDay(p.On); err != nil {
			return fmt.Errorf("%s is no day of the calendar: write year-month-day", p.On)
		}
		for _, before := range j.passes {
			if before.On > p.On {
				return fmt.Errorf("a pass %s on %s comes behind one %s on %s; put passes in the order in which they were made", p.Stage, p.On, before.Stage, before.On)
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(p.At)) {
		if _, err := j.condition(j.m, name, p.At[name]); err != nil {
			return err
		}
		if p.At[name].form == listForm {
			return fmt.Errorf("at %s: give a list with the readings that run along it, and a single value here", name)
		}
	}
	if err := j.viaMeters(j.m, p.At, p.Via); err != nil {
		return err
	}
	p.At, p.Via = maps.Clone(p.At), maps.Clone(p.Via)
	j.passes = append(j.passes, p)
	j.changed()
	return nil
}

// pass returns the index of the current pass.
func (j *Job) pass() int {
	if len(j.passes) == 0 {
		j.passes = append(j.passes, Round{Stage: AsFound})
		j.changed()
	}
	return len(j.passes) - 1
}

func (j *Job) condition(m *model, name string, v Value) (*value, error) {
	c := m.conditions[name]
	if c == nil {
		for _, inc := range j.m.includes {
			if c = j.model(inc.as).conditions[name]; c != nil {
				break
			}
		}
	}
	if c == nil {
		return nil, fmt.Errorf("there is no condition %s; %s", name, suggest(name, mapKeys(m.conditions)))
	}
	if _, err := registerOf(c, v, nil); err != nil {
		return nil, fmt.Errorf("at %s: %w", name, err)
	}
	return c, nil
}

// SkipReasons lists the words that say why something was not read.
func SkipReasons() []string { return dsl.SkipReasons() }

// Skip says why a test or a value was not read. reason is one of SkipReasons; noteText adds to it, and may be empty but not blank.
func (j *Job) Skip(ref, reason, noteText string) error {
	if reasons := SkipReasons(); !slices.Contains(reasons, reason) {
		return fmt.Errorf("skip %s: there is no reason %s: write %s", ref, reason, strings.Join(reasons, ", "))
	}
	unit, rest := j.split(ref)
	name, valueName, _ := strings.Cut(rest, ".")
	m := j.model(unit)
	t := m.testNamed[name]
	if t == nil {
		return fmt.Errorf("skip %s: there is no test %s; %s", ref, name, suggest(name, testNames(m)))
	}
	if valueName != "" {
		if v, rest := t.lookup(strings.Split(valueName, ".")); (v == nil || len(rest) > 0) && t.pairs[valueName][0] == nil {
			return fmt.Errorf("skip %s: test %s has no value %s; %s", ref, name, valueName, suggest(valueName, t.valueNames()))
		}
	}
	if err := blankText("its note", noteText); err != nil {
		return fmt.Errorf("skip %s: %w", ref, err)
	}
	j.seq++
	text := strings.ReplaceAll(reason, "_", " ")
	if noteText != "" {
		text += ": " + noteText
	}
	j.skips = append(j.skips, skip{j.pass(), j.seq, unit, t, valueName, reason, noteText, text})
	j.dirty = true
	return nil
}

// Work records a remedy that was carried out. Readings taken before of what it touches no longer speak for or against anything.
// noteText may be empty but not blank.
func (j *Job) Work(remedy, noteText string) error {
	unit, name := j.split(remedy)
	m := j.model(unit)
	if m.remedies[name] == nil {
		return fmt.Errorf("work %s: there is no such remedy; %s", remedy, suggest(name, mapKeys(m.remedies)))
	}
	if err := blankText("its note", noteText); err != nil {
		return fmt.Errorf("work %s: %w", remedy, err)
	}
	j.seq++
	j.works = append(j.works, work{j.pass(), j.seq, unit, name, noteText})
	j.dirty = true
	return nil
}

// Note keeps a remark with the pass. It refuses one that is empty or blank.
func (j *Job) Note(text string) error {
	if strings.TrimSpace(text) == "" {
		return errors.New("a note says nothing: write its text, or leave it out")
	}
	j.seq++
	j.notes = append(j.notes, note{pass: j.pass(), seq: j.seq, text: text})
	return nil
}

// Clear records that a root cause was dealt with. noteText may be empty but not blank.
func (j *Job) Clear(cause, noteText string) error {
	if j.m.causes[cause] == nil {
		return fmt.Errorf("cleared %s: there is no such cause; %s", cause, suggest(cause, mapKeys(j.m.causes)))
	}
	if err := blankText("its note", noteText); err != nil {
		return fmt.Errorf("cleared %s: %w", cause, err)
	}
	j.seq++
	j.notes = append(j.notes, note{j.pass(), j.seq, noteText, cause})
	return nil
}

// errorAt puts an error of a record at its place in the text.
func errorAt(at dsl.Range, err error) *dsl.Diagnostic {
	message, help, _ := strings.Cut(err.Error(), "; ")
	return &dsl.Diagnostic{Code: dsl.CodeRecord, Severity: dsl.Error, Range: at, Message: message, Help: help}
}
