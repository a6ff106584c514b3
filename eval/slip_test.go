package eval_test

import (
	"bytes"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/report"
)

const slipSheet = `brushgear 1
kind unit "Unit" {
  attribute nominal : 12 V | 24 V
  attribute connection : wye | delta
  positions phase "phase" : u, v, w
  instrument clamp : A accuracy ± 1 % digit 0.1 A range 0 A to 60 A
  test field "Field" {
    read current : A with clamp
    limit current 3 A to 4 A when nominal is 12 V
    limit current 1.5 A to 2 A when nominal is 24 V
  }
  test feed "Feed" { read volts : V  limit volts at least 11 V when nominal is 12 V  limit volts at least 22 V when nominal is 24 V }
  test heat "By hand" { read felt : cool | hot  limit felt is cool }
  test ripple "Ripple" { read volts : V  limit volts at most 0.5 V }
  test charge "Into the battery" { read current : A  limit current 5 A to 30 A }
  test stall "Stall" { read current : A with clamp  limit current at least 80 A }
  test taps "Taps" {
    read volts of phase : V
    outcome good when volts[u] within 1 V to 1.5 V and volts[v] within 2 V to 2.5 V and volts[w] within 3 V to 3.5 V
    outcome odd as fail otherwise
  }
  test diode "Diode" {
    read drop of phase both ways : V
    outcome good when each drop.forward below 1 V and each drop.back above 2 V
    outcome shorted as fail when any drop.back below 1 V and each drop.forward below 1 V
    outcome turned as fail otherwise
  }
  test gated "Only with the feed good" { needs feed.volts is good  read volts : V  limit volts at most 1 V }
  fault field_open "Field open" { occurs common  shows field.current low always  shows ripple.volts high always }
  fault field_shorted "Field shorted" { occurs occasional  shows field.current high always  shows feed.volts low 1  shows heat.felt hot 1 }
  fault diode_shorted "Diode shorted" { occurs common  shows diode shorted always  shows ripple.volts high always }
}
family u12 "Unit, 12 V" of unit { set nominal 12 V  set connection wye }
`

func withReadings(t *testing.T, taken string) *eval.Verdict {
	t.Helper()
	return judged(t, slipSheet+"record \"r\" of u12 { judge 2026-03-02\n"+taken+"\n}")
}

// TestSlipOffered tells each kind of slip by what the other readings say.
func TestSlipOffered(t *testing.T) {
	for _, c := range []struct {
		taken string
		kind  eval.SlipKind
		test  string
		says  string
	}{
		{"taken field.current 36 A taken feed.volts 30 V taken ripple.volts 0.2 V", eval.TenTimesLess, "field",
			"if current was 3.6 A and not 36 A, the readings would call for no fault"},
		{"taken field.current 27.0 A taken feed.volts 12.2 V taken heat.felt cool taken ripple.volts 0.8 V taken diode.drop.forward (0.5 0.5 0.5 V) taken diode.drop.back (3 3 3 V)",
			eval.TenTimesLess, "field", "if current was 2.70 A and not 27.0 A, Field open would explain everything"},
		{"taken feed.volts 1.22 V taken field.current 3.5 A", eval.TenTimesMore, "feed",
			"if volts was 12.2 V and not 1.22 V, the readings would call for no fault"},
		{"taken charge.current -12 A", eval.WrongSign, "charge",
			"if current was 12 A and not -12 A, the readings would call for no fault"},
		{"taken taps.volts (2.2 1.2 3.2 V)", eval.SwappedPositions, "taps",
			"if volts[u] and volts[v] were swapped, the readings would call for no fault"},
		{"taken taps.volts (1.2 22 3.2 V)", eval.TenTimesLess, "taps",
			"if volts[v] was 2.2 V and not 22 V, the readings would call for no fault"},
		{"taken taps.volts (0.12 0.22 0.32 V)", eval.TenTimesMore, "taps",
			"if volts was (1.2 2.2 3.2 V) and not (0.12 0.22 0.32 V), the readings would call for no fault"},
		{"taken diode.drop.forward (2.9 2.8 2.9 V) taken diode.drop.back (0.5 0.5 0.5 V)", eval.SwappedProds, "diode",
			"if drop.forward and drop.back were swapped, the readings would call for no fault"},
		{"taken diode.drop.forward (0.5 2.8 0.5 V) taken diode.drop.back (2.9 0.6 2.9 V)", eval.SwappedProds, "diode",
			"if drop.forward[v] and drop.back[v] were swapped, the readings would call for no fault"},
		{"taken field.current 1.8 A taken feed.volts 24.4 V taken ripple.volts 0.2 V", eval.OtherVariant, "field",
			"if nominal was 24 V and not 12 V, the readings would call for no fault"},
		{"taken field.current 35 A taken heat.felt hot taken feed.volts 12.2 V", eval.TenTimesLess, "feed",
			"if volts was 1.22 V and not 12.2 V, Field shorted would explain everything"},
	} {
		v := withReadings(t, c.taken)
		before := words(t, v)
		s, ok := v.Last().Slip()
		require.True(t, ok, "%s\n%s", c.taken, before)
		require.Equal(t, c.kind, s.Kind, "%s: %s", c.taken, s)
		require.Equal(t, c.test, s.Test)
		require.Equal(t, c.says, s.String())
		require.GreaterOrEqual(t, s.NoSlip, .5)
		require.Equal(t, c.says, v.Explain().Passes[0].Slip)
		require.Equal(t, before, words(t, v), "nothing is left of it")
		for _, write := range []func(*bytes.Buffer) error{
			func(b *bytes.Buffer) error { return report.Brief(b, v.Explain()) },
			func(b *bytes.Buffer) error { return report.Text(b, v.Explain()) },
		} {
			var b bytes.Buffer
			require.NoError(t, write(&b))
			require.Contains(t, b.String(), c.says[:20])
		}
	}
}

