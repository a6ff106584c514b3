package diagnose_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"net/url"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/dsl/diagnose"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func sarifSample(t *testing.T) []byte {
	t.Helper()
	files := []*dsl.File{parse(t, "motor.sheet", sheet)}
	related := at(t, "sample-two", dsl.Hint, "limit current")
	related.Related = []dsl.Related{{Range: at(t, "sample-two", dsl.Warning, "current : A").Range, Message: "it is read here"}}
	edited := at(t, "unknown-name", dsl.Error, "fault worn")
	edited.Help = "did you mean torn?"
	edited.Edits = []dsl.Edit{{Range: edited.Range, Text: "torn"}, {Range: related.Range, Text: ""}}
	spaced := at(t, "sample-two", dsl.Warning, "shop hall")
	spaced.Range.Pos.Filename = "the shop/rules µ.sheet"
	absolute := at(t, "made-up", dsl.Warning, "shop hall")
	absolute.Range.Pos.Filename, absolute.Help = "/srv/sheets/a.sheet", ""
	list := dsl.Diagnostics{at(t, "sample-one", dsl.Warning, "limit current"), related, edited, spaced, absolute}
	var b bytes.Buffer
	require.NoError(t, diagnose.SARIF(&b, diagnose.RulesOf(files, "").Apply(list), "0.3.0"))
	return b.Bytes()
}

// The golden file was checked once by hand against a copy of the SARIF 2.1.0 schema from schemastore. What the standard itself asks for is held by the
// test below.
func TestSARIFGolden(t *testing.T) {
	got := sarifSample(t)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile("testdata/findings.sarif", got, 0o644))
	}
	want, err := os.ReadFile("testdata/findings.sarif")
	require.NoError(t, err)
	require.Equal(t, string(want), string(got))
}

type object = map[string]any

// shape checks an object against a section of the standard: these properties must be there, and there are no others than these and those.
func shape(t *testing.T, v any, section string, must, may []string) object {
	t.Helper()
	o, ok := v.(object)
	require.True(t, ok, section)
	allowed := map[string]bool{}
	for _, name := range must {
		require.Contains(t, o, name, section)
		allowed[name] = true
	}
	for _, name := range may {
		allowed[name] = true
	}
	for name := range o {
		require.True(t, allowed[name], "%s has no property %s", section, name)
	}
	return o
}

func list(t *testing.T, v any, section string) []any {
	t.Helper()
	l, ok := v.([]any)
	require.True(t, ok, section)
	return l
}

