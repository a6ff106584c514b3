package eval_test

import (
	"context"
	"encoding/json"
	"fmt"
	"log"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

// judgedGenerator judges readings of a generator, by the names of what was read.
func judgedGenerator(readings ...string) *eval.Verdict {
	job, err := generatorBench().Open("generator_22")
	if err != nil {
		log.Fatal(err)
	}
	if err := job.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02", At: map[string]eval.Value{"supply": eval.MustValue("12.0 V")}}); err != nil {
		log.Fatal(err)
	}
	for _, r := range readings {
		name, text, _ := strings.Cut(r, " ")
		if err := job.Take(name, value(text)); err != nil {
			log.Fatal(err)
		}
	}
	verdict, err := job.Judge(context.Background())
	if err != nil {
		log.Fatal(err)
	}
	return verdict
}

// What the readings say of each fault, and why.
func ExamplePassVerdict_Stories() {
	pass := judgedGenerator("battery.rest.volts 12.6 V", "motoring.current 7.0 A", "growler.blade pulls", "field.ohms 6.0 Ω").Last()
	fmt.Println(pass.Unit(), "-", pass.Limits())
	for _, story := range pass.Stories() {
		for _, fault := range story.Faults {
			fmt.Printf("story: %s, %.2f of all\n", fault.Title(), story.Share)
		}
	}
	for fault := range pass.Faults() {
		_, remedy := fault.Remedy()
		fmt.Printf("%s: %s, %.3f, %s\n", fault.Name(), fault.Status(), fault.Probability(), remedy)
		if check, ok := fault.ShownBy(); ok {
			fmt.Println("  shown by", check.Name())
		}
		if check, ok := fault.RuledOutBy(); ok {
			fmt.Println("  ruled out by", check.Name())
		}
	}
	for _, cause := range pass.OpenCauses() {
		fmt.Println("clear before release:", cause.Title)
	}
	// Output:
	// faulty - limits failed
	// story: Armature shorted, 1.00 of all
	// armature_shorted: shown, 1.000, Fit another armature
	//   shown by growler.blade
	// field_shorted: ruled out, 0.000, Fit other field coils
	//   ruled out by field.ohms
	// damp[a]: not examined, 0.005, Dry it out
	// damp[b]: not examined, 0.005, Dry it out
	// clear before release: Belt too tight
}

// What one check came to, near its limit: the outcomes that are possible, and what each of them weighs in the diagnosis.
func ExampleCheck_Weight() {
	pass := judgedGenerator("battery.rest.volts 12.6 V", "motoring.current 5.05 A", "insulation.ohms (0.2 30 MΩ)").Last()
	check, _ := pass.Check("motoring.current")
	value, _ := check.Value()
	fmt.Println(value, check.Result(), check.Outcomes())
	fmt.Println(check.Possible("high"), check.Possible("low"))
	fmt.Printf("good %.2f, high %.0f\n", check.Weight("good"), check.Weight("high"))
	fault, _ := pass.Fault("damp[a]")
	fmt.Println(fault.Status(), fault.OneOf())
	// Output:
	// 5.05 A fail [high]
	// true false
	// good 0.48, high 1
	// shown false
}

// A reading that nothing on the sheet goes with is most likely a slip: it is named, so that it is taken again.
func ExamplePassVerdict_AtOdds() {
	pass := judgedGenerator("battery.rest.volts 12.6 V", "motoring.current 1.0 A", "growler.blade still", "field.ohms 6.0 Ω").Last()
	test, probability, ok := pass.AtOdds()
	fmt.Println(pass.Unit(), test, ok, probability > .5)
	// Output: unexplained motoring true true
}

