package proof

import "math/big"

// Linear inequalities over rational numbers, solved exactly: the simplex method of Dantzig in its dictionary form with the rule of Bland, which
// never circles (Chvátal, Linear Programming, 1983, chapters 2, 3 and 8).

// inequality says that the sum of the products is at most, or if strict below, the bound.
type inequality struct {
	times  []*big.Rat // one for each unknown; nil is 0
	bound  *big.Rat
	strict bool
}

// system is a list of inequalities over unknowns that are not negative.
type system struct {
	unknowns int
	rows     []inequality
}

func (s *system) add(strict bool, bound *big.Rat, times []*big.Rat) {
	s.rows = append(s.rows, inequality{times, bound, strict})
}

type outcome uint8

const (
	solved outcome = iota
	impossible
	unbounded
	exhausted // too many steps
)

// maxPivots bounds the steps of one solution.
const maxPivots = 2000

// dictionary writes the basic unknowns and the objective as sums over the others.
type dictionary struct {
	basic, free []int // which unknown each row and each column stands for
	table       [][]*big.Rat
	constant    []*big.Rat
	goal        []*big.Rat
	value       *big.Rat
	pivots      int
}

func zeros(n int) []*big.Rat {
	list := make([]*big.Rat, n)
	for i := range list {
		list[i] = new(big.Rat)
	}
	return list
}

// solvable tells whether the system has a solution that meets the strict inequalities strictly, and gives one that keeps away from them.
func (s *system) solvable() ([]*big.Rat, outcome) {
	one := big.NewRat(1, 1)
	wide := &system{unknowns: s.unknowns + 1}
	for _, r := range s.rows {
		times := make([]*big.Rat, s.unknowns+1)
		copy(times, r.times)
		if r.strict {
			times[s.unknowns] = one
		}
		wide.add(false, r.bound, times)
	}
	cap := make([]*big.Rat, s.unknowns+1)
	cap[s.unknowns] = one
	wide.add(false, one, cap)
	x, out := wide.best(cap)
	if out == solved && x[s.unknowns].Sign() <= 0 {
		return nil, impossible
	}
	return x, out
}

// best maximises a goal over the solutions, strict inequalities taken as closed.
func (s *system) best(goal []*big.Rat) ([]*big.Rat, outcome) {
	d, out := s.feasible()
	if out != solved {
		return nil, out
	}
	d.aim(goal, s.unknowns)
	if out := d.climb(); out != solved {
		return nil, out
	}
	return d.values(s.unknowns), solved
}

// feasible finds a first dictionary: with one more unknown, taken off every inequality, there is one at once; then that unknown is brought to zero.
func (s *system) feasible() (*dictionary, outcome) {
	n, m := s.unknowns, len(s.rows)
	extra := n + m
	d := &dictionary{value: new(big.Rat)}
	worst := -1
	for i, r := range s.rows {
		row := zeros(n + 1)
		for j, t := range r.times {
			if t != nil {
				row[j].Neg(t)
			}
		}
		row[n].SetInt64(1)
		d.basic = append(d.basic, n+i)
		d.table = append(d.table, row)
		d.constant = append(d.constant, new(big.Rat).Set(r.bound))
		if r.bound.Sign() < 0 && (worst < 0 || r.bound.Cmp(s.rows[worst].bound) < 0) {
			worst = i
		}
	}
	for j := range n {
		d.free = append(d.free, j)
	}
	d.free = append(d.free, extra)
	if worst >= 0 {
		d.goal = zeros(n + 1)
		d.goal[n].SetInt64(-1)
		d.pivot(worst, n)
		if out := d.climb(); out != solved {
			return nil, out
		}
		if d.value.Sign() < 0 {
			return nil, impossible
		}
	}
	d.drop(extra)
	return d, solved
}

