package trials

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// Coverage tells what the trials of a suite try of what its sheets say.
type Coverage struct{ Families []FamilyCoverage }

// FamilyCoverage is the coverage of one family.
type FamilyCoverage struct {
	Family string
	Trials int // that passed
	Items  []Item
}

// A State is how far the trials go with one thing that a sheet says.
type State string

// How far trials go.
const (
	Tried   State = "tried"   // a trial that passed expects it, and nothing else in its place
	Reached State = "reached" // a trial that passed came by, but does not say that it should
	Missing State = "missing" // no trial comes by
)

// An Item is one thing that a sheet says, and how far the trials go with it.
type Item struct {
	eval.Aim
	State State
}

// Coverage counts what the trials of a report try of every family of the sheets. Only trials that passed count. What there is to try is said at
// [eval.Bench.Aims]; the families are judged by the same shop as in the run.
func (s *Suite) Coverage(report *Report, o Options) (*Coverage, error) {
	c := &Coverage{}
	for _, name := range s.bench.Families() {
		var options []eval.Option
		if o.Shop != "" {
			options = append(options, eval.InShop(o.Shop))
		}
		aims, err := s.bench.Aims(name, options...)
		if err != nil {
			return nil, err
		}
		f := FamilyCoverage{Family: name}
		state := map[eval.Aim]State{}
		for _, res := range report.Results {
			if res.Status != Passed || res.Trial.Family != name {
				continue
			}
			f.Trials++
			for _, r := range res.Verdict.Reached(res.Trial) {
				switch {
				case r.Expected:
					state[r.Aim] = Tried
				case state[r.Aim] == "":
					state[r.Aim] = Reached
				}
			}
		}
		for _, a := range aims {
			item := Item{a, state[a]}
			if item.State == "" {
				item.State = Missing
			}
			f.Items = append(f.Items, item)
		}
		c.Families = append(c.Families, f)
	}
	return c, nil
}

// Count returns how many items of a kind are tried, and how many there are; without a kind, of all kinds.
func (f *FamilyCoverage) Count(kind eval.AimKind) (tried, all int) {
	for _, i := range f.Items {
		if kind == "" || i.Kind == kind {
			all++
			if i.State == Tried {
				tried++
			}
		}
	}
	return tried, all
}

// Share gives a share in words: the counts, and whole percents rounded down, so that 100 % says all.
func Share(tried, all int) string {
	if all == 0 {
		return "none to try"
	}
	return fmt.Sprintf("%d of %d (%d %%)", tried, all, 100*tried/all)
}

var kinds = []struct {
	kind eval.AimKind
	name string
}{{eval.OutcomeAim, "outcomes"}, {eval.EdgeAim, "edges of limits"}, {eval.FaultAim, "faults"}, {eval.VariantAim, "variants"}}

// text writes the counts, then what is missing, a line for each check, fault and variant.
func (c *Coverage) text(w io.Writer) {
	for i := range c.Families {
		f := &c.Families[i]
		if f.Trials == 0 {
			_, all := f.Count("")
			fmt.Fprintf(w, "%s: no trial, nothing of %d tried\n", f.Family, all)
			continue
		}
		fmt.Fprintf(w, "%s: tried %s by %s\n", f.Family, Share(f.Count("")), counted(f.Trials, "trial"))
		for _, k := range kinds {
			if tried, all := f.Count(k.kind); all > 0 {
				fmt.Fprintf(w, "  %-16s %s\n", k.name, Share(tried, all))
			}
		}
		for _, line := range f.gaps() {
			fmt.Fprintf(w, "    %s\n", line)
		}
	}
}

