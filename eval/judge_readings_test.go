package eval_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
)

const band = "read x : Ω limit x 2.0 to 3.0 Ω"

// TestReadingStates: what is missing or uncertain is never good and never bad.
func TestReadingStates(t *testing.T) {
	ohms := "read x : Ω with dm limit x at most 3 Ω"
	for _, test := range []struct {
		name, stmts, taken string
		want               string // result, and the outcomes that are possible
	}{
		{"not taken", band, "", "not tested: good low high"},
		{"missing", band, "taken t.x missing", "not decidable: good low high"},
		{"range inside", band, "taken t.x 2.2 to 2.8 Ω", "pass: good"},
		{"range straddles", band, "taken t.x 2.8 to 3.2 Ω", "not decidable: good high"},
		{"range outside", band, "taken t.x 4 to 5 Ω", "fail: high"},
		{"range over everything", band, "taken t.x 1 to 5 Ω", "not decidable: good low high"},
		{"more than, outside", band, "taken t.x > 4 Ω", "fail: high"},
		{"more than, straddles", band, "taken t.x > 1 Ω", "not decidable: good low high"},
		{"less than", band, "taken t.x < 0.1 Ω", "fail: low"},
		{"OL without a full scale", band, "taken t.x OL", "not decidable: good low high"},
		{"OL beyond the full scale of its meter", ohms, "taken t.x OL", "fail: high"},
		{"jumping inside", "read x : Ω limit x 2.0 to 3.0 Ω", "taken t.x 2.2 Ω to 2.8 Ω jumping", "pass: good"},
		{"jumping across is not good", band, "taken t.x 2.5 Ω to 3.5 Ω jumping", "fail: high"},
		{"jumping, must be steady", band + " limit x is steady", "taken t.x 2.2 Ω to 2.8 Ω jumping", "fail: jumps"},
		{"steady", band + " limit x is steady", "taken t.x 2.2 Ω", "pass: good"},
		{"one of two words", "read x : free | drags | locked limit x is free", "taken t.x free | drags", "not decidable: good drags"},
		{"either of two bad words", "read x : free | drags | locked limit x is free", "taken t.x drags | locked", "fail: drags locked"},
		{"list with a gap", "read x of phase : Ω limit x alike 5 % by mean", "taken t.x (2.0 missing 2.1 Ω)", "not decidable: good one_low one_high mixed"},
		{"pattern without one of its readings", "read x : V read y : a | b outcome good when y is a and x at most 1 V outcome bad otherwise", "taken t.x 0.5 V", "not decidable: good bad"},
		{"pattern that the other reading decides", "read x : V read y : a | b outcome good when y is a and x at most 1 V outcome bad otherwise", "taken t.x 2 V", "fail: bad"},
		{"void", band, `taken t.x 9 Ω void "prod slipped"`, "not tested: good low high"},
		{"repeat that agrees", band, "taken t.x 2.5 Ω\ntaken t.x 2.6 Ω", "pass: good"},
		{"repeat off the scale", band, "taken t.x 2.5 Ω\ntaken t.x OL", "not decidable: good low high"},
		{"repeat back on the scale", band, "taken t.x OL\ntaken t.x 2.5 Ω", "not decidable: good low high"},
		{"repeat off the scale, twice so", band, "taken t.x OL\ntaken t.x > 100 Ω", "fail: high"},
		{"repeat that disagrees", band, "taken t.x 2.5 Ω\ntaken t.x 3.6 Ω", "not decidable: good high"},
		{"repeat that narrows", band, "taken t.x 2.8 to 3.2 Ω\ntaken t.x 2.7 Ω", "pass: good"},
		{"repeat after a void one", band, "taken t.x 9 Ω void \"wrong range\"\ntaken t.x 2.6 Ω", "pass: good"},
		{"amended", band, `taken t.x 2.6 Ω was 26 Ω by "bench 2" because "point misplaced"`, "pass: good"},
	} {
		t.Run(test.name, func(t *testing.T) {
			sheet := strings.Replace(family(test.stmts, test.taken), "  test t ", "  instrument dm : Ω range 0 Ω to 40 MΩ\n  test t ", 1)
			for c := range judged(t, sheet).Last().Checks() {
				if c.Name() == "t.y" {
					continue
				}
				require.Equal(t, test.want, c.Result().String()+": "+strings.Join(c.Outcomes(), " "))
			}
		})
	}
}

