package eval

import (
	"context"
	"fmt"
	"maps"
	"math"
	"math/bits"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/units"
)

// What a reading at odds may have been. The job is judged again with another reading in its place: one of a wrong factor of ten, of the wrong sign,
// at the wrong position, with the prods the wrong way round, or of another variant of the unit.

// A SlipKind is a way to get a reading wrong.
type SlipKind uint8

const (
	TenTimesMore SlipKind = iota // the true reading is ten times what was written
	TenTimesLess                 // or a tenth
	WrongSign
	SwappedPositions // of a list
	SwappedProds     // forward for back
	OtherVariant     // the unit is another than was thought
)

var slipWords = [...]string{"ten times more", "ten times less", "wrong sign", "swapped positions", "swapped prods", "other variant"}

// String names the kind.
func (k SlipKind) String() string { return wordOf(slipWords[:], int(k)) }

// A Slip says how a reading may have gone wrong: had it been Instead, Faults would explain all readings.
type Slip struct {
	Kind    SlipKind
	Test    string // the test at odds
	Reading string // its value or condition, with the position in a list: "ohms[uv]"; of OtherVariant the attribute
	With    string // what it was swapped with: the other position, or back for forward
	Read    Value  // as the record has it, or as the sheet says
	Instead Value  // of what was swapped, after that
	Faults  []Fault
	NoSlip  float64 // the probability that with it no further reading is a slip, .5 or more
}

// String says it in words.
func (s Slip) String() string {
	text := ""
	switch name := spaced(s.Reading); s.Kind {
	case SwappedPositions, SwappedProds:
		text = fmt.Sprintf("if %s and %s were swapped", name, spaced(s.With))
	default:
		text = fmt.Sprintf("if %s was %s and not %s", name, s.Instead, s.Read)
	}
	var titles []string
	for _, f := range s.Faults {
		titles = append(titles, f.Title())
	}
	if len(titles) == 0 {
		return text + ", the readings would call for no fault"
	}
	return text + ", " + strings.Join(titles, " with ") + " would explain everything"
}

const (
	slipExplains = .5 // a slip is offered if with it the probability of no further one is so much
	asGood       = 1 - 1e-6
	mostSwapped  = 12 // of longer lists only neighbours are swapped
)

// Slip returns the likeliest way in which the reading at odds went wrong, or one of two readings of a test that disagree; false if no reading is
// at odds or no such way explains the unit better than it is as read. The others are kept as they are. It judges the job once for each way,
// which takes up to some 20 ms. It is safe for concurrent use.
func (p PassVerdict) Slip() (Slip, bool) {
	if len(p.program().faults) == 0 {
		return Slip{}, false
	}
	at := p.doubted()
	if at < 0 {
		return Slip{}, false
	}
	s := &substitutes{p: p, job: p.v.reopened()}
	if err := s.job.prepare(context.Background()); err != nil {
		return Slip{}, false
	}
	for t := range p.v.program.tests {
		if p.v.program.testOf[t] == at {
			s.readings(&p.v.program.tests[t], s.job.plan[p.i][t])
		}
	}
	s.variants()
	slices.SortStableFunc(s.list, func(a, b substitute) int { return int(a.slip.Kind) - int(b.slip.Kind) })
	test := p.v.program.testName(p.v.program.led[at])
	best, found, most := Slip{}, false, s.asRead(at)
	seen := map[string]bool{p.outcomes(): true} // what comes out alike is ranked once
	for _, c := range s.list {
		after, ok := s.judge(c)
		if !ok || seen[after.outcomes()] {
			continue
		}
		seen[after.outcomes()] = true
		ranking, _ := after.ranking()
		if w := after.agreement(); ranking.NoSlip >= slipExplains && len(ranking.Stories) > 0 && w > most*(1+1e-9) {
			best, found, most = c.slip, true, w
			best.Test, best.Faults, best.NoSlip = test, after.Stories()[0].Faults, ranking.NoSlip
		}
	}
	return best, found
}

// agreement is how probable the readings are with none of them a slip.
func (p PassVerdict) agreement() float64 {
	ranking, evidence := p.ranking()
	return p.v.program.table.Agreement(evidence, ranking)
}

