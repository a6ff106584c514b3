package eval_test

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

const plateSheet = `brushgear 1
kind battery "Battery" { test rest "At rest" { read volts : V  limit volts at least 12 V } }
family bench_80 "Bench 80" of battery { }
family motor "Motor" {
  include battery as house
  include battery as second when nominal is 24 V
  attribute poles : count
  attribute nominal : 12 V | 24 V
  condition supply : V
  condition speed : rpm
  instrument vm : V accuracy ± 0.05 V
  cause hot "Cranked too long" ask "Hard to start?"
  positions phase "phase" : u, v
  positions bar "bar" : 1 to 3
  positions pole "pole" : 1 to poles
  remedy turn "Turn it" { retest free }
  test free "Free run" {
    needs supply
    read current : A
    read volts : V with vm
    read look : good | burnt
    read ohms of phase, bar : Ω
    read field of pole : Ω
    read output at speed : A
    limit current at most 60 A
    limit ohms alike 5 % by mean
    limit field at most 3 Ω
  }
}
`

// plateRecord is a record in which every statement of a record stands, in text and as JSON.
const (
	plateRecord = `record "J-1" of motor {
  unit house is bench_80
  serial "L 2107"
  built 2016-05-09
  date_code "6E09" decade 2010
  complaint "Cranks slowly" is reproduced
  earlier "J-0"
  judge 2026-03-02
  set poles 2 by "counted"
  meter vm4 is vm number "VM-4" due 2026-01-31
  pass as found by "bench 1" on 2026-03-02 at supply 11.5 V via vm4 {
    taken free { current 51 A, volts 11.3 V, look good | burnt } with vm4
    taken free.volts 11.4 V with vm4 at supply 11.6 V via vm4
    taken free.ohms (1 1 1 1 1 1.01 Ω) void "prod slipped"
    taken free.field (2.4 2.5 Ω) was (2.4 25 Ω) by "bench 2" on 2026-03-03 because "point misplaced"
    taken free.output (20 40 A) at speed (1000 2000 rpm)
    skip house.rest no_time "wanted back"
    note "Oil at the drive end."
  }
  pass as left on 2026-03-03 {
    work turn "by 0.3 mm"
    cleared hot "told the customer"
    taken free.current 49 A at supply 11.5 V
  }
}
`
	plateJSON = `{
  "record": "J-1", "of": "motor", "units": {"house": "bench_80"}, "serial": "L 2107", "date_code": "6E09", "decade": 2010, "built": "2016-05-09",
  "complaint": "Cranks slowly", "complaint_is": "reproduced", "judge": "2026-03-02", "earlier": ["J-0"],
  "set": [{"name": "poles", "value": "2", "by": "counted"}],
  "meters": [{"name": "vm4", "is": "vm", "number": "VM-4", "due": "2026-01-31"}],
  "passes": [
    {"stage": "as found", "by": "bench 1", "on": "2026-03-02", "at": {"supply": "11.5 V"}, "via": {"supply": "vm4"}, "entries": [
      {"taken": "free", "values": {"current": "51 A", "volts": "11.3 V", "look": "good | burnt"}, "with": "vm4"},
      {"taken": "free.volts", "value": "11.4 V", "with": "vm4", "at": {"supply": "11.6 V"}, "via": {"supply": "vm4"}},
      {"taken": "free.ohms", "value": "(1 1 1 1 1 1.01 Ω)", "void": "prod slipped"},
      {"taken": "free.field", "value": "(2.4 2.5 Ω)", "was": {"value": "(2.4 25 Ω)", "by": "bench 2", "on": "2026-03-03", "because": "point misplaced"}},
      {"taken": "free.output", "value": "(20 40 A)", "at": {"speed": "(1000 2000 rpm)"}},
      {"skip": "house.rest", "reason": "no_time", "note": "wanted back"},
      {"note": "Oil at the drive end."}]},
    {"stage": "as left", "on": "2026-03-03", "entries": [
      {"work": "turn", "note": "by 0.3 mm"},
      {"cleared": "hot", "note": "told the customer"},
      {"taken": "free.current", "value": "49 A", "at": {"supply": "11.5 V"}}]}]
}`
)

