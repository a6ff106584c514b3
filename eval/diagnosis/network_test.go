package diagnosis

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// In the published networks state 0 is no and state 1 yes.
func noYes(p float64) []float64 { return []float64{1 - p, p} }

func yesNo(name string, parents []int, rows ...float64) Node {
	n := Node{Name: name, States: 2, Parents: parents}
	for _, p := range rows {
		n.Rows = append(n.Rows, noYes(p))
	}
	return n
}

func networkOf(t require.TestingT, nodes ...Node) *Network {
	n := &Network{Nodes: nodes}
	require.NoError(t, n.Prepare())
	return n
}

// observeStates gives the states that were seen, -1 where nothing was.
func observeStates(t require.TestingT, n *Network, states ...int) *Belief {
	var weights [][]float64
	for i, s := range states {
		weights = append(weights, nil)
		if s >= 0 {
			weights[i] = Seen(s, n.Nodes[i].States)
		}
	}
	b, err := n.Observe(weights)
	require.NoError(t, err)
	return b
}

func isYes(t require.TestingT, b *Belief, node int) float64 {
	p, err := b.Joint(node)
	require.NoError(t, err)
	return p[1]
}

// requireRounds compares with a figure of so many decimals.
func requireRounds(t require.TestingT, decimals int, want string, got float64) {
	require.Equal(t, want, fmt.Sprintf("%.*f", decimals, got))
}

const (
	asia = iota
	tub
	smoke
	lung
	bronc
	either
	xray
	dysp
)

// asiaNetwork holds the tables of Lauritzen and Spiegelhalter, Local computations with probabilities on graphical structures, Journal of the
// Royal Statistical Society B 50 (1988) 157-224, table 1; also in the vignette of gRain, cran/gRain at 5d5961dc. Tables from memory.
func asiaNetwork(t require.TestingT) *Network {
	return networkOf(t, yesNo("asia", nil, 0.01), yesNo("tub", []int{asia}, 0.01, 0.05), yesNo("smoke", nil, 0.5), yesNo("lung", []int{smoke}, 0.01, 0.1),
		yesNo("bronc", []int{smoke}, 0.3, 0.6), yesNo("either", []int{tub, lung}, 0, 1, 1, 1), yesNo("xray", []int{either}, 0.05, 0.98),
		yesNo("dysp", []int{bronc, either}, 0.1, 0.7, 0.8, 0.9))
}

// D-13: the Asia network without evidence, source as asiaNetwork.
func TestD13Asia(t *testing.T) {
	b := observeStates(t, asiaNetwork(t))
	for node, want := range map[int]string{tub: "0.010400", lung: "0.055000", bronc: "0.450000", either: "0.064828", xray: "0.110290", dysp: "0.435971"} {
		requireRounds(t, 6, want, isYes(t, b, node))
	}
	require.InDelta(t, 1, b.Evidence(), 1e-12)
}

// D-14: asia and dyspnoea seen, source as asiaNetwork.
func TestD14AsiaWithEvidence(t *testing.T) {
	b := observeStates(t, asiaNetwork(t), 1, -1, -1, -1, -1, -1, -1, 1)
	for node, want := range map[int]string{tub: "0.08775", lung: "0.09953", bronc: "0.81140"} {
		requireRounds(t, 5, want, isYes(t, b, node))
	}
	requireRounds(t, 6, "0.004501", b.Evidence())
}

// D-16: the question to ask next after D-14; figures computed from its definition by another program.
func TestD16AsiaNextQuestion(t *testing.T) {
	b := observeStates(t, asiaNetwork(t), 1, -1, -1, -1, -1, -1, -1, 1)
	h, err := b.Entropy(tub, lung, bronc)
	require.NoError(t, err)
	requireRounds(t, 6, "1.540784", h)
	for question, want := range map[int]string{xray: "0.499353", smoke: "0.071021"} {
		gain, err := b.Gain(question, tub, lung, bronc)
		require.NoError(t, err)
		requireRounds(t, 6, want, gain)
	}
}

