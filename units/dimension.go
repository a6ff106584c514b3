package units

// Dimension is what a quantity measures: the powers of length, mass, time, current and temperature in it, and its [Kind]. Dimensions
// are comparable with ==, and safe for concurrent use. The zero value is that of a bare number.
type Dimension struct {
	powers powers
	kind   Kind // never Number: a bare number is Plain without powers
}

// powers are the exponents of length, mass, time, current and temperature.
type powers [5]int8

// None is the dimension of a bare number.
var None Dimension

// The dimensions that have a name, and the SI unit of each.
var (
	length       = Dimension{powers: powers{1, 0, 0, 0, 0}}
	area         = Dimension{powers: powers{2, 0, 0, 0, 0}}
	volume       = Dimension{powers: powers{3, 0, 0, 0, 0}}
	mass         = Dimension{powers: powers{0, 1, 0, 0, 0}}
	duration     = Dimension{powers: powers{0, 0, 1, 0, 0}}
	rate         = Dimension{powers: powers{0, 0, -1, 0, 0}}
	frequency    = Dimension{powers: rate.powers, kind: Frequency}
	rotation     = Dimension{powers: rate.powers, kind: RotationalSpeed}
	speed        = Dimension{powers: powers{1, 0, -1, 0, 0}}
	acceleration = Dimension{powers: powers{1, 0, -2, 0, 0}}
	force        = Dimension{powers: powers{1, 1, -2, 0, 0}}
	pressure     = Dimension{powers: powers{-1, 1, -2, 0, 0}}
	work         = Dimension{powers: powers{2, 1, -2, 0, 0}} // open: torque or energy
	torque       = Dimension{powers: work.powers, kind: Torque}
	energy       = Dimension{powers: work.powers, kind: Energy}
	power        = Dimension{powers: powers{2, 1, -3, 0, 0}}
	inertia      = Dimension{powers: powers{2, 1, 0, 0, 0}}
	massArm      = Dimension{powers: powers{1, 1, 0, 0, 0}}
	current      = Dimension{powers: powers{0, 0, 0, 1, 0}}
	charge       = Dimension{powers: powers{0, 0, 1, 1, 0}}
	voltage      = Dimension{powers: powers{2, 1, -3, -1, 0}}
	resistance   = Dimension{powers: powers{2, 1, -3, -2, 0}}
	conductance  = Dimension{powers: powers{-2, -1, 3, 2, 0}}
	capacitance  = Dimension{powers: powers{-2, -1, 4, 2, 0}}
	inductance   = Dimension{powers: powers{2, 1, -2, -2, 0}}
	flux         = Dimension{powers: powers{2, 1, -2, -1, 0}}
	fluxDensity  = Dimension{powers: powers{0, 1, -2, -1, 0}}
	field        = Dimension{powers: powers{-1, 0, 0, 1, 0}}
	resistivity  = Dimension{powers: powers{3, 1, -3, -2, 0}}
	kelvin       = Dimension{powers: powers{0, 0, 0, 0, 1}} // open: temperature or difference
	temperature  = Dimension{powers: kelvin.powers, kind: Temperature}
	difference   = Dimension{powers: kelvin.powers, kind: TemperatureDifference}
	ratio        = Dimension{kind: Ratio}
	count        = Dimension{kind: Count}
	angle        = Dimension{kind: Angle}
)

type namedDimension struct {
	dim          Dimension
	name, symbol string
}

