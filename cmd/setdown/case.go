package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/report/casebook"
	"setdown/signal/recording"
)

// caseTools are what the case commands share.
type caseTools struct {
	*console
	// clock gives the time; the flag --today replaces its day.
	clock   func() time.Time
	analyze casebook.Analyze
	path    string
	today   string
}

// newCaseCommand builds `setdown case`. clock is the program's clock, analyze the
// way from recordings to a result.
func newCaseCommand(c *console, clock func() time.Time, analyze casebook.Analyze) *cobra.Command {
	t := &caseTools{console: c, clock: clock, analyze: analyze}
	cmd := &cobra.Command{
		Use:   "case",
		Short: "Keep a case over weeks: sessions, diary, exercises, what next",
		Long: `case keeps a case in a casebook: sessions with their recordings, a pain diary
and the strengthening done; and answers whether control of lowering is coming
back, what helped, and whether and how to run next.

A casebook is one file that only its owner may read. It is kept at
  ` + shownPlace() + `
unless --casebook names another place. Use a pseudonym for each case.

Begin with:  setdown case new wren --injured right
Then:        setdown case add wren --left L.csv --right R.csv --shoe grey --surface road --speed 2.8
             setdown case diary wren --during 1 --after 1 --minutes 25 --painkillers no --slapping no --front-of-ankle no --all-no
             setdown case review wren --out review.html`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noCommand(cmd, args[0])
			}
			return cmd.Help()
		},
	}
	cmd.PersistentFlags().StringVar(&t.path, "casebook", "", "the casebook's file")
	cmd.PersistentFlags().StringVar(&t.today, "today", "", "act as of this day, YYYY-MM-DD, to enter what is past")
	cmd.AddCommand(t.newCommand(), t.changeCommand(), t.addCommand(), t.diaryCommand(), t.exerciseCommand(), t.releaseCommand(), t.reviewCommand(),
		t.compareCommand(), t.recomputeCommand(), t.exportCommand(), t.importCommand(), t.closeCommand(), t.deleteCommand(), t.listCommand())
	for _, sub := range cmd.Commands() {
		args, run := sub.Args, sub.RunE
		if args != nil {
			sub.Args = func(cmd *cobra.Command, names []string) error { return t.typedHint(args(cmd, names)) }
		}
		sub.RunE = func(cmd *cobra.Command, names []string) error { return t.typedHint(run(cmd, names)) }
	}
	return cmd
}

// typed makes what a text says to type work as it stands: with the casebook that
// was named.
func (t *caseTools) typed(text string) string {
	if t.path == "" {
		return text
	}
	path := t.path
	if strings.ContainsAny(path, " \t\"'()&;") {
		path = strconv.Quote(path)
	}
	return strings.ReplaceAll(text, "setdown case ", "setdown case --casebook "+path+" ")
}

// typedHint is typed for the hint of an error.
func (t *caseTools) typedHint(err error) error {
	var usage *usageError
	var data *recording.Error
	switch {
	case errors.As(err, &usage):
		usage.hint = t.typed(usage.hint)
	case errors.As(err, &data):
		data.Hint = t.typed(data.Hint)
	}
	return err
}

// defaultCasebook is the place of the casebook when none is named.
func defaultCasebook() (string, error) {
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", hinted(fmt.Errorf("no usual place for a casebook: %w", err), "name one: --casebook FILE")
	}
	return filepath.Join(dir, "setdown", casebook.FileName), nil
}

// shownPlace is defaultCasebook for help, the same on every machine of a kind.
func shownPlace() string {
	return "setdown/" + casebook.FileName + " in the user's configuration folder"
}

// caseAnalyze goes from recordings to a result the way analyze does.
func caseAnalyze(ctx context.Context, sources []recording.Source, injured asymmetry.Injured, how casebook.Reading) (*gait.Result, error) {
	set, err := how.Open(ctx, sources)
	if err != nil {
		return nil, err
	}
	return gait.Analyze(ctx, set, gait.Settings{Version: version, Injured: injured, Seed: 1, Curves: reportCurves, OneSensor: how.OneSensor})
}

// now is the time, on the day of --today where that is given.
func (t *caseTools) now() (time.Time, error) {
	now := t.clock()
	if t.today == "" {
		return now, nil
	}
	d, err := diary.ParseDate(t.today)
	if err != nil {
		return now, &usageError{"--today: " + err.Error(), "for example --today 2026-05-31"}
	}
	h, m, s := now.Clock()
	return time.Date(d.Year, d.Month, d.Day, h, m, s, now.Nanosecond(), now.Location()), nil
}