// TestEveryStatementOfARecord: text and JSON hold the same record and give the same verdict.
func TestEveryStatementOfARecord(t *testing.T) {
	bench := mustBench(t, plateSheet+plateRecord)
	records, err := bench.Records()
	require.NoError(t, err)
	data, err := json.Marshal(records[0])
	require.NoError(t, err)
	require.JSONEq(t, plateJSON, string(data))

	read, err := eval.ReadRecord([]byte(plateJSON))
	require.NoError(t, err)
	var got []string
	for _, r := range []*eval.Record{records[0], read} {
		j, err := bench.Load(r)
		require.NoError(t, err)
		v, err := j.Judge(t.Context())
		require.NoError(t, err)
		got = append(got, words(t, v))
	}
	require.Equal(t, got[0], got[1])
	for _, want := range []string{"J-1", "L 2107", "counted", "prod slipped", "calibration of VM-4 was due", "Oil at the drive end", "told the customer", "by 0.3 mm", "wanted back"} {
		require.Contains(t, got[0], want)
	}
}

// TestRecordErrors: what is wrong with a record is said with its place, and all of it at once.
func TestRecordErrors(t *testing.T) {
	for _, test := range []struct{ statement, want string }{
		{"unit attic is bench_80", "includes no unit attic"},
		{"unit house is motor", "is no battery"},
		{"unit house is bench_90", "did you mean bench_80?"},
		{"built 2016-02-30", "no day"},
		{"set bars 3", "there is no attribute bars"},
		{"set poles 2.5", "whole number"},
		{"meter m1 is ammeter", "there is no instrument ammeter"},
		{`meter m1 is vm due 2026-13-01`, "no day"},
		{"pass as found on 2026-13-01 { }", "no day"},
		{"pass as found at suply 12 V { }", "did you mean supply?"},
		{"pass as found at supply 12 A { }", "voltage"},
		{"pass as found at speed (1000 2000 rpm) { }", "single value here"},
		{"taken freee.current 3 A", "did you mean free?"},
		{"taken free.curent 3 A", "did you mean current?"},
		{"taken free 3 A", "name the value that was read, as in free.current"},
		{"taken free.current 3 A with vm9", "there is no meter vm9"},
		{"taken free.current 3 A at supply 12 V via vm9", "there is no such meter"},
		{"meter m1 is vm taken free.current 3 A with m1", "m1 is vm, which shows a voltage and cannot have read this"},
		{"meter m1 is vm taken free { current 3 A, look good } with m1", "cannot have read this"},
		{"meter m1 is vm taken free.output (20 40 A) at speed (1000 2000 rpm) via m1", "speed via m1: it is vm, which shows a voltage"},
		{"pass as found at supply 12 V via vm9 { }", "supply via vm9: there is no such meter"},
		{"meter m1 is vm pass as found at speed 900 rpm via m1 { }", "speed via m1: it is vm, which shows a voltage"},
		{"taken free.current 3 A at supply (11 12 V)", "single value"},
		{"taken free.current 3 A at supply 12 V, supply 13 V", "given twice"},
		{"taken free.current 9 to 3 A", "smaller value first"},
		{`taken free.current 3 A was 30 V by "b" because "slip"`, "was: "},
		{`taken free { current 3 A, volts 12 V } was 30 A by "b" because "slip"`, "was keeps what one reading said, and there are several here"},
		{"taken free.ohms (1 1 1 Ω)", "6 values are wanted, one for each phase"},
		{"set poles 2 taken free.field (1 1 1 Ω)", "2 values are wanted, one for each pole, not 3"},
		{"taken free.field (1 1 Ω) taken free.field (1 1 1 Ω)", "3 values were given, and 2 earlier"},
		{"taken free.output (20 40 A)", "give as many values as there are of at speed"},
		{"taken free.output 20 A at speed 1000 rpm", "give as many values"},
		{"skip free lazy", "there is no reason lazy"},
		{"skip freee no_time", "did you mean free?"},
		{"skip free.curent no_time", "did you mean current?"},
		{"work paint", "there is no such remedy"},
		{"work paint pass as left { }", "test.sheet:32:3: this stands outside of the passes of the record"},
		{"pass as left { } taken free.current 1 A", "test.sheet:32:20: this stands outside of the passes of the record"},
		{"taken free.ohms (1 1 1 Ω)", "test.sheet:32:3: taken free.ohms: 6 values are wanted"},
		{"set poles 1001 taken free.field (1 1 Ω)", "taken free.field: pole counts from 1 to 1001 here, and a list has from 1 to 1000 members"},
		{"cleared cold", "there is no such cause"},
		{"taken free.current 3 A gives free.current is good", "gives free.current is good: a record says what was read, and expects nothing"},
		{"finds unit is serviceable | undecided", "finds unit is serviceable | undecided: a record says what was read"},
		{"set nominal 12 V taken second.rest.volts 12 V", "this unit includes no second"},
	} {
		err := judgeError(t, plateSheet+"record \"r\" of motor {\n  judge 2026-03-02\n  "+test.statement+"\n}\n")
		require.ErrorContains(t, err, test.want, test.statement)
	}

	err := judgeError(t, plateSheet+"record \"r\" of motor {\n  judge 2026-03-02\n  taken free.curent 3 A\n  taken free.current 3 V\n  skip free lazy\n}\n")
	var list dsl.Diagnostics
	require.ErrorAs(t, err, &list)
	first := strings.Count(plateSheet, "\n") + 3
	require.Len(t, list, 3)
	for i, d := range list {
		require.Equal(t, first+i, d.Range.Pos.Line, d.Message)
		require.Equal(t, dsl.CodeRecord, d.Code)
	}
}

