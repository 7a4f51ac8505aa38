package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"setdown/gait/recovery"
	"setdown/report/casebook"
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
	applyWords(flags, []wordFlag{
		{"shoe", f.shoe, &c.Shoe}, {"insole", f.insole, &c.Insole}, {"tape", f.tape, &c.Tape}, {"surface", f.surface, &c.Surface},
		{"direction", f.direction, &c.Direction}, {"intervals", f.intervals, &c.Intervals}, {"placement", f.placement, &c.Placement}, {"note", f.note, &form.Note},
	})
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
	if err := applyAnswers(flags, []answerFlag{
		{"treadmill", f.treadmill, &c.Treadmill}, {"refitted", f.refitted, &c.Refitted}, {"sensors-swapped", f.swapped, &c.SensorsSwapped},
	}); err != nil {
		return err
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
