package trials_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/trials"
	"github.com/brushgear/brushgear/examples"
)

// coilSheet has each sort of thing that a trial can try.
const coilSheet = `brushgear 1
kind coil "Coil" {
  attribute size : small | large
  condition winding_temp : °C
  part winding "Winding"
  positions lead "lead" : a, b
  test draw "Draw" {
    read current : A
    limit current
  }
  test drop "Drop along the temperature" {
    read volts : V
    needs winding_temp
    limit volts at most 9 V  # replaced by the family
  }
  test wear "Wear" {
    read length of lead : mm
    grade length : scrap below 6 mm | thin to 8 mm | good
  }
  test stand "Stand" {
    applies when size is large
    read look : good | bent
    limit look is good
  }
}
family coil_12 "Coil 12" of coil {
  set size small
  limit draw.current above 2.0 A new 2.4 to 2.80 A
  limit drop.volts along winding_temp linear {
    row 0 °C  : at most 4.0 V
    row 50 °C : at most 5.0 V
  }
  variant late "from 100" when serial at least "100" {
    limit draw.current at most 3 A
  }
  fault shorted "Shorted" {
    part winding
    shows draw.current high | worn always
  }
}
`

func coverage(t *testing.T, body string) map[string]trials.State {
	t.Helper()
	s, err := trials.Load(files("coil.sheet", coilSheet+body))
	require.NoError(t, err)
	r, err := s.Run(t.Context(), trials.Options{})
	require.NoError(t, err)
	c, err := s.Coverage(r, trials.Options{})
	require.NoError(t, err)
	b, err := json.Marshal(c)
	require.NoError(t, err)
	var families []struct {
		Items []struct {
			Name, What string
			State      trials.State
		}
	}
	require.NoError(t, json.Unmarshal(b, &families))
	require.Len(t, families, 1)
	got := map[string]trials.State{}
	for _, i := range families[0].Items {
		got[i.Name+" "+i.What] = i.State
	}
	require.Len(t, got, len(families[0].Items), "each item has a name of its own")
	return got
}

func TestCoverageItems(t *testing.T) {
	var names []string
	for name, state := range coverage(t, "") {
		require.Equal(t, trials.Missing, state)
		names = append(names, name)
	}
	require.ElementsMatch(t, []string{
		"draw.current gives good", "draw.current gives low", "draw.current gives high", "draw.current gives worn",
		"draw.current at 3 A", "draw.current at 3.01 A", // of the variant
		"draw.current at 2.0 A", "draw.current at 2.1 A", "draw.current at 2.4 A", "draw.current at 2.3 A", "draw.current at 2.80 A", "draw.current at 2.81 A",
		"drop.volts gives good", "drop.volts gives high",
		"drop.volts at 4 V where winding temp is 0 °C", "drop.volts at 4.1 V where winding temp is 0 °C",
		"drop.volts at 5 V where winding temp is 50 °C", "drop.volts at 5.1 V where winding temp is 50 °C",
		"wear.length gives scrap", "wear.length gives thin", "wear.length gives good",
		"wear.length at 6 mm", "wear.length at 5.99 mm", "wear.length at 8 mm", "wear.length at 8.01 mm",
		"shorted shows it", "shorted rules it out",
		"late is of it", " is of it",
	}, names, "not of the test that is not meant for it, nor of the limit that is replaced")
}

