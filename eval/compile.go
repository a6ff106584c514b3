package eval

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// A Bench holds compiled sheets. It is immutable and safe for concurrent use.
type Bench struct {
	kinds    map[string]*model
	families map[string]*model
	inShop   map[string]map[string]*model // by shop and family
	records  []*dsl.Record
	warnings dsl.Diagnostics
	digest   string
	sheets   map[string]string
	programs programCache
}

// Compile resolves the names of the sheets, checks the kinds and dimensions of every expression and limit, and returns a Bench. The error
// unwraps to dsl.Diagnostics with all findings, those of parsing included.
func Compile(files []*dsl.File) (*Bench, error) {
	c := &compiler{
		kinds: map[string]*dsl.Block{}, families: map[string]*dsl.Block{}, shops: map[string]*dsl.Block{}, sources: map[string]*source{},
		seen: map[string]bool{}, sheets: map[string]string{}, models: map[string]*model{}, busy: map[string]bool{},
	}
	b := &Bench{kinds: map[string]*model{}, families: map[string]*model{}, inShop: map[string]map[string]*model{}, digest: digest(files), sheets: map[string]string{}}
	for _, f := range files {
		c.diags = append(c.diags, f.Diagnostics()...)
		c.sheets[f.Name], b.sheets[f.Name] = f.Source, f.Source
		c.index(f)
	}
	for _, name := range slices.Sorted(maps.Keys(c.kinds)) {
		if m := c.kind(name); m != nil {
			b.kinds[name] = m
		}
	}
	for _, name := range slices.Sorted(maps.Keys(c.families)) {
		b.families[name] = c.family(c.families[name], nil)
	}
	for _, shop := range slices.Sorted(maps.Keys(c.shops)) {
		b.inShop[shop] = map[string]*model{}
		for _, name := range slices.Sorted(maps.Keys(c.families)) {
			b.inShop[shop][name] = c.family(c.families[name], c.shops[shop])
		}
	}
	if c.diags.Err() == nil {
		c.circles(b)
	}
	b.records = c.records
	c.diags.Sort()
	if err := c.diags.Err(); err != nil {
		return nil, err
	}
	b.warnings = c.diags
	return b, nil
}

// Warnings returns the findings of Compile that do not keep the sheets from use, in source order.
func (b *Bench) Warnings() dsl.Diagnostics { return b.warnings }

// Families returns the names of the unit families that can be opened, sorted.
func (b *Bench) Families() []string { return slices.Sorted(maps.Keys(b.families)) }

// Digest identifies the text of the sheets: the first 16 hexadecimal digits of the SHA-256 of their names and contents.
func (b *Bench) Digest() string { return b.digest }

func digest(files []*dsl.File) string {
	h := sha256.New()
	for _, f := range files {
		fmt.Fprintf(h, "%s\x00%d\x00%s", f.Name, len(f.Source), f.Source)
	}
	return hex.EncodeToString(h.Sum(nil))[:16]
}

type compiler struct {
	kinds    map[string]*dsl.Block
	families map[string]*dsl.Block
	shops    map[string]*dsl.Block
	sources  map[string]*source
	records  []*dsl.Record
	diags    dsl.Diagnostics
	seen     map[string]bool // findings already reported: a kind is checked once for each family of it
	models   map[string]*model
	busy     map[string]bool
	sheets   map[string]string // text by file name
}

// text returns what the sheet says in a range, on one line.
func (c *compiler) text(r dsl.Range) string {
	src := strings.TrimPrefix(c.sheets[r.Pos.Filename], "\uFEFF")
	if r.EndPos.Offset > len(src) || r.Pos.Offset > r.EndPos.Offset {
		return ""
	}
	return strings.Join(strings.Fields(src[r.Pos.Offset:r.EndPos.Offset]), " ")
}

func (c *compiler) report(code dsl.Code, at dsl.Range, message, help string, related ...dsl.Related) {
	c.diagnose(&dsl.Diagnostic{Code: code, Severity: dsl.Error, Range: at, Message: message, Help: help, Related: related})
}

func (c *compiler) warn(code dsl.Code, at dsl.Range, message, help string, related ...dsl.Related) {
	c.diagnose(&dsl.Diagnostic{Code: code, Severity: dsl.Warning, Range: at, Message: message, Help: help, Related: related})
}

func (c *compiler) diagnose(d *dsl.Diagnostic) {
	key := fmt.Sprint(d.Code, d.Range, d.Message)
	if !c.seen[key] {
		c.seen[key] = true
		c.diags = append(c.diags, d)
	}
}

// index takes in the declarations that stand at the top of files.
func (c *compiler) index(f *dsl.File) {
	for _, s := range f.Decls {
		switch s := s.(type) {
		case *dsl.Block:
			c.indexBlock(s)
		case *dsl.Source:
			c.source(s)
		case *dsl.Record:
			c.records = append(c.records, s)
		case *dsl.Use, *dsl.Bad:
		default:
			c.report(dsl.CodeMisplaced, s.Span(), "this statement stands outside of any kind or family", "move it into the kind, family or shop that it belongs to")
		}
	}
}

func (c *compiler) indexBlock(b *dsl.Block) {
	table := map[string]map[string]*dsl.Block{"kind": c.kinds, "family": c.families, "shop": c.shops}[b.Keyword]
	if first, ok := table[b.Name.Text]; ok {
		c.report(dsl.CodeDuplicateName, b.Name.Range, fmt.Sprintf("there are two of %s %s", b.Keyword, b.Name.Text), "give one another name",
			dsl.Related{Range: first.Name.Range, Message: "the first is here"})
		return
	}
	table[b.Name.Text] = b
}

