package eval_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/diagnosis"
)

// Worked cases of finding the fault on the example families: the same picture from several faults, the test that splits them, and faults that hide
// each other. They hold the knowledge of the example sheets to the trade. The readings are physically consistent; as cases they are common practice,
// no source.

// onExample judges readings of a unit of one of the example families.
func onExample(t testing.TB, family, readings string) *eval.Verdict {
	t.Helper()
	battery := "battery"
	if strings.HasPrefix(family, "skerrow") {
		battery = "bench"
	}
	f, err := dsl.Parse("worked.sheet", fmt.Appendf(nil,
		"brushgear 1\nrecord \"worked\" of %s { unit %s is bench_650 serial \"H52207\" judge 2026-03-02\n%s\n}", family, battery, readings))
	require.NoError(t, err)
	records, err := eval.ReadRecords(f)
	require.NoError(t, err)
	j, err := exampleBench(t).Load(records[0])
	require.NoError(t, err)
	v, err := j.Judge(context.Background())
	require.NoError(t, err)
	return v
}

const (
	alternatorGates = `taken battery.look.case good
taken battery.open_circuit.volts 12.68 V at surface_charge removed, rest 10 min
taken by_hand { turns good, fan good }
`
	motorGates = `taken bench.look.case good
taken bench.open_circuit.volts 12.68 V at surface_charge removed, rest 10 min
taken by_hand.turns good
`
	atRating = " at supply 13.5 V, speed 6000 rpm, warm_up 10 min\n"
	atRest   = " at supply 12.0 V, winding_temp 20 °C\n"
	running  = " at supply 11.0 V\n"

	// Three pairs alike, and no way through either diode of phase u.
	bothOfPhaseU = `taken pairs.ohms (120.0 120.4 119.8 mΩ) at winding_temp 20 °C
taken diodes.drop.forward (OL 0.53 0.54 OL 0.52 0.53 V)
taken diodes.drop.back (OL OL OL OL OL OL)`
)

// standing is what a pass says of a fault; of one of positions, what it says of the position that it says most of. A fault that is there but at a
// position that is not known counts as shown.
func standing(t testing.TB, p eval.PassVerdict, name string) diagnosis.Status {
	t.Helper()
	best, found := diagnosis.RuledOut, false
	for f := range p.Faults() {
		if base, _, _ := strings.Cut(f.Name(), "["); base != name && f.Name() != name {
			continue
		}
		s := f.Status()
		if f.OneOf() {
			s = diagnosis.Shown
		}
		if !found || weighs(s) > weighs(best) {
			best = s
		}
		found = true
	}
	require.True(t, found, "there is no fault %s", name)
	return best
}

func weighs(s diagnosis.Status) int {
	for i, o := range []diagnosis.Status{diagnosis.RuledOut, diagnosis.NotExamined, diagnosis.Possible, diagnosis.Suspected, diagnosis.Shown} {
		if s == o {
			return i
		}
	}
	return -1
}

// nextOf is the test to make next, with "repeat " before it if it was made already; empty if there is none.
func nextOf(v *eval.Verdict) string {
	e := v.Explain()
	n := e.Passes[len(e.Passes)-1].Next
	switch {
	case n == nil:
		return ""
	case n.Repeat:
		return "repeat " + n.Test
	}
	return n.Test
}

// storiesOf lists the stories by the names of their faults.
func storiesOf(p eval.PassVerdict) []string {
	var list []string
	for _, s := range p.Stories() {
		var names []string
		for _, f := range s.Faults {
			names = append(names, f.Name())
		}
		list = append(list, strings.Join(names, " "))
	}
	return list
}

