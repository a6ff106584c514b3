package eval

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// glanceSheet has a check of every kind that can be judged at a glance.
const glanceSheet = `brushgear 1
family unit "Unit" {
  decide %s
  attribute rated : A
  set rated 40 A
  condition supply : V with voltmeter
  condition winding_temp : °C with thermometer
  positions phase "phase" : u, v, w
  instrument voltmeter : V accuracy ± (0.1 %% + 2 digits) digit 0.01 V
  instrument ammeter : A accuracy ± 0.3 %%
  instrument bridge : mΩ accuracy ± (0.2 %% + 1 digits) digit 0.1 mΩ
  instrument thermometer : °C accuracy ± 1 °C
  test field "Field" {
    needs supply, winding_temp
    read current : A with ammeter
    read look : clean | dark | burnt
    let resistance = supply / current
    correct resistance by copper from winding_temp
    limit resistance 2.4 to 2.8 Ω at winding_temp 20 °C
    limit current 4.0 to 5.0 A
    limit look is clean | dark
    outcome good when current at least 4 A and resistance within 2.2 Ω to 3.0 Ω
    outcome burnt when look is burnt
    outcome odd otherwise
  }
  test pairs "Pairs" {
    read ohms of phase : mΩ with bridge
    let less_leads = ohms - 2 mΩ
    limit ohms at most 100 mΩ
    limit ohms alike 4 %% by mean
    limit less_leads alike 5 mΩ by span
  }
  test output "Output" {
    needs field is good
    read current : A with ammeter
    let share = current / rated
    grade share : none below 5 %% | half as marginal below 50 %% | reduced below 90 %% | good
  }
  test full "Full load" {
    needs output is good
    read current : A with ammeter
    limit current above 36 A
  }
  fault turns_shorted "Turns shorted" { shows field.resistance low always  shows output.share reduced | half usually }
  fault leg_open of phase "Leg open" { shows pairs.ohms[phase] high always  shows output half always }
}
`

// TestGlanceGivesTheSame judges readings at a glance and in full. The grid of readings hits bounds exactly.
func TestGlanceGivesTheSame(t *testing.T) {
	ways := map[shortcut]int{}
	for _, rule := range []string{"simple", "guard 1.65 u", "guard 4 u"} {
		f, err := dsl.Parse("glance.sheet", fmt.Appendf(nil, glanceSheet, rule))
		require.NoError(t, err)
		bench, err := Compile([]*dsl.File{f})
		require.NoError(t, err)
		clear, err := bench.Open("unit")
		require.NoError(t, err)
		takeClear(t, clear)
		sameAtGlance(t, clear, ways)
		rapid.Check(t, func(t *rapid.T) {
			j, err := bench.Open("unit")
			require.NoError(t, err)
			takeAtRandom(t, j)
			sameAtGlance(t, j, ways)
		})
	}
	for way := shortBounds; way <= shortAlike; way++ {
		require.NotZero(t, ways[way], "no check of way %d was judged at a glance", way)
	}
}

// TestGlanceOnRecords compares the two on the trials and records of the examples, as they are and with readings spoilt.
func TestGlanceOnRecords(t *testing.T) {
	bench, trials := exampleRecords(t, "trials")
	_, records := exampleRecords(t, "records")
	ways, passes := map[shortcut]int{}, 0
	for _, r := range slices.Concat(trials, records) {
		j, err := bench.Load(r)
		require.NoError(t, err)
		sameAtGlance(t, j, ways)
		passes = max(passes, len(r.Passes))
	}
	require.Greater(t, passes, 1, "some records go on after work")
	for _, way := range []shortcut{shortBounds, shortWord, shortInformation, shortPattern, shortAlike} {
		require.NotZero(t, ways[way], "no check of way %d was judged at a glance", way)
	}
	bench, records = hostile(t)
	rapid.Check(t, func(t *rapid.T) {
		j, err := bench.Load(hostileRecord(t, records))
		if err != nil || j.prepare(context.Background()) != nil {
			t.Skip()
		}
		sameAtGlance(t, j, ways)
	})
}

// TestGlanceWithCoarseMeters: where a meter is hardly able to decide a limit, a glance does not decide for it.
func TestGlanceWithCoarseMeters(t *testing.T) {
	for _, accuracy := range []float64{0.02, 0.1, 0.2, 0.3, 0.4, 0.42, 0.44, 0.46, 0.48, 0.5, 0.6, 1} {
		f, err := dsl.Parse("coarse.sheet", fmt.Appendf(nil, `brushgear 1
family unit "Unit" {
  instrument voltmeter : V accuracy ± %g V
  test output "Output" {
    read volts : V with voltmeter
    read ripple : V with voltmeter
    limit volts 10 to 11 V
    grade ripple : low below 10 V | good as pass below 11 V | high
  }
}
`, accuracy))
		require.NoError(t, err)
		bench, err := Compile([]*dsl.File{f})
		require.NoError(t, err)
		for tenths := 90; tenths <= 120; tenths++ {
			j, err := bench.Open("unit")
			require.NoError(t, err)
			at := Number(units.Must(fmt.Sprintf("%g V", float64(tenths)/10)))
			require.NoError(t, j.Take("output", Reading{Values: map[string]Value{"volts": at, "ripple": at}}))
			sameAtGlance(t, j, map[shortcut]int{})
		}
	}
}

