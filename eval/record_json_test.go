package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
)

func TestReadRecordErrors(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"{\n \"record\": \"J-1\",\n \"unit\": \"a\"}", `record:3:2: there is no field unit; did you mean units?`},
		{`{"record": "J-1", "passes": [{"stage": "as found", "steps": []}]}`, `record:1:52: there is no field steps; known here: at, by, entries, on, stage`},
		{`{"record": "J-1", "passes": [{"entries": [{"taken": "a.b", "value": "6.1 Q"}]}]}`, `record:1:69: there is no unit Q; write a unit such as`},
		{`{"record": 5}`, `record:1:12: record stands as a number; write a text in quotes`},
		{`{"record": "J-1"`, `record:1:17: the record ends too early; close what was opened`},
		{`{"record": "J-1",, "of": "a"}`, `record:1:18: `},
		{`{"record": "J-1"} {}`, `record:1:18: there is more text after the record`},
		{`[]`, `record:1:1: a record stands as a list in [ ]; write an object in { }`},
		{``, `record:1:1: the record ends too early`},
		{"{\"record\": \"J-1\", \"of\": \"a\",\n \"passes\": [{\"entries\": [{\"taken\": \"a.b\", \"value\": 30}]}]}",
			`record:2:52: value stands as a number; write it as a text with its unit, such as "30 A"`},
		{"{\"record\": \"J-1\",\n \"set\": [{\"name\": \"rated\", \"value\": [1, 2]}]}", `record:2:37: value stands as a list in [ ]; write the list as one text with its unit behind it, such as "(9.6 9.7 mV)"`},
		{`{"passes": [{"entries": [{"taken": "a", "values": {"x": {"v": 1}}}]}]}`, `record:1:57: x stands as an object in { }; write a text with its unit, such as "30 A"; several values of a test stand under values`},
		{`{"passes": [{"at": {"hot": true}}]}`, `record:1:28: hot stands as true or false; write the word that the sheet has for it, as a text`},
		{`{"record": "J-1", "of": "a", "of": "b"}`, `record:1:30: of stands twice in one object; write it once`},
		{`{"passes": [{"entries": [{"taken": "a", "values": {"x": "1 A", "x": "2 A"}}]}]}`, `record:1:64: x stands twice in one object`},
		{`{"RECORD": "J-1"}`, `record:1:2: there is no field RECORD; did you mean record?`},
		{`{"record": "J-1", "passes": "none"}`, `record:1:29: passes stands as a text in quotes; write a list in [ ]`},
		{`{"record": "J-1", "trial": "yes"}`, `record:1:28: trial stands as a text in quotes; write true or false`},
		{`{"record": "J-1", "decade": 1.5}`, `decade stands as a number; write a whole number`},
		{`{"record": "J-1", "passes": []}`, `record:1:1: no family is named; write "of" and the family of the unit into the record`},
		{`{"passes": [{"entries": [{"taken": "a.b", "value": "2 ; 3"}]}]}`, `record:1:52: ; does not belong to a value; write the value alone`},
	} {
		_, err := eval.ReadRecord([]byte(test.text))
		require.Error(t, err, test.text)
		require.Contains(t, err.Error(), test.want, test.text)
	}
	r, err := eval.ReadRecord([]byte("\uFEFF" + `{"record": "J-1", "of": "a", "units": {"battery": "b"}, "passes": [{"stage": "as found", "at": {"supply": "12 V"}, "entries": [{"taken": "t.x", "values": {"x": "1 A"}}]}]}`))
	require.NoError(t, err)
	require.Equal(t, "a", r.Family)
	require.Len(t, r.Passes[0].Entries[0].Values, 1)
}
