package trade_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/eval/trade"
	"github.com/brushgear/brushgear/units"
)

// drawn returns a quantity of the unit, from 1/1000 to 1000 of it.
func drawn(t *rapid.T, name, unit string) units.Quantity {
	return units.New(math.Pow(10, rapid.Float64Range(-3, 3).Draw(t, name)), units.MustUnit(unit))
}

func TestStatorOfInvertsPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := trade.Stator{Connection: rapid.SampledFrom([]trade.Connection{trade.Wye, trade.Delta}).Draw(t, "connection")}
		for i := range s.Legs {
			s.Legs[i].Resistance = units.New(rapid.Float64Range(0.01, 1).Draw(t, "leg"), units.MustUnit("Ω"))
		}
		pairs, err := s.Pairs()
		require.NoError(t, err)
		back, err := trade.StatorOf(s.Connection, pairs[0].Resistance, pairs[1].Resistance, pairs[2].Resistance)
		require.NoError(t, err)
		for i := range s.Legs {
			require.InEpsilon(t, s.Legs[i].Resistance.SI(), back.Legs[i].Resistance.SI(), 1e-6)
		}
	})
}

func TestWyeToDeltaInvertsDeltaToWye(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ab, bc, ca := drawn(t, "ab", "Ω"), drawn(t, "bc", "Ω"), drawn(t, "ca", "Ω")
		a, b, c, err := trade.DeltaToWye(ab, bc, ca)
		require.NoError(t, err)
		ab2, bc2, ca2, err := trade.WyeToDelta(a, b, c)
		require.NoError(t, err)
		near(t, ab, ab2)
		near(t, bc, bc2)
		near(t, ca, ca2)
	})
}

// The exact pieces of sine against sums over many small steps, for any diodes open.
func TestRectifyAgainstSteps(t *testing.T) {
	const steps = 7200
	rapid.Check(t, func(t *rapid.T) {
		var open []trade.Diode
		var opened [2][3]bool
		for _, plate := range []trade.Plate{trade.PlusPlate, trade.MinusPlate} {
			for phase := range 3 {
				if rapid.Bool().Draw(t, "open") {
					open = append(open, trade.Diode{Plate: plate, Phase: phase})
					opened[plate][phase] = true
				}
			}
		}
		var sum, squares, re, im float64
		order := rapid.IntRange(1, 12).Draw(t, "order")
		lowest, highest := math.Inf(1), math.Inf(-1)
		for i := range steps {
			theta := 2 * math.Pi * (float64(i) + 0.5) / steps
			plus, minus := math.Inf(-1), math.Inf(1)
			for phase := range 3 {
				v := math.Sqrt(2.0/3) * math.Cos(theta-float64(phase)*2*math.Pi/3)
				if !opened[trade.PlusPlate][phase] {
					plus = max(plus, v)
				}
				if !opened[trade.MinusPlate][phase] {
					minus = min(minus, v)
				}
			}
			v := max(0, plus-minus)
			sum += v / steps
			squares += v * v / steps
			re += 2 * v * math.Cos(float64(order)*theta) / steps
			im += 2 * v * math.Sin(float64(order)*theta) / steps
			lowest, highest = min(lowest, v), max(highest, v)
		}
		r, err := trade.Rectify(q("1 V"), open...)
		if sum < 1e-12 {
			require.ErrorIs(t, err, units.ErrRange)
			return
		}
		require.NoError(t, err)
		require.InDelta(t, sum, r.Mean.SI(), 1e-6)
		require.InDelta(t, math.Sqrt(squares), r.RMS.SI(), 1e-6)
		require.InDelta(t, lowest, r.Trough.SI(), 1e-3)
		require.InDelta(t, highest, r.Peak.SI(), 1e-3)
		harmonic, err := r.Harmonic(order)
		require.NoError(t, err)
		require.InDelta(t, math.Hypot(re, im), harmonic.SI(), 1e-6)
		if order < r.LowestOrder() {
			require.InDelta(t, 0, harmonic.SI(), 1e-9)
		}
		require.InDelta(t, r.RMS.SI()/r.Mean.SI(), r.FormFactor.SI(), 1e-12)
		require.InDelta(t, math.Sqrt(squares-sum*sum)/sum, r.Ripple.SI(), 1e-5)
	})
}

// Neighbouring bars of a healthy winding span p coils of n, in parallel with the others: 1 coil in a lap winding, as many as there are pole
// pairs in a wave winding. One bad coil shows at p places.
func TestBadCoilShowsAtEachPolePair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.IntRange(1, 4).Draw(t, "pole pairs")
		n := p*rapid.IntRange(4, 20).Draw(t, "pitch") + 1
		pitch, err := trade.WavePitch(n, 2*p)
		require.NoError(t, err)
		w, err := trade.NewArmature(n, pitch, q("10 mΩ"))
		require.NoError(t, err)
		readings, err := w.BarToBar()
		require.NoError(t, err)
		for _, r := range readings {
			near(t, units.New(10*float64(p)*float64(n-p)/float64(n), units.MustUnit("mΩ")), r.Resistance)
		}
		bad := rapid.IntRange(0, n-1).Draw(t, "bad coil")
		w, err = w.OpenCoil(bad)
		require.NoError(t, err)
		readings, err = w.BarToBar()
		require.NoError(t, err)
		var list []units.Quantity
		for _, r := range readings {
			list = append(list, r.Resistance)
		}
		odd, err := trade.OddOnes(q("5 %"), 3.5, list...)
		require.NoError(t, err)
		require.Len(t, odd, p)
		for _, o := range odd {
			near(t, units.New(10*float64(n-p), units.MustUnit("mΩ")), o.Reading)
		}
	})
}

