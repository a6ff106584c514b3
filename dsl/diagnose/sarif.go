package diagnose

import (
	"io"
	"net/url"
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// SARIF, the Static Analysis Results Interchange Format, is an OASIS standard: https://docs.oasis-open.org/sarif/sarif/v2.1.0/. The numbers
// below are its sections, from memory.

type (
	sarifLog struct { // 3.13
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct { // 3.14
		Tool       sarifTool     `json:"tool"`
		ColumnKind string        `json:"columnKind"`
		Results    []sarifResult `json:"results"`
	}
	sarifTool struct { // 3.18
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct { // 3.19
		Name    string      `json:"name"`
		Version string      `json:"version,omitempty"`
		Rules   []sarifRule `json:"rules"`
	}
	sarifRule struct { // 3.49
		ID    string    `json:"id"`
		Short sarifText `json:"shortDescription"`
		Full  sarifText `json:"fullDescription"`
	}
	sarifText struct { // 3.11
		Text string `json:"text"`
	}
	sarifResult struct { // 3.27
		RuleID       string             `json:"ruleId"`
		RuleIndex    int                `json:"ruleIndex"`
		Level        string             `json:"level"`
		Message      sarifText          `json:"message"`
		Locations    []sarifLocation    `json:"locations"`
		Related      []sarifLocation    `json:"relatedLocations,omitempty"`
		Fixes        []sarifFix         `json:"fixes,omitempty"`
		Suppressions []sarifSuppression `json:"suppressions,omitempty"`
	}
	sarifLocation struct { // 3.28
		ID       *int          `json:"id,omitempty"`
		Physical sarifPhysical `json:"physicalLocation"`
		Message  *sarifText    `json:"message,omitempty"`
	}
	sarifPhysical struct { // 3.29
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   sarifRegion   `json:"region"`
	}
	sarifArtifact struct { // 3.4
		URI string `json:"uri"`
	}
	sarifRegion struct { // 3.30
		StartLine   int `json:"startLine"`
		StartColumn int `json:"startColumn"`
		EndLine     int `json:"endLine"`
		EndColumn   int `json:"endColumn"`
	}
	sarifFix struct { // 3.55
		Description sarifText     `json:"description"`
		Changes     []sarifChange `json:"artifactChanges"`
	}
	sarifChange struct { // 3.56
		Artifact     sarifArtifact      `json:"artifactLocation"`
		Replacements []sarifReplacement `json:"replacements"`
	}
	sarifReplacement struct { // 3.57
		Deleted  sarifRegion `json:"deletedRegion"`
		Inserted sarifText   `json:"insertedContent"`
	}
	sarifSuppression struct { // 3.35
		Kind          string        `json:"kind"`
		Justification string        `json:"justification"`
		Location      sarifLocation `json:"location"`
	}
)

const sarifSchema = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"

// SARIF writes findings in the form SARIF 2.1.0, which editors and build servers read. Accepted findings are there as suppressed in the source,
// with their reason. A hint is a note there. Version is that of the program that writes; it may be empty.
func SARIF(w io.Writer, findings []Finding, version string) error {
	run := sarifRun{
		Tool:       sarifTool{sarifDriver{Name: "brushgear", Version: version, Rules: []sarifRule{}}},
		ColumnKind: "unicodeCodePoints",
		Results:    []sarifResult{},
	}
	rules := map[dsl.Code]int{}
	for _, f := range findings {
		i, ok := rules[f.Code]
		if !ok {
			i = len(run.Tool.Driver.Rules)
			rules[f.Code] = i
			run.Tool.Driver.Rules = append(run.Tool.Driver.Rules, sarifRuleOf(f.Code))
		}
		run.Results = append(run.Results, sarifResultOf(f, i))
	}
	return encode(w, sarifLog{Schema: sarifSchema, Version: "2.1.0", Runs: []sarifRun{run}})
}

func sarifRuleOf(c dsl.Code) sarifRule {
	info, ok := dsl.Explain(c)
	if !ok {
		info.Title, info.Why = string(c), string(c)
	}
	return sarifRule{string(c), sarifText{info.Title}, sarifText{info.Why}}
}

var sarifLevels = map[dsl.Severity]string{dsl.Error: "error", dsl.Warning: "warning", dsl.Hint: "note"}

func sarifResultOf(f Finding, rule int) sarifResult {
	r := sarifResult{RuleID: string(f.Code), RuleIndex: rule, Level: sarifLevels[f.Severity], Message: sarifText{sentence(f.Message, f.Help)}}
	r.Locations = []sarifLocation{sarifPlace(f.Range)}
	for i, rel := range f.Related {
		l := sarifPlace(rel.Range)
		l.ID, l.Message = &i, &sarifText{rel.Message}
		r.Related = append(r.Related, l)
	}
	if len(f.Edits) > 0 {
		r.Fixes = []sarifFix{{Description: sarifText{sentence(f.Help, "")}, Changes: sarifChanges(f.Edits)}}
	}
	if f.Accepted != nil {
		r.Suppressions = []sarifSuppression{{"inSource", f.Accepted.Reason.String(), sarifPlace(f.Accepted.Range)}}
	}
	return r
}

// sentence joins a message and its help as 3.11 wants messages: whole sentences.
func sentence(message, help string) string {
	text := message
	if help != "" {
		text += "; " + help
	}
	if text == "" || strings.HasSuffix(text, "?") || strings.HasSuffix(text, ".") {
		return text
	}
	return text + "."
}

func sarifChanges(edits []dsl.Edit) []sarifChange {
	var changes []sarifChange
	at := map[string]int{}
	for _, e := range edits {
		name := e.Range.Pos.Filename
		i, ok := at[name]
		if !ok {
			i = len(changes)
			at[name] = i
			changes = append(changes, sarifChange{Artifact: sarifArtifact{sarifURI(name)}})
		}
		changes[i].Replacements = append(changes[i].Replacements, sarifReplacement{sarifRegionOf(e.Range), sarifText{e.Text}})
	}
	return changes
}

func sarifPlace(r dsl.Range) sarifLocation {
	return sarifLocation{Physical: sarifPhysical{sarifArtifact{sarifURI(r.Pos.Filename)}, sarifRegionOf(r)}}
}

// sarifURI makes a relative reference of a file name (3.4.3), an absolute one of an absolute name.
func sarifURI(name string) string {
	u := url.URL{Path: name}
	if strings.HasPrefix(name, "/") {
		u.Scheme = "file"
	}
	return u.String()
}

func sarifRegionOf(r dsl.Range) sarifRegion {
	return sarifRegion{r.Pos.Line, r.Pos.Column, r.EndPos.Line, r.EndPos.Column}
}
