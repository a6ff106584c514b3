package main

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/require"
)

// 12.0 V / 4.1 A = 2.927 Ω at 31 °C; brought to 20 °C by copper (IEEE 118, k = 234.5): 2.927 Ω × 254.5 / 265.5 = 2.806 Ω.
func TestJudge(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, judge(context.Background(), &out))
	require.Equal(t, `
`, "\n"+out.String())
}
