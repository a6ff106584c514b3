package eval_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
)

// Units with faults, simulated: what each check shows is drawn from the strengths of the sheet, and readings that come out so are searched for
// through the sheet itself. So a unit goes the whole way from readings to words. The readings and their spans are invented.

// unitSpans says how the numbers of a family can read: spans such as "3.7..4.0 A", the first of them good. Lists take one for each member.
// Words need no entry.
type unitSpans struct {
	family, battery string // the unit, and the name of the battery that it includes
	at              map[string]string
	tests           map[string]map[string]string // conditions of single tests
	numbers         map[string][]string
	leaning         map[string][]string // tests whose outcome leans on the readings of others
	serial          string
}

var tarnby = unitSpans{
	family: "tarnby_90", battery: "battery", serial: "H52207",
	at: map[string]string{
		"supply": "12.0 V", "winding_temp": "20 °C", "case_temp": "25 °C", "ambient": "21 °C", "speed": "6000 rpm", "load_current": "8 A", "warm_up": "40 min",
	},
	tests: map[string]map[string]string{
		"output": {"supply": "13.5 V"}, "curve": {"supply": "13.5 V", "speed": "(1500 2000 3000 4000 6000 rpm)"}, "battery.load": {"load_current": "325 A"},
	},
	numbers: map[string][]string{
		"sense.volts":              {"13.9..14.0 V", "12.5..13.4 V"},
		"sense.battery_volts":      {"14.0..14.1 V"},
		"stud_frame.path.forward":  {"OL", "0.30..0.60 V", "0.01..0.05 V"},
		"stud_frame.path.back":     {"0.95..1.15 V", "0.40..0.70 V", "0.01..0.05 V"},
		"through_brushes.current":  {"3.70..4.00 A", "0.50..3.00 A", "4.80..8.00 A", "2.0 A to 4.0 A jumping"},
		"drain.current":            {"0.2..2.0 mA", "20.0..400.0 mA"},
		"output.current":           {"84..89 A", "0..3 A", "10..28 A", "36..48 A", "56..64 A", "71..78 A"},
		"curve.current":            {"1.00..1.02 (34 50 66 77 88) A", "0.70..0.80 (34 50 66 77 88) A", "0.00..0.04 (34 50 66 77 88) A", "1.00..1.01 (34 50 66 98 88) A"},
		"full_field.current":       {"84..89 A", "0..3 A", "10..28 A", "36..48 A", "56..64 A", "71..78 A"},
		"regulated.volts":          {"14.20..14.60 V", "11.50..13.50 V", "15.20..17.00 V", "12.0 V to 15.5 V jumping"},
		"load_drop.light":          {"14.20..14.30 V"},
		"load_drop.heavy":          {"14.00..14.10 V", "12.50..13.40 V"},
		"speed_drop.slow":          {"14.20..14.30 V"},
		"speed_drop.fast":          {"14.30..14.35 V", "15.00..16.00 V"},
		"ripple.volts":             {"0.10..0.30 V", "0.80..2.00 V"},
		"cut_in.speed_on":          {"1000..1300 rpm", "1700..2500 rpm"},
		"tap.frequency":            {"596..604 Hz", "430..470 Hz", "780..820 Hz"},
		"neutral_volts.volts":      {"6.90..7.05 V", "5.00..6.00 V", "8.00..9.00 V"},
		"neutral_volts.stud_volts": {"13.90..14.00 V"},
		"ring_field.current":       {"3.90..4.10 A", "0.50..3.20 A", "5.00..9.00 A"},
		"flex.resistance":          {"2.9..3.1 Ω", "3.0 Ω to 9.0 Ω jumping"},
		"rings.runout":             {"0.01..0.04 mm", "0.07..0.08 mm", "0.20..0.50 mm"},
		"rotor_look.runout":        {"0.01..0.03 mm", "0.10..0.40 mm"},
		"ring_diameter.reading":    {"27.0..27.8 mm", "25.5..26.2 mm"},
		"brushes.length":           {"14.6..15.0 mm", "9.0..13.0 mm", "3.0..6.0 mm"},
		"brushes.force":            {"2.90..3.10 N", "0.30..1.20 N", "6.00..8.00 N", "3.90..4.80 N"},
		"lead_frame.path.forward":  {"OL", "0.40..0.60 V", "0.01..0.05 V"},
		"lead_frame.path.back":     {"0.40..0.60 V", "0.01..0.05 V"},
		"trio_diodes.drop.forward": {"0.500..0.550 V", "OL", "0.010..0.100 V"},
		"trio_diodes.drop.back":    {"OL", "0.010..0.100 V"},
		"capacity.value":           {"0.90..1.10 µF", "0.20..0.60 µF", "1.60..3.00 µF"},
		"capacity.insulation":      {"5.0..35.0 MΩ", "0.1..0.3 MΩ"},
		"regulator_alone.off_at":   {"14.30..14.40 V", "13.00..13.80 V", "15.00..16.00 V"},
		"regulator_alone.on_at":    {"14.10..14.20 V", "12.80..12.90 V", "14.80..14.90 V"},
		"pairs.ohms":               {"121.0..122.0 mΩ", "1500.0..1900.0 mΩ", "243.0..245.0 mΩ", "80.0..90.0 mΩ"},
		"stator_ground.insulation": {"100..500 MΩ", "0.10..0.30 MΩ"},
		"surge.current":            {"9.9..10.1 A", "6.0..8.0 A", "13.0..16.0 A"},
		"diode_flow.plus":          {"1.70..1.75 A", "0.00..0.15 A", "2.30..2.80 A"},
		"diode_flow.minus":         {"1.70..1.75 A", "0.00..0.15 A", "2.30..2.80 A"},
		"diodes.drop.forward":      {"0.500..0.520 V", "OL", "0.010..0.100 V", "0.800..1.600 V"},
		"diodes.drop.back":         {"OL", "0.010..0.100 V", "0.500..2.000 V"},
		"hot_leak.leak":            {"0.1..0.5 mA", "5.0..40.0 mA"},
		"plate_frame.path":         {"1000..9000 kΩ", "0.1..50.0 Ω"},
	},
	leaning: map[string][]string{"ring_ground": {"field_ground"}},
}

