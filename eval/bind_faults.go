package eval

import (
	"fmt"
	"slices"

	"github.com/brushgear/brushgear/eval/diagnosis"
)

// bindFaults makes the instances of all faults, one for each position, and the table of what they show.
func (b *binder) bindFaults() {
	p := b.p
	for i := range p.checks {
		p.table.All = append(p.table.All, p.checks[i].all)
		p.table.Good = append(p.table.Good, p.checks[i].good)
	}
	for u := range b.units {
		b.unit = u
		for _, f := range b.units[u].m.faults {
			b.bindFault(u, f)
		}
	}
	b.bindMasks()
	b.bindLinks()
	b.bindEchoes()
	b.bindReadings()
	p.table.Prepare()
}

func (b *binder) bindFault(u int, f *fault) {
	exists := uint64(canTrue)
	for _, w := range f.without {
		exists = kleeneAnd(exists, negate(b.eval(u, w).bits))
	}
	if exists == canFalse {
		return
	}
	group := len(b.p.faults)
	for pos := range b.size(f.axes) {
		label := f.name
		b.where = b.placeOf(f.axes, pos)
		var names []string
		if !b.occursAt(u, f) {
			continue
		}
		if len(f.axes) > 0 {
			names = b.positionNames(f.axes, pos)
			label += fmt.Sprintf("[%s]", joinComma(names))
		}
		m := b.units[u].m
		bf := boundFault{f: f, pos: pos, names: names, label: label, group: group, unit: u, remedy: m.remedies[f.remedy], orElse: m.remedies[f.orElse]}
		row := diagnosis.Fault{Group: group, Prior: b.prior(u, f)}
		var origins []showOrigin
		for _, s := range f.shows {
			holds := uint64(canTrue)
			if s.when != nil {
				holds = b.eval(u, s.when).bits
			}
			checks := b.find(s.ref, u, here(s.ref.index, f.axes, names))
			if holds == canFalse || len(checks) == 0 {
				continue
			}
			show := diagnosis.Show{Checks: ints(checks), Outcomes: b.outcomes(s, checks[0]), Any: s.strength.any, Strength: s.strength.p}
			show.Always = s.strength.always && holds == canTrue && exists == canTrue
			show.Never = s.strength.p == 0 && !s.strength.any
			if holds == either {
				show.Strength /= 2 // as likely as not that it counts
			}
			row.Shows = append(row.Shows, show)
			origins = append(origins, showOrigin{s.ref.words})
		}
		b.p.faults = append(b.p.faults, bf)
		b.p.shows = append(b.p.shows, origins)
		b.p.table.Faults = append(b.p.table.Faults, row)
	}
}

// placeOf gives the index on each axis of a place in a flat list.
func (b *binder) placeOf(axes []*axis, pos int) map[*axis]int {
	place := map[*axis]int{}
	for i := len(axes) - 1; i >= 0; i-- {
		n := b.size(axes[i : i+1])
		place[axes[i]] = pos % n
		pos /= n
	}
	return place
}

// occursAt tells whether a fault can occur at all: one of its frequencies has a condition that can hold, or it has none.
func (b *binder) occursAt(u int, f *fault) bool {
	for _, o := range f.occurs {
		if o.when == nil || b.eval(u, o.when).bits&canTrue != 0 {
			return true
		}
	}
	return len(f.occurs) == 0
}

func (b *binder) outcomes(s *show, check int32) uint32 {
	c := &b.p.checks[check]
	if s.strength.any {
		return c.all
	}
	var mask uint32
	for _, w := range s.ref.words {
		if i := c.c.find(w); i >= 0 {
			mask |= 1 << i
		}
	}
	return mask
}

// here replaces the names of a fault's own positions by those of one instance.
func here(index []string, axes []*axis, names []string) []string {
	if index == nil {
		return nil
	}
	out := slices.Clone(index)
	for i, word := range index {
		for k, a := range axes {
			if a.name == word {
				out[i] = names[k]
			}
		}
	}
	return out
}

func (b *binder) bindMasks() {
	for i := range b.p.faults {
		bf := &b.p.faults[i]
		b.unit = bf.unit
		var names []string
		if len(bf.f.axes) > 0 {
			names = b.positionNames(bf.f.axes, bf.pos)
		}
		b.where = b.placeOf(bf.f.axes, bf.pos)
		for _, m := range bf.f.masks {
			if m.when != nil && b.eval(bf.unit, m.when).bits == canFalse {
				continue
			}
			var only []int
			for k := range b.p.faults {
				if slices.Contains(m.only, b.p.faults[k].f.name) && b.p.faults[k].unit == bf.unit {
					only = append(only, k)
				}
			}
			if m.only != nil && only == nil {
				continue
			}
			for _, c := range b.find(m.ref, bf.unit, here(m.ref.index, bf.f.axes, names)) {
				b.p.table.Faults[i].Masks = append(b.p.table.Faults[i].Masks, diagnosis.Mask{Check: int(c), For: only})
			}
		}
	}
}

func ints(list []int32) []int {
	out := make([]int, len(list))
	for i, v := range list {
		out[i] = int(v)
	}
	return out
}

func joinComma(names []string) string {
	s := names[0]
	for _, n := range names[1:] {
		s += ", " + n
	}
	return s
}
