package trade_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval/trade"
	"github.com/brushgear/brushgear/units"
)

// These tests hold the functions against worked examples of the trade. The inputs are invented; where the formula has a published source it
// stands behind the words "calculated from".

func TestUnbalance(t *testing.T) {
	readings := qs("92 mΩ", "94 mΩ", "83 mΩ")
	for rule, want := range map[trade.UnbalanceRule]string{
		trade.OfMean: "7.4 %", trade.SpanOfMean: "12.3 %", trade.SpanOfLeast: "13.3 %", trade.OfMedian: "9.8 %",
	} {
		u, err := trade.Unbalance(rule, readings...)
		require.NoError(t, err)
		rounds(t, want, u, "%v: %sNEMA MG 1 for the mean, %s for the others", rule, calculated, practice)
	}
}

// 27 bars, of which one is bad: the median and the robust spread do not notice it, the mean does.
func TestOddBarAmongMany(t *testing.T) {
	var bars []units.Quantity
	for i := range 27 {
		bars = append(bars, units.New(9.6+0.02*float64(i%3), units.MustUnit("mV")))
	}
	bars[11] = q("14.2 mV")
	typical, err := trade.TypicalOf(bars...)
	require.NoError(t, err)
	rounds(t, "9.62 mV", typical.Median, calculated+practice)
	rounds(t, "0.030 mV", typical.Spread, calculated+"1.4826 times the median of the distances, 0.02 mV")
	odd, err := trade.OddOnes(q("5 %"), 3.5, bars...)
	require.NoError(t, err)
	require.Len(t, odd, 1)
	require.Equal(t, 11, odd[0].Place)
	require.True(t, odd[0].Reading.Equal(q("14.2 mV")))
	rounds(t, "47.6 %", odd[0].Deviation, calculated+practice)

	// All others agree to the last digit: then the share alone decides.
	for i := range bars {
		bars[i] = q("9.6 mV")
	}
	bars[3], bars[4] = q("9.7 mV"), q("9.0 mV")
	odd, err = trade.OddOnes(q("5 %"), 3.5, bars...)
	require.NoError(t, err)
	require.Len(t, odd, 1)
	require.Equal(t, 4, odd[0].Place)
	rounds(t, "-6.3 %", odd[0].Deviation, calculated+practice)
}

func TestWyeAndDelta(t *testing.T) {
	meets(t, []figure{
		{"wye phase", func() (units.Quantity, error) { return trade.PhaseResistance(trade.Wye, q("0.12 Ω")) }, "0.0600 Ω", calculated + "IEC 60034-2-1"},
		{"delta phase", func() (units.Quantity, error) { return trade.PhaseResistance(trade.Delta, q("0.12 Ω")) }, "0.1800 Ω", calculated + "IEC 60034-2-1"},
		{"wye volts", func() (units.Quantity, error) { return trade.LineVoltage(trade.Wye, q("1 V")) }, "1.732 V", "√3 of a three-phase system, textbook"},
		{"wye volts back", func() (units.Quantity, error) { return trade.PhaseVoltage(trade.Wye, q("1.7320508 V")) }, "1.000 V", "the inverse"},
		{"delta volts", func() (units.Quantity, error) { return trade.LineVoltage(trade.Delta, q("1 V")) }, "1.000 V", "one phase between two leads"},
		{"delta volts back", func() (units.Quantity, error) { return trade.PhaseVoltage(trade.Delta, q("1 V")) }, "1.000 V", "the inverse"},
		{"delta amperes", func() (units.Quantity, error) { return trade.LineCurrent(trade.Delta, q("1 A")) }, "1.732 A", "√3 of a three-phase system, textbook"},
		{"delta amperes back", func() (units.Quantity, error) { return trade.PhaseCurrent(trade.Delta, q("1.7320508 A")) }, "1.000 A", "the inverse"},
		{"wye amperes", func() (units.Quantity, error) { return trade.LineCurrent(trade.Wye, q("1 A")) }, "1.000 A", "lead and phase are in series"},
		{"wye amperes back", func() (units.Quantity, error) { return trade.PhaseCurrent(trade.Wye, q("1 A")) }, "1.000 A", "the inverse"},
	})
}

