package units

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// anyNumber draws the text of a number in all forms.
func anyNumber() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.StringMatching(`-?[0-9]{1,18}`),
		rapid.StringMatching(`-?[0-9]{1,6}\.[0-9]{1,6}`),
		rapid.StringMatching(`-?\.[0-9]{1,25}`),
		rapid.StringMatching(`-?[0-9]{1,3}(\.[0-9]{1,3})?[eE][+-]?[0-9]{1,2}`),
		rapid.StringMatching(`-?[0-9]{1,3}/[1-9][0-9]{0,2}`),
		rapid.Custom(func(t *rapid.T) string {
			bottom := rapid.IntRange(2, 128).Draw(t, "bottom")
			top := rapid.IntRange(0, bottom-1).Draw(t, "top")
			return fmt.Sprintf("%d-%d/%d", rapid.IntRange(0, 99).Draw(t, "whole"), top, bottom)
		}),
	)
}

// anyUnit draws the text of a unit of the table, alone or in a product.
func anyUnit() *rapid.Generator[string] {
	words := slices.Sorted(func(yield func(string) bool) {
		for word := range catalogue().words {
			if !yield(word) {
				return
			}
		}
	})
	one := rapid.SampledFrom(words)
	factors := rapid.SampledFrom(slices.DeleteFunc(slices.Clone(words), func(w string) bool { return MustUnit(w).isGauge() }))
	return rapid.OneOf(one, rapid.Custom(func(t *rapid.T) string {
		text := factors.Draw(t, "first")
		for range rapid.IntRange(1, 3).Draw(t, "more") {
			text += rapid.SampledFrom([]string{"·", "/"}).Draw(t, "sign") + factors.Draw(t, "factor")
		}
		return text
	})).Filter(func(text string) bool {
		_, err := ParseUnit(text)
		return err == nil
	})
}

// exactSI is the SI value on the long way: big rationals only, one rounding.
func exactSI(q Quantity) float64 {
	r, _ := numberOf(q.text).rat()
	return float(q.unit.toSI(r))
}

// Any quantity parses to the exact value rounded once, prints, and reads back the same.
func TestParseProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		input := anyNumber().Draw(t, "number") + " " + anyUnit().Draw(t, "unit")
		q, err := Parse(input)
		if err != nil {
			return // out of range, or a gauge with decimals beyond the scale
		}
		checkParsed(t, input, q)
		if !q.unit.isGauge() {
			require.Equal(t, exactSI(q), q.SI(), input)
		}
	})
}

// rational units by dimension: every pair converts without π.
var rationalUnits = func() map[Dimension][]string {
	m := map[Dimension][]string{}
	for i, a := range atoms {
		if a.pi == 0 && uint8(i) != gaugeAtom {
			m[a.dim] = append(m[a.dim], a.symbol)
		}
	}
	m[torque] = []string{"N·m", "lbf·ft", "lbf·in", "ozf·in", "kgf·m", "mN·m"}
	m[area] = []string{"m²", "mm²", "in²", "cm²"}
	m[kelvin] = []string{"K", "°C", "°F", "mK"}
	m[inertia] = []string{"kg·m²", "lb·ft²", "lb·in²"}
	return m
}()

// The same length in inches and in millimetres is one value: equal at every boundary, and ordered around it.
func TestRationalUnitsAgreeProperty(t *testing.T) {
	dims := slices.SortedFunc(func(yield func(Dimension) bool) {
		for d, list := range rationalUnits {
			if len(list) > 1 && !yield(d) {
				return
			}
		}
	}, func(a, b Dimension) int {
		return slices.Compare(append(a.powers[:], int8(a.kind)), append(b.powers[:], int8(b.kind)))
	})
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(dims).Draw(t, "dimension")
		a := MustUnit(rapid.SampledFrom(rationalUnits[d]).Draw(t, "a"))
		b := MustUnit(rapid.SampledFrom(rationalUnits[d]).Draw(t, "b"))
		q, err := Parse(anyNumber().Draw(t, "number") + " " + a.String())
		if err != nil {
			return
		}
		// The same value written in b, as a fraction.
		inB := q.exactIn(b)
		text := inB.RatString()
		if len(text) > maxNumberText {
			return
		}
		o, err := Parse(text + " " + b.String())
		require.NoError(t, err)
		require.True(t, q.Equal(o), "%v and %v", q, o)
		require.Equal(t, q.SI(), o.SI())

		converted, err := q.In(b)
		require.NoError(t, err)
		want, _ := inB.Float64()
		require.Equal(t, want, converted.Value())
		require.True(t, converted.Equal(q))

		// A hair more or less never compares the other way.
		more := new(big.Rat).Add(inB, big.NewRat(1, 1<<40))
		if above, err := Parse(more.RatString() + " " + b.String()); err == nil {
			c, err := above.Compare(q)
			require.NoError(t, err)
			require.GreaterOrEqual(t, c, 0)
		}
	})
}

// New takes a float64 as the decimal that it prints as, so what it makes survives its text.
func TestNewRoundTripProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := MustUnit(anyUnit().Draw(t, "unit"))
		q := New(rapid.Float64().Draw(t, "value"), u)
		text, err := q.MarshalText()
		if err != nil {
			return
		}
		var back Quantity
		if err := back.UnmarshalText(text); err != nil {
			require.ErrorIs(t, errRangeOrGauge(err), ErrRange)
			return
		}
		require.Equal(t, q.Value(), back.Value())
		require.Equal(t, q.SI(), back.SI())
	})
}

// errRangeOrGauge counts a gauge beyond the scale as out of range.
func errRangeOrGauge(err error) error {
	if e, ok := err.(*ParseError); ok && e.Msg == errGauge.Error() {
		return ErrRange
	}
	return err
}

// FromSI and In agree with Scale and Zero.
func TestFromSIProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := MustUnit(anyUnit().Draw(t, "unit"))
		if u.isGauge() {
			return
		}
		si := rapid.Float64Range(-1e6, 1e6).Draw(t, "si")
		q := FromSI(si, u)
		if !q.finite() || math.Abs(q.Value()) < 1e-300 {
			return // below that a float64 has fewer digits
		}
		require.Equal(t, si, q.SI())
		require.InDelta(t, si, q.Value()*u.Scale()+u.Zero(), 1e-14*(math.Abs(si)+math.Abs(u.Zero())))
	})
}

// Every dimension can be written: its unit measures it, with scale 1.
func TestDimensionUnitProperty(t *testing.T) {
	power := rapid.Int8Range(-maxPower, maxPower)
	rapid.Check(t, func(t *rapid.T) {
		var d Dimension
		for i := range d.powers {
			d.powers[i] = power.Draw(t, "power")
		}
		require.Equal(t, d, d.Unit().Dimension())
		require.Equal(t, d.powers, MustUnit(d.String()).Dimension().powers)
		require.InDelta(t, 1, d.Unit().Scale(), 1e-15)
		require.NotEmpty(t, d.Name())
	})
}

// Rounding stays within half a step, and rounding twice changes nothing.
func TestRoundProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := New(rapid.Float64Range(-1e6, 1e6).Draw(t, "value"), MustUnit("V"))
		decimals := rapid.IntRange(-3, 9).Draw(t, "decimals")
		r := q.Round(decimals)
		off := new(big.Rat).Sub(q.exact(), r.exact())
		off.Abs(off).Mul(off, big.NewRat(2, 1))
		require.LessOrEqual(t, off.Cmp(timesTen(big.NewRat(1, 1), -decimals)), 0)
		require.Equal(t, r, r.Round(decimals))
	})
}
