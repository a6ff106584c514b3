package eval

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// shortWaySheet has a check of every kind that can be judged the short way, and formulas whose errors are only bounded there.
const shortWaySheet = `brushgear 1
family unit "Unit" {
  decide %s
  attribute rated : A
  set rated 40 A
  condition supply : V with voltmeter
  condition winding_temp : °C with thermometer
  positions phase "phase" : u, v, w
  instrument voltmeter : V accuracy ± (0.5 %% + 2 digits) digit 0.1 V
  instrument ammeter : A accuracy ± 1 %%
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
    limit current above 36 A
  }
  fault turns_shorted "Turns shorted" { shows field.resistance low always  shows output.share reduced | half usually }
  fault leg_open of phase "Leg open" { shows pairs.ohms[phase] high always  shows output half always }
}
`

// TestShortWayGivesTheSame judges readings the short way and the long one. The grid of readings hits bounds exactly.
func TestShortWayGivesTheSame(t *testing.T) {
	for _, rule := range []string{"simple", "guard 1.65 u", "guard 4 u"} {
		f, err := dsl.Parse("short.sheet", fmt.Appendf(nil, shortWaySheet, rule))
		require.NoError(t, err)
		bench, err := Compile([]*dsl.File{f})
		require.NoError(t, err)
		rapid.Check(t, func(t *rapid.T) {
			j, err := bench.Open("unit")
			require.NoError(t, err)
			takeAtRandom(t, j)
			require.NoError(t, j.prepare(t.Context()))
			long := theLongWay(j.program)
			brief, full := &Verdict{}, &Verdict{}
			require.NoError(t, j.JudgeInto(t.Context(), brief))
			full.reset(j)
			for i := range j.passes {
				require.NoError(t, j.judgePass(t.Context(), &full.frame, long, i, full.next(long)))
			}
			for i := range brief.passes {
				sameStates(t, long, &brief.passes[i], &full.passes[i])
			}
		})
	}
}

// takeAtRandom takes some readings of each test, some of them twice, missing or within ranges.
func takeAtRandom(t *rapid.T, j *Job) {
	number := func(name, unit string, lo, hi int, step float64) Value {
		u := units.MustUnit(unit)
		at := func(k int) units.Quantity { return units.Must(fmt.Sprintf("%.1f %s", float64(k)*step, u)) }
		k := rapid.IntRange(lo, hi).Draw(t, name)
		switch rapid.IntRange(0, 9).Draw(t, name+" state") {
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
	for range rapid.IntRange(0, 2).Draw(t, "fields") {
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
	for range rapid.IntRange(0, 2).Draw(t, "outputs") {
		require.NoError(t, j.Take("output.current", Reading{Value: number("output", "A", 0, 45, 1)}))
	}
}

// theLongWay is the program without short ways.
func theLongWay(p *program) *program {
	long := *p
	long.quick, long.tests = nil, nil
	for _, q := range p.quick {
		q.way = longWay
		long.quick = append(long.quick, q)
	}
	for _, t := range p.tests {
		t.boundable = false
		long.tests = append(long.tests, t)
	}
	return &long
}

// sameStates compares what two ways make of a pass. Degrees count up to the distance from which on nothing depends on them.
func sameStates(t *rapid.T, p *program, brief, full *passState) {
	require.Equal(t, full.word, brief.word)
	require.Equal(t, full.findings, brief.findings)
	beyond := math.Sqrt(p.nearby)
	for i := range full.checks {
		a, b, k := full.checks[i], brief.checks[i], &p.checks[i]
		where := fmt.Sprintf("%s\nlong  %+v\nshort %+v", k.label, a, b)
		for o := range k.results {
			z, briefZ := full.zs[int(k.z0)+o], brief.zs[int(k.z0)+o]
			if b.short {
				briefZ = infinite
				if b.set&(1<<o) != 0 {
					briefZ = 0
				}
			}
			require.InDelta(t, min(z, beyond), min(briefZ, beyond), 1e-9, where)
		}
		a.z, b.z = min(a.z, beyond), min(b.z, beyond)
		a.variance, b.variance = 0, 0 // it is bounded, and worked out on request
		if b.short {
			a.z, a.short = b.z, true
		}
		require.Equal(t, a, b, where)
	}
}
