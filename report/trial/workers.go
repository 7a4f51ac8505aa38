package trial

import (
	"context"
	"runtime"
	"sync"

	"github.com/sourcegraph/conc/pool"

	"setdown/signal/recording"
)

// all hands the items to the workers.
func (w *worker) all(ctx context.Context, opt Options) (Outcome, error) {
	mine := w.plan.share(opt.Share)
	count := counter{total: len(mine), observe: opt.Observe}
	group := pool.New().WithContext(ctx).WithCancelOnError().WithFirstError()
	queue := make(chan *Item)
	group.Go(func(ctx context.Context) error { return handOut(ctx, mine, queue) })
	for range min(opt.workers(), max(1, len(mine))) {
		group.Go(func(ctx context.Context) error { return w.each(ctx, queue, &count) })
	}
	err := group.Wait()
	count.outcome.Twice = count.twice.lines()
	return count.outcome, err
}

// share lists the items that belong to a share.
func (p *Plan) share(s Share) []*Item {
	var out []*Item
	for i := range p.Items {
		if s.Has(i) {
			out = append(out, &p.Items[i])
		}
	}
	return out
}

// workers is how many recordings are analysed at once.
func (o *Options) workers() int {
	if o.Workers > 0 {
		return o.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// handOut puts the items into the queue and closes it.
func handOut(ctx context.Context, items []*Item, queue chan<- *Item) error {
	defer close(queue)
	for _, it := range items {
		select {
		case queue <- it:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}

// each does items of the queue one by one, all in the same room.
func (w *worker) each(ctx context.Context, queue <-chan *Item, count *counter) error {
	var room recording.Room
	for it := range queue {
		rec, kept, err := w.do(ctx, it, &room)
		if err != nil {
			return err
		}
		count.add(it, rec, kept)
	}
	return nil
}

// counter counts finished recordings.
type counter struct {
	mu      sync.Mutex
	total   int
	number  int
	outcome Outcome
	twice   twice
	observe func(Event)
}

func (c *counter) add(it *Item, rec *record, kept bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.number++
	c.outcome.count(rec)
	c.twice.add(rec)
	if kept {
		c.outcome.Kept++
	}
	if c.observe == nil {
		return
	}
	e := Event{Item: it, Number: c.number, Total: c.total, Kept: kept}
	if rec.Failure != nil {
		e.Message, e.Hint = rec.Failure.String(), rec.Failure.Hint
	}
	c.observe(e)
}

func (o *Outcome) count(rec *record) {
	o.Total++
	if rec.State == stateFailed {
		o.Failed++
	} else {
		o.Done++
	}
}
