package eval

import (
	"math"

	"github.com/brushgear/brushgear/units"
)

// A law brings a reading from the condition it was taken at to the condition a limit is stated for. Values are in SI base units.
type law struct {
	name  string
	usage string
	// factor corrects x from condition c to r with the argument a per step. It is monotone in every argument where it is allowed.
	correct func(x, c, r, a, per float64) float64
	// slopes are the derivatives of correct by x, c and a.
	slopes func(x, c, r, a, per float64) (dx, dc, da float64)
	// seen bounds what x comes to.
	seen func(x, c, a spot, r, per float64) spot
	// allowed tells how far the law may be trusted.
	allowed func(c, r, a float64) bool
	// check says what does not fit, empty if all does. arg is the dimension of what stands in the brackets, nil when nothing does.
	check func(value, cond units.Dimension, arg *units.Dimension) string
	own   *ownLaw // of a sheet; then correct, slopes, seen and allowed are nil
}

// Copper and aluminium change resistance linearly with temperature: R2 = R1 (k + T2)/(k + T1), T in °C.
// k = 234.5 for copper: IEEE 118, NBS Circular 31. k = 225 for aluminium: IEC 60034-1, 8.6.2 (from memory).
const (
	copperK    = 234.5 - 273.15
	aluminiumK = 225 - 273.15
)

// maxHeating is how far a winding may be from the reference before a correction is refused; common practice, no source.
const maxHeating = 60

// maxVoltageShare is the largest change of a voltage or current that a proportional correction bridges; common practice, no source.
const maxVoltageShare = 0.20

var laws = map[string]*law{}

