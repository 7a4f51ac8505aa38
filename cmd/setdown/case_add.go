package main

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/report/casebook"
	"setdown/report/page"
)

// conditionFlags are the conditions of a session as flags.
type conditionFlags struct {
	shoe, insole, tape, surface, direction, intervals, placement, note, pace, blocks string
	treadmill, refitted, swapped                                                     string
	drop, slope, speed, into, stepRate                                               float64
}

func (f *conditionFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.shoe, "shoe", "", "the shoe, in your own words, always the same for the same shoe")
	flags.Float64Var(&f.drop, "drop", 0, "the shoe's heel-to-toe drop in mm")
	flags.StringVar(&f.insole, "insole", "", "insole")
	flags.StringVar(&f.tape, "tape", "", "tape or brace")
	flags.StringVar(&f.surface, "surface", "", "surface: road, path, track, …")
	flags.Float64Var(&f.slope, "slope", 0, "slope in percent, uphill positive")
	flags.StringVar(&f.direction, "direction", "", "direction round a track, or along a cambered road")
	flags.Float64Var(&f.speed, "speed", 0, "mean speed in m/s")
	flags.StringVar(&f.pace, "pace", "", "mean pace in min:s a km, in place of --speed")
	flags.StringVar(&f.treadmill, "treadmill", "", "yes or no")
	flags.Float64Var(&f.into, "minutes-into-run", 0, "minutes run before the recording began")
	flags.StringVar(&f.intervals, "intervals", "", "walk and run plan, for example \"6 x 2 min run, 1 min walk\"")
	flags.StringVar(&f.placement, "placement", "", "where and how the sensors were fastened")
	flags.StringVar(&f.refitted, "refitted", "", "sensors taken off and put on again since the session before: yes or no")
	flags.StringVar(&f.swapped, "sensors-swapped", "", "left sensor on the right foot, to check the sensors: yes or no")
	flags.Float64Var(&f.stepRate, "step-rate", 0, "step rate asked for by a metronome, steps a minute, both feet")
	flags.StringVar(&f.blocks, "blocks", "", "marked stretches in s or min:s, for example \"usual:60-180,quick:180-300,usual:300-420\"")
	flags.StringVar(&f.note, "note", "", "a note; a sign in it is asked about by the diary")
}

// apply puts the flags that were given into the form.
func (f *conditionFlags) apply(flags *pflag.FlagSet, form *casebook.SessionForm) error {
	c := &form.Conditions
	for _, w := range []struct {
		flag, text string
		into       *string
	}{{"shoe", f.shoe, &c.Shoe}, {"insole", f.insole, &c.Insole}, {"tape", f.tape, &c.Tape}, {"surface", f.surface, &c.Surface},
		{"direction", f.direction, &c.Direction}, {"intervals", f.intervals, &c.Intervals}, {"placement", f.placement, &c.Placement}, {"note", f.note, &form.Note}} {
		if flags.Changed(w.flag) {
			*w.into = w.text
		}
	}
	for _, n := range []struct {
		flag  string
		value float64
		into  **float64
	}{{"drop", f.drop, &c.DropMM}, {"slope", f.slope, &c.SlopePercent}, {"speed", f.speed, &c.SpeedMPS},
		{"minutes-into-run", f.into, &c.MinutesIntoRun}, {"step-rate", f.stepRate, &c.StepRateHint}} {
		if flags.Changed(n.flag) {
			v := n.value
			*n.into = &v
		}
	}
	for _, a := range []struct {
		flag, text string
		into       *diary.Answer
	}{{"treadmill", f.treadmill, &c.Treadmill}, {"refitted", f.refitted, &c.Refitted}, {"sensors-swapped", f.swapped, &c.SensorsSwapped}} {
		if err := answer(flags, a.flag, a.text, a.into); err != nil {
			return err
		}
	}
	return f.applyText(flags, form)
}

// applyText reads the flags that have a form of their own.
func (f *conditionFlags) applyText(flags *pflag.FlagSet, form *casebook.SessionForm) error {
	if f.pace != "" {
		if flags.Changed("speed") {
			return &usageError{"--speed and --pace say the same thing twice", "give one of them"}
		}
		speed, err := speedOf(f.pace)
		if err != nil {
			return err
		}
		form.Conditions.SpeedMPS = &speed
	}
	if f.blocks == "" {
		if flags.Changed("blocks") {
			form.Blocks = nil // taken back
		}
		return nil
	}
	blocks, err := recovery.ParseBlocks(f.blocks)
	if err != nil {
		return &usageError{"--blocks: " + err.Error(), `write LABEL:FROM-TO in s or min:s, for example --blocks "usual:60-180,quick:3:00-5:00"`}
	}
	form.Blocks = blocks
	return nil
}

// speedOf turns a pace such as 5:57 (min:s a km) into m/s.
func speedOf(pace string) (float64, error) {
	m, s, ok := strings.Cut(pace, ":")
	minutes, err1 := strconv.Atoi(m)
	seconds, err2 := strconv.Atoi(s)
	if !ok || err1 != nil || err2 != nil || minutes < 0 || seconds < 0 || seconds > 59 || minutes*60+seconds == 0 {
		return 0, &usageError{fmt.Sprintf("--pace %q is no pace", pace), "write minutes and seconds a km, for example --pace 5:57"}
	}
	return 1000 / float64(60*minutes+seconds), nil
}

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
	form.Rate, form.OneSensor, form.CadenceCounts = in.rate, in.oneSensor, in.counts
	if in.columns != "" {
		text, err := os.ReadFile(in.columns)
		if err != nil {
			return err
		}
		form.Columns = string(text)
	}
	res, err := t.analyze(ctx, sources, c.Injured.Side(), form.Reading)
	if err != nil {
		return err
	}
	t.remarks(page.Beside(res))
	if form.Date, err = day("--date", date, now); err != nil {
		return err
	}
	if !res.Start.IsZero() {
		start := res.Start.In(now.Location())
		form.Start = &start
		if date == "" {
			form.Date = diary.DateOf(start)
		}
	}
	if form.Date.After(diary.DateOf(now)) {
		return &usageError{fmt.Sprintf("the run of %s lies after today", form.Date), "give its day with --date, or today's with --today"}
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
	fmt.Fprintf(t.out, "Kept as session %s of %s.\n", id, c.Name)
	if gaps := form.Conditions.NotRecorded(); gaps != nil {
		fmt.Fprint(t.out, t.typed(fmt.Sprintf("Not recorded: %s. Without it no improvement can be told from a change of conditions: setdown case change %s --session %s --%s …\n", strings.Join(gaps, ", "), c.Name, id, gaps[0])))
	}
	_, err = fmt.Fprint(t.out, t.typed(fmt.Sprintf("Next: setdown case diary %s --during … --after … --minutes …, then setdown case review %s\n", c.Name, c.Name)))
	return err
}
