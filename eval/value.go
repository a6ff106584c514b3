package eval

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// A Value is what was read: a number, a range in which the one true value lies, a moving reading, more or less than a number, OL, words, a
// text, or a list. The zero Value is a missing reading. Values are immutable; their JSON form is the text of the language, such as "2.45 Ω",
// "2 to 9 Ω jumping", "> 1 MΩ", "OL", "lit", "(9.6 9.7 missing mV)".
type Value struct {
	form      form
	low, high units.Quantity
	words     []string
	items     []Value
}

type form uint8

const (
	missingForm form = iota
	numberForm
	rangeForm
	movingForm
	aboveForm
	belowForm
	openForm // OL
	wordForm
	textForm
	listForm
)

// Number is one quantity as read. A quantity parsed from text carries its last digit, and where no meter of known accuracy is named that digit is
// the resolution of the reading. A computed one, of units.New, has no digits: without such a meter it counts as exact, until a record of it is
// written down and read back. Of what a meter showed, parse the text with all its digits, as in "13.00 V", or name a meter.
func Number(q units.Quantity) Value { return Value{form: numberForm, low: q, high: q} }

// Between says that the one true value lies from low to high.
func Between(low, high units.Quantity) Value { return Value{form: rangeForm, low: low, high: high} }

// Jumping says that the reading moves between low and high.
func Jumping(low, high units.Quantity) Value { return Value{form: movingForm, low: low, high: high} }

// MoreThan says that the true value is above q. It may be ever so little above, so that q itself counts as possible: > 8 V is not decidable against a
// limit of at most 8 V.
func MoreThan(q units.Quantity) Value { return Value{form: aboveForm, low: q} }

// LessThan says that the true value is below q. As with MoreThan, q itself counts as possible.
func LessThan(q units.Quantity) Value { return Value{form: belowForm, high: q} }

// OL is a reading beyond the full scale of the meter.
func OL() Value { return Value{form: openForm} }

// Word is what was seen. Several words say that it was one of them, no word that nothing was seen.
func Word(words ...string) Value {
	if len(words) == 0 {
		return Value{}
	}
	return Value{form: wordForm, words: slices.Clone(words)}
}

// List holds the readings of the positions in their order; the zero Value stands for a missing member.
func List(items ...Value) Value { return Value{form: listForm, items: slices.Clone(items)} }

// Missing tells whether nothing was read.
func (v Value) Missing() bool { return v.form == missingForm }

// ParseValue reads the text of a value.
func ParseValue(text string) (Value, error) {
	t, err := dsl.ParseValue(text)
	if err != nil {
		return Value{}, err
	}
	return valueOf(t)
}

// MustValue is ParseValue for texts that are known to be right. It panics on any other.
func MustValue(text string) Value {
	v, err := ParseValue(text)
	if err != nil {
		panic(err)
	}
	return v
}

// String writes the value in the language.
func (v Value) String() string {
	switch v.form {
	case numberForm:
		return v.low.String()
	case rangeForm:
		return v.low.String() + " to " + v.high.String()
	case movingForm:
		return v.low.String() + " to " + v.high.String() + " jumping"
	case aboveForm:
		return "> " + v.low.String()
	case belowForm:
		return "< " + v.high.String()
	case openForm:
		return "OL"
	case wordForm:
		return strings.Join(v.words, " | ")
	case textForm:
		return quoted(v.words[0])
	case listForm:
		return "(" + strings.Join(v.members(), " ") + ")"
	}
	return "missing"
}

// members writes the items of a list. A unit that all numbers share is written once, after the last.
func (v Value) members() []string {
	parts := make([]string, len(v.items))
	suffix, last, shared := "", -1, true
	for i, it := range v.items {
		parts[i] = it.String()
		if it.form != numberForm && it.form != aboveForm && it.form != belowForm {
			continue
		}
		unit := " " + it.quantity().Unit().String()
		shared = shared && (last < 0 || unit == suffix) && unit != " " && strings.HasSuffix(parts[i], unit)
		suffix, last = unit, i
	}
	if !shared || last < 0 {
		return parts
	}
	for i := range parts[:last] {
		parts[i] = strings.TrimSuffix(parts[i], suffix)
	}
	return parts
}

// quantity is the number in the value, of a range its lower end.
func (v Value) quantity() units.Quantity {
	if v.form == belowForm {
		return v.high
	}
	return v.low
}

