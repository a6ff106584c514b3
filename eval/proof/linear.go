package proof

import (
	"math"
	"math/big"
	"math/bits"
	"slices"
	"strings"
)

// Terms that link variables: which choices of cells can go together.

// model is the system of inequalities of a box. A variable x is up - down, of which one alone is there if its sign is known.
type model struct {
	system
	variables []int // those that chosen linear terms link
	up, down  map[int]int
}

// Where several terms are taken together, a number is zero or in size at least least, and at most most. No reading is smaller or greater; what
// underflow adds is far less, and what rounding adds is bounded.
const (
	least = 0x1p-100
	most  = 1e12
)

// model sets up the inequalities of a box. rounded widens those on terms by as much as rounding can bring about, so that a box without a solution
// has no point.
func (s *solver) model(b box, rounded bool) *model {
	m := &model{up: map[int]int{}, down: map[int]int{}}
	for i := len(s.p.Space); i < len(s.lines); i++ {
		if t := s.lines[i].term; t.Linear != nil && s.narrowed(b, i) {
			for _, p := range t.Linear {
				if !slices.Contains(m.variables, p.Variable) {
					m.variables = append(m.variables, p.Variable)
				}
			}
		}
	}
	slices.Sort(m.variables)
	for _, v := range m.variables {
		low, high, _, _ := s.span(b, v)
		if high > 0 {
			m.up[v] = m.unknowns
			m.unknowns++
		}
		if low < 0 {
			m.down[v] = m.unknowns
			m.unknowns++
		}
	}
	for _, v := range m.variables {
		low, high, lowOpen, highOpen := s.span(b, v)
		if rounded && low == 0 && lowOpen {
			low, lowOpen = least, false
		}
		if rounded && high == 0 && highOpen {
			high, highOpen = -least, false
		}
		if rounded {
			low, high = math.Max(low, -most), math.Min(high, most)
		}
		m.bound([]Part{{v, one}}, nil, low, high, lowOpen, highOpen)
		if rounded && low < 0 && high > 0 { // the size of x is at most up + down
			m.limit(m.up[v], high)
			m.limit(m.down[v], -low)
		}
	}
	for i := len(s.p.Space); i < len(s.lines); i++ {
		t := s.lines[i].term
		if t.Linear == nil || !s.narrowed(b, i) {
			continue
		}
		low, high, lowOpen, highOpen := s.span(b, i)
		switch {
		case !rounded || t.Rounds == 0:
			m.bound(t.Linear, t.Add, low, high, lowOpen, highOpen)
		case t.Rounds == 1:
			m.boundOnce(t, low, high, lowOpen, highOpen)
		default:
			m.boundOften(t, low, high)
		}
	}
	return m
}

// limit bounds an unknown.
func (m *model) limit(unknown int, bound float64) {
	times := make([]*big.Rat, m.unknowns)
	times[unknown] = one
	m.add(false, rational(bound), times)
}

// times spreads parts over the unknowns.
func (m *model) times(parts []Part, sign int64) []*big.Rat {
	list := make([]*big.Rat, m.unknowns)
	factor := big.NewRat(sign, 1)
	for _, p := range parts {
		t := new(big.Rat).Mul(p.Times, factor)
		if k, ok := m.up[p.Variable]; ok {
			list[k] = t
		}
		if k, ok := m.down[p.Variable]; ok {
			list[k] = new(big.Rat).Neg(t)
		}
	}
	return list
}

func less(x, y *big.Rat) *big.Rat {
	if y == nil {
		return x
	}
	return new(big.Rat).Sub(x, y)
}

// bound says that a sum lies between two values.
func (m *model) bound(parts []Part, add *big.Rat, low, high float64, lowOpen, highOpen bool) {
	if !math.IsInf(high, 0) {
		m.add(highOpen, less(rational(high), add), m.times(parts, 1))
	}
	if !math.IsInf(low, 0) {
		r := less(rational(low), add)
		m.add(lowOpen, new(big.Rat).Neg(r), m.times(parts, -1))
	}
}

// exactAtZero tells whether a sum rounds to zero only if it is zero, as that of two numbers does.
func (t *Term) exactAtZero() bool {
	return (t.Add == nil || t.Add.Sign() == 0) && !slices.ContainsFunc(t.Linear, func(p Part) bool { return p.Times.Cmp(one) != 0 && p.Times.Cmp(minusOne) != 0 })
}

// boundOnce allows for one rounding. Rounding never exchanges two numbers, so what rounds to a value above low was above low itself.
func (m *model) boundOnce(t *Term, low, high float64, lowOpen, highOpen bool) {
	if !math.IsInf(high, 0) {
		limit := rational(high)
		if !highOpen && (high != 0 || !t.exactAtZero()) {
			limit = halfway(high, 1)
		}
		m.add(highOpen, less(limit, t.Add), m.times(t.Linear, 1))
	}
	if !math.IsInf(low, 0) {
		limit := rational(low)
		if !lowOpen && (low != 0 || !t.exactAtZero()) {
			limit = halfway(low, -1)
		}
		limit = less(limit, t.Add)
		m.add(lowOpen, new(big.Rat).Neg(limit), m.times(t.Linear, -1))
	}
}

