package trade

import (
	"fmt"
	"math"
	"slices"

	"github.com/brushgear/brushgear/units"
)

// Armature is the closed winding of a commutator machine: one ring of as many coils as there are bars. Coil k begins at bar k and ends at
// bar k + Pitch, counted round the commutator.
//
// A lap winding has a pitch of 1: neighbouring bars span one coil. A wave winding has a pitch of (bars ± 1)/pole pairs: neighbouring bars
// span as many coils as there are pole pairs, and a bad coil shows at as many places, two of them half a commutator apart with four poles.
// They are one fault. Windings that are several rings, and equalised ones, are not described.
type Armature struct {
	Coils []Path
	Pitch int
}

// NewArmature returns an armature of like coils. There must be 3 or more, the resistance of a coil be above zero, and the pitch be from 1 to
// less than the number of coils and join all of them to one ring.
func NewArmature(coils, pitch int, coil units.Quantity) (Armature, error) {
	var a arguments
	a.count("coils", coils, 3)
	a.positive("resistance of a coil", coil, ohms)
	if a.err != nil {
		return Armature{}, a.err
	}
	w := Armature{Coils: make([]Path, coils), Pitch: pitch}
	for i := range w.Coils {
		w.Coils[i] = Path{Resistance: coil}
	}
	w.ring(&a)
	return settled(&a, w)
}

// OpenCoil returns w with the coil that begins at a bar open.
func (w Armature) OpenCoil(bar int) (Armature, error) {
	return w.with(bar, Path{Open: true})
}

// ShortCoil returns w with the coil that begins at a bar bridged, so that nothing of its resistance is left.
func (w Armature) ShortCoil(bar int) (Armature, error) {
	unit := ohms.Unit()
	if bar >= 0 && bar < len(w.Coils) && !w.Coils[bar].Open {
		unit = w.Coils[bar].Resistance.Unit()
	}
	return w.with(bar, Path{Resistance: units.New(0, unit)})
}

func (w Armature) with(bar int, coil Path) (Armature, error) {
	if bar < 0 || bar >= len(w.Coils) {
		var a arguments
		a.refuse("bar", fmt.Sprintf("there is no bar %d", bar), fmt.Sprintf("write a number from 0 to below %d", len(w.Coils)))
		return Armature{}, a.err
	}
	w.Coils = slices.Clone(w.Coils)
	w.Coils[bar] = coil
	return w, nil
}

// WavePitch returns the pitch of a wave winding of so many bars and poles: (bars - 1)/pole pairs where that is whole, else
// (bars + 1)/pole pairs. It is an error when neither is. With two poles it is 1, since wave and lap are then the same.
//
// Source: condition of the simplex wave winding, in any textbook of machine design; common practice, no source.
func WavePitch(bars, poles int) (int, error) {
	var a arguments
	a.count("bars", bars, 3)
	pairs := a.poles(poles) / 2
	switch {
	case a.err != nil:
		return 0, a.err
	case pairs == 1:
		return 1, nil
	case (bars-1)%pairs == 0:
		return (bars - 1) / pairs, nil
	case (bars+1)%pairs == 0:
		return (bars + 1) / pairs, nil
	}
	a.refuse("bars", fmt.Sprintf("%d bars and %d poles make no wave winding", bars, poles), "count the bars again, or take a lap winding, of pitch 1")
	return 0, a.err
}

// ring returns, for each bar, its place in the order in which the winding joins them, and the bars in that order.
func (w Armature) ring(a *arguments) (place, bars []int) {
	n := len(w.Coils)
	a.count("coils", n, 3)
	if a.err == nil && (w.Pitch < 1 || w.Pitch >= n) {
		a.refuse("pitch", fmt.Sprintf("%d does not lead to another bar of %d", w.Pitch, n), "write 1 for a lap winding, or what WavePitch returns")
	}
	if a.err != nil {
		return nil, nil
	}
	place, bars = make([]int, n), make([]int, n)
	for i := range bars {
		bar := i * w.Pitch % n
		if i > 0 && bar == 0 {
			a.refuse("pitch", fmt.Sprintf("%d joins %d coils of %d to a ring of their own", w.Pitch, i, n),
				"write 1 for a lap winding, or what WavePitch returns")
			return nil, nil
		}
		place[bar], bars[i] = i, bar
	}
	return place, bars
}

