package uncertainty

import (
	"errors"
	"fmt"
	"math"
)

// ErrCorrelation is wrapped by errors about a matrix that cannot hold correlation coefficients.
var ErrCorrelation = errors.New("impossible correlation matrix")

// loose is how far a coefficient may be off by rounding in the caller's arithmetic.
const loose = 1e-9

// factorize checks the correlation matrix of n inputs and returns its lower Cholesky factor. Full correlation (coefficients of ±1) is allowed: the
// factor then has zeros on its diagonal. A nil matrix gives nil: independent inputs.
func factorize(m [][]float64, n int) ([][]float64, error) {
	if m == nil {
		return nil, nil
	}
	if err := checkCoefficients(m, n); err != nil {
		return nil, err
	}
	l := make([][]float64, n)
	for i := range n {
		l[i] = make([]float64, n)
		for j := range i + 1 {
			rest := m[i][j]
			for k := range j {
				rest -= l[i][k] * l[j][k]
			}
			switch {
			case i == j && rest < -loose, i != j && l[j][j] == 0 && math.Abs(rest) > math.Sqrt(loose):
				return nil, fmt.Errorf("%w: the coefficients of input %d contradict those of the inputs before it: "+
					"more than rounding is wrong, or they were rounded too far", ErrCorrelation, i)
			case i == j && rest > loose:
				l[i][i] = math.Sqrt(rest)
			case i != j && l[j][j] != 0:
				l[i][j] = rest / l[j][j]
			}
		}
	}
	return l, nil
}

func checkCoefficients(m [][]float64, n int) error {
	if len(m) != n {
		return fmt.Errorf("%w: %d rows for %d inputs: give one row for each input", ErrCorrelation, len(m), n)
	}
	for i, row := range m {
		if len(row) != n {
			return fmt.Errorf("%w: row %d has %d columns for %d inputs: give one column for each input", ErrCorrelation, i, len(row), n)
		}
	}
	for i, row := range m {
		if math.Abs(row[i]-1) > loose || math.IsNaN(row[i]) {
			return fmt.Errorf("%w: input %d has the coefficient %v with itself: write 1", ErrCorrelation, i, row[i])
		}
		for j, r := range row {
			switch {
			case !(math.Abs(r) <= 1+loose):
				return fmt.Errorf("%w: inputs %d and %d have the coefficient %v: use a number from -1 to 1", ErrCorrelation, i, j, r)
			case !(math.Abs(r-m[j][i]) <= loose):
				return fmt.Errorf("%w: inputs %d and %d have both %v and %v: write the same on both sides", ErrCorrelation, i, j, r, m[j][i])
			}
		}
	}
	return nil
}
