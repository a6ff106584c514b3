package units

import "testing"

func BenchmarkParse(b *testing.B) {
	for _, text := range []string{"2.45 Ω", "9.6 mV", "-40 °F", "2-3/16 in", "18.5 lbf·ft", "-12 mV/K", "1.2345678901234567890 V", "0.5 Oe"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Parse(text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkParseUnknownUnit(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse("4 voltz"); err == nil {
			b.Fatal("no error")
		}
	}
}

func BenchmarkCompare(b *testing.B) {
	inch, millimetre := Must("1/4 in"), Must("6.35 mm")
	b.ReportAllocs()
	for b.Loop() {
		if c, err := inch.Compare(millimetre); c != 0 || err != nil {
			b.Fatal(c, err)
		}
	}
}

func BenchmarkIn(b *testing.B) {
	q, u := Must("1/4 in"), MustUnit("mm")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := q.In(u); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNew(b *testing.B) {
	u := MustUnit("mm")
	b.ReportAllocs()
	for b.Loop() {
		if q := New(6.35, u); q.SI() != 0.00635 {
			b.Fatal(q)
		}
	}
}

func BenchmarkMul(b *testing.B) {
	volts, amperes := Must("12.4 V"), Must("90 A")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := volts.Mul(amperes); err != nil {
			b.Fatal(err)
		}
	}
}
