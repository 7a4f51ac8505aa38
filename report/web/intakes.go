package web

import (
	"sync"
	"time"
)

// intakes holds the uploads that are no session yet.
type intakes struct {
	mu   sync.Mutex
	most int
	all  map[string]*intake
}

func newIntakes(most int) *intakes { return &intakes{most: most, all: map[string]*intake{}} }

// keep is how long an upload waits for its person.
const keep = 24 * time.Hour

// add takes an upload in, unless there are too many that wait. Those nobody
// came back for are dropped first.
func (all *intakes) add(in *intake) error {
	all.mu.Lock()
	defer all.mu.Unlock()
	for id, old := range all.all {
		if in.made.Sub(old.made) > keep && old.idle() {
			delete(all.all, id)
			_ = in.root.RemoveAll(old.dir())
		}
	}
	if len(all.all) >= all.most {
		return bad("%d uploads wait already; finish or cancel one of them first", len(all.all))
	}
	all.all[in.id] = in
	return nil
}

func (in *intake) idle() bool {
	in.mu.Lock()
	defer in.mu.Unlock()
	return in.phase == phaseCheck || in.phase == phaseDone
}

func (all *intakes) get(id string) (*intake, error) {
	all.mu.Lock()
	defer all.mu.Unlock()
	if in := all.all[id]; in != nil {
		return in, nil
	}
	return nil, errGone
}

// waiting lists the uploads that wait for a person, newest first.
func (all *intakes) waiting() []*intake {
	all.mu.Lock()
	defer all.mu.Unlock()
	var out []*intake
	for _, in := range all.all {
		in.mu.Lock()
		open := in.phase != phaseDone
		in.mu.Unlock()
		if open {
			out = append(out, in)
		}
	}
	return out
}

// drop forgets an upload and removes its files.
func (all *intakes) drop(in *intake) {
	all.mu.Lock()
	delete(all.all, in.id)
	all.mu.Unlock()
	in.mu.Lock()
	w := in.work
	in.mu.Unlock()
	if w != nil {
		w.cancel()
	}
	_ = in.root.RemoveAll(in.dir()) // the folder is cleared at the next start at the latest
}