// namedDimensions stand in the order in which they are tried above "per": what is measured most comes first.
var namedDimensions = [...]namedDimension{
	{voltage, "voltage", "V"},
	{current, "current", "A"},
	{resistance, "resistance", "Ω"},
	{conductance, "conductance", "S"},
	{capacitance, "capacitance", "F"},
	{inductance, "inductance", "H"},
	{charge, "charge", "C"},
	{power, "power", "W"},
	{None, "number", "1"},
	{ratio, "ratio", "1"},
	{count, "count", "1"},
	{angle, "angle", "rev"},
	{temperature, "temperature", "K"},
	{difference, "temperature difference", "K"},
	{kelvin, "temperature difference", "K"},
	{frequency, "frequency", "Hz"},
	{rotation, "speed of rotation", "rev/s"},
	{rate, "frequency or speed of rotation", "s⁻¹"},
	{force, "force", "N"},
	{pressure, "pressure", "Pa"},
	{torque, "torque", "N·m"},
	{energy, "energy", "J"},
	{work, "torque or energy", "N·m"},
	{length, "length", "m"},
	{area, "area", "m²"},
	{volume, "volume", "m³"},
	{mass, "mass", "kg"},
	{duration, "time", "s"},
	{speed, "speed", "m/s"},
	{acceleration, "acceleration", "m/s²"},
	{inertia, "moment of inertia", "kg·m²"},
	{flux, "magnetic flux", "Wb"},
	{fluxDensity, "magnetic flux density", "T"},
	{field, "magnetic field strength", "A/m"},
	{resistivity, "resistivity", "Ω·m"},
	{massArm, "mass times length", "kg·m"},
}

// denominators are what the trade measures things per.
var denominators = [...]namedDimension{
	{kelvin, "temperature difference", "K"},
	{length, "length", "m"},
	{area, "area", "m²"},
	{current, "current", "A"},
	{voltage, "voltage", "V"},
	{duration, "time", "s"},
	{mass, "mass", "kg"},
}

// Name returns what d measures in words, such as "resistance" or "voltage per temperature difference". A dimension without a name
// in the trade is named by its SI unit.
func (d Dimension) Name() string {
	name, _ := d.describe()
	return name
}

// String returns the symbol of the SI unit of d, such as "Ω" or "V/K", and "1" where there is none. A speed of rotation has "rev/s".
func (d Dimension) String() string {
	_, symbol := d.describe()
	return symbol
}

// Unit returns the SI unit of d: the one that String spells, measuring d.
func (d Dimension) Unit() Unit {
	return MustUnit(d.String()).with(d)
}

// describe looks d up, then tries what it is per what, then spells it in base units.
func (d Dimension) describe() (name, symbol string) {
	for _, n := range namedDimensions {
		if n.dim == d {
			return n.name, n.symbol
		}
	}
	for _, bottom := range denominators {
		for _, top := range namedDimensions {
			if top.dim.kind != Plain {
				continue
			}
			if p, ok := top.dim.powers.plus(bottom.dim.powers, -1); !ok || p != d.powers {
				continue
			}
			name = top.name + " per " + bottom.name
			if top.dim == None {
				return name, d.powers.String()
			}
			return name, top.symbol + "/" + bottom.symbol
		}
	}
	symbol = d.powers.String()
	return "quantity in " + symbol, symbol
}

// String spells the powers in base units.
func (p powers) String() string {
	var above, below []factor
	for _, base := range [...]factor{{"kg", p[1]}, {"m", p[0]}, {"s", p[2]}, {"A", p[3]}, {"K", p[4]}} {
		if base.power > 0 {
			above = append(above, base)
		} else if base.power < 0 {
			below = append(below, base)
		}
	}
	return spell(append(above, below...))
}

// plus returns the powers of a product with the n-th power of q. It is false when they grow beyond what Dimension holds.
func (p powers) plus(q powers, n int) (powers, bool) {
	for i := range p {
		e := int(p[i]) + n*int(q[i])
		if e < -maxPower || e > maxPower {
			return powers{}, false
		}
		p[i] = int8(e)
	}
	return p, true
}

// maxPower bounds the powers in a dimension, and the ones a unit is written with.
const maxPower = 9

// Pow returns the dimension of the n-th power of a quantity. The first power keeps the kind of d, any other is Plain. Powers beyond
// ±9 are beyond what a Dimension holds and stay at ±9.
func (d Dimension) Pow(n int) Dimension {
	switch n {
	case 0:
		return None
	case 1:
		return d
	}
	n = max(-maxPower-1, min(maxPower+1, n))
	var p powers
	for i := range p {
		p[i] = int8(max(-maxPower, min(maxPower, int(d.powers[i])*n)))
	}
	return Dimension{powers: p}
}
