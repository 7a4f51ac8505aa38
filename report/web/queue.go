package web

import (
	"context"
	"errors"
	"sync"
)

// queue runs one piece of work at a time, in the order in which it came, so
// that memory does not grow with the number of people who wait.
type queue struct {
	mu      sync.Mutex
	waiting []*work
	running *work
	wake    chan struct{}
	stop    context.CancelFunc
	ended   chan struct{}
}

// work is one piece. do must return soon after its context is done.
type work struct {
	do     func(ctx context.Context)
	cancel context.CancelFunc
	ctx    context.Context
}

// newQueue starts the queue; panicked gets what a piece of work panicked with,
// which ends that piece only.
func newQueue(panicked func(any)) *queue {
	ctx, stop := context.WithCancel(context.Background())
	q := &queue{wake: make(chan struct{}, 1), stop: stop, ended: make(chan struct{})}
	go q.run(ctx, panicked)
	return q
}

func (q *queue) run(ctx context.Context, panicked func(any)) {
	defer close(q.ended)
	for {
		w := q.next()
		if w == nil {
			select {
			case <-ctx.Done():
				return
			case <-q.wake:
			}
			continue
		}
		stop := context.AfterFunc(ctx, w.cancel)
		w.guarded(panicked)
		stop()
		w.cancel()
		q.mu.Lock()
		q.running = nil
		q.mu.Unlock()
	}
}

func (w *work) guarded(panicked func(any)) {
	defer func() {
		if p := recover(); p != nil {
			panicked(p)
		}
	}()
	w.do(w.ctx)
}

func (q *queue) next() *work {
	q.mu.Lock()
	defer q.mu.Unlock()
	if len(q.waiting) == 0 {
		return nil
	}
	q.running, q.waiting = q.waiting[0], q.waiting[1:]
	return q.running
}

// add puts work at the end of the queue. Work that still waits when the queue is
// closed is not done.
func (q *queue) add(do func(ctx context.Context)) *work {
	ctx, cancel := context.WithCancel(context.Background())
	w := &work{do: do, ctx: ctx, cancel: cancel}
	q.mu.Lock()
	q.waiting = append(q.waiting, w)
	q.mu.Unlock()
	select {
	case q.wake <- struct{}{}:
	default:
	}
	return w
}

// ahead is how many pieces come before w: 0 when it runs or has run.
func (q *queue) ahead(w *work) int {
	q.mu.Lock()
	defer q.mu.Unlock()
	for i, x := range q.waiting {
		if x == w {
			if q.running != nil {
				i++
			}
			return i
		}
	}
	return 0
}

// wait runs do in its turn and returns when it is done or ctx is.
func (q *queue) wait(ctx context.Context, do func(ctx context.Context) error) error {
	done := make(chan error, 1)
	w := q.add(func(ctx context.Context) {
		err := errors.New("the computation was broken off by a fault; the log of the server has it")
		defer func() { done <- err }()
		err = do(ctx)
	})
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		w.cancel()
		return ctx.Err()
	}
}

// close cancels what runs and what waits, and waits for the end.
func (q *queue) close(ctx context.Context) error {
	q.mu.Lock()
	for _, w := range q.waiting {
		w.cancel()
	}
	q.waiting = nil
	q.mu.Unlock()
	q.stop()
	select {
	case <-q.ended:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
