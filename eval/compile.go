package eval

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

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
	idle     dsl.Diagnostics // names that nothing uses
	digest   string
	sheets   map[string]string
	programs programCache
}

// Compile resolves the names of the sheets, checks the kinds and dimensions of every expression and limit, and returns a Bench. The error
// unwraps to dsl.Diagnostics with all findings, those of parsing included, unless a file is nil.
func Compile(files []*dsl.File) (*Bench, error) {
	if i := slices.Index(files, nil); i >= 0 {
		return nil, fmt.Errorf("sheet %d of %d is nil: parse it, and look at the error", i+1, len(files))
	}
	c := &compiler{
		kinds: map[string]*dsl.Block{}, families: map[string]*dsl.Block{}, shops: map[string]*dsl.Block{}, sources: map[string]*source{},
		seen: map[string]bool{}, sheets: map[string]string{}, models: map[string]*model{}, busy: map[string]bool{},
		inShop: map[dsl.Range]*shopRef{}, named: placesNamed{},
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
	for _, r := range c.shopRefs {
		if !r.used {
			c.warn(dsl.CodeUnknownName, r.ref.Range, "no family here has "+r.ref.String(), "mend the name, or leave this out")
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
	b.idle = c.idleNames(b, files)
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
	inShop   map[dsl.Range]*shopRef
	shopRefs []*shopRef // in order
	named    placesNamed
	tried    int // how often conditions were tried against each other
}

// shopRef is a name in a shop, which counts for the families that have it.
type shopRef struct {
	ref  *dsl.Ref
	used bool // by some family
}

// text returns what the sheet says in a range, on one line.
func (c *compiler) text(r dsl.Range) string {
	src := c.sheets[r.Pos.Filename]
	if r.EndPos.Offset > len(src) || r.Pos.Offset > r.EndPos.Offset {
		return ""
	}
	return strings.Join(strings.Fields(src[r.Pos.Offset:r.EndPos.Offset]), " ")
}

// inFamily notes whether a family has what a shop names; one that lacks it is passed over.
func (c *compiler) inFamily(ref *dsl.Ref, there bool) bool {
	r := c.inShop[ref.Range]
	if r == nil {
		r = &shopRef{ref: ref}
		c.inShop[ref.Range] = r
		c.shopRefs = append(c.shopRefs, r)
	}
	r.used = r.used || there
	return there
}

func (c *compiler) report(code dsl.Code, at dsl.Range, message, help string, related ...dsl.Related) {
	c.diagnose(&dsl.Diagnostic{Code: code, Severity: dsl.Error, Range: at, Message: message, Help: help, Related: related})
}

func (c *compiler) warn(code dsl.Code, at dsl.Range, message, help string, related ...dsl.Related) {
	c.diagnose(&dsl.Diagnostic{Code: code, Severity: dsl.Warning, Range: at, Message: message, Help: help, Related: related})
}

func (c *compiler) diagnose(d *dsl.Diagnostic) {
	key := fmt.Sprint(d.Code, d.Range, d.Message)
	switch {
	case c.full() || c.seen[key]:
		return
	case len(c.seen) == maxFindings:
		d = &dsl.Diagnostic{Code: dsl.CodeTooMany, Severity: d.Severity, Range: d.Range, Message: "there are more findings than these", Help: "mend these first"}
	}
	c.seen[key] = true
	if meant, ok := strings.CutPrefix(d.Help, "did you mean "); ok && d.Edits == nil && isName(c.text(d.Range)) {
		d.Edits = []dsl.Edit{{Range: d.Range, Text: strings.TrimSuffix(meant, "?")}}
	}
	c.diags = append(c.diags, d)
}

// isName tells whether a text is one name and nothing else.
func isName(s string) bool {
	return s != "" && !strings.ContainsFunc(s, func(r rune) bool { return r != '_' && !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// maxFindings is how many findings are kept.
const maxFindings = 100

func (c *compiler) full() bool { return len(c.seen) > maxFindings }

// index takes in the declarations that stand at the top of files.
func (c *compiler) index(f *dsl.File) {
	for _, s := range f.Decls {
		c.findings(s, nil)
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
	if b.Keyword == "shop" && b.Of != nil {
		c.report(dsl.CodeMisplaced, b.Of.Range, "a shop is built on nothing", "leave of "+b.Of.Text+" out: its rules hold for every family")
	}
	c.indexSources(b.Body)
}

// indexSources takes in the sources that stand inside of blocks; they are known everywhere.
func (c *compiler) indexSources(body []dsl.Stmt) {
	for _, s := range body {
		switch s := s.(type) {
		case *dsl.Source:
			c.source(s)
		case *dsl.Under:
			c.indexSources(s.Body)
		case *dsl.Variant:
			c.indexSources(s.Body)
		}
	}
}

func (c *compiler) source(s *dsl.Source) {
	name := s.Name.Text
	src := &source{name: name, title: s.Title.String(), edition: s.Edition.String(), status: s.Status.String(), from: c.day(s.From), until: c.day(s.Until), src: s.Range}
	if first, ok := c.sources[name]; ok { // the same may stand in several sheets
		again := *first
		if again.src = src.src; again != *src {
			c.report(dsl.CodeDuplicateName, s.Name.Range, "there are two sources "+name+", and they differ", "declare it once, in a file that the others use", dsl.Related{Range: first.src, Message: "the first is here"})
		}
		return
	}
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

// circles reports tests that depend on each other.
func (c *compiler) circles(b *Bench) {
	tables := []map[string]*model{b.kinds, b.families}
	for _, shop := range slices.Sorted(maps.Keys(b.inShop)) {
		tables = append(tables, b.inShop[shop])
	}
	for _, table := range tables {
		for _, name := range slices.Sorted(maps.Keys(table)) {
			if at := circleOf(table[name]); at != nil {
				c.report(dsl.CodeCircle, *at, "this test needs itself, by way of the tests that it needs", "break the circle of needs and formulas")
			}
		}
	}
}

// circleOf finds a test that depends on itself; nil if there is none.
func circleOf(m *model) *dsl.Range {
	b := &binder{}
	b.units = append(b.units, boundUnit{m: m})
	for _, inc := range m.includes {
		b.units = append(b.units, boundUnit{name: inc.as, m: inc.kind})
	}
	const visiting, done = 1, 2
	state := map[testKey]int{}
	var visit func(unit int, t *test) *dsl.Range
	visit = func(unit int, t *test) *dsl.Range {
		key := testKey{unit, t}
		switch state[key] {
		case done:
			return nil
		case visiting:
			return &t.src
		}
		state[key] = visiting
		for _, d := range b.depends(unit, t) {
			if at := visit(d.unit, d.t); at != nil {
				return at
			}
		}
		state[key] = done
		return nil
	}
	for _, t := range m.tests {
		if at := visit(0, t); at != nil {
			return at
		}
	}
	return nil
}

// suggest gives the help for an unknown name.
func suggest(name string, known []string) string {
	known = slices.Compact(slices.Sorted(slices.Values(known)))
	meant, near := units.Nearest(name, known)
	for _, k := range known {
		if !near && strings.HasPrefix(k, name+"_") {
			meant, near = k, true
		}
	}
	if near {
		return "did you mean " + meant + "?"
	}
	return knownHere(known)
}

// knownHere lists names that are known, sorted and without doubles, as far as a person reads them.
func knownHere(known []string) string {
	if len(known) == 0 {
		return "declare it first"
	}
	known = slices.Compact(slices.Sorted(slices.Values(known)))
	if len(known) > 12 {
		known = append(known[:12:12], "...")
	}
	return "known here: " + strings.Join(known, ", ")
}

// mapKeys lists names to suggest from; suggest sorts them.
func mapKeys[V any](m map[string]V) []string {
	var names []string
	for k := range m {
		names = append(names, k)
	}
	return names
}

// sortedKeys is for small maps, of which most are empty.
func sortedKeys[V any](m map[string]V) []string {
	if len(m) == 0 {
		return nil
	}
	names := slices.AppendSeq(make([]string, 0, len(m)), maps.Keys(m))
	slices.Sort(names)
	return names
}

// unknownSource stands for one that was reported.
var unknownSource = &source{}

func (b *builder) sourceOf(name *dsl.Name) *source {
	s := b.c.sources[name.Text]
	if s == nil {
		b.c.report(dsl.CodeUnknownName, name.Range, "there is no source "+name.Text, suggest(name.Text, mapKeys(b.c.sources)))
		return unknownSource
	}
	b.c.named[s.src] = true
	return s
}