// asRead is the agreement that a slip has to beat: with the readings as they are, nothing is explained better by another. Readings of a test that
// disagree say nothing as they are: there a slip has to do as well as leaving one of them out.
func (s *substitutes) asRead(at int32) float64 {
	prog := s.p.v.program
	disagree := false
	for c := range s.p.spelled().checks {
		disagree = disagree || s.p.spelled().checks[c].atOdds && prog.testOf[prog.checks[c].test] == at
	}
	if !disagree {
		return s.p.agreement()
	}
	most := 0.0
	for t := range prog.tests {
		if prog.testOf[t] != at {
			continue
		}
		for _, pl := range s.job.plan[s.p.i][t] {
			j := s.p.v.reopened()
			j.perfs[pl.perf].void = "left out"
			v := &Verdict{}
			if err := j.JudgeInto(context.Background(), v); err != nil {
				continue
			}
			if after := (PassVerdict{v, s.p.i}); s.p.toldBy(after) {
				most = max(most, after.agreement())
			}
		}
	}
	return most * asGood
}

// doubted returns the test of the diagnosis table that is at odds with the others or with itself, -1 if there is none.
func (p PassVerdict) doubted() int32 {
	r, _ := p.ranking()
	if r.AtOdds >= 0 && (r.Slip >= oddSlip || p.Unit() == Unexplained) {
		return int32(r.AtOdds)
	}
	if i := slices.IndexFunc(p.spelled().checks, func(s checkState) bool { return s.atOdds }); i >= 0 {
		return p.v.program.testOf[p.v.program.checks[i].test]
	}
	return -1
}

// reopened returns the job of a verdict as it stood, to be judged with other readings. Its performances are its own.
func (v *Verdict) reopened() *Job {
	j := v.job
	j.works, j.skips, j.notes = v.works, v.skips, v.notes
	j.perfs = make([]*performance, len(v.perfs))
	for i, perf := range v.perfs {
		j.perfs[i] = perf.read()
	}
	j.plan, j.cutoffs, j.sights = nil, nil, nil
	j.program, j.date, j.dirty, j.rebind = v.program, v.date, true, false
	return &j
}

// substitutes gathers what a reading at odds may have been.
type substitutes struct {
	p    PassVerdict
	job  *Job // as it was judged
	list []substitute
}

// substitute is a slip and what undoes it.
type substitute struct {
	slip   Slip
	perf   int32
	values map[string]Value // of the performance, readings and conditions
	unit   int              // of another variant
	known  *constant
}

// readings adds what the readings and conditions of the performances of a test that count may have been.
func (s *substitutes) readings(bt *boundTest, counting []planned) {
	for _, pl := range counting {
		perf := s.job.perfs[pl.perf]
		for i := range bt.inputs {
			in := &bt.inputs[i]
			read, given := perf.at[in.v.name]
			if in.v.kind == readingValue {
				read = perf.values[in.v.name].value
				given = !read.Missing()
			}
			if in.pass != "" || !given {
				continue
			}
			meter, _ := s.job.meterOf(perf, in.v)
			for kind := TenTimesMore; kind <= WrongSign; kind++ {
				s.changed(pl.perf, in, read, meter, kind)
			}
			if in.v.kind == readingValue && read.form == listForm && !in.v.typ.table {
				s.swapped(pl.perf, in, read)
			}
		}
		s.turned(bt, pl.perf)
	}
}

// changed adds a reading with its point or its sign changed; of a list, the whole of it and each member alone.
func (s *substitutes) changed(perf int32, in *input, read Value, meter *instrument, kind SlipKind) {
	if in.v.typ.class != numberClass {
		return
	}
	if instead, ok := read.slipped(kind, in.v, meter); ok && instead.String() != read.String() {
		s.add(perf, Slip{Kind: kind, Reading: in.v.name, Read: read, Instead: instead}, map[string]Value{in.v.name: instead})
	}
	if read.form != listForm || len(read.items) < 2 {
		return
	}
	for k, it := range read.items {
		if one, ok := it.slipped(kind, in.v, meter); ok && one.String() != it.String() {
			s.add(perf, Slip{Kind: kind, Reading: memberName(in, k), Read: it, Instead: one}, map[string]Value{in.v.name: read.with(k, one)})
		}
	}
}

