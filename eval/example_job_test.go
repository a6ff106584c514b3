package eval_test

import (
	"context"
	"errors"
	"fmt"
	"log"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/units"
)

// generatorSheet is a unit with a battery, a shop, and four faults that share tests.
const generatorSheet = `brushgear 1
source house "House" status shop_rule
kind battery "Battery" {
  test rest "At rest" { read volts : V  grade volts : flat below 12.2 V | good }
}
family bench_50 "Bench battery" of battery {}
family generator_22 "Generator, 22 A" {
  include battery as battery
  attribute marine : yes | no
  condition supply : V
  positions lead "lead" : a, b
  part armature "Armature"
  part field "Field"
  cause belt "Belt too tight" ask "Does it stand out when pressed?"
  instrument ammeter : A accuracy ± 1 % digit 0.1 A
  stage closed "closed"
  stage opened "opened" after closed takes 10 min back 10 min
  test motoring "Run as a motor" {
    stage closed  takes 3 min
    needs battery.rest is good
    needs supply
    read current : A with ammeter
    limit current 3 A to 5 A per house
  }
  test field "Field, lead to lead" { stage closed  takes 2 min  read ohms : Ω  limit ohms 5.7 Ω to 6.3 Ω per house }
  test growler "Growler" { stage opened  takes 4 min  examines armature  read blade : still | pulls  limit blade is still per house }
  test insulation "Leads to frame" { stage closed  takes 2 min  read ohms of lead : MΩ  limit ohms at least 1 MΩ per house }
  remedy new_armature "Fit another armature" { retest motoring, growler  regret 60 min }
  remedy new_field "Fit other field coils" { retest field }
  remedy dry "Dry it out" { retest insulation }
  fault armature_shorted "Armature shorted" {
    part armature  from belt  remedy new_armature
    shows motoring.current high usually
    shows growler.blade pulls always
  }
  fault field_shorted "Field shorted" { part field  remedy new_field  shows field.ohms low always  shows motoring.current high often }
  fault damp of lead "Damp" { part field  remedy dry  shows insulation.ohms[lead] low always }
}
shop quayside "Quayside" {
  limit motoring.current 3 A to 4.5 A per house
}
`

func generatorBench() *eval.Bench {
	f, err := dsl.Parse("generator.sheet", []byte(generatorSheet))
	if err != nil {
		log.Fatal(err)
	}
	bench, err := eval.Compile([]*dsl.File{f})
	if err != nil {
		log.Fatal(err)
	}
	return bench
}

// value reads a value that is known to be well written.
func value(text string) eval.Reading { return eval.Reading{Value: eval.MustValue(text)} }

