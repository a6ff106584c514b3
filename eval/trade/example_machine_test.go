package trade_test

import (
	"fmt"

	"github.com/brushgear/brushgear/eval/trade"
	"github.com/brushgear/brushgear/units"
)

// A wave winding shows one open coil at two places half a commutator apart.
func ExampleArmature_BarToBar() {
	pitch, err := trade.WavePitch(27, 4)
	if err != nil {
		fmt.Println(err)
		return
	}
	winding, err := trade.NewArmature(27, pitch, units.Must("10 mΩ"))
	if err != nil {
		fmt.Println(err)
		return
	}
	winding, err = winding.OpenCoil(20)
	if err != nil {
		fmt.Println(err)
		return
	}
	readings, err := winding.BarToBar()
	for bar, r := range readings {
		if r.Resistance.Round(0) != readings[0].Resistance.Round(0) {
			fmt.Println(bar, r.Resistance.Round(0), "against", readings[0].Resistance.Round(0), err)
		}
	}
	// Output:
	// 6 250 mΩ against 20 mΩ <nil>
	// 19 250 mΩ against 20 mΩ <nil>
}

func ExampleArmature_BarDrops() {
	winding, err := trade.NewArmature(6, 1, units.Must("10 mΩ"))
	if err != nil {
		fmt.Println(err)
		return
	}
	winding, err = winding.OpenCoil(4)
	if err != nil {
		fmt.Println(err)
		return
	}
	drops, err := winding.BarDrops(0, 3, units.Must("300 mV"))
	fmt.Println(drops, err)
	// Output: [100 mV 100 mV 100 mV 0 mV 300 mV 0 mV] <nil>
}

func ExampleArmature_OpenCoil() {
	winding, err := trade.NewArmature(3, 1, units.Must("10 mΩ"))
	if err != nil {
		fmt.Println(err)
		return
	}
	winding, err = winding.OpenCoil(1)
	fmt.Println(winding.Coils, err)
	// Output: [10 mΩ OL 10 mΩ] <nil>
}

func ExampleArmature_ShortCoil() {
	winding, err := trade.NewArmature(3, 1, units.Must("10 mΩ"))
	if err != nil {
		fmt.Println(err)
		return
	}
	winding, err = winding.ShortCoil(1)
	fmt.Println(winding.Coils, err)
	// Output: [10 mΩ 0 mΩ 10 mΩ] <nil>
}

func ExampleNewArmature() {
	winding, err := trade.NewArmature(27, 1, units.Must("10 mΩ"))
	if err != nil {
		fmt.Println(err)
		return
	}
	readings, err := winding.BarToBar()
	fmt.Println(len(readings), readings[0].Resistance.Round(2), err)
	// Output: 27 9.63 mΩ <nil>
}

func ExampleWavePitch() {
	pitch, err := trade.WavePitch(27, 4)
	fmt.Println(pitch, err)
	_, err = trade.WavePitch(28, 4)
	fmt.Println(err)
	// Output:
	// 13 <nil>
	// bars: 28 bars and 4 poles make no wave winding: count the bars again, or take a lap winding, of pitch 1
}

func ExampleFrequency() {
	f, err := trade.Frequency(12, units.Must("6000 rpm"))
	fmt.Println(f, err)
	// Output: 600 Hz <nil>
}

// The label may belong to another unit: with 16 poles instead of 12 the same frequency is another speed.
func ExampleSpeedOf() {
	for _, poles := range []int{12, 16} {
		n, err := trade.SpeedOf(poles, units.Must("412.5 Hz"))
		fmt.Println(poles, n.Round(0), err)
	}
	// Output:
	// 12 4125 rpm <nil>
	// 16 3094 rpm <nil>
}

func ExamplePoles() {
	n, err := trade.Poles(units.Must("412.5 Hz"), units.Must("4125 rpm"))
	fmt.Println(n, err)
	// Output: 12 <nil>
}

