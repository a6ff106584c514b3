package eval

import (
	"iter"
	"maps"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/units"
)

// A Verdict is what the readings of a job say, pass by pass. It keeps results in a compact form; Explain and the views returned by Checks and
// Faults put them into words, and what a check compared, its margin and its uncertainty are worked out when first asked for. A Verdict is safe
// for concurrent reading, and does not change when its job goes on; judging into it again replaces it, and views of it that were taken before
// are worth nothing then. One that was never judged into has no passes.
type Verdict struct {
	job     Job // as it stood, for names, meters and notes
	program *program
	perfs   []*performance
	skips   []skip
	works   []work
	notes   []note
	passes  []passState
	date    day
	frame   frame
}

type passState struct {
	pass     Round
	results  []Result // of the checks
	sight    *sight
	depths   []depth      // per test of the program
	spelt    []bool       // beside depths: judged at a glance, and in full for the sake of another test
	checks   []checkState // of tests that were judged in full
	zs       []float64    // degrees of all their outcomes
	evidence diagnosis.Evidence
	findings []diagnosis.Finding
	word     UnitWord
	cutoff   int
	answers  []uint64 // of the program's questions: causes, then remedies
	repeats  []int    // per test of the table; nil if nothing was repeated
	ranked   *lazyRanking
	spelling *spelling
}

func (v *Verdict) reset(j *Job) {
	v.job, v.program, v.date = *j, j.program, j.date
	v.perfs = append(v.perfs[:0], j.perfs...)
	v.skips = append(v.skips[:0], j.skips...)
	v.works = append(v.works[:0], j.works...)
	v.notes = append(v.notes[:0], j.notes...)
	v.passes = v.passes[:0]
}

// empty takes away what stands in v, but not its memory.
func (v *Verdict) empty() {
	v.job, v.program, v.date = Job{}, nil, 0
	v.perfs, v.skips, v.works, v.notes, v.passes = v.perfs[:0], v.skips[:0], v.works[:0], v.notes[:0], v.passes[:0]
}

// nothing stands for a verdict that has no passes: one in which nothing was read of no unit.
var nothing = &Verdict{
	job: Job{m: &model{}, bench: &Bench{}}, program: &program{m: &model{}, units: []boundUnit{{m: &model{}}}}, passes: []passState{{ranked: &lazyRanking{}}},
}

// next makes room for one more pass, reusing what an earlier verdict left.
func (v *Verdict) next(p *program) *passState {
	n := len(v.passes)
	if n < cap(v.passes) {
		v.passes = v.passes[:n+1]
	} else {
		v.passes = append(v.passes, passState{})
	}
	s := &v.passes[n]
	s.pass = v.job.passes[n]
	s.evidence.Possible = grown(s.evidence.Possible, len(p.checks))
	s.results, s.depths, s.spelt = grown(s.results, len(p.checks)), grown(s.depths, len(p.tests)), grown(s.spelt, len(p.tests))
	s.checks = grown(s.checks, len(p.checks))
	s.zs = grown(s.zs, p.zs)
	s.findings = grown(s.findings, len(p.faults))
	if s.ranked == nil {
		s.ranked, s.spelling = &lazyRanking{}, &spelling{}
	}
	s.ranked.done = false
	if s.spelling.done.Load() {
		s.spelling.done.Store(false)
	}
	return s
}

// Passes returns the verdicts of the passes in order.
func (v *Verdict) Passes() iter.Seq[PassVerdict] {
	return func(yield func(PassVerdict) bool) {
		for i := 0; v != nil && i < len(v.passes); i++ {
			if !yield(PassVerdict{v, i}) {
				return
			}
		}
	}
}

// Last returns the verdict of the last pass, which is what the unit is now. Of a verdict without passes, or of nil, it is undecided and has no
// checks and no faults.
func (v *Verdict) Last() PassVerdict {
	if v == nil || len(v.passes) == 0 {
		return PassVerdict{nothing, 0}
	}
	return PassVerdict{v, len(v.passes) - 1}
}

// A PassVerdict is what was known at the end of one pass. The zero value is undecided and has no checks and no faults.
type PassVerdict struct {
	v *Verdict
	i int
}

// there returns p, or a view of nothing if the pass that it speaks of is not there.
func (p PassVerdict) there() PassVerdict {
	if p.v == nil || p.i < 0 || p.i >= len(p.v.passes) {
		return PassVerdict{nothing, 0}
	}
	return p
}

func (p PassVerdict) program() *program { return p.there().v.program }

