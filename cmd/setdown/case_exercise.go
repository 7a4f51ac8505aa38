package main

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setdown/gait/diary"
	"setdown/report/casebook"
)

// exerciseFlags are a line of the strengthening log as flags.
type exerciseFlags struct {
	date, note, line       string
	sets, slow, fast, pain int
	metres, kilograms      float64
	remove                 bool
}

func (t *caseTools) exerciseCommand() *cobra.Command {
	var f exerciseFlags
	cmd := &cobra.Command{
		Use:   "exercise NAME [heel-walk|toe-walk]",
		Short: "Enter strengthening, and get the next step of the programme",
		Long: `exercise enters what was done and prints the next step of heel walks and toe
walks. Without an exercise it prints the next step only. The programme is common
practice without a source: sets of 10 m that lengthen, or three sets of 15 slow
and 15 fast repetitions that grow to 30.` + exitStatusHelp,
		Example: "  setdown case exercise wren heel-walk --sets 3 --metres 10 --pain 0\n  setdown case exercise wren toe-walk --sets 3 --slow 15 --fast 15 --pain 1",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 2 {
				return nil
			}
			return one(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.unplaced(cmd.Flags(), args); err != nil {
				return err
			}
			return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, now time.Time) error {
				return t.runExercise(cmd, &f, b, c, now, args[1:])
			})
		},
	}
	f.add(cmd.Flags())
	return cmd
}

func (f *exerciseFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.date, "date", "", "day, YYYY-MM-DD (default today)")
	flags.IntVar(&f.sets, "sets", 0, "sets done")
	flags.Float64Var(&f.metres, "metres", 0, "distance of each set in m")
	flags.IntVar(&f.slow, "slow", 0, "slow repetitions a set")
	flags.IntVar(&f.fast, "fast", 0, "fast repetitions a set")
	flags.Float64Var(&f.kilograms, "load", 0, "added weight in kg")
	flags.IntVar(&f.pain, "pain", 0, "the most pain with it or the next morning, 0 to 10")
	flags.StringVar(&f.note, "note", "", "a note; a sign in it is asked about by the diary")
	flags.StringVar(&f.line, "line", "", "correct this line, by the name printed when it was entered")
	flags.BoolVar(&f.remove, "remove", false, "take the line of --line back")
}

// unplaced refuses flags that belong to no line: the pain would be dropped without a
// word.
func (f *exerciseFlags) unplaced(flags *pflag.FlagSet, args []string) error {
	if f.line != "" {
		return nil
	}
	if f.remove {
		return &usageError{"which line is to be taken back?", "add --line with the name that was printed when it was entered"}
	}
	if len(args) == 2 {
		return nil
	}
	var err error
	flags.Visit(func(x *pflag.Flag) {
		if !ofEveryCase(x.Name) {
			err = &usageError{"which exercise?", "type: setdown case exercise " + args[0] + " heel-walk --sets 3 --metres 10 --pain 0"}
		}
	})
	return err
}

// runExercise enters a line, if one is given, and prints the next steps.
func (t *caseTools) runExercise(cmd *cobra.Command, f *exerciseFlags, b *casebook.Book, c casebook.Case, now time.Time, drill []string) error {
	if len(drill) > 0 || f.line != "" {
		if err := t.enterExercise(cmd, f, b, c, now, drill); err != nil {
			return err
		}
	}
	r, err := b.Review(cmd.Context(), c.ID, diary.DateOf(now), "")
	if err != nil {
		return err
	}
	t.printNext("", r.Next)
	return nil
}

// printNext prints the next step of each exercise, each line after indent.
func (t *caseTools) printNext(indent string, next []diary.NextExercise) {
	for _, n := range next {
		fmt.Fprintf(t.out, "%s%ss: %s\n", indent, n.Drill, n.Text)
	}
}

// enterExercise writes a line of the strengthening log, or corrects one.
func (t *caseTools) enterExercise(cmd *cobra.Command, f *exerciseFlags, b *casebook.Book, c casebook.Case, now time.Time, drill []string) error {
	d, err := day("--date", f.date, now)
	if err != nil {
		return err
	}
	e := diary.Exercise{ID: f.line, Date: d, Sets: f.sets, Metres: f.metres, Slow: f.slow, Fast: f.fast, LoadKilograms: f.kilograms, Note: f.note, Removed: f.remove}
	if f.line != "" {
		old, err := lineOf(cmd.Context(), b, c, f.line)
		if err != nil {
			return err
		}
		e.Drill = old.Drill
		if f.date == "" {
			e.Date = old.Date
		}
	}
	if len(drill) > 0 {
		if e.Drill, err = diary.ParseDrill(drill[0]); err != nil {
			return &usageError{err.Error(), "type: setdown case exercise NAME heel-walk --sets 3 --metres 10"}
		}
	}
	if cmd.Flags().Changed("pain") {
		if e.Pain, err = diary.Scored(f.pain); err != nil {
			return &usageError{"--pain: " + err.Error(), "for example --pain 1"}
		}
	}
	id, err := b.AddExercise(cmd.Context(), c.ID, e, now)
	if err != nil {
		return hinted(err, "for example: setdown case exercise "+c.Name+" heel-walk --sets 3 --metres 10 --pain 0")
	}
	fmt.Fprintf(t.out, "Entered as line %s.\n", id)
	return nil
}

// lineOf is a line of the strengthening log, by its name.
func lineOf(ctx context.Context, b *casebook.Book, c casebook.Case, name string) (diary.Exercise, error) {
	log, err := b.Diary(ctx, c.ID)
	if err != nil {
		return diary.Exercise{}, err
	}
	i := slices.IndexFunc(log.Exercises, func(x diary.Exercise) bool { return x.ID == name })
	if i < 0 {
		return diary.Exercise{}, hinted(fmt.Errorf("there is no line %q in the strengthening log", name), "its name was printed when it was entered, for example x2026-05-29-1")
	}
	return log.Exercises[i], nil
}

func (t *caseTools) releaseCommand() *cobra.Command {
	var by, on, note string
	var slap bool
	cmd := &cobra.Command{
		Use:   "release NAME",
		Short: "Enter a clinician's dated word that running may be taken up again",
		Long: `release enters that a clinician has seen the person and that running may be taken
up again. It answers red flags that were entered before it and lie on its day or
earlier; a new one starts anew.` + exitStatusHelp,
		Example: "  setdown case release wren --by \"physician\" --on 2026-05-20",
		Args:    one,
		RunE: func(cmd *cobra.Command, args []string) error {
			if by == "" {
				return &usageError{"a release needs the clinician", "add --by WHO --on DATE"}
			}
			return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, now time.Time) error {
				d, err := day("--on", on, now)
				if err != nil {
					return err
				}
				if err := b.AddRelease(cmd.Context(), c.ID, diary.Release{On: d, By: by, SlapKnown: slap, Note: note}, now); err != nil {
					return err
				}
				fmt.Fprintf(t.out, "Entered: the word of %s of %s", by, dayAndAge(d, now))
				return t.printAdvice(cmd.Context(), b, c, now)
			})
		},
	}
	cmd.Flags().StringVar(&by, "by", "", "the clinician's name or role")
	cmd.Flags().StringVar(&on, "on", "", "day of it, YYYY-MM-DD (default today)")
	cmd.Flags().BoolVar(&slap, "slap-known", false, "the clinician has examined the slapping and knows of it")
	cmd.Flags().StringVar(&note, "note", "", "a note")
	return cmd
}
