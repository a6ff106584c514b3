package eval

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// What a kind or family knows of its faults, laid out for one unit of which nothing but the sheet is known.

// knowledge is a model bound by its sheet alone, so that conditions on attributes are decided as far as the sheet decides them.
type knowledge struct {
	b       *Bench
	m       *model
	binder  *binder
	columns []column
	columnM map[*check]int
	rows    []faultRow
}

// column is one check, a list with all its positions.
type column struct {
	c      *check
	unit   int    // index of the unit it belongs to
	label  string // with the name of an included unit before it
	good   uint32 // outcomes that pass
	echoes int    // the column that it follows, -1 without
	meant  bool   // its test can be meant for the unit at all
}

// faultRow is one fault with what it shows, or those of its positions at which it shows the same.
type faultRow struct {
	f         *fault
	positions [][]string  // names of each place that it stands for
	frequency float64     // at each of them
	word      string      // of the frequency
	cells     []cell      // beside the columns
	bad       []uint32    // beside the columns: outcomes that do not pass and that it shows
	touched   []int       // the columns at which it is not silent
	sees      []int       // the columns at which it shows something that does not pass, on tests that are meant for the unit
	odds      [][]float64 // beside touched: how probable each outcome is
}

// cell is what one fault does to one check.
type cell struct {
	shows     []shown
	masked    bool
	maskedFor []string // hidden only from these faults; nil for all
	follows   int      // by an echo: the column it follows, -1 without
}

type shown struct {
	s     *show
	where string // at which member of a list
	maybe bool   // whether it holds depends on what the sheet leaves open
}

// know lays a model out. It fails only for tests that depend on each other in a circle, which Compile refuses.
func (b *Bench) know(m *model) (*knowledge, bool) {
	cfg := &configuration{m: m, included: map[string]*model{}, sets: map[string]map[string]constant{}, sizes: map[*axis]int{}, tables: map[*value]int{}, date: m.lastEdition()}
	for _, a := range m.axes {
		cfg.sizes[a] = 2 // where the sheet leaves it open: enough to tell one member from the others
	}
	for _, t := range m.tests {
		for _, v := range t.values {
			cfg.tables[v] = 2
		}
	}
	k := &knowledge{b: b, m: m, columnM: map[*check]int{}, binder: bindTests(cfg)}
	if k.binder.circle != nil {
		return nil, false
	}
	k.layColumns()
	k.layRows()
	return k, true
}

// lastEdition is a day on which the newest editions count.
func (m *model) lastEdition() day {
	last := day(0)
	note := func(s *source) {
		if s != nil {
			last = max(last, s.from)
		}
	}
	for _, t := range m.tests {
		for _, c := range t.checks {
			for _, l := range c.limits {
				note(l.source)
			}
		}
	}
	for _, a := range m.attributes {
		for _, s := range a.sets {
			note(s.source)
		}
	}
	return last
}

// layColumns lists the checks of the unit itself, and those of included units that its faults name.
func (k *knowledge) layColumns() {
	for _, t := range k.m.tests {
		for _, c := range t.checks {
			k.addColumn(0, c)
		}
	}
	for _, f := range k.m.faults {
		for _, s := range f.shows {
			if s.ref.unit == "" {
				continue
			}
			for _, i := range k.binder.find(s.ref, 0, nil) {
				k.addColumn(k.binder.p.tests[k.binder.p.checks[i].test].unit, k.binder.p.checks[i].c)
			}
		}
	}
	for i := range k.columns {
		col := &k.columns[i]
		col.echoes, col.meant = k.echoed(col), k.applies(col.unit, col.c.test)
	}
}

func (k *knowledge) addColumn(unit int, c *check) {
	if _, there := k.columnM[c]; there || c.kind == infoCheck {
		return
	}
	col := column{c: c, unit: unit, label: c.label(), echoes: -1}
	if u := k.binder.units[unit].name; u != "" {
		col.label = u + "." + col.label
	}
	for i, o := range c.outcomes {
		if o.result == Pass {
			col.good |= 1 << i
		}
	}
	k.columnM[c] = len(k.columns)
	k.columns = append(k.columns, col)
}

// echoed finds the column that a column follows: of the test that its own echoes, the check of the same name and outcomes, else its pattern or its
// only check, of which good and bad are followed.
func (k *knowledge) echoed(col *column) int {
	t := col.c.test.echoes
	if t == nil {
		return -1
	}
	var judged []int
	for _, c := range t.checks {
		if i := k.column(c); i >= 0 {
			judged = append(judged, i)
			if c.name == col.c.name && c.sameOutcomes(col.c) {
				return i
			}
		}
	}
	switch {
	case t.pattern != nil:
		return k.column(t.pattern)
	case len(judged) == 1:
		return judged[0]
	}
	return -1
}

