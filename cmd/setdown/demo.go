package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"

	"github.com/spf13/cobra"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/report"
	"setdown/report/page"
	"setdown/signal/recording"
)

// demoFolder is where the demo is written.
const demoFolder = "setdown-demo"

func newDemoCommand(c *console) *cobra.Command {
	var open bool
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Analyse invented recordings and name the page that comes out",
		Long: `demo makes the recordings of an invented runner whose right foot is weak,
analyses them, and writes everything into ./` + demoFolder + `. A folder of that name
from an earlier demo is replaced.` + exitStatusHelp,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return runDemo(cmd.Context(), c, open) },
	}
	cmd.Flags().BoolVar(&open, "open", false, "open the page in the browser")
	return cmd
}

func runDemo(ctx context.Context, c *console, open bool) error {
	s := simulate.Defaults(event.Running)
	s.Duration, s.Right.Gain, s.Seed = 180, 0.3, 7
	folder := filepath.Join(demoFolder, "recordings")
	if err := writeRecording(folder, simulate.Run(s), simulate.Everyday); err != nil {
		return err
	}
	res, err := analyzeDemo(ctx, folder)
	if err != nil {
		return err
	}
	out := filepath.Join(demoFolder, "report")
	if err := report.Write(out, res, report.Options{Force: true}); err != nil {
		return err
	}
	name := filepath.Join(out, report.PageName)
	fmt.Fprintf(c.out, "An invented runner with a weak right foot:\n\n%s\n\nOpen this page: %s\n", page.Answer(res), name)
	if open {
		return openPage(ctx, name)
	}
	return nil
}

func analyzeDemo(ctx context.Context, folder string) (*gait.Result, error) {
	set, err := recording.Open(ctx, []recording.Source{
		recording.File(filepath.Join(folder, simulate.FileName(recording.Left, recording.Foot)), recording.Left),
		recording.File(filepath.Join(folder, simulate.FileName(recording.Right, recording.Foot)), recording.Right),
	}, recording.Options{})
	if err != nil {
		return nil, err
	}
	return gait.Analyze(ctx, set, gait.Settings{Version: version, Injured: asymmetry.InjuredRight, Seed: 1,
		Curves: reportCurves, Excerpt: reportExcerpt})
}

// openPage opens a file in the system's browser.
func openPage(ctx context.Context, name string) error {
	path, err := filepath.Abs(name)
	if err != nil {
		return err
	}
	opener := map[string][]string{
		"darwin":  {"open"},
		"windows": {"rundll32", "url.dll,FileProtocolHandler"},
	}[runtime.GOOS]
	if opener == nil {
		opener = []string{"xdg-open"}
	}
	cmd := exec.CommandContext(ctx, opener[0], append(opener[1:], path)...)
	cmd.Stderr = os.Stderr
	return cmd.Start()
}
