package trade_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval/trade"
	"github.com/brushgear/brushgear/units"
)

const (
	practice   = "common practice, no source"
	calculated = "calculated from the formula of the function; "
)

// figure is one result against the figure it must round to, as printed.
type figure struct {
	name   string
	got    func() (units.Quantity, error)
	want   string
	source string
}

// meets checks that results round to what is printed, in the unit and to the digits of it.
func meets(t *testing.T, figures []figure) {
	t.Helper()
	for _, f := range figures {
		got, err := f.got()
		require.NoError(t, err, f.name)
		rounds(t, f.want, got, "%s: %s", f.name, f.source)
	}
}

// rounds checks that got rounds to what is printed.
func rounds(t *testing.T, printed string, got units.Quantity, message string, args ...any) {
	t.Helper()
	want := units.Must(printed)
	here, err := got.In(want.Unit())
	require.NoError(t, err)
	digit, ok := want.Resolution()
	require.True(t, ok, "%s has no last digit", printed)
	rounded, err := here.RoundTo(digit)
	require.NoError(t, err)
	require.True(t, rounded.Equal(want), "%v, printed %s; %s", here, printed, fmt.Sprintf(message, args...))
}

// q reads a quantity.
func q(text string) units.Quantity { return units.Must(text) }

// qs reads quantities.
func qs(texts ...string) []units.Quantity {
	list := make([]units.Quantity, len(texts))
	for i, text := range texts {
		list[i] = units.Must(text)
	}
	return list
}

// near checks two results of computation.
func near(t require.TestingT, want, got units.Quantity) {
	require.NoError(t, units.Match(want.Dimension(), got.Dimension()))
	if want.SI() == 0 {
		require.InDelta(t, 0, got.SI(), 1e-12)
		return
	}
	require.InEpsilon(t, want.SI(), got.SI(), 1e-9)
}

// texts writes paths in a unit, rounded.
func texts(t *testing.T, paths []trade.Path, unit string, decimals int) []string {
	t.Helper()
	var list []string
	for _, p := range paths {
		if !p.Open {
			r, err := p.Resistance.In(units.MustUnit(unit))
			require.NoError(t, err)
			p.Resistance = r.Round(decimals)
		}
		list = append(list, p.String())
	}
	return list
}
