package plan

import (
	"encoding/json"
	"math"
)

// JSON has no number for +Inf: costs that are +Inf are null there.

type (
	plainPlan   Plan
	plainChoice Choice
	planJSON    struct {
		plainPlan
		Cost, Bound *float64
	}
	choiceJSON struct {
		plainChoice
		Cost *float64
	}
)

// finite is a cost, nil for +Inf.
func finite(cost float64) *float64 {
	if math.IsInf(cost, 1) {
		return nil
	}
	return &cost
}

// infinite is a cost that JSON has, +Inf for null.
func infinite(cost *float64) float64 {
	if cost == nil {
		return math.Inf(1)
	}
	return *cost
}

// MarshalJSON writes the fields under their names. A Cost or a Bound of +Inf is null.
func (p *Plan) MarshalJSON() ([]byte, error) {
	if p == nil {
		return []byte("null"), nil
	}
	return json.Marshal(planJSON{plainPlan(*p), finite(p.Cost), finite(p.Bound)})
}

// UnmarshalJSON reads what MarshalJSON writes. As in all JSON, null leaves what is there.
func (p *Plan) UnmarshalJSON(text []byte) error {
	var in planJSON
	if err := json.Unmarshal(text, &in); err != nil || string(text) == "null" {
		return err
	}
	*p = Plan(in.plainPlan)
	p.Cost, p.Bound = infinite(in.Cost), infinite(in.Bound)
	return nil
}

// MarshalJSON writes the fields under their names. A Cost of +Inf is null.
func (c Choice) MarshalJSON() ([]byte, error) {
	return json.Marshal(choiceJSON{plainChoice(c), finite(c.Cost)})
}

// UnmarshalJSON reads what MarshalJSON writes. As in all JSON, null leaves what is there.
func (c *Choice) UnmarshalJSON(text []byte) error {
	var in choiceJSON
	if err := json.Unmarshal(text, &in); err != nil || string(text) == "null" {
		return err
	}
	*c = Choice(in.plainChoice)
	c.Cost = infinite(in.Cost)
	return nil
}