// The next test is the first of a plan that weighs minutes, teardown and the price of a wrong remedy.
func ExamplePassVerdict_Plan() {
	pass := judgedGenerator("battery.rest.volts 12.6 V", "motoring.current 7.0 A").Last()
	plan, err := pass.Plan(context.Background(), 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	first, _ := plan.Next()
	fmt.Println(plan.TestTitle(first.Test), len(plan.Cautions(first.Test)), plan.Opening(-1, first.Test))
	for _, branch := range plan.Root.Branches {
		fmt.Printf("%s: %s\n", plan.OutcomeWords(first.Test, branch.Outcome), plan.Stories(branch.Node))
	}
	fmt.Println(plan.RemedyWords(0))
	// Output:
	// Field, lead to lead 0 to closed
	// field.ohms is good: Armature shorted
	// field.ohms is low: Field shorted
	// field.ohms is high: Armature shorted, or Field shorted
	// Fit another armature
}

// What a sheet says of a family, what proofs find in it, and what a trial of it can try.
func ExampleBench_Prove() {
	bench := generatorBench()
	for _, family := range bench.Families() {
		fmt.Println(family, "-", bench.FamilyTitle(family))
	}
	fmt.Println(len(bench.Digest()), len(bench.Warnings()))
	for _, finding := range bench.Prove() {
		if finding.Severity != dsl.Hint {
			fmt.Println(finding)
		}
	}
	aims, err := bench.Aims("bench_50")
	fmt.Println(len(aims), aims[0].Name, err)
	// Output:
	// bench_50 - Bench battery
	// generator_22 - Generator, 22 A
	// 16 0
	// generator.sheet:26:8: test growler works with a growler, and no caution says so; write a caution: switch it off before lifting the armature [no-caution]
	// 4 rest.volts <nil>
}

// A trial is a record that says what should come out.
func ExampleVerdict_Unmet() {
	bench := compiled()
	f, err := dsl.Parse("trial.sheet", []byte(`brushgear 1
trial "too much" of starter_9 {
  taken free_run.current 84 A at supply 11.0 V
  gives free_run.current is low
  finds drags is shown
}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	records, _ := eval.ReadRecords(f)
	job, err := bench.Load(records[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	verdict, _ := job.Judge(context.Background())
	for pass := range verdict.Passes() {
		fmt.Println(pass.Round().Stage)
	}
	fmt.Println(verdict.Unmet(records[0]))
	fmt.Println(len(verdict.Reached(records[0])))
	// Output:
	// as found
	// [gives free_run.current is low: it is high]
	// 3
}

// A stored record is judged by an old and a new edition of the sheets.
func ExampleCompareVerdicts() {
	edition := func(text string) *eval.Bench {
		f, _ := dsl.Parse("starter.sheet", []byte(text))
		bench, err := eval.Compile([]*dsl.File{f})
		if err != nil {
			log.Fatal(err)
		}
		return bench
	}
	old, new := edition(exampleSheet), edition(strings.Replace(exampleSheet, "40 to 70 A", "40 to 90 A", 1))
	records, _ := old.Records()
	changes, err := eval.CompareVerdicts(context.Background(), old, new, records[0])
	for _, c := range changes {
		fmt.Printf("%s %s: %s, now %s\n", c.What, c.Name, c.Old, c.New)
	}
	fmt.Println(err)
	// Output:
	// unit : faulty, now serviceable
	// check free_run.current: fail, high, now pass
	// fault drags: shown, now ruled out
	// <nil>
}

// The table of faults and tests: where a cell is silent, the sheet says nothing of the fault at that check.
func ExampleTableCell_Silent() {
	table, err := generatorBench().FaultTable("generator_22")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, fault := range table.Faults {
		silent := 0
		for _, cell := range fault.Cells {
			if cell.Silent() {
				silent++
			}
		}
		fmt.Println(fault.Title, "- silent at", silent, "of", len(table.Checks))
	}
	// Output:
	// Armature shorted - silent at 2 of 4
	// Field shorted - silent at 2 of 4
	// Damp - silent at 3 of 4
}

// An explanation that was stored as JSON is read back into the types that it was written from.
func ExampleExplanation() {
	data, err := json.Marshal(judgedGenerator("battery.rest.volts 12.6 V", "motoring.current 7.0 A").Explain())
	if err != nil {
		fmt.Println(err)
		return
	}
	var stored eval.Explanation
	if err := json.Unmarshal(data, &stored); err != nil {
		fmt.Println(err)
		return
	}
	last := stored.Passes[len(stored.Passes)-1]
	fmt.Println(stored.Unit, "-", last.Word, last.Word == eval.Faulty)
	var result eval.Result
	fmt.Println(result.UnmarshalText([]byte("fail")), result == eval.Fail)
	fmt.Println(result.UnmarshalText([]byte("failed")))
	// Output:
	// Generator, 22 A - faulty true
	// <nil> true
	// "failed" is no result; write one of: not tested, pass, marginal, fail, not decidable, not valid, not applicable, information
}
