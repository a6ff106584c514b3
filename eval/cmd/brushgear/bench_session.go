package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/diagnosis"
	"github.com/brushgear/brushgear/eval/report"
)

// A session is one unit at the bench. Its record is all that it knows of the unit: after each change the record is judged anew.
type session struct {
	in     *bufio.Reader
	out    io.Writer
	echo   bool
	sheets *eval.Bench
	shop   string // whose limits and rules count
	family string // asked for, may be cut short
	on, by string
	save   string   // file of the record
	uses   []string // sheets that the record is judged by; none for those that are built in

	commented string // the text of the record that was gone on with, for its comments

	record  *eval.Record
	earlier []*eval.Record // before each change, for undo
	changed bool           // since the record was saved

	job   *eval.Job
	told  *eval.Explanation
	cards []eval.Card

	wanted string          // the test to make next, if it was asked for
	later  map[string]bool // tests that were put off
	eof    bool            // the input has ended
	idle   *eval.Record    // that it was said of that no test is proposed
}

// A turn is how the talk goes on after an answer.
type turn int

const (
	onward turn = iota
	again       // the same question
	back        // the question before
	leave       // off this test
	finish
)

// run asks everything, and ends with the verdict.
func (s *session) run() error {
	s.later = map[string]bool{}
	if s.record == nil {
		if known, err := s.identify(); !known {
			return err
		}
	} else if err := s.judge(); err != nil {
		return err
	}
	if s.told == nil {
		if err := s.judge(); err != nil {
			return err
		}
	}
	s.say("")
	s.say("%s. ? at any prompt tells what can be said there.", s.head())
	s.tests()
	return s.close()
}

func (s *session) head() string {
	text := s.told.Unit
	if s.told.Serial != "" {
		text += ", serial " + s.told.Serial
	}
	return text
}

func (s *session) say(format string, args ...any) { fmt.Fprintf(s.out, format+"\n", args...) }

// ask prints a prompt and reads one line. ended tells that the input did.
func (s *session) ask(prompt string) (line string, ended bool) {
	fmt.Fprint(s.out, prompt+": ")
	line, err := s.in.ReadString('\n')
	if err != nil && line == "" {
		s.say("")
		return "", true
	}
	line = strings.TrimSpace(line)
	if s.echo {
		s.say("%s", line)
	}
	return line, false
}

// refuse says why an answer was not taken.
func (s *session) refuse(err error) {
	var found dsl.Diagnostics
	if !errors.As(err, &found) {
		text, help, _ := strings.Cut(err.Error(), "; ")
		s.complain(text, help)
		return
	}
	for _, d := range found {
		s.complain(d.Message, d.Help)
	}
}

func (s *session) complain(text, help string) {
	s.say("    %s", text)
	if help != "" {
		s.say("    %s", help)
	}
}

// judge judges the record as it stands.
func (s *session) judge() error {
	job, err := s.sheets.Load(s.record)
	if err != nil {
		return err
	}
	v, err := job.Judge(context.Background())
	if err != nil {
		return err
	}
	s.job, s.told, s.cards = job, v.Explain(), v.Last().Cards()
	return nil
}

// pass is the last pass as explained.
func (s *session) pass() *eval.PassExplanation { return &s.told.Passes[len(s.told.Passes)-1] }

// change carries out a change of the record, judges it, and saves it. A change that cannot be judged is taken back, with the reason.
func (s *session) change(do func(r *eval.Record)) bool {
	before := s.record
	r := *before
	r.Passes = slices.Clone(r.Passes)
	for i := range r.Passes {
		r.Passes[i].Entries = slices.Clone(r.Passes[i].Entries)
	}
	do(&r)
	s.record = &r
	if err := s.judge(); err != nil {
		s.record = before
		s.refuse(err)
		return false
	}
	s.earlier = append(s.earlier, before)
	s.keep()
	return true
}

// keep saves the record if there is a file for it.
func (s *session) keep() {
	s.changed = true
	if s.save == "" {
		return
	}
	if err := s.write(s.save); err != nil {
		s.say("    the record could not be saved: %v", err)
	}
}

// add puts an entry at the end of the record.
func (s *session) add(e eval.Entry) bool {
	return s.change(func(r *eval.Record) {
		last := &r.Passes[len(r.Passes)-1]
		last.Entries = append(last.Entries, e)
	})
}

// undo takes back the last change of the record.
func (s *session) undo() {
	n := len(s.earlier)
	if n == 0 {
		s.say("    there is nothing to take back; a reading of an earlier day can be voided: void TEST \"why\"")
		return
	}
	was := s.record
	s.record, s.earlier = s.earlier[n-1], s.earlier[:n-1]
	if err := s.judge(); err != nil {
		s.refuse(err)
		return
	}
	s.wanted, s.idle = "", nil
	s.keep()
	s.say("    taken back: %s", difference(s.record, was))
}

