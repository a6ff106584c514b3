package main

import (
	"path"
	"strings"
	"time"

	"github.com/brushgear/brushgear/eval"
)

// The questions before the first test: what unit it is, on which day, and what the customer says.

// aQuestion is one of them. It returns back for undo, finish at the end.
type aQuestion func() turn

// identify asks what must be known, and opens the record. It is false if the input ended before that, or the technician ended it.
func (s *session) identify() (bool, error) {
	s.record = &eval.Record{Shop: s.shop, Units: map[string]string{}, Passes: []eval.RecordPass{{Round: eval.Round{Stage: eval.AsFound, By: s.by}}}}
	var questions []aQuestion
	questions = append(questions, s.askFamily, s.askDay)
	for i := 0; i < len(questions); {
		switch questions[i]() {
		case onward:
			if i++; i == 2 && len(questions) == 2 {
				more, err := s.unitQuestions()
				if err != nil {
					return false, err
				}
				questions = append(questions, more...)
			}
		case back:
			if i = max(0, i-1); i < 2 {
				questions = questions[:2]
			}
		case finish:
			return false, nil
		}
	}
	s.name()
	return true, nil
}

// name names the record by its file, else by the serial.
func (s *session) name() {
	s.record.Name = "bench"
	if s.record.Serial != "" {
		s.record.Name = s.record.Serial
	}
	if base := path.Base(s.save); s.save != "" {
		s.record.Name = strings.TrimSuffix(base, path.Ext(base))
	}
}

// unitQuestions are those that depend on the family.
func (s *session) unitQuestions() ([]aQuestion, error) {
	job, err := s.sheets.Open(s.record.Family, eval.InShop(s.shop))
	if err != nil {
		return nil, err
	}
	s.job = job
	var list []aQuestion
	for _, in := range job.Inclusions() {
		list = append(list, func() turn { return s.askInclusion(in) })
	}
	list = append(list, func() turn {
		return s.askText("Serial on the plate", &s.record.Serial)
	})
	for _, b := range job.Unknown() {
		list = append(list, func() turn { return s.askAttribute(b) })
	}
	list = append(list, func() turn {
		return s.askText("Complaint, in the customer's words", &s.record.Complaint)
	})
	return list, nil
}

// before asks one of the first questions. Of the commands only help, undo and end are known there, so that nothing that a customer says is one.
func (s *session) before(prompt string) (string, turn) {
	line, eof := s.ask(prompt)
	switch {
	case eof, line == "end":
		return "", finish
	case line == "undo":
		return "", back
	case line == "?":
		s.say("    Answer with a line; an empty line takes what stands in [ ], or leaves it open. undo goes back one question, end ends.")
		return "", again
	}
	return line, onward
}

func (s *session) askFamily() turn {
	families := s.sheets.Families()
	if s.family != "" {
		name, err := pick("family", s.family, families, s.sheets.FamilyTitle)
		if err == nil {
			s.record.Family = name
			return onward
		}
		s.refuse(err)
		s.family = ""
	}
	if len(families) == 1 {
		s.record.Family = families[0]
		return onward
	}
	s.say("Families:")
	for _, name := range families {
		s.say("  %-12s %s", name, s.sheets.FamilyTitle(name))
	}
	for {
		line, t := s.before("Which family is it")
		if t == again || t == onward && line == "" {
			continue
		}
		if t != onward {
			return t
		}
		name, err := pick("family", line, families, s.sheets.FamilyTitle)
		if err == nil {
			s.record.Family = name
			return onward
		}
		s.refuse(err)
	}
}

func (s *session) askDay() turn {
	day := s.on
	for {
		if day == "" {
			var t turn
			day, t = s.before("Day [" + today() + "]")
			switch {
			case t == again:
				continue
			case t != onward:
				return t
			case day == "":
				day = today()
			}
		}
		if _, err := time.Parse(time.DateOnly, day); err == nil {
			s.record.Judge, s.record.Passes[0].On = day, day
			return onward
		}
		s.say("    %s is no day of the calendar: write year-month-day, as in 2026-03-02", day)
		day, s.on = "", ""
	}
}

// askInclusion asks of which family an included unit is. One that is known by itself need only be confirmed.
func (s *session) askInclusion(in eval.Inclusion) turn {
	delete(s.record.Units, in.Unit)
	if len(in.Families) == 0 {
		return onward
	}
	var names []string
	titles := map[string]string{}
	for _, f := range in.Families {
		names = append(names, f.Name)
		titles[f.Name] = f.Title
	}
	text := "Which " + spaced(in.Unit) + " (" + strings.Join(names, ", ") + ", - if it is another)"
	if len(names) == 1 {
		text += " [" + names[0] + "]"
	}
	for {
		line, t := s.before(text)
		switch {
		case t == again, line == "" && t == onward && len(names) > 1:
			continue
		case t != onward:
			return t
		case line == "-":
			return onward
		case line == "":
			line = names[0]
		}
		name, err := pick("family", line, names, func(n string) string { return titles[n] })
		if err == nil {
			s.record.Units[in.Unit] = name
			return onward
		}
		s.refuse(err)
	}
}

func (s *session) askText(prompt string, to *string) turn {
	*to = ""
	for {
		line, t := s.before(prompt)
		if word, rest, _ := strings.Cut(line, " "); t == onward && word == "skip" && left(rest) {
			s.say("    an empty line leaves it open: there is none, or it is not known; skip is for tests")
			continue
		}
		if line == "-" {
			line = ""
		}
		if t != again {
			*to = strings.ToValidUTF8(unquoted(line), "?")
			return t
		}
	}
}

// left tells whether nothing, or a reason as for skip, stands behind skip, so that it is hardly the customer's word.
func left(rest string) bool {
	_, _, err := reasonOf(rest)
	return rest == "" || err == nil
}

// askAttribute asks for a property of the unit that its sheet leaves open.
func (s *session) askAttribute(b eval.Blank) turn {
	for i, a := range s.record.Attributes {
		if a.Name == b.Name {
			s.record.Attributes = append(s.record.Attributes[:i:i], s.record.Attributes[i+1:]...)
			break
		}
	}
	for {
		line, t := s.before(promptOf(b, ""))
		switch {
		case t == again:
			continue
		case t != onward:
			return t
		}
		v, assumed, err := b.Fill(line)
		if err != nil {
			s.refuse(err)
			continue
		}
		if assumed {
			s.say("    taken as %s", v)
		}
		if !v.Missing() {
			s.record.Attributes = append(s.record.Attributes, eval.Attribute{Name: b.Name, Value: v})
		}
		return onward
	}
}
