package dsl

import (
	"iter"
	"slices"
)

// A Code names a kind of finding. Codes never change their meaning; new ones are added. [Explain] says more about each.
type Code string

// Codes of the parser.
const (
	CodeBadCharacter     Code = "bad-character"
	CodeUnclosedString   Code = "unclosed-string"
	CodeForeignOperator  Code = "foreign-operator"
	CodeDecimalComma     Code = "decimal-comma"
	CodeDigitGroups      Code = "digit-groups"
	CodeBadNumber        Code = "bad-number"
	CodeBadDate          Code = "bad-date"
	CodeGluedMinus       Code = "glued-minus"
	CodeUnknownUnit      Code = "unknown-unit"
	CodeWordOr           Code = "word-or"
	CodeUnexpected       Code = "unexpected"
	CodeRepeated         Code = "said-twice"
	CodeUnknownStatement Code = "unknown-statement"
	CodeUnclosedBlock    Code = "unclosed-block"
	CodeUnclosedBracket  Code = "unclosed-bracket"
	CodeStrayBrace       Code = "stray-brace"
	CodeTooDeep          Code = "too-deep"
	CodeTooLarge         Code = "too-large"
	CodeTooMany          Code = "too-many-findings"
	CodeNoVersion        Code = "no-version"
	CodeNewerVersion     Code = "newer-version"
	CodeUseCycle         Code = "use-cycle"
	CodeUseMissing       Code = "use-missing"
)

// A CodeStage is the step of the work on a sheet at which a code is found.
type CodeStage string

const (
	ParseStage  CodeStage = "parse"  // while the text is read
	CheckStage  CodeStage = "check"  // while the meaning of sheets is checked
	ProveStage  CodeStage = "prove"  // while a sheet that can be used is proved
	RecordStage CodeStage = "record" // while the readings of a record are taken in
)

// CodeInfo explains a code.
type CodeInfo struct {
	Code    Code
	Stage   CodeStage
	Title   string // what is wrong, in a few words
	Why     string // why it is an error, and what to do
	Example string // a file that has this finding; empty where it would be too long
}

// Explain returns what is known about a code; false means that there is no such code.
func Explain(c Code) (CodeInfo, bool) {
	for info := range Codes() {
		if info.Code == c {
			return info, true
		}
	}
	return CodeInfo{}, false
}

// Codes yields the codes of all stages, those of the parser first.
func Codes() iter.Seq[CodeInfo] {
	return slices.Values(slices.Concat(parseCodes, checkCodes, proveReadingsCodes, proveKnowledgeCodes))
}