// D-18: the burglary network with both calls: Russell and Norvig, Artificial Intelligence: A Modern Approach, 3rd edition, figure 14.2 (tables from
// memory); the answer 0.284 also in a test of aimacode/aima-python at f104e03f.
func TestD18Burglary(t *testing.T) {
	n := networkOf(t, yesNo("burglary", nil, 0.001), yesNo("earthquake", nil, 0.002), yesNo("alarm", []int{0, 1}, 0.001, 0.29, 0.94, 0.95),
		yesNo("first call", []int{2}, 0.05, 0.90), yesNo("second call", []int{2}, 0.01, 0.70))
	b := observeStates(t, n, -1, -1, -1, 1, 1)
	requireRounds(t, 7, "0.2841718", isYes(t, b, 0))
	requireRounds(t, 6, "0.176067", isYes(t, b, 1))
	requireRounds(t, 6, "0.760692", isYes(t, b, 2))
}

// D-20: rain, sprinkler and wet grass, a textbook example (tables from memory); P(rain) is printed as 35.77 %.
func TestD20Sprinkler(t *testing.T) {
	n := networkOf(t, yesNo("rain", nil, 0.2), yesNo("sprinkler", []int{0}, 0.4, 0.01), yesNo("wet", []int{1, 0}, 0, 0.8, 0.9, 0.99))
	b := observeStates(t, n, -1, -1, 1)
	requireRounds(t, 6, "0.357688", isYes(t, b, 0))
	requireRounds(t, 5, "0.44838", b.Evidence())
}

// D-21: noisy-OR without leak, inhibitions 0.6, 0.2 and 0.1: Russell and Norvig (as D-18), section 14.3. Each cause sends its effect through a
// node that may inhibit it, and the last node is the plain OR of these.
func TestD21NoisyOr(t *testing.T) {
	n := networkOf(t, yesNo("cold", nil, 0.5), yesNo("flu", nil, 0.5), yesNo("malaria", nil, 0.5),
		yesNo("by cold", []int{0}, 0, 0.4), yesNo("by flu", []int{1}, 0, 0.8), yesNo("by malaria", []int{2}, 0, 0.9),
		yesNo("fever", []int{3, 4, 5}, 0, 1, 1, 1, 1, 1, 1, 1))
	for i, want := range []float64{0, 0.9, 0.8, 0.98, 0.4, 0.94, 0.88, 0.988} {
		require.InDelta(t, want, isYes(t, observeStates(t, n, i>>2, i>>1&1, i&1), 6), 1e-12)
	}
}

