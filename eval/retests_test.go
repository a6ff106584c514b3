package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
)

const rectifierSheet = `brushgear 1
family alternator "Alternator" {
  part bridge "Rectifier"
  part regulator "Regulator"
  remedy fit_bridge "Fit another rectifier" { retest drop, output }
  remedy fit_regulator "Fit another regulator" { regret 60 min }
  test look "Look" { takes 1 min read seen : clean | burnt limit seen is clean }
  test output "Output" { takes 8 min read current : A  limit current at least 90 A }
  test drop "Diode drop" { takes 6 min examines bridge read forward : mV limit forward 400 to 600 mV }
  fault shorted "Diode shorted" { part bridge occurs common remedy fit_bridge shows drop.forward low always shows output.current low always }
  fault dead "Regulator dead" { part regulator occurs usual remedy fit_regulator shows output.current low always shows look burnt seldom }
}
record "r" of alternator {
  pass as found on 2026-05-04 { `

// TestRetestsAreOwed: what a remedy asks to be made again keeps the unit from being serviceable until it is, and comes next.
func TestRetestsAreOwed(t *testing.T) {
	const found = "taken output.current 40 A taken drop.forward 4 mV taken look.seen clean }\n"
	for _, test := range []struct {
		name, passes string
		word         eval.UnitWord
		owed         []string
		next         string
	}{
		{"work and nothing since", found + "pass in work on 2026-05-05 { work fit_bridge", eval.Faulty, []string{"Output", "Diode drop"}, ""},
		{"one of two made", found + "pass as left on 2026-05-05 { work fit_bridge taken output.current 97 A", eval.Undecided, []string{"Diode drop"}, "drop"},
		{"both made", found + "pass as left on 2026-05-05 { work fit_bridge taken output.current 97 A taken drop.forward 500 mV", eval.Serviceable, nil, ""},
		{"a void one does not count", found + `pass as left on 2026-05-05 { work fit_bridge taken output.current 97 A taken drop.forward 500 mV void "slipped"`, eval.Undecided, []string{"Diode drop"}, "drop"},
		{"no time for it", found + "pass as left on 2026-05-05 { work fit_bridge taken output.current 97 A skip drop no_time", eval.Undecided, []string{"Diode drop"}, ""},
		{"made before the work only", "taken output.current 40 A }\npass as left on 2026-05-05 { taken drop.forward 500 mV work fit_bridge taken output.current 97 A", eval.Undecided, []string{"Diode drop"}, "drop"},
		{"without a list only what was made", "taken output.current 40 A }\npass as left on 2026-05-05 { work fit_regulator taken look.seen clean taken drop.forward 500 mV", eval.Undecided, []string{"Output"}, "output"},
	} {
		v := judged(t, rectifierSheet+test.passes+"\n  }\n}\n")
		pass := v.Last()
		require.Equal(t, test.word, pass.Unit(), test.name)
		require.Equal(t, test.owed, pass.Retests(), test.name)
		e := v.Explain().Passes[len(v.Explain().Passes)-1]
		require.Equal(t, test.owed, e.Retests, test.name)
		if test.next == "" {
			require.True(t, e.Next == nil || e.Next.Test != "drop", test.name)
			continue
		}
		require.Equal(t, test.next, e.Next.Test, test.name)
		require.Contains(t, e.Next.Because[0], "to be made again after", test.name)
	}
}

// TestRemedyDoneBefore: a remedy that was carried out already is not proposed as if it were new.
func TestRemedyDoneBefore(t *testing.T) {
	note := func(passes string) string {
		v := judged(t, rectifierSheet+passes+"\n  }\n}\n")
		e := v.Explain()
		for _, r := range e.Passes[len(e.Passes)-1].Remedies {
			if r.Name == "fit_regulator" {
				return r.Note
			}
		}
		return "not proposed"
	}
	const found = "taken output.current 40 A taken drop.forward 500 mV }\n"
	require.Empty(t, note(found+"pass as left on 2026-05-05 { taken output.current 40 A"))
	require.Equal(t, "done since these readings", note(found+"pass in work on 2026-05-05 { work fit_regulator"))
	require.Contains(t, note(found+"pass as left on 2026-05-05 { work fit_regulator taken output.current 41 A"), "it was done before")
}
