package eval

import "github.com/brushgear/brushgear/eval/diagnosis"

// Schema is the number of the JSON form of an Explanation. It grows when a field changes its meaning or goes.
const Schema = 1

// An Explanation is a verdict in words: for each pass the readings as taken, their corrections, the limits with their sources, the outcomes,
// and what they say of each fault. It is plain data for a program to show; its JSON form has the number Schema.
type Explanation struct {
	Schema     int                  `json:"schema"`
	Record     string               `json:"record,omitempty"`
	Family     string               `json:"family"`
	Unit       string               `json:"unit"` // the family's title
	Included   []IncludedUnit       `json:"included,omitempty"`
	Serial     string               `json:"serial,omitempty"`
	Complaint  string               `json:"complaint,omitempty"`
	Reproduced string               `json:"complaint_is,omitempty"` // what the record says of it: reproduced, for instance
	Earlier    []string             `json:"earlier,omitempty"`
	Before     []EarlierExplanation `json:"before,omitempty"` // of the earlier records that stand among the sheets
	Date       string               `json:"date,omitempty"`   // whose editions count
	Shop       string               `json:"shop,omitempty"`   // whose limits and rules count
	Sheets     string               `json:"sheets"`           // digest of the sheets
	Facts      []string             `json:"facts,omitempty"`
	Passes     []PassExplanation    `json:"passes"`
	Leaning    []string             `json:"not_acted_on,omitempty"` // what the sheet says and this edition does not act on yet
}

// An IncludedUnit is a unit that belongs to the job, such as the battery.
type IncludedUnit struct {
	Name   string `json:"name"`
	Family string `json:"family,omitempty"`
	Title  string `json:"title"`
}

// A PassExplanation is the verdict of one pass in words.
type PassExplanation struct {
	Stage      string              `json:"stage"`
	By         string              `json:"by,omitempty"`
	On         string              `json:"on,omitempty"`
	Word       UnitWord            `json:"word"`
	Limits     UnitWord            `json:"limits"`
	Stories    []StoryExplanation  `json:"stories,omitempty"`
	AtOdds     string              `json:"at_odds,omitempty"` // the reading that may be a slip
	Slip       string              `json:"slip,omitempty"`    // of the last pass: what it may have been, and what that would explain
	Remedies   []RemedyExplanation `json:"remedies,omitempty"`
	Causes     []string            `json:"causes_to_clear,omitempty"`
	Regardless []string            `json:"replaced_regardless,omitempty"`
	Retests    []string            `json:"to_retest,omitempty"` // after work, and not made since
	Next       *NextExplanation    `json:"next,omitempty"`      // of the last pass
	Tests      []TestExplanation   `json:"tests"`
	NotTested  []Untested          `json:"not_tested,omitempty"`
	Faults     []FaultExplanation  `json:"faults"` // in the order of the sheet, those suspected by how likely they are
	Work       []string            `json:"work,omitempty"`
	Notes      []string            `json:"notes,omitempty"`
}

// A TestExplanation is one test that was carried out.
type TestExplanation struct {
	Name     string             `json:"test"`
	Title    string             `json:"title"`
	Stage    string             `json:"stage,omitempty"`
	New      bool               `json:"in_this_pass"`     // something of it was read in this pass
	Across   string             `json:"across,omitempty"` // terminals in words, positive prod first
	Lifted   []string           `json:"lifted,omitempty"`
	Cautions []string           `json:"cautions,omitempty"`
	Readings []ReadingText      `json:"readings"`
	Checks   []CheckExplanation `json:"checks"`
}

// A ReadingText is one reading as taken.
type ReadingText struct {
	Name  string   `json:"name"`
	Value string   `json:"value"`
	At    []string `json:"at,omitempty"`
	Meter string   `json:"meter,omitempty"`
	Void  string   `json:"void,omitempty"`
	Was   string   `json:"was,omitempty"`
	Stage string   `json:"from_pass,omitempty"` // when it was taken in an earlier pass
	Note  string   `json:"note,omitempty"`      // an overdue meter, work that made it stale
}