// D-04: the multiplier-adder circuit of D-01 with P(fault) = 0.01 each: a set of faults weighs its prior if it is consistent, else 0. The figures
// follow from this definition; the paper adds a factor for values that a set does not predict, which leaves the ranking alone.
func TestD04MultiplierAdder(t *testing.T) {
	nodes := []Node{}
	for _, name := range []string{"M1", "M2", "M3", "A1", "A2"} {
		nodes = append(nodes, yesNo(name, nil, 0.01))
	}
	parts := []int{m1, m2, m3, a1, a2}
	seen := Node{Name: "as seen", States: 2, Parents: parts}
	between := []Node{} // the values 4, 6 or not predicted of X, Y and Z
	for _, name := range []string{"X", "Y", "Z"} {
		between = append(between, Node{Name: name, States: 3, Parents: parts})
	}
	consistent := 0
	for row := range 32 {
		ok := []int{}
		for _, p := range parts {
			if row>>(4-p)&1 == 0 {
				ok = append(ok, p)
			}
		}
		possible := 0.0
		if multiplierAdder(ok) {
			possible = 1
			consistent++
		}
		seen.Rows = append(seen.Rows, noYes(possible))
		for i := range between {
			between[i].Rows = append(between[i].Rows, predictedValue(ok, i))
		}
	}
	require.Equal(t, 27, consistent)
	n := networkOf(t, append(append(nodes, seen), between...)...)
	b := observeStates(t, n, -1, -1, -1, -1, -1, 1)
	for part, want := range map[int]string{m1: "0.497635", a1: "0.497635", m2: "0.019609", m3: "0.014780", a2: "0.014780"} {
		requireRounds(t, 6, want, isYes(t, b, part))
	}
	joint, err := b.Joint(parts...)
	require.NoError(t, err)
	requireRounds(t, 6, "0.478026", joint[1<<(4-m1)])
	requireRounds(t, 6, "0.478026", joint[1<<(4-a1)])

	const x, y, z = 6, 7, 8
	values := func(node int) []float64 { p, err := b.Joint(node); require.NoError(t, err); return p }
	requireRounds(t, 4, "0.4926", values(x)[0])
	requireRounds(t, 4, "0.5024", values(x)[1])
	requireRounds(t, 4, "0.0051", values(x)[2])
	requireRounds(t, 4, "0.9901", values(y)[1])
	requireRounds(t, 4, "0.9949", values(z)[1])
	gain := func(node int) float64 { g, err := b.Gain(node, parts...); require.NoError(t, err); return g }
	require.Greater(t, gain(x), gain(y))
	require.Greater(t, gain(x), gain(z))
}

// predictedValue returns the state of X, Y or Z in the multiplier-adder circuit if the parts ok are good: 4, 6, or no value in particular.
func predictedValue(ok []int, which int) []float64 {
	can := func(value int) bool { return multiplierAdderWith(ok, which, value) }
	others := false
	for v := range 13 {
		others = others || v != 4 && v != 6 && can(v)
	}
	switch {
	case can(4) && !can(6) && !others:
		return Seen(0, 3)
	case can(6) && !can(4) && !others:
		return Seen(1, 3)
	}
	return Seen(2, 3)
}

// The table of 14 days: Witten and Frank, Data Mining, chapter 4, after Quinlan, Induction of decision trees, Machine Learning 1 (1986) 81-106; as in
// weather.nominal.arff of Debian's weka. Outlook sunny, overcast, rainy; temperature hot, mild, cool; humidity high, normal; windy yes, no;
// play yes, no.
var weather = [][5]int{
	{0, 0, 0, 1, 1}, {0, 0, 0, 0, 1}, {1, 0, 0, 1, 0}, {2, 1, 0, 1, 0}, {2, 2, 1, 1, 0}, {2, 2, 1, 0, 1}, {1, 2, 1, 0, 0},
	{0, 1, 0, 1, 1}, {0, 2, 1, 1, 0}, {2, 1, 1, 1, 0}, {0, 1, 1, 0, 0}, {1, 1, 0, 0, 0}, {1, 0, 1, 1, 0}, {2, 1, 0, 0, 1},
}

// weatherChoice takes the probabilities of the classes and attributes as the frequencies in the table.
func weatherChoice(t *testing.T) *OneOf {
	o := &OneOf{Priors: []float64{0, 0}}
	for _, outcomes := range []int{3, 3, 2, 2} {
		o.Checks = append(o.Checks, [][]float64{make([]float64, outcomes), make([]float64, outcomes)})
	}
	days := []float64{9, 5}
	for _, day := range weather {
		class := day[4]
		o.Priors[class] += 1.0 / 14
		for c := range o.Checks {
			o.Checks[c][class][day[c]] += 1 / days[class]
		}
	}
	require.NoError(t, o.Prepare())
	return o
}

