package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"time"
	"unicode"
	"unicode/utf8"

	"setdown/report/casebook"
	"setdown/signal/recording"
)

// phase is how far an upload has come.
type phase string

// The phases in order. A failed upload can be read again with corrections.
const (
	phaseReading   phase = "reading"
	phaseCheck     phase = "check"
	phaseComputing phase = "computing"
	phaseDone      phase = "done"
)

// file is one uploaded file. Its name stands in messages only: on the disk it
// is called by its number.
type file struct {
	Name  string
	Bytes int64
	// Side is the side that was given, SideUnknown where the file decides.
	Side recording.Side
}

// intake is one upload on its way to a session.
type intake struct {
	id   string
	made time.Time
	root *os.Root

	// read and total are bytes, of which a bar is drawn.
	read, total atomic.Int64

	mu    sync.Mutex
	files []file
	phase phase
	work  *work
	// problems are errors by file name; "" is about all files.
	problems []problem
	seen     *seen
	how      casebook.Reading
	// single asks to correct each file by itself, also where they are alike.
	single bool
	// caseID is the case that the session is meant for; "" while not chosen.
	caseID string
	done   string
}

// problem is an error beside the file that caused it.
type problem struct {
	File, Text, Hint string
	Link             *link
}

// ID and Names are for templates.
func (in *intake) ID() string { return in.id }

// Names lists the files.
func (in *intake) Names() string {
	in.mu.Lock()
	defer in.mu.Unlock()
	var out []string
	for _, f := range in.files {
		out = append(out, f.Name)
	}
	return strings.Join(out, ", ")
}

// dir is the upload's folder.
func (in *intake) dir() string { return incoming + "/" + in.id }

// path is where the n-th file is, counted from 0.
func (in *intake) path(n int) string { return fmt.Sprintf("%s/%d", in.dir(), n) }

// sources are the files for reading; what is read counts as progress.
func (in *intake) sources() []recording.Source {
	in.mu.Lock()
	defer in.mu.Unlock()
	var out []recording.Source
	for i, f := range in.files {
		out = append(out, recording.Source{Name: f.Name, Side: f.Side,
			Open:    func() (io.ReadCloser, error) { return in.open(i) },
			Sibling: in.sibling})
	}
	return out
}

func (in *intake) open(n int) (io.ReadCloser, error) {
	f, err := in.root.Open(in.path(n))
	if err != nil {
		return nil, err
	}
	return &counted{f, &in.read}, nil
}

// sibling finds a file of the same upload by its name.
func (in *intake) sibling(name string) (io.ReadCloser, error) {
	in.mu.Lock()
	defer in.mu.Unlock()
	for i, f := range in.files {
		if f.Name == name {
			return in.open(i)
		}
	}
	return nil, fs.ErrNotExist
}

// counted counts what is read.
type counted struct {
	io.ReadCloser
	n *atomic.Int64
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.ReadCloser.Read(p)
	c.n.Add(int64(n))
	return n, err
}

// percent is how far the present phase is: by bytes, and never quite at the
// end, because some work remains after the last byte.
func (in *intake) percent() int {
	total := in.total.Load()
	if total == 0 {
		return 0
	}
	return int(min(97, 100*in.read.Load()/total))
}

// begin starts a phase whose work reads all files the given number of times. The
// caller holds in.mu.
func (in *intake) begin(p phase, w *work, passes float64) {
	sum := int64(0)
	for _, f := range in.files {
		sum += f.Bytes
	}
	in.read.Store(0)
	in.total.Store(int64(float64(sum) * passes))
	in.phase, in.work, in.problems = p, w, nil
}

// blame sorts an error to the file that caused it.
func (in *intake) blame(err error) {
	text, hint := explain(err)
	p := problem{Text: text, Hint: hint, Link: whereTo(err)}
	var data *recording.Error
	if errors.As(err, &data) {
		for _, f := range in.files {
			if f.Name == data.File || strings.HasPrefix(data.File, f.Name) {
				p.File = f.Name
			}
		}
	}
	in.problems = append(in.problems, p)
}

// longestName is how many characters of a file's name are kept.
const longestName = 120

// plainName makes a name from what a browser sent: no folders, no characters
// that a screen cannot show, not too long.
func plainName(raw string) string {
	if i := strings.LastIndexAny(raw, `/\`); i >= 0 {
		raw = raw[i+1:]
	}
	name := strings.Map(func(c rune) rune {
		if c == utf8.RuneError || unicode.IsControl(c) || unicode.In(c, unicode.Cf) {
			return -1
		}
		return c
	}, filepath.Base(raw))
	name = strings.TrimSpace(name)
	if r := []rune(name); len(r) > longestName {
		name = string(r[len(r)-longestName:])
	}
	if name == "" || name == "." || name == ".." {
		return "file without a name"
	}
	return name
}

// readLater looks at an upload in its turn. The caller holds in.mu.
func (s *Server) readLater(in *intake) {
	w := s.queue.add(func(ctx context.Context) { s.readNow(ctx, in) })
	in.begin(phaseReading, w, 1.05)
}

func (s *Server) readNow(ctx context.Context, in *intake) {
	defer in.rescue(phaseCheck)
	v, err := inspect(ctx, in.how, in.sources())
	in.mu.Lock()
	defer in.mu.Unlock()
	in.phase, in.seen = phaseCheck, nil
	if err != nil {
		in.blame(err)
		return
	}
	in.seen = newSeen(ctx, v, in.single)
	for _, p := range in.seen.failed {
		in.blame(p)
	}
}

// inspect looks at files the way that was said.
func inspect(ctx context.Context, how casebook.Reading, sources []recording.Source) (*recording.Inspection, error) {
	opt, err := how.Options()
	if err != nil {
		return nil, err
	}
	if sources, err = how.Sources(sources); err != nil {
		return nil, err
	}
	return recording.Inspect(ctx, sources, opt)
}

// rescue leaves an upload usable when its work panicked.
func (in *intake) rescue(back phase) {
	p := recover()
	if p == nil {
		return
	}
	in.mu.Lock()
	in.phase = back
	in.problems = append(in.problems, problem{Text: "Something in setdown broke while it read these files. Nothing was kept."})
	in.mu.Unlock()
	panic(p)
}
