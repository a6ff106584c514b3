package diagnosis

import "math/rand/v2"

// Draw draws how a test comes out on a unit with these faults, no slip made: an outcome for each of its checks, in the order of Test.Values. Of a check
// on which the unit is as it should be it is the first outcome that such a unit may show.
func (t *Table) Draw(rng *rand.Rand, test int, set []int32) (checks, drawn []int) {
	var acts []act
	for _, f := range set {
		if k := t.partOf[test][f]; k >= 0 {
			placements := t.parts[test][k].placements
			acts = append(acts, placements[rng.IntN(len(placements))]...)
		}
	}
	for v := t.valueFrom[test]; v < t.valueEnd[test]; v++ {
		value := t.values[v]
		var actors []*actor
		for _, a := range acts {
			if a.value == v {
				actors = append(actors, &value.actors[a.actor])
			}
		}
		cell := 0
		if len(actors) > 0 {
			cell = pick(rng, value.mix(actors))
		}
		for k, c := range value.checks {
			l := &value.lanes[k]
			outcome := int(l.outcome[cell/value.stride[k]%l.n])
			if outcome < 0 {
				outcome = first(l.good)
			}
			checks, drawn = append(checks, c), append(drawn, outcome)
		}
	}
	return checks, drawn
}

// pick draws one of several by their probabilities.
func pick(rng *rand.Rand, p []float64) int {
	u := rng.Float64()
	for i, x := range p {
		if u -= x; u < 0 {
			return i
		}
	}
	return 0
}

func first(set uint32) int {
	for o := range 32 {
		if set&(1<<o) != 0 {
			return o
		}
	}
	return 0
}
