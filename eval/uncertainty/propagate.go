package uncertainty

import (
	"errors"
	"fmt"
	"math"
)

// A Formula computes an output from the estimates of its inputs. It must neither change nor keep x, and give the same result for the same x.
type Formula func(x []float64) float64

// An Input of a formula: its estimate, its standard uncertainty from 0 up, the degrees of freedom of that uncertainty (0 for infinitely many), and
// the shape of its distribution, which only [Simulate] uses.
type Input struct {
	X, U    float64
	Freedom float64
	Shape   Shape
}

// A Result of propagation to first order.
type Result struct {
	Y, U      float64
	Slopes    []float64 // ∂f/∂x of each input, in units of the output by units of the input
	Parts     []float64 // |∂f/∂x|·u of each input: what U would be if that input alone were uncertain
	Shares    []float64 // share of each input in U², which add up to 1; with correlations one may be negative; all 0 if U is 0
	Effective float64   // effective degrees of freedom of U: +Inf if all inputs have infinitely many, NaN if inputs with finitely many are correlated
}

// Propagate carries the uncertainties of the inputs through f to first order: u² = Σᵢ Σⱼ (∂f/∂xᵢ) (∂f/∂xⱼ) uᵢ uⱼ rᵢⱼ, JCGM 100:2008, 5.1.2 and
// 5.2.2. The matrix correlation holds the coefficients r; nil means independent inputs. The slopes are central differences over one standard uncertainty
// to either side (5.1.3, note 2), over 10⁻⁷ of the estimate if that is more. The effective degrees of freedom are those of Welch and
// Satterthwaite, U⁴/Σ(Partᵢ⁴/νᵢ) (G.4.1), which holds for independent inputs.
//
// An error tells of a negative or infinite uncertainty, of impossible correlations (see [ErrCorrelation]), or that f is not finite within a
// standard uncertainty of the estimates. Where first order is not enough: see the package comment.
func Propagate(f Formula, in []Input, correlation [][]float64) (Result, error) {
	if err := checkInputs(in, correlation); err != nil {
		return Result{}, err
	}
	y, slopes, err := differentiate(f, in)
	if err != nil {
		return Result{}, err
	}
	return combine(y, slopes, in, correlation), nil
}

// PropagateSlopes is [Propagate] for a formula whose value y and derivatives by each input are known at the estimates.
func PropagateSlopes(y float64, slopes []float64, in []Input, correlation [][]float64) (Result, error) {
	if err := checkInputs(in, correlation); err != nil {
		return Result{}, err
	}
	if len(slopes) != len(in) {
		return Result{}, fmt.Errorf("%d slopes for %d inputs: give one for each input", len(slopes), len(in))
	}
	for i, s := range slopes {
		if !finite(s) {
			return Result{}, fmt.Errorf("the slope of input %d is %v: use a finite number", i, s)
		}
	}
	if !finite(y) {
		return Result{}, fmt.Errorf("the value of the formula is %v: use a finite number", y)
	}
	return combine(y, append([]float64(nil), slopes...), in, correlation), nil
}

// PropagateAll is [Propagate] for several outputs of the same inputs. It returns also the correlation coefficients of the outputs, without which
// they must not be used together: JCGM 100:2008, 5.2.2 and H.2.4. An output without uncertainty has the coefficient 0 with every other.
func PropagateAll(fs []Formula, in []Input, correlation [][]float64) ([]Result, [][]float64, error) {
	if err := checkInputs(in, correlation); err != nil {
		return nil, nil, err
	}
	results, coefficients := make([]Result, len(fs)), make([][]float64, len(fs))
	for a, f := range fs {
		y, slopes, err := differentiate(f, in)
		if err != nil {
			return nil, nil, fmt.Errorf("output %d: %w", a, err)
		}
		results[a], coefficients[a] = combine(y, slopes, in, correlation), make([]float64, len(fs))
		coefficients[a][a] = 1
		for b := range a {
			if product := results[a].U * results[b].U; product > 0 {
				r := covariance(slopes, results[b].Slopes, in, correlation) / product
				r = min(max(r, -1), 1)
				coefficients[a][b], coefficients[b][a] = r, r
			}
		}
	}
	return results, coefficients, nil
}

// Expanded returns the expanded uncertainty U = k·u that holds the share p of a normal result, and its coverage factor k: Student's for the effective
// degrees of freedom, truncated to a whole number as JCGM 100:2008, G.6.4 has it, unless they are below 1.
func (r Result) Expanded(p float64) (expanded, k float64, err error) {
	if math.IsNaN(r.Effective) {
		return 0, 0, errors.New("inputs with finite degrees of freedom are correlated, so that the effective ones are undefined: " +
			"choose a coverage factor")
	}
	freedom := r.Effective
	if freedom >= 1 {
		freedom = math.Floor(freedom)
	}
	if k, err = CoverageFactor(p, freedom); err != nil {
		return 0, 0, err
	}
	return k * r.U, k, nil
}

