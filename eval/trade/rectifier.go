package trade

import (
	"fmt"
	"math"
	"math/cmplx"

	"github.com/brushgear/brushgear/units"
)

// Plate is one side of a bridge: the heat sink that carries three of its diodes.
type Plate uint8

// The plates. The diodes of the plus plate lead to the output stud, those of the minus plate come from the frame; with positive ground
// the other way round.
const (
	PlusPlate Plate = iota
	MinusPlate
)

// Diode is a place in a bridge of six: its plate, and its phase from 0 to 2.
type Diode struct {
	Plate Plate
	Phase int
}

// Rectified is what an ideal bridge delivers to a resistor: three equal sine voltages without inner resistance, diodes without drop,
// no battery and no capacitor across the output. A battery takes most of the ripple off a real output, so the shape and its orders can
// be compared with a reading, the height of the ripple cannot.
type Rectified struct {
	Mean       units.Quantity // direct voltage, which a meter on its DC range shows
	RMS        units.Quantity // direct voltage and ripple together
	Peak       units.Quantity // highest voltage
	Trough     units.Quantity // lowest voltage
	FormFactor units.Quantity // RMS/Mean
	Ripple     units.Quantity // rms value of the alternating part, over Mean
	// PeakReverse is the highest reverse voltage that a diode has to stand in a bridge that has at least one path: the peak of the
	// voltage between two leads.
	PeakReverse units.Quantity

	wave wave
}

// Rectify returns what a six-pulse bridge with the given diodes open makes of a voltage between leads, rms. A healthy bridge gives
// 3·√2/π times that voltage, 1.350, with a ripple of 4.2 % of it; with one diode open 5/6 of that is left, with both diodes of a phase
// open 2/3. A diode named twice counts once. The voltage must be above zero, and a diode must be left on each plate for two phases.
//
// Every figure is exact: the output is made of twelve pieces of sine, of 30° each.
//
// Source: Power Electronics (textbook), three-phase bridge with resistive load, from memory, for the healthy bridge; the others are
// calculated in the same way.
func Rectify(line units.Quantity, open ...Diode) (Rectified, error) {
	var a arguments
	rms := a.positive("line voltage", line, volts)
	var opened [2][3]bool
	for _, d := range open {
		if d.Plate > MinusPlate || d.Phase < 0 || d.Phase > 2 {
			a.refuse("open diode", fmt.Sprintf("there is no diode %d of plate %d", d.Phase, d.Plate),
				"write PlusPlate or MinusPlate, and a phase from 0 to 2")
			break
		}
		opened[d.Plate][d.Phase] = true
	}
	w := bridgeWave(opened)
	if a.err == nil && w.mean() == 0 {
		a.refuse("open diodes", "no path through two phases is left, so there is no output", "leave a diode of each plate, on two phases")
	}
	if a.err != nil {
		return Rectified{}, a.err
	}
	for i := range w {
		w[i] *= complex(rms*math.Sqrt2/math.Sqrt(3), 0)
	}
	mean, meanSquare := w.mean(), w.meanSquare()
	trough, peak := w.extremes()
	return settled(&a, Rectified{
		Mean:        a.quantity(mean, volts),
		RMS:         a.quantity(math.Sqrt(meanSquare), volts),
		Peak:        a.quantity(peak, volts),
		Trough:      a.quantity(trough, volts),
		FormFactor:  a.quantity(math.Sqrt(meanSquare)/mean, bare),
		Ripple:      a.quantity(math.Sqrt(meanSquare-mean*mean)/mean, percent),
		PeakReverse: a.quantity(rms*math.Sqrt2, volts),
		wave:        w,
	})
}

// Harmonic returns the amplitude of the part of the output that has the given order, its frequency over that of a phase. Of a healthy
// bridge all but the multiples of 6 are zero, and the amplitude of order n is 2/(n²-1) of the mean. The order must be 1 or more.
func (r Rectified) Harmonic(order int) (units.Quantity, error) {
	var a arguments
	a.count("order", order, 1)
	return a.only(cmplx.Abs(r.wave.harmonic(order)), volts)
}

