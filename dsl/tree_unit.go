package dsl

import "strings"

// Statements that describe kinds, families and shops.

// A Block is a kind, a family or a shop.
//
//	kind gear_motor "Gear-reduction cranking motor" of cranking_motor { ... }
type Block struct {
	stmtNode
	Keyword string `parser:"@('kind'|'family'|'shop')"`
	Name    *Name  `parser:"@@"`
	Title   *Text  `parser:"@@?"`
	Of      *Name  `parser:"('of' @@)?"`
	Body    []Stmt
}

// A Variant changes a family for the units that its condition selects.
//
//	variant late "plate suffix B" when serial at least "H70001" { ... }
type Variant struct {
	stmtNode
	Name  *Name `parser:"'variant' @@"`
	Title *Text `parser:"@@?"`
	When  Expr  `parser:"'when' @@"`
	Body  []Stmt
}

// Under gives every limit in it the same source.
//
//	under tarnby_7 { ... }
type Under struct {
	stmtNode
	Source *Name `parser:"'under' @@"`
	Body   []Stmt
}

// Replace puts a whole test, fault or remedy in the place of one of a lower layer.
//
//	replace test ripple "Ripple, 24 V" { ... }
type Replace struct {
	stmtNode
	Keyword string `parser:"@'replace'"`
	Decl    Stmt
}

// Without removes a declaration of a lower layer.
//
//	without fault capacitor_open
type Without struct {
	stmtNode
	What *Name `parser:"'without' @@"`
	Ref  *Ref  `parser:"@@"`
}

// Include takes another kind in as part of the job.
//
//	include battery as front, rear when nominal is 24 V
type Include struct {
	stmtNode
	Kind *Name   `parser:"'include' @@"`
	As   []*Name `parser:"'as' @@ (',' @@)*"`
	When Expr    `parser:"('when' @@)?"`
}

// Require is a condition that every job must meet.
//
//	require battery.nominal equals nominal "battery and unit differ in voltage"
type Require struct {
	stmtNode
	Cond    Expr  `parser:"'require' @@"`
	Message *Text `parser:"@@"`
}

// Attribute is a property of a unit, Condition a circumstance of a reading.
//
//	attribute poles : count  ask "Count the fingers of both claws."
//	condition winding_temp : °C  likely -10 °C to 70 °C
type Attribute struct {
	stmtNode
	Keyword string    `parser:"@('attribute'|'condition')"`
	Name    *Name     `parser:"@@"`
	Type    *Type     `parser:"':' @@"`
	Note    *Text     `parser:"@@?"`
	Ask     *Text     `parser:"(  'ask' @@"`
	With    *Name     `parser:" | 'with' @@"`
	Likely  RangeExpr `parser:" | 'likely' @@)*"`
}

// RangeExpr is a range of values, as after likely or range.
type RangeExpr interface{ Predicate }

// Positions names the members of a list.
//
//	positions phase "phase" : u, v, w
//	positions bar "bar" : 1 to bars
type Positions struct {
	stmtNode
	Name  *Name   `parser:"'positions' @@"`
	Title *Text   `parser:"@@?"`
	From  *Qty    `parser:"':' ( @@"`
	To    Factor  `parser:"  'to' @@"`
	Words []*Name `parser:"| @@ (',' @@)* )"`
}

// Factor is an Expr of one operand.
type Factor interface{ Expr }

// Polarity says for which ground the prods of the sheet are written.
//
//	polarity negative
type Polarity struct {
	stmtNode
	Word *Name `parser:"'polarity' @@"`
}

// Terminal is a place for a prod, Caution a warning before a step.
//
//	terminal stud "output stud" side insulated
//	caution spin "Guard on before it turns."
type Terminal struct {
	stmtNode
	Keyword string `parser:"@('terminal'|'caution')"`
	Name    *Name  `parser:"@@"`
	Title   *Text  `parser:"@@"`
	Side    *Name  `parser:"('side' @@)?"`
}

// Stage is a state of teardown.
//
//	stage opened "frames apart" after assembled takes 20 min back 20 min
type Stage struct {
	stmtNode
	Name  *Name `parser:"'stage' @@"`
	Title *Text `parser:"@@?"`
	After *Name `parser:"('after' @@"`
	Takes *Qty  `parser:" 'takes' @@"`
	Back  *Qty  `parser:" ('back' @@)? )?"`
}

// Part is what can be bought or mended.
//
//	part brushes "Brush set" bought set
type Part struct {
	stmtNode
	Name   *Name `parser:"'part' @@"`
	Title  *Text `parser:"@@"`
	Within *Name `parser:"(  'within' @@"`
	Bought *Name `parser:" | 'bought' @@)*"`
}

// Cause is a root cause outside the part.
//
//	cause reversed "Battery reversed" ask "Was it jump-started?"
type Cause struct {
	stmtNode
	Name  *Name `parser:"'cause' @@"`
	Title *Text `parser:"@@"`
	Seen  Expr  `parser:"( 'seen' 'by' @@"`
	Ask   *Text `parser:"| 'ask' @@)*"`
}

