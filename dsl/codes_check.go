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
)

// checkCodes explains the codes of the checks. CodeMisplaced is among those of the parser, which finds it too.
var checkCodes []CodeInfo
