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
//	Judge          results of all checks and what is shown or ruled out, from one complete set, readings at hand
//	Rank           the same, and the word for the unit from all sets of one and two faults
//	JudgeMetered   the same read with instruments that state their accuracy, and some readings as ranges; the peer has no such thing
//	Figures        the same, and what every check compared, its margin and how far its outcomes are: worked out when first asked for
//	TakeAndJudge   the same from the raw readings of one set, as a shop does it with each unit
//	Compile        from the tree of the sheet to what can judge; the peer begins with the text of its program, the only way it offers
//	Load           the same from the text of the sheet
//	Parse          from the text of the sheet, and the same as HCL, to the tree
func Contests() []Contest {
	return []Contest{
		{"Judge", []Side{{"brushgear", judgeBrushgear}, {"expr", judgeExpr}}},
		{"Rank", []Side{{"brushgear", rankBrushgear}, {"expr", judgeExpr}}},
		{"JudgeMetered", []Side{{"brushgear", judgeMetered}, {"expr", judgeExpr}}},
		{"Figures", []Side{{"brushgear", figuresBrushgear}, {"expr", judgeExpr}}},
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

// A Ratio is the outcome of a contest: medians in nanoseconds of both sides, and the lowest and highest ratio of a round. When these lie far
// apart, something else kept the machine busy.
type Ratio struct {
	Ours, Peer float64
	Low, High  float64
}

// Value is below 1 if the library is faster.
func (r Ratio) Value() float64 { return r.Ours / r.Peer }

// Run measures both sides in turn, round after round.
func (c Contest) Run(rounds int) Ratio {
	var ours, peer, ratios []float64
	for range rounds {
		x, y := c.Sides[0].nanoseconds(), c.Sides[1].nanoseconds()
		ours, peer, ratios = append(ours, x), append(peer, y), append(ratios, x/y)
	}
	return Ratio{median(ours), median(peer), slices.Min(ratios), slices.Max(ratios)}
}

func (s Side) nanoseconds() float64 {
	r := testing.Benchmark(s.Bench)
	return float64(r.T.Nanoseconds()) / float64(r.N)
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
