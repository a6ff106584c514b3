package peers

import "testing"

func BenchmarkJudge(b *testing.B)        { bench(b, "Judge") }
func BenchmarkRank(b *testing.B)         { bench(b, "Rank") }
func BenchmarkJudgeMetered(b *testing.B) { bench(b, "JudgeMetered") }
func BenchmarkFigures(b *testing.B)      { bench(b, "Figures") }
func BenchmarkTakeAndJudge(b *testing.B) { bench(b, "TakeAndJudge") }
func BenchmarkCompile(b *testing.B)      { bench(b, "Compile") }
func BenchmarkLoad(b *testing.B)         { bench(b, "Load") }
func BenchmarkParse(b *testing.B)        { bench(b, "Parse") }

func bench(b *testing.B, name string) {
	for _, c := range Contests() {
		if c.Name != name {
			continue
		}
		for _, s := range c.Sides {
			b.Run(s.Name, s.Bench)
		}
	}
}
