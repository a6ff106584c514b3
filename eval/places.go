package eval

import (
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// Span returns where the record stands in its file, the zero Range for one that was not read from a file in the sheet language.
func (r *Record) Span() dsl.Range { return r.src }

// Span returns where the expectation stands in its file, the zero Range for one that was not read from a file in the sheet language.
func (e Expectation) Span() dsl.Range { return e.src }

// String returns the expectation as the sheet language writes it: gives free_run is low | drag.
func (e Expectation) String() string {
	if e.Gives != "" {
		return "gives " + e.Gives + " is " + strings.Join(e.Is, " | ")
	}
	return "finds " + e.Finds + " is " + strings.Join(e.Is, " | ")
}
