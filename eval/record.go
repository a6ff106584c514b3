package eval

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"

	"github.com/brushgear/brushgear/dsl"
)

// A Record is everything that was read from one unit and done to it: the same as a record block of the language. Its JSON form is an ordered
// list of entries for each pass, work in its place, with quantities as text.
type Record struct {
	Name        string            `json:"record"`
	Family      string            `json:"of"`
	Shop        string            `json:"shop,omitempty"`  // whose limits and rules count
	Units       map[string]string `json:"units,omitempty"` // families of included units
	Serial      string            `json:"serial,omitempty"`
	DateCode    string            `json:"date_code,omitempty"`
	Decade      int               `json:"decade,omitempty"`
	Built       string            `json:"built,omitempty"`
	Complaint   string            `json:"complaint,omitempty"`
	Reproduced  string            `json:"complaint_is,omitempty"`
	Judge       string            `json:"judge,omitempty"` // the day whose editions count
	Earlier     []string          `json:"earlier,omitempty"`
	Attributes  []Attribute       `json:"set,omitempty"`
	Meters      []Meter           `json:"meters,omitempty"`
	Passes      []RecordPass      `json:"passes"`
	Trial       bool              `json:"trial,omitempty"`  // written to try a sheet, of no day
	Expectation []Expectation     `json:"expect,omitempty"` // of a trial alone

	src     dsl.Range
	shopSrc dsl.Range
}

// An Attribute is a property of the unit as found out, and how.
type Attribute struct {
	Name  string `json:"name"`
	Value Value  `json:"value"`
	By    string `json:"by,omitempty"`

	src dsl.Range
}

// A RecordPass is one pass with its entries in the order in which they came about.
type RecordPass struct {
	Round
	Entries []Entry `json:"entries"`

	src dsl.Range
}

// An Entry is one thing that was read, left out, done or noted. One of Taken, Skip, Work, Note and Cleared is set.
type Entry struct {
	Taken   string            `json:"taken,omitempty"` // test.value, or a test with Values
	Value   *Value            `json:"value,omitempty"`
	Values  map[string]Value  `json:"values,omitempty"`
	At      map[string]Value  `json:"at,omitempty"`
	Via     map[string]string `json:"via,omitempty"`  // meters of conditions
	With    string            `json:"with,omitempty"` // a meter
	Void    string            `json:"void,omitempty"`
	Was     *Amendment        `json:"was,omitempty"`
	Skip    string            `json:"skip,omitempty"`
	Reason  string            `json:"reason,omitempty"`
	Work    string            `json:"work,omitempty"`
	Cleared string            `json:"cleared,omitempty"`
	Note    string            `json:"note,omitempty"` // a note of its own, or one on Skip, Work or Cleared

	src dsl.Range
}

// An Expectation is what a trial expects: of a check one of the outcomes, or of a fault one of the statuses.
type Expectation struct {
	Gives string   `json:"gives,omitempty"`
	Finds string   `json:"finds,omitempty"`
	Is    []string `json:"is"`

	src dsl.Range
}

// Records returns the records and trials that stand in the compiled files, in order. The error unwraps to dsl.Diagnostics.
func (b *Bench) Records() ([]*Record, error) { return recordsOf(b.records) }

// ReadRecords returns the records and trials of a parsed file, which need not be among the compiled ones. The error unwraps to dsl.Diagnostics,
// unless there is no file.
func ReadRecords(f *dsl.File) ([]*Record, error) {
	if f == nil {
		return nil, errors.New("there is no file to read records from: parse it first")
	}
	if err := f.Diagnostics().Err(); err != nil {
		return nil, err
	}
	var trees []*dsl.Record
	for _, d := range f.Decls {
		if r, ok := d.(*dsl.Record); ok {
			trees = append(trees, r)
		}
	}
	return recordsOf(trees)
}

func recordsOf(trees []*dsl.Record) ([]*Record, error) {
	var records []*Record
	var diags dsl.Diagnostics
	for _, t := range trees {
		r, ds := recordOf(t)
		diags = append(diags, ds...)
		records = append(records, r)
	}
	return records, diags.Err()
}

// recordReader turns the tree of a record into a Record.
type recordReader struct {
	r      *Record
	passes bool // it has passes
	said   map[string]dsl.Range
	diags  dsl.Diagnostics
}

