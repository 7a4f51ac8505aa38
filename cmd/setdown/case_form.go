package main

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/report/casebook"
	"setdown/report/page"
)

// oldest is the greatest age that is taken for one, years. Nobody is known to
// have lived longer than 122; common knowledge, no source.
const oldest = 125

// formFlags are the first-visit form as flags.
type formFlags struct {
	injured, onset, nextTest, remarks, strengthTest, rename string
	diabetes, feeling, bone, energy, periods                string
	diagnosis, diagnosisKind, diagnosisBy, diagnosisOn      string
	age, grade, limit, tendonLimit                          int
	rise                                                    float64
	read                                                    bool
	reopen                                                  bool
}

func (f *formFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.injured, "injured", "", "the injured side: left, right, both or unknown")
	flags.StringVar(&f.onset, "onset", "", "day on which it began, YYYY-MM-DD")
	flags.IntVar(&f.age, "age", 0, "age in years")
	flags.StringVar(&f.diabetes, "diabetes", "", "yes or no")
	flags.StringVar(&f.feeling, "reduced-feeling", "", "reduced feeling in leg or foot: yes or no")
	flags.StringVar(&f.bone, "earlier-bone-stress", "", "an earlier bone stress injury: yes or no")
	flags.StringVar(&f.energy, "low-energy", "", "eating less than running uses: yes or no")
	flags.StringVar(&f.periods, "missed-periods", "", "missed periods: yes or no (no where it does not apply)")
	flags.IntVar(&f.grade, "lift-strength", -1, "strength of lifting the injured foot by hand test, grade 0 to 5")
	flags.StringVar(&f.strengthTest, "strength-test", "", "the strength test in words")
	flags.StringVar(&f.diagnosis, "diagnosis", "", "the diagnosis as the clinician named it")
	flags.StringVar(&f.diagnosisKind, "diagnosis-kind", "", "what it is of: tendon, muscle, bone or other")
	flags.StringVar(&f.diagnosisBy, "diagnosis-by", "", "the clinician's name or role")
	flags.StringVar(&f.diagnosisOn, "diagnosis-on", "", "day of the diagnosis, YYYY-MM-DD (default today)")
	flags.StringVar(&f.nextTest, "next-test", "", "day of the next session with sensors, YYYY-MM-DD")
	flags.StringVar(&f.remarks, "remarks", "", "remarks for the file")
	flags.IntVar(&f.limit, "pain-limit", diary.MaxLimit, "pain that counts as quiet, 0 to 2")
	flags.IntVar(&f.tendonLimit, "tendon-limit", diary.MaxTendonLimit, "the same with a clinician's tendon or muscle diagnosis, 0 to 5")
	flags.Float64Var(&f.rise, "weekly-rise", 10, "percent by which a week's running may rise (a convention, not proven), 0 to 30")
	flags.BoolVar(&f.read, "cautions-read", false, "the runner has read and understood the cautions")
}

// apply puts the flags that were given into the case.
func (f *formFlags) apply(flags *pflag.FlagSet, c *casebook.Case, now time.Time) error {
	set := flags.Changed
	today := diary.DateOf(now)
	for _, a := range []struct {
		flag, text string
		into       *diary.Answer
	}{{"diabetes", f.diabetes, &c.Person.Diabetes}, {"reduced-feeling", f.feeling, &c.Person.ReducedFeeling},
		{"earlier-bone-stress", f.bone, &c.Person.EarlierBoneStress}, {"low-energy", f.energy, &c.Person.LowEnergyIntake},
		{"missed-periods", f.periods, &c.Person.MissedPeriods}} {
		if err := answer(flags, a.flag, a.text, a.into); err != nil {
			return err
		}
	}
	for _, d := range []struct {
		flag, text string
		into       *diary.Date
	}{{"onset", f.onset, &c.Onset}, {"next-test", f.nextTest, &c.NextTest}} {
		if set(d.flag) {
			var err error
			if *d.into, err = day("--"+d.flag, d.text, now); err != nil {
				return err
			}
		}
	}
	for _, w := range []struct {
		flag, text string
		into       *string
	}{{"remarks", f.remarks, &c.Remarks}, {"strength-test", f.strengthTest, &c.StrengthTest}, {"injured", f.injured, (*string)(&c.Injured)}} {
		if set(w.flag) {
			*w.into = w.text
		}
	}
	if set("injured") {
		if _, err := parseInjured(f.injured); err != nil {
			return err
		}
	}
	if set("age") {
		if f.age < 1 || f.age > oldest {
			return &usageError{fmt.Sprintf("--age %d is no age in years", f.age), "for example --age 37"}
		}
		c.Person.Age, c.Person.AgeOn = f.age, today
	}
	if f.read {
		c.Person.CautionsRead = today
	}
	return f.applyRules(flags, c, now)
}

