package trial

import (
	"bytes"
	"cmp"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"

	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/report/page"
	"setdown/report/table"
)

// QualityName is the name of the quality page.
const QualityName = "quality.html"

//go:embed quality.gohtml
var qualitySource string

//go:embed quality.css
var qualityStyle string

var nan32 = float32(math.NaN())

// outlying is the distance from the median, in robust standard deviations, at
// which a recording is pointed out (Iglewicz & Hoaglin, 1993, How to Detect and
// Handle Outliers, ASQC: 3.5).
const outlying = 3.5

// fewestForOutliers is how many values a distribution needs before any of them
// can be called far from the others. The project's own choice.
const fewestForOutliers = 10

// shownDoubts is how many things that were not understood the page lists.
const shownDoubts = 12

// shownRows is how many recordings the table of checks shows.
const shownRows = 2000

// quality gathers what the quality page shows.
type quality struct {
	rows    []seen
	twice   []string
	reasons map[string]int
	found   int
	used    int
}

// add takes one recording in.
func (q *quality) add(r *result) {
	q.rows = append(q.rows, look(r))
	if r.Document == nil {
		return
	}
	if q.reasons == nil {
		q.reasons = map[string]int{}
	}
	for _, c := range recorded(r) {
		q.found += c.Found
		q.used += c.Used
		for _, l := range c.LeftOut {
			key, _ := words(l.Reason)
			q.reasons[key] += l.Steps
		}
	}
}

// qualityView is what the template shows.
type qualityView struct {
	Style             template.CSS
	Title, Sentence   string
	Limits, Version   string
	Failed            []failedView
	Checks            []checkView
	Rows              []rowView
	Hidden            int
	Strips            []stripView
	Found, Used       int
	UsedShare         string
	Reasons           []reasonView
	Doubts            []string
	MoreDoubts        int
	Twice             []string
	Cautions          []page.Caution
	CautionNotes      []string
	OutlyingRule      string
	FewestForOutliers int
}

type failedView struct{ ID, Message, Hint string }

type checkView struct{ Name, Meaning string }

type rowView struct {
	ID, Page string
	Cells    []cellView
}

type cellView struct{ Sign, Words string }

type reasonView struct {
	Reason string
	Steps  int
	Share  string
	Width  string
}

// write writes the page.
func (q *quality) write(w io.Writer, a *assembly) error {
	t, err := template.New("quality").Parse(qualitySource)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, q.view(a)); err != nil {
		return err
	}
	_, err = b.WriteTo(w)
	return err
}

// view turns what was gathered into what is shown.
func (q *quality) view(a *assembly) qualityView {
	v := qualityView{
		Style: template.CSS(page.Style() + qualityStyle), Title: "Recordings to look at", Limits: page.Limits,
		Version: a.set.Version, Found: q.found, Used: q.used, UsedShare: percent(q.used, q.found),
		Cautions: page.Cautions(), CautionNotes: page.CautionNotes(),
		OutlyingRule: fmt.Sprintf("%.1f", outlying), FewestForOutliers: fewestForOutliers,
	}
	v.Strips = q.strips()
	for _, c := range checks() {
		v.Checks = append(v.Checks, checkView{c.name, c.meaning})
	}
	v.Twice = q.twice
	flagged := q.matrix(&v)
	v.Sentence = sentence(a.outcome, flagged)
	v.Reasons = q.reasonViews()
	v.Doubts = DoubtLines(a.plan.Doubts)
	v.MoreDoubts = max(0, len(v.Doubts)-shownDoubts)
	v.Doubts = v.Doubts[:len(v.Doubts)-v.MoreDoubts]
	return v
}

// sentence is the page's answer.
func sentence(o Outcome, flagged int) string {
	s := fmt.Sprintf("%d of %d recordings were analysed", o.Done, o.Total)
	switch {
	case o.Failed > 0 && flagged > 0:
		return fmt.Sprintf("%s; %d could not be, and %d of the others ask for a look.", s, o.Failed, flagged)
	case o.Failed > 0:
		return fmt.Sprintf("%s; %d could not be.", s, o.Failed)
	case flagged > 0:
		return fmt.Sprintf("%s; %d of them ask for a look.", s, flagged)
	}
	return s + "; no check found anything."
}

