package eval_test

import (
	"context"
	"encoding/json"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/units"
)

const repairSheet = `brushgear 1
family motor "Motor" {
  part brushes "Brushes"
  part armature "Armature"
  remedy fit_brushes "Fit brushes" { retest length }
  remedy turn "Turn the commutator" { retest runout }
  test length "Brush length" { read mm_left : mm  limit mm_left at least 6 mm new at least 11 mm }
  test runout "Runout" { examines armature  read tir : mm  limit tir at most 0.2 mm }
  test volts "Volts" { read a : V }
  test drop "Drop" { read b : V  let lost = volts.a - b  limit lost at most 1 V }
  fault brushes_worn "Brushes worn" { part brushes  remedy fit_brushes  shows length low always  shows drop.lost high usually }
  fault comm_rough "Commutator rough" { part armature  remedy turn  shows runout high always }
}
`

func TestPassesKeepTheirVerdicts(t *testing.T) {
	v := judged(t, repairSheet+`record "r" of motor {
  pass as found on 2026-03-02 { taken length.mm_left 5 mm  taken runout.tir 0.1 mm }
  pass in work on 2026-03-02 { work fit_brushes }
  pass as left on 2026-03-03 { taken length.mm_left 12 mm }
}`)
	var got []string
	for p := range v.Passes() {
		c, _ := p.Check("length.mm_left")
		f, _ := p.Fault("brushes_worn")
		got = append(got, p.Round().Stage+": "+c.Result().String()+", "+f.Status().String())
	}
	require.Equal(t, []string{"as found: fail, shown", "in work: fail, shown", "as left: pass, ruled out"}, got)
}

func TestWorkMakesStaleWhatItTouched(t *testing.T) {
	v := judged(t, repairSheet+`record "r" of motor {
  pass as found on 2026-03-02 { taken length.mm_left 5 mm  taken runout.tir 0.3 mm }
  pass as left on 2026-03-03 { work fit_brushes  taken drop.b 9 V }
}`)
	c, _ := v.Last().Check("length.mm_left")
	require.Equal(t, eval.NotTested, c.Result(), "brushes were fitted: the old length says nothing")
	c, _ = v.Last().Check("runout.tir")
	require.Equal(t, eval.Fail, c.Result(), "the commutator was not touched")
	require.Equal(t, "work since touched it: repeat it", v.Explain().Passes[1].NotTested[0].Reason)
}

func TestAfterWorkOnlyNewLimitsCount(t *testing.T) {
	for mm, want := range map[string]eval.Result{"8 mm": eval.Fail, "11 mm": eval.Pass} {
		sheet := repairSheet + `record "r" of motor { pass in work on 2026-03-02 { work fit_brushes } pass as left on 2026-03-02 { taken length.mm_left ` + mm + ` } }`
		require.Equal(t, want, checked(t, sheet, "length.mm_left").Result(), mm)
	}
	sheet := repairSheet + `record "r" of motor { pass as found on 2026-03-02 { taken length.mm_left 8 mm } }`
	require.Equal(t, eval.Marginal, checked(t, sheet, "length.mm_left").Result())
}

func TestFormulaJoinsOnlyReadingsWithoutWorkBetween(t *testing.T) {
	joined := repairSheet + `record "r" of motor { pass as found on 2026-03-02 { taken volts.a 12 V  taken drop.b 11.5 V } }`
	require.Equal(t, eval.Pass, checked(t, joined, "drop.lost").Result())
	parted := repairSheet + `record "r" of motor { pass as found on 2026-03-02 { taken volts.a 12 V  work turn  taken drop.b 11.5 V } }`
	require.Equal(t, eval.NotDecidable, checked(t, parted, "drop.lost").Result())
}

func TestDateOfARecord(t *testing.T) {
	b := mustBench(t, repairSheet+`record "r" of motor { pass as found { taken runout.tir 0.1 mm } }`)
	records, err := b.Records()
	require.NoError(t, err)
	_, err = b.Load(records[0])
	require.ErrorContains(t, err, "does not say by which day it is judged")
	var list dsl.Diagnostics
	require.ErrorAs(t, err, &list)
	require.Equal(t, 14, list[0].Range.Pos.Line)

	require.Equal(t, "2026-03-03", judged(t, repairSheet+`record "r" of motor { pass as found on 2026-03-02 { } pass as left on 2026-03-03 { } }`).Explain().Date)
}

