package eval

import "slices"

// Retests: what work on the unit leaves to be measured again before anyone may rely on it.

// owed is a test that is to be repeated after work, and was not yet.
type owed struct {
	test   int32 // of the program
	remedy *remedy
}

// owed lists the retests of the work done up to a pass that were not made since, in the order of the work. A remedy without a list of its own asks for
// those tests that were made before it and that it has made stale.
func (v *Verdict) owed(pass int) []owed {
	var list []owed
	for _, w := range v.works {
		if w.pass > pass {
			continue
		}
		for i := range v.program.tests {
			bt := &v.program.tests[i]
			r := v.program.units[bt.unit].m.remedies[w.remedy]
			if v.program.units[bt.unit].name != w.unit || bt.applies == canFalse || r == nil || !v.retested(r, bt, w) || v.madeSince(bt, w, pass) {
				continue
			}
			if !slices.ContainsFunc(list, func(o owed) bool { return o.test == int32(i) }) {
				list = append(list, owed{int32(i), r})
			}
		}
	}
	return list
}

// retested tells whether a remedy asks for a test to be repeated after work.
func (v *Verdict) retested(r *remedy, bt *boundTest, w work) bool {
	if len(r.retest) > 0 {
		return slices.ContainsFunc(r.retest, func(o *outcomeRef) bool { return o.test == bt.t.name && (o.unit == "" || o.unit == w.unit) })
	}
	return bt.t.renewed[r.name] && slices.ContainsFunc(v.perfs, func(q *performance) bool {
		return q.test == bt.t && q.unit == w.unit && q.void == "" && q.seq < w.seq
	})
}

// madeSince tells whether a test was made after work, or left out because it is not for this unit.
func (v *Verdict) madeSince(bt *boundTest, w work, pass int) bool {
	return slices.ContainsFunc(v.perfs, func(q *performance) bool {
		return q.test == bt.t && q.unit == w.unit && q.pass <= pass && q.void == "" && q.first > w.seq
	}) || slices.ContainsFunc(v.skips, func(s skip) bool {
		return s.test == bt.t && s.unit == w.unit && s.pass <= pass && s.reason == "not_applicable"
	})
}

// retests lists the titles of the tests to repeat after a remedy: those that it names, else those that examine its part or that its faults show.
func (m *model) retests(r *remedy, title func(*outcomeRef) string) []string {
	var list []string
	add := func(title string) {
		if !slices.Contains(list, title) {
			list = append(list, title)
		}
	}
	for _, o := range r.retest {
		add(title(o))
	}
	if len(list) > 0 {
		return list
	}
	for _, t := range m.tests {
		if t.renewed[r.name] {
			add(t.title)
		}
	}
	return list
}

// Retests returns the titles of the tests that work done up to the pass asks to be repeated, and that were not made since. Until they are, the unit is
// not serviceable.
func (p PassVerdict) Retests() []string {
	p = p.there()
	var list []string
	for _, o := range p.v.owed(p.i) {
		list = append(list, p.v.program.tests[o.test].t.title)
	}
	return list
}

// doneSince says of a remedy that nothing was read after it.
const doneSince = "done since these readings"

// carriedOut says of a remedy that was carried out already how that stands to the readings of the pass; empty if it was not.
func (p PassVerdict) carriedOut(unit int, r *remedy) string {
	note := ""
	for _, w := range p.v.works {
		if w.pass > p.i || w.remedy != r.name || w.unit != p.v.program.units[unit].name {
			continue
		}
		if w.seq > p.state().cutoff {
			return doneSince
		}
		note = "it was done before: find out what made it fail again, or whether it was needed"
	}
	return note
}