// matrix fills in the rows and returns how many recordings have a mark.
func (q *quality) matrix(v *qualityView) int {
	order := make([]*seen, 0, len(q.rows))
	flagged := 0
	for i := range q.rows {
		s := &q.rows[i]
		if s.failure != nil {
			v.Failed = append(v.Failed, failedView{s.id, s.failure.String(), s.failure.Hint})
			continue
		}
		if s.weight() > 0 {
			flagged++
		}
		order = append(order, s)
	}
	slices.SortStableFunc(order, func(a, b *seen) int { return cmp.Compare(b.weight(), a.weight()) })
	v.Hidden = max(0, len(order)-shownRows)
	for _, s := range order[:len(order)-v.Hidden] {
		v.Rows = append(v.Rows, s.view())
	}
	return flagged
}

// view is a recording's row. Marks are told apart by their shape.
func (s *seen) view() rowView {
	row := rowView{ID: s.id, Page: pageOf(s.id)}
	for i, m := range s.marks {
		c := cellView{"·", "nothing found"}
		switch m {
		case doubtful:
			c = cellView{fmt.Sprintf("○ %d", s.count[i]), "doubt"}
		case lossy:
			c = cellView{fmt.Sprintf("■ %d", s.count[i]), "loss"}
		}
		row.Cells = append(row.Cells, c)
	}
	return row
}

// pageOf is the link from the quality page to a recording's own.
func pageOf(id string) string { return recordingsDir + "/" + id + "/" + smallPage }

func (q *quality) reasonViews() []reasonView {
	var out []reasonView
	most := 0
	for reason, n := range q.reasons {
		out = append(out, reasonView{Reason: reason, Steps: n, Share: percent(n, q.found)})
		most = max(most, n)
	}
	slices.SortFunc(out, func(a, b reasonView) int {
		return cmp.Or(cmp.Compare(b.Steps, a.Steps), cmp.Compare(a.Reason, b.Reason))
	})
	for i := range out {
		out[i].Width = fmt.Sprintf("%.1f", 100*float64(out[i].Steps)/float64(most))
	}
	return out
}

func percent(part, whole int) string {
	if whole == 0 {
		return "–"
	}
	return fmt.Sprintf("%.1f %%", 100*float64(part)/float64(whole))
}

// strips draws the distribution of every metric and marks the recordings that
// lie far out.
func (q *quality) strips() []stripView {
	var out []stripView
	for m, metric := range step.Catalogue() {
		s := strip{metric: metric}
		for i := range q.rows {
			if q.rows[i].values == nil {
				continue
			}
			for side, v := range q.rows[i].values[m] {
				if !math.IsNaN(float64(v)) {
					s.points = append(s.points, point{row: i, side: side, value: float64(v)})
				}
			}
		}
		if len(s.points) == 0 {
			continue
		}
		s.findOutliers()
		for _, p := range s.points {
			if p.far {
				q.rows[p.row].put(checkOutlying, doubtful, 1)
			}
		}
		out = append(out, s.view(q.rows))
	}
	return out
}

// findOutliers marks the points that lie far from the others of their side: an
// injured side that differs in most people is not the oddity of each. Nothing
// is marked in a distribution whose middle half is one value.
func (s *strip) findOutliers() {
	all := make([]float64, len(s.points))
	for i, p := range s.points {
		all[i] = p.value
	}
	s.median = estimate.Median(all)
	for side := range sideNames {
		var values []float64
		for _, p := range s.points {
			if p.side == side {
				values = append(values, p.value)
			}
		}
		middle, spread := estimate.Median(values), estimate.MAD(values)
		if len(values) < fewestForOutliers || !(spread > 0) {
			continue
		}
		for i, p := range s.points {
			if p.side == side {
				s.points[i].far = math.Abs(p.value-middle) > outlying*spread
			}
		}
	}
}

// unitOf is the unit of a metric's values in files, with a leading space.
func unitOf(m step.Metric) string {
	if u := table.ColumnUnit(m).Symbol; u != "" {
		return " " + u
	}
	return ""
}
