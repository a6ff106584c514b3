package dsl

// Codes of the checks that eval.Compile makes, and of records.
const (
	CodeUnknownName    Code = "unknown-name"
	CodeDuplicateName  Code = "duplicate-name"
	CodeMisplaced      Code = "misplaced"
	CodeCircle         Code = "circle"
	CodeDimension      Code = "wrong-dimension"
	CodeWrongType      Code = "wrong-type"
	CodeUnknownWord    Code = "unknown-word"
	CodeUnknownOutcome Code = "unknown-outcome"
	CodeAmbiguousCheck Code = "ambiguous-check"
	CodeBadLimit       Code = "bad-limit"
	CodeDualUnits      Code = "dual-units-disagree"
	CodeUnknownLaw     Code = "unknown-law"
	CodeNoCorrection   Code = "no-correction"
	CodeOutcomeRows    Code = "outcome-rows"
	CodeOutcomeName    Code = "outcome-name"
	CodeDates          Code = "dates"
	CodeLimitConflict  Code = "limit-conflict"
	CodeNeedsReplace   Code = "needs-replace"
	CodeStrength       Code = "bad-strength"
	CodeFrequency      Code = "bad-frequency"
	CodeFunction       Code = "unknown-function"
	CodeIndex          Code = "bad-index"
	CodeRecord         Code = "bad-reading"
	CodeNoReason       Code = "no-reason"
)

