package trial

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"os"
	"path/filepath"
	"strings"

	"setdown/gait/agreement"
	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/report/page"
	"setdown/report/table"
)

// The files that WriteReliability writes.
const (
	AgreementName   = "agreement.csv"
	LimitsName      = "limits.csv"
	ReliabilityPage = "reliability.html"
	plotsDir        = "plots"
)

//go:embed reliability.gohtml
var reliabilitySource string

// WriteReliability writes the tables, the plots and the page into dir, whole
// or not at all. A dir that is not empty is refused unless force is set; then
// files of an earlier run are replaced.
func WriteReliability(dir string, all []Agreement, version string, force bool) error {
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 && !force {
		return fmt.Errorf("%s: the folder is not empty", dir)
	}
	parent := filepath.Dir(filepath.Clean(dir))
	if err := os.MkdirAll(parent, 0o777); err != nil {
		return err
	}
	work, err := os.MkdirTemp(parent, tempPrefix+"*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	if err := fillReliability(work, all, version); err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	if err := os.RemoveAll(filepath.Join(dir, plotsDir)); err != nil {
		return err
	}
	for _, name := range []string{plotsDir, AgreementName, LimitsName, ReliabilityPage} {
		if err := os.Rename(filepath.Join(work, name), filepath.Join(dir, name)); err != nil {
			return err
		}
	}
	return nil
}

func fillReliability(dir string, all []Agreement, version string) error {
	if err := os.Mkdir(filepath.Join(dir, plotsDir), 0o777); err != nil {
		return err
	}
	plots, err := drawAll(all)
	if err != nil {
		return err
	}
	for _, p := range plots {
		if err := os.WriteFile(filepath.Join(dir, plotsDir, p.File), []byte(p.standalone()), 0o666); err != nil {
			return err
		}
	}
	_, err1 := create(filepath.Join(dir, AgreementName), func(w io.Writer) error { return writeAgreement(w, all) })
	_, err2 := create(filepath.Join(dir, LimitsName), func(w io.Writer) error { return writeLimits(w, all) })
	_, err3 := create(filepath.Join(dir, ReliabilityPage), func(w io.Writer) error { return writeReliabilityPage(w, all, plots, version) })
	return errors.Join(err1, err2, err3)
}

// reliabilityView is what the page shows.
type reliabilityView struct {
	Style           template.CSS
	Sentence        string
	Limits, Version string
	Enough          int
	Rows            []reliabilityRow
	Plots           []plotView
	Cautions        []page.Caution
	CautionNotes    []string
}

type reliabilityRow struct {
	Condition, Measure, Unit, Side string
	N, K                           int
	Single, Average, SEM, MDC      string
	Because                        string
}

type plotView struct {
	Title   string
	SVG     template.HTML
	Caption string
}

func writeReliabilityPage(w io.Writer, all []Agreement, plots []drawn, version string) error {
	t, err := template.New("reliability").Parse(reliabilitySource)
	if err != nil {
		return err
	}
	v := reliabilityView{Style: template.CSS(page.Style() + qualityStyle), Limits: page.Limits, Version: version, Enough: agreement.Enough,
		Sentence: ReliabilitySentence(all), Cautions: page.Cautions(), CautionNotes: page.CautionNotes()}
	for i := range all {
		v.Rows = append(v.Rows, all[i].row())
	}
	for _, p := range plots {
		v.Plots = append(v.Plots, plotView{p.Title, template.HTML(p.SVG), p.Caption})
	}
	var b bytes.Buffer
	if err := t.Execute(&b, v); err != nil {
		return err
	}
	_, err = b.WriteTo(w)
	return err
}

// row is one line of the page's table.
func (a *Agreement) row() reliabilityRow {
	r := reliabilityRow{Condition: a.Condition, Measure: a.Metric.Label, Unit: table.ColumnUnit(a.Metric).Symbol, Side: a.Side,
		N: len(a.Subjects), K: len(a.Occasions), Because: a.Because}
	if a.Because != "" {
		return r
	}
	for i, f := range agreement.Forms() {
		if f.Model == 2 && f.Average {
			r.Average = spoken(a.ICC[i], 2)
		} else if f.Model == 2 {
			r.Single = spoken(a.ICC[i], 2)
		}
	}
	digits := a.digits() - 1
	r.SEM, r.MDC = spoken(a.SEM, digits), spoken(a.MDC95, digits)
	return r
}

// spoken prints a number with its interval.
func spoken(e estimate.Estimate, digits int) string {
	if fixed(e.Center, digits) == "" {
		return "–"
	}
	if !e.HasInterval() {
		return fixed(e.Center, digits)
	}
	return fmt.Sprintf("%s [%s; %s]", fixed(e.Center, digits), fixed(e.Low, digits), fixed(e.High, digits))
}

// ReliabilitySentence says the answer for the primary measure, for each condition by
// itself: sessions of different conditions are not pooled.
func ReliabilitySentence(all []Agreement) string {
	var said []string
	for i := range all {
		if a := &all[i]; a.Metric.Key == step.Primary && a.Side == DifferenceSide {
			said = append(said, a.sentence())
		}
	}
	if said == nil {
		return "Nothing was measured more than once."
	}
	return strings.Join(said, " ")
}

// sentence says the answer of one condition.
func (a *Agreement) sentence() string {
	start := func(text string) string {
		if a.Condition == "" {
			return text
		}
		return "Condition " + a.Condition + ": " + strings.ToLower(text[:1]) + text[1:]
	}
	const unknown = "How well the side difference of the peak lowering rate repeats cannot be told: "
	if a.Because != "" {
		return start(unknown + a.Because + ".")
	}
	if !a.MDC95.HasInterval() {
		return start(unknown + "its error has no interval.")
	}
	r := a.row()
	return start(fmt.Sprintf("Between two sessions, a side difference of the peak lowering rate must change by more than %s %s (95 %% interval %s to %s) to be beyond error (%d people, %d sessions each).",
		fixed(a.MDC95.Center, 0), r.Unit, fixed(a.MDC95.Low, 0), fixed(a.MDC95.High, 0), r.N, r.K))
}
