package eval_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/uncertainty"
)

// simulatedSheet has formulas that are straight, and ones that are bent within the errors of their readings.
const simulatedSheet = `brushgear 1
family f "F" {
  instrument quarter : V accuracy ± 1.7320508 V digit 0.001 V
  instrument tenfold : V accuracy ± 17.320508 V digit 0.001 V
  instrument bell : V accuracy ± 2 V digit 0.001 V distribution normal
  instrument share : V accuracy ± 1 %
  instrument clamp : A accuracy ± 0.4 A digit 0.1 A
  attribute rated : A
  set rated 10 A
  test sums "Sums" {
    read a : V with bell
    read b : V with bell
    read p : V with quarter
    read q : V with quarter
    read r : V with quarter
    read s : V with tenfold
    let normal = a + b
    let tail = p + q + r + s
    limit normal at most 41 V
    limit tail at most 57 V
  }
  test load "Load" {
    read volts : V with share
    read other : V with share
    read current : A with clamp
    let resistance = volts / current
    let lost = volts - other
    let heat = current * current * (1 Ω)
    limit resistance 10 to 14 Ω
    limit lost at most 2.01 V
    grade heat : cold below 0.5 W | good
    outcome good when resistance within 10 Ω to 14 Ω and current at least 0.8 A
    outcome odd otherwise
  }
  test after "After" {
    read current : A with clamp
    let gap = current - load.current
    limit gap at most 0.1 A
  }
  test ranges "Ranges" {
    read ohms : Ω
    read look : clean | dark
    limit ohms at least 1 MΩ
    limit look is clean
  }
}
record "R" of f {
  judge 2026-03-02
  pass as found {
    taken sums { a 20.00 V, b 20.00 V, p 10.000 V, q 10.000 V, r 10.000 V, s 10.000 V }
    taken load { volts 12.00 V, other 10.00 V, current 1.0 A }
    taken after.current 1.0 A
    taken ranges { ohms > 0.5 MΩ, look clean }
  }
}
`

const drawn = 200_000

func simulated(t *testing.T, check string) eval.Simulation {
	t.Helper()
	c, ok := judged(t, simulatedSheet).Last().Check(check)
	require.True(t, ok, check)
	s, err := c.Simulate(1, drawn)
	require.NoError(t, err)
	return s
}

// TestSimulationOfAStraightFormula: where a formula is a sum of normal errors, simulation and propagation say the same (JCGM 101:2008, 9.2.2).
func TestSimulationOfAStraightFormula(t *testing.T) {
	s := simulated(t, "sums.normal")
	u := math.Sqrt2 // of two, each 2 V for k = 2
	require.InEpsilon(t, 40, s.Mean.SI(), 1e-3)
	require.InEpsilon(t, u, s.U.SI(), 0.01)
	require.InDelta(t, 2*1.96*u, s.High.SI()-s.Low.SI(), 0.05)
	require.InDelta(t, uncertainty.Below(1/u), s.Share("good"), 0.005)
	require.Equal(t, 0.0, s.Open)
	c, _ := judged(t, simulatedSheet).Last().Check("sums.normal")
	total := 0.0
	for _, k := range c.Budget() {
		total += k.U.SI() * k.U.SI()
	}
	require.InEpsilon(t, math.Sqrt(total), s.U.SI(), 0.01)
}

// M-25 through a sheet: the sum of three rectangular errors with u 1 and one with u 10 is within ±17.0 for 95 %, not within the ±19.9 of propagation with
// a normal result (JCGM 101:2008, 9.2.4).
func TestM25SumThroughASheet(t *testing.T) {
	s := simulated(t, "sums.tail")
	require.InEpsilon(t, math.Sqrt(103), s.U.SI(), 0.01)
	require.InDelta(t, 17.0, (s.High.SI()-s.Low.SI())/2, 0.1)
	require.InDelta(t, 40, (s.High.SI()+s.Low.SI())/2, 0.2)
}

