package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"github.com/brushgear/brushgear/eval"
)

// Editions writes how sheets changed from one edition to another, and which verdicts of records would change with them. judged is how many records
// were judged. The same changes give the same bytes.
func Editions(w io.Writer, changes []eval.Change, verdicts []eval.VerdictChange, judged int) error {
	p := &printer{w: bufio.NewWriter(w)}
	if len(changes) == 0 {
		p.line("The two editions mean the same.")
	}
	units := ""
	for _, c := range changes {
		if u := strings.Join(c.Units, ", "); u != units {
			if units != "" {
				p.line("")
			}
			units = u
			p.line("%s", u)
		}
		p.change(c)
	}
	if judged > 0 {
		p.line("")
		p.verdicts(verdicts, judged)
	}
	return p.w.Flush()
}

func (p *printer) change(c eval.Change) {
	head := strings.TrimSpace(c.What + " " + c.Name)
	if c.Aspect != "" {
		head += ": " + c.Aspect
	}
	switch {
	case c.Kind != eval.Changed:
		text := c.Old + c.New
		if text != "" && text != c.Name {
			text = ": " + text
		} else {
			text = ""
		}
		p.wrap("  ", "      ", fmt.Sprintf("%s %s%s", head, c.Kind, text))
		return
	case c.Way != "":
		head += ", " + c.Way
	}
	p.wrap("  ", "      ", head)
	p.wrap("      old ", "          ", c.Old)
	p.wrap("      new ", "          ", c.New)
}

func (p *printer) verdicts(list []eval.VerdictChange, judged int) {
	records := map[string]bool{}
	for _, v := range list {
		records[v.Record] = true
	}
	p.line("%d of %d %s would be judged otherwise", len(records), judged, plural(judged, "record", "records"))
	at := ""
	for i := 0; i < len(list); {
		v := list[i]
		where := v.Record
		if v.Pass != "" {
			where += ", " + v.Pass
		}
		if where != at {
			at = where
			p.line("")
			p.line("  %s", where)
		}
		name, n := together(list[i:])
		p.wrap("    ", "        ", fmt.Sprintf("%s: %s, now %s", strings.TrimSpace(v.What+" "+name), v.Old, v.New))
		i += n
	}
}

// together names the first change with those behind it that say the same of other positions of the same check or fault, and counts them.
func together(list []eval.VerdictChange) (name string, n int) {
	first := list[0]
	base, position, ok := strings.Cut(first.Name, "[")
	if !ok {
		return first.Name, 1
	}
	positions := []string{strings.TrimSuffix(position, "]")}
	for _, v := range list[1:] {
		b, position, _ := strings.Cut(v.Name, "[")
		v.Name = first.Name
		if b != base || v != first {
			break
		}
		positions = append(positions, strings.TrimSuffix(position, "]"))
	}
	return base + "[" + strings.Join(positions, "; ") + "]", len(positions)
}
