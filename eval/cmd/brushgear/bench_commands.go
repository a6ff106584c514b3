package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/report"
)

// What can be said at a prompt instead of an answer.

const benchHelp = `    An answer: 2.45   2.45 Ω   OL   > 1 MΩ   2 to 9 Ω jumping   good   good | rough   9.5 9.7 - 9.6 (a list, - for a gap)
      A number alone has the unit of the prompt. - or nothing: not read; nothing where something stands in [ ]: that.
      The beginning of a word will do, if no other begins alike.
    skip REASON "why"      leave this test out, or once it is begun this reading; the reasons:
                           %s
    undo                   take back the last answer, before the first that of the test before
    test NAME              make another test now (the beginning of its name, or a word of its title)
    tests                  what is left to test, with minutes
    why                    why this test: what each outcome would mean
    verdict                the verdict so far;  all: everything, each reading and each fault
    work REMEDY "note"     a remedy was carried out
    cleared CAUSE "note"   a root cause was dealt with
    complaint is WORD      reproduced or not_reproduced
    note "..."             a remark for the record
    meter AM17 is ammeter number "AM-17" due 2026-09-01
                           read with this ammeter of the shop from now on; meter alone: which are in use
    void TEST "why"        the last reading of a test does not count
    pass as left           begin another pass: as found, in work or as left; on 2026-03-03 behind it for another day
    save FILE              save the record
    end                    end with the verdict
`

// command carries out what is no answer. known is false if the line is no command. p is the test that is being made, nil between tests.
func (s *session) command(line string, p *performing) (t turn, known bool) {
	word, rest, _ := strings.Cut(line, " ")
	rest = strings.TrimSpace(rest)
	do, known := map[string]func(rest string, p *performing) turn{
		"?": s.help, "skip": s.skip, "undo": s.takeBack, "test": s.test, "tests": s.list, "why": s.why, "verdict": s.verdict, "all": s.all,
		"work": s.work, "cleared": s.cleared, "note": s.note, "meter": s.meter, "complaint": s.complaint, "void": s.void, "pass": s.begin, "save": s.saveNow, "end": s.end,
	}[word]
	if !known {
		return again, false
	}
	return do(rest, p), true
}

func (s *session) help(_ string, _ *performing) turn {
	fmt.Fprintf(s.out, benchHelp, strings.Join(eval.SkipReasons(), ", "))
	return again
}

func (s *session) takeBack(_ string, p *performing) turn {
	if p == nil {
		s.undo()
		return again
	}
	return back
}

func (s *session) end(_ string, p *performing) turn {
	if p != nil {
		s.partly(p, finish)
	}
	return finish
}

func (s *session) verdict(_ string, _ *performing) turn {
	report.BriefHint(s.out, s.told, "all")
	return again
}

func (s *session) all(_ string, _ *performing) turn {
	report.Text(s.out, s.told)
	return again
}

// why tells what each outcome of the proposed test would mean.
func (s *session) why(_ string, p *performing) turn {
	n := s.pass().Next
	switch {
	case n == nil:
		s.say("    No test is proposed: none that is left tells enough for its minutes. verdict says what to do.")
	case p != nil && p.card.Test != n.Test:
		s.say("    You asked for this one; proposed is %s.", n.Title)
	default:
		for _, b := range append(slices.Clone(n.Because), n.Plan) {
			if b != "" {
				s.say("    %s", spaced(b))
			}
		}
	}
	return again
}

// list tells which tests are left, by stage.
func (s *session) list(_ string, _ *performing) turn {
	stage, minutes := "", 0.0
	for _, c := range s.cards {
		if c.Done || !c.Applies {
			continue
		}
		if c.Stage != stage && c.Stage != "" {
			stage = c.Stage
			s.say("    %s", stage)
		}
		text := fmt.Sprintf("%-7s  %-22s %s", "", c.Test, c.Title)
		if c.Minutes > 0 {
			text = fmt.Sprintf("%3.0f min  %-22s %s", c.Minutes, c.Test, c.Title)
		}
		if c.Skipped != "" {
			text += " (" + c.Skipped + ")"
		} else {
			minutes += c.Minutes
		}
		s.say("      %s", text)
	}
	if minutes > 0 {
		s.say("    %.0f min if all were made, taking apart not counted", minutes)
	}
	return again
}