// A pair of the healthy stator reads 0.12 Ω in both connections.
func TestStatorPatterns(t *testing.T) {
	for _, test := range []struct {
		name       string
		connection trade.Connection
		phase      string
		change     func(trade.Stator) (trade.Stator, error)
		want       []string
	}{
		{"wye", trade.Wye, "0.06 Ω", same, []string{"120.0 mΩ", "120.0 mΩ", "120.0 mΩ"}},
		{"delta", trade.Delta, "0.18 Ω", same, []string{"120.0 mΩ", "120.0 mΩ", "120.0 mΩ"}},
		{"wye leg open", trade.Wye, "0.06 Ω", openLeg(0), []string{"OL", "120.0 mΩ", "OL"}},
		{"delta leg open: its pair three times", trade.Delta, "0.18 Ω", openLeg(0), []string{"360.0 mΩ", "180.0 mΩ", "180.0 mΩ"}},
		{"wye turns lost: 90 % on two pairs", trade.Wye, "0.06 Ω", loseTurns(0, "20 %"), []string{"108.0 mΩ", "120.0 mΩ", "108.0 mΩ"}},
		{"delta turns lost: 85.7 % on one, 96.4 % on two", trade.Delta, "0.18 Ω", loseTurns(0, "20 %"), []string{"102.9 mΩ", "115.7 mΩ", "115.7 mΩ"}},
	} {
		s, err := trade.NewStator(test.connection, q(test.phase))
		require.NoError(t, err, test.name)
		s, err = test.change(s)
		require.NoError(t, err, test.name)
		pairs, err := s.Pairs()
		require.NoError(t, err, test.name)
		require.Equal(t, test.want, texts(t, pairs[:], "mΩ", 1), "%s: %sseries and parallel resistances", test.name, calculated)
	}
}

func same(s trade.Stator) (trade.Stator, error) { return s, nil }

func openLeg(leg int) func(trade.Stator) (trade.Stator, error) {
	return func(s trade.Stator) (trade.Stator, error) { return s.OpenLeg(leg) }
}

func loseTurns(leg int, share string) func(trade.Stator) (trade.Stator, error) {
	return func(s trade.Stator) (trade.Stator, error) { return s.LoseTurns(leg, q(share)) }
}

// With 20 % of one phase gone, a limit of "alike within 5 %" sees it in both connections, one of 15 % in neither.
func TestLostTurnsAgainstLimits(t *testing.T) {
	for _, c := range []trade.Connection{trade.Wye, trade.Delta} {
		s, err := trade.NewStator(c, q("0.1 Ω"))
		require.NoError(t, err)
		s, err = s.LoseTurns(1, q("20 %"))
		require.NoError(t, err)
		pairs, err := s.Pairs()
		require.NoError(t, err)
		u, err := trade.Unbalance(trade.OfMean, pairs[0].Resistance, pairs[1].Resistance, pairs[2].Resistance)
		require.NoError(t, err)
		require.Greater(t, u.SI(), 0.05, "%v", c)
		require.Less(t, u.SI(), 0.15, "%v", c)
	}
}

func TestSpeeds(t *testing.T) {
	pulleys := trade.Pulleys{Engine: q("180 mm"), Unit: q("60 mm")}
	meets(t, []figure{
		{"12 poles", func() (units.Quantity, error) { return trade.SpeedOf(12, q("412.5 Hz")) }, "4125.0 rpm", calculated + "NEMA MG 1"},
		{"16 poles", func() (units.Quantity, error) { return trade.SpeedOf(16, q("412.5 Hz")) }, "3094 rpm", calculated + "NEMA MG 1"},
		{"poles", func() (units.Quantity, error) { return trade.Poles(q("412.5 Hz"), q("4125 rpm")) }, "12.00", calculated + "NEMA MG 1"},
		{"ratio", pulleys.Ratio, "3.000", calculated + practice},
		{"unit", func() (units.Quantity, error) { return pulleys.UnitSpeed(q("700 rpm"), q("0 %")) }, "2100.0 rpm", calculated + practice},
		{"slipping", func() (units.Quantity, error) { return pulleys.UnitSpeed(q("700 rpm"), q("3 %")) }, "2037.0 rpm", calculated + practice},
		{"slip", func() (units.Quantity, error) { return pulleys.Slip(q("700 rpm"), q("2037 rpm")) }, "3.00 %", calculated + practice},
		{"surface", func() (units.Quantity, error) { return trade.SurfaceSpeed(q("33 mm"), q("9000 rpm")) }, "15.6 m/s", calculated + "geometry"},
	})
}

