package eval

import (
	"bytes"
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

// ReadRecord reads the JSON form of a record. Unknown fields are errors, so that no misspelt reading is lost. Errors begin with line and column.
func ReadRecord(data []byte) (*Record, error) {
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
		return json.Unmarshal(raw, own)
	}
	token, err := w.dec.Token()
	if err != nil {
		return err
	}
	open, nested := token.(json.Delim)
	if !nested {
		return nil
	}
	object, kind := open == '{', t.Kind()
	if object != (kind == reflect.Struct || kind == reflect.Map) || !object && kind != reflect.Slice { // deeper nesting is not followed
		given := "array"
		if object {
			given = "object"
		}
		return &json.UnmarshalTypeError{Value: given, Type: t, Offset: w.at + 1, Field: w.name}
	}
	for w.dec.More() {
		inner := t
		switch kind {
		case reflect.Struct:
			if inner, err = w.field(t); err != nil {
				return err
			}
		case reflect.Map:
			if _, err := w.dec.Token(); err != nil {
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

// field reads the name of a field and finds its type.
func (w *jsonWalk) field(t reflect.Type) (reflect.Type, error) {
	w.next()
	token, err := w.dec.Token()
	if err != nil {
		return nil, err
	}
	name, known := token.(string), []string{}
	for _, f := range reflect.VisibleFields(t) {
		tag, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.IsExported() || f.Anonymous || tag == "" {
			continue
		}
		if strings.EqualFold(tag, name) {
			w.name = tag
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
	return jsonKinds["number"]
}

// place gives line and column of a byte.
func (w *jsonWalk) place(offset int64) string {
	before := w.data[:min(max(offset, 0), int64(len(w.data)))]
	line := bytes.Count(before, []byte("\n")) + 1
	return fmt.Sprintf("%d:%d", line, len(before)-bytes.LastIndexByte(before, '\n'))
}
