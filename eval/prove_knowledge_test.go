package eval_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/brushgear/brushgear/examples"
)

// soundUnit is a family about which there is nothing to say, around the declarations of a case.
func soundUnit(decls string) string {
	declared := func(name, decl string) string { // what nothing uses is a finding
		if strings.Contains(decls, name) {
			return decl
		}
		return ""
	}
	return `brushgear 1
source house "House rule"
` + declared("per old", `source old "Old sheet" from 1990-01-01 until 1999-12-31
`) + declared("per current", `source current "Sheet" from 2000-01-01
`) + `kind motor "Motor" {
  attribute field : series | magnets
  attribute width : mm
  positions side "side" : plus, minus
  ` + declared("speed", "condition speed : rpm") + `
  stage closed "closed"
  stage opened "opened" after closed takes 5 min back 5 min
  stage cut "sawn open" after opened takes 5 min
  caution spin "Guard on before it turns."
  caution mains_lamp "Mains lamp shocks."
  part rotor "Rotor"
  part frame "Frame"
  remedy fit_rotor "Fit another rotor" {}
  remedy fit_frame "Fit another frame" {}
  test look "Look" {
    stage closed  caution spin, mains_lamp
    read rotor : good | burnt | loose | blue
    read frame : good | bent
    limit rotor is good per house
    limit frame is good per house
  }
  fault rotor_burnt "Rotor burnt" { part rotor  shows look.rotor burnt always  remedy fit_rotor }
  fault rotor_loose "Rotor loose" { part rotor  shows look.rotor loose always  remedy fit_rotor }
  fault rotor_blue "Rotor blue" { part rotor  shows look.rotor blue always  remedy fit_rotor }
  fault frame_bent "Frame bent" { part frame  shows look.frame bent always  remedy fit_frame }
}
family motor_12 "Motor, 12 V" of motor {
  set field series
  set width 10 mm
  ` + decls + `
}
`
}

// A flaw is a sheet with one finding at the mark ^.
type flaw struct {
	name, decls string
	severity    dsl.Severity
	code        dsl.Code
	message     string
}

func requireFlaws(t *testing.T, flaws []flaw) {
	t.Helper()
	for _, f := range flaws {
		t.Run(f.name, func(t *testing.T) {
			before, after, ok := strings.Cut(soundUnit(f.decls), "^")
			require.True(t, ok, "no mark")
			list := mustBench(t, before+after).ProveKnowledge()
			requireFinding(t, list, f.code)
			require.Equal(t, f.severity, list[0].Severity)
			require.Contains(t, list[0].Message, f.message)
			require.Equal(t, len(before), list[0].Range.Pos.Offset, list[0].Error())
		})
	}
}

func requireNothing(t *testing.T, cases map[string]string) {
	t.Helper()
	for name, decls := range cases {
		t.Run(name, func(t *testing.T) {
			list := mustBench(t, soundUnit(decls)).ProveKnowledge()
			require.Empty(t, list, "%v", errorsOf(list))
		})
	}
}

