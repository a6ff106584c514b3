package dsl

import (
	"reflect"
	"regexp"
	"slices"
)

// Parts of a statement that stand twice. The grammar takes them in any order, and the later one would quietly take the place of the first.

// The word or sign that begins a part which can stand in any order, in the grammar of a type, and that of a part with a type of its own.
var (
	partWord = regexp.MustCompile(`^\s*[(|]\s*'(\pL+|±)'`)
	partNode = regexp.MustCompile(`^\s*[(|]\s*@@`)
	nodeWord = regexp.MustCompile(`^\s*'(\pL+)'`)
)

// parts are what a node can say once only.
type parts struct {
	words map[string]bool // that begin them, and whether the word belongs to a node of its own
	lists []listParts
}

// listParts are those of the nodes of a list, which is a field.
type listParts struct {
	field int
	*parts
}

func partsOf(t reflect.Type) *parts {
	p := &parts{words: map[string]bool{}}
	for i := range t.NumField() {
		f := t.Field(i)
		tag, inner := f.Tag.Get("parser"), nodeType(f.Type)
		m := partWord.FindStringSubmatch(tag)
		switch {
		case f.Type.Kind() == reflect.Slice && inner != nil:
			if row := partsOf(inner); len(row.words) > 0 {
				p.lists = append(p.lists, listParts{i, row})
			}
		case f.Type.Kind() == reflect.Slice:
		case m != nil:
			p.words[m[1]] = false
		case partNode.MatchString(tag) && inner != nil:
			for k := range inner.NumField() {
				if m := nodeWord.FindStringSubmatch(inner.Field(k).Tag.Get("parser")); m != nil {
					p.words[m[1]] = true
					break
				}
			}
		}
	}
	return p
}

// nodeType is the struct that a field points to, or a list of them; nil if there is none.
func nodeType(t reflect.Type) reflect.Type {
	if t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	if t.Kind() == reflect.Pointer && t.Elem().Kind() == reflect.Struct {
		return t.Elem()
	}
	return nil
}

// repeated finds the word of a part that stands twice.
func (p *parts) repeated(tokens []token, node reflect.Value) (token, bool) {
	if p.meets(tokens) {
		kept := partRanges(node)
		var met []string
		for _, t := range tokens {
			own, is := p.words[t.Value]
			if t.Type != tokWord && t.Type != tokPunct || !is || within(t, kept) { // a word of a reading or of an expression may be the same
				continue
			}
			if own || slices.Contains(met, t.Value) {
				return t, true
			}
			met = append(met, t.Value)
		}
	}
	for _, list := range p.lists {
		rest := tokens
		for k := range node.Field(list.field).Len() {
			one := node.Field(list.field).Index(k)
			place := []Range{one.Interface().(interface{ Span() Range }).Span()}
			for len(rest) > 0 && !within(rest[0], place) {
				rest = rest[1:]
			}
			own := 0
			for own < len(rest) && within(rest[own], place) {
				own++
			}
			if t, twice := list.repeated(rest[:own], one.Elem()); twice {
				return t, true
			}
			rest = rest[own:]
		}
	}
	return token{}, false
}

// meets tells whether one of the words is there twice at all.
func (p *parts) meets(tokens []token) bool {
	if len(p.words) == 0 {
		return false
	}
	var met []string
	for _, t := range tokens {
		if t.Type != tokWord && t.Type != tokPunct {
			continue
		}
		if _, is := p.words[t.Value]; is {
			if slices.Contains(met, t.Value) {
				return true
			}
			met = append(met, t.Value)
		}
	}
	return false
}

// partRanges are the places of what a statement holds.
func partRanges(statement reflect.Value) []Range {
	var ranges []Range
	add := func(v reflect.Value) {
		if k := v.Kind(); (k == reflect.Pointer || k == reflect.Interface) && v.IsNil() {
			return
		}
		if n, ok := v.Interface().(interface{ Span() Range }); ok {
			ranges = append(ranges, n.Span())
		}
	}
	for i := range statement.NumField() {
		f := statement.Field(i)
		if statement.Type().Field(i).Anonymous || !f.CanInterface() {
			continue
		}
		if f.Kind() != reflect.Slice {
			add(f)
			continue
		}
		for k := range f.Len() {
			add(f.Index(k))
		}
	}
	return ranges
}

func within(t token, ranges []Range) bool {
	return slices.ContainsFunc(ranges, func(r Range) bool { return r.Contains(Position(t.Pos)) })
}

func repeatedPart(t token) *Diagnostic {
	help := "leave one out"
	if t.Value == "when" {
		help = "join the two conditions by and"
	}
	return diagnosticAt(CodeRepeated, t, t.Value+" stands twice in one statement", help)
}
