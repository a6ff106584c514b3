package proof

// An Overlap is a pair of rows that both hold at a point, while none of the rows before them does.
type Overlap struct {
	First, Second int
	At            Answer
	Edge          bool // they meet only where a number equals a constant that it is compared with
	Within        bool // wherever the first holds so does the second: a special case before the general one
}

// A Doubt is a question on a row, or on two, that cannot be decided.
type Doubt struct {
	Row, Other int // Other is -1 for a question on one row; Row is the number of rows for the rest
	Why        string
}

// An Analysis says what a list of rows leaves open, of which the first that holds counts.
type Analysis struct {
	Dead     []int // rows that are never the first to hold
	Never    []int // of these, rows that never hold at all
	Overlaps []Overlap
	Rest     Answer // whether a point meets none of the rows
	Doubts   []Doubt
}

// Rows analyses a list of rows under a condition that always holds, nil for none. differ tells whether it matters that two rows hold at once; nil asks for
// all pairs.
func (p *Prover) Rows(given *Condition, rows []*Condition, differ func(first, second int) bool) Analysis {
	var a Analysis
	if given == nil {
		given = Always
	}
	before := []*Condition{given} // holds where none of the rows so far does
	dead := make([]bool, len(rows))
	free := make([][]*Condition, len(rows))
	for i, r := range rows {
		free[i] = before[:len(before):len(before)]
		switch first := p.Can(append(free[i], r)...); first.State {
		case Unmet:
			dead[i] = true
			a.Dead = append(a.Dead, i)
			if p.Can(given, r).State == Unmet {
				a.Never = append(a.Never, i)
			}
		case Unclear:
			a.Doubts = append(a.Doubts, Doubt{i, -1, first.Why})
		}
		before = append(before, Not(r))
	}
	for j, second := range rows {
		for i, first := range rows[:j] {
			if dead[i] || dead[j] || differ != nil && !differ(i, j) {
				continue
			}
			both := append(free[i], first, second)
			switch at := p.Can(both...); at.State {
			case Met:
				o := Overlap{First: i, Second: j, At: at}
				o.Edge = p.CanInside(both...).State == Unmet
				o.Within = p.Can(append(free[i], first, Not(second))...).State == Unmet
				a.Overlaps = append(a.Overlaps, o)
			case Unclear:
				a.Doubts = append(a.Doubts, Doubt{i, j, at.Why})
			}
		}
	}
	if a.Rest = p.Can(before...); a.Rest.State == Unclear {
		a.Doubts = append(a.Doubts, Doubt{len(rows), -1, a.Rest.Why})
	}
	return a
}
