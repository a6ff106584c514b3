package dsl

// Codes of the proofs over readings: outcomes, limits, ranges and curves.
const (
	CodeDeadRow     Code = "dead-row"
	CodeRowsOverlap Code = "rows-overlap"
	CodeRowsGap     Code = "rows-gap"
	CodeOtherwise   Code = "falls-to-otherwise"
	CodeEmptyLimit  Code = "empty-limit"
	CodeIdleLimit   Code = "idle-limit"
	CodeLimitGap    Code = "limit-gap"
	CodeEmptyRange  Code = "empty-range"
	CodeCurveFalls  Code = "curve-falls"
	CodeNotProved   Code = "not-proved"
)

// proveReadingsCodes explains them. Each example has that finding and no other.
var proveReadingsCodes = []CodeInfo{
	{CodeDeadRow, ProveStage, "an outcome that never comes up",
		"No reading is the first to meet this row: its own numbers shut it, or the rows above take all that it would take. Mend its numbers, move it up, or leave it out.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    outcome good when amps at most 60 A\n    outcome tight as fail when amps above 50 A and amps below 55 A\n    outcome odd otherwise\n  }\n}\n"},
	{CodeRowsOverlap, ProveStage, "two outcomes that hold at once",
		"The first of them is taken. That is fine where it is meant; at the very edge of two ranges, or where a milder result goes first, it seldom is. Let one of the two leave the other out, or write a row for both above them.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    outcome good when amps within 40 A to 60 A\n    outcome tight when amps within 60 A to 200 A\n    outcome odd otherwise\n  }\n}\n"},
	{CodeRowsGap, ProveStage, "readings between two named outcomes that have none",
		"A reading in a gap falls to otherwise although it lies between two readings that are named, often because the end of one range and the beginning of the next do not meet. Let them meet.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    outcome good when amps at most 60 A\n    outcome tight when amps above 61 A\n    outcome odd otherwise\n  }\n}\n"},
	{CodeOtherwise, ProveStage, "what falls to otherwise",
		"This is no slip, only an example of a reading that none of the named outcomes takes, so that the author can tell whether that was meant.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test free_run \"Free run\" {\n    read amps : A\n    outcome good when amps at most 60 A\n    outcome tight when amps above 200 A\n    outcome odd otherwise\n  }\n}\n"},
	{CodeEmptyLimit, ProveStage, "a limit that nothing can meet",
		"With the numbers of the family the lower bound lies above the upper one. One of the two, or a number that they are worked out from, is wrong.",
		"brushgear 1\nfamily motor \"Motor\" {\n  attribute rated : A\n  set rated 80 A\n  test free_run \"Free run\" {\n    read amps : A\n    limit amps within 90 A to rated\n  }\n}\n"},
	{CodeIdleLimit, ProveStage, "an outcome of a limit that nothing can have",
		"No reading of that kind can be so low or so high, or no part can be worn, so the bound says nothing. A number or a unit may be wrong.",
		"brushgear 1\nfamily motor \"Motor\" {\n  test growl \"Growler\" {\n    read ohms : Ω\n    limit ohms 0 Ω to 3 Ω\n  }\n}\n"},
	{CodeLimitGap, ProveStage, "units for which no limit counts",
		"The limits of this value have conditions, and there are units that meet none of them: for those the reading is information only. Write a limit for them, or one without a condition in the kind.",
		"brushgear 1\nfamily motor \"Motor\" {\n  attribute nominal : 12 V | 24 V\n  test free_run \"Free run\" {\n    read amps : A\n    limit amps at most 60 A when nominal is 12 V\n  }\n}\n"},
	{CodeEmptyRange, ProveStage, "a range that holds nothing",
		"A test needs a condition in a range that is empty with the numbers of the family, so the test is never valid.",
		"brushgear 1\nfamily motor \"Motor\" {\n  attribute nominal : V\n  set nominal 6 V\n  condition supply : V\n  test free_run \"Free run\" {\n    needs supply within 11 V to nominal\n    read amps : A\n  }\n}\n"},
	{CodeCurveFalls, ProveStage, "a curve that falls where it must rise",
		"The reading is said to be rising along the quantity, but its limit falls from one row to the next. A number of one of the rows may be misprinted.",
		"brushgear 1\nfamily motor \"Motor\" {\n  condition speed : rpm\n  test curve \"Curve\" {\n    read amps at speed : A\n    limit amps is rising\n    limit amps along speed linear {\n      row 2000 rpm : at least 74 A\n      row 4000 rpm : at least 47 A\n    }\n  }\n}\n"},
	{CodeNotProved, ProveStage, "what cannot be proved",
		"The proof is beyond the arithmetic of the program, or would take too long. Nothing is wrong for certain, and nothing is right for certain: check it by trials at the edges.",
		"brushgear 1\nfamily motor \"Motor\" {\n  attribute rated : A\n  test free_run \"Free run\" {\n    read amps : A\n    outcome good when amps at most 2 * rated\n    outcome tight when amps above 3 * rated\n    outcome odd otherwise\n  }\n}\n"},
}
