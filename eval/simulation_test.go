package eval

import (
	"context"
	"flag"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/eval/plan"
)

var simulations = flag.Int("simulations", 0, "units to simulate for each fault of the example families; 0: one for each ninth fault")

// simulated is a unit at the bench: its outcomes are drawn from what the sheet says of its faults, and set without readings.
type simulated struct {
	v       *Verdict
	p       PassVerdict
	rng     *rand.Rand
	faults  []int32
	slip    int // the test of the table that is misread, -1 for none
	minutes float64
	at      int // stage of the plan
	seq     int
}

func simulatedUnit(t *testing.T, bench *Bench, family, battery, unit string, rng *rand.Rand, faults []int32) *simulated {
	t.Helper()
	job, err := bench.Open(family)
	require.NoError(t, err)
	require.NoError(t, job.Include(unit, battery))
	require.NoError(t, job.SetDate("2026-03-04"))
	require.NoError(t, job.Begin(Round{Stage: AsFound}))
	v, err := job.Judge(context.Background())
	require.NoError(t, err)
	s := &simulated{v: v, p: v.Last(), rng: rng, faults: faults, slip: -1, at: 1}
	return s
}

// make makes a test of the table: it costs its minutes and the way to its stage, and its checks get their outcomes. A gate that is shut leaves it without.
func (s *simulated) make(test int) {
	x := &Plan{pass: s.p}
	prog, state := s.v.program, s.p.state()
	s.minutes += x.minutes(test) + s.way(x, x.stageOf(test))
	s.at = max(1, x.stageOf(test))
	bt := &prog.tests[prog.led[test]]
	s.seq++
	s.v.perfs = append(s.v.perfs, &performance{test: bt.t, unit: prog.units[bt.unit].name, seq: s.seq, program: prog})
	for _, n := range bt.needs {
		if n.n.gate != nil && !s.open(n.n.gate, bt.unit) {
			return
		}
	}
	checks, drawn := prog.table.Draw(s.rng, test, s.faults)
	for i, c := range checks {
		o, k := drawn[i], &prog.checks[c]
		if s.slip == test {
			o = s.rng.IntN(len(k.results))
		}
		state.checks[c] = checkState{set: 1 << o, possible: 1 << o, outcome: int8(o), result: k.results[o], short: true, spoke: true, limit: -1}
		state.evidence.Possible[c] = 1 << o
	}
	prog.table.Judge(&state.evidence, state.findings)
	state.word = prog.word(state.checks)
	state.ranked.done = false
}

// open tells whether a gate is open: all that it asks for that was tested is as it asks.
func (s *simulated) open(o *outcomeRef, unit int) bool {
	for i := range s.v.program.checks {
		k := &s.v.program.checks[i]
		if st := &s.p.state().checks[i]; s.v.program.refersTo(o, unit, k) && (!st.spoke || st.set&maskOf(o, k) == 0) && k.c.kind != infoCheck {
			return false
		}
	}
	return true
}

// way is the minutes from the stage where the unit stands to another.
func (s *simulated) way(x *Plan, to int) float64 {
	problem := &plan.Problem{}
	x.stagesOf(problem)
	up := func(at int) (list []int) {
		for ; at > 0; at = problem.Stages[at].After {
			list = append(list, at)
		}
		return list
	}
	minutes, here, there := 0.0, up(s.at), up(max(1, to))
	for _, a := range here {
		if !slices.Contains(there, a) {
			minutes += problem.Stages[a].Back
		}
	}
	for _, a := range there {
		if !slices.Contains(here, a) {
			minutes += problem.Stages[a].Enter
		}
	}
	return minutes
}

// made tells whether a test of the table was made.
func (s *simulated) made(test int) bool {
	bt := &s.v.program.tests[s.v.program.led[test]]
	return slices.ContainsFunc(s.v.perfs, func(p *performance) bool { return p.test == bt.t && p.unit == s.v.program.units[bt.unit].name })
}

// remedy is what the readings call for: that of the likeliest stories together.
func (s *simulated) remedy() int {
	x := &Plan{pass: s.p}
	problem := &plan.Problem{}
	if !x.stories(problem) {
		return -1
	}
	sums := map[int]float64{}
	best := 0
	for i, id := range problem.Remedies {
		sums[id] += problem.Weights[i]
	}
	for id := range len(x.remedies) {
		if sums[id] > sums[best]*(1+1e-9) {
			best = id
		}
	}
	want, _ := x.remedy(s.faults)
	if want == best {
		return 1
	}
	return 0
}

// strategies choose the next test of the table, -1 to stop.
var strategies = []struct {
	name string
	next func(s *simulated) int
}{
	{"plan", func(s *simulated) int {
		return s.planned(func(p *plan.Problem) (*plan.Plan, error) { return p.Best(plan.Options{Nodes: 300}) })
	}},
	{"largest gain first", func(s *simulated) int {
		return s.planned(func(p *plan.Problem) (*plan.Plan, error) { return p.Greedy(plan.Options{}) })
	}},
	{"all in sheet order", func(s *simulated) int {
		for _, t := range s.v.program.order {
			test := int(s.v.program.testOf[t])
			if s.v.program.led[test] == t && s.v.program.tests[t].applies != canFalse && len(s.v.program.table.Tests[test].Values) > 0 && !s.made(test) {
				return test
			}
		}
		return -1
	}},
}