// TestSlipNotOffered: where no other reading explains it, where two would be needed, where the meter cannot have shown it, where a reading that spoke
// would be dropped, and where nothing is at odds.
func TestSlipNotOffered(t *testing.T) {
	for _, taken := range []string{
		"taken field.current 6 A taken feed.volts 30 V taken ripple.volts 0.2 V",
		"taken field.current 36 A taken feed.volts 1.22 V taken heat.felt cool taken charge.current -12 A taken ripple.volts 0.2 V",
		"taken stall.current 9 A",
		"taken field.current 35 A taken heat.felt hot taken feed.volts 12.2 V taken gated.volts 0.3 V",
		"taken field.current 3.5 A",
		"",
	} {
		s, ok := withReadings(t, taken).Last().Slip()
		require.False(t, ok, "%s: %s", taken, s)
	}
}

// TestSlipOfOneOfTwoReadings: two readings of a test disagree; the one that is ten times the other is named.
func TestSlipOfOneOfTwoReadings(t *testing.T) {
	v := withReadings(t, "taken field.current 3.5 A taken field.current 36 A taken feed.volts 12.2 V taken heat.felt cool")
	s, ok := v.Last().Slip()
	require.True(t, ok, words(t, v))
	require.Equal(t, "if current was 3.6 A and not 36 A, the readings would call for no fault", s.String())
	n := v.Explain().Passes[0].Next
	require.Equal(t, "field", n.Test)
	require.True(t, n.Repeat)
	require.Equal(t, []string{"its readings disagree"}, n.Because)
}

// TestSlipOfOneOfTwoReadingsAlone: the same where nothing else was read.
func TestSlipOfOneOfTwoReadingsAlone(t *testing.T) {
	s, ok := withReadings(t, "taken field.current 3.5 A taken field.current 36 A").Last().Slip()
	require.True(t, ok)
	require.Equal(t, "if current was 3.6 A and not 36 A, the readings would call for no fault", s.String())
}

// TestSlipThatExplainsNoBetter: another reading that only brings in another fault, or changes nothing, is not offered.
func TestSlipThatExplainsNoBetter(t *testing.T) {
	for name, readings := range map[string]string{
		"an open lead beside a good reading": "taken field.resist 5.5 Ω taken field.resist > 100 Ω",
		"the same beside another fault":      "taken field.resist 5.5 Ω taken field.resist OL taken feel.feel rough",
		"the same fault at another outcome":  "taken pull.force 0.6 N taken pull.side south",
	} {
		v := judged(t, `brushgear 1
family f "F" {
  test field "Field" { read resist : Ω  limit resist 5 Ω to 6 Ω }
  test feel "Feel" { read feel : smooth | rough  limit feel is smooth }
  test pull "Pull" {
    read force : N  read side : north | south
    outcome good when force at least 0.4 N and side is north
    outcome reversed when force at least 0.4 N and side is south
    outcome weak otherwise
  }
  fault open "Open" { shows field.resist high always }
  fault worn "Worn" { shows feel.feel rough always }
  fault flat "Residual lost" { shows pull weak | reversed always }
}
record "r" of f { judge 2026-03-02 pass as found { `+readings+` } }`)
		s, ok := v.Last().Slip()
		require.False(t, ok, "%s: %s", name, s)
	}
}

// TestSlipWhileTheJobGoesOn: looking for a slip reads a verdict that others read, and a job that others fill.
func TestSlipWhileTheJobGoesOn(t *testing.T) {
	j := loaded(t, slipSheet+`record "r" of u12 { judge 2026-03-02 taken field.current 36 A taken feed.volts 12.2 V taken taps.volts (1.2 2.2 3.2 V) }`)
	v, err := j.Judge(t.Context())
	require.NoError(t, err)
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			s, ok := v.Last().Slip()
			assert.True(t, ok)
			assert.Equal(t, eval.TenTimesLess, s.Kind)
		})
	}
	for range 20 {
		require.NoError(t, j.Take("ripple.volts", eval.Reading{Value: eval.MustValue("0.2 V")}))
		require.NoError(t, j.Set("connection", eval.MustValue("delta")))
		_, err := j.Judge(t.Context())
		require.NoError(t, err)
	}
	wait.Wait()
}