// A CheckExplanation is one check with its limit and what came of it.
type CheckExplanation struct {
	Name      string    `json:"check"`
	Value     string    `json:"value,omitempty"`   // what was compared
	Formula   string    `json:"formula,omitempty"` // how it was worked out
	Odd       string    `json:"odd,omitempty"`     // of a list that is not alike: the member that is the odd one, with its reading
	Corrected string    `json:"corrected,omitempty"`
	Expanded  string    `json:"expanded_uncertainty,omitempty"` // of its distance to the limit, k = 2
	Meets     string    `json:"meets,omitempty"`                // how probable it is that the true value meets the limit
	Limit     LimitText `json:"limit,omitzero"`
	Outcomes  []string  `json:"outcomes"`
	Result    Result    `json:"result"`
	Margin    string    `json:"margin,omitempty"`
	Why       string    `json:"why,omitempty"`     // of a result that is no plain pass or fail
	Decides   string    `json:"decides,omitempty"` // what would decide it

	// Where the uncertainty leaves the check marginal or not decidable: what each reading brings of it, the largest share first.
	Budget []ContributionText `json:"budget,omitempty"`
}

// A ContributionText is what one reading adds to the uncertainty of a check.
type ContributionText struct {
	Reading string `json:"reading"`
	Meter   string `json:"meter,omitempty"`
	U       string `json:"standard_uncertainty"` // that of the check if this reading alone were uncertain
	Share   string `json:"share"`                // of the variance
	Shared  bool   `json:"shared,omitempty"`     // part of it is shared by other readings of the meter
}

// A LimitText is a limit as the sheet prints it, and where it comes from.
type LimitText struct {
	Text     string   `json:"text"`
	Here     string   `json:"here,omitempty"` // the bounds in numbers, where the sheet gives a formula or a curve
	Source   string   `json:"source,omitempty"`
	Status   string   `json:"status,omitempty"`
	Layer    string   `json:"layer,omitempty"`
	Place    string   `json:"place,omitempty"` // file:line:column
	Replaced []string `json:"replaced,omitempty"`
}

// Untested is a test that was not carried out, with the reason and the cautions that come before it.
type Untested struct {
	Name     string   `json:"test"`
	Title    string   `json:"title"`
	Reason   string   `json:"reason,omitempty"`
	Cautions []string `json:"cautions,omitempty"`
	Applies  bool     `json:"applies"`
}

// A FaultExplanation says what the readings tell of one fault.
type FaultExplanation struct {
	Name     string           `json:"fault"`
	Title    string           `json:"title"`
	Position []string         `json:"position,omitempty"`
	Part     string           `json:"part,omitempty"`
	Status   diagnosis.Status `json:"status"`
	OneOf    bool             `json:"one_of,omitempty"`  // the fault is shown, and this is one of the positions that it can be
	Because  []string         `json:"because,omitempty"` // the outcomes that speak for or against it
	Remedy   string           `json:"remedy,omitempty"`
	OrElse   string           `json:"or_else,omitempty"`
	Retest   []string         `json:"retest,omitempty"`
	Causes   []string         `json:"look_for,omitempty"` // root causes to ask about
	Why      string           `json:"why,omitempty"`      // how the sheet explains it
}

// A StoryExplanation is one explanation of the readings: faults that are there together, each needed. No faults: the unit is good.
type StoryExplanation struct {
	Faults []string `json:"faults"`
	Likely string   `json:"likely"`         // in words, among all stories
	Slip   bool     `json:"slip,omitempty"` // no fault, although a limit failed: a reading would be a slip
}

// A RemedyExplanation is what to fit or mend.
type RemedyExplanation struct {
	Name   string           `json:"remedy"`
	Title  string           `json:"title"`
	Status diagnosis.Status `json:"status"` // shown: do it; suspected: it may be needed
	For    []string         `json:"for"`
	Retest []string         `json:"retest,omitempty"`
	Note   string           `json:"note,omitempty"`
}

// A NextExplanation is the test to make next, and why.
type NextExplanation struct {
	Test     string   `json:"test"`
	Title    string   `json:"title"`
	Repeat   bool     `json:"repeat,omitempty"`
	Minutes  string   `json:"minutes,omitempty"`
	Teardown string   `json:"teardown,omitempty"` // minutes before it, to bring the unit to Stage
	Stage    string   `json:"stage,omitempty"`
	Cautions []string `json:"cautions,omitempty"`
	Steps    []string `json:"steps,omitempty"`
	Because  []string `json:"because"` // what each outcome would mean
	Plan     string   `json:"plan,omitempty"`
}

// An EarlierExplanation is what a record said that this one comes back from.
type EarlierExplanation struct {
	Record    string   `json:"record"`
	Word      UnitWord `json:"word"` // of its last pass
	Shown     []string `json:"shown,omitempty"`
	Work      []string `json:"work,omitempty"`
	NotTested []string `json:"not_tested,omitempty"`
}