var skerrow = unitSpans{
	family: "skerrow_20", battery: "bench", serial: "S231",
	at: map[string]string{"supply": "12.0 V", "winding_temp": "20 °C", "feed_current": "150 A"},
	tests: map[string]map[string]string{
		"free_run": {"supply": "11.0 V"}, "stall": {"supply": "4.0 V"}, "bar_to_bar": {"feed_current": "5.00 A"}, "coils": {"feed_current": "20.0 A"},
		"bench.load": {"load_current": "325 A"},
	},
	numbers: map[string][]string{
		"switch_volts.volts":         {"11.50..12.00 V", "3.00..7.00 V"},
		"switch_volts.battery_volts": {"12.00..12.10 V", "7.00..9.00 V"},
		"stud_volts.battery_stud":    {"12.00..12.10 V", "8.00..8.10 V"},
		"stud_volts.motor_stud":      {"11.90..11.95 V", "0.20..0.60 V", "7.90..7.95 V"},
		"stud_volts.battery_volts":   {"12.20..12.25 V"},
		"pull_in.current":            {"40.0..44.0 A", "10.0..32.0 A", "55.0..80.0 A"},
		"hold_in.current":            {"10.2..10.9 A", "0.1..7.0 A", "14.0..25.0 A"},
		"both_windings.current":      {"52.0..53.0 A"},
		"seat.volts":                 {"5.50..6.50 V", "9.00..11.50 V"},
		"clearance.gap":              {"1.50..2.50 mm", "0.05..0.15 mm", "4.00..6.00 mm"},
		"contact_drop.drop":          {"0.02..0.03 V", "0.08..0.10 V", "0.30..1.00 V"},
		"free_run.current":           {"70..80 A", "0..1 A", "20..40 A", "120..300 A", "30 A to 90 A jumping"},
		"free_run.speed":             {"3000..3200 rpm", "0..20 rpm", "1000..2000 rpm", "4500..6000 rpm"},
		"stall.current":              {"470..510 A", "150..350 A", "650..900 A"},
		"stall.force":                {"17.0..19.0 lbf", "5.0..11.0 lbf"},
		"brushes.length":             {"16.9..17.4 mm", "11.0..15.0 mm", "4.0..7.0 mm"},
		"springs.force":              {"46..50 ozf", "10..25 ozf", "80..90 ozf", "60..62 ozf"},
		"slip_torque.torque":         {"50..60 lbf·ft", "5..35 lbf·ft"},
		"bar_to_bar.drop":            {"9.90..10.10 mV", "4.00..7.00 mV", "14.00..25.00 mV"},
		"runout.tir":                 {"0.02..0.03 mm", "0.08..0.12 mm", "0.25..0.50 mm"},
		"diameter.reading":           {"29.0..30.0 mm", "26.5..27.5 mm"},
		"undercut.depth":             {"0.60..0.70 mm", "0.30..0.40 mm", "0.05..0.10 mm"},
		"coils.drop":                 {"40.0..41.0 mV", "25.0..30.0 mV", "55.0..60.0 mV"},
		"bush_play.bore":             {"16.05..16.06 mm", "16.14..16.16 mm", "16.40..16.60 mm"},
		"bush_play.journal":          {"16.00..16.00 mm"},
	},
	leaning: map[string][]string{"stud_volts": {"sound"}},
}

