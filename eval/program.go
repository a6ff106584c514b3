package eval

import (
	"fmt"
	"math"
	"strings"

	"github.com/brushgear/brushgear/eval/diagnosis"
)

// A program is a model bound for one job: attributes known as far as they are, lists of fixed length, everything laid out in registers.
// Programs are immutable; judging works on a frame.

// reg holds one value as everything it may be. A number lies from lo to hi; a word is one of bits; a condition can be true (bit 0), false
// (bit 1) or either.
type reg struct {
	lo, hi float64
	bits   uint64
	flags  uint8
}

const (
	regMissing   uint8 = 1 << iota // not read
	regMoving                      // unsteady: takes every value from lo to hi
	regUnbounded                   // OL without a known full scale
	regCount                       // a count: whole, and steady against small errors
	regRefused                     // a correction was refused: too far from the reference
)

const (
	canTrue  = 1
	canFalse = 2
	either   = canTrue | canFalse
)

func exact(v float64) reg { return reg{lo: v, hi: v} }

var unknown = reg{lo: math.Inf(-1), hi: math.Inf(1), bits: either, flags: regMissing}

// op is one step of a program: dst[i] = code(a[i*sa], b[i*sb]) for i below n.
type op struct {
	code   opCode
	dst, n int32
	a, b   int32
	sa, sb int32
	aux    int32
}

type opCode uint8

const (
	codeAdd opCode = iota
	codeSub
	codeMul
	codeDiv
	codeAbs
	codePower
	codeAnd
	codeOr
	codeNot
	codeAtLeast
	codeAtMost
	codeAbove
	codeBelow
	codeEquals
	codeWordIs
	codeOutcome
	codeEach
	codeAny
	codeCount
	codeHighest
	codeLowest
	codeMiddle
	codeMean
	codeTotal
	codeSpan
	codeAlike
	codeLaw
	codeProvided // a value corrected by a law of the sheet, if that law holds
	codeCarry    // a value of another test, as a source of error of its own
	codeTighten  // a value that uses a reading more than once
	codeCheck
	codeTest      // only of a glance, as those after it: a test begins
	codeUse       // a test uses another
	codeNeed      // a truth that a test needs
	codeKnown     // a number or word that it needs to know
	codeOutcomeIs // the one check of a reference has one of some outcomes
)

type program struct {
	m        *model
	units    []boundUnit
	inputs   int     // the first registers, which a pass loads
	rowAt    []int32 // per register: where its sensitivities lie, -1 for a constant
	rows     int     // length of all sensitivities
	sourceOf []int32 // per input register: its own source of error in its test
	zs       int     // length of all degrees of outcomes
	guard    float64 // of the decision rule
	beyond   float64 // how many standard uncertainties from a limit a value is clear of it
	spots    []spot  // the constants at a glance, beside regs
	looks    []look
	told     told   // of the checks that only tell a reading
	ranged   bool   // a constant is not exact
	regs     []reg  // initial registers, constants in place
	computed []bool // per register: a number that arithmetic was done for, so that it can be off by rounding
	ops      []op
	masks    []uint64 // of codeWordIs
	refs     []boundRef
	laws     []boundLaw
	alikes   []boundAlike
	tangles  []tangle
	apart    map[pair]int32 // comparisons that are tangles
	tests    []boundTest    // in the order in which they must be judged
	checks   []boundCheck
	quick    []quick // beside checks
	order    []int32 // tests in sheet order
	table    diagnosis.Table
	faults   []boundFault
	shows    [][]showOrigin // beside table.Faults
	variants []boundVariant
	requires []boundRequire
	asking   boundTest  // the steps of the questions
	causes   []question // what was seen of the causes
	allowed  []question // whether remedies can be carried out
	testOf   []int32    // per test, its place in table.Tests
	led      []int32    // per test of the table, the test of the program that it is named after
	release  []int32    // checks that a release needs
	judged   []int32    // checks of the unit itself that can pass or fail
}

// boundUnit is the unit itself (name empty) or an included one.
type boundUnit struct {
	name   string
	m      *model
	family string // empty when an included unit has no family
}

