package eval

import (
	"fmt"
	"slices"

	"github.com/brushgear/brushgear/dsl"
)

// Limits and set values of one layer that hold at once, and days on which none does.

// checkLimits orders the limits of a check, highest layer first, and reports those that contradict each other.
func (b *builder) checkLimits(c *check) {
	slices.SortStableFunc(c.limits, func(x, y *limit) int { return int(y.layer.rank - x.layer.rank) })
	var dated []dated
	for i, x := range c.limits {
		if x.declares {
			continue
		}
		for _, y := range c.limits[:i] {
			if !y.declares && x.layer.rank == y.layer.rank && meet(x.index, y.index) && overlap(x.source, y.source) {
				b.conflict(c, y, x)
			}
		}
		dated = append(dated, datedLimit(x))
		for _, at := range x.at {
			if !slices.ContainsFunc(c.val.laws, func(k *correction) bool { return k.from == at.cond }) && !b.misfits[c.val] {
				b.c.report(dsl.CodeNoCorrection, x.src, fmt.Sprintf("this limit holds at %s %s, but nothing brings a reading there", at.cond.name, at.text),
					fmt.Sprintf("write correct %s by copper from %s in the test, or another law", c.val.name, at.cond.name))
			}
		}
	}
	b.gaps("limit", dated)
}

// conflict reports two limits of one layer if there are units for which both hold.
func (b *builder) conflict(c *check, first, second *limit) {
	example, both := b.together(slices.Concat(first.conditions(), second.conditions())...)
	if !both {
		return
	}
	message := fmt.Sprintf("two limits of %s hold at once in %s", c.label(), second.layer.name)
	if example != "" {
		message += ", when " + example
	}
	b.c.report(dsl.CodeLimitConflict, second.src, message, "give them conditions that exclude each other (when ...), or sources with separate dates",
		dsl.Related{Range: first.src, Message: "the other is here"})
}

// conditions lists what must hold for the limit to count, dates aside.
func (l *limit) conditions() []*expr {
	list := l.layer.conditions()
	if l.when != nil {
		list = append(list, l.when)
	}
	return list
}

// meet tells whether two limits can be for one position; none stands for all.
func meet(x, y []string) bool { return x == nil || y == nil || slices.Equal(x, y) }

// overlap tells whether two sources are in force on a common day.
func overlap(x, y *source) bool {
	switch {
	case x == unknownSource || y == unknownSource:
		return false
	case x == nil || y == nil || x == y:
		return true
	}
	return (x.until == 0 || y.from == 0 || y.from <= x.until) && (y.until == 0 || x.from == 0 || x.from <= y.until)
}

// dated is something of which one edition is in force on a day. Those that are alike but for their dates have one key.
type dated struct {
	key    string
	source *source
	src    dsl.Range
}

func datedLimit(l *limit) dated {
	return dated{fmt.Sprint(l.layer.name, l.index, l.whenText), l.source, l.src}
}

// gaps reports days on which none is in force, between two that have dates.
func (b *builder) gaps(what string, list []dated) {
	for _, x := range list {
		if x.source == nil || x.source.until == 0 {
			continue
		}
		var next *dated
		for i, y := range list {
			if y.key == x.key && y.source != nil && y.source.from > x.source.until && (next == nil || y.source.from < next.source.from) {
				next = &list[i]
			}
		}
		if next == nil {
			lasts := func(y dated) bool { return y.source == nil || y.source.until == 0 || y.source.until > x.source.until }
			if !slices.ContainsFunc(list, lasts) {
				b.c.warn(dsl.CodeDates, x.src, fmt.Sprintf("no edition of this %s is in force after %s", what, x.source.until),
					"write what holds since then, with a source of its own; or leave until out of this one")
			}
			continue
		}
		if next.source.from == x.source.until.next() {
			continue
		}
		from, to := x.source.until.next(), next.source.from.before()
		days := "on " + from.String()
		if from != to {
			days = fmt.Sprintf("from %s to %s", from, to)
		}
		b.c.report(dsl.CodeDates, next.src, fmt.Sprintf("no edition of this %s is in force %s", what, days),
			"let one edition follow the other, or say what held between them", dsl.Related{Range: x.src, Message: "the edition before is here"})
	}
}
