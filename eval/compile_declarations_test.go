package eval_test

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
)

func TestFindingsOfAttributes(t *testing.T) {
	requireSlips(t, []slip{
		{"a unit that is none", "attribute a : ^Vlt", dsl.CodeUnknownUnit, "write a unit, ratio, count, text or date"},
		{"one word", "attribute a : ^wye", dsl.CodeUnknownUnit, "at least two words joined by |"},
		{"coulomb", "attribute a : ^C", dsl.CodeUnknownUnit, "for a temperature write °C"},
		{"a word twice", "attribute a : ^wye | wye", dsl.CodeDuplicateName, "leave one out"},
		{"a quantity twice", "attribute a : ^3 V | 3000 mV", dsl.CodeDuplicateName, "3000 mV stands twice"},
		{"words and quantities", "attribute a : ^wye | 3 V", dsl.CodeWrongType, "write good | worn, or 12 V | 24 V"},
		{"quantities of two kinds", "attribute a : ^3 V | 3 A", dsl.CodeDimension, "a voltage is wanted here"},
		{"two attributes", "attribute ^rated : V", dsl.CodeDuplicateName, "give one another name"},
		{"a likely range backwards", "condition a : V likely ^3 V to 2 V", dsl.CodeBadLimit, "smaller value first"},
		{"a likely range of another kind", "condition a : V likely ^3 A to 4 A", dsl.CodeDimension, "a voltage is wanted here"},
		{"a likely range of words", "condition a : wye | delta likely ^3 to 4\ntest n \"N\" { needs a is wye read x : V }", dsl.CodeWrongType, "leave likely out"},
		{"a likely range by an attribute", "condition a : A likely ^3 A to rated", dsl.CodeWrongType, "write it in numbers"},
		{"a likely attribute", "attribute ^a : V likely 3 V to 4 V", dsl.CodeMisplaced, "write condition a"},
		{"a condition with no instrument", "condition a : Ω with ^ohmeter", dsl.CodeUnknownName, "did you mean ohmmeter?"},
		{"sets nothing", "set ^rate 3 A", dsl.CodeUnknownName, "did you mean rated?"},
		{"sets another kind", "set rated ^3 V", dsl.CodeDimension, "a current is wanted here"},
		{"sets no unit", "set rated ^3", dsl.CodeWrongType, "write 3 A"},
		{"sets a word that is none", "set size ^middle", dsl.CodeUnknownWord, "known here: large, small"},
		{"sets a quantity that is none", "set nominal ^6 V", dsl.CodeWrongType, "6 V is none of the values that nominal can have"},
		{"sets a part of a count", "set bars ^6.5", dsl.CodeWrongType, "write a whole number"},
		{"sets a list", "set rated ^(3 4 A)", dsl.CodeWrongType, "not a list"},
		{"sets a text without quotes", "set suffix ^3 V", dsl.CodeWrongType, `write it as "..."`},
	}, inFamily)
	requireSound(t, map[string]string{
		"every type":       "attribute a : V attribute b : ratio attribute c : count attribute d : text attribute e : date attribute f : wye | delta attribute g : 6 V | 12 V",
		"values":           "set rated 3 A set size small set nominal 12 V set bars 27 set suffix \"B\"",
		"a word as a text": "set suffix B",
		"one by variant":   "set rated 3 A variant v \"V\" when size is small { set rated 4 A }",
	}, inFamily)
}

func TestFindingsOfPositions(t *testing.T) {
	requireSlips(t, []slip{
		{"a word twice", "positions a : x, ^x", dsl.CodeDuplicateName, "give one another name"},
		{"two of a name", "positions ^phase : a, b", dsl.CodeDuplicateName, "give one another name"},
		{"from half a number", "positions a : ^1.5 to bars", dsl.CodeWrongType, "write 1 to bars"},
		{"to a current", "positions a : 1 to ^rated", dsl.CodeDimension, "a count is wanted here"},
		{"to nothing", "positions a : 1 to ^brs", dsl.CodeUnknownName, "there is no brs"},
		{"downwards", "positions a : 5 to ^4", dsl.CodeWrongType, "write 1 to 6"},
		{"to half a number", "positions a : 1 to ^4.5", dsl.CodeWrongType, "a whole number"},
		{"too many", "positions a : 1 to ^2000", dsl.CodeWrongType, "at most 1000"},
		{"to a reading", "test n \"N\" { read c : count }\npositions a : 1 to ^n.c", dsl.CodeMisplaced, "name an attribute, such as bars"},
	}, inFamily)
	requireSound(t, map[string]string{
		"the same in two tests": "test m \"M\" { positions tip : a, b read x of tip : V } test n \"N\" { positions tip : a, b read x of tip : V }",
		"up to a number":        "positions a : 0 to 4",
	}, inFamily)
}

