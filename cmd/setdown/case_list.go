package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"setdown/gait/recovery"
	"setdown/report/casebook"
)

func (t *caseTools) listCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "list [NAME]",
		Short: "List the cases, or the sessions of one",
		Long:  "list prints the cases of the casebook, or the sessions of one case." + exitStatusHelp,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			return one(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 1 {
				return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, _ time.Time) error {
					return t.listSessions(cmd.Context(), b, c)
				})
			}
			return t.withAll(cmd.Context(), func(_ *casebook.Book, cases []casebook.Case) error {
				t.listCases(cases)
				return nil
			})
		},
	}
}

// listCases prints a line a case.
func (t *caseTools) listCases(cases []casebook.Case) {
	if len(cases) == 0 {
		fmt.Fprintln(t.out, t.typed("The casebook holds no case. Make one: setdown case new NAME --injured left|right|both"))
	}
	for _, c := range cases {
		state := "open"
		if !c.Closed.IsZero() {
			state = "closed " + c.Closed.String()
		}
		fmt.Fprintf(t.out, "%s\tinjured %s\t%s\n", c.Name, c.Injured, state)
	}
}

func (t *caseTools) listSessions(ctx context.Context, b *casebook.Book, c casebook.Case) error {
	all, err := b.Sessions(ctx, c.ID)
	if err != nil {
		return err
	}
	if len(all) == 0 {
		fmt.Fprint(t.out, t.typed(fmt.Sprintf("%s has no session yet. Add one: setdown case add %s --left LEFT.csv --right RIGHT.csv --shoe NAME --surface road --speed 2.8\n", c.Name, c.Name)))
	}
	for _, s := range all {
		fmt.Fprintf(t.out, "%s\t%d + %d used steps\tmethod %s\t%s\n", s.ID, s.Summary.UsedLeft, s.Summary.UsedRight, strings.Join(s.Methods, ", "),
			strings.Join(recovery.Recorded(s.Summary), "; "))
	}
	return nil
}
