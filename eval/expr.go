package eval

import (
	"github.com/brushgear/brushgear/dsl"
)

type exprOp uint8

const (
	opConst exprOp = iota
	opText
	opDate
	opValue    // a value of this unit
	opOfPass   // a value of this test as it was in another pass
	opForeign  // a value of an included unit, found by name when bound
	opVariant  // whether a variant applies
	opPosition // the position of a fault of positions
	opSerial   // the serial of the unit
	opBuilt    // the build date
	opOutcome  // whether an outcome reference holds
	opWordIs   // a word value against a set of words
	opTextIs   // a text against texts
	opNumberIs // a number against exact values
	opAdd
	opSub
	opMul
	opDiv
	opAnd
	opOr
	opNot
	opAtLeast
	opAtMost
	opAbove
	opBelow
	opEquals
	opEach
	opAny
	opCount
	opHighest
	opLowest
	opMiddle
	opMean
	opTotal
	opSpan
	opAbs
	opPower
	opAlike
)

// expr is a checked expression. Constants are in SI base units; words and outcomes are resolved against their types.
type expr struct {
	op      exprOp
	typ     vtype
	args    []*expr
	num     float64
	text    string
	texts   []string
	mask    uint64 // of opWordIs
	negate  bool   // of opWordIs, opTextIs, opNumberIs
	val     *value
	unit    string // included unit of opForeign
	pass    string // stage of opOfPass
	index   []string
	ref     *outcomeRef
	alike   *alikeLimit
	variant *variant
	axis    *axis // of opPosition
	fixed   bool  // depends on attributes alone, so that it is known before any reading
	src     dsl.Range
}

// constant tells whether the expression is a number written in the sheet.
func (e *expr) constant() (float64, bool) {
	if e == nil || e.op != opConst || e.typ.class == badClass {
		return 0, false
	}
	return e.num, true
}
