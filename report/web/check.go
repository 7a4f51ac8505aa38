package web

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"setdown/gait/diary"
	"setdown/report/casebook"
	"setdown/signal/recording"
)

// checkView is what the page of an upload shows.
type checkView struct {
	ID    string
	Phase phase
	// Done is the address of the session, once there is one. It is taken together with
	// Phase: the work may end at any moment.
	Done     string
	Percent  int
	Ahead    int
	Files    []fileView
	Problems []problem
	Seen     *seen
	// Doubts say where the feet are not clear; Lonely that one of them is missing.
	Doubts []string
	Lonely string
	// Text tells that there is a file of text, whose columns can be said.
	Text   bool
	Groups []groupView
	// Single tells that each file is corrected by itself already.
	Single bool
	Roles  []option
	Rate   string
	// Counts is what a watch's step rate was said to count.
	Counts    string
	OneSensor bool
	Cases     []casebook.Case
	CaseID    string
	NewCase   bool
	Today     diary.Date
	Day       diary.Date
	Swap      bool
	// Name and Injured are what was filled in for someone new.
	Name, Injured string
	// Form has what can be filled in about the session.
	Form formView
}

// fileView is an uploaded file with its side.
type fileView struct {
	N        int
	Name     string
	Size     string
	Side     string
	Guessed  string
	Sensors  []seenSensor
	Problems []problem
	// AskSide tells that the whole file is of one foot, or may be; Mute that the file
	// itself does not say of which.
	AskSide, Mute bool
}

type option struct{ Key, Label string }

// groupView is files with their columns.
type groupView struct {
	Names   string
	Columns []columnView
}

// columnView is a column with what can be chosen for it, and the names of its
// fields.
type columnView struct {
	seenColumn
	Units              []option
	RoleName, UnitName string
}

func (s *Server) intakePage(w http.ResponseWriter, r *http.Request) error {
	in, err := s.intakes.get(r.PathValue("id"))
	if err != nil {
		return err
	}
	v, err := s.checkView(r, in)
	if err != nil {
		return err
	}
	if v.Done != "" {
		http.Redirect(w, r, v.Done, http.StatusSeeOther)
		return nil
	}
	return s.showCheck(w, r, http.StatusOK, v)
}

func (s *Server) showCheck(w http.ResponseWriter, r *http.Request, status int, v *checkView) error {
	sh := shell{Title: "Check what was read", Here: "/", Scripts: []string{"check.js"}}
	if v.Phase == phaseReading || v.Phase == phaseComputing {
		sh.Title, sh.Refresh = "Working on it", true
	}
	return s.show(w, r, status, "check", sh, v)
}

// complain shows the input check again with what is wrong with the form.
func (s *Server) complain(w http.ResponseWriter, r *http.Request, in *intake, err error) error {
	if status := statusOf(err); status != http.StatusBadRequest {
		return err
	}
	v, e := s.checkView(r, in)
	if e != nil {
		return e
	}
	text, hint := explain(err)
	v.Problems = append(v.Problems, problem{Text: text, Hint: hint, Link: whereTo(err)})
	v.again(r)
	return s.showCheck(w, r, http.StatusBadRequest, v)
}

// again shows what was filled in, so that a refusal does not cost it.
func (v *checkView) again(r *http.Request) {
	f := form{r: r}
	filled := sessionForm(&f, casebook.SessionForm{})
	v.Form, v.Name, v.Injured = formViewOf(filled), f.text("name"), r.PostFormValue("injured")
	if !filled.Date.IsZero() && !filled.Date.After(v.Today) {
		v.Day = filled.Date
	}
	if id := r.PostFormValue("case"); id != "" {
		v.CaseID, v.NewCase = id, id == "new"
	}
}

func (s *Server) checkView(r *http.Request, in *intake) (*checkView, error) {
	cases, err := s.cfg.Book.Cases(r.Context())
	if err != nil {
		return nil, err
	}
	in.mu.Lock()
	defer in.mu.Unlock()
	v := &checkView{ID: in.id, Phase: in.phase, Done: in.done, Percent: in.percent(), Ahead: s.queue.ahead(in.work), Seen: in.seen, CaseID: in.caseID,
		Today: diary.DateOf(s.cfg.Now()), Form: formViewOf(casebook.SessionForm{})}
	for _, c := range cases {
		if c.Closed.IsZero() {
			v.Cases = append(v.Cases, c)
		}
	}
	// A run is nobody's before someone says so: in a case of someone else its injured
	// side would be taken for this one's.
	if !slices.ContainsFunc(v.Cases, func(c casebook.Case) bool { return c.ID == v.CaseID }) {
		v.CaseID = ""
	}
	others := slices.ContainsFunc(v.Cases, func(c casebook.Case) bool { return !c.Invented })
	v.NewCase = v.CaseID == "" && !others
	v.Doubts, v.Lonely = in.doubts(), in.lonely()
	v.fill(in)
	return v, nil
}

