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
	Needs []int  // of Met: the variables of which not every value would do
	Exact []int  // of Met: those of which, the others given, one value alone would do
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
	follow  []consequence
	quick   int // how often a witness may be tried before consequences are looked at
	full    box // before any choice
	choices int
	systems int
	found   Point
	in      box // where it was found
	why     []string
}

// consequence is what follows from a comparison.
type consequence struct{ from, to *node }

func (p *Prover) solve(c *Condition, inside bool) Answer {
	s := &solver{p: p, inside: inside, at: map[*Term]int{}, choices: 20000, systems: 400, quick: 20}
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
		needs, exact := s.needs()
		return Answer{State: Met, At: s.found, Needs: needs, Exact: exact}
	}
	if len(s.why) > 0 {
		return Answer{State: Unclear, Why: strings.Join(s.why, "; ")}
	}
	return Answer{State: Unmet}
}

// needs tells which variables were chosen to find the point, and which of them have one value left.
func (s *solver) needs() (needs, exact []int) {
	chosen := map[int]bool{}
	for i := range s.lines {
		if !s.narrowed(s.in, i) {
			continue
		}
		if i < len(s.p.Space) {
			chosen[i] = true
			continue
		}
		for _, v := range s.lines[i].term.of() {
			chosen[v] = true
		}
	}
	for i, v := range s.p.Space {
		if !chosen[i] {
			continue
		}
		needs = append(needs, i)
		if c := s.in[i]; v.Words == 0 && c.from == c.to && c.from%2 == 1 {
			exact = append(exact, i)
		}
	}
	return needs, exact
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
	if c.follows != nil {
		s.cut(c.follows)
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
	if c.follows != nil {
		s.follow = append(s.follow, consequence{n, s.node(c.follows)})
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

// empty tells whether a cell of a line has no number in it.
func (s *solver) empty(i, cell int) bool {
	l := &s.lines[i]
	low, high := l.ends(cell)
	if whole := l.term != nil && l.term.Whole || l.term == nil && s.p.Space[i].Whole; whole {
		if cell%2 == 1 {
			return low != math.Floor(low)
		}
		return math.Floor(low)+1 >= high
	}
	if cell%2 == 1 {
		return s.inside
	}
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
	for c.from <= c.to && s.empty(i, c.from) {
		c.from++
	}
	for c.from <= c.to && s.empty(i, c.to) {
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
	n := s.root
	switch s.root.over(b) {
	case canFalse:
		return false
	case canTrue:
		open, ok := s.consequence(b)
		if !ok {
			return false
		}
		if open != nil {
			if s.quick--; s.quick >= 0 && s.tryQuickly(b) {
				return true
			}
			n = open
			break
		}
		if i := s.signless(b); i >= 0 {
			k, _ := slices.BinarySearch(s.lines[i].cuts, 0)
			return s.try(b, i, 2*k+1, b[i].to) || s.try(b, i, b[i].from, 2*k)
		}
		return s.settle(b)
	}
	n = n.open(b, s.opaque)
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

// consequence finds what follows from comparisons that hold all over a box and is not decided there; false if it cannot be.
func (s *solver) consequence(b box) (open *node, ok bool) {
	for _, c := range s.follow {
		if c.from.over(b) != canTrue {
			continue
		}
		switch c.to.over(b) {
		case canFalse:
			return nil, false
		case either:
			open = c.to
		}
	}
	return open, true
}

// tryQuickly tries a few points of a box.
func (s *solver) tryQuickly(b box) bool {
	for i, v := range s.p.Space {
		if (v.Opaque || v.Loose) && s.narrowed(b, i) {
			return false
		}
	}
	if s.loose(b) != "" {
		return false
	}
	terms, _ := s.linkedBy(b, nil)
	low, high := s.corners(b)
	at := s.values(b)
	return s.accept(b, at) || s.proposed(b, terms, at, low, high)
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
	if name := s.loose(b); name != "" {
		s.unclear("it turns on " + name)
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
		s.found, s.in = s.values(b), b
		return true
	}
	return s.witness(b, linked)
}

// loose names a variable of a box if its point would need two that may hang together.
func (s *solver) loose(b box) string {
	first := -1
	for i := range s.lines {
		if !s.narrowed(b, i) {
			continue
		}
		of := []int{i}
		if s.lines[i].term != nil {
			of = s.lines[i].term.of()
		}
		for _, v := range of {
			switch {
			case !s.p.Space[v].Loose || v == first:
			case first < 0:
				first = v
			default:
				return s.p.Space[v].Name
			}
		}
	}
	return ""
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
	for edge := b[i].from | 1; edge <= b[i].to; edge += 2 {
		if !s.empty(i, edge) {
			x, _ = l.ends(edge)
			break
		}
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
			if s.p.Space[i].Whole && x != math.Floor(x) {
				return false
			}
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
