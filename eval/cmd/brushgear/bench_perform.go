package main

import (
	"slices"
	"strings"

	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/report"
)

// One test: what to heed and to do, then a question for each condition and each reading.

// A performing is a test that is being made.
type performing struct {
	card   *eval.Card
	blank  eval.Blank // that is asked for
	blanks []eval.Blank
	read   int // how many of blanks are conditions
	given  map[string]eval.Value
	at     map[string]eval.Value
	values map[string]eval.Value
	skips  map[string]eval.Entry
}

// perform shows the card of a test, asks for what belongs on it, and adds it to the record.
func (s *session) perform(c *eval.Card, head string) turn {
	s.say("")
	if err := report.Card(s.out, *c, head, s.teardown(c.Test)...); err != nil {
		return finish
	}
	p := &performing{card: c, given: s.given(c), at: map[string]eval.Value{}, values: map[string]eval.Value{}, skips: map[string]eval.Entry{}}
	p.blanks, p.read = slices.Concat(c.Conditions, c.Readings), len(c.Conditions)
	for i := 0; i < len(p.blanks); {
		p.drop(p.blanks[i].Name)
		switch t := s.fill(p, i); t {
		case onward:
			i++
		case back:
			if i == 0 {
				s.undo()
				return leave
			}
			i--
		case leave, finish:
			return t
		}
	}
	return s.done(p)
}

// drop takes an answer back.
func (p *performing) drop(name string) {
	delete(p.at, name)
	delete(p.values, name)
	delete(p.skips, name)
}

// teardown says what it takes to come to the test, if it is the one that is proposed.
func (s *session) teardown(test string) []string {
	if n := s.pass().Next; n != nil && n.Test == test && n.Teardown != "" {
		return []string{n.Teardown + " to get there"}
	}
	return nil
}

// fill asks for one blank.
func (s *session) fill(p *performing, i int) turn {
	b := p.blanks[i]
	p.blank = b
	isCondition := i < p.read
	before, known := p.given[b.Name]
	known = known && isCondition && !b.List
	fallback := ""
	if known {
		fallback = before.String()
	}
	for {
		v, t := s.answer(p, b, promptOf(b, fallback), before, known)
		if t == again {
			continue
		}
		if t != onward {
			return t
		}
		if b.Along != "" && len(v.Items()) > 0 && len(v.Items()) != len(p.at[b.Along].Items()) {
			s.say("    %s was said for %d, and these are %d: one is wanted for each, - for one that was not read", spaced(b.Along), len(p.at[b.Along].Items()), len(v.Items()))
			continue
		}
		if n := len(v.Items()); len(b.Positions) > 1 && n == 1 {
			if v, t = s.positions(p, b, v.Items()[0]); t == back {
				continue
			} else if t != onward {
				return t
			}
		}
		switch {
		case v.Missing(), allMissing(v):
		case isCondition:
			p.at[b.Name] = v
		default:
			p.values[b.Name] = v
		}
		return onward
	}
}

// answer asks once and reads the answer: a command, or what fills the blank.
func (s *session) answer(p *performing, b eval.Blank, prompt string, fallback eval.Value, known bool) (eval.Value, turn) {
	line, eof := s.ask("  " + prompt)
	if eof {
		s.eof = true
		return eval.Value{}, s.partly(p, finish)
	}
	if line == "" && known {
		return fallback, onward
	}
	if !slices.Contains(b.Words, line) {
		if t, is := s.command(line, p); is {
			return eval.Value{}, t
		}
	}
	v, assumed, err := b.Fill(line)
	if err != nil {
		s.refuse(err)
		return v, again
	}
	if assumed {
		s.say("    taken as %s", v)
	}
	return v, onward
}

// positions asks for the rest of a list, one by one, once its first reading was given.
func (s *session) positions(p *performing, b eval.Blank, first eval.Value) (eval.Value, turn) {
	list := []eval.Value{first}
	for len(list) < len(b.Positions) {
		one := b.At(len(list))
		v, t := s.answer(p, one, "  "+promptOf(one, ""), eval.Value{}, false)
		switch t {
		case again:
		case onward:
			list = append(list, v)
		case back:
			if list = list[:len(list)-1]; len(list) == 0 {
				return v, back
			}
		default:
			return v, t
		}
	}
	return eval.List(list...), onward
}

