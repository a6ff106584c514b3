package eval

import (
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// A ChangeKind says what became of something from one edition to the next.
type ChangeKind string

const (
	Added   ChangeKind = "added"
	Removed ChangeKind = "removed"
	Changed ChangeKind = "changed"
)

// A Change is one difference in meaning between two editions of sheets. Layout, comments, the order of statements, and the unit in which a quantity
// is written make none.
type Change struct {
	Units  []string   `json:"units"` // families or kinds that it concerns, or "shop x"
	What   string     `json:"what"`  // limit, test, fault, remedy, attribute ...
	Name   string     `json:"name"`  // "ring_field.current", "diode_open"
	Aspect string     `json:"aspect,omitempty"`
	Kind   ChangeKind `json:"change"`
	Old    string     `json:"old,omitempty"` // as printed
	New    string     `json:"new,omitempty"`
	Way    string     `json:"way,omitempty"`   // of a limit: tighter, wider, moved, or same bounds where something else about it changed
	Place  string     `json:"place,omitempty"` // file:line:column in the new edition, in the old one for what was removed
}

// CompareEditions lists how the meaning of sheets changed from one edition to another, unit by unit: limits, tests, faults, remedies and all that
// stands around them. What changed for several units alike is listed once. The same sheets give the same list.
func CompareEditions(old, new *Bench) []Change {
	c := &comparison{at: map[changeKey]int{}}
	seen := map[string]bool{}
	for _, m := range slices.Concat(new.proved(), old.proved()) {
		if seen[m.name] {
			continue
		}
		seen[m.name] = true
		what := "kind"
		if m.family {
			what = "family"
		}
		switch was, is := old.model(m.name), new.model(m.name); {
		case was == nil:
			c.add(m.name, Change{What: what, Name: m.name, Kind: Added, New: is.title})
		case is == nil:
			c.add(m.name, Change{What: what, Name: m.name, Kind: Removed, Old: was.title})
		default:
			c.unit(m.name, old.facts(was), new.facts(is))
		}
	}
	shops := maps.Clone(new.inShop)
	maps.Copy(shops, old.inShop)
	for _, shop := range slices.Sorted(maps.Keys(shops)) {
		switch was, is := old.inShop[shop], new.inShop[shop]; {
		case was == nil:
			c.add("shop "+shop, Change{What: "shop", Name: shop, Kind: Added})
		case is == nil:
			c.add("shop "+shop, Change{What: "shop", Name: shop, Kind: Removed})
		default:
			c.unit("shop "+shop, old.shopFacts(was), new.shopFacts(is))
		}
	}
	return c.list
}

// model finds a family or a kind by its name, nil if there is none.
func (b *Bench) model(name string) *model {
	if m := b.families[name]; m != nil {
		return m
	}
	return b.kinds[name]
}

// fact is one thing that a sheet says. Facts of one subject and aspect are paired from edition to edition: first those that mean the same, then those
// with the same hint, from the closest hint to the widest. What finds no partner was added or removed.
type fact struct {
	what, name, aspect string
	hints              []string // none: it is there or not
	meaning            string
	printed            string
	at                 dsl.Range
	limit              *limit // of a limit, with what it asks for
	bounds             string
	whole              bool // stands for the subject itself
}

type comparison struct {
	list []Change
	at   map[changeKey]int
}

// changeKey is a change without the units.
type changeKey struct {
	what, name, aspect, old, new string
	kind                         ChangeKind
}

func (c *comparison) add(unit string, k Change) {
	key := changeKey{k.What, k.Name, k.Aspect, k.Old, k.New, k.Kind}
	if i, ok := c.at[key]; ok {
		if !slices.Contains(c.list[i].Units, unit) {
			c.list[i].Units = append(c.list[i].Units, unit)
		}
		return
	}
	c.at[key] = len(c.list)
	k.Units = []string{unit}
	c.list = append(c.list, k)
}

// subject is what facts are about.
type subject struct{ what, name string }

func (c *comparison) unit(unit string, old, new []fact) {
	before, after := bySubject(old), bySubject(new)
	for _, s := range subjects(old, new) {
		x, y := before[s], after[s]
		switch {
		case !hasWhole(x) && !hasWhole(y):
			c.subject(unit, s, x, y)
		case !hasWhole(x):
			k := y[slices.IndexFunc(y, isWhole)]
			c.add(unit, Change{What: s.what, Name: s.name, Kind: Added, New: k.printed, Place: placeText(k.at)})
		case !hasWhole(y):
			k := x[slices.IndexFunc(x, isWhole)]
			c.add(unit, Change{What: s.what, Name: s.name, Kind: Removed, Old: k.printed, Place: placeText(k.at)})
		default:
			c.subject(unit, s, x, y)
		}
	}
}

func isWhole(f fact) bool       { return f.whole }
func hasWhole(list []fact) bool { return slices.ContainsFunc(list, isWhole) }

// placeText writes a place, and nothing for what has none.
func placeText(r dsl.Range) string {
	if r.Pos.Line == 0 {
		return ""
	}
	return r.Pos.String()
}

// change fills in what a change is about.
func (f *fact) change(k Change) Change {
	k.What, k.Name, k.Aspect = f.what, f.name, f.aspect
	return k
}

func bySubject(list []fact) map[subject][]fact {
	by := map[subject][]fact{}
	for _, f := range list {
		s := subject{f.what, f.name}
		by[s] = append(by[s], f)
	}
	return by
}

// subjects lists what both editions speak of: sorts in a fixed order, within a sort those of the new edition first.
func subjects(old, new []fact) []subject {
	var list []subject
	seen := map[subject]bool{}
	for _, f := range slices.Concat(new, old) {
		if s := (subject{f.what, f.name}); !seen[s] {
			seen[s] = true
			list = append(list, s)
		}
	}
	slices.SortStableFunc(list, func(x, y subject) int { return slices.Index(sorts, x.what) - slices.Index(sorts, y.what) })
	return list
}

// sorts are what facts are about, in the order in which changes are listed.
var sorts = []string{"limit", "grade", "pattern", "rule", "release", "renew", "test", "fault", "remedy", "cause", "part", "attribute", "variant", "include", "require", "condition", "instrument", "law", "caution", "stage", "terminal", "positions", "polarity"}

// subject pairs the facts of one subject, aspect by aspect.
func (c *comparison) subject(unit string, s subject, old, new []fact) {
	usedOld, usedNew := make([]bool, len(old)), make([]bool, len(new))
	pair := func(fits func(x, y *fact) bool) {
		for j := range new {
			for i := range old {
				if usedOld[i] || usedNew[j] || old[i].aspect != new[j].aspect || !fits(&old[i], &new[j]) {
					continue
				}
				usedOld[i], usedNew[j] = true, true
				if old[i].meaning != new[j].meaning {
					c.add(unit, changed(&old[i], &new[j]))
				}
			}
		}
	}
	pair(func(x, y *fact) bool { return x.meaning == y.meaning && slices.Equal(x.hints, y.hints) })
	for level := range maxHints {
		pair(func(x, y *fact) bool {
			return level < len(x.hints) && level < len(y.hints) && x.hints[level] == y.hints[level]
		})
	}
	for j := range new {
		if !usedNew[j] {
			c.add(unit, new[j].change(Change{Kind: Added, New: new[j].printed, Place: placeText(new[j].at)}))
		}
	}
	for i := range old {
		if !usedOld[i] {
			c.add(unit, old[i].change(Change{Kind: Removed, Old: old[i].printed, Place: placeText(old[i].at)}))
		}
	}
}

// maxHints is how many hints a fact has at most.
const maxHints = 4

func changed(x, y *fact) Change {
	k := y.change(Change{Kind: Changed, Old: x.printed, New: y.printed, Place: placeText(y.at)})
	switch {
	case x.limit == nil || y.limit == nil:
	case x.bounds == y.bounds:
		k.Way = "same bounds"
	default:
		k.Way = way(x.limit, y.limit)
	}
	if k.Old == k.New && y.limit == nil { // what differs is not printed: another name, or a formula behind it
		k.Old, k.New = strings.TrimSpace(x.printed+" (before)"), strings.TrimSpace(y.printed+" (now)")
	}
	return k
}

// way says how a limit moved, as far as its bounds are numbers.
func way(x, y *limit) string {
	tighter, wider, known := false, false, true
	compare := func(a, b *bound, sign float64) {
		switch {
		case a == nil && b == nil:
			return
		case a == nil:
			tighter = true
			return
		case b == nil:
			wider = true
			return
		}
		p, ok1 := a.x.constant()
		q, ok2 := b.x.constant()
		known = known && ok1 && ok2
		switch d := (q - p) * sign; {
		case meaning(a.x) == meaning(b.x):
			tighter, wider = tighter || b.open && !a.open, wider || a.open && !b.open
		case d > 0:
			tighter = true
		default:
			wider = true
		}
	}
	compare(x.low, y.low, 1)
	compare(x.high, y.high, -1)
	switch {
	case x.along != nil || y.along != nil || x.alike != nil || y.alike != nil || !known:
		return ""
	case tighter && wider:
		return "moved"
	case tighter:
		return "tighter"
	case wider:
		return "wider"
	}
	return ""
}
