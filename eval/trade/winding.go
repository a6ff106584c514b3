package trade

import (
	"fmt"
	"math"

	"github.com/brushgear/brushgear/units"
)

// Connection is how the three phases of a stator are joined.
type Connection uint8

// The connections. In wye the phases meet in a neutral, in delta each lies between two leads.
const (
	Wye Connection = iota
	Delta
)

// String returns "wye" or "delta".
func (c Connection) String() string {
	if c == Delta {
		return "delta"
	}
	return "wye"
}

// connection refuses a connection that is neither.
func (a *arguments) connection(c Connection) {
	if c > Delta {
		a.refuse("connection", fmt.Sprintf("%d is no connection", c), "write Wye or Delta")
	}
}

// Path is what an ohmmeter finds between two points: a resistance, or no path at all, which meters show as OL. The resistance of an
// open path counts for nothing.
type Path struct {
	Resistance units.Quantity
	Open       bool
}

// String returns the resistance, or "OL".
func (p Path) String() string {
	if p.Open {
		return "OL"
	}
	return p.Resistance.String()
}

// path returns the resistance of p, infinite when it is open.
func (a *arguments) path(name string, p Path) float64 {
	if p.Open {
		return math.Inf(1)
	}
	return a.notNegative(name, p.Resistance, ohms)
}

// found returns the path of a resistance in ohms, open when it is infinite, in the unit of sample.
func (a *arguments) found(r float64, sample units.Quantity) Path {
	if math.IsInf(r, 1) {
		return Path{Open: true}
	}
	return Path{Resistance: a.quantity(r, sample)}
}

// parallel returns the resistance of two paths side by side. Either may be infinite or zero.
func parallel(r, s float64) float64 {
	switch {
	case math.IsInf(r, 1):
		return s
	case math.IsInf(s, 1):
		return r
	case r == 0 || s == 0:
		return 0
	}
	return r / (1 + r/s)
}

// PairResistance returns what a meter reads between two leads of a healthy stator, rectifier off, whose phases have the given
// resistance: 2·r in wye, 2·r/3 in delta. The resistance must be above zero.
//
// Source: IEC 60034-2-1, from memory.
func PairResistance(c Connection, phase units.Quantity) (units.Quantity, error) {
	var a arguments
	a.connection(c)
	r := a.positive("phase resistance", phase, ohms)
	return a.only(r*c.pairs(), phase)
}

// PhaseResistance is the inverse of [PairResistance]: P/2 in wye, 3·P/2 in delta, for a reading P above zero between two leads.
func PhaseResistance(c Connection, pair units.Quantity) (units.Quantity, error) {
	var a arguments
	a.connection(c)
	p := a.positive("resistance between two leads", pair, ohms)
	return a.only(p/c.pairs(), pair)
}

// pairs is how many phase resistances lie between two leads.
func (c Connection) pairs() float64 {
	if c == Delta {
		return 2.0 / 3
	}
	return 2
}

// LineVoltage returns the voltage between leads, for the voltage of one phase: √3·V in wye, V in delta. It holds for equal phases and
// sine waves, rms to rms or peak to peak, and a voltage of zero or more. PhaseVoltage is its inverse.
//
// Source: any textbook of three-phase systems.
func LineVoltage(c Connection, phase units.Quantity) (units.Quantity, error) {
	var a arguments
	a.connection(c)
	return a.only(a.notNegative("phase voltage", phase, volts)*c.steps(Wye), phase)
}

// PhaseVoltage returns the voltage of one phase, for the voltage between leads: V/√3 in wye, V in delta.
func PhaseVoltage(c Connection, line units.Quantity) (units.Quantity, error) {
	var a arguments
	a.connection(c)
	return a.only(a.notNegative("line voltage", line, volts)/c.steps(Wye), line)
}

// LineCurrent returns the current in a lead, for the current of one phase: I in wye, √3·I in delta. It holds for equal phases and sine
// waves, and a current of zero or more. PhaseCurrent is its inverse.
//
// Source: any textbook of three-phase systems.
func LineCurrent(c Connection, phase units.Quantity) (units.Quantity, error) {
	var a arguments
	a.connection(c)
	return a.only(a.notNegative("phase current", phase, amperes)*c.steps(Delta), phase)
}

// PhaseCurrent returns the current of one phase, for the current in a lead: I in wye, I/√3 in delta.
func PhaseCurrent(c Connection, line units.Quantity) (units.Quantity, error) {
	var a arguments
	a.connection(c)
	return a.only(a.notNegative("line current", line, amperes)/c.steps(Delta), line)
}

// steps is the ratio of line to phase: √3 where the connection adds two phases, else 1.
func (c Connection) steps(adding Connection) float64 {
	if c == adding {
		return math.Sqrt(3)
	}
	return 1
}