// swapped adds the lists in which two members have changed places.
func (s *substitutes) swapped(perf int32, in *input, read Value) {
	n := len(read.items)
	for a := range n {
		for b := a + 1; b < n && (n <= mostSwapped || b == a+1); b++ {
			if one, other := read.items[a], read.items[b]; one.String() != other.String() {
				s.add(perf, Slip{Kind: SwappedPositions, Reading: memberName(in, a), With: memberName(in, b), Read: one, Instead: other},
					map[string]Value{in.v.name: read.with(a, other).with(b, one)})
			}
		}
	}
}

// turned adds readings both ways that have changed places; of lists, also those at one position alone.
func (s *substitutes) turned(bt *boundTest, perf int32) {
	values := s.job.perfs[perf].values
	for _, name := range slices.Sorted(maps.Keys(bt.t.pairs)) {
		pair := bt.t.pairs[name]
		forward, back := values[pair[0].name].value, values[pair[1].name].value
		if forward.Missing() || back.Missing() || forward.String() == back.String() {
			continue
		}
		s.add(perf, Slip{Kind: SwappedProds, Reading: pair[0].name, With: pair[1].name, Read: forward, Instead: back},
			map[string]Value{pair[0].name: back, pair[1].name: forward})
		if forward.form != listForm || back.form != listForm || len(forward.items) != len(back.items) {
			continue
		}
		in := slices.IndexFunc(bt.inputs, func(in input) bool { return in.v == pair[0] && in.pass == "" })
		for k := range forward.items {
			f, b := forward.items[k], back.items[k]
			if f.String() != b.String() && len(forward.items) > 1 && in >= 0 {
				at := strings.TrimPrefix(memberName(&bt.inputs[in], k), pair[0].name)
				s.add(perf, Slip{Kind: SwappedProds, Reading: pair[0].name + at, With: pair[1].name + at, Read: f, Instead: b},
					map[string]Value{pair[0].name: forward.with(k, b), pair[1].name: back.with(k, f)})
			}
		}
	}
}

// add keeps a slip with the values of the performance that undo it.
func (s *substitutes) add(perf int32, slip Slip, values map[string]Value) {
	s.list = append(s.list, substitute{slip: slip, perf: perf, values: values})
}

// variants adds the other words and values of the attributes that are known and have such.
func (s *substitutes) variants() {
	prog := s.p.v.program
	known := &statics{cfg: &s.job.cfg, units: prog.units}
	for u := range prog.units {
		for _, name := range slices.Sorted(maps.Keys(prog.units[u].m.attributes)) {
			a := prog.units[u].m.attributes[name]
			now, _ := known.attribute(u, a)
			all := a.alternatives()
			at := slices.IndexFunc(all, func(v Value) bool {
				k, err := constantFrom(a, v)
				return err == nil && (a.typ.class == wordClass && k.mask == now.bits || a.typ.class == numberClass && k.lo == now.lo && k.hi == now.hi)
			})
			if at < 0 {
				continue
			}
			label := name
			if prog.units[u].name != "" {
				label = prog.units[u].name + "." + name
			}
			for i, v := range all {
				if k, err := constantFrom(a, v); i != at && err == nil {
					s.list = append(s.list, substitute{slip: Slip{Kind: OtherVariant, Reading: label, Read: all[at], Instead: v}, perf: -1,
						unit: u, known: &k, values: map[string]Value{name: v}})
				}
			}
		}
	}
}

// alternatives lists what an attribute can be, if its type says so.
func (a *value) alternatives() []Value {
	var list []Value
	if a.typ.class == wordClass {
		for _, w := range a.typ.words {
			list = append(list, Word(w))
		}
	}
	for _, q := range a.quantities {
		list = append(list, Number(units.FromSI(q, a.displayUnit())))
	}
	return list
}

// judge judges the job with a substitute. It is false if that cannot be, or if a check no longer tells what it told: leaving a reading out
// explains nothing.
func (s *substitutes) judge(c substitute) (PassVerdict, bool) {
	j := s.p.v.reopened()
	if c.known != nil {
		if !j.turnInto(c) {
			return PassVerdict{}, false
		}
	} else {
		perf := j.perfs[c.perf]
		perf.values, perf.at = maps.Clone(perf.values), maps.Clone(perf.at)
		for name, v := range c.values {
			if t, ok := perf.values[name]; ok {
				t.value = v
				perf.values[name] = t
			} else {
				perf.at[name] = v
			}
		}
	}
	v := &Verdict{}
	if err := j.JudgeInto(context.Background(), v); err != nil {
		return PassVerdict{}, false
	}
	after := PassVerdict{v, s.p.i}
	return after, s.p.toldBy(after)
}

