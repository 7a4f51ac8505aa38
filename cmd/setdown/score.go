package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"setdown/gait"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/report/table"
	"setdown/signal/unit"
)

func newScoreCommand(c *console) *cobra.Command {
	var asJSON bool
	var tolerance float64
	cmd := &cobra.Command{
		Use:   "score STEPS TRUTH",
		Short: "Compare detected steps with reference events",
		Long: `score matches the steps of STEPS (a steps.csv) with those of TRUTH (a table with
at least the columns side and initial_contact_s) by their initial contacts and
prints, by side: steps found, missed and extra, F1, and for every event and
measure that both tables have the bias (detected minus reference), its standard
deviation, a robust one, and outliers.` + exitStatusHelp,
		Example: "  setdown score report/steps.csv sim/truth.csv",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 2 {
				return &usageError{"score needs two tables", "type: setdown score STEPS TRUTH"}
			}
			if !(tolerance > 0) {
				return &usageError{fmt.Sprintf("--tolerance %g is not above 0", tolerance), "give s, for example --tolerance 0.1"}
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return runScore(c, args[0], args[1], tolerance, asJSON) },
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.Flags().Float64Var(&tolerance, "tolerance", gait.ScoreTolerance, "how far apart, in s, matched contacts may lie")
	return cmd
}

func runScore(c *console, stepsPath, truthPath string, tolerance float64, asJSON bool) error {
	detected, err := readSteps(stepsPath)
	if err != nil {
		return err
	}
	reference, err := readTruth(truthPath)
	if err != nil {
		return err
	}
	cards := gait.Score(detected, reference, tolerance)
	if asJSON {
		return scoreJSON(c, cards)
	}
	return scoreText(c, cards)
}

func readSteps(path string) ([]step.Step, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	steps, err := table.ReadSteps(f, path)
	if err != nil {
		return nil, hinted(err, "the first table is the steps.csv of a report: setdown score STEPS TRUTH")
	}
	return steps, nil
}

func readTruth(path string) ([]step.Step, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	rows, err := simulate.ReadTruth(f, path)
	if err != nil {
		return nil, hinted(err, "the second table has at least the columns side and initial_contact_s: setdown score STEPS TRUTH")
	}
	out := make([]step.Step, len(rows))
	for i := range rows {
		out[i] = rows[i].Step
	}
	return out, nil
}

// shownUnit is the unit and decimals in which an agreement is shown.
func shownUnit(a gait.Agreement) (unit.Unit, int) {
	switch a.What {
	case "initial_contact_s", "foot_flat_s", "toe_off_s", "contact_time_s", "stride_time_s":
		return unit.Millisecond, 1
	}
	if a.Relative {
		return unit.Percent, 1
	}
	m := step.Find(a.What)
	return m.Unit, m.Digits + 1
}

func scoreText(c *console, cards []gait.Scorecard) error {
	w := tabwriter.NewWriter(c.out, 0, 0, 2, ' ', 0)
	for _, card := range cards {
		fmt.Fprintf(w, "%s: %d found, %d missed, %d extra, F1 %.4f\n", sideName(card), card.Found, card.Missed, card.Extra, card.F1)
		fmt.Fprintln(w, "  measure\tunit\tn\tbias\tSD\trobust SD\toutliers")
		for _, a := range card.Agreements {
			u, digits := shownUnit(a)
			fmt.Fprintf(w, "  %s\t%s\t%d\t%.*f\t%s\t%s\t%d\n", a.What, u.Symbol, a.N,
				digits, u.FromBase(a.Bias), spread(a, u.FromBase(a.SD), digits), spread(a, u.FromBase(a.RobustSD), digits), a.Outliers)
		}
	}
	return w.Flush()
}

// spread shows a standard deviation, which one step alone has not.
func spread(a gait.Agreement, v float64, digits int) string {
	if a.N < 2 {
		return "needs 2"
	}
	return fmt.Sprintf("%.*f", digits, v)
}

func sideName(card gait.Scorecard) string {
	if s := card.Side.String(); s != "unknown" {
		return s
	}
	return "all"
}

// scoreJSON prints the cards with each unit named.
func scoreJSON(c *console, cards []gait.Scorecard) error {
	type agreement struct {
		What     string   `json:"measure"`
		Unit     string   `json:"unit"`
		N        int      `json:"n"`
		Bias     *float64 `json:"bias"`
		SD       *float64 `json:"sd"`
		RobustSD *float64 `json:"robust_sd"`
		Outliers int      `json:"outliers"`
	}
	type scorecard struct {
		Side       string      `json:"side"`
		Found      int         `json:"found"`
		Missed     int         `json:"missed"`
		Extra      int         `json:"extra"`
		F1         *float64    `json:"f1"`
		Agreements []agreement `json:"agreements"`
	}
	var out []scorecard
	for _, card := range cards {
		s := scorecard{Side: sideName(card), Found: card.Found, Missed: card.Missed, Extra: card.Extra, F1: finite(card.F1)}
		for _, a := range card.Agreements {
			u, _ := shownUnit(a)
			s.Agreements = append(s.Agreements, agreement{a.What, u.Symbol, a.N,
				finite(u.FromBase(a.Bias)), finite(u.FromBase(a.SD)), finite(u.FromBase(a.RobustSD)), a.Outliers})
		}
		out = append(out, s)
	}
	e := json.NewEncoder(c.out)
	e.SetIndent("", "  ")
	return e.Encode(out)
}

// finite is a pointer to v, or nil, which JSON writes as null.
func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}
