package eval

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/units"
)

// Proofs over limits and the instruments of their readings.

// leastRatio is the test uncertainty ratio that is asked for: the span of a limit to twice the expanded uncertainty (k = 2) of the reading, as
// ANSI/NCSL Z540.3-2006, 5.3 b, has it.
const leastRatio = 4

func (p *knowledgeProver) meters() {
	for i := range p.k.columns {
		col := &p.k.columns[i]
		if col.unit != 0 || col.c.val == nil || !col.meant {
			continue
		}
		p.band(col.c)
		p.fine(col.c)
		p.lost(col.c)
	}
}

// span is a range in which a value is good.
type span struct {
	low, high float64
	text      string
	src       dsl.Range
}

// spans lists the bounded ranges in which the value of a check is good, in the editions that count last.
func (p *knowledgeProver) spans(c *check) []span {
	var list []span
	for _, l := range c.limits {
		if l.declares || !l.source.valid(p.k.binder.cfg.date) || c.kind != limitCheck {
			continue
		}
		if low, high, ok := p.bounds(l); ok {
			list = append(list, span{low, high, l.printed, l.src})
		}
		if l.along != nil {
			for _, r := range l.along.rows {
				if r.low != nil && r.high != nil {
					list = append(list, span{*r.low, *r.high, r.printed, l.src})
				}
			}
		}
	}
	from := -1 // the cut below the outcomes that pass
	for i, r := range c.rungs {
		passes := c.outcomes[r.outcome].result == Pass
		switch {
		case !passes || r.cut == nil:
			from = -1
		case i > 0 && c.outcomes[c.rungs[i-1].outcome].result != Pass:
			from = i - 1
		}
		if from < 0 || c.outcomes[c.rungs[i+1].outcome].result == Pass {
			continue
		}
		low, ok1 := p.fixed(c.rungs[from].cut)
		high, ok2 := p.fixed(r.cut)
		if ok1 && ok2 {
			u := c.val.displayUnit()
			list = append(list, span{low, high, units.FromSI(low, u).String() + " to " + units.FromSI(high, u).String(), c.src})
		}
	}
	return list
}

func (p *knowledgeProver) bounds(l *limit) (low, high float64, ok bool) {
	if l.low == nil || l.high == nil {
		return 0, 0, false
	}
	low, ok1 := p.fixed(l.low.x)
	high, ok2 := p.fixed(l.high.x)
	return low, high, ok1 && ok2 && high > low
}

// fixed works out what the sheet alone decides.
func (p *knowledgeProver) fixed(e *expr) (float64, bool) {
	if e == nil || !e.fixed || e.typ.class != numberClass || len(e.typ.axes) > 0 {
		return 0, false
	}
	r := p.k.binder.eval(0, e)
	return r.lo, r.lo == r.hi && r.flags&regMissing == 0 && !math.IsInf(r.lo, 0)
}

// band reports the narrowest range for which the instrument is too coarse. What conditions and corrections add is left out, so that the finding
// never says too much.
func (p *knowledgeProver) band(c *check) {
	reading, slope, offset, ok := p.single(c.val)
	if !ok || reading.meter == nil || !reading.meter.accurate {
		return
	}
	var worst *span
	least, reach := leastRatio*(1-1e-9), 0.0
	for _, s := range p.spans(c) {
		u := 0.0
		for _, x := range []float64{s.low, s.high} {
			own, shared := reading.meter.accuracy.standardAt((x-offset)/slope, 0)
			u = max(u, math.Abs(slope)*math.Hypot(own, shared))
		}
		if u == 0 {
			continue
		}
		if ratio := (s.high - s.low) / (4 * u); ratio < least {
			least, worst, reach = ratio, &s, 2*u
		}
	}
	if worst == nil {
		return
	}
	unit := differenceUnit(c.val.displayUnit())
	message := fmt.Sprintf("%s is too coarse for %s: the range is %.1f times as wide as the reading may be off (± %s, k = 2), and should be %d times; %.0f %% of it is too near to a bound to be sure",
		reading.meter.name, worst.text, least, fewDigits(reach, unit), leastRatio, 100*min(1, 1/least))
	if least <= 1 {
		message = fmt.Sprintf("%s cannot decide %s: no reading in it is sure, since each may be off by ± %s (k = 2)", reading.meter.name, worst.text, fewDigits(reach, unit))
	}
	p.find(severityOf(least), dsl.CodeShortBand, worst.src, message, "name a better instrument, or accept it with the reason")
}

// severityOf is a warning where no reading could pass, a hint where some could.
func severityOf(ratio float64) dsl.Severity {
	if ratio <= 1 {
		return dsl.Warning
	}
	return dsl.Hint
}

// fewDigits writes a number of SI units with two digits.
func fewDigits(si float64, u units.Unit) string {
	q := units.FromSI(si, u)
	digits := 1 - int(math.Floor(math.Log10(math.Abs(q.Value()))))
	return q.Round(max(0, digits)).String()
}

