package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"setdown/report/trial"
	"setdown/signal/recording"
)

type batchOptions struct {
	inputFlags
	out, injured, pattern, manifest string
	part, merge                     string
	workers                         int
	seed                            uint64
	force, dryRun, events           bool
}

func newBatchCommand(c *console) *cobra.Command {
	var o batchOptions
	cmd := &cobra.Command{
		Use:   "batch FOLDER --out DIR",
		Short: "Analyse a folder of recordings into tables",
		Long: `batch analyses every recording of a trial and writes into DIR

  steps, sides, sessions, asymmetry, remarks   each as .csv and .parquet
  datapackage.json   what every column means, its type and unit
  methods.md         a methods paragraph with every setting and source
  quality.html       which recordings to look at, and why
  recordings/        a folder a recording

Recordings are found as a Motion-BIDS data set, by manifest.csv (columns
subject, session, condition, run, side, injured, file), by --pattern, or by
names that differ in left and right only. See what was found with --dry-run.

A recording that cannot be read is listed and does not end the batch. Stopped
at any moment, the same command goes on where it was; work whose inputs,
settings and version are unchanged is not done again.

In a Slurm job array each task does its share; --merge DIR joins them
(docs/cluster.md).` + exitStatusHelp,
		Example: `  setdown batch trial --out results
  setdown batch trial --out results --pattern "{subject}_{session}_{side}.csv" --dry-run
  setdown batch trial --out results --part 3/10
  setdown batch --merge results`,
		RunE: func(cmd *cobra.Command, args []string) error { return runBatch(cmd.Context(), c, &o, args) },
	}
	o.add(cmd.Flags(), false)
	f := cmd.Flags()
	f.StringVarP(&o.out, "out", "o", "", "folder to write")
	f.StringVar(&o.injured, "injured", "unknown", "the injured side where the trial does not say: left, right, both or unknown")
	f.StringVar(&o.pattern, "pattern", "", "file names, such as \"{subject}_{session}_{side}.csv\"; also {condition}, {run}, {injured}, {any}")
	f.StringVar(&o.manifest, "manifest", "", "manifest CSV, if not FOLDER/manifest.csv")
	f.StringVar(&o.part, "part", "", "do one share only, such as 3/10")
	f.StringVar(&o.merge, "merge", "", "join the shares in this folder")
	f.IntVarP(&o.workers, "workers", "j", 0, "recordings at once; 0 takes one a core")
	f.Uint64Var(&o.seed, "seed", 1, "seed of the resampling")
	f.BoolVar(&o.force, "force", false, "write into a folder with other files in it")
	f.BoolVar(&o.dryRun, "dry-run", false, "print what would be done and what was not understood")
	f.BoolVar(&o.events, "events", false, "print progress as JSON lines on standard error")
	return cmd
}

func runBatch(ctx context.Context, c *console, o *batchOptions, args []string) error {
	if o.merge != "" {
		return runMerge(ctx, c, o, args)
	}
	if len(args) != 1 {
		return &usageError{"one folder of recordings is needed", "type: setdown batch FOLDER --out DIR"}
	}
	if o.out == "" && !o.dryRun {
		return &usageError{"no folder to write to", "add --out DIR, or --dry-run to see what is there"}
	}
	if o.workers < 0 {
		return &usageError{fmt.Sprintf("--workers %d is below 0", o.workers), "give recordings at once, for example -j 4"}
	}
	set, err := o.settings()
	if err != nil {
		return err
	}
	share, err := o.share(os.Getenv)
	if err != nil {
		return err
	}
	plan, err := trial.Find(args[0], trial.FindOptions{Manifest: o.manifest, Pattern: o.pattern, Skip: []string{o.out}})
	if plan != nil {
		c.doubts(plan, o)
	}
	if err != nil {
		return c.nothingFound(err)
	}
	if o.dryRun {
		return c.dryRun(plan, share)
	}
	return o.work(ctx, c, plan, set, share)
}

// work analyses the share and, unless it is a part, assembles.
func (o *batchOptions) work(ctx context.Context, c *console, plan *trial.Plan, set trial.Settings, share trial.Share) error {
	batchHeap().set()
	show := newBatchProgress(c, o.events)
	outcome, err := trial.Run(ctx, plan, set, trial.Options{
		Out: o.out, Force: o.force, Workers: o.workers, Share: share, Observe: show.one,
	})
	show.end()
	if err != nil {
		return batchError(err, o.out)
	}
	for _, line := range outcome.Twice {
		fmt.Fprintf(c.err, "setdown: warning: %s\n", line)
	}
	if share.Whole() {
		kept := outcome.Kept
		if outcome, err = trial.Assemble(ctx, o.out); err != nil {
			return batchError(err, o.out)
		}
		outcome.Kept = kept
	}
	return c.batchDone(outcome, share, o)
}

func runMerge(ctx context.Context, c *console, o *batchOptions, args []string) error {
	if len(args) > 0 || o.out != "" || o.part != "" {
		return &usageError{"--merge stands alone", "type: setdown batch --merge DIR"}
	}
	outcome, notes, err := trial.Merge(ctx, o.merge)
	for _, n := range notes {
		fmt.Fprintf(c.err, "setdown: note: %s\n", n)
	}
	var lost *trial.LostError
	if errors.As(err, &lost) {
		return hinted(err, "do the lost parts again with the same folder and settings, then merge again")
	}
	if err != nil {
		return batchError(err, o.merge)
	}
	o.out = o.merge
	return c.batchDone(outcome, trial.Share{}, o)
}

