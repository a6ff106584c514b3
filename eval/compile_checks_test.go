package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
)

func TestFindingsOfLimits(t *testing.T) {
	requireSlips(t, []slip{
		{"another kind of quantity", "read x : A\nlimit x at most ^5 Ω", dsl.CodeDimension, "this is a resistance, and a current is wanted here; write a current, such as 2 A"},
		{"coulomb for Celsius", "read x : °C\nlimit x at most ^20 C", dsl.CodeDimension, "write °C"},
		{"farad for Fahrenheit", "read x : °C\nlimit x at most ^80 F", dsl.CodeDimension, "write °F"},
		{"no unit", "read x : V\nlimit x at most ^5", dsl.CodeDimension, "write the number with its unit, such as 5 V"},
		{"no unit where the reading has its own", "read x : mm\nlimit x at least ^3", dsl.CodeDimension, "write the number with its unit, such as 3 mm"},
		{"no unit, and what names its outcomes", "read x : mm\nlimit x at least ^3\noutcome good when x is low or x is worn\noutcome odd otherwise", dsl.CodeDimension, "such as 3 mm"},
		{"a unit for a count", "read x : count\nlimit x at most ^5 V", dsl.CodeDimension, "write a count, such as 2"},
		{"a speed for a frequency", "read x : Hz\nlimit x at most ^5 rpm", dsl.CodeDimension, "a frequency is wanted here"},
		{"a misspelt value", "read current : A\nlimit ^curent at most 5 A", dsl.CodeUnknownName, "did you mean current?"},
		{"a value of a pair", "read x both ways : V\nlimit ^x at most 5 V", dsl.CodeUnknownName, "write t.x.forward or t.x.back"},
		{"a part of a value", "read x : V\nlimit ^x.max at most 5 V", dsl.CodeUnknownName, "write x alone"},
		{"a range backwards", "read x : V\nlimit x ^5 to 3 V", dsl.CodeBadLimit, "smaller value first"},
		{"bounds of a word", "read x : good | bad\n^limit x at most 3 V", dsl.CodeWrongType, "write limit x is good"},
		{"words of a number", "read x : V\nlimit x ^is free", dsl.CodeWrongType, "write at least, at most, equals or a range"},
		{"a word that is none", "read x : free | drags\nlimit x is ^drag", dsl.CodeUnknownWord, "did you mean drags?"},
		{"a limit of a condition by name", "read x : V\nlet hot = x above 3 V\n^limit hot is good", dsl.CodeWrongType, "write outcome good when hot"},
		{"a limit of a text", "read x : text\n^limit x is good", dsl.CodeWrongType, "list the words that it can be"},
		{"a list as a bound", "read x : V\nread y of phase : V\nlimit x at most ^y", dsl.CodeWrongType, "reduce the list"},
		{"a list as a bound of its like", "read x of phase : V\nread y of phase : V\nlimit x at most ^y", dsl.CodeWrongType, "take one position"},
		{"steady in a list of words", "read x : V\nlimit x ^is steady | rising", dsl.CodeWrongType, "has no words"},
		{"not steady", "read x : V\n^limit x is not steady", dsl.CodeBadLimit, "write limit x is steady alone"},
		{"steady under a condition", "read x : V\n^limit x is steady when size is small", dsl.CodeBadLimit, "write limit x is steady alone"},
		{"a single value that rises", "read x : V\nlimit x ^is rising", dsl.CodeBadLimit, "write read x at speed : A"},
		{"a new limit alone", "read x : V\n^limit x new at most 3 V", dsl.CodeBadLimit, "this limit has no bounds"},
		{"a new limit that is wider", "read x : mm\nlimit x at most 0.05 mm new ^at most 0.15 mm", dsl.CodeBadLimit, "wider than that of a used one"},
		{"a new limit of words", "read x : good | bad\n^limit x is good new at most 3 V", dsl.CodeBadLimit, "a limit on words has no new, at or along"},
		{"a position that is none", "read x of phase : V\nlimit ^x[a] at most 3 V", dsl.CodeIndex, "known here: u, v, w"},
		{"one word for two", "read x of phase, side : V\nlimit ^x[u] at most 3 V", dsl.CodeIndex, "name one of each: phase, side"},
		{"a word for a number", "read x of bar : V\nlimit ^x[u] at most 3 V", dsl.CodeIndex, "write a number from 1 up"},
		{"a number before the first", "read x of bar : V\nlimit ^x[0] at most 3 V", dsl.CodeIndex, "write a number from 1 up"},
		{"half a number", "read x of bar : V\nlimit ^x[1.5] at most 3 V", dsl.CodeIndex, "write a number from 1 up"},
		{"a number behind the last", "positions pin : 1 to 4\nread x of pin : V\nlimit ^x[5] at most 3 V", dsl.CodeIndex, "write a number from 1 to 4"},
		{"a position of no list", "read x : V\nlimit ^x[u] at most 3 V", dsl.CodeIndex, "leave the brackets out"},
		{"a source that is none", "read x : V\nlimit x at most 3 V per ^nowhere", dsl.CodeUnknownName, "known here: later, old, recent"},
	}, inTest)
	requireSlips(t, []slip{
		{"no value", "limit ^t at most 3 V", dsl.CodeUnknownName, "write limit t.value"},
		{"a test that is none", "limit ^looks.c is good", dsl.CodeUnknownName, "did you mean look?"},
		{"a value that is none", "limit ^t.z at most 3 V", dsl.CodeUnknownName, "test t has no value z"},
		{"a condition", "limit ^supply at most 3 V", dsl.CodeMisplaced, "write needs supply within"},
		{"an included unit", "limit ^front.rest.volts at least 11 V", dsl.CodeMisplaced, "in a family of kind cell"},
	}, inFamily)
}