func (c *compiler) source(s *dsl.Source) {
	name := s.Name.Text
	if first, ok := c.sources[name]; ok {
		if first.src != s.Range && (first.title != s.Title.String() || first.edition != s.Edition.String()) {
			c.report(dsl.CodeDuplicateName, s.Name.Range, "there are two sources "+name, "declare it once, in a file that the others use", dsl.Related{Range: first.src, Message: "the first is here"})
		}
		return
	}
	src := &source{name: name, title: s.Title.String(), edition: s.Edition.String(), status: s.Status.String(), src: s.Range}
	src.from = c.day(s.From)
	src.until = c.day(s.Until)
	if src.from != 0 && src.until != 0 && src.until < src.from {
		c.report(dsl.CodeDates, s.Range, "this source ends before it begins", "exchange the dates after from and until")
	}
	c.sources[name] = src
}

func (c *compiler) day(d *dsl.Date) day {
	if d == nil {
		return 0
	}
	v, err := parseDay(d.Text)
	if err != nil {
		c.report(dsl.CodeDates, d.Range, d.Text+" is no day of the calendar", "write year-month-day, as in 2026-03-02")
	}
	return v
}

// kind returns the model of a kind, building it once; nil when it is unknown or depends on itself.
func (c *compiler) kind(name string) *model {
	if m, ok := c.models[name]; ok {
		return m
	}
	b := c.kinds[name]
	if b == nil {
		return nil
	}
	if c.busy[name] {
		c.report(dsl.CodeCircle, b.Name.Range, "kind "+name+" is built on itself", "break the circle of of and include")
		return nil
	}
	c.busy[name] = true
	defer delete(c.busy, name)
	m := c.build(b, c.layers(b))
	c.models[name] = m
	return m
}

// family returns the model of a family, under the limits and rules of a shop if one is given.
func (c *compiler) family(b, shop *dsl.Block) *model {
	layers := c.layers(b)
	if shop != nil {
		top := layer{name: "shop " + shop.Name.Text, rank: layers[len(layers)-1].layer.rank + 2, shop: true}
		layers = append(layers, layerBody{top, shop.Body, shop.Title.String()})
	}
	m := c.build(b, layers)
	m.family = true
	return m
}

// circles reports tests that depend on each other: binding finds them.
func (c *compiler) circles(b *Bench) {
	for _, name := range b.Families() {
		cfg := &configuration{m: b.families[name], included: map[string]*model{}, sets: map[string]map[string]constant{}, sizes: map[*axis]int{}, tables: map[*value]int{}}
		if _, circle := bind(cfg); circle != nil {
			c.report(dsl.CodeCircle, *circle, "this test needs itself, by way of the tests that it needs", "break the circle of needs and formulas")
		}
	}
}

type layerBody struct {
	layer layer
	body  []dsl.Stmt
	title string
}

// layers lists a block and what it is built on, lowest first.
func (c *compiler) layers(b *dsl.Block) []layerBody {
	var list []layerBody
	visited := map[*dsl.Block]bool{}
	for b != nil && !visited[b] {
		visited[b] = true
		list = append(list, layerBody{layer{name: b.Keyword + " " + b.Name.Text}, b.Body, b.Title.String()})
		if b.Of == nil {
			break
		}
		base := c.kinds[b.Of.Text]
		if base == nil {
			c.report(dsl.CodeUnknownName, b.Of.Range, "there is no kind "+b.Of.Text, suggest(b.Of.Text, slices.Collect(maps.Keys(c.kinds))))
		} else if visited[base] {
			c.report(dsl.CodeCircle, b.Of.Range, "kind "+b.Of.Text+" is built on itself", "break the circle of of")
		}
		b = base
	}
	slices.Reverse(list)
	for i := range list {
		list[i].layer.rank = layerRank(2 * i) // odd ranks are for variants
	}
	return list
}

// suggest gives the help for an unknown name.
func suggest(name string, known []string) string {
	slices.Sort(known)
	if meant, ok := units.Nearest(name, known); ok {
		return "did you mean " + meant + "?"
	}
	if len(known) == 0 {
		return "declare it first"
	}
	if len(known) > 12 {
		known = append(known[:12:12], "...")
	}
	return "known here: " + strings.Join(known, ", ")
}

// item is one declaration with the layer it stands in.
type item struct {
	layer layer
	stmt  dsl.Stmt
	repl  bool // under replace
}

// flatten lists the declarations of all layers, with under and variant blocks opened.
func (b *builder) flatten(layers []layerBody) []item {
	var items []item
	var walk func(l layer, body []dsl.Stmt)
	walk = func(l layer, body []dsl.Stmt) {
		for _, s := range body {
			switch s := s.(type) {
			case *dsl.Under:
				inner := l
				inner.source = b.c.sources[s.Source.Text]
				if inner.source == nil {
					b.c.report(dsl.CodeUnknownName, s.Source.Range, "there is no source "+s.Source.Text, suggest(s.Source.Text, slices.Collect(maps.Keys(b.c.sources))))
				}
				walk(inner, s.Body)
			case *dsl.Variant:
				inner := l
				inner.rank++
				inner.variant = &variant{name: s.Name.Text, title: s.Title.String(), src: s.Range}
				inner.name = "variant " + s.Name.Text
				b.variantExpr[inner.variant] = s.When
				b.m.variants = append(b.m.variants, inner.variant)
				walk(inner, s.Body)
			case *dsl.Replace:
				items = append(items, item{l, s.Decl, true})
			case *dsl.Source:
				b.c.source(s)
			case *dsl.Bad:
			default:
				items = append(items, item{l, s, false})
			}
		}
	}
	for _, l := range layers {
		walk(l.layer, l.body)
	}
	return items
}
