package examples_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/trials"
	"github.com/brushgear/brushgear/eval/trials/trialtest"
	"github.com/brushgear/brushgear/examples"
)

func TestTrials(t *testing.T) { trialtest.Run(t, examples.FS) }

// The trials show every fault of the two machines and rule it out, and know every variant.
func TestTrialsKnowEveryFault(t *testing.T) {
	suite, err := trials.Load(examples.FS)
	require.NoError(t, err)
	report, err := suite.Run(t.Context(), trials.Options{})
	require.NoError(t, err)
	coverage, err := suite.Coverage(report, trials.Options{})
	require.NoError(t, err)
	families := 0
	for _, f := range coverage.Families {
		if f.Family != "tarnby_90" && f.Family != "skerrow_20" {
			continue
		}
		families++
		for _, item := range f.Missing() {
			require.NotContains(t, []eval.AimKind{eval.FaultAim, eval.VariantAim}, item.Kind, "%s: no trial has %s %s", f.Family, item.Name, item.Word)
		}
	}
	require.Equal(t, 2, families)
}
