package dsl

import (
	"strings"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
)

// Expressions are parsed by precedence climbing, with a limit on their depth, because a stack overflow cannot be recovered from.

const (
	maxExprDepth = 200
	maxExprNodes = 10_000
)

type exprParser struct {
	lex   *lexer.PeekingLexer
	nodes int
}

func parseExpr(lex *lexer.PeekingLexer) (Expr, error) {
	p := &exprParser{lex: lex}
	return p.expr(precOr, 0)
}

func parseSum(lex *lexer.PeekingLexer) (Sum, error) {
	p := &exprParser{lex: lex}
	return p.expr(precSum, 0)
}

func parseFactor(lex *lexer.PeekingLexer) (Factor, error) {
	p := &exprParser{lex: lex}
	return p.factor(0)
}

func parsePredicate(lex *lexer.PeekingLexer) (OptPredicate, error) {
	if !startsPredicate(lex.Peek()) {
		return nil, participle.NextMatch
	}
	p := &exprParser{lex: lex}
	return p.predicate(0)
}

func parseShape(lex *lexer.PeekingLexer) (Shape, error) {
	p := &exprParser{lex: lex}
	if startsPredicate(lex.Peek()) {
		return p.predicate(0)
	}
	if lex.Peek().Type != tokNumber {
		return nil, participle.NextMatch
	}
	return p.within(lex.Peek().Pos, 0)
}

func parseOptShape(lex *lexer.PeekingLexer) (OptShape, error) { return parseShape(lex) }

func parseRange(lex *lexer.PeekingLexer) (RangeExpr, error) {
	p := &exprParser{lex: lex}
	return p.within(lex.Peek().Pos, 0)
}

const (
	precOr = iota
	precAnd
	precNot
	precSum
	precTerm
	precFactor
)

// precedence of a binary operator, -1 for any other token.
func precedence(t *lexer.Token) int {
	if t.Type != tokPunct && t.Type != tokReserved {
		return -1
	}
	switch t.Value {
	case "or":
		return precOr
	case "and":
		return precAnd
	case "+", "-":
		return precSum
	case "*", "/":
		return precTerm
	}
	return -1
}

// span closes the range that starts at from, at the end of the last token taken.
func (p *exprParser) span(from lexer.Position) Range {
	return Range{Position(from), Position(p.lex.RawPeek().Pos)}
}

func (p *exprParser) fail(code Code, message, help string) error {
	return diagnosticAt(code, *p.lex.Peek(), message, help)
}

func (p *exprParser) missing(what, help string) error { return missing(p.lex, what, help) }

func (p *exprParser) expr(min, depth int) (Expr, error) {
	if depth > maxExprDepth {
		return nil, p.fail(CodeTooDeep, "this expression is nested too deeply", "name parts of it with let")
	}
	from := p.lex.Peek().Pos
	x, err := p.operand(min, depth)
	if err != nil {
		return nil, err
	}
	for {
		op := p.lex.Peek()
		prec := precedence(op)
		if prec < min {
			return x, p.comparison(op)
		}
		if p.nodes++; p.nodes > maxExprNodes {
			return nil, p.fail(CodeTooDeep, "this expression is too long", "name parts of it with let")
		}
		p.lex.Next()
		y, err := p.expr(prec+1, depth+1)
		if err != nil {
			return nil, err
		}
		x = &Binary{exprNode{p.span(from)}, op.Value, x, y}
	}
}

// comparison refuses the signs that compare in other notations, where an operator or the end of the expression should stand.
func (p *exprParser) comparison(t *lexer.Token) error {
	switch {
	case t.Type != tokPunct:
	case t.Value == "=":
		return p.fail(CodeForeignOperator, "= names a formula and compares nothing", "write is before a word, equals or within before a number")
	case t.Value == "<":
		return p.fail(CodeForeignOperator, "< compares nothing in an expression", "write below, or at most")
	case t.Value == ">":
		return p.fail(CodeForeignOperator, "> compares nothing in an expression", "write above, or at least")
	}
	return nil
}

// operand parses what stands between binary operators of the wanted precedence: a negation, a value with its predicate, or a factor.
func (p *exprParser) operand(min, depth int) (Expr, error) {
	t := p.lex.Peek()
	if min > precNot {
		return p.factor(depth)
	}
	if t.Value == "not" && t.Type == tokReserved {
		p.lex.Next()
		x, err := p.operandDeeper(depth)
		if err != nil {
			return nil, err
		}
		return &Not{exprNode{p.span(t.Pos)}, x}, nil
	}
	quantifier := ""
	if t.Type == tokReserved && (t.Value == "each" || t.Value == "any") {
		quantifier = t.Value
		p.lex.Next()
	}
	x, err := p.expr(precSum, depth+1)
	if err != nil {
		return nil, err
	}
	if !startsPredicate(p.lex.Peek()) {
		if quantifier != "" {
			return nil, p.missing("what is said of "+quantifier+" member", "write it as in: "+quantifier+" length below 7 mm")
		}
		return x, nil
	}
	pred, err := p.predicate(depth + 1)
	if err != nil {
		return nil, err
	}
	return &Holds{exprNode{p.span(t.Pos)}, quantifier, x, pred}, nil
}