func checkInputs(in []Input, correlation [][]float64) error {
	for i, v := range in {
		switch {
		case !finite(v.X):
			return fmt.Errorf("input %d has the estimate %v: use a finite number", i, v.X)
		case !notNegative(v.U):
			return fmt.Errorf("input %d has the standard uncertainty %v: use a finite number from 0 up", i, v.U)
		case !(v.Freedom >= 0):
			return fmt.Errorf("input %d has %v degrees of freedom: use a number above 0, or 0 for infinitely many", i, v.Freedom)
		}
	}
	_, err := factorize(correlation, len(in))
	return err
}

// freedom returns the degrees of freedom, +Inf for those left open.
func (v Input) freedom() float64 {
	if v.Freedom == 0 {
		return math.Inf(1)
	}
	return v.Freedom
}

// step is the length over which to difference an input; below a ten-millionth of the estimate rounding would drown the slope.
func (v Input) step() float64 { return math.Max(v.U, 1e-7*math.Abs(v.X)) }

// differentiate returns the value of f at the estimates and its slopes, 0 for an input without uncertainty.
func differentiate(f Formula, in []Input) (y float64, slopes []float64, err error) {
	p := newPoint(f, in)
	y = p.value()
	slopes = make([]float64, len(in))
	for i, v := range in {
		if v.U == 0 {
			continue
		}
		h := v.step()
		slopes[i] = (p.value(shift{i, h}) - p.value(shift{i, -h})) / (2 * h)
	}
	return y, slopes, p.err
}

// A point evaluates a formula at and about the estimates of its inputs, and keeps the first error.
type point struct {
	f   Formula
	in  []Input
	x   []float64
	err error
}

// A shift moves an input away from its estimate.
type shift struct {
	input int
	by    float64
}

func newPoint(f Formula, in []Input) *point {
	p := &point{f: f, in: in, x: make([]float64, len(in))}
	for i, v := range in {
		p.x[i] = v.X
	}
	return p
}

func (p *point) value(shifts ...shift) float64 {
	for _, s := range shifts {
		p.x[s.input] += s.by
	}
	y := p.f(p.x)
	if !finite(y) && p.err == nil {
		p.err = fmt.Errorf("the formula gives %v for the inputs %v, %s: it must be finite near the estimates; "+
			"take smaller uncertainties or another formula", y, p.x, where(shifts))
	}
	for _, s := range shifts {
		p.x[s.input] = p.in[s.input].X
	}
	return y
}

func where(shifts []shift) string {
	if len(shifts) == 0 {
		return "at the estimates themselves"
	}
	return fmt.Sprintf("with input %d moved by %v", shifts[0].input, shifts[0].by)
}

// combine applies the law of propagation. It takes slopes over.
func combine(y float64, slopes []float64, in []Input, correlation [][]float64) Result {
	r := Result{Y: y, Slopes: slopes, Parts: make([]float64, len(in)), Shares: make([]float64, len(in)), Effective: math.Inf(1)}
	variance := math.Max(0, covariance(slopes, slopes, in, correlation))
	r.U = math.Sqrt(variance)
	spread := 0.0
	for i, v := range in {
		r.Parts[i] = math.Abs(slopes[i]) * v.U
		if variance == 0 {
			continue
		}
		r.Shares[i] = slopes[i] * v.U * along(slopes, in, correlation, i) / variance
		if ratio := r.Parts[i] / r.U; v.freedom() < math.Inf(1) && ratio > 0 {
			spread += math.Pow(ratio, 4) / v.Freedom
			if tied(in, correlation, i) {
				spread = math.NaN()
			}
		}
	}
	if spread != 0 {
		r.Effective = 1 / spread
	}
	return r
}

// covariance is Σᵢ aᵢ uᵢ Σⱼ rᵢⱼ bⱼ uⱼ of two outputs with the slopes a and b.
func covariance(a, b []float64, in []Input, correlation [][]float64) float64 {
	sum := 0.0
	for i, v := range in {
		sum += a[i] * v.U * along(b, in, correlation, i)
	}
	return sum
}

// along is Σⱼ rᵢⱼ bⱼ uⱼ.
func along(b []float64, in []Input, correlation [][]float64, i int) float64 {
	if correlation == nil {
		return b[i] * in[i].U
	}
	sum := 0.0
	for j, r := range correlation[i] {
		sum += r * b[j] * in[j].U
	}
	return sum
}

// tied reports whether an input is correlated with another that is uncertain.
func tied(in []Input, correlation [][]float64, i int) bool {
	if correlation == nil {
		return false
	}
	for j, r := range correlation[i] {
		if j != i && r != 0 && in[j].U > 0 {
			return true
		}
	}
	return false
}