func (c *check) sameOutcomes(other *check) bool {
	return slices.EqualFunc(c.outcomes, other.outcomes, func(x, y outcome) bool { return x.word == y.word })
}

// column is the place of a check, -1 for one that only informs.
func (k *knowledge) column(c *check) int {
	if i, ok := k.columnM[c]; ok {
		return i
	}
	return -1
}

// applies tells whether a test can be meant for the unit at all.
func (k *knowledge) applies(unit int, t *test) bool {
	return t.applies == nil || k.binder.eval(unit, t.applies).bits&canTrue != 0
}

// layRows makes the rows of all faults that the unit can have.
func (k *knowledge) layRows() {
	for _, f := range k.m.faults {
		if !k.exists(f) {
			continue
		}
		var rows []faultRow
		keys := map[string]int{}
		for _, place := range k.placesOf(f) {
			k.binder.where = place.at
			word, p, occurs := k.frequency(f)
			if !occurs {
				continue
			}
			row := faultRow{f: f, positions: place.names, frequency: p, word: word, cells: k.cellsOf(f)}
			key := row.key()
			if i, ok := keys[key]; ok {
				rows[i].positions = append(rows[i].positions, place.names...)
				rows[i].forgetPlaces(&row)
				continue
			}
			keys[key] = len(rows)
			rows = append(rows, row)
		}
		k.rows = append(k.rows, rows...)
	}
	for i := range k.rows {
		k.weigh(&k.rows[i])
	}
	k.binder.where = nil
}

// weigh works out what the proofs ask of a row again and again.
func (k *knowledge) weigh(r *faultRow) {
	r.bad = make([]uint32, len(r.cells))
	for i := range r.cells {
		c := &r.cells[i]
		if c.plain() {
			continue
		}
		r.touched, r.odds = append(r.touched, i), append(r.odds, k.distribution(r, i))
		for _, s := range c.shows {
			if !s.s.strength.any {
				r.bad[i] |= k.columns[i].c.outcomesOf(s.s.ref.words)
			}
		}
		r.bad[i] &^= k.columns[i].good
		if r.bad[i] != 0 && k.columns[i].meant {
			r.sees = append(r.sees, i)
		}
	}
}

// exists tells whether the unit can have a fault: no variant that certainly holds leaves it out.
func (k *knowledge) exists(f *fault) bool {
	for _, w := range f.without {
		if k.binder.eval(0, w).bits == canTrue {
			return false
		}
	}
	return true
}

// place is one position of a fault, or all those of numbered axes at once: no condition can tell these apart.
type place struct {
	at    map[*axis]int
	names [][]string
}

func (k *knowledge) placesOf(f *fault) []place {
	places := []place{{at: map[*axis]int{}, names: [][]string{nil}}}
	for _, a := range f.axes {
		var next []place
		for _, p := range places {
			if a.to != nil {
				var names [][]string
				for _, n := range p.names {
					for i := range k.binder.axisLen(a) {
						names = append(names, append(slices.Clone(n), fmt.Sprint(a.from+i)))
					}
				}
				next = append(next, place{p.at, names})
				continue
			}
			for i, word := range a.words {
				q := place{at: maps.Clone(p.at)}
				q.at[a] = i
				for _, n := range p.names {
					q.names = append(q.names, append(slices.Clone(n), word))
				}
				next = append(next, q)
			}
		}
		places = next
	}
	return places
}

// frequency works out how frequent a fault is at a place; false if it cannot occur there. Without a word it is 0.
func (k *knowledge) frequency(f *fault) (word string, p float64, occurs bool) {
	for _, o := range f.occurs {
		holds := uint64(canTrue)
		if o.when != nil {
			holds = k.binder.eval(0, o.when).bits
		}
		if holds&canTrue != 0 && (!occurs || o.p > p) {
			word, p, occurs = o.word, o.p, true
		}
	}
	return word, p, occurs || len(f.occurs) == 0
}

