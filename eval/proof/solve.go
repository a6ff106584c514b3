package proof

import (
	"math"
	"slices"
	"strings"
)

// A State tells whether a condition can be met.
type State uint8

const (
	Unmet   State = iota // no point meets it
	Met                  // a point does
	Unclear              // it cannot be decided here
)

// An Answer tells whether a condition can be met: at a point, or why that cannot be decided.
type Answer struct {
	State State
	At    Point  // of Met
	Why   string // of Unclear
}

// A Prover decides conditions over a space. Its fields bound the work for one question.
type Prover struct {
	Space   Space
	Choices int // how often cells may be told apart, 20000 if 0
	Systems int // how many systems of linear inequalities may be solved, 400 if 0
}

// Can tells whether a point meets all of the conditions.
func (p *Prover) Can(conditions ...*Condition) Answer { return p.solve(All(conditions...), false) }

// CanInside is Can without the points at which a number equals a constant that it is compared with: what is met there only is met at an edge.
func (p *Prover) CanInside(conditions ...*Condition) Answer { return p.solve(All(conditions...), true) }

// line is a variable or a term, cut into cells: cell 2k+1 is the point cuts[k], cell 2k the open interval before it.
type line struct {
	term *Term // nil for a variable
	cuts []float64
}

// cells is what is left of a line: a range of cells, or a set of words.
type cells struct {
	from, to int
	words    uint64
}

type box []cells

// solver answers one question.
type solver struct {
	p       *Prover
	inside  bool // points are no cells
	lines   []line
	at      map[*Term]int
	root    *node
	full    box // before any choice
	choices int
	systems int
	found   Point
	why     []string
}

func (p *Prover) solve(c *Condition, inside bool) Answer {
	s := &solver{p: p, inside: inside, at: map[*Term]int{}, choices: 20000, systems: 400}
	if p.Choices > 0 {
		s.choices = p.Choices
	}
	if p.Systems > 0 {
		s.systems = p.Systems
	}
	s.lines = make([]line, len(p.Space))
	s.cut(c)
	s.cutBounds()
	s.root = s.node(c)
	if s.start() && s.search(s.full) {
		return Answer{State: Met, At: s.found}
	}
	if len(s.why) > 0 {
		return Answer{State: Unclear, Why: strings.Join(s.why, "; ")}
	}
	return Answer{State: Unmet}
}

// unclear notes why the answer no is not certain.
func (s *solver) unclear(why string) {
	if !slices.Contains(s.why, why) {
		s.why = append(s.why, why)
	}
}

// cut notes the constants that each line is compared with.
func (s *solver) cut(c *Condition) {
	if c.op == opCompare {
		k := c.variable
		if c.term != nil {
			k = s.lineOf(c.term)
		}
		if !math.IsInf(c.value, 0) && !math.IsNaN(c.value) {
			s.lines[k].cuts = append(s.lines[k].cuts, c.value+0) // no negative zero
		}
	}
	for _, a := range c.args {
		s.cut(a)
	}
}

func (s *solver) lineOf(t *Term) int {
	k, ok := s.at[t]
	if !ok {
		k = len(s.lines)
		s.at[t] = k
		s.lines = append(s.lines, line{term: t})
	}
	return k
}

// cutBounds cuts variables at their bounds too, and at zero where a term of several operations needs to know their sign.
func (s *solver) cutBounds() {
	for i, v := range s.p.Space {
		for _, x := range []float64{v.Low, v.High} {
			if v.Words == 0 && !math.IsInf(x, 0) {
				s.lines[i].cuts = append(s.lines[i].cuts, x+0)
			}
		}
	}
	for _, l := range s.lines {
		if l.term != nil && l.term.Rounds > 1 {
			for _, v := range l.term.of() {
				s.lines[v].cuts = append(s.lines[v].cuts, 0)
			}
		}
	}
	for i := range s.lines {
		slices.Sort(s.lines[i].cuts)
		s.lines[i].cuts = slices.Compact(s.lines[i].cuts)
	}
}

