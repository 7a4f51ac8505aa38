package main

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setdown/gait/diary"
	"setdown/report/casebook"
)

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

// change puts the flags that were given into a kept session.
func (f *conditionFlags) change(ctx context.Context, flags *pflag.FlagSet, b *casebook.Book, caseID, session string, now time.Time) error {
	return b.ChangeSession(ctx, caseID, session, now, func(form *casebook.SessionForm) error { return f.apply(flags, form) })
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
			if !anyGiven(cmd.LocalFlags()) {
				return &usageError{"what is to be changed?", "type: setdown case change --help"}
			}
			if err := oneForm(cmd.LocalFlags(), session); err != nil {
				return err
			}
			return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, now time.Time) error {
				what, err := c.Name, error(nil)
				if session != "" {
					what = "session " + session + " of " + c.Name
					err = s.change(cmd.Context(), cmd.Flags(), b, c.ID, session, now)
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

// anyGiven tells whether any of the flags was given.
func anyGiven(flags *pflag.FlagSet) bool {
	given := false
	flags.VisitAll(func(f *pflag.Flag) { given = given || f.Changed })
	return given
}
