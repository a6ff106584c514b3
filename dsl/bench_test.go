package dsl

import (
	"maps"
	"slices"
	"testing"
)

func BenchmarkParse(b *testing.B) {
	files := corpus(b)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		b.Run(name, func(b *testing.B) {
			src := []byte(files[name])
			b.SetBytes(int64(len(src)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Parse(name, src); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkFormat(b *testing.B) {
	src := corpus(b)["motor.sheet"]
	f := mustParse(b, src)
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := f.Format(); err != nil {
			b.Fatal(err)
		}
	}
}
