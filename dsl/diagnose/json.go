package diagnose

import (
	"encoding/json"
	"io"

	"github.com/brushgear/brushgear/dsl"
)

// Schema is the number of the JSON form. It grows when a field changes its meaning or goes.
const Schema = 1

// MarshalJSON writes the diagnostic, with the reason and the place of the statement if it is accepted.
func (f Finding) MarshalJSON() ([]byte, error) {
	raw, err := f.Diagnostic.MarshalJSON()
	if err != nil || f.Accepted == nil {
		return raw, err
	}
	accepted, err := json.Marshal(struct {
		Reason string       `json:"reason"`
		Place  dsl.Position `json:"at"`
	}{f.Accepted.Reason.String(), f.Accepted.Pos})
	if err != nil {
		return nil, err
	}
	return append(append(append(raw[:len(raw)-1], `,"accepted":`...), accepted...), '}'), nil
}

// JSON writes findings, accepted ones too, as indented JSON.
func JSON(w io.Writer, findings []Finding) error {
	if findings == nil {
		findings = []Finding{}
	}
	return encode(w, struct {
		Schema   int       `json:"schema"`
		Findings []Finding `json:"findings"`
	}{Schema, findings})
}

func encode(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}
