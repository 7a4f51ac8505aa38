// Package report writes the report folder of a session: steps.csv,
// session.json and report.html, whole or not at all.
package report

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"setdown/gait"
	"setdown/gait/estimate"
	"setdown/report/page"
	"setdown/report/table"
)

// Format is one kind of output.
type Format string

// The formats.
const (
	CSV  Format = "csv"
	JSON Format = "json"
	HTML Format = "html"
)

// output is the file that a format makes.
type output struct {
	format Format
	name   string
	write  func(io.Writer, *gait.Result) error
}

// outputs returns all formats in the order in which they are written.
func outputs() []output {
	return []output{
		{CSV, "steps.csv", func(w io.Writer, r *gait.Result) error { return table.WriteSteps(w, r.Steps) }},
		{JSON, "session.json", table.WriteSession},
		{HTML, PageName, page.Write},
	}
}

// PageName is the name of the page in the report folder.
const PageName = "report.html"

// Formats returns all formats.
func Formats() []Format { return []Format{CSV, JSON, HTML} }

// ParseFormats reads a list such as "csv,json".
func ParseFormats(list string) ([]Format, error) {
	var out []Format
	for word := range strings.SplitSeq(list, ",") {
		f := Format(strings.ToLower(strings.TrimSpace(word)))
		if !slices.Contains(Formats(), f) {
			return nil, fmt.Errorf("no format %q; the formats are csv, json and html", word)
		}
		if !slices.Contains(out, f) {
			out = append(out, f)
		}
	}
	return out, nil
}

// Options say what is written and where it may be written.
type Options struct {
	// Formats to write; all when empty.
	Formats []Format
	// Force allows a folder that is not empty. Files of an earlier report in it
	// are replaced, or removed where their format is not written; all other
	// files stay.
	Force bool
}

// ErrNotEmpty is returned, with the folder, when a folder has files in it and
// Options.Force is not set.
var ErrNotEmpty = errors.New("the folder is not empty")

// ErrNowhere is returned, with the folder, when it is a link to a folder that does
// not exist.
var ErrNowhere = errors.New("the folder is a link that leads nowhere")

// Files are the files in dir that a report there makes or replaces.
func Files(dir string) []string {
	var out []string
	for _, o := range outputs() {
		out = append(out, filepath.Join(dir, o.name))
	}
	return out
}

// unfinished begins the name of what is not finished; only a kill leaves it behind.
const unfinished = ".setdown-"

// Check tells whether Write could write to dir, so that a caller can refuse
// before long work. The error wraps ErrNotEmpty where force would help.
func Check(dir string, force bool) error {
	entries, err := os.ReadDir(dir)
	entries = slices.DeleteFunc(entries, func(e os.DirEntry) bool { return strings.HasPrefix(e.Name(), unfinished) })
	switch {
	case errors.Is(err, os.ErrNotExist):
		if _, err := os.Lstat(dir); err == nil {
			return fmt.Errorf("%s: %w", dir, ErrNowhere)
		}
		return nil
	case err != nil:
		return err
	case len(entries) > 0 && !force:
		return fmt.Errorf("%s: %w", dir, ErrNotEmpty)
	}
	return nil
}

// Write writes the report of res into dir, which is made, with its parents,
// when it does not exist. Everything is written to a temporary folder first, beside
// a new dir and within one that is there, whose file system may be another than its
// parent's: when anything fails, dir is as it was before.
func Write(dir string, res *gait.Result, opt Options) error {
	if err := Check(dir, opt.Force); err != nil {
		return err
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return err
	}
	place := dir
	_, err = os.Stat(dir)
	fresh := errors.Is(err, os.ErrNotExist)
	if fresh {
		place = filepath.Dir(dir)
		if err := os.MkdirAll(place, 0o777); err != nil {
			return err
		}
	}
	work, err := os.MkdirTemp(place, unfinished+"*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work) // only the emptied frame is left after success
	made, old := filepath.Join(work, "new"), filepath.Join(work, "old")
	if err := errors.Join(os.Mkdir(made, 0o777), os.Mkdir(old, 0o777)); err != nil {
		return err
	}
	if err := fill(made, res, opt.Formats); err != nil {
		return err
	}
	if fresh {
		return os.Rename(made, dir)
	}
	return replace(dir, made, old)
}

// fill writes the files of the formats into an empty folder, side by side: nothing
// that writes one changes the result.
func fill(dir string, res *gait.Result, formats []Format) error {
	all := outputs()
	errs := make([]error, len(all))
	estimate.Each(len(all), func(i int) {
		o := all[i]
		if len(formats) > 0 && !slices.Contains(formats, o.format) {
			return
		}
		if err := create(filepath.Join(dir, o.name), res, o.write); err != nil {
			errs[i] = fmt.Errorf("%s: %w", o.name, err)
		}
	})
	return errors.Join(errs...)
}

func create(name string, res *gait.Result, write func(io.Writer, *gait.Result) error) (err error) {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return write(f, res)
}

// replace moves the report files in dir to old and those in made to dir. When
// a move fails, those already made are taken back. All three are folders of
// one file system.
func replace(dir, made, old string) error {
	var undo []func() error
	move := func(from, to string) error {
		if _, err := os.Lstat(from); errors.Is(err, os.ErrNotExist) {
			return nil // this format was not there or is not written
		}
		err := os.Rename(from, to)
		if err == nil {
			undo = append(undo, func() error { return os.Rename(to, from) })
		}
		return err
	}
	for _, o := range outputs() {
		have := filepath.Join(dir, o.name)
		err := move(have, filepath.Join(old, o.name))
		if err == nil {
			err = move(filepath.Join(made, o.name), have)
		}
		if err != nil {
			for _, back := range slices.Backward(undo) {
				err = errors.Join(err, back())
			}
			return err
		}
	}
	return nil
}
