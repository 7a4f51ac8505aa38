package main

import (
	"context"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/report/casebook"
	"setdown/report/page"
)

func (t *caseTools) addCommand() *cobra.Command {
	var in inputFlags
	var f conditionFlags
	var date string
	cmd := &cobra.Command{
		Use:   "add NAME [FILE…]",
		Short: "Add a session with its recordings and conditions",
		Long: `add analyses the recordings of a session as setdown analyze does and keeps them
with the result and the conditions. Only sessions in like conditions are
compared, so give at least --shoe, --surface and --speed (or --pace).

For two conditions in one run (shoes cannot be changed, step rate can): run
alternating blocks of one to two minutes, at least five, mark them with --blocks,
and ask setdown case compare NAME --blocks SESSION.` + exitStatusHelp,
		Example: "  setdown case add wren --left left.csv --right right.csv --shoe \"grey, 8 mm\" --drop 8 --surface road --pace 5:57 --refitted yes",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return one(cmd, args)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, now time.Time) error {
				form := casebook.SessionForm{Zone: c.Zone}
				if err := f.apply(cmd.Flags(), &form); err != nil {
					return err
				}
				return t.runAdd(cmd.Context(), b, c, now, &in, form, date, args[1:])
			})
		},
	}
	in.add(cmd.Flags(), true)
	f.add(cmd.Flags())
	cmd.Flags().StringVar(&date, "date", "", "day of the run, YYYY-MM-DD (default: the recording's own, else today)")
	return cmd
}

func (t *caseTools) runAdd(ctx context.Context, b *casebook.Book, c casebook.Case, now time.Time, in *inputFlags, form casebook.SessionForm, date string, files []string) error {
	if !c.Closed.IsZero() {
		return hinted(fmt.Errorf("%s is closed", c.Name), "to open it again: setdown case change "+c.Name+" --reopen")
	}
	if len(files)+len(in.sided) == 0 {
		return &usageError{"no recording given", "type: setdown case add " + c.Name + " --left LEFT.csv --right RIGHT.csv --shoe NAME --surface road --speed 2.8"}
	}
	if _, err := in.options(); err != nil {
		return err
	}
	sources, err := in.sources(t.console, files)
	if err != nil {
		return err
	}
	if form.Reading, err = in.reading(); err != nil {
		return err
	}
	res, err := t.analyze(ctx, sources, c.Injured.Side(), form.Reading)
	if err != nil {
		return err
	}
	t.remarks(page.Beside(res))
	if err := dateSession(&form, res.Start, date, now); err != nil {
		return err
	}
	kept, err := casebook.Keep(res)
	if err != nil {
		return err
	}
	id, err := b.AddSession(ctx, c.ID, form, sources, kept, now)
	if err != nil {
		return err
	}
	fmt.Fprintln(t.out, page.Answer(res))
	summary := kept.Summary
	summary.Conditions = form.Conditions
	return t.printAdded(c.Name, id, summary)
}

// reading is what the flags say of how the files are read, to be kept with them.
func (f *inputFlags) reading() (casebook.Reading, error) {
	r := casebook.Reading{Rate: f.rate, OneSensor: f.oneSensor, CadenceCounts: f.counts}
	if f.columns == "" {
		return r, nil
	}
	text, err := os.ReadFile(f.columns)
	r.Columns = string(text)
	return r, err
}

// dateSession gives a session its day: the one of --date, else that on which the
// recording began where it tells, else today.
func dateSession(form *casebook.SessionForm, began time.Time, date string, now time.Time) (err error) {
	if form.Date, err = day("--date", date, now); err != nil {
		return err
	}
	if !began.IsZero() {
		start := began.In(now.Location())
		form.Start = &start
		if date == "" {
			form.Date = diary.DateOf(start)
		}
	}
	if form.Date.After(diary.DateOf(now)) {
		return &usageError{fmt.Sprintf("the run of %s lies after today", form.Date), "give its day with --date, or today's with --today"}
	}
	return nil
}

// printAdded says what was kept, what its conditions lack, and what to type next.
func (t *caseTools) printAdded(name, id string, s recovery.Session) error {
	fmt.Fprintf(t.out, "Kept as session %s of %s.\n", id, name)
	if doubt := s.SpeedDoubt(); doubt != "" {
		fmt.Fprint(t.out, t.typed(fmt.Sprintf("Doubt: %s. To correct it: setdown case change %s --session %s --speed …\n", doubt, name, id)))
	}
	if gaps := s.Conditions.NotRecorded(); gaps != nil {
		fmt.Fprint(t.out, t.typed(fmt.Sprintf("Not recorded: %s. Without it no improvement can be told from a change of conditions: setdown case change %s --session %s --%s …\n", strings.Join(gaps, ", "), name, id, gaps[0])))
	}
	_, err := fmt.Fprint(t.out, t.typed(fmt.Sprintf("Next: setdown case diary %s --during … --after … --minutes …, then setdown case review %s\n", name, name)))
	return err
}
