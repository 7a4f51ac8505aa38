package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"setdown/gait"
	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/report/casebook"
	"setdown/report/page"
)

// madeBy is what pages say of their making.
func madeBy() string { return "setdown " + version + ", method " + gait.Method }

func (t *caseTools) reviewCommand() *cobra.Command {
	var out string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "review NAME",
		Short: "Is control coming back, may running go on, what next",
		Long: `review prints the answer for the runner and, with --out, writes the review page:
one screen for the runner, below it the physio's part. It prints on A4 or Letter
from a browser.` + exitStatusHelp,
		Example: "  setdown case review wren --out review.html",
		Args:    one,
		RunE: func(cmd *cobra.Command, args []string) error {
			return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, now time.Time) error {
				r, err := b.Review(cmd.Context(), c.ID, diary.DateOf(now), madeBy())
				if err != nil {
					return err
				}
				if err := writeReview(out, b.Path(), r); err != nil {
					return err
				}
				if asJSON {
					return t.reviewJSON(r)
				}
				if err := t.printAdvice(cmd.Context(), b, c, now); err != nil {
					return err
				}
				t.printReview(r, out)
				return nil
			})
		},
	}
	cmd.Flags().StringVarP(&out, "out", "o", "", "file to write the page to")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the answer as JSON")
	return cmd
}

// writeReview writes the page, if one was asked for; not over the casebook.
func writeReview(out, casebook string, r page.Review) error {
	if out == "" {
		return nil
	}
	if err := notOver([]string{casebook}, out); err != nil {
		return err
	}
	return writePrivate(out, func(w io.Writer) error { return page.WriteReview(w, r) })
}

// printReview prints whether control comes back and the next exercises, and names the
// page if there is one.
func (t *caseTools) printReview(r page.Review, out string) {
	fmt.Fprintf(t.out, "\nControl: %s\n  %s.\n", r.Follow.Word, r.Follow.Because)
	if r.Follow.Settle != "" {
		fmt.Fprintf(t.out, "  What would settle it: %s.\n", r.Follow.Settle)
	}
	for _, n := range r.Follow.Notes {
		fmt.Fprintf(t.out, "  %s\n", n)
	}
	t.printDoubts(r)
	fmt.Fprintln(t.out, "\nExercises:")
	t.printNext("  ", r.Next)
	if out != "" {
		fmt.Fprintf(t.out, "\nReview: %s\n", out)
	}
}

// mostDoubts is how many doubts about recordings are printed; the page has more.
const mostDoubts = 6

// printDoubts prints what may make the sessions' numbers wrong, the newest first.
func (t *caseTools) printDoubts(r page.Review) {
	var lines []string
	for _, s := range slices.Backward(r.Sessions) {
		for _, m := range s.Remarks {
			if text, doubt := strings.CutPrefix(m, page.DoubtMark); doubt {
				lines = append(lines, s.Date.String()+": "+text)
			}
		}
	}
	if len(lines) == 0 {
		return
	}
	fmt.Fprintln(t.out, "\nDoubts about the recordings:")
	for _, line := range lines[:min(len(lines), mostDoubts)] {
		fmt.Fprintln(t.out, "  "+line)
	}
	if more := len(lines) - mostDoubts; more > 0 {
		fmt.Fprintf(t.out, "  %d more are on the review page: add --out REVIEW.html\n", more)
	}
}

// reviewAnswer is the review as JSON.
type reviewAnswer struct {
	Schema  string               `json:"schema"`
	Case    string               `json:"case"`
	Running diary.Advice         `json:"running"`
	Control controlAnswer        `json:"control"`
	Next    []diary.NextExercise `json:"exercises"`
}

type controlAnswer struct {
	Word    recovery.Word    `json:"word"`
	Because string           `json:"because"`
	Settle  string           `json:"settle"`
	Notes   []string         `json:"notes"`
	Courses []courseAnswer   `json:"courses"`
	Apart   []recovery.Apart `json:"apart"`
}

// courseAnswer is a course in rad/s, as numbers are inside.
type courseAnswer struct {
	Of      string         `json:"difference_of"`
	Days    int            `json:"days"`
	Change  recovery.Value `json:"change_rad_s"`
	PerWeek recovery.Value `json:"per_week_rad_s"`
	MDC     recovery.Real  `json:"detectable_change_rad_s"`
}

func (t *caseTools) reviewJSON(r page.Review) error {
	a := reviewAnswer{Schema: "setdown-review/1", Case: r.Name, Running: r.Advice, Next: r.Next,
		Control: controlAnswer{Word: r.Follow.Word, Because: r.Follow.Because, Settle: r.Follow.Settle, Notes: r.Follow.Notes, Apart: r.Follow.Apart}}
	for _, c := range r.Follow.Primary {
		a.Control.Courses = append(a.Control.Courses, courseAnswer{c.Of, len(c.Points), c.Change, c.PerWeek, recovery.Real(c.Noise.MDC())})
	}
	enc := json.NewEncoder(t.out)
	enc.SetIndent("", "  ")
	return enc.Encode(a)
}
