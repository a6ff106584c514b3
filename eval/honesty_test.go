package eval

import (
	"context"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/examples"
)

// What a hostile reader would try: records with readings that are missing, void, stale, taken under wrong conditions, widened, or of two units at once.
// Nothing may be cleared because it was not looked at, and nothing condemned by a reading that does not count.

// hostile are the trials of the two example families, each one pass of readings.
func hostile(t testing.TB) (*Bench, []*Record) {
	t.Helper()
	bench, list := exampleRecords(t, "trials")
	list = slices.DeleteFunc(list, func(r *Record) bool { return len(r.Passes) != 1 })
	require.Greater(t, len(list), 100)
	return bench, list
}

// exampleRecords compiles the sheets of the examples and reads the trials or records of two families.
func exampleRecords(t testing.TB, folder string) (*Bench, []*Record) {
	t.Helper()
	files, err := dsl.ParseFS(examples.FS, "sheets/shop.sheet")
	require.NoError(t, err)
	bench, err := Compile(files)
	require.NoError(t, err)
	paths, err := fs.Glob(examples.FS, folder+"/*.sheet")
	require.NoError(t, err)
	var list []*Record
	for _, p := range paths {
		src, err := examples.FS.ReadFile(p)
		require.NoError(t, err)
		f, err := dsl.Parse(path.Base(p), src)
		require.NoError(t, err)
		records, err := ReadRecords(f)
		require.NoError(t, err)
		for _, r := range records {
			if r.Family == "tarnby_90" || r.Family == "skerrow_20" {
				list = append(list, r)
			}
		}
	}
	return bench, list
}

// spoilt draws what becomes of one reading of a record.
func spoilt(t *rapid.T, e Entry) (Entry, bool) {
	if e.Taken == "" {
		return e, true
	}
	e.Values, e.At = maps.Clone(e.Values), maps.Clone(e.At)
	change := func(f func(Value) Value) {
		if e.Value != nil {
			v := f(*e.Value)
			e.Value = &v
		}
		for _, name := range slices.Sorted(maps.Keys(e.Values)) {
			e.Values[name] = f(e.Values[name])
		}
	}
	switch rapid.IntRange(0, 9).Draw(t, "fate") {
	case 0:
		return e, false
	case 1:
		e.Void = "prod slipped"
	case 2:
		change(func(v Value) Value {
			if v.form == listForm {
				items := slices.Clone(v.items)
				items[rapid.IntRange(0, len(items)-1).Draw(t, "member")] = Value{}
				return Value{form: listForm, items: items}
			}
			return Value{}
		})
	case 3:
		half := rapid.SampledFrom([]float64{.01, .1, .5, 3}).Draw(t, "widened")
		change(func(v Value) Value { return widened(v, half) })
	case 4:
		for _, name := range slices.Sorted(maps.Keys(e.At)) {
			if v := e.At[name]; v.form == numberForm {
				e.At[name] = other(v, rapid.SampledFrom([]float64{.2, .8, 1.5, 4}).Draw(t, "condition"))
			}
		}
	case 5:
		e.At = nil
	case 6:
		by := rapid.SampledFrom([]float64{.01, .1, .5, 2, 10, 100}).Draw(t, "times")
		change(func(v Value) Value { return other(v, by) })
	}
	return e, true
}

// widened is a number known only within a share of its size.
func widened(v Value, half float64) Value {
	switch v.form {
	case listForm:
		items := slices.Clone(v.items)
		for i := range items {
			items[i] = widened(items[i], half)
		}
		return Value{form: listForm, items: items}
	case numberForm:
		low, high := other(v, 1-half), other(v, 1+half)
		if low.low.SI() > high.low.SI() {
			low, high = high, low
		}
		return Between(low.low, high.low)
	}
	return v
}

// other is another number in place of one.
func other(v Value, by float64) Value {
	switch v.form {
	case listForm:
		items := slices.Clone(v.items)
		for i := range items {
			items[i] = other(items[i], by)
		}
		return Value{form: listForm, items: items}
	case numberForm:
		u := v.low.Unit()
		return MustValue(strings.TrimSpace(fmt.Sprintf("%.6f %s", v.low.Value()*by, u)))
	}
	return v
}