// hinted adds what to do to an error.
func hinted(err error, hint string) error {
	return &recording.Error{Msg: err.Error(), Hint: hint, Err: err}
}

// settings reads the flags that can change a number.
func (o *batchOptions) settings() (trial.Settings, error) {
	set := trial.Settings{Version: version, Seed: o.seed}
	var err error
	if set.Injured, err = parseInjured(o.injured); err != nil {
		return set, err
	}
	if set.Recording, err = o.options(); err != nil || o.columns == "" {
		return set, err
	}
	text, err := os.ReadFile(o.columns)
	if err != nil {
		return set, err
	}
	sum := sha256.Sum256(text)
	set.Columns, set.ColumnsSHA256 = filepath.Base(o.columns), hex.EncodeToString(sum[:])
	return set, nil
}

// share is what --part says, else the place in a Slurm array.
func (o *batchOptions) share(getenv func(string) string) (trial.Share, error) {
	if o.part == "" {
		return trial.SlurmShare(getenv)
	}
	s, err := trial.ParseShare(o.part)
	if err != nil {
		return s, &usageError{"--part " + err.Error(), "for example --part 3/10"}
	}
	s.Task = slurmTask(getenv)
	return s, nil
}

// slurmTask names the array task that runs, "" outside Slurm.
func slurmTask(getenv func(string) string) string {
	if id := getenv("SLURM_ARRAY_TASK_ID"); id != "" {
		return "Slurm task " + getenv("SLURM_ARRAY_JOB_ID") + "_" + id
	}
	return ""
}

// shownDoubts is how many warnings are printed one by one.
const shownDoubts = 10

// doubts prints what was not understood.
func (c *console) doubts(plan *trial.Plan, o *batchOptions) {
	most := shownDoubts
	if o.dryRun || c.verbose {
		most = len(plan.Doubts)
	}
	if o.events {
		for _, d := range plan.Doubts[:min(most, len(plan.Doubts))] {
			c.event(batchEvent{Event: "not_understood", File: d.Path, Message: d.String()})
		}
		return
	}
	lines := trial.DoubtLines(plan.Doubts)
	for _, line := range lines[:min(most, len(lines))] {
		fmt.Fprintf(c.err, "setdown: warning: %s\n", line)
	}
	if more := len(lines) - most; more > 0 {
		fmt.Fprintf(c.err, "setdown: warning: %d more things were not understood; --dry-run lists them\n", more)
	}
}

func (c *console) nothingFound(err error) error {
	if errors.Is(err, trial.ErrNothingFound) {
		return hinted(err, "recordings are .csv, .tsv or .txt files; name them with --pattern or list them in manifest.csv (setdown batch --help)")
	}
	if errors.Is(err, trial.ErrManifest) {
		return hinted(err, "a manifest has a row a file, under the headings "+strings.Join(trial.ManifestColumns, ", ")+" (docs/trial.md)")
	}
	if hintOf(err) == "" {
		return hinted(err, "type: setdown batch --help")
	}
	return err
}

// batchError adds what to do.
func batchError(err error, out string) error {
	if errors.Is(err, trial.ErrBusy) {
		return hinted(err, "wait until it has ended, or choose another folder")
	}
	if errors.Is(err, trial.ErrHoldsInput) {
		return hinted(err, "name a folder of its own: --out results")
	}
	if errors.Is(err, trial.ErrForeign) {
		return hinted(err, "give another folder, or add --force to write beside what is in "+out)
	}
	return err
}

// dryRun lists the recordings.
func (c *console) dryRun(plan *trial.Plan, share trial.Share) error {
	files := 0
	for i := range plan.Items {
		it := &plan.Items[i]
		files += len(it.Files)
		if !share.Has(i) {
			continue
		}
		fmt.Fprintf(c.out, "%s", it.ID)
		if it.Injured != "" {
			fmt.Fprintf(c.out, " (injured: %s)", it.Injured)
		}
		fmt.Fprintln(c.out)
		for _, f := range it.Files {
			side := f.Side
			if side == "" {
				side = "side from the file"
			}
			if f.Companion {
				side = "headings"
			}
			fmt.Fprintf(c.out, "  %s: %s\n", side, f.Path)
		}
	}
	_, err := fmt.Fprintf(c.out, "%d recordings in %d files, found by %s; %d things not understood; nothing was written\n",
		len(plan.Items), files, plan.How, len(plan.Doubts))
	return err
}

// batchDone says how it ended.
func (c *console) batchDone(o trial.Outcome, share trial.Share, opt *batchOptions) error {
	if opt.events {
		c.event(batchEvent{Event: "end", Total: o.Total, Done: o.Done, Kept: o.Kept, Failed: o.Failed})
	}
	kept := ""
	if o.Kept > 0 {
		kept = fmt.Sprintf(" (%d of them earlier)", o.Kept)
	}
	fmt.Fprintf(c.out, "%d of %d recordings analysed%s\n", o.Done, o.Total, kept)
	if share.Whole() {
		fmt.Fprintln(c.out, "Look at: "+filepath.Join(opt.out, trial.QualityName))
	} else {
		fmt.Fprintf(c.out, "%s is done; when all are: setdown batch --merge %s\n", share, opt.out)
	}
	if o.Failed > 0 && o.Failed == o.Total {
		return &someFailed{fmt.Sprintf("%d of %d recordings failed; remarks.csv in %s says why (exit status 3)", o.Failed, o.Total, opt.out)}
	}
	if o.Failed > 0 {
		return &someFailed{fmt.Sprintf("%d of %d recordings failed; the others are in %s (exit status 3)", o.Failed, o.Total, opt.out)}
	}
	return nil
}
