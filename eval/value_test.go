package eval_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/units"
)

// TestValueText: what is written is read as itself, as text and as JSON.
func TestValueText(t *testing.T) {
	for text, want := range map[string]string{
		"2.50 Ω":               "2.50 Ω",
		"-20 °C":               "-20 °C",
		"1/4 in":               "1/4 in",
		"20 to 60 MΩ":          "20 MΩ to 60 MΩ",
		"2 to 9 Ω jumping":     "2 Ω to 9 Ω jumping",
		"> 1 MΩ":               "> 1 MΩ",
		"< 0.1 A":              "< 0.1 A",
		"OL":                   "OL",
		"missing":              "missing",
		"lit | dim":            "lit | dim",
		`"K 7"`:                `"K 7"`,
		"(9.6 9.7 missing mV)": "(9.6 9.7 mV missing)",
		"(> 9 OL < 2 mV)":      "(> 9 OL < 2 mV)",
		"(good burnt missing)": "(good burnt missing)",
		"(1 V 900 mV)":         "(1 V 900 mV)",
		"(missing missing)":    "(missing missing)",
		"(-1.0 0.0 1.0 V)":     "(-1.0 0.0 1.0 V)",
		"12":                   "12",
		"-20 °C to -15 °C":     "-20 °C to -15 °C",
		"900 mV to 1 V":        "900 mV to 1 V",
	} {
		v, err := eval.ParseValue(text)
		require.NoError(t, err, text)
		require.Equal(t, want, v.String())
		again, err := eval.ParseValue(v.String())
		require.NoError(t, err, v.String())
		require.Equal(t, v, again, text)

		data, err := json.Marshal(v)
		require.NoError(t, err)
		var read eval.Value
		require.NoError(t, json.Unmarshal(data, &read))
		require.Equal(t, v, read, text)
	}
}

func TestValueTextRefused(t *testing.T) {
	for text, want := range map[string]string{
		"":               "",
		"2,5 Ω":          "2.5",
		"9 to 2 Ω":       "smaller value first",
		"1 V to 2 A":     "1 V is a voltage and 2 A is a current: write both ends of a range in units of one kind",
		"(9.6, 9.7 mV)":  "",
		"2 Ω 3 Ω":        "",
		"~ 2 Ω":          "",
		"1e400 V":        "",
		"lit or dim":     "the word",
		"2 Ω jumping":    "",
		"> 2 to 3 Ω":     "a range has no sign",
		"(1 2 3 V":       "",
		"2.5 Ω\ntaken x": "",
	} {
		_, err := eval.ParseValue(text)
		require.Error(t, err, text)
		require.ErrorContains(t, err, want, text)
		require.Error(t, new(eval.Value).UnmarshalText([]byte(text)), text)
	}
	require.Panics(t, func() { eval.MustValue("2,5 Ω") })
}

// TestValueConstructors: a value made by a program is the same as the one that is written.
func TestValueConstructors(t *testing.T) {
	ohm, volt := units.MustUnit("Ω"), units.MustUnit("V")
	q := func(v float64) units.Quantity { return units.New(v, ohm) }
	for text, v := range map[string]eval.Value{
		"2 Ω":                eval.Number(q(2)),
		"2 Ω to 3 Ω":         eval.Between(q(2), q(3)),
		"2 Ω to 3 Ω jumping": eval.Jumping(q(2), q(3)),
		"> 2 Ω":              eval.MoreThan(q(2)),
		"< 2 Ω":              eval.LessThan(q(2)),
		"OL":                 eval.OL(),
		"lit | dim":          eval.Word("lit", "dim"),
		"missing":            eval.Word(),
		"(2 > 3 missing Ω)":  eval.List(eval.Number(q(2)), eval.MoreThan(q(3)), eval.Value{}),
	} {
		want, err := eval.ParseValue(text)
		require.NoError(t, err, text)
		if !strings.HasPrefix(text, "(") {
			require.Equal(t, want.String(), v.String())
		}
		require.Equal(t, want.Missing(), v.Missing(), text)
	}

	for name, v := range map[string]eval.Value{
		"x is a resistance, and 3 V is a voltage: write it in Ω": eval.Between(q(2), units.New(3, volt)),
		"runs backwards":  eval.Between(q(3), q(2)),
		"is no number":    eval.Number(q(math.NaN())),
		"is no number ":   eval.MoreThan(q(math.Inf(1))),
		"single values":   eval.List(eval.List(eval.Number(q(2))), eval.Number(q(2)), eval.Number(q(2))),
		"in round bracke": eval.Number(q(2)),
		"3 values are":    eval.List(),
	} {
		j, err := mustBench(t, family("read x : Ω limit x 2.0 to 3.0 Ω read y of phase : Ω", "")).Open("unit")
		require.NoError(t, err)
		ref := "t.x"
		if name == "single values" || name == "in round bracke" || name == "3 values are" {
			ref = "t.y"
		}
		require.ErrorContains(t, j.Take(ref, eval.Reading{Value: v}), strings.TrimSpace(name))
	}
}