// boundOften allows for several roundings: the error of a sum is at most rounds times 2^-53 of the sum of the sizes of its parts, to first order
// (Higham, Accuracy and Stability of Numerical Algorithms, 2002, chapters 3 and 4). The next power of two covers the higher orders.
func (m *model) boundOften(t *Term, low, high float64) {
	error := new(big.Rat).SetFrac64(1, 1<<(53-bits.Len(uint(t.Rounds))))
	size := rational(0x1p-200) // more than underflow can add
	if t.Add != nil {
		size.Add(size, new(big.Rat).Mul(error, new(big.Rat).Abs(t.Add)))
	}
	widen := func(times []*big.Rat) []*big.Rat {
		for _, p := range t.Linear {
			e := new(big.Rat).Mul(error, new(big.Rat).Abs(p.Times))
			for _, of := range []map[int]int{m.up, m.down} {
				if k, ok := of[p.Variable]; ok {
					times[k] = new(big.Rat).Sub(times[k], e)
				}
			}
		}
		return times
	}
	if !math.IsInf(high, 0) {
		r := less(rational(high), t.Add)
		m.add(false, new(big.Rat).Add(r, size), widen(m.times(t.Linear, 1)))
	}
	if !math.IsInf(low, 0) {
		r := less(rational(low), t.Add)
		m.add(false, new(big.Rat).Sub(size, r), widen(m.times(t.Linear, -1)))
	}
}

// apart tells whether the choice of cells for a line cannot go together with those of the lines that terms link it to.
func (s *solver) apart(b box, line int) bool {
	linear := false
	for i := len(s.p.Space); i < len(s.lines); i++ {
		t := s.lines[i].term
		if i != line && !slices.Contains(t.of(), line) || !s.narrowed(b, i) {
			continue
		}
		if low, high := s.corners(b); s.outOfRange(b, i, low, high) {
			return true
		}
		linear = linear || t.Linear != nil
	}
	if !linear || s.systems <= 0 {
		return false
	}
	s.systems--
	_, out := s.model(b, true).solvable()
	return out == impossible
}

// outOfRange tells whether a term cannot have a value in its cells where its variables lie between low and high.
func (s *solver) outOfRange(b box, i int, low, high Point) bool {
	t := s.lines[i].term
	if t.Range == nil {
		return false
	}
	down, up := t.Range(low, high)
	from, to, fromOpen, toOpen := s.span(b, i)
	return up < from || up == from && fromOpen || down > to || down == to && toOpen
}

// corners gives the least and the greatest value of each variable in a box.
func (s *solver) corners(b box) (low, high Point) {
	low, high = make(Point, len(s.p.Space)), make(Point, len(s.p.Space))
	for i, v := range s.p.Space {
		if v.Words > 0 {
			continue
		}
		from, to, fromOpen, toOpen := s.span(b, i)
		switch {
		case fromOpen && from == 0:
			from = least
		case fromOpen:
			from = math.Nextafter(from, math.Inf(1))
		}
		switch {
		case toOpen && to == 0:
			to = -least
		case toOpen:
			to = math.Nextafter(to, math.Inf(-1))
		}
		low[i], high[i] = from, to
	}
	return low, high
}

// witness looks for a point in a box in which terms are chosen.
func (s *solver) witness(b box, linked bool) bool {
	if !linked {
		return s.scan(b, nil)
	}
	if s.systems <= 0 {
		s.unclear("there are too many cases")
		return false
	}
	s.systems--
	m := s.model(b, false)
	x, out := m.solvable()
	switch out {
	case impossible:
		return s.rounded(b)
	case exhausted:
		s.unclear("the inequalities are too many")
		return false
	}
	if s.nicely(b, m) {
		return true
	}
	if out == solved && s.accept(b, m.point(s, b, x)) {
		return true
	}
	return s.scan(b, m.variables)
}

// rounded treats a box that has no point but for the rounding of terms.
func (s *solver) rounded(b box) bool {
	m := s.model(b, true)
	x, out := m.solvable()
	if out == impossible {
		return false
	}
	if out == solved && s.accept(b, m.point(s, b, x)) {
		return true
	}
	s.unclear("it turns on the rounding of " + s.chosen(b))
	return false
}

// chosen names the terms that were chosen.
func (s *solver) chosen(b box) string {
	var names []string
	for i := len(s.p.Space); i < len(s.lines); i++ {
		if name := ""; s.narrowed(b, i) {
			if name = s.lines[i].term.Name; !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	if len(names) > 3 {
		names = append(names[:3], "others")
	}
	return strings.Join(names, ", ")
}

func (s *solver) accept(b box, at Point) bool {
	if !s.fits(b, at) {
		return false
	}
	s.found, s.in = at, b
	return true
}

// point brings a solution to float64; variables that no term links take a value of their own.
func (m *model) point(s *solver, b box, x []*big.Rat) Point {
	at := s.values(b)
	for _, v := range m.variables {
		at[v], _ = m.value(v, x).Float64()
	}
	return at
}

func (m *model) value(v int, x []*big.Rat) *big.Rat {
	r := new(big.Rat)
	if k, ok := m.up[v]; ok {
		r.Add(r, x[k])
	}
	if k, ok := m.down[v]; ok {
		r.Sub(r, x[k])
	}
	return r
}

// nicely gives the variables one after the other values that read well: each lies inside of what those before it leave open.
func (s *solver) nicely(b box, m *model) bool {
	at := s.values(b)
	for _, v := range m.variables {
		low, high, ok := m.extent(v)
		if !ok {
			return false
		}
		x, inside := s.p.Space[v].between(low, high)
		if !inside {
			x = low
		}
		if math.IsInf(x, 0) {
			return false
		}
		at[v] = x
		m.bound([]Part{{v, one}}, nil, x, x, false, false)
	}
	return s.accept(b, at)
}

// extent gives the least and the greatest value that a variable can have.
func (m *model) extent(v int) (low, high float64, ok bool) {
	ends := [2]float64{math.Inf(-1), math.Inf(1)}
	for i, sign := range []int64{-1, 1} {
		x, out := m.best(m.times([]Part{{v, one}}, sign))
		switch out {
		case solved:
			ends[i], _ = m.value(v, x).Float64()
		case unbounded:
		default:
			return 0, 0, false
		}
	}
	return ends[0], ends[1], true
}