func TestFindingsOfAlike(t *testing.T) {
	requireSlips(t, []slip{
		{"a single value", "read x : Ω\nlimit x ^alike 3 % by mean", dsl.CodeWrongType, "read x of phase"},
		{"words", "read x of phase : low | good\nlimit x ^alike 3 % by mean", dsl.CodeWrongType, "a list of numbers"},
		{"a table", "read x at speed : V\nlimit x ^alike 3 % by mean", dsl.CodeWrongType, "a list of numbers"},
		{"another measure", "read x of phase : Ω\nlimit x alike 3 % by ^average", dsl.CodeUnknownWord, "write mean, span, least or median"},
		{"a tolerance of another kind", "read x of phase : Ω\nlimit x alike ^3 V by mean", dsl.CodeDimension, "a resistance is wanted here"},
		{"a tolerance that is a list", "read x of phase : Ω\nread z of phase : Ω\nlimit x alike ^z by mean", dsl.CodeWrongType, "a tolerance is one value"},
		{"a position", "read x of phase : Ω\nlimit ^x[u] alike 3 % by mean", dsl.CodeIndex, "leave the brackets out"},
		{"a reference", "read x of phase : Ω\ncorrect x by copper from winding_temp\n^limit x alike 3 % by mean at winding_temp 20 °C", dsl.CodeBadLimit, "alike has no new, at or along"},
		{"pitch without it", "read x of bar : V\n^pitch bars / 2", dsl.CodeMisplaced, "write the alike limit first"},
		{"pitch of another kind", "read x of bar : V\nlimit x alike 3 % by mean\npitch ^3 V", dsl.CodeDimension, "a count is wanted here"},
		{"pitch by a reading", "read x of bar : V\nread z : V\nlimit x alike 3 % by mean\npitch bars / 2 when ^z above 3 V", dsl.CodeMisplaced, "known before any reading"},
	}, inTest)
}

