package workload

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"github.com/brushgear/brushgear/units"
)

// draw makes everything that depends on the seed.
type draw struct {
	rng  *rand.Rand
	volt *Value
}

var (
	stages = []string{"closed", "opened", "stripped"}
	parts  = []string{"rotor", "stator", "rectifier", "regulator", "brushes", "solenoid"}
	occurs = []string{"common", "occasional", "rare"}
	often  = []string{always, always, "usually", "sometimes"}
)

func (d *draw) conditions() []*Value {
	d.volt = &Value{Name: supply, Unit: "V", nominal: 13}
	return []*Value{d.volt, {Name: windingTemp, Unit: "°C", nominal: 293.15}}
}

// reading makes a numeric reading whose nominal value lies within a fifth of x, in the unit.
func (d *draw) reading(name string, x float64, unit string) *Value {
	nominal := units.New(x*d.between(0.8, 1.2), units.MustUnit(unit)).SI()
	return &Value{Name: name, Unit: unit, nominal: nominal}
}

func formula(name, unit string, x *Value, op string, y *Value) *Value {
	f := &Formula{x, y, op}
	return &Value{Name: name, Unit: unit, Formula: f, nominal: f.apply(x.nominal, y.nominal)}
}

func words(name string, good int, all ...string) *Value {
	return &Value{Name: name, Words: all, good: good}
}

func (d *draw) between(low, high float64) float64 { return low + (high-low)*d.rng.Float64() }

// away is a limit up to an eighth below or above the nominal value.
func (d *draw) away(v *Value, sign float64) *Quantity {
	q := rounded(v.nominal*(1+sign*d.between(0.02, 0.12)), v.Unit)
	return &q
}

func (d *draw) within(v *Value) Check  { return &Bounds{v, d.away(v, -1), d.away(v, 1)} }
func (d *draw) atLeast(v *Value) Check { return &Bounds{Value: v, Low: d.away(v, -1)} }
func (d *draw) atMost(v *Value) Check  { return &Bounds{Value: v, High: d.away(v, 1)} }

// coil is a test that finds a winding's resistance from its current.
func (d *draw) coil(name, title string, amperes float64) *Test {
	current := d.reading("current", amperes, "A")
	resistance := formula("resistance", "Ω", d.volt, "/", current)
	resistance.Copper = true
	return d.test(name, title, []*Value{current, resistance}, d.within(resistance))
}

func (d *draw) test(name, title string, values []*Value, checks ...Check) *Test {
	for _, v := range values {
		v.Test = name
	}
	return &Test{Name: name, Title: title, Stage: stages[d.rng.IntN(len(stages))], Minutes: 1 + d.rng.IntN(9), Values: values, Checks: checks}
}

func (d *draw) tests() []*Test {
	var (
		turns   = words("turns", 1, "free", "drags", "locked")
		surface = words("surface", 1, "brown", "grooved", "burnt")
		glow    = words("glow", 2, "dark", "dim", "lit")
		phases  = &Value{Name: "ohms", Unit: "mΩ", Positions: []string{"uv", "vw", "wu"}, nominal: d.between(0.05, 0.09)}
		exciter = d.reading("ohms", 7, "Ω")
		volts   = d.reading("volts", 12.8, "V")
		length  = d.reading("length", 13, "mm")
		held    = d.reading("volts", 14.5, "V")
		ripple  = d.reading("volts", 0.4, "V")
		leak    = d.reading("ohms", 3, "MΩ")
		drop    = d.reading("drop", 120, "mV")
		amperes = d.reading("current", 71, "A")
		under   = d.reading("volts", 13.4, "V")
		power   = formula("power", "W", under, "*", amperes)
		running = d.reading("current", 65, "A")
		speed   = d.reading("speed", 4100, "rpm")
		locked  = d.reading("current", 390, "A")
		force   = d.reading("force", 44, "N")
		runout  = d.reading("runout", 0.09, "mm")
		depth   = d.reading("depth", 0.6, "mm")
		given   = d.reading("given", 9, "V")
		seen    = d.reading("seen", 4, "V")
		gain    = formula("gain", "%", seen, "/", given)
		rich    = d.reading("rich", 3.1, "A")
		lean    = d.reading("lean", 1.2, "A")
		spread  = formula("spread", "A", rich, "-", lean)
		onward  = d.reading("onward", 0.6, "V")
		back    = d.reading("back", 3, "V")
		idle    = d.reading("idle", 15, "mV")
		loaded  = d.reading("loaded", 160, "mV")
		rise    = formula("rise", "mV", loaded, "-", idle)
		begin   = d.reading("begin", 25, "V")
		end     = d.reading("end", 15, "V")
		dip     = formula("dip", "V", begin, "-", end)
	)
	exciter.Copper = true
	freeRun := d.test("free_run", "Free run at full voltage", []*Value{running, speed}, d.within(running), d.within(speed))
	freeRun.Checks = append(freeRun.Checks, freeRunPattern(freeRun))
	return []*Test{
		d.test("by_hand", "Turn by hand", []*Value{turns}, &Words{turns}),
		d.test("rings", "Look of the slip rings", []*Value{surface}, &Words{surface}),
		d.test("lamp", "Test lamp, field to frame", []*Value{glow}, &Words{glow}),
		d.test("phases", "Phases, lead to lead", []*Value{phases}, &Alike{phases, 6}),
		d.coil("ring_field", "Field, ring to ring", 3.3),
		d.coil("pull_in", "Pull-in winding", 21),
		d.coil("hold_in", "Hold-in winding", 8.5),
		d.test("exciter", "Exciter field", []*Value{exciter}, d.within(exciter)),
		d.test("battery", "Open-circuit voltage of the battery", []*Value{volts}, d.grade(volts, "flat", "half")),
		d.test("brush", "Length of the shorter brush", []*Value{length}, d.grade(length, "worn", "reusable")),
		d.test("regulated", "Regulated voltage, light load", []*Value{held}, d.within(held)),
		d.test("ripple", "Ripple at half load", []*Value{ripple}, d.atMost(ripple)),
		d.test("insulation", "Windings to frame", []*Value{leak}, d.atLeast(leak)),
		d.test("contacts", "Drop over the main contacts", []*Value{drop}, d.atMost(drop)),
		d.test("output", "Output at rated speed", []*Value{amperes, under, power}, d.atLeast(amperes), d.atLeast(power)),
		freeRun,
		d.test("stall", "Stall, locked pinion", []*Value{locked, force}, d.within(locked), d.atLeast(force)),
		d.test("journal", "Runout of the journal", []*Value{runout}, d.atMost(runout)),
		d.test("undercut", "Mica undercut", []*Value{depth}, d.within(depth)),
		d.test("sense", "Sense line, given and seen", []*Value{given, seen, gain}, d.within(gain)),
		d.test("trim", "Current at both ends of the trimmer", []*Value{rich, lean, spread}, d.atMost(spread)),
		d.test("diode", "Exciter diode, both ways", []*Value{onward, back}, d.within(onward), d.grade(back, "shorted", "leaky")),
		d.test("ground", "Ground side, idle and loaded", []*Value{idle, loaded, rise}, d.atMost(rise)),
		d.test("crank", "Battery while cranking", []*Value{begin, end, dip}, d.atLeast(end), d.atMost(dip)),
	}
}

