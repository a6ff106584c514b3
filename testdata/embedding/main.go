// Embedding is the least program that embeds the library: it parses a sheet, compiles it, takes the readings of one unit and prints what
// they say. The function judge stands in the README.
package main

import (
	"context"
	"embed"
	"errors"
	"io"
	"log"
	"os"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
	"github.com/brushgear/brushgear/eval/report"
)

//go:embed lintel.sheet
var sheets embed.FS

func main() {
	if err := judge(context.Background(), os.Stdout); err != nil {
		log.Fatal(err)
	}
}

func judge(ctx context.Context, out io.Writer) error {
	files, err := dsl.ParseFS(sheets, "lintel.sheet")
	if err != nil {
		return err // every mistake in the sheet, with its place and what to write instead
	}
	bench, err := eval.Compile(files) // once; then open a job for each unit
	if err != nil {
		return err
	}
	job, err := bench.Open("lintel_40")
	if err != nil {
		return err
	}
	at := map[string]eval.Value{"supply": eval.MustValue("12.0 V"), "winding_temp": eval.MustValue("31 °C")}
	err = errors.Join(
		job.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02", At: at}),
		job.Take("field.current", eval.Reading{Value: eval.MustValue("4.1 A")}),
		job.Take("output.current", eval.Reading{Value: eval.MustValue("22 A")}),
	)
	if err != nil {
		return err
	}
	verdict, err := job.Judge(ctx)
	if err != nil {
		return err
	}
	return report.Text(out, verdict.Explain())
}
