package main

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/report"
	"setdown/report/page"
	"setdown/report/table"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// What the pictures of a report keep: lowering curves a side, and s of raw
// signal.
const (
	reportCurves  = 400
	reportExcerpt = 4
)

type analyzeOptions struct {
	inputFlags
	injured, out, formats string
	seed                  uint64
	force, json, events   bool
}

func newAnalyzeCommand(c *console) *cobra.Command {
	var o analyzeOptions
	cmd := &cobra.Command{
		Use:   "analyze [FILE…] --out DIR",
		Short: "Analyse the recordings of one session",
		Long: `analyze reads the recordings of one session, finds every landing and writes

  steps.csv     a row a step
  session.json  the session in numbers, with intervals and verdicts
  report.html   one page that needs no network

into DIR, whole or not at all. Give each foot's file with --left and --right;
files without a side in the command line take it from their name or columns.` + exitStatusHelp,
		Example: "  setdown analyze --left left.csv --right right.csv --injured right --out report",
		RunE: func(cmd *cobra.Command, files []string) error {
			return runAnalyze(cmd.Context(), c, &o, files)
		},
	}
	o.add(cmd.Flags(), true)
	cmd.Flags().StringVar(&o.injured, "injured", "unknown", "the injured side: left, right, both or unknown")
	cmd.Flags().StringVarP(&o.out, "out", "o", "", "folder to write; it must not exist or be empty")
	cmd.Flags().StringVar(&o.formats, "format", "csv,json,html", "what to write")
	cmd.Flags().Uint64Var(&o.seed, "seed", 1, "seed of the resampling")
	cmd.Flags().BoolVar(&o.force, "force", false, "write into a folder that is not empty")
	cmd.Flags().BoolVar(&o.json, "json", false, "print session.json on standard output")
	cmd.Flags().BoolVar(&o.events, "events", false, "print progress as JSON lines on standard error")
	return cmd
}

func runAnalyze(ctx context.Context, c *console, o *analyzeOptions, files []string) error {
	if len(files)+len(o.sided) == 0 {
		return &usageError{"no recording given", "type: setdown analyze --left LEFT.csv --right RIGHT.csv --out DIR"}
	}
	formats, injured, err := o.check()
	if err != nil {
		return err
	}
	if o.out != "" {
		if err := notOver(append(o.recordings(files), o.columns), report.Files(o.out)...); err != nil {
			return err
		}
	}
	settings := gait.Settings{Version: version, Injured: injured, Seed: o.seed, OneSensor: o.oneSensor}
	if o.out != "" && slices.Contains(formats, report.HTML) {
		settings.Curves, settings.Excerpt = reportCurves, reportExcerpt
	}
	res, err := analyzeInputs(ctx, c, &o.inputFlags, files, settings, o.events)
	if err != nil {
		return err
	}
	if o.out != "" {
		if err := report.Write(o.out, res, report.Options{Formats: formats, Force: o.force}); err != nil {
			return err
		}
		progress(c, o.events, "written", o.out)
	}
	return c.present(res, o.json, o.out, formats)
}

// check reads the flags, before any long work.
func (o *analyzeOptions) check() ([]report.Format, asymmetry.Injured, error) {
	formats, err := report.ParseFormats(o.formats)
	if err != nil {
		return nil, 0, &usageError{err.Error(), "for example --format csv,json"}
	}
	injured, err := parseInjured(o.injured)
	if err != nil {
		return nil, 0, err
	}
	if o.out == "" && !o.json {
		return nil, 0, &usageError{"no folder to write to", "add --out DIR, or --json to print the numbers"}
	}
	if o.out != "" {
		if err := report.Check(o.out, o.force); err != nil {
			return nil, 0, err
		}
	}
	return formats, injured, nil
}

// analyzeInputs opens the recordings and analyses them.
func analyzeInputs(ctx context.Context, c *console, in *inputFlags, files []string, set gait.Settings, events bool) (*gait.Result, error) {
	opt, err := in.options()
	if err != nil {
		return nil, err
	}
	sources, err := in.sources(c, files)
	if err != nil {
		return nil, err
	}
	progress(c, events, "opening", fmt.Sprint(len(sources)))
	opened, err := recording.Open(ctx, sources, opt)
	if err != nil {
		return nil, err
	}
	progress(c, events, "analysing", fmt.Sprint(len(opened.Tracks)))
	return gait.Analyze(ctx, opened, set)
}

// progress prints one line of progress for other programs.
func progress(c *console, on bool, what, detail string) {
	if on {
		line, _ := json.Marshal(map[string]string{"event": what, "detail": detail})
		fmt.Fprintf(c.err, "%s\n", line)
	}
}

// present prints the answer, or session.json, and the remarks.
func (c *console) present(res *gait.Result, asJSON bool, out string, formats []report.Format) error {
	if asJSON {
		c.remarks(res.Remarks)
		return table.WriteSession(c.out, res)
	}
	c.remarks(page.Beside(res))
	fmt.Fprintln(c.out, page.Answer(res))
	name := out
	if slices.Contains(formats, report.HTML) {
		name = filepath.Join(out, report.PageName)
	}
	_, err := fmt.Fprintln(c.out, "Report: "+name)
	return err
}

// remarks prints doubts and losses; notes only when asked.
func (c *console) remarks(all []remark.Remark) {
	for _, r := range all {
		if r.Level > remark.Note || c.verbose {
			fmt.Fprintf(c.err, "setdown: %s: %s\n", r.Level, r)
		}
	}
}
