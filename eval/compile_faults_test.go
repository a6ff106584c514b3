package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/diagnosis"
)

// aFault wraps the statements of a fault into a family.
func aFault(body string) string { return inFamily(`fault f "F" { part rotor ` + body + ` }`) }

func TestFindingsOfShows(t *testing.T) {
	requireSlips(t, []slip{
		{"a test that is none", "shows ^looks burnt always", dsl.CodeUnknownName, "did you mean look?"},
		{"an included unit that is none", "shows ^frontt.rest.volts low always", dsl.CodeUnknownName, "did you mean front?"},
		{"a test that a unit lacks", "shows ^front.rst.volts low always", dsl.CodeUnknownName, "front (a cell) has no test rst; known here: rest"},
		{"a value that a unit lacks", "shows ^front.rest.vlts low always", dsl.CodeUnknownName, "did you mean volts?"},
		{"a value that is none", "shows ^t.z high always", dsl.CodeUnknownName, "test t has no value z"},
		{"a pair", "shows ^t.d low always", dsl.CodeUnknownName, "write t.d.forward or t.d.back"},
		{"a part of a value", "shows ^t.x.max high always", dsl.CodeUnknownName, "write t.x alone"},
		{"a value without a limit", "shows ^t.d.forward low always", dsl.CodeUnknownOutcome, "write a limit for it"},
		{"a test without a limit", "shows ^bare low always", dsl.CodeUnknownOutcome, "write a limit for one of its values"},
		{"an outcome of a limit", "shows ^t.x low always", dsl.CodeUnknownOutcome, "known here: good, high"},
		{"an outcome of a grade", "shows ^g worm always", dsl.CodeUnknownOutcome, "did you mean worn?"},
		{"an outcome of a pattern", "shows ^p deaf always", dsl.CodeUnknownOutcome, "did you mean dead?"},
		{"an outcome of words", "shows ^look brnt always", dsl.CodeUnknownOutcome, "did you mean burnt?"},
		{"an outcome of alike", "shows ^al.r low always", dsl.CodeUnknownOutcome, "known here: good, mixed, one_high, one_low"},
		{"an outcome of none of several", "shows ^two worn always", dsl.CodeUnknownOutcome, "known here: good, high"},
		{"an outcome of several", "shows ^two high always", dsl.CodeAmbiguousCheck, "name the value: two.a"},
		{"a unit that does not jump", "shows ^front.rest.volts jumps always", dsl.CodeUnknownOutcome, "write limit volts is steady"},
		{"a position of a test", "shows ^t[u] high always", dsl.CodeIndex, "t.value[...]"},
		{"a position that is none", "shows ^t.y[x] high always", dsl.CodeIndex, "known here: u, v, w"},
		{"a position and an outcome of alike", "shows ^al.r[u] high always", dsl.CodeUnknownOutcome, "leave the brackets out and write one_low, one_high or mixed"},
		{"a position of alike", "shows ^al.r[u] one_low always", dsl.CodeIndex, "leave the brackets out"},
		{"positions that it does not have", "shows t.x high always when ^side is plus", dsl.CodeUnknownName, "write fault f of side"},
		{"a condition that depends on a reading", "shows t.x high always when ^t is good", dsl.CodeMisplaced, "speak of attributes here"},
		{"a condition of a reading", "shows t.x high always when ^supply above 3 V", dsl.CodeMisplaced, "use an attribute"},
		{"a strength over one", "shows t.x high ^1.7", dsl.CodeStrength, "write always, usually"},
		{"a percentage without its sign", "shows t.x high ^80", dsl.CodeStrength, "write 80 %, or always, usually"},
		{"a strength with a unit", "shows t.x high ^0.8 A", dsl.CodeStrength, "or a number such as 0.8"},
		{"a percentage over a hundred", "shows t.x high ^180 %", dsl.CodeStrength, "or a number such as 0.8"},
		{"more than certain", "shows t.x high usually ^shows t.x good often", dsl.CodeStrength, "join them by |"},
		{"shown and never shown", "shows t.x high always ^shows t.x high never", dsl.CodeStrength, "both shows high and never shows it"},
		{"never shown and shown", "shows t.x good | high never ^shows t.x high seldom", dsl.CodeStrength, "both shows high and never shows it"},
		{"shown twice", "shows t.x high often ^shows t.x high sometimes", dsl.CodeStrength, "says twice how surely it shows high"},
		{"shown twice at times", "shows t.x high | good often when size is small ^shows t.x high sometimes when nominal is 12 V", dsl.CodeStrength, "conditions that exclude each other"},
		{"anything and something", "shows t.x any ^shows t.x high often", dsl.CodeStrength, "shows anything at a check"},
		{"two reasons", "because \"a\" ^because \"b\"", dsl.CodeDuplicateName, "because stands twice in fault f"},
		{"more than certain at times", "shows t.x high always when size is small ^shows t.x good always", dsl.CodeStrength, "more than certainty"},
		{"more than certain at three times", "shows t.x high sometimes when size is small shows t.x good often when nominal is 12 V ^shows t.x high | good sometimes when size is small", dsl.CodeStrength, "more than certainty"},
	}, aFault)
	requireSlips(t, []slip{
		{"positions that are none", `fault f of ^phse "F" { part rotor shows t.y[phse] high always }`, dsl.CodeUnknownName, "did you mean phase?"},
		{"positions in another order", `fault f of side, phase "F" { part rotor shows ^t.d.back[phase, side] low always }`, dsl.CodeIndex, "phase is no side"},
		{"a word that is no position", `fault f of side "F" { part rotor shows t.x high always when side is ^pls }`, dsl.CodeUnknownWord, "known here: minus, plus"},
		{"a number of a position", `fault f of bar "F" { part rotor shows t.x high always when ^bar is 3 }`, dsl.CodeUnknownName, "write [bar] where the fault shows"},
	}, inFamily)
	requireSound(t, map[string]string{
		"the only check of a test":   "shows g worn always shows look burnt | blue always shows al one_low always",
		"a pattern":                  "shows p dead always",
		"good of several":            "shows two good always",
		"anything":                   "shows two any",
		"what jumps":                 "shows t.x jumps always",
		"alike by name":              "shows al.r.alike mixed often",
		"one position, unknown":      "shows t.y high always",
		"an included unit":           "shows front.rest.volts low always shows rear.rest.w[p] high always",
		"strengths up to one":        "shows t.x high usually shows t.x good 0.2",
		"never beside always":        "shows t.x high always shows t.x good never",
		"strengths at other times":   "shows t.x high always when size is small shows t.x good always when size is large",
		"once at a time":             "shows t.x high often when size is small shows t.x high seldom when size is large",
		"anything but one":           "shows t.x any shows t.x high never",
		"different positions":        "shows t.y[u] high always shows t.y[v] high always",
		"by serial and day of build": "shows t.x high always when serial at least \"H4\" and built below 2001-01-01",
	}, aFault)
	requireSound(t, map[string]string{
		"of two sorts of positions": `fault f of side, phase "F" { part rotor shows t.d.back[side, phase] low always when side is plus and phase is u | v }`,
		"of one of two":             `fault f of phase "F" { part rotor shows t.d.back[plus, phase] low always shows t.y[phase] high always }`,
	}, inFamily)
}

