package eval_test

import (
	"context"
	"encoding/json"
	"io"
	"io/fs"
	"path"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/report"
	"github.com/brushgear/brushgear/examples"
)

// exampleRecords returns the records of the examples.
func exampleRecords(t testing.TB) []*eval.Record {
	t.Helper()
	var list []*eval.Record
	names, err := fs.Glob(examples.FS, "records/*")
	require.NoError(t, err)
	for _, name := range names {
		data, err := fs.ReadFile(examples.FS, name)
		require.NoError(t, err)
		if path.Ext(name) == ".json" {
			r, err := eval.ReadRecord(data)
			require.NoError(t, err)
			list = append(list, r)
			continue
		}
		f, err := dsl.Parse(name, data)
		require.NoError(t, err)
		rs, err := eval.ReadRecords(f)
		require.NoError(t, err)
		list = append(list, rs...)
	}
	return list
}

// FuzzJudge feeds mangled records: whatever is taken in is judged without a panic, the same way twice, and into JSON that can be read.
func FuzzJudge(f *testing.F) {
	bench := exampleBench(f)
	for _, r := range exampleRecords(f) {
		data, err := json.Marshal(r)
		require.NoError(f, err)
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := eval.ReadRecord(data)
		if err != nil {
			return
		}
		j, err := bench.Load(r)
		if err != nil {
			return
		}
		v, err := j.Judge(context.Background())
		if err != nil {
			return
		}
		first := words(t, v)
		require.NoError(t, j.JudgeInto(context.Background(), v))
		require.Equal(t, first, words(t, v))
		for p := range v.Passes() {
			for c := range p.Checks() {
				if c.Result() == eval.NotTested || c.Result() == eval.NotApplicable {
					require.Empty(t, c.Outcome(), "%s was not read and has an outcome", c.Name())
				}
			}
		}
	})
}

// FuzzRecordText feeds mangled texts of records to a bench that has the families that they may be of.
func FuzzRecordText(f *testing.F) {
	bench := mustBench(f, plateSheet)
	f.Add("brushgear 1\n" + plateRecord)
	f.Add("brushgear 1\ntrial \"t\" of motor { taken free.current 51 A gives free.current is good finds hot is shown }")
	f.Fuzz(func(t *testing.T, text string) {
		parsed, err := dsl.Parse("fuzz.sheet", []byte(text))
		if err != nil {
			return
		}
		records, err := eval.ReadRecords(parsed)
		if err != nil {
			return
		}
		for _, r := range records {
			j, err := bench.Load(r)
			if err != nil {
				require.NotContains(t, err.Error(), "%!")
				continue
			}
			v, err := j.Judge(context.Background())
			if err != nil {
				continue
			}
			first := words(t, v)
			data, err := json.Marshal(r)
			require.NoError(t, err)
			again, err := eval.ReadRecord(data)
			require.NoError(t, err, string(data))
			j, err = bench.Load(again)
			require.NoError(t, err, string(data))
			require.NoError(t, j.JudgeInto(context.Background(), v))
			require.Equal(t, first, words(t, v))
		}
	})
}

// FuzzCompile feeds mangled sheets: the compiler never panics, not even on a file that could not be read in full, and what it takes judges its own
// records.
func FuzzCompile(f *testing.F) {
	for _, dir := range []string{"sheets", "trials", "."} {
		names, err := fs.Glob(examples.FS, path.Join(dir, "*.sheet"))
		require.NoError(f, err)
		for _, name := range names {
			data, err := fs.ReadFile(examples.FS, name)
			require.NoError(f, err)
			f.Add(string(data))
		}
	}
	for _, sheet := range smallSheets {
		f.Add(sheet)
	}
	f.Fuzz(func(t *testing.T, sheet string) { compileAndJudge(t, sheet) })
}

// smallSheets are rich in statements for their length.
var smallSheets = []string{tradeSheet, bridgeSheet, firstEdition, layersSheet, inFamily(""), inTest("read x of phase : Ω correct x by copper from winding_temp limit x 2.4 to 2.8 Ω at winding_temp 20 °C"), family("read x : V limit x at most 5 V", "taken t.x 4 V")}

// compileAndJudge compiles what can be read of a sheet, and judges its records and its families as far as it can be used.
func compileAndJudge(t require.TestingT, sheet string) {
	parsed, parseErr := dsl.Parse("mangled.sheet", []byte(sheet))
	if parsed == nil {
		return
	}
	bench, err := eval.Compile([]*dsl.File{parsed})
	if err != nil {
		require.NotContains(t, err.Error(), "%!")
		return
	}
	require.NoError(t, parseErr, "a file with errors compiles")
	for _, d := range bench.ProveKnowledge() {
		require.NotEmpty(t, d.Help, d.Message)
		require.Positive(t, d.Range.Pos.Line, d.Message)
	}
	for _, name := range bench.Families() {
		_, err := bench.Contents(name)
		require.NoError(t, err)
	}
	require.Empty(t, eval.CompareEditions(bench, bench))
	if records, err := bench.Records(); err == nil {
		for _, r := range records {
			if j, err := bench.Load(r); err == nil {
				verdictOf(t, j)
			}
		}
	}
	for _, name := range bench.Families() {
		j, err := bench.Open(name)
		require.NoError(t, err)
		verdictOf(t, j)
	}
}

func verdictOf(t require.TestingT, j *eval.Job) {
	v, err := j.Judge(context.Background())
	if err != nil {
		return
	}
	e := v.Explain()
	require.NoError(t, report.Text(io.Discard, e))
	_, err = json.Marshal(e)
	require.NoError(t, err)
}

// TestMangledSheets puts words of a sheet in the places of others: nothing panics.
func TestMangledSheets(t *testing.T) {
	words := regexp.MustCompile(`[A-Za-z_][A-Za-z0-9_]*|-?[0-9.]+( [A-Za-zΩ°%]+)?`)
	rapid.Check(t, func(t *rapid.T) {
		sheet := rapid.SampledFrom(smallSheets).Draw(t, "sheet")
		for range rapid.IntRange(1, 3).Draw(t, "times") {
			places := words.FindAllStringIndex(sheet, -1)
			at := places[rapid.IntRange(0, len(places)-1).Draw(t, "at")]
			by := places[rapid.IntRange(0, len(places)-1).Draw(t, "by")]
			sheet = sheet[:at[0]] + sheet[by[0]:by[1]] + sheet[at[1]:]
		}
		compileAndJudge(t, sheet)
	})
}
