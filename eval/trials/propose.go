package trials

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/units"
)

// A Proposal is a trial for an edge that none is at.
type Proposal struct {
	Family string
	Item
	Text string // the trial in the sheet language; empty if none could be made
}

// Propose writes a trial for every edge of a limit that the coverage of a report lacks. Each is a trial that passed, with one reading put at the
// edge, or next to it; so an edge has a proposal once some trial decides its check. What a proposal expects is what the sheet says now: it is
// for the author to hold against the maker's sheet. The error is that of ctx.
func (s *Suite) Propose(ctx context.Context, report *Report, c *Coverage, o Options) ([]Proposal, error) {
	var list []Proposal
	for i := range c.Families {
		f := &c.Families[i]
		p := &proposer{suite: s, ctx: ctx, shop: o.Shop}
		for _, res := range report.Results {
			if res.Status == Passed && res.Trial.Family == f.Family {
				if seed := s.seed(res); seed != nil {
					p.seeds = append(p.seeds, seed)
				}
			}
		}
		if len(p.seeds) == 0 {
			continue
		}
		slices.SortStableFunc(p.seeds, func(a, b *seed) int { return cmp.Compare(a.length(), b.length()) }) // the shortest says it best
		for _, item := range f.Missing() {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if item.Kind == eval.EdgeAim {
				list = append(list, Proposal{f.Family, item, p.propose(item)})
			}
		}
	}
	return list, nil
}

// seed is a trial to make others from.
type seed struct {
	res  *Result
	tree *dsl.Record
	text string // of its file, as offsets count
}

func (s *seed) length() int { return s.tree.EndPos.Offset - s.tree.Pos.Offset }

func (s *Suite) seed(res *Result) *seed {
	for _, f := range s.files {
		for _, d := range f.Decls {
			if r, ok := d.(*dsl.Record); ok && r.Range == res.Trial.Span() {
				return &seed{res, r, f.Source}
			}
		}
	}
	return nil
}

// change puts another text in the place of a stretch of the seed.
type change struct {
	at   dsl.Range
	text string
}

// written makes a trial of the seed: with another title, without what the seed expects, with changes, and with an expectation of its own.
func (s *seed) written(title string, changes []change, gives string) string {
	all := append([]change{{s.tree.Title.Range, strconv.Quote(title)}}, changes...)
	for _, st := range s.tree.Body {
		switch st.(type) {
		case *dsl.Gives, *dsl.Finds:
			all = append(all, change{s.line(st.Span()), ""})
		}
	}
	slices.SortFunc(all, func(a, b change) int { return cmp.Compare(a.at.Pos.Offset, b.at.Pos.Offset) })
	var b strings.Builder
	from := s.tree.Pos.Offset
	for _, c := range all {
		b.WriteString(s.text[from:c.at.Pos.Offset])
		b.WriteString(c.text)
		from = c.at.EndPos.Offset
	}
	b.WriteString(strings.TrimRight(strings.TrimSuffix(strings.TrimRight(s.text[from:s.tree.EndPos.Offset], " \t\r\n"), "}"), " \t\r\n"))
	b.WriteString("\n" + gives + "\n}\n")
	return b.String()
}

// line takes in the blanks and the line end before a statement.
func (s *seed) line(r dsl.Range) dsl.Range {
	before := strings.TrimRight(s.text[:r.Pos.Offset], " \t")
	if strings.HasSuffix(before, "\n") {
		r.Pos.Offset = len(strings.TrimSuffix(before, "\n"))
	}
	return r
}

// takens lists the readings of a test in a trial, those of its passes too.
func takens(body []dsl.Stmt, test string) []*dsl.Taken {
	var list []*dsl.Taken
	for _, st := range body {
		switch st := st.(type) {
		case *dsl.Taken:
			if st.Ref.Names[0] == test && st.Void == nil {
				list = append(list, st)
			}
		case *dsl.Pass:
			list = append(list, takens(st.Body, test)...)
		}
	}
	return list
}

// number is a number of the seed that can be another: where it stands, and its unit. In a list only the last number has one.
type number struct {
	at   dsl.Range
	now  units.Quantity
	bare bool
}

func numbers(t *dsl.Taken) []number {
	values := []*dsl.Value{t.Value}
	for _, v := range t.Values {
		values = append(values, v.Value)
	}
	var list []number
	for _, v := range values {
		switch {
		case v == nil || v.Side != "" || v.High != nil:
		case v.List:
			list = append(list, members(v.Items)...)
		case v.Low != nil:
			if q, err := v.Low.Quantity(); err == nil {
				list = append(list, number{v.Low.Range, q, false})
			}
		}
	}
	return list
}

func members(items []*dsl.Item) []number {
	last := items[len(items)-1].Num
	if last == nil {
		return nil
	}
	q, err := last.Quantity()
	if err != nil {
		return nil
	}
	var list []number
	for _, i := range items {
		if i.Num == nil || i.Side != "" {
			continue
		}
		text := i.Num.Text
		if i.Num != last {
			text += " " + q.Unit().String()
		}
		if now, err := units.Parse(text); err == nil {
			list = append(list, number{i.Num.Range, now, i.Num != last})
		}
	}
	return list
}

func (n number) change(q units.Quantity) change {
	text := q.String()
	if n.bare {
		text = strings.TrimSpace(strings.TrimSuffix(text, q.Unit().String()))
	}
	return change{n.at, text}
}

