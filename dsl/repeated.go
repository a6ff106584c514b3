package dsl

import (
	"reflect"
	"regexp"
	"slices"
	"strings"
)

// Parts of a statement that stand twice. The grammar takes them in any order, and the later one would quietly take the place of the first.

// The word that begins a part which can stand in any order, in the grammar of a statement type, and that of a part with a type of its own.
var (
	partWord = regexp.MustCompile(`^\s*[(|]\s*'(\pL+)'`)
	partNode = regexp.MustCompile(`^\s*[(|]\s*@@`)
	nodeWord = regexp.MustCompile(`^\s*'(\pL+)'`)
)

// partsOf lists the words of a statement type that begin a part which can be said once only, and tells whether the word belongs to a node of its own.
func partsOf(t reflect.Type) map[string]bool {
	words := map[string]bool{}
	for _, f := range reflect.VisibleFields(t) {
		tag := f.Tag.Get("parser")
		if m := partWord.FindStringSubmatch(tag); m != nil && f.Type.Kind() != reflect.Slice {
			words[m[1]] = false
		}
		if partNode.MatchString(tag) && f.Type.Kind() == reflect.Pointer {
			for _, inner := range reflect.VisibleFields(f.Type.Elem()) {
				if m := nodeWord.FindStringSubmatch(inner.Tag.Get("parser")); m != nil {
					words[m[1]] = true
					break
				}
			}
		}
	}
	return words
}

// repeated finds the word of a part of a statement that stands twice.
func (pr *production) repeated(tokens []token, node Stmt) (token, bool) {
	if !pr.meets(tokens) {
		return token{}, false
	}
	kept := partRanges(reflect.ValueOf(node).Elem())
	var met []string
	for _, t := range tokens {
		own, is := pr.parts[t.Value]
		if t.Type != tokWord || !is || within(t, kept) { // a word of a reading or of an expression may be the same
			continue
		}
		if own || slices.Contains(met, t.Value) {
			return t, true
		}
		met = append(met, t.Value)
	}
	return token{}, false
}

// meets tells whether one of the words is there twice at all.
func (pr *production) meets(tokens []token) bool {
	var met []string
	if len(pr.parts) == 0 {
		return false
	}
	for _, t := range tokens {
		if t.Type != tokWord {
			continue
		}
		if _, is := pr.parts[t.Value]; is {
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
	for _, r := range ranges {
		if r.Pos.Offset <= t.Pos.Offset && t.Pos.Offset < r.EndPos.Offset {
			return true
		}
	}
	return false
}

func repeatedPart(t token, form string) *Diagnostic {
	return diagnosticAt(CodeRepeated, t, t.Value+" stands twice in one statement", "leave one out; the form is: "+strings.TrimSuffix(form, " { ... }"))
}
