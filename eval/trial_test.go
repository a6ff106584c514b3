package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

const springSheet = `brushgear 1
family motor "Motor" {
  positions leg "leg" : u, v, w
  test pull "Spring force" { read force of leg : N  limit force at least 5 N  limit force alike 15 % by median }
  test volts "Volts" { read reading : V  limit reading at most 10 V  limit reading is steady }
  fault weak of leg "Spring weak" { shows pull.force[leg] low always  shows pull.force one_low always }
}
`

func trial(t *testing.T, expectations string) []string {
	t.Helper()
	return unmet(t, repairSheet+`trial "x" of motor { taken length.mm_left 5 mm `+expectations+` }`)
}

// unmet judges the first trial of a sheet.
func unmet(t *testing.T, sheet string) []string {
	t.Helper()
	b := mustBench(t, sheet)
	records, err := b.Records()
	require.NoError(t, err)
	j, err := b.Load(records[0])
	require.NoError(t, err, "a trial needs no date")
	v, err := j.Judge(t.Context())
	require.NoError(t, err)
	return v.Unmet(records[0])
}

func TestTrials(t *testing.T) {
	for expectation, want := range map[string]string{
		"gives length.mm_left is low":                 "",
		"gives length is low | worn":                  "",
		"gives length is fail":                        "",
		"gives runout is not_tested":                  "",
		"finds brushes_worn is shown":                 "",
		"finds comm_rough is possible | not_examined": "",
		"gives length is good":                        "gives length is good: it is low",
		"gives length is lw":                          "gives length: it has no outcome lw; known here: good, low, worn",
		"gives length is bad":                         "gives length: it has no outcome bad; known here: good, low, worn",
		"gives length is low | wron":                  "gives length: it has no outcome wron; did you mean worn?",
		"finds brushes_worn is shown | ruledout":      "finds brushes_worn: there is no status ruledout; write shown, suspected, possible, ruled_out or not_examined",
		"finds unit is faulty | servicable":           "finds unit: there is no word servicable; write serviceable, faulty, undecided, unexplained, no_fault_found, limits_met or limits_failed",
		"gives width is low":                          "gives width: there is no such check; known here: drop.lost, length.mm_left, runout.tir",
		"gives brushes_worn is shown":                 "gives brushes_worn: this is a fault and no check; write finds brushes_worn is shown, for instance",
		"finds brushes_worn is ruled_out":             "finds brushes_worn is ruled_out: it is shown",
		"finds brushes is shown":                      "finds brushes: this is a part and no fault; known here: brushes_worn, comm_rough",
		"finds fit_brushes is shown":                  "finds fit_brushes: this is a remedy and no fault; known here: brushes_worn, comm_rough",
		"finds length.mm_left is low":                 "finds length.mm_left: this is a check and no fault; write gives length.mm_left is good, for instance",
		"finds brush_worn is shown":                   "finds brush_worn: there is no such fault; did you mean brushes_worn?",
		"finds brushes_worn is likely":                "finds brushes_worn: there is no status likely; write shown, suspected, possible, ruled_out or not_examined",
	} {
		got := trial(t, expectation)
		if want == "" {
			require.Empty(t, got, expectation)
			continue
		}
		require.Equal(t, []string{want}, got, expectation)
	}
}

// TestTrialsOfPositions: lists, tests of several checks and faults of positions are named with the member that is meant.
func TestTrialsOfPositions(t *testing.T) {
	for expectation, want := range map[string]string{
		"gives pull.force[u] is low":     "",
		"finds weak[u] is shown":         "",
		"gives pull.force is low":        "gives pull.force: each member of the list has a check of its own; write gives pull.force[u], for instance",
		"gives pull is low":              "gives pull: the test has several checks; write gives pull.force[u], for instance",
		"finds weak is shown | possible": "finds weak: it can sit at each of its positions; write finds weak[u], for instance",
	} {
		got := unmet(t, springSheet+`trial "x" of motor { taken pull.force (4 7 7 N) `+expectation+" }")
		if want == "" {
			require.Empty(t, got, expectation)
		} else {
			require.Equal(t, []string{want}, got, expectation)
		}
	}
}

// TestMembersAreNamed: a verdict says which member of a list is the odd one, which was not read, and between what a reading jumped.
func TestMembersAreNamed(t *testing.T) {
	record := func(taken string) *eval.Verdict {
		return judged(t, springSheet+`record "r" of motor { judge 2026-03-02 pass as found { taken `+taken+" } }")
	}
	require.Equal(t, "force[v] 12 N", explained(t, record("pull.force (7 12 7 N)"), "pull.force.alike").Odd)
	require.Equal(t, "force[u] 4 N", explained(t, record("pull.force (4 7 7 N)"), "pull.force.alike").Odd)
	require.Empty(t, explained(t, record("pull.force (7 7 7 N)"), "pull.force.alike").Odd)
	require.Equal(t, "force[v] was not read", explained(t, record("pull.force (7 missing 7 N)"), "pull.force[v]").Why)
	require.Equal(t, "force[u], force[v] were not read", explained(t, record("pull.force (missing missing 7 N)"), "pull.force.alike").Why)
	require.Equal(t, "6 V to 9 V jumping", explained(t, record("volts.reading 6 V to 9 V jumping"), "volts.reading").Value)
}

// TestWhatSpeaksAgainst: where the bad reading of a test fits both explanations, the good one that does not is named first.
func TestWhatSpeaksAgainst(t *testing.T) {
	v := judged(t, `brushgear 1
family motor "Motor" {
  test look "Look" { read face : good | burnt limit face is good  read turning : free | rough limit turning is free }
  fault dirty "Commutator dirty" { shows look.face burnt always }
  fault jammed "Bearing dry, commutator dirty" { shows look.face burnt always  shows look.turning rough usually }
}
record "r" of motor { judge 2026-03-02 pass as found { taken look { face burnt, turning free } } }`)
	because := map[string][]string{}
	for _, f := range v.Explain().Passes[0].Faults {
		because[f.Name] = f.Because
	}
	require.Equal(t, []string{"compared with Commutator dirty:", "look.turning is good, look.face is burnt: speaks against it"}, because["jammed"])
}

// TestExampleTrials: the trials of the examples get what they expect.
func TestExampleTrials(t *testing.T) {
	files, err := dsl.ParseFS(examples.FS, "trials/bench_650.sheet")
	require.NoError(t, err)
	b, err := eval.Compile(files)
	require.NoError(t, err)
	records, err := b.Records()
	require.NoError(t, err)
	require.NotEmpty(t, records)
	for _, r := range records {
		require.NotEmpty(t, r.Expectation, r.Name)
		j, err := b.Load(r)
		require.NoError(t, err)
		v, err := j.Judge(t.Context())
		require.NoError(t, err)
		require.Empty(t, v.Unmet(r), r.Name)
	}
}
