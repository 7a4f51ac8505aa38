package trial

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"github.com/sourcegraph/conc/pool"

	"setdown/signal/recording"
)

// Options say where and how a trial is run.
type Options struct {
	// Out is the output folder.
	Out string
	// Force allows an output folder with files of other origin in it.
	Force bool
	// Workers is how many recordings are analysed at once; 0 means one for each
	// core that the program may use.
	Workers int
	// Share is the part of the trial to do; the zero value is all of it.
	Share Share
	// Observe is called, one call at a time, whenever a recording is finished;
	// nil is fine.
	Observe func(Event)
}

// Event says that one recording is finished.
type Event struct {
	// Item is the recording; Number counts the finished ones, Total all.
	Item          *Item
	Number, Total int
	// Kept is true where an earlier result still held.
	Kept bool
	// Message and Hint say what was wrong; "" where nothing was.
	Message, Hint string
}

// Outcome is what came of a run.
type Outcome struct {
	// Total = Done + Failed; Kept of them held from an earlier run.
	Total, Done, Kept, Failed int
	// Twice says which files were found in more than one recording.
	Twice []string `json:"-"`
}

// ErrForeign is returned, with the folder, when the output folder holds files
// that no batch wrote and Options.Force is not set.
var ErrForeign = errors.New("the folder is not empty and holds no earlier batch")

// ErrHoldsInput is returned, with the folder, when the output folder is the folder
// of the recordings, or has it in it, however either is written.
var ErrHoldsInput = errors.New("the output folder must not be the folder of the recordings or hold it")

// Run analyses the recordings of a plan that belong to the share. A recording
// that cannot be read is counted and kept as failed; it never ends the run. When
// ctx ends, finished results stay and the context's error is returned. ErrBusy says
// that another run works in the output folder.
//
// Run needs memory for the recordings in work only, see Options.Workers.
func Run(ctx context.Context, plan *Plan, set Settings, opt Options) (Outcome, error) {
	free, err := enter(plan, opt)
	if err != nil {
		return Outcome{}, err
	}
	defer free()
	if err := prepare(plan, set, opt); err != nil {
		return Outcome{}, err
	}
	attempt, err := begin(opt)
	if err != nil {
		return Outcome{}, err
	}
	w := &worker{plan: plan, set: set, settings: digest(set.written()), out: opt.Out}
	if err := w.open(); err != nil {
		return Outcome{}, errors.Join(err, w.close())
	}
	outcome, err := w.all(ctx, opt)
	if err := errors.Join(err, w.close()); err != nil {
		return outcome, err
	}
	return outcome, attempt.end(outcome)
}

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

// planName is the file that says which recordings an output folder is about.
const planName = "plan.json"

// planFile is plan.json.
type planFile struct {
	Schema   string  `json:"schema"`
	Settings written `json:"settings"`
	*Plan
}

// planSchema names the form of plan.json.
const planSchema = "setdown-trial/1"

// enter makes the output folder and locks it.
func enter(plan *Plan, opt Options) (free func(), err error) {
	if err := checkOut(plan, opt); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(opt.Out, 0o777); err != nil {
		return nil, err
	}
	return lock(opt.Out, !opt.Share.Whole())
}

// prepare writes the plan into the output folder.
func prepare(plan *Plan, set Settings, opt Options) error {
	if err := os.MkdirAll(filepath.Join(opt.Out, recordingsDir), 0o777); err != nil {
		return err
	}
	if opt.Share.Whole() {
		if err := clear(opt.Out); err != nil {
			return err
		}
		return writeJSON(filepath.Join(opt.Out, planName), planFile{planSchema, set.written(), plan})
	}
	return joinPlan(planFile{planSchema, set.written(), plan}, opt)
}

// truePath is a whole path without links, so that two ways to write one place are
// equal. What does not exist yet stays as it is written.
func truePath(path string) (string, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	rest := ""
	for there := path; there != filepath.Dir(there); there = filepath.Dir(there) {
		if whole, err := filepath.EvalSymlinks(there); err == nil {
			return filepath.Join(whole, rest), nil
		}
		rest = filepath.Join(filepath.Base(there), rest)
	}
	return path, nil
}

// checkOut refuses a folder that is not ours, and the input folder itself.
func checkOut(plan *Plan, opt Options) error {
	if plan.Root != "" {
		in, err1 := truePath(plan.Root)
		out, err2 := truePath(opt.Out)
		if err := errors.Join(err1, err2); err != nil {
			return err
		}
		between := string(filepath.Separator)
		if in == out || strings.HasPrefix(in, strings.TrimSuffix(out, between)+between) {
			return fmt.Errorf("%s: %w", opt.Out, ErrHoldsInput)
		}
	}
	entries, err := os.ReadDir(opt.Out)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	entries = slices.DeleteFunc(entries, func(e os.DirEntry) bool { return e.Name() == lockName })
	if len(entries) > 0 && !opt.Force && !exists(filepath.Join(opt.Out, planName)) && !exists(filepath.Join(opt.Out, recordingsDir)) {
		return fmt.Errorf("%s: %w", opt.Out, ErrForeign)
	}
	return nil
}

// clear removes what killed runs left unfinished. Only a run of the whole
// trial does: beside it no other task works in the folder.
func clear(out string) error {
	for _, pattern := range []string{filepath.Join(out, tempPrefix+"*"), filepath.Join(out, recordingsDir, tempPrefix+"*")} {
		left, err := filepath.Glob(pattern)
		if err != nil {
			return err
		}
		for _, name := range left {
			if filepath.Base(name) == lockName {
				continue
			}
			if err := os.RemoveAll(name); err != nil {
				return err
			}
		}
	}
	return nil
}