func TestFindingsOfCurves(t *testing.T) {
	along := func(rows string) string { return "read x : V\nread z : V\nlimit x along " + rows }
	requireSlips(t, []slip{
		{"a condition that is none", along("^wnding_temp linear { row 20 °C : at most 3 V }"), dsl.CodeUnknownName, "did you mean winding_temp?"},
		{"an attribute", along("^rated linear { row 20 A : at most 3 V }"), dsl.CodeUnknownName, "there is no condition rated"},
		{"a condition of words", along("^bypass linear { row 20 : at most 3 V }"), dsl.CodeWrongType, "name a condition with a unit"},
		{"rows that fall", along("winding_temp linear { row 20 °C : at most 3 V ^row 10 °C : at most 4 V }"), dsl.CodeBadLimit, "order them from the lowest winding_temp up"},
		{"rows alike", along("winding_temp steps { row 20 °C : at most 3 V ^row 68 °F : at most 4 V }"), dsl.CodeBadLimit, "the rows must rise"},
		{"rows with different bounds", along("winding_temp linear { row 20 °C : at most 3 V ^row 30 °C : at least 4 V }"), dsl.CodeBadLimit, "give every row the same"},
		{"an open row within", along("winding_temp linear { ^row 20 °C up : at most 3 V row 30 °C : at most 4 V }"), dsl.CodeBadLimit, "leave up out"},
		{"an open row at the wrong end", along("winding_temp linear { row 20 °C : at most 3 V ^row 30 °C down : at most 4 V }"), dsl.CodeBadLimit, "leave down out"},
		{"a row of another kind", along("winding_temp linear { row ^20 V : at most 3 V }"), dsl.CodeDimension, "such as 20 °C"},
		{"a bound of another kind", along("winding_temp linear { row 20 °C : at most ^3 A }"), dsl.CodeDimension, "a voltage is wanted here"},
		{"a bound that is a reading", along("winding_temp linear { ^row 20 °C : at most z }"), dsl.CodeBadLimit, "written in numbers"},
		{"a word in a row", along("winding_temp linear { row 20 °C : ^is good }"), dsl.CodeBadLimit, "no bound for a number"},
		{"no rows", "read x : V\nlimit x ^along winding_temp linear { }", dsl.CodeBadLimit, "write row 25 °C"},
		{"bounds as well", "read x : V\n^limit x at most 3 V along winding_temp linear { row 20 °C : at most 3 V }", dsl.CodeBadLimit, "either bounds or rows"},
		{"a table along words", "read x at ^bypass : V", dsl.CodeWrongType, "name a condition with a unit"},
		{"a table along an attribute", "read x at ^rated : V", dsl.CodeUnknownName, "there is no condition rated"},
		{"a table of words", "read x at speed : ^low | good", dsl.CodeWrongType, "one of numbers"},
		{"a table of positions", "read ^x of phase at speed : V", dsl.CodeWrongType, "has no positions"},
		{"a grade of a table", "read x at speed : V\ngrade ^x : low below 3 V | good", dsl.CodeWrongType, "cannot be graded"},
	}, inTest)
}