// fill sorts what was found and what went wrong to the files.
func (v *checkView) fill(in *intake) {
	for i, f := range in.files {
		fv := fileView{N: i, Name: f.Name, Size: sizeWords(f.Bytes), Side: f.Side.String()}
		for _, p := range in.problems {
			if p.File == f.Name {
				fv.Problems = append(fv.Problems, p)
			}
		}
		for _, sf := range in.seen.of(f.Name) {
			fv.Sensors = append(fv.Sensors, sf.Sensors...)
		}
		fv.AskSide = len(fv.Sensors) == 0 && in.isText(i) || len(fv.Sensors) == 1 && !fv.Sensors[0].Watch
		fv.Mute = len(fv.Sensors) == 1 && fv.Sensors[0].Side == recording.SideUnknown
		v.Text = v.Text || in.isText(i)
		if f.Side == recording.SideUnknown && len(fv.Sensors) == 1 {
			fv.Guessed = fv.Sensors[0].Side.String()
		}
		v.Files = append(v.Files, fv)
	}
	for _, p := range in.problems {
		if p.File == "" {
			v.Problems = append(v.Problems, p)
		}
	}
	v.Day = v.Today
	if in.seen != nil && !in.seen.Day.IsZero() && !in.seen.Day.After(v.Today) {
		v.Day = in.seen.Day
	}
	v.Swap = in.wide() || len(in.files) > 1 && slices.ContainsFunc(in.worn(), func(w worn) bool { return w.side != recording.SideUnknown })
	v.columns(in)
}

// columns lists what can be corrected.
func (v *checkView) columns(in *intake) {
	for n, g := range in.groups() {
		gv := groupView{Names: strings.Join(g.Files, ", ")}
		for _, c := range g.Columns {
			gv.Columns = append(gv.Columns, columnView{c, unitOptions(c.Unit), field("role", n, c.Index), field("unit", n, c.Index)})
		}
		v.Groups = append(v.Groups, gv)
	}
	for _, r := range roles {
		v.Roles = append(v.Roles, option{r.Key, r.Label})
	}
	if in.how.Rate > 0 {
		v.Rate = strconv.FormatFloat(in.how.Rate, 'g', -1, 64)
	}
	v.Counts, v.OneSensor, v.Single = in.how.CadenceCounts, in.how.OneSensor, in.single || len(v.Groups) == len(in.files)
}

// unitOptions are the units that can be chosen, with the present one among them.
func unitOptions(present string) []option {
	out := []option{{"", "as in the file"}}
	found := present == ""
	for _, u := range unitsOffered {
		out = append(out, option{u.Symbol, u.Symbol})
		found = found || u.Symbol == present
	}
	if !found {
		out = append(out, option{present, present})
	}
	return out
}

func sizeWords(n int64) string {
	switch {
	case n >= 1<<20:
		return fmt.Sprintf("%.1f MB", float64(n)/(1<<20))
	case n >= 1<<10:
		return fmt.Sprintf("%.0f kB", float64(n)/(1<<10))
	}
	return fmt.Sprintf("%d bytes", n)
}

// intakeState tells a script how far it is.
func (s *Server) intakeState(w http.ResponseWriter, r *http.Request) error {
	in, err := s.intakes.get(r.PathValue("id"))
	if err != nil {
		return err
	}
	in.mu.Lock()
	defer in.mu.Unlock()
	return writeJSON(w, http.StatusOK, map[string]any{"phase": in.phase, "percent": in.percent(), "ahead": s.queue.ahead(in.work), "next": in.done})
}

func (s *Server) intakeCancel(w http.ResponseWriter, r *http.Request) error {
	in, err := s.intakes.get(r.PathValue("id"))
	if err != nil {
		return err
	}
	s.intakes.drop(in)
	return s.next(w, r, "/")
}
