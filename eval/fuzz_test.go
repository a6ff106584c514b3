package eval_test

import (
	"context"
	"encoding/json"
	"io/fs"
	"path"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
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

// FuzzCompile feeds mangled sheets: the compiler never panics, and what it takes judges its own records.
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
	f.Add(tradeSheet)
	f.Fuzz(func(t *testing.T, sheet string) {
		parsed, err := dsl.Parse("fuzz.sheet", []byte(sheet))
		if err != nil {
			return
		}
		bench, err := eval.Compile([]*dsl.File{parsed})
		if err != nil {
			require.False(t, strings.Contains(err.Error(), "%!"), err.Error())
			return
		}
		records, err := bench.Records()
		if err != nil {
			return
		}
		for _, r := range records {
			if j, err := bench.Load(r); err == nil {
				if v, err := j.Judge(context.Background()); err == nil {
					words(t, v)
				}
			}
		}
		for _, name := range bench.Families() {
			j, err := bench.Open(name)
			require.NoError(t, err)
			if v, err := j.Judge(context.Background()); err == nil {
				words(t, v)
			}
		}
	})
}