func TestFindingsOfOutcomes(t *testing.T) {
	requireSlips(t, []slip{
		{"cuts that fall", "read x : V\ngrade x : a below 5 V | ^b below 4 V | good", dsl.CodeOutcomeRows, "lowest value up"},
		{"a cut of another kind", "read x : V\ngrade x : a below ^3 A | good", dsl.CodeDimension, "a voltage is wanted here"},
		{"a cut that is a list", "read x : V\nread y of phase : V\ngrade x : a below ^y | good", dsl.CodeWrongType, "a cut is one value"},
		{"no cut", "read x : V\ngrade x : ^a | good", dsl.CodeOutcomeRows, "write a below 5 mm"},
		{"a cut too many", "read x : V\ngrade x : a below 3 V | ^good below 4 V", dsl.CodeOutcomeRows, "takes in all that is above"},
		{"no outcome that passes", "read x : V\n^grade x : a below 5 V | b", dsl.CodeOutcomeRows, "name one good, or write as pass"},
		{"one word with two results", "read x : V\ngrade x : a below 3 V | ^a as pass below 5 V | good", dsl.CodeOutcomeRows, "write the same as behind both"},
		{"a result as an outcome", "read x : V\ngrade x : ^fail below 3 V | good", dsl.CodeOutcomeName, "write as fail behind it"},
		{"an unknown result", "read x : V\ngrade x : a as ^failed below 3 V | good", dsl.CodeUnknownWord, "write pass, marginal, fail or not_valid"},
		{"a value that is none", "read x : V\ngrade ^y : a below 3 V | good", dsl.CodeUnknownName, "known here: x"},
		{"a part of a value", "read x of phase : V\ngrade ^x.alike : a below 3 V | good", dsl.CodeUnknownName, "write x alone"},
		{"a word", "read x : a | good\ngrade ^x : a below 3 V | good", dsl.CodeWrongType, "cannot be graded"},
		{"a position", "read x of phase : V\ngrade ^x[u] : a below 3 V | good", dsl.CodeIndex, "the whole list"},
		{"two grades", "read x : V\ngrade x : a below 3 V | good\n^grade x : b below 3 V | good", dsl.CodeLimitConflict, "let other = x"},
		{"a limit after a grade", "read x : V\ngrade x : a below 3 V | good\n^limit x at most 3 V", dsl.CodeLimitConflict, "let other = x"},
		{"a grade after a limit", "read x : V\nlimit x at most 3 V\n^grade x : a below 3 V | good", dsl.CodeLimitConflict, "let other = x"},
		{"no otherwise", "read x : V\n^outcome good when x below 5 V", dsl.CodeOutcomeRows, "end them with outcome odd otherwise"},
		{"a row after otherwise", "read x : V\noutcome good otherwise\n^outcome a when x above 5 V", dsl.CodeOutcomeRows, "move it up"},
		{"a row with two results", "read x : V\noutcome a as pass when x above 5 V\n^outcome a when x above 3 V\noutcome good otherwise", dsl.CodeOutcomeRows, "write the same as behind both"},
		{"a row that is a result", "read x : V\noutcome ^pass when x above 5 V\noutcome good otherwise", dsl.CodeOutcomeName, "name what was seen"},
		{"rows of which none passes", "read x : V\n^outcome a when x above 5 V\noutcome b otherwise", dsl.CodeOutcomeRows, "no outcome passes"},
	}, inTest)
}

func TestTooManyOutcomes(t *testing.T) {
	stmts := "read x : count\n"
	for _, c := range "abcdefghijklmnopqrstuvwxyz" {
		stmts += "outcome " + string(c) + "1 when x equals 1\noutcome " + string(c) + "2 when x equals 2\n"
	}
	_, list := compileSheet(t, inTest(stmts+"outcome good otherwise"))
	require.NotEmpty(t, list)
	for _, d := range list {
		require.Contains(t, []dsl.Code{dsl.CodeOutcomeRows}, d.Code, d.Error())
	}
}

func TestFindingsOfNeeds(t *testing.T) {
	requireSlips(t, []slip{
		{"a condition that is none", "needs ^suply\nread x : V", dsl.CodeUnknownName, "there is no condition or test suply; did you mean supply?"},
		{"a range of a condition that is none", "needs ^suply within 12 V ± 1 V\nread x : V", dsl.CodeUnknownName, "did you mean supply?"},
		{"a test that is none", "needs ^others is good\nread x : V", dsl.CodeUnknownName, "did you mean other?"},
		{"a unit that is none", "needs ^frontt.rest is good\nread x : V", dsl.CodeUnknownName, "there is no condition or test frontt.rest"},
		{"a test that a unit lacks", "needs ^front.rst is good\nread x : V", dsl.CodeUnknownName, "front (a cell) has no test rst"},
		{"a part of a condition", "needs ^supply.max\nread x : V", dsl.CodeUnknownName, "write supply alone"},
		{"what it reads itself", "read x : V\nneeds ^x at most 5 V", dsl.CodeCircle, "write a limit"},
		{"itself", "read x : V\nlimit x at most 5 V\nneeds ^t is good", dsl.CodeCircle, "a test of its own"},
		{"a number of another test", "needs ^other.y at most 5 A\nread x : V", dsl.CodeWrongType, "write needs other.y is good"},
		{"an outcome that is none", "needs ^other.y is low\nread x : V", dsl.CodeUnknownOutcome, "known here: good, high"},
		{"a value without a limit", "needs ^other.free is good\nread x : V", dsl.CodeUnknownOutcome, "write a limit"},
		{"a word that is none", "needs bypass is ^opn\nread x : V", dsl.CodeUnknownWord, "known here: closed, open"},
		{"a range of another kind", "needs supply within ^12 A ± 1 A\nread x : V", dsl.CodeDimension, "a voltage is wanted here"},
	}, inTest)
	requireSound(t, map[string]string{
		"bare":             "needs supply, winding_temp\nread x : V",
		"in a range":       "needs supply within 12 V ± 0.2 V, speed at least 3000 rpm\nread x : V",
		"by an attribute":  "needs rated at least 20 A\nread x : A",
		"a word":           "needs bypass is open\nread x : V",
		"a gate":           "needs other is good, front.rest is good, front.rest.w[p] is not high\nread x : V",
		"beside a reading": "read x : V\nneeds supply at least x",
	}, inTest)
}

