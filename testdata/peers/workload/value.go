package workload

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/brushgear/brushgear/units"
)

// A Value is a reading of a test, or a formula of two readings or conditions.
type Value struct {
	Test      string
	Name      string
	Unit      string   // as the sheet writes it; empty for words
	Words     []string // of a word reading, good ones first
	Positions []string // of a list
	Formula   *Formula // nil for a reading
	Copper    bool     // brought to 20 °C before it is judged

	nominal float64 // SI units, at 20 °C
	good    int     // how many of Words are good
}

// A Formula joins two numbers by +, -, * or /.
type Formula struct {
	X, Y *Value
	Op   string
}

// A Set holds one value for each reading and condition by its Ident: a float64 in SI units or a word. It is the environment of the
// expression program as it stands.
type Set map[string]any

// Path is the value's name in the sheet language.
func (v *Value) Path() string { return strings.TrimPrefix(v.Test+"."+v.Name, ".") }

// Ident is the value's name in the expression program.
func (v *Value) Ident() string { return strings.ReplaceAll(v.Path(), ".", "_") }

// Idents are the keys of a reading in a Set: one, or one for each position of a list.
func (v *Value) Idents() []string {
	if v.Positions == nil {
		return []string{v.Ident()}
	}
	idents := make([]string, len(v.Positions))
	for i, p := range v.Positions {
		idents[i] = v.Ident() + "_" + p
	}
	return idents
}

// Judged is the name of what limits apply to in the expression program: a variable, since looking up a reading costs more.
func (v *Value) Judged() string {
	switch {
	case v.Copper:
		return v.Ident() + "_at_20"
	case v.Formula == nil:
		return v.Ident() + "_taken"
	}
	return v.Ident()
}

// The copper law R₂ = R₁ (234.5 + t₂) / (234.5 + t₁), t in °C (IEEE 118), with t₂ = 20 °C and t₁ from the winding's temperature in K.
const (
	copperAt20 = 234.5 + 20
	copperZero = 273.15 - 234.5
)

// Number computes the value as a person who writes Go by hand would.
func (v *Value) Number(s Set) float64 {
	x := 0.0
	if v.Formula == nil {
		x = s[v.Ident()].(float64)
	} else {
		x = v.Formula.apply(v.Formula.X.Number(s), v.Formula.Y.Number(s))
	}
	if v.Copper {
		x *= copperAt20 / (s[windingTemp].(float64) - copperZero)
	}
	return x
}

func (f *Formula) apply(x, y float64) float64 {
	switch f.Op {
	case "+":
		return x + y
	case "-":
		return x - y
	case "*":
		return x * y
	}
	return x / y
}

// A Quantity is a number as a sheet prints it and its value in SI units.
type Quantity struct {
	Text string
	SI   float64
}

// rounded makes a quantity of three significant digits from a value in SI units.
func rounded(si float64, unit string) Quantity {
	x := units.FromSI(si, units.MustUnit(unit)).Value()
	digits := max(0, 2-int(math.Floor(math.Log10(math.Abs(x)))))
	text := strconv.FormatFloat(x, 'f', digits, 64) + " " + unit
	return Quantity{text, units.Must(text).SI()}
}

// number writes a float64 for the expression program without loss.
func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

func quoted(words []string) string {
	q := make([]string, len(words))
	for i, w := range words {
		q[i] = strconv.Quote(w)
	}
	return strings.Join(q, ", ")
}

func (f *Formula) text(name func(*Value) string) string {
	return fmt.Sprintf("%s %s %s", name(f.X), f.Op, name(f.Y))
}
