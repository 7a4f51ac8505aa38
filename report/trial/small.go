package trial

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"sync"

	"setdown/gait/step"
	"setdown/report/page"
	"setdown/report/table"
)

//go:embed small.gohtml
var smallSource string

// smallTemplate is parsed once: a batch writes the page of every recording.
var smallTemplate = sync.OnceValues(func() (*template.Template, error) {
	return template.New("small").Parse(smallSource)
})

// smallView is what the page of one recording shows.
type smallView struct {
	Style         template.CSS
	ID, Sentence  string
	Because       string
	Limits        string
	DifferenceOf  string
	Measures      []smallRow
	Sides         []smallSide
	Remarks       []table.Remark
	Withheld      []table.Withheld
	Inputs        []table.Input
	Choices       []table.Choice
	Cautions      []page.Caution
	CautionNotes  []string
	Version       string
	Gait, Cadence string
}

type smallRow struct {
	Label, Unit, Left, Right, Difference, Verdict, Because string
}

type smallSide struct {
	Name    string
	Used    int
	Found   int
	LeftOut []table.LeftOut
}

// writeSmallPage writes the short page of one recording that the quality page
// links to: the numbers, what was left out and why, without pictures, which
// setdown analyze draws.
func writeSmallPage(w io.Writer, rec *record, d *table.Document) error {
	t, err := smallTemplate()
	if err != nil {
		return err
	}
	v := smallView{
		Style: template.CSS(page.Style()), ID: rec.ID, Limits: page.Limits, Remarks: d.Remarks, Withheld: d.Withheld,
		Inputs: d.Inputs, Choices: d.Choices, Cautions: page.Cautions(), CautionNotes: page.CautionNotes(), Version: d.Tool.Version,
		Gait: d.Gait, Cadence: interval(table.Estimate{Center: d.Cadence.StepsPerMinute, Low: d.Cadence.Low, High: d.Cadence.High}, 1),
	}
	for i, c := range []*table.StepCounts{d.Steps.Left, d.Steps.Right} {
		if c != nil {
			v.Sides = append(v.Sides, smallSide{sideNames[i], c.Used, c.Found, c.LeftOut})
		}
	}
	v.measures(d)
	return t.Execute(w, v)
}

// measures fills in the table of measures and the sentence above it.
func (v *smallView) measures(d *table.Document) {
	for _, m := range step.Catalogue() {
		digits := m.Digits
		if m.Share {
			digits += 2
		}
		left, _ := d.Sides.Left.Get(m.Key)
		right, _ := d.Sides.Right.Get(m.Key)
		difference, _ := d.Difference.Get(m.Key)
		a, _ := d.Asymmetry.Get(m.Key)
		row := smallRow{m.Label, table.ColumnUnit(m).Symbol, interval(left, digits), interval(right, digits),
			interval(difference, digits), verdictWords(a.Verdict), a.Because}
		if m.Key == step.Primary {
			v.DifferenceOf = a.DifferenceOf
			v.Sentence, v.Because = m.Label+": "+row.Verdict, row.Because
		}
		v.Measures = append(v.Measures, row)
	}
}

// verdictWords is a verdict as people read it.
func verdictWords(verdict *string) string {
	switch orEmpty(verdict) {
	case "different":
		return "different"
	case "alike":
		return "alike"
	case "cannot_tell":
		return "cannot tell"
	}
	return "shown only"
}

// interval prints a number with its interval and n; a dash where there is none.
func interval(e table.Estimate, digits int) string {
	if math.IsNaN(float64(e.Center)) || e.Method == "" && e.N == 0 && e.Center == 0 {
		return "–"
	}
	s := fmt.Sprintf("%.*f", digits, float64(e.Center))
	if !math.IsNaN(float64(e.Low)) && !math.IsNaN(float64(e.High)) {
		s += fmt.Sprintf(" [%.*f; %.*f]", digits, float64(e.Low), digits, float64(e.High))
	}
	if e.N > 0 {
		s += fmt.Sprintf(", n %d", e.N)
	}
	return s
}