// MarshalText writes the value in the language.
func (v Value) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText reads the text of a value.
func (v *Value) UnmarshalText(text []byte) error {
	got, err := ParseValue(string(text))
	if err == nil {
		*v = got
	}
	return err
}

// valueOf turns the tree of a value into a Value.
func valueOf(t *dsl.Value) (Value, error) {
	switch {
	case t.List:
		return listOf(t)
	case t.OL:
		return OL(), nil
	case t.Text != nil:
		return Value{form: textForm, words: []string{t.Text.String()}}, nil
	case len(t.Words) > 0:
		v := Value{form: wordForm}
		for _, w := range t.Words {
			v.words = append(v.words, w.Text)
		}
		if len(v.words) == 1 && v.words[0] == "missing" {
			return Value{}, nil
		}
		return v, nil
	}
	return numberOf(t)
}

func numberOf(t *dsl.Value) (Value, error) {
	if t.Low == nil {
		return Value{}, nil
	}
	low, err := t.Low.Quantity()
	if err != nil {
		return Value{}, err
	}
	switch {
	case t.Side != "" && t.High != nil:
		return Value{}, fmt.Errorf("a range has no sign before it: write %s to %s, or %s and one number", t.Low.Text, t.High.Text, t.Side)
	case t.Side == ">":
		return MoreThan(low), nil
	case t.Side == "<":
		return LessThan(low), nil
	case t.High == nil:
		return Number(low), nil
	}
	high, err := t.High.Quantity()
	if err != nil {
		return Value{}, err
	}
	if low.Unit() == (units.Unit{}) && high.Unit() != (units.Unit{}) {
		if low, err = units.Parse(t.Low.Text + " " + high.Unit().String()); err != nil {
			return Value{}, err
		}
	}
	if c, err := low.Compare(high); errors.Is(err, units.ErrDimension) {
		return Value{}, fmt.Errorf("%s is %s and %s is %s: write both ends of a range in units of one kind", low, article(low.Dimension()), high, article(high.Dimension()))
	} else if err != nil {
		return Value{}, err
	} else if c > 0 {
		return Value{}, fmt.Errorf("%s to %s runs backwards: write the smaller value first", t.Low.Text, t.High.Text)
	}
	if t.Jumping {
		return Jumping(low, high), nil
	}
	return Between(low, high), nil
}

// listOf reads a list in round brackets, where one unit at the end counts for all numbers.
func listOf(t *dsl.Value) (Value, error) {
	v := Value{form: listForm}
	items, unit := unitAtEnd(t.Items)
	for i := len(items) - 1; i >= 0; i-- {
		it := items[i]
		var item Value
		switch {
		case it.OL:
			item = OL()
		case it.Word != nil && it.Word.Text == "missing":
		case it.Word != nil:
			item = Word(it.Word.Text)
		default:
			q, err := it.Num.Quantity()
			if err != nil {
				return v, err
			}
			if q.Unit() == (units.Unit{}) && unit != (units.Unit{}) {
				if q, err = units.Parse(it.Num.Text + " " + unit.String()); err != nil {
					return v, err
				}
			}
			unit = q.Unit()
			switch it.Side {
			case ">":
				item = MoreThan(q)
			case "<":
				item = LessThan(q)
			default:
				item = Number(q)
			}
		}
		v.items = append(v.items, item)
	}
	slices.Reverse(v.items)
	return v, nil
}

// unitAtEnd takes the unit off a list in which it follows a gap, as in (9.6 9.7 missing mV).
func unitAtEnd(items []*dsl.Item) ([]*dsl.Item, units.Unit) {
	last := items[len(items)-1]
	if last.Word == nil || !slices.ContainsFunc(items, func(r *dsl.Item) bool { return r.Num != nil }) {
		return items, units.Unit{}
	}
	u, err := units.ParseUnit(last.Word.Text)
	if err != nil {
		return items, units.Unit{}
	}
	return items[:len(items)-1], u
}

// constant is the value of an attribute, as far as it is known.
type constant struct {
	known  bool
	lo, hi float64
	mask   uint64
	text   string
	shown  string // as written
}

// constantOf checks a value against an attribute.
func constantOf(a *value, t *dsl.Value) (constant, error) {
	v, err := valueOf(t)
	if err != nil {
		return constant{}, err
	}
	return constantFrom(a, v)
}

