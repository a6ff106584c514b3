package units

// Kind tells apart quantities that share a dimension: a temperature and a temperature difference are both measured in kelvins, a
// torque and an energy both in newtons times metres.
type Kind uint8

// The kinds. A quantity of one of the kinds from Ratio on does not mix with another kind of the same dimension. A Plain quantity of
// that dimension is open: it fits any of them. So K fits Temperature and TemperatureDifference, the product of a force and a length
// fits Torque and Energy, and the reciprocal of a time fits Frequency and RotationalSpeed.
const (
	Plain                 Kind = iota // known by its dimension alone: volts, amperes, millimetres
	Number                            // a bare number; fits Ratio, Count and Angle
	Ratio                             // %, ppm, points of gravity
	Count                             // poles, bars, teeth; written without a unit
	Temperature                       // a point on a scale: °C, °F
	TemperatureDifference             // Δ°C, Δ°F
	Frequency                         // cycles per second
	RotationalSpeed                   // turns per second
	Torque                            // force times lever arm
	Energy                            // force times way, power times time
	Angle                             // counted in turns, as RotationalSpeed counts turns
)

var kindNames = [...]string{
	Plain:                 "plain",
	Number:                "number",
	Ratio:                 "ratio",
	Count:                 "count",
	Temperature:           "temperature",
	TemperatureDifference: "temperature difference",
	Frequency:             "frequency",
	RotationalSpeed:       "speed of rotation",
	Torque:                "torque",
	Energy:                "energy",
	Angle:                 "angle",
}

// String returns the name of the kind in lower case, for messages.
func (k Kind) String() string {
	if int(k) < len(kindNames) {
		return kindNames[k]
	}
	return "unknown kind"
}

// DimensionOf returns the dimension of quantities of kind k. Plain names no dimension of its own; for it, as for Number, DimensionOf
// returns None.
func DimensionOf(k Kind) Dimension {
	switch k {
	case Ratio:
		return ratio
	case Count:
		return count
	case Temperature:
		return temperature
	case TemperatureDifference:
		return difference
	case Frequency:
		return frequency
	case RotationalSpeed:
		return rotation
	case Torque:
		return torque
	case Energy:
		return energy
	case Angle:
		return angle
	}
	return None
}

// Kind returns the kind of d: Number for a bare number, Plain where nothing but the dimension is known.
func (d Dimension) Kind() Kind {
	if d == None {
		return Number
	}
	return d.kind
}

// bare reports whether a quantity of dimension d scales another in a product without changing what it is.
func (d Dimension) bare() bool {
	return d.powers == powers{} && d.kind != Angle
}

// open reports whether d has no kind of its own.
func (d Dimension) open() bool { return d.kind == Plain }

// turning reports whether d counts turns.
func (d Dimension) turning() bool { return d.kind == RotationalSpeed || d.kind == Angle }

// fits reports whether a and b may be compared.
func (d Dimension) fits(o Dimension) bool {
	return d == o || d.powers == o.powers && (d.open() || o.open())
}