// One picture that several faults give, and what becomes of them with the reading that splits them.
var ambiguous = []struct {
	name      string
	family    string
	picture   string
	suspected []string
	next      string // what the plan proposes: the splitting test itself where it is also the cheapest
	splits    []split
}{
	{
		name: "no output, no field current through the brushes: brush or field", family: "tarnby_90",
		picture:   alternatorGates + "taken through_brushes.current 0 A" + atRest + "taken output.current 0 A" + atRating,
		suspected: []string{"brushes_worn", "brush_stuck", "field_open"},
		next:      "ring_field",
		splits: []split{
			{"taken ring_field.current 0 A" + atRest, "field_open", diagnosis.Shown},
			{"taken ring_field.current 4.0 A" + atRest, "field_open", diagnosis.RuledOut},
		},
	},
	{
		name: "ripple twice per turn of the pole pairs and half the output, wye: a leg or both diodes of a phase open (H5)", family: "tarnby_90",
		picture:   alternatorGates + "taken output.current 47 A" + atRating + "taken ripple { volts 0.8 V, order two }\ntaken stud_frame.path.forward OL\ntaken stud_frame.path.back 1.05 V",
		suspected: []string{"leg_open", "phase_dead"},
		splits: []split{
			{"taken pairs.ohms (120 mΩ OL OL) at winding_temp 20 °C", "leg_open[w]", diagnosis.Shown},
			{"taken pairs.ohms (120 mΩ OL OL) at winding_temp 20 °C", "phase_dead", diagnosis.NotExamined}, // explained, not looked at
			{bothOfPhaseU, "phase_dead[u]", diagnosis.Shown},
			{bothOfPhaseU, "leg_open", diagnosis.RuledOut},
		},
	},
	{
		name: "ripple once, output about 57 %: a diode open or shorted", family: "tarnby_90",
		picture:   alternatorGates + "taken output.current 51 to 53 A" + atRating + "taken ripple { volts 1.2 V, order one }",
		suspected: []string{"diode_open", "diode_shorted"}, // one remedy cures both, so that the plan does not care which
		splits: []split{
			{"taken stud_frame.path.forward OL taken stud_frame.path.back 0.55 V", "diode_shorted", diagnosis.Suspected}, // or the stator is grounded
			{"taken stud_frame.path.forward OL taken stud_frame.path.back 0.55 V", "diode_open", diagnosis.NotExamined},  // the others may be good or open
			{"taken stud_frame.path.forward OL taken stud_frame.path.back 1.05 V", "diode_shorted", diagnosis.RuledOut},
		},
	},
	{
		name: "stator lead to frame low with the leads on: a negative diode or the winding", family: "tarnby_90",
		picture:   alternatorGates + "taken output.current 30 A" + atRating + "taken lead_frame.path.forward 0.6 V taken lead_frame.path.back 0.6 V",
		suspected: []string{"diode_shorted", "stator_grounded"},
		splits: []split{
			{"taken stator_ground.insulation 0.06 MΩ at winding_temp 25 °C", "stator_grounded", diagnosis.Shown},
			{"taken stator_ground.insulation 80 MΩ at winding_temp 25 °C", "stator_grounded", diagnosis.RuledOut},
			{"taken stator_ground.insulation 80 MΩ at winding_temp 25 °C", "diode_shorted", diagnosis.Shown},
		},
	},
	{
		name: "output stud to frame low both ways: capacitor, diode pair or insulator", family: "tarnby_90",
		picture:   alternatorGates + "taken stud_frame.path.forward 0.02 V taken stud_frame.path.back 0.02 V taken drain.current 900 mA at supply 12.6 V",
		suspected: []string{"capacitor_shorted", "phase_shorted", "plate_bridge"},
		splits: []split{
			{"taken capacity { value 1.0 µF, insulation 0 MΩ }", "capacitor_shorted", diagnosis.Shown},
			{"taken capacity { value 1.0 µF, insulation 20 MΩ }", "capacitor_shorted", diagnosis.RuledOut},
		},
	},
	{
		name: "no output, full output with the regulator bypassed: regulator or trio", family: "tarnby_90",
		picture:   alternatorGates + "taken output.current 0 A" + atRating + "taken full_field.current 88 A at speed 6000 rpm\ntaken through_brushes.current 3.9 A" + atRest,
		suspected: []string{"regulator_dead", "trio_dead"},
		splits: []split{
			{"taken regulator_alone { below dark, above dark }", "regulator_dead", diagnosis.Shown},
			{"taken regulator_alone { below lit, above dark, off_at 14.4 V, on_at 14.2 V }", "regulator_dead", diagnosis.RuledOut},
			{"taken trio_diodes.drop.forward (OL OL OL) taken trio_diodes.drop.back (OL OL OL)", "trio_dead", diagnosis.Shown},
		},
	},
	{
		name: "overcharge: regulator, sense lead or a ground in the field", family: "tarnby_90",
		picture: "set regulator grounded_field\n" + alternatorGates +
			"taken regulated.volts 16.2 V at case_temp 30 °C, speed 6000 rpm, load_current 8 A",
		suspected: []string{"regulator_full", "sense_lost", "field_grounded"},
		splits: []split{
			{"taken sense { volts 11.4 V, battery_volts 12.5 V }", "sense_lost", diagnosis.Shown},
			{"taken field_ground.lamp lit taken ring_ground.lamp lit", "field_grounded", diagnosis.Shown},
			{"taken regulator_alone { below lit, above lit }", "regulator_full", diagnosis.Shown},
			{"taken sense { volts 12.4 V, battery_volts 12.5 V }", "sense_lost", diagnosis.RuledOut},
		},
	},
	{
		name: "click only: contacts, brushes or the supply", family: "skerrow_20",
		picture:   motorGates + "taken sound.heard click",
		suspected: []string{"contacts_burnt", "brushes_worn", "supply_bad"},
		next:      "switch_volts", // it is still on the vehicle
		splits: []split{
			{"taken contact_drop.drop 0.9 V at feed_current 150 A", "contacts_burnt", diagnosis.Shown},
			{"taken contact_drop.drop 0.04 V at feed_current 150 A", "contacts_burnt", diagnosis.Possible}, // a burnt disk that has turned makes contact for once
		},
	},
	{
		name: "free run slow with too much current: shorted, grounded or dragging", family: "skerrow_20",
		picture:   motorGates + "taken free_run { current 140 A, speed 1500 rpm }" + running,
		suspected: []string{"armature_shorted", "armature_grounded", "field_grounded", "holder_grounded", "bushing_worn"},
		splits: []split{
			{"taken slots.dust clean taken growler.blade pulls", "armature_shorted", diagnosis.Shown},
			{"taken armature_ground.lamp lit", "armature_grounded", diagnosis.Shown},
			{"taken slots.dust clean taken growler.blade still taken armature_ground.lamp dark", "armature_shorted", diagnosis.RuledOut},
		},
	},
	{
		name: "chatter: weak battery, control circuit or hold-in (H10)", family: "skerrow_20",
		picture:   motorGates + "taken sound.heard chatter",
		suspected: []string{"hold_in_open", "control_drop", "supply_bad"},
		next:      "switch_volts", // both at once while it chatters
		splits: []split{
			{"taken switch_volts { volts 7.0 V, battery_volts 7.2 V }", "supply_bad", diagnosis.Shown},
			{"taken switch_volts { volts 7.0 V, battery_volts 7.2 V }", "hold_in_open", diagnosis.Possible},
			{"taken switch_volts { volts 7.0 V, battery_volts 11.8 V }", "control_drop", diagnosis.Shown},
			{"taken switch_volts { volts 11.5 V, battery_volts 11.8 V } taken hold_in.current 0 A" + atRest, "hold_in_open", diagnosis.Shown},
			{"taken switch_volts { volts 11.5 V, battery_volts 11.8 V } taken hold_in.current 0 A" + atRest, "control_drop", diagnosis.RuledOut},
		},
	},
	{
		name: "nothing happens: pull-in, feed or brushes", family: "skerrow_20",
		picture:   motorGates + "taken sound.heard nothing",
		suspected: []string{"pull_in_open", "control_drop", "brushes_worn"},
		splits: []split{
			{"taken pull_in.current 0 A" + atRest, "pull_in_open", diagnosis.Shown},
			{"taken pull_in.current 42 A" + atRest, "pull_in_open", diagnosis.RuledOut},
		},
	},
	{
		name: "click only: contacts, brushes, cables or feed", family: "skerrow_20",
		picture:   motorGates + "taken sound.heard click\ntaken switch_volts { volts 11.8 V, battery_volts 12.2 V }",
		suspected: []string{"contacts_burnt", "brushes_worn", "plunger_sticks", "supply_bad"},
		splits: []split{
			{"taken stud_volts { battery_stud 12.0 V, motor_stud 0.3 V, battery_volts 12.2 V }", "brushes_worn", diagnosis.NotExamined},
			{"taken stud_volts { battery_stud 12.0 V, motor_stud 11.9 V, battery_volts 12.2 V }", "contacts_burnt", diagnosis.Possible},
			{"taken stud_volts { battery_stud 7.0 V, motor_stud 6.9 V, battery_volts 12.2 V }", "supply_bad", diagnosis.Shown},
		},
	},
	{
		name: "keeps running: pull-in, hold-in, plunger or contacts", family: "skerrow_20",
		picture:   motorGates + "taken sound.heard runs_on\ntaken release_test.plunger hangs",
		suspected: []string{"pull_in_shorted", "hold_in_shorted", "plunger_sticks", "contacts_welded"},
		splits: []split{
			{"taken hold_in.current 14 A" + atRest, "hold_in_shorted", diagnosis.Shown},
			{"taken contacts_rest.lamp lit", "contacts_welded", diagnosis.Shown},
			{"taken contacts_rest.lamp dark", "contacts_welded", diagnosis.RuledOut},
			{"taken hold_in.current 10.4 A" + atRest + "taken pull_in.current 42 A" + atRest, "plunger_sticks", diagnosis.Suspected}, // or the contacts
			{"taken hold_in.current 10.4 A" + atRest + "taken pull_in.current 42 A" + atRest, "hold_in_shorted", diagnosis.Possible}, // one turn more or less
		},
	},
}