func constantFrom(a *value, v Value) (constant, error) {
	k := constant{known: true, shown: v.String()}
	switch a.typ.class {
	case textClass:
		if v.form != textForm && v.form != wordForm || len(v.words) != 1 {
			return k, fmt.Errorf(`%s is a text: write it as "..."`, a.name)
		}
		k.text = v.words[0]
		return k, nil
	case dateClass:
		if v.form != textForm {
			return k, fmt.Errorf(`%s is a date: write it as "2026-03-02"`, a.name)
		}
		d, err := parseDay(v.words[0])
		if err != nil {
			return k, fmt.Errorf("%s is no day of the calendar: write year-month-day, as in 2026-03-02", v.words[0])
		}
		k.lo, k.hi = float64(d), float64(d)
		return k, nil
	}
	r, err := registerOf(a, v, nil)
	if err != nil {
		return k, err
	}
	if len(r) != 1 {
		return k, fmt.Errorf("%s takes one value, not a list", a.name)
	}
	k.lo, k.hi, k.mask = r[0].lo, r[0].hi, r[0].bits
	if a.typ.class == numberClass && len(a.quantities) > 0 && !slices.Contains(a.quantities, k.lo) {
		return k, fmt.Errorf("%s is none of the values that %s can have", v, a.name)
	}
	if a.typ.dim == units.DimensionOf(units.Count) && k.lo == k.hi && (k.lo < 0 || k.lo != math.Trunc(k.lo)) {
		return k, fmt.Errorf("%s is a count: %s is none, write a whole number", a.name, v)
	}
	return k, nil
}

// registerOf turns a value into registers, one for each member, checked against the type of what it is a reading of. The meter, if any,
// gives OL its bound.
func registerOf(a *value, v Value, meter *instrument) ([]reg, error) {
	if v.form == listForm {
		out := make([]reg, 0, len(v.items))
		for _, it := range v.items {
			if it.form == listForm {
				return nil, errors.New("a list holds single values")
			}
			r, err := scalarRegister(a, it, meter)
			if err != nil {
				return nil, err
			}
			out = append(out, r)
		}
		return out, nil
	}
	r, err := scalarRegister(a, v, meter)
	return []reg{r}, err
}

func scalarRegister(a *value, v Value, meter *instrument) (reg, error) {
	if v.form == missingForm {
		return missingReg(a), nil
	}
	switch a.typ.class {
	case wordClass:
		if v.form != wordForm {
			return reg{}, fmt.Errorf("%s is a word: write %s", a.name, strings.Join(a.typ.words, " | "))
		}
		r := reg{}
		for _, w := range v.words {
			i := slices.Index(a.typ.words, w)
			if i < 0 {
				return reg{}, fmt.Errorf("%s is none of its words: %s", w, strings.Join(a.typ.words, " | "))
			}
			r.bits |= 1 << i
		}
		return r, nil
	case numberClass:
	default:
		return reg{}, fmt.Errorf("%s takes no such value", a.name)
	}
	return numberRegister(a, v, meter)
}

func numberRegister(a *value, v Value, meter *instrument) (reg, error) {
	fits := func(q units.Quantity) error {
		err := units.Match(q.Dimension(), a.typ.dim)
		if err != nil && q.Unit() == (units.Unit{}) {
			return fmt.Errorf("%s needs its unit: write %s %s, for instance", q, q, a.displayUnit())
		}
		if err != nil {
			if hint := units.TemperatureHint(q.Unit()); hint != "" && temperature(a.typ.dim) {
				return &misfitError{fmt.Sprintf("%s is %s, and %s is none: %s", a.name, article(a.typ.dim), q, hint), err}
			}
			return a.otherwise(q, err)
		}
		if err == nil && (math.IsNaN(q.SI()) || math.IsInf(q.SI(), 0)) {
			return fmt.Errorf("%s is no number that a meter shows: write what it shows, OL or missing", q)
		}
		return err
	}
	switch v.form {
	case numberForm, rangeForm, movingForm:
		if err := fits(v.low); err != nil {
			return reg{}, err
		}
		if err := fits(v.high); err != nil {
			return reg{}, err
		}
		r := reg{lo: v.low.SI(), hi: v.high.SI()}
		if r.lo > r.hi {
			return reg{}, fmt.Errorf("%s runs backwards: give the smaller value first", v)
		}
		if meter.exceeded(r.lo, r.hi) {
			return offScale, nil // no such reading can have come from it
		}
		if v.form == movingForm {
			r.flags |= regMoving
		}
		return r, nil
	case aboveForm:
		if err := fits(v.low); err != nil {
			return reg{}, err
		}
		return reg{lo: v.low.SI(), hi: math.Inf(1)}, nil
	case belowForm:
		if err := fits(v.high); err != nil {
			return reg{}, err
		}
		low := math.Inf(-1)
		if v.high.SI() > 0 && a.typ.dim.Kind() != units.Temperature {
			low = 0 // "< 0.1 A" is a size that the meter could not show
		}
		return reg{lo: low, hi: v.high.SI()}, nil
	case openForm:
		if a.typ.dim == ampere {
			return reg{}, errors.New("a current cannot be OL: an open circuit reads 0 A; if the meter was overloaded write > and its full scale")
		}
		if meter == nil || meter.high == 0 {
			return offScale, nil
		}
		return reg{lo: meter.high, hi: math.Inf(1)}, nil
	}
	return reg{}, a.noNumber(v)
}