func TestGears(t *testing.T) {
	reduced := trade.CrankDrive{Ring: 135, Pinion: 9, Internal: q("4")}
	direct := trade.CrankDrive{Ring: 135, Pinion: 9, Internal: q("1")}
	meets(t, []figure{
		{"direct", direct.Ratio, "15.000", calculated + practice},
		{"reduced", reduced.Ratio, "60.000", calculated + practice},
		{"pinion", func() (units.Quantity, error) { return reduced.PinionSpeed(q("200 rpm")) }, "3000.0 rpm", calculated + practice},
		{"armature", func() (units.Quantity, error) { return reduced.ArmatureSpeed(q("200 rpm")) }, "12000.0 rpm", calculated + practice},
		{"torque", func() (units.Quantity, error) { return reduced.EngineTorque(q("2 N·m"), q("90 %")) }, "108.00 N·m", calculated + practice},
	})
}

func TestBridgeWithDrops(t *testing.T) {
	r, err := trade.Rectify(q("10.9 V"))
	require.NoError(t, err)
	rounds(t, "14.7 V", r.Mean, calculated+"Power Electronics (textbook)")
	require.InDelta(t, 0.955, r.Mean.SI()/r.Peak.SI(), 5e-4, "3/π of the line peak")
	require.InDelta(t, 0.134, (r.Peak.SI()-r.Trough.SI())/r.Peak.SI(), 5e-4, "1 - cos 30°")
	meets(t, []figure{
		{"two drops", func() (units.Quantity, error) { return trade.BridgeVoltage(q("10.9 V"), q("0.8 V")) }, "13.1 V", calculated + practice},
		{"neutral", func() (units.Quantity, error) { return trade.NeutralVoltage(q("14.2 V")) }, "7.10 V", practice},
		{"neutral off", func() (units.Quantity, error) { return trade.NeutralDeparture(q("7.81 V"), q("14.2 V")) }, "5.00 %", calculated + practice},
	})
}

func TestFaultsOfOrder(t *testing.T) {
	require.Equal(t, []trade.OutputFault{trade.NoOutputFault}, trade.FaultsOfOrder(6))
	require.Equal(t, []trade.OutputFault{trade.DiodeOpen, trade.DiodeShorted, trade.TwoDiodesOpen}, trade.FaultsOfOrder(1))
	require.Equal(t, []trade.OutputFault{trade.PhaseWeak, trade.DeltaLegOpen, trade.PhaseDisconnected, trade.PhaseReversed}, trade.FaultsOfOrder(2))
	require.Empty(t, trade.FaultsOfOrder(3))
	require.Equal(t, 0, trade.OutputFault(99).LowestOrder())
	require.Equal(t, -1, trade.OutputFault(99).OutputRank())
	require.Equal(t, "OutputFault(99)", trade.OutputFault(99).String())
	require.Equal(t, 0, trade.Rectified{}.LowestOrder())
}

func TestPower(t *testing.T) {
	drive, err := trade.AlternatorInput(q("13.5 V"), q("90 A"), q("58 %"), q("6000 rpm"))
	require.NoError(t, err)
	rounds(t, "1215 W", drive.Output, calculated+"definitions")
	rounds(t, "2095 W", drive.Input, calculated+"definitions")
	rounds(t, "3.33 N·m", drive.Torque, calculated+"definitions")
	rounds(t, "2.46 lbf·ft", drive.Torque, calculated+"definitions")
	motor, err := trade.CrankingPower(q("8.4 V"), q("300 A"), q("9.5 N·m"), q("1150 rpm"))
	require.NoError(t, err)
	rounds(t, "1144 W", motor.Output, calculated+"definitions")
	rounds(t, "1.53 hp", motor.Output, calculated+"definitions")
	rounds(t, "2520 W", motor.Input, calculated+"definitions")
	rounds(t, "45.4 %", motor.Efficiency, calculated+"definitions")
	meets(t, []figure{
		{"weighted", func() (units.Quantity, error) {
			return trade.WeightedEfficiency([4]units.Quantity(qs("69 %", "68 %", "63 %", "55 %")))
		},
			"65.7 %", calculated + "Implementing Decision (EU) 2017/785"},
		{"electrical", func() (units.Quantity, error) { return trade.ElectricalPower(q("13.5 V"), q("90 A")) }, "1215.0 W", calculated + "definition"},
		{"efficiency", func() (units.Quantity, error) { return trade.Efficiency(q("1144 W"), q("2520 W")) }, "45.4 %", calculated + "definition"},
		{"regulation", func() (units.Quantity, error) { return trade.Regulation(q("14.35 V"), q("14.02 V")) }, "0.33 V", calculated + practice},
	})
	var weights float64
	for _, p := range trade.EfficiencyPoints() {
		weights += p.Weight.SI()
	}
	require.InDelta(t, 1, weights, 1e-12, "the weights of (EU) 2017/785 make a whole")
}

