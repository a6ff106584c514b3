package eval_test

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/eval/report"
)

// A hostile colleague writes records of the example families: readings that contradict each other, that cannot be, that are missing, void, taken under
// the wrong conditions or behind a shut gate.

// A malice is one reading of a record, and what was done to it.
type malice struct {
	test    string
	reading eval.Reading
	what    string
}

// hostile draws a record of a family: what every test reads is drawn without regard to the others.
func (s *simulator) hostile(t *rapid.T) []malice {
	s.rng = rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
	sound := rapid.IntRange(0, 3).Draw(t, "mostly sound") > 0 // gates open, and few faults shown
	var list []malice
	for _, k := range s.tests {
		if rapid.IntRange(0, 2).Draw(t, k.Name) == 0 {
			continue
		}
		st := s.good(k.Name)
		changes := rapid.IntRange(0, 4).Draw(t, "changes")
		if sound && changes > 1 {
			changes = 0
		}
		for range changes {
			st = s.changed(k.Name, st)
		}
		m := malice{k.Name, s.taken(k.Name, st), "as it is"}
		s.spoil(t, &m)
		list = append(list, m)
		if rapid.IntRange(0, 9).Draw(t, "again") == 0 {
			list = append(list, malice{k.Name, s.taken(k.Name, s.changed(k.Name, st)), "another reading of it"})
		}
	}
	return list
}

// spoil takes something from a reading: a value, a condition, its exactness.
func (s *simulator) spoil(t *rapid.T, m *malice) {
	one := func(from map[string]eval.Value) string {
		names := slices.Sorted(maps.Keys(from))
		return names[rapid.IntRange(0, len(names)-1).Draw(t, "which")]
	}
	switch rapid.IntRange(0, 9).Draw(t, "spoilt") {
	case 0:
		name := one(m.reading.Values)
		m.reading.Values[name], m.what = missing(m.reading.Values[name]), name+" missing"
	case 1:
		for name, v := range m.reading.Values {
			m.reading.Values[name] = missing(v)
		}
		m.what = "all missing"
	case 2:
		m.reading.Void, m.what = "the prod slipped", "void"
	case 3:
		if len(m.reading.At) > 0 {
			name := one(m.reading.At)
			if len(m.reading.At[name].Items()) == 0 {
				delete(m.reading.At, name)
				m.what = name + " not written down"
			}
		}
	case 4:
		if len(m.reading.At) > 0 {
			name := one(m.reading.At)
			m.reading.At[name] = scaled(m.reading.At[name], 7)
			m.what = name + " far off"
		}
	case 5, 6:
		name := one(m.reading.Values)
		m.reading.Values[name] = widened(m.reading.Values[name])
		m.what = name + " widened"
	}
}

// missing takes a value away; a list keeps its length.
func missing(v eval.Value) eval.Value {
	if n := len(v.Items()); n > 0 {
		return eval.List(make([]eval.Value, n)...)
	}
	return eval.Value{}
}

// scaled multiplies a number.
func scaled(v eval.Value, by float64) eval.Value {
	text := v.String()
	var x float64
	if n, _ := fmt.Sscan(text, &x); n == 1 && !strings.Contains(text, " to ") {
		_, unit, _ := strings.Cut(text, " ")
		return eval.MustValue(strings.TrimSpace(fmt.Sprintf("%.4g %s", x*by, unit)))
	}
	return v
}

// widened makes a range of a number, and leaves a list with one member missing.
func widened(v eval.Value) eval.Value {
	if items := v.Items(); len(items) > 1 {
		items[0] = eval.Value{}
		return eval.List(items...)
	}
	text := v.String()
	var x float64
	if n, _ := fmt.Sscan(text, &x); n == 1 && !strings.Contains(text, " to ") {
		_, unit, _ := strings.Cut(text, " ")
		return eval.MustValue(strings.TrimSpace(fmt.Sprintf("%.4g %s to %.4g %s", x*.6, unit, x*1.5+.01, unit)))
	}
	return v
}

func (s *simulator) record(t *rapid.T, list []malice) *eval.Verdict {
	j := s.open()
	for _, m := range list {
		t.Logf("%s %v at %v: %s", m.test, m.reading.Values, m.reading.At, m.what)
		if m.what != "left out" {
			require.NoError(t, j.Take(m.test, m.reading), "%s, %s", m.test, m.what)
		}
	}
	v, err := j.Judge(s.t.Context())
	require.NoError(t, err)
	return v
}

