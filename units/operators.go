package units

// Add returns the dimension of a sum. A temperature plus a difference is a temperature; two temperatures have no sum.
// The error is a *[DimensionError].
func Add(a, b Dimension) (Dimension, error) {
	switch {
	case a.kind == Temperature && b.kind == Temperature:
		return None, &DimensionError{Op: "add", Left: a, Right: b, Hint: "two temperatures have no sum: write the second as a difference, such as 5 K"}
	case a.kind == Temperature && b.powers == a.powers:
		return a, nil
	case b.kind == Temperature && a.powers == b.powers:
		return b, nil
	case !a.fits(b):
		return None, mismatch("add", a, b)
	case a.open():
		return b, nil
	}
	return a, nil
}

// Sub returns the dimension of the difference a - b. A temperature less a temperature is a difference, a temperature less a
// difference (or less kelvins) a temperature. The error is a *[DimensionError].
func Sub(a, b Dimension) (Dimension, error) {
	switch {
	case a.kind == Temperature && b.kind == Temperature:
		return difference, nil
	case a.kind == Temperature && b.powers == a.powers:
		return a, nil
	case b.kind == Temperature && a.powers == b.powers:
		return None, &DimensionError{Op: "subtract", Left: a, Right: b, Hint: "a temperature cannot be taken from a difference: write both in °C, or both in K"}
	case !a.fits(b):
		return None, mismatch("subtract", a, b)
	case a.open():
		return b, nil
	}
	return a, nil
}

// Mul returns the dimension of a product. A bare number, a ratio or a count scales the other factor and leaves its kind alone;
// otherwise the product is Plain. Refused are a temperature (take a difference first), and a torque times a turning: the factor 2π
// between turns and radians would be lost. The error is a *[DimensionError].
func Mul(a, b Dimension) (Dimension, error) {
	switch {
	case a.kind == Temperature || b.kind == Temperature:
		return None, &DimensionError{Op: "multiply", Left: a, Right: b, Hint: pointHint}
	case a.leverage() && b.turning(), b.leverage() && a.turning():
		hint := "use power(torque, speed): turns are no radians, the product lacks 2π"
		if a.kind == Angle || b.kind == Angle {
			hint = "multiply by the angle in radians, as a bare number"
		}
		return None, &DimensionError{Op: "multiply", Left: a, Right: b, Hint: hint}
	}
	return product("multiply", a, b, 1)
}

// Div returns the dimension of a quotient. What holds for [Mul] holds here; a power divided by a torque or by a speed of rotation
// is refused for the same factor 2π. Two quantities of one dimension give a bare number, so a frequency divided by a speed of
// rotation is cycles per turn. The error is a *[DimensionError].
func Div(a, b Dimension) (Dimension, error) {
	refuse := func(hint string) (Dimension, error) {
		return None, &DimensionError{Op: "divide", Left: a, Right: b, Hint: hint}
	}
	switch {
	case a.kind == Temperature || b.kind == Temperature:
		return refuse(pointHint)
	case a == power && b.kind == RotationalSpeed:
		return refuse("use torque(power, speed): turns are no radians, the quotient lacks 2π")
	case a == power && b.kind == Torque:
		return refuse("use speed(power, torque): turns are no radians, the quotient lacks 2π")
	case a.kind == Torque && b.kind == Energy, a.kind == Energy && b.kind == Torque:
		return refuse("write N·m for a torque, J for an energy, the same for both")
	}
	return product("divide", a, b, -1)
}

const pointHint = "a temperature has no multiples: subtract a reference first, such as (t - 20 °C), or write a difference in K"

// leverage reports whether d is a torque, or may be one.
func (d Dimension) leverage() bool { return d == torque || d == work }

// product returns the dimension of a·b^n, for n of 1 or -1.
func product(op string, a, b Dimension, n int) (Dimension, error) {
	switch {
	case a.bare() && b.bare():
		return None, nil
	case b.bare():
		return a, nil
	case a.bare() && n == 1:
		return b, nil
	}
	p, ok := a.powers.plus(b.powers, n)
	if !ok {
		return None, &DimensionError{Op: op, Left: a, Right: b, Hint: "no quantity has such powers: check the formula"}
	}
	return Dimension{powers: p}, nil
}

// Match reports whether a may be compared with b, or a value of dimension a stored where b is declared. The error is a
// *[DimensionError] that says what to write.
func Match(a, b Dimension) error {
	if a.fits(b) {
		return nil
	}
	return mismatch("compare", a, b)
}

// mismatch is the error for two dimensions that do not fit, with what to write instead.
func mismatch(op string, a, b Dimension) error {
	hint := ""
	pair := func(x, y Kind) bool { return a.kind == x && b.kind == y || a.kind == y && b.kind == x }
	switch {
	case a.powers != b.powers && a.bare():
		hint = "write the number with its unit, such as " + b.example()
	case a.powers != b.powers && b.bare():
		hint = "write the number with its unit, such as " + a.example()
	case massForForce(a, b), massForForce(b, a):
		hint = "lb and kg are masses: write lbf, ozf, kgf or N for a force"
	case a.powers != b.powers:
		hint = "write both in " + a.example() + ", or both in " + b.example()
	case pair(Temperature, TemperatureDifference):
		hint = "write a difference as 5 K or 5 Δ°C, a temperature as 20 °C"
	case pair(Frequency, RotationalSpeed):
		hint = "write cycles in Hz, turns in rpm; frequency = pole pairs * speed"
	case pair(Torque, Energy):
		hint = "write a torque in N·m, an energy in J"
	case pair(Ratio, Count):
		hint = "write a ratio as 50 %, a count as a whole number without unit"
	default:
		hint = "write an angle in ° or rad, a ratio in %, a count as a bare number"
	}
	return &DimensionError{Op: op, Left: a, Right: b, Hint: hint}
}

// massForForce reports whether m would be f if its mass were the weight of it: kg·m for kgf·m, lb/in for lbf/in.
func massForForce(m, f Dimension) bool {
	p, ok := m.powers.plus(acceleration.powers, 1)
	return ok && p == f.powers && f.powers[1] == 1
}

// example returns the unit in which the trade writes d.
func (d Dimension) example() string {
	switch d.kind {
	case Temperature:
		return "°C"
	case RotationalSpeed:
		return "rpm"
	}
	return d.String()
}
