package workload

import (
	"fmt"
	"strings"
)

// HCL is what the Sheet says as blocks and attributes, one attribute a line where a block has several.
func (w *Workload) HCL() string {
	var body []string
	for _, v := range w.Conditions {
		body = append(body, block("condition", v.Name, fmt.Sprintf("unit = %q", v.Unit)))
	}
	for _, v := range w.Readings() {
		if v.Positions != nil {
			body = append(body, block("positions", "pair", `title = "pair of leads"`, "words = ["+quoted(v.Positions)+"]"))
		}
	}
	for i, name := range stages {
		lines := []string{fmt.Sprintf("title = %q", "unit "+name)}
		if i > 0 {
			lines = append(lines, fmt.Sprintf("after = %q", stages[i-1]), `takes = "15 min"`)
		}
		body = append(body, block("stage", name, lines...))
	}
	for _, p := range parts {
		body = append(body, block("part", p, fmt.Sprintf("title = %q", "The "+p)),
			block("remedy", "fit_"+p, fmt.Sprintf("title = %q", "Replace the "+p), fmt.Sprintf("retest = [%q]", w.retest(p))))
	}
	for _, t := range w.Tests {
		body = append(body, t.hcl())
	}
	for _, f := range w.Faults {
		body = append(body, f.hcl())
	}
	return "version = 1\n\n" +
		block("source", "drawn", `title = "Drawn by lot to measure speed"`, `status = "invented"`) + "\n\n" +
		block("family", Name, append([]string{`title = "Invented unit"`}, body...)...) + "\n"
}

// block writes a block with one label; a single short line stays on the line of its braces.
func block(kind, label string, lines ...string) string {
	head := fmt.Sprintf("%s %q {", kind, label)
	if len(lines) == 1 && !strings.Contains(lines[0], "\n") {
		return head + " " + lines[0] + " }"
	}
	return head + "\n  " + strings.ReplaceAll(strings.Join(lines, "\n"), "\n", "\n  ") + "\n}"
}

func (t *Test) hcl() string {
	lines := []string{fmt.Sprintf("title = %q", t.Title), fmt.Sprintf("stage = %q", t.Stage), fmt.Sprintf(`takes = "%d min"`, t.Minutes)}
	if needs := t.needs(); needs != nil {
		lines = append(lines, "needs = ["+quoted(needs)+"]")
	}
	for _, v := range t.Values {
		lines = append(lines, v.hcl())
		if v.Copper {
			lines = append(lines, block("correct", v.Name, "copper = "+windingTemp))
		}
	}
	for _, c := range t.Checks {
		lines = append(lines, c.HCL())
	}
	return block("test", t.Name, lines...)
}

func (v *Value) hcl() string {
	switch {
	case v.Formula != nil:
		return block("let", v.Name, "formula = "+v.Formula.text(func(x *Value) string { return x.Name }))
	case v.Words != nil:
		return block("read", v.Name, "words = ["+quoted(v.Words)+"]")
	case v.Positions != nil:
		return block("read", v.Name, fmt.Sprintf("list = { of = pair, unit = %q }", v.Unit))
	}
	return block("read", v.Name, fmt.Sprintf("unit = %q", v.Unit))
}

func (f *Fault) hcl() string {
	lines := []string{
		fmt.Sprintf("title = %q", f.Title), fmt.Sprintf("part = %q", f.Part),
		fmt.Sprintf("occurs = %q", f.Occurs), fmt.Sprintf("remedy = %q", "fit_"+f.Part),
	}
	for _, s := range f.Shows {
		lines = append(lines, block("shows", s.Check.Path(), s.Often+" = ["+quoted(s.Words)+"]"))
	}
	return block("fault", f.Name, lines...)
}
