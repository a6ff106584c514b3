package workload

import "strings"

// Program is the workload as one list for expr-lang: a boolean for each check that passes, for each check with a marginal outcome one that
// it fails, and for each fault one that it is ruled out. Names stand for the values of a Set.
func (w *Workload) Program() string {
	var b strings.Builder
	b.WriteString("let copper = " + number(copperAt20) + " / (" + windingTemp + " - " + number(copperZero) + ");\n")
	for _, c := range w.Checks() {
		b.WriteString(lets(c))
	}
	var items []string
	for _, c := range w.Checks() {
		items = append(items, c.Program("good"))
		if worst := fails(c); worst != "" {
			items = append(items, worst)
		}
	}
	for _, f := range w.Faults {
		var missing []string
		for _, s := range f.Shows {
			if s.Often == always {
				missing = append(missing, "not ("+s.program()+")")
			}
		}
		items = append(items, strings.Join(missing, " || "))
	}
	b.WriteString("[\n" + strings.Join(items, ",\n") + "\n]\n")
	return b.String()
}

// fails is the expression for the failing outcomes of a check that has a marginal one besides; of other checks it is empty.
func fails(c Check) string {
	var words []string
	marginal := false
	for _, o := range c.Outcomes() {
		switch o.Result {
		case Fail:
			words = append(words, o.Word)
		case Marginal:
			marginal = true
		}
	}
	if !marginal {
		return ""
	}
	return either(c, words)
}

func (s Show) program() string {
	if _, ok := s.Check.(*Alike); ok {
		return s.Check.Program(s.Words[0])
	}
	return either(s.Check, s.Words)
}

// lets are the variables that a check reads.
func lets(c Check) string {
	switch c := c.(type) {
	case *Bounds:
		return c.let()
	case *Words:
		return c.let()
	case *Grade:
		return c.let()
	case *Alike:
		return c.lets()
	}
	return ""
}

func (v *Value) let() string {
	x := v.Ident()
	if v.Formula != nil {
		x = v.Formula.text((*Value).Ident)
	}
	if v.Copper {
		x += " * copper"
	}
	return "let " + v.Judged() + " = " + x + ";\n"
}

// VerdictOf reads the list that the program returns.
func (w *Workload) VerdictOf(list []any) Verdict {
	var v Verdict
	next := func() bool {
		x := list[0].(bool)
		list = list[1:]
		return x
	}
	for _, c := range w.Checks() {
		result := Fail
		if next() {
			result = Pass
		}
		if fails(c) != "" && !next() && result == Fail {
			result = Marginal
		}
		v.Results = append(v.Results, result)
	}
	for range w.Faults {
		v.RuledOut = append(v.RuledOut, next())
	}
	return v
}
