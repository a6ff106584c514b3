// Package uncertainty works out measurement uncertainty and decides on conformity: standard uncertainties from accuracies, propagation to first and
// second order, coverage factors, simulation, the probability that a true value lies within limits, guard bands, the risks of a decision rule over a
// process, and the straight line through points.
//
// It works on plain numbers. All numbers of one quantity are in one unit, which the caller chooses; an uncertainty has the unit of its estimate.
// Functions neither change nor keep what they are given, have no state, and may be called at the same time. Nothing panics; a formula of the caller
// that panics is not caught.
//
// Clause numbers refer to JCGM 100:2008 (uncertainty), JCGM 101:2008 (simulation) and JCGM 106:2012 (conformity).
//
// # Where first order is not enough
//
// [Propagate] replaces a formula by its tangent. That is exact for sums, and good where the slope hardly changes within one standard uncertainty of
// each input. It misleads where the estimate of a factor is near zero compared with its uncertainty (a product then has hardly a slope), at a
// minimum or maximum (the cosine of a small angle, a square near zero), for a quotient whose divisor is not many uncertainties away from zero, and
// across a kink (absolute value, the smaller of two). [SecondOrder] repairs the first two. In the other cases, and wherever a single rectangular
// input dominates so that the result is not normal, use [Simulate].
package uncertainty