func recordOf(t *dsl.Record) (*Record, dsl.Diagnostics) {
	rr := &recordReader{r: &Record{Name: t.Title.String(), Family: t.Of.Text, Units: map[string]string{}, Trial: t.Keyword == "trial", src: t.Range}, said: map[string]dsl.Range{}}
	rr.passes = slices.ContainsFunc(t.Body, func(st dsl.Stmt) bool { _, ok := st.(*dsl.Pass); return ok })
	for _, st := range t.Body {
		rr.head(st)
	}
	return rr.r, rr.diags
}

func (rr *recordReader) fail(at dsl.Range, err error) {
	if err != nil {
		rr.diags = append(rr.diags, errorAt(at, err))
	}
}

// once refuses what a record can say only once.
func (rr *recordReader) once(what string, st dsl.Stmt) {
	if first, twice := rr.said[what]; twice {
		rr.fail(st.Span(), fmt.Errorf("%s stands twice, first in line %d; leave one out", what, first.Pos.Line))
		return
	}
	rr.said[what] = st.Span()
}

func (rr *recordReader) head(st dsl.Stmt) {
	r := rr.r
	switch st := st.(type) {
	case *dsl.UnitIs:
		rr.once("unit "+st.Name.Text, st)
		r.Units[st.Name.Text] = st.Family.Text
	case *dsl.ByShop:
		rr.once("shop", st)
		r.Shop, r.shopSrc = st.Name.Text, st.Name.Range
	case *dsl.RecordText:
		switch st.Keyword {
		case "serial":
			rr.once("serial", st)
			r.Serial = st.Text.String()
		case "earlier":
			r.Earlier = append(r.Earlier, st.Text.String())
		default:
			rr.pass(&dsl.Pass{Stage: AsFound, Body: []dsl.Stmt{st}})
		}
	case *dsl.DateCode:
		rr.once("date_code", st)
		r.DateCode = st.Text.String()
		if st.Decade != nil {
			if _, err := fmt.Sscan(st.Decade.Text, &r.Decade); err != nil {
				rr.fail(st.Decade.Range, errors.New("a decade is a year, such as 1990"))
			}
		}
	case *dsl.RecordDate:
		rr.once(st.Keyword, st)
		if st.Keyword == "built" {
			r.Built = st.Date.Text
		} else {
			r.Judge = st.Date.Text
		}
	case *dsl.Complaint:
		rr.once("complaint", st)
		r.Complaint, r.Reproduced = st.Text.String(), st.Is.String()
	case *dsl.Set:
		v, err := valueOf(st.Value)
		rr.fail(st.Value.Range, err)
		r.Attributes = append(r.Attributes, Attribute{st.Name.Text, v, st.By.String(), st.Range})
	case *dsl.Meter:
		r.Meters = append(r.Meters, Meter{st.Name.Text, st.Is.Text, st.Number.String(), st.Due.String()})
	case *dsl.Gives:
		r.Expectation = append(r.Expectation, Expectation{Gives: st.Ref.String(), Is: words(st.Alts), src: st.Range})
	case *dsl.Finds:
		r.Expectation = append(r.Expectation, Expectation{Finds: st.Name.String(), Is: words(st.Alts), src: st.Range})
	case *dsl.Pass:
		rr.pass(st)
	case *dsl.Bad:
	default: // readings of a record without a pass belong to one as found
		if _, cleared := st.(*dsl.Cleared); rr.passes && !cleared {
			rr.fail(st.Span(), errors.New("this stands outside of the passes of the record; move it into the pass that it belongs to"))
			return
		}
		rr.pass(&dsl.Pass{Stage: AsFound, Body: []dsl.Stmt{st}})
	}
}

func words(a *dsl.Alts) []string {
	if a.Any {
		return []string{"any"}
	}
	var list []string
	for _, alt := range a.List {
		list = append(list, alt.String())
	}
	return list
}

// pass reads a pass. Entries outside of any pass are gathered in one as found.
func (rr *recordReader) pass(st *dsl.Pass) {
	r := rr.r
	loose := st.Range == (dsl.Range{})
	if n := len(r.Passes); !loose || n == 0 {
		p := RecordPass{Round: Round{Stage: st.Stage, By: st.By.String(), On: st.On.String(), At: rr.conditions(st.At), Via: vias(st.At)}, src: st.Range}
		r.Passes = append(r.Passes, p)
	}
	p := &r.Passes[len(r.Passes)-1]
	for _, s := range st.Body {
		if e, ok := rr.entry(s); ok {
			p.Entries = append(p.Entries, e)
		}
	}
}

