package trials_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing/fstest"

	"github.com/brushgear/brushgear/eval/trials"
)

var batterySheets = fstest.MapFS{"battery.sheet": {Data: []byte(`brushgear 1
source house "House" status shop_rule
family bench_50 "Bench battery" {
  test rest "At rest" { read volts : V  limit volts at least 12.2 V per house }
}
trial "charged" of bench_50 { taken rest.volts 12.6 V  gives rest.volts is good }
trial "flat" of bench_50 { taken rest.volts 11.9 V  gives rest.volts is good }
`)}}

// The report of a run goes to a person, to a program, or to a build server.
func ExampleReport() {
	suite, err := trials.Load(batterySheets, "battery.sheet")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(suite.Files()), len(suite.Trials()), trials.Name(suite.Trials()[1]), suite.Bench().Families())
	report, err := suite.Run(context.Background(), trials.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(report.OK(), report.Count(trials.Passed), trials.Share(report.Count(trials.Passed), 2))
	for _, result := range report.Results {
		if result.Status != trials.Passed {
			_ = report.Failure(os.Stdout, result)
		}
	}
	var junit, program bytes.Buffer
	fmt.Println(errors.Join(report.JUnit(&junit), report.JSON(&program)))
	fmt.Println(strings.Count(junit.String(), "<testcase "), json.Valid(program.Bytes()))
	// Output:
	// 1 2 bench_50/flat [bench_50]
	// false 1 1 of 2 (50 %)
	// battery.sheet:7:1: bench_50/flat failed
	//       7 | trial "flat" of bench_50 { taken rest.volts 11.9 V  gives rest.volts is good }
	//           expected  good
	//           came      low
	//           because   rest.volts 11.9 V, limit at least 12.2 V: low, fail
	//
	// <nil>
	// 2 true
}

// Where no trial tries the edge of a limit, one is proposed.
func ExampleSuite_Propose() {
	suite, _ := trials.Load(batterySheets, "battery.sheet")
	ctx := context.Background()
	report, _ := suite.Run(ctx, trials.Options{})
	coverage, err := suite.Coverage(report, trials.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	tried, all := coverage.Families[0].Count("")
	fmt.Println(tried, "of", all)
	proposals, err := suite.Propose(ctx, report, coverage, trials.Options{})
	for _, p := range proposals {
		fmt.Println(p.Family, p.Name, p.Edge)
	}
	fmt.Println(err)
	// Output:
	// 1 of 4
	// bench_50 rest.volts 12.2 V
	// bench_50 rest.volts 12.2 V
	// <nil>
}