func TestFindingsOfFaults(t *testing.T) {
	requireSlips(t, []slip{
		{"two parts", "^part stator", dsl.CodeUnknownName, "known here: rotor"},
		{"an effect that is none", "has ^e", dsl.CodeUnknownName, "declare it first"},
		{"a cause that is none", "from ^wear", dsl.CodeUnknownName, "known here: oil"},
		{"a remedy that is none", "remedy ^mend", dsl.CodeUnknownName, "known here: fit"},
		{"another remedy that is none", "remedy fit else ^mend", dsl.CodeUnknownName, "known here: fit"},
		{"a mask of nothing", "masks t, ^looks", dsl.CodeUnknownName, "did you mean look?"},
		{"a mask for no fault", "masks t for ^h", dsl.CodeUnknownName, "there is no fault h"},
		{"a mask by a reading", "masks t when ^t.x above 3 V", dsl.CodeMisplaced, "speak of attributes here"},
		{"a strength as a frequency", "occurs ^usually", dsl.CodeFrequency, "usually says how surely a fault shows something"},
		{"no frequency", "occurs ^daily", dsl.CodeFrequency, "write usual, common, occasional or rare"},
		{"too frequent", "occurs ^0.5", dsl.CodeFrequency, "a number such as 0.02"},
		{"a frequency with a unit", "occurs ^0.1 V", dsl.CodeFrequency, "a number such as 0.02"},
		{"two frequencies", "occurs rare ^occurs common", dsl.CodeFrequency, "exclude each other"},
		{"two frequencies at once", "occurs rare when size is small ^occurs common when nominal is 12 V", dsl.CodeFrequency, "when nominal is 12 V and size is small"},
		{"a frequency by a reading", "occurs rare when ^t.x above 3 V", dsl.CodeMisplaced, "speak of attributes here"},
		{"leads to nothing", "leads to ^g often", dsl.CodeUnknownName, "there is no fault g"},
		{"leads to a cause", "leads to ^oil often", dsl.CodeUnknownName, "a fault that comes from it says from oil"},
		{"leads to a check", "leads to ^t.x often", dsl.CodeUnknownName, "there is no fault t.x"},
		{"with no fault", "with ^h shows t.x good always", dsl.CodeUnknownName, "there is no fault h"},
	}, func(body string) string {
		if body == "^part stator" {
			return inFamily(`fault f "F" { part ^stator }`)
		}
		return aFault(body)
	})
	requireSlips(t, []slip{
		{"in two parts", "part stator \"Stator\" fault f \"F\" { part rotor ^part stator }", dsl.CodeDuplicateName, "write a fault for each"},
		{"of two remedies", "remedy mend \"Mend\" { }\nfault f \"F\" { part rotor remedy fit ^remedy mend }", dsl.CodeDuplicateName, "remedy fit else mend"},
		{"two faults", `fault f "F" { part rotor } fault ^f "F" { part rotor }`, dsl.CodeDuplicateName, "give one another name"},
		{"leads to itself", `fault ^f "F" { part rotor leads to f often }`, dsl.CodeCircle, "f, f"},
		{"leads around", "fault f \"F\" { part rotor leads to g often }\nfault g \"G\" { part rotor leads to h often }\nfault ^h \"H\" { part rotor leads to f often }", dsl.CodeCircle, "f, g, h, f"},
		{"leads there twice", "fault f \"F\" { part rotor leads to g often ^leads to g seldom }\nfault g \"G\" { part rotor }", dsl.CodeStrength, "says twice how surely it leads to g"},
		{"together said twice", "fault f \"F\" { part rotor with g shows t.x good always ^with g shows t.x high often }\nfault g \"G\" { part rotor }", dsl.CodeStrength, "join the outcomes by |"},
		{"together from both sides", "fault f \"F\" { part rotor with g shows t.x good always }\nfault g \"G\" { part rotor ^with f shows t.x high always }", dsl.CodeStrength, "what g and f show together at this check is said twice"},
		{"together with itself", `fault f "F" { part rotor ^with f shows t.x good always }`, dsl.CodeCircle, "name the other fault"},
		{"a remedy with another else", "remedy mend \"Mend\" { }\nfault f \"F\" { part rotor remedy fit else mend ^remedy fit }", dsl.CodeDuplicateName, "names its remedy twice"},
		{"shown twice by an effect", "effect e \"E\" { shows t.x high sometimes }\nfault f \"F\" { part rotor has e ^shows t.x high often }", dsl.CodeStrength, "says twice how surely it shows high"},
		{"leads with too much", "fault f \"F\" { part rotor leads to g ^1.5 }\nfault g \"G\" { part rotor }", dsl.CodeStrength, "from 0 to 1"},
		{"leads to a position that is none", "fault f \"F\" { part rotor leads to ^g[x] often }\nfault g of phase \"G\" { part rotor }", dsl.CodeIndex, "known here: u, v, w"},
		{"an effect with another", "effect e \"E\" { ^has d }\neffect d \"D\" { shows t.x high always }\nfault f \"F\" { part rotor has e }", dsl.CodeMisplaced, "write its shows again"},
		{"an effect that is wrong", "effect e \"E\" { shows ^t.z high always }\nfault f \"F\" { part rotor has e }\nfault g \"G\" { part rotor has e }", dsl.CodeUnknownName, "no value z"},
		{"an effect that no fault has", "effect e \"E\" { shows ^t.z high always }", dsl.CodeUnknownName, "no value z"},
		{"never shown but by an effect", "effect e \"E\" { shows t.x high always }\nfault f \"F\" { part rotor ^shows t.x high never has e }", dsl.CodeStrength, "both shows high and never shows it"},
		{"more than certain by an effect", "effect e \"E\" { shows t.x high always }\nfault f \"F\" { part rotor has e ^shows t.x good always }", dsl.CodeStrength, "more than certainty"},
		{"neither part nor remedy", `fault ^f "F" { shows t.x high always }`, dsl.CodeUnknownName, "write part rotor and remedy"},
	}, inFamily)
	requireSound(t, map[string]string{
		"an effect of positions":  "effect e \"E\" { shows t.y[phase] high always masks t.x }\nfault f of phase \"F\" { part rotor has e }",
		"a position that follows": "fault f of phase \"F\" { part rotor leads to g[phase] often }\nfault g of phase \"G\" { part rotor }",
		"masks for and when":      "fault f \"F\" { part rotor masks t.x, front.rest for g when size is small }\nfault g \"G\" { part rotor }",
		"leads to two places":     "fault f \"F\" { part rotor leads to g[u] often leads to g[v] seldom }\nfault g of phase \"G\" { part rotor }",
		"together at two checks":  "fault f \"F\" { part rotor with g shows t.x good always with g shows look burnt always }\nfault g \"G\" { part rotor }",
		"together at other times": "fault f \"F\" { part rotor with g shows t.x good always when size is small }\nfault g \"G\" { part rotor with f shows t.x high always when size is large }",
		"together with another":   "fault f \"F\" { part rotor with g shows t.x good always }\nfault g \"G\" { part rotor }",
		"a number as frequency":   "fault f \"F\" { part rotor occurs 0.02 } fault g \"G\" { part rotor occurs 2 % }",
	}, inFamily)
}