// split is a reading and what it makes of a fault.
type split struct {
	taken string
	fault string
	want  diagnosis.Status
}

func TestExamplePictures(t *testing.T) {
	for _, c := range ambiguous {
		t.Run(c.name, func(t *testing.T) {
			v := onExample(t, c.family, c.picture)
			for _, name := range c.suspected {
				require.Equal(t, "suspected", standing(t, v.Last(), name).String(), "%s: %q", name, storiesOf(v.Last()))
			}
			if c.next != "" {
				require.Equal(t, c.next, nextOf(v))
			}
			for _, s := range c.splits {
				after := onExample(t, c.family, c.picture+"\n"+s.taken)
				require.Equal(t, s.want.String(), standing(t, after.Last(), s.fault).String(), "%s after %s: %q", s.fault, s.taken, storiesOf(after.Last()))
			}
		})
	}
}

// TestExampleBrushHidesField: worn brushes make a long way to the rings, which hides shorted turns. The rotor is not cleared by the reading through the
// brushes, and shows up once the brushes are renewed.
func TestExampleBrushHidesField(t *testing.T) {
	found := `pass as found {
` + alternatorGates + "taken through_brushes.current 2.1 A" + atRest + "taken brushes.length (5 5 mm) taken brushes.force (3 3 N) taken brushes.slide (free free)\n}\n"
	v := onExample(t, "tarnby_90", found)
	require.Equal(t, diagnosis.Shown, standing(t, v.Last(), "brushes_worn"))
	require.Contains(t, []diagnosis.Status{diagnosis.NotExamined, diagnosis.Possible}, standing(t, v.Last(), "field_shorted"))

	v = onExample(t, "tarnby_90", found+"pass in work { work fit_brushes }\npass as left { taken through_brushes.current 5.4 A"+atRest+"taken field_ground.lamp dark }")
	require.Equal(t, diagnosis.Shown, standing(t, v.Last(), "field_shorted"))
	require.NotEqual(t, diagnosis.Suspected, standing(t, v.Last(), "brushes_worn"))
}