func TestReadingsRefused(t *testing.T) {
	for _, test := range []struct{ stmts, ref, value, want string }{
		{"read x : A limit x at most 2 A", "t.x", "OL", "an open circuit reads 0 A"},
		{band, "t.x", "2.5", "needs its unit"},
		{band, "t.x", "2.5 V", "resistance"},
		{band, "t.y", "2.5 Ω", "has no value y"},
		{band, "u.x", "2.5 Ω", "there is no test u"},
		{band, "t.x", "(1 2 3 Ω)", "single value"},
		{"read x of phase : Ω", "t.x", "2 Ω", "one value for each phase"},
		{"read x of phase : Ω", "t.x", "(1 2 Ω)", "3 values are wanted"},
		{"read x : °C", "t.x", "20 C", "°C"},
		{"read x : free | drags", "t.x", "stuck", "none of its words: free | drags"},
		{"read x : V let y = 2 * x", "t.y", "2 V", "worked out from readings"},
		{"read x of phase : Ω", "t.x", "(1 to 2 Ω)", "is a number"},
	} {
		j, err := mustBench(t, family(test.stmts, "")).Open("unit")
		require.NoError(t, err)
		err = j.Take(test.ref, eval.Reading{Value: eval.MustValue(test.value)})
		require.ErrorContains(t, err, test.want, "%v", test)
	}
}

// TestPreconditions: what a test needs is recorded, in range, and its gates are open; else its readings say nothing.
func TestPreconditions(t *testing.T) {
	gated := func(needs, taken string) string {
		s := family("needs "+needs+" read x : V limit x at most 5 V", taken)
		return strings.Replace(s, "  test t ", "  test gate \"Gate\" { read g : V grade g : flat below 12 V | half as pass below 12.4 V | good }\n  test t ", 1)
	}
	for _, test := range []struct{ name, needs, taken, want, why string }{
		{"recorded", "supply", "taken t.x 9 V at supply 12 V", "fail", ""},
		{"not recorded", "supply", "taken t.x 9 V", "not decidable", "supply was not recorded"},
		{"likely range stands in", "winding_temp", "taken t.x 9 V", "fail", ""},
		{"in range", "supply within 11 V to 13 V", "taken t.x 9 V at supply 11 V", "fail", ""},
		{"out of range", "supply within 11 V to 13 V", "taken t.x 9 V at supply 14 V", "not valid", "it was 14 V"},
		{"range left open", "supply within 11 V to 13 V", "taken t.x 9 V at supply 12 to 14 V", "not decidable", "leaves that open"},
		{"gate open", "gate is good | half", "taken gate.g 12.1 V\ntaken t.x 9 V", "fail", ""},
		{"gate shut", "gate is good | half", "taken gate.g 11 V\ntaken t.x 9 V", "not valid", "that is flat"},
		{"gate not tested", "gate is good | half", "taken t.x 9 V", "not decidable", "not decided"},
		{"gate undecided", "gate is good | half", "taken gate.g 11.9 to 12.1 V\ntaken t.x 9 V", "not decidable", "not decided"},
		{"gate by its test", "gate is good", "taken gate.g 12.1 V\ntaken t.x 9 V", "not valid", "that is half"},
	} {
		t.Run(test.name, func(t *testing.T) {
			v := judged(t, gated(test.needs, test.taken))
			c, _ := v.Last().Check("t.x")
			require.Equal(t, test.want, c.Result().String())
			require.Contains(t, explained(t, v, "t.x").Why, test.why)
		})
	}
}

func TestConditionsOfThePass(t *testing.T) {
	sheet := family("needs supply within 11 V to 13 V read x : V limit x at most 5 V", "pass as found at supply 14 V { taken t.x 3 V }")
	require.Equal(t, eval.NotValid, checked(t, sheet, "t.x").Result())
	sheet = family("needs supply within 11 V to 13 V read x : V limit x at most 5 V", "pass as found at supply 14 V { taken t.x 3 V at supply 12 V }")
	require.Equal(t, eval.Pass, checked(t, sheet, "t.x").Result())
}

