package uncertainty

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// A Sample is the outcome of a simulation. It may be read from several goroutines.
type Sample struct {
	Mean, U float64
	sorted  []float64
}

// Simulate draws the inputs trials times from their distributions and puts each draw through f: the Monte Carlo method of JCGM 101:2008, clause 7.
// The same seed gives the same sample. For a coverage interval of share p, 10⁴/(1−p) trials are advised (7.2.2): 200 000 for 95 %.
//
// An input of shape Gaussian with finite degrees of freedom is drawn from Student's distribution scaled by U (6.4.9), so that its spread is wider
// than U. Other shapes have the standard uncertainty U whatever their freedom. Correlated inputs must be Gaussian with infinite freedom (6.4.8).
//
// An error tells of bad inputs as in [Propagate], of fewer than 2 trials, or of a draw for which f is not finite.
func Simulate(f Formula, in []Input, correlation [][]float64, trials int, seed uint64) (Sample, error) {
	if err := checkInputs(in, correlation); err != nil {
		return Sample{}, err
	}
	if trials < 2 {
		return Sample{}, fmt.Errorf("%d trials: use at least 2, better 200000", trials)
	}
	for i, v := range in {
		switch {
		case int(v.Shape) >= len(shapes):
			return Sample{}, fmt.Errorf("input %d: %v is no distribution: use Uniform, Triangle, Gaussian or UShaped", i, v.Shape)
		case tied(in, correlation, i) && (v.Shape != Gaussian || v.freedom() < math.Inf(1)):
			return Sample{}, fmt.Errorf("input %d is correlated but not Gaussian with infinite degrees of freedom: "+
				"a coefficient does not define how other shapes go together", i)
		}
	}
	factor, err := factorize(correlation, len(in))
	if err != nil {
		return Sample{}, err
	}
	d := drawer{random: rand.New(rand.NewPCG(seed, 0)), in: in, factor: factor, z: make([]float64, len(in))}
	x, ys := make([]float64, len(in)), make([]float64, trials)
	for n := range ys {
		d.draw(x)
		if ys[n] = f(x); !finite(ys[n]) {
			return Sample{}, fmt.Errorf("trial %d: the formula gives %v for the inputs %v: it must be finite wherever the inputs can be", n, ys[n], x)
		}
	}
	return newSample(ys), nil
}

// A drawer draws all inputs at once.
type drawer struct {
	random *rand.Rand
	in     []Input
	factor [][]float64 // of the correlation matrix, nil for independent inputs
	z      []float64   // deviations in standard uncertainties, before correlation
}

func (d *drawer) draw(x []float64) {
	for i, v := range d.in {
		d.z[i] = v.deviation(d.random)
	}
	for i, v := range d.in {
		deviation := d.z[i]
		if d.factor != nil {
			deviation = 0
			for k, l := range d.factor[i][:i+1] {
				deviation += l * d.z[k]
			}
		}
		x[i] = v.X + v.U*deviation
	}
}

// deviation draws from the distribution of the input about zero, in units of its standard uncertainty.
func (v Input) deviation(r *rand.Rand) float64 {
	switch v.Shape {
	case Triangle:
		return (r.Float64() - r.Float64()) / Triangular
	case Gaussian:
		if freedom := v.freedom(); freedom < math.Inf(1) {
			return student(r, freedom)
		}
		return r.NormFloat64()
	case UShaped:
		return math.Sin(2*math.Pi*r.Float64()) / Arcsine
	}
	return (2*r.Float64() - 1) / Rectangular
}

// student draws from Student's distribution by the polar method: Mathematics of Computation 62 (1994) 779-781, from memory; the tests compare it
// with the distribution.
func student(r *rand.Rand, freedom float64) float64 {
	for {
		u, v := 2*r.Float64()-1, 2*r.Float64()-1
		if w := u*u + v*v; w > 0 && w <= 1 {
			return u * math.Sqrt(freedom*math.Expm1(-2/freedom*math.Log(w))/w)
		}
	}
}

// newSample takes ys over.
func newSample(ys []float64) Sample {
	slices.Sort(ys)
	mean, n := 0.0, float64(len(ys))
	for _, y := range ys {
		mean += y / n
	}
	variance := 0.0
	for _, y := range ys {
		variance += (y - mean) * (y - mean) / (n - 1)
	}
	return Sample{Mean: mean, U: math.Sqrt(variance), sorted: ys}
}

// Within returns the share of the sample from low to high, both included; a side without a limit is ±Inf.
func (s Sample) Within(low, high float64) float64 {
	if len(s.sorted) == 0 || !(low <= high) {
		return 0
	}
	from, _ := slices.BinarySearch(s.sorted, low)
	to, _ := slices.BinarySearch(s.sorted, math.Nextafter(high, math.Inf(1)))
	return float64(to-from) / float64(len(s.sorted))
}

// Symmetric returns the interval that holds the share p of the sample and leaves out as much below as above: JCGM 101:2008, 7.7.2.
func (s Sample) Symmetric(p float64) (low, high float64, err error) {
	span, err := s.span(p)
	if err != nil {
		return 0, 0, err
	}
	from := (len(s.sorted) - span) / 2
	return s.sorted[from], s.sorted[from+span], nil
}

// Shortest returns the shortest interval that holds the share p of the sample: JCGM 101:2008, 7.7.3 and 7.7.4. For a skew output it differs from
// [Sample.Symmetric].
func (s Sample) Shortest(p float64) (low, high float64, err error) {
	span, err := s.span(p)
	if err != nil {
		return 0, 0, err
	}
	low, high = s.sorted[0], s.sorted[span]
	for i, from := range s.sorted[:len(s.sorted)-span] {
		if to := s.sorted[i+span]; to-from < high-low {
			low, high = from, to
		}
	}
	return low, high, nil
}

// span is by how many places of the sorted sample the ends of an interval are apart.
func (s Sample) span(p float64) (int, error) {
	n := len(s.sorted)
	if !(p > 0 && p < 1) {
		return 0, fmt.Errorf("coverage %v: use a share between 0 and 1, such as 0.95", p)
	}
	span := int(p*float64(n) + 0.5)
	if span < 1 || span >= n {
		return 0, fmt.Errorf("%d trials are too few for an interval of share %v: use at least %.0f", n, p, math.Ceil(1e4/math.Min(p, 1-p)))
	}
	return span, nil
}
