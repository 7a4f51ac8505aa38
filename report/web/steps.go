package web

import (
	"fmt"
	"math"
	"net/http"
	"strconv"

	"setdown/gait"
	"setdown/gait/step"
)

// pageOfSteps is how many steps the table shows at once.
const pageOfSteps = 40

// stepRows is one page of the table of steps.
type stepRows struct {
	Heads []stepHead
	Rows  []stepRow
	// Page and Pages count from 1; Prev and Next are 0 where there is none.
	Page, Pages, Prev, Next int
	First, Last, All        int
}

type stepHead struct{ Label, Unit string }

type stepRow struct {
	ID, Side string
	Number   int
	Time     string
	Landing  string
	Cells    []string
	Used     bool
	Reason   string
}

// stepID names a step in addresses and in the page.
func stepID(s *step.Step) string { return s.Side.String() + "-" + strconv.Itoa(s.Number) }

// shownMetrics are the metrics of the picture and the table.
func shownMetrics() []option {
	var out []option
	for _, m := range step.Catalogue() {
		if !m.Share {
			out = append(out, option{m.Key, m.Label})
		}
	}
	return out
}

// rowsOf makes the page of the table that was asked for, by its number or by a
// step that is on it.
func rowsOf(res *gait.Result, r *http.Request) stepRows {
	out := stepRows{All: len(res.Steps), Pages: max(1, (len(res.Steps)+pageOfSteps-1)/pageOfSteps)}
	out.Page = min(max(queryInt(r, "page", 1), 1), out.Pages)
	if id := r.URL.Query().Get("step"); id != "" {
		for i := range res.Steps {
			if stepID(&res.Steps[i]) == id {
				out.Page = i/pageOfSteps + 1
			}
		}
	}
	if out.Page > 1 {
		out.Prev = out.Page - 1
	}
	if out.Page < out.Pages {
		out.Next = out.Page + 1
	}
	for _, m := range step.Catalogue() {
		if !m.Share {
			out.Heads = append(out.Heads, stepHead{m.Label, symbol(m.Unit)})
		}
	}
	lo := (out.Page - 1) * pageOfSteps
	hi := min(lo+pageOfSteps, len(res.Steps))
	out.First, out.Last = min(lo+1, hi), hi
	for i := lo; i < hi; i++ {
		out.Rows = append(out.Rows, rowOf(&res.Steps[i]))
	}
	return out
}

func rowOf(st *step.Step) stepRow {
	row := stepRow{ID: stepID(st), Side: st.Side.String(), Number: st.Number, Time: fmt.Sprintf("%.2f", st.InitialContact), Used: st.Used, Reason: st.Reason}
	switch st.HeelFirst {
	case step.True:
		row.Landing = "heel"
	case step.False:
		row.Landing = "flat or forefoot"
	default:
		row.Landing = "–"
	}
	for _, m := range step.Catalogue() {
		if !m.Share {
			row.Cells = append(row.Cells, cellOf(m, st))
		}
	}
	return row
}

func cellOf(m step.Metric, st *step.Step) string {
	v := m.Value(st)
	if math.IsNaN(v) {
		return "–"
	}
	return digits(m, v)
}

// stepsTable is a page of the table alone, for the script.
func (s *Server) stepsTable(w http.ResponseWriter, r *http.Request) error {
	now, err := s.current(r)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	v := sessionView{Path: now.path(), Rows: rowsOf(now.Result, r)}
	return s.pages["session"].ExecuteTemplate(w, "rows", v)
}

// stepPoints is what the picture of all steps is drawn from.
type stepPoints struct {
	Label  string      `json:"label"`
	Unit   string      `json:"unit"`
	Digits int         `json:"digits"`
	Points []stepPoint `json:"points"`
}

// stepPoint is one step; Value is null where it was not measured.
type stepPoint struct {
	ID     string  `json:"id"`
	Side   string  `json:"side"`
	Number int     `json:"n"`
	Time   float64 `json:"t"`
	Value  real    `json:"v"`
	Used   bool    `json:"used"`
	Reason string  `json:"why,omitempty"`
}

func (s *Server) stepsJSON(w http.ResponseWriter, r *http.Request) error {
	now, err := s.current(r)
	if err != nil {
		return err
	}
	m := step.Find(step.Primary)
	for _, x := range step.Catalogue() {
		if x.Key == r.URL.Query().Get("metric") && !x.Share {
			m = x
		}
	}
	out := stepPoints{Label: m.Label, Unit: symbol(m.Unit), Digits: m.Digits, Points: []stepPoint{}}
	for i := range now.Result.Steps {
		st := &now.Result.Steps[i]
		out.Points = append(out.Points, stepPoint{stepID(st), st.Side.String(), st.Number, math.Round(st.InitialContact*100) / 100,
			real(m.Unit.FromBase(m.Value(st))), st.Used, st.Reason})
	}
	return writeJSON(w, http.StatusOK, out)
}

// mostEdits is how many steps and spans can be left out of one session.
const mostEdits = 500
