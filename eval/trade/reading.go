package trade

import (
	"fmt"
	"math"
	"slices"

	"github.com/brushgear/brushgear/units"
)

// UnbalanceRule is a definition of how unlike readings are that should be alike. Sheets and standards mean different ones, and the figures differ by
// a factor of two, so a limit must name its rule.
type UnbalanceRule uint8

// The rules.
const (
	OfMean      UnbalanceRule = iota // largest deviation from the mean, over the mean: NEMA MG 1, 12.45; ANSI/EASA AR100
	SpanOfMean                       // highest less lowest, over the mean; common practice, no source
	SpanOfLeast                      // highest less lowest, over the lowest; common practice, no source
	OfMedian                         // largest deviation from the median, over the median; common practice, no source
)

var ruleNames = [...]string{OfMean: "of the mean", SpanOfMean: "span of the mean", SpanOfLeast: "span of the least", OfMedian: "of the median"}

// String returns the rule in words.
func (r UnbalanceRule) String() string {
	if int(r) < len(ruleNames) {
		return ruleNames[r]
	}
	return fmt.Sprintf("UnbalanceRule(%d)", r)
}

// alike returns readings of one dimension, in SI units.
func (a *arguments) alike(readings []units.Quantity, least int) []float64 {
	a.count("number of readings", len(readings), least)
	if a.err != nil {
		return nil
	}
	if d := readings[0].Dimension(); d.Kind() == units.Temperature {
		a.refuse("reading 1", fmt.Sprintf("%v is a temperature, of which nothing is a percentage", readings[0]),
			"compare the rises above one temperature, in K")
	}
	x := make([]float64, len(readings))
	for i, q := range readings {
		x[i] = a.positive(fmt.Sprintf("reading %d", i+1), q, readings[0])
	}
	return x
}

// Unbalance returns how unlike readings are by a rule. There must be two or more, all above zero and of one dimension.
func Unbalance(rule UnbalanceRule, readings ...units.Quantity) (units.Quantity, error) {
	var a arguments
	x := a.alike(readings, 2)
	if a.err != nil {
		return units.Quantity{}, a.err
	}
	lowest, highest := slices.Min(x), slices.Max(x)
	deviation := func(from float64) float64 { return max(highest-from, from-lowest) / from }
	var u float64
	switch rule {
	case OfMean:
		u = deviation(mean(x))
	case SpanOfMean:
		u = (highest - lowest) / mean(x)
	case SpanOfLeast:
		u = (highest - lowest) / lowest
	case OfMedian:
		u = deviation(median(x))
	default:
		a.refuse("rule", fmt.Sprintf("%v is no rule", rule), "write OfMean, SpanOfMean, SpanOfLeast or OfMedian")
	}
	return a.only(u, percent)
}

// Typical is what many readings have in common, whatever a few of them do.
type Typical struct {
	Median units.Quantity
	// Spread is the median of the distances from the median, times 1.4826: for readings that scatter normally it is their standard deviation.
	Spread units.Quantity
}

// toDeviation is the standard deviation of a normal distribution over the median of the distances from its middle, 1/Φ⁻¹(3/4).
var toDeviation = 1 / (math.Sqrt2 * math.Erfinv(0.5))

// TypicalOf returns the median and the robust spread of readings, in the unit of the first. A bad bar among many drags the mean and inflates
// the standard deviation, it moves neither of these. There must be three or more, all above zero and of one dimension.
//
// Source: median absolute deviation, in any textbook of robust statistics, from memory.
func TypicalOf(readings ...units.Quantity) (Typical, error) {
	var a arguments
	x := a.alike(readings, 3)
	if a.err != nil {
		return Typical{}, a.err
	}
	middle, spread := typical(x)
	return settled(&a, Typical{a.quantity(middle, readings[0]), a.quantity(spread, readings[0])})
}

func typical(x []float64) (middle, spread float64) {
	middle = median(x)
	distances := make([]float64, len(x))
	for i := range x {
		distances[i] = math.Abs(x[i] - middle)
	}
	return middle, toDeviation * median(distances)
}

// Odd is a reading that is unlike the others.
type Odd struct {
	Place     int            // from 0
	Reading   units.Quantity // as taken
	Deviation units.Quantity // from the median, over the median; negative when it is lower
}

// OddOnes returns the readings that are further from the median than a share of it and than so many robust spreads, in their order. The share
// keeps small steps of a meter from being called odd where all others agree, the spreads keep a winding that scatters from being called
// odd as a whole; three and a half spreads and 5 to 10 % are usual (common practice, no source). There must be three or more readings, all
// above zero and of one dimension; the share and the number of spreads are zero or more.
//
// No more than half of the readings can be odd. Where a fault shows at several places, such as a coil of a wave winding, they are one fault.
func OddOnes(share units.Quantity, spreads float64, readings ...units.Quantity) ([]Odd, error) {
	var a arguments
	k := a.notNegative("share", share, percent)
	if !(spreads >= 0) {
		a.refuse("number of spreads", fmt.Sprintf("%v is below zero or no number", spreads), "write one such as 3.5")
	}
	x := a.alike(readings, 3)
	if a.err != nil {
		return nil, a.err
	}
	middle, spread := typical(x)
	var odd []Odd
	for i := range x {
		if off := math.Abs(x[i] - middle); off > k*middle && off > spreads*spread {
			odd = append(odd, Odd{i, readings[i], a.quantity(x[i]/middle-1, percent)})
		}
	}
	return settled(&a, odd)
}

func mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func median(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	half := len(s) / 2
	if len(s)%2 == 1 {
		return s[half]
	}
	return s[half-1] + (s[half]-s[half-1])/2
}