func (rr *recordReader) conditions(list []*dsl.AtValue) map[string]Value {
	if len(list) == 0 {
		return nil
	}
	at := map[string]Value{}
	for _, a := range list {
		v, err := valueOf(a.Value)
		rr.fail(a.Value.Range, err)
		if _, twice := at[a.Name.String()]; twice {
			rr.fail(a.Range, fmt.Errorf("%s is given twice; leave one out", a.Name.String()))
		}
		at[a.Name.String()] = v
	}
	return at
}

// vias lists the meters that conditions were read with.
func vias(list []*dsl.AtValue) map[string]string {
	var out map[string]string
	for _, a := range list {
		if a.Via != nil {
			if out == nil {
				out = map[string]string{}
			}
			out[a.Name.String()] = a.Via.Text
		}
	}
	return out
}

func (rr *recordReader) entry(st dsl.Stmt) (Entry, bool) {
	e := Entry{src: st.Span()}
	switch st := st.(type) {
	case *dsl.Taken:
		e.Taken, e.With, e.Void, e.At = st.Ref.String(), st.With.String(), st.Void.String(), rr.conditions(st.At)
		e.Via = vias(st.At)
		if st.Void != nil && e.Void == "" {
			rr.fail(st.Void.Range, fmt.Errorf("taken %s is void without a reason; say why it does not count", e.Taken))
		}
		if st.Value != nil {
			v, err := valueOf(st.Value)
			rr.fail(st.Value.Range, err)
			e.Value = &v
		} else {
			e.Values = rr.conditions(st.Values)
		}
		if w := st.Was; w != nil {
			v, err := valueOf(w.Value)
			rr.fail(w.Value.Range, err)
			e.Was = &Amendment{v, w.By.String(), w.On.String(), w.Because.String()}
		}
	case *dsl.Skip:
		e.Skip, e.Reason, e.Note = st.Ref.String(), st.Reason.Text, st.Note.String()
	case *dsl.Work:
		e.Work, e.Note = st.Name.String(), st.Note.String()
	case *dsl.Cleared:
		e.Cleared, e.Note = st.Name.Text, st.Note.String()
	case *dsl.RecordText:
		if st.Keyword != "note" {
			rr.fail(st.Range, fmt.Errorf("%s stands before the passes; move it up", st.Keyword))
			return e, false
		}
		e.Note = st.Text.String()
	case *dsl.Bad:
		return e, false
	default:
		rr.fail(st.Span(), errors.New("this stands before the passes; move it up"))
		return e, false
	}
	return e, true
}

// head copies what a record says besides its passes, which the job takes in one by one.
func (r *Record) head() *Record {
	c := *r
	c.Units, c.Meters, c.Passes = nil, nil, nil
	c.Earlier, c.Attributes, c.Expectation = slices.Clone(r.Earlier), slices.Clone(r.Attributes), slices.Clone(r.Expectation)
	for i := range c.Expectation {
		c.Expectation[i].Is = slices.Clone(c.Expectation[i].Is)
	}
	return &c
}

// Load opens the job of a record and takes in all that it holds, in the shop that the record names, unless the options say another. The record
// stays the caller's: what becomes of it later does not reach the job. The error joins everything that is wrong with the record; for a record
// from a file it unwraps to dsl.Diagnostics with places, for any other it says the pass and the entry, counted from 0 as in
// passes[1].entries[3]. Without a day to judge by, of the record or of one of its passes, it fails too, unless it is a trial.
func (b *Bench) Load(r *Record, options ...Option) (*Job, error) {
	if r == nil {
		return nil, errors.New("there is no record to load")
	}
	o := openOptions{shop: r.Shop}
	for _, opt := range options {
		opt(&o)
	}
	j, err := b.open(r.Family, o)
	switch {
	case err != nil && b.families[r.Family] != nil && o.shop == r.Shop:
		return nil, placed(cmp.Or(r.shopSrc, r.src), err)
	case err != nil:
		return nil, placed(r.src, err)
	}
	l := &recordLoader{j: j}
	j.record = r.head()
	l.identity(r)
	for i, p := range r.Passes {
		l.place = func() string { return fmt.Sprintf("passes[%d]: ", i) }
		if !l.do(p.src, j.Begin(p.Round)) {
			continue
		}
		for k, e := range p.Entries {
			l.place = func() string { return fmt.Sprintf("passes[%d].entries[%d]: ", i, k) }
			j.entry = e.src
			l.entry(e)
		}
		j.entry = dsl.Range{}
	}
	l.expectations(r)
	l.place = nil
	if j.cfg.date == 0 && !r.Trial && !slices.ContainsFunc(j.passes, func(p Round) bool { return p.On != "" }) {
		l.do(r.src, errors.New("the record does not say by which day it is judged; write judge 2026-03-02, or give its last pass a date: on 2026-03-02"))
	}
	if len(l.diags) > 0 {
		l.diags.Sort()
		return nil, l.diags.Err()
	}
	if len(l.errs) > 0 {
		return nil, errors.Join(l.errs...)
	}
	return j, nil
}