func TestCoils(t *testing.T) {
	lost, err := trade.LostTurns(q("2.05 Ω"), q("2.60 Ω"))
	require.NoError(t, err)
	rounds(t, "21 %", lost.Share, calculated+practice)
	rounds(t, "1.27", lost.CurrentRatio, calculated+practice)
	meets(t, []figure{
		{"duty", func() (units.Quantity, error) { return trade.FieldCurrent(q("42 %"), q("14.2 V"), q("2.7 Ω")) }, "2.2 A", calculated + practice},
		{"duty back", func() (units.Quantity, error) { return trade.FieldDuty(q("2.2089 A"), q("14.2 V"), q("2.7 Ω")) }, "42.0 %", calculated + practice},
		{"steady", func() (units.Quantity, error) { return trade.CoilCurrent(q("12 V"), q("0.4 Ω")) }, "30.0 A", calculated + "Ohm's law"},
		{"side by side", func() (units.Quantity, error) { return trade.ParallelResistance(q("0.4 Ω"), q("1.2 Ω")) }, "0.3000 Ω", calculated + "Kirchhoff's laws"},
		{"sum", func() (units.Quantity, error) { return trade.SumDeparture(q("40 A"), q("30 A"), q("10 A")) }, "0.00 %", calculated + "Kirchhoff's laws"},
		{"sum off", func() (units.Quantity, error) { return trade.SumDeparture(q("37 A"), q("30 A"), q("10 A")) }, "-7.5 %", calculated + "Kirchhoff's laws"},
		{"capacitor", func() (units.Quantity, error) { return trade.StoredEnergy(q("0.5 µF"), q("500 V")) }, "0.0625 J", calculated + "definition"},
		{"discharge", func() (units.Quantity, error) { return trade.TimeConstant(q("1 MΩ"), q("0.5 µF")) }, "0.500 s", calculated + "exponential discharge"},
	})
}

func TestWindingTemperature(t *testing.T) {
	meets(t, []figure{
		{"copper", func() (units.Quantity, error) {
			return trade.WindingTemperature(trade.Copper, q("2.60 Ω"), q("22 °C"), q("3.35 Ω"))
		},
			"96.0 °C", calculated + "IEC 60034-1, 8.6.2"},
		{"aluminium", func() (units.Quantity, error) {
			return trade.WindingTemperature(trade.Aluminium, q("2.45 Ω"), q("20 °C"), q("3.00 Ω"))
		},
			"75.0 °C", "245 and 300 are 225 more than the two temperatures, IEC 60034-1, 8.6.2"},
		{"rise", func() (units.Quantity, error) { return trade.TemperatureRise(q("96.0 °C"), q("25 °C")) }, "71 K", calculated + "difference"},
	})
}

func TestWithstandVoltage(t *testing.T) {
	const source = calculated + "IEC 60034-1, table of withstand voltages"
	meets(t, []figure{
		{"12 V", func() (units.Quantity, error) { return trade.WithstandVoltage(q("12 V"), q("900 W")) }, "524.0 V", source},
		{"24 V", func() (units.Quantity, error) { return trade.WithstandVoltage(q("24 V"), q("900 W")) }, "548.0 V", source},
		{"overhauled", func() (units.Quantity, error) { return trade.OverhauledWithstand(q("24 V")) }, "500.0 V", source},
	})
}

func TestCables(t *testing.T) {
	const source = calculated + "58 MS/m, IEC 60028; diameters of ASTM B258"
	starter := trade.Cable{Section: q("2/0 AWG"), Loop: q("10 ft"), Temperature: q("20 °C")}
	hot := trade.Cable{Section: q("2/0 AWG"), Loop: q("10 ft"), Temperature: q("60 °C")}
	charging := trade.Cable{Section: q("6 AWG"), Loop: q("8 ft"), Temperature: q("20 °C")}
	rounds(t, "67.4 mm²", starter.Section, source)
	rounds(t, "13.3 mm²", charging.Section, source)
	meets(t, []figure{
		{"per metre", func() (units.Quantity, error) { return trade.CopperResistance(q("2/0 AWG"), q("1 m"), q("20 °C")) }, "0.256 mΩ", source},
		{"per 1000 ft", func() (units.Quantity, error) { return trade.CopperResistance(q("2/0 AWG"), q("1000 ft"), q("20 °C")) }, "0.0779 Ω", source},
		{"cold", func() (units.Quantity, error) { return starter.Drop(q("300 A")) }, "0.234 V", source},
		{"hot", func() (units.Quantity, error) { return hot.Drop(q("300 A")) }, "0.271 V", source},
		{"charging", func() (units.Quantity, error) { return charging.Drop(q("90 A")) }, "0.284 V", source},
		{"with joints", func() (units.Quantity, error) { return charging.Drop(q("90 A"), q("0.05 V"), q("100 mV")) }, "0.434 V", source},
		{"section", func() (units.Quantity, error) {
			return trade.LeastSection(q("0.234 V"), q("300 A"), q("10 ft"), q("20 °C"))
		}, "67.4 mm²", source},
	})
}