func TestCoverage(t *testing.T) {
	got := coverage(t, `
trial "a" of coil_12 {
  serial "90"
  taken draw.current 2.80 A
  taken wear.length (6 9 mm)
  gives draw.current is good
  gives wear.length[a] is thin
  finds shorted is ruled_out
}
trial "b" of coil_12 {
  serial "101"
  taken draw.current 3 A
  taken drop.volts 5.1 V at winding_temp 50 °C
  gives drop.volts is fail
}
trial "c" of coil_12 {
  serial "90"
  taken draw.current 2.81 A
  gives draw.current is worn | good
}
trial "fails" of coil_12 {
  taken wear.length (5.5 5.5 mm)
  gives wear.length[a] is good
}
trial "between the rows" of coil_12 {
  taken drop.volts 4.5 V at winding_temp 25 °C
  gives drop.volts is good
}
`)
	for name, want := range map[string]trials.State{
		"draw.current gives good":                         trials.Tried,
		"draw.current at 2.80 A":                          trials.Tried,
		"draw.current at 2.81 A":                          trials.Reached, // the trial allows two outcomes
		"draw.current gives worn":                         trials.Reached,
		"draw.current at 2.4 A":                           trials.Missing,
		"draw.current at 3 A":                             trials.Reached,
		"draw.current at 3.01 A":                          trials.Missing,
		"wear.length gives thin":                          trials.Tried,
		"wear.length at 6 mm":                             trials.Tried,
		"wear.length gives good":                          trials.Reached,
		"wear.length gives scrap":                         trials.Missing, // the trial that comes by fails
		"drop.volts gives high":                           trials.Tried,   // fail can be nothing else
		"drop.volts gives good":                           trials.Tried,
		"drop.volts at 5.1 V where winding temp is 50 °C": trials.Tried,
		"drop.volts at 5 V where winding temp is 50 °C":   trials.Missing,
		"drop.volts at 4 V where winding temp is 0 °C":    trials.Missing,
		"shorted rules it out":                            trials.Tried,
		"shorted shows it":                                trials.Missing,
		"late is of it":                                   trials.Tried,
		" is of it":                                       trials.Tried,
	} {
		require.Equal(t, want, got[name], name)
	}
}

// All is said of all only: 199 of 200 are 99 %.
func TestShareIsNeverRoundedUp(t *testing.T) {
	for tried, want := range map[int]string{0: "0 of 200 (0 %)", 1: "1 of 200 (0 %)", 199: "199 of 200 (99 %)", 200: "200 of 200 (100 %)"} {
		require.Equal(t, want, trials.Share(tried, 200))
	}
	require.Equal(t, "none to try", trials.Share(0, 0))
}

func TestCoverageText(t *testing.T) {
	s, err := trials.Load(files("coil.sheet", coilSheet+"trial \"a\" of coil_12 {\n  serial \"90\"\n  taken draw.current 2.80 A\n  gives draw.current is good\n}\n"))
	require.NoError(t, err)
	r, err := s.Run(t.Context(), trials.Options{})
	require.NoError(t, err)
	r.Coverage, err = s.Coverage(r, trials.Options{})
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, r.Text(&b))
	require.Equal(t, `1 trial: 1 passed

coil_12: tried 3 of 29 (10 %) by 1 trial
  outcomes         1 of 9 (11 %)
  edges of limits  1 of 16 (6 %)
  faults           0 of 2 (0 %)
  variants         1 of 2 (50 %)
    draw.current: no trial gives low, high, worn
    draw.current: no trial at 3 A, 3.01 A, 2.0 A, 2.1 A, 2.4 A, 2.3 A, 2.81 A
    drop.volts: no trial gives good, high
    drop.volts: no trial at 4 V, 4.1 V where winding temp is 0 °C; at 5 V, 5.1 V where winding temp is 50 °C
    wear.length: no trial gives scrap, thin, good
    wear.length: no trial at 6 mm, 5.99 mm, 8 mm, 8.01 mm
    fault shorted: no trial shows it, rules it out
    variant late: no trial is of it
`, b.String())
}

func ExampleSuite_Coverage() {
	suite, err := trials.Load(examples.FS, "trials/bench_650.sheet")
	if err != nil {
		fmt.Println(err)
		return
	}
	report, err := suite.Run(context.Background(), trials.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	coverage, err := suite.Coverage(report, trials.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range coverage.Families {
		for _, item := range f.Missing() {
			if item.Name == "crank.volts" && item.Kind == eval.EdgeAim && item.Word == eval.AimAt {
				fmt.Println(f.Family, "has no trial of", item.Name, "at", item.Edge)
			}
		}
	}
	// Output: bench_650 has no trial of crank.volts at 9.6 V
}