// judgeError returns the first error on the way from the text of a sheet with one record to its verdict.
func judgeError(t *testing.T, sheet string) error {
	t.Helper()
	f, err := dsl.Parse("test.sheet", []byte(sheet))
	if err != nil {
		return err
	}
	bench, err := eval.Compile([]*dsl.File{f})
	require.NoError(t, err)
	records, err := bench.Records()
	if err != nil {
		return err
	}
	j, err := bench.Load(records[0])
	if err != nil {
		return err
	}
	_, err = j.Judge(context.Background())
	return err
}

// TestJSONRecordErrors: nothing in a JSON record is left out in silence.
func TestJSONRecordErrors(t *testing.T) {
	bench := mustBench(t, plateSheet)
	for entry, want := range map[string]string{
		`{"taken": "free.current"}`:                                                      "passes[0].entries[0]: taken free.current: its value is not there; write it, or missing",
		`{"taken": "free", "value": "3 A", "values": {"current": "3 A"}}`:                "give one of the two",
		`{"taken": "free.current", "values": {"current": "3 A"}}`:                        "give one value",
		`{"taken": "free", "values": {}}`:                                                "name the value that was read",
		`{"taken": "free", "value": "3 A"}`:                                              "name the value that was read",
		`{"taken": "free.current", "value": "3 A", "work": "turn"}`:                      "an entry is one of",
		`{"note": "x", "value": "3 A"}`:                                                  "belong to an entry that says what was taken",
		`{"work": "turn", "at": {"supply": "12 V"}}`:                                     "belong to an entry that says what was taken",
		`{"note": "x", "reason": "no_time"}`:                                             "what to skip",
		`{}`:                                                                             "an entry is one of",
		`{"taken": "free.current", "value": "3 A", "via": {"supply": "vm4"}}`:            "there is no such meter",
		`{"taken": "free.current", "value": "3 A", "at": {"suply": "12 V"}}`:             "did you mean supply?",
		`{"taken": "free.current", "valu": "3 A"}`:                                       "valu",
		`{"taken": "free.current", "value": 3}`:                                          "record",
		`{"taken": "free.current", "value": "3 lamps"}`:                                  "lamps",
		`{"taken": "free.current", "value": "3 A", "was": {"value": "3 V", "by": "b"} }`: "was",
	} {
		r, err := eval.ReadRecord([]byte(`{"record": "r", "of": "motor", "judge": "2026-03-02", "passes": [{"stage": "as found", "entries": [` + entry + `]}]}`))
		if err == nil {
			_, err = bench.Load(r)
		}
		require.ErrorContains(t, err, want, entry)
	}
	wrong := `{"of": "motor", "judge": "2026-03-02", "set": [{"name": "poles", "value": "2"}, {"name": "bars", "value": "3"}],
		"meters": [{"name": "m", "is": "ammeter"}], "passes": [{"stage": "as found", "entries": [{"work": "turn"}, {"work": "paint"}]},
		{"stage": "as left", "entries": [{"note": "x"}, {"taken": "free.current", "value": "3 A"}, {"taken": "free.current", "value": "3 V"}]}, {"stage": "later", "entries": []}]}`
	r, err := eval.ReadRecord([]byte(wrong))
	require.NoError(t, err)
	_, err = bench.Load(r)
	for _, want := range []string{"set[1]: there is no attribute bars", "meters[0]: there is no instrument ammeter", "passes[0].entries[1]: work paint", "passes[1].entries[2]: taken free.current", "passes[2]: there is no pass"} {
		require.ErrorContains(t, err, want)
	}
	for text, want := range map[string]string{
		``:                                "ends too early",
		`[]`:                              "record",
		`null`:                            "no family is named",
		`{"record": "r"}}`:                "more text",
		`{"record": "r"}]`:                "more text",
		`{"record": "r"} {"record": "s"}`: "more text",
		`{"record": "r", "passes": [{"stage": "as found", "entries": []}], "sheet": "x"}`: "sheet",
	} {
		_, err := eval.ReadRecord([]byte(text))
		require.ErrorContains(t, err, want, text)
	}
	for text, want := range map[string]string{
		`{"record": "r", "of": "moto"}`:   "did you mean motor?",
		`{"record": "r", "of": "motor"}`:  "by which day",
		`{"of": "motor", "judge": "now"}`: "no day",
		`{"of": "motor", "judge": "2026-03-02", "passes": [{"stage": "afterwards", "entries": []}]}`: "write as found, in work or as left",
	} {
		r, err := eval.ReadRecord([]byte(text))
		require.NoError(t, err, text)
		_, err = bench.Load(r)
		require.ErrorContains(t, err, want, text)
	}
}