func TestProveFaults(t *testing.T) {
	requireFlaws(t, []flaw{
		{"no shows", `fault ^f "F" { part rotor remedy fit_rotor }`, dsl.Warning, dsl.CodeUnseenFault, "it shows nothing"},
		{"never", `fault ^f "F" { part rotor shows look.rotor burnt never remedy fit_rotor }`, dsl.Warning, dsl.CodeUnseenFault, "it shows nothing"},
		{"anything", `fault ^f "F" { part rotor shows look.rotor any remedy fit_rotor }`, dsl.Warning, dsl.CodeUnseenFault, "only what passes, or anything"},
		{"of another unit", `fault ^f "F" { part rotor shows look.rotor burnt always when field is magnets remedy fit_rotor }`, dsl.Warning, dsl.CodeUnseenFault, "it shows nothing"},
		{"at one of its positions", `fault ^f of side "F" { part rotor shows look.rotor burnt always when side is plus remedy fit_rotor }`, dsl.Warning, dsl.CodeUnseenFault, "f[minus]"},
		{"on a test of another unit", `test m "M" { applies when field is magnets read x : V limit x at most 2 V per house }
			fault ^f "F" { part rotor shows m.x high always remedy fit_rotor }`, dsl.Warning, dsl.CodeUnseenFault, "not meant for this unit"},
		{"no part", `fault ^f "F" { shows look.rotor burnt always remedy fit_rotor }`, dsl.Hint, dsl.CodeBareFault, "fault f has no part"},
		{"no remedy", `fault ^f "F" { part rotor shows look.rotor burnt always }`, dsl.Hint, dsl.CodeBareFault, "fault f has no remedy"},
		{"masked by another", `test m "M" { read x : V limit x at most 2 V per house } fault f "F" { part frame shows look.frame bent always masks m remedy fit_frame }
			fault ^g "G" { part rotor shows m.x high always remedy fit_rotor }`, dsl.Warning, dsl.CodeHiddenFault, "wherever fault g would be seen, f masks it"},
		{"masked by itself", `test m "M" { read x : V limit x at most 2 V per house } fault ^f "F" { part rotor masks m shows m.x high always remedy fit_rotor }`, dsl.Warning, dsl.CodeHiddenFault, "itself"},
		{"two at one check", `test m "M" { read x : V limit x at most 2 V per house } fault ^f "F" { part rotor shows m.x high always remedy fit_rotor }
			fault g "G" { part frame shows m.x high usually remedy fit_frame }`, dsl.Warning, dsl.CodeUnseparated, "no test tells f and g apart, and their remedies differ: fit_rotor or fit_frame"},
		{"a group of three", `test m "M" { read x : V limit x at most 2 V per house } fault ^f "F" { part rotor shows m.x high always remedy fit_rotor }
			fault g "G" { part frame shows m.x high usually remedy fit_frame } fault h "H" { part frame shows m.x high often remedy fit_rotor else fit_frame }`,
			dsl.Warning, dsl.CodeUnseparated, "f and g apart"},
		{"sometimes is not enough", `test m "M" { read x : V read y : V limit x at most 2 V per house limit y at most 2 V per house }
			fault ^f "F" { part rotor shows m.x high always remedy fit_rotor }
			fault g "G" { part frame shows m.x high always shows m.y high sometimes remedy fit_frame }`, dsl.Warning, dsl.CodeUnseparated, "f and g"},
	})
	requireNothing(t, map[string]string{
		"nothing more": "",
		"one remedy":   `fault f "F" { part rotor shows look.rotor burnt usually remedy fit_rotor }`,
		"told apart by an always": `test m "M" { read x : V read y : V limit x at most 2 V per house limit y at most 2 V per house }
			fault f "F" { part rotor shows m.x high always remedy fit_rotor } fault g "G" { part frame shows m.x high always shows m.y high always remedy fit_frame }`,
		"told apart by two usually": `test m "M" { read x : V read y : V limit x at most 2 V per house limit y at most 2 V per house }
			fault f "F" { part rotor shows m.x high usually remedy fit_rotor } fault g "G" { part frame shows m.y high usually remedy fit_frame }`,
		"masked for others only": `test m "M" { read x : V limit x at most 2 V per house } fault f "F" { part frame shows look.frame bent always masks m for rotor_blue remedy fit_frame }
			fault g "G" { part rotor shows m.x high always remedy fit_rotor }`,
		"frequencies up to two": `fault f "F" { part rotor occurs 0.49 shows look.rotor burnt always remedy fit_rotor }`,
	})
}

// The place of a position is spread over its positions: six diodes at 0.4 are 0.4 faults.
func TestProveExpectedFaults(t *testing.T) {
	unit := func(p string) string {
		decls := ""
		for i := range 4 {
			decls += fmt.Sprintf(`test m%d "M" { read x : V limit x at most 2 V per house }
				fault f%d of side "F" { part rotor occurs %s shows m%d.x high always remedy fit_rotor }
				`, i, i, p, i)
		}
		return soundUnit(decls + `fault g "G" { part rotor occurs 0.4 shows look.rotor burnt always remedy fit_rotor }
			fault h "H" { part rotor shows look.rotor burnt always remedy fit_rotor }`)
	}
	require.Empty(t, mustBench(t, unit("0.4")).ProveKnowledge())
	list := mustBench(t, unit("0.45")).ProveKnowledge()
	requireFinding(t, list, dsl.CodeExpectedFaults)
	require.Contains(t, list[0].Message, "add up to 2.2 in one unit")
}