func (p *exprParser) operandDeeper(depth int) (Expr, error) {
	if depth > maxExprDepth {
		return nil, p.fail(CodeTooDeep, "this expression is nested too deeply", "name parts of it with let")
	}
	return p.operand(precNot, depth+1)
}

func startsPredicate(t *lexer.Token) bool {
	switch t.Value {
	case "at least", "at most":
		return t.Type == tokTerm
	case "above", "below", "equals", "within", "alike":
		return t.Type == tokWord
	case "is":
		return t.Type == tokReserved
	}
	return false
}

func (p *exprParser) predicate(depth int) (Predicate, error) {
	t := p.lex.Next()
	switch t.Value {
	case "within":
		return p.within(t.Pos, depth)
	case "alike":
		tolerance, err := p.factor(depth)
		if err != nil {
			return nil, err
		}
		if by := p.lex.Peek(); by.Value != "by" {
			return nil, p.missing(`the word "by"`, "write it as in: alike 3 % by mean (or span, least, median)")
		}
		p.lex.Next()
		word := p.lex.Peek()
		if word.Type != tokWord {
			return nil, p.missing("the measure", "write mean, span, least or median after by")
		}
		p.lex.Next()
		name := &Name{p.span(word.Pos), word.Value}
		return &Alike{predNode{p.span(t.Pos)}, tolerance, name}, nil
	case "is":
		return p.is(t.Pos)
	}
	bound, err := p.expr(precSum, depth+1)
	if err != nil {
		return nil, err
	}
	return &Compare{predNode{p.span(t.Pos)}, t.Value, bound}, nil
}

func (p *exprParser) within(from lexer.Position, depth int) (Predicate, error) {
	x, err := p.expr(precSum, depth+1)
	if err != nil {
		return nil, err
	}
	w := &Within{X: x}
	if t := p.lex.Peek(); t.Value == "to" && t.Type == tokWord || t.Value == "±" {
		w.Op = t.Value
		p.lex.Next()
		if w.Y, err = p.expr(precSum, depth+1); err != nil {
			return nil, err
		}
	}
	w.Range = p.span(from)
	return w, nil
}

func (p *exprParser) is(from lexer.Position) (Predicate, error) {
	is := &Is{}
	if t := p.lex.Peek(); t.Value == "not" {
		is.Not = true
		p.lex.Next()
	}
	if t := p.lex.Peek(); t.Value == "any" {
		is.Any = true
		p.lex.Next()
		is.Range = p.span(from)
		return is, nil
	}
	for {
		t := p.lex.Peek()
		alt := &Alt{}
		switch t.Type {
		case tokWord:
			alt.Word = t.Value
		case tokNumber:
			alt.Num = t.Value
		case tokString:
			alt.Text = t.Value
		default:
			return nil, p.missing("a word, a quantity or a text", "write it as in: is good, is wye | delta, is 12 V")
		}
		p.lex.Next()
		alt.Range = p.span(t.Pos)
		is.Alts = append(is.Alts, alt)
		if p.lex.Peek().Value != "|" {
			break
		}
		p.lex.Next()
	}
	if word := p.wordAfterOr(); word != "" {
		return nil, p.fail(CodeWordOr, "words after is are joined by |, not by or", "write "+is.Alts[len(is.Alts)-1].String()+" | "+word+"; a condition that is a bare name stands before the or")
	}
	is.Range = p.span(from)
	return is, nil
}

// wordAfterOr returns the word after "or" if it stands alone, as in "wye or delta": nothing is said of it.
func (p *exprParser) wordAfterOr() string {
	if or := p.lex.Peek(); or.Value != "or" {
		return ""
	}
	mark := p.lex.MakeCheckpoint()
	defer p.lex.LoadCheckpoint(mark)
	p.lex.Next()
	word := *p.lex.Peek()
	if word.Type != tokWord {
		return ""
	}
	p.lex.Next()
	t := p.lex.Peek()
	if startsPredicate(t) || t.Value == "." || t.Value == "(" || t.Value == "[" || precedence(t) >= precSum {
		return ""
	}
	return word.Value
}

func (p *exprParser) factor(depth int) (Expr, error) {
	if depth > maxExprDepth {
		return nil, p.fail(CodeTooDeep, "this expression is nested too deeply", "name parts of it with let")
	}
	if p.nodes++; p.nodes > maxExprNodes {
		return nil, p.fail(CodeTooDeep, "this expression is too long", "name parts of it with let")
	}
	t := p.lex.Peek()
	switch {
	case t.Type == tokNumber:
		return p.quantity()
	case t.Type == tokDate:
		p.lex.Next()
		r := p.span(t.Pos)
		return &DateLit{exprNode{r}, Date{r, t.Value}}, nil
	case t.Type == tokString:
		p.lex.Next()
		r := p.span(t.Pos)
		return &TextLit{exprNode{r}, Text{r, t.Value}}, nil
	case t.Value == "(":
		return p.paren(depth)
	case t.Type == tokWord:
		return p.refOrCall(depth)
	}
	if err := p.comparison(t); err != nil {
		return nil, err
	}
	return nil, p.missing("a value", "write a name, or a number with its unit")
}