// TestListIsACopy: a value does not change with the slice that it was made of.
func TestListIsACopy(t *testing.T) {
	items := []eval.Value{eval.MustValue("1 V"), eval.MustValue("2 V")}
	list := eval.List(items...)
	items[0] = eval.MustValue("9 V")
	require.Equal(t, "(1 2 V)", list.String())
	words := []string{"lit", "dim"}
	w := eval.Word(words...)
	words[0] = "dark"
	require.Equal(t, "lit | dim", w.String())
}

// TestValueRoundTrip: any reading reads back from its own text as itself.
func TestValueRoundTrip(t *testing.T) {
	number := rapid.Custom(func(t *rapid.T) units.Quantity {
		text := rapid.StringMatching(`-?[0-9]{1,4}(\.[0-9]{1,3})?`).Draw(t, "number")
		unit := rapid.SampledFrom([]string{"V", "mV", "Ω", "MΩ", "°C", "°F", "rpm", "in", "N·m"}).Draw(t, "unit")
		return units.Must(text + " " + unit)
	})
	reading := rapid.Custom(func(t *rapid.T) eval.Value {
		q := number.Draw(t, "quantity")
		return rapid.SampledFrom([]eval.Value{eval.Number(q), eval.MoreThan(q), eval.LessThan(q), eval.OL(), {}}).Draw(t, "form")
	})
	seen := rapid.Custom(func(t *rapid.T) eval.Value {
		return eval.Word(rapid.SampledFrom([]string{"lit", "dim", "burnt"}).Draw(t, "word"))
	})
	rapid.Check(t, func(t *rapid.T) {
		single := rapid.SampledFrom([]*rapid.Generator[eval.Value]{reading, seen}).Draw(t, "of")
		v := single.Draw(t, "value")
		if rapid.Bool().Draw(t, "list") {
			v = eval.List(rapid.SliceOfN(single, 1, 6).Draw(t, "items")...)
		}
		again, err := eval.ParseValue(v.String())
		require.NoError(t, err, v.String())
		require.Equal(t, v.String(), again.String())
	})
}

// TestAttributeValues: what is set of a unit has the type of the attribute.
func TestAttributeValues(t *testing.T) {
	bench := mustBench(t, `brushgear 1
family unit "Unit" {
  attribute poles : count
  attribute ratio_of : ratio
  attribute suffix : text
  attribute made : date
  attribute nominal : 12 V | 24 V
  attribute winding : lap | wave
  attribute rated : A
  test t "T" { read x : V }
}`)
	for _, test := range []struct{ name, value, want string }{
		{"poles", "14", ""},
		{"poles", "12 to 14", ""},
		{"poles", "missing", ""},
		{"poles", "2.5", "whole number"},
		{"poles", "-2", "whole number"},
		{"poles", "14 V", "voltage"},
		{"poles", "(12 14)", "one value"},
		{"ratio_of", "2.5", ""},
		{"suffix", `"B"`, ""},
		{"suffix", "B", ""},
		{"suffix", "B | C", `"..."`},
		{"suffix", "2 V", `"..."`},
		{"suffix", "missing", `"..."`},
		{"made", `"2011-04-01"`, ""},
		{"made", `"2011-02-30"`, "calendar"},
		{"made", "12 V", "2026-03-02"},
		{"nominal", "24 V", ""},
		{"nominal", "24000 mV", ""},
		{"nominal", "13 V", "none of the values"},
		{"winding", "lap | wave", ""},
		{"winding", "loop", "lap | wave"},
		{"winding", "2 V", "lap | wave"},
		{"rated", "40 A", ""},
		{"rated", "40", "needs its unit"},
		{"rates", "40 A", "did you mean rated?"},
	} {
		j, err := bench.Open("unit")
		require.NoError(t, err)
		err = j.Set(test.name, eval.MustValue(test.value))
		if test.want == "" {
			require.NoError(t, err, "%v", test)
			continue
		}
		require.ErrorContains(t, err, test.want, "%v", test)
	}
}
