package eval

import (
	"strings"

	"github.com/brushgear/brushgear/dsl"
)

// findings checks what a sheet says of findings: accept and severity. What they do is up to whoever reports findings (dsl/diagnose).
func (c *compiler) findings(st dsl.Stmt, block *dsl.Block) {
	switch st := st.(type) {
	case *dsl.Accept:
		c.code(st.Code)
		if strings.TrimSpace(st.Reason.String()) == "" {
			c.report(dsl.CodeNoReason, st.Reason.Range, "this finding is accepted without a reason", "say why, as in: "+`accept short_band "The meter is the best we have."`)
		}
	case *dsl.SeverityIs:
		c.code(st.Code)
		if block == nil || block.Keyword != "shop" {
			c.report(dsl.CodeMisplaced, st.Range, "how much a finding matters is a rule of a shop", "write it in shop name { ... }")
		}
		if _, ok := dsl.SeverityNamed(st.Word.Text); !ok {
			c.report(dsl.CodeUnknownWord, st.Word.Range, "there is no severity "+st.Word.Text, "write error, warning or hint")
		}
	case *dsl.Block:
		block = st
		c.severities(st)
	}
	for _, s := range dsl.Body(st) {
		c.findings(s, block)
	}
}

// severities reports a second severity of one code.
func (c *compiler) severities(block *dsl.Block) {
	first := map[string]*dsl.SeverityIs{}
	for _, st := range block.Body {
		s, ok := st.(*dsl.SeverityIs)
		if !ok {
			continue
		}
		if before := first[s.Code.Text]; before != nil {
			c.report(dsl.CodeDuplicateName, s.Range, "the severity of "+s.Code.Text+" stands twice", "leave one out", dsl.Related{Range: before.Range, Message: "the first is here"})
			continue
		}
		first[s.Code.Text] = s
	}
}

// code reports a name that stands for no code.
func (c *compiler) code(name *dsl.Name) {
	if _, ok := dsl.Explain(dsl.CodeNamed(name.Text)); ok {
		return
	}
	var known []string
	for info := range dsl.Codes() {
		known = append(known, strings.ReplaceAll(string(info.Code), "-", "_"))
	}
	c.report(dsl.CodeUnknownWord, name.Range, "there is no finding "+name.Text, suggest(name.Text, known))
}