// node puts a condition into ranges of cells.
func (s *solver) node(c *Condition) *node {
	n := &node{op: c.op, line: c.variable, mask: c.mask, least: c.least, most: c.most}
	if c.op == opCompare {
		if c.term != nil {
			n.line = s.at[c.term]
		}
		n.from, n.to = s.lines[n.line].where(c.comparison, c.value)
	}
	for _, a := range c.args {
		n.args = append(n.args, s.node(a))
	}
	return n
}

// where gives the cells in which a comparison holds.
func (l *line) where(c Comparison, value float64) (from, to int) {
	k, there := slices.BinarySearch(l.cuts, value)
	last := 2 * len(l.cuts)
	point := 2*k + 1
	if !there { // infinity: all cells lie on one side of it; not a number: no comparison holds
		switch {
		case math.IsInf(value, 1) && (c == AtMost || c == Below), math.IsInf(value, -1) && (c == AtLeast || c == Above):
			return 0, last
		}
		return 1, 0
	}
	switch c {
	case AtLeast:
		return point, last
	case Above:
		return point + 1, last
	case AtMost:
		return 0, point
	case Below:
		return 0, point - 1
	}
	return point, point
}

// ends gives the values between which a cell lies; for a point they are equal.
func (l *line) ends(cell int) (low, high float64) {
	if cell%2 == 1 {
		return l.cuts[cell/2], l.cuts[cell/2]
	}
	low, high = math.Inf(-1), math.Inf(1)
	if k := cell / 2; k > 0 {
		low = l.cuts[k-1]
	}
	if k := cell / 2; k < len(l.cuts) {
		high = l.cuts[k]
	}
	return low, high
}

// empty tells whether a cell has no float64 in it.
func (s *solver) empty(l *line, cell int) bool {
	if cell%2 == 1 {
		return s.inside
	}
	low, high := l.ends(cell)
	return math.Nextafter(low, high) >= high
}

// start sets up the box before any choice; false if a variable has no value at all.
func (s *solver) start() bool {
	s.full = make(box, len(s.lines))
	for i := range s.lines {
		l, c := &s.lines[i], &s.full[i]
		c.to = 2 * len(l.cuts)
		if i >= len(s.p.Space) {
			if !s.shrink(i, c) {
				return false
			}
			continue
		}
		v := &s.p.Space[i]
		if v.Words > 0 {
			c.words = 1<<v.Words - 1
			continue
		}
		if !math.IsInf(v.Low, 0) {
			c.from, _ = l.where(pick(v.LowOpen, Above, AtLeast), v.Low)
		}
		if !math.IsInf(v.High, 0) {
			_, c.to = l.where(pick(v.HighOpen, Below, AtMost), v.High)
		}
		if !s.shrink(i, c) {
			return false
		}
	}
	return true
}

func pick(cond bool, yes, no Comparison) Comparison {
	if cond {
		return yes
	}
	return no
}

// shrink takes empty cells off both ends; false if none is left.
func (s *solver) shrink(i int, c *cells) bool {
	for c.from <= c.to && s.empty(&s.lines[i], c.from) {
		c.from++
	}
	for c.from <= c.to && s.empty(&s.lines[i], c.to) {
		c.to--
	}
	return c.from <= c.to
}

// search looks for a point of the box that meets the condition.
func (s *solver) search(b box) bool {
	if s.choices--; s.choices < 0 {
		s.unclear("there are too many cases")
		return false
	}
	switch s.root.over(b) {
	case canFalse:
		return false
	case canTrue:
		if i := s.signless(b); i >= 0 {
			k, _ := slices.BinarySearch(s.lines[i].cuts, 0)
			return s.try(b, i, 2*k+1, b[i].to) || s.try(b, i, b[i].from, 2*k)
		}
		return s.settle(b)
	}
	n := s.root.open(b, s.opaque)
	r := b[n.line]
	switch {
	case n.op == opIs:
		in, out := slices.Clone(b), slices.Clone(b)
		in[n.line].words &= n.mask
		out[n.line].words &^= n.mask
		return s.search(in) || s.search(out)
	case r.from < n.from:
		return s.try(b, n.line, n.from, r.to) || s.try(b, n.line, r.from, n.from-1)
	}
	return s.try(b, n.line, r.from, n.to) || s.try(b, n.line, n.to+1, r.to)
}

