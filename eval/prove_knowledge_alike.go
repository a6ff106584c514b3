package eval

import (
	"fmt"

	"github.com/brushgear/brushgear/dsl"
)

// Proofs over lists whose members have a limit each and are compared with each other as well.

// alikes reports faults that show something at the members of a list but say nothing of how the members compare, and faults that may sit at several
// members and forget that several are not one.
func (p *knowledgeProver) alikes() {
	for i := range p.k.rows {
		r := &p.k.rows[i]
		for _, from := range r.touched {
			c := p.k.columns[from].c
			if c.val == nil || c.val.check != c || c.val.alike == nil || r.bad[from] == 0 || !p.k.columns[from].meant {
				continue
			}
			to := p.k.column(c.val.alike)
			if to < 0 || r.cells[to].masked {
				continue
			}
			member, whole := p.k.columns[from].label, p.k.columns[to].label
			if r.cells[to].plain() {
				if !p.mentions(r.f, c.val.alike) {
					p.warn(dsl.CodeSilentCheck, r.f.src, fmt.Sprintf("fault %s shows something at %s but is silent on %s: a member that is off seldom leaves the list alike", r.f.name, member, whole),
						fmt.Sprintf("say what it shows there: shows %s one_low, one_high or mixed, and how surely", whole))
				}
				continue
			}
			odd := c.val.alike.outcomesOf([]string{"one_low", "one_high"})
			mixed := c.val.alike.outcomesOf([]string{"mixed"})
			if p.somewhere(r, from) && c.val.few() && r.bad[to]&odd != 0 && r.bad[to]&mixed == 0 {
				p.warn(dsl.CodeSilentCheck, r.f.src, fmt.Sprintf("fault %s shows %s at any member, so at two of them as well, and then %s is mixed, which it never shows", r.f.name, member, whole),
					"write mixed beside the odd one, with | before it or with a strength of its own")
			}
		}
	}
}

// somewhere tells whether a fault shows something bad at a list without saying at which member.
func (p *knowledgeProver) somewhere(r *faultRow, column int) bool {
	for _, s := range r.cells[column].shows {
		if s.where == "" && p.k.columns[column].c.outcomesOf(s.s.ref.words)&^p.k.columns[column].good != 0 {
			return true
		}
	}
	return false
}

// few tells whether a list has three or four members: with fewer neither is the odd one, and of more a fault without a position takes one or all.
func (v *value) few() bool {
	n := 1
	for _, a := range v.typ.axes {
		n *= len(a.words)
	}
	return n == 3 || n == 4
}
