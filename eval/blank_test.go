package eval_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
)

// cardsOf opens a job on the alternator of the examples and returns it with its cards.
func cardsOf(t *testing.T) (*eval.Job, map[string]eval.Card) {
	t.Helper()
	b, _ := benchAndRecords(t)
	j, err := b.Open("tarnby_90")
	require.NoError(t, err)
	require.NoError(t, j.Include("battery", "bench_650"))
	require.NoError(t, j.SetDate("2026-03-02"))
	v, err := j.Judge(context.Background())
	require.NoError(t, err)
	cards := map[string]eval.Card{}
	for _, c := range v.Last().Cards() {
		cards[c.Test] = c
	}
	return j, cards
}

func blank(t *testing.T, list []eval.Blank, name string) eval.Blank {
	t.Helper()
	for _, b := range list {
		if b.Name == name {
			return b
		}
	}
	t.Fatalf("there is no blank %s", name)
	return eval.Blank{}
}

func TestFillTakesWhatPeopleWrite(t *testing.T) {
	j, cards := cardsOf(t)
	for _, c := range []struct{ test, blank, answer, want string }{
		{"ring_field", "current", "3.98", "3.98 A"},
		{"ring_field", "current", "3.98 A", "3.98 A"},
		{"ring_field", "current", "3980mA", "3980 mA"},
		{"ring_field", "current", "> 20", "> 20 A"},
		{"ring_field", "current", "<0.1", "< 0.1 A"},
		{"ring_field", "current", "2 to 3 jumping", "2 A to 3 A jumping"},
		{"ring_field", "current", "2 to 3 A", "2 A to 3 A"},
		{"ring_field", "current", "0", "0 A"},
		{"ring_field", "current", "14,2 A", "14.2 A"},
		{"ring_field", "current", "2,45", "2.45 A"},
		{"ring_field", "current", "0,245", "0.245 A"},
		{"ring_field", "current", "2..9", "2 A to 9 A"},
		{"ring_field", "current", "2-9 A", "2 A to 9 A"},
		{"ring_field", "current", "2 A – 9 A", "2 A to 9 A"},
		{"ring_field", "current", "2,5-3,5 jumping", "2.5 A to 3.5 A jumping"},
		{"ring_field", "current", "1e-3", "1e-3 A"},
		{"ring_field", "current", "-", "missing"},
		{"ring_field", "current", "  ", "missing"},
		{"flex", "resistance", "OL", "OL"},
		{"ring_field", "winding_temp", "-5", "-5 °C"},
		{"ring_field", "winding_temp", "68 °F", "68 °F"},
		{"by_hand", "turns", "good", "good"},
		{"by_hand", "turns", "ro", "rough"},
		{"by_hand", "turns", "Rough", "rough"},
		{"by_hand", "turns", "g | ro", "good | rough"},
		{"belt", "run", "out of line", "out_of_line"},
		{"pairs", "ohms", "92.1 92.6 91.9", "(92.1 92.6 91.9 mΩ)"},
		{"pairs", "ohms", "(92.1 92.6 91.9 mΩ)", "(92.1 92.6 91.9 mΩ)"},
		{"pairs", "ohms", "92.1, -, OL", "(92.1 mΩ missing OL)"},
		{"pairs", "ohms", "0.09 Ω 0.09 Ω 0.08 Ω", "(0.09 0.09 0.08 Ω)"},
		{"pairs", "ohms", "92.1", "(92.1 mΩ)"},
		{"brushes", "slide", "f s", "(free sticks)"},
		{"curve", "speed", "1500 2000 3000", "(1500 2000 3000 rpm)"},
		{"curve", "current", "33 49 64", "(33 49 64 A)"},
		{"battery.open_circuit", "surface_charge", "r", "removed"},
	} {
		card := cards[c.test]
		b := blank(t, append(card.Conditions, card.Readings...), c.blank)
		v, assumed, err := b.Fill(c.answer)
		require.NoError(t, err, "%s: %s", c.blank, c.answer)
		require.Equal(t, c.want, v.String(), c.answer)
		require.Equal(t, !v.Missing() && strings.Trim(v.String(), "()") != strings.Trim(c.answer, "()"), assumed || cosmetic[c.answer], c.answer)
	}
	suffix := blank(t, j.Unknown(), "suffix")
	for answer, want := range map[string]string{"B": `"B"`, `"B"`: `"B"`, `B "2"`: `"B \"2\""`} {
		v, _, err := suffix.Fill(answer)
		require.NoError(t, err)
		require.Equal(t, want, v.String())
		require.NoError(t, j.Set("suffix", v))
	}
	require.Empty(t, j.Unknown())
}

// cosmetic answers are spelt otherwise and nothing is added to them.
var cosmetic = map[string]bool{"3980mA": true, "2 to 3 A": true, "out of line": true, "0.09 Ω 0.09 Ω 0.08 Ω": true}