// TestTextAndJSONRecordsAgree: a record that went through JSON gives the same verdict, byte for byte.
func TestTextAndJSONRecordsAgree(t *testing.T) {
	bench := exampleBench(t)
	for _, r := range exampleRecords(t) {
		job, err := bench.Load(r)
		require.NoError(t, err, r.Name)
		v, err := job.Judge(context.Background())
		require.NoError(t, err)
		data, err := json.Marshal(r)
		require.NoError(t, err)
		again, err := eval.ReadRecord(data)
		require.NoError(t, err, r.Name)
		job, err = bench.Load(again)
		require.NoError(t, err, r.Name)
		w, err := job.Judge(context.Background())
		require.NoError(t, err)
		require.Equal(t, words(t, v), words(t, w), r.Name)
	}
}

func TestReadRecordRefusesWhatItDoesNotKnow(t *testing.T) {
	for text, want := range map[string]string{
		`{"record":"r","of":"motor","pases":[]}`:                                 "pases",
		`{"record":"r","of":"motor","passes":[]} {}`:                             "more text",
		`{"record":"r","of":"motor","passes":[{"entries":[{"value":"2,5 V"}]}]}`: "2.5",
	} {
		_, err := eval.ReadRecord([]byte(text))
		require.ErrorContains(t, err, want)
	}
}

// TestOneBenchManyJobs judges from many goroutines, reusing verdicts: every time the same bytes.
func TestOneBenchManyJobs(t *testing.T) {
	bench := exampleBench(t)
	records := exampleRecords(t)
	want := make([]string, len(records))
	for i, r := range records {
		job, err := bench.Load(r)
		require.NoError(t, err)
		v, err := job.Judge(context.Background())
		require.NoError(t, err)
		want[i] = words(t, v)
	}
	var wg sync.WaitGroup
	got := make([][]string, 6)
	for g := range got {
		wg.Add(1)
		go func() {
			defer wg.Done()
			var v eval.Verdict
			for k := range records {
				job, err := bench.Load(records[(k+g)%len(records)])
				if err == nil && job.JudgeInto(context.Background(), &v) == nil {
					got[g] = append(got[g], words(t, &v))
				}
			}
		}()
	}
	wg.Wait()
	for g := range got {
		require.Len(t, got[g], len(records))
		for k := range records {
			require.Equal(t, want[(k+g)%len(records)], got[g][k])
		}
	}
}

// TestOneVerdictManyReaders: what is worked out when it is first asked for is the same whoever asks first, and whatever becomes of the job meanwhile.
func TestOneVerdictManyReaders(t *testing.T) {
	bench := exampleBench(t)
	for _, r := range exampleRecords(t) {
		job, err := bench.Load(r)
		require.NoError(t, err)
		alone, err := job.Judge(context.Background())
		require.NoError(t, err)
		want := words(t, alone)
		v, err := job.Judge(context.Background())
		require.NoError(t, err)
		var wg sync.WaitGroup
		got := make([]string, 3)
		for g := range got {
			wg.Go(func() {
				switch g {
				case 0:
					for c := range v.Last().Checks() {
						c.Value()
						c.Budget()
					}
				case 1:
					v.Last().Unit()
					v.Last().Stories()
				}
				got[g] = words(t, v)
			})
		}
		job.SetSerial("")
		_, err = job.Judge(context.Background())
		wg.Wait()
		require.NoError(t, err)
		for _, text := range got {
			require.Equal(t, want, text, r.Name)
		}
	}
}

