// Package web is the local web app: drop the export of a run, check how it was
// read, see the answer; keep cases, a diary and sessions over time. Everything
// is computed and drawn by the same packages as on the command line, so that a
// number on a page and in session.json cannot differ.
//
// The package writes into one folder only (Config.Folder, by os.Root) and into
// the casebook. It opens no connection: it has a handler, and the caller has
// the listener. It has no clock and no randomness of its own.
package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"sync"
	"time"

	"setdown/report/casebook"
)

// Limits bound what is taken in. The zero value of a field stands for its
// default. All are common practice, no source.
type Limits struct {
	// Files is how many files one upload may have, FileBytes how large one may
	// be and UploadBytes all of them.
	Files                  int
	FileBytes, UploadBytes int64
	// FormBytes bounds every other form.
	FormBytes int64
	// UploadTime is how long an upload may take to arrive, and FormTime any
	// other request.
	UploadTime, FormTime time.Duration
	// Waiting is how many uploads may be kept before they are a session.
	Waiting int
}

// defaults are the limits that hold unless others are given.
var defaults = Limits{Files: 24, FileBytes: 1 << 30, UploadBytes: 2 << 30, FormBytes: 1 << 20,
	UploadTime: 30 * time.Minute, FormTime: time.Minute, Waiting: 40}

func (l Limits) filled() Limits {
	set := func(v *int64, d int64) {
		if *v == 0 {
			*v = d
		}
	}
	if l.Files == 0 {
		l.Files = defaults.Files
	}
	if l.Waiting == 0 {
		l.Waiting = defaults.Waiting
	}
	if l.UploadTime == 0 {
		l.UploadTime = defaults.UploadTime
	}
	if l.FormTime == 0 {
		l.FormTime = defaults.FormTime
	}
	set(&l.FileBytes, defaults.FileBytes)
	set(&l.UploadBytes, defaults.UploadBytes)
	set(&l.FormBytes, defaults.FormBytes)
	return l
}

// Config is what a Server needs. Book, Folder, Now, Random and Log must be set.
type Config struct {
	Book *casebook.Book
	// Folder holds uploads on their way, results ready to be shown and steps
	// left out by hand. What is on its way is removed at the start: an upload
	// that did not become a session is not kept.
	Folder *os.Root
	// Version of the tool.
	Version string
	// Now is the time in the zone of the person; Random a source of secrets.
	Now    func() time.Time
	Random io.Reader
	// Log gets a line for each fault.
	Log func(line string)
	// Hosts are the values of the Host header that are answered, with the port.
	Hosts []string
	// Passphrase is asked for when it is not empty. Cookies are then sent over
	// TLS only.
	Passphrase string
	// Exposed says, a sentence each, who can reach the server.
	Exposed []string
	Limits  Limits
}

// Server is the web app. Its Handler may be served by any http.Server.
type Server struct {
	cfg     Config
	limits  Limits
	queue   *queue
	intakes *intakes
	results *results
	gate    *gate
	pages   pages
	handler http.Handler

	invented demoRun
	// edits keeps leaving out and taking back in turn.
	edits sync.Mutex
}

// New makes the app and starts its queue. Close must be called.
func New(cfg Config) (*Server, error) {
	if cfg.Book == nil || cfg.Folder == nil || cfg.Now == nil || cfg.Random == nil || cfg.Log == nil {
		panic("web: the configuration is not complete")
	}
	s := &Server{cfg: cfg, limits: cfg.Limits.filled(), results: newResults(cfg.Folder), gate: newGate(cfg)}
	if err := s.clean(); err != nil {
		return nil, err
	}
	var err error
	if s.pages, err = parsePages(); err != nil {
		return nil, err
	}
	s.intakes = newIntakes(s.limits.Waiting)
	s.queue = newQueue(func(p any) { cfg.Log(fmt.Sprintf("panic in a computation: %v", p)) })
	s.handler = s.guard(s.routes())
	return s, nil
}

// clean removes what an earlier run left half-way and makes the folders.
func (s *Server) clean() error {
	if err := s.cfg.Folder.RemoveAll(incoming); err != nil {
		return err
	}
	for _, dir := range []string{incoming, kept, edited} {
		if err := s.cfg.Folder.MkdirAll(dir, 0o700); err != nil {
			return err
		}
	}
	return nil
}

// The folders in Config.Folder.
const (
	incoming = "incoming"
	kept     = "results"
	edited   = "left-out"
)

// Handler answers requests.
func (s *Server) Handler() http.Handler { return s.handler }

// Close stops the queue: the computation that runs is cancelled and leaves
// nothing behind. It returns when it has ended, or when ctx is done.
func (s *Server) Close(ctx context.Context) error {
	err := s.queue.close(ctx)
	return errors.Join(err, s.cfg.Folder.RemoveAll(incoming))
}

// token makes a name that cannot be guessed.
func (s *Server) token() (string, error) {
	var b [16]byte
	if _, err := io.ReadFull(s.cfg.Random, b[:]); err != nil {
		return "", err
	}
	return fmt.Sprintf("%x", b), nil
}