// turnInto binds a job for another variant of its unit.
func (j *Job) turnInto(c substitute) bool {
	unit := j.program.units[c.unit].name
	sets := maps.Clone(j.cfg.sets[unit])
	if sets == nil {
		sets = map[string]constant{}
	}
	for name := range c.values {
		sets[name] = *c.known
	}
	j.cfg.sets = maps.Clone(j.cfg.sets)
	j.cfg.sets[unit] = sets
	cfg := j.cfg
	cfg.date = j.date
	p, circle := bind(&cfg)
	if circle != nil {
		return false
	}
	j.program = p
	return true
}

// toldBy tells whether every check that spoke speaks as clearly in another verdict, and none whose readings disagreed is left so.
func (p PassVerdict) toldBy(after PassVerdict) bool {
	was, is := p.spelled().checks, after.spelled().checks
	for i := range was {
		at := i
		if p.v.program != after.v.program {
			label := p.v.program.checks[i].label
			at = slices.IndexFunc(after.v.program.checks, func(k boundCheck) bool { return k.label == label })
		}
		if was[i].spoke && (at < 0 || !is[at].spoke || bits.OnesCount32(is[at].set) > bits.OnesCount32(was[i].set)) {
			return false
		}
		if was[i].atOdds && (at < 0 || is[at].atOdds) {
			return false
		}
	}
	return true
}

// outcomes writes down what each check that spoke came to.
func (p PassVerdict) outcomes() string {
	var b strings.Builder
	for i, s := range p.spelled().checks {
		if s.spoke {
			fmt.Fprintf(&b, "%s %x\n", p.v.program.checks[i].label, s.set)
		}
	}
	return b.String()
}

// memberName names one member of a list.
func memberName(in *input, k int) string {
	if k < len(in.places) {
		return in.v.name + "[" + in.places[k] + "]"
	}
	return fmt.Sprintf("%s[%d]", in.v.name, k+1)
}

// with returns the list with another member.
func (v Value) with(k int, item Value) Value {
	v.items = slices.Clone(v.items)
	v.items[k] = item
	return v
}

// slipped is what was read with its point or its sign changed. It is false for what is no number, and for what would be no reading: beyond the
// range of the meter, or below nothing for what has no sign.
func (v Value) slipped(kind SlipKind, of *value, meter *instrument) (Value, bool) {
	out, some := v, false
	switch v.form {
	case numberForm, rangeForm, movingForm:
		low, ok := slippedQuantity(v.low, kind, of, meter)
		high, ok2 := slippedQuantity(v.high, kind, of, meter)
		if kind == WrongSign {
			low, high = high, low
		}
		out.low, out.high, some = low, high, ok && ok2
	case aboveForm:
		out.low, some = slippedQuantity(v.low, kind, of, meter)
		some = some && kind != WrongSign
	case belowForm:
		out.high, some = slippedQuantity(v.high, kind, of, meter)
		some = some && kind != WrongSign
	case listForm:
		out.items = slices.Clone(v.items)
		for k, it := range v.items {
			item, ok := it.slipped(kind, of, meter)
			if !ok && it.form != missingForm && it.form != openForm {
				return v, false
			}
			if ok {
				out.items[k], some = item, true
			}
		}
	}
	if !some {
		return v, false
	}
	_, err := registerOf(of, out, meter)
	return out, err == nil
}

func slippedQuantity(q units.Quantity, kind SlipKind, of *value, meter *instrument) (units.Quantity, bool) {
	digits, ok := q.Decimals()
	if !ok || q.Value() == 0 {
		return q, ok
	}
	x := q.Value()
	switch kind {
	case TenTimesMore:
		x, digits = x*10, max(0, digits-1)
	case TenTimesLess:
		x, digits = x/10, digits+1
	case WrongSign:
		if x > 0 && !of.signed() {
			return q, false
		}
		x = -x
	}
	out := units.New(x, q.Unit()).Round(digits)
	return out, meter == nil || meter.high == 0 || math.Abs(out.SI()) <= meter.high
}

// signed tells whether a meter can show less than nothing.
func (v *value) signed() bool {
	return v.typ.dim == units.MustUnit("V").Dimension() || v.typ.dim == units.MustUnit("A").Dimension() || v.typ.dim.Kind() == units.Temperature
}
