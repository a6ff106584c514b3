package eval_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
)

// Worked cases of the trade, through sheets and records. They are physically consistent; as cases they are common practice, no source.

const rotorSheet = `brushgear 1
family rotor "Rotor" {
  decide guard 2 u
  condition supply : V with voltmeter
  condition winding_temp : °C likely -10 °C to 70 °C
  instrument hand_ohms : Ω accuracy ± (0.5 % + 3 digits) digit 0.1 Ω
  instrument voltmeter : V accuracy ± 0.05 V
  instrument ammeter : A accuracy ± 0.06 A
  test warm "Field, ring to ring" {
    needs winding_temp
    read resistance : Ω
    correct resistance by copper from winding_temp
    limit resistance 2.4 to 2.8 Ω at winding_temp 20 °C
  }
  test by_hand_meter "Field, hand meter" { read resistance : Ω with hand_ohms  limit resistance 2.4 to 2.8 Ω }
  test by_volts "Field, volts and amperes" {
    needs supply
    read current : A with ammeter
    let resistance = supply / current
    limit resistance 2.4 to 2.8 Ω
  }
}
`

func rotorCheck(t *testing.T, taken, check string) (eval.Check, eval.CheckExplanation) {
	v := judged(t, rotorSheet+`record "r" of rotor { judge 2026-03-02 `+taken+` }`)
	c, ok := v.Last().Check(check)
	require.True(t, ok)
	return c, explained(t, v, check)
}

// TestH1TemperatureTrap: 2.95 Ω at 68 °C is 2.48 Ω at 20 °C and passes; without the temperature it can be 2.47 to 3.07 Ω or wider and is not decidable.
func TestH1TemperatureTrap(t *testing.T) {
	c, e := rotorCheck(t, "taken warm.resistance 2.95 Ω at winding_temp 68 °C", "warm.resistance")
	require.Equal(t, eval.Pass, c.Result())
	require.Equal(t, "2.48 Ω", e.Value)

	c, e = rotorCheck(t, "taken warm.resistance 2.95 Ω", "warm.resistance")
	require.Equal(t, eval.NotDecidable, c.Result())
	require.Contains(t, e.Why, "winding temp was not recorded")
	require.Equal(t, "record winding temp", e.Decides)
	require.True(t, c.Possible("good") && c.Possible("high"))
}

// TestH3BatteryGate: a battery at 12.1 V is not failed, and neither is what hangs on it; charge and repeat.
func TestH3BatteryGate(t *testing.T) {
	v := judged(t, `brushgear 1
kind battery "Battery" {
  condition electrolyte_temp : °F
  test open_circuit "Open circuit" {
    read volts : V
    grade volts : dead_cell below 10.8 V | flat as not_valid below 12.0 V | quarter as not_valid below 12.2 V | half as not_valid below 12.4 V | three_quarters as pass below 12.6 V | good
  }
  test load "Load" {
    needs open_circuit is good | three_quarters, electrolyte_temp
    read volts : V
    limit volts along electrolyte_temp linear { row 60 °F : at least 9.5 V  row 70 °F up : at least 9.6 V }
  }
  fault dead_cell "Dead cell" { shows open_circuit dead_cell always  shows load.volts low always }
}
kind alternator "Alternator" {
  include battery as battery
  test output "Output" { needs battery.open_circuit is good | three_quarters  read current : A  limit current at least 50 A }
}
family bench_battery "Bench battery" of battery { }
family unit "Unit" of alternator { }
record "r" of unit {
  unit battery is bench_battery
  judge 2026-03-02
  taken battery.open_circuit.volts 12.1 V
  taken battery.load.volts 8.9 V at electrolyte_temp 70 °F
  taken output.current 20 A
}`).Last()
	for _, name := range []string{"battery.open_circuit.volts", "battery.load.volts", "output.current"} {
		c, ok := v.Check(name)
		require.True(t, ok, name)
		require.Equal(t, eval.NotValid, c.Result(), name)
	}
	require.NotEqual(t, eval.LimitsFailed, v.Limits())
	f, _ := v.Fault("battery.dead_cell")
	require.Equal(t, "ruled out", f.Status().String())
}

// TestH13Meter: 2.4 or 2.5 Ω on a hand meter of ±(0.5 % + 3 digits) at 0.1 Ω cannot be decided against 2.4 to 2.8 Ω; the same rotor by volts
// and amperes is 2.455 Ω and passes; one of 2.42 Ω is marginal under a guard of two standard uncertainties.
func TestH13Meter(t *testing.T) {
	for _, shown := range []string{"2.4", "2.5"} {
		c, e := rotorCheck(t, "taken by_hand_meter.resistance "+shown+" Ω", "by_hand_meter.resistance")
		require.Equal(t, eval.NotDecidable, c.Result(), shown)
		require.Contains(t, e.Why, "too coarse")
	}
	c, e := rotorCheck(t, "taken by_volts.current 4.908 A at supply 12.05 V", "by_volts.resistance")
	require.Equal(t, eval.Pass, c.Result())
	require.Equal(t, "2.455 Ω", e.Value)
	c, e = rotorCheck(t, "taken by_volts.current 4.979 A at supply 12.05 V", "by_volts.resistance")
	require.Equal(t, eval.Marginal, c.Result())
	require.Equal(t, "2.420 Ω", e.Value)

	simple := strings.Replace(rotorSheet, "decide guard 2 u", "decide simple", 1) + `record "r" of rotor { judge 2026-03-02 taken by_volts.current 4.979 A at supply 12.05 V }`
	require.Equal(t, eval.Pass, checked(t, simple, "by_volts.resistance").Result())
}

