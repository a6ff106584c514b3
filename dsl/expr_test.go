package dsl

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// shape spells an expression or predicate with a bracket around every node that joins others.
func shape(n Node) string {
	switch n := n.(type) {
	case *Lit:
		if n.Dual != nil {
			return fmt.Sprintf("%s~%s", n.Qty, n.Dual)
		}
		return n.Qty.String()
	case *DateLit:
		return n.Date.String()
	case *TextLit:
		return n.Text.Quoted
	case *RefExpr:
		return n.Ref.String()
	case *Call:
		var args []string
		for _, a := range n.Args {
			args = append(args, shape(a))
		}
		return n.Func.String() + "(" + strings.Join(args, ", ") + ")"
	case *Binary:
		return "(" + shape(n.X) + " " + n.Op + " " + shape(n.Y) + ")"
	case *Not:
		return "(not " + shape(n.X) + ")"
	case *Holds:
		return strings.TrimSpace("["+n.Quantifier) + strings.Repeat(" ", min(1, len(n.Quantifier))) + shape(n.X) + ": " + shape(n.Pred) + "]"
	case *Compare:
		return n.Op + " " + shape(n.Bound)
	case *Within:
		if n.Y == nil {
			return "within " + shape(n.X)
		}
		return "within " + shape(n.X) + " " + n.Op + " " + shape(n.Y)
	case *Alike:
		return "alike " + shape(n.Tolerance) + " by " + n.By.String()
	case *Is:
		s := "is"
		if n.Not {
			s += " not"
		}
		if n.Any {
			s += " any"
		}
		for _, a := range n.Alts {
			s += " " + a.String()
		}
		return s
	}
	return fmt.Sprintf("?%T", n)
}

func TestExpressions(t *testing.T) {
	tests := []struct{ src, want string }{
		{"a or b and c", "(a or (b and c))"},
		{"a and b or c and d", "((a and b) or (c and d))"},
		{"not a and b", "((not a) and b)"},
		{"not not a", "(not (not a))"},
		{"not (a or b)", "(not (a or b))"},
		{"a - b - c", "((a - b) - c)"},
		{"a - b * c / d", "(a - ((b * c) / d))"},
		{"(a - b) * c", "((a - b) * c)"},
		{"a is good", "[a: is good]"},
		{"a is good | worn and b is low", "([a: is good worn] and [b: is low])"},
		{"a is not good or b is any", "([a: is not good] or [b: is any])"},
		{"a is 12 V | 24 V", "[a: is 12 V 24 V]"},
		{`suffix is "B" or x at least 5 V`, `([suffix: is "B"] or [x: at least 5 V])`},
		{"a is good or b.c above 2 V", "([a: is good] or [b.c: above 2 V])"},
		{"a is good or count(b) equals 2", "([a: is good] or [count(b): equals 2])"},
		{"a is good or b / c above 2", "([a: is good] or [(b / c): above 2])"},
		{"whole or a is good", "(whole or [a: is good])"},
		{"a + b above c * 2 and d", "([(a + b): above (c * 2)] and d)"},
		{"not a above 5 V", "(not [a: above 5 V])"},
		{"each x below 5 mm", "[each x: below 5 mm]"},
		{"any x.y[u] within 5 V to 6 V", "[any x.y[u]: within 5 V to 6 V]"},
		{"not any x below 5 mm", "(not [any x: below 5 mm])"},
		{"x within 6000 rpm ± 100 rpm", "[x: within 6000 rpm ± 100 rpm]"},
		{"x within a ± 2 %", "[x: within a ± 2 %]"},
		{"x alike 3 % by mean", "[x: alike 3 % by mean]"},
		{"x alike (a * 2) by span", "[x: alike (a * 2) by span]"},
		{"x at least -20 °C", "[x: at least -20 °C]"},
		{"x below 28.2 V - 20 mV/K * (t - 25 °C)", "[x: below (28.2 V - (20 mV/K * (t - 25 °C)))]"},
		{"x at most 0.010 in (0.254 mm)", "[x: at most 0.010 in~0.254 mm]"},
		{"count(x above 5 V) is 2", "[count([x: above 5 V]): is 2]"},
		{"power(torque, speed) above 1 kW", "[power(torque, speed): above 1 kW]"},
		{"built at least 2007-01-01", "[built: at least 2007-01-01]"},
		{`serial at least "B500"`, `[serial: at least "B500"]`},
		{"a.b.c[u, 1] above 2 V", "[a.b.c[u, 1]: above 2 V]"},
		{"rest above 5 min and drop below 2 V", "([rest: above 5 min] and [drop: below 2 V])"},
		{"x is\n  good |\n  worn\n  and y", "([x: is good worn] and y)"},
	}
	for _, tt := range tests {
		t.Run(tt.src, func(t *testing.T) {
			f := mustParse(t, "brushgear 1\nrequire "+tt.src+` "message"`)
			require.Equal(t, tt.want, shape(f.Decls[0].(*Require).Cond))
		})
	}
}

func TestShapes(t *testing.T) {
	tests := []struct{ src, want, fresh string }{
		{"limit x", "", ""},
		{"limit x 2.4 to 2.8 Ω", "within 2.4 to 2.8 Ω", ""},
		{"limit x 14.1 V ± 0.3 V new 14.1 V ± 0.2 V", "within 14.1 V ± 0.3 V", "within 14.1 V ± 0.2 V"},
		{"limit x 0.010 in (0.254 mm) to 0.020 in (0.508 mm)", "within 0.010 in~0.254 mm to 0.020 in~0.508 mm", ""},
		{"limit x 3", "within 3", ""},
		{"limit x at most 0.10 mm new at most 0.05 mm", "at most 0.10 mm", "at most 0.05 mm"},
		{"limit x within a - 2 V ± 3 %", "within (a - 2 V) ± 3 %", ""},
		{"limit x is good | worn", "is good worn", ""},
		{"limit x alike 0.05 V by least", "alike 0.05 V by least", ""},
	}
	for _, tt := range tests {
		t.Run(tt.src, func(t *testing.T) {
			f := mustParse(t, "brushgear 1\n"+tt.src+" at supply 12 V, temp -20 °C when poles is 12 per sheet_3")
			l := f.Decls[0].(*Limit)
			if tt.want == "" {
				require.Nil(t, l.Shape)
			} else {
				require.Equal(t, tt.want, shape(l.Shape))
			}
			if tt.fresh == "" {
				require.Nil(t, l.New)
			} else {
				require.Equal(t, tt.fresh, shape(l.New))
			}
			require.Equal(t, "-20 °C", l.At[1].Qty.Text)
			require.Equal(t, "[poles: is 12]", shape(l.When))
			require.Equal(t, "sheet_3", l.Per.Text)
		})
	}
}

func TestExpressionLimits(t *testing.T) {
	deep := strings.Repeat("(", 60) + "a" + strings.Repeat(")", 60)
	require.Empty(t, findingsOf(t, "brushgear 1\nrequire "+deep+` "m"`))
	tooDeep := strings.Repeat("(", 300) + "a" + strings.Repeat(")", 300)
	ds := findingsOf(t, "brushgear 1\nrequire "+tooDeep+` "m"`+"\nrequire b \"m\"\nrequire \"m\"")
	require.Len(t, ds, 2)
	require.Equal(t, CodeTooDeep, ds[0].Code)
	require.Equal(t, 4, ds[1].Range.Pos.Line)
	long := "a" + strings.Repeat(" + a", 12_000)
	ds = findingsOf(t, "brushgear 1\nrequire "+long+` "m"`)
	require.Equal(t, CodeTooDeep, ds[0].Code)
}