// D-23: naive Bayes for a sunny, cool, humid and windy day: Witten and Frank (as above), 20.5 % yes and 79.5 % no.
func TestD23Weather(t *testing.T) {
	c, err := weatherChoice(t).Observe([][]float64{Seen(0, 3), Seen(2, 3), Seen(0, 2), Seen(0, 2)})
	require.NoError(t, err)
	p := c.Posterior()
	requireRounds(t, 6, "0.005291", p[0]*c.Evidence())
	requireRounds(t, 6, "0.020571", p[1]*c.Evidence())
	requireRounds(t, 1, "20.5", 100*p[0])
	requireRounds(t, 1, "79.5", 100*p[1])
}

// D-25: information gain of the four attributes: printed as .247 .029 .152 .048 and .940 bit, sources as above.
func TestD25InformationGain(t *testing.T) {
	c, err := weatherChoice(t).Observe(nil)
	require.NoError(t, err)
	requireRounds(t, 6, "0.940286", c.Entropy())
	for check, want := range []string{"0.246750", "0.029223", "0.151836", "0.048127"} {
		gain, err := c.Gain(check)
		require.NoError(t, err)
		requireRounds(t, 6, want, gain)
	}
}

func TestContradictoryEvidence(t *testing.T) {
	b := observeStates(t, asiaNetwork(t), -1, 1, -1, -1, -1, 0) // tuberculosis, yet neither it nor cancer
	require.True(t, b.Contradictory())
	p, err := b.Joint(lung, bronc)
	require.NoError(t, err)
	require.Equal(t, []float64{0, 0, 0, 0}, p)
	gain, err := b.Gain(xray, lung)
	require.NoError(t, err)
	require.Zero(t, gain)

	o := &OneOf{Priors: []float64{0.5, 0.5}, Checks: [][][]float64{{{1, 0}, {1, 0}}}}
	require.NoError(t, o.Prepare())
	c, err := o.Observe([][]float64{{0, 1}})
	require.NoError(t, err)
	require.True(t, c.Contradictory())
	require.Equal(t, []float64{0, 0}, c.Posterior())
	gain, err = c.Gain(0)
	require.NoError(t, err)
	require.Zero(t, gain)
}

func TestManyWeakChecksDoNotUnderflow(t *testing.T) {
	o := &OneOf{Priors: []float64{0.5, 0.5}}
	weights := [][]float64{}
	for range 400 {
		o.Checks = append(o.Checks, [][]float64{{0.001, 0.999}, {0.0011, 0.9989}})
		weights = append(weights, Seen(0, 2))
	}
	require.NoError(t, o.Prepare())
	c, err := o.Observe(weights)
	require.NoError(t, err)
	require.False(t, c.Contradictory())
	require.InEpsilon(t, math.Pow(1.1, 400), c.Posterior()[1]/c.Posterior()[0], 1e-9)
}