// LowestOrder returns the lowest order of which there is ripple: 6 for a healthy bridge, 1 for a diode open, 2 for both diodes of a phase
// open. Of the zero value it is 0.
func (r Rectified) LowestOrder() int {
	const noise = 1e-9
	for n := 1; n <= 6; n++ {
		if cmplx.Abs(r.wave.harmonic(n)) > noise*r.wave.mean() {
			return n
		}
	}
	return 0
}

// wave is a voltage over one turn of the electrical angle: in each twelfth of it the real part of its phasor turning with the angle.
// Every voltage between two leads has its zeros and its peaks where twelfths meet.
type wave [12]complex128

// corner is the angle at which twelfth i begins.
func corner(i int) float64 { return float64(i) * math.Pi / 6 }

// bridgeWave returns the output of a bridge for phase voltages of amplitude 1: at any angle the highest phase that has its plus diode,
// less the lowest that has its minus diode, if that is more than nothing.
func bridgeWave(opened [2][3]bool) wave {
	var w wave
	for i := range w {
		middle := cmplx.Rect(1, corner(i)+math.Pi/12)
		var best float64
		for p := range 3 {
			for m := range 3 {
				if opened[PlusPlate][p] || opened[MinusPlate][m] {
					continue
				}
				between := phase(p) - phase(m)
				if v := real(between * middle); v > best {
					best, w[i] = v, between
				}
			}
		}
	}
	return w
}

// phase returns the phasor of phase k, 120° behind the one before it.
func phase(k int) complex128 { return cmplx.Rect(1, -float64(k)*2*math.Pi/3) }

func (w wave) mean() float64 { return real(w.turning(1)) / (2 * math.Pi) }

// turning returns the integral of the phasors over the angle, turned n times as fast as the angle itself, for n other than 0.
func (w wave) turning(n int) complex128 {
	var sum complex128
	for i, z := range w {
		sum += z * (cmplx.Rect(1, float64(n)*corner(i+1)) - cmplx.Rect(1, float64(n)*corner(i)))
	}
	return sum / complex(0, float64(n))
}

func (w wave) meanSquare() float64 {
	var squares wave
	var steady float64
	for i, z := range w {
		squares[i] = z * z
		steady += real(z)*real(z) + imag(z)*imag(z)
	}
	return steady/(2*12) + real(squares.turning(2))/(4*math.Pi)
}

// extremes returns the lowest and the highest value, both at corners.
func (w wave) extremes() (lowest, highest float64) {
	lowest, highest = math.Inf(1), math.Inf(-1)
	for i, z := range w {
		for _, angle := range [...]float64{corner(i), corner(i + 1)} {
			v := real(z * cmplx.Rect(1, angle))
			lowest, highest = min(lowest, v), max(highest, v)
		}
	}
	return max(0, lowest), highest
}

// harmonic returns the coefficient of order n of the Fourier series, n ≥ 1.
func (w wave) harmonic(n int) complex128 {
	var mirrored wave
	for i, z := range w {
		mirrored[i] = cmplx.Conj(z)
	}
	same := mirrored.turning(-1 - n)
	if n > 1 {
		return (w.turning(1-n) + same) / (2 * math.Pi)
	}
	for _, z := range w {
		same += z * math.Pi / 6
	}
	return same / (2 * math.Pi)
}

// BridgeVoltage returns the direct voltage of a healthy six-pulse bridge with its diodes' drop: 3·√2/π·V - 2·V_F, for the voltage between
// leads, rms, and the forward drop of one diode. The drop must be zero or more and leave an output.
//
// Source: as for [Rectify]. With a battery across the output it is an estimate from below: the battery holds the voltage between the
// peaks.
func BridgeVoltage(line, forward units.Quantity) (units.Quantity, error) {
	var a arguments
	v := a.positive("line voltage", line, volts)
	drop := a.notNegative("forward drop", forward, volts)
	mean := 3*math.Sqrt2/math.Pi*v - 2*drop
	if a.err == nil && mean <= 0 {
		a.refuse("forward drop", fmt.Sprintf("two drops of %v leave nothing of %v", forward, line), "write the drop of one diode, such as 0.8 V")
	}
	return a.only(mean, volts)
}
