package trials

import (
	"encoding/json"
	"encoding/xml"
	"io"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// Schema is the number of the JSON form of a Report. It grows when a field changes its meaning or goes.
const Schema = 1

type jsonDifference struct {
	Place    dsl.Position `json:"at"`
	Expected string       `json:"expected,omitempty"`
	Want     string       `json:"want,omitempty"`
	Came     string       `json:"came,omitempty"`
	Message  string       `json:"message"`
	Because  []string     `json:"because,omitempty"`
}

type jsonResult struct {
	Trial       string           `json:"trial"`
	Family      string           `json:"family"`
	Place       dsl.Position     `json:"at"`
	Status      Status           `json:"status"`
	Differences []jsonDifference `json:"differences,omitempty"`
	Errors      []string         `json:"errors,omitempty"`
}

// MarshalJSON writes the results with their differences, how many trials have each status, and the coverage.
func (r *Report) MarshalJSON() ([]byte, error) {
	results := []jsonResult{}
	for _, res := range r.Results {
		j := jsonResult{Trial: res.Trial.Name, Family: res.Trial.Family, Place: res.Trial.Span().Pos, Status: res.Status, Errors: errorLines(res.Err)}
		for _, d := range res.Differences {
			j.Differences = append(j.Differences, jsonDifference(d))
		}
		results = append(results, j)
	}
	return json.Marshal(struct {
		Schema   int          `json:"schema"`
		Trials   []jsonResult `json:"trials"`
		Passed   int          `json:"passed"`
		Failed   int          `json:"failed"`
		Broken   int          `json:"broken"`
		Coverage *Coverage    `json:"coverage,omitempty"`
	}{Schema, results, r.Count(Passed), r.Count(Failed), r.Count(Broken), r.Coverage})
}

// JSON writes the report as indented JSON.
func (r *Report) JSON(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(r)
}

type (
	junitSuites struct {
		XMLName  xml.Name     `xml:"testsuites"`
		Tests    int          `xml:"tests,attr"`
		Failures int          `xml:"failures,attr"`
		Errors   int          `xml:"errors,attr"`
		Suites   []junitSuite `xml:"testsuite"`
	}
	junitSuite struct {
		Name     string      `xml:"name,attr"`
		Tests    int         `xml:"tests,attr"`
		Failures int         `xml:"failures,attr"`
		Errors   int         `xml:"errors,attr"`
		Cases    []junitCase `xml:"testcase"`
	}
	junitCase struct {
		Class   string     `xml:"classname,attr"`
		Name    string     `xml:"name,attr"`
		File    string     `xml:"file,attr"`
		Line    int        `xml:"line,attr"`
		Failure *junitText `xml:"failure"`
		Error   *junitText `xml:"error"`
	}
	junitText struct {
		Message string `xml:"message,attr"`
		Text    string `xml:",chardata"`
	}
)

// JUnit writes the report in the XML form that build servers read: a suite for each family, a case for each trial. Coverage is not part of it.
func (r *Report) JUnit(w io.Writer) error {
	out := junitSuites{Tests: len(r.Results), Failures: r.Count(Failed), Errors: r.Count(Broken)}
	at := map[string]int{}
	for _, res := range r.Results {
		family := res.Trial.Family
		if _, ok := at[family]; !ok {
			at[family] = len(out.Suites)
			out.Suites = append(out.Suites, junitSuite{Name: family})
		}
		s := &out.Suites[at[family]]
		s.Tests++
		c := junitCase{Class: family, Name: res.Trial.Name, File: res.Trial.Span().Pos.Filename, Line: res.Trial.Span().Pos.Line}
		var text strings.Builder
		r.failure(&text, res)
		switch res.Status {
		case Failed:
			s.Failures++
			c.Failure = &junitText{res.Differences[0].Message, text.String()}
		case Broken:
			s.Errors++
			c.Error = &junitText{errorLines(res.Err)[0], text.String()}
		}
		s.Cases = append(s.Cases, c)
	}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	enc := xml.NewEncoder(w)
	enc.Indent("", "  ")
	if err := enc.Encode(out); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}
