package dsl

import (
	"errors"
	"io/fs"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

func mapFS(files map[string]string) fstest.MapFS {
	fsys := fstest.MapFS{}
	for name, src := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(src)}
	}
	return fsys
}

func namesOf(files []*File) []string {
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	return names
}

func TestParseFS(t *testing.T) {
	const head = "brushgear 1\n"
	tests := []struct {
		name   string
		files  map[string]string
		read   []string
		want   []string // names of the files, in order
		finds  Code
		place  string // of the finding
		detail string // part of the error
	}{
		{name: "nothing", want: nil},
		{name: "one file", files: map[string]string{"a.sheet": head}, read: []string{"a.sheet"}, want: []string{"a.sheet"}},
		{name: "used files come first, each once", read: []string{"a.sheet", "b.sheet", "./c.sheet"}, want: []string{"c.sheet", "b.sheet", "a.sheet"}, files: map[string]string{
			"a.sheet": head + "use \"b.sheet\"\nuse \"c.sheet\"", "b.sheet": head + "use \"c.sheet\"", "c.sheet": head}},
		{name: "names are relative to the file", read: []string{"x/a.sheet"}, want: []string{"y/b.sheet", "x/z/c.sheet", "x/a.sheet"}, files: map[string]string{
			"x/a.sheet": head + "use \"../y/b.sheet\"\nuse \"z/c.sheet\"", "y/b.sheet": head, "x/z/c.sheet": head + "use \"../../y/b.sheet\""}},
		{name: "circle", read: []string{"a.sheet"}, want: []string{"b.sheet", "a.sheet"}, finds: CodeUseCycle, place: "b.sheet:2:5", detail: "a.sheet uses b.sheet uses a.sheet",
			files: map[string]string{"a.sheet": head + `use "b.sheet"`, "b.sheet": head + `use "a.sheet"`}},
		{name: "itself", read: []string{"a.sheet"}, want: []string{"a.sheet"}, finds: CodeUseCycle, place: "a.sheet:2:5", detail: "a.sheet uses a.sheet",
			files: map[string]string{"a.sheet": head + `use "./a.sheet"`}},
		{name: "missing file", read: []string{"a.sheet"}, want: []string{"a.sheet"}, finds: CodeUseMissing, place: "a.sheet:2:5", detail: "there is none of this name",
			files: map[string]string{"a.sheet": head + `use "b.sheet"`}},
		{name: "file outside", read: []string{"a.sheet"}, want: []string{"a.sheet"}, finds: CodeUseMissing, place: "a.sheet:2:5", detail: "leads out of the folder",
			files: map[string]string{"a.sheet": head + `use "../b.sheet"`}},
		{name: "mistakes of all files", read: []string{"a.sheet"}, want: []string{"b.sheet", "a.sheet"}, finds: CodeUnexpected, place: "a.sheet:3:8", detail: "and 1 more",
			files: map[string]string{"a.sheet": head + "use \"b.sheet\"\nsource s", "b.sheet": head + "limit 5"}},
		{name: "missing first file", read: []string{"b.sheet", "a.sheet"}, want: []string{"a.sheet"}, detail: "b.sheet", files: map[string]string{"a.sheet": head}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			files, err := ParseFS(mapFS(tt.files), tt.read...)
			require.Equal(t, tt.want, namesOf(files))
			if tt.detail == "" {
				require.NoError(t, err)
				return
			}
			require.ErrorContains(t, err, tt.detail)
			if tt.finds == "" {
				require.ErrorIs(t, err, fs.ErrNotExist)
				return
			}
			var ds Diagnostics
			require.True(t, errors.As(err, &ds))
			require.Equal(t, tt.finds, ds[0].Code)
			require.Equal(t, tt.place, ds[0].Range.Pos.String())
		})
	}
}

func TestParseFSRefusesLargeFiles(t *testing.T) {
	fsys := mapFS(map[string]string{"a.sheet": "brushgear 1\nuse \"b.sheet\"\n", "b.sheet": "brushgear 1\n# a comment that is long\n"})
	files, err := Limits{Bytes: 30}.ParseFS(fsys, "a.sheet")
	require.Len(t, files, 2)
	var ds Diagnostics
	require.True(t, errors.As(err, &ds))
	require.Len(t, ds, 1)
	require.Equal(t, CodeTooLarge, ds[0].Code)
	require.Equal(t, "b.sheet", ds[0].Range.Pos.Filename)
	require.Contains(t, ds[0].Message, "more than the limit of 30")
}