func TestNetworkErrors(t *testing.T) {
	coin := [][]float64{{0.5, 0.5}}
	big := []Node{}
	for range 21 {
		big = append(big, Node{States: 2, Rows: coin})
	}
	for _, test := range []struct {
		nodes []Node
		want  string
	}{
		{[]Node{{}}, "node 0 has 0 states; it needs at least one"},
		{[]Node{{Name: "diode", States: 2, Rows: [][]float64{{0.5, 0.4}}}}, "node 0 (diode), row 0: the probabilities add up to 0.9, not 1; give the rest to some state"},
		{[]Node{{States: 2, Rows: [][]float64{{math.NaN(), 1}}}}, "node 0, row 0: the probability of state 0 is NaN; it must be 0 to 1"},
		{[]Node{{States: 2, Rows: [][]float64{{-0.5, 1.5}}}}, "node 0, row 0: the probability of state 0 is -0.5; it must be 0 to 1"},
		{[]Node{{States: 2, Rows: [][]float64{{1}}}}, "node 0, row 0: 1 probabilities for 2 states; each state needs one"},
		{[]Node{{States: 2, Rows: coin}, {States: 2, Parents: []int{0}, Rows: coin}}, "node 1 has 1 rows; its parents have 2 combinations of states, and each needs a row"},
		{[]Node{{States: 2, Rows: coin}, {States: 2, Parents: []int{0}, Rows: [][]float64{{0.5, 0.5}, {1, 1}}}},
			"node 1, row 1, node 0 in state 1: the probabilities add up to 2, not 1; give the rest to some state"},
		{[]Node{{States: 2, Parents: []int{7}, Rows: coin}}, "node 0 names parent 7; the nodes are 0 to 0"},
		{[]Node{{States: 2, Rows: coin}, {States: 2, Parents: []int{0, 0}}}, "node 1 names node 0 twice as a parent; name it once"},
		{[]Node{{Name: "a", States: 1, Parents: []int{1}, Rows: [][]float64{{1}}}, {Name: "b", States: 1, Parents: []int{0}, Rows: [][]float64{{1}}}},
			"node 0 (a) is a parent of node 1 (b) and depends on it: break the circle, or merge the two into one node"},
		{big, "the joint states of the network are more than 1048576 up to node 20: leave out nodes, or merge states that need no telling apart"},
	} {
		n := &Network{Nodes: test.nodes}
		require.EqualError(t, n.Prepare(), test.want)
		_, err := n.Observe(nil)
		require.EqualError(t, err, "the network is not prepared: call Prepare first")
	}
	n := networkOf(t, big[:2]...)
	for _, test := range []struct {
		weights [][]float64
		want    string
	}{
		{[][]float64{nil, nil, nil}, "there are weights for 3 nodes; the network has 2"},
		{[][]float64{{1}}, "node 0: 1 weights for 2 states; give each state one, or nil if nothing is known"},
		{[][]float64{{2, 1}}, "node 0: the weight of state 0 is 2; it must be 0 to 1, so divide all by the largest"},
		{[][]float64{{math.NaN(), 1}}, "node 0: the weight of state 0 is NaN; it must be 0 to 1, so divide all by the largest"},
	} {
		_, err := n.Observe(test.weights)
		require.EqualError(t, err, test.want)
	}
	b := observeStates(t, n)
	_, err := b.Joint(2)
	require.EqualError(t, err, "there is no node 2; the nodes are 0 to 1")
	_, err = b.Gain(1, 0, 0)
	require.EqualError(t, err, "node 0 is named twice; name it once")

	for _, test := range []struct {
		o    OneOf
		want string
	}{
		{OneOf{}, "there are no hypotheses; give at least one prior"},
		{OneOf{Priors: []float64{0.5, 0.4}}, "priors: the probabilities add up to 0.9, not 1; give the rest to some state"},
		{OneOf{Priors: []float64{1}, Checks: [][][]float64{{}}}, "check 0 has rows for 0 hypotheses; there are 1, and each needs one"},
		{OneOf{Priors: []float64{1}, Checks: [][][]float64{{{}}}}, "check 0 has no outcomes; it needs at least one"},
		{OneOf{Priors: []float64{0.5, 0.5}, Checks: [][][]float64{{{1}, {0.5, 0.5}}}}, "check 0, hypothesis 1: 2 probabilities for 1 states; each state needs one"},
	} {
		require.EqualError(t, test.o.Prepare(), test.want)
		_, err := test.o.Observe(nil)
		require.Error(t, err)
	}
}

func TestOneOfErrors(t *testing.T) {
	o := &OneOf{Priors: []float64{0.5, 0.5}, Checks: [][][]float64{{{1, 0}, {0, 1}}}}
	require.NoError(t, o.Prepare())
	_, err := o.Observe([][]float64{nil, nil})
	require.EqualError(t, err, "there are weights for 2 checks; the hypotheses have 1")
	_, err = o.Observe([][]float64{{1}})
	require.EqualError(t, err, "check 0: 1 weights for 2 states; give each state one, or nil if nothing is known")
	c, err := o.Observe(nil)
	require.NoError(t, err)
	_, err = c.Gain(1)
	require.EqualError(t, err, "there is no check 1; the checks are 0 to 0")
}