func TestFindingsOfStagesAndParts(t *testing.T) {
	requireSlips(t, []slip{
		{"after nothing", "stage b \"B\" after ^openned takes 5 min", dsl.CodeUnknownName, "did you mean opened?"},
		{"no time", "stage b \"B\" after opened takes ^5 V", dsl.CodeDimension, "a time is wanted here"},
		{"no time back", "stage b \"B\" after opened takes 5 min back ^5 V", dsl.CodeDimension, "a time is wanted here"},
		{"stages in a circle", "stage ^b \"B\" after c takes 1 min\nstage c \"C\" after b takes 1 min", dsl.CodeCircle, "let one stage come first"},
		{"within nothing", "part a \"A\" within ^rotr", dsl.CodeUnknownName, "did you mean rotor?"},
		{"parts in a circle", "part ^a \"A\" within b\npart b \"B\" within a", dsl.CodeCircle, "let one part be the whole"},
		{"within itself", "part ^a \"A\" within a", dsl.CodeCircle, "part a is within itself"},
		{"polarity", "polarity ^neg", dsl.CodeUnknownWord, "negative or positive"},
		{"polarity twice", "polarity negative\n^polarity positive", dsl.CodeDuplicateName, "leave one out"},
		{"a rule that is none", "^decide maybe", dsl.CodeUnknownWord, "write decide simple"},
		{"simple with a factor", "^decide simple 2 u", dsl.CodeUnknownWord, "write decide simple"},
		{"no guard", "^decide guard 0 u", dsl.CodeUnknownWord, "decide guard 1.65 u"},
		{"a risk of a half", "^decide risk 50 %", dsl.CodeUnknownWord, "decide risk 5 %"},
		{"two rules", "decide simple\n^decide guard 2 u", dsl.CodeDuplicateName, "leave one out"},
		{"seen by nothing", "cause c \"C\" seen by ^looks is burnt", dsl.CodeUnknownName, "did you mean look?"},
		{"seen by a test", "cause c \"C\" seen by ^t", dsl.CodeWrongType, "say t is good"},
		{"seen by an outcome that is none", "cause c \"C\" seen by ^look.c is high", dsl.CodeUnknownWord, "known here: blue, burnt, good"},
		{"releases nothing", "release t, ^looks", dsl.CodeUnknownName, "did you mean look?"},
	}, func(decl string) string {
		if decl == "cause c \"C\" seen by ^look.c is high" {
			decl = "cause c \"C\" seen by look.c is ^high" // a word reading is compared with its words
		}
		return inFamily(decl)
	})
}

func TestFindingsOfInstruments(t *testing.T) {
	requireSlips(t, []slip{
		{"a unit that is none", "instrument m : ^Vlt accuracy ± 1 A", dsl.CodeUnknownUnit, "write a unit"},
		{"words", "instrument m : ^a | b", dsl.CodeWrongType, "write instrument m : V"},
		{"quantities", "instrument m : ^3 V | 4 V", dsl.CodeWrongType, "write instrument m : V"},
		{"an accuracy of another kind", "instrument m : V accuracy ± ^1 A", dsl.CodeDimension, "a voltage is wanted here"},
		{"a digit of another kind", "instrument m : V accuracy ± (1 % + 2 digits) digit ^3 A", dsl.CodeDimension, "a voltage is wanted here"},
		{"digits without a digit", "instrument m : V accuracy ± (1 % + ^2 digits)", dsl.CodeBadLimit, "write digit 0.01 V"},
		{"digits without a digit in a range", "instrument m : V ranges { row 4 V : ± (1 % + 2 digits) digit 0.001 V row 40 V : ± (1 % + ^2 digits) }", dsl.CodeBadLimit, "write digit 0.01 V"},
		{"a share of a range that is not stated", "instrument m : V accuracy ± ^1 % of range", dsl.CodeBadLimit, "write range 0 V to 40 V"},
		{"a quantity of the range", "instrument m : V accuracy ± ^1 V of range range 0 V to 3 V", dsl.CodeBadLimit, "write 0.1 % of range"},
		{"a range of another kind", "instrument m : V range ^0 A to 3 A", dsl.CodeDimension, "a voltage is wanted here"},
		{"ranges that fall", "instrument m : V ranges { row 40 V : ± 1 % ^row 4 V : ± 1 % }", dsl.CodeBadLimit, "order them by full scale"},
		{"ranges of another kind", "instrument m : V ranges { row ^40 A : ± 1 % }", dsl.CodeDimension, "a voltage is wanted here"},
		{"an accuracy beside ranges", "^instrument m : V accuracy ± 1 % ranges { row 40 V : ± 1 % }", dsl.CodeBadLimit, "leave out the accuracy before ranges"},
		{"a zero of another kind", "instrument m : V accuracy ± 1 % zero ± ^1 A", dsl.CodeDimension, "a voltage is wanted here"},
		{"an accuracy below zero", "instrument m : V accuracy ± ^-1 %", dsl.CodeBadNumber, "an accuracy is not below zero; write 1 %"},
		{"digits below zero", "instrument m : V accuracy ± (1 % + ^-2 digits) digit 0.1 V", dsl.CodeBadNumber, "write 2 digits"},
		{"a digit below zero", "instrument m : V accuracy ± 1 % digit ^-0.1 V", dsl.CodeBadNumber, "write 0.1 V"},
		{"a distribution that is none", "instrument m : V accuracy ± 1 % distribution ^flat", dsl.CodeUnknownWord, "write rectangular, triangular or normal"},
		{"forbids nothing", "instrument m : V forbids ^rotr", dsl.CodeUnknownName, "did you mean rotor?"},
	}, inFamily)
	requireSound(t, map[string]string{
		"all of it":   "instrument m : V accuracy ± (0.5 % + 0.1 % of range + 2 digits + 1 mV) digit 0.01 V range 0 V to 40 V zero ± 0.01 V distribution normal forbids rotor",
		"temperature": "instrument m : °C accuracy ± (2 °C + 1 digits) digit 0.1 °C range -20 °C to 400 °C",
		"ranges":      "instrument m : V ranges { row 4 V : ± (0.5 % + 2 digits) digit 0.001 V row 40 V : ± (0.5 % + 0.1 % of range + 2 digits) digit 0.01 V }",
	}, inFamily)
}

