package trials_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval/trials"
)

const seedTrial = `
trial "good" of coil_12 {
  serial "90"
  # A comment stays.
  taken draw.current 2.5 A
  taken drop.volts 3.8 V at winding_temp 25 °C
  taken wear.length (8.5 9 mm)
  gives draw.current is good
  finds shorted is ruled_out
}
`

// What is proposed, put beside the trials, passes and closes the gaps.
func TestPropose(t *testing.T) {
	const sheet = coilSheet + seedTrial
	s, err := trials.Load(files("coil.sheet", sheet))
	require.NoError(t, err)
	r, err := s.Run(t.Context(), trials.Options{})
	require.NoError(t, err)
	require.True(t, r.OK())
	c, err := s.Coverage(r, trials.Options{})
	require.NoError(t, err)
	proposals, err := s.Propose(t.Context(), r, c, trials.Options{})
	require.NoError(t, err)
	var all strings.Builder
	without := 0
	for _, p := range proposals {
		require.Equal(t, "coil_12", p.Family)
		if p.Text == "" {
			without++
		}
		all.WriteString(p.Text)
	}
	require.Equal(t, 2, without, "no trial is of the variant, with its limit")
	require.Contains(t, all.String(), `trial "draw.current at 2.80 A" of coil_12 {
  serial "90"
  # A comment stays.
  taken draw.current 2.80 A
  taken drop.volts 3.8 V at winding_temp 25 °C
  taken wear.length (8.5 9 mm)
  gives draw.current is good
}
`)
	require.Contains(t, all.String(), `taken drop.volts 5.1 V at winding_temp 50 °C`)

	got := coverage(t, seedTrial+all.String())
	for name, state := range got {
		if strings.Contains(name, " at ") && name != "draw.current at 3 A" && name != "draw.current at 3.01 A" {
			require.Equal(t, trials.Tried, state, name)
		}
	}
}

// A reading that is compared only after a formula and a correction is worked out backwards.
func TestProposeThroughFormulaAndCorrection(t *testing.T) {
	const sheet = `brushgear 1
family coil "Coil" {
  condition winding_temp : °C
  test ohms "Ohms" {
    read volts : V
    read amps  : A
    needs winding_temp
    let resist = volts / amps
    correct resist by copper from winding_temp
    limit resist at most 2.50 Ω at winding_temp 20 °C
  }
}
trial "good" of coil {
  taken ohms { volts 12 V, amps 5 A } at winding_temp 30 °C
  gives ohms is good
}
`
	s, err := trials.Load(files("coil.sheet", sheet))
	require.NoError(t, err)
	r, err := s.Run(t.Context(), trials.Options{})
	require.NoError(t, err)
	c, err := s.Coverage(r, trials.Options{})
	require.NoError(t, err)
	proposals, err := s.Propose(t.Context(), r, c, trials.Options{})
	require.NoError(t, err)
	require.Len(t, proposals, 2)
	require.Empty(t, proposals[0].Text, "no reading of five decimals hits the edge itself")
	require.Contains(t, proposals[1].Text, "gives ohms.resist is high")
}