// drop takes an unknown that is zero out of the dictionary.
func (d *dictionary) drop(unknown int) {
	for i, b := range d.basic {
		if b != unknown {
			continue
		}
		for j := range d.free { // any column will do, since the row is zero
			if d.table[i][j].Sign() != 0 {
				d.pivot(i, j)
				break
			}
		}
		if d.basic[i] == unknown { // the row says 0 = 0
			d.basic = append(d.basic[:i], d.basic[i+1:]...)
			d.table = append(d.table[:i], d.table[i+1:]...)
			d.constant = append(d.constant[:i], d.constant[i+1:]...)
			return
		}
		break
	}
	for j, f := range d.free {
		if f != unknown {
			continue
		}
		d.free = append(d.free[:j], d.free[j+1:]...)
		for i, row := range d.table {
			d.table[i] = append(row[:j], row[j+1:]...)
		}
		return
	}
}

// aim sets the goal, written over the free unknowns.
func (d *dictionary) aim(goal []*big.Rat, unknowns int) {
	d.value = new(big.Rat)
	d.goal = zeros(len(d.free))
	term := new(big.Rat)
	for j, f := range d.free {
		if f < unknowns && goal[f] != nil {
			d.goal[j].Add(d.goal[j], goal[f])
		}
	}
	for i, b := range d.basic {
		if b >= unknowns || goal[b] == nil {
			continue
		}
		d.value.Add(d.value, term.Mul(goal[b], d.constant[i]))
		for j := range d.free {
			d.goal[j].Add(d.goal[j], term.Mul(goal[b], d.table[i][j]))
		}
	}
}

// climb raises the goal as far as it goes.
func (d *dictionary) climb() outcome {
	ratio, least := new(big.Rat), new(big.Rat)
	for {
		enter := -1
		for j, g := range d.goal {
			if g.Sign() > 0 && (enter < 0 || d.free[j] < d.free[enter]) {
				enter = j
			}
		}
		if enter < 0 {
			return solved
		}
		leave := -1
		for i, row := range d.table {
			if row[enter].Sign() >= 0 {
				continue
			}
			ratio.Quo(d.constant[i], row[enter])
			ratio.Neg(ratio)
			if c := ratio.Cmp(least); leave < 0 || c < 0 || c == 0 && d.basic[i] < d.basic[leave] {
				leave = i
				least.Set(ratio)
			}
		}
		if leave < 0 {
			return unbounded
		}
		if d.pivots++; d.pivots > maxPivots {
			return exhausted
		}
		d.pivot(leave, enter)
	}
}

// pivot exchanges the basic unknown of row i with the free one of column j.
func (d *dictionary) pivot(i, j int) {
	row := d.table[i]
	inverse := new(big.Rat).Inv(row[j])
	for k := range row {
		if k != j {
			row[k].Mul(row[k], inverse)
			row[k].Neg(row[k])
		}
	}
	row[j].Set(inverse)
	d.constant[i].Mul(d.constant[i], inverse)
	d.constant[i].Neg(d.constant[i])
	term := new(big.Rat)
	replace := func(other []*big.Rat, constant *big.Rat) {
		if other[j].Sign() == 0 {
			return
		}
		t := new(big.Rat).Set(other[j])
		other[j].SetInt64(0)
		for k := range other {
			if row[k].Sign() != 0 {
				other[k].Add(other[k], term.Mul(t, row[k]))
			}
		}
		constant.Add(constant, term.Mul(t, d.constant[i]))
	}
	for k := range d.table {
		if k != i {
			replace(d.table[k], d.constant[k])
		}
	}
	if d.goal != nil {
		replace(d.goal, d.value)
	}
	d.basic[i], d.free[j] = d.free[j], d.basic[i]
}

// values reads the unknowns off the dictionary.
func (d *dictionary) values(unknowns int) []*big.Rat {
	x := zeros(unknowns)
	for i, b := range d.basic {
		if b < unknowns {
			x[b].Set(d.constant[i])
		}
	}
	return x
}
