package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"github.com/spf13/cobra"

	"setdown/gait/estimate"
	"setdown/report"
	"setdown/report/casebook"
	"setdown/report/trial"
)

type reliabilityOptions struct {
	out      string
	casebook string
	force    bool
}

func newReliabilityCommand(c *console) *cobra.Command {
	var o reliabilityOptions
	cmd := &cobra.Command{
		Use:   "reliability RESULTS --out DIR",
		Short: "How well repeated sessions of a trial agree",
		Long: `reliability reads what batch wrote into RESULTS and compares the sessions of
each person, by measure and side: intraclass correlations in all six forms with
intervals, standard error of measurement, minimal detectable change, and limits
of agreement of each two sessions with intervals. It writes

  agreement.csv  limits.csv  reliability.html  plots/

Sessions of different conditions are never pooled. People who lack a session
are left out of the correlations and counted.

With --casebook FILE the people are the cases of a casebook, and the sessions the
first two in a row of each case under like conditions: what comes later may be
change and not error.` + exitStatusHelp,
		Example: `  setdown batch trial --out results
  setdown reliability results --out reliability
  setdown reliability --casebook practice.casebook --out reliability`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if (len(args) == 1) == (o.casebook != "") || len(args) > 1 {
				return &usageError{"one folder with the results of a batch is needed, or a casebook", "type: setdown reliability RESULTS --out DIR"}
			}
			return runReliability(cmd.Context(), c, &o, args)
		},
	}
	cmd.Flags().StringVarP(&o.out, "out", "o", "", "folder to write; it must not exist or be empty")
	cmd.Flags().StringVar(&o.casebook, "casebook", "", "take the repeated sessions of the cases of this casebook")
	cmd.Flags().BoolVar(&o.force, "force", false, "write into a folder that is not empty")
	return cmd
}

func runReliability(ctx context.Context, c *console, o *reliabilityOptions, results []string) error {
	if o.out == "" {
		return &usageError{"no folder to write to", "add --out DIR"}
	}
	if err := report.Check(o.out, o.force); err != nil {
		return err
	}
	var from trial.Measurements
	if o.casebook != "" {
		book, err := casebook.Open(ctx, o.casebook)
		if err != nil {
			return withHint(err)
		}
		defer book.Close()
		from = casebook.Repeated{Book: book}
	} else {
		from = trial.Folder(results[0])
	}
	all, err := trial.Reliability(ctx, from, estimate.Config{})
	if errors.Is(err, fs.ErrNotExist) {
		return hinted(err, "give the folder that setdown batch wrote to: setdown batch TRIAL --out RESULTS")
	}
	if err != nil {
		return err
	}
	if err := trial.WriteReliability(o.out, all, version, o.force); err != nil {
		return err
	}
	_, err = fmt.Fprintf(c.out, "%s\nLook at: %s\n", trial.ReliabilitySentence(all), filepath.Join(o.out, trial.ReliabilityPage))
	return err
}