type recordLoader struct {
	j     *Job
	place func() string // in a record without places of its own
	diags dsl.Diagnostics
	errs  []error
}

// do keeps an error, with its place if the record has one.
func (l *recordLoader) do(at dsl.Range, err error) bool {
	switch {
	case err == nil:
		return true
	case at == (dsl.Range{}):
		if l.place != nil {
			err = fmt.Errorf("%s%w", l.place(), err)
		}
		l.errs = append(l.errs, err)
	default:
		l.diags = append(l.diags, errorAt(at, err))
	}
	return false
}

func placed(at dsl.Range, err error) error {
	if at == (dsl.Range{}) {
		return err
	}
	return dsl.Diagnostics{errorAt(at, err)}.Err()
}

func (l *recordLoader) identity(r *Record) {
	j := l.j
	for _, unit := range slices.Sorted(maps.Keys(r.Units)) {
		l.do(r.src, j.Include(unit, r.Units[unit]))
	}
	j.SetSerial(r.Serial)
	if r.Built != "" {
		l.do(r.src, j.SetBuilt(r.Built))
	}
	if r.Judge != "" {
		l.do(r.src, j.SetDate(r.Judge))
	}
	for i, a := range r.Attributes {
		l.place = func() string { return fmt.Sprintf("set[%d]: ", i) }
		if slices.ContainsFunc(r.Attributes[:i], func(before Attribute) bool { return before.Name == a.Name }) {
			l.do(a.src, fmt.Errorf("set %s stands twice; leave one out", a.Name))
			continue
		}
		l.do(a.src, j.Set(a.Name, a.Value))
	}
	for i, m := range r.Meters {
		l.place = func() string { return fmt.Sprintf("meters[%d]: ", i) }
		if _, twice := j.meters[m.Name]; twice {
			l.do(r.src, fmt.Errorf("meter %s is given twice; leave one out, or give it another name", m.Name))
			continue
		}
		l.do(r.src, j.AddMeter(m))
	}
}

// expectations refuses those of a record that is no trial: nothing would ever compare them.
func (l *recordLoader) expectations(r *Record) {
	for i, e := range r.Expectation {
		l.place = func() string { return fmt.Sprintf("expect[%d]: ", i) }
		if !r.Trial {
			l.do(e.src, fmt.Errorf("%s: a record says what was read, and expects nothing; make it a trial, or leave this out", e))
		}
	}
}

func (l *recordLoader) entry(e Entry) {
	j := l.j
	set := 0
	for _, s := range []string{e.Taken, e.Skip, e.Work, e.Cleared} {
		if s != "" {
			set++
		}
	}
	switch {
	case set > 1 || set == 0 && e.Note == "":
		l.do(e.src, errors.New("an entry is one of taken, skip, work, cleared and note"))
	case e.Taken == "" && (e.Value != nil || len(e.Values)+len(e.At)+len(e.Via) > 0 || e.With != "" || e.Void != "" || e.Was != nil):
		l.do(e.src, errors.New("a value, its conditions and its meter belong to an entry that says what was taken"))
	case e.Skip == "" && e.Reason != "":
		l.do(e.src, errors.New("a reason belongs to an entry that says what to skip"))
	case e.Taken != "" && e.Value == nil && e.Values == nil:
		l.do(e.src, fmt.Errorf("taken %s: its value is not there; write it, or missing for what was not read", e.Taken))
	case e.Taken != "" && e.Value != nil && e.Values != nil:
		l.do(e.src, fmt.Errorf("taken %s has a value, or values by name: give one of the two", e.Taken))
	case e.Taken != "":
		r := Reading{Values: e.Values, At: e.At, Via: e.Via, Meter: e.With, Void: e.Void, Was: e.Was}
		if e.Value != nil {
			r.Value = *e.Value
		}
		l.do(e.src, j.Take(e.Taken, r))
	case e.Skip != "":
		l.do(e.src, j.Skip(e.Skip, e.Reason, e.Note))
	case e.Work != "":
		l.do(e.src, j.Work(e.Work, e.Note))
	case e.Cleared != "":
		l.do(e.src, j.Clear(e.Cleared, e.Note))
	default:
		l.do(e.src, j.Note(e.Note))
	}
}