func TestProveOutcomes(t *testing.T) {
	requireFlaws(t, []flaw{
		{"a bound", `test m "M" { read ^x : V limit x 1 V to 2 V per house } fault f "F" { part rotor shows m.x high always remedy fit_rotor }`,
			dsl.Hint, dsl.CodeUnexplainedOutcome, "no fault explains low of m.x"},
		{"words", `test m "M" { read ^x : good | red | green limit x is good per house } fault f "F" { part rotor shows m.x red always remedy fit_rotor }`,
			dsl.Hint, dsl.CodeUnexplainedOutcome, "no fault explains green of m.x"},
		{"a pattern", `test m "M" { read x : V ^outcome red as fail when x below 1 V outcome blue as fail when x below 2 V outcome good when x below 3 V outcome odd as fail otherwise }
			fault f "F" { part rotor shows m red always remedy fit_rotor }`, dsl.Hint, dsl.CodeUnexplainedOutcome, "no fault explains blue of m"},
		{"steadiness", `test m "M" { read ^x : V limit x at most 2 V per house limit x is steady per house } fault f "F" { part rotor shows m.x high always remedy fit_rotor }`,
			dsl.Hint, dsl.CodeUnexplainedOutcome, "no fault explains jumps of m.x"},
		{"two members", `test m "M" { read x of side : V ^limit x alike 3 % by mean per house read y : V limit y at most 2 V per house } fault f "F" { part rotor shows m.y high always remedy fit_rotor }`,
			dsl.Hint, dsl.CodeUnexplainedOutcome, "no fault explains mixed of m.x.alike"},
		{"one odd member", `test m "M" { positions leg "leg" : u, v, w read x of leg : V ^limit x alike 3 % by mean per house } fault f "F" { part rotor shows m.x one_low always remedy fit_rotor }`,
			dsl.Hint, dsl.CodeUnexplainedOutcome, "no fault explains one_high of m.x.alike"},
		{"an idle test", `test ^m "M" { read x : V limit x at most 2 V per house }`, dsl.Hint, dsl.CodeIdleTest, "tells nothing"},
		{"a pattern that cannot stay good", `test m "M" { read x : V limit x at most 2 V per house outcome dead when x is high outcome good otherwise }
			fault f "F" { part rotor shows m dead always remedy fit_rotor } fault ^g "G" { part rotor shows m.x high always remedy fit_rotor }`, dsl.Warning, dsl.CodeSilentCheck, "silent on m, whose rows read it"},
		{"a member without its list", `test m "M" { positions leg "leg" : u, v, w read x of leg : V limit x at most 2 V per house limit x alike 3 % by mean per house }
			fault ^f "F" { part rotor shows m.x high always remedy fit_rotor } fault g "G" { part rotor shows m.x.alike one_low | one_high | mixed always remedy fit_rotor }`,
			dsl.Warning, dsl.CodeSilentCheck, "fault f shows something at m.x but is silent on m.x.alike"},
		{"two members are not one", `test m "M" { positions leg "leg" : u, v, w read x of leg : V limit x at most 2 V per house limit x alike 3 % by mean per house }
			fault ^f "F" { part rotor shows m.x high always shows m.x.alike one_high usually remedy fit_rotor } fault g "G" { part rotor shows m.x.alike one_low | mixed always remedy fit_rotor }`,
			dsl.Warning, dsl.CodeSilentCheck, "then m.x.alike is mixed, which it never shows"},
		{"a limit without numbers", `replace test look "Look" { caution spin, mains_lamp read rotor : good | burnt | loose | blue read frame : good | bent read ^gap : mm
			limit rotor is good per house limit frame is good per house limit gap }`, dsl.Hint, dsl.CodeNoNumbers, "look.gap has a limit without numbers"},
	})
	var eight strings.Builder
	eight.WriteString(`test m "M" { read x : V read y : V read z : good | a | b | c | d | e | f | g | h limit x at most 2 V per house limit y at most 2 V per house limit z is good per house } `)
	for _, name := range strings.Split("abcdefg", "") {
		fmt.Fprintf(&eight, `fault f%s "F" { part rotor shows m.x high usually shows m.y high usually shows m.z %s always remedy fit_rotor } `, name, name)
	}
	requireFlaws(t, []flaw{
		{"one of eight", eight.String() + `fault ^fh "F" { part rotor shows m.x high usually shows m.z h always remedy fit_rotor }`, dsl.Hint, dsl.CodeSilentCheck, "fh shows something at m.x but is silent on m.y"},
	})
	requireNothing(t, map[string]string{
		"one of eight that says never": eight.String() + `fault fh "F" { part rotor shows m.x high usually shows m.y high never shows m.z h always remedy fit_rotor }`,
		"a member at its place": `positions leg "leg" : u, v, w test m "M" { read x of leg : V limit x at most 2 V per house limit x alike 3 % by mean per house }
			fault f of leg "F" { part rotor shows m.x[leg] high always shows m.x.alike one_high usually remedy fit_rotor } fault g "G" { part rotor shows m.x.alike one_low sometimes shows look.rotor blue always remedy fit_rotor }`,
		"a one-sided limit": `test m "M" { read x : V limit x at most 2 V per house } fault f "F" { part rotor shows m.x high always remedy fit_rotor }`,
		"otherwise":         `test m "M" { read x : V outcome good when x below 3 V outcome odd as fail otherwise } fault f "F" { part rotor shows m odd sometimes shows look.rotor blue always remedy fit_rotor }`,
		"a gate":            `test m "M" { read x : V limit x at most 2 V per house } test n "N" { needs m is good read x : V limit x at most 2 V per house } fault f "F" { part rotor shows n.x high always shows m.x high sometimes remedy fit_rotor }`,
		"seen as a cause": `test m "M" { read x : V limit x at most 2 V per house } cause wet "Wet" seen by m.x is high
			fault f "F" { part rotor shows look.rotor burnt always from wet remedy fit_rotor }`,
		"an echo": `test m "M" { read x : V limit x 1 V to 2 V per house } test n "N" { echoes m read x : V limit x 1 V to 2 V per house }
			fault f "F" { part rotor shows m.x low | high always remedy fit_rotor }`,
		"validity only": `test m "M" { read x : V grade x : short as not_valid below 1 V | good to 2 V | over as not_valid }`,
	})
}

