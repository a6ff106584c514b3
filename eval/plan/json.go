package plan

import (
	"encoding/json"
	"math"
)

// plainChoice is a Choice as JSON has it, but for its cost.
type plainChoice Choice

// choiceJSON has null for a cost that is +Inf, for which JSON has no number.
type choiceJSON struct {
	plainChoice
	Cost *float64
}

// MarshalJSON writes the fields under their names. A Cost of +Inf is null.
func (c Choice) MarshalJSON() ([]byte, error) {
	out := choiceJSON{plainChoice: plainChoice(c)}
	if !math.IsInf(c.Cost, 1) {
		out.Cost = &c.Cost
	}
	return json.Marshal(out)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (c *Choice) UnmarshalJSON(text []byte) error {
	var in choiceJSON
	if err := json.Unmarshal(text, &in); err != nil {
		return err
	}
	*c = Choice(in.plainChoice)
	c.Cost = math.Inf(1)
	if in.Cost != nil {
		c.Cost = *in.Cost
	}
	return nil
}
