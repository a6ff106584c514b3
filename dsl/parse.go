package dsl

import (
	"fmt"
	"io"
	"reflect"
	"slices"
	"strconv"

	"github.com/alecthomas/participle/v2/lexer"
)

// Version is the newest language version that this package reads. It stays open to change until release 1.0 of the project.
const Version = 1

// Limits bound what Parse takes in, so that hostile input costs an error and no more. The zero value stands for the defaults.
type Limits struct {
	Bytes       int // size of one file, 1 MiB by default
	Depth       int // nesting of blocks, 64 by default
	Diagnostics int // findings kept for one file, 100 by default
}

func (l Limits) withDefaults() Limits {
	if l.Bytes == 0 {
		l.Bytes = 1 << 20
	}
	if l.Depth == 0 {
		l.Depth = 64
	}
	if l.Diagnostics == 0 {
		l.Diagnostics = 100
	}
	return l
}

// Parse reads one sheet or record within the default Limits. It always returns a tree: statements that cannot be read become Bad nodes that
// keep their text. The error is nil or unwraps to Diagnostics with all findings of the file. Parse is safe for concurrent use.
func Parse(name string, src []byte) (*File, error) { return Limits{}.Parse(name, src) }

// Parse is the function Parse within the limits l.
func (l Limits) Parse(name string, src []byte) (*File, error) {
	l = l.withDefaults()
	f := &File{Name: name}
	if len(src) > l.Bytes {
		f.diags = Diagnostics{tooLarge(name, "this file", len(src), l.Bytes)}
		return f, f.diags.Err()
	}
	f.Source = string(src)
	s := newScanner(name, f.Source, l.Diagnostics)
	lex, err := lexer.Upgrade(s, tokBlank, tokComment)
	if err != nil {
		return f, err
	}
	p := &parser{lex: lex, file: f, limits: l}
	p.run()
	f.tokens = lex.Range(0, lexer.RawCursor(s.count))
	f.diags = findings(s.diags, p.diags, l.Diagnostics)
	return f, f.diags.Err()
}

func tooLarge(name, what string, size, limit int) *Diagnostic {
	start := Position{Filename: name, Line: 1, Column: 1}
	return &Diagnostic{Code: CodeTooLarge, Severity: Error, Range: Range{start, start},
		Message: fmt.Sprintf("%s has %d bytes, more than the limit of %d", what, size, limit), Help: "split it into files joined by use"}
}

// lexerDefinition tells participle the token types.
type lexerDefinition struct{}

func (lexerDefinition) Symbols() map[string]lexer.TokenType { return tokenNames }

func (lexerDefinition) Lex(name string, r io.Reader) (lexer.Lexer, error) {
	src, err := io.ReadAll(r)
	return newScanner(name, string(src), Limits{}.withDefaults().Diagnostics), err
}

// parser reads the statements of a file. The head of each statement is left to participle; blocks and recovery are its own.
type parser struct {
	lex      *lexer.PeekingLexer
	file     *File
	limits   Limits
	diags    Diagnostics
	blocks   []openBlock // from the file inward
	misfits  []misfit
	tooDeep  bool // what follows the block nested too deeply cannot be told apart
	declared bool // the file has a statement other than use
	guesses  int  // words looked up for what they may have meant
}

// A head is how a statement begins.
type head struct {
	token
	begin  lexer.RawCursor // where the parser stood before it
	column int             // of the token if it is the first of its line, else 0
	prod   *production     // nil if there is no such statement
}

// An openBlock is a block under way.
type openBlock struct {
	scope *scope
	head  head
}

// head looks at the next token as the first of a statement.
func (p *parser) head() head {
	h := head{token: *p.lex.Peek(), begin: p.lex.RawCursor()}
	if p.beginsLine(h.token) {
		h.column = h.Pos.Column
	}
	return h
}

func (p *parser) run() {
	p.blocks = []openBlock{{scope: declScope}}
	p.version()
	for !p.lex.Peek().EOF() {
		if t := p.lex.Peek(); t.Value == "}" {
			p.report(diagnosticAt(CodeStrayBrace, *t, "this } closes nothing", "remove it, or look for a { that is missing above"))
			for p.lex.Next(); p.lex.Peek().Value == "}" && !p.beginsLine(*p.lex.Peek()); {
				p.lex.Next()
			}
			continue
		}
		node := p.statement(declScope)
		p.file.Decls = append(p.file.Decls, node)
		if use, ok := node.(*Use); ok {
			p.file.Uses = append(p.file.Uses, use)
		} else {
			p.declared = true
		}
	}
}