// TestSimulationOfABentFormula: a quotient of 12 V by a current from 0.6 A to 1.4 A. If x is rectangular from a to b, 1/x has the mean ln(b/a)/(b−a) and
// the mean square 1/(ab); the share with V/x up to r is (b − V/r)/(b−a). Propagation has the mean 12 Ω and u = 12 Ω·0.23 = 2.8 Ω.
func TestSimulationOfABentFormula(t *testing.T) {
	const a, b = 0.6, 1.4
	mean := 12 * math.Log(b/a) / (b - a)
	u := math.Sqrt(144/(a*b)*(1+0.01*0.01/3) - mean*mean)
	s := simulated(t, "load.resistance")
	require.InEpsilon(t, mean, s.Mean.SI(), 0.005)
	require.InEpsilon(t, u, s.U.SI(), 0.01)
	low, high := (b-1.2)/(b-a), (12.0/14-a)/(b-a)
	require.InDelta(t, low, s.Share("low"), 0.01)
	require.InDelta(t, high, s.Share("high"), 0.01)
	require.InDelta(t, 1, s.Share("good")+s.Share("low")+s.Share("high"), 1e-12)
	require.Equal(t, 0.0, s.Share("worn"))
	first := 12 * 0.4 / math.Sqrt(3)
	require.Greater(t, s.U.SI(), 1.1*first, "propagation says too little")
}

// TestSimulationOfWhatReadingsShare: the percent part of two readings of one meter is drawn once for both.
func TestSimulationOfWhatReadingsShare(t *testing.T) {
	s := simulated(t, "load.lost")
	own := 0.005 / math.Sqrt(3)
	require.InEpsilon(t, math.Sqrt(math.Pow(0.02/math.Sqrt(3), 2)+2*own*own), s.U.SI(), 0.01)
}

func TestSimulationOfEachKind(t *testing.T) {
	root := math.Sqrt(0.5)
	s := simulated(t, "load.heat")
	require.InDelta(t, (root-0.6)/0.8, s.Share("cold"), 0.01)
	s = simulated(t, "load")
	require.InDelta(t, (1.2-12.0/14)/0.8, s.Share("good"), 0.01)
	require.Equal(t, 0.0, s.U.SI(), "a pattern has no number")
	s = simulated(t, "after.gap") // of two errors of the same shape: a triangle from -0.8 to 0.8
	require.InDelta(t, 1-0.7*0.7/(2*0.8*0.8), s.Share("good"), 0.01)
	require.InEpsilon(t, 0.8/math.Sqrt(6), s.U.SI(), 0.01)
	s = simulated(t, "ranges.ohms")
	require.Equal(t, 1.0, s.Open)
	require.Equal(t, 0.0, s.Mean.SI())
	require.Equal(t, 1.0, simulated(t, "ranges.look").Share("good"))
}

func TestSimulationRepeats(t *testing.T) {
	c, _ := judged(t, simulatedSheet).Last().Check("load.resistance")
	a, err := c.Simulate(7, 1000)
	require.NoError(t, err)
	b, err := c.Simulate(7, 1000)
	require.NoError(t, err)
	other, err := c.Simulate(8, 1000)
	require.NoError(t, err)
	require.Equal(t, a, b)
	require.NotEqual(t, a.Mean, other.Mean)
}

func TestSimulationRefused(t *testing.T) {
	const sheet = `brushgear 1
family f "F" {
  condition supply : V
  test gate "Gate" { read x : V  limit x at least 1 V }
  test behind "Behind" { needs gate is good  read y : V  limit y at least 1 V }
  test left "Left" { read z : V  limit z at least 1 V }
  test share "Share" { read v : V  let part = v / supply  limit part at least 90 % }
}
record "R" of f {
  judge 2026-03-02
  pass as found { taken gate.x 0.5 V  taken behind.y 2.0 V  taken share.v 11.0 V }
}
`
	v := judged(t, sheet)
	for check, want := range map[string]string{
		"behind.y":   "behind.y is not valid",
		"left.z":     "left.z was not tested",
		"share.part": "a reading or a condition that it needs is missing",
	} {
		c, ok := v.Last().Check(check)
		require.True(t, ok, check)
		_, err := c.Simulate(1, 1000)
		require.ErrorContains(t, err, want)
	}
	c, _ := v.Last().Check("gate.x")
	_, err := c.Simulate(1, 10)
	require.ErrorContains(t, err, "10 trials: use at least 100")
}
