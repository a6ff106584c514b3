package eval

import (
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/eval/internal/runs"
)

// Stories, remedies and causes in words.

// stories puts the explanations of the readings into words. Stories that differ only in the position of a fault are told once.
func (x *explainer) stories() []StoryExplanation {
	type telling struct {
		key   string
		share float64
		all   [][]Fault
	}
	var list []telling
	sum := 0.0
	for _, s := range x.p.Stories() {
		key := ""
		for _, f := range s.Faults {
			key += f.bound().f.name + " "
		}
		i := slices.IndexFunc(list, func(t telling) bool { return t.key == key })
		if i < 0 {
			list, i = append(list, telling{key: key}), len(list)
		}
		list[i].share += s.Share
		list[i].all = append(list[i].all, s.Faults)
		sum += s.Share
	}
	slices.SortStableFunc(list, func(a, b telling) int { return likelierFirst(a.share, b.share) })
	var out []StoryExplanation
	for _, t := range list {
		e := StoryExplanation{Likely: likelyWord(t.share / sum), Slip: len(t.all[0]) == 0 && x.p.Limits() == LimitsFailed}
		for k := range t.all[0] {
			var places []Fault
			for _, faults := range t.all {
				places = append(places, faults[k])
			}
			e.Faults = append(e.Faults, titleAt(places))
		}
		out = append(out, e)
	}
	return out
}

// titleAt names a fault once, with the positions at which it may be.
func titleAt(places []Fault) string {
	title := places[0].bound().f.title
	var positions []string
	for _, f := range places {
		if names := strings.Join(f.bound().names, " "); names != "" && !slices.Contains(positions, names) {
			positions = append(positions, names)
		}
	}
	if len(positions) == 0 {
		return title
	}
	at := strings.Join(runs.Of(positions), " or ")
	if strings.Contains(at, " to ") {
		at = "one of " + at
	}
	return title + " (" + at + ")"
}

// titlesByChance names faults, the likeliest first and each once, with the positions at which it may be.
func titlesByChance(faults []Fault) []string {
	type named struct {
		places []Fault
		chance float64
	}
	var list []named
	for _, f := range faults {
		if n := len(list); n == 0 || list[n-1].places[0].bound().f != f.bound().f {
			list = append(list, named{})
		}
		last := &list[len(list)-1]
		last.places, last.chance = append(last.places, f), last.chance+f.Probability()
	}
	slices.SortStableFunc(list, func(a, b named) int { return likelierFirst(a.chance, b.chance) })
	var titles []string
	for _, n := range list {
		titles = append(titles, titleAt(n.places))
	}
	return titles
}

// likelierFirst orders by falling probability; what differs by rounding alone is equal.
func likelierFirst(a, b float64) int {
	switch {
	case a > b*(1+1e-9):
		return -1
	case b > a*(1+1e-9):
		return 1
	}
	return 0
}

// likelyWord puts the share of a story among all stories into words.
func likelyWord(share float64) string {
	switch {
	case share >= .95:
		return "by far the likeliest"
	case share >= .6:
		return "most likely"
	case share >= .3:
		return "likely"
	case share >= .1:
		return "perhaps"
	}
	return "less likely"
}

func (x *explainer) storyTitles(faults []Fault) string {
	var titles []string
	for _, f := range faults {
		titles = append(titles, f.Title())
	}
	return strings.Join(titles, " with ")
}

