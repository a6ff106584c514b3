package eval

import (
	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// The resolved form of a kind or a family: layers merged, names resolved, every expression checked. Models are built by Compile and never
// change afterwards. A program for one job is bound from a model (bind.go).

type model struct {
	name, title string
	family      bool
	chain       []string // names of the layers, lowest first

	attributes map[string]*value
	conditions map[string]*value
	axes       map[string]*axis
	terminals  map[string]*dsl.Terminal
	cautions   map[string]*dsl.Terminal
	stages     map[string]*dsl.Stage
	stageOrder []*dsl.Stage // as declared
	parts      map[string]*dsl.Part
	causes     map[string]*cause
	meters     map[string]*instrument
	laws       map[string]*law // of the sheet
	remedies   map[string]*remedy
	effects    map[string]*dsl.Effect
	tests      []*test // in sheet order
	testNamed  map[string]*test
	faults     []*fault
	faultNamed map[string]*fault
	includes   []*include
	requires   []*requirement
	variants   []*variant
	release    []*outcomeRef
	plated     bool   // something depends on the serial or the build date
	polarity   string // "negative", "positive" or ""
	leaning    []leaning
	renew      []string // parts that the shop replaces regardless
	rule       string   // decision rule
	guard      float64  // of the rule, in standard uncertainties
}

// leaning is something the sheet says that this edition reads and checks but does not act on yet; verdicts that touch it say so.
type leaning struct {
	what string
	test *test
	src  dsl.Range
}

type include struct {
	as   string
	kind *model
	when *expr
	src  dsl.Range
}

type requirement struct {
	cond    *expr
	message string
	src     dsl.Range
}

type variant struct {
	name, title string
	when        *expr
	src         dsl.Range
}

// layerRank orders layers: a limit of a higher rank overrides one of a lower rank.
type layerRank int

type layer struct {
	rank    layerRank
	name    string // "kind alternator", "family tarnby_90", ...
	variant *variant
	source  *source // of an enclosing under block
	shop    bool
}

// conditions lists what must hold for the layer to count.
func (l layer) conditions() []*expr {
	if l.variant == nil {
		return nil
	}
	return []*expr{l.variant.when}
}

type source struct {
	name, title, edition, status string
	from, until                  day
	src                          dsl.Range
}

// valid tells whether the source is in force on the day.
func (s *source) valid(d day) bool {
	return s == nil || (s.from == 0 || d >= s.from) && (s.until == 0 || d <= s.until)
}

type class uint8

const (
	numberClass class = iota
	wordClass
	truthClass
	textClass
	dateClass
)

// vtype is the type of a value or expression: its class, its dimension or words, and the list axes it runs over.
type vtype struct {
	class class
	dim   units.Dimension
	words []string
	axes  []*axis
	table bool // as many points as were read, along another quantity
}

func (t vtype) scalar() vtype { t.axes = nil; return t }

// axis is a set of positions: named words, or numbers from 1 up to an attribute.
type axis struct {
	name, title string
	words       []string
	from        int
	to          *expr // nil when words are given
	src         dsl.Range
}

type valueKind uint8

const (
	attributeValue valueKind = iota
	conditionValue
	readingValue
	formulaValue
	parameterValue // a name in the formula of a law
)

// value is an attribute, a condition, a reading or a formula.
type value struct {
	kind        valueKind
	name, title string
	ask         string
	typ         vtype
	unit        units.Unit // to print in when nothing was written
	quantities  []float64  // the allowed values, when the type lists quantities
	likely      *[2]float64
	test        *test
	meter       *instrument
	first       bool
	at          *value // the condition along which a table is read
	formula     *expr
	formulaText string
	printed     bool // unit is that of its limit
	laws        []*correction
	check       *check // limit or grade of the value
	alike       *check
	sets        []setting // of an attribute, highest layer first
	src         dsl.Range
}

// setting is one value given to an attribute by a layer.
type setting struct {
	layer  layer
	source *source
	value  constant
	src    dsl.Range
}

type instrument struct {
	name     string
	dim      units.Dimension
	high     float64 // full scale, 0 when none is stated
	forbid   []string
	accurate bool // an accuracy is stated
	bad      bool // its type was reported
	accuracy accuracy
	src      dsl.Range
}

type correction struct {
	law  *law
	from *value
	to   *float64 // reference in the test; else the limit states it
	arg  *expr
	per  float64
	src  dsl.Range
}

type cause struct {
	name, title, ask string
	seen             *expr
	src              dsl.Range
}

type remedy struct {
	name, title string
	stage       string // in which it is carried out; empty: the unit need not be opened
	retest      []*outcomeRef
	covers      []string
	allowed     *expr
	needs       []*need
	regret      units.Quantity
	src         dsl.Range
}

type test struct {
	name, title string
	stage       string
	takes       units.Quantity
	runMost     units.Quantity
	runRest     units.Quantity
	lifted      []string
	across      []across
	steps       []string
	cautions    []string
	spoils      []string
	examines    []string
	applies     *expr
	needs       []*need
	values      []*value // readings and formulas in order
	named       map[string]*value
	pairs       map[string][2]*value // both ways: forward, back
	used        []*value             // conditions that the test touches
	passed      []passValue          // readings and conditions of other passes that its formulas compare with
	checks      []*check
	pattern     *check
	echoes      *test           // whose checks its checks follow
	renewed     map[string]bool // remedies after which only new limits count
	src         dsl.Range
}

// across names the terminals of a test, positive prod first.
type across struct {
	plus, minus string // titles
	when        *expr
}

// need is one member of a needs statement: a condition that must be recorded, a range it must lie in, or a gate.
type need struct {
	cond *value // nil for a gate
	pred *expr  // truth expression; nil when recording is enough
	gate *outcomeRef
	text string
	src  dsl.Range
}

type checkKind uint8

const (
	limitCheck checkKind = iota
	wordCheck
	alikeCheck
	gradeCheck
	patternCheck
	infoCheck
)

type check struct {
	kind      checkKind
	test      *test
	val       *value // nil for a pattern
	name      string // within its test; empty for a pattern
	outcomes  []outcome
	limits    []*limit // highest layer first
	rungs     []rung
	rows      []row
	pitch     *expr
	pitchWhen *expr
	steady    bool
	rising    bool
	src       dsl.Range
}

const maxOutcomes = 32

type outcome struct {
	word   string
	result Result
}

func (c *check) find(word string) int {
	for i, o := range c.outcomes {
		if o.word == word {
			return i
		}
	}
	return -1
}

// add appends an outcome unless it is there.
func (c *check) add(word string, r Result) int {
	if i := c.find(word); i >= 0 {
		return i
	}
	c.outcomes = append(c.outcomes, outcome{word, r})
	return len(c.outcomes) - 1
}

func (c *check) label() string {
	if c.name == "" {
		return c.test.name
	}
	return c.test.name + "." + c.name
}

type rung struct {
	outcome int
	cut     *expr // nil for the last
	upTo    bool  // the cut itself belongs to this rung
}

type row struct {
	outcome int
	when    *expr // nil for otherwise
	text    string
	src     dsl.Range
}

// limit is one way in which a value may be bounded, with the circumstances under which it counts.
type limit struct {
	layer    layer
	source   *source
	when     *expr
	index    []string // positions it is for; nil for all
	low      *bound
	high     *bound
	newLow   *bound
	newHigh  *bound
	words    uint64 // of a word limit: the good ones
	alike    *alikeLimit
	at       []reference
	along    *curve
	printed  string // as the sheet prints it
	whenText string
	newText  string
	declares bool // no shape: families bring the numbers
	src      dsl.Range
}

type bound struct {
	x    *expr
	open bool // the bound itself is out
}

type reference struct {
	cond *value
	si   float64
	text string
}

type curve struct {
	cond   *value
	linear bool
	rows   []curveRow
	down   bool // the first row holds below it too
	up     bool // the last row holds above it too
}

type curveRow struct {
	at        float64
	low, high *float64
	lowOpen   bool
	highOpen  bool
	printed   string
}

type alikeLimit struct {
	tolerance *expr
	relative  bool
	by        alikeMeasure
}

type alikeMeasure uint8

const (
	byMean alikeMeasure = iota
	bySpan
	byLeast
	byMedian
)

var alikeMeasures = map[string]alikeMeasure{"mean": byMean, "span": bySpan, "least": byLeast, "median": byMedian}

// outcomeRef names a check, or all checks of a test, with outcomes of interest. It is resolved by name when a program is bound, since an
// included unit may come from any family of its kind.
type outcomeRef struct {
	unit  string // name of the included unit, empty for the unit itself
	test  string
	value string // empty for the pattern or the only check
	alike bool
	index []string
	words []string // nil: any
	not   bool
	src   dsl.Range
}

type strength struct {
	always bool
	p      float64
	any    bool
}

type fault struct {
	name, title string
	axes        []*axis
	part        string
	occurs      []occurrence
	shows       []*show
	masks       []*mask
	leads       []lead
	with        []withRow
	causes      []string
	remedy      string
	orElse      string
	because     string
	bad         bool    // its positions were reported
	without     []*expr // conditions under which the fault does not exist: variants that leave it out
	src         dsl.Range
}

type occurrence struct {
	word string
	p    float64
	when *expr
	src  dsl.Range
}

type show struct {
	ref      *outcomeRef
	strength strength
	when     *expr
	src      dsl.Range
}

type mask struct {
	ref  *outcomeRef
	only []string // faults it hides the check from; nil for all
	when *expr
}

type lead struct {
	fault    string
	index    []string
	strength strength
}

type withRow struct {
	other string
	show  show
}
