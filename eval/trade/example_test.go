package trade_test

import (
	"errors"
	"fmt"

	"github.com/brushgear/brushgear/eval/trade"
	"github.com/brushgear/brushgear/units"
)

// A motor on the bench: what it turns, takes and gives.
func Example() {
	torque, err := trade.StallTorque(units.Must("20 lbf"), units.Must("1.5 lbf"), units.Must("12 in"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("held: %.1f\n", torque)
	power, err := trade.CrankingPower(units.Must("8.4 V"), units.Must("300 A"), units.Must("9.5 N·m"), units.Must("1150 rpm"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("under load: %.0f of %.0f, %.1f\n", power.Output, power.Input, power.Efficiency)
	// Output:
	// held: 25.1 N·m
	// under load: 1144 W of 2520 W, 45.4 %
}

func ExampleArgumentError() {
	_, err := trade.StallTorque(units.Must("18.5 lb"), units.Must("0 N"), units.Must("1 ft"))
	fmt.Println(err)
	var e *trade.ArgumentError
	fmt.Println(errors.As(err, &e), errors.Is(err, units.ErrDimension))
	// Output:
	// force at the arm: 18.5 lb measures mass, not force: write it like 10 N
	// true true
}

func ExampleConnection() {
	fmt.Println(trade.Wye, trade.Delta)
	// Output: wye delta
}

func ExamplePath() {
	fmt.Println(trade.Path{Resistance: units.Must("0.12 Ω")}, trade.Path{Open: true})
	// Output: 0.12 Ω OL
}

func ExamplePairResistance() {
	pair, err := trade.PairResistance(trade.Wye, units.Must("0.06 Ω"))
	fmt.Println(pair, err)
	// Output: 0.12 Ω <nil>
}

func ExamplePhaseResistance() {
	for _, c := range []trade.Connection{trade.Wye, trade.Delta} {
		phase, err := trade.PhaseResistance(c, units.Must("0.12 Ω"))
		fmt.Println(c, phase, err)
	}
	// Output:
	// wye 0.06 Ω <nil>
	// delta 0.18 Ω <nil>
}

func ExampleLineVoltage() {
	line, err := trade.LineVoltage(trade.Wye, units.Must("6.3 V"))
	fmt.Println(line.Round(1), err)
	// Output: 10.9 V <nil>
}

func ExamplePhaseVoltage() {
	phase, err := trade.PhaseVoltage(trade.Wye, units.Must("10.9 V"))
	fmt.Println(phase.Round(1), err)
	// Output: 6.3 V <nil>
}

func ExampleLineCurrent() {
	line, err := trade.LineCurrent(trade.Delta, units.Must("42 A"))
	fmt.Println(line.Round(1), err)
	// Output: 72.7 A <nil>
}

func ExamplePhaseCurrent() {
	phase, err := trade.PhaseCurrent(trade.Delta, units.Must("72.7 A"))
	fmt.Println(phase.Round(1), err)
	// Output: 42.0 A <nil>
}

func ExampleDeltaToWye() {
	a, b, c, err := trade.DeltaToWye(units.Must("25 Ω"), units.Must("15 Ω"), units.Must("10 Ω"))
	fmt.Println(a, b, c, err)
	// Output: 5 Ω 7.5 Ω 3 Ω <nil>
}

func ExampleWyeToDelta() {
	ab, bc, ca, err := trade.WyeToDelta(units.Must("5 Ω"), units.Must("7.5 Ω"), units.Must("3 Ω"))
	fmt.Println(ab, bc, ca, err)
	// Output: 25 Ω 15 Ω 10 Ω <nil>
}

// One open leg: a wye shows it plainly, a delta hides it from a lamp.
func ExampleStator_OpenLeg() {
	for c, phase := range map[trade.Connection]string{trade.Wye: "0.06 Ω", trade.Delta: "0.18 Ω"} {
		stator, err := trade.NewStator(c, units.Must(phase))
		if err != nil {
			fmt.Println(err)
			return
		}
		stator, err = stator.OpenLeg(0)
		if err != nil {
			fmt.Println(err)
			return
		}
		pairs, err := stator.Pairs()
		fmt.Println(c, pairs, err)
	}
	// Unordered output:
	// wye [OL 0.12 Ω OL] <nil>
	// delta [0.36 Ω 0.18 Ω 0.18 Ω] <nil>
}

func ExampleStator_LoseTurns() {
	stator, err := trade.NewStator(trade.Wye, units.Must("60 mΩ"))
	if err != nil {
		fmt.Println(err)
		return
	}
	stator, err = stator.LoseTurns(0, units.Must("20 %"))
	if err != nil {
		fmt.Println(err)
		return
	}
	pairs, err := stator.Pairs()
	fmt.Println(pairs, err)
	// Output: [108 mΩ 120 mΩ 108 mΩ] <nil>
}

func ExampleNewStator() {
	stator, err := trade.NewStator(trade.Delta, units.Must("0.18 Ω"))
	fmt.Println(stator.Connection, stator.Legs, err)
	// Output: delta [0.18 Ω 0.18 Ω 0.18 Ω] <nil>
}

func ExampleStator_Pairs() {
	leg := func(text string) trade.Path { return trade.Path{Resistance: units.Must(text)} }
	stator := trade.Stator{Connection: trade.Wye, Legs: [3]trade.Path{leg("60 mΩ"), leg("61 mΩ"), leg("59 mΩ")}}
	pairs, err := stator.Pairs()
	fmt.Println(pairs, err)
	// Output: [121 mΩ 120 mΩ 119 mΩ] <nil>
}

func ExampleStatorOf() {
	stator, err := trade.StatorOf(trade.Wye, units.Must("108 mΩ"), units.Must("120 mΩ"), units.Must("108 mΩ"))
	fmt.Println(stator.Legs, err)
	// Output: [48 mΩ 60 mΩ 60 mΩ] <nil>
}

func ExampleRectify() {
	healthy, err := trade.Rectify(units.Must("10.9 V"))
	fmt.Printf("%.1f, ripple %.1f, lowest order %d, %v\n", healthy.Mean, healthy.Ripple, healthy.LowestOrder(), err)
	faulty, err := trade.Rectify(units.Must("10.9 V"), trade.Diode{Plate: trade.PlusPlate, Phase: 1})
	fmt.Printf("%.1f, ripple %.1f, lowest order %d, %v\n", faulty.Mean, faulty.Ripple, faulty.LowestOrder(), err)
	// Output:
	// 14.7 V, ripple 4.2 %, lowest order 6, <nil>
	// 12.3 V, ripple 34.1 %, lowest order 1, <nil>
}

func ExampleRectified_Harmonic() {
	r, err := trade.Rectify(units.Must("10.9 V"))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, order := range []int{5, 6, 12} {
		amplitude, err := r.Harmonic(order)
		fmt.Printf("%d %.2f %v\n", order, amplitude, err)
	}
	// Output:
	// 5 0.00 V <nil>
	// 6 0.84 V <nil>
	// 12 0.21 V <nil>
}

func ExampleRectified_LowestOrder() {
	r, err := trade.Rectify(units.Must("10.9 V"),
		trade.Diode{Plate: trade.PlusPlate, Phase: 2}, trade.Diode{Plate: trade.MinusPlate, Phase: 2})
	fmt.Println(r.LowestOrder(), err)
	// Output: 2 <nil>
}

func ExampleBridgeVoltage() {
	v, err := trade.BridgeVoltage(units.Must("10.9 V"), units.Must("0.8 V"))
	fmt.Println(v.Round(1), err)
	// Output: 13.1 V <nil>
}

func ExampleFaultsOfOrder() {
	for _, fault := range trade.FaultsOfOrder(1) {
		fmt.Println(fault)
	}
	// Output:
	// one diode open
	// one diode shorted
	// two diodes of one plate open
}

func ExampleOutputFault() {
	f := trade.DeltaLegOpen
	fmt.Println(f, f.LowestOrder(), f.OutputRank())
	// Output: delta leg open 2 3
}

func ExampleNeutralVoltage() {
	v, err := trade.NeutralVoltage(units.Must("14.2 V"))
	fmt.Println(v, err)
	// Output: 7.1 V <nil>
}

func ExampleNeutralDeparture() {
	d, err := trade.NeutralDeparture(units.Must("8.1 V"), units.Must("14.2 V"))
	fmt.Println(d.Round(0), err)
	// Output: 7 % <nil>
}

func ExampleCoilCurrent() {
	i, err := trade.CoilCurrent(units.Must("12 V"), units.Must("0.4 Ω"))
	fmt.Println(i, err)
	// Output: 30 A <nil>
}

func ExampleFieldCurrent() {
	i, err := trade.FieldCurrent(units.Must("42 %"), units.Must("14.2 V"), units.Must("2.7 Ω"))
	fmt.Println(i.Round(1), err)
	// Output: 2.2 A <nil>
}

func ExampleFieldDuty() {
	duty, err := trade.FieldDuty(units.Must("2.2 A"), units.Must("14.2 V"), units.Must("2.7 Ω"))
	fmt.Println(duty.Round(0), err)
	// Output: 42 % <nil>
}

func ExampleLostTurns() {
	lost, err := trade.LostTurns(units.Must("2.05 Ω"), units.Must("2.60 Ω"))
	fmt.Printf("%.0f of the turns lost, %.2f times the current, %v\n", lost.Share, lost.CurrentRatio, err)
	// Output: 21 % of the turns lost, 1.27 times the current, <nil>
}

func ExampleParallelResistance() {
	r, err := trade.ParallelResistance(units.Must("0.4 Ω"), units.Must("1.2 Ω"))
	fmt.Println(r, err)
	// Output: 0.3 Ω <nil>
}

func ExampleSumDeparture() {
	d, err := trade.SumDeparture(units.Must("37 A"), units.Must("30 A"), units.Must("10 A"))
	fmt.Println(d, err)
	// Output: -7.5 % <nil>
}

func ExampleStoredEnergy() {
	e, err := trade.StoredEnergy(units.Must("0.5 µF"), units.Must("500 V"))
	fmt.Println(e, err)
	// Output: 0.0625 J <nil>
}

func ExampleTimeConstant() {
	t, err := trade.TimeConstant(units.Must("1 MΩ"), units.Must("0.5 µF"))
	fmt.Println(t, err)
	// Output: 0.5 s <nil>
}

func ExampleWindingTemperature() {
	t, err := trade.WindingTemperature(trade.Copper, units.Must("2.60 Ω"), units.Must("22 °C"), units.Must("3.35 Ω"))
	fmt.Println(t.Round(1), err)
	// Output: 96.0 °C <nil>
}

func ExampleTemperatureRise() {
	rise, err := trade.TemperatureRise(units.Must("96 °C"), units.Must("77 °F"))
	fmt.Println(rise, err)
	// Output: 71 K <nil>
}

func ExampleConductor() {
	fmt.Println(trade.Copper, trade.Aluminium)
	// Output: copper aluminium
}

func ExampleMinimumInsulation() {
	r, err := trade.MinimumInsulation(trade.RandomWound, units.Must("24 V"))
	fmt.Println(r, err)
	// Output: 5 MΩ <nil>
}

func ExamplePolarization() {
	p, err := trade.Polarization(units.Must("400 MΩ"), units.Must("1 GΩ"))
	fmt.Println(p.Index, p.Applies, err)
	// Output: 2.5 true <nil>
}

func ExampleMinimumPolarization() {
	index, err := trade.MinimumPolarization(155)
	fmt.Println(index, err)
	// Output: 2 <nil>
}

func ExampleWithstandVoltage() {
	v, err := trade.WithstandVoltage(units.Must("24 V"), units.Must("800 W"))
	fmt.Println(v, err)
	// Output: 548 V <nil>
}

func ExampleOverhauledWithstand() {
	v, err := trade.OverhauledWithstand(units.Must("24 V"))
	fmt.Println(v, err)
	// Output: 500 V <nil>
}

func ExampleUnbalance() {
	readings := []units.Quantity{units.Must("92 mΩ"), units.Must("94 mΩ"), units.Must("83 mΩ")}
	for rule := trade.OfMean; rule <= trade.OfMedian; rule++ {
		u, err := trade.Unbalance(rule, readings...)
		fmt.Println(rule, u.Round(1), err)
	}
	// Output:
	// of the mean 7.4 % <nil>
	// span of the mean 12.3 % <nil>
	// span of the least 13.3 % <nil>
	// of the median 9.8 % <nil>
}

func ExampleTypicalOf() {
	var bars []units.Quantity
	for _, text := range []string{"9.6 mV", "9.7 mV", "14.2 mV", "9.6 mV", "9.5 mV"} {
		bars = append(bars, units.Must(text))
	}
	typical, err := trade.TypicalOf(bars...)
	fmt.Println(typical.Median, typical.Spread.Round(2), err)
	// Output: 9.6 mV 0.15 mV <nil>
}

func ExampleOddOnes() {
	var bars []units.Quantity
	for _, text := range []string{"9.6 mV", "9.7 mV", "14.2 mV", "9.6 mV", "9.5 mV"} {
		bars = append(bars, units.Must(text))
	}
	odd, err := trade.OddOnes(units.Must("5 %"), 3.5, bars...)
	for _, o := range odd {
		fmt.Printf("bar %d: %v, %.0f off, %v\n", o.Place, o.Reading, o.Deviation, err)
	}
	// Output: bar 2: 14.2 mV, 48 % off, <nil>
}