// A unit is put on the bench, its battery and meter are named, and readings of both are taken.
func ExampleJob_Take() {
	job, err := generatorBench().Open("generator_22", eval.InShop("quayside"), eval.AtMost(2))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(job.Family(), job.Inclusions()[0].Unit)
	for _, blank := range job.Unknown() {
		fmt.Println("not known:", blank.Name, strings.Join(blank.Words, " or "))
	}
	job.SetSerial("G-1042")
	err = errors.Join(
		job.SetBuilt("1968-03-01"),
		job.SetDate("2026-03-02"),
		job.Set("marine", eval.MustValue("no")),
		job.Include("battery", "bench_50"),
		job.AddMeter(eval.Meter{Name: "am17", Is: "ammeter", Number: "AM-17", Due: "2026-09-01"}),
		job.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02", At: map[string]eval.Value{"supply": eval.MustValue("12.0 V")}}),
		job.Take("battery.rest.volts", value("12.6 V")),
		job.Take("motoring.current", eval.Reading{Value: eval.MustValue("4.8 A"), Meter: "am17"}),
		job.Skip("growler", "no_time", "closing hour"),
		job.Note("Came in on a pallet."),
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	verdict, err := job.Judge(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	check, _ := verdict.Last().Check("motoring.current")
	fmt.Println(check.Outcome(), check.Result(), "by the limit of the shop")
	// Output:
	// generator_22 battery
	// not known: marine yes or no
	// high fail by the limit of the shop
}

// Between two passes work is done. What it touched is measured anew; a cause is cleared by a note.
func ExampleJob_Work() {
	job, _ := generatorBench().Open("generator_22")
	for _, r := range job.Remedies() {
		fmt.Println(r.Name)
	}
	fmt.Println(job.Causes()[0].Name, eval.SkipReasons()[0])
	var verdict eval.Verdict
	judge := func() {
		if err := job.JudgeInto(context.Background(), &verdict); err != nil { // into the same verdict each time, which saves memory
			fmt.Println(err)
			return
		}
		pass := verdict.Last()
		fmt.Println(pass.Round().Stage, "-", pass.Unit(), len(pass.OpenCauses()), pass.Retests())
	}
	err := errors.Join(
		job.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02"}),
		job.Take("growler.blade", value("pulls")),
	)
	judge()
	err = errors.Join(err,
		job.Work("new_armature", "from stock"),
		job.Begin(eval.Round{Stage: eval.AsLeft, On: "2026-03-03"}),
		job.Take("growler.blade", value("still")),
		job.Clear("belt", "set to 10 mm"),
	)
	judge()
	fmt.Println(err)
	// Output:
	// dry
	// new_armature
	// new_field
	// belt no_equipment
	// as found - faulty 1 []
	// as left - undecided 0 [Run as a motor]
	// <nil>
}

// A prod slipped: the reading stays in the record and counts no more, and the test is made again.
func ExampleJob_Void() {
	job, _ := generatorBench().Open("generator_22")
	err := errors.Join(
		job.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02"}),
		job.Take("field.ohms", value("2.0 Ω")),
		job.Void("field", "prod slipped"),
		job.Take("field.ohms", value("6.0 Ω")),
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	verdict, _ := job.Judge(context.Background())
	check, _ := verdict.Last().Check("field.ohms")
	fmt.Println(check.Name(), check.Result())
	for _, e := range job.Record().Passes[0].Entries {
		fmt.Printf("%s %s %q\n", e.Taken, e.Value, e.Void)
	}
	fmt.Println(job.Void("growler", "blade bent"))
	// Output:
	// field.ohms pass
	// field.ohms 2.0 Ω "prod slipped"
	// field.ohms 6.0 Ω ""
	// void growler: nothing was read of it
}

// Before anything is read the unit is judged too: the plan names the first test, and its card says what to heed, to do and to write down.
func ExampleBench_Open_firstTest() {
	job, _ := generatorBench().Open("generator_22")
	_ = job.SetDate("2026-03-02")
	verdict, err := job.Judge(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	pass := verdict.Last()
	plan, err := pass.Plan(context.Background(), 0)
	if err != nil || plan == nil {
		fmt.Println(err)
		return
	}
	first, _ := plan.Next()
	for _, card := range pass.Cards() {
		if card.Test == plan.TestName(first.Test) {
			fmt.Println(card.Test, "-", card.Title, card.Minutes, "min", card.Done)
			fmt.Println(card.Readings[0].Name, card.Readings[0].Unit)
		}
	}
	fmt.Println(pass.Unit())
	// Output:
	// motoring - Run as a motor 3 min false
	// current A
	// undecided
}

// Readings come in every state that a bench knows.
func ExampleNumber() {
	ohms := func(text string) units.Quantity { return units.Must(text) }
	for _, v := range []eval.Value{
		eval.Number(ohms("2.45 Ω")), eval.Between(ohms("2 Ω"), ohms("9 Ω")), eval.Jumping(ohms("2 Ω"), ohms("9 Ω")),
		eval.MoreThan(ohms("1 MΩ")), eval.LessThan(ohms("0.1 Ω")), eval.OL(), eval.Word("good"),
		eval.List(eval.Number(ohms("9.6 mΩ")), eval.Value{}),
	} {
		fmt.Println(v, v.Missing(), len(v.Items()))
	}
	// Output:
	// 2.45 Ω false 0
	// 2 Ω to 9 Ω false 0
	// 2 Ω to 9 Ω jumping false 0
	// > 1 MΩ false 0
	// < 0.1 Ω false 0
	// OL false 0
	// good false 0
	// (9.6 mΩ missing) false 2
}

// The cards of a pass tell what to write down, one blank for each position of a list.
func ExampleBlank_At() {
	job, _ := generatorBench().Open("generator_22")
	_ = job.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02"})
	verdict, _ := job.Judge(context.Background())
	for _, card := range verdict.Last().Cards() {
		if card.Test == "insulation" {
			blank := card.Readings[0]
			fmt.Println(blank.At(0).Name, blank.At(1).Name, blank.Unit)
		}
	}
	// Output: ohms[a] ohms[b] MΩ
}

// Records of a file of their own, judged by sheets that were compiled before. Work after the last reading belongs to the pass that comes next.
func ExampleReadRecords() {
	f, err := dsl.Parse("jobs.record.sheet", []byte(`brushgear 1
record "G-7" of generator_22 {
  pass as found on 2026-03-02 { taken growler.blade pulls }
  pass in work on 2026-03-02 { work new_armature }
  pass as left on 2026-03-03 { taken growler.blade still }
}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	records, err := eval.ReadRecords(f)
	if err != nil {
		fmt.Println(err)
		return
	}
	job, err := generatorBench().Load(records[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	verdict, err := job.Judge(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	for pass := range verdict.Passes() {
		growler, _ := pass.Check("growler.blade")
		fmt.Println(pass.Round().Stage, "-", growler.Result())
	}
	// Output:
	// as found - fail
	// in work - fail
	// as left - pass
}