// test leaves the test that is being made for another.
func (s *session) test(name string, p *performing) turn {
	card, err := s.find(name)
	if err != nil {
		s.refuse(err)
		return again
	}
	if !card.Applies {
		s.say("    %s is not meant for this unit.", card.Title)
		return again
	}
	s.wanted = card.Test
	if p != nil {
		s.partly(p, leave)
	}
	return leave
}

// find finds a test by its name, by the beginning of it, or by words of its title.
func (s *session) find(name string) (*eval.Card, error) {
	var names []string
	titles := map[string]string{}
	for _, c := range s.cards {
		names = append(names, c.Test)
		titles[c.Test] = c.Title
	}
	found, err := pick("test", name, names, func(n string) string { return titles[n] })
	if err != nil {
		return nil, err
	}
	return s.card(found), nil
}

// pick finds the one name that is meant: the name itself, else the only one that begins so, with or without the unit before its dot, else the only one
// whose title has these words.
func pick(what, meant string, names []string, title func(string) string) (string, error) {
	if meant == "" {
		return "", fmt.Errorf("say which %s", what)
	}
	low := strings.ReplaceAll(strings.ToLower(meant), " ", "_")
	rules := []func(n string) bool{
		func(n string) bool { return n == meant },
		func(n string) bool { return n[strings.LastIndex(n, ".")+1:] == low },
		func(n string) bool { return strings.HasPrefix(n, low) },
		func(n string) bool { return strings.HasPrefix(n[strings.LastIndex(n, ".")+1:], low) },
		func(n string) bool { return strings.Contains(strings.ToLower(title(n)), strings.ToLower(meant)) },
	}
	for _, fits := range rules {
		var list []string
		for _, n := range names {
			if fits(n) {
				list = append(list, n)
			}
		}
		switch {
		case len(list) == 1:
			return list[0], nil
		case len(list) > 1:
			return "", fmt.Errorf("%s can be %s; write more of it", meant, strings.Join(list, ", "))
		}
	}
	list := slices.Clone(names)
	if len(list) > 12 {
		list = append(list[:12], "...")
	}
	return "", fmt.Errorf("there is no %s %s; known are %s", what, meant, strings.Join(list, ", "))
}

// unquoted takes the quotes off a text that has them.
func unquoted(text string) string {
	if len(text) >= 2 && strings.HasPrefix(text, `"`) && strings.HasSuffix(text, `"`) {
		text = text[1 : len(text)-1]
	}
	return strings.TrimSpace(text)
}

// cut parts a name from the text behind it.
func cut(rest string) (name, text string) {
	name, text, _ = strings.Cut(rest, " ")
	return name, unquoted(strings.TrimSpace(text))
}

// reasonOf reads why something was not read: no_time "why".
func reasonOf(text string) (reason, why string, err error) {
	for _, r := range eval.SkipReasons() { // with blanks in place of the underlines, too
		if tail, is := strings.CutPrefix(text, spaced(r)); is && (tail == "" || tail[0] == ' ') {
			return r, unquoted(strings.TrimSpace(tail)), nil
		}
	}
	name, why := cut(text)
	if name == "" {
		return "", "", fmt.Errorf("say why: %s", strings.Join(eval.SkipReasons(), ", "))
	}
	reason, err = pick("reason", name, eval.SkipReasons(), spaced)
	return reason, why, err
}