type boundTest struct {
	t       *test
	unit    int // index in program.units
	applies uint64

	from, to   int32 // ops
	inputs     []input
	needs      []boundNeed
	checkFrom  int32
	checkTo    int32
	values     []valueRange // registers of its readings and formulas
	across     string       // terminals in words
	soft       bool         // errors of readings must be carried through formulas
	sources    int32        // of error: readings, their meters, values of other tests
	ownSources int32        // of these, the readings
	seeds      []int32      // the registers of readings that have sensitivities
	tangled    bool         // both sides of a comparison use one reading
	joins      []int32      // tests whose values its formulas use
	leans      bool         // its checks can have an outcome from other tests alone
	uses       []int32      // tests whose values or outcomes it uses
	clear      bool         // a glance can carry out its steps
	looks      int32        // where those of the test begin
}

// input is where a reading or a condition of a performance is loaded.
type input struct {
	v       *value
	base, n int32
	places  []string // of a list with positions: their names
	pass    string   // the stage of the pass it is from, empty for the performance that is judged
}

// name is that of one member as a sheet writes it.
func (in *input) name(i int32) string {
	name := in.v.name
	switch {
	case int(i) < len(in.places):
		name += "[" + in.places[i] + "]"
	case in.n > 1:
		name += fmt.Sprintf("[%d]", i+1)
	}
	return strings.TrimSuffix(name+" "+in.pass, " ")
}

type valueRange struct {
	v       *value
	base, n int32
}

type boundNeed struct {
	n     *need
	truth int32 // register of the gate or range, -1 when recording is enough
	cond  int32 // register of the condition, -1 for a gate
}

// boundRef is an outcome reference: all of these checks have an outcome of their mask.
type boundRef struct {
	checks []int32
	masks  []uint32
	not    bool
}

type boundLaw struct {
	k        *correction
	cond     int32
	ref      float64
	arg      int32 // -1 without
	per      float64
	printRef string
	from, to float64 // the conditions in which it is allowed; with an argument, not in all of them
}

type boundAlike struct {
	a         *alikeLimit
	tolerance int32
}

type boundCheck struct {
	c          *check
	test       int32
	pos        int // position in the list, -1 for a single value
	label      string
	value      int32 // register of the value, uncorrected; the first of a list for alike and table
	n          int32
	limits     []boundLimit
	exhaustive bool    // one of the limits counts, whichever
	cuts       []int32 // of a grade
	read       int32   // of a grade: the register of its value before correction
	laws       []int32 // of a grade: that correct it
	rows       []int32 // truth registers of pattern rows, -1 for otherwise
	pitch      int32   // register, -1 without
	z0         int32   // where the degrees of its outcomes lie
	all        uint32
	good       uint32 // outcomes that pass
	low        uint32 // the outcome low, and so on; 0 if the check has none
	high       uint32
	lowAt      int8 // the place of low among the outcomes, and of high
	highAt     int8
	worn       uint32
	jumps      uint32
	dips       uint32
	results    []Result // of each outcome
	words      []uint8  // of a word limit: the outcome of each word
}

// corrections are the laws that brought the value to the conditions of the limit that counted, or of the grade.
func (b *boundCheck) corrections(s *checkState) []int32 {
	if s.limit < 0 || int(s.limit) >= len(b.limits) {
		return b.laws
	}
	return b.limits[s.limit].laws
}

type boundLimit struct {
	lim       *limit
	when      int32 // truth register, -1 without
	value     int32 // register of the corrected value
	low, high int32 // registers, -1 without
	newLow    int32
	newHigh   int32
	cond      int32 // of a curve
	alike     int32 // index in program.alikes
	laws      []int32
	variant   bool // it counts only for a variant that is not certain
}

type boundFault struct {
	f      *fault
	pos    int
	names  []string // of its position
	label  string
	group  int
	unit   int
	remedy *remedy
	orElse *remedy
}

// showOrigin keeps the words of a row of the diagnosis table.
type showOrigin struct {
	words []string
}

// question is a condition that is put after all tests: whether a cause was seen, whether a remedy is allowed and has what it needs.
type question struct {
	unit  int
	name  string
	truth int32
}

type boundVariant struct {
	v     *variant
	holds uint64
}

type boundRequire struct {
	r     *requirement
	holds uint64
}