// book opens the casebook, making it where make is true.
func (t *caseTools) book(ctx context.Context, make bool) (*casebook.Book, error) {
	path := t.path
	if path == "" {
		var err error
		if path, err = defaultCasebook(); err != nil {
			return nil, err
		}
	}
	open := casebook.Open
	if make {
		open = casebook.Create
	}
	b, err := open(ctx, path)
	return b, withHint(err)
}

// with opens the casebook and the case and runs f with the present time.
func (t *caseTools) with(ctx context.Context, name string, f func(b *casebook.Book, c casebook.Case, now time.Time) error) error {
	now, err := t.now()
	if err != nil {
		return err
	}
	b, err := t.book(ctx, false)
	if err != nil {
		return err
	}
	c, err := b.Find(ctx, name)
	if err == nil {
		err = f(b, c, now)
	}
	return errors.Join(named(withHint(err), c.Name), b.Close())
}

// withAll is as with for all cases of the casebook.
func (t *caseTools) withAll(ctx context.Context, f func(b *casebook.Book, cases []casebook.Case) error) error {
	b, err := t.book(ctx, false)
	if err != nil {
		return err
	}
	defer b.Close()
	cases, err := b.Cases(ctx)
	if err != nil {
		return withHint(err)
	}
	return f(b, cases)
}

// named puts the case's name into a hint that has to leave it open.
func named(err error, name string) error {
	var data *recording.Error
	if name != "" && errors.As(err, &data) && (errors.Is(err, casebook.ErrNoSession) || errors.As(err, new(*casebook.DuplicateError))) {
		data.Hint = strings.ReplaceAll(data.Hint, " NAME", " "+name)
	}
	return err
}

// withHint adds to the casebook's own errors what to type next.
func withHint(err error) error {
	var dup *casebook.DuplicateError
	switch {
	case err == nil:
		return nil
	case errors.Is(err, casebook.ErrNone):
		return hinted(err, "make one by the first case: setdown case new NAME --injured left|right|both")
	case errors.Is(err, casebook.ErrNoCase):
		return hinted(err, "type: setdown case list, or make it: setdown case new NAME --injured left|right|both")
	case errors.Is(err, casebook.ErrNameTaken):
		return hinted(err, "choose another name, or complete that case: setdown case change NAME; for an archive, setdown case import FILE --as NAME keeps a second copy")
	case errors.Is(err, casebook.ErrTooEarly):
		return hinted(err, "of an earlier run: add --date with the day of that run; a day without a run: add --no-run")
	case errors.Is(err, casebook.ErrNoSession):
		return hinted(err, "type: setdown case list NAME to see its sessions")
	case errors.As(err, &dup):
		return hinted(err, "to correct its conditions: setdown case change NAME --session "+dup.Session+
			"; where its day or the feet were given wrongly: setdown case delete NAME --session "+dup.Session+" --yes, then add it again")
	case errors.Is(err, casebook.ErrDamaged):
		return hinted(err, "go back to a copy of the casebook, or to an archive of the case as the command export wrote it")
	case errors.Is(err, casebook.ErrNewer):
		return hinted(err, "use the newer program, or name another casebook with --casebook")
	case errors.Is(err, casebook.ErrFull):
		return hinted(err, "make room on the disk and do it again")
	case errors.Is(err, casebook.ErrNotCasebook):
		return hinted(err, "name another file with --casebook")
	}
	return err
}

// one wants exactly the name of a case.
func one(cmd *cobra.Command, args []string) error {
	switch len(args) {
	case 1:
		return nil
	case 0:
		if cmd.Name() == "new" {
			return &usageError{"under which pseudonym?", "for example: setdown case new wren --injured right"}
		}
		return &usageError{"which case?", "type: " + cmd.CommandPath() + " NAME; the names: setdown case list"}
	}
	return &usageError{fmt.Sprintf("%q is not expected here", args[1]), "type: " + cmd.CommandPath() + " --help"}
}

// day reads a date flag; empty is now's day.
func day(flag, text string, now time.Time) (diary.Date, error) {
	if text == "" {
		return diary.DateOf(now), nil
	}
	d, err := diary.ParseDate(text)
	if err != nil {
		return d, &usageError{flag + ": " + err.Error(), "for example " + flag + " 2026-05-31"}
	}
	return d, nil
}
