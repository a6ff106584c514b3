package dsl

// Codes of the proofs over what a sheet knows: its faults, what they show, and what is missing around them.
const (
	CodeExpectedFaults     Code = "expected-faults"
	CodeUnseenFault        Code = "unseen-fault"
	CodeUnseparated        Code = "unseparated-faults"
	CodeIdleTest           Code = "idle-test"
	CodeUnexplainedOutcome Code = "unexplained-outcome"
	CodeHiddenFault        Code = "hidden-fault"
	CodeShutGate           Code = "shut-gate"
	CodeOrder              Code = "impossible-order"
	CodeOpenCause          Code = "open-cause"
	CodeNoRetest           Code = "no-retest"
	CodeBlamelessPart      Code = "blameless-part"
	CodeNoSource           Code = "no-source"
	CodeShortBand          Code = "short-band"
	CodeNoCaution          Code = "no-caution"
	CodeFineLimit          Code = "finer-than-digit"
	CodeSilentCheck        Code = "silent-check"
	CodeNoNumbers          Code = "no-numbers"
	CodeBareFault          Code = "bare-fault"
	CodeUnlikeUnits        Code = "unlike-units"
	CodeLostCorrection     Code = "lost-correction"
	CodeIdleName           Code = "idle-name"
	CodeIdleAccept         Code = "idle-accept"
)

