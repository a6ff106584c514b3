package diagnosis

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// MaxJoint is the largest number of joint states that a Network enumerates.
const MaxJoint = 1 << 20

// A Node is one variable of a Network with the probabilities of its states given those of its parents.
type Node struct {
	Name    string      // for messages; may be empty
	States  int         // at least 1
	Parents []int       // positions in Nodes, in any order but each once
	Rows    [][]float64 // a row of States probabilities for each combination of the states of the parents, the last parent running fastest
}

// A Network is a set of variables with explicit tables, for knowledge that does not fit into strengths which add up as by noisy-OR. Inference
// is exact, by enumeration of all joint states (as Pearl, Probabilistic Reasoning in Intelligent Systems (1988), section 2.1.4, from memory).
//
// A Network is immutable once Prepare has run and then safe for concurrent use.
type Network struct {
	Nodes []Node

	strides []int     // per node: the distance of its states in joint
	joint   []float64 // the probability of each joint state, the last node running fastest
}

// Prepare checks the tables and enumerates the joint states. It must run before Observe. A row must add up to 1 within 1e-6 and is then scaled
// to do so. A network of more than MaxJoint joint states is refused.
func (n *Network) Prepare() error {
	n.joint = nil
	states := 1
	for i := range n.Nodes {
		node := &n.Nodes[i]
		if node.States < 1 {
			return fmt.Errorf("%s has %d states; it needs at least one", n.name(i), node.States)
		}
		if node.States > MaxJoint/states {
			return fmt.Errorf("the joint states of the network are more than %d up to %s: leave out nodes, or merge states that need no telling apart",
				MaxJoint, n.name(i))
		}
		states *= node.States
	}
	for i := range n.Nodes {
		if err := n.checkTable(i); err != nil {
			return err
		}
	}
	if err := n.checkCircle(); err != nil {
		return err
	}
	n.enumerate(states)
	return nil
}

func (n *Network) name(i int) string {
	if name := n.Nodes[i].Name; name != "" {
		return fmt.Sprintf("node %d (%s)", i, name)
	}
	return fmt.Sprintf("node %d", i)
}

func (n *Network) checkTable(i int) error {
	node := &n.Nodes[i]
	rows := 1
	for at, p := range node.Parents {
		if p < 0 || p >= len(n.Nodes) {
			return fmt.Errorf("%s names parent %d; the nodes are 0 to %d", n.name(i), p, len(n.Nodes)-1)
		}
		if slices.Contains(node.Parents[:at], p) {
			return fmt.Errorf("%s names %s twice as a parent; name it once", n.name(i), n.name(p))
		}
		rows *= n.Nodes[p].States // cannot overflow: the parents differ, and the joint states are few
	}
	if len(node.Rows) != rows {
		return fmt.Errorf("%s has %d rows; its parents have %d combinations of states, and each needs a row", n.name(i), len(node.Rows), rows)
	}
	for r, row := range node.Rows {
		if err := checkRow(row, node.States); err != nil {
			return fmt.Errorf("%s, row %d%s: %w", n.name(i), r, n.combination(i, r), err)
		}
	}
	return nil
}

// combination names the parents' states of a row.
func (n *Network) combination(i, row int) string {
	text := ""
	parents := n.Nodes[i].Parents
	for at := len(parents) - 1; at >= 0; at-- {
		states := n.Nodes[parents[at]].States
		text = fmt.Sprintf(", %s in state %d", n.name(parents[at]), row%states) + text
		row /= states
	}
	return text
}

// checkRow checks the probabilities of one variable.
func checkRow(row []float64, states int) error {
	if len(row) != states {
		return fmt.Errorf("%d probabilities for %d states; each state needs one", len(row), states)
	}
	sum := 0.0
	for s, p := range row {
		if !(p >= 0 && p <= 1) {
			return fmt.Errorf("the probability of state %d is %v; it must be 0 to 1", s, p)
		}
		sum += p
	}
	if math.Abs(sum-1) > 1e-6 {
		return fmt.Errorf("the probabilities add up to %v, not 1; give the rest to some state", sum)
	}
	return nil
}

// checkCircle finds a node that is among its own ancestors.
func (n *Network) checkCircle() error {
	const open, done = 1, 2
	state := make([]uint8, len(n.Nodes))
	var visit func(i int) error
	visit = func(i int) error {
		state[i] = open
		for _, p := range n.Nodes[i].Parents {
			if state[p] == open {
				return fmt.Errorf("%s is a parent of %s and depends on it: break the circle, or merge the two into one node", n.name(p), n.name(i))
			}
			if state[p] != done {
				if err := visit(p); err != nil {
					return err
				}
			}
		}
		state[i] = done
		return nil
	}
	for i := range n.Nodes {
		if state[i] != done {
			if err := visit(i); err != nil {
				return err
			}
		}
	}
	return nil
}

