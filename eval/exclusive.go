package eval

import (
	"fmt"
	"maps"
	"math"
	"math/bits"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/units"
)

// Whether conditions can hold at once. What they ask for is tried with the values that they tell apart. That finds every case in which conditions
// on words, listed quantities and numbers hold together; of serials and days it tries those that the conditions name.

// maxTrials bounds what is tried for one set of conditions, and allTrials what is tried in one compilation; beyond them nothing is claimed.
const (
	maxTrials = 4096
	allTrials = 500_000
)

// together tells whether there is a unit for which all conditions hold, and what is true of that unit.
func (b *builder) together(conditions ...*expr) (example string, both bool) {
	if len(conditions) == 0 {
		return "", true
	}
	if b.c.tried > allTrials {
		return "", false
	}
	probes := probesOf(conditions)
	n := 1
	for _, t := range probes {
		if n *= len(t.values); n > maxTrials {
			return "", false
		}
	}
	b.c.tried += n
	s := &statics{cfg: &configuration{m: b.m, sets: map[string]map[string]constant{"": {}}}, units: []boundUnit{{m: b.m}}}
	found := make([]constant, len(probes))
	var try func(i int) bool
	try = func(i int) bool {
		if i == len(probes) {
			return !slices.ContainsFunc(conditions, func(e *expr) bool { return s.eval(0, e).bits != canTrue })
		}
		for _, k := range probes[i].values {
			probes[i].set(s.cfg, k)
			found[i] = k
			if try(i + 1) {
				return true
			}
		}
		return false
	}
	if !try(0) {
		return "", false
	}
	var words []string
	for i, t := range probes {
		words = append(words, t.is(found[i]))
	}
	return strings.Join(words, " and "), true
}

// probe is one thing that conditions ask for, with the values to try.
type probe struct {
	of     *expr // the reference to it
	said   []float64
	texts  []string
	values []constant
}

// set puts a value to try into the configuration.
func (t *probe) set(cfg *configuration, k constant) {
	switch t.of.op {
	case opSerial:
		cfg.serial = k.text
	case opBuilt:
		cfg.built = day(k.lo)
	default:
		cfg.sets[""][t.of.val.name] = k
	}
}

// is says in words that something has a value.
func (t *probe) is(k constant) string {
	name := "serial"
	switch {
	case t.of.op == opBuilt:
		name = "built"
	case t.of.val != nil:
		name = t.of.val.name
	}
	switch t.of.typ.class {
	case wordClass:
		return name + " is " + t.of.val.typ.words[bits.TrailingZeros64(k.mask)]
	case textClass:
		return fmt.Sprintf("%s is %q", name, k.text)
	case dateClass:
		return name + " is " + day(k.lo).String()
	}
	return name + " is " + units.FromSI(k.lo, t.of.val.displayUnit()).String()
}

// probesOf lists what conditions ask for and can be tried; anything else stays unknown.
func probesOf(conditions []*expr) []*probe {
	named := map[string]*probe{}
	find := func(e *expr) *probe {
		name := ""
		switch {
		case e.op == opValue && e.val.kind != formulaValue:
			name = e.val.name
		case e.op == opSerial:
			name = "serial"
		case e.op == opBuilt:
			name = "built"
		default:
			return nil
		}
		if named[name] == nil {
			named[name] = &probe{of: e}
		}
		return named[name]
	}
	var walk func(e *expr)
	walk = func(e *expr) {
		for i, a := range e.args {
			walk(a)
			if t := find(a); t != nil {
				t.texts = append(t.texts, e.texts...)
				for k, other := range e.args {
					switch {
					case k == i:
					case other.op == opText:
						t.texts = append(t.texts, other.text)
					case other.op == opConst || other.op == opDate:
						t.said = append(t.said, other.num)
					}
				}
			}
		}
	}
	for _, e := range conditions {
		walk(e)
	}
	var list []*probe
	for _, name := range slices.Sorted(maps.Keys(named)) {
		if t := named[name]; t.fill() {
			list = append(list, t)
		}
	}
	return list
}

// fill works out the values to try; false when there are none.
func (t *probe) fill() bool {
	switch v := t.of.val; t.of.typ.class {
	case textClass:
		for _, text := range t.texts {
			t.values = append(t.values, constant{known: true, text: text})
		}
	case dateClass:
		for _, n := range t.said {
			for _, d := range []day{day(n), day(n).next(), day(n).before()} {
				t.values = append(t.values, constant{known: true, lo: float64(d), hi: float64(d)})
			}
		}
	case wordClass, numberClass:
		if t.values = v.possible(); len(t.values) > 0 {
			break
		}
		for _, n := range between(t.said, v.typ.dim.Kind() == units.Count) {
			t.values = append(t.values, constant{known: true, lo: n, hi: n})
		}
	}
	return len(t.values) > 0
}

// between lists the numbers said, and one in each stretch that they part.
func between(said []float64, whole bool) []float64 {
	said = slices.Compact(slices.Sorted(slices.Values(said)))
	var list []float64
	for i, n := range said {
		list = append(list, n)
		switch last := i == len(said)-1; {
		case whole:
			list = append(list, n-1, n+1)
		case !last:
			list = append(list, (n+said[i+1])/2)
		default:
			list = append(list, said[0]-max(1, math.Abs(said[0])), n+max(1, math.Abs(n)))
		}
	}
	return list
}
