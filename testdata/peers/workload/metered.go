package workload

import (
	"fmt"
	"reflect"
	"slices"
)

// Metered is the same workload read with instruments that state their accuracy, some of the readings and the winding temperature as ranges. What
// it comes to is the same.
func (w *Workload) Metered() *Workload {
	m := *w
	m.metered = true
	return &m
}

// units lists the units of all numbers that are read, each once. Their places number the instruments.
func (w *Workload) units() []string {
	var all []string
	for _, v := range slices.Concat(w.Conditions, w.Readings()) {
		if v.Words == nil && !slices.Contains(all, v.Unit) {
			all = append(all, v.Unit)
		}
	}
	return all
}

// with names the instrument of a value, empty without.
func (w *Workload) with(v *Value) string {
	if !w.metered || v.Words != nil || v.Formula != nil {
		return ""
	}
	return fmt.Sprintf(" with meter_%d", slices.Index(w.units(), v.Unit)+1)
}

// Between returns the range in which a value of a set was read: for each sixth reading and the winding temperature 0.01 % to either side, unless
// that, with the ranges of others, may reach over a limit.
func (w *Workload) Between(v *Value, s Set) (low, high float64, ok bool) {
	if !w.metered || v.Words != nil || v.Positions != nil || slices.Index(w.Readings(), v)%6 != 0 && v.Name != windingTemp {
		return 0, 0, false
	}
	x := s[v.Ident()].(float64)
	want := w.Judge(s)
	for _, end := range []float64{x * (1 - 5e-4), x * (1 + 5e-4)} {
		moved := Set{}
		for id, value := range s {
			moved[id] = value
		}
		moved[v.Ident()] = end
		if !reflect.DeepEqual(want, w.Judge(moved)) {
			return 0, 0, false
		}
	}
	return x * (1 - 1e-4), x * (1 + 1e-4), true
}