func (p PassVerdict) state() *passState {
	p = p.there()
	return &p.v.passes[p.i]
}

// spelled is the state with every check judged in full.
func (p PassVerdict) spelled() *passState {
	p = p.there()
	s := &p.v.passes[p.i]
	if l := s.spelling; l != nil && !l.done.Load() {
		l.mu.Lock()
		defer l.mu.Unlock()
		if !l.done.Load() {
			l.frame.use(p.v.program, s.checks, s.zs)
			s.spell(&l.frame, p.v.program, make([]bool, len(s.depths)), p.v.program.order)
			l.done.Store(true)
		}
	}
	return s
}

// spelling judges in full what was judged at a glance, when it is first asked for. Its lock makes a verdict safe for concurrent reading.
type spelling struct {
	mu    sync.Mutex
	done  atomic.Bool
	frame frame
}

// set is the outcomes that a check can have as read.
func (s *passState) set(p *program, check int32) uint32 {
	if s.depths[p.checks[check].test] != inFull {
		return s.evidence.Possible[check]
	}
	return s.checks[check].set
}

// Round returns the round of readings that it belongs to.
func (p PassVerdict) Round() Round {
	r := p.state().pass
	r.At, r.Via = maps.Clone(r.At), maps.Clone(r.Via)
	return r
}

// Limits returns what the limits alone say of the whole unit: LimitsMet, LimitsFailed or Undecided.
func (p PassVerdict) Limits() UnitWord { return p.state().word }

// Checks returns all checks in the order of the sheet.
func (p PassVerdict) Checks() iter.Seq[Check] {
	return func(yield func(Check) bool) {
		prog := p.program()
		for _, t := range prog.order {
			bt := &prog.tests[t]
			for i := bt.checkFrom; i < bt.checkTo; i++ {
				if !yield(Check{p, i}) {
					return
				}
			}
		}
	}
}

// Check finds a check by its name: "test.value", "test.value[position]", "test.value.alike", or "test" for a pattern.
func (p PassVerdict) Check(name string) (Check, bool) {
	for c := range p.Checks() {
		if c.Name() == name {
			return c, true
		}
	}
	return Check{}, false
}

// Faults returns all faults that the unit can have, in the order of the sheet; a fault of positions comes once for each of them.
func (p PassVerdict) Faults() iter.Seq[Fault] {
	return func(yield func(Fault) bool) {
		for i := range p.program().faults {
			if !yield(Fault{p, i}) {
				return
			}
		}
	}
}

// Fault finds a fault by its name, with its position if it has one: "rotor_shorted", "diode_open[plus, u]".
func (p PassVerdict) Fault(name string) (Fault, bool) {
	for f := range p.Faults() {
		if f.Name() == name {
			return f, true
		}
	}
	return Fault{}, false
}

// A Check is the outcome of one check in one pass. The zero value has no name and was not tested.
type Check struct {
	p PassVerdict
	i int32
}

func (c Check) bound() *boundCheck {
	if checks := c.p.program().checks; int(c.i) < len(checks) {
		return &checks[c.i]
	}
	return &boundCheck{c: &check{}}
}

func (c Check) state() *checkState {
	if checks := c.p.spelled().checks; int(c.i) < len(checks) {
		return &checks[c.i]
	}
	return &checkState{outcome: -1, limit: -1, perf: -1}
}

// Name returns the name of the check: its test and value, with the position of a list.
func (c Check) Name() string { return c.bound().label }

// Result returns what became of the check.
func (c Check) Result() Result {
	if results := c.p.state().results; int(c.i) < len(results) {
		return results[c.i]
	}
	return NotTested
}

// Outcomes returns the outcomes that are possible; one if the check is decided, all of them if nothing is known.
func (c Check) Outcomes() []string {
	var words []string
	for i, o := range c.bound().c.outcomes {
		if c.state().set&(1<<i) != 0 {
			words = append(words, o.word)
		}
	}
	return words
}

// Outcome returns the outcome, or the empty string while it is not decided.
func (c Check) Outcome() string {
	s := c.state()
	if s.outcome < 0 || s.result == Information {
		return ""
	}
	return c.bound().c.outcomes[s.outcome].word
}

