package trade_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval/trade"
)

// bridgeModel is a stator and a bridge as a circuit: each lead is fed from a common point through an EMF, a resistance and an inductance, and
// has two diodes to the rails, between which a battery and a resistor lie. It is stepped through time, so it shares nothing with the
// closed forms of the package.
type bridgeModel struct {
	amplitude  [3]float64 // of the EMF, V
	angle      [3]float64
	resistance [3]float64 // Ω
	inductance [3]float64 // H
	cut        [3]bool    // the lead is joined to nothing
	plus       [3]diode
	minus      [3]diode
}

type diode uint8

const (
	good diode = iota
	open
	shorted
)

const (
	forwardDrop     = 0.8    // V
	onConductance   = 1000.0 // S, of a conducting or shorted diode
	batteryVoltage  = 13.2
	batteryInside   = 0.012 // Ω
	loadResistance  = 0.20  // Ω
	phaseFrequency  = 600.0 // Hz
	stepsPerCycle   = 120
	cyclesToSettle  = 6
	bisections      = 48
	stiffResistance = 0.030  // Ω of a phase
	reactance       = 0.11   // Ω of a phase at phaseFrequency
	stiffEMF        = 12.0   // V, amplitude of a phase: well above the battery, as at rated speed
	reactiveEMF     = 24.0   // V
	smallRipple     = 0.0005 // of the mean; below it there is none
)

func newModel(emf, inductance float64) bridgeModel {
	m := bridgeModel{}
	for k := range 3 {
		m.amplitude[k], m.angle[k] = emf, -float64(k)*2*math.Pi/3
		m.resistance[k], m.inductance[k] = stiffResistance, inductance
	}
	return m
}

// node returns the potential of a lead that is fed with a volts behind r, and the currents to the plus rail at v and to the minus rail at 0.
func (m *bridgeModel) node(k int, a, r, v float64) (u, toPlus, toMinus float64) {
	conductance, current := 1/r, a/r
	if m.plus[k] == shorted {
		conductance, current = conductance+onConductance, current+v*onConductance
	}
	if m.minus[k] == shorted {
		conductance += onConductance
	}
	u = current / conductance
	switch {
	case m.plus[k] == good && u > v+forwardDrop:
		u = (current + (v+forwardDrop)*onConductance) / (conductance + onConductance)
		toPlus = (u - v - forwardDrop) * onConductance
	case m.minus[k] == good && u < -forwardDrop:
		u = (current - forwardDrop*onConductance) / (conductance + onConductance)
		toMinus = (u + forwardDrop) * onConductance
	}
	if m.plus[k] == shorted {
		toPlus = (u - v) * onConductance
	}
	if m.minus[k] == shorted {
		toMinus = u * onConductance
	}
	return u, toPlus, toMinus
}

// run returns the current into battery and load over one settled cycle.
func (m *bridgeModel) run() []float64 {
	const step = 1 / phaseFrequency / stepsPerCycle
	var past [3]float64
	var output []float64
	for i := range stepsPerCycle * cyclesToSettle {
		theta := 2 * math.Pi * float64(i) / stepsPerCycle
		// An inductance over one step is a resistance with an EMF that remembers the current.
		var emf, inside [3]float64
		for k := range 3 {
			memory := m.inductance[k] / step
			emf[k] = m.amplitude[k]*math.Cos(theta+m.angle[k]) + past[k]*memory
			inside[k] = m.resistance[k] + memory
		}
		var now [3]float64
		toRail := func(v float64) float64 {
			low, high := -300.0, 300.0
			var sum float64
			for range bisections {
				common := (low + high) / 2
				var leaving float64
				sum = 0
				for k := range 3 {
					if m.cut[k] {
						continue
					}
					u, plus, _ := m.node(k, common+emf[k], inside[k], v)
					now[k] = (common + emf[k] - u) / inside[k]
					leaving += now[k]
					sum += plus
				}
				if leaving > 0 {
					high = common
				} else {
					low = common
				}
			}
			return sum
		}
		low, high := -50.0, 100.0
		for range bisections {
			v := (low + high) / 2
			if toRail(v) > (v-batteryVoltage)/batteryInside+v/loadResistance {
				low = v
			} else {
				high = v
			}
		}
		current := toRail(low)
		past = now
		if i >= stepsPerCycle*(cyclesToSettle-1) {
			output = append(output, current)
		}
	}
	return output
}

// amplitude returns the part of order n in one cycle.
func amplitude(cycle []float64, n int) float64 {
	var re, im float64
	for i, x := range cycle {
		angle := 2 * math.Pi * float64(n*i) / float64(len(cycle))
		re += x * math.Cos(angle)
		im += x * math.Sin(angle)
	}
	scale := 2.0
	if n == 0 {
		scale = 1
	}
	return scale * math.Hypot(re, im) / float64(len(cycle))
}

// modelOf returns the model of a fault.
func modelOf(f trade.OutputFault, emf, inductance float64) bridgeModel {
	m := newModel(emf, inductance)
	switch f {
	case trade.PhaseWeak:
		m.amplitude[2] *= 0.8
	case trade.DiodeOpen:
		m.plus[2] = open
	case trade.DiodeShorted:
		m.plus[2] = shorted
	case trade.TwoDiodesOpen:
		m.plus[1], m.plus[2] = open, open
	case trade.PhaseDisconnected:
		m.cut[2] = true
	case trade.PhaseReversed:
		m.amplitude[2] = -emf
	case trade.DeltaLegOpen:
		// The two legs that are left meet in lead 0. Seen from there, each is √3 of a wye phase in voltage and three times its impedance.
		m.amplitude = [3]float64{0, emf * math.Sqrt(3), emf * math.Sqrt(3)}
		m.angle = [3]float64{0, 0, math.Pi / 3}
		m.resistance = [3]float64{1e-6, 3 * stiffResistance, 3 * stiffResistance}
		m.inductance = [3]float64{0, 3 * inductance, 3 * inductance}
	}
	return m
}

// The lowest orders, and the ranks of the outputs, are those of a circuit model with a nearly stiff source and with a reactive one. The
// faults of the last rank change places between the two, which is why they share it.
func TestOutputFaultsAgainstCircuitModel(t *testing.T) {
	var outputs [2]map[trade.OutputFault]float64
	for i, source := range []struct{ emf, reactance float64 }{{stiffEMF, 0}, {reactiveEMF, reactance}} {
		outputs[i] = map[trade.OutputFault]float64{}
		for f := trade.NoOutputFault; f <= trade.PhaseReversed; f++ {
			m := modelOf(f, source.emf, source.reactance/(2*math.Pi*phaseFrequency))
			cycle := m.run()
			mean := amplitude(cycle, 0)
			outputs[i][f] = mean
			lowest := 1
			for lowest < 7 && amplitude(cycle, lowest) < smallRipple*mean {
				lowest++
			}
			t.Logf("source %d, %v: %.0f A, %.0f %%", i, f, mean, 100*mean/outputs[i][trade.NoOutputFault])
			require.Equal(t, f.LowestOrder(), lowest, "%v", f)
		}
		for f, more := range outputs[i] {
			for g, less := range outputs[i] {
				if f.OutputRank() < g.OutputRank() {
					require.Greater(t, more, less, "source %d: %v against %v", i, f, g)
				}
			}
		}
	}
	require.Greater(t, outputs[0][trade.DiodeShorted], outputs[0][trade.TwoDiodesOpen])
	require.Less(t, outputs[1][trade.DiodeShorted], outputs[1][trade.TwoDiodesOpen])
}