func TestBattery(t *testing.T) {
	battery := trade.Supply{OpenCircuit: q("12.4 V"), Resistance: q("8 mΩ")}
	atMotor, err := battery.Behind(q("4 mΩ"))
	require.NoError(t, err)
	meets(t, []figure{
		{"inside", func() (units.Quantity, error) { return trade.InternalResistance(q("12.6 V"), q("10.2 V"), q("300 A")) }, "8.0 mΩ", calculated + "Ohm's law"},
		{"line", func() (units.Quantity, error) { return atMotor.Voltage(q("300 A")) }, "8.80 V", calculated + "Ohm's law"},
		{"load test", func() (units.Quantity, error) { return trade.LoadTestCurrent(q("650 A")) }, "325.0 A", calculated + "BCI battery service manual, from memory"},
		{"by capacity", func() (units.Quantity, error) { return trade.LoadTestCurrentByCapacity(q("60 Ah")) }, "180.0 A", calculated + practice},
		{"drain", func() (units.Quantity, error) { return trade.DrainTime(q("60 Ah"), q("50 %"), q("85 mA")) }, "353 h", calculated + "definition"},
		{"drain, days", func() (units.Quantity, error) { return trade.DrainTime(q("60 Ah"), q("50 %"), q("85 mA")) }, "14.7 d", calculated + "definition"},
		{"at rest", func() (units.Quantity, error) { return trade.OpenCircuitVoltage(6, q("1265 points")) }, "12.63 V", calculated + practice},
		{"charge", func() (units.Quantity, error) { return trade.StateOfCharge(6, q("12.3 V")) }, "62.5 %", "half way between two rows of TM 5-3805-262-20"},
		{"6 V", func() (units.Quantity, error) { return trade.StateOfCharge(3, q("6.2 V")) }, "75.0 %", "half of a row of TM 5-3805-262-20"},
	})
	// A held motor with 1 V of brush drop and 3.7 mΩ, on the line of the battery and its cables.
	point, err := atMotor.Meet(trade.MotorLine{Standing: q("1 V"), Resistance: q("3.7 mΩ")})
	require.NoError(t, err)
	rounds(t, "726 A", point.Current, calculated+"Kirchhoff's laws: 11.4 V over 15.7 mΩ")
	rounds(t, "3.69 V", point.Voltage, calculated+"Kirchhoff's laws")
}

func TestMotor(t *testing.T) {
	meets(t, []figure{
		{"stall", func() (units.Quantity, error) { return trade.StallTorque(q("18.5 lbf"), q("0 lbf"), q("1 ft")) }, "18.50 lbf·ft", calculated + "definition"},
		{"stall, metric", func() (units.Quantity, error) { return trade.StallTorque(q("18.5 lbf"), q("0 lbf"), q("1 ft")) }, "25.1 N·m", calculated + "definition"},
		{"tare", func() (units.Quantity, error) { return trade.StallTorque(q("20 lbf"), q("1.5 lbf"), q("12 in")) }, "18.50 lbf·ft", calculated + "definition"},
		{"locked", func() (units.Quantity, error) { return trade.LockedResistance(q("3.5 V"), q("1.0 V"), q("680 A")) }, "3.7 mΩ", calculated + "Ohm's law"},
		{"drop left out", func() (units.Quantity, error) { return trade.LockedResistance(q("3.5 V"), q("0 V"), q("680 A")) }, "5.1 mΩ", calculated + "Ohm's law"},
	})
}

func TestGeometry(t *testing.T) {
	meets(t, []figure{
		{"pressure", func() (units.Quantity, error) { return trade.BrushPressure(q("36 ozf"), q("8 mm"), q("16 mm")) }, "78 kPa", calculated + "definition"},
		{"pressure, psi", func() (units.Quantity, error) { return trade.BrushPressure(q("36 ozf"), q("8 mm"), q("16 mm")) }, "11.3 psi", calculated + "definition"},
		{"runout", func() (units.Quantity, error) { return trade.Runout(q("0.02 mm")) }, "0.040 mm", calculated + "geometry"},
		{"eccentricity", func() (units.Quantity, error) { return trade.Eccentricity(q("0.05 mm")) }, "0.0250 mm", calculated + "geometry"},
	})
}