// Source is where limits come from.
//
//	source tarnby_7 "Tarnby bench sheet 7" edition "3" from 2007-01-01
type Source struct {
	stmtNode
	Name    *Name `parser:"'source' @@"`
	Title   *Text `parser:"@@"`
	Edition *Text `parser:"(  'edition' @@"`
	From    *Date `parser:" | 'from' @@"`
	Until   *Date `parser:" | 'until' @@"`
	Status  *Name `parser:" | 'status' @@)*"`
}

// Instrument is a class of meter with its accuracy.
//
//	instrument voltmeter : V accuracy ± (0.5 % + 2 digits) digit 0.01 V
type Instrument struct {
	stmtNode
	Name     *Name         `parser:"'instrument' @@"`
	Type     *Type         `parser:"':' @@"`
	Accuracy AccuracyExpr  `parser:"(  'accuracy' '±' @@"`
	Shape    *Name         `parser:" | 'distribution' @@"`
	Ranges   []*MeterRange `parser:" | 'ranges' '{' @@* '}'"`
	Digit    *Qty          `parser:" | 'digit' @@"`
	Scale    RangeExpr     `parser:" | 'range' @@"`
	Zero     Factor        `parser:" | 'zero' '±' @@"`
	Forbids  []*Name       `parser:" | 'forbids' @@ (',' @@)*)*"`
}

// MeterRange is one range of an instrument with several: row 4 V : ± (0.5 % + 2 digits) digit 0.001 V
type MeterRange struct {
	Range
	Full     *Qty         `parser:"'row' @@ ':'"`
	Accuracy AccuracyExpr `parser:"(  '±' @@"`
	Digit    *Qty         `parser:" | 'digit' @@)*"`
}

// A Law is a correction of the sheet's own: how a reading depends on a condition, and where that holds.
//
//	law feed_wire "Resistance wire" of r : Ω from t : °C to t0 = r * (1 + (t0 - t) / 2500 K) when t within 0 °C to 80 °C per house
type Law struct {
	stmtNode
	Name  *Name `parser:"'law' @@"`
	Title *Text `parser:"@@"`
	Of    *Name `parser:"'of' @@"`
	Type  *Type `parser:"':' @@"`
	From  *Name `parser:"'from' @@"`
	Cond  *Type `parser:"':' @@"`
	To    *Name `parser:"'to' @@"`
	X     Sum   `parser:"'=' @@"`
	When  Expr  `parser:"'when' @@"`
	Per   *Name `parser:"('per' @@)?"`
}

// AccuracyExpr is an *Accuracy.
type AccuracyExpr interface {
	Node
	accuracy()
}

// Accuracy is a sum of parts: a share of the reading, a share of the range, digits, an absolute error.
//
//	(0.5 % + 0.1 % of range + 2 digits)
type Accuracy struct {
	Range
	Parts []AccuracyPart
}

func (*Accuracy) accuracy() {}

// AccuracyPart is one part of an Accuracy.
type AccuracyPart struct {
	Qty     *Qty
	OfRange bool
}

// Remedy is what to fit or mend.
//
//	remedy fit_rotor "Fit another rotor" { retest ring_field, output }
type Remedy struct {
	stmtNode
	Name  *Name `parser:"'remedy' @@"`
	Title *Text `parser:"@@"`
	Body  []Stmt
}

// Retest, Covers, Allowed and Regret stand inside a remedy.
type (
	Retest struct {
		stmtNode
		Refs []*Ref `parser:"'retest' @@ (',' @@)*"`
	}
	Covers struct {
		stmtNode
		Names []*Name `parser:"'covers' @@ (',' @@)*"`
	}
	Allowed struct {
		stmtNode
		Cond Expr `parser:"'allowed' @@"`
	}
	Regret struct {
		stmtNode
		Cost *Qty `parser:"'regret' @@"`
	}
)

// Set gives an attribute its value.
//
//	set poles 12 by "counted"
type Set struct {
	stmtNode
	Name  *Name  `parser:"'set' @@"`
	Value *Value `parser:"@@"`
	By    *Text  `parser:"(  'by' @@"`
	Per   *Name  `parser:" | 'per' @@)?"`
}

// Decide names the decision rule of a shop.
//
//	decide guard 1.65 u
type Decide struct {
	stmtNode
	Rule   *Name `parser:"'decide' @@"`
	Factor *Qty  `parser:"@@?"`
}

// Renew lists parts that a shop replaces regardless.
type Renew struct {
	stmtNode
	Parts []*Name `parser:"'renew' @@ (',' @@)*"`
}

// Release lists the checks that must be decided and good before a unit is called serviceable.
type Release struct {
	stmtNode
	Refs []*Ref `parser:"'release' @@ (',' @@)*"`
}

// Accept accepts findings of a code in the block that it stands in, with a reason. The code is written with _ for -.
//
//	accept short_band "The meter is the best we have."
type Accept struct {
	stmtNode
	Code   *Name `parser:"'accept' @@"`
	Reason *Text `parser:"@@"`
}

// SeverityIs says how much findings of a code matter to a shop.
//
//	severity short_band is error
type SeverityIs struct {
	stmtNode
	Code *Name `parser:"'severity' @@"`
	Word *Name `parser:"'is' @@"`
}

// CodeNamed returns the code that a sheet writes as a name, with _ for -.
func CodeNamed(name string) Code { return Code(strings.ReplaceAll(name, "_", "-")) }