// SARIF 2.1.0 (OASIS Standard with Approved Errata 01), https://docs.oasis-open.org/sarif/sarif/v2.1.0/. Section numbers from memory. The properties
// are those of the sections named that this program may write; which of them must be there is said in each section.
func TestSARIFShape(t *testing.T) {
	var log any
	require.NoError(t, json.Unmarshal(sarifSample(t), &log))
	text := func(v any, section string) {
		require.NotEmpty(t, shape(t, v, section, []string{"text"}, nil)["text"], section)
	}
	region := func(v any) {
		r := shape(t, v, "3.30 region", []string{"startLine", "startColumn", "endLine", "endColumn"}, nil)
		require.GreaterOrEqual(t, r["startLine"], 1.0)
		require.GreaterOrEqual(t, r["startColumn"], 1.0)
		require.GreaterOrEqual(t, r["endLine"], r["startLine"], "3.30.7")
	}
	artifact := func(v any) {
		uri := shape(t, v, "3.4 artifactLocation", []string{"uri"}, nil)["uri"].(string)
		u, err := url.Parse(uri)
		require.NoError(t, err, "3.10.1: a uri-reference as in RFC 3986")
		require.NotContains(t, uri, " ")
		require.Equal(t, u.IsAbs(), u.Scheme == "file")
	}
	location := func(v any, related bool) {
		must := []string{"physicalLocation"}
		if related {
			must = append(must, "id", "message")
		}
		l := shape(t, v, "3.28 location", must, nil)
		p := shape(t, l["physicalLocation"], "3.29 physicalLocation", []string{"artifactLocation", "region"}, nil)
		artifact(p["artifactLocation"])
		region(p["region"])
		if related {
			text(l["message"], "3.28.5")
		}
	}
	root := shape(t, log, "3.13 sarifLog", []string{"version", "runs"}, []string{"$schema"})
	require.Equal(t, "2.1.0", root["version"], "3.13.2")
	runs := list(t, root["runs"], "3.13.4")
	require.Len(t, runs, 1)
	run := shape(t, runs[0], "3.14 run", []string{"tool", "columnKind", "results"}, nil)
	require.Equal(t, "unicodeCodePoints", run["columnKind"], "3.14.27: columns count characters, not UTF-16 units")
	driver := shape(t, shape(t, run["tool"], "3.18 tool", []string{"driver"}, nil)["driver"], "3.19 toolComponent", []string{"name"}, []string{"version", "rules"})
	rules := list(t, driver["rules"], "3.19.23")
	ids := map[any]bool{}
	for _, r := range rules {
		rule := shape(t, r, "3.49 reportingDescriptor", []string{"id"}, []string{"shortDescription", "fullDescription"})
		require.False(t, ids[rule["id"]], "3.19.23: unique")
		ids[rule["id"]] = true
		text(rule["shortDescription"], "3.49.9")
		text(rule["fullDescription"], "3.49.10")
	}
	levels := map[any]bool{}
	fixes, related, suppressed := 0, 0, 0
	for _, v := range list(t, run["results"], "3.14.23") {
		r := shape(t, v, "3.27 result", []string{"ruleId", "ruleIndex", "level", "message", "locations"}, []string{"relatedLocations", "fixes", "suppressions"})
		levels[r["level"]] = true
		require.Contains(t, []any{"error", "warning", "note"}, r["level"], "3.27.10")
		text(r["message"], "3.27.11")
		require.Equal(t, r["ruleId"], rules[int(r["ruleIndex"].(float64))].(object)["id"], "3.27.6")
		locations := list(t, r["locations"], "3.27.12")
		require.NotEmpty(t, locations)
		location(locations[0], false)
		if v, ok := r["relatedLocations"]; ok {
			for _, l := range list(t, v, "3.27.22") {
				location(l, true)
				related++
			}
		}
		if v, ok := r["fixes"]; ok {
			for _, f := range list(t, v, "3.27.30") {
				fix := shape(t, f, "3.55 fix", []string{"artifactChanges"}, []string{"description"})
				text(fix["description"], "3.55.2")
				changes := list(t, fix["artifactChanges"], "3.55.3")
				require.NotEmpty(t, changes)
				for _, c := range changes {
					change := shape(t, c, "3.56 artifactChange", []string{"artifactLocation", "replacements"}, nil)
					artifact(change["artifactLocation"])
					replacements := list(t, change["replacements"], "3.56.3")
					require.NotEmpty(t, replacements)
					for _, p := range replacements {
						region(shape(t, p, "3.57 replacement", []string{"deletedRegion"}, []string{"insertedContent"})["deletedRegion"])
						fixes++
					}
				}
			}
		}
		if v, ok := r["suppressions"]; ok {
			for _, s := range list(t, v, "3.27.23") {
				s := shape(t, s, "3.35 suppression", []string{"kind"}, []string{"justification", "location"})
				require.Equal(t, "inSource", s["kind"], "3.35.2")
				require.NotEmpty(t, s["justification"])
				location(s["location"], false)
				suppressed++
			}
		}
	}
	require.Len(t, levels, 3)
	require.Equal(t, []int{2, 1, 1}, []int{fixes, related, suppressed})
}

// An empty list is a run without results, not a run that failed (3.14.23).
func TestSARIFOfNothing(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, diagnose.SARIF(&b, nil, ""))
	require.Contains(t, b.String(), `"results": []`)
	require.Contains(t, b.String(), `"rules": []`)
}