// TestNothingGiven: what is not there is an error and no panic.
func TestNothingGiven(t *testing.T) {
	bench := mustBench(t, plateSheet)
	_, err := bench.Load(nil)
	require.EqualError(t, err, "there is no record to load")
	_, err = eval.ReadRecords(nil)
	require.ErrorContains(t, err, "no file to read records from")
	f, err := dsl.Parse("test.sheet", []byte(plateSheet))
	require.NoError(t, err)
	_, err = eval.Compile([]*dsl.File{f, nil})
	require.EqualError(t, err, "sheet 2 of 2 is nil: parse it, and look at the error")
	_, err = eval.CompareVerdicts(t.Context(), bench, bench, nil)
	require.ErrorContains(t, err, "no record to compare")
	_, err = eval.CompareVerdicts(t.Context(), bench, nil, &eval.Record{Name: "r", Family: "motor"})
	require.ErrorContains(t, err, "one of the two editions is not there")
}

// TestValueBesideValues: a value without a name is not dropped beside others that have one.
func TestValueBesideValues(t *testing.T) {
	j, err := mustBench(t, plateSheet).Open("motor")
	require.NoError(t, err)
	err = j.Take("free", eval.Reading{Value: eval.MustValue("77 A"), Values: map[string]eval.Value{"volts": eval.MustValue("11 V")}})
	require.EqualError(t, err, "taken free: 77 A stands beside values by name; give it a name too")
}

// TestFailedTakeLeavesNothing: a reading that was refused begins no pass, and its list says nothing of how many positions there are.
func TestFailedTakeLeavesNothing(t *testing.T) {
	j, err := mustBench(t, plateSheet).Open("motor")
	require.NoError(t, err)
	require.ErrorContains(t, j.Take("free.field", eval.Reading{Value: eval.MustValue("(1 1 1 Ω)"), At: map[string]eval.Value{"suply": eval.MustValue("12 V")}}), "suply")
	require.Empty(t, j.Record().Passes)
	require.NoError(t, j.Take("free.field", eval.Reading{Value: eval.MustValue("(1 1 Ω)")}))
	require.ErrorContains(t, j.Take("free.field", eval.Reading{Value: eval.MustValue("(1 1 1 Ω)")}), "3 values were given, and 2 earlier")
}

// TestMoreThanTheLimit: more than a number can be ever so little more, as the doc comments of MoreThan and LessThan say.
func TestMoreThanTheLimit(t *testing.T) {
	for taken, want := range map[string]eval.Result{"> 8 V": eval.NotDecidable, "> 8.1 V": eval.Fail, "< 8 V": eval.Pass} {
		require.Equal(t, want, checked(t, family("read x : V limit x at most 8 V", "taken t.x "+taken), "t.x").Result(), taken)
	}
	require.Equal(t, eval.NotDecidable, checked(t, family("read x : V limit x at least 8 V", "taken t.x < 8 V"), "t.x").Result())
}