// TestEveryFindingOfAFile: a file with ten mistakes reports ten, in their order.
func TestEveryFindingOfAFile(t *testing.T) {
	sheet := `brushgear 1
family unit "Unit" {
  attribute rated : Apm
  condition supply : V
  stage opened "Opened" after shut takes 5 min
  part rotor "Rotor" within frame
  test a "A" {
    needs suply
    read x : V
    limit x at most 5 A
    limit y at most 5 V
  }
  fault f "F" { part roter  occurs often  shows a.x hgh always  remedy mend }
  release b
}
`
	_, list := compileSheet(t, sheet)
	var lines []int
	for _, d := range list {
		lines = append(lines, d.Range.Pos.Line)
	}
	require.Equal(t, []int{3, 5, 6, 8, 10, 11, 13, 13, 13, 13, 14}, lines, "%v", errorsOf(list))
}

// TestFindingsOfAllFiles: those of parsing come with those of compiling.
func TestFindingsOfAllFiles(t *testing.T) {
	broken, err := dsl.Parse("broken.sheet", []byte("brushgear 1\nkind k \"K\" { test a \"A\" { read x V } }\n"))
	require.Error(t, err)
	good, err := dsl.Parse("good.sheet", []byte("brushgear 1\nfamily f \"F\" of k { limit a.y at most 3 V }\n"))
	require.NoError(t, err)
	codes := codesOf(t, broken, good)
	require.Contains(t, codes, dsl.CodeUnexpected)
	require.Contains(t, codes, dsl.CodeUnknownName)
}