// TestSharedErrorCancels: with instruments, the error that readings of one meter share cancels: the same three readings are decided or not by
// whether the error is shared (a percentage) or each reading's own (digits). Computed from the law of propagation, JCGM 100:2008, 5.2.2.
func TestSharedErrorCancels(t *testing.T) {
	sheet := func(accuracy string) string {
		return `brushgear 1
family stator "Stator" {
  decide guard 2 u
  positions phase : u, v, w
  instrument bridge : mΩ accuracy ± ` + accuracy + ` digit 0.01 mΩ
  test pairs "Pairs" { read ohms of phase : mΩ with bridge  limit ohms alike 5 % by span }
}
record "r" of stator { judge 2026-03-02 taken pairs.ohms (98.00 100.00 102.40 mΩ) }`
	}
	require.Equal(t, eval.Pass, checked(t, sheet("2 %"), "pairs.ohms.alike").Result(), "4.4 % of 5 %, the error of the bridge is common to all")
	require.Equal(t, eval.Marginal, checked(t, sheet("200 digits"), "pairs.ohms.alike").Result(), "2 mΩ on each reading")
}

// TestField24V: field current 3.0 to 3.5 A at 24 V is a resistance of 6.857 to 8.000 Ω: TM 9-6115-464-34, p. 3-28.
func TestField24V(t *testing.T) {
	sheet := func(current string) string {
		return family("needs supply read current : A let r = supply / current limit r 6.857 to 8.000 Ω", "taken t.current "+current+" at supply 24 V")
	}
	require.Equal(t, eval.Pass, checked(t, sheet("3.0 A"), "t.r").Result())
	require.Equal(t, eval.Pass, checked(t, sheet("3.5 A"), "t.r").Result())
	require.Equal(t, eval.Fail, checked(t, sheet("3.6 A"), "t.r").Result())
}

// TestOutputInsideItsTemperatureBand: an alternator's 38 A counts at 70 to 80 °F only; outside the limit says nothing: TM 9-2815-259-24, p. 4-14.
func TestOutputInsideItsTemperatureBand(t *testing.T) {
	for temp, want := range map[string]eval.Result{"75 °F": eval.Pass, "25 °C": eval.Pass, "90 °F": eval.NotValid} {
		sheet := family("needs winding_temp within 70 °F to 80 °F read current : A limit current at least 38 A", "taken t.current 39 A at winding_temp "+temp)
		require.Equal(t, want, checked(t, sheet, "t.current").Result(), temp)
	}
}

// TestDiodeByOhmmeter: high and low good, low both ways shorted, high both ways open, low the wrong way round wrong polarity: TM 9-2320-266-34,
// fig. 14-4.
func TestDiodeByOhmmeter(t *testing.T) {
	stmts := `read d both ways : Ω
    outcome good when d.back above 100 kΩ and d.forward below 1 kΩ
    outcome shorted when d.back below 1 kΩ and d.forward below 1 kΩ
    outcome open when d.back above 100 kΩ and d.forward above 100 kΩ
    outcome reversed when d.back below 1 kΩ and d.forward above 100 kΩ
    outcome odd otherwise`
	for readings, want := range map[string]string{
		"taken t.d.forward 20 Ω taken t.d.back > 1 MΩ": "good", "taken t.d.forward 2 Ω taken t.d.back 2 Ω": "shorted",
		"taken t.d.forward > 1 MΩ taken t.d.back > 1 MΩ": "open", "taken t.d.forward > 1 MΩ taken t.d.back 20 Ω": "reversed",
	} {
		require.Equal(t, want, checked(t, family(stmts, readings), "t").Outcome(), readings)
	}
}

// TestWeights: an outcome at z standard uncertainties weighs exp(−z²/2). At 2.42 Ω by volts and amperes, u = R·√((0.05/√3/12.05)² + (0.06/√3/I)²).
func TestWeights(t *testing.T) {
	c, _ := rotorCheck(t, "taken by_volts.current 4.979 A at supply 12.05 V", "by_volts.resistance")
	r := 12.05 / 4.979
	u := r * math.Hypot(0.05/math.Sqrt(3)/12.05, 0.06/math.Sqrt(3)/4.979)
	z := (r - 2.4) / u
	require.Equal(t, 1.0, c.Weight("good"))
	require.InDelta(t, math.Exp(-z*z/2), c.Weight("low"), 1e-9)
	require.Zero(t, c.Weight("high"), "over 3.5 standard uncertainties away")
	require.Zero(t, c.Weight("nothing"))

	c = checked(t, rotorSheet+`record "r" of rotor { judge 2026-03-02 }`, "by_volts.resistance")
	require.Equal(t, []float64{1, 1, 1}, []float64{c.Weight("good"), c.Weight("low"), c.Weight("high")}, "nothing was read")
}

func TestIdentityOfWhatWasUsed(t *testing.T) {
	j := loaded(t, repairSheet+`record "r" of motor { judge 2026-03-02 taken length.mm_left 5 mm }`)
	require.Equal(t, "motor", j.Family())
	a, b := mustBench(t, repairSheet), mustBench(t, repairSheet+"\n# another edition\n")
	require.Len(t, a.Digest(), 16)
	require.NotEqual(t, a.Digest(), b.Digest())
	v, err := j.Judge(t.Context())
	require.NoError(t, err)
	f, _ := v.Last().Fault("brushes_worn")
	name, title := f.Remedy()
	require.Equal(t, []string{"fit_brushes", "Fit brushes"}, []string{name, title})
	require.Equal(t, "(1 2 mV missing)", eval.List(eval.MustValue("1 mV"), eval.MustValue("2 mV"), eval.Value{}).String())
}