// checkCodes explains the codes of the checks. CodeMisplaced is among those of the parser, which finds it too.
var checkCodes = []CodeInfo{
	{CodeUnknownName, CheckStage, "a name that is not declared",
		"Every name is declared once, in the block it is used in or in a kind that it builds on. It may be misspelt.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    limit ampz at most 60 A\n  }\n}\n"},
	{CodeDuplicateName, CheckStage, "a name that is declared twice",
		"Two of one name would make it unclear which is meant. Give one another name.",
		"brushgear 1\nfamily motor \"Motor\" {\n  part brushes \"Brush set\"\n  part brushes \"Brushes\"\n}\n"},
	{CodeCircle, CheckStage, "things that depend on each other in a circle",
		"Formulas, tests, kinds, stages and consequences of faults must begin somewhere.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    let a = 2 * b\n    let b = a / 2\n  }\n}\n"},
	{CodeDimension, CheckStage, "quantities of different kinds",
		"Only like can be added to like, compared with it, or bound it: a current with a current, a temperature with a temperature. The unit may be mistyped.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    limit amps at most 60 V\n  }\n}\n"},
	{CodeWrongType, CheckStage, "a value of another type than is wanted here",
		"A condition, a number, a word and a list each have their places.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    outcome good when amps\n    outcome odd otherwise\n  }\n}\n"},
	{CodeUnknownWord, CheckStage, "a word that is not among those allowed",
		"A reading or an attribute has the words of its type, and no others.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read sound : quiet | grinds\n    limit sound is silent\n  }\n}\n"},
	{CodeUnknownOutcome, CheckStage, "an outcome that the check does not have",
		"A limit has good, low, high and so on; a grade and a pattern have the words that were written. A check without a limit has none.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    limit amps at most 60 A\n  }\n  fault tight \"Tight\" {\n    shows free_run grinds always\n  }\n}\n"},
	{CodeAmbiguousCheck, CheckStage, "an outcome that several checks of a test have",
		"Name the value that is meant: test.value.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    read volts : V\n    limit amps at most 60 A\n    limit volts at most 12 V\n  }\n  fault tight \"Tight\" {\n    shows free_run high always\n  }\n}\n"},
	{CodeBadLimit, CheckStage, "a limit that makes no sense",
		"A range runs from the smaller to the greater value; the rows of a limit along another quantity rise; a limit has bounds.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    limit amps 60 A to 40 A\n  }\n}\n"},
	{CodeDualUnits, CheckStage, "two units that disagree",
		"A limit printed in two units must be the same in both, but for rounding. One of them is misprinted; the first counts.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read gap : mm\n    limit gap at most 0.5 mm (0.00197 in)\n  }\n}\n"},
	{CodeUnknownLaw, CheckStage, "a correction that is unknown or does not fit",
		"Each law corrects one kind of quantity by one kind of condition.",
		"brushgear 1\nfamily motor \"Motor\" {\n  condition supply : V\n  test free_run \"Free run\" {\n    read amps : A\n    correct amps by copper from supply\n  }\n}\n"},
	{CodeNoCorrection, CheckStage, "a reference without a law",
		"A limit that holds at one temperature or voltage says nothing of a reading at another, unless the test says by which law readings are brought there.",
		"brushgear 1\nfamily motor \"Motor\" {\n  condition supply : V\n  test free_run \"Free run\" {\n    read speed : rpm\n    limit speed at least 3000 rpm at supply 11 V\n  }\n}\n"},
	{CodeOutcomeRows, CheckStage, "outcomes that leave something out",
		"The cuts of a grade rise, the rows of a pattern end with otherwise, and one outcome passes, so that every reading has an outcome.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    outcome good when amps below 60 A\n  }\n}\n"},
	{CodeOutcomeName, CheckStage, "a result used as an outcome",
		"Words such as pass, fail and marginal are results. An outcome names what was seen; as says which result it gives.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    grade amps : pass below 60 A | good\n  }\n}\n"},
	{CodeDates, CheckStage, "dates that do not go together",
		"A source begins before it ends, and of one limit exactly one edition is in force on a day.",
		"brushgear 1\nsource sheet_3 \"Sheet 3\" from 2019-01-01 until 2011-01-01\n"},
	{CodeLimitConflict, CheckStage, "two limits that hold at once",
		"Which one counts must be clear from their conditions, their dates or their layers.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    limit amps at most 60 A\n    limit amps at most 70 A\n  }\n}\n"},
	{CodeNeedsReplace, CheckStage, "something declared again in a later layer",
		"Limits and set values of a later layer win over earlier ones. A test, a fault or a remedy is put in the place of another by replace.",
		"brushgear 1\nkind motor \"Motor\" {\n  part brushes \"Brush set\"\n}\nfamily motor_12 \"Motor, 12 V\" of motor {\n  part brushes \"Brushes\"\n}\n"},
	{CodeStrength, CheckStage, "a strength that is none, or too much",
		"How surely a fault shows something is a word or a number from 0 to 1; of one check it shows no more than is certain, each outcome once, and nothing that it never shows.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    limit amps at most 60 A\n  }\n  fault tight \"Tight\" {\n    shows free_run high always\n    shows free_run good usually\n  }\n}\n"},
	{CodeFrequency, CheckStage, "a frequency that is none",
		"How frequent a fault is: usual, common, occasional, rare, or a number below 0.5. usually is a strength.",
		"brushgear 1\nfamily motor \"Motor\" {\n  fault tight \"Tight\" {\n    occurs usually\n  }\n}\n"},
	{CodeFunction, CheckStage, "a function that is unknown, or used otherwise",
		"Formulas have count, highest, lowest, middle, mean, sum, span, abs and power.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    let most = maximum(amps)\n  }\n}\n"},
	{CodeIndex, CheckStage, "a position that is not there",
		"Square brackets name one member of a list, in the words or numbers of its positions.",
		"brushgear 1\nfamily motor \"Motor\" {\n  positions phase : u, v, w\n  test pairs \"Pairs\" {\n    read ohms of phase : Ω\n    limit ohms[x] at most 2 Ω\n  }\n}\n"},
	{CodeNoReason, CheckStage, "a finding that is accepted without a reason",
		"Whoever reads the sheet next must know why a finding was put up with, else nobody can tell whether the reason still holds.",
		"brushgear 1\nfamily motor \"Motor\" {\n  accept unknown_name \"\"\n}\n"},
	{CodeRecord, RecordStage, "something in a record that the sheet does not know or allow",
		"Readings, conditions, meters and work are named as in the sheet, and a record says by which day it is judged.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    limit amps at most 60 A\n  }\n}\nrecord \"J-1\" of motor {\n  judge 2026-03-02\n  taken free_run.volts 12 V\n}\n"},
}
