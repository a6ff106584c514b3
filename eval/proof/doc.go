// Package proof decides what a list of conditions leaves open: which readings meet no condition or two, and which conditions nothing can meet.
//
// A [Space] has variables: numbers with bounds, and words. Conditions compare a number with a constant, name words, and are joined by and, or and
// not. A [Term] is a number computed from variables; the differences of two readings, sums, means and multiples of readings are decided by exact
// rational arithmetic, other terms as far as their own values go.
//
// Everything is decided for float64 values and the comparisons of float64, not for a sample of them. Each line of numbers is cut at all constants
// that it is compared with into points and open intervals, its cells, so that every comparison is true or false in a whole cell; an interval
// between two neighbouring float64 values is no cell. Cells are tried together, as far as the conditions tell them apart. Where terms link several
// variables, linear programming over rational numbers tells whether a choice of cells can hold together; the rounding of float64 is allowed for.
// Where terms are taken together, numbers nearer to zero than 2^-100, other than zero, and beyond 10^12 are left out of account.
// A point that is reported is real: the terms were computed at it in float64, and they lie in their cells. What is beyond this arithmetic, or
// beyond the bound on the work, is answered with [Unclear], never with yes or no.
//
// Gap and overlap of rows are those of Calvanese, Dumas, Laurson, Maggi, Montali and Teinemaa, Semantics and Analysis of DMN Decision Tables,
// BPM 2016, arXiv 1603.07466, with conditions in place of the rectangles there.
//
// The package knows nothing of sheets. Its values are plain data, and its functions are safe for concurrent use on values that nobody changes.
package proof