func (d *draw) grade(v *Value, worst, middle string) Check {
	cuts := []Quantity{rounded(v.nominal*d.between(0.88, 0.96), v.Unit), rounded(v.nominal*0.985, v.Unit)}
	return &Grade{v, []Outcome{{worst, Fail}, {middle, Marginal}, {"good", Pass}}, cuts}
}

func freeRunPattern(t *Test) Check {
	good, low, high := []string{"good"}, []string{"low"}, []string{"high"}
	return &Pattern{t.Name, t.Checks[0], t.Checks[1], []Row{
		{"good", good, good},
		{"drag", high, low},
		{"resist", low, low},
		{"weak", high, high},
		{"overrun", []string{"low", "good"}, high},
	}, "odd"}
}

// faults draws 32 faults. Each check is named by one of them at least; the first outcome that a fault shows is always there.
func (d *draw) faults(checks []Check) []*Fault {
	var faults []*Fault
	for i := range 32 {
		part := parts[d.rng.IntN(len(parts))]
		f := &Fault{
			Name: fmt.Sprintf("%s_%d", part, i+1), Title: fmt.Sprintf("Fault %d of the %s", i+1, part),
			Part: part, Occurs: occurs[d.rng.IntN(len(occurs))],
		}
		named := d.rng.Perm(len(checks))[:2+d.rng.IntN(3)]
		if first := i % len(checks); !slices.Contains(named, first) {
			named[0] = first
		}
		for j, c := range named {
			strength := always
			if j > 0 {
				strength = often[d.rng.IntN(len(often))]
			}
			f.Shows = append(f.Shows, Show{checks[c], d.badWords(checks[c]), strength})
		}
		faults = append(faults, f)
	}
	return faults
}

// badWords draws some of the outcomes of a check that are not good; of a list that is not alike all, since the workload does not part them.
func (d *draw) badWords(c Check) []string {
	if _, ok := c.(*Alike); ok {
		return odd
	}
	var bad []string
	for _, o := range c.Outcomes() {
		if o.Word != "good" {
			bad = append(bad, o.Word)
		}
	}
	from := d.rng.IntN(len(bad))
	return bad[from : from+1+d.rng.IntN(min(2, len(bad)-from))]
}

// set draws complete readings, about one in six of them out of its limits and some exactly on one.
func (d *draw) set(w *Workload) Set {
	s := Set{supply: d.between(12, 14), windingTemp: d.between(283, 313)}
	for _, v := range w.Readings() {
		for _, id := range v.Idents() {
			switch {
			case v.Words == nil:
				s[id] = v.nominal * d.around()
			case d.rng.IntN(4) > 0:
				s[id] = v.Words[d.rng.IntN(v.good)]
			default:
				s[id] = v.Words[d.rng.IntN(len(v.Words))]
			}
		}
	}
	for _, c := range w.Checks() {
		if b, ok := c.(*Bounds); ok && b.Formula == nil && !b.Copper && d.rng.IntN(16) == 0 {
			s[b.Ident()] = d.edge(b)
		}
	}
	return s
}

// around is a factor that is mostly near 1.
func (d *draw) around() float64 {
	if d.rng.IntN(4) == 0 {
		return d.between(0.84, 1.16)
	}
	return d.between(0.95, 1.05)
}

// edge is a bound itself: it belongs to the good readings.
func (d *draw) edge(b *Bounds) float64 {
	if b.Low == nil || b.High != nil && d.rng.IntN(2) == 0 {
		return b.High.SI
	}
	return b.Low.SI
}