// batterySpans are those of the battery that both families include. It is good: its faults are not simulated.
var (
	batteryAt = map[string]string{
		"electrolyte_temp": "80 °F", "surface_charge": "removed", "rest": "40 min", "crank_current": "300 A", "charge_current": "40 A",
	}
	batteryNumbers = map[string][]string{
		"open_circuit.volts": {"12.66..12.75 V", "12.45..12.55 V"}, "gravity.reading": {"1.262..1.266"}, "load.volts": {"10.20..10.60 V"}, "conductance.available": {"620..660 A"},
		"fast_charge.volts": {"14.00..14.50 V"}, "key_off.current": {"10..20 mA"}, "crank.volts": {"10.50..10.90 V"}, "supply_drop.drop": {"0.01..0.02 V"},
		"supply_drop.whole": {"0.05..0.08 V"}, "ground_drop.drop": {"0.01..0.02 V"}, "charge_drop.drop": {"0.10..0.20 V"},
	}
)

// A simulator draws readings of one family.
type simulator struct {
	t      testing.TB
	bench  *eval.Bench
	spans  unitSpans
	rng    *rand.Rand
	blank  eval.PassVerdict // a unit of which nothing is known
	tests  []eval.KnownTest
	faults map[string]eval.KnownFault
	order  []string // own faults in sheet order
	cards  map[string]eval.Card
	pool   map[string][]state  // by test and what it was to show
	gated  map[string][]string // by test: those that it waits for
	barren map[string]int      // what no reading was found for, and how often it was wanted
}

// state is a reading of a test: the spans and numbers of all values and members.
type state map[string][]string

func newSimulator(t testing.TB, bench *eval.Bench, spans unitSpans, seed uint64) *simulator {
	s := &simulator{t: t, bench: bench, spans: spans, rng: rand.New(rand.NewPCG(seed, 1)), faults: map[string]eval.KnownFault{}, cards: map[string]eval.Card{},
		pool: map[string][]state{}, barren: map[string]int{}, gated: map[string][]string{}}
	s.blank = s.judge(s.open()).Last()
	s.tests = slices.DeleteFunc(s.blank.KnownTests(), func(k eval.KnownTest) bool { return !k.Applies || len(k.Values) == 0 })
	for _, f := range s.blank.KnownFaults() {
		s.faults[f.Name] = f
		if f.Unit == "" {
			s.order = append(s.order, f.Name)
		}
	}
	for _, c := range s.blank.Cards() {
		s.cards[c.Test] = c
	}
	return s
}

func (s *simulator) open() *eval.Job {
	j, err := s.bench.Open(s.spans.family)
	require.NoError(s.t, err)
	require.NoError(s.t, j.Include(s.spans.battery, "bench_650"))
	require.NoError(s.t, j.SetDate("2026-03-02"))
	j.SetSerial(s.spans.serial)
	return j
}

