package dsl

// Statements of a test, and limits.

// Test is a measurement or an observation with its checks.
//
//	test ring_field "Field, ring to ring" { ... }
type Test struct {
	stmtNode
	Name  *Name `parser:"'test' @@"`
	Title *Text `parser:"@@"`
	Body  []Stmt
}

type (
	// AtStage says how far the unit is taken apart: stage opened
	AtStage struct {
		stmtNode
		Name *Name `parser:"'stage' @@"`
	}
	// Takes is the time of the test at the bench: takes 5 min
	Takes struct {
		stmtNode
		Time *Qty `parser:"'takes' @@"`
	}
	// Needs lists conditions to record, ranges they must lie in, and gates.
	//
	//	needs supply, speed within 6000 rpm ± 100 rpm, battery.open_circuit is good
	Needs struct {
		stmtNode
		List []*Need `parser:"'needs' @@ (',' @@)*"`
	}
	// Need is one member of Needs.
	Need struct {
		Range
		Ref  *Ref         `parser:"@@"`
		Pred OptPredicate `parser:"@@?"`
	}
	// OptPredicate is a Predicate that may be absent.
	OptPredicate interface{ Predicate }

	// Applies says for which units the test is meant: applies when trio is fitted
	Applies struct {
		stmtNode
		When Expr `parser:"'applies' 'when' @@"`
	}
	// TestNames is caution, spoils or examines with names.
	TestNames struct {
		stmtNode
		Keyword string  `parser:"@('caution'|'spoils'|'examines')"`
		Names   []*Name `parser:"@@ (',' @@)*"`
	}
	// Echoes makes the checks follow those of another test for faults that do not name them.
	Echoes struct {
		stmtNode
		Ref *Ref `parser:"'echoes' @@"`
	}
	// Lifted says which lead is off: lifted "stator leads"
	Lifted struct {
		stmtNode
		What *Text `parser:"'lifted' @@"`
	}
	// Across names the terminals, positive prod first: across stud to frame
	Across struct {
		stmtNode
		Plus  *Name `parser:"'across' @@"`
		Minus *Name `parser:"'to' @@"`
		When  Expr  `parser:"('when' @@)?"`
	}
	// Run limits the time under power: run at most 30 s rest 2 min
	Run struct {
		stmtNode
		Most *Qty `parser:"'run' 'at most' @@"`
		Rest *Qty `parser:"('rest' @@)?"`
	}
	// Step is a line of instruction.
	Step struct {
		stmtNode
		Text *Text `parser:"'step' @@"`
	}
	// Read declares a reading.
	//
	//	read drop of side, phase both ways : V with diode_range
	Read struct {
		stmtNode
		Name     *Name   `parser:"'read' @@"`
		Of       []*Name `parser:"('of' @@ (',' @@)*)?"`
		At       *Name   `parser:"('at' @@)?"`
		BothWays bool    `parser:"@'both ways'?"`
		Type     *Type   `parser:"':' @@"`
		Note     *Text   `parser:"@@?"`
		With     *Name   `parser:"(  'with' @@"`
		First    bool    `parser:" | @'first'"`
		After    *Qty    `parser:" | 'after' @@)*"`
	}
	// Correct brings readings to the limit's conditions by a named law.
	//
	//	correct resistance by copper from winding_temp
	//	correct gravity by linear (0.004 per 10 °F) from electrolyte_temp to 80 °F
	Correct struct {
		stmtNode
		Names []*Name `parser:"'correct' @@ (',' @@)*"`
		Law   *Name   `parser:"'by' @@"`
		Arg   Sum     `parser:"('(' @@"`
		Per   *Qty    `parser:"  ('per' @@)? ')')?"`
		From  *Name   `parser:"'from' @@"`
		To    *Qty    `parser:"('to' @@)?"`
	}
	// Let names a formula: let level = current / rated
	Let struct {
		stmtNode
		Name *Name `parser:"'let' @@"`
		X    Expr  `parser:"'=' @@"`
	}
	// Grade cuts a value into outcomes at rising points.
	//
	//	grade length : worn below 5 mm | reusable as marginal below 11 mm | good
	Grade struct {
		stmtNode
		Ref   *Ref    `parser:"'grade' @@"`
		Rungs []*Rung `parser:"':' @@ ('|' @@)*"`
	}
	// Rung is one outcome of a Grade. Op is "below" or "to"; the last rung has none.
	Rung struct {
		Range
		Word *Name  `parser:"@@"`
		As   *Name  `parser:"('as' @@)?"`
		Op   string `parser:"( @('below'|'to')"`
		Cut  Sum    `parser:"  @@ )?"`
	}
	// Outcome is one row of a pattern; the first that holds wins, otherwise stands last.
	//
	//	outcome drag as fail when current is high and speed is low
	Outcome struct {
		stmtNode
		Word      *Name `parser:"'outcome' @@"`
		As        *Name `parser:"('as' @@)?"`
		When      Expr  `parser:"( 'when' @@"`
		Otherwise bool  `parser:"| @'otherwise' )"`
	}
	// Pitch makes two odd readings that far apart one finding: pitch bars / 2 when winding is wave
	Pitch struct {
		stmtNode
		Distance Sum  `parser:"'pitch' @@"`
		When     Expr `parser:"('when' @@)?"`
	}
)

// Limit bounds a value.
//
//	limit ring_field.resistance 2.4 to 2.8 Ω at winding_temp 20 °C per tarnby_7
//	limit runout at most 0.10 mm new at most 0.05 mm
//	limit volts along case_temp linear { row 25 °C : 14.1 V to 14.7 V }
type Limit struct {
	stmtNode
	Ref   *Ref     `parser:"'limit' @@"`
	Shape OptShape `parser:"@@?"`
	New   Shape    `parser:"(  'new' @@"`
	At    []*AtQty `parser:" | 'at' @@ (',' @@)*"`
	When  Expr     `parser:" | 'when' @@"`
	Per   *Name    `parser:" | 'per' @@"`
	Along *Along   `parser:" | @@)*"`
}

// OptShape is a Shape that may be absent.
type OptShape interface{ Predicate }

// AtQty is a reference condition of a limit.
type AtQty struct {
	Range
	Name *Name `parser:"@@"`
	Qty  *Qty  `parser:"@@"`
}

// Along is a limit that changes with another quantity.
type Along struct {
	Range
	Name *Name  `parser:"'along' @@"`
	How  string `parser:"@('linear'|'steps')"`
	Rows []*Row `parser:"'{' @@* '}'"`
}

// Row is one point of an Along. Open is "up", "down" or empty.
type Row struct {
	Range
	At    *Qty   `parser:"'row' @@"`
	Open  string `parser:"@('up'|'down')?"`
	Shape Shape  `parser:"':' @@"`
}
