// Package peers measures the library beside general engines on one piece of work. It is a module of its own, so that who builds the library
// does not build the peers.
//
// Run the benchmarks with go test -bench . and the ratios with go run ./ratio. What the peers do not do at all, such as units, unknown
// readings and reasons, is not taken off the library's time.
package peers