// TestMeterOfReadingsStays: a meter that readings name stays the instrument that they were checked against, and a record of the job says the same.
func TestMeterOfReadingsStays(t *testing.T) {
	bench := exampleBench(t)
	j, err := bench.Open("skerrow_20")
	require.NoError(t, err)
	require.NoError(t, j.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-09"}))
	require.NoError(t, j.AddMeter(eval.Meter{Name: "m", Is: "shunt"}))
	require.NoError(t, j.AddMeter(eval.Meter{Name: "m", Is: "ammeter"}), "no reading names it yet")
	require.NoError(t, j.AddMeter(eval.Meter{Name: "v", Is: "voltmeter"}))
	require.NoError(t, j.Take("hold_in.current", eval.Reading{Value: eval.MustValue("11.40 A"), Meter: "m", Via: map[string]string{"supply": "v"},
		At: map[string]eval.Value{"supply": eval.MustValue("12.0 V"), "winding_temp": eval.MustValue("20 °C")}}))
	jobJSON(t, j)
	require.EqualError(t, j.AddMeter(eval.Meter{Name: "m", Is: "shunt"}), "meter m is ammeter, and readings were taken with it; give shunt another name")
	require.ErrorContains(t, j.AddMeter(eval.Meter{Name: "v", Is: "shunt"}), "meter v is voltmeter")
	require.NoError(t, j.AddMeter(eval.Meter{Name: "m", Is: "ammeter", Number: "A-4", Due: "2020-01-01"}))
	require.Contains(t, jobJSON(t, j), "calibration of A-4 was due on 2020-01-01")
	same(t, jobJSON(t, j), explainedAs(t, bench, j.Record()), "of the record")

	r := j.Record()
	r.Meters = append(r.Meters, eval.Meter{Name: "m", Is: "shunt"})
	_, err = bench.Load(r)
	require.EqualError(t, err, "meters[2]: meter m is given twice; leave one out, or give it another name")
}

func TestOpenRefuses(t *testing.T) {
	bench := exampleBench(t)
	_, err := bench.Open("nothing")
	require.ErrorContains(t, err, "there is no family nothing")
	_, err = bench.Open(bench.Families()[0], eval.InShop("nowhere"))
	require.ErrorContains(t, err, "there is no shop nowhere")
}

// TestRecordKeepsItsShop: a record of a job in a shop is judged by the rules of that shop again, unless it is loaded into another or into none.
func TestRecordKeepsItsShop(t *testing.T) {
	bench := generatorBench()
	job, err := bench.Open("generator_22", eval.InShop("quayside"))
	require.NoError(t, err)
	require.NoError(t, job.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02", At: map[string]eval.Value{"supply": eval.MustValue("12.0 V")}}))
	require.NoError(t, job.Include("battery", "bench_50"))
	require.NoError(t, job.Take("battery.rest.volts", value("12.6 V")))
	require.NoError(t, job.Take("motoring.current", value("4.8 A"))) // at most 5 A of the family, 4.5 A of the shop
	data, err := json.Marshal(job.Record())
	require.NoError(t, err)
	r, err := eval.ReadRecord(data)
	require.NoError(t, err)
	require.Equal(t, "quayside", r.Shop)
	same(t, jobJSON(t, job), explainedAs(t, bench, r), "in its shop")

	again, err := bench.Load(r)
	require.NoError(t, err)
	require.Equal(t, job.Record(), again.Record())
	result := func(options ...eval.Option) eval.Result {
		j, err := bench.Load(r, options...)
		require.NoError(t, err)
		v, err := j.Judge(t.Context())
		require.NoError(t, err)
		c, _ := v.Last().Check("motoring.current")
		return c.Result()
	}
	require.Equal(t, []eval.Result{eval.Fail, eval.Fail, eval.Pass}, []eval.Result{result(), result(eval.AtMost(3)), result(eval.InShop(""))})

	text, err := r.Text()
	require.NoError(t, err)
	f, err := dsl.Parse("j.sheet", text)
	require.NoError(t, err)
	read, err := eval.ReadRecords(f)
	require.NoError(t, err)
	require.Equal(t, "quayside", read[0].Shop)
	same(t, jobJSON(t, job), explainedAs(t, bench, read[0]), "from its text")
	r.Shop = "nowhere"
	_, err = bench.Load(r)
	require.ErrorContains(t, err, "there is no shop nowhere; ")
	require.Equal(t, eval.Fail, result(eval.InShop("quayside")))
}

// TestRecordOfRandomReadings: whatever is taken, the record reads back from JSON and gives the same verdict.
func TestRecordOfRandomReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		b.WriteString(plateSheet + "record \"r\" of motor {\n  judge 2026-03-02\n  meter m is vm\n")
		for range rapid.IntRange(0, 3).Draw(t, "passes") {
			fmt.Fprintf(&b, "  pass %s {\n", rapid.SampledFrom([]string{"as found", "in work at supply 11.5 V", "as left on 2026-03-02 at supply 12.0 V via m"}).Draw(t, "pass"))
			for range rapid.IntRange(0, 6).Draw(t, "entries") {
				b.WriteString("    " + rapid.SampledFrom([]string{
					"taken free.current 51 A", "taken free.current 59.8 to 61 A at supply 12 V", "taken free.current 80 A to 90 A jumping", "taken free.current missing",
					"taken free { current < 0.1 A, look burnt, volts OL } with m", "taken free.look good | burnt", `taken free.current 99 A void "slipped"`,
					`taken free.current 52 A was 25 A by "b" because "swapped"`, "taken free.field (2.4 missing Ω)", "taken free.ohms (1 > 1 OL 1 1 1 Ω)",
					"taken free.output (20 40 30 A) at speed (1000 2000 3000 rpm)", "taken free.output (20 missing A) at speed (1000 2000 rpm)",
					"taken house.rest.volts 12.6 V", "skip free no_time", "work turn", "cleared hot", `note "n"`,
				}).Draw(t, "entry") + "\n")
			}
			b.WriteString("  }\n")
		}
		b.WriteString("}\n")
		f, err := dsl.Parse("test.sheet", []byte(b.String()))
		require.NoError(t, err)
		bench, err := eval.Compile([]*dsl.File{f})
		require.NoError(t, err)
		records, err := bench.Records()
		require.NoError(t, err)
		data, err := json.Marshal(records[0])
		require.NoError(t, err)
		again, err := eval.ReadRecord(data)
		require.NoError(t, err)
		var got [2][]byte
		for i, r := range []*eval.Record{records[0], again} {
			j, err := bench.Load(r)
			require.NoError(t, err)
			v, err := j.Judge(context.Background())
			require.NoError(t, err)
			got[i], err = json.Marshal(v.Explain())
			require.NoError(t, err)
		}
		require.Equal(t, string(got[0]), string(got[1]))
	})
}