// resistances returns the resistances of the coils in the order of the ring, infinite where they are open, and a sample of their unit.
func (w Armature) resistances(a *arguments, bars []int) (r []float64, unit units.Quantity) {
	unit = ohms
	if i := slices.IndexFunc(w.Coils, func(coil Path) bool { return !coil.Open }); i >= 0 {
		unit = w.Coils[i].Resistance
	}
	for _, bar := range bars {
		r = append(r, a.path(fmt.Sprintf("coil at bar %d", bar), w.Coils[bar]))
	}
	return r, unit
}

// BarToBar returns what is found between each bar and the next when the current is fed and the drop read at the same two bars: the coils
// between them, with all others beside. The first result is between the bars 0 and 1.
//
// In a lap winding of n like coils each reads r·(n-1)/n. A shorted coil reads nothing at its own bars and hardly changes the others. An
// open coil reads (n-1)·r at its own bars, and r at all others, because the way round is broken.
//
// Source: series and parallel resistances.
func (w Armature) BarToBar() ([]Path, error) {
	var a arguments
	place, bars := w.ring(&a)
	r, unit := w.resistances(&a, bars)
	if a.err != nil {
		return nil, a.err
	}
	n := len(r)
	readings := make([]Path, n)
	for bar := range readings {
		from, to := place[bar], place[(bar+1)%n]
		readings[bar] = a.found(parallel(series(r, from, to), series(r, to, from)), unit)
	}
	return settled(&a, readings)
}

// series returns the sum of the resistances from one place of the ring forward to another.
func series(r []float64, from, to int) float64 {
	var sum float64
	for i := from; i != to; i = (i + 1) % len(r) {
		sum += r[i]
	}
	return sum
}

// BarDrops returns the voltage between each bar and the next, without sign, when a supply is joined to two bars elsewhere, such as half a
// commutator apart on a lap winding. The first result is between the bars 0 and 1.
//
// In a side of the ring with an open coil no current flows: every pair reads nothing there but that of the coil, which shows the whole
// supply. The readings look quite unlike those of [Armature.BarToBar] for the same fault, so the way of feeding is part of the test.
// It is an error when two coils of a side are open, since the bars between them float, or when a side has no resistance at all.
//
// Source: Kirchhoff's laws.
func (w Armature) BarDrops(from, to int, supply units.Quantity) ([]units.Quantity, error) {
	var a arguments
	v := a.notNegative("supply voltage", supply, volts)
	place, bars := w.ring(&a)
	n := len(bars)
	if a.err == nil && (from < 0 || from >= n || to < 0 || to >= n || from == to) {
		a.refuse("bars of the supply", fmt.Sprintf("%d and %d are not two bars of %d", from, to, n), fmt.Sprintf("write two numbers from 0 to %d", n-1))
	}
	r, _ := w.resistances(&a, bars)
	if a.err != nil {
		return nil, a.err
	}
	potential := make([]float64, n)
	for _, side := range [...]struct{ from, to int }{{place[from], place[to]}, {place[to], place[from]}} {
		at, end := v, 0.0
		if side.from == place[to] {
			at, end = end, at
		}
		drop, err := drops(r, side.from, side.to, end-at)
		if err != "" {
			a.refuse("coils", err, "feed it at other bars, or use BarToBar")
			return nil, a.err
		}
		for k, i := 0, side.from; i != side.to; k, i = k+1, (i+1)%n {
			potential[bars[i]] = at
			at += drop[k]
		}
	}
	readings := make([]units.Quantity, n)
	for bar := range readings {
		readings[bar] = a.quantity(math.Abs(potential[bar]-potential[(bar+1)%n]), supply)
	}
	return settled(&a, readings)
}

// drops divides a voltage over the coils of a side; all of it over the open one, if there is one. The text says why it cannot.
func drops(r []float64, from, to int, voltage float64) ([]float64, string) {
	var sum float64
	var open int
	for i := from; i != to; i = (i + 1) % len(r) {
		sum += r[i]
		if math.IsInf(r[i], 1) {
			open++
		}
	}
	switch {
	case open > 1:
		return nil, "two open coils on one side leave bars without potential"
	case sum == 0:
		return nil, "a side without resistance shorts the supply"
	}
	var shares []float64
	for i := from; i != to; i = (i + 1) % len(r) {
		switch {
		case open == 0:
			shares = append(shares, voltage*r[i]/sum)
		case math.IsInf(r[i], 1):
			shares = append(shares, voltage)
		default:
			shares = append(shares, 0)
		}
	}
	return shares, ""
}