// hostileRecords calls check for random records of both families.
func hostileRecords(t *testing.T, check func(t *rapid.T, s *simulator, list []malice)) {
	for _, spans := range []unitSpans{tarnby, skerrow} {
		t.Run(spans.family, func(t *testing.T) {
			s := newSimulator(t, exampleBench(t), spans, 3)
			rapid.Check(t, func(t *rapid.T) { check(t, s, s.hostile(t)) })
		})
	}
}

// silent tells whether a check says nothing, whatever was written down for it.
func silent(c eval.Check) bool {
	switch c.Result() {
	case eval.NotTested, eval.NotValid, eval.NotApplicable:
		return true
	}
	return false
}

// TestNothingIsClearedByAbsence: a fault of which no check has a valid reading is not examined, and one that is ruled out tells which reading did it.
func TestNothingIsClearedByAbsence(t *testing.T) {
	hostileRecords(t, func(t *rapid.T, s *simulator, list []malice) {
		v := s.record(t, list)
		p := v.Last()
		because := map[string][]string{}
		for _, f := range p.FaultExplanations() {
			because[f.Name] = f.Because
		}
		for f := range p.Faults() {
			read := false
			for _, show := range s.faults[f.Name()].Shows {
				for _, name := range show.Checks {
					c, ok := p.Check(name)
					require.True(t, ok, name)
					read = read || !silent(c)
				}
			}
			status := f.Status()
			if !read {
				require.Equal(t, diagnosis.NotExamined, status, "%s: nothing was read of it", f.Name())
			}
			if status == diagnosis.RuledOut {
				require.NotEmpty(t, because[f.Name()], "%s is ruled out and no reading is named", f.Name())
			}
			if status == diagnosis.Shown || status == diagnosis.Suspected {
				require.NotEmpty(t, because[f.Name()], "%s is %s without a reason", f.Name(), status)
			}
			x := f.Probability()
			require.True(t, x >= 0 && x <= 1 && !math.IsNaN(x), "%s: %v", f.Name(), x)
		}
		if rapid.IntRange(0, 9).Draw(t, "in words") > 0 {
			return
		}
		var b bytes.Buffer
		require.NoError(t, report.Text(&b, v.Explain()))
		require.NotContains(t, b.String(), "NaN")
	})
}

// TestWhatDoesNotCountChangesNothing: tests that are void or missing as a whole, or not valid at every check, could as well not have been made.
func TestWhatDoesNotCountChangesNothing(t *testing.T) {
	hostileRecords(t, func(t *rapid.T, s *simulator, list []malice) {
		p := s.record(t, list).Last()
		fewer := slices.Clone(list)
		left := 0
		for i := range fewer {
			m := &fewer[i]
			if n := slices.IndexFunc(list, func(o malice) bool { return o.test == m.test && o.reading.Void == "" && m.what != o.what }); n >= 0 && m.what != "void" {
				continue // of several readings the others count
			}
			counts := m.what != "void" && m.what != "all missing"
			for _, value := range s.test(m.test).Values {
				for _, c := range value {
					check, _ := p.Check(c.Name)
					counts = counts && (check.Result() != eval.NotValid)
				}
			}
			if !counts && !s.leanedOn(m.test) {
				m.what = "left out"
				left++
			}
		}
		if left == 0 {
			return
		}
		q := s.record(t, fewer).Last()
		requireSameFaults(t, p, q)
	})
}

// leanedOn tells whether another test uses readings of a test.
func (s *simulator) leanedOn(test string) bool {
	for _, others := range s.spans.leaning {
		if slices.Contains(others, test) {
			return true
		}
	}
	return false
}

func requireSameFaults(t *rapid.T, p, q eval.PassVerdict) {
	for c := range p.Checks() {
		d, _ := q.Check(c.Name())
		if fmt.Sprint(c.Result(), c.Outcomes()) != fmt.Sprint(d.Result(), d.Outcomes()) {
			t.Logf("%s: %v %v, without %v %v", c.Name(), c.Result(), c.Outcomes(), d.Result(), d.Outcomes())
		}
	}
	require.Equal(t, p.Unit(), q.Unit())
	for f := range p.Faults() {
		g, _ := q.Fault(f.Name())
		require.Equal(t, f.Status(), g.Status(), f.Name())
		require.InDelta(t, f.Probability(), g.Probability(), 1e-9, f.Name())
	}
}