// TestConditionsOfEachReading: a reading keeps the conditions of the pass, whatever another one of its test says of its own.
func TestConditionsOfEachReading(t *testing.T) {
	const stmts = "read x : Ω\nread y : Ω\ncorrect x, y by copper from winding_temp\nlimit x 2 to 4 Ω at winding_temp 20 °C\nlimit y 2 to 4 Ω at winding_temp 20 °C"
	for _, readings := range []string{"taken t.x 3.00 Ω at winding_temp 60 °C taken t.y 3.00 Ω", "taken t.y 3.00 Ω taken t.x 3.00 Ω at winding_temp 60 °C"} {
		v := judged(t, family(stmts, "pass as found at winding_temp 25 °C { "+readings+" }"))
		require.Equal(t, "2.59 Ω", explained(t, v, "t.x").Value) // 3 Ω (234.5 + 20)/(234.5 + 60), IEEE 118
		require.Equal(t, "2.94 Ω", explained(t, v, "t.y").Value) // 3 Ω (234.5 + 20)/(234.5 + 25)
	}
	v := judged(t, family(stmts, "taken t.x 3.00 Ω at winding_temp 60 °C taken t.y 3.00 Ω"))
	require.Equal(t, "2.59 Ω", explained(t, v, "t.y").Value, "nothing says otherwise, and the two are one performance")
	const together = "read x : V\nread y : V\nlet z = x + y\nlimit z at most 8 V"
	for second, want := range map[string]eval.Result{"3 V at supply 12.0 V": eval.Pass, "3 V": eval.Pass, "3 V at supply 13 V": eval.NotDecidable} {
		require.Equal(t, want, checked(t, family(together, "pass as found at supply 12 V { taken t.x 3 V taken t.y "+second+" }"), "t.z").Result(), second)
	}
}

// TestMetersCountForTheirKind: the meter of a condition counts at its pass as at a reading, and an ammeter says nothing of a speed.
func TestMetersCountForTheirKind(t *testing.T) {
	expanded := func(readings string) string {
		sheet := family("read x : A\nread n : rpm\ncorrect x by proportional from supply\nlimit x 4 to 5 A at supply 12.0 V\nlimit n 900 to 1100 rpm", "meter v1 is vm meter a1 is am\n"+readings)
		sheet = strings.Replace(sheet, "  test t ", "  instrument vm : V accuracy ± 0.5 V\n  instrument am : A accuracy ± 0.2 A\n  test t ", 1)
		v := judged(t, sheet)
		return explained(t, v, "t.x").Expanded + ", " + explained(t, v, "t.n").Expanded
	}
	// 4.5 A · 12 V / 12.5 V. By hand: the slope is 0.3456 A/V, the supply is off by 0.5 V/√3, the reading by half of its last digit or 0.2 A, over √3.
	const pass, own = "pass as found at supply 12.50 V via v1 { taken t { x 4.50 A, n 1000 rpm } }", "taken t { x 4.50 A, n 1000 rpm } at supply 12.50 V via v1"
	require.Equal(t, "± 0.20 A (k = 2), ± 0.58 rpm (k = 2)", expanded(own))
	require.Equal(t, expanded(own), expanded(pass))
	require.Equal(t, "± 0.30 A (k = 2), ± 0.58 rpm (k = 2)", expanded(own+" with a1"))
}

func TestAppliesWhen(t *testing.T) {
	stmts := "applies when kind_of is large read x : V limit x at most 5 V"
	require.Equal(t, eval.NotApplicable, checked(t, family(stmts, "set kind_of small"), "t.x").Result())
	require.Equal(t, eval.Fail, checked(t, family(stmts, "set kind_of large\ntaken t.x 9 V"), "t.x").Result())
	require.Equal(t, eval.NotDecidable, checked(t, family(stmts, "taken t.x 9 V"), "t.x").Result())
}

func TestSkipAndOverdueMeter(t *testing.T) {
	v := judged(t, family(band, `skip t.x no_time "wanted back by noon"`))
	e := v.Explain()
	require.Equal(t, "no time: wanted back by noon", e.Passes[0].NotTested[0].Reason)

	sheet := strings.Replace(family("read x : Ω with dm limit x 2.0 to 3.0 Ω", "meter m1 is dm number \"DM-1\" due 2026-01-15\ntaken t.x 2.5 Ω with m1"),
		"  test t ", "  instrument dm : Ω range 0 Ω to 40 MΩ\n  test t ", 1)
	r := judged(t, sheet).Explain().Passes[0].Tests[0].Readings[0]
	require.Equal(t, "DM-1", r.Meter)
	require.Equal(t, "calibration of DM-1 was due on 2026-01-15", r.Note)
}

func TestUnitWord(t *testing.T) {
	for taken, want := range map[string]eval.UnitWord{
		"": eval.Undecided, "taken t.x 2.5 Ω": eval.LimitsMet, "taken t.x 9 Ω": eval.LimitsFailed, "taken t.x 2.9 to 3.1 Ω": eval.Undecided,
	} {
		require.Equal(t, want, judged(t, family(band, taken)).Last().Unit(), taken)
	}
}

