package dsl

import (
	"reflect"
	"sync"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
)

// A scope is the set of statements that a block can hold, found by their first word.
type scope struct {
	name       string
	statements map[string]*production
	words      []string // the first words, in order
}

// A production parses the head of one statement. Inner is the scope of its block, nil for a statement without one; form shows how it is
// written.
type production struct {
	parse func(*lexer.PeekingLexer) (Stmt, error)
	inner *scope
	form  string
	parts *parts // that can stand once only
}

var (
	declScope   = &scope{name: "sheet"}
	testScope   = &scope{name: "test"}
	faultScope  = &scope{name: "fault"}
	remedyScope = &scope{name: "remedy"}
	recordScope = &scope{name: "record"}
	allScopes   = []*scope{declScope, testScope, faultScope, remedyScope, recordScope}
)

func init() {
	declScope.statements = map[string]*production{
		"use":        of[Use](nil, `use "practice.sheet"`),
		"kind":       of[Block](declScope, `kind motor "Cranking motor" { ... }`),
		"family":     of[Block](declScope, `family motor_24 "Cranking motor, 24 V" of motor { ... }`),
		"shop":       of[Block](declScope, `shop our_bench "Our bench" { ... }`),
		"variant":    of[Variant](declScope, `variant late "from serial B 500" when serial at least "B500" { ... }`),
		"under":      of[Under](declScope, `under bench_sheet_3 { ... }`),
		"replace":    of[Replace](nil, `replace test free_run "Free run, 24 V" { ... }`),
		"without":    of[Without](nil, `without fault capacitor_open`),
		"include":    of[Include](nil, `include battery as front, rear when nominal is 24 V`),
		"require":    of[Require](nil, `require battery.nominal equals nominal "battery and unit differ in voltage"`),
		"attribute":  of[Attribute](nil, `attribute poles : count ask "Count the pole shoes."`),
		"condition":  of[Attribute](nil, `condition winding_temp : °C likely 10 °C to 40 °C`),
		"positions":  of[Positions](nil, `positions phase "phase" : u, v, w`),
		"polarity":   of[Polarity](nil, `polarity negative`),
		"terminal":   of[Terminal](nil, `terminal stud "output stud" side insulated`),
		"caution":    of[Terminal](nil, `caution spin "Guard on before it turns."`),
		"stage":      of[Stage](nil, `stage opened "frames apart" after assembled takes 15 min back 10 min`),
		"part":       of[Part](nil, `part brushes "Brush set" bought set`),
		"cause":      of[Cause](nil, `cause reversed "Battery reversed" ask "Was it jump-started?"`),
		"source":     of[Source](nil, `source bench_sheet_3 "Bench sheet 3" edition "2" from 2011-04-01`),
		"instrument": of[Instrument](nil, `instrument voltmeter : V accuracy ± (0.4 % + 3 digits) digit 0.01 V`),
		"law":        of[Law](nil, `law feed_wire "Resistance wire" of r : Ω from t : °C to t0 = r * (1 + (t0 - t) / 2500 K) when t within 0 °C to 80 °C`),
		"remedy":     of[Remedy](remedyScope, `remedy fit_brushes "Fit a brush set" { ... }`),
		"effect":     of[Effect](faultScope, `effect no_output "Dead output" { ... }`),
		"fault":      of[Fault](faultScope, `fault brushes_worn "Brushes worn" { ... }`),
		"test":       of[Test](testScope, `test free_run "Free run" { ... }`),
		"limit":      of[Limit](nil, `limit free_run.current at most 3.1 A at supply 13 V`),
		"set":        of[Set](nil, `set poles 14`),
		"decide":     of[Decide](nil, `decide guard 1.65 u`),
		"renew":      of[Renew](nil, `renew brushes, bearings`),
		"release":    of[Release](nil, `release free_run, insulation`),
		"accept":     of[Accept](nil, `accept short_band "The meter is the best we have."`),
		"severity":   of[SeverityIs](nil, `severity short_band is error`),
		"record":     of[Record](recordScope, `record "J-17" of motor_24 { ... }`),
		"trial":      of[Record](recordScope, `trial "brushes worn" of motor_24 { ... }`),
	}
	testScope.statements = map[string]*production{
		"stage":     of[AtStage](nil, `stage opened`),
		"takes":     of[Takes](nil, `takes 4 min`),
		"needs":     of[Needs](nil, `needs winding_temp, supply within 12.5 V to 13.5 V, by_hand is good`),
		"applies":   of[Applies](nil, `applies when capacitor is fitted`),
		"caution":   of[TestNames](nil, `caution spin`),
		"spoils":    of[TestNames](nil, `spoils seals`),
		"examines":  of[TestNames](nil, `examines brushes`),
		"echoes":    of[Echoes](nil, `echoes free_run`),
		"lifted":    of[Lifted](nil, `lifted "motor lead"`),
		"across":    of[Across](nil, `across stud to frame`),
		"run":       of[Run](nil, `run at most 25 s rest 3 min`),
		"step":      of[Step](nil, `step "Turn it slowly by hand."`),
		"read":      of[Read](nil, `read current : A with ammeter`),
		"correct":   of[Correct](nil, `correct resistance by copper from winding_temp`),
		"let":       of[Let](nil, `let resistance = supply / current`),
		"limit":     of[Limit](nil, `limit current at most 3.1 A`),
		"positions": of[Positions](nil, `positions brush "brush" : upper, lower`),
		"grade":     of[Grade](nil, `grade level : none below 8 % | low below 80 % | good`),
		"outcome":   of[Outcome](nil, `outcome drag as fail when current is high and speed is low`),
		"pitch":     of[Pitch](nil, `pitch bars / 2 when winding is wave`),
		"accept":    of[Accept](nil, `accept short_band "The meter is the best we have."`),
	}
	faultScope.statements = map[string]*production{
		"part":    of[InPart](nil, `part brushes`),
		"has":     of[Has](nil, `has no_output`),
		"occurs":  of[Occurs](nil, `occurs common`),
		"masks":   of[Masks](nil, `masks ripple, drain for capacitor_open`),
		"from":    of[From](nil, `from oil, belt`),
		"shows":   of[Shows](nil, `shows free_run low | stalled usually`),
		"leads":   of[Leads](nil, `leads to rotor_burnt often`),
		"with":    of[With](nil, `with bearing_worn shows free_run.current high always`),
		"remedy":  of[UseRemedy](nil, `remedy turn else fit_armature`),
		"because": of[Because](nil, `because "Oil softens the brush and it sticks in its box."`),
		"accept":  of[Accept](nil, `accept unseparated_faults "Told apart by the part that comes off."`),
	}
	remedyScope.statements = map[string]*production{
		"stage":   of[AtStage](nil, `stage opened`),
		"retest":  of[Retest](nil, `retest free_run, insulation`),
		"covers":  of[Covers](nil, `covers clean_commutator`),
		"allowed": of[Allowed](nil, `allowed diameter.reading at least 30.5 mm`),
		"regret":  of[Regret](nil, `regret 40 min`),
		"needs":   of[Needs](nil, `needs insulation is good`),
		"accept":  of[Accept](nil, `accept no_retest "The part is new from its box."`),
	}
	recordScope.statements = map[string]*production{
		"taken":     of[Taken](nil, `taken free_run.current 2.9 A at supply 13.1 V with am4`),
		"skip":      of[Skip](nil, `skip drain.current no_time`),
		"gives":     of[Gives](nil, `gives free_run is low | stalled`),
		"finds":     of[Finds](nil, `finds brushes_worn is shown | possible`),
		"set":       of[Set](nil, `set poles 14 by "counted"`),
		"work":      of[Work](nil, `work fit_brushes`),
		"pass":      of[Pass](recordScope, `pass as found by "bench 1" on 2026-03-02 { ... }`),
		"unit":      of[UnitIs](nil, `unit battery is bench_80`),
		"shop":      of[ByShop](nil, `shop our_bench`),
		"serial":    of[RecordText](nil, `serial "B 512"`),
		"earlier":   of[RecordText](nil, `earlier "J-9"`),
		"note":      of[RecordText](nil, `note "Belt dust everywhere."`),
		"complaint": of[Complaint](nil, `complaint "Cranks only cold" is reproduced`),
		"built":     of[RecordDate](nil, `built 2019-06-01`),
		"judge":     of[RecordDate](nil, `judge 2026-03-02`),
		"cleared":   of[Cleared](nil, `cleared oil "gasket renewed"`),
		"date_code": of[DateCode](nil, `date_code "9C02" decade 2010`),
		"meter":     of[Meter](nil, `meter am4 is ammeter number "AM-4" due 2026-09-01`),
	}
	collectWords()
}

