package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

func TestFindingsOfFormulas(t *testing.T) {
	requireSlips(t, []slip{
		{"number without a unit", "read x : V\nlet y = ^x + 3", dsl.CodeDimension, "write the number with its unit, such as V"},
		{"temperatures added", "read x : °C\nlet y = ^x + 20 °C", dsl.CodeDimension, "two temperatures have no sum"},
		{"temperature halved", "read x : °C\nlet y = ^x / 2", dsl.CodeDimension, "a temperature has no multiples"},
		{"temperatures summed", "read x of phase : °C\nlet y = ^sum(x)", dsl.CodeDimension, "write mean(x)"},
		{"torque times speed", "read f : N·m\nread n : rpm\nlet p = ^f * n", dsl.CodeDimension, "power(torque, speed)"},
		{"frequency added to speed", "read f : Hz\nread n : rpm\nlet y = ^f + n", dsl.CodeDimension, "cycles in Hz, turns in rpm"},
		{"energy subtracted from torque", "read f : N·m\nread e : J\nlet y = ^f - e", dsl.CodeDimension, "a torque in N·m, an energy in J"},
		{"division by zero", "read x : V\nlimit x at most ^3 V / 0", dsl.CodeWrongType, "divides by zero"},
		{"lists of different positions", "read x of phase : V\nread z of side : V\nlet y = ^x + z", dsl.CodeWrongType, "one list is of phase, the other of side"},
		{"power of different positions", "read f of phase : N·m\nread n of side : rpm\nlet p = ^power(f, n)", dsl.CodeWrongType, "one list is of phase, the other of side"},
		{"power the other way round", "read f : N·m\nread n : rpm\nlet p = power(^n, f)", dsl.CodeDimension, "a torque is wanted here"},
		{"power of one value", "read f : N·m\nlet p = ^power(f)", dsl.CodeFunction, "write power(torque, speed)"},
		{"power of a word", "read f : low | good\nread n : rpm\nlet p = power(^f, n)", dsl.CodeWrongType, "a number is wanted here"},
		{"absolute value of a word", "read x : low | good\nlet y = abs(^x)", dsl.CodeWrongType, "a number is wanted here"},
		{"absolute value of a text", "let y = abs(^\"x\")", dsl.CodeWrongType, "a number is wanted here"},
		{"absolute value of a condition", "read x : V\nlet y = abs(^x above 3 V)", dsl.CodeWrongType, "a number is wanted here"},
		{"unknown function", "read x of phase : Ω\nlet y = ^means(x)", dsl.CodeFunction, "did you mean mean?"},
		{"mean of a single value", "read x : Ω\nlet y = mean(^x)", dsl.CodeWrongType, "mean works on a list"},
		{"mean of words", "read x of phase : low | good\nlet y = mean(^x)", dsl.CodeWrongType, "a number is wanted here"},
		{"count of numbers", "read x of phase : Ω\nlet n = count(^x)", dsl.CodeWrongType, "write count(ohms above 100 Ω)"},
		{"count of two", "read x of phase : Ω\nlet n = ^count(x above 3 Ω, x above 4 Ω)", dsl.CodeFunction, "write count(x)"},
		{"a word as a formula", "read x : low | good\nlet y = ^x", dsl.CodeWrongType, "let names a number or a condition"},
		{"a formula in a circle", "^let a = 2 * b\nlet b = 2 * a", dsl.CodeCircle, "the formula of a uses itself"},
		{"a name that is none", "let y = 2 * ^suply", dsl.CodeUnknownName, "did you mean supply?"},
		{"a test as a value", "let y = 2 * ^other", dsl.CodeWrongType, "name one of its values"},
		{"a value that the test lacks", "let y = 2 * ^other.z", dsl.CodeUnknownName, "test other has no value z; known here: free, w, y"},
		{"a part of a value", "read x : V\nlet y = 2 * ^x.max", dsl.CodeUnknownName, "write x alone"},
		{"a part of a condition", "let y = 2 * ^supply.max", dsl.CodeUnknownName, "write supply alone"},
		{"a value of a pair", "read x both ways : V\nlet y = 2 * ^t.x", dsl.CodeUnknownName, "write t.x.forward or t.x.back"},
		{"a value that an included unit lacks", "let y = 2 * ^front.chrge", dsl.CodeUnknownName, "front (a cell) has no value chrge; did you mean charge?"},
		{"a condition of an included unit", "let y = 2 * ^front.temp", dsl.CodeMisplaced, "belongs to a reading of front"},
		{"a table in a formula", "read x at speed : V\nlet y = highest(^x)", dsl.CodeWrongType, "judged point by point"},
		{"a table as a bound", "read x at speed : V\nread z : V\nlimit z at most ^x", dsl.CodeWrongType, "judged point by point"},
		{"an outcome of its own test", "read x : V\nlimit x at most 5 V\nlet y = ^x is high", dsl.CodeMisplaced, "write outcome good when x is high"},
		{"an outcome that another test lacks", "let y = ^other.y is low", dsl.CodeUnknownOutcome, "other.y has no outcome low; known here: good, high"},
	}, inTest)
}

