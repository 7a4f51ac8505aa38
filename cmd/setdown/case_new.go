package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setdown/gait/asymmetry"
	"setdown/report/casebook"
	"setdown/report/page"
)

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
