package units

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
)

// American wire gauge is a scale, not a unit: wire of gauge n has the diameter 5 mil · 92^((36-n)/39). A quantity in AWG measures the
// section of the wire, so that it compares with mm² and kcmil; thicker wire has the lower number. Gauges below 0 are written 2/0, 3/0
// and 4/0, or 00, 000 and 0000.
//
// Source of the law: ASTM B258, from memory; the tests check it against printed wire tables and GNU units.

// The range of gauges: wire is made from 4/0 to about 56.
const (
	minGauge = -19 // 20/0
	maxGauge = 100
)

var errGauge = errors.New("not a wire gauge")

// gaugeAtom is the place of AWG in the table.
var gaugeAtom = uint8(slices.IndexFunc(atoms[:], func(a atom) bool { return a.symbol == "AWG" }))

func (u Unit) isGauge() bool {
	return u.terms[0].power == 1 && u.terms[0].atom == gaugeAtom
}

// gauged makes the quantity of a wire gauge. The error is errGauge.
func gauged(n number, u Unit) (Quantity, error) {
	q := Quantity{unit: u, text: n.text}
	top, bottom, slash := strings.Cut(n.text, "/")
	switch {
	case slash:
		zeros, err := strconv.Atoi(top)
		if err != nil || bottom != "0" || zeros < 1 {
			return Quantity{}, errGauge
		}
		q.value = float64(1 - zeros)
	case strings.Trim(n.text, "0") == "":
		q.value = float64(1 - len(n.text))
	default:
		r, _ := n.rat()
		q.value = float(r)
		if q.value < 0 && q.value == math.Trunc(q.value) {
			q.text = gaugeText(q.value)
		}
	}
	if !(minGauge <= q.value && q.value <= maxGauge) {
		return Quantity{}, errGauge
	}
	q.si = gaugeArea(q.value)
	return q, nil
}

// gaugeArea returns the section of gauge n in m².
func gaugeArea(n float64) float64 {
	const gauge36 = 0.127e-3 // diameter in m: 5 mil
	return math.Pi / 4 * gauge36 * gauge36 * math.Pow(92, (36-n)/19.5)
}

// gaugeOf is the inverse of gaugeArea. A gauge that is whole but for rounding comes back whole.
func gaugeOf(section float64) float64 {
	n := 36 - 19.5*math.Log(section/gaugeArea(36))/math.Log(92)
	if whole := math.Round(n); math.Abs(n-whole) < 1e-12 {
		return whole
	}
	return n
}

// gaugeText writes a whole gauge below 0, "2/0" for -1.
func gaugeText(n float64) string {
	return strconv.Itoa(int(1-n)) + "/0"
}

// linear returns a wire gauge as its section in mm², which has multiples; other quantities as they are.
func (q Quantity) linear() Quantity {
	if q.unit.isGauge() {
		return FromSI(q.si, MustUnit("mm²"))
	}
	return q
}
