package recording

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Source is one input that can be opened again for each pass.
type Source struct {
	// Name is the file's name without folders; it stands in every message.
	Name string
	// Side is the side that the user gave; SideUnknown leaves it to the file.
	Side Side
	// Mapping says by hand which column of this file holds what; it comes before
	// Options.Mapping. nil where nothing was said about this file alone.
	Mapping *Mapping
	// Folder is where the file stands, for a side or place that its name does not tell:
	// what it shares with the folders of all other sources tells nothing. It may be empty.
	Folder string
	// Open opens the bytes as given, before decompression.
	Open func() (io.ReadCloser, error)
	// Sibling opens a file that stands beside this one, by its name; nil when
	// there is no folder to look in. Motion-BIDS keeps its headings in one.
	Sibling func(name string) (io.ReadCloser, error)
}

// File is a source on disk.
func File(path string, side Side) Source {
	return Source{
		Name:   filepath.Base(path),
		Side:   side,
		Folder: filepath.ToSlash(filepath.Dir(path)),
		Open:   func() (io.ReadCloser, error) { return openPath(path) },
		Sibling: func(name string) (io.ReadCloser, error) {
			return openPath(filepath.Join(filepath.Dir(path), filepath.Base(name)))
		},
	}
}

// Bytes is a source in memory: an upload, or standard input read to its end.
// The bytes must not change while the source is in use.
func Bytes(name string, data []byte, side Side) Source {
	return Source{
		Name: filepath.Base(name),
		Side: side,
		Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil },
	}
}

// MaxStream is how many bytes FromReader keeps of a stream that cannot be
// opened twice.
const MaxStream = 1 << 30

// FromReader reads a stream (standard input) to its end into memory and makes
// a source of it. The error is an *Error if the stream fails or holds more than
// MaxStream bytes.
func FromReader(name string, r io.Reader, side Side) (Source, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxStream+1))
	if err != nil {
		return Source{}, openError(name, err)
	}
	if len(data) > MaxStream {
		return Source{}, fault(name, 0, "holds more than %d MiB", MaxStream>>20).
			hint("save it to a file and give the file's name")
	}
	return Bytes(name, data, side), nil
}

// openPath opens a regular file. A pipe is refused before it is waited for: a source
// is opened more than once, and what a pipe gave the first time is gone.
func openPath(path string) (io.ReadCloser, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, &fs.PathError{Op: "read", Path: path, Err: errFolder}
	case !info.Mode().IsRegular():
		return nil, &fs.PathError{Op: "read", Path: path, Err: errStream}
	}
	return os.Open(path)
}

var (
	errStream    = errors.New("is a stream, not a file")
	errFolder    = errors.New("is a folder")
	errNoSibling = errors.New("no folder to look in")
)

// openError turns an operating system's error into one line and a hint.
func openError(name string, err error) *Error {
	e := &Error{File: name, Err: err}
	switch {
	case errors.Is(err, errFolder):
		e.Msg, e.Hint = "is a folder, not a file", "name the files in it, or use setdown batch for a folder of recordings"
	case errors.Is(err, errStream):
		e.Msg, e.Hint = "is a pipe or a device, not a file", "save what it gives in a file"
	case errors.Is(err, fs.ErrNotExist):
		e.Msg, e.Hint = "no such file", "check the name and the folder"
	case errors.Is(err, fs.ErrPermission):
		e.Msg, e.Hint = "no permission to read it", "change the file's permissions or copy it"
	default:
		var p *fs.PathError
		if errors.As(err, &p) {
			err = p.Err
		}
		e.Msg, e.Hint = err.Error(), "check the name, or copy the file to another place and name that"
	}
	return e
}