// planned takes the first test of a plan; when it stops without a fault, a test that the release still needs.
func (s *simulated) planned(best func(*plan.Problem) (*plan.Plan, error)) int {
	x, problem := s.p.problem()
	if problem != nil {
		problem.Stage = s.at
		for k, c := range x.tests {
			problem.Tests[k].Barred = problem.Tests[k].Barred || s.made(c.test)
		}
		p, err := best(problem)
		if err == nil {
			if c, more := p.Next(); more {
				return x.tests[c.Test].test
			}
		}
	}
	r, _ := s.p.ranking()
	if len(r.Stories) > 0 && len(r.Stories[0].Faults) > 0 {
		return -1
	}
	needed := s.v.program.release
	if len(needed) == 0 {
		needed = s.v.program.judged
	}
	for _, c := range needed {
		test := int(s.v.program.testOf[s.v.program.checks[c].test])
		if s.v.program.tests[s.v.program.led[test]].applies != canFalse && !s.made(test) && s.p.state().checks[c].result != NotApplicable {
			return test
		}
	}
	return -1
}

type tally struct {
	units, right, tests                            int
	minutes                                        float64
	often, oftenRight                              float64 // weighted by how often the faults occur
	shown, ruledOut, unexplained, wrongly, serving int
}

// TestSimulatedUnits draws units with each fault of the two example families, lets each strategy choose the tests, and counts how often the right remedy
// is reached and after how many minutes, a wrong remedy counted with what it costs. With slips, one test that is made is misread at random.
func TestSimulatedUnits(t *testing.T) {
	if testing.Short() {
		t.Skip("many plans: run without -short")
	}
	for _, f := range []struct{ family, battery, unit, sheet string }{
		{"tarnby_90", "bench_650", "battery", "sheets/tarnby.sheet"}, {"skerrow_20", "bench_650", "bench", "sheets/skerrow.sheet"},
	} {
		sheets, err := dsl.ParseFS(os.DirFS("../examples"), f.sheet, "sheets/bench_650.sheet")
		require.NoError(t, err)
		bench, err := Compile(sheets)
		require.NoError(t, err)
		for _, slips := range []bool{false, true} {
			totals := make([]tally, len(strategies))
			for k, strategy := range strategies {
				rng := rand.New(rand.NewPCG(7, 11))
				total := &totals[k]
				probe := simulatedUnit(t, bench, f.family, f.battery, f.unit, rng, nil)
				for fault := range probe.v.program.faults {
					times := *simulations
					if times == 0 && fault%9 == 0 {
						times = 1
					}
					for range times {
						s := simulatedUnit(t, bench, f.family, f.battery, f.unit, rng, []int32{int32(fault)})
						if slips {
							s.slip = rng.IntN(len(s.v.program.table.Tests))
						}
						s.run(strategy.next, total)
					}
				}
			}
			for k, strategy := range strategies {
				n := &totals[k]
				t.Logf("%-10s slips %-5v %-20s %4d units, right remedy %5.1f %% (as faults occur %5.1f %%), %5.1f tests, %6.1f min, with wrong remedies %6.1f min; shown right %d, shown wrong %d, ruled out wrong %d, unexplained %d, called good %d",
					f.family, slips, strategy.name, n.units, 100*float64(n.right)/float64(n.units), 100*n.oftenRight/n.often, float64(n.tests)/float64(n.units), n.minutes/float64(n.units),
					(n.minutes+defaultRegret*float64(n.units-n.right))/float64(n.units), n.shown, n.wrongly, n.ruledOut, n.unexplained, n.serving)
			}
			cost := func(n tally) float64 { return n.minutes + defaultRegret*float64(n.units-n.right) }
			require.Less(t, cost(totals[0]), cost(totals[2]), "a plan is dearer than all tests")
			if !slips {
				require.LessOrEqual(t, totals[0].ruledOut*50, totals[0].units, "the fault that is there is ruled out")
			}
		}
	}
}

func (s *simulated) run(next func(*simulated) int, total *tally) {
	total.units++
	for range 200 {
		test := next(s)
		if test < 0 {
			break
		}
		s.make(test)
		total.tests++
	}
	total.minutes += s.minutes
	right, weight := max(0, s.remedy()), s.v.program.table.Faults[s.faults[0]].Prior
	total.right += right
	total.often += weight
	total.oftenRight += weight * float64(right)
	for f := range s.p.Faults() {
		here := slices.Contains(s.faults, int32(f.i))
		switch status := f.Status(); {
		case here && (status == diagnosis.Shown || f.OneOf()):
			total.shown++
		case status == diagnosis.Shown && !here:
			total.wrongly++
		case here && status == diagnosis.RuledOut:
			total.ruledOut++
		}
	}
	switch s.p.Unit() {
	case Unexplained:
		total.unexplained++
	case Serviceable, LimitsMet, NoFaultFound:
		total.serving++
	}
}