func (s *simulator) judge(j *eval.Job) *eval.Verdict {
	v, err := j.Judge(s.t.Context())
	require.NoError(s.t, err)
	return v
}

// take adds the reading of a test to a job.
func (s *simulator) take(j *eval.Job, test string, st state) {
	require.NoError(s.t, j.Take(test, s.taken(test, st)))
}

// taken is the reading of a test, with the conditions that it is taken under.
func (s *simulator) taken(test string, st state) eval.Reading {
	card := s.cards[test]
	r := eval.Reading{Values: map[string]eval.Value{}, At: map[string]eval.Value{}}
	for _, b := range card.Readings {
		var items []eval.Value
		for _, text := range st[b.Name] {
			v, err := eval.ParseValue(text)
			require.NoError(s.t, err, "%s.%s", test, b.Name)
			items = append(items, v)
		}
		switch {
		case len(b.Positions) > 0:
			r.Values[b.Name] = eval.List(items...)
		default:
			r.Values[b.Name] = items[0]
		}
	}
	for _, c := range card.Conditions {
		text, ok := s.spans.tests[test][c.Name]
		for _, at := range []map[string]string{s.spans.at, batteryAt} {
			if !ok {
				text, ok = at[c.Name]
			}
		}
		require.True(s.t, ok, "%s needs %s", test, c.Name)
		r.At[c.Name] = eval.MustValue(text)
	}
	return r
}

// span lists how a reading can come out.
func (s *simulator) span(test string, b eval.Blank) []string {
	if len(b.Words) > 0 {
		return b.Words
	}
	name := test + "." + b.Name
	list, ok := s.spans.numbers[name]
	if rest, battery := strings.CutPrefix(name, s.spans.battery+"."); battery {
		list, ok = batteryNumbers[rest]
	}
	require.True(s.t, ok, "no span for %s", name)
	return list
}

// draw gives a number of a span: "3.70..4.00 A", with as many decimals as are written. Behind the span of a table stands what it is a factor of.
func (s *simulator) draw(span string) string {
	from, rest, ok := strings.Cut(span, "..")
	if !ok {
		return span
	}
	to, unit, _ := strings.Cut(rest, " ")
	low, err := strconv.ParseFloat(from, 64)
	require.NoError(s.t, err)
	high, err := strconv.ParseFloat(to, 64)
	require.NoError(s.t, err)
	decimals := 0
	if _, after, dot := strings.Cut(from, "."); dot {
		decimals = len(after)
	}
	x := low + (high-low)*s.rng.Float64()
	if table, ok := strings.CutPrefix(unit, "("); ok {
		numbers, unit, _ := strings.Cut(table, ")")
		var parts []string
		for _, n := range strings.Fields(numbers) {
			v, err := strconv.ParseFloat(n, 64)
			require.NoError(s.t, err)
			parts = append(parts, fmt.Sprintf("%.0f", v*x))
		}
		return "(" + strings.Join(parts, " ") + unit + ")"
	}
	return strings.TrimSpace(fmt.Sprintf("%.*f %s", decimals, x, unit))
}

// good is a state in which every reading is of its first span.
func (s *simulator) good(test string) state {
	st := state{}
	for _, b := range s.cards[test].Readings {
		n := max(1, len(b.Positions))
		for range n {
			st[b.Name] = append(st[b.Name], s.draw(s.span(test, b)[0]))
		}
	}
	return st
}

// changed draws one reading anew: one member of a list, all of them, or the same member of all lists.
func (s *simulator) changed(test string, st state) state {
	next := state{}
	for name, members := range st {
		next[name] = slices.Clone(members)
	}
	card := s.cards[test]
	b := card.Readings[s.rng.IntN(len(card.Readings))]
	some := func(b eval.Blank) string { return s.draw(s.span(test, b)[s.rng.IntN(len(s.span(test, b)))]) }
	at := s.rng.IntN(len(st[b.Name]))
	switch s.rng.IntN(6) {
	case 0: // all members, each in the same span
		spans := s.span(test, b)
		k := s.rng.IntN(len(spans))
		for i := range next[b.Name] {
			next[b.Name][i] = s.draw(spans[k])
		}
	case 1:
		for _, other := range card.Readings {
			if len(st[other.Name]) == len(st[b.Name]) {
				next[other.Name][at] = some(other)
			}
		}
	default:
		next[b.Name][at] = some(b)
	}
	return next
}

