package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/gait/step"
	"setdown/report/casebook"
	"setdown/signal/recording"
)

// compareFlags say what is compared.
type compareFlags struct {
	by, metric, blocks string
	swap               bool
}

func (t *caseTools) compareCommand() *cobra.Command {
	var f compareFlags
	cmd := &cobra.Command{
		Use:   "compare NAME --by shoe|surface|step-rate|…",
		Short: "Compare shoes, surfaces, step rates within one person",
		Long: `compare compares a condition's values within one person: a comparison, not a cause.

  --by CONDITION    between sessions that are alike in everything else; days that
                    offer both values are paired. CONDITION is one of
                    ` + strings.Join(recovery.Comparable(), ", ") + `.
  --blocks SESSION  between alternating blocks within one run, marked when the
                    session was added: A, B, A, B, A, one to two minutes each.
  --swap            the sensors: two minutes with each sensor on its own foot and
                    two minutes with them swapped, on one day; tells the sensor
                    from the foot.` + exitStatusHelp,
		Example: "  setdown case compare wren --by shoe",
		Args:    one,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.ContainsFunc(step.Catalogue(), func(m step.Metric) bool { return m.Key == f.metric }) {
				return &usageError{fmt.Sprintf("there is no measure %q", f.metric), "the names are the columns of steps.csv, for example --metric " + step.Primary}
			}
			return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, now time.Time) error {
				return t.runCompare(cmd.Context(), b, c, now, f)
			})
		},
	}
	cmd.Flags().StringVar(&f.by, "by", "", "the condition to compare by")
	cmd.Flags().StringVar(&f.blocks, "blocks", "", "compare the marked blocks of this session")
	cmd.Flags().BoolVar(&f.swap, "swap", false, "compare the newest session with swapped sensors with one of its day")
	cmd.Flags().StringVar(&f.metric, "metric", step.Primary, "the measure, as a column of steps.csv is called")
	return cmd
}

func (t *caseTools) runCompare(ctx context.Context, b *casebook.Book, c casebook.Case, now time.Time, f compareFlags) error {
	if f.blocks != "" {
		return t.compareBlocks(ctx, b, c, f)
	}
	kept, err := b.Sessions(ctx, c.ID)
	if err != nil {
		return err
	}
	sessions := casebook.Summaries(kept, diary.DateOf(now))
	if f.swap {
		return t.swapCheck(sessions, c.Injured.Side(), f)
	}
	if f.by == "" {
		return &usageError{"compare by what?", "add --by " + strings.Join(recovery.Comparable()[:3], ", --by ") + ", …"}
	}
	got, err := recovery.Compare(sessions, f.by, f.metric)
	if err != nil {
		return &usageError{err.Error(), "for example --by shoe"}
	}
	t.printComparison(got, f.metric, c.Injured.Side())
	return nil
}

// printComparison prints the metric at each level, how the levels differ, and which
// sessions were left out.
func (t *caseTools) printComparison(got recovery.Comparison, metric string, injured asymmetry.Injured) {
	m := step.Find(metric)
	fmt.Fprintf(t.out, "%s by %s, %s\n", m.Label, got.By, m.Unit.Symbol)
	for _, l := range got.Levels {
		fmt.Fprintf(t.out, "  %s: left %s, right %s (%s)\n", l.Value, valueText(m, l.Left), valueText(m, l.Right), countOf(len(l.Sessions), "session"))
	}
	for _, x := range got.Contrasts {
		fmt.Fprintf(t.out, "  %s − %s: left %s, right %s, %s %s\n    %s.\n", x.To, x.From, valueText(m, x.Left), valueText(m, x.Right),
			recovery.DifferenceOf(injured), valueText(m, x.Difference.TurnedFor(injured)), x.Text)
	}
	if len(got.Contrasts) == 0 {
		fmt.Fprintf(t.out, "  All like sessions have the same %s: there is nothing to compare yet.\n", got.By)
	}
	for _, a := range got.Apart {
		fmt.Fprintf(t.out, "  Left out: %s %s.\n", a.Session, a.Because)
	}
}

// valueText prints a value with its interval in the metric's unit.
func valueText(m step.Metric, v recovery.Value) string {
	show := func(x recovery.Real) string { return fmt.Sprintf("%.*f", m.Digits, m.Unit.FromBase(float64(x))) }
	switch {
	case v.N == 0 || math.IsNaN(float64(v.Center)):
		return "–"
	case math.IsNaN(float64(v.Low)):
		return show(v.Center) + " (" + recovery.NoInterval(v) + ")"
	}
	return fmt.Sprintf("%s [%s to %s]", show(v.Center), show(v.Low), show(v.High))
}

// countOf writes a number with its noun.
func countOf(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func (t *caseTools) compareBlocks(ctx context.Context, b *casebook.Book, c casebook.Case, f compareFlags) error {
	all, err := b.Sessions(ctx, c.ID)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(s casebook.Session) bool { return s.ID == f.blocks })
	if i < 0 {
		return fmt.Errorf("%s: %w", f.blocks, casebook.ErrNoSession)
	}
	if len(all[i].Form.Blocks) == 0 {
		return hinted(fmt.Errorf("session %s has no marked blocks", f.blocks), fmt.Sprintf("mark them: setdown case change %s --session %s --blocks \"usual:60-180,quick:180-300,…\"", c.Name, f.blocks))
	}
	_, steps, err := b.Outputs(ctx, c.ID, f.blocks)
	if err != nil {
		return err
	}
	m := step.Find(f.metric)
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		timed, err := casebook.TimedSteps(steps, side, f.metric)
		if err != nil {
			return err
		}
		got, err := recovery.CompareBlocks(timed, all[i].Form.Blocks)
		if err != nil {
			fmt.Fprintf(t.out, "%s: cannot tell: %v\n", side, err)
			continue
		}
		fmt.Fprintf(t.out, "%s: %s, %s − %s: %.*f %s [%.*f to %.*f]: %s\n", side, m.Label, got.B, got.A, m.Digits, float64(got.Change.Center), m.Unit.Symbol,
			m.Digits, float64(got.Change.Low), m.Digits, float64(got.Change.High), got.Text)
		for _, l := range got.Left {
			fmt.Fprintf(t.out, "  left out: %s\n", l)
		}
	}
	return nil
}

func (t *caseTools) swapCheck(sessions []recovery.Session, injured asymmetry.Injured, f compareFlags) error {
	normal, swapped := recovery.SwapPair(sessions)
	switch {
	case swapped == nil:
		return hinted(fmt.Errorf("there is no session with swapped sensors"), "record two minutes with the sensors swapped on the day of a usual session, and add it with --sensors-swapped yes; give each file for the foot that wore the sensor")
	case normal == nil:
		return hinted(fmt.Errorf("there is no usual session on %s", swapped.Date), "record two minutes with each sensor on its own foot the same day")
	}
	got, err := recovery.SwapCheck(*normal, *swapped, f.metric)
	if err != nil {
		return err
	}
	m := step.Find(f.metric)
	fmt.Fprintf(t.out, "%s, %s, %s\n  with the foot:   %s\n  with the sensor: %s\n  %s.\n", m.Label, recovery.DifferenceOf(injured), m.Unit.Symbol,
		valueText(m, got.Foot.TurnedFor(injured)), valueText(m, got.Sensor.TurnedFor(injured)), got.Text)
	return nil
}
