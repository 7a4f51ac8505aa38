package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setdown/gait/diary"
	"setdown/report/casebook"
)

// diaryFlags are a page of the diary as flags.
type diaryFlags struct {
	date, painkillers, slapping, front, tender, laces, plan, note string
	during, after, morning, stiffness, entry                      int
	minutes, kilometres                                           float64
	yes, clear                                                    []string
	allNo, noRun, remove                                          bool
}

func (f *diaryFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.date, "date", "", "day of the run, YYYY-MM-DD (default today)")
	flags.IntVar(&f.entry, "entry", 1, "which entry of that day, where there are several runs")
	flags.BoolVar(&f.noRun, "no-run", false, "a day without a run")
	flags.IntVar(&f.during, "during", 0, "pain during the run, 0 to 10")
	flags.IntVar(&f.after, "after", 0, "pain just after, 0 to 10")
	flags.IntVar(&f.morning, "morning", 0, "pain the next morning, 0 to 10")
	flags.IntVar(&f.stiffness, "stiffness", 0, "stiffness the next morning, 0 to 10")
	flags.Float64Var(&f.minutes, "minutes", 0, "minutes run")
	flags.Float64Var(&f.kilometres, "km", 0, "kilometres run")
	flags.StringVar(&f.painkillers, "painkillers", "", "painkillers taken: yes or no")
	flags.StringVar(&f.slapping, "slapping", "", "the foot was heard or felt to slap: yes or no")
	flags.StringVar(&f.front, "front-of-ankle", "", "pain across the front of the ankle: yes or no")
	flags.StringVar(&f.tender, "tender-spot", "", "a spot that hurts when pressed: yes or no")
	flags.StringVar(&f.laces, "looser-laces", "", "run with looser laces: yes or no")
	flags.BoolVar(&f.allNo, "all-no", false, "every question of the checklist was read and answered no")
	flags.StringSliceVar(&f.yes, "yes", nil, "a question of the checklist answered yes, by its name (may be repeated)")
	flags.StringSliceVar(&f.clear, "clear", nil, "take back a value, by its flag's name; what it said still counts for the advice")
	flags.StringVar(&f.plan, "plan", "", "walk and run plan")
	flags.StringVar(&f.note, "note", "", "a note; a sign in it is asked about, the advice goes by the answers")
	flags.BoolVar(&f.remove, "remove", false, "take the entry back; what it said still counts for the advice")
}

// checklistHelp lists the checklist for help.
func checklistHelp() string {
	var b strings.Builder
	for _, q := range diary.Symptoms {
		fmt.Fprintf(&b, "  %-24s %s\n", q.Key, q.Ask)
	}
	return b.String()
}

func (t *caseTools) diaryCommand() *cobra.Command {
	var f diaryFlags
	cmd := &cobra.Command{
		Use:   "diary NAME",
		Short: "Enter pain, running and signs, and get the advice for the next run",
		Long: `diary enters or corrects the page of a day and prints the advice for the next
run. Enter the morning's pain a day later with the run's own --date. Without any
flag it prints the advice only.

The checklist. Read every question; --all-no answers them all no, --yes NAME
answers one yes:
` + checklistHelp() + `
The rules behind the advice are in docs/pain-rules.md. It is never a clearance.` + exitStatusHelp,
		Example: "  setdown case diary wren --during 1 --after 1 --minutes 25 --painkillers no --slapping no --front-of-ankle no --all-no\n" +
			"  setdown case diary wren --date 2026-05-29 --morning 0",
		Args: one,
		RunE: func(cmd *cobra.Command, args []string) error {
			return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, now time.Time) error {
				done, err := f.enter(cmd.Context(), cmd.Flags(), b, c, now)
				if err != nil {
					return err
				}
				fmt.Fprint(t.out, done)
				return t.printAdvice(cmd.Context(), b, c, now)
			})
		},
	}
	f.add(cmd.Flags())
	return cmd
}

