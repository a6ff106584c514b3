package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brushgear/brushgear/dsl"
)

func TestWhyGolden(t *testing.T) {
	code, out, errs := call(t, "", "why", "limit-conflict", "bad_reading")
	require.Equal(t, exitOK, code, errs)
	golden(t, "why.txt", out)
}

// Every code that has an example shows what is found in it.
func TestWhyEveryCode(t *testing.T) {
	for info := range dsl.Codes() {
		code, out, errs := call(t, "", "why", string(info.Code))
		require.Equal(t, exitOK, code, errs)
		require.Contains(t, out, info.Why)
		if info.Example != "" {
			require.Contains(t, out, "["+string(info.Code)+"]", "%s: what is found is shown", info.Code)
		}
	}
	code, out, _ := call(t, "", "why")
	require.Equal(t, exitOK, code)
	for info := range dsl.Codes() {
		require.Contains(t, out, string(info.Code)+" ")
	}
}

func TestWhyUnknown(t *testing.T) {
	code, _, errs := call(t, "", "why", "limit-conflct")
	require.Equal(t, exitFailed, code)
	require.Contains(t, errs, "did you mean limit-conflict?")
	code, out, _ := call(t, "", "why", "[BAD-LIMIT]")
	require.Equal(t, exitOK, code, "as it stands in a message, and in capitals")
	require.True(t, strings.HasPrefix(out, "bad-limit: "))
}
