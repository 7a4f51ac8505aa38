package trial

import (
	"context"
	"errors"
	"os"
	"path/filepath"
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
