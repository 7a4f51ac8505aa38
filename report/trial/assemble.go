package trial

import (
	"bufio"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"github.com/sourcegraph/conc/pool"

	"setdown/report/table"
)

// derivativesDir is the Motion-BIDS derivative data set in the output folder.
const derivativesDir = "derivatives"

// made lists what Assemble puts into the output folder.
func made() []string {
	out := []string{PackageName, MethodsName, QualityName, derivativesDir}
	for _, s := range Sheets() {
		out = append(out, s.Name+".csv", s.Name+".parquet")
	}
	return out
}

// Assemble joins the results in out/recordings into the tables, the data
// package, the methods paragraph and the quality page. All are made beside the
// earlier ones first and take their places at the end. It holds a few recordings'
// results at a time. ErrBusy says that another run works in the folder.
func Assemble(ctx context.Context, out string) (Outcome, error) {
	if _, err := readPlan(out); err != nil {
		return Outcome{}, err
	}
	free, err := lock(out, false)
	if err != nil {
		return Outcome{}, err
	}
	defer free()
	return assemble(ctx, out)
}

// assemble is Assemble in a folder that is locked.
func assemble(ctx context.Context, out string) (Outcome, error) {
	p, err := readPlan(out)
	if err != nil {
		return Outcome{}, err
	}
	work, err := os.MkdirTemp(out, tempPrefix+"*")
	if err != nil {
		return Outcome{}, err
	}
	defer os.RemoveAll(work)
	a := &assembly{out: out, work: work, plan: p.Plan, set: p.Settings, tables: map[string]*sheetWriter{}}
	if err := a.build(ctx); err != nil {
		return a.outcome, err
	}
	return a.outcome, a.install()
}

// assembly is the state of Assemble.
type assembly struct {
	out, work string
	plan      *Plan
	set       written
	tables    map[string]*sheetWriter
	bids      *derivative
	quality   quality
	// same holds the doubts of recordings that have a file of another one.
	same    map[string][]table.Remark
	methods methods
	outcome Outcome
}

// build makes everything in the work folder.
func (a *assembly) build(ctx context.Context) (err error) {
	a.findTwice()
	defer func() {
		for _, w := range a.tables {
			err = errors.Join(err, w.close())
		}
		if err == nil {
			err = a.finish()
		}
	}()
	for _, s := range Sheets() {
		if a.tables[s.Name], err = newSheetWriter(a.work, s); err != nil {
			delete(a.tables, s.Name)
			return err
		}
	}
	if a.plan.How == "Motion-BIDS" {
		if a.bids, err = newDerivative(filepath.Join(a.work, derivativesDir), a.plan, a.set); err != nil {
			return err
		}
	}
	return a.pass(ctx)
}

// pass takes the recordings through in order: while the rows of one are made, the
// next is read and the steps of the one before are copied.
func (a *assembly) pass(ctx context.Context) error {
	group := pool.New().WithContext(ctx).WithCancelOnError().WithFirstError()
	read, made := make(chan *result), make(chan *result)
	group.Go(func(ctx context.Context) error {
		defer close(read)
		return a.readAll(ctx, read)
	})
	group.Go(func(ctx context.Context) error {
		defer close(made)
		return a.addAll(ctx, read, made)
	})
	group.Go(func(context.Context) error { return a.stepsAll(made) })
	return group.Wait()
}

// readAll reads what each recording of the plan left, in their order.
func (a *assembly) readAll(ctx context.Context, to chan<- *result) error {
	for i := range a.plan.Items {
		r, err := load(a.out, &a.plan.Items[i], a.set)
		if err != nil {
			return err
		}
		if err := hand(ctx, to, r); err != nil {
			return err
		}
	}
	return nil
}

