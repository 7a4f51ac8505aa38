package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"setdown/gait"
	"setdown/gait/cadence"
	"setdown/gait/event"
	"setdown/signal/recording"
)

type cadenceOptions struct {
	inputFlags
	seed uint64
	json bool
}

func newCadenceCommand(c *console) *cobra.Command {
	var o cadenceOptions
	cmd := &cobra.Command{
		Use:   "cadence FILE…",
		Short: "Find the step rate in a recording from any place of the body",
		Long: `cadence finds the step rate in recordings of a sensor on the foot, shin, waist,
arm or wrist, or in a phone held in the hand, and in exports of watches. It
prints the steps a minute of both feet with a 95 % interval, how long they lasted,
how many there were, and how they changed along the way. Times without steps of
2 s and more are pauses and are left out of the rate.

Each file is counted for itself.` + exitStatusHelp,
		Example: "  setdown cadence waist.csv\n  setdown cadence watch.csv --cadence-counts strides",
		RunE: func(cmd *cobra.Command, files []string) error {
			return runCadence(cmd.Context(), c, &o, files)
		},
	}
	o.add(cmd.Flags(), false)
	cmd.Flags().Uint64Var(&o.seed, "seed", 1, "seed of the resampling")
	cmd.Flags().BoolVar(&o.json, "json", false, "print the numbers as JSON")
	return cmd
}

func runCadence(ctx context.Context, c *console, o *cadenceOptions, files []string) error {
	if len(files) == 0 {
		return &usageError{"no recording given", "type: setdown cadence FILE"}
	}
	opt, err := o.options()
	if err != nil {
		return err
	}
	opt.StepRate = true
	sources, err := o.sources(c, files)
	if err != nil {
		return err
	}
	set, err := recording.Open(ctx, sources, opt)
	if err != nil {
		return err
	}
	res, err := gait.Cadence(ctx, set, o.seed)
	if err != nil {
		return err
	}
	c.remarks(res.Remarks)
	if o.json {
		return writeCadenceJSON(c.out, res)
	}
	for i := range res.Parts {
		if err := showCadence(c.out, &res.Parts[i], len(res.Parts) > 1); err != nil {
			return err
		}
	}
	return nil
}

// courseRows is the most rows of the printed time course, and courseWidths are
// the lengths of a row, s, among which the shortest that fits is taken.
const courseRows = 12

var courseWidths = [...]float64{10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200}

// showCadence prints the answer and the time course of one recording.
func showCadence(w io.Writer, r *cadence.Result, label bool) error {
	if label {
		fmt.Fprintf(w, "%s: ", r.Label)
	}
	fmt.Fprintln(w, r.Answer())
	if !math.IsNaN(r.Variation.Center) {
		fmt.Fprintf(w, "stride time varies by %.1f %% (n %d)\n", 100*r.Variation.Center, r.Variation.N)
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "\nfrom\tto\tsteps/min\tgait")
	for _, p := range r.Course(courseWidth(r.End - r.Begin)) {
		rate, gait := "-", "no steps"
		if !math.IsNaN(p.Cadence) {
			rate, gait = fmt.Sprintf("%.1f", 60*p.Cadence), p.Gait.String()
			if p.Gait == event.GaitUnknown {
				gait = ""
			}
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\n", clockTime(p.From-r.Begin), clockTime(p.To-r.Begin), rate, gait)
	}
	fmt.Fprintln(t)
	return t.Flush()
}

func courseWidth(seconds float64) float64 {
	for _, w := range courseWidths {
		if seconds <= courseRows*w {
			return w
		}
	}
	return seconds / courseRows
}

// clockTime writes a time since the first sample as m:ss.
func clockTime(seconds float64) string {
	s := int(math.Round(seconds))
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}