// enumerate multiplies the tables out.
func (n *Network) enumerate(states int) {
	n.strides = make([]int, len(n.Nodes))
	for i, stride := len(n.Nodes)-1, 1; i >= 0; i-- {
		n.strides[i] = stride
		stride *= n.Nodes[i].States
	}
	joint := make([]float64, states)
	for j := range joint {
		joint[j] = 1
	}
	for i := range n.Nodes {
		node := &n.Nodes[i]
		sums := make([]float64, len(node.Rows))
		for r, row := range node.Rows {
			for _, p := range row {
				sums[r] += p
			}
		}
		for j := range joint {
			row := 0
			for _, p := range node.Parents {
				row = row*n.Nodes[p].States + n.state(j, p)
			}
			joint[j] *= node.Rows[row][n.state(j, i)] / sums[row]
		}
	}
	n.joint = joint
}

// state returns the state of node i in joint state j.
func (n *Network) state(j, i int) int { return j / n.strides[i] % n.Nodes[i].States }

// Observe returns what the network says once the evidence is known. Weights holds for each node the probability, 0 to 1, of what was seen if
// the node is in that state: 1 for one state and 0 for the others if the state itself was seen (see [Seen]), anything between for soft
// evidence, nil if nothing is known. A shorter list leaves the rest unknown.
func (n *Network) Observe(weights [][]float64) (*Belief, error) {
	if n.joint == nil {
		return nil, errors.New("the network is not prepared: call Prepare first")
	}
	if len(weights) > len(n.Nodes) {
		return nil, fmt.Errorf("there are weights for %d nodes; the network has %d", len(weights), len(n.Nodes))
	}
	b := &Belief{network: n, joint: slices.Clone(n.joint)}
	for i, w := range weights {
		if w == nil {
			continue
		}
		if err := checkWeights(w, n.Nodes[i].States); err != nil {
			return nil, fmt.Errorf("%s: %w", n.name(i), err)
		}
		for j := range b.joint {
			b.joint[j] *= w[n.state(j, i)]
		}
	}
	for _, p := range b.joint {
		b.evidence += p
	}
	if b.evidence > 0 {
		for j := range b.joint {
			b.joint[j] /= b.evidence
		}
	}
	return b, nil
}

// checkWeights checks the evidence on one variable.
func checkWeights(w []float64, states int) error {
	if len(w) != states {
		return fmt.Errorf("%d weights for %d states; give each state one, or nil if nothing is known", len(w), states)
	}
	for s, x := range w {
		if !(x >= 0 && x <= 1) {
			return fmt.Errorf("the weight of state %d is %v; it must be 0 to 1, so divide all by the largest", s, x)
		}
	}
	return nil
}

// Seen returns the weights of a variable with so many states of which one was seen. A state out of range gives weights of zero.
func Seen(state, states int) []float64 {
	w := make([]float64, max(0, states))
	if state >= 0 && state < states {
		w[state] = 1
	}
	return w
}

// A Belief is what a Network says under some evidence. It is immutable and safe for concurrent use.
type Belief struct {
	network  *Network
	joint    []float64
	evidence float64
}

// Evidence returns the probability of the evidence.
func (b *Belief) Evidence() float64 { return b.evidence }

// Contradictory reports whether the evidence is impossible, that is, its probability is 0 or under the smallest float64. There are no
// posteriors then, and Joint, Entropy and Gain return zeros.
func (b *Belief) Contradictory() bool { return b.evidence == 0 }

// Joint returns the posterior probability of each combination of the states of some nodes, the last one running fastest: for one node its
// marginal. A node may be named once.
func (b *Belief) Joint(nodes ...int) ([]float64, error) {
	n := b.network
	size := 1
	for at, i := range nodes {
		if i < 0 || i >= len(n.Nodes) {
			return nil, fmt.Errorf("there is no node %d; the nodes are 0 to %d", i, len(n.Nodes)-1)
		}
		if slices.Contains(nodes[:at], i) {
			return nil, fmt.Errorf("%s is named twice; name it once", n.name(i))
		}
		size *= n.Nodes[i].States
	}
	out := make([]float64, size)
	for j, p := range b.joint {
		at := 0
		for _, i := range nodes {
			at = at*n.Nodes[i].States + n.state(j, i)
		}
		out[at] += p
	}
	return out, nil
}

// Entropy returns how much is unknown of some nodes together, in bits (Shannon, A mathematical theory of communication, Bell System Technical
// Journal 27 (1948), section 6).
func (b *Belief) Entropy(nodes ...int) (float64, error) {
	joint, err := b.Joint(nodes...)
	return entropy(joint), err
}

// Gain returns by how many bits the entropy of some nodes is expected to fall if the state of the question, also a node, becomes known. It is 0 to
// the smaller of the two entropies.
func (b *Belief) Gain(question int, about ...int) (float64, error) {
	unknown, err := b.Entropy(about...)
	if err != nil {
		return 0, err
	}
	asked, err := b.Entropy(question)
	if err != nil || slices.Contains(about, question) {
		return asked, err
	}
	both, err := b.Entropy(append(slices.Clone(about), question)...)
	return max(0, unknown+asked-both), err
}

// entropy returns the entropy of a distribution in bits.
func entropy(p []float64) float64 {
	h := 0.0
	for _, x := range p {
		if x > 0 {
			h -= float64(x * math.Log2(x))
		}
	}
	return max(0, h)
}