// remedies lists what to fit or mend for the faults that are shown or suspected, what is shown first and then what is likelier. A remedy that another one covers is left out.
func (x *explainer) remedies() []RemedyExplanation {
	type job struct {
		unit   int
		r      *remedy
		status diagnosis.Status
		chance float64 // that one of the faults that it cures is there
		faults []Fault
	}
	var jobs []job
	for f := range x.p.Faults() {
		b := f.bound()
		status := f.Status()
		if b.remedy == nil || status != diagnosis.Shown && status != diagnosis.Suspected {
			continue
		}
		r := x.remedyOf(b)
		i := slices.IndexFunc(jobs, func(j job) bool { return j.r == r && j.unit == b.unit })
		if i < 0 {
			jobs, i = append(jobs, job{b.unit, r, diagnosis.Suspected, 0, nil}), len(jobs)
		}
		jobs[i].faults = append(jobs[i].faults, f)
		if status == diagnosis.Shown {
			jobs[i].status = diagnosis.Shown
		}
	}
	for i := range jobs {
		var all []int32
		for k := range x.v.program.faults {
			if b := &x.v.program.faults[k]; b.unit == jobs[i].unit && b.remedy != nil && x.remedyOf(b) == jobs[i].r {
				all = append(all, int32(k))
			}
		}
		union := x.p.union(all)
		jobs[i].chance = union.Probability
		if union.Status == diagnosis.Shown {
			jobs[i].status = diagnosis.Shown
		}
	}
	slices.SortStableFunc(jobs, func(a, b job) int { return likelierFirst(a.chance, b.chance) })
	covered := func(j job) bool {
		return slices.ContainsFunc(jobs, func(o job) bool {
			return o.unit == j.unit && o.status == diagnosis.Shown && slices.Contains(o.r.covers, j.r.name)
		})
	}
	owed := x.p.Retests()
	var out []RemedyExplanation
	for _, status := range []diagnosis.Status{diagnosis.Shown, diagnosis.Suspected} {
		for _, j := range jobs {
			if j.status != status || covered(j) {
				continue
			}
			e := RemedyExplanation{Name: j.r.name, Title: j.r.title, Status: j.status, Retest: x.retests(j.unit, j.r)}
			if u := x.v.program.units[j.unit].name; u != "" {
				e.Name = u + "." + e.Name
			}
			e.For = titlesByChance(j.faults)
			if e.Note = x.p.carriedOut(j.unit, j.r); e.Note == "" {
				e.Note = x.p.hindrance(j.unit, j.r)
			}
			if e.Note == doneSince { // what is owed after work is told of all of it together
				if e.Retest = slices.DeleteFunc(e.Retest, func(title string) bool { return slices.Contains(owed, title) }); len(e.Retest) == 0 {
					e.Retest = nil
				}
			}
			out = append(out, e)
		}
	}
	return out
}

// remedyOf is the remedy of a fault, or the other one if that is not allowed.
func (x *explainer) remedyOf(b *boundFault) *remedy {
	if b.orElse != nil && x.p.allows(b.unit, b.remedy.name) == canFalse {
		return b.orElse
	}
	return b.remedy
}

// retests lists the tests to repeat after a remedy.
func (x *explainer) retests(unit int, r *remedy) []string {
	m := x.v.program.units[unit].m
	return m.retests(r, func(o *outcomeRef) string { return x.title(m, o) })
}

// causes lists the open root causes, with what is to be asked.
func (x *explainer) causes() []string {
	var list []string
	for _, c := range x.p.OpenCauses() {
		text := c.Title
		switch {
		case c.Seen:
			text += ": the readings show it"
		case c.Ask != "":
			text += ": " + c.Ask
		}
		list = append(list, text)
	}
	return list
}

// odds tells which reading is at odds with all that the sheet knows.
func (x *explainer) odds() string {
	r, _ := x.p.ranking()
	if r.AtOdds < 0 || r.Slip < oddSlip {
		return ""
	}
	title := x.v.program.tests[x.v.program.led[r.AtOdds]].t.title
	if r.Slip > diagnosis.Misread {
		return title + ": more likely a slip than not; repeat it first"
	}
	return title + ": it may be a slip; repeat it"
}

// renewals lists the parts that the shop replaces regardless.
func (x *explainer) renewals() []string {
	var list []string
	for _, name := range x.v.program.m.renew {
		if part := x.v.program.m.parts[name]; part != nil {
			list = append(list, part.Title.String())
		}
	}
	return list
}