// hostileRecord draws a record of one trial or of two together, with readings spoilt.
func hostileRecord(t *rapid.T, records []*Record) *Record {
	base := rapid.SampledFrom(records).Draw(t, "record")
	r := *base
	entries := slices.Clone(base.Passes[0].Entries)
	if rapid.Bool().Draw(t, "of two units") {
		var kin []*Record
		for _, k := range records {
			if k.Family == base.Family {
				kin = append(kin, k)
			}
		}
		for _, e := range rapid.SampledFrom(kin).Draw(t, "second").Passes[0].Entries {
			if rapid.Bool().Draw(t, "takes") {
				entries = append(entries, e)
			}
		}
	}
	r.Passes = []RecordPass{{Round: base.Passes[0].Round}}
	work := rapid.IntRange(-3*len(entries), len(entries)).Draw(t, "work before")
	for i, e := range entries {
		if i == work { // what was read of the part before is stale from here on
			remedy := rapid.SampledFrom(map[string][]string{
				"tarnby_90": {"fit_brushes", "fit_rotor", "fit_rectifier"}, "skerrow_20": {"fit_brushes", "fit_solenoid", "fit_armature"},
			}[base.Family]).Draw(t, "remedy")
			r.Passes[0].Entries = append(r.Passes[0].Entries, Entry{Work: remedy})
		}
		if e, keep := spoilt(t, e); keep {
			r.Passes[0].Entries = append(r.Passes[0].Entries, e)
		}
	}
	return &r
}

// judgedRecord judges a record; nil if it is refused, such as for a reading in the wrong unit.
func judgedRecord(t *rapid.T, bench *Bench, r *Record) *Verdict {
	j, err := bench.Load(r)
	if err != nil {
		t.Skip(err)
	}
	v, err := j.Judge(context.Background())
	if err != nil {
		t.Skip(err)
	}
	return v
}

func statusesOf(p PassVerdict) map[string]string {
	list := map[string]string{}
	for f := range p.Faults() {
		list[f.Name()] = f.Status().String()
	}
	return list
}

// touches tells whether a fault says something of a check, itself or of what others show there.
func (p *program) touches(fault int, check int) bool {
	f := &p.table.Faults[fault]
	return p.names(fault, check) || slices.ContainsFunc(f.Masks, func(m diagnosis.Mask) bool { return m.Check == check }) ||
		slices.ContainsFunc(f.With, func(w diagnosis.With) bool { return w.Check == check })
}

// TestNothingClearedUnread: a fault none of whose checks has a reading that counts is not examined: neither cleared nor condemned. A fault that is ruled
// out names a reading that counts, that is decided, and that it speaks of. One that is shown has a reading of its own that is not good; one that is
// suspected at least stands beside one, as a brush path that makes up for shorted turns.
func TestNothingClearedUnread(t *testing.T) {
	bench, records := hostile(t)
	rapid.Check(t, func(t *rapid.T) {
		v := judgedRecord(t, bench, hostileRecord(t, records))
		p, s, prog := v.Last(), v.Last().spelled(), v.program
		ranking, evidence := p.ranking()
		offs := map[int]bool{}
		for c := range s.checks {
			if s.checks[c].spoke {
				offs[c] = s.checks[c].set&prog.table.Usual[c] == 0 || (Check{p, int32(c)}).weightOfUsual() < 1
			}
		}
		anyOff := slices.Contains(slices.Collect(maps.Values(offs)), true)
		for f := range p.Faults() {
			read, off := false, false
			for c, is := range offs {
				if prog.touches(f.i, c) {
					read, off = true, off || is
				}
			}
			switch status := f.Status(); {
			case !read:
				require.Equal(t, diagnosis.NotExamined, status, "%s was not looked at", f.Name())
			case status == diagnosis.Shown:
				require.True(t, off, "%s is shown without a reading of its own that is off", f.Name())
			case status == diagnosis.Suspected:
				require.True(t, anyOff, "%s is suspected without a reading that is off", f.Name())
			case status == diagnosis.RuledOut:
				w := prog.table.Witness(evidence, ranking, f.i)
				require.GreaterOrEqual(t, w, 0, "%s is ruled out by nothing", f.Name())
				require.True(t, slices.ContainsFunc(slices.Concat(prog.table.Tests[w].Values...), func(c int) bool {
					st := &s.checks[c]
					decided := st.set&prog.table.Usual[c] == 0 || st.set&^prog.table.Usual[c] == 0
					return st.spoke && decided && prog.touches(f.i, c) && v.perfs[st.perf].void == ""
				}), "%s is ruled out by a test that does not count", f.Name())
				x := &explainer{v: v, p: p, s: s}
				require.NotEmpty(t, x.ruledOut(f), "%s: the explanation names no reading", f.Name())
			}
		}
	})
}