func (p *exprParser) quantity() (Expr, error) {
	t := p.lex.Next()
	lit := &Lit{Qty: &Qty{p.span(t.Pos), t.Value}}
	if open := p.lex.Peek(); open.Value == "(" && open.Pos.Line == t.Pos.Line {
		p.lex.Next()
		second := p.lex.Peek()
		if second.Type != tokNumber {
			return nil, p.fail(CodeUnexpected, "an operator is missing before this bracket", "write * or / before the bracket, or the same quantity in a second unit in it: 0.010 in (0.254 mm)")
		}
		p.lex.Next()
		lit.Dual = &Qty{p.span(second.Pos), second.Value}
		if p.lex.Peek().Value != ")" {
			return nil, p.missing("the sign )", "write one quantity in the bracket, as in: 0.010 in (0.254 mm)")
		}
		p.lex.Next()
	}
	lit.Range = p.span(t.Pos)
	return lit, nil
}

func (p *exprParser) paren(depth int) (Expr, error) {
	open := p.lex.Next()
	x, err := p.expr(precOr, depth+1)
	if err != nil {
		return nil, err
	}
	if p.lex.Peek().Value != ")" {
		d := diagnosticAt(CodeUnclosedBracket, *open, "this bracket is not closed", "write ) where it ends")
		return nil, d
	}
	p.lex.Next()
	return x, nil
}

func (p *exprParser) refOrCall(depth int) (Expr, error) {
	from := p.lex.Peek().Pos
	ref, err := p.ref()
	if err != nil {
		return nil, err
	}
	switch pass := p.lex.Peek().Value; pass {
	case "as found", "in work", "as left":
		p.lex.Next()
		return &RefExpr{exprNode{p.span(from)}, ref, pass}, nil
	case "(":
	default:
		return &RefExpr{exprNode{ref.Range}, ref, ""}, nil
	}
	open := p.lex.Next()
	call := &Call{Func: ref}
	for {
		arg, err := p.expr(precOr, depth+1)
		if err != nil {
			return nil, err
		}
		call.Args = append(call.Args, arg)
		if p.lex.Peek().Value != "," {
			break
		}
		p.lex.Next()
	}
	if p.lex.Peek().Value != ")" {
		return nil, diagnosticAt(CodeUnclosedBracket, *open, "this bracket is not closed", "write ) after the last argument")
	}
	p.lex.Next()
	call.Range = p.span(from)
	return call, nil
}

func (p *exprParser) ref() (*Ref, error) {
	t := p.lex.Next()
	ref := &Ref{Names: []string{t.Value}}
	for p.lex.Peek().Value == "." {
		p.lex.Next()
		name := p.lex.Peek()
		if name.Type != tokWord {
			return nil, p.missing("a name", "write it as in: free_run.current")
		}
		p.lex.Next()
		ref.Names = append(ref.Names, name.Value)
	}
	if open := p.lex.Peek(); open.Value == "[" {
		p.lex.Next()
		for {
			x := p.lex.Peek()
			if x.Type != tokWord && x.Type != tokNumber {
				return nil, p.missing("a position", "write it as in: drop[u] or drop[plus, u]")
			}
			p.lex.Next()
			ref.Index = append(ref.Index, strings.TrimSpace(x.Value))
			if p.lex.Peek().Value != "," {
				break
			}
			p.lex.Next()
		}
		if p.lex.Peek().Value != "]" {
			return nil, diagnosticAt(CodeUnclosedBracket, *open, "this bracket is not closed", "write ] after the position")
		}
		p.lex.Next()
	}
	ref.Range = p.span(t.Pos)
	return ref, nil
}

// parseAccuracy parses a sum of parts, in round brackets if there is more than one.
func parseAccuracy(lex *lexer.PeekingLexer) (AccuracyExpr, error) {
	p := &exprParser{lex: lex}
	from := lex.Peek().Pos
	open := lex.Peek().Value == "("
	if open {
		lex.Next()
	}
	a := &Accuracy{}
	for {
		t := lex.Peek()
		if t.Type != tokNumber {
			return nil, p.fail(CodeUnexpected, "an accuracy is a sum of parts such as 0.5 %, 0.1 % of range, 2 digits, 5 rpm", "write accuracy ± (0.5 % + 2 digits)")
		}
		lex.Next()
		part := AccuracyPart{Qty: &Qty{p.span(t.Pos), t.Value}}
		if lex.Peek().Value == "of" {
			lex.Next()
			if lex.Peek().Value != "range" {
				return nil, p.fail(CodeUnexpected, "a share is of the reading, or of the range", "write of range")
			}
			lex.Next()
			part.OfRange = true
		}
		a.Parts = append(a.Parts, part)
		if !open || lex.Peek().Value != "+" {
			break
		}
		lex.Next()
	}
	if open {
		if lex.Peek().Value != ")" {
			return nil, p.fail(CodeUnclosedBracket, "this bracket is not closed", "write ) after the last part")
		}
		lex.Next()
	}
	a.Range = p.span(from)
	return a, nil
}