// skip leaves out the test, or of one that was begun the reading that is asked for.
func (s *session) skip(rest string, p *performing) turn {
	if p == nil {
		name, reason := cut(rest)
		card, err := s.find(name)
		if err != nil {
			s.refuse(err)
			return again
		}
		why, text, err := reasonOf(reason)
		if err != nil {
			s.refuse(err)
			return again
		}
		s.skipTest(card.Test, why, text)
		return again
	}
	reason, why, err := reasonOf(rest)
	if err != nil {
		s.refuse(err)
		return again
	}
	if len(p.values) == 0 {
		s.skipTest(p.card.Test, reason, why)
		return leave
	}
	p.skips[p.blank.Name] = eval.Entry{Skip: p.card.Test + "." + p.blank.Name, Reason: reason, Note: why}
	return onward
}

func (s *session) skipTest(test, reason, why string) {
	if s.add(eval.Entry{Skip: test, Reason: reason, Note: why}) {
		s.say("    left out: %s", spaced(reason))
	}
}

func (s *session) work(rest string, p *performing) turn {
	name, text := cut(rest)
	titles := map[string]string{}
	var names []string
	for _, r := range s.job.Remedies() {
		names = append(names, r.Name)
		titles[r.Name] = r.Title
	}
	found, err := pick("remedy", name, names, func(n string) string { return titles[n] })
	if err != nil {
		s.refuse(err)
		return again
	}
	if p != nil {
		s.partly(p, leave)
	}
	if s.add(eval.Entry{Work: found, Note: text}) {
		s.say("    done: %s", titles[found])
	}
	return leave
}

// retests are the tests to repeat after work, that were neither made nor left out since, in the order of the remedies.
func (s *session) retests() []string {
	var list []string
	for _, p := range s.record.Passes {
		for _, e := range p.Entries {
			switch {
			case e.Work != "":
				for _, r := range s.job.Remedies() {
					for _, test := range r.Retest {
						if c := s.card(test); r.Name == e.Work && c != nil && c.Applies && !slices.Contains(list, test) {
							list = append(list, test)
						}
					}
				}
			case e.Taken+e.Skip != "":
				list = slices.DeleteFunc(list, func(test string) bool {
					return e.Void == "" && (e.Taken+e.Skip == test || strings.HasPrefix(e.Taken, test+"."))
				})
			}
		}
	}
	return list
}

func (s *session) cleared(rest string, _ *performing) turn {
	name, text := cut(rest)
	titles := map[string]string{}
	var names []string
	for _, c := range s.job.Causes() {
		names = append(names, c.Name)
		titles[c.Name] = c.Title
	}
	found, err := pick("cause", name, names, func(n string) string { return titles[n] })
	if err != nil {
		s.refuse(err)
		return again
	}
	if s.add(eval.Entry{Cleared: found, Note: text}) {
		s.say("    cleared: %s", titles[found])
	}
	return again
}

func (s *session) note(rest string, _ *performing) turn {
	text := unquoted(rest)
	if text == "" {
		s.refuse(errors.New(`say what to note: note "oil at the drive end"`))
		return again
	}
	s.add(eval.Entry{Note: text})
	return again
}

// complaint says whether what the customer complains of was seen.
// meter notes an instrument of the shop. What the sheet reads with such an instrument is read with this one from then on.
func (s *session) meter(rest string, _ *performing) turn {
	if rest == "" {
		for _, m := range s.record.Meters {
			if s.meterFor(m.Is) == m.Name {
				s.say("    %s: %s %s", m.Is, m.Name, m.Number)
			}
		}
		if len(s.record.Meters) == 0 {
			s.say(`    none is named: meter am17 is ammeter number "AM-17" due 2026-09-01`)
		}
		return again
	}
	f, err := dsl.Parse("meter", []byte("brushgear 1\nrecord \"\" of unit {\nmeter "+rest+"\n}\n"))
	if err == nil {
		var records []*eval.Record
		if records, err = eval.ReadRecords(f); err == nil && len(records[0].Meters) != 1 {
			err = errors.New("name one meter")
		} else if err == nil {
			m := records[0].Meters[0]
			if s.change(func(r *eval.Record) {
				r.Meters = append(slices.DeleteFunc(slices.Clone(r.Meters), func(o eval.Meter) bool { return o.Name == m.Name }), m)
			}) {
				s.say("    %s is read with %s from now on", spaced(m.Is), m.Name)
			}
			return again
		}
	}
	s.refuse(fmt.Errorf(`say it as in: meter am17 is ammeter number "AM-17" due 2026-09-01 (%w)`, err))
	return again
}

