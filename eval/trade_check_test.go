package eval_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// The check values of the trade: common practice, no source. They stand in this file alone.

const tradeSheet = `brushgear 1
source bench "values handed down at the bench" status from_memory

family alternator_12 "Alternator, 12 V" {
  attribute mounting : inside | outside
  attribute rated : A
  set rated 40 A
  positions diode "diode" : a, b, c
  part rotor "Rotor"
  part brushes "Brushes"
  part rectifier "Rectifier"
  part stator "Stator"
  part condenser "Capacitor"
  remedy fit_rotor "Replace the rotor" { retest draw }
  remedy clean "Clean rings, replace brushes" { retest draw }
  remedy fit_brushes "Replace the insulated brush assembly" { retest ground }
  remedy fit_rectifier "Replace the rectifier" { retest plus_set, minus_set, output }
  remedy fit_stator "Replace the stator" { retest stator_core }
  remedy fit_condenser "Replace the capacitor" { retest capacity }

  test draw "Field draw, rotor turned by hand" {
    read current : A
    limit current 2.3 to 2.8 A per bench
  }
  test ground "Lamp: field terminal to frame with the ground brush lifted, then ring to shaft" {
    read frame : dark | lit
    read shaft : dark | lit
    outcome good when frame is dark
    outcome in_rotor when frame is lit and shaft is lit
    outcome in_brushes when frame is lit and shaft is dark
    outcome odd otherwise
  }
  test plus_set "Positive rectifiers on the tester" {
    read current of diode : A
    outcome good when each current at least 1.7 A and current alike 10 % by span
    outcome one_shorted when count(current below 1.7 A) is 3 and count(current at most 0.05 A) is 1 and highest(current) - middle(current) at most 0.2 A
    outcome one_open when count(current at least 1.7 A) is 2 and count(current at most 1 A) is 1
    outcome odd otherwise
  }
  test minus_set "Negative rectifiers on the tester: the pointer goes the other way" {
    read current of diode : A
    let turned = 0 A - current
    outcome good when each turned at least 1.7 A and turned alike 10 % by span
    outcome one_shorted when count(turned below 1.7 A) is 3 and count(turned at most 0.05 A) is 1 and highest(turned) - middle(turned) at most 0.2 A
    outcome one_open when count(turned at least 1.7 A) is 2 and count(turned at most 1 A) is 1
    outcome odd otherwise
  }
  test output "Output" {
    read current : A
    let under = rated - current
    outcome good when under below 5 A
    outcome little when under within 5 A to 7 A
    outcome far when under above 20 A
    outcome between otherwise
  }
  test stator_core "Lamp: stator core to lead" {
    read lamp : dark | lit
    limit lamp is dark
  }
  test capacity "Capacitor" {
    read value : µF
    limit value at least 0.158 µF when mounting is inside per bench
    limit value at least 0.5 µF when mounting is outside per bench
  }

  fault winding_resistance "Resistance in the winding" { part rotor remedy fit_rotor  shows draw low always }
  fault ring_resistance "Resistance between brush and ring" { part brushes remedy clean  shows draw low always }
  fault turns_shorted "Shorted turns" { part rotor remedy fit_rotor  shows draw high always }
  fault rotor_grounded "Rotor grounded" { part rotor remedy fit_rotor  shows ground in_rotor always }
  fault brush_grounded "Insulated brush assembly grounded" { part brushes remedy fit_brushes  shows ground in_brushes always }
  fault plus_shorted "A positive rectifier shorted" { part rectifier remedy fit_rectifier  shows plus_set one_shorted always  shows output far | between always }
  fault plus_open "A positive rectifier open" { part rectifier remedy fit_rectifier  shows plus_set one_open always  shows output little | between always }
  fault minus_shorted "A negative rectifier shorted" { part rectifier remedy fit_rectifier  shows minus_set one_shorted always  shows output far | between always }
  fault minus_open "A negative rectifier open" { part rectifier remedy fit_rectifier  shows minus_set one_open always  shows output little | between always }
  fault stator_grounded "Stator grounded" { part stator remedy fit_stator  shows stator_core lit always }
  fault condenser_weak "Capacitor weak" { part condenser remedy fit_condenser  shows capacity low always }
}

family motor_12 "Cranking motor, 12 V" {
  part armature "Armature"
  part brushes "Brushes"
  remedy fit_armature "Replace the armature" { retest growler, lamp }
  remedy fit_brushes "Replace the brushes" { retest length }
  test length "Brush length" {
    read reading : in
    limit reading above 1/4 in per bench
  }
  test growler "Blade on the growler" {
    read blade : still | vibrates
    limit blade is still
  }
  test lamp "Lamp: armature to shaft" {
    read glow : dark | lit
    limit glow is dark
  }
  fault brushes_worn "Brushes worn" { part brushes remedy fit_brushes  shows length low always }
  fault armature_shorted "Armature shorted" { part armature remedy fit_armature  shows growler vibrates always }
  fault armature_grounded "Armature grounded" { part armature remedy fit_armature  shows lamp lit always }
}
`