// TestRecordSaysEachThingOnce: of two statements none is dropped in silence.
func TestRecordSaysEachThingOnce(t *testing.T) {
	sheet := `family coil_7 "Coil" {
  attribute poles : count ask "Count the pole shoes."
  test field "Field" { read current : A  limit current at most 5 A }
}
shop quay "Quay" { limit field.current at most 3 A }
shop dock "Dock" { limit field.current at most 2 A }
`
	for twice, want := range map[string]string{
		`shop quay shop dock`:                      "shop stands twice, first in line 9; leave one out",
		`serial "A" serial "B"`:                    "serial stands twice",
		`built 2001-02-03 built 2001-02-04`:        "built stands twice",
		`judge 2026-03-02 judge 2026-03-03`:        "judge stands twice",
		`date_code "4K17" date_code "4K18"`:        "date_code stands twice",
		`complaint "dead" complaint "weak"`:        "complaint stands twice",
		`unit a is x unit a is y`:                  "unit a stands twice",
		`judge 2026-03-02 set poles 4 set poles 6`: "set poles stands twice; leave one out",
		`judge 2026-03-02 shop quai`:               "there is no shop quai",
	} {
		f, err := dsl.Parse("twice.sheet", []byte("brushgear 1\n"+sheet+"record \"J\" of coil_7 {\n  "+twice+"\n}\n"))
		require.NoError(t, err, twice)
		bench, err := eval.Compile([]*dsl.File{f})
		require.NoError(t, err, twice)
		records, err := eval.ReadRecords(f)
		if err == nil {
			_, err = bench.Load(records[0])
		}
		var diags dsl.Diagnostics
		require.ErrorAs(t, err, &diags, twice)
		require.Contains(t, diags.Error(), want)
		require.Equal(t, 9, diags[0].Range.Pos.Line, twice)
	}
}

// TestPassesStandInTheirOrder: the last pass counts, so one with an earlier day behind it would be taken for what the unit was like in the end.
func TestPassesStandInTheirOrder(t *testing.T) {
	j, err := generatorBench().Open("generator_22")
	require.NoError(t, err)
	require.NoError(t, j.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-05"}))
	require.NoError(t, j.Begin(eval.Round{Stage: eval.InWork}))
	require.EqualError(t, j.Begin(eval.Round{Stage: eval.AsLeft, On: "2026-03-01"}),
		"a pass as left on 2026-03-01 comes behind one as found on 2026-03-05; put passes in the order in which they were made")
	require.NoError(t, j.Begin(eval.Round{Stage: eval.AsLeft, On: "2026-03-05"}))
}
