package examples_test

import (
	"fmt"
	"io/fs"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/examples"
)

// A mutant is a sheet with one slip in it, such as an author makes with the keyboard or reads wrong from paper.
type mutant struct {
	kind   string
	file   string
	line   int
	from   string // the statement
	to     string
	source string // the whole file
}

func (m mutant) String() string {
	return fmt.Sprintf("%s:%d: %s -> %s", m.file, m.line, m.from, m.to)
}

// The kinds of slips. Those of the first list must be found nearly always; the others are told of.
const (
	dropShows   = "drop shows"
	moveLimit   = "move a limit"
	moveCut     = "move a cut" // of a grade or a pattern
	swapWords   = "swap two outcomes"
	dropCaution = "delete a caution"
	changeUnit  = "change a unit"

	changeStrength = "change a strength"
	dropMasks      = "drop masks"
	dropFrom       = "drop from"
	dropRetest     = "drop a retest"
)

var (
	namedKinds = []string{dropShows, moveLimit, moveCut, swapWords, dropCaution, changeUnit}
	otherKinds = []string{changeStrength, dropMasks, dropFrom, dropRetest}
)

// breeder makes the mutants of one file.
type breeder struct {
	file *dsl.File
	list []mutant
}

// mutants makes all slips of one sheet, in the order of the file.
func mutants(t testing.TB, name string) []mutant {
	src, err := fs.ReadFile(examples.FS, name)
	require.NoError(t, err)
	f, err := dsl.Parse(name, src)
	require.NoError(t, err)
	b := &breeder{file: f}
	b.walk(f.Decls)
	return b.list
}

func (b *breeder) walk(list []dsl.Stmt) {
	for _, st := range list {
		b.statement(st)
		b.walk(dsl.Body(st))
	}
}

// An edit puts a text in the place of a range.
type edit struct {
	at dsl.Range
	to string
}

// breed notes the mutant in which a statement is edited. Lines stay where they are, so that findings can be compared by their place.
func (b *breeder) breed(kind string, st dsl.Range, edits ...edit) {
	src := b.file.Source
	for i, e := range edits {
		edits[i].to += strings.Repeat("\n", strings.Count(src[e.at.Pos.Offset:e.at.EndPos.Offset], "\n"))
	}
	to := edited(src, st, edits)
	b.list = append(b.list, mutant{
		kind: kind, file: b.file.Name, line: st.Pos.Line, source: src[:st.Pos.Offset] + to + src[st.EndPos.Offset:],
		from: b.text(st), to: strings.Join(strings.Fields(to), " "),
	})
}

func (b *breeder) text(r dsl.Range) string {
	return strings.Join(strings.Fields(b.file.Source[r.Pos.Offset:r.EndPos.Offset]), " ")
}

func (b *breeder) drop(kind string, st dsl.Stmt) { b.breed(kind, st.Span(), edit{st.Span(), ""}) }

func (b *breeder) statement(st dsl.Stmt) {
	switch st := st.(type) {
	case *dsl.Shows:
		b.drop(dropShows, st)
		b.strength(st.Range, st.Strength)
	case *dsl.Leads:
		b.strength(st.Range, st.Strength)
	case *dsl.Masks:
		b.drop(dropMasks, st)
	case *dsl.From:
		b.drop(dropFrom, st)
	case *dsl.Retest:
		b.drop(dropRetest, st)
	case *dsl.TestNames:
		if st.Keyword == "caution" {
			b.drop(dropCaution, st)
		}
	case *dsl.Limit:
		b.move(moveLimit, st.Range, bounds(st))
		b.units(st.Range, quantities(st))
	case *dsl.Grade:
		b.move(moveCut, st.Range, quantities(st))
		b.units(st.Range, quantities(st))
		for i, x := range st.Rungs {
			for _, y := range st.Rungs[:i] {
				b.swap(st.Range, x.Word, y.Word)
			}
		}
	case *dsl.Outcome:
		b.move(moveCut, st.Range, quantities(st))
		b.units(st.Range, quantities(st))
	case *dsl.Needs, *dsl.Set, *dsl.Let:
		b.units(st.Span(), quantities(st))
	case *dsl.Read:
		b.typed(st.Range, st.Type)
	case *dsl.Attribute:
		b.typed(st.Range, st.Type)
	case *dsl.Test:
		var rows []*dsl.Outcome
		for _, s := range st.Body {
			if row, ok := s.(*dsl.Outcome); ok {
				for _, other := range rows {
					r := other.Range
					r.EndPos = row.EndPos
					b.swap(r, other.Word, row.Word)
				}
				rows = append(rows, row)
			}
		}
	}
}

