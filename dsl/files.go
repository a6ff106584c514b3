package dsl

import (
	"errors"
	"io"
	"io/fs"
	"path"
	"strings"
)

// ParseFS reads the named files and all files that they use, each once, relative names from the file that names them. Files come in the
// order in which a reader needs them: used files before the files that use them. The files that could be read are returned whatever the
// error; it unwraps to the Diagnostics of all files, and to the error of a named file that cannot be opened. ParseFS is safe for
// concurrent use if fsys is.
func ParseFS(fsys fs.FS, names ...string) ([]*File, error) { return Limits{}.ParseFS(fsys, names...) }

// ParseFS is the function ParseFS within the limits l, which hold for each file.
func (l Limits) ParseFS(fsys fs.FS, names ...string) ([]*File, error) {
	s := &loader{fsys: fsys, limits: l.withDefaults(), state: map[string]loadState{}}
	for _, name := range names {
		s.load(path.Clean(name), nil)
	}
	s.diags.Sort()
	return s.files, errors.Join(append(s.errs, s.diags.Err())...)
}

type loadState int

const (
	loading loadState = iota + 1
	loaded
)

type loader struct {
	fsys   fs.FS
	limits Limits
	state  map[string]loadState
	trail  []string // files under way, each used by the one before
	files  []*File
	diags  Diagnostics
	errs   []error
}

// load reads a file unless that was done; use is the statement that names it, nil if the caller did.
func (s *loader) load(name string, use *Use) {
	switch s.state[name] {
	case loading:
		s.report(CodeUseCycle, use, "these files use each other in a circle: "+strings.Join(append(s.trail, name), " uses "), "move what both need into a third file")
		return
	case loaded:
		return
	}
	src, err := s.read(name)
	switch {
	case err != nil && use == nil:
		s.errs = append(s.errs, err)
		return
	case err != nil:
		s.report(CodeUseMissing, use, "this file cannot be read: "+reason(name, err), "name it relative to the file that uses it, with / between folders")
		return
	}
	s.state[name] = loading
	s.trail = append(s.trail, name)
	f, _ := s.limits.Parse(name, src)
	s.diags = append(s.diags, f.diags...)
	for _, u := range f.Uses {
		s.load(path.Join(path.Dir(name), u.Path.String()), u)
	}
	s.files = append(s.files, f)
	s.trail = s.trail[:len(s.trail)-1]
	s.state[name] = loaded
}

// read takes in at most one byte more than the limit, so that a huge file is refused and not held.
func (s *loader) read(name string) ([]byte, error) {
	f, err := s.fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, int64(s.limits.Bytes)+1))
}

func (s *loader) report(code Code, use *Use, message, help string) {
	s.diags = append(s.diags, &Diagnostic{Code: code, Severity: Error, Range: use.Path.Range, Message: message, Help: help})
}

// reason says why a file cannot be read. Whether a name may lead out of the folder is for the file system to decide.
func reason(name string, err error) string {
	var pathErr *fs.PathError
	switch {
	case !fs.ValidPath(name) && (errors.Is(err, fs.ErrInvalid) || errors.Is(err, fs.ErrNotExist)):
		return "its name leads out of the folder"
	case errors.Is(err, fs.ErrNotExist):
		return "there is none of this name"
	case errors.As(err, &pathErr):
		return pathErr.Err.Error()
	}
	return err.Error()
}