// version reads the first line.
func (p *parser) version() {
	h := p.head()
	help := fmt.Sprintf("write brushgear %d as the first line", Version)
	if h.Value != "brushgear" {
		d := diagnosticAt(CodeNoVersion, h.token, "the file does not say its language version", help)
		if h.Type == tokWord && p.nearest(h.Value, []string{"brushgear"}) != "" {
			p.file.Decls = append(p.file.Decls, p.bad(h, d))
			return
		}
		p.report(d)
		d.Edits = []Edit{{Range{Position(h.Pos), Position(h.Pos)}, fmt.Sprintf("brushgear %d\n", Version)}}
		return
	}
	p.file.starts = append(p.file.starts, h.Pos.Offset)
	p.lex.Next()
	num := *p.lex.Peek()
	n, err := strconv.Atoi(num.Value)
	if err != nil || n < 1 || strconv.Itoa(n) != num.Value {
		d := p.missing("the language version, a whole number,", help)
		d.Code = CodeNoVersion
		p.file.Decls = append(p.file.Decls, p.bad(h, d))
		return
	}
	p.lex.Next()
	p.file.Version = n
	if n > Version {
		p.report(diagnosticAt(CodeNewerVersion, num, fmt.Sprintf("this file is written in version %d of the language; this program reads up to version %d", n, Version), "use a newer program"))
	}
}

// statement parses one statement of the scope, with its block. It always takes at least one token.
func (p *parser) statement(sc *scope) Stmt {
	h := p.head()
	h.prod = p.production(sc, h.token)
	if h.prod == nil {
		return p.bad(h, p.unknownStatement(sc, h.token))
	}
	p.file.starts = append(p.file.starts, h.Pos.Offset)
	node, err := h.prod.parse(p.lex)
	switch {
	case err != nil && h.prod.inner != nil:
		p.report(p.diagnosticOf(err, h))
		p.toBlock(h)
		p.block(h)
		return p.badNode(h)
	case err != nil:
		return p.bad(h, p.diagnosticOf(err, h))
	}
	if t, twice := h.prod.parts.repeated(p.lex.Range(h.begin, p.lex.RawCursor()), reflect.ValueOf(node).Elem()); twice {
		p.report(repeatedPart(t))
	}
	switch n := node.(type) {
	case *Replace:
		return p.replaced(sc, n, h)
	case *Under:
		n.Body, n.EndPos = p.block(h)
	case *Block:
		n.Body, n.EndPos = p.block(h)
	case *Variant:
		n.Body, n.EndPos = p.block(h)
	case *Remedy:
		n.Body, n.EndPos = p.block(h)
	case *Test:
		n.Body, n.EndPos = p.block(h)
	case *Effect:
		n.Body, n.EndPos = p.block(h)
	case *Fault:
		n.Body, n.EndPos = p.block(h)
	case *Record:
		n.Body, n.EndPos = p.block(h)
	case *Pass:
		n.Body, n.EndPos = p.block(h)
	case *Use:
		if p.declared || len(p.blocks) > 1 {
			p.report(diagnosticAt(CodeMisplaced, h.token, "use stands at the head of the file", "write it above all other statements, below the language version"))
		}
		return p.ended(h, node)
	default:
		return p.ended(h, node)
	}
	return node
}

// replaced parses the declaration after replace.
func (p *parser) replaced(sc *scope, n *Replace, h head) Stmt {
	t := *p.lex.Peek()
	if prod := sc.statements[t.Value]; prod == nil || prod.inner == nil {
		help := h.prod.asIn()
		if t.Value == "limit" || t.Value == "set" {
			help = "leave replace out: limit and set of a later layer win over those of an earlier one"
		}
		return p.bad(h, diagnosticAt(CodeUnexpected, t, "replace puts a whole test, fault or remedy in the place of another", help))
	}
	at := len(p.file.starts)
	n.Decl = p.statement(sc)
	n.EndPos = n.Decl.Span().EndPos
	p.file.starts = slices.Delete(p.file.starts, at, at+1)
	return n
}

// block parses { statements } and returns where it ends. A block that is not closed is reported where it opens.
func (p *parser) block(h head) ([]Stmt, Position) {
	sc := h.prod.inner
	switch t := *p.lex.Peek(); {
	case t.Value == "{" && len(p.blocks) >= p.limits.Depth:
		p.report(diagnosticAt(CodeTooDeep, t, "blocks are nested too deeply", fmt.Sprintf("nest at most %d", p.limits.Depth)))
		p.tooDeep = true
		p.lex.Next()
		p.skipBlock()
		return nil, p.here()
	case t.Value == "{":
		p.lex.Next()
	case !p.bodyFollows(h):
		return nil, p.here()
	}
	p.blocks = append(p.blocks, openBlock{sc, h})
	defer func() { p.blocks = p.blocks[:len(p.blocks)-1] }()
	var body []Stmt
	for {
		t := *p.lex.Peek()
		switch {
		case t.EOF(), p.leaves(t):
			p.unclosed(h, t)
			return body, p.here()
		case t.Value == "}":
			p.closed(h, t)
			p.lex.Next()
			return body, p.here()
		}
		body = append(body, p.statement(sc))
	}
}

// here is the end of the last token taken.
func (p *parser) here() Position { return Position(p.lex.RawPeek().Pos) }

// lastToken returns the last token taken, which is never a blank or a comment.
func lastToken(lex *lexer.PeekingLexer) token { return lastOf(lex.Range(0, lex.RawCursor())) }

func lastOf(toks []token) token {
	if len(toks) == 0 {
		return token{}
	}
	return toks[len(toks)-1]
}
