package peers

import (
	"fmt"
	"maps"

	"github.com/expr-lang/expr"
	"github.com/expr-lang/expr/vm"

	"github.com/brushgear/brushgear/testdata/peers/workload"
)

// exprProgram compiles the workload as a list program, with the optimisations that are on by default.
func exprProgram(w *workload.Workload) (*vm.Program, error) {
	return expr.Compile(w.Program(), expr.Env(map[string]any(w.Sets[0])))
}

// exprVerdict is what the program finds in one set.
func exprVerdict(w *workload.Workload, machine *vm.VM, program *vm.Program, s workload.Set) (workload.Verdict, error) {
	out, err := machine.Run(program, map[string]any(s))
	if err != nil {
		return workload.Verdict{}, err
	}
	list, ok := out.([]any)
	if !ok {
		return workload.Verdict{}, fmt.Errorf("the program returned %T, not a list", out)
	}
	return w.VerdictOf(list), nil
}

func judgeExpr(w *workload.Workload) (func() error, error) {
	program, err := exprProgram(w)
	if err != nil {
		return nil, err
	}
	machine := &vm.VM{}
	return inTurn(len(w.Sets), func(i int) error {
		_, err := machine.Run(program, map[string]any(w.Sets[i]))
		return err
	}), nil
}

// takeExpr fills the environment anew for each set.
func takeExpr(w *workload.Workload) (func() error, error) {
	program, err := exprProgram(w)
	if err != nil {
		return nil, err
	}
	machine, env := &vm.VM{}, map[string]any{}
	return inTurn(len(w.Sets), func(i int) error {
		clear(env)
		maps.Copy(env, w.Sets[i])
		_, err := machine.Run(program, env)
		return err
	}), nil
}

func compileExpr(w *workload.Workload) (func() error, error) {
	text, env := w.Program(), map[string]any(w.Sets[0])
	return func() error {
		_, err := expr.Compile(text, expr.Env(env))
		return err
	}, nil
}
