package eval

import (
	"bytes"
	"cmp"
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// The JSON form of a record, and errors that tell the place.

// ReadRecord reads the JSON form of a record. Fields that are unknown, or stand twice in one object, are errors, so that no reading is lost; their
// names are spelt as Record has them. A byte order mark before the text is left out. Errors begin with line and column.
func ReadRecord(data []byte) (*Record, error) {
	data = bytes.TrimPrefix(data, []byte("\uFEFF"))
	r := &Record{}
	w := &jsonWalk{data: data, dec: json.NewDecoder(bytes.NewReader(data))}
	if err := w.value(reflect.TypeOf(*r)); err != nil {
		return nil, w.placed(err)
	}
	end := w.dec.InputOffset()
	if _, err := w.dec.Token(); err != io.EOF {
		return nil, fmt.Errorf("record:%s: there is more text after the record; write each record into a text of its own", w.place(end))
	}
	if err := json.Unmarshal(data, r); err != nil {
		return nil, w.placed(err)
	}
	if r.Family == "" {
		return nil, errors.New(`record:1:1: no family is named; write "of" and the family of the unit into the record`)
	}
	return r, nil
}

// jsonWalk compares a JSON text with the type that it is meant for.
type jsonWalk struct {
	data []byte
	dec  *json.Decoder
	at   int64  // where the token begins that is looked at
	name string // of the field that it stands in
}

// next moves to the token that comes next.
func (w *jsonWalk) next() {
	for w.at = w.dec.InputOffset(); w.at < int64(len(w.data)) && strings.IndexByte(" \t\r\n,:", w.data[w.at]) >= 0; w.at++ {
	}
}

func (w *jsonWalk) value(t reflect.Type) error {
	w.next()
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if own := reflect.New(t).Interface(); reads(own) {
		var raw json.RawMessage
		if err := w.dec.Decode(&raw); err != nil {
			return err
		}
		if raw[0] != '"' && string(raw) != "null" {
			return w.noText(raw)
		}
		return json.Unmarshal(raw, own)
	}
	token, err := w.dec.Token()
	if err != nil {
		return err
	}
	open, nested := token.(json.Delim)
	if !nested {
		if given := scalarKind(token); given != "" && jsonKinds[given] != jsonKind(t) && (given != "number" || t.Kind() != reflect.Int) {
			return &json.UnmarshalTypeError{Value: given, Type: t, Offset: w.at, Field: w.name}
		}
		return nil
	}
	object, kind := open == '{', t.Kind()
	if object != (kind == reflect.Struct || kind == reflect.Map) || !object && kind != reflect.Slice { // deeper nesting is not followed
		given := "array"
		if object {
			given = "object"
		}
		return &json.UnmarshalTypeError{Value: given, Type: t, Offset: w.at, Field: w.name}
	}
	seen := map[string]bool{}
	for w.dec.More() {
		inner := t
		switch kind {
		case reflect.Struct:
			if inner, err = w.field(t, seen); err != nil {
				return err
			}
		case reflect.Map:
			if _, err := w.key(seen); err != nil {
				return err
			}
			fallthrough
		default:
			inner = t.Elem()
		}
		if err := w.value(inner); err != nil {
			return err
		}
	}
	_, err = w.dec.Token()
	return err
}

// reads tells whether a type reads its JSON itself.
func reads(own any) bool {
	_, whole := own.(json.Unmarshaler)
	_, text := own.(encoding.TextUnmarshaler)
	return whole || text
}

// noText refuses what stands where a record has a value, which is a text.
func (w *jsonWalk) noText(raw []byte) error {
	given, help := "number", fmt.Sprintf(`write it as a text with its unit, such as "%s A"`, raw)
	switch raw[0] {
	case '[':
		given, help = "array", `write the list as one text with its unit behind it, such as "(9.6 9.7 mV)", or "missing" for a member`
	case '{':
		given, help = "object", `write a text with its unit, such as "30 A"; several values of a test stand under values`
	case 't', 'f':
		given, help = "bool", "write the word that the sheet has for it, as a text"
	}
	return fmt.Errorf("%s stands as %s; %s", cmp.Or(w.name, "the value"), jsonKinds[given], help)
}

// scalarKind names what a token is that opens nothing, null excepted.
func scalarKind(token json.Token) string {
	switch token.(type) {
	case string:
		return "string"
	case float64:
		return "number"
	case bool:
		return "bool"
	}
	return ""
}

// key reads the name of a member and marks it as seen in its object.
func (w *jsonWalk) key(seen map[string]bool) (string, error) {
	w.next()
	token, err := w.dec.Token()
	if err != nil {
		return "", err
	}
	name := token.(string)
	if seen[name] {
		return "", fmt.Errorf("%s stands twice in one object; write it once", name)
	}
	seen[name] = true
	w.name = name
	return name, nil
}

// field reads the name of a field and finds its type.
func (w *jsonWalk) field(t reflect.Type, seen map[string]bool) (reflect.Type, error) {
	name, err := w.key(seen)
	if err != nil {
		return nil, err
	}
	known := []string{}
	for _, f := range reflect.VisibleFields(t) {
		tag, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.IsExported() || f.Anonymous || tag == "" {
			continue
		}
		if tag == name {
			return f.Type, nil
		}
		known = append(known, tag)
	}
	return nil, fmt.Errorf("there is no field %s; %s", name, suggest(name, known))
}

// placed puts the place before an error.
func (w *jsonWalk) placed(err error) error {
	at := w.at
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	var found dsl.Diagnostics
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return fmt.Errorf("record:%s: the record ends too early; close what was opened", w.place(int64(len(w.data))))
	case errors.As(err, &syntax):
		at = syntax.Offset
	case errors.As(err, &kind):
		what := kind.Field
		if what == "" {
			what = "a record"
		}
		given, _, _ := strings.Cut(kind.Value, " ")
		return fmt.Errorf("record:%s: %s stands as %s; write %s", w.place(kind.Offset), what, jsonKinds[given], jsonKind(kind.Type))
	case errors.As(err, &found):
		return fmt.Errorf("record:%s: %s; %s", w.place(at), found[0].Message, found[0].Help)
	}
	return fmt.Errorf("record:%s: %w", w.place(at), err)
}

var jsonKinds = map[string]string{
	"object": "an object in { }", "array": "a list in [ ]", "string": "a text in quotes", "number": "a number", "bool": "true or false",
}

// jsonKind is the form in which a type is written.
func jsonKind(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Struct, reflect.Map:
		return jsonKinds["object"]
	case reflect.Slice:
		return jsonKinds["array"]
	case reflect.String:
		return jsonKinds["string"]
	case reflect.Bool:
		return jsonKinds["bool"]
	}
	return "a whole number" // no other is in a record
}

// place gives line and column of a byte.
func (w *jsonWalk) place(offset int64) string {
	before := w.data[:min(max(offset, 0), int64(len(w.data)))]
	line := bytes.Count(before, []byte("\n")) + 1
	return fmt.Sprintf("%d:%d", line, len(before)-bytes.LastIndexByte(before, '\n'))
}