// cellsOf works out what a fault does to each check, at the place that the binder stands for.
func (k *knowledge) cellsOf(f *fault) []cell {
	cells := make([]cell, len(k.columns))
	for i := range cells {
		cells[i].follows = -1
	}
	names := k.hereNames(f)
	for _, s := range f.shows {
		holds := uint64(canTrue)
		if s.when != nil {
			holds = k.binder.eval(0, s.when).bits
		}
		if holds == canFalse || s.strength.p == 0 && !s.strength.any {
			continue
		}
		seen := map[int]bool{}
		for _, c := range k.binder.find(s.ref, 0, here(s.ref.index, f.axes, names)) {
			if i := k.column(k.binder.p.checks[c].c); i >= 0 && !seen[i] {
				seen[i] = true
				cells[i].shows = append(cells[i].shows, shown{s, whereOf(s.ref.index, f.axes), holds&canFalse != 0})
			}
		}
	}
	for _, m := range f.masks {
		if m.when != nil && k.binder.eval(0, m.when).bits == canFalse {
			continue
		}
		for _, c := range k.binder.find(m.ref, 0, here(m.ref.index, f.axes, names)) {
			i := k.column(k.binder.p.checks[c].c)
			switch {
			case i < 0 || cells[i].masked && cells[i].maskedFor == nil:
			case m.only == nil:
				cells[i].masked, cells[i].maskedFor = true, nil
			default:
				cells[i].masked = true
				for _, name := range m.only {
					if !slices.Contains(cells[i].maskedFor, name) {
						cells[i].maskedFor = append(cells[i].maskedFor, name)
					}
				}
			}
		}
	}
	for i, col := range k.columns {
		if col.echoes >= 0 && !k.names(cells, col.c.test) && k.names(cells, k.columns[col.echoes].c.test) {
			cells[i].follows = col.echoes
		}
	}
	return cells
}

// names tells whether a fault names a check of a test.
func (k *knowledge) names(cells []cell, t *test) bool {
	for i, c := range cells {
		if k.columns[i].c.test == t && len(c.shows) > 0 {
			return true
		}
	}
	return false
}

// hereNames gives the position that the binder stands for in words; of a numbered axis its first.
func (k *knowledge) hereNames(f *fault) []string {
	var names []string
	for _, a := range f.axes {
		if a.to != nil {
			names = append(names, fmt.Sprint(a.from))
		} else {
			names = append(names, a.words[k.binder.where[a]])
		}
	}
	return names
}

// whereOf says at which member of a list a fault shows something: "here" for its own position.
func whereOf(index []string, axes []*axis) string {
	var words []string
	own := 0
	for _, word := range index {
		if slices.ContainsFunc(axes, func(a *axis) bool { return a.name == word }) {
			own++
			continue
		}
		words = append(words, word)
	}
	if own > 0 && len(words) == 0 {
		return "here"
	}
	return strings.Join(words, ", ")
}

// key is the same for rows that show the same. At which members of lists they do is left aside.
func (r *faultRow) key() string {
	var b strings.Builder
	fmt.Fprint(&b, r.word, r.frequency)
	for i, c := range r.cells {
		if len(c.shows) == 0 && !c.masked {
			continue
		}
		fmt.Fprint(&b, "\n", i, c.masked, c.maskedFor)
		var list []string
		for _, s := range c.shows {
			list = append(list, fmt.Sprint(s.s.ref.words, s.s.strength, s.maybe))
		}
		slices.Sort(list)
		fmt.Fprint(&b, list)
	}
	return b.String()
}

// forgetPlaces drops the members of lists in which two rows differ.
func (r *faultRow) forgetPlaces(other *faultRow) {
	for i := range r.cells {
		mine, theirs := r.cells[i].shows, other.cells[i].shows
		for j := range mine {
			if mine[j].where != theirs[j].where {
				mine[j].where = "here"
			}
		}
	}
}

// label names the row: the fault, with the positions that it stands for where these are not all.
func (r *faultRow) label() string {
	if at := r.at(); at != "" {
		return r.f.name + "[" + at + "]"
	}
	return r.f.name
}

// at gives the positions of a row on the axes on which it does not stand for all.
func (r *faultRow) at() string {
	var parts []string
	for i, a := range r.f.axes {
		if a.to != nil {
			continue
		}
		var words []string
		for _, w := range a.words {
			if slices.ContainsFunc(r.positions, func(p []string) bool { return p[i] == w }) {
				words = append(words, w)
			}
		}
		if len(words) < len(a.words) {
			parts = append(parts, strings.Join(words, " | "))
		}
	}
	return strings.Join(parts, ", ")
}

// title is the title of the fault, with its positions.
func (r *faultRow) title() string {
	if at := r.at(); at != "" {
		return r.f.title + ", " + at
	}
	return r.f.title
}