// weightOfUsual is the weight of the best outcome that a unit without a fault shows.
func (c Check) weightOfUsual() float64 {
	best := 0.
	for i, o := range c.bound().c.outcomes {
		if c.p.v.program.table.Usual[c.i]&(1<<i) != 0 {
			best = max(best, c.Weight(o.word))
		}
	}
	return best
}

// TestWhatDoesNotCountTellsNothing: a test that is void, or not valid under the conditions it was made, leaves every fault as if it had not been made.
func TestWhatDoesNotCountTellsNothing(t *testing.T) {
	bench, records := hostile(t)
	rapid.Check(t, func(t *rapid.T) {
		r := hostileRecord(t, records)
		v := judgedRecord(t, bench, r)
		counts := map[string]bool{}
		for c := range v.program.checks {
			if st := &v.Last().spelled().checks[c]; st.spoke || st.result == Information {
				counts[v.program.testName(v.program.checks[c].test)] = true
			}
		}
		less := *r
		less.Passes = []RecordPass{{Round: r.Passes[0].Round}}
		for _, e := range r.Passes[0].Entries {
			if void := e.Void != ""; !void && (e.Taken == "" || counts[testNameOf(v, e.Taken)]) {
				less.Passes[0].Entries = append(less.Passes[0].Entries, e)
			}
		}
		if len(less.Passes[0].Entries) == len(r.Passes[0].Entries) {
			return
		}
		w := judgedRecord(t, bench, &less)
		if !comeOutAlike(v, w) {
			return // it was a gate of others, or gave them a number
		}
		require.Equal(t, statusesOf(w.Last()), statusesOf(v.Last()))
		require.Equal(t, w.Last().Unit(), v.Last().Unit())
	})
}

func testNameOf(v *Verdict, ref string) string {
	unit, rest := v.job.split(ref)
	name, _, _ := strings.Cut(rest, ".")
	if unit != "" {
		return unit + "." + name
	}
	return name
}

// comeOutAlike tells whether the checks that count came out alike.
func comeOutAlike(a, b *Verdict) bool {
	return slices.EqualFunc(a.Last().spelled().checks, b.Last().spelled().checks, func(x, y checkState) bool {
		return x.spoke == y.spoke && (!x.spoke || x.set == y.set)
	})
}

// TestNoFaultClearedByLosingItsReadings: without the readings of its own checks a fault is not examined. If losing one of them rules it out, then by a
// reading that was there before, never by the loss: the lost one spoke for the fault.
func TestNoFaultClearedByLosingItsReadings(t *testing.T) {
	bench, records := hostile(t)
	rapid.Check(t, func(t *rapid.T) {
		r := hostileRecord(t, records)
		v := judgedRecord(t, bench, r)
		p, s, prog := v.Last(), v.Last().spelled(), v.program
		f := rapid.IntRange(0, len(prog.faults)-1).Draw(t, "fault")
		own := map[string]bool{}
		for c := range s.checks {
			if prog.touches(f, c) {
				own[prog.testName(prog.checks[c].test)] = true
			}
		}
		without := func(tests map[string]bool) *Record {
			less := *r
			less.Passes = []RecordPass{{Round: r.Passes[0].Round}}
			for _, e := range r.Passes[0].Entries {
				if e.Taken != "" && tests[testNameOf(v, e.Taken)] {
					e.Void = "lost" // it keeps its place: work before it stays before it
				}
				less.Passes[0].Entries = append(less.Passes[0].Entries, e)
			}
			return &less
		}
		require.Equal(t, diagnosis.NotExamined, Fault{judgedRecord(t, bench, without(own)).Last(), f}.Status())
		if (Fault{p, f}).Status() == diagnosis.RuledOut {
			return
		}
		for _, test := range slices.Sorted(maps.Keys(own)) {
			w := judgedRecord(t, bench, without(map[string]bool{test: true}))
			after := Fault{w.Last(), f}
			if after.Status() != diagnosis.RuledOut {
				continue
			}
			ranking, evidence := w.Last().ranking()
			at := prog.table.Witness(evidence, ranking, f)
			require.GreaterOrEqual(t, at, 0)
			require.True(t, slices.ContainsFunc(slices.Concat(prog.table.Tests[at].Values...), func(c int) bool {
				then, now := &s.checks[c], &w.Last().spelled().checks[c]
				return prog.touches(f, c) && then.spoke && now.spoke && then.set == now.set
			}), "%s is ruled out by the loss of %s", after.Name(), test)
		}
	})
}

