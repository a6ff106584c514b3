package eval

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// TestGlanceOnRandomSheets compares a glance and a full judgement on sheets whose formulas, limits, rows and gates are drawn: three tests, of which
// the later use values and outcomes of the earlier.
func TestGlanceOnRandomSheets(t *testing.T) {
	ways, judged := map[shortcut]int{}, 0
	rapid.Check(t, func(t *rapid.T) {
		text := randomSheet(t)
		f, err := dsl.Parse("random.sheet", []byte(text))
		require.NoError(t, err, text)
		bench, err := Compile([]*dsl.File{f})
		if err != nil {
			t.Skip(err) // a limit that holds nothing, rows that cannot be reached
		}
		for range 4 {
			j, err := bench.Open("unit")
			require.NoError(t, err)
			for _, test := range []string{"first", "second", "third"} {
				r := Reading{Values: map[string]Value{}, At: map[string]Value{"temp": randomReading(t, "temp", "°C")}}
				for _, name := range []string{"x", "y"} {
					r.Values[name] = randomReading(t, name, "V")
				}
				r.Values["look"] = Word(rapid.SampledFrom([]string{"clean", "dark", "burnt"}).Draw(t, "look"))
				if test != "first" {
					r.At = nil
					if rapid.IntRange(0, 7).Draw(t, "work") == 0 {
						require.NoError(t, j.Work("fit", ""))
					}
				}
				if rapid.IntRange(0, 4).Draw(t, "blank") == 0 {
					r.Values = map[string]Value{"x": {}, "y": {}, "look": {}}
				}
				require.NoError(t, j.Take(test, r))
			}
			t.Log(text)
			sameAtGlance(t, j, ways)
			judged++
		}
	})
	require.Greater(t, judged, 50)
	require.NotZero(t, ways[shortBounds])
	require.NotZero(t, ways[shortPattern])
}

// randomSheet draws a family.
func randomSheet(t *rapid.T) string {
	var b strings.Builder
	number := func(lo, hi int) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, "number")) / 10 }
	halves := func(lo, hi int) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, "halves")) / 2 }
	rule := rapid.SampledFrom([]string{"simple", "guard 1.65 u", "guard 4 u"}).Draw(t, "rule")
	fmt.Fprintf(&b, "brushgear 1\nfamily unit \"Unit\" {\n  decide %s\n  condition temp : °C\n  part body \"Body\"\n  remedy fit \"Fit\" { retest second }\n", rule)
	for _, meter := range []string{"coarse", "fine"} {
		fmt.Fprintf(&b, "  instrument %s : V accuracy ± (%g %% + %g V)\n", meter, number(0, 20)/10, number(0, 2)/10)
	}
	limit := func(name string) {
		lo := halves(-8, 24)
		hi := lo + halves(1, 12)
		switch rapid.IntRange(0, 3).Draw(t, "limit") {
		case 0:
			fmt.Fprintf(&b, "    limit %s %g to %g V\n", name, lo, hi)
		case 1:
			fmt.Fprintf(&b, "    limit %s at least %g V\n", name, lo)
		case 2:
			fmt.Fprintf(&b, "    limit %s at most %g V\n", name, hi)
		case 3:
			fmt.Fprintf(&b, "    grade %s : poor below %g V | fair as marginal below %g V | good\n", name, lo, hi)
		}
	}
	for _, test := range []string{"first", "second"} {
		values := []string{"x", "y"}
		fmt.Fprintf(&b, "  test %s \"Test\" {\n", test)
		if test == "first" {
			b.WriteString("    needs temp\n")
		} else {
			values = append(values, "first.x", "first.d")
			if gate := rapid.SampledFrom([]string{"", "first.look", "first.x", "first"}).Draw(t, "gate"); gate != "" {
				fmt.Fprintf(&b, "    needs %s is good\n", gate)
			}
		}
		b.WriteString("    read x : V with coarse  read y : V with fine  read look : clean | dark | burnt\n")
		fmt.Fprintf(&b, "    let d = %s\n", randomFormula(t, values, 2))
		if test == "first" && rapid.Bool().Draw(t, "corrected") {
			b.WriteString("    correct d by linear (10 mV per 1 K) from temp to 20 °C\n")
		}
		limit("x")
		limit("d")
		b.WriteString("    limit look is clean | dark\n")
		fmt.Fprintf(&b, "    outcome good when %s\n    outcome odd when %s\n    outcome bad otherwise\n  }\n", randomTruth(t, values, test), randomTruth(t, values, test))
	}
	fmt.Fprintf(&b, "  test third \"Test\" {\n    read x : V with fine  read y : V with fine  read look : clean | dark | burnt\n    outcome good when %s\n    outcome bad otherwise\n  }\n}\n", randomTruth(t, []string{"first.x", "second.d"}, "third"))
	return b.String()
}

// randomFormula draws a formula in volts.
func randomFormula(t *rapid.T, values []string, depth int) string {
	value := rapid.SampledFrom(values).Draw(t, "value")
	if depth == 0 {
		return value
	}
	other := randomFormula(t, values, depth-1)
	number := float64(rapid.IntRange(1, 30).Draw(t, "factor")) / 10
	switch rapid.IntRange(0, 5).Draw(t, "formula") {
	case 0:
		return fmt.Sprintf("(%s + %s)", value, other)
	case 1:
		return fmt.Sprintf("(%s - %s)", value, other)
	case 2:
		return fmt.Sprintf("(%s * %s / %g V)", value, other, number)
	case 3:
		return fmt.Sprintf("(%s * %g V / %s)", value, number, other)
	case 4:
		return fmt.Sprintf("abs(%s)", other)
	}
	return fmt.Sprintf("(%g * %s)", number, other)
}

// randomTruth draws a condition of a row.
func randomTruth(t *rapid.T, values []string, test string) string {
	one := func() string {
		value := rapid.SampledFrom(values).Draw(t, "value")
		number := float64(rapid.IntRange(-40, 160).Draw(t, "bound")) / 10
		options := []string{
			fmt.Sprintf("%s at least %g V", value, number), fmt.Sprintf("%s below %g V", value, number), fmt.Sprintf("%s within %g V to %g V", value, number, number+3),
			"look is burnt", fmt.Sprintf("%s equals %g V", value, number),
		}
		if test != "third" {
			options = append(options, "d above "+value)
		}
		if test != "first" {
			options = append(options, "first.look is good", "first is odd", "first.x is good", "first.d is good")
		}
		return rapid.SampledFrom(options).Draw(t, "condition")
	}
	switch rapid.IntRange(0, 3).Draw(t, "join") {
	case 0:
		return fmt.Sprintf("%s and %s", one(), one())
	case 1:
		return fmt.Sprintf("%s or %s", one(), one())
	case 2:
		return fmt.Sprintf("not (%s)", one())
	}
	return one()
}

// randomReading draws a reading: mostly a number.
func randomReading(t *rapid.T, name, unit string) Value {
	at := func(k int) units.Quantity { return units.Must(fmt.Sprintf("%.1f %s", float64(k)/10, unit)) }
	k := 5 * rapid.IntRange(0, 30).Draw(t, name) // on a limit now and then
	switch rapid.IntRange(0, 19).Draw(t, name+" state") {
	case 0:
		return Value{}
	case 1:
		return Between(at(k), at(k+2))
	case 2:
		return Jumping(at(k), at(k+1))
	}
	return Number(at(k))
}