// The drops on each side of the ring add up to the supply, wherever it is joined and whatever the coils are.
func TestBarDropsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 30).Draw(t, "coils")
		w, err := trade.NewArmature(n, 1, q("10 mΩ"))
		require.NoError(t, err)
		for i := range w.Coils {
			w.Coils[i].Resistance = drawn(t, "coil", "mΩ")
		}
		if rapid.Bool().Draw(t, "an open coil") {
			w, err = w.OpenCoil(rapid.IntRange(0, n-1).Draw(t, "open"))
			require.NoError(t, err)
		}
		from, to := rapid.IntRange(0, n-1).Draw(t, "from"), rapid.IntRange(0, n-1).Draw(t, "to")
		if from == to {
			return
		}
		drops, err := w.BarDrops(from, to, q("2 V"))
		require.NoError(t, err)
		var there, back float64
		for i, v := range drops {
			if lo, hi := min(from, to), max(from, to); i >= lo && i < hi {
				there += v.SI()
			} else {
				back += v.SI()
			}
		}
		require.InDelta(t, 2, there, 1e-9)
		require.InDelta(t, 2, back, 1e-9)
	})
}

// The rules keep their order, and none of them minds in what unit the readings are.
func TestUnbalanceRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var ohms, milliohms []units.Quantity
		for range rapid.IntRange(2, 12).Draw(t, "number") {
			r := drawn(t, "reading", "Ω")
			ohms = append(ohms, r)
			scaled, err := r.In(units.MustUnit("mΩ"))
			require.NoError(t, err)
			milliohms = append(milliohms, scaled)
		}
		of := map[trade.UnbalanceRule]float64{}
		for rule := trade.OfMean; rule <= trade.OfMedian; rule++ {
			u, err := trade.Unbalance(rule, ohms...)
			require.NoError(t, err)
			same, err := trade.Unbalance(rule, milliohms...)
			require.NoError(t, err)
			require.InDelta(t, u.SI(), same.SI(), 1e-9*(1+u.SI()))
			of[rule] = u.SI()
		}
		require.LessOrEqual(t, of[trade.OfMean], of[trade.SpanOfMean]*(1+1e-9))
		require.LessOrEqual(t, of[trade.SpanOfMean], of[trade.SpanOfLeast]*(1+1e-9))
	})
}

// The temperature that the law of copper gives a resistance for comes back from that resistance.
func TestWindingTemperatureInvertsCopper(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cold, hot := rapid.Float64Range(-20, 60).Draw(t, "cold"), rapid.Float64Range(-20, 220).Draw(t, "hot")
		r := rapid.Float64Range(0.01, 30).Draw(t, "resistance")
		celsius, ohms := units.MustUnit("°C"), units.MustUnit("Ω")
		got, err := trade.WindingTemperature(trade.Copper, units.New(r, ohms), units.New(cold, celsius),
			units.New(r*(234.5+hot)/(234.5+cold), ohms))
		require.NoError(t, err)
		require.InDelta(t, hot, got.Value(), 1e-6)
	})
}

// The point where a supply and a motor meet lies on both lines.
func TestMeetLiesOnBothLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		supply := trade.Supply{OpenCircuit: q("12.4 V"), Resistance: drawn(t, "supply", "mΩ")}
		motor := trade.MotorLine{
			Standing:   units.New(rapid.Float64Range(0, 12).Draw(t, "standing"), units.MustUnit("V")),
			Resistance: drawn(t, "motor", "mΩ"),
		}
		point, err := supply.Meet(motor)
		require.NoError(t, err)
		v, err := supply.Voltage(point.Current)
		require.NoError(t, err)
		require.InDelta(t, point.Voltage.SI(), v.SI(), 1e-9)
		require.InDelta(t, point.Voltage.SI(), motor.Standing.SI()+point.Current.SI()*motor.Resistance.SI(), 1e-9)
	})
}

// Between two rows the straight line stays between their values, and the step keeps to the row reached.
func TestTablesBetweenRows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := rapid.SampledFrom([]trade.Table{trade.VoltageTable(), trade.GravityTable(), trade.FreezingTable(), trade.CrankingTable()}).Draw(t, "table")
		i := rapid.IntRange(0, len(table.Rows)-2).Draw(t, "row")
		from, to := table.Rows[i], table.Rows[i+1]
		share := rapid.Float64Range(0.001, 0.999).Draw(t, "share")
		at := units.FromSI(from.At.SI()+share*(to.At.SI()-from.At.SI()), from.At.Unit())
		v, err := table.Linear(at)
		require.NoError(t, err)
		require.InDelta(t, share, (v.SI()-from.Value.SI())/(to.Value.SI()-from.Value.SI()), 1e-6)
		v, err = table.Step(at)
		require.NoError(t, err)
		require.Equal(t, from.Value, v)
	})
}

// A section that loses the voltage allowed loses just that.
func TestLeastSectionInvertsDrop(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		drop, current, loop := drawn(t, "drop", "V"), drawn(t, "current", "A"), drawn(t, "loop", "m")
		warm := units.New(rapid.Float64Range(-40, 120).Draw(t, "temperature"), units.MustUnit("°C"))
		section, err := trade.LeastSection(drop, current, loop, warm)
		require.NoError(t, err)
		got, err := trade.Cable{Section: section, Loop: loop, Temperature: warm}.Drop(current)
		require.NoError(t, err)
		near(t, drop, got)
	})
}
