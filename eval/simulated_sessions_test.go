package eval_test

import (
	"flag"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/diagnosis"
)

// Benches at work on simulated units: how often the right remedy is reached, at what cost, and how often the words for a fault are right.
//
//	go test ./eval -run 'TestSimulated(Bench|Words)' -v                       a small sample
//	go test ./eval -run 'TestSimulated(Bench|Words)' -v -units 4 -timeout 2h  four units for each fault

var (
	perFault = flag.Int("units", 0, "simulated units for each fault; 0 for a sample of faults, one unit each")
	traced   = flag.String("onlyfault", "", "a fault: only its units, and what is done on them")
)

// A session is one unit on the bench.
type session struct {
	s       *simulator
	u       *unit
	job     *eval.Job
	verdict eval.PassVerdict
	done    []string
	stage   int
	minutes float64
	slip    int // the test that is misread, counted from 1; 0 for none
	slipped string
}

// begin puts a unit on the bench. The battery was tried before, which costs every way of working the same.
func (s *simulator) begin(u *unit, slip int) *session {
	w := &session{s: s, u: u, job: s.open(), stage: 1, slip: slip}
	for _, gate := range []string{".look", ".open_circuit"} {
		s.take(w.job, s.spans.battery+gate, u.readings[s.spans.battery+gate])
	}
	w.verdict = s.judge(w.job).Last()
	return w
}

func (s *simulator) test(name string) eval.KnownTest {
	return s.tests[slices.IndexFunc(s.tests, func(k eval.KnownTest) bool { return k.Name == name })]
}

// make carries out a test, and judges. It tells whether its gates were open: a test that cannot be made costs nothing, for the bench reads the gate first.
func (w *session) make(name string) bool {
	k := w.s.test(name)
	again := slices.Contains(w.done, name)
	st := w.u.readings[name]
	if !again && w.slip > 0 && len(w.done)+1 == w.slip {
		st, w.slipped = w.s.slip(name, w.u), name
	}
	w.done = append(w.done, name)
	w.s.take(w.job, name, st)
	w.verdict = w.s.judge(w.job).Last()
	for _, value := range k.Values {
		for _, c := range value {
			if check, _ := w.verdict.Check(c.Name); check.Result() == eval.NotValid {
				return false
			}
		}
	}
	w.minutes += k.Minutes + w.verdict.Teardown(w.stage, k.Stage)
	w.stage = k.Stage
	return true
}

// plan makes the tests that the verdict proposes until it proposes none, or for the third time the same.
func (w *session) plan(greedy bool) {
	for len(w.done) < 2*len(w.s.tests) {
		name, err := w.verdict.Next(greedy)
		require.NoError(w.s.t, err)
		if name == "" || w.count(name) > 1 {
			return
		}
		w.make(name)
	}
}

func (w *session) count(name string) int {
	n := 0
	for _, d := range w.done {
		if d == name {
			n++
		}
	}
	return n
}

// best is the likeliest remedy, empty for none, and its stage.
func (w *session) best() (best string, stage int) {
	shares, stages := w.verdict.Remedies()
	for _, r := range slices.Sorted(maps.Keys(shares)) {
		if shares[r] > shares[best]*(1+1e-9) {
			best = r
		}
	}
	return best, stages[best]
}

// remedied tells whether the likeliest remedy is the one that the faults of the unit need, what opening it takes, for the right one after a wrong one too,
// and what it costs if it is wrong.
func (w *session) remedied() (right bool, opening, regret float64) {
	want, needs, regret := w.verdict.RemedyOf(w.u.faults)
	best, stage := w.best()
	opening = w.verdict.Opening(w.stage, stage)
	if best == want {
		return true, opening, 0
	}
	if opening > 0 {
		return false, opening + w.verdict.Opening(stage, needs), regret
	}
	return false, w.verdict.Opening(w.stage, needs), regret
}

// A way of working, with what it came to.
type way struct {
	name                         string
	units, right                 int
	tests                        int
	minutes, opening, regret     float64
	weight, weighed, rightWeight float64
	wrong                        map[string]int
}

func (y *way) add(w *session, prior float64) {
	right, opening, regret := w.remedied()
	y.units++
	y.tests += len(w.done)
	y.minutes += w.minutes
	y.opening += opening
	y.regret += regret
	y.weight += prior
	if right {
		y.right++
		y.rightWeight += prior
	} else {
		y.wrong[strings.Join(w.u.faults, "+")]++
	}
	y.weighed += prior * (w.minutes + opening + regret)
}

func (y *way) cost() float64 { return (y.minutes + y.opening + y.regret) / float64(y.units) }

func (y *way) String() string {
	n := float64(y.units)
	return fmt.Sprintf("%-28s %5d units, right %5.1f %%, %5.1f tests, %6.1f min, opening for the remedy %4.1f min, wrong remedies %5.1f min, cost %6.1f min; by frequency right %5.1f %%, cost %6.1f min",
		y.name, y.units, 100*float64(y.right)/n, float64(y.tests)/n, y.minutes/n, y.opening/n, y.regret/n, y.cost(), 100*y.rightWeight/y.weight, y.weighed/y.weight)
}

// units calls yield with simulated units: for each fault, or for a sample of the faults.
func (s *simulator) units(yield func(fault string, u *unit)) {
	for i, f := range s.order {
		const every = 9
		if *traced != "" && f != *traced || *traced == "" && *perFault == 0 && i%every != 3 {
			continue
		}
		for range max(1, *perFault) {
			yield(f, s.unit(f))
		}
	}
}

