package workload

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Check is one thing that the sheet says of the readings, in the four forms in which this package needs it.
type Check interface {
	Path() string                // its name in the sheet language
	Outcomes() []Outcome         // in the sheet's order
	Judge(Set) string            // the outcome, in plain Go
	Program(words string) string // an expression that is true if the outcome is this word
	Sheet() string               // statements of the sheet language
	HCL() string                 // the same as blocks and attributes
}

// An Outcome is a word with its result.
type Outcome struct {
	Word   string
	Result Result
}

// Result is what an outcome means for the unit.
type Result uint8

// The results that the workload uses.
const (
	Fail Result = iota
	Marginal
	Pass
)

var failed = [...]string{"low", "high"}

// Bounds limits a number. A nil bound leaves that side open.
type Bounds struct {
	*Value
	Low, High *Quantity
}

func (c *Bounds) Outcomes() []Outcome {
	out := []Outcome{{"good", Pass}}
	for i, q := range []*Quantity{c.Low, c.High} {
		if q != nil {
			out = append(out, Outcome{failed[i], Fail})
		}
	}
	return out
}

func (c *Bounds) Judge(s Set) string {
	switch x := c.Number(s); {
	case c.Low != nil && x < c.Low.SI:
		return "low"
	case c.High != nil && x > c.High.SI:
		return "high"
	}
	return "good"
}

func (c *Bounds) Program(word string) string {
	x := c.Judged()
	switch {
	case word == "low":
		return x + " < " + number(c.Low.SI)
	case word == "high":
		return x + " > " + number(c.High.SI)
	case c.High == nil:
		return x + " >= " + number(c.Low.SI)
	case c.Low == nil:
		return x + " <= " + number(c.High.SI)
	}
	return fmt.Sprintf("%s >= %s && %[1]s <= %[3]s", x, number(c.Low.SI), number(c.High.SI))
}

func (c *Bounds) Sheet() string {
	text := ""
	switch {
	case c.High == nil:
		text = "at least " + c.Low.Text
	case c.Low == nil:
		text = "at most " + c.High.Text
	default:
		text = c.Low.Text + " to " + c.High.Text
	}
	if c.Copper {
		text += " at winding_temp 20 °C"
	}
	return "limit " + c.Name + " " + text
}

func (c *Bounds) HCL() string {
	text := ""
	switch {
	case c.High == nil:
		text = fmt.Sprintf("at_least = %q", c.Low.Text)
	case c.Low == nil:
		text = fmt.Sprintf("at_most = %q", c.High.Text)
	default:
		text = fmt.Sprintf("range = [%q, %q]", c.Low.Text, c.High.Text)
	}
	if c.Copper {
		return block("limit", c.Name, text, `at = { winding_temp = "20 °C" }`)
	}
	return block("limit", c.Name, text)
}

// Words limits a word reading to its good words.
type Words struct{ *Value }

func (c *Words) Outcomes() []Outcome {
	out := []Outcome{{"good", Pass}}
	for _, w := range c.Words[c.good:] {
		out = append(out, Outcome{w, Fail})
	}
	return out
}

func (c *Words) Judge(s Set) string {
	word := s[c.Ident()].(string)
	if slices.Contains(c.Words[:c.good], word) {
		return "good"
	}
	return word
}

func (c *Words) Program(word string) string {
	if word == "good" {
		return equals(c.Judged(), c.Words[:c.good])
	}
	return equals(c.Judged(), []string{word})
}

func (c *Words) Sheet() string {
	return "limit " + c.Name + " is " + strings.Join(c.Words[:c.good], " | ")
}

func (c *Words) HCL() string {
	return block("limit", c.Name, "is = ["+quoted(c.Words[:c.good])+"]")
}

// A Grade cuts a number at rising points into outcomes, the last of them open above.
type Grade struct {
	*Value
	Rungs []Outcome
	Cuts  []Quantity
}

func (c *Grade) Outcomes() []Outcome { return c.Rungs }

func (c *Grade) Judge(s Set) string {
	x := c.Number(s)
	for i, cut := range c.Cuts {
		if x < cut.SI {
			return c.Rungs[i].Word
		}
	}
	return c.Rungs[len(c.Cuts)].Word
}

func (c *Grade) Program(word string) string {
	i := slices.IndexFunc(c.Rungs, func(o Outcome) bool { return o.Word == word })
	var parts []string
	if i > 0 {
		parts = append(parts, c.Judged()+" >= "+number(c.Cuts[i-1].SI))
	}
	if i < len(c.Cuts) {
		parts = append(parts, c.Judged()+" < "+number(c.Cuts[i].SI))
	}
	return strings.Join(parts, " && ")
}

func (c *Grade) Sheet() string {
	var rungs []string
	for i, o := range c.Rungs {
		text := o.Word
		if o.Result == Marginal {
			text += " as marginal"
		}
		if i < len(c.Cuts) {
			text += " below " + c.Cuts[i].Text
		}
		rungs = append(rungs, text)
	}
	return "grade " + c.Name + " : " + strings.Join(rungs, " | ")
}

func (c *Grade) HCL() string {
	var rungs []string
	for i, o := range c.Rungs {
		text := fmt.Sprintf("{ outcome = %q", o.Word)
		if o.Result == Marginal {
			text += `, as = "marginal"`
		}
		if i < len(c.Cuts) {
			text += fmt.Sprintf(", below = %q", c.Cuts[i].Text)
		}
		rungs = append(rungs, text+" }")
	}
	return block("grade", c.Name, "rungs = ["+strings.Join(rungs, ", ")+"]")
}

// Alike compares the members of a list with their mean.
type Alike struct {
	*Value
	Percent float64
}

// odd are the outcomes of a list that is not alike. Which of them a list has is not part of the workload: faults name all three.
var odd = []string{"one_low", "one_high", "mixed"}

func (c *Alike) Path() string { return c.Value.Path() + ".alike" }

func (c *Alike) Outcomes() []Outcome {
	return []Outcome{{"good", Pass}, {odd[0], Fail}, {odd[1], Fail}, {odd[2], Fail}}
}

func (c *Alike) Judge(s Set) string {
	mean, widest := 0.0, 0.0
	for _, id := range c.Idents() {
		mean += s[id].(float64) / float64(len(c.Positions))
	}
	for _, id := range c.Idents() {
		widest = max(widest, math.Abs(s[id].(float64)-mean))
	}
	if widest/mean <= c.Percent/100 {
		return "good"
	}
	return "mixed"
}

func (c *Alike) Program(word string) string {
	op := "<="
	if word != "good" {
		op = ">"
	}
	return fmt.Sprintf("%s_off %s %s", c.Ident(), op, number(c.Percent/100))
}

func (c *Alike) lets() string {
	ids := c.Idents()
	mean, parts := c.Ident()+"_mean", make([]string, len(ids))
	for i, id := range ids {
		parts[i] = fmt.Sprintf("abs(%s - %s)", id, mean)
	}
	return fmt.Sprintf("let %s = (%s) / %d;\nlet %s_off = max(%s) / %[1]s;\n", mean, strings.Join(ids, " + "), len(ids), c.Ident(), strings.Join(parts, ", "))
}

func (c *Alike) Sheet() string { return fmt.Sprintf("limit %s alike %g %% by mean", c.Name, c.Percent) }

func (c *Alike) HCL() string {
	return block("limit", c.Name, fmt.Sprintf(`alike = "%g %%"`, c.Percent), `by = "mean"`)
}