// readingsOf judges readings of an example family.
func readingsOf(t *testing.T, bench *Bench, family, readings string) *Verdict {
	t.Helper()
	battery := map[string]string{"tarnby_90": "battery", "skerrow_20": "bench"}[family]
	f, err := dsl.Parse("hostile.sheet", fmt.Appendf(nil, "brushgear 1\nrecord \"h\" of %s { unit %s is bench_650 serial \"H52207\" judge 2026-03-02\n%s\n}", family, battery, readings))
	require.NoError(t, err)
	list, err := ReadRecords(f)
	require.NoError(t, err)
	return judgedOf(t, bench, list[0])
}

// TestWearWithinItsLimitShowsNothing: a value between the limit for new parts and that for used ones is one that a good unit can have, even where only
// one fault is said to show it.
func TestWearWithinItsLimitShowsNothing(t *testing.T) {
	bench, _ := hostile(t)
	v := readingsOf(t, bench, "skerrow_20", "taken runout.tir 0.06 mm")
	c, _ := v.Last().Check("runout.tir")
	require.Equal(t, Marginal, c.Result())
	f, _ := v.Last().Fault("comm_rough")
	require.NotContains(t, []diagnosis.Status{diagnosis.Shown, diagnosis.Suspected}, f.Status())
	_, shown := f.ShownBy()
	require.False(t, shown)
	require.NotEqual(t, Faulty, v.Last().Unit())
}

// TestWhatIsNoRepeat: two performances of a test make a slip unlikely only if both count and both read the same.
func TestWhatIsNoRepeat(t *testing.T) {
	bench, _ := hostile(t)
	const once = "taken ring_field.current 5.3 A at supply 12.0 V, winding_temp 20 °C\ntaken through_brushes.current 3.8 A at supply 12.0 V, winding_temp 20 °C\n"
	status := func(more string) diagnosis.Status {
		f, _ := readingsOf(t, bench, "tarnby_90", once+more).Last().Fault("field_shorted")
		return f.Status()
	}
	require.Equal(t, diagnosis.Suspected, status(""))
	require.Equal(t, diagnosis.Shown, status("taken ring_field.current 5.3 A at supply 12.0 V, winding_temp 20 °C"))
	for _, no := range []string{
		`taken ring_field.current 5.3 A at supply 12.0 V, winding_temp 20 °C void "prod slipped"`,
		"taken ring_field.current missing at supply 12.0 V, winding_temp 20 °C",
		"taken ring_field.current 5.3 A at supply 2.0 V, winding_temp 20 °C",   // too far for the correction
		"taken ring_field.current 5.3 A at winding_temp 20 °C",                 // the supply was not recorded
		"taken ring_field.current 5.3 A at supply 12.0 V, winding_temp 400 °C", // no winding is so hot
	} {
		require.Equal(t, diagnosis.Suspected, status(no), no)
	}
}

// TestVoidReadingPartsNothing: a void reading between the two ways of a test leaves them one performance.
func TestVoidReadingPartsNothing(t *testing.T) {
	bench, _ := hostile(t)
	v := readingsOf(t, bench, "tarnby_90", `taken stud_frame.path.back 1.04 V
taken stud_frame.path.forward 0.2 V void "prod slipped"
taken stud_frame.path.forward OL`)
	c, _ := v.Last().Check("stud_frame")
	require.Equal(t, Pass, c.Result())
	require.Nil(t, v.Last().state().repeats)
}