func TestFindingsOfTests(t *testing.T) {
	requireSlips(t, []slip{
		{"two values", "read x : V\nread ^x : A\nlimit x at most 3 V", dsl.CodeDuplicateName, "test t has two values x"},
		{"a formula like a reading", "read x : V\nlet ^x = 3 V", dsl.CodeDuplicateName, "test t has two values x"},
		{"a type that is none", "read x : ^Vlt\nlimit x at most 5 V", dsl.CodeUnknownUnit, "write a unit, ratio, count"},
		{"positions that are none", "read x of ^phse : V\nlimit x alike 3 % by mean", dsl.CodeUnknownName, "did you mean phase?"},
		{"positions named otherwise", "positions ^phase : a, b\nread x of phase : V", dsl.CodeDuplicateName, "and they differ"},
		{"an instrument that is none", "read x : Ω with ^ohmeter", dsl.CodeUnknownName, "did you mean ohmmeter?"},
		{"an instrument of another kind", "read x : V with ^ohmmeter", dsl.CodeDimension, "ohmmeter shows a resistance, and a voltage is wanted here"},
		{"an instrument for words", "read x : low | good with ^ohmmeter", dsl.CodeWrongType, "leave with ohmmeter out"},
		{"an instrument that hurts", "examines rotor\nread ^x : Ω with ohmmeter", dsl.CodeMisplaced, "ohmmeter is forbidden on rotor"},
		{"a stage that is none", "stage ^open\nread x : V", dsl.CodeUnknownName, "known here: opened"},
		{"a caution that is none", "caution ^spin\nread x : V", dsl.CodeUnknownName, "declare it first"},
		{"a test that is none spoilt", "spoils ^othr\nread x : V", dsl.CodeUnknownName, "did you mean other?"},
		{"a part that is none", "examines ^rotr\nread x : V", dsl.CodeUnknownName, "did you mean rotor?"},
		{"a terminal that is none", "across stud to ^stad\nread x : V", dsl.CodeUnknownName, "did you mean stud?"},
		{"a terminal by a reading", "read x : V\nacross stud to stud when ^x above 3 V", dsl.CodeMisplaced, "known before any reading"},
		{"an echo of nothing", "echoes ^othr\nread x : V", dsl.CodeUnknownName, "did you mean other?"},
		{"an echo of itself", "echoes ^t\nread x : V", dsl.CodeCircle, "name another test"},
		{"two times", "takes 5 min ^takes 6 min\nread x : V", dsl.CodeDuplicateName, "takes stands twice in test t"},
		{"a time below zero", "takes ^-5 min\nread x : V", dsl.CodeBadNumber, "a time is not below zero; write 5 min"},
		{"a limit at two temperatures", "read x : Ω\ncorrect x by copper from winding_temp\nlimit x at most 3 Ω at winding_temp 20 °C, ^winding_temp 60 °C", dsl.CodeDuplicateName, "a limit is given at one winding_temp"},
		{"no time", "takes ^5 V\nread x : V", dsl.CodeDimension, "a time is wanted here"},
		{"a run of no time", "run at most ^5 V\nread x : V", dsl.CodeDimension, "a time is wanted here"},
		{"a rest of no time", "run at most 5 s rest ^5 V\nread x : V", dsl.CodeDimension, "a time is wanted here"},
		{"after no time", "read x : V after ^5 V", dsl.CodeDimension, "a time is wanted here"},
		{"a number of nothing", "takes ^5 digits\nread x : V", dsl.CodeBadNumber, "write a number with its unit"},
	}, inTest)
}