// sameAtGlance judges a job at a glance and in full, and counts the checks that a glance decided.
func sameAtGlance(t require.TestingT, j *Job, ways map[shortcut]int) {
	brief, full := &Verdict{}, &Verdict{}
	require.NoError(t, j.JudgeInto(context.Background(), brief))
	p := j.program
	full.reset(j)
	for i := range j.passes {
		j.sights[i] = noGlances(j.sights[i])
		require.NoError(t, j.judgePass(context.Background(), &full.frame, p, i, full.next(p)))
	}
	j.dirty = true
	for i := range brief.passes {
		b, f := &brief.passes[i], &full.passes[i]
		require.Equal(t, f.word, b.word)
		require.Equal(t, f.findings, b.findings)
		require.Equal(t, f.results, b.results)
		require.Equal(t, f.evidence.Possible, b.evidence.Possible)
		depths := slices.Clone(b.depths)
		PassVerdict{brief, i}.spelled()
		for c := range p.checks {
			k := &p.checks[c]
			require.Equal(t, f.checks[c], b.checks[c], k.label)
			zs := f.zs[k.z0 : int(k.z0)+len(k.results)]
			require.Equal(t, zs, b.zs[k.z0:int(k.z0)+len(k.results)], k.label)
			if depths[k.test] == inFull {
				continue
			}
			ways[p.quick[c].way]++
			for o, z := range zs {
				if depths[k.test] == atGlance && b.evidence.Possible[c] != 1<<o {
					require.GreaterOrEqual(t, z, p.beyond-1e-9, "%s: outcome %d", k.label, o)
				}
			}
		}
	}
}

// takeClear takes readings that are clear of every limit.
func takeClear(t *testing.T, j *Job) {
	q := func(text string) Value { return Number(units.Must(text)) }
	require.NoError(t, j.Take("field", Reading{
		Values: map[string]Value{"current": q("4.615 A"), "look": Word("clean")},
		At:     map[string]Value{"supply": q("12.00 V"), "winding_temp": q("20 °C")},
	}))
	require.NoError(t, j.Take("pairs.ohms", Reading{Value: List(q("90.0 mΩ"), q("90.2 mΩ"), q("90.1 mΩ"))}))
	require.NoError(t, j.Take("output.current", Reading{Value: q("28 A")}))
}

// takeAtRandom takes some readings of each test, some of them twice, missing or within ranges.
func takeAtRandom(t *rapid.T, j *Job) {
	number := func(name, unit string, lo, hi int, step float64) Value {
		u := units.MustUnit(unit)
		at := func(k int) units.Quantity { return units.Must(fmt.Sprintf("%.1f %s", float64(k)*step, u)) }
		k := rapid.IntRange(lo, hi).Draw(t, name)
		switch rapid.IntRange(0, 19).Draw(t, name+" state") {
		case 0:
			return Value{}
		case 1:
			return Between(at(k-1), at(k+1))
		case 2:
			return Jumping(at(k), at(k+1))
		case 3:
			return MoreThan(at(k))
		}
		return Number(at(k))
	}
	times := func(name string) int { return rapid.SampledFrom([]int{1, 1, 1, 0, 2}).Draw(t, name) }
	for range times("fields") {
		look := Word(rapid.SampledFrom([]string{"clean", "dark", "burnt"}).Draw(t, "look"))
		if rapid.IntRange(0, 4).Draw(t, "either") == 0 {
			look = Word("dark", "burnt")
		}
		require.NoError(t, j.Take("field", Reading{
			Values: map[string]Value{"current": number("field current", "A", 35, 55, 0.1), "look": look},
			At:     map[string]Value{"supply": number("supply", "V", 110, 130, 0.1), "winding_temp": number("temp", "°C", 10, 30, 1)},
		}))
	}
	if rapid.Bool().Draw(t, "pairs") {
		ohms := List(number("u", "mΩ", 92, 104, 1), number("v", "mΩ", 92, 104, 1), number("w", "mΩ", 92, 104, 1))
		for _, it := range ohms.items {
			if it.form == rangeForm || it.form == movingForm {
				return
			}
		}
		require.NoError(t, j.Take("pairs.ohms", Reading{Value: ohms}))
	}
	if rapid.Bool().Draw(t, "full") {
		require.NoError(t, j.Take("full.current", Reading{Value: number("full", "A", 34, 38, 1)}))
	}
	for range times("outputs") {
		require.NoError(t, j.Take("output.current", Reading{Value: number("output", "A", 0, 45, 1)}))
	}
}

// noGlances hides from a pass that its tests can be judged at a glance.
func noGlances(s *sight) *sight {
	full := *s
	full.depths = make([]depth, len(s.depths))
	return &full
}