// TestExampleStory: a shorted diode burns its phase, and the regulator dies of what killed the diode. Three parts, one story, and nothing else suspected.
func TestExampleStory(t *testing.T) {
	v := onExample(t, "tarnby_90", alternatorGates+`taken stud_frame.path.forward OL
taken stud_frame.path.back 0.55 V
taken output.current 0 A`+atRating+`taken through_brushes.current 3.9 A`+atRest+`taken diodes.drop.forward (0.53 0.02 0.54 0.52 0.53 0.53 V)
taken diodes.drop.back (OL 0.02 V OL OL OL OL)
taken stator_look.dark (no yes no)
taken stator_look.spot none
taken regulator_alone { below dark, above dark }`)
	require.Equal(t, "diode_shorted[plus, v] phase_burnt[v] regulator_dead", storiesOf(v.Last())[0])
	for f := range v.Last().Faults() {
		switch f.Name() {
		case "diode_shorted[plus, v]", "phase_burnt[v]", "regulator_dead":
			require.Equal(t, diagnosis.Shown, f.Status(), f.Name())
		default:
			require.NotEqual(t, diagnosis.Shown, f.Status(), f.Name())
		}
	}
	var causes []string
	for _, c := range v.Last().OpenCauses() {
		causes = append(causes, c.Name)
	}
	require.Contains(t, causes, "reversed", "what killed the diode is to be cleared before release")
}