func TestFindingsOfCorrections(t *testing.T) {
	const limit = "\nlimit x at most 3 Ω at winding_temp 20 °C"
	requireSlips(t, []slip{
		{"a reference without a law", "read x : Ω\n^limit x at most 3 Ω at winding_temp 20 °C", dsl.CodeNoCorrection, "write correct x by copper from winding_temp"},
		{"a reference of another kind", "read x : Ω\ncorrect x by copper from winding_temp\nlimit x at most 3 Ω at winding_temp ^20 V", dsl.CodeDimension, "such as 20 °C"},
		{"a reference to no condition", "read x : Ω\nlimit x at most 3 Ω at ^wnding_temp 20 °C", dsl.CodeUnknownName, "did you mean winding_temp?"},
		{"a reference to words", "read x : Ω\nlimit x at most 3 Ω at ^bypass 20 °C", dsl.CodeWrongType, "name a condition with a unit"},
		{"a law that is none", "read x : Ω\ncorrect x by ^coper from winding_temp" + limit, dsl.CodeUnknownLaw, "did you mean copper?"},
		{"a condition that is none", "read x : Ω\ncorrect x by copper from ^wnding_temp" + limit, dsl.CodeUnknownName, "did you mean winding_temp?"},
		{"an attribute", "read x : Ω\ncorrect x by copper from ^rated" + limit, dsl.CodeUnknownName, "there is no condition rated"},
		{"a condition of words", "read x : Ω\ncorrect x by copper from ^bypass" + limit, dsl.CodeWrongType, "name a condition with a unit"},
		{"a value that is none", "read x : Ω\ncorrect ^y by copper from winding_temp", dsl.CodeUnknownName, "known here: x"},
		{"a word", "read x : low | good\ncorrect ^x by copper from winding_temp", dsl.CodeWrongType, "nothing to correct"},
		{"a table", "read x at speed : Ω\ncorrect ^x by copper from winding_temp", dsl.CodeWrongType, "nothing to correct"},
		{"copper of a voltage", "read x : V\n^correct x by copper from winding_temp", dsl.CodeUnknownLaw, "a resistance, or a current at constant voltage"},
		{"copper by a voltage", "read x : Ω\n^correct x by copper from supply", dsl.CodeUnknownLaw, "it needs a temperature"},
		{"copper with a coefficient", "read x : Ω\n^correct x by copper (3) from winding_temp", dsl.CodeUnknownLaw, "it takes nothing in brackets"},
		{"proportional to a temperature", "read x : A\n^correct x by proportional from winding_temp", dsl.CodeUnknownLaw, "no true zero"},
		{"ohmic by a temperature", "read x : V\n^correct x by ohmic from winding_temp", dsl.CodeUnknownLaw, "no true zero"},
		{"proportional with a coefficient", "read x : A\n^correct x by proportional (3 V) from supply", dsl.CodeUnknownLaw, "it takes nothing in brackets"},
		{"insulation of a current", "read x : A\n^correct x by insulation from winding_temp to 40 °C", dsl.CodeUnknownLaw, "an insulation resistance by a temperature"},
		{"linear without a coefficient", "read x : V\n^correct x by linear from winding_temp to 25 °C", dsl.CodeUnknownLaw, "its coefficient in brackets"},
		{"linear of another value", "read x : A\n^correct x by linear (20 mV per 1 K) from winding_temp to 25 °C", dsl.CodeUnknownLaw, "its coefficient must be current per temperature difference"},
		{"linear by another step", "read x : V\n^correct x by linear (20 mV per 1 A) from winding_temp to 25 °C", dsl.CodeUnknownLaw, "its coefficient must be voltage per temperature difference"},
		{"linear without a step", "read x : V\n^correct x by linear (20 mV) from winding_temp to 25 °C", dsl.CodeUnknownLaw, "its coefficient must be voltage per temperature difference"},
		{"linear by no step", "read x : V\ncorrect x by linear (20 mV per ^0 K) from winding_temp to 25 °C", dsl.CodeUnknownLaw, "write per 1 K"},
		{"linear by a list", "read x : V\nread z of phase : V\ncorrect x by linear (^z per 1 K) from winding_temp to 25 °C", dsl.CodeWrongType, "what a law takes is one value"},
		{"back_emf of a current", "read x : A\nlet drop = 1 V\n^correct x by back_emf (drop) from supply", dsl.CodeUnknownLaw, "it corrects a speed"},
		{"back_emf with a resistance", "read x : rpm\nread r : Ω\n^correct x by back_emf (r) from supply", dsl.CodeUnknownLaw, "the drop inside the motor"},
		{"to another kind", "read x : Ω\ncorrect x by copper from winding_temp to ^20 V", dsl.CodeDimension, "such as 20 °C"},
		{"twice by one condition", "read x : Ω\ncorrect x by copper from winding_temp\n^correct x by aluminium from winding_temp" + limit, dsl.CodeUnknownLaw, "twice; leave one out"},
	}, inTest)
	requireSound(t, map[string]string{
		"current by voltage and temperature": "read x : A\ncorrect x by proportional from supply\ncorrect x by copper from winding_temp\nlimit x at most 3 A at supply 12 V, winding_temp 20 °C",
		"each member of a list":              "read x of phase : Ω\ncorrect x by copper from winding_temp\nlimit x at most 3 Ω at winding_temp 20 °C",
		"linear per kelvin":                  "read x : V\ncorrect x by linear (-20 mV per 1 K) from winding_temp to 25 °C\nlimit x at most 15 V",
		"linear per degree":                  "read x : V\ncorrect x by linear (-20 mV per 1 °C) from winding_temp to 25 °C\nlimit x at most 15 V",
		"linear as a quotient":               "read x : V\ncorrect x by linear (-20 mV/K) from winding_temp to 25 °C\nlimit x at most 15 V",
		"linear of a pure number":            "read x : ratio\ncorrect x by linear (0.004 per 10 °F) from winding_temp to 80 °F\nlimit x at least 1.2",
		"a formula":                          "read v : V\nread i : A\nlet r = v / i\ncorrect r by aluminium from winding_temp\nlimit r at most 3 Ω at winding_temp 20 °C",
		"back_emf":                           "read x : rpm\nread i : A\ncorrect x by back_emf (i * 12 mΩ) from supply\nlimit x at least 5000 rpm at supply 11 V",
	}, inTest)
}

