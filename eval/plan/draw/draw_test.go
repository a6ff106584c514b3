package draw

import (
	"encoding/xml"
	"flag"
	"io"
	"os"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/brushgear/brushgear/eval/plan"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares with a file of testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := "testdata/" + name
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}

// bench is an invented alternator: six faults, eight tests, two stages of teardown. Common practice, no source.
func bench() (*plan.Problem, Labels) {
	faults := []string{"open field winding", "shorted turns in the rotor", "worn brushes", "one rectifier open", "one rectifier shorted", "stator ground"}
	remedies := []string{"replace the rotor", "renew the brushes", "replace the rectifier assembly", "replace the stator"}
	type row struct {
		title    string
		minutes  float64
		stage    int
		cautions []string
		outcomes []string
		shows    map[int]int // fault: outcome
	}
	rows := []row{
		{"field current at 12 V, rotor turned by hand", 3, 0, []string{"keep fingers, sleeves and hair away from the fan"},
			[]string{"in limits", "low", "high"}, map[int]int{0: 1, 1: 2, 2: 1}},
		{"output under load", 8, 0, []string{"belt guard in place before the bench runs", "battery terminals covered"},
			[]string{"at rating", "5 to 7 A under", "far under"}, map[int]int{0: 2, 1: 1, 2: 2, 3: 1, 4: 2, 5: 2}},
		{"resistance from slip ring to slip ring", 2, 1, nil, []string{"in limits", "low", "open"}, map[int]int{0: 2, 1: 1}},
		{"brush length", 2, 1, nil, []string{"above the limit", "at the limit or below"}, map[int]int{2: 1}},
		{"lamp from stator core to lead, all leads unsoldered from the rectifiers and held clear of the frame", 6, 2,
			[]string{"mains lamp: one hand only, dry floor, plug out before the leads are moved"}, []string{"dark", "lit"}, map[int]int{5: 1}},
		{"positive and negative rectifiers, one after the other", 7, 2, nil, []string{"all alike", "one dead", "one open"},
			map[int]int{3: 2, 4: 1}},
	}
	p := &plan.Problem{
		Weights:  []float64{.03, .01, .1, .03, .03, .01},
		Remedies: []int{0, 0, 1, 2, 2, 3},
		Price:    400,
		Stages:   []plan.Stage{{}, {After: 0, Enter: 6, Back: 8}, {After: 1, Enter: 15, Back: 25}},
	}
	for _, r := range rows {
		x := plan.Test{Minutes: r.minutes, Stage: r.stage}
		for f := range faults {
			line := make([]float64, len(r.outcomes))
			for o := range line {
				line[o] = .01 / float64(len(line)-1)
			}
			line[r.shows[f]] = .99
			x.P = append(x.P, line)
		}
		p.Tests = append(p.Tests, x)
	}
	return p, Labels{
		Test:     func(t int) string { return rows[t].title },
		Outcome:  func(t, o int) string { return rows[t].outcomes[o] },
		Remedy:   func(r int) string { return remedies[r] },
		Cautions: func(t int) []string { return rows[t].cautions },
		Opening: func(before, next int) string {
			if before != plan.Stop && rows[before].stage > rows[next].stage {
				return "put the rear housing back on"
			}
			return []string{"", "take off the brush holder", "take off the rear housing"}[rows[next].stage]
		},
		Least: 0.01,
	}
}

func drawn(t *testing.T) (*Step, *plan.Plan) {
	t.Helper()
	p, labels := bench()
	best, err := p.Best(t.Context(), plan.Options{})
	require.NoError(t, err)
	return From(best, labels), best
}

func TestText(t *testing.T) {
	s, best := drawn(t)
	o := Options{Title: "Alternator that does not charge", Summary: Summary(best)}
	golden(t, "tree.txt", Text(s, o))
	o.Width, o.Plain = 60, true
	narrow := Text(s, o)
	golden(t, "narrow.txt", narrow)
	for _, line := range strings.Split(narrow, "\n") {
		require.LessOrEqual(t, utf8.RuneCountInString(line), 60)
	}
}

func TestSVG(t *testing.T) {
	s, best := drawn(t)
	pages := SVG(s, Options{Title: "Alternator that does not charge", Summary: Summary(best)})
	require.Len(t, pages, 1)
	golden(t, "tree.svg", pages[0])
}

// deep is a tree of so many tests, one below the other, with long titles and characters that mean something in XML.
func deep(tests int) *Step {
	s := &Step{Title: "renew the brushes & clean the rings", Error: 0.031}
	for i := range tests {
		s = &Step{
			Title:    "resistance <F1 to F2> through the brushes, rotor turned slowly by hand over one turn, highest reading of \"three\"\x07\n",
			Cautions: []string{"supply off and locked before the leads are moved; capacitor discharged with a resistor"},
			Minutes:  2.5, Teardown: float64(i % 2), Opening: "take off the end cover",
			Branches: []Branch{
				{Outcomes: []string{"low"}, Probability: 0.3, Elapsed: float64(tests-i) * 3, Step: &Step{Title: "replace the rotor"}},
				{Outcomes: []string{"in limits"}, Probability: 0.6, Elapsed: float64(tests-i) * 3, Step: s},
				{Outcomes: []string{"high", "jumping"}, Probability: 0.1, Elapsed: float64(tests-i) * 3, Step: &Step{Cut: true}},
			},
		}
	}
	return s
}

// Long and deep trees go over several sheets, each of them well-formed, nothing beyond the margins, and every row on one of them.
func TestSVGOfDeepTrees(t *testing.T) {
	for _, tests := range []int{0, 1, 14, 60} {
		pages := SVG(deep(tests), Options{Title: "Deep <&> long\x00", Summary: strings.Repeat("word ", 100) + strings.Repeat("x", 300)})
		titles := 0
		for _, page := range pages {
			decoder := xml.NewDecoder(strings.NewReader(page))
			for {
				token, err := decoder.Token()
				if err == io.EOF {
					break
				}
				require.NoError(t, err)
				element, ok := token.(xml.StartElement)
				if !ok || element.Name.Local != "text" {
					continue
				}
				var words string
				require.NoError(t, decoder.DecodeElement(&words, &element))
				if strings.HasPrefix(words, "resistance") {
					titles++
				}
				place := map[string]float64{}
				for _, a := range element.Attr {
					place[a.Name.Local], _ = strconv.ParseFloat(a.Value, 64)
				}
				require.LessOrEqual(t, place["y"], pageHeight-20, words)
				if tests < 20 && place["x"] < right-90 {
					require.LessOrEqual(t, place["x"]+width(words, place["font-size"]), right+30, words)
				}
			}
		}
		require.GreaterOrEqual(t, titles, tests)
	}
	golden(t, "deep.svg", strings.Join(SVG(deep(5), Options{Title: "Five tests"}), ""))
}

// The plan that is an end at once still says what to do.
func TestOnlyAnEnd(t *testing.T) {
	s := &Step{Title: "replace the rotor", Error: 0.2}
	require.Contains(t, Text(s, Options{}), "→ replace the rotor (wrong in 20 of 100)\n")
	require.Contains(t, SVG(s, Options{})[0], "replace the rotor (wrong in 20 of 100)")
}