func TestFindingsOfRemedies(t *testing.T) {
	requireSlips(t, []slip{
		{"retests nothing", "retest t, ^looks", dsl.CodeUnknownName, "did you mean look?"},
		{"covers nothing", "covers ^fitt", dsl.CodeUnknownName, "did you mean fit?"},
		{"allowed by a value", "allowed ^g.l", dsl.CodeWrongType, "say something of it"},
		{"allowed by unlike quantities", "allowed ^g.l - 1 V at least 3 mm", dsl.CodeDimension, "write both in"},
		{"allowed by a condition", "allowed ^supply above 3 V", dsl.CodeMisplaced, "use an attribute"},
		{"two regrets", "regret 40 min ^regret 50 min", dsl.CodeDuplicateName, "regret stands twice in remedy "},
		{"a regret that is no time", "regret ^40 V", dsl.CodeDimension, "a time is wanted here"},
		{"needs nothing", "needs t is good, ^looks is good", dsl.CodeUnknownName, "did you mean look?"},
		{"needs a condition", "needs ^supply", dsl.CodeMisplaced, "name a test"},
		{"needs an attribute", "needs ^rated", dsl.CodeMisplaced, "name a test"},
	}, func(body string) string { return inFamily(`remedy mend "Mend" { ` + body + ` }`) })
	requireSound(t, map[string]string{
		"all of them": "retest t, g.l covers fit allowed g.l - 1 mm at least 3 mm regret 40 min needs t.x is good, look",
	}, func(body string) string { return inFamily(`remedy mend "Mend" { ` + body + ` }`) })
}