// try searches the part of a box in which a line has only these cells.
func (s *solver) try(b box, line, from, to int) bool {
	c := cells{from: from, to: to}
	if !s.shrink(line, &c) {
		return false
	}
	b = slices.Clone(b)
	b[line] = c
	if s.apart(b, line) {
		return false
	}
	return s.search(b)
}

// narrowed tells whether anything was chosen for a line.
func (s *solver) narrowed(b box, i int) bool { return b[i] != s.full[i] }

// span gives the values between which what is left of a number line lies, and whether the ends themselves are out.
func (s *solver) span(b box, i int) (low, high float64, lowOpen, highOpen bool) {
	low, _ = s.lines[i].ends(b[i].from)
	_, high = s.lines[i].ends(b[i].to)
	return low, high, b[i].from%2 == 0, b[i].to%2 == 0
}

// signless finds a variable of no known sign in a term of several operations, of which the rounding could not be bounded; -1 if there is none.
func (s *solver) signless(b box) int {
	for i := len(s.p.Space); i < len(s.lines); i++ {
		t := s.lines[i].term
		if t.Rounds <= 1 || t.Linear == nil || !s.narrowed(b, i) {
			continue
		}
		for _, p := range t.Linear {
			if low, high, _, _ := s.span(b, p.Variable); math.IsInf(low, -1) && math.IsInf(high, 1) {
				return p.Variable
			}
		}
	}
	return -1
}

func (s *solver) opaque(line int) bool { return line < len(s.p.Space) && s.p.Space[line].Opaque }

// settle finds a point in a box all over which the condition is true, as far as the cells of the lines allow one.
func (s *solver) settle(b box) bool {
	b = slices.Clone(b)
	turns := ""
	for i, v := range s.p.Space {
		if v.Opaque && s.narrowed(b, i) {
			b[i] = s.full[i]
			turns = v.Name
		}
	}
	if turns != "" && s.root.over(b) != canTrue {
		s.unclear("it turns on " + turns)
		return false
	}
	terms, linked := false, false
	for i := len(s.p.Space); i < len(s.lines); i++ {
		if s.narrowed(b, i) {
			terms = true
			linked = linked || s.lines[i].term.Linear != nil
		}
	}
	if !terms {
		s.found = s.values(b)
		return true
	}
	return s.witness(b, linked)
}

// values takes a value from what is left of each variable.
func (s *solver) values(b box) Point {
	at := make(Point, len(s.p.Space))
	for i := range at {
		v := &s.p.Space[i]
		if v.Words > 0 {
			at[i] = float64(lowestBit(b[i].words))
			continue
		}
		at[i] = s.value(b, i)
	}
	return at
}

// value takes a value of a number from the inside of its cells if it can, since an edge is less telling; rather between two constants than beyond.
func (s *solver) value(b box, i int) float64 {
	l, v := &s.lines[i], &s.p.Space[i]
	x, found := 0.0, false
	if edge := b[i].from | 1; edge <= b[i].to {
		x, _ = l.ends(edge)
	}
	for c := b[i].from + b[i].from%2; c <= b[i].to; c += 2 {
		low, high := l.ends(c)
		bounded := !math.IsInf(low, 0) && !math.IsInf(high, 0)
		if found && !bounded {
			continue
		}
		if y, ok := v.between(low, high); ok {
			x, found = y, true
			if bounded {
				break
			}
		}
	}
	return x
}

// fits tells whether a point lies in the box, terms as they are computed.
func (s *solver) fits(b box, at Point) bool {
	for i := range s.lines {
		l := &s.lines[i]
		var x float64
		switch {
		case l.term != nil:
			x = l.term.Value(at)
		case s.p.Space[i].Words > 0:
			if b[i].words&(1<<uint(at[i])) == 0 {
				return false
			}
			continue
		default:
			x = at[i]
		}
		if !s.within(b, i, x) {
			return false
		}
	}
	return true
}

// within tells whether a number lies in what is left of a line.
func (s *solver) within(b box, i int, x float64) bool {
	low, high, lowOpen, highOpen := s.span(b, i)
	return (x > low || x == low && !lowOpen) && (x < high || x == high && !highOpen)
}
