package eval_test

import (
	"context"
	"fmt"
	"os"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/report"
)

// exampleSheet is a family of one test and one fault, with a record.
const exampleSheet = `brushgear 1
family starter_9 "Starter 9" {
  condition supply : V
  test free_run "Free run" {
    needs supply within 10.5 V to 11.5 V
    read current : A
    limit current 40 to 70 A
  }
  fault drags "Something drags" { shows free_run high always }
}
record "J-5" of starter_9 {
  pass as found on 2026-03-02 {
    taken free_run.current 84 A at supply 11.0 V
  }
}
`

func compiled() *eval.Bench {
	f, err := dsl.Parse("starter.sheet", []byte(exampleSheet))
	if err != nil {
		panic(err)
	}
	bench, err := eval.Compile([]*dsl.File{f})
	if err != nil {
		panic(err)
	}
	return bench
}

func ExampleCompile() {
	f, _ := dsl.Parse("slip.sheet", []byte("brushgear 1\nfamily a \"A\" {\n  test t \"T\" { read x : V  limit x at most 5 A }\n}\n"))
	_, err := eval.Compile([]*dsl.File{f})
	fmt.Println(err)
	// Output: slip.sheet:3:44: this is a current, and a voltage is wanted here; write a voltage, such as 2 V [wrong-dimension]
}