// difference tells what the longer of two records has more.
func difference(short, long *eval.Record) string {
	if len(long.Passes) > len(short.Passes) {
		return "pass " + long.Passes[len(long.Passes)-1].Stage
	}
	last := long.Passes[len(long.Passes)-1].Entries
	if len(last) == len(short.Passes[len(short.Passes)-1].Entries) {
		if long.Reproduced != short.Reproduced {
			return "what was said of the complaint"
		}
		return "what was voided"
	}
	e := last[len(last)-1]
	switch {
	case e.Taken != "":
		return "the readings of " + e.Taken
	case e.Skip != "":
		return "skip " + e.Skip
	case e.Work != "":
		return "work " + e.Work
	case e.Cleared != "":
		return "cleared " + e.Cleared
	}
	return "the note"
}

// given are the conditions that were said last in this pass, by name, for tests of the same unit as that of the card.
func (s *session) given(c *eval.Card) map[string]eval.Value {
	last := s.record.Passes[len(s.record.Passes)-1]
	given := map[string]eval.Value{}
	maps.Copy(given, last.At)
	for _, e := range last.Entries {
		for name, v := range e.At {
			if len(v.Items()) == 0 && s.unit(e.Taken) == s.unit(c.Test) {
				given[name] = v
			}
		}
	}
	return given
}

// unit is the included unit that a test or a reading belongs to, empty for the unit itself.
func (s *session) unit(name string) string {
	head, _, _ := strings.Cut(name, ".")
	if slices.ContainsFunc(s.job.Inclusions(), func(in eval.Inclusion) bool { return in.Unit == head }) {
		return head
	}
	return ""
}

// tests makes one test after another, until it is ended.
func (s *session) tests() {
	for {
		card, head := s.proposed()
		if card != nil {
			if s.perform(card, head) == finish {
				return
			}
			continue
		}
		line, eof := s.ask("What now (? for help)")
		switch {
		case eof:
			s.eof = true
			return
		case line == "":
			s.later = map[string]bool{}
		default:
			t, known := s.command(line, nil)
			if !known {
				s.say("    %q is nothing that can be said here; ? lists what can", line)
			} else if t == finish {
				return
			}
		}
	}
}

// proposed is the card of the test to make next, and what stands before its title; nil if the technician has to say.
func (s *session) proposed() (*eval.Card, string) {
	if s.wanted != "" {
		card := s.card(s.wanted)
		s.wanted = ""
		return card, ""
	}
	if s.pass().Stage == eval.AsLeft {
		for _, test := range s.retests() {
			if !s.later[test] {
				return s.card(test), "Retest: "
			}
		}
	}
	n := s.pass().Next
	if n == nil || s.card(n.Test) == nil {
		if s.idle != s.record {
			s.say("")
			s.enough()
		}
		s.idle = s.record
		return nil, ""
	}
	if s.later[n.Test] {
		if s.idle != s.record {
			s.say("\nPut off and still proposed: %s. An empty line: make it now.", n.Title)
		}
		s.idle = s.record
		return nil, ""
	}
	head := "Next: "
	if n.Repeat {
		head = "Repeat: "
	}
	return s.card(n.Test), head
}

// enough says why no test is proposed: what the readings call for is clear enough, or nothing is left to be tested.
func (s *session) enough() {
	var do []string
	for _, r := range s.pass().Remedies {
		if r.Status == diagnosis.Shown {
			do = append(do, r.Title)
		}
	}
	switch {
	case s.pass().Stage != eval.AsLeft && len(s.retests()) > 0:
		s.say("Work was done. When all of it is, begin a pass as left: it proposes what to retest.")
	case len(do) > 0:
		s.say("No further test is worth its minutes. To do: %s.", strings.Join(do, "; "))
	case len(s.pass().Remedies) > 0:
		s.say("No further test is worth its minutes. Likeliest to be needed: %s.", s.pass().Remedies[0].Title)
	default:
		s.say("No further test is proposed. The unit: %s.", s.pass().Word)
	}
	s.say("verdict tells why; work NAME when it is done; tests lists what is left; end.")
}

func (s *session) card(test string) *eval.Card {
	for i := range s.cards {
		if s.cards[i].Test == test {
			return &s.cards[i]
		}
	}
	return nil
}

// close prints the verdict, and offers to save what was not.
func (s *session) close() error {
	s.say("")
	if err := report.BriefHint(s.out, s.told, "judge -all"); err != nil {
		return err
	}
	if s.save != "" {
		if _, err := os.Stat(s.save); s.changed || err != nil { // it failed before, or nothing was read: the serial and the complaint are kept
			if err := s.write(s.save); err != nil {
				return err
			}
		}
		s.say("\nThe record is in %s.", s.save)
		return nil
	}
	for !s.eof && len(s.earlier) > 0 && s.changed {
		line, eof := s.ask("\nSave the record in (name of a file; nothing: not at all)")
		if eof || line == "" || line == "-" || line == "end" {
			return nil
		}
		if s.saveAs(line) {
			return nil
		}
	}
	return nil
}
