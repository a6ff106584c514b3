package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/eval"
)

// TestVoid: what is void speaks no more, the verdict before keeps what it said, and the record is as if it had been void from the start.
func TestVoid(t *testing.T) {
	j, err := generatorBench().Open("generator_22")
	require.NoError(t, err)
	require.NoError(t, j.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02"}))
	require.NoError(t, j.Include("battery", "bench_50"))
	require.NoError(t, j.Take("field.ohms", value("6.0 Ω")))
	require.NoError(t, j.Take("field.ohms", value("2.0 Ω")))
	require.NoError(t, j.Take("battery.rest.volts", value("12.6 V")))
	v, err := j.Judge(t.Context())
	require.NoError(t, err)
	before := v.Explain()
	outcomes := func() []string {
		again, err := j.Judge(t.Context())
		require.NoError(t, err)
		c, _ := again.Last().Check("field.ohms")
		b, _ := again.Last().Check("battery.rest.volts")
		return []string{c.Result().String(), b.Result().String()}
	}
	require.Equal(t, []string{"not decidable", "pass"}, outcomes())
	require.NoError(t, j.Void("field", "prod slipped"))
	require.Equal(t, []string{"pass", "pass"}, outcomes())
	require.Equal(t, before, v.Explain())
	require.NoError(t, j.Void("field", "wrong coil"))
	require.NoError(t, j.Void("battery.rest", "under charge"))
	require.Equal(t, []string{"not tested", "not tested"}, outcomes())

	written, err := generatorBench().Open("generator_22")
	require.NoError(t, err)
	require.NoError(t, written.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02"}))
	require.NoError(t, written.Include("battery", "bench_50"))
	void := func(text, why string) eval.Reading { return eval.Reading{Value: eval.MustValue(text), Void: why} }
	require.NoError(t, written.Take("field.ohms", void("6.0 Ω", "wrong coil")))
	require.NoError(t, written.Take("field.ohms", void("2.0 Ω", "prod slipped")))
	require.NoError(t, written.Take("battery.rest.volts", void("12.6 V", "under charge")))
	require.Equal(t, written.Record(), j.Record())

	require.NoError(t, j.Take("field.ohms", value("2.1 Ω")))
	require.Equal(t, []string{"fail", "not tested"}, outcomes())
	record := j.Record()
	for ref, want := range map[string]string{
		"feild":               "void feild: there is no test feild; did you mean field",
		"battery.rest.volts":  "name the test alone: battery.rest",
		"field.ohms":          "name the test alone: field",
		"growler":             "void growler: nothing was read of it",
		"battery.rest":        "void battery.rest: all that was read of it is void already",
		"battery.nonesuch":    "void battery.nonesuch: there is no test nonesuch",
		"":                    "void : there is no test",
		"field.ohms.and.more": "name the test alone: field",
	} {
		require.ErrorContains(t, j.Void(ref, "slipped"), want)
	}
	for _, blank := range []string{"", " ", "\n\t"} {
		require.ErrorContains(t, j.Void("field", blank), "void field: the reason is blank")
	}
	require.Equal(t, record, j.Record())
}
