package report_test

import (
	"bytes"
	"context"
	"fmt"
	"log"
	"os"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/plan/draw"
	"github.com/brushgear/brushgear/eval/report"
)

const sheet = `brushgear 1
source house "House" status shop_rule
family coil_9 "Coil 9" {
  part coil "Coil"
  caution lamp_shock "Mains lamp: one hand, dry mat."
  test ohms "Lead to lead" { takes 2 min  read value : Ω  limit value 2.4 to 2.8 Ω per house }
  test ground "Lead to frame" { takes 1 min  caution lamp_shock  read lamp : dark | lit  limit lamp is dark per house }
  remedy rewind "Rewind it" { retest ohms, ground }
  remedy insulate "Insulate it" { retest ground }
  fault shorted "Shorted turns" { part coil  remedy rewind  shows ohms.value low always }
  fault grounded "Ground" { part coil  remedy insulate  shows ground.lamp lit always  shows ohms.value low sometimes }
}
record "C-1" of coil_9 { pass as found on 2026-03-02 { taken ohms.value 1.9 Ω } }
`

func compile(text string) *eval.Bench {
	f, err := dsl.Parse("coil.sheet", []byte(text))
	if err != nil {
		log.Fatal(err)
	}
	bench, err := eval.Compile([]*dsl.File{f})
	if err != nil {
		log.Fatal(err)
	}
	return bench
}

func judged(bench *eval.Bench) *eval.Verdict {
	records, err := bench.Records()
	if err != nil {
		log.Fatal(err)
	}
	job, err := bench.Load(records[0])
	if err != nil {
		log.Fatal(err)
	}
	verdict, err := job.Judge(context.Background())
	if err != nil {
		log.Fatal(err)
	}
	return verdict
}

// A verdict for a screen, all of it, and the checks of one test.
func ExampleBrief() {
	explanation := judged(compile(sheet)).Explain()
	explanation.Sheets = "..."
	if err := report.BriefHint(os.Stdout, explanation, "print all"); err != nil {
		fmt.Println(err)
	}
	var brief, whole bytes.Buffer
	_ = report.Brief(&brief, explanation)
	_ = report.Text(&whole, explanation)
	fmt.Println(brief.Len() < whole.Len())
	_ = report.Result(os.Stdout, &explanation.Passes[0].Tests[0])
	_ = report.Change(os.Stdout, &eval.PassExplanation{}, &explanation.Passes[0])
	// Output:
	// C-1: Coil 9
	// Limits of 2026-03-02, sheets ...
	//
	// AS FOUND, 2026-03-02: faulty
	//
	//   Readings: 1 fail
	//     FAIL, low: Lead to lead, value 1.9 Ω; limit 2.4 to 2.8 Ω
	//
	//   What explains the readings:
	//     Shorted turns: most likely
	//     Ground: perhaps
	//     no fault, and a reading that is a slip: less likely
	//     Suspected: Shorted turns (Coil)
	//       compared with Ground:
	//       ohms.value is low: speaks for it
	//
	//   What to do:
	//     Perhaps: Rewind it, for Shorted turns
	//     Perhaps: Insulate it, for Ground
	//
	//   Next:
	//     CAUTION Mains lamp: one hand, dry mat.
	//     Lead to frame (1 min)
	//       ground.lamp is good: Shorted turns
	//       ground.lamp is lit: Ground
	//       about 7 min to the remedy on average, a wrong one reckoned in
	//
	//   1 test was not made. All of it: print all
	// true
	//   FAIL, low: value 1.9 Ω; limit 2.4 to 2.8 Ω, 0.5 Ω outside
	//   The unit: faulty
	//   Likeliest now: Shorted turns (most likely); Ground (perhaps); no fault, and a reading that is a slip (less
	//     likely)
}

// The plan as a tree, for a screen or, by draw.SVG, for paper.
func ExamplePlan() {
	verdict := judged(compile(sheet))
	plan, err := verdict.Last().Plan(context.Background(), 0)
	if err != nil || plan == nil {
		fmt.Println(err)
		return
	}
	tree, options := report.Plan(plan, "C-1")
	fmt.Println(draw.Text(tree, options))
	// Output:
	// C-1
	// 1 min on average, the remedy wrong in 5 of 100. No plan costs less.
	// On each branch: the outcome, how often it comes up there, minutes since the start.
	//
	// CAUTION: Mains lamp: one hand, dry mat.
	// Lead to frame (1 min)
	// ├─ ground.lamp is good, 78 %, 1 min → Rewind it (wrong in 7 of 100)
	// └─ ground.lamp is lit, 22 %, 1 min → Insulate it
}

// The card of a test: cautions first.
func ExampleCard() {
	job, _ := compile(sheet).Open("coil_9")
	_ = job.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02"})
	verdict, _ := job.Judge(context.Background())
	for _, card := range verdict.Last().Cards() {
		if err := report.Card(os.Stdout, card, "Next: ", "at the bench"); err != nil {
			fmt.Println(err)
		}
	}
	// Output:
	// Next: Lead to lead (ohms)
	//   at the bench; 2 min
	// CAUTION Mains lamp: one hand, dry mat.
	// Next: Lead to frame (ground)
	//   at the bench; 1 min
}

// What a sheet says of a unit, as text or as a page to print.
func ExampleContents() {
	contents, err := compile(sheet).Contents("coil_9")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(report.Sections())
	_ = report.Contents(os.Stdout, contents, report.Sections()[1])
	var page bytes.Buffer
	_ = report.ContentsHTML(&page, []*eval.Contents{contents})
	fmt.Println(strings.HasPrefix(page.String(), "<!DOCTYPE html>"))
	// Output:
	// [tests limits faults]
	// Coil 9 (coil_9)
	// Built on family coil_9; sheets b62fe636b627a3d8
	//
	// LIMITS
	//   ohms.value
	//       2.4 to 2.8 Ω (House; shop rule)
	//   ground.lamp
	//       is dark (House; shop rule)
	// true
}

// What changed from one edition of a sheet to the next, and what that does to a stored record.
func ExampleEditions() {
	old, new := compile(sheet), compile(strings.Replace(sheet, "2.4 to 2.8", "1.8 to 2.8", 1))
	records, _ := old.Records()
	verdicts, err := eval.CompareVerdicts(context.Background(), old, new, records[0])
	if err != nil {
		fmt.Println(err)
		return
	}
	_ = report.Editions(os.Stdout, eval.CompareEditions(old, new), verdicts, len(records))
	// Output:
	// coil_9
	//   limit ohms.value, wider
	//       old 2.4 to 2.8 Ω (House; shop rule)
	//       new 1.8 to 2.8 Ω (House; shop rule)
	//
	// 1 of 1 record would be judged otherwise
	//
	//   C-1, as found
	//     unit: faulty, now undecided
	//     check ohms.value: fail, low, now pass
	//     fault shorted: suspected, now ruled out
	//     fault grounded: suspected, now not examined
}