// TestExampleWelded: contacts that are welded let the engine overspeed the drive and the armature. Both are looked at before the solenoid is renewed, and
// what welded the contacts is cleared before release.
func TestExampleWelded(t *testing.T) {
	v := onExample(t, "skerrow_20", motorGates+"taken sound.heard runs_on\ntaken contacts_rest.lamp lit")
	require.Equal(t, diagnosis.Shown, standing(t, v.Last(), "contacts_welded"))
	for _, name := range []string{"clutch_seized", "armature_open"} {
		require.NotEqual(t, diagnosis.RuledOut, standing(t, v.Last(), name), name)
	}
	require.Equal(t, "clutch", nextOf(v))
	var causes []string
	for _, c := range v.Last().OpenCauses() {
		causes = append(causes, c.Name)
	}
	require.Subset(t, causes, []string{"low_supply", "chatter"})
}

// TestExampleRingLead: an open field is soldered where the lead came off its ring; if both leads hold, another rotor is due.
func TestExampleRingLead(t *testing.T) {
	for _, c := range []struct{ joint, remedy string }{{"broken", "mend_ring_lead"}, {"loose", "mend_ring_lead"}, {"good", "fit_rotor"}} {
		v := onExample(t, "tarnby_90", "taken ring_field.current 0 A"+atRest+"taken ring_lead.joint "+c.joint)
		require.Equal(t, diagnosis.Shown, standing(t, v.Last(), "field_open"))
		require.Equal(t, c.remedy, v.Explain().Passes[0].Remedies[0].Name, c.joint)
	}
	v := onExample(t, "tarnby_90", "taken ring_field.current 0 A"+atRest)
	require.Equal(t, "first: Field leads where they meet the rings", v.Explain().Passes[0].Remedies[0].Note)
	require.Equal(t, "ring_lead", nextOf(v), "the look that tells whether it can be soldered")

	// A regulator is not fitted behind a rotor that killed the last one, and what it asks of that rotor is not measured any more.
	v = onExample(t, "tarnby_90", alternatorGates+"taken through_brushes.current 5.2 A"+atRest+"taken output.current 0 A"+atRating+"taken ring_field.current 5.2 A"+atRest)
	last := v.Explain().Passes[0]
	require.Equal(t, "fit_regulator", last.Remedies[1].Name)
	require.Equal(t, "not before this is good: Field, slip ring to slip ring, brushes out", last.Remedies[1].Note)
	require.NotEqual(t, "ring_ground", nextOf(v))
}

// TestExampleFlatBattery: on a flat battery nothing that turns the motor says anything of it, for or against.
func TestExampleFlatBattery(t *testing.T) {
	v := onExample(t, "skerrow_20", `taken bench.look.case good
taken bench.open_circuit.volts 11.9 V at surface_charge removed, rest 10 min
taken by_hand.turns good
taken free_run { current 140 A, speed 900 rpm } at supply 8.0 V`)
	for f := range v.Last().Faults() {
		if !strings.HasPrefix(f.Name(), "bench.") {
			require.NotContains(t, []diagnosis.Status{diagnosis.Shown, diagnosis.Suspected}, f.Status(), f.Name())
		}
	}
	require.Equal(t, diagnosis.Suspected, standing(t, v.Last(), "bench.discharged")) // or sulphated: charge it and see
	for _, name := range []string{"armature_shorted", "armature_grounded", "contacts_burnt", "brushes_worn"} {
		require.Equal(t, diagnosis.NotExamined, standing(t, v.Last(), name), name)
	}
}

