// Embedding is the least program that embeds the library: it parses a sheet, compiles it, takes the readings of one unit and prints what
// they say.
package main

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io"
	"log"
	"os"

	"github.com/brushgear/brushgear/dsl"
	"github.com/brushgear/brushgear/eval"
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
		return err // every mistake in the sheet, each with its place and what to write instead
	}
	bench, err := eval.Compile(files) // compile once, open a job for each unit
	if err != nil {
		return err
	}
	job, err := bench.Open("lintel_40")
	if err != nil {
		return err
	}
	at := map[string]eval.Value{"supply": eval.MustValue("12.0 V"), "winding_temp": eval.MustValue("31 °C")}
	err = errors.Join(
		job.Begin(eval.Round{Stage: eval.AsFound, On: "2026-03-02"}),
		job.Take("field.current", eval.Reading{Value: eval.MustValue("4.1 A"), At: at}),
		job.Take("output.current", eval.Reading{Value: eval.MustValue("22 A")}),
	)
	if err != nil {
		return err
	}
	verdict, err := job.Judge(ctx)
	if err != nil {
		return err
	}
	pass := verdict.Last()
	for check := range pass.Checks() {
		value, _ := check.Value()
		fmt.Fprintf(out, "%s %s: %s, %s\n", check.Name(), value, check.Result(), check.Outcome())
	}
	for fault := range pass.Faults() {
		fmt.Fprintf(out, "%s: %s\n", fault.Title(), fault.Status())
	}
	fmt.Fprintln(out, pass.Unit())
	return nil
}
