package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// 12.0 V / 4.1 A = 2.927 Ω at 31 °C; at 20 °C 2.927 Ω × 254.5 / 265.5 = 2.806 Ω by the copper law (IEEE 118, k = 234.5), printed as finely
// as the current was read.
func TestJudge(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, judge(context.Background(), &out))
	for _, want := range []string{
		"Lintel 40 A, 12 V alternator",
		"faulty",
		"FAIL, low: resistance 2.8 Ω (from 2.9 Ω by copper",
		"limit 3.4 Ω to 3.8 Ω",
		"FAIL, low: current 22 A; limit at least 36 A (Lintel bench sheet 1, edition 1)",
		"Shown: Turns of the field shorted",
		"Ruled out: Field winding open",
	} {
		require.Contains(t, out.String(), want)
	}
}

// A snippet that no program runs goes stale.
func TestReadmeShowsJudge(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	program, err := os.ReadFile("main.go")
	require.NoError(t, err)
	_, judge, found := strings.Cut(string(program), "func judge(")
	require.True(t, found)
	require.True(t, strings.Contains(string(readme), "func judge("+judge), "the README shows another judge than main.go: copy the function there, unchanged")
}