// TestExampleTwinHidesOpenDiode: with two diodes in parallel at each place one open one is carried by its twin. Output and ripple do not clear it.
func TestExampleTwinHidesOpenDiode(t *testing.T) {
	v := onExample(t, "tarnby_90", "set sets doubled\n"+alternatorGates+"taken output.current 88 A"+atRating+"taken ripple { volts 0.2 V, order six }")
	for _, s := range []string{"diode_open[plus, u]", "diode_open[minus, w]"} {
		require.Equal(t, diagnosis.NotExamined, standing(t, v.Last(), s), s)
	}
	single := onExample(t, "tarnby_90", alternatorGates+"taken output.current 88 A"+atRating+"taken ripple { volts 0.2 V, order six }")
	require.Equal(t, diagnosis.RuledOut, standing(t, single.Last(), "diode_open"))
}

// TestExampleDeltaHidesOpenLeg: in delta an open leg leaves all pairs connected; only their ratio tells. In wye two pairs are open.
func TestExampleDeltaHidesOpenLeg(t *testing.T) {
	pairs := "taken pairs.ohms (%s) at winding_temp 20 °C"
	delta := onExample(t, "tarnby_90", "set connection delta\n"+fmt.Sprintf(pairs, "120 60 60 mΩ"))
	require.Equal(t, diagnosis.Shown, standing(t, delta.Last(), "leg_open"))
	wye := onExample(t, "tarnby_90", fmt.Sprintf(pairs, "120 mΩ OL OL"))
	require.Equal(t, diagnosis.Shown, standing(t, wye.Last(), "leg_open[w]"))
	wye = onExample(t, "tarnby_90", fmt.Sprintf(pairs, "120 60 60 mΩ"))
	require.NotEqual(t, diagnosis.Shown, standing(t, wye.Last(), "leg_open"))
}

// TestExampleDust: the growler pulls at many slots when copper dust bridges the bars. It counts only once the slots are clean.
func TestExampleDust(t *testing.T) {
	found := "pass as found {\n" + motorGates + "taken free_run { current 140 A, speed 1500 rpm }" + running + "taken slots.dust dusty\ntaken growler.blade pulls\n}\n"
	v := onExample(t, "skerrow_20", found)
	c, _ := v.Last().Check("growler.blade")
	require.Equal(t, eval.NotValid, c.Result())
	require.NotEqual(t, diagnosis.Shown, standing(t, v.Last(), "armature_shorted"))
	cleaned := "pass in work {\nwork clean_slots\ntaken slots.dust clean\ntaken growler.blade %s\n}"
	v = onExample(t, "skerrow_20", found+fmt.Sprintf(cleaned, "pulls"))
	require.Equal(t, diagnosis.Shown, standing(t, v.Last(), "armature_shorted"))
	v = onExample(t, "skerrow_20", found+fmt.Sprintf(cleaned, "still"))
	require.NotContains(t, []diagnosis.Status{diagnosis.Shown, diagnosis.Suspected}, standing(t, v.Last(), "armature_shorted"))
}