// outcomes tells how a test comes out in a job where its gates are open. around holds the readings of the tests that it leans on.
func (s *simulator) outcomes(test string, st state, around map[string]state) map[string]string {
	j := s.open()
	for _, gate := range s.gates(test) {
		if slices.Contains(s.spans.leaning[test], gate) {
			continue
		}
		if len(s.pool["good "+gate]) == 0 {
			s.pool["good "+gate] = []state{s.good(gate)}
		}
		s.take(j, gate, s.pool["good "+gate][0])
	}
	for _, other := range s.spans.leaning[test] {
		s.take(j, other, around[other])
	}
	s.take(j, test, st)
	p := s.judge(j).Last()
	got := map[string]string{}
	for _, k := range s.tests {
		if k.Name != test {
			continue
		}
		for _, value := range k.Values {
			for _, c := range value {
				check, ok := p.Check(c.Name)
				require.True(s.t, ok, c.Name)
				got[c.Name] = strings.Join(check.Outcomes(), "|")
				if check.Result() == eval.NotValid {
					got[c.Name] += " not valid"
				}
			}
		}
	}
	return got
}

// gates lists the tests that a test waits for, and those that they wait for.
func (s *simulator) gates(test string) []string {
	if list, ok := s.gated[test]; ok {
		return list
	}
	var list []string
	unit := ""
	if strings.HasPrefix(test, s.spans.battery+".") {
		unit = s.spans.battery + "."
	}
	for _, need := range s.cards[test].Needs {
		name, _, _ := strings.Cut(need, " ")
		for _, k := range s.tests {
			if k.Name == unit+name || strings.HasPrefix(unit+name, k.Name+".") {
				list = append(append(list, s.gates(k.Name)...), k.Name)
			}
		}
	}
	slices.Sort(list)
	s.gated[test] = slices.Compact(list)
	return s.gated[test]
}

// wanted draws what the checks of a test show with some faults. shown holds what other tests of the unit were drawn to show.
func (s *simulator) wanted(k eval.KnownTest, faults []string, shown map[string]string) map[string]string {
	want := map[string]string{}
	effects := map[string][]string{}
	for _, f := range faults {
		for _, value := range k.Values {
			u := s.rng.Float64() // one for the checks of a value
			for _, c := range value {
				sum := 0.
				for _, show := range s.faults[f].Shows {
					i := slices.Index(show.Checks, c.Name)
					if i < 0 || show.Follows {
						continue
					}
					sum += show.Strength
					if show.Any {
						sum = 1
					}
					if u >= sum {
						continue
					}
					if len(show.Checks) == 1 || i == s.place(f, len(show.Checks)) {
						effects[c.Name] = append(effects[c.Name], show.Outcomes[s.rng.IntN(len(show.Outcomes))])
					}
					break
				}
			}
		}
	}
	for _, value := range k.Values {
		for _, c := range value {
			words := c.Passes
			if s.rng.Float64() < .1 || len(words) == 0 {
				words = c.Usual
			}
			if len(words) > 0 {
				want[c.Name] = words[s.rng.IntN(len(words))]
			}
			if list := effects[c.Name]; len(list) > 0 {
				want[c.Name] = list[s.rng.IntN(len(list))]
			}
		}
	}
	if k.Echoes != "" {
		s.follow(k, faults, shown, want)
	}
	return want
}

// place says at which of several positions a fault shows itself where the sheet does not: at one for all values.
func (s *simulator) place(fault string, n int) int {
	return (len(fault) + int(s.faults[fault].Prior*1e6)) % n
}