func allMissing(v eval.Value) bool {
	items := v.Items()
	return len(items) > 0 && !slices.ContainsFunc(items, func(it eval.Value) bool { return !it.Missing() })
}

// promptOf is what stands before an answer: what to write, in which unit or words, and what counts if nothing is written.
func promptOf(b eval.Blank, fallback string) string {
	text := spaced(b.Name)
	if b.Unit != "" {
		text += ", " + b.Unit
	}
	switch {
	case b.Along != "":
		text += ", one for each " + spaced(b.Along)
	case b.List:
		text += ", a list"
	case len(b.Positions) > 1:
		text += ", for " + strings.Join(b.Positions, "; ")
	}
	var notes []string
	if len(b.Words) > 0 {
		notes = append(notes, strings.Join(b.Words, " | "))
	}
	if b.Note != "" {
		notes = append(notes, b.Note)
	}
	if b.Wants != "" {
		notes = append(notes, "must be "+spaced(strings.TrimPrefix(b.Wants, "is ")))
	}
	if len(notes) > 0 {
		text += " (" + strings.Join(notes, "; ") + ")"
	}
	if fallback != "" {
		text += " [" + fallback + "]"
	}
	return text
}

func spaced(name string) string { return strings.ReplaceAll(name, "_", " ") }

// partly keeps what was read of a test that is left before its end.
func (s *session) partly(p *performing, t turn) turn {
	if len(p.values)+len(p.skips) > 0 {
		s.put(p)
	}
	return t
}

// done adds the test to the record and tells what came of it. If nothing was read it asks why.
func (s *session) done(p *performing) turn {
	if len(p.values)+len(p.skips) > 0 {
		s.put(p)
		return leave
	}
	for {
		line, eof := s.ask("  Nothing was read. Why (a reason as for skip; nothing: later)")
		switch {
		case eof:
			s.eof = true
			return finish
		case line == "", line == "undo":
			if s.later[p.card.Test] = line == ""; line != "" {
				s.wanted = p.card.Test
			}
			return leave
		}
		reason, why, err := reasonOf(strings.TrimPrefix(line, "skip "))
		if err != nil {
			s.refuse(err)
			continue
		}
		s.skipTest(p.card.Test, reason, why)
		return leave
	}
}

// put adds what was read to the record, and tells what came of it.
func (s *session) put(p *performing) {
	entries := s.taken(p)
	for _, b := range p.blanks {
		if e, skipped := p.skips[b.Name]; skipped {
			entries = append(entries, e)
		}
	}
	before := s.pass()
	if !s.change(func(r *eval.Record) {
		last := &r.Passes[len(r.Passes)-1]
		last.Entries = append(last.Entries, entries...)
	}) {
		return
	}
	delete(s.later, p.card.Test)
	after := s.pass()
	for i := range after.Tests {
		if after.Tests[i].Name == p.card.Test {
			report.Result(s.out, &after.Tests[i])
		}
	}
	report.Change(s.out, before, after)
}

// taken makes entries of what was read: one for the values that were read with the same meter of the shop.
func (s *session) taken(p *performing) []eval.Entry {
	var entries []eval.Entry
	var via map[string]string
	for _, b := range p.blanks {
		meter := s.meterFor(b.Meter)
		if _, condition := p.at[b.Name]; condition && meter != "" {
			if via == nil {
				via = map[string]string{}
			}
			via[b.Name] = meter
		}
		v, read := p.values[b.Name]
		if !read {
			continue
		}
		i := slices.IndexFunc(entries, func(e eval.Entry) bool { return e.With == meter })
		if i < 0 {
			i = len(entries)
			entries = append(entries, eval.Entry{Taken: p.card.Test, Values: map[string]eval.Value{}, With: meter})
		}
		entries[i].Values[b.Name] = v
	}
	for i := range entries {
		e := &entries[i]
		if len(p.at) > 0 {
			e.At, e.Via = p.at, via
		}
		if len(e.Values) == 1 {
			for name, v := range e.Values {
				e.Taken, e.Value, e.Values = p.card.Test+"."+name, &v, nil
			}
		}
	}
	return entries
}
