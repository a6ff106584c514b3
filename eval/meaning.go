package eval

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// The meaning of expressions and references as texts that are equal when the meaning is: units are brought to SI, the order of what can change places
// is settled, words stand for themselves. They are made to be compared, not read.

// commutes lists the operations whose operands can change places, with those that can be joined to one.
var commutes = map[exprOp]bool{opAdd: true, opMul: true, opAnd: true, opOr: true, opEquals: true}

func meaning(e *expr) string {
	if e == nil {
		return ""
	}
	switch e.op {
	case opConst:
		return exactText(e.num)
	case opDate:
		return day(e.num).String()
	case opText:
		return strconv.Quote(strings.ToUpper(strings.Join(serialParts(e.text), " ")))
	case opValue, opForeign:
		return e.unit + "/" + e.val.path() + indexText(e.index)
	case opOfPass:
		return "/" + e.val.path() + indexText(e.index) + " " + e.pass
	case opVariant:
		return meaning(e.variant.when)
	case opPosition:
		return "position " + e.axis.name
	case opSerial:
		return "serial"
	case opBuilt:
		return "built"
	case opOutcome:
		return e.ref.meaning()
	case opWordIs:
		return meaning(e.args[0]) + " is " + strings.Join(chosen(e.args[0].typ.words, e.mask, e.negate), "|")
	case opTextIs:
		return meaning(e.args[0]) + " is " + strings.Join(slices.Sorted(slices.Values(e.texts)), "|") + fmt.Sprint(e.negate)
	case opNumberIs:
		var list []string
		for _, a := range e.args[1:] {
			list = append(list, meaning(a))
		}
		slices.Sort(list)
		return meaning(e.args[0]) + " is " + strings.Join(list, "|") + fmt.Sprint(e.negate)
	case opAlike:
		return meaning(e.args[0]) + " " + e.alike.meaning()
	}
	list := operands(e, e.op)
	if commutes[e.op] {
		slices.Sort(list)
	}
	return fmt.Sprintf("%d(%s)", e.op, strings.Join(list, ", "))
}

// operands lists the meanings of what an operation joins; of one that can be written without brackets all that it joins in the end.
func operands(e *expr, op exprOp) []string {
	var list []string
	for _, a := range e.args {
		if a.op == op && commutes[op] && op != opEquals {
			list = append(list, operands(a, op)...)
		} else {
			list = append(list, meaning(a))
		}
	}
	return list
}

// exactText writes a number of SI units so that it can be told from every other, but for errors of the last bits that a change of unit makes.
func exactText(si float64) string { return strconv.FormatFloat(si, 'g', 14, 64) }

// path names a value with its test.
func (v *value) path() string {
	if v.test != nil {
		return v.test.name + "." + v.name
	}
	return v.name
}

func indexText(index []string) string {
	if len(index) == 0 {
		return ""
	}
	return "[" + joinComma(index) + "]"
}

// chosen lists the words of a mask in the order of the alphabet.
func chosen(words []string, mask uint64, not bool) []string {
	var list []string
	for i, w := range words {
		if (mask&(1<<i) != 0) != not {
			list = append(list, w)
		}
	}
	slices.Sort(list)
	return list
}

func (o *outcomeRef) meaning() string {
	if o == nil {
		return ""
	}
	text := o.name() + " is "
	if o.not {
		text += "not "
	}
	return text + strings.Join(slices.Sorted(slices.Values(o.words)), "|")
}

// name is the check that a reference names, as a sheet writes it.
func (o *outcomeRef) name() string {
	parts := []string{o.test}
	if o.unit != "" {
		parts = []string{o.unit, o.test}
	}
	if o.value != "" {
		parts = append(parts, o.value)
	}
	if o.alike {
		parts = append(parts, "alike")
	}
	return strings.Join(parts, ".") + indexText(o.index)
}

func (a *alikeLimit) meaning() string {
	if a == nil {
		return ""
	}
	return fmt.Sprint("alike ", meaning(a.tolerance), a.relative, a.by)
}

func (x *bound) meaning() string {
	if x == nil {
		return "none"
	}
	return fmt.Sprint(meaning(x.x), x.open)
}

func (s *source) meaning() string {
	if s == nil {
		return ""
	}
	return fmt.Sprintf("%q %q %q %d %d", s.title, s.edition, s.status, s.from, s.until)
}

func (c *curve) meaning() string {
	if c == nil {
		return ""
	}
	text := fmt.Sprint("along ", c.cond.name, c.linear, c.down, c.up)
	number := func(x *float64, open bool) string {
		if x == nil {
			return "none"
		}
		return exactText(*x) + fmt.Sprint(open)
	}
	for _, r := range c.rows {
		text += fmt.Sprint("; ", exactText(r.at), " ", number(r.low, r.lowOpen), " ", number(r.high, r.highOpen))
	}
	return text
}

// bounds is what a limit asks for: its shape, that of a new part, its references and its curve.
func (l *limit) boundsMeaning(c *check) string {
	var at []string
	for _, r := range l.at {
		at = append(at, r.cond.name+" "+exactText(r.si))
	}
	slices.Sort(at)
	words := ""
	if c.kind == wordCheck {
		words = strings.Join(chosen(c.val.typ.words, l.words, false), "|")
	}
	return strings.Join([]string{l.low.meaning(), l.high.meaning(), l.newLow.meaning(), l.newHigh.meaning(), l.alike.meaning(), l.along.meaning(), strings.Join(at, ","), words}, " / ")
}

// typeMeaning is what a value can hold. The unit in which it is printed changes nothing.
func (v *value) typeMeaning() string {
	t := v.typ
	quantities := slices.Sorted(slices.Values(v.quantities))
	return fmt.Sprint(t.class, t.dim.Name(), slices.Sorted(slices.Values(t.words)), quantities, axisNames(t.axes), t.table)
}
