package trade_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval/trade"
	"github.com/brushgear/brushgear/units"
)

const kirchhoff = calculated + "Kirchhoff's laws"

// armature returns a winding of 27 coils of 10 mΩ.
func armature(t *testing.T, pitch int) trade.Armature {
	t.Helper()
	w, err := trade.NewArmature(27, pitch, q("10 mΩ"))
	require.NoError(t, err)
	return w
}

// odd returns the places of readings that differ from most, and what most read.
func odd(t *testing.T, paths []trade.Path, decimals int) (places map[int]string, most string) {
	t.Helper()
	list := texts(t, paths, "mΩ", decimals)
	count := map[string]int{}
	for _, text := range list {
		count[text]++
		if count[text] > count[most] {
			most = text
		}
	}
	places = map[int]string{}
	for bar, text := range list {
		if text != most {
			places[bar] = text
		}
	}
	return places, most
}

func TestBarToBar(t *testing.T) {
	wave, err := trade.WavePitch(27, 4)
	require.NoError(t, err)
	require.Equal(t, 13, wave, "(27 - 1)/2")
	open := func(w trade.Armature) (trade.Armature, error) { return w.OpenCoil(20) }
	short := func(w trade.Armature) (trade.Armature, error) { return w.ShortCoil(20) }
	none := func(w trade.Armature) (trade.Armature, error) { return w, nil }
	for _, test := range []struct {
		name   string
		pitch  int
		fault  func(trade.Armature) (trade.Armature, error)
		most   string
		places map[int]string
	}{
		{"lap", 1, none, "9.63 mΩ", map[int]string{}},
		{"lap, one open", 1, open, "10.00 mΩ", map[int]string{20: "260.00 mΩ"}},
		{"lap, one shorted", 1, short, "9.62 mΩ", map[int]string{20: "0.00 mΩ"}},
		// Neighbours span two coils: 20·25/27. The bad coil lies from bar 20 to bar 6: it is on the way from 20 to 19, and on that from 7 to 6.
		{"wave", wave, none, "18.52 mΩ", map[int]string{}},
		{"wave, one open: one fault at two places", wave, open, "20.00 mΩ", map[int]string{6: "250.00 mΩ", 19: "250.00 mΩ"}},
		{"wave, one shorted: one fault at two places", wave, short, "18.46 mΩ", map[int]string{6: "9.62 mΩ", 19: "9.62 mΩ"}},
	} {
		w, err := test.fault(armature(t, test.pitch))
		require.NoError(t, err, test.name)
		readings, err := w.BarToBar()
		require.NoError(t, err, test.name)
		places, most := odd(t, readings, 2)
		require.Equal(t, test.most, most, "%s: %s", test.name, kirchhoff)
		require.Equal(t, test.places, places, "%s: %s", test.name, kirchhoff)
	}
	// With two coils open there is no way round from the bars of either.
	w, err := armature(t, 1).OpenCoil(3)
	require.NoError(t, err)
	w, err = w.OpenCoil(9)
	require.NoError(t, err)
	readings, err := w.BarToBar()
	require.NoError(t, err)
	places, most := odd(t, readings, 2)
	require.Equal(t, "10.00 mΩ", most)
	require.Equal(t, map[int]string{3: "OL", 9: "OL"}, places)
}

func TestBarDrops(t *testing.T) {
	millivolts := units.MustUnit("mV")
	drops := func(w trade.Armature) []string {
		readings, err := w.BarDrops(0, 14, q("2 V"))
		require.NoError(t, err)
		var list []string
		for _, v := range readings {
			here, err := v.In(millivolts)
			require.NoError(t, err)
			list = append(list, here.Round(0).String())
		}
		return list
	}
	healthy := drops(armature(t, 1))
	for bar, v := range healthy {
		if bar < 14 {
			require.Equal(t, "143 mV", v, "2 V over 14 coils")
		} else {
			require.Equal(t, "154 mV", v, "2 V over 13 coils")
		}
	}
	w, err := armature(t, 1).OpenCoil(20)
	require.NoError(t, err)
	for bar, v := range drops(w) {
		switch {
		case bar < 14:
			require.Equal(t, healthy[bar], v, "the healthy half does not notice: "+kirchhoff)
		case bar == 20:
			require.Equal(t, "2000 mV", v, "the whole supply: "+kirchhoff)
		default:
			require.Equal(t, "0 mV", v, "no current: "+kirchhoff)
		}
	}
	w, err = armature(t, 1).ShortCoil(2)
	require.NoError(t, err)
	for bar, v := range drops(w) {
		switch {
		case bar == 2:
			require.Equal(t, "0 mV", v)
		case bar < 14:
			require.Equal(t, "154 mV", v, "13 coils are left of 14")
		default:
			require.Equal(t, healthy[bar], v)
		}
	}
}

func TestWavePitch(t *testing.T) {
	for _, test := range []struct {
		bars, poles, want int
	}{
		{27, 2, 1}, {27, 4, 13}, {25, 6, 8}, {23, 6, 8}, {29, 4, 14},
	} {
		pitch, err := trade.WavePitch(test.bars, test.poles)
		require.NoError(t, err)
		require.Equal(t, test.want, pitch, "condition of the simplex wave winding, textbook")
		_, err = trade.NewArmature(test.bars, pitch, q("10 mΩ"))
		require.NoError(t, err, "it joins all coils to one ring")
	}
}

// A change to a winding leaves the one it was made from alone.
func TestArmatureIsCopied(t *testing.T) {
	w := armature(t, 1)
	_, err := w.OpenCoil(4)
	require.NoError(t, err)
	require.False(t, w.Coils[4].Open)
	short, err := w.ShortCoil(4)
	require.NoError(t, err)
	require.True(t, short.Coils[4].Resistance.Equal(q("0 mΩ")))
	require.True(t, w.Coils[4].Resistance.Equal(q("10 mΩ")))
}