func TestFindingsOfConditions(t *testing.T) {
	const rest = "\noutcome good otherwise"
	requireSlips(t, []slip{
		{"a value where a condition is wanted", "read x : Ω\noutcome odd when not ^x" + rest, dsl.CodeWrongType, "say something of it"},
		{"a list as a condition", "read x of phase : Ω\noutcome odd when ^x above 3 Ω" + rest, dsl.CodeWrongType, "write each"},
		{"each of a single value", "read x : V\noutcome odd when ^each x above 3 V" + rest, dsl.CodeWrongType, "leave each out"},
		{"each outcome", "read x of phase : V\nlimit x at most 5 V\noutcome odd when ^each x is good" + rest, dsl.CodeWrongType, "asked of the whole list at once"},
		{"lists of different positions compared", "read x of phase : V\nread z of side : V\noutcome odd when ^each x above z" + rest, dsl.CodeWrongType, "one list is of phase"},
		{"within a list", "read x : V\nread y of phase : V\noutcome odd when ^x within y ± 10 %" + rest, dsl.CodeWrongType, "said of a list"},
		{"wrong bound", "read x : V\noutcome odd when x above ^3 A" + rest, dsl.CodeDimension, "a voltage is wanted here"},
		{"a range backwards", "read x : V\noutcome odd when x ^within 3 V to 2 V" + rest, dsl.CodeBadLimit, "smaller value first"},
		{"alike of a single value", "read x : Ω\noutcome odd when ^x alike 3 % by mean" + rest, dsl.CodeWrongType, "a list of numbers"},
		{"a table as a condition", "read x at speed : V\noutcome odd when ^x above 3 V" + rest, dsl.CodeWrongType, "judged point by point"},
		{"words have no order", "applies when ^size at least 3", dsl.CodeWrongType, "write is before the word"},
		{"a condition compared", "read x : V\nlet hot = x above 3 V\noutcome odd when ^hot above 3" + rest, dsl.CodeWrongType, "join conditions by and, or, not"},
		{"a serial compared with a number", "applies when ^serial at least 40000", dsl.CodeWrongType, `at least "H40000"`},
		{"a day in quotes", `applies when ^built at least "2001-01-01"`, dsl.CodeWrongType, "at least 2001-01-01"},
		{"a day compared with is", "applies when ^built is 2001", dsl.CodeWrongType, "write at least, at most or equals before a day"},
		{"a word that is none", "applies when size is ^smal", dsl.CodeUnknownWord, "did you mean small?"},
		{"a quantity that is none", "applies when nominal is ^13 V", dsl.CodeUnknownWord, "nominal is never 13 V; known here: 12 V, 24 V"},
		{"a quantity of another kind", "applies when nominal is ^12 A", dsl.CodeDimension, "a voltage is wanted here"},
		{"a word for a quantity", "applies when nominal is ^low", dsl.CodeUnknownWord, "write is 2 V"},
		{"any of a quantity", "applies when nominal ^is any", dsl.CodeWrongType, "say what it is"},
		{"a name that is none", "applies when ^sizes is small", dsl.CodeUnknownName, "did you mean size?"},
		{"a unit that is none", "read x : V\noutcome odd when ^fron.rest.volts is low" + rest, dsl.CodeUnknownName, "did you mean front?"},
		{"a test that an included unit lacks", "read x : V\noutcome odd when ^front.rst.volts is low" + rest, dsl.CodeUnknownName, "front (a cell) has no test rst"},
		{"a reading where attributes are wanted", "read x : V\n^applies when x above 3 V", dsl.CodeMisplaced, "speak of attributes here"},
		{"a condition where attributes are wanted", "^applies when supply above 3 V", dsl.CodeMisplaced, "write needs"},
	}, inTest)
	requireSlips(t, []slip{
		{"a condition outside of a test", `require ^supply above 3 V "x"`, dsl.CodeMisplaced, "use an attribute"},
		{"a reading as a requirement", `require ^t.x above 3 V "x"`, dsl.CodeMisplaced, "known before any reading"},
		{"a value as a requirement", `require ^rated "x"`, dsl.CodeWrongType, "say something of it"},
		{"attributes of two kinds", `require front.charge equals ^nominal "x"`, dsl.CodeDimension, "a current is wanted here"},
	}, inFamily)
}

