package uncertainty

import (
	"fmt"
	"math"
)

// A Line is a straight line y = Intercept + Slope·(x − Origin) fitted to points, with what is known of its two coefficients.
type Line struct {
	Origin      float64
	Intercept   float64 // in the unit of y, at x = Origin
	Slope       float64 // in the unit of y by that of x
	UIntercept  float64 // standard uncertainties
	USlope      float64
	Correlation float64 // of the coefficients
	Residual    float64 // standard deviation of the points about the line
	Freedom     float64 // degrees of freedom of all uncertainties: two fewer than points
}

// FitLine fits a straight line to at least three points by least squares, with x exact and all y equally uncertain: JCGM 100:2008, H.3.2. The
// uncertainties come from the scatter of the points about the line. Origin is where the intercept is taken: near the mean of x it is hardly
// correlated with the slope. An error tells of slices of different lengths, too few points, numbers that are not finite, or x that are all alike.
func FitLine(x, y []float64, origin float64) (Line, error) {
	n := float64(len(x))
	switch {
	case len(x) != len(y):
		return Line{}, fmt.Errorf("%d values of x and %d of y: give one of each for a point", len(x), len(y))
	case len(x) < 3:
		return Line{}, fmt.Errorf("%d points: use at least 3, so that their scatter shows", len(x))
	case !finite(origin):
		return Line{}, fmt.Errorf("origin %v: use a finite number", origin)
	}
	meanX, meanY := 0.0, 0.0
	for i := range x {
		if !finite(x[i]) || !finite(y[i]) {
			return Line{}, fmt.Errorf("point %d is (%v, %v): use finite numbers", i, x[i], y[i])
		}
		meanX += x[i] / n
		meanY += y[i] / n
	}
	xx, xy := 0.0, 0.0
	for i := range x {
		xx += (x[i] - meanX) * (x[i] - meanX)
		xy += (x[i] - meanX) * (y[i] - meanY)
	}
	if !positive(xx) {
		return Line{}, fmt.Errorf("all x are %v: a slope needs different ones", x[0])
	}
	slope := xy / xx
	squares := 0.0
	for i := range x {
		r := y[i] - meanY - slope*(x[i]-meanX)
		squares += r * r
	}
	s, lever := math.Sqrt(squares/(n-2)), meanX-origin
	return Line{
		Origin: origin, Intercept: meanY - slope*lever, Slope: slope,
		UIntercept: s * math.Sqrt(1/n+lever*lever/xx), USlope: s / math.Sqrt(xx),
		Correlation: -lever / math.Sqrt(xx/n+lever*lever),
		Residual:    s, Freedom: n - 2,
	}, nil
}

// At returns the height of the line at x and its standard uncertainty, with the correlation of the coefficients: JCGM 100:2008, H.3.4. The scatter of
// a further single point about the line is not in it.
func (l Line) At(x float64) (y, u float64) {
	d := x - l.Origin
	variance := l.UIntercept*l.UIntercept + d*d*l.USlope*l.USlope + 2*d*l.UIntercept*l.USlope*l.Correlation
	return l.Intercept + l.Slope*d, math.Sqrt(math.Max(0, variance))
}
