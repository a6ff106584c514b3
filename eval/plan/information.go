package plan

import (
	"fmt"
	"math"
	"sort"
)

// slack is how far two costs or probabilities may lie apart and still count as equal.
const slack = 1e-9

// Entropy is the information that is missing to know the class, in bits: −Σ p·log₂ p of the weights, which need not sum to 1. Shannon, A mathematical
// theory of communication, Bell System Technical Journal 27 (1948), section 6. It is 0 for weights that sum to 0.
func Entropy(weights []float64) float64 {
	sum, s := 0.0, 0.0
	for _, w := range weights {
		if w > 0 {
			sum += w
			s += float64(w * log2(w))
		}
	}
	if sum <= 0 {
		return 0
	}
	return math.Max(0, log2(sum)-s/sum)
}

// Gain is what the test with this number is expected to tell about the class, in bits: the entropy of the weights less the mean entropy after the
// test.
func (p *Problem) Gain(test int) (float64, error) {
	if test < 0 || test >= len(p.Tests) {
		return 0, fmt.Errorf("test %d does not exist", test)
	}
	if err := p.Check(); err != nil {
		return 0, err
	}
	return gain(p.Weights, p.Tests[test].P), nil
}

func gain(weights []float64, rows [][]float64) float64 {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	after := make([]float64, len(weights))
	left := 0.0
	for o := range rows[0] {
		mass := 0.0
		for i, w := range weights {
			after[i] = w * rows[i][o]
			mass += after[i]
		}
		left += float64(mass / sum * Entropy(after))
	}
	return math.Max(0, Entropy(weights)-left)
}

// Capacity is the most that a test with these rows of outcome probabilities can tell whatever the weights of the classes, in bits. It is computed by
// the iteration of Blahut and Arimoto (both IEEE Transactions on Information Theory 18, 1972), and approached from above: no fewer bits than the
// exact value, and after at most 200 steps within 1e-6 of it for all but nearly useless tests.
func Capacity(rows [][]float64) float64 {
	if len(rows) == 0 {
		return 0
	}
	// Equal rows count once: they are one input of the channel.
	var distinct [][]float64
next:
	for _, r := range rows {
		for _, d := range distinct {
			if equalRows(r, d) {
				continue next
			}
		}
		distinct = append(distinct, r)
	}
	if len(distinct) < 2 {
		return 0
	}
	in := make([]float64, len(distinct))
	for i := range in {
		in[i] = 1 / float64(len(in))
	}
	out := make([]float64, len(distinct[0]))
	far := make([]float64, len(distinct))
	best := math.Inf(1)
	for range 200 {
		for o := range out {
			out[o] = 0
			for i, r := range distinct {
				out[o] += float64(in[i] * r[o])
			}
		}
		highest, mean := 0.0, 0.0
		for i, r := range distinct {
			far[i] = 0
			for o, v := range r {
				if v > 0 {
					far[i] += float64(v * log2(v/out[o]))
				}
			}
			highest = math.Max(highest, far[i])
			mean += float64(in[i] * far[i])
		}
		best = math.Min(best, highest) // the distance to the farthest input bounds the capacity from above at every step
		if highest-mean < 1e-6 {
			break
		}
		sum := 0.0
		for i := range in {
			in[i] *= math.Exp2(far[i] - highest)
			sum += in[i]
		}
		for i := range in {
			in[i] /= sum
		}
	}
	return math.Min(best, log2(float64(min(len(distinct), len(out)))))
}

func equalRows(a, b []float64) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// Huffman is the least mean number of questions with a yes or no for an answer that find the class, if any question could be asked: Huffman, A method
// for the construction of minimum-redundancy codes, Proceedings of the IRE 40 (1952). It is a bound for tests with two outcomes that never err, times
// the minutes of the cheapest, and for no others. Weights need not sum to 1; zeros are passed over.
func Huffman(weights []float64) float64 {
	var heap []float64
	sum := 0.0
	for _, w := range weights {
		if w > 0 {
			heap = append(heap, w)
			sum += w
		}
	}
	sort.Float64s(heap)
	cost := 0.0
	for len(heap) > 1 {
		joined := heap[0] + heap[1]
		cost += joined
		heap = heap[2:]
		at := sort.SearchFloat64s(heap, joined)
		heap = append(heap, 0)
		copy(heap[at+1:], heap[at:])
		heap[at] = joined
	}
	if sum == 0 {
		return 0
	}
	return cost / sum
}
