// Ratio measures the library and its peers in turn, in one run, and prints medians and their ratio: below 1 the library is faster.
package main

import (
	"flag"
	"fmt"
	"os"
	"testing"
	"text/tabwriter"

	"github.com/brushgear/brushgear/testdata/peers"
)

func main() {
	testing.Init()
	rounds := flag.Int("rounds", 11, "measure each side so many times")
	if err := flag.Set("test.benchtime", "100ms"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	flag.Parse()
	out := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', 0)
	defer out.Flush()
	for _, c := range peers.Contests() {
		r := c.Run(*rounds)
		fmt.Fprintf(out, "%s\t%s %.0f ns\t%s %.0f ns\tratio %.2f\t(rounds %.2f to %.2f)\n",
			c.Name, c.Sides[0].Name, r.Ours, c.Sides[1].Name, r.Peer, r.Value(), r.Low, r.High)
	}
}