func ExampleRippleFrequency() {
	f, err := trade.RippleFrequency(units.Must("600 Hz"))
	fmt.Println(f, err)
	// Output: 3600 Hz <nil>
}

func ExamplePulleys() {
	pulleys := trade.Pulleys{Engine: units.Must("180 mm"), Unit: units.Must("60 mm")}
	ratio, err := pulleys.Ratio()
	fmt.Println(ratio, err)
	n, err := pulleys.UnitSpeed(units.Must("700 rpm"), units.Must("3 %"))
	fmt.Println(n, err)
	slip, err := pulleys.Slip(units.Must("700 rpm"), units.Must("2037 rpm"))
	fmt.Println(slip, err)
	// Output:
	// 3 <nil>
	// 2037 rpm <nil>
	// 3 % <nil>
}

func ExampleCrankDrive() {
	drive := trade.CrankDrive{Ring: 135, Pinion: 9, Internal: units.Must("4")}
	ratio, err := drive.Ratio()
	fmt.Println(ratio, err)
	pinion, err := drive.PinionSpeed(units.Must("200 rpm"))
	fmt.Println(pinion, err)
	armature, err := drive.ArmatureSpeed(units.Must("200 rpm"))
	fmt.Println(armature, err)
	torque, err := drive.EngineTorque(units.Must("2 N·m"), units.Must("90 %"))
	fmt.Println(torque, err)
	// Output:
	// 60 <nil>
	// 3000 rpm <nil>
	// 12000 rpm <nil>
	// 108 N·m <nil>
}

func ExampleElectricalPower() {
	p, err := trade.ElectricalPower(units.Must("13.5 V"), units.Must("90 A"))
	fmt.Println(p, err)
	// Output: 1215 W <nil>
}

func ExampleShaftPower() {
	p, err := trade.ShaftPower(units.Must("9.5 N·m"), units.Must("1150 rpm"))
	fmt.Println(p.Round(0), err)
	// Output: 1144 W <nil>
}

func ExampleShaftTorque() {
	torque, err := trade.ShaftTorque(units.Must("10 hp"), units.Must("1750 rpm"))
	if err != nil {
		fmt.Println(err)
		return
	}
	pounds, err := torque.In(units.MustUnit("lbf·ft"))
	fmt.Println(torque.Round(2), pounds.Round(3), err)
	// Output: 40.69 N·m 30.012 lbf·ft <nil>
}

func ExampleShaftSpeed() {
	n, err := trade.ShaftSpeed(units.Must("1144 W"), units.Must("9.5 N·m"))
	fmt.Println(n.Round(0), err)
	// Output: 1150 rpm <nil>
}

func ExampleEfficiency() {
	e, err := trade.Efficiency(units.Must("1144 W"), units.Must("2520 W"))
	fmt.Println(e.Round(1), err)
	// Output: 45.4 % <nil>
}

func ExampleAlternatorInput() {
	drive, err := trade.AlternatorInput(units.Must("13.5 V"), units.Must("90 A"), units.Must("58 %"), units.Must("6000 rpm"))
	fmt.Printf("%.0f from %.0f, %.2f, %v\n", drive.Output, drive.Input, drive.Torque, err)
	// Output: 1215 W from 2095 W, 3.33 N·m, <nil>
}

func ExampleEfficiencyPoints() {
	for _, p := range trade.EfficiencyPoints() {
		fmt.Println(p.Speed, p.Weight)
	}
	// Output:
	// 1800 rpm 25 %
	// 3000 rpm 40 %
	// 6000 rpm 25 %
	// 10000 rpm 10 %
}

func ExampleWeightedEfficiency() {
	measured := [4]units.Quantity{units.Must("69 %"), units.Must("68 %"), units.Must("63 %"), units.Must("55 %")}
	e, err := trade.WeightedEfficiency(measured)
	fmt.Println(e, err)
	// Output: 65.7 % <nil>
}

