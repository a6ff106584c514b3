package trade_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/eval/trade"
	"github.com/brushgear/brushgear/units"
)

// formula is one function of the package with arguments that it takes.
type formula struct {
	name string
	args []units.Quantity
	call func(x []units.Quantity) ([]units.Quantity, error)
}

// one wraps a formula of one result.
func one(v units.Quantity, err error) ([]units.Quantity, error) { return []units.Quantity{v}, err }

func resistances(paths []trade.Path, err error) ([]units.Quantity, error) {
	var list []units.Quantity
	for _, p := range paths {
		if !p.Open {
			list = append(list, p.Resistance)
		}
	}
	return list, err
}

// formulas are all functions and methods that take quantities.
var formulas = []formula{
	{"PairResistance", qs("0.06 Ω"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.PairResistance(trade.Wye, x[0])) }},
	{"PhaseResistance", qs("0.12 Ω"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.PhaseResistance(trade.Delta, x[0]))
	}},
	{"LineVoltage", qs("8 V"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.LineVoltage(trade.Wye, x[0])) }},
	{"PhaseVoltage", qs("8 V"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.PhaseVoltage(trade.Wye, x[0])) }},
	{"LineCurrent", qs("8 A"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.LineCurrent(trade.Delta, x[0])) }},
	{"PhaseCurrent", qs("8 A"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.PhaseCurrent(trade.Delta, x[0])) }},
	{"DeltaToWye", qs("25 Ω", "15 Ω", "10 Ω"), func(x []units.Quantity) ([]units.Quantity, error) {
		a, b, c, err := trade.DeltaToWye(x[0], x[1], x[2])
		return []units.Quantity{a, b, c}, err
	}},
	{"WyeToDelta", qs("5 Ω", "7.5 Ω", "3 Ω"), func(x []units.Quantity) ([]units.Quantity, error) {
		a, b, c, err := trade.WyeToDelta(x[0], x[1], x[2])
		return []units.Quantity{a, b, c}, err
	}},
	{"NewStator", qs("0.06 Ω"), func(x []units.Quantity) ([]units.Quantity, error) {
		s, err := trade.NewStator(trade.Wye, x[0])
		return one(s.Legs[0].Resistance, err)
	}},
	{"Stator.LoseTurns", qs("0.06 Ω", "20 %"), func(x []units.Quantity) ([]units.Quantity, error) {
		s, err := trade.Stator{Legs: [3]trade.Path{{Resistance: x[0]}}}.LoseTurns(0, x[1])
		return one(s.Legs[0].Resistance, err)
	}},
	{"Stator.Pairs", qs("0.06 Ω", "0.07 Ω", "0.08 Ω"), func(x []units.Quantity) ([]units.Quantity, error) {
		pairs, err := trade.Stator{trade.Delta, [3]trade.Path{{Resistance: x[0]}, {Resistance: x[1]}, {Resistance: x[2]}}}.Pairs()
		return resistances(pairs[:], err)
	}},
	{"StatorOf", qs("0.12 Ω", "0.12 Ω", "0.1 Ω"), func(x []units.Quantity) ([]units.Quantity, error) {
		s, err := trade.StatorOf(trade.Delta, x[0], x[1], x[2])
		return resistances(s.Legs[:], err)
	}},
	{"Rectify", qs("10.9 V"), func(x []units.Quantity) ([]units.Quantity, error) {
		r, err := trade.Rectify(x[0], trade.Diode{Plate: trade.MinusPlate, Phase: 0})
		return []units.Quantity{r.Mean, r.RMS, r.Peak, r.Trough, r.FormFactor, r.Ripple, r.PeakReverse}, err
	}},
	{"BridgeVoltage", qs("10.9 V", "0.8 V"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.BridgeVoltage(x[0], x[1])) }},
	{"NeutralVoltage", qs("14 V"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.NeutralVoltage(x[0])) }},
	{"NeutralDeparture", qs("7 V", "14 V"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.NeutralDeparture(x[0], x[1])) }},
	{"CoilCurrent", qs("12 V", "0.4 Ω"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.CoilCurrent(x[0], x[1])) }},
	{"FieldCurrent", qs("42 %", "14.2 V", "2.7 Ω"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.FieldCurrent(x[0], x[1], x[2])) }},
	{"FieldDuty", qs("2 A", "14.2 V", "2.7 Ω"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.FieldDuty(x[0], x[1], x[2])) }},
	{"LostTurns", qs("2.05 Ω", "2.6 Ω"), func(x []units.Quantity) ([]units.Quantity, error) {
		l, err := trade.LostTurns(x[0], x[1])
		return []units.Quantity{l.Share, l.CurrentRatio}, err
	}},
	{"ParallelResistance", qs("0.4 Ω", "1.2 Ω"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.ParallelResistance(x...)) }},
	{"SumDeparture", qs("40 A", "30 A", "10 A"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.SumDeparture(x[0], x[1:]...)) }},
	{"StoredEnergy", qs("0.5 µF", "500 V"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.StoredEnergy(x[0], x[1])) }},
	{"TimeConstant", qs("1 MΩ", "0.5 µF"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.TimeConstant(x[0], x[1])) }},
	{"WindingTemperature", qs("2.6 Ω", "22 °C", "3.35 Ω"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.WindingTemperature(trade.Copper, x[0], x[1], x[2]))
	}},
	{"TemperatureRise", qs("96 °C", "25 °C"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.TemperatureRise(x[0], x[1])) }},
	{"MinimumInsulation", qs("12 V"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.MinimumInsulation(trade.OlderWinding, x[0]))
	}},
	{"Polarization", qs("400 MΩ", "1 GΩ"), func(x []units.Quantity) ([]units.Quantity, error) {
		p, err := trade.Polarization(x[0], x[1])
		return one(p.Index, err)
	}},
	{"WithstandVoltage", qs("12 V", "900 W"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.WithstandVoltage(x[0], x[1])) }},
	{"OverhauledWithstand", qs("12 V"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.OverhauledWithstand(x[0])) }},
	{"NewArmature", qs("10 mΩ"), func(x []units.Quantity) ([]units.Quantity, error) {
		w, err := trade.NewArmature(27, 1, x[0])
		return resistances(w.Coils, err)
	}},
	{"Armature.BarToBar", qs("10 mΩ", "10 mΩ", "10 mΩ"), func(x []units.Quantity) ([]units.Quantity, error) {
		return resistances(trade.Armature{Coils: []trade.Path{{Resistance: x[0]}, {Resistance: x[1]}, {Resistance: x[2]}}, Pitch: 1}.BarToBar())
	}},
	{"Armature.BarDrops", qs("10 mΩ", "10 mΩ", "10 mΩ", "2 V"), func(x []units.Quantity) ([]units.Quantity, error) {
		return trade.Armature{Coils: []trade.Path{{Resistance: x[0]}, {Resistance: x[1]}, {Resistance: x[2]}}, Pitch: 1}.BarDrops(0, 1, x[3])
	}},
	{"Frequency", qs("6000 rpm"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.Frequency(12, x[0])) }},
	{"SpeedOf", qs("600 Hz"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.SpeedOf(12, x[0])) }},
	{"Poles", qs("600 Hz", "6000 rpm"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.Poles(x[0], x[1])) }},
	{"RippleFrequency", qs("600 Hz"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.RippleFrequency(x[0])) }},
	{"Pulleys.Ratio", qs("180 mm", "60 mm"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.Pulleys{Engine: x[0], Unit: x[1]}.Ratio())
	}},
	{"Pulleys.UnitSpeed", qs("180 mm", "60 mm", "700 rpm", "3 %"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.Pulleys{Engine: x[0], Unit: x[1]}.UnitSpeed(x[2], x[3]))
	}},
	{"Pulleys.Slip", qs("180 mm", "60 mm", "700 rpm", "2037 rpm"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.Pulleys{Engine: x[0], Unit: x[1]}.Slip(x[2], x[3]))
	}},
	{"CrankDrive.Ratio", qs("4"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.CrankDrive{Ring: 135, Pinion: 9, Internal: x[0]}.Ratio())
	}},
	{"CrankDrive.PinionSpeed", qs("200 rpm"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.CrankDrive{Ring: 135, Pinion: 9}.PinionSpeed(x[0]))
	}},
	{"CrankDrive.ArmatureSpeed", qs("4", "200 rpm"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.CrankDrive{Ring: 135, Pinion: 9, Internal: x[0]}.ArmatureSpeed(x[1]))
	}},
	{"CrankDrive.EngineTorque", qs("4", "2 N·m", "90 %"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.CrankDrive{Ring: 135, Pinion: 9, Internal: x[0]}.EngineTorque(x[1], x[2]))
	}},
	{"ElectricalPower", qs("13.5 V", "90 A"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.ElectricalPower(x[0], x[1])) }},
	{"ShaftPower", qs("9.5 N·m", "1150 rpm"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.ShaftPower(x[0], x[1])) }},
	{"ShaftTorque", qs("1 kW", "1150 rpm"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.ShaftTorque(x[0], x[1])) }},
	{"ShaftSpeed", qs("1 kW", "9.5 N·m"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.ShaftSpeed(x[0], x[1])) }},
	{"Efficiency", qs("1144 W", "2520 W"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.Efficiency(x[0], x[1])) }},
	{"AlternatorInput", qs("13.5 V", "90 A", "58 %", "6000 rpm"), func(x []units.Quantity) ([]units.Quantity, error) {
		d, err := trade.AlternatorInput(x[0], x[1], x[2], x[3])
		return []units.Quantity{d.Output, d.Input, d.Torque}, err
	}},
	{"WeightedEfficiency", qs("69 %", "68 %", "63 %", "55 %"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.WeightedEfficiency([4]units.Quantity(x)))
	}},
	{"Regulation", qs("14.35 V", "14.02 V"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.Regulation(x[0], x[1])) }},
	{"StallTorque", qs("18.5 lbf", "1 lbf", "1 ft"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.StallTorque(x[0], x[1], x[2])) }},
	{"LockedResistance", qs("3.5 V", "1 V", "680 A"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.LockedResistance(x[0], x[1], x[2]))
	}},
	{"CrankingPower", qs("8.4 V", "300 A", "9.5 N·m", "1150 rpm"), func(x []units.Quantity) ([]units.Quantity, error) {
		p, err := trade.CrankingPower(x[0], x[1], x[2], x[3])
		return []units.Quantity{p.Input, p.Output, p.Efficiency}, err
	}},
	{"InternalResistance", qs("12.6 V", "10.2 V", "300 A"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.InternalResistance(x[0], x[1], x[2]))
	}},
	{"Supply.Behind", qs("12.6 V", "8 mΩ", "4 mΩ"), func(x []units.Quantity) ([]units.Quantity, error) {
		s, err := trade.Supply{OpenCircuit: x[0], Resistance: x[1]}.Behind(x[2])
		return one(s.Resistance, err)
	}},
	{"Supply.Voltage", qs("12.6 V", "8 mΩ", "300 A"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.Supply{OpenCircuit: x[0], Resistance: x[1]}.Voltage(x[2]))
	}},
	{"Supply.Meet", qs("12.6 V", "8 mΩ", "1 V", "4 mΩ"), func(x []units.Quantity) ([]units.Quantity, error) {
		p, err := trade.Supply{OpenCircuit: x[0], Resistance: x[1]}.Meet(trade.MotorLine{Standing: x[2], Resistance: x[3]})
		return []units.Quantity{p.Current, p.Voltage}, err
	}},
	{"LoadTestCurrent", qs("650 A"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.LoadTestCurrent(x[0])) }},
	{"LoadTestCurrentByCapacity", qs("60 Ah"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.LoadTestCurrentByCapacity(x[0])) }},
	{"DrainTime", qs("60 Ah", "50 %", "85 mA"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.DrainTime(x[0], x[1], x[2])) }},
	{"OpenCircuitVoltage", qs("1.265"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.OpenCircuitVoltage(6, x[0])) }},
	{"StateOfCharge", qs("12.3 V"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.StateOfCharge(6, x[0])) }},
	{"Table.Linear", qs("0 °F"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.CrankingTable().Linear(x[0])) }},
	{"Table.Step", qs("1.2"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.FreezingTable().Step(x[0])) }},
	{"CopperResistance", qs("2/0 AWG", "10 ft", "20 °C"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.CopperResistance(x[0], x[1], x[2]))
	}},
	{"Cable.Drop", qs("2/0 AWG", "10 ft", "20 °C", "300 A", "0.1 V"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.Cable{Section: x[0], Loop: x[1], Temperature: x[2]}.Drop(x[3], x[4]))
	}},
	{"LeastSection", qs("0.2 V", "300 A", "10 ft", "20 °C"), func(x []units.Quantity) ([]units.Quantity, error) {
		return one(trade.LeastSection(x[0], x[1], x[2], x[3]))
	}},
	{"WireDiameter", qs("6 AWG"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.WireDiameter(x[0])) }},
	{"FitOf", qs("0.6260 in", "0.6270 in", "15.85 mm", "15.87 mm"), func(x []units.Quantity) ([]units.Quantity, error) {
		f, err := trade.FitOf(trade.Sizes{Smallest: x[0], Largest: x[1]}, trade.Sizes{Smallest: x[2], Largest: x[3]})
		return []units.Quantity{f.Tightest, f.Loosest}, err
	}},
	{"Runout", qs("0.02 mm"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.Runout(x[0])) }},
	{"Eccentricity", qs("0.04 mm"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.Eccentricity(x[0])) }},
	{"SurfaceSpeed", qs("33 mm", "9000 rpm"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.SurfaceSpeed(x[0], x[1])) }},
	{"BrushPressure", qs("36 ozf", "8 mm", "16 mm"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.BrushPressure(x[0], x[1], x[2])) }},
	{"Unbalance", qs("92 mΩ", "94 mΩ", "83 mΩ"), func(x []units.Quantity) ([]units.Quantity, error) { return one(trade.Unbalance(trade.OfMean, x...)) }},
	{"TypicalOf", qs("92 mΩ", "94 mΩ", "83 mΩ"), func(x []units.Quantity) ([]units.Quantity, error) {
		p, err := trade.TypicalOf(x...)
		return []units.Quantity{p.Median, p.Spread}, err
	}},
	{"OddOnes", qs("5 %", "92 mΩ", "94 mΩ", "83 mΩ"), func(x []units.Quantity) ([]units.Quantity, error) {
		_, err := trade.OddOnes(x[0], 3.5, x[1:]...)
		return nil, err
	}},
}

