package web

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"setdown/gait/diary"
	"setdown/report/casebook"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// checkView is what the page of an upload shows.
type checkView struct {
	ID       string
	Phase    phase
	Percent  int
	Ahead    int
	Files    []fileView
	Problems []problem
	Seen     *seen
	Columns  []columnView
	Roles    []option
	Rate     string
	Cases    []casebook.Case
	CaseID   string
	NewCase  bool
	Today    diary.Date
	Day      diary.Date
	Swap     bool
	// Empty has the fields that can be filled in about the session.
	Empty formView
}

// fileView is an uploaded file with its side.
type fileView struct {
	N        int
	Name     string
	Size     string
	Side     string
	Guessed  string
	Sensors  []seenSensor
	Written  string
	Problems []problem
}

type option struct{ Key, Label string }

// columnView is a column with what can be chosen for it.
type columnView struct {
	seenColumn
	Units []option
}

func (s *Server) intakePage(w http.ResponseWriter, r *http.Request) error {
	in, err := s.intakes.get(r.PathValue("id"))
	if err != nil {
		return err
	}
	in.mu.Lock()
	to := in.done
	in.mu.Unlock()
	if to != "" {
		http.Redirect(w, r, to, http.StatusSeeOther)
		return nil
	}
	v, err := s.checkView(r, in)
	if err != nil {
		return err
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
	v.Problems = append(v.Problems, problem{Text: text, Hint: hint})
	return s.showCheck(w, r, http.StatusBadRequest, v)
}

func (s *Server) checkView(r *http.Request, in *intake) (*checkView, error) {
	cases, err := s.cfg.Book.Cases(r.Context())
	if err != nil {
		return nil, err
	}
	in.mu.Lock()
	defer in.mu.Unlock()
	v := &checkView{ID: in.id, Phase: in.phase, Percent: in.percent(), Ahead: s.queue.ahead(in.work), Seen: in.seen, CaseID: in.caseID,
		Today: diary.DateOf(s.cfg.Now()), Empty: formViewOf(casebook.SessionForm{})}
	for _, c := range cases {
		if c.Closed.IsZero() {
			v.Cases = append(v.Cases, c)
		}
	}
	if v.CaseID == "" && len(v.Cases) == 1 && !v.Cases[0].Invented {
		v.CaseID = v.Cases[0].ID
	}
	v.NewCase = v.CaseID == ""
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
		if in.seen != nil {
			for _, sf := range in.seen.Files {
				if sf.Name == f.Name {
					fv.Sensors, fv.Written = sf.Sensors, sf.Written
				}
			}
		}
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
	v.Swap = len(in.files) > 1 || in.wide()
	v.columns(in)
}

// columns lists what can be corrected: what was found, or, where the files
// could not be read, their bare headings.
func (v *checkView) columns(in *intake) {
	var cols []seenColumn
	switch {
	case in.seen != nil:
		cols = in.seen.Columns
	case len(in.problems) > 0:
		cols = headings(in)
	}
	for _, c := range cols {
		v.Columns = append(v.Columns, columnView{c, unitOptions(c.Unit)})
	}
	for _, r := range roles {
		v.Roles = append(v.Roles, option{r.Key, r.Label})
	}
	if in.how.Rate > 0 {
		v.Rate = strconv.FormatFloat(in.how.Rate, 'g', -1, 64)
	}
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

// intakeReread reads the files again with sides, columns and units corrected.
func (s *Server) intakeReread(w http.ResponseWriter, r *http.Request) error {
	in, err := s.intakes.get(r.PathValue("id"))
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return formError(err)
	}
	in.mu.Lock()
	err = in.correct(r)
	if err == nil {
		s.readLater(in)
	}
	in.mu.Unlock()
	if err != nil {
		return s.complain(w, r, in, err)
	}
	return s.next(w, r, "/upload/"+in.id)
}

// correct takes over what was filled in. The caller holds in.mu.
func (in *intake) correct(r *http.Request) error {
	if in.phase != phaseCheck {
		return bad("these files are being worked on; wait or cancel first")
	}
	how := in.how
	if text := strings.TrimSpace(r.PostFormValue("rate")); text != "" {
		rate, err := strconv.ParseFloat(text, 64)
		if err != nil || !(rate > 0) || rate > recording.MaxRate {
			return bad("the sampling rate %q is not a number of samples a second, for example 200", text)
		}
		how.Rate = rate
	} else {
		how.Rate = 0
	}
	if r.PostForm.Has("columns") {
		text, err := in.mappingText(r)
		if err != nil {
			return err
		}
		how.Columns = text
	}
	sides := in.sidesOf(r)
	in.how = how
	for i := range in.files {
		in.files[i].Side = sides[i]
	}
	return nil
}

// sidesOf reads the sides; a swap turns each known side round.
func (in *intake) sidesOf(r *http.Request) []recording.Side {
	out := make([]recording.Side, len(in.files))
	for i, f := range in.files {
		out[i] = f.Side
		switch r.PostFormValue(fmt.Sprintf("side-%d", i)) {
		case "left":
			out[i] = recording.Left
		case "right":
			out[i] = recording.Right
		case "unknown":
			out[i] = recording.SideUnknown
		}
		if r.PostFormValue("swap") != "" {
			if out[i] == recording.SideUnknown && in.seen != nil && len(in.seen.Files) > i && len(in.seen.Files[i].Sensors) == 1 {
				out[i] = in.seen.Files[i].Sensors[0].Side
			}
			out[i] = out[i].Other()
		}
	}
	return out
}

// mappingText turns the corrected columns into the text of a mapping; "" when
// nothing differs from what was found, so that the files decide.
func (in *intake) mappingText(r *http.Request) (string, error) {
	var cols []seenColumn
	m := &recording.Mapping{Name: "columns"}
	if in.seen != nil {
		cols = in.seen.Columns
		if in.seen.mapping != nil {
			m.Delim, m.Decimal, m.Heading = in.seen.mapping.Delim, in.seen.mapping.Decimal, in.seen.mapping.Heading
		}
	} else {
		cols = headings(in)
	}
	swap := r.PostFormValue("swap") != "" && in.wide()
	same := in.seen != nil && !swap
	for _, c := range cols {
		role := r.PostFormValue(fmt.Sprintf("role-%d", c.Index))
		symbol := r.PostFormValue(fmt.Sprintf("unit-%d", c.Index))
		same = same && role == c.Role && (symbol == c.Unit || symbol == "")
		if role == "" {
			continue
		}
		if !knownRole(role) {
			return "", bad("the column %q cannot be read as %q", c.Name, role)
		}
		if _, ok := unit.Parse(symbol); symbol != "" && !ok {
			return "", bad("the unit %q of the column %q is not known", symbol, c.Name)
		}
		col := in.mappedColumn(c, role, symbol)
		if swap {
			col.Side = col.Side.Other()
		}
		m.Columns = append(m.Columns, col)
	}
	if same {
		return in.how.Columns, nil
	}
	if len(m.Columns) == 0 {
		return "", bad("no column is used; say at least which ones hold the acceleration and the turning rate")
	}
	return printed(m)
}

// mappedColumn keeps side and place of a column that had them in a file of both
// feet; with one sensor a file, the file's own side decides.
func (in *intake) mappedColumn(c seenColumn, role, symbol string) recording.MappedColumn {
	out := recording.MappedColumn{Role: role, Column: c.Name, Index: c.Index, Unit: symbol}
	if role == "date" || role == "counter" {
		out.Unit = ""
	}
	if in.seen == nil || in.seen.mapping == nil {
		return out
	}
	wide := in.wide()
	for _, k := range in.seen.mapping.Columns {
		if k.Index == c.Index || k.Index == 0 && k.Column == c.Name {
			out.Site, out.Scale = k.Site, k.Scale
			if wide {
				out.Side = k.Side
			}
		}
	}
	return out
}

// wide tells a file that holds both feet.
func (in *intake) wide() bool {
	if in.seen == nil || in.seen.mapping == nil {
		return false
	}
	sides := map[recording.Side]bool{}
	for _, k := range in.seen.mapping.Columns {
		if strings.HasPrefix(k.Role, "acc") || strings.HasPrefix(k.Role, "gyr") {
			sides[k.Side] = true
		}
	}
	return len(sides) > 1
}

func printed(m *recording.Mapping) (string, error) {
	var b strings.Builder
	_, err := m.WriteTo(&b)
	if err != nil {
		return "", err
	}
	// What is written must be readable: it is kept with the session.
	if _, err := recording.ParseMapping("columns", strings.NewReader(b.String())); err != nil {
		return "", err
	}
	return b.String(), nil
}

func knownRole(key string) bool {
	for _, r := range roles {
		if r.Key == key {
			return true
		}
	}
	return false
}
