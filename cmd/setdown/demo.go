package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/report"
	"setdown/report/casebook"
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
		Long: `demo invents a runner whose right foot is weak and gets stronger over eight
weeks, analyses the recordings, and writes everything into ./` + demoFolder + `:

  review.html   the whole case: is control coming back, and what next
  report/       one of the sessions
  recordings/   that session's files, to try commands on
  demo.casebook the case itself: setdown case --casebook FILE list

A folder of that name from an earlier demo is replaced, unless you put something
of your own beside these.` + exitStatusHelp,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return runDemo(cmd.Context(), c, open) },
	}
	cmd.Flags().BoolVar(&open, "open", false, "open the page in the browser")
	return cmd
}

// runDemo makes the demo beside the place where it will stand, and then puts it
// there whole.
func runDemo(ctx context.Context, c *console, open bool) error {
	if err := demoPlace(); err != nil {
		return err
	}
	work, err := os.MkdirTemp(".", ".setdown-demo-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work) // nothing is left of it after success
	res, err := demoSession(ctx, work)
	if err != nil {
		return err
	}
	review, err := demoCase(ctx, c, work)
	if err != nil {
		return err
	}
	if err := os.RemoveAll(demoFolder); err != nil {
		return err
	}
	if err := os.Rename(work, demoFolder); err != nil {
		return err
	}
	name := filepath.Join(demoFolder, demoReview)
	fmt.Fprintf(c.out, "An invented runner with a weak right foot, after eight weeks:\n\n%s\n\nOne session on its own:\n\n%s\n\nThat session: %s\nOpen this page: %s\n",
		page.ReviewAnswer(review), page.Answer(res), filepath.Join(demoFolder, demoReport, report.PageName), name)
	if open {
		return openPage(ctx, name)
	}
	return nil
}

// demoPlace refuses a folder with anything in it that no demo made: it would be
// removed with the earlier demo.
func demoPlace() error {
	entries, err := os.ReadDir(demoFolder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, e := range entries {
		if slices.Contains([]string{demoReview, demoReport, demoRecordings}, e.Name()) || strings.HasPrefix(e.Name(), demoBook) {
			continue
		}
		return hinted(fmt.Errorf("%s: is not of a demo, and a new demo would remove it", filepath.Join(demoFolder, e.Name())),
			"move it to another place, or type setdown demo in another folder")
	}
	return nil
}

// What a demo writes; beside its casebook stand files of the same beginning.
const (
	demoReport     = "report"
	demoRecordings = "recordings"
	demoBook       = "demo.casebook"
)

// demoReview is the name of the demo's first page.
const demoReview = "review.html"

// demoSession makes one session's recordings and its report in dir.
func demoSession(ctx context.Context, dir string) (*gait.Result, error) {
	s := simulate.Defaults(event.Running)
	s.Duration, s.Right.Gain, s.Seed = 180, 0.3, 7
	folder := filepath.Join(dir, demoRecordings)
	if err := writeRecording(folder, simulate.Run(s), simulate.Everyday); err != nil {
		return nil, err
	}
	res, err := analyzeDemo(ctx, folder)
	if err != nil {
		return nil, err
	}
	return res, report.Write(filepath.Join(dir, demoReport), res, report.Options{})
}

// demoCase makes the invented case and its review page in dir.
func demoCase(ctx context.Context, c *console, dir string) (page.Review, error) {
	book, err := casebook.Create(ctx, filepath.Join(dir, demoBook))
	if err != nil {
		return page.Review{}, err
	}
	defer book.Close()
	made, err := book.Demo(ctx, caseAnalyze, func(session, of int) {
		if c.verbose {
			fmt.Fprintf(c.err, "setdown: session %d of %d\n", session, of)
		}
	})
	if err != nil {
		return page.Review{}, err
	}
	review, err := book.Review(ctx, made.ID, casebook.DemoToday, madeBy())
	if err != nil {
		return page.Review{}, err
	}
	return review, writeFile(filepath.Join(dir, demoReview), func(w io.Writer) error { return page.WriteReview(w, review) })
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