// with returns the arguments with one of them replaced.
func (f formula) with(i int, v units.Quantity) []units.Quantity {
	x := append([]units.Quantity(nil), f.args...)
	x[i] = v
	return x
}

// Every argument of every formula takes what it asks for and refuses another dimension, no number, infinity, and a number below zero. Only
// the voltage of a capacitor, which has two directions, and a wire gauge, where -1000 is a very thick wire, may be so far below.
func TestArgumentsAreChecked(t *testing.T) {
	for _, f := range formulas {
		results, err := f.call(f.args)
		require.NoError(t, err, f.name)
		for _, v := range results {
			require.False(t, math.IsNaN(v.SI()) || math.IsInf(v.SI(), 0), "%s: %v", f.name, v)
		}
		for i, arg := range f.args {
			for _, bad := range []struct {
				value units.Quantity
				cause error
			}{
				{q("3 kg"), units.ErrDimension},
				{units.New(math.NaN(), arg.Unit()), units.ErrRange},
				{units.New(math.Inf(1), arg.Unit()), units.ErrRange},
				{units.New(-1e3, arg.Unit()), units.ErrRange},
			} {
				below := bad.value.Value() == -1e3
				if below && (f.name == "StoredEnergy" && i == 1 || arg.Unit().String() == "AWG") {
					continue
				}
				results, err := f.call(f.with(i, bad.value))
				var e *trade.ArgumentError
				require.ErrorAs(t, err, &e, "%s takes %v as argument %d", f.name, bad.value, i)
				require.ErrorIs(t, err, bad.cause, "%s, argument %d, %v", f.name, i, bad.value)
				require.NotEmpty(t, e.Argument)
				require.NotEmpty(t, e.Problem)
				require.NotEmpty(t, e.Hint)
				for _, v := range results {
					require.Equal(t, units.Quantity{}, v, "%s gives %v with an error", f.name, v)
				}
			}
		}
	}
}

