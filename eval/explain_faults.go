package eval

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval/diagnosis"
)

// faults explains every fault that the readings say something of, and lists the others by status.
func (x *explainer) faults() []FaultExplanation {
	type suspicion struct {
		f Fault
		e FaultExplanation
	}
	var out []FaultExplanation
	var suspected []suspicion
	chance := map[*fault]float64{} // at any of the positions
	for f := range x.p.Faults() {
		b := f.bound()
		m := x.v.program.units[b.unit].m
		e := FaultExplanation{Name: f.Name(), Title: f.Title(), Position: slices.Clone(b.names), Status: f.Status(), OneOf: f.OneOf(), Why: b.f.because}
		if part := m.parts[b.f.part]; part != nil {
			e.Part = part.Title.String()
		}
		switch e.Status {
		case diagnosis.Shown, diagnosis.Suspected:
			e.Because = x.reasons(f)
		case diagnosis.RuledOut:
			e.Because = x.ruledOut(f)
		case diagnosis.Possible:
			e.Because = x.consistent(f)
		}
		if b.remedy != nil {
			e.Remedy = b.remedy.title
			e.Retest = x.retests(b.unit, b.remedy)
		}
		if b.orElse != nil {
			e.OrElse = b.orElse.title
		}
		for _, name := range b.f.causes {
			if k := m.causes[name]; k != nil {
				text := k.title
				if k.ask != "" {
					text += ": " + k.ask
				}
				e.Causes = append(e.Causes, text)
			}
		}
		out = append(out, e)
		if e.Status == diagnosis.Suspected {
			suspected = append(suspected, suspicion{f, e})
			chance[b.f] += f.Probability()
		}
	}
	// What is suspected is told by how likely it is, in the places that it has among the others.
	slices.SortStableFunc(suspected, func(a, b suspicion) int {
		return cmp.Or(likelierFirst(chance[a.f.bound().f], chance[b.f.bound().f]), likelierFirst(a.f.Probability(), b.f.Probability()))
	})
	for i := range out {
		if out[i].Status == diagnosis.Suspected {
			out[i], suspected = suspected[0].e, suspected[1:]
		}
	}
	return out
}

// mostReasons is how many reasons are told of one fault; the others are counted.
const mostReasons = 6

// reasons tells what speaks for a fault and against it, compared with the best explanation without it, the weightiest first.
func (x *explainer) reasons(f Fault) []string {
	var list []string
	if c, ok := f.ShownBy(); ok {
		list = append(list, said(c.Name(), strings.Join(c.Outcomes(), " or "))+": nothing else on the sheet does this")
	}
	with, without, reasons, _ := f.reasons()
	weak, own, compared := 0, len(list), x.compared(f, with, without)
	for _, r := range reasons {
		word := weightWord(r, len(without) == 0)
		winning, losing := with, without
		if r.Weight < 0 {
			winning, losing = without, with
		}
		what := x.seenIn(r.Test, winning, losing)
		switch {
		case word == "":
			weak++
		case what == "" || len(list) >= mostReasons || slices.ContainsFunc(list, func(s string) bool { return strings.HasPrefix(s, what+": nothing else") }):
		case len(list) == own && compared != "":
			list = append(list, compared, what+": "+word)
		default:
			list = append(list, what+": "+word)
		}
	}
	if seen := x.consistent(f); len(list) == 0 && len(seen) > 0 {
		list = append(list, "it would explain: "+strings.Join(seen, "; "))
	}
	if len(list) == 0 && len(without) > 0 {
		list = append(list, x.storyTitles(without)+" would explain the readings as well")
	}
	if weak > 0 {
		list = append(list, fmt.Sprintf("%d further %s", weak, plural(weak, "test does not separate them", "tests do not separate them")))
	}
	return list
}

// compared names what the reasons compare: the faults that explain the readings together with this one, and those that do without it.
func (x *explainer) compared(f Fault, with, without []Fault) string {
	beside := slices.DeleteFunc(slices.Clone(with), func(g Fault) bool { return g == f || slices.Contains(without, g) })
	text := ""
	if len(without) > 0 {
		text = "compared with " + x.storyTitles(without) + ":"
	}
	if len(beside) == 0 {
		return text
	}
	if text == "" {
		text = "compared with no fault:"
	}
	return "together with " + x.storyTitles(beside) + ", " + text
}

// reasons compares the best set with the fault to the best without it.
func (f Fault) reasons() (with, without []Fault, reasons []diagnosis.Reason, ok bool) {
	r, ev := f.p.ranking()
	w, o, _, reasons, ok := f.p.v.program.table.Reasons(ev, r, f.i)
	for _, k := range w {
		with = append(with, Fault{f.p, int(k)})
	}
	for _, k := range o {
		without = append(without, Fault{f.p, int(k)})
	}
	return with, without, reasons, ok
}