// TestExampleSeveralMembers: a fault that takes several members of a set at once is found as well as one that takes a single member, and bars that are
// all high are no shorted coil.
func TestExampleSeveralMembers(t *testing.T) {
	bars := func(odd ...string) string {
		drops := slices.Repeat([]string{"9.60"}, 27)
		for i, d := range odd {
			drops[2+6*i] = d
		}
		return "taken slots.dust clean\ntaken bar_to_bar.drop (" + strings.Join(drops, " ") + " mV) at feed_current 5 A"
	}
	for _, c := range []struct {
		family, readings, shown string
	}{
		{"skerrow_20", "taken springs.force (48 30 50 49 ozf)", "spring_weak"},
		{"skerrow_20", "taken springs.force (48 30 31 49 ozf)", "spring_weak"},
		{"skerrow_20", "taken springs.force (30 31 32 49 ozf)", "spring_weak"},
		{"skerrow_20", "taken springs.force (30 31 30 31 ozf)", "spring_weak"},
		{"skerrow_20", "taken springs.force (48 75 76 49 ozf)", "spring_stiff"},
		{"tarnby_90", "taken brushes.force (1.2 3.0 N)", "spring_weak"},
		{"tarnby_90", "taken brushes.force (1.2 1.2 N)", "spring_weak"},
		{"skerrow_20", bars("6.2"), "armature_shorted"},
		{"skerrow_20", bars("6.2", "6.3"), "armature_shorted"},
		{"skerrow_20", bars("15.1"), "armature_open"},
		{"skerrow_20", bars("15.1", "14.2"), "armature_open"},
		{"tarnby_90", "set sets doubled\ntaken diodes.drop.forward (0.75 0.53 0.54 0.53 0.53 0.54 V) taken diodes.drop.back (OL OL OL OL OL OL)", "diode_open"},
	} {
		v := onExample(t, c.family, c.readings)
		require.Equal(t, diagnosis.Shown, standing(t, v.Last(), c.shown), "%s after %s: %q", c.shown, c.readings, storiesOf(v.Last()))
	}
}

// TestExampleLikeliestFirst: what is suspected and what to fit are told by how likely they are, whatever the order of the sheet, and a fault once with its
// positions.
func TestExampleLikeliestFirst(t *testing.T) {
	v := onExample(t, "tarnby_90", "taken lamp { off glows, key_on lit, running dark }")
	last := v.Explain().Passes[0]
	first := slices.IndexFunc(last.Faults, func(f eval.FaultExplanation) bool { return f.Status == diagnosis.Suspected })
	require.Equal(t, "diode_shorted[plus, u]", last.Faults[first].Name)
	require.Equal(t, "fit_rectifier", last.Remedies[0].Name)
	require.Equal(t, []string{"Main diode shorted (plus u or plus v or plus w)"}, last.Remedies[0].For)
	require.Greater(t, len(last.Remedies), 1)
}

// TestExampleNoCompanion: a clutch that slips makes no shorted armature run freely, so it is not drawn in where the growler and the free run clear one.
func TestExampleNoCompanion(t *testing.T) {
	v := onExample(t, "skerrow_20", motorGates+"taken free_run { current 78 A, speed 3031 rpm }"+running+`taken slots.dust clean
taken growler.blade still
taken bar_to_bar.drop (`+strings.Repeat("10.0 ", 13)+"4.2"+strings.Repeat(" 10.0", 13)+" mV) at feed_current 5 A")
	for _, name := range []string{"clutch_slips", "armature_shorted"} {
		require.NotContains(t, []diagnosis.Status{diagnosis.Shown, diagnosis.Suspected}, standing(t, v.Last(), name), name)
	}
	require.Equal(t, "repeat bar_to_bar", nextOf(v))
}

// TestExampleColdField: a field that draws too much is shorted, or cold. Without the temperature of the winding nothing is suspected.
func TestExampleColdField(t *testing.T) {
	reading := alternatorGates + "taken ring_field.current 4.35 A at supply 12.0 V"
	v := onExample(t, "tarnby_90", reading)
	require.NotContains(t, []diagnosis.Status{diagnosis.Shown, diagnosis.Suspected, diagnosis.RuledOut}, standing(t, v.Last(), "field_shorted"))
	v = onExample(t, "tarnby_90", reading+", winding_temp 2 °C")
	require.Equal(t, diagnosis.RuledOut, standing(t, v.Last(), "field_shorted"))
	v = onExample(t, "tarnby_90", reading+", winding_temp 40 °C")
	require.Contains(t, []diagnosis.Status{diagnosis.Shown, diagnosis.Suspected}, standing(t, v.Last(), "field_shorted"))
}