func TestFindingsOfDualUnits(t *testing.T) {
	requireSlips(t, []slip{
		{"ten times too much", "read x : mm\nlimit x at most ^0.8 mm (0.31 in)", dsl.CodeDualUnits, "0.8 mm is 0.03 in, not 0.31 in"},
		{"ten times too little", "read x : mm\nlimit x at most ^12.7 mm (0.05 in)", dsl.CodeDualUnits, "12.7 mm is 0.50 in, not 0.05 in"},
		{"a digit exchanged", "read x : °C\nlimit x at most ^20 °C (86 °F)", dsl.CodeDualUnits, "20 °C is 68 °F, not 86 °F"},
		{"a fraction", "read x : mm\nlimit x at most ^5 mm (1/4 in)", dsl.CodeDualUnits, "5 mm is 0.197 in, not 1/4 in"},
		{"rounded down", "read x : mm\nlimit x at most ^0.31 in (7.8 mm)", dsl.CodeDualUnits, "0.31 in is 7.9 mm"},
		{"after ±", "read x : mm\nlimit x 5 mm ± ^0.5 mm (0.2 in)", dsl.CodeDualUnits, "0.5 mm is 0.02 in"},
		{"a temperature after ±", "read x : °C\nlimit x 20 °C ± ^5 °C (41 °F)", dsl.CodeDualUnits, "5 °C is 9"},
		{"alike", "read x of phase : mm\nlimit x alike ^0.5 mm (0.2 in) by span", dsl.CodeDualUnits, "0.5 mm is 0.02 in"},
		{"in a row", "read x : mm\nlimit x along winding_temp linear { row 20 °C : at most ^0.5 mm (0.2 in) }", dsl.CodeDualUnits, "0.5 mm is 0.02 in"},
		{"in a grade", "read x : mm\ngrade x : bad below ^5 mm (0.02 in) | good", dsl.CodeDualUnits, "5 mm is 0.20 in"},
		{"another quantity", "read x : mm\nlimit x at most 0.31 in (^7.9 V)", dsl.CodeDimension, "a length is wanted here"},
	}, inTest)
	requireSound(t, map[string]string{
		"rounded":                 "read x : mm\nlimit x at most 0.010 in (0.25 mm)",
		"exact":                   "read x : mm\nlimit x at most 0.5 in (12.7 mm)",
		"the other way round":     "read x : mm\nlimit x at most 0.31 in (7.9 mm)",
		"temperatures":            "read x : °C\nlimit x at most 20 °C (68 °F)",
		"below zero":              "read x : °C\nlimit x at least -40 °C (-40 °F)",
		"a difference":            "read x : °C\nlimit x 20 °C ± 5 °C (9 °F)",
		"an exact fraction":       "read x : mm\nlimit x at most 6.35 mm (1/4 in)",
		"a fraction to a tenth":   "read x : mm\nlimit x at most 6.4 mm (1/4 in)",
		"a fraction first":        "read x : mm\nlimit x at least 7/16 in (11.1 mm)",
		"a mixed number":          "read x : mm\nlimit x at most 2-3/16 in (55.6 mm)",
		"torque":                  "read x : N·m\nlimit x 20 N·m (15 lbf·ft) to 27 N·m (20 lbf·ft)",
		"both bounds of a range":  "read x : mm\nlimit x 0.5 mm (0.020 in) to 0.8 mm (0.031 in)",
		"the same in both places": "read x : mm\nlimit x at most 0.15 mm (0.006 in) new at most 0.05 mm (0.002 in)",
	}, inTest)
}