var parseCodes = []CodeInfo{
	{CodeBadCharacter, ParseStage, "a character without meaning",
		"Outside of texts and comments a sheet consists of words, numbers, units and a few signs. Remove what is left over, and save the file as UTF-8.",
		"brushgear 1\nset poles 14 $\n"},
	{CodeUnclosedString, ParseStage, "a text that is not closed",
		"A text begins and ends with a straight double quote on one line. Inside of it \\\" stands for a quote and \\\\ for a backslash.",
		"brushgear 1\npart brushes \"Brush set\n"},
	{CodeForeignOperator, ParseStage, "a sign of another notation",
		"Comparisons are written in words here, so that they can be read aloud: at most, at least, above, below, equals, within, is. So are and, or, not.",
		"brushgear 1\nlimit free_run.current <= 3.1 A\n"},
	{CodeDecimalComma, ParseStage, "a comma inside a number",
		"The decimal sign is a point, whatever the country; a comma parts the members of a list.",
		"brushgear 1\nlimit free_run.current at most 3,1 A\n"},
	{CodeDigitGroups, ParseStage, "digits in groups",
		"A number is written without blanks, since a blank parts two numbers in a list of readings.",
		"brushgear 1\nset top_speed 12 000 rpm\n"},
	{CodeBadNumber, ParseStage, "a number that is too long",
		"No measurement has more than 40 digits. A very large or small number takes an exponent: 1.5e9.",
		"brushgear 1\nset insulation 1000000000000000000000000000000000000000000 Ω\n"},
	{CodeBadDate, ParseStage, "a date that is none",
		"Dates are written as year, month and day, which no country reads another way.",
		"brushgear 1\nsource bench_sheet_3 \"Bench sheet 3\" from 01.04.2011\n"},
	{CodeGluedMinus, ParseStage, "a sign glued to a number",
		"A sign glued to a number belongs to the number, as in -20 °C. A subtraction has blanks on both sides of the minus, a range the word to.",
		"brushgear 1\nlimit regulated.volts 13.9-14.4 V\n"},
	{CodeUnknownUnit, ParseStage, "an unknown unit",
		"Capital and small letters of units differ: V, mV and MV. A word after a number is taken for its unit, unless it is a word of the language.",
		"brushgear 1\nlimit free_run.current at most 3.1 Amp_s\n"},
	{CodeWordOr, ParseStage, "words joined by or",
		"After is, words that are each as good are joined by |. The word or joins whole conditions.",
		"brushgear 1\nrequire connection is wye or delta \"wound in another way\"\n"},
	{CodeUnexpected, ParseStage, "something missing, or something too much",
		"A statement has a fixed form; the finding shows an example of it.",
		"brushgear 1\npart brushes\n"},
	{CodeRepeated, ParseStage, "a part that stands twice in one statement",
		"Parts of a statement such as with, per or when may stand in any order, but each of them once: of two, nobody could tell which counts.",
		"brushgear 1\npart brushes \"Brush set\" bought set bought reel\n"},
	{CodeUnknownStatement, ParseStage, "a statement that is unknown here",
		"Each kind of block has its own statements, found by their first word. The word may be misspelt, or belong to another block.",
		"brushgear 1\ntest free_run \"Free run\" {\n  remedy fit_brushes\n}\n"},
	{CodeUnclosedBlock, ParseStage, "a block that is not closed",
		"Each { needs its }. The finding stands where the block begins, because where it should have ended only its author knows.",
		"brushgear 1\nkind motor \"Cranking motor\" {\n  test free_run \"Free run\" {\n    takes 4 min\n}\n"},
	{CodeUnclosedBracket, ParseStage, "a bracket that is not closed",
		"Each ( and [ needs its counterpart within the same statement.",
		"brushgear 1\nrequire (poles is 12 \"another motor\"\n"},
	{CodeStrayBrace, ParseStage, "a brace that closes nothing",
		"There is one } more than there are blocks open; or the { of a block above is missing.",
		"brushgear 1\nkind motor \"Cranking motor\" {\n}\n}\n"},
	{CodeMisplaced, ParseStage, "a statement in the wrong place",
		"Some statements stand in one place only: use at the head of the file.",
		"brushgear 1\nkind motor \"Cranking motor\" {\n  use \"practice.sheet\"\n}\n"},
	{CodeTooDeep, ParseStage, "nested too deeply",
		"Blocks within blocks and brackets within brackets have a limit, so that no file can exhaust the program. Parts of a formula can be named with let.", ""},
	{CodeTooLarge, ParseStage, "a file that is too large",
		"A file has a limit in size. A sheet that outgrows it is easier to keep as several files joined by use.", ""},
	{CodeTooMany, ParseStage, "more findings than are shown",
		"After so many findings the rest would be of little help. Mend the first ones and read the file again.", ""},
	{CodeNoVersion, ParseStage, "no language version",
		"The first line says in which version of the language the file is written, so that it means the same for ever.",
		"kind motor \"Cranking motor\" {\n}\n"},
	{CodeNewerVersion, ParseStage, "a newer language version",
		"The file is written in a version of the language that is newer than this program, which might misread it.",
		"brushgear 99\n"},
	{CodeUseCycle, ParseStage, "files that use each other",
		"A used file is read before the file that uses it, so the two cannot use each other, nor can a file use itself.",
		"brushgear 1\nuse \"example.sheet\"\n"},
	{CodeUseMissing, ParseStage, "a used file that cannot be read",
		"The name after use is relative to the file that it stands in, with / between folders, and must not lead out of the folder that is read.",
		"brushgear 1\nuse \"no_such.sheet\"\n"},
}
