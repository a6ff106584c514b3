package eval_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

// explainedAs judges a record and returns its verdict as JSON.
func explainedAs(t require.TestingT, b *eval.Bench, r *eval.Record) string {
	j, err := b.Load(r)
	require.NoError(t, err)
	return jobJSON(t, j)
}

func jobJSON(t require.TestingT, j *eval.Job) string {
	v, err := j.Judge(context.Background())
	require.NoError(t, err)
	data, err := json.Marshal(v.Explain())
	require.NoError(t, err)
	return string(data)
}

// same compares two verdicts, and shows only where they part.
func same(t require.TestingT, want, got, what string) {
	i := 0
	for i < min(len(want), len(got)) && want[i] == got[i] {
		i++
	}
	if want != got {
		from := max(0, i-100)
		require.Equal(t, want[from:min(len(want), i+100)], got[from:min(len(got), i+100)], what)
	}
}

// reread writes a record and reads it back.
func reread(t require.TestingT, r *eval.Record, uses ...string) *eval.Record {
	text, err := r.Text(uses...)
	require.NoError(t, err)
	f, err := dsl.Parse("again.sheet", text)
	require.NoError(t, err, "%s", text)
	rs, err := eval.ReadRecords(f)
	require.NoError(t, err, "%s", text)
	require.Len(t, rs, 1)
	again, err := rs[0].Text(uses...)
	require.NoError(t, err)
	require.Equal(t, string(text), string(again))
	return rs[0]
}

// benchAndRecords are the records and trials of the examples, with the bench of all sheets.
func benchAndRecords(t *testing.T) (*eval.Bench, []*eval.Record) {
	t.Helper()
	sheets, err := fs.Glob(examples.FS, "sheets/*.sheet")
	require.NoError(t, err)
	files, err := dsl.ParseFS(examples.FS, append(sheets, "first.sheet")...)
	require.NoError(t, err)
	b, err := eval.Compile(files)
	require.NoError(t, err)
	var records []*eval.Record
	for _, pattern := range []string{"records/*", "first.record.sheet", "trials/*"} {
		names, err := fs.Glob(examples.FS, pattern)
		require.NoError(t, err)
		for _, name := range names {
			data, err := fs.ReadFile(examples.FS, name)
			require.NoError(t, err)
			if path.Ext(name) == ".json" {
				r, err := eval.ReadRecord(data)
				require.NoError(t, err)
				records = append(records, r)
				continue
			}
			f, err := dsl.Parse(name, data)
			require.NoError(t, err)
			rs, err := eval.ReadRecords(f)
			require.NoError(t, err)
			records = append(records, rs...)
		}
	}
	require.Greater(t, len(records), 10)
	return b, records
}

func TestExampleRecordsSurviveWriting(t *testing.T) {
	b, records := benchAndRecords(t)
	trials := 0
	for _, r := range records {
		if r.Trial {
			if trials++; trials%8 > 0 {
				continue // they are many, and much alike
			}
		}
		j, err := b.Load(r)
		require.NoError(t, err, r.Name)
		want := jobJSON(t, j)
		same(t, want, explainedAs(t, b, reread(t, r, "../sheets/shop.sheet")), r.Name)
		same(t, want, explainedAs(t, b, j.Record()), r.Name+", from its job")
		same(t, want, explainedAs(t, b, reread(t, j.Record())), r.Name+", from its job and written")
		if !r.Trial {
			data, err := json.Marshal(j.Record())
			require.NoError(t, err)
			again, err := eval.ReadRecord(data)
			require.NoError(t, err)
			same(t, want, explainedAs(t, b, again), r.Name+", as JSON")
		}
	}
}