// TestExpressionsAreSound lists what may be written.
func TestExpressionsAreSound(t *testing.T) {
	const rest = "\noutcome odd otherwise"
	requireSound(t, map[string]string{
		"frequency over speed is a pure number": "read f : Hz\nread n : rpm\nlet slip = 2 * f / (12 * n)\nlimit slip at most 1.05",
		"a difference of temperatures":          "read x : °C\nlet rise = x - 20 °C\nlimit rise at most 60 K",
		"a span of temperatures":                "read x of phase : °C\nlet y = span(x)\nlimit y at most 5 K",
		"a single value with a list":            "read x of phase : V\nlet y = x - supply\nlimit y at most 3 V",
		"one position":                          "read x of phase : V\nlet y = x[u] - x[w]\nlimit y at most 3 V",
		"a condition by name":                   "read x : V\nlet hot = x above 3 V\noutcome good when not hot" + rest,
		"count of words":                        "read x of phase : good | burnt\nlet n = count(x is burnt)\nlimit n at most 1",
		"count of a condition by name":          "read x of phase : V\nlet wide = x above 3 V\nlet n = count(wide)\nlimit n at most 1",
		"each, any, alike":                      "read x of phase : V\noutcome good when each x within 3 to 5 V and not any x above 4 V and x alike 3 % by mean" + rest,
		"an outcome of another test":            "let low = other.y is good\noutcome good when low" + rest,
		"an outcome of an included unit":        "read x : V\noutcome good when front.rest.volts is good and rear.rest.w[p] is good" + rest,
		"alike by name":                         "read x of phase : V\nlimit x alike 3 % by mean\noutcome good when x.alike is good" + rest,
		"an attribute of an included unit":      "read x : A\nlimit x within front.charge ± 10 %",
		"texts and words":                       "applies when suffix is B | \"C 2\" and size is not small and serial at least \"H40000\" and built below 2001-01-01",
		"power":                                 "read f : N·m\nread n : rpm\nlet p = power(f, n)\nlimit p at least 1.1 kW",
		"a formula as a bound":                  "read x : V\nread z : V\nlimit x at most z + 0.3 V",
		"twenty millivolts for each kelvin":     "read x : V\nlimit x within 28.2 V - 20 mV/K * (winding_temp - 25 °C) ± 0.4 V",
	}, inTest)
}

// TestAdoptedUnits: the first bound of a range takes the unit of the second, as every sheet prints it.
func TestAdoptedUnits(t *testing.T) {
	for _, test := range []struct {
		limit, unit string
		within      []string
		outside     []string
	}{
		{"2.4 to 2.8 Ω", "Ω", []string{"2.4 Ω", "2800 mΩ"}, []string{"2.39 Ω", "2.81 Ω"}},
		{"2.6 ± 0.2 Ω", "Ω", []string{"2.40 Ω", "2.80 Ω"}, []string{"2.39 Ω"}},
		{"2.6 Ω ± 10 %", "Ω", []string{"2.34 Ω", "2.86 Ω"}, []string{"2.33 Ω", "2.87 Ω"}},
		{"20 ± 5 °C", "°C", []string{"15 °C", "77 °F"}, []string{"14.9 °C", "78 °F"}},
		{"68 °F ± 9 °F", "°C", []string{"15 °C", "25 °C"}, []string{"14.9 °C", "25.1 °C"}},
		{"-20 to 40 °C", "°C", []string{"-20 °C", "104 °F"}, []string{"-21 °C"}},
		{"1/4 to 1/2 in", "mm", []string{"6.35 mm", "12.7 mm"}, []string{"6.34 mm", "12.71 mm"}},
		{"90 % ± 5 %", "ratio", []string{"85 %", "0.95"}, []string{"84 %", "96 %"}},
		{"2 to 3", "count", []string{"2", "3"}, []string{"1", "4"}},
	} {
		for want, readings := range map[eval.Result][]string{eval.Pass: test.within, eval.Fail: test.outside} {
			for _, r := range readings {
				sheet := family("read x : "+test.unit+"\nlimit x "+test.limit, "taken t.x "+r)
				require.Equal(t, want, checked(t, sheet, "t.x").Result(), "%s against %s", r, test.limit)
			}
		}
	}
	requireSlips(t, []slip{
		{"not what is read", "read x : V\nlimit x ^2.4 to 2.8 Ω", dsl.CodeDimension, "a voltage is wanted here"},
		{"a percentage gives no unit", "read x : Ω\nlimit x ^2.4 ± 5 %", dsl.CodeDimension, "write the number with its unit, such as 2.4 Ω"},
		{"the second bound adopts nothing", "read x : V\nlimit x 2 V to ^3", dsl.CodeDimension, "write the number with its unit, such as 3 V"},
		{"a tolerance of another kind", "read x : °C\nlimit x 20 °C ± ^5 V", dsl.CodeDimension, "a temperature difference is wanted here"},
		{"a negative tolerance", "read x : V\nlimit x 20 V ± ^-5 V", dsl.CodeBadLimit, "not negative"},
	}, inTest)
}

