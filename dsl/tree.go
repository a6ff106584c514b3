package dsl

import "github.com/brushgear/brushgear/units"

// A Node is anything in the tree that covers a stretch of source.
type Node interface{ Span() Range }

// A File is one parsed source file.
//
//	brushgear 1
//	use "practice.sheet"
//	kind alternator "Alternator" { ... }
type File struct {
	Name    string
	Version int    // language version of the first line, 0 when it is missing
	Uses    []*Use // files named by use, in order
	Decls   []Stmt // declarations, records and trials; also *Bad
	Source  string

	tokens []token
	starts []int // offsets at which statements start, in order; replace and what it replaces are one statement
	diags  Diagnostics
}

// Diagnostics returns the findings of parsing the file, in source order.
func (f *File) Diagnostics() Diagnostics { return f.diags }

// A Stmt is a declaration or a statement inside a block.
type Stmt interface {
	Node
	stmt()
}

type stmtNode struct{ Range }

func (stmtNode) stmt() {}

// Bad is a statement that could not be read; it keeps its text.
type Bad struct {
	stmtNode
	Text string
}

// Use joins another file, named relative to this one.
//
//	use "practice.sheet"
type Use struct {
	stmtNode
	Path Text `parser:"'use' @@"`
}

// A Name is a word chosen by the author.
type Name struct {
	Range
	Text string `parser:"@Word"`
}

func (n *Name) String() string {
	if n == nil {
		return ""
	}
	return n.Text
}

// A Text is a quoted string.
type Text struct {
	Range
	Quoted string `parser:"@String"`
}

// String returns the text without its quotes.
func (t *Text) String() string {
	if t == nil || len(t.Quoted) < 2 {
		return ""
	}
	return unquote(t.Quoted)
}

// A Date is a calendar day, written 2026-03-02.
type Date struct {
	Range
	Text string `parser:"@Date"`
}

func (d *Date) String() string {
	if d == nil {
		return ""
	}
	return d.Text
}

// A Ref names something: a value, a test, a value of a test of an included unit, one position of a list.
//
//	battery.open_circuit    diodes.drop.back[side, phase]
type Ref struct {
	Range
	Names []string `parser:"@Word ('.' @Word)*"`
	Index []string `parser:"('[' @(Word|Number) (',' @(Word|Number))* ']')?"`
}

func (r *Ref) String() string {
	if r == nil {
		return ""
	}
	s := r.Names[0]
	for _, n := range r.Names[1:] {
		s += "." + n
	}
	for i, x := range r.Index {
		if i == 0 {
			s += "[" + x
		} else {
			s += ", " + x
		}
	}
	if len(r.Index) > 0 {
		s += "]"
	}
	return s
}

// A Qty is a number with its unit as written.
//
//	2.45 Ω    1/4 in    12
type Qty struct {
	Range
	Text string `parser:"@Number"`
}

// Quantity parses the text. Pseudo-units of the language (digits, u) are no quantities.
func (q *Qty) Quantity() (units.Quantity, error) { return units.Parse(q.Text) }

func (q *Qty) String() string {
	if q == nil {
		return ""
	}
	return q.Text
}

// A Type says what a reading, a condition or an attribute holds: a unit, ratio, count, text or date, or its allowed words or quantities.
//
//	: V    : ratio    : wye | delta    : 6 V | 12 V
type Type struct {
	Range
	Alts []string `parser:"@(Word|Symbol|Number) ('|' @(Word|Symbol|Number))*"`
}

// Expressions.
type (
	// An Expr is an expression: a value or a condition.
	Expr interface {
		Node
		expr()
	}
	// A Sum is an Expr without and, or, not and predicates.
	Sum interface{ Expr }

	// Lit is a quantity, with the same in a second unit where the sheet is dual: 0.010 in (0.25 mm).
	Lit struct {
		exprNode
		Qty  *Qty
		Dual *Qty
	}
	// DateLit and TextLit stand for themselves.
	DateLit struct {
		exprNode
		Date Date
	}
	TextLit struct {
		exprNode
		Text Text
	}
	// RefExpr is the value behind a name. Pass is the one it was read in: as found, in work, as left, or empty.
	RefExpr struct {
		exprNode
		Ref  *Ref
		Pass string
	}
	// Call applies a function of the language.
	Call struct {
		exprNode
		Func *Ref
		Args []Expr
	}
	// Binary joins two operands by and, or, +, -, * or /, or a quantity per another.
	Binary struct {
		exprNode
		Op   string
		X, Y Expr
	}
	// Not negates a condition.
	Not struct {
		exprNode
		X Expr
	}
	// Holds is a predicate applied to a value. Quantifier is "each", "any" or empty.
	Holds struct {
		exprNode
		Quantifier string
		X          Expr
		Pred       Predicate
	}
)

type exprNode struct{ Range }

func (exprNode) expr() {}

// Predicates: what can be said of a value.
type (
	// A Predicate is a *Compare, *Within, *Alike or *Is.
	Predicate interface {
		Node
		predicate()
	}
	// Shape is a Predicate as a limit writes it: "within" may be left out.
	Shape interface{ Predicate }

	// Compare is one bound. Op is "at least", "at most", "above", "below" or "equals".
	Compare struct {
		predNode
		Op    string
		Bound Expr
	}
	// Within is a range, from X to Y or X ± Y. Op is "to", "±" or empty (exactly X).
	Within struct {
		predNode
		Op   string
		X, Y Expr
	}
	// Alike says that the members of a list do not differ by more than Tolerance. By is mean, span, least or median.
	Alike struct {
		predNode
		Tolerance Expr
		By        *Name
	}
	// Is compares with words, outcomes or exact values.
	Is struct {
		predNode
		Not  bool
		Any  bool
		Alts []*Alt
	}
)

type predNode struct{ Range }

func (predNode) predicate() {}

// An Alt is one alternative after is, shows, gives or finds: a word, a quantity or a text.
type Alt struct {
	Range
	Word string `parser:"  @Word"`
	Num  string `parser:"| @Number"`
	Text string `parser:"| @String"`
}

func (a *Alt) String() string { return a.Word + a.Num + a.Text }

// Alts is a list of alternatives, or any.
type Alts struct {
	Range
	Any  bool   `parser:"  @'any'"`
	List []*Alt `parser:"| @@ ('|' @@)*"`
}
