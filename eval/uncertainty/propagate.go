package uncertainty

import (
	"errors"
	"fmt"
	"math"
)

// An Input of a formula: its estimate, its standard uncertainty, and its degrees of freedom (0 for infinitely many).
type Input struct {
	X, U    float64
	Freedom float64
}

// A Result of propagation. Parts holds the contribution of each input, |∂f/∂x|·u: the budget that tells which meter to change.
type Result struct {
	Y, U      float64
	Slopes    []float64
	Parts     []float64
	Effective float64 // effective degrees of freedom, +Inf if all inputs have infinitely many
}

// Propagate carries uncertainties through f to first order: JCGM 100:2008, 5.1.2 and 5.2.2. correlation holds the coefficients of the inputs; nil
// means that they are independent. Derivatives are central differences over one standard uncertainty (5.1.3, note 2); where f bends strongly within
// that, first order is not enough: see SecondOrder.
func Propagate(f func(x []float64) float64, in []Input, correlation [][]float64) (Result, error) {
	x := make([]float64, len(in))
	for i, v := range in {
		if !(v.U >= 0) || math.IsInf(v.U, 0) {
			return Result{}, fmt.Errorf("input %d has the standard uncertainty %v", i, v.U)
		}
		x[i] = v.X
	}
	if correlation != nil && len(correlation) != len(in) {
		return Result{}, errors.New("the correlation matrix has not one row for each input")
	}
	r := Result{Y: f(x), Slopes: make([]float64, len(in)), Parts: make([]float64, len(in)), Effective: math.Inf(1)}
	for i, v := range in {
		if v.U == 0 {
			continue
		}
		x[i] = v.X + v.U
		up := f(x)
		x[i] = v.X - v.U
		r.Slopes[i] = (up - f(x)) / (2 * v.U)
		x[i] = v.X
		r.Parts[i] = math.Abs(r.Slopes[i]) * v.U
	}
	variance, welch := 0.0, 0.0
	for i, v := range in {
		variance += r.Parts[i] * r.Parts[i]
		if v.Freedom > 0 {
			welch += math.Pow(r.Parts[i], 4) / v.Freedom
		}
		for j := range i {
			if correlation != nil {
				variance += 2 * r.Slopes[i] * r.Slopes[j] * v.U * in[j].U * correlation[i][j]
			}
		}
	}
	r.U = math.Sqrt(math.Max(variance, 0))
	if welch > 0 {
		r.Effective = math.Pow(r.U, 4) / welch // Welch-Satterthwaite, G.4
	}
	return r, nil
}

// SecondOrder is the variance that the terms of next order add for independent inputs: Σᵢⱼ ½ (∂²f/∂xᵢ∂xⱼ)² u²ᵢ u²ⱼ, with the third derivatives
// left out, which is exact for products: JCGM 100:2008, 5.1.2, note.
func SecondOrder(f func(x []float64) float64, in []Input) float64 {
	x := make([]float64, len(in))
	for i, v := range in {
		x[i] = v.X
	}
	at := func(i int, di float64, j int, dj float64) float64 {
		x[i] += di
		x[j] += dj
		y := f(x)
		x[i] -= di
		x[j] -= dj
		return y
	}
	sum := 0.0
	for i, a := range in {
		for j, b := range in {
			if a.U == 0 || b.U == 0 {
				continue
			}
			var second float64
			if i == j {
				second = (at(i, a.U, i, 0) - 2*f(x) + at(i, -a.U, i, 0)) / (a.U * a.U)
			} else {
				second = (at(i, a.U, j, b.U) - at(i, a.U, j, -b.U) - at(i, -a.U, j, b.U) + at(i, -a.U, j, -b.U)) / (4 * a.U * b.U)
			}
			sum += second * second * a.U * a.U * b.U * b.U / 2
		}
	}
	return sum
}