// TestFaultOfPositions: [side, phase] is the place of the fault, and when side is plus selects those of one side.
func TestFaultOfPositions(t *testing.T) {
	sheet := `brushgear 1
family unit "Unit" {
  positions side "side" : plus, minus
  positions phase "phase" : u, v, w
  part rectifier "Rectifier"
  test diodes "Diodes" { read drop of side, phase : V  limit drop at least 0.3 V }
  test frame "Frame" { read path : V  limit path at least 0.3 V }
  fault shorted of side, phase "Shorted" {
    part rectifier
    shows diodes.drop[side, phase] low always
    shows frame.path low always when side is minus
  }
}
record "r" of unit { judge 2026-03-02 taken diodes.drop (0.5 0.5 0.5 0.5 0.1 0.5 V) taken frame.path 0.1 V }
`
	for name, want := range map[string]diagnosis.Status{
		"shorted[minus, v]": diagnosis.Shown, "shorted[minus, u]": diagnosis.RuledOut, "shorted[plus, v]": diagnosis.RuledOut,
	} {
		f, ok := judged(t, sheet).Last().Fault(name)
		require.True(t, ok, name)
		require.Equal(t, want, f.Status(), name)
	}
}

// TestJumpsOfAnIncludedUnit: an unsteady reading of an included unit is a symptom if its sheet says that it must be steady.
func TestJumpsOfAnIncludedUnit(t *testing.T) {
	sheet := `brushgear 1
kind cell "Cell" { test rest "Rest" { read volts : V  limit volts at least 12 V  limit volts is steady } }
family cell_60 "Cell 60" of cell { limit rest.volts at least 12.2 V }
family unit "Unit" {
  include cell as cell
  part clamp "Clamp"
  test own "Own" { read x : V  limit x at most 5 V }
  fault loose "Loose" { part clamp  shows cell.rest.volts jumps always }
}
record "r" of unit { unit cell is cell_60 judge 2026-03-02 taken cell.rest.volts 11 V to 12.6 V jumping }
`
	f, ok := judged(t, sheet).Last().Fault("loose")
	require.True(t, ok)
	require.Equal(t, diagnosis.Shown, f.Status())
}
