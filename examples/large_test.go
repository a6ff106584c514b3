package examples_test

import (
	"fmt"
	"io/fs"
	"math/big"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

const largeLines = 5000

// large makes a catalogue out of the two machines: their kinds, and families with moved numbers until it has the lines. Its file is large.sheet.
func large(t testing.TB) fstest.MapFS {
	files := fstest.MapFS{}
	lines := 0
	for _, name := range []string{"practice", "battery", "alternator_tests", "alternator", "motor_tests", "motor"} {
		data, err := fs.ReadFile(examples.FS, "sheets/"+name+".sheet")
		require.NoError(t, err)
		files[name+".sheet"] = &fstest.MapFile{Data: data}
		lines += strings.Count(string(data), "\n")
	}
	var b strings.Builder
	b.WriteString("brushgear 1\nuse \"alternator.sheet\"\nuse \"motor.sheet\"\n")
	families := map[*dsl.File]*dsl.Block{}
	var origins []*dsl.File
	for _, name := range []string{"tarnby", "skerrow"} {
		data, err := fs.ReadFile(examples.FS, "sheets/"+name+".sheet")
		require.NoError(t, err)
		f, err := dsl.Parse(name, data)
		require.NoError(t, err)
		for _, d := range f.Decls {
			switch d := d.(type) {
			case *dsl.Block:
				families[f] = d
			case *dsl.Source:
				fmt.Fprintln(&b, edited(f.Source, d.Range, nil))
			}
		}
		origins = append(origins, f)
	}
	for i := 0; lines+strings.Count(b.String(), "\n") < largeLines; i++ {
		for _, f := range origins {
			fmt.Fprintf(&b, "\n%s\n", moved(f, families[f], i))
		}
	}
	files["large.sheet"] = &fstest.MapFile{Data: []byte(b.String())}
	return files
}

// moved is a family with another name, and with the bounds of all its limits raised by some of their last digits. Ranges keep their width, and
// curves their form.
func moved(f *dsl.File, family *dsl.Block, by int) string {
	edits := []edit{{family.Name.Range, fmt.Sprintf("%s_%d", family.Name, by)}}
	var visit func([]dsl.Stmt)
	visit = func(list []dsl.Stmt) {
		for _, st := range list {
			visit(dsl.Body(st))
			limit, ok := st.(*dsl.Limit)
			if ok && !strings.Contains(edited(f.Source, limit.Range, nil), "(") { // two units would no longer agree
				for _, q := range bounds(limit) {
					number, decimals := q.Text, 0
					if m := numberPattern.FindStringSubmatch(q.Text); m != nil {
						number, decimals = m[0], len(m[1])
					}
					edits = append(edits, edit{q.Range, raised(number, decimals, int64(by)) + q.Text[len(number):]})
				}
			}
		}
	}
	visit(family.Body)
	return edited(f.Source, family.Range, edits)
}

// raised moves a printed number by some of its last digits.
func raised(number string, decimals int, by int64) string {
	value, _ := new(big.Rat).SetString(number)
	step := new(big.Rat).SetFrac(big.NewInt(by), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil))
	return value.Add(value, step).FloatString(decimals)
}

// edited returns a stretch of the source with its edits made.
func edited(src string, r dsl.Range, edits []edit) string {
	slices.SortFunc(edits, func(x, y edit) int { return y.at.Pos.Offset - x.at.Pos.Offset })
	end := r.EndPos.Offset
	for _, e := range edits {
		from, to := e.at.Pos.Offset, e.at.EndPos.Offset
		src = src[:from] + e.to + src[to:]
		end += len(e.to) - (to - from)
	}
	return src[r.Pos.Offset:end]
}

// A catalogue of more than five thousand lines is read, compiled and proved at once, and there is nothing to say about it.
func BenchmarkProveLarge(b *testing.B) {
	files := large(b)
	lines := 0
	for _, f := range files {
		lines += strings.Count(string(f.Data), "\n")
	}
	require.GreaterOrEqual(b, lines, largeLines)
	for b.Loop() {
		parsed, err := dsl.ParseFS(files, "large.sheet")
		require.NoError(b, err)
		bench, err := eval.Compile(parsed)
		require.NoError(b, err)
		for _, d := range bench.Prove() {
			require.Equal(b, dsl.Hint, d.Severity, "%v", d)
		}
	}
	b.ReportMetric(float64(lines), "lines")
}
