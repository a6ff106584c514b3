package eval_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

// TestContents reads what a sheet says of its tests, limits and faults, with conditions decided as far as the sheet decides them.
func TestContents(t *testing.T) {
	c, err := exampleBench(t).Contents("tarnby_90")
	require.NoError(t, err)
	require.Equal(t, []string{"kind alternator_tests", "kind alternator", "family tarnby_90"}, c.Layers)

	of := map[string]eval.ContentsTest{}
	for _, test := range c.Tests {
		of[test.Name] = test
	}
	require.False(t, of["pulley_grip"].Applies, "its pulley is solid")
	require.Equal(t, 3.0, of["full_field"].Minutes)
	require.Equal(t, "on the bench, closed", of["full_field"].Stage)
	require.Equal(t, "at most 20 s, rest 2 min", of["full_field"].Run)
	require.Equal(t, []string{"spin", "with_load", "gas", "bypass"}, of["full_field"].Cautions)

	limits := map[string][]eval.ContentsLimit{}
	for _, l := range c.Limits {
		limits[l.Check] = append(limits[l.Check], l)
	}
	field := limits["ring_field.current"]
	require.Len(t, field, 3)
	require.Equal(t, "3.7 to 4.2 A at supply 12.0 V, winding temp 20 °C", field[0].Limit.Text)
	require.Equal(t, "2006-12-31", field[0].Until)
	require.Equal(t, "Tarnby bench sheet 7, edition 3", field[1].Limit.Source)
	require.Equal(t, "up to serial H40000", field[2].Variant)
	require.Len(t, limits["load_drop.fall"], 1, "it is a 12 V family")
	require.Equal(t, []string{"1500 rpm: at least 31 A", "2000 rpm: at least 47 A", "3000 rpm: at least 62 A", "4000 rpm: at least 74 A", "6000 rpm and above: at least 86 A"}, limits["curve.current"][1].Rows)
	require.Equal(t, "good: otherwise", limits["ripple"][0].Rows[3])

	for _, f := range c.Faults {
		if f.Name == "diode_shorted" {
			require.Equal(t, eval.ContentsFault{Name: "diode_shorted", Title: "Main diode shorted", Positions: []string{"side", "phase"}, Part: "Rectifier", Frequency: []string{"usual"},
				Remedy: "Fit a rectifier set", Causes: []string{"Battery or jump leads reversed"}, Leads: []string{"One phase burnt"}}, f)
			return
		}
	}
	require.Fail(t, "there is no diode_shorted")
}

// TestContentsOfWork reads what is worked out and corrected, what the release needs, what is retested after a remedy, and what is asked for a cause.
func TestContentsOfWork(t *testing.T) {
	c, err := exampleBench(t).Contents("tarnby_90")
	require.NoError(t, err)
	for _, test := range c.Tests {
		switch test.Name {
		case "output":
			require.Equal(t, []string{"level = current / rated"}, test.Formulas)
		case "ring_field":
			require.Equal(t, []string{"current by copper from winding_temp", "current by proportional from supply"}, test.Corrected)
		case "stator_ground":
			require.Equal(t, []string{"insulation by insulation from winding_temp to 40 °C"}, test.Corrected)
		}
	}
	require.Len(t, c.Release, 6)
	require.Equal(t, "Full output at the test voltage (output.level)", c.Release[2])
	require.Contains(t, c.Remedies, eval.ContentsRemedy{Name: "fit_regulator", Title: "Fit another regulator", Stage: "frames apart, wiring joined",
		Needs: []string{"ring_field is good", "ring_ground is good"}, Retest: []string{"Regulated voltage, small load", "Regulation, 10 % to 90 % load"}})
	require.Contains(t, c.Causes, eval.ContentsCause{Name: "reversed", Title: "Battery or jump leads reversed",
		Ask: "Was it jump-started, was the battery changed, was the machine welded on?"})
	require.Contains(t, c.Causes, eval.ContentsCause{Name: "overload", Title: "Overload or dead battery cell", Seen: "battery.load is weak | collapsed"})

	c, err = mustBench(t, ownLawSheet).Contents("f")
	require.NoError(t, err)
	require.Equal(t, []eval.ContentsLaw{{Name: "own", Title: "Copper by hand", Formula: "r in Ω, from t in °C to t0: r * (t0 - -234.5 °C) / (t - -234.5 °C)",
		When: "t - t0 within -60 K to 60 K", Source: "House rule"}}, c.Laws)
	require.Equal(t, []string{"r by own from winding_temp"}, c.Tests[1].Corrected)
}

func ExampleBench_Contents() {
	files, err := dsl.ParseFS(examples.FS, "first.sheet")
	if err != nil {
		fmt.Println(err)
		return
	}
	bench, err := eval.Compile(files)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := bench.Contents("lintel_40")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range c.Limits {
		fmt.Println(l.Check, l.Limit.Text, "from", l.From)
	}
	// Output:
	// field.current 3.2 to 3.6 A from 2019-04-01
	// output.current at least 36 A from 2019-04-01
	// output.volts 13.8 to 14.4 V from 2019-04-01
}
