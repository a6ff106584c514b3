package diagnosis

// Agreement is how probable the readings are, and that none of them is a slip: the probability of every set of faults that was considered, times that of the
// readings under it. It compares readings of the same tests, such as one reading with another in its place; by itself it says little. ev and r must be
// those of Rank.
func (t *Table) Agreement(ev *Evidence, r *Ranking) float64 {
	sum := wide{r.total0, r.exponent}
	for _, f := range r.alive {
		sum.times(1 - t.prior(int(f)))
	}
	for _, s := range ev.tests {
		if s.valid && s.p > 0 {
			sum.times(s.p)
		}
	}
	return sum.float()
}