// proveKnowledgeCodes explains them. Each example has that finding and no other.
var proveKnowledgeCodes = []CodeInfo{
	{CodeExpectedFaults, ProveStage, "more faults than a unit can have",
		"The frequencies of all faults add up to how many a unit that comes in has on average. Beyond two, faults are called too frequent, and every verdict leans to several at once.",
		exampleUnit(`
  test a "Test a" {
    read one : V
    read two : V
    read three : V
    read four : V
    read five : V
    limit one at most 2 V per house
    limit two at most 2 V per house
    limit three at most 2 V per house
    limit four at most 2 V per house
    limit five at most 2 V per house
  }
  fault f1 "Fault 1" { part rotor  occurs 0.45  shows a.one high always }
  fault f2 "Fault 2" { part rotor  occurs 0.45  shows a.two high always }
  fault f3 "Fault 3" { part rotor  occurs 0.45  shows a.three high always }
  fault f4 "Fault 4" { part rotor  occurs 0.45  shows a.four high always }
  fault f5 "Fault 5" { part rotor  occurs 0.45  shows a.five high always }`)},
	{CodeUnseenFault, ProveStage, "a fault that no test can see",
		"A fault that shows nothing but good outcomes can be ruled out at best, never found. It may show something only on units for which the test is not meant.",
		exampleUnit(exampleTest + `
  fault hot "Field opens when hot" { part rotor  shows field.amps good usually }`)},
	{CodeUnseparated, ProveStage, "faults that no test tells apart",
		"Two faults with different remedies that show the same, or nearly so, leave a guess of which part to fit: at equal frequency it is wrong at least one time in five, whatever was measured.",
		exampleUnit(exampleTest + `
  part brushes "Brushes"
  remedy fit_brushes "Fit brushes" { retest field }
  fault brushes_worn "Brushes worn" { part brushes  shows field.amps low always  remedy fit_brushes }`)},
	{CodeIdleTest, ProveStage, "a test that tells nothing",
		"No fault shows anything at this test, no other test, cause, remedy or release leans on it: its result changes nothing but the list of limits.",
		exampleUnit(exampleTest + `
  test sound "Listen" {
    read heard : quiet | growls
    limit heard is quiet per house
  }`)},
	{CodeUnexplainedOutcome, ProveStage, "outcomes that no fault explains",
		"When such an outcome comes up, nothing that the sheet knows accounts for it, and the technician is left alone with it.",
		exampleUnit(`
  test field "Field" {
    read amps : A
    limit amps 3.2 to 3.6 A per house
  }
  fault field_open "Field open" { part rotor  shows field.amps low always  remedy fit_rotor }
  fault ring_dirty "Ring dirty" { part rotor  shows field.amps low usually  remedy fit_rotor }
  fault lead_off "Lead off" { part rotor  shows field.amps low always  remedy fit_rotor }`)},
	{CodeHiddenFault, ProveStage, "a fault that is hidden by another",
		"Wherever this fault would be seen, the other one masks it: while the other is there, or only possible, this one cannot be found.",
		exampleUnit(exampleTest + `
  part brushes "Brushes"
  test look "Look" {
    read length : mm
    limit length at least 5 mm per house
  }
  fault brushes_worn "Brushes worn" { part brushes  shows look.length low always  masks field }`)},
	{CodeShutGate, ProveStage, "a gate that can never open",
		"The test waits for an outcome that cannot come about on this unit, so it is never valid.",
		exampleUnit(exampleTest + `
  attribute trio : fitted | absent
  set trio absent
  test diodes "Trio" {
    applies when trio is fitted
    read drop : V
    limit drop at most 0.7 V per house
  }
  test glow "Lamp" {
    needs diodes is good
    read lamp : dark | lit
    limit lamp is dark per house
  }
  fault lamp_lit "Lamp circuit closed" { part rotor  shows glow lit always  shows field.amps good always  remedy fit_rotor }`)},
	{CodeOrder, ProveStage, "tests in an order that cannot be met",
		"A test that needs another comes after it. It cannot if the unit would have to be put together again without a way back, or if what comes first spoils what comes later.",
		exampleUnit(exampleTest + `
  test wash "Washed" {
    spoils leak
    read clean : yes | no
    limit clean is yes per house
  }
  test leak "Leakage" {
    needs wash is good
    read path : kΩ
    limit path at least 100 kΩ per house
  }
  fault dirt "Dirt" { part rotor  shows wash no always  shows leak.path low always  remedy fit_rotor }`)},
	{CodeOpenCause, ProveStage, "a root cause that is never cleared",
		"A cause that no fault comes from is never asked about. One that neither a test sees nor a question asks for gives the technician nothing to clear it by.",
		exampleUnit(exampleTest + `
  cause reversed "Battery reversed" ask "Was it jump-started?"`)},
	{CodeNoRetest, ProveStage, "a remedy without a retest that tells",
		"After a repair the test that showed the fault is repeated, else nobody knows that it is gone.",
		exampleUnit(`
  test field "Field" {
    read amps : A
    limit amps at least 3.2 A per house
  }
  test sound "Listen" {
    read heard : quiet | growls
    limit heard is quiet per house
  }
  fault field_open "Field open" { part rotor  shows field.amps low always  remedy mend }
  fault bearing "Bearing" { part rotor  shows sound growls always  remedy mend }
  remedy mend "Mend it" { retest field }`)},
	{CodeBlamelessPart, ProveStage, "a part that is never blamed",
		"No fault sits in this part or in a part of it. Either a fault is missing, or the part is of no use here.",
		exampleUnit(exampleTest + `
  part fan "Fan"`)},
	{CodeNoSource, ProveStage, "limits without a source",
		"A limit that does not say where it comes from cannot be checked, defended or followed through editions. Common practice is a source too.",
		exampleUnit(`
  test field "Field" {
    read amps : A
    read drop : V
    limit amps at least 3.2 A
    limit drop at most 0.2 V per house
  }
  fault field_open "Field open" { part rotor  shows field.amps low always  shows field.drop high always  remedy fit_rotor }`)},
	{CodeShortBand, ProveStage, "an instrument that is too coarse for its limit",
		"The room between the bounds should be at least four times the expanded uncertainty of the reading (k = 2). Below that, a good share of what should pass is too near to a bound to be sure of.",
		exampleUnit(`
  instrument clamp : A accuracy ± 0.2 A digit 0.1 A
  test field "Field" {
    read amps : A with clamp
    limit amps 3.2 to 3.6 A per house
  }
  fault field_open "Field open" { part rotor  shows field.amps low always  remedy fit_rotor }
  fault field_short "Field shorted" { part rotor  shows field.amps high always  remedy fit_rotor }`)},
	{CodeNoCaution, ProveStage, "a dangerous test without its caution",
		"Mains lamps, insulation and surge testers, growlers, batteries under load and machines that turn have hurt people. The caution is printed before the test, where it is read. It is missed where the words of the test, its meter, or its neighbours give the danger away; and one that no test calls for is never read.",
		exampleUnit(`
  test field "Mains lamp, ring to shaft" {
    read lamp : dark | lit
    limit lamp is dark per house
  }
  fault grounded "Field grounded" { part rotor  shows field lit always  remedy fit_rotor }`)},
	{CodeFineLimit, ProveStage, "a limit that is finer than the instrument shows",
		"No reading can fall on a bound that lies between two steps of the instrument's last digit: the bound is in truth the next step.",
		exampleUnit(`
  instrument clamp : A accuracy ± 0.01 A digit 0.1 A
  test field "Field" {
    read amps : A with clamp
    limit amps at least 3.25 A per house
  }
  fault field_open "Field open" { part rotor  shows field.amps low always  remedy fit_rotor }`)},
	{CodeSilentCheck, ProveStage, "a fault that is silent on a kindred check",
		"A pattern that reads a value cannot stay good while the value is bad, and a list with a bad member is seldom alike, nor is one odd where two are bad; and where nearly all faults that show something at one check do so at the other too, one that does not may have been forgotten.",
		exampleUnit(`
  test drop "Drop" {
    read forward : V
    read back : V
    limit forward at most 0.7 V per house
    limit back at least 2 V per house
    outcome dead as fail when forward is high
    outcome leaky as fail when back is low
    outcome good otherwise
  }
  fault open "Diode open" { part rotor  shows drop.forward high always  shows drop dead always  remedy fit_rotor }
  fault leaky "Diode leaks" { part rotor  shows drop.back low always  remedy fit_rotor }
  fault warm "Diode leaks when warm" { part rotor  shows drop leaky often  remedy fit_rotor }`)},
	{CodeNoNumbers, ProveStage, "a limit of which no family has the numbers",
		"A kind declares the limit so that families bring its numbers. A family that brings none judges nothing there: whatever is read is information.",
		`brushgear 1
source house "House rule"
kind motor "Motor" {
  part rotor "Rotor"
  remedy fit_rotor "Fit another rotor" {}
  test field "Field" {
    read amps : A
    read volts : V
    limit amps
    limit volts at least 11 V per house
  }
  fault field_open "Field open" { part rotor  shows field.amps low always  shows field.volts low usually  remedy fit_rotor }
}
family motor_12 "Motor, 12 V" of motor {
  part frame "Frame"
  fault frame_open "Frame open" { part frame  shows field.volts low always }
}
`},
	{CodeBareFault, ProveStage, "a fault that lacks what others have",
		"Where most faults of a unit name their part, their frequency and their remedy, one that lacks any of them leaves the verdict without it: where to look, how probable it is, what to do.",
		exampleUnit(exampleTest + `
  test sound "Listen" {
    read heard : quiet | growls | knocks
    limit heard is quiet per house
  }
  fault bearing "Bearing worn" { part rotor  shows sound growls always  remedy fit_rotor }
  fault shaft "Shaft bent" { part rotor  shows sound knocks always }`)},
	{CodeUnlikeUnits, ProveStage, "a reading in another unit than its limit",
		"Whoever takes down a number without its unit means that of the meter and of the limit; the sheet takes it for that of the reading. Where all else is said in one unit, let the reading have it too.",
		exampleUnit(`
  test drop "Drop" {
    read volts : mV
    limit volts at most 0.3 V per house
  }
  fault lead_bad "Lead bad" { part rotor  shows drop.volts high always  remedy fit_rotor }`)},
	{CodeLostCorrection, ProveStage, "a correction that its formula does not get",
		"A correction brings a reading to the circumstances of its own limits. A formula takes the reading as it was taken, so its limit is held against what nobody corrected. Correct the formula.",
		exampleUnit(`
  condition acid_temp : °C
  test acid "Acid" {
    needs acid_temp
    read gravity : ratio
    correct gravity by linear (0.0007 per 1 K) from acid_temp to 27 °C
    let missing = 1.265 - gravity
    limit missing at most 0.040 per house
  }
  fault flat "Discharged" { part rotor  shows acid.missing high always  remedy fit_rotor }`)},
	{CodeIdleName, ProveStage, "a name that nothing uses",
		"A source, a condition, an instrument or a formula that nothing names changes no verdict: it was left behind, or what should name it was forgotten or names another.",
		exampleUnit(`
  source sheet_4 "Bench sheet 4" edition "2"` + exampleTest)},
	{CodeIdleAccept, ProveStage, "a finding accepted that is not there",
		"What was accepted has gone: it was mended, or never stood where it is accepted. Left in place, the statement would hide the finding when it comes back.",
		exampleUnit(`
  test a "Test a" {
    accept no_caution "nothing turns here"
    read x : V  limit x at most 2 V per house
  }
  fault f "Fault f" { part rotor  shows a.x high always  remedy fit_rotor }`)},
}

// exampleUnit is a sheet of one family around the declarations of an example.
func exampleUnit(body string) string {
	return `brushgear 1
source house "House rule"
family motor "Motor" {
  part rotor "Rotor"
  remedy fit_rotor "Fit another rotor" {}` + body + "\n}\n"
}

// exampleTest is a test with one fault, about which there is nothing to say.
const exampleTest = `
  test field "Field" {
    read amps : A
    limit amps at least 3.2 A per house
  }
  fault field_open "Field open" { part rotor  shows field.amps low always  remedy fit_rotor }`
