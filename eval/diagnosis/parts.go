package diagnosis

import "slices"

// What each fault does to each test.

// act is what one fault does to one value: an actor of the value.
type act struct{ value, actor int32 }

// part is what one fault does to one test. A fault whose position is not known has several equally likely placements.
type part struct {
	fault      int32
	checks     []int // that it says something of
	placements [][]act
}

// layTests builds the values, the actors and the tables of all tests.
func (t *Table) layTests() {
	if t.Tests == nil {
		for c := range t.All {
			t.Tests = append(t.Tests, Test{Values: [][]int{{c}}})
		}
	}
	named := make([]uint32, len(t.All))
	for _, f := range t.Faults {
		for _, s := range f.Shows {
			for _, c := range s.Checks {
				if !s.Any {
					named[c] |= s.Outcomes
				}
			}
		}
	}
	t.rowsOf = make([][]int, len(t.Faults))
	for f := range t.Faults {
		for _, w := range t.Faults[f].With {
			named[w.Check] |= w.Outcomes
			t.rowsOf[f], t.rowsOf[w.Other] = append(t.rowsOf[f], w.Check), append(t.rowsOf[w.Other], w.Check)
		}
	}
	t.valueOf = make([]int32, len(t.All))
	t.testOf = make([]int32, len(t.All))
	for c := range t.valueOf {
		t.valueOf[c], t.testOf[c] = -1, -1
	}
	for i, test := range t.Tests {
		first := len(t.values)
		for _, checks := range test.Values {
			for _, group := range t.bounded(checks) {
				for _, c := range group {
					t.valueOf[c], t.testOf[c] = int32(len(t.values)), int32(i)
				}
				t.values = append(t.values, t.newValue(group, named))
			}
		}
		t.valueEnd = append(t.valueEnd, int32(len(t.values)))
		t.valueFrom = append(t.valueFrom, int32(first))
	}
	t.parts = make([][]part, len(t.Tests))
	t.partOf = make([][]int16, len(t.Tests))
	t.touching = make([][]uint64, len(t.Faults))
	for f := range t.Faults {
		t.touching[f] = make([]uint64, wordsOf(len(t.Tests)))
	}
	for i := range t.Tests {
		t.partOf[i] = make([]int16, len(t.Faults))
		for f := range t.Faults {
			t.partOf[i][f] = -1
			if p, ok := t.partIn(i, f); ok {
				t.partOf[i][f] = int16(len(t.parts[i]))
				t.parts[i] = append(t.parts[i], p)
				t.touching[f][i/64] |= 1 << (i % 64)
			}
		}
	}
	for _, v := range t.values {
		v.tabulate()
	}
}

// partIn gathers what a fault does to a test: at known checks, and once for each placement of what it shows at one of several.
func (t *Table) partIn(i, f int) (part, bool) {
	fault := &t.Faults[f]
	p := part{fault: int32(f)}
	var fixed []Show
	var loose [][]Show // by the number of positions: those of one length share the position
	for _, s := range fault.Shows {
		var checks []int
		for _, c := range s.Checks {
			if t.testOf[c] == int32(i) {
				checks = append(checks, c)
			}
		}
		switch {
		case len(checks) == 0:
		case len(s.Checks) == 1:
			fixed = append(fixed, s)
		default:
			at := -1
			for k := range loose {
				if len(loose[k][0].Checks) == len(s.Checks) {
					at = k
				}
			}
			if at < 0 {
				loose = append(loose, nil)
				at = len(loose) - 1
			}
			loose[at] = append(loose[at], s)
		}
	}
	var masks []Mask
	for _, m := range fault.Masks {
		if t.testOf[m.Check] == int32(i) {
			masks = append(masks, m)
		}
	}
	var rows []int
	for _, c := range t.rowsOf[f] {
		if t.testOf[c] == int32(i) {
			rows = append(rows, c)
		}
	}
	if len(fixed)+len(loose)+len(masks)+len(rows) == 0 {
		return p, false
	}
	placements := [][]Show{fixed}
	for _, group := range loose {
		places := placesOf(len(group[0].Checks))
		if len(placements)*len(places) > maxPlacements {
			continue
		}
		var next [][]Show
		for _, base := range placements {
			for _, place := range places {
				placed := append([]Show(nil), base...)
				for _, s := range group {
					for _, pos := range place {
						one := s
						one.Checks = []int{s.Checks[pos]}
						placed = append(placed, one)
					}
				}
				next = append(next, placed)
			}
		}
		placements = next
	}
	for _, s := range fault.Shows {
		p.checks = append(p.checks, s.Checks...)
	}
	for _, m := range masks {
		p.checks = append(p.checks, m.Check)
	}
	p.checks = slices.DeleteFunc(append(p.checks, rows...), func(c int) bool { return t.testOf[c] != int32(i) })
	for _, shows := range placements {
		p.placements = append(p.placements, t.actorsOf(f, i, shows, masks, rows))
	}
	return p, true
}

// placesOf lists where a fault of n positions can be when nobody says where: at any of few, at one of many or at all of them.
func placesOf(n int) [][]int {
	var places [][]int
	if n > fewPositions {
		all := make([]int, n)
		for pos := range n {
			all[pos] = pos
			places = append(places, []int{pos})
		}
		return append(places, all)
	}
	for mask := 1; mask < 1<<n; mask++ {
		var place []int
		for pos := range n {
			if mask&(1<<pos) != 0 {
				place = append(place, pos)
			}
		}
		places = append(places, place)
	}
	return places
}

// actorsOf adds the actors of one placement to the values of a test.
func (t *Table) actorsOf(f, test int, shows []Show, masks []Mask, rows []int) []act {
	var acts []act
	at := func(c int) (*value, *actor, int) {
		vi := t.valueOf[c]
		v := t.values[vi]
		k := 0
		for k < len(v.checks) && v.checks[k] != c {
			k++
		}
		for _, a := range acts {
			if a.value == vi {
				return v, &v.actors[a.actor], k
			}
		}
		v.actors = append(v.actors, actor{fault: int32(f), dists: make([][]float64, len(v.checks)), never: make([]uint32, len(v.checks)), with: t.Faults[f].With})
		acts = append(acts, act{vi, int32(len(v.actors) - 1)})
		return v, &v.actors[len(v.actors)-1], k
	}
	for _, s := range shows {
		if t.testOf[s.Checks[0]] != int32(test) {
			continue // this placement lies in another test
		}
		v, a, k := at(s.Checks[0])
		switch {
		case s.Never:
			a.never[k] |= s.Outcomes
			continue
		case a.dists[k] == nil:
			a.dists[k] = make([]float64, v.lanes[k].n)
			a.dists[k][0] = 1
		}
		if s.Any {
			v.lanes[k].uniform(a.dists[k])
			continue
		}
		v.lanes[k].spread(a.dists[k], s.Outcomes, s.strength())
	}
	for _, m := range masks {
		v, a, k := at(m.Check)
		if m.For == nil {
			if a.masks == nil {
				a.masks = make([]bool, len(v.checks))
			}
			a.masks[k] = true
			continue
		}
		if a.hides == nil {
			a.hides = make([][]int, len(v.checks))
		}
		a.hides[k] = append(a.hides[k], m.For...)
	}
	for _, c := range rows {
		at(c)
	}
	return acts
}