// DeltaToWye returns the three resistances from a neutral to the points a, b and c that look the same from outside as the three
// resistances between these points: each is the product of the two that meet in its point, over the sum of all. All must be above zero.
//
// Source: Fundamentals of Electric Circuits (textbook), section on wye-delta transformations, from memory.
func DeltaToWye(ab, bc, ca units.Quantity) (atA, atB, atC units.Quantity, err error) {
	var a arguments
	x, y, z := a.positive("resistance a-b", ab, ohms), a.positive("resistance b-c", bc, ohms), a.positive("resistance c-a", ca, ohms)
	sum := x + y + z
	wye, err := settled(&a, [3]units.Quantity{a.quantity(x*z/sum, ab), a.quantity(x*y/sum, ab), a.quantity(y*z/sum, ab)})
	return wye[0], wye[1], wye[2], err
}

// WyeToDelta is the inverse of [DeltaToWye]: each resistance between two points is the sum of the three products, over the resistance at
// the point opposite.
func WyeToDelta(atA, atB, atC units.Quantity) (ab, bc, ca units.Quantity, err error) {
	var a arguments
	x, y, z := a.positive("resistance at a", atA, ohms), a.positive("resistance at b", atB, ohms), a.positive("resistance at c", atC, ohms)
	sum := x*y + y*z + z*x
	delta, err := settled(&a, [3]units.Quantity{a.quantity(sum/z, atA), a.quantity(sum/x, atA), a.quantity(sum/y, atA)})
	return delta[0], delta[1], delta[2], err
}

// Stator is the winding of a stator as resistances. In wye the legs lie from the leads u, v and w to the neutral; in delta the legs u, v
// and w lie between the leads u-v, v-w and w-u.
type Stator struct {
	Connection Connection
	Legs       [3]Path
}

// NewStator returns a stator with three legs of the same resistance, which must be above zero.
func NewStator(c Connection, phase units.Quantity) (Stator, error) {
	var a arguments
	a.connection(c)
	a.positive("phase resistance", phase, ohms)
	leg := Path{Resistance: phase}
	return settled(&a, Stator{c, [3]Path{leg, leg, leg}})
}

// OpenLeg returns s with a leg open; 0 is u, 1 is v, 2 is w.
func (s Stator) OpenLeg(leg int) (Stator, error) {
	var a arguments
	a.leg(leg)
	if a.err == nil {
		s.Legs[leg] = Path{Open: true}
	}
	return settled(&a, s)
}

// LoseTurns returns s with a share of the turns of a leg gone, from 0 to below 100 %. The resistance falls by the same share: the turns
// that are left carry the direct current of the meter alone.
func (s Stator) LoseTurns(leg int, share units.Quantity) (Stator, error) {
	var a arguments
	a.leg(leg)
	k := a.partial("share of turns lost", share)
	if a.err != nil {
		return Stator{}, a.err
	}
	r := a.path("resistance of the leg", s.Legs[leg])
	s.Legs[leg] = a.found(r*(1-k), s.Legs[leg].Resistance)
	return settled(&a, s)
}

func (a *arguments) leg(leg int) {
	if leg < 0 || leg > 2 {
		a.refuse("leg", fmt.Sprintf("there is no leg %d", leg), "write 0 for u, 1 for v, 2 for w")
	}
}

// Pairs returns what a meter reads between the leads u-v, v-w and w-u, with the rectifier off. In wye it is the sum of two legs; in delta
// it is one leg, with the other two in series beside it. An open leg shows as OL twice in wye; in delta as three times the healthy
// reading on its own pair, and one and a half times on the others.
func (s Stator) Pairs() ([3]Path, error) {
	var a arguments
	a.connection(s.Connection)
	var r [3]float64
	var unit units.Quantity
	for i, leg := range s.Legs {
		r[i] = a.path("resistance of the leg", leg)
		if !leg.Open {
			unit = leg.Resistance
		}
	}
	var pairs [3]Path
	for i := range pairs {
		j, k := (i+1)%3, (i+2)%3
		if s.Connection == Delta {
			pairs[i] = a.found(parallel(r[i], r[j]+r[k]), unit)
		} else {
			pairs[i] = a.found(r[i]+r[j], unit)
		}
	}
	return settled(&a, pairs)
}

// StatorOf returns the stator that gives the three readings between the leads u-v, v-w and w-u. In wye a leg is half of the two readings that
// meet in its lead, less the one opposite; in delta the legs are those of the wye by [WyeToDelta]. The readings must be above zero, and
// none may be as large as the other two together: no winding reads so, only a bad contact of a probe does.
func StatorOf(c Connection, uv, vw, wu units.Quantity) (Stator, error) {
	var a arguments
	a.connection(c)
	x, y, z := a.positive("reading u-v", uv, ohms), a.positive("reading v-w", vw, ohms), a.positive("reading w-u", wu, ohms)
	u, v, w := (x+z-y)/2, (x+y-z)/2, (y+z-x)/2
	if a.err == nil && min(u, v, w) <= 0 {
		a.refuse("readings u-v, v-w, w-u", fmt.Sprintf("of %v, %v and %v one is not less than the other two together", uv, vw, wu),
			"clean the contacts of the probes and measure again")
	}
	if c == Delta {
		sum := u*v + v*w + w*u
		u, v, w = sum/w, sum/u, sum/v
	}
	return settled(&a, Stator{c, [3]Path{a.found(u, uv), a.found(v, uv), a.found(w, uv)}})
}