// TestNetworkAgainstEnumeration sums over the nodes in order of descent by recursion, node by node, as Russell and Norvig (as D-18), figure 14.9.
func TestNetworkAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.IntRange(1, 6).Draw(t, "size")
		place := rapid.Permutation(upTo(size)).Draw(t, "place") // where the i-th node by descent lies
		nodes := make([]Node, size)
		for i, at := range place {
			nodes[at].States = rapid.IntRange(1, 3).Draw(t, "states")
			rows := 1
			for _, p := range place[:i] {
				if rapid.Bool().Draw(t, "parent") {
					nodes[at].Parents = append(nodes[at].Parents, p)
					rows *= nodes[p].States
				}
			}
			for range rows {
				nodes[at].Rows = append(nodes[at].Rows, drawRow(t, nodes[at].States))
			}
		}
		n := networkOf(t, nodes...)
		weights := make([][]float64, size)
		for i := range weights {
			if rapid.Bool().Draw(t, "known") {
				weights[i] = rapid.SliceOfN(rapid.SampledFrom([]float64{0, 1, 0.25, 0.8}), nodes[i].States, nodes[i].States).Draw(t, "weights")
			}
		}
		b, err := n.Observe(weights)
		require.NoError(t, err)
		all := enumerateDown(n, place, weights, -1, 0)
		require.InDelta(t, all, b.Evidence(), 1e-12)
		for i := range nodes {
			p, err := b.Joint(i)
			require.NoError(t, err)
			for s := range p {
				if all == 0 {
					require.Zero(t, p[s])
				} else {
					require.InDelta(t, enumerateDown(n, place, weights, i, s)/all, p[s], 1e-12)
				}
			}
		}
		// The gain is what its name says: the entropy now less the expected entropy then.
		question, about := rapid.IntRange(0, size-1).Draw(t, "question"), rapid.IntRange(0, size-1).Draw(t, "about")
		gain, err := b.Gain(question, about)
		require.NoError(t, err)
		want, _ := b.Entropy(about)
		states, _ := b.Joint(question)
		for s, p := range states {
			if p > 0 {
				then := slices.Clone(weights)
				then[question] = Seen(s, nodes[question].States)
				later, err := n.Observe(then)
				require.NoError(t, err)
				h, _ := later.Entropy(about)
				want -= p * h
			}
		}
		require.InDelta(t, want, gain, 1e-9)
	})
}

func upTo(n int) []int {
	out := []int{}
	for i := range n {
		out = append(out, i)
	}
	return out
}

// drawRow draws probabilities, some of them zero.
func drawRow(t *rapid.T, states int) []float64 {
	parts := rapid.SliceOfN(rapid.IntRange(0, 5), states, states).Draw(t, "row")
	total := 0
	for _, p := range parts {
		total += p
	}
	if total == 0 {
		return Seen(0, states)
	}
	row := []float64{}
	for _, p := range parts {
		row = append(row, float64(p)/float64(total))
	}
	return row
}

// enumerateDown returns the probability of the evidence together with one node being in one state (any, if node is -1).
func enumerateDown(n *Network, place []int, weights [][]float64, node, state int) float64 {
	states := make([]int, len(n.Nodes))
	var rest func(i int) float64
	rest = func(i int) float64 {
		if i == len(place) {
			return 1
		}
		at := place[i]
		row := 0
		for _, p := range n.Nodes[at].Parents {
			row = row*n.Nodes[p].States + states[p]
		}
		total := 0.0
		for s, p := range n.Nodes[at].Rows[row] {
			if at == node && s != state {
				continue
			}
			if weights[at] != nil {
				p *= weights[at][s]
			}
			states[at] = s
			total += p * rest(i+1)
		}
		return total
	}
	return rest(0)
}