// TestOneSlipOneFinding: what depends on something that was reported is not reported again.
func TestOneSlipOneFinding(t *testing.T) {
	requireSlips(t, []slip{
		{"the type of a reading", "read x : ^Vlt with ohmmeter\nlimit x at most 5 V new at most 3 V\ncorrect x by copper from winding_temp\nlet y = 2 * x + 3 V\nlimit y at most 3 V\n" +
			"outcome good when x at least 3 V and x is good and not y above 3 V\noutcome odd otherwise", dsl.CodeUnknownUnit, "Vlt"},
		{"the type of a graded reading", "read x : ^Vlt\ngrade x : low below 3 V | good\nneeds supply at least x", dsl.CodeUnknownUnit, "Vlt"},
		{"the positions of a reading", "read x of ^phse : V\nlimit x alike 3 % by mean\nlimit x[u] at most 3 V\npitch 3\nlet y = highest(x)\nlimit y at most 3 V", dsl.CodeUnknownName, "phase"},
		{"the type of a table", "read x at speed : ^Vlt\nlimit x is rising", dsl.CodeUnknownUnit, "Vlt"},
		{"the condition of a table", "read x at ^sped : V\nlimit x at most 5 V\nlimit x is rising", dsl.CodeUnknownName, "speed"},
		{"a formula", "read x : V\nlet y = ^x + 3 A\nlet z = y * y\nlimit z at most 3 V\nlimit y at most 3 V\noutcome good when y above z\noutcome odd otherwise", dsl.CodeDimension, "cannot add"},
		{"a formula in a circle", "^let a = 2 * b\nlet b = 2 * c\nlet c = a + 3 V\nlimit a at most 3 V\nlimit c at most 3 A", dsl.CodeCircle, "uses itself"},
		{"a law", "read x : Ω\ncorrect x by ^coper from winding_temp\nlimit x at most 3 Ω at winding_temp 20 °C", dsl.CodeUnknownLaw, "copper"},
	}, inTest)
	requireSlips(t, []slip{
		{"the type of an attribute", "attribute a : ^Vlt\nset a 3 V\nrequire a above 3 V \"x\"\ntest n \"N\" { read x : V limit x at most a needs a above 3 V }", dsl.CodeUnknownUnit, "Vlt"},
		{"the type of a condition", "condition c : ^Vlt likely 3 V to 4 V\ntest n \"N\" { read x : V needs c above 3 V correct x by proportional from c limit x at most 3 V at c 12 V }", dsl.CodeUnknownUnit, "Vlt"},
		{"the type of a curve's condition", "condition c : ^Vlt\ntest n \"N\" { read x : V limit x along c linear { row 3 V : at most 3 V } }", dsl.CodeUnknownUnit, "Vlt"},
		{"the type of an instrument", "instrument m : ^Vlt accuracy ± (1 % + 2 digits) digit 0.01 V range 0 V to 3 V\ntest n \"N\" { read x : V with m }", dsl.CodeUnknownUnit, "Vlt"},
		{"the end of positions", "positions a : 1 to ^brs\ntest n \"N\" { read x of a : V limit x[3] at most 3 V limit x alike 3 % by mean }", dsl.CodeUnknownName, "brs"},
		{"the source of limits", "under ^nowhere { limit two.a at most 3 V when size is small set rated 3 A }\nset rated 4 A per recent", dsl.CodeUnknownName, "nowhere"},
	}, func(decl string) string { return inFamily(decl) })
	requireSlips(t, []slip{
		{"in a kind of two families", "brushgear 1\nkind k \"K\" { test a \"A\" { read x : V limit x at most ^5 A } }\nfamily f \"F\" of k { }\nfamily g \"G\" of k { }\nshop s \"S\" { }", dsl.CodeDimension, "a voltage is wanted here"},
	}, whole)
}

// TestSuggestions: a name is found by its spelling, or by what it begins with; else what is known is listed.
func TestSuggestions(t *testing.T) {
	for name, want := range map[string]string{"regulator": "did you mean regulator_set?", "rotors": "did you mean rotor?", "frame": "known here: regulator_set, rotor"} {
		_, all := findings(t, "brushgear 1\nfamily f \"F\" { part rotor \"Rotor\" part regulator_set \"Set\" part x \"X\" within "+name+" }\n")
		require.Contains(t, all, want, name)
	}
}

// TestHostileSheets: what would take for ever is cut short, with a finding where something is left out.
func TestHostileSheets(t *testing.T) {
	repeat := func(n int, line string) string {
		var all strings.Builder
		for i := range n {
			all.WriteString(strings.NewReplacer("#", strconv.Itoa(i), "+", strconv.Itoa(i+1)).Replace(line) + "\n")
		}
		return all.String()
	}
	_, list := compileSheet(t, inFamily(repeat(300, `part p# "P" within q#`)))
	require.Len(t, list, 101)
	require.Contains(t, errorsOf(list)[100], "there are more findings than these")

	_, list = compileSheet(t, "brushgear 1\n"+repeat(70, `kind k# "K" of k+ { }`)+`kind k70 "K" { }`)
	require.NotEmpty(t, list)
	for _, d := range list {
		require.Equal(t, dsl.CodeTooDeep, d.Code, d.Error())
	}

	_, list = compileSheet(t, inTest("read x : V\n"+repeat(3000, "limit x at most 3 V when rated equals # A")))
	require.Empty(t, list)
	_, list = compileSheet(t, inTest("read x : V\n"+repeat(3000, "let a# = a+")+"let a3000 = x\nlimit a0 at most 3 V"))
	require.Empty(t, list)
	_, list = compileSheet(t, inFamily(repeat(3000, `fault f# "F" { part rotor leads to f+ often }`)+`fault f3000 "F" { part rotor }`))
	require.Empty(t, list)
}