// swap changes the places of two words.
func (b *breeder) swap(st dsl.Range, x, y *dsl.Name) {
	b.breed(swapWords, st, edit{x.Range, y.Text}, edit{y.Range, x.Text})
}

// bounds lists the quantities of the bounds of a limit.
func bounds(l *dsl.Limit) []*dsl.Qty {
	list := quantities(l.Shape, l.New)
	if l.Along != nil {
		for _, r := range l.Along.Rows {
			list = append(list, quantities(r.Shape)...)
		}
	}
	return list
}

// strengthWords are the words for how surely a fault shows something, from the surest on.
var strengthWords = []string{"always", "usually", "often", "sometimes", "seldom", "never"}

// strength changes the word by two steps either way.
func (b *breeder) strength(st dsl.Range, s *dsl.Strength) {
	if s == nil || s.Word == "" {
		return
	}
	i := slices.Index(strengthWords, s.Word)
	for _, j := range []int{i - 2, i + 2} {
		if j >= 0 && j < len(strengthWords) {
			b.breed(changeStrength, st, edit{s.Range, strengthWords[j]})
		}
	}
}

var numberPattern = regexp.MustCompile(`^[-+]?\d+(?:\.(\d+))?`)

// move raises and lowers each number by two of its last printed digit.
func (b *breeder) move(kind string, st dsl.Range, list []*dsl.Qty) {
	for _, q := range list {
		m := numberPattern.FindStringSubmatch(q.Text)
		if m == nil {
			continue
		}
		for _, by := range []int64{2, -2} {
			moved := raised(m[0], len(m[1]), by)
			if moved[0] == '-' && m[0][0] != '-' {
				continue // 1 V becomes 3 V, but no -1 V
			}
			b.breed(kind, st, edit{q.Range, moved + q.Text[len(m[0]):]})
		}
	}
}

// otherUnits are mistaken for each other by a slip of the finger, or of the eye on a sheet in two systems.
var otherUnits = map[string]string{
	"V": "mV", "mV": "V", "A": "mA", "mA": "A", "Ω": "mΩ", "mΩ": "Ω", "kΩ": "Ω", "MΩ": "kΩ", "mm": "in", "in": "mm", "µF": "nF", "°C": "°F", "°F": "°C",
	"N": "lbf", "lbf": "N", "ozf": "N", "lbf·ft": "N·m", "min": "s", "s": "min", "rpm": "Hz", "Hz": "rpm", "%": "‰", "ft": "m",
}

// units changes the unit of each quantity.
func (b *breeder) units(st dsl.Range, list []*dsl.Qty) {
	for _, q := range list {
		number := numberPattern.FindString(q.Text)
		unit := strings.TrimSpace(q.Text[len(number):])
		if other, ok := otherUnits[unit]; ok && strings.Trim(number, "0.") != "" { // nothing is nothing in every unit
			b.breed(changeUnit, st, edit{q.Range, strings.TrimSuffix(q.Text, unit) + other})
		}
	}
}

// typed changes the unit of what a reading or a condition holds.
func (b *breeder) typed(st dsl.Range, t *dsl.Type) {
	if len(t.Alts) == 1 {
		if other, ok := otherUnits[t.Alts[0]]; ok {
			b.breed(changeUnit, st, edit{t.Range, other})
		}
	}
}

// quantities lists the quantities of a tree in their order.
func quantities(nodes ...any) []*dsl.Qty {
	var list []*dsl.Qty
	var visit func(reflect.Value)
	visit = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Interface, reflect.Pointer:
			if v.IsNil() {
				return
			}
			if q, ok := v.Interface().(*dsl.Qty); ok {
				list = append(list, q)
				return
			}
			visit(v.Elem())
		case reflect.Slice:
			for i := range v.Len() {
				visit(v.Index(i))
			}
		case reflect.Struct:
			for i := range v.NumField() {
				if v.Type().Field(i).IsExported() {
					visit(v.Field(i))
				}
			}
		}
	}
	for _, n := range nodes {
		if n != nil {
			visit(reflect.ValueOf(n))
		}
	}
	return list
}