// TestMarginalOutsideReleasesNothing: a value outside of its limit, by less than the rule asks for, is no reason to let a unit go; inside of it is.
func TestMarginalOutsideReleasesNothing(t *testing.T) {
	const sheet = `brushgear 1
family unit "Unit" {
  decide guard 1.65 u
  instrument vm : V accuracy ± (0.5 % + 2 digits) digit 0.01 V range 0 V to 40 V
  test out "Set voltage" { read volts : V with vm  limit volts 13.8 to 14.8 V }
  release out
}
record "r" of unit { judge 2026-03-02 taken out.volts `
	for volts, want := range map[string]eval.UnitWord{"14.7": eval.LimitsMet, "14.78": eval.LimitsMet, "14.84": eval.Undecided, "15.2": eval.LimitsFailed} {
		require.Equal(t, want, judged(t, sheet+volts+" V }").Last().Unit(), volts)
	}
	require.Equal(t, eval.Marginal, checked(t, sheet+"14.78 V }", "out.volts").Result())
	require.Equal(t, eval.Marginal, checked(t, sheet+"14.84 V }", "out.volts").Result())
}

// TestBeyondItsMeter: a number that the meter cannot have shown decides nothing, and the verdict says why.
func TestBeyondItsMeter(t *testing.T) {
	const sheet = `brushgear 1
family unit "Unit" {
  instrument vm : V accuracy ± 1 % digit 0.1 V range 0 V to 40 V
  test out "Output" { read volts : V with vm  limit volts at least 20 V }
}
record "r" of unit { judge 2026-03-02 taken out.volts `
	for taken, want := range map[string]eval.Result{"40.0 V": eval.Pass, "40.1 V": eval.NotDecidable, "-240 V": eval.NotDecidable, "30 to 50 V": eval.NotDecidable, "> 40 V": eval.Pass} {
		require.Equal(t, want, checked(t, sheet+taken+" }", "out.volts").Result(), taken)
	}
	require.Contains(t, explained(t, judged(t, sheet+"240 V }"), "out.volts").Why, "beyond the full scale of its meter, 40.0 V")
	require.Equal(t, "240 V", explained(t, judged(t, sheet+"240 V }"), "out.volts").Value)
}

// TestOneMemberBeyondTheMeter: a single member that is only known to lie above the others is the odd one by every measure, if it is too far above even at the
// least that it can be.
func TestOneMemberBeyondTheMeter(t *testing.T) {
	for _, by := range []string{"mean", "median", "span", "least"} {
		for _, tolerance := range []string{"12 %", "60 mV"} {
			sheet := "positions d \"diode\" : 1 to 4\nread drop of d : mV  limit drop alike " + tolerance + " by " + by
			for list, want := range map[string]string{
				"(510 512 > 4000 511 mV)": "one_high", "(510 > 4000 512 > 4000 mV)": "", "(510 512 > 512 511 mV)": "", "(510 900 > 4000 1300 mV)": "mixed",
			} {
				c := checked(t, family(sheet, "taken t.drop "+list), "t.drop.alike")
				if want == "" {
					require.NotEqual(t, eval.Pass, c.Result(), "%s %s %s", by, tolerance, list)
					require.NotEqual(t, "one_high", c.Outcome(), "%s %s %s", by, tolerance, list)
					continue
				}
				require.Equal(t, want, c.Outcome(), "%s %s %s", by, tolerance, list)
			}
		}
	}
}

func TestJudgeHeedsItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := loaded(t, family(band, "taken t.x 2.5 Ω")).Judge(ctx)
	require.ErrorIs(t, err, context.Canceled)
}

// TestPartlyMoving: a value that moves in one part and is not known closely in another may still be good.
func TestPartlyMoving(t *testing.T) {
	stmts := "read a : V read b : A let r = a / b limit r at most 3 Ω"
	c := checked(t, family(stmts, "taken t.a 5 V to 6 V jumping taken t.b > 1 A"), "t.r")
	require.Equal(t, eval.NotDecidable, c.Result())
	c = checked(t, family(stmts, "taken t.a 2 V to 6 V jumping taken t.b 1 A"), "t.r")
	require.Equal(t, eval.Fail, c.Result(), "all of it moves, across the limit")
}

