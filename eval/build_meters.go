package eval

import (
	"math"
	"strings"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval/uncertainty"
	"github.com/brushgear/brushgear/units"
)

// Instruments and decision rules.

var distributions = map[string]uncertainty.Shape{"rectangular": uncertainty.Uniform, "triangular": uncertainty.Triangle, "normal": uncertainty.Gaussian}

func (b *builder) accuracy(in *instrument, s *dsl.Instrument) {
	a := &in.accuracy
	if s.Shape != nil {
		var ok bool
		if a.shape, ok = distributions[s.Shape.Text]; !ok {
			b.c.report(dsl.CodeUnknownWord, s.Shape.Range, "there is no distribution "+s.Shape.Text, "write rectangular, triangular or normal")
		}
	}
	a.standard, _ = a.shape.Standard(1)
	whole := accuracyRange{full: infinite}
	if in.high > 0 {
		whole.full = in.high
	}
	if s.Digit != nil {
		whole.digit = b.step(in, s.Digit)
	}
	if s.Accuracy != nil {
		b.parts(in, &whole, s.Accuracy.(*dsl.Accuracy))
	}
	a.ranges = append(a.ranges, whole)
	if len(s.Ranges) > 0 {
		a.ranges = a.ranges[:0]
		if s.Accuracy != nil {
			b.c.report(dsl.CodeBadLimit, s.Range, "an instrument has one accuracy, or one for each range", "leave out the accuracy before ranges")
		}
	}
	for i, r := range s.Ranges {
		k := accuracyRange{full: b.step(in, r.Full)}
		if i > 0 && k.full <= a.ranges[i-1].full {
			b.c.report(dsl.CodeBadLimit, r.Range, "the ranges must rise", "order them by full scale")
		}
		if r.Digit != nil {
			k.digit = b.step(in, r.Digit)
		}
		if r.Accuracy != nil {
			b.parts(in, &k, r.Accuracy.(*dsl.Accuracy))
		}
		a.ranges = append(a.ranges, k)
	}
	if n := len(s.Ranges); n > 0 && in.high == 0 {
		in.high = a.ranges[n-1].full
	}
	if s.Zero != nil {
		x := b.numeric(s.Zero)
		if v, ok := b.fits(x, in.dim, s.Zero).constant(); ok {
			a.zero = v
		}
	}
	in.accurate = s.Accuracy != nil || len(s.Ranges) > 0 || s.Zero != nil
}

// step checks a quantity of the instrument's own dimension, such as its digit.
func (b *builder) step(in *instrument, q *dsl.Qty) float64 {
	v, ok := b.quantity(q)
	v = v.Difference()
	if want := apart(in.dim); ok && units.Match(v.Dimension(), want) != nil {
		b.dimension(q.Range, v.Dimension(), want)
	} else if ok {
		b.notBelowZero(q, v.SI(), "what an instrument shows or is off")
	}
	return v.SI()
}

// parts adds up an accuracy.
func (b *builder) parts(in *instrument, r *accuracyRange, a *dsl.Accuracy) {
	for _, p := range a.Parts {
		text := p.Qty.Text
		if number, ok := strings.CutSuffix(text, "digits"); ok {
			q, err := units.Parse(strings.TrimSpace(number))
			if err != nil || p.OfRange {
				b.c.report(dsl.CodeBadNumber, p.Qty.Range, text+" is no number of digits", "write 2 digits")
				continue
			}
			if r.digit == 0 {
				b.c.report(dsl.CodeBadLimit, p.Qty.Range, "it is not stated what a digit of "+in.name+" is worth", "write digit 0.01 V behind it, for instance")
			}
			b.notBelowZero(p.Qty, q.SI(), "an accuracy")
			r.digits += q.SI()
			continue
		}
		q, ok := b.quantity(p.Qty)
		switch {
		case !ok:
		case q.Dimension().Kind() == units.Ratio && in.dim.Kind() != units.Ratio && p.OfRange:
			if math.IsInf(r.full, 0) {
				b.c.report(dsl.CodeBadLimit, p.Qty.Range, "the range of this instrument is not stated", "write range 0 V to 40 V, or ranges { ... }")
			}
			b.notBelowZero(p.Qty, q.SI(), "an accuracy")
			r.ofRange += q.SI()
		case p.OfRange:
			b.c.report(dsl.CodeBadLimit, p.Qty.Range, "of range belongs to a percentage", "write 0.1 % of range")
		case q.Dimension().Kind() == units.Ratio && (in.dim.Kind() != units.Ratio || q.Unit().String() == "%"):
			b.notBelowZero(p.Qty, q.SI(), "an accuracy")
			r.reading += q.SI()
		default:
			r.absolute += b.step(in, p.Qty)
		}
	}
}

// decide takes in a decision rule: simple acceptance, a guard band of some standard uncertainties, or one for a wanted risk.
func (b *builder) decide(s *dsl.Decide) {
	m := b.m
	factor, unit := 0.0, ""
	if s.Factor != nil {
		if number, ok := strings.CutSuffix(s.Factor.Text, "u"); ok {
			unit = "u"
			q, err := units.Parse(strings.TrimSpace(number))
			if err == nil {
				factor = q.SI()
			}
		} else {
			q, _ := b.quantity(s.Factor)
			factor = q.SI()
			if q.Dimension().Kind() == units.Ratio {
				unit = "%"
			}
		}
	}
	m.rule = b.source(dsl.Range{Pos: s.Rule.Pos, EndPos: s.EndPos})
	switch rule := s.Rule.Text; {
	case rule == "simple" && s.Factor == nil:
		m.guard = 0
	case rule == "guard" && unit == "u" && factor > 0:
		m.guard = factor
	case rule == "risk" && unit == "%" && factor > 0 && factor < 0.5:
		m.guard, _ = uncertainty.GuardFactor(factor)
	default:
		b.c.report(dsl.CodeUnknownWord, s.Range, "this is no decision rule", "write decide simple, decide guard 1.65 u or decide risk 5 %")
	}
}
