package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
)

// Worked cases of fault finding: pictures that several faults share, and the one test that splits them; faults that hide each other; one story of
// several faults. The readings are invented and physically consistent; which faults share a picture is common practice, no source.

// A step is what was read since the step before, and what is known after it.
type step struct {
	taken     string
	unit      eval.UnitWord
	shown     []string
	suspected []string
	next      string // the test to make next, "repeat" before one to repeat; empty if nothing more is to be told apart
}

// walk judges a record after each step and compares all of what it is said to know: every fault that is not listed is neither shown nor suspected.
func walk(t *testing.T, sheet, of string, steps ...step) *eval.Verdict {
	t.Helper()
	var v *eval.Verdict
	taken := ""
	for _, s := range steps {
		taken += s.taken + "\n"
		v = judged(t, sheet+`record "r" of `+of+" { judge 2026-03-02\n"+taken+"}")
		var shown, suspected []string
		for f := range v.Last().Faults() {
			switch f.Status().String() {
			case "shown":
				shown = append(shown, f.Name())
			case "suspected":
				suspected = append(suspected, f.Name())
			}
		}
		next := ""
		e := v.Explain()
		if n := e.Passes[len(e.Passes)-1].Next; n != nil {
			if next = n.Test; n.Repeat {
				next = "repeat " + n.Test
			}
		}
		require.Equal(t, s, step{s.taken, v.Last().Unit(), shown, suspected, next})
	}
	return v
}

// status is the word for one fault after the last pass.
func status(t *testing.T, v *eval.Verdict, fault string) string {
	t.Helper()
	f, ok := v.Last().Fault(fault)
	require.True(t, ok, fault)
	return f.Status().String()
}

const fieldSheet = `brushgear 1
family rotor "Rotor" {
  condition supply : V
  part rotor "Rotor"  part brush_set "Brush set"
  remedy fit_rotor "Fit another rotor" { retest rings }
  remedy fit_brushes "Fit brushes" { retest through }
  test through "Field, through the brushes" { takes 1 min  read resistance : Ω  limit resistance 2.4 to 2.9 Ω }
  test rings "Field, ring to ring" { takes 10 min  read resistance : Ω  limit resistance 2.3 to 2.7 Ω }
  fault field_shorted "Shorted turns in the field" {
    part rotor  occurs occasional
    shows through.resistance low always
    shows rings.resistance low always
    remedy fit_rotor
  }
  fault field_open "Field winding open" {
    part rotor  occurs occasional
    shows through.resistance high always
    shows rings.resistance high always
    remedy fit_rotor
  }
  fault brush_path "Brush path resistive or open" {
    part brush_set  occurs usual
    shows through.resistance high always
    remedy fit_brushes
  }
}
`

// TestH8CompensatingPair: 2.7 Ω through the brushes is good, 2.0 Ω at the rings is low. Either that is a slip, or the rotor is shorted and the brush
// path makes up for it with 0.7 Ω: two faults that hide each other. A repeat ring to ring tells; then the rotor is shown. A slip in the one good
// reading is left, and so the brush path is suspected only.
func TestH8CompensatingPair(t *testing.T) {
	through := step{"taken through.resistance 2.7 Ω", eval.Undecided, nil, nil, "rings"}
	low := step{"taken rings.resistance 2.0 Ω", eval.Undecided, nil, []string{"field_shorted", "brush_path"}, "repeat rings"}
	v := walk(t, fieldSheet, "rotor", through, low)
	require.Equal(t, "together with Shorted turns in the field, compared with no fault:", because(t, v, "brush_path"))

	v = walk(t, fieldSheet, "rotor", through, low,
		step{"taken rings.resistance 2.0 Ω", eval.Faulty, []string{"field_shorted"}, []string{"brush_path"}, ""})
	require.Equal(t, "compared with Shorted turns in the field:", because(t, v, "brush_path"))
	require.Equal(t, []string{"Shorted turns in the field", "Brush path resistive or open"}, v.Explain().Passes[0].Stories[0].Faults)
	slip, ok := v.Last().Slip()
	require.False(t, ok, slip)
}

// because is the first reason told of a fault.
func because(t *testing.T, v *eval.Verdict, fault string) string {
	t.Helper()
	for _, f := range v.Explain().Passes[0].Faults {
		if f.Name == fault && len(f.Because) > 0 {
			return f.Because[0]
		}
	}
	t.Fatalf("nothing is told of %s", fault)
	return ""
}
