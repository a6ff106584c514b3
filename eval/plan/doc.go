// Package plan says what to measure next, and lays out the whole search for the remedy as a tree of tests: which test, which outcomes, and where to
// stop. It works on plain matrices and knows nothing of sheets.
//
// The cost that a plan keeps low is the expected number of minutes until a remedy is chosen, with the price of a wrong one:
//
//	J(b, done, stage) = min( min_r [ W·(1 − b(r)) + open(stage, r) ],  min_t [ minutes_t + way(stage, stage_t) + Σ_o P(o|b)·J(b|o) ] )
//
// where b is the probability of each class (what may be wrong with the unit), b(r) the sum over the classes that remedy r cures, W the minutes that a
// wrong remedy costs, and open(stage, r) the expected minutes of opening that are left to do for remedy r, and, where it is wrong, for the right one after
// it. So a test is not charged with opening that the remedy needs too. Outcomes of different tests are independent once the class is given; a test is done once. Small problems are solved
// exactly. Of larger ones the best plan found is returned with a bound that no plan can undercut.
//
// The same problem gives the same plan on every machine: the effort is bounded by a number of nodes and never by a clock, products are rounded before
// they are added, and equal costs go to the test with the lower number. All functions are safe for concurrent use as long as nobody changes the
// Problem meanwhile.
package plan