// TestLimitsThatHoldAtOnce: conditions of one layer must exclude each other; the finding names a unit for which they do not.
func TestLimitsThatHoldAtOnce(t *testing.T) {
	two := func(a, b string) string {
		return "read x : V\nread z : V\nlimit x at most 3 V " + a + "\n^limit x at most 4 V " + b
	}
	requireSlips(t, []slip{
		{"no conditions", two("", ""), dsl.CodeLimitConflict, "two limits of t.x hold at once in family unit"},
		{"the same condition", two("when size is small", "when size is small"), dsl.CodeLimitConflict, "when size is small"},
		{"one of two words", two("when size is small | large", "when size is large"), dsl.CodeLimitConflict, "when size is large"},
		{"a condition beside none", two("", "when size is large"), dsl.CodeLimitConflict, "when size is large"},
		{"two attributes", two("when size is small", "when nominal is 24 V"), dsl.CodeLimitConflict, "when nominal is 24 V and size is small"},
		{"numbers that meet", two("when rated at most 40 A", "when rated at least 40 A"), dsl.CodeLimitConflict, "when rated is 40 A"},
		{"numbers between", two("when rated above 40 A", "when rated below 60 A"), dsl.CodeLimitConflict, "when rated is 50 A"},
		{"counts", two("when bars above 22", "when bars below 24"), dsl.CodeLimitConflict, "when bars is 23"},
		{"serials", two(`when serial at least "H400"`, `when serial at least "H700"`), dsl.CodeLimitConflict, `when serial is "H700"`},
		{"days", two("when built above 2001-01-01", "when built below 2001-01-03"), dsl.CodeLimitConflict, "when built is 2001-01-02"},
		{"texts", two("when suffix is A | B", "when suffix is B"), dsl.CodeLimitConflict, `when suffix is "B"`},
		{"readings", two("when z above 2 V", "when z above 3 V"), dsl.CodeLimitConflict, "when z is"},
		{"all positions and one", "read x of phase : V\nlimit x at most 3 V\n^limit x[u] at most 4 V", dsl.CodeLimitConflict, "hold at once"},
		{"alike twice", "read x of phase : V\nlimit x alike 3 % by mean\n^limit x alike 5 % by mean", dsl.CodeLimitConflict, "two limits of t.x.alike"},
		{"words twice", "read x : good | fair | bad\nlimit x is good\n^limit x is good | fair", dsl.CodeLimitConflict, "two limits of t.x"},
	}, inTest)
	requireSlips(t, []slip{
		{"variants by attributes", "variant a \"A\" when size is small { limit t.x at most 2 V }\nvariant b \"B\" when nominal is 12 V { ^limit t.x at most 3 V }", dsl.CodeLimitConflict, "when nominal is 12 V and size is small"},
		{"variants by serials", "variant a \"A\" when serial at least \"H4\" { limit t.x at most 2 V }\nvariant b \"B\" when serial at least \"H7\" { ^limit t.x at most 3 V }", dsl.CodeLimitConflict, `when serial is "H7"`},
		{"values of variants", "variant a \"A\" when size is small { set rated 2 A }\nvariant b \"B\" when nominal is 12 V { ^set rated 3 A }", dsl.CodeDuplicateName, "rated is set twice in variant b, when nominal is 12 V and size is small"},
		{"values", "set rated 3 A\n^set rated 4 A", dsl.CodeDuplicateName, "rated is set twice in family unit; leave one out"},
	}, inFamily)
	requireSound(t, map[string]string{
		"words that exclude each other": "read x : V\nlimit x at most 3 V when size is small\nlimit x at most 4 V when size is not small",
		"numbers that meet nowhere":     "read x : V\nlimit x at most 3 V when rated below 40 A\nlimit x at most 4 V when rated at least 40 A",
		"counts that meet nowhere":      "read x : V\nlimit x at most 3 V when bars at most 22\nlimit x at most 4 V when bars above 22",
		"serials that meet nowhere":     "read x : V\nlimit x at most 3 V when serial below \"H400\"\nlimit x at most 4 V when serial at least \"H400\"",
		"days that meet nowhere":        "read x : V\nlimit x at most 3 V when built below 2001-01-02\nlimit x at most 4 V when built at least 2001-01-02",
		"readings that meet nowhere":    "read x : V\nread z : V\nlimit x at most 3 V when z above 2 V\nlimit x at most 4 V when z at most 2 V",
		"texts":                         "read x : V\nlimit x at most 3 V when suffix is A\nlimit x at most 4 V when suffix is B",
		"combined":                      "read x : V\nlimit x at most 3 V when size is small and nominal is 12 V\nlimit x at most 4 V when size is small and nominal is 24 V\nlimit x at most 5 V when size is large",
		"what is not tried":             "read x : V\nlimit x at most 3 V when front.charge above 30 A\nlimit x at most 4 V when front.charge above 40 A",
		"other positions":               "read x of phase : V\nlimit x[u] at most 3 V\nlimit x[v] at most 4 V",
		"a value and its alike":         "read x of phase : V\nlimit x at most 3 V\nlimit x alike 3 % by mean",
	}, inTest)
}

// TestPrintedUnits: a formula is printed in the unit of its limit.
func TestPrintedUnits(t *testing.T) {
	for limit, want := range map[string]string{"at most 100 mΩ": "mΩ", "at most 0.1 Ω": "Ω", "0.05 Ω ± 0.01 Ω": "Ω", "20 to 100 mΩ": "mΩ"} {
		v := judged(t, family("read v : V\nread i : A\nlet r = v / i\nlimit r "+limit, "taken t { v 0.50 V, i 10.0 A }"))
		e := explained(t, v, "t.r")
		require.Equal(t, eval.Pass, e.Result, limit)
		require.Contains(t, e.Value, " "+want, limit)
	}
}
