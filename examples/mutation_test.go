package examples_test

import (
	"context"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"
	"text/tabwriter"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/examples"
)

var allMutants = flag.Bool("mutants", false, "judge every mutant of the sheets, not only a sample")

// mutated are the sheets that get slips, each with the trials that belong to it.
var mutated = []struct{ sheet, trials string }{
	{"sheets/battery.sheet", "trials/bench_650*.sheet"},
	{"sheets/alternator_tests.sheet", "trials/tarnby_*.sheet"},
	{"sheets/alternator.sheet", "trials/tarnby_*.sheet"},
	{"sheets/tarnby.sheet", "trials/tarnby_*.sheet"},
	{"sheets/motor_tests.sheet", "trials/skerrow_*.sheet"},
	{"sheets/motor.sheet", "trials/skerrow_*.sheet"},
	{"sheets/skerrow.sheet", "trials/skerrow_*.sheet"},
}

// catch is what noticed a slip, the cheapest first.
type catch int

const (
	refused catch = iota // the sheet is not taken
	proved               // a proof finds something that it did not find before, or finds it worse
	tried                // a trial gets another verdict than it expects
	hinted               // a proof finds something that may be meant so
	survived
)

// The proofs and the trials of the examples notice nearly all slips that an author makes. Without -mutants a sample is taken.
func TestMutants(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	var list []mutant
	for _, s := range mutated {
		list = append(list, mutants(t, s.sheet)...)
	}
	if !*allMutants {
		list = sample(list, 8)
	}
	watch := map[string]*watcher{}
	for _, s := range mutated {
		if watch[s.trials] == nil {
			watch[s.trials] = newWatcher(t, s.trials)
		}
		watch[s.sheet] = watch[s.trials]
	}
	caught := make([]catch, len(list))
	var group sync.WaitGroup
	next := make(chan int)
	for range 2 {
		group.Go(func() {
			for i := range next {
				caught[i] = watch[list[i].file].look(t, list[i])
			}
		})
	}
	for i := range list {
		next <- i
	}
	close(next)
	group.Wait()

	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 4, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "slip\tall\trefused\twarning\ttrial\thint\tnone\tcaught\t")
	line := func(title string, kinds []string) float64 {
		var n [survived + 1]int
		all := 0
		for i, m := range list {
			if slices.Contains(kinds, m.kind) {
				n[caught[i]]++
				all++
			}
		}
		share := 1 - float64(n[survived])/float64(all)
		fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%d\t%d\t%d\t%.1f %%\t\n", title, all, n[refused], n[proved], n[tried], n[hinted], n[survived], 100*share)
		return share
	}
	for _, k := range namedKinds {
		line(k, []string{k})
	}
	share := line("these together", namedKinds)
	for _, k := range otherKinds {
		line(k, []string{k})
	}
	require.NoError(t, w.Flush())
	for i, m := range list {
		if caught[i] == survived {
			fmt.Fprintf(&b, "not noticed: %s: %s\n", m.kind, m)
		}
	}
	t.Log("\n" + b.String())
	require.GreaterOrEqual(t, share, .9)
}

// sample takes up to n mutants of each kind, always the same.
func sample(list []mutant, n int) []mutant {
	r := rand.New(rand.NewPCG(1, 2))
	var some []mutant
	for _, k := range slices.Concat(namedKinds, otherKinds) {
		of := slices.DeleteFunc(slices.Clone(list), func(m mutant) bool { return m.kind != k })
		r.Shuffle(len(of), func(i, j int) { of[i], of[j] = of[j], of[i] })
		some = append(some, of[:min(n, len(of))]...)
	}
	return some
}

// watcher looks at mutants with one set of trials.
type watcher struct {
	files  []*dsl.File // what is used before what uses it
	before map[finding]int
}

// finding is a finding without its words, which name other numbers when numbers change.
type finding struct {
	code     dsl.Code
	severity dsl.Severity
	file     string
	line     int
}

func newWatcher(t testing.TB, pattern string) *watcher {
	names, err := fs.Glob(examples.FS, pattern)
	require.NoError(t, err)
	w := &watcher{}
	w.files, err = dsl.ParseFS(examples.FS, names...)
	require.NoError(t, err)
	bench, err := eval.Compile(w.files)
	require.NoError(t, err)
	w.before = count(bench.Prove())
	failed, err := fails(t.Context(), bench)
	require.NoError(t, err)
	require.False(t, failed, "trials fail before there is a slip")
	return w
}

// fails tells whether a trial of the sheets does not get what it expects.
func fails(ctx context.Context, bench *eval.Bench) (bool, error) {
	records, err := bench.Records()
	if err != nil {
		return false, err
	}
	for _, r := range records {
		if !r.Trial {
			continue
		}
		job, err := bench.Load(r)
		if err != nil {
			return true, nil // a reading that the sheet does not take
		}
		v, err := job.Judge(ctx)
		if err != nil || len(v.Unmet(r)) > 0 {
			return true, nil
		}
	}
	return false, nil
}

// count says how often each finding is there.
func count(list dsl.Diagnostics) map[finding]int {
	n := map[finding]int{}
	for _, d := range list {
		n[finding{d.Code, d.Severity, d.Range.Pos.Filename, d.Range.Pos.Line}]++
	}
	return n
}

// news says whether there is a warning that was not there before, and whether there is such a hint.
func (w *watcher) news(list dsl.Diagnostics) (warning, hint bool) {
	for f, n := range count(list) {
		if n > w.before[f] {
			warning, hint = warning || f.severity != dsl.Hint, hint || f.severity == dsl.Hint
		}
	}
	return warning, hint
}

// look says what notices a mutant.
func (w *watcher) look(t *testing.T, m mutant) catch {
	file, err := dsl.Parse(m.file, []byte(m.source))
	if err != nil {
		return refused
	}
	files := slices.Clone(w.files)
	files[slices.IndexFunc(files, func(f *dsl.File) bool { return f.Name == m.file })] = file
	bench, err := eval.Compile(files)
	if err != nil {
		return refused
	}
	warning, hint := w.news(bench.ProveKnowledge())
	if warning {
		return proved
	}
	switch failed, err := fails(t.Context(), bench); {
	case err != nil:
		return refused
	case failed:
		return tried
	}
	warning, more := w.news(bench.ProveReadings())
	switch {
	case warning:
		return proved
	case hint || more:
		return hinted
	}
	return survived
}