// single finds the one reading that a value is made of, as slope * reading + offset with what the sheet decides.
func (p *knowledgeProver) single(v *value) (reading *value, slope, offset float64, ok bool) {
	if v.kind == readingValue {
		return v, 1, 0, v.typ.class == numberClass
	}
	if v.formula == nil {
		return nil, 0, 0, false
	}
	reading, slope, offset, ok = p.affine(v.formula)
	return reading, slope, offset, ok && reading != nil && slope != 0
}

// affine takes an expression apart; a nil reading stands for a constant.
func (p *knowledgeProver) affine(e *expr) (reading *value, slope, offset float64, ok bool) {
	if x, known := p.fixed(e); known {
		return nil, 0, x, true
	}
	switch e.op {
	case opValue:
		if e.val.kind == readingValue || e.val.kind == formulaValue {
			return p.single(e.val)
		}
	case opAdd, opSub, opMul, opDiv:
		r1, s1, o1, ok1 := p.affine(e.args[0])
		if !ok1 { // at once: a formula can use another many times
			return nil, 0, 0, false
		}
		r2, s2, o2, ok2 := p.affine(e.args[1])
		if !ok2 || r1 != nil && r2 != nil {
			return nil, 0, 0, false
		}
		reading = r1
		if reading == nil {
			reading = r2
		}
		switch e.op {
		case opAdd:
			return reading, s1 + s2, o1 + o2, true
		case opSub:
			return reading, s1 - s2, o1 - o2, true
		case opMul:
			return reading, s1*o2 + s2*o1, o1 * o2, true
		}
		if r2 == nil && o2 != 0 {
			return reading, s1 / o2, o1 / o2, true
		}
	}
	return nil, 0, 0, false
}

// fine reports bounds that lie between two steps of the instrument's last digit, as printed with more digits than it shows.
func (p *knowledgeProver) fine(c *check) {
	v := c.val
	if v.kind != readingValue || v.meter == nil || v.typ.class != numberClass || v.typ.dim == kelvin || c.kind == alikeCheck {
		return
	}
	for _, l := range c.limits {
		if !l.source.valid(p.k.binder.cfg.date) {
			continue
		}
		for _, x := range []*bound{l.low, l.high} {
			if x == nil {
				continue
			}
			at, ok := x.x.constant()
			if !ok || at == 0 {
				continue
			}
			digit := v.meter.accuracy.rangeOf(at).digit
			if digit == 0 {
				continue
			}
			step := p.written(x.x, at)
			if off := math.Abs(at/digit - math.Round(at/digit)); step > 0 && step < digit*0.999 && off > 1e-6 {
				p.hint(dsl.CodeFineLimit, l.src, fmt.Sprintf("%s shows steps of %s, and this limit lies between two of them", v.meter.name, units.FromSI(digit, differenceUnit(v.displayUnit()))),
					"round it to what the instrument shows, or name one with more digits")
				return
			}
		}
	}
}

// lost reports a formula with limits that uses a reading as it was taken, while the reading itself is corrected. One that uses a condition of the
// correction has its own way with it.
func (p *knowledgeProver) lost(c *check) {
	if c.val.kind != formulaValue {
		return
	}
	var corrected []*value
	used := map[*value]bool{}
	var walk func(v *value)
	walk = func(v *value) {
		if used[v] {
			return
		}
		used[v] = true
		if v.kind == readingValue && len(v.laws) > 0 {
			corrected = append(corrected, v)
		}
		for _, k := range v.laws {
			if v.kind == formulaValue {
				used[k.from] = true
			}
		}
		eachExpr(v.formula, func(e *expr) {
			if e.val != nil && e.op == opValue {
				walk(e.val)
			}
		})
	}
	walk(c.val)
	for _, v := range corrected {
		if !slices.ContainsFunc(v.laws, func(k *correction) bool { return used[k.from] }) {
			p.hint(dsl.CodeLostCorrection, c.src, fmt.Sprintf("%s is worked out from %s as it was taken: what corrects %s from %s is for its own limits", c.val.name, v.name, v.name, v.laws[0].from.name),
				fmt.Sprintf("write correct %s by a law from %s", c.val.name, v.laws[0].from.name))
			return
		}
	}
}

var kelvin = units.MustUnit("°C").Dimension()

// written is the step of the last digit with which a bound is printed, in SI units; 0 for a fraction.
func (p *knowledgeProver) written(e *expr, si float64) float64 {
	text, _, _ := strings.Cut(p.b.text(e.src), "(")
	q, err := units.Parse(strings.TrimSpace(text))
	if err != nil || q.Value() == 0 {
		return 0
	}
	decimals, ok := q.Decimals()
	if !ok {
		return 0
	}
	return math.Pow(10, -float64(decimals)) * math.Abs(si/q.Value())
}
