package eval

import (
	"maps"
	"slices"

	"github.com/brushgear/brushgear/units"
)

// bindChecks binds a check of a value, once for each position of a list; alike and tables make one check for the whole.
func (b *binder) bindChecks(c *check, test int32) {
	vr := b.at[valueKey{b.unit, c.val}]
	if c.kind == alikeCheck || c.val.typ.table || len(c.val.typ.axes) == 0 {
		b.bindCheck(c, test, -1, vr.base, vr.n)
		return
	}
	for pos := range int(vr.n) {
		b.bindCheck(c, test, pos, vr.base+int32(pos), 1)
	}
}

func (b *binder) newCheck(c *check, test int32, pos int) boundCheck {
	k := boundCheck{c: c, test: test, pos: pos, label: c.label(), pitch: -1, all: 1<<len(c.outcomes) - 1}
	if u := b.units[b.unit].name; u != "" {
		k.label = u + "." + k.label
	}
	if pos >= 0 {
		k.label += "[" + joinComma(b.positionNames(c.val.typ.axes, pos)) + "]"
	}
	for i, o := range c.outcomes {
		k.results = append(k.results, o.result)
		if o.result == Pass || o.result == Information {
			k.good |= 1 << i
		}
	}
	k.z0 = int32(b.p.zs)
	b.p.zs += len(c.outcomes)
	for word, mask := range map[string]*uint32{"low": &k.low, "high": &k.high, "worn": &k.worn, "jumps": &k.jumps, "dips": &k.dips} {
		if i := c.find(word); i >= 0 && c.kind == limitCheck {
			*mask = 1 << i
		}
	}
	k.lowAt, k.highAt = int8(c.find("low")), int8(c.find("high"))
	if c.kind == wordCheck {
		for _, w := range c.val.typ.words {
			k.words = append(k.words, uint8(max(c.find(w), 0)))
		}
	}
	return k
}

func (b *binder) bindCheck(c *check, test int32, pos int, base, n int32) {
	k := b.newCheck(c, test, pos)
	k.value, k.n = base, n
	var names []string
	if pos >= 0 {
		names = b.positionNames(c.val.typ.axes, pos)
	}
	for _, l := range c.limits {
		if l.declares || !l.source.valid(b.cfg.date) || l.index != nil && !slices.Equal(l.index, names) {
			continue
		}
		k.limits = append(k.limits, b.bindLimit(c, l, base, n))
	}
	k.exhaustive = b.exhaustive(k.limits)
	for _, r := range c.rungs {
		cut := int32(-1)
		if r.cut != nil {
			cut, _ = b.expr(r.cut)
		}
		k.cuts = append(k.cuts, cut)
	}
	if c.kind == gradeCheck {
		var l boundLimit
		k.read, k.value = base, b.corrected(c.val, base, nil, &l)
		k.laws = l.laws
	}
	if c.pitch != nil && (c.pitchWhen == nil || b.eval(b.unit, c.pitchWhen).bits == canTrue) {
		k.pitch, _ = b.expr(c.pitch)
	}
	b.p.quick = append(b.p.quick, b.shorten(&k))
	b.p.checks = append(b.p.checks, k)
	b.emit(op{code: codeCheck, aux: int32(len(b.p.checks) - 1)})
}

// exhaustive tells whether one of the limits counts for certain although it is not known which: their conditions ask for one attribute, and each
// value that it can have meets one of them.
func (b *binder) exhaustive(limits []boundLimit) bool {
	var a *value
	for i := range limits {
		w := limits[i].lim.when
		if w == nil || !w.fixed || limits[i].variant {
			return false
		}
		for _, v := range attributesOf(w) {
			if v == nil || a != nil && a != v {
				return false
			}
			a = v
		}
	}
	if a == nil {
		return false
	}
	name := b.units[b.unit].name
	if _, known := b.cfg.sets[name][a.name]; known {
		return false
	}
	tried := *b.cfg // a copy, since others read the configuration of the job
	set := map[string]constant{}
	maps.Copy(set, b.cfg.sets[name])
	tried.sets = map[string]map[string]constant{}
	maps.Copy(tried.sets, b.cfg.sets)
	tried.sets[name] = set
	with := statics{cfg: &tried, units: b.units}
	for _, k := range a.possible() {
		set[a.name] = k
		if !slices.ContainsFunc(limits, func(l boundLimit) bool { return with.eval(b.unit, l.lim.when).bits == canTrue }) {
			return false
		}
	}
	return len(a.possible()) > 0
}

