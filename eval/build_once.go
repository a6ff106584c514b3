package eval

import "github.com/brushgear/brushgear/dsl"

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