func TestFillTeaches(t *testing.T) {
	_, cards := cardsOf(t)
	for _, c := range []struct{ test, blank, answer, want string }{
		{"ring_field", "current", "2,450", "write 2450 if it groups digits, 2.450 if it is a decimal comma"},
		{"ring_field", "current", "9-2 A", "runs backwards"},
		{"ring_field", "winding_temp", "-5-3 °C", "write to between the ends of a range: -5 to 3 °C"},
		{"ring_field", "current", "2½", "write 2-1/2 with its unit"},
		{"ring_field", "current", "~5", "~ does not belong to a value; leave it out"},
		{"ring_field", "current", "2 A; drop", "; does not belong to a value; write the value alone"},
		{"ring_field", "current", "open", "write 0 A for an open circuit"},
		{"flex", "resistance", "infinite", "write OL"},
		{"flex", "resistance", "not taken", "write missing for what was not read"},
		{"flex", "resistance", "n/a", "write missing for what was not read"},
		{"ring_field", "winding_temp", "68F", "°F"},
		{"by_hand", "turns", "quite good", `"quite good" is none of its words`},
		{"pairs", "ohms", "91-93 92", "91-93 is no single number: write one for each, with blanks between them"},
		{"ring_field", "current", "13 V", "13 V does not fit: current is read in A"},
		{"ring_field", "current", "OL", "a current cannot be OL"},
		{"ring_field", "current", "good", "current is a number"},
		{"ring_field", "current", `"good"`, "current is a number"},
		{"ring_field", "current", "(1 2)", "current is a single value, not a list"},
		{"ring_field", "current", "3 to 2", "runs backwards"},
		{"by_hand", "turns", "3", "none of its words: write good | rough | drags | locked"},
		{"noise", "field_on", "x", "write quiet | growl | rumble | hum"},
		{"pairs", "ohms", "92.1 92.6", "3 values are wanted, not 2"},
		{"pairs", "ohms", "9,1 9,2 9,3", "decimal comma"},
		{"pairs", "ohms", "()", "nothing stands between the brackets"},
		{"pairs", "ohms", "92.1 V 92.6 V 91 V", "does not fit: ohms is read in mΩ"},
		{"ring_field", "winding_temp", "20 C", "°C"},
	} {
		card := cards[c.test]
		_, _, err := blank(t, append(card.Conditions, card.Readings...), c.blank).Fill(c.answer)
		require.ErrorContains(t, err, c.want, c.answer)
	}
	_, _, err := eval.Blank{}.Fill("3")
	require.ErrorContains(t, err, "stands on no card")
}

func TestFillWordsThatBeginAlike(t *testing.T) {
	j := loaded(t, "brushgear 1\nfamily a \"A\" { test t \"T\" { read x : slack | slips | seized  limit x is slack } }\nrecord \"r\" of a { judge 2026-03-02 }\n")
	v, err := j.Judge(context.Background())
	require.NoError(t, err)
	x := v.Last().Cards()[0].Readings[0]
	_, _, err = x.Fill("sl")
	require.ErrorContains(t, err, `"sl" can be slack or slips: write more of it`)
	got, _, err := x.Fill("sla")
	require.NoError(t, err)
	require.Equal(t, "slack", got.String())
}

func TestCards(t *testing.T) {
	j, cards := cardsOf(t)
	c := cards["output"]
	require.Equal(t, "Full output at the test voltage", c.Title)
	require.Len(t, c.Cautions, 3)
	require.Equal(t, 10., c.Minutes)
	require.Equal(t, []string{"battery.open_circuit is good | three_quarters", "by_hand.turns is good | rough"}, c.Needs)
	require.Equal(t, "within 13.5 V ± 0.1 V", blank(t, c.Conditions, "supply").Wants, "an attribute in numbers")
	require.True(t, blank(t, c.Conditions, "warm_up").Needed)
	require.False(t, c.Done)
	require.Equal(t, "field terminal to bare metal of the end frame", cards["through_brushes"].Across)
	require.Equal(t, "at most 20 s, rest 2 min", cards["full_field"].Run)
	require.False(t, cards["pulley_grip"].Applies)
	require.Equal(t, []string{"plus, u", "plus, v", "plus, w", "minus, u", "minus, v", "minus, w"}, blank(t, cards["hot_leak"].Readings, "leak").Positions)
	require.Equal(t, "leak[plus, v]", blank(t, cards["hot_leak"].Readings, "leak").At(1).Name)
	require.True(t, blank(t, cards["curve"].Conditions, "speed").List)
	require.Equal(t, "speed", blank(t, cards["curve"].Readings, "current").Along)

	require.NoError(t, j.Take("by_hand.turns", eval.Reading{Value: eval.Word("good")}))
	require.NoError(t, j.Skip("output", "no_time", "noon"))
	v, err := j.Judge(context.Background())
	require.NoError(t, err)
	for _, c := range v.Last().Cards() {
		require.Equal(t, c.Test == "by_hand", c.Done, c.Test)
		if c.Test == "output" {
			require.Equal(t, "no time: noon", c.Skipped)
		}
	}
	in := j.Inclusions()
	require.Len(t, in, 1)
	require.Equal(t, "bench_650", in[0].Family)
	require.Contains(t, j.Remedies(), eval.Remedy{Name: "battery.charge", Title: "Charge it and let it rest", Retest: []string{"battery.open_circuit", "battery.load"}})
	require.Contains(t, j.Causes(), eval.Name{Name: "oil", Title: "Oil leak from the engine"})
}
