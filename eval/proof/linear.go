package proof

// apart tells whether the choice of cells for a line cannot go together with those of the lines that terms link it to.
func (s *solver) apart(b box, line int) bool { return false }

// witness looks for a point in a box in which terms are chosen.
func (s *solver) witness(b box, linked bool) bool {
	s.unclear("terms are not decided")
	return false
}
