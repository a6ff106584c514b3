package eval

import (
	"fmt"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval/diagnosis"
)

// faults explains every fault that the readings say something of, and lists the others by status.
func (x *explainer) faults() []FaultExplanation {
	var out []FaultExplanation
	for f := range x.p.Faults() {
		b := f.bound()
		m := x.v.program.units[b.unit].m
		e := FaultExplanation{Name: f.Name(), Title: f.Title(), Position: b.names, Status: f.Status(), OneOf: f.OneOf(), Why: b.f.because}
		if part := m.parts[b.f.part]; part != nil {
			e.Part = part.Title.String()
		}
		if c, ok := f.ShownBy(); ok {
			e.Because = append(e.Because, said(c.Name(), strings.Join(c.Outcomes(), " or "))+", and nothing else on the sheet shows that")
		}
		if c, ok := f.RuledOutBy(); ok {
			e.Because = append(e.Because, fmt.Sprintf("it always shows %s %s, which is %s", c.Name(), x.wanted(f, c), strings.Join(c.Outcomes(), " or ")))
		}
		if f.Status() == diagnosis.Possible && !f.OneOf() {
			e.Because = x.consistent(f)
		}
		if b.remedy != nil {
			e.Remedy = b.remedy.title
			for _, o := range b.remedy.retest {
				e.Retest = append(e.Retest, x.title(m, o))
			}
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
	}
	return out
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
			if st.spoke && st.outcome >= 0 && s.Outcomes&st.set != 0 && st.set&x.v.program.checks[c].good == 0 {
				text := said(x.v.program.checks[c].label, x.v.program.checks[c].c.outcomes[st.outcome].word)
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