func TestOneOfAgainstNetwork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hypotheses, checks := rapid.IntRange(1, 4).Draw(t, "hypotheses"), rapid.IntRange(1, 4).Draw(t, "checks")
		o := &OneOf{Priors: drawRow(t, hypotheses)}
		nodes := []Node{{States: hypotheses, Rows: [][]float64{o.Priors}}}
		weights := [][]float64{}
		for range checks {
			states := rapid.IntRange(1, 3).Draw(t, "states")
			rows := [][]float64{}
			for range hypotheses {
				rows = append(rows, drawRow(t, states))
			}
			o.Checks, nodes = append(o.Checks, rows), append(nodes, Node{States: states, Parents: []int{0}, Rows: rows})
			weights = append(weights, rapid.SliceOfN(rapid.SampledFrom([]float64{0, 1, 0.25}), states, states).Draw(t, "weights"))
		}
		weights[len(weights)-1] = nil
		require.NoError(t, o.Prepare())
		c, err := o.Observe(weights)
		require.NoError(t, err)
		b, err := networkOf(t, nodes...).Observe(append([][]float64{nil}, weights...))
		require.NoError(t, err)
		require.InDelta(t, b.Evidence(), c.Evidence(), 1e-12)
		require.Equal(t, b.Contradictory(), c.Contradictory())
		p, _ := b.Joint(0)
		require.InDeltaSlice(t, p, c.Posterior(), 1e-12)
		want, _ := b.Gain(checks, 0)
		got, err := c.Gain(checks - 1)
		require.NoError(t, err)
		require.InDelta(t, want, got, 1e-9)
	})
}

func ExampleNetwork() {
	// A dim lamp comes from a weak battery or from a bad connection; both together are darker than noisy-OR would say.
	n := &Network{Nodes: []Node{
		{Name: "battery weak", States: 2, Rows: [][]float64{{0.9, 0.1}}},
		{Name: "connection bad", States: 2, Rows: [][]float64{{0.97, 0.03}}},
		{Name: "lamp", States: 3, Parents: []int{0, 1}, Rows: [][]float64{{1, 0, 0}, {0.2, 0.7, 0.1}, {0.2, 0.8, 0}, {0, 0, 1}}}, // bright, dim, out
	}}
	if err := n.Prepare(); err != nil {
		fmt.Println(err)
		return
	}
	b, _ := n.Observe([][]float64{nil, nil, Seen(1, 3)})
	battery, _ := b.Joint(0)
	fmt.Printf("%.3f\n", battery[1])
	unknown, _ := b.Entropy(0)
	gain, _ := b.Gain(1, 0)
	fmt.Printf("dim in %.3f of all; %.2f bits unknown of the battery, %.2f less once the connection is known\n", b.Evidence(), unknown, gain)
	fmt.Println(b.Contradictory())
	// Output:
	// 0.804
	// dim in 0.097 of all; 0.71 bits unknown of the battery, 0.71 less once the connection is known
	// false
}

func ExampleOneOf() {
	o := &OneOf{
		Priors: []float64{0.6, 0.4},                                           // open diode, shorted diode
		Checks: [][][]float64{{{0.8, 0.2}, {0.1, 0.9}}, {{1, 0}, {0.5, 0.5}}}, // full load: a little low, far low; hum: no, yes
	}
	if err := o.Prepare(); err != nil {
		fmt.Println(err)
		return
	}
	c, _ := o.Observe([][]float64{{0, 1}}) // far low; the hum was not listened for
	fmt.Printf("%.2f\n", c.Posterior())
	gain, _ := c.Gain(1)
	fmt.Printf("far low in %.2f of all; %.2f bits unknown, %.2f less once the hum is known\n", c.Evidence(), c.Entropy(), gain)
	fmt.Println(c.Contradictory())
	// Output:
	// [0.25 0.75]
	// far low in 0.48 of all; 0.81 bits unknown, 0.20 less once the hum is known
	// false
}