var allowTrailing = participle.AllowTrailing(true)

// of makes the production of statement type T, whose head the participle grammar in T's tags describes.
func of[T any, S interface {
	*T
	Stmt
}](inner *scope, form string) *production {
	parse := func(lex *lexer.PeekingLexer) (Stmt, error) {
		p, err := participle.ParserForProduction[T](statementParser())
		if err != nil {
			return nil, err
		}
		node, err := p.ParseFromLexer(lex, allowTrailing)
		return S(node), err
	}
	return &production{parse: parse, inner: inner, form: form, parts: partsOf(reflect.TypeFor[T]())}
}

// statements lists every statement type once, so that one participle parser holds all productions.
type statements struct {
	Use        *Use        `parser:"  @@"`
	Block      *Block      `parser:"| @@"`
	Variant    *Variant    `parser:"| @@"`
	Under      *Under      `parser:"| @@"`
	Replace    *Replace    `parser:"| @@"`
	Without    *Without    `parser:"| @@"`
	Include    *Include    `parser:"| @@"`
	Require    *Require    `parser:"| @@"`
	Attribute  *Attribute  `parser:"| @@"`
	Positions  *Positions  `parser:"| @@"`
	Polarity   *Polarity   `parser:"| @@"`
	Terminal   *Terminal   `parser:"| @@"`
	Stage      *Stage      `parser:"| @@"`
	Part       *Part       `parser:"| @@"`
	Cause      *Cause      `parser:"| @@"`
	Source     *Source     `parser:"| @@"`
	Instrument *Instrument `parser:"| @@"`
	Law        *Law        `parser:"| @@"`
	Remedy     *Remedy     `parser:"| @@"`
	Retest     *Retest     `parser:"| @@"`
	Covers     *Covers     `parser:"| @@"`
	Allowed    *Allowed    `parser:"| @@"`
	Regret     *Regret     `parser:"| @@"`
	Set        *Set        `parser:"| @@"`
	Decide     *Decide     `parser:"| @@"`
	Renew      *Renew      `parser:"| @@"`
	Release    *Release    `parser:"| @@"`
	Accept     *Accept     `parser:"| @@"`
	Severity   *SeverityIs `parser:"| @@"`
	Test       *Test       `parser:"| @@"`
	AtStage    *AtStage    `parser:"| @@"`
	Takes      *Takes      `parser:"| @@"`
	Needs      *Needs      `parser:"| @@"`
	Applies    *Applies    `parser:"| @@"`
	TestNames  *TestNames  `parser:"| @@"`
	Echoes     *Echoes     `parser:"| @@"`
	Lifted     *Lifted     `parser:"| @@"`
	Across     *Across     `parser:"| @@"`
	Run        *Run        `parser:"| @@"`
	Step       *Step       `parser:"| @@"`
	Read       *Read       `parser:"| @@"`
	Correct    *Correct    `parser:"| @@"`
	Let        *Let        `parser:"| @@"`
	Grade      *Grade      `parser:"| @@"`
	Outcome    *Outcome    `parser:"| @@"`
	Pitch      *Pitch      `parser:"| @@"`
	Limit      *Limit      `parser:"| @@"`
	Effect     *Effect     `parser:"| @@"`
	Fault      *Fault      `parser:"| @@"`
	InPart     *InPart     `parser:"| @@"`
	Has        *Has        `parser:"| @@"`
	Occurs     *Occurs     `parser:"| @@"`
	Masks      *Masks      `parser:"| @@"`
	From       *From       `parser:"| @@"`
	Shows      *Shows      `parser:"| @@"`
	Leads      *Leads      `parser:"| @@"`
	With       *With       `parser:"| @@"`
	UseRemedy  *UseRemedy  `parser:"| @@"`
	Because    *Because    `parser:"| @@"`
	Record     *Record     `parser:"| @@"`
	Pass       *Pass       `parser:"| @@"`
	Taken      *Taken      `parser:"| @@"`
	Skip       *Skip       `parser:"| @@"`
	Gives      *Gives      `parser:"| @@"`
	Finds      *Finds      `parser:"| @@"`
	Work       *Work       `parser:"| @@"`
	UnitIs     *UnitIs     `parser:"| @@"`
	ByShop     *ByShop     `parser:"| @@"`
	RecordText *RecordText `parser:"| @@"`
	Complaint  *Complaint  `parser:"| @@"`
	RecordDate *RecordDate `parser:"| @@"`
	Cleared    *Cleared    `parser:"| @@"`
	DateCode   *DateCode   `parser:"| @@"`
	Meter      *Meter      `parser:"| @@"`
}

// statementParser is built on first use; it is immutable afterwards.
var statementParser = sync.OnceValue(func() *participle.Parser[statements] {
	return participle.MustBuild[statements](
		participle.Lexer(lexerDefinition{}),
		participle.UseLookahead(0), // every alternative is told by its first token
		participle.ParseTypeWith(parseExpr),
		participle.ParseTypeWith(parseSum),
		participle.ParseTypeWith(parseFactor),
		participle.ParseTypeWith(parsePredicate),
		participle.ParseTypeWith(parseShape),
		participle.ParseTypeWith(parseOptShape),
		participle.ParseTypeWith(parseRange),
		participle.ParseTypeWith(parseAccuracy),
	)
})