// applyRules puts strength, diagnosis and limits into the case.
func (f *formFlags) applyRules(flags *pflag.FlagSet, c *casebook.Case, now time.Time) error {
	if flags.Changed("lift-strength") {
		if f.grade < 0 || f.grade > 5 {
			return &usageError{fmt.Sprintf("--lift-strength %d is no grade", f.grade), "grades go from 0 to 5"}
		}
		s, err := diary.Scored(f.grade)
		if err != nil {
			return err
		}
		c.Person.LiftStrength, c.Person.LiftStrengthOn = s, diary.DateOf(now)
	}
	if c.Rules == (diary.Rules{}) {
		c.Rules = diary.DefaultRules()
	}
	if flags.Changed("pain-limit") {
		c.Rules.Limit, c.Rules.SettledLimit = f.limit, f.limit
	}
	if flags.Changed("tendon-limit") {
		c.Rules.TendonLimit = f.tendonLimit
	}
	if flags.Changed("weekly-rise") {
		c.Rules.WeeklyRise = f.rise / 100
	}
	if f.diagnosis == "" {
		return nil
	}
	if f.diagnosisBy == "" || f.diagnosisKind == "" {
		return &usageError{"a diagnosis needs the clinician who made it and what it is of", "add --diagnosis-by WHO --diagnosis-kind tendon|muscle|bone|other"}
	}
	kind, err := diary.ParseKind(f.diagnosisKind)
	if err != nil {
		return &usageError{err.Error(), "for example --diagnosis-kind tendon"}
	}
	on, err := day("--diagnosis-on", f.diagnosisOn, now)
	if err != nil {
		return err
	}
	c.Person.Diagnoses = append(c.Person.Diagnoses, diary.Diagnosis{Name: f.diagnosis, Kind: kind, By: f.diagnosisBy, On: on})
	return nil
}

// answer reads a yes-or-no flag that was given.
func answer(flags *pflag.FlagSet, flag, text string, into *diary.Answer) error {
	if !flags.Changed(flag) {
		return nil
	}
	a, err := diary.ParseAnswer(text)
	if err != nil {
		return &usageError{"--" + flag + ": " + err.Error(), "for example --" + flag + " no"}
	}
	*into = a
	return nil
}

func (t *caseTools) newCommand() *cobra.Command {
	var f formFlags
	cmd := &cobra.Command{
		Use:   "new NAME",
		Short: "Make a case under a pseudonym",
		Long: `new makes a case. NAME is a pseudonym: no name, no date of birth. What is not
known yet can be added with setdown case change; until the form is filled in, the
advice about running is hold at most.` + exitStatusHelp,
		Example: "  setdown case new wren --injured right --age 37 --diabetes no --reduced-feeling no --earlier-bone-stress no --low-energy no --missed-periods no --cautions-read",
		Args:    one,
		RunE: func(cmd *cobra.Command, args []string) error {
			return t.runNew(cmd.Context(), cmd.Flags(), &f, args[0])
		},
	}
	f.add(cmd.Flags())
	return cmd
}

func (t *caseTools) runNew(ctx context.Context, flags *pflag.FlagSet, f *formFlags, name string) error {
	now, err := t.now()
	if err != nil {
		return err
	}
	c := casebook.Case{Name: name}
	if err := f.apply(flags, &c, now); err != nil {
		return err
	}
	b, err := t.book(ctx, true)
	if err != nil {
		return err
	}
	defer b.Close()
	if c, err = b.NewCase(ctx, c, now); err != nil {
		return withHint(err)
	}
	fmt.Fprintf(t.out, "Case %s is kept in %s\n", c.Name, b.Path())
	if c.Injured.Side() == asymmetry.InjuredUnknown {
		fmt.Fprint(t.out, t.typed(fmt.Sprintf("Not said: which side is injured. Without it no return of control can be told: setdown case change %s --injured left|right|both\n", c.Name)))
	}
	if c.Person.CautionsRead.IsZero() {
		t.printCautions()
		fmt.Fprint(t.out, t.typed(fmt.Sprintf("\nRead and understood? setdown case change %s --cautions-read\n", c.Name)))
	}
	return nil
}