// attributesOf lists the attributes of the unit itself that an expression asks for; nil stands for anything else that it asks for.
func attributesOf(e *expr) []*value {
	switch e.op {
	case opValue:
		return []*value{e.val}
	case opForeign, opVariant, opSerial, opBuilt:
		return []*value{nil}
	}
	var list []*value
	for _, x := range e.args {
		list = append(list, attributesOf(x)...)
	}
	return list
}

// possible lists the values that an attribute of words or listed quantities can have.
func (v *value) possible() []constant {
	var list []constant
	for i := range v.typ.words {
		list = append(list, constant{known: true, mask: 1 << i})
	}
	for _, q := range v.quantities {
		list = append(list, constant{known: true, lo: q, hi: q})
	}
	return list
}

func (b *binder) bindLimit(c *check, l *limit, base, n int32) boundLimit {
	k := boundLimit{lim: l, when: -1, value: base, low: -1, high: -1, newLow: -1, newHigh: -1, cond: -1, alike: -1}
	k.when = b.limitHolds(l)
	k.variant = l.layer.variant != nil
	if l.alike != nil {
		k.alike = b.alike(l.alike)
		return k
	}
	if n == 1 && c.val.typ.class == numberClass && !c.val.typ.table {
		k.value = b.corrected(c.val, base, l.at, &k)
	}
	for _, x := range []struct {
		from *bound
		to   *int32
	}{{l.low, &k.low}, {l.high, &k.high}, {l.newLow, &k.newLow}, {l.newHigh, &k.newHigh}} {
		if x.from != nil {
			*x.to, _ = b.expr(x.from.x)
		}
	}
	if l.along != nil {
		k.cond = b.at[valueKey{b.unit, l.along.cond}].base
	}
	return k
}

// limitHolds emits whether a limit counts: its own condition, and its variant. -1 stands for always.
func (b *binder) limitHolds(l *limit) int32 {
	var conds []*expr
	if l.layer.variant != nil {
		conds = append(conds, l.layer.variant.when)
	}
	if l.when != nil {
		conds = append(conds, l.when)
	}
	switch len(conds) {
	case 0:
		return -1
	case 1:
		base, _ := b.expr(conds[0])
		return base
	}
	x, _ := b.expr(conds[0])
	y, _ := b.expr(conds[1])
	base, _ := b.pairwise(codeAnd, x, 1, y, 1)
	return base
}

// corrected emits the laws that bring a value to the references of a limit, or to those that the test states itself.
func (b *binder) corrected(v *value, base int32, at []reference, k *boundLimit) int32 {
	read := base
	for _, law := range v.laws {
		ref, printed := 0.0, ""
		i := slices.IndexFunc(at, func(r reference) bool { return r.cond == law.from })
		switch {
		case i >= 0:
			ref, printed = at[i].si, at[i].text
		case law.to != nil:
			ref = *law.to
			printed = units.FromSI(ref, law.from.displayUnit()).String()
		default:
			continue // the limit holds as read
		}
		bl := boundLaw{k: law, cond: b.at[valueKey{b.unit, law.from}].base, ref: ref, arg: -1, per: law.per, printRef: printed}
		if v.typ.dim == ampere && (law.law.name == "copper" || law.law.name == "aluminium") {
			bl.per = -1 // a current falls as the resistance rises
		}
		if law.arg != nil {
			bl.arg, _ = b.expr(law.arg)
		}
		bl.from, bl.to = bl.trust()
		b.p.laws = append(b.p.laws, bl)
		dst := int32(0)
		if o := law.law.own; o != nil {
			dst = b.ownLaw(o, base, &bl)
		} else {
			dst = b.alloc(1, unknown)
			b.emit(op{code: codeLaw, dst: dst, n: 1, a: base, aux: int32(len(b.p.laws) - 1)})
		}
		if k != nil {
			k.laws = append(k.laws, int32(len(b.p.laws)-1))
		}
		base = dst
	}
	if base != read {
		b.tighten(base)
	}
	return base
}

var ampere = units.MustUnit("A").Dimension()

func (b *binder) bindPattern(c *check, test int32) {
	k := b.newCheck(c, test, -1)
	k.value = -1
	for _, r := range c.rows {
		truth := int32(-1)
		if r.when != nil {
			truth, _ = b.expr(r.when)
		}
		k.rows = append(k.rows, truth)
	}
	b.p.quick = append(b.p.quick, b.shorten(&k))
	b.p.checks = append(b.p.checks, k)
	b.emit(op{code: codeCheck, aux: int32(len(b.p.checks) - 1)})
}