// gaps says what is not tried, together for each check, fault and variant.
func (f *FamilyCoverage) gaps() []string {
	var lines []string
	for i := 0; i < len(f.Items); {
		j := i
		for j < len(f.Items) && f.Items[j].Kind == f.Items[i].Kind && f.Items[j].Name == f.Items[i].Name {
			j++
		}
		var parts []string
		if missing := words(f.Items[i:j], Missing); missing != "" {
			parts = append(parts, "no trial "+missing)
		}
		if reached := words(f.Items[i:j], Reached); reached != "" {
			parts = append(parts, "a trial "+reached+", but does not expect it")
		}
		if len(parts) > 0 {
			lines = append(lines, f.Items[i].subject()+": "+strings.Join(parts, "; "))
		}
		i = j
	}
	return lines
}

// words names the items of one subject that are in a state. Edges at one place along another quantity are named together.
func words(items []Item, s State) string {
	var text strings.Builder
	verb, where := "", ""
	end := func() {
		if where != "" {
			text.WriteString(" where " + where)
		}
	}
	for _, i := range items {
		if i.State != s {
			continue
		}
		v, object := i.verb()
		switch {
		case verb == "":
			text.WriteString(v + " " + object)
		case i.where() != where:
			end()
			text.WriteString("; " + v + " " + object)
		case v != verb:
			text.WriteString(", " + v + " " + object)
		default:
			text.WriteString(", " + object)
		}
		verb, where = v, i.where()
	}
	end()
	return text.String()
}

// subject names what an item is of.
func (i Item) subject() string {
	switch i.Kind {
	case eval.FaultAim:
		return "fault " + i.Name
	case eval.VariantAim:
		if i.Name == "" {
			return "no variant"
		}
		return "variant " + i.Name
	}
	return i.Name
}

// what names an item beside its subject.
func (i Item) what() string {
	verb, object := i.verb()
	text := verb + " " + object
	if w := i.where(); w != "" {
		text += " where " + w
	}
	return text
}

func (i Item) verb() (verb, object string) {
	switch {
	case i.Kind == eval.OutcomeAim:
		return "gives", i.Word
	case i.Kind == eval.VariantAim:
		return "is", "of it"
	case i.Kind == eval.FaultAim && i.Word == eval.AimShown:
		return "shows", "it"
	case i.Kind == eval.FaultAim:
		return "rules", "it out"
	case i.Word == eval.AimBeyond:
		return "at", i.Next.String()
	}
	return "at", i.Edge.String()
}

// where is the place of an edge along another quantity.
func (i Item) where() string {
	if i.Along == "" {
		return ""
	}
	return strings.ReplaceAll(i.Along, "_", " ") + " is " + i.Where.String()
}

type jsonItem struct {
	Kind  eval.AimKind `json:"kind"`
	Name  string       `json:"name,omitempty"`
	What  string       `json:"what"`
	State State        `json:"state"`
	Place dsl.Position `json:"at"`
}

type jsonCount struct {
	Tried int `json:"tried"`
	All   int `json:"all"`
}

type jsonFamily struct {
	Family string               `json:"family"`
	Trials int                  `json:"trials"`
	Counts map[string]jsonCount `json:"counts"`
	Items  []jsonItem           `json:"items"`
}

// MarshalJSON writes for each family the counts, and all items with their states.
func (c *Coverage) MarshalJSON() ([]byte, error) {
	families := []jsonFamily{}
	for i := range c.Families {
		f := &c.Families[i]
		j := jsonFamily{Family: f.Family, Trials: f.Trials, Counts: map[string]jsonCount{}, Items: []jsonItem{}}
		for _, k := range kinds {
			tried, all := f.Count(k.kind)
			j.Counts[string(k.kind)] = jsonCount{tried, all}
		}
		for _, item := range f.Items {
			j.Items = append(j.Items, jsonItem{item.Kind, item.Name, item.what(), item.State, item.Place.Pos})
		}
		families = append(families, j)
	}
	return json.Marshal(families)
}

// Missing lists what no trial expects, in sheet order.
func (f *FamilyCoverage) Missing() []Item {
	return slices.DeleteFunc(slices.Clone(f.Items), func(i Item) bool { return i.State == Tried })
}
