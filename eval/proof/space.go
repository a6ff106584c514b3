package proof

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A Space lists the variables that conditions speak of. Conditions and terms name a variable by its place in the list.
type Space []Variable

// A Variable is a number, or one of some words if Words is not 0. A truth is a variable of two words.
type Variable struct {
	Name  string
	Words int // how many words, at most 64

	// Bounds of a number, each of them possible itself unless it is open. An infinite bound is never reached.
	Low, High         float64
	LowOpen, HighOpen bool

	// Whole says that the number is a whole one.
	Whole bool

	// Opaque marks a variable whose value nobody can choose, since it follows from something that is not known here. A point that needs a certain
	// value of it is no witness.
	Opaque bool

	// Loose marks a number that can be chosen, but may hang together with other loose ones in a way that is not known here. A point that needs two of
	// them is no witness.
	Loose bool

	// Pick returns a number that reads well, from the open interval between low and high, which can be infinite. Nil takes a short decimal. What
	// lies outside of the interval is not taken.
	Pick func(low, high float64) float64
}

// Key writes the space down as Condition.Key does a condition. What Pick does is left out.
func (s Space) Key() string {
	var b strings.Builder
	for _, v := range s {
		fmt.Fprintf(&b, "%s %d %b %b %t %t %t %t %t\n", v.Name, v.Words, v.Low, v.High, v.LowOpen, v.HighOpen, v.Whole, v.Opaque, v.Loose)
	}
	return b.String()
}

// Number is a variable that can be any number.
func Number(name string) Variable {
	return Variable{Name: name, Low: math.Inf(-1), High: math.Inf(1)}
}

// Word is a variable that is one of n words.
func Word(name string, n int) Variable { return Variable{Name: name, Words: n} }

// A Point is one value for each variable of a space: a number, or the place of a word.
type Point []float64

// Short returns a number of few digits between low and high, exclusive; false if there is no float64 between them.
func Short(low, high float64) (float64, bool) {
	switch {
	case math.Nextafter(low, high) >= high:
		return 0, false
	case low < 0 && high > 0:
		return 0, true
	case high <= 0:
		v, ok := Short(-high, -low)
		return -v, ok
	case math.IsInf(high, 1):
		high = max(2*low, low+2)
		if math.IsInf(high, 1) {
			high = math.MaxFloat64
		}
	}
	middle := low + (high-low)/2
	for digits := 1; digits <= 17; digits++ {
		v, err := strconv.ParseFloat(strconv.FormatFloat(middle, 'e', digits-1, 64), 64)
		if err == nil && v > low && v < high {
			return v, true
		}
	}
	return math.Nextafter(low, high), true
}

// between returns a number of a variable in an open interval; false if there is none.
func (v *Variable) between(low, high float64) (float64, bool) {
	if v.Whole {
		x := math.Floor(low) + 1
		if math.IsInf(low, -1) {
			x = math.Min(math.Ceil(high)-1, 0)
		}
		return x + 0, x < high
	}
	if v.Pick != nil {
		if x := v.Pick(low, high); x > low && x < high {
			return x, true
		}
	}
	return Short(low, high)
}