func init() {
	register := func(l *law) { laws[l.name] = l }
	resistance, current := units.MustUnit("Ω").Dimension(), units.MustUnit("A").Dimension()
	winding := func(name string, k float64) *law {
		return &law{
			name: name, usage: "write correct resistance by " + name + " from winding_temp",
			correct: func(x, c, r, _, sign float64) float64 {
				if sign < 0 {
					return x * (k + c) / (k + r)
				}
				return x * (k + r) / (k + c)
			},
			slopes: func(x, c, r, _, sign float64) (dx, dc, da float64) {
				if sign < 0 {
					return (k + c) / (k + r), x / (k + r), 0
				}
				dx = (k + r) / (k + c)
				return dx, -x * dx / (k + c), 0
			},
			seen: func(x, c, _ spot, r, sign float64) spot {
				if sign < 0 {
					return x.times(c.plus(spot{v: k})).over(spot{v: k + r})
				}
				return x.times(spot{v: k + r}).over(c.plus(spot{v: k}))
			},
			allowed: func(c, r, _ float64) bool { return math.Abs(c-r) <= maxHeating && k+c > 0 && k+r > 0 },
			check: func(v, c units.Dimension, arg *units.Dimension) string {
				switch {
				case v != resistance && v != current:
					return "it corrects a resistance, or a current at constant voltage"
				case c.Kind() != units.Temperature:
					return "it needs a temperature"
				case arg != nil:
					return "it takes nothing in brackets"
				}
				return ""
			},
		}
	}
	register(winding("copper", copperK))
	register(winding("aluminium", aluminiumK))
	share := func(name, usage string) *law {
		return &law{
			name: name, usage: usage,
			correct: func(x, c, r, _, _ float64) float64 { return x * r / c },
			slopes:  func(x, c, r, _, _ float64) (dx, dc, da float64) { return r / c, -x * r / (c * c), 0 },
			seen:    func(x, c, _ spot, r, _ float64) spot { return x.times(spot{v: r}).over(c) },
			allowed: func(c, r, _ float64) bool { return c != 0 && math.Abs(c/r-1) <= maxVoltageShare+1e-12 },
			check: func(v, c units.Dimension, arg *units.Dimension) string {
				switch {
				case arg != nil:
					return "it takes nothing in brackets"
				case v.Kind() == units.Temperature || c.Kind() == units.Temperature:
					return "a temperature has no true zero, so nothing is proportional to it"
				}
				return ""
			},
		}
	}
	register(share("proportional", "write correct current by proportional from supply"))
	ohmic := share("ohmic", "write correct drop by ohmic from crank_current")
	// A drop over a cable or a joint is ohmic over the whole range in which it can be read (trade practice; not across a diode or a film).
	ohmic.allowed = func(c, r, _ float64) bool { return c > 0 && r > 0 }
	register(ohmic)
	// Insulation resistance halves for each 10 K: IEEE 43-2000, 6.3.
	register(&law{
		name: "insulation", usage: "write correct insulation by insulation from winding_temp to 40 °C",
		correct: func(x, c, r, _, _ float64) float64 { return x * math.Exp2((c-r)/10) },
		slopes: func(x, c, r, _, _ float64) (dx, dc, da float64) {
			dx = math.Exp2((c - r) / 10)
			return dx, x * dx * math.Ln2 / 10, 0
		},
		seen: func(x, c, _ spot, r, _ float64) spot {
			factor := math.Exp2((c.v - r) / 10)
			return x.times(spot{factor, factor * (math.Exp2(c.r/10) - 1)})
		},
		allowed: func(c, r, _ float64) bool { return math.Abs(c-r) <= maxHeating },
		check: func(v, c units.Dimension, arg *units.Dimension) string {
			if v != resistance || c.Kind() != units.Temperature || arg != nil {
				return "it corrects an insulation resistance by a temperature"
			}
			return ""
		},
	})
	register(&law{
		name: "linear", usage: "write correct volts by linear (10 mV per 1 K) from case_temp to 25 °C",
		correct: func(x, c, r, a, per float64) float64 { return x + float64(a*((c-r)/per)) },
		slopes:  func(_, c, r, a, per float64) (dx, dc, da float64) { return 1, a / per, (c - r) / per },
		seen: func(x, c, a spot, r, per float64) spot {
			return x.plus(a.times(c.minus(spot{v: r}).over(spot{v: per})))
		},
		allowed: func(_, _, _ float64) bool { return true },
		check: func(v, c units.Dimension, arg *units.Dimension) string {
			if arg == nil {
				return "it needs its coefficient in brackets"
			}
			slope, err := units.Div(apart(v), apart(c))
			if err != nil || units.Match(*arg, slope) != nil {
				return "its coefficient must be " + slope.Name()
			}
			return ""
		},
	})
	// Free-run speed follows the voltage behind the drop: n2 = n1 (V2 − I R)/(V1 − I R).
	register(&law{
		name: "back_emf", usage: "write correct speed by back_emf (current * resist) from supply",
		correct: func(x, c, r, a, _ float64) float64 { return x * (r - a) / (c - a) },
		slopes: func(x, c, r, a, _ float64) (dx, dc, da float64) {
			dx = (r - a) / (c - a)
			return dx, -x * dx / (c - a), x * (dx - 1) / (c - a)
		},
		seen:    func(x, c, a spot, r, _ float64) spot { return x.times(spot{v: r}.minus(a)).over(c.minus(a)) },
		allowed: func(c, r, a float64) bool { return c > a && r > a && math.Abs(c/r-1) <= maxVoltageShare+1e-12 },
		check: func(v, c units.Dimension, arg *units.Dimension) string {
			volt := units.MustUnit("V").Dimension()
			switch {
			case v.Kind() != units.RotationalSpeed:
				return "it corrects a speed"
			case c != volt || arg == nil || units.Match(*arg, volt) != nil:
				return "it needs the supply voltage, and in brackets the drop inside the motor"
			}
			return ""
		},
	})
}

// trust gives the range of the condition in which a law is allowed; it is empty if there is none.
func (l *boundLaw) trust() (from, to float64) {
	from, to = math.Inf(-1), math.Inf(1)
	switch l.k.law.name {
	case "copper":
		return max(l.ref-maxHeating, -copperK), l.ref + maxHeating
	case "aluminium":
		return max(l.ref-maxHeating, -aluminiumK), l.ref + maxHeating
	case "insulation":
		return max(l.ref-maxHeating, 0), l.ref + maxHeating
	case "proportional", "back_emf":
		p, q := l.ref*(1-maxVoltageShare), l.ref*(1+maxVoltageShare)
		return min(p, q), max(p, q)
	case "ohmic":
		if l.ref <= 0 {
			return to, from
		}
		return 0, to
	}
	return from, to
}

// apart is the dimension of the difference of two values.
func apart(d units.Dimension) units.Dimension {
	if d.Kind() == units.Temperature {
		return units.DimensionOf(units.TemperatureDifference)
	}
	return d
}
