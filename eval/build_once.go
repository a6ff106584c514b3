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
	for i, s := range f.shows {
		for _, other := range f.shows[:i] {
			clash := s.clash(other)
			if clash == "" {
				continue
			}
			if _, both := b.together(given(s.when, other.when)...); !both {
				continue
			}
			here, there := s.src, other.src
			if here.Pos.Filename != block.Pos.Filename || here.Pos.Offset < block.Pos.Offset || here.Pos.Offset > block.EndPos.Offset {
				here, there = there, here // it comes from an effect
			}
			b.c.report(dsl.CodeStrength, here, "fault "+f.name+" "+clash, "leave one out, or give them conditions that exclude each other",
				dsl.Related{Range: there, Message: "the other is here"})
		}
	}
}

// clash says in which way two statements of one fault cannot stand beside each other; empty if they can.
func (s *show) clash(other *show) string {
	word, both := s.ref.common(other.ref)
	never, otherNever := s.strength.never(), other.strength.never()
	switch {
	case s.ref.check() != other.ref.check() || never && otherNever:
	case s.strength.any != other.strength.any && !never && !otherNever:
		return "shows anything at a check, and says how surely it shows one outcome of it"
	case !both || s.strength.any || other.strength.any:
	case never != otherNever:
		return "both shows " + word + " and never shows it"
	default:
		return "says twice how surely it shows " + word
	}
	return ""
}

func (s strength) never() bool { return s.p == 0 && !s.any }

// common is an outcome that two references to one check name.
func (o *outcomeRef) common(p *outcomeRef) (string, bool) {
	at := slices.IndexFunc(o.words, func(w string) bool { return slices.Contains(p.words, w) })
	if at < 0 || o.not || p.not || o.check() != p.check() {
		return "", false
	}
	return o.words[at], true
}

// withOnce reports a check of which the sheet says twice what two faults show there together, be it from either side: the first would count alone.
func (b *builder) withOnce() {
	type said struct {
		pair [2]string
		show *show
	}
	var rows []said
	for _, f := range b.m.faults {
		for i := range f.with {
			w := &f.with[i]
			row := said{[2]string{min(f.name, w.other), max(f.name, w.other)}, &w.show}
			if w.other == f.name && len(f.axes) == 0 {
				b.c.report(dsl.CodeCircle, w.show.src, "fault "+f.name+" is said to be there together with itself", "name the other fault behind with, or write shows alone")
			}
			for _, before := range rows {
				if before.pair != row.pair || before.show.ref.check() != w.show.ref.check() {
					continue
				}
				if _, both := b.together(given(before.show.when, w.show.when)...); both {
					b.c.report(dsl.CodeStrength, w.show.src, "what "+f.name+" and "+w.other+" show together at this check is said twice", "leave one out, or join the outcomes by |",
						dsl.Related{Range: before.show.src, Message: "the other is here"})
					break
				}
			}
			rows = append(rows, row)
		}
	}
}
