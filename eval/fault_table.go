package eval

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// A FaultTable is what each fault of a unit does to each check: the trade's table of faults and tests, as data. Only what the sheet says of the
// unit is known; what depends on more, such as the serial, carries the condition. It is a copy that belongs to the caller.
type FaultTable struct {
	Unit   string       `json:"unit"`
	Title  string       `json:"title"`
	Checks []TableCheck `json:"checks"` // in sheet order; a list with all its positions is one check
	Faults []TableFault `json:"faults"` // in sheet order; positions at which a fault shows the same are one row
}

// A TableCheck is one column: "test.value", "test.value.alike", or "test" for a pattern.
type TableCheck struct {
	Name     string         `json:"check"`
	Test     string         `json:"test"`
	Title    string         `json:"title"`             // of the test
	Stage    string         `json:"stage,omitempty"`   // state of teardown
	Minutes  float64        `json:"minutes,omitempty"` // that the test takes
	Applies  bool           `json:"applies"`           // false: the test is not meant for this unit
	Outcomes []TableOutcome `json:"outcomes"`
}

// A TableOutcome is an outcome with its result.
type TableOutcome struct {
	Word   string `json:"outcome"`
	Result Result `json:"result"`
}

// A TableFault is one row. Cells stand beside the checks of the table.
type TableFault struct {
	Name      string      `json:"fault"` // with the positions that the row stands for where these are not all: "diode_open[plus]"
	Title     string      `json:"title"`
	Places    int         `json:"places"` // how many positions it stands for, 1 for a fault without
	Part      string      `json:"part,omitempty"`
	Frequency string      `json:"frequency,omitempty"`
	Remedy    string      `json:"remedy,omitempty"`
	OrElse    string      `json:"or_else,omitempty"`
	Because   string      `json:"because,omitempty"`
	Cells     []TableCell `json:"cells"`
}

// A TableCell is what one fault does to one check.
type TableCell struct {
	Shows     []TableShow `json:"shows,omitempty"`
	Masked    bool        `json:"masked,omitempty"`     // the fault hides the check
	MaskedFor []string    `json:"masked_for,omitempty"` // only from these faults
	Echoes    string      `json:"echoes,omitempty"`     // the check goes as this one does
}

// A TableShow names the outcomes that a fault causes, and how surely.
type TableShow struct {
	Outcomes []string `json:"outcomes"` // all of them where anything may be seen
	Strength string   `json:"strength"` // always, usually ... or a number; "any" where anything may be seen
	Sure     float64  `json:"sure"`     // the strength as a probability, 0 to 1; 1 for any
	Where    string   `json:"where,omitempty"`
	When     string   `json:"when,omitempty"` // what must hold and is not known
}

// Silent tells whether the sheet says nothing of the fault at this check.
func (c TableCell) Silent() bool { return len(c.Shows) == 0 && !c.Masked && c.Echoes == "" }

// FaultTable returns the table of a family or a kind. It fails if there is no unit of that name.
func (b *Bench) FaultTable(unit string) (*FaultTable, error) {
	k, err := b.knowledgeOf(unit)
	if err != nil {
		return nil, err
	}
	return k.table(), nil
}

func (k *knowledge) table() *FaultTable {
	t := &FaultTable{Unit: k.m.name, Title: k.m.title}
	for _, col := range k.columns {
		c := TableCheck{Name: col.label, Test: col.c.test.name, Title: col.c.test.title, Stage: col.c.test.stage, Minutes: col.c.test.takes.SI() / 60, Applies: col.meant}
		for _, o := range col.c.outcomes {
			c.Outcomes = append(c.Outcomes, TableOutcome{o.word, o.result})
		}
		t.Checks = append(t.Checks, c)
	}
	for i := range k.rows {
		r := &k.rows[i]
		f := TableFault{Name: r.label(), Title: r.title(), Places: len(r.positions), Part: r.f.part, Frequency: r.frequencyText(), Remedy: r.f.remedy, OrElse: r.f.orElse, Because: r.f.because}
		for j := range r.cells {
			f.Cells = append(f.Cells, k.tableCell(&r.cells[j], &k.columns[j]))
		}
		t.Faults = append(t.Faults, f)
	}
	return t
}

// knowledgeOf lays out the family or kind of a name.
func (b *Bench) knowledgeOf(unit string) (*knowledge, error) {
	m := b.model(unit)
	if m == nil {
		names := slices.AppendSeq(b.Families(), maps.Keys(b.kinds))
		if unit == "" {
			return nil, fmt.Errorf("no family or kind is named; %s", knownHere(names))
		}
		return nil, fmt.Errorf("there is no family or kind %s; %s", unit, suggest(unit, names))
	}
	k, ok := b.know(m)
	if !ok {
		return nil, fmt.Errorf("tests of %s depend on each other in a circle", unit)
	}
	return k, nil
}

func (k *knowledge) tableCell(c *cell, col *column) TableCell {
	out := TableCell{Masked: c.masked, MaskedFor: slices.Clone(c.maskedFor)}
	for _, s := range c.shows {
		show := TableShow{Outcomes: slices.Clone(s.s.ref.words), Strength: s.s.strength.word(), Sure: s.s.strength.p, Where: s.where}
		if s.s.strength.any {
			show.Outcomes, show.Sure = nil, 1
			for _, o := range col.c.outcomes {
				show.Outcomes = append(show.Outcomes, o.word)
			}
		}
		if s.maybe {
			show.When = k.b.text(s.s.when.src)
		}
		out.Shows = append(out.Shows, show)
	}
	if c.follows >= 0 {
		out.Echoes = k.columns[c.follows].label
	}
	return out
}

// strengthWords are the words for strengths, from the surest down.
var strengthWords = []string{"always", "usually", "often", "sometimes", "seldom", "never"}

// word says a strength in the word that the sheet has for it, else as a number.
func (s strength) word() string {
	if s.any {
		return "any"
	}
	for _, w := range strengthWords {
		if strengths[w] == s.p {
			return w
		}
	}
	return strconv.FormatFloat(s.p, 'g', -1, 64)
}

// frequencyText says how frequent the fault is, as the sheet does.
func (r *faultRow) frequencyText() string { return strings.TrimSpace(r.word) }
