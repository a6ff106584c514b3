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
		{`{"record": 5}`, `record:1:13: record stands as a number; write a text in quotes`},
		{`{"record": "J-1"`, `record:1:17: the record ends too early; close what was opened`},
		{`{"record": "J-1",, "of": "a"}`, `record:1:18: `},
		{`{"record": "J-1"} {}`, `record:1:18: there is more text after the record`},
		{`[]`, `record:1:2: a record stands as a list in [ ]; write an object in { }`},
		{``, `record:1:1: the record ends too early`},
	} {
		_, err := eval.ReadRecord([]byte(test.text))
		require.Error(t, err, test.text)
		require.Contains(t, err.Error(), test.want, test.text)
	}
	r, err := eval.ReadRecord([]byte(`{"record": "J-1", "Of": "a", "units": {"battery": "b"}, "passes": [{"stage": "as found", "at": {"supply": "12 V"}, "entries": [{"taken": "t.x", "values": {"x": "1 A"}}]}]}`))
	require.NoError(t, err)
	require.Equal(t, "a", r.Family)
	require.Len(t, r.Passes[0].Entries[0].Values, 1)
}