func ExampleRegulation() {
	v, err := trade.Regulation(units.Must("14.35 V"), units.Must("14.02 V"))
	fmt.Println(v.Round(2), err)
	// Output: 0.33 V <nil>
}

func ExampleStallTorque() {
	torque, err := trade.StallTorque(units.Must("18.5 lbf"), units.Must("0 lbf"), units.Must("1 ft"))
	fmt.Println(torque.Round(1), err)
	// Output: 25.1 N·m <nil>
}

// The brushes matter: left out, they count as windings.
func ExampleLockedResistance() {
	for _, drop := range []string{"1.0 V", "0 V"} {
		r, err := trade.LockedResistance(units.Must("3.5 V"), units.Must(drop), units.Must("680 A"))
		fmt.Println(r.Round(4), err)
	}
	// Output:
	// 0.0037 Ω <nil>
	// 0.0051 Ω <nil>
}

func ExampleCrankingPower() {
	p, err := trade.CrankingPower(units.Must("8.4 V"), units.Must("300 A"), units.Must("9.5 N·m"), units.Must("1150 rpm"))
	fmt.Printf("%.0f, %.0f, %.1f, %v\n", p.Input, p.Output, p.Efficiency, err)
	// Output: 2520 W, 1144 W, 45.4 %, <nil>
}

func ExampleInternalResistance() {
	r, err := trade.InternalResistance(units.Must("12.6 V"), units.Must("10.2 V"), units.Must("300 A"))
	fmt.Println(r.Round(3), err)
	// Output: 0.008 Ω <nil>
}

// A battery and its cables against a motor that is held.
func ExampleSupply() {
	battery := trade.Supply{OpenCircuit: units.Must("12.4 V"), Resistance: units.Must("8 mΩ")}
	supply, err := battery.Behind(units.Must("4 mΩ"))
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := supply.Voltage(units.Must("300 A"))
	fmt.Println(v, err)
	point, err := supply.Meet(trade.MotorLine{Standing: units.Must("1 V"), Resistance: units.Must("3.7 mΩ")})
	fmt.Println(point.Current.Round(0), point.Voltage.Round(2), err)
	// Output:
	// 8.8 V <nil>
	// 726 A 3.69 V <nil>
}

func ExampleLoadTestCurrent() {
	i, err := trade.LoadTestCurrent(units.Must("650 A"))
	fmt.Println(i, err)
	// Output: 325 A <nil>
}

func ExampleLoadTestCurrentByCapacity() {
	i, err := trade.LoadTestCurrentByCapacity(units.Must("60 Ah"))
	fmt.Println(i, err)
	// Output: 180 A <nil>
}

func ExampleDrainTime() {
	t, err := trade.DrainTime(units.Must("60 Ah"), units.Must("50 %"), units.Must("85 mA"))
	if err != nil {
		fmt.Println(err)
		return
	}
	days, err := t.In(units.MustUnit("d"))
	fmt.Println(t.Round(0), days.Round(1), err)
	// Output: 353 h 14.7 d <nil>
}

func ExampleOpenCircuitVoltage() {
	v, err := trade.OpenCircuitVoltage(6, units.Must("1265 points"))
	fmt.Println(v.Round(2), err)
	// Output: 12.63 V <nil>
}

func ExampleStateOfCharge() {
	charge, err := trade.StateOfCharge(6, units.Must("12.3 V"))
	fmt.Println(charge.Round(1), err)
	// Output: 62.5 % <nil>
}

// Between two rows the straight line and the step differ, so whoever reads a table must say which.
func ExampleTable() {
	table := trade.CrankingTable()
	linear, err := table.Linear(units.Must("16 °F"))
	fmt.Println(linear.Round(1), err)
	step, err := table.Step(units.Must("16 °F"))
	fmt.Println(step, err)
	_, err = table.Step(units.Must("100 °F"))
	fmt.Println(err)
	// Output:
	// 52.5 % <nil>
	// 40 % <nil>
	// cranking power by temperature: 100 °F is beyond the rows: write a value from -20 °F to 80 °F, nothing is known of others
}