// tradeVerdict judges readings of a family of the sheet above.
func tradeVerdict(t *testing.T, family, readings string) eval.PassVerdict {
	t.Helper()
	text := fmt.Sprintf("%s\nrecord \"r\" of %s {\n  judge 2026-03-02\n  %s\n}\n", tradeSheet, family, strings.ReplaceAll(readings, "; ", "\n  "))
	f, err := dsl.Parse("trade.sheet", []byte(text))
	require.NoError(t, err)
	bench, err := eval.Compile([]*dsl.File{f})
	require.NoError(t, err)
	require.Empty(t, bench.Warnings())
	records, err := bench.Records()
	require.NoError(t, err)
	job, err := bench.Load(records[0])
	require.NoError(t, err)
	v, err := job.Judge(context.Background())
	require.NoError(t, err)
	return v.Last()
}

// foundBy lists the faults of a status, parted by blanks.
func foundBy(p eval.PassVerdict, status string) string {
	var names []string
	for f := range p.Faults() {
		if f.Status().String() == status {
			names = append(names, f.Name())
		}
	}
	return strings.Join(names, " ")
}

func TestTradeCheckValues(t *testing.T) {
	for _, test := range []struct {
		name, family, readings string
		check, outcome         string
		shown, suspected       string
	}{
		// common practice, no source
		{"field draw, lower end", "alternator_12", "taken draw.current 2.3 A", "draw.current", "good", "", ""},
		{"field draw, upper end", "alternator_12", "taken draw.current 2.8 A", "draw.current", "good", "", ""},
		{"field draw below: winding, or brush and ring", "alternator_12", "taken draw.current 2.2 A", "draw.current", "low", "", "winding_resistance ring_resistance"},
		{"field draw above: shorted turns", "alternator_12", "taken draw.current 2.9 A", "draw.current", "high", "turns_shorted", ""},
		{"field lamp dark: no ground", "alternator_12", "taken ground.frame dark; taken ground.shaft dark", "ground", "good", "", ""},
		{"field lamp lit, shaft lit: the rotor", "alternator_12", "taken ground.frame lit; taken ground.shaft lit", "ground", "in_rotor", "rotor_grounded", ""},
		{"field lamp lit, shaft dark: the brush assembly", "alternator_12", "taken ground.frame lit; taken ground.shaft dark", "ground", "in_brushes", "brush_grounded", ""},
		{"rectifiers all alike", "alternator_12", "taken plus_set.current (1.7 1.75 1.8 A)", "plus_set", "good", "", ""},
		{"two alike under 1.7 A, the third at zero: shorted", "alternator_12", "taken plus_set.current (1.4 0 1.45 A)", "plus_set", "one_shorted", "plus_shorted", ""},
		{"the others return to normal once it is cut out", "alternator_12", "taken plus_set.current (1.8 0 1.8 A)", "plus_set", "one_open", "plus_open", ""},
		{"two normal, the third at 1 A: open", "alternator_12", "taken plus_set.current (1.8 1.0 1.75 A)", "plus_set", "one_open", "plus_open", ""},
		{"two normal, the third at zero: open, the other two decide", "alternator_12", "taken plus_set.current (0 1.8 1.75 A)", "plus_set", "one_open", "plus_open", ""},
		{"negative set alike", "alternator_12", "taken minus_set.current (-1.7 -1.75 -1.8 A)", "minus_set", "good", "", ""},
		{"negative set, one shorted", "alternator_12", "taken minus_set.current (-1.4 0 -1.45 A)", "minus_set", "one_shorted", "minus_shorted", ""},
		{"negative set, one open", "alternator_12", "taken minus_set.current (-1.8 -0.9 -1.75 A)", "minus_set", "one_open", "minus_open", ""},
		{"output 5 A under: one open, and a whole ampere cannot tell it from good", "alternator_12", "taken output.current 35 A", "output", "little", "", ""},
		{"output 6 A under: one open", "alternator_12", "taken output.current 34 A", "output", "little", "", "plus_open minus_open"},
		{"output 7 A under: one open, and a whole ampere cannot tell it from more", "alternator_12", "taken output.current 33 A", "output", "little", "", "plus_shorted plus_open minus_shorted minus_open"},
		{"output far under: one shorted", "alternator_12", "taken output.current 15 A", "output", "far", "", "plus_shorted minus_shorted"},
		{"output between: either", "alternator_12", "taken output.current 28 A", "output", "between", "", "plus_shorted plus_open minus_shorted minus_open"},
		{"stator core to lead lit: replace the stator", "alternator_12", "taken stator_core.lamp lit", "stator_core.lamp", "lit", "stator_grounded", ""},
		{"capacitor inside, enough", "alternator_12", "set mounting inside; taken capacity.value 0.158 µF", "capacity.value", "good", "", ""},
		{"capacitor inside, weak", "alternator_12", "set mounting inside; taken capacity.value 0.157 µF", "capacity.value", "low", "condenser_weak", ""},
		{"capacitor outside, enough", "alternator_12", "set mounting outside; taken capacity.value 0.5 µF", "capacity.value", "good", "", ""},
		{"capacitor outside, weak", "alternator_12", "set mounting outside; taken capacity.value 0.4 µF", "capacity.value", "low", "condenser_weak", ""},
		{"brushes at 1/4 in: replace", "motor_12", "taken length.reading 1/4 in", "length.reading", "low", "brushes_worn", ""},
		{"brushes at 6.35 mm: replace", "motor_12", "taken length.reading 6.35 mm", "length.reading", "low", "brushes_worn", ""},
		{"brushes above 1/4 in", "motor_12", "taken length.reading 9/32 in", "length.reading", "good", "", ""},
		{"blade vibrates: armature shorted", "motor_12", "taken growler.blade vibrates", "growler.blade", "vibrates", "armature_shorted", ""},
		{"lamp lights: armature grounded", "motor_12", "taken lamp.glow lit", "lamp.glow", "lit", "armature_grounded", ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := tradeVerdict(t, test.family, test.readings)
			c, ok := p.Check(test.check)
			require.True(t, ok)
			require.Equal(t, test.outcome, c.Outcome())
			require.Equal(t, test.shown, foundBy(p, "shown"))
			require.Equal(t, test.suspected, foundBy(p, "suspected"))
		})
	}
}

func TestTradeCheckCapacitorOfUnknownMounting(t *testing.T) {
	c, _ := tradeVerdict(t, "alternator_12", "taken capacity.value 0.3 µF").Check("capacity.value")
	require.Equal(t, eval.NotDecidable, c.Result(), "0.3 µF is enough inside and weak outside")
	c, _ = tradeVerdict(t, "alternator_12", "taken capacity.value 0.6 µF").Check("capacity.value")
	require.Equal(t, "good", c.Outcome(), "0.6 µF is enough either way")
}
