package workload

import (
	"fmt"
	"strings"
)

// Sheet is the workload in the sheet language: one family that stands alone.
func (w *Workload) Sheet() string {
	b := &strings.Builder{}
	b.WriteString("brushgear 1\n\nsource drawn \"Drawn by lot to measure speed\" status invented\n\n")
	fmt.Fprintf(b, "family %s \"Invented unit\" {\n", Name)
	for _, v := range w.Conditions {
		fmt.Fprintf(b, "  condition %s : %s%s\n", v.Name, v.Unit, w.with(v))
	}
	if w.metered {
		for i, u := range w.units() {
			fmt.Fprintf(b, "  instrument meter_%d : %s accuracy ± %s\n", i+1, u, map[bool]string{true: "0.2 °C", false: "0.05 %"}[u == "°C"])
		}
	}
	for _, v := range w.Readings() {
		if v.Positions != nil {
			fmt.Fprintf(b, "  positions pair \"pair of leads\" : %s\n", strings.Join(v.Positions, ", "))
		}
	}
	for i, name := range stages {
		fmt.Fprintf(b, "  stage %s \"unit %[1]s\"", name)
		if i > 0 {
			fmt.Fprintf(b, " after %s takes 15 min", stages[i-1])
		}
		b.WriteByte('\n')
	}
	for _, p := range parts {
		fmt.Fprintf(b, "  part %s \"The %[1]s\"\n  remedy fit_%[1]s \"Replace the %[1]s\" { retest %s }\n", p, w.retest(p))
	}
	for _, t := range w.Tests {
		t.sheet(b, w)
	}
	for _, f := range w.Faults {
		f.sheet(b)
	}
	b.WriteString("}\n")
	return b.String()
}

// retest names the test that the first fault of a part shows.
func (w *Workload) retest(part string) string {
	for _, f := range w.Faults {
		if f.Part == part {
			return testOf(f.Shows[0].Check)
		}
	}
	return w.Tests[0].Name
}

func testOf(c Check) string {
	name, _, _ := strings.Cut(c.Path(), ".")
	return name
}

func (t *Test) sheet(b *strings.Builder, w *Workload) {
	fmt.Fprintf(b, "  test %s %q {\n    stage %s  takes %d min", t.Name, t.Title, t.Stage, t.Minutes)
	if needs := t.needs(); needs != nil {
		b.WriteString("  needs " + strings.Join(needs, ", "))
	}
	b.WriteByte('\n')
	for _, v := range t.Values {
		fmt.Fprintf(b, "    %s%s\n", v.sheet(), w.with(v))
		if v.Copper {
			fmt.Fprintf(b, "    correct %s by copper from %s\n", v.Name, windingTemp)
		}
	}
	for _, c := range t.Checks {
		fmt.Fprintf(b, "    %s\n", strings.ReplaceAll(c.Sheet(), "\n", "\n    "))
	}
	b.WriteString("  }\n")
}

// needs are the conditions that the test's values take in.
func (t *Test) needs() []string {
	var needs []string
	for _, v := range t.Values {
		if v.Formula != nil && v.Formula.X.Test == "" {
			needs = append(needs, v.Formula.X.Name)
		}
		if v.Copper {
			needs = append(needs, windingTemp)
		}
	}
	return needs
}

func (v *Value) sheet() string {
	switch {
	case v.Formula != nil:
		return fmt.Sprintf("let %s = %s", v.Name, v.Formula.text(func(x *Value) string { return x.Name }))
	case v.Words != nil:
		return fmt.Sprintf("read %s : %s", v.Name, strings.Join(v.Words, " | "))
	case v.Positions != nil:
		return fmt.Sprintf("read %s of pair : %s", v.Name, v.Unit)
	}
	return fmt.Sprintf("read %s : %s", v.Name, v.Unit)
}

func (f *Fault) sheet(b *strings.Builder) {
	fmt.Fprintf(b, "  fault %s %q {\n    part %s  occurs %s  remedy fit_%[3]s\n", f.Name, f.Title, f.Part, f.Occurs)
	for _, s := range f.Shows {
		fmt.Fprintf(b, "    shows %s %s %s\n", s.Check.Path(), strings.Join(s.Words, " | "), s.Often)
	}
	b.WriteString("  }\n")
}
