package proof

import (
	"math"
	"slices"
)

// Terms that are not linear: points are searched for, and ranges of variables ruled out by the range that the term has over them.

// far is as far from zero as points are searched for: no reading is greater.
const far = 1e15

// scan tries points of a box for terms that are not linear: first those that a term proposes, then those to which one variable alone leads; at last it
// parts the ranges of the variables until no part can hold the terms any more, a point is found, or the work is too much.
func (s *solver) scan(b box, linear []int) bool {
	terms, variables := s.linkedBy(b, linear)
	low, high := s.corners(b)
	at := s.values(b)
	if s.accept(b, at) || s.proposed(b, terms, at, low, high) || s.reach(b, terms, at, low, high) {
		return true
	}
	for _, x := range []float64{1, 10, 1e-3} { // from zero no product or quotient leads anywhere
		for _, v := range variables {
			at[v] = math.Min(math.Max(x, low[v]), high[v])
		}
		if s.reach(b, terms, at, low, high) {
			return true
		}
	}
	work := 500
	if !s.part(b, variables, 0, low, high, at, &work) && work > 0 {
		return false
	}
	if s.found != nil {
		return true
	}
	s.unclear("it turns on " + s.chosen(b))
	return false
}

// linkedBy lists the terms that were chosen, and with those given the variables in them.
func (s *solver) linkedBy(b box, variables []int) (terms, all []int) {
	all = slices.Clone(variables)
	for i := len(s.p.Space); i < len(s.lines); i++ {
		if s.narrowed(b, i) {
			terms = append(terms, i)
			all = append(all, s.lines[i].term.of()...)
		}
	}
	slices.Sort(all)
	return terms, slices.Compact(all)
}

// proposed tries the values that terms propose.
func (s *solver) proposed(b box, terms []int, at, low, high Point) bool {
	for _, i := range terms {
		t := s.lines[i].term
		if t.Tries == nil {
			continue
		}
		for _, values := range t.Tries(low, high) {
			try := slices.Clone(at)
			for k, v := range t.Of {
				try[v] = values[k]
			}
			if s.accept(b, try) || s.reach(b, terms, try, low, high) {
				return true
			}
		}
	}
	return false
}

// reach brings one term after the other into its cells, by changing one of its variables, and takes the point if all terms are there in the end.
func (s *solver) reach(b box, terms []int, from, low, high Point) bool {
	for turn := range 3 { // which of its variables each term changes
		at := slices.Clone(from)
		for range 4 {
			moved := false
			for _, i := range terms {
				of := s.lines[i].term.of()
				if s.within(b, i, s.lines[i].term.Value(at)) {
					continue
				}
				for k := range of {
					if moved = s.move(b, i, of[(turn+k)%len(of)], at, low, high); moved {
						break
					}
				}
				if !moved {
					break
				}
			}
			if s.accept(b, at) {
				s.polish(b, terms)
				return true
			}
			if !moved {
				break
			}
		}
	}
	return false
}

// move changes one variable until a term is in its cells. It stands still if that does not lead there.
func (s *solver) move(b box, term, v int, at, low, high Point) bool {
	t := s.lines[term].term
	was := at[v]
	from, to, _, _ := s.span(b, term)
	value := func(x float64) float64 {
		at[v] = x
		return t.Value(at)
	}
	// Which side of its cells the term is on; 0 inside, 2 where it has no value.
	side := func(y float64) int {
		switch {
		case math.IsNaN(y):
			return 2
		case s.within(b, term, y):
			return 0
		case y <= from:
			return -1
		case y >= to:
			return 1
		}
		return 2
	}
	last, lastSide := 0.0, 0
	for _, x := range ladder(low[v], high[v]) {
		here := side(value(x))
		if here == 0 {
			return true
		}
		if lastSide != 0 && here != lastSide {
			p, q := last, x
			for range 200 {
				middle := p + (q-p)/2
				if middle <= p || middle >= q {
					break
				}
				switch side(value(middle)) {
				case 0:
					return true
				case lastSide:
					p = middle
				default:
					q = middle
				}
			}
		}
		last, lastSide = x, here
	}
	at[v] = was
	return false
}

// ladder lists values of a range: its ends, powers of ten, and some between near ends.
func ladder(low, high float64) []float64 {
	low, high = math.Max(low, -far), math.Min(high, far)
	list := []float64{low, high}
	for k := -6; k <= 15; k++ {
		list = append(list, math.Pow10(k), -math.Pow10(k))
	}
	if high-low < far {
		for k := range 9 {
			list = append(list, low+(high-low)*float64(k+1)/10)
		}
	}
	list = slices.DeleteFunc(append(list, 0), func(x float64) bool { return x < low || x > high })
	slices.Sort(list)
	return slices.Compact(list)
}

// polish puts values that read well in the place of those that were found, where all terms stay in their cells.
func (s *solver) polish(b box, terms []int) {
	for _, i := range terms {
		for _, v := range s.lines[i].term.of() {
			at := slices.Clone(s.found)
			x := at[v]
			for _, reach := range []float64{0.3, 0.1, 0.03, 0.01, 1e-3, 1e-4, 1e-6} {
				d := math.Abs(x) * reach
				y, ok := s.p.Space[v].between(x-d, x+d)
				if at[v] = y; ok && s.accept(b, at) {
					break
				}
				at = slices.Clone(s.found)
			}
		}
	}
}

// part searches what lies between low and high; it parts the variables in turn.
func (s *solver) part(b box, variables []int, turn int, low, high, at Point, work *int) bool {
	if *work--; *work <= 0 {
		return false
	}
	for i := len(s.p.Space); i < len(s.lines); i++ {
		if s.narrowed(b, i) && s.outOfRange(b, i, low, high) {
			return false
		}
	}
	at = slices.Clone(at)
	for _, v := range variables {
		at[v] = half(low[v], high[v])
	}
	if s.accept(b, at) {
		return true
	}
	for range variables {
		v := variables[turn%len(variables)]
		turn++
		middle := half(low[v], high[v])
		if middle <= low[v] || middle >= high[v] {
			continue
		}
		upper, lower := slices.Clone(low), slices.Clone(high)
		upper[v], lower[v] = middle, middle
		return s.part(b, variables, turn, low, lower, at, work) || s.part(b, variables, turn, upper, high, at, work)
	}
	return false
}

// half parts a range; one without an end, at a value far beyond the other.
func half(low, high float64) float64 {
	switch {
	case low < 0 && high > 0:
		return 0
	case low >= 0 && high > 4*low+4:
		return 2*low + 1
	case high <= 0 && low < 4*high-4:
		return 2*high - 1
	}
	return low + (high-low)/2
}