// follow makes the checks of a test that echoes another go as the other did.
func (s *simulator) follow(k eval.KnownTest, faults []string, shown, want map[string]string) {
	for _, value := range k.Values {
		for _, c := range value {
			var words []string
			own := false
			for _, f := range faults {
				for _, show := range s.faults[f].Shows {
					if slices.Contains(show.Checks, c.Name) && show.Follows {
						words = append(words, show.Outcomes...)
					}
					own = own || slices.Contains(show.Checks, c.Name) && !show.Follows
				}
			}
			from := ""
			for name, word := range shown {
				if strings.HasPrefix(name, k.Echoes+".") {
					from = word
				}
			}
			switch {
			case own || len(words) == 0 || from == "" || from == "good":
			case slices.Contains(words, from):
				want[c.Name] = from
			default:
				words = slices.DeleteFunc(words, func(w string) bool { return slices.Contains(c.Passes, w) })
				want[c.Name] = words[s.rng.IntN(len(words))]
			}
		}
	}
}

const (
	searches    = 10 // that are begun for a reading
	searchSteps = 80 // changes that are tried in each
	poolSize    = 4  // readings that are kept for what a test is to show
	redraws     = 8  // of what a test is to show, where no reading shows it
)

// reading draws a reading of a test of a unit with some faults. What the sheet says of the checks of one test need not go together: then it is drawn
// again, and at last the nearest is taken.
func (s *simulator) reading(k eval.KnownTest, u *unit) state {
	var nearest state
	least := 1 << 30
	for range redraws {
		want := s.wanted(k, u.faults, u.shown)
		key := k.Name + " " + fmt.Sprint(want)
		for _, other := range s.spans.leaning[k.Name] {
			key += fmt.Sprint(u.readings[other])
		}
		if n := s.barren[key]; n > 0 {
			s.barren[key]++
			continue
		}
		if list := s.pool[key]; len(list) == poolSize {
			maps.Copy(u.shown, want)
			return list[s.rng.IntN(poolSize)]
		}
		st, off := s.search(k.Name, want, u.readings)
		if off == 0 {
			s.pool[key] = append(s.pool[key], st)
			maps.Copy(u.shown, want)
			return st
		}
		s.barren[key]++
		if off < least {
			nearest, least = st, off
		}
	}
	if nearest == nil {
		nearest, _ = s.search(k.Name, s.wanted(k, u.faults, u.shown), u.readings)
	}
	return nearest
}

// search looks for a reading that shows what is wanted, by changes that are kept while they do not lead away from it. It begins anew after a while: the
// wrong diode of a set is nearly what is wanted, and no single change leads from it to the right one.
func (s *simulator) search(test string, want map[string]string, around map[string]state) (best state, off int) {
	distance := func(st state) int {
		n := 0
		for name, word := range s.outcomes(test, st, around) {
			if w, ok := want[name]; ok && word != w {
				n++
			}
		}
		return n
	}
	off = 1 << 30
	for range searches {
		st := s.good(test)
		least := distance(st)
		for i := 0; i < searchSteps && least > 0; i++ {
			next := s.changed(test, st)
			if n := distance(next); n <= least {
				st, least = next, n
			}
		}
		if least < off {
			best, off = st, least
		}
		if off == 0 {
			break
		}
	}
	return best, off
}

// A unit has faults, and a reading for every test.
type unit struct {
	faults   []string // those that are there, with what they have led to
	readings map[string]state
	shown    map[string]string
}

// unit draws one unit with a fault, and what the fault has led to.
func (s *simulator) unit(fault string) *unit {
	u := &unit{readings: map[string]state{}, shown: map[string]string{}}
	for queue := []string{fault}; fault != "" && len(queue) > 0; queue = queue[1:] {
		u.faults = append(u.faults, queue[0])
		for _, l := range s.faults[queue[0]].Leads {
			if s.rng.Float64() < l.Strength && !slices.Contains(u.faults, l.To) {
				queue = append(queue, l.To)
			}
		}
	}
	for _, k := range s.tests {
		u.readings[k.Name] = s.reading(k, u)
	}
	return u
}

// slip draws another reading in place of one: as of another unit, or from the wrong place.
func (s *simulator) slip(test string, u *unit) state {
	was := fmt.Sprint(s.outcomes(test, u.readings[test], u.readings))
	st := u.readings[test]
	for range 50 {
		st = s.changed(test, st)
		if fmt.Sprint(s.outcomes(test, st, u.readings)) != was {
			break
		}
	}
	return st
}
