package eval

import (
	"slices"

	"github.com/brushgear/brushgear/dsl"
)

// What a layer or a block can say once: a second statement would quietly take the place of the first.

// once reports a second statement of a sort of which a layer has one.
func (b *builder) once(it item, what string) {
	if first, ok := b.onces[what]; ok && first.layer.name == it.layer.name {
		b.c.report(dsl.CodeDuplicateName, it.stmt.Span(), what+" stands twice in "+it.layer.name, "leave one out", dsl.Related{Range: first.stmt.Span(), Message: "the first is here"})
	}
	b.onces[what] = it
}

// onceIn reports statements of a block of which there can be one.
func (b *builder) onceIn(block string, body []dsl.Stmt) {
	said := map[string]dsl.Stmt{}
	for _, st := range body {
		what := onceWord(st)
		if what == "" {
			continue
		}
		if first := said[what]; first != nil {
			b.c.report(dsl.CodeDuplicateName, st.Span(), what+" stands twice in "+block, "leave one out", dsl.Related{Range: first.Span(), Message: "the first is here"})
			continue
		}
		said[what] = st
	}
}

func onceWord(st dsl.Stmt) string {
	switch st.(type) {
	case *dsl.AtStage:
		return "stage"
	case *dsl.Takes:
		return "takes"
	case *dsl.Run:
		return "run"
	case *dsl.Echoes:
		return "echoes"
	case *dsl.Allowed:
		return "allowed"
	case *dsl.Regret:
		return "regret"
	case *dsl.Because:
		return "because"
	}
	return ""
}

// shownOnce reports an outcome of which a fault says twice how surely it shows it, be it by an effect, and one that it never shows as well.
func (b *builder) shownOnce(f *fault, block dsl.Range) {
	shown := map[string][]*show{}
	for _, s := range f.shows {
		key := s.ref.check()
		for _, other := range shown[key] {
			clash := s.clash(other)
			if clash == "" {
				continue
			}
			if _, both := b.together(given(s.when, other.when)...); !both {
				continue
			}
			here, there := s.src, other.src
			if !block.Contains(here.Pos) {
				here, there = there, here // it comes from an effect
			}
			b.c.report(dsl.CodeStrength, here, "fault "+f.name+" "+clash, "leave one out, or give them conditions that exclude each other",
				dsl.Related{Range: there, Message: "the other is here"})
			break
		}
		shown[key] = append(shown[key], s)
	}
}

// clash says in which way two statements of a fault on one check cannot stand beside each other; empty if they can.
func (s *show) clash(other *show) string {
	never, otherNever := s.strength.never(), other.strength.never()
	anything, otherAnything := s.strength.any, other.strength.any
	if never && otherNever || anything && otherAnything {
		return ""
	}
	if anything || otherAnything {
		if never || otherNever {
			return ""
		}
		return "shows anything at a check, and says how surely it shows one outcome of it"
	}
	at := slices.IndexFunc(s.ref.words, func(w string) bool { return slices.Contains(other.ref.words, w) })
	switch {
	case at < 0:
		return ""
	case never != otherNever:
		return "both shows " + s.ref.words[at] + " and never shows it"
	}
	return "says twice how surely it shows " + s.ref.words[at]
}

func (s strength) never() bool { return s.p == 0 && !s.any }

// withOnce reports a check of which the sheet says twice what two faults show there together, be it from either side: the first would count alone.
func (b *builder) withOnce() {
	said := map[[3]string][]*show{} // by the two faults and the check
	for _, f := range b.m.faults {
		for i := range f.with {
			w := &f.with[i]
			if w.other == f.name && len(f.axes) == 0 {
				b.c.report(dsl.CodeCircle, w.show.src, "fault "+f.name+" is said to be there together with itself", "name the other fault behind with, or write shows alone")
			}
			key := [3]string{min(f.name, w.other), max(f.name, w.other), w.show.ref.check()}
			for _, before := range said[key] {
				if _, both := b.together(given(before.when, w.show.when)...); both {
					b.c.report(dsl.CodeStrength, w.show.src, "what "+f.name+" and "+w.other+" show together at this check is said twice", "leave one out, or join the outcomes by |",
						dsl.Related{Range: before.src, Message: "the other is here"})
					break
				}
			}
			said[key] = append(said[key], &w.show)
		}
	}
}
