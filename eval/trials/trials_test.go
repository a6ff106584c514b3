package trials_test

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/trials"
	"github.com/brushgear/brushgear/examples"
)

const motor = `brushgear 1
family motor "Motor" {
  part brushes "Brushes"
  test free_run "Free run" {
    read current : A
    read speed   : rpm
    limit current at most 58 A
    limit speed at least 4400 rpm
    outcome drag when current is high and speed is low
    outcome good when current is good and speed is good
    outcome odd otherwise
  }
  test look "Brushes" {
    read length : mm
    limit length at least 8.5 mm
  }
  fault worn "Brushes worn" {
    part brushes
    shows look.length low always
  }
}
`

const motorTrials = `brushgear 1
use "motor.sheet"

trial "drags" of motor {
  taken free_run { current 64 A, speed 3900 rpm }
  gives free_run is drag
}
trial "healthy" of motor {
  taken free_run { current 51 A, speed 4100 rpm }
  taken look.length 9.0 mm
  gives free_run is good
  gives look.length is good
  finds worn is shown
  gives free_running is good
}
trial "nothing" of motor {
  taken look.length 9 mm
}
trial "unknown reading" of motor {
  taken look.width 9 mm
  gives look.length is good
}
`

func files(texts ...string) fstest.MapFS {
	fsys := fstest.MapFS{}
	for i := 0; i < len(texts); i += 2 {
		fsys[texts[i]] = &fstest.MapFile{Data: []byte(texts[i+1])}
	}
	return fsys
}

func run(t *testing.T, o trials.Options) *trials.Report {
	t.Helper()
	s, err := trials.Load(files("motor.sheet", motor, "trials.sheet", motorTrials), "trials.sheet")
	require.NoError(t, err)
	r, err := s.Run(t.Context(), o)
	require.NoError(t, err)
	return r
}

func TestRun(t *testing.T) {
	r := run(t, trials.Options{})
	require.False(t, r.OK())
	var got []string
	for _, res := range r.Results {
		got = append(got, trials.Name(res.Trial)+" "+string(res.Status))
	}
	require.Equal(t, []string{"motor/drags passed", "motor/healthy failed", "motor/nothing failed", "motor/unknown reading broken"}, got)
	d := r.Results[1].Differences
	require.Len(t, d, 3)
	require.Equal(t, "good", d[0].Want)
	require.Equal(t, "odd", d[0].Came)
	require.Equal(t, 11, d[0].Place.Line)
	require.Empty(t, d[2].Came, "there is no such check")
	var list dsl.Diagnostics
	require.ErrorAs(t, r.Results[3].Err, &list)
}

func TestText(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, run(t, trials.Options{}).Text(&b))
	require.Equal(t, `trials.sheet:8:1: motor/healthy failed
     11 | gives free_run is good
          expected  good
          came      odd
          because   free_run.current 51 A, limit at most 58 A: good, pass
                    free_run.speed 4100 rpm, limit at least 4400 rpm: low, fail
                    free_run: odd, fail
     13 | finds worn is shown
          expected  shown
          came      ruled out
          because   it always shows look.length low, which is good
     14 | gives free_running is good
          gives free_running: there is no such check; known here: free_run, free_run.current, free_run.speed, look.length

trials.sheet:16:1: motor/nothing failed
     16 | trial "nothing" of motor {
          the trial expects nothing; write what it gives, or what it finds

trials.sheet:19:1: motor/unknown reading broken
  trials.sheet:20:3: taken look.width: test look has no value width; known here: length [bad-reading]

4 trials: 1 passed, 2 failed, 1 broken
`, b.String())
}

func TestFilter(t *testing.T) {
	r := run(t, trials.Options{Filter: regexp.MustCompile("^motor/dr")})
	require.Len(t, r.Results, 1)
	require.True(t, r.OK())
}

func TestFormats(t *testing.T) {
	r := run(t, trials.Options{})
	var b bytes.Buffer
	require.NoError(t, r.JSON(&b))
	var j struct {
		Schema, Passed, Failed, Broken int
		Trials                         []struct {
			Trial, Status string
			Differences   []struct{ Want, Came string }
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &j))
	require.Equal(t, trials.Schema, j.Schema)
	require.Equal(t, []int{1, 2, 1}, []int{j.Passed, j.Failed, j.Broken})
	require.Equal(t, "odd", j.Trials[1].Differences[0].Came)

	b.Reset()
	require.NoError(t, r.JUnit(&b))
	var x struct {
		Tests    int `xml:"tests,attr"`
		Failures int `xml:"failures,attr"`
		Errors   int `xml:"errors,attr"`
		Suites   []struct {
			Name  string `xml:"name,attr"`
			Cases []struct {
				Name    string `xml:"name,attr"`
				Line    int    `xml:"line,attr"`
				Failure *struct {
					Message string `xml:"message,attr"`
					Text    string `xml:",chardata"`
				} `xml:"failure"`
				Error *struct{} `xml:"error"`
			} `xml:"testcase"`
		} `xml:"testsuite"`
	}
	require.NoError(t, xml.Unmarshal(b.Bytes(), &x))
	require.Equal(t, []int{4, 2, 1}, []int{x.Tests, x.Failures, x.Errors})
	require.Len(t, x.Suites, 1)
	cases := x.Suites[0].Cases
	require.Nil(t, cases[0].Failure)
	require.Equal(t, "gives free_run is good: it is odd", cases[1].Failure.Message)
	require.Contains(t, cases[1].Failure.Text, "free_run.speed 4100 rpm")
	require.NotNil(t, cases[3].Error)
}

func TestLoad(t *testing.T) {
	fsys := files("motor.sheet", motor, "t/a.sheet", strings.Replace(motorTrials, "motor.sheet", "../motor.sheet", 1), "notes.txt", "no sheet")
	s, err := trials.Load(fsys)
	require.NoError(t, err)
	require.Len(t, s.Trials(), 4, "without patterns all sheets")
	s, err = trials.Load(fsys, "t/*.sheet", "t/a.sheet")
	require.NoError(t, err)
	require.Len(t, s.Trials(), 4, "a file named twice is read once")
	s, err = trials.Load(fsys, "motor.sheet")
	require.NoError(t, err)
	require.Empty(t, s.Trials())

	_, err = trials.Load(fsys, "u/*.sheet")
	require.ErrorContains(t, err, "no file matches u/*.sheet")
	_, err = trials.Load(fsys, "[")
	require.ErrorContains(t, err, "pattern [")
	_, err = trials.Load(fstest.MapFS{})
	require.ErrorContains(t, err, ".sheet")
	s, err = trials.Load(files("bad.sheet", "brushgear 1\npart x\n"))
	require.Error(t, err)
	require.Len(t, s.Files(), 1, "the sources are known, to show the lines")
}

func TestRunStops(t *testing.T) {
	s, err := trials.Load(files("motor.sheet", motor, "trials.sheet", motorTrials))
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = s.Run(ctx, trials.Options{})
	require.ErrorIs(t, err, context.Canceled)
}

func ExampleLoad() {
	suite, err := trials.Load(examples.FS, "trials/bench_650.sheet")
	if err != nil {
		fmt.Println(err)
		return
	}
	report, err := suite.Run(context.Background(), trials.Options{Filter: regexp.MustCompile("dead cell")})
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := report.Text(os.Stdout); err != nil {
		fmt.Println(err)
	}
	// Output: 1 trial: 1 passed
}
