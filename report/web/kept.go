package web

import (
	"context"
	"encoding/gob"
	"errors"
	"io/fs"
	"net/http"
	"os"
	"sync"

	"setdown/gait"
	"setdown/report/casebook"
	"setdown/signal/recording"
)

// keyOf names the files of a session. Both parts come from the casebook.
func keyOf(caseID, id string) string { return caseID + "-" + id }

// results keeps whole results ready for the pages: the last few in memory, the
// others as files. They are a copy only: a result that is missing is computed
// again from the recordings in the casebook.
type results struct {
	root *os.Root
	mu   sync.Mutex
	last []heldResult // newest first
}

type heldResult struct {
	key string
	res *gait.Result
}

// heldMost is how many results are held in memory; one of an hour's run needs
// about 5 MB.
const heldMost = 3

func newResults(root *os.Root) *results { return &results{root: root} }

func resultFile(key string) string { return kept + "/" + key + ".result" }

// put keeps a result, before anything was left out by hand.
func (k *results) put(key string, res *gait.Result) error {
	k.hold(key, res)
	return writeWhole(k.root, resultFile(key), func(f *os.File) error { return gob.NewEncoder(f).Encode(keptResult{keptForm, res}) })
}

// keptResult is a result as it is written. A file of another form is computed
// again: a field that was not written would read as its zero value.
type keptResult struct {
	Form   int
	Result *gait.Result
}

// keptForm goes up with every change of what a result holds.
const keptForm = 3

func (k *results) hold(key string, res *gait.Result) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.forgetLocked(key)
	k.last = append([]heldResult{{key, res}}, k.last...)
	if len(k.last) > heldMost {
		k.last = k.last[:heldMost]
	}
}

func (k *results) forgetLocked(key string) {
	for i, h := range k.last {
		if h.key == key {
			k.last = append(k.last[:i:i], k.last[i+1:]...)
			return
		}
	}
}

// get returns a kept result, which must not be modified; nil when there is none
// or it was made by another method.
func (k *results) get(key, version string) *gait.Result {
	k.mu.Lock()
	for _, h := range k.last {
		if h.key == key {
			k.mu.Unlock()
			return h.res
		}
	}
	k.mu.Unlock()
	f, err := k.root.Open(resultFile(key))
	if err != nil {
		return nil
	}
	defer f.Close()
	var v keptResult
	if err := gob.NewDecoder(f).Decode(&v); err != nil || v.Form != keptForm || v.Result == nil || v.Result.Method != gait.Method || v.Result.Version != version {
		return nil
	}
	k.hold(key, v.Result)
	return v.Result
}

// remove forgets a session.
func (k *results) remove(key string) error {
	k.mu.Lock()
	k.forgetLocked(key)
	k.mu.Unlock()
	var errs []error
	for _, name := range []string{resultFile(key), signalFile(key), edited + "/" + key + ".json"} {
		if err := k.root.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}

// writeWhole writes a file whole or not at all.
func writeWhole(root *os.Root, name string, write func(*os.File) error) error {
	temp := name + ".new"
	f, err := root.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	if err := errors.Join(write(f), f.Close()); err != nil {
		return errors.Join(err, root.Remove(temp))
	}
	return root.Rename(temp, name)
}

// base returns the result of a session without anything left out by hand,
// computed again when it is not at hand.
func (s *Server) base(ctx context.Context, c casebook.Case, sess casebook.Session) (*gait.Result, error) {
	key := keyOf(c.ID, sess.ID)
	if res := s.results.get(key, s.cfg.Version); res != nil && fits(res, c) {
		return res, nil
	}
	var res *gait.Result
	err := s.queue.wait(ctx, func(ctx context.Context) error {
		sources, err := s.cfg.Book.Recordings(ctx, c.ID, sess.ID)
		if err != nil {
			return err
		}
		if res, err = s.again(ctx, c, sess, sources); err != nil {
			return err
		}
		edits, err := s.readEdits(key)
		if err != nil {
			return err
		}
		return s.keepAnalysis(ctx, c.ID, sess.ID, without(res, edits), len(edits))
	})
	return res, err
}

// keepAnalysis keeps what a page shows as the newest analysis of the session,
// so that session.json, the review and the page have the same numbers.
func (s *Server) keepAnalysis(ctx context.Context, caseID, id string, res *gait.Result, edits int) error {
	a, err := casebook.Keep(res)
	if err != nil {
		return err
	}
	if edits > 0 {
		a.Settings += ", steps left out by hand"
	}
	return s.cfg.Book.AddAnalysis(ctx, caseID, id, a, s.cfg.Now())
}

// current is a session with its numbers as they are now, without what was left out by
// hand.
type current struct {
	Case    casebook.Case
	Session casebook.Session
	Result  *gait.Result
	Edits   []edit
}

// current is what an address of a session shows.
func (s *Server) current(r *http.Request) (*current, error) {
	c, sess, err := s.find(r)
	if err != nil {
		return nil, err
	}
	res, err := s.base(r.Context(), c, sess)
	if err != nil {
		return nil, err
	}
	edits, err := s.readEdits(keyOf(c.ID, sess.ID))
	return &current{c, sess, without(res, edits), edits}, err
}

func (c *current) key() string  { return keyOf(c.Case.ID, c.Session.ID) }
func (c *current) path() string { return sessionPath(c.Case.ID, c.Session.ID) }

// again computes a kept session anew and makes it ready for the pages.
func (s *Server) again(ctx context.Context, c casebook.Case, sess casebook.Session, sources []recording.Source) (*gait.Result, error) {
	key := keyOf(c.ID, sess.ID)
	dir := incoming + "/again-" + key
	if err := s.cfg.Folder.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	defer s.cfg.Folder.RemoveAll(dir)
	tap := newTap(s.cfg.Folder, dir)
	res, err := analyzeTapped(ctx, s.cfg.Version, sources, c.Injured.Side(), sess.Form.Reading, tap)
	if err := errors.Join(err, tap.close()); err != nil {
		return nil, err
	}
	return res, errors.Join(s.results.put(key, res), tap.moveTo(key))
}

// fits tells whether a result was made for the injured side of a case; one foot
// alone is compared with nothing.
func fits(res *gait.Result, c casebook.Case) bool {
	return res.Asymmetry == nil || res.Asymmetry.Injured == c.Injured.Side()
}