// addAll makes the rows of each recording and passes those on that have steps.
func (a *assembly) addAll(ctx context.Context, from <-chan *result, to chan<- *result) error {
	for r := range from {
		if err := a.add(r); err != nil {
			return err
		}
		if r.Document == nil {
			continue
		}
		if err := hand(ctx, to, r); err != nil {
			return err
		}
	}
	return nil
}

// stepsAll copies the steps of each recording.
func (a *assembly) stepsAll(from <-chan *result) error {
	for r := range from {
		if err := a.steps(r); err != nil {
			return err
		}
	}
	return nil
}

// hand gives a result to the next in line, unless the work has been given up.
func hand(ctx context.Context, to chan<- *result, r *result) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	select {
	case to <- r:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// add takes one recording in, but for its steps.
func (a *assembly) add(r *result) error {
	a.outcome.count(r.record)
	r.beside = append(missingSides(r), a.same[r.ID]...)
	a.quality.add(r)
	if err := errors.Join(sessionRow(r, a.tables[SessionsSheet].write), remarkRows(r, a.tables[RemarksSheet].write)); err != nil {
		return err
	}
	if r.Document == nil {
		return nil
	}
	a.methods.add(r)
	return errors.Join(sideRows(r, a.tables[SidesSheet].write), asymmetryRows(r, a.tables[AsymmetrySheet].write))
}

// steps copies the recording's steps.
func (a *assembly) steps(r *result) error {
	f, err := os.Open(filepath.Join(recordDir(a.out, r.ID), stepsName))
	if err != nil {
		return err
	}
	defer f.Close()
	rows := csv.NewReader(bufio.NewReaderSize(f, 1<<16))
	rows.ReuseRecord = true
	head, err := rows.Read()
	if err != nil || !slices.Equal(head, table.Columns()) {
		return fmt.Errorf("%s: %s is not of this version; analyse the trial again", r.ID, stepsName)
	}
	var m rowMaker
	reason := slices.Index(head, "reason")
	for {
		row, err := rows.Read()
		if err == io.EOF {
			return a.bids.end(r)
		}
		if err != nil {
			return fmt.Errorf("%s: %s: %w", r.ID, stepsName, err)
		}
		row[reason] = table.Unguard(row[reason])
		m.begin(&r.record.Item)
		m.text(row...)
		if err := errors.Join(a.tables[StepsSheet].write(m.cells), a.bids.step(r, row)); err != nil {
			return err
		}
	}
}

// finish writes what needs all recordings to be known.
func (a *assembly) finish() error {
	if err := writePackage(a.work, a.set.Version); err != nil {
		return err
	}
	if _, err := create(filepath.Join(a.work, MethodsName), func(w io.Writer) error { return a.methods.write(w, a) }); err != nil {
		return err
	}
	_, err := create(filepath.Join(a.work, QualityName), func(w io.Writer) error { return a.quality.write(w, a) })
	return err
}

// install moves everything to its place and removes recordings that are no
// longer part of the trial.
func (a *assembly) install() error {
	old := filepath.Join(a.work, "old")
	if err := os.Mkdir(old, 0o777); err != nil {
		return err
	}
	for _, name := range made() {
		err := os.Rename(filepath.Join(a.out, name), filepath.Join(old, name))
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			return err
		}
		err = os.Rename(filepath.Join(a.work, name), filepath.Join(a.out, name))
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			return err
		}
	}
	return a.forget()
}

// forget removes results of recordings that the trial no longer has.
func (a *assembly) forget() error {
	known := map[string]bool{}
	for i := range a.plan.Items {
		known[a.plan.Items[i].ID] = true
	}
	entries, err := os.ReadDir(filepath.Join(a.out, recordingsDir))
	if err != nil {
		return err
	}
	for _, e := range entries {
		if known[e.Name()] || !exists(filepath.Join(recordDir(a.out, e.Name()), recordName)) {
			continue
		}
		if err := os.RemoveAll(recordDir(a.out, e.Name())); err != nil {
			return err
		}
	}
	return nil
}