func TestProveTests(t *testing.T) {
	m := `read x : V limit x at most 2 V per house } fault f "F" { part rotor shows m.x high always remedy fit_rotor }`
	n := `read x : V limit x at most 2 V per house } fault g "G" { part rotor shows n.x high always remedy fit_rotor }`
	lamp := `read lamp : dark | lit limit lamp is dark per house } fault f "F" { part rotor shows m lit always remedy fit_rotor }`
	requireFlaws(t, []flaw{
		{"an attribute", `test m "M" { needs ^width at least 12 mm ` + m, dsl.Warning, dsl.CodeShutGate, "the sheet sets width to something else"},
		{"no way back", `test n "N" { stage cut ` + n + ` test m "M" { stage closed needs ^n is good ` + m, dsl.Warning, dsl.CodeOrder, "stage closed and waits for n at stage cut"},
		{"spoilt by its gate", `test n "N" { spoils m ` + n + ` test m "M" { needs ^n is good ` + m, dsl.Warning, dsl.CodeOrder, "m waits for n, which spoils it"},
		{"spoilt by the gate of its gate", `test n "N" { spoils m ` + n + ` test o "O" { needs n is good read x : V limit x at most 2 V per house }
			test ^m "M" { needs o is good ` + m + ` fault h "H" { part rotor shows o high always remedy fit_rotor }`, dsl.Warning, dsl.CodeOrder, "m waits for n"},
		{"a mains lamp without caution", `test ^m "Mains lamp, ring to shaft" { ` + lamp, dsl.Warning, dsl.CodeNoCaution, "a mains lamp"},
		{"a mains lamp with another caution", `test ^m "Mains lamp, ring to shaft" { caution spin ` + lamp, dsl.Warning, dsl.CodeNoCaution, "a mains lamp"},
		{"in a step", `test ^m "Ring to shaft" { step "Use the mains lamp." ` + lamp, dsl.Warning, dsl.CodeNoCaution, "a mains lamp"},
		{"by its meter", `instrument insulation_tester : MΩ accuracy ± 5 %
			test ^m "Lead to core" { read x : MΩ with insulation_tester limit x at least 1 MΩ per house } fault f "F" { part rotor shows m.x low always remedy fit_rotor }`,
			dsl.Warning, dsl.CodeNoCaution, "high voltage"},
		{"turning", `test ^m "Output" { needs speed within 1000 rpm ± 10 rpm ` + m, dsl.Warning, dsl.CodeNoCaution, "a machine that turns"},
		{"behind a test that turns", `test n "N" { stage closed caution spin ` + n + ` test ^m "M" { stage closed needs n is good ` + m, dsl.Warning, dsl.CodeNoCaution, "m waits for n, which is made on a machine that turns"},
		{"the only one of its stage", `stage apart "apart" after opened takes 5 min test a "A" { stage apart caution mains_lamp read x : V } test b "B" { stage apart caution mains_lamp read x : V }
			test c "C" { stage apart caution mains_lamp read x : V } test d "D" { stage apart caution mains_lamp read x : V } test ^m "M" { stage apart ` + m, dsl.Hint, dsl.CodeNoCaution, "all other tests of stage apart call for caution mains_lamp, and m does not"},
		{"a caution for nothing", `caution ^acid "Eye protection."`, dsl.Warning, dsl.CodeNoCaution, "no test calls for caution acid"},
		{"short", `test ^m "Field" { run at most 10 s rest 2 min ` + m, dsl.Warning, dsl.CodeNoCaution, "for a short time only"},
	})
	requireNothing(t, map[string]string{
		"a way back":   `test n "N" { stage opened ` + n + ` test m "M" { stage closed needs n is good ` + m,
		"deeper later": `test n "N" { stage closed ` + n + ` test m "M" { stage cut needs n is good ` + m,
		"spoils later": `test n "N" { ` + n + ` test m "M" { needs n is good spoils n ` + m,
		"high voltage": `instrument insulation_tester : MΩ accuracy ± 5 % caution tester "500 V: hands off." test m "M" { caution tester read x : MΩ with insulation_tester
			limit x at least 1 MΩ per house } fault f "F" { part rotor shows m.x low always remedy fit_rotor }`,
		"a mains lamp": `test m "Mains lamp, ring to shaft" { caution mains_lamp ` + lamp,
		"turning":      `test m "Output" { caution spin needs speed within 1000 rpm ± 10 rpm ` + m,
	})
}

