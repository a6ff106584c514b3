package eval

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/brushgear/brushgear/units"
)

// A Blank is one thing to write down on a card: a reading, the condition that it is taken under, or an attribute of the unit.
type Blank struct {
	Name      string   // as a record names it
	Note      string   // what the sheet says of it, empty without
	Unit      string   // of a number
	Words     []string // what it can be, if it is a word
	Positions []string // of a list: one reading for each
	Along     string   // the condition that a table is read along
	List      bool     // a list of no fixed length: a table, or the condition that one is read along
	Needed    bool     // a condition without which the test says nothing, or less
	Wants     string   // where a condition must lie, in the words of the sheet
	Meter     string   // the instrument that the sheet names for it, empty without

	v *value
}

func blankOf(v *value) Blank {
	b := Blank{Name: v.name, Note: v.title, List: v.typ.table, v: v}
	if v.ask != "" {
		b.Note = v.ask
	}
	if b.Note == spaced(v.name) {
		b.Note = ""
	}
	if v.at != nil {
		b.Along = v.at.name
	}
	if v.meter != nil {
		b.Meter = v.meter.name
	}
	switch v.typ.class {
	case numberClass:
		b.Unit = v.displayUnit().String()
	case wordClass:
		b.Words = slices.Clone(v.typ.words)
	}
	return b
}

// At is the blank for one position of a list. position counts from 0 and is below the number of b.Positions; outside of that it panics, as an index does.
func (b Blank) At(position int) Blank {
	one := b
	one.Name, one.Positions, one.List = b.Name+"["+b.Positions[position]+"]", nil, false
	return one
}

// Fill reads an answer as people write it. It takes what a record takes, and more: "-" or nothing stands for what was not read, a number without unit
// has that of the blank, a word may be cut short as long as no other begins alike, a list needs no brackets, one number may have a decimal comma unless it
// can group digits, and a range may have .. or a dash between its ends. assumed tells that something was added
// to what was written. What fills a blank with positions is always a list, but it may have one member where several are wanted; everything else
// is checked as the sheet would check it.
func (b Blank) Fill(answer string) (v Value, assumed bool, err error) {
	answer = strings.TrimSpace(answer)
	if answer == "" || answer == "-" || answer == "missing" {
		return Value{}, false, nil
	}
	if b.v == nil {
		return Value{}, false, errors.New("this blank stands on no card: take it from a card or a job")
	}
	switch {
	case b.v.typ.class == textClass || b.v.typ.class == dateClass:
		if !strings.HasPrefix(answer, `"`) {
			answer = quoted(answer)
		}
		v, err = ParseValue(answer)
	case len(b.Positions) > 0 || b.List:
		v, assumed, err = b.list(answer)
	case b.v.typ.class == wordClass:
		v, assumed, err = b.word(answer)
	default:
		plain := plainly(answer)
		if v, err = ParseValue(plain); err == nil {
			v, assumed, err = b.withUnit(v)
		}
		assumed = assumed || plain != answer
	}
	if err != nil {
		return Value{}, false, err
	}
	if v.form == listForm && len(b.Positions) == 0 && !b.List {
		return Value{}, false, fmt.Errorf("%s is a single value, not a list", b.Name)
	}
	if err := b.dimension(v); err != nil {
		return Value{}, false, err
	}
	if b.v.kind == attributeValue {
		_, err = constantFrom(b.v, v)
	} else {
		_, err = registerOf(b.v, v, b.v.meter)
	}
	if err == nil && v.form == textForm && b.v.typ.class == numberClass {
		err = fmt.Errorf("%s is a number: write it with its unit, such as 2 %s", b.Name, b.Unit)
	}
	return v, assumed, err
}

