package trial

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"strings"

	"setdown/gait"
	"setdown/report/table"
	"setdown/signal/recording"
)

// tempPrefix begins the names of what is not finished.
const tempPrefix = ".setdown-"

// worker analyses items into the output folder.
type worker struct {
	plan     *Plan
	set      Settings
	settings string // digest
	out      string
	work     string // folder of what is not finished, see open
}

// do analyses one item unless its result is already there. The error is one of
// the output folder or the context's; what is wrong with the inputs is in the
// record. room is for this goroutine alone.
func (w *worker) do(ctx context.Context, it *Item, room *recording.Room) (rec *record, kept bool, err error) {
	old, earlier := readRecord(w.out, it.ID)
	var hashes []hashed
	if earlier {
		hashes = hashInputs(w.plan, it, nil)
		if old.Key == digest(w.set.written(), it, hashes) {
			return old, true, nil
		}
	}
	res, err := w.analyze(ctx, it, room)
	if ctx.Err() != nil {
		return nil, false, ctx.Err()
	}
	if !earlier {
		hashes = hashInputs(w.plan, it, res)
	}
	rec = &record{Schema: recordSchema, Item: *it, Key: digest(w.set.written(), it, hashes), Settings: w.settings, Hashes: hashes,
		State: stateDone, Outputs: map[string]int64{}}
	if err != nil {
		rec.State, rec.Failure = stateFailed, failureOf(err)
	}
	return rec, false, w.keep(rec, res)
}

// analyze opens and analyses. A panic within is a defect of the program, but no
// reason to lose the rest of a trial.
func (w *worker) analyze(ctx context.Context, it *Item, room *recording.Room) (res *gait.Result, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &recording.Error{File: it.ID, Msg: fmt.Sprintf("defect in the program: %v", p),
				Hint: "analyse this recording by itself with setdown analyze and report what is printed"}
		}
	}()
	var sources []recording.Source
	for _, f := range it.Files {
		if !f.Companion {
			sources = append(sources, recording.File(w.plan.abs(f.Path), f.side()))
		}
	}
	opt := w.set.Recording
	opt.Room = room
	set, err := recording.Open(ctx, sources, opt)
	if err != nil {
		return nil, err
	}
	return gait.Analyze(ctx, set, w.set.gait(it))
}

// failureOf keeps what an error says.
func failureOf(err error) *failure {
	var data *recording.Error
	if !errors.As(err, &data) {
		return &failure{Message: err.Error()}
	}
	message := data.Msg
	if data.Column != "" {
		message = fmt.Sprintf("column %q: %s", data.Column, message)
	}
	file := path.Base(data.File)
	if archive := path.Dir(data.File); strings.EqualFold(path.Ext(archive), ".zip") {
		file = path.Base(archive) + "/" + file
	}
	return &failure{File: file, Line: data.Line, Message: message, Hint: data.Hint}
}

// String prints "file:line: message".
func (f *failure) String() string {
	switch {
	case f.File == "" || f.File == ".":
		return f.Message
	case f.Line > 0:
		return fmt.Sprintf("%s:%d: %s", f.File, f.Line, f.Message)
	}
	return f.File + ": " + f.Message
}

// keep writes the recording's folder and puts it in the place of an earlier
// one. A kill at any moment leaves the earlier one, none, or the new one whole.
func (w *worker) keep(rec *record, res *gait.Result) error {
	made, old := filepath.Join(w.work, "new", rec.ID), filepath.Join(w.work, "old", rec.ID)
	if err := os.Mkdir(made, 0o777); err != nil {
		return err
	}
	if err := rec.fill(made, res); err != nil {
		return err
	}
	dir := recordDir(w.out, rec.ID)
	switch err := os.Rename(dir, old); {
	case err == nil:
		defer os.RemoveAll(old)
	case !errors.Is(err, os.ErrNotExist):
		return err
	}
	err := os.Rename(made, dir)
	if err != nil {
		// A repeated task may have put its own, equal result there first.
		if other, ok := readRecord(w.out, rec.ID); ok && other.Key == rec.Key {
			return nil
		}
	}
	return err
}

// open makes the folder in which recordings' folders are made. One for all: a new
// one each would cost as much as two of the files in it.
func (w *worker) open() (err error) {
	if w.work, err = os.MkdirTemp(filepath.Join(w.out, recordingsDir), tempPrefix+"*"); err != nil {
		return err
	}
	return errors.Join(os.Mkdir(filepath.Join(w.work, "new"), 0o777), os.Mkdir(filepath.Join(w.work, "old"), 0o777))
}

// close removes it.
func (w *worker) close() error { return os.RemoveAll(w.work) }

// fill writes the files of a recording's folder, the record last.
func (rec *record) fill(dir string, res *gait.Result) error {
	if res != nil {
		doc := table.NewDocument(res)
		outputs := []struct {
			name  string
			write func(io.Writer) error
		}{
			{stepsName, func(f io.Writer) error { return table.WriteSteps(f, res.Steps) }},
			{sessionName, doc.Write},
			{smallPage, func(f io.Writer) error { return writeSmallPage(f, rec, doc) }},
		}
		for _, o := range outputs {
			size, err := create(filepath.Join(dir, o.name), o.write)
			if err != nil {
				return fmt.Errorf("%s: %w", o.name, err)
			}
			rec.Outputs[o.name] = size
		}
	}
	return rec.write(dir)
}

// create writes a new file and returns its size.
func create(name string, write func(io.Writer) error) (size int64, err error) {
	f, err := os.Create(name)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	b := bufio.NewWriterSize(f, 1<<16)
	if err := write(b); err != nil {
		return 0, err
	}
	if err := b.Flush(); err != nil {
		return 0, err
	}
	info, err := f.Stat()
	if err != nil {
		return 0, err
	}
	return info.Size(), nil
}
