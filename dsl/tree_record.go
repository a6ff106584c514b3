package dsl

// Records of readings, and trials.

// Record is what was read from one unit; a trial is a record with expectations.
//
//	record "J-1041" of tarnby_90 { ... }
type Record struct {
	stmtNode
	Keyword string `parser:"@('record'|'trial')"`
	Title   *Text  `parser:"@@"`
	Of      *Name  `parser:"'of' @@"`
	Body    []Stmt
}

// Pass is one round of readings.
//
//	pass as found by "bench 1" on 2026-03-02 { ... }
type Pass struct {
	stmtNode
	Stage string     `parser:"'pass' @('as found'|'in work'|'as left')"`
	By    *Text      `parser:"(  'by' @@"`
	On    *Date      `parser:" | 'on' @@"`
	At    []*AtValue `parser:" | 'at' @@ (',' @@)*)*"`
	Body  []Stmt
}

type (
	// AtValue is a condition with its value, and the meter it was read with: supply 12.05 V via vm5; or one reading of a performance: path.back OL
	AtValue struct {
		Range
		Name  *Ref   `parser:"@@"`
		Value *Value `parser:"@@"`
		Via   *Name  `parser:"('via' @@)?"`
	}
	// Taken is a reading, or a whole performance of a test.
	//
	//	taken output.current 41 A at supply 13.5 V with am17
	//	taken free_run { current 82 A, speed 3120 rpm } at supply 11.0 V
	Taken struct {
		stmtNode
		Ref    *Ref       `parser:"'taken' @@"`
		Value  *Value     `parser:"( @@"`
		Values []*AtValue `parser:"| '{' @@ (',' @@)* '}' )"`
		At     []*AtValue `parser:"(  'at' @@ (',' @@)*"`
		With   *Name      `parser:" | 'with' @@"`
		Void   *Text      `parser:" | 'void' @@"`
		Was    *Was       `parser:" | @@)*"`
	}
	// Was keeps what a reading was before somebody amended it.
	//
	//	was 46.1 A by "bench 2" on 2026-03-05 because "point misplaced"
	Was struct {
		Range
		Value   *Value `parser:"'was' @@"`
		By      *Text  `parser:"'by' @@"`
		On      *Date  `parser:"('on' @@)?"`
		Because *Text  `parser:"'because' @@"`
	}
	// Skip says why a reading was not taken: skip drain.current no_time
	Skip struct {
		stmtNode
		Ref    *Ref  `parser:"'skip' @@"`
		Reason *Name `parser:"@@"`
		Note   *Text `parser:"@@?"`
	}
	// Gives is what a trial expects of a check, Finds what it expects of a fault.
	Gives struct {
		stmtNode
		Ref  *Ref  `parser:"'gives' @@"`
		Alts *Alts `parser:"'is' @@"`
	}
	Finds struct {
		stmtNode
		Name *Ref  `parser:"'finds' @@"`
		Alts *Alts `parser:"'is' @@"`
	}
	// Work is a remedy carried out, of an included unit with its name in front: work fit_brushes, work battery.charge
	Work struct {
		stmtNode
		Name *Ref  `parser:"'work' @@"`
		Note *Text `parser:"@@?"`
	}
	// UnitIs says which unit is included: unit battery is bench_650
	UnitIs struct {
		stmtNode
		Name   *Name `parser:"'unit' @@"`
		Family *Name `parser:"'is' @@"`
	}
	// ByShop says whose limits and rules count: shop quayside
	ByShop struct {
		stmtNode
		Name *Name `parser:"'shop' @@"`
	}
	// RecordText is serial, earlier or note.
	RecordText struct {
		stmtNode
		Keyword string `parser:"@('serial'|'earlier'|'note')"`
		Text    *Text  `parser:"@@"`
	}
	// Complaint is what the customer says: complaint "No charge" is reproduced
	Complaint struct {
		stmtNode
		Text *Text `parser:"'complaint' @@"`
		Is   *Name `parser:"('is' @@)?"`
	}
	// RecordDate is built or judge with a day.
	RecordDate struct {
		stmtNode
		Keyword string `parser:"@('built'|'judge')"`
		Date    *Date  `parser:"@@"`
	}
	// Cleared says that a cause was dealt with.
	Cleared struct {
		stmtNode
		Name *Name `parser:"'cleared' @@"`
		Note *Text `parser:"@@?"`
	}
	// DateCode is the stamped code: date_code "4K17" decade 1990
	DateCode struct {
		stmtNode
		Text   *Text `parser:"'date_code' @@"`
		Decade *Qty  `parser:"('decade' @@)?"`
	}
	// Meter is one instrument of the shop: meter dm3 is ohmmeter number "DM-3" due 2026-01-15
	Meter struct {
		stmtNode
		Name   *Name `parser:"'meter' @@"`
		Is     *Name `parser:"'is' @@"`
		Number *Text `parser:"(  'number' @@"`
		Due    *Date `parser:" | 'due' @@)*"`
	}
)

// Value is a reading as written: a quantity, a range in which one true value lies, a moving one, OL, words, a text, or a list in round brackets.
type Value struct {
	Range
	List    bool    `parser:"(  @'('"`
	Items   []*Item `parser:"   @@+ ')'"`
	Side    string  `parser:" | @('<'|'>')?"`
	Low     *Qty    `parser:"   @@"`
	High    *Qty    `parser:"   ('to' @@"`
	Jumping bool    `parser:"     @'jumping'?)?"`
	OL      bool    `parser:" | @'OL'"`
	Words   []*Name `parser:" | @@ ('|' @@)*"`
	Text    *Text   `parser:" | @@ )"`
}

// Item is one member of a list.
type Item struct {
	Range
	Side string `parser:"(  @('<'|'>')?"`
	Num  *Qty   `parser:"   @@"`
	OL   bool   `parser:" | @'OL'"`
	Word *Name  `parser:" | @@ )"`
}