// A gate on a test that is not meant for the unit, and gates that exclude each other, make other findings too: what lies behind is never seen.
func TestProveShutGates(t *testing.T) {
	shut := func(decls string) *dsl.Diagnostic {
		for _, d := range mustBench(t, soundUnit(decls)).ProveKnowledge() {
			if d.Code == dsl.CodeShutGate {
				return d
			}
		}
		return nil
	}
	require.Contains(t, shut(`test m "M" { applies when field is magnets read x : V limit x at most 2 V per house }
		test n "N" { needs m is good read x : V limit x at most 2 V per house }`).Message, "m is not meant for any unit for which n is")
	require.Contains(t, shut(`test m "M" { needs look.rotor is good read x : V limit x at most 2 V per house }
		test n "N" { needs look.rotor is burnt, m is good read x : V limit x at most 2 V per house }`).Message, "n can never be valid: n and m ask for outcomes of look.rotor that exclude each other")
	require.Nil(t, shut(`test m "M" { needs look.rotor is good | blue read x : V limit x at most 2 V per house }
		test n "N" { needs look.rotor is not burnt, m is good read x : V limit x at most 2 V per house }`))
}

func TestProveAround(t *testing.T) {
	requireFlaws(t, []flaw{
		{"a cause of nothing", `^cause wet "Wet" ask "Is it wet?"`, dsl.Warning, dsl.CodeOpenCause, "no fault comes from cause wet"},
		{"a cause that nothing finds", `^cause wet "Wet" fault f "F" { part rotor shows look.rotor burnt always from wet remedy fit_rotor }`, dsl.Warning, dsl.CodeOpenCause, "nothing finds out about cause wet"},
		{"a cause seen elsewhere", `test m "M" { applies when field is magnets read x : V limit x at most 2 V per house } ^cause wet "Wet" seen by m.x is high
			fault f "F" { part rotor shows look.rotor burnt always from wet remedy fit_rotor }`, dsl.Warning, dsl.CodeOpenCause, "not meant for this unit"},
		{"a retest elsewhere", `test m "M" { read x : V limit x at most 2 V per house } fault f "F" { part rotor shows m.x high always remedy mend } ^remedy mend "Mend" { retest look }`,
			dsl.Warning, dsl.CodeNoRetest, "after mend no test is repeated that shows f"},
		{"a part", `part ^fan "Fan"`, dsl.Hint, dsl.CodeBlamelessPart, "no fault sits in part fan"},
		{"a part of a part", `part ^claw "Claw" within rotor`, dsl.Hint, dsl.CodeBlamelessPart, "claw"},
		{"limits", `test m "M" { read x : V read y : V ^limit x at most 2 V limit y at most 3 V } fault f "F" { part rotor shows m.x high always shows m.y high always remedy fit_rotor }`,
			dsl.Hint, dsl.CodeNoSource, "2 limits of family motor_12 have no source"},
	})
	others := strings.ReplaceAll(soundUnit(`remedy mend "Mend" {}`), `rotor" {}`, `rotor" { retest look }`)
	others = strings.ReplaceAll(others, `frame" {}`, `frame" { retest look }`)
	list := mustBench(t, others).ProveKnowledge()
	requireFinding(t, list, dsl.CodeNoRetest)
	require.Contains(t, list[0].Message, "remedy mend has no retest, as most others have")
	requireNothing(t, map[string]string{
		"a part with a part": `part engine "Engine" part bolt "Bolt" within engine fault f "F" { part bolt shows look.rotor burnt always remedy fit_rotor }`,
		"retest by default":  `test m "M" { read x : V limit x at most 2 V per house } fault f "F" { part rotor shows m.x high always remedy mend } remedy mend "Mend" {}`,
	})
}

