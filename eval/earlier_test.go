package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
)

// TestComeback: a record that points to an earlier one shows what was found then, what was done, and what was not tested.
func TestComeback(t *testing.T) {
	bench, _ := compileSheet(t, `brushgear 1
family starter "Starter" {
  part brushes "Brushes"
  remedy fit_brushes "Fit brushes" { retest length }
  test length "Brush length" { read reading : mm  limit reading at least 8.0 mm }
  test clutch "Clutch by hand" { read feel : good | slips  limit feel is good }
  fault brushes_worn "Brushes worn" { part brushes  remedy fit_brushes  shows length.reading low always }
  fault clutch_slips "Clutch slips" { shows clutch.feel slips always }
}
record "J-1" of starter {
  judge 2026-02-02
  pass as found { taken length.reading 5.0 mm  work fit_brushes }
  pass as left { taken length.reading 17.0 mm }
}
record "J-2" of starter {
  earlier "J-1"
  earlier "J-0"
  judge 2026-03-02
  taken clutch.feel slips
}`)
	records, err := bench.Records()
	require.NoError(t, err)
	job, err := bench.Load(records[1])
	require.NoError(t, err)
	v, err := job.Judge(t.Context())
	require.NoError(t, err)
	e := v.Explain()
	require.Equal(t, []string{"J-1", "J-0"}, e.Earlier)
	require.Equal(t, []eval.EarlierExplanation{{
		Record: "J-1", Word: eval.Undecided, Shown: []string{"Brushes worn"}, Work: []string{"Fit brushes"}, NotTested: []string{"Clutch by hand"},
	}}, e.Before)
	require.Equal(t, eval.Faulty, e.Passes[0].Word)
}
