package peers

import (
	"slices"
	"testing"

	"github.com/brushgear/brushgear/testdata/peers/workload"
)

// A Contest is one kind of work that the library and a peer do on the same workload.
type Contest struct {
	Name  string
	Sides []Side // the library first
}

// A Side makes the work of one contestant: prepare does what need not be measured and returns what is.
type Side struct {
	Name    string
	prepare func(*workload.Workload) (func() error, error)
}

// Contests lists what is measured.
//
//	Judge          all checks and faults of one complete set, readings at hand
//	TakeAndJudge   the same from the raw readings of one set, as a shop does it with each unit
//	Compile        from the tree of the sheet to what can judge; the peer begins with the text of its program, the only way it offers
//	Load           the same from the text of the sheet
//	Parse          from the text of the sheet, and the same as HCL, to the tree
func Contests() []Contest {
	return []Contest{
		{"Judge", []Side{{"brushgear", judgeBrushgear}, {"expr", judgeExpr}}},
		{"TakeAndJudge", []Side{{"brushgear", takeBrushgear}, {"expr", takeExpr}}},
		{"Compile", []Side{{"brushgear", compileBrushgear}, {"expr", compileExpr}}},
		{"Load", []Side{{"brushgear", loadBrushgear}, {"expr", compileExpr}}},
		{"Parse", []Side{{"brushgear", parseBrushgear}, {"hcl", parseHCL}}},
	}
}

// Seed draws the workload that is measured, and Sets is its number of reading sets.
const (
	Seed = 1
	Sets = 64
)

// Bench measures the side.
func (s Side) Bench(b *testing.B) {
	work, err := s.prepare(workload.New(Seed, Sets))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := work(); err != nil {
			b.Fatal(err)
		}
	}
}

// Ratio measures the two sides in turn and returns the medians of both in nanoseconds.
func (c Contest) Ratio(rounds int) (ours, peer float64) {
	times := make([][]float64, 2)
	for range rounds {
		for i, s := range c.Sides {
			r := testing.Benchmark(s.Bench)
			times[i] = append(times[i], float64(r.T.Nanoseconds())/float64(r.N))
		}
	}
	return median(times[0]), median(times[1])
}

func median(x []float64) float64 {
	slices.Sort(x)
	return (x[(len(x)-1)/2] + x[len(x)/2]) / 2
}

// inTurn returns work that does one of n things at each call.
func inTurn(n int, do func(i int) error) func() error {
	i := 0
	return func() error {
		i = (i + 1) % n
		return do(i)
	}
}