// A finding that holds for one of two families names it.
func TestProveNamesTheUnits(t *testing.T) {
	two := soundUnit("") + `family motor_24 "Motor, 24 V" of motor { set field magnets set width 10 mm }`
	two = strings.Replace(two, "fault frame_bent", `test m "M" { applies when field is series read x : V limit x at most 2 V per house }
		fault coil "Coil" { part frame shows m.x high always remedy fit_frame }
		fault frame_bent`, 1)
	list := mustBench(t, two).ProveKnowledge()
	requireFinding(t, list, dsl.CodeUnseenFault)
	require.Contains(t, list[0].Message, "(on motor_24)")
}

// The ratio is that of ANSI/NCSL Z540.3-2006: a band of 0.4 A read with a rectangular ± 0.1 A has the expanded uncertainty 2 · 0.1/√3 = 0.115 A and
// a ratio of 0.4/(2 · 0.115) = 1.73.
func TestProveBands(t *testing.T) {
	unit := func(meter, test string) string {
		return `instrument clamp : A accuracy ± ` + meter + ` digit 0.1 A
			test m "M" { ` + test + ` } fault f "F" { part rotor shows m low | high always remedy fit_rotor }`
	}
	limit := `read x : A with clamp ^limit x 3.2 to 3.6 A per house`
	requireFlaws(t, []flaw{
		{"too coarse", unit("0.1 A", limit), dsl.Hint, dsl.CodeShortBand, "1.7 times as wide as the reading may be off (± 0.12 A, k = 2), and should be 4 times; 58 % of it"},
		{"hopeless", unit("0.2 A", limit), dsl.Warning, dsl.CodeShortBand, "clamp cannot decide 3.2 to 3.6 A: no reading in it is sure, since each may be off by ± 0.23 A"},
		{"by digits", unit("1 digits", limit), dsl.Hint, dsl.CodeShortBand, "1.7 times"},
		{"by share, at the upper bound", unit("4 %", limit), dsl.Hint, dsl.CodeShortBand, "(± 0.18 A, k = 2)"},
		{"through a formula", unit("0.1 A", `read x : A with clamp let twice = 2 * x - 1 A ^limit twice 6.4 to 7.2 A per house`), dsl.Hint, dsl.CodeShortBand, "1.7 times as wide as the reading may be off (± 0.23 A"},
		{"in a curve", "condition heat : °C " + unit("0.1 A", `read x : A with clamp ^limit x per house along heat linear { row 0 °C : 3.0 to 3.9 A row 50 °C : 3.2 to 3.6 A }`), dsl.Hint, dsl.CodeShortBand, "3.2 to 3.6 A"},
		{"of a grade", unit("0.1 A", `read x : A with clamp ^grade x : low below 3.2 A | good below 3.4 A | better as pass below 3.6 A | high`), dsl.Hint, dsl.CodeShortBand, "3.2 A to 3.6 A"},
		{"a fine limit", unit("0.01 A", `read x : A with clamp ^limit x 2.25 to 3.5 A per house`), dsl.Hint, dsl.CodeFineLimit, "steps of 0.1 A"},
	})
	require.InDelta(t, 1.73, 0.4/(2*2*0.1*uncertainty.Rectangular), 0.005)
	requireNothing(t, map[string]string{
		"wide enough": unit("0.04 A", `read x : A with clamp limit x 3.2 to 3.6 A per house`),
		"one bound": `instrument clamp : A accuracy ± 0.5 A digit 0.1 A test m "M" { read x : A with clamp limit x at most 3.6 A per house }
			fault f "F" { part rotor shows m.x high always remedy fit_rotor }`,
		"an old edition":  unit("0.1 A", `read x : A with clamp limit x 3.2 to 3.6 A per old limit x 3 to 4 A per current`),
		"a round limit":   unit("0.01 A", `read x : A with clamp limit x 2.20 to 3.5 A per house`),
		"in another unit": unit("0.001 A", `read x : A with clamp limit x 2200 to 3500 mA per house`),
	})
}