// TestListFunctions: checks.md has no figures for these; they are arithmetic.
func TestListFunctions(t *testing.T) {
	for formula, want := range map[string]string{
		"highest(x)":          "94 mΩ",
		"lowest(x)":           "83 mΩ",
		"middle(x)":           "92 mΩ",
		"sum(x)":              "269 mΩ",
		"span(x)":             "11 mΩ",
		"abs(x[w] - x[u])":    "9 mΩ",
		"3 * mean(x)":         "269 mΩ",
		"highest(x - x[w])":   "11 mΩ",
		"highest(x) - x[v]":   "0 mΩ",
		"(x[u] + 3 * x[v])/2": "187 mΩ",
	} {
		sheet := family("read x of phase : mΩ\nlet y = "+formula+"\nlimit y "+want+" ± 0.01 mΩ", "taken t.x (92.000 94.000 83.000 mΩ)")
		require.Equal(t, eval.Pass, checked(t, sheet, "t.y").Result(), formula)
	}
	for formula, want := range map[string]string{"count(x above 90 mΩ)": "2", "count(x is 83 mΩ)": "1", "count(x within 80 to 95 mΩ)": "3", "count(x is not 83 mΩ)": "2"} {
		sheet := family("read x of phase : mΩ\nlet y = "+formula+"\nlimit y equals "+want, "taken t.x (92.000 94.000 83.000 mΩ)")
		require.Equal(t, eval.Pass, checked(t, sheet, "t.y").Result(), formula)
	}
}

// TestFormulaOverOutcomes: a formula may ask for the outcome of another test.
func TestFormulaOverOutcomes(t *testing.T) {
	sheet := func(volts string) string {
		return `brushgear 1
family unit "Unit" {
  test first "First" { read x : V  limit x at most 5 V }
  test second "Second" { read y : V  let fine = first.x is good  outcome good when fine and y above 1 V  outcome odd otherwise }
}
record "r" of unit { judge 2026-03-02 taken first.x ` + volts + ` taken second.y 2 V }`
	}
	require.Equal(t, eval.Pass, checked(t, sheet("4 V"), "second").Result())
	require.Equal(t, eval.Fail, checked(t, sheet("6 V"), "second").Result())
	require.Equal(t, eval.NotDecidable, checked(t, sheet("missing"), "second").Result())
}

// TestSerialIs: serials are compared without blanks and dashes, whatever the predicate.
func TestSerialIs(t *testing.T) {
	sheet := func(serial, condition string) string {
		return `brushgear 1
family unit "Unit" { test a "A" { applies when ` + condition + ` read x : V  limit x at most 5 V } }
record "r" of unit { serial "` + serial + `" judge 2026-03-02 taken a.x 4 V }`
	}
	for _, test := range []struct {
		serial, condition string
		want              eval.Result
	}{
		{"H 40 000", `serial is "H40000"`, eval.Pass},
		{"h40000", `serial is "H41000" | "H-40000"`, eval.Pass},
		{"H40001", `serial is "H40000"`, eval.NotApplicable},
		{"H40001", `serial is not "H40000"`, eval.Pass},
		{"H40000", `serial is not "H40000"`, eval.NotApplicable},
		{"K9", `serial is "H40000"`, eval.NotDecidable},
	} {
		require.Equal(t, test.want, checked(t, sheet(test.serial, test.condition), "a.x").Result(), "%s: %s", test.serial, test.condition)
	}
}