func ExampleVoltageTable() {
	for _, row := range trade.VoltageTable().Rows {
		fmt.Println(row.At, row.Value)
	}
	// Output:
	// 11.7 V 0 %
	// 12.0 V 25 %
	// 12.2 V 50 %
	// 12.4 V 75 %
	// 12.6 V 100 %
}

func ExampleGravityTable() {
	charge, err := trade.GravityTable().Linear(units.Must("1.225"))
	fmt.Println(charge, err)
	// Output: 75 % <nil>
}

func ExampleFreezingTable() {
	t, err := trade.FreezingTable().Step(units.Must("1.200"))
	fmt.Println(t, err)
	// Output: -15 °F <nil>
}

func ExampleCrankingTable() {
	share, err := trade.CrankingTable().Linear(units.Must("0 °F"))
	fmt.Println(share, err)
	// Output: 40 % <nil>
}

func ExampleCopperResistance() {
	r, err := trade.CopperResistance(units.Must("10 AWG"), units.Must("1000 ft"), units.Must("20 °C"))
	fmt.Println(r.Round(4), err)
	// Output: 0.9989 Ω <nil>
}

func ExampleCable() {
	cable := trade.Cable{Section: units.Must("2/0 AWG"), Loop: units.Must("10 ft"), Temperature: units.Must("60 °C")}
	drop, err := cable.Drop(units.Must("300 A"), units.Must("0.05 V"))
	fmt.Println(drop.Round(3), err)
	// Output: 0.321 V <nil>
}

func ExampleLeastSection() {
	section, err := trade.LeastSection(units.Must("0.3 V"), units.Must("90 A"), units.Must("8 ft"), units.Must("20 °C"))
	if err != nil {
		fmt.Println(err)
		return
	}
	gauge, err := section.In(units.MustUnit("AWG"))
	fmt.Printf("%.1f, %.1f, so take 6 AWG, %v\n", section, gauge, err)
	// Output: 12.6 mm², 6.2 AWG, so take 6 AWG, <nil>
}

func ExampleWireDiameter() {
	d, err := trade.WireDiameter(units.Must("10 AWG"))
	fmt.Println(d.Round(3), err)
	// Output: 2.588 mm <nil>
}

func ExampleFitOf() {
	bearing := trade.Sizes{Smallest: units.Must("0.6260 in"), Largest: units.Must("0.6270 in")}
	shaft := trade.Sizes{Smallest: units.Must("0.6230 in"), Largest: units.Must("0.6250 in")}
	fit, err := trade.FitOf(bearing, shaft)
	fmt.Println(fit, err)
	bore := trade.Sizes{Smallest: units.Must("0.9990 in"), Largest: units.Must("1.0000 in")}
	sleeve := trade.Sizes{Smallest: units.Must("1.0030 in"), Largest: units.Must("1.0040 in")}
	fit, err = trade.FitOf(bore, sleeve)
	fmt.Println(fit, err)
	// Output:
	// 0.001 in L to 0.004 in L <nil>
	// 0.003 in T to 0.005 in T <nil>
}

func ExampleRunout() {
	tir, err := trade.Runout(units.Must("0.02 mm"))
	fmt.Println(tir, err)
	// Output: 0.04 mm <nil>
}

func ExampleEccentricity() {
	e, err := trade.Eccentricity(units.Must("0.04 mm"))
	fmt.Println(e, err)
	// Output: 0.02 mm <nil>
}

func ExampleSurfaceSpeed() {
	v, err := trade.SurfaceSpeed(units.Must("33 mm"), units.Must("9000 rpm"))
	fmt.Println(v.Round(1), err)
	// Output: 15.6 m/s <nil>
}

func ExampleBrushPressure() {
	p, err := trade.BrushPressure(units.Must("36 ozf"), units.Must("8 mm"), units.Must("16 mm"))
	fmt.Println(p.Round(0), err)
	// Output: 78 kPa <nil>
}
