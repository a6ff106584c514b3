package uncertainty_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"

	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/stretchr/testify/require"
)

// propagator reads cases from standard input, one JSON text a line, and prints value and uncertainty. The errors of the
// inputs share a common cause by their loadings.
const propagator = `
import json, sys
from uncertainties import ufloat
from uncertainties.umath import sqrt, exp, log, sin
for line in sys.stdin:
    case = json.loads(line)
    common = ufloat(0, 1)
    own = [ufloat(0, 1) for _ in case["X"]]
    x = [m + u*(l*common + sqrt(1 - l*l)*o) for m, u, l, o in zip(case["X"], case["U"], case["Loading"], own)]
    y = eval(case["Formula"])
    print(json.dumps({"Y": y.n, "U": y.s}))
`

type propagationCase struct {
	X, U, Loading []float64
	Formula       string
}

// TestAgainstPythonUncertainties compares propagation with an independent library, Debian's python3-uncertainties, which has derivatives in closed
// form, on random formulas of correlated inputs. The uncertainties are small, so that differences over them are as good as derivatives.
func TestAgainstPythonUncertainties(t *testing.T) {
	python := ""
	for _, name := range []string{"/usr/bin/python3", "python3"} { // the first is where Debian's packages belong to
		if exec.Command(name, "-c", "import uncertainties").Run() == nil {
			python = name
			break
		}
	}
	if python == "" {
		t.Skip("NOT CHECKED against another library: install python3-uncertainties")
	}

	r := rand.New(rand.NewPCG(20, 26))
	const n = 200
	var stdin bytes.Buffer
	cases, formulas := make([]propagationCase, n), make([]uncertainty.Formula, n)
	for i := range cases {
		c := &cases[i]
		for range 1 + r.IntN(4) {
			x := 1 + 4*r.Float64()
			c.X = append(c.X, x)
			c.U = append(c.U, x*math.Pow(10, -6+r.Float64()))
			c.Loading = append(c.Loading, 2*r.Float64()-1)
		}
		term := randomTerm(r, len(c.X), 4)
		c.Formula, formulas[i] = term.text, term.value
		require.NoError(t, json.NewEncoder(&stdin).Encode(c))
	}
	cmd := exec.Command(python, "-c", propagator)
	cmd.Stdin = &stdin
	out, err := cmd.Output()
	require.NoError(t, err, "%s", out)
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	require.Len(t, lines, n)
	for i, c := range cases {
		var want struct{ Y, U float64 }
		require.NoError(t, json.Unmarshal([]byte(lines[i]), &want))
		in, correlation := make([]uncertainty.Input, len(c.X)), make([][]float64, len(c.X))
		for a := range c.X {
			in[a] = uncertainty.Input{X: c.X[a], U: c.U[a]}
			for b := range c.X {
				correlation[a] = append(correlation[a], c.Loading[a]*c.Loading[b])
			}
			correlation[a][a] = 1
		}
		got, err := uncertainty.Propagate(formulas[i], in, correlation)
		require.NoError(t, err, c.Formula)
		require.InEpsilon(t, want.Y, got.Y, 1e-12, c.Formula)
		parts := 0.0
		for _, p := range got.Parts {
			parts += p
		}
		require.InDelta(t, want.U, got.U, 1e-5*parts+1e-11*math.Abs(got.Y), c.Formula)
	}
}

// A term is a formula in Python, of the list x, and in Go.
type term struct {
	text  string
	value uncertainty.Formula
}

// randomTerm makes a term that is positive and finite for inputs of 1 to 5.
func randomTerm(r *rand.Rand, inputs, depth int) term {
	if depth == 0 || r.IntN(6) == 0 {
		i := r.IntN(inputs)
		return term{fmt.Sprintf("x[%d]", i), func(x []float64) float64 { return x[i] }}
	}
	a := randomTerm(r, inputs, depth-1)
	unary := func(format string, f func(float64) float64) term {
		return term{fmt.Sprintf(format, a.text), func(x []float64) float64 { return f(a.value(x)) }}
	}
	switch r.IntN(4) {
	case 0:
		switch r.IntN(4) {
		case 0:
			return unary("sqrt(%s)", math.Sqrt)
		case 1:
			return unary("exp(-%s/10)", func(v float64) float64 { return math.Exp(-v / 10) })
		case 2:
			return unary("log(2 + %s)", func(v float64) float64 { return math.Log(2 + v) })
		default:
			return unary("(2 + sin(%s/4))", func(v float64) float64 { return 2 + math.Sin(v/4) })
		}
	case 1:
		b := randomTerm(r, inputs, depth-1)
		return term{fmt.Sprintf("(%s + %s)", a.text, b.text), func(x []float64) float64 { return a.value(x) + b.value(x) }}
	case 2:
		b := randomTerm(r, inputs, depth-1)
		return term{fmt.Sprintf("%s*%s", a.text, b.text), func(x []float64) float64 { return a.value(x) * b.value(x) }}
	default:
		b := randomTerm(r, inputs, depth-1)
		return term{fmt.Sprintf("(%s/(%s))", a.text, b.text), func(x []float64) float64 { return a.value(x) / b.value(x) }}
	}
}
