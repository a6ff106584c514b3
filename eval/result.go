package eval

import (
	"fmt"
	"slices"
	"strings"
)

// A Result is what became of a check.
type Result uint8

const (
	NotTested     Result = iota // nothing was read, with a reason if one was given
	Pass                        // within its limit
	Marginal                    // acceptable, but worn or in a band that the sheet calls marginal
	Fail                        // outside its limit
	NotDecidable                // read, but the reading or its conditions are not good enough to decide
	NotValid                    // a precondition was not met, or what was measured says that it cannot be judged
	NotApplicable               // not meant for this unit
	Information                 // read, with no limit to compare with
)

var resultWords = [...]string{"not tested", "pass", "marginal", "fail", "not decidable", "not valid", "not applicable", "information"}

func (r Result) String() string { return wordOf(resultWords[:], int(r)) }

// wordOf is the word for a number that stands for one.
func wordOf(words []string, number int) string {
	if number >= len(words) {
		return fmt.Sprintf("unknown (%d)", number)
	}
	return words[number]
}

// MarshalText writes the result as its words.
func (r Result) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads the words that MarshalText writes. It refuses any other, and lists those that there are.
func (r *Result) UnmarshalText(text []byte) error {
	n, err := wordNumber(resultWords[:], "result", text)
	if err == nil {
		*r = Result(n)
	}
	return err
}

// UnmarshalText reads the word that MarshalText writes. It refuses any other, and lists those that there are.
func (w *UnitWord) UnmarshalText(text []byte) error {
	n, err := wordNumber(unitWords[:], "word for a unit", text)
	if err == nil {
		*w = UnitWord(n)
	}
	return err
}

// wordNumber is the number that a word stands for.
func wordNumber(words []string, what string, text []byte) (int, error) {
	n := slices.Index(words, string(text))
	if n < 0 {
		return 0, fmt.Errorf("%q is no %s; write one of: %s", text, what, strings.Join(words, ", "))
	}
	return n, nil
}

// cause says why a check has no plain outcome.
type cause8 uint8

const (
	noCause           cause8 = iota
	causeSkipped             // arg: skip entry of the job
	causeMissing             // arg: input of the test that was not read or recorded
	causeGateShut            // arg: need of the test
	causeGateOpen            // arg: need that is not decided
	causeOutOfRange          // arg: need whose range was left
	causeRangeOpen           // arg: need whose range is not decided
	causeApplies             // whether the test is meant for this unit is unknown
	causeWhichLimit          // which limit counts is unknown
	causeOutsideCurve        // the quantity along which the limit runs lies outside its rows
	causeRefused             // a correction was refused
	causeStraddles           // the reading can lie on both sides
	causeUnbounded           // OL without a known full scale
	causeDisagree            // repeated readings disagree
	causeSpoiled             // arg: performance of a test made before that spoils it
	causeStale               // work after the reading touched what it speaks of
	causeNoEdition           // no edition of the limit is in force on the day
	causeMeter               // no reading could pass with this meter: its error is too large for the limit
	causeGuard               // within the guard band of the decision rule
	causeListLength          // the positions of the list are not known
)

// checkState is the outcome of one check, as small as it can be: words are made from it on request.
type checkState struct {
	set      uint32 // outcomes that are possible
	outcome  int8   // the one outcome, -1 while several are possible
	result   Result
	cause    cause8
	arg      int32
	limit    int16   // index into the check's limits, -1 without
	perf     int32   // performance it was judged from, -1 without
	lo, hi   float64 // the value that was compared, brought to the limit's conditions
	raw      float64 // the value before correction, if it was exact
	low, upp float64 // bounds compared with
	variance float64 // of the difference to the nearest bound: its standard uncertainty squared
	z        float64 // distance to the nearest outcome of the other side, in standard uncertainties
	possible uint32  // outcomes that are not excluded: those of set, and those within the guard of the decision rule
	spoke    bool    // a valid reading stands behind it
	atOdds   bool    // repeats disagree
	newOnly  bool    // only the new limit counted
}