// Whatever the sizes of the arguments, a formula gives finite results or says what is wrong.
func TestSizesDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom(formulas).Draw(t, "formula")
		x := append([]units.Quantity(nil), f.args...)
		for i := range x {
			scale := math.Pow(10, rapid.Float64Range(-320, 320).Draw(t, "power"))
			x[i] = units.New(x[i].Value()*scale, x[i].Unit())
		}
		results, err := f.call(x)
		var e *trade.ArgumentError
		if err != nil && !errors.As(err, &e) {
			t.Fatalf("%s of %v: %v is no ArgumentError", f.name, x, err)
		}
		for _, v := range results {
			if math.IsNaN(v.SI()) || math.IsInf(v.SI(), 0) || err != nil && v != (units.Quantity{}) {
				t.Fatalf("%s of %v gives %v, %v", f.name, x, v, err)
			}
		}
	})
}

func TestRefusals(t *testing.T) {
	stator, err := trade.NewStator(trade.Wye, q("0.06 Ω"))
	require.NoError(t, err)
	winding, err := trade.NewArmature(27, 1, q("10 mΩ"))
	require.NoError(t, err)
	opened, err := winding.OpenCoil(3)
	require.NoError(t, err)
	opened, err = opened.OpenCoil(5)
	require.NoError(t, err)
	shorted, err := winding.ShortCoil(0)
	require.NoError(t, err)
	plus := func(phase int) trade.Diode { return trade.Diode{Plate: trade.PlusPlate, Phase: phase} }
	minus := func(phase int) trade.Diode { return trade.Diode{Plate: trade.MinusPlate, Phase: phase} }
	for _, test := range []struct {
		err  func() error
		want string
	}{
		{func() error { _, err := trade.StallTorque(q("18.5 lb"), q("0 N"), q("1 ft")); return err },
			"force at the arm: 18.5 lb measures mass, not force: write it like 10 N"},
		{func() error { _, err := trade.ShaftPower(q("9.5 J"), q("1150 rpm")); return err },
			"torque: 9.5 J measures energy, not torque: write it like 9.5 N·m"},
		{func() error { _, err := trade.Frequency(12, q("100 Hz")); return err },
			"speed: 100 Hz measures frequency, not speed of rotation: write it like 6000 rpm"},
		{func() error { _, err := trade.CoilCurrent(q("12 V"), q("0 Ω")); return err },
			"resistance: 0 Ω is not above zero: write it without sign, such as 2.6 Ω"},
		{func() error { _, err := trade.FieldCurrent(q("142 %"), q("12 V"), q("2.7 Ω")); return err },
			"duty: 142 % is more than the whole: write a share of at most 100 %, such as 58 %"},
		{func() error { _, err := trade.FieldDuty(q("6 A"), q("12 V"), q("2.7 Ω")); return err },
			"field current: 6 A is more than 12 V drives through 2.7 Ω: measure the three at the same time"},
		{func() error { _, err := trade.Frequency(7, q("6000 rpm")); return err },
			"poles: 7 is odd: count north and south poles: write an even number, such as 12"},
		{func() error { _, err := trade.SpeedOf(0, q("600 Hz")); return err }, "poles: 0 is too few: write 2 or more"},
		{func() error { _, err := trade.PairResistance(trade.Connection(7), q("0.06 Ω")); return err },
			"connection: 7 is no connection: write Wye or Delta"},
		{func() error { _, err := stator.OpenLeg(3); return err }, "leg: there is no leg 3: write 0 for u, 1 for v, 2 for w"},
		{func() error { _, err := stator.LoseTurns(0, q("100 %")); return err },
			"share of turns lost: 100 % leaves nothing: write a share below 100 %, such as 20 %"},
		{func() error { _, err := trade.StatorOf(trade.Wye, q("0.1 Ω"), q("0.1 Ω"), q("0.2 Ω")); return err },
			"readings u-v, v-w, w-u: of 0.1 Ω, 0.1 Ω and 0.2 Ω one is not less than the other two together: clean the contacts of the probes and measure again"},
		{func() error { _, err := trade.Rectify(q("10 V"), plus(0), plus(1), plus(2)); return err },
			"open diodes: no path through two phases is left, so there is no output: leave a diode of each plate, on two phases"},
		{func() error { _, err := trade.Rectify(q("10 V"), plus(0), plus(1), minus(0), minus(1)); return err },
			"open diodes: no path through two phases is left, so there is no output: leave a diode of each plate, on two phases"},
		{func() error { _, err := trade.Rectify(q("10 V"), plus(3)); return err },
			"open diode: there is no diode 3 of plate 0: write PlusPlate or MinusPlate, and a phase from 0 to 2"},
		{func() error { _, err := trade.Rectified{}.Harmonic(0); return err }, "order: 0 is too few: write 1 or more"},
		{func() error { _, err := trade.BridgeVoltage(q("1 V"), q("0.8 V")); return err },
			"forward drop: two drops of 0.8 V leave nothing of 1 V: write the drop of one diode, such as 0.8 V"},
		{func() error { _, err := trade.NeutralDeparture(q("15 V"), q("14 V")); return err },
			"neutral voltage: 15 V is above the output of 14 V: measure both against the grounded side"},
		{func() error { _, err := trade.LostTurns(q("2.7 Ω"), q("2.6 Ω")); return err },
			"field resistance: 2.7 Ω is above the 2.6 Ω of the good field, which shorted turns cannot cause: compare at one temperature, then look for a bad joint"},
		{func() error { _, err := trade.ParallelResistance(); return err }, "number of coils: 0 is too few: write 1 or more"},
		{func() error { _, err := trade.SumDeparture(q("4 A"), q("4 A")); return err }, "number of single currents: 1 is too few: write 2 or more"},
		{func() error {
			_, err := trade.WindingTemperature(trade.Conductor(5), q("2 Ω"), q("20 °C"), q("3 Ω"))
			return err
		},
			"metal: 5 is no metal of windings: write Copper or Aluminium"},
		{func() error {
			_, err := trade.WindingTemperature(trade.Copper, q("2 Ω"), q("-240 °C"), q("3 Ω"))
			return err
		},
			"temperature of the cold winding: -240 °C is below the end of the line of copper: write a temperature of the shop, such as 20 °C"},
		{func() error { _, err := trade.TemperatureRise(q("5 Δ°C"), q("20 °C")); return err },
			"winding temperature: 5 Δ°C measures temperature difference, not temperature: write it like 20 °C"},
		{func() error { _, err := trade.TemperatureRise(q("-300 °C"), q("20 °C")); return err },
			"winding temperature: -300 °C is not above absolute zero: write a temperature, such as 20 °C"},
		{func() error { _, err := trade.MinimumInsulation(trade.WindingKind(9), q("12 V")); return err },
			"winding: 9 is no winding of the table: write OlderWinding, FormWound or RandomWound"},
		{func() error { _, err := trade.MinimumPolarization(120); return err },
			"thermal class: 120 is not in the table: write 105 for A, 130 for B, 155 for F, 180 for H"},
		{func() error { _, err := trade.WithstandVoltage(q("12 V"), q("1 kW")); return err },
			"rated power: 1 kW is beyond this row of the table: take the row of IEC 60034-1 for 1 kW and more"},
		{func() error { _, err := trade.OverhauledWithstand(q("100 V")); return err },
			"rated voltage: 100 V is beyond this row of the table: take the row of IEC 60034-1 for 100 V and more"},
		{func() error { _, err := trade.NewArmature(2, 1, q("10 mΩ")); return err }, "coils: 2 is too few: write 3 or more"},
		{func() error { _, err := trade.NewArmature(27, 27, q("10 mΩ")); return err },
			"pitch: 27 does not lead to another bar of 27: write 1 for a lap winding, or what WavePitch returns"},
		{func() error { _, err := trade.NewArmature(28, 14, q("10 mΩ")); return err },
			"pitch: 14 joins 2 coils of 28 to a ring of their own: write 1 for a lap winding, or what WavePitch returns"},
		{func() error { _, err := trade.WavePitch(28, 4); return err },
			"bars: 28 bars and 4 poles make no wave winding: count the bars again, or take a lap winding, of pitch 1"},
		{func() error { _, err := trade.WavePitch(27, 3); return err }, "poles: 3 is odd: count north and south poles: write an even number, such as 12"},
		{func() error { _, err := winding.OpenCoil(27); return err }, "bar: there is no bar 27: write a number from 0 to below 27"},
		{func() error { _, err := winding.ShortCoil(-1); return err }, "bar: there is no bar -1: write a number from 0 to below 27"},
		{func() error { _, err := winding.BarDrops(4, 4, q("2 V")); return err },
			"bars of the supply: 4 and 4 are not two bars of 27: write two numbers from 0 to 26"},
		{func() error { _, err := opened.BarDrops(0, 14, q("2 V")); return err },
			"coils: two open coils on one side leave bars without potential: feed it at other bars, or use BarToBar"},
		{func() error { _, err := shorted.BarDrops(0, 1, q("2 V")); return err },
			"coils: a side without resistance shorts the supply: feed it at other bars, or use BarToBar"},
		{func() error { _, err := (trade.CrankDrive{Ring: 135, Pinion: 9}).Ratio(); return err },
			"ratio inside the motor: 0 is not above zero: write 1 for a direct drive, 4 for a reduction of 4 to 1"},
		{func() error { _, err := (trade.CrankDrive{Ring: 135}).PinionSpeed(q("200 rpm")); return err }, "teeth of the pinion: 0 is too few: write 1 or more"},
		{func() error { _, err := trade.Efficiency(q("2 W"), q("1 W")); return err },
			"output: 2 W is above the input of 1 W: measure both at the same time, and see which is which"},
		{func() error {
			_, err := trade.AlternatorInput(q("13 V"), q("90 A"), q("0 %"), q("6000 rpm"))
			return err
		},
			"efficiency: 0 % is not above zero: write a share, such as 58 %"},
		{func() error {
			_, err := trade.CrankingPower(q("1 V"), q("1 A"), q("9.5 N·m"), q("1150 rpm"))
			return err
		},
			"torque and speed: the output of 1144 W is above the input of 1 W: see that torque and speed are of one shaft, pinion or armature"},
		{func() error { _, err := trade.StallTorque(q("1 N"), q("2 N"), q("1 ft")); return err },
			"tare of the arm: 2 N is above the force of 1 N: read the tare with the motor switched off"},
		{func() error { _, err := trade.LockedResistance(q("1 V"), q("1 V"), q("680 A")); return err },
			"brush drop: 1 V leaves nothing of 1 V: write the drop of the brushes in series, such as 1 V"},
		{func() error { _, err := trade.InternalResistance(q("12 V"), q("12.1 V"), q("300 A")); return err },
			"voltage under load: 12.1 V is above the 12 V at rest: measure the voltage at rest before the load is on"},
		{func() error { _, err := (trade.Supply{q("12 V"), q("10 mΩ")}).Voltage(q("1300 A")); return err },
			"current: 1300 A is more than 12 V gives into a short circuit through 10 mΩ: measure current and resistance again"},
		{func() error {
			_, err := (trade.Supply{q("12 V"), q("10 mΩ")}).Meet(trade.MotorLine{q("13 V"), q("4 mΩ")})
			return err
		}, "standing voltage of the motor: 13 V is above the supply of 12 V: take it at a lower speed: here the motor would charge the battery"},
		{func() error {
			_, err := (trade.Supply{q("12 V"), q("0 Ω")}).Meet(trade.MotorLine{q("1 V"), q("0 Ω")})
			return err
		}, "resistance of the motor: without any resistance there is no limit to the current: write its locked resistance, such as 4 mΩ"},
		{func() error { _, err := trade.OpenCircuitVoltage(6, q("1265")); return err },
			"specific gravity: 1265 is no gravity of acid: write 1.265, or 1265 points"},
		{func() error { _, err := trade.StateOfCharge(0, q("12 V")); return err }, "cells: 0 is too few: write 1 or more"},
		{func() error { _, err := trade.GravityTable().Linear(q("1.280")); return err },
			"state of charge by gravity: 1.280 is beyond the rows: write a value from 1.120 to 1.265, nothing is known of others"},
		{func() error { _, err := trade.Table{}.Step(q("1")); return err }, "table: it has no rows: write at least one"},
		{func() error {
			_, err := trade.Table{Title: "mine", Rows: []trade.Row{{q("2 V"), q("1 A")}, {q("1 V"), q("2 A")}}}.Linear(q("1 V"))
			return err
		}, "mine: the row at 1 V follows the one at 2 V: sort the rows by rising values"},
		{func() error { _, err := trade.CopperResistance(q("6 AWG"), q("1 m"), q("-250 °C")); return err },
			"temperature of the wire: -250 °C is below the end of the line of copper: write it like 20 °C"},
		{func() error {
			_, err := trade.FitOf(trade.Sizes{q("2 mm"), q("1 mm")}, trade.Sizes{q("1 mm"), q("1 mm")})
			return err
		}, "largest bore: 1 mm is below the smallest, 2 mm: write the smaller size first"},
		{func() error { _, err := trade.Unbalance(trade.OfMean, q("3 V")); return err }, "number of readings: 1 is too few: write 2 or more"},
		{func() error { _, err := trade.Unbalance(trade.OfMean, q("30 °C"), q("31 °C")); return err },
			"reading 1: 30 °C is a temperature, of which nothing is a percentage: compare the rises above one temperature, in K"},
		{func() error { _, err := trade.Unbalance(trade.UnbalanceRule(9), q("30 V"), q("31 V")); return err },
			"rule: UnbalanceRule(9) is no rule: write OfMean, SpanOfMean, SpanOfLeast or OfMedian"},
		{func() error { _, err := trade.OddOnes(q("5 %"), math.NaN(), qs("1 V", "1 V", "1 V")...); return err },
			"number of spreads: NaN is below zero or no number: write one such as 3.5"},
		{func() error { _, err := trade.ElectricalPower(q("1e200 V"), q("1e200 A")); return err },
			"result: more than a number holds: check the sizes of the arguments"},
	} {
		require.EqualError(t, test.err(), test.want)
	}
}