func ExampleBench_Open() {
	job, err := compiled().Open("starter_9")
	if err != nil {
		fmt.Println(err)
		return
	}
	supply := map[string]eval.Value{"supply": eval.MustValue("11.0 V")}
	if err := job.Take("free_run.current", eval.Reading{Value: eval.MustValue("52 A"), At: supply}); err != nil {
		fmt.Println(err)
		return
	}
	verdict, err := job.Judge(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	for check := range verdict.Last().Checks() {
		margin, _ := check.Margin()
		fmt.Println(check.Name(), check.Outcome(), check.Result(), margin)
	}
	fmt.Println(verdict.Last().Unit())
	// Output:
	// free_run.current good pass 12 A
	// serviceable
}

func ExampleBench_Load() {
	bench := compiled()
	records, _ := bench.Records()
	job, err := bench.Load(records[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	verdict, _ := job.Judge(context.Background())
	for fault := range verdict.Last().Faults() {
		fmt.Println(fault.Title(), "-", fault.Status())
	}
	// Output: Something drags - shown
}

func ExampleReadRecord() {
	record, err := eval.ReadRecord([]byte(`{
	  "record": "J-6", "of": "starter_9",
	  "passes": [{"stage": "as found", "on": "2026-03-02", "entries": [
	    {"taken": "free_run.current", "value": "55 to 60 A", "at": {"supply": "11.0 V"}}
	  ]}]
	}`))
	if err != nil {
		fmt.Println(err)
		return
	}
	job, _ := compiled().Load(record)
	verdict, _ := job.Judge(context.Background())
	check, _ := verdict.Last().Check("free_run.current")
	fmt.Println(check.Result())
	// Output: pass
}

func ExampleVerdict_Explain() {
	bench := compiled()
	records, _ := bench.Records()
	job, _ := bench.Load(records[0])
	verdict, _ := job.Judge(context.Background())
	explanation := verdict.Explain()
	explanation.Sheets = "..."
	if err := report.Text(os.Stdout, explanation); err != nil {
		fmt.Println(err)
	}
	// Output:
	// J-5: Starter 9
	// Limits of 2026-03-02, sheets ...
	//
	// AS FOUND, 2026-03-02: faulty
	//
	//   Free run
	//     read current: 84 A at supply 11.0 V
	//     FAIL, high: current 84 A; limit 40 to 70 A (family starter_9, no source); 14 A outside
	//
	//   What explains the readings:
	//     Something drags: most likely
	//     no fault, and a reading that is a slip: less likely
	//
	//   What this says of the faults:
	//     Shown: Something drags
	//       free run.current is high: nothing else on the sheet does this
}

func ExampleParseValue() {
	for _, text := range []string{"2.45 Ω", "2 to 9 Ω jumping", "(9.6 9.7 missing mV)", "2,45 Ω"} {
		v, err := eval.ParseValue(text)
		if err != nil {
			fmt.Println("refused")
			continue
		}
		fmt.Println(v)
	}
	// Output:
	// 2.45 Ω
	// 2 Ω to 9 Ω jumping
	// (9.6 9.7 mV missing)
	// refused
}

func ExampleCheck_Budget() {
	f, err := dsl.Parse("field.sheet", []byte(`brushgear 1
family f "F" {
  decide guard 2 u
  condition supply : V with voltmeter
  instrument voltmeter : V accuracy ± 0.5 % digit 0.01 V
  instrument clamp : A accuracy ± 2 % digit 0.01 A
  test field "Field winding" {
    needs supply
    read current : A with clamp
    let resistance = supply / current
    limit resistance 2.4 to 2.6 Ω
  }
}
record "R" of f {
  judge 2026-03-02
  pass as found { taken field.current 4.71 A at supply 12.05 V }
}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	v := judgeFirst(f)
	check, _ := v.Last().Check("field.resistance")
	fmt.Println(check.Result())
	for _, k := range check.Budget() {
		fmt.Printf("%s (%s): u = %.2g Ω, %.0f %% of the variance\n", k.Reading, k.Meter, k.U.SI(), 100*k.Share)
	}
	// Output:
	// marginal
	// current (clamp): u = 0.03 Ω, 94 % of the variance
	// supply (voltmeter): u = 0.0074 Ω, 6 % of the variance
}

func ExampleCheck_Simulate() {
	// A resistance by a current that is hardly more than its error: the quotient bends.
	f, err := dsl.Parse("coil.sheet", []byte(`brushgear 1
family f "F" {
  instrument voltmeter : V accuracy ± 0.5 %
  instrument clamp : A accuracy ± 0.4 A digit 0.1 A
  test coil "Coil" {
    read volts : V with voltmeter
    read current : A with clamp
    let resistance = volts / current
    limit resistance 10 to 14 Ω
  }
}
record "R" of f {
  judge 2026-03-02
  pass as found { taken coil { volts 12.00 V, current 1.0 A } }
}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	v := judgeFirst(f)
	check, _ := v.Last().Check("coil.resistance")
	s, err := check.Simulate(1, 200_000)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("95 % of the trials:", s.Low.Round(0), "to", s.High.Round(0))
	for _, m := range s.Outcomes {
		fmt.Printf("%s %.0f %%\n", m.Outcome, 100*m.Share)
	}
	fmt.Println(s.Share("high") > .3, s.Share("bent"))
	// Output:
	// 95 % of the trials: 9 Ω to 19 Ω
	// good 43 %
	// low 25 %
	// high 32 %
	// true 0
}

// judgeFirst judges the first record of a file.
func judgeFirst(f *dsl.File) *eval.Verdict {
	bench, err := eval.Compile([]*dsl.File{f})
	if err != nil {
		panic(err)
	}
	records, err := bench.Records()
	if err != nil {
		panic(err)
	}
	job, err := bench.Load(records[0])
	if err != nil {
		panic(err)
	}
	v, err := job.Judge(context.Background())
	if err != nil {
		panic(err)
	}
	return v
}

// A job that was filled by calls is written down in the sheet language.
func ExampleJob_Record() {
	job, err := compiled().Open("starter_9")
	if err != nil {
		fmt.Println(err)
		return
	}
	supply := map[string]eval.Value{"supply": eval.MustValue("11.0 V")}
	if err := job.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02"}); err != nil {
		fmt.Println(err)
		return
	}
	if err := job.Take("free_run.current", eval.Reading{Value: eval.MustValue("52 A"), At: supply}); err != nil {
		fmt.Println(err)
		return
	}
	record := job.Record()
	record.Name = "J-8"
	text, err := record.Text("starter.sheet")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(string(text))
	// Output:
	// brushgear 1
	// use "starter.sheet"
	//
	// record "J-8" of starter_9 {
	//   pass as found on 2026-03-02 {
	//     taken free_run.current 52 A at supply 11.0 V
	//   }
	// }
}

// A card says what a test asks for, and its blanks read answers as people write them.
func ExamplePassVerdict_Cards() {
	bench := compiled()
	records, _ := bench.Records()
	job, _ := bench.Load(records[0])
	verdict, _ := job.Judge(context.Background())
	for _, card := range verdict.Last().Cards() {
		fmt.Println(card.Title)
		for _, b := range card.Conditions {
			fmt.Println(" ", b.Name, b.Unit, b.Wants)
		}
		for _, b := range card.Readings {
			value, assumed, err := b.Fill("60 to 64 jumping")
			fmt.Println(" ", b.Name, value, assumed, err)
			_, _, err = b.Fill("12 V")
			fmt.Println(" ", err)
		}
	}
	// Output:
	// Free run
	//   supply V within 10.5 V to 11.5 V
	//   current 60 A to 64 A jumping true <nil>
	//   12 V does not fit: current is read in A, or another unit of its kind
}

func ExamplePassVerdict_Slip() {
	job, err := compiled().Open("starter_9")
	if err != nil {
		fmt.Println(err)
		return
	}
	supply := map[string]eval.Value{"supply": eval.MustValue("11.0 V")}
	if err := job.Take("free_run.current", eval.Reading{Value: eval.MustValue("5.2 A"), At: supply}); err != nil {
		fmt.Println(err)
		return
	}
	verdict, err := job.Judge(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	slip, found := verdict.Last().Slip()
	fmt.Println(slip, found)
	fmt.Println(slip.Test, slip.Kind)
	// Output:
	// if current was 52 A and not 5.2 A, the readings would call for no fault true
	// free_run ten times more
}