// printCautions prints what every page carries.
func (t *caseTools) printCautions() {
	fmt.Fprintf(t.out, "\n%s\n", page.Limits)
	for _, c := range page.Cautions() {
		fmt.Fprintf(t.out, "\n%s:\n", c.When)
		for _, s := range c.Signs {
			fmt.Fprintf(t.out, "  - %s\n", s)
		}
	}
	fmt.Fprintln(t.out)
	for _, n := range page.CautionNotes() {
		fmt.Fprintln(t.out, n)
	}
}

// change puts the flags that were given into a kept case.
func (f *formFlags) change(ctx context.Context, flags *pflag.FlagSet, b *casebook.Book, id string, now time.Time) error {
	return b.ChangeCase(ctx, id, now, func(c *casebook.Case) error {
		if flags.Changed("rename") {
			c.Name = f.rename
		}
		if f.reopen {
			c.Closed, c.ClosedBy, c.ClosedNote = diary.Date{}, "", ""
		}
		return f.apply(flags, c, now)
	})
}

// oneForm refuses flags of the case's form beside a session, and those of a session
// without one: nothing would be done with them.
func oneForm(flags *pflag.FlagSet, session string) error {
	ofSession := pflag.NewFlagSet("", pflag.ContinueOnError)
	new(conditionFlags).add(ofSession)
	var err error
	flags.VisitAll(func(f *pflag.Flag) {
		known := ofSession.Lookup(f.Name) != nil
		switch {
		case !f.Changed, f.Name == "session", ofEveryCase(f.Name):
		case flags.Changed("session") && session == "":
			err = &usageError{"--session names no session", "type: setdown case list NAME to see its sessions"}
		case session == "" && known:
			err = &usageError{"--" + f.Name + " is of a session", "say of which with --session; setdown case list NAME names them"}
		case session != "" && !known:
			err = &usageError{"--" + f.Name + " is of the case and not of a session", "leave --session out, or --" + f.Name}
		}
	})
	return err
}

func (t *caseTools) changeCommand() *cobra.Command {
	var f formFlags
	var s conditionFlags
	var session string
	cmd := &cobra.Command{
		Use:   "change NAME",
		Short: "Correct or complete a case's form, or a session's conditions",
		Long: `change corrects what is written down about a case, or with --session about one of
its sessions. The earlier value stays in the case's history.` + exitStatusHelp,
		Example: "  setdown case change wren --next-test 2026-06-12\n  setdown case change wren --session 2026-05-29-1a2b3c --shoe blue",
		Args:    one,
		RunE: func(cmd *cobra.Command, args []string) error {
			given := 0
			cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
				if f.Changed {
					given++
				}
			})
			if given == 0 {
				return &usageError{"what is to be changed?", "type: setdown case change --help"}
			}
			if err := oneForm(cmd.LocalFlags(), session); err != nil {
				return err
			}
			return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, now time.Time) error {
				what, err := c.Name, error(nil)
				if session != "" {
					what = "session " + session + " of " + c.Name
					err = b.ChangeSession(cmd.Context(), c.ID, session, now, func(form *casebook.SessionForm) error { return s.apply(cmd.Flags(), form) })
				} else {
					err = f.change(cmd.Context(), cmd.Flags(), b, c.ID, now)
				}
				if err == nil {
					fmt.Fprintf(t.out, "Changed: %s.\n", what)
				}
				return err
			})
		},
	}
	f.add(cmd.Flags())
	cmd.Flags().StringVar(&f.rename, "rename", "", "another pseudonym")
	cmd.Flags().BoolVar(&f.reopen, "reopen", false, "open a closed case again")
	cmd.Flags().StringVar(&session, "session", "", "change this session's conditions")
	s.add(cmd.Flags())
	return cmd
}
