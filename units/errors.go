package units

import (
	"errors"
	"strconv"
	"strings"
	"unicode/utf8"
)

// ErrDimension is what every [DimensionError] is, by [errors.Is].
var ErrDimension = errors.New("dimensions do not fit")

// ErrRange reports a result that no float64 holds: too large, too small or not a number.
var ErrRange = errors.New("out of range")

// DimensionError says why two quantities do not go together, and what to write.
type DimensionError struct {
	Op          string // "add", "subtract", "multiply", "divide" or "compare"
	Left, Right Dimension
	Hint        string // what to write instead
}

// Error returns the message in one line: what was tried, and the hint.
func (e *DimensionError) Error() string {
	var s string
	switch e.Op {
	case "multiply", "divide":
		s = "cannot " + e.Op + " " + e.Left.Name() + " by " + e.Right.Name()
	case "subtract":
		s = "cannot subtract " + e.Right.Name() + " from " + e.Left.Name()
	case "compare":
		s = "cannot compare " + e.Left.Name() + " with " + e.Right.Name()
	default:
		s = "cannot " + e.Op + " " + e.Left.Name() + " and " + e.Right.Name()
	}
	return s + ": " + e.Hint
}

// Is reports whether target is [ErrDimension].
func (e *DimensionError) Is(target error) bool { return target == ErrDimension }

// UnitError reports text that is no unit.
type UnitError struct {
	Input       string   // the text as given
	Msg         string   // what is wrong
	Hint        string   // what to write instead, may be empty
	Suggestions []string // units that it may have meant, best first
}

// Error returns the message in one line.
func (e *UnitError) Error() string {
	s := quote(e.Input) + ": " + e.Msg
	if help := e.help(); help != "" {
		s += ": " + help
	}
	return s
}

func (e *UnitError) help() string {
	if e.Hint == "" && len(e.Suggestions) > 0 {
		return "did you mean " + strings.Join(e.Suggestions, " or ") + "?"
	}
	return e.Hint
}

// ParseError reports text that is no quantity. Offset and Len are bytes of Input; they cover what is wrong.
type ParseError struct {
	Input       string
	Offset, Len int
	Msg         string // what is wrong
	Hint        string // what to write instead, may be empty
	Err         error  // the *UnitError when the unit is at fault, ErrRange when the size is, or nil
}

// Error returns the message in one line.
func (e *ParseError) Error() string {
	s := quote(e.Input) + ": " + e.Msg
	if e.Hint != "" {
		s += ": " + e.Hint
	}
	return s
}

// Unwrap returns the cause, if there is one.
func (e *ParseError) Unwrap() error { return e.Err }

// quote quotes text for a message and cuts what is too long to read.
func quote(s string) string {
	const most = 60
	if len(s) <= most {
		return strconv.Quote(s)
	}
	end := most
	for end > 0 && !utf8.RuneStart(s[end]) {
		end--
	}
	return strconv.Quote(s[:end]) + "..."
}
