package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/report"
	"setdown/signal/recording"
)

type simulateOptions struct {
	out, gait                              string
	minutes, rate, cadence, speed          float64
	leftGain, rightGain, leftAng, rightAng float64
	seed                                   uint64
	base                                   bool
	force                                  bool
}

func newSimulateCommand(c *console) *cobra.Command {
	var o simulateOptions
	cmd := &cobra.Command{
		Use:   "simulate --out DIR",
		Short: "Make recordings with known truth from a mechanical model",
		Long: `simulate writes left_foot.csv, right_foot.csv and truth.csv, made by a mechanical
model of the foot (docs/simulator.md). The control gain says how well the
dorsiflexors slow the forefoot: 1 healthy, 0 not at all.` + exitStatusHelp,
		Example: "  setdown simulate --gait running --right-gain 0.25 --out sim",
		Args:    noArgs,
		RunE:    func(cmd *cobra.Command, _ []string) error { return runSimulate(c, &o) },
	}
	f := cmd.Flags()
	f.StringVarP(&o.out, "out", "o", "", "folder to write; it must not exist or be empty")
	f.StringVar(&o.gait, "gait", "running", "running or walking")
	f.Float64Var(&o.minutes, "minutes", 1, "length in minutes, standing included")
	f.Float64Var(&o.rate, "rate", 200, "samples a second")
	f.Float64Var(&o.cadence, "cadence", 0, "steps a minute; 0 takes the usual")
	f.Float64Var(&o.speed, "speed", 0, "metres a second; 0 takes the usual")
	f.Float64Var(&o.leftGain, "left-gain", 1, "control gain of the left foot, 0 to 1.2")
	f.Float64Var(&o.rightGain, "right-gain", 1, "control gain of the right foot, 0 to 1.2")
	f.Float64Var(&o.leftAng, "left-angle", math.NaN(), "strike angle of the left foot, degrees")
	f.Float64Var(&o.rightAng, "right-angle", math.NaN(), "strike angle of the right foot, degrees")
	f.Uint64Var(&o.seed, "seed", 1, "seed of the random numbers")
	f.BoolVar(&o.base, "base-units", false, "write m/s² and rad/s instead of g and deg/s")
	f.BoolVar(&o.force, "force", false, "write into a folder that is not empty")
	for _, name := range []string{"left-angle", "right-angle"} {
		f.Lookup(name).DefValue = "the usual"
	}
	return cmd
}

// check keeps the flags to what the model was made for.
func (o *simulateOptions) check() error {
	for _, f := range []struct {
		flag             string
		value, low, high float64
		zero             bool // 0 takes the usual
	}{
		{"minutes", o.minutes, 0.1, 24 * 60, false}, {"rate", o.rate, 10, 5000, false},
		{"cadence", o.cadence, 60, 260, true}, {"speed", o.speed, 0.3, 10, true},
		{"left-gain", o.leftGain, 0, 1.2, false}, {"right-gain", o.rightGain, 0, 1.2, false},
		{"left-angle", o.leftAng, -20, 40, false}, {"right-angle", o.rightAng, -20, 40, false},
	} {
		if math.IsNaN(f.value) || f.zero && f.value == 0 {
			continue
		}
		if f.value < f.low || f.value > f.high {
			return &usageError{fmt.Sprintf("--%s %g is out of range", f.flag, f.value), fmt.Sprintf("give a number from %g to %g", f.low, f.high)}
		}
	}
	return nil
}

// settings turns the flags into settings of the model.
func (o *simulateOptions) settings() (simulate.Settings, error) {
	g := event.Running
	switch o.gait {
	case "running":
	case "walking":
		g = event.Walking
	default:
		return simulate.Settings{}, &usageError{fmt.Sprintf("--gait %q is unknown", o.gait), "use running or walking"}
	}
	if err := o.check(); err != nil {
		return simulate.Settings{}, err
	}
	s := simulate.Defaults(g)
	s.Duration, s.Seed = o.minutes*60, o.seed
	if o.cadence > 0 {
		s.Cadence = o.cadence
	}
	if o.speed > 0 {
		s.Speed = o.speed
	}
	for _, side := range []struct {
		to          *simulate.SideSettings
		gain, angle float64
	}{{&s.Left, o.leftGain, o.leftAng}, {&s.Right, o.rightGain, o.rightAng}} {
		side.to.Gain, side.to.Foot.Rate = side.gain, o.rate
		if !math.IsNaN(side.angle) {
			side.to.StrikeAngle = side.angle * math.Pi / 180
		}
	}
	return s, nil
}

func runSimulate(c *console, o *simulateOptions) error {
	if o.out == "" {
		return &usageError{"no folder to write to", "add --out DIR"}
	}
	s, err := o.settings()
	if err != nil {
		return err
	}
	if err := report.Check(o.out, o.force); err != nil {
		return err
	}
	format := simulate.Everyday
	if o.base {
		format = simulate.Plain
	}
	rec := simulate.Run(s)
	if err := writeRecording(o.out, rec, format); err != nil {
		return err
	}
	_, err = fmt.Fprintf(c.out, "wrote left_foot.csv, right_foot.csv and truth.csv (%d steps) to %s\n", len(rec.Steps()), o.out)
	return err
}

// writeRecording writes both feet and the truth into dir.
func writeRecording(dir string, rec *simulate.Recording, format simulate.Format) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		err := writeFile(filepath.Join(dir, simulate.FileName(side, recording.Foot)), func(w io.Writer) error {
			return rec.WriteCSV(w, side, recording.Foot, format)
		})
		if err != nil {
			return err
		}
	}
	return writeFile(filepath.Join(dir, "truth.csv"), rec.WriteTruth)
}

// noArgs refuses words that are no flags.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	hint := "type: " + cmd.CommandPath() + " --help"
	if f := cmd.Flags().Lookup("out"); f != nil && !f.Changed {
		hint = "did you mean: " + cmd.CommandPath() + " --out " + args[0]
	}
	return &usageError{fmt.Sprintf("%q is not expected here", args[0]), hint}
}