// TestPositiveGround: prods written for negative ground are exchanged for a unit whose positive post is on the frame.
func TestPositiveGround(t *testing.T) {
	for ground, want := range map[string]string{"negative": "stud to frame", "positive": "frame to stud"} {
		v := judged(t, `brushgear 1
family unit "Unit" {
  polarity negative
  attribute ground : negative | positive
  set ground `+ground+`
  terminal stud "stud"
  terminal frame "frame"
  test t "T" { across stud to frame  read x : V }
}
record "r" of unit { judge 2026-03-02 taken t.x 1 V }`)
		require.Equal(t, want, v.Explain().Passes[0].Tests[0].Across)
	}
}

// TestLabelAgainstCount: what was found on the unit counts, and the verdict says what the sheet has instead.
func TestLabelAgainstCount(t *testing.T) {
	v := judged(t, layersSheet+`record "r" of unit { serial "K1" judge 2026-03-02 set poles 16 by "counted" }`)
	require.Contains(t, v.Explain().Facts, "poles 16 (counted), where family unit says 12")
}

const spoilSheet = `brushgear 1
family unit "Unit" {
  part rectifier "Rectifier"
  part casing "Casing"
  remedy dry "Dry it" { retest wash }
  instrument it : MΩ range 0 MΩ to 100 MΩ forbids rectifier
  test wash "Wash" { spoils leak  read done : yes | no  limit done is yes }
  test leak "Leak" { examines rectifier  read r : MΩ  limit r at least 1 MΩ }
  test casing "Casing" { examines casing  read r : MΩ with it  limit r at least 1 MΩ }
}
record "r" of unit {
  judge 2026-03-02
  meter it2 is it
`

// TestSpoiledTests: a test made after another that spoils it says nothing, unless work lies between.
func TestSpoiledTests(t *testing.T) {
	for readings, want := range map[string]eval.Result{
		"taken leak.r 2 MΩ taken wash.done yes":          eval.Pass,
		"taken wash.done yes taken leak.r 2 MΩ":          eval.NotValid,
		"taken wash.done yes work dry taken leak.r 2 MΩ": eval.Pass,
	} {
		require.Equal(t, want, checked(t, spoilSheet+readings+"}", "leak.r").Result(), readings)
	}
	v := judged(t, spoilSheet+"taken wash.done yes taken leak.r 2 MΩ }")
	require.Contains(t, explained(t, v, "leak.r").Why, "spoils it")
}

// TestForbiddenInstruments: an instrument that would hurt a part is refused, in the sheet and in the record.
func TestForbiddenInstruments(t *testing.T) {
	require.Equal(t, eval.Pass, checked(t, spoilSheet+"taken casing.r 2 MΩ with it2 }", "casing.r").Result())
	b := mustBench(t, spoilSheet+"taken leak.r 2 MΩ with it2 }")
	records, err := b.Records()
	require.NoError(t, err)
	_, err = b.Load(records[0])
	require.ErrorContains(t, err, "it is forbidden on rectifier")

	_, all := findings(t, strings.Replace(spoilSheet, "examines rectifier  read r : MΩ ", "examines rectifier  read r : MΩ with it ", 1)+"}")
	require.Contains(t, all, "it is forbidden on rectifier, which this test examines")
}

// TestOneReadingUsedTwiceIsOneReading: a reading that is a range has the same value wherever a formula or a limit uses it.
func TestOneReadingUsedTwiceIsOneReading(t *testing.T) {
	const sheet = `brushgear 1
family f "F" {
  test drop "Drop" {
    read before : V
    read behind : V
    let share = (before - behind) / before
    limit share at most 10.5 %
    limit behind at least 0.895 * before
    limit before at most 1.12 * behind
    outcome good when before - behind at most 0.105 * before and behind / before at least 0.895
    outcome lossy otherwise
  }
}
record "R" of f {
  judge 2026-03-02
  pass as found { taken drop { before 13.5 to 14.5 V, behind 13 V }}
}
`
	v := judged(t, sheet)
	for check, want := range map[string]eval.Result{
		"drop.share":  eval.Pass, // 1 - 13/before: 3.7 % to 10.3 %; step by step 3.4 % to 11.1 %
		"drop.behind": eval.Pass, // 13 V - 0.895 * 14.5 V is above zero
		"drop.before": eval.Pass,
		"drop":        eval.Pass,
	} {
		c, ok := v.Last().Check(check)
		require.True(t, ok, check)
		require.Equal(t, want, c.Result(), check)
	}
}