// otherwise says of a quantity of another dimension what the reading is.
func (a *value) otherwise(q units.Quantity, err error) error {
	if a.typ.dim.Kind() == units.Number {
		return &misfitError{fmt.Sprintf("%s is a plain number: %s has a unit, leave it out", a.name, q), err}
	}
	return &misfitError{fmt.Sprintf("%s is %s, and %s is %s: write it in %s", a.name, article(a.typ.dim), q, article(q.Dimension()), a.displayUnit()), err}
}

// A misfitError says that a value has another dimension than what it is for.
type misfitError struct {
	message string
	err     error // of the two dimensions
}

func (e *misfitError) Error() string { return e.message }
func (e *misfitError) Unwrap() error { return e.err }

// What people write where a meter shows no number, and where there is no reading.
var (
	openWords    = []string{"ol", "o_l", "inf", "infinite", "infinity", "open", "overload", "overrange", "over_range", "out_of_range"}
	missingWords = []string{"none", "na", "n_a", "unknown", "skip", "skipped", "nil", "not_measured", "not_taken", "not_read", "not_tested"}
)

var ohm = units.MustUnit("Ω").Dimension()

// noNumber says of a word or a text in the place of a number what to write.
func (a *value) noNumber(v Value) error {
	word := ""
	if len(v.words) > 0 {
		word = strings.ReplaceAll(strings.ToLower(strings.Trim(v.words[0], ".")), " ", "_")
	}
	word = strings.ReplaceAll(word, ".", "_")
	switch {
	case slices.Contains(openWords, word) && a.typ.dim == ampere:
		return fmt.Errorf("%s is a number: write 0 A for an open circuit; if the meter was overloaded write > and its full scale", a.name)
	case slices.Contains(openWords, word) && a.typ.dim != ohm:
		return fmt.Errorf("%s is a number: write OL if the meter was overloaded, or > and its full scale", a.name)
	case slices.Contains(openWords, word):
		return fmt.Errorf("%s is a number: write OL for what is beyond the meter, as an open circuit is for an ohmmeter", a.name)
	case slices.Contains(missingWords, word):
		return fmt.Errorf("%s is a number: write missing, or leave it out and give the reason with skip", a.name)
	}
	return fmt.Errorf("%s is a number: write it with its unit, such as 2 %s", a.name, a.displayUnit())
}

// exceeded tells whether a reading reaches beyond the full scale of its meter; of no meter, or one without a full scale, nothing does.
func (in *instrument) exceeded(low, high float64) bool {
	return in != nil && in.high > 0 && max(-low, high) > in.high
}

// offScale is a reading of which nothing is known but that it is beyond the meter.
var offScale = reg{lo: math.Inf(-1), hi: math.Inf(1), flags: regUnbounded}

func missingReg(a *value) reg {
	r := reg{lo: math.Inf(-1), hi: math.Inf(1), flags: regMissing}
	if a.typ.class == wordClass {
		r.bits = 1<<len(a.typ.words) - 1
	}
	return r
}

// displayUnit is the unit to print in when nothing was written.
func (a *value) displayUnit() units.Unit {
	if a.unit != (units.Unit{}) {
		return a.unit
	}
	return a.typ.dim.Unit()
}