// TestImpossibleReadings: readings that no unit gives are refused, or condemn nothing by themselves.
func TestImpossibleReadings(t *testing.T) {
	bench, records := hostile(t)
	i := slices.IndexFunc(records, func(r *Record) bool { return r.Name == "healthy" && r.Family == "tarnby_90" })
	require.GreaterOrEqual(t, i, 0)
	for taken, refused := range map[string]bool{
		"through_brushes.current -3.8 A at supply 12.0 V, winding_temp 20 °C":                false,
		"through_brushes.current 3.8 A at supply 0 V, winding_temp 20 °C":                    false,
		"through_brushes.current 3.8 A at supply 12.0 V, winding_temp -400 °C":               false,
		"through_brushes.current 1e300 A at supply 12.0 V, winding_temp 20 °C":               false,
		"through_brushes.current OL at supply 12.0 V, winding_temp 20 °C":                    true,
		"through_brushes.current 3.8 V at supply 12.0 V, winding_temp 20 °C":                 true,
		"pairs.ohms (0 0 0 mΩ) at winding_temp 20 °C":                                        false,
		"pairs.ohms (missing missing missing) at winding_temp 20 °C":                         false,
		"curve.current (88 88 88 A) at speed (6000 6000 6000 rpm), supply 13.5 V":            false,
		"neutral_volts { volts 0 V, stud_volts 0 V }":                                        false,
		"tap.frequency 0 Hz at speed 0 rpm":                                                  false,
		"output.current 900 A at supply 13.5 V, speed 6000 rpm, warm_up 10 min":              false,
		"regulated.volts 1e-300 V at case_temp 25 °C, speed 6000 rpm, load_current 8 A":      false,
		"brushes { length (0 0 mm), force (0 0 N), slide (free free) }":                      false,
		"regulator_alone { below dark, above lit, off_at missing, on_at missing }":           false,
		"diodes { drop.forward (OL OL OL OL OL OL), drop.back (0 0 V) }":                     true,
		"through_brushes.current 1 to 1e9 A jumping at supply 12.0 V, winding_temp 20 °C":    false,
		"through_brushes.current 9 to 2 A jumping at supply 12.0 V, winding_temp 20 °C":      true,
		"stator_ground.insulation < 0 MΩ at winding_temp 20 °C":                              false,
		"rotor_look { runout -1 mm, claws tight | loose }":                                   false,
		"battery.open_circuit.volts 1200 V at surface_charge removed, rest 10 min":           false,
		"battery.open_circuit.volts 12.6 V at surface_charge removed | present, rest -5 min": false,
	} {
		t.Run(taken, func(t *testing.T) {
			f, err := dsl.Parse("hostile.sheet", fmt.Appendf(nil, "brushgear 1\nrecord \"h\" of tarnby_90 { unit battery is bench_650 judge 2026-03-02\ntaken %s\n}", taken))
			if err == nil {
				var list []*Record
				if list, err = ReadRecords(f); err == nil {
					_, err = bench.Load(list[0])
					if err == nil && !refused {
						r := *list[0]
						r.Passes = []RecordPass{{Round: r.Passes[0].Round, Entries: slices.Concat(records[i].Passes[0].Entries, r.Passes[0].Entries)}}
						alone := judgedOf(t, bench, list[0])
						beside := judgedOf(t, bench, &r)
						for f := range alone.Last().Faults() {
							if s := f.Status(); s == diagnosis.Shown {
								c, ok := f.ShownBy()
								require.True(t, ok && c.Result() == Fail, "%s is shown by a reading that failed, and that nothing else shows", f.Name())
							}
						}
						require.NotEmpty(t, alone.Explain().Passes)
						require.NotEmpty(t, beside.Explain().Passes)
					}
				}
			}
			require.Equal(t, refused, err != nil, "%v", err)
		})
	}
}

func judgedOf(t *testing.T, bench *Bench, r *Record) *Verdict {
	j, err := bench.Load(r)
	require.NoError(t, err)
	v, err := j.Judge(context.Background())
	require.NoError(t, err)
	return v
}
