package dsl

// Statements of faults and effects.

// Effect is a bundle of symptoms that several faults share.
type Effect struct {
	stmtNode
	Name  *Name `parser:"'effect' @@"`
	Title *Text `parser:"@@"`
	Body  []Stmt
}

// Fault is something that can be wrong, and what it shows.
//
//	fault diode_shorted of side, phase "Main diode shorted" { ... }
type Fault struct {
	stmtNode
	Name  *Name   `parser:"'fault' @@"`
	Of    []*Name `parser:"('of' @@ (',' @@)*)?"`
	Title *Text   `parser:"@@"`
	Body  []Stmt
}

type (
	// InPart says where the fault sits: part rotor
	InPart struct {
		stmtNode
		Name *Name `parser:"'part' @@"`
	}
	// Has takes in an effect: has no_output
	Has struct {
		stmtNode
		Name *Name `parser:"'has' @@"`
	}
	// Occurs is how frequent the fault is: occurs common when sets is single
	Occurs struct {
		stmtNode
		Word *Name `parser:"'occurs' ( @@"`
		Num  *Qty  `parser:"         | @@ )"`
		When Expr  `parser:"('when' @@)?"`
	}
	// Masks hides checks: masks ripple, load_drop
	Masks struct {
		stmtNode
		Refs []*Ref  `parser:"'masks' @@ (',' @@)*"`
		For  []*Name `parser:"('for' @@ (',' @@)*)?"`
		When Expr    `parser:"('when' @@)?"`
	}
	// From names causes outside the unit: from oil, belt
	From struct {
		stmtNode
		Names []*Name `parser:"'from' @@ (',' @@)*"`
	}
	// Strength says how surely: a word or a number. It is nil when nothing was written.
	Strength struct {
		Range
		Word string `parser:"  @('always'|'usually'|'often'|'sometimes'|'seldom'|'never')"`
		Num  string `parser:"| @Number"`
	}
	// Shows names outcomes that the fault causes.
	//
	//	shows output third | half usually when sets is single
	Shows struct {
		stmtNode
		Ref      *Ref      `parser:"'shows' @@"`
		Alts     *Alts     `parser:"@@"`
		Strength *Strength `parser:"@@?"`
		When     Expr      `parser:"('when' @@)?"`
	}
	// Leads names a consequence: leads to phase_burnt[phase] often
	Leads struct {
		stmtNode
		Ref      *Ref      `parser:"'leads' 'to' @@"`
		Strength *Strength `parser:"@@"`
	}
	// With says what the fault shows together with another.
	With struct {
		stmtNode
		Other    *Name     `parser:"'with' @@"`
		Ref      *Ref      `parser:"'shows' @@"`
		Alts     *Alts     `parser:"@@"`
		Strength *Strength `parser:"@@?"`
		When     Expr      `parser:"('when' @@)?"`
	}
	// UseRemedy names the remedy of a fault: remedy turn else fit_armature
	UseRemedy struct {
		stmtNode
		Name *Name `parser:"'remedy' @@"`
		Else *Name `parser:"('else' @@)?"`
	}
	// Because explains the fault to a person.
	Because struct {
		stmtNode
		Text *Text `parser:"'because' @@"`
	}
)
