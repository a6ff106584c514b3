package eval

import (
	"regexp"
	"strings"

	"github.com/brushgear/brushgear/units"
)

// Numbers as people write them on a card.

var (
	digitRun = regexp.MustCompile(`[0-9.,]+`)
	// twoEnds is a range with dots or a dash between its ends; 2-3/16 is none, nor is a day.
	twoEnds = regexp.MustCompile(`^([0-9]*\.?[0-9]+)\s*([^\s0-9.…–—-]*)\s*(?:\.\.\.?|…|[-–—])\s*([0-9]*\.?[0-9]+)\s*([^\s0-9/.,–—-].*)?$`)
)

// plainly writes one number as a record has it. A comma between digits is the decimal sign unless it can group digits, and a range has to between
// its ends. What can mean two things stays as it is, and is refused where it is read.
func plainly(answer string) string {
	answer = digitRun.ReplaceAllStringFunc(answer, func(run string) string {
		whole, places, ok := strings.Cut(run, ",")
		if !ok || whole == "" || places == "" || strings.ContainsAny(whole+places, ".,") || len(places) == 3 && strings.Trim(whole, "0") != "" {
			return run
		}
		return whole + "." + places
	})
	if low, high, ok := rangeEnds(answer); ok {
		return low + " to " + high
	}
	return answer
}

// rangeEnds parts a range with dots or a dash between its ends.
func rangeEnds(answer string) (low, high string, ok bool) {
	m := twoEnds.FindStringSubmatch(answer)
	if m == nil {
		return "", "", false
	}
	if _, err := units.ParseUnit(m[2]); m[2] != "" && err != nil { // 1e-3 is one number
		return "", "", false
	}
	return strings.TrimSpace(m[1] + " " + m[2]), strings.TrimSpace(m[3] + " " + m[4]), true
}