// TestSimulatedBench lets the plan choose the tests of simulated units, and compares with all tests in the order of the sheet, with that order until
// the plan would stop, and with the largest gain first.
func TestSimulatedBench(t *testing.T) {
	for _, spans := range []unitSpans{tarnby, skerrow} {
		s := newSimulator(t, exampleBench(t), spans, 7)
		ways := []*way{{name: "plan"}, {name: "largest gain first"}, {name: "sheet order till certain"}, {name: "all tests in sheet order"}, {name: "plan, a test misread"}}
		for _, y := range ways {
			y.wrong = map[string]int{}
		}
		s.units(func(f string, u *unit) {
			prior := s.faults[f].Prior
			for i, y := range ways {
				w := s.begin(u, 0)
				switch i {
				case 0:
					w.plan(false)
				case 1:
					w.plan(true)
				case 2:
					s.inOrder(w, true)
				case 3:
					s.inOrder(w, false)
				case 4:
					w.slip = 1 + s.rng.IntN(4)
					w.plan(false)
				}
				y.add(w, prior)
				if f == *traced {
					right, _, _ := w.remedied()
					shares, _ := w.verdict.Remedies()
					t.Log(u.faults, y.name, right, w.minutes, w.done, w.slipped, shares)
				}
			}
		})
		for _, y := range ways {
			t.Log(spans.family, y)
		}
		if testing.Verbose() {
			for _, y := range ways {
				t.Log(y.name, "wrong:", y.wrong)
			}
		}
		require.LessOrEqual(t, ways[0].cost(), ways[3].cost(), "the plan is dearer than all tests in the order of the sheet")
	}
}

// inOrder makes the tests of the unit itself in sheet order: all of them, or until a fault is found and the plan would stop.
func (s *simulator) inOrder(w *session, stops bool) {
	for _, k := range s.tests {
		if strings.HasPrefix(k.Name, s.spans.battery+".") {
			continue
		}
		if best, _ := w.best(); stops && best != "" {
			pl, err := w.verdict.Plan(s.t.Context(), 0)
			require.NoError(s.t, err)
			if pl == nil {
				return
			}
			if _, more := pl.Next(); !more {
				return
			}
		}
		w.make(k.Name)
	}
}

// hits counts words.
type hits struct {
	name                                        string
	units, unexplained, shown, shownRight, none int
	cleared, clearedWrong                       int
	words                                       map[diagnosis.Status]int // of the fault that is there
	wrong                                       map[string]int
}

func (h *hits) add(p eval.PassVerdict, u *unit) {
	h.units++
	if p.Unit() == eval.Unexplained {
		h.unexplained++
	}
	shown := false
	for f := range p.Faults() {
		there := slices.Contains(u.faults, f.Name())
		s := f.Status()
		switch {
		case s == diagnosis.Shown:
			h.shown++
			shown = true
			if there {
				h.shownRight++
			} else {
				h.wrong[strings.Join(u.faults, "+")+" taken for "+f.Name()]++
			}
		case s == diagnosis.RuledOut:
			h.cleared++
			if there {
				h.clearedWrong++
				h.wrong[strings.Join(u.faults, "+")+": cleared "+f.Name()]++
			}
		}
		if f.Name() == u.faults[0] {
			h.words[s]++
		}
	}
	if !shown {
		h.none++
	}
}

func (h *hits) String() string {
	return fmt.Sprintf("%-24s %5d units: shown right %d of %d, ruled out wrong %d of %d, unexplained %d, nothing shown %d; the fault itself: %v",
		h.name, h.units, h.shownRight, h.shown, h.clearedWrong, h.cleared, h.unexplained, h.none, h.words)
}

// TestSimulatedWords counts how often the words for faults are right, with all tests or half of them made, and with one of them misread.
func TestSimulatedWords(t *testing.T) {
	for _, spans := range []unitSpans{tarnby, skerrow} {
		s := newSimulator(t, exampleBench(t), spans, 11)
		all := []*hits{{name: "all tests"}, {name: "half of the tests"}, {name: "all, one misread"}, {name: "half, one misread"}}
		for _, h := range all {
			h.words, h.wrong = map[diagnosis.Status]int{}, map[string]int{}
		}
		s.units(func(f string, u *unit) {
			for i, h := range all {
				tests := slices.Clone(s.tests)
				if i%2 == 1 {
					s.rng.Shuffle(len(tests), func(a, b int) { tests[a], tests[b] = tests[b], tests[a] })
					tests = tests[:len(tests)/2]
				}
				misread := -1
				if i >= 2 {
					misread = s.rng.IntN(len(tests))
				}
				j := s.open()
				for _, gate := range s.tests { // in sheet order
					at := slices.IndexFunc(tests, func(k eval.KnownTest) bool { return k.Name == gate.Name })
					switch {
					case at < 0:
					case at == misread:
						s.take(j, gate.Name, s.slip(gate.Name, u))
					default:
						s.take(j, gate.Name, u.readings[gate.Name])
					}
				}
				p := s.judge(j).Last()
				h.add(p, u)
				if i < 2 {
					for g := range p.Faults() {
						if slices.Contains(u.faults, g.Name()) && g.Status() == diagnosis.RuledOut && f == *traced {
							t.Log(u.faults, "cleared", g.Name())
						}
					}
				}
			}
		})
		for _, h := range all {
			t.Log(spans.family, h)
			if testing.Verbose() {
				t.Log(h.wrong)
			}
		}
		for _, h := range all[:2] { // what is always shown is not shown in one unit of a hundred
			require.LessOrEqual(t, h.clearedWrong*33, h.units, "faults that are there are ruled out without a misread test")
		}
	}
}