type proposer struct {
	suite *Suite
	ctx   context.Context
	shop  string
	seeds []*seed
}

// propose writes the trial of one edge; empty if none of the seeds leads there.
func (p *proposer) propose(item Item) string {
	for _, s := range p.seeds {
		for _, t := range takens(s.tree.Body, testOf(item.Name)) {
			place, ok := s.along(t, item)
			if !ok {
				continue
			}
			for _, n := range numbers(t) {
				h := &hunt{proposer: p, seed: s, item: item, number: n, changes: place}
				if text := h.text(); text != "" {
					return text
				}
			}
		}
	}
	return ""
}

func testOf(check string) string {
	test, _, _ := strings.Cut(check, ".")
	return test
}

// along puts the condition of an edge along another quantity where the edge is; false if the seed does not say it as one number.
func (s *seed) along(t *dsl.Taken, item Item) ([]change, bool) {
	if item.Along == "" {
		return nil, true
	}
	conditions := slices.Clone(t.At)
	for _, st := range s.tree.Body {
		if p, ok := st.(*dsl.Pass); ok {
			conditions = append(conditions, p.At...)
		}
	}
	for _, a := range conditions {
		if a.Name.String() == item.Along {
			if a.Value.List {
				return nil, true // a table may have the point
			}
			return []change{{a.Value.Range, item.Where.String()}}, true
		}
	}
	return nil, false
}

// hunt looks for the reading that brings a check to an edge.
type hunt struct {
	*proposer
	*seed
	item    Item
	number  number
	changes []change
}

func (h *hunt) target() units.Quantity {
	if h.item.Word == eval.AimBeyond {
		return h.item.Next
	}
	return h.item.Edge
}

// text returns the trial with the reading found: the edge itself if the reading is what is compared, else worked out from how the compared value
// follows the reading, with as few digits as will do.
func (h *hunt) text() string {
	target := h.target()
	if q, err := target.In(h.number.now.Unit()); err == nil {
		if text := h.try(q); text != "" {
			return text
		}
	}
	x := h.number.now.Value()
	step := max(0.01*x, 1e-3)
	for range steps {
		v0, ok0 := h.value(h.quantity(x))
		v1, ok1 := h.value(h.quantity(x + step))
		if !ok0 || !ok1 || v0 == v1 {
			return ""
		}
		d := (target.SI() - v0) * step / (v1 - v0)
		if x += d; max(d, -d) < 1e-12*max(x, -x) {
			break
		}
	}
	for decimals := range maxDecimals {
		if text := h.try(h.quantity(x).Round(decimals)); text != "" {
			return text
		}
	}
	return ""
}

// steps are as many as straight and slightly bent formulas need; maxDecimals is what a meter could show.
const (
	steps       = 6
	maxDecimals = 5
)

func (h *hunt) quantity(x float64) units.Quantity { return units.New(x, h.number.now.Unit()) }

// value judges the seed with another reading and returns what is compared with the limit.
func (h *hunt) value(q units.Quantity) (float64, bool) {
	_, v, err := h.judge(q, "")
	if err != nil {
		return 0, false
	}
	for c := range v.Last().Checks() {
		if is(c.Name(), h.item.Name) {
			if q, ok := c.Value(); ok {
				return q.SI(), true
			}
		}
	}
	return 0, false
}

// is tells whether a check is the one of a name, at any position if the name has none.
func is(check, name string) bool { return check == name || strings.HasPrefix(check, name+"[") }

// try judges the seed with another reading; if that reaches the edge with a decided outcome, it returns the trial that expects it.
func (h *hunt) try(q units.Quantity) string {
	r, v, err := h.judge(q, "")
	if err != nil || !h.reaches(r, v, false) {
		return ""
	}
	for c := range v.Last().Checks() {
		if !is(c.Name(), h.item.Name) || c.Outcome() == "" {
			continue
		}
		gives := "gives " + c.Name() + " is " + c.Outcome()
		r, v, err := h.judge(q, gives)
		if err == nil && len(v.Unmet(r)) == 0 && h.reaches(r, v, true) {
			out, err := dsl.Format("proposal", []byte(header+h.source(q, gives)))
			if err == nil {
				return strings.TrimPrefix(string(out), header)
			}
		}
	}
	return ""
}

const header = "brushgear 1\n"

func (h *hunt) reaches(r *eval.Record, v *eval.Verdict, expected bool) bool {
	return slices.ContainsFunc(v.Reached(r), func(o eval.Reach) bool { return o.Aim == h.item.Aim && (o.Expected || !expected) })
}

func (h *hunt) source(q units.Quantity, gives string) string {
	title := fmt.Sprintf("%s %s", h.item.Name, h.item.what())
	return h.written(title, append(slices.Clone(h.changes), h.number.change(q)), gives)
}

func (h *hunt) judge(q units.Quantity, gives string) (*eval.Record, *eval.Verdict, error) {
	f, err := dsl.Parse("proposal", []byte(header+h.source(q, gives)))
	if err != nil {
		return nil, nil, err
	}
	records, err := eval.ReadRecords(f)
	if err != nil {
		return nil, nil, err
	}
	if len(records) != 1 {
		return nil, nil, errors.New("a proposal is one trial")
	}
	v, err := h.suite.judge(h.ctx, records[0], h.shop)
	return records[0], v, err
}
