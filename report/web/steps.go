package web

import (
	"fmt"
	"math"
	"net/http"
	"strconv"

	"setdown/gait"
	"setdown/gait/step"
	"setdown/signal/recording"
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
	c, sess, err := s.find(r)
	if err != nil {
		return err
	}
	res, _, err := s.current(r.Context(), c, sess)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	v := sessionView{Path: sessionPath(c.ID, sess.ID), Rows: rowsOf(res, r)}
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
	c, sess, err := s.find(r)
	if err != nil {
		return err
	}
	res, _, err := s.current(r.Context(), c, sess)
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
	for i := range res.Steps {
		st := &res.Steps[i]
		out.Points = append(out.Points, stepPoint{stepID(st), st.Side.String(), st.Number, math.Round(st.InitialContact*100) / 100,
			real(m.Unit.FromBase(m.Value(st))), st.Used, st.Reason})
	}
	return writeJSON(w, http.StatusOK, out)
}

// mostEdits is how many steps and spans can be left out of one session.
const mostEdits = 500

// leaveOut leaves steps or a span out; the summary follows.
func (s *Server) leaveOut(w http.ResponseWriter, r *http.Request) error {
	return s.edit(w, r, "left", func(base *gait.Result, all []edit) ([]edit, error) {
		fresh, err := s.editsOf(r, base)
		if err != nil {
			return nil, err
		}
		all = append(all, fresh...)
		if len(all) > mostEdits {
			return nil, bad("more than %d entries are left out; a span takes many steps at once", mostEdits)
		}
		return all, nil
	})
}

// editsOf reads the form: ticked steps, or a span in s.
func (s *Server) editsOf(r *http.Request, base *gait.Result) ([]edit, error) {
	var out []edit
	for _, id := range r.PostForm["step"] {
		st := stepByID(base, id)
		if st == nil {
			return nil, bad("there is no step %q", id)
		}
		out = append(out, edit{Side: st.Side.String(), Number: st.Number, From: st.InitialContact, To: st.InitialContact, Made: s.cfg.Now()})
	}
	if len(out) > 0 {
		return out, nil
	}
	f := form{r: r}
	from, to, side := f.number("from"), f.number("to"), f.text("side")
	switch {
	case f.err != nil:
		return nil, f.err
	case from == nil || to == nil || !(*to > *from):
		return nil, bad("tick a step, or give a span with its beginning before its end, in seconds")
	case side != "both" && side != recording.Left.String() && side != recording.Right.String():
		return nil, bad("the side of the span is left, right or both")
	}
	return []edit{{Side: side, From: *from, To: *to, Made: s.cfg.Now()}}, nil
}

func stepByID(res *gait.Result, id string) *step.Step {
	for i := range res.Steps {
		if stepID(&res.Steps[i]) == id {
			return &res.Steps[i]
		}
	}
	return nil
}

// undo takes back one entry, or the last one.
func (s *Server) undo(w http.ResponseWriter, r *http.Request) error {
	return s.edit(w, r, "undone", func(_ *gait.Result, all []edit) ([]edit, error) {
		n := len(all) - 1
		if text := r.PostFormValue("n"); text != "" {
			var err error
			if n, err = strconv.Atoi(text); err != nil {
				return nil, bad("%q is no entry", text)
			}
		}
		if n < 0 || n >= len(all) {
			return nil, bad("nothing is left out that could be taken back")
		}
		return append(append([]edit(nil), all[:n]...), all[n+1:]...), nil
	})
}

// edit changes what is left out, and keeps the numbers that follow from it.
func (s *Server) edit(w http.ResponseWriter, r *http.Request, done string, change func(*gait.Result, []edit) ([]edit, error)) error {
	c, sess, err := s.find(r)
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return formError(err)
	}
	base, err := s.base(r.Context(), c, sess)
	if err != nil {
		return err
	}
	s.edits.Lock()
	defer s.edits.Unlock()
	key := keyOf(c.ID, sess.ID)
	old, err := s.readEdits(key)
	if err != nil {
		return err
	}
	all, err := change(base, old)
	if err != nil {
		return err
	}
	if err := s.writeEdits(key, all); err != nil {
		return err
	}
	if err := s.keepAnalysis(r.Context(), c.ID, sess.ID, without(base, all), len(all)); err != nil {
		return err
	}
	to := sessionPath(c.ID, sess.ID) + "?done=" + done
	if p := r.PostFormValue("page"); p != "" {
		if n, err := strconv.Atoi(p); err == nil {
			to += "&page=" + strconv.Itoa(n)
		}
	}
	return s.next(w, r, to+"#steps")
}
