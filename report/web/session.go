package web

import (
	"bytes"
	"errors"
	"html/template"
	"net/http"
	"strings"

	"setdown/gait"
	"setdown/report/casebook"
	report "setdown/report/page"
	"setdown/report/table"
)

// find returns the case and the session of an address.
func (s *Server) find(r *http.Request) (casebook.Case, casebook.Session, error) {
	c, err := s.findCase(r)
	if err != nil {
		return c, casebook.Session{}, err
	}
	all, err := s.cfg.Book.Sessions(r.Context(), c.ID)
	if err != nil {
		return c, casebook.Session{}, err
	}
	for _, x := range all {
		if x.ID == r.PathValue("session") {
			return c, x, nil
		}
	}
	return c, casebook.Session{}, errNoPage
}

// findCase finds by the ID only: a name is not an address.
func (s *Server) findCase(r *http.Request) (casebook.Case, error) {
	c, err := s.cfg.Book.Find(r.Context(), r.PathValue("case"))
	if err == nil && c.ID != r.PathValue("case") {
		return casebook.Case{}, errNoPage
	}
	return c, err
}

// sessionView is what the page of a session shows.
type sessionView struct {
	Case    casebook.Case
	Session casebook.Session
	Path    string
	parts
	// Settle says what the next recording must add.
	Settle string
	Fresh  bool
	Metric string
	Shown  []option
	Rows   stepRows
	Edits  []editView
	Signal bool
	Form   formView
}

type editView struct {
	N    int
	Text string
}

func (s *Server) session(w http.ResponseWriter, r *http.Request) error {
	now, err := s.current(r)
	if err != nil {
		return err
	}
	v := &sessionView{Case: now.Case, Session: now.Session, Path: now.path(), Settle: settle(now.Result), Fresh: r.URL.Query().Get("new") != "",
		Shown: shownMetrics(), Rows: rowsOf(now.Result, r), Form: formViewOf(now.Session.Form)}
	if v.parts, err = body(now.Result); err != nil {
		return err
	}
	for i, e := range now.Edits {
		v.Edits = append(v.Edits, editView{i, e.String()})
	}
	_, err = s.cfg.Folder.Stat(signalFile(now.key()))
	v.Signal = err == nil
	return s.show(w, r, http.StatusOK, "session", shell{Title: "Session of " + dayWords(now.Session.Form.Date), Here: "/cases", Case: &now.Case, Wide: true,
		Scripts: []string{"steps.js", "signal.js"}}, v)
}

// parts are the report in pieces, between which the page puts what one can work
// with: Head ends with the answer, Top with the pictures, and Help is the last
// section.
type parts struct{ Head, Top, Middle, Help template.HTML }

// body cuts the report. It is made by package page, which escapes its texts.
func body(res *gait.Result) (parts, error) {
	var b bytes.Buffer
	if err := report.WriteBody(&b, res, ""); err != nil {
		return parts{}, err
	}
	text := b.String()
	const headEnd, end = "</header>", "</section>"
	head := strings.Index(text, headEnd)
	help := strings.Index(text, `<section class="help"`)
	if head < 0 || help < head {
		return parts{}, errors.New("the report has no answer or no section on when to get help")
	}
	head += len(headEnd)
	top := help
	if last := strings.LastIndex(text, "</figure>"); last >= 0 {
		top = last + strings.Index(text[last:], end) + len(end)
	}
	return parts{template.HTML(text[:head]), template.HTML(text[head:top]), template.HTML(text[top:help]), template.HTML(text[help:])}, nil
}

func (s *Server) sessionJSON(w http.ResponseWriter, r *http.Request) error {
	return s.download(w, r, "application/json", "session.json", func(b *bytes.Buffer, res *gait.Result) error {
		return table.WriteSession(b, res)
	})
}

func (s *Server) stepsCSV(w http.ResponseWriter, r *http.Request) error {
	return s.download(w, r, "text/csv; charset=utf-8", "steps.csv", func(b *bytes.Buffer, res *gait.Result) error {
		return table.WriteSteps(b, res.Steps)
	})
}

func (s *Server) reportHTML(w http.ResponseWriter, r *http.Request) error {
	return s.download(w, r, "text/html; charset=utf-8", "report.html", func(b *bytes.Buffer, res *gait.Result) error {
		return report.Write(b, res)
	})
}

// download makes one of the files that the command line writes, from the same
// result as the page.
func (s *Server) download(w http.ResponseWriter, r *http.Request, kind, name string, write func(*bytes.Buffer, *gait.Result) error) error {
	now, err := s.current(r)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := write(&b, now.Result); err != nil {
		return err
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	_, err = b.WriteTo(w)
	return ignoreGone(err)
}

// sessionChange corrects what is written down about a session.
func (s *Server) sessionChange(w http.ResponseWriter, r *http.Request) error {
	c, sess, err := s.find(r)
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return formError(err)
	}
	err = s.cfg.Book.ChangeSession(r.Context(), c.ID, sess.ID, s.cfg.Now(), func(old *casebook.SessionForm) error {
		f := form{r: r}
		changed := sessionForm(&f, *old)
		if today, _ := s.day(c); changed.Date.After(today) {
			f.fail("the day of the run, %s, lies after today", changed.Date)
		}
		*old = changed
		return f.err
	})
	if err != nil {
		return err
	}
	return s.next(w, r, sessionPath(c.ID, sess.ID)+"?done=saved")
}

func (s *Server) sessionDelete(w http.ResponseWriter, r *http.Request) error {
	c, sess, err := s.find(r)
	if err != nil {
		return err
	}
	if r.PostFormValue("sure") != "yes" {
		return bad("tick the box beside the button to delete the session")
	}
	if err := s.cfg.Book.DeleteSession(r.Context(), c.ID, sess.ID); err != nil {
		return err
	}
	if err := s.results.remove(keyOf(c.ID, sess.ID)); err != nil {
		return err
	}
	return s.next(w, r, "/cases/"+c.ID+"?done=deleted")
}
