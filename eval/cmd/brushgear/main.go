// Command brushgear judges units by their sheets, runs the trials of sheets, tells what they say, and aligns their text.
//
//	brushgear judge                          judge an example that is built in
//	brushgear judge tarnby.sheet j1041.sheet judge the records in these files
//	brushgear bench tarnby.sheet             lead through the tests of a unit
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
	"strings"
)

// Exit codes.
const (
	exitOK     = 0 // done
	exitFailed = 1 // a file has errors; a trial did not get what it expected; with -met a unit does not meet its limits; with -check or -diff a file is not aligned; with -same editions differ; with -strict there is a warning
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
	examples   [][2]string // arguments, and what they do
}

func verbs() []verb {
	return []verb{
		{"judge", "judge the readings of units by their sheets", judge, [][2]string{
			{"", "judge an example that is built in"},
			{"j1041.sheet", "judge the records in a file; it names its sheets with use"},
			{"tarnby.sheet j1041.json", "the same with a record in JSON and its sheet beside it"},
			{"-all j1041.sheet", "every reading, all faults, all that was not tested"},
			{"-json j1041.sheet", "the verdict as JSON"},
			{"-plan j1041.sheet", "what to test next, as a troubleshooting tree"},
			{"-plan-svg plan.svg j1041.sheet", "the same drawn for paper, beside the verdict"},
			{"-shop hall j1041.sheet", "by the limits and rules of a shop"},
		}},
		{"bench", "lead through the tests of a unit, from reading to reading", bench, [][2]string{
			{"", "try it on a unit that is built in"},
			{"tarnby.sheet", "lead through a unit of a family of this sheet"},
			{"-save j1041.sheet tarnby.sheet tarnby_90", "save the record after every test"},
			{"-record j1041.sheet -save j1041.sheet", "go on with it another day"},
		}},
		{"try", "run the trials that stand beside sheets", try, [][2]string{
			{"", "run the trials of the built-in examples"},
			{"-run healthy trials/*.sheet", "run the trials of these files whose family/title matches"},
			{"-coverage trials/*.sheet", "tell also what no trial expects"},
			{"-propose trials/*.sheet", "print trials for edges of limits that none is at"},
			{"-format junit trials/*.sheet", "the results for a build server"},
		}},
		{"prove", "prove sheets before anyone measures", prove, [][2]string{
			{"", "prove the built-in examples"},
			{"tarnby.sheet", "prove a sheet with those that it uses"},
			{"-hints tarnby.sheet", "show also what may be meant so, and is worth a look"},
			{"-strict -format sarif *.sheet", "for a build server: exit with 1 if there is a warning"},
		}},
		{"tell", "tell what a sheet says: tests, limits, faults, and which test shows which", tell, [][2]string{
			{"tarnby.sheet", "what a sheet says of its families"},
			{"-table faults tarnby.sheet", "only the faults, and the table of faults and tests"},
			{"-format html tarnby.sheet", "the same as a page to print"},
		}},
		{"editions", "tell how two editions of a sheet differ, and which verdicts that changes", editions, [][2]string{
			{"old.sheet new.sheet", "which limits, tests, faults and remedies changed"},
			{"old.sheet new.sheet j1041.sheet", "and which of these records would get another verdict"},
			{"-same old.sheet new.sheet", "exit with 1 if anything changed"},
		}},
		{"why", "tell why a code of a finding exists and what to do", why, [][2]string{
			{"limit-conflict", "why a finding is one, and what to do"},
		}},
		{"align", "put sheets and records into their uniform form", align, [][2]string{
			{"tarnby.sheet", "print a sheet in its uniform form"},
			{"-w *.sheet", "write it back"},
			{"-check *.sheet", "only tell which files would change"},
			{"-diff *.sheet", "show what would change"},
			{"-fix -w tarnby.sheet", "carry out the edits that findings suggest"},
			{"- < tarnby.sheet", "from standard input"},
		}},
	}
}

// help lists the verbs with examples of their use.
func help() string {
	b := &strings.Builder{}
	b.WriteString("Brushgear judges alternators, cranking motors and their batteries by limit sheets.\n\nUsage\n\n    brushgear VERB [flags] [files]\n\nVerbs\n\n")
	for _, v := range verbs() {
		fmt.Fprintf(b, "    %-9s %s\n", v.name, v.line)
	}
	fmt.Fprintf(b, "    %-9s %s\n\nExamples\n\n", "help", "this text, or the flags of a verb: brushgear help judge")
	for _, v := range verbs() {
		for _, e := range v.examples {
			fmt.Fprintf(b, "    %-46s %s\n", strings.TrimSpace("brushgear "+v.name+" "+e[0]), e[1])
		}
	}
	b.WriteString(`
Exit codes

    0  done
    1  a file has errors, or a finding that the shop calls one; a trial did not get what it expected; with judge -met a unit does not meet its limits;
       with align -check or -diff a file would change; with editions -same something changed;
       with prove -strict there is a warning, or a finding that the shop calls an error
    2  the command line is wrong

Verdicts are advice to a trained technician. Local codes and the maker's own instructions come first.
`)
	return b.String()
}

func main() { os.Exit(run(os.Args[1:], stdio{os.Stdin, os.Stdout, os.Stderr})) }

func run(args []string, std stdio) int {
	if len(args) == 0 {
		fmt.Fprint(std.err, help())
		return exitUsage
	}
	name, rest := args[0], args[1:]
	if name == "help" || name == "-h" || name == "--help" || name == "-help" {
		if name == "help" && len(rest) > 0 {
			name, rest = rest[0], []string{"-h"}
		} else {
			fmt.Fprint(std.out, help())
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