func TestVerdictDoesNotChangeWhenTheJobGoesOn(t *testing.T) {
	j := loaded(t, repairSheet+`record "r" of motor { pass as found on 2026-03-02 { taken length.mm_left 5 mm } }`)
	v, err := j.Judge(context.Background())
	require.NoError(t, err)
	before := words(t, v)
	require.NoError(t, j.Take("length.mm_left", eval.Reading{Value: eval.MustValue("12 mm")}))
	require.NoError(t, j.Work("fit_brushes", ""))
	require.NoError(t, j.Begin(eval.Round{Stage: eval.AsLeft, On: "2026-03-03"}))
	require.Equal(t, before, words(t, v))
	j.SetSerial("L 2107")
	require.NoError(t, j.SetDate("2026-03-04"))
	w, err := j.Judge(context.Background())
	require.NoError(t, err)
	require.Equal(t, before, words(t, v))
	require.NotEqual(t, before, words(t, w))
}

// TestVerdictKeepsWhatWasSaidOfTheUnit: an attribute or a meter that is given later does not show in an earlier verdict.
func TestVerdictKeepsWhatWasSaidOfTheUnit(t *testing.T) {
	j := loaded(t, plateSheet+plateRecord)
	v, err := j.Judge(context.Background())
	require.NoError(t, err)
	before := words(t, v)
	require.NoError(t, j.Set("nominal", eval.MustValue("24 V")))
	require.NoError(t, j.AddMeter(eval.Meter{Name: "vm4", Is: "vm", Number: "VM-5"}))
	_, err = j.Judge(context.Background())
	require.NoError(t, err)
	require.Equal(t, before, words(t, v))
}

// TestReadingsAreCopied: what the caller does with its maps afterwards does not reach the job.
func TestReadingsAreCopied(t *testing.T) {
	j, err := mustBench(t, family("needs supply within 11 V to 13 V read x : V limit x at most 5 V", "")).Open("unit")
	require.NoError(t, err)
	round := map[string]eval.Value{"supply": eval.MustValue("12 V")}
	require.NoError(t, j.Begin(eval.Round{Stage: eval.AsFound, At: round}))
	require.NoError(t, j.Take("t.x", eval.Reading{Value: eval.MustValue("3 V")}))
	round["supply"] = eval.MustValue("20 V")
	v, err := j.Judge(context.Background())
	require.NoError(t, err)
	c, _ := v.Last().Check("t.x")
	require.Equal(t, eval.Pass, c.Result())
}

// TestLastPassDatesTheLimits: without a judge day the edition in force on the day of the last dated pass counts, for all passes.
func TestLastPassDatesTheLimits(t *testing.T) {
	sheet := `brushgear 1
source old "Old sheet" from 2011-01-01 until 2025-12-31
source fresh "New sheet" from 2026-01-01
family unit "Unit" { test t "T" { read x : V  limit x at most 5 V per old  limit x at most 3 V per fresh } }
record "r" of unit { `
	for head, want := range map[string]eval.Result{
		"pass as found on 2025-12-30 { taken t.x 4 V }":                                   eval.Pass,
		"pass as found on 2025-12-30 { taken t.x 4 V } pass as left on 2026-01-02 { }":    eval.Fail,
		"pass as found on 2025-12-30 { taken t.x 4 V } pass as left { }":                  eval.Pass,
		"judge 2025-06-01 pass as found { taken t.x 4 V } pass as left on 2026-01-02 { }": eval.Pass,
		"judge 2026-06-01 pass as found on 2025-12-30 { taken t.x 4 V }":                  eval.Fail,
		"judge 2010-06-01 pass as found on 2025-12-30 { taken t.x 4 V }":                  eval.NotDecidable,
		"judge 2025-12-31 pass as found { taken t.x 4 V } ":                               eval.Pass,
		"judge 2026-01-01 pass as found { taken t.x 4 V } pass as left on 2025-01-02 { }": eval.Fail,
	} {
		require.Equal(t, want, checked(t, sheet+head+" }", "t.x").Result(), head)
	}
}