// dimension refuses a quantity of another dimension than what is asked for.
func (b Blank) dimension(v Value) error {
	for _, it := range append([]Value{v}, v.items...) {
		switch it.form {
		case numberForm, rangeForm, movingForm, aboveForm, belowForm:
		default:
			continue
		}
		q := it.quantity()
		if b.v.typ.class == numberClass && units.Match(q.Dimension(), b.v.typ.dim) != nil && units.TemperatureHint(q.Unit()) == "" {
			return fmt.Errorf("%s does not fit: %s is read in %s, or another unit of its kind", it, spaced(b.Name), cmp.Or(b.Unit, "plain numbers"))
		}
	}
	return nil
}

// word completes words that were cut short: "go | ro" for good | rough.
func (b Blank) word(answer string) (Value, bool, error) {
	var words []string
	assumed := false
	for _, part := range strings.Split(answer, "|") {
		part = strings.ReplaceAll(strings.TrimSpace(part), " ", "_")
		word, err := b.complete(part)
		if err != nil {
			return Value{}, false, err
		}
		assumed = assumed || word != part
		words = append(words, word)
	}
	return Word(words...), assumed, nil
}

func (b Blank) complete(part string) (string, error) {
	if slices.Contains(b.Words, part) {
		return part, nil
	}
	var meant []string
	for _, w := range b.Words {
		if part != "" && strings.HasPrefix(w, strings.ToLower(part)) {
			meant = append(meant, w)
		}
	}
	switch len(meant) {
	case 1:
		return meant[0], nil
	case 0:
		return "", fmt.Errorf("%s is none of its words: write %s", strconv.Quote(spaced(part)), strings.Join(b.Words, " | "))
	}
	return "", fmt.Errorf("%s can be %s: write more of it", strconv.Quote(part), strings.Join(meant, " or "))
}

// list reads members with or without brackets around them, parted by blanks.
func (b Blank) list(answer string) (Value, bool, error) {
	answer = strings.TrimSuffix(strings.TrimPrefix(answer, "("), ")")
	members := strings.Fields(strings.ReplaceAll(answer, ", ", " "))
	assumed := false
	for i, m := range members {
		switch {
		case m == "-":
			members[i] = "missing"
		case len(b.Words) > 0 && m != "missing":
			word, err := b.complete(m)
			if err != nil {
				return Value{}, false, err
			}
			assumed = assumed || word != m
			members[i] = word
		case len(b.Words) == 0:
			if _, _, two := rangeEnds(m); two {
				return Value{}, false, fmt.Errorf("%s is no single number: write one for each, with blanks between them", m)
			}
		}
	}
	if len(members) == 0 {
		return Value{}, false, errors.New("nothing stands between the brackets: write - for what was not read")
	}
	v, err := ParseValue("(" + strings.Join(members, " ") + ")")
	if err != nil {
		return Value{}, false, err
	}
	for i, it := range v.items {
		item, added, err := b.withUnit(it)
		if err != nil {
			return Value{}, false, err
		}
		assumed = assumed || added
		v.items[i] = item
	}
	if n := len(b.Positions); n > 0 && len(v.items) > 1 && len(v.items) != n {
		return Value{}, false, fmt.Errorf("%d values are wanted, not %d; write - for one that was not read", n, len(v.items))
	}
	return v, assumed, nil
}

// withUnit gives numbers that have none the unit of the blank.
func (b Blank) withUnit(v Value) (Value, bool, error) {
	if b.v.typ.class != numberClass || b.Unit == "" {
		return v, false, nil
	}
	var ends []*units.Quantity
	switch v.form {
	case numberForm, rangeForm, movingForm:
		ends = []*units.Quantity{&v.low, &v.high}
	case aboveForm:
		ends = []*units.Quantity{&v.low}
	case belowForm:
		ends = []*units.Quantity{&v.high}
	}
	assumed := false
	for _, end := range ends {
		if end.Unit() != (units.Unit{}) {
			continue
		}
		with, err := units.Parse(end.String() + " " + b.Unit)
		if err != nil {
			return v, false, err
		}
		*end, assumed = with, true
	}
	return v, assumed, nil
}

// Items returns the members of a list, and nothing for any other value.
func (v Value) Items() []Value { return slices.Clone(v.items) }