// meterFor is the meter of the shop in use for an instrument of the sheet: the last that was named.
func (s *session) meterFor(instrument string) string {
	for _, m := range slices.Backward(s.record.Meters) {
		if m.Is == instrument {
			return m.Name
		}
	}
	return ""
}

func (s *session) complaint(rest string, _ *performing) turn {
	word, err := pick("word", strings.TrimSpace(strings.TrimPrefix(rest, "is ")), []string{"reproduced", "not_reproduced"}, spaced)
	switch {
	case s.record.Complaint == "":
		s.say("    the record holds no complaint")
	case err != nil:
		s.refuse(err)
	case s.change(func(r *eval.Record) { r.Reproduced = word }):
		s.say("    the complaint is %s", spaced(word))
	}
	return again
}

// void takes the last reading of a test out of account.
func (s *session) void(rest string, p *performing) turn {
	name, why := cut(rest)
	card, err := s.find(name)
	if err != nil {
		s.refuse(err)
		return again
	}
	if why == "" {
		s.refuse(errors.New(`say why it does not count: void ` + card.Test + ` "prod slipped"`))
		return again
	}
	pass, at := s.lastTaken(card.Test)
	if at < 0 {
		s.say("    %s was not read.", card.Title)
		return again
	}
	if p != nil {
		s.partly(p, leave)
	}
	if s.change(func(r *eval.Record) { r.Passes[pass].Entries[at].Void = why }) {
		s.say("    void: %s", s.record.Passes[pass].Entries[at].Taken)
	}
	return leave
}

// lastTaken finds the last entry with readings of a test that counts, -1 if there is none.
func (s *session) lastTaken(test string) (pass, at int) {
	for pass = len(s.record.Passes) - 1; pass >= 0; pass-- {
		entries := s.record.Passes[pass].Entries
		for at = len(entries) - 1; at >= 0; at-- {
			if e := entries[at]; e.Void == "" && (e.Taken == test || strings.HasPrefix(e.Taken, test+".")) {
				return pass, at
			}
		}
	}
	return -1, -1
}

// begin begins another pass.
func (s *session) begin(rest string, p *performing) turn {
	stage, day, dated := strings.Cut(rest, " on ")
	stage = strings.Join(strings.Fields(stage), " ")
	if !slices.Contains([]string{eval.AsFound, eval.InWork, eval.AsLeft}, stage) {
		s.say("    say which: pass as found, pass in work or pass as left")
		return again
	}
	if !dated {
		day = s.record.Passes[len(s.record.Passes)-1].On
	}
	if p != nil {
		s.partly(p, leave)
	}
	if s.change(func(r *eval.Record) {
		r.Passes = append(r.Passes, eval.RecordPass{Round: eval.Round{Stage: stage, By: s.by, On: strings.TrimSpace(day)}})
	}) {
		s.later = map[string]bool{}
		s.say("    pass %s begins", stage)
	}
	return leave
}

func (s *session) saveNow(rest string, _ *performing) turn {
	switch {
	case rest != "" && rest != s.save:
		s.saveAs(unquoted(rest))
	case s.save == "":
		s.say("    say where: save j1041.sheet")
	default:
		if err := s.write(s.save); err != nil {
			s.refuse(err)
		} else {
			s.say("    saved in %s", s.save)
		}
	}
	return again
}

// saveAs saves the record in a file that is not there yet, and keeps it there from now on.
func (s *session) saveAs(name string) bool {
	if _, err := os.Stat(name); err == nil {
		s.say("    %s is there already: give another name", name)
		return false
	}
	if err := s.write(name); err != nil {
		s.refuse(err)
		return false
	}
	s.save = name
	s.say("    saved in %s", name)
	return true
}