// Weight is what an outcome weighs in a diagnosis, from 0 to 1: exp(−z²/2), where z is how many standard uncertainties the readings would have to
// be off for it to be the outcome, and 0 beyond 3.5. Outcomes that are possible as read weigh 1; where nothing was read, all do.
func (c Check) Weight(word string) float64 {
	b, s := c.bound(), c.state()
	i := b.c.find(word)
	switch {
	case i < 0:
		return 0
	case s.set&(1<<i) != 0:
		return 1
	}
	return weight(c.p.state().zs[int(b.z0)+i])
}

// Possible tells whether an outcome can be the one.
func (c Check) Possible(word string) bool { return slices.Contains(c.Outcomes(), word) }

// Value returns what was compared with the limit, brought to the limit's conditions. It is false for words, patterns, ranges, and where
// nothing was read.
func (c Check) Value() (units.Quantity, bool) {
	s, b := c.state(), c.bound()
	if s.perf < 0 || s.lo != s.hi || b.c.val == nil || b.c.val.typ.class != numberClass || s.cause == causeMissing {
		return units.Quantity{}, false
	}
	return units.FromSI(s.lo, c.unit()), true
}

// Margin returns the distance to the nearest bound, negative outside. It is false where there is none.
func (c Check) Margin() (units.Quantity, bool) {
	s := c.state()
	if _, ok := c.Value(); !ok || s.limit < 0 && c.bound().c.kind != gradeCheck {
		return units.Quantity{}, false
	}
	m := min(s.lo-s.low, s.upp-s.lo)
	if m > maxMargin {
		return units.Quantity{}, false
	}
	if c.bound().c.kind == gradeCheck && s.result != Pass {
		return units.Quantity{}, false
	}
	return units.FromSI(m, differenceUnit(c.unit())), true
}

const maxMargin = 1e300

// differenceUnit is the unit of a difference of quantities in u.
func differenceUnit(u units.Unit) units.Unit { return units.FromSI(0, u).Difference().Unit() }

// unit is the unit in which to print the value: as it was read, or as the sheet says.
func (c Check) unit() units.Unit {
	b := c.bound()
	if b.c.kind == alikeCheck && c.state().limit >= 0 {
		if l := b.c.limits; len(l) > 0 && b.limits[c.state().limit].lim.alike.relative {
			return units.MustUnit("%")
		}
		return differenceUnit(b.c.val.displayUnit())
	}
	return b.c.val.displayUnit()
}

// A Fault is what one pass says of one fault. The zero value has no name and was not examined.
type Fault struct {
	p PassVerdict
	i int
}

func (f Fault) known() bool { return f.i < len(f.p.program().faults) }

func (f Fault) bound() *boundFault {
	if !f.known() {
		return &boundFault{f: &fault{}}
	}
	return &f.p.v.program.faults[f.i]
}

// finding is what decided outcomes say of the fault. One that a good unit can have too, such as wear within its limit, proves nothing.
func (f Fault) finding() diagnosis.Finding {
	if !f.known() {
		return diagnosis.Finding{Shown: -1}
	}
	s := f.p.state()
	found := s.findings[f.i]
	if found.Shown >= 0 && s.set(f.p.v.program, found.Shown)&f.p.v.program.table.Usual[found.Shown] != 0 {
		found.Shown, found.OneOf = -1, false
		if found.Status == diagnosis.Shown {
			found.Status = diagnosis.Possible
		}
	}
	return found
}

// Name returns the name in the sheet, with the position of a fault of positions.
func (f Fault) Name() string {
	if u := f.p.program().units[f.bound().unit].name; u != "" {
		return u + "." + f.bound().label
	}
	return f.bound().label
}

// Title returns the words for a person.
func (f Fault) Title() string {
	return strings.Join(append([]string{f.bound().f.title}, f.bound().names...), ", ")
}

// ShownBy returns the check whose outcome no other fault on the sheet can show, false if there is none.
func (f Fault) ShownBy() (Check, bool) { return f.witness(f.finding().Shown) }

// RuledOutBy returns the check that by itself excludes the fault, false if there is none: a fault can be ruled out by several readings together.
func (f Fault) RuledOutBy() (Check, bool) {
	if !f.known() {
		return Check{}, false
	}
	s := f.p.state()
	return f.witness(int32(f.p.v.program.table.Against(&s.evidence, s.findings, int(f.i))))
}

func (f Fault) witness(check int32) (Check, bool) {
	if check < 0 {
		return Check{}, false
	}
	return Check{f.p, check}, true
}

// Remedy returns the name and the words of the remedy, empty without one.
func (f Fault) Remedy() (name, title string) {
	if r := f.bound().remedy; r != nil {
		return r.name, r.title
	}
	return "", ""
}
