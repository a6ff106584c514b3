package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/brushgear/brushgear/dsl"
)

const alignUsage = `align [flags] [files]

Prints sheets and records in their uniform form: indent, blanks, unit spellings. Comments and line breaks stay. Without files, or for the file -,
standard input is read. A file with errors is left as it is.
`

func align(args []string, std stdio) int {
	f := flags("align", alignUsage, std)
	check := f.Bool("check", false, "print only the names of files that would change, and exit with 1 if there are any")
	write := f.Bool("w", false, "write the files back instead of printing them")
	if code := parseFlags(f, args, std); code >= 0 {
		return code
	}
	names := f.Args()
	if len(names) == 0 {
		names = []string{"-"}
	}
	code := exitOK
	for _, name := range names {
		if err := alignFile(name, *check, *write, std); err != nil {
			code = exitFailed
			if !errors.Is(err, errWouldChange) {
				source := func(string) string { src, _ := os.ReadFile(name); return string(src) }
				printError(std.err, source, err)
			}
		}
	}
	return code
}

var errWouldChange = errors.New("the file would change")

func alignFile(name string, check, write bool, std stdio) error {
	var src []byte
	var err error
	if name == "-" {
		src, err = io.ReadAll(std.in)
	} else {
		src, err = os.ReadFile(name)
	}
	if err != nil {
		return err
	}
	aligned, err := dsl.Format(name, src)
	switch {
	case err != nil:
		return err
	case check && !bytes.Equal(src, aligned):
		fmt.Fprintln(std.out, name)
		return errWouldChange
	case check:
		return nil
	case !write || name == "-":
		_, err = std.out.Write(aligned)
		return err
	case bytes.Equal(src, aligned):
		return nil
	}
	info, err := os.Stat(name)
	if err != nil {
		return err
	}
	return os.WriteFile(name, aligned, info.Mode().Perm())
}