// A number without a unit is taken for that of its reading; a formula takes what nobody corrected.
func TestProveUnitsAndCorrections(t *testing.T) {
	requireFlaws(t, []flaw{
		{"another unit than the meter", `instrument dmm : V accuracy ± 1 % digit 0.01 V test m "M" { read ^x : mV with dmm let y = x / 2 limit y at most 2 V per house }
			fault f "F" { part rotor shows m.y high always remedy fit_rotor }`, dsl.Hint, dsl.CodeUnlikeUnits, "x is in mV, and all that the sheet says of it is in V"},
		{"one bound of two in brackets", `test m "M" { read ^x : in limit x at most 0.10 mm new at most 0.05 mm (0.002 in) per house }
			fault f "F" { part rotor shows m.x high always remedy fit_rotor }`, dsl.Hint, dsl.CodeUnlikeUnits, "x is in in"},
		{"an attribute", `^attribute length : in set length 20 mm`, dsl.Hint, dsl.CodeUnlikeUnits, "length is in in"},
		{"a condition", `^condition temp : °F test m "M" { needs temp within 10 °C to 30 °C read x : V limit x at most 2 V per house }
			fault f "F" { part rotor shows m.x high always remedy fit_rotor }`, dsl.Hint, dsl.CodeUnlikeUnits, "temp is in °F"},
		{"a row of a pattern", `test m "M" { read ^x : mV outcome bad as fail when x above 2 V outcome good otherwise }
			fault f "F" { part rotor shows m bad always remedy fit_rotor }`, dsl.Hint, dsl.CodeUnlikeUnits, "x is in mV"},
		{"a correction that its formula does not get", `condition temp : °C test m "M" { needs temp read x : V correct x by linear (0.1 V per 1 K) from temp to 20 °C
			let ^y = 12 V - x limit y at most 2 V per house } fault f "F" { part rotor shows m.y high always remedy fit_rotor }`, dsl.Hint, dsl.CodeLostCorrection, "y is worked out from x as it was taken"},
	})
	requireNothing(t, map[string]string{
		"both units printed": `test m "M" { read x : in limit x at most 0.10 mm (0.004 in) per house } fault f "F" { part rotor shows m.x high always remedy fit_rotor }`,
		"the unit of one of two": `instrument dmm : V accuracy ± 1 % digit 0.01 V test m "M" { read x : mV with dmm limit x at most 20 mV per house }
			fault f "F" { part rotor shows m.x high always remedy fit_rotor }`,
		"the formula is corrected": `condition temp : °C test m "M" { needs temp read x : V let y = 12 V - x correct x, y by linear (0.1 V per 1 K) from temp to 20 °C
			limit x at least 5 V per house limit y at most 2 V per house } fault f "F" { part rotor shows m.y high always shows m.x low always remedy fit_rotor }`,
		"the formula has its own way": `condition supply : V test m "M" { needs supply read x : A correct x by proportional from supply let y = supply / x
			limit y at most 2 Ω per house } fault f "F" { part rotor shows m.y high always remedy fit_rotor }`,
	})
}

