package eval

import (
	"fmt"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// Layers: what a kind or family is built on, and what a later layer replaces, leaves out or must not declare again.

type layerBody struct {
	layer layer
	body  []dsl.Stmt
	title string
}

// layers lists a block and what it is built on, lowest first.
func (c *compiler) layers(b *dsl.Block) []layerBody {
	chain := []*dsl.Block{b}
	for b.Of != nil {
		base := c.kinds[b.Of.Text]
		if base == nil {
			c.report(dsl.CodeUnknownName, b.Of.Range, "there is no kind "+b.Of.Text, suggest(b.Of.Text, mapKeys(c.kinds)))
			break
		}
		if i := slices.Index(chain, base); i >= 0 {
			c.kindCircle(chain[i:])
			break
		}
		if len(chain) == maxChain {
			c.report(dsl.CodeTooDeep, b.Of.Range, "kinds are built on each other too deeply", fmt.Sprintf("build on at most %d kinds", maxChain))
			break
		}
		chain = append(chain, base)
		b = base
	}
	slices.Reverse(chain)
	var list []layerBody
	for i, b := range chain {
		rank := layerRank(2 * i) // odd ranks are for variants
		list = append(list, layerBody{layer{name: b.Keyword + " " + b.Name.Text, rank: rank}, b.Body, b.Title.String()})
	}
	return list
}

// maxChain is how many kinds and families can be built on each other.
const maxChain = 64

// kindCircle reports kinds that are built on each other, at the first of them in the order of the alphabet: whichever is compiled finds the same.
func (c *compiler) kindCircle(circle []*dsl.Block) {
	first := slices.MinFunc(circle, func(a, b *dsl.Block) int { return strings.Compare(a.Name.Text, b.Name.Text) })
	c.report(dsl.CodeCircle, first.Of.Range, "kind "+first.Name.Text+" is built on itself, by way of "+first.Of.Text, "leave one of the two out")
}

// item is one declaration with the layer it stands in.
type item struct {
	layer layer
	stmt  dsl.Stmt
	repl  bool // under replace
}

// flatten lists the declarations of all layers, with under and variant blocks opened.
func (b *builder) flatten(layers []layerBody) []item {
	var items []item
	var walk func(l layer, body []dsl.Stmt)
	walk = func(l layer, body []dsl.Stmt) {
		for _, s := range body {
			switch s := s.(type) {
			case *dsl.Under:
				inner := l
				inner.source = b.sourceOf(s.Source)
				walk(inner, s.Body)
			case *dsl.Variant:
				if l.variant != nil {
					b.c.report(dsl.CodeMisplaced, s.Name.Range, "a variant does not stand inside another", "join the two conditions by and")
					continue
				}
				inner := l
				inner.rank++
				inner.variant = &variant{name: s.Name.Text, title: s.Title.String(), src: s.Range}
				inner.name = "variant " + s.Name.Text
				b.variantExpr[inner.variant] = s.When
				if i := slices.IndexFunc(b.m.variants, func(v *variant) bool { return v.name == s.Name.Text }); i >= 0 {
					b.c.report(dsl.CodeDuplicateName, s.Name.Range, "there are two variants "+s.Name.Text, "give one another name", dsl.Related{Range: b.m.variants[i].src, Message: "the first is here"})
				}
				b.m.variants = append(b.m.variants, inner.variant)
				walk(inner, s.Body)
			case *dsl.Replace:
				items = append(items, item{l, s.Decl, true})
			case *dsl.Source, *dsl.Bad:
			default:
				if word, help := ofAllUnits(s); word != "" && l.variant != nil {
					b.c.report(dsl.CodeMisplaced, s.Span(), "a variant cannot say "+word+" of its units alone: it would count for all", help)
					continue
				}
				items = append(items, item{l, s, false})
			}
		}
	}
	for _, l := range layers {
		walk(l.layer, l.body)
	}
	return items
}

// ofAllUnits gives the word of a statement that counts for every unit of a family, and where it belongs if it was meant for those of a variant; empty
// for any other.
func ofAllUnits(s dsl.Stmt) (word, help string) {
	own := "write it in the family, or make the variant a family of its own"
	switch s.(type) {
	case *dsl.Decide:
		return "decide", own
	case *dsl.Release:
		return "release", own
	case *dsl.Renew:
		return "renew", own
	case *dsl.Polarity:
		return "polarity", own
	case *dsl.Include:
		return "include", "write it in the family, with the condition of the variant: include battery as rear when nominal is 24 V"
	case *dsl.Require:
		return "require", "write it in the family, and leave out the others by or: require nominal is 12 V or front.nominal equals 12 V"
	}
	return "", ""
}

type removal struct {
	layer layer
	src   dsl.Range
}

// override drops what a higher layer replaces or leaves out, and reports plain redefinitions.
func (b *builder) override(items []item) []item {
	type key struct{ what, name string }
	last := map[key]int{}
	drop := map[int]bool{}
	for i, it := range items {
		if w, ok := it.stmt.(*dsl.Without); ok {
			k := key{w.What.Text, w.Ref.Names[0]}
			j, known := last[k]
			switch {
			case !known:
				var there []string
				for other := range last {
					if other.what == k.what {
						there = append(there, other.name)
					}
				}
				help := "write without test, fault, remedy or what else is declared; a limit is overridden by a limit"
				if len(there) > 0 {
					help = suggest(k.name, there)
				}
				b.c.report(dsl.CodeUnknownName, w.Ref.Range, fmt.Sprintf("there is no %s %s to leave out", k.what, k.name), help)
			case it.layer.variant != nil && k.what != "test" && k.what != "fault":
				b.c.report(dsl.CodeMisplaced, w.Range, "a variant can leave out tests and faults only", "leave "+k.what+" "+k.name+" where it is: it changes no verdict")
			case it.layer.variant != nil:
				b.removed[k.what+" "+k.name] = append(b.removed[k.what+" "+k.name], removal{it.layer, w.Range})
			case items[j].layer.name == it.layer.name:
				b.c.report(dsl.CodeMisplaced, w.Range, fmt.Sprintf("%s declares %s %s itself", it.layer.name, k.what, k.name), "delete the declaration instead")
			default:
				drop[j] = true
				delete(last, k)
			}
			continue
		}
		what, name := declared(it.stmt)
		if name == nil {
			continue
		}
		k := key{what, name.Text}
		j, known := last[k]
		switch {
		case it.repl && !known:
			b.c.report(dsl.CodeUnknownName, name.Range, fmt.Sprintf("there is no %s %s to replace", what, name.Text), "leave replace out")
		case it.repl && it.layer.variant != nil:
			b.c.report(dsl.CodeMisplaced, it.stmt.Span(), "a variant cannot replace a "+what, "make the variant a family of its own, or write conditional limits")
			drop[i] = true
			continue
		case it.repl && items[j].layer.name != it.layer.name:
			drop[j] = true
		case known && items[j].layer.name == it.layer.name:
			b.c.report(dsl.CodeDuplicateName, name.Range, fmt.Sprintf("there are two of %s %s", what, name.Text), "give one another name",
				dsl.Related{Range: items[j].stmt.Span(), Message: "the first is here"})
			drop[i] = true
			continue
		case known:
			b.c.report(dsl.CodeNeedsReplace, name.Range, fmt.Sprintf("%s already has a %s %s", items[j].layer.name, what, name.Text), "write replace "+what+" to put this one in its place",
				dsl.Related{Range: items[j].stmt.Span(), Message: "the other is here"})
			drop[i] = true
			continue
		}
		last[k] = i
	}
	var kept []item
	for i, it := range items {
		if _, without := it.stmt.(*dsl.Without); !drop[i] && !without {
			kept = append(kept, it)
		}
	}
	return kept
}

// declared returns what a statement declares; a nil name for one that declares nothing.
func declared(s dsl.Stmt) (string, *dsl.Name) {
	switch s := s.(type) {
	case *dsl.Attribute:
		return s.Keyword, s.Name
	case *dsl.Positions:
		return "positions", s.Name
	case *dsl.Terminal:
		return s.Keyword, s.Name
	case *dsl.Stage:
		return "stage", s.Name
	case *dsl.Part:
		return "part", s.Name
	case *dsl.Cause:
		return "cause", s.Name
	case *dsl.Instrument:
		return "instrument", s.Name
	case *dsl.Law:
		return "law", s.Name
	case *dsl.Remedy:
		return "remedy", s.Name
	case *dsl.Effect:
		return "effect", s.Name
	case *dsl.Fault:
		return "fault", s.Name
	case *dsl.Test:
		return "test", s.Name
	}
	return "", nil
}