// A job that was filled by calls, with tests that take turns, work in between and remarks with quotes, is the same after it was written.
func TestJobSurvivesWriting(t *testing.T) {
	b, _ := benchAndRecords(t)
	j, err := b.Open("tarnby_90")
	require.NoError(t, err)
	require.NoError(t, j.Include("battery", "bench_650"))
	j.SetSerial(`H6 "19" \ 54`)
	require.NoError(t, j.Set("suffix", eval.MustValue(`"B"`)))
	require.NoError(t, j.SetBuilt("2001-04-02"))
	require.NoError(t, j.AddMeter(eval.Meter{Name: "vm5", Is: "voltmeter", Number: `VM "5"`, Due: "2026-09-01"}))
	require.NoError(t, j.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02", By: "bench 1", At: map[string]eval.Value{"supply": eval.MustValue("12.0 V")}}))
	take := func(ref, value string) {
		t.Helper()
		require.NoError(t, j.Take(ref, eval.Reading{Value: eval.MustValue(value)}))
	}
	take("battery.look.case", "good")
	take("by_hand.turns", "good | rough")
	take("battery.look.level", "low")
	require.NoError(t, j.Work("battery.top_up", "with \"distilled\" water"))
	take("battery.look.level", "good")
	take("battery.look.posts", "good")
	take("by_hand.fan", "good")
	require.NoError(t, j.Take("sense", eval.Reading{Meter: "vm5", Values: map[string]eval.Value{"volts": eval.MustValue("12.6 V"), "battery_volts": eval.MustValue("12.7 V")}}))
	require.NoError(t, j.Take("stud_frame", eval.Reading{Values: map[string]eval.Value{"path.back": eval.MustValue("0.54 V"), "path.forward": eval.OL()}}))
	require.NoError(t, j.Skip("battery.load", "no_time", `before "noon"`))
	require.NoError(t, j.Clear("oil", "seal renewed"))
	require.NoError(t, j.Note("belt dust"))
	require.NoError(t, j.Begin(eval.Round{Stage: eval.InWork, On: "2026-03-03"}))
	take("rings.look", "oily")
	same(t, jobJSON(t, j), explainedAs(t, b, reread(t, j.Record())), "read back")
	require.NoError(t, j.Note("two\r\nlines"))
	text, err := j.Record().Text()
	require.NoError(t, err)
	require.Contains(t, string(text), "note \"two lines\"\n  }")
}

// TestBlankRemarks: a remark that nobody would see is refused where it is made, so that no reading that is void comes back as one that counts.
func TestBlankRemarks(t *testing.T) {
	j, err := mustBench(t, plateSheet).Open("motor")
	require.NoError(t, err)
	value := eval.MustValue("51 A")
	for _, text := range []string{" ", "\n", "\t\r\n"} {
		require.ErrorContains(t, j.Take("free.current", eval.Reading{Value: value, Void: text}), "taken free.current: void is blank")
		require.ErrorContains(t, j.Take("free.current", eval.Reading{Value: value, Was: &eval.Amendment{Value: value, By: "b", Because: text}}), "because is blank")
		require.ErrorContains(t, j.Skip("free", "no_time", text), "skip free: its note is blank")
		require.ErrorContains(t, j.Work("turn", text), "work turn: its note is blank")
		require.ErrorContains(t, j.Clear("hot", text), "cleared hot: its note is blank")
		require.ErrorContains(t, j.Note(text), "a note says nothing")
		_, err := (&eval.Record{Name: "x", Family: "motor", Passes: []eval.RecordPass{{Round: eval.Round{Stage: eval.AsFound}, Entries: []eval.Entry{{Taken: "free.current", Value: &value, Void: text}}}}}).Text()
		require.ErrorContains(t, err, "void is blank")
	}
	require.ErrorContains(t, j.Note(""), "a note says nothing")
	for _, p := range j.Record().Passes {
		require.Empty(t, p.Entries)
	}
	require.ErrorContains(t, judgeError(t, plateSheet+"record \"r\" of motor {\n  judge 2026-03-02\n  taken free.current 3 A void \"\"\n}\n"), "is void without a reason")
	require.ErrorContains(t, judgeError(t, plateSheet+"record \"r\" of motor {\n  judge 2026-03-02\n  note \" \"\n}\n"), "a note says nothing")
}

func TestRecordThatTheLanguageCannotSay(t *testing.T) {
	_, err := (&eval.Record{Name: "x", Family: "f", Attributes: []eval.Attribute{{Name: "battery.cca", Value: eval.MustValue("600 A")}}}).Text()
	require.ErrorContains(t, err, "belongs to an included unit")
	_, err = (&eval.Record{Name: "x", Family: "no family"}).Text()
	require.ErrorContains(t, err, `record "x" cannot be written in the sheet language`)
}

// Readings of random tests in random turns, with work, make the same verdict when they were written and read back.
func TestRandomJobsSurviveWriting(t *testing.T) {
	b, _ := benchAndRecords(t)
	refs := map[string][]string{
		"by_hand.turns": {"good", "rough", "missing"}, "by_hand.fan": {"good", "broken"}, "rings.look": {"good", "oily | burnt"}, "rings.runout": {"0.03 mm", "> 0.2 mm"},
		"battery.look.case": {"good", "cracked"}, "battery.look.posts": {"good", "loose"}, "ring_field.current": {"3.9 A", "4.9 A", "2 to 3 A jumping"},
		"pairs.ohms": {"(92.1 92.6 91.9 mΩ)", "(92.1 missing OL mΩ)"}, "field_ground.lamp": {"dark", "lit"},
	}
	names := []string{"by_hand.turns", "by_hand.fan", "rings.look", "rings.runout", "battery.look.case", "battery.look.posts", "ring_field.current", "pairs.ohms", "field_ground.lamp"}
	rapid.Check(t, func(t *rapid.T) {
		j, err := b.Open("tarnby_90")
		require.NoError(t, err)
		require.NoError(t, j.SetDate("2026-03-02"))
		for step := range rapid.IntRange(0, 14).Draw(t, "steps") {
			switch rapid.IntRange(0, 9).Draw(t, "what") {
			case 0:
				require.NoError(t, j.Work(rapid.SampledFrom([]string{"dress_rings", "fit_rotor", "battery.top_up"}).Draw(t, "work"), ""))
			case 1:
				require.NoError(t, j.Begin(eval.Round{Stage: rapid.SampledFrom([]string{eval.AsFound, eval.InWork, eval.AsLeft}).Draw(t, "stage")}))
			case 2:
				require.NoError(t, j.Skip(rapid.SampledFrom(names).Draw(t, "skip"), "no_time", ""))
			case 3:
				test := rapid.SampledFrom(names).Draw(t, "put aside")
				if err := j.Void(test[:strings.LastIndexByte(test, '.')], fmt.Sprintf("slipped in step %d", step)); err != nil {
					require.ErrorContains(t, err, "was read of it")
				}
			default:
				ref := rapid.SampledFrom(names).Draw(t, "ref")
				r := eval.Reading{Value: eval.MustValue(rapid.SampledFrom(refs[ref]).Draw(t, "value"))}
				if strings.HasPrefix(ref, "ring_field") && rapid.Bool().Draw(t, "at") {
					r.At = map[string]eval.Value{"supply": eval.MustValue("12.0 V"), "winding_temp": eval.MustValue("20 °C")}
				}
				r.Void = rapid.SampledFrom([]string{"", "", "", "slipped"}).Draw(t, "void")
				require.NoError(t, j.Take(ref, r))
			}
		}
		r := reread(t, j.Record())
		again, err := b.Load(r)
		require.NoError(t, err)
		require.Equal(t, outcomesOf(t, j), outcomesOf(t, again))
		text, err := again.Record().Text()
		require.NoError(t, err)
		require.Equal(t, textOf(t, j.Record()), string(text))
	})
}

func textOf(t require.TestingT, r *eval.Record) string {
	text, err := r.Text()
	require.NoError(t, err)
	return string(text)
}

// outcomesOf lists the outcomes of all checks in all passes, which is quicker than the whole explanation.
func outcomesOf(t require.TestingT, j *eval.Job) []string {
	v, err := j.Judge(context.Background())
	require.NoError(t, err)
	var list []string
	for p := range v.Passes() {
		for c := range p.Checks() {
			list = append(list, p.Round().Stage+" "+c.Name()+": "+c.Result().String()+" "+strings.Join(c.Outcomes(), " "))
		}
	}
	return list
}
