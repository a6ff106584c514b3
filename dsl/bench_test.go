package dsl

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func BenchmarkParse(b *testing.B) {
	names, err := filepath.Glob("../testdata/sheets/*.sheet")
	require.NoError(b, err)
	for _, name := range names {
		src, err := os.ReadFile(name)
		require.NoError(b, err)
		b.Run(filepath.Base(name), func(b *testing.B) {
			b.SetBytes(int64(len(src)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Parse("x", src); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
