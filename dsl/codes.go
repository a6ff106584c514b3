package dsl

// A Code names a kind of finding. Codes never change their meaning; new ones are added.
type Code string

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