// TestLessKnownIsNeverMoreDecided: marking a reading missing, or widening it to a range about itself, never takes an outcome away and never turns
// an undecided check into a pass or a fail.
func TestLessKnownIsNeverMoreDecided(t *testing.T) {
	stmts := `read a : V read b : A read w : free | drags
    let r = a / b
    correct r by copper from winding_temp
    limit r 2.0 to 3.0 Ω at winding_temp 20 °C
    limit a at least 9 V new at least 11 V
    grade b : none below 1 A | weak as marginal below 3 A | good
    limit w is free
    outcome good when a at least 10 V and b below 5 A and w is free
    outcome slack when r above 3 Ω or w is drags
    outcome odd otherwise`
	bench := mustBench(t, family(stmts, ""))
	rapid.Check(t, func(t *rapid.T) {
		number := func(name, unit string, lo, hi int) (exact, wide eval.Value) {
			v := float64(rapid.IntRange(lo, hi).Draw(t, name)) / 10
			u := units.MustUnit(unit)
			spread := float64(rapid.IntRange(0, 30).Draw(t, name+" spread")) / 10
			exact = eval.Number(units.New(v, u))
			wide = exact
			switch rapid.IntRange(0, 2).Draw(t, name+" how") {
			case 1:
				wide = eval.Value{}
			case 2:
				wide = eval.Between(units.New(v-spread, u), units.New(v+spread, u))
			}
			return exact, wide
		}
		a1, a2 := number("a", "V", 70, 140)
		b1, b2 := number("b", "A", 5, 70)
		w1 := eval.Word(rapid.SampledFrom([]string{"free", "drags"}).Draw(t, "w"))
		w2 := w1
		if rapid.Bool().Draw(t, "either") {
			w2 = eval.Word("free", "drags")
		}
		temp1, temp2 := number("temp", "°C", 0, 600)
		exact := judgeReadings(t, bench, map[string]eval.Value{"a": a1, "b": b1, "w": w1}, temp1)
		wide := judgeReadings(t, bench, map[string]eval.Value{"a": a2, "b": b2, "w": w2}, temp2)
		for c := range exact.Checks() {
			d, _ := wide.Check(c.Name())
			if c.Outcome() != "" {
				require.True(t, d.Possible(c.Outcome()), "%s lost %s: %v", c.Name(), c.Outcome(), d.Outcomes())
			}
			if decided := d.Result() == eval.Pass || d.Result() == eval.Fail; decided && c.Result() != d.Result() {
				t.Fatalf("%s: %v became %v with less known", c.Name(), c.Result(), d.Result())
			}
		}
	})
}

func judgeReadings(t *rapid.T, bench *eval.Bench, values map[string]eval.Value, temp eval.Value) eval.PassVerdict {
	j, err := bench.Open("unit")
	require.NoError(t, err)
	require.NoError(t, j.Take("t", eval.Reading{Values: values, At: map[string]eval.Value{"winding_temp": temp}}))
	v, err := j.Judge(context.Background())
	require.NoError(t, err)
	return v.Last()
}

// tired is a context that ends after it was looked at some times.
type tired struct {
	context.Context
	left, looks int
}

func (c *tired) Err() error {
	if c.looks++; c.looks > c.left {
		return context.DeadlineExceeded
	}
	return nil
}

// TestJudgingStopsAmongRepeats: the context is looked at for each repeat, and a judgement that it stopped can be made again.
func TestJudgingStopsAmongRepeats(t *testing.T) {
	const repeats = 200
	j, err := exampleBench(t).Open("skerrow_20")
	require.NoError(t, err)
	require.NoError(t, j.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-09"}))
	for range repeats {
		require.NoError(t, j.Take("diameter.reading", eval.Reading{Value: eval.MustValue("29 mm")}))
	}
	for _, left := range []int{0, 1, repeats, repeats + 1, 2 * repeats, 3*repeats - 1} { // laying out, planning, judging
		ctx := &tired{Context: t.Context(), left: left}
		_, err = j.Judge(ctx)
		require.ErrorIs(t, err, context.DeadlineExceeded, left)
		require.Equal(t, left+1, ctx.looks)
		require.NoError(t, j.SetDate("2026-03-09")) // so that the readings are planned again
	}
	v, err := j.Judge(&tired{Context: t.Context(), left: 10 * repeats})
	require.NoError(t, err)
	c, _ := v.Last().Check("diameter.reading")
	require.Equal(t, eval.Pass, c.Result())
}
