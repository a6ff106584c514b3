package proof

// A Term is a number computed from variables.
type Term struct {
	Name string

	// Value computes the term at a point, with the very operations in float64 whose results are compared.
	Value func(Point) float64

	// Linear gives the term as it is before rounding: the sum of its parts and Add. It is nil for a term that is not linear.
	Linear []Part
	Add    float64

	// Rounds is how many of the operations of Value round their results, along with the products in it: 1 for the difference of two variables.
	Rounds int

	// Of lists the variables of a term that is not linear.
	Of []int
}

// A Part is a multiple of a variable.
type Part struct {
	Variable int
	Times    float64
}

// Difference is the term x - y of two variables.
func Difference(name string, x, y int) *Term {
	return &Term{
		Name: name, Value: func(p Point) float64 { return p[x] - p[y] },
		Linear: []Part{{x, 1}, {y, -1}}, Rounds: 1,
	}
}

// of lists the variables of a term.
func (t *Term) of() []int {
	if t.Linear == nil {
		return t.Of
	}
	list := make([]int, len(t.Linear))
	for i, p := range t.Linear {
		list[i] = p.Variable
	}
	return list
}