// enter writes the page, if any flag was given, and says for which day: a slip in
// the date would else go unseen.
func (f *diaryFlags) enter(ctx context.Context, flags *pflag.FlagSet, b *casebook.Book, c casebook.Case, now time.Time) (string, error) {
	given := false
	flags.Visit(func(x *pflag.Flag) { given = given || !ofEveryCase(x.Name) })
	if !given {
		return "", nil
	}
	d, err := day("--date", f.date, now)
	if err != nil {
		return "", err
	}
	if f.entry < 1 || f.entry > mostEntries {
		return "", &usageError{fmt.Sprintf("--entry %d is no entry of a day", f.entry), fmt.Sprintf("the entries of a day count from 1 to %d; one run a day needs no --entry", mostEntries)}
	}
	if err := f.contradiction(flags); err != nil {
		return "", err
	}
	id := casebook.EntryID(d, f.entry)
	if f.remove {
		return "Taken back: " + dayAndAge(d, now), b.RemoveEntry(ctx, c.ID, id, now)
	}
	return "Entered for " + dayAndAge(d, now), b.ChangeEntry(ctx, c.ID, id, d, now, func(e *diary.Entry) error {
		e.Removed = false
		return f.apply(flags, e)
	})
}

// mostEntries is how many entries a day may have, so that a slip of the key is
// noticed (the project's own choice).
const mostEntries = 20

// contradiction refuses flags of which one would be dropped without a word: what was
// dropped might have been a sign.
func (f *diaryFlags) contradiction(flags *pflag.FlagSet) error {
	if f.remove {
		return onlyWith(flags, "remove", "date", "entry")
	}
	if flags.Changed("yes") && len(f.yes) == 0 {
		return &usageError{"--yes names no question", "the names: setdown case diary --help"}
	}
	for _, name := range f.clear {
		if flags.Changed(name) {
			return &usageError{"--" + name + " is given and taken back at once", "enter what was so; to take it back, type --clear " + name + " by itself"}
		}
	}
	return nil
}

// ofEveryCase tells whether a flag goes with all commands of cases and enters nothing.
func ofEveryCase(flag string) bool {
	return slices.Contains([]string{"casebook", "today", "verbose"}, flag)
}

// onlyWith refuses any flag but those beside flag, which does nothing with them.
func onlyWith(flags *pflag.FlagSet, flag string, beside ...string) error {
	var err error
	flags.Visit(func(x *pflag.Flag) {
		if x.Name != flag && !slices.Contains(beside, x.Name) && !ofEveryCase(x.Name) {
			err = &usageError{fmt.Sprintf("--%s cannot go with --%s, which enters nothing", x.Name, flag), "type the two one after the other"}
		}
	})
	return err
}

// dayAndAge says which day an entry is of.
func dayAndAge(d diary.Date, now time.Time) string {
	switch n := diary.DateOf(now).Since(d); n {
	case 0:
		return d.String() + ", today.\n"
	case 1:
		return d.String() + ", yesterday.\n"
	default:
		return fmt.Sprintf("%s, %d days ago.\n", d, n)
	}
}

// The rules that ask for the first-visit form and for fields of an entry
// (docs/pain-rules.md).
const (
	missingForm   = "missing-form"
	missingFields = "missing-fields"
)

// printAdvice prints the word, why, and the next run.
func (t *caseTools) printAdvice(ctx context.Context, b *casebook.Book, c casebook.Case, now time.Time) error {
	r, err := b.Review(ctx, c.ID, diary.DateOf(now), "")
	if err != nil {
		return err
	}
	fmt.Fprintf(t.out, "%s\n", adviceLine(r.Advice))
	for _, reason := range r.Advice.Reasons {
		fmt.Fprintf(t.out, "  - %s\n", reason.Text)
		switch {
		case reason.Rule == missingForm:
			fmt.Fprint(t.out, t.typed(fmt.Sprintf("      to fill it in: setdown case change %s with the flags of setdown case change --help\n", c.Name)))
		case reason.Rule == missingFields && len(reason.Entries) > 0:
			fmt.Fprint(t.out, t.typed(fmt.Sprintf("      to fill it in: setdown case diary %s --date %s with the flags of setdown case diary --help\n", c.Name, reason.Entries[0].Date)))
		}
		if !reason.Missing {
			for _, e := range reason.Entries {
				fmt.Fprintf(t.out, "      %s: %s %s\n", e.Date, e.Field, e.Value)
			}
		}
	}
	fmt.Fprintf(t.out, "Next run: %s\n", r.Advice.Next.Text)
	if r.Advice.Laces != "" {
		fmt.Fprintln(t.out, r.Advice.Laces)
	}
	_, err = fmt.Fprintln(t.out, "Never a clearance; not a medical device. Local rules and licensed practitioners come first.")
	return err
}

// adviceLine is the word, with whom to see where that is said.
func adviceLine(a diary.Advice) string {
	if a.Tier == diary.NoTier {
		return "Running: " + a.Word.String()
	}
	return "Running: " + a.Word.String() + " (" + a.Tier.String() + ")"
}
