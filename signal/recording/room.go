package recording

import "sync"

// Room is memory that several sets use one after the other, as in a batch: what
// one has read is let go when the next is opened. The zero value is ready for use;
// nil is as good as none.
type Room struct {
	mu         sync.Mutex
	free, used []*space
}

// space is memory for the rows of a head.
type space struct {
	t     []float64
	v     [6][]float64
	spare []float64
}

// again lets go of what has been taken. Space larger than a short recording needs
// is not held.
func (r *Room) again() {
	if r == nil {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, s := range r.used {
		if cap(s.t) <= keepRows {
			r.free = append(r.free, s)
		}
	}
	clear(r.used)
	r.used = r.used[:0]
}

// take gives space that nobody else uses.
func (r *Room) take() *space {
	if r == nil {
		return &space{}
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	s := &space{}
	if n := len(r.free); n > 0 {
		s, r.free = r.free[n-1], r.free[:n-1]
	}
	r.used = append(r.used, s)
	return s
}