// weightWord puts a weight of evidence into words; what is below two decibans has none. sound: the other explanation is that there is no fault.
func weightWord(r diagnosis.Reason, sound bool) string {
	size, side := r.Weight, "for it"
	if size < 0 {
		size, side = -size, "against it"
	}
	switch {
	case size >= 20 && r.Slip && r.Weight > 0 && sound:
		return "no unit without a fault does this"
	case size >= 20 && r.Slip && r.Weight > 0:
		return "nothing in the other explanation does this"
	case size >= 20:
		return "decides " + side
	case size >= 10:
		return "speaks strongly " + side
	case size >= 5:
		return "speaks " + side
	case size >= 2:
		return "leans " + strings.Replace(side, "for it", "toward it", 1)
	}
	return ""
}

// seenIn tells what was seen in a test that favours some faults over others: what is not good at a check that any of them names. If nothing of it is
// of the favoured alone, what is good although one of the others would show something there comes first. If there is neither, it is what is good.
func (x *explainer) seenIn(test int, favoured, others []Fault) string {
	var off, missed, fine []string
	own := false
	prog := x.v.program
	for _, v := range prog.table.Tests[test].Values {
		for _, c := range v {
			s := &x.s.checks[c]
			names := func(f Fault) bool { return prog.names(f.i, c) }
			mine, theirs := slices.ContainsFunc(favoured, names), slices.ContainsFunc(others, names)
			if !s.spoke || !mine && !theirs {
				continue
			}
			k := Check{x.p, int32(c)}
			text := said(k.Name(), strings.Join(k.Outcomes(), " or "))
			switch {
			case s.set&prog.checks[c].good == 0:
				off, own = append(off, text), own || !theirs
			case !mine:
				missed = append(missed, text)
			default:
				fine = append(fine, text)
			}
		}
	}
	list := off
	if !own {
		list = append(missed, off...)
	}
	if len(list) == 0 {
		list = fine
	}
	if len(list) > 2 {
		list = append(list[:2:2], fmt.Sprintf("and %d more", len(list)-2))
	}
	return strings.Join(list, ", ")
}

// names tells whether a fault says something of a check.
func (p *program) names(fault, check int) bool {
	return slices.ContainsFunc(p.table.Faults[fault].Shows, func(s diagnosis.Show) bool { return slices.Contains(s.Checks, check) })
}

// ruledOut tells by which reading a fault is ruled out.
func (x *explainer) ruledOut(f Fault) []string {
	if c, ok := f.RuledOutBy(); ok {
		return []string{fmt.Sprintf("it always shows %s %s, which is %s", c.Name(), x.wanted(f, c), strings.Join(c.Outcomes(), " or "))}
	}
	r, ev := x.p.ranking()
	t := x.v.program.table.Witness(ev, r, f.i)
	if t < 0 {
		return nil
	}
	if what := x.seenIn(t, nil, []Fault{f}); what != "" {
		return []string{what}
	}
	return nil
}

// wanted names the outcomes that a fault always shows at a check.
func (x *explainer) wanted(f Fault, c Check) string {
	for k, s := range x.v.program.table.Faults[f.i].Shows {
		if s.Always && slices.Contains(s.Checks, int(c.i)) {
			return strings.Join(x.v.program.shows[f.i][k].words, " or ")
		}
	}
	return ""
}

// consistent lists the bad outcomes that a possible fault would explain.
func (x *explainer) consistent(f Fault) []string {
	var list []string
	for _, s := range x.v.program.table.Faults[f.i].Shows {
		for _, c := range s.Checks {
			st := &x.s.checks[c]
			if !s.Never && st.spoke && s.Outcomes&st.set != 0 && st.set&x.v.program.checks[c].good == 0 {
				text := said(x.v.program.checks[c].label, strings.Join(Check{x.p, int32(c)}.Outcomes(), " or "))
				if !slices.Contains(list, text) {
					list = append(list, text)
				}
			}
		}
	}
	return list
}

// said puts a check and its outcome into words.
func said(check, outcome string) string {
	if outcome == "jumps" || outcome == "dips" {
		return check + " " + outcome
	}
	return check + " is " + outcome
}

func (x *explainer) title(m *model, o *outcomeRef) string {
	if o.unit != "" {
		if inc := x.v.job.model(o.unit); inc != nil {
			m = inc
		}
	}
	if t := m.testNamed[o.test]; t != nil {
		return t.title
	}
	return o.test
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
