// Command brushgear judges units by their sheets, runs the trials of sheets, tells what sheets say and how their editions differ, and aligns them.
//
//	brushgear judge                          judge an example that is built in
//	brushgear judge tarnby.sheet j1041.sheet judge the records in these files
//	brushgear try                            run the trials of the examples
//	brushgear tell tarnby.sheet              tell what a sheet says
//	brushgear editions old.sheet new.sheet   tell what changed between two editions of a sheet
//	brushgear align -w tarnby.sheet          put a sheet into its uniform form
//
// See brushgear help for all of it.
package main

import (
	"fmt"
	"io"
	"os"
)

// Exit codes.
const (
	exitOK     = 0 // done
	exitFailed = 1 // a file has errors; a trial did not get what it expected; with -met a unit does not meet its limits; with -check a file is not aligned; with -same editions differ
	exitUsage  = 2 // the command line is wrong
)

// stdio is where a verb reads and writes, so that tests can stand in for a terminal.
type stdio struct {
	in       io.Reader
	out, err io.Writer
}

type verb struct {
	name, line string
	run        func(args []string, io stdio) int
}

func verbs() []verb {
	return []verb{
		{"judge", "judge the readings of units by their sheets", judge},
		{"try", "run the trials of sheets", try},
		{"tell", "tell what a sheet says: tests, limits, faults, and which test shows which", tell},
		{"editions", "tell what changed between two editions of a sheet, and for which records", editions},
		{"align", "put sheets and records into their uniform form", align},
	}
}

const help = `Brushgear judges alternators, cranking motors and their batteries by limit sheets.

Usage

    brushgear VERB [flags] [files]

Verbs

    judge     judge the readings of units by their sheets
    try       run the trials that stand beside sheets
    tell      tell what a sheet says: tests, limits, faults, and which test shows which
    editions  tell what changed between two editions of a sheet, and for which records
    align     put sheets and records into their uniform form
    help      this text, or the flags of a verb: brushgear help judge

Examples

    brushgear judge                                judge an example that is built in
    brushgear judge j1041.sheet                    judge the records in a file; it names its sheets with use
    brushgear judge tarnby.sheet j1041.json        the same with a record in JSON and its sheet beside it
    brushgear judge -json j1041.sheet              the verdict as JSON
    brushgear judge -shop hall j1041.sheet         by the limits and rules of a shop
    brushgear try                                  run the trials of the built-in examples
    brushgear try -run healthy trials/*.sheet      run the trials of these files whose family/title matches
    brushgear try -coverage trials/*.sheet         tell also what no trial expects
    brushgear try -format junit trials/*.sheet     the results for a build server
    brushgear tell tarnby.sheet                    what a sheet says of its families
    brushgear tell -table faults tarnby.sheet      only the faults, and the table of faults and tests
    brushgear tell -format html tarnby.sheet       the same as a page to print
    brushgear editions old.sheet new.sheet *.json  what changed, and the verdicts of which records with it
    brushgear align tarnby.sheet                   print a sheet in its uniform form
    brushgear align -w *.sheet                     write it back
    brushgear align -check *.sheet                 only tell which files would change

Exit codes

    0  done
    1  a file has errors; a trial did not get what it expected; with judge -met a unit does not meet its limits;
       with align -check a file would change; with editions -same something differs
    2  the command line is wrong

Verdicts are advice to a trained technician. Local codes and the maker's own instructions come first.
`

func main() { os.Exit(run(os.Args[1:], stdio{os.Stdin, os.Stdout, os.Stderr})) }

func run(args []string, std stdio) int {
	if len(args) == 0 {
		fmt.Fprint(std.err, help)
		return exitUsage
	}
	name, rest := args[0], args[1:]
	if name == "help" || name == "-h" || name == "--help" || name == "-help" {
		if name == "help" && len(rest) > 0 {
			name, rest = rest[0], []string{"-h"}
		} else {
			fmt.Fprint(std.out, help)
			return exitOK
		}
	}
	for _, v := range verbs() {
		if v.name == name {
			return v.run(rest, std)
		}
	}
	fmt.Fprintf(std.err, "brushgear: there is no verb %s; brushgear help lists them\n", name)
	return exitUsage
}