// The examples are proved: what was found in them was mended.
func TestProveExamples(t *testing.T) {
	for _, name := range []string{"sheets/shop.sheet", "first.sheet"} {
		files, err := dsl.ParseFS(examples.FS, name)
		require.NoError(t, err)
		bench, err := eval.Compile(files)
		require.NoError(t, err)
		list := bench.ProveKnowledge()
		require.Empty(t, list, "%v", errorsOf(list))
	}
}

// What Compile refuses or warns of already is not reported twice: circles of faults, dual units, temperatures as differences.
func TestProveLeavesToCompile(t *testing.T) {
	for code, decls := range map[dsl.Code]string{
		dsl.CodeCircle: `fault f "F" { part rotor shows look.rotor burnt always leads to g often remedy fit_rotor }
			fault g "G" { part rotor shows look.rotor burnt always leads to f often remedy fit_rotor }`,
		dsl.CodeDualUnits: `limit look.gap at most 0.5 mm (0.00197 in)`,
		dsl.CodeDimension: `test m "M" { read hot : °C read cold : °C let rise = hot - cold limit rise at most 40 °C per house }`,
	} {
		f, err := dsl.Parse("test.sheet", []byte(strings.Replace(soundUnit(decls), "read frame : good | bent", "read frame : good | bent read gap : mm limit gap", 1)))
		require.NoError(t, err)
		require.Contains(t, codesOf(t, f), code, decls)
	}
}

func ExampleBench_ProveKnowledge() {
	f, err := dsl.Parse("lintel.sheet", []byte(`brushgear 1
source house "House rule"
family lintel_40 "Lintel 40 A alternator" {
  part rotor "Rotor"
  test ground "Mains lamp, ring to shaft" {
    read lamp : dark | lit
    limit lamp is dark per house
  }
  fault grounded "Field grounded" {
    part rotor
    shows ground lit always
  }
}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	bench, err := eval.Compile([]*dsl.File{f})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range bench.ProveKnowledge() {
		fmt.Println(d.Severity, d.Code, d.Message)
	}
	// Output: warning no-caution test ground works with a mains lamp, and no caution says so
}

// BenchmarkProveKnowledge proves a kind of 250 faults and 1000 checks, 5700 lines, with five families.
func BenchmarkProveKnowledge(b *testing.B) {
	var s strings.Builder
	s.WriteString("brushgear 1\nsource house \"House\"\nkind k \"Kind\" {\npart p \"Part\"\nremedy r0 \"A\" {}\nremedy r1 \"B\" {}\nremedy r2 \"C\" {}\n")
	for i := range 500 {
		fmt.Fprintf(&s, "test t%d \"T\" {\nread a : V\nread b : V\nlimit a 1 V to 2 V per house\nlimit b at most 2 V per house\n}\n", i)
	}
	for i := range 250 {
		fmt.Fprintf(&s, "fault f%d \"F\" {\npart p\noccurs rare\n", i)
		for j := range 3 {
			fmt.Fprintf(&s, "shows t%d.a low | high usually\nshows t%d.b high always\n", (2*i+7*j)%500, (2*i+1+11*j)%500)
		}
		fmt.Fprintf(&s, "remedy r%d\n}\n", i%3)
	}
	s.WriteString("}\n")
	for i := range 5 {
		fmt.Fprintf(&s, "family u%d \"U\" of k { }\n", i)
	}
	bench := mustBench(b, s.String())
	for b.Loop() {
		require.Empty(b, bench.ProveKnowledge())
	}
}
