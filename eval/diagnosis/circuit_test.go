package diagnosis

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// c17 is the smallest circuit of Brglez and Fujiwara, A neutral netlist of 10 combinational benchmark circuits, ISCAS 1985; netlist as c17.bench of
// emohammed688/Fault-Sim. A line is a signal or, where a signal goes to two gates, one of its branches ("3>10" from 3 to gate 10).
var c17 = struct {
	inputs, outputs []string
	gates           [][3]string // all NAND: output and the two inputs, in order of the signal's way
}{
	inputs: []string{"1", "2", "3", "6", "7"}, outputs: []string{"22", "23"},
	gates: [][3]string{{"10", "1", "3"}, {"11", "3", "6"}, {"16", "2", "11"}, {"19", "11", "7"}, {"22", "10", "16"}, {"23", "16", "19"}},
}

// c17Lines returns the signals and the branches.
func c17Lines() []string {
	users := map[string][]string{}
	for _, g := range c17.gates {
		for _, in := range g[1:] {
			users[in] = append(users[in], in+">"+g[0])
		}
	}
	lines := []string{}
	add := func(signal string) {
		lines = append(lines, signal)
		if len(users[signal]) > 1 {
			lines = append(lines, users[signal]...)
		}
	}
	for _, signal := range c17.inputs {
		add(signal)
	}
	for _, g := range c17.gates {
		add(g[0])
	}
	return lines
}

// c17Response returns the outputs for an input vector with one line stuck at a value; no line is named "".
func c17Response(vector int, stuck string, at bool) [2]bool {
	signal := map[string]bool{}
	set := func(line string, v bool) {
		if line == stuck {
			v = at
		}
		signal[line] = v
	}
	for i, in := range c17.inputs {
		set(in, vector>>i&1 == 1)
	}
	for _, g := range c17.gates {
		sees := func(in string) bool {
			if in+">"+g[0] == stuck {
				return at
			}
			return signal[in]
		}
		set(g[0], !(sees(g[1]) && sees(g[2])))
	}
	return [2]bool{signal[c17.outputs[0]], signal[c17.outputs[1]]}
}

// D-26: single stuck-at faults of c17 (source above). Counts by exhaustive simulation; 22 classes and 4 vectors agree with the literature, from
// memory.
func TestD26StuckAtFaults(t *testing.T) {
	lines := c17Lines()
	require.Len(t, lines, 17)
	classes, signatures := map[string]int{}, map[string]bool{}
	var detecting [][]int // per fault: the vectors that show it
	for _, line := range lines {
		for _, at := range []bool{false, true} {
			response, signature, vectors := "", "", []int{}
			for v := range 32 {
				r := c17Response(v, line, at)
				failed := r != c17Response(v, "", false)
				response, signature = response+fmt.Sprint(r), signature+fmt.Sprint(failed)
				if failed {
					vectors = append(vectors, v)
				}
			}
			classes[response]++
			signatures[signature] = true
			detecting = append(detecting, vectors)
		}
	}
	require.Len(t, detecting, 34)
	require.Len(t, classes, 22)
	ofSize := map[int]int{}
	for _, n := range classes {
		ofSize[n]++
	}
	require.Equal(t, 6, ofSize[3])
	require.Len(t, signatures, 21)

	// A set of vectors that detects every fault hits every fault's detecting vectors.
	sets, _ := HittingSets(detecting, HittingLimit{Size: 4})
	require.Len(t, sets, 10)
	for _, set := range sets {
		require.Len(t, set, 4)
	}
}
